//! What is sealed of a notebook, and what its ledger says.
//!
//! A ledger is a text: a line that says what it is, then a line for each part that was sealed,
//! oldest first, each with the hash of the line before. Files and the clock are handed in.

use std::fmt::Write as _;

use super::fill;
use super::model::{Body, Coverage, Entry, PartKind, Seal, Standing, Worksheet};
use super::{AskSite, is_refusal};
use crate::quantity::to_figures;
use crate::text::{Hash, Reader, Span};

/// The first line of a ledger.
const OPENING: &str = "setsquare seal 1";
/// What a ledger calls the part that no heading opens.
const TOP: &str = "above the first entry";
/// What stands in a field with nothing to say.
const NOTHING: &str = "-";

/// A part of a worksheet that is sealed by itself: an entry, or what stands above the first under
/// a level-1 heading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sealable {
    /// The words of its heading.
    pub name: String,
    /// Where it stands.
    pub span: Span,
    /// Of its text, without the engine's numbers and blank lines at its end.
    pub hash: Hash,
    /// The files it reads, each with the hash of its bytes.
    pub files: Vec<(String, Hash)>,
    /// Its answers, as `fill` writes them.
    pub answers: Vec<String>,
    /// The line of its first error.
    pub first_error: Option<usize>,
    /// The line of its first check that does not hold.
    pub first_failure: Option<usize>,
}

/// What is sealed by itself of a worksheet, top to bottom.
pub fn sealables(worksheet: &Worksheet) -> Vec<Sealable> {
    let text = worksheet.source.text();
    let asks: Vec<AskSite> = worksheet.asks().collect();
    let bounds = bounds(worksheet);
    let ends = bounds.iter().skip(1).map(|(start, _)| *start);
    let ends = ends.chain([text.len() as u32]);
    (bounds.iter().zip(ends))
        .map(|((start, name), end)| {
            let span = Span { start: *start, end };
            let errors = worksheet.diagnostics.iter();
            let mut errors = errors.filter(|it| is_refusal(it) && holds(span, it.span));
            let mut failures = worksheet.statements().filter(|(placed, statement)| {
                statement.holds() == Some(false) && holds(span, placed.span(statement.span))
            });
            let line = |place: Span| worksheet.source.line_of(place.start);
            Sealable {
                name: name.clone(),
                span,
                hash: Hash::of(asking(text, span, &asks).as_bytes()),
                files: files(worksheet, span),
                answers: answers(worksheet, span, &asks),
                first_error: errors.next().map(|it| line(it.span)),
                first_failure: failures
                    .next()
                    .map(|(placed, it)| line(placed.span(it.span))),
            }
        })
        .collect()
}

/// Where each part begins, and what it is called.
fn bounds(worksheet: &Worksheet) -> Vec<(u32, String)> {
    let text = worksheet.source.text();
    let entries = worksheet.entries.iter();
    let mut bounds: Vec<(u32, String)> = entries
        .map(|entry| (entry.span.start, entry.heading()))
        .collect();
    // The first level-1 heading is that of the part above the first entry.
    let problems = worksheet
        .parts()
        .filter_map(|(placed, part)| match &part.kind {
            PartKind::Heading { level: 1, text, .. } => {
                Some((placed.span(part.span).start, text.clone()))
            }
            _ => None,
        });
    let first_entry = bounds.first().map_or(u32::MAX, |(start, _)| *start);
    let mut problems: Vec<(u32, String)> = problems.collect();
    if problems.first().is_some_and(|(at, _)| *at < first_entry) {
        problems.remove(0);
    }
    bounds.append(&mut problems);
    bounds.sort_by_key(|(start, _)| *start);
    let above = bounds
        .first()
        .map_or(text.len(), |(start, _)| *start as usize);
    let is_blank = text
        .get(..above)
        .is_some_and(|text| text.trim_start_matches('\u{feff}').trim().is_empty());
    if !is_blank || bounds.is_empty() {
        bounds.insert(0, (0, TOP.to_owned()));
    }
    bounds
}

