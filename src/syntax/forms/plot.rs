//! `F / kN against theta / deg from 0 to 90`: the lines of `plot`.
//!
//! A series is what has `against`, whatever word it begins with. Which names are lists, and
//! which is the one that changes, is left to others.

use super::super::diagnose;
use super::super::grammar::{Pair, Pairs, Rule};
use super::super::reader::{Read, Reader, error};
use super::super::tokens::{self, TokenKind, outside_brackets, tokens};
use super::super::{BlockKind, Expr, Name, Which, Word, literal};
use super::{Ask, Line, Part, Statement};
use crate::diagnostic::{Code, Diagnostic};
use crate::tables::{Pattern, Sign};
use crate::text::Span;

/// A full column, and a half one.
const FULL: (f64, f64) = (664.0, 400.0);
const HALF: (f64, f64) = (332.0, 250.0);

/// A millimetre in 1/96 inch.
const MILLIMETRE: f64 = 96.0 / 25.4;

/// How small and how large a plot may be.
const SMALLEST: f64 = 30.0;
const LARGEST: f64 = 400.0;

/// A line of `plot`.
#[derive(Debug, Clone, PartialEq)]
pub enum Plot {
    /// What the plot is called, in its description.
    Caption,
    /// One quantity against another.
    Series {
        /// What is counted upward.
        y: Side,
        /// What is counted to the right.
        x: Box<Side>,
        /// The rows that are plotted, where not all are.
        which: Option<Which>,
        /// The first and the last of what is counted to the right, in its unit.
        range: Option<(f64, f64)>,
    },
    /// The curve of a fit.
    Fit {
        /// The label of the fit.
        label: Word,
        /// The band that goes around it.
        band: Option<Band>,
    },
    /// What the points of a fit are off its curve, in a strip below.
    Residuals {
        /// The label of the fit.
        label: Word,
        /// What the strip counts to the right, where that is said.
        against: Option<Box<Side>>,
    },
    /// A result, by the names of its two quantities.
    Place([Name; 2]),
    /// A line at one value.
    Level {
        /// The value.
        side: Side,
        /// Whether it is upright.
        is_upright: bool,
    },
    /// How an axis runs.
    Axis {
        /// The quantity that it counts.
        side: Side,
        /// Whether it is logarithmic.
        is_logarithmic: bool,
        /// Whether it runs the other way.
        is_reversed: bool,
        /// Where it begins, in its unit, and where that stands.
        from: Option<(f64, Span)>,
        /// Where it ends.
        to: Option<(f64, Span)>,
    },
    /// How wide and how high the plot is, in 1/96 inch.
    Size(f64, f64),
    /// Thin lines go through the ticks.
    Grid,
    /// By how many standard uncertainties bars reach to each side.
    Bars(f64),
}

/// What the band around the curve of a fit is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Band {
    /// Of the curve itself.
    Curve,
    /// Of one further reading.
    Reading,
}

/// A quantity over its unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Side {
    /// The quantity.
    pub formula: Expr,
    /// The unit, with its datum.
    pub ask: Ask,
    /// How times are written that it counts.
    pub times: Option<Pattern>,
}

impl Plot {
    /// Whether it shows a fit above.
    pub fn shows_a_fit(&self) -> bool {
        matches!(self, Self::Fit { .. } | Self::Residuals { .. })
    }

    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        let mut side = |side: &'a Side| {
            take(Part::Expr(&side.formula));
            take(Part::Ask(&side.ask));
        };
        match self {
            Self::Series { y, x, which, .. } => {
                [y, &**x].into_iter().for_each(side);
                if let Some(which) = which {
                    which.for_each_comparison(&mut |check| {
                        check.members.iter().for_each(|it| take(Part::Expr(it)));
                    });
                }
            }
            Self::Level { side: only, .. } | Self::Axis { side: only, .. } => side(only),
            Self::Place(names) => names.iter().for_each(|name| take(Part::Name(name))),
            Self::Fit { label, .. } => take(Part::Label(label)),
            Self::Residuals { label, against } => {
                take(Part::Label(label));
                if let Some(against) = against {
                    take(Part::Expr(&against.formula));
                    take(Part::Ask(&against.ask));
                }
            }
            Self::Caption | Self::Size(..) | Self::Grid | Self::Bars(_) => {}
        }
    }
}

