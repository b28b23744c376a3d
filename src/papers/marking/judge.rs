//! The judge: of each answer of each student what it is, and its marks.
//!
//! The steps stand in the order in which they are tried. `carried` puts a student's own numbers in,
//! `other_version` looks for sheets of other versions, `named` for slips, and `marks` says which
//! marks a verdict earns.

use std::cell::RefCell;

use rustc_hash::FxHashSet;

use super::carried::{Case, Found, Known, Trial, Way, holds, is_rounded, with_conditions};
use super::field::{self, Field, Remark, Written, WrittenUnit};
use super::list::{Holds, List, Row, Says};
use super::marked::{Answer, Marked, Slip, Student, Verdict};
use super::marks::{self, Earned, Finding, LineOf};
use super::named::{self, Shelf};
use super::other_version;
use super::printed::{Printed, Question, Target, part_of_block};
use super::range::Accepted;
use super::row::{Said, Signed};
use crate::worksheet::{Instead, Replay, SlipClass, SlipOf, SymbolId};

/// Marks a list.
pub fn mark(list: &List, printed: &Printed) -> Marked {
    Judge::of(printed).mark(list)
}

/// What marks lists of a paper: its questions, evaluated.
pub struct Judge<'p> {
    printed: &'p Printed,
    versions: Vec<Vec<Ground<'p>>>,
}

/// A question of a version, evaluated.
struct Ground<'p> {
    question: &'p Question,
    replay: Option<Replay<'p>>,
    parts: Vec<Reach>,
    names: Vec<Reach>,
    slips: RefCell<Shelf>,
}

/// What a target is found from.
struct Reach {
    ways: Vec<Way>,
    behind: FxHashSet<SymbolId>,
    /// Data that are other for it.
    changed: Vec<SymbolId>,
}

/// What a target should be for a student.
struct Right {
    si: Vec<f64>,
    values: Vec<f64>,
    accepted: Accepted,
}

/// A slip that was named, and in which part.
struct NamedSlip {
    part: usize,
    slip: SlipOf,
}

/// What is known of a student at a question.
#[derive(Default)]
struct Sheet {
    /// Own readings.
    base: Instead,
    has_own_data: bool,
    /// Data of which nobody knows what they are.
    unread: Vec<(SymbolId, String)>,
    known: Vec<Known>,
    /// Names whose values are those of another version.
    copied: Vec<SymbolId>,
    slips: Vec<NamedSlip>,
    /// What the student wrote for parts, before it is judged.
    ahead: Vec<Known>,
    /// The findings of lines between.
    lines: Vec<(SymbolId, Earned)>,
    /// Whether slips and what is asked later are looked at.
    is_copy: bool,
}

/// What was found of a value.
struct Judged {
    verdict: Verdict,
    is_carried: bool,
    /// Whether the exact value may stand for it afterwards; `None` where nothing goes on.
    goes_on: Option<bool>,
    case: Option<Case>,
    slip: Option<Vec<SlipOf>>,
    remarks: Vec<String>,
}

impl Judged {
    fn new(verdict: Verdict, goes_on: Option<bool>) -> Self {
        Self {
            verdict,
            is_carried: false,
            goes_on,
            case: None,
            slip: None,
            remarks: Vec::new(),
        }
    }

    fn person(remark: impl Into<String>) -> Self {
        let mut judged = Self::new(Verdict::ToBeRead, None);
        judged.remarks.push(remark.into());
        judged
    }

    fn with(mut self, case: Option<Case>) -> Self {
        self.is_carried = case.is_some();
        self.case = case;
        self
    }
}

impl<'p> Judge<'p> {
    /// Evaluates all questions of all versions.
    pub fn of(printed: &'p Printed) -> Self {
        let versions = printed.versions.iter();
        Self {
            printed,
            versions: versions
                .map(|version| version.questions.iter().map(Ground::of).collect())
                .collect(),
        }
    }

    /// Marks a list.
    pub fn mark(&self, list: &List) -> Marked {
        Marked {
            parts: self.printed.parts.clone(),
            students: list
                .rows
                .iter()
                .map(|row| self.student(list, row))
                .collect(),
        }
    }

