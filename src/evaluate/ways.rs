//! The lines that say what a name is: which of them holds, and whether all that do agree.

use super::definitions::{Care, Replaced, Stop};
use super::number::Partial;
use super::said::{Barred, Disagreement, Way};
use super::value::{self, Value, Values};
use super::walk::Walk;
use crate::algebra::Sign;
use crate::proofs::Proviso;
use crate::quantity::Exponent;
use crate::resolve::statement::Origin;
use crate::resolve::{Expr, ExprKind, Stated, SymbolId};

/// Sides of an equation on which a step is built agree, where they differ by less than this part:
/// they hold values that were computed.
const SAME: f64 = 1e-6;

/// How well two formulas agree that give the same, as a part of their values.
const AGREES: f64 = 1e-9;

/// What holding a value against the equations that were solved says.
pub(super) enum Solution {
    /// They bear it out.
    Holds,
    /// They do not.
    Fails(&'static str),
    /// There are none, or not all of their names have values.
    NotLookedAt,
}

impl<'a> Walk<'a> {
    /// The formulas of a line, each times a power of 2π.
    pub(super) fn way<'e>(
        &self,
        formulas: impl IntoIterator<Item = (&'e Expr, Exponent)>,
        origin: Option<Origin>,
    ) -> Way<'e> {
        let program = |formula: &Expr, by| self.compile(formula).turned(by, formula.span);
        Way {
            formulas: (formulas.into_iter())
                .map(|(formula, by)| (formula, program(formula, by)))
                .collect(),
            origin,
        }
    }

    /// The value by the nearest line that holds with these values. All others that hold have to
    /// give it, too.
    pub(super) fn by_ways(
        &self,
        symbol: Option<SymbolId>,
        ways: &[Way<'_>],
        values: &Replaced<'_>,
        care: Care,
    ) -> Result<Value, Stop> {
        let mut first: Option<(&Expr, Value)> = None;
        let mut barred = None;
        for way in ways {
            let in_one_line = first.is_none();
            let found = match self.by_way(symbol, way, values, care) {
                Ok(found) => found,
                // A line that is not needed may have no value here.
                Err(_) if first.is_some() => continue,
                Err(stop @ Stop::Barred(_)) => {
                    barred.get_or_insert(stop);
                    continue;
                }
                Err(stop) => return Err(stop),
            };
            for (formula, value) in found {
                let Some((known, own)) = &first else {
                    first = Some((formula, value));
                    continue;
                };
                let both = [(*known, own), (formula, &value)];
                if let Some(row) = self.apart(both, AGREES, values) {
                    return Err(Stop::Disagree(Box::new(Disagreement {
                        row,
                        sides: [(known.span, own.clone()), (formula.span, value)],
                        in_one_line,
                    })));
                }
            }
            if care != Care::All && first.is_some() {
                break;
            }
        }
        match (first, barred) {
            (Some((_, value)), _) => Ok(value),
            (None, Some(stop)) => Err(stop),
            (None, None) => Ok(Value::one(f64::NAN)),
        }
    }

    /// Whether the formulas of a line give a value, whatever it depends on.
    pub(super) fn gives(&self, way: &Way<'_>, value: &Value, values: &Replaced<'_>) -> bool {
        let bare = |value: &Value| Value {
            gradients: Vec::new(),
            second_order: Vec::new(),
            ..value.clone()
        };
        let wanted = bare(value);
        way.formulas.iter().all(|(formula, program)| {
            let found = value::run(program, values).map(|found| bare(&found));
            found.is_ok_and(|found| {
                self.same([(formula, &wanted), (formula, &found)], AGREES, values)
            })
        })
    }

    /// The values of the formulas of a line, where it holds.
    fn by_way<'e>(
        &self,
        symbol: Option<SymbolId>,
        way: &Way<'e>,
        values: &Replaced<'_>,
        care: Care,
    ) -> Result<Vec<(&'e Expr, Value)>, Stop> {
        if care == Care::AsWritten {
            let Some((formula, program)) = way.formulas.first() else {
                return Ok(Vec::new());
            };
            let value = values.run(program).map_err(Stop::Fault)?;
            return Ok(vec![(*formula, value)]);
        }
        let stop = |barred| Stop::Barred(Box::new(barred));
        let bar = way.origin.and_then(|it| self.bar(it, symbol, values));
        let is_sign = |barred: &Barred| matches!(barred.provided.proviso, Proviso::Sign(..));
        if let Some(barred) = bar.clone().filter(|barred| !is_sign(barred)) {
            return Err(stop(barred));
        }
        let wanted = match care {
            Care::All => way.formulas.len(),
            Care::Nearest | Care::AsWritten => 1,
        };
        let mut found = Vec::with_capacity(wanted);
        for (formula, program) in way.formulas.iter().take(wanted) {
            found.push((*formula, value::run(program, values).map_err(Stop::Fault)?));
        }
        let (Some(symbol), Some(origin), Some((_, value))) = (symbol, way.origin, found.first())
        else {
            return Ok(found);
        };
        // A solution is held against its equations; where these bear it out, the signs with which
        // it was found do not matter.
        let solved = match (care, &bar) {
            (Care::Nearest | Care::AsWritten, None) => Solution::NotLookedAt,
            _ => self.solution(origin, symbol, value, values),
        };
        match (solved, bar) {
            (Solution::Fails(why), None) => Err(Stop::NoSolution(symbol, why)),
            (Solution::Fails(_) | Solution::NotLookedAt, Some(barred)) => Err(stop(barred)),
            (Solution::Holds, _) => Ok(found),
            (Solution::NotLookedAt, None) => {
                let sign = self.own_sign(origin, symbol, value);
                let barred = match care {
                    Care::All => sign.or_else(|| self.own_equation(origin, symbol, value, values)),
                    Care::Nearest | Care::AsWritten => sign,
                };
                barred.map_or(Ok(found), |barred| Err(stop(barred)))
            }
        }
    }

