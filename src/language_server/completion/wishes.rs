//! What may follow, told from the text before the cursor.
//!
//! In goes a line up to the cursor and the block it stands in, out come the kinds of things that
//! may be typed there, and what is written of one already.

use super::super::calls;
use super::written;
use crate::syntax::order::Next;
use crate::syntax::tokens::{TokenKind, is_word, label, tokens, typed};
use crate::syntax::{self, BlockKind, is_list_name};
use crate::text::Left;

/// A kind of thing that may be typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Wish<'a> {
    /// Quantities and `pi`.
    Names,
    /// Quantities that have no value yet, or may be given one here.
    Unknowns,
    /// Those of them that stand in the equations with these labels.
    UnknownsOf(&'a str),
    /// Quantities of `given`.
    Givens,
    /// Those of them that stand above, and `pi`.
    GivenAbove,
    /// Names that are used somewhere, and that no line gives a value or asks for.
    Undefined,
    /// Functions.
    Functions,
    /// Labels of equations.
    Labels,
    /// Names of pictures.
    Pictures,
    /// Published names of constants.
    Constants,
    /// Units, first those that fit.
    Units {
        /// The sides of an equation, of which one at least says what fits.
        of: Option<&'a str>,
    },
    /// Lists: the columns of tables among them.
    Lists,
    /// How times are written.
    Patterns,
    /// Units after a unit that may be complete.
    FurtherUnits,
    /// `%`.
    Percent,
    /// The components of this vector.
    Components(&'a str),
    /// Words of the language.
    Words(&'static [&'static str]),
    /// The words that open a line of this block.
    OpeningWords(BlockKind),
    /// The words that join the parts of a line of this block.
    JoiningWords(BlockKind),
    /// Words that follow others, and how early they are offered.
    Phrase(usize, &'static str),
    /// The places that these lines of a sketch have.
    PlacesAbove(&'a str),
    /// The places of all sketches.
    Places,
    /// The sections of all sketches.
    Sections,
    /// The labels of sketches.
    Sketches,
    /// `by balance`, where there is a sketch.
    ByBalance,
    /// Words of fences.
    Blocks,
    /// Keys of the front matter.
    Keys,
    /// Files beside the worksheet.
    Files(super::files::Of),
    /// Names of the worksheet at this path.
    NamesOf(&'a str),
    /// Problems of it.
    ProblemsOf(&'a str),
}

impl Wish<'_> {
    /// Whether it may stand almost anywhere.
    pub fn is_everywhere(&self) -> bool {
        matches!(
            self,
            Self::Names | Self::Unknowns | Self::GivenAbove | Self::Undefined | Self::Functions
        )
    }
}

/// What may be typed, and what is written of it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Wishes<'a> {
    pub typed: &'a str,
    pub list: Vec<Wish<'a>>,
    /// The sides of an equation whose dimension a quantity has that is typed here.
    pub fits: Option<&'a str>,
}

impl<'a> Wishes<'a> {
    pub fn new(typed: &'a str, list: Vec<Wish<'a>>) -> Self {
        let fits = None;
        Self { typed, list, fits }
    }
}

/// A line up to what is being typed.
#[derive(Debug, Clone, Copy)]
struct Line<'a> {
    /// `None` in a code span.
    block: Option<BlockKind>,
    /// The statement without its label, up to what is being typed.
    head: &'a str,
}

const FIGURES: &[&str] = &[
    "2 figures",
    "3 figures",
    "4 figures",
    "1 decimals",
    "2 decimals",
];
const BETWEEN: Wish = Wish::Words(&["near", "between"]);
const FORMULA: [Wish; 2] = [Wish::Names, Wish::Functions];

/// What may follow in a line of a block.
pub(super) fn of_line(kind: BlockKind, before: &str) -> Wishes<'_> {
    let statement = before.trim_start_matches([' ', '\t', '>']);
    let after_label = label(statement).map_or(0, |label| label.len() + 1);
    of(Some(kind), statement[after_label..].trim_start())
}

/// What may follow in a code span.
pub(super) fn of_code(before: &str) -> Wishes<'_> {
    of(None, before.trim_start())
}

fn of(block: Option<BlockKind>, statement: &str) -> Wishes<'_> {
    if let Some(open) = calls::open(statement)
        && open.name == "constant"
    {
        return Wishes::new(open.inside.trim_start(), vec![Wish::Constants]);
    }
    let (head, typed_now) = statement.split_at(statement.len() - typed(statement).len());
    if typed_now.starts_with(|letter: char| letter.is_ascii_digit()) {
        return Wishes::default();
    }
    if block == Some(BlockKind::Data) {
        return Wishes::new(typed_now, of_table(head));
    }
    if let Some(vector) = head.strip_suffix('.') {
        return Wishes::new(typed_now, vec![Wish::Components(typed(vector))]);
    }
    let line = Line { block, head };
    Wishes {
        fits: line.fits(),
        ..Wishes::new(typed_now, line.list())
    }
}

