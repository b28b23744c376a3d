//! Values of functions of the language against those computed elsewhere.

use setsquare::functions::Function;

use super::report::{agree, cases, list, text};

#[test]
fn functions_have_the_values_computed_elsewhere() {
    let cases = cases("functions.json");
    for case in &cases {
        let name = text(case, "function");
        let function = Function::named(name).unwrap_or_else(|| panic!("{name}"));
        let number = |digits: &str| -> f64 { digits.parse().unwrap_or_else(|_| panic!("{case}")) };
        let arguments = list(case, "arguments").iter();
        let arguments: Vec<f64> = arguments
            .map(|digits| number(digits.as_str().unwrap_or_default()))
            .collect();
        let (found, known) = (function.value(&arguments), number(text(case, "value")));
        assert!(agree(found, known, 1e-13, 1e-14), "{case}: {found}");
    }
    // Those that every calculator has are compared with one in `src/functions`, and those that are
    // no functions of plain numbers alone in `lists.rs`.
    let is_of_numbers = |function: &&Function| {
        !(function.joins_rows() || function.takes_lists() || function.is_of_uncertainty())
    };
    for function in (Function::ALL.iter())
        .filter(|function| !function.is_reserved())
        .filter(is_of_numbers)
    {
        let is_it = |case: &&serde_json::Value| text(case, "function") == function.name();
        let count = cases.iter().filter(is_it).count();
        assert!(count >= 5, "{}: {count}", function.name());
    }
}
