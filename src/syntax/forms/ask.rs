//! `? kN to 3 figures`: an ask, and the same after `fill` has answered it.

use super::super::diagnose::{bad_precision, second_word};
use super::super::grammar::{Pair, Rule};
use super::super::reader::{Read, Reader};
use super::super::{Datum, Expanded, Literal, UnitExpr, literal, sizes};
use crate::text::Span;

/// The most figures or decimals an ask can want.
const MAX_FIGURES: u8 = 15;

/// `? [unit] [gauge|abs|difference] [to N figures|decimals|figures of uncertainty]`.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// From the `?` (or the filled number) to the end of the ask.
    pub span: Span,
    /// The unit to show the result in.
    pub unit: Option<UnitExpr>,
    /// `gauge`, `abs`, `difference`.
    pub datum: Option<Datum>,
    /// `to 3 figures`.
    pub precision: Option<Precision>,
    /// `with k = 2`, `with 95 % coverage`.
    pub expanded: Option<Expanded>,
}

/// How many digits an ask wants.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Precision {
    /// Significant figures, 1 to 15.
    Figures(u8),
    /// Decimals, 0 to 15.
    Decimals(u8),
    /// Figures of the uncertainty, 1 or 2.
    Uncertainty(u8),
}

/// What the parts after the formula of an ask say.
#[derive(Default)]
pub(super) struct Asked {
    pub ask: Option<Ask>,
    pub filled: Option<Literal>,
}

impl Reader<'_> {
    /// An ask, or the number and then the mark of a filled one.
    pub(super) fn asked(&mut self, asked: &mut Asked, pair: Pair<'_>) -> Read<()> {
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

    pub(super) fn ask(&self, pair: Pair<'_>) -> Read<Ask> {
        let mut ask = Ask {
            span: self.span(&pair),
            unit: None,
            datum: None,
            precision: None,
            expanded: None,
        };
        for part in pair.into_inner() {
            match part.as_rule() {
                Rule::unit => ask.unit = Some(literal::unit(self, part)?),
                Rule::datum => ask.datum = Some(literal::datum(&part)),
                Rule::expanded => ask.expanded = self.expanded(part)?,
                _ => ask.precision = Some(self.precision(part)?),
            }
        }
        Ok(ask)
    }

    /// `with k = 2`, `with 95 % coverage`.
    fn expanded(&self, pair: Pair<'_>) -> Read<Option<Expanded>> {
        let Some(inner) = pair.into_inner().next() else {
            return Ok(None);
        };
        if inner.as_rule() == Rule::coverage_factor {
            return self.factor(inner).map(|it| Some(Expanded::Factor(it)));
        }
        let span = self.span(&inner);
        self.level(inner)
            .map(|level| Some(Expanded::Level(level, span)))
    }

    /// `95 % coverage`, as a part of one.
    pub(super) fn level(&self, pair: Pair<'_>) -> Read<f64> {
        let span = self.span(&pair);
        let level = match pair.into_inner().next() {
            Some(number) => literal::number(&number, self.start)?.value / 100.0,
            None => 0.0,
        };
        match level > 0.0 && level < 1.0 {
            true => Ok(level),
            false => Err(sizes::refused(
                span,
                &format!("`{}` holds no part of all values", self.slice(span)),
                "a level between 0 % and 100 %: `with 95 % coverage`",
            )),
        }
    }

    /// The ask that was filled: unit and words are those of the number, or stand behind the mark.
    pub(super) fn filled_ask(&self, literal: &Literal, mark: Pair<'_>) -> Read<Ask> {
        sizes::refuse_apart(self, literal)?;
        let mut ask = Ask {
            span: literal.span.cover(self.span(&mark)),
            unit: literal.unit.clone(),
            datum: literal.datum,
            precision: None,
            expanded: None,
        };
        for part in mark.into_inner() {
            match part.as_rule() {
                // The word of an ask without a unit stays behind the mark: `42.0 kPa? gauge`.
                Rule::datum if ask.datum.is_some() => {
                    let span = self.span(&part);
                    return Err(second_word(self.slice(ask.span), span));
                }
                Rule::datum => ask.datum = Some(literal::datum(&part)),
                Rule::expanded => ask.expanded = self.expanded(part)?,
                _ => ask.precision = Some(self.precision(part)?),
            }
        }
        Ok(ask)
    }

    pub(super) fn precision(&self, pair: Pair<'_>) -> Read<Precision> {
        let span = self.span(&pair);
        let mut parts = pair.into_inner();
        let count = parts.next().and_then(|count| count.as_str().parse().ok());
        let figures = parts
            .next()
            .is_some_and(|word| word.as_str().starts_with("figure"));
        let of_uncertainty = parts.next().is_some();
        match count {
            Some(count @ 1..=2) if of_uncertainty => Ok(Precision::Uncertainty(count)),
            _ if of_uncertainty => Err(bad_precision(self.slice(span), span)),
            Some(count @ 1..=MAX_FIGURES) if figures => Ok(Precision::Figures(count)),
            Some(count @ 0..=MAX_FIGURES) if !figures => Ok(Precision::Decimals(count)),
            _ => Err(bad_precision(self.slice(span), span)),
        }
    }
}
