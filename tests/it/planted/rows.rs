//! The balances of `tests/sketches/balances.txt`, with the slips that people make in them.

/// A balance of a worksheet, term by term.
#[derive(Clone)]
pub struct Row {
    /// The worksheet it stands in.
    pub sheet: String,
    /// `balance x of elbow`
    pub words: String,
    pub terms: Vec<Term>,
    /// Names with what they are made of.
    pub put: Vec<(String, String)>,
    /// A definition above the lines that are tried.
    pub defined: Option<String>,
}

/// A term as its author writes it.
#[derive(Clone)]
pub struct Term {
    pub is_negative: bool,
    pub is_right: bool,
    pub text: String,
    /// By what a message may name it.
    pub name: String,
    /// What is written instead of it, with the code that tells it.
    pub instead: Vec<(String, String)>,
}

/// An equation with a slip in one or two terms.
pub struct Slip {
    pub equation: String,
    /// Its terms.
    pub terms: Vec<Term>,
    pub code: String,
    /// By what a message may name it.
    pub names: Vec<String>,
}

/// All of them.
pub fn rows() -> Vec<Row> {
    let mut found: Vec<Row> = Vec::new();
    let (mut sheet, mut put, mut is_right) = (String::new(), Vec::new(), false);
    for line in include_str!("../../sketches/balances.txt").lines() {
        let (word, rest) = line.split_once(' ').unwrap_or((line, ""));
        match word {
            "sheet" => (sheet, put) = (rest.to_owned(), Vec::new()),
            "put" => {
                let (name, made) = rest.split_once(' ').expect("a name and what it is made of");
                put.push((name.to_owned(), made.to_owned()));
            }
            "balance" => {
                is_right = false;
                found.push(Row {
                    sheet: sheet.clone(),
                    words: line.to_owned(),
                    terms: Vec::new(),
                    put: put.clone(),
                    defined: None,
                });
            }
            "=" => is_right = true,
            "+" | "-" => {
                let (text, name) = rest.split_once(" | ").expect("a term and its name");
                let row = found.last_mut().expect("a balance above its terms");
                row.terms.push(Term {
                    is_negative: word == "-",
                    is_right,
                    text: text.to_owned(),
                    name: name.to_owned(),
                    instead: Vec::new(),
                });
            }
            "!" => {
                let (code, text) = rest.split_once(' ').expect("a code and a formula");
                let terms = &mut found.last_mut().expect("a balance").terms;
                let term = terms.last_mut().expect("a term above its slips");
                term.instead.push((code.to_owned(), text.to_owned()));
            }
            _ => {}
        }
    }
    found
}

/// A sum of terms, each with its sign on the left side or the right one.
fn side(terms: &[Term], is_right: bool) -> String {
    let mut found = String::new();
    for term in terms.iter().filter(|it| it.is_right == is_right) {
        let sign = match (term.is_negative, found.is_empty()) {
            (true, true) => "-",
            (true, false) => " - ",
            (false, true) => "",
            (false, false) => " + ",
        };
        found = format!("{found}{sign}{}", term.text);
    }
    match found.is_empty() {
        true => "0".to_owned(),
        false => found,
    }
}

pub fn equation(terms: &[Term]) -> String {
    format!("{} = {}", side(terms, false), side(terms, true))
}

/// The first sine or cosine of a formula: where it begins and ends.
fn component(text: &str) -> Option<(usize, usize)> {
    let start = ["sin(", "cos("]
        .iter()
        .filter_map(|it| text.find(it))
        .min()?;
    let end = start + text[start..].find(')')? + 1;
    Some((start, end))
}

/// What is written in the place of a term by usual mistakes, with the code that tells each.
fn mistakes(term: &Term) -> Vec<(String, String)> {
    let mut found = vec![
        ("B07".to_owned(), format!("2 ({})", term.text)),
        ("B07".to_owned(), format!("({})/2", term.text)),
    ];
    if let Some((start, end)) = component(&term.text) {
        let (before, after) = (&term.text[..start], &term.text[end..]);
        let other = if term.text[start..].starts_with("sin") {
            "cos"
        } else {
            "sin"
        };
        let exchanged = format!("{before}{other}{}{after}", &term.text[start + 3..end]);
        let whole = format!("{}{after}", before.trim_end());
        found.extend([exchanged, whole].map(|text| ("B04".to_owned(), text)));
    }
    found.extend(term.instead.iter().cloned());
    found
}

