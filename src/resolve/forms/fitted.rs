//! A fit as a plot shows it: what is plotted is told from what was fitted, in symbols.
//!
//! Which of the names are lists, and which of several roots is that of the readings, the numbers
//! say; here are the formulas among which they choose.

use super::super::setting::{Lines, Taking};
use super::super::solving::Solving;
use super::super::which::Which;
use super::super::{Expr, ExprKind, Resolver, Shape, SymbolId, Term};
use super::plot::{Side, words};
use super::{Fit, Kind};
use crate::algebra::Wanted;
use crate::diagnostic::{Code, Diagnostic};
use crate::syntax;
use crate::text::Span;

/// A definition within a definition, so many levels deep.
const DEEPEST: usize = 12;

/// A fit, and what is plotted of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// The two sides of its formula.
    pub sides: [Expr; 2],
    /// The rows that take part, where a condition says it.
    pub which: Option<Which>,
    /// What is plotted upward.
    pub y: Side,
    /// What is plotted to the right.
    pub x: Side,
    /// Stands for what the left side was fitted to be.
    pub value: SymbolId,
    /// Stands for what is to the right.
    pub place: SymbolId,
    /// What is plotted, told from the fitted value: one of these.
    pub up: Vec<Up>,
    /// Names, told from what is plotted to the right: one of these.
    pub across: Vec<(SymbolId, Expr)>,
}

/// What is plotted upward, told from the fitted value.
#[derive(Debug, Clone, PartialEq)]
pub struct Up {
    /// The formula, which holds the fitted value.
    pub formula: Expr,
    /// Whether the reading stands on both sides of the fit: then what stands for the fitted value
    /// is by how much the left side is more than the right one.
    pub is_on_both: bool,
}

impl Fitted {
    /// What the fit is of, and what is plotted, as they are written.
    pub fn written<'t>(&self, text: &'t str) -> [&'t str; 3] {
        [&self.sides[0], &self.y.expr, &self.x.expr].map(|expr| expr.span.of(text))
    }
}

