//! Statements: what each block's line, and an inline ask, says.
//!
//! In goes the text of one statement, out comes its tree. Asks and claims, conditions and the
//! words of `required` are read here; formulas in `formula`, literals in `literal`.

use super::form::{self, Form};
use super::formula::{Read, Reader};
use super::grammar::{self, Pair, Pairs, Rule, Stopped};
use super::{
    Answer, Ask, BlockKind, Chain, Condition, Expr, ExprKind, Inline, Literal, Magnitude, Name,
    Precision, Required, Statement, Tail, Word,
};
use super::{diagnose, limits, literal, misplaced, refuse};
use crate::diagnostic::Diagnostic;
use crate::functions::Function;
use crate::text::Span;

/// The most figures or decimals an ask can want.
const MAX_FIGURES: u8 = 15;

/// Reads a statement that stands at `start`.
pub(super) fn statement(
    kind: BlockKind,
    body: &str,
    start: usize,
    warnings: &mut Vec<Diagnostic>,
) -> Read<Statement> {
    if let Some(refusal) = limits::refuse(body, start) {
        return Err(Box::new(refusal));
    }
    let mut reader = Reader::new(body, start);
    let statement = match Form::opening(body) {
        Some(form) => form::statement(form, kind, &mut reader),
        None => ordinary(kind, &mut reader),
    }?;
    warnings.append(&mut reader.warnings);
    Ok(statement)
}

/// A line of the form that most lines of its block have.
fn ordinary(kind: BlockKind, reader: &mut Reader<'_>) -> Read<Statement> {
    let pairs = match grammar::parse(rule_of(kind), reader.text) {
        Ok(pairs) => pairs,
        Err(stopped) => return unmatched(kind, reader, &stopped),
    };
    match kind {
        BlockKind::Given | BlockKind::Derive | BlockKind::Work => {
            let chain = reader.chain(pairs)?;
            misplaced::refuse_chain(kind, reader, &chain)?;
            reader.formula_of_two(kind, chain).map(Statement::Chain)
        }
        BlockKind::Required => reader.required(pairs).map(Statement::Required),
        BlockKind::Check => reader.check(pairs).map(Statement::Check),
        BlockKind::Answer => reader.answer(pairs).map(Statement::Answer),
    }
}

/// A line that is no ordinary one of its block: a trend or limit of `check`, or a mistake.
fn unmatched(kind: BlockKind, reader: &mut Reader<'_>, stopped: &Stopped) -> Read<Statement> {
    if kind == BlockKind::Check
        && let Some(found) = form::of_check(reader)
    {
        return found;
    }
    Err(diagnose::unread(kind, reader.text, reader.start, stopped))
}

/// Whether the content of a code span is an ask: it begins with `?`, or ends in one after `=`,
/// or is a filled one.
pub(super) fn is_ask(body: &str) -> bool {
    if body.starts_with('?') {
        return true;
    }
    let Some(mark) = body.rfind('?') else {
        return false;
    };
    let before = body.get(..mark).unwrap_or("").trim_end();
    let after = body.get(mark + 1..).unwrap_or("").trim_start();
    let is_number = |text: &str| text.trim_start().starts_with(begins_number);
    match before.rsplit_once('=') {
        Some((left, between)) if !left.trim_end().ends_with(['=', '!', '<', '>']) => {
            !left.trim().is_empty() && (between.trim().is_empty() || is_number(between))
        }
        _ => is_number(before) && is_followed_by_formula(after),
    }
}

/// `of X`, or `to 3 figures of X`.
fn is_followed_by_formula(after: &str) -> bool {
    let mut words = after.split_whitespace();
    match words.next() {
        Some("of") => true,
        Some("to") => words.nth(2) == Some("of"),
        _ => false,
    }
}

/// Reads the content of an inline ask that stands at `start`.
pub(super) fn inline(body: &str, start: usize) -> Read<Inline> {
    if let Some(refusal) = limits::refuse(body, start) {
        return Err(Box::new(refusal));
    }
    let pairs = grammar::parse(Rule::inline_line, body)
        .map_err(|stopped| diagnose::unread_inline(body, start, &stopped))?;
    Reader::new(body, start).inline(pairs)
}

fn begins_number(character: char) -> bool {
    character.is_ascii_digit() || matches!(character, '-' | '−' | '+' | '.' | '[' | '(')
}

fn rule_of(kind: BlockKind) -> Rule {
    match kind {
        BlockKind::Given => Rule::given_line,
        BlockKind::Required => Rule::required_line,
        BlockKind::Derive => Rule::derive_line,
        BlockKind::Work => Rule::work_line,
        BlockKind::Check => Rule::check_line,
        BlockKind::Answer => Rule::answer_line,
    }
}

/// What the parts after the formula of an ask say.
#[derive(Default)]
struct Asked {
    ask: Option<Ask>,
    filled: Option<Literal>,
}