impl Row {
    /// The balance with one slip of each kind in each term.
    pub fn slips(&self) -> Vec<Slip> {
        let mut found = Vec::new();
        for at in 0..self.terms.len() {
            for (code, terms) in changed(&self.terms, at) {
                // Of two terms neither can be blamed for more than the other.
                let names = match self.terms.len() {
                    2 => self.terms.iter().map(|it| it.name.clone()).collect(),
                    _ => vec![self.terms[at].name.clone()],
                };
                found.push(Slip {
                    equation: equation(&terms),
                    terms,
                    code,
                    names,
                });
            }
        }
        found
    }

    /// The balance with slips in two terms of three or more: in both of two they may cancel.
    pub fn double_slips(&self) -> Vec<Slip> {
        let mut found = Vec::new();
        if self.terms.len() < 3 {
            return found;
        }
        for one in 0..self.terms.len() {
            for (first, terms) in changed(&self.terms, one) {
                // What is missing is not there to be changed.
                let gone = usize::from(terms.len() < self.terms.len());
                for two in one + 1..self.terms.len() {
                    for (second, both) in changed(&terms, two - gone) {
                        found.push(Slip {
                            equation: equation(&both),
                            terms: both,
                            code: format!("{first} {second}"),
                            names: [one, two].map(|it| self.terms[it].name.clone()).into(),
                        });
                    }
                }
            }
        }
        found
    }

    /// The worksheet with all that stands there but for this balance, and lines for it below.
    pub fn worksheet(&self, text: &str, lines: &[String]) -> String {
        let mut label = None;
        let mut found = String::new();
        let mut block: Option<&str> = None;
        let mut own = Vec::new();
        for line in text.lines() {
            match (block, line.strip_prefix("```")) {
                (None, Some(word)) => {
                    block = Some(word);
                    own = vec![line.to_owned()];
                }
                (Some(word), Some(_)) => {
                    own.push("```\n\n".to_owned());
                    if matches!(word, "given" | "sketch" | "derive") {
                        found += &own.join("\n");
                    }
                    block = None;
                }
                (Some("derive"), None) => {
                    if line.ends_with(&format!(" by {}", self.words)) {
                        label = line.split_once(": ").map(|(label, _)| label);
                        continue;
                    }
                    let needs_it = label.is_some_and(|label| {
                        let words = line.split([' ', ',']).collect::<Vec<_>>();
                        line.contains("solve ") && words.contains(&label)
                    });
                    // Steps may follow from what was left out.
                    let is_step = line.contains("therefore ") && !line.contains(" by balance ");
                    if !needs_it && !is_step {
                        own.push(line.to_owned());
                    }
                }
                (Some(_), None) => own.push(line.to_owned()),
                (None, None) => {}
            }
        }
        let lines: Vec<String> = lines
            .iter()
            .map(|line| format!("{line} by {}\n", self.words))
            .collect();
        let defined = self.defined.iter().map(|line| format!("{line}\n"));
        let defined: String = defined.collect();
        format!("{found}```derive\n{defined}{}```\n", lines.concat())
    }
}

/// The terms with each change of one of them.
fn changed(terms: &[Term], at: usize) -> Vec<(String, Vec<Term>)> {
    let mut without = terms.to_vec();
    without.remove(at);
    let mut turned = terms.to_vec();
    turned[at].is_negative = !turned[at].is_negative;
    let mut found = vec![("B02".to_owned(), without), ("B03".to_owned(), turned)];
    for (code, text) in mistakes(&terms[at]) {
        let mut other = terms.to_vec();
        other[at].text = text;
        found.push((code, other));
    }
    found
}
