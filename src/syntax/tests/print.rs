//! Formulas back to text: the author's form in ASCII, with one way of spacing.
//!
//! What is printed parses to the same tree, places aside. Numbers are printed by value.

use crate::syntax::{
    Amount, Case, Check, Datum, Distribution, Expr, ExprKind, Literal, Magnitude, Number, Operator,
    Relation, Share, Sharing, Size, SizeTerm, UnitExpr, Which,
};
use std::fmt::{self, Write};

/// Writes a formula as an author would, in ASCII.
pub fn print_expr(expr: &Expr) -> String {
    let mut out = String::new();
    // Writing to a string cannot fail.
    let _ = write_expr(&mut out, expr);
    out
}

fn write_expr(out: &mut String, expr: &Expr) -> fmt::Result {
    match &expr.kind {
        ExprKind::Number(number) => write_number(out, number.value),
        ExprKind::Quantity(literal) => write_literal(out, literal),
        ExprKind::Name(name) => out.write_str(&name.key),
        ExprKind::Sum(terms) => {
            for (index, term) in terms.iter().enumerate() {
                out.write_str(match (index, term.negative) {
                    (0, false) => "",
                    (0, true) => "-",
                    (_, false) => " + ",
                    (_, true) => " - ",
                })?;
                write_expr(out, &term.expr)?;
            }
            Ok(())
        }
        ExprKind::Product(factors) => {
            for (index, factor) in factors.iter().enumerate() {
                out.write_str(match (index, factor.operator) {
                    (0, _) => "",
                    (_, Operator::Juxtapose) => " ",
                    (_, Operator::Times) => "*",
                    (_, Operator::Divide) => "/",
                })?;
                write_expr(out, &factor.expr)?;
            }
            Ok(())
        }
        ExprKind::Power(base, exponent) => write_power(out, base, exponent),
        ExprKind::Negative(inner) => {
            out.write_char('-')?;
            write_expr(out, inner)
        }
        ExprKind::Group(inner) => write_between(out, "(", inner, ")"),
        ExprKind::Abs(inner) => write_between(out, "|", inner, "|"),
        ExprKind::Call {
            name,
            arguments,
            bracketed,
        } => {
            out.write_str(&name.key)?;
            match arguments.as_slice() {
                [only] if !bracketed => {
                    out.write_char(' ')?;
                    write_expr(out, only)
                }
                _ => write_row(out, "(", arguments, ")"),
            }
        }
        ExprKind::List(items) => write_row(out, "[", items, "]"),
        ExprKind::Vector(components) => write_row(out, "(", components, ")"),
        ExprKind::Component(name, axis) => write!(out, "{}.{}", name.key, axis.letter()),
        ExprKind::Cases(cases) => write_cases(out, cases),
        ExprKind::Where(list, which) => {
            write_expr(out, list)?;
            out.write_str(" where ")?;
            write_which(out, which)
        }
        ExprKind::Constant(words) => write!(out, "constant({})", words.text),
    }
}

fn write_power(out: &mut String, base: &Expr, exponent: &Expr) -> fmt::Result {
    write_expr(out, base)?;
    out.write_char('^')?;
    write_expr(out, exponent)
}

fn write_between(out: &mut String, open: &str, inner: &Expr, close: &str) -> fmt::Result {
    out.write_str(open)?;
    write_expr(out, inner)?;
    out.write_str(close)
}

fn write_row(out: &mut String, open: &str, items: &[Expr], close: &str) -> fmt::Result {
    out.write_str(open)?;
    for (index, item) in items.iter().enumerate() {
        if index > 0 {
            out.write_str(", ")?;
        }
        write_expr(out, item)?;
    }
    out.write_str(close)
}

fn write_numbers(out: &mut String, open: &str, numbers: &[Number], close: &str) -> fmt::Result {
    out.write_str(open)?;
    for (index, number) in numbers.iter().enumerate() {
        if index > 0 {
            out.write_str(", ")?;
        }
        write_number(out, number.value)?;
    }
    out.write_str(close)
}

fn write_cases(out: &mut String, cases: &[Case]) -> fmt::Result {
    out.write_str("cases(")?;
    for (index, case) in cases.iter().enumerate() {
        if index > 0 {
            out.write_str(", ")?;
        }
        write_expr(out, &case.value)?;
        match &case.condition {
            Some(condition) => {
                out.write_str(" for ")?;
                write_check(out, condition)?;
            }
            None => out.write_str(" otherwise")?,
        }
    }
    out.write_char(')')
}

fn write_check(out: &mut String, check: &Check) -> fmt::Result {
    let mut relations = check.relations.iter();
    for (index, member) in check.members.iter().enumerate() {
        if index > 0 {
            let relation = match relations.next() {
                Some(Relation::Less) => " < ",
                Some(Relation::LessOrEqual) => " <= ",
                Some(Relation::Greater) => " > ",
                Some(Relation::GreaterOrEqual) => " >= ",
                Some(Relation::Equal) | None => " = ",
            };
            out.write_str(relation)?;
        }
        write_expr(out, member)?;
    }
    Ok(())
}

fn write_number(out: &mut String, value: f64) -> fmt::Result {
    if value == 0.0 || (1e-5..1e15).contains(&value.abs()) {
        write!(out, "{value}")
    } else {
        write!(out, "{value:e}")
    }
}