/// The files that the lines of a part read, and the worksheets they take from with all that those
/// read, as they were found.
fn files(worksheet: &Worksheet, span: Span) -> Vec<(String, Hash)> {
    let own = worksheet
        .statements()
        .filter(|(placed, statement)| holds(span, placed.span(statement.span)));
    let mut found: Vec<(String, Hash)> = Vec::new();
    for (placed, statement) in own {
        let problem = &placed.problem;
        let (mut read, mut taken) = (None, None);
        if let Body::Table(table) = &statement.body {
            read = table.file.as_deref();
        }
        if let Body::Given { from, .. } | Body::Function { from, .. } = &statement.body {
            taken = from.as_ref().map(|from| &*from.file);
            read = taken;
        }
        let sheets = problem.taken_from.iter();
        let below = sheets.filter(|(path, _)| Some(&**path) == taken);
        let below = below.flat_map(|(_, files)| files.iter().map(String::as_str));
        let paths: Vec<&str> = read.into_iter().chain(below).collect();
        let files = problem.files.iter();
        let files = files.filter(|file| paths.contains(&&*file.path));
        found
            .extend(files.filter_map(|file| Some((file.path.clone(), *file.found.as_ref().ok()?))));
    }
    found.sort_by(|one, other| one.0.cmp(&other.0));
    found.dedup();
    found
}

fn holds(outer: Span, inner: Span) -> bool {
    (outer.start..outer.end.max(outer.start + 1)).contains(&inner.start)
}

/// The text of a part with the engine's numbers taken out, so that `fill` breaks no seal.
fn asking(text: &str, span: Span, asks: &[AskSite]) -> String {
    let own = asks.iter().filter(|ask| holds(span, ask.place()));
    let edits = own.flat_map(|ask| ask.emptying(text)).collect();
    let asking = fill::apply_within(text, span, edits);
    let asking = asking.strip_prefix('\u{feff}').unwrap_or(&asking);
    let lines = asking.replace("\r\n", "\n").replace('\r', "\n");
    lines.trim_end().to_owned()
}

fn answers(worksheet: &Worksheet, span: Span, asks: &[AskSite]) -> Vec<String> {
    let statements = worksheet.statements();
    statements
        .filter_map(|(placed, statement)| {
            let Body::Answer { expr, shown, .. } = &statement.body else {
                return None;
            };
            let within = shown.coverage.as_ref().map_or_else(String::new, within);
            let place = placed.span(statement.span);
            let ask = asks.iter().find(|ask| holds(place, ask.place()))?;
            let name = placed.span(expr.span).of(worksheet.source.text());
            holds(span, place).then(|| Some(format!("{name} = {}{within}", ask.answer()?)))?
        })
        .collect()
}

/// ` (k = 1.96, 95 %)`: an expanded uncertainty says nothing without its factor.
fn within(coverage: &Coverage) -> String {
    let number = |factor: f64| match factor.fract() == 0.0 {
        true => factor.to_string(),
        false => to_figures(factor, 3).text(),
    };
    let (least, most) = (number(coverage.factors.0), number(coverage.factors.1));
    let mut factor = match coverage.in_words {
        true => format!("coverage factor {least}"),
        false => format!("k = {least}"),
    };
    if least != most {
        factor.push_str(&format!(" to {most}"));
    }
    match coverage.level {
        Some(level) => format!(" ({factor}, {} %)", (level * 1e8).round() / 1e6),
        None => format!(" ({factor})"),
    }
}

/// A ledger that was read.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Ledger {
    lines: Vec<Line>,
    /// The hash of the last line.
    last: Option<Hash>,
}

/// What a line of a ledger says.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Line {
    time: String,
    name: String,
    hash: Hash,
    files: Vec<(String, Hash)>,
    answers: String,
}

/// What is wrong with a ledger: the line that does not go on from the one before it, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Broken {
    /// 1-based.
    pub line: usize,
    /// Why, in a few words.
    pub why: &'static str,
}

impl Ledger {
    /// Reads a ledger; an empty text is one without lines.
    ///
    /// # Errors
    /// The first line that is none, or whose chain is broken.
    pub fn read(text: &str) -> Result<Self, Broken> {
        let mut ledger = Self::default();
        if text.is_empty() {
            return Ok(ledger);
        }
        for (index, written) in text.lines().enumerate() {
            let broken = |why| Broken {
                line: index + 1,
                why,
            };
            if index == 0 {
                let is_ledger = written == OPENING;
                is_ledger
                    .then_some(())
                    .ok_or(broken("this is no ledger of seals"))?;
                continue;
            }
            let (line, before) = line(written).ok_or(broken("this is no line of a ledger"))?;
            if before != ledger.last.unwrap_or(Hash::NONE) {
                return Err(broken("it does not go on from the line before it"));
            }
            if ledger.of(&line.name).is_some() {
                return Err(broken("what it seals was sealed before"));
            }
            ledger.lines.push(line);
            ledger.last = Some(Hash::of(written.as_bytes()));
        }
        if !text.ends_with('\n') {
            let line = text.lines().count();
            let why = "its end is missing";
            return Err(Broken { line, why });
        }
        Ok(ledger)
    }

