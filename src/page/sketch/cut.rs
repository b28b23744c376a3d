//! The figure of a cut member: the member with what acts on it, and its lines under it.
//!
//! It is drawn level, from its first place to the right, so that what is to the left of its way is
//! above; what acts is turned with it.

use super::super::Page;
use super::super::plot;
use super::super::prose;
use super::super::tree::{Block, Figure, Text};
use super::{Drawing, italic};
use crate::drawing::letters;
use crate::drawing::sketch::{
    self as drawn, Acts, Diagram, Direction, Force, Leg, Load, Mark, Member, Note, Position, Side,
    Spread, Towards,
};
use crate::mechanics::{self, Action};
use crate::resolve::statement::{Act, ActOf};
use crate::syntax::MemberKind;
use crate::typeset::{self, Run};
use crate::worksheet::{Body, CutAt, CutFigure, CutLine, CutMark, Inner, Statement};

/// How much smaller it is on a narrow screen.
const NARROW: f64 = 0.6;

/// Less than this is level, in radians.
const LEVEL: f64 = 1e-9;

/// The figure of a line that has one.
pub(in super::super) fn block(page: &Page, statement: &Statement) -> Option<Block> {
    figure(page, statement).map(|figure| Block::Figure(Box::new(figure)))
}

/// The same as a figure.
pub(in super::super) fn figure(page: &Page, statement: &Statement) -> Option<Figure> {
    let Body::Shear(cut) = &statement.body else {
        return None;
    };
    let lines = Lines {
        page,
        figure: cut.figure.as_deref()?,
    };
    let sketch = lines.sketch(title(page, statement));
    let found = drawn::draw(&sketch);
    let narrow = drawn::draw_narrow(&sketch, NARROW);
    let mut caption = Text::default();
    caption.strong(&format!(
        "{}.",
        plot::name(page, std::slice::from_ref(statement))
    ));
    caption.say(" ");
    if statement.description.is_empty() {
        let number = page.equation(cut.sketch);
        caption.say(format!("{} of Figure\u{a0}{number}", lines.names()));
    } else {
        let mut words = prose::text(page, &statement.description);
        super::begin(&mut words);
        caption.append(words);
    }
    caption.say(".");
    if lines.figure.along.abs() > LEVEL {
        let [from, to] = lines.figure.ends.map(|at| lines.place(at));
        caption.say(format!(
            " Drawn with the way from {from} to {to} to the right."
        ));
    }
    caption.append(lines.extremes());
    let is_drawn = |function| lines.figure.lines.iter().any(|it| it.function == function);
    for (function, _) in cut.lines.iter().filter(|(it, _)| !is_drawn(*it)) {
        let context = page.context.in_function(*function);
        caption.say(" ");
        caption.formula(typeset::function(*function, 1, &context).0);
        caption.say(" is not drawn, as something in it has no value.");
    }
    if found.notes.contains(&Note::NotToScale) {
        caption.say(" Lengths not to scale.");
    }
    Some(Figure {
        id: page.anchor(&statement.id.of_figure()),
        is_sketch: true,
        caption,
        data: None,
        wide: found.drawing,
        narrow: Some(narrow.drawing),
    })
}

/// What it is called, in plain words.
pub(in super::super) fn title(page: &Page, statement: &Statement) -> String {
    let words = letters::plain(&plot::runs(&prose::text(page, &statement.description)));
    match (&statement.body, words.is_empty()) {
        (Body::Shear(cut), true) => match cut.figure.as_deref() {
            Some(figure) => {
                let lines = Lines { page, figure };
                format!("{} of {}", lines.names(), cut.label)
            }
            None => words,
        },
        _ => words,
    }
}

struct Lines<'a> {
    page: &'a Page<'a>,
    figure: &'a CutFigure,
}

