//! A law of derivations: what was simplified with the data is never a wrong number with other data.
//!
//! An equation is put together from terms in data that are 0, 1, equal or of either sign, and steps
//! leave out, by what the data are, as much as chance wants. What-ifs and trends are then held
//! against plain arithmetic on the equation: they agree, or the line is refused by a step or a
//! disagreement.

use proptest::prelude::*;
use setsquare::diagnostic::Code;
use setsquare::text::Source;
use setsquare::worksheet::{self, Body, Worksheet};

/// The names of the data.
const NAMES: [&str; 4] = ["a", "b", "c", "d"];

/// A term of the equation.
#[derive(Debug, Clone, Copy)]
enum Term {
    One(usize),
    Product(usize, usize),
    Square(usize),
    /// `sqrt(a^2)`
    Size(usize),
}

impl Term {
    fn written(self) -> String {
        match self {
            Self::One(a) => NAMES[a].to_owned(),
            Self::Product(a, b) => format!("{} {}", NAMES[a], NAMES[b]),
            Self::Square(a) => format!("{}^2", NAMES[a]),
            Self::Size(a) => format!("sqrt({}^2)", NAMES[a]),
        }
    }

    fn value(self, data: &[f64; 4]) -> f64 {
        match self {
            Self::One(a) => data[a],
            Self::Product(a, b) => data[a] * data[b],
            Self::Square(a) => data[a].powi(2),
            Self::Size(a) => data[a].abs(),
        }
    }

    fn slope(self, data: &[f64; 4], by: usize) -> f64 {
        let is = |at: usize| if at == by { 1.0 } else { 0.0 };
        match self {
            Self::One(a) => is(a),
            Self::Product(a, b) => is(a) * data[b] + is(b) * data[a],
            Self::Square(a) => 2.0 * data[a] * is(a),
            Self::Size(a) => data[a].signum() * is(a),
        }
    }

    /// The term with what the data are put in; `None` where it is zero.
    fn simplified(self, data: &[f64; 4]) -> Option<String> {
        let is_one = |at: usize| data[at] == 1.0;
        match self {
            _ if self.value(data) == 0.0 => None,
            Self::Product(a, b) if is_one(a) => Some(NAMES[b].to_owned()),
            Self::Product(a, b) if is_one(b) => Some(NAMES[a].to_owned()),
            Self::Size(a) if data[a] > 0.0 => Some(NAMES[a].to_owned()),
            Self::Size(a) => Some(format!("(-{})", NAMES[a])),
            Self::One(_) | Self::Product(..) | Self::Square(_) => Some(self.written()),
        }
    }
}

fn term() -> impl Strategy<Value = Term> {
    prop_oneof![
        (0..4_usize).prop_map(Term::One),
        (0..4_usize, 0..4_usize).prop_map(|(a, b)| Term::Product(a, b)),
        (0..4_usize).prop_map(Term::Square),
        (0..4_usize).prop_map(Term::Size),
    ]
}

/// A derivation, and the datum that changes.
#[derive(Debug, Clone)]
struct Derivation {
    data: [f64; 4],
    terms: Vec<Term>,
    /// Which terms each step has simplified; later steps have more of them.
    steps: Vec<u8>,
    /// Whether the name stands alone in the first equation.
    is_explicit: bool,
    /// Whether a second name follows from the first.
    goes_on: bool,
    changed: usize,
    to: f64,
}

fn derivation() -> impl Strategy<Value = Derivation> {
    let special = prop::sample::select(vec![0.0, 0.0, 1.0, 1.0, 2.0, 3.0, -1.0, -3.0]);
    let numbers = (
        0..4_usize,
        prop::sample::select(vec![-5.0, -1.0, 0.0, 1.0, 4.0]),
    );
    (
        [special.clone(), special.clone(), special.clone(), special],
        prop::collection::vec(term(), 2..4),
        prop::collection::vec(any::<u8>(), 1..3),
        any::<bool>(),
        any::<bool>(),
        numbers,
    )
        .prop_map(
            |(data, terms, steps, is_explicit, goes_on, (changed, to))| Derivation {
                data,
                terms,
                steps,
                is_explicit,
                goes_on,
                changed,
                to,
            },
        )
}

impl Derivation {
    fn sum(parts: &[String]) -> String {
        match parts {
            [] => "0".to_owned(),
            parts => parts.join(" + "),
        }
    }

