//! Directions of a sketch.

use super::super::super::{Expr, ExprKind, Resolver};
use super::{Draft, Mark};
use crate::diagnostic::Code;
use crate::mechanics::{Direction, Id, Sign};
use crate::syntax::{self, Course, Line, Turned};
use crate::text::Span;

impl<'a> Resolver<'a> {
    /// Gravity, which lines above it may need.
    pub(super) fn medium_of_sketch(&mut self, draft: &mut Draft, lines: &[(usize, &'a Line)]) {
        let said = lines.iter().find_map(|(_, line)| match &line.statement {
            syntax::Statement::Sketch(sketch) => match &**sketch {
                syntax::Sketch::Medium(syntax::MediumKind::Gravity, value) => Some(value),
                _ => None,
            },
            _ => None,
        });
        // What is wrong with it is told where its line is read.
        let told = self.diagnostics.len();
        draft.gravity = said.and_then(|value| self.magnitude(draft, value));
        self.diagnostics.truncate(told);
    }

    /// The axes and the incline, which lines above them may need.
    pub(super) fn axes_of_sketch(&mut self, draft: &mut Draft, lines: &[(usize, &'a Line)]) {
        let said = |line: &&'a Line| match &line.statement {
            syntax::Statement::Sketch(sketch) => Some(&**sketch),
            _ => None,
        };
        let block = (lines.iter()).find_map(|(_, line)| match said(line)? {
            syntax::Sketch::Block(direction) => Some(direction),
            _ => None,
        });
        draft.sketch.block = match block {
            None => None,
            Some(None) => Some((Direction::right(), Mark::Words)),
            // What is wrong with it is told where its line is read.
            Some(Some(direction)) => {
                let told = self.diagnostics.len();
                let found = self.direction(draft, direction, None);
                self.diagnostics.truncate(told);
                found
            }
        };
        let axes = (lines.iter()).find_map(|(_, line)| match said(line)? {
            syntax::Sketch::Axes(axes) => Some(axes),
            _ => None,
        });
        let Some([x, y]) = axes.map(|axes| &**axes) else {
            return;
        };
        let told = self.diagnostics.len();
        let both = (
            self.direction(draft, x, None),
            self.direction(draft, y, None),
        );
        self.diagnostics.truncate(told);
        if let (Some((x, _)), Some((y, _))) = both {
            draft.sketch.body.frame.x = x;
            draft.sketch.body.frame.y = y;
        }
    }

    /// `axes x up the incline, y away from the incline`
    pub(super) fn axes(&mut self, draft: &mut Draft, axes: &[syntax::Direction; 2]) -> Option<()> {
        let [x, y] = axes;
        for axis in axes {
            if matches!(axis.course, Course::Angle(_, Turned::FromX)) {
                self.refuse_sketch(
                    Code::G02,
                    axis.span,
                    "an axis cannot be told from the x axis".to_owned(),
                    "`at theta above right`, or along the incline".to_owned(),
                );
                return None;
            }
        }
        let (from, to) = (
            self.direction(draft, x, None)?.0,
            self.direction(draft, y, None)?.0,
        );
        if matches!(to.quarters_from(&from), Some(1 | 3)) {
            return Some(());
        }
        self.refuse_sketch(
            Code::G18,
            y.span,
            "x and y are not square to each other".to_owned(),
            "`axes x at theta above right, y at theta left of up`".to_owned(),
        );
        None
    }

    /// Where something at a place points; and the angle by which that is told.
    pub(super) fn direction(
        &mut self,
        draft: &mut Draft,
        direction: &syntax::Direction,
        at: Option<usize>,
    ) -> Option<(Direction, Mark)> {
        let mut mark = Mark::Words;
        let found = match &direction.course {
            Course::Bearing(bearing) => Direction::quarters(bearing.quarters()),
            Course::Angle(angle, turned) => {
                let id = self.angle(draft, angle)?;
                return Some(self.turned(draft, id, *turned));
            }
            Course::Slope(slope) => {
                let rise = self.leg_of_slope(draft, &slope.rise)?;
                let run = self.leg_of_slope(draft, &slope.run)?;
                mark = Mark::Slope { rise, run };
                Direction::slope(slope.rises, slope.to_the_right, rise, run)
            }
            Course::Incline(quarters) => self.incline(draft, *quarters, direction.span)?,
            Course::Reader { .. } => Direction::square_to_the_page(),
            Course::Place { is_toward, place } => {
                let (Some(from), to) = (at, self.place_of_sketch(draft, place)?) else {
                    self.refuse_sketch(
                        Code::G12,
                        direction.span,
                        format!("from where `{}` is seen is not said", place.text),
                        format!("`toward {} at A`, with the place where it acts", place.text),
                    );
                    return None;
                };
                let places = &draft.sketch.body.places;
                let way = places[from].to(&places[to]);
                if way.is_nothing() {
                    self.refuse_sketch(
                        Code::G05,
                        place.span,
                        format!("it acts at `{}` itself", place.text),
                        "another place, or a direction".to_owned(),
                    );
                    return None;
                }
                mark = Mark::Place {
                    is_toward: *is_toward,
                    place: to,
                };
                let toward = Direction::along(way);
                if *is_toward {
                    toward
                } else {
                    toward.opposite()
                }
            }
        };
        Some((found, mark))
    }

    fn turned(&self, draft: &Draft, angle: Id, turned: Turned) -> (Direction, Mark) {
        let sign = |is_anticlockwise| match is_anticlockwise {
            true => Sign::Plus,
            false => Sign::Minus,
        };
        match turned {
            Turned::From(base, toward) => {
                let (from, to) = (base.quarters(), toward.quarters());
                let sign = sign((from + 1) % 4 == to);
                let from_there = Mark::Angle {
                    from: Some(from),
                    angle,
                };
                (Direction::turned(from, vec![(sign, angle)]), from_there)
            }
            Turned::FromX => {
                let frame = &draft.sketch.body.frame;
                let sign = sign(frame.y.quarters_from(&frame.x) != Some(3));
                let from_x = Mark::Angle { from: None, angle };
                (frame.x.clone().turned_by(sign, angle), from_x)
            }
        }
    }

    /// Up the incline and so many quarter turns; away from it is the upper side of it.
    fn incline(&mut self, draft: &Draft, quarters: u8, span: Span) -> Option<Direction> {
        let Some((up, _)) = draft.sketch.block.clone() else {
            if draft.lost.may_be("block") {
                return None;
            }
            self.refuse_sketch(
                Code::G06,
                span,
                "there is no incline in this sketch".to_owned(),
                "`block on incline at theta above right`".to_owned(),
            );
            return None;
        };
        Some(match quarters {
            0 => up,
            2 => up.opposite(),
            _ if up.goes_left() => up.quarter().opposite(),
            _ => up.quarter(),
        })
    }

    fn angle(&mut self, draft: &mut Draft, angle: &syntax::Expr) -> Option<Id> {
        let expr = self.expr(angle)?;
        let id = draft.quantity(angle.span.of(self.text), expr);
        draft.sketch.angles.push(id);
        Some(id)
    }

    /// A leg of a slope may be a plain number, which has to be positive.
    fn leg_of_slope(&mut self, draft: &mut Draft, leg: &syntax::Expr) -> Option<Id> {
        let expr = self.expr(leg)?;
        let is_positive = match &expr.inside().kind {
            ExprKind::Number(value) => *value > 0.0,
            ExprKind::Negative(_) => false,
            _ => true,
        };
        if !is_positive {
            self.refuse_sketch(
                Code::G14,
                leg.span,
                "the two numbers of a slope are positive".to_owned(),
                "`rising` or `falling`, and `right` or `left`, say where it goes".to_owned(),
            );
            return None;
        }
        Some(draft.quantity(leg.span.of(self.text), expr))
    }

    /// A magnitude or a length: a name or a formula, with no minus in front.
    pub(super) fn magnitude(&mut self, draft: &mut Draft, of: &syntax::Expr) -> Option<Id> {
        let expr = self.expr(of)?;
        let text = of.span.of(self.text);
        if super::is_plain_number(&expr) {
            self.refuse_sketch(
                Code::G14,
                of.span,
                format!("`{text}` is a number, and data belong in `given`"),
                "a name, which has its value in `given`".to_owned(),
            );
            return None;
        }
        if has_a_minus(&expr) {
            self.refuse_sketch(
                Code::G14,
                of.span,
                format!("the sign of `{text}` belongs in the direction"),
                format!(
                    "`{}` in the opposite direction",
                    text.trim_start_matches(['-', '−', ' '])
                ),
            );
            return None;
        }
        self.one_number(&expr, text, of.span)?;
        Some(draft.quantity(text, expr))
    }

    /// Neither a vector nor a list.
    pub(super) fn one_number(&mut self, expr: &Expr, text: &str, span: Span) -> Option<()> {
        if !self.is_vector_or_list(expr) {
            return Some(());
        }
        self.refuse_sketch(
            Code::G25,
            span,
            format!("`{text}` is no one number"),
            format!("`|{text}|`, or its components"),
        );
        None
    }

    fn is_vector_or_list(&self, expr: &Expr) -> bool {
        let is_list = (expr.as_symbol())
            .is_some_and(|symbol| syntax::is_list_name(&self.symbols.symbol(symbol).key));
        is_list
            || super::super::super::components::components(expr, self.symbols.vectors()).is_some()
    }
}

fn has_a_minus(expr: &Expr) -> bool {
    match &expr.kind {
        ExprKind::Negative(_) => true,
        ExprKind::Sum(terms) => terms.first().is_some_and(|term| term.negative),
        _ => false,
    }
}
