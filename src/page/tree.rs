//! What a page says, before it is written in any format.
//!
//! Statements, data, checks and answers have nodes of their own; prose is the tree of
//! [`crate::document`] with what the page sets at its open places. How anything looks, and the
//! bytes of a format, are left to the writers.

use crate::document::{Block as Markdown, Image, Inline, Style};
use crate::drawing::ink::Drawing;
use crate::text::Series;
use crate::typeset::Node;

/// What stands among the words of a text.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Set {
    /// A formula or a value.
    Formula(Node),
    /// Words and formulas in a row.
    Words(Text),
    /// Words that belong together.
    Span(Manner, Text),
    /// Words on a line of their own.
    OwnLine(Aside, Text),
    /// Words that lead to the element with this id.
    To(String, Text),
    /// Words that lead to an equation: its number, after what the author calls it, if anything.
    Cited {
        id: String,
        words: String,
        number: usize,
    },
    /// A picture with its caption, which is all of its paragraph.
    Picture(Box<Picture>),
    /// The line may break here.
    MayBreak,
    /// Room that some digits would take, and a point where others have one.
    Room { digits: usize, has_point: bool },
    /// The numbers of a list below those that they belong to; the last row is the list.
    List {
        rows: Vec<Listed>,
        /// How many of them stand beside each other.
        columns: usize,
    },
}

/// How an equation is cited: "(3)".
pub(super) fn cited(words: &str, number: usize) -> String {
    let number = Series::Equation.reference(number);
    match words {
        "" => number,
        _ => format!("{words}\u{a0}{number}"),
    }
}

/// A picture with its caption.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Picture {
    pub id: String,
    pub image: Image,
    pub caption: Text,
}

/// A row of a list: what its numbers are, and these. Without a name they are counted.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Listed {
    pub name: Text,
    pub entries: Vec<Text>,
}

/// How words that belong together stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Manner {
    /// On one line while there is room, with whatever they hold.
    Piece,
    /// On one line: a name with its value.
    Value,
    /// Less loud than what is around them.
    Quiet,
    /// An ask that failed, and why.
    Failed,
    /// In the case of the author, where the words around are capitals.
    AsWritten,
    /// In front of an equation: "∴", "or".
    Mark,
    /// A description behind an answer.
    About,
}

/// What words on a line of their own are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Aside {
    /// A description.
    About,
    /// Whether and why a step follows.
    Verdict,
    /// Something more to say.
    More,
}

/// Words in a line, with formulas among them.
#[derive(Debug, Default, Clone, PartialEq)]
pub(super) struct Text(pub Vec<Inline<Set>>);

impl Text {
    pub(super) fn new(words: impl Into<String>) -> Self {
        Self(vec![Inline::Text(words.into())])
    }

    pub(super) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    pub(super) fn say(&mut self, words: impl Into<String>) {
        self.0.push(Inline::Text(words.into()));
    }

    pub(super) fn strong(&mut self, words: &str) {
        let words = vec![Inline::Text(words.to_owned())];
        self.0.push(Inline::Styled(Style::Strong, words));
    }

    pub(super) fn code(&mut self, code: &str) {
        self.0.push(Inline::Code(code.to_owned()));
    }

    pub(super) fn put(&mut self, set: Set) {
        self.0.push(Inline::other(set));
    }

    pub(super) fn formula(&mut self, node: Node) {
        self.put(Set::Formula(node));
    }

    pub(super) fn span(&mut self, manner: Manner, text: Self) {
        self.put(Set::Span(manner, text));
    }

    /// Puts a piece of a chain at the end: the row may be broken before it.
    pub(super) fn piece(&mut self, text: Self) {
        if !self.is_empty() {
            self.put(Set::MayBreak);
        }
        self.span(Manner::Piece, text);
    }

    /// Puts a ground below what is there in the column of reasons.
    pub(super) fn reason(&mut self, text: Self) {
        self.put(Set::OwnLine(Aside::Verdict, text));
    }

    pub(super) fn append(&mut self, mut other: Self) {
        self.0.append(&mut other.0);
    }
}

impl From<Node> for Text {
    fn from(node: Node) -> Self {
        Self(vec![Inline::other(Set::Formula(node))])
    }
}

/// What stands above the parts.
#[derive(Debug)]
pub(super) struct Top {
    /// The title with the anchor of the heading that it stands for.
    pub title: Option<(String, Option<String>)>,
    /// Course, author and date.
    pub facts: Vec<String>,
    /// The anchors and words of the entries, where they are listed.
    pub contents: Vec<(String, String)>,
}

/// A block of the page.
#[derive(Debug)]
pub(super) enum Block {
    /// A heading; the level is 1 to 6.
    Heading { level: u8, id: String, text: Text },
    /// Prose.
    Markdown(Markdown<Set>),
    /// Data, checks, what matters for a result.
    Table(Table),
    /// The unknowns.
    Required(Name, Vec<Entry>),
    /// The answers.
    Answers(Name, Vec<Entry>),
    /// Lines of `derive` or `work`, aligned on one equals sign.
    Lines(Vec<Line>),
    /// A figure.
    Figure(Box<Figure>),
    /// The source of a line that was refused.
    Refused(String),
    /// A line that needs what failed above, and what that is.
    Unevaluated(Text),
    /// What there is to say about a line, below it.
    Notice { is_error: bool, text: Text },
}

