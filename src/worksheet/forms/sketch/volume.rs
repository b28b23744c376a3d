//! A control volume with its numbers: what flows the other way, what does not close, and what its
//! balances take for true.

use super::super::super::build::Builder;
use super::reading::{LEFT_BEHIND, Reading};

use crate::diagnostic::{Code, Diagnostic};
use crate::mechanics::{Balance, Gathered, Id, Motion, Opening, Pressure, Section};
use crate::resolve::statement::{self, Flows, SectionSaid};
use crate::resolve::{Expr, ExprKind, Kind};
use crate::syntax::Attribute;
use crate::text::{Span, listed};

/// What is left of rounding where two numbers are worked out from the same data.
const ROUNDING: f64 = 1e-9;

/// A difference that should be nothing, by the values of the quantities.
pub(super) type Less<'a> = dyn Fn(&dyn Fn(Id) -> f64) -> Option<f64> + 'a;

impl Builder<'_> {
    /// Streams that go the other way, flows that do not close and sections that contradict
    /// themselves.
    pub(super) fn flows_against(&self, read: &Reading<'_>, found: &mut Vec<Diagnostic>) {
        let Some(flows) = &read.of.flows else {
            return;
        };
        for (at, (section, said)) in flows
            .volume
            .sections
            .iter()
            .zip(&flows.sections)
            .enumerate()
        {
            let Some(words) = read.flows_back(at) else {
                continue;
            };
            let place = said.place_of(|what| {
                matches!(
                    what,
                    Attribute::Speed { .. }
                        | Attribute::MassFlow { .. }
                        | Attribute::VolumeFlow { .. }
                )
            });
            let place = place.unwrap_or(said.name.span);
            let with = match read.is_of_the_data() {
                true => " with these data",
                false => "",
            };
            let message = format!("{} {words}{with}", said.called(section));
            found.push(Diagnostic::warning(Code::B11, place, message).with_help(
                match section.is_inlet {
                    true if words == LEFT_BEHIND => {
                        "a control volume that moves slower than the stream".to_owned()
                    }
                    true => format!("`outlet {}` with the opposite direction", said.name.text),
                    false => format!("`inlet {}` with the opposite direction", said.name.text),
                },
            ));
        }
        self.not_closed(read, flows, found);
    }

    /// What flows in flows out, where nothing gathers; flow, area and speed of a section fit.
    fn not_closed(&self, read: &Reading<'_>, flows: &Flows, found: &mut Vec<Diagnostic>) {
        if read.of.is_incomplete {
            return;
        }
        let value = |id: Id| read.value(id).unwrap_or(f64::NAN);
        let volume = &flows.volume;
        let place = flows.sections.first().map_or(Span::default(), |it| it.line);
        let gathers = (volume.gathered.iter()).any(|it| matches!(it, Gathered::Mass(_)));
        let is_of_cuts = !volume.sections.is_empty();
        let all = |carried: &dyn Fn(&Section, f64) -> Option<f64>, value: &dyn Fn(Id) -> f64| {
            let mut both = [0.0; 2];
            for (at, section) in volume.sections.iter().enumerate() {
                let flow = volume.said_flow(at).ok()??.value(value);
                both[usize::from(!section.is_inlet)] += carried(section, flow)?;
            }
            Some(both)
        };
        let closes = |value: &dyn Fn(Id) -> f64| all(&|_, flow| Some(flow), value);
        let mut closed = true;
        if !gathers
            && is_of_cuts
            && let Some([inward, out]) = closes(&value)
        {
            let less = |value: &dyn Fn(Id) -> f64| closes(value).map(|it| it[0] - it[1]);
            if self.apart(read, inward.abs().max(out.abs()), &less) {
                closed = false;
                let [inward, out] = [inward, out].map(figures);
                found.push(
                    Diagnostic::warning(
                        Code::B14,
                        place,
                        format!("{inward} kg/s flow in and {out} kg/s out, and nothing gathers"),
                    )
                    .with_help("the datum that is wrong, or a line `accumulation of mass …`"),
                );
            }
        }
        let warms = self.balances_used(read.of).contains(&Balance::Energy);
        let heat = |value: &dyn Fn(Id) -> f64| {
            let carried = |section: &Section, flow: f64| {
                section.temperature?;
                let capacity = section.heat_capacity.or(volume.medium.heat_capacity)?;
                Some(flow * value(capacity))
            };
            all(&carried, value)
        };
        if closed
            && warms
            && !gathers
            && is_of_cuts
            && let Some([inward, out]) = heat(&value)
        {
            let less = |value: &dyn Fn(Id) -> f64| heat(value).map(|it| it[0] - it[1]);
            if self.apart(read, inward.abs().max(out.abs()), &less) {
                let [inward, out] = [inward, out].map(figures);
                found.push(
                    Diagnostic::warning(
                        Code::B14,
                        place,
                        format!(
                            "flow times heat capacity is {inward} W/K in and {out} W/K out, so that the balance of energy depends on the zero of temperature"
                        ),
                    )
                    .with_help("one heat capacity, or `enthalpy` at all sections"),
                );
            }
        }
        for (at, (section, said)) in volume.sections.iter().zip(&flows.sections).enumerate() {
            self.judge_section(read, flows, at, (section, said), found);
        }
    }

    /// Flow, area and speed of one section.
    fn judge_section(
        &self,
        read: &Reading<'_>,
        flows: &Flows,
        at: usize,
        (section, said): (&Section, &SectionSaid),
        found: &mut Vec<Diagnostic>,
    ) {
        let value = |id: Id| read.value(id).unwrap_or(f64::NAN);
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
        if self.apart(read, own.abs().max(made.abs()), &less) {
            let [own, made] = [own, made].map(figures);
            found.push(
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
    pub(super) fn apart(&self, read: &Reading<'_>, size: f64, less: &Less<'_>) -> bool {
        self.apart_by(read, size, less, &|_| true)
    }

    /// The same with the last places of some of the data.
    pub(in super::super) fn apart_by(
        &self,
        read: &Reading<'_>,
        size: f64,
        less: &Less<'_>,
        counts: &dyn Fn(Id) -> bool,
    ) -> bool {
        let value = |id: Id| read.value(id).unwrap_or(f64::NAN);
        let Some(found) = less(&value) else {
            return false;
        };
        let mut reach = ROUNDING * size;
        for id in (0..read.of.quantities.len()).filter(|id| counts(*id)) {
            let half = self.half_a_unit(read, id);
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
    fn half_a_unit(&self, read: &Reading<'_>, id: Id) -> f64 {
        let symbol = read.of.quantities.get(id).and_then(Expr::as_symbol);
        let given = symbol.and_then(|symbol| {
            let by = read.by.iter().find(|it| it.symbol == symbol);
            if let Some(condition) = by {
                return Some((symbol, &condition.value));
            }
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
        if used.iter().any(|it| matches!(it, Balance::Heads(_))) {
            found.extend(no_heads(flows));
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
    pub(super) fn balances_used(&self, sketch: &statement::Sketch) -> Vec<Balance> {
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

/// What cuts do not say that heads count; stations are told of with their figure.
fn no_heads(flows: &Flows) -> Vec<String> {
    type Lacks = fn(&Section) -> bool;
    let lacks: [(&str, Lacks); 3] = [
        ("level", |it| it.level.is_none()),
        ("speed", |it| {
            it.speed.is_none() && (it.opening.is_none() || it.rate.is_none())
        }),
        // A depth has its own.
        ("pressure", |it| {
            it.pressure == Pressure::Unsaid && !matches!(it.opening, Some(Opening::Depth(..)))
        }),
    ];
    let cuts = || {
        let all = flows.volume.sections.iter().zip(&flows.sections);
        all.filter(|(section, _)| section.station.is_none())
    };
    let mut found = Vec::new();
    for (what, lacks) in lacks {
        let names: Vec<&str> = (cuts().filter(|(section, _)| lacks(section)))
            .map(|(_, said)| &*said.name.text)
            .collect();
        if !names.is_empty() {
            found.push(format!("No {what} at {}.", listed(&names)));
        }
    }
    found
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
