//! What holds of every sketch, tried on those of problems with other data and on random ones.

use std::f64::consts::TAU;

use proptest::prelude::*;

use super::cases::{all, degrees, force, sketch, symbol};
use super::*;
use crate::drawing::ink::{Area, Ink, Item, Point, Words};
use crate::drawing::{latex, letters, svg};

/// Every line that is seen, with half of its width; of a thick one its edges.
fn strokes(drawn: &Drawn) -> Vec<(Point, Point, f64)> {
    let mut found = Vec::new();
    let mut add = |line: &[Point], half: f64| {
        found.extend(line.windows(2).map(|pair| (pair[0], pair[1], half)));
    };
    for item in &drawn.drawing.items {
        match item {
            Item::Lines(_, pen) if pen.ink == Ink::Paper => {}
            Item::Lines(lines, pen) if pen.width > 3.0 => {
                for pair in lines.iter().flat_map(|line| line.windows(2)) {
                    let Some(way) = way::Way::between(pair[0], pair[1]) else {
                        continue;
                    };
                    for side in [0.5, -0.5] {
                        let by = side * pen.width;
                        let ends = [way.left().from(pair[0], by), way.left().from(pair[1], by)];
                        add(&ends, 0.0);
                    }
                }
            }
            Item::Lines(lines, pen) => lines.iter().for_each(|it| add(it, pen.width / 2.0)),
            Item::Outline(points, _, pen) => {
                let mut closed = points.clone();
                closed.extend(points.first());
                add(&closed, pen.map_or(0.0, |pen| pen.width / 2.0));
            }
            Item::Circle(_, _, Ink::Paper, pen) if pen.ink == Ink::Paper => {}
            Item::Circle(middle, radius, _, pen) => {
                add(&way::arc(*middle, *radius, 0.0, TAU), pen.width / 2.0);
            }
            Item::Words(_) => {}
        }
    }
    found
}

fn words(drawn: &Drawn) -> Vec<&Words> {
    let words = drawn.drawing.items.iter().filter_map(|item| match item {
        Item::Words(words) => Some(words),
        Item::Lines(..) | Item::Outline(..) | Item::Circle(..) => None,
    });
    words.collect()
}

/// No words touch a line or other words.
pub(crate) fn apart(drawn: &Drawn) -> Result<(), TestCaseError> {
    let words = words(drawn);
    let strokes = strokes(drawn);
    let text = |words: &Words| letters::plain(&words.runs);
    for (at, one) in words.iter().enumerate() {
        for other in &words[at + 1..] {
            let shared = one.area().wider(-0.3).shared(&other.area());
            prop_assert!(shared == 0.0, "{} and {}", text(one), text(other));
        }
        for (from, to, half) in &strokes {
            let own = one.area().wider(half - 0.3);
            prop_assert!(!own.meets(*from, *to), "{} and {from:?} {to:?}", text(one));
        }
    }
    Ok(())
}

/// All of it is in view and fits the page.
pub(crate) fn inside(drawn: &Drawn) -> Result<(), TestCaseError> {
    let view = Area {
        left: 0.0,
        top: 0.0,
        right: drawn.drawing.width,
        bottom: drawn.drawing.height,
    };
    prop_assert!(view.right <= sheet::WIDEST + 0.01 && view.bottom <= sheet::HIGHEST + 0.01);
    for words in words(drawn) {
        prop_assert!(view.holds(&words.area()), "{words:?}");
    }
    for (from, to, half) in strokes(drawn) {
        for end in [from, to] {
            let area = Area {
                left: end.x,
                top: end.y,
                right: end.x,
                bottom: end.y,
            };
            prop_assert!(view.holds(&area.wider(half)), "{end:?}");
        }
    }
    Ok(())
}

