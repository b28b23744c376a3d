//! Formulas: from a flat row of operators and factors to a tree with precedence.
//!
//! `^` binds from the right, then products from the left, then unary minus, then sums. What a
//! reader could take two ways is refused here, each by its own code with both readings; the
//! wording is in `refuse`.

use super::grammar::{Pair, Pairs, Rule};
use super::name::canonical;
use super::reader::{Read, Reader, incomplete};
use super::{
    Axis, Case, Check, Expr, ExprKind, Factor, Name, Number, Operator, Relation, Term, Word,
};
use super::{literal, refuse};
use crate::diagnostic::Diagnostic;
use crate::functions::{Dimensions, Function};
use crate::text::Span;
use std::iter::Peekable;

type Tokens<'i> = Peekable<Pairs<'i>>;

/// The most components of a vector.
const MAX_COMPONENTS: usize = 3;

impl Reader<'_> {
    /// A formula.
    pub(super) fn expr(&mut self, pair: Pair<'_>) -> Read<Expr> {
        let mut tokens = pair.into_inner().peekable();
        self.sum(&mut tokens)
    }

    fn sum(&mut self, tokens: &mut Tokens<'_>) -> Read<Expr> {
        let sign = tokens
            .next_if(|token| token.as_rule() == Rule::minus)
            .map(|token| self.span(&token));
        let first = self.signed(tokens, Self::product)?;
        if !tokens.peek().is_some_and(is_plus_or_minus) {
            return Ok(match sign {
                Some(sign) => negative(sign, first),
                None => first,
            });
        }
        let mut span = sign.unwrap_or(first.span);
        let mut terms = Vec::with_capacity(4);
        terms.push(Term {
            negative: sign.is_some(),
            expr: first,
        });
        while let Some(token) = tokens.next_if(is_plus_or_minus) {
            let negative = token.as_str() != "+";
            let expr = self.signed(tokens, Self::product)?;
            if let Some(name) = terms.last().and_then(|term| open_function(&term.expr)) {
                let sign = self.span(&token);
                return Err(refuse::signed_argument(self, name, sign, &expr));
            }
            span = span.cover(expr.span);
            terms.push(Term { negative, expr });
        }
        Ok(Expr {
            span,
            kind: ExprKind::Sum(terms),
        })
    }

    /// Signs in front of what `inner` reads.
    fn signed(
        &mut self,
        tokens: &mut Tokens<'_>,
        inner: fn(&mut Self, &mut Tokens<'_>) -> Read<Expr>,
    ) -> Read<Expr> {
        let mut signs = Vec::new();
        while let Some(sign) = tokens.next_if(|token| token.as_rule() == Rule::minus) {
            signs.push(self.span(&sign));
        }
        let mut expr = inner(self, tokens)?;
        while let Some(sign) = signs.pop() {
            expr = negative(sign, expr);
        }
        Ok(expr)
    }

    fn product(&mut self, tokens: &mut Tokens<'_>) -> Read<Expr> {
        let first = self.power(tokens)?;
        if !tokens.peek().is_some_and(continues_product) {
            return Ok(first);
        }
        let mut factors = Vec::with_capacity(4);
        factors.push(Factor {
            operator: Operator::Juxtapose,
            expr: first,
        });
        // The last factor that stands after an explicit operator; 0 is the head.
        let mut run = 0;
        while let Some(token) = tokens.next_if(continues_explicitly) {
            self.explicit(&token, tokens, &mut factors, &mut run)?;
        }
        while let Some(token) = tokens.peek() {
            match token.as_rule() {
                Rule::operator if is_plus_or_minus(token) => break,
                Rule::operator => {
                    if let Some(token) = tokens.next() {
                        self.explicit(&token, tokens, &mut factors, &mut run)?;
                    }
                }
                Rule::datum => {
                    if let Some(token) = tokens.next() {
                        literal::close_with_datum(self, &mut factors, &token)?;
                    }
                }
                _ => self.juxtaposed(tokens, &mut factors, run)?,
            }
        }
        if factors.len() == 1
            && let Some(only) = factors.pop()
        {
            return Ok(only.expr);
        }
        let span = factors
            .iter()
            .map(|factor| factor.expr.span)
            .reduce(Span::cover)
            .unwrap_or_default();
        Ok(Expr {
            span,
            kind: ExprKind::Product(factors),
        })
    }

    fn explicit(
        &mut self,
        token: &Pair<'_>,
        tokens: &mut Tokens<'_>,
        factors: &mut Vec<Factor>,
        run: &mut usize,
    ) -> Read<()> {
        let operator = if token.as_str() == "/" {
            Operator::Divide
        } else {
            Operator::Times
        };
        let expr = self.signed(tokens, Self::power)?;
        *run = factors.len();
        factors.push(Factor { operator, expr });
        Ok(())
    }

    /// A factor with nothing before it: a further factor, or the argument of a function.
    fn juxtaposed(
        &mut self,
        tokens: &mut Tokens<'_>,
        factors: &mut Vec<Factor>,
        run: usize,
    ) -> Read<()> {
        if let Some(last) = factors.last_mut() {
            if let Some(name) = applicable(&last.expr) {
                let name = name.clone();
                last.expr = self.application(name, tokens)?;
                return Ok(());
            }
            if let ExprKind::Power(base, _) = &last.expr.kind
                && let Some(name) = function_name(base)
            {
                let (name, head) = (name.clone(), last.expr.span);
                let argument = self.power(tokens)?;
                return Err(refuse::power_of_function(self, &name, head, &argument));
            }
            if let ExprKind::Name(name) = &last.expr.kind
                && tokens
                    .peek()
                    .is_some_and(|token| token.as_rule() == Rule::group)
                && Function::reserved(&name.key).is_some()
            {
                let name = name.clone();
                last.expr = self.application(name, tokens)?;
                return Ok(());
            }
        }
        let expr = self.power(tokens)?;
        self.refuse_pair(factors, run, &expr, tokens)?;
        factors.push(Factor {
            operator: Operator::Juxtapose,
            expr,
        });
        Ok(())
    }

    /// Refuses a factor that cannot stand directly after the ones before it.
    fn refuse_pair(
        &self,
        factors: &[Factor],
        run: usize,
        next: &Expr,
        tokens: &mut Tokens<'_>,
    ) -> Read<()> {
        let Some(last) = factors.last() else {
            return Ok(());
        };
        if matches!(last.expr.kind, ExprKind::Number(_)) {
            match &next.kind {
                ExprKind::Group(inner)
                    if last.expr.span.end == next.span.start
                        && matches!(inner.kind, ExprKind::Number(_)) =>
                {
                    return Err(refuse::number_before_brackets(self, &last.expr, next));
                }
                ExprKind::Number(number) if !goes_on_as_unit(number.value, tokens) => {
                    return Err(refuse::two_numbers(self, &last.expr, next));
                }
                _ => {}
            }
        }
        let in_run = factors.get(run..).unwrap_or(&[]);
        if is_bars(next)
            && let Some(first) = in_run.iter().find(|factor| is_bars(&factor.expr))
        {
            return Err(refuse::four_bars(self, &first.expr, next));
        }
        if let [denominator, ..] = in_run
            && denominator.operator == Operator::Divide
            && !is_leading_fraction(factors, run)
            && !(is_mixed_number(factors) && matches!(next.kind, ExprKind::Name(_)))
        {
            let end = self.end_of_run(next.span, tokens);
            return Err(refuse::slash(self, factors, run, next, end));
        }
        Ok(())
    }

    /// Where the factors end that follow `last` without an operator; `None` when what follows
    /// would have two readings again.
    fn end_of_run(&self, last: Span, tokens: &Tokens<'_>) -> Option<Span> {
        let mut end = last;
        let mut tokens = tokens.clone();
        while let Some(token) = tokens.next_if(|token| {
            is_hat(token) || !matches!(token.as_rule(), Rule::operator | Rule::datum)
        }) {
            end = end.cover(self.span(&token));
        }
        match tokens.peek() {
            Some(token) if token.as_rule() == Rule::datum => None,
            _ => Some(end),
        }
    }

    /// A built-in function followed by a blank: `sin theta`, `sin (theta)`.
    fn application(&mut self, name: Name, tokens: &mut Tokens<'_>) -> Read<Expr> {
        if let Some(group) = tokens.next_if(|token| token.as_rule() == Rule::group) {
            let span = name.span.cover(self.span(&group));
            let arguments = self.list_of(group)?;
            if let Some(power) = tokens.next_if(is_power) {
                let place = self.span(&power);
                let exponent = match is_hat(&power) {
                    true => self
                        .signed(tokens, Self::power)
                        .ok()
                        .map(|exponent| exponent.span),
                    false => Some(place),
                };
                let call = (&name, span);
                return Err(refuse::power_after_argument(self, call, place, exponent));
            }
            return self.call(name, arguments, true, span);
        }
        let argument = self.power(tokens)?;
        if matches!(argument.kind, ExprKind::Power(..)) {
            return Err(refuse::power_of_argument(self, &name, &argument));
        }
        if function_name(&argument).is_some() {
            let innermost = match tokens.peek() {
                Some(token) if token.as_rule() != Rule::operator => self.power(tokens).ok(),
                _ => None,
            };
            let innermost = innermost.as_ref();
            return Err(refuse::function_of_function(
                self, &name, &argument, innermost,
            ));
        }
        let argument = match argument.kind {
            ExprKind::Number(_) => self.perhaps_with_unit(argument, tokens)?,
            _ => argument,
        };
        self.refuse_what_could_belong(&name, &argument, tokens)?;
        let span = name.span.cover(argument.span);
        self.call(name, vec![argument], false, span)
    }

    /// A number with the names behind it, which are its unit if they are no quantities: `resolve`
    /// knows, and refuses what is more than a number with its unit.
    fn perhaps_with_unit(&mut self, number: Expr, tokens: &mut Tokens<'_>) -> Read<Expr> {
        let mut factors = vec![Factor {
            operator: Operator::Juxtapose,
            expr: number,
        }];
        loop {
            let mut ahead = tokens.clone();
            let operator = match ahead.next_if(is_slash) {
                Some(_) if factors.len() > 1 => Operator::Divide,
                Some(_) => break,
                None => Operator::Juxtapose,
            };
            let is_name = ahead.next_if(|token| token.as_rule() == Rule::name);
            let is_alone = ahead
                .peek()
                .is_none_or(|token| !matches!(token.as_rule(), Rule::arguments | Rule::component));
            if !is_name.is_some_and(|name| is_alone && !is_function(name.as_str())) {
                break;
            }
            tokens.next_if(is_slash);
            let expr = self.power(tokens)?;
            factors.push(Factor { operator, expr });
        }
        let span = factors
            .iter()
            .map(|factor| factor.expr.span)
            .reduce(Span::cover);
        match factors.len() {
            1 => factors.pop().map(|only| only.expr),
            _ => span.map(|span| Expr {
                span,
                kind: ExprKind::Product(factors),
            }),
        }
        .ok_or_else(|| incomplete(Span::default()))
    }

    /// Refuses what a reader could take into the argument of a function without brackets. A sine,
    /// cosine or tangent is no part of an angle, so that `sin alpha cos beta` has one reading.
    fn refuse_what_could_belong(
        &mut self,
        name: &Name,
        argument: &Expr,
        tokens: &Tokens<'_>,
    ) -> Read<()> {
        let mut ahead = tokens.clone();
        let operator = ahead.next_if(continues_explicitly);
        let Some(next) = ahead.peek() else {
            return Ok(());
        };
        let begins = |token: &Pair<'_>| token.as_rule() == Rule::name && of_angle(token.as_str());
        let ends = is_plus_or_minus(next) || next.as_rule() == Rule::datum;
        if operator.is_none() && ends || of_angle(&name.key) && begins(next) {
            return Ok(());
        }
        let further = self.signed(&mut ahead, Self::power)?;
        let further = (operator.is_some(), &further);
        Err(refuse::argument_of_two(self, name, argument, further))
    }

    fn call(
        &mut self,
        name: Name,
        arguments: Vec<Expr>,
        bracketed: bool,
        span: Span,
    ) -> Read<Expr> {
        if Function::reserved(&name.key).map(Function::dimensions) == Some(Dimensions::Angle)
            && let [argument] = arguments.as_slice()
            && let ExprKind::Number(number) = argument.kind
            && number.value >= 7.0
        {
            self.warnings
                .push(refuse::angle_without_unit(self, &name, argument));
        }
        Ok(Expr {
            span,
            kind: ExprKind::Call {
                name,
                arguments,
                bracketed,
            },
        })
    }

    /// An atom with its exponents.
    fn power(&mut self, tokens: &mut Tokens<'_>) -> Read<Expr> {
        let mut base = self.atom(tokens)?;
        if let Some(token) = tokens.next_if(|token| token.as_rule() == Rule::superscript) {
            let exponent = self.superscript(&token);
            let span = base.span.cover(exponent.span);
            base = Expr {
                span,
                kind: ExprKind::Power(Box::new(base), Box::new(exponent)),
            };
            if let Some(hat) = tokens.next_if(is_hat) {
                let exponent = self.signed(tokens, Self::power)?;
                return Err(refuse::two_exponents(
                    self,
                    &base,
                    self.span(&hat),
                    &exponent,
                ));
            }
        } else if tokens.next_if(is_hat).is_some() {
            let exponent = self.signed(tokens, Self::power)?;
            let span = base.span.cover(exponent.span);
            base = Expr {
                span,
                kind: ExprKind::Power(Box::new(base), Box::new(exponent)),
            };
        }
        Ok(base)
    }

    fn superscript(&self, token: &Pair<'_>) -> Expr {
        let span = self.span(token);
        let value = literal::superscript_value(token.as_str());
        let number = Expr {
            span,
            kind: ExprKind::Number(Number {
                span,
                value: value.abs(),
            }),
        };
        if value < 0.0 {
            negative(span, number)
        } else {
            number
        }
    }

    fn atom(&mut self, tokens: &mut Tokens<'_>) -> Read<Expr> {
        let Some(token) = tokens.next() else {
            return Err(incomplete(Span::new(
                self.start + self.text.len(),
                self.start + self.text.len(),
            )));
        };
        let span = self.span(&token);
        let kind = match token.as_rule() {
            Rule::name => return self.name_or_call(&token, tokens),
            Rule::number => return self.number_or_quantity(&token, tokens),
            Rule::group => self.group_or_vector(token)?,
            Rule::abs => {
                let inner = token.into_inner().next();
                match inner {
                    Some(inner) => ExprKind::Abs(Box::new(self.expr(inner)?)),
                    None => return Err(incomplete(span)),
                }
            }
            Rule::list => ExprKind::List(self.list_of(token)?),
            Rule::cases => ExprKind::Cases(self.cases(token)?),
            Rule::constant => ExprKind::Constant(self.constant(token)),
            _ => return Err(incomplete(span)),
        };
        Ok(Expr { span, kind })
    }

    fn group_or_vector(&mut self, token: Pair<'_>) -> Read<ExprKind> {
        let span = self.span(&token);
        let mut components = self.list_of(token)?;
        if components.len() < 2 {
            let only = components.pop().ok_or_else(|| incomplete(span))?;
            return Ok(ExprKind::Group(Box::new(only)));
        }
        let is_chosen = |component: &&Expr| matches!(component.kind, ExprKind::Where(..));
        if let Some(chosen) = components.iter().find(is_chosen) {
            return Err(refuse::rows_as_component(self, chosen));
        }
        if components.len() > MAX_COMPONENTS {
            return Err(refuse::too_many_components(self, span, components.len()));
        }
        Ok(ExprKind::Vector(components))
    }

    /// A name as it is written.
    pub(super) fn name(&self, pair: &Pair<'_>) -> Name {
        Name {
            span: self.span(pair),
            key: canonical(pair.as_str()),
        }
    }

    fn name_or_call(&mut self, token: &Pair<'_>, tokens: &mut Tokens<'_>) -> Read<Expr> {
        let name = self.name(token);
        if &*name.key == "log" {
            return Err(refuse::bare_log(&name));
        }
        if let Some(component) = tokens.next_if(|token| token.as_rule() == Rule::component) {
            return self.component(name, &component);
        }
        let arguments = tokens.next_if(|token| token.as_rule() == Rule::arguments);
        let Some(arguments) = arguments else {
            return Ok(Expr {
                span: name.span,
                kind: ExprKind::Name(name),
            });
        };
        let span = name.span.cover(self.span(&arguments));
        let arguments = self.list_of(arguments)?;
        self.call(name, arguments, true, span)
    }

    /// `V_2.x`.
    fn component(&self, name: Name, token: &Pair<'_>) -> Read<Expr> {
        let span = name.span.cover(self.span(token));
        if Function::reserved(&name.key).is_some() {
            return Err(refuse::component_of_function(self, &name, span));
        }
        let letter = token.as_str().trim_start_matches('.');
        match Axis::named(letter) {
            Some(axis) => Ok(Expr {
                span,
                kind: ExprKind::Component(name, axis),
            }),
            None => Err(incomplete(span)),
        }
    }

    fn number_or_quantity(&mut self, token: &Pair<'_>, tokens: &mut Tokens<'_>) -> Read<Expr> {
        let number = literal::number(token, self.start)?;
        let Some(mark) = tokens.next_if(|token| token.as_rule() == Rule::mark) else {
            return Ok(Expr {
                span: number.span,
                kind: ExprKind::Number(number),
            });
        };
        let mut quantity = literal::with_mark(number, &mark, self.start);
        if let Some(minutes) = tokens.next_if(|token| token.as_rule() == Rule::minutes) {
            literal::add_minutes(self, &mut quantity, minutes)?;
        }
        Ok(Expr {
            span: quantity.span,
            kind: ExprKind::Quantity(Box::new(quantity)),
        })
    }

    fn list_of(&mut self, pair: Pair<'_>) -> Read<Vec<Expr>> {
        let mut all = Vec::new();
        for inner in pair.into_inner() {
            self.take_chosen(inner, &mut all)?;
        }
        Ok(all)
    }

    /// A further formula, or which rows of the last one are meant.
    pub(super) fn take_chosen(&mut self, pair: Pair<'_>, all: &mut Vec<Expr>) -> Read<()> {
        match pair.as_rule() {
            Rule::where_word => {}
            Rule::which => {
                let place = self.span(&pair);
                let which = Box::new(self.which(pair)?);
                let list = all.pop().ok_or_else(|| self.nothing())?;
                all.push(Expr {
                    span: list.span.cover(place),
                    kind: ExprKind::Where(Box::new(list), which),
                });
            }
            _ => all.push(self.expr(pair)?),
        }
        Ok(())
    }

    fn cases(&mut self, pair: Pair<'_>) -> Read<Vec<Case>> {
        let mut cases = Vec::new();
        let mut branches = pair.into_inner().peekable();
        while let Some(branch) = branches.next() {
            let span = self.span(&branch);
            let mut inner = branch.into_inner();
            let value = match inner.next() {
                Some(value) => self.expr(value)?,
                None => return Err(incomplete(span)),
            };
            let condition = match inner.next() {
                Some(pair) if pair.as_rule() == Rule::comparison => Some(self.comparison(pair)?),
                _ => None,
            };
            if condition.is_none() && branches.peek().is_some() {
                return Err(refuse::otherwise_not_last(span));
            }
            cases.push(Case { value, condition });
        }
        Ok(cases)
    }

    /// `a < b`, `a < x < b`.
    pub(super) fn comparison(&mut self, pair: Pair<'_>) -> Read<Check> {
        let span = self.span(&pair);
        let mut members = Vec::with_capacity(2);
        let mut relations = Vec::with_capacity(1);
        for inner in pair.into_inner() {
            match inner.as_rule() {
                Rule::relation => relations.push(relation(inner.as_str())),
                _ => members.push(self.expr(inner)?),
            }
        }
        if !reads_one_way(&relations) {
            return Err(refuse::mixed_relations(self, span));
        }
        Ok(Check {
            members,
            relations,
            within: None,
        })
    }

    fn constant(&self, pair: Pair<'_>) -> Word {
        let outer = self.span(&pair);
        let words = pair.into_inner().next();
        let (text, span) = match &words {
            Some(words) => (words.as_str(), self.span(words)),
            None => ("", outer.at_end()),
        };
        let left = text.len() - text.trim_start().len();
        let trimmed = text.trim();
        let start = span.start as usize + left;
        Word {
            span: Span::new(start, start + trimmed.len()),
            text: trimmed.into(),
        }
    }
}

