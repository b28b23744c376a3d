//! Laws of readings: whole worksheets with random data, forms and asks, against plain arithmetic.
//!
//! The arithmetic here knows one rule: a sum of w points of a scale moves by w when the zero of the
//! scale does, and has a meaning for w = 0 and w = 1 alone.

use proptest::prelude::*;
use serde_json::Value;
use setsquare::text::Source;
use setsquare::worksheet::{compile, fill, unfill};

const ZERO: f64 = 273.15;
const ATMOSPHERE: f64 = 101.3;

/// A result: value, unit, word.
type Told = (f64, String, Option<String>);

/// The codes of the messages, and the last result.
fn outcome(text: &str) -> (Vec<String>, Option<Told>) {
    let worksheet = compile(Source::new("law.md", text));
    let report = setsquare::page::report(&[worksheet]);
    let report: Value = serde_json::from_str(&report).expect("JSON");
    let entries = |key: &str| report[0][key].as_array().cloned().unwrap_or_default();
    let text = |entry: &Value, key: &str| entry[key].as_str().map(str::to_owned);
    let codes = (entries("diagnostics").iter())
        .filter_map(|entry| text(entry, "code"))
        .collect();
    let last = entries("results").last().and_then(|entry| {
        let unit = text(entry, "unit")?;
        Some((entry["value"].as_f64()?, unit, text(entry, "datum")))
    });
    (codes, last)
}

/// What is filled is accepted, and emptied it is the same text.
fn fills(text: &str) {
    let sheet = |text: &str| compile(Source::new("law.md", text));
    let filled = fill(&sheet(text));
    assert_eq!(outcome(&filled).0, Vec::<String>::new(), "{filled}");
    assert_eq!(
        unfill(&compile(Source::new("law.md", &*filled))),
        text,
        "{filled}"
    );
}

fn agrees(found: f64, wanted: f64) -> bool {
    (found - wanted).abs() <= 1e-9 * found.abs().max(wanted.abs()).max(1.0)
}

/// A sum of points with weights in tenths, in some form: what is given, what defines it.
fn weighted(form: usize, points: &[i32], tenths: &[i32]) -> (String, String) {
    let mut given: String = (points.iter().enumerate())
        .map(|(at, point)| format!("T_{at} = {point} degC\n"))
        .collect();
    let weights: Vec<String> = (tenths.iter())
        .map(|tenth| format!("{:.1}", f64::from(*tenth) / 10.0))
        .collect();
    for (at, weight) in weights.iter().enumerate() {
        given += &format!("w_{at} = {weight}\n");
    }
    let list = |items: &[String]| format!("[{}]", items.join(", "));
    let texts: Vec<String> = points.iter().map(i32::to_string).collect();
    given += &format!(
        "T_i = {} degC\nw_i = {}\nn = 10\n",
        list(&texts),
        list(&weights)
    );
    let sum = |term: &dyn Fn(usize) -> String| {
        let terms: Vec<String> = (0..points.len()).map(term).collect();
        terms.join(" + ")
    };
    let mut derive = String::new();
    let formula = match form {
        0 => sum(&|at| format!("({}) T_{at}", weights[at])),
        1 => sum(&|at| format!("w_{at} T_{at}")),
        2 => "sum(w_i T_i)".to_owned(),
        3 => format!("({})/n", sum(&|at| format!("(n w_{at}) T_{at}"))),
        4 => {
            derive = format!("f(x) = {} + x - x", sum(&|at| format!("w_{at} T_{at}")));
            "f(T_0)".to_owned()
        }
        5 => format!(
            "cases({0} for n > 5, {0} otherwise)",
            sum(&|at| format!("w_{at} T_{at}"))
        ),
        _ => sum(&|at| format!("T_{at}/(1/w_{at})")),
    };
    let derive = match derive.is_empty() {
        true => derive,
        false => format!("```derive\n{derive}\n```\n\n"),
    };
    (format!("```given\n{given}```\n\n{derive}"), formula)
}

/// An ask, and the value of so many points in kelvin in it; `Err` is the code of the refusal.
fn temperature(
    ask: usize,
    weight: f64,
    kelvin: f64,
) -> (&'static str, Result<(f64, &'static str), &'static str>) {
    let is = |wanted: f64| (weight - wanted).abs() < 1e-9;
    let of = |point: f64, interval: f64, in_scale: bool, unit: &'static str, by_word: bool| match (
        is(1.0),
        is(0.0),
    ) {
        (true, _) if by_word => Err("R04"),
        (true, _) if kelvin < 0.0 => Err("R09"),
        (true, _) => Ok((point, unit)),
        (_, true) if in_scale && !by_word => Err("R04"),
        (_, true) => Ok((interval, unit)),
        _ => Err("R03"),
    };
    let fahrenheit = kelvin * 9.0 / 5.0;
    match ask {
        0 => ("? degC", of(kelvin - ZERO, kelvin, true, "°C", false)),
        1 => (
            "? degF",
            of(fahrenheit - 459.67, fahrenheit, true, "°F", false),
        ),
        2 => ("? K", of(kelvin, kelvin, false, "K", false)),
        3 => ("? degC difference", of(kelvin, kelvin, true, "°C", true)),
        4 => ("? difference", of(kelvin, kelvin, false, "K", true)),
        _ => (
            "?",
            if is(1.0) && kelvin >= 0.0 {
                Ok((kelvin - ZERO, "°C"))
            } else {
                of(kelvin, kelvin, false, "K", false)
            },
        ),
    }
}

