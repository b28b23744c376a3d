//! A straight member that is cut: its shear and moment with numbers, where they are greatest and
//! least, and whether they close at the end.

use std::sync::Arc;

use super::super::build::Builder;
use super::super::model::{Body, Cut, CutAt, CutFigure, CutLine, CutMark, Shown, Sketch};
use super::Line;
use super::sketch::Reading;
use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::{Form, Type};
use crate::evaluate::{Magnitude, Value};
use crate::mechanics::{Acting, Id, Inner};
use crate::quantity::{Dimension, Unit};
use crate::resolve::statement::{self, ActOf, Ask};
use crate::text::listed;

/// What is less than this part of all that adds up is rounding.
const NOTHING: f64 = 1e-9;

/// Into so many straight parts a piece is drawn that is curved.
const PARTS: usize = 16;

/// More values than these are not written on one diagram.
const MOST_MARKS: usize = 12;

/// A member with its numbers.
struct Numbers<'a> {
    cut: &'a statement::Cut,
    values: &'a [Option<Magnitude>],
    length: f64,
    /// Where pieces begin and end, from 0 to its length.
    bounds: Vec<f64>,
}

/// A value on a line: at one distance from the first place, or all along between two.
#[derive(Clone, Copy, PartialEq)]
struct Mark {
    ends: [f64; 2],
    value: f64,
}

impl Mark {
    fn middle(&self) -> f64 {
        (self.ends[0] + self.ends[1]) / 2.0
    }
}

/// A part of the member on which nothing begins or ends.
#[derive(Clone, Copy)]
struct Piece {
    from: f64,
    to: f64,
}

