//! Sketches of some problems, as worksheets have them, against the drawings of last time.
//!
//! `UPDATE_GOLDEN=1` writes the drawings; a person looks at them.

use std::f64::consts::PI;
use std::path::Path;

use super::*;
use crate::drawing::{latex, svg};
use crate::typeset::{Face, Level};

const RIGHT: f64 = 0.0;
const UP: f64 = PI / 2.0;
const LEFT: f64 = PI;
const DOWN: f64 = -PI / 2.0;

/// `F_1 = 3.96 kN`: a quantity with what is lowered, and what is said of it.
pub(super) fn symbol(text: &str) -> Vec<Run> {
    let (name, value) = match text.split_once(" = ") {
        Some((name, value)) => (name, Some(value)),
        None => (text, None),
    };
    let (letter, lowered) = match name.split_once('_') {
        Some((letter, lowered)) => (letter, Some(lowered)),
        None => (name, None),
    };
    let run = |text: &str, face: Face, level: Level| Run {
        text: text.to_owned(),
        face,
        level,
    };
    let mut runs = Vec::new();
    if !letter.is_empty() {
        runs.push(run(letter, Face::Quantity, Level::Line));
    }
    runs.extend(lowered.map(|it| run(it, Face::Quantity, Level::Lowered)));
    runs.extend(value.map(|it| Run::words(format!(" = {it}"))));
    runs
}

pub(super) fn degrees(angle: f64) -> f64 {
    angle * PI / 180.0
}

fn origin(name: &str) -> Place {
    Place {
        label: vec![Run::words(name)],
        position: Position::Origin,
    }
}

fn leg(label: &str, length: f64, direction: Direction) -> Leg {
    Leg {
        length,
        direction,
        label: symbol(label),
    }
}

fn place(name: &str, from: PlaceId, legs: Vec<Leg>) -> Place {
    Place {
        label: vec![Run::words(name)],
        position: Position::Legs(from, legs),
    }
}

/// A place that is one leg from another.
fn beyond(name: &str, from: PlaceId, (label, length): (&str, f64), angle: f64) -> Place {
    place(
        name,
        from,
        vec![leg(label, length, Direction::plain(angle))],
    )
}

pub(super) fn force(
    kind: ForceKind,
    label: &str,
    direction: Direction,
    at: Option<PlaceId>,
) -> Force {
    Force {
        kind,
        label: symbol(label),
        direction,
        at,
        is_turned: false,
        is_zero: false,
        length: None,
    }
}

fn straight(kind: ForceKind, label: &str, angle: f64, at: PlaceId) -> Force {
    force(kind, label, Direction::plain(angle), Some(at))
}

fn support(kind: SupportKind, at: PlaceId, forces: &[(&str, f64)]) -> Support {
    let reaction = |(label, angle): &(&str, f64)| straight(ForceKind::Reaction, label, *angle, at);
    Support {
        kind,
        at,
        forces: forces.iter().map(reaction).collect(),
        moment: None,
    }
}

fn member(kind: MemberKind, from: PlaceId, to: PlaceId) -> Member {
    Member { kind, from, to }
}

pub(super) fn sketch(title: &str, figure: Figure, forces: Vec<Force>) -> Sketch {
    Sketch {
        title: title.to_owned(),
        description: title.to_owned(),
        figure,
        forces,
        square: Vec::new(),
        motions: Vec::new(),
        axes: Some(Axes {
            x: RIGHT,
            y: UP,
            labels: [symbol("x"), symbol("y")],
        }),
        scales: Vec::new(),
    }
}

fn body(places: Vec<Place>) -> Body {
    Body {
        places,
        has_dimensions: true,
        ..Body::default()
    }
}

/// A floor beam with a machine on it.
fn beam(reactions: [&str; 3]) -> Sketch {
    let places = vec![
        origin("A"),
        beyond("C", 0, ("a", 1.5), RIGHT),
        beyond("D", 0, ("c", 4.0), RIGHT),
        beyond("B", 0, ("L", 6.0), RIGHT),
    ];
    let figure = Body {
        members: vec![member(MemberKind::Beam, 0, 3)],
        supports: vec![
            support(
                SupportKind::Pin,
                0,
                &[(reactions[0], RIGHT), (reactions[1], UP)],
            ),
            support(SupportKind::Roller, 3, &[(reactions[2], UP)]),
        ],
        loads: vec![Load {
            from: 0,
            to: 2,
            acts: Acts::Along(Direction::plain(DOWN)),
            sizes: [5.0, 5.0],
            label: Spread::Even(symbol("w")),
            is_turned: false,
        }],
        ..body(places)
    };
    let forces = vec![straight(ForceKind::Force, "F", DOWN, 1)];
    sketch("A floor beam", Figure::Body(figure), forces)
}