    fn student(&self, list: &List, row: &Row) -> Student {
        let cells: Vec<(Holds, &Says)> = (list.columns.iter().zip(&row.cells))
            .map(|(column, cell)| (column.holds, &cell.says))
            .collect();
        let signs = Signed::of(&cells);
        let (mut answers, mut number) = (Vec::new(), 0);
        if let Some(version) = self.printed.versions.get(row.version) {
            number = version.number;
            for (at, ground) in self.versions[row.version].iter().enumerate() {
                let said = Said {
                    cells: &cells,
                    signs: &signs,
                    question: at,
                };
                answers.extend(self.question((row.version, at), ground, &said));
            }
        }
        Student {
            id: row.id.clone(),
            version: number,
            line: row.line,
            answers,
        }
    }

    fn question(
        &self,
        (version, at): (usize, usize),
        ground: &Ground<'_>,
        said: &Said<'_>,
    ) -> Vec<Answer> {
        let question = ground.question;
        let Some(replay) = &ground.replay else {
            return Vec::new();
        };
        let mut sheet = Sheet::default();
        let own = ground.own_values(said, &mut sheet);
        let read: Vec<(String, Field)> = (question.parts.iter().enumerate())
            .map(|(part, of)| said.read(&of.target, |it| it.is_answer(at, part)))
            .collect();
        let fields: Vec<Field> = read.iter().map(|(_, field)| field.clone()).collect();
        let copied = other_version::found(self.printed, (version, at), &fields, |part, values| {
            let target = &question.parts[part].target;
            let right = ground.right(replay, target, &sheet);
            right.is_some_and(|right| holds(&right.accepted, values))
        });
        for (part, of) in question.parts.iter().enumerate() {
            sheet
                .ahead
                .extend(known_of(&of.target, &fields[part], part));
            if copied
                .as_ref()
                .is_some_and(|(_, parts)| parts.contains(&part))
            {
                sheet.copied.push(of.target.symbol);
            }
        }
        let other = copied.as_ref().map(|(other, parts)| {
            let number = |version: usize| self.printed.versions.get(version).map_or(0, |it| it.number);
            let count = parts.len();
            let remark = format!(
                "{count} answers of question {} are those of version {}, and not right in version {}",
                at + 1,
                number(*other),
                number(version),
            );
            (number(*other), parts, remark)
        });
        let mut answers = Vec::new();
        for (part, of) in question.parts.iter().enumerate() {
            ground.lines_before(replay, part, &own, &mut sheet);
            let (written, field) = &read[part];
            let mut answer = match &other {
                Some((number, parts, remark)) if parts.contains(&part) => {
                    let mut judged = Judged::new(Verdict::OtherVersion, None);
                    judged.remarks.push(remark.clone());
                    let mut answer = ground.finished(part, &sheet, first(field), judged, None);
                    answer.other_version = Some(*number);
                    answer
                }
                _ => ground.part(replay, part, (written, field), &mut sheet),
            };
            answer.written = written.as_str().into();
            said.by_hand(part, of, &mut answer);
            answers.push(answer.answer);
        }
        answers
    }

    /// The marks that a sheet of one version gets in another by numbers alone, of how many: its
    /// answers to the figures asked, marked by the first five steps. Open marks count as none.
    pub fn copy(&self, version: usize, question: usize, from: usize) -> (u32, u32) {
        let grounds = self.versions.get(version).and_then(|all| all.get(question));
        let other = self.printed.versions.get(from);
        let other = other.and_then(|other| other.questions.get(question));
        match (grounds, other) {
            (Some(ground), Some(other)) => ground.copy(other),
            _ => (0, 0),
        }
    }
}

/// The marks that a sheet of one version of a question gets in another, of how many: see
/// [`Judge::copy`].
pub fn copy(own: &Question, from: &Question) -> (u32, u32) {
    Ground::of(own).copy(from)
}

/// An answer, and how its marks came about.
pub(super) struct Counted {
    pub answer: Answer,
    pub earned: Earned,
}

impl std::ops::Deref for Counted {
    type Target = Answer;

    fn deref(&self) -> &Answer {
        &self.answer
    }
}

