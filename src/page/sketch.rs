//! The figure of a `sketch` block: its lines as a drawing, and what is said below.

pub(super) mod cut;
#[cfg(test)]
mod cut_laws;
mod found;
mod read;
mod stations;
mod volume;

#[cfg(test)]
mod laws;

use self::found::in_bars;
use super::tree::{Block, Figure, Text, begun};
use super::{Page, plot, prose};
use crate::document::Inline;
use crate::drawing::letters;
use crate::drawing::sketch::{
    self as drawn, Acts, Axes, Body as Drawn, ColumnWay, Direction, Force, ForceKind, Leg, Mark,
    Member, MemberKind, Moment, Motion, Note, Position, Ramp, Side, Spread, Square, Support,
    SupportKind, Towards, Wheel,
};
use crate::mechanics::{self, Action, End, Pressure, Station, Turn};
use crate::resolve::statement::{self, Act, ActOf, Told};
use crate::syntax::{self, ActKind, SketchKind};
use crate::text::listed;
use crate::typeset::{self, Face, Run};
use crate::worksheet::{self, Body, Phrase, Said, Statement};

/// An angle without a value is drawn so large, in radians.
const ANGLE: f64 = 35.0 * std::f64::consts::PI / 180.0;

/// The blocks that a sketch becomes.
pub(super) fn blocks(page: &Page, statements: &[Statement]) -> Vec<Block> {
    let figure = figure(page, statements);
    plot::with_figure(page, statements, figure, |body| {
        matches!(body, Body::Sketch(_) | Body::OfBlock)
    })
}

/// The figure; nothing where its first line was refused.
pub(super) fn figure(page: &Page, statements: &[Statement]) -> Option<Figure> {
    let first = statements.first()?;
    let Body::Sketch(sketch) = &first.body else {
        return None;
    };
    let open = page.showing.as_ref().map(|names| sketch.showing(names));
    let sketch = open.as_ref().unwrap_or(sketch);
    let drawing = Drawing {
        page,
        sketch,
        of: &sketch.sketch,
    };
    let found = drawn::draw(&drawing.all(title(page, statements), drawing.read_out(statements)));
    let has = |note| found.notes.contains(&note);
    let scale = match (has(Note::NotToScale), has(Note::LevelsNotToScale)) {
        (true, _) => Some("Not to scale."),
        (false, true) => Some("Levels not to scale."),
        (false, false) if has(Note::Shrunk) => {
            Some("Smaller than its scale says, as its bar is, to fit the page.")
        }
        (false, false) => None,
    };
    Some(Figure {
        id: page.anchor(&first.id),
        is_sketch: true,
        caption: caption(&drawing, statements, scale),
        data: None,
        wide: found.drawing,
        narrow: None,
    })
}

/// What a sketch is called, in plain words.
pub(super) fn title(page: &Page, statements: &[Statement]) -> String {
    let Some(first) = statements.first() else {
        return String::new();
    };
    let words = letters::plain(&plot::runs(&prose::text(page, &first.description)));
    let found = match &first.body {
        Body::Sketch(sketch) => as_found(page, sketch),
        _ => None,
    };
    match (words.is_empty(), found) {
        (false, _) => words,
        (true, Some(found)) => found,
        (true, None) => plot::name(page, statements),
    }
}

/// "Figure 1 as found"; nothing for a sketch itself.
fn as_found(page: &Page, sketch: &worksheet::Sketch) -> Option<String> {
    let number = page.equation(sketch.sketch.found_of?);
    Some(format!("Figure\u{a0}{number} as found"))
}