impl Builder<'_> {
    /// The formulas of a cut, and the figure where all that acts has a value.
    pub(super) fn shear(&mut self, line: Line<'_>, cut: &statement::Cut) -> Body {
        let lines = (cut.forms.iter())
            .map(|form| (form.function, form.pieces.clone()))
            .collect();
        Body::Shear(Box::new(Cut {
            sketch: cut.sketch.number,
            label: cut.sketch.label.clone(),
            lines,
            figure: self.figure_of_cut(line, cut).map(Box::new),
        }))
    }

    fn figure_of_cut(&mut self, line: Line<'_>, cut: &statement::Cut) -> Option<CutFigure> {
        let distance = cut.distance();
        let value = |expr| {
            let found = self.value_of(line.problem, expr)?;
            Magnitude::of(&found, &self.results.sources)
        };
        let values: Vec<Option<Magnitude>> = (cut.sketch.quantities.iter().enumerate())
            .map(|(id, expr)| (id != distance).then(|| value(expr))?)
            .collect();
        let numbers = Numbers::new(cut, &values)?;
        self.in_place(&numbers)?;
        let sketch = Sketch {
            sketch: Arc::clone(&cut.sketch),
            values: values.clone(),
            senses: Vec::new(),
            streams: Vec::new(),
            shown: Vec::new(),
            turned: Vec::new(),
            taken_for_true: Vec::new(),
        };
        let read = Reading {
            of: &cut.sketch,
            values: &values,
            by: &[],
        };
        self.closes(line, &numbers, &read);
        // An axial force may hang on a reaction that nobody asks for.
        let lines: Vec<CutLine> = (cut.forms.iter())
            .filter_map(|form| self.line_of_cut(line, &numbers, form))
            .collect();
        if lines.is_empty() {
            return None;
        }
        self.tables.figures.insert(line.origin);
        let value = |id: Id| numbers.value(id);
        Some(CutFigure {
            length: numbers.length,
            along: cut.member.along.radians(&value)?,
            far: (cut.member.at.iter())
                .map(|far| far.as_ref().map(|it| it.value(&value)))
                .collect(),
            ends: cut.member.ends,
            sketch,
            lines,
        })
    }

    /// Every place lies between the ends; a piece is written in the order in which places are.
    fn in_place(&mut self, numbers: &Numbers<'_>) -> Option<()> {
        let cut = numbers.cut;
        let of = &cut.sketch;
        for acting in &cut.acting {
            let act = of.acts.get(acting.of)?;
            for place in acting.places {
                let far = numbers.far(place);
                let slack = NOTHING * numbers.length;
                if !(far >= -slack && far <= numbers.length + slack) {
                    let message = format!(
                        "with these data `{}` lies beyond the ends of the member",
                        cut.place(place)
                    );
                    self.diagnostics.push(
                        Diagnostic::error(Code::G29, act.span, message)
                            .with_help("a member that reaches there, or a place on it"),
                    );
                    return None;
                }
            }
        }
        let is_turned = |pair: &&[usize]| numbers.far(pair[0]) > numbers.far(pair[1]);
        if let Some(pair) = cut.stops.windows(2).find(is_turned) {
            let [one, other] = [pair[0], pair[1]].map(|at| cut.place(at));
            let message = format!(
                "`{other}` comes out nearer to the first place than `{one}`, and the pieces are written for the other order"
            );
            self.diagnostics
                .push(Diagnostic::warning(Code::B11, cut.span, message).with_help(
                "the `point` lines in the order along the member, or their distances in `given`",
            ));
        }
        Some(())
    }

    /// All that acts is in balance: nothing is left over behind the last place.
    fn closes(&mut self, line: Line<'_>, numbers: &Numbers<'_>, read: &Reading<'_>) {
        let mut left = Vec::new();
        for inner in Inner::ALL {
            let size = numbers.size(inner);
            let less = |value: &dyn Fn(Id) -> f64| Some(numbers.left_over(inner, value));
            if self.apart_by(read, size, &less, &|id| numbers.is_reaction(id)) {
                left.push((inner, numbers.left_over(inner, &|id| numbers.value(id))));
            }
        }
        if left.is_empty() {
            return;
        }
        let words: Vec<String> = (left.iter())
            .filter_map(|(inner, value)| {
                let shown = self.shown_of_cut(line, *inner, *value, None)?;
                let size = told(&shown);
                Some(match inner {
                    Inner::Axial => format!("a force of {size} along the member"),
                    Inner::Shear => format!("a force of {size} square to it"),
                    Inner::Moment => format!("a moment of {size}"),
                })
            })
            .collect();
        let last = numbers.cut.place(numbers.cut.member.ends[1]);
        let is_one = words.len() == 1;
        let verb = if is_one { "is" } else { "are" };
        let message = format!(
            "past `{last}` {} {verb} left over: what acts on `{}` is not in balance",
            listed(&words),
            numbers.cut.sketch.label
        );
        self.diagnostics.push(
            Diagnostic::error(Code::B12, numbers.cut.span, message).with_help(
                "the force or moment that is missing in the sketch, or `by balance …` after the \
                 equations that the reactions come from",
            ),
        );
    }

    fn line_of_cut(
        &self,
        line: Line<'_>,
        numbers: &Numbers<'_>,
        form: &statement::CutForm,
    ) -> Option<CutLine> {
        let inner = form.inner;
        let runs = numbers.runs(inner);
        if runs.iter().any(|(x, y)| !x.is_finite() || !y.is_finite()) {
            return None;
        }
        let mut marks = numbers.marks(inner);
        let most = marks
            .iter()
            .fold(0.0_f64, |most, it| most.max(it.value.abs()));
        let unit = self.shown_of_cut(line, inner, most, None)?.unit;
        let length = numbers.length;
        let far_unit = self.shown_as(line, Dimension::length(), length, None).unit;
        let shown = |mark: &Mark| {
            let far = |far: f64| self.shown_as(line, Dimension::length(), far, Some(&far_unit));
            Some(CutMark {
                far: mark.middle(),
                value: mark.value,
                shown: self.shown_of_cut(line, inner, mark.value, Some(&unit))?,
                at: match mark.ends.map(|end| numbers.place_at(end)) {
                    [Some(from), Some(to)] if from == to => CutAt::Place(from),
                    [Some(from), Some(to)] => CutAt::Between([from, to]),
                    _ => CutAt::Far(Box::new(far(mark.middle()))),
                },
            })
        };
        let by_value = |one: &&Mark, other: &&Mark| one.value.total_cmp(&other.value);
        // Of equal ones the first.
        let greatest = *marks.iter().rev().max_by(by_value)?;
        let least = *marks.iter().min_by(by_value)?;
        marks.retain(|mark| mark.value.abs() > NOTHING * most);
        if marks.len() > MOST_MARKS {
            let mut sizes: Vec<f64> = marks.iter().map(|mark| mark.value.abs()).collect();
            sizes.sort_by(|one, other| other.total_cmp(one));
            let bound = sizes[MOST_MARKS - 1];
            marks.retain(|it| *it == greatest || *it == least || it.value.abs() >= bound);
        }
        Some(CutLine {
            inner,
            function: form.function,
            runs,
            marks: marks.iter().map(shown).collect::<Option<_>>()?,
            extremes: [shown(&greatest)?, shown(&least)?],
        })
    }

    fn shown_of_cut(
        &self,
        line: Line<'_>,
        inner: Inner,
        value: f64,
        unit: Option<&Unit>,
    ) -> Option<Shown> {
        let force = line.found.form.dimension()?;
        let dimension = match inner {
            Inner::Axial | Inner::Shear => force,
            Inner::Moment => force.times(Dimension::length())?,
        };
        Some(self.shown_as(line, dimension, value, unit))
    }

    fn shown_as(
        &self,
        line: Line<'_>,
        dimension: Dimension,
        value: f64,
        unit: Option<&Unit>,
    ) -> Shown {
        let ask = Ask {
            unit: unit.cloned(),
            ..Ask::default()
        };
        let found = Type::plain(Form::known(dimension));
        self.result(line.problem, &Arc::new(Value::one(value)), &found, &ask)
    }
}

