//! The type of an expression, from the types of its parts.

use rustc_hash::{FxHashMap, FxHashSet};

use super::form::{Equations, Form};
use super::numbers::{Argument, Known};
use super::reading::{self, FactorPart, Fault, Part};
use super::{Counts, Datum, Energy, Reading, Type, energy};
use crate::diagnostic::{Code, Diagnostic};
use crate::functions::Function;
use crate::quantity::{Constant, Dimension, Exponent, Mark, Unit};
use crate::resolve::statement::{Ask, Origin};
use crate::resolve::{
    BySymbol, Expr, ExprKind, Factor, FunctionId, Quantity, Statement, SymbolId, Symbols, Term,
};
use crate::syntax::{self, Operator};
use crate::text::Span;

/// How many parts an expression may have once user functions are written out.
const WORK_LIMIT: usize = 20_000;

/// How deep user functions may call each other.
const CALL_LIMIT: usize = 40;

/// How many levels an expression may have once user functions are written out. One line has some
/// five for each bracket; later passes walk what passes here, on a stack that it fits.
const LEVEL_LIMIT: usize = 1_000;

/// The state of the inference.
pub(super) struct Inference<'a> {
    /// The statements of all blocks.
    pub statements: &'a [Vec<Statement>],
    pub text: &'a str,
    pub symbols: &'a Symbols,
    pub types: BySymbol<Type>,
    pub bodies: FxHashMap<FunctionId, &'a Expr>,
    pub diagnostics: Vec<Diagnostic>,
    pub notes: Notes,
    equations: Equations,
    /// Types of the arguments of the function that is being looked into.
    pub arguments: Vec<Vec<Argument>>,
    /// Where the line that is looked at stands; nothing for prose, which may read everything.
    pub here: Option<Span>,
    work: usize,
    /// How many levels the part that is being looked into is below the whole.
    level: usize,
}

/// What is known about symbols beside their types.
#[derive(Debug, Default)]
pub(super) struct Notes {
    /// Units the author gave a symbol in.
    pub units: FxHashMap<SymbolId, Unit>,
    /// The symbols whose value is a literal.
    pub literals: FxHashSet<SymbolId>,
    /// The symbols called `p_atm`.
    pub atmospheres: FxHashSet<SymbolId>,
    /// From what sketches read pressures, they and their balances, and the labels of the sketches.
    pub sketched: FxHashMap<SymbolId, (Datum, Box<str>)>,
    /// Where the values of `given` stand that end in their number or its unit.
    pub numbers: FxHashMap<SymbolId, Span>,
    /// What is known of the values of symbols.
    pub values: FxHashMap<SymbolId, Known>,
    /// How `required` asks for symbols.
    pub wanted: FxHashMap<SymbolId, Ask>,
    /// The symbols that are defined as nothing but another one.
    pub same_as: FxHashMap<SymbolId, SymbolId>,
    /// Asked names that are shown from the other datum, by their place: the function does it.
    pub shifted: FxHashMap<Span, Function>,
    /// What the quantities of plots are, by the places of their units.
    pub sides: FxHashMap<Span, Type>,
    /// The power of 2π that the value of a name is multiplied by at its definition.
    pub converted: FxHashMap<SymbolId, Exponent>,
    /// The places of turns that are taken in radians, since an angular velocity is compared.
    pub in_radians: FxHashSet<Span>,
    /// The parameters of fits that were refused: whatever they are elsewhere is no second mistake.
    pub open: FxHashSet<SymbolId>,
    /// Plain numbers of `given`, exactly: they may be exponents.
    pub exact: FxHashMap<SymbolId, Exponent>,
}

impl<'a> Inference<'a> {
    pub fn new(text: &'a str, symbols: &'a Symbols) -> Self {
        Self {
            text,
            symbols,
            types: BySymbol::default(),
            bodies: FxHashMap::default(),
            diagnostics: Vec::new(),
            notes: Notes::default(),
            equations: Equations::default(),
            arguments: Vec::new(),
            statements: &[],
            here: None,
            work: 0,
            level: 0,
        }
    }

    /// The type of a whole expression; `None` after a diagnostic was recorded.
    pub fn infer(&mut self, expr: &Expr) -> Option<Type> {
        self.begin();
        let found = self.part(expr);
        self.shape(expr)?;
        found
    }

    /// Begins with another whole expression: the limit on its length counts from here.
    pub fn begin(&mut self) {
        self.work = 0;
    }

