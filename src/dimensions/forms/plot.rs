//! The lines of a plot: each quantity is of the dimension of its unit.

use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::infer::{Inference, quantity_type};
use crate::dimensions::{Form, Type, describe};
use crate::resolve::statement::{Plot, PlotSide};
use crate::tables::Pattern;

impl Inference<'_> {
    pub(super) fn plot(&mut self, plot: &Plot) -> Option<Type> {
        if let Plot::Curve {
            x, by, is_given, ..
        } = plot
            && !is_given
        {
            let found = quantity_type(&x.one_unit());
            self.types.insert(*by, found);
        }
        if let Plot::Place(sides) = plot {
            self.point(sides)?;
        }
        let found: Vec<Option<()>> = plot.sides().iter().map(|side| self.side(side)).collect();
        found.into_iter().collect::<Option<Vec<()>>>()?;
        Some(Type::plain(Form::default()))
    }

    /// A point has first what counts to the right.
    fn point(&mut self, [up, right]: &[PlotSide; 2]) -> Option<()> {
        if right.times.is_some() || up.times.is_some() {
            return Some(());
        }
        let (of_right, of_up) = (self.infer(&right.expr)?, self.infer(&up.expr)?);
        let [along, upward] = [right, up].map(|side| Form::known(side.unit().dimension()));
        if self.same(&of_right.form, &along) && self.same(&of_up.form, &upward) {
            return Some(());
        }
        let (first, second) = (self.written(&right.expr), self.written(&up.expr));
        let is_turned = self.same(&of_right.form, &upward) && self.same(&of_up.form, &along);
        let is_first = !self.same(&of_right.form, &along);
        let (side, found, way) = match is_first {
            true => (right, &of_right, "to the right"),
            false => (up, &of_up, "upward"),
        };
        let what = self.what(&side.expr, &found.form);
        let counted = match side.unit().source() {
            "" => "a plain number".to_owned(),
            source => format!("`{source}`"),
        };
        let message = format!(
            "`{}` is {what}, and {way} the plot counts {counted}",
            self.written(&side.expr)
        );
        let help = match is_turned {
            true => format!("`point ({second}, {first})`: first what counts to the right"),
            false => "two results, the first of the dimension that counts to the right".to_owned(),
        };
        self.diagnostics
            .push(Diagnostic::error(Code::D03, side.ask.span, message).with_help(help));
        None
    }

    /// A side that counts times as a pattern writes them.
    fn times(&mut self, side: &PlotSide, found: Type, pattern: Pattern) -> Option<()> {
        let is_time = self.same(&found.form, &Form::known(side.unit().dimension()));
        let clock = found.reading.clock();
        let is_so = match pattern.clock(false) {
            None => clock.is_none(),
            Some(wanted) => clock.is_some_and(|clock| clock.has_date == wanted.has_date),
        };
        if is_time && is_so {
            self.notes.sides.insert(side.ask.span, found);
            return Some(());
        }
        let what = match clock.filter(|_| is_time) {
            Some(clock) => format!("a {}", clock.noun()),
            None => self.what(&side.expr, &found.form),
        };
        let message = format!(
            "`{}` is {what}, and `{}` is how a {} is written",
            self.written(&side.expr),
            pattern.text(),
            pattern.noun(),
        );
        let help = match clock.filter(|_| is_time) {
            Some(clock) if clock.has_date => "`/ YYYY-MM-DD`, or another pattern with a date",
            Some(_) => "`/ hh:mm` or `/ hh:mm:ss`",
            None if is_time => "`/ mm:ss`, or a unit of time",
            None => "a unit of its dimension after the slash",
        };
        let code = if is_time { Code::R04 } else { Code::D03 };
        self.diagnostics
            .push(Diagnostic::error(code, side.ask.span, message).with_help(help));
        None
    }

    fn side(&mut self, side: &PlotSide) -> Option<()> {
        let (expr, unit) = (&side.expr, side.unit());
        let found = self.infer(expr)?;
        if let Some(pattern) = side.times {
            return self.times(side, found, pattern);
        }
        if side.ask.unit.is_none() {
            self.notes.sides.insert(side.ask.span, found);
            return Some(());
        }
        if !self.same(&found.form, &Form::known(unit.dimension())) {
            let subject = self.written(expr);
            let what = self.what(expr, &found.form);
            let counted = match unit.source() {
                "" => "no unit is written".to_owned(),
                source => format!(
                    "`{source}` is a unit of {}",
                    describe::dimension(unit.dimension())
                ),
            };
            let dimension = self.settled(&found.form).dimension();
            let help = match dimension {
                Some(dimension) if !dimension.is_none() => {
                    let symbol = dimension.symbol().replace('·', " ");
                    let is_long = symbol.contains(['/', ' ']);
                    let symbol = if is_long {
                        format!("({symbol})")
                    } else {
                        symbol
                    };
                    format!("`{subject} / {symbol}`")
                }
                Some(_) => format!("`{subject}` alone"),
                None => "a unit of its dimension after a slash".to_owned(),
            };
            self.diagnostics.push(
                Diagnostic::error(
                    Code::D03,
                    side.ask.span,
                    format!("`{subject}` is {what}, but {counted}"),
                )
                .with_help(help),
            );
            return None;
        }
        if let Some(clock) = found.reading.clock() {
            let subject = self.written(expr);
            let pattern = if clock.has_date {
                "YYYY-MM-DD hh:mm"
            } else {
                "hh:mm"
            };
            self.diagnostics.push(
                Diagnostic::error(
                    Code::R04,
                    side.ask.span,
                    format!("`{subject}` is a point of time, which is no number of a unit"),
                )
                .with_help(format!(
                    "`{subject} / {pattern}`; for an interval a difference, such as \
                     `({subject} - first({subject})) / min`"
                )),
            );
            return None;
        }
        let found = self.restated(expr, found, &side.ask, None)?;
        self.ask_turning(expr, expr, &found, &side.ask)?;
        self.notes.sides.insert(side.ask.span, found);
        Some(())
    }
}
