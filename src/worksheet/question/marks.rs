//! `(2 method, 1 answer)`: the marks at the end of a description.

use crate::diagnostic::{Code, Diagnostic, nearest};
use crate::quantity::Within;
use crate::syntax::BlockKind;
use crate::text::Span;

/// The most marks of a kind that a line may have.
pub const MOST_MARKS: u8 = 99;

/// What marks are given for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MarkKind {
    /// Method and answer together.
    Both,
    /// The right relation.
    Method,
    /// The right value, or the right one with the student's own earlier one.
    Answer,
    /// The right value only, nothing carried.
    AnswerAlone,
    /// As many figures as the answer asks, or one more.
    Figures,
    /// A unit of the right kind.
    Unit,
    /// The right sign or word, whatever the size.
    Direction,
    /// What a person says.
    ByHand,
}

impl MarkKind {
    /// Every kind.
    pub const ALL: [Self; 8] = [
        Self::Both,
        Self::Method,
        Self::Answer,
        Self::AnswerAlone,
        Self::Figures,
        Self::Unit,
        Self::Direction,
        Self::ByHand,
    ];

    /// As an author writes it behind a number.
    pub fn word(self) -> &'static str {
        match self {
            Self::Both => "marks",
            Self::Method => "method",
            Self::Answer => "answer",
            Self::AnswerAlone => "answer alone",
            Self::Figures => "figures",
            Self::Unit => "unit",
            Self::Direction => "direction",
            Self::ByHand => "by hand",
        }
    }

    /// As it stands in the margin of a guide, before the number.
    pub fn letter(self) -> &'static str {
        match self {
            Self::Both => "",
            Self::Method => "M",
            Self::Answer => "A",
            Self::AnswerAlone => "A!",
            Self::Figures => "F",
            Self::Unit => "U",
            Self::Direction => "D",
            Self::ByHand => "H",
        }
    }

    fn named(word: &str) -> Option<Self> {
        match word {
            "mark" => Some(Self::Both),
            word => Self::ALL.into_iter().find(|kind| kind.word() == word),
        }
    }
}

/// The marks of a line.
#[derive(Debug, Clone, PartialEq)]
pub struct Marks {
    /// So many of each kind, in the order of the author.
    pub items: Vec<(u8, MarkKind)>,
    /// How far an answer may be off, where the line says so.
    pub within: Option<Within>,
    /// Where the bracket stands.
    pub span: Span,
}

impl Marks {
    /// All of them.
    pub fn total(&self) -> u32 {
        self.items.iter().map(|(count, _)| u32::from(*count)).sum()
    }
}

/// What stands at the end of a description.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::worksheet) enum Bracket {
    /// Marks.
    Marks(Marks),
    /// What is nearly that, and what was likely meant.
    Nearly {
        place: Span,
        message: String,
        help: String,
        meant: Option<String>,
    },
}

/// The marks at the end of the description at a place, if something of the kind stands there;
/// `asks` where a tolerance may stand among them.
pub(in crate::worksheet) fn read(text: &str, description: Span, asks: bool) -> Option<Bracket> {
    let words = description.of(text);
    let inner = words.strip_suffix(')')?;
    let open = inner.rfind('(')?;
    let inside = inner.get(open + 1..)?;
    if !inside.starts_with(|it: char| it.is_ascii_digit()) && !inside.starts_with("within ") {
        return None;
    }
    let place = Span::new(description.start as usize + open, description.end as usize);
    let mut marks = Marks {
        items: Vec::new(),
        within: None,
        span: place,
    };
    let mut corrected = Vec::new();
    let (mut is_right, mut is_told) = (true, true);
    for item in inside.split(',').map(str::trim) {
        match self::item(item, asks, &mut marks) {
            Some(()) => corrected.push(item.to_owned()),
            None => {
                is_right = false;
                match nearly(item) {
                    Some(meant) => corrected.push(meant),
                    // What begins as marks do is taken for them.
                    None if corrected.is_empty() => return None,
                    None => is_told = false,
                }
            }
        }
    }
    if is_right && (!marks.items.is_empty() || marks.within.is_some()) {
        return Some(Bracket::Marks(marks));
    }
    let meant = match is_told {
        true => format!("({})", corrected.join(", ")),
        false => "(2 method, 1 answer)".to_owned(),
    };
    let bracket = place.of(text);
    Some(Bracket::Nearly {
        place,
        message: format!("`{bracket}` is nearly a number of marks"),
        help: format!("`{meant}`, or other words at the end of the description"),
        meant: (is_told && meant != bracket).then_some(meant),
    })
}

/// `2 method` or `within 2 %`.
fn item(item: &str, asks: bool, marks: &mut Marks) -> Option<()> {
    if let Some(within) = item.strip_prefix("within ") {
        if !asks || marks.within.is_some() {
            return None;
        }
        marks.within = Some(Within::read(within)?);
        return Some(());
    }
    let (count, kind) = item.split_once(' ')?;
    let kind = MarkKind::named(kind.trim())?;
    let count: u8 = count.parse().ok()?;
    let is_new = marks.items.iter().all(|(_, other)| *other != kind);
    if !(1..=MOST_MARKS).contains(&count) || !is_new {
        return None;
    }
    marks.items.push((count, kind));
    Some(())
}

