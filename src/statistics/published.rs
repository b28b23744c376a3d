//! Data sets with published results, `tests/reference/fits.json` and `uncertainty.json`.

use std::fs;

use serde_json::Value;

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/");

/// One data set.
pub(super) struct Case {
    pub(super) id: String,
    json: Value,
}

impl Case {
    fn read(file: &str) -> Vec<Self> {
        let text = fs::read_to_string(format!("{FOLDER}{file}")).unwrap();
        let cases: Vec<Value> = serde_json::from_str(&text).unwrap();
        let case = |json: Value| Self {
            id: json["id"].as_str().unwrap().to_owned(),
            json,
        };
        cases.into_iter().map(case).collect()
    }

    /// The fits of a kind.
    pub(super) fn all(kind: &str) -> Vec<Self> {
        let mut cases = Self::read("fits.json");
        cases.retain(|case| case.json["kind"] == kind);
        assert!(!cases.is_empty(), "{kind}");
        cases
    }

    pub(super) fn of(file: &str, id: &str) -> Self {
        let cases = Self::read(file);
        cases.into_iter().find(|case| case.id == id).unwrap()
    }

    /// A column of its data.
    pub(super) fn column(&self, name: &str) -> Vec<f64> {
        let file = self.json["data"].as_str().unwrap();
        let text = fs::read_to_string(format!("{FOLDER}{file}")).unwrap();
        let mut lines = text.lines();
        let mut titles = lines.next().unwrap().split(',');
        let place = titles.position(|title| title == name).unwrap();
        let field = |line: &str| line.split(',').nth(place).unwrap().trim().parse().unwrap();
        lines.map(field).collect()
    }

    fn expected(&self, symbol: &str) -> &Value {
        let expected = self.json["expected"].as_array().unwrap();
        let found = expected.iter().find(|value| value["symbol"] == symbol);
        found.unwrap_or_else(|| panic!("{} has no {symbol}", self.id))
    }

    pub(super) fn value(&self, symbol: &str) -> f64 {
        number(&self.expected(symbol)["value"])
    }

    pub(super) fn uncertainty(&self, symbol: &str) -> f64 {
        number(&self.expected(symbol)["std_uncertainty"])
    }

    /// The names of the fitted parameters: letter b and a number.
    pub(super) fn parameters(&self) -> Vec<String> {
        let expected = self.json["expected"].as_array().unwrap().iter();
        let names = expected.filter(|value| value.get("std_uncertainty").is_some());
        names
            .map(|value| value["symbol"].as_str().unwrap().to_owned())
            .collect()
    }

    /// The start that is published as the first or the second.
    pub(super) fn start(&self, which: usize) -> Vec<f64> {
        let start = &self.json[format!("start{which}").as_str()];
        self.parameters()
            .iter()
            .map(|name| number(&start[name.as_str()]))
            .collect()
    }

    pub(super) fn correlations(&self) -> impl Iterator<Item = f64> {
        let rows = self.json["correlations"].as_array().unwrap();
        rows.iter().map(|row| number(&row[2]))
    }
}

fn number(value: &Value) -> f64 {
    value.as_str().unwrap().parse().unwrap()
}

/// −log₁₀ of the relative error, at most 16.
pub(super) fn digits(found: f64, expected: f64) -> f64 {
    let error = (found - expected).abs();
    let relative = if expected == 0.0 {
        error
    } else {
        error / expected.abs()
    };
    if relative.is_nan() {
        return 0.0;
    }
    -relative.max(1e-16).log10()
}
