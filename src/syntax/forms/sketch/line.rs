//! What the lines of a sketch say.

use super::super::super::grammar::{Pair, Rule};
use super::super::super::literal;
use super::super::super::reader::{Read, Reader};
use super::super::super::{Expr, Literal, Word};
use super::super::{Part, Spot};
use super::cut::Cut;
use super::direction::{Bearing, Direction};
use super::stream::{Column, DeviceKind, StationLine, TubeEnd};
use super::volume::{GatheredOf, MediumKind, VolumeShape};

/// What a sketch is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SketchKind {
    /// A rigid body with places.
    Body,
    /// Forces through one point.
    Particle,
    /// Columns of fluids at rest.
    AtRest,
    /// What flows through a boundary, and the shape that is drawn.
    ControlVolume(VolumeShape),
}

impl SketchKind {
    /// Its word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Body => "body",
            Self::Particle => "particle",
            Self::AtRest => "fluid at rest",
            Self::ControlVolume(_) => "control volume",
        }
    }
}

/// A piece of the way to a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Leg {
    /// How long it is.
    pub length: Expr,
    /// Where it goes.
    pub direction: Direction,
}

/// Where a place is.
#[derive(Debug, Clone, PartialEq)]
pub enum Position {
    /// Others are told from it.
    Beginning,
    /// In the middle of two.
    Middle([Word; 2]),
    /// By legs from one.
    Legs(Vec<Leg>, Word),
}

/// What goes straight from place to place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MemberKind {
    /// A beam.
    Beam,
    /// A bar.
    Bar,
    /// A plate.
    Plate,
    /// A rope.
    Rope,
}

/// What acts in one direction.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ActKind {
    /// A force.
    Force,
    /// A cable, which pulls.
    Cable,
    /// A bar, which counts positive in tension.
    Bar,
    /// Friction.
    Friction,
    /// What a surface pushes with.
    Normal,
    /// Weight.
    Weight,
}

impl ActKind {
    /// Its word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Force => "force",
            Self::Cable => "cable",
            Self::Bar => "bar",
            Self::Friction => "friction",
            Self::Normal => "normal",
            Self::Weight => "weight",
        }
    }
}

/// A force of any kind.
#[derive(Debug, Clone, PartialEq)]
pub struct Act {
    /// What it is.
    pub kind: ActKind,
    /// How large it is.
    pub magnitude: Expr,
    /// Where it points, where that is said.
    pub direction: Option<Direction>,
    /// The place where it acts, where that is said.
    pub at: Option<Word>,
    /// Of which other sketch it is the opposite, and what that calls it.
    pub opposite: Option<(Expr, Word)>,
}

/// A side that a load presses from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Edge(pub Bearing);

/// How a load lies on its line.
#[derive(Debug, Clone, PartialEq)]
pub enum Lies {
    /// In a direction; of which length it is, where that is said, true for the level one.
    Along(Direction, Option<bool>),
    /// Square to the line, from a side.
    Square(Edge),
}

/// What is spread from place to place.
#[derive(Debug, Clone, PartialEq)]
pub struct Load {
    /// How large it is at the first place.
    pub first: Expr,
    /// And at the last, where it changes.
    pub last: Option<Expr>,
    /// How it lies.
    pub lies: Lies,
    /// From where to where.
    pub places: [Word; 2],
}

/// Where a free surface is.
#[derive(Debug, Clone, PartialEq)]
pub struct Surface {
    /// How high it lies above the place; nothing where it is as high.
    pub height: Option<Expr>,
    /// The place.
    pub place: Word,
}

/// A fluid at rest on a line.
#[derive(Debug, Clone, PartialEq)]
pub struct Water {
    /// Its density.
    pub density: Expr,
    /// The side of the line that it is on.
    pub edge: Edge,
    /// From where to where the line goes.
    pub places: [Word; 2],
    /// Where its surface is.
    pub surface: Surface,
    /// What presses on the surface over the air.
    pub pressure: Option<Expr>,
    /// How wide the line is, square to the page.
    pub width: Option<Expr>,
}

