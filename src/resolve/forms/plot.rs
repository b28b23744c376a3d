//! The lines of `plot`: what is plotted against what.

use super::super::statement::Ask;
use super::super::which::Which;
use super::super::{Expr, ExprKind, Quantity, Resolver, Shape, SymbolId};
use super::Kind;
use super::fitted::Fitted;
use crate::diagnostic::{Code, Diagnostic};
use crate::quantity::Unit;
use crate::syntax::tokens::tokens;
use crate::syntax::{self, Line, Name};
use crate::tables::Pattern;
use crate::text::Span;

/// More series than this are not told apart.
const MOST_SERIES: usize = 20;

/// A line of `plot`.
#[derive(Debug, Clone, PartialEq)]
pub enum Plot {
    /// What the plot is called.
    Caption,
    /// Lists against each other.
    Points {
        /// Upward.
        y: Side,
        /// To the right.
        x: Side,
        /// The rows that are plotted, where not all are.
        which: Option<Which>,
    },
    /// A quantity over the range of a name.
    Curve {
        /// Upward.
        y: Side,
        /// To the right; the name alone.
        x: Side,
        /// The name: a given that takes other values, or one that this line has for itself.
        by: SymbolId,
        /// Whether it is a given.
        is_given: bool,
        /// Its first and its last value, in its unit.
        ends: (f64, f64),
        /// Whether the axis is logarithmic on which it runs.
        is_logarithmic: bool,
    },
    /// The curve of a fit.
    Fit {
        /// The fit, over the axes of the plot.
        fitted: Box<Fitted>,
        /// Its label.
        label: Box<str>,
        /// What the axis to the right says.
        reach: Reach,
        /// The band that goes around it.
        band: Option<syntax::Band>,
    },
    /// What the points are off the curve of a fit.
    Residuals {
        /// The fit, over the axes of the strip.
        fitted: Box<Fitted>,
        /// Whether it has a level axis of its own.
        has_own_axis: bool,
    },
    /// A result: upward, and to the right.
    Place(Box<[Side; 2]>),
    /// A line at one value.
    Level {
        /// The value.
        side: Side,
        /// Whether it is upright.
        is_upright: bool,
    },
    /// How all of it is drawn.
    Look(Look),
}

/// What a line of a plot says of how all of it is drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Look {
    /// How an axis runs.
    Axis {
        /// Whether it is the upright one.
        is_upright: bool,
        /// Whether it is logarithmic.
        is_logarithmic: bool,
        /// Whether it runs the other way.
        is_reversed: bool,
        /// Where it begins, in its unit.
        from: Option<f64>,
        /// Where it ends.
        to: Option<f64>,
    },
    /// How wide and how high the plot is, in 1/96 inch.
    Size(f64, f64),
    /// Thin lines go through the ticks.
    Grid,
    /// By how many standard uncertainties bars reach to each side.
    Bars(f64),
}

/// How far the level axis goes, as far as that is said, and how it runs.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Reach {
    /// Where it begins, in its unit.
    pub from: Option<f64>,
    /// Where it ends.
    pub to: Option<f64>,
    /// Whether it is logarithmic.
    pub is_logarithmic: bool,
}

/// A quantity in the unit of its axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Side {
    /// The quantity.
    pub expr: Expr,
    /// The unit, with its datum.
    pub ask: Ask,
    /// How times are written that it counts.
    pub times: Option<Pattern>,
}

impl Side {
    /// A quantity in any unit.
    pub(super) fn bare(expr: Expr) -> Self {
        let ask = Ask {
            span: expr.span,
            ..Ask::default()
        };
        Self {
            expr,
            ask,
            times: None,
        }
    }

    /// The unit of the axis.
    pub fn unit(&self) -> Unit {
        self.ask.unit.clone().unwrap_or_else(Unit::one)
    }

    /// One unit of the axis, as it would stand in a formula.
    pub fn one_unit(&self) -> Quantity {
        Quantity {
            number: self.ask.span,
            values: vec![1.0],
            shape: Shape::One,
            unit: self.unit(),
            datum: self.ask.datum,
            sizes: Vec::new(),
            power: None,
        }
    }
}

