//! The outline of a worksheet: problems, headings, blocks, and the lines that define or label.

use lsp_types::{DocumentSymbol, DocumentSymbolParams, DocumentSymbolResponse, SymbolKind};

use super::documents::Document;
use super::facts;
use super::inlay_hints;
use crate::resolve::SymbolId;
use crate::syntax::BlockKind;
use crate::text::Span;
use crate::worksheet::{Body, PartKind, Placed, Problem, Statement};

/// Headings hold what stands under them, blocks hold their lines.
pub(super) fn symbols(
    document: &Document,
    _params: &DocumentSymbolParams,
) -> Option<DocumentSymbolResponse> {
    let worksheet = document.worksheet();
    let mut open: Vec<Open> = Vec::new();
    let mut roots = Vec::new();
    for (placed, part) in worksheet.parts() {
        let span = placed.span(part.span);
        match &part.kind {
            PartKind::Heading { level, text, .. } => {
                while open.last().is_some_and(|heading| heading.level >= *level) {
                    close(document, &mut open, &mut roots);
                }
                open.push(Open {
                    level: *level,
                    name: text.clone(),
                    span,
                    reach: span,
                    children: Vec::new(),
                });
            }
            PartKind::Block { kind, statements } => {
                let block = block(document, placed, *kind, span, statements);
                reach(&mut open, span);
                match open.last_mut() {
                    Some(heading) => heading.children.push(block),
                    None => roots.push(block),
                }
            }
            // Footnotes stand last and may have come from anywhere.
            PartKind::Prose(_) => reach(&mut open, span),
        }
    }
    while !open.is_empty() {
        close(document, &mut open, &mut roots);
    }
    Some(DocumentSymbolResponse::Nested(roots))
}

/// A heading that is still gathering what stands under it.
struct Open {
    level: u8,
    name: String,
    span: Span,
    reach: Span,
    children: Vec<DocumentSymbol>,
}

fn reach(open: &mut [Open], span: Span) {
    for heading in open {
        if span.start >= heading.span.start {
            heading.reach = heading.reach.cover(span);
        }
    }
}

fn close(document: &Document, open: &mut Vec<Open>, roots: &mut Vec<DocumentSymbol>) {
    let Some(heading) = open.pop() else {
        return;
    };
    if let Some(above) = open.last_mut() {
        above.reach = above.reach.cover(heading.reach);
    }
    let kind = if heading.level == 1 {
        SymbolKind::MODULE
    } else {
        SymbolKind::NAMESPACE
    };
    let mut symbol = symbol(document, heading.name, kind, heading.reach, heading.span);
    symbol.children = Some(heading.children);
    match open.last_mut() {
        Some(above) => above.children.push(symbol),
        None => roots.push(symbol),
    }
}

fn block(
    document: &Document,
    placed: &Placed,
    kind: BlockKind,
    span: Span,
    statements: &[Statement],
) -> DocumentSymbol {
    let first_line = document.worksheet().source.line_of(span.start);
    let fence = document.worksheet().source.line_span(first_line);
    let fence = Span {
        start: span.start,
        end: fence.end.clamp(span.start, span.end),
    };
    let word = kind.word().to_owned();
    let mut symbol = symbol(document, word, SymbolKind::OBJECT, span, fence);
    let lines = statements.iter();
    symbol.children = Some(
        lines
            .flat_map(|line| self::line(document, placed, line))
            .collect(),
    );
    symbol
}

/// A line that has a label, or gives a name its meaning.
fn line(document: &Document, placed: &Placed, statement: &Statement) -> Vec<DocumentSymbol> {
    let problem = &*placed.problem;
    let span = placed.span(statement.span);
    let named = |name: String, kind| {
        let mut symbol = symbol(document, name, kind, span, span);
        symbol.detail = inlay_hints::of_statement(problem, statement);
        symbol
    };
    if let Body::Shear(cut) = &statement.body {
        let lines = cut.lines.iter();
        let key = |(function, _): &(_, _)| problem.symbols.function(*function).key.to_string();
        return lines
            .map(|line| named(key(line), SymbolKind::FUNCTION))
            .collect();
    }
    if let Some((label, number)) = &statement.label {
        let number = placed.equation(*number);
        let name = match &statement.body {
            Body::Sketch(_) => format!("{label} (Figure {number})"),
            _ => format!("{label} ({number})"),
        };
        return vec![named(name, SymbolKind::KEY)];
    }
    if let Body::Function { function, .. } = &statement.body {
        let key = problem.symbols.function(*function).key.to_string();
        return vec![named(key, SymbolKind::FUNCTION)];
    }
    let kind = match &statement.body {
        Body::Given { .. } => SymbolKind::CONSTANT,
        _ => SymbolKind::VARIABLE,
    };
    let defined = facts::defined_by(&statement.body);
    let is_here = |symbol: &SymbolId| is_defined_in(problem, *symbol, statement);
    defined
        .into_iter()
        .filter(is_here)
        .map(|symbol| named(problem.symbols.symbol(symbol).key.to_string(), kind))
        .collect()
}