/// A support.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SupportKind {
    /// Two forces.
    Pin,
    /// One, which pushes.
    Roller,
    /// Two forces and a moment.
    Fixed,
    /// One, which pushes.
    Smooth,
    /// Two: away from the surface, and along it.
    Rough,
    /// Two, between bodies.
    Hinge,
    /// One, in both senses.
    Link,
}

impl SupportKind {
    fn named(word: &str) -> Self {
        match word {
            "pin" => Self::Pin,
            "roller" => Self::Roller,
            "fixed" => Self::Fixed,
            "smooth" => Self::Smooth,
            "rough" => Self::Rough,
            "hinge" => Self::Hinge,
            _ => Self::Link,
        }
    }

    /// Its word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Pin => "pin",
            Self::Roller => "roller",
            Self::Fixed => "fixed",
            Self::Smooth => "smooth",
            Self::Rough => "rough",
            Self::Hinge => "hinge",
            Self::Link => "link",
        }
    }

    /// How many forces and moments it carries.
    pub fn carries(self) -> (usize, usize) {
        match self {
            Self::Pin | Self::Hinge | Self::Rough => (2, 0),
            Self::Roller | Self::Smooth | Self::Link => (1, 0),
            Self::Fixed => (2, 1),
        }
    }
}

/// Which way a reaction acts.
#[derive(Debug, Clone, PartialEq)]
pub enum ReactionWay {
    /// A force in a direction.
    Force(Direction),
    /// A moment.
    Moment {
        /// Whether it turns as a clock does.
        is_clockwise: bool,
    },
}

/// A force or moment of a support.
#[derive(Debug, Clone, PartialEq)]
pub struct Reaction {
    /// How large it is.
    pub magnitude: Expr,
    /// Which way it acts.
    pub way: ReactionWay,
}

/// A support with what it carries.
#[derive(Debug, Clone, PartialEq)]
pub struct Support {
    /// What it is.
    pub kind: SupportKind,
    /// Where it is.
    pub at: Word,
    /// What it carries.
    pub reactions: Vec<Reaction>,
    /// The sketch on the other side of it.
    pub opposite: Option<Word>,
}