    fn of(&self, name: &str) -> Option<&Line> {
        self.lines.iter().find(|line| line.name == name)
    }

    /// The line that seals a part now, to be written at the end; with the opening line where it
    /// is the first.
    pub fn seal(&mut self, part: &Sealable, time: &str) -> String {
        let line = Line {
            time: time.to_owned(),
            name: part.name.clone(),
            hash: part.hash,
            files: part.files.clone(),
            answers: part.answers.join("; "),
        };
        let written = line.written(self.last.unwrap_or(Hash::NONE));
        let opening = match self.lines.is_empty() {
            true => format!("{OPENING}\n"),
            false => String::new(),
        };
        self.last = Some(Hash::of(written.as_bytes()));
        self.lines.push(line);
        format!("{opening}{written}\n")
    }

    /// How a part stands to its seal.
    pub fn standing(&self, part: &Sealable) -> Standing {
        let Some(line) = self.of(&part.name) else {
            return Standing::NotSealed;
        };
        match line.hash == part.hash && line.answers == part.answers.join("; ") {
            true => Standing::AsSealed,
            false => Standing::Altered,
        }
    }

    /// What is to be said of a worksheet: each part and file, and how it stands to its seal.
    pub fn findings(&self, parts: &[Sealable]) -> Vec<Finding> {
        let mut findings = Vec::new();
        for part in parts {
            let sealed = self.of(&part.name);
            findings.push(Finding {
                name: part.name.clone(),
                standing: self.standing(part),
                why: sealed.and_then(|line| why(line, part)),
            });
            let files = sealed.map_or(&[][..], |line| &line.files);
            findings.extend(files.iter().map(|(file, hash)| {
                let now = part.files.iter().find(|(name, _)| name == file);
                Finding {
                    name: format!("{file}, of {}", part.name),
                    standing: match now {
                        None => Standing::Missing,
                        Some((_, now)) if now == hash => Standing::AsSealed,
                        Some(_) => Standing::Altered,
                    },
                    why: None,
                }
            }));
        }
        let gone = self.lines.iter();
        let gone = gone.filter(|line| parts.iter().all(|part| part.name != line.name));
        findings.extend(gone.map(|line| Finding {
            name: line.name.clone(),
            standing: Standing::Missing,
            why: None,
        }));
        findings
    }

    /// The seal of a part, as its page shows it.
    fn shown(&self, part: &Sealable) -> Option<Seal> {
        let line = self.of(&part.name)?;
        Some(Seal {
            time: line.time.clone(),
            hash: line.hash,
            standing: self.standing(part),
        })
    }
}

/// What is said of a part or a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// The words of the heading, or the name of the file.
    pub name: String,
    /// How it stands to its seal.
    pub standing: Standing,
    /// What was altered where the text was not.
    pub why: Option<String>,
}

fn why(line: &Line, part: &Sealable) -> Option<String> {
    let now = part.answers.join("; ");
    (line.hash == part.hash && line.answers != now).then(|| {
        let said = |answers: &str| match answers.is_empty() {
            true => "nothing".to_owned(),
            false => answers.to_owned(),
        };
        format!(
            "its text is as sealed, but it answered {} and answers {} now",
            said(&line.answers),
            said(&now)
        )
    })
}

/// The ledger of a worksheet, which stands beside it.
pub fn ledger_of(worksheet: &str) -> String {
    format!("{worksheet}.seal")
}

/// Puts to each entry of a worksheet the seal that it has in the ledger beside it.
pub(super) fn look_up(worksheet: &mut Worksheet, reader: &Reader<'_>) {
    if worksheet.entries.is_empty() {
        return;
    }
    let name = worksheet.source.name();
    let name = name.rsplit_once(['/', '\\']).map_or(name, |(_, name)| name);
    let contents = reader.read(&ledger_of(name));
    let text = contents.as_ref().as_ref().ok();
    let text = text.and_then(|(bytes, _)| std::str::from_utf8(bytes).ok());
    // What is wrong with a ledger is told by `setsquare seal --check`.
    let Some(Ok(ledger)) = text.map(Ledger::read) else {
        return;
    };
    let parts = sealables(worksheet);
    for entry in &mut worksheet.entries {
        let part = parts
            .iter()
            .find(|part| part.span.start == entry.span.start);
        entry.seal = part.and_then(|part| ledger.shown(part));
    }
}

/// Two parts with one heading, which a ledger could not tell apart.
pub fn twice(parts: &[Sealable]) -> Option<&Sealable> {
    let again = parts.iter().enumerate();
    again
        .filter(|(at, part)| parts[..*at].iter().any(|above| above.name == part.name))
        .map(|(_, part)| part)
        .next()
}