    pub fn unit_of(&self, symbol: SymbolId) -> Option<&str> {
        self.notes.units.get(&symbol).map(Unit::text)
    }

    /// Marks the symbols that stand for the pressure of the atmosphere.
    pub fn know_atmospheres(&mut self, symbols: impl Iterator<Item = SymbolId>) {
        self.notes.atmospheres = symbols.collect();
    }

    /// The pressure of the atmosphere counts from vacuum, whether or not the author says so.
    pub fn as_atmosphere(&self, symbol: SymbolId, found: Type) -> Type {
        let is_absolute = found.reading == Reading::pressure(Datum::Absolute);
        if !self.notes.atmospheres.contains(&symbol)
            || !(is_absolute || found.reading == Reading::Plain)
        {
            return found;
        }
        Type {
            reading: Reading::pressure(Datum::Atmosphere),
            ..found
        }
    }

    pub fn remember_unit(&mut self, symbol: SymbolId, unit: &Unit) {
        self.notes.units.insert(symbol, unit.clone());
    }

    /// The exact number of a symbol, where it is known.
    pub fn exact(&self, symbol: SymbolId) -> Option<Exponent> {
        self.notes.exact.get(&symbol).copied()
    }

    /// Whether the value of a symbol is a literal.
    pub fn is_literal(&self, symbol: SymbolId) -> bool {
        self.notes.literals.contains(&symbol)
    }

    /// Notes that the value of a symbol is a literal.
    pub fn remember_literal(&mut self, symbol: SymbolId) {
        self.notes.literals.insert(symbol);
    }

    pub fn remember_exact(&mut self, symbol: SymbolId, value: Exponent) {
        self.notes.exact.insert(symbol, value);
    }

    /// The form with what is known by now; itself when an exponent runs away.
    pub fn settled(&self, form: &Form) -> Form {
        self.equations.settle(form).unwrap_or_else(|| form.clone())
    }

    /// The type of a symbol; one without a value gets a dimension variable.
    pub fn symbol(&mut self, symbol: SymbolId) -> Type {
        if self.notes.open.contains(&symbol) {
            return self.unknown();
        }
        if let Some(found) = self.types.get(symbol) {
            let settled = Type {
                form: self.settled(&found.form),
                ..*found
            };
            return settled;
        }
        let fresh = Type {
            form: Form::variable(self.equations.fresh()),
            reading: Reading::Unknown,
            counts: Counts::Unknown,
            energy: Energy::Untold,
        };
        self.types.insert(symbol, fresh.clone());
        fresh
    }

    /// A type of which nothing is known.
    pub fn unknown(&mut self) -> Type {
        Type {
            form: Form::variable(self.equations.fresh()),
            reading: Reading::Unknown,
            counts: Counts::Unknown,
            energy: Energy::Untold,
        }
    }

    /// Whether two forms can be the same; what that says about variables is kept.
    pub fn same(&mut self, left: &Form, right: &Form) -> bool {
        self.equations.equate(left, right).unwrap_or(false)
    }

    pub(super) fn part(&mut self, expr: &Expr) -> Option<Type> {
        self.work += 1;
        if self.work > WORK_LIMIT {
            return None;
        }
        let is_deep = self.arguments.len() > CALL_LIMIT || self.level >= LEVEL_LIMIT;
        if self.work == WORK_LIMIT || is_deep {
            // Said once: whatever is left of this formula is not looked at.
            self.work = WORK_LIMIT + 1;
            self.diagnostics.push(
                Diagnostic::error(
                    Code::S10,
                    expr.span,
                    "this formula is too long once its functions are written out",
                )
                .with_help("a shorter formula, with intermediate results by name"),
            );
            return None;
        }
        self.level += 1;
        let found = self.kind_of_part(expr);
        self.level -= 1;
        found
    }