/// It is well-formed, without what is no number, and the same twice.
pub(crate) fn well_formed(sketch: &Sketch) -> Result<(), TestCaseError> {
    let written = || {
        let (mut page, mut paper) = (String::new(), String::new());
        let drawn = draw(sketch);
        svg::write(&drawn.drawing, "drawing", &mut page);
        latex::write(&drawn.drawing, &mut paper);
        (page, paper)
    };
    let (page, paper) = written();
    prop_assert_eq!(written(), (page.clone(), paper.clone()));
    let tree = roxmltree::Document::parse(&page);
    prop_assert!(tree.is_ok(), "{:?}", tree.err());
    for text in [&page, &paper] {
        prop_assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
    }
    Ok(())
}

/// Every name that is given is to be read.
fn named(sketch: &Sketch, drawn: &Drawn) -> Result<(), TestCaseError> {
    let said: Vec<String> = words(drawn)
        .iter()
        .map(|it| letters::plain(&it.runs))
        .collect();
    let said = said.join(" ").replace(' ', "");
    let mut all: Vec<&Vec<Run>> = sketch.forces.iter().map(|it| &it.label).collect();
    if let Figure::Tube(tube) = &sketch.figure {
        all.extend(tube.ends.iter().map(|it| &it.label));
        all.extend(tube.ends.iter().filter_map(|it| it.pressure.as_ref()));
        all.extend(tube.columns.iter().flat_map(|it| [&it.label, &it.name]));
    }
    for label in all {
        let label = letters::plain(label).replace(' ', "");
        prop_assert!(said.contains(&label), "{label} in {said}");
    }
    Ok(())
}

/// Other data: a factor for each length by its name, an angle for each turn, and values behind
/// names.
#[derive(Debug, Clone)]
struct Data {
    factors: Vec<f64>,
    turns: Vec<f64>,
    value: String,
    /// How forces and streams turned out, and how large they are on the page.
    found: Vec<u8>,
    to_scale: Option<f64>,
}

fn data() -> impl Strategy<Value = Data> {
    let value = prop_oneof![
        Just(String::new()),
        Just(" = 3.963 kN".to_owned()),
        Just(" = 12 345.6 N".to_owned()),
        Just(" = 0.2 kN".to_owned()),
    ];
    let factors = proptest::collection::vec(0.3..3.0_f64, 12);
    let turns = proptest::collection::vec(5.0..85.0_f64, 6);
    let found = proptest::collection::vec(0..6_u8, 12);
    let to_scale = proptest::option::weighted(0.3, 4.0..20.0_f64);
    (factors, turns, value, found, to_scale).prop_map(|(factors, turns, value, found, to_scale)| {
        Data {
            factors,
            turns,
            value,
            found,
            to_scale,
        }
    })
}

impl Data {
    fn length(&self, label: &[Run], length: f64) -> f64 {
        let number: usize = letters::plain(label).bytes().map(usize::from).sum();
        length * self.factors[number % self.factors.len()]
    }

    /// The same angle wherever it has the same letter.
    fn direction(&self, direction: &mut Direction) {
        if let Mark::Angle { from, label } = &direction.mark
            && let Towards::Angle(angle) = direction.towards
        {
            let number: usize = letters::plain(label).bytes().map(usize::from).sum();
            let by = degrees(self.turns[number % self.turns.len()]);
            let sign = (angle - from).signum();
            direction.towards = Towards::Angle(from + sign * by);
        }
    }

