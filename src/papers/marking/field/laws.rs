//! Random quantities in every form in which a student may write them: what is read is what was
//! meant, and what has two readings is read in neither.
//!
//! `PROPTEST_CASES=200000 cargo test --lib papers::marking::field::laws` runs them at length.

use super::tests::{asked, is_close, reading, with_words};
use super::*;
use crate::dimensions::{Datum, Scale, Weight};
use proptest::prelude::*;

/// A decimal number by its digits and places.
#[derive(Debug, Clone, Copy)]
struct Decimal {
    digits: i64,
    places: u32,
}

impl Decimal {
    fn value(self) -> f64 {
        format!("{}e-{}", self.digits, self.places).parse().unwrap()
    }

    /// Digits before and behind the decimal sign.
    fn parts(self) -> (String, String) {
        let digits = self.digits.to_string();
        let digits = format!("{digits:0>width$}", width = self.places as usize + 1);
        let (whole, part) = digits.split_at(digits.len() - self.places as usize);
        (whole.to_owned(), part.to_owned())
    }
}

fn decimals() -> impl Strategy<Value = Decimal> {
    let digits = prop_oneof![1..10_i64, 10..1000_i64, 1000..10_000_000_i64];
    (digits, 0..5_u32).prop_map(|(digits, places)| Decimal { digits, places })
}