impl std::ops::DerefMut for Counted {
    fn deref_mut(&mut self) -> &mut Answer {
        &mut self.answer
    }
}

/// The first reading of a field.
fn first(field: &Field) -> Option<&Written> {
    match field {
        Field::One(written) => Some(written),
        Field::Either(both) => Some(&both[1]),
        Field::Blank(_) | Field::Person(_) => None,
    }
}

/// A student's value as it goes on.
fn known_of(target: &Target, field: &Field, part: usize) -> Option<Known> {
    let written = first(field)?;
    let numbers: Option<Vec<field::Number>> = written.numbers.iter().copied().collect();
    Some(Known {
        symbol: target.symbol,
        numbers: numbers?,
        is_right: false,
        of_what_if: (!target.conditions.is_empty()).then_some(part),
    })
}

impl<'p> Ground<'p> {
    fn of(question: &'p Question) -> Self {
        let replay = question.replays.problem(question.chosen.problem);
        let reach = |target: &Target, later: &[SymbolId]| match &replay {
            Some(replay) => Reach::of(question, replay, target, later),
            None => Reach {
                ways: Vec::new(),
                behind: FxHashSet::default(),
                changed: Vec::new(),
            },
        };
        let symbols: Vec<SymbolId> = question.parts.iter().map(|it| it.target.symbol).collect();
        let parts = question.parts.iter().enumerate();
        let parts = parts
            .map(|(at, part)| {
                let own = part.target.symbol;
                let before = &symbols[..at];
                let later: Vec<SymbolId> = (symbols[at + 1..].iter().copied())
                    .filter(|it| *it != own && !before.contains(it))
                    .collect();
                reach(&part.target, &later)
            })
            .collect();
        let names = question.names.iter().map(|name| reach(&name.target, &[]));
        let names = names.collect();
        Self {
            question,
            parts,
            names,
            replay,
            slips: RefCell::default(),
        }
    }

    /// Reads the student's own data, and the values of lines between.
    fn own_values(&self, said: &Said<'_>, sheet: &mut Sheet) -> Vec<Option<(String, Field)>> {
        let mut own = Vec::new();
        for (at, name) in self.question.names.iter().enumerate() {
            let is_own = |it: &Holds| it.is_own(said.question, at);
            let (written, field) = match said.has(is_own) {
                true => said.read(&name.target, is_own),
                false => (String::new(), Field::Blank(None)),
            };
            let is_blank = matches!(field, Field::Blank(_));
            if !name.is_datum || is_blank {
                own.push((!is_blank).then_some((written, field)));
                continue;
            }
            own.push(None);
            let key = &name.target.field.name;
            match (&field, &self.replay) {
                (Field::One(read), Some(replay)) if !is_other_kind(read) => {
                    let numbers = read.numbers.iter();
                    let numbers = numbers.map(|it| it.map_or(f64::NAN, |it| it.si));
                    let numbers: Vec<f64> = numbers.collect();
                    if let Some(value) = replay.numbers(name.target.symbol, &numbers) {
                        sheet.base = sheet.base.clone().with(name.target.symbol, value);
                        sheet.has_own_data = true;
                    }
                }
                (Field::Person(doubt), _) => {
                    let remark = doubt.message(&written, key);
                    sheet.unread.push((name.target.symbol, remark));
                }
                _ => {
                    let remark = format!("`{written}` cannot be `{key}`");
                    sheet.unread.push((name.target.symbol, remark));
                }
            }
        }
        own
    }

    /// What is right for a student.
    fn right(&self, replay: &Replay<'_>, target: &Target, sheet: &Sheet) -> Option<Right> {
        if !sheet.has_own_data {
            return Some(Right {
                si: target.si.clone(),
                values: target.values.clone(),
                accepted: target.accepted.clone(),
            });
        }
        let instead = with_conditions(replay, &target.conditions, &sheet.base);
        let si = replay.value(target.symbol, &instead).ok()?.rows;
        let values: Vec<f64> = si.iter().map(|it| target.in_unit(*it)).collect();
        Some(Right {
            accepted: target.about(&values),
            si,
            values,
        })
    }

