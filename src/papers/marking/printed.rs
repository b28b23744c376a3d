//! What was printed, as marking needs it: of each version and question the worksheet to evaluate
//! again, its answers with what is accepted, and what a list may say of it.

use std::sync::Arc;

use super::field::{self, Words};
use super::list;
use super::marked::PartOf;
use super::marks::{self, LineOf};
use super::range::{Accepted, accepted};
use crate::dimensions::Type;
use crate::evaluate::{in_unit, to_si};
use crate::papers::paper::Chosen;
use crate::papers::print::{self, answer, within};
use crate::quantity::{Unit, Within, to_figures};
use crate::syntax::ATMOSPHERE;
use crate::text::{Beside, Files};
use crate::worksheet::{
    Asked, Body, Instead, PartKind, Problem, Replacement, Replay, Replays, Shape, Shown, SymbolId,
    Worksheet,
};

/// A paper as it was printed, in all its versions.
pub struct Printed {
    /// The parts of the paper, in order.
    pub parts: Vec<PartOf>,
    pub(super) versions: Vec<Version>,
}

/// A version as it was printed.
pub(super) struct Version {
    pub number: u16,
    pub fingerprint: Option<String>,
    pub questions: Vec<Question>,
}

/// A question of a version.
pub struct Question {
    pub(super) chosen: Chosen,
    pub(super) replays: Arc<Replays>,
    pub(super) parts: Vec<Part>,
    /// The names of its working and its data, in the order of its lines.
    pub(super) names: Vec<Name>,
    /// Data that are not the same in all versions.
    pub(super) varied: Vec<SymbolId>,
}

/// Something whose value is judged: a part, or a line between.
pub(super) struct Target {
    pub symbol: SymbolId,
    pub field: field::Asked,
    /// The unit in which it is judged.
    pub unit: Unit,
    pub found: Type,
    /// The figures of its answer; none where its last places are fixed.
    pub figures: Option<u8>,
    pub places: Vec<i32>,
    pub within: Within,
    /// What is put in for data, where it is a what-if.
    pub conditions: Vec<(SymbolId, Replacement)>,
    /// What is right, in coherent SI units and in its unit.
    pub si: Vec<f64>,
    pub values: Vec<f64>,
    pub accepted: Accepted,
}

/// A part of a question.
pub(super) struct Part {
    pub target: Target,
    pub marks: Vec<(u32, crate::worksheet::MarkKind)>,
    /// The lines that earn them.
    pub lines: Vec<LineOf>,
    /// The answer as it is printed.
    pub right: String,
}

/// A name of the working or of the data, of which a list may have a student's value.
pub(super) struct Name {
    pub target: Target,
    pub is_datum: bool,
}

impl Target {
    /// A value of it in its unit.
    pub fn in_unit(&self, si: f64) -> f64 {
        in_unit(si, self.found.reading, self.found.counts, &self.unit)
    }

    /// The same in the unit that the student is asked for.
    pub fn in_asked(&self, si: f64) -> f64 {
        in_unit(si, self.found.reading, self.found.counts, &self.field.unit)
    }

    /// A value in its unit, to the figures asked.
    pub fn printed(&self, values: &[f64]) -> String {
        let figures = self.figures.unwrap_or(3);
        let numbers = values.iter().map(|it| to_figures(*it, figures).text());
        let numbers: Vec<String> = numbers.collect();
        let text = match numbers.as_slice() {
            [only] => only.clone(),
            all => format!("({})", all.join(", ")),
        };
        match self.unit.text() {
            "" => text,
            unit => format!("{text}\u{a0}{unit}"),
        }
    }

    /// Its right answer as somebody writes it down who copies it.
    pub fn as_printed(&self) -> field::Written {
        let figures = self.figures.unwrap_or(3);
        let numbers = self.values.iter().map(|value| {
            let digits = to_figures(*value, figures);
            let si = |it: f64| {
                let found = &self.found;
                to_si(it, found.reading, found.counts, &self.unit)
            };
            let (own, half) = (digits.value(), 0.5 * digits.unit_in_last_place());
            let figures = u32::from(figures);
            Some(field::Number {
                si: si(own),
                half: (si(own + half) - si(own)).abs(),
                figures: field::Figures {
                    most: figures,
                    least: figures,
                },
            })
        });
        field::Written {
            numbers: numbers.collect(),
            unit: field::WrittenUnit::Asked(self.unit.clone()),
            sign: None,
            word: None,
            uncertainty: None,
            remarks: Vec::new(),
        }
    }
}

