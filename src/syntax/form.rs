//! Lines that a word opens or joins: `therefore`, `solve`, `rises with`, `->` and their kin.
//!
//! In goes the text of a statement, out come its form and, where it cannot be read or stands in
//! the wrong block, what to say. The lines are read in `step` and `trend`.

use super::formula::{Read, Reader};
use super::grammar::{self, Pairs, Rule, Stopped};
use super::mend::part;
use super::tokens::{tokens, word_at, words};
use super::{BlockKind, Statement, diagnose};
use crate::diagnostic::{Applicability, Code, Diagnostic, Fix};
use crate::text::Span;

/// A kind of line that is known by its words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Form {
    Therefore,
    Solve,
    Component,
    ShowDimensions,
    Trend,
    Limit,
    Sensitivity,
}

/// What follows an opening word where it is a name after all, or wants to be one.
const AFTER_A_NAME: [char; 6] = ['=', '<', '>', '≤', '≥', ':'];
/// Words that join the parts of a trend or limit, and words that an author might hold for such.
const OF_TRENDS: &[&str] = &[
    "as",
    "decreases",
    "depend",
    "dependent",
    "depends",
    "does",
    "falls",
    "grows",
    "increases",
    "proportional",
    "rises",
    "varies",
    "with",
];

impl Form {
    /// The form of a line that begins with one of the opening words.
    pub(super) fn opening(body: &str) -> Option<Self> {
        // Most lines begin with none of these letters.
        if !body.starts_with(['t', 's', 'c', '∴']) {
            return None;
        }
        if body.starts_with('∴') {
            return Some(Self::Therefore);
        }
        let word = word_at(body, 0);
        let after = body.get(word.len()..).unwrap_or("").trim_start();
        if after.starts_with(AFTER_A_NAME) {
            return None;
        }
        match word {
            "therefore" => Some(Self::Therefore),
            "solve" => Some(Self::Solve),
            "component" => Some(Self::Component),
            "show" => Some(Self::ShowDimensions),
            // No reserved word: a quantity can have this name.
            "sensitivity" if word_at(after, 0) == "of" => Some(Self::Sensitivity),
            _ => None,
        }
    }

    /// The form that a line of `check` was meant to have when it is no comparison.
    fn of_check(body: &str) -> Option<Self> {
        if arrow(body).is_some() {
            return Some(Self::Limit);
        }
        if words(body).any(|(at, word)| at > 0 && OF_TRENDS.contains(&word)) {
            return Some(Self::Trend);
        }
        (word_at(body, 0) == "sensitivity").then_some(Self::Sensitivity)
    }

    /// The form that a line of another block has by its words, with the first of them.
    fn elsewhere(body: &str) -> Option<(Self, usize, &str)> {
        if let Some((at, arrow)) = arrow(body) {
            return Some((Self::Limit, at, arrow));
        }
        let mut words = words(body).peekable();
        while let Some((at, word)) = words.next() {
            let next = words.peek().map_or("", |(_, next)| *next);
            let is_trend = match word {
                "rises" | "falls" | "varies" => matches!(next, "with" | "as"),
                "does" => next == "not",
                _ => false,
            };
            if is_trend {
                return Some((Self::Trend, at, word));
            }
        }
        None
    }

    fn rule(self) -> Rule {
        match self {
            Self::Therefore => Rule::therefore_line,
            Self::Solve => Rule::solve_line,
            Self::Component => Rule::component_line,
            Self::ShowDimensions => Rule::show_line,
            Self::Trend => Rule::trend_line,
            Self::Limit => Rule::limit_line,
            Self::Sensitivity => Rule::sensitivity_line,
        }
    }

    fn belongs_in(self, kind: BlockKind) -> bool {
        match self {
            Self::Therefore | Self::Component | Self::ShowDimensions => kind == BlockKind::Derive,
            Self::Solve => matches!(kind, BlockKind::Derive | BlockKind::Work),
            Self::Trend | Self::Limit | Self::Sensitivity => kind == BlockKind::Check,
        }
    }

    /// What the line is called, and where it belongs.
    fn home(self) -> (&'static str, &'static str) {
        match self {
            Self::Therefore => ("a `therefore` line", "a `derive` block"),
            Self::Solve => ("a `solve` line", "a `derive` or a `work` block"),
            Self::Component => ("a `component` line", "a `derive` block"),
            Self::ShowDimensions => ("a `show` line", "a `derive` block"),
            Self::Trend => ("a trend", "a `check` block"),
            Self::Limit => ("a limit", "a `check` block"),
            Self::Sensitivity => ("a `sensitivity` line", "a `check` block"),
        }
    }