    /// Judges the lines between that the list has a value of and that a part needs.
    fn lines_before(
        &self,
        replay: &Replay<'_>,
        part: usize,
        own: &[Option<(String, Field)>],
        sheet: &mut Sheet,
    ) {
        for (at, name) in self.question.names.iter().enumerate() {
            let symbol = name.target.symbol;
            let Some((text, field)) = own.get(at).and_then(Option::as_ref) else {
                continue;
            };
            let is_needed = self.parts[part].behind.contains(&symbol)
                || self.question.parts[part]
                    .lines
                    .iter()
                    .any(|line| line.names.contains(&symbol));
            if !is_needed || sheet.lines.iter().any(|(own, _)| *own == symbol) {
                continue;
            }
            let judged = self.judged(
                replay,
                (None, &name.target, &self.names[at]),
                (text, field),
                sheet,
            );
            let lines: Vec<&LineOf> = (self.question.parts.iter().flat_map(|it| &it.lines))
                .filter(|line| line.names.contains(&symbol))
                .collect();
            let earned = self.earned(&name.target, &lines, first(field), &judged, sheet, replay);
            sheet.lines.push((symbol, earned));
            if let (Some(is_right), Some(known)) =
                (judged.goes_on, known_of(&name.target, field, 0))
            {
                sheet.known.push(Known {
                    is_right,
                    of_what_if: None,
                    ..known
                });
            }
        }
    }

    fn part(
        &self,
        replay: &Replay<'_>,
        part: usize,
        (text, field): (&str, &Field),
        sheet: &mut Sheet,
    ) -> Counted {
        let target = &self.question.parts[part].target;
        let reach = &self.parts[part];
        let judged = self.judged(replay, (Some(part), target, reach), (text, field), sheet);
        let read = match (field, &judged.case) {
            (Field::Either(both), _) => match judged.remarks.iter().any(|it| it == PLAIN) {
                true => Some(&both[0]),
                false => Some(&both[1]),
            },
            _ => first(field),
        };
        if let Some(is_right) = judged.goes_on
            && let Some(written) = read
            && let Some(known) = known_of(target, &Field::One(written.clone()), part)
        {
            sheet.known.push(Known { is_right, ..known });
        }
        let named = judged.slip.clone().unwrap_or_default();
        let counted = self.finished(part, sheet, read, judged, Some(replay));
        sheet
            .slips
            .extend(named.into_iter().map(|slip| NamedSlip { part, slip }));
        counted
    }

    /// The steps in their order.
    fn judged(
        &self,
        replay: &Replay<'_>,
        (part, target, reach): (Option<usize>, &Target, &Reach),
        (text, field): (&str, &Field),
        sheet: &Sheet,
    ) -> Judged {
        let unread = sheet
            .unread
            .iter()
            .find(|(symbol, _)| reach.behind.contains(symbol));
        if let (Some((_, remark)), false) = (unread, matches!(field, Field::Blank(_))) {
            return Judged::person(remark.clone());
        }
        match field {
            Field::Blank(remark) => {
                let mut judged = Judged::new(Verdict::Blank, None);
                judged.remarks.extend(remark.iter().map(Remark::text));
                judged
            }
            Field::Person(why) => Judged::person(why.message(text, &target.field.name)),
            Field::One(written) => {
                let mut judged =
                    self.one(replay, (part, target, reach), written, sheet, Depth::All);
                let said = written.remarks.iter().map(Remark::text);
                judged.remarks.splice(0..0, said);
                judged
            }
            Field::Either(both) => {
                let ways = both.iter().map(|written| {
                    let read = (part, target, reach);
                    self.one(replay, read, written, sheet, Depth::Right)
                });
                let is_it = |it: &Judged| matches!(it.verdict, Verdict::Right | Verdict::Carried);
                let all: Vec<Judged> = ways.collect();
                let mut good = all.into_iter().enumerate().filter(|(_, it)| is_it(it));
                match (good.next(), good.next()) {
                    (Some((at, mut judged)), None) => {
                        let remark = if at == 0 { PLAIN } else { IN_UNIT };
                        judged.remarks.push(remark.to_owned());
                        judged
                    }
                    _ => Judged::person(
                        "without a unit it may be a plain number or one in the unit asked",
                    ),
                }
            }
        }
    }