impl Lines<'_> {
    /// "Shear and moment"
    fn names(&self) -> &'static str {
        match self.figure.lines.len() {
            3 => "Axial force, shear and moment",
            _ => "Shear and moment",
        }
    }

    fn place(&self, at: usize) -> &str {
        let places = &self.figure.sketch.sketch.places;
        places.get(at).map_or("", |it| &it.text)
    }

    fn name(&self, function: crate::resolve::FunctionId) -> Vec<Run> {
        let context = self.page.context.in_function(function);
        typeset::runs(&typeset::function(function, 1, &context).0)
    }

    /// "at B", "from A to C", "at x = 2.10 m"
    fn at(&self, line: &CutLine, mark: &CutMark) -> String {
        match &mark.at {
            CutAt::Place(place) => format!("at {}", self.place(*place)),
            CutAt::Between([from, to]) => {
                format!("from {} to {}", self.place(*from), self.place(*to))
            }
            CutAt::Far(far) => {
                let function = self.page.placed.problem.symbols.function(line.function);
                let name = function.parameters.first().map_or("", |it| it);
                format!("at {name} = {}", typeset::text(far))
            }
        }
    }

    /// " V(x) is between −12 kN (at B) and 18.5 kN (from A to C)."
    fn extremes(&self) -> Text {
        let mut text = Text::default();
        for line in &self.figure.lines {
            text.say(" ");
            let context = self.page.context.in_function(line.function);
            text.formula(typeset::function(line.function, 1, &context).0);
            text.say(" is between ");
            let [greatest, least] = &line.extremes;
            text.formula(typeset::value(&least.shown));
            text.say(format!(" ({}) and ", self.at(line, least)));
            text.formula(typeset::value(&greatest.shown));
            text.say(format!(" ({}).", self.at(line, greatest)));
        }
        text
    }

    /// What is to be seen on it, in words.
    fn description(&self) -> String {
        let [from, to] = self.figure.ends.map(|at| self.place(at));
        let mut words = vec![format!(
            "{} along the member from {from} to {to}",
            self.names()
        )];
        for line in &self.figure.lines {
            let name = letters::plain(&self.name(line.function));
            let [greatest, least] = &line.extremes;
            words.push(format!(
                "{name}: greatest {} {}, least {} {}",
                typeset::text(&greatest.shown),
                self.at(line, greatest),
                typeset::text(&least.shown),
                self.at(line, least)
            ));
            let marks = line.marks.iter().map(|mark| {
                let shown = typeset::text(&mark.shown);
                format!("{shown} {}", self.at(line, mark))
            });
            let marks: Vec<String> = marks.collect();
            if !marks.is_empty() {
                words.push(format!("values {}", marks.join(", ")));
            }
        }
        words.join("; ")
    }

    fn sketch(&self, title: String) -> drawn::Sketch {
        let of = &*self.figure.sketch.sketch;
        let drawing = Drawing {
            page: self.page,
            sketch: &self.figure.sketch,
            of,
        };
        let turned = Turned {
            drawing: &drawing,
            along: self.figure.along,
            places: self.places(),
        };
        drawn::Sketch {
            title,
            description: self.description(),
            figure: drawn::Figure::Body(drawn::Body {
                diagrams: self.diagrams(),
                ..turned.body(self.figure)
            }),
            forces: turned.forces(),
            square: Vec::new(),
            motions: Vec::new(),
            axes: None,
            scales: Vec::new(),
        }
    }

    /// The places that are drawn, from the first on, by their numbers in the sketch.
    fn places(&self) -> Vec<usize> {
        let of = &self.figure.sketch.sketch;
        let [first, last] = self.figure.ends;
        let acts = of.body.actions.iter().zip(&of.acts);
        let met = acts.flat_map(|(action, act)| places_of(action, act));
        let supports = of.supports.iter().map(|(_, at)| *at);
        let mut found = vec![first];
        for place in std::iter::once(last).chain(met).chain(supports) {
            if !found.contains(&place) && self.figure.far.get(place).is_some_and(Option::is_some) {
                found.push(place);
            }
        }
        found
    }

    fn diagrams(&self) -> Vec<Diagram> {
        let far = |place: &usize| self.figure.far.get(*place).copied().flatten();
        let stops: Vec<f64> = self.places().iter().filter_map(far).collect();
        let line = |line: &CutLine| Diagram {
            name: self.name(line.function),
            line: line.runs.clone(),
            marks: (line.marks.iter())
                .map(|mark| (mark.far, mark.value, self.label(line.inner, mark)))
                .collect(),
            stops: stops.clone(),
        };
        self.figure.lines.iter().map(line).collect()
    }

    /// A value; of a moment that is greatest between places, where that is.
    fn label(&self, inner: Inner, mark: &CutMark) -> Vec<Run> {
        let mut runs = typeset::runs(&typeset::value(&mark.shown));
        if let (Inner::Moment, CutAt::Far(far)) = (inner, &mark.at) {
            runs.push(Run::words(" at "));
            runs.extend(typeset::runs(&typeset::value(far)));
        }
        runs
    }
}

/// The places at which something acts.
fn places_of(action: &Action, act: &Act) -> Vec<usize> {
    match action {
        Action::Force { at, .. } => at.iter().copied().collect(),
        Action::Couple { .. } => act.at.into_iter().collect(),
        Action::Load { places, .. } => places.to_vec(),
        Action::Water(water) => water.places.to_vec(),
        Action::Accelerates { .. } | Action::Turns { .. } => Vec::new(),
    }
}

/// A sketch turned so that its member is level.
struct Turned<'a> {
    drawing: &'a Drawing<'a>,
    along: f64,
    /// The places that are drawn, by their numbers in the sketch.
    places: Vec<usize>,
}

