//! A formula whose parameters are fitted.

use super::ask::Role;
use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::infer::Inference;
use crate::dimensions::{Counts, Energy, Form, Reading, Type};
use crate::quantity::Dimension;
use crate::resolve::Expr;
use crate::resolve::statement::{Fit, Parameter, Scatter, Weight};

impl<'a> Inference<'a> {
    /// The type of a residual. The dimension of a parameter is what it is asked in, else what the
    /// formula makes it.
    pub(super) fn fit(&mut self, fit: &'a Fit) -> Option<Type> {
        for parameter in &fit.parameters {
            self.seeded_by(parameter);
        }
        if self.members(&fit.sides).is_none() {
            // Which of the dimensions is wrong is not known.
            let symbols = fit.parameters.iter().map(|parameter| parameter.symbol);
            self.notes.open.extend(symbols);
            return None;
        }
        for parameter in &fit.parameters {
            let bounds = parameter.between.iter().flatten();
            let starts: Vec<&Expr> = parameter.near.iter().chain(bounds).collect();
            let (unit, word) = (parameter.ask.unit.as_ref(), parameter.ask.datum);
            let found = self.unknown_of(parameter.symbol, &starts, unit, word)?;
            if found.form.dimension().is_none() {
                self.report_open(parameter);
                return None;
            }
        }
        // Once more, now that it is known what the parameters count, and from what.
        let found = self.members(&fit.sides)?;
        for parameter in &fit.parameters {
            self.is_no_interval(&fit.sides, parameter.symbol, parameter.span)?;
        }
        if let Some(which) = &fit.which {
            self.which(which)?;
        }
        if let Weight::By(weight) = &fit.weight {
            let own = self.infer(weight)?;
            if self.same(&own.form, &found.form) && !self.same(&own.form, &Form::default()) {
                self.report_weight(weight);
                return None;
            }
        }
        Some(found)
    }

    /// The error of a further reading is a difference of readings.
    pub(super) fn scatter(&mut self, scatter: &'a Scatter) -> Option<Type> {
        let found = self.infer(&scatter.left)?;
        let is_temperature = found.form.dimension() == Some(Dimension::temperature());
        let found = Type {
            reading: if is_temperature {
                Reading::EITHER
            } else {
                Reading::Plain
            },
            ..found
        };
        self.types.insert(scatter.symbol, found.clone());
        if let Some(unit) = scatter.work.tail.unit() {
            self.remember_unit(scatter.symbol, unit);
        }
        let reading = self.tail(
            &scatter.work.lead,
            &found,
            &scatter.work.tail,
            Role::Defined,
        )?;
        Some(Type { reading, ..found })
    }

    /// What the ask of a parameter says of it before the formula is checked.
    fn seeded_by(&mut self, parameter: &Parameter) {
        if let Some(unit) = &parameter.ask.unit {
            let asked = Type {
                form: Form::known(unit.dimension()),
                reading: Reading::Unknown,
                counts: Counts::Unknown,
                energy: Energy::of_unit(unit),
            };
            self.types.insert(parameter.symbol, asked);
            self.remember_unit(parameter.symbol, unit);
        }
    }

    fn report_open(&mut self, parameter: &Parameter) {
        let name = parameter.span.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::D02,
                parameter.span,
                format!("the formula leaves the dimension of `{name}` open"),
            )
            .with_help(format!("the unit it is asked in: `{name} = ? mm`")),
        );
    }

    fn report_weight(&mut self, weight: &Expr) {
        let written = weight.span.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::F15,
                weight.span,
                format!("a weight multiplies the square of a residual: `{written}` looks like an uncertainty"),
            )
            .with_help(format!("`weighted by 1/{written}^2`")),
        );
    }
}