    fn kind_of_part(&mut self, expr: &Expr) -> Option<Type> {
        match &expr.kind {
            ExprKind::Number(_) | ExprKind::Numeral(_) => Some(Type::plain(Form::default())),
            ExprKind::Pi => Some(Type {
                counts: Counts::PI,
                ..Type::plain(Form::default())
            }),
            ExprKind::Quantity(quantity) => {
                let found = quantity_type(quantity);
                let counts = match quantity.values[..] {
                    [1.0] => found.counts.per_revolution(),
                    _ => found.counts,
                };
                Some(Type { counts, ..found })
            }
            ExprKind::Symbol(symbol) | ExprKind::Component(symbol, _) => Some(self.symbol(*symbol)),
            ExprKind::Parameter(index) => Some(self.parameter(*index)),
            ExprKind::Constant(constant) => Some(constant_type(constant)),
            ExprKind::Sum(terms) => self.sum(expr, terms),
            ExprKind::Product(factors) => self.product(expr, factors),
            ExprKind::Power(base, exponent) => self.power(expr, base, exponent),
            ExprKind::Negative(inner) => self.negative(inner),
            ExprKind::Group(inner) => self.part(inner),
            ExprKind::Abs(inner) => self.size(inner),
            ExprKind::Call {
                function,
                arguments,
                ..
            } => self.call(expr, *function, arguments),
            ExprKind::Apply {
                function,
                arguments,
            } => self.apply(*function, arguments),
            ExprKind::List(items) => self.alike(items, "stand in one list"),
            ExprKind::Vector(items) => self.alike(items, "be components of one vector"),
            ExprKind::Cases(cases) => self.cases(cases),
            ExprKind::Where(list, which) => {
                let (list, which) = (self.part(list), self.which(which));
                which.and(list)
            }
            ExprKind::ReadOff(table) => {
                if let Some(rows) = &table.rows {
                    self.which(rows)?;
                }
                self.read_off(table, &table.at)
            }
        }
    }

