//! A drawing as SVG in a page.
//!
//! Inks are classes and `currentColor`; numbers have two decimals at most, and nothing has an id.

use std::fmt::Write;

use super::ink::{Anchor, Drawing, Ink, Item, Pen, Point, Words};
use super::letters::{LOWER, RAISE, SMALL, set};
use crate::typeset::{Face, Level, Run, escape};

/// How far a mark over a tall letter is raised, in sizes of the type.
const MARK: f64 = 0.17;

/// Appends the `svg` element, with a class of its own.
pub fn write(drawing: &Drawing, class: &str, out: &mut String) {
    let (width, height) = (number(drawing.width), number(drawing.height));
    put(
        out,
        format_args!(
            "<svg class=\"{class}\" viewBox=\"0 0 {width} {height}\" width=\"{width}\" \
             height=\"{height}\" role=\"img\"><title>"
        ),
    );
    escape(&drawing.title, out);
    out.push_str("</title><desc>");
    escape(&drawing.description, out);
    out.push_str("</desc>\n");
    for item in &drawing.items {
        self::item(item, out);
        out.push('\n');
    }
    out.push_str("</svg>");
}

fn item(item: &Item, out: &mut String) {
    match item {
        Item::Lines(lines, pen) => {
            out.push_str("<path d=\"");
            lines.iter().for_each(|line| path(line, false, out));
            out.push('"');
            inks(None, Some(pen), out);
            out.push_str("/>");
        }
        Item::Outline(points, filled, pen) => {
            out.push_str("<path d=\"");
            path(points, true, out);
            out.push('"');
            inks(Some(*filled), pen.as_ref(), out);
            out.push_str("/>");
        }
        Item::Circle(middle, radius, filled, pen) => {
            let (x, y) = (number(middle.x), number(middle.y));
            let radius = number(*radius);
            put(
                out,
                format_args!("<circle cx=\"{x}\" cy=\"{y}\" r=\"{radius}\""),
            );
            inks(Some(*filled), Some(pen), out);
            out.push_str("/>");
        }
        Item::Words(words) => self::words(words, out),
    }
}

/// `M1 2l3-4V5Z`: of the ways to say a point the shortest. All are whole hundredths, so that nothing
/// adds up along a line.
fn path(points: &[Point], is_closed: bool, out: &mut String) {
    let mut before: Option<([f64; 2], char)> = None;
    for point in points {
        let here = [point.x, point.y].map(|it| (it * 100.0).round());
        let [x, y] = here.map(hundredths);
        let mut ways = match before {
            None => vec![('M', vec![x, y])],
            Some((there, _)) => {
                let off = |at: usize| hundredths(here[at] - there[at]);
                if there[1] == here[1] {
                    vec![('H', vec![x]), ('h', vec![off(0)])]
                } else if there[0] == here[0] {
                    vec![('V', vec![y]), ('v', vec![off(1)])]
                } else {
                    vec![('L', vec![x, y]), ('l', vec![off(0), off(1)])]
                }
            }
        };
        let written = ways.drain(..).map(|(letter, numbers)| {
            // Behind a letter the next numbers are taken for more of the same.
            let is_said =
                before.is_some_and(|(_, last)| last == letter || (last, letter) == ('M', 'L'));
            (letter, said(letter, &numbers, is_said))
        });
        if let Some((letter, shortest)) = written.min_by_key(|(_, text)| text.len()) {
            out.push_str(&shortest);
            before = Some((here, letter));
        }
    }
    out.push_str(if is_closed { "Z" } else { "" });
}

/// Hundredths as a number without the zero before its point.
fn hundredths(of: f64) -> String {
    let text = number(of / 100.0);
    match text.strip_prefix("-0.") {
        Some(rest) => format!("-.{rest}"),
        None => text
            .strip_prefix("0.")
            .map_or(text.clone(), |rest| format!(".{rest}")),
    }
}

/// Numbers behind their letter, or behind numbers of the same letter; a minus parts as a blank does.
fn said(letter: char, numbers: &[String], is_said: bool) -> String {
    let mut text = String::new();
    for (at, number) in numbers.iter().enumerate() {
        match (at == 0 && !is_said, number.starts_with('-')) {
            (true, _) => text.push(letter),
            (false, true) => {}
            (false, false) => text.push(' '),
        }
        text.push_str(number);
    }
    text
}

