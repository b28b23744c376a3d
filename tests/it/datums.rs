//! What pressures of sketches count from: every kind of sketch, with the surroundings or without,
//! beside a pressure of each reading, against the rule as it is written; a slip is told once, also
//! where something is solved behind it.

use setsquare::text::Source;

use super::beside::compile;

/// What a sketch reads a pressure as.
#[derive(Clone, Copy, PartialEq, Debug)]
enum Read {
    Gauge,
    Absolute,
    /// From where the author has it.
    AsGiven,
}

/// A sketch, what is derived from it, and what it reads `p` as without the surroundings; with them
/// it is absolute. A body has none.
struct Case {
    lines: &'static str,
    derived: &'static str,
    alone: Read,
    has_surroundings: bool,
}

const VOLUME: &str = "s: control volume\ninlet 1 flow right, area A, speed V, pressure p\noutlet 2 flow right, area A, speed V, pressure q\nforce F left\nweight neglected\ndensity rho\n";

const CASES: [Case; 9] = [
    Case {
        lines: VOLUME,
        derived: "all: balance x of s\nsolve all for q\n",
        alone: Read::Gauge,
        has_surroundings: true,
    },
    Case {
        lines: VOLUME,
        derived: "A (p - q) = F by balance x of s\n",
        alone: Read::Gauge,
        has_surroundings: true,
    },
    Case {
        lines: VOLUME,
        derived: "balance mass of s\n",
        alone: Read::AsGiven,
        has_surroundings: true,
    },
    Case {
        lines: "s: fluid at rest\nfrom A, pressure p\nup h in rho\nto B, open\ngravity g\n",
        derived: "all: balance pressure of s\nsolve all for h\n",
        alone: Read::Gauge,
        has_surroundings: true,
    },
    Case {
        lines: "s: fluid at rest\nfrom A, pressure p\nup h in rho\nto B, pressure q\ngravity g\n",
        derived: "all: balance pressure of s\nsolve all for q\n",
        alone: Read::AsGiven,
        has_surroundings: true,
    },
    Case {
        lines: "s: control volume around a pipe\nsurface 1 level z\nsection 2 level h, speed V, pressure p\ndensity rho\ngravity g\n",
        derived: "all: balance heads from 1 to 2 of s\nsolve all for z\n",
        alone: Read::Gauge,
        has_surroundings: true,
    },
    Case {
        lines: "s: control volume around a pipe\nsurface 1 level z, pressure q\nsection 2 level h, speed V, pressure p\ndensity rho\ngravity g\n",
        derived: "all: balance heads from 1 to 2 of s\nsolve all for q\n",
        alone: Read::AsGiven,
        has_surroundings: true,
    },
    Case {
        lines: "s: control volume\ninlet 1 flow right, area A, speed V, pressure p\noutlet 2 flow right, area A, speed U, open\ndensity rho\ngravity g\n",
        derived: "all: balance heads from 1 to 2 of s\nsolve all for U\n",
        alone: Read::Gauge,
        has_surroundings: true,
    },
    Case {
        lines: "s: body\npoint A\npoint B = h up from A\nplate A to B\nfixed at A with A_x right, A_y up, M_A anticlockwise\nwater rho on A to B from left, surface at B, pressure p\nweight neglected\ngravity g\n",
        derived: "all: balance x of s\nsolve all for A_x\n",
        alone: Read::Gauge,
        has_surroundings: false,
    },
];

#[test]
fn pressures_count_from_where_the_rule_says() {
    let mut faults = Vec::new();
    let mut count = 0;
    for case in &CASES {
        for is_around in [false, true] {
            if is_around && !case.has_surroundings {
                continue;
            }
            let read = if is_around {
                Read::Absolute
            } else {
                case.alone
            };
            for (datum, word) in [
                (Read::AsGiven, ""),
                (Read::Gauge, " gauge"),
                (Read::Absolute, " abs"),
            ] {
                count += 1;
                let is_slip = datum != Read::AsGiven && read != Read::AsGiven && datum != read;
                let around = if is_around {
                    "surroundings p_atm\n"
                } else {
                    ""
                };
                let text = format!(
                    "```given\np = 140 kPa{word}\np_atm = 101 kPa\nA = 0.02 m^2\nrho = 998 kg/m^3\ng = 9.81 m/s^2\n```\n\n\
                     ```sketch\n{}{around}```\n\n```derive\n{}```\n",
                    case.lines, case.derived
                );
                let sheet = compile(Source::new("datums.md", text.clone()));
                let errors = sheet.diagnostics.iter().filter(|it| it.is_error());
                let told: Vec<&str> = errors.map(|it| it.code.as_str()).collect();
                let wanted: &[&str] = if is_slip { &["G13"] } else { &[] };
                // An equation that differs, or stands there for its dimensions, is another matter.
                let told: Vec<&str> = told.into_iter().filter(|it| !it.starts_with('B')).collect();
                if told != wanted {
                    faults.push(format!("{text}{told:?} and {wanted:?}"));
                }
            }
        }
    }
    assert_eq!(count, 51);
    assert!(
        faults.is_empty(),
        "{} of {count}: {}",
        faults.len(),
        faults.join("\n\n")
    );
}
