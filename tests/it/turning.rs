//! What random products count of turning: whatever is printed does not hang on the order and the
//! brackets in which a product is written, nor on the unit in which it was asked before.

use proptest::prelude::*;
use setsquare::text::Source;
use setsquare::worksheet::{self, Body};

const GIVEN: &str = "N = 1450 rpm\nw = 130 rad/s\nf = 50 Hz\ntheta = 40 deg\nx = 25 1/s\n\
                     t = 3 s\nr = 0.2 m\nD = 0.4 m\n";
/// The data in coherent units of what they count, by the same names.
const FACTORS: [(&str, f64); 10] = [
    ("2", 2.0),
    ("pi", std::f64::consts::PI),
    ("N", 1450.0 / 60.0),
    ("w", 130.0),
    ("f", 50.0),
    ("theta", std::f64::consts::PI / 4.5),
    ("x", 25.0),
    ("t", 3.0),
    ("r", 0.2),
    ("D", 0.4),
];
/// How often each is a rate, a length; a time counts against a rate.
const DIMENSIONS: [(i32, i32); 10] = [
    (0, 0),
    (0, 0),
    (1, 0),
    (1, 0),
    (1, 0),
    (0, 0),
    (1, 0),
    (-1, 0),
    (0, 1),
    (0, 1),
];
const UNITS: [(&str, &[&str]); 3] = [
    ("rate", &["1/s", "rad/s", "deg/s", "rpm", "rev/s", "Hz"]),
    ("number", &["rad", "deg", "rev"]),
    ("speed", &["m/s"]),
];

/// The number that the last line shows, in its unit; `None` where it is refused.
fn shown(work: &str) -> Option<f64> {
    let text = format!("```given\n{GIVEN}```\n\n```work\n{work}\n```\n");
    let worksheet = worksheet::compile(Source::new("law.md", text));
    if worksheet.has_errors() {
        return None;
    }
    let values = worksheet.statements().map(|(_, line)| match &line.body {
        Body::Work(work) => work.shown.values.first().copied(),
        _ => None,
    });
    values.last().flatten()
}

/// A product as it is written: what stands above the line, then what stands below, in this order.
fn written(factors: &[(usize, bool)]) -> String {
    let mut text = "1".to_owned();
    for (at, below) in factors {
        let sign = if *below { "/" } else { "*" };
        text = format!("{text}{sign}{}", FACTORS[*at].0);
    }
    text
}

/// The same in groups of these sizes, each bracketed, below the line where that is said, with
/// brackets within brackets where the depth allows it.
fn grouped(factors: &[(usize, bool)], groups: &[(usize, bool)], depth: usize) -> String {
    let (mut text, mut rest) = ("1".to_owned(), factors);
    for (size, below) in groups {
        let (group, after) = rest.split_at((*size).min(rest.len()));
        rest = after;
        if group.is_empty() {
            continue;
        }
        let inside: Vec<(usize, bool)> = (group.iter())
            .map(|(at, sign)| (*at, sign ^ below))
            .collect();
        let inside = match depth {
            0 => written(&inside),
            _ => grouped(
                &inside,
                &[(group.len() / 2, !below), (group.len(), false)],
                depth - 1,
            ),
        };
        let sign = if *below { "/" } else { "*" };
        text = format!("{text}{sign}({inside})");
    }
    match rest {
        [] => text,
        _ => format!("{text}*({})", written(rest)),
    }
}

fn dimension(factors: &[(usize, bool)]) -> (i32, i32) {
    factors.iter().fold((0, 0), |(rate, length), (at, below)| {
        let sign = if *below { -1 } else { 1 };
        let own = DIMENSIONS[*at];
        (rate + sign * own.0, length + sign * own.1)
    })
}

fn units(factors: &[(usize, bool)]) -> &'static [&'static str] {
    let of = match dimension(factors) {
        (1, 0) => "rate",
        (0, 0) => "number",
        (1, 1) => "speed",
        _ => return &[],
    };
    UNITS
        .iter()
        .find(|(kind, _)| *kind == of)
        .map_or(&[], |row| row.1)
}

