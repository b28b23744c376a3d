//! The head row: which column holds what.

use std::collections::BTreeMap;

use super::{Column, Holds, Paper, Part, Question, shortened};
use crate::diagnostic::{Code, Diagnostic, nearest};
use crate::syntax::canonical;
use crate::tables::Record;
use crate::text::Span;

/// The columns of a list, by their places in a row.
#[derive(Debug)]
pub(super) struct Head {
    pub id: usize,
    pub version: Option<usize>,
    pub fingerprint: Option<usize>,
    pub columns: Vec<(usize, Column)>,
}

/// A question, one of its parts or names by its index, and whether it is a part.
type Whose = (usize, usize, bool);

/// What people call a column of names, mail addresses or dates of birth, in small letters, with
/// blanks for dashes and bars.
const OF_PERSONS: &[&str] = &[
    "adresse",
    "address",
    "birth date",
    "birthdate",
    "birthday",
    "candidate name",
    "correo",
    "date de naissance",
    "date of birth",
    "dob",
    "e mail",
    "e mail address",
    "email",
    "email address",
    "family name",
    "fecha de nacimiento",
    "first name",
    "firstname",
    "forename",
    "full name",
    "geburtsdatum",
    "given name",
    "last name",
    "lastname",
    "mail",
    "mail address",
    "middle name",
    "nachname",
    "name",
    "names",
    "nom",
    "nombre",
    "phone",
    "prénom",
    "student",
    "student name",
    "students",
    "surname",
    "telephone",
    "vorname",
];

/// The marks of all kinds together.
const ALL_MARKS: &str = "marks";

/// The letters of components.
const COMPONENTS: [&str; 3] = ["x", "y", "z"];

pub(super) fn read(head: &Record, paper: &Paper) -> Result<Head, Vec<Diagnostic>> {
    let mut found = Found {
        paper,
        titles: BTreeMap::new(),
        diagnostics: Vec::new(),
    };
    let (mut id, mut version, mut fingerprint, mut columns) = (None, None, None, Vec::new());
    for (at, field) in head.fields.iter().take(head.count).enumerate() {
        let title = field.text.trim();
        let span = Span::new(field.place.start, field.place.end);
        if !found.is_first(title, span) {
            continue;
        }
        match title {
            "id" => id = Some(at),
            "version" => version = Some(at),
            "fingerprint" => fingerprint = Some(at),
            _ => columns.extend(found.column(title, span).map(|column| (at, column))),
        }
    }
    let whole = Span::new(head.place.start, head.place.end);
    if id.is_none() && found.diagnostics.is_empty() {
        let error = Diagnostic::error(Code::L02, whole, "there is no column `id`")
            .with_help("a column `id` with the candidate numbers");
        found.diagnostics.push(error);
    }
    if version.is_none() && paper.versions.len() > 1 && found.diagnostics.is_empty() {
        let message = format!(
            "there is no column `version`, and the paper has {} versions",
            paper.versions.len()
        );
        let error = Diagnostic::error(Code::L03, whole, message)
            .with_help("a column `version` with the number at the foot of each sheet");
        found.diagnostics.push(error);
    }
    found.components(&columns);
    match (id, found.diagnostics.is_empty()) {
        (Some(id), true) => Ok(Head {
            id,
            version,
            fingerprint,
            columns,
        }),
        _ => Err(found.diagnostics),
    }
}

struct Found<'p> {
    paper: &'p Paper,
    titles: BTreeMap<String, ()>,
    diagnostics: Vec<Diagnostic>,
}

