//! `a = b = ?`: members joined by equals signs, in `given`, `derive` and `work`.

use super::super::diagnose::ask_in_the_middle;
use super::super::grammar::{self, Pair, Pairs, Rule};
use super::super::reader::{Read, Reader, error};
use super::super::statement::{is_only_a_literal, quantity, refuse_function_as_name};
use super::super::{BlockKind, Expr, ExprKind, Literal, Name, literal, misplaced, reader};
use super::{Ask, Balance, From, Part, from};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::Span;

/// Members joined by equals signs.
#[derive(Debug, Clone, PartialEq)]
pub struct Chain {
    /// At least one; the ask or claim at the end is not among them.
    pub members: Vec<Expr>,
    /// How the chain ends.
    pub tail: Tail,
    /// `at Q = 40 L/s, H = 3 m`.
    pub conditions: Vec<Condition>,
    /// `from colebrook near 0.02` after the ask: the equation that is solved for the name.
    pub from: Option<From>,
    /// `by balance x of beam`: which balance of a sketch the equation is meant to be.
    pub by: Option<Box<Balance>>,
}

/// How a chain ends, of either tree.
#[derive(Debug, Clone, PartialEq)]
pub enum Tail<A = Ask, L = Literal> {
    /// With its last member.
    None,
    /// `= ? kN to 3 figures`.
    Ask(A),
    /// `= -19.0 kN ? to 3 figures`: the engine's own number, never read as data.
    Filled(Box<L>, A),
    /// `= 3.006 m/s`: to be verified.
    Claim(Box<L>),
}

/// `Q = 40 L/s` after `at`.
#[derive(Debug, Clone, PartialEq)]
pub struct Condition {
    /// The whole condition.
    pub span: Span,
    /// The given it replaces.
    pub name: Name,
    /// The value it takes.
    pub value: Expr,
}

impl Chain {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        self.members.iter().for_each(|it| take(Part::Expr(it)));
        match &self.tail {
            Tail::None => {}
            Tail::Ask(ask) => take(Part::Ask(ask)),
            Tail::Filled(literal, ask) => {
                take(Part::Literal(literal));
                take(Part::Ask(ask));
            }
            Tail::Claim(literal) => take(Part::Literal(literal)),
        }
        self.conditions.iter().for_each(|it| it.parts(take));
        self.from.iter().for_each(|it| it.parts(take));
        self.by.iter().for_each(|it| it.parts(take));
    }
}

impl Condition {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        take(Part::Name(&self.name));
        take(Part::Expr(&self.value));
    }
}

impl Reader<'_> {
    pub(in super::super) fn chain(&mut self, pairs: Pairs<'_>) -> Read<Chain> {
        let mut members = Vec::with_capacity(3);
        let mut tail: Tail = Tail::None;
        let (mut from, mut by) = (None, None);
        let mut conditions = Vec::new();
        let mut open = None;
        for pair in pairs {
            let rule = pair.as_rule();
            if let Some((equals, which)) = open.filter(|_| rule != Rule::ended) {
                return Err(self.equals_goes_on(equals, which));
            }
            let may_follow_an_ask = matches!(
                rule,
                Rule::filled_mark | Rule::from | Rule::condition | Rule::ended
            );
            if !may_follow_an_ask && let Tail::Ask(ask) = &tail {
                return Err(ask_in_the_middle(ask.span));
            }
            match rule {
                Rule::expr | Rule::where_word => self.take_chosen(pair, &mut members)?,
                Rule::which => {
                    open = self
                        .open_equals(&pair)
                        .map(|equals| (equals, self.span(&pair)));
                    self.take_chosen(pair, &mut members)?;
                }
                Rule::ask => tail = Tail::Ask(self.ask(pair)?),
                Rule::literal => tail = Tail::Claim(Box::new(literal::literal(self, pair)?)),
                Rule::filled_mark => {
                    if let Tail::Claim(literal) = tail {
                        let ask = self.filled_ask(&literal, pair)?;
                        tail = Tail::Filled(literal, ask);
                    }
                }
                Rule::from => from = Some(self.from(pair)?),
                Rule::balance_of => by = Some(Box::new(self.balance_of(pair)?)),
                Rule::condition => conditions.push(self.condition(pair)?),
                _ => {}
            }
        }
        Ok(Chain {
            members,
            tail,
            conditions,
            from,
            by,
        })
    }

    /// In `given` a literal is the value. In `work`, `name = 2 r` is a formula as long as
    /// nobody has looked up whether `r` is a name or a unit, which is not done here.
    pub(in super::super) fn formula_of_two(
        &mut self,
        kind: BlockKind,
        mut chain: Chain,
    ) -> Read<Chain> {
        if chain.members.len() != 1 {
            return Ok(chain);
        }
        let Tail::Claim(literal) = chain.tail else {
            return Ok(chain);
        };
        chain.tail = Tail::None;
        chain.members.push(match kind {
            BlockKind::Work => self.again_as_formula(literal.span)?,
            _ => quantity(*literal),
        });
        Ok(chain)
    }

    fn again_as_formula(&mut self, span: Span) -> Read<Expr> {
        let body = self.slice(span);
        let start = span.start as usize;
        let parsed = grammar::parse(Rule::expr_alone, body).ok();
        let pair = parsed.and_then(|mut pairs| pairs.next());
        let pair = pair.ok_or_else(|| reader::incomplete(span))?;
        let mut reader = Reader::new(body, start);
        let expr = reader.expr(pair)?;
        self.warnings.append(&mut reader.warnings);
        Ok(expr)
    }

    pub(super) fn condition(&mut self, pair: Pair<'_>) -> Read<Condition> {
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
}

/// Refuses chains that the grammar reads but the block does not take.
pub(in super::super) fn refuse_chain(
    kind: BlockKind,
    reader: &Reader<'_>,
    chain: &Chain,
) -> Read<()> {
    match kind {
        BlockKind::Derive => {
            return misplaced::refuse_units(reader, &chain.members);
        }
        BlockKind::Work => {
            from::refuse_from(reader, chain)?;
            refuse_data(reader, chain)?;
        }
        _ => {}
    }
    match chain.members.first().map(|first| &first.kind) {
        Some(ExprKind::Name(name)) => refuse_function_as_name(name),
        _ => Ok(()),
    }
}

/// `x = 5` alone in `work`.
fn refuse_data(reader: &Reader<'_>, chain: &Chain) -> Read<()> {
    if let [first] = chain.members.as_slice()
        && matches!(first.kind, ExprKind::Name(_))
        && let Tail::Claim(literal) = &chain.tail
        && (is_only_a_literal(literal) || !chain.conditions.is_empty())
    {
        let line = first.span.cover(literal.span);
        // ` ?` behind it would only do where the name is an unknown that is searched for.
        return Err(number_in_work(
            reader.slice(first.span),
            reader.slice(literal.span),
            line,
        ));
    }
    Ok(())
}

/// `name = literal` alone in `work`.
fn number_in_work(name: &str, literal: &str, span: Span) -> Box<Diagnostic> {
    error(
        Code::S12,
        span,
        format!("`{name} = {literal}` defines `{name}` by a number"),
        format!("the line in `given`, or `{name} = {literal} ?` when it is a result"),
    )
}