/// The joint of a sign bracket.
fn joint(values: [&str; 2], is_found: bool) -> Sketch {
    let bar = |label: &str, direction: Direction| force(ForceKind::Bar, label, direction, None);
    let alpha = Direction::turned(LEFT, degrees(-40.0), symbol("α"));
    let beta = Direction::turned(LEFT, degrees(15.0), symbol("β"));
    let forces = vec![
        bar(values[0], alpha),
        Force {
            is_turned: is_found,
            ..bar(values[1], beta)
        },
        force(ForceKind::Force, "P", Direction::plain(DOWN), None),
        force(ForceKind::Force, "H", Direction::plain(RIGHT), None),
    ];
    sketch("The joint of a bracket", Figure::Particle, forces)
}

/// A crate held on a ramp.
fn crate_on_ramp(values: [&str; 4]) -> Sketch {
    let theta = degrees(28.0);
    let forces = vec![
        force(ForceKind::Weight, values[0], Direction::plain(DOWN), None),
        force(
            ForceKind::Normal,
            values[1],
            Direction::plain(theta + UP),
            None,
        ),
        force(
            ForceKind::Friction,
            values[2],
            Direction::plain(theta),
            None,
        ),
        force(
            ForceKind::Cable,
            values[3],
            Direction::turned(theta, degrees(15.0), symbol("φ")),
            None,
        ),
    ];
    let figure = Figure::Ramp(Ramp {
        direction: Direction::turned(RIGHT, theta, symbol("θ")),
    });
    Sketch {
        axes: Some(Axes {
            x: theta,
            y: theta + UP,
            labels: [symbol("x"), symbol("y")],
        }),
        ..sketch("A crate on a ramp", figure, forces)
    }
}

/// A box pushed over a floor.
fn crate_on_floor() -> Sketch {
    let forces = vec![
        force(ForceKind::Weight, "W", Direction::plain(DOWN), None),
        force(ForceKind::Normal, "N", Direction::plain(UP), None),
        force(ForceKind::Friction, "F_f", Direction::plain(LEFT), None),
        force(ForceKind::Force, "P", Direction::plain(RIGHT), None),
        force(
            ForceKind::Cable,
            "S",
            Direction::turned(RIGHT, degrees(30.0), symbol("δ")),
            None,
        ),
    ];
    let figure = Figure::Ramp(Ramp {
        direction: Direction::plain(RIGHT),
    });
    let motions = vec![Motion::Straight {
        label: symbol("a"),
        direction: Direction::plain(RIGHT),
        length: None,
    }];
    Sketch {
        motions,
        ..sketch("A box on a floor", figure, forces)
    }
}

/// A ladder on a wall with a painter on it.
fn ladder() -> Sketch {
    let theta = || Direction::turned(RIGHT, degrees(65.0), symbol("θ"));
    let up =
        |name: &str, label: &str, length: f64| place(name, 0, vec![leg(label, length, theta())]);
    let places = vec![
        origin("A"),
        up("G", "L/2", 2.0),
        up("C", "s", 2.9),
        up("B", "L", 4.0),
    ];
    let figure = Body {
        members: vec![member(MemberKind::Bar, 0, 3)],
        supports: vec![
            support(SupportKind::Rough, 0, &[("N_A", UP), ("F_A", RIGHT)]),
            support(SupportKind::Smooth, 3, &[("N_B", LEFT)]),
        ],
        ..body(places)
    };
    let forces = vec![
        straight(ForceKind::Weight, "W", DOWN, 1),
        straight(ForceKind::Force, "P", DOWN, 2),
    ];
    sketch("A ladder", Figure::Body(figure), forces)
}