fn write_magnitude(out: &mut String, magnitude: &Magnitude) -> fmt::Result {
    match magnitude {
        Magnitude::One(number) => write_number(out, number.value),
        Magnitude::Fraction(above, below) => {
            write_number(out, above.value)?;
            out.write_char('/')?;
            write_number(out, below.value)
        }
        Magnitude::Mixed(whole, above, below) => {
            write_number(out, whole.value)?;
            write!(out, " {}/{}", above.value, below.value)
        }
        Magnitude::List(numbers) => write_numbers(out, "[", numbers, "]"),
        Magnitude::Vector(numbers) => write_numbers(out, "(", numbers, ")"),
    }
}

fn write_literal(out: &mut String, literal: &Literal) -> fmt::Result {
    for (magnitude, unit) in &literal.larger {
        write_magnitude(out, magnitude)?;
        out.write_char(' ')?;
        write_unit(out, unit)?;
        out.write_char(' ')?;
    }
    write_magnitude(out, &literal.magnitude)?;
    if let Some(unit) = &literal.unit {
        out.write_char(' ')?;
        write_unit(out, unit)?;
    }
    out.write_str(match literal.datum {
        None => "",
        Some(Datum::Gauge) => " gauge",
        Some(Datum::Absolute) => " abs",
        Some(Datum::Difference) => " difference",
    })?;
    for size in &literal.sizes {
        write_size(out, size, literal.unit.as_ref())?;
    }
    Ok(())
}

fn write_size(out: &mut String, size: &Size, unit: Option<&UnitExpr>) -> fmt::Result {
    match &size.amount {
        Amount::Counts => return out.write_str(" (Poisson)"),
        Amount::Resolution(step) => {
            out.write_str(" (resolution ")?;
            write_term(out, step, unit)?;
            out.write_char(')')?;
        }
        Amount::Concise(term) => {
            out.write_str(" +/- ")?;
            write_term(out, term, unit)?;
        }
        Amount::Sum(terms) => {
            let is_sum = terms.len() > 1;
            out.write_str(if is_sum { " +/- (" } else { " +/- " })?;
            for (at, term) in terms.iter().enumerate() {
                out.write_str(if at > 0 { " + " } else { "" })?;
                write_term(out, term, unit)?;
            }
            out.write_str(if is_sum { ")" } else { "" })?;
        }
    }
    let mut words = Vec::new();
    match size.how.distribution {
        Distribution::Rectangular => words.push("rectangular".to_owned()),
        Distribution::Triangular => words.push("triangular".to_owned()),
        Distribution::Arcsine => words.push("arcsine".to_owned()),
        Distribution::Normal | Distribution::Resolution | Distribution::Poisson => {}
    }
    if size.how.coverage != 1.0 {
        words.push(format!("k={}", size.how.coverage));
    }
    words.extend(size.how.level.map(|level| format!("{} %", level * 100.0)));
    if size.how.degrees.is_finite() {
        words.push(format!("{} degrees of freedom", size.how.degrees));
    }
    if !words.is_empty() {
        write!(out, " ({})", words.join(", "))?;
    }
    out.write_str(match size.sharing {
        None => "",
        Some(Sharing::Each) => " each",
        Some(Sharing::Common) => " common",
    })
}

fn write_term(out: &mut String, term: &SizeTerm, unit: Option<&UnitExpr>) -> fmt::Result {
    match &term.share {
        Some(share) => {
            write_number(out, term.value * 100.0)?;
            out.write_str(" %")?;
            if let Share::Of(of, unit, _) = share {
                out.write_str(" of ")?;
                write_number(out, of.value)?;
                out.write_char(' ')?;
                write_unit(out, unit)?;
            }
        }
        None => {
            write_number(out, term.value)?;
            if let Some(unit) = term.unit.as_ref().or(unit) {
                out.write_char(' ')?;
                write_unit(out, unit)?;
            }
        }
    }
    Ok(())
}

/// Factors above the slash, then each factor below with a slash of its own.
fn write_unit(out: &mut String, unit: &UnitExpr) -> fmt::Result {
    for (index, factor) in unit.factors.iter().enumerate() {
        let symbol = if factor.symbol.is_empty() {
            "1"
        } else {
            &factor.symbol
        };
        let power = if factor.below {
            -factor.power
        } else {
            factor.power
        };
        out.write_str(match (index, factor.below) {
            (0, _) => "",
            (_, false) => "*",
            (_, true) => "/",
        })?;
        out.write_str(symbol)?;
        match (power, factor.root) {
            (1, 1) => {}
            (power, 1) => write!(out, "^{power}")?,
            (power, root) => write!(out, "^({power}/{root})")?,
        }
    }
    Ok(())
}

fn write_which(out: &mut String, which: &Which) -> fmt::Result {
    let mut row = |parts: &[Which], joint: &str| {
        for (index, part) in parts.iter().enumerate() {
            if index > 0 {
                write!(out, " {joint} ")?;
            }
            out.write_char('(')?;
            write_which(out, part)?;
            out.write_char(')')?;
        }
        Ok(())
    };
    match which {
        Which::Compared(check) => write_check(out, check),
        Which::Words { heading, words } => write!(out, "{} = \"{}\"", heading.text, words.text),
        Which::Not(inner) => {
            out.write_str("not (")?;
            write_which(out, inner)?;
            out.write_char(')')
        }
        Which::All(parts) => row(parts, "and"),
        Which::Any(parts) => row(parts, "or"),
    }
}
