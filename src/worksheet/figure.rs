//! A figure as a whole: whether there is anything to be seen on it, and what it is called.

use super::build::Builder;
use super::model::{Body, Plot, PlotPoint, Statement};
use crate::diagnostic::{Code, Diagnostic};
use crate::resolve::statement::Look;
use crate::text::Span;

impl Builder<'_> {
    /// Says what cannot be drawn of a plot.
    pub(super) fn judge_plot(&mut self, statements: &[Statement]) {
        let lines: Vec<(&Statement, &Plot)> = (statements.iter())
            .filter_map(|statement| match &statement.body {
                Body::Plot(plot) => Some((statement, &**plot)),
                _ => None,
            })
            .collect();
        let refused = statements.len() > lines.len();
        if !refused && !lines.iter().any(|(_, plot)| has_numbers(plot)) {
            self.report_empty(statements);
        }
        for (statement, plot) in &lines {
            if let Plot::Look(Look::Axis {
                is_upright,
                is_logarithmic: true,
                ..
            }) = plot
                && lines
                    .iter()
                    .any(|(_, line)| goes_to_zero(line, *is_upright))
            {
                self.diagnostics.push(
                    Diagnostic::error(
                        Code::X03,
                        statement.span,
                        "a logarithmic axis has no 0, and the series has numbers of 0 or below",
                    )
                    .with_help(
                        "a range above 0, those rows left out, or an axis that is not logarithmic",
                    ),
                );
            }
        }
    }

    fn report_empty(&mut self, statements: &[Statement]) {
        let Some(first) = statements.first() else {
            return;
        };
        let is_of_these = |place: Span| {
            let mut spans = statements.iter().map(|statement| statement.span);
            spans.any(|span| span.start <= place.start && place.start < span.end)
        };
        let mut told = self.diagnostics.iter();
        let known = told.any(|found| found.code == Code::X05 && is_of_these(found.span));
        if !known {
            self.diagnostics.push(
                Diagnostic::error(Code::X05, first.span, "the plot has nothing to draw")
                    .with_help("a series, as in `p / kPa against Q / (L/s) from 0 to 40`"),
            );
        }
    }
}

/// Whether a line has a number that can be drawn.
fn has_numbers(plot: &Plot) -> bool {
    let is_there = |point: &PlotPoint| point.y.0.is_finite() && point.x.0.is_finite();
    match plot {
        Plot::Points { points, .. }
        | Plot::Residuals {
            points,
            axes: Some(_),
        } => points.iter().any(is_there),
        Plot::Curve { runs, .. } => !runs.is_empty(),
        Plot::Place(_)
        | Plot::Fit { .. }
        | Plot::Residuals { axes: None, .. }
        | Plot::Level { .. }
        | Plot::Caption
        | Plot::Look(_) => false,
    }
}

/// Whether a line has a number that a logarithmic axis has no place for.
fn goes_to_zero(plot: &Plot, is_upright: bool) -> bool {
    let of_point = |point: &PlotPoint| {
        let (value, _) = if is_upright { point.y } else { point.x };
        value <= 0.0 && !point.is_left_out
    };
    match plot {
        Plot::Points { points, .. } => points.iter().any(of_point),
        Plot::Curve { runs, .. } => {
            (runs.iter().flatten()).any(|(x, y)| if is_upright { *y <= 0.0 } else { *x <= 0.0 })
        }
        Plot::Place(point) => of_point(point),
        Plot::Level {
            value,
            is_upright: stands,
        } => *stands != is_upright && *value <= 0.0,
        // Where the curve of a fit goes there, it is cut off.
        Plot::Fit { .. } | Plot::Residuals { .. } => false,
        Plot::Caption | Plot::Look(_) => false,
    }
}
