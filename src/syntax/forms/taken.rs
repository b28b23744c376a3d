//! `rho = rho of "water.md" at T = 15 degC`: a value or a function of another worksheet.

use super::super::grammar::{Pairs, Rule};
use super::super::reader::{Read, Reader};
use super::super::statement::refuse_function_as_name;
use super::super::{Name, Word};
use super::{Condition, Part};
use crate::text::Span;

/// A name of another worksheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// The name that it has here.
    pub name: Name,
    /// The parameters, of a function.
    pub parameters: Vec<Name>,
    /// The name that it has there.
    pub of: Name,
    /// The file, without its quotes.
    pub file: Word,
    /// The heading of the problem there.
    pub under: Option<Word>,
    /// What stands for parameters or givens there.
    pub conditions: Vec<Condition>,
}

impl Taken {
    /// Its parts, in order. What belongs to the other worksheet is no name here.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        match self.parameters.is_empty() {
            true => take(Part::Name(&self.name)),
            false => take(Part::Called(&self.name)),
        }
        self.parameters.iter().for_each(|it| take(Part::Name(it)));
        take(Part::Elsewhere(&self.of));
        take(Part::Word(&self.file));
        self.under.iter().for_each(|it| take(Part::Word(it)));
        for condition in &self.conditions {
            take(Part::Elsewhere(&condition.name));
            take(Part::Expr(&condition.value));
        }
    }
}

/// The word before the file.
pub(super) fn joined(body: &str) -> Option<(usize, &str)> {
    let mut from = 0;
    while let Some(found) = body.get(from..)?.find("of") {
        let at = from + found;
        let (before, after) = (body.get(..at)?, body.get(at + 2..)?);
        if before.ends_with(' ') && after.trim_start().starts_with('"') {
            return body.get(at..at + 2).map(|word| (at, word));
        }
        from = at + 2;
    }
    None
}

/// The files that lines of a block take from, and perhaps some that only look so.
pub fn taken_files(block: &str) -> impl Iterator<Item = &str> {
    block.lines().filter_map(|line| {
        let (at, _) = joined(line)?;
        let (_, rest) = line.get(at..)?.split_once('"')?;
        rest.split_once('"').map(|(path, _)| path.trim())
    })
}

impl Reader<'_> {
    pub(super) fn taken(&mut self, pairs: Pairs<'_>) -> Read<Taken> {
        let (mut names, mut words, mut conditions) = (Vec::new(), Vec::new(), Vec::new());
        let mut of = None;
        for pair in pairs {
            match pair.as_rule() {
                Rule::name => names.push(self.name(&pair)),
                Rule::taken_name => {
                    let inner = pair.into_inner().next();
                    of = inner.map(|inner| self.name(&inner));
                }
                Rule::quoted => {
                    let span = self.span(&pair);
                    words.push(Word {
                        span: Span::new(span.start as usize + 1, span.end as usize - 1),
                        text: pair.as_str().trim_matches('"').trim().into(),
                    });
                }
                Rule::condition => conditions.push(self.condition(pair)?),
                _ => {}
            }
        }
        let mut names = names.into_iter();
        let mut words = words.into_iter();
        let (Some(name), Some(of), Some(file)) = (names.next(), of, words.next()) else {
            return Err(self.nothing());
        };
        refuse_function_as_name(&name)?;
        Ok(Taken {
            name,
            parameters: names.collect(),
            of,
            file,
            under: words.next(),
            conditions,
        })
    }
}
