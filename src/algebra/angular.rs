//! Sines, cosines and tangents of the unknown in several parts of an equation.
//!
//! They are written as a polynomial in the sine and the cosine of one angle, and solved where
//! that is linear, homogeneous, or in one of the two only.

use num_traits::One;

use super::gather::Atoms;
use super::node::{Function, Id, Node, Symbol};
use super::solution::{Operation, Requirement, Stuck};
use super::solver::{Found, Solver, Trail};
use super::{Rational, number};

/// The coefficients of `cos^i sin^j`, by `i` and `j`.
type Table = Vec<Vec<Id>>;

impl Solver<'_> {
    /// An equation in functions of one angle.
    pub fn with_angles(&mut self, id: Id, atoms: &Atoms, trail: &Trail) -> Option<Found> {
        let mut arguments = Vec::new();
        for atom in atoms.keys() {
            let (_, argument) = self.as_angle_function(*atom)?;
            arguments.push(argument);
        }
        let angle = self.common_angle(&arguments)?;
        let table = self.table(id, angle)?;
        let zero = self.algebra.whole(0);
        let mut trail = trail.clone();
        trail.step(id, zero, Operation::Rewritten(angle));
        if let Some(found) = self.common_factor(&table, angle, &trail) {
            return Some(found);
        }
        let filled: Vec<(usize, usize)> = filled(&table, zero);
        if filled.iter().all(|(cos, _)| *cos == 0) {
            return Some(self.in_one_of_two(Function::Sin, &table, angle, trail));
        }
        if filled.iter().all(|(_, sin)| *sin == 0) {
            let turned = transposed(&table, zero);
            return Some(self.in_one_of_two(Function::Cos, &turned, angle, trail));
        }
        if filled.iter().all(|(cos, sin)| cos + sin <= 1) && !self.algebra.is_zero(table[0][0]) {
            return Some(self.harmonic(&table, angle, trail));
        }
        if filled.iter().all(|(cos, sin)| cos == sin && *cos <= 1) {
            return Some(self.double_angle(&table, angle, trail));
        }
        let parity = filled.first().map(|(cos, sin)| (cos + sin) % 2)?;
        if filled.iter().all(|(cos, sin)| (cos + sin) % 2 == parity) {
            return Some(self.homogeneous(&table, &filled, angle, trail));
        }
        if filled.iter().all(|(cos, _)| cos % 2 == 0) {
            return Some(self.in_one_of_two(Function::Sin, &table, angle, trail));
        }
        if filled.iter().all(|(_, sin)| sin % 2 == 0) {
            let turned = transposed(&table, zero);
            return Some(self.in_one_of_two(Function::Cos, &turned, angle, trail));
        }
        None
    }

    /// A power of cosine or sine that stands in every term.
    fn common_factor(&mut self, table: &Table, angle: Id, trail: &Trail) -> Option<Found> {
        let zero = self.algebra.whole(0);
        let filled = filled(table, zero);
        let cos = filled.iter().map(|(cos, _)| *cos).min()?;
        let sin = filled.iter().map(|(_, sin)| *sin).min()?;
        if cos + sin == 0 {
            return None;
        }
        let mut equations = Vec::new();
        let mut values = Vec::new();
        for (function, power) in [(Function::Cos, cos), (Function::Sin, sin)] {
            let value = self.algebra.call(function, &[angle]);
            values.push(value);
            if power > 0 {
                let mut trail = trail.clone();
                trail.step(value, zero, Operation::Factor(value));
                equations.push((value, zero, trail));
            }
        }
        let mut terms = Vec::new();
        for (own_cos, own_sin) in filled {
            let mut factors = vec![(table[own_cos][own_sin], Rational::one())];
            for (base, power) in [(values[0], own_cos - cos), (values[1], own_sin - sin)] {
                if power > 0 {
                    factors.push((base, number::whole(power as i64)));
                }
            }
            terms.push(self.algebra.product_of(&factors));
        }
        let rest = self.algebra.add(&terms);
        let mut trail = trail.clone();
        if self.holds(rest) {
            trail.step(rest, zero, Operation::Factor(rest));
            equations.push((rest, zero, trail));
        }
        Some(self.any_of(equations))
    }

    fn as_angle_function(&self, id: Id) -> Option<(Function, Id)> {
        match self.algebra.node(id) {
            Node::Call(function @ (Function::Sin | Function::Cos | Function::Tan), arguments) => {
                Some((*function, *arguments.first()?))
            }
            _ => None,
        }
    }

    /// The angle of which all others are the single or the double, but for what does not hold
    /// the unknown.
    fn common_angle(&mut self, arguments: &[Id]) -> Option<Id> {
        let first = *arguments.first()?;
        if arguments.iter().all(|argument| *argument == first) {
            return Some(first);
        }
        let (held, _) = self.split_held(first);
        let (_, part) = self.split_content(held);
        let mut multiples = Vec::new();
        for argument in arguments {
            let (held, _) = self.split_held(*argument);
            let (times, other) = self.split_content(held);
            if other != part {
                return None;
            }
            multiples.push(times.abs());
        }
        let least = multiples.iter().min()?.clone();
        let fits = |times: &Rational| {
            (times / &least) <= number::whole(2) && (times / &least).is_integer()
        };
        multiples
            .iter()
            .all(fits)
            .then(|| self.algebra.scale(part, &least))
    }

    /// The equation as a polynomial in cosine and sine of the angle.
    fn table(&mut self, id: Id, angle: Id) -> Option<Table> {
        let cos_symbol = self.fresh();
        let sin_symbol = Symbol(cos_symbol.0 - 1);
        let cos = self.algebra.symbol(cos_symbol);
        let sin = self.algebra.symbol(sin_symbol);
        let rewritten = self.rewritten(id, &mut |solver, base, exponent| {
            let (function, argument) = solver.as_angle_function(base)?;
            let (own_sin, own_cos) = solver.sine_and_cosine(argument, angle, sin, cos)?;
            let value = match function {
                Function::Sin => own_sin,
                Function::Cos => own_cos,
                _ => solver.algebra.divide(own_sin, own_cos),
            };
            Some(solver.algebra.raise(value, exponent))
        });
        if self.holds(rewritten) {
            return None;
        }
        let (above, _) = self.algebra.over_one_line(rewritten, Some(cos_symbol));
        let (above, _) = self.algebra.over_one_line(above, Some(sin_symbol));
        let rows = self.algebra.powers_of(above, cos_symbol)?;
        let mut table = Vec::new();
        for row in rows {
            let mut cells = self.algebra.powers_of(row, sin_symbol)?;
            for cell in &mut cells {
                if self.vanishes(*cell) {
                    *cell = self.algebra.whole(0);
                }
            }
            table.push(cells);
        }
        Some(table)
    }

    /// Sine and cosine of an argument, from those of the angle.
    fn sine_and_cosine(&mut self, argument: Id, angle: Id, sin: Id, cos: Id) -> Option<(Id, Id)> {
        if argument == angle {
            return Some((sin, cos));
        }
        let (held, rest) = self.split_held(argument);
        let (times, part) = self.split_content(held);
        let (unit, common) = self.split_content(angle);
        if part != common {
            return None;
        }
        let times = times / unit;
        let two = number::whole(2);
        let (mut own_sin, own_cos) = if times.abs().is_one() {
            (sin, cos)
        } else if times.abs() == two {
            let product = self.algebra.multiply(&[sin, cos]);
            let (sin_square, cos_square) =
                (self.algebra.raise(sin, &two), self.algebra.raise(cos, &two));
            let difference = self.algebra.subtract(cos_square, sin_square);
            (self.algebra.scale(product, &two), difference)
        } else {
            return None;
        };
        if times.is_negative() {
            own_sin = self.algebra.negate(own_sin);
        }
        if self.algebra.is_zero(rest) {
            return Some((own_sin, own_cos));
        }
        let algebra = &mut *self.algebra;
        let (turn_sin, turn_cos) = (
            algebra.call(Function::Sin, &[rest]),
            algebra.call(Function::Cos, &[rest]),
        );
        let straight = algebra.multiply(&[own_sin, turn_cos]);
        let crossed = algebra.multiply(&[own_cos, turn_sin]);
        let sine = algebra.add(&[straight, crossed]);
        let straight = algebra.multiply(&[own_cos, turn_cos]);
        let crossed = algebra.multiply(&[own_sin, turn_sin]);
        Some((sine, algebra.subtract(straight, crossed)))
    }

    /// `a cos + b sin = d`, with the amplitude and the phase of the left side.
    fn harmonic(&mut self, table: &Table, angle: Id, trail: Trail) -> Found {
        let mut trail = trail;
        let zero = self.algebra.whole(0);
        let cell = |cos: usize, sin: usize| {
            table
                .get(cos)
                .and_then(|row| row.get(sin))
                .copied()
                .unwrap_or(zero)
        };
        let (a, b) = (cell(1, 0), cell(0, 1));
        let right = self.algebra.negate(cell(0, 0));
        let two = number::whole(2);
        let squares = [self.algebra.raise(a, &two), self.algebra.raise(b, &two)];
        let square = self.algebra.add(&squares);
        let square = self.tidy(square);
        let amplitude = self.algebra.square_root(square);
        self.require_not_zero(square, &mut trail)?;
        let value = self.algebra.divide(right, amplitude);
        let (low, high) = (self.algebra.whole(-1), self.algebra.whole(1));
        self.require(Requirement::Inside { value, low, high }, &mut trail)?;
        let phase = if self.algebra.sign(a).is_positive() {
            self.algebra.lean(a);
            let ratio = self.algebra.divide(b, a);
            self.algebra.call(Function::Atan, &[ratio])
        } else {
            self.algebra.call(Function::Atan2, &[b, a])
        };
        let beyond = self.algebra.call(Function::Acos, &[value]);
        let values = [
            self.algebra.add(&[phase, beyond]),
            self.algebra.subtract(phase, beyond),
        ];
        let what = Operation::Applied(Function::Acos);
        let mut equations = Vec::new();
        for value in values {
            equations.extend(self.turned((angle, value), 2, &what, &trail)?);
        }
        self.any_of(equations)
    }

    /// `a sin cos + d = 0`
    fn double_angle(&mut self, table: &Table, angle: Id, trail: Trail) -> Found {
        let mut trail = trail;
        let Some(factor) = table.get(1).and_then(|row| row.get(1)).copied() else {
            return Err(Stuck::NotSolvable);
        };
        self.require_not_zero(factor, &mut trail)?;
        let double = self.algebra.scale(angle, &number::whole(2));
        let left = self.algebra.call(Function::Sin, &[double]);
        let quotient = self.algebra.divide(table[0][0], factor);
        let right = self.algebra.scale(quotient, &number::whole(-2));
        trail.step(left, right, Operation::Rewritten(left));
        self.solve(left, right, trail)
    }

    /// All terms of even, or all of odd degree: a polynomial in the tangent.
    fn homogeneous(
        &mut self,
        table: &Table,
        filled: &[(usize, usize)],
        angle: Id,
        trail: Trail,
    ) -> Found {
        let degree = filled.iter().map(|(cos, sin)| cos + sin).max().unwrap_or(0);
        let fresh = self.fresh();
        let place = self.algebra.symbol(fresh);
        let square = self.algebra.raise(place, &number::whole(2));
        let beside = self
            .algebra
            .sum_of(&Rational::one(), &[(square, Rational::one())]);
        let mut terms = Vec::new();
        for (cos, sin) in filled {
            let mut factors = vec![(table[*cos][*sin], Rational::one())];
            for (base, power) in [(place, *sin), (beside, (degree - cos - sin) / 2)] {
                if power > 0 {
                    factors.push((base, number::whole(power as i64)));
                }
            }
            terms.push(self.algebra.product_of(&factors));
        }
        let polynomial = self.algebra.add(&terms);
        let Some(coefficients) = self.algebra.powers_of(polynomial, fresh) else {
            return Err(Stuck::NotSolvable);
        };
        let highest = coefficients.get(degree).copied();
        let is_steep = highest.is_none_or(|highest| self.vanishes(highest));
        let zero = self.algebra.whole(0);
        let mut equations = Vec::new();
        if is_steep {
            let cosine = self.algebra.call(Function::Cos, &[angle]);
            let mut trail = trail.clone();
            trail.step(cosine, zero, Operation::Factor(cosine));
            equations.push((cosine, zero, trail));
        }
        let tangent = self.algebra.call(Function::Tan, &[angle]);
        match self.in_place_of(tangent, trail, |solver, trail| {
            solver.polynomial(coefficients, trail)
        }) {
            Ok(found) => {
                let more = found
                    .into_iter()
                    .map(|(value, trail)| (tangent, value, trail));
                equations.extend(more);
            }
            Err(Stuck::Never | Stuck::NotThere) if is_steep => {}
            Err(other) => return Err(other),
        }
        self.any_of(equations)
    }

    /// Only even powers of the first of the two: a polynomial in `function`, the second.
    fn in_one_of_two(
        &mut self,
        function: Function,
        table: &Table,
        angle: Id,
        trail: Trail,
    ) -> Found {
        let fresh = self.fresh();
        let place = self.algebra.symbol(fresh);
        let square = self.algebra.raise(place, &number::whole(2));
        let other = self
            .algebra
            .sum_of(&Rational::one(), &[(square, -Rational::one())]);
        let mut terms = Vec::new();
        for (even, row) in table.iter().enumerate() {
            for (power, cell) in row.iter().enumerate() {
                let mut factors = vec![(*cell, Rational::one())];
                for (base, power) in [(other, even / 2), (place, power)] {
                    if power > 0 {
                        factors.push((base, number::whole(power as i64)));
                    }
                }
                terms.push(self.algebra.product_of(&factors));
            }
        }
        let polynomial = self.algebra.add(&terms);
        let kernel = self.algebra.call(function, &[angle]);
        let found = self.in_place_of(kernel, trail, |solver, trail| {
            solver.cleared_polynomial(polynomial, trail)
        })?;
        let equations = found
            .into_iter()
            .map(|(value, trail)| (kernel, value, trail));
        self.any_of(equations.collect())
    }
}

/// Where a table is not zero.
fn filled(table: &Table, zero: Id) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    for (cos, row) in table.iter().enumerate() {
        let cells = row.iter().enumerate().filter(|(_, cell)| **cell != zero);
        found.extend(cells.map(|(sin, _)| (cos, sin)));
    }
    found
}

/// Rows and columns exchanged.
fn transposed(table: &Table, zero: Id) -> Table {
    let width = table.iter().map(Vec::len).max().unwrap_or(0);
    (0..width)
        .map(|column| {
            let cells = table
                .iter()
                .map(|row| row.get(column).copied().unwrap_or(zero));
            cells.collect()
        })
        .collect()
}
