//! The step put right as edits, where the text with the one change is known exactly.
//!
//! In go a slip and the place of the part that it is at, out comes a fix. Which slip it is has
//! been proved before.

use crate::diagnostic::{Decision, Fix};
use crate::functions::Function;
use crate::resolve::slip::Slip;
use crate::syntax::tokens::{self, tokens};
use crate::text::Span;

/// Before these a part can have a sign or a factor in front of it without brackets.
const OPENS: &[char] = &['=', '(', ',', '[', '<', '>'];

/// The edits of a step whose `part` has a slip; `members` are where its sides stand.
pub(super) fn fix(text: &str, members: &[Span], part: Span, slip: Slip) -> Option<Fix> {
    let around = Around::new(text, members, part)?;
    let edits = match slip {
        Slip::Sign => other_sign(&around),
        Slip::Factor(factor) => with_factor(&around, factor),
        Slip::Square => squared(&around),
        Slip::NoSquare => not_squared(&around),
        Slip::Function(from, to) => {
            let rest = around.written.strip_prefix(from.name())?;
            let is_whole = rest.starts_with(['(', ' ']);
            let end = part.start as usize + from.name().len();
            let name = Span::new(part.start as usize, end);
            is_whole.then(|| vec![(name, to.name().to_owned())])
        }
        Slip::Inverted => inverted(&around),
        Slip::NoRoot
        | Slip::Multiplied
        | Slip::NoTerm
        | Slip::NoNumber
        | Slip::NoFactor
        | Slip::NoTurn => None,
    }?;
    let mut edits = edits.into_iter();
    let (place, typed) = edits.next()?;
    let fix = Fix::new(Decision::Choose, "", place, typed);
    let fix = edits.fold(fix, |fix, (place, typed)| fix.and(place, typed));
    let step = members.iter().copied().reduce(Span::cover)?;
    let title = fix.applied_at(step.of(text), step.start)?;
    let words: Vec<&str> = title.split_whitespace().collect();
    Some(Fix {
        title: format!("write `{}`", words.join(" ")),
        ..fix
    })
}

type Edits = Option<Vec<(Span, String)>>;

/// A part with what stands around it in its side.
struct Around<'t> {
    part: Span,
    written: &'t str,
    /// The side up to the part, without blanks at its end.
    before: &'t str,
    /// How many blanks those are.
    blanks: usize,
    /// The side after the part, as it stands.
    after: &'t str,
}

impl<'t> Around<'t> {
    fn new(text: &'t str, members: &[Span], part: Span) -> Option<Self> {
        let side = members
            .iter()
            .find(|side| side.start <= part.start && part.end <= side.end)?;
        let before = Span {
            end: part.start,
            ..*side
        };
        let after = Span {
            start: part.end,
            ..*side
        };
        Some(Self {
            part,
            written: part.of(text),
            before: before.of(text).trim_end(),
            blanks: before.len() - before.of(text).trim_end().len(),
            after: after.of(text),
        })
    }

    /// Whether a sign or a factor can stand in front of the part without brackets.
    fn is_open(&self) -> bool {
        (self.before.is_empty() || self.before.ends_with(OPENS)) && !self.is_raised()
    }

    /// Whether a power or a component follows, which binds first.
    fn is_raised(&self) -> bool {
        let after = self.after.trim_start();
        after.starts_with(['^', '²', '³', '⁻', '⁴']) || self.after.starts_with('.')
    }

    /// Whether the part is what a function is applied to without brackets.
    fn is_applied_to(&self) -> bool {
        let last = tokens(self.before).last();
        last.is_some_and(|last| Function::reserved(last.text).is_some())
    }

    fn in_front(&self, typed: &str) -> (Span, String) {
        let start = self.part.start as usize;
        (Span::new(start, start), typed.to_owned())
    }

    fn behind(&self, typed: &str) -> (Span, String) {
        (self.part.at_end(), typed.to_owned())
    }
}

/// The part with the other sign: that before it changed, or a minus before it.
fn other_sign(around: &Around<'_>) -> Edits {
    if let Some(sign) = around
        .before
        .chars()
        .next_back()
        .filter(|it| "+-−".contains(*it))
        && !around.is_raised()
    {
        let end = around.part.start as usize - around.blanks;
        let place = Span::new(end - sign.len_utf8(), end);
        let front = &around.before[..around.before.len() - sign.len_utf8()];
        let is_first = front.trim_end().is_empty() || front.trim_end().ends_with(OPENS);
        let other = match (sign, is_first) {
            ('+', _) => "-",
            (_, true) => "",
            _ => "+",
        };
        return Some(vec![(place, other.to_owned())]);
    }
    match around.is_open() {
        true if around.written.starts_with(['-', '−']) => None,
        true => Some(vec![around.in_front("-")]),
        false => Some(vec![around.in_front("(-"), around.behind(")")]),
    }
}

fn with_factor(around: &Around<'_>, factor: &str) -> Edits {
    if around
        .written
        .starts_with(|character: char| character.is_ascii_digit())
    {
        return None;
    }
    let is_sum = around.before.ends_with(['+', '-', '−']) && !around.is_raised();
    Some(match around.is_open() || is_sum {
        true => vec![around.in_front(&format!("{factor} "))],
        false => vec![around.in_front(&format!("({factor} ")), around.behind(")")],
    })
}

fn squared(around: &Around<'_>) -> Edits {
    let is_simple = !around.is_raised() && !around.is_applied_to();
    (is_simple && !around.after.starts_with('(')).then(|| vec![around.behind("^2")])
}

fn not_squared(around: &Around<'_>) -> Edits {
    let stem = around.written.strip_suffix("^2");
    let stem = stem.or_else(|| around.written.strip_suffix('²'))?;
    let start = around.part.start as usize + stem.len();
    let place = Span::new(start, around.part.end as usize);
    Some(vec![(place, String::new())])
}

fn inverted(around: &Around<'_>) -> Edits {
    let (above, below) = around.written.split_once('/')?;
    let is_simple = |side: &str| tokens(side).count() == 1 && tokens::typed(side) == side;
    (is_simple(above.trim()) && is_simple(below.trim()))
        .then(|| vec![(around.part, format!("{}/{}", below.trim(), above.trim()))])
}
