//! Lines that cannot be read: what to say.
//!
//! In goes a statement that the grammar did not match, with the place where reading stopped, out
//! comes one diagnostic with a way out.

use super::grammar::{self, Stopped};
use super::reader::{Reader, error, part};
use super::tokens::{TokenKind, digits_apart, tokens, word_at, words};
use super::{Name, is_reserved};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::text::Span;

/// What to say about any text that was not matched; what is meant to stand there, where the place
/// alone does not tell.
pub(super) fn general(
    body: &str,
    start: usize,
    stopped: &Stopped,
    meant: String,
) -> Box<Diagnostic> {
    let at = stopped.at.min(body.len());
    if let Some(refusal) = known_trouble(body, start, at) {
        return refusal;
    }
    let span = place(body, start, at);
    let mut expected = stopped.expected.clone();
    if expected.contains(&grammar::UNIT)
        && let Some(raised) = raised(span, body.get(at..).unwrap_or(""))
    {
        return Box::new(
            error(
                Code::S01,
                span,
                cannot_stand(body, at),
                format!("`{raised}`, if the unit is meant"),
            )
            .with_choice(span, raised),
        );
    }
    if expected.contains(&grammar::OPERAND) {
        expected.retain(|words| *words != grammar::NUMBER);
    }
    let help = match expected.as_slice() {
        [] => meant,
        expected => format!("{} at this place", expected.join(", or ")),
    };
    error(Code::S01, span, cannot_stand(body, at), help)
}

/// `m3` as `m^3`: a unit whose power lost its mark.
fn raised(span: Span, rest: &str) -> Option<String> {
    let word = word_at(rest.trim_start(), 0);
    let (unit, power) = digits_apart(word);
    let is_unit = !unit.is_empty() && unit.chars().all(char::is_alphabetic);
    (is_unit && power.len() == 1 && span.len() == word.len()).then(|| format!("{unit}^{power}"))
}

/// Where a line of words cannot be read on: its end, when it breaks off after a word that
/// something follows.
pub(super) fn stop(body: &str, stopped: &Stopped) -> usize {
    match words(body).last() {
        Some((at, word))
            if (is_reserved(word) || word == "on") && body.trim_end().len() == at + word.len() =>
        {
            body.len()
        }
        _ => stopped.at,
    }
}

/// That reading stopped at `at`, in words.
pub(super) fn cannot_stand(body: &str, at: usize) -> String {
    let found = body.get(at..).unwrap_or("").trim_start();
    let word = word_at(found, 0);
    match found.chars().next() {
        None => "the line ends too early".to_owned(),
        Some('`') => "the backtick ` cannot stand here".to_owned(),
        Some(first) if word.is_empty() => format!("`{first}` cannot stand here"),
        Some(_) => format!("`{word}` cannot stand here"),
    }
}

/// How long the mark `in full` is, where a text is that and nothing else.
fn in_full(text: &str) -> Option<usize> {
    let mut mark = tokens(text);
    let (first, last) = (mark.next()?, mark.next()?);
    let is_mark = first.text == "in" && last.text == "full" && mark.next().is_none();
    is_mark.then(|| last.end())
}

/// `with 95 % confidence`: what stands behind an ask is a coverage.
fn no_coverage(body: &str, start: usize, at: usize) -> Option<Box<Diagnostic>> {
    let ask = body.find('?')?;
    let (from, word) = words(body)
        .filter(|(from, _)| *from > ask && *from <= at)
        .filter(|(_, word)| matches!(*word, "with" | "at"))
        .last()?;
    let rest = body.get(from + word.len()..)?.trim_end();
    let written = rest.trim_start();
    let is_number = written.starts_with(|first: char| first.is_ascii_digit());
    let is_level =
        is_number || written.starts_with("coverage") || written.starts_with("confidence");
    let is_factor = ["k", "K"].iter().any(|letter| {
        let behind = written.strip_prefix(letter).map(str::trim_start);
        behind.is_some_and(|behind| behind.starts_with('='))
    });
    if !(is_level || (is_factor && word == "with")) {
        return None;
    }
    let end = from + word.len() + rest.len();
    let shown = body.get(from..end)?;
    let help = "`with 95 % coverage`, `with k = 2` or `with coverage factor 2`";
    let refusal = error(
        Code::S01,
        Span::new(start + from, start + end),
        format!("`{shown}` is no coverage of an uncertainty"),
        help.to_owned(),
    );
    // A level of confidence is one of coverage by another word.
    let level = written.split_once('%').map(|(level, _)| level.trim());
    let level = level.filter(|level| is_number && level.parse::<f64>().is_ok());
    Some(match level {
        Some(level) => Box::new(refusal.with_choice(
            Span::new(start + from, start + end),
            format!("with {level} % coverage"),
        )),
        None => refusal,
    })
}

