//! Values of worksheets when names have other values and other formulas, against the worksheets
//! written so, and slips against plain numbers.

use std::f64::consts::{PI, TAU};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Instant;

use setsquare::text::{Beside, Files, Source, Unread};
use setsquare::worksheet::{
    self, Instead, Refusal, Replay, Replays, SlipClass, SlipGround, SlipOf, Stands, SymbolId,
    Worksheet,
};

/// The files of a folder.
struct Folder(PathBuf);

impl Files for Folder {
    fn bytes(&self, path: &str, _: usize) -> Result<Vec<u8>, Unread> {
        fs::read(self.0.join(path)).map_err(|_| Unread::Missing)
    }

    fn names(&self, _: &str) -> Result<Vec<String>, Unread> {
        Ok(Vec::new())
    }
}

fn placed(path: &Path, text: String) -> (Source, Beside) {
    let name = path.file_name().unwrap().to_string_lossy().into_owned();
    let folder = Folder(path.parent().unwrap().to_owned());
    let beside = Beside::new(Arc::new(folder), &name);
    (Source::new(name, text), beside)
}

fn read(path: &Path, text: String) -> Replays {
    let (source, beside) = placed(path, text);
    Replays::of(&source, &beside)
}

fn whole(path: &Path, text: String) -> Worksheet {
    let (source, beside) = placed(path, text);
    worksheet::compile_beside(source, &beside)
}

fn worksheets() -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folders = ["worksheets", "tests/papers"];
    let mut all: Vec<PathBuf> = (folders.iter())
        .flat_map(|folder| fs::read_dir(root.join(folder)).unwrap())
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "md"))
        .collect();
    all.sort();
    all
}

fn opened(name: &str) -> Replays {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/papers")
        .join(name);
    read(&path, fs::read_to_string(&path).unwrap())
}

fn named(replays: &Replays, problem: usize, key: &str) -> SymbolId {
    replays.find(problem, key).unwrap()
}

/// The only problem of an example.
fn last(replays: &Replays) -> (usize, Replay<'_>) {
    let at = replays.count() - 1;
    (at, replays.problem(at).unwrap())
}

fn one(replay: &Replay<'_>, symbol: SymbolId, instead: &Instead) -> f64 {
    replay.value(symbol, instead).unwrap().rows[0]
}

fn is_near(found: f64, wanted: f64, part: f64) -> bool {
    (found - wanted).abs() <= part * found.abs().max(wanted.abs())
}

#[test]
fn a_name_with_its_own_value_changes_nothing() {
    let mut compared = 0;
    for path in worksheets() {
        let text = fs::read_to_string(&path).unwrap();
        let replays = read(&path, text);
        for at in 0..replays.count() {
            let replay = replays.problem(at).unwrap();
            for symbol in replay.names() {
                let present = replay.present(symbol).unwrap().rows.clone();
                for other in replay.behind(symbol).unwrap() {
                    let own = replay.present(other).unwrap().rows.clone();
                    let own = replay.numbers(other, &own).unwrap();
                    let instead = Instead::default().with(other, own);
                    let key = (&path, &replay.symbols().symbol(symbol).key);
                    let found = replay.value(symbol, &instead);
                    let found = found.unwrap_or_else(|why| panic!("{key:?}: {why:?}"));
                    let largest = present.iter().fold(0.0_f64, |a, b| a.max(b.abs()));
                    for (one, other) in found.rows.iter().zip(&present) {
                        let is_same =
                            one.is_nan() && other.is_nan() || (one - other).abs() <= 1e-8 * largest;
                        assert!(is_same, "{key:?}: {one} is not {other}");
                        compared += 1;
                    }
                }
            }
        }
    }
    assert!(compared > 1500, "{compared}");
}

#[test]
fn the_force_from_a_carried_pressure_and_the_head_from_a_carried_reynolds_number() {
    let replays = opened("fire-nozzle.md");
    let (at, replay) = last(&replays);
    let [p, force] = ["p_1", "R_x"].map(|key| named(&replays, at, key));
    let carried = Instead::default().with(p, replay.numbers(p, &[200e3]).unwrap());
    let found = one(&replay, force, &carried);
    assert!(is_near(found, -795.478_777_457_984_6, 1e-12), "{found}");

    let replays = opened("hill-reservoir.md");
    let (at, replay) = last(&replays);
    let [re, f, head] = ["Re", "f", "h_f"].map(|key| named(&replays, at, key));
    let carried = Instead::default().with(re, replay.numbers(re, &[1e5]).unwrap());
    let found = [f, head].map(|symbol| one(&replay, symbol, &carried));
    assert!(is_near(found[0], 0.021_477_665_6, 1e-9), "{found:?}");
    assert!(is_near(found[1], 15.023_873_9, 3e-9), "{found:?}");
    // A part between that is put in as well, as it came out, changes nothing more.
    let both = carried.with(f, replay.numbers(f, &[found[0]]).unwrap());
    assert!(is_near(one(&replay, head, &both), found[1], 1e-14));
}