/// Terms of a sum of pressures: gauge, absolute, the atmosphere, without a word; with their signs.
fn pressures() -> impl Strategy<Value = Vec<(usize, bool, i32)>> {
    prop::collection::vec((0..4_usize, any::<bool>(), 10..900_i32), 1..4)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn sums_of_points_in_any_form_follow_the_weight(
        form in 0..7_usize,
        ask in 0..6_usize,
        data in prop::collection::vec((-50..150_i32, prop::sample::select(vec![-10, -5, 2, 3, 4, 5, 7, 10])), 2..5),
        fix in 0..3_usize,
    ) {
        let points: Vec<i32> = data.iter().map(|(point, _)| *point).collect();
        let mut tenths: Vec<i32> = data.iter().map(|(_, weight)| *weight).collect();
        // Two of three are made a point or an interval.
        let rest: i32 = tenths.iter().skip(1).sum();
        match fix {
            0 if rest != 10 => tenths[0] = 10 - rest,
            1 if rest != 0 => tenths[0] = -rest,
            _ => {}
        }
        let (head, formula) = weighted(form, &points, &tenths);
        let weight = f64::from(tenths.iter().sum::<i32>()) / 10.0;
        let kelvin: f64 = (points.iter().zip(&tenths))
            .map(|(point, tenth)| (f64::from(*point) + ZERO) * f64::from(*tenth) / 10.0)
            .sum();
        let (ask, wanted) = temperature(ask, weight, kelvin);
        let text = format!("{head}```work\ny = {formula} = {ask}\n```\n");
        let (codes, found) = outcome(&text);
        match wanted {
            Ok((value, unit)) => {
                prop_assert_eq!(&codes, &Vec::<String>::new(), "{}", text);
                let (found, in_unit, _) = found.expect("a result");
                // What cancels keeps the rounding of what it cancels from.
                prop_assert!((found - value).abs() < 1e-9 * kelvin.abs().max(1e4), "{}: {} {}", text, found, value);
                prop_assert_eq!(in_unit, unit, "{}", text);
                fills(&text);
            }
            Err(code) => prop_assert_eq!(codes, vec![code.to_owned()], "{}", text),
        }
    }

    #[test]
    fn sums_of_pressures_count_from_one_datum_or_are_refused(terms in pressures(), ask in 0..3_usize) {
        let mut given = format!("p_atm = {ATMOSPHERE} kPa\n");
        let mut formula = String::new();
        let mut value = 0.0;
        let mut count = [0_i32; 4];
        for (at, (kind, negative, size)) in terms.iter().enumerate() {
            let word = ["gauge", "abs", "", ""][*kind];
            let (name, own) = match kind {
                2 => ("p_atm".to_owned(), ATMOSPHERE),
                _ => (format!("p_{at}"), f64::from(*size)),
            };
            if *kind != 2 {
                given += format!("{name} = {size} kPa {word}").trim_end();
                given += "\n";
            }
            let sign = if *negative { -1 } else { 1 };
            count[*kind] += sign;
            value += f64::from(sign) * own;
            formula += match (at, negative) {
                (0, false) => "",
                (0, true) => "-",
                (_, false) => " + ",
                (_, true) => " - ",
            };
            formula += &name;
        }
        let has = |kind: usize| terms.iter().any(|(own, ..)| *own == kind);
        // Terms without a word may be anything; what they make of a sum is not judged here.
        prop_assume!(!has(3));
        let asked = ["", " gauge", " abs"][ask];
        let text = format!("```given\n{given}```\n\n```work\ny = {formula} = ? kPa{asked}\n```\n");
        let (gauge, absolute, atmosphere) = (count[0], count[1], count[2]);
        let meets_atmosphere =
            has(2) && gauge != 0 && gauge != atmosphere && atmosphere != 0;
        let reading = if has(0) && (has(1) || meets_atmosphere) {
            Err("R01")
        } else {
            // Readings in all, counted from vacuum where gauge and atmosphere have met.
            let from_gauge = gauge != 0 && atmosphere == 0;
            let total = if from_gauge || gauge != 0 { gauge } else { absolute + atmosphere };
            Ok((total, if from_gauge { "gauge" } else { "abs" }))
        };
        // `p - p_atm` is a gauge pressure and a difference.
        let over = !has(0) && absolute == 1 && atmosphere == -1;
        let wanted = match (reading, ask) {
            (Err(code), _) => Err(code),
            (Ok((0, _)), 0) => Ok(None),
            (Ok((0, _)), 1) if over => Ok(Some("gauge")),
            (Ok((0, _)), 2) if over => Err("R01"),
            (Ok((0, _)), _) => Err("R03"),
            (Ok((1, "abs")), 0 | 2) if value < 0.0 => Err("R09"),
            (Ok((1, word)), 0) => Ok(Some(word)),
            (Ok((1, word)), ask) if asked.trim() == word => Ok(Some(["", "gauge", "abs"][ask])),
            (Ok((1, _)), _) => Err("R01"),
            (Ok(_), _) => Err("R03"),
        };
        let (codes, found) = outcome(&text);
        match wanted {
            Ok(word) => {
                prop_assert_eq!(&codes, &Vec::<String>::new(), "{}", text);
                let (found, unit, datum) = found.expect("a result");
                prop_assert!((found - value).abs() < 1e-9 * 1e4, "{}: {} {}", text, found, value);
                prop_assert_eq!((unit.as_str(), datum.as_deref()), ("kPa", word), "{}", text);
                fills(&text);
            }
            Err(code) => prop_assert_eq!(codes, vec![code.to_owned()], "{}", text),
        }
    }

    #[test]
    fn the_first_word_decides_and_the_other_converts(
        size in 1..900_i32,
        asks in prop::collection::vec((0..5_usize, 0..4_usize), 1..6),
    ) {
        // Each line asks in a unit, in a place: work, another name, answer, prose.
        const ASKS: [(&str, Option<&str>, f64); 5] = [
            ("? kPa gauge", Some("gauge"), 1.0),
            ("? bar abs", Some("abs"), 100.0),
            ("? psig", Some("gauge"), 6.894757293168361),
            ("? psia", Some("abs"), 6.894757293168361),
            ("? kPa", None, 1.0),
        ];
        let mut text = format!(
            "```given\np_atm = {ATMOSPHERE} kPa\nF = {size} kN\nA = 1 m^2\n```\n\n```work\np = F/A = ? kPa\n```\n\n"
        );
        let mut own = None;
        let mut wanted = (f64::from(size), None);
        for (ask, place) in &asks {
            let (written, word, factor) = ASKS[*ask];
            // Prose is read after all blocks, so it cannot be the first with a word.
            let place = if own.is_none() && *place == 3 { 0 } else { *place };
            own = own.or(word);
            let shift = match (own, word.or(own)) {
                (Some("gauge"), Some("abs")) => ATMOSPHERE,
                (Some("abs"), Some("gauge")) => -ATMOSPHERE,
                _ => 0.0,
            };
            let value = (f64::from(size) + shift) / factor;
            text += &match place {
                0 | 1 => {
                    wanted = (value, word.or(own));
                    format!("```work\np = {written}\n```\n\n")
                }
                2 => format!("```answer\np = {written}\n```\n\n"),
                _ => format!("It is `p = {written}`.\n\n"),
            };
        }
        let (codes, found) = outcome(&text);
        prop_assert_eq!(&codes, &Vec::<String>::new(), "{}", text);
        let (found, _, datum) = found.expect("a result");
        prop_assert!(agrees(found, wanted.0), "{}: {} {}", text, found, wanted.0);
        prop_assert_eq!(datum.as_deref(), wanted.1, "{}", text);
        fills(&text);
    }

    #[test]
    fn levels_add_and_a_loss_per_length_times_a_length_is_one(
        losses in prop::collection::vec((1..50_i32, 1..90_i32), 1..4),
        gain in 1..60_i32,
        ask in 0..3_usize,
    ) {
        let mut given = format!("G = {gain} dB\n");
        let mut formula = "G".to_owned();
        let mut value = f64::from(gain);
        for (at, (tenths, length)) in losses.iter().enumerate() {
            let loss = f64::from(*tenths) / 10.0;
            given += &format!("a_{at} = {loss:.1} dB/km\nL_{at} = {length} km\n");
            formula += &format!(" - a_{at} L_{at}");
            value -= loss * f64::from(*length);
        }
        let ask = ["= ? dB", "= ?", ""][ask];
        let text = format!("```given\n{given}```\n\n```work\ny = {formula} {ask}\n```\n");
        let (codes, found) = outcome(&text);
        prop_assert_eq!(&codes, &Vec::<String>::new(), "{}", text);
        let (found, unit, _) = found.expect("a result");
        prop_assert!((found - value).abs() < 1e-8, "{}: {} {}", text, found, value);
        prop_assert_eq!(unit, "dB");
        let bad = format!("```given\n{given}```\n\n```work\ny = {formula} + G a_0 {ask}\n```\n");
        prop_assert_eq!(outcome(&bad).0, vec!["R07".to_owned()], "{}", bad);
    }
}