impl Reader<'_> {
    fn chain(&mut self, pairs: Pairs<'_>) -> Read<Chain> {
        let mut members = Vec::with_capacity(3);
        let mut tail = Tail::None;
        let mut from = None;
        let mut conditions = Vec::new();
        for pair in pairs {
            let rule = pair.as_rule();
            let may_follow_an_ask = matches!(
                rule,
                Rule::filled_mark | Rule::from | Rule::condition | Rule::ended
            );
            if !may_follow_an_ask && let Tail::Ask(ask) = &tail {
                return Err(diagnose::ask_in_the_middle(ask.span));
            }
            match rule {
                Rule::expr => members.push(self.expr(pair)?),
                Rule::ask => tail = Tail::Ask(self.ask(pair)?),
                Rule::literal => tail = Tail::Claim(literal::literal(self, pair)?),
                Rule::filled_mark => {
                    if let Tail::Claim(literal) = tail {
                        let ask = self.filled_ask(&literal, pair)?;
                        tail = Tail::Filled(literal, ask);
                    }
                }
                Rule::from => from = Some(self.from(pair)?),
                Rule::condition => conditions.push(self.condition(pair)?),
                _ => {}
            }
        }
        Ok(Chain {
            members,
            tail,
            conditions,
            from,
        })
    }

    /// In `given` a literal is the value. In `work`, `name = 2 r` is a formula as long as
    /// nobody has looked up whether `r` is a name or a unit, which is not done here.
    fn formula_of_two(&mut self, kind: BlockKind, mut chain: Chain) -> Read<Chain> {
        if chain.members.len() != 1 {
            return Ok(chain);
        }
        let Tail::Claim(literal) = chain.tail else {
            return Ok(chain);
        };
        chain.tail = Tail::None;
        chain.members.push(match kind {
            BlockKind::Work => self.again_as_formula(literal.span)?,
            _ => quantity(literal),
        });
        Ok(chain)
    }

    fn again_as_formula(&mut self, span: Span) -> Read<Expr> {
        let body = self.slice(span);
        let start = span.start as usize;
        let parsed = grammar::parse(Rule::expr_alone, body).ok();
        let pair = parsed.and_then(|mut pairs| pairs.next());
        let pair = pair.ok_or_else(|| refuse::incomplete(span))?;
        let mut reader = Reader::new(body, start);
        let expr = reader.expr(pair)?;
        self.warnings.append(&mut reader.warnings);
        Ok(expr)
    }

    fn required(&mut self, pairs: Pairs<'_>) -> Read<Required> {
        let mut name = None;
        let mut ask = None;
        let (mut positive, mut negative) = (None, None);
        for pair in pairs {
            match pair.as_rule() {
                Rule::name => name = Some(self.name(&pair)),
                Rule::ask => ask = Some(self.ask(pair)?),
                _ => self.signs(pair, &mut positive, &mut negative)?,
            }
        }
        let (Some(name), Some(ask)) = (name, ask) else {
            return Err(self.nothing());
        };
        refuse_function_as_name(&name)?;
        Ok(Required {
            name,
            ask,
            positive,
            negative,
        })
    }

    fn signs(
        &self,
        pair: Pair<'_>,
        positive: &mut Option<Word>,
        negative: &mut Option<Word>,
    ) -> Read<()> {
        for sign_word in pair.into_inner() {
            let span = self.span(&sign_word);
            let mut inner = sign_word.into_inner();
            let (Some(sign), Some(text)) = (inner.next(), inner.next()) else {
                return Err(self.nothing());
            };
            let slot = if sign.as_str() == "+" {
                &mut *positive
            } else {
                &mut *negative
            };
            if slot.is_some() {
                return Err(diagnose::sign_twice(span));
            }
            let trimmed = text.as_str().trim_end();
            let at = self.span(&text).start as usize;
            *slot = Some(Word {
                span: Span::new(at, at + trimmed.len()),
                text: trimmed.into(),
            });
        }
        Ok(())
    }

    fn check(&mut self, pairs: Pairs<'_>) -> Read<super::Check> {
        let mut check = None;
        let mut within = None;
        for pair in pairs {
            match pair.as_rule() {
                Rule::comparison => check = Some(self.comparison(pair)?),
                _ => within = self.within(pair)?,
            }
        }
        let mut check = check.ok_or_else(|| self.nothing())?;
        check.within = within;
        Ok(check)
    }

    pub(super) fn within(&mut self, pair: Pair<'_>) -> Read<Option<Expr>> {
        let value = pair.into_inner().next();
        value.map(|value| self.value(value)).transpose()
    }

    fn answer(&mut self, pairs: Pairs<'_>) -> Read<Answer> {
        let mut expr = None;
        let mut asked = Asked::default();
        for pair in pairs {
            match pair.as_rule() {
                Rule::expr => expr = Some(self.expr(pair)?),
                Rule::precision => {
                    asked.ask = Some(Ask {
                        span: self.span(&pair),
                        unit: None,
                        datum: None,
                        precision: Some(self.precision(pair)?),
                    });
                }
                _ => self.asked(&mut asked, pair)?,
            }
        }
        Ok(Answer {
            expr: expr.ok_or_else(|| self.nothing())?,
            ask: asked.ask,
            filled: asked.filled,
        })
    }

    fn inline(&mut self, pairs: Pairs<'_>) -> Read<Inline> {
        let mut expr = None;
        let mut names_it = true;
        let mut asked = Asked::default();
        let mut after = None;
        let mut conditions = Vec::new();
        for pair in pairs {
            match pair.as_rule() {
                Rule::expr => expr = Some(self.expr(pair)?),
                Rule::of => names_it = false,
                Rule::precision => after = Some(self.precision(pair)?),
                Rule::condition => conditions.push(self.condition(pair)?),
                _ => self.asked(&mut asked, pair)?,
            }
        }
        let (Some(expr), Some(mut ask)) = (expr, asked.ask) else {
            return Err(self.nothing());
        };
        ask.precision = ask.precision.or(after);
        Ok(Inline {
            expr,
            names_it,
            ask,
            filled: asked.filled,
            conditions,
        })
    }

    /// An ask, or the number and then the mark of a filled one.
    fn asked(&mut self, asked: &mut Asked, pair: Pair<'_>) -> Read<()> {
        match pair.as_rule() {
            Rule::ask => asked.ask = Some(self.ask(pair)?),
            Rule::literal => asked.filled = Some(literal::literal(self, pair)?),
            Rule::filled_mark => {
                if let Some(literal) = &asked.filled {
                    asked.ask = Some(self.filled_ask(literal, pair)?);
                }
            }
            _ => {}
        }
        Ok(())
    }

    fn ask(&self, pair: Pair<'_>) -> Read<Ask> {
        let mut ask = Ask {
            span: self.span(&pair),
            unit: None,
            datum: None,
            precision: None,
        };
        for part in pair.into_inner() {
            match part.as_rule() {
                Rule::unit => ask.unit = Some(literal::unit(self, part)?),
                Rule::datum => ask.datum = Some(literal::datum(&part)),
                _ => ask.precision = Some(self.precision(part)?),
            }
        }
        Ok(ask)
    }

    /// The ask that was filled: unit and words are those of the number.
    fn filled_ask(&self, literal: &Literal, mark: Pair<'_>) -> Read<Ask> {
        let span = literal.span.cover(self.span(&mark));
        let precision = mark
            .into_inner()
            .next()
            .map(|precision| self.precision(precision));
        Ok(Ask {
            span,
            unit: literal.unit.clone(),
            datum: literal.datum,
            precision: precision.transpose()?,
        })
    }

    fn precision(&self, pair: Pair<'_>) -> Read<Precision> {
        let span = self.span(&pair);
        let mut parts = pair.into_inner();
        let count = parts.next().and_then(|count| count.as_str().parse().ok());
        let figures = parts
            .next()
            .is_some_and(|word| word.as_str().starts_with("figure"));
        match count {
            Some(count @ 1..=MAX_FIGURES) if figures => Ok(Precision::Figures(count)),
            Some(count @ 0..=MAX_FIGURES) if !figures => Ok(Precision::Decimals(count)),
            _ => Err(diagnose::bad_precision(self.slice(span), span)),
        }
    }

    fn condition(&mut self, pair: Pair<'_>) -> Read<Condition> {
        let span = self.span(&pair);
        let mut inner = pair.into_inner();
        let (Some(name), Some(value)) = (inner.next(), inner.next()) else {
            return Err(self.nothing());
        };
        Ok(Condition {
            span,
            name: self.name(&name),
            value: self.value(value)?,
        })
    }

    /// A literal or a formula, where a literal's unit is certain.
    pub(super) fn value(&mut self, pair: Pair<'_>) -> Read<Expr> {
        match pair.as_rule() {
            Rule::literal => Ok(quantity(literal::literal(self, pair)?)),
            _ => self.expr(pair),
        }
    }

    pub(super) fn nothing(&self) -> Box<Diagnostic> {
        refuse::incomplete(Span::new(self.start, self.start + self.text.len()))
    }
}

/// A literal as a formula.
pub(super) fn quantity(literal: Literal) -> Expr {
    Expr {
        span: literal.span,
        kind: ExprKind::Quantity(Box::new(literal)),
    }
}

/// Whether a literal can be nothing else: it has no names that might be quantities.
pub(super) fn is_only_a_literal(literal: &Literal) -> bool {
    let marks_only = literal.unit.as_ref().is_none_or(|unit| {
        unit.factors
            .iter()
            .all(|factor| !factor.symbol.chars().all(char::is_alphabetic))
    });
    let plain = matches!(literal.magnitude, Magnitude::One(_)) || literal.unit.is_none();
    (marks_only && plain) || literal.datum.is_some() || literal.uncertainty.is_some()
}

/// A function, `pi` and `inf` cannot be defined.
pub(super) fn refuse_function_as_name(name: &Name) -> Read<()> {
    if Function::reserved(&name.key).is_some() || matches!(&*name.key, "pi" | "inf") {
        return Err(diagnose::taken_name(name));
    }
    Ok(())
}