/// `5 mm ± ± 1 mm`
pub(super) fn twice(body: &str, start: usize, at: usize) -> Option<Box<Diagnostic>> {
    let (before, after) = (body.get(..at)?.trim_end(), body.get(at..)?.trim_start());
    let is_twice = before.ends_with('±') && after.starts_with('±');
    let from = body.len() - after.len();
    is_twice.then(|| {
        error(
            Code::S01,
            Span::new(start + from, start + from + '±'.len_utf8()),
            "two `±` follow each other".to_owned(),
            "one `±` before each size: `± 1.0 mm ± 0.5 mm`".to_owned(),
        )
    })
}

/// Mistakes with a cause of their own.
fn known_trouble(body: &str, start: usize, at: usize) -> Option<Box<Diagnostic>> {
    if let Some(refusal) = unclosed_bracket(body, start).or_else(|| no_component(body, start, at)) {
        return Some(refusal);
    }
    let blanks = body.get(at..)?.len() - body.get(at..)?.trim_start().len();
    let word = word_at(body, at + blanks);
    let word_span = Span::new(start + at + blanks, start + at + blanks + word.len());
    if let Some((from, text)) = after_to(body) {
        let span = Span::new(start + from, start + from + text.len());
        return Some(match figures_behind_words(body, from) {
            Some(after) => late_precision(body, start, (after, from), text),
            None => bad_precision(text, span),
        });
    }
    if let Some(refusal) = decimal_comma(body, start, at) {
        return Some(refusal);
    }
    if let Some(refusal) = no_coverage(body, start, at).or_else(|| twice(body, start, at)) {
        return Some(refusal);
    }
    if word == "and" && at > 0 {
        return Some(error(
            Code::S01,
            word_span,
            "two conditions are not joined by `and`".to_owned(),
            "a range such as `a < x < b`, or one statement a line".to_owned(),
        ));
    }
    if word == "where" && at > 0 {
        return Some(error(
            Code::S01,
            word_span,
            "rows of a list are chosen inside brackets, or by a line of its own".to_owned(),
            "`mean(p_i where t_i < 60 s)`, or above `p_s_i = p_i where t_i < 60 s`".to_owned(),
        ));
    }
    if let Some(length) = in_full(body.get(at + blanks..)?) {
        return Some(error(
            Code::S01,
            part(start, at + blanks, at + blanks + length),
            "`in full` stands at the end of a `solve` or `budget` line only".to_owned(),
            "the line without these words, or with a `*` between, if names or inches are meant"
                .to_owned(),
        ));
    }
    if is_reserved(word) {
        let refusal = error(
            Code::S14,
            word_span,
            format!("`{word}` is a word of the language and cannot be a name"),
            format!("another name, such as `{word}_1`"),
        );
        let after = body.get(at + blanks + word.len()..)?;
        let is_defined = at + blanks == 0 && after.trim_start().starts_with('=');
        return Some(match is_defined {
            true => Box::new(refusal.with_choice(word_span, format!("{word}_1"))),
            false => refusal,
        });
    }
    let bars: Vec<_> = tokens(body)
        .filter(|token| token.kind == TokenKind::Bar)
        .collect();
    if let (true, Some(last)) = (bars.len() % 2 == 1, bars.last()) {
        return Some(error(
            Code::S01,
            last.place(start),
            "the bars of this line do not pair".to_owned(),
            "a bar before and a bar after what the magnitude is of, or `abs(…)`".to_owned(),
        ));
    }
    if let [first, _, _, .., last] = bars.as_slice() {
        return Some(error(
            Code::S06,
            first.place(start).cover(last.place(start)),
            "these bars pair in more than one way".to_owned(),
            "`abs(…)` instead of the outer bars".to_owned(),
        ));
    }
    None
}

