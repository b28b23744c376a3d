//! Lines of a worksheet as a record has them: with even blanks, without descriptions and without
//! numbers of the engine, so that neither prose nor `tidy` nor `fill` makes another paper of one.

use rustc_hash::FxHashSet;

use super::{Datum, Formula};
use crate::resolve::Meaning;
use crate::syntax::BlockKind;
use crate::worksheet::{Body, LineAt, MarkKind, PartKind, Placed, Statement, Worksheet, emptied};

/// The data of a problem: its own, and those that it uses of what all problems share.
pub(super) fn data(worksheet: &Worksheet, problem: usize) -> Vec<Datum> {
    let own = &worksheet.problems[problem];
    let used: FxHashSet<&str> = (own.problem.occurrences.iter())
        .filter_map(|it| match it.meaning {
            Meaning::Symbol(symbol) => Some(&*own.problem.symbols.symbol(symbol).key),
            _ => None,
        })
        .collect();
    let shared = worksheet.problems.first().filter(|_| problem > 0);
    let shared = shared.into_iter().flat_map(|home| {
        let data = of_blocks(worksheet, home);
        data.into_iter()
            .filter(|it| used.contains(it.name.as_str()))
    });
    shared.chain(of_blocks(worksheet, own)).collect()
}

fn of_blocks(worksheet: &Worksheet, placed: &Placed) -> Vec<Datum> {
    let mut found = Vec::new();
    for (part, own) in placed.problem.parts.iter().enumerate() {
        let PartKind::Block { kind, statements } = &own.kind else {
            continue;
        };
        match kind {
            BlockKind::Given => {
                for (at, statement) in statements.iter().enumerate() {
                    let Body::Given { symbol, .. } = &statement.body else {
                        continue;
                    };
                    let name = placed.problem.symbols.symbol(*symbol).key.to_string();
                    let line = source(worksheet, placed, (part, at));
                    let text = line.split_once('=').map_or(line.as_str(), |(_, text)| text);
                    found.push(Datum {
                        name,
                        text: text.to_owned(),
                    });
                }
            }
            BlockKind::Data => {
                let text = emptied(worksheet, placed.span(own.span));
                let rows: Vec<String> = text.lines().map(|line| even(bare(line))).collect();
                found.push(Datum {
                    name: "data".to_owned(),
                    text: rows.join("; "),
                });
            }
            _ => {}
        }
    }
    found
}

/// The formulas of the working, and all lines with marks.
pub(super) fn formulas(worksheet: &Worksheet, problem: usize) -> Vec<Formula> {
    let placed = &worksheet.problems[problem];
    let mut found = Vec::new();
    for (part, own) in placed.problem.parts.iter().enumerate() {
        let PartKind::Block { kind, statements } = &own.kind else {
            continue;
        };
        let is_working = matches!(
            kind,
            BlockKind::Derive
                | BlockKind::Work
                | BlockKind::Fit
                | BlockKind::Sketch
                | BlockKind::Answer
        );
        for (at, statement) in statements.iter().enumerate() {
            if *kind != BlockKind::Required && (is_working || statement.marks.is_some()) {
                found.push(Formula {
                    text: source(worksheet, placed, (part, at)),
                    marks: of_line(statement),
                });
            }
        }
    }
    found
}

fn of_line(statement: &Statement) -> String {
    let items = statement.marks.iter().flat_map(|it| &it.items);
    marks(items.map(|(count, kind)| (u32::from(*count), *kind)))
}

/// `2 method, 1 answer`
pub(super) fn marks(items: impl IntoIterator<Item = (u32, MarkKind)>) -> String {
    let items = items.into_iter();
    let items: Vec<String> = items
        .map(|(count, kind)| format!("{count} {}", kind.word()))
        .collect();
    items.join(", ")
}

/// A line as it is written.
pub(super) fn source(worksheet: &Worksheet, placed: &Placed, at: LineAt) -> String {
    let statement = placed.problem.line(at);
    let text = emptied(worksheet, placed.span(statement.span));
    even(bare(&text))
}

/// A line without its description.
fn bare(line: &str) -> &str {
    let mut is_quoted = false;
    for (at, letter) in line.char_indices() {
        match letter {
            '"' => is_quoted = !is_quoted,
            '-' if !is_quoted
                && line[at..].starts_with("--")
                && line[..at].ends_with(char::is_whitespace) =>
            {
                return &line[..at];
            }
            _ => {}
        }
    }
    line
}

/// A line with blanks only where they part two words.
fn even(line: &str) -> String {
    const TIGHT: &str = "=+-*/^,<>|·";
    let mut out = String::with_capacity(line.len());
    let mut words = line.split_whitespace().peekable();
    while let Some(word) = words.next() {
        out.push_str(word);
        if let Some(next) = words.peek() {
            let before = out.ends_with(|letter| TIGHT.contains(letter) || letter == '(');
            let behind = next.starts_with(|letter| TIGHT.contains(letter) || letter == ')');
            if !before && !behind {
                out.push(' ');
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blanks_stand_where_they_part_words() {
        assert_eq!(even("V_2 =  Q / A_2\t= ? m/s"), "V_2=Q/A_2=? m/s");
        assert_eq!(
            even("R_x + p_1 A_1 = rho Q ( V_2 - V_1 )"),
            even("R_x+p_1 A_1=rho Q (V_2-V_1)")
        );
        assert_ne!(even("a b"), even("ab"));
        assert_ne!(even("a (b)"), even("a(b)"));
    }

    #[test]
    fn a_description_is_no_part_of_a_line() {
        assert_eq!(bare("V = 3 m -- speed -- of it").trim(), "V = 3 m");
        assert_eq!(bare("a = b--c"), "a = b--c");
        assert_eq!(
            bare("leave out row 3: \"a -- b\""),
            "leave out row 3: \"a -- b\""
        );
    }
}
