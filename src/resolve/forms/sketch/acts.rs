//! What the lines of a sketch say that acts.

use super::super::super::{Expr, Resolver};
use super::{Act, ActOf, Draft, Mark, square};
use crate::diagnostic::Code;
use crate::mechanics::{self, Action, Direction, Exchange, Id, Turn};
use crate::syntax::{
    self, ActKind, Bearing, Course, Lies, Line, ReactionWay, Sketch, SketchKind, SupportKind, Word,
};
use crate::text::Span;

impl<'a> Resolver<'a> {
    /// Reads a line; nothing where it was refused.
    pub(super) fn line_of_sketch(
        &mut self,
        draft: &mut Draft,
        line: &'a Line,
        sketch: &'a Sketch,
    ) -> Option<()> {
        if let Some((message, help)) = misplaced(draft.sketch.kind, sketch) {
            self.refuse_sketch(Code::G31, line.span, message, help);
            return None;
        }
        match sketch {
            Sketch::Head(_) | Sketch::AsFound(_) => {
                self.said_twice(line.span, "a sketch says once what it is of");
                None
            }
            Sketch::Point(name, position) => self.point_of_sketch(draft, name, position),
            Sketch::Member(kind, places) => {
                let [from, to] = places;
                let places = [
                    self.place_of_sketch(draft, from)?,
                    self.place_of_sketch(draft, to)?,
                ];
                draft.sketch.members.push((*kind, places));
                Some(())
            }
            Sketch::Outline(places) => self.outline_of_sketch(draft, places),
            Sketch::Block(direction) => match direction {
                Some(direction) => self.direction(draft, direction, None).map(|_| ()),
                None => Some(()),
            },
            Sketch::Wheel(at, radius) => {
                let at = self.place_of_sketch(draft, at)?;
                let radius = self.magnitude(draft, radius)?;
                draft.sketch.wheels.push((at, radius));
                Some(())
            }
            Sketch::Act(act) => self.force(draft, line.span, act),
            Sketch::Moment {
                magnitude,
                is_clockwise,
                at,
                opposite,
            } => {
                let id = self.magnitude(draft, magnitude)?;
                let at = self.place_of_sketch(draft, at)?;
                let turn = turn(*is_clockwise);
                if let Some(of) = opposite {
                    self.opposite_moment(of, turn)?;
                }
                let action = Action::Couple {
                    magnitude: id,
                    turn,
                };
                let act = act_of("moment", ActOf::Moment, magnitude.span);
                draft.act(
                    action,
                    Act {
                        at: Some(at),
                        ..act
                    },
                );
                Some(())
            }
            Sketch::Load(load) => self.load(draft, load),
            Sketch::Water(water) => self.water(draft, line.span, water),
            Sketch::Level(level, at) => self.level_of_sketch(draft, line.span, level, at),
            Sketch::Dimension(length, places) => self.dimension_of_sketch(draft, length, places),
            Sketch::Station(station) => self.station_of_sketch(draft, line.span, station),
            Sketch::Device(kind, head) => self.device_of_sketch(draft, *kind, head),
            Sketch::End(end) => self.end_of_columns(draft, line.span, end),
            Sketch::Column(column) => self.column_of_sketch(draft, line.span, column),
            Sketch::Medium(syntax::MediumKind::Surroundings, value)
                if draft.sketch.kind == SketchKind::AtRest =>
            {
                self.surroundings_of_columns(draft, line.span, value)
            }
            Sketch::Support(support) => self.support(draft, line.span, support),
            Sketch::Axes(axes) => self.axes(draft, axes),
            Sketch::Cut(cut) => self.cut_of_sketch(draft, line.span, cut),
            Sketch::Rate {
                magnitude,
                is_power,
                is_in,
                opposite,
            } => {
                let of = self.magnitude(draft, magnitude)?;
                if let Some(of) = opposite {
                    self.opposite_rate(of, *is_power, *is_in)?;
                }
                let exchange = Exchange {
                    of,
                    is_power: *is_power,
                    is_in: *is_in,
                };
                self.exchange(draft, exchange, magnitude.span)
            }
            Sketch::Gathered(of, magnitude) => self.gathered(draft, line.span, of, magnitude),
            Sketch::Moves(speed, direction) => self.moves(draft, line.span, speed, direction),
            Sketch::Rotates {
                speed,
                is_clockwise,
                about,
            } => self.rotates(draft, line.span, (speed, turn(*is_clockwise)), about),
            Sketch::Medium(syntax::MediumKind::Gravity, value) if draft.sketch.flows.is_none() => {
                self.own_gravity(draft, line.span, value)
            }
            Sketch::Medium(kind, expr) => self.medium(draft, line.span, *kind, expr),
            Sketch::Substance { is_liquid } => self.substance(draft, line.span, *is_liquid),
            Sketch::FromAbove => self.once(line.span, &mut draft.sketch.look.from_above),
            Sketch::WeightNeglected => self.once(line.span, &mut draft.sketch.look.no_weight),
            Sketch::SupportsRemoved => {
                self.once(line.span, &mut draft.sketch.look.supports_removed)
            }
            Sketch::NoDimensions => self.once(line.span, &mut draft.sketch.look.no_dimensions),
            Sketch::Show { numbers } => {
                let mut is_said = draft.sketch.look.numbers.is_some();
                self.once(line.span, &mut is_said)?;
                draft.sketch.look.numbers = Some(*numbers);
                Some(())
            }
            Sketch::Scale(both) => {
                let (of, scale) = self.scale(line.span, both)?;
                self.one_scale(&mut draft.sketch.scales, of, scale)
            }
            Sketch::Clockwise => {
                draft.sketch.body.frame.turn = Turn::Clockwise;
                Some(())
            }
            Sketch::Accelerates {
                magnitude,
                direction,
                mass,
                at,
            } => {
                let at = self.place_if_any(draft, at.as_ref())?;
                let id = self.magnitude(draft, magnitude)?;
                let mass = self.magnitude(draft, mass)?;
                let (direction, mark) = self.direction(draft, direction, at)?;
                let action = Action::Accelerates {
                    magnitude: id,
                    direction,
                    mass,
                    at,
                };
                let act = act_of("acceleration", ActOf::Acceleration, magnitude.span);
                draft.act(action, Act { mark, ..act });
                Some(())
            }
            Sketch::Turns {
                magnitude,
                is_clockwise,
                inertia,
            } => {
                let id = self.magnitude(draft, magnitude)?;
                let inertia = self.magnitude(draft, inertia)?;
                let action = Action::Turns {
                    magnitude: id,
                    turn: turn(*is_clockwise),
                    inertia,
                };
                let act = act_of("acceleration", ActOf::Acceleration, magnitude.span);
                draft.act(action, act);
                Some(())
            }
        }
    }

