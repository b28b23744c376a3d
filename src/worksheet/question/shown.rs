//! What a question may show: data and what is formed of them, and nothing that the solution
//! computes.

use rustc_hash::{FxHashMap, FxHashSet};

use super::{Ground, Question, statements};
use crate::diagnostic::{Code, Diagnostic};
use crate::resolve::{Expr, ExprKind, FunctionId, Meaning, SymbolId};
use crate::syntax::BlockKind;
use crate::text::Span;
use crate::worksheet::model::{Body, Entries, Part, PartKind, Plot, Problem, Statement};

/// The names whose values a question may show.
pub(super) fn open(problem: &Problem, question: &Question) -> FxHashSet<SymbolId> {
    let shared = problem.shared.iter().flatten();
    let own = problem.parts.iter().take(question.end).flat_map(statements);
    let mut found = FxHashSet::default();
    for statement in shared.chain(own) {
        match &statement.body {
            Body::Given { symbol, .. } => drop(found.insert(*symbol)),
            Body::Required {
                symbol,
                is_shown: true,
                ..
            } => drop(found.insert(*symbol)),
            Body::Table(table) => {
                for column in &table.columns {
                    if let Entries::Readings { symbol, .. } = &column.entries {
                        found.insert(*symbol);
                    }
                }
            }
            _ => {}
        }
    }
    found
}

/// What is refused in the question: blocks and lines that give the working away, and asks of what
/// is computed.
pub(super) fn refuse(
    problem: &Problem,
    question: &Question,
    ground: &Ground<'_>,
) -> Vec<Diagnostic> {
    let open = open(problem, question);
    let mut found = Vec::new();
    for part in problem.parts.iter().take(question.end) {
        if let PartKind::Block { kind, statements } = &part.kind {
            found.extend(block(problem, &open, part, (*kind, statements)));
        }
    }
    found.extend(asks(problem, question, ground, &open));
    found
}

fn block(
    problem: &Problem,
    open: &FxHashSet<SymbolId>,
    part: &Part,
    (kind, statements): (BlockKind, &[Statement]),
) -> Vec<Diagnostic> {
    let refuse = |place: Span, message: String, what: &str| {
        Diagnostic::error(Code::P03, place, message)
            .with_help(format!("the {what} below the heading Solution"))
    };
    let line = |statement: &Statement, words: &str| {
        let message = format!("{words} in the question gives the working away");
        refuse(statement.span, message, "line")
    };
    match kind {
        BlockKind::Work | BlockKind::Check | BlockKind::Answer | BlockKind::Fit => {
            let message = format!("a `{}` block stands in the question", kind.word());
            let place = statements.first().map_or(part.span, |first| first.span);
            vec![refuse(place, message, "block")]
        }
        BlockKind::Derive => (statements.iter())
            .filter_map(|it| Some(line(it, gives_away(&it.body)?)))
            .collect(),
        BlockKind::Sketch => {
            let found = statements.iter().filter(
                |it| matches!(&it.body, Body::Sketch(sketch) if sketch.sketch.found_of.is_some()),
            );
            found.map(|it| line(it, "a sketch `as found`")).collect()
        }
        BlockKind::Plot => {
            let computed = statements.iter().filter(|it| {
                matches!(it.body, Body::Plot(ref plot) if is_fitted(plot))
                    || names_at(problem, it.span).any(|name| !open.contains(&name))
            });
            computed
                .map(|it| line(it, "a plot of what is computed"))
                .collect()
        }
        BlockKind::Given | BlockKind::Data | BlockKind::Required | BlockKind::Versions => {
            Vec::new()
        }
    }
}

/// What a line of `derive` is called that tells how the answer is found.
fn gives_away(body: &Body) -> Option<&'static str> {
    match body {
        Body::Therefore { .. } => Some("a step `therefore`"),
        Body::Solved(_) => Some("a line `solve`"),
        Body::Component { .. } => Some("a line `component`"),
        Body::Balance { .. } => Some("a line `balance`"),
        Body::Shear(_) => Some("a line `shear and moment`"),
        Body::Equation {
            balance: Some(_), ..
        } => Some("an equation with `by balance`"),
        Body::Dimensions(_) => Some("a line `show dimensions`"),
        _ => None,
    }
}

fn is_fitted(plot: &Plot) -> bool {
    matches!(plot, Plot::Fit { .. } | Plot::Residuals { .. })
}

/// The quantities that are named at a place.
fn names_at(problem: &Problem, place: Span) -> impl Iterator<Item = SymbolId> {
    let all = &problem.occurrences;
    let first = all.partition_point(|it| it.span.start < place.start);
    let own = all[first..]
        .iter()
        .take_while(move |it| it.span.start < place.end);
    own.filter_map(|it| match it.meaning {
        Meaning::Symbol(symbol) => Some(symbol),
        _ => None,
    })
}

/// Asks in the words of the question that show what is computed.
fn asks(
    problem: &Problem,
    question: &Question,
    ground: &Ground<'_>,
    open: &FxHashSet<SymbolId>,
) -> Vec<Diagnostic> {
    let functions: FxHashMap<FunctionId, &Expr> = (ground.resolved.functions())
        .map(|(_, function, body)| (function, body))
        .collect();
    let parts = problem.parts.get(..question.end).unwrap_or(&[]);
    // In the order of the text, but for the footnotes, which come last.
    let is_within = |place: Span| {
        let holds = |part: &Part| part.span.start <= place.start && place.end <= part.span.end;
        let after = parts.partition_point(|part| part.span.start <= place.start);
        let own = after.checked_sub(1).map(|at| &parts[at]);
        own.into_iter().chain(parts.last()).any(holds)
    };
    let inlines = ground.resolved.inlines.iter().flatten();
    let mut found = Vec::new();
    for inline in inlines.filter(|it| is_within(it.span)) {
        let mut names = Names {
            functions: &functions,
            seen: FxHashSet::default(),
            found: Vec::new(),
        };
        names.walk(&inline.expr);
        let conditions = inline.conditions.iter();
        conditions.for_each(|condition| names.walk(&condition.value));
        if let Some(name) = names.found.iter().find(|name| !open.contains(name)) {
            let key = &problem.symbols.symbol(*name).key;
            let message = format!("the question shows `{key}`, which is computed");
            found.push(
                Diagnostic::error(Code::P02, inline.span, message).with_help(format!(
                    "the ask below the heading Solution, or `show {key} = ?` in `required` where \
                     the value is to be shown"
                )),
            );
        }
    }
    found
}

/// The quantities that an expression reads, through the author's functions.
struct Names<'a> {
    functions: &'a FxHashMap<FunctionId, &'a Expr>,
    seen: FxHashSet<FunctionId>,
    found: Vec<SymbolId>,
}

impl Names<'_> {
    fn walk(&mut self, expr: &Expr) {
        match &expr.kind {
            ExprKind::Symbol(symbol) | ExprKind::Component(symbol, _) => self.found.push(*symbol),
            ExprKind::Apply { function, .. } if self.seen.insert(*function) => {
                if let Some(body) = self.functions.get(function) {
                    self.walk(body);
                }
            }
            _ => {}
        }
        expr.for_each_part(|part| self.walk(part));
    }
}
