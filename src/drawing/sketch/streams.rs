//! Sketches of control volumes, as worksheets have them.

use std::f64::consts::PI;

use super::cases::{degrees, force, sketch, symbol};
use super::*;

const RIGHT: f64 = 0.0;
const UP: f64 = PI / 2.0;
const LEFT: f64 = PI;
const DOWN: f64 = -PI / 2.0;

fn to(angle: f64) -> Direction {
    Direction::plain(angle)
}

fn cut(name: &str, is_inlet: bool, direction: Direction, stream: &[&str]) -> Cut {
    Cut {
        name: name.to_owned(),
        is_inlet,
        flow: Flow::Along(direction),
        at: None,
        size: Size::Area(1.0),
        is_open: false,
        pressure: Vec::new(),
        stream: stream.iter().map(|it| symbol(it)).collect(),
        is_turned: false,
        pulls: false,
        length: None,
    }
}

fn inlet(name: &str, direction: Direction, stream: &[&str]) -> Cut {
    cut(name, true, direction, stream)
}

fn outlet(name: &str, direction: Direction, stream: &[&str]) -> Cut {
    cut(name, false, direction, stream)
}

impl Cut {
    fn area(self, area: f64) -> Self {
        Self {
            size: Size::Area(area),
            ..self
        }
    }

    fn deep(self, depth: f64, label: &str) -> Self {
        Self {
            size: Size::Depth {
                depth,
                label: symbol(label),
            },
            ..self
        }
    }

    fn pressure(self, label: &str) -> Self {
        Self {
            pressure: symbol(label),
            ..self
        }
    }

    fn open(self) -> Self {
        Self {
            is_open: true,
            ..self
        }
    }

    fn at(self, place: PlaceId) -> Self {
        Self {
            at: Some(place),
            ..self
        }
    }
}

fn volume(shape: Shape, cuts: Vec<Cut>) -> Volume {
    Volume {
        shape,
        cuts,
        rates: Vec::new(),
        inside: Vec::new(),
        frame: Body {
            has_dimensions: true,
            ..Body::default()
        },
        turning: None,
    }
}

fn acts(label: &str, angle: f64) -> Force {
    force(ForceKind::Force, label, to(angle), None)
}

fn weight(label: &str) -> Force {
    force(ForceKind::Weight, label, to(DOWN), None)
}

fn of(title: &str, volume: Volume, forces: Vec<Force>) -> Sketch {
    sketch(title, Figure::Volume(volume), forces)
}

fn bend(labels: [&str; 3]) -> Sketch {
    let back = Direction::turned(LEFT, degrees(-40.0), symbol("β"));
    let cuts = vec![
        inlet("1", to(RIGHT), &["V_1"]).area(0.07).pressure("p_1"),
        outlet("2", back, &["V_2"]).area(0.031).pressure("p_2"),
    ];
    let [x, y, w] = labels;
    let forces = vec![weight(w), acts(x, RIGHT), acts(y, UP)];
    of("A penstock bend", volume(Shape::Bend, cuts), forces)
}

/// A bend the other way, which widens, with numbers at its speeds.
fn bend_down() -> Sketch {
    let down = Direction::turned(RIGHT, degrees(-60.0), symbol("γ"));
    let cuts = vec![
        inlet("1", to(RIGHT), &["V_1 = 3.20 m/s"])
            .area(1.0)
            .pressure("p_1 = 210 kPa"),
        outlet("2", down, &["V_2 = 1.60 m/s"])
            .area(2.0)
            .pressure("p_2 = 214 kPa"),
    ];
    let forces = vec![acts("F_x = 1.204 kN", LEFT), acts("F_y = 0.655 kN", DOWN)];
    of("A bend downward", volume(Shape::Bend, cuts), forces)
}

fn nozzle() -> Sketch {
    let cuts = vec![
        inlet("1", to(RIGHT), &["V_1"]).area(4.0).pressure("p_1"),
        outlet("2", to(RIGHT), &["V_2"]).area(1.0).open(),
    ];
    of(
        "A nozzle",
        volume(Shape::Nozzle, cuts),
        vec![acts("F", LEFT)],
    )
}

fn vane() -> Sketch {
    let up = Direction::turned(RIGHT, degrees(60.0), symbol("θ"));
    let cuts = vec![
        inlet("1", to(RIGHT), &["V_j"]).open(),
        outlet("2", up, &["V_r"]).open(),
    ];
    let motions = vec![Motion::Straight {
        label: symbol("U"),
        direction: to(RIGHT),
        length: None,
    }];
    let forces = vec![acts("F", LEFT), acts("G", UP)];
    Sketch {
        motions,
        ..of("A vane", volume(Shape::Vane, cuts), forces)
    }
}