/// `-inner`, from the sign on.
pub(super) fn negative(sign: Span, inner: Expr) -> Expr {
    Expr {
        span: sign.cover(inner.span),
        kind: ExprKind::Negative(Box::new(inner)),
    }
}

/// Two members, or three that go the same way.
fn reads_one_way(relations: &[Relation]) -> bool {
    use Relation::{Greater, GreaterOrEqual, Less, LessOrEqual};
    match relations {
        [_] => true,
        [first, second] => matches!(
            (first, second),
            (Less | LessOrEqual, Less | LessOrEqual)
                | (Greater | GreaterOrEqual, Greater | GreaterOrEqual)
        ),
        _ => false,
    }
}

fn relation(text: &str) -> Relation {
    match text {
        "<" => Relation::Less,
        "<=" | "≤" => Relation::LessOrEqual,
        ">" => Relation::Greater,
        ">=" | "≥" => Relation::GreaterOrEqual,
        _ => Relation::Equal,
    }
}

fn is_plus_or_minus(token: &Pair<'_>) -> bool {
    token.as_rule() == Rule::operator && matches!(token.as_str(), "+" | "-" | "−")
}

fn is_hat(token: &Pair<'_>) -> bool {
    token.as_rule() == Rule::operator && token.as_str() == "^"
}