impl Resolver<'_> {
    /// The fit with this label.
    fn fit_labelled(&mut self, label: &syntax::Word) -> Option<Fit> {
        let known = [self.problem, 0]
            .iter()
            .find_map(|problem| self.labels.get(&(*problem, label.text.clone())))
            .copied();
        let fit = known.and_then(|(_, origin)| self.fits.get(&origin.block).cloned());
        if fit.is_none() && known.is_none_or(|(_, origin)| !self.refused.contains(&origin)) {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::N13,
                    label.span,
                    format!("no fit above has the label `{}`", label.text),
                )
                .with_help(format!("the label after its word: ```fit {}", label.text)),
            );
        }
        fit
    }

    /// A fit over the axes of the present plot, or over the one that its line says.
    pub(super) fn fitted_over(
        &mut self,
        place: Span,
        label: &syntax::Word,
        against: Option<&syntax::Side>,
    ) -> Option<Fitted> {
        let axes = match (&self.plot_axes, against) {
            (None, Some(_)) => None,
            _ => Some(self.axes_or_report(place)?),
        };
        let fit = self.fit_labelled(label)?;
        let (y, across) = match (axes, against) {
            (Some([y, _]), Some(x)) => (Some(y), x.clone()),
            (Some([y, x]), None) => (Some(y), x),
            (None, Some(x)) => (None, x.clone()),
            (None, None) => return None,
        };
        let x = self.side(&across)?;
        let y = match y {
            Some(y) => self.side(&y)?,
            // Nothing else is plotted: what was fitted is.
            None => Side::bare(fit.sides[0].clone()),
        };
        let [value, place] = ["fitted", "place"].map(|key| {
            let problem = self.problem;
            self.symbols.add_unseen(problem, key)
        });
        let up = self.up(&fit, &y.expr, value);
        let across = self.across(&fit, &x.expr, place);
        Some(Fitted {
            sides: fit.sides,
            which: fit.which,
            y,
            x,
            value,
            place,
            up,
            across,
        })
    }

    /// What is plotted upward, told from the fitted value.
    fn up(&self, fit: &Fit, plotted: &Expr, value: SymbolId) -> Vec<Up> {
        let [left, right] = &fit.sides;
        let fitted = symbol(value, plotted.span);
        let is_itself = words(left.span.of(self.text)) == words(plotted.span.of(self.text));
        let mut found: Vec<Up> = Vec::new();
        if is_itself {
            found.push(Up {
                formula: fitted.clone(),
                is_on_both: false,
            });
        }
        let expanded = |expr: &Expr| self.with_formulas(expr);
        let forms = [
            [plotted.clone(), left.clone()],
            [expanded(plotted), expanded(left)],
        ];
        for [plotted, left] in forms {
            for by in shared(&plotted, &left, fit) {
                let is_on_both = stands(right, by);
                let other = match is_on_both {
                    true => sum(right, &fitted),
                    false => fitted.clone(),
                };
                for root in self.told(&left, &other, by) {
                    let mut formula = plotted.clone();
                    formula.put_in(&|own| (own == by).then(|| root.clone()));
                    let up = Up {
                        formula,
                        is_on_both,
                    };
                    if !found.contains(&up) {
                        found.push(up);
                    }
                }
            }
        }
        found
    }

    /// Names that stand in a fit, told from what is plotted to the right.
    fn across(&self, fit: &Fit, plotted: &Expr, place: SymbolId) -> Vec<(SymbolId, Expr)> {
        let to_the_right = symbol(place, plotted.span);
        let mut found: Vec<(SymbolId, Expr)> = Vec::new();
        for plotted in [plotted.clone(), self.with_formulas(plotted)] {
            let both = fit.sides.iter();
            let names = both.flat_map(|side| {
                let mut names = shared(&plotted, side, fit);
                names.extend(shared(&plotted, &self.with_formulas(side), fit));
                names
            });
            for by in names.collect::<Vec<SymbolId>>() {
                if found.iter().any(|(own, _)| *own == by) {
                    continue;
                }
                let roots = self.told(&plotted, &to_the_right, by);
                found.extend(roots.into_iter().map(|root| (by, root)));
            }
        }
        found
    }

    /// A name told from an equation: each of its roots.
    fn told(&self, left: &Expr, right: &Expr, by: SymbolId) -> Vec<Expr> {
        if left.as_symbol() == Some(by) && !stands(right, by) {
            return vec![right.clone()];
        }
        let lines = Lines {
            text: self.text,
            symbols: &self.symbols,
            problem: self.problem,
            bodies: &|function| self.bodies.get(&function),
            signs: &self.signs,
        };
        let sides = [left, right];
        let mut taking = Taking::new(lines, sides.into_iter(), std::iter::once(by));
        let equation = sides.map(|side| taking.formula(side)).to_vec();
        let unknown = taking.symbol(by);
        let (setting, names) = taking.setting();
        let question = Solving {
            setting,
            equations: vec![equation],
            unknowns: vec![unknown],
            wanted: vec![Wanted::default()],
            effort: self.effort[self.problem.min(1)],
            in_full: false,
        };
        let answer = self.asker.ask(question);
        let Ok(solution) = &**answer else {
            return Vec::new();
        };
        (solution.branches.iter())
            .filter(|branch| !branch.is_aside)
            .flat_map(|branch| &branch.formulas)
            .map(|formula| names.formula(formula, left.span))
            .collect()
    }

    /// A formula with those of the lists of `work` that stand in it.
    fn with_formulas(&self, expr: &Expr) -> Expr {
        let mut found = expr.clone();
        for _ in 0..DEEPEST {
            let mut is_whole = true;
            found.for_each_symbol(&mut |own, _| is_whole &= !self.made.contains_key(&own));
            if is_whole || found.size() > 1000 {
                break;
            }
            found.put_in(&|own| self.made.get(&own).cloned());
        }
        found
    }

    /// Keeps the formula of a list, where the plot of a fit may ask for it.
    pub(super) fn keep_made(&mut self, defined: Option<SymbolId>, kind: &Kind) {
        if !self.keeps_equations {
            return;
        }
        if let Kind::Data(data) = kind {
            self.lists.extend(data.readings().map(|it| it.symbol));
        }
        if let Kind::Given { symbol, value } = kind
            && let ExprKind::Quantity(quantity) = &value.inside().kind
            && quantity.shape == Shape::List
        {
            self.lists.insert(*symbol);
        }
        if let Kind::Work(work) = kind
            && let (Some(symbol), Some(formula)) = (defined, work.members.first())
        {
            let mut is_list = false;
            formula.for_each_symbol(&mut |own, _| is_list |= self.lists.contains(&own));
            if is_list {
                self.lists.insert(symbol);
                self.made.insert(symbol, formula.clone());
            }
        }
    }
}

/// The names that stand in both, but for the parameters of the fit.
fn shared(one: &Expr, other: &Expr, fit: &Fit) -> Vec<SymbolId> {
    let mut found = Vec::new();
    one.for_each_symbol(&mut |own, _| {
        let is_parameter = fit.parameters.iter().any(|it| it.symbol == own);
        if !is_parameter && !found.contains(&own) && stands(other, own) {
            found.push(own);
        }
    });
    found
}

fn stands(expr: &Expr, wanted: SymbolId) -> bool {
    let mut found = false;
    expr.for_each_symbol(&mut |own, _| found |= own == wanted);
    found
}

fn symbol(symbol: SymbolId, span: Span) -> Expr {
    Expr {
        span,
        kind: ExprKind::Symbol(symbol),
    }
}

fn sum(one: &Expr, other: &Expr) -> Expr {
    let terms = [one, other].map(|expr| Term {
        negative: false,
        expr: expr.clone(),
    });
    Expr {
        span: one.span,
        kind: ExprKind::Sum(terms.into()),
    }
}
