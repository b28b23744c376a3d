//! The lines of a plot: each quantity is of the dimension of its unit.

use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::infer::{Inference, quantity_type};
use crate::dimensions::{Form, Type, describe};
use crate::resolve::statement::{Plot, PlotSide};

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
        let found: Vec<Option<()>> = plot.sides().iter().map(|side| self.side(side)).collect();
        found.into_iter().collect::<Option<Vec<()>>>()?;
        Some(Type::plain(Form::default()))
    }

    fn side(&mut self, side: &PlotSide) -> Option<()> {
        let (expr, unit) = (&side.expr, side.unit());
        let found = self.infer(expr)?;
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
                None => "a unit of its dimension behind a slash".to_owned(),
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
        let found = self.restated(expr, found, &side.ask, None)?;
        self.ask_turning(expr, expr, &found, &side.ask)?;
        self.notes.sides.insert(side.ask.span, found);
        Some(())
    }
}
