//! `y rises with x` and its kin: how a result goes with a given, in `check`.
//!
//! Whether the name that changes is a given is left to others.

use super::super::formula::negative;
use super::super::grammar::{Pair, Pairs, Rule};
use super::super::reader::{Read, Reader, error, part};
use super::super::tokens::words;
use super::super::{BlockKind, Expr, ExprKind, Factor, Name, Number, Operator};
use super::Part;
use crate::diagnostic::{Code, Diagnostic};
use crate::text::Span;

/// How one quantity goes with another.
#[derive(Debug, Clone, PartialEq)]
pub struct Trend {
    /// What is looked at.
    pub subject: Expr,
    /// How it goes.
    pub way: Way,
    /// The given that changes.
    pub with: Name,
    /// `within 5 %`, after `varies as`.
    pub within: Option<Expr>,
}

/// The way of a trend.
#[derive(Debug, Clone, PartialEq)]
pub enum Way {
    /// `rises with`
    Rises,
    /// `falls with`
    Falls,
    /// `does not depend on`
    Independent,
    /// `varies as x^2`: the exponent, a plain number or formula of plain numbers; 1 when none is
    /// written.
    Power(Option<Box<Expr>>),
}

impl Trend {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        take(Part::Expr(&self.subject));
        take(Part::Name(&self.with));
        if let Way::Power(Some(exponent)) = &self.way {
            take(Part::Expr(exponent));
        }
        self.within.iter().for_each(|it| take(Part::Expr(it)));
    }
}

/// A power of one quantity, as it is written.
struct Shape {
    base: Name,
    exponent: Option<Box<Expr>>,
}

impl Reader<'_> {
    pub(super) fn trend(&mut self, mut pairs: Pairs<'_>) -> Read<Trend> {
        let (Some(subject), Some(way), with) = (pairs.next(), pairs.next(), pairs.next()) else {
            return Err(self.nothing());
        };
        let subject = self.expr(subject)?;
        let way = match way.as_rule() {
            Rule::rises => Way::Rises,
            Rule::falls => Way::Falls,
            Rule::independent => Way::Independent,
            _ => return self.varies(subject, way),
        };
        let with = with.filter(|with| with.as_rule() == Rule::name);
        let with = with.ok_or_else(|| self.nothing())?;
        Ok(Trend {
            subject,
            way,
            with: self.name(&with),
            within: None,
        })
    }

    /// `varies as x^2 within 5 %`.
    fn varies(&mut self, subject: Expr, pair: Pair<'_>) -> Read<Trend> {
        let mut written = None;
        let mut within = None;
        for part in pair.into_inner() {
            match part.as_rule() {
                Rule::expr => written = Some(self.expr(part)?),
                Rule::within => within = self.within(part)?,
                _ => {}
            }
        }
        let written = written.ok_or_else(|| self.nothing())?;
        let Some(shape) = shape(&written) else {
            return Err(no_power(self, &subject, written.span));
        };
        Ok(Trend {
            subject,
            way: Way::Power(shape.exponent),
            with: shape.base,
            within,
        })
    }
}

/// `x`, `x^2`, `1/x`, `1/x^2`, `sqrt(x)`, `cbrt(x)` as a power of `x`.
fn shape(written: &Expr) -> Option<Shape> {
    match &written.kind {
        ExprKind::Name(name) => Some(Shape {
            base: name.clone(),
            exponent: None,
        }),
        ExprKind::Group(inner) => shape(inner),
        ExprKind::Power(base, exponent) => match shape(base)? {
            Shape {
                base,
                exponent: None,
            } if is_of_numbers(exponent) => Some(Shape {
                base,
                exponent: Some(exponent.clone()),
            }),
            _ => None,
        },
        ExprKind::Call {
            name, arguments, ..
        } => root(&name.key, arguments, written.span),
        ExprKind::Product(factors) => reciprocal(factors, written.span),
        _ => None,
    }
}

/// `sqrt(x)`: the exponent is `(1/2)`, as it would be written.
fn root(function: &str, arguments: &[Expr], span: Span) -> Option<Shape> {
    let degree = match function {
        "sqrt" => 2.0,
        "cbrt" => 3.0,
        _ => return None,
    };
    let [argument] = arguments else {
        return None;
    };
    let Shape {
        base,
        exponent: None,
    } = shape(argument)?
    else {
        return None;
    };
    let factor = |operator, value| Factor {
        operator,
        expr: number(value, span),
    };
    let fraction = vec![
        factor(Operator::Juxtapose, 1.0),
        factor(Operator::Divide, degree),
    ];
    let fraction = Expr {
        span,
        kind: ExprKind::Product(fraction),
    };
    let exponent = Expr {
        span,
        kind: ExprKind::Group(Box::new(fraction)),
    };
    Some(Shape {
        base,
        exponent: Some(Box::new(exponent)),
    })
}

/// `1/x^2`: the exponent is that below the slash with a minus before it.
fn reciprocal(factors: &[Factor], span: Span) -> Option<Shape> {
    let [above, below] = factors else {
        return None;
    };
    let is_one = matches!(above.expr.kind, ExprKind::Number(number) if number.value == 1.0);
    if !is_one || below.operator != Operator::Divide {
        return None;
    }
    let Shape { base, exponent } = shape(&below.expr)?;
    let inner = exponent.map_or_else(|| number(1.0, span), |exponent| *exponent);
    Some(Shape {
        base,
        exponent: Some(Box::new(negative(span, inner))),
    })
}

