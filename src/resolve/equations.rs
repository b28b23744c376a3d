//! Equations of `derive` in which a name stands alone: what `name = ?` in `work` picks up.

use super::forms::Formula;
use super::statement::Origin;
use super::{Expr, Resolver, SymbolId};
use crate::diagnostic::{Code, Diagnostic};
use crate::syntax::Name;

/// A line above that says what a name is.
#[derive(Debug, Clone)]
pub(super) struct Equation {
    sides: Sides,
    /// Its number, when it is labelled.
    number: Option<usize>,
    origin: Origin,
}

/// What a name is there.
#[derive(Debug, Clone)]
enum Sides {
    /// The other sides of an equation in which the name stands alone.
    Known(Vec<Expr>),
    /// One formula for each of several branches, of which the data choose.
    Branches(Vec<Expr>),
    /// It was refused: what asks for it needs it and is not reported again.
    Refused,
}

/// The formulas that were picked up.
pub(super) struct Restated {
    /// The nearest.
    pub nearest: Formula,
    /// The others above it, the nearer first.
    pub others: Vec<Formula>,
    /// Where the engine found several solutions, the formula of each.
    pub branches: Vec<Expr>,
}

/// The other sides of an equation in which a name stands alone on one side and nowhere else.
pub(super) fn explicit(members: &[Expr], name: SymbolId) -> Option<Vec<Expr>> {
    let at = (members.iter()).position(|member| member.as_symbol() == Some(name))?;
    // What stands right of the name is meant before what stands left of it.
    let (left, right) = members.split_at(at);
    let others: Vec<Expr> = right.iter().skip(1).chain(left).cloned().collect();
    let is_implicit = others.iter().any(|other| mentions(other, name));
    (!is_implicit && !others.is_empty()).then_some(others)
}

fn mentions(expr: &Expr, name: SymbolId) -> bool {
    let mut found = false;
    expr.for_each_symbol(&mut |symbol, _| found |= symbol == name);
    found
}