/// A flap that closes a culvert.
fn flap() -> Sketch {
    let places = vec![origin("A"), beyond("B", 0, ("L", 1.2), DOWN)];
    let figure = Body {
        members: vec![member(MemberKind::Plate, 0, 1)],
        supports: vec![support(SupportKind::Pin, 0, &[("A_x", RIGHT), ("A_y", UP)])],
        water: vec![Water {
            from: 0,
            to: 1,
            side: Side::Left,
            surface: Surface::Above {
                place: 0,
                height: 1.8,
                label: symbol("h"),
            },
            label: symbol("p"),
            pressure: Vec::new(),
            pressure_height: 0.0,
        }],
        ..body(places)
    };
    let forces = vec![straight(ForceKind::Force, "F", LEFT, 1)];
    sketch("A flap", Figure::Body(figure), forces)
}

/// A hanging pulley.
fn pulley() -> Sketch {
    let places = vec![
        origin("C"),
        beyond("D", 0, ("r", 0.12), LEFT),
        beyond("E", 0, ("r", 0.12), RIGHT),
    ];
    let figure = Body {
        wheels: vec![Wheel {
            at: 0,
            radius: 0.12,
        }],
        ..body(places)
    };
    let forces = vec![
        straight(ForceKind::Cable, "S_1", UP, 1),
        straight(ForceKind::Cable, "S_2", UP, 2),
        straight(ForceKind::Weight, "W", DOWN, 0),
        straight(ForceKind::Force, "Q", DOWN, 0),
    ];
    sketch("A pulley", Figure::Body(figure), forces)
}

/// A rafter with snow, wind and a tie.
fn rafter() -> Sketch {
    let legs = vec![
        leg("", 4.4, Direction::plain(RIGHT)),
        leg("", 3.3, Direction::plain(UP)),
    ];
    let mut legs = legs;
    legs[0].label = vec![Run::words("4 "), symbol("s").remove(0)];
    legs[1].label = vec![Run::words("3 "), symbol("s").remove(0)];
    let places = vec![origin("A"), place("B", 0, legs)];
    let load = |acts: Acts, label: &str| Load {
        from: 0,
        to: 1,
        acts,
        sizes: [1.0, 1.0],
        label: Spread::Even(symbol(label)),
        is_turned: false,
    };
    let figure = Body {
        members: vec![member(MemberKind::Beam, 0, 1)],
        supports: vec![support(SupportKind::Pin, 0, &[("A_x", RIGHT), ("A_y", UP)])],
        loads: vec![
            load(Acts::Level(Direction::plain(DOWN)), "q"),
            load(Acts::Along(Direction::plain(DOWN)), "w"),
            load(Acts::SquareFrom(Side::Left), "p"),
        ],
        ..body(places)
    };
    let tie = Direction {
        towards: Towards::Angle(PI - (3.0_f64).atan2(4.0)),
        mark: Mark::Slope {
            upright: vec![Run::words("3")],
            level: vec![Run::words("4")],
        },
    };
    let forces = vec![force(ForceKind::Cable, "S", tie, Some(1))];
    sketch("A rafter", Figure::Body(figure), forces)
}

/// A crate on a lorry that starts.
fn crate_on_lorry() -> Sketch {
    let two_h = || vec![Run::words("2 "), symbol("h").remove(0)];
    let up = |length: f64| Leg {
        label: two_h(),
        ..leg("", length, Direction::plain(UP))
    };
    let half = leg("b/2", 0.25, Direction::plain(RIGHT));
    let places = vec![
        origin("A"),
        beyond("B", 0, ("b", 0.5), RIGHT),
        place("C", 1, vec![up(1.2)]),
        place("D", 0, vec![up(1.2)]),
        place("G", 0, vec![half, leg("h", 0.6, Direction::plain(UP))]),
        beyond("E", 0, ("e", 0.097), RIGHT),
    ];
    let figure = Body {
        outlines: vec![vec![0, 1, 2, 3]],
        ..body(places)
    };
    let forces = vec![
        straight(ForceKind::Weight, "W", DOWN, 4),
        straight(ForceKind::Normal, "N", UP, 5),
        straight(ForceKind::Force, "F", RIGHT, 5),
    ];
    let motions = vec![Motion::Straight {
        label: symbol("a"),
        direction: Direction::plain(RIGHT),
        length: None,
    }];
    Sketch {
        motions,
        ..sketch("A crate on a lorry", Figure::Body(figure), forces)
    }
}

