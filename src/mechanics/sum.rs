//! Sums of products of the caller's quantities, and of sines and cosines of their angles.

use num_rational::Ratio;

use super::Id;
use super::direction::Sign;

/// A sum of signed angles; the first counts plus.
pub type Angles = Vec<(Sign, Id)>;

/// A factor of a product.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Factor {
    /// A quantity of the caller.
    Of(Id),
    /// The sine of a sum of angles.
    Sine(Angles),
    /// The cosine of a sum of angles.
    Cosine(Angles),
    /// A leg of the triangle of a slope over its long side.
    Slope {
        /// The leg.
        leg: Id,
        /// Both legs: the rise and what it rises in.
        of: [Id; 2],
    },
    /// A length that is a difference of others, which is one factor.
    Difference(Box<Sum>),
    /// The length of what goes so far to the right and up.
    Length(Box<[Sum; 2]>),
    /// One over such a length.
    OverLength(Box<[Sum; 2]>),
    /// One over a factor.
    Over(Box<Factor>),
    /// The area of a circle over the square of its radius.
    Pi,
}

/// A number times factors.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Product {
    /// The number with its sign; never zero.
    pub number: Ratio<i64>,
    /// In the order in which they are written.
    pub factors: Vec<Factor>,
}

/// Products that are added; none is zero.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Sum(pub Vec<Product>);

impl Sum {
    /// A plain number.
    pub fn number(number: i64) -> Self {
        Self::of(Ratio::from(number), Vec::new())
    }

    /// One product.
    pub fn of(number: Ratio<i64>, factors: Vec<Factor>) -> Self {
        let mut sum = Self::default();
        sum.push(Product { number, factors });
        sum
    }

    /// One quantity of the caller.
    pub fn quantity(id: Id) -> Self {
        Self::of(Ratio::from(1), vec![Factor::Of(id)])
    }

    /// Whether nothing is left.
    pub fn is_zero(&self) -> bool {
        self.0.is_empty()
    }

    /// Adds a product; like products become one.
    fn push(&mut self, product: Product) {
        let zero = Ratio::from(0);
        let is_like = |it: &Product| are_alike(&it.factors, &product.factors);
        if let Some(at) = self.0.iter().position(is_like) {
            self.0[at].number += product.number;
            if self.0[at].number == zero {
                self.0.remove(at);
            }
        } else if product.number != zero {
            self.0.push(product);
        }
    }

    /// The sum of both.
    #[must_use]
    pub fn plus(mut self, other: Self) -> Self {
        other.0.into_iter().for_each(|product| self.push(product));
        self
    }

    /// Times a number.
    #[must_use]
    pub fn scaled(mut self, number: Ratio<i64>) -> Self {
        if number == Ratio::from(0) {
            return Self::default();
        }
        (self.0.iter_mut()).for_each(|product| product.number *= number);
        self
    }

    /// The other way round.
    #[must_use]
    pub fn reversed(self) -> Self {
        self.scaled(Ratio::from(-1))
    }

    /// As a length of positive quantities: the other way round where every product counts minus. A
    /// difference keeps its sign, which only the data can tell.
    #[must_use]
    pub fn without_sign(self) -> Self {
        let is_negative = |product: &Product| product.number < Ratio::from(0);
        match self.0.iter().all(is_negative) {
            true => self.reversed(),
            false => self,
        }
    }

    /// Divided by one product, whose factors cancel where they stand.
    #[must_use]
    pub fn over(mut self, divisor: &Product) -> Self {
        for product in &mut self.0 {
            product.number /= divisor.number;
            for factor in &divisor.factors {
                match product.factors.iter().position(|it| it == factor) {
                    Some(at) => drop(product.factors.remove(at)),
                    None => product.factors.push(Factor::Over(Box::new(factor.clone()))),
                }
            }
        }
        self
    }

    /// Its value with those of the caller's quantities.
    pub fn value(&self, value: &dyn Fn(Id) -> f64) -> f64 {
        let products = self.0.iter().map(|product| {
            let over = *product.number.numer() as f64 / *product.number.denom() as f64;
            let factors = product.factors.iter().map(|factor| factor.value(value));
            over * factors.product::<f64>()
        });
        products.sum()
    }

