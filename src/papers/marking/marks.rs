//! Which marks a part has earned.

use super::field::{Number, Written, WrittenUnit};
use super::marked::Verdict;
use crate::worksheet::{Body, MarkKind, PartKind, Problem, SymbolId};

/// A line that earns marks of a part.
#[derive(Debug, Clone)]
pub(super) struct LineOf {
    /// The names that it gives.
    pub names: Vec<SymbolId>,
    pub marks: Vec<(u32, MarkKind)>,
}

/// The lines of the main route that earn the marks of a part; where there is none, what is asked
/// earns them.
pub(super) fn lines(problem: &Problem, asked: usize) -> Vec<LineOf> {
    let Some(question) = &problem.question else {
        return Vec::new();
    };
    let own = question.lines.iter();
    let own = own.filter(|line| line.asked == asked && line.route.is_none());
    let found: Vec<LineOf> = own
        .map(|line| {
            let statement = problem.line(line.at);
            let marks = statement.marks.iter().flat_map(|marks| &marks.items);
            LineOf {
                names: gives(problem, line.at),
                marks: marks
                    .map(|(count, kind)| (u32::from(*count), *kind))
                    .collect(),
            }
        })
        .collect();
    match found.is_empty() {
        false => found,
        true => vec![LineOf {
            names: vec![question.asked[asked].symbol],
            marks: question.asked[asked].marks.clone(),
        }],
    }
}

/// The names that a line gives.
fn gives(problem: &Problem, at: crate::worksheet::LineAt) -> Vec<SymbolId> {
    let PartKind::Block { .. } = problem.parts[at.0].kind else {
        return Vec::new();
    };
    match &problem.line(at).body {
        Body::Work(work) => {
            let all = std::iter::once(&work.lead).chain(&work.members);
            let name = all.filter_map(|member| member.inside().as_symbol()).next();
            name.into_iter().collect()
        }
        Body::System(system) => system.unknowns.iter().map(|(symbol, _)| *symbol).collect(),
        Body::Fit(fit) => fit.parameters.iter().map(|(symbol, _)| *symbol).collect(),
        _ => Vec::new(),
    }
}

/// What was found of a value, as far as marks go.
#[derive(Debug, Clone, Copy)]
pub(super) struct Finding<'f> {
    pub verdict: Verdict,
    /// Whether it is right with other numbers than those of the worksheet.
    pub is_carried: bool,
    /// Whether the sign is that of the right answer.
    pub is_direction: bool,
    /// What was written, where something was read.
    pub written: Option<&'f Written>,
    /// The figures that the answer asks.
    pub figures: Option<u8>,
    /// Whether a unit of the right kind stands there.
    pub has_unit: bool,
    /// The names in whose lines the slip sits, those before them first, and whether it is one of
    /// method.
    pub slip: Option<(&'f [SymbolId], bool)>,
}

/// Marks that are given, and those that are open, by kind.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Earned {
    kinds: Vec<(MarkKind, u32, u32)>,
}

impl Earned {
    pub fn given(&self) -> u32 {
        self.kinds.iter().map(|(_, given, _)| given).sum()
    }

    pub fn open(&self) -> u32 {
        self.kinds.iter().map(|(.., open)| open).sum()
    }

    fn add(&mut self, kind: MarkKind, given: u32, open: u32) {
        match self.kinds.iter_mut().find(|(own, ..)| *own == kind) {
            Some((_, own, still)) => {
                *own += given;
                *still += open;
            }
            None => self.kinds.push((kind, given, open)),
        }
    }

    pub fn and(mut self, other: Self) -> Self {
        for (kind, given, open) in other.kinds {
            self.add(kind, given, open);
        }
        self
    }

    /// What a person gave of a kind; so many it was before.
    pub fn by_hand(&mut self, kind: MarkKind, given: u32) -> u32 {
        match self.kinds.iter_mut().find(|(own, ..)| *own == kind) {
            Some(own) => {
                let before = own.1;
                *own = (kind, given, 0);
                before
            }
            None => 0,
        }
    }
}

/// The marks of some lines.
pub(super) fn earned(lines: &[&LineOf], finding: &Finding<'_>) -> Earned {
    let mut out = Earned::default();
    for (count, kind) in lines.iter().flat_map(|line| &line.marks) {
        let (given, open) = of_kind(*kind, *count, finding);
        out.add(*kind, given, open);
    }
    match finding.verdict {
        Verdict::Rounded => {
            let has_figures = out
                .kinds
                .iter()
                .any(|(kind, ..)| *kind == MarkKind::Figures);
            if !has_figures {
                lose(&mut out, &ANSWERS, 1);
            }
        }
        Verdict::Direction => {
            let has = out
                .kinds
                .iter()
                .any(|(kind, ..)| *kind == MarkKind::Direction);
            if !has {
                lose(&mut out, &ANSWERS, 1);
            }
        }
        Verdict::Slip => of_slip(lines, finding, &mut out),
        _ => {}
    }
    out
}