/// The text with the line of `work` that begins with a name written as a datum, 7 % from what it
/// is in the filled text.
fn as_datum(text: &str, filled: &str, key: &str) -> Option<String> {
    let mut found = String::new();
    let (mut is_work, mut is_done) = (false, false);
    for (line, filled) in text.lines().zip(filled.lines()) {
        if line.starts_with("```") {
            is_work = line == "```work";
        }
        let mut sides = line.split('=');
        let is_own = is_work && !is_done && sides.next().is_some_and(|name| name.trim() == key);
        let value = filled.split_once(" ?").map(|(value, _)| value);
        let value = value.and_then(|value| value.rsplit_once("= "));
        match value.and_then(|(_, value)| as_other(value)) {
            Some(value) if is_own && !line.contains(" at ") => {
                found += &format!("```\n\n```given\n{key} = {value}\n```\n\n```work\n");
                is_done = true;
            }
            _ => found += &format!("{line}\n"),
        }
    }
    is_done.then_some(found)
}

/// A number with its unit, 7 % from what it is.
fn as_other(value: &str) -> Option<String> {
    let (number, unit) = value.trim().split_once(' ').unwrap_or((value.trim(), ""));
    let number: f64 = number.parse().ok()?;
    Some(format!("{} {unit}", 1.07 * number).trim_end().to_owned())
}

/// Each computed number of each worksheet is written as a datum, 7 % away from what it is; what
/// depends on it must come out as by putting the number in.
#[test]
fn a_value_that_is_put_in_gives_what_a_datum_gives() {
    let (mut compared, mut names) = (0, 0);
    for path in worksheets() {
        let text = fs::read_to_string(&path).unwrap();
        let replays = read(&path, text.clone());
        let filled = worksheet::fill(&whole(&path, text.clone()));
        // A heading more or less makes other problems.
        let at = replays.count() - 1;
        let replay = replays.problem(at).unwrap();
        // Of the large worksheets one name in twelve, or as many as are asked for.
        let step = match path.to_string_lossy().contains("papers") || std::env::var("ALL").is_ok() {
            true => 1,
            false => 12,
        };
        for symbol in replay.names().into_iter().step_by(step) {
            let key = replay.symbols().symbol(symbol).key.to_string();
            let is_one = replay.present(symbol).unwrap().rows.len() == 1;
            // The line of the name in what all problems share is another one.
            if !is_one || replays.find(at, &key) != Some(symbol) || replays.count() > 2 {
                continue;
            }
            let Some(other_text) = as_datum(&text, &filled, &key) else {
                continue;
            };
            let rewritten = read(&path, other_text);
            let Some(own) = rewritten.find(at, &key) else {
                continue;
            };
            let other = rewritten.problem(at).unwrap();
            let Some(value) = other.present(own).map(|value| value.rows[0]) else {
                continue;
            };
            names += 1;
            let put_in = replay.numbers(symbol, &[value]).unwrap();
            let instead = Instead::default().with(symbol, put_in);
            for reader in replay.names() {
                let of = &replay.symbols().symbol(reader).key;
                let Some(there) = rewritten.find(at, of) else {
                    continue;
                };
                let Some(wanted) = other.present(there) else {
                    continue;
                };
                // A line that shows two formulas may be refused there, and then has no value.
                let found = replay.value(reader, &instead);
                let found = found.unwrap_or_else(|why| panic!("{path:?} {key} {of}: {why:?}"));
                let largest = wanted.rows.iter().fold(0.0_f64, |a, b| a.max(b.abs()));
                for (one, other) in found.rows.iter().zip(&wanted.rows) {
                    let is_same =
                        one.is_nan() && other.is_nan() || (one - other).abs() <= 1e-9 * largest;
                    assert!(is_same, "{path:?} {key} in {of}: {one} is not {other}");
                    compared += 1;
                }
            }
        }
    }
    println!("{names} names, {compared} values");
    assert!(
        names > 20 && compared > 200,
        "{names} names, {compared} values"
    );
}