impl Line {
    fn written(&self, before: Hash) -> String {
        let mut files = String::new();
        for (index, (name, hash)) in self.files.iter().enumerate() {
            let comma = if index > 0 { ", " } else { "" };
            // Writing to a string does not fail.
            let _ = write!(files, "{comma}{} {hash}", escaped(name, ','));
        }
        let field = |text: &str| match text {
            "" => NOTHING.to_owned(),
            NOTHING => format!("\\{NOTHING}"),
            text => escaped(text, '|'),
        };
        format!(
            "{} | {} | {} | {} | {} | {before}",
            self.time,
            field(&self.name),
            self.hash,
            field(&files),
            field(&self.answers)
        )
    }
}

/// A line and the hash of the one before it.
fn line(written: &str) -> Option<(Line, Hash)> {
    let fields = split(written, '|');
    let [time, name, hash, files, answers, before] = fields.as_slice() else {
        return None;
    };
    let files = match files.as_str() {
        "" => Vec::new(),
        files => {
            let files = split(files, ',');
            let file = |file: &String| {
                let (name, hash) = file.rsplit_once(' ')?;
                Some((name.to_owned(), Hash::read(hash)?))
            };
            files.iter().map(file).collect::<Option<_>>()?
        }
    };
    let line = Line {
        time: time.clone(),
        name: name.clone(),
        hash: Hash::read(hash)?,
        files,
        answers: answers.clone(),
    };
    Some((line, Hash::read(before)?))
}

/// A text in which a sign does not divide.
fn escaped(text: &str, sign: char) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        if character == '\\' || character == sign {
            out.push('\\');
        }
        // A line ends a record.
        out.push(if character.is_control() {
            ' '
        } else {
            character
        });
    }
    out
}

/// The pieces between signs that are not escaped, without the blank on either side; an empty one
/// for what says that there is nothing.
fn split(text: &str, sign: char) -> Vec<String> {
    let mut ends = Vec::new();
    let mut is_escaped = false;
    for (at, character) in text.char_indices() {
        if character == sign && !is_escaped {
            ends.push(at);
        }
        is_escaped = character == '\\' && !is_escaped;
    }
    let starts = [0]
        .into_iter()
        .chain(ends.iter().map(|at| at + sign.len_utf8()));
    let pieces = starts.zip(ends.iter().copied().chain([text.len()]));
    pieces
        .map(|(start, end)| match text[start..end].trim() {
            NOTHING => String::new(),
            piece => unescaped(piece),
        })
        .collect()
}

fn unescaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut characters = text.chars();
    while let Some(character) = characters.next() {
        match character {
            '\\' => out.extend(characters.next()),
            character => out.push(character),
        }
    }
    out
}