/// `3,5`, where reading stopped at the comma.
fn decimal_comma(body: &str, start: usize, at: usize) -> Option<Box<Diagnostic>> {
    let comma = at + body.get(at..)?.find(',').filter(|from| *from == 0)?;
    let mut around = tokens(body).filter(|token| {
        token.kind == TokenKind::Number && (token.end() == comma || token.at == comma + 1)
    });
    let (whole, part) = (around.next()?, around.next()?);
    let place = Span::new(start + whole.at, start + part.end());
    let (point, group) = (
        format!("{}.{}", whole.text, part.text),
        format!("{}{}", whole.text, part.text),
    );
    let is_plain = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if !is_plain(whole.text) {
        return None;
    }
    let written = body.get(whole.at..part.end())?;
    let is_group = part.text.len() == 3 && is_plain(part.text);
    let help = match is_group {
        true => format!("`{point}` with a point for decimals, or `{group}`"),
        false => format!("`{point}`"),
    };
    let mut refusal = Diagnostic::error(
        Code::S01,
        place,
        match is_group {
            true => format!("the comma of `{written}` has two readings"),
            false => {
                format!("the comma of `{written}` parts numbers: decimals stand after a point")
            }
        },
    )
    .with_help(help)
    .with_choice(place, point);
    if is_group {
        refusal = refusal.with_choice(place, group);
    }
    Some(Box::new(refusal))
}

/// A bracket without a partner.
pub(super) fn unclosed_bracket(body: &str, start: usize) -> Option<Box<Diagnostic>> {
    let offset = unclosed(body)?;
    let bracket = body.get(offset..offset + 1).unwrap_or("");
    let (message, help) = match bracket {
        "(" | "[" => (
            format!("`{bracket}` is not closed"),
            format!(
                "a `{}` after the part it belongs to",
                if bracket == "(" { ")" } else { "]" }
            ),
        ),
        _ => (
            format!("`{bracket}` closes nothing"),
            "an opening bracket before it, or leave it out".to_owned(),
        ),
    };
    let refusal = error(Code::S01, place(body, start, offset), message, help);
    Some(Box::new(
        refusal.with_fixes(paired_bracket(body, start, offset, bracket)),
    ))
}

/// The partner of a bracket where its side ends, or a bracket without one left out.
fn paired_bracket(body: &str, start: usize, at: usize, bracket: &str) -> Option<Fix> {
    let inside = body.get(at..)?;
    let equals = tokens(inside).find(|token| token.text == "=");
    let side = inside
        .get(..equals.map_or(inside.len(), |equals| equals.at))?
        .trim_end();
    let holds_something = side.len() > bracket.len();
    let partner = match bracket {
        "(" if holds_something => ")",
        "[" if holds_something => "]",
        _ => {
            let title = format!("leave out `{bracket}`");
            let place = part(start, at, at + 1);
            return Some(Fix::new(Decision::Choose, title, place, ""));
        }
    };
    let end = part(start, at + side.len(), at + side.len());
    Reader::new(body, start).choice(part(start, at, at + side.len()), &[(end, partner)])
}

/// `V.w`, where reading stopped at the dot.
pub(super) fn no_component(body: &str, start: usize, at: usize) -> Option<Box<Diagnostic>> {
    let letter = word_at(body.get(at..)?.strip_prefix('.')?, 0);
    let before = body.get(..at)?;
    let last = tokens(before).last();
    let name = last.filter(|last| last.kind == TokenKind::Word && last.end() == at);
    let name = name.map_or("", |name| name.text);
    if !letter.starts_with(char::is_alphabetic) {
        return None;
    }
    let end = start + at + 1 + letter.len();
    if name.is_empty() || before.ends_with(&format!(".{name}")) {
        return Some(component_of_formula(letter, Span::new(start + at, end)));
    }
    let place = Span::new(start + at - name.len(), end);
    let refusal = error(
        Code::S01,
        place,
        format!("`{name}.{letter}` is no component of a vector"),
        format!("`{name}.x`, `{name}.y` or `{name}.z`, or for a product `{name}*{letter}`"),
    );
    let dot = part(start, at, at + 1);
    let product = Reader::new(body, start).choice(place, &[(dot, "*")]);
    Some(Box::new(refusal.with_fixes(product)))
}

/// `(a + b).x`, `V.x.y`.
fn component_of_formula(letter: &str, span: Span) -> Box<Diagnostic> {
    error(
        Code::S01,
        span,
        format!("`.{letter}` does not follow a name, and only a name has components"),
        format!("a name for the vector in a line of its own, and `V.{letter}` here"),
    )
}