/// A line of `sketch`.
#[derive(Debug, Clone, PartialEq)]
pub enum Sketch {
    /// What it is of.
    Head(SketchKind),
    /// A sketch above, as it turned out.
    AsFound(Word),
    /// A place.
    Point(Word, Position),
    /// What goes from place to place.
    Member(MemberKind, [Word; 2]),
    /// A filled body.
    Outline(Vec<Word>),
    /// A block on an incline, or on the floor.
    Block(Option<Direction>),
    /// A wheel and its radius.
    Wheel(Word, Expr),
    /// A force.
    Act(Box<Act>),
    /// A couple.
    Moment {
        /// How large it is.
        magnitude: Expr,
        /// Whether it turns as a clock does.
        is_clockwise: bool,
        /// Where it is drawn.
        at: Word,
        /// Of which other sketch it is the opposite, and what that calls it.
        opposite: Option<(Expr, Word)>,
    },
    /// A load.
    Load(Box<Load>),
    /// A fluid at rest on a line.
    Water(Box<Water>),
    /// A level that is written at a place.
    Level(Expr, Word),
    /// A length that is written between two places.
    Dimension(Expr, [Word; 2]),
    /// A section along a stream.
    Station(Box<StationLine>),
    /// What stands along a stream, and its head.
    Device(DeviceKind, Expr),
    /// An end of columns.
    End(Box<TubeEnd>),
    /// A column of a fluid at rest.
    Column(Box<Column>),
    /// A support.
    Support(Box<Support>),
    /// The axes.
    Axes(Box<[Direction; 2]>),
    /// What is seen has no height.
    FromAbove,
    /// Moments count clockwise.
    Clockwise,
    /// A mass that moves faster and faster.
    Accelerates {
        /// How much faster.
        magnitude: Expr,
        /// Where to.
        direction: Direction,
        /// How much is moved.
        mass: Expr,
        /// Where its centre is.
        at: Option<Word>,
    },
    /// A body that turns faster and faster.
    Turns {
        /// How much faster.
        magnitude: Expr,
        /// Whether it turns as a clock does.
        is_clockwise: bool,
        /// The moment of inertia about the centre of mass.
        inertia: Expr,
    },
    /// A cut through which something flows.
    Cut(Box<Cut>),
    /// Heat or power through the boundary.
    Rate {
        /// How much.
        magnitude: Expr,
        /// Whether it is power, and not heat.
        is_power: bool,
        /// Whether it comes in.
        is_in: bool,
        /// Of which other sketch it is the opposite, and what that calls it.
        opposite: Option<(Expr, Word)>,
    },
    /// What gathers inside, each second.
    Gathered(GatheredOf, Expr),
    /// A control volume that moves steadily.
    Moves(Expr, Direction),
    /// A control volume that turns steadily.
    Rotates {
        /// How fast.
        speed: Expr,
        /// Whether it turns as a clock does.
        is_clockwise: bool,
        /// The place of its axis.
        about: Word,
    },
    /// What is said of all that flows.
    Medium(MediumKind, Expr),
    /// Whether a liquid flows, or a gas.
    Substance {
        /// A liquid.
        is_liquid: bool,
    },
    /// The weight counts for nothing.
    WeightNeglected,
    /// Supports are drawn as forces alone.
    SupportsRemoved,
    /// No lengths are drawn.
    NoDimensions,
    /// What is written behind symbols.
    Show {
        /// Their values, or nothing.
        numbers: bool,
    },
    /// A length on the page, and what it stands for.
    Scale(Box<[Literal; 2]>),
}

