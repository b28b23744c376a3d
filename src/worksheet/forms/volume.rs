//! A control volume with its numbers: what flows the other way, what does not close, and what its
//! balances take for true.

use std::sync::Arc;

use super::super::build::Builder;
use super::super::model::{Sketch, Turned};
use crate::diagnostic::{Code, Diagnostic};
use crate::mechanics::{Balance, Gathered, Id, Motion, Pressure, Section, Sum, Turn};
use crate::resolve::statement::{self, Flows, SectionSaid};
use crate::resolve::{Expr, ExprKind, Kind};
use crate::syntax::Attribute;
use crate::text::Span;

/// What is left of rounding where two numbers are worked out from the same data.
const ROUNDING: f64 = 1e-9;

/// A difference that should be nothing, by the values of the quantities.
pub(super) type Less<'a> = dyn Fn(&dyn Fn(Id) -> f64) -> Option<f64> + 'a;

impl Builder<'_> {
    /// What flows, moves or is brought the other way than it was drawn.
    pub(super) fn turned_flows(&mut self, sketch: &Sketch, found: &mut Vec<Turned>) {
        let Some(flows) = &sketch.sketch.flows else {
            return;
        };
        let volume = &flows.volume;
        for (at, (section, said)) in volume.sections.iter().zip(&flows.sections).enumerate() {
            self.turned_section(sketch, at, (section, said), found);
        }
        for exchange in &volume.exchanges {
            let words = match exchange.is_in {
                true => "goes out, opposite to the sketch",
                false => "comes in, opposite to the sketch",
            };
            self.turned_quantity(sketch, exchange.of, words, found);
        }
        match &volume.motion {
            Motion::Moves { speed, direction } => {
                let words = match super::sketch::opposite_words(direction) {
                    Some(words) => format!("moves {words}, opposite to the sketch"),
                    None => "moves opposite to the sketch".to_owned(),
                };
                self.turned_quantity(sketch, *speed, &words, found);
            }
            Motion::Turns { speed, turn, .. } => {
                let words = match turn {
                    Turn::Clockwise => "turns anticlockwise, opposite to the sketch",
                    Turn::Anticlockwise => "turns clockwise, opposite to the sketch",
                };
                self.turned_quantity(sketch, *speed, words, found);
            }
            Motion::Still => {}
        }
    }

    /// A name below zero, with what that means.
    fn turned_quantity(&self, sketch: &Sketch, id: Id, words: &str, found: &mut Vec<Turned>) {
        let value = sketch.values.get(id).copied().flatten();
        let symbol = (sketch.sketch.quantities.get(id)).and_then(Expr::as_symbol);
        let (Some(value), Some(symbol)) = (value, symbol) else {
            return;
        };
        let Some(shown) = self.tables.shown.get(symbol) else {
            return;
        };
        if value < 0.0 && !found.iter().any(|it| it.symbol == symbol) {
            found.push(Turned {
                symbol,
                shown: Arc::clone(shown),
                words: words.to_owned(),
            });
        }
    }

    /// Momentum and pressure keep their signs where a stream turns; losses and what is carried do
    /// not.
    fn turned_section(
        &mut self,
        sketch: &Sketch,
        at: usize,
        (section, said): (&Section, &SectionSaid),
        found: &mut Vec<Turned>,
    ) {
        let Some(flows) = &sketch.sketch.flows else {
            return;
        };
        let volume = &flows.volume;
        let turns = matches!(volume.motion, Motion::Turns { .. });
        let value = |id: Id| sketch.values.get(id).copied().flatten().unwrap_or(f64::NAN);
        let speed = volume.said_speed(section).filter(|_| !turns);
        let flow = volume.flow(at).ok();
        let is_back = |sum: &Option<Sum>| sum.as_ref().is_some_and(|sum| sum.value(&value) < 0.0);
        if !is_back(&speed) && !is_back(&flow) {
            return;
        }
        let other = if section.is_inlet {
            "an outlet"
        } else {
            "an inlet"
        };
        let words = format!("flows the other way: {other}");
        let place = said.place_of(|what| {
            matches!(
                what,
                Attribute::Speed { .. } | Attribute::MassFlow { .. } | Attribute::VolumeFlow { .. }
            )
        });
        let place = place.unwrap_or(said.name.span);
        let of = section.speed.map(|speed| speed.of);
        if let Some(of) = of {
            self.turned_quantity(sketch, of, &words, found);
        }
        self.diagnostics.push(
            Diagnostic::warning(
                Code::B11,
                place,
                format!("{} {words} with these data", said.called(section)),
            )
            .with_help(match section.is_inlet {
                true => format!("`outlet {}` with the opposite direction", said.name.text),
                false => format!("`inlet {}` with the opposite direction", said.name.text),
            }),
        );
    }

    /// What flows in flows out, where nothing gathers; flow, area and speed of a section fit.
    pub(super) fn judge_flows(&mut self, sketch: &Sketch) {
        let Some(flows) = &sketch.sketch.flows else {
            return;
        };
        if sketch.sketch.is_incomplete {
            return;
        }
        let value = |id: Id| sketch.values.get(id).copied().flatten().unwrap_or(f64::NAN);
        let volume = &flows.volume;
        let gathers = (volume.gathered.iter()).any(|it| matches!(it, Gathered::Mass(_)));
        let closes = |value: &dyn Fn(Id) -> f64| -> Option<[f64; 2]> {
            let mut both = [0.0; 2];
            for (at, section) in volume.sections.iter().enumerate() {
                let flow = volume.said_flow(at).ok()??.value(value);
                both[usize::from(!section.is_inlet)] += flow;
            }
            Some(both)
        };
        if !gathers
            && !volume.sections.is_empty()
            && let Some([inward, out]) = closes(&value)
        {
            let less = |value: &dyn Fn(Id) -> f64| closes(value).map(|it| it[0] - it[1]);
            let apart = self.apart(sketch, inward.abs().max(out.abs()), &less);
            if apart {
                let [inward, out] = [inward, out].map(figures);
                self.diagnostics.push(
                    Diagnostic::warning(
                        Code::B14,
                        flows.sections.first().map_or(Span::default(), |it| it.line),
                        format!("{inward} kg/s flow in and {out} kg/s out, and nothing gathers"),
                    )
                    .with_help("the datum that is wrong, or a line `accumulation of mass …`"),
                );
            }
        }
        for (at, (section, said)) in volume.sections.iter().zip(&flows.sections).enumerate() {
            self.judge_section(sketch, flows, at, (section, said));
        }
    }

    /// Flow, area and speed of one section.
    fn judge_section(
        &mut self,
        sketch: &Sketch,
        flows: &Flows,
        at: usize,
        (section, said): (&Section, &SectionSaid),
    ) {
        let value = |id: Id| sketch.values.get(id).copied().flatten().unwrap_or(f64::NAN);
        let volume = &flows.volume;
        if section.rate.is_none() || matches!(volume.motion, Motion::Turns { .. }) {
            return;
        }
        let mut bare = volume.clone();
        if let Some(section) = bare.sections.get_mut(at) {
            section.rate = None;
        }
        let both = |value: &dyn Fn(Id) -> f64| -> Option<[f64; 2]> {
            let said = volume.said_flow(at).ok()??.value(value);
            let made = bare.said_flow(at).ok()??.value(value);
            Some([said, made])
        };
        let Some([own, made]) = both(&value) else {
            return;
        };
        let less = |value: &dyn Fn(Id) -> f64| both(value).map(|it| it[0] - it[1]);
        if self.apart(sketch, own.abs().max(made.abs()), &less) {
            let [own, made] = [own, made].map(figures);
            self.diagnostics.push(
                Diagnostic::warning(
                    Code::B14,
                    said.line,
                    format!(
                        "{} says {own} kg/s, and its area and speed make {made} kg/s",
                        said.called(section)
                    ),
                )
                .with_help("two of flow, area and speed"),
            );
        }
    }

    /// Whether a difference is more than half a unit in the last places of the data makes of it.
    fn apart(&self, sketch: &Sketch, size: f64, less: &Less<'_>) -> bool {
        self.apart_by(sketch, size, less, &|_| true)
    }

    /// The same with the last places of some of the data.
    pub(super) fn apart_by(
        &self,
        sketch: &Sketch,
        size: f64,
        less: &Less<'_>,
        counts: &dyn Fn(Id) -> bool,
    ) -> bool {
        let value = |id: Id| sketch.values.get(id).copied().flatten().unwrap_or(f64::NAN);
        let Some(found) = less(&value) else {
            return false;
        };
        let mut reach = ROUNDING * size;
        for id in (0..sketch.sketch.quantities.len()).filter(|id| counts(*id)) {
            let half = self.half_a_unit(&sketch.sketch, id);
            let moved = |other: Id| value(other) + if other == id { half } else { 0.0 };
            if half > 0.0
                && let Some(other) = less(&moved)
            {
                reach += (other - found).abs();
            }
        }
        found.abs() > reach
    }

    /// Half a unit in the last place of a datum, in coherent SI units; 0 for what is no datum.
    fn half_a_unit(&self, sketch: &statement::Sketch, id: Id) -> f64 {
        let symbol = sketch.quantities.get(id).and_then(Expr::as_symbol);
        let given = symbol.and_then(|symbol| {
            let mut all = self.resolved.blocks.iter().flatten();
            all.find_map(|line| line.facts().datum().filter(|(own, _)| *own == symbol))
        });
        let Some((_, Expr { kind, span })) = given else {
            return 0.0;
        };
        let (number, unit) = match kind {
            ExprKind::Quantity(quantity) => (
                quantity.number.of(self.text),
                quantity.unit.to_si(1.0) - quantity.unit.to_si(0.0),
            ),
            ExprKind::Number(_) => (span.of(self.text), 1.0),
            _ => return 0.0,
        };
        last_place(number) * unit.abs() / 2.0
    }

    /// What the balances of a control volume that are used take for true without a word.
    pub(super) fn taken_for_true(&self, sketch: &statement::Sketch) -> Vec<String> {
        let Some(flows) = &sketch.flows else {
            return Vec::new();
        };
        let used = self.balances_used(sketch);
        let volume = &flows.volume;
        let of_forces = used
            .iter()
            .any(|it| matches!(it, Balance::Forces(_) | Balance::Moments(_)));
        let gathers_mass = (volume.gathered.iter()).any(|it| matches!(it, Gathered::Mass(_)));
        let gathers_momentum =
            (volume.gathered.iter()).any(|it| matches!(it, Gathered::Momentum(..)));
        let mut found = Vec::new();
        let has_pressures =
            (volume.sections.iter()).any(|it| matches!(it.pressure, Pressure::Of(_)));
        if of_forces && (has_pressures || volume.medium.surroundings.is_some()) {
            found.push(match volume.medium.surroundings {
                None => "Pressures gauge.".to_owned(),
                Some(_) => "Pressures absolute.".to_owned(),
            });
        }
        if of_forces && gathers_mass && !gathers_momentum {
            found.push("What gathers inside is at rest in it.".to_owned());
        }
        if let (Motion::Turns { about, .. }, true) = (&volume.motion, of_forces) {
            let place = sketch.places.get(*about).map_or("", |it| &it.text);
            found.push(format!(
                "Cuts are rings about {place}: pressure on them turns nothing."
            ));
        }
        if used.contains(&Balance::Energy) {
            found.extend(not_said(flows));
            if matches!(volume.motion, Motion::Moves { .. }) {
                found.push("Energy seen from the moving boundary.".to_owned());
            }
            if gathers_mass && volume.sections.iter().any(|it| it.temperature.is_some()) {
                found.push("Energy counts from 0 K.".to_owned());
            }
        }
        found
    }

    /// The balances of a sketch that a line names.
    fn balances_used(&self, sketch: &statement::Sketch) -> Vec<Balance> {
        let lines = self.resolved.blocks.iter().flatten();
        let meant = lines.filter_map(|line| match &line.kind {
            Some(Kind::Balance(balance)) => Some(&balance.meant),
            _ => line.facts().meant.map(|(_, meant)| meant),
        });
        (meant.filter(|it| it.sketch.label == sketch.label && it.sketch.problem == sketch.problem))
            .map(|meant| meant.balance())
            .collect()
    }
}

