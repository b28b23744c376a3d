//! The changes that people make of a balance: of each of its terms, and of the parts of one.

use super::super::premises::symbols_of;
use crate::diagnostic::Code;
use crate::functions::Function;
use crate::resolve::statement::{Meant, WrittenTerm};
use crate::resolve::{Expr, ExprKind, Factor, Term};
use crate::syntax::Operator;

/// The terms of a balance, with the parts that people write them in.
pub(super) struct Terms {
    /// The terms as they are derived.
    pub whole: Vec<WrittenTerm>,
    /// Of each the sums that it may be written as: by its components, by the terms of a bracket.
    sums: Vec<Vec<Vec<WrittenTerm>>>,
}

/// Where in a balance a change is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Place {
    /// The number of the term.
    pub at: usize,
    /// Of which sum it is a part, and which one, where it is not the whole term.
    part: Option<(usize, usize)>,
}

/// A change that people make.
pub(super) struct Change {
    pub code: Code,
    pub place: Place,
    pub instead: Instead,
    /// What is said of it.
    pub words: String,
}

/// What stands in the place of a term, or of a part of one.
pub(super) enum Instead {
    /// So many times the same.
    Times(f64),
    /// Another formula.
    Other(WrittenTerm),
}

impl Change {
    fn new(code: Code, place: Place, instead: Instead, words: &str) -> Self {
        Self {
            code,
            place,
            instead,
            words: words.to_owned(),
        }
    }

    /// Whether nothing stands in its place.
    pub fn is_left_out(&self) -> bool {
        matches!(self.instead, Instead::Times(0.0))
    }
}

impl Place {
    /// Whether both may be changed at once.
    pub fn is_beside(self, other: Self) -> bool {
        match (self.part, other.part) {
            _ if self.at != other.at => true,
            (Some((sum, one)), Some((same, two))) => sum == same && one != two,
            _ => false,
        }
    }

    pub fn is_a_part(self) -> bool {
        self.part.is_some()
    }
}

impl Terms {
    /// The terms of a balance.
    pub fn new(meant: &Meant) -> Self {
        let whole = meant.written.terms.clone();
        let mut sums = meant.components();
        sums.resize_with(whole.len(), Vec::new);
        let sums = (whole.iter().zip(sums))
            .map(|(term, components)| {
                let own = match components.is_empty() {
                    true => std::slice::from_ref(term),
                    false => &components[..],
                };
                let products: Vec<WrittenTerm> = own.iter().flat_map(multiplied_out).collect();
                let is_more = products.len() > own.len();
                vec![components, if is_more { products } else { Vec::new() }]
            })
            .collect();
        Self { whole, sums }
    }

    /// What is changed there.
    pub fn at(&self, place: Place) -> &WrittenTerm {
        match place.part {
            Some((sum, part)) => &self.sums[place.at][sum][part],
            None => &self.whole[place.at],
        }
    }

    /// All places: terms before components, and these before the products in them.
    pub fn places(&self) -> impl Iterator<Item = Place> {
        let whole = (0..self.whole.len()).map(|at| Place { at, part: None });
        let parts = (0..2).flat_map(move |sum| {
            (0..self.whole.len()).flat_map(move |at| {
                (0..self.sums[at][sum].len()).map(move |part| Place {
                    at,
                    part: Some((sum, part)),
                })
            })
        });
        whole.chain(parts)
    }

    /// The terms with changes of some of them.
    pub fn changed(&self, changes: &[&Change]) -> Vec<WrittenTerm> {
        let mut found = Vec::with_capacity(self.whole.len() + 1);
        for (at, term) in self.whole.iter().enumerate() {
            let own = changes.iter().filter(|it| it.place.at == at);
            let sum = own.clone().find_map(|it| it.place.part);
            let parts = match sum {
                Some((sum, _)) => &self.sums[at][sum][..],
                None => std::slice::from_ref(term),
            };
            for (number, part) in parts.iter().enumerate() {
                let is_of_it = |it: &&&Change| it.place.part.is_none_or(|(_, part)| part == number);
                match own.clone().find(is_of_it) {
                    Some(change) => found.extend(change.instead.of(part)),
                    None => found.push(part.clone()),
                }
            }
        }
        found
    }

    /// The changes that people make, the commonest first.
    pub fn changes(&self, meant: &Meant, text: &str) -> Vec<Change> {
        let is_of = |place: &Place, sum: Option<usize>| place.part.map(|(sum, _)| sum) == sum;
        let signs = |sum: Option<usize>| {
            let places = self.places().filter(move |place| is_of(place, sum));
            places.flat_map(|place| {
                let times = |factor| Instead::Times(factor);
                [
                    Change::new(Code::B02, place, times(0.0), "it is missing"),
                    Change::new(Code::B03, place, times(-1.0), "its sign is wrong"),
                ]
            })
        };
        let mut found = Vec::new();
        // A factor on the whole may leave as much as one component.
        for sum in [None, Some(0)] {
            found.extend(signs(sum));
            let places = self.places().filter(|place| is_of(place, sum));
            found.extend(places.flat_map(|place| other_forms(self.at(place), place)));
        }
        found.extend(meant.mistaken(text).into_iter().map(|mistaken| Change {
            code: Code::B04,
            place: Place {
                at: mistaken.at,
                part: mistaken.component.map(|component| (0, component)),
            },
            instead: Instead::Other(mistaken.instead),
            words: mistaken.words,
        }));
        // Of the products of a bracket other forms would be those of the whole.
        found.extend(signs(Some(1)));
        found
    }
}

