//! The front matter: `key: rest of line` between two `---` lines at the very top.

use serde::Deserialize;
use serde::de::IntoDeserializer;
use serde::de::value::{Error, StrDeserializer};

use super::{Formulas, FrontMatter};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix, nearest};
use crate::quantity::Within;
use crate::text::Span;

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Key {
    Title,
    Author,
    Date,
    Course,
    Figures,
    Units,
    Paper,
    Language,
    Contents,
    Numbers,
    Layout,
    Topic,
    Level,
    Minutes,
    Time,
    Versions,
    Series,
    Formulas,
    Within,
    Space,
}

const KEYS: [&str; 20] = [
    "title", "author", "date", "course", "figures", "units", "paper", "language", "contents",
    "numbers", "layout", "topic", "level", "minutes", "time", "versions", "series", "formulas",
    "within", "space",
];

/// Reads the front matter of `text`; also says at which byte the Markdown begins.
pub(super) fn read(text: &str) -> (FrontMatter, usize, Vec<Diagnostic>) {
    let top = if text.starts_with('\u{feff}') {
        '\u{feff}'.len_utf8()
    } else {
        0
    };
    let mut front = FrontMatter::default();
    let mut diagnostics = Vec::new();
    let Some(block) = block(text, top) else {
        return (front, top, diagnostics);
    };
    if !block.closed {
        diagnostics.push(
            Diagnostic::error(Code::M03, block.opening, "the front matter is not closed")
                .with_help("`---` on a line of its own after the last key")
                .with_fixes([closing_line(text, block.body)]),
        );
    }
    let mut seen: Vec<(Key, Span)> = Vec::new();
    for line in block.lines {
        let found = match entry(line) {
            Some(entry) => set(&mut front, &mut seen, entry),
            None if is_empty(line.text) => None,
            None => Some(
                Diagnostic::error(
                    Code::M02,
                    line.span(),
                    format!("`{}` is not a key and its value", line.text.trim()),
                )
                .with_help("`key: value`, as in `title: Anchor block`"),
            ),
        };
        diagnostics.extend(found);
    }
    (front, block.body, diagnostics)
}

/// The line that closes the keys, after the last of them.
fn closing_line(text: &str, end: usize) -> Fix {
    let ending = match text.get(end..).is_some_and(|rest| rest.starts_with("\r\n")) {
        true => "\r\n",
        false => "\n",
    };
    let title = "close the front matter with `---`";
    let place = Span::new(end, end);
    Fix::new(Decision::Choose, title, place, format!("{ending}---"))
}

/// The lines between the two `---` lines.
struct Block<'t> {
    opening: Span,
    lines: Vec<Line<'t>>,
    closed: bool,
    body: usize,
}

/// A line without its line ending, and where it begins.
#[derive(Debug, Clone, Copy)]
struct Line<'t> {
    text: &'t str,
    start: usize,
}

impl Line<'_> {
    fn span(self) -> Span {
        let before = self.text.len() - self.text.trim_start().len();
        let start = self.start + before;
        Span::new(start, start + self.text.trim().len())
    }
}

/// The front matter's lines, if there is one: a lone `---` at the top may be a rule instead.
fn block(text: &str, top: usize) -> Option<Block<'_>> {
    let mut rest = lines(text, top);
    let (first, after_first) = rest.next()?;
    if first.text.trim_end() != "---" {
        return None;
    }
    let mut block = Block {
        opening: first.span(),
        lines: Vec::new(),
        closed: false,
        body: after_first,
    };
    for (line, after) in rest {
        if line.text.trim_end() == "---" {
            block.closed = true;
            block.body = after;
            break;
        }
        block.lines.push(line);
    }
    if !block.closed {
        let keys = block
            .lines
            .iter()
            .take_while(|line| is_comment(line.text) || entry(**line).is_some());
        block.lines.truncate(keys.count());
        let end = block
            .lines
            .last()
            .map_or(after_first, |line| line.start + line.text.len());
        block.body = end;
    }
    is_front_matter(&block).then_some(block)
}

/// Whether the lines are meant as keys: the first one has the form, or one has a known name.
fn is_front_matter(block: &Block<'_>) -> bool {
    let mut filled = block
        .lines
        .iter()
        .filter(|line| !is_empty(line.text))
        .peekable();
    match filled.peek() {
        None => block.closed,
        Some(first) => {
            entry(**first).is_some()
                || filled.any(|line| entry(*line).is_some_and(|entry| KEYS.contains(&entry.key)))
        }
    }
}