impl<'a> Numbers<'a> {
    /// Nothing where the lengths have no values.
    fn new(cut: &'a statement::Cut, values: &'a [Option<Magnitude>]) -> Option<Self> {
        let mut numbers = Self {
            cut,
            values,
            length: 0.0,
            bounds: Vec::new(),
        };
        let length = numbers.far(cut.member.ends[1]);
        let places = cut.acting.iter().flat_map(|it| it.places);
        let mut bounds: Vec<f64> = places.map(|place| numbers.far(place)).collect();
        bounds.extend([0.0, length]);
        if !bounds.iter().all(|it| it.is_finite()) || length <= 0.0 {
            return None;
        }
        bounds.sort_by(f64::total_cmp);
        bounds.dedup_by(|later, first| *later - *first <= NOTHING * length);
        numbers.length = length;
        numbers.bounds = bounds;
        Some(numbers)
    }

    fn value(&self, id: Id) -> f64 {
        let found = self.values.get(id).copied().flatten();
        found.map_or(f64::NAN, |it| it.value)
    }

    fn far(&self, place: usize) -> f64 {
        let far = self.cut.member.far(place);
        far.map_or(f64::NAN, |it| it.value(&|id| self.value(id)))
    }

    /// The place where something stands on the member.
    fn place_at(&self, x: f64) -> Option<usize> {
        let ends = self.cut.member.ends.into_iter();
        let met = self.cut.acting.iter().flat_map(|it| it.places);
        let mut all = ends.chain(met);
        all.find(|place| (self.far(*place) - x).abs() <= NOTHING * self.length)
    }