/// `No speed at 1 and 2. No level at 1 and 2.`
fn not_said(flows: &Flows) -> Vec<String> {
    let sections = || flows.volume.sections.iter().zip(&flows.sections);
    let without = |has: &dyn Fn(&Section) -> bool| -> Vec<&str> {
        (sections().filter(|(section, _)| !has(section)))
            .map(|(_, said)| &*said.name.text)
            .collect()
    };
    let speeds = without(&|it| it.speed.is_some());
    let levels = without(&|it| it.level.is_some());
    let sentence = |what: &str, at: &[&str]| format!("{what} at {}.", listed(at));
    if speeds == levels && !speeds.is_empty() {
        return vec![sentence("No speed, no level", &speeds)];
    }
    [("No speed", speeds), ("No level", levels)]
        .into_iter()
        .filter(|(_, at)| !at.is_empty())
        .map(|(what, at)| sentence(what, &at))
        .collect()
}

/// `1, 2 and 3`
fn listed(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [all @ .., last] => format!("{} and {last}", all.join(", ")),
    }
}

/// A number in a message, to as many figures as tell it apart.
fn figures(value: f64) -> String {
    let size = value.abs();
    match size {
        _ if size == 0.0 => "0".to_owned(),
        _ if (1e-3..1e6).contains(&size) => {
            let decimals = (4 - 1 - size.log10().floor() as i32).clamp(0, 9) as usize;
            format!("{value:.decimals$}")
        }
        _ => format!("{value:.3e}"),
    }
}

/// One unit in the last place of a number as it is written.
fn last_place(number: &str) -> f64 {
    let digits: String = number.chars().filter(|it| !it.is_whitespace()).collect();
    let (mantissa, power) = match digits.split_once(['e', 'E']) {
        Some((mantissa, power)) => (mantissa, power.parse().unwrap_or(0)),
        None => (digits.as_str(), 0),
    };
    let decimals = mantissa.split_once('.').map_or(0, |(_, rest)| {
        rest.chars().take_while(char::is_ascii_digit).count() as i32
    });
    // Of a whole number without a point its last digit counts.
    10_f64.powi(power - decimals)
}