/// Each line from byte `start`, with the byte after its line ending.
fn lines(text: &str, start: usize) -> impl Iterator<Item = (Line<'_>, usize)> {
    let mut at = start;
    text.get(start..)
        .unwrap_or("")
        .split_inclusive('\n')
        .map(move |whole| {
            let line = Line {
                text: whole.trim_end_matches(['\n', '\r']),
                start: at,
            };
            at += whole.len();
            (line, at)
        })
}

fn is_comment(line: &str) -> bool {
    line.trim_start().starts_with('#')
}

fn is_empty(line: &str) -> bool {
    line.trim().is_empty() || is_comment(line)
}

/// One key with its value, quotes taken away.
struct Entry<'t> {
    key: &'t str,
    key_span: Span,
    value: &'t str,
    value_span: Span,
}

fn entry(line: Line<'_>) -> Option<Entry<'_>> {
    let (key, value) = line.text.split_once(':')?;
    let is_key = |character: char| character.is_alphanumeric() || matches!(character, '_' | '-');
    if key.trim().is_empty() || !key.trim().chars().all(is_key) {
        return None;
    }
    let part = |text, start| Line { text, start }.span();
    Some(Entry {
        key: key.trim(),
        key_span: part(key, line.start),
        value: unquoted(value.trim()),
        value_span: part(value, line.start + key.len() + 1),
    })
}

fn unquoted(value: &str) -> &str {
    ['"', '\'']
        .into_iter()
        .find_map(|quote| value.strip_prefix(quote)?.strip_suffix(quote))
        .unwrap_or(value)
}

fn set(
    front: &mut FrontMatter,
    seen: &mut Vec<(Key, Span)>,
    entry: Entry<'_>,
) -> Option<Diagnostic> {
    let Some(key) = word::<Key>(entry.key) else {
        return Some(unknown(&entry));
    };
    if let Some((_, first)) = seen.iter().find(|(other, _)| *other == key) {
        let message = format!("`{}` is set twice", entry.key);
        return Some(
            Diagnostic::error(Code::M02, entry.key_span, message)
                .with_note("first set here", *first)
                .with_help(format!("one line with `{}:`", entry.key)),
        );
    }
    seen.push((key, entry.key_span));
    let text = || Some(entry.value.to_owned()).filter(|value| !value.is_empty());
    let (allowed, example) = match key {
        Key::Title => return assign(&mut front.title, text()),
        Key::Author => return assign(&mut front.author, text()),
        Key::Date => return assign(&mut front.date, text()),
        Key::Course => return assign(&mut front.course, text()),
        Key::Time => return assign(&mut front.exam.time, text()),
        Key::Series => return assign(&mut front.exam.series, text()),
        Key::Topic => return assign(&mut front.exam.topics, several(entry.value)),
        Key::Formulas => return assign(&mut front.exam.formulas, formulas(entry.value)),
        Key::Level => assign_if(&mut front.exam.level, counted(entry.value, 1..=5), LEVEL),
        Key::Minutes => assign_if(
            &mut front.exam.minutes,
            counted(entry.value, 1..=999),
            MINUTES,
        ),
        Key::Versions => {
            let most = 0..=MOST_VERSIONS;
            assign_if(
                &mut front.exam.versions,
                counted(entry.value, most),
                VERSIONS,
            )
        }
        Key::Within => assign_if(&mut front.exam.within, within(entry.value), WITHIN),
        Key::Space => assign_if(&mut front.exam.space, word(entry.value), SPACE),
        Key::Figures => assign_if(&mut front.figures, figures(entry.value), FIGURES),
        Key::Units => assign_if(&mut front.units, word(entry.value), UNITS),
        Key::Paper => assign_if(&mut front.paper, word(entry.value), PAPER),
        Key::Contents => assign_if(&mut front.contents, contents(entry.value), CONTENTS),
        Key::Numbers => assign_if(&mut front.numbers, word(entry.value), NUMBERS),
        Key::Layout => assign_if(&mut front.layout, word(entry.value), LAYOUT),
        Key::Language => assign_if(&mut front.language, language(entry.value), LANGUAGE),
    }?;
    Some(
        Diagnostic::error(
            Code::M02,
            match entry.value_span.is_empty() {
                true => entry.key_span,
                false => entry.value_span,
            },
            format!(
                "`{}` cannot be `{}`: it is {allowed}",
                entry.key, entry.value
            ),
        )
        .with_help(example)
        .with_fixes(values(key, &entry)),
    )
}

/// What could be the value of a key of which few are allowed.
fn values(key: Key, entry: &Entry<'_>) -> Vec<Fix> {
    let allowed: &[&str] = match key {
        Key::Units => &["SI", "US"],
        Key::Paper => &["A4", "letter"],
        Key::Figures => &["4"],
        Key::Numbers => &["as given", "base units"],
        Key::Layout => &["compact", "full"],
        Key::Contents => &["yes", "no"],
        Key::Level => &["1", "2", "3", "4", "5"],
        Key::Space => &["lines", "boxes", "none"],
        Key::Within => &["1 %"],
        _ => &[],
    };
    let title = |value: &str| format!("write `{}: {value}`", entry.key);
    allowed
        .iter()
        .filter(|_| !entry.value_span.is_empty())
        .map(|value| Fix::new(Decision::Choose, title(value), entry.value_span, *value))
        .collect()
}

/// What a key allows, in words and as an author would type it.
type Allowed = (&'static str, &'static str);

const FIGURES: Allowed = ("a number from 1 to 15", "`figures: 4`");
const UNITS: Allowed = ("`SI` or `US`", "`units: SI` or `units: US`");
const PAPER: Allowed = ("`A4` or `letter`", "`paper: A4` or `paper: letter`");
const CONTENTS: Allowed = ("`yes` or `no`", "`contents: yes` or `contents: no`");
const NUMBERS: Allowed = (
    "`as given` or `base units`",
    "`numbers: as given` or `numbers: base units`",
);
const LAYOUT: Allowed = ("`compact` or `full`", "`layout: compact` or `layout: full`");
const LEVEL: Allowed = ("a number from 1 to 5", "`level: 2`");
const MINUTES: Allowed = ("a number from 1 to 999", "`minutes: 15`");
const VERSIONS: Allowed = ("a number from 0 to 300", "`versions: 4`");
const WITHIN: Allowed = ("a tolerance such as `1 %` or `0.3 K`", "`within: 1 %`");
const SPACE: Allowed = (
    "`lines`, `boxes` or `none`",
    "`space: lines` or `space: boxes`",
);
const LANGUAGE: Allowed = ("a language tag such as `en` or `pt-BR`", "`language: en`");

fn assign<T>(place: &mut T, value: T) -> Option<Diagnostic> {
    *place = value;
    None
}

/// Keeps the value that is there when there is no new one, and says then what is allowed.
fn assign_if<T>(place: &mut T, value: Option<T>, allowed: Allowed) -> Option<Allowed> {
    match value {
        Some(value) => {
            *place = value;
            None
        }
        None => Some(allowed),
    }
}

fn unknown(entry: &Entry<'_>) -> Diagnostic {
    let warning = Diagnostic::warning(
        Code::M01,
        entry.key_span,
        format!("`{}` is not a key of the front matter", entry.key),
    );
    match nearest(entry.key, KEYS) {
        Some(near) => warning
            .with_help(format!("`{near}: {}`", entry.value))
            .with_choice(entry.key_span, near),
        None => warning.with_help(format!(
            "one of the keys {}",
            KEYS.map(|key| format!("`{key}`")).join(", ")
        )),
    }
}

/// A value that is one of a few words.
fn word<'v, T: Deserialize<'v>>(value: &'v str) -> Option<T> {
    let deserializer: StrDeserializer<'v, Error> = value.into_deserializer();
    T::deserialize(deserializer).ok()
}

fn figures(value: &str) -> Option<u8> {
    let digits_only = value.bytes().all(|byte| byte.is_ascii_digit());
    let number = value.parse().ok().filter(|_| digits_only)?;
    (1..=15).contains(&number).then_some(number)
}

/// The most versions that a paper has.
pub const MOST_VERSIONS: u16 = 300;

/// A whole number within bounds.
fn counted<T>(value: &str, bounds: std::ops::RangeInclusive<T>) -> Option<Option<T>>
where
    T: PartialOrd + std::str::FromStr,
{
    let digits_only = value.bytes().all(|byte| byte.is_ascii_digit());
    let number = value.parse().ok().filter(|_| digits_only)?;
    bounds.contains(&number).then_some(Some(number))
}

/// What stands between commas.
fn several(value: &str) -> Vec<String> {
    let parts = value.split(',').map(str::trim);
    parts
        .filter(|part| !part.is_empty())
        .map(str::to_owned)
        .collect()
}

fn formulas(value: &str) -> Formulas {
    match several(value) {
        labels if labels.is_empty() => Formulas::None,
        labels if labels == ["cited"] => Formulas::Cited,
        labels => Formulas::Labels(labels),
    }
}

fn within(value: &str) -> Option<Option<Within>> {
    Within::read(value).map(Some)
}

fn contents(value: &str) -> Option<bool> {
    match value.to_ascii_lowercase().as_str() {
        "yes" => Some(true),
        "no" => Some(false),
        _ => None,
    }
}

/// The shape of a language tag (BCP 47): parts of one to eight letters or digits, the first of
/// letters.
fn language(value: &str) -> Option<String> {
    let part = |part: &str| {
        (1..=8).contains(&part.len()) && part.bytes().all(|byte| byte.is_ascii_alphanumeric())
    };
    let starts_with_letters = value.split('-').next().is_some_and(|first| {
        first.len() > 1 && first.bytes().all(|byte| byte.is_ascii_alphabetic())
    });
    (starts_with_letters && value.split('-').all(part)).then(|| value.to_owned())
}

#[cfg(test)]
mod tests {
    use super::super::{Exam, Layout, Numbers, Paper, Space, Units};
    use super::*;

    fn codes(text: &str) -> Vec<(Code, &str)> {
        let (_, _, diagnostics) = read(text);
        diagnostics
            .iter()
            .map(|found| (found.code, found.span.of(text)))
            .collect()
    }

    #[test]
    fn every_key_is_read_and_the_markdown_begins_after_the_last_line() {
        let text = "\u{feff}---\r\n# settings\r\ntitle: \"A: b\"\r\nauthor: 'the office'\r\n\
                    date: 2031-05-06\r\ncourse:\r\nfigures: 3\r\nunits: US\r\npaper: letter\r\n\
                    language: pt-BR\r\ncontents: yes\r\n\
                    numbers: base units\r\nlayout: full\r\ntopic: heat, tanks\r\nlevel: 2\r\n\
                    minutes: 15\r\ntime: 45 minutes\r\nversions: 4\r\nseries: spring\r\n\
                    formulas: energy, colebrook\r\nwithin: 2 %\r\nspace: boxes\r\n---\r\nx";
        let (front, body, diagnostics) = read(text);
        assert_eq!(diagnostics, []);
        assert_eq!(&text[body..], "x");
        let expected = FrontMatter {
            title: Some("A: b".to_owned()),
            author: Some("the office".to_owned()),
            date: Some("2031-05-06".to_owned()),
            course: None,
            figures: 3,
            units: Units::Us,
            paper: Paper::Letter,
            language: "pt-BR".to_owned(),
            contents: true,
            numbers: Numbers::BaseUnits,
            layout: Layout::Full,
            exam: Exam {
                topics: vec!["heat".to_owned(), "tanks".to_owned()],
                level: Some(2),
                minutes: Some(15),
                time: Some("45 minutes".to_owned()),
                versions: Some(4),
                series: Some("spring".to_owned()),
                formulas: Formulas::Labels(vec!["energy".to_owned(), "colebrook".to_owned()]),
                within: Within::read("2 %"),
                space: Space::Boxes,
            },
        };
        assert_eq!(front, expected);
    }

    #[test]
    fn an_unknown_key_is_a_warning_with_the_nearest_known_key() {
        let (_, _, diagnostics) = read("---\nfigrues: 3\n---\n");
        assert_eq!(diagnostics[0].code, Code::M01);
        assert!(!diagnostics[0].is_error());
        assert!(
            diagnostics[0]
                .help
                .as_deref()
                .unwrap()
                .contains("`figures: 3`")
        );
    }

    #[test]
    fn a_wrong_value_is_an_error_at_its_place_and_the_default_stands() {
        for (line, value) in [
            ("figures: 0", "0"),
            ("figures: 16", "16"),
            ("figures: +3", "+3"),
            ("figures: x", "x"),
            ("units: metric", "metric"),
            ("paper: A5", "A5"),
            ("language: en_GB", "en_GB"),
            ("language: \"><script>\"", "\"><script>\""),
        ] {
            let text = format!("---\n{line}\n---\n");
            assert_eq!(codes(&text), [(Code::M02, value)], "{line}");
            assert_eq!(read(&text).0, FrontMatter::default(), "{line}");
        }
        assert_eq!(
            codes("---\ntitle: a\ntitle: b\n---\n"),
            [(Code::M02, "title")]
        );
        assert_eq!(
            codes("---\ntitle: a\nfigures 3\n---\n"),
            [(Code::M02, "figures 3")]
        );
    }

    #[test]
    fn front_matter_without_an_end_is_an_error_and_its_keys_are_kept() {
        let text = "---\ntitle: a\n\n# Head: b\n";
        let (front, body, diagnostics) = read(text);
        assert_eq!(front.title.as_deref(), Some("a"));
        assert_eq!(&text[body..], "\n\n# Head: b\n");
        assert_eq!(diagnostics.len(), 1);
        assert_eq!(diagnostics[0].code, Code::M03);
    }

    #[test]
    fn a_rule_at_the_top_is_markdown() {
        for text in [
            "---\n\nSome text.\n\n---\n",
            "---\n",
            "----\ntitle: a\n---\n",
            "",
        ] {
            assert_eq!(read(text), (FrontMatter::default(), 0, vec![]), "{text:?}");
        }
    }
}
