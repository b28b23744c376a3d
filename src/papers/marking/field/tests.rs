use super::*;
use crate::diagnostic::{Code, explanation};
use crate::dimensions::{Counts, Datum, Form, Scale, Weight};

/// What is asked, by the unit and what the worksheet has found of it.
pub(super) fn asked(source: &str) -> Asked {
    let unit = Unit::from_source(source).expect(source);
    Asked {
        name: "R_x".into(),
        others: vec!["V_1".into(), "R_x".into()],
        shape: Shape::Scalar,
        found: Type {
            counts: Counts::of_unit(&unit),
            ..Type::plain(Form::known(unit.dimension()))
        },
        unit,
        words: Words::default(),
        atmosphere: None,
        by_angle: false,
    }
}

pub(super) fn with_words(asked: Asked, positive: &str, negative: &str) -> Asked {
    let words = Words {
        positive: Some(positive.into()),
        negative: Some(negative.into()),
    };
    Asked { words, ..asked }
}

pub(super) fn reading(asked: Asked, reading: CountsFrom) -> Asked {
    let found = Type {
        reading,
        ..asked.found
    };
    Asked { found, ..asked }
}

fn point() -> CountsFrom {
    CountsFrom::Scaled(Scale::Temperature, Weight::POINT)
}

fn interval() -> CountsFrom {
    CountsFrom::Scaled(Scale::Temperature, Weight::INTERVAL)
}

fn gauge() -> CountsFrom {
    CountsFrom::Pressure(Datum::Gauge, Weight::POINT)
}

/// The row says nothing, has decimal commas, or has points.
pub(super) fn row(field: &str) -> Signs {
    Signs::of(field)
}

fn one(asked: &Asked, field: &str) -> Written {
    one_in(asked, field, Signs::default())
}

fn one_in(asked: &Asked, field: &str, row: Signs) -> Written {
    match read(asked, field, row) {
        Field::One(written) => written,
        other => panic!("{field}: {other:?}"),
    }
}

fn si(asked: &Asked, field: &str) -> f64 {
    one(asked, field).numbers[0].expect(field).si
}

fn doubt(asked: &Asked, field: &str) -> Doubt {
    match read(asked, field, Signs::default()) {
        Field::Person(doubt) => doubt,
        other => panic!("{field}: {other:?}"),
    }
}

pub(super) fn is_close(found: f64, expected: f64) -> bool {
    (found - expected).abs() <= 1e-12 * expected.abs()
}

#[track_caller]
fn is_near(found: f64, expected: f64) {
    assert!(is_close(found, expected), "{found} is not {expected}");
}

#[test]
fn one_quantity_is_read_in_every_form_of_it() {
    let force = with_words(asked("kN"), "downstream", "upstream");
    for (field, newtons) in [
        ("12.4 kN", 12_400.0),
        ("12.4 kN upstream", -12_400.0),
        ("upstream 12.4 kN", -12_400.0),
        ("12.4 kN (Upstream)", -12_400.0),
        ("12.4 kN, downstream", 12_400.0),
        ("-12.4 kN", -12_400.0),
        ("−12,4 kN", -12_400.0),
        ("– 12.4 kN", -12_400.0),
        ("+12.4 kN", 12_400.0),
        ("1.24e4 N", 12_400.0),
        ("1.24E+4 N", 12_400.0),
        ("1.24 × 10^4 N", 12_400.0),
        ("1,24 x 10^4 N", 12_400.0),
        ("1.24·10⁴ N", 12_400.0),
        ("1.24 * 10^4 N", 12_400.0),
        ("124e−1 kN", 12_400.0),
        ("12.4 (kN)", 12_400.0),
        ("R_x = 12.4 kN", 12_400.0),
        ("R = 12,4 kN", 12_400.0),
        ("= 12.4 kN", 12_400.0),
        ("~12.4 kN", 12_400.0),
        ("R_x ≈ 12.4 kN", 12_400.0),
        ("12 400 N", 12_400.0),
        ("12\u{202f}400\u{a0}N", 12_400.0),
        ("1,234,567.5 N", 1_234_567.5),
        ("1 234 567 N", 1_234_567.0),
        ("12.4kN", 12_400.0),
        ("12.4", 12_400.0),
        ("12.4 KN", 12_400.0),
        ("12.4 kilonewtons", 12_400.0),
        ("12.4 kg km/s^2", 12_400.0),
        ("0,944 kN", 944.0),
        ("1/2 kN", 500.0),
    ] {
        is_near(si(&force, field), newtons);
    }
}

