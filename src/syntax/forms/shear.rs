//! `shear and moment of beam as V(x), M(x)`: what a straight member of a sketch holds together at
//! a cut, as functions of where that is.

use super::super::grammar::{Pairs, Rule};
use super::super::reader::{Read, Reader};
use super::super::{Name, Word};
use super::Part;

/// The functions of a cut member.
#[derive(Debug, Clone, PartialEq)]
pub struct ShearAndMoment {
    /// The label of the sketch.
    pub label: Word,
    /// Each function with its parameter: shear and moment, with the axial force before them where
    /// there are three.
    pub calls: Vec<(Name, Name)>,
}

impl ShearAndMoment {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        take(Part::Label(&self.label));
        for (name, parameter) in &self.calls {
            take(Part::Called(name));
            take(Part::Name(parameter));
        }
    }
}

impl Reader<'_> {
    pub(super) fn shear(&mut self, pairs: Pairs<'_>) -> Read<ShearAndMoment> {
        let (mut label, mut calls) = (None, Vec::with_capacity(3));
        for pair in pairs {
            match pair.as_rule() {
                Rule::label => label = Some(self.label(&pair)),
                Rule::inner_call => {
                    let names = pair.into_inner();
                    let mut names = names.filter(|it| it.as_rule() == Rule::name);
                    let (Some(name), Some(parameter)) = (names.next(), names.next()) else {
                        return Err(self.nothing());
                    };
                    calls.push((self.name(&name), self.name(&parameter)));
                }
                _ => {}
            }
        }
        match label {
            Some(label) if calls.len() >= 2 => Ok(ShearAndMoment { label, calls }),
            _ => Err(self.nothing()),
        }
    }
}