    /// The right form, as help.
    fn pattern(self, kind: BlockKind) -> &'static str {
        match self {
            Self::Therefore => "`therefore R_x = a - b`: the word, and an equation",
            Self::Solve if kind == BlockKind::Work => {
                "`solve a, b for x, y`, and where the roots are sought: `x near 1 m, y between 0 N and 2 N`"
            }
            Self::Solve => {
                "`solve balance for R_x`, then as needed `near 2 N` or `between 0 and 90 deg`, \
                 `with R_x > 0`, `show steps`, in this order"
            }
            Self::Component => {
                "`component x of joint`: `x`, `y` or `z`, and the label of an equation"
            }
            Self::ShowDimensions => {
                "`show dimensions`; `show steps` stands at the end of a `solve` line"
            }
            Self::Trend => {
                "`y rises with x`, `y falls with x`, `y does not depend on x` or `y varies as x^2`, \
                 where `x` is a name"
            }
            Self::Limit => "`y -> 0 as x -> inf`, where `x` is a name",
            Self::Sensitivity => "`sensitivity of y`",
        }
    }
}

/// Reads a line of this form.
pub(super) fn statement(form: Form, kind: BlockKind, reader: &mut Reader<'_>) -> Read<Statement> {
    let (body, start) = (reader.text, reader.start);
    if !form.belongs_in(kind) {
        return Err(misplaced(form, kind, diagnose::place(body, start, 0)));
    }
    let pairs = grammar::parse(form.rule(), body)
        .map_err(|stopped| unread(form, kind, body, start, &stopped))?;
    read(form, kind, reader, pairs)
}

/// Reads a line of `check` that is no comparison, where its words show another form.
pub(super) fn of_check(reader: &mut Reader<'_>) -> Option<Read<Statement>> {
    let form = Form::of_check(reader.text)?;
    Some(statement(form, BlockKind::Check, reader))
}

/// What to say about a line whose words belong to a `check`.
pub(super) fn of_check_elsewhere(
    kind: BlockKind,
    body: &str,
    start: usize,
) -> Option<Box<Diagnostic>> {
    let (form, at, word) = Form::elsewhere(body)?;
    let span = Span::new(start + at, start + at + word.len());
    Some(misplaced(form, kind, span))
}

fn read(form: Form, kind: BlockKind, reader: &mut Reader<'_>, pairs: Pairs<'_>) -> Read<Statement> {
    match form {
        Form::Therefore => reader.therefore(pairs).map(Statement::Therefore),
        Form::Solve => reader.solve(kind, pairs).map(Statement::Solve),
        Form::Component => reader.component_of(pairs).map(Statement::Component),
        Form::ShowDimensions => Ok(Statement::ShowDimensions),
        Form::Trend => reader.trend(pairs).map(Statement::Trend),
        Form::Limit => reader.limit(pairs).map(Statement::Limit),
        Form::Sensitivity => reader.sensitivity(pairs).map(Statement::Sensitivity),
    }
}

/// The first arrow, with its place.
fn arrow(body: &str) -> Option<(usize, &str)> {
    let arrow = tokens(body).find(|token| matches!(token.text, "->" | "→"))?;
    Some((arrow.at, arrow.text))
}

// ---- what is said -----------------------------------------------------------------------------

fn misplaced(form: Form, kind: BlockKind, span: Span) -> Box<Diagnostic> {
    let (line, home) = form.home();
    error(
        Code::S11,
        span,
        format!("{line} does not belong in `{}`", kind.word()),
        format!("the line in {home}"),
    )
}

fn unread(
    form: Form,
    kind: BlockKind,
    body: &str,
    start: usize,
    stopped: &Stopped,
) -> Box<Diagnostic> {
    let known = diagnose::unclosed_bracket(body, start)
        .or_else(|| diagnose::no_component(body, start, stopped.at))
        .or_else(|| match form {
            Form::Therefore => therefore_what(body, start),
            Form::Solve => solve_for_what(body, start),
            Form::Trend => other_joining_word(body, start),
            _ => None,
        });
    known.unwrap_or_else(|| {
        let at = diagnose::stop(body, stopped);
        error(
            Code::S01,
            diagnose::place(body, start, at),
            diagnose::cannot_stand(body, at),
            form.pattern(kind).to_owned(),
        )
    })
}