fn caption(drawing: &Drawing<'_>, statements: &[Statement], scale: Option<&str>) -> Text {
    let (page, sketch) = (drawing.page, drawing.sketch);
    let mut text = Text::default();
    let Some(first) = statements.first() else {
        return text;
    };
    text.strong(&format!("{}.", plot::name(page, statements)));
    let mut words = prose::text(page, &first.description);
    if !first.description.is_empty() {
        text.say(" ");
        begin(&mut words);
        text.append(words);
        text.say(".");
    }
    if let Some(words) = as_found(page, sketch) {
        text.say(format!(" {words}."));
    }
    let of = &sketch.sketch;
    let has_weight = |act: &Act| act.kind == ActOf::Force(ActKind::Weight);
    // Weight counts nothing where nothing has a direction.
    let has_directions = of
        .flows
        .as_ref()
        .is_none_or(|it| volume::has_directions(of, it));
    let without_weight = !matches!(of.kind, SketchKind::Particle | SketchKind::AtRest)
        && has_directions
        && !has_stations(of)
        && !of.look.from_above
        && !of.look.no_weight
        && !of.acts.iter().any(has_weight);
    let said = [
        (of.look.from_above, "Seen from above."),
        (of.look.no_weight, "Weight neglected."),
        (without_weight, "Drawn without weight."),
        (of.look.supports_removed, "Supports removed."),
        (
            of.water.iter().any(|it| it.width.is_none()),
            "Per unit of width.",
        ),
        (!of.gauge.is_empty(), "Pressures gauge."),
        (!of.absolute.is_empty(), "Pressures absolute."),
        (of.is_incomplete, "Incomplete: a line of it was refused."),
        (scale.is_some(), scale.unwrap_or_default()),
    ];
    for words in not_said(of) {
        text.say(format!(" {words}"));
    }
    for wetted in wetted(of) {
        text.say(format!(" {wetted} is wetted all over."));
    }
    for (_, words) in said.iter().filter(|(is_so, _)| *is_so) {
        text.say(format!(" {words}"));
    }
    for words in &sketch.taken_for_true {
        text.say(format!(" {words}"));
    }
    drawing.without_scale(&mut text);
    // Arrows of a sketch as found say themselves where they point.
    let is_seen = |turned: &&worksheet::Turned| !(drawing.is_found() && turned.is_turned);
    for turned in sketch.turned.iter().filter(is_seen) {
        text.say(" ");
        prose::equals(page, turned.symbol, &turned.shown, &mut text);
        text.say(": ");
        phrase(page, &turned.words, &mut text);
        text.say(".");
    }
    text
}

/// Words with their formulas.
pub(super) fn phrase(page: &Page, phrase: &Phrase, text: &mut Text) {
    for said in &phrase.0 {
        match said {
            Said::Words(words) => text.say(words.clone()),
            Said::Formula(formula) => text.formula(typeset::math(formula, &page.context)),
        }
    }
}

/// A sentence begins with a capital letter.
fn begin(text: &mut Text) {
    if let Some(Inline::Text(words)) = text.0.first_mut() {
        *words = begun(words);
    }
}

/// Whether it is told by stations along a stream, whose heads know no forces.
fn has_stations(of: &statement::Sketch) -> bool {
    let flows = of.flows.as_ref();
    flows.is_some_and(|flows| flows.volume.sections.iter().any(|it| it.station.is_some()))
}

/// What stations along a stream do not say, and heads take for nothing.
fn not_said(of: &statement::Sketch) -> Vec<String> {
    let Some(flows) = &of.flows else {
        return Vec::new();
    };
    let stations = || {
        let all = flows.volume.sections.iter().zip(&flows.sections);
        all.filter(|(section, _)| section.station.is_some())
    };
    fn pipe(section: &mechanics::Section) -> bool {
        section.station == Some(Station::Pipe)
    }
    type Lacks = fn(&mechanics::Section) -> bool;
    let lacks: [(&str, Lacks); 3] = [
        ("level", |it| it.level.is_none()),
        ("speed", |it| {
            pipe(it) && it.speed.is_none() && it.opening.is_none()
        }),
        ("pressure", |it| pipe(it) && it.pressure == Pressure::Unsaid),
    ];
    let mut found = Vec::new();
    for (what, lacks) in lacks {
        let names: Vec<&str> = (stations().filter(|(section, _)| lacks(section)))
            .map(|(_, said)| &*said.name.text)
            .collect();
        if !names.is_empty() {
            found.push(format!("No {what} at {}.", listed(&names)));
        }
    }
    found
}