    fn one(
        &self,
        replay: &Replay<'_>,
        (part, target, reach): (Option<usize>, &Target, &Reach),
        written: &Written,
        sheet: &Sheet,
        depth: Depth,
    ) -> Judged {
        let Some(right) = self.right(replay, target, sheet) else {
            return Judged::person("with these readings it has no value");
        };
        let numbers: Option<Vec<field::Number>> = written.numbers.iter().copied().collect();
        let Some(numbers) = numbers.filter(|own| own.len() == right.values.len()) else {
            return Judged::person("a component is missing");
        };
        let values: Vec<f64> = numbers.iter().map(|it| target.in_unit(it.si)).collect();
        let is_other_kind = is_other_kind(written);
        let verdict = |verdict: Verdict| match is_other_kind {
            true => Verdict::Unit,
            false => verdict,
        };
        // 1: right.
        if holds(&right.accepted, &values) {
            return Judged::new(verdict(Verdict::Right), Some(true));
        }
        let is_behind =
            |symbol: &SymbolId| reach.behind.contains(symbol) && *symbol != target.symbol;
        if sheet.copied.iter().any(is_behind) {
            return Judged::person("it depends on an answer that is that of another version");
        }
        // 2: carried.
        let base = with_conditions(replay, &target.conditions, &sheet.base);
        let (known, left): (Vec<&Known>, Vec<&Known>) = (sheet.known.iter())
            .filter(|known| reach.reads(known.symbol) && known.symbol != target.symbol)
            .partition(|known| self.is_put_in(part, target, reach, known));
        let trial = Trial {
            replay,
            target,
            ways: &reach.ways,
            base: &base,
            known: &known,
        };
        let cases = trial.cases();
        match trial.find(&cases, &values) {
            Found::Yes(case) => {
                return Judged::new(verdict(Verdict::Carried), Some(false)).with(Some(case));
            }
            Found::Perhaps(case) => {
                let names: Vec<String> = (case.names.iter())
                    .map(|it| format!("`{}`", self.question.key(*it)))
                    .collect();
                return Judged::person(format!(
                    "it may be right with {}, as far as the figures there tell",
                    crate::text::listed(&names)
                ));
            }
            Found::No => {}
        }
        if depth == Depth::Right {
            return Judged::new(Verdict::Wrong, Some(false));
        }
        if left.iter().any(|known| !known.is_right) {
            return Judged::person("it may be from a value that was found with other data");
        }
        if is_other_kind {
            return Judged::new(Verdict::Wrong, Some(false));
        }
        // 3: rounded too far.
        if is_rounded(target, &right.values, &right.accepted, written) {
            return Judged::new(Verdict::Rounded, Some(true));
        }
        let rounded = cases
            .iter()
            .find(|case| is_rounded(target, &case.values, &case.accepted, written));
        if let Some(case) = rounded {
            return Judged::new(Verdict::Rounded, Some(true)).with(Some(case.clone()));
        }
        // 4: the other direction.
        if is_reversed(&right.accepted, &right.values, &values) {
            return Judged::new(Verdict::Direction, Some(false));
        }
        let reversed = cases
            .iter()
            .find(|case| is_reversed(&case.accepted, &case.values, &values));
        if let Some(case) = reversed {
            return Judged::new(Verdict::Direction, Some(false)).with(Some(case.clone()));
        }
        let Some(part) = part.filter(|_| !sheet.is_copy) else {
            return Judged::new(Verdict::Wrong, Some(false));
        };
        // 5: the same slip again.
        if let Some(slip) = self.again(&trial, (part, reach), &values, sheet) {
            let mut judged = Judged::new(Verdict::SlipAgain, Some(false));
            judged.is_carried = true;
            judged.slip = Some(vec![slip]);
            return judged;
        }
        // 6: a slip.
        let by_later = trial.by_later(&sheet.ahead, &values);
        let two_routes = by_later.as_ref().map(|case| {
            let names: Vec<String> = (case.names.iter())
                .map(|it| format!("`{}`", self.question.key(*it)))
                .collect();
            let by = match case.route {
                Some(_) => "by the alternative ",
                None => "",
            };
            format!("{by}right with your {}", crate::text::listed(&names))
        });
        let exact = trial.fixed();
        let exact_right: Vec<f64> = match replay.value(target.symbol, &exact) {
            Ok(value) => value.rows,
            Err(_) => right.si.clone(),
        };
        let is_plain = !sheet.has_own_data && known.iter().all(|known| known.is_right);
        let mut shelf = self.slips.borrow_mut();
        let slips = shelf.slips(replay, (part, target), &self.question.varied, &known);
        let group = slips.named((replay, target), (&exact, is_plain), &exact_right, &numbers);
        if let Some(group) = group {
            let mut judged = Judged::new(Verdict::Slip, Some(false));
            judged.slip = Some(group.iter().map(|at| slips.slips[*at].clone()).collect());
            judged
                .remarks
                .extend(two_routes.map(|it| format!("or {it}")));
            return judged;
        }
        // 7: not right.
        match two_routes {
            Some(remark) => {
                let mut judged = Judged::new(Verdict::TwoRoutes, Some(false));
                judged.remarks.push(remark);
                judged.case = by_later;
                judged
            }
            None => Judged::new(Verdict::Wrong, Some(false)),
        }
    }