#[test]
fn every_formula_of_a_name_gives_it() {
    let mut shown = 0;
    for path in worksheets() {
        let replays = read(&path, fs::read_to_string(&path).unwrap());
        for at in 0..replays.count() {
            let replay = replays.problem(at).unwrap();
            for symbol in replay.names() {
                for formula in replay.formulas(symbol) {
                    let present = replay.present(symbol).unwrap();
                    let found = replay
                        .value_of(&formula.program, &Instead::default())
                        .unwrap();
                    let largest = present.rows.iter().fold(0.0_f64, |a, b| a.max(b.abs()));
                    for (one, other) in found.rows.iter().zip(&present.rows) {
                        let is_same =
                            one.is_nan() && other.is_nan() || (one - other).abs() <= 1e-6 * largest;
                        assert!(is_same, "{path:?}: {one} is not {other}");
                    }
                    shown += usize::from(formula.stands != Stands::First);
                }
            }
        }
    }
    assert!(shown >= 5, "{shown}");
}

/// Of the beam, with the numbers of the worksheet: what the forces are by the other route, from the
/// student's own.
#[test]
fn a_formula_of_an_alternative_takes_the_place_of_the_first() {
    let replays = opened("lifting-beam.md");
    let (at, replay) = last(&replays);
    let [a, b, moment] = ["A", "B", "M"].map(|key| named(&replays, at, key));
    let formulas = replay.formulas(b);
    let shown = formulas
        .iter()
        .find(|formula| formula.stands == Stands::Shown);
    let program = &shown.unwrap().program;
    let (g_p, g_b) = (640.0 * 9.81, 165.0 * 9.81);
    let own = Instead::default().with(a, replay.numbers(a, &[4630.0]).unwrap());
    let found = replay.value_of(program, &own).unwrap().rows[0];
    assert!(is_near(found, g_p + g_b - 4630.0, 1e-12), "{found}");
    // Put in the place of the first formula it needs the other force from elsewhere.
    let circle = Instead::default().with_formula(b, program.clone());
    assert_eq!(replay.value(b, &circle), Err(Refusal::Circle(b)));
    let found = one(
        &replay,
        moment,
        &circle.with(a, replay.numbers(a, &[4630.0]).unwrap()),
    );
    let wanted = 4630.0 * 1.3 - g_b * 1.3 * 1.3 / (2.0 * 4.2);
    assert!(is_near(found, wanted, 1e-12), "{found}");
}

/// Own readings: sums of products, and a period, from them.
#[test]
fn own_readings_take_the_place_of_a_list() {
    let replays = opened("spring-lab.md");
    let (at, replay) = last(&replays);
    let [x, k, t] = ["x_i", "k", "T"].map(|key| named(&replays, at, key));
    let read = [0.020, 0.039, 0.061, 0.080, 0.099];
    let own = Instead::default().with(x, replay.numbers(x, &read).unwrap());
    let masses = [0.5, 1.0, 1.5, 2.0, 2.5];
    let products: f64 = masses.iter().zip(&read).map(|(m, x)| m * 9.81 * x).sum();
    let wanted = products / read.iter().map(|x| x * x).sum::<f64>();
    assert!(is_near(one(&replay, k, &own), wanted, 1e-12));
    assert!(is_near(
        one(&replay, t, &own),
        TAU * (2.5 / wanted).sqrt(),
        1e-12
    ));
    assert_eq!(replay.numbers(x, &read[..4]), None);
}

#[test]
fn a_vector_is_put_in_as_one() {
    let replays = opened("mooring-ring.md");
    let (at, replay) = last(&replays);
    let [r, s, phi] = ["R", "S", "phi"].map(|key| named(&replays, at, key));
    let own = Instead::default().with(r, replay.numbers(r, &[9e3, 4e3]).unwrap());
    assert!(is_near(one(&replay, s, &own), 9e3_f64.hypot(4e3), 1e-12));
    assert!(is_near(one(&replay, phi, &own), 4e3_f64.atan2(9e3), 1e-12));
}

#[test]
fn what_has_no_value_is_refused_with_its_reason() {
    let replays = opened("fire-nozzle.md");
    let (at, replay) = last(&replays);
    let [area, speed] = ["A_1", "V_1"].map(|key| named(&replays, at, key));
    let none = Instead::default().with(area, replay.numbers(area, &[0.0]).unwrap());
    let refused = replay.value(speed, &none);
    assert!(matches!(refused, Err(Refusal::Fault(_))), "{refused:?}");
}

