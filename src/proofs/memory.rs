//! What was found about steps before, for worksheets that are being edited.
//!
//! A step is judged by what stands above it in its problem and in the shared part, and by what is
//! known of the data. Where all of that is the same, so is what is found. It is compared, not
//! guessed at: nothing is taken for proved because two sums of it agree.

use rustc_hash::{FxHashMap, FxHashSet};

use super::{Found, Ground, Verdict};
use crate::resolve::statement::Origin;
use crate::resolve::{Expr, Kind, Resolved, Statement, SymbolId, Symbols};
use crate::text::Span;

/// What was found, by problem.
#[derive(Debug, Default)]
pub struct Memory {
    groups: Vec<Group>,
}

/// What was found about the lines of a problem, and from what.
#[derive(Debug, Default)]
struct Group {
    view: View,
    found: Vec<(Origin, Option<Found>)>,
    /// The symbols in what was found, by problem and spelling.
    names: FxHashMap<SymbolId, (usize, Box<str>)>,
    /// The steps that were not proved, in the shared part too.
    doubtful: FxHashSet<Origin>,
}

/// What the lines of a problem are judged by.
#[derive(Debug, Default, PartialEq)]
pub(super) struct View {
    /// What is known of data whatever their numbers: signs, and special values.
    known: String,
    /// The data themselves.
    data: String,
    /// The statements of the problem and of the shared part, in their order.
    lines: Vec<Line>,
    /// The symbols in all of them, in the order in which points at which claims are tried are
    /// filled with numbers.
    order: Vec<String>,
}

/// A statement as others see it.
#[derive(Debug, PartialEq)]
struct Line {
    origin: Origin,
    /// What it says, and which symbols its names are.
    says: String,
    /// Where it stands.
    span: Span,
}

impl View {
    /// What the lines of `problem` are judged by; `problems` are those of the blocks.
    pub fn of(
        text: &str,
        resolved: &Resolved,
        problems: &[usize],
        problem: usize,
        is_sound: &dyn Fn(Origin) -> bool,
    ) -> Self {
        let mut view = Self {
            known: format!("{}\n", resolved.symbols.find(problem, "p_atm").is_some()),
            ..Self::default()
        };
        for (block, statements) in resolved.blocks.iter().enumerate() {
            let of = problems.get(block).copied().unwrap_or(0);
            if of != 0 && of != problem {
                continue;
            }
            for (at, statement) in statements.iter().enumerate() {
                let origin = Origin {
                    block,
                    statement: at,
                };
                view.add(text, resolved, statement, origin, is_sound(origin));
            }
        }
        view.order = (0..resolved.symbols.len() as u32)
            .map(|id| resolved.symbols.symbol(SymbolId(id)))
            .filter(|symbol| symbol.problem == 0 || symbol.problem == problem)
            .map(|symbol| format!("{} {}", symbol.problem, symbol.key))
            .collect();
        view
    }

    fn add(
        &mut self,
        text: &str,
        resolved: &Resolved,
        statement: &Statement,
        origin: Origin,
        is_sound: bool,
    ) {
        let written = statement.span.of(text);
        let name = |symbol: SymbolId| {
            let symbol = resolved.symbols.symbol(symbol);
            format!("{} {} {:?} ", symbol.problem, symbol.key, symbol.components)
        };
        let line = |says: String| Line {
            origin,
            says,
            span: statement.span,
        };
        let Some(kind) = &statement.kind else {
            return self.lines.push(line(format!("refused {written}")));
        };
        let defines = statement.defines.map(name).unwrap_or_default();
        if let Kind::Given { value } = kind {
            let sign = statement.defines.and_then(|own| resolved.signs.get(&own));
            let is_ordinary = super::is_ordinary(value);
            let value = if is_ordinary { "" } else { written };
            self.known += &format!("{defines} {sign:?} {value} {is_sound}\n");
            self.data += written;
            self.data.push('\n');
            return;
        }
        let mut names = String::new();
        kind.for_each_symbol(&mut |symbol| names += &name(symbol));
        let label = &statement.label;
        self.lines.push(line(format!(
            "{label:?} {defines} {is_sound} {names}{written}"
        )));
    }

    /// Whether a line, and all that stand above it, say the same in another view.
    fn same_up_to(&self, other: &Self, origin: Origin) -> bool {
        let (own, others) = (self.up_to(origin), other.up_to(origin));
        let says = |line: &Line| (line.origin, line.says.clone());
        self.known == other.known
            && own.len() == others.len()
            && (own.iter().zip(others)).all(|(own, other)| says(own) == says(other))
    }

    /// Whether they stand where they stood, too.
    fn unmoved_up_to(&self, other: &Self, origin: Origin) -> bool {
        self.up_to(origin) == other.up_to(origin)
    }

    fn up_to(&self, origin: Origin) -> &[Line] {
        let end = (self.lines).partition_point(|line| line.origin <= origin);
        &self.lines[..end]
    }
}

