//! Points at which equations hold.
//!
//! What an equation defines is computed from the rest; the other equations are made to hold by
//! Newton's steps from a few starts, each step the shortest of its kind. Points are the same in
//! every run. They refute, and prove nothing.

use rustc_hash::FxHashMap;

use super::follow::Equation;
use super::node::{Id, Node, Symbol};
use super::sample::{MOST_POINTS, Samples, Symbols};
use super::sign::Sign;
use super::trial::Values;
use super::{Algebra, Point, number};

/// The first of the samples that have no pattern.
const FIRST: usize = 9;
/// From so many starts one point is looked for, before it is given up.
const STARTS_OF_EACH: usize = 3;
/// So many steps are made from one start.
const MOST_STEPS: usize = 30;
/// Below this part of what is added up, the sides of an equation are equal.
const EQUAL: f64 = 1e-12;
/// No quantity loses more than this part of itself in a step that keeps its sign.
const MOST_LOST: f64 = 0.8;
/// A row with less than this part of itself beside the others says what they say.
const DEPENDENT: f64 = 1e-10;

/// Equations, and the symbols that they leave.
struct Held<'a> {
    algebra: &'a Algebra,
    defined: FxHashMap<Symbol, Id>,
    open: Vec<Equation>,
    symbols: Symbols,
    /// Those that may be moved, by their places in a slope.
    free: FxHashMap<Symbol, usize>,
    samples: &'a Samples,
}

impl Algebra {
    /// Points at which equations hold, with the symbols of the expressions `beside` them. All
    /// quantities are positive there if there are such points, but for those known not to be; none
    /// where none were found.
    pub fn points_where(
        &self,
        equations: &[Equation],
        beside: &[Id],
        samples: &Samples,
        count: usize,
    ) -> Vec<Point> {
        let held = Held::new(self, equations, beside, samples);
        let (mut positive, mut others) = (Vec::new(), Vec::new());
        // Points with numbers wide apart lose figures.
        let starts = (FIRST..MOST_POINTS).filter(|at| at % 4 != 3);
        for at in starts.take(STARTS_OF_EACH * count) {
            match held.point(at) {
                Some((point, true)) => positive.push(point),
                Some((point, false)) => others.push(point),
                None => {}
            }
            if positive.len().max(others.len()) == count {
                break;
            }
        }
        match positive.is_empty() {
            true => others,
            false => positive,
        }
    }

    /// The value of an expression at a point, and how much is added up in it.
    pub fn value_and_size(&self, point: &mut Point, id: Id) -> (f64, f64) {
        (point.value(self, id), self.size_at(point, id))
    }
}

impl<'a> Held<'a> {
    fn new(
        algebra: &'a Algebra,
        equations: &[Equation],
        beside: &[Id],
        samples: &'a Samples,
    ) -> Self {
        let mut found = Self {
            algebra,
            defined: FxHashMap::default(),
            open: Vec::new(),
            symbols: Symbols::default(),
            free: FxHashMap::default(),
            samples,
        };
        for (left, right) in equations.iter().copied() {
            let sides = [(left, right), (right, left)];
            match sides.into_iter().find_map(|sides| found.definition(sides)) {
                Some((symbol, value)) => drop(found.defined.insert(symbol, value)),
                None => found.open.push((left, right)),
            }
        }
        let mut all: Vec<Id> = equations.iter().flat_map(|it| [it.0, it.1]).collect();
        all.extend(beside);
        found.symbols = Symbols::of(algebra, &all);
        let free = found.symbols.all.iter().copied();
        found.free = free
            .filter(|symbol| found.is_free(*symbol))
            .zip(0..)
            .collect();
        found
    }

    /// What an equation defines by its left side.
    fn definition(&self, (left, right): Equation) -> Option<(Symbol, Id)> {
        let Node::Symbol(symbol) = self.algebra.node(left) else {
            return None;
        };
        let is_new = self.is_free(*symbol) && !self.depends(right, *symbol);
        is_new.then_some((*symbol, right))
    }