/// A bucket that throws the jet back.
fn bucket() -> Sketch {
    let back = Direction::turned(LEFT, degrees(-15.0), symbol("θ"));
    let cuts = vec![
        inlet("1", to(RIGHT), &["V_j"]).open(),
        outlet("2", back, &["V_r"]).open(),
    ];
    let motions = vec![Motion::Straight {
        label: symbol("U"),
        direction: to(LEFT),
        length: None,
    }];
    Sketch {
        motions,
        ..of("A bucket", volume(Shape::Vane, cuts), vec![acts("F", LEFT)])
    }
}

fn branch() -> Sketch {
    let up = Direction::turned(RIGHT, degrees(60.0), symbol("α"));
    let cuts = vec![
        inlet("1", to(RIGHT), &["V_1"]).area(3.0).pressure("p_1"),
        outlet("2", to(RIGHT), &["V_2"]).area(1.6).pressure("p_2"),
        outlet("3", up, &["V_3"]).area(1.0).pressure("p_3"),
    ];
    let forces = vec![acts("R_x", LEFT), acts("R_y", DOWN)];
    of("A branch", volume(Shape::Branch, cuts), forces)
}

/// Two legs from a closed main.
fn tee() -> Sketch {
    let cuts = vec![
        inlet("1", to(UP), &["Q_1"]).area(2.0).pressure("p_1"),
        outlet("2", to(LEFT), &["Q_2"]).area(1.0).pressure("p_2"),
        outlet("3", to(RIGHT), &["Q_3"]).area(1.0).open(),
    ];
    of(
        "A tee",
        volume(Shape::Branch, cuts),
        vec![acts("R", RIGHT), weight("W")],
    )
}

/// Two streams that join at an acute angle.
fn junction() -> Sketch {
    let from = |angle: f64, label: &str| Direction::turned(RIGHT, degrees(angle), symbol(label));
    let cuts = vec![
        inlet("1", from(-32.0, "α"), &["V_1"])
            .area(1.0)
            .pressure("p_1"),
        inlet("2", from(32.0, "β"), &["V_2"])
            .area(1.0)
            .pressure("p_2"),
        outlet("3", to(RIGHT), &["V_3"]).area(1.8).pressure("p_3"),
    ];
    of(
        "A junction",
        volume(Shape::Branch, cuts),
        vec![acts("R_x", LEFT), acts("R_y", UP)],
    )
}

fn gate() -> Sketch {
    let cuts = vec![
        inlet("1", to(RIGHT), &["V_1"]).deep(2.0, "y_1"),
        outlet("2", to(RIGHT), &["V_2"]).deep(0.31, "y_2"),
    ];
    of(
        "A sluice gate",
        volume(Shape::Gate, cuts),
        vec![acts("F", LEFT)],
    )
}

fn jump() -> Sketch {
    let cuts = vec![
        inlet("1", to(RIGHT), &["V_1"])
            .deep(0.4, "y_1")
            .pressure("ρgy_1"),
        outlet("2", to(RIGHT), &["V_2"])
            .deep(1.3, "y_2")
            .pressure("ρgy_2"),
    ];
    let inside = vec![symbol("h_L")];
    of(
        "A jump",
        Volume {
            inside,
            ..volume(Shape::Channel, cuts)
        },
        Vec::new(),
    )
}

/// A stream down a steep bed to the left.
fn chute() -> Sketch {
    let down = || Direction::turned(LEFT, degrees(18.0), symbol("θ"));
    let cuts = vec![
        inlet("1", down(), &["V_1"]).deep(1.0, "y_1"),
        outlet("2", down(), &["V_2"]).deep(0.7, "y_2"),
    ];
    let forces = vec![
        weight("W"),
        force(ForceKind::Friction, "F_b", to(degrees(18.0)), None),
    ];
    of("A chute", volume(Shape::Channel, cuts), forces)
}

fn plate() -> Sketch {
    let cuts = vec![
        inlet("1", to(RIGHT), &["V"]).open(),
        outlet("2", to(UP), &["V_2"]).area(0.5).open(),
        outlet("3", to(DOWN), &["V_3"]).area(0.5).open(),
    ];
    of("A plate", volume(Shape::Plate, cuts), vec![acts("F", LEFT)])
}

/// A jet on an oblique plate.
fn oblique_plate() -> Sketch {
    let up = Direction::turned(RIGHT, degrees(55.0), symbol("θ"));
    let down = Direction::turned(LEFT, degrees(55.0), symbol("θ"));
    let cuts = vec![
        inlet("1", to(RIGHT), &["V"]).open(),
        outlet("2", up, &["V"]).area(0.7).open(),
        outlet("3", down, &["V"]).area(0.3).open(),
    ];
    let square = Direction::turned(UP, degrees(55.0), symbol("θ"));
    let forces = vec![force(ForceKind::Force, "F_n", square, None)];
    of("An oblique plate", volume(Shape::Plate, cuts), forces)
}