    pub(super) fn once(&mut self, span: Span, said: &mut bool) -> Option<()> {
        if *said {
            self.said_twice(span, "this is said twice");
            return None;
        }
        *said = true;
        Some(())
    }

    pub(super) fn said_twice(&mut self, span: Span, message: &str) {
        self.refuse_sketch(
            Code::G04,
            span,
            message.to_owned(),
            "one of the two lines".to_owned(),
        );
    }

    fn force(&mut self, draft: &mut Draft, line: Span, act: &syntax::Act) -> Option<()> {
        if act.kind == ActKind::Weight && draft.sketch.look.from_above {
            self.refuse_sketch(
                Code::G08,
                line,
                "seen from above, weight has no direction on the page".to_owned(),
                "the sketch without `weight`, or without `view from above`".to_owned(),
            );
            return None;
        }
        if act.kind == ActKind::Weight && draft.sketch.look.no_weight {
            self.said_twice(line, "the weight is neglected, and acts");
            return None;
        }
        let at = self.place_if_any(draft, act.at.as_ref())?;
        let id = self.magnitude(draft, &act.magnitude)?;
        let (direction, mark) = match &act.direction {
            Some(direction) => self.direction(draft, direction, at)?,
            None => (self.own_direction(draft, act, line)?, Mark::Words),
        };
        if act.kind == ActKind::Force {
            self.one_direction(draft, act, &direction, at)?;
        }
        if let Some((magnitude, label)) = &act.opposite {
            self.opposite_force(draft, (magnitude.span, label), &direction, at)?;
        }
        self.note_drawn(draft, id, act.direction.as_ref());
        let action = Action::Force {
            magnitude: id,
            direction,
            at,
        };
        let shown = act_of(act.kind.word(), ActOf::Force(act.kind), act.magnitude.span);
        let is_away = (act.direction.as_ref())
            .is_some_and(|it| matches!(it.course, Course::Reader { is_toward: false }));
        draft.act(
            action,
            Act {
                mark,
                is_away,
                ..shown
            },
        );
        Some(())
    }

