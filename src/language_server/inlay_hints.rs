//! The result at the end of each line, where the line does not show it already.

use lsp_types::{InlayHint, InlayHintLabel, InlayHintParams};

use super::documents::Document;
use super::facts;
use crate::proofs::Verdict;
use crate::text::Span;
use crate::worksheet::{Body, Filled, PartKind, Problem, Statement};

/// The results of the lines in a range, and those of the asks in prose.
pub(super) fn inlay_hints(document: &Document, params: &InlayHintParams) -> Option<Vec<InlayHint>> {
    let range = document.places().span(params.range);
    let mut hints = Vec::new();
    let near = |span: Span| span.start <= range.end && range.start <= span.end;
    let parts = document.worksheet().parts();
    for (placed, part) in parts.filter(|(placed, part)| near(placed.span(part.span))) {
        let problem = &*placed.problem;
        let mut found = Vec::new();
        match &part.kind {
            PartKind::Block { statements, .. } => {
                for statement in statements
                    .iter()
                    .filter(|line| near(placed.span(line.span)))
                {
                    let at = end_of_line(problem, statement.span);
                    found.extend(of_statement(problem, statement).map(|text| (at, text)));
                    for words in &statement.description {
                        words.for_each_open(&mut |it| found.extend(of_prose(problem, it)));
                    }
                }
            }
            PartKind::Heading { content, .. } => {
                for words in content {
                    words.for_each_open(&mut |it| found.extend(of_prose(problem, it)));
                }
            }
            PartKind::Prose(blocks) => {
                for block in blocks {
                    block.for_each_open(&mut |it| found.extend(of_prose(problem, it)));
                }
            }
        }
        hints.extend(found.into_iter().map(|(at, text)| (placed.place(at), text)));
    }
    hints.retain(|(at, _)| range.start <= *at && *at <= range.end);
    hints.sort_by_key(|(at, _)| *at);
    let places = document.places();
    let hint = |(at, text)| InlayHint {
        position: places.position(at),
        label: InlayHintLabel::String(text),
        kind: None,
        text_edits: None,
        tooltip: None,
        padding_left: Some(true),
        padding_right: None,
        data: None,
    };
    Some(hints.into_iter().map(hint).collect())
}

fn end_of_line(problem: &Problem, span: Span) -> u32 {
    let rest = problem.text.get(span.end as usize..).unwrap_or("");
    span.end + rest.lines().next().map_or(0, str::len) as u32
}

/// What a line comes to; `None` where the line shows it, or asserts and computes nothing.
pub(super) fn of_statement(problem: &Problem, statement: &Statement) -> Option<String> {
    let is_filled = || is_filled(statement.span.of(&problem.text));
    match &statement.body {
        Body::Given {
            formula: Some(_),
            shown,
            ..
        }
        | Body::Given {
            shown,
            from: Some(_),
            ..
        } => Some(format!("= {}", facts::printed(shown))),
        Body::Work(work) if work.claim.is_none() && !is_filled() => {
            Some(format!("= {}", facts::printed(&work.shown)))
        }
        Body::Answer {
            shown, direction, ..
        } if !is_filled() => Some(match direction.as_deref() {
            Some((word, size)) => {
                format!("= {} {}", facts::printed(size), word.plain(&problem.text))
            }
            None => format!("= {}", facts::printed(shown)),
        }),
        Body::System(system) => {
            let unknown = |(symbol, shown): &(_, std::sync::Arc<_>)| {
                let name = &problem.symbols.symbol(*symbol).key;
                format!("{name} = {}", facts::printed(shown))
            };
            let all: Vec<String> = system.unknowns.iter().map(unknown).collect();
            Some(all.join(", "))
        }
        Body::Therefore { verdict, .. } => Some(
            match **verdict {
                Verdict::Follows { .. } => "follows",
                Verdict::DoesNotFollow { .. } => "does not follow",
                Verdict::NotDecided(_) => "not decided",
            }
            .to_owned(),
        ),
        body => body
            .holds()
            .map(|holds| if holds { "holds" } else { "does not hold" }.to_owned()),
    }
}

/// The result of an ask in prose, behind the code span that asks.
fn of_prose(problem: &Problem, filled: &Filled) -> Option<(u32, String)> {
    match filled {
        Filled::Value(value) if !is_filled(value.span.of(&problem.text)) => {
            let at = behind_ticks(problem, value.span);
            Some((at, format!("= {}", facts::printed(&value.shown))))
        }
        Filled::Value(_) | Filled::Reference { .. } | Filled::Figure(_) | Filled::Failed { .. } => {
            None
        }
    }
}