fn tank() -> Sketch {
    let cuts = vec![
        inlet("1", to(RIGHT), &["Q_1"]),
        inlet("2", to(DOWN), &["ṁ_2", "T_2"]),
        outlet("3", to(RIGHT), &["V_3"]).open(),
    ];
    let rates = vec![Rate {
        label: symbol("P"),
        is_in: true,
    }];
    let tank = Volume {
        rates,
        ..volume(Shape::Tank, cuts)
    };
    of("A tank", tank, vec![weight("W"), acts("F", LEFT)])
}

fn heater() -> Sketch {
    let cuts = vec![
        inlet("1", to(RIGHT), &["ṁ", "T_1"]),
        outlet("2", to(RIGHT), &["ṁ", "T_2"]),
    ];
    let rates = vec![
        Rate {
            label: symbol("P"),
            is_in: true,
        },
        Rate {
            label: symbol("Q_l"),
            is_in: false,
        },
    ];
    let heater = Volume {
        rates,
        ..volume(Shape::Heater, cuts)
    };
    Sketch {
        axes: None,
        ..of("A heater", heater, Vec::new())
    }
}

/// Two streams past each other, with values.
fn cooler() -> Sketch {
    let cuts = vec![
        inlet("1", to(RIGHT), &["ṁ_h = 0.82 kg/s", "T_1 = 84.0 °C"]),
        outlet("2", to(RIGHT), &["ṁ_h", "T_2 = 51.3 °C"]),
        inlet("3", to(LEFT), &["ṁ_c = 1.4 kg/s", "T_3 = 12.0 °C"]),
        outlet("4", to(LEFT), &["ṁ_c", "T_4"]),
    ];
    let rates = vec![Rate {
        label: symbol("Q_l = 4.5 kW"),
        is_in: false,
    }];
    let cooler = Volume {
        rates,
        ..volume(Shape::Heater, cuts)
    };
    Sketch {
        axes: None,
        ..of("A cooler", cooler, Vec::new())
    }
}

/// A wagon that is filled from above.
fn wagon() -> Sketch {
    let cuts = vec![inlet("1", to(DOWN), &["ṁ"])];
    of(
        "A wagon",
        volume(Shape::Box, cuts),
        vec![acts("F", RIGHT), weight("W")],
    )
}

/// A box with pressures, an oblique stream and one out of the page.
fn chamber() -> Sketch {
    let up = Direction::turned(RIGHT, degrees(30.0), symbol("δ"));
    let cuts = vec![
        inlet("1", to(RIGHT), &["V_1"]).pressure("p_1"),
        outlet("2", up, &["V_2"]).open(),
        Cut {
            flow: Flow::Square {
                is_toward_reader: true,
            },
            ..outlet("3", to(RIGHT), &["ṁ_3"])
        },
        outlet("4'", to(DOWN), &["V_4"]).pressure("p_4"),
    ];
    of(
        "A chamber",
        volume(Shape::Box, cuts),
        vec![acts("R_x", LEFT), acts("R_y", UP)],
    )
}

fn place(name: &str, from: Option<(PlaceId, &str, f64, f64)>) -> Place {
    let position = from.map(|(from, label, length, angle)| {
        let leg = Leg {
            length,
            direction: to(angle),
            label: symbol(label),
        };
        Position::Legs(from, vec![leg])
    });
    Place {
        label: symbol(name),
        position: position.unwrap_or(Position::Origin),
    }
}

fn framed(shape: Shape, cuts: Vec<Cut>, places: Vec<Place>) -> Volume {
    let frame = Body {
        places,
        has_dimensions: true,
        ..Body::default()
    };
    Volume {
        frame,
        ..volume(shape, cuts)
    }
}

fn couple(label: &str, at: PlaceId, is_clockwise: bool) -> Moment {
    Moment {
        label: symbol(label),
        at,
        is_clockwise,
        is_zero: false,
    }
}

fn turning(label: &str, is_clockwise: bool) -> Option<Turning> {
    Some(Turning {
        label: symbol(label),
        is_clockwise,
        about: 0,
    })
}