impl Entry {
    /// The words of its heading.
    pub fn heading(&self) -> String {
        format!("{} {}", self.date, self.title)
            .trim_end()
            .to_owned()
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::text::Source;
    use crate::worksheet::compile;

    const TEXT: &str = "# Tank\n\n```given\nd = 15 mm\n```\n\n## 2026-03-10 First\n\n\
                        ```answer\nd = ? mm\n```\n\n## 2026-03-11 Second\n\nWords | more.\n";

    fn parts(text: &str) -> Vec<Sealable> {
        sealables(&compile(Source::new("tank.md", text)))
    }

    fn sealed(parts: &[Sealable]) -> String {
        let mut ledger = Ledger::default();
        let lines = parts
            .iter()
            .map(|part| ledger.seal(part, "2026-03-12T16:40:05Z"));
        lines.collect()
    }

    #[test]
    fn an_expanded_uncertainty_is_sealed_with_its_factor() {
        let text = "## 2026-03-10 First\n\n```given\nd = 15 mm ± 0.5 mm\n```\n\n\
                    ```answer\nd = ? mm with k = 2\n2 d = ? mm with 95 % coverage\nd\n```\n";
        assert_eq!(
            parts(text)[0].answers,
            [
                "d = (15.0 ± 1.0) mm (k = 2)",
                "2 d = (30.0 ± 2.0) mm (k = 1.96, 95 %)"
            ]
        );
    }

    fn standings(ledger: &str, text: &str) -> Vec<(String, Standing)> {
        let findings = Ledger::read(ledger).unwrap().findings(&parts(text));
        findings
            .into_iter()
            .map(|it| (it.name, it.standing))
            .collect()
    }

    #[test]
    fn a_worksheet_is_sealed_entry_by_entry() {
        let parts = parts(TEXT);
        let names: Vec<&str> = parts.iter().map(|part| part.name.as_str()).collect();
        assert_eq!(names, [TOP, "2026-03-10 First", "2026-03-11 Second"]);
        assert_eq!(parts[1].answers, ["d = 15 mm"]);
        let ledger = sealed(&parts);
        assert!(
            ledger.starts_with("setsquare seal 1\n2026-03-12T16:40:05Z | above the first entry | ")
        );
        assert!(ledger.lines().nth(1).unwrap().ends_with(&"0".repeat(64)));
        let standing = |(_, standing): (String, Standing)| standing;
        let all = standings(&ledger, TEXT).into_iter().map(standing);
        assert!(
            all.clone().all(|it| it == Standing::AsSealed),
            "{:?}",
            all.collect::<Vec<_>>()
        );
    }

    #[test]
    fn filling_line_ends_and_new_entries_break_no_seal_and_other_edits_break_one() {
        let ledger = sealed(&parts(TEXT));
        let kept = [
            TEXT.replace("d = ? mm", "d = 15.00 mm ?"),
            TEXT.replace('\n', "\r\n"),
            format!("{TEXT}\n\n## 2026-03-12 Third\n"),
            format!("\u{feff}{TEXT}"),
        ];
        for text in kept {
            let stands = standings(&ledger, &text);
            let sealed = stands.iter().filter(|(_, it)| *it == Standing::AsSealed);
            assert_eq!(sealed.count(), 3, "{text}: {stands:?}");
        }
        for (from, to, which) in [
            ("Words", "Word", 2),
            ("d = ? mm", "d = ?", 1),
            ("15 mm", "15.0 mm", 0),
        ] {
            let stands = standings(&ledger, &TEXT.replace(from, to));
            assert_eq!(stands[which].1, Standing::Altered, "{to}");
        }
        let stands = standings(&ledger, &TEXT.replace("15 mm", "16 mm"));
        assert_eq!(
            stands[1].1,
            Standing::Altered,
            "an answer that is another one now"
        );
        let stands = standings(&ledger, &TEXT.replace("2026-03-11 S", "2026-03-11 A s"));
        assert_eq!(stands[2].1, Standing::NotSealed);
        assert_eq!(stands[3].1, Standing::Missing);
    }

    #[test]
    fn a_notebook_may_begin_with_its_first_entry() {
        for text in ["## 2026-03-10 First\n", "\u{feff}\n## 2026-03-10 First\n"] {
            let parts = parts(text);
            let names: Vec<&str> = parts.iter().map(|part| part.name.as_str()).collect();
            assert_eq!(names, ["2026-03-10 First"]);
        }
        assert_eq!(parts("")[0].name, TOP);
    }

    #[test]
    fn a_problem_is_a_part_and_two_of_a_name_are_told() {
        let text = format!("{TEXT}\n# Other\n\n## 2026-03-11 Second\n");
        let parts = parts(&text);
        assert_eq!(parts[3].name, "Other");
        assert_eq!(twice(&parts).unwrap().name, "2026-03-11 Second");
        assert!(twice(&parts[..4]).is_none());
    }

    proptest! {
        #[test]
        fn a_line_is_read_back_and_any_change_above_breaks_the_chain(
            // A file has a name, without blanks around it.
            name in "[ -~]{1,12}", file in "[!-~]([ -~]{0,10}[!-~])?", answer in "[ -~]{0,12}", at in 0usize..4000,
        ) {
            let part = |name: &str| Sealable {
                name: name.trim().to_owned(),
                span: Span::new(0, 0),
                hash: Hash::of(name.as_bytes()),
                files: vec![(file.clone(), Hash::NONE), ("b,|\\.csv".into(), Hash::NONE)],
                answers: vec![answer.trim().to_owned()],
                first_error: None,
                first_failure: None,
            };
            let parts = [part(&format!("1{name}.")), part(&format!("2{name}."))];
            let ledger = sealed(&parts);
            let read = Ledger::read(&ledger).unwrap();
            for (line, part) in read.lines.iter().zip(&parts) {
                prop_assert_eq!(&line.name, &part.name);
                prop_assert_eq!(&line.files, &part.files);
                prop_assert_eq!(read.standing(part), Standing::AsSealed);
            }
            let last = ledger.trim_end().rfind('\n').unwrap();
            let at = at % last;
            let mut bytes = ledger.into_bytes();
            bytes[at] ^= 1;
            let changed = String::from_utf8(bytes).unwrap();
            prop_assert!(Ledger::read(&changed).is_err(), "{}", changed);
        }
    }
}