    fn forces<'f>(&self, forces: impl Iterator<Item = &'f mut Force>) {
        for force in forces {
            self.direction(&mut force.direction);
            let found = self.found_of(&force.label);
            force.is_turned |= found == 0;
            force.is_zero = found == 1;
            force.length = self.long(&force.label);
            if !self.value.is_empty() && !letters::plain(&force.label).contains('=') {
                force.label.push(Run::words(&self.value));
            }
        }
    }

    fn found_of(&self, label: &[Run]) -> u8 {
        let number: usize = letters::plain(label).bytes().map(usize::from).sum();
        self.found[number % self.found.len()]
    }

    /// How long an arrow is to a scale.
    fn long(&self, label: &[Run]) -> Option<f64> {
        self.to_scale.map(|long| self.length(label, long))
    }

    fn valued(&self, label: &mut Vec<Run>) {
        if !self.value.is_empty() && !label.is_empty() && !letters::plain(label).contains('=') {
            label.push(Run::words(&self.value));
        }
    }

    fn volume(&self, volume: &mut Volume) {
        for cut in &mut volume.cuts {
            let name = vec![Run::words(&cut.name)];
            match &mut cut.size {
                Size::Area(area) => *area = self.length(&name, *area).powi(2),
                Size::Depth { depth, .. } => *depth = self.length(&name, *depth),
            }
            if let Flow::Along(direction) = &mut cut.flow {
                self.direction(direction);
            }
            let label = cut.stream.first().cloned().unwrap_or_default();
            cut.is_turned = self.found_of(&label) == 0;
            cut.pulls = self.found_of(&cut.pressure) == 2;
            cut.length = self.long(&label);
            self.valued(&mut cut.pressure);
            cut.stream.iter_mut().for_each(|it| self.valued(it));
        }
        volume
            .rates
            .iter_mut()
            .for_each(|it| self.valued(&mut it.label));
    }

    fn station(&self, station: &mut Station) {
        match station {
            Station::Surface {
                level, pressure, ..
            } => {
                level.height = self.length(&level.label, level.height + 1.0);
                self.valued(&mut level.label);
                self.valued(pressure);
            }
            Station::Section { level, said, .. } => {
                level.height = self.length(&level.label, level.height + 1.0);
                self.valued(&mut level.label);
                said.iter_mut().for_each(|it| self.valued(it));
            }
            Station::Pump(label) | Station::Turbine(label) | Station::Loss(label) => {
                self.valued(label);
            }
        }
    }

    fn put(&self, mut sketch: Sketch) -> Sketch {
        self.forces(sketch.forces.iter_mut());
        if self.to_scale.is_some() && sketch.scales.is_empty() {
            sketch.scales.push(ScaleBar {
                length: 10.0,
                label: vec![Run::words("5 kN")],
            });
        }
        let body = match &mut sketch.figure {
            Figure::Body(body) => body,
            Figure::Volume(volume) => {
                self.volume(volume);
                &mut volume.frame
            }
            Figure::Stations(stations) => {
                stations.iter_mut().for_each(|it| self.station(it));
                return sketch;
            }
            Figure::Ramp(ramp) => {
                let before = ramp.direction.clone();
                self.direction(&mut ramp.direction);
                turn_with(
                    &before,
                    &ramp.direction,
                    &mut sketch.forces,
                    &mut sketch.axes,
                );
                return sketch;
            }
            Figure::Tube(tube) => {
                for column in &mut tube.columns {
                    column.length = self.length(&column.label, column.length);
                    if let ColumnWay::Along(direction) = &mut column.way {
                        self.direction(direction);
                    }
                }
                return sketch;
            }
            Figure::Particle => return sketch,
        };
        for place in &mut body.places {
            if let Position::Legs(_, legs) = &mut place.position {
                for leg in legs {
                    leg.length = self.length(&leg.label, leg.length);
                    self.direction(&mut leg.direction);
                }
            }
        }
        for wheel in &mut body.wheels {
            wheel.radius = self.length(&symbol("r"), wheel.radius);
        }
        for water in &mut body.water {
            if let Surface::Above { height, label, .. } = &mut water.surface {
                *height = self.length(label, *height);
            }
        }
        for support in &mut body.supports {
            self.forces(support.forces.iter_mut());
        }
        sketch
    }
}

/// What is said from the incline turns with it.
fn turn_with(before: &Direction, after: &Direction, forces: &mut [Force], axes: &mut Option<Axes>) {
    let (Towards::Angle(old), Towards::Angle(new)) = (before.towards, after.towards) else {
        return;
    };
    for force in forces.iter_mut().filter(|it| it.kind != ForceKind::Weight) {
        if let Towards::Angle(angle) = &mut force.direction.towards {
            *angle += new - old;
        }
        if let Mark::Angle { from, .. } = &mut force.direction.mark {
            *from += new - old;
        }
    }
    if let Some(axes) = axes {
        axes.x += new - old;
        axes.y += new - old;
    }
}