/// Slips of a result by their class and words.
fn slip<'s>(slips: &'s [SlipOf], class: SlipClass, words: &str) -> &'s SlipOf {
    let found = slips
        .iter()
        .find(|it| it.class == class && it.words == words);
    found.unwrap_or_else(|| {
        let all: Vec<_> = slips
            .iter()
            .map(|it| (it.class.name(), &it.words))
            .collect();
        panic!("no `{words}` among {all:#?}")
    })
}

fn ground(replays: &Replays, at: usize, given: &[&str], varied: &[&str]) -> SlipGround {
    let all = |keys: &[&str]| keys.iter().map(|key| named(replays, at, key)).collect();
    SlipGround {
        given: all(given),
        varied: all(varied),
    }
}

/// What slips come to, with plain numbers.
#[test]
fn slips_give_what_plain_numbers_give() {
    use SlipClass as Class;
    let mut tried = 0;
    let mut hold = |replay: &Replay<'_>, symbol, slips: &[SlipOf], rows: &[(Class, &str, f64)]| {
        for (class, words, wanted) in rows {
            let own = slip(slips, *class, words);
            let found = replay
                .slipped(symbol, own, &Instead::default())
                .unwrap()
                .rows[0];
            assert!(
                is_near(found, *wanted, 1e-9),
                "{words}: {found}, not {wanted}"
            );
            tried += 1;
        }
    };

    let replays = opened("fire-nozzle.md");
    let (at, replay) = last(&replays);
    let [v, p, force] = ["V_2", "p_1", "R_x"].map(|key| named(&replays, at, key));
    let (d1, d2, q, rho) = (0.080_f64, 0.032_f64, 0.014_f64, 1025.0_f64);
    let (a1, a2) = (PI * d1 * d1 / 4.0, PI * d2 * d2 / 4.0);
    let (v1, v2) = (q / a1, q / a2);
    let p1 = rho * (v2 * v2 - v1 * v1) / 2.0;
    let all = ground(&replays, at, &[], &["D_1", "D_2", "Q"]);
    hold(
        &replay,
        v,
        &replay.slips(v, &all).found,
        &[
            (
                Class::Diameter,
                "`D_2` taken for the radius",
                q / (4.0 * a2),
            ),
            (Class::Factor, "the factor 4 left out", q / (PI * d2 * d2)),
            (
                Class::Square,
                "`D_2^2` without its square",
                q / (PI * d2 / 4.0),
            ),
            (Class::LeftOut, "`pi` left out", q / (d2 * d2 / 4.0)),
            (Class::Prefix, "`D_2` in cm for mm", q / (100.0 * a2)),
            (
                Class::Prefix,
                "`Q` taken without its prefix",
                1000.0 * q / a2,
            ),
            (
                Class::Digits,
                "two digits of `D_2` exchanged",
                q / (PI * 0.023 * 0.023 / 4.0),
            ),
            (Class::Ratio, "the ratio `Q/A_2` the other way up", a2 / q),
            (Class::Ratio, "`A_2` multiplied instead of divided", a2 * q),
            (Class::Answer, "1000 times the answer", 1000.0 * v2),
        ],
    );
    hold(
        &replay,
        p,
        &replay.slips(p, &all).found,
        &[
            (
                Class::LeftOut,
                "`V_1^2` left out or next to nothing",
                rho * v2 * v2 / 2.0,
            ),
            (
                Class::Sign,
                "the other sign of `V_1^2`",
                rho * (v2 * v2 + v1 * v1) / 2.0,
            ),
            (Class::LeftOut, "`rho` left out", p1 / rho),
            (Class::Pressure, "`p_1` made absolute", p1 + 101_325.0),
            (Class::LeftOut, "`pi` left out everywhere", p1 * PI * PI),
        ],
    );
    let part = ground(&replays, at, &["V_2", "p_1"], &["D_1", "D_2", "Q"]);
    let slips = replay.slips(force, &part).found;
    hold(
        &replay,
        force,
        &slips,
        &[
            (
                Class::Sign,
                "the other sign of `p_1 A_1`",
                rho * q * (v2 - v1) + p1 * a1,
            ),
            (
                Class::Pressure,
                "`p_1` made absolute",
                rho * q * (v2 - v1) - (p1 + 101_325.0) * a1,
            ),
            (
                Class::LeftOut,
                "`V_1` left out or next to nothing",
                rho * q * v2 - p1 * a1,
            ),
        ],
    );
    // What is behind the student's own values is not changed.
    let own = |slip: &SlipOf| slip.words.contains("D_2");
    assert!(!slips.iter().any(own));

    let replays = opened("winch-drive.md");
    let (at, replay) = last(&replays);
    let [m, v, p] = ["M", "V", "P"].map(|key| named(&replays, at, key));
    let (f, d, n, eta) = (18.5e3_f64, 0.42_f64, 24.0_f64, 0.78_f64);
    let none = ground(&replays, at, &[], &[]);
    hold(
        &replay,
        m,
        &replay.slips(m, &none).found,
        &[(Class::Factor, "the factor 2 left out", f * d)],
    );
    hold(
        &replay,
        v,
        &replay.slips(v, &none).found,
        &[
            (
                Class::Turning,
                "minutes taken for seconds in `N`",
                PI * d * n,
            ),
            (Class::Turning, "2 pi left out at `N`", d * n / 120.0),
            (Class::Turning, "60 and 2 pi at `N`", d * n / 2.0),
        ],
    );
    hold(
        &replay,
        p,
        &replay.slips(p, &none).found,
        &[
            (
                Class::Prefix,
                "`eta` not divided by 100",
                f * PI * d * n / 60.0 / 78.0,
            ),
            (
                Class::Ratio,
                "`eta` multiplied instead of divided",
                f * PI * d * n / 60.0 * eta,
            ),
        ],
    );

    let replays = opened("lifting-beam.md");
    let (at, replay) = last(&replays);
    let b = named(&replays, at, "B");
    let (l, a, g) = (4.2, 1.3, 9.81);
    let (g_p, g_b) = (640.0 * g, 165.0 * g);
    let none = ground(&replays, at, &[], &["L", "a", "m_b", "m_p"]);
    hold(
        &replay,
        b,
        &replay.slips(b, &none).found,
        &[
            (
                Class::LeftOut,
                "`G_b L/2` left out or next to nothing",
                g_p * a / l,
            ),
            (
                Class::LeftOut,
                "`g` left out everywhere",
                (640.0 * a + 165.0 * l / 2.0) / l,
            ),
            (
                Class::Factor,
                "the factor 2 left out",
                (g_p * a + g_b * l) / l,
            ),
        ],
    );

    let replays = opened("mooring-ring.md");
    let (at, replay) = last(&replays);
    let s = named(&replays, at, "S");
    let alpha = 52.0_f64.to_radians();
    let none = ground(&replays, at, &[], &[]);
    let of = |x: f64, y: f64| (6400.0 + 4800.0 * x).hypot(4800.0 * y);
    hold(
        &replay,
        s,
        &replay.slips(s, &none).found,
        &[
            (
                Class::Angle,
                "`alpha` in degrees read as radians",
                of(52.0_f64.cos(), 52.0_f64.sin()),
            ),
            (
                Class::Function,
                "`sin` instead of `cos` in `cos(alpha)`",
                of(alpha.sin(), alpha.sin()),
            ),
        ],
    );

    let replays = opened("mixing-tank.md");
    let (at, replay) = last(&replays);
    let e = named(&replays, at, "E");
    let none = ground(&replays, at, &["T_m"], &[]);
    let fall = 68.0 - (180.0 * 68.0 + 45.0 * 14.0) / 225.0;
    hold(
        &replay,
        e,
        &replay.slips(e, &none).found,
        &[
            (
                Class::Temperature,
                "`Delta_T` shifted by 273.15",
                225.0 * 4180.0 * (fall + 273.15),
            ),
            (
                Class::Temperature,
                "`T_m` in degrees Celsius used as kelvins",
                225.0 * 4180.0 * (fall + 273.15),
            ),
        ],
    );

    // A root is found again: 1/sqrt(f) = -2 lg(k/(3.7 D)) is what is left without the second term.
    let replays = opened("hill-reservoir.md");
    let (at, replay) = last(&replays);
    let f = named(&replays, at, "f");
    let given = ground(&replays, at, &["V", "Re"], &["D", "L", "Q"]);
    let rough = (-2.0 * (0.12e-3_f64 / (3.7 * 0.15)).log10()).powi(-2);
    hold(
        &replay,
        f,
        &replay.slips(f, &given).found,
        &[(
            Class::LeftOut,
            "`2.51/(Re sqrt(f))` left out or next to nothing",
            rough,
        )],
    );
    assert!(tried >= 25, "{tried}");
}

