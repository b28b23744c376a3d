//! The check of every statement, from top to bottom.

use rustc_hash::{FxHashMap, FxHashSet};

use super::exponents;
use super::infer::{self, Inference};
use super::turning;
use super::{Counts, Datum, Energy, Form, Reading, Type, functions, reading};
use crate::diagnostic::{Code, Diagnostic};
use crate::functions::Function;
use crate::quantity::{Exponent, Unit};
use crate::resolve::statement::{Column, Condition, Origin};
use crate::resolve::{
    BySymbol, Elsewhere, Expr, ExprKind, Inline, Resolved, Statement, SymbolId, Theirs,
};
use crate::syntax;
use crate::text::Span;

/// What the check found.
#[derive(Debug, Default)]
pub struct Checked {
    /// The type of each symbol that has one.
    pub symbols: BySymbol<Type>,
    /// Asked names that are shown from the other datum, by their place: the function does it.
    pub shifted: FxHashMap<Span, Function>,
    /// What the quantities of plots are, by the places of their units.
    pub sides: FxHashMap<Span, Type>,
    /// The units in which the author has symbols.
    pub units: FxHashMap<SymbolId, Unit>,
    /// For each statement of each block the type of its value; `None` where it is refused.
    pub statements: Vec<Vec<Option<Type>>>,
    /// The same for each inline ask.
    pub inlines: Vec<Option<Type>>,
    /// The power of 2π that the value of a name is multiplied by where its line asks turns in
    /// radians, or the other way.
    pub converted: FxHashMap<SymbolId, Exponent>,
    /// The places of turns that are taken in radians, since an angular velocity is compared.
    pub in_radians: FxHashSet<Span>,
}

impl Checked {
    /// What the formula of a name is multiplied by where its line asks turns in radians, or back.
    pub fn turns(&self, symbol: SymbolId) -> f64 {
        turning::times_two_pi(self.turning_power(symbol))
    }

    /// The power of 2π that this is.
    pub fn turning_power(&self, symbol: SymbolId) -> Exponent {
        let power = self.converted.get(&symbol).copied();
        power.unwrap_or_else(|| Exponent::from_integer(0))
    }

    /// Whether a statement may be evaluated.
    pub fn is_sound(&self, origin: Origin) -> bool {
        let types = self.statements.get(origin.block);
        types.is_some_and(|types| matches!(types.get(origin.statement), Some(Some(_))))
    }
}

/// What a symbol of another problem is, and its unit.
pub type TypesElsewhere<'t> = dyn Fn(usize, SymbolId) -> Option<(Type, Option<Unit>)> + 't;

/// Checks all statements, then the inline asks.
///
/// `elsewhere` tells what symbols of other worksheets are, and their units.
pub fn check<'a>(
    text: &'a str,
    resolved: &'a Resolved,
    elsewhere: &TypesElsewhere<'_>,
) -> (Checked, Vec<Diagnostic>) {
    let mut inference = Inference::new(text, &resolved.symbols);
    for (symbol, own) in &resolved.elsewhere {
        inference.seed_elsewhere(*symbol, own, elsewhere);
    }
    for (_, function, body) in &resolved.copied_functions {
        inference.bodies.insert(*function, body);
    }
    inference.statements = &resolved.blocks;
    let symbols = (0..resolved.symbols.len() as u32).map(SymbolId);
    inference.know_atmospheres(
        symbols.filter(|id| &*resolved.symbols.symbol(*id).key == syntax::ATMOSPHERE),
    );
    let statements = || resolved.blocks.iter().flatten();
    statements().for_each(|statement| inference.know_sketched(statement));
    statements().for_each(|statement| inference.seed(statement));
    let mut checked = Checked::default();
    for at in 0..resolved.blocks.len() {
        let types = inference.block(resolved, &checked.statements, at);
        checked.statements.push(types);
    }
    inference.here = None;
    for inline in &resolved.inlines {
        let of = inline.as_ref().and_then(|inline| inference.inline(inline));
        checked.inlines.push(of);
    }
    checked.symbols = std::mem::take(&mut inference.types);
    for found in checked.symbols.iter_mut() {
        found.form = inference.settled(&found.form);
    }
    // What lines below it made known counts for what is printed of it.
    for found in checked.statements.iter_mut().flatten().flatten() {
        found.form = inference.settled(&found.form);
    }
    checked.converted = std::mem::take(&mut inference.notes.converted);
    checked.shifted = std::mem::take(&mut inference.notes.shifted);
    checked.in_radians = std::mem::take(&mut inference.notes.in_radians);
    checked.units = std::mem::take(&mut inference.notes.units);
    checked.sides = std::mem::take(&mut inference.notes.sides);
    (checked, inference.diagnostics)
}