impl Sketch {
    /// Its parts, in order.
    pub(in super::super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        let places = |places: &'a [Word], take: &mut dyn FnMut(Part<'a>)| {
            places.iter().for_each(|place| take(Spot::place(place)));
        };
        let opposite = |of: &'a Option<(Expr, Word)>, take: &mut dyn FnMut(Part<'a>)| {
            if let Some((magnitude, label)) = of {
                take(Part::Expr(magnitude));
                take(Part::Label(label));
            }
        };
        match self {
            Self::Point(name, position) => {
                take(Spot::named(name, false));
                match position {
                    Position::Beginning => {}
                    Position::Middle(ends) => places(ends, take),
                    Position::Legs(legs, from) => {
                        for leg in legs {
                            take(Part::Expr(&leg.length));
                            leg.direction.parts(take);
                        }
                        take(Spot::place(from));
                    }
                }
            }
            Self::Member(_, ends) => places(ends, take),
            Self::Outline(all) => places(all, take),
            Self::Block(direction) => direction.iter().for_each(|it| it.parts(take)),
            Self::Wheel(at, radius) => {
                take(Spot::place(at));
                take(Part::Expr(radius));
            }
            Self::Act(act) => {
                take(Part::Expr(&act.magnitude));
                act.direction.iter().for_each(|it| it.parts(take));
                act.at.iter().for_each(|it| take(Spot::place(it)));
                opposite(&act.opposite, take);
            }
            Self::Moment {
                magnitude,
                at,
                opposite: of,
                ..
            } => {
                take(Part::Expr(magnitude));
                take(Spot::place(at));
                opposite(of, take);
            }
            Self::Load(load) => {
                take(Part::Expr(&load.first));
                load.last.iter().for_each(|it| take(Part::Expr(it)));
                if let Lies::Along(direction, _) = &load.lies {
                    direction.parts(take);
                }
                places(&load.places, take);
            }
            Self::Water(water) => {
                take(Part::Expr(&water.density));
                places(&water.places, take);
                (water.surface.height.iter()).for_each(|it| take(Part::Expr(it)));
                take(Spot::place(&water.surface.place));
                let others = [&water.pressure, &water.width];
                (others.into_iter().flatten()).for_each(|it| take(Part::Expr(it)));
            }
            Self::Level(expr, at) => {
                take(Part::Expr(expr));
                take(Spot::place(at));
            }
            Self::Dimension(expr, ends) => {
                take(Part::Expr(expr));
                places(ends, take);
            }
            Self::Station(station) => station.parts(take),
            Self::Device(_, head) => take(Part::Expr(head)),
            Self::End(end) => {
                take(Spot::named(&end.name, false));
                end.pressure.iter().for_each(|it| take(Part::Expr(it)));
            }
            Self::Column(column) => column.parts(take),
            Self::Support(support) => {
                take(Spot::place(&support.at));
                for reaction in &support.reactions {
                    take(Part::Expr(&reaction.magnitude));
                    if let ReactionWay::Force(direction) = &reaction.way {
                        direction.parts(take);
                    }
                }
                (support.opposite.iter()).for_each(|label| take(Part::Label(label)));
            }
            Self::Axes(axes) => axes.iter().for_each(|axis| axis.parts(take)),
            Self::Accelerates {
                magnitude,
                direction,
                mass,
                at,
            } => {
                take(Part::Expr(magnitude));
                direction.parts(take);
                take(Part::Expr(mass));
                at.iter().for_each(|it| take(Spot::place(it)));
            }
            Self::Turns {
                magnitude, inertia, ..
            } => {
                take(Part::Expr(magnitude));
                take(Part::Expr(inertia));
            }
            Self::Cut(cut) => cut.parts(take),
            Self::Rate {
                magnitude,
                opposite: of,
                ..
            } => {
                take(Part::Expr(magnitude));
                opposite(of, take);
            }
            Self::Gathered(of, magnitude) => {
                take(Part::Expr(magnitude));
                if let GatheredOf::Momentum(direction) = of {
                    direction.parts(take);
                }
            }
            Self::Moves(speed, direction) => {
                take(Part::Expr(speed));
                direction.parts(take);
            }
            Self::Rotates { speed, about, .. } => {
                take(Part::Expr(speed));
                take(Spot::place(about));
            }
            Self::Medium(_, expr) => take(Part::Expr(expr)),
            Self::AsFound(label) => take(Part::Label(label)),
            Self::Scale(both) => both.iter().for_each(|it| take(Part::Literal(it))),
            Self::Substance { .. }
            | Self::Head(_)
            | Self::FromAbove
            | Self::Clockwise
            | Self::WeightNeglected
            | Self::SupportsRemoved
            | Self::NoDimensions
            | Self::Show { .. } => {}
        }
    }
}