/// Every class is met, no slip gives what is right only by being none, and there are not too many.
#[test]
fn the_examples_have_slips_of_every_class() {
    let mut classes = std::collections::BTreeSet::new();
    for path in worksheets()
        .iter()
        .filter(|path| path.to_string_lossy().contains("papers"))
    {
        let replays = read(path, fs::read_to_string(path).unwrap());
        let (_, replay) = last(&replays);
        let names = replay.names();
        let data = names.iter().filter(|name| replay.datum(**name).is_some());
        let ground = SlipGround {
            varied: data.copied().collect(),
            ..SlipGround::default()
        };
        for symbol in names.iter().filter(|name| replay.datum(**name).is_none()) {
            let slips = replay.slips(*symbol, &ground);
            assert!(slips.are_all);
            for slip in &slips.found {
                classes.insert(slip.class);
                // A value, or the reason why there is none.
                let _: Result<_, Refusal> = replay.slipped(*symbol, slip, &Instead::default());
                let place = slip.place.of(replay.text());
                assert!(!place.is_empty(), "{path:?} {}", slip.words);
            }
        }
    }
    let names: Vec<&str> = classes.iter().map(|class| class.name()).collect();
    assert_eq!(names.len(), 14, "{names:?}");
}

/// The speed of the jet and the one before it, rounded to three figures, move the pressure.
#[test]
fn rounding_on_the_way_makes_as_much_as_its_parts() {
    let replays = opened("fire-nozzle.md");
    let (at, replay) = last(&replays);
    let p = named(&replays, at, "p_1");
    let found = replay.rounded(p, None, &Instead::default(), 3).unwrap();
    let (d1, d2, q, rho) = (0.080_f64, 0.032_f64, 0.014_f64, 1025.0_f64);
    let (a1, a2) = (PI * d1 * d1 / 4.0, PI * d2 * d2 / 4.0);
    let (v1, v2) = (q / a1, q / a2);
    // 50.3 and 8.04 cm², 2.79 and 17.4 m/s.
    let parts = [
        rho * v1 * v1 / a1 * 0.05e-4,
        rho * v2 * v2 / a2 * 0.005e-4,
        rho * v1 * 0.005,
        rho * v2 * 0.05,
    ];
    let wanted = parts.iter().map(|part| part * part).sum::<f64>().sqrt();
    assert!(is_near(found[0], wanted, 0.01), "{found:?}, not {wanted}");
    // Of a thousand times the answer it is a thousand times as much.
    let slips = replay.slips(p, &SlipGround::default()).found;
    let own = slip(&slips, SlipClass::Answer, "1000 times the answer");
    let more = replay
        .rounded(p, Some(own), &Instead::default(), 3)
        .unwrap();
    assert!(is_near(more[0], 1000.0 * found[0], 1e-9), "{more:?}");
    // What is put in is not rounded.
    let speeds = ["V_1", "V_2"].map(|key| named(&replays, at, key));
    let own = speeds.into_iter().fold(Instead::default(), |own, speed| {
        let value = replay.present(speed).unwrap().rows.clone();
        own.with(speed, replay.numbers(speed, &value).unwrap())
    });
    assert_eq!(replay.rounded(p, None, &own, 3).unwrap(), [0.0]);
}