/// One leg of steps, with its hinge.
fn steps() -> Sketch {
    let two = |name: &str, across: (&str, f64), up: (&str, f64)| {
        place(
            name,
            0,
            vec![
                leg(across.0, across.1, Direction::plain(RIGHT)),
                leg(up.0, up.1, Direction::plain(UP)),
            ],
        )
    };
    let places = vec![
        origin("A"),
        two("C", ("s", 0.65), ("H", 2.2)),
        two("D", ("s t/H", 0.148), ("t", 0.5)),
        two("E", ("e", 0.4), ("e H/s", 1.354)),
    ];
    let figure = Body {
        members: vec![member(MemberKind::Bar, 0, 1)],
        supports: vec![
            support(SupportKind::Smooth, 0, &[("N_A", UP)]),
            support(SupportKind::Hinge, 1, &[("C_x", RIGHT), ("C_y", UP)]),
        ],
        ..body(places)
    };
    let forces = vec![
        straight(ForceKind::Force, "P", DOWN, 3),
        straight(ForceKind::Cable, "T", RIGHT, 2),
    ];
    sketch("A leg of steps", Figure::Body(figure), forces)
}

/// A bracket in a wall, with a load that changes, a couple and a force out of the page.
fn bracket() -> Sketch {
    let places = vec![
        origin("A"),
        beyond("C", 0, ("a", 1.1), RIGHT),
        beyond("B", 1, ("b", 1.4), RIGHT),
    ];
    let clamp = Support {
        moment: Some(Moment {
            label: symbol("M_A"),
            at: 0,
            is_clockwise: false,
            is_zero: false,
        }),
        ..support(SupportKind::Fixed, 0, &[("A_x", RIGHT), ("A_y", UP)])
    };
    let figure = Body {
        members: vec![member(MemberKind::Beam, 0, 2)],
        supports: vec![clamp],
        moments: vec![Moment {
            label: symbol("M"),
            at: 2,
            is_clockwise: true,
            is_zero: false,
        }],
        loads: vec![Load {
            from: 0,
            to: 1,
            acts: Acts::Along(Direction::plain(DOWN)),
            sizes: [0.0, 3.0],
            label: Spread::Uneven([Vec::new(), symbol("w")]),
            is_turned: false,
        }],
        ..body(places)
    };
    let forces = vec![
        straight(ForceKind::Force, "F", DOWN, 1),
        straight(ForceKind::Force, "Q", DOWN, 1),
        force(
            ForceKind::Force,
            "R",
            Direction::turned(RIGHT, degrees(-30.0), symbol("γ")),
            Some(2),
        ),
    ];
    Sketch {
        square: vec![Square {
            label: symbol("Z"),
            at: Some(1),
            is_toward_reader: true,
        }],
        scales: vec![ScaleBar {
            length: 20.0,
            label: vec![Run::words("0.5 m")],
        }],
        ..sketch("A bracket", Figure::Body(figure), forces)
    }
}

fn water(from: PlaceId, to: PlaceId, side: Side, surface: Surface) -> Water {
    Water {
        from,
        to,
        side,
        surface,
        label: symbol("p"),
        pressure: Vec::new(),
        pressure_height: 0.0,
    }
}

/// A dam on its ground, with water on an upright face.
fn dam() -> Sketch {
    let up = |label: &str, length: f64| leg(label, length, Direction::plain(UP));
    let places = vec![
        origin("A"),
        beyond("B", 0, ("b", 5.0), RIGHT),
        place("C", 0, vec![up("H", 7.0)]),
        place("E", 2, vec![leg("c", 1.5, Direction::plain(RIGHT))]),
        place("S", 0, vec![up("h", 6.0)]),
        place(
            "G",
            0,
            vec![leg("d", 1.9, Direction::plain(RIGHT)), up("e", 2.7)],
        ),
        beyond("K", 0, ("k", 3.2), RIGHT),
    ];
    let figure = Body {
        outlines: vec![vec![0, 1, 3, 2]],
        water: vec![water(0, 4, Side::Left, Surface::At(4))],
        ..body(places)
    };
    let forces = vec![
        straight(ForceKind::Weight, "W", DOWN, 5),
        straight(ForceKind::Normal, "N", UP, 6),
        straight(ForceKind::Friction, "F_f", LEFT, 6),
    ];
    sketch("A dam", Figure::Body(figure), forces)
}

