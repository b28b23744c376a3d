//! What is to be seen on a plot, in a sentence.

use super::{Axis, Panel, Plot, Reading, Series, Shape};
use crate::drawing::letters;
use crate::typeset::{Face, Level, Run};

/// "7 points of T² against L from 0.30 m to 1.0 m; fit line; one point left out."
pub(super) fn sentence(plot: &Plot) -> String {
    let mut parts: Vec<String> = (plot.panel.series.iter())
        .map(|series| part(plot, &plot.panel, series))
        .collect();
    let left_out = left_out(&plot.panel);
    match left_out {
        0 => {}
        1 => parts.push("one point left out".to_owned()),
        count => parts.push(format!("{count} points left out")),
    }
    for strip in &plot.strips {
        let against = strip.x.as_ref();
        let against = against.map_or_else(String::new, |x| format!(" against {}", x.spoken.0));
        parts.push(format!("below, {}{against}", strip.y.spoken.0));
    }
    let text = parts.join("; ");
    if text.is_empty() {
        text
    } else {
        format!("{text}.")
    }
}

fn left_out(panel: &Panel) -> usize {
    let readings = panel.series.iter().flat_map(|series| match &series.shape {
        Shape::Points(readings) => readings.as_slice(),
        Shape::Curve(_) | Shape::Place(_) | Shape::Horizontal(_) | Shape::Vertical(_) => &[],
    });
    readings.filter(|it| it.is_left_out).count()
}

fn part(plot: &Plot, panel: &Panel, series: &Series) -> String {
    let label = letters::plain(&series.label);
    let named = |words: String| match label.is_empty() {
        true => words,
        false => format!("{label}, {words}"),
    };
    let (x, y) = (&plot.x, &panel.y);
    match &series.shape {
        Shape::Points(readings) => {
            let kept: Vec<&Reading> = readings.iter().filter(|it| !it.is_left_out).collect();
            let along = span(x, kept.iter().map(|it| it.x));
            let count = kept.len();
            let points = if count == 1 { "point" } else { "points" };
            named(format!(
                "{count} {points} of {} against {}{along}",
                y.spoken.0, x.spoken.0
            ))
        }
        Shape::Curve(curve) => {
            let along = span(x, curve.runs.iter().flatten().map(|place| place.0));
            let band = if curve.band.is_empty() {
                ""
            } else {
                " with a band"
            };
            named(format!("a curve{along}{band}"))
        }
        Shape::Place(place) => named(format!(
            "a point at {} and {}",
            said(place.x, x),
            said(place.y, y)
        )),
        Shape::Horizontal(at) => named(format!("a level line at {}", said(*at, y))),
        Shape::Vertical(at) => named(format!("an upright line at {}", said(*at, x))),
    }
}

/// " from 0.30 m to 1.0 m"
fn span(axis: &Axis, values: impl Iterator<Item = f64>) -> String {
    match super::scale::Range::of(values) {
        Some(range) => format!(
            " from {} to {}",
            said(range.least, axis),
            said(range.greatest, axis)
        ),
        None => String::new(),
    }
}

fn said(value: f64, axis: &Axis) -> String {
    if let Some(times) = axis.times {
        return super::times::text(times, value);
    }
    let number = letters::plain(&number(value));
    format!("{number} {}", axis.spoken.1).trim_end().to_owned()
}

/// A number to three figures.
pub(super) fn number(value: f64) -> Vec<Run> {
    let text = format!("{value:.2e}");
    let (mantissa, power) = text.split_once('e').unwrap_or((&text, "0"));
    let power: i32 = power.parse().unwrap_or(0);
    if value == 0.0 {
        return vec![Run::words("0")];
    }
    let minus = |text: String| text.replace('-', "−");
    if (-3..6).contains(&power) {
        let places = (2 - power).max(0) as usize;
        // Rounded to its figures first, and then written out.
        let rounded: f64 = text.parse().unwrap_or(value);
        return vec![Run::words(minus(format!("{rounded:.places$}")))];
    }
    let mut runs = vec![Run::words(minus(format!("{mantissa} × 10")))];
    runs.push(Run {
        text: minus(power.to_string()),
        face: Face::Word,
        level: Level::Raised,
    });
    runs
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_have_three_figures() {
        for (value, wanted) in [
            (0.3, "0.300"),
            (1234.5, "1230"),
            (-0.049_96, "−0.0500"),
            (2.5e-7, "2.50 × 10^−7"),
            (0.0, "0"),
        ] {
            assert_eq!(letters::plain(&number(value)), wanted);
        }
    }
}