    /// A statement of any block.
    pub(super) fn statement_at(&self, origin: Origin) -> Option<&'a Statement> {
        self.statements.get(origin.block)?.get(origin.statement)
    }

    /// The types of several parts; each is looked at, so that every mistake is reported.
    pub(super) fn parts<'e>(&mut self, parts: impl Iterator<Item = &'e Expr>) -> Option<Vec<Type>> {
        let types: Vec<Option<Type>> = parts.map(|part| self.part(part)).collect();
        types.into_iter().collect()
    }

    pub(super) fn parameter(&mut self, index: u8) -> Type {
        let found = self.arguments.last();
        let found = found.and_then(|frame| Some(frame.get(usize::from(index))?.found.clone()));
        found.unwrap_or_else(|| self.unknown())
    }

    fn negative(&mut self, inner: &Expr) -> Option<Type> {
        let inner = self.part(inner)?;
        let reading = inner.reading.scaled(-1.0);
        Some(Type { reading, ..inner })
    }

    fn sum(&mut self, whole: &Expr, terms: &[Term]) -> Option<Type> {
        let types = self.parts(terms.iter().map(|term| &term.expr))?;
        let exprs: Vec<&Expr> = terms.iter().map(|term| &term.expr).collect();
        let form = self.one_dimension(&exprs, &types, Code::D01, "be added")?;
        let negative = terms.iter().map(|term| term.negative);
        let parts = self.terms(negative, &exprs, &types);
        match reading::sum(&parts) {
            Ok(reading) => {
                self.count_beside_atmosphere(&exprs, &parts);
                let counts = self.together(&exprs, &types)?;
                Some(Type {
                    form,
                    reading,
                    counts,
                    energy: Energy::joined(&types),
                })
            }
            Err(fault) => {
                self.report(fault, whole, &exprs);
                None
            }
        }
    }

    /// A name without a word that is added to the pressure of the atmosphere is no absolute
    /// pressure from there on.
    fn count_beside_atmosphere(&mut self, exprs: &[&Expr], parts: &[Part]) {
        let is_atmosphere =
            |part: &Part| part.reading == Reading::pressure(Datum::Atmosphere) && !part.negative;
        if !parts.iter().any(is_atmosphere) {
            return;
        }
        for (expr, part) in exprs.iter().zip(parts) {
            if part.reading == Reading::Plain && !part.negative {
                self.take_word(expr, Reading::OVER_ATMOSPHERE);
            }
        }
    }

    /// Expressions as terms of a sum.
    pub(super) fn terms(
        &self,
        negative: impl Iterator<Item = bool>,
        exprs: &[&Expr],
        types: &[Type],
    ) -> Vec<Part> {
        let is_level = types.iter().any(|part| part.reading == Reading::Level);
        (negative.zip(exprs).zip(types))
            .map(|((negative, expr), part)| Part {
                negative,
                reading: part.reading,
                is_zero: is_zero(expr),
                is_number: is_level && self.plain_number(expr).is_some(),
            })
            .collect()
    }

    /// The one dimension of expressions that must share it.
    pub fn one_dimension(
        &mut self,
        exprs: &[&Expr],
        types: &[Type],
        code: Code,
        verb: &str,
    ) -> Option<Form> {
        let mut first: Option<(usize, Form)> = None;
        for (at, (expr, part)) in exprs.iter().zip(types).enumerate() {
            if is_zero(expr) {
                continue;
            }
            let Some((reference, form)) = &first else {
                first = Some((at, part.form.clone()));
                continue;
            };
            let (reference, form) = (*reference, form.clone());
            if !self.same(&form, &part.form) {
                self.refuse_dimensions(exprs, types, [reference, at], (code, verb));
                return None;
            }
        }
        Some(match first {
            Some((_, form)) => self.settled(&form),
            None => Form::default(),
        })
    }

    /// Whether two dimensions differ by a temperature and an electric current.
    fn differ_by_degrees(&self, left: &Form, right: &Form) -> bool {
        let left = self.settled(left).dimension();
        let right = self.settled(right).dimension();
        let missing = left.zip(right).and_then(|(left, right)| left.over(right));
        missing.is_some_and(|missing| {
            let [_, _, _, current, temperature, ..] = missing.exponents();
            let zero = Exponent::from_integer(0);
            current != zero && temperature != zero
        })
    }

    /// The one of three or more that all others, which are of one dimension, differ from.
    fn alone(&self, exprs: &[&Expr], types: &[Type]) -> Option<usize> {
        let all = exprs.iter().zip(types).enumerate();
        let all: Vec<(usize, Dimension)> = (all.filter(|(_, (expr, _))| !is_zero(expr)))
            .map(|(at, (_, part))| Some((at, self.settled(&part.form).dimension()?)))
            .collect::<Option<_>>()?;
        let is_alone = |(at, own): &&(usize, Dimension)| {
            let mut others = all.iter().filter(|(other, _)| other != at);
            let first = others.next().map(|(_, it)| *it);
            first.is_some_and(|first| first != *own) && others.all(|(_, it)| Some(*it) == first)
        };
        (all.len() > 2).then(|| all.iter().find(is_alone).map(|(at, _)| *at))?
    }

    /// Says which is alone against all others, or else of two that they differ.
    fn refuse_dimensions(
        &mut self,
        exprs: &[&Expr],
        types: &[Type],
        two: [usize; 2],
        (code, verb): (Code, &str),
    ) {
        let alone = self.alone(exprs, types);
        let beside = |alone: usize| {
            let others = (0..exprs.len()).filter(|at| *at != alone && !is_zero(exprs[*at]));
            others.min_by_key(|at| at.abs_diff(alone))
        };
        let [other, at] = match alone.and_then(|at| Some([beside(at)?, at])) {
            Some(both) => both,
            None => two,
        };
        let (left, right) = (&types[other].form, &types[at].form);
        let (left_is, right_is) = (self.what(exprs[other], left), self.what(exprs[at], right));
        let written = [other, at].map(|it| self.written(exprs[it]));
        let [first, second] = &written;
        let (message, note, help) = match alone {
            Some(_) => (
                format!("`{second}` is {right_is}, but each of the others is {left_is}: they cannot {verb}"),
                format!("one of the others is {left_is}"),
                self.missing(left, right).map(|missing| {
                    format!("a factor of dimension {missing} more in `{second}`, or the right name in it")
                }),
            ),
            // Of two neither can be blamed.
            None => (
                format!("`{first}` is {left_is}, but `{second}` is {right_is}: they cannot {verb}"),
                format!("the other is {left_is}"),
                self.missing(right, left)
                    .zip(self.missing(left, right))
                    .map(|(one, two)| {
                        format!(
                            "a factor of dimension {one} more in the first or of {two} more in the second, \
                             or the right name in either"
                        )
                    }),
            ),
        };
        let both = [exprs[other], exprs[at]];
        let help = help.unwrap_or_else(|| "quantities of one dimension".to_owned());
        let diagnostic = Diagnostic::error(code, exprs[at].span, message)
            .with_note(note, exprs[other].span)
            .with_help(help);
        let diagnostic = self.with_plain_datum(diagnostic, &both);
        let diagnostic = match self.differ_by_degrees(left, right) {
            true => self.with_degree(diagnostic, &both),
            false => diagnostic,
        };
        self.diagnostics.push(diagnostic);
    }

    /// What the second would have to be multiplied by to be as the first.
    fn missing(&self, first: &Form, second: &Form) -> Option<String> {
        let [first, second] = [first, second].map(|it| self.settled(it).dimension());
        Some(first?.over(second?)?.symbol())
    }

    /// What factors of these types give, each to its power.
    pub(super) fn multiplied(
        &mut self,
        whole: &Expr,
        types: &[Type],
        powers: impl Iterator<Item = i32> + Clone,
    ) -> Option<(Form, Counts)> {
        let powers = powers.map(Exponent::from_integer);
        let forms: Vec<Form> = types.iter().map(|part| self.settled(&part.form)).collect();
        let form = (types.iter().zip(powers.clone()))
            .try_fold(Form::default(), |form, (part, power)| {
                form.times(&part.form, power)
            });
        let counts = Counts::product(
            (types.iter().zip(&forms).zip(powers))
                .map(|((part, form), power)| (part.counts, form, power)),
        );
        let found = form.zip(counts);
        if found.is_none() {
            self.out_of_range(whole.span);
        }
        found
    }

    fn product(&mut self, whole: &Expr, factors: &[Factor]) -> Option<Type> {
        let types = self.parts(factors.iter().map(|factor| &factor.expr))?;
        self.by_hand(whole)?;
        let powers = factors.iter().map(|factor| match factor.operator {
            Operator::Divide => -1,
            Operator::Times | Operator::Juxtapose => 1,
        });
        let (form, counts) = self.multiplied(whole, &types, powers)?;
        let form = self.settled(&form);
        let energy = energy::of_product(factors, &types, (form.dimension(), counts));
        let is_scaled = types.iter().any(|part| part.reading.scale().is_some());
        let parts: Vec<FactorPart> = factors
            .iter()
            .zip(types)
            .map(|(factor, part)| FactorPart {
                below: factor.operator == Operator::Divide,
                form: part.form,
                reading: part.reading,
                literal: literal(&factor.expr),
                number: is_scaled.then(|| self.plain_number(&factor.expr)).flatten(),
                is_written_point: is_written_point(&factor.expr),
                is_log10: is_log10(&factor.expr),
            })
            .collect();
        match reading::product(&parts, &form) {
            Ok(reading) => Some(Type {
                form,
                reading,
                counts,
                energy,
            }),
            Err(fault) => {
                let exprs: Vec<&Expr> = factors.iter().map(|factor| &factor.expr).collect();
                self.report(fault, whole, &exprs);
                None
            }
        }
    }

    fn power(&mut self, whole: &Expr, base: &Expr, exponent: &Expr) -> Option<Type> {
        let (base_type, exponent_type) = (self.part(base), self.part(exponent));
        let (base_type, exponent_type) = (base_type?, exponent_type?);
        if !self.same(&exponent_type.form, &Form::default()) {
            let what = self.what(exponent, &exponent_type.form);
            let message = format!(
                "the exponent `{}` is {what}, not a plain number",
                self.written(exponent)
            );
            self.diagnostics.push(
                Diagnostic::error(Code::D05, exponent.span, message)
                    .with_help("an exponent without a dimension, such as a ratio"),
            );
            return None;
        }
        self.as_number(exponent, &exponent_type)?;
        self.check_state(base, &base_type, whole)?;
        if base_type.form.is_plain() {
            return self.power_of_number(whole, base, &base_type, exponent);
        }
        let Some(exact) = self.exact_value(exponent) else {
            if base_type.form.dimension().is_none() {
                return Some(self.unknown());
            }
            let what = self.what(base, &base_type.form);
            let message = format!(
                "`{}` is {what}, so its exponent must be a number as written",
                self.written(base)
            );
            self.diagnostics.push(
                Diagnostic::error(Code::D05, exponent.span, message)
                    .with_help("a ratio as the base, such as `(p_2/p_1)^n`"),
            );
            return None;
        };
        let power = base_type.form.power(exact);
        let Some((form, counts)) = power.zip(base_type.counts.power(exact)) else {
            self.out_of_range(whole.span);
            return None;
        };
        let reading = match base_type.reading {
            Reading::Unknown => Reading::Unknown,
            _ => Reading::Plain,
        };
        let energy = base_type.energy.within(form.dimension());
        Some(Type {
            form,
            reading,
            counts,
            energy,
        })
    }

    /// A power of a plain number, which may have any exponent; what it counts only a known one.
    fn power_of_number(
        &mut self,
        whole: &Expr,
        base: &Expr,
        base_type: &Type,
        exponent: &Expr,
    ) -> Option<Type> {
        let counts = match self.exact_value(exponent) {
            Some(exact) => base_type.counts.power(exact),
            None => {
                self.as_number(base, base_type)?;
                Some(Counts::NOTHING)
            }
        };
        let Some(counts) = counts else {
            self.out_of_range(whole.span);
            return None;
        };
        Some(Type {
            counts,
            ..Type::plain(Form::default())
        })
    }

    /// A power or a root of a reading: only of a temperature or pressure that stands for a state.
    pub(super) fn check_state(&mut self, base: &Expr, part: &Type, whole: &Expr) -> Option<()> {
        let fault = match part.reading {
            Reading::Pressure(..) if part.reading.counts_from() == Some(Datum::Gauge) => {
                Fault::NeedsAbsolute(0)
            }
            Reading::Level => Fault::Level(0),
            reading if reading.clock().is_some() => Fault::Moment(0),
            reading if reading.is_sum_of_points() => Fault::Points(0),
            _ => return Some(()),
        };
        self.report(fault, whole, &[base]);
        None
    }

    pub fn out_of_range(&mut self, span: Span) {
        self.diagnostics.push(
            Diagnostic::error(
                Code::D06,
                span,
                "the exponents of this dimension run out of range",
            )
            .with_help("a formula with smaller powers"),
        );
    }
}