impl<'a> Line<'a> {
    fn list(self) -> Vec<Wish<'a>> {
        let words: Vec<&str> = self.head.split_whitespace().collect();
        if let Some(list) = self.balance() {
            return list;
        }
        match (words.as_slice(), self.block) {
            ([], block) => start(block),
            (["solve", ..], _) => self.solve(&words),
            (["component"], _) => vec![Wish::Words(&["x", "y", "z"])],
            (["component", _], _) => vec![Wish::Words(&["of"])],
            (["component", _, "of"], _) => vec![Wish::Labels],
            (["component", ..], _) => Vec::new(),
            (["show"], Some(BlockKind::Derive)) => vec![Wish::Words(&["dimensions"])],
            (["sensitivity"], _) => vec![Wish::Words(&["of"])],
            _ => match self.head.rfind('?') {
                Some(mark) => self.asked(&self.head[mark + 1..]),
                None => self.formula(&words),
            },
        }
    }

    /// In `balance y of beam`, also behind `by`.
    fn balance(self) -> Option<Vec<Wish<'a>>> {
        if self.block != Some(BlockKind::Derive) {
            return None;
        }
        if self.head.trim_end().ends_with(" by") {
            return Some(vec![Wish::Words(&["balance"])]);
        }
        let (_, followed) = syntax::balance_begun(self.head)?;
        (!followed.next.is_empty()).then(|| {
            let all = followed.next.iter().enumerate();
            all.map(|(order, next)| match next {
                Next::Words(phrase) => Wish::Phrase(order, phrase),
                Next::Place => Wish::Places,
                Next::Section => Wish::Sections,
                Next::Label => Wish::Sketches,
                Next::Formula | Next::Amount => Wish::Names,
            })
            .collect()
        })
    }

    /// What stands on the left of the last equals sign or relation.
    fn left(self) -> Option<&'a str> {
        let end = self.head.rfind(['=', '<', '>', '≤', '≥'])?;
        let left = self.head[..end].trim();
        (!left.is_empty()).then_some(left)
    }

    /// The sides that say of which dimension a quantity is here: it begins a side, or is a term.
    fn fits(self) -> Option<&'a str> {
        let left = self.left()?;
        let right = self.head.rsplit(['=', '<', '>', '≤', '≥']).next()?.trim();
        let is_term = right.is_empty() || right.ends_with(['+', '-', '−']);
        let open = right.matches(['(', '[']).count();
        (is_term && open == right.matches([')', ']']).count()).then_some(left)
    }

    /// After `?`.
    fn asked(self, asked: &'a str) -> Vec<Wish<'a>> {
        let words: Vec<&str> = asked.split_whitespace().collect();
        if let Some(at) = words.iter().rposition(|word| *word == "at") {
            return self.condition(&words[at + 1..]);
        }
        if let Some(at) = words.iter().position(|word| *word == "from") {
            return self.from(&words[at + 1..]);
        }
        if self.block.is_none() && words.contains(&"of") {
            return FORMULA.to_vec();
        }
        let unit = Wish::Units { of: self.left() };
        match words.as_slice() {
            [.., "to"] => vec![Wish::Words(FIGURES)],
            [.., "to", _] => vec![Wish::Words(&["figures", "decimals"])],
            [.., "to", _, _] => vec![self.after_ask()],
            [] => vec![unit, self.after_ask()],
            _ if asked.ends_with([' ', '\t']) => vec![
                Wish::Words(written::datum_words(asked)),
                self.after_ask(),
                Wish::FurtherUnits,
            ],
            _ => vec![unit],
        }
    }

    /// The words that may follow an ask.
    fn after_ask(self) -> Wish<'a> {
        Wish::Words(match self.block {
            Some(BlockKind::Work) => &["to", "from", "at"],
            None => &["to", "of", "at"],
            _ => &["to"],
        })
    }

    /// After `at`.
    fn condition(self, words: &[&'a str]) -> Vec<Wish<'a>> {
        let name = |word: &&&'a str| is_word(word);
        match words {
            [.., "="] => Vec::new(),
            [.., last] if ends_with_number(last) => {
                let of = words.iter().rev().skip(1).find(name).copied();
                vec![Wish::Units { of }]
            }
            [.., last] if !last.ends_with(',') => Vec::new(),
            _ => vec![Wish::Givens],
        }
    }

    /// After `from`.
    fn from(self, words: &[&'a str]) -> Vec<Wish<'a>> {
        match words {
            [] => vec![Wish::Labels],
            [_] => vec![BETWEEN, Wish::Words(&["at"])],
            [.., last] if ends_with_number(last) => {
                vec![Wish::Units { of: self.left() }, Wish::Words(&["and", "at"])]
            }
            [.., "near" | "between" | "and"] => Vec::new(),
            _ => vec![Wish::Words(&["and", "at"])],
        }
    }

    /// In a line of `solve`.
    fn solve(self, words: &[&'a str]) -> Vec<Wish<'a>> {
        let Some(at) = words.iter().position(|word| *word == "for") else {
            return vec![Wish::Labels, Wish::Words(&["for"])];
        };
        let unknowns = Wish::UnknownsOf(self.labels());
        match &words[at + 1..] {
            [] => vec![unknowns],
            [.., "near" | "between" | "and"] => Vec::new(),
            [.., "in"] if self.block == Some(BlockKind::Derive) => {
                vec![Wish::Words(&["full"])]
            }
            [.., last] if ends_with_number(last) => {
                let of = words.iter().rev().skip(2).find(|word| **word != "and");
                vec![
                    Wish::Units { of: of.copied() },
                    Wish::Words(&["and"]),
                    self.after_unknown(),
                ]
            }
            after if after.contains(&"with") => {
                vec![Wish::Names, Wish::Functions, Wish::Words(&["in full"])]
            }
            [.., last] if last.ends_with(',') => vec![unknowns],
            _ if self.block == Some(BlockKind::Derive) => {
                vec![Wish::Words(&["with", "between", "in full"])]
            }
            _ => vec![BETWEEN, self.after_unknown()],
        }
    }

    /// What stands between `solve` and `for`.
    fn labels(self) -> &'a str {
        let rest = self.head.trim_start();
        let rest = rest.strip_prefix("solve").unwrap_or(rest);
        rest.find(" for").map_or(rest, |at| &rest[..at])
    }

    /// The words that may follow the unknowns of `solve`.
    fn after_unknown(self) -> Wish<'a> {
        Wish::Words(match self.block {
            Some(BlockKind::Derive) => &["with", "in full"],
            _ => &["with"],
        })
    }

    /// Anywhere else in a statement.
    fn formula(self, words: &[&'a str]) -> Vec<Wish<'a>> {
        if let Some(list) = self.of_check(words) {
            return list;
        }
        let asks_only = matches!(self.block, Some(BlockKind::Required | BlockKind::Answer));
        if asks_only && self.head.contains('=') {
            return Vec::new();
        }
        let is_given = self.block == Some(BlockKind::Given);
        // What a line of `given` is of is known by the unit that is being typed, and not before.
        let of = self.left().filter(|_| !is_given);
        let head = self.head.trim_end();
        let is_apart = head.len() < self.head.len();
        let right = head.rsplit('=').next().unwrap_or("");
        let has_number = right.contains(|letter: char| letter.is_ascii_digit());
        if let Some(unit) = written::unit_after_number(right).filter(|_| is_given) {
            return after_unit(unit, is_apart);
        }
        if self.block.is_some_and(BlockKind::asserts) && head.contains("->") && is_apart {
            return vec![Wish::Words(&["as"]), Wish::FurtherUnits];
        }
        if let Some(list) = self.of_grid(head).filter(|_| is_apart) {
            return list;
        }
        if ends_with_number(head) || (is_given && head.ends_with(')') && has_number) {
            let mut list = vec![Wish::Units { of }];
            if !is_given {
                list.extend(FORMULA);
                list.extend(self.infix().filter(|_| is_apart));
            }
            return list;
        }
        if is_given {
            return vec![Wish::GivenAbove, Wish::Functions];
        }
        let mut list = FORMULA.to_vec();
        if is_apart && head.ends_with(|letter: char| letter.is_alphanumeric() || letter == ')') {
            list.extend(self.infix());
        }
        list
    }

    /// After a number of what a datum varies over.
    fn of_grid(self, head: &str) -> Option<Vec<Wish<'a>>> {
        let (_, numbers) = head.split_once(" from ")?;
        let is_number = self.block == Some(BlockKind::Versions)
            && numbers.starts_with(|letter: char| letter.is_ascii_digit() || letter == '-');
        let joined: &[&str] = match (numbers.contains(" in steps"), numbers.contains(" to ")) {
            _ if !is_number => return None,
            (true, _) => &[],
            (false, true) => &["in steps of"],
            (false, false) => &["to"],
        };
        Some(vec![Wish::Units { of: self.left() }, Wish::Words(joined)])
    }

    /// The words that may follow an operand.
    fn infix(self) -> Option<Wish<'a>> {
        let is_in_cases = calls::open(self.head).is_some_and(|open| open.name == "cases");
        Some(Wish::Words(match self.block {
            _ if is_in_cases => &["for", "otherwise"],
            Some(kind) if kind.asserts() && self.head.contains(['<', '>', '=', '≤', '≥']) => {
                &["within"]
            }
            Some(kind) if kind.asserts() => return Some(Wish::JoiningWords(kind)),
            Some(BlockKind::Answer) => &["to"],
            Some(BlockKind::Derive) if self.head.contains('=') => return Some(Wish::ByBalance),
            _ => return None,
        }))
    }

    /// After the words of a check.
    fn of_check(self, words: &[&str]) -> Option<Vec<Wish<'a>>> {
        if !self.block.is_some_and(BlockKind::asserts) {
            return None;
        }
        let words = match words {
            [.., "rises" | "falls", "with"] | [.., "depend", "on"] | [.., "as"] => {
                return Some(vec![Wish::Givens]);
            }
            [.., "of"] => return Some(vec![Wish::Names]),
            [.., "rises" | "falls"] => Wish::Words(&["with"]),
            [.., "does"] => Wish::Words(&["not depend on"]),
            [.., "does", "not"] => Wish::Words(&["depend on"]),
            [.., "depend"] => Wish::Words(&["on"]),
            [.., "varies"] => Wish::Words(&["as"]),
            [.., "within"] => return Some(Vec::new()),
            [.., "within", _] => {
                return Some(vec![Wish::Percent, Wish::Units { of: self.left() }]);
            }
            _ => return None,
        };
        Some(vec![words])
    }
}

/// What follows in a line of `data`.
fn of_table(head: &str) -> Vec<Wish<'_>> {
    let words: Vec<&str> = head.split_whitespace().collect();
    let is_apart = head.ends_with([' ', '\t']) || head.is_empty();
    let list: &[&str] = match words.as_slice() {
        [] => return vec![Wish::Lists, Wish::Words(LINES_OF_TABLE)],
        ["leave"] => &["out"],
        ["leave", "out"] => &["row", "rows", "where"],
        ["leave", "out", "where", ..] => {
            return vec![Wish::Lists, Wish::Words(&["and", "or", "not"])];
        }
        ["no"] => &["reading"],
        ["no", "reading"] => &["empty"],
        ["separated"] => &["by"],
        ["separated", "by"] => &["commas", "semicolons", "tabs", "bars", "blanks"],
        ["decimal"] => &["point", "comma"],
        ["headings"] => &["in line", "absent"],
        ["headings", "in"] => &["line"],
        ["text"] => &["in"],
        ["text", "in"] => &["UTF-8", "Windows-1252", "ISO-8859-1", "UTF-16"],
        [.., "="] => &["column"],
        [.., last] if last.ends_with('/') => {
            return vec![Wish::Units { of: None }, Wish::Patterns];
        }
        _ if head.ends_with('(') => &[
            "rectangular",
            "triangular",
            "arcsine",
            "resolution",
            "Poisson",
        ],
        [.., last] if head.contains('±') && is_apart && ends_with_number(last) => {
            return vec![Wish::Units { of: None }, Wish::Percent];
        }
        [.., last] if head.contains('±') && is_apart && *last != "±" => &[
            "each",
            "common",
            "(rectangular)",
            "(triangular)",
            "(arcsine)",
            "(k=2)",
            "of",
        ],
        [only] if is_apart && is_list_name(only) => {
            &["±", "(resolution", "(Poisson)", "read together"]
        }
        _ => &[],
    };
    vec![Wish::Words(list)]
}

/// The words that open lines of `data` besides the names of its columns.
const LINES_OF_TABLE: &[&str] = &[
    "leave out row",
    "leave out where",
    "no reading",
    "file",
    "separated by",
    "decimal comma",
    "headings in line",
    "text in",
    "rows",
];

/// At the start of a statement.
fn start<'a>(block: Option<BlockKind>) -> Vec<Wish<'a>> {
    let Some(kind) = block else {
        return FORMULA.to_vec();
    };
    let words = Wish::OpeningWords(kind);
    match kind.left() {
        // Data have names of their own.
        Left::Defined if kind == BlockKind::Given => vec![Wish::Undefined],
        Left::Defined | Left::Asked => vec![Wish::Unknowns, words],
        Left::Stated => vec![words, Wish::Names, Wish::Functions],
        Left::Used => vec![Wish::Names, Wish::Functions, words],
    }
}

/// After a unit of `given`, as far as it is written.
fn after_unit(unit: &str, is_apart: bool) -> Vec<Wish<'static>> {
    if unit.trim_end().ends_with('^') {
        return Vec::new();
    }
    let is_complete = is_apart && unit.trim_end().ends_with(|letter: char| letter != '/');
    if is_complete {
        let datum = Wish::Words(written::datum_words(unit));
        return vec![datum, Wish::FurtherUnits];
    }
    vec![Wish::Units { of: None }]
}

/// Whether a text ends with a number, and not with a name that has digits.
fn ends_with_number(text: &str) -> bool {
    let last = tokens(text).last();
    last.is_some_and(|last| last.kind == TokenKind::Number && last.end() == text.len())
}