impl Found<'_> {
    fn refuse(&mut self, code: Code, span: Span, message: String, help: impl Into<String>) {
        let error = Diagnostic::error(code, span, message).with_help(help);
        self.diagnostics.push(error);
    }

    fn is_first(&mut self, title: &str, span: Span) -> bool {
        let is_first = self.titles.insert(title.to_owned(), ()).is_none();
        if !is_first && !title.is_empty() {
            let message = format!("the column `{}` stands twice", shortened(title));
            self.refuse(Code::L01, span, message, "one of the two");
        }
        is_first || title.is_empty()
    }

    fn column(&mut self, title: &str, span: Span) -> Option<Column> {
        if let Some(holds) = self.holds(title) {
            return Some(Column {
                head: title.into(),
                span,
                holds,
            });
        }
        let plain = title.to_lowercase().replace(['-', '_'], " ");
        let plain = plain.split_whitespace().collect::<Vec<_>>().join(" ");
        if OF_PERSONS.contains(&&*plain) {
            let message = format!("the column `{title}`: a list holds ids only");
            self.refuse(Code::L08, span, message, "the list without that column");
            return None;
        }
        if title.is_empty() {
            let message = "a column has no head".to_owned();
            self.refuse(
                Code::L01,
                span,
                message,
                "a head, or the list without that column",
            );
            return None;
        }
        let titles = self.titles();
        let help = match nearest(title, titles.iter().map(String::as_str)) {
            Some(near) => format!("`{near}`"),
            None => match titles.iter().any(|it| it.eq_ignore_ascii_case(title)) {
                true => format!("`{}`", title.to_lowercase()),
                false => "`id`, `version`, `fingerprint`, a part as in `1a`, a value as in `1 V_1`, or marks as in `1a method`".to_owned(),
            },
        };
        let message = format!("the column `{}` {}", shortened(title), self.lack(title));
        self.refuse(Code::L01, span, message, help);
        None
    }

    /// What a column is not.
    fn lack(&self, title: &str) -> String {
        let digits = title.bytes().take_while(u8::is_ascii_digit).count();
        let (number, rest) = title.split_at(digits);
        let number = number.parse::<usize>().ok().filter(|number| *number > 0);
        let question = number.and_then(|number| self.paper.questions.get(number - 1));
        match (number, question) {
            (Some(number), Some(question)) if rest.starts_with(' ') => {
                let what = rest.trim_start();
                format!(
                    "is no value of question {number}, which has no name `{}`{}",
                    shortened(what),
                    one(question)
                )
            }
            (Some(number), Some(question)) => match question.parts.as_slice() {
                [only] if only.letter.is_none() => {
                    format!("is no part of question {number}, which has one, `{number}`")
                }
                parts => {
                    let last = parts.last().and_then(|part| part.letter).unwrap_or('a');
                    format!("is no part of question {number}, which has a to {last}")
                }
            },
            (Some(number), None) => format!(
                "is of question {number}, and the paper has {}",
                self.paper.questions.len()
            ),
            (None, _) => "is none of a list of answers".to_owned(),
        }
    }

    /// Every head that a list of this paper may have.
    fn titles(&self) -> Vec<String> {
        let mut titles: Vec<String> = ["id", "version", "fingerprint"].map(str::to_owned).into();
        for (at, question) in self.paper.questions.iter().enumerate() {
            for part in &question.parts {
                let title = title_of(at, part);
                for letter in components(part.components) {
                    titles.push(format!("{title}.{letter}"));
                }
                let kinds = part.marks.iter().map(|(word, _)| &**word);
                for kind in kinds.chain([ALL_MARKS]) {
                    titles.push(format!("{title} {kind}"));
                }
                titles.push(title);
            }
            let names = question.names.iter();
            titles.extend(names.map(|named| format!("{} {}", at + 1, named.name)));
        }
        titles
    }

    fn holds(&self, title: &str) -> Option<Holds> {
        let digits = title.bytes().take_while(u8::is_ascii_digit).count();
        let (number, rest) = title.split_at(digits);
        if number.starts_with('0') {
            return None;
        }
        let index = number.parse::<usize>().ok()?.checked_sub(1)?;
        let question = self.paper.questions.get(index)?;
        let (label, what) = match rest.split_once(' ') {
            Some((label, what)) => (label, Some(what.trim_start())),
            None => (rest, None),
        };
        let (letter, component) = match label.split_once('.') {
            Some((letter, component)) => (letter, Some(component)),
            None => (label, None),
        };
        let part = (question.parts.iter()).position(|part| match part.letter {
            Some(own) => letter.chars().eq([own]),
            None => letter.is_empty(),
        });
        match (part, what, component) {
            (Some(part), None, component) => Some(Holds::Answer {
                question: index,
                part,
                component: component_of(component, question.parts.get(part)?.components)?,
            }),
            (part, Some(what), None) => {
                let kinds = part.and_then(|part| question.parts.get(part));
                let kind = kinds.and_then(|it| kind_of(it, what));
                match (part, kind) {
                    (Some(part), Some(kind)) => Some(Holds::Marks {
                        question: index,
                        part,
                        kind,
                    }),
                    _ if letter.is_empty() => own(index, question, what),
                    _ => None,
                }
            }
            _ => None,
        }
    }

    /// Refuses a vector that is there whole and in components, or in some of them alone.
    fn components(&mut self, columns: &[(usize, Column)]) {
        let mut found: BTreeMap<Whose, Vec<(Option<usize>, Span)>> = BTreeMap::new();
        for (_, column) in columns {
            let (key, component) = match column.holds {
                Holds::Answer {
                    question,
                    part,
                    component,
                } => ((question, part, true), component),
                Holds::Own {
                    question,
                    name,
                    component,
                } => ((question, name, false), component),
                Holds::Marks { .. } => continue,
            };
            found.entry(key).or_default().push((component, column.span));
        }
        for ((question, at, is_part), columns) in found {
            let question = self.paper.questions.get(question);
            let count = question.and_then(|question| match is_part {
                true => question.parts.get(at).map(|part| part.components),
                false => question.names.get(at).map(|named| named.components),
            });
            let parts = columns.iter().filter(|(part, _)| part.is_some()).count();
            let Some((_, span)) = columns.last().filter(|_| parts > 0) else {
                continue;
            };
            if parts < columns.len() || Some(parts) != count {
                let message = match parts < columns.len() {
                    true => "a vector stands in a column of its own and in components",
                    false => "a component of a vector has no column",
                };
                let help =
                    "one column for the vector, or one for each component: `1a.x` and `1a.y`";
                self.refuse(Code::L01, *span, message.to_owned(), help);
            }
        }
    }
}

