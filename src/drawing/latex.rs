//! A drawing as LaTeX, in the words of `picture` and of PDF.
//!
//! Lines and areas are operators of PDF (ISO 32000-1, 8.4 and 8.5) in a command that the preamble
//! of the page has for each engine; words are set by TeX. No package is asked for.

use std::fmt::Write;

use super::ink::{Anchor, Drawing, Ink, Item, Line, Pen, Point, Words};
use super::letters::{LOWER, RAISE, SMALL};
use super::svg::number;
use crate::typeset::{Face, Level, Run, latex};

/// How much smaller words are than on a screen, where the letters are narrower.
const SIZE: f64 = 0.9;

/// A line of text on the smaller paper, in 1/96 inch.
const WIDEST: f64 = 626.0;

/// Appends a `picture`; its unit is that of the drawing, and `\ink` draws.
pub fn write(drawing: &Drawing, out: &mut String) {
    let (width, height) = (number(drawing.width), number(drawing.height));
    // 1/96 inch is three quarters of a point; a wider drawing is smaller.
    let unit = 0.75 * (WIDEST / drawing.width).min(1.0);
    put(
        out,
        format_args!(
            "\\setlength{{\\unitlength}}{{{unit:.4}bp}}\\begin{{picture}}({width},{height})\n\
             \\put(0,0){{\\ink{{{unit:.4}}}{{%\n"
        ),
    );
    for item in &drawing.items {
        match item {
            Item::Lines(lines, pen) => {
                self::pen(pen, out);
                for line in lines {
                    path(line, drawing.height, out);
                }
                out.push_str("S\n");
            }
            Item::Outline(points, filled, pen) => {
                colour(*filled, "g", "rg", out);
                pen.iter().for_each(|pen| self::pen(pen, out));
                path(points, drawing.height, out);
                out.push_str(if pen.is_some() { "b\n" } else { "h f\n" });
            }
            Item::Circle(middle, radius, filled, pen) => {
                colour(*filled, "g", "rg", out);
                self::pen(pen, out);
                circle(
                    Point::new(middle.x, drawing.height - middle.y),
                    *radius,
                    out,
                );
                out.push_str("b\n");
            }
            Item::Words(words) if words.has_rim => rim(words, drawing.height, out),
            Item::Words(_) => {}
        }
    }
    out.push_str("}}\n");
    for item in &drawing.items {
        if let Item::Words(words) = item {
            self::words(words, (drawing.height, unit), out);
        }
    }
    out.push_str("\\end{picture}");
}

fn pen(pen: &Pen, out: &mut String) {
    colour(pen.ink, "G", "RG", out);
    let dashes = pen.line.dashes();
    let lengths: Vec<String> = dashes.iter().map(|it| number(it * pen.width)).collect();
    let cap = u8::from(pen.line != Line::Continuous);
    let width = number(pen.width);
    put(
        out,
        format_args!("{cap} J {width} w [{}] 0 d ", lengths.join(" ")),
    );
}

/// The colours of the page on paper.
fn colour(ink: Ink, grey: &str, colour: &str, out: &mut String) {
    match ink {
        Ink::Black => put(out, format_args!("0 {grey} ")),
        Ink::Quiet => put(out, format_args!(".27 {grey} ")),
        Ink::Accent => put(out, format_args!(".63 .2 .11 {colour} ")),
        Ink::Paper => put(out, format_args!("1 {grey} ")),
        Ink::Band => put(out, format_args!(".86 {grey} ")),
    }
}

/// `1 2 m 3 4 l`; upward from the lower edge.
fn path(points: &[Point], height: f64, out: &mut String) {
    for (at, point) in points.iter().enumerate() {
        let (x, y) = (number(point.x), number(height - point.y));
        let operator = if at == 0 { "m" } else { "l" };
        put(out, format_args!("{x} {y} {operator} "));
        if at % 8 == 7 {
            out.push('\n');
        }
    }
}

/// A circle of four curves.
fn circle(middle: Point, radius: f64, out: &mut String) {
    /// How far the handles of a quarter reach, in radii.
    const HANDLE: f64 = 0.5523;
    let at = |right: f64, up: f64| {
        let (x, y) = (middle.x + right * radius, middle.y + up * radius);
        format!("{} {}", number(x), number(y))
    };
    put(out, format_args!("{} m ", at(1.0, 0.0)));
    for (from, to) in [
        ((1.0, 0.0), (0.0, 1.0)),
        ((0.0, 1.0), (-1.0, 0.0)),
        ((-1.0, 0.0), (0.0, -1.0)),
        ((0.0, -1.0), (1.0, 0.0)),
    ] {
        let first = at(from.0 + HANDLE * to.0, from.1 + HANDLE * to.1);
        let second = at(to.0 + HANDLE * from.0, to.1 + HANDLE * from.1);
        put(out, format_args!("{first} {second} {} c ", at(to.0, to.1)));
    }
}

/// Paper beneath words.
fn rim(words: &Words, height: f64, out: &mut String) {
    let area = words.area();
    let (left, bottom) = (number(area.left), number(height - area.bottom));
    let (width, high) = (area.right - area.left, area.bottom - area.top);
    colour(Ink::Paper, "g", "rg", out);
    put(
        out,
        format_args!("{left} {bottom} {} {} re f\n", number(width), number(high)),
    );
}

fn words(words: &Words, (height, unit): (f64, f64), out: &mut String) {
    let (x, y) = (number(words.at.x), number(height - words.at.y));
    let corner = match words.anchor {
        Anchor::Start => "l",
        Anchor::Middle => "",
        Anchor::End => "r",
    };
    let points = words.size * unit * SIZE;
    let size = number(points);
    put(
        out,
        format_args!(
            "\\put({x},{y}){{\\makebox(0,0)[b{corner}]{{\\smash{{\\fontsize{{{size}}}{{{size}}}\\selectfont "
        ),
    );
    let is_black = words.ink == Ink::Black;
    if !is_black {
        out.push_str("\\drawn{");
        colour(words.ink, "g", "rg", out);
        out.push('}');
    }
    words
        .runs
        .iter()
        .for_each(|run| self::run(run, points, out));
    out.push_str(if is_black { "" } else { "\\drawn{0 g}" });
    out.push_str("}}}\n");
}

fn run(run: &Run, points: f64, out: &mut String) {
    let raise = match run.level {
        Level::Line => 0.0,
        Level::Raised => RAISE,
        Level::Lowered => -LOWER,
    };
    if run.level != Level::Line {
        let (raise, size) = (number(raise * points), number(SMALL * points));
        put(
            out,
            format_args!(
                "\\raisebox{{{raise}bp}}[0pt][0pt]{{\\fontsize{{{size}}}{{{size}}}\\selectfont "
            ),
        );
    }
    match run.face {
        Face::Word => latex::escape(&run.text, out),
        Face::Quantity => latex::slanted(&run.text, out),
        Face::Vector => {
            out.push_str("\\textbf{");
            latex::slanted(&run.text, out);
            out.push('}');
        }
    }
    out.push_str(if run.level == Level::Line { "" } else { "}" });
}

fn put(out: &mut String, what: std::fmt::Arguments<'_>) {
    // Writing to a string cannot fail.
    let _ = out.write_fmt(what);
}
