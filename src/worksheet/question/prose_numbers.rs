//! Numbers in the words of a problem that are values of version 0: in other versions they would be
//! wrong.

mod read;
mod words;

use rustc_hash::{FxHashMap, FxHashSet};

use super::{Ground, Question};
use crate::diagnostic::{Code, Diagnostic};
use crate::evaluate::FoundFrom;
use crate::quantity::{Dimension, Mark, Unit};
use crate::resolve::SymbolId;
use crate::text::Span;
use crate::worksheet::model::{Body, PartKind, Problem, Shown, Statement};
use read::{Number, Reading};
use words::Words;

/// A value of version 0.
struct Value<'a> {
    key: &'a str,
    number: f64,
    unit: &'a Unit,
    /// As its ask has it: unit and datum word.
    asked: String,
    /// Whether it is asked with other data than those of `given`.
    is_what_if: bool,
}

/// A datum that varies.
struct Varying<'a> {
    value: Value<'a>,
    /// Whether its description calls it a diameter or a radius.
    is_across: bool,
}

impl<'a> Value<'a> {
    fn of(key: &'a str, shown: &'a Shown) -> Option<Self> {
        let [number] = *shown.values.as_slice() else {
            return None;
        };
        let parts = [shown.unit.source(), shown.word.unwrap_or("")];
        let parts = parts.iter().filter(|part| !part.is_empty());
        Some(Self {
            key,
            number,
            unit: &shown.unit,
            asked: parts.copied().collect::<Vec<&str>>().join(" "),
            is_what_if: false,
        })
    }

    /// The ask that prints it.
    fn ask(&self) -> String {
        let ask = format!("{} = ? {}", self.key, self.asked);
        format!("`{}`", ask.trim_end())
    }

    /// Whether a reading is `times` this value.
    fn is(&self, reading: &Reading, times: f64) -> bool {
        let own = self.unit.to_si(self.number) * times;
        let read = reading.unit.to_si(reading.number);
        reading.unit.dimension() == self.unit.dimension()
            && (own - read).abs() <= 1e-12 * own.abs().max(read.abs())
    }

    /// Whether a number is this value to as many figures; its sign may be told in words.
    fn rounds_to(&self, number: &Number<'_>, reading: &Reading) -> bool {
        if reading.unit.dimension() != self.unit.dimension() {
            return false;
        }
        let own = reading.unit.from_si(self.unit.to_si(self.number));
        let is_near =
            |own: f64| (own - reading.number).abs() <= 0.5 * number.last_place() + 1e-9 * own.abs();
        is_near(own) || self.unit.mark() != Mark::Point && is_near(-own)
    }
}

/// What is told of numbers in the words of a problem with `versions`; `from` are what all its
/// values are found from.
pub(in crate::worksheet) fn judge(
    problem: &Problem,
    question: &Question,
    ground: &Ground<'_>,
    from: &FxHashMap<SymbolId, FoundFrom>,
) -> Vec<Diagnostic> {
    let Some(versions) = &problem.versions else {
        return Vec::new();
    };
    let varied = versions.varied.iter().flat_map(|line| &line.data);
    let varied: FxHashSet<SymbolId> = varied.map(|datum| datum.symbol).collect();
    let all = Values::of(problem, &varied, from);
    let mut found = Vec::new();
    for (at, part) in problem.parts.iter().enumerate() {
        let mut judge = |words: &Words| {
            for number in read::numbers(&words.text) {
                let reading = number.reading(|dimension| all.dimensions.contains(&dimension));
                let end = reading.as_ref().map_or(number.end, |reading| reading.end);
                let place = words.place(ground.text, number.start, end);
                let written = words.text.get(number.start..end).unwrap_or("");
                let written = written.split_whitespace().collect::<Vec<_>>().join(" ");
                found.extend(match at < question.end {
                    true => all.in_question(&number, reading.as_ref(), place, &written),
                    false => all.in_solution(&number, reading.as_ref(), place, &written),
                });
            }
        };
        match &part.kind {
            PartKind::Heading { content, .. } => {
                words::of_line(ground.text, part.span, content, &mut judge);
            }
            PartKind::Prose(blocks) => words::of_blocks(ground.text, part.span, blocks, &mut judge),
            PartKind::Block { statements, .. } => {
                for (index, line) in statements.iter().enumerate() {
                    let next = statements.get(index + 1);
                    let place = Span {
                        start: line.span.start,
                        end: next.map_or(part.span.end, |next| next.span.start),
                    };
                    if !line.is_of_versions {
                        words::of_line(ground.text, place, &line.description, &mut judge);
                    }
                }
            }
        }
    }
    found
}

/// The values of version 0 that other versions have not.
struct Values<'a> {
    varied: Vec<Varying<'a>>,
    computed: Vec<Value<'a>>,
    /// The dimensions of all values of the problem.
    dimensions: FxHashSet<Dimension>,
}

