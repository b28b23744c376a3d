//! What varies between the versions of a problem.

use super::super::statement::Condition;
use super::super::{Expr, ExprKind, Quantity, Resolver, Shape, SymbolId};
use super::Kind;
use crate::diagnostic::{Code, Diagnostic};
use crate::syntax::{self, Literal, Magnitude};
use crate::text::Span;

/// Data, and what they are chosen from.
#[derive(Debug, Clone, PartialEq)]
pub struct Varied {
    /// The data; several change together.
    pub symbols: Vec<(SymbolId, Span)>,
    /// What they are chosen from: for each row a value of each.
    pub rows: Vec<Vec<Condition>>,
    /// The step of a grid, of which `rows` are the ends.
    pub step: Option<Expr>,
}

/// What may be other than in the worksheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MayChange {
    /// Of which quantity.
    pub symbol: SymbolId,
    /// What.
    pub what: syntax::Change,
}

impl Resolver<'_> {
    pub(super) fn varied(&mut self, line: Span, varied: &syntax::Varied) -> Option<Kind> {
        let symbols: Vec<Option<(SymbolId, Span)>> = (varied.names.iter())
            .map(|name| Some((self.symbol(name)?, name.span)))
            .collect();
        let (rows, step): (Vec<Vec<Literal>>, _) = match &varied.choices {
            syntax::Choices::Grid(grid) => {
                let [from, to, step] = &**grid;
                (vec![vec![from.clone()], vec![to.clone()]], Some(step))
            }
            syntax::Choices::List(list) => (entries(list), None),
            syntax::Choices::Rows(rows) => (rows.clone(), None),
        };
        let count = varied.names.len();
        if let Some(row) = rows.iter().find(|row| row.len() != count) {
            let place = (row.iter().map(|it| it.span))
                .reduce(Span::cover)
                .unwrap_or(line);
            let message = format!("{} of {count} values", row.len());
            self.diagnostics.push(
                Diagnostic::error(Code::P09, place, message)
                    .with_help("a value for each of the names, in their order"),
            );
            return None;
        }
        let mut several = rows.iter().flatten().chain(step);
        if let Some(literal) = several.find(|it| !is_plain(it)) {
            let written = literal.span.of(self.text);
            let message = format!("`{written}` is no number to choose");
            self.diagnostics.push(
                Diagnostic::error(Code::P09, literal.span, message).with_help(
                    "a decimal number with its unit; what is uncertain stays as it is in `given`",
                ),
            );
            return None;
        }
        let step = step.map(|step| self.literal_as_value(step));
        let values: Vec<Vec<Option<Expr>>> = (rows.iter())
            .map(|row| row.iter().map(|it| self.literal_as_value(it)).collect())
            .collect();
        let symbols: Vec<(SymbolId, Span)> = symbols.into_iter().collect::<Option<_>>()?;
        let row = |row: Vec<Option<Expr>>| {
            let pairs = symbols.iter().zip(row);
            let condition = |((symbol, _), value): (&(SymbolId, Span), Option<Expr>)| {
                let value = value?;
                Some(Condition {
                    span: value.span,
                    symbol: *symbol,
                    value,
                })
            };
            pairs.map(condition).collect::<Option<Vec<Condition>>>()
        };
        Some(Kind::Varied(Box::new(Varied {
            rows: values.into_iter().map(row).collect::<Option<_>>()?,
            step: match step {
                Some(step) => Some(step?),
                None => None,
            },
            symbols,
        })))
    }

    fn literal_as_value(&mut self, literal: &Literal) -> Option<Expr> {
        let quantity: Quantity = self.quantity(literal)?;
        let quantity = Quantity {
            shape: Shape::One,
            ..quantity
        };
        Some(Expr {
            span: literal.span,
            kind: ExprKind::Quantity(Box::new(quantity)),
        })
    }

    pub(super) fn may_change(&mut self, change: &syntax::MayChange) -> Option<Kind> {
        let symbol = self.symbol(&change.name)?;
        let what = change.what;
        Some(Kind::MayChange(MayChange { symbol, what }))
    }
}

/// The entries of a list, each with the unit behind it.
fn entries(list: &Literal) -> Vec<Vec<Literal>> {
    let Magnitude::List(numbers) = &list.magnitude else {
        return vec![vec![list.clone()]];
    };
    let one = |number: &syntax::Number| Literal {
        span: number.span,
        magnitude: Magnitude::One(*number),
        ..list.clone()
    };
    numbers.iter().map(|number| vec![one(number)]).collect()
}

/// Whether a literal is one decimal number and its unit.
fn is_plain(literal: &Literal) -> bool {
    let is_one = matches!(literal.magnitude, Magnitude::One(_));
    is_one && literal.larger.is_empty() && literal.sizes.is_empty()
}