fn of_problems() -> impl Strategy<Value = (&'static str, Sketch)> {
    let cases = all();
    (0..cases.len(), data()).prop_map(move |(at, data)| {
        let (name, sketch) = cases[at].clone();
        (name, data.put(sketch))
    })
}

/// Angles that are asked for, and any others.
fn angle() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => (0..8_u8).prop_map(|eighth| f64::from(eighth) * TAU / 8.0),
        2 => -7.0..7.0_f64,
        1 => Just(1e9),
        1 => Just(f64::NAN),
    ]
}

/// Lengths as data have them, and as they should not have them.
fn length() -> impl Strategy<Value = f64> {
    prop_oneof![
        6 => 0.1..5.0_f64,
        1 => Just(0.0),
        1 => -3.0..0.0_f64,
        1 => Just(1e9),
        1 => Just(1e-9),
        1 => Just(f64::MAX),
        1 => Just(f64::INFINITY),
    ]
}

fn label() -> impl Strategy<Value = Vec<Run>> {
    let texts = [
        "F",
        "A_x",
        "S_12",
        "W = 833.9 N",
        "M_A = 1.25 kN m",
        "",
        "p",
    ];
    prop_oneof![
        9 => (0..texts.len()).prop_map(move |at| symbol(texts[at])),
        1 => Just(vec![Run::words("a long magnitude that is written out in words ".repeat(3))]),
    ]
}

fn direction() -> impl Strategy<Value = Direction> {
    let straight = angle().prop_map(Direction::plain);
    let turned = (0..4_u8, -2.0..2.0_f64, label()).prop_map(|(quarter, by, label)| {
        Direction::turned(f64::from(quarter) * TAU / 4.0, by, label)
    });
    let to = (0..9_usize, any::<bool>()).prop_map(|(place, is_to)| Direction {
        towards: if is_to {
            Towards::Place(place)
        } else {
            Towards::AwayFrom(place)
        },
        mark: Mark::Nothing,
    });
    let slope = (-3.0..3.0_f64, label()).prop_map(|(angle, label)| Direction {
        towards: Towards::Angle(angle),
        mark: Mark::Slope {
            upright: label.clone(),
            level: label,
        },
    });
    prop_oneof![4 => straight, 3 => turned, 1 => to, 1 => slope]
}

fn wild_force() -> impl Strategy<Value = Force> {
    use ForceKind::{Bar, Cable, Force as Plain, Friction, Normal, Weight};
    let kinds = [Plain, Weight, Normal, Friction, Cable, Bar];
    let at = proptest::option::of(0..6_usize);
    let parts = (0..kinds.len(), label(), direction(), at, any::<[bool; 2]>());
    (parts, proptest::option::of(0.0..60.0_f64)).prop_map(
        move |((kind, label, direction, at, [is_turned, is_zero]), length)| Force {
            label,
            is_turned,
            is_zero,
            length,
            ..force(kinds[kind], "", direction, at)
        },
    )
}

fn wild_place() -> impl Strategy<Value = Place> {
    let leg = (length(), direction(), label()).prop_map(|(length, direction, label)| Leg {
        length,
        direction,
        label,
    });
    let legs = proptest::collection::vec(leg, 1..3);
    (label(), 0..5_usize, legs, 0..8_u8).prop_map(|(label, from, legs, kind)| Place {
        label,
        position: match kind {
            0 => Position::Origin,
            1 => Position::Middle(from, from / 2),
            _ => Position::Legs(from, legs),
        },
    })
}