/// Kinds of which marks are lost with the value.
const ANSWERS: [MarkKind; 3] = [MarkKind::Answer, MarkKind::Both, MarkKind::AnswerAlone];

fn of_kind(kind: MarkKind, count: u32, finding: &Finding<'_>) -> (u32, u32) {
    use Verdict::{
        Blank, ByHand, Carried, Direction, OtherVersion, Right, Rounded, Slip, SlipAgain, ToBeRead,
        TwoRoutes, Unit, Wrong,
    };
    let is = |it: bool| if it { (count, 0) } else { (0, 0) };
    let verdict = finding.verdict;
    match (kind, verdict) {
        (_, OtherVersion | ToBeRead | TwoRoutes | ByHand) | (MarkKind::ByHand, _) => (0, count),
        (MarkKind::Method, Blank | Wrong) => (0, count),
        (_, Blank) => (0, 0),
        (MarkKind::Method, _) => (count, 0),
        (MarkKind::Unit, _) => is(finding.has_unit),
        (MarkKind::Direction, Right | Carried | Rounded | SlipAgain) => (count, 0),
        (MarkKind::Direction, Direction) => (0, 0),
        (MarkKind::Direction, Slip | Wrong | Unit) => is(finding.is_direction),
        (MarkKind::Figures, Wrong) => (0, 0),
        (MarkKind::Figures, _) => is(has_figures(finding)),
        (MarkKind::AnswerAlone, Right | Rounded | Direction) => is(!finding.is_carried),
        (MarkKind::AnswerAlone, _) => (0, 0),
        (MarkKind::Answer | MarkKind::Both, Unit | Wrong) => (0, 0),
        (MarkKind::Answer | MarkKind::Both, _) => (count, 0),
    }
}

/// As many figures as the answer asks, or one more.
fn has_figures(finding: &Finding<'_>) -> bool {
    let (Some(asked), Some(written)) = (finding.figures, finding.written) else {
        return finding.written.is_some();
    };
    let asked = u32::from(asked);
    let is_it = |number: &Number| number.figures.least <= asked + 1 && asked <= number.figures.most;
    written.numbers.iter().flatten().all(is_it)
}

/// Takes marks of some kinds, the first of them first; how many could not be taken.
fn lose(out: &mut Earned, kinds: &[MarkKind], count: u32) -> u32 {
    let mut left = count;
    for kind in kinds {
        if let Some((_, given, _)) = out.kinds.iter_mut().find(|(own, ..)| own == kind) {
            let taken = left.min(*given);
            *given -= taken;
            left -= taken;
        }
    }
    left
}

/// Lost are the answer marks of the line in which the slip sits, and one method mark where it is a
/// slip of method. A line without answer marks passes it on to the next one.
fn of_slip(lines: &[&LineOf], finding: &Finding<'_>, out: &mut Earned) {
    let Some((sits, is_of_method)) = finding.slip else {
        return;
    };
    let before = out.given();
    let answers = |line: &&&LineOf| line.marks.iter().any(|(_, kind)| ANSWERS.contains(kind));
    for name in sits {
        let own: Vec<&&LineOf> = (lines.iter())
            .filter(|line| line.names.contains(name))
            .filter(answers)
            .collect();
        if own.is_empty() {
            continue;
        }
        for (count, kind) in own.iter().flat_map(|line| &line.marks) {
            if ANSWERS.contains(kind) {
                lose(out, &[*kind], *count);
            }
        }
        break;
    }
    if is_of_method {
        lose(out, &[MarkKind::Method], 1);
    }
    let all: u32 = (lines.iter().flat_map(|line| &line.marks))
        .filter(|(_, kind)| *kind != MarkKind::ByHand)
        .map(|(count, _)| count)
        .sum();
    if before == all && out.given() == before {
        lose(
            out,
            &[
                MarkKind::Answer,
                MarkKind::Both,
                MarkKind::Method,
                MarkKind::Figures,
                MarkKind::Unit,
                MarkKind::Direction,
            ],
            1,
        );
    }
}

/// Whether a unit of the right kind is written.
pub(super) fn has_unit(written: &Written) -> bool {
    matches!(written.unit, WrittenUnit::Asked(_))
}

/// Whether a written number has the sign of the right one.
pub(super) fn same_sign(own: &[f64], right: &[f64]) -> bool {
    let mut pairs = own.iter().zip(right);
    own.len() == right.len() && pairs.all(|(a, b)| (*a < 0.0) == (*b < 0.0) || *b == 0.0)
}
