//! The line of a file that looks like its headings, where they were sought in another.

use super::{
    Fault, Layout, Separator, Sign, Wanted, Which, reading_with, with_single_blanks, words,
};

/// Lines in which headings are sought.
const LINES: usize = 200;

/// What is said in place of faults that come from a wrong line of headings.
pub(super) fn instead(
    text: &str,
    layout: &Layout,
    wanted: &[Wanted<'_>],
    faults: &[Fault],
) -> Option<Fault> {
    let line = layout.headings.unwrap_or(1);
    let is_of_headings = |fault: &Fault| match fault {
        Fault::OneField { .. } => true,
        Fault::NoColumn { .. } | Fault::NoHeadings { .. } => layout.headings.is_some(),
        Fault::Count { first, .. } => *first == 1,
        Fault::NotText(_)
        | Fault::NotHeadings { .. }
        | Fault::SameTitle { .. }
        | Fault::Field { .. }
        | Fault::Open { .. }
        | Fault::TooManyRows
        | Fault::TooManyColumns { .. }
        | Fault::TooLong { .. }
        | Fault::NoRows { .. } => false,
    };
    if !faults.iter().all(is_of_headings) {
        return None;
    }
    let lines: Vec<&str> = text.lines().take(LINES.max(line)).collect();
    let here = lines.get(line.checked_sub(1)?).copied().unwrap_or("");
    let others = || {
        Separator::ALL
            .into_iter()
            .filter(|it| *it != layout.separator)
    };
    let separators = || std::iter::once(layout.separator).chain(others());
    let titles: Vec<&str> = (wanted.iter())
        .filter_map(|wanted| match wanted.which {
            Which::Titled(title) => Some(&**title),
            Which::Numbered(_) => None,
        })
        .collect();
    let with_titles = separators().find_map(|separator| {
        let has_all = |line: &str| {
            let fields = fields(line, separator);
            titles
                .iter()
                .all(|title| fields.iter().any(|own| own == title))
        };
        let at = lines.iter().position(|line| has_all(line))?;
        Some((at + 1, separator))
    });
    // Words with another title than the one that is asked for are headings all the same.
    let own = fields(here, layout.separator);
    let is_heading = own.len() > 1 && !own.iter().any(|it| is_number(it));
    let likely = match (titles.is_empty(), with_titles) {
        (false, Some(found)) => Some(found),
        _ if is_heading => return None,
        _ => above_numbers(&lines, separators()),
    };
    match likely {
        // They stand where they were sought.
        Some((at, _)) if at == line => None,
        Some(found) => Some(Fault::NotHeadings {
            line,
            text: here.into(),
            likely: Some(found),
        }),
        // A line of words is no heading, and blanks between them separate nothing.
        None => (faults.iter())
            .any(is_of_blanks)
            .then(|| Fault::NotHeadings {
                line,
                text: here.into(),
                likely: None,
            }),
    }
}

fn is_of_blanks(fault: &Fault) -> bool {
    matches!(
        fault,
        Fault::OneField {
            other: Separator::Blanks,
            ..
        }
    )
}

/// The first line of words over a line with as many fields, of which one at least is a number.
fn above_numbers(
    lines: &[&str],
    separators: impl Iterator<Item = Separator>,
) -> Option<(usize, Separator)> {
    let is_heading = |pair: &[&str], separator| {
        let [above, below] = [fields(pair[0], separator), fields(pair[1], separator)];
        above.len() > 1
            && above.len() == below.len()
            && !above.iter().any(|it| is_number(it))
            && below.iter().any(|it| is_number(it))
    };
    separators.into_iter().find_map(|separator| {
        let at = lines
            .windows(2)
            .position(|pair| is_heading(pair, separator))?;
        Some((at + 1, separator))
    })
}

fn is_number(field: &str) -> bool {
    let signs = [Sign::Point, Sign::Comma];
    signs
        .into_iter()
        .any(|sign| reading_with(field, sign).is_ok())
}

/// The fields of one line.
fn fields(line: &str, separator: Separator) -> Vec<String> {
    let line = match separator {
        Separator::Blanks => with_single_blanks(line),
        _ => line.to_owned(),
    };
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator.byte())
        .has_headers(false)
        .from_reader(line.as_bytes());
    let first = reader.byte_records().next().and_then(Result::ok);
    first.map_or_else(Vec::new, |fields| {
        fields.iter().map(|field| words(field).into()).collect()
    })
}
