//! The explanations hold: every refused example raises its code, every accepted one raises
//! nothing.

use setsquare::diagnostic::{self, Code, Diagnostic, Explanation};
use setsquare::text::Source;

/// The codes of papers and of lists of answers, whose examples are no worksheets.
pub const OF_PAPERS: &[Code] = &[
    Code::P10,
    Code::P12,
    Code::P13,
    Code::P14,
    Code::P15,
    Code::P16,
    Code::P17,
    Code::P20,
    Code::P25,
    Code::L01,
    Code::L02,
    Code::L03,
    Code::L04,
    Code::L05,
    Code::L06,
    Code::L07,
    Code::L08,
    Code::L09,
    Code::L10,
    Code::L11,
];

/// The codes that no text in a fence can show: bytes that are not text, sheer size, a
/// character that cannot be seen, and very much work.
const WITHOUT_EXAMPLES: &[Code] = &[Code::T01, Code::T02, Code::T03, Code::T04];

/// The codes that warn; all others refuse a line.
const WARNINGS: &[Code] = &[
    Code::N16,
    Code::N17,
    Code::M01,
    Code::M05,
    Code::M06,
    Code::M08,
    Code::M10,
    Code::M14,
    Code::P04,
    Code::P23,
    Code::P24,
    Code::P25,
    Code::P11,
    Code::S08,
    Code::E07,
    Code::E08,
    Code::E16,
    Code::A02,
    Code::U06,
    Code::U08,
    Code::K23,
    Code::U11,
    Code::F08,
    Code::F09,
    Code::K22,
    Code::U04,
    Code::G20,
    Code::B09,
    Code::B10,
    Code::B11,
    Code::B13,
    Code::B14,
];

fn compiled(code: Code, text: &str) -> Vec<Diagnostic> {
    let source = Source::new(format!("{code}.md"), text.to_owned());
    super::beside::compile(source).diagnostics
}

fn list(diagnostics: &[Diagnostic]) -> String {
    let line = |found: &Diagnostic| format!("\n    {}: {}", found.code, found.message);
    diagnostics.iter().map(line).collect()
}

/// Runs `fault` on every explanation and fails with all that is wrong.
fn hold(fault: impl Fn(&Explanation) -> Option<String>) {
    let faults: Vec<String> = diagnostic::explanations()
        .filter_map(|page| Some(format!("{}: {}", page.code, fault(&page)?)))
        .collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// What stands between the title and the first heading.
fn prose(page: &Explanation) -> &'static str {
    let (_, body) = page.page.split_once('\n').unwrap_or_default();
    body.split("\n## ").next().unwrap_or_default().trim()
}

#[test]
fn every_page_begins_with_its_title() {
    hold(|page| {
        let title = format!("# {}: {}\n\n", page.code, page.code.title());
        (!page.page.starts_with(&title)).then(|| format!("begins otherwise than {title:?}"))
    });
}

#[test]
fn every_code_is_explained_with_a_way_out() {
    assert_eq!(diagnostic::explanations().count(), Code::ALL.len());
    hold(|page| {
        let (meaning, way_out) = prose(page).split_once("\n\nWrite instead: ")?;
        let short = meaning.split_whitespace().count() < 20 || way_out.trim().len() < 10;
        short.then(|| "says too little".to_owned())
    });
    hold(|page| {
        let advises = prose(page).matches("\n\nWrite instead: ").count() == 1;
        (!advises).then(|| "does not say once what to write instead".to_owned())
    });
}

#[test]
fn every_page_has_both_examples_or_none() {
    hold(|page| {
        let is_without = WITHOUT_EXAMPLES.contains(&page.code) || OF_PAPERS.contains(&page.code);
        let expected = !is_without;
        let found = (page.refused.is_some(), page.accepted.is_some());
        (found != (expected, expected)).then(|| format!("(refused, accepted) are {found:?}"))
    });
    hold(|page| (page.refused? == page.accepted?).then(|| "both examples are the same".to_owned()));
}

#[test]
fn every_refused_example_raises_its_code_and_no_other() {
    hold(|page| {
        let found = compiled(page.code, page.refused?);
        let right = !found.is_empty() && found.iter().all(|one| one.code == page.code);
        (!right).then(|| format!("the refused example raises {}", list(&found)))
    });
}

#[test]
fn every_refused_example_is_reported_once() {
    hold(|page| {
        let found = compiled(page.code, page.refused?);
        (found.len() > 1).then(|| format!("is raised {} times{}", found.len(), list(&found)))
    });
}

#[test]
fn every_diagnostic_of_the_examples_is_placed_and_shows_a_way_out() {
    hold(|page| {
        let text = page.refused?;
        let found = compiled(page.code, text).into_iter().next()?;
        let inside = found.span.start <= found.span.end && found.span.end as usize <= text.len();
        let helps = found.help.as_deref().is_some_and(|help| !help.is_empty());
        let warns = WARNINGS.contains(&page.code) != found.is_error();
        (!(inside && helps && warns)).then(|| format!("{found:?}"))
    });
}

#[test]
fn every_accepted_example_raises_nothing() {
    hold(|page| {
        let found = compiled(page.code, page.accepted?);
        (!found.is_empty()).then(|| format!("the accepted example raises {}", list(&found)))
    });
}

#[test]
fn a_control_character_in_a_statement_is_refused() {
    let text = "```given\nL = 2.40\u{8} m\n```\n";
    let found = compiled(Code::T03, text);
    assert_eq!(found.len(), 1, "{}", list(&found));
    assert_eq!(found[0].code, Code::T03);
    assert_eq!(found[0].span.of(text), "\u{8}");
}

#[test]
fn markdown_that_would_fill_the_memory_is_refused() {
    let wide = format!(
        "|{}\n|{}\n{}\n",
        "a|".repeat(700),
        "-|".repeat(700),
        "|a|\n".repeat(700)
    );
    let found = compiled(Code::T02, &wide.repeat(4));
    assert_eq!(found.len(), 1, "{}", list(&found));
    assert_eq!(found[0].code, Code::T02);
}