/// What fills an element and what it is outlined with: black is the ink around the drawing, all
/// else a class.
fn inks(filled: Option<Ink>, pen: Option<&Pen>, out: &mut String) {
    let lined = pen.map(|pen| pen.ink);
    let names = [(filled, "fill"), (lined, "line")];
    let classes = names.map(|(ink, what)| Some(format!("{}-{what}", word(ink?)?)));
    let classes: Vec<String> = classes.into_iter().flatten().collect();
    if !classes.is_empty() {
        put(out, format_args!(" class=\"{}\"", classes.join(" ")));
    }
    out.push_str(match filled {
        None => " fill=\"none\"",
        Some(Ink::Black) => " fill=\"currentColor\"",
        Some(Ink::Quiet | Ink::Accent | Ink::Paper | Ink::Band) => "",
    });
    let Some(pen) = pen else {
        return;
    };
    if pen.ink == Ink::Black {
        out.push_str(" stroke=\"currentColor\"");
    }
    put(out, format_args!(" stroke-width=\"{}\"", number(pen.width)));
    let dashes = pen.line.dashes();
    if dashes.is_empty() {
        return;
    }
    let lengths: Vec<String> = dashes.iter().map(|it| number(it * pen.width)).collect();
    let lengths = lengths.join(" ");
    put(
        out,
        format_args!(" stroke-dasharray=\"{lengths}\" stroke-linecap=\"round\""),
    );
}

/// How an ink is called in a class; the ink of the page has none.
fn word(ink: Ink) -> Option<&'static str> {
    match ink {
        Ink::Black => None,
        Ink::Quiet => Some("quiet"),
        Ink::Accent => Some("accent"),
        Ink::Paper => Some("paper"),
        Ink::Band => Some("band"),
    }
}

fn words(words: &Words, out: &mut String) {
    let (x, y) = (number(words.at.x), number(words.at.y));
    put(out, format_args!("<text x=\"{x}\" y=\"{y}\""));
    put(out, format_args!(" font-size=\"{}\"", number(words.size)));
    out.push_str(match words.anchor {
        Anchor::Start => "",
        Anchor::Middle => " text-anchor=\"middle\"",
        Anchor::End => " text-anchor=\"end\"",
    });
    let ink = word(words.ink).map(|word| format!("{word}-fill"));
    let rim = words.has_rim.then(|| "rim".to_owned());
    let classes: Vec<String> = ink.into_iter().chain(rim).collect();
    if !classes.is_empty() {
        put(out, format_args!(" class=\"{}\"", classes.join(" ")));
    }
    out.push('>');
    runs(&words.runs, words.size, out);
    out.push_str("</text>");
}

/// Letters; those on another level are moved, and those behind them are moved back.
fn runs(runs: &[Run], size: f64, out: &mut String) {
    let mut above = 0.0;
    for run in runs {
        let (height, scale) = match run.level {
            Level::Line => (0.0, 1.0),
            Level::Raised => (RAISE, SMALL),
            Level::Lowered => (-LOWER, SMALL),
        };
        let down = (above - height) * size;
        let is_plain = down == 0.0 && scale == 1.0;
        if !is_plain {
            out.push_str("<tspan");
            if down != 0.0 {
                put(out, format_args!(" dy=\"{}\"", number(down)));
            }
            if scale != 1.0 {
                put(out, format_args!(" font-size=\"{}\"", number(size * scale)));
            }
            out.push('>');
        }
        above = height + letters(run, scale, size, out);
        out.push_str(if is_plain { "" } else { "</tspan>" });
    }
}