/// An oblique hatch under water, held by a strut.
fn hatch() -> Sketch {
    let down = Direction::turned(RIGHT, degrees(-50.0), symbol("β"));
    let places = vec![origin("A"), place("B", 0, vec![leg("L", 2.0, down)])];
    let figure = Body {
        members: vec![member(MemberKind::Plate, 0, 1)],
        supports: vec![
            support(SupportKind::Pin, 0, &[("A_x", RIGHT), ("A_y", UP)]),
            support(SupportKind::Link, 1, &[("S", degrees(40.0))]),
        ],
        water: vec![water(
            0,
            1,
            Side::Above,
            Surface::Above {
                place: 0,
                height: 0.8,
                label: symbol("h"),
            },
        )],
        ..body(places)
    };
    sketch("A hatch", Figure::Body(figure), Vec::new())
}

/// A frame with a roller on an incline, a couple and a force into the page.
fn frame() -> Sketch {
    let places = vec![
        origin("A"),
        beyond("B", 0, ("h", 2.5), UP),
        beyond("C", 1, ("l", 3.5), RIGHT),
        Place {
            label: vec![Run::words("M")],
            position: Position::Middle(1, 2),
        },
    ];
    let incline = Direction::turned(UP, degrees(25.0), symbol("φ"));
    let roller = Support {
        forces: vec![force(ForceKind::Reaction, "C_n", incline, Some(2))],
        ..support(SupportKind::Roller, 2, &[])
    };
    let figure = Body {
        members: vec![
            member(MemberKind::Beam, 0, 1),
            member(MemberKind::Beam, 1, 2),
        ],
        supports: vec![
            support(SupportKind::Pin, 0, &[("A_x", RIGHT), ("A_y", UP)]),
            roller,
        ],
        moments: vec![Moment {
            label: symbol("M_0"),
            at: 3,
            is_clockwise: true,
            is_zero: false,
        }],
        loads: vec![Load {
            from: 0,
            to: 1,
            acts: Acts::SquareFrom(Side::Left),
            sizes: [1.0, 2.0],
            label: Spread::Uneven([symbol("p_1"), symbol("p_2")]),
            is_turned: false,
        }],
        ..body(places)
    };
    let forces = vec![straight(ForceKind::Force, "F", RIGHT, 1)];
    Sketch {
        square: vec![Square {
            label: symbol("Z"),
            at: Some(1),
            is_toward_reader: false,
        }],
        ..sketch("A frame", Figure::Body(figure), forces)
    }
}

/// The same frame without its supports.
fn frame_alone() -> Sketch {
    let mut sketch = frame();
    if let Figure::Body(body) = &mut sketch.figure {
        body.supports_removed = true;
        body.has_dimensions = false;
        body.levels = vec![LevelMark {
            at: 2,
            label: symbol("z_C"),
        }];
    }
    sketch
}

fn tube_end(label: &str, pressure: &str) -> TubeEnd {
    TubeEnd {
        label: symbol(label),
        pressure: (!pressure.is_empty()).then(|| symbol(pressure)),
    }
}

/// A column of a fluid, which has its number and its density.
fn column(way: ColumnWay, (label, length): (&str, f64), (name, fluid): (&str, usize)) -> Column {
    Column {
        way,
        length,
        label: symbol(label),
        fluid,
        name: symbol(name),
        density: [998.0, 13_560.0, 820.0, f64::NAN][fluid],
    }
}

fn tube(title: &str, ends: [TubeEnd; 2], columns: Vec<Column>) -> Sketch {
    sketch(title, Figure::Tube(Tube { ends, columns }), Vec::new())
}

/// A bent tube on a main, with mercury under water.
fn manometer() -> Sketch {
    let columns = vec![
        column(ColumnWay::Down, ("a", 0.06), ("ρ_w", 0)),
        column(ColumnWay::Up, ("h", 0.145), ("ρ_m", 1)),
    ];
    tube(
        "A manometer",
        [tube_end("A", "p_A"), tube_end("B", "")],
        columns,
    )
}