/// The dimension of a pressure.
pub(super) fn pressure() -> Form {
    Form::known(Dimension::pressure())
}

/// Whether it is the plain number 0, which fits any dimension.
pub(super) fn is_zero(expr: &Expr) -> bool {
    match &expr.inside().kind {
        ExprKind::Number(0.0) | ExprKind::Numeral(0.0) => true,
        ExprKind::Quantity(quantity) => quantity.is_plain_zero(),
        ExprKind::Vector(items) => items.iter().all(is_zero),
        _ => false,
    }
}

/// The type of a constant; the units of the table are known ones.
fn constant_type(constant: &Constant) -> Type {
    let unit = constant.unit();
    Type {
        counts: Counts::of_unit(&unit),
        energy: Energy::of_unit(&unit).within(Some(unit.dimension())),
        ..Type::plain(Form::known(unit.dimension()))
    }
}

/// The type of a literal.
pub(super) fn quantity_type(quantity: &Quantity) -> Type {
    let form = Form::known(quantity.unit.dimension());
    let reading = match (quantity.datum, quantity.unit.mark()) {
        (Some(syntax::Datum::Gauge), _) => Reading::pressure(Datum::Gauge),
        (Some(syntax::Datum::Absolute), _) => Reading::pressure(Datum::Absolute),
        (Some(syntax::Datum::Difference), _) => Reading::INTERVAL,
        (_, Mark::Point) => Reading::POINT,
        (_, Mark::Clock(clock)) => Reading::moment(clock),
        (_, Mark::Decibel) => Reading::Level,
        _ if quantity.unit.dimension() == Dimension::temperature() => Reading::EITHER,
        _ => Reading::Plain,
    };
    Type {
        form,
        reading,
        counts: Counts::of_unit(&quantity.unit),
        energy: Energy::of_unit(&quantity.unit),
    }
}

/// Whether it is a temperature as written, in a unit that counts from a point of a scale.
fn is_written_point(expr: &Expr) -> bool {
    matches!(&expr.inside().kind, ExprKind::Quantity(quantity)
        if quantity_type(quantity).reading == Reading::POINT)
}

/// The value of a factor that is a number as written.
pub(super) fn literal(expr: &Expr) -> Option<f64> {
    match &expr.inside().kind {
        ExprKind::Number(value) | ExprKind::Numeral(value) => Some(*value),
        ExprKind::Quantity(quantity) if quantity.unit.dimension().is_none() => quantity
            .values
            .first()
            .map(|value| quantity.unit.to_si(*value)),
        ExprKind::Product(factors) => factors.iter().try_fold(1.0, |product, factor| {
            let value = literal(&factor.expr)?;
            Some(if factor.operator == Operator::Divide {
                product / value
            } else {
                product * value
            })
        }),
        _ => None,
    }
}

fn is_log10(expr: &Expr) -> bool {
    matches!(
        expr.inside().kind,
        ExprKind::Call {
            function: Function::Log10,
            ..
        }
    )
}