    /// Whether a symbol has neither a fixed value nor a definition.
    fn is_free(&self, symbol: Symbol) -> bool {
        !self.samples.is_fixed(symbol)
            && self.algebra.sign_of_symbol(symbol) != Sign::ZERO
            && !self.defined.contains_key(&symbol)
    }

    /// Whether a symbol stands in an expression, or in what its symbols are defined by.
    fn depends(&self, id: Id, symbol: Symbol) -> bool {
        let mut own = self.algebra.symbols(id).iter();
        own.any(|own| {
            *own == symbol
                || (self.defined.get(own)).is_some_and(|value| self.depends(*value, symbol))
        })
    }

    /// A point, and whether all is positive there that may be.
    fn point(&self, at: usize) -> Option<(Point, bool)> {
        let mut start = self.samples.point(self.algebra, &self.symbols, at);
        for (symbol, value) in &mut start {
            if self.free.contains_key(symbol) && self.algebra.sign_of_symbol(*symbol).positive {
                *value = value.abs();
            }
        }
        let found = (self.moved(start.clone(), true)).or_else(|| self.moved(start, false))?;
        let is_positive = |(symbol, value): (&Symbol, &f64)| {
            *value > 0.0 || self.samples.is_fixed(*symbol) || !self.sign(*symbol).positive
        };
        let all = found.iter().all(is_positive);
        Some((Point::new(found), all))
    }

    fn sign(&self, symbol: Symbol) -> Sign {
        self.algebra.sign_of_symbol(symbol)
    }

    /// The values at which all equations hold, from those of a start; signs that are not known may
    /// be kept, too.
    fn moved(&self, mut at: Values, keeps_all: bool) -> Option<Values> {
        // By what they are now, those that come near zero would stay there.
        let mut weights = vec![0.0; self.free.len()];
        for (symbol, place) in &self.free {
            weights[*place] = at[symbol].powi(2);
        }
        for _ in 0..MOST_STEPS {
            let mut slopes = Slopes::new(self, &at);
            let mut rows = Vec::with_capacity(self.open.len());
            for equation in &self.open {
                rows.push(slopes.row(*equation, &at)?);
            }
            if rows.iter().all(|row| row.off.abs() <= EQUAL * row.size) {
                let defined = self.defined.iter();
                let values = defined.map(|(symbol, id)| (*symbol, slopes.value(*id)));
                let values: Vec<(Symbol, f64)> = values.collect();
                at.extend(values);
                let fits = at.iter().all(|(symbol, value)| self.fits(*symbol, *value));
                return fits.then_some(at);
            }
            let step = step(&rows, &weights);
            let kept = |symbol: Symbol| keeps_all || self.sign(symbol) != Sign::ANY;
            let share = self.free.iter().fold(1.0_f64, |share, (symbol, place)| {
                let (lost, own) = (step[*place].abs(), at[symbol].abs());
                match kept(*symbol) && lost > MOST_LOST * own {
                    true => share.min(MOST_LOST * own / lost),
                    false => share,
                }
            });
            for (symbol, place) in &self.free {
                *at.get_mut(symbol)? += share * step[*place];
            }
        }
        None
    }

    fn fits(&self, symbol: Symbol, value: f64) -> bool {
        let sign = self.sign(symbol);
        let is_of_sign = (value < 0.0 && sign.negative)
            || (value == 0.0 && sign.zero)
            || (value > 0.0 && sign.positive);
        value.is_finite() && is_of_sign && self.samples.allows(symbol, value)
    }
}

/// The shortest step, as parts of what each quantity was at the start, with which all equations hold
/// to first order.
fn step(rows: &[Row], weights: &[f64]) -> Vec<f64> {
    let product = |one: &Row, other: &Row| {
        let both = one.slope.iter().zip(&other.slope).zip(weights);
        both.map(|((one, other), weight)| one * other * weight)
            .sum::<f64>()
    };
    let matrix = rows
        .iter()
        .map(|one| rows.iter().map(|other| product(one, other)).collect());
    let shares = solved(matrix.collect(), rows.iter().map(|row| -row.off).collect());
    let along = |(place, weight): (usize, &f64)| {
        let parts = rows.iter().zip(&shares);
        weight
            * parts
                .map(|(row, share)| row.slope[place] * share)
                .sum::<f64>()
    };
    weights.iter().enumerate().map(along).collect()
}