impl<'a> Values<'a> {
    fn of(
        problem: &'a Problem,
        varied: &FxHashSet<SymbolId>,
        from: &FxHashMap<SymbolId, FoundFrom>,
    ) -> Self {
        let mut all = Self {
            varied: Vec::new(),
            computed: Vec::new(),
            dimensions: FxHashSet::default(),
        };
        for line in problem.statements() {
            let (name, shown, is_what_if) = match &line.body {
                Body::Given { symbol, shown, .. } => (Some(*symbol), &**shown, false),
                Body::Work(work) => (
                    work.lead.inside().as_symbol(),
                    &*work.shown,
                    !work.conditions.is_empty(),
                ),
                Body::Answer {
                    expr,
                    shown,
                    conditions,
                    ..
                } => (expr.inside().as_symbol(), &**shown, !conditions.is_empty()),
                _ => continue,
            };
            all.dimensions.insert(shown.unit.dimension());
            let Some(name) = name else { continue };
            let key = problem.symbols.symbol(name).key.as_ref();
            let Some(value) = Value::of(key, shown) else {
                continue;
            };
            if varied.contains(&name) {
                all.varied.push(Varying {
                    value,
                    is_across: is_across(line),
                });
            } else if varies(name, varied, from) {
                all.computed.push(Value {
                    is_what_if,
                    ..value
                });
            }
        }
        all
    }

    fn in_question(
        &self,
        number: &Number<'_>,
        reading: Option<&Reading>,
        place: Span,
        written: &str,
    ) -> Option<Diagnostic> {
        let Some(reading) = reading else {
            let is_it = |it: &&Varying<'_>| it.value.number == number.value();
            let it = self.varied.iter().find(is_it);
            let it = &it.filter(|_| number.digits() > 1)?.value;
            let message = format!(
                "`{written}` may be the value of `{}`, which is varied",
                it.key
            );
            return Some(may_be(place, message, &it.ask()));
        };
        if let Some(it) = self.varied.iter().find(|it| it.value.is(reading, 1.0)) {
            let key = it.value.key;
            let message =
                format!("the question says `{written}`, the value of `{key}`, which is varied");
            return Some(Diagnostic::error(Code::P07, place, message).with_help(format!(
                "{}, or in the description of a line nothing; what no version varies gets a name in `given`",
                it.value.ask()
            )));
        }
        let across = self.varied.iter().filter(|it| it.is_across);
        let found = across
            .flat_map(|it| [(it, 0.5, "half of"), (it, 2.0, "twice")])
            .find(|(it, times, _)| it.value.is(reading, *times));
        let (it, times, words) = found?;
        let it = &it.value;
        let message = format!("`{written}` is {words} `{}`, which is varied", it.key);
        let formula = match times < 1.0 {
            true => format!("{}/2", it.key),
            false => format!("2 {}", it.key),
        };
        Some(may_be(
            place,
            message,
            &format!("`{formula} = ? {}`", it.asked),
        ))
    }

    fn in_solution(
        &self,
        number: &Number<'_>,
        reading: Option<&Reading>,
        place: Span,
        written: &str,
    ) -> Option<Diagnostic> {
        let reading = reading.filter(|_| number.figures() > 1)?;
        let data = self.varied.iter().map(|it| &it.value);
        let mut all = data.chain(&self.computed);
        let it = all.find(|it| it.rounds_to(number, reading))?;
        let message = format!(
            "the solution says `{written}`, the value of `{}` in version 0",
            it.key
        );
        let help = match it.is_what_if {
            true => format!("its ask, with the same data behind `at`: `{} = ?`", it.key),
            false => it.ask(),
        };
        Some(Diagnostic::warning(Code::P24, place, message).with_help(help))
    }
}

fn may_be(place: Span, message: String, ask: &str) -> Diagnostic {
    Diagnostic::warning(Code::P23, place, message).with_help(format!("{ask}, or other words"))
}

/// Whether a value is found from what varies.
fn varies(
    name: SymbolId,
    varied: &FxHashSet<SymbolId>,
    from: &FxHashMap<SymbolId, FoundFrom>,
) -> bool {
    let mut seen = FxHashSet::default();
    let mut open = vec![name];
    while let Some(name) = open.pop() {
        if varied.contains(&name) {
            return true;
        }
        if seen.insert(name) {
            open.extend(from.get(&name).iter().flat_map(|from| &from.reads));
        }
    }
    false
}

/// Whether a line calls its datum a diameter or a radius.
fn is_across(line: &Statement) -> bool {
    let said = words::plain(&line.description).to_lowercase();
    ["diameter", "radius"]
        .iter()
        .any(|word| said.contains(word))
}