    fn pieces(&self) -> impl Iterator<Item = Piece> + '_ {
        let pairs = self.bounds.windows(2);
        pairs.map(|pair| Piece {
            from: pair[0],
            to: pair[1],
        })
    }

    /// The value at a cut in a piece.
    fn at(&self, inner: Inner, piece: Piece, x: f64) -> f64 {
        let middle = (piece.from + piece.to) / 2.0;
        let value = |id: Id| match id == self.cut.distance() {
            true => x,
            false => self.value(id),
        };
        let one = |acting: &Acting| {
            let [from, to] = acting.places.map(|place| self.far(place));
            match (from < middle, to < middle) {
                (false, _) => 0.0,
                (true, is_behind) => acting.value(inner, !is_behind, &value),
            }
        };
        self.cut.acting.iter().map(one).sum()
    }

    /// What is left over behind the last place.
    fn left_over(&self, inner: Inner, value: &dyn Fn(Id) -> f64) -> f64 {
        let at_the_end = |id: Id| match id == self.cut.distance() {
            true => self.length,
            false => value(id),
        };
        let acting = self.cut.acting.iter();
        acting.map(|it| it.value(inner, false, &at_the_end)).sum()
    }

    /// The size of all that adds up.
    fn size(&self, inner: Inner) -> f64 {
        let at_the_end = |id: Id| match id == self.cut.distance() {
            true => self.length,
            false => self.value(id),
        };
        let acting = self.cut.acting.iter();
        acting
            .map(|it| it.value(inner, false, &at_the_end).abs())
            .sum()
    }

    /// Whether a quantity is what a support carries.
    fn is_reaction(&self, id: Id) -> bool {
        let of = &self.cut.sketch;
        let mut acts = of.body.actions.iter().zip(&of.acts);
        acts.any(|(action, act)| {
            matches!(act.kind, ActOf::Support(_)) && action.magnitude() == Some(id)
        })
    }

    /// The line from place to place, with its jumps, closed by nothing at both ends.
    fn runs(&self, inner: Inner) -> Vec<(f64, f64)> {
        let size = self.size(inner);
        let mut runs = vec![(0.0, 0.0)];
        for piece in self.pieces() {
            let at = |part: f64| {
                let x = piece.from + part * (piece.to - piece.from);
                (x, self.at(inner, piece, x))
            };
            let [first, middle, last] = [0.0, 0.5, 1.0].map(|part| at(part).1);
            let quarter = at(0.25).1;
            let bend = |value: f64, part: f64| (value - first - part * (last - first)).abs();
            let is_straight = bend(middle, 0.5).max(bend(quarter, 0.25)) <= NOTHING * size;
            let parts = if is_straight { 1 } else { PARTS };
            let value = |(x, y): (f64, f64)| (x, if y.abs() <= NOTHING * size { 0.0 } else { y });
            runs.extend((0..=parts).map(|part| value(at(part as f64 / parts as f64))));
        }
        runs.push((self.length, 0.0));
        runs.dedup();
        runs
    }

    /// The values at the ends of pieces and where a line turns between them, each once.
    fn marks(&self, inner: Inner) -> Vec<Mark> {
        let slack = NOTHING * self.size(inner);
        let mut found: Vec<Mark> = Vec::new();
        // What the line comes to where the piece before ends.
        let mut before: Option<f64> = None;
        for piece in self.pieces() {
            let mut places = vec![piece.from];
            places.extend(self.turns(inner, piece));
            places.push(piece.to);
            let values: Vec<Mark> = (places.into_iter())
                .map(|x| Mark {
                    ends: [x, x],
                    // What is left of a difference is rounding.
                    value: Some(self.at(inner, piece, x))
                        .filter(|y| y.abs() > slack)
                        .unwrap_or(0.0),
                })
                .collect();
            let first = values[0].value;
            let is_same = |value: f64| (value - first).abs() <= slack;
            let goes_on = before.is_some_and(is_same);
            before = values.last().map(|it| it.value);
            match (values.iter().all(|it| is_same(it.value)), goes_on) {
                (true, true) => {
                    if let Some(flat) = found.last_mut().filter(|it| it.ends[0] < it.ends[1]) {
                        flat.ends[1] = piece.to;
                    }
                }
                (true, false) => found.push(Mark {
                    ends: [piece.from, piece.to],
                    value: first,
                }),
                (false, true) => found.extend(&values[1..]),
                (false, false) => found.extend(values),
            }
        }
        found
    }

    /// Where a line turns within a piece: the moment where the shear is nothing, a force where what
    /// is spread is.
    fn turns(&self, inner: Inner, piece: Piece) -> Vec<f64> {
        let of = match inner {
            Inner::Moment => Inner::Shear,
            Inner::Axial | Inner::Shear => inner,
        };
        let at = |part: f64| self.at(of, piece, piece.from + part * (piece.to - piece.from));
        let [first, middle, last] = [0.0, 0.5, 1.0].map(at);
        // Forces are of second degree at most: c + b t + a t².
        let (c, b, a) = (
            first,
            4.0 * middle - 3.0 * first - last,
            2.0 * (first + last - 2.0 * middle),
        );
        let tiny = NOTHING * self.size(of);
        let flat = |value: f64| if value.abs() <= tiny { 0.0 } else { value };
        let parts = match inner {
            Inner::Moment => roots(flat(a), flat(b), c),
            Inner::Axial | Inner::Shear => roots(0.0, 2.0 * flat(a), b),
        };
        let within = parts
            .into_iter()
            .filter(|part| *part > NOTHING && *part < 1.0 - NOTHING);
        let mut found: Vec<f64> = within
            .map(|part| piece.from + part * (piece.to - piece.from))
            .collect();
        found.sort_by(f64::total_cmp);
        found
    }
}

/// Where a t² + b t + c is nothing.
fn roots(a: f64, b: f64, c: f64) -> Vec<f64> {
    if a == 0.0 {
        return if b == 0.0 { Vec::new() } else { vec![-c / b] };
    }
    let under = b * b - 4.0 * a * c;
    if under < 0.0 {
        return Vec::new();
    }
    // The one that nothing cancels in, and the other by their product.
    let sum = -(b + b.signum() * under.sqrt()) / 2.0;
    let both = [sum / a, if sum == 0.0 { 0.0 } else { c / sum }];
    both.to_vec()
}

/// A value in a message.
fn told(shown: &Shown) -> String {
    let number = shown.digits.first().map(|it| it.text());
    format!("{} {}", number.unwrap_or_default(), shown.unit.text())
}