/// A letter of a quantity that has no place in the mathematical alphabets is slanted. A mark over
/// a tall letter is raised, as no font does that for letters of these alphabets; how far above its
/// line the last one stands.
fn letters(run: &Run, scale: f64, size: f64, out: &mut String) -> f64 {
    let shown: String = run.text.chars().map(|it| set(it, run.face)).collect();
    let is_slanted = run.face != Face::Word && shown == run.text;
    out.push_str(if is_slanted {
        "<tspan font-style=\"italic\">"
    } else {
        ""
    });
    let mut above = 0.0;
    for (text, height) in marked(&run.text, run.face) {
        let height = height * scale;
        let down = (above - height) * size;
        if down == 0.0 {
            escape(&text, out);
            continue;
        }
        put(out, format_args!("<tspan dy=\"{}\">", number(down)));
        escape(&text, out);
        out.push_str("</tspan>");
        above = height;
    }
    out.push_str(if is_slanted { "</tspan>" } else { "" });
    above
}

/// The letters as they are set, in pieces, with how far each is raised.
fn marked(text: &str, face: Face) -> Vec<(String, f64)> {
    let mut pieces: Vec<(String, f64)> = Vec::new();
    let mut before = ' ';
    for letter in text.chars() {
        let is_mark = ('\u{300}'..='\u{36f}').contains(&letter);
        let is_raised = is_mark && face != Face::Word && is_tall(before);
        let height = if is_raised { MARK } else { 0.0 };
        before = if is_mark { before } else { letter };
        match pieces.last_mut() {
            Some((piece, own)) if *own == height => piece.push(set(letter, face)),
            _ => pieces.push((set(letter, face).to_string(), height)),
        }
    }
    pieces
}

/// Whether a letter reaches above the small ones.
fn is_tall(letter: char) -> bool {
    letter.is_uppercase() || "bdfhklβδζθλξ".contains(letter)
}

/// A number with two decimals at most.
pub(super) fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0" } else { text }.to_owned()
}

fn put(out: &mut String, what: std::fmt::Arguments<'_>) {
    // Writing to a string cannot fail.
    let _ = out.write_fmt(what);
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The points of a path, read as a browser does.
    fn read(path: &str) -> Vec<[f64; 2]> {
        let mut found: Vec<[f64; 2]> = Vec::new();
        let starts = path.char_indices().filter(|(_, it)| it.is_alphabetic());
        let starts: Vec<usize> = starts.map(|(at, _)| at).collect();
        for (number, start) in starts.iter().enumerate() {
            let end = starts.get(number + 1).copied().unwrap_or(path.len());
            let numbers = path[start + 1..end].replace('-', " -");
            let numbers: Vec<f64> = (numbers.split_whitespace())
                .map(|it| it.parse().expect("a number"))
                .collect();
            let letter = &path[*start..=*start];
            let of_each = if "HhVv".contains(letter) { 1 } else { 2 };
            assert_eq!(numbers.len() % of_each, 0, "{path}");
            for numbers in numbers.chunks(of_each) {
                let [x, y] = found.last().copied().unwrap_or_default();
                found.push(match (letter, numbers) {
                    ("M" | "L", [x, y]) => [*x, *y],
                    ("l", [right, down]) => [x + right, y + down],
                    ("H", [x]) => [*x, y],
                    ("h", [right]) => [x + right, y],
                    ("V", [y]) => [x, *y],
                    ("v", [down]) => [x, y + down],
                    other => panic!("{other:?} in {path}"),
                });
            }
        }
        found
    }

    proptest! {
        #[test]
        fn a_path_goes_through_its_points(
            points in prop::collection::vec((-900.0_f64..900.0, -90.0_f64..90.0, 0_u8..4), 1..60)
        ) {
            // Level and upright parts among them.
            let mut at = Point::new(0.0, 0.0);
            let points: Vec<Point> = (points.into_iter())
                .map(|(x, y, kind)| {
                    at = match kind {
                        0 => Point::new(x, at.y),
                        1 => Point::new(at.x, y),
                        2 => Point::new(at.x + y / 30.0, at.y + x / 300.0),
                        _ => Point::new(x, y),
                    };
                    at
                })
                .collect();
            let mut text = String::new();
            path(&points, false, &mut text);
            let read = read(&text);
            prop_assert_eq!(read.len(), points.len());
            for (read, point) in read.iter().zip(&points) {
                let off = (read[0] - point.x).abs().max((read[1] - point.y).abs());
                prop_assert!(off < 0.0051, "{} of {}", off, text);
            }
        }
    }
}