impl Printed {
    /// What was printed of some versions of a paper. Among them should be version 0, which is
    /// looked at too where a sheet may be a copy. `files` holds what the worksheets read.
    pub fn of(versions: &[print::Version], paper: &Worksheet, files: &Arc<dyn Files>) -> Self {
        let mut found: Vec<Version> = (versions.iter())
            .map(|version| {
                let mut known: Vec<(Arc<Worksheet>, Arc<Replays>)> = Vec::new();
                let questions = version.questions.iter().map(|chosen| {
                    let same = |it: &&(Arc<Worksheet>, Arc<Replays>)| {
                        Arc::ptr_eq(&it.0, &chosen.worksheet)
                    };
                    let replays = match known.iter().find(same) {
                        Some((_, replays)) => Arc::clone(replays),
                        None => {
                            let replays = opened(chosen, files);
                            known.push((Arc::clone(&chosen.worksheet), Arc::clone(&replays)));
                            replays
                        }
                    };
                    Question::new(chosen, replays, paper)
                });
                Version {
                    number: version.number,
                    fingerprint: version.fingerprint.clone(),
                    questions: questions.collect(),
                }
            })
            .collect();
        let count = found.first().map_or(0, |version| version.questions.len());
        for at in 0..count {
            vary(&mut found, at);
        }
        let first = found.first().map_or(&[][..], |version| &version.questions);
        let parts = first.iter().enumerate();
        let parts = parts
            .flat_map(|(at, question)| question.told(at + 1))
            .collect();
        Self {
            parts,
            versions: found,
        }
    }

    /// What a list has to know of the paper.
    pub fn columns(&self) -> list::Paper {
        let first = self.versions.first();
        let questions = first.map_or(&[][..], |version| &version.questions);
        list::Paper {
            questions: questions.iter().map(Question::columns).collect(),
            versions: (self.versions.iter())
                .map(|version| list::Version {
                    number: version.number.into(),
                    fingerprint: version.fingerprint.as_deref().map(Into::into),
                })
                .collect(),
        }
    }
}

fn opened(chosen: &Chosen, files: &Arc<dyn Files>) -> Arc<Replays> {
    let beside = Beside::new(Arc::clone(files), &chosen.path);
    Arc::new(Replays::of(&chosen.worksheet.source, &beside))
}

/// Finds which data of a question are not the same in all versions.
fn vary(versions: &mut [Version], at: usize) {
    let values = |version: &Version| -> Vec<(SymbolId, Vec<f64>)> {
        let names = version.questions.get(at).map_or(&[][..], |it| &it.names);
        let data = names.iter().filter(|name| name.is_datum);
        data.map(|name| (name.target.symbol, name.target.si.clone()))
            .collect()
    };
    let all: Vec<Vec<(SymbolId, Vec<f64>)>> = versions.iter().map(values).collect();
    let Some((first, others)) = all.split_first() else {
        return;
    };
    let varied: Vec<SymbolId> = (first.iter())
        .filter(|(symbol, value)| {
            let same = |version: &Vec<(SymbolId, Vec<f64>)>| {
                let own = version.iter().find(|(own, _)| own == symbol);
                own.is_some_and(|(_, own)| own == value)
            };
            !others.iter().all(same)
        })
        .map(|(symbol, _)| *symbol)
        .collect();
    for version in versions {
        if let Some(question) = version.questions.get_mut(at) {
            question.varied = varied.clone();
        }
    }
}

impl Question {
    /// A question that is judged by itself.
    pub fn of(chosen: &Chosen, paper: &Worksheet, files: &Arc<dyn Files>) -> Self {
        Self::new(chosen, opened(chosen, files), paper)
    }

    fn new(chosen: &Chosen, replays: Arc<Replays>, paper: &Worksheet) -> Self {
        let problem = &chosen.worksheet.problems[chosen.problem].problem;
        let (mut parts, mut names) = (Vec::new(), Vec::new());
        if let (Some(replay), Some(question)) = (replays.problem(chosen.problem), &problem.question)
        {
            let maker = Maker {
                problem,
                replay: &replay,
                paper,
            };
            for (at, asked) in question.asked.iter().enumerate() {
                parts.extend(maker.part(at, asked));
            }
            let is_asked = |symbol: &SymbolId| {
                let same = |part: &Part| {
                    part.target.symbol == *symbol && part.target.conditions.is_empty()
                };
                parts.iter().any(same)
            };
            let own = replay.names().into_iter().filter(|it| !is_asked(it));
            names = own.filter_map(|symbol| maker.name(symbol)).collect();
        }
        Self {
            chosen: chosen.clone(),
            replays,
            parts,
            names,
            varied: Vec::new(),
        }
    }