#[test]
fn units_that_help_names_are_taken_where_one_is_of_the_kind_asked() {
    let of = |unit: &str, field: &str, expected: f64| {
        let written = one(&asked(unit), field);
        assert!(
            matches!(written.unit, WrittenUnit::Asked(_)),
            "{field}: {written:?}"
        );
        is_near(written.numbers[0].expect(field).si, expected);
        written.remarks
    };
    let remarks = of("kN m", "6.36 kNm", 6360.0);
    assert_eq!(remarks, [Remark::read_as("kNm", "kN m")]);
    of("N m", "6360 Nm", 6360.0);
    of("kPa", "151 KPa", 151e3);
    of("MPa", "151 N/mm2", 151e6);
    of("m^2", "3.2 m2", 3.2);
    of("m^3/s", "3.2 m3/s", 3.2);
    of("kJ/(kg K)", "4.18 kJ/(kg K)", 4180.0);
    of("kJ/(kg K)", "4.18 kJ/kgK", 4180.0);
    of("kJ/(kg K)", "4.18 kJ/kg K", 4180.0);
    of("kJ/(kg K)", "4.18 kJ/(kg C)", 4180.0);
    of("N m", "6.36 kN m", 6360.0);
    of("m/s", "63 km/h", 17.5);
    of("rpm", "157.0796326794896619 rad/s", 25.0);
    of("rpm", "1500 rev/min", 25.0);
}

#[test]
fn a_unit_of_another_kind_leaves_the_number_in_the_unit_asked() {
    let written = one(&asked("kN"), "5.14 kPa");
    assert!(matches!(written.unit, WrittenUnit::Other(_)));
    is_near(written.numbers[0].unwrap().si, 5140.0);
    assert!(matches!(
        one(&asked("N m"), "6 nm").unit,
        WrittenUnit::Other(_)
    ));
    assert!(matches!(
        one(&asked("kN"), "6.36 kN m").unit,
        WrittenUnit::Other(_)
    ));
    // What is no unit is none of another kind: `kNm` may be a slip of kN.
    assert_eq!(doubt(&asked("kN"), "6.36 kNm").code(), Code::L05);
    let bare = one(&asked("kN"), "5.14");
    assert_eq!(bare.unit, WrittenUnit::None);
    assert_eq!(bare.remarks, [Remark::NoUnit]);
    assert_eq!(doubt(&asked("kN"), "5.14 widgets").code(), Code::L05);
}

#[test]
fn a_comma_before_three_digits_goes_by_the_row() {
    let pressure = asked("kPa");
    let value = |field: &str, row: Signs| one_in(&pressure, field, row).numbers[0].unwrap().si;
    assert_eq!(doubt(&pressure, "1,200 kPa").code(), Code::L06);
    is_near(value("1,200 kPa", row("31.7")), 1_200e3);
    is_near(value("1,200 kPa", row("31,7")), 1.2e3);
    is_near(value("1,200 kPa", row("0,944")), 1.2e3);
    let both = row("31,7").and(row("31.7"));
    assert!(matches!(
        read(&pressure, "1,200 kPa", both),
        Field::Person(_)
    ));
    assert!(matches!(
        read(&pressure, "1,200 kPa", row("2,300")),
        Field::Person(_)
    ));
    is_near(value("1234,567 kPa", Signs::default()), 1_234_567.0);
    is_near(value("1 431,500 kPa", Signs::default()), 1_431_500.0);
    is_near(value("1,200.5 kPa", Signs::default()), 1_200_500.0);
    is_near(value(",5 kPa", Signs::default()), 500.0);
    // One who writes decimal commas may part thousands by a point.
    assert!(matches!(
        read(&pressure, "1.200 kPa", row("31,7")),
        Field::Person(_)
    ));
    is_near(value("1.20 kPa", row("31,7")), 1.2e3);
    for field in [
        "1.200,5 kPa",
        "1,20,3 kPa",
        "0 944 kPa",
        "1 43 kPa",
        "1.2.3 kPa",
        "12,34,567 kPa",
    ] {
        assert_eq!(doubt(&pressure, field).code(), Code::L05, "{field}");
    }
}