/// The lines that water is on, each once.
fn wetted(of: &statement::Sketch) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for water in &of.water {
        if let Some(Action::Water(on)) = of.body.actions.get(water.act) {
            let name = |at: usize| of.places.get(at).map_or("", |it| &it.text);
            let line = format!("{}{}", name(on.places[0]), name(on.places[1]));
            if !found.contains(&line) {
                found.push(line);
            }
        }
    }
    found
}

/// A sketch on its way to the drawing.
struct Drawing<'a> {
    page: &'a Page<'a>,
    sketch: &'a worksheet::Sketch,
    of: &'a statement::Sketch,
}

impl Drawing<'_> {
    fn all(&self, title: String, description: String) -> drawn::Sketch {
        let mut forces = Vec::new();
        let mut square = Vec::new();
        let mut motions = Vec::new();
        for (action, act) in self.acts() {
            match (action, act.kind) {
                (Action::Force { direction, at, .. }, ActOf::Force(kind)) => {
                    match self.radians(direction) {
                        Some(_) => forces.push(self.force(action, act, force_kind(kind))),
                        None => square.push(Square {
                            label: self.label(action),
                            at: *at,
                            is_toward_reader: act.is_away == self.turned(action),
                        }),
                    }
                }
                (Action::Accelerates { direction, .. }, _) => motions.push(Motion::Straight {
                    label: self.label(action),
                    direction: self.direction_found(direction, act.mark, self.turned(action)),
                    length: None,
                }),
                (Action::Turns { turn, .. }, _) => motions.push(Motion::Turning {
                    label: self.label(action),
                    is_clockwise: (*turn == Turn::Clockwise) != self.turned(action),
                }),
                _ => {}
            }
        }
        motions.extend(self.of.flows.iter().filter_map(|flows| self.moving(flows)));
        drawn::Sketch {
            title,
            description,
            figure: self.figure(),
            forces,
            square,
            motions,
            axes: self.axes(),
            scales: self.scale_bars(),
        }
    }

    fn acts(&self) -> impl Iterator<Item = (&Action, &Act)> {
        self.of.body.actions.iter().zip(&self.of.acts)
    }

    fn figure(&self) -> drawn::Figure {
        match (&self.of.block, self.of.kind) {
            (Some((direction, mark)), _) => drawn::Figure::Ramp(Ramp {
                direction: self.direction(direction, *mark),
            }),
            (None, SketchKind::Particle) => drawn::Figure::Particle,
            (None, SketchKind::AtRest) => drawn::Figure::Tube(self.tube()),
            (None, SketchKind::ControlVolume(shape)) => match &self.of.flows {
                Some(flows) if has_stations(self.of) => {
                    drawn::Figure::Stations(self.stations(flows))
                }
                Some(flows) => drawn::Figure::Volume(self.volume(shape, flows)),
                None => drawn::Figure::Body(self.body()),
            },
            (None, SketchKind::Body) => drawn::Figure::Body(self.body()),
        }
    }

    fn body(&self) -> Drawn {
        let of = self.of;
        Drawn {
            places: (of.places.iter().zip(&of.told))
                .map(|(name, told)| drawn::Place {
                    label: vec![italic(&name.text)],
                    position: self.position(told),
                })
                .collect(),
            members: (of.members.iter())
                .map(|(kind, [from, to])| Member {
                    kind: match kind {
                        syntax::MemberKind::Beam => MemberKind::Beam,
                        syntax::MemberKind::Bar => MemberKind::Bar,
                        syntax::MemberKind::Plate => MemberKind::Plate,
                        syntax::MemberKind::Rope => MemberKind::Rope,
                    },
                    from: *from,
                    to: *to,
                })
                .collect(),
            // The last place of an outline is its first.
            outlines: (of.outlines.iter())
                .map(|places| places[..places.len().saturating_sub(1)].to_vec())
                .collect(),
            wheels: (of.wheels.iter())
                .map(|(at, radius)| Wheel {
                    at: *at,
                    radius: self.length(*radius),
                })
                .collect(),
            supports: self.supports(),
            supports_removed: of.look.supports_removed,
            diagrams: Vec::new(),
            moments: (self.acts())
                .filter(|(_, act)| act.kind == ActOf::Moment)
                .filter_map(|(action, act)| self.moment(action, act))
                .collect(),
            loads: self
                .acts()
                .filter_map(|(action, act)| self.load(action, act))
                .collect(),
            water: of.water.iter().filter_map(|it| self.water(it)).collect(),
            levels: (of.levels.iter())
                .map(|(level, at)| drawn::LevelMark {
                    at: *at,
                    label: self.runs(*level),
                })
                .collect(),
            dimensions: (of.dimensions.iter())
                .map(|(length, [from, to])| drawn::Dimension {
                    from: *from,
                    to: *to,
                    label: self.runs(*length),
                })
                .collect(),
            has_dimensions: !of.look.no_dimensions,
            scale: self.length_scale(),
        }
    }

    fn position(&self, told: &Told) -> Position {
        match told {
            Told::Beginning => Position::Origin,
            Told::Middle([from, to]) => Position::Middle(*from, *to),
            Told::Legs(from, legs) => Position::Legs(
                *from,
                (legs.iter())
                    .map(|leg| Leg {
                        length: self.length(leg.length),
                        direction: self.direction(&leg.direction, leg.mark),
                        label: self.runs(leg.length),
                    })
                    .collect(),
            ),
        }
    }

    fn supports(&self) -> Vec<Support> {
        let one = |(number, (kind, at)): (usize, &(syntax::SupportKind, usize))| {
            let own: Vec<(&Action, &Act)> = (self.acts())
                .filter(|(_, act)| act.kind == ActOf::Support(number))
                .collect();
            Support {
                kind: match kind {
                    syntax::SupportKind::Pin => SupportKind::Pin,
                    syntax::SupportKind::Roller => SupportKind::Roller,
                    syntax::SupportKind::Fixed => SupportKind::Fixed,
                    syntax::SupportKind::Smooth => SupportKind::Smooth,
                    syntax::SupportKind::Rough => SupportKind::Rough,
                    syntax::SupportKind::Hinge => SupportKind::Hinge,
                    syntax::SupportKind::Link => SupportKind::Link,
                },
                at: *at,
                forces: (own.iter())
                    .filter(|(action, _)| matches!(action, Action::Force { .. }))
                    .map(|(action, act)| self.force(action, act, ForceKind::Reaction))
                    .collect(),
                moment: own
                    .iter()
                    .find_map(|(action, act)| self.moment(action, act)),
            }
        };
        self.of.supports.iter().enumerate().map(one).collect()
    }

    fn force(&self, action: &Action, act: &Act, kind: ForceKind) -> Force {
        let right = mechanics::Direction::right();
        let (direction, at) = match action {
            Action::Force { direction, at, .. } => (direction, *at),
            _ => (&right, None),
        };
        Force {
            kind,
            label: self.label(action),
            direction: self.direction(direction, act.mark),
            at,
            is_turned: self.turned(action),
            is_zero: self.is_zero(action),
            length: self.force_length(action),
        }
    }

    fn moment(&self, action: &Action, act: &Act) -> Option<Moment> {
        let Action::Couple { turn, .. } = action else {
            return None;
        };
        Some(Moment {
            label: self.label(action),
            at: act.at?,
            is_clockwise: (*turn == Turn::Clockwise) != self.turned(action),
            is_zero: self.is_zero(action),
        })
    }

    fn load(&self, action: &Action, act: &Act) -> Option<drawn::Load> {
        let Action::Load { ends, lies, places } = action else {
            return None;
        };
        let size = |end: Option<usize>| end.map_or(0.0, |id| self.value(id).unwrap_or(1.0));
        let words = |end: Option<usize>| end.map_or_else(Vec::new, |id| self.magnitude(id));
        let is_turned = ends.iter().flatten().any(|id| self.is_back(*id));
        let label = match ends[0] == ends[1] {
            true => Spread::Even(words(ends[0])),
            false => Spread::Uneven(ends.map(words)),
        };
        let acts = match lies {
            mechanics::Load::PerLength(direction) => {
                Acts::Along(self.direction(direction, act.mark))
            }
            mechanics::Load::PerLevelLength(direction) => {
                Acts::Level(self.direction(direction, act.mark))
            }
            mechanics::Load::Square { .. } => Acts::SquareFrom(side(act)),
        };
        Some(drawn::Load {
            from: places[0],
            to: places[1],
            acts,
            sizes: ends.map(size),
            label,
            is_turned,
        })
    }

    /// The columns of a fluid at rest; none where its lines were refused.
    fn tube(&self) -> drawn::Tube {
        let Some(told) = &self.of.columns else {
            let open = drawn::TubeEnd {
                label: Vec::new(),
                pressure: None,
            };
            return drawn::Tube {
                ends: [open.clone(), open],
                columns: Vec::new(),
            };
        };
        let end = |at: usize| drawn::TubeEnd {
            label: vec![italic(&told.names[at].text)],
            pressure: match told.columns.ends[at] {
                End::Pressure(pressure) => Some(self.magnitude(pressure)),
                End::Open => None,
            },
        };
        let column = |(column, said): (&mechanics::Column, &statement::ColumnTold)| drawn::Column {
            way: match said.along {
                Some(mark) => ColumnWay::Along(self.direction(&column.direction, mark)),
                None if column.goes_down() => ColumnWay::Down,
                None => ColumnWay::Up,
            },
            length: self.length(column.length),
            label: self.runs(column.length),
            fluid: column.density,
            name: self.runs(column.density),
            density: self.value(column.density).unwrap_or(f64::NAN),
        };
        drawn::Tube {
            ends: [end(0), end(1)],
            columns: told
                .columns
                .columns
                .iter()
                .zip(&told.told)
                .map(column)
                .collect(),
        }
    }

    fn water(&self, water: &statement::WaterOn) -> Option<drawn::Water> {
        let act = self.of.acts.get(water.act)?;
        let Some(Action::Water(on)) = self.of.body.actions.get(water.act) else {
            return None;
        };
        let surface = on.surface.as_ref()?;
        let over = water.pressure.and_then(|id| {
            let weight = self.value(water.density)? * self.value(water.gravity)?;
            Some(self.value(id)? / weight)
        });
        Some(drawn::Water {
            from: on.places[0],
            to: on.places[1],
            side: side(act),
            surface: match surface.height {
                None => drawn::Surface::At(surface.place),
                Some(height) => drawn::Surface::Above {
                    place: surface.place,
                    height: self.length(height),
                    label: self.runs(height),
                },
            },
            label: self.runs(water.density),
            pressure: water
                .pressure
                .map_or_else(Vec::new, |id| self.magnitude(id)),
            pressure_height: over.filter(|it| it.is_finite()).unwrap_or(0.0),
        })
    }

    fn axes(&self) -> Option<Axes> {
        let is_without = |it| !volume::has_directions(self.of, it) || has_stations(self.of);
        if self.of.kind == SketchKind::AtRest || self.of.flows.as_ref().is_some_and(is_without) {
            return None;
        }
        let frame = &self.of.body.frame;
        Some(Axes {
            x: self.radians(&frame.x)?,
            y: self.radians(&frame.y)?,
            labels: ["x", "y"].map(|letter| vec![italic(letter)]),
        })
    }

    fn direction(&self, direction: &mechanics::Direction, mark: statement::Mark) -> Direction {
        let towards = Towards::Angle(self.radians(direction).unwrap_or(0.0));
        match mark {
            statement::Mark::Words => Direction {
                towards,
                mark: Mark::Nothing,
            },
            statement::Mark::Angle { from, angle } => {
                let from = match from {
                    Some(quarters) => f64::from(quarters) * std::f64::consts::FRAC_PI_2,
                    None => self.radians(&self.of.body.frame.x).unwrap_or(0.0),
                };
                Direction {
                    towards,
                    mark: Mark::Angle {
                        from,
                        label: self.runs(angle),
                    },
                }
            }
            statement::Mark::Slope { rise, run } => Direction {
                towards,
                mark: Mark::Slope {
                    upright: self.runs(rise),
                    level: self.runs(run),
                },
            },
            statement::Mark::Place { is_toward, place } => Direction {
                towards: match is_toward {
                    true => Towards::Place(place),
                    false => Towards::AwayFrom(place),
                },
                mark: Mark::Nothing,
            },
        }
    }

    fn radians(&self, direction: &mechanics::Direction) -> Option<f64> {
        direction.radians(&|id| {
            let unknown = if self.of.angles.contains(&id) {
                ANGLE
            } else {
                1.0
            };
            self.value(id).unwrap_or(unknown)
        })
    }

    fn value(&self, id: usize) -> Option<f64> {
        let found = self.sketch.values.get(id).copied().flatten();
        found.map(|it| it.value)
    }

    fn length(&self, id: usize) -> f64 {
        self.value(id).unwrap_or(1.0)
    }

    /// A quantity as it is written, with its value where that is asked for.
    fn runs(&self, id: usize) -> Vec<Run> {
        let mut runs = self.symbols(id);
        if self.of.look.numbers == Some(true)
            && let Some(shown) = self.sketch.shown.get(id).and_then(Option::as_deref)
        {
            runs.push(Run::words(" "));
            runs.extend(typeset::runs(&typeset::result("=", shown)));
        }
        runs
    }

    fn symbols(&self, id: usize) -> Vec<Run> {
        let expr = self.of.quantities.get(id);
        expr.map_or_else(Vec::new, |expr| {
            typeset::runs(&typeset::math(expr, &self.page.context))
        })
    }

    fn label(&self, action: &Action) -> Vec<Run> {
        match action {
            Action::Force { magnitude, .. }
            | Action::Couple { magnitude, .. }
            | Action::Accelerates { magnitude, .. }
            | Action::Turns { magnitude, .. } => self.magnitude(*magnitude),
            Action::Load { .. } | Action::Water(_) => Vec::new(),
        }
    }
}

/// The side that something presses from.
fn side(act: &Act) -> Side {
    match act.side {
        Some(syntax::Bearing::Right) => Side::Right,
        Some(syntax::Bearing::Up) => Side::Above,
        Some(syntax::Bearing::Down) => Side::Below,
        Some(syntax::Bearing::Left) | None => Side::Left,
    }
}

/// The letter of a place or an axis.
fn italic(letters: &str) -> Run {
    Run {
        face: Face::Quantity,
        ..Run::words(letters)
    }
}

fn force_kind(kind: ActKind) -> ForceKind {
    match kind {
        ActKind::Force => ForceKind::Force,
        ActKind::Cable => ForceKind::Cable,
        ActKind::Bar => ForceKind::Bar,
        ActKind::Friction => ForceKind::Friction,
        ActKind::Normal => ForceKind::Normal,
        ActKind::Weight => ForceKind::Weight,
    }
}