impl Resolver<'_> {
    /// Notes each name that stands alone on a side of an equation, and nowhere else in it.
    pub(super) fn remember(&mut self, members: &[Expr], number: Option<usize>, origin: Origin) {
        for symbol in members.iter().filter_map(Expr::as_symbol) {
            if let Some(others) = explicit(members, symbol) {
                let key = self.symbols.symbol(symbol).key.clone();
                self.remember_as(&key, Sides::Known(others), number, origin);
            }
        }
    }

    /// Notes what the engine solved a name to be, one formula a branch.
    pub(super) fn remember_formulas(
        &mut self,
        key: &str,
        formulas: Vec<Expr>,
        number: Option<usize>,
        origin: Origin,
    ) {
        let sides = match formulas.len() {
            1 => Sides::Known(formulas),
            _ => Sides::Branches(formulas),
        };
        self.remember_as(key, sides, number, origin);
    }

    /// Notes that a formula for this name stands here, but was refused.
    pub(super) fn remember_refused(&mut self, key: &str, origin: Origin) {
        self.remember_as(key, Sides::Refused, None, origin);
    }

    fn remember_as(&mut self, key: &str, sides: Sides, number: Option<usize>, origin: Origin) {
        let equation = Equation {
            sides,
            number,
            origin,
        };
        self.equations
            .entry((self.problem, key.into()))
            .or_default()
            .push(equation);
    }

    /// The lines above that say what a name is, the nearest first, with the symbols of this
    /// problem.
    fn equations_for(&self, key: &str) -> Vec<Equation> {
        let shared = (self.problem != 0).then_some(0);
        let by = |symbol: SymbolId| self.symbols.seen_from(self.problem, symbol);
        let mut found = Vec::new();
        for problem in [Some(self.problem), shared].into_iter().flatten() {
            let all = self.equations.get(&(problem, key.into()));
            found.extend(all.into_iter().flatten().rev().map(|equation| {
                let mut own = equation.clone();
                if let (Sides::Known(sides) | Sides::Branches(sides), true) =
                    (&mut own.sides, problem != self.problem)
                {
                    *sides = sides.iter().map(|side| side.with_symbols(&by)).collect();
                }
                own
            }));
        }
        found
    }

    /// The formulas above for a name, the nearest first, also those that need what has no value.
    pub(super) fn formulas_for(&self, key: &str) -> Vec<Formula> {
        let all = self.equations_for(key).into_iter();
        all.filter_map(|equation| match equation.sides {
            Sides::Known(members) => Some(Formula {
                members,
                number: equation.number,
                origin: equation.origin,
            }),
            Sides::Branches(_) | Sides::Refused => None,
        })
        .collect()
    }

    /// The formulas above for `name` whose other names have values.
    pub(super) fn restate(&mut self, name: &Name) -> Option<Restated> {
        let all = self.equations_for(&name.key);
        if all.is_empty() {
            self.report_no_formula(name);
            return None;
        }
        let mut formulas = Vec::new();
        for equation in &all {
            let members = match &equation.sides {
                Sides::Known(sides) => self.with_values(sides),
                // Further up, they are no longer what is meant.
                Sides::Branches(_) | Sides::Refused if !formulas.is_empty() => continue,
                Sides::Branches(several) => {
                    let all: Vec<&Expr> = several.iter().collect();
                    self.all_ready(&all, &[], name.span)?;
                    return Some(Restated {
                        nearest: Formula {
                            members: Vec::new(),
                            number: equation.number,
                            origin: equation.origin,
                        },
                        others: Vec::new(),
                        branches: several.clone(),
                    });
                }
                // The members of a refused formula are none: the line then needs the formula.
                Sides::Refused => Vec::new(),
            };
            let is_refused = matches!(equation.sides, Sides::Refused);
            if !members.is_empty() || is_refused {
                formulas.push(Formula {
                    members,
                    number: equation.number,
                    origin: equation.origin,
                });
            }
            if is_refused {
                break;
            }
        }
        if formulas.is_empty() {
            self.report_no_values(name, &all);
            return None;
        }
        let nearest = formulas.remove(0);
        Some(Restated {
            nearest,
            others: formulas,
            branches: Vec::new(),
        })
    }

    /// Of the sides of an equation, those whose names all have values.
    pub(super) fn with_values(&self, sides: &[Expr]) -> Vec<Expr> {
        let have_values = |side: &&Expr| self.without_values(side).is_empty();
        sides.iter().filter(have_values).cloned().collect()
    }

    /// The names of a formula that have no value yet, each once.
    fn without_values(&self, side: &Expr) -> Vec<SymbolId> {
        let mut found = Vec::new();
        side.for_each_symbol(&mut |symbol, _| {
            if !self.may_use(symbol) && !found.contains(&symbol) {
                found.push(symbol);
            }
        });
        found
    }

    /// Each equation needs a name that has no value yet.
    fn report_no_values(&mut self, name: &Name, all: &[Equation]) {
        let known = |equation: &Equation| match &equation.sides {
            Sides::Known(sides) => sides.clone(),
            Sides::Branches(_) | Sides::Refused => Vec::new(),
        };
        if let [only] = all {
            let sides = known(only);
            let first: Vec<&Expr> = sides.first().into_iter().collect();
            self.all_ready(&first, &[], name.span);
            return;
        }
        let written = name.span.of(self.text);
        let mut diagnostic = Diagnostic::error(
            Code::N08,
            name.span,
            format!(
                "`{written}` is asked, and each of the {} equations above that are solved for it needs a name without a value",
                all.len()
            ),
        )
        .with_help("a line above that defines the names of one of them");
        for side in all.iter().flat_map(known) {
            let missing = self.without_values(&side);
            let keys = missing
                .iter()
                .map(|symbol| &*self.symbols.symbol(*symbol).key);
            let keys = keys.collect::<Vec<&str>>().join("`, `");
            diagnostic = diagnostic.with_note(format!("here `{keys}` is missing"), side.span);
        }
        self.diagnostics.push(diagnostic);
    }

    fn report_no_formula(&mut self, name: &Name) {
        let written = name.span.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::N08,
                name.span,
                format!("`{written}` is asked, but no equation above is solved for `{written}`"),
            )
            .with_help(format!(
                "`{written} = … = ?` with its formula, or the equation `{written} = …` in `derive` above"
            )),
        );
    }
}