    /// What a line is above another that is barred by values, if it is.
    pub(super) fn bar(
        &self,
        origin: Origin,
        symbol: Option<SymbolId>,
        values: &Replaced<'_>,
    ) -> Option<Barred> {
        let place = symbol.and_then(|symbol| self.start_of(symbol));
        let provisos = self.provisos.get(&origin)?;
        let broken = provisos
            .iter()
            .find(|provided| !self.stays(&provided.proviso, place, values))?;
        Some(Barred {
            symbol,
            provided: broken.clone(),
        })
    }

    /// Whether a proviso stays true with these values, as far as what stands above a place tells.
    fn stays(&self, proviso: &Proviso, place: Option<u32>, values: &Replaced<'_>) -> bool {
        let is_known = |symbol: SymbolId| self.is_above(symbol, place);
        match proviso {
            Proviso::Value(symbol) => values
                .by
                .get(symbol)
                .zip(self.results.value(*symbol))
                .is_none_or(|(now, given)| {
                    now.is_of(&given.rows) && now.gradients.iter().all(Vec::is_empty)
                }),
            Proviso::Definition(symbol) => !values.chosen.contains(symbol),
            Proviso::Sign(symbol, sign) => {
                !is_known(*symbol) || values.value(*symbol).is_none_or(|value| has(value, *sign))
            }
            Proviso::NotZero(divisor) => {
                let mut all_known = true;
                divisor.for_each_symbol(&mut |it, _| {
                    all_known &= is_known(it) && values.value(it).is_some();
                });
                let value = || value::run(&self.compile(divisor), values);
                !all_known || value().map_or(true, |value| value.rows.iter().all(|it| *it != 0.0))
            }
            Proviso::Undecided => values.by.is_empty(),
            Proviso::Equation(origin) => self.equation_stays(*origin, &is_known, values),
        }
    }

    /// Whether an equation that the author states holds with these values, too.
    fn equation_stays(
        &self,
        origin: Origin,
        is_known: &dyn Fn(SymbolId) -> bool,
        values: &Replaced<'_>,
    ) -> bool {
        let sides = self.sides_of(origin);
        let (mut all_known, mut changes) = (true, false);
        for side in sides {
            side.for_each_symbol(&mut |symbol, _| {
                let value = values.value(symbol);
                all_known &= is_known(symbol) && value.is_some();
                changes |= values.by.contains_key(&symbol)
                    || value.is_some_and(|value| !value.gradients.is_empty());
            });
        }
        if !all_known || !changes {
            return true;
        }
        let value = |side: &Expr| value::run(&self.compile(side), values).ok();
        let Some((first, rest)) = sides.split_first() else {
            return true;
        };
        let Some(one) = value(first) else { return true };
        rest.iter().all(|side| {
            value(side).is_none_or(|other| self.same([(first, &one), (side, &other)], SAME, values))
        })
    }