/// `therefore x`.
fn therefore_what(body: &str, start: usize) -> Option<Box<Diagnostic>> {
    let word_length = match body.starts_with('∴') {
        true => '∴'.len_utf8(),
        false => "therefore".len(),
    };
    let (word, rest) = body.split_at_checked(word_length)?;
    let side = rest.trim();
    if side.is_empty() || side.contains(AFTER_A_NAME) {
        return None;
    }
    let at = start + body.len() - rest.trim_start().len();
    let place = Span::new(at, at + side.len());
    let refusal = error(
        Code::S01,
        place,
        format!("`{side}` after `{word}` is no equation"),
        format!("`{word} {side} = …`, with what it equals"),
    );
    let title = format!("write `{word} {side} = …`");
    let equals = Fix::new(Applicability::Show, title, place.at_end(), " = …");
    Some(Box::new(refusal.with_fixes([equals])))
}

/// `solve x`.
fn solve_for_what(body: &str, start: usize) -> Option<Box<Diagnostic>> {
    if words(body).any(|(_, word)| word == "for") {
        return None;
    }
    let rest = body.strip_prefix("solve")?.trim();
    let help = match rest.rsplit_once(' ') {
        Some((labels, name)) => format!("`solve {} for {name}`", labels.trim_end()),
        None if rest.is_empty() => {
            "`solve balance for R_x`: the label of an equation, and a name in it".to_owned()
        }
        None => {
            format!("`solve {rest} for R_x` when `{rest}` is a label, else `solve for {rest}`")
        }
    };
    let place = Span::new(start, start + body.trim_end().len());
    let refusal = error(
        Code::S01,
        place,
        "this line does not say for which name to solve".to_owned(),
        help,
    );
    let name = rest.rsplit(' ').next().filter(|name| !name.is_empty());
    let for_it = name.and_then(|name| {
        let at = body.trim_end().len() - name.len();
        Reader::new(body, start).choice(place, &[(part(start, at, at), "for ")])
    });
    Some(Box::new(refusal.with_fixes(for_it)))
}

/// `varies with`, `rises as`, `does depend on`.
fn other_joining_word(body: &str, start: usize) -> Option<Box<Diagnostic>> {
    let words: Vec<_> = words(body).collect();
    if let Some(does) = words.iter().position(|(_, word)| *word == "does") {
        return other_dependence(body, start, words.get(does..)?);
    }
    for pair in words.windows(2) {
        let [(at, word), (next_at, next)] = *pair else {
            break;
        };
        let subject = body.get(..at).unwrap_or("").trim_end();
        let object = body.get(next_at + next.len()..).unwrap_or("").trim();
        let help = match (word, next) {
            ("varies", "with") => {
                format!("`{subject} varies as {object}`, or `rises with`, or `falls with`")
            }
            ("rises" | "falls", "as") => {
                format!("`{subject} {word} with x`, or for a power `{subject} varies as {object}`")
            }
            _ => continue,
        };
        let wanted = if word == "varies" { "as" } else { "with" };
        let joined = part(start, next_at, next_at + next.len());
        let opened = part(start, at, at + word.len());
        let refusal = error(
            Code::S01,
            joined,
            format!("`{word}` goes with `{wanted}`, not with `{next}`"),
            help,
        );
        let line = part(start, 0, body.trim_end().len());
        let others: &[(Span, &str)] = match word {
            "varies" => &[(joined, "as"), (opened, "rises"), (opened, "falls")],
            _ => &[(joined, "with"), (opened, "varies")],
        };
        let reader = Reader::new(body, start);
        let fixes = others
            .iter()
            .filter_map(|edit| reader.choice(line, std::slice::from_ref(edit)));
        return Some(Box::new(refusal.with_fixes(fixes)));
    }
    None
}

/// `does not depend of x`; `words` begin at `does`.
fn other_dependence(body: &str, start: usize, words: &[(usize, &str)]) -> Option<Box<Diagnostic>> {
    let [(at, does), rest @ ..] = words else {
        return None;
    };
    if let [(_, "not"), (_, "depend"), (_, "on"), ..] = rest {
        return None;
    }
    let subject = body.get(..*at).unwrap_or("").trim_end();
    let object = rest.last().map_or("x", |(_, word)| *word);
    let refusal = error(
        Code::S01,
        Span::new(start + at, start + at + does.len()),
        "`does` goes with `not depend on`".to_owned(),
        format!("`{subject} does not depend on {object}`"),
    );
    let fix = match rest {
        [.., (object_at, _)] if rest.iter().any(|(_, word)| *word == "not") => {
            let words = part(start, *at, *object_at);
            let line = part(start, 0, body.trim_end().len());
            Reader::new(body, start).choice(line, &[(words, "does not depend on ")])
        }
        _ => None,
    };
    Some(Box::new(refusal.with_fixes(fix)))
}

fn error(code: Code, span: Span, message: String, help: String) -> Box<Diagnostic> {
    Box::new(Diagnostic::error(code, span, message).with_help(help))
}