impl<'a> Inference<'a> {
    /// The types of the statements of a block; those of the blocks above it are in `above`.
    pub(super) fn block(
        &mut self,
        resolved: &'a Resolved,
        above: &[Vec<Option<Type>>],
        at: usize,
    ) -> Vec<Option<Type>> {
        let block = resolved.blocks.get(at).map_or(&[][..], Vec::as_slice);
        let mut types: Vec<Option<Type>> = Vec::with_capacity(block.len());
        for statement in block {
            self.here = Some(statement.span);
            // A formula that is refused where it stands is not reported again where it is used.
            let refused = statement.facts().origins.iter().any(|origin| {
                let earlier = match origin.block == at {
                    true => &types,
                    false => above.get(origin.block).unwrap_or(&types),
                };
                matches!(earlier.get(origin.statement), Some(None))
            });
            types.push(if refused {
                None
            } else {
                let found = self.statement(statement);
                found.filter(|found| self.atmosphere(resolved, statement, found))
            });
        }
        types
    }

    /// What a value of another worksheet is.
    fn seed_elsewhere(
        &mut self,
        symbol: SymbolId,
        own: &Elsewhere,
        elsewhere: &TypesElsewhere<'_>,
    ) {
        let (theirs, at) = match &own.what {
            Theirs::Symbol(theirs) | Theirs::Rows(theirs, _) | Theirs::WhatIf(theirs, _) => {
                (*theirs, own.at)
            }
            Theirs::Quantity(expr) => {
                if let ExprKind::Quantity(quantity) = &expr.kind {
                    self.types.insert(symbol, infer::quantity_type(quantity));
                }
                return;
            }
        };
        if let Some((found, unit)) = elsewhere(at, theirs) {
            // What is open there is open here by itself.
            if found.form.dimension().is_some() {
                self.types.insert(symbol, found);
            }
            if let Some(unit) = unit {
                self.remember_unit(symbol, &unit);
            }
        }
    }

    /// What literals and asks of `required` say before anything is checked, so that a formula
    /// that stands above its data is checked against them.
    pub(super) fn seed(&mut self, statement: &'a Statement) {
        let facts = statement.facts();
        if let Some((symbol, value)) = facts.datum() {
            match &value.kind {
                ExprKind::Quantity(quantity) => {
                    self.remember_values(symbol, value);
                    let found = self.as_atmosphere(symbol, infer::quantity_type(quantity));
                    let found = self.read_by_its_sketch(symbol, found);
                    self.types.insert(symbol, found);
                    self.remember_literal(symbol);
                    self.remember_unit(symbol, &quantity.unit);
                    if quantity.unit.text().is_empty()
                        && let Some(exact) = exponents::decimal(quantity.number.of(self.text))
                    {
                        self.remember_exact(symbol, exact);
                    }
                    if quantity.sizes.is_empty() && quantity.datum.is_none() {
                        self.notes.numbers.insert(symbol, value.span);
                    }
                }
                ExprKind::Number(_) => {
                    self.remember_values(symbol, value);
                    self.notes.numbers.insert(symbol, value.span);
                    self.types.insert(symbol, Type::plain(Form::default()));
                    if let Some(exact) = self.exact_value(value) {
                        self.remember_exact(symbol, exact);
                    }
                }
                _ => {}
            }
        }
        for column in facts.columns {
            if let Column::Readings(column) = column
                && let Some(quantity) = column.quantity()
            {
                self.remember_values(column.symbol, &column.value);
                let found = infer::quantity_type(quantity);
                self.types.insert(column.symbol, found);
                self.remember_unit(column.symbol, &quantity.unit);
            }
        }
        let Some((symbol, ask)) = facts.required else {
            return;
        };
        self.notes.wanted.insert(symbol, ask.clone());
        if let Some(unit) = &ask.unit {
            self.types.insert(
                symbol,
                Type {
                    form: Form::known(unit.dimension()),
                    reading: Reading::Unknown,
                    counts: Counts::Unknown,
                    energy: Energy::of_unit(unit),
                },
            );
            self.remember_unit(symbol, unit);
        }
    }

