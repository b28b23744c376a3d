//! What stands around the parts: the title, the list of refused lines and the caution at the foot.

use std::collections::BTreeMap;

use super::tree::{Set, Text, Top};
use crate::worksheet::{Entry, PartKind, Worksheet, is_refusal};

/// The caution at the foot.
pub(super) const CAUTION: &str = "A calculation aid, not a substitute for professional judgement: \
have the results checked by a competent person. Local codes and licensed practice govern.";

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
        let first = worksheet.parts().next();
        let anchor = first.and_then(|(placed, part)| match &part.kind {
            PartKind::Heading {
                level: 1, at, text, ..
            } if title == Some(text.as_str()) => Some(placed.heading(*at).to_owned()),
            _ => None,
        });
        let skip = usize::from(anchor.is_some());
        let has_problems = worksheet
            .parts()
            .skip(skip)
            .any(|(_, part)| matches!(part.kind, PartKind::Heading { level: 1, .. }));
        Self {
            skip,
            shift: u8::from(title.is_some() && has_problems),
            anchor,
        }
    }
}

/// The title of the front matter, else the first heading, else the worksheet's name.
pub(super) fn title(worksheet: &Worksheet) -> String {
    let heading = || {
        worksheet.parts().find_map(|(_, part)| match &part.kind {
            PartKind::Heading { text, .. } => Some(text.clone()),
            _ => None,
        })
    };
    let title = worksheet.front.title.clone();
    title
        .or_else(heading)
        .unwrap_or_else(|| worksheet.source.name().to_owned())
}

/// The title as it stands on the page, and what else the front matter says.
pub(super) fn top(worksheet: &Worksheet, opening: &Opening) -> Top {
    let front = &worksheet.front;
    let facts = [&front.course, &front.author, &front.date];
    let title = front.title.clone();
    Top {
        title: title.map(|title| (title, opening.anchor.clone())),
        facts: facts.into_iter().flatten().cloned().collect(),
        contents: match front.contents {
            true => contents(worksheet),
            false => Vec::new(),
        },
    }
}

fn contents(worksheet: &Worksheet) -> Vec<(String, String)> {
    let entries = worksheet.entries.iter();
    let line = |entry: &Entry| (entry.anchor.clone(), entry.heading());
    entries.map(line).collect()
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
/// those that stand on the page and the messages of those that do not; and what `±` stands for.
pub(super) fn summaries(worksheet: &Worksheet, failed: usize) -> Vec<Text> {
    let failed = match failed {
        0 => None,
        1 => Some("One check does not hold.".to_owned()),
        checks => Some(format!("{checks} checks do not hold.")),
    };
    let mut summaries: Vec<Text> = failed.map(Text::new).into_iter().collect();
    let errors = errors(worksheet);
    if !errors.is_empty() {
        summaries.push(refusals(worksheet, &errors));
    }
    if has_uncertain_results(worksheet) {
        summaries.push(Text::new(STANDARD.to_owned()));
    }
    summaries
}

/// What is said once of all uncertainties of a page.
const STANDARD: &str = "± is one standard uncertainty.";

fn has_uncertain_results(worksheet: &Worksheet) -> bool {
    let mut results = worksheet.statements().filter_map(|(_, it)| it.body.shown());
    results.any(|shown| !shown.uncertainties.is_empty())
}

fn refusals(worksheet: &Worksheet, errors: &BTreeMap<usize, &str>) -> Text {
    let anchors = anchors(worksheet);
    let mut text = Text::new(match errors.len() {
        1 => "One line is refused: ".to_owned(),
        lines => format!("{lines} lines are refused: "),
    });
    for (index, (line, message)) in errors.iter().enumerate() {
        if index > 0 {
            text.say(", ");
        }
        match anchors.get(line) {
            Some(anchor) => {
                let words = Text::new(format!("line {line}"));
                text.put(Set::To(anchor.clone(), words));
            }
            None => {
                text.say(format!("line {line} ("));
                super::notice::sentence(message, &mut text);
                text.say(")");
            }
        }
    }
    text.say(".");
    text
}

/// The anchors of the lines whose statements have something to say.
fn anchors(worksheet: &Worksheet) -> BTreeMap<usize, String> {
    let mut anchors = BTreeMap::new();
    for (placed, statement) in worksheet.statements() {
        for index in &statement.diagnostics {
            if let Some(diagnostic) = placed.problem.diagnostics.get(*index) {
                let line = worksheet.line(placed, diagnostic.span);
                anchors.insert(line, placed.anchor(&statement.id));
            }
        }
    }
    anchors
}