/// A name may be asked again below the line that defines it.
fn is_defined_in(problem: &Problem, symbol: SymbolId, statement: &Statement) -> bool {
    let defined = problem.symbols.symbol(symbol).defined;
    defined.is_some_and(|span| statement.span.start <= span.start && span.end <= statement.span.end)
}

fn symbol(
    document: &Document,
    name: String,
    kind: SymbolKind,
    span: Span,
    selection: Span,
) -> DocumentSymbol {
    let places = document.places();
    // The protocol has no place for a symbol without a name.
    let name = if name.trim().is_empty() {
        "(no title)".to_owned()
    } else {
        name
    };
    #[allow(deprecated)]
    DocumentSymbol {
        name,
        detail: None,
        kind,
        tags: None,
        deprecated: None,
        range: places.range(span.cover(selection)),
        selection_range: places.range(selection),
        children: None,
    }
}

#[cfg(test)]
mod tests {
    use super::super::fixture;
    use super::*;
    use lsp_types::TextDocumentIdentifier;

    fn outline(text: &str) -> String {
        let document = fixture::document(text);
        let params = DocumentSymbolParams {
            text_document: TextDocumentIdentifier {
                uri: document.uri.clone(),
            },
            work_done_progress_params: Default::default(),
            partial_result_params: Default::default(),
        };
        let Some(DocumentSymbolResponse::Nested(roots)) = symbols(&document, &params) else {
            panic!("a nested outline");
        };
        let mut out = String::new();
        write(&roots, 0, &mut out);
        out
    }

    fn write(symbols: &[DocumentSymbol], depth: usize, out: &mut String) {
        for symbol in symbols {
            let (start, end) = (symbol.range.start.line, symbol.range.end.line);
            out.push_str(&"  ".repeat(depth));
            out.push_str(&format!("{} {start}-{end}", symbol.name));
            if let Some(detail) = &symbol.detail {
                out.push_str(&format!(" {detail}"));
            }
            out.push('\n');
            let inner = symbol.children.as_deref().unwrap_or_default();
            let contains = |inner: &DocumentSymbol| {
                symbol.range.start <= inner.range.start && inner.range.end <= symbol.range.end
            };
            assert!(
                inner.iter().all(contains),
                "{} holds its parts",
                symbol.name
            );
            write(inner, depth + 1, out);
        }
    }

    #[test]
    fn a_block_after_a_byte_order_mark_begins_at_its_fence() {
        let document = fixture::document("\u{feff}```given\nh = 2 m\n```\n");
        let params = DocumentSymbolParams {
            text_document: TextDocumentIdentifier {
                uri: document.uri.clone(),
            },
            work_done_progress_params: Default::default(),
            partial_result_params: Default::default(),
        };
        let Some(DocumentSymbolResponse::Nested(roots)) = symbols(&document, &params) else {
            panic!("a nested outline");
        };
        let selection = roots[0].selection_range;
        assert_eq!((selection.start.line, selection.end.line), (0, 0));
        assert_eq!((selection.start.character, selection.end.character), (1, 9));
    }

    #[test]
    fn headings_hold_blocks_and_blocks_hold_lines() {
        let text = "```given\ng = 9.81 m/s^2\n```\n\n# A tank\n\nWords.\n\n## Data\n\n```given\nh = 2 m\n```\n\n## Result\n\n```derive\nfall: v^2 = 2 g h\n```\n```work\nv = sqrt(2 g h) = ? m/s\nv = ? m/s at h = 3 m\nf(x) = 2 x\n```\n\n# Another\n";
        assert_eq!(
            outline(text),
            "given 0-2
  g 1-1
A tank 4-23
  Data 8-12
    given 10-12
      h 11-11
  Result 14-23
    derive 16-18
      fall (1) 17-17
    work 19-23
      v 20-20 = 6.264 m/s
      f 22-22
Another 25-25
"
        );
    }
}
