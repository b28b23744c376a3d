//! `rho(T) = rho_i against T_i by cubic`: a table as a function.

use super::super::grammar::{Pairs, Rule};
use super::super::reader::{Read, Reader};
use super::super::tokens::words;
use super::super::{Expr, ExprKind, Name, Which};
use super::Part;

/// A table as a function.
#[derive(Debug, Clone, PartialEq)]
pub struct Tabulated {
    /// The name of the function.
    pub name: Name,
    /// Its parameter.
    pub parameter: Name,
    /// The list of its values.
    pub values: Expr,
    /// The list of the places at which they are.
    pub places: Expr,
    /// Whether it is by cubic pieces; otherwise by straight lines.
    pub is_cubic: bool,
    /// Which rows are in it.
    pub rows: Option<Which>,
}

impl Tabulated {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        take(Part::Called(&self.name));
        take(Part::Name(&self.parameter));
        take(Part::Expr(&self.values));
        take(Part::Expr(&self.places));
        if let Some(rows) = &self.rows {
            rows.for_each_comparison(&mut |check| {
                check.members.iter().for_each(|it| take(Part::Expr(it)));
            });
        }
    }
}

/// The word between its lists.
pub(super) fn joined(body: &str) -> Option<(usize, &str)> {
    words(body).find(|(at, word)| *at > 0 && *word == "against")
}

impl Reader<'_> {
    pub(super) fn tabulated(&mut self, pairs: Pairs<'_>) -> Read<Tabulated> {
        let (mut names, mut is_cubic, mut rows) = (Vec::with_capacity(4), false, None);
        for pair in pairs {
            match pair.as_rule() {
                Rule::name => names.push(self.name(&pair)),
                Rule::cubic => is_cubic = true,
                Rule::which => rows = Some(self.which(pair)?),
                _ => {}
            }
        }
        let names: [Name; 4] = names.try_into().map_err(|_| self.nothing())?;
        let [name, parameter, values, places] = names;
        let [values, places] = [values, places].map(|list| Expr {
            span: list.span,
            kind: ExprKind::Name(list),
        });
        Ok(Tabulated {
            name,
            parameter,
            values,
            places,
            is_cubic,
            rows,
        })
    }
}