    /// Whether a student's value may be put in for a target: not where it was found with other data.
    fn is_put_in(
        &self,
        part: Option<usize>,
        target: &Target,
        reach: &Reach,
        known: &Known,
    ) -> bool {
        let of = known.of_what_if.and_then(|of| self.question.parts.get(of));
        match (of, part) {
            (Some(of), _) => is_same_data(&of.target, target),
            (None, _) if reach.changed.is_empty() => true,
            (None, _) => {
                let replay = self.replay.as_ref();
                let behind = replay.and_then(|replay| replay.behind(known.symbol).ok());
                let reads = |symbol: &SymbolId| {
                    behind.iter().flatten().any(|it| it == symbol)
                        || replay.is_some_and(|replay| {
                            let mut names = behind.iter().flatten();
                            names.any(|it| replay.reads(*it).contains(symbol))
                        })
                };
                !reach.changed.iter().any(reads)
            }
        }
    }

    /// A slip that was named before and that gives these values too.
    fn again(
        &self,
        trial: &Trial<'_>,
        (part, reach): (usize, &Reach),
        values: &[f64],
        sheet: &Sheet,
    ) -> Option<SlipOf> {
        let target = trial.target;
        for named in &sheet.slips {
            let slip = &named.slip;
            let is_own = slip.symbol == target.symbol && named.part != part;
            if !(is_own || reach.reads(slip.symbol) && !slip.is_at_the_end()) {
                continue;
            }
            for instead in [trial.fixed(), trial.own()] {
                let Ok(value) = trial.replay.slipped(target.symbol, slip, &instead) else {
                    continue;
                };
                let slipped: Vec<f64> = value.rows.iter().map(|it| target.in_unit(*it)).collect();
                if holds(&target.about(&slipped), values) {
                    return Some(slip.clone());
                }
            }
        }
        None
    }

    /// The marks of lines for what was found.
    fn earned(
        &self,
        target: &Target,
        lines: &[&LineOf],
        written: Option<&Written>,
        judged: &Judged,
        sheet: &Sheet,
        replay: &Replay<'_>,
    ) -> Earned {
        let right = match &judged.case {
            Some(case) => Some(case.values.clone()),
            None => self.right(replay, target, sheet).map(|right| right.values),
        };
        let values = written.map(|written| {
            let numbers = written.numbers.iter().flatten();
            numbers
                .map(|it| target.in_unit(it.si))
                .collect::<Vec<f64>>()
        });
        let finding = Finding {
            verdict: judged.verdict,
            is_carried: judged.is_carried,
            is_direction: (values.zip(right))
                .is_some_and(|(own, right)| marks::same_sign(&own, &right)),
            written,
            figures: target.figures,
            has_unit: written.is_some_and(marks::has_unit),
            slip: None,
        };
        let slips = judged.slip.as_deref().unwrap_or(&[]);
        if judged.verdict != Verdict::Slip || slips.is_empty() {
            return marks::earned(lines, &finding);
        }
        // Of slips that no number tells apart the student has the better one.
        let mut best: Option<Earned> = None;
        for slip in slips {
            let sits = [slip.symbol, target.symbol];
            let finding = Finding {
                slip: Some((&sits, slip.class.is_of_method())),
                ..finding
            };
            let own = marks::earned(lines, &finding);
            let is_better = best.as_ref().is_none_or(|best| own.given() > best.given());
            if is_better {
                best = Some(own);
            }
        }
        best.unwrap_or_default()
    }

