//! One block, or one inline ask, resolved again while the rest of the worksheet stays.
//!
//! This serves worksheets that are being edited. It needs lines that declare the same names as
//! before ([`declares`]) and have no effect on other lines but through the values of those names
//! ([`is_local`]); then the outcome is that of [`super::resolve`] for the whole worksheet.

use super::equations::mentions;
use super::statement::{Kind, Origin, Statement};
use super::{Block, Inline, InlineAsk, Reach, Resolved, Resolver, SymbolId};
use crate::diagnostic::Diagnostic;
use crate::syntax::{self, BlockKind, ExprKind, Line};
use crate::text::Span;

/// Resolves `blocks[at]` again, which stands in `room`, and puts its statements in their place. Of
/// the names that it declared, those in `gone` stand nowhere any more.
///
/// `None` where a name is a vector that was none before, or the other way round: that matters to
/// others.
pub fn again(
    text: &str,
    resolved: &mut Resolved,
    blocks: &[Block<'_>],
    at: usize,
    room: Span,
    gone: &[&str],
) -> Option<Vec<Diagnostic>> {
    let block = blocks.get(at)?;
    let before = std::mem::take(resolved.blocks.get_mut(at)?);
    let mut resolver = Resolver::resumed(text, resolved);
    resolver.forget(&before, room);
    for key in gone {
        if let Some(symbol) = resolver.symbols.find(block.problem, key) {
            resolver.retire(symbol);
        }
    }
    resolver.declare_lines(*block);
    let keeps_shapes = resolver.keeps_shapes(*block);
    if block.lines.iter().any(takes_formula) {
        for (index, above) in blocks.iter().enumerate().take(at) {
            if above.kind == BlockKind::Derive && [0, block.problem].contains(&above.problem) {
                let statements = resolved.blocks.get(index).map_or(&[][..], Vec::as_slice);
                resolver.remember_block(*above, index, statements);
            }
        }
    }
    let statements = resolver.block(at, *block);
    let found = resolver.take_diagnostics();
    resolver.give_back(resolved);
    resolved.blocks[at] = statements;
    keeps_shapes.then_some(found)
}

/// Resolves an inline ask again.
pub fn inline_again(
    text: &str,
    resolved: &mut Resolved,
    inline: &InlineAsk<'_>,
) -> (Option<Inline>, Vec<Diagnostic>) {
    let mut resolver = Resolver::resumed(text, resolved);
    resolver.reach_everything();
    let inline = resolver.inline(inline);
    let found = resolver.take_diagnostics();
    resolver.give_back(resolved);
    (inline, found)
}

/// Whether the lines of a block affect other lines through the values of the names they declare,
/// and in no other way.
pub fn is_local(block: Block<'_>) -> bool {
    let kind = matches!(
        block.kind,
        BlockKind::Given | BlockKind::Work | BlockKind::Check | BlockKind::Answer
    );
    kind && block.lines.iter().all(is_local_line)
}

fn is_local_line(line: &Line) -> bool {
    let statement = match &line.statement {
        syntax::Statement::Chain(chain) => {
            let lead = chain.members.first().map(|lead| &lead.kind);
            chain.from.is_none() && !matches!(lead, Some(ExprKind::Call { .. }))
        }
        syntax::Statement::Check(_)
        | syntax::Statement::Answer(_)
        | syntax::Statement::Limit(_)
        | syntax::Statement::Sensitivity(_)
        | syntax::Statement::Broken(_) => true,
        _ => false,
    };
    // A component that is named says that its name is a vector.
    statement && line.label.is_none() && !names_component(line)
}

fn names_component(line: &Line) -> bool {
    fn in_expr(expr: &syntax::Expr) -> bool {
        let mut found = matches!(expr.kind, ExprKind::Component(..));
        expr.for_each_part(&mut |part| found = found || in_expr(part));
        found
    }
    match &line.statement {
        syntax::Statement::Chain(chain) => chain.members.iter().any(in_expr),
        _ => false,
    }
}

/// The names that a block declares, in order.
pub fn declares<'a>(block: Block<'a>) -> impl Iterator<Item = &'a str> {
    let declares = matches!(block.kind, BlockKind::Given | BlockKind::Work);
    block.lines.iter().filter_map(move |line| {
        let name = match &line.statement {
            syntax::Statement::Chain(chain) if declares && chain.conditions.is_empty() => {
                match &chain.members.first()?.kind {
                    ExprKind::Name(name) => name,
                    _ => return None,
                }
            }
            syntax::Statement::Broken(Some(name)) => name,
            _ => return None,
        };
        Some(&*name.key)
    })
}