    /// Notes which way of the page a name points.
    fn note_drawn(&mut self, draft: &Draft, id: Id, direction: Option<&syntax::Direction>) {
        let symbol = draft.sketch.quantities.get(id).and_then(Expr::as_symbol);
        let bearing = direction.and_then(|direction| match direction.course {
            Course::Bearing(bearing) => Some((bearing, direction.span)),
            _ => None,
        });
        if let (Some(symbol), Some((bearing, place))) = (symbol, bearing) {
            self.is_drawn(symbol, bearing, place);
        }
    }

    /// Weight acts down, a normal force away from what the block stands on.
    fn own_direction(&mut self, draft: &Draft, act: &syntax::Act, line: Span) -> Option<Direction> {
        if act.kind == ActKind::Weight {
            return Some(Direction::quarters(3));
        }
        let Some((up, _)) = draft.sketch.block.clone() else {
            if draft.lost.may_be("block") {
                return None;
            }
            self.refuse_sketch(
                Code::G02,
                line,
                format!(
                    "where `{}` pushes is not said",
                    act.magnitude.span.of(self.text)
                ),
                format!("`normal {} up`", act.magnitude.span.of(self.text)),
            );
            return None;
        };
        Some(match up.goes_left() {
            true => up.quarter().opposite(),
            false => up.quarter(),
        })
    }

    /// One name in two directions is refused, but for a couple: exactly opposite at two places.
    fn one_direction(
        &mut self,
        draft: &mut Draft,
        act: &syntax::Act,
        direction: &Direction,
        at: Option<usize>,
    ) -> Option<()> {
        let text = act.magnitude.span.of(self.text);
        let words: String = text.split_whitespace().collect();
        let others = draft.forces.iter().filter(|(written, _)| *written == words);
        for (_, other) in others {
            let Some(Action::Force {
                direction: there,
                at: its,
                ..
            }) = draft.sketch.body.actions.get(*other)
            else {
                continue;
            };
            let quarters = direction.quarters_from(there);
            let is_couple = quarters == Some(2) && its.is_some() && at.is_some() && *its != at;
            if quarters != Some(0) && !is_couple {
                self.refuse_sketch(
                    Code::G15,
                    act.magnitude.span,
                    format!("`{text}` acts in two directions"),
                    format!("two names, as `{text}_x` and `{text}_y`"),
                );
                return None;
            }
        }
        draft.forces.push((words, draft.sketch.acts.len()));
        Some(())
    }