impl Reader<'_> {
    pub(super) fn sketch_line(&mut self, pair: Pair<'_>) -> Read<Sketch> {
        let rule = pair.as_rule();
        let mut parts = pair.clone().into_inner();
        Ok(match rule {
            Rule::sketch_point => {
                let place = self.next(&mut parts)?;
                Sketch::Point(self.word(&place), self.position(parts)?)
            }
            Rule::sketch_member => {
                let kind = match self.next(&mut parts)?.as_str() {
                    "beam" => MemberKind::Beam,
                    "bar" => MemberKind::Bar,
                    "plate" => MemberKind::Plate,
                    _ => MemberKind::Rope,
                };
                let (from, to) = (self.next(&mut parts)?, self.next(&mut parts)?);
                Sketch::Member(kind, [self.word(&from), self.word(&to)])
            }
            Rule::sketch_outline => Sketch::Outline(parts.map(|place| self.word(&place)).collect()),
            Rule::sketch_block => Sketch::Block(match self.next(&mut parts)? {
                floor if floor.as_rule() == Rule::block_floor => None,
                direction => Some(self.direction(direction)?),
            }),
            Rule::sketch_wheel => {
                let (at, radius) = (self.next(&mut parts)?, self.next(&mut parts)?);
                Sketch::Wheel(self.word(&at), self.sketch_expr(&radius)?)
            }
            Rule::sketch_action | Rule::sketch_normal | Rule::sketch_weight => self.act(&pair)?,
            Rule::sketch_moment => {
                let magnitude = self.next(&mut parts)?;
                let is_clockwise = self.next(&mut parts)?.as_str() == "clockwise";
                let at = self.next(&mut parts)?;
                let opposite = parts.next().map(|it| self.opposite(it)).transpose()?;
                Sketch::Moment {
                    magnitude: self.sketch_expr(&magnitude)?,
                    is_clockwise,
                    at: self.word(&at),
                    opposite,
                }
            }
            Rule::sketch_load => self.load(pair)?,
            Rule::sketch_water => self.water(pair)?,
            Rule::sketch_level => {
                let (level, at) = (self.next(&mut parts)?, self.next(&mut parts)?);
                Sketch::Level(self.sketch_expr(&level)?, self.word(&at))
            }
            Rule::sketch_dimension => {
                let length = self.next(&mut parts)?;
                let (from, to) = (self.next(&mut parts)?, self.next(&mut parts)?);
                let places = [self.word(&from), self.word(&to)];
                Sketch::Dimension(self.sketch_expr(&length)?, places)
            }
            Rule::sketch_station => Sketch::Station(Box::new(self.station(pair)?)),
            Rule::sketch_device => {
                let (kind, head) = self.device(pair)?;
                Sketch::Device(kind, head)
            }
            Rule::sketch_end => Sketch::End(Box::new(self.end_of_columns(pair)?)),
            Rule::sketch_column => Sketch::Column(Box::new(self.column(pair)?)),
            Rule::sketch_support => self.support(pair)?,
            Rule::sketch_axes => {
                let (x, y) = (self.next(&mut parts)?, self.next(&mut parts)?);
                Sketch::Axes(Box::new([self.direction(x)?, self.direction(y)?]))
            }
            Rule::sketch_view => Sketch::FromAbove,
            Rule::sketch_clockwise => Sketch::Clockwise,
            Rule::sketch_accelerates => self.accelerates(pair)?,
            Rule::sketch_cut => Sketch::Cut(Box::new(self.cut(pair)?)),
            Rule::sketch_rate => {
                let is_power = self.next(&mut parts)?.as_str() == "power";
                let magnitude = self.next(&mut parts)?;
                let is_in = self.next(&mut parts)?.as_str() == "in";
                let opposite = parts.next().map(|it| self.opposite(it)).transpose()?;
                Sketch::Rate {
                    magnitude: self.sketch_expr(&magnitude)?,
                    is_power,
                    is_in,
                    opposite,
                }
            }
            Rule::sketch_accumulation => self.accumulation(pair)?,
            Rule::sketch_moves => {
                let (speed, direction) = (self.next(&mut parts)?, self.next(&mut parts)?);
                Sketch::Moves(self.sketch_expr(&speed)?, self.direction(direction)?)
            }
            Rule::sketch_rotates => {
                let speed = self.next(&mut parts)?;
                let is_clockwise = self.next(&mut parts)?.as_str() == "clockwise";
                let about = self.next(&mut parts)?;
                Sketch::Rotates {
                    speed: self.sketch_expr(&speed)?,
                    is_clockwise,
                    about: self.word(&about),
                }
            }
            Rule::sketch_medium => {
                let word = self.next(&mut parts)?;
                let expr = self.next(&mut parts)?;
                Sketch::Medium(MediumKind::named(word.as_str()), self.sketch_expr(&expr)?)
            }
            Rule::sketch_substance => Sketch::Substance {
                is_liquid: pair.as_str() == "liquid",
            },
            Rule::sketch_neglected => Sketch::WeightNeglected,
            Rule::sketch_removed => Sketch::SupportsRemoved,
            Rule::sketch_show => Sketch::Show {
                numbers: pair.as_str().ends_with("numbers"),
            },
            Rule::sketch_scale => {
                let (on_paper, of) = (self.next(&mut parts)?, self.next(&mut parts)?);
                let on_paper = literal::literal(self, on_paper)?;
                Sketch::Scale(Box::new([on_paper, literal::literal(self, of)?]))
            }
            _ => Sketch::NoDimensions,
        })
    }

    fn position(&mut self, parts: super::Pairs<'_>) -> Read<Position> {
        let mut legs = Vec::new();
        for part in parts {
            match part.as_rule() {
                Rule::point_middle => {
                    let mut places = part.into_inner();
                    let (from, to) = (self.next(&mut places)?, self.next(&mut places)?);
                    return Ok(Position::Middle([self.word(&from), self.word(&to)]));
                }
                Rule::leg => {
                    let mut leg = part.into_inner();
                    let (length, direction) = (self.next(&mut leg)?, self.next(&mut leg)?);
                    legs.push(Leg {
                        length: self.sketch_expr(&length)?,
                        direction: self.direction(direction)?,
                    });
                }
                _ => return Ok(Position::Legs(legs, self.word(&part))),
            }
        }
        Ok(Position::Beginning)
    }

    /// A force of any kind: its word, its magnitude, and what else is said of it.
    fn act(&mut self, pair: &Pair<'_>) -> Read<Sketch> {
        let (mut kind, mut magnitude) = (ActKind::Weight, None);
        if pair.as_rule() == Rule::sketch_normal {
            kind = ActKind::Normal;
        }
        let (mut direction, mut at, mut opposite) = (None, None, None);
        for part in pair.clone().into_inner() {
            match part.as_rule() {
                Rule::action_word => {
                    kind = match part.as_str() {
                        "force" => ActKind::Force,
                        "cable" => ActKind::Cable,
                        "bar" => ActKind::Bar,
                        _ => ActKind::Friction,
                    };
                }
                Rule::sketch_expr => magnitude = Some(self.sketch_expr(&part)?),
                Rule::direction => direction = Some(self.direction(part)?),
                Rule::place => at = Some(self.word(&part)),
                _ => opposite = Some(self.opposite(part)?),
            }
        }
        Ok(Sketch::Act(Box::new(Act {
            kind,
            magnitude: magnitude.ok_or_else(|| self.nothing())?,
            direction,
            at,
            opposite,
        })))
    }

    fn opposite(&mut self, pair: Pair<'_>) -> Read<(Expr, Word)> {
        let mut parts = pair.into_inner();
        let (expr, label) = (self.next(&mut parts)?, self.next(&mut parts)?);
        Ok((self.sketch_expr(&expr)?, self.label(&label)))
    }

    fn load(&mut self, pair: Pair<'_>) -> Read<Sketch> {
        let (mut ends, mut places, mut lies) = (Vec::new(), Vec::new(), None);
        for part in pair.into_inner() {
            match part.as_rule() {
                Rule::sketch_expr => ends.push(self.sketch_expr(&part)?),
                Rule::direction => lies = Some(Lies::Along(self.direction(part)?, None)),
                Rule::per => {
                    let is_level = part.into_inner().next().is_some();
                    if let Some(Lies::Along(_, per)) = &mut lies {
                        *per = Some(is_level);
                    }
                }
                Rule::edge => {
                    let (edge, on) = self.edge(part)?;
                    lies = Some(Lies::Square(edge));
                    places.extend(on);
                }
                _ => places.push(self.word(&part)),
            }
        }
        let mut ends = ends.into_iter();
        let (Some(first), last, Some(lies)) = (ends.next(), ends.next(), lies) else {
            return Err(self.nothing());
        };
        let places: [Word; 2] = places.try_into().map_err(|_| self.nothing())?;
        Ok(Sketch::Load(Box::new(Load {
            first,
            last,
            lies,
            places,
        })))
    }

    /// `on A to B from left`
    fn edge(&mut self, pair: Pair<'_>) -> Read<(Edge, [Word; 2])> {
        let mut parts = pair.into_inner();
        let (from, to) = (self.next(&mut parts)?, self.next(&mut parts)?);
        let side = match self.next(&mut parts)?.as_str() {
            "left" => Bearing::Left,
            "right" => Bearing::Right,
            "above" => Bearing::Up,
            _ => Bearing::Down,
        };
        Ok((Edge(side), [self.word(&from), self.word(&to)]))
    }

    fn water(&mut self, pair: Pair<'_>) -> Read<Sketch> {
        let mut parts = pair.into_inner();
        let density = self.next(&mut parts)?;
        let density = self.sketch_expr(&density)?;
        let edge = self.next(&mut parts)?;
        let (edge, places) = self.edge(edge)?;
        let surface = self.next(&mut parts)?;
        let mut surface = surface.into_inner();
        let (first, place) = (self.next(&mut surface)?, surface.next());
        let surface = match place {
            Some(place) => Surface {
                height: Some(self.sketch_expr(&first)?),
                place: self.word(&place),
            },
            None => Surface {
                height: None,
                place: self.word(&first),
            },
        };
        let (mut pressure, mut width) = (None, None);
        for part in parts {
            let is_pressure = part.as_rule() == Rule::water_pressure;
            let value = self.next(&mut part.into_inner())?;
            let value = Some(self.sketch_expr(&value)?);
            match is_pressure {
                true => pressure = value,
                false => width = value,
            }
        }
        Ok(Sketch::Water(Box::new(Water {
            density,
            edge,
            places,
            surface,
            pressure,
            width,
        })))
    }

    fn support(&mut self, pair: Pair<'_>) -> Read<Sketch> {
        let mut parts = pair.into_inner();
        let kind = SupportKind::named(self.next(&mut parts)?.as_str());
        let at = self.next(&mut parts)?;
        let at = self.word(&at);
        let (mut reactions, mut opposite) = (Vec::new(), None);
        for part in parts {
            let is_reaction = part.as_rule() == Rule::reaction;
            let mut inner = part.into_inner();
            if !is_reaction {
                let label = self.next(&mut inner)?;
                opposite = Some(self.label(&label));
                continue;
            }
            let (magnitude, way) = (self.next(&mut inner)?, self.next(&mut inner)?);
            reactions.push(Reaction {
                magnitude: self.sketch_expr(&magnitude)?,
                way: match way.as_rule() {
                    Rule::turn => ReactionWay::Moment {
                        is_clockwise: way.as_str() == "clockwise",
                    },
                    _ => ReactionWay::Force(self.direction(way)?),
                },
            });
        }
        Ok(Sketch::Support(Box::new(Support {
            kind,
            at,
            reactions,
            opposite,
        })))
    }

    fn accelerates(&mut self, pair: Pair<'_>) -> Read<Sketch> {
        let mut parts = pair.into_inner();
        let magnitude = self.next(&mut parts)?;
        let magnitude = self.sketch_expr(&magnitude)?;
        let how = self.next(&mut parts)?;
        let is_turning = how.as_rule() == Rule::accelerates_turning;
        let mut how = how.into_inner();
        let way = self.next(&mut how)?;
        let what = self.next(&mut how)?;
        let what = self.sketch_expr(&what)?;
        Ok(match is_turning {
            true => Sketch::Turns {
                magnitude,
                is_clockwise: way.as_str() == "clockwise",
                inertia: what,
            },
            false => Sketch::Accelerates {
                magnitude,
                direction: self.direction(way)?,
                mass: what,
                at: how.next().map(|place| self.word(&place)),
            },
        })
    }
}