/// `1a`, or `2` for a question of one part.
fn title_of(question: usize, part: &Part) -> String {
    let letter = part.letter.map(String::from).unwrap_or_default();
    format!("{}{letter}", question + 1)
}

fn components(count: usize) -> &'static [&'static str] {
    match count {
        2 | 3 => COMPONENTS.get(..count).unwrap_or_default(),
        _ => &[],
    }
}

/// Which component is meant, and none for the whole; nothing where there is no such one.
fn component_of(letter: Option<&str>, count: usize) -> Option<Option<usize>> {
    match letter {
        None => Some(None),
        Some(letter) => Some(Some(components(count).iter().position(|it| *it == letter)?)),
    }
}

/// Which marks are meant, and none for all kinds; nothing where there is no such kind.
fn kind_of(part: &Part, word: &str) -> Option<Option<usize>> {
    if word == ALL_MARKS {
        return Some(None);
    }
    part.marks
        .iter()
        .position(|(own, _)| **own == *word)
        .map(Some)
}

/// `1 V_1`, `1 R.x`.
fn own(index: usize, question: &Question, what: &str) -> Option<Holds> {
    let whole = canonical(what);
    let place = |name: &str| question.names.iter().position(|named| *named.name == *name);
    let (name, component) = match place(&whole) {
        Some(name) => (name, None),
        None => {
            let (vector, letter) = what.rsplit_once('.')?;
            (place(&canonical(vector))?, Some(letter))
        }
    };
    Some(Holds::Own {
        question: index,
        name,
        component: component_of(component, question.names.get(name)?.components)?,
    })
}

/// What else a column of a question of one part may be.
fn one(question: &Question) -> &'static str {
    match question.parts.as_slice() {
        [only] if only.letter.is_none() => " and no such kind of marks",
        _ => "",
    }
}