    /// The names that are asked whose answer rounding on the way, to three figures, moves by more
    /// than it may be off.
    pub fn rough(&self) -> Vec<SymbolId> {
        let Some(replay) = self.replays.problem(self.chosen.problem) else {
            return Vec::new();
        };
        let is_rough = |target: &&Target| {
            let moved = replay.rounded(target.symbol, None, &Instead::default(), 3);
            let sizes = target.si.iter().zip(moved.unwrap_or_default());
            let mut sizes = sizes.zip(&target.accepted.reaches);
            sizes.any(|((si, by), reach)| {
                (target.in_unit(si + by) - target.in_unit(*si)).abs() > *reach
            })
        };
        let targets = self.parts.iter().map(|part| &part.target);
        targets.filter(is_rough).map(|it| it.symbol).collect()
    }

    pub(super) fn problem(&self) -> &Problem {
        &self.chosen.worksheet.problems[self.chosen.problem].problem
    }

    /// The key of a name, as it is typed.
    pub(super) fn key(&self, symbol: SymbolId) -> &str {
        &self.problem().symbols.symbol(symbol).key
    }

    fn letter(&self, part: usize) -> Option<char> {
        self.problem().question.as_ref()?.letter(part)
    }

    fn told(&self, number: usize) -> Vec<PartOf> {
        let parts = self.parts.iter().enumerate();
        parts
            .map(|(at, part)| {
                let name = self.key(part.target.symbol);
                PartOf {
                    question: number,
                    letter: self.letter(at),
                    name: name.to_owned(),
                    printed: plain_name(name),
                    of: part.marks.iter().map(|(count, _)| count).sum(),
                }
            })
            .collect()
    }

    fn columns(&self) -> list::Question {
        let components = |target: &Target| match target.field.shape {
            field::Shape::Vector(count) => count,
            field::Shape::Scalar | field::Shape::Column(_) => 1,
        };
        let parts = self.parts.iter().enumerate();
        list::Question {
            parts: parts
                .map(|(at, part)| list::Part {
                    letter: self.letter(at),
                    components: components(&part.target),
                    marks: (part.marks.iter())
                        .map(|(count, kind)| (kind.word().into(), *count))
                        .collect(),
                })
                .collect(),
            names: (self.names.iter())
                .map(|name| list::Named {
                    name: name.target.field.name.clone(),
                    components: components(&name.target),
                })
                .collect(),
        }
    }
}

/// What the parts and names of a question are made with.
struct Maker<'m> {
    problem: &'m Problem,
    replay: &'m Replay<'m>,
    paper: &'m Worksheet,
}

impl Maker<'_> {
    fn part(&self, at: usize, asked: &Asked) -> Option<Part> {
        let (shown, direction) = answer(self.problem, asked)?;
        let line = self.problem.line(asked.at);
        let Body::Required {
            unit,
            positive,
            negative,
            conditions,
            ..
        } = &line.body
        else {
            return None;
        };
        // Words of a sketch or of the answer are told for the sign that it has.
        let is_negative = shown.values.first().is_some_and(|value| *value < 0.0);
        let own = |is_it: bool| direction.clone().filter(|_| is_it);
        let words = match (positive, negative) {
            (None, None) => Words {
                positive: own(!is_negative).map(Into::into),
                negative: own(is_negative).map(Into::into),
            },
            (positive, negative) => Words {
                positive: positive.as_deref().map(Into::into),
                negative: negative.as_deref().map(Into::into),
            },
        };
        let mut target = self.target(asked.symbol, shown, within(self.paper, asked))?;
        target.field.words = words;
        if let Some(unit) = unit {
            target.field.unit = unit.clone();
        }
        target.conditions.clone_from(conditions);
        Some(Part {
            lines: marks::lines(self.problem, at),
            marks: asked.marks.clone(),
            right: told(shown, direction.as_deref()),
            target,
        })
    }

    /// A name of which a line shows the value.
    fn name(&self, symbol: SymbolId) -> Option<Name> {
        let statements = self.problem.statements();
        let (shown, is_datum) = statements
            .filter_map(|statement| match &statement.body {
                Body::Given {
                    symbol: own, shown, ..
                } if *own == symbol => Some((&**shown, true)),
                Body::Work(work)
                    if work.conditions.is_empty()
                        && work.lead.inside().as_symbol() == Some(symbol) =>
                {
                    Some((&*work.shown, false))
                }
                _ => None,
            })
            .next()?;
        let within = self.paper.front.exam.within.clone();
        let within = within.unwrap_or_else(Within::one_percent);
        let target = self.target(symbol, shown, within)?;
        Some(Name { target, is_datum })
    }

    fn target(&self, symbol: SymbolId, shown: &Shown, within: Within) -> Option<Target> {
        let found = self.replay.found(symbol)?.clone();
        let symbols = self.replay.symbols();
        let names = self.replay.names();
        let shape = match self.replay.shape(symbol)? {
            Shape::One => field::Shape::Scalar,
            Shape::Vector => field::Shape::Vector(shown.si.len()),
            Shape::List => field::Shape::Column(shown.si.len()),
        };
        let key = |symbol: &SymbolId| symbols.symbol(*symbol).key.clone();
        let atmosphere = names.iter().find(|it| &*key(it) == ATMOSPHERE);
        let atmosphere = atmosphere.and_then(|it| self.replay.present(*it));
        let has_angle = self.problem.statements().any(|statement| {
            matches!(&statement.body, Body::Given { shown, .. } if is_angle(&shown.unit))
        });
        let field = field::Asked {
            name: key(&symbol),
            others: names.iter().map(key).collect(),
            shape,
            unit: shown.unit.clone(),
            found: found.clone(),
            words: Words::default(),
            atmosphere: atmosphere.map(|value| value.at(0)),
            by_angle: has_angle && shape == field::Shape::Vector(2),
        };
        Some(Target {
            symbol,
            field,
            unit: shown.unit.clone(),
            found,
            figures: (shown.figures > 0).then_some(shown.figures),
            places: shown.digits.iter().map(|it| it.last_place()).collect(),
            accepted: accepted(shown, &within),
            within,
            conditions: Vec::new(),
            si: shown.si.clone(),
            values: shown.values.clone(),
        })
    }
}