/// A term in another form, or with a factor.
fn other_forms(term: &WrittenTerm, place: Place) -> Vec<Change> {
    let mut found = Vec::new();
    let forms = [
        (exchanged(&term.formula), "sine and cosine are exchanged"),
        (whole(&term.formula), "no component is taken of it"),
    ];
    for (formula, words) in forms {
        let Some(formula) = formula else {
            continue;
        };
        for is_negative in [!term.is_negative, term.is_negative] {
            let instead = WrittenTerm {
                formula: formula.clone(),
                is_negative,
                ..term.clone()
            };
            found.push(Change::new(
                Code::B04,
                place,
                Instead::Other(instead),
                words,
            ));
        }
    }
    for (factor, words) in [(2.0, "counts twice here"), (0.5, "counts half here")] {
        found.push(Change::new(Code::B07, place, Instead::Times(factor), words));
    }
    found
}

impl Instead {
    /// What stands in the place of a term.
    fn of(&self, term: &WrittenTerm) -> Option<WrittenTerm> {
        let factor = match self {
            Self::Other(instead) => return Some(instead.clone()),
            Self::Times(0.0) => return None,
            Self::Times(factor) => factor,
        };
        let formula = match factor.abs() {
            1.0 => term.formula.clone(),
            size if size < 1.0 => times(&term.formula, 1.0 / size, Operator::Divide),
            size => times(&term.formula, size, Operator::Times),
        };
        Some(WrittenTerm {
            formula,
            is_negative: term.is_negative != (*factor < 0.0),
            ..term.clone()
        })
    }
}

/// The products that a term is with its first bracket of a sum multiplied out; itself where it has
/// none.
fn multiplied_out(term: &WrittenTerm) -> Vec<WrittenTerm> {
    let parts = bracket(&term.formula);
    if parts.is_empty() {
        return vec![term.clone()];
    }
    let part = |(is_negative, _, formula)| WrittenTerm {
        formula,
        is_negative: term.is_negative != is_negative,
        ..term.clone()
    };
    parts.into_iter().map(part).collect()
}

/// The terms of the first bracket among the factors of a product, each with the sign that it has
/// there and times the other factors; none where there is no such bracket.
pub(super) fn bracket(formula: &Expr) -> Vec<(bool, Expr, Expr)> {
    let ExprKind::Product(factors) = &formula.inside().kind else {
        return Vec::new();
    };
    let sum_in = |factor: &Factor| match (&factor.operator, &factor.expr.inside().kind) {
        (Operator::Divide, _) => None,
        (_, ExprKind::Sum(terms)) => Some(terms.clone()),
        _ => None,
    };
    let Some((at, terms)) =
        (factors.iter().enumerate()).find_map(|(at, factor)| Some((at, sum_in(factor)?)))
    else {
        return Vec::new();
    };
    let product = |term: &Term| {
        let mut factors = factors.to_vec();
        let is_plain = |it: &Factor| it.operator == Operator::Juxtapose;
        match &term.expr.kind {
            // A product of names needs no brackets among factors.
            ExprKind::Product(own) if own.iter().all(is_plain) => {
                drop(factors.splice(at..=at, own.iter().cloned()));
            }
            ExprKind::Product(_) | ExprKind::Sum(_) | ExprKind::Negative(_) => {
                factors[at].expr = super::grouped(&term.expr);
            }
            _ => factors[at].expr = term.expr.clone(),
        }
        let whole = Expr {
            span: formula.span,
            kind: ExprKind::Product(factors.into()),
        };
        (term.negative, term.expr.clone(), whole)
    };
    terms.iter().map(product).collect()
}

/// Whether two formulas are of one thing: they have a name in common.
pub(super) fn have_a_name_in_common(one: &Expr, other: &Expr) -> bool {
    let [one, other] = [one, other].map(|it| symbols_of(std::iter::once(it)));
    !one.is_disjoint(&other)
}

/// Sines for cosines and the other way round; nothing where there are none.
fn exchanged(formula: &Expr) -> Option<Expr> {
    let mut other = formula.clone();
    let mut is_changed = false;
    other.change(&mut |part| {
        if let ExprKind::Call { function, .. } = &mut part.kind {
            let exchanged = match function {
                Function::Sin => Function::Cos,
                Function::Cos => Function::Sin,
                _ => return,
            };
            *function = exchanged;
            is_changed = true;
        }
    });
    is_changed.then_some(other)
}

/// Without sines and cosines; nothing where there are none.
fn whole(formula: &Expr) -> Option<Expr> {
    let mut other = formula.clone();
    let mut is_changed = false;
    other.change(&mut |part| {
        let is_component = matches!(
            part.kind,
            ExprKind::Call {
                function: Function::Sin | Function::Cos,
                ..
            }
        );
        if is_component {
            part.kind = ExprKind::Numeral(1.0);
            is_changed = true;
        }
    });
    is_changed.then_some(other)
}

/// A formula times a number, or over it.
fn times(formula: &Expr, number: f64, operator: Operator) -> Expr {
    let expr = |kind| Expr {
        span: formula.span,
        kind,
    };
    let grouped = super::grouped(formula);
    let number = expr(ExprKind::Numeral(number));
    let factors = [(Operator::Juxtapose, grouped), (operator, number)];
    let factors = factors.map(|(operator, expr)| Factor { operator, expr });
    expr(ExprKind::Product(factors.into()))
}