/// An inclined tube that hangs from an open cup.
fn draught() -> Sketch {
    let along = Direction::turned(RIGHT, degrees(12.0), symbol("α"));
    let columns = vec![column(ColumnWay::Along(along), ("l", 0.142), ("ρ_o", 2))];
    tube(
        "A draught gauge",
        [tube_end("A", ""), tube_end("B", "p_B")],
        columns,
    )
}

/// Two mains with mercury between, and oil over the second limb.
fn between_mains() -> Sketch {
    let columns = vec![
        column(ColumnWay::Down, ("a", 0.4), ("ρ_w", 0)),
        column(ColumnWay::Up, ("h", 0.12), ("ρ_m", 1)),
        column(ColumnWay::Up, ("b", 0.2), ("ρ_o", 2)),
        column(ColumnWay::Down, ("c", 0.15), ("ρ_w", 0)),
    ];
    tube(
        "Between two mains",
        [tube_end("A", "p_A"), tube_end("B", "p_B")],
        columns,
    )
}

/// A tube with two U, and a fluid of which nothing is known.
fn double() -> Sketch {
    let columns = vec![
        column(ColumnWay::Down, ("h_1", 0.9), ("ρ_1", 0)),
        column(ColumnWay::Up, ("h_2", 0.5), ("ρ_2", 1)),
        column(ColumnWay::Down, ("h_3", 0.4), ("ρ_3", 3)),
        column(ColumnWay::Up, ("h_4", 0.7), ("ρ_2", 1)),
    ];
    tube(
        "Two U",
        [tube_end("main", "p_1"), tube_end("O", "")],
        columns,
    )
}

/// All cases, each with the name of its drawing.
pub(super) fn all() -> Vec<(&'static str, Sketch)> {
    let mut all = of_bodies();
    all.append(&mut super::streams::all());
    all
}

fn of_bodies() -> Vec<(&'static str, Sketch)> {
    vec![
        ("beam", beam(["A_x", "A_y", "B_y"])),
        (
            "beam-found",
            beam(["A_x = 0 kN", "A_y = 26.83 kN", "B_y = 11.17 kN"]),
        ),
        ("joint", joint(["F_1", "F_2"], false)),
        (
            "joint-found",
            joint(["F_1 = 3.963 kN", "F_2 = 2.522 kN"], true),
        ),
        ("ramp", crate_on_ramp(["W", "N", "F_f", "S"])),
        (
            "ramp-found",
            crate_on_ramp(["W = 833.9 N", "N = 686.5 N", "F_f = 206.0 N", "S = 192.1 N"]),
        ),
        ("floor", crate_on_floor()),
        ("ladder", ladder()),
        ("flap", flap()),
        ("pulley", pulley()),
        ("rafter", rafter()),
        ("lorry", crate_on_lorry()),
        ("steps", steps()),
        ("bracket", bracket()),
        ("dam", dam()),
        ("hatch", hatch()),
        ("frame", frame()),
        ("frame-alone", frame_alone()),
        ("manometer", manometer()),
        ("draught", draught()),
        ("between-mains", between_mains()),
        ("double", double()),
    ]
}

fn written(sketch: &Sketch) -> String {
    let mut page = String::new();
    svg::write(&draw(sketch).drawing, "drawing", &mut page);
    page
}

#[test]
fn drawings_are_those_of_last_time() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden/sketches");
    let is_updated = std::env::var_os("UPDATE_GOLDEN").is_some();
    for (name, sketch) in all() {
        let path = folder.join(format!("{name}.svg"));
        let page = written(&sketch) + "\n";
        if is_updated {
            std::fs::create_dir_all(&folder).unwrap();
            std::fs::write(&path, page).unwrap();
            continue;
        }
        let last = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(page == last, "{name} is drawn in another way");
    }
}

#[test]
fn a_drawing_is_small() {
    for (name, sketch) in all() {
        let page = written(&sketch);
        assert!(page.len() < 12_000, "{name}: {} bytes", page.len());
        let mut paper = String::new();
        latex::write(&draw(&sketch).drawing, &mut paper);
        assert!(paper.ends_with("\\end{picture}"), "{name}");
    }
}