    pub(super) fn inline(&mut self, inline: &Inline) -> Option<Type> {
        let found = self.infer(&inline.expr)?;
        self.conditions(&inline.conditions)?;
        let (expr, filled) = (&inline.expr, inline.filled.as_ref());
        let found = self.restated(expr, found, &inline.ask, filled)?;
        self.ask_turning(expr, expr, &found, &inline.ask)?;
        self.literal_turning(expr, expr, &found, filled)?;
        Some(found)
    }

    /// Whether the definition of `p_atm`, from which gauge pressures count, is a pressure that
    /// does not count from the atmosphere itself. Any other definition is sound.
    fn atmosphere(&mut self, resolved: &Resolved, statement: &Statement, found: &Type) -> bool {
        let Some(symbol) = statement.defines else {
            return true;
        };
        if &*resolved.symbols.symbol(symbol).key != syntax::ATMOSPHERE {
            return true;
        }
        let help = "the pressure of the day, such as `p_atm = 101.3 kPa`";
        let diagnostic = if !self.same(&found.form, &infer::pressure()) {
            Diagnostic::error(
                Code::D03,
                statement.span,
                "`p_atm` is the pressure of the atmosphere, and this is not a pressure",
            )
        } else if matches!(found.reading, Reading::Pressure(Datum::Gauge, _)) {
            Diagnostic::error(
                Code::R01,
                statement.span,
                "`p_atm` is what gauge pressures count from, and cannot be one itself",
            )
        } else {
            return true;
        };
        self.diagnostics.push(diagnostic.with_help(help));
        false
    }

    /// Sides of an equation: one dimension, one datum. The type is that of the first with a
    /// known reading.
    pub(super) fn members(&mut self, members: &[Expr]) -> Option<Type> {
        let types: Vec<Option<Type>> = members.iter().map(|member| self.infer(member)).collect();
        let types: Vec<Type> = types.into_iter().collect::<Option<_>>()?;
        let exprs: Vec<&Expr> = members.iter().collect();
        let form = self.one_dimension(&exprs, &types, Code::D02, "be equal")?;
        self.comparable(&exprs, &types)?;
        self.one_shape(&exprs, "be equal")?;
        let counts = self.together(&exprs, &types)?;
        self.names(&exprs, &types)?;
        let reading = Reading::joined(types.iter().map(|part| part.reading));
        Some(Type {
            form,
            reading,
            counts,
            energy: Energy::joined(&types),
        })
    }