fn wild_body() -> impl Strategy<Value = Body> {
    use SupportKind::{Fixed, Hinge, Link, Pin, Roller, Rough, Smooth};
    let kinds = [Pin, Roller, Fixed, Smooth, Rough, Hinge, Link];
    let members = [
        MemberKind::Beam,
        MemberKind::Bar,
        MemberKind::Plate,
        MemberKind::Rope,
    ];
    let sides = [Side::Left, Side::Right, Side::Above, Side::Below];
    let member = (0..4_usize, 0..6_usize, 0..6_usize).prop_map(move |(kind, from, to)| Member {
        kind: members[kind],
        from,
        to,
    });
    let forces = proptest::collection::vec(wild_force(), 0..3);
    let moment = (label(), 0..6_usize, any::<[bool; 2]>());
    let moment = moment.prop_map(|(label, at, [is_clockwise, is_zero])| Moment {
        label,
        at,
        is_clockwise,
        is_zero,
    });
    let moments = proptest::collection::vec(moment, 0..3);
    let support =
        (0..kinds.len(), 0..6_usize, forces).prop_map(move |(kind, at, forces)| Support {
            kind: kinds[kind],
            at,
            forces,
            moment: None,
        });
    let load = (
        0..6_usize,
        0..6_usize,
        0..3_u8,
        direction(),
        [length(), length()],
        label(),
    );
    let load = load.prop_map(move |(from, to, kind, direction, sizes, label)| Load {
        from,
        to,
        acts: match kind {
            0 => Acts::Along(direction),
            1 => Acts::Level(direction),
            _ => Acts::SquareFrom(sides[from % 4]),
        },
        sizes,
        label: Spread::Even(label),
        is_turned: from % 2 == 1,
    });
    let water = (0..6_usize, 0..6_usize, 0..4_usize, length(), label());
    let water = water.prop_map(move |(from, to, side, height, label)| Water {
        from,
        to,
        side: sides[side],
        surface: Surface::Above {
            place: from,
            height,
            label: label.clone(),
        },
        label,
        pressure: Vec::new(),
        pressure_height: 0.0,
    });
    let places = proptest::collection::vec(wild_place(), 0..7);
    let parts = (
        places,
        proptest::collection::vec(member, 0..4),
        proptest::collection::vec(support, 0..3),
        moments,
        proptest::collection::vec(load, 0..3),
        proptest::collection::vec(water, 0..2),
        (any::<[bool; 3]>(), length()),
    );
    parts.prop_map(
        |(
            places,
            members,
            supports,
            moments,
            loads,
            water,
            ([removed, outline, wheel], radius),
        )| Body {
            places,
            members,
            outlines: if outline {
                vec![vec![0, 1, 2, 3]]
            } else {
                Vec::new()
            },
            wheels: if wheel {
                vec![Wheel { at: 1, radius }]
            } else {
                Vec::new()
            },
            supports,
            supports_removed: removed,
            moments,
            loads,
            water,
            has_dimensions: true,
            ..Body::default()
        },
    )
}

fn wild_cut() -> impl Strategy<Value = Cut> {
    let flow = prop_oneof![
        6 => direction().prop_map(Flow::Along),
        1 => any::<bool>().prop_map(|is_toward_reader| Flow::Square { is_toward_reader }),
    ];
    let size = prop_oneof![
        3 => length().prop_map(Size::Area),
        1 => (length(), label()).prop_map(|(depth, label)| Size::Depth { depth, label }),
    ];
    let names = ["1", "2'", "12", "inlet", ""];
    let said = (label(), proptest::collection::vec(label(), 0..3));
    let at = proptest::option::weighted(0.2, 0..6_usize);
    (flow, size, at, said, any::<[bool; 2]>(), 0..names.len()).prop_map(
        move |(flow, size, at, (pressure, stream), [is_inlet, is_open], name)| Cut {
            name: names[name].to_owned(),
            is_inlet,
            flow,
            at,
            size,
            is_open,
            pressure: if is_open { Vec::new() } else { pressure },
            stream,
            is_turned: is_open != is_inlet,
            pulls: is_inlet,
            length: (name > 1).then_some(3.0 * name as f64),
        },
    )
}