/// Whether one of some names stands in a block, but for what it declares.
pub fn mentions_any(block: Block<'_>, keys: &[&str]) -> bool {
    let names_one = |name: &syntax::Name| keys.contains(&&*name.key);
    let in_expr = |expr: &syntax::Expr| names(expr, keys);
    block.lines.iter().any(|line| match &line.statement {
        syntax::Statement::Chain(chain) => {
            chain.members.iter().any(in_expr)
                || (chain.conditions.iter())
                    .any(|condition| names_one(&condition.name) || in_expr(&condition.value))
        }
        syntax::Statement::Check(check) => check.members.iter().chain(&check.within).any(in_expr),
        syntax::Statement::Answer(answer) => in_expr(&answer.expr),
        syntax::Statement::Sensitivity(subject) => in_expr(subject),
        syntax::Statement::Broken(name) => name.as_ref().is_some_and(names_one),
        syntax::Statement::Required(required) => names_one(&required.name),
        syntax::Statement::Therefore(step) => step.members.iter().any(in_expr),
        syntax::Statement::Solve(solve) => {
            let conditions = solve.conditions.iter().flat_map(|check| &check.members);
            (solve.unknowns.iter()).any(|unknown| names_one(&unknown.name))
                || conditions.into_iter().any(in_expr)
        }
        syntax::Statement::Trend(trend) => names_one(&trend.with) || in_expr(&trend.subject),
        syntax::Statement::Limit(limit) => {
            let ends = [&limit.subject, &limit.value, &limit.at];
            names_one(&limit.with) || ends.into_iter().any(in_expr)
        }
        syntax::Statement::Component(_) | syntax::Statement::ShowDimensions => false,
    })
}

/// Whether one of some names stands in an inline ask.
pub fn ask_mentions_any(ask: &syntax::Inline, keys: &[&str]) -> bool {
    names(&ask.expr, keys)
        || (ask.conditions.iter())
            .any(|condition| keys.contains(&&*condition.name.key) || names(&condition.value, keys))
}

fn names(expr: &syntax::Expr, keys: &[&str]) -> bool {
    keys.iter().any(|key| mentions(expr, key))
}

/// Whether a line may take its formula from an equation above.
fn takes_formula(line: &Line) -> bool {
    matches!(&line.statement, syntax::Statement::Chain(chain) if chain.members.len() == 1)
}

impl<'a> Resolver<'a> {
    /// A resolver that knows the names of a worksheet that was resolved; they are lent to it.
    fn resumed(text: &'a str, resolved: &mut Resolved) -> Self {
        Self {
            given: std::mem::take(&mut resolved.given),
            later: std::mem::take(&mut resolved.places),
            signs: std::mem::take(&mut resolved.signs),
            broken_functions: std::mem::take(&mut resolved.broken_functions),
            reach: Reach::Above,
            ..Self::new(text, std::mem::take(&mut resolved.symbols))
        }
    }

    fn give_back(self, resolved: &mut Resolved) {
        resolved.symbols = self.symbols;
        resolved.given = self.given;
        resolved.places = self.later;
        resolved.signs = self.signs;
        resolved.broken_functions = self.broken_functions;
    }

    /// Forgets what was declared and defined in `room`, which held these statements.
    fn forget(&mut self, statements: &[Statement], room: Span) {
        let within = |span: &Span| room.start <= span.start && span.start < room.end;
        let defined: Vec<SymbolId> = (statements.iter())
            .filter_map(|statement| statement.defines)
            .collect();
        for symbol in defined {
            self.symbols.undefine(symbol);
            if self.later.get(&symbol).is_some_and(within) {
                self.later.remove(&symbol);
                self.signs.remove(&symbol);
            }
        }
    }

    fn retire(&mut self, symbol: SymbolId) {
        self.symbols.retire(symbol);
        self.later.remove(&symbol);
        self.signs.remove(&symbol);
        self.given.remove(&symbol);
        self.broken_functions.remove(&symbol);
    }

    /// Remembers the formulas of a block of `derive` that was resolved before.
    fn remember_block(&mut self, block: Block<'a>, index: usize, statements: &[Statement]) {
        self.problem = block.problem;
        for (at, (line, statement)) in block.lines.iter().zip(statements).enumerate() {
            let origin = Origin {
                block: index,
                statement: at,
            };
            let number = statement.label.as_ref().map(|(_, number)| *number);
            self.remember_line(line, statement, number, origin);
        }
    }

    fn remember_line(
        &mut self,
        line: &'a Line,
        statement: &Statement,
        number: Option<usize>,
        origin: Origin,
    ) {
        let members = match &line.statement {
            syntax::Statement::Chain(chain) => &chain.members,
            syntax::Statement::Therefore(step) => &step.members,
            syntax::Statement::Solve(solve) => {
                return match &statement.kind {
                    Some(Kind::Solved(solved)) => {
                        self.spans.insert(origin, line.span);
                        self.remember_solved(solve, solved, number, origin);
                    }
                    _ => {
                        for unknown in &solve.unknowns {
                            self.remember_refused(&unknown.name.key, origin);
                        }
                    }
                };
            }
            syntax::Statement::Broken(Some(name)) => {
                return self.remember_refused(&name.key, origin);
            }
            _ => return,
        };
        match (&statement.kind, members.first().map(|lead| &lead.kind)) {
            (Some(Kind::Equation { .. } | Kind::Therefore { .. }), _) => {
                self.remember(members, number, origin);
            }
            (None, Some(ExprKind::Name(name))) => self.remember_refused(&name.key, origin),
            _ => {}
        }
    }
}