/// Whether it is a unit of angles.
fn is_angle(unit: &Unit) -> bool {
    unit.dimension().is_none() && matches!(unit.source(), "deg" | "°" | "rad")
}

/// An answer in one line: `551 N upstream`.
fn told(shown: &Shown, direction: Option<&str>) -> String {
    let digits = shown.digits.iter().map(|digits| match direction {
        Some(_) => digits.magnitude().text(),
        None => digits.text(),
    });
    let numbers: Vec<String> = digits.collect();
    let mut text = match numbers.as_slice() {
        [only] => only.clone(),
        all => format!("({})", all.join(", ")),
    };
    let more = [Some(shown.unit.text()), shown.datum(), direction];
    for word in more.into_iter().flatten().filter(|it| !it.is_empty()) {
        text.push('\u{a0}');
        text.push_str(word);
    }
    text
}

/// A name in plain text: `V₂`; what has no small letters below the line stays as it is typed.
fn plain_name(key: &str) -> String {
    let (name, below) = match key.split_once('_') {
        Some((name, below)) => (name, below),
        None => (key, ""),
    };
    let name = crate::syntax::greek_letter(name).map_or_else(|| name.to_owned(), String::from);
    let small: Option<String> = below.chars().map(lowered).collect();
    match small {
        Some(small) => name + &small,
        None => format!("{name}_{below}"),
    }
}

/// A digit or letter as it stands below the line.
fn lowered(letter: char) -> Option<char> {
    const LETTERS: [(char, char); 17] = [
        ('a', 'ₐ'),
        ('e', 'ₑ'),
        ('h', 'ₕ'),
        ('i', 'ᵢ'),
        ('j', 'ⱼ'),
        ('k', 'ₖ'),
        ('l', 'ₗ'),
        ('m', 'ₘ'),
        ('n', 'ₙ'),
        ('o', 'ₒ'),
        ('p', 'ₚ'),
        ('r', 'ᵣ'),
        ('s', 'ₛ'),
        ('t', 'ₜ'),
        ('u', 'ᵤ'),
        ('v', 'ᵥ'),
        ('x', 'ₓ'),
    ];
    match letter.to_digit(10) {
        Some(digit) => char::from_u32('₀' as u32 + digit),
        None => (LETTERS.iter().find(|(own, _)| *own == letter)).map(|(_, small)| *small),
    }
}

/// Where the blocks of a problem stand among its parts.
pub(super) fn part_of_block(problem: &Problem, block: usize) -> Option<usize> {
    let own = block.checked_sub(problem.shared.len())?;
    let is_block = |kind: &PartKind| matches!(kind, PartKind::Block { .. });
    let parts = problem.parts.iter().enumerate();
    let mut blocks = parts.filter(|(_, part)| is_block(&part.kind));
    blocks.nth(own).map(|(at, _)| at)
}
