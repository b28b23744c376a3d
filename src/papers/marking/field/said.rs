//! What a marker is told of a field.

use crate::diagnostic::Code;
use crate::syntax::Datum;

/// Why a person has to look at a field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Doubt {
    /// It is no quantity.
    NotUnderstood,
    /// It is too long to be one.
    TooLong,
    /// No unit is called so, or nearly so.
    NoSuchUnit(Box<str>),
    /// It is in several units: `5 ft 3 in`.
    Parts(Box<str>),
    /// It names another quantity of the question.
    OtherName(Box<str>),
    /// It may be this or that.
    TwoReadings(String, String),
    /// The sign and the word say it twice, or against each other.
    SignAndWord,
    /// Both words of direction stand there.
    BothWords,
    /// It counts from another datum, and nothing says how far that is.
    Datum(Datum),
    /// Turns, cycles or radians.
    Turning(Box<str>),
    /// It has so many entries, and so many are asked.
    Entries(usize, usize),
}

impl Doubt {
    /// The code of its message.
    pub fn code(&self) -> Code {
        match self {
            Self::NotUnderstood
            | Self::TooLong
            | Self::NoSuchUnit(_)
            | Self::Parts(_)
            | Self::OtherName(_) => Code::L05,
            Self::TwoReadings(..)
            | Self::SignAndWord
            | Self::BothWords
            | Self::Datum(_)
            | Self::Turning(_) => Code::L06,
            Self::Entries(..) => Code::L11,
        }
    }

    /// In words, of a field and of the name that is asked there.
    pub fn message(&self, field: &str, name: &str) -> String {
        let field = shortened(field);
        match self {
            Self::NotUnderstood => format!("`{field}` is not understood"),
            Self::TooLong => format!("`{field}` is too long for a quantity"),
            Self::NoSuchUnit(unit) => {
                format!("`{field}` is not understood: there is no unit `{unit}`")
            }
            Self::Parts(_) => format!("`{field}` is in several units"),
            Self::OtherName(other) => {
                format!("`{field}` names `{other}`, and `{name}` is asked")
            }
            Self::TwoReadings(one, other) => {
                format!("`{field}` has two readings: {one} or {other}")
            }
            Self::SignAndWord => format!("`{field}`: the sign and the word say it twice"),
            Self::BothWords => format!("`{field}` has words for both directions"),
            Self::Datum(word) => format!(
                "`{field}` is {}, and nothing says how that is compared with `{name}`",
                word.text()
            ),
            Self::Turning(unit) => {
                format!("`{field}` has two readings: in {unit} it may be turns, cycles or radians")
            }
            Self::Entries(written, asked) => {
                let entries = match written {
                    1 => "1 reading".to_owned(),
                    count => format!("{count} readings"),
                };
                format!("`{name}` has {entries}, the table {asked}")
            }
        }
    }
}

/// The start of a field that is long.
fn shortened(field: &str) -> String {
    const MOST: usize = 40;
    let field = field.trim();
    let is_control = |letter: char| letter.is_control();
    let start: String = (field.chars().take(MOST))
        .map(|letter| if is_control(letter) { ' ' } else { letter })
        .collect();
    match field.chars().nth(MOST) {
        Some(_) => format!("{}…", start.trim_end()),
        None => start,
    }
}

/// What a marker should see of a field that was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Remark {
    /// A sign for nothing.
    Blank(Box<str>),
    /// It was read otherwise than it is written.
    ReadAs(Box<str>, Box<str>),
    /// No unit is written.
    NoUnit,
    /// The unit is of another kind.
    OtherKind(Box<str>),
    /// A degree of a scale, of an interval.
    OfAnInterval(Box<str>),
    /// The other datum, converted by the pressure of the atmosphere.
    ByAtmosphere(Datum),
    /// It is told as near.
    About,
    /// Components were taken from size and angle.
    BySizeAndAngle,
}

impl Remark {
    /// `kNm` read as kN m.
    pub fn read_as(written: &str, read: &str) -> Self {
        Self::ReadAs(written.into(), read.into())
    }

    /// In words.
    pub fn text(&self) -> String {
        match self {
            Self::Blank(sign) => format!("`{sign}` is blank"),
            Self::ReadAs(written, read) => format!("`{written}` read as {read}"),
            Self::NoUnit => "no unit".to_owned(),
            Self::OtherKind(unit) => format!("`{unit}` is a unit of another kind"),
            Self::OfAnInterval(unit) => format!("`{unit}` read as an interval"),
            Self::ByAtmosphere(word) => {
                format!(
                    "`{}` converted by the pressure of the atmosphere",
                    word.text()
                )
            }
            Self::About => "said to be about so much".to_owned(),
            Self::BySizeAndAngle => "components from size and angle".to_owned(),
        }
    }
}
