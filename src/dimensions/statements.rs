//! The check of every statement, from top to bottom.

use rustc_hash::FxHashMap;

use super::exponents;
use super::infer::{self, Inference};
use super::reading::is_near;
use super::{Datum, Form, Reading, Turn, Type};
use crate::diagnostic::{Code, Diagnostic};
use crate::quantity::{Dimension, Mark};
use crate::resolve::statement::{Ask, Check, Condition, Literal, Origin, Solved, Tail, Work};
use crate::resolve::{Expr, ExprKind, Inline, Kind, Resolved, Statement, SymbolId};
use crate::syntax;

/// What the check found.
#[derive(Debug, Default)]
pub struct Checked {
    /// The type of each symbol that has one.
    pub symbols: FxHashMap<SymbolId, Type>,
    /// For each statement of each block the type of its value; `None` where it is refused.
    pub statements: Vec<Vec<Option<Type>>>,
    /// The same for each inline ask.
    pub inlines: Vec<Option<Type>>,
}

impl Checked {
    /// Whether a statement may be evaluated.
    pub fn is_sound(&self, origin: Origin) -> bool {
        let types = self.statements.get(origin.block);
        types.is_some_and(|types| matches!(types.get(origin.statement), Some(Some(_))))
    }
}

/// Checks all statements, then the inline asks.
pub fn check<'a>(text: &'a str, resolved: &'a Resolved) -> (Checked, Vec<Diagnostic>) {
    let mut inference = Inference::new(text, &resolved.symbols);
    let symbols = (0..resolved.symbols.len() as u32).map(SymbolId);
    inference.know_atmospheres(symbols.filter(|id| &*resolved.symbols.symbol(*id).key == "p_atm"));
    (resolved.blocks.iter().flatten()).for_each(|statement| inference.seed(statement));
    let mut checked = Checked::default();
    for at in 0..resolved.blocks.len() {
        let types = inference.block(resolved, &checked.statements, at);
        checked.statements.push(types);
    }
    for inline in &resolved.inlines {
        let of = inline.as_ref().and_then(|inline| inference.inline(inline));
        checked.inlines.push(of);
    }
    checked.symbols = inference
        .types
        .iter()
        .map(|(symbol, found)| {
            let form = inference.settled(&found.form);
            (
                *symbol,
                Type {
                    form,
                    reading: found.reading,
                },
            )
        })
        .collect();
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
            // A formula that is refused where it stands is not reported again where it is used.
            let kind = statement.kind.as_ref();
            let refused = kind.map_or(&[][..], Kind::origins).iter().any(|origin| {
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

    /// What literals and asks of `required` say before anything is checked, so that a formula
    /// that stands above its data is checked against them.
    pub(super) fn seed(&mut self, statement: &'a Statement) {
        match &statement.kind {
            Some(Kind::Given { symbol, value }) => {
                let symbol = *symbol;
                match &value.kind {
                    ExprKind::Quantity(quantity) => {
                        let found = self.as_atmosphere(symbol, infer::quantity_type(quantity));
                        self.types.insert(symbol, found);
                        self.remember_literal(symbol);
                        self.remember_unit(symbol, &quantity.unit);
                        if quantity.unit.text().is_empty()
                            && let Some(exact) = exponents::decimal(quantity.number.of(self.text))
                        {
                            self.remember_exact(symbol, exact);
                        }
                        if quantity.uncertainty.is_none() && quantity.datum.is_none() {
                            self.notes.numbers.insert(symbol, value.span);
                        }
                    }
                    ExprKind::Number(_) => {
                        self.notes.numbers.insert(symbol, value.span);
                        self.types.insert(symbol, Type::plain(Form::default()));
                        if let Some(exact) = self.exact_value(value) {
                            self.remember_exact(symbol, exact);
                        }
                    }
                    _ => {}
                }
            }
            Some(Kind::Required(required)) => {
                if let Some(unit) = &required.ask.unit {
                    self.types.insert(
                        required.symbol,
                        Type {
                            form: Form::known(unit.dimension()),
                            reading: Reading::Unknown,
                        },
                    );
                    self.remember_unit(required.symbol, unit);
                }
            }
            _ => {}
        }
    }

    /// The type of a statement's value; `None` after a diagnostic was recorded.
    fn statement(&mut self, statement: &'a Statement) -> Option<Type> {
        match statement.kind.as_ref()? {
            Kind::Given { symbol, value } => {
                let found = self.infer(value)?;
                let found = self.as_atmosphere(*symbol, found);
                self.settle_definition(*symbol, value, found)
            }
            Kind::Required(required) => Some(self.symbol(required.symbol)),
            Kind::Equation { members } | Kind::Therefore { members } => self.members(members),
            Kind::Component(component) => self.members(&component.members),
            Kind::Solved(solved) => self.solved(solved),
            Kind::Dimensions { .. } => Some(Type::plain(Form::default())),
            Kind::Root(root) => self.root_of(root),
            Kind::System(system) => self.system(system),
            Kind::Trend(trend) => self.trend(trend),
            Kind::Limit(limit) => self.limit(limit),
            Kind::Sensitivity { subject, .. } => {
                let found = self.infer(subject)?;
                self.number(subject, "the subject of a table")?;
                Some(found)
            }
            Kind::Function { function, body } => {
                self.bodies.insert(*function, body);
                self.infer(body)
            }
            Kind::Work(work) => self.work(statement, work),
            Kind::Check(check) => self.check(check),
            Kind::Answer(answer) => {
                let found = self.infer(&answer.expr)?;
                self.ask(&answer.expr, &found, &answer.ask)?;
                self.literal(&answer.expr, &found, answer.filled.as_ref())?;
                Some(found)
            }
        }
    }

    pub(super) fn inline(&mut self, inline: &Inline) -> Option<Type> {
        let found = self.infer(&inline.expr)?;
        self.conditions(&inline.conditions)?;
        self.ask(&inline.expr, &found, &inline.ask)?;
        self.literal(&inline.expr, &found, inline.filled.as_ref())?;
        Some(found)
    }

    /// Whether the definition of `p_atm`, from which gauge pressures count, is a pressure that
    /// does not count from the atmosphere itself. Any other definition is sound.
    fn atmosphere(&mut self, resolved: &Resolved, statement: &Statement, found: &Type) -> bool {
        let Some(symbol) = statement.defines else {
            return true;
        };
        if &*resolved.symbols.symbol(symbol).key != "p_atm" {
            return true;
        }
        let help = "the pressure of the day, such as `p_atm = 101.3 kPa`";
        let diagnostic = if !self.same(&found.form, &infer::pressure()) {
            Diagnostic::error(
                Code::D03,
                statement.span,
                "`p_atm` is the pressure of the atmosphere, and this is not a pressure",
            )
        } else if matches!(
            found.reading,
            Reading::Pressure {
                datum: Datum::Gauge,
                ..
            }
        ) {
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

    /// What the engine found is of the dimension of the unknown.
    fn solved(&mut self, solved: &Solved) -> Option<Type> {
        let mut found = None;
        for branch in &solved.branches {
            for (symbol, formula) in solved.unknowns.iter().zip(&branch.formulas) {
                let lead = Expr {
                    span: formula.span,
                    kind: ExprKind::Symbol(*symbol),
                };
                found = Some(self.members(&[lead, formula.clone()])?);
            }
        }
        found
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
        let reading = types
            .iter()
            .map(|part| part.reading)
            .find(|reading| *reading != Reading::Unknown)
            .unwrap_or(Reading::Unknown);
        Some(Type { form, reading })
    }

    fn work(&mut self, statement: &Statement, work: &Work) -> Option<Type> {
        let members = &work.members;
        let found = match (statement.defines, members.as_slice()) {
            (Some(symbol), [first, ..]) => {
                let found = self.members(members)?;
                self.settle_definition(symbol, first, found)?
            }
            _ => {
                let mut all = vec![work.lead.clone()];
                all.extend_from_slice(members);
                self.members(&all)?
            }
        };
        self.conditions(&work.conditions)?;
        if self.tail(&work.lead, &found, &work.tail).is_none() {
            self.note_plain_datum(members);
            return None;
        }
        if let (Some(symbol), Some(unit)) = (statement.defines, work.tail.unit()) {
            self.remember_unit(symbol, unit);
        }
        Some(found)
    }

    /// A datum without a unit among the factors of a formula that is no quantity of the unit asked.
    fn note_plain_datum(&mut self, members: &[Expr]) {
        if let Some(last) = self.diagnostics.pop() {
            let members: Vec<&Expr> = members.iter().collect();
            let noted = match last.code {
                Code::D03 => self.with_plain_datum(last, &members),
                _ => last,
            };
            self.diagnostics.push(noted);
        }
    }

    /// Whether a value may be shown as the end of its line asks or claims.
    pub(super) fn tail(&mut self, lead: &Expr, found: &Type, tail: &Tail) -> Option<()> {
        match tail {
            Tail::None => self.ask(lead, found, &Ask::default()),
            Tail::Ask(ask) => self.ask(lead, found, ask),
            Tail::Filled(literal, ask) => {
                self.literal(lead, found, Some(literal))?;
                self.ask(lead, found, ask)
            }
            Tail::Claim(literal) => self.literal(lead, found, Some(literal)),
        }
    }

    /// Gives a symbol the type of its definition, which must fit what equations above said.
    fn settle_definition(&mut self, symbol: SymbolId, value: &Expr, found: Type) -> Option<Type> {
        let before = self.symbol(symbol);
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
        };
        self.types.insert(symbol, settled.clone());
        Some(settled)
    }

    fn conditions(&mut self, conditions: &[Condition]) -> Option<()> {
        let mut sound = true;
        for condition in conditions {
            let Some(found) = self.infer(&condition.value) else {
                sound = false;
                continue;
            };
            let symbol = self.symbol(condition.symbol);
            if !self.same(&symbol.form, &found.form) {
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
            }
        }
        sound.then_some(())
    }

    fn check(&mut self, check: &Check) -> Option<Type> {
        let members = &check.members;
        self.begin();
        let types = self.compared(members)?;
        for member in members {
            self.number(member, "a side of a check")?;
        }
        let form = types
            .iter()
            .zip(members)
            .find(|(_, member)| !infer::is_zero(member))
            .map_or_else(Form::default, |(part, _)| part.form.clone());
        if let Some(within) = &check.within {
            let tolerance = self.infer(within)?;
            let relative = is_relative(within);
            if !relative && !self.same(&tolerance.form, &form) {
                let message = format!(
                    "the tolerance `{}` is {}, but what is compared is {}",
                    self.written(within),
                    self.what(within, &tolerance.form),
                    self.settled(&form)
                        .dimension()
                        .map_or_else(|| "something else".to_owned(), super::describe::dimension),
                );
                self.diagnostics.push(
                    Diagnostic::error(Code::D03, within.span, message)
                        .with_help("`within 1 %`, or a tolerance of that dimension")
                        .with_choice(within.span, "1 %"),
                );
                return None;
            }
            if relative && members.last().is_some_and(infer::is_zero) {
                self.diagnostics.push(
                    Diagnostic::error(
                        Code::C02,
                        within.span,
                        "a relative tolerance about zero can never hold",
                    )
                    .with_help("an absolute tolerance, such as `within 0.5 kN`"),
                );
                return None;
            }
        }
        let reading = types.first().map_or(Reading::Plain, |part| part.reading);
        Some(Type { form, reading })
    }

    /// Whether a result may be shown as it is asked.
    fn ask(&mut self, expr: &Expr, found: &Type, ask: &Ask) -> Option<()> {
        let span = if ask.span.is_empty() {
            expr.span
        } else {
            ask.span
        };
        let subject = self.written(expr);
        if let Some(unit) = &ask.unit
            && !self.same(&found.form, &Form::known(unit.dimension()))
        {
            let what = self.what(expr, &found.form);
            let message = if unit.source().is_empty() {
                format!("`{subject}` is {what}, but no unit is written")
            } else {
                format!(
                    "`{subject}` is {what}, but `{}` is a unit of {}",
                    unit.source(),
                    super::describe::dimension(unit.dimension()),
                )
            };
            let dimension = self.settled(&found.form).dimension();
            let fix = dimension.filter(|_| ask.datum.is_none()).and_then(|it| {
                let symbol = wanted(it, span.of(self.text));
                self.asked_in(span, unit, if it.is_none() { "" } else { &symbol })
            });
            self.diagnostics.push(
                Diagnostic::error(Code::D03, span, message)
                    .with_help(match dimension {
                        Some(dimension) => {
                            format!("`= ? {}`", wanted(dimension, span.of(self.text)))
                        }
                        None => "a unit of its dimension".to_owned(),
                    })
                    .with_fixes(fix),
            );
            return None;
        }
        let mark = ask.unit.as_ref().map_or(Mark::None, |unit| unit.mark());
        let diagnostic = match found.reading {
            reading if reading.is_sum_of_points() => Some(points(&subject, span)),
            reading
                if reading.is_interval()
                    && mark == Mark::Point
                    && ask.datum != Some(syntax::Datum::Difference) =>
            {
                let fix = ask.unit.as_ref().filter(|_| ask.datum.is_none());
                let fix = fix.and_then(|unit| self.asked_in(span, unit, "K"));
                Some(interval(&subject, span).with_fixes(fix))
            }
            reading if reading.is_point() && ask.datum == Some(syntax::Datum::Difference) => {
                let fix = (mark == Mark::Point || mark == Mark::Interval)
                    .then(|| self.asked_as(span, "difference", ""));
                Some(point(&subject, span).with_fixes(fix.flatten()))
            }
            Reading::Pressure { weight, .. } if !is_near(weight, 1.0) && !is_near(weight, 0.0) => {
                Some(pressures(&subject, span))
            }
            Reading::Pressure { datum, .. } | Reading::Reckoned(datum)
                if clashes(datum, ask.datum) =>
            {
                let other = match datum {
                    Datum::Gauge => Datum::Absolute,
                    Datum::Absolute => Datum::Gauge,
                };
                let fix = self.asked_as(span, other.word(), datum.word());
                Some(other_datum(&subject, datum, span).with_fixes(fix))
            }
            Reading::Plain if mark == Mark::Revolutions => Some(revolutions(&subject, span)),
            Reading::Level => None,
            Reading::Unknown => None,
            _ if mark == Mark::Decibel => Some(decibels(&subject, span)),
            _ => None,
        };
        match diagnostic {
            Some(diagnostic) => {
                self.diagnostics.push(diagnostic);
                None
            }
            None => Some(()),
        }
    }

    /// A number that is compared with a result is checked as an ask in its unit.
    fn literal(&mut self, expr: &Expr, found: &Type, literal: Option<&Literal>) -> Option<()> {
        let Some(literal) = literal else {
            return Some(());
        };
        let ask = Ask {
            span: literal.span,
            unit: Some(literal.unit.clone()),
            datum: literal.datum,
            precision: None,
        };
        self.ask(expr, found, &ask)
    }
}

/// Whether a tolerance is a share of the right side: a literal in `%` or `‰`.
pub fn is_relative(within: &Expr) -> bool {
    matches!(&within.inside().kind, ExprKind::Quantity(quantity)
        if quantity.unit.dimension().is_none() && !quantity.unit.text().is_empty())
}

fn clashes(datum: Datum, asked: Option<syntax::Datum>) -> bool {
    matches!(
        (datum, asked),
        (Datum::Gauge, Some(syntax::Datum::Absolute))
            | (Datum::Absolute, Some(syntax::Datum::Gauge))
    )
}

/// The coherent unit as an author can type it.
fn plain_symbol(dimension: Dimension) -> String {
    dimension
        .symbol()
        .replace('·', " ")
        .replace('²', "^2")
        .replace('³', "^3")
        .replace('⁴', "^4")
}

/// The unit to ask in instead: who asks for a force in knots means kilonewtons.
fn wanted(dimension: Dimension, asked: &str) -> String {
    match plain_symbol(dimension) {
        force if force == "N" && is_in_kn(asked) => "kN".to_owned(),
        symbol => symbol,
    }
}

fn is_in_kn(asked: &str) -> bool {
    asked
        .strip_prefix('?')
        .is_some_and(|unit| unit.trim() == "kn")
}

fn points(subject: &str, span: crate::text::Span) -> Diagnostic {
    Diagnostic::error(
        Code::R03,
        span,
        format!("`{subject}` is neither a temperature nor an interval: it adds or scales temperature points"),
    )
    .with_help("a difference such as `T_2 - T_1`, or a mean such as `(T_1 + T_2)/2`")
}

fn interval(subject: &str, span: crate::text::Span) -> Diagnostic {
    Diagnostic::error(
        Code::R04,
        span,
        format!("`{subject}` is a temperature interval, not a point on a scale"),
    )
    .with_help(format!("`{subject} = ? K`"))
}

fn point(subject: &str, span: crate::text::Span) -> Diagnostic {
    Diagnostic::error(
        Code::R04,
        span,
        format!("`{subject}` is a point on a temperature scale, not an interval"),
    )
    .with_help(format!("`{subject} = ? degC`"))
}

fn pressures(subject: &str, span: crate::text::Span) -> Diagnostic {
    Diagnostic::error(
        Code::R03,
        span,
        format!("`{subject}` is no pressure reading: it adds or scales such readings"),
    )
    .with_help("a difference such as `p_2 - p_1`, or a mean such as `(p_1 + p_2)/2`")
}

fn other_datum(subject: &str, datum: Datum, span: crate::text::Span) -> Diagnostic {
    let (is, other, function) = match datum {
        Datum::Gauge => ("gauge", "absolute", "absolute"),
        Datum::Absolute => ("absolute", "gauge", "gauge"),
    };
    Diagnostic::error(
        Code::R01,
        span,
        format!("`{subject}` counts from {is} pressure, and {other} is asked"),
    )
    .with_help(format!("`{function}(…)`, with `p_atm` given"))
}

fn revolutions(subject: &str, span: crate::text::Span) -> Diagnostic {
    Diagnostic::error(
        Code::R05,
        span,
        format!(
            "`{subject}` does not say what it counts: radians would need `{subject}/(2 pi)` revolutions, turns are revolutions already"
        ),
    )
    .with_help(format!("`N = {subject}/(2 pi) = ? rpm` for an angular speed, or the data in rpm"))
}

fn decibels(subject: &str, span: crate::text::Span) -> Diagnostic {
    Diagnostic::error(
        Code::R07,
        span,
        format!(
            "`{subject}` is not a level: only `10 log10(…)`, `20 log10(…)` and their sums are in dB"
        ),
    )
    .with_help(format!("`10 log10({subject}) = ? dB`"))
}

/// What a rate counts, where the mark of a unit says so.
pub fn turn_of(mark: Mark) -> Option<Turn> {
    match mark {
        Mark::Revolutions => Some(Turn::Revolutions),
        Mark::Radians => Some(Turn::Radians),
        Mark::Cycles => Some(Turn::Cycles),
        _ => None,
    }
}