impl Memory {
    /// What was found about a line of `problem` before, where it would be found again. `doubtful`
    /// are the steps that it cannot lean on.
    pub(super) fn recall(
        &self,
        (problem, view): (usize, &View),
        symbols: &Symbols,
        origin: Origin,
        doubtful: &FxHashSet<Origin>,
    ) -> Option<Option<Found>> {
        let group = self.groups.get(problem)?;
        let (_, found) = group.found.iter().find(|(line, _)| *line == origin)?;
        let same = view.same_up_to(&group.view, origin)
            && group.doubtful_before(origin) == *doubtful
            && (stands_for_any_data(found)
                || (view.data == group.view.data
                    && view.order == group.view.order
                    && view.unmoved_up_to(&group.view, origin)));
        if !same {
            return None;
        }
        let now = |symbol: SymbolId| {
            let known = group.names.get(&symbol);
            known.and_then(|(problem, key)| symbols.find(*problem, key))
        };
        match found {
            Some(found) => found.with_symbols(&mut { now }).map(Some),
            None => Some(None),
        }
    }

    /// Remembers what was found about the lines of a problem.
    pub(super) fn remember(
        &mut self,
        problem: usize,
        view: View,
        symbols: &Symbols,
        found: Vec<(Origin, Option<Found>)>,
        doubtful: FxHashSet<Origin>,
    ) {
        if self.groups.len() <= problem {
            self.groups.resize_with(problem + 1, Group::default);
        }
        let mut names = FxHashMap::default();
        for found in found.iter().filter_map(|(_, found)| found.as_ref()) {
            // Nothing is made of it: it is only looked through.
            let _ = found.with_symbols(&mut |id| {
                let symbol = symbols.symbol(id);
                names.insert(id, (symbol.problem, symbol.key.clone()));
                Some(id)
            });
        }
        self.groups[problem] = Group {
            view,
            found,
            names,
            doubtful,
        };
    }
}

impl Group {
    /// The steps that a line could not lean on.
    fn doubtful_before(&self, origin: Origin) -> FxHashSet<Origin> {
        let is_later =
            |step: &Origin| *step >= origin && self.found.iter().any(|(line, _)| line == step);
        let steps = self.doubtful.iter().copied();
        steps.filter(|step| !is_later(step)).collect()
    }
}

/// Whether something would be found for any other data of the same signs.
fn stands_for_any_data(found: &Option<Found>) -> bool {
    match found {
        Some(Found::Verdict(_, verdict, _)) => is_firm(verdict),
        Some(Found::Derivative(..)) | None => true,
    }
}

/// Whether a verdict does not depend on the numbers of the data: what was divided by might vanish
/// with others, and what was refuted may have been so by them.
pub(super) fn is_firm(verdict: &Verdict) -> bool {
    matches!(verdict, Verdict::Proved { not_zero, .. } if not_zero.is_empty())
}

impl Found {
    /// The same with other symbols; `None` where one of them is not there any more.
    fn with_symbols(&self, by: &mut dyn FnMut(SymbolId) -> Option<SymbolId>) -> Option<Self> {
        Some(match self {
            Self::Verdict(origin, verdict, diagnostic) => {
                let verdict = verdict_with(verdict, by)?;
                Self::Verdict(*origin, verdict, diagnostic.clone())
            }
            Self::Derivative(origin, expr) => Self::Derivative(*origin, expr_with(expr, by)?),
        })
    }
}

fn verdict_with(
    verdict: &Verdict,
    by: &mut dyn FnMut(SymbolId) -> Option<SymbolId>,
) -> Option<Verdict> {
    Some(match verdict {
        Verdict::Proved {
            by: grounds,
            leaned,
            taking,
            not_zero,
        } => Verdict::Proved {
            by: (grounds.iter())
                .map(|ground| {
                    Some(match ground {
                        Ground::Equation(origin, number) => Ground::Equation(*origin, *number),
                        Ground::Definition(symbol) => Ground::Definition(by(*symbol)?),
                        Ground::Value(symbol) => Ground::Value(by(*symbol)?),
                    })
                })
                .collect::<Option<_>>()?,
            leaned: leaned
                .iter()
                .map(|symbol| by(*symbol))
                .collect::<Option<_>>()?,
            taking: taking
                .iter()
                .map(|symbol| by(*symbol))
                .collect::<Option<_>>()?,
            not_zero: (not_zero.iter())
                .map(|expr| expr_with(expr, by))
                .collect::<Option<_>>()?,
        },
        Verdict::Refuted { values, .. } => {
            let mut new = verdict.clone();
            if let Verdict::Refuted { values: now, .. } = &mut new {
                *now = (values.iter())
                    .map(|(symbol, axis, value)| Some((by(*symbol)?, *axis, *value)))
                    .collect::<Option<_>>()?;
            }
            new
        }
        Verdict::Undecided(_) => verdict.clone(),
    })
}

fn expr_with(expr: &Expr, by: &mut dyn FnMut(SymbolId) -> Option<SymbolId>) -> Option<Expr> {
    let mut known: FxHashMap<SymbolId, SymbolId> = FxHashMap::default();
    let mut all = true;
    expr.for_each_symbol(&mut |symbol, _| match by(symbol) {
        Some(new) => {
            known.insert(symbol, new);
        }
        None => all = false,
    });
    all.then(|| expr.with_symbols(&|symbol| known.get(&symbol).copied().unwrap_or(symbol)))
}