    /// Gives a symbol the type of its definition, which must fit what equations above said.
    pub(super) fn settle_definition(
        &mut self,
        symbol: SymbolId,
        value: &Expr,
        found: Type,
    ) -> Option<Type> {
        let before = self.symbol(symbol);
        if self.read_as_sketched(symbol, value, &found).is_none() {
            // What is read of it below is read as the sketch has it; the clash is reported once.
            let found = self.read_by_its_sketch(symbol, found);
            self.types.insert(symbol, found);
            return None;
        }
        let found = self.as_sketched(symbol, found);
        if !self.same(&before.form, &found.form) {
            let message = format!(
                "`{}` is {}, but what stands above makes it {}",
                self.written(value),
                self.what(value, &found.form),
                self.settled(&before.form)
                    .dimension()
                    .map_or_else(|| "something else".to_owned(), super::describe::dimension),
            );
            self.diagnostics.push(
                Diagnostic::error(Code::D02, value.span, message)
                    .with_help("the formula, or the equation above that uses the name, put right"),
            );
            // The definition counts from here on; the clash is reported once.
            self.types.insert(symbol, found);
            return None;
        }
        let settled = Type {
            form: self.settled(&found.form),
            reading: found.reading,
            counts: found.counts.named(&found.form),
            energy: found.energy,
        };
        self.remember_values(symbol, value);
        if let Some(same) = value.inside().as_symbol() {
            self.notes.same_as.insert(symbol, same);
        }
        self.types.insert(symbol, settled.clone());
        Some(settled)
    }

    pub(super) fn conditions(&mut self, conditions: &[Condition]) -> Option<()> {
        let mut sound = true;
        for condition in conditions {
            let Some(found) = self.infer(&condition.value) else {
                sound = false;
                continue;
            };
            let symbol = self.symbol(condition.symbol);
            let condition_fits = self.condition_fits(condition, &symbol, &found).is_some();
            sound &= condition_fits;
            if !condition_fits {
                continue;
            }
            let is_zero = infer::is_zero(&condition.value) && symbol.reading == Reading::Plain;
            if !is_zero && !self.same(&symbol.form, &found.form) {
                let message = format!(
                    "`{}` is {}, but the given is {}",
                    self.written(&condition.value),
                    self.what(&condition.value, &found.form),
                    symbol
                        .form
                        .dimension()
                        .map_or_else(|| "something else".to_owned(), super::describe::dimension),
                );
                self.diagnostics.push(
                    Diagnostic::error(Code::D03, condition.value.span, message)
                        .with_help("a value with the unit of the given"),
                );
                sound = false;
            } else {
                sound &= self.replaces(condition, &symbol, found).is_some();
            }
        }
        sound.then_some(())
    }
}

impl Inference<'_> {
    /// A value that replaces a given counts the same, where turns are taken in radians as where
    /// the two are compared.
    fn replaces(&mut self, condition: &Condition, given: &Type, found: Type) -> Option<()> {
        let lead = Expr {
            span: condition.span,
            kind: ExprKind::Symbol(condition.symbol),
        };
        let value = &condition.value;
        let found = self.taken_as((&lead, given), (value, found));
        self.counts_as(condition.symbol, value, &found)
    }

    /// A replaced given keeps its datum: another word, or an interval for a point, is another
    /// quantity.
    fn condition_fits(&mut self, condition: &Condition, given: &Type, found: &Type) -> Option<()> {
        if !self.same(&given.form, &found.form) {
            // The dimension is at fault, which is said elsewhere.
            return Some(());
        }
        let lead = Expr {
            span: condition.span,
            kind: ExprKind::Symbol(condition.symbol),
        };
        let types = [given.clone(), found.clone()];
        let parts = self.terms(
            [false, true].into_iter(),
            &[&lead, &condition.value],
            &types,
        );
        let code = match reading::sum(&parts) {
            Ok(difference) if !functions::is_point_beside_interval(difference) => return Some(()),
            Ok(_) => Code::R04,
            Err(fault) => fault.code(),
        };
        let key = &self.symbols.symbol(condition.symbol).key;
        let message = format!(
            "`{}` does not count from the same as `{key}` where it is given",
            self.written(&condition.value)
        );
        let place = condition.value.span;
        let diagnostic = Diagnostic::error(code, place, message).with_help(format!(
            "`{key}` with the word or the scale with which it is given"
        ));
        let defined = self.symbols.symbol(condition.symbol).defined;
        self.diagnostics.push(match defined {
            Some(defined) => diagnostic.with_note("it is given here", defined),
            None => diagnostic,
        });
        None
    }
}