    /// The sides of an equation of `derive`.
    pub(super) fn sides_of(&self, origin: Origin) -> &'a [Expr] {
        match self.stated_at(origin) {
            Stated::Sides(members) => members,
            Stated::Nothing | Stated::Solved(_) | Stated::Work(_) | Stated::Datum(..) => &[],
        }
    }

    /// What a line of `derive` is to those below it.
    pub(super) fn stated_at(&self, origin: Origin) -> Stated<'a> {
        let block = self.resolved.blocks.get(origin.block);
        let line = block.and_then(|block| block.get(origin.statement));
        line.map_or(Stated::Nothing, |line| line.facts().stated)
    }

    /// What bars a value by the sign that its name is taken to have.
    fn own_sign(&self, origin: Origin, symbol: SymbolId, value: &Value) -> Option<Barred> {
        let provisos = self.provisos.get(&origin)?;
        let broken = provisos.iter().find(|provided| {
            matches!(&provided.proviso, Proviso::Sign(own, sign)
                if *own == symbol && !has(value, *sign))
        })?;
        Some(Barred {
            symbol: Some(symbol),
            provided: broken.clone(),
        })
    }

    /// What bars a value that does not satisfy an equation that its step follows from: with other
    /// data a step that was squared or divided may give what is no solution.
    fn own_equation(
        &self,
        origin: Origin,
        symbol: SymbolId,
        value: &Value,
        values: &Replaced<'_>,
    ) -> Option<Barred> {
        if values.by.is_empty() {
            return None;
        }
        let place = self.start_of(symbol);
        let is_known = |it: SymbolId| it == symbol || self.is_above(it, place);
        let mut own = values.clone();
        own.by.insert(symbol, value.clone());
        let broken = self.provisos.get(&origin)?.iter().find(|provided| {
            matches!(provided.proviso, Proviso::Equation(above)
                if !self.equation_stays(above, &is_known, &own))
        })?;
        Some(Barred {
            symbol: Some(symbol),
            provided: broken.clone(),
        })
    }

    /// Whether two formulas give the same in every row: to a part of it, or, where large terms
    /// nearly cancel, to 1e-12 of the largest.
    fn same(
        &self,
        [(left, one), (right, other)]: [(&Expr, &Value); 2],
        part: f64,
        values: &Replaced<'_>,
    ) -> bool {
        self.apart([(left, one), (right, other)], part, values)
            .is_none()
    }

    /// The first row in which they do not.
    fn apart(
        &self,
        [(left, one), (right, other)]: [(&Expr, &Value); 2],
        part: f64,
        values: &Replaced<'_>,
    ) -> Option<usize> {
        let rows = value::rows_of_all(&[one, other]);
        rows.into_iter().find(|row| {
            let row = *row;
            let (a, b) = (one.at(row), other.at(row));
            let size = a.abs().max(b.abs());
            let terms = || {
                let largest = |expr| self.largest_term(expr, row, values);
                largest(left).max(largest(right))
            };
            let difference = (a - b).abs();
            let is_one = difference <= part * size || difference <= 1e-12 * terms();
            let rounding = |input| 1e-9 * size.max(terms()) / values.size(input);
            !is_one || !go_alike(one.gradient(row), other.gradient(row), &rounding)
        })
    }

    /// The size of the largest term of a sum.
    pub(super) fn largest_term(&self, expr: &Expr, row: usize, values: &dyn Values) -> f64 {
        let ExprKind::Sum(terms) = &expr.inside().kind else {
            return 0.0;
        };
        let size = |expr: &Expr| {
            let value = value::run(&self.compile(expr), values);
            value.map_or(0.0, |value| value.at(row).abs())
        };
        terms
            .iter()
            .map(|term| size(&term.expr))
            .fold(0.0, f64::max)
    }
}

/// Whether two values go alike with what they depend on: they do not where one of them was
/// written for a single value of it.
fn go_alike(one: &[Partial], other: &[Partial], rounding: &dyn Fn(u32) -> f64) -> bool {
    let of = |gradient: &[Partial], source: u32| {
        let found = Partial::among(gradient, source);
        found.map_or((0.0, 0.0), |partial| (partial.slope, partial.parts))
    };
    one.iter().chain(other).all(|partial| {
        let [(a, of_a), (b, of_b)] = [one, other].map(|gradient| of(gradient, partial.source));
        let rounding = rounding(partial.source);
        let rounding = if rounding.is_finite() { rounding } else { 0.0 };
        let size = a.abs().max(b.abs());
        let difference = (a - b).abs();
        difference.is_nan() || difference <= 1e-6 * size + 1e-9 * of_a.max(of_b) + rounding
    })
}

/// Whether a value has a sign, and keeps it where it changes a little.
fn has(value: &Value, sign: Sign) -> bool {
    value.present().all(|(row, number)| {
        let changes = !value.gradient(row).is_empty();
        match number.total_cmp(&0.0) {
            _ if number == 0.0 => sign.zero && (!changes || sign == Sign::ANY),
            std::cmp::Ordering::Less => sign.negative,
            std::cmp::Ordering::Greater | std::cmp::Ordering::Equal => sign.positive,
        }
    })
}