/// How a number is written.
#[derive(Debug, Clone, Copy)]
enum Form {
    Plain(char),
    /// With a blank or a comma between thousands, and a decimal sign.
    Grouped(char, char),
    Power(&'static str, char),
}

fn forms() -> impl Strategy<Value = Form> {
    let sign = || prop_oneof![Just('.'), Just(',')];
    let between = prop_oneof![
        Just((' ', '.')),
        Just((' ', ',')),
        Just(('\u{a0}', ',')),
        Just(('\u{202f}', '.')),
        Just(('\u{2009}', ',')),
        Just((',', '.')),
    ];
    let powers = prop_oneof![
        Just("e#"),
        Just("E#"),
        Just(" × 10^#"),
        Just("×10^#"),
        Just("*10^#"),
        Just(" * 10^#"),
        Just(" · 10^#"),
        Just(" x 10^#"),
        Just(" × 10+"),
        Just("·10+"),
    ];
    prop_oneof![
        3 => sign().prop_map(Form::Plain),
        2 => between.prop_map(|(between, sign)| Form::Grouped(between, sign)),
        2 => (powers, sign()).prop_map(|(power, sign)| Form::Power(power, sign)),
    ]
}

fn grouped(whole: &str, between: char) -> String {
    let mut out = String::new();
    for (at, digit) in whole.char_indices() {
        if at > 0 && (whole.len() - at).is_multiple_of(3) {
            out.push(between);
        }
        out.push(digit);
    }
    out
}

/// The text of a number and its value.
fn written(number: Decimal, form: Form, power: i32) -> (String, f64) {
    let (whole, part) = number.parts();
    let with = |whole: String, sign: char| match part.is_empty() {
        true => whole,
        false => format!("{whole}{sign}{part}"),
    };
    match form {
        Form::Plain(sign) => (with(whole, sign), number.value()),
        Form::Grouped(between, sign) => (with(grouped(&whole, between), sign), number.value()),
        Form::Power(pattern, sign) => {
            let raised: String = power
                .to_string()
                .chars()
                .map(crate::text::superscript)
                .collect();
            let text = pattern
                .replace('#', &power.to_string())
                .replace('+', &raised);
            let value = format!("{}e{}", number.digits, power - number.places.cast_signed());
            (with(whole, sign) + &text, value.parse().unwrap())
        }
    }
}

/// Whether a plain text of digits, points and commas has one reading, by trying all of them
/// another way than the reader does: every text that it can stand for is written again in each
/// form that a student may use.
fn meanings(text: &str) -> Vec<String> {
    let digits: String = text.chars().filter(char::is_ascii_digit).collect();
    let mut found = Vec::new();
    for places in 0..=digits.len() {
        let (whole, part) = digits.split_at(digits.len() - places);
        let shown = match whole {
            "" => "0",
            whole => whole,
        };
        let is_short = shown.len() <= 3 || shown.starts_with('0');
        for sign in ['.', ','] {
            for between in [None, Some(' '), Some(',')] {
                if between == Some(sign) && places > 0 || between.is_some() && is_short {
                    continue;
                }
                let mut whole = between.map_or(shown.to_owned(), |it| grouped(shown, it));
                if places > 0 && text.starts_with(sign) {
                    whole.clear();
                }
                let again = match places {
                    0 => whole,
                    _ => format!("{whole}{sign}{part}"),
                };
                let meant = match places {
                    0 => shown.to_owned(),
                    _ => format!("{shown}.{part}"),
                };
                // Behind the decimal sign blanks part groups of three.
                let parted = part.len() > 3 && part.len().is_multiple_of(3);
                let spaced = parted.then(|| {
                    let rest: Vec<String> = (part.as_bytes().chunks(3))
                        .map(|three| String::from_utf8_lossy(three).into_owned())
                        .collect();
                    let whole = between.map_or(shown.to_owned(), |it| grouped(shown, it));
                    format!("{whole}{sign}{}", rest.join(" "))
                });
                let is_it = again == text || spaced.is_some_and(|it| it == text);
                if is_it && !found.contains(&meant) {
                    found.push(meant);
                }
            }
        }
    }
    found
}

/// Units of a kind in the spellings that students use, and their sizes in coherent SI units.
const SPELLINGS: &[(&str, &[(&str, f64)])] = &[
    (
        "kN",
        &[
            ("kN", 1e3),
            ("N", 1.0),
            ("KN", 1e3),
            ("MN", 1e6),
            ("kilonewtons", 1e3),
            ("(kN)", 1e3),
            ("newton", 1.0),
            ("kg m/s^2", 1.0),
            ("kg*m/s²", 1.0),
        ],
    ),
    (
        "kN m",
        &[
            ("kN m", 1e3),
            ("kNm", 1e3),
            ("Nm", 1.0),
            ("N m", 1.0),
            ("kN·m", 1e3),
            ("N*m", 1.0),
            ("Nmm", 1e-3),
        ],
    ),
    (
        "kPa",
        &[
            ("kPa", 1e3),
            ("KPa", 1e3),
            ("Pa", 1.0),
            ("N/mm2", 1e6),
            ("N/mm^2", 1e6),
            ("kN/m²", 1e3),
            ("bar", 1e5),
            ("MPa", 1e6),
            ("N/m2", 1.0),
        ],
    ),
    (
        "m/s",
        &[
            ("m/s", 1.0),
            ("m s^-1", 1.0),
            ("m s⁻¹", 1.0),
            ("km/h", 1.0 / 3.6),
            ("mm/s", 1e-3),
        ],
    ),
    (
        "mm^2",
        &[
            ("mm^2", 1e-6),
            ("mm2", 1e-6),
            ("mm²", 1e-6),
            ("m2", 1.0),
            ("cm²", 1e-4),
        ],
    ),
    (
        "L/s",
        &[
            ("L/s", 1e-3),
            ("l/s", 1e-3),
            ("m3/s", 1.0),
            ("m³/s", 1.0),
            ("m^3/h", 1.0 / 3600.0),
            ("L/min", 1e-3 / 60.0),
        ],
    ),
    (
        "kW",
        &[
            ("kW", 1e3),
            ("W", 1.0),
            ("KW", 1e3),
            ("watts", 1.0),
            ("kJ/s", 1e3),
            ("Nm/s", 1.0),
        ],
    ),
    (
        "kJ/(kg K)",
        &[
            ("kJ/(kg K)", 1e3),
            ("kJ/(kg·K)", 1e3),
            ("kJ/kg/K", 1e3),
            ("kJ/kg K", 1e3),
            ("J/(kg °C)", 1.0),
            ("kJ/(kg C)", 1e3),
            ("kJ kg^-1 K^-1", 1e3),
        ],
    ),
];

fn units() -> impl Strategy<Value = (&'static str, &'static str, f64)> {
    (0..SPELLINGS.len(), 0..16_usize).prop_map(|(kind, which)| {
        let (unit, spellings) = SPELLINGS[kind];
        let (text, size) = spellings[which % spellings.len()];
        (unit, text, size)
    })
}

fn blanks(text: String, blank: char) -> String {
    text.replacen(' ', &blank.to_string(), 1)
}

proptest! {
    /// Read is the value, and to a person goes only what has two readings.
    #[test]
    fn a_quantity_is_read_as_it_was_meant(
        number in decimals(), form in forms(), power in -6..7_i32,
        (unit, spelling, size) in units(), direction in 0..7_usize,
        named in 0..5_usize, apart in any::<bool>(),
    ) {
        let (digits, value) = written(number, form, power);
        let apart = if apart { " " } else { "" };
        let quantity = format!("{digits}{apart}{spelling}");
        let (text, sign) = match direction {
            0 => (quantity, 1.0),
            1 => (format!("-{quantity}"), -1.0),
            2 => (format!("− {quantity}"), -1.0),
            3 => (format!("{quantity} upstream"), -1.0),
            4 => (format!("upstream {quantity}"), -1.0),
            5 => (format!("{quantity}, downstream"), 1.0),
            _ => (format!("{quantity} (upstream)"), -1.0),
        };
        let text = match named {
            0 => format!("R_x = {text}"),
            1 => format!("= {text}"),
            2 => format!("~{text}"),
            3 => blanks(text, '\u{a0}'),
            _ => text,
        };
        let asked = with_words(asked(unit), "downstream", "upstream");
        let mantissa: String = digits.chars().take_while(|it| !matches!(it, 'e' | 'E' | '×' | '·' | '*' | 'x')).collect();
        let bare: String = mantissa.trim_end().replace(numeral::is_blank, " ");
        let count = meanings(&bare).len();
        prop_assert!(count >= 1, "{:?} is meant by nothing", bare);
        match read(&asked, &text, Signs::default()) {
            Field::One(found) => {
                prop_assert_eq!(count, 1, "{} has {:?}", text, meanings(&bare));
                let expected = sign * value * size;
                let own = found.numbers[0].unwrap();
                prop_assert!(is_close(own.si, expected), "{}: {} for {}", text, own.si, expected);
                prop_assert!(matches!(found.unit, WrittenUnit::Asked(_)), "{}: {:?}", text, found);
                let half = 0.5 * 10_f64.powi(-number.places.cast_signed()) * size
                    * if matches!(form, Form::Power(..)) { 10_f64.powi(power) } else { 1.0 };
                prop_assert!(is_close(own.half, half), "{}: {} for {}", text, own.half, half);
                let figures = number.digits.to_string().len() as u32;
                prop_assert_eq!(own.figures.most, figures);
            }
            Field::Person(doubt) => {
                prop_assert!(count > 1, "{}: {:?}", text, doubt);
                prop_assert!(matches!(doubt, Doubt::TwoReadings(..)), "{}: {:?}", text, doubt);
            }
            other => prop_assert!(false, "{}: {:?}", text, other),
        }
        // What the row says decides, and by the row the reading is the one that was meant.
        let row = match form {
            Form::Plain(',') | Form::Power(_, ',') | Form::Grouped(_, ',') => Signs::of("0,5"),
            _ => Signs::of("0.55"),
        };
        if let Field::One(found) = read(&asked, &text, row) {
            let own = found.numbers[0].unwrap();
            prop_assert!(is_close(own.si, sign * value * size), "{} in its row: {}", text, own.si);
        } else {
            prop_assert!(false, "{} is not read in its row", text);
        }
    }

    /// Of digits, points, commas and blanks in any order that is read which has one meaning.
    #[test]
    fn a_number_is_read_where_it_has_one_meaning(
        text in "[1-9][0-9]{0,3}([., ][0-9]{1,4}){0,3}|0[.,][0-9]{1,4}|[.,][0-9]{1,4}",
    ) {
        let found = meanings(&text);
        let has_point = text.contains('.');
        match read(&asked(""), &text, Signs::default()) {
            Field::One(own) => {
                prop_assert_eq!(found.len(), 1, "{} has {:?}", text, found);
                let value: f64 = found[0].parse().unwrap();
                prop_assert!(is_close(own.numbers[0].unwrap().si, value), "{}", text);
            }
            Field::Person(Doubt::TwoReadings(one, other)) => {
                let are_meant = found.contains(&one) && found.contains(&other);
                prop_assert!(are_meant || found.is_empty(), "{}", text);
            }
            Field::Person(_) => {
                prop_assert!(found.is_empty() || has_point && text.contains(','), "{} is {:?}", text, found);
            }
            other => prop_assert!(false, "{}: {:?}", text, other),
        }
    }

    /// Signs and words that say it twice, two words, two numbers: never read.
    #[test]
    fn what_is_said_twice_is_not_read(
        number in decimals(), (unit, spelling, _) in units(), which in 0..6_usize,
    ) {
        let (digits, _) = written(number, Form::Plain('.'), 0);
        let asked = with_words(asked(unit), "downstream", "upstream");
        let text = match which {
            0 => format!("-{digits} {spelling} upstream"),
            1 => format!("−{digits} {spelling} downstream"),
            2 => format!("+{digits} {spelling} upstream"),
            3 => format!("upstream {digits} {spelling} downstream"),
            4 => format!("{digits} {spelling} or {digits} {spelling}"),
            _ => format!("{digits} {spelling} = {digits}"),
        };
        let found = read(&asked, &text, Signs::default());
        prop_assert!(matches!(found, Field::Person(_)), "{}: {:?}", text, found);
    }

    /// Temperatures: points on every scale, and intervals of it.
    #[test]
    fn a_temperature_is_a_point_or_an_interval(
        number in decimals(), which in 0..8_usize, is_interval in any::<bool>(), asks_kelvin in any::<bool>(),
    ) {
        let (digits, value) = written(number, Form::Plain('.'), 0);
        let scale = ["°C", "degC", "C", "°", "deg C", "K", "degF", "° C"][which];
        let weight = if is_interval { Weight::INTERVAL } else { Weight::POINT };
        let unit = if asks_kelvin { "K" } else { "degC" };
        let asked = reading(asked(unit), CountsFrom::Scaled(Scale::Temperature, weight));
        let expected = match (scale, is_interval) {
            ("K", _) => value,
            ("degF", true) => value / 1.8,
            ("degF", false) => (value + 459.67) / 1.8,
            (_, true) => value,
            (_, false) => value + 273.15,
        };
        let text = format!("{digits} {scale}");
        match read(&asked, &text, Signs::default()) {
            Field::One(found) => {
                let own = found.numbers[0].unwrap().si;
                prop_assert!(is_close(own, expected), "{}: {} for {}", text, own, expected);
                let says = found.remarks.iter().any(|it| matches!(it, Remark::OfAnInterval(_)));
                prop_assert_eq!(says, is_interval && scale != "K", "{}", text);
            }
            other => prop_assert!(false, "{}: {:?}", text, other),
        }
    }

    /// Shares and angles: a number that may be a plain one is read as both.
    #[test]
    fn a_bare_share_or_angle_is_read_as_both_where_it_may_be(number in decimals(), is_angle in any::<bool>()) {
        let (digits, value) = written(number, Form::Plain('.'), 0);
        let (unit, size, most) = match is_angle {
            true => ("deg", std::f64::consts::PI / 180.0, std::f64::consts::TAU),
            false => ("%", 0.01, 1.0),
        };
        let asked = asked(unit);
        match read(&asked, &digits, Signs::default()) {
            Field::Either(both) => {
                prop_assert!(value <= most, "{}", digits);
                let [bare, own] = both.map(|it| it.numbers[0].unwrap());
                prop_assert!(is_close(bare.si, value) && is_close(own.si, value * size));
                prop_assert!(is_close(bare.half * size, own.half), "{:?} {:?}", bare, own);
            }
            Field::One(found) => {
                prop_assert!(value > most, "{}", digits);
                prop_assert!(is_close(found.numbers[0].unwrap().si, value * size));
            }
            other => prop_assert!(false, "{}: {:?}", digits, other),
        }
    }

    /// Gauge and absolute pressures with every word for them.
    #[test]
    fn a_pressure_is_of_the_datum_that_is_asked(
        number in decimals(), which in 0..7_usize, is_gauge in any::<bool>(), is_known in any::<bool>(),
    ) {
        let (digits, value) = written(number, Form::Plain('.'), 0);
        let (unit, size, word) = [
            ("kPa", 1e3, None), ("kPa gauge", 1e3, Some(true)), ("kPa abs", 1e3, Some(false)),
            ("barg", 1e5, Some(true)), ("bara", 1e5, Some(false)),
            ("kPag", 1e3, Some(true)), ("kPa(a)", 1e3, Some(false)),
        ][which];
        let datum = if is_gauge { Datum::Gauge } else { Datum::Absolute };
        let asked = Asked {
            atmosphere: is_known.then_some(101_325.0),
            ..reading(asked("kPa"), CountsFrom::Pressure(datum, Weight::POINT))
        };
        let differs = word.is_some_and(|word| word != is_gauge);
        let text = format!("{digits} {unit}");
        match read(&asked, &text, Signs::default()) {
            Field::One(found) => {
                prop_assert!(!differs || is_known, "{}", text);
                let by = match (differs, is_gauge) {
                    (false, _) => 0.0,
                    (true, true) => -101_325.0,
                    (true, false) => 101_325.0,
                };
                let expected = value * size + by;
                let own = found.numbers[0].unwrap().si;
                let is_near = (own - expected).abs() <= 1e-9 * (expected.abs() + 101_325.0);
                prop_assert!(is_near, "{}: {} for {}", text, own, expected);
            }
            Field::Person(doubt) => {
                prop_assert!(differs && !is_known, "{}: {:?}", text, doubt);
            }
            other => prop_assert!(false, "{}: {:?}", text, other),
        }
    }

    /// Vectors in brackets, with both decimal signs and both separators.
    #[test]
    fn a_vector_is_read_by_its_components(
        numbers in (decimals(), decimals()), comma in any::<bool>(), between in 0..4_usize,
        negative in any::<bool>(), (unit, spelling, size) in units(),
    ) {
        let sign = if comma { ',' } else { '.' };
        let ((one, first), (other, second)) =
            (written(numbers.0, Form::Plain(sign), 0), written(numbers.1, Form::Plain(sign), 0));
        let between = [", ", "; ", ";", ","][between];
        let minus = if negative { "−" } else { "" };
        let text = format!("({one}{between}{minus}{other}) {spelling}");
        let asked = Asked { shape: Shape::Vector(2), ..asked(unit) };
        let second = if negative { -second } else { second };
        match read(&asked, &text, Signs::default()) {
            Field::One(found) => {
                let own = [0, 1].map(|at| found.numbers[at].unwrap().si);
                let is_it = is_close(own[0], first * size) && is_close(own[1], second * size);
                prop_assert!(is_it, "{}: {:?} for {} {}", text, own, first * size, second * size);
            }
            Field::Person(doubt) => {
                let may_differ = [&one, &other].iter().any(|it| meanings(it).len() > 1)
                    || between == ",";
                prop_assert!(may_differ, "{}: {:?}", text, doubt);
            }
            other => prop_assert!(false, "{}: {:?}", text, other),
        }
    }

    /// Columns of readings.
    #[test]
    fn a_column_is_read_entry_by_entry(
        numbers in proptest::collection::vec(decimals(), 3..7), comma in any::<bool>(),
        between in 0..4_usize, missing in 0..12_usize, lacks in any::<bool>(),
    ) {
        let sign = if comma { ',' } else { '.' };
        let between = [" ", ", ", "; ", "  "][between];
        let texts: Vec<String> = (numbers.iter().enumerate())
            .map(|(at, number)| match at == missing {
                true => "—".to_owned(),
                false => written(*number, Form::Plain(sign), 0).0,
            })
            .collect();
        let text = format!("{} mm", texts.join(between));
        let count = numbers.len() + usize::from(lacks);
        let asked = Asked { shape: Shape::Column(count), ..asked("mm") };
        match read(&asked, &text, Signs::default()) {
            Field::One(found) => {
                prop_assert!(!lacks, "{}", text);
                for (at, (own, number)) in found.numbers.iter().zip(&numbers).enumerate() {
                    prop_assert_eq!(own.is_none(), at == missing);
                    let is_it = own.is_none_or(|own| is_close(own.si, number.value() * 1e-3));
                    prop_assert!(is_it, "{}: {:?}", text, own);
                }
            }
            Field::Person(Doubt::Entries(written, asked)) => {
                prop_assert!(lacks && (written, asked) == (numbers.len(), count), "{}", text);
            }
            Field::Person(doubt) => {
                let is_open = texts.iter().any(|it| meanings(it).len() > 1)
                    || comma && texts.iter().any(|it| it.contains(','));
                prop_assert!(is_open, "{}: {:?}", text, doubt);
            }
            other => prop_assert!(false, "{}: {:?}", text, other),
        }
    }

    #[test]
    fn no_text_makes_it_panic(text in "\\PC{0,30}", pieces in "[0-9.,eE×10^() \\[\\];=~±°%/kNmPaC—−-]{0,20}") {
        for unit in ["kN", "deg", "%", "degC", ""] {
            for shape in [Shape::Scalar, Shape::Vector(2), Shape::Column(3)] {
                let asked = with_words(Asked { shape, by_angle: true, ..asked(unit) }, "up", "N");
                for text in [&text, &pieces] {
                    if let Field::Person(doubt) = read(&asked, text, Signs::of(text)) {
                        prop_assert!(!doubt.message(text, "R_x").is_empty());
                    }
                }
            }
        }
    }
}