fn is_power(token: &Pair<'_>) -> bool {
    token.as_rule() == Rule::superscript || is_hat(token)
}

fn continues_product(token: &Pair<'_>) -> bool {
    !is_plus_or_minus(token)
}

fn continues_explicitly(token: &Pair<'_>) -> bool {
    token.as_rule() == Rule::operator && !is_plus_or_minus(token)
}

fn is_bars(expr: &Expr) -> bool {
    match &expr.kind {
        ExprKind::Abs(_) => true,
        ExprKind::Power(base, _) => is_bars(base),
        _ => false,
    }
}

/// A fraction of plain numbers at the head of a product: `1/2`, `pi/4`, `1/(2 pi)`, `2 pi/60`.
fn is_leading_fraction(factors: &[Factor], run: usize) -> bool {
    let mut head = factors.iter().take(run + 1);
    head.all(|factor| is_plain(&factor.expr))
        && factors
            .iter()
            .take(run)
            .all(|factor| factor.operator != Operator::Divide)
}

/// Whether it is made of numbers and π alone.
fn is_plain(expr: &Expr) -> bool {
    match &expr.kind {
        ExprKind::Number(_) => true,
        ExprKind::Name(name) => &*name.key == "pi",
        ExprKind::Group(inner) | ExprKind::Negative(inner) => is_plain(inner),
        ExprKind::Power(base, exponent) => is_plain(base) && is_plain(exponent),
        ExprKind::Product(factors) => factors.iter().all(|factor| is_plain(&factor.expr)),
        ExprKind::Sum(terms) => terms.iter().all(|term| is_plain(&term.expr)),
        _ => false,
    }
}