/// What stands above a block: nothing where the author's heading says it.
pub(super) type Name = Option<&'static str>;

/// A figure with its caption.
#[derive(Debug)]
pub(super) struct Figure {
    pub id: String,
    /// Whether it is a sketch, which shrinks as a whole.
    pub is_sketch: bool,
    /// As it is drawn on paper and on wide screens.
    pub wide: Drawing,
    /// As it is drawn on narrow screens, where that is not the same.
    pub narrow: Option<Drawing>,
    pub caption: Text,
    /// What was drawn, in a table that is shown where it is asked for.
    pub data: Option<FigureData>,
}

/// What was drawn in a figure.
#[derive(Debug)]
pub(super) struct FigureData {
    pub name: String,
    pub headings: Vec<Text>,
    pub rows: Vec<Vec<Text>>,
}

/// An unknown, or an answer.
#[derive(Debug)]
pub(super) struct Entry {
    pub id: String,
    pub text: Text,
    pub below: Vec<Block>,
}

/// A table with a name.
#[derive(Debug)]
pub(super) struct Table {
    pub kind: TableKind,
    pub id: Option<String>,
    pub caption: Text,
    pub columns: Vec<Text>,
    pub rows: Vec<Row>,
}

/// What a table shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum TableKind {
    Given,
    Check,
    Sensitivity,
    Budget,
    Trials,
    Dimensions,
    /// Readings.
    Data,
}

impl Table {
    /// Whether numbers stand in a column, point below point.
    pub(super) fn counts(&self, column: usize) -> bool {
        self.rows.iter().any(|row| match row {
            Row::Cells(_, cells) | Row::LeftOut(cells) | Row::Summary(cells) => {
                cells.get(column).is_some_and(|cell| cell.number.is_some())
            }
            Row::Whole(..) | Row::Note(_) => false,
        })
    }
}

/// A row of a table.
#[derive(Debug)]
pub(super) enum Row {
    /// A cell for each column; the first names the row.
    Cells(Option<String>, Vec<Cell>),
    /// A line without a result, across all columns.
    Whole(String, Vec<Block>),
    /// A row of readings that takes no part.
    LeftOut(Vec<Cell>),
    /// What is told of whole columns.
    Summary(Vec<Cell>),
    /// What else there is to say of the row above.
    Note(Vec<Block>),
}

/// A cell of a table.
#[derive(Debug)]
pub(super) struct Cell {
    pub text: Text,
    pub below: Vec<Block>,
    /// Of a number that stands below others, point below point: by how much it ends before them.
    pub number: Option<Ends>,
}

/// By how much a number ends before the longest one of its column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Ends {
    /// So many decimals.
    pub decimals: usize,
    /// Whether it has no point, and others have one.
    pub lacks_point: bool,
}

impl From<Text> for Cell {
    fn from(text: Text) -> Self {
        Self {
            text,
            below: Vec::new(),
            number: None,
        }
    }
}

/// A line of `derive` or `work`.
#[derive(Debug)]
pub(super) struct Line {
    /// The anchor of a statement; the lines inside a statement have none.
    pub id: Option<String>,
    pub rungs: Vec<Rung>,
    /// At the right of the first rung, in the column of reasons: the author's remark, and where
    /// the line is from.
    pub about: Text,
    /// The number of an equation, at the very right.
    pub number: Option<usize>,
    pub below: Vec<Block>,
}

/// One of the rungs of a line, from the top to the bottom.
#[derive(Debug)]
pub(super) enum Rung {
    /// What stands left of the equals sign, and the rest with the sign. A wide left side stands
    /// in a row with the rest.
    Equation {
        lead: Text,
        is_wide: bool,
        right: Text,
    },
    /// More of the right side.
    Side(Text),
    /// How the equation above is read.
    Remark(Text),
    /// What stands in the table below.
    LeadIn(Text),
    /// A line with words and a number of its own.
    Line(Line),
    /// A table among the lines.
    Table(Table),
    /// Words below a table.
    Words(Text),
}

/// Words at the begin of a sentence, with a capital letter; a name in small and large letters stays.
pub(super) fn begun(words: &str) -> String {
    let mut letters = words.chars();
    let (first, second) = (letters.next(), letters.next());
    let is_word = second.is_some_and(|it| !it.is_uppercase());
    match first.filter(|_| is_word) {
        Some(first) => first.to_uppercase().chain(words.chars().skip(1)).collect(),
        None => words.to_owned(),
    }
}

/// The picture that is all of a paragraph.
pub(super) fn picture(paragraph: &[Inline<Set>]) -> Option<&Picture> {
    match paragraph {
        [Inline::Other(set)] => match &**set {
            Set::Picture(picture) => Some(picture),
            _ => None,
        },
        _ => None,
    }
}