    /// An answer with its marks.
    fn finished(
        &self,
        part: usize,
        sheet: &Sheet,
        written: Option<&Written>,
        judged: Judged,
        replay: Option<&Replay<'_>>,
    ) -> Counted {
        let of = &self.question.parts[part];
        let target = &of.target;
        let own: Vec<&(SymbolId, Earned)> = (sheet.lines.iter())
            .filter(|(symbol, _)| of.lines.iter().any(|line| line.names.contains(symbol)))
            .collect();
        let is_own = |line: &&LineOf| own.iter().any(|(symbol, _)| line.names.contains(symbol));
        let rest: Vec<&LineOf> = of.lines.iter().filter(|line| !is_own(line)).collect();
        let mut earned = match replay.or(self.replay.as_ref()) {
            Some(replay) => self.earned(target, &rest, written, &judged, sheet, replay),
            None => Earned::default(),
        };
        for (_, line) in own {
            earned = earned.and(line.clone());
        }
        let numbers = written.map_or(&[][..], |written| &written.numbers);
        let si: Vec<f64> = numbers
            .iter()
            .map(|it| it.map_or(f64::NAN, |it| it.si))
            .collect();
        let read_as = written.and_then(|written| {
            written.remarks.iter().find_map(|remark| match remark {
                Remark::ReadAs(_, read) => Some(read.to_string()),
                _ => None,
            })
        });
        let carried = match (&judged.case, judged.verdict) {
            (Some(case), verdict) if verdict != Verdict::TwoRoutes => (case.names.iter())
                .map(|symbol| self.question.key(*symbol).to_owned())
                .collect(),
            _ => Vec::new(),
        };
        let is_named = judged.verdict == Verdict::Slip;
        let slip = judged.slip.as_deref().and_then(|slips| self.slip(slips));
        let answer = Answer {
            written: "".into(),
            value: si.iter().map(|it| target.in_asked(*it)).collect(),
            si,
            read_as,
            marks: earned.given(),
            open: earned.open(),
            verdict: judged.verdict,
            carried,
            is_own: judged.case.as_ref().is_some_and(|case| case.is_own),
            other_version: None,
            route: judged.case.as_ref().and_then(|case| case.route),
            slip,
            is_proposed: is_named,
            remarks: judged.remarks,
            right: self.told(part, sheet),
        };
        Counted { answer, earned }
    }

    /// The right answer as it is printed; with own readings it is another one than the worksheet's.
    fn told(&self, part: usize, sheet: &Sheet) -> String {
        let of = &self.question.parts[part];
        let own = (self.replay.as_ref().filter(|_| sheet.has_own_data))
            .and_then(|replay| self.right(replay, &of.target, sheet));
        match own {
            None => of.right.clone(),
            Some(right) => of.target.printed(&right.values),
        }
    }

    fn slip(&self, slips: &[SlipOf]) -> Option<Slip> {
        let mut all: Vec<&SlipOf> = slips.iter().collect();
        // What is done to a datum says more than what is done to a formula that reads it.
        all.sort_by_key(|slip| slip.class != SlipClass::Diameter);
        let first = all.first()?;
        let question = self.question;
        let place = question
            .replays
            .place(question.chosen.problem, first.place.start);
        let source = &question.chosen.worksheet.source;
        Some(Slip {
            class: first.class.name(),
            text: named::told(&all),
            place: (question.chosen.path.clone(), source.line_of(place)),
        })
    }