fn wild_volume() -> impl Strategy<Value = Volume> {
    use Shape::{
        Bend, Box, Branch, Channel, Gate, Heater, Impeller, Nozzle, Plate, Sprinkler, Tank, Vane,
    };
    let shapes = [
        Bend, Branch, Box, Channel, Gate, Heater, Nozzle, Plate, Tank, Vane, Impeller, Sprinkler,
    ];
    let rate = (label(), any::<bool>()).prop_map(|(label, is_in)| Rate { label, is_in });
    let turning = (label(), any::<bool>(), 0..6_usize);
    let turning = turning.prop_map(|(label, is_clockwise, about)| Turning {
        label,
        is_clockwise,
        about,
    });
    (
        0..shapes.len(),
        proptest::collection::vec(wild_cut(), 0..5),
        proptest::collection::vec(rate, 0..3),
        proptest::collection::vec(label(), 0..2),
        wild_body(),
        proptest::option::of(turning),
    )
        .prop_map(move |(shape, cuts, rates, inside, frame, turning)| Volume {
            shape: shapes[shape],
            cuts,
            rates,
            inside,
            frame,
            turning,
        })
}

fn wild_stations() -> impl Strategy<Value = Vec<Station>> {
    let level = (length(), label()).prop_map(|(height, label)| Height { height, label });
    let station = (
        0..5_u8,
        level,
        label(),
        proptest::collection::vec(label(), 0..3),
    );
    let station = station.prop_map(|(kind, level, label, said)| match kind {
        0 => Station::Surface {
            name: "1".to_owned(),
            level,
            pressure: label,
        },
        1 => Station::Section {
            name: "2".to_owned(),
            level,
            said,
        },
        2 => Station::Pump(label),
        3 => Station::Turbine(label),
        _ => Station::Loss(label),
    });
    proptest::collection::vec(station, 0..7)
}

fn wild_tube() -> impl Strategy<Value = Tube> {
    let way = prop_oneof![
        2 => Just(ColumnWay::Down),
        2 => Just(ColumnWay::Up),
        1 => direction().prop_map(ColumnWay::Along),
    ];
    let density = prop_oneof![4 => 0.1..1e4_f64, 1 => Just(f64::NAN), 1 => Just(f64::INFINITY)];
    let column = (way, length(), label(), 0..3_usize, density).prop_map(
        |(way, length, label, fluid, density)| Column {
            way,
            length,
            name: label.clone(),
            label,
            fluid,
            density,
        },
    );
    let end = || {
        let parts = (label(), proptest::option::of(label()));
        parts.prop_map(|(label, pressure)| TubeEnd { label, pressure })
    };
    let columns = proptest::collection::vec(column, 0..7);
    ([end(), end()], columns).prop_map(|(ends, columns)| Tube { ends, columns })
}