/// The caption in the first line of a block, and the lines behind it.
pub(in super::super) fn caption<'l>(text: &str, lines: &'l [Span]) -> (Option<Line>, &'l [Span]) {
    let first = lines
        .iter()
        .position(|line| !line.of(text).trim().is_empty());
    let Some(at) = first else {
        return (None, lines);
    };
    let line = lines[at];
    let content = line.of(text);
    let start = content.len() - content.trim_start().len();
    let body = content.get(start..).unwrap_or("");
    let Some(mark) = tokens::tail_mark(body).filter(|mark| *mark != "#") else {
        return (None, lines);
    };
    let words = body.get(mark.len()..).unwrap_or("");
    let from = line.start as usize + start + mark.len() + words.len() - words.trim_start().len();
    let description = Span::new(from, from + words.trim().len());
    let caption = Line {
        span: Span::new(line.start as usize + start, description.end as usize),
        label: None,
        statement: Statement::Plot(Box::new(Plot::Caption)),
        description: (!description.is_empty()).then_some(description),
    };
    (Some(caption), lines.get(at + 1..).unwrap_or(&[]))
}

impl Reader<'_> {
    pub(in super::super) fn plot(&mut self, mut pairs: Pairs<'_>) -> Read<Plot> {
        if let Some(refusal) = two_slashes(self.text, self.start) {
            return Err(refusal);
        }
        let pair = pairs.next().ok_or_else(|| self.nothing())?;
        match pair.as_rule() {
            Rule::plot_series => self.series(pair),
            Rule::plot_fit | Rule::plot_residuals => {
                let is_fit = pair.as_rule() == Rule::plot_fit;
                let mut parts = pair.into_inner();
                let label = parts.next().ok_or_else(|| self.nothing())?;
                let label = Word {
                    span: self.span(&label),
                    text: label.as_str().into(),
                };
                if !is_fit {
                    let side = parts.find(|part| part.as_rule() == Rule::side);
                    let against = side.map(|side| self.side(side)).transpose()?;
                    let against = against.map(Box::new);
                    return Ok(Plot::Residuals { label, against });
                }
                let band = parts.next().map(|band| match band.into_inner().next() {
                    Some(_) => Band::Reading,
                    None => Band::Curve,
                });
                Ok(Plot::Fit { label, band })
            }
            Rule::plot_place => {
                let names: Vec<Name> = pair.into_inner().map(|name| self.name(&name)).collect();
                let names: Result<[Name; 2], _> = names.try_into();
                names.map(Plot::Place).map_err(|_| self.nothing())
            }
            Rule::plot_level => {
                let is_upright = pair.as_str().starts_with('v');
                let side = pair.into_inner().nth(1).ok_or_else(|| self.nothing())?;
                let side = self.side(side)?;
                Ok(Plot::Level { side, is_upright })
            }
            Rule::plot_axis => self.plot_axis(pair),
            Rule::plot_size => self.plot_size(pair),
            Rule::plot_bars => {
                let place = self.span(&pair);
                let number = pair.into_inner().next().ok_or_else(|| self.nothing())?;
                let factor: f64 = number.as_str().parse().unwrap_or(f64::NAN);
                match factor > 0.0 && factor <= 100.0 {
                    true => Ok(Plot::Bars(factor)),
                    false => Err(error(
                        Code::S01,
                        place,
                        "bars reach to a positive number of standard uncertainties".to_owned(),
                        "`bars k = 2`".to_owned(),
                    )),
                }
            }
            _ => Ok(Plot::Grid),
        }
    }

    fn series(&mut self, pair: Pair<'_>) -> Read<Plot> {
        let place = self.span(&pair);
        let (mut sides, mut ends, mut which) = (Vec::<Side>::with_capacity(2), Vec::new(), None);
        for part in pair.into_inner() {
            match part.as_rule() {
                Rule::side => sides.push(self.side(part)?),
                Rule::which => which = Some(self.which(part)?),
                Rule::plot_from | Rule::plot_to => {
                    let times = sides.last().and_then(|side| side.times);
                    ends.push(self.end(part, times)?.0);
                }
                _ => {}
            }
        }
        let range = match ends.as_slice() {
            [from, to] if from < to => Some((*from, *to)),
            [_, _] => {
                return Err(error(
                    Code::S01,
                    place,
                    "a curve runs from the smaller number to the larger".to_owned(),
                    "`from 0 to 90`; `axis … reversed` turns the axis round".to_owned(),
                ));
            }
            _ => None,
        };
        let (Some(x), Some(y)) = (sides.pop(), sides.pop()) else {
            return Err(self.nothing());
        };
        Ok(Plot::Series {
            y,
            x: Box::new(x),
            which,
            range,
        })
    }

    fn side(&mut self, pair: Pair<'_>) -> Read<Side> {
        let span = self.span(&pair);
        let (mut formula, mut times) = (None, None);
        let mut ask = Ask {
            span,
            unit: None,
            datum: None,
            precision: None,
            expanded: None,
        };
        for part in pair.into_inner() {
            match part.as_rule() {
                Rule::side_expr => formula = Some(self.expr(part)?),
                Rule::side_times => times = Pattern::read(part.as_str()),
                Rule::unit => ask.unit = Some(literal::unit(self, part)?),
                Rule::datum => ask.datum = Some(literal::datum(&part)),
                _ => {}
            }
        }
        let formula = formula.ok_or_else(|| self.nothing())?;
        Ok(Side {
            formula,
            ask,
            times,
        })
    }

    /// A number behind `from` or `to`, and where it stands; on an axis of times it is one.
    fn end(&self, pair: Pair<'_>, times: Option<Pattern>) -> Read<(f64, Span)> {
        let number = pair.into_inner().next().ok_or_else(|| self.nothing())?;
        if let Some(pattern) = times {
            let place = self.span(&number);
            let time = pattern.time(number.as_str(), Sign::Point);
            return match time {
                Some(time) => Ok((time.seconds.value(), place)),
                None => Err(error(
                    Code::K13,
                    place,
                    format!("`{}` is no {}", number.as_str(), pattern.noun()),
                    format!("an end of the axis as `{}` writes it", pattern.text()),
                )),
            };
        }
        if number.as_rule() == Rule::moment {
            return Err(error(
                Code::S01,
                self.span(&number),
                format!("`{}` is no number", number.as_str()),
                "a number in the unit of the axis, or a pattern of times after the slash: \
                 `axis t_i / hh:mm from 9:30`"
                    .to_owned(),
            ));
        }
        let text = number.as_str().replace('−', "-");
        let value: f64 = text.parse().map_err(|_| self.nothing())?;
        let place = self.span(&number);
        match value.abs() < 1e250 {
            true => Ok((value, place)),
            false => Err(error(
                Code::S01,
                place,
                format!("`{text}` is too large for an axis"),
                "a number below 1e250 in the unit of the axis".to_owned(),
            )),
        }
    }

    fn plot_axis(&mut self, pair: Pair<'_>) -> Read<Plot> {
        let (mut side, mut ends) = (None::<Side>, [None, None]);
        let times = |side: &Option<Side>| side.as_ref().and_then(|side| side.times);
        let (mut is_logarithmic, mut is_reversed) = (false, false);
        let place = self.span(&pair);
        for part in pair.into_inner() {
            match part.as_rule() {
                Rule::side => side = Some(self.side(part)?),
                Rule::logarithmic => is_logarithmic = true,
                Rule::reversed => is_reversed = true,
                Rule::plot_from => ends[0] = Some(self.end(part, times(&side))?),
                _ => ends[1] = Some(self.end(part, times(&side))?),
            }
        }
        if let Some(pattern) = times(&side).filter(|_| is_logarithmic) {
            return Err(error(
                Code::X03,
                place,
                format!("a {} has no logarithm", pattern.noun()),
                "an interval in a unit, such as `(t_i - first(t_i)) / min`".to_owned(),
            ));
        }
        if let [Some((from, _)), Some((to, _))] = ends
            && from >= to
        {
            return Err(error(
                Code::S01,
                place,
                "an axis runs from the smaller number to the larger".to_owned(),
                "`reversed` turns it round".to_owned(),
            ));
        }
        let below = ends.into_iter().flatten().find(|(end, _)| *end <= 0.0);
        if let Some((_, place)) = below.filter(|_| is_logarithmic) {
            return Err(error(
                Code::X03,
                place,
                format!("a logarithmic axis has no {}", self.slice(place)),
                "`from 0.1`, or another number above 0".to_owned(),
            ));
        }
        let [from, to] = ends;
        Ok(Plot::Axis {
            side: side.ok_or_else(|| self.nothing())?,
            is_logarithmic,
            is_reversed,
            from,
            to,
        })
    }

    fn plot_size(&mut self, pair: Pair<'_>) -> Read<Plot> {
        let place = self.span(&pair);
        let mut numbers = Vec::new();
        for part in pair.into_inner() {
            match (part.as_rule(), part.as_str()) {
                (Rule::size_word, "full") => return Ok(Plot::Size(FULL.0, FULL.1)),
                (Rule::size_word, _) => return Ok(Plot::Size(HALF.0, HALF.1)),
                (_, number) => numbers.push(number.parse().unwrap_or(f64::NAN)),
            }
        }
        let fits = |length: &f64| (SMALLEST..=LARGEST).contains(length);
        match numbers.as_slice() {
            [wide, high] if fits(wide) && fits(high) => {
                Ok(Plot::Size(wide * MILLIMETRE, high * MILLIMETRE))
            }
            _ => Err(error(
                Code::S01,
                place,
                format!("a plot is {SMALLEST} mm to {LARGEST} mm wide and high"),
                "`size 120 mm by 80 mm`, `size half`".to_owned(),
            )),
        }
    }
}

