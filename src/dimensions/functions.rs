//! Functions, case distinctions and comparisons: what their arguments must be.

use super::infer::{Inference, is_zero, pressure};
use super::numbers::Argument;
use super::reading::{self, Fault};
use super::{Counts, Datum, Energy, Form, Reading, Type, energy};
use crate::diagnostic::{Code, Diagnostic};
use crate::functions::{A_NUMBER, Dimensions, Function};
use crate::quantity::Exponent;
use crate::resolve::{Case, Expr, ExprKind, Factor, FunctionId, ReadOff, Term};
use crate::syntax::Operator;

impl Inference<'_> {
    pub(super) fn call(
        &mut self,
        whole: &Expr,
        function: Function,
        arguments: &[Expr],
    ) -> Option<Type> {
        match function.dimensions() {
            _ if function == Function::RunningSum => self.total_so_far(arguments),
            _ if matches!(
                function,
                Function::Sum | Function::Mean | Function::WeightedMean
            ) || function.is_by_scatter() =>
            {
                self.total(whole, function, arguments)
            }
            Dimensions::Same if function == Function::Abs => self.size(arguments.first()?),
            Dimensions::Compared if function == Function::Sign => {
                self.size(arguments.first()?)?;
                Some(Type::plain(Form::default()))
            }
            Dimensions::Compared => {
                let verb = format!("go into one `{}`", function.name());
                let found = self.alike(arguments, &verb)?;
                if function == Function::Atan2 && found.reading.clock().is_some() {
                    self.report(Fault::Moment(0), whole, &[arguments.first()?]);
                    return None;
                }
                Some(number_of(function))
            }
            Dimensions::Same => self.alike(arguments, "go into one function"),
            Dimensions::Spread => self.spread(arguments),
            Dimensions::Pick => self.entry(function, arguments),
            Dimensions::Area => self.area(whole, arguments, 1),
            Dimensions::Slope => self.area(whole, arguments, -1),
            Dimensions::Apart => self.of_uncertainty(function, arguments),
            Dimensions::Root(degree) => self.root(whole, arguments, degree),
            Dimensions::Pressure => self.datum(function, arguments),
            Dimensions::Product => self.product_of_vectors(whole, function, arguments),
            Dimensions::Direction => {
                self.parts(arguments.iter())?;
                Some(number_of(function))
            }
            Dimensions::Plain(instead) => self.plain_function(function, arguments, instead),
            Dimensions::Angle => {
                let found = self.plain_function(function, arguments, A_NUMBER)?;
                arguments
                    .iter()
                    .for_each(|angle| self.angle_without_unit(angle));
                Some(found)
            }
        }
    }

    fn product_of_vectors(
        &mut self,
        whole: &Expr,
        function: Function,
        arguments: &[Expr],
    ) -> Option<Type> {
        let types = self.parts(arguments.iter())?;
        let (form, counts) = self.multiplied(whole, &types, types.iter().map(|_| 1))?;
        let energy = energy::of_vectors(function, &types, form.dimension());
        Some(Type {
            counts,
            energy,
            ..Type::plain(form)
        })
    }

    /// Arguments of one dimension and one reading.
    pub(super) fn alike(&mut self, arguments: &[Expr], verb: &str) -> Option<Type> {
        let types = self.parts(arguments.iter())?;
        let exprs: Vec<&Expr> = arguments.iter().collect();
        let form = self.one_dimension(&exprs, &types, Code::D01, verb)?;
        self.comparable(&exprs, &types)?;
        let counts = self.together(&exprs, &types)?;
        let reading = Reading::joined(types.iter().map(|part| part.reading));
        Some(Type {
            form,
            reading,
            counts,
            energy: Energy::joined(&types),
        })
    }

    /// How far values of one dimension and one reading lie apart.
    fn spread(&mut self, arguments: &[Expr]) -> Option<Type> {
        let found = self.alike(arguments, "go into one function")?;
        let first = arguments.first()?;
        let (beside, types) = ([first, first], [found.clone(), found.clone()]);
        let parts = self.terms([false, true].into_iter(), &beside, &types);
        match reading::sum(&parts) {
            Ok(reading) => Some(Type { reading, ..found }),
            Err(fault) => {
                self.report(fault, first, &beside);
                None
            }
        }
    }

    /// Sums of entries so far: how many points each of them adds differs from row to row.
    fn total_so_far(&mut self, arguments: &[Expr]) -> Option<Type> {
        let found = self.alike(arguments, "go into one function")?;
        match (found.reading.is_point(), arguments.first()) {
            (true, Some(list)) => {
                self.report(Fault::Points(0), list, &[list]);
                None
            }
            _ => Some(found),
        }
    }

    /// An entry of a list by the number of its row.
    fn entry(&mut self, function: Function, arguments: &[Expr]) -> Option<Type> {
        let [list, row] = arguments else { return None };
        let found = self.part(list);
        self.plain_function(
            function,
            std::slice::from_ref(row),
            "the number of a row: `entry(x_i, 3)`",
        )?;
        found
    }

    /// That of the product or quotient of values and differences: an area under a curve, or its
    /// slope, of which the values are differences, too.
    fn area(&mut self, whole: &Expr, arguments: &[Expr], power: i32) -> Option<Type> {
        let [y, x] = arguments else { return None };
        let difference = |of: &Expr| {
            let terms = [false, true].map(|negative| Term {
                negative,
                expr: of.clone(),
            });
            Expr {
                span: of.span,
                kind: ExprKind::Sum(terms.into()),
            }
        };
        let (above, operator) = match power > 0 {
            true => (y.clone(), Operator::Times),
            false => (difference(y), Operator::Divide),
        };
        let factors = [(Operator::Juxtapose, above), (operator, difference(x))];
        let factors = factors.map(|(operator, expr)| Factor { operator, expr });
        self.part(&Expr {
            span: whole.span,
            kind: ExprKind::Product(factors.into()),
        })
    }

    /// A number of the uncertainties of values.
    fn of_uncertainty(&mut self, function: Function, arguments: &[Expr]) -> Option<Type> {
        let (values, level) = match function {
            Function::CoverageFactor => arguments.split_at_checked(1)?,
            _ => (arguments, &[][..]),
        };
        let types = self.parts(values.iter())?;
        self.plain_function(
            function,
            level,
            "a level of confidence: `coverage_factor(x, 95 %)`",
        )?;
        let point = types.iter().position(|part| part.reading.is_point());
        if let Some(point) = point.filter(|_| function == Function::Relative) {
            self.report_share_of_point(&values[point]);
            return None;
        }
        Some(Type::plain(Form::default()))
    }

    fn report_share_of_point(&mut self, value: &Expr) {
        let written = self.written(value);
        self.diagnostics.push(
            Diagnostic::error(
                Code::U12,
                value.span,
                format!("`{written}` is a point of a scale, and a share of it has two readings: of the number there, and of what it counts from"),
            )
            .with_help(format!(
                "`uncertainty({written})`, or the share of a difference: `relative({written} - T_0)`"
            )),
        );
    }

    /// A sum or mean: each of its terms adds its weight.
    fn total(&mut self, whole: &Expr, function: Function, arguments: &[Expr]) -> Option<Type> {
        let found = self.alike(arguments, "go into one function")?;
        let (reading, terms) = match arguments {
            [list] => self.total_of_rows(list, found.reading)?,
            _ => {
                let types = self.parts(arguments.iter())?;
                let exprs: Vec<&Expr> = arguments.iter().collect();
                let parts = self.terms(arguments.iter().map(|_| false), &exprs, &types);
                let reading = match reading::sum(&parts) {
                    Ok(reading) => reading,
                    Err(fault) => {
                        self.report(fault, whole, &exprs);
                        return None;
                    }
                };
                (reading, arguments.len() as f64)
            }
        };
        let reading = match function {
            Function::Mean | Function::Repeated | Function::Pooled | Function::WeightedMean => {
                reading.scaled(1.0 / terms)
            }
            _ => reading,
        };
        Some(Type { reading, ..found })
    }

    /// The reading of the sum of a list whose entries have this reading, and how many there are.
    fn total_of_rows(&mut self, list: &Expr, entry: Reading) -> Option<(Reading, f64)> {
        let rows = self.rows(list).unwrap_or(1) as f64;
        let ExprKind::Product(factors) = &list.inside().kind else {
            return Some((entry.scaled(rows), rows));
        };
        // `sum(w_i T_i)`: the weights of the rows add up.
        let types = self.parts(factors.iter().map(|factor| &factor.expr))?;
        let own = types.iter().position(|part| part.reading.scale().is_some());
        let scale = own.and_then(|own| {
            let others = factors.iter().enumerate().filter(|(at, _)| *at != own);
            self.numbers_of(others.map(|(_, factor)| factor))
        });
        Some(match (own, scale) {
            (Some(own), Some(scale)) if factors[own].operator != Operator::Divide => {
                let each = rows / scale.len() as f64;
                let weight: f64 = scale.iter().sum::<f64>() * each;
                (types[own].reading.scaled(weight), rows)
            }
            _ => (entry.scaled(rows), rows),
        })
    }

    /// The magnitude of a quantity, or what hangs on its sign.
    pub(super) fn size(&mut self, inner: &Expr) -> Option<Type> {
        let found = self.part(inner)?;
        let Some(reading) = found.reading.magnitude() else {
            self.report(Fault::Magnitude(0), inner, &[inner]);
            return None;
        };
        Some(Type { reading, ..found })
    }

    /// Readings that are set beside each other must count from the same datum.
    pub fn comparable(&mut self, exprs: &[&Expr], types: &[Type]) -> Option<()> {
        for (at, pair) in types.windows(2).enumerate() {
            let beside = [exprs[at], exprs[at + 1]];
            self.zero_beside_point(&beside, pair)?;
            let parts = self.terms([false, true].into_iter(), &beside, pair);
            match reading::sum(&parts) {
                Err(fault) => {
                    self.report(fault, exprs[at + 1], &beside);
                    return None;
                }
                Ok(reading) if is_point_beside_interval(reading) => {
                    self.report_point_beside_interval(&beside, reading);
                    return None;
                }
                Ok(_) => {}
            }
        }
        Some(())
    }

    /// `0` fits any dimension, but on a scale of temperature it has two readings.
    pub(super) fn zero_beside_point(&mut self, beside: &[&Expr; 2], types: &[Type]) -> Option<()> {
        for (zero, other) in [(0, 1), (1, 0)] {
            if is_zero(beside[zero]) && types[other].reading.is_point() {
                if let Some(clock) = types[other].reading.clock() {
                    let message = format!(
                        "`0` beside the {} `{}` is no point of time",
                        clock.noun(),
                        self.written(beside[other])
                    );
                    self.diagnostics.push(
                        Diagnostic::error(Code::R04, beside[zero].span, message)
                            .with_help("a difference, such as `t_i - first(t_i)`"),
                    );
                    return None;
                }
                let message = format!(
                    "`0` beside the temperature `{}` has two readings: 0 on its scale, and absolute zero",
                    self.written(beside[other])
                );
                let place = beside[zero].span;
                self.diagnostics.push(
                    Diagnostic::error(Code::R04, place, message)
                        .with_help("`0 degC`, or `0 K`")
                        .with_choice(place, "0 degC")
                        .with_choice(place, "0 K"),
                );
                return None;
            }
        }
        Some(())
    }

    fn report_point_beside_interval(&mut self, beside: &[&Expr; 2], left: Reading) {
        let (point, help) = match left.clock() {
            Some(_) => (
                "point of time",
                "a difference of two of them, such as `t_i - first(t_i)`, for an interval",
            ),
            None => (
                "temperature",
                "`degC difference` for an interval, or a difference of two temperatures",
            ),
        };
        let message = format!(
            "one of `{}` and `{}` is a {point}, the other an interval",
            self.written(beside[0]),
            self.written(beside[1])
        );
        self.diagnostics
            .push(Diagnostic::error(Code::R04, beside[1].span, message).with_help(help));
    }

    pub(super) fn root(&mut self, whole: &Expr, arguments: &[Expr], degree: i32) -> Option<Type> {
        let argument = arguments.first()?;
        let part = self.part(argument)?;
        self.check_state(argument, &part, whole)?;
        let root = Exponent::new(1, degree);
        let Some((form, counts)) = part.form.power(root).zip(part.counts.power(root)) else {
            self.out_of_range(whole.span);
            return None;
        };
        let reading = match part.reading {
            Reading::Unknown => Reading::Unknown,
            _ => Reading::Plain,
        };
        let energy = part.energy.within(form.dimension());
        Some(Type {
            form,
            reading,
            counts,
            energy,
        })
    }

    pub(super) fn datum(&mut self, function: Function, arguments: &[Expr]) -> Option<Type> {
        let argument = arguments.first()?;
        let part = self.part(argument)?;
        let pressure = pressure();
        if !self.same(&part.form, &pressure) {
            let message = format!(
                "`{}` is {}, not a pressure",
                self.written(argument),
                self.what(argument, &part.form)
            );
            self.diagnostics.push(
                Diagnostic::error(Code::D04, argument.span, message)
                    .with_help(format!("a pressure in `{}(…)`", function.name())),
            );
            return None;
        }
        let (from, to) = match function {
            Function::Absolute => (Datum::Gauge, Datum::Absolute),
            _ => (Datum::Absolute, Datum::Gauge),
        };
        let fits = match part.reading {
            Reading::Unknown => true,
            // A pressure computed from other quantities is absolute; one that was given without
            // a word could be either, and is not guessed.
            Reading::Plain => from == Datum::Absolute && !self.is_given(argument),
            Reading::Pressure(datum, weight) => {
                datum.is_gauge() == from.is_gauge() && weight.may_be_point()
            }
            // A scaled absolute pressure is absolute; a scaled gauge pressure is no reading.
            Reading::Reckoned(datum) => datum == from && from == Datum::Absolute,
            _ => false,
        };
        if !fits {
            let message = format!(
                "`{}` is not known to be {} pressure",
                self.written(argument),
                if from == Datum::Gauge {
                    "a gauge"
                } else {
                    "an absolute"
                }
            );
            let symbol = argument.inside().as_symbol();
            let fix = symbol.and_then(|symbol| self.given_with(symbol, from.word()));
            self.diagnostics.push(
                Diagnostic::error(Code::R01, argument.span, message)
                    .with_help(format!(
                        "the word `{}` after the unit where the pressure is given",
                        from.word()
                    ))
                    .with_fixes(fix),
            );
            return None;
        }
        self.take_word(argument, Reading::pressure(from));
        Some(Type {
            reading: Reading::pressure(to),
            ..Type::plain(pressure)
        })
    }

    /// Whether an expression is a name or a literal with the author's own number.
    fn is_given(&self, expr: &Expr) -> bool {
        match &expr.inside().kind {
            ExprKind::Symbol(symbol) => self.is_literal(*symbol),
            ExprKind::Quantity(_) => true,
            _ => false,
        }
    }

    fn plain_function(
        &mut self,
        function: Function,
        arguments: &[Expr],
        instead: &str,
    ) -> Option<Type> {
        let parts = self.parts(arguments.iter())?;
        for (argument, part) in arguments.iter().zip(parts) {
            if self.same(&part.form, &Form::default()) {
                // A level is an exponent: `exp(ln(10) G/10)` is a ratio.
                if part.reading == Reading::Level && function != Function::Exp {
                    self.report(Fault::Level(0), argument, &[argument]);
                    return None;
                }
                self.argument(function, argument, &part)?;
                continue;
            }
            let message = format!(
                "`{}` of `{}`, which is {}, has no meaning",
                function.name(),
                self.written(argument),
                self.what(argument, &part.form)
            );
            self.diagnostics
                .push(Diagnostic::error(Code::D04, argument.span, message).with_help(instead));
            return None;
        }
        Some(number_of(function))
    }

    /// What an argument counts of turning, which a function of plain numbers leaves behind.
    fn argument(&mut self, function: Function, argument: &Expr, part: &Type) -> Option<()> {
        match function.dimensions() {
            Dimensions::Angle => self.as_angle(argument, part),
            Dimensions::Plain(_)
            | Dimensions::Same
            | Dimensions::Spread
            | Dimensions::Compared
            | Dimensions::Root(_)
            | Dimensions::Pressure
            | Dimensions::Product
            | Dimensions::Direction
            | Dimensions::Pick
            | Dimensions::Area
            | Dimensions::Slope
            | Dimensions::Apart => self.as_number(argument, part),
        }
    }

    /// A plain number of some size as an angle is more likely in degrees than in radians.
    fn angle_without_unit(&mut self, argument: &Expr) {
        let ExprKind::Symbol(symbol) = argument.inside().kind else {
            return;
        };
        let large = |value: &Exponent| value.numer().abs() >= 7 * value.denom();
        if self.exact(symbol).is_some_and(|exact| large(&exact)) {
            let name = self.written(argument);
            let message =
                format!("the angle `{name}` is given without a unit and is taken in radians");
            self.diagnostics.push(
                Diagnostic::warning(Code::S08, argument.span, message)
                    .with_help(format!(
                        "`{name} = … deg` or `{name} = … rad` where it is given"
                    ))
                    .with_fixes(self.angle_units(symbol)),
            );
        }
    }

    pub(super) fn apply(&mut self, function: FunctionId, arguments: &[Expr]) -> Option<Type> {
        let types = self.parts(arguments.iter())?;
        let Some(body) = self.bodies.get(&function).copied() else {
            return Some(self.unknown());
        };
        if let (ExprKind::ReadOff(table), [argument]) = (&body.kind, arguments) {
            return self.read_off(table, argument);
        }
        let frame: Vec<Argument> = (arguments.iter().zip(types))
            .map(|(argument, found)| self.argument_of(argument, found))
            .collect();
        self.arguments.push(frame);
        let found = self.part(body);
        self.arguments.pop();
        found
    }

    /// What a table has at a place, which is one of its places.
    pub(super) fn read_off(&mut self, table: &ReadOff, at: &Expr) -> Option<Type> {
        let values = self.part(&table.values);
        let (places, own) = (self.part(&table.places)?, self.part(at)?);
        if !self.same(&places.form, &own.form) {
            self.report_other_place(table, at, [&places.form, &own.form]);
            return None;
        }
        self.alike(
            &[table.places.clone(), at.clone()],
            "be held against each other",
        )?;
        values
    }

    fn report_other_place(&mut self, table: &ReadOff, at: &Expr, [places, own]: [&Form; 2]) {
        let (wanted, found) = (self.what(&table.places, places), self.what(at, own));
        let message = format!(
            "the places of the table are {wanted}, but `{}` is {found}",
            self.written(at)
        );
        self.diagnostics.push(
            Diagnostic::error(Code::D01, at.span, message)
                .with_help(format!("a place that is {wanted}")),
        );
    }

    pub(super) fn cases(&mut self, cases: &[Case]) -> Option<Type> {
        let mut complete = true;
        for condition in cases.iter().filter_map(|case| case.condition.as_ref()) {
            complete &= self.compared(&condition.members).is_some();
        }
        let values = self.parts(cases.iter().map(|case| &case.value))?;
        let exprs: Vec<&Expr> = cases.iter().map(|case| &case.value).collect();
        let form = self.one_dimension(&exprs, &values, Code::D01, "be values of one quantity")?;
        self.comparable(&exprs, &values)?;
        let counts = self.together(&exprs, &values)?;
        let reading = Reading::joined(values.iter().map(|value| value.reading));
        complete.then_some(Type {
            form,
            reading,
            counts,
            energy: Energy::joined(&values),
        })
    }

    /// Members of a comparison: one dimension, one datum.
    pub fn compared(&mut self, members: &[Expr]) -> Option<Vec<Type>> {
        let types = self.parts(members.iter())?;
        let exprs: Vec<&Expr> = members.iter().collect();
        self.one_dimension(&exprs, &types, Code::D02, "be compared")?;
        self.comparable(&exprs, &types)?;
        let types = self.as_angles(&exprs, types);
        self.together(&exprs, &types)?;
        Some(types)
    }
}

/// The plain number that a function gives: an angle, where it is the inverse of one of an angle.
fn number_of(function: Function) -> Type {
    let is_angle = matches!(
        function,
        Function::Asin | Function::Acos | Function::Atan | Function::Atan2 | Function::Direction
    );
    Type {
        counts: if is_angle {
            Counts::ANGLE
        } else {
            Counts::NOTHING
        },
        ..Type::plain(Form::default())
    }
}

/// Whether the difference of two readings on a scale leaves a datum: only one of them is a point.
pub(super) fn is_point_beside_interval(difference: Reading) -> bool {
    match difference {
        Reading::Scaled(_, weight) => !weight.may_be_interval(),
        _ => false,
    }
}