/// Students are marked on several threads, each with the same replay.
#[test]
fn a_replay_is_shared_by_threads() {
    fn is_shared<T: Send + Sync>() {}
    is_shared::<Replay<'static>>();
    is_shared::<Instead>();
    is_shared::<SlipOf>();
}

/// Told, not tested: `cargo test --release --test it instead::how_long -- --ignored --nocapture`.
#[test]
#[ignore = "measures"]
fn how_long_a_replay_takes() {
    for name in [
        "fire-nozzle",
        "hill-reservoir",
        "winch-drive",
        "lifting-beam",
        "mixing-tank",
    ] {
        let replays = opened(&format!("{name}.md"));
        let (_, replay) = last(&replays);
        for symbol in replay.names() {
            if replay.datum(symbol).is_some() {
                continue;
            }
            let slips = replay.slips(symbol, &SlipGround::default()).found;
            let start = Instant::now();
            let times = 2000 / slips.len().max(1) + 1;
            for _ in 0..times {
                for slip in &slips {
                    let _ = replay.slipped(symbol, slip, &Instead::default());
                }
            }
            let each = start.elapsed() / (times * slips.len()) as u32;
            let key = &replay.symbols().symbol(symbol).key;
            println!("{name} {key}: {} slips, {each:?} each", slips.len());
        }
    }
}