fn number(value: f64, span: Span) -> Expr {
    Expr {
        span,
        kind: ExprKind::Number(Number { span, value }),
    }
}

/// Whether a formula holds plain numbers only.
fn is_of_numbers(expr: &Expr) -> bool {
    match &expr.kind {
        ExprKind::Number(_) => true,
        ExprKind::Sum(terms) => terms.iter().all(|term| is_of_numbers(&term.expr)),
        ExprKind::Product(factors) => factors.iter().all(|factor| is_of_numbers(&factor.expr)),
        ExprKind::Power(base, exponent) => is_of_numbers(base) && is_of_numbers(exponent),
        ExprKind::Negative(inner) | ExprKind::Group(inner) => is_of_numbers(inner),
        _ => false,
    }
}

/// `y varies as 2 x`.
fn no_power(reader: &Reader<'_>, subject: &Expr, span: Span) -> Box<Diagnostic> {
    let (subject, written) = (reader.slice(subject.span), reader.slice(span));
    Box::new(
        Diagnostic::error(
            Code::S01,
            span,
            format!("`{written}` is no power of one quantity by a plain number"),
        )
        .with_help(format!(
            "`{subject} varies as x^2`, or as `x`, `1/x`, `x^(1/2)`, `sqrt(x)`; a constant factor is left out"
        )),
    )
}

// ---- what is said -----------------------------------------------------------------------------

/// Words that join the parts of a trend or limit, and words that an author might hold for such.
const OF_TRENDS: &[&str] = &[
    "as",
    "decreases",
    "depend",
    "dependent",
    "depends",
    "does",
    "falls",
    "grows",
    "increases",
    "proportional",
    "rises",
    "varies",
    "with",
];

/// `varies with`, `rises as`, `does depend on`.
pub(super) fn unread(_: BlockKind, body: &str, start: usize) -> Option<Box<Diagnostic>> {
    let words: Vec<_> = words(body).collect();
    if let Some(does) = words.iter().position(|(_, word)| *word == "does") {
        return other_dependence(body, start, words.get(does..)?);
    }
    for pair in words.windows(2) {
        let [(at, word), (next_at, next)] = *pair else {
            break;
        };
        let subject = body.get(..at).unwrap_or("").trim_end();
        let object = body.get(next_at + next.len()..).unwrap_or("").trim();
        let help = match (word, next) {
            ("varies", "with") => {
                format!("`{subject} varies as {object}`, or `rises with`, or `falls with`")
            }
            ("rises" | "falls", "as") => {
                format!("`{subject} {word} with x`, or for a power `{subject} varies as {object}`")
            }
            _ => continue,
        };
        let wanted = if word == "varies" { "as" } else { "with" };
        let joined = part(start, next_at, next_at + next.len());
        let opened = part(start, at, at + word.len());
        let refusal = error(
            Code::S01,
            joined,
            format!("`{word}` goes with `{wanted}`, not with `{next}`"),
            help,
        );
        let line = part(start, 0, body.trim_end().len());
        let others: &[(Span, &str)] = match word {
            "varies" => &[(joined, "as"), (opened, "rises"), (opened, "falls")],
            _ => &[(joined, "with"), (opened, "varies")],
        };
        let reader = Reader::new(body, start);
        let fixes = others
            .iter()
            .filter_map(|edit| reader.choice(line, std::slice::from_ref(edit)));
        return Some(Box::new(refusal.with_fixes(fixes)));
    }
    None
}

/// `does not depend of x`; `words` begin at `does`.
fn other_dependence(body: &str, start: usize, words: &[(usize, &str)]) -> Option<Box<Diagnostic>> {
    let [(at, does), rest @ ..] = words else {
        return None;
    };
    if let [(_, "not"), (_, "depend"), (_, "on"), ..] = rest {
        return None;
    }
    let subject = body.get(..*at).unwrap_or("").trim_end();
    let object = rest.last().map_or("x", |(_, word)| *word);
    let refusal = error(
        Code::S01,
        Span::new(start + at, start + at + does.len()),
        "`does` goes with `not depend on`".to_owned(),
        format!("`{subject} does not depend on {object}`"),
    );
    let fix = match rest {
        [.., (object_at, _)] if rest.iter().any(|(_, word)| *word == "not") => {
            let words = part(start, *at, *object_at);
            let line = part(start, 0, body.trim_end().len());
            Reader::new(body, start).choice(line, &[(words, "does not depend on ")])
        }
        _ => None,
    };
    Some(Box::new(refusal.with_fixes(fix)))
}

/// The words that join a trend, where no name can be meant.
pub(super) fn joined(body: &str) -> Option<(usize, &str)> {
    let mut words = words(body).peekable();
    while let Some((at, word)) = words.next() {
        let next = words.peek().map_or("", |(_, next)| *next);
        let is_trend = match word {
            "rises" | "falls" | "varies" => matches!(next, "with" | "as"),
            "does" => next == "not",
            _ => false,
        };
        if is_trend {
            return Some((at, word));
        }
    }
    None
}

/// Whether a line of `check` that is no comparison was meant to be a trend.
pub(super) fn is_meant(body: &str) -> bool {
    words(body).any(|(at, word)| at > 0 && OF_TRENDS.contains(&word))
}
