//! Reads the lines of an `expect` fence.

use setsquare::diagnostic::{Code, Severity};

/// One thing that must come of a worksheet.
#[derive(Debug, Clone, PartialEq)]
pub enum Expectation {
    /// `no diagnostics`
    Clean,
    /// `V_1 = 3.006 m/s`, `P at Q = 40 L/s = 3 kW`, `problem 2: V_1 = 3 m/s`
    Printed {
        problem: Option<usize>,
        name: String,
        printed: String,
    },
    /// `V_1 ~ 3.00626 m/s 1e-5`
    Near {
        problem: Option<usize>,
        name: String,
        value: f64,
        unit: String,
        tolerance: f64,
    },
    /// `operand Q of V_1 = 0.8500 m^3/s`
    Operand {
        of: String,
        name: String,
        printed: String,
    },
    /// `operands of V_1: none`
    NoOperands { of: String },
    /// `restated V_1 from (2)`
    Restated { name: String, number: usize },
    /// `error D01 at 12:5: text in the message`
    Finding {
        severity: Severity,
        code: Code,
        place: Option<(usize, usize)>,
        text: String,
    },
    /// `message: text`, of the diagnostic named in the line before
    Message(String),
    /// `help: text`, of the diagnostic named in the line before
    Help(String),
    /// `note: text`, of the diagnostic named in the line before
    Note(String),
    /// `check 1 holds`, `check 1 does not hold`
    Check { number: usize, holds: bool },
    /// `check 1 left 3.0 m`
    Side {
        number: usize,
        right: bool,
        printed: String,
    },
    /// `check 1 row 4`: that of a list which is nearest to failing
    Row { number: usize, row: usize },
    /// `answer R_x = −29.6 kN upstream`
    Answer { text: String },
    /// `required R_x in kN: + downstream, - upstream`
    Required(String),
    /// `part (b) p_1: M2 A3`
    Part(String),
    /// `versions D: 70, 75, 80 for 75`, `versions D < 3 m holds`
    Versions(String),
    /// `not evaluated V_2 needs V_1 (line 3)`
    NotEvaluated { text: String },
    /// `fill: line`
    Fill(String),
    /// `ask: line`
    Ask(String),
    /// `inline p_1 = 420 kPa`, `inline 420 kPa`
    Inline(String),
    /// `inline not evaluated: needs V_1 (line 3)`
    InlineNeeds(String),
    /// `label balance = (1)`
    Label { label: String, number: usize },
    /// `reference balance = (1)`
    Reference { label: String, number: usize },
    /// `describes V_1: text`
    Describes { name: String, html: String },
    /// `html: text`
    Html(String),
    /// `no html: text`
    NoHtml(String),
    /// `tex: text`, `display tex: text`
    Tex { display: bool, tex: String },
    /// `blocks: given work`
    Blocks(String),
    /// `problems: A | B`
    Problems(String),
    /// `entries: 2026-03-10 First | 2026-03-11 Second`
    Entries(String),
    /// `front title: text`
    Front { key: String, value: String },
    /// `anchor q1-V_2`
    Anchor(String),
    /// `equation 1 has 3 sides`
    Sides { number: usize, count: usize },
    /// `equation 1 note: pressures read as gauge`
    EquationNote { number: usize, text: String },
    /// `step 1 follows from (1), value of p_2`, `step 1 does not follow`, `step 1 is not decided`
    Step { number: usize, text: String },
    /// `solved 1 has 2 branches`, `solved 1 gives x = 2 a`, `solved 1 from (1), (2)`
    Solved {
        number: usize,
        word: String,
        text: String,
    },
    /// `component 1 is R_x = F_x + G_x`
    Component { number: usize, text: String },
    /// A balance of a sketch, written out.
    Balance { number: usize, text: String },
    /// A function of a cut member: its pieces, or where it is greatest or least.
    Cut {
        number: usize,
        word: String,
        text: String,
    },
    /// Whether an equation is the balance that it is meant to be.
    Agreement { number: usize, text: String },
    /// `dimension F = L M T⁻²`
    Dimension { name: String, text: String },
    /// `check 1 derivative = 3.2 m`, `check 1 formula = 2 x`, `check 1 reached = 0 m`
    Looked {
        number: usize,
        word: String,
        text: String,
    },
    /// `check 1 derivative ~ 3.2 m 1e-3`, `check 1 exponent ~ 2 1e-6`
    LookedNear {
        number: usize,
        word: String,
        value: f64,
        unit: String,
        tolerance: f64,
    },
    /// `check 1 sensitivity: D -5.0 %, L 1.0 %`
    Sensitivity { number: usize, text: String },
    /// `root f iterations < 20`, `root f difference < 1e-9`
    Root {
        name: String,
        word: String,
        below: f64,
    },
}