    fn copy(&self, from: &Question) -> (u32, u32) {
        let of = self.question.parts.iter().flat_map(|part| &part.marks);
        let of: u32 = of.map(|(count, _)| count).sum();
        let Some(replay) = &self.replay else {
            return (0, of);
        };
        let mut sheet = Sheet {
            is_copy: true,
            ..Sheet::default()
        };
        let mut marks = 0;
        for (part, other) in (0..self.question.parts.len()).zip(&from.parts) {
            let field = Field::One(other.target.as_printed());
            let own = self.part(replay, part, ("", &field), &mut sheet);
            // What is kept of a wrong answer belongs to a later step.
            if own.verdict != Verdict::Wrong {
                marks += own.marks;
            }
        }
        (marks, of)
    }
}

/// How far the steps go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Depth {
    /// To what is carried.
    Right,
    All,
}

const PLAIN: &str = "read as a plain number";
const IN_UNIT: &str = "read in the unit asked";

fn is_other_kind(written: &Written) -> bool {
    matches!(written.unit, WrittenUnit::Other(_))
}

/// Whether values are right but for signs.
fn is_reversed(accepted: &Accepted, right: &[f64], values: &[f64]) -> bool {
    let turned: Vec<f64> = (values.iter().zip(right))
        .map(|(own, right)| {
            if (*own < 0.0) != (*right < 0.0) {
                -own
            } else {
                *own
            }
        })
        .collect();
    turned != values && holds(accepted, &turned)
}

/// Whether two what-ifs have the same data.
fn is_same_data(one: &Target, other: &Target) -> bool {
    use crate::worksheet::Replacement;
    let value = |replacement: &Replacement| match replacement {
        Replacement::Value(shown) => Some(shown.si.clone()),
        Replacement::Formula(_) => None,
    };
    one.conditions.len() == other.conditions.len()
        && one.conditions.iter().all(|(symbol, replacement)| {
            let own = value(replacement);
            let there = other.conditions.iter().find(|(other, _)| other == symbol);
            own.is_some() && own == there.and_then(|(_, it)| value(it))
        })
}

impl Reach {
    fn of(question: &Question, replay: &Replay<'_>, target: &Target, later: &[SymbolId]) -> Self {
        let problem = question.problem();
        let routes = problem.question.as_ref().map_or(&[][..], |it| &it.routes);
        let route = |origin: Option<crate::resolve::statement::Origin>| {
            let at = part_of_block(problem, origin?.block)?;
            routes.iter().position(|route| route.parts.contains(&at))
        };
        let all_behind = |symbol: SymbolId| -> FxHashSet<SymbolId> {
            let behind = replay.behind(symbol).unwrap_or_default();
            let reads = behind.iter().flat_map(|it| replay.reads(*it));
            reads
                .chain(behind.iter().copied())
                .chain([symbol])
                .collect()
        };
        let mut behind = all_behind(target.symbol);
        let mut ways = vec![Way {
            program: None,
            later: (later.iter().copied())
                .filter(|it| behind.contains(it))
                .collect(),
            route: None,
        }];
        for formula in replay.formulas(target.symbol) {
            if formula.stands == crate::worksheet::Stands::First {
                continue;
            }
            let reads = formula.reads();
            if reads.contains(&target.symbol) {
                continue;
            }
            let direct: Vec<SymbolId> = (reads.iter().copied())
                .filter(|it| later.contains(it))
                .collect();
            let through: Vec<SymbolId> = (reads.iter())
                .filter(|it| !direct.contains(it))
                .flat_map(|it| all_behind(*it))
                .filter(|it| later.contains(it))
                .collect();
            let mut all = direct;
            all.extend(through);
            all.sort_unstable();
            all.dedup();
            if all.is_empty() {
                behind.extend(reads.iter().flat_map(|it| all_behind(*it)));
            }
            ways.push(Way {
                program: Some(formula.program.clone()),
                later: all,
                route: route(formula.origin),
            });
        }
        Self {
            ways,
            behind,
            changed: target
                .conditions
                .iter()
                .map(|(symbol, _)| *symbol)
                .collect(),
        }
    }

    fn reads(&self, symbol: SymbolId) -> bool {
        self.behind.contains(&symbol)
    }
}