    fn text(&self) -> String {
        let given: String = (NAMES.iter().zip(self.data))
            .map(|(name, value)| format!("{name} = {value}\n"))
            .collect();
        let whole: Vec<String> = self.terms.iter().map(|term| term.written()).collect();
        let first = match self.is_explicit {
            true => format!("x = {}", Self::sum(&whole)),
            false => format!("x - {} = {}", whole[0], Self::sum(&whole[1..])),
        };
        let mut derive = vec![first];
        let mut done = 0;
        for step in &self.steps {
            done |= step;
            let parts =
                self.terms
                    .iter()
                    .enumerate()
                    .filter_map(|(at, term)| match done >> at & 1 {
                        1 => term.simplified(&self.data),
                        _ => Some(term.written()),
                    });
            derive.push(format!(
                "therefore x = {}",
                Self::sum(&parts.collect::<Vec<_>>())
            ));
        }
        let mut asked = "x";
        if self.goes_on {
            let last = derive.last().and_then(|step| step.split_once("x = "));
            let last = last.map_or("0", |(_, last)| last).to_owned();
            derive.push("y = 2 x".to_owned());
            derive.push(format!("therefore y = 2*({last})"));
            asked = "y";
        }
        let (name, to) = (NAMES[self.changed], self.to);
        let also = if self.goes_on { "y = ?\n" } else { "" };
        format!(
            "```given\n{given}```\n\n```derive\n{}\n```\n\n```work\nx = ?\n{also}{asked} = ? at {name} = {to}\n```\n\n```check\n{asked} rises with {name}\n```\n",
            derive.join("\n")
        )
    }

    fn value(&self, data: &[f64; 4]) -> f64 {
        let sum: f64 = self.terms.iter().map(|term| term.value(data)).sum();
        if self.goes_on { 2.0 * sum } else { sum }
    }

    fn slope(&self) -> f64 {
        let slopes = self.terms.iter();
        let sum: f64 = slopes
            .map(|term| term.slope(&self.data, self.changed))
            .sum();
        if self.goes_on { 2.0 * sum } else { sum }
    }

    /// Whether the size of the datum that changes has a corner at its value.
    fn has_corner(&self) -> bool {
        let is_size = |term: &Term| matches!(term, Term::Size(a) if *a == self.changed);
        self.data[self.changed] == 0.0 && self.terms.iter().any(is_size)
    }
}

fn what_if(worksheet: &Worksheet) -> Option<f64> {
    worksheet
        .statements()
        .find_map(|(_, statement)| match &statement.body {
            Body::Work(work) if !work.conditions.is_empty() => work.shown.si.first().copied(),
            _ => None,
        })
}

fn trend(worksheet: &Worksheet) -> Option<f64> {
    worksheet
        .statements()
        .find_map(|(_, statement)| match &statement.body {
            Body::Trend(trend) => trend.derivative.si.first().copied(),
            _ => None,
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn what_holds_by_the_data_is_no_wrong_number_with_other_data(derivation in derivation()) {
        let text = derivation.text();
        let worksheet = worksheet::compile(Source::new("law.md", text.as_str()));
        let is_told = (worksheet.diagnostics.iter())
            .any(|told| matches!(told.code, Code::A08 | Code::E05 | Code::A01));
        let mut data = derivation.data;
        data[derivation.changed] = derivation.to;
        let expected = derivation.value(&data);
        match what_if(&worksheet) {
            Some(found) => prop_assert!((found - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{text}: {found} for {expected}"),
            None => prop_assert!(is_told, "{text}: {:?}", worksheet.diagnostics),
        }
        if derivation.is_explicit {
            prop_assert!(what_if(&worksheet).is_some(), "{text}: {:?}", worksheet.diagnostics);
        }
        if let Some(found) = trend(&worksheet).filter(|_| !derivation.has_corner()) {
            let expected = derivation.slope();
            prop_assert!((found - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{text}: slope {found} for {expected}");
        }
    }

    #[test]
    fn equations_for_one_name_agree_or_are_refused(
        data in [1..4_i8, 1..4_i8, 1..4_i8, 1..4_i8],
        sides in prop::collection::vec((term(), any::<bool>()), 1..4),
    ) {
        let data = data.map(f64::from);
        let given: String = (NAMES.iter().zip(data))
            .map(|(name, value)| format!("{name} = {value}\n"))
            .collect();
        let derive: String = (sides.iter())
            .map(|(side, on_the_left)| match on_the_left {
                true => format!("x = {}\n", side.written()),
                false => format!("{} = x\n", side.written()),
            })
            .collect();
        let text = format!("```given\n{given}```\n\n```derive\n{derive}```\n\n```work\nx = ?\n```\n");
        let worksheet = worksheet::compile(Source::new("law.md", text.as_str()));
        let values: Vec<f64> = sides.iter().map(|(side, _)| side.value(&data)).collect();
        let agree = values.windows(2).all(|pair| pair[0] == pair[1]);
        let disagrees = worksheet.diagnostics.iter().any(|told| told.code == Code::E05);
        let found = worksheet.statements().find_map(|(_, statement)| match &statement.body {
            Body::Work(work) => work.shown.si.first().copied(),
            _ => None,
        });
        prop_assert_eq!(disagrees, !agree, "{}", text);
        prop_assert_eq!(found, agree.then(|| values[values.len() - 1]), "{}", text);
    }
}
