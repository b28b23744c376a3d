//! `e_y = scatter of line = ? mV`: the error of one further reading of what was fitted.

use super::super::grammar::{Pairs, Rule};
use super::super::reader::{Read, Reader};
use super::super::statement::refuse_function_as_name;
use super::super::{Literal, Name, Word, literal};
use super::{Ask, Part};

/// The error of one further reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Scatter {
    /// Its name.
    pub name: Name,
    /// The label of the fit.
    pub label: Word,
    /// How it is asked.
    pub ask: Ask,
    /// The engine's own number from before.
    pub filled: Option<Literal>,
}

impl Scatter {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        take(Part::Name(&self.name));
        take(Part::Label(&self.label));
        self.filled.iter().for_each(|it| take(Part::Literal(it)));
        take(Part::Ask(&self.ask));
    }
}

/// Whether a line is meant to be one.
pub(super) fn is_meant(body: &str) -> bool {
    body.split_once('=').is_some_and(|(_, right)| {
        let right = right.trim_start();
        right
            .strip_prefix("scatter ")
            .is_some_and(|it| it.trim_start().starts_with("of "))
    })
}

impl Reader<'_> {
    pub(super) fn scatter(&mut self, pairs: Pairs<'_>) -> Read<Scatter> {
        let (mut name, mut label, mut ask, mut filled) = (None, None, None, None);
        for pair in pairs {
            match pair.as_rule() {
                Rule::name => name = Some(self.name(&pair)),
                Rule::label => label = Some(self.label(&pair)),
                Rule::ask => ask = Some(self.ask(pair)?),
                Rule::literal => filled = Some(literal::literal(self, pair)?),
                Rule::filled_mark => {
                    if let Some(literal) = &filled {
                        ask = Some(self.filled_ask(literal, pair)?);
                    }
                }
                _ => {}
            }
        }
        let (Some(name), Some(label), Some(ask)) = (name, label, ask) else {
            return Err(self.nothing());
        };
        refuse_function_as_name(&name)?;
        Ok(Scatter {
            name,
            label,
            ask,
            filled,
        })
    }
}