/// Reads one line.
pub fn read(line: &str) -> Result<Expectation, String> {
    marked(line)
        .or_else(|| finding(line))
        .or_else(|| reasoned(line))
        .or_else(|| numbered(line))
        .or_else(|| result(line))
        .ok_or(format!("`{line}` is no form of an expectation"))
}

/// `(1)`
fn bracketed(text: &str) -> Option<usize> {
    text.strip_prefix('(')?.strip_suffix(')')?.parse().ok()
}

/// Makes an expectation of what follows a marking word.
type Form = fn(String) -> Expectation;

fn marked(line: &str) -> Option<Expectation> {
    if line == "no diagnostics" {
        return Some(Expectation::Clean);
    }
    if let Some(rest) = line.strip_prefix("front ") {
        let (key, value) = rest.split_once(": ")?;
        return Some(Expectation::Front {
            key: key.to_owned(),
            value: value.to_owned(),
        });
    }
    if let Some(rest) = line.strip_prefix("describes ") {
        let (name, html) = rest.split_once(": ")?;
        return Some(Expectation::Describes {
            name: name.to_owned(),
            html: html.to_owned(),
        });
    }
    if let Some(rest) = line.strip_prefix("operands of ") {
        let of = rest.strip_suffix(": none")?.to_owned();
        return Some(Expectation::NoOperands { of });
    }
    let forms: [(&str, Form); 17] = [
        ("message: ", Expectation::Message),
        ("inline not evaluated: ", Expectation::InlineNeeds),
        ("help: ", Expectation::Help),
        ("note: ", Expectation::Note),
        ("fill: ", Expectation::Fill),
        ("ask: ", Expectation::Ask),
        ("inline ", Expectation::Inline),
        ("html: ", Expectation::Html),
        ("no html: ", Expectation::NoHtml),
        ("blocks: ", Expectation::Blocks),
        ("problems: ", Expectation::Problems),
        ("entries: ", Expectation::Entries),
        ("anchor ", Expectation::Anchor),
        ("required ", Expectation::Required),
        ("part ", Expectation::Part),
        ("versions ", Expectation::Versions),
        ("answer ", |text| Expectation::Answer { text }),
    ];
    let tex = |display, prefix: &str| {
        let tex = line.strip_prefix(prefix)?.to_owned();
        Some(Expectation::Tex { display, tex })
    };
    forms
        .iter()
        .find_map(|(prefix, form)| Some(form(line.strip_prefix(prefix)?.to_owned())))
        .or_else(|| tex(false, "tex: "))
        .or_else(|| tex(true, "display tex: "))
        .or_else(|| {
            let text = line.strip_prefix("not evaluated ")?.to_owned();
            Some(Expectation::NotEvaluated { text })
        })
}

fn finding(line: &str) -> Option<Expectation> {
    let (severity, rest) = match line.strip_prefix("error ") {
        Some(rest) => (Severity::Error, rest),
        None => (Severity::Warning, line.strip_prefix("warning ")?),
    };
    let (head, text) = rest.split_once(": ").unwrap_or((rest, ""));
    let mut words = head.split_whitespace();
    let code = Code::named(words.next()?)?;
    let place = match (words.next(), words.next()) {
        (Some("at"), Some(place)) => {
            let (line, column) = place.split_once(':')?;
            Some((line.parse().ok()?, column.parse().ok()?))
        }
        (None, None) => None,
        _ => return None,
    };
    words.next().is_none().then(|| Expectation::Finding {
        severity,
        code,
        place,
        text: text.to_owned(),
    })
}

