//! What marking finds: for each student the marks of each part, and why.

/// A list that was marked.
#[derive(Debug, Clone, PartialEq)]
pub struct Marked {
    /// The parts of the paper, in order.
    pub parts: Vec<PartOf>,
    /// The students, in the order of the list.
    pub students: Vec<Student>,
}

/// A part of a paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartOf {
    /// The number of its question, from 1.
    pub question: usize,
    /// Its letter; a part that is alone has none.
    pub letter: Option<char>,
    /// The name that is asked, as it is typed.
    pub name: String,
    /// The same as it is printed in plain text: `V₂`.
    pub printed: String,
    /// Its marks.
    pub of: u32,
}

impl PartOf {
    /// As a column of a list is headed: `1a`, `2`.
    pub fn column(&self) -> String {
        match self.letter {
            Some(letter) => format!("{}{letter}", self.question),
            None => self.question.to_string(),
        }
    }

    /// As it is told: `1 (a)`, `2`.
    pub fn told(&self) -> String {
        match self.letter {
            Some(letter) => format!("{} ({letter})", self.question),
            None => self.question.to_string(),
        }
    }
}

/// A student, who is an id and nothing else.
#[derive(Debug, Clone, PartialEq)]
pub struct Student {
    /// The candidate number.
    pub id: Box<str>,
    /// The version of the paper.
    pub version: u16,
    /// The line of the list.
    pub line: usize,
    /// The answers, one for each part of the paper.
    pub answers: Vec<Answer>,
}

impl Student {
    /// The marks that were given.
    pub fn marks(&self) -> u32 {
        self.answers.iter().map(|answer| answer.marks).sum()
    }

    /// Those that a person still decides.
    pub fn open(&self) -> u32 {
        self.answers.iter().map(|answer| answer.open).sum()
    }
}

/// The answer to a part.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// As the student wrote it.
    pub written: Box<str>,
    /// What it was read as, in coherent SI units; empty where it was not read.
    pub si: Vec<f64>,
    /// The same in the unit that is asked.
    pub value: Vec<f64>,
    /// What it was read as, where that is not what stands there.
    pub read_as: Option<String>,
    /// The marks that it has.
    pub marks: u32,
    /// The marks that a person decides.
    pub open: u32,
    /// What was found.
    pub verdict: Verdict,
    /// The names whose values were carried, where the answer is right with them.
    pub carried: Vec<String>,
    /// Whether the student's own numbers were put in for right ones too.
    pub is_own: bool,
    /// The version whose answer it is.
    pub other_version: Option<u16>,
    /// Whether it is right by another route than the main one, and which.
    pub route: Option<usize>,
    /// The slip that agrees with it.
    pub slip: Option<Slip>,
    /// Whether the marks are to be confirmed by a person.
    pub is_proposed: bool,
    /// What else a marker sees, in sentences.
    pub remarks: Vec<String>,
    /// The right answer of the version, as it is printed: `551 N upstream`.
    pub right: String,
}

/// What was found of an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// It is right.
    Right,
    /// It is right with the student's own earlier numbers.
    Carried,
    /// It is right to two figures.
    Rounded,
    /// It is right but for its sign.
    Direction,
    /// It agrees with a slip.
    Slip,
    /// It is right with a slip that was named before.
    SlipAgain,
    /// It is not right.
    Wrong,
    /// Its number is right, and its unit of another kind.
    Unit,
    /// Nothing is written.
    Blank,
    /// A person gave its marks.
    ByHand,
    /// A person has to read it.
    ToBeRead,
    /// It is the answer of another version.
    OtherVersion,
    /// It is right by a route whose direction the numbers do not tell.
    TwoRoutes,
}

impl Verdict {
    /// As it is told.
    pub fn words(self) -> &'static str {
        match self {
            Self::Right => "right",
            Self::Carried => "carried",
            Self::Rounded => "rounded",
            Self::Direction => "direction",
            Self::Slip => "slip",
            Self::SlipAgain => "slip again",
            Self::Wrong => "wrong",
            Self::Unit => "unit",
            Self::Blank => "blank",
            Self::ByHand => "by hand",
            Self::ToBeRead => "to be read",
            Self::OtherVersion => "other version",
            Self::TwoRoutes => "two routes",
        }
    }
}

/// A slip that agrees with an answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Slip {
    /// What kind it is: `sign`.
    pub class: &'static str,
    /// What the working has then: "the sign of `p_1 A_1` is the other one".
    pub text: String,
    /// The worksheet and the line, from 1, in which it sits.
    pub place: (String, usize),
}