/// An equation at a point: the left side less the right one, how that grows with each quantity,
/// and how much is added up in it.
struct Row {
    off: f64,
    slope: Vec<f64>,
    size: f64,
}

/// Values of expressions at a point, and how they grow with each free symbol.
struct Slopes<'h> {
    held: &'h Held<'h>,
    at: &'h Values,
    done: FxHashMap<Id, usize>,
    found: Vec<(f64, Vec<f64>)>,
}

impl<'h> Slopes<'h> {
    fn new(held: &'h Held<'h>, at: &'h Values) -> Self {
        Self {
            held,
            at,
            done: FxHashMap::default(),
            found: Vec::new(),
        }
    }

    /// Nothing where it has no value.
    fn row(&mut self, (left, right): Equation, at: &Values) -> Option<Row> {
        let (left, right) = (self.of(left), self.of(right));
        let ((left, own), (right, other)) = (&self.found[left], &self.found[right]);
        let slope: Vec<f64> = own
            .iter()
            .zip(other)
            .map(|(own, other)| own - other)
            .collect();
        let parts = self.held.free.iter();
        let parts = parts.map(|(symbol, place)| (slope[*place] * at[symbol]).abs());
        let size = left.abs() + right.abs() + parts.sum::<f64>();
        size.is_finite().then(|| Row {
            off: left - right,
            slope,
            size,
        })
    }

    fn value(&mut self, id: Id) -> f64 {
        let at = self.of(id);
        self.found[at].0
    }

    /// Where an expression is found.
    fn of(&mut self, id: Id) -> usize {
        if let Some(known) = self.done.get(&id) {
            return *known;
        }
        let found = self.worked_out(id);
        self.found.push(found);
        self.done.insert(id, self.found.len() - 1);
        self.found.len() - 1
    }

    fn worked_out(&mut self, id: Id) -> (f64, Vec<f64>) {
        let algebra = self.held.algebra;
        let mut slope = vec![0.0; self.held.free.len()];
        let add = |slope: &mut Vec<f64>, by: f64, other: &[f64]| {
            // What does not grow with anything may have no slope of its own.
            let own = slope.iter_mut().zip(other);
            own.filter(|(_, other)| **other != 0.0)
                .for_each(|(own, other)| *own += by * other);
        };
        let value = match algebra.node(id) {
            Node::Number(value) => number::to_f64(value),
            Node::Undefined => f64::NAN,
            Node::Pi => std::f64::consts::PI,
            Node::Symbol(symbol) => {
                if let Some(value) = self.held.defined.get(symbol) {
                    let at = self.of(*value);
                    return self.found[at].clone();
                }
                if let Some(place) = self.held.free.get(symbol) {
                    slope[*place] = 1.0;
                }
                self.at.get(symbol).copied().unwrap_or(f64::NAN)
            }
            Node::Sum(sum) => {
                let mut total = number::to_f64(&sum.constant);
                for (term, coefficient) in &sum.terms {
                    let (at, by) = (self.of(*term), number::to_f64(coefficient));
                    total += by * self.found[at].0;
                    add(&mut slope, by, &self.found[at].1);
                }
                total
            }
            Node::Product(factors) => {
                let mut total = 1.0;
                for (base, exponent) in factors {
                    let (at, exponent) = (self.of(*base), number::to_f64(exponent));
                    let (base, own) = &self.found[at];
                    let power = base.powf(exponent);
                    slope.iter_mut().for_each(|it| *it *= power);
                    add(
                        &mut slope,
                        total * exponent * base.powf(exponent - 1.0),
                        own,
                    );
                    total *= power;
                }
                total
            }
            Node::Power(base, exponent) => {
                let (base, exponent) = (self.of(*base), self.of(*exponent));
                let ((base, own), (exponent, other)) = (&self.found[base], &self.found[exponent]);
                let power = base.powf(*exponent);
                add(&mut slope, exponent * base.powf(exponent - 1.0), own);
                add(&mut slope, power * base.ln(), other);
                power
            }
            Node::Call(function, arguments) => {
                let places: Vec<usize> = arguments.iter().map(|it| self.of(*it)).collect();
                let values: Vec<f64> = places.iter().map(|at| self.found[*at].0).collect();
                for (at, by) in places.iter().zip(function.slopes(&values)) {
                    add(&mut slope, by, &self.found[*at].1);
                }
                function.value(&values)
            }
        };
        (value, slope)
    }
}