impl Plot {
    /// The quantities of a line.
    pub fn sides(&self) -> Vec<&Side> {
        match self {
            Self::Points { y, x, .. } | Self::Curve { y, x, .. } => vec![y, x],
            Self::Place(sides) => sides.iter().collect(),
            Self::Level { side, .. } => vec![side],
            // Its own axis; the others were checked where the fit and the series stand.
            Self::Residuals {
                fitted,
                has_own_axis: true,
            } => match &fitted.y.ask.unit {
                Some(_) => vec![&fitted.x],
                None => vec![&fitted.y, &fitted.x],
            },
            Self::Fit { .. } | Self::Residuals { .. } => Vec::new(),
            Self::Caption | Self::Look(_) => Vec::new(),
        }
    }
}

impl Resolver<'_> {
    /// What the axes of a plot count: the quantities of its first series.
    pub(super) fn axes_of(&mut self, lines: &[Line]) -> Option<[syntax::Side; 2]> {
        let series: Vec<(&Line, &syntax::Side, &syntax::Side)> = (lines.iter())
            .filter_map(|line| match &line.statement {
                syntax::Statement::Plot(plot) => match &**plot {
                    syntax::Plot::Series { y, x, .. } => Some((line, y, &**x)),
                    _ => None,
                },
                _ => None,
            })
            .collect();
        if let Some((line, ..)) = series.get(MOST_SERIES) {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::X06,
                    line.span,
                    format!("more than {MOST_SERIES} series cannot be told apart"),
                )
                .with_help("a second plot for some of them"),
            );
        }
        let (_, y, x) = series.first()?;
        let axes = [(*y).clone(), (*x).clone()];
        self.plot_reach = self.reach_of(lines, &axes[1]);
        Some(axes)
    }

    /// What a plot says of its level axis.
    fn reach_of(&self, lines: &[Line], across: &syntax::Side) -> Reach {
        let mut reach = Reach::default();
        let is_it = |side: &syntax::Side| {
            words(side.ask.span.of(self.text)) == words(across.ask.span.of(self.text))
        };
        for line in lines {
            if let syntax::Statement::Plot(plot) = &line.statement
                && let syntax::Plot::Axis {
                    side,
                    from,
                    to,
                    is_logarithmic,
                    ..
                } = &**plot
                && is_it(side)
            {
                (reach.from, reach.to) = (from.map(|it| it.0), to.map(|it| it.0));
                reach.is_logarithmic = *is_logarithmic;
            }
        }
        reach
    }

    pub(super) fn plot(&mut self, place: Span, plot: &syntax::Plot) -> Option<Kind> {
        let found = match plot {
            syntax::Plot::Caption => Plot::Caption,
            syntax::Plot::Series { y, x, which, range } => {
                self.series(place, [y, &**x], which.as_ref(), *range)?
            }
            syntax::Plot::Fit { label, band } => Plot::Fit {
                fitted: Box::new(self.fitted_over(place, label, None)?),
                label: label.text.clone(),
                reach: self.plot_reach,
                band: *band,
            },
            syntax::Plot::Residuals { label, against } => Plot::Residuals {
                fitted: Box::new(self.fitted_over(place, label, against.as_deref())?),
                has_own_axis: against.as_ref().is_some_and(|own| !self.is_across(own)),
            },
            syntax::Plot::Place(names) => self.place(place, names)?,
            syntax::Plot::Level { side, is_upright } => {
                self.counts_as(side, usize::from(*is_upright), place)?;
                Plot::Level {
                    side: self.side(side)?,
                    is_upright: *is_upright,
                }
            }
            syntax::Plot::Axis {
                side,
                is_logarithmic,
                is_reversed,
                from,
                to,
            } => Plot::Look(Look::Axis {
                is_upright: self.axis_of(side)? == 0,
                is_logarithmic: *is_logarithmic,
                is_reversed: *is_reversed,
                from: from.map(|(from, _)| from),
                to: to.map(|(to, _)| to),
            }),
            syntax::Plot::Size(width, height) => Plot::Look(Look::Size(*width, *height)),
            syntax::Plot::Grid => Plot::Look(Look::Grid),
            syntax::Plot::Bars(factor) => Plot::Look(Look::Bars(*factor)),
        };
        Some(Kind::Plot(Box::new(found)))
    }

    fn series(
        &mut self,
        place: Span,
        [y, x]: [&syntax::Side; 2],
        which: Option<&syntax::Which>,
        range: Option<(f64, f64)>,
    ) -> Option<Plot> {
        self.counts_as(y, 0, place)?;
        self.counts_as(x, 1, place)?;
        let Some((from, to)) = range else {
            let (y, x) = (self.side(y), self.side(x));
            let which = match which {
                Some(which) => Some(self.which(which)?),
                None => None,
            };
            return Some(Plot::Points {
                y: y?,
                x: x?,
                which,
            });
        };
        let syntax::ExprKind::Name(name) = &x.formula.kind else {
            self.diagnostics.push(
                Diagnostic::error(Code::S01, x.formula.span, "a range is that of one name")
                    .with_help(
                        "`y against x from 0 to 10`, where `x` is a given or a name for this line",
                    ),
            );
            return None;
        };
        if syntax::is_list_name(&name.key) {
            let written = name.span.of(self.text);
            let message = format!("a range is that of one name, and `{written}` is a list");
            let help = format!(
                "the rows that are meant by a condition, such as `where {written} > {0} and {written} < {0}`; all without one",
                "…"
            );
            self.diagnostics
                .push(Diagnostic::error(Code::S01, name.span, message).with_help(help));
            return None;
        }
        let ask = self.side_ask(x)?;
        let known = self.symbols.find(self.problem, &name.key);
        let (by, y) = match known {
            Some(_) => (self.changing(name)?, self.side(y)?),
            None => self.over_own_name(y, name)?,
        };
        let x = Side {
            expr: Expr {
                span: x.formula.span,
                kind: ExprKind::Symbol(by),
            },
            ask,
            times: x.times,
        };
        Some(Plot::Curve {
            y,
            x,
            by,
            is_given: known.is_some(),
            ends: (from, to),
            is_logarithmic: self.plot_reach.is_logarithmic && from > 0.0,
        })
    }

    /// The name that a line of a plot has for itself.
    pub(in crate::resolve) fn own_name<'p>(&self, plot: &'p syntax::Plot) -> Option<&'p Name> {
        let syntax::Plot::Series {
            x, range: Some(_), ..
        } = plot
        else {
            return None;
        };
        match &x.formula.kind {
            syntax::ExprKind::Name(name) => {
                let known = self.symbols.find(self.problem, &name.key);
                known.is_none().then_some(name)
            }
            _ => None,
        }
    }

    /// A quantity as it depends on a name that its line alone has.
    fn over_own_name(&mut self, y: &syntax::Side, name: &Name) -> Option<(SymbolId, Side)> {
        self.take_parameters(name, &[name]);
        let side = self.side(y);
        self.parameters.clear();
        let mut side = side?;
        let own = self.symbols.add_unseen(self.problem, &name.key);
        side.expr.change(&mut |part| {
            if part.kind == ExprKind::Parameter(0) {
                part.kind = ExprKind::Symbol(own);
            }
        });
        Some((own, side))
    }

    /// `point (Q, H)`: to the right, and upward.
    fn place(&mut self, place: Span, names: &[Name; 2]) -> Option<Plot> {
        let [y, x] = self.axes_or_report(place)?;
        let mut side = |name: &Name, axis: &syntax::Side| {
            let kind = self.name(name)?;
            let ask = self.side_ask(axis)?;
            let expr = Expr {
                span: name.span,
                kind,
            };
            let ask = Ask {
                span: name.span,
                ..ask
            };
            Some(Side {
                expr,
                ask,
                times: axis.times,
            })
        };
        let (right, up) = (side(&names[0], &x), side(&names[1], &y));
        Some(Plot::Place(Box::new([up?, right?])))
    }

    /// Whether a side is what the level axis of the plot counts.
    fn is_across(&self, side: &syntax::Side) -> bool {
        let text = |side: &syntax::Side| words(side.ask.span.of(self.text));
        (self.plot_axes.as_ref()).is_some_and(|[_, across]| text(across) == text(side))
    }

    pub(super) fn side(&mut self, side: &syntax::Side) -> Option<Side> {
        let (expr, ask) = (self.expr(&side.formula), self.side_ask(side));
        Some(Side {
            expr: expr?,
            ask: ask?,
            times: side.times,
        })
    }

    /// The unit of a side; one without a unit counts plain numbers.
    fn side_ask(&mut self, side: &syntax::Side) -> Option<Ask> {
        if side.times.is_some() {
            return Some(Ask {
                span: side.ask.span,
                unit: Some(Unit::second()),
                ..Ask::default()
            });
        }
        let before = self.diagnostics.len();
        let found = self.ask(&side.ask);
        if let (None, Some(unit)) = (&found, &side.ask.unit) {
            let is_unknown = |found: &Diagnostic| found.code == Code::Q01;
            if self.diagnostics.get(before).is_some_and(is_unknown) {
                self.diagnostics.truncate(before);
                let word = unit.span.of(self.text);
                self.diagnostics.push(*syntax::no_unit(unit.span, word));
            }
        }
        let ask = found?;
        Some(Ask {
            unit: Some(ask.unit.clone().unwrap_or_else(Unit::one)),
            ..ask
        })
    }

    pub(super) fn axes_or_report(&mut self, place: Span) -> Option<[syntax::Side; 2]> {
        if self.plot_axes.is_none() {
            self.diagnostics.push(
                Diagnostic::error(Code::X05, place, "the plot has no series, and so no axes")
                    .with_help("a line such as `p / kPa against Q / (L/s) from 0 to 40`"),
            );
        }
        self.plot_axes.clone()
    }

    /// Whether a side counts in the unit of its axis.
    fn counts_as(&mut self, side: &syntax::Side, axis: usize, place: Span) -> Option<()> {
        let axes = self.axes_or_report(place)?;
        let unit = |side: &syntax::Side| {
            let place = |unit: &syntax::UnitExpr| unit.span;
            let unit = side
                .ask
                .unit
                .as_ref()
                .map_or("1", |unit| place(unit).of(self.text));
            (words(unit), side.ask.datum, side.times)
        };
        if unit(side) == unit(&axes[axis]) {
            return Some(());
        }
        let written = |side: &syntax::Side| match &side.ask.unit {
            None if side.times.is_some() => {
                format!("`{}`", side.times.map_or("", Pattern::text))
            }
            Some(unit) => format!("`{}`", unit.span.of(self.text)),
            None => "plain numbers".to_owned(),
        };
        let message = format!(
            "the axis counts {}, and `{}` is to be in {}",
            written(&axes[axis]),
            side.formula.span.of(self.text),
            written(side),
        );
        self.diagnostics.push(
            Diagnostic::error(Code::X01, side.ask.span, message)
                .with_help("one unit for all series of an axis, or a plot of its own"),
        );
        None
    }

    /// Which axis counts this: 0 upward, 1 to the right.
    fn axis_of(&mut self, side: &syntax::Side) -> Option<usize> {
        let axes = self.axes_or_report(side.ask.span)?;
        let text = |side: &syntax::Side| words(side.ask.span.of(self.text));
        let found = axes.iter().position(|axis| text(axis) == text(side));
        if found.is_none() {
            let known: Vec<String> = (axes.iter())
                .map(|axis| format!("`axis {}`", axis.ask.span.of(self.text)))
                .collect();
            let message = format!("no axis counts `{}`", side.ask.span.of(self.text));
            self.diagnostics.push(
                Diagnostic::error(Code::X01, side.ask.span, message).with_help(known.join(" or ")),
            );
        }
        found
    }
}

/// The words and signs of a text, however its blanks are set.
pub(super) fn words(text: &str) -> Vec<&str> {
    tokens(text).map(|token| token.text).collect()
}
