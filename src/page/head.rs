//! What stands around the parts: the head of the document, the title, the list of refused lines
//! and the caution at the foot.

use std::collections::BTreeMap;
use std::fmt::Write;

use super::style;
use crate::typeset::escape;
use crate::worksheet::{PartKind, Worksheet, is_refusal};

/// What closes the last section and the page's own text.
pub(super) const END_OF_MAIN: &str = "</section>\n</main>\n";

/// The caution at the foot.
pub(super) const FOOTER: &str = "<footer>\
<p>A calculation aid, not a substitute for professional judgement: have the results checked by a \
competent person. Local codes and licensed practice govern.</p></footer>\n";

/// The end of the page.
pub(super) const END: &str = "</body>\n</html>\n";

/// How the page begins.
pub(super) struct Opening {
    /// How many parts the title stands for: 1 when the first heading repeats it.
    pub(super) skip: usize,
    /// How far headings go down below the title.
    pub(super) shift: u8,
    /// Anchor of the heading that the title stands for.
    anchor: Option<String>,
}

impl Opening {
    pub(super) fn of(worksheet: &Worksheet) -> Self {
        let title = worksheet.front.title.as_deref();
        let first = worksheet.parts.first().map(|part| &part.kind);
        let anchor = match first {
            Some(PartKind::Heading {
                level: 1, id, text, ..
            }) if title == Some(text.as_str()) => Some(id.clone()),
            _ => None,
        };
        let skip = usize::from(anchor.is_some());
        let has_problems = worksheet
            .parts
            .iter()
            .skip(skip)
            .any(|part| matches!(part.kind, PartKind::Heading { level: 1, .. }));
        Self {
            skip,
            shift: u8::from(title.is_some() && has_problems),
            anchor,
        }
    }
}

/// Writes everything up to the first part.
pub(super) fn write(worksheet: &Worksheet, opening: &Opening, out: &mut String) {
    let front = &worksheet.front;
    out.push_str("<!DOCTYPE html>\n<html lang=\"");
    escape(&front.language, out);
    out.push_str(
        "\">\n<head>\n<meta charset=\"utf-8\"/>\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n",
    );
    style::policy(front.paper, out);
    for (name, value) in [("author", &front.author), ("dcterms.date", &front.date)] {
        if let Some(value) = value {
            out.push_str("<meta name=\"");
            out.push_str(name);
            out.push_str("\" content=\"");
            escape(value, out);
            out.push_str("\"/>\n");
        }
    }
    out.push_str("<title>");
    escape(&title(worksheet), out);
    out.push_str("</title>\n");
    style::write(front.paper, out);
    out.push_str("</head>\n<body>\n<main>\n");
    header(worksheet, opening, out);
    let failed = worksheet.checks().filter(|holds| !holds).count();
    summary(worksheet, failed, out);
    out.push_str("<section>\n");
}

/// The title of the front matter, else the first heading, else the worksheet's name.
pub(super) fn title(worksheet: &Worksheet) -> String {
    let heading = || {
        worksheet.parts.iter().find_map(|part| match &part.kind {
            PartKind::Heading { text, .. } => Some(text.clone()),
            _ => None,
        })
    };
    let title = worksheet.front.title.clone();
    title
        .or_else(heading)
        .unwrap_or_else(|| worksheet.source.name().to_owned())
}

pub(super) fn header(worksheet: &Worksheet, opening: &Opening, out: &mut String) {
    let front = &worksheet.front;
    let facts = [&front.course, &front.author, &front.date];
    if front.title.is_none() && facts.iter().all(|fact| fact.is_none()) {
        return;
    }
    out.push_str("<header>\n");
    if let Some(title) = &front.title {
        out.push_str("<h1");
        if let Some(anchor) = &opening.anchor {
            out.push_str(" id=\"");
            escape(anchor, out);
            out.push('"');
        }
        out.push('>');
        escape(title, out);
        out.push_str("</h1>\n");
    }
    let facts: Vec<&String> = facts.into_iter().flatten().collect();
    if !facts.is_empty() {
        out.push_str("<p class=\"facts\">");
        for (index, fact) in facts.into_iter().enumerate() {
            out.push_str(if index > 0 { " · <span>" } else { "<span>" });
            escape(fact, out);
            out.push_str("</span>");
        }
        out.push_str("</p>\n");
    }
    out.push_str("</header>\n");
}

/// The lines that are refused, each with the last that is said of it.
pub(super) fn errors(worksheet: &Worksheet) -> BTreeMap<usize, &str> {
    let refusals = worksheet
        .diagnostics
        .iter()
        .filter(|diagnostic| is_refusal(diagnostic));
    refusals
        .map(|diagnostic| {
            let line = worksheet.source.line_of(diagnostic.span.start);
            (line, diagnostic.message.as_str())
        })
        .collect()
}

/// The lines that say how many checks do not hold, and how many lines are refused, with links to
/// those that stand on the page and the messages of those that do not.
pub(super) fn summary(worksheet: &Worksheet, failed: usize, out: &mut String) {
    let errors = errors(worksheet);
    failed_checks(failed, out);
    if errors.is_empty() {
        return;
    }
    let anchors = anchors(worksheet);
    out.push_str("<p class=\"summary\" role=\"status\">");
    let _ = match errors.len() {
        1 => write!(out, "One line is refused: "),
        lines => write!(out, "{lines} lines are refused: "),
    };
    for (index, (line, message)) in errors.iter().enumerate() {
        if index > 0 {
            out.push_str(", ");
        }
        match anchors.get(line) {
            Some(anchor) => {
                out.push_str("<a href=\"#");
                escape(anchor, out);
                let _ = write!(out, "\">line {line}</a>");
            }
            None => {
                let _ = write!(out, "line {line} (");
                super::notice::sentence(message, out);
                out.push(')');
            }
        }
    }
    out.push_str(".</p>\n");
}

/// The line that says how many checks do not hold; their rows say it again in their places.
fn failed_checks(failed: usize, out: &mut String) {
    let sentence = match failed {
        0 => return,
        1 => "One check does not hold.".to_owned(),
        checks => format!("{checks} checks do not hold."),
    };
    let _ = writeln!(out, "<p class=\"summary\" role=\"status\">{sentence}</p>");
}

/// The anchors of the lines whose statements have something to say.
fn anchors(worksheet: &Worksheet) -> BTreeMap<usize, &str> {
    let statements = worksheet.parts.iter().flat_map(|part| match &part.kind {
        PartKind::Block { statements, .. } => statements.as_slice(),
        _ => &[],
    });
    let mut anchors = BTreeMap::new();
    for statement in statements {
        for index in &statement.diagnostics {
            if let Some(diagnostic) = worksheet.diagnostics.get(*index) {
                let line = worksheet.source.line_of(diagnostic.span.start);
                anchors.insert(line, statement.id.as_str());
            }
        }
    }
    anchors
}