/// The solution of a symmetric system; rows that say what others say have no share.
fn solved(mut rows: Vec<Vec<f64>>, mut right: Vec<f64>) -> Vec<f64> {
    let own: Vec<f64> = (0..rows.len()).map(|at| rows[at][at]).collect();
    let mut order = Vec::with_capacity(rows.len());
    let mut left: Vec<usize> = (0..rows.len()).collect();
    let share = |rows: &[Vec<f64>], at: usize| rows[at][at] / own[at].max(f64::MIN_POSITIVE);
    while let Some(at) = (left.iter().copied())
        .max_by(|one, other| share(&rows, *one).total_cmp(&share(&rows, *other)))
        .filter(|at| share(&rows, *at) > DEPENDENT)
    {
        left.retain(|it| *it != at);
        order.push(at);
        let pivot = rows[at].clone();
        for other in &left {
            let by = rows[*other][at] / pivot[at];
            let row = rows[*other].iter_mut().zip(&pivot);
            row.for_each(|(own, pivot)| *own -= by * pivot);
            right[*other] -= by * right[at];
        }
    }
    let mut found = vec![0.0; rows.len()];
    for at in order.into_iter().rev() {
        let known: f64 = rows[at]
            .iter()
            .zip(&found)
            .map(|(row, found)| row * found)
            .sum();
        found[at] = (right[at] - known) / rows[at][at];
    }
    found
}

#[cfg(test)]
mod tests {
    use super::super::text::Named;
    use super::super::{Equation, Samples, Symbol};

    /// At how many points equations are found to hold, and how far from it they are there.
    fn points(sides: &[&str], positive: &[&str]) -> (usize, f64) {
        let mut named = Named::new(positive);
        let equations: Vec<Equation> = sides.iter().map(|it| named.equation(it)).collect();
        let algebra = &named.algebra;
        let found = algebra.points_where(&equations, &[], &Samples::default(), 3);
        let count = found.len();
        let mut worst = 0.0_f64;
        for mut point in found {
            for (left, right) in &equations {
                let (left, size) = algebra.value_and_size(&mut point, *left);
                let (right, other) = algebra.value_and_size(&mut point, *right);
                worst = worst.max((left - right).abs() / (size + other));
            }
            let known = (0..positive.len() as u32).map(Symbol);
            assert!(
                known.into_iter().all(|it| point.symbol(it) > 0.0),
                "{sides:?}"
            );
        }
        (count, worst)
    }

    #[test]
    fn equations_hold_at_their_points() {
        for sides in [
            &["a + b = c"][..],
            &["p*a - f = q*(v*cos(t) - u)", "q = r*a*u", "a*u = b*v"],
            &["v = sqrt(2*g*h)", "q = v*a", "h + v^2/(2*g) = k"],
            // What says the same twice is no hindrance.
            &["a + b = c", "2*a + 2*b = 2*c", "a^2 = b*c"],
            // Some quantity has to be negative.
            &["a + b + 1 = 0"],
            &["x = y", "y = x*z"],
            &["atan2(y, x) = t", "x^2 + y^2 = r^2"],
        ] {
            let (count, worst) = points(sides, &[]);
            assert!(count == 3 && worst < 1e-9, "{sides:?}: {count} {worst}");
        }
    }

    #[test]
    fn known_signs_are_kept_and_what_cannot_hold_has_no_points() {
        let (count, worst) = points(&["a - b = c", "c = a^2"], &["a", "b", "c"]);
        assert!(count > 0 && worst < 1e-9, "{count} {worst}");
        assert_eq!(points(&["a + b + 1 = 0"], &["a", "b"]).0, 0);
        assert_eq!(points(&["a = b", "a = b + 1"], &[]).0, 0);
    }
}