    fn load(&mut self, draft: &mut Draft, load: &'a syntax::Load) -> Option<()> {
        let [from, to] = &load.places;
        let places = [
            self.place_of_sketch(draft, from)?,
            self.place_of_sketch(draft, to)?,
        ];
        let first = self.load_end(draft, &load.first)?;
        let last = match &load.last {
            Some(last) => self.load_end(draft, last)?,
            None => first,
        };
        let way = draft.sketch.body.places[places[0]].to(&draft.sketch.body.places[places[1]]);
        let (mut mark, mut side) = (Mark::Words, None);
        let lies = match &load.lies {
            Lies::Along(direction, per) => {
                let span = direction.span;
                let (found, said) = self.direction(draft, direction, None)?;
                mark = said;
                let is_square = (way.line_direction())
                    .is_some_and(|line| matches!(found.quarters_from(line), Some(1 | 3)));
                match per {
                    None if !is_square => {
                        let line = format!("{}{}", from.text, to.text);
                        self.refuse_sketch(
                            Code::G32,
                            span,
                            format!("per length of {line}, or of its level extent?"),
                            "`, per length` (own weight) or `, per level length` (snow) at the end"
                                .to_owned(),
                        );
                        return None;
                    }
                    None | Some(false) => mechanics::Load::PerLength(found),
                    Some(true) if draft.sketch.look.from_above => {
                        self.refuse_sketch(
                            Code::G08,
                            span,
                            "seen from above, nothing is level".to_owned(),
                            "`, per length`".to_owned(),
                        );
                        return None;
                    }
                    Some(true) => mechanics::Load::PerLevelLength(found),
                }
            }
            Lies::Square(edge) => {
                side = Some(edge.0);
                mechanics::Load::Square {
                    from_the_left: self.side_of_sketch(draft, places, edge.0, &load.places)?,
                    side: Direction::quarters(edge.0.quarters()),
                }
            }
        };
        let action = Action::Load {
            ends: [first, last],
            lies,
            places,
        };
        let act = act_of("load", ActOf::Load, load.first.span);
        draft.act(action, Act { mark, side, ..act });
        Some(())
    }

    /// The size of a load at one end; `0` for nothing.
    fn load_end(&mut self, draft: &mut Draft, end: &syntax::Expr) -> Option<Option<Id>> {
        let is_zero = matches!(&end.kind, syntax::ExprKind::Number(number) if number.value == 0.0);
        if is_zero {
            return Some(None);
        }
        self.magnitude(draft, end).map(Some)
    }

    /// Whether a side of the page is to the left of the way from place to place.
    pub(super) fn side_of_sketch(
        &mut self,
        draft: &Draft,
        places: [usize; 2],
        side: Bearing,
        words: &[Word; 2],
    ) -> Option<bool> {
        let [from, to] = places.map(|at| &draft.sketch.body.places[at]);
        let toward = Direction::quarters(side.quarters());
        let left = from.to(to).side(&toward);
        let signs: Vec<bool> = (left.0.iter()).map(|it| it.number > 0.into()).collect();
        if let (Some(first), true) = (signs.first(), signs.windows(2).all(|it| it[0] == it[1])) {
            return Some(*first);
        }
        let line = format!("{}{}", words[0].text, words[1].text);
        let (message, help) = match signs.is_empty() {
            true => (
                format!("{line} runs along that side"),
                "a side that it faces: `from left`, `from right`, `from above`, `from below`",
            ),
            false => (
                format!("which side of {line} that is depends on the data"),
                "lines from place to place whose legs go one way",
            ),
        };
        self.refuse_sketch(Code::G33, words[0].span, message, help.to_owned());
        None
    }

    fn support(&mut self, draft: &mut Draft, line: Span, support: &syntax::Support) -> Option<()> {
        let at = self.place_of_sketch(draft, &support.at)?;
        let mut acts = Vec::with_capacity(support.reactions.len());
        for reaction in &support.reactions {
            let id = self.magnitude(draft, &reaction.magnitude)?;
            let (action, mark) = match &reaction.way {
                ReactionWay::Moment { is_clockwise } => (
                    Action::Couple {
                        magnitude: id,
                        turn: turn(*is_clockwise),
                    },
                    Mark::Words,
                ),
                ReactionWay::Force(direction) => {
                    self.note_drawn(draft, id, Some(direction));
                    let (direction, mark) = self.direction(draft, direction, Some(at))?;
                    let action = Action::Force {
                        magnitude: id,
                        direction,
                        at: Some(at),
                    };
                    (action, mark)
                }
            };
            acts.push((action, reaction.magnitude.span, mark));
        }
        self.carried(line, support, &acts)?;
        if let Some(other) = &support.opposite {
            self.opposite_support(draft, other, &acts)?;
        }
        let number = draft.sketch.supports.len();
        draft.sketch.supports.push((support.kind, at));
        for (action, span, mark) in acts {
            let act = act_of(support.kind.word(), ActOf::Support(number), span);
            draft.act(
                action,
                Act {
                    mark,
                    at: Some(at),
                    ..act
                },
            );
        }
        Some(())
    }