/// The words that open a line which is no series.
const OPENING: [&str; 9] = [
    "point",
    "horizontal",
    "vertical",
    "axis",
    "size",
    "grid",
    "bars",
    "fit",
    "residuals",
];

// ---- what is said -----------------------------------------------------------------------------

/// The parts of a line on both sides of `against`: where each begins, and its text.
fn sides(body: &str) -> Vec<(usize, &str)> {
    let joint = outside_brackets(body).find(|token| token.text == "against");
    match joint {
        Some(joint) => vec![
            (0, body.get(..joint.at).unwrap_or("")),
            (joint.end(), body.get(joint.end()..).unwrap_or("")),
        ],
        None => vec![(0, body)],
    }
}

/// The slashes outside brackets: where each stands.
fn slashes(side: &str) -> Vec<usize> {
    let all = outside_brackets(side).filter(|token| token.text == "/");
    let dates = ["YYYY/MM/DD", "DD/MM/YYYY", "MM/DD/YYYY"].into_iter();
    let date = dates.filter_map(|date| Some((side.find(date)?, date.len())));
    let date = date.min().map_or(0..0, |(at, length)| at..at + length);
    // Behind a date there may be another one, as an end of its axis.
    let is_of_a_date = |at: usize| date.contains(&at) || date.end > 0 && at > date.end;
    all.map(|token| token.at)
        .filter(|at| !is_of_a_date(*at))
        .collect()
}

