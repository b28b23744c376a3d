//! What came of marking, for machines.

use serde::Serialize;

use super::super::list::List;
use super::super::marked::{Answer, Marked};
use super::super::summary::{self, Ends, summary};
use crate::page::{Said, said};

#[derive(Serialize)]
struct Report<'a> {
    paper: &'a str,
    students: Vec<Student<'a>>,
    summary: Summary<'a>,
    diagnostics: Vec<Said<'a>>,
}

#[derive(Serialize)]
struct Student<'a> {
    id: &'a str,
    version: u16,
    marks: u32,
    open: u32,
    of: u32,
    parts: Vec<Part<'a>>,
}

#[derive(Serialize)]
struct Part<'a> {
    question: usize,
    letter: Option<char>,
    written: &'a str,
    /// In the unit that is asked; null where it was not read.
    value: Option<Numbers<'a>>,
    unit: &'a str,
    si: Option<Numbers<'a>>,
    right: &'a str,
    marks: u32,
    open: u32,
    of: u32,
    verdict: &'static str,
    carried: &'a [String],
    own: bool,
    other_version: Option<u16>,
    route: Option<usize>,
    read_as: Option<&'a str>,
    slip: Option<Slip<'a>>,
    proposed: bool,
    remarks: &'a [String],
}

#[derive(Serialize)]
#[serde(untagged)]
enum Numbers<'a> {
    One(f64),
    Several(&'a [f64]),
}

#[derive(Serialize)]
struct Slip<'a> {
    class: &'static str,
    text: &'a str,
    place: Place<'a>,
}

#[derive(Serialize)]
struct Place<'a> {
    worksheet: &'a str,
    line: usize,
}

/// A number that open marks leave between two ends; null where there are no students.
#[derive(Serialize)]
struct Range {
    from: f64,
    to: f64,
}

#[derive(Serialize)]
struct Summary<'a> {
    students: usize,
    of: u32,
    mean: Range,
    median: Range,
    parts: Vec<PartSummary>,
    versions: Vec<Version<'a>>,
    totals: Vec<Tenth>,
    slips: Vec<Slips>,
    shared: Vec<Shared<'a>>,
}

#[derive(Serialize)]
struct PartSummary {
    question: usize,
    letter: Option<char>,
    of: u32,
    full: usize,
    some: usize,
    none: usize,
    open: usize,
    mean: Range,
    difficulty: Range,
    discrimination: Option<f64>,
}

#[derive(Serialize)]
struct Version<'a> {
    versions: &'a [u16],
    students: usize,
    mean: Range,
    standard_error: Option<f64>,
}

/// Those from so many tenths of the marks on.
#[derive(Serialize)]
struct Tenth {
    tenth: usize,
    students: usize,
    with_open: usize,
}

#[derive(Serialize)]
struct Slips {
    class: &'static str,
    count: usize,
}

#[derive(Serialize)]
struct Shared<'a> {
    question: usize,
    letter: Option<char>,
    version: u16,
    written: &'a str,
    count: usize,
}

/// The report: `units` are those that are asked, one for each part.
pub fn json(paper: &str, list: &List, marked: &Marked, units: &[String]) -> String {
    let of = marked.parts.iter().map(|part| part.of).sum();
    let students = marked.students.iter().map(|student| Student {
        id: &student.id,
        version: student.version,
        marks: student.marks(),
        open: student.open(),
        of,
        parts: (student.answers.iter().enumerate())
            .filter_map(|(at, answer)| part(marked, units, at, answer))
            .collect(),
    });
    let found = summary(marked);
    let report = Report {
        paper,
        students: students.collect(),
        summary: told(marked, &found),
        diagnostics: (list.diagnostics.iter())
            .map(|it| said(&list.source, it))
            .collect(),
    };
    serde_json::to_string_pretty(&report).unwrap_or_default() + "\n"
}

fn numbers(numbers: &[f64]) -> Option<Numbers<'_>> {
    match numbers {
        [] => None,
        [one] => Some(Numbers::One(*one)),
        several => Some(Numbers::Several(several)),
    }
}

fn part<'a>(
    marked: &'a Marked,
    units: &'a [String],
    at: usize,
    answer: &'a Answer,
) -> Option<Part<'a>> {
    let part = marked.parts.get(at)?;
    Some(Part {
        question: part.question,
        letter: part.letter,
        written: &answer.written,
        value: numbers(&answer.value),
        unit: units.get(at).map_or("", String::as_str),
        si: numbers(&answer.si),
        right: &answer.right,
        marks: answer.marks,
        open: answer.open,
        of: part.of,
        verdict: answer.verdict.words(),
        carried: &answer.carried,
        own: answer.is_own,
        other_version: answer.other_version,
        route: answer.route,
        read_as: answer.read_as.as_deref(),
        slip: answer.slip.as_ref().map(|slip| Slip {
            class: slip.class,
            text: &slip.text,
            place: Place {
                worksheet: &slip.place.0,
                line: slip.place.1,
            },
        }),
        proposed: answer.is_proposed,
        remarks: &answer.remarks,
    })
}

fn range(ends: Ends) -> Range {
    Range {
        from: ends.from,
        to: ends.to,
    }
}

fn told<'a>(marked: &Marked, found: &'a summary::Summary) -> Summary<'a> {
    let parts = marked.parts.iter().zip(&found.parts);
    let shared = found.shared.iter().filter_map(|it| {
        let part = marked.parts.get(it.part)?;
        Some(Shared {
            question: part.question,
            letter: part.letter,
            version: it.version,
            written: &it.written,
            count: it.count,
        })
    });
    Summary {
        students: found.students,
        of: found.of,
        mean: range(found.mean),
        median: range(found.median),
        parts: parts
            .map(|(part, it)| PartSummary {
                question: part.question,
                letter: part.letter,
                of: part.of,
                full: it.full,
                some: it.some,
                none: it.none,
                open: it.open,
                mean: range(it.mean),
                difficulty: range(it.difficulty),
                discrimination: it.discrimination,
            })
            .collect(),
        versions: (found.versions.iter())
            .map(|it| Version {
                versions: &it.versions,
                students: it.students,
                mean: range(it.mean),
                standard_error: it.error,
            })
            .collect(),
        totals: (found.tenths.iter().enumerate())
            .map(|(tenth, it)| Tenth {
                tenth,
                students: it.given,
                with_open: it.with_open,
            })
            .collect(),
        slips: (found.slips.iter())
            .map(|(class, count)| Slips {
                class,
                count: *count,
            })
            .collect(),
        shared: shared.collect(),
    }
}