/// What was likely meant by what is no item; `None` where it is nothing of the kind.
fn nearly(item: &str) -> Option<String> {
    let near = |word: &str| {
        let word = word.to_lowercase();
        let known = MarkKind::ALL.into_iter().map(MarkKind::word);
        let known: Vec<&str> = known.chain(["mark"]).collect();
        match known.iter().find(|known| **known == word) {
            Some(known) => Some(*known),
            None => nearest(&word, known),
        }
    };
    if let Some(within) = item.strip_prefix("within ") {
        return Some(match Within::read(within) {
            Some(_) => item.to_owned(),
            None => "within 2 %".to_owned(),
        });
    }
    let (count, word) = item.split_once(' ')?;
    let count: u32 = count.parse().ok()?;
    let word = near(word.trim())?;
    let count = count.clamp(1, u32::from(MOST_MARKS));
    let word = match (count, word) {
        (1, "marks") => "mark",
        (_, word) => word,
    };
    Some(format!("{count} {word}"))
}

/// Whether marks count behind the lines of a block.
pub(in crate::worksheet) fn count_in(kind: BlockKind) -> bool {
    match kind {
        BlockKind::Required
        | BlockKind::Derive
        | BlockKind::Work
        | BlockKind::Check
        | BlockKind::Fit => true,
        BlockKind::Given
        | BlockKind::Data
        | BlockKind::Sketch
        | BlockKind::Plot
        | BlockKind::Answer
        | BlockKind::Versions => false,
    }
}

/// What is said of marks where none count.
pub(in crate::worksheet) fn do_not_count(kind: BlockKind, place: Span) -> Diagnostic {
    let message = format!("marks do not count in `{}`", kind.word());
    Diagnostic::warning(Code::P04, place, message).with_help("behind a line of the working")
}

/// What is said of what is nearly a number of marks.
pub(in crate::worksheet) fn is_nearly(bracket: &Bracket) -> Option<Diagnostic> {
    let Bracket::Nearly {
        place,
        message,
        help,
        meant,
    } = bracket
    else {
        return None;
    };
    let found = Diagnostic::warning(Code::P04, *place, message.clone()).with_help(help.clone());
    Some(match meant {
        Some(meant) => found.with_choice(*place, meant),
        None => found,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bracket(words: &str) -> Option<Bracket> {
        read(words, Span::new(0, words.len()), true)
    }

    fn items(words: &str) -> Vec<(u8, MarkKind)> {
        match bracket(words) {
            Some(Bracket::Marks(marks)) => marks.items,
            other => panic!("`{words}` has no marks: {other:?}"),
        }
    }

    #[test]
    fn marks_stand_at_the_end_in_brackets() {
        use MarkKind::{Answer, AnswerAlone, Both, ByHand, Direction, Method};
        assert_eq!(
            items("on the water (in the nozzle) (2 method, 1 answer)"),
            [(2, Method), (1, Answer)]
        );
        assert_eq!(items("(1 mark)"), [(1, Both)]);
        assert_eq!(
            items("x (1 answer alone, 2 by hand, 1 direction)"),
            [(1, AnswerAlone), (2, ByHand), (1, Direction)]
        );
        let Some(Bracket::Marks(marks)) = bracket("force (4 marks, within 2 %)") else {
            panic!("no marks");
        };
        let within = marks.within.as_ref().expect("a tolerance");
        assert_eq!((within.number(), within.is_share()), (2.0, true));
        assert_eq!(marks.total(), 4);
    }

    #[test]
    fn other_brackets_are_words() {
        for words in [
            "diameter (see 3 below)",
            "speed (2 m/s)",
            "as (3)",
            "(2 method) of it",
            "two (methods)",
            "(+ up, - down)",
            "(2 rivets, 3 plates)",
        ] {
            assert_eq!(bracket(words), None, "{words}");
        }
    }

    #[test]
    fn what_is_nearly_that_is_told_with_what_was_meant() {
        for (words, wanted) in [
            ("(2 marcs)", "(2 marks)"),
            ("(2 Method, 1 answer)", "(2 method, 1 answer)"),
            ("(0 marks)", "(1 mark)"),
            ("(100 marks)", "(99 marks)"),
            ("(2 marks, within 2)", "(2 marks, within 2 %)"),
        ] {
            match bracket(words) {
                Some(Bracket::Nearly { meant, .. }) => {
                    assert_eq!(meant.as_deref(), Some(wanted), "{words}");
                }
                other => panic!("`{words}`: {other:?}"),
            }
        }
    }

    #[test]
    fn a_tolerance_stands_where_something_is_asked() {
        let words = "(2 marks, within 2 %)";
        let found = read(words, Span::new(0, words.len()), false);
        assert!(matches!(found, Some(Bracket::Nearly { .. })));
    }
}
