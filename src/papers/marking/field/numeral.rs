//! Commas, points and blanks in the numbers of a field, to numbers as the language writes them.
//!
//! Every way to read a number is tried: with each of its signs as the decimal one, or with none.
//! What has one is read, what has two goes by the other numbers of the row, or to a person.

use super::Doubt;

/// What other fields of a row say of the decimal sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Signs {
    /// One has a comma that cannot group.
    comma: bool,
    /// One has a decimal point.
    point: bool,
    /// One has a point that could not group in any habit.
    certain_point: bool,
}

impl Signs {
    /// What a field says, where one number is asked.
    pub fn of(field: &str) -> Self {
        let pieces = pieces(field, Blanks::Group);
        (pieces.iter()).fold(Self::default(), |all, piece| match piece {
            Piece::Text(_) => all,
            Piece::Numeral(numeral) => all.and(numeral.says()),
        })
    }

    /// What both say.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self {
            comma: self.comma || other.comma,
            point: self.point || other.point,
            certain_point: self.certain_point || other.certain_point,
        }
    }

    /// Whether decimal commas are all that is known.
    pub(super) fn is_comma(self) -> bool {
        self.comma && !self.point
    }
}

/// What blanks between digits do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Blanks {
    /// Before groups of three digits they part thousands.
    Group,
    /// They stand between entries.
    Separate,
}

/// Blanks, also those at which no line is broken, and narrow ones.
pub(super) fn is_blank(letter: char) -> bool {
    letter.is_whitespace() || matches!(letter, '\u{2060}' | '\u{feff}')
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Separator {
    Blank,
    Comma,
    Point,
}

#[derive(Debug)]
enum Piece {
    Text(String),
    Numeral(Numeral),
}

/// Digits in groups, with what stands before each group but the first.
#[derive(Debug, Default)]
struct Numeral {
    written: String,
    groups: Vec<String>,
    between: Vec<Separator>,
}

/// A way to read a number.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Way {
    text: String,
    /// Its decimal sign.
    decimal: Option<Separator>,
}

impl Numeral {
    /// Every way to read it: a decimal sign has at most one kind of sign before it, which groups,
    /// and only blanks behind; a point never groups.
    fn ways(&self) -> Vec<Way> {
        let places = (0..self.between.len())
            .filter(|at| self.between.get(*at) != Some(&Separator::Blank))
            .map(Some);
        (std::iter::once(None).chain(places))
            .filter_map(|decimal| self.way(decimal))
            .collect()
    }

    fn way(&self, decimal: Option<usize>) -> Option<Way> {
        let sign = decimal.and_then(|at| self.between.get(at)).copied();
        let end = decimal.map_or(self.groups.len(), |at| at + 1);
        let (whole, part) = self.groups.split_at_checked(end)?;
        let before = self.between.get(..end - 1)?;
        let after = self.between.get(end..).unwrap_or_default();
        let grouping = before.first().copied();
        let is_one_kind = before.iter().all(|it| Some(*it) == grouping);
        let may_group = grouping != Some(Separator::Point) && (grouping != sign || sign.is_none());
        let is_parted = after.iter().all(|it| *it == Separator::Blank);
        let is_of_three = |groups: &[String]| groups.iter().all(|it| it.len() == 3);
        let whole_fits = match whole {
            [_] | [] => true,
            [first, rest @ ..] => {
                (1..=3).contains(&first.len()) && !first.starts_with('0') && is_of_three(rest)
            }
        };
        let part_fits = part.len() < 2 || is_of_three(part);
        if !(is_one_kind && may_group && is_parted && whole_fits && part_fits) {
            return None;
        }
        let text = match sign {
            None => whole.concat(),
            Some(_) => format!("{}.{}", whole.concat(), part.concat()),
        };
        Some(Way {
            text,
            decimal: sign,
        })
    }

    fn says(&self) -> Signs {
        let ways = self.ways();
        let (comma, point) = match ways.as_slice() {
            [only] => (
                only.decimal == Some(Separator::Comma),
                only.decimal == Some(Separator::Point),
            ),
            _ => (false, false),
        };
        Signs {
            comma,
            point,
            certain_point: point && self.grouped_by_points().is_none(),
        }
    }

    /// `1.234` as one who writes decimal commas may mean it.
    fn grouped_by_points(&self) -> Option<String> {
        match (self.groups.as_slice(), self.between.as_slice()) {
            ([first, last], [Separator::Point])
                if last.len() == 3 && (1..=3).contains(&first.len()) && !first.starts_with('0') =>
            {
                Some(self.groups.concat())
            }
            _ => None,
        }
    }

