//! Points at which equations hold.
//!
//! What an equation defines is computed from the rest; the other equations are made to hold by
//! Newton's steps from a few starts, each step the shortest of its kind. Points are the same in
//! every run. They refute, and prove nothing.

use std::collections::VecDeque;

use rustc_hash::{FxHashMap, FxHashSet};

use super::follow::Equation;
use super::node::{Function, Id, Node, Symbol};
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
/// A point at which a quantity has less than this part of what it was at the start is none.
const LEAST_LEFT: f64 = 1e-3;
/// A row with less than this part of itself beside the others says what they say.
const DEPENDENT: f64 = 1e-10;

/// Equations, and the symbols that they leave.
struct Held<'a> {
    algebra: &'a Algebra,
    defined: FxHashMap<Symbol, Id>,
    open: Vec<Equation>,
    /// What is worked out of all that, and where in it the sides of the open equations are.
    plan: Plan,
    sides: Vec<(usize, usize)>,
    /// So many parts at its head are those of the open equations.
    of_open: usize,
    symbols: Symbols,
    /// Those that have neither a fixed value nor a definition.
    free: FxHashSet<Symbol>,
    /// Those of them that the open equations have to do with, by their places in a slope: no step
    /// moves another.
    moving: FxHashMap<Symbol, usize>,
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
        let numbers = (FIRST..MOST_POINTS).filter(|at| at % 4 != 3);
        let mut starts = numbers.map(|at| held.start(at));
        // From where a definition has another sign than its name, a point is seldom found.
        let mut last = VecDeque::new();
        let mut next = || {
            let first = starts.find_map(|start| match held.is_of_signs(&start) {
                true => Some(start),
                false => {
                    last.push_back(start);
                    None
                }
            });
            first.or_else(|| last.pop_front())
        };
        let starts = std::iter::from_fn(&mut next);
        for start in starts.take(STARTS_OF_EACH * count) {
            match held.point(start) {
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
            plan: Plan::default(),
            sides: Vec::new(),
            of_open: 0,
            symbols: Symbols::default(),
            free: FxHashSet::default(),
            moving: FxHashMap::default(),
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
        let all = found.symbols.all.iter().copied();
        let free: Vec<Symbol> = all.filter(|symbol| found.is_free(*symbol)).collect();
        let mut reached = FxHashSet::default();
        for (left, right) in &found.open {
            found.reach(*left, &mut reached);
            found.reach(*right, &mut reached);
        }
        let moving = free.iter().copied().filter(|it| reached.contains(it));
        found.moving = moving.zip(0..).collect();
        found.free = free.into_iter().collect();
        let mut plan = Plan::default();
        let sides = found.open.iter();
        let sides = sides.map(|(left, right)| (plan.add(&found, *left), plan.add(&found, *right)));
        found.sides = sides.collect();
        found.of_open = plan.parts.len();
        for value in found.defined.values() {
            plan.add(&found, *value);
        }
        found.plan = plan;
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

    /// Adds the symbols of an expression, and of what they are defined by.
    fn reach(&self, id: Id, reached: &mut FxHashSet<Symbol>) {
        for symbol in self.algebra.symbols(id) {
            if reached.insert(*symbol)
                && let Some(value) = self.defined.get(symbol)
            {
                self.reach(*value, reached);
            }
        }
    }

    /// Values to start from, positive where they may be.
    fn start(&self, at: usize) -> Values {
        let mut start = self.samples.point(self.algebra, &self.symbols, at);
        for (symbol, value) in &mut start {
            if self.free.contains(symbol) && self.algebra.sign_of_symbol(*symbol).positive {
                *value = value.abs();
            }
        }
        start
    }

    /// Whether definitions have the signs of their names there.
    fn is_of_signs(&self, start: &Values) -> bool {
        let mut defined = self.definitions(start).into_iter();
        defined.all(|(symbol, value)| self.fits(symbol, value))
    }

    /// What definitions come to at a point.
    fn definitions(&self, at: &Values) -> Vec<(Symbol, f64)> {
        if self.defined.is_empty() {
            return Vec::new();
        }
        let parts = self.plan.parts.len();
        let mut all = Slopes::new(parts, 0);
        all.work_out(self, at);
        let defined = self.defined.iter();
        let value = |id: &Id| all.values[self.plan.places[id]];
        defined.map(|(symbol, id)| (*symbol, value(id))).collect()
    }

    /// A point, and whether all is positive there that may be.
    fn point(&self, start: Values) -> Option<(Point, bool)> {
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
        let mut weights = vec![0.0; self.moving.len()];
        for (symbol, place) in &self.moving {
            weights[*place] = at[symbol].powi(2);
        }
        let mut slopes = Slopes::new(self.of_open, self.moving.len());
        for _ in 0..MOST_STEPS {
            slopes.work_out(self, &at);
            let rows = self.sides.iter().map(|sides| slopes.row(self, *sides, &at));
            let rows = rows.collect::<Option<Vec<Row>>>()?;
            if rows.iter().all(|row| row.off.abs() <= EQUAL * row.size) {
                let values = self.definitions(&at);
                at.extend(values);
                let fits = at.iter().all(|(symbol, value)| self.fits(*symbol, *value));
                // Where a quantity has all but vanished, what it is multiplied with is not seen.
                let is_left = |(symbol, place): (&Symbol, &usize)| {
                    at[symbol].powi(2) >= LEAST_LEFT.powi(2) * weights[*place]
                };
                return (fits && self.moving.iter().all(is_left)).then_some(at);
            }
            let step = step(&rows, &weights);
            let kept = |symbol: Symbol| keeps_all || self.sign(symbol) != Sign::ANY;
            let share = self.moving.iter().fold(1.0_f64, |share, (symbol, place)| {
                let (lost, own) = (step[*place].abs(), at[symbol].abs());
                match kept(*symbol) && lost > MOST_LOST * own {
                    true => share.min(MOST_LOST * own / lost),
                    false => share,
                }
            });
            // Where no quantity moves by more than rounding, no later step goes anywhere.
            let is_at_rest = |(symbol, place): (&Symbol, &usize)| {
                (share * step[*place]).abs() <= f64::EPSILON * at[symbol].abs()
            };
            if self.moving.iter().all(is_at_rest) {
                return None;
            }
            for (symbol, place) in &self.moving {
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
    let mut matrix = vec![vec![0.0; rows.len()]; rows.len()];
    for (at, one) in rows.iter().enumerate() {
        for (before, other) in rows[..=at].iter().enumerate() {
            let found = product(one, other);
            (matrix[at][before], matrix[before][at]) = (found, found);
        }
    }
    let shares = solved(matrix, rows.iter().map(|row| -row.off).collect());
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

/// What is worked out at each step: parts of expressions, each below those that it is made of.
#[derive(Default)]
struct Plan {
    parts: Vec<Part>,
    places: FxHashMap<Id, usize>,
}

/// A part of an expression, by the places of what it is made of.
enum Part {
    Number(f64),
    /// A symbol, with its place in a slope where it is moved.
    Symbol(Symbol, Option<usize>),
    /// A constant, and parts with coefficients.
    Sum(f64, Vec<(usize, f64)>),
    /// Parts with exponents.
    Product(Vec<(usize, f64)>),
    Power(usize, usize),
    Call(Function, Vec<usize>),
}

impl Plan {
    /// Where an expression is worked out; what is defined is what its definition is.
    fn add(&mut self, held: &Held<'_>, id: Id) -> usize {
        if let Some(known) = self.places.get(&id) {
            return *known;
        }
        let part = match held.algebra.node(id) {
            Node::Number(value) => Part::Number(number::to_f64(value)),
            Node::Undefined => Part::Number(f64::NAN),
            Node::Pi => Part::Number(std::f64::consts::PI),
            Node::Symbol(symbol) => {
                if let Some(value) = held.defined.get(symbol) {
                    let place = self.add(held, *value);
                    self.places.insert(id, place);
                    return place;
                }
                Part::Symbol(*symbol, held.moving.get(symbol).copied())
            }
            Node::Sum(sum) => {
                let terms = sum.terms.iter();
                let terms = terms.map(|(term, by)| (self.add(held, *term), number::to_f64(by)));
                Part::Sum(number::to_f64(&sum.constant), terms.collect())
            }
            Node::Product(factors) => {
                let factors = factors.iter();
                let factors = factors.map(|(base, by)| (self.add(held, *base), number::to_f64(by)));
                Part::Product(factors.collect())
            }
            Node::Power(base, exponent) => {
                Part::Power(self.add(held, *base), self.add(held, *exponent))
            }
            Node::Call(function, arguments) => {
                let places = arguments.iter().map(|it| self.add(held, *it));
                Part::Call(*function, places.collect())
            }
        };
        self.parts.push(part);
        self.places.insert(id, self.parts.len() - 1);
        self.parts.len() - 1
    }
}

/// Values of the parts of a plan at a point, and how they grow with each free symbol.
struct Slopes {
    values: Vec<f64>,
    /// Those of one part after those of the other.
    slopes: Vec<f64>,
    /// How many symbols are free.
    free: usize,
}

impl Slopes {
    /// Of so many parts at the head of a plan, and by so many symbols; by none where values are enough.
    fn new(parts: usize, free: usize) -> Self {
        Self {
            values: vec![0.0; parts],
            slopes: vec![0.0; parts * free],
            free,
        }
    }

    /// Works all of them out at a point.
    fn work_out(&mut self, held: &Held<'_>, at: &Values) {
        self.slopes.fill(0.0);
        let parts = held.plan.parts.iter().take(self.values.len());
        for (place, part) in parts.enumerate() {
            let (below, own) = self.slopes.split_at_mut(place * self.free);
            let own = &mut own[..self.free];
            let below = |place: usize| &below[place * self.free..][..self.free];
            let values = &self.values;
            self.values[place] = match part {
                Part::Number(value) => *value,
                Part::Symbol(symbol, free) => {
                    if let Some(own) = free.and_then(|free| own.get_mut(free)) {
                        *own = 1.0;
                    }
                    at.get(symbol).copied().unwrap_or(f64::NAN)
                }
                Part::Sum(constant, terms) => terms.iter().fold(*constant, |total, (term, by)| {
                    add(own, *by, below(*term));
                    total + by * values[*term]
                }),
                Part::Product(factors) => factors.iter().fold(1.0, |total, (base, exponent)| {
                    let (power, slope) = raised(values[*base], *exponent);
                    own.iter_mut().for_each(|it| *it *= power);
                    add(own, total * slope, below(*base));
                    total * power
                }),
                Part::Power(base, exponent) => {
                    let (base_value, by) = (values[*base], values[*exponent]);
                    let power = base_value.powf(by);
                    add(own, by * base_value.powf(by - 1.0), below(*base));
                    add(own, power * base_value.ln(), below(*exponent));
                    power
                }
                Part::Call(function, arguments) => {
                    let values: Vec<f64> = arguments.iter().map(|at| values[*at]).collect();
                    for (at, by) in arguments.iter().zip(function.slopes(&values)) {
                        add(own, by, below(*at));
                    }
                    function.value(&values)
                }
            };
        }
    }

    fn slope(&self, place: usize) -> &[f64] {
        &self.slopes[place * self.free..][..self.free]
    }

    /// Nothing where it has no value.
    fn row(&self, held: &Held<'_>, (left, right): (usize, usize), at: &Values) -> Option<Row> {
        let both = self.slope(left).iter().zip(self.slope(right));
        let slope: Vec<f64> = both.map(|(own, other)| own - other).collect();
        let (left, right) = (self.values[left], self.values[right]);
        let parts = held.moving.iter();
        let parts = parts.map(|(symbol, place)| (slope[*place] * at[symbol]).abs());
        let size = left.abs() + right.abs() + parts.sum::<f64>();
        size.is_finite().then_some(Row {
            off: left - right,
            slope,
            size,
        })
    }
}

/// Adds so many times another slope.
fn add(slope: &mut [f64], by: f64, other: &[f64]) {
    // What does not grow with anything may have no slope of its own.
    let own = slope.iter_mut().zip(other);
    own.filter(|(_, other)| **other != 0.0)
        .for_each(|(own, other)| *own += by * other);
}

/// A power, and how it grows with its base.
fn raised(base: f64, exponent: f64) -> (f64, f64) {
    let whole = exponent as i32;
    match f64::from(whole) == exponent {
        true if whole == 1 => (base, 1.0),
        true => (
            base.powi(whole),
            exponent * base.powi(whole.saturating_sub(1)),
        ),
        false => (base.powf(exponent), exponent * base.powf(exponent - 1.0)),
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