/// Forms with a number in brackets or after a word.
fn numbered(line: &str) -> Option<Expectation> {
    let mut words = line.split_whitespace();
    let first = words.next()?;
    match first {
        "check" => {
            let number = words.next()?.parse().ok()?;
            let rest: Vec<&str> = words.collect();
            match rest.as_slice() {
                ["holds"] => Some(Expectation::Check {
                    number,
                    holds: true,
                }),
                ["does", "not", "hold"] => Some(Expectation::Check {
                    number,
                    holds: false,
                }),
                ["row", row] => Some(Expectation::Row {
                    number,
                    row: row.parse().ok()?,
                }),
                [side @ ("left" | "right"), printed @ ..] => Some(Expectation::Side {
                    number,
                    right: *side == "right",
                    printed: printed.join(" "),
                }),
                _ => None,
            }
        }
        "equation" => {
            let number = words.next()?.parse().ok()?;
            let rest: Vec<&str> = words.collect();
            match rest.as_slice() {
                ["has", count, "sides"] => Some(Expectation::Sides {
                    number,
                    count: count.parse().ok()?,
                }),
                ["note:", text @ ..] => Some(Expectation::EquationNote {
                    number,
                    text: text.join(" "),
                }),
                _ => None,
            }
        }
        "label" | "reference" => {
            let rest: Vec<&str> = words.collect();
            let [label, "=", number] = rest.as_slice() else {
                return None;
            };
            let (label, number) = ((*label).to_owned(), bracketed(number)?);
            Some(match first {
                "label" => Expectation::Label { label, number },
                _ => Expectation::Reference { label, number },
            })
        }
        "restated" => {
            let rest: Vec<&str> = words.collect();
            let [name, "from", number] = rest.as_slice() else {
                return None;
            };
            Some(Expectation::Restated {
                name: (*name).to_owned(),
                number: bracketed(number)?,
            })
        }
        "operand" => {
            let (name, rest) = line.strip_prefix("operand ")?.split_once(" of ")?;
            let (of, printed) = rest.split_once(" = ")?;
            Some(Expectation::Operand {
                of: of.to_owned(),
                name: name.to_owned(),
                printed: printed.to_owned(),
            })
        }
        _ => None,
    }
}

/// Forms of lines that are judged, solved, or looked at as a whole.
fn reasoned(line: &str) -> Option<Expectation> {
    let (first, rest) = line.split_once(' ')?;
    if first == "dimension" {
        let (name, text) = rest.split_once(" = ")?;
        return Some(Expectation::Dimension {
            name: name.to_owned(),
            text: text.to_owned(),
        });
    }
    if first == "root" {
        let words: Vec<&str> = rest.split_whitespace().collect();
        let [name, word @ ("iterations" | "difference"), "<", below] = words.as_slice() else {
            return None;
        };
        return Some(Expectation::Root {
            name: (*name).to_owned(),
            word: (*word).to_owned(),
            below: below.parse().ok()?,
        });
    }
    let (number, rest) = rest.split_once(' ')?;
    let number = number.parse().ok()?;
    let (word, text) = rest.split_once(' ').unwrap_or((rest, ""));
    let text_of = |text: &str| text.to_owned();
    match (first, word) {
        ("step", _) => is_verdict(rest).then(|| Expectation::Step {
            number,
            text: text_of(rest),
        }),
        ("solved", "has" | "gives" | "from" | "where" | "uses" | "step" | "is") => {
            Some(Expectation::Solved {
                number,
                word: text_of(word),
                text: text_of(text),
            })
        }
        ("balance", "is") => Some(Expectation::Balance {
            number,
            text: text.to_owned(),
        }),
        ("cut", "is" | "greatest" | "least") => Some(Expectation::Cut {
            number,
            word: text_of(word),
            text: text_of(text),
        }),
        ("equation", "agrees" | "differs" | "decides") => Some(Expectation::Agreement {
            number,
            text: format!("{word} {text}").trim().to_owned(),
        }),
        ("component", "is") => Some(Expectation::Component {
            number,
            text: text_of(text),
        }),
        ("check", "sensitivity:") => Some(Expectation::Sensitivity {
            number,
            text: text_of(text),
        }),
        ("check", _) => looked(number, rest),
        _ => None,
    }
}