    /// The number as the language writes it, with what is known of the row.
    fn read(&self, field_has_point: bool, signs: Signs) -> Result<String, Doubt> {
        let mut ways = self.ways();
        // Beside a point a comma groups.
        ways.retain(|way| !(field_has_point && way.decimal == Some(Separator::Comma)));
        if let ([only], true, false, Some(grouped)) = (
            ways.as_slice(),
            signs.comma,
            signs.certain_point,
            self.grouped_by_points(),
        ) {
            return Err(Doubt::TwoReadings(only.text.clone(), grouped));
        }
        match ways.as_slice() {
            [only] => Ok(only.text.clone()),
            [grouped, decimal] => match (signs.comma, signs.point) {
                (true, false) => Ok(decimal.text.clone()),
                (false, true) => Ok(grouped.text.clone()),
                (true, true) | (false, false) => Err(Doubt::TwoReadings(
                    grouped.text.clone(),
                    decimal.text.clone(),
                )),
            },
            _ => Err(Doubt::NotUnderstood),
        }
    }
}

/// A field whose numbers are as the language writes them, and what was read otherwise than it is
/// written.
pub(super) fn plain(
    field: &str,
    blanks: Blanks,
    row: Signs,
) -> Result<(String, Vec<(String, String)>), Doubt> {
    let pieces = pieces(field, blanks);
    let numerals = || {
        (pieces.iter().enumerate()).filter_map(|(at, piece)| match piece {
            Piece::Text(_) => None,
            Piece::Numeral(numeral) => Some((at, numeral)),
        })
    };
    let has_point = numerals().any(|(_, it)| it.between.contains(&Separator::Point));
    let (mut text, mut otherwise) = (String::with_capacity(field.len()), Vec::new());
    for (at, piece) in pieces.iter().enumerate() {
        match piece {
            Piece::Text(own) => text.push_str(own),
            Piece::Numeral(numeral) => {
                let others = numerals().filter(|(other, _)| *other != at);
                let signs = others.fold(row, |all, (_, it)| all.and(it.says()));
                let read = numeral.read(has_point, signs)?;
                if read != numeral.written {
                    otherwise.push((numeral.written.clone(), read.clone()));
                }
                text.push_str(&read);
            }
        }
    }
    Ok((text, otherwise))
}

/// Whether a text is one number in some way.
pub(super) fn is_number(text: &str) -> bool {
    let bare = text
        .trim_matches(is_blank)
        .trim_start_matches(super::is_sign);
    let pieces = pieces(bare.trim_start_matches(is_blank), Blanks::Group);
    matches!(pieces.as_slice(), [Piece::Numeral(only)] if !only.ways().is_empty())
}

/// The numbers of a text, and what stands between them. Digits behind a letter, a bar or a raising
/// sign are none.
fn pieces(field: &str, blanks: Blanks) -> Vec<Piece> {
    let letters: Vec<char> = field.chars().collect();
    let (mut found, mut text, mut at) = (Vec::new(), String::new(), 0);
    while let Some(letter) = letters.get(at) {
        let before = text.chars().next_back();
        let is_part = before.is_some_and(|it| it.is_alphanumeric() || matches!(it, '_' | '^'));
        let is_digit = |at: usize| letters.get(at).is_some_and(char::is_ascii_digit);
        let begins = letter.is_ascii_digit() || matches!(letter, '.' | ',') && is_digit(at + 1);
        if begins && !is_part {
            if !text.is_empty() {
                found.push(Piece::Text(std::mem::take(&mut text)));
            }
            let numeral = numeral(&letters, &mut at, blanks);
            found.push(Piece::Numeral(numeral));
            // An exponent belongs to it, as do digits and signs that stand against it.
            while let Some(own) = letters.get(at) {
                let is_exponent = matches!(own, 'e' | 'E') && text.is_empty();
                let is_of_it = own.is_ascii_digit() || is_exponent;
                let is_sign = super::is_sign(*own) && matches!(text.as_str(), "e" | "E");
                if !(is_of_it || is_sign) {
                    break;
                }
                text.push(if is_sign && *own != '+' { '-' } else { *own });
                at += 1;
            }
            continue;
        }
        text.push(if is_blank(*letter) { ' ' } else { *letter });
        at += 1;
    }
    if !text.is_empty() {
        found.push(Piece::Text(text));
    }
    found
}

fn numeral(letters: &[char], at: &mut usize, blanks: Blanks) -> Numeral {
    let digits = |from: usize| -> String {
        let rest = letters.get(from..).unwrap_or_default();
        rest.iter().take_while(|it| it.is_ascii_digit()).collect()
    };
    let start = *at;
    let mut found = Numeral::default();
    let first = digits(*at);
    *at += first.len();
    // `.5` and `,5` have no digits before the sign.
    found.groups.push(match first.is_empty() {
        true => "0".to_owned(),
        false => first,
    });
    while let Some(letter) = letters.get(*at) {
        let separator = match letter {
            ',' => Separator::Comma,
            '.' => Separator::Point,
            blank if blanks == Blanks::Group && is_blank(*blank) => Separator::Blank,
            _ => break,
        };
        let group = digits(*at + 1);
        if group.is_empty() || separator == Separator::Blank && group.len() != 3 {
            break;
        }
        *at += 1 + group.len();
        found.between.push(separator);
        found.groups.push(group);
    }
    found.written = letters.get(start..*at).unwrap_or_default().iter().collect();
    found
}