fn close(left: f64, right: f64) -> bool {
    (left - right).abs() <= 1e-9 * left.abs().max(right.abs())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn what_is_printed_of_a_product_hangs_on_no_order_and_no_brackets(
        factors in prop::collection::vec((0..FACTORS.len(), any::<bool>()), 1..7),
        other in prop::collection::vec(any::<prop::sample::Index>(), 6),
        groups in prop::collection::vec((1..4_usize, any::<bool>()), 1..4),
        depth in 0..2_usize,
    ) {
        let mut shuffled = factors.clone();
        for (at, with) in other.iter().enumerate().take(shuffled.len()) {
            let with = with.index(shuffled.len());
            shuffled.swap(at, with);
        }
        for unit in units(&factors) {
            let lines = [
                written(&factors),
                written(&shuffled),
                grouped(&factors, &groups, depth),
                grouped(&shuffled, &groups, depth),
            ];
            let found: Vec<f64> = (lines.iter())
                .filter_map(|line| shown(&format!("y = {line} = ? {unit}")))
                .collect();
            for pair in found.windows(2) {
                prop_assert!(close(pair[0], pair[1]), "{unit}: {lines:?}: {found:?}");
            }
        }
    }

    #[test]
    fn a_speed_is_the_product_of_its_numbers_where_it_is_not_refused(
        factors in prop::collection::vec((0..FACTORS.len(), any::<bool>()), 1..5),
    ) {
        // A length and a rate beside: no unit of turning is left that could convert.
        let mut factors = factors;
        let (rate, length) = dimension(&factors);
        factors.extend((0..(1 - length).abs()).map(|_| (8, length > 1)));
        // The time above takes a rate away, below it adds one.
        factors.extend((0..(1 - rate).abs()).map(|_| (7, rate < 1)));
        let plain: f64 = factors.iter().map(|(at, below)| {
            let value = FACTORS[*at].1;
            if *below { 1.0 / value } else { value }
        }).product();
        if let Some(found) = shown(&format!("y = {} = ? m/s", written(&factors))) {
            prop_assert!(close(found, plain), "{}: {found} for {plain}", written(&factors));
        }
    }
}

/// The number that stands behind the last `=` of a filled ask.
fn filled(text: &str, before: &str) -> Option<f64> {
    let rest = &text[text.find(before)? + before.len()..];
    let number = rest.split_whitespace().next()?;
    number.parse().ok()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    /// In prose, in the cell of a table, in a check and in a what-if as in a line of its own.
    #[test]
    fn an_ask_says_the_same_wherever_it_stands(
        factors in prop::collection::vec((0..FACTORS.len(), any::<bool>()), 1..5),
        first in any::<prop::sample::Index>(),
        then in any::<prop::sample::Index>(),
    ) {
        let units = units(&factors);
        if units.is_empty() {
            return Ok(());
        }
        let (first, then) = (units[first.index(units.len())], units[then.index(units.len())]);
        let defined = format!("y = {} = ? {first}", written(&factors));
        if shown(&defined).is_none() {
            return Ok(());
        }
        let alone = shown(&format!("{defined}\nz = y = ? {then}"));
        let start = format!("```given\n{GIVEN}```\n\n```work\n{defined}\n```\n\n");
        let compiled = |rest: &str| {
            let worksheet = worksheet::compile(Source::new("law.md", format!("{start}{rest}\n")));
            worksheet.diagnostics.is_empty().then(|| worksheet::fill(&worksheet))
        };
        let asked = format!("`y = ? {then}`");
        for rest in [format!("It is {asked}."), format!("| what | how much |\n|---|---|\n| y | {asked} |")] {
            let said = compiled(&rest).and_then(|text| filled(&text, "`y = "));
            prop_assert_eq!(said.is_some(), alone.is_some(), "{}: {}", defined, rest);
            if let Some((said, alone)) = said.zip(alone) {
                prop_assert!((said - alone).abs() <= 6e-4 * alone.abs(), "{defined}: {rest}: {said} for {alone}");
            }
        }
        let what_if = compiled(&format!("```work\ny = ? {then} at t = 3 s\n```"));
        prop_assert_eq!(what_if.is_some(), alone.is_some(), "{}: what-if in {}", defined, then);
        // `1/s` counts nothing, and is held against what counts nothing only.
        if let Some(alone) = alone.filter(|_| then != "1/s") {
            let check = |number: f64| {
                compiled(&format!("```check\ny = {number:.6e} {then} within 0.01 %\n```")).is_some()
            };
            prop_assert!(check(alone), "{defined}: {alone} {then}");
            prop_assert!(!check(1.001 * alone), "{defined}: 1.001 times {alone} {then}");
        }
    }
}