impl Turned<'_> {
    fn body(&self, figure: &CutFigure) -> drawn::Body {
        let drawing = self.drawing;
        let of = drawing.of;
        let far = |place: usize| figure.far.get(place).copied().flatten().unwrap_or(0.0);
        let position = |place: usize| match place == figure.ends[0] {
            true => Position::Origin,
            false => Position::Legs(
                0,
                vec![Leg {
                    length: far(place),
                    direction: level(0.0),
                    label: Vec::new(),
                }],
            ),
        };
        let places = self.places.iter().map(|place| drawn::Place {
            label: vec![italic(of.places.get(*place).map_or("", |it| &it.text))],
            position: position(*place),
        });
        let kind = of.members.first().map(|(kind, _)| match kind {
            MemberKind::Beam => drawn::MemberKind::Beam,
            MemberKind::Bar => drawn::MemberKind::Bar,
            MemberKind::Plate => drawn::MemberKind::Plate,
            MemberKind::Rope => drawn::MemberKind::Rope,
        });
        let [from, to] = figure.ends.map(|at| self.number(at).unwrap_or(0));
        let supports = drawing.supports().into_iter().filter_map(|support| {
            Some(drawn::Support {
                at: self.number(support.at)?,
                ..support
            })
        });
        let moments = drawing
            .acts()
            .filter(|(_, act)| act.kind == ActOf::Moment)
            .filter_map(|(action, act)| {
                let moment = drawing.moment(action, act)?;
                let at = self.number(moment.at)?;
                Some(drawn::Moment { at, ..moment })
            });
        let loads = drawing
            .acts()
            .filter_map(|(action, act)| self.load(action, act, &far));
        drawn::Body {
            places: places.collect(),
            members: (kind.into_iter())
                .map(|kind| Member { kind, from, to })
                .collect(),
            supports: supports
                .enumerate()
                .map(|(at, it)| self.turned(at, it))
                .collect(),
            supports_removed: of.look.supports_removed,
            moments: moments.collect(),
            loads: loads.collect(),
            ..drawn::Body::default()
        }
    }

    /// The number of a place among those that are drawn.
    fn number(&self, place: usize) -> Option<usize> {
        self.places.iter().position(|it| *it == place)
    }

    fn way(&self, direction: &mechanics::Direction) -> Direction {
        level(self.drawing.radians(direction).unwrap_or(0.0) - self.along)
    }

    /// A support with its forces turned.
    fn turned(&self, number: usize, support: drawn::Support) -> drawn::Support {
        let own = self
            .drawing
            .acts()
            .filter_map(|(action, act)| match action {
                Action::Force { direction, .. } if act.kind == ActOf::Support(number) => {
                    Some(self.way(direction))
                }
                _ => None,
            });
        let forces = support.forces.into_iter().zip(own);
        let at = Some(support.at);
        drawn::Support {
            forces: forces
                .map(|(force, direction)| Force {
                    direction,
                    at,
                    ..force
                })
                .collect(),
            moment: support.moment.map(|moment| drawn::Moment {
                at: support.at,
                ..moment
            }),
            ..support
        }
    }

    fn forces(&self) -> Vec<Force> {
        let all = self.drawing.acts().filter_map(|(action, act)| {
            let (Action::Force { direction, at, .. }, ActOf::Force(kind)) = (action, act.kind)
            else {
                return None;
            };
            self.drawing.radians(direction)?;
            let force = self.drawing.force(action, act, super::force_kind(kind));
            Some(Force {
                direction: self.way(direction),
                at: Some(self.number((*at)?)?),
                ..force
            })
        });
        all.collect()
    }

    fn load(&self, action: &Action, act: &Act, far: &dyn Fn(usize) -> f64) -> Option<Load> {
        let places = match action {
            Action::Load { places, .. } => *places,
            Action::Water(water) => water.places,
            Action::Force { .. }
            | Action::Couple { .. }
            | Action::Accelerates { .. }
            | Action::Turns { .. } => return None,
        };
        // What is to the left of the way of the load, where that goes back.
        let goes_back = far(places[1]) < far(places[0]);
        let side = |from_the_left: bool| match from_the_left != goes_back {
            true => Acts::SquareFrom(Side::Above),
            false => Acts::SquareFrom(Side::Below),
        };
        let [from, to] = [self.number(places[0])?, self.number(places[1])?];
        let own = self.drawing.load(action, act);
        Some(match (action, own) {
            (Action::Load { lies, .. }, Some(load)) => Load {
                from,
                to,
                acts: match lies {
                    mechanics::Load::PerLength(direction)
                    | mechanics::Load::PerLevelLength(direction) => {
                        Acts::Along(self.way(direction))
                    }
                    mechanics::Load::Square { from_the_left, .. } => side(*from_the_left),
                },
                ..load
            },
            (Action::Water(water), _) => {
                let value = |id| self.drawing.value(id).unwrap_or(f64::NAN);
                let depths = mechanics::depths(&self.drawing.of.body, action);
                let sizes = depths.map_or([1.0, 1.0], |it| it.map(|depth| depth.value(&value)));
                Load {
                    from,
                    to,
                    acts: side(water.from_the_left),
                    sizes,
                    label: Spread::Even(Vec::new()),
                    is_turned: false,
                }
            }
            _ => return None,
        })
    }
}

/// A direction that needs no word.
fn level(angle: f64) -> Direction {
    Direction {
        towards: Towards::Angle(angle),
        mark: Mark::Nothing,
    }
}