/// `sin 2 x`, whose factors were read as the argument; `further` stands at `end` of them.
pub(crate) fn argument_of_two(
    text: &str,
    name: &Name,
    factors: &[Factor],
    end: usize,
    further: &Factor,
) -> Diagnostic {
    let spans = factors.iter().take(end).map(|factor| factor.expr.span);
    let span = spans.reduce(Span::cover).unwrap_or(name.span);
    let kind = ExprKind::Product(Vec::new());
    let has_operator = further.operator != Operator::Juxtapose;
    *refuse::argument_of_two(
        &Reader::new(text, 0),
        name,
        &Expr { span, kind },
        (has_operator, &further.expr),
    )
}

/// `2 1/2` at the end of what was read.
pub(crate) fn is_mixed_number(factors: &[Factor]) -> bool {
    use Operator::{Divide, Juxtapose};
    let [.., whole, above, below] = factors else {
        return false;
    };
    let is_number = |factor: &Factor| matches!(factor.expr.kind, ExprKind::Number(_));
    whole.operator != Divide
        && (above.operator, below.operator) == (Juxtapose, Divide)
        && [whole, above, below].into_iter().all(is_number)
}

/// Whether a number after a number begins the unit `1/s`, or is the fraction of a mixed number
/// with its unit, `2 1/2 in`.
fn goes_on_as_unit(number: f64, tokens: &Tokens<'_>) -> bool {
    let mut ahead = tokens.clone();
    if ahead.next_if(is_slash).is_none() {
        return false;
    }
    match ahead.next() {
        Some(token) if token.as_rule() == Rule::number => ahead
            .next()
            .is_some_and(|token| token.as_rule() == Rule::name),
        Some(_) => number == 1.0,
        None => false,
    }
}

/// The function at the end of a term, which has no argument yet.
fn open_function(term: &Expr) -> Option<&Name> {
    match &term.kind {
        ExprKind::Product(factors) => applicable(&factors.last()?.expr),
        ExprKind::Negative(inner) => open_function(inner),
        _ => applicable(term),
    }
}

fn is_slash(token: &Pair<'_>) -> bool {
    token.as_rule() == Rule::operator && token.as_str() == "/"
}

fn is_function(name: &str) -> bool {
    Function::reserved(&canonical(name)).is_some()
}

/// Whether it is the sine, cosine or tangent of an angle.
fn of_angle(name: &str) -> bool {
    let function = Function::reserved(name);
    function.map(Function::dimensions) == Some(Dimensions::Angle)
}

fn function_name(expr: &Expr) -> Option<&Name> {
    match &expr.kind {
        ExprKind::Name(name) if Function::reserved(&name.key).is_some() => Some(name),
        _ => None,
    }
}

/// The function that takes the one next factor without brackets.
fn applicable(expr: &Expr) -> Option<&Name> {
    function_name(expr)
        .filter(|name| Function::reserved(&name.key).is_some_and(Function::goes_without_brackets))
}
