//! Lists whose entries are made of neighbouring rows of others: differences, slopes, sums so far.
//!
//! Rows are those of the list: where a condition chose some, these are neighbours.

use std::sync::Arc;

use super::number::Number;
use super::program::{Environment, Fault, Lists, Over, Program, Reason, Rows};
use crate::functions::Function;
use crate::resolve::Shape;
use crate::text::Span;

/// A list that is made of neighbouring rows.
#[derive(Debug, Clone, PartialEq)]
pub struct Joined {
    /// How.
    pub function: Function,
    /// What it is made of.
    pub lists: Vec<Program>,
    /// Where it stands.
    pub place: Span,
}

impl Joined {
    /// Its rows, and whether each of them has an entry.
    pub fn over(&self, lists: &dyn Lists) -> Result<(Rows, Arc<[bool]>), Fault> {
        let (rows, overs) = beside(&self.lists, self.place, lists)?;
        let is_present = |row: usize| {
            let mut all = self.lists.iter().zip(&overs);
            rows.has(row) && all.all(|(list, over)| !list.lacks(row, over, lists))
        };
        let own = (0..rows.count).map(|row| match self.function {
            Function::Steps => {
                let before = rows.before(row);
                Ok(is_present(row) && before.is_some_and(is_present))
            }
            Function::Rate => {
                let ends = rows.before(row).zip(rows.after(row));
                let has_ends = ends.is_some_and(|(low, high)| is_present(low) && is_present(high));
                Ok(is_present(row) && has_ends)
            }
            // A total with a gap is wrong.
            _ if rows.has(row) && !is_present(row) => Err(Fault {
                reason: Reason::Gap(row),
                span: self.lists.first().map_or(self.place, Program::place),
            }),
            _ => Ok(rows.has(row)),
        });
        let has = own.collect::<Result<_, Fault>>()?;
        Ok((rows, has))
    }

    /// The number in a row that has an entry. Sums so far are taken up where they were left.
    pub fn run<N: Number>(
        &self,
        row: usize,
        rows: &Rows,
        sum: &mut Option<(usize, N)>,
        environment: &dyn Environment<N>,
    ) -> Result<N, Fault> {
        let missing = || N::constant(f64::NAN);
        let at = |list: &Program, row: usize| list.run(row, environment);
        match (self.function, self.lists.as_slice()) {
            (Function::Steps, [list]) => {
                let Some(before) = rows.before(row) else {
                    return Ok(missing());
                };
                Ok(at(list, row)?.minus(&at(list, before)?))
            }
            (Function::Rate, [y, x]) => {
                let Some((low, high)) = rows.before(row).zip(rows.after(row)) else {
                    return Ok(missing());
                };
                let rise = at(y, high)?.minus(&at(y, low)?);
                let run = at(x, high)?.minus(&at(x, low)?);
                let fault = |reason| Fault {
                    reason,
                    span: x.place(),
                };
                match run.compare(&N::constant(0.0)) {
                    None => Err(fault(Reason::InDoubt)),
                    Some(order) if order.is_eq() => Err(fault(Reason::SameAbscissae(row))),
                    Some(_) => Ok(rise.over(&run)),
                }
            }
            (_, [list]) => {
                let (next, mut total) = match sum.take() {
                    Some((last, total)) if last < row => (last + 1, Some(total)),
                    _ => (0, None),
                };
                for own in (next..=row).filter(|own| rows.has(*own)) {
                    let entry = at(list, own)?;
                    total = Some(total.map_or(entry.clone(), |total| total.plus(&entry)));
                }
                let total = total.unwrap_or_else(missing);
                *sum = Some((row, total.clone()));
                Ok(total)
            }
            _ => Ok(missing()),
        }
    }
}

/// The rows that lists have side by side.
fn beside(
    programs: &[Program],
    place: Span,
    lists: &dyn Lists,
) -> Result<(Rows, Vec<Over>), Fault> {
    let overs: Vec<Over> = programs
        .iter()
        .map(|program| program.over(lists))
        .collect::<Result<_, _>>()?;
    let mut found: Option<Rows> = None;
    for (program, over) in programs.iter().zip(&overs) {
        let fault = |reason| Fault {
            reason,
            span: program.place(),
        };
        let own = over.rows.clone().filter(|rows| rows.shape == Shape::List);
        let own = own.ok_or_else(|| fault(Reason::NoList))?;
        found = Some(match found {
            Some(before) => before.beside(own).map_err(fault)?,
            None => own,
        });
    }
    let rows = found.ok_or(Fault {
        reason: Reason::NoList,
        span: place,
    })?;
    Ok((rows, overs))
}

/// The area under straight lines through the rows of two lists.
pub fn area<N: Number>(
    curve: &[Program; 2],
    place: Span,
    environment: &dyn Environment<N>,
) -> Result<N, Fault> {
    let (rows, overs) = beside(curve, place, environment)?;
    let half = N::constant(0.5);
    let mut parts: Vec<N> = Vec::new();
    let mut before: Option<[N; 2]> = None;
    for row in (0..rows.count).filter(|row| rows.has(*row)) {
        for (list, over) in curve.iter().zip(&overs) {
            if list.lacks(row, over, environment) {
                return Err(Fault {
                    reason: Reason::Gap(row),
                    span: list.place(),
                });
            }
        }
        let [y, x] = curve;
        let own = [y.run(row, environment)?, x.run(row, environment)?];
        if let Some([y, x]) = &before {
            let height = own[0].plus(y).times(&half);
            parts.push(height.times(&own[1].minus(x)));
        }
        before = Some(own);
    }
    match before {
        None => Err(Fault {
            reason: Reason::NoEntry,
            span: place,
        }),
        Some(_) => Ok(N::call(Function::Sum, &parts)),
    }
}

/// The entry of a list in a row, counted from 1.
pub fn entry<N: Number>(
    list: &Program,
    number: f64,
    environment: &dyn Environment<N>,
) -> Result<N, Fault> {
    let over = list.over(environment)?;
    let fault = |reason| Fault {
        reason,
        span: list.place(),
    };
    let rows = over.rows.as_ref().filter(|rows| rows.shape == Shape::List);
    let rows = rows.ok_or_else(|| fault(Reason::NoList))?;
    if number.fract() != 0.0 || number < 1.0 || number > rows.count as f64 {
        return Err(fault(Reason::NoRow(rows.count)));
    }
    let row = number as usize - 1;
    match rows.has(row) && !list.lacks(row, &over, environment) {
        true => list.run(row, environment),
        false => Err(fault(Reason::Missing(row))),
    }
}
