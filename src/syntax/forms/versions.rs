//! What varies between the versions of a problem, in `versions`.
//!
//! Whether a name is a datum that can be varied, and whether a step leads from one end to the
//! other, is left to others.

use super::super::grammar::{Pairs, Rule};
use super::super::literal::literal;
use super::super::reader::{Read, Reader};
use super::super::tokens::{Token, TokenKind, tokens};
use super::super::{Literal, Name};
use super::Part;

/// `x from a to b in steps of c` and its kin.
#[derive(Debug, Clone, PartialEq)]
pub struct Varied {
    /// The data; several change together.
    pub names: Vec<Name>,
    /// What they are chosen from.
    pub choices: Choices,
}

/// What data are chosen from.
#[derive(Debug, Clone, PartialEq)]
pub enum Choices {
    /// `from a to b in steps of c`
    Grid(Box<[Literal; 3]>),
    /// `from [..] unit`
    List(Literal),
    /// `from (..), (..)`
    Rows(Vec<Vec<Literal>>),
}

/// `y may change direction`
#[derive(Debug, Clone, PartialEq)]
pub struct MayChange {
    /// The quantity.
    pub name: Name,
    /// What of it.
    pub what: Change,
}

/// What of a quantity need not be as in the worksheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Change {
    /// Its sign.
    Direction,
    /// The branch that its formula takes.
    Branch,
}

impl Varied {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        self.names.iter().for_each(|name| take(Part::Name(name)));
        self.choices
            .literals()
            .for_each(|literal| take(Part::Literal(literal)));
    }
}

impl Choices {
    /// Its literals, in order.
    fn literals(&self) -> impl Iterator<Item = &Literal> {
        let (alone, rows): (&[Literal], &[Vec<Literal>]) = match self {
            Self::Grid(grid) => (&**grid, &[]),
            Self::List(list) => (std::slice::from_ref(list), &[]),
            Self::Rows(rows) => (&[], rows),
        };
        alone.iter().chain(rows.iter().flatten())
    }
}

impl Reader<'_> {
    /// `x from a to b in steps of c`, `x from [..] unit`.
    pub(super) fn varied(&mut self, pairs: Pairs<'_>) -> Read<Varied> {
        let mut names = Vec::new();
        let mut literals = Vec::with_capacity(3);
        for pair in pairs {
            match pair.as_rule() {
                Rule::name => names.push(self.name(&pair)),
                Rule::literal => literals.push(literal(self, pair)?),
                _ => {}
            }
        }
        let choices = match <[Literal; 3]>::try_from(literals) {
            Ok(grid) => Choices::Grid(Box::new(grid)),
            Err(mut literals) => Choices::List(literals.pop().ok_or_else(|| self.nothing())?),
        };
        Ok(Varied { names, choices })
    }

    /// `(x, y) from (..), (..)`.
    pub(super) fn varied_together(&mut self, pairs: Pairs<'_>) -> Read<Varied> {
        let mut names = Vec::new();
        let mut rows = Vec::new();
        for pair in pairs {
            match pair.as_rule() {
                Rule::name => names.push(self.name(&pair)),
                Rule::choice_row => {
                    let row = pair.into_inner();
                    let row = row.map(|it| literal(self, it)).collect::<Read<_>>()?;
                    rows.push(row);
                }
                _ => {}
            }
        }
        let choices = Choices::Rows(rows);
        Ok(Varied { names, choices })
    }

    /// `y may change direction`, `f may change branch`.
    pub(super) fn may_change(&mut self, pairs: Pairs<'_>) -> Read<MayChange> {
        let mut name = None;
        let mut what = Change::Direction;
        for pair in pairs {
            match pair.as_rule() {
                Rule::name => name = Some(self.name(&pair)),
                Rule::its_branch => what = Change::Branch,
                _ => {}
            }
        }
        let name = name.ok_or_else(|| self.nothing())?;
        Ok(MayChange { name, what })
    }
}

/// Whether a line says what a name varies over.
pub(super) fn is_varied(body: &str) -> bool {
    let mut line = tokens(body);
    let is_name = line.next().is_some_and(|it| it.kind == TokenKind::Word);
    is_name && line.next().is_some_and(|it| it.text == "from")
}

/// Whether it says so of several names together.
pub(super) fn is_together(body: &str) -> bool {
    let mut line = tokens(body).skip_while(|it| it.text != ")").skip(1);
    body.starts_with('(') && line.next().is_some_and(|it| it.text == "from")
}

/// Some words in a row.
fn joined<'b>(body: &'b str, wanted: &[&str]) -> Option<(usize, &'b str)> {
    let line: Vec<Token<'_>> = tokens(body).collect();
    let found = line
        .windows(wanted.len())
        .find(|row| row.iter().map(|it| it.text).eq(wanted.iter().copied()))?;
    let (first, last) = (found.first()?, found.last()?);
    Some((first.at, body.get(first.at..last.end())?))
}

/// Where the words of a grid stand.
pub(super) fn in_steps(body: &str) -> Option<(usize, &str)> {
    joined(body, &["in", "steps", "of"])
}

/// Where the words stand that let something change.
pub(super) fn may_change(body: &str) -> Option<(usize, &str)> {
    joined(body, &["may", "change"])
}