#[test]
fn a_sign_and_a_word_say_it_once() {
    let force = with_words(asked("N"), "downstream", "upstream");
    for field in [
        "-551 N upstream",
        "−551 N downstream",
        "+551 N upstream",
        "551 N upstream downstream",
        "upstream 551 N downstream",
    ] {
        assert_eq!(doubt(&force, field).code(), Code::L06, "{field}");
    }
    let written = one(&force, "+551 N downstream");
    assert_eq!(
        (written.sign, written.word),
        (Some(Sign::Plus), Some(Sign::Plus))
    );
    assert_eq!(doubt(&force, "upstream").code(), Code::L05);
    assert_eq!(doubt(&force, "551 N up").code(), Code::L05);
    // A word that is a unit, too.
    let north = with_words(asked("kN"), "N", "S");
    is_near(si(&north, "5 kN N"), 5000.0);
    is_near(si(&north, "5 kN S"), -5000.0);
    is_near(si(&north, "5 N"), 5.0);
    assert!(matches!(
        read(&with_words(asked("m"), "N", "S"), "5 N", Signs::default()),
        Field::Person(_)
    ));
}

#[test]
fn temperatures_are_points_or_intervals() {
    let point = reading(asked("degC"), point());
    for field in [
        "57.2 °C",
        "57.2 degC",
        "57.2 C",
        "57.2°",
        "57.2 deg C",
        "57.2 ° C",
        "57.2",
        "57,2 C",
        "330.35 K",
    ] {
        is_near(si(&point, field), 330.35);
    }
    is_near(si(&point, "134.96 degF"), 330.35);
    assert_eq!(one(&point, "57.2 F").numbers.len(), 1);
    assert!(matches!(one(&point, "57.2 F").unit, WrittenUnit::Other(_)));
    let fahrenheit = Asked {
        unit: Unit::lone("degF").unwrap(),
        ..point.clone()
    };
    is_near(si(&fahrenheit, "134.96 F"), 330.35);
    is_near(si(&fahrenheit, "57.2 C"), 330.35);
    assert_eq!(doubt(&fahrenheit, "57.2°").code(), Code::L06);
    let interval = reading(asked("K"), interval());
    for field in ["10.8 K", "10.8 °C", "10.8 (K)", "10,8 C", "19.44 degF"] {
        is_near(si(&interval, field), 10.8);
    }
    assert!(
        one(&interval, "10.8 °C")
            .remarks
            .contains(&Remark::OfAnInterval("°C".into()))
    );
    assert!(one(&interval, "10.8 K").remarks.is_empty());
    assert_eq!(doubt(&point, "10.8 degC difference").code(), Code::L06);
}

#[test]
fn shares_and_angles_without_a_unit_may_be_plain_numbers() {
    let both = |unit: &str, field: &str| match read(&asked(unit), field, Signs::default()) {
        Field::Either(both) => both.map(|it| it.numbers[0].unwrap().si),
        other => panic!("{field}: {other:?}"),
    };
    let [number, share] = both("%", "0.865");
    is_near(number, 0.865);
    is_near(share, 0.00865);
    let [radians, degrees] = both("deg", "0.0165");
    is_near(radians, 0.0165);
    is_near(degrees, 0.0165_f64.to_radians());
    is_near(si(&asked("%"), "86.5"), 0.865);
    is_near(si(&asked("%"), "0.865 %"), 0.00865);
    is_near(si(&asked("deg"), "12.5"), 12.5_f64.to_radians());
    is_near(si(&asked("deg"), "0.944°"), 0.944_f64.to_radians());
    is_near(si(&asked("deg"), "0,0165 rad"), 0.0165);
    is_near(si(&asked(""), "0.865"), 0.865);
    is_near(si(&asked(""), "86.5 %"), 0.865);
    assert!(one(&asked(""), "0.865").remarks.is_empty());
}