    /// A support carries what its kind does, and two forces square to each other.
    fn carried(
        &mut self,
        line: Span,
        support: &syntax::Support,
        acts: &[(Action, Span, Mark)],
    ) -> Option<()> {
        let kind = support.kind;
        let directions: Vec<&Direction> = (acts.iter())
            .filter_map(|(action, ..)| match action {
                Action::Force { direction, .. } => Some(direction),
                _ => None,
            })
            .collect();
        let (forces, moments) = kind.carries();
        let found = (directions.len(), acts.len() - directions.len());
        let may_be_joined = matches!(
            kind,
            SupportKind::Hinge | SupportKind::Link | SupportKind::Smooth | SupportKind::Rough
        );
        if found != (forces, moments) {
            let count = |count: usize, one: &str| match count {
                0 => String::new(),
                1 => format!("one {one}"),
                count => format!("{count} {one}s"),
            };
            let carries: Vec<String> = [count(forces, "force"), count(moments, "moment")]
                .into_iter()
                .filter(|words| !words.is_empty())
                .collect();
            self.refuse_sketch(
                Code::G07,
                line,
                format!("a `{}` carries {}", kind.word(), carries.join(" and ")),
                "`pin` (two forces), `roller`, `smooth` and `link` (one), `rough` and `hinge` (two), \
                 `fixed` (two and a moment)"
                    .to_owned(),
            );
            return None;
        }
        if support.opposite.is_some() && !may_be_joined {
            self.refuse_sketch(
                Code::G07,
                line,
                format!(
                    "a `{}` stands on ground, and has no other side",
                    kind.word()
                ),
                "`hinge`, `link`, `smooth` or `rough` between two bodies".to_owned(),
            );
            return None;
        }
        let is_square = match directions.as_slice() {
            [one, other] => matches!(other.quarters_from(one), Some(1 | 3)),
            _ => true,
        };
        if !is_square {
            let forces = acts.iter().map(|(action, ..)| action);
            let forces = forces.filter(|it| matches!(it, Action::Force { .. }));
            let told = <[&Action; 2]>::try_from(forces.collect::<Vec<_>>()).ok();
            let told = told.and_then(|both| square::square(support, both, self.text));
            self.refuse_sketch(
                Code::G18,
                line,
                format!("the forces of a `{}` are square to each other", kind.word()),
                told.unwrap_or_else(|| "`A_x right, A_y up`".to_owned()),
            );
            return None;
        }
        Some(())
    }
}

pub(super) fn turn(is_clockwise: bool) -> Turn {
    match is_clockwise {
        true => Turn::Clockwise,
        false => Turn::Anticlockwise,
    }
}

pub(super) fn act_of(called: &'static str, kind: ActOf, span: Span) -> Act {
    Act {
        called,
        kind,
        span,
        mark: Mark::Words,
        at: None,
        side: None,
        is_away: false,
    }
}

/// Why a line cannot stand in a sketch of its kind, and what to write.
fn misplaced(kind: SketchKind, sketch: &Sketch) -> Option<(String, String)> {
    let (word, form) = sketch.form()?;
    if form.is_of(kind) {
        return None;
    }
    let others: Vec<String> = form.kinds().map(|it| format!("a `{it}`")).collect();
    let why = match kind {
        SketchKind::Body => "nothing flows through it",
        SketchKind::Particle => "all forces go through one point",
        SketchKind::ControlVolume(_) => "it is what flows through a boundary",
        SketchKind::AtRest => "it is columns from one end to the other",
    };
    Some((
        format!("a {} has no `{word}`: {why}", kind.word()),
        others.join(", or "),
    ))
}