/// The place behind the backticks that close a code span.
fn behind_ticks(problem: &Problem, span: Span) -> u32 {
    let end = end_of_line(problem, span);
    let rest = Span {
        start: span.end,
        end,
    };
    let rest = rest.of(&problem.text);
    let blanks = rest.len() - rest.trim_start_matches(' ').len();
    let ticks = rest[blanks..].bytes().take_while(|byte| *byte == b'`');
    match ticks.count() {
        0 => span.end,
        ticks => span.end + (blanks + ticks) as u32,
    }
}

/// Whether a number stands before the mark of an ask: `= 3.01 m/s ?`.
fn is_filled(text: &str) -> bool {
    let Some(mark) = text.rfind('?') else {
        return false;
    };
    let before = &text[..mark];
    let from = before.rfind('=').map_or(0, |at| at + 1);
    !before[from..].trim().is_empty()
}

#[cfg(test)]
mod tests {
    use super::super::fixture;
    use super::*;
    use lsp_types::{Position, Range, TextDocumentIdentifier};

    /// A worksheet with its hints written where an editor shows them, in double brackets.
    fn shown(text: &str, range: Range) -> String {
        let document = fixture::document(text);
        let params = InlayHintParams {
            work_done_progress_params: Default::default(),
            text_document: TextDocumentIdentifier {
                uri: document.uri.clone(),
            },
            range,
        };
        let mut out = text.to_owned();
        for hint in inlay_hints(&document, &params).unwrap().iter().rev() {
            let InlayHintLabel::String(label) = &hint.label else {
                panic!("a plain label");
            };
            out.insert_str(
                document.file().offset(hint.position),
                &format!("[[{label}]]"),
            );
        }
        out
    }

    fn everywhere() -> Range {
        Range::new(Position::new(0, 0), Position::new(u32::MAX, 0))
    }

    #[test]
    fn results_stand_at_the_end_of_their_lines() {
        let text = "```given\nF = 12 kN -- pull\nA = 3 (100 mm^2)\n```\n```work\nsigma = F/A\n  = ? MPa -- stress\nsigma = ? MPa at F = 6 kN\n```\n```check\nsigma < 30 MPa # no\nsigma > 30 MPa\n```\n";
        assert_eq!(
            shown(text, everywhere()),
            "```given\nF = 12 kN -- pull\nA = 3 (100 mm^2)[[= 3.000 × 10⁻⁴ m²]]\n```\n```work\nsigma = F/A\n  = ? MPa -- stress[[= 40.00 MPa]]\nsigma = ? MPa at F = 6 kN[[= 20.00 MPa]]\n```\n```check\nsigma < 30 MPa # no[[does not hold]]\nsigma > 30 MPa[[holds]]\n```\n"
        );
    }

    #[test]
    fn a_line_that_shows_its_number_has_no_hint() {
        let text = "```given\nF = 12 kN\n```\n```work\nx = 2 F = 24.00 kN\ny = 3 F = 36.00 kN ? to 4 figures\n```\n```answer\ny = 36.00 kN?\n```\n`y = 36.00 kN ?`\n";
        assert_eq!(shown(text, everywhere()), text);
    }

    #[test]
    fn asks_in_prose_are_answered_behind_them() {
        let text = "```given\nF = 12 kN -- is ` F = ? N `\n```\nThe pull is `? kN of 2 F`, or ``F = ? N``.\n";
        assert_eq!(
            shown(text, everywhere()),
            "```given\nF = 12 kN -- is ` F = ? N `[[= 1.200 × 10⁴ N]]\n```\nThe pull is `? kN of 2 F`[[= 24.00 kN]], or ``F = ? N``[[= 1.200 × 10⁴ N]].\n"
        );
    }

    #[test]
    fn steps_say_whether_they_follow_and_systems_what_they_come_to() {
        let text = "```derive\na: x + y = 3\nb: x - y = 1\ntherefore 2 x = 4\ntherefore 2 x = 5\n```\n```work\nsolve a, b for x near 1, y near 1\n```\n";
        assert_eq!(
            shown(text, everywhere()),
            "```derive\na: x + y = 3\nb: x - y = 1\ntherefore 2 x = 4[[follows]]\ntherefore 2 x = 5[[does not follow]]\n```\n```work\nsolve a, b for x near 1, y near 1[[x = 2.000, y = 1.000]]\n```\n"
        );
    }

    #[test]
    fn only_the_range_that_is_asked_for_has_hints() {
        let text = "```given\na = 2\n```\n```work\nb = 2 a = ?\nc = 3 a = ?\nd = 4 a = ?\n```\n";
        let second = Range::new(Position::new(5, 0), Position::new(5, 20));
        assert_eq!(
            shown(text, second),
            text.replace("c = 3 a = ?", "c = 3 a = ?[[= 6.000]]")
        );
    }
}