#[test]
fn gauge_and_absolute_differ_by_the_atmosphere() {
    let gauge = reading(asked("kPa"), gauge());
    for field in [
        "151 kPa",
        "151 kPa gauge",
        "151",
        "151 kPag",
        "151 kPa(g)",
        "1.51 barg",
    ] {
        is_near(si(&gauge, field), 151e3);
    }
    assert_eq!(doubt(&gauge, "252 kPa abs").code(), Code::L06);
    let known = Asked {
        atmosphere: Some(101e3),
        ..gauge
    };
    is_near(si(&known, "252 kPa abs"), 151e3);
    is_near(si(&known, "2.52 bara"), 151e3);
    assert!(
        one(&known, "252 kPa abs")
            .remarks
            .contains(&Remark::ByAtmosphere(syntax::Datum::Absolute))
    );
    assert_eq!(doubt(&asked("kPa"), "252 kPa abs").code(), Code::L06);
}

#[test]
fn vectors_are_read_by_components_or_by_size_and_angle() {
    let force = Asked {
        shape: Shape::Vector(2),
        ..asked("kN")
    };
    let components = |field: &str| {
        let written = one(&force, field);
        [0, 1].map(|at| written.numbers[at].expect(field).si)
    };
    for field in [
        "(9.36, 3.78) kN",
        "(9.36,3.78) kN",
        "[9360, 3780] N",
        "(9,36; 3,78) kN",
        "(9,36, 3,78) kN",
        "(9,36,3,78) kN",
        "(9.36 ; 3.78)",
        "R_x = (9.36, 3.78) kN",
    ] {
        let [x, y] = components(field);
        is_near(x, 9360.0);
        is_near(y, 3780.0);
    }
    is_near(components("(-9.36, − 3.78) kN")[1], -3780.0);
    assert_eq!(doubt(&force, "(9.36, 3.78, 1) kN").code(), Code::L05);
    assert_eq!(doubt(&force, "9.36, 3.78 kN").code(), Code::L05);
    assert_eq!(doubt(&force, "10.1 kN at 22°").code(), Code::L05);
    assert!(matches!(
        read(&force, "(9,36) kN", row("0,5")),
        Field::Person(Doubt::TwoReadings(..))
    ));
    assert_eq!(doubt(&force, "(1,200, 3,400) kN").code(), Code::L06);
    let polar = Asked {
        by_angle: true,
        ..force.clone()
    };
    let written = one(&polar, "10,0 kN at 30°");
    is_near(written.numbers[0].unwrap().si, 1e4 * 0.75_f64.sqrt());
    is_near(written.numbers[1].unwrap().si, 5000.0);
    assert_eq!(doubt(&polar, "10.1 kN at 1.5").code(), Code::L05);
}

#[test]
fn own_readings_are_as_many_as_the_table_has() {
    let column = Asked {
        shape: Shape::Column(5),
        ..asked("mm")
    };
    for field in [
        "20 39 61 80 99 mm",
        "20, 39, 61, 80, 99 mm",
        "[20; 39; 61; 80; 99] mm",
        "20,39,61,80,99mm",
        "2.0 3.9 6.1 8.0 9.9 cm",
        "2,0 3,9 6,1 8,0 9,9 cm",
        "20 39 61 80 99",
    ] {
        let written = one(&column, field);
        let found: Vec<f64> = written
            .numbers
            .iter()
            .map(|it| (it.unwrap().si * 1e4).round())
            .collect();
        assert_eq!(found, [200.0, 390.0, 610.0, 800.0, 990.0], "{field}");
    }
    let missing = one(&column, "20 39 — 80 99 mm").numbers;
    assert_eq!(missing.iter().filter(|it| it.is_none()).count(), 1);
    assert_eq!(doubt(&column, "20 39 61 80 mm"), Doubt::Entries(4, 5));
    assert_eq!(
        doubt(&column, "20 39 61 80 mm").message("", "4 x_i"),
        "`4 x_i` has 4 readings, the table 5"
    );
    assert_eq!(doubt(&column, "20 39 61 80 x9 mm").code(), Code::L11);
    // A blank parts entries and never groups.
    let two = Asked {
        shape: Shape::Column(2),
        ..asked("mm")
    };
    assert_eq!(one(&two, "1 431 mm").numbers.len(), 2);
}