fn sprinkler() -> Sketch {
    let places = vec![
        place("O", None),
        place("P", Some((0, "r", 0.15, RIGHT))),
        place("S", Some((0, "r", 0.15, LEFT))),
    ];
    let cuts = vec![
        Cut {
            flow: Flow::Square {
                is_toward_reader: true,
            },
            ..inlet("1", to(RIGHT), &["2ṁ"])
        }
        .at(0),
        outlet("2", to(DOWN), &["V_r"]).at(1).open(),
        outlet("3", to(UP), &["V_r"]).at(2).open(),
    ];
    let mut volume = framed(Shape::Sprinkler, cuts, places);
    volume.turning = turning("ω", false);
    volume.frame.moments = vec![couple("M_f", 0, true)];
    of("A sprinkler", volume, Vec::new())
}

fn impeller() -> Sketch {
    let places = vec![
        place("O", None),
        place("P", Some((0, "r_1", 0.06, UP))),
        place("S", Some((0, "r_2", 0.15, RIGHT))),
    ];
    let out = Direction::turned(UP, degrees(-20.0), symbol("α"));
    let cuts = vec![
        inlet("1", to(UP), &["V_1"]).at(1),
        outlet("2", out, &["V_2"]).at(2),
    ];
    let mut volume = framed(Shape::Impeller, cuts, places);
    volume.turning = turning("ω", false);
    volume.frame.moments = vec![couple("M", 0, false)];
    of("An impeller", volume, Vec::new())
}

/// A bend on its flange, with places.
fn hydrant() -> Sketch {
    let places = vec![
        place("A", None),
        place("B", Some((0, "h", 0.9, UP))),
        place("C", Some((1, "l", 0.5, RIGHT))),
    ];
    let cuts = vec![
        inlet("1", to(UP), &["V_1"]).at(0).pressure("p_1"),
        outlet("2", to(RIGHT), &["V_2"]).at(2).open(),
    ];
    let mut volume = framed(Shape::Bend, cuts, places);
    volume.frame.moments = vec![couple("M_A", 0, false)];
    let at = |label: &str, angle: f64| force(ForceKind::Force, label, to(angle), Some(0));
    of("A hydrant", volume, vec![at("F_x", LEFT), at("F_y", DOWN)])
}

fn height(label: &str, height: f64) -> Height {
    Height {
        height,
        label: symbol(label),
    }
}

fn pond(name: &str, level: Height) -> Station {
    Station::Surface {
        name: name.to_owned(),
        level,
        pressure: Vec::new(),
    }
}

fn loss(label: &str) -> Station {
    Station::Loss(symbol(label))
}

fn pipe() -> Sketch {
    let stations = vec![
        pond("1", height("z_1", 0.0)),
        loss("h_s"),
        Station::Section {
            name: "3".to_owned(),
            level: height("z_3", 1.0),
            said: vec![symbol("V"), symbol("p_3")],
        },
        Station::Pump(symbol("h_p")),
        loss("h_d"),
        pond("2", height("z_2", 18.0)),
    ];
    Sketch {
        axes: None,
        ..sketch("A pump", Figure::Stations(stations), Vec::new())
    }
}

/// A turbine below a closed tank.
fn turbine() -> Sketch {
    let stations = vec![
        Station::Surface {
            name: "1".to_owned(),
            level: height("z_1 = 84.0 m", 84.0),
            pressure: symbol("p_1 = 20 kPa"),
        },
        loss("K V^2/(2g) = 1.13 m"),
        Station::Turbine(symbol("h_t = 61.2 m")),
        Station::Section {
            name: "2".to_owned(),
            level: height("", f64::NAN),
            said: vec![symbol("V_2 = 2.1 m/s"), symbol("p_2 = 0 kPa")],
        },
    ];
    Sketch {
        axes: None,
        ..sketch("A turbine", Figure::Stations(stations), Vec::new())
    }
}

/// All of them, each with the name of its drawing.
pub(super) fn all() -> Vec<(&'static str, Sketch)> {
    vec![
        ("bend", bend(["R_x", "R_y", "W"])),
        (
            "bend-found",
            bend(["R_x = 8.796 kN", "R_y = 2.933 kN", "W = 1.350 kN"]),
        ),
        ("bend-down", bend_down()),
        ("nozzle", nozzle()),
        ("vane", vane()),
        ("bucket", bucket()),
        ("branch", branch()),
        ("tee", tee()),
        ("junction", junction()),
        ("gate", gate()),
        ("jump", jump()),
        ("chute", chute()),
        ("plate", plate()),
        ("oblique-plate", oblique_plate()),
        ("tank", tank()),
        ("heater", heater()),
        ("cooler", cooler()),
        ("wagon", wagon()),
        ("chamber", chamber()),
        ("sprinkler", sprinkler()),
        ("impeller", impeller()),
        ("hydrant", hydrant()),
        ("pipe", pipe()),
        ("turbine", turbine()),
    ]
}