/// `V_i/A / (m/s)`, `v_i / m/s`.
fn two_slashes(body: &str, start: usize) -> Option<Box<Diagnostic>> {
    let (at, side) = sides(body)
        .into_iter()
        .find(|(_, side)| slashes(side).len() > 1)?;
    let found = slashes(side);
    let (first, last) = (*found.first()?, *found.last()?);
    let written = side.trim();
    let (above, below) = (side.get(..last)?.trim(), side.get(last + 1..)?.trim());
    let unit = side.get(first + 1..)?.trim();
    let quantity = side.get(..first)?.trim();
    Some(error(
        Code::X01,
        Span::new(start + at + last, start + at + last + 1),
        format!(
            "`{written}` has two slashes, and the one outside brackets stands between a quantity \
             and its unit"
        ),
        format!("`({above}) / {below}`, or `{quantity} / ({unit})`"),
    ))
}

/// What is said of a line that cannot be read.
pub(in super::super) fn unread(
    kind: BlockKind,
    body: &str,
    start: usize,
) -> Option<Box<Diagnostic>> {
    if kind != BlockKind::Plot {
        return None;
    }
    let all = sides(body);
    let first = tokens(body).next().map_or("", |token| token.text);
    if all.len() == 1 && !OPENING.contains(&first) {
        let written = body.len() - body.trim_start().len();
        return Some(error(
            Code::S01,
            Span::new(start + written, start + body.trim_end().len()),
            "a series is one quantity `against` another".to_owned(),
            "`p / kPa against Q / (L/s) from 0 to 40`, or a list against a list".to_owned(),
        ));
    }
    let refusal = diagnose::unclosed_bracket(body, start).or_else(|| two_slashes(body, start));
    if refusal.is_some() {
        return refusal;
    }
    let below = all.iter().find_map(|(at, side)| {
        let slash = *slashes(side).first()?;
        let rest = side.get(slash + 1..)?;
        let word = tokens(rest).next()?;
        let is_unit = word.kind == TokenKind::Word && word.text.contains('_');
        is_unit.then(|| (at + slash + 1 + word.at, word.text))
    });
    if let Some((at, word)) = below {
        return Some(no_unit(
            Span::new(start + at, start + at + word.len()),
            word,
        ));
    }
    let help = match first {
        "point" => "`point (Q, H) -- duty`: two names",
        "horizontal" | "vertical" => "`horizontal p_max / kPa`: a quantity over its unit",
        "fit" => {
            "`fit line`, `fit line with band`, `fit line with band for a reading`: the label of a \
             fit above"
        }
        "residuals" => {
            "`residuals of line`, `residuals of line against t_i / s`: the label of a fit above"
        }
        "axis" => {
            "`axis p / kPa logarithmic reversed from 1 to 100`: the quantity of a series, and in \
             this order what is wanted"
        }
        "size" => "`size full`, `size half`, `size 120 mm by 80 mm`",
        "bars" => "`bars k = 2`, `bars coverage factor 2`",
        "grid" => "`grid` alone",
        _ if body.contains(" where ") && body.contains(" from ") => {
            "one of the two: `where …` chooses rows of lists, and `from 0 to 40` is the range of a curve"
        }
        _ => "`p / kPa against Q / (L/s) from 0 to 40`, or a list against a list",
    };
    let stopped = body.len() - body.trim_start().len();
    Some(error(
        Code::S01,
        Span::new(start + stopped, start + body.trim_end().len()),
        "this line of a plot cannot be read".to_owned(),
        help.to_owned(),
    ))
}

/// What stands below the slash is no unit.
pub(crate) fn no_unit(place: Span, word: &str) -> Box<Diagnostic> {
    error(
        Code::X02,
        place,
        format!(
            "`{word}` is no unit: the slash outside brackets stands between a quantity and its unit"
        ),
        format!("brackets around the quotient, and its unit: `(y/{word}) / kPa`"),
    )
}