#[test]
fn figures_are_those_written() {
    let figures = |field: &str| {
        let number = one(&asked("N"), field).numbers[0].expect(field);
        (
            number.figures.most,
            number.figures.least,
            number.figures.for_slips(),
            number.half,
        )
    };
    assert_eq!(figures("2752 N"), (4, 4, 4, 0.5));
    assert_eq!(figures("1200 N"), (4, 2, 3, 0.5));
    assert_eq!(figures("0.0140 kN"), (3, 3, 3, 0.05));
    assert_eq!(figures("1.2e3 N"), (2, 2, 2, 50.0));
    assert_eq!(figures("300 N"), (3, 1, 3, 0.5));
    assert_eq!(figures("3 kN"), (1, 1, 1, 500.0));
    let zeros = one(&asked("N"), "1200 N").numbers[0].unwrap();
    assert_eq!((zeros.half_at(3), zeros.half_at(2)), (5.0, 50.0));
}

#[test]
fn what_stands_behind_a_sign_of_uncertainty_is_not_judged() {
    let g = asked("m/s^2");
    for (field, size) in [
        ("(9.80 ± 0.03) m/s²", "± 0.03"),
        ("9.80 m/s^2 ± 0.03 m/s^2", "± 0.03 m/s^2"),
        ("(9,80 ± 0,03) m/s^2", "± 0.03"),
    ] {
        let written = one(&g, field);
        is_near(written.numbers[0].unwrap().si, 9.8);
        assert_eq!(written.uncertainty.as_deref(), Some(size), "{field}");
        assert_eq!(written.numbers[0].unwrap().figures.most, 3);
    }
}

#[test]
fn dashes_are_blanks() {
    for field in ["", "  ", "\u{a0}"] {
        assert_eq!(
            read(&asked("N"), field, Signs::default()),
            Field::Blank(None)
        );
    }
    for field in ["-", "—", "–", " n/a ", "N/A"] {
        let found = read(&asked("N"), field, Signs::default());
        assert!(matches!(found, Field::Blank(Some(_))), "{field}: {found:?}");
    }
}

#[test]
fn what_is_no_quantity_goes_to_a_person() {
    for field in [
        "see back",
        "17.4 or 17.5 m/s",
        "3-5 N",
        "3–5 N",
        "5 ft 3 in",
        "V_1 = 2.79 N",
        "F/A = 3 N",
        "R_x = 3 kN = 3000 N",
        "=HYPERLINK(\"x\")",
        "=1+1",
        "<551 N",
        "551 N or so",
        "N",
        "1.24 × 104 N x",
        "1e999 N",
        "5 5 N",
        "10^4 N",
        "±3 N",
        "()",
        "5 N -- six",
        "12°30' N",
    ] {
        assert_eq!(doubt(&asked("N"), field).code(), Code::L05, "{field}");
    }
    let long = "1".repeat(1 << 20);
    assert_eq!(doubt(&asked("N"), &long), Doubt::TooLong);
    let message = doubt(&asked("N"), &"é ".repeat(300)).message(&"é ".repeat(300), "R_x");
    assert!(message.chars().count() < 70, "{message}");
}

/// The answers in the examples of a page.
fn example(code: Code, heading: &str) -> Field {
    let page = explanation(code).page;
    let (_, after) = page.split_once(heading).expect("the heading");
    let last = after
        .lines()
        .find(|line| line.starts_with("s0"))
        .expect("a row");
    let field = last.splitn(3, ',').nth(2).unwrap_or("").trim_matches('"');
    let asked = match code {
        Code::L11 => Asked {
            shape: Shape::Column(5),
            ..asked("mm")
        },
        _ => asked("m/s"),
    };
    // The way out of 1200 kPa is shown in a part of speed.
    read(&asked, field, Signs::default())
}

#[test]
fn the_pages_of_the_codes_show_what_they_say() {
    for code in [Code::L05, Code::L06, Code::L11] {
        let refused = example(code, "## Refused");
        assert!(
            matches!(&refused, Field::Person(doubt) if doubt.code() == code),
            "{code}: {refused:?}"
        );
        let accepted = example(code, "## Accepted");
        assert!(matches!(accepted, Field::One(_)), "{code}: {accepted:?}");
    }
}
