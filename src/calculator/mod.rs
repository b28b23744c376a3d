//! Plain arithmetic as a reader's calculator does it: no units, no names, angles in radians; and
//! plain logic over named facts.
//!
//! It shares nothing with what computes the results of a worksheet, so that it can be asked
//! whether what is printed gives what is printed.

use std::f64::consts::PI;
use std::sync::LazyLock;

use evalexpr::{
    ContextWithMutableFunctions, ContextWithMutableVariables, EvalexprError, Function,
    HashMapContext, Value,
};

/// What is computed with.
type Context = HashMapContext;

/// What is keyed in cannot be computed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct Trouble(String);

/// How many radians one of a unit of angles is, where a calculator can be set to it; in any other
/// but the radian an angle cannot be keyed in.
pub fn setting(unit: &str) -> Option<f64> {
    match unit {
        "°" => Some(PI / 180.0),
        "gon" => Some(PI / 200.0),
        _ => None,
    }
}

/// The number that a row of keys gives: `(22e-3)/(122.7e-4)`.
///
/// Numbers are decimal, with `e` before a power of ten; signs are `+ - * / ^`; functions are
/// [`FUNCTIONS`], with their arguments in brackets.
///
/// # Errors
/// When the row cannot be read, or what it gives is no number.
pub fn reckon(keys: &str) -> Result<f64, Trouble> {
    static CONTEXT: LazyLock<Result<Context, EvalexprError>> = LazyLock::new(context);
    let trouble = |error: &EvalexprError| Trouble(error.to_string());
    let context = CONTEXT.as_ref().map_err(trouble)?;
    let found = evalexpr::eval_number_with_context(keys, context);
    let found = found.map_err(|error| trouble(&error))?;
    match found.is_finite() {
        true => Ok(found),
        false => Err(Trouble("it gives no number".to_owned())),
    }
}

/// What a name stands for in a condition.
#[derive(Debug, Clone, PartialEq)]
pub enum Fact {
    /// A text.
    Text(String),
    /// Several.
    Texts(Vec<String>),
    /// A whole number.
    Whole(i64),
    /// Any other.
    // Nothing has such a fact yet.
    #[allow(dead_code)]
    Decimal(f64),
}

/// Whether a row of keys holds: comparisons, joined by `&&`, `||` and `!`, and
/// `contains(texts, text)`.
///
/// # Errors
/// When the row cannot be read, or what it gives is neither true nor false.
pub fn holds<'f>(
    keys: &str,
    facts: impl IntoIterator<Item = (&'f str, &'f Fact)>,
) -> Result<bool, Trouble> {
    let trouble = |error: EvalexprError| Trouble(error.to_string());
    let mut context = Context::new();
    for (name, fact) in facts {
        let value = match fact {
            Fact::Text(text) => Value::String(text.clone()),
            Fact::Texts(all) => Value::Tuple(all.iter().cloned().map(Value::String).collect()),
            Fact::Whole(number) => Value::Int(*number),
            Fact::Decimal(number) => Value::Float(*number),
        };
        context.set_value(name.to_owned(), value).map_err(trouble)?;
    }
    evalexpr::eval_boolean_with_context(keys, &context).map_err(trouble)
}

/// A function of some numbers.
type Plain = fn(&[f64]) -> f64;

/// The functions that it has, and how many numbers each takes; `None` for any number.
pub const FUNCTIONS: &[(&str, Option<usize>, Plain)] = &[
    ("abs", Some(1), |x| x[0].abs()),
    ("acos", Some(1), |x| x[0].acos()),
    ("asin", Some(1), |x| x[0].asin()),
    ("atan", Some(1), |x| x[0].atan()),
    ("atan2", Some(2), |x| x[0].atan2(x[1])),
    ("cbrt", Some(1), |x| x[0].cbrt()),
    ("ceil", Some(1), |x| x[0].ceil()),
    ("cos", Some(1), |x| x[0].cos()),
    ("cosh", Some(1), |x| x[0].cosh()),
    ("exp", Some(1), |x| x[0].exp()),
    ("floor", Some(1), |x| x[0].floor()),
    ("ln", Some(1), |x| x[0].ln()),
    ("log10", Some(1), |x| x[0].log10()),
    ("log2", Some(1), |x| x[0].log2()),
    ("max", None, |x| {
        x.iter().copied().fold(f64::NEG_INFINITY, f64::max)
    }),
    ("mean", None, |x| x.iter().sum::<f64>() / x.len() as f64),
    ("min", None, |x| {
        x.iter().copied().fold(f64::INFINITY, f64::min)
    }),
    ("round", Some(1), |x| x[0].round()),
    ("sign", Some(1), |x| match x[0] {
        0.0 => 0.0,
        x => x.signum(),
    }),
    ("sin", Some(1), |x| x[0].sin()),
    ("sinh", Some(1), |x| x[0].sinh()),
    ("sqrt", Some(1), |x| x[0].sqrt()),
    ("sum", None, |x| x.iter().sum()),
    ("tan", Some(1), |x| x[0].tan()),
    ("tanh", Some(1), |x| x[0].tanh()),
];

fn context() -> Result<Context, EvalexprError> {
    let mut context = Context::new();
    for (name, count, plain) in FUNCTIONS {
        let function = Function::new(move |argument| {
            let arguments = match argument {
                Value::Tuple(all) => all.iter().map(Value::as_number).collect(),
                one => one.as_number().map(|one| vec![one]),
            };
            let arguments: Vec<f64> = arguments?;
            match count.is_none_or(|count| count == arguments.len()) && !arguments.is_empty() {
                true => Ok(Value::Float(plain(&arguments))),
                false => Err(EvalexprError::CustomMessage(format!(
                    "{name} of {} numbers",
                    arguments.len()
                ))),
            }
        });
        context.set_function((*name).to_owned(), function)?;
    }
    Ok(context)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_of_keys_give_their_numbers() {
        let rows = [
            ("1.0/2.0", 0.5),
            ("(22e-3)/(122.7e-4)", 22e-3 / 122.7e-4),
            ("-(2.0^2.0)*3.0", -12.0),
            ("sqrt(2.0*9.81*1.5)", 29.43_f64.sqrt()),
            ("max(1.0, 3.0, 2.0) - min(4.0, 3.0)", 0.0),
            ("mean(1.0, 2.0, 6.0)", 3.0),
            ("atan2(1.0, -1.0)", 0.75 * std::f64::consts::PI),
        ];
        for (keys, number) in rows {
            let found = reckon(keys).expect(keys);
            assert!((found - number).abs() < 1e-14, "{keys}: {found}");
        }
    }

    #[test]
    fn what_gives_no_number_is_told() {
        for keys in [
            "1.0/0.0",
            "sqrt(-1.0)",
            "p_1 + 2.0",
            "sin(1.0, 2.0)",
            "2.0 +",
            "(",
        ] {
            assert!(reckon(keys).is_err(), "{keys}");
        }
    }
}
