//! What a what-if says of the sketches, held against a worksheet in which the datum is changed.

use std::collections::BTreeSet;

use setsquare::diagnostic::Code;
use setsquare::text::Source;
use setsquare::worksheet::Worksheet;

use super::beside::compile;
use super::sketches::{Drawn, bodies};

/// A name of the data, its unit, and the numbers that it may have.
type Datum = (&'static str, &'static str, [f64; 2]);

/// Worksheets with a sketch that data may turn over: their data, then the lines that follow them.
const SHEETS: [(&[Datum], &str); 4] = [
    // Loads go back, a roller lifts off, a cable goes slack.
    (
        &[
            ("a", "m", [0.5, 4.0]),
            ("c", "m", [0.5, 4.0]),
            ("L", "m", [1.0, 5.0]),
            ("w", "kN/m", [0.5, 3.0]),
            ("F", "kN", [1.0, 9.0]),
        ],
        "beam: body\npoint A\npoint C = a right from A\npoint D = c right from A\n\
         point B = L right from A\nbeam A to B\npin at A with A_x right, A_y up\n\
         roller at B with B_y up\nload w down from C to D\nforce F up at D\ncable S down at C\nweight neglected\n```\n\n\
         ```work\nS = F - 4 w a = ? kN\nB_y = (w (c^2 - a^2)/2 - F c + S a)/L = ? kN\n",
    ),
    // Water below an end of its plate.
    (
        &[
            ("h", "m", [-1.0, 2.0]),
            ("L", "m", [0.5, 3.0]),
            ("rho", "kg/m^3", [900.0, 1100.0]),
            ("g", "m/s^2", [9.0, 10.0]),
        ],
        "flap: body\npoint A\npoint B = L down from A\nplate A to B\npin at A with A_x right, A_y up\n\
         water rho on A to B from left, surface h above A\nsmooth at B with B_x left\nweight neglected\n```\n\n\
         ```work\nB_x = rho g L (h/2 + L/3) = ? kN/m\n",
    ),
    // Streams that go back, flows that do not close.
    (
        &[
            ("A_1", "m^2", [0.1, 0.4]),
            ("A_2", "m^2", [0.1, 0.4]),
            ("V_1", "m/s", [-2.0, 4.0]),
            ("V_2", "m/s", [-2.0, 4.0]),
            ("rho", "kg/m^3", [900.0, 1100.0]),
        ],
        "duct: control volume around a bend\ninlet 1 flow right, area A_1, speed V_1, open\n\
         outlet 2 flow up, area A_2, speed V_2, open\nforce R_x right\ndensity rho\n```\n\n\
         ```work\nz = A_1 V_1 = ? m^3/s\n",
    ),
    // Friction that is tied to its normal force.
    (
        &[
            ("m", "kg", [10.0, 90.0]),
            ("theta", "deg", [2.0, 50.0]),
            ("mu", "", [0.1, 0.6]),
            ("P", "N", [10.0, 600.0]),
            ("g", "m/s^2", [9.0, 10.0]),
        ],
        "sledge: body\nblock on incline at theta above right\nweight m g\nnormal N\nfriction F_f down the incline\n\
         cable P up the incline\naccelerates a up the incline, mass m\n```\n\n\
         ```work\nN = m g cos(theta) = ? N\nF_f = mu N = ? N\na = (P - F_f)/m - g sin(theta) = ? m/s^2\n",
    ),
];

/// The data, the sketch and what is worked out, and at the end a line more.
fn text(sheet: usize, values: &[f64], more: &str) -> String {
    let (data, rest) = SHEETS[sheet];
    let given: Vec<String> = (data.iter().zip(values))
        .map(|((name, unit, _), value)| format!("{name} = {value} {unit}\n"))
        .collect();
    format!(
        "```given\n{}```\n\n```sketch\n{rest}{more}```\n",
        given.concat()
    )
}

/// The lines of the sketch that something is said of, with what kind it is.
fn said(sheet: &Worksheet) -> BTreeSet<(usize, bool)> {
    let of_sketches = [Code::G23, Code::G33, Code::B11, Code::B14];
    let found = sheet.diagnostics.iter();
    let found = found.filter(|it| of_sketches.contains(&it.code) && it.notes.is_empty());
    found
        .map(|it| {
            (
                sheet.source.position(it.span.start).line,
                it.code == Code::B14,
            )
        })
        .collect()
}

/// The lines that a what-if says something of.
fn said_with(sheet: &Worksheet) -> BTreeSet<(usize, bool)> {
    let found = sheet.diagnostics.iter();
    let found = found.filter(|it| matches!(it.code, Code::B11 | Code::B14));
    let noted = found.filter_map(|it| {
        let place = it.notes.first()?.span?;
        Some((
            sheet.source.position(place.start).line,
            it.code == Code::B14,
        ))
    });
    noted.collect()
}

#[test]
fn a_what_if_says_what_a_worksheet_with_that_datum_says() {
    let mut drawn = Drawn(20_261_128);
    let (mut against, mut tried) = (0, 0);
    for _ in 0..bodies(80) {
        let at = drawn.below(SHEETS.len());
        let (data, rest) = SHEETS[at];
        let mut number = |[low, high]: [f64; 2]| {
            let part = drawn.below(1000) as f64 / 1000.0;
            ((low + part * (high - low)) * 100.0).round() / 100.0
        };
        // By the data little is against the sketch, so that the what-if says it.
        let mut values = Vec::new();
        for _ in 0..6 {
            values = data.iter().map(|(_, _, range)| number(*range)).collect();
            if said(&compile(Source::new("data.md", text(at, &values, "")))).is_empty() {
                break;
            }
        }
        let changed = (values[0] * 100.0) as usize % data.len();
        let other = number(data[changed].2);
        let (name, unit, _) = data[changed];
        let asked = rest
            .rsplit("\n")
            .nth(1)
            .and_then(|it| it.split(" =").next())
            .unwrap();
        let last = rest.rsplit("= ? ").next().unwrap().trim();
        let more = format!("{asked} = ? {last} at {name} = {other} {unit}\n");
        let own = compile(Source::new("own.md", text(at, &values, &more)));
        let mut with = values.clone();
        with[changed] = other;
        let fresh = compile(Source::new("fresh.md", text(at, &with, "")));
        let before = compile(Source::new("before.md", text(at, &values, "")));
        let expected: BTreeSet<(usize, bool)> =
            said(&fresh).difference(&said(&before)).copied().collect();
        assert_eq!(
            said_with(&own),
            expected,
            "{}\n{:?}",
            text(at, &values, &more),
            own.diagnostics
        );
        against += expected.len();
        tried += 1;
    }
    // Not all of nothing.
    assert!(against * 10 > tried, "{against} of {tried}");
}
