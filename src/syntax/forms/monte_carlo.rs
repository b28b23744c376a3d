//! `monte carlo of y with 1e6 trials with 95 % coverage start 7`: the distribution of a result by
//! trials, in `check`.

use super::super::Expr;
use super::super::grammar::{Pairs, Rule};
use super::super::literal;
use super::super::reader::{Read, Reader};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::Span;

/// `monte carlo of y`.
#[derive(Debug, Clone, PartialEq)]
pub struct MonteCarlo<E> {
    /// The result.
    pub subject: E,
    /// How many trials, with the place; as many as settle two figures where it is not said.
    pub trials: Option<(f64, Span)>,
    /// The part of all values that the intervals hold.
    pub level: Option<f64>,
    /// Which numbers are drawn.
    pub start: u64,
}

impl Reader<'_> {
    /// `monte carlo of y`.
    pub(super) fn monte_carlo(&mut self, pairs: Pairs<'_>) -> Read<MonteCarlo<Expr>> {
        let (mut subject, mut trials, mut level, mut start) = (None, None, None, 0);
        for pair in pairs {
            let span = self.span(&pair);
            match pair.as_rule() {
                Rule::expr => subject = Some(self.expr(pair)?),
                Rule::trials => {
                    let count = pair.into_inner().next();
                    let count = count
                        .map(|it| literal::number(&it, self.start))
                        .transpose()?;
                    trials = count.map(|count| (count.value, span));
                }
                Rule::trial_level => {
                    let inner = pair.into_inner().next();
                    level = inner.map(|it| self.level(it)).transpose()?;
                }
                Rule::start => {
                    let digits = pair.into_inner().next();
                    start = digits.and_then(|it| it.as_str().parse().ok()).unwrap_or(0);
                }
                _ => {}
            }
        }
        let subject = subject.ok_or_else(|| self.nothing())?;
        if trials.is_some() || level.is_some() {
            self.start_stands_last(&subject)?;
        }
        Ok(MonteCarlo {
            subject,
            trials,
            level,
            start,
        })
    }

    /// `y start 7`, before further words, is no product.
    fn start_stands_last(&self, subject: &Expr) -> Read<()> {
        let written = self.slice(subject.span);
        let Some((before, digits)) = written.rsplit_once(" start ") else {
            return Ok(());
        };
        if digits.trim().parse::<u64>().is_err() {
            return Ok(());
        }
        let place = Span {
            start: subject.span.start + before.len() as u32 + 1,
            ..subject.span
        };
        let message = format!("`{}` stands at the end of the line", self.slice(place));
        let help =
            "`monte carlo of y`, then `with 1e6 trials`, `with 95 % coverage`, `start 7` if wanted";
        Err(Box::new(
            Diagnostic::error(Code::S01, place, message).with_help(help),
        ))
    }
}