/// What follows `to` in an ask, `to` included.
fn after_to(body: &str) -> Option<(usize, &str)> {
    let ask = tokens(body).find(|token| token.kind == TokenKind::Ask)?.at;
    let (at, _) = words(body).find(|(at, word)| *at > ask && *word == "to")?;
    Some((at, body.get(at..)?.trim_end()))
}

/// The first bracket without a partner.
fn unclosed(body: &str) -> Option<usize> {
    let mut open = Vec::new();
    for token in tokens(body) {
        match token.kind {
            TokenKind::Open => open.push(token),
            TokenKind::Close => {
                let partner = if token.text == ")" { "(" } else { "[" };
                match open.pop() {
                    Some(opening) if opening.text == partner => {}
                    _ => return Some(token.at),
                }
            }
            _ => {}
        }
    }
    open.first().map(|opening| opening.at)
}

/// `x = ? m = y`.
pub(super) fn ask_in_the_middle(span: Span) -> Box<Diagnostic> {
    error(
        Code::S01,
        span,
        "an ask is the last member of its chain".to_owned(),
        "the formulas before it, as in `V_1 = Q/A_1 = ? m/s`".to_owned(),
    )
}

/// Where the words of signs begin that stand before `to 3 figures`, if they do.
fn figures_behind_words(body: &str, from: usize) -> Option<usize> {
    let mut precision = tokens(body.get(from..)?).skip(1);
    let (count, unit, end) = (precision.next()?, precision.next()?, precision.next());
    let is_precision = count.kind == TokenKind::Number
        && ["figure", "figures", "decimal", "decimals"].contains(&unit.text)
        && end.is_none();
    let before = body.get(..from)?.trim_end().strip_suffix(')')?;
    is_precision.then(|| before.rfind('(')).flatten()
}

/// `? kN (+ up, - down) to 3 figures`: the words begin at `after`, the figures at `from`.
fn late_precision(
    body: &str,
    start: usize,
    (after, from): (usize, usize),
    text: &str,
) -> Box<Diagnostic> {
    let place = Span::new(start + from, start + from + text.len());
    let blanks = body
        .get(..from)
        .map_or(0, |before| before.len() - before.trim_end().len());
    let moved = Fix::new(
        Decision::None,
        format!("move `{text}`"),
        Span::new(start + after, start + after),
        format!("{text} "),
    );
    let gone = Span::new(start + from - blanks, start + from + text.len());
    Box::new(
        Diagnostic::error(
            Code::S01,
            place,
            format!("`{text}` stands right after the unit, before the words of the signs"),
        )
        .with_help(format!(
            "`? … {text} {}`",
            body.get(after..from).unwrap_or("").trim_end()
        ))
        .with_fixes([moved.and(gone, "")]),
    )
}

/// `to many figures`.
pub(super) fn bad_precision(text: &str, span: Span) -> Box<Diagnostic> {
    error(
        Code::S01,
        span,
        format!("`{text}` does not say how many digits to show"),
        "`to N figures` with N from 1 to 15, `to N decimals` with N from 0 to 15, or \
         `to N figures of uncertainty` with N 1 or 2"
            .to_owned(),
    )
}

/// `42 kPa gauge ? abs`.
pub(super) fn second_word(text: &str, span: Span) -> Box<Diagnostic> {
    error(
        Code::S01,
        span,
        format!("`{text}` says twice what the number counts from"),
        "one word, after the unit".to_owned(),
    )
}

/// `min = …`.
pub(super) fn taken_name(name: &Name) -> Box<Diagnostic> {
    let key = &name.key;
    let refusal = error(
        Code::S14,
        name.span,
        format!("`{key}` is built in and cannot be defined"),
        format!("another name, such as `{key}_1`"),
    );
    Box::new(refusal.with_choice(name.span, format!("{key}_1")))
}

/// The character at `at`, or the end.
pub(super) fn place(body: &str, start: usize, at: usize) -> Span {
    let rest = body.get(at..).unwrap_or("");
    let blanks = rest.len() - rest.trim_start().len();
    let word = word_at(rest, blanks);
    let length = match word.len() {
        0 => rest.trim_start().chars().next().map_or(0, char::len_utf8),
        length => length,
    };
    let from = if rest.trim_start().is_empty() {
        body.len().min(at)
    } else {
        at + blanks
    };
    Span::new(start + from, start + from + length)
}