/// `follows from (1), value of p_2`, `does not follow`, `is not decided`
fn is_verdict(text: &str) -> bool {
    matches!(text, "does not follow" | "is not decided") || text.starts_with("follows from ")
}

/// `derivative = 3.2 m`, `derivative of D ~ 3.2 m 1e-3`
fn looked(number: usize, rest: &str) -> Option<Expectation> {
    let known = |word: &str| {
        matches!(
            word,
            "derivative"
                | "exponent"
                | "formula"
                | "reached"
                | "verdict"
                | "difference"
                | "uncertainty"
                | "mean"
                | "low"
                | "high"
                | "factor"
                | "degrees"
                | "budget"
        ) || word.starts_with("derivative of ")
    };
    if let Some((word, rest)) = rest.split_once(" ~ ") {
        let (value, unit, tolerance) = near(rest)?;
        return known(word).then(|| Expectation::LookedNear {
            number,
            word: word.to_owned(),
            value,
            unit,
            tolerance,
        });
    }
    let (word, text) = rest.split_once(" = ")?;
    known(word).then(|| Expectation::Looked {
        number,
        word: word.to_owned(),
        text: text.to_owned(),
    })
}

/// `3.00626 m/s 1e-5`: a value, its unit, a tolerance.
fn near(text: &str) -> Option<(f64, String, f64)> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let [value, unit @ .., tolerance] = words.as_slice() else {
        return None;
    };
    Some((value.parse().ok()?, unit.join(" "), tolerance.parse().ok()?))
}

/// `[problem N:] name = printed` and `[problem N:] name ~ value unit tolerance`.
fn result(line: &str) -> Option<Expectation> {
    let (problem, line) = match line.strip_prefix("problem ") {
        Some(rest) => {
            let (number, rest) = rest.split_once(": ")?;
            (Some(number.parse().ok()?), rest)
        }
        None => (None, line),
    };
    if let Some((name, rest)) = line.split_once(" ~ ") {
        let (value, unit, tolerance) = near(rest)?;
        return Some(Expectation::Near {
            problem,
            name: name.to_owned(),
            value,
            unit,
            tolerance,
        });
    }
    // A coverage factor behind the value has a sign of its own.
    let end = line.rfind(" (k = ").unwrap_or(line.len());
    let at = line.get(..end)?.rfind(" = ")?;
    let (name, printed) = (&line[..at], &line[at + 3..]);
    Some(Expectation::Printed {
        problem,
        name: name.to_owned(),
        printed: printed.to_owned(),
    })
}

#[test]
fn a_line_in_an_unknown_form_is_refused() {
    for line in [
        "whatever",
        "error Z99",
        "error D01 12:5",
        "check one holds",
        "check 1 is fine",
        "label balance (1)",
        "V_1 ~ three m 1",
        "step one follows from (1)",
        "step 1 follows",
        "solved 1 knows x",
        "root f iterations > 3",
    ] {
        assert!(read(line).is_err(), "{line}");
    }
}

#[test]
fn results_and_findings_are_read() {
    assert_eq!(
        read("P at Q = 40 L/s = 3.1 kW"),
        Ok(Expectation::Printed {
            problem: None,
            name: "P at Q = 40 L/s".to_owned(),
            printed: "3.1 kW".to_owned(),
        })
    );
    assert_eq!(
        read("error D01 at 12:5: cannot be added"),
        Ok(Expectation::Finding {
            severity: Severity::Error,
            code: Code::D01,
            place: Some((12, 5)),
            text: "cannot be added".to_owned(),
        })
    );
}
