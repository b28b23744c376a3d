//! Sketches with slips in their lines, and sketches that nobody means.
//!
//! One slip is one message: the line is left out of the drawing, which says so, and no balance of
//! that sketch is compared. Whatever stands in a sketch, there is a page, and every number in it
//! is one.

use std::fs;
use std::path::Path;

use setsquare::page;
use setsquare::text::Source;
use setsquare::worksheet::{Body, Worksheet, tidy};

use super::beside::compile;
use super::sketches::Drawn;

/// `ROUNDS=20 cargo test --test it broken_sketches` tries twenty times as many.
fn rounds() -> usize {
    let asked = std::env::var("ROUNDS").ok();
    asked.and_then(|rounds| rounds.parse().ok()).unwrap_or(1)
}

fn worksheet(text: &str) -> Worksheet {
    compile(Source::new("w.md", text))
}

/// The worksheets of the project that have a sketch: what is given, the sketches and the
/// equations.
fn worked() -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("worksheets");
    let mut paths: Vec<_> = (fs::read_dir(folder).unwrap())
        .map(|entry| entry.unwrap().path())
        .collect();
    paths.sort();
    let mut found = Vec::new();
    for path in paths
        .iter()
        .filter(|path| path.extension().is_some_and(|it| it == "md"))
    {
        let text = fs::read_to_string(path).unwrap();
        if !text.contains("```sketch\n") {
            continue;
        }
        // Each problem has labels of its own.
        let problems: Vec<String> = text.split("\n# ").map(code_of).collect();
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        found.push((name, problems.join("\n# Next\n\n")));
    }
    assert!(found.len() >= 7, "{} worksheets with sketches", found.len());
    found
}

/// The blocks of a problem that sketches hang on.
fn code_of(problem: &str) -> String {
    let words = ["given\n", "sketch\n", "derive\n"];
    let blocks = problem.split("\n```");
    let kept = blocks.filter(|block| words.iter().any(|word| block.starts_with(word)));
    kept.map(|block| format!("```{block}\n```\n")).collect()
}

/// The lines of sketches in a text, by number from 0, with whether each is the first.
fn lines_of_sketches(text: &str) -> Vec<(usize, bool)> {
    let (mut found, mut inside) = (Vec::new(), None);
    for (number, line) in text.lines().enumerate() {
        match (line, inside) {
            ("```sketch", _) => inside = Some(true),
            ("```", _) => inside = None,
            (_, Some(is_first)) if !line.trim().is_empty() => {
                found.push((number, is_first));
                inside = Some(false);
            }
            _ => {}
        }
    }
    found
}

fn with_line(text: &str, number: usize, line: &str) -> String {
    let mut lines: Vec<&str> = text.lines().collect();
    lines[number] = line;
    lines.join("\n") + "\n"
}

/// A line with one slip: a word left out, twice, or with a letter less, the end cut off, or a
/// comma too many.
fn slip(line: &str, drawn: &mut Drawn) -> String {
    let code = line.split(" -- ").next().unwrap_or(line);
    let words: Vec<&str> = code.split_whitespace().collect();
    let at = drawn.below(words.len());
    let mut new: Vec<String> = words.iter().map(|it| (*it).to_owned()).collect();
    match drawn.below(5) {
        0 => drop(new.remove(at)),
        1 => new.insert(at, words[at].to_owned()),
        2 => drop(new[at].pop()),
        3 => new.truncate(at.max(1)),
        _ => new[at].push(','),
    }
    new.join(" ")
}

fn errors(found: &Worksheet) -> Vec<(usize, String)> {
    let all = found.diagnostics.iter().filter(|it| it.is_error());
    all.map(|it| {
        (
            found.source.line_of(it.span.start),
            format!("{} {}", it.code, it.message),
        )
    })
    .collect()
}