/// Sketches that nobody would have drawn by hand.
fn wild() -> impl Strategy<Value = Sketch> {
    let figure = prop_oneof![
        6 => wild_body().prop_map(Figure::Body),
        6 => wild_volume().prop_map(Figure::Volume),
        1 => wild_stations().prop_map(Figure::Stations),
        2 => wild_tube().prop_map(Figure::Tube),
        1 => Just(Figure::Particle),
        1 => direction().prop_map(|direction| Figure::Ramp(Ramp { direction })),
    ];
    let forces = prop_oneof![
        40 => proptest::collection::vec(wild_force(), 0..7),
        1 => proptest::collection::vec(wild_force(), 60),
    ];
    (figure, forces, label(), angle()).prop_map(|(figure, forces, label, angle)| Sketch {
        square: vec![Square {
            label: label.clone(),
            at: Some(1),
            is_toward_reader: false,
        }],
        motions: vec![Motion::Turning {
            label,
            is_clockwise: true,
        }],
        axes: Some(Axes {
            x: angle,
            y: angle + 1.57,
            labels: [symbol("x"), symbol("y")],
        }),
        ..sketch("Wild & <wild>", figure, forces)
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]

    #[test]
    fn no_words_touch_a_line_or_other_words((_, sketch) in of_problems()) {
        let drawn = draw(&sketch);
        apart(&drawn)?;
        inside(&drawn)?;
        named(&sketch, &drawn)?;
        well_formed(&sketch)?;
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn a_wild_sketch_is_whole(sketch in wild()) {
        inside(&draw(&sketch))?;
        well_formed(&sketch)?;
    }
}

#[test]
fn sixty_forces_are_drawn_and_named() {
    let forces = (0..60).map(|number| {
        let angle = degrees(6.0 * f64::from(number));
        let label = symbol(&format!("F_{number}"));
        Force {
            label,
            ..force(ForceKind::Force, "", Direction::plain(angle), None)
        }
    });
    let sketch = sketch("Sixty forces", Figure::Particle, forces.collect());
    let drawn = draw(&sketch);
    assert!(inside(&drawn).is_ok());
    assert!(named(&sketch, &drawn).is_ok());
}

#[test]
fn lengths_and_angles_at_their_ends_are_drawn() {
    for length in [0.0, -1.0, 1e9, 1e-9, f64::NAN] {
        for angle in [0.0, 90.0, -90.0, 180.0] {
            let data = Data {
                factors: vec![length, 1.0],
                turns: vec![angle],
                value: String::new(),
                found: vec![0, 1, 2],
                to_scale: Some(10.0),
            };
            for (name, case) in all() {
                let sketch = data.put(case);
                let drawn = draw(&sketch);
                assert!(inside(&drawn).is_ok(), "{name} {length} {angle}");
                assert!(well_formed(&sketch).is_ok(), "{name} {length} {angle}");
            }
        }
    }
}

/// From where to where arrows with a filled head go.
fn arrows(drawn: &Drawn) -> Vec<(Point, Point)> {
    let items = &drawn.drawing.items;
    let shafts = items.windows(2).filter_map(|pair| match pair {
        [Item::Lines(lines, _), Item::Outline(head, Ink::Black, None)] => {
            let [line] = lines.as_slice() else {
                return None;
            };
            let middle = Point::new(
                head.iter().map(|it| it.x).sum::<f64>() / head.len() as f64,
                head.iter().map(|it| it.y).sum::<f64>() / head.len() as f64,
            );
            // The end of the shaft that the head is at.
            let far = |end: &&Point| way::distance(**end, middle);
            let tail = line
                .iter()
                .max_by(|one, other| far(one).total_cmp(&far(other)))?;
            let tip = head.iter().max_by(|one, other| {
                way::distance(**one, *tail).total_cmp(&way::distance(**other, *tail))
            })?;
            Some((*tail, *tip))
        }
        _ => None,
    });
    shafts.collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// An arrow points as it turned out, and is as long as its scale says.
    #[test]
    fn an_arrow_points_as_it_turned_out(
        degrees in 0.0..360.0_f64,
        kind in 0..4_usize,
        is_turned in any::<bool>(),
        long in proptest::option::of(3.0..40.0_f64),
        has_place in any::<bool>(),
    ) {
        let kinds = [ForceKind::Force, ForceKind::Cable, ForceKind::Bar, ForceKind::Normal];
        let angle = degrees.to_radians();
        let force = Force {
            is_turned,
            length: long,
            ..force(kinds[kind], "F", Direction::plain(angle), has_place.then_some(0))
        };
        let figure = match has_place {
            true => Figure::Body(Body {
                places: vec![Place { label: symbol("A"), position: Position::Origin }],
                ..Body::default()
            }),
            false => Figure::Particle,
        };
        let sketch = Sketch {
            axes: None,
            ..sketch("One force", figure, vec![force])
        };
        let found = arrows(&draw(&sketch));
        prop_assert_eq!(found.len(), 1);
        let (tail, tip) = found[0];
        let sign = if is_turned { -1.0 } else { 1.0 };
        let length = way::distance(tail, tip);
        let along = sign * ((tip.x - tail.x) * angle.cos() - (tip.y - tail.y) * angle.sin());
        prop_assert!((along - length).abs() < 1e-6, "{along} of {length}");
        if let Some(long) = long {
            prop_assert!((length - long * pens::MM).abs() < 1e-6, "{length} for {long}");
        }
    }
}
