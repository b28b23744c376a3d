//! Places of a sketch, and what goes between them.

use super::super::super::Resolver;
use super::{Draft, Told, ToldLeg};
use crate::diagnostic::{Code, nearest};
use crate::mechanics::{Id, Leg, Place};
use crate::syntax::{Expr, ExprKind, Position, SketchKind, Word};
use crate::text::Span;

impl Resolver<'_> {
    /// `point C = a right from A`
    pub(super) fn point_of_sketch(
        &mut self,
        draft: &mut Draft,
        name: &Word,
        position: &Position,
    ) -> Option<()> {
        if draft.sketch.kind == SketchKind::Particle {
            self.refuse_line(
                name,
                "a particle has no places: all forces go through one point",
                "a `body`",
            );
            return None;
        }
        if let Some(first) = draft.by_name.get(&name.text) {
            let line = self.line_number(draft.sketch.places[*first].span);
            self.refuse_sketch(
                Code::G19,
                name.span,
                format!("`{}` is a place already, in line {line}", name.text),
                "another name for one of them".to_owned(),
            );
            return None;
        }
        let is_word = crate::syntax::is_word_of_sketches(&name.text);
        if is_word {
            self.refuse_word(name.span, "a place");
        }
        let at = draft.sketch.places.len();
        let name_span = name.span;
        let (place, told) = match position {
            Position::Beginning => {
                if let Some(first) = draft.sketch.places.first() {
                    let (first, name) = (first.text.clone(), &name.text);
                    self.refuse_sketch(
                        Code::G05,
                        name_span,
                        format!("where `{name}` lies from `{first}` is not said"),
                        format!("`point {name} = … from {first}`"),
                    );
                    return None;
                }
                (Place::default(), Told::Beginning)
            }
            Position::Middle([from, to]) => {
                let (from, to) = (
                    self.place_of_sketch(draft, from)?,
                    self.place_of_sketch(draft, to)?,
                );
                let places = &draft.sketch.body.places;
                (
                    Place::middle(&places[from], &places[to]),
                    Told::Middle([from, to]),
                )
            }
            Position::Legs(legs, from) => {
                let from = self.place_of_sketch(draft, from)?;
                let mut told = Vec::with_capacity(legs.len());
                for leg in legs {
                    let length = self.magnitude(draft, &leg.length)?;
                    let (direction, mark) = self.direction(draft, &leg.direction, None)?;
                    told.push(ToldLeg {
                        length,
                        direction,
                        mark,
                    });
                }
                let way = told.iter().map(|leg| Leg {
                    length: leg.length,
                    direction: leg.direction.clone(),
                });
                let place = draft.sketch.body.places[from].by(way);
                (place, Told::Legs(from, told))
            }
        };
        draft.sketch.told.push(told);
        draft.by_name.insert(name.text.clone(), at);
        draft.sketch.places.push(name.clone());
        draft.sketch.body.places.push(place);
        // From the first place others are told.
        draft.used.push(matches!(position, Position::Beginning));
        // What is at it is understood all the same.
        (!is_word).then_some(())
    }

    /// The number of a place, which is used from here on.
    pub(super) fn place_of_sketch(&mut self, draft: &mut Draft, name: &Word) -> Option<usize> {
        if let Some(at) = draft.by_name.get(&name.text) {
            draft.used[*at] = true;
            return Some(*at);
        }
        if draft.lost.may_name(&name.text) {
            return None;
        }
        let names = draft.sketch.places.iter().map(|it| &*it.text);
        let help = match nearest(&name.text, names) {
            Some(near) => format!("`{near}`"),
            None => format!("`point {} = … from …` above this line", name.text),
        };
        self.refuse_sketch(
            Code::G05,
            name.span,
            format!("`{}` is no place of this sketch", name.text),
            help,
        );
        None
    }

    /// The number of a place, where one is said.
    pub(super) fn place_if_any(
        &mut self,
        draft: &mut Draft,
        name: Option<&Word>,
    ) -> Option<Option<usize>> {
        let Some(name) = name else {
            return Some(None);
        };
        if draft.sketch.kind == SketchKind::Particle {
            self.refuse_line(
                name,
                "a particle has no places: all forces go through one point",
                "a `body`, or the line without its place",
            );
            return None;
        }
        self.place_of_sketch(draft, name).map(Some)
    }

    /// `outline A to B to C to A`
    pub(super) fn outline_of_sketch(&mut self, draft: &mut Draft, places: &[Word]) -> Option<()> {
        let found: Option<Vec<usize>> = places
            .iter()
            .map(|it| self.place_of_sketch(draft, it))
            .collect();
        let found = found?;
        let (first, last) = (places.first()?, places.last()?);
        if first.text != last.text {
            self.refuse_sketch(
                Code::G05,
                last.span,
                format!(
                    "the outline begins at `{}` and ends at `{}`",
                    first.text, last.text
                ),
                format!("`… to {} to {}`", last.text, first.text),
            );
            return None;
        }
        draft.sketch.outlines.push(found);
        Some(())
    }

    /// `level z_1 at A`
    pub(super) fn level_of_sketch(
        &mut self,
        draft: &mut Draft,
        line: Span,
        level: &Expr,
        at: &Word,
    ) -> Option<()> {
        if draft.sketch.look.from_above {
            self.refuse_sketch(
                Code::G08,
                line,
                "seen from above, nothing has a level on the page".to_owned(),
                "the sketch without `level`, or without `view from above`".to_owned(),
            );
            return None;
        }
        let at = self.place_of_sketch(draft, at)?;
        let level = self.level(draft, level)?;
        draft.sketch.levels.push((level, at));
        Some(())
    }

    /// A level may be 0, and below it.
    fn level(&mut self, draft: &mut Draft, level: &Expr) -> Option<Id> {
        let is_zero = matches!(&level.kind, ExprKind::Number(number) if number.value == 0.0);
        if !is_zero {
            return self.signed(draft, level);
        }
        let expr = self.expr(level)?;
        Some(draft.quantity(level.span.of(self.text), expr))
    }

    /// `dimension L from A to B`
    pub(super) fn dimension_of_sketch(
        &mut self,
        draft: &mut Draft,
        length: &Expr,
        places: &[Word; 2],
    ) -> Option<()> {
        let [from, to] = places;
        let ends = [
            self.place_of_sketch(draft, from)?,
            self.place_of_sketch(draft, to)?,
        ];
        if ends[0] == ends[1] {
            self.refuse_sketch(
                Code::G05,
                to.span,
                format!("from `{0}` to `{0}` there is no length", to.text),
                "another place".to_owned(),
            );
            return None;
        }
        let length = self.magnitude(draft, length)?;
        draft.sketch.dimensions.push((length, ends));
        Some(())
    }

    /// A line that a sketch of this kind has not.
    pub(super) fn refuse_line(&mut self, word: &Word, message: &str, help: &str) {
        self.refuse_sketch(Code::G31, word.span, message.to_owned(), help.to_owned());
    }

    /// The number of the line that something stands in.
    pub(super) fn line_number(&self, span: Span) -> usize {
        let before = self.text.get(..span.start as usize).unwrap_or("");
        before.matches('\n').count() + 1
    }
}