/// The words of a page without its markup.
fn words(html: &str) -> String {
    let body = html.split("<main>").nth(1).unwrap_or(html);
    let mut out = String::new();
    for piece in body.split('<') {
        out.push_str(piece.split_once('>').map_or("", |(_, text)| text));
        out.push(' ');
    }
    out.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn one_slip_in_a_sketch_is_one_message() {
    let mut drawn = Drawn(7);
    let (mut refused, mut tried) = (0, 0);
    for (name, text) in worked() {
        assert_eq!(errors(&worksheet(&text)), [], "{name}");
        let lines: Vec<&str> = text.lines().collect();
        for (number, is_first) in lines_of_sketches(&text) {
            for _ in 0..rounds() {
                let new = slip(lines[number], &mut drawn);
                let text = with_line(&text, number, &new);
                let found = worksheet(&text);
                let told = errors(&found);
                tried += 1;
                // Many a slip is another line that is right: `weight W G`, `point C`.
                let own = told
                    .iter()
                    .any(|(line, _)| *line == number + 1 || *line == number + 2);
                let is_refused = |code: &str| code.starts_with("G0") || code.starts_with('S');
                if !own || !is_refused(&told[0].1) {
                    continue;
                }
                refused += 1;
                assert_eq!(
                    told.len(),
                    1,
                    "{name}: {} as {new}: {told:?}",
                    lines[number]
                );
                if is_first {
                    continue;
                }
                let label = label_above(&lines, number);
                let page = words(&page::html(&found));
                assert!(
                    page.contains("Incomplete: a line of it was refused."),
                    "{new}"
                );
                let balances = balances_of(&text, &label);
                let said = page.matches("not evaluated: needs line ").count();
                assert_eq!(said, balances, "{name}: {new}: {page}");
                assert_eq!(compared(&found, &label), 0, "{name}: {new}");
            }
        }
    }
    assert!(refused > 40, "{refused} of {tried} lines were refused");
}

/// The label of the sketch that a line stands in.
fn label_above(lines: &[&str], number: usize) -> String {
    let first = lines[..number]
        .iter()
        .rposition(|line| *line == "```sketch")
        .unwrap()
        + 1;
    lines[first].split(':').next().unwrap().to_owned()
}

/// How many lines name a balance of a sketch.
fn balances_of(text: &str, label: &str) -> usize {
    let code = text
        .lines()
        .map(|line| line.split(" -- ").next().unwrap_or(""));
    code.filter(|line| {
        line.contains("balance ") && line.trim_end().ends_with(&format!(" of {label}"))
    })
    .count()
}

fn compared(found: &Worksheet, label: &str) -> usize {
    let is_compared = |body: &Body| match body {
        Body::Equation { balance, .. } | Body::Therefore { balance, .. } => {
            balance.as_ref().is_some_and(|it| *it.label == *label)
        }
        _ => false,
    };
    found
        .statements()
        .filter(|(_, it)| is_compared(&it.body))
        .count()
}

#[test]
fn what_needs_a_refused_line_says_so_and_is_refused_by_nothing_else() {
    let text = "```sketch\nbeam: body\npoint A\npoint B = L rigt from A\nforce F down at B\npin at A with A_x right, A_y up\nmoment M clockwise at A\n```\n\
                ```derive\nu: A_y - F = 0 by balance y of beam\nv: balance moments about B of beam\nsolve u for A_y\n```\n";
    let found = worksheet(text);
    assert_eq!(errors(&found).len(), 1, "{:?}", errors(&found));
    assert_eq!(found.diagnostics.len(), 1, "{:?}", found.diagnostics);
    let page = words(&page::html(&found));
    assert_eq!(
        page.matches("not evaluated: needs line 4").count(),
        2,
        "{page}"
    );
}

#[test]
fn the_only_slip_in_another_sketch_is_told_where_it_is() {
    let text = "```sketch\none: body\npoint A\nforce F up att A\n```\n\
                ```sketch\nother: body\npoint A\nforce F down at A, opposite to F of one\nforce G up at A\n```\n\
                ```derive\nbalance y of other\n```\n";
    let found = worksheet(text);
    assert_eq!(
        errors(&found),
        [(4, "G02 `att` cannot stand here".to_owned())]
    );
}

/// Lines of every kind, with places for what is drawn.
const LINES: [&str; 44] = [
    "point P = % ~ from A",
    "point Q = middle of A to B",
    "beam A to B",
    "outline A to B to P to A",
    "block on incline at % above right",
    "wheel at B, radius %",
    "force F ~ at B",
    "force % ~",
    "cable S toward B at A",
    "bar F_1 at % above left",
    "weight W at B",
    "normal N",
    "friction F_f up the incline",
    "moment M clockwise at A",
    "load w ~ from A to B",
    "load 0 to w on A to B from left",
    "water rho on A to B from right, surface % above A, width b",
    "pin at A with A_x ~, A_y ~",
    "roller at B with B_y ~",
    "fixed at A with A_x right, A_y up, M_A anticlockwise",
    "rough at B with N up, R right",
    "inlet 1 flow ~, area %, speed V_1, pressure p_1",
    "inlet 2 flow ~ at B, depth %, width b, speed V_2",
    "outlet 3 flow ~, diameter %, mass flow mdot, open",
    "outlet 4 flow ~, area A_4, relative speed V_r, temperature T",
    "surface 5 level %",
    "section 6 level z, speed V, pressure p",
    "pump h_p",
    "loss %",
    "heat Q in",
    "power P out",
    "accumulation of momentum % ~",
    "moves % ~",
    "turns omega clockwise about A",
    "density rho",
    "gravity g",
    "axes x ~, y ~",
    "view from above",
    "accelerates a ~, mass m at B",
    "level % at A",
    "dimension % from A to B",
    "down % in rho",
    "along % ~ in rho",
    "show numbers",
];

const DIRECTIONS: [&str; 10] = [
    "right",
    "left",
    "up",
    "down",
    "at % above right",
    "at % below left",
    "at % left of up",
    "rising % in b right",
    "toward B",
    "up the incline",
];

/// Formulas, of which some have no value, or one that is no length.
const FORMULAS: [&str; 14] = [
    "zero",
    "minus",
    "huge",
    "tiny",
    "one",
    "turn",
    "right_angle",
    "0°",
    "90°",
    "2 one",
    "unknown",
    "one - one",
    "sqrt(minus)",
    "1/zero",
];

const GIVEN: &str = "```given\nzero = 0 m\nminus = -3 m\nhuge = 1e9 m\ntiny = 1e-9 m\none = 1 m\nturn = 0 deg\nright_angle = 90 deg\n\
                     b = 2 m\nF = 3 kN\nw = -2 kN/m\nrho = 0 kg/m^3\ng = 9.81 m/s^2\n```\n";

fn filled(pattern: &str, drawn: &mut Drawn) -> String {
    let mut out = pattern.to_owned();
    while let Some(at) = out.find('~') {
        out.replace_range(at..=at, DIRECTIONS[drawn.below(DIRECTIONS.len())]);
    }
    while let Some(at) = out.find('%') {
        out.replace_range(at..=at, FORMULAS[drawn.below(FORMULAS.len())]);
    }
    out
}

/// A sketch of drawn lines, some of them cut anywhere, perhaps far too many.
fn hostile(drawn: &mut Drawn) -> String {
    let heads = [
        "body",
        "particle",
        "fluid at rest",
        "control volume",
        "control volume around a ",
    ];
    let shapes = [
        "bend",
        "branch",
        "gate",
        "channel",
        "nozzle",
        "pipe",
        "plate",
        "tank",
        "vane",
        "impeller",
        "sprinkler",
        "heater",
    ];
    let mut head = heads[drawn.below(heads.len())].to_owned();
    if head.ends_with(' ') {
        head.push_str(shapes[drawn.below(shapes.len())]);
    }
    let mut lines = vec![format!("s: {head}")];
    if drawn.below(5) > 0 {
        lines.push("point A".to_owned());
        lines.push(filled("point B = % ~ from A", drawn));
    }
    if head == "fluid at rest" {
        lines.push("from C, pressure p_C".to_owned());
    }
    let count = match drawn.below(12) {
        0 => 58 + drawn.below(30),
        _ => drawn.below(9),
    };
    for _ in 0..count {
        let mut line = filled(LINES[drawn.below(LINES.len())], drawn);
        if drawn.below(6) == 0 {
            line.truncate(drawn.below(line.len() + 1));
        }
        lines.push(line);
    }
    if head == "fluid at rest" {
        lines.push("to D, open".to_owned());
    }
    let balances = [
        "x",
        "y",
        "moments about A",
        "mass",
        "energy",
        "pressure",
        "heads from 5 to 6",
    ];
    let derive: Vec<String> = (balances.iter())
        .map(|what| format!("balance {what} of s"))
        .collect();
    format!(
        "{GIVEN}```sketch\n{}\n```\n```derive\n{}\n```\n",
        lines.join("\n"),
        derive.join("\n")
    )
}

/// The numbers of the drawings of a page: all of them are, and none is beyond any paper.
fn numbers_are_numbers(html: &str, text: &str) {
    for drawing in html.split("<svg ").skip(1) {
        let drawing = drawing.split("</svg>").next().unwrap();
        let marks = drawing.split("<text").next().unwrap_or(drawing);
        assert!(
            !marks.contains("NaN") && !marks.contains("inf\""),
            "{text}\n{drawing}"
        );
        for path in drawing.split(" d=\"").skip(1) {
            // A minus parts numbers as a blank does.
            let path = path.split('"').next().unwrap().replace('-', " -");
            let is_between = |it: char| "MLlHhVvZ ".contains(it);
            for number in path.split(is_between).filter(|it| !it.is_empty()) {
                let number: f64 = number.parse().unwrap_or(f64::NAN);
                assert!(number.abs() < 5000.0, "{number} in {path}\n{text}");
            }
        }
    }
}

fn stands(text: &str) {
    let found = worksheet(text);
    let html = page::html(&found);
    let body = html.strip_prefix("<!DOCTYPE html>").unwrap_or(&html);
    assert!(roxmltree::Document::parse(body).is_ok(), "{text}");
    numbers_are_numbers(&html, text);
    let tidied = tidy(&Source::new("w.md", text));
    assert_eq!(tidy(&Source::new("w.md", tidied.clone())), tidied, "{text}");
    let again = worksheet(&tidied);
    assert_eq!(
        words(&page::html(&again)).replace(' ', ""),
        words(&html).replace(' ', ""),
        "{text}\n{tidied}"
    );
}

#[test]
fn whatever_a_sketch_holds_there_is_a_page() {
    let mut drawn = Drawn(11);
    for _ in 0..60 * rounds() {
        stands(&hostile(&mut drawn));
    }
}

#[test]
fn a_sketch_may_end_anywhere() {
    let mut drawn = Drawn(5);
    for (_, text) in worked() {
        for (number, _) in lines_of_sketches(&text) {
            let line = text.lines().nth(number).unwrap().to_owned();
            let ends: Vec<usize> = line.char_indices().map(|(at, _)| at).collect();
            for _ in 0..rounds() {
                let end = ends[drawn.below(ends.len())];
                let sketch = text
                    .split("```sketch\n")
                    .next()
                    .unwrap()
                    .matches('\n')
                    .count();
                let upto: Vec<&str> = text.lines().take(number).skip(sketch).collect();
                stands(&format!(
                    "{GIVEN}{}\n{}\n```\n",
                    upto.join("\n"),
                    &line[..end]
                ));
            }
        }
    }
}

#[test]
fn a_sketch_of_more_than_sixty_lines_is_refused_once() {
    let lines: Vec<String> = (0..70).map(|at| format!("force F_{at} up")).collect();
    let text = format!(
        "```sketch\nmany: particle\n{}\n```\n```derive\nbalance y of many\n```\n",
        lines.join("\n")
    );
    let found = worksheet(&text);
    assert_eq!(
        errors(&found),
        [(2, "G24 a sketch has at most 60 lines".to_owned())]
    );
}