    /// The caller's quantities in it.
    pub fn ids(&self) -> Vec<Id> {
        let factors = self.0.iter().flat_map(|product| &product.factors);
        factors.flat_map(Factor::ids).collect()
    }

    /// The same as one factor, where it is more than one product.
    #[must_use]
    pub fn into_one(self) -> Self {
        match self.0.len() {
            0 | 1 => self,
            _ => Self::of(Ratio::from(1), vec![Factor::Difference(Box::new(self))]),
        }
    }

    /// The factors that all products have, and the sum without them.
    pub fn shared(mut self) -> (Vec<Factor>, Self) {
        let (first, others) = match self.0.split_first() {
            Some((first, others)) => (first.factors.clone(), others),
            None => return (Vec::new(), self),
        };
        let mut shared: Vec<Factor> = Vec::new();
        let times = |of: &[Factor], factor: &Factor| of.iter().filter(|it| *it == factor).count();
        for factor in first {
            let wanted = times(&shared, &factor) + 1;
            if (others.iter()).all(|product| times(&product.factors, &factor) >= wanted) {
                shared.push(factor);
            }
        }
        for product in &mut self.0 {
            for factor in &shared {
                if let Some(at) = product.factors.iter().position(|it| it == factor) {
                    product.factors.remove(at);
                }
            }
        }
        (shared, self)
    }

    /// The same with a product that counts plus at its head, where it has one.
    #[must_use]
    pub fn positive_first(mut self) -> Self {
        let plus = (self.0.iter()).position(|it| it.number > Ratio::from(0));
        if let Some(at) = plus {
            let first = self.0.remove(at);
            self.0.insert(0, first);
        }
        self
    }

    /// Multiplied out, the factors of `self` first.
    #[must_use]
    pub fn times(&self, other: &Self) -> Self {
        let mut found = Self::default();
        for left in &self.0 {
            for right in &other.0 {
                let factors = left.factors.iter().chain(&right.factors).cloned().collect();
                found.push(Product {
                    number: left.number * right.number,
                    factors,
                });
            }
        }
        found
    }
}

/// Whether factors are the same in any order.
fn are_alike(left: &[Factor], right: &[Factor]) -> bool {
    let count = |of: &[Factor], factor: &Factor| of.iter().filter(|it| *it == factor).count();
    left.len() == right.len() && left.iter().all(|it| count(left, it) == count(right, it))
}

impl Factor {
    fn ids(&self) -> Vec<Id> {
        match self {
            Self::Of(id) => vec![*id],
            Self::Sine(angles) | Self::Cosine(angles) => angles.iter().map(|(_, id)| *id).collect(),
            Self::Slope { of, .. } => of.to_vec(),
            Self::Over(factor) => factor.ids(),
            Self::Pi => Vec::new(),
            Self::Difference(sum) => sum.ids(),
            Self::Length(parts) | Self::OverLength(parts) => {
                parts.iter().flat_map(Sum::ids).collect()
            }
        }
    }

    fn value(&self, value: &dyn Fn(Id) -> f64) -> f64 {
        let angle = |angles: &Angles| -> f64 {
            let signed = angles.iter();
            signed
                .map(|(sign, id)| sign.number() as f64 * value(*id))
                .sum()
        };
        let length = |parts: &[Sum; 2]| parts[0].value(value).hypot(parts[1].value(value));
        match self {
            Self::Of(id) => value(*id),
            Self::Sine(angles) => angle(angles).sin(),
            Self::Cosine(angles) => angle(angles).cos(),
            Self::Slope { leg, of } => value(*leg) / value(of[0]).hypot(value(of[1])),
            Self::Difference(sum) => sum.value(value),
            Self::Length(parts) => length(parts),
            Self::OverLength(parts) => 1.0 / length(parts),
            Self::Over(factor) => 1.0 / factor.value(value),
            Self::Pi => std::f64::consts::PI,
        }
    }
}
