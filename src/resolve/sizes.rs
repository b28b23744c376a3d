//! What numbers are uncertain by, in coherent SI units (JCGM 100, 4.3).

use super::Resolver;
use super::literal::Found;
use super::tree::{Shape, Size, SizeForm, SizeWritten, TermWritten};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::quantity::{Mark, Unit};
use crate::statistics::quantiles;
use crate::syntax::{self, Amount, Distribution, How, Share, Sharing, SizeTerm};
use crate::text::Span;

/// The standard uncertainty of a claim in its unit, and one unit in the last place of it.
pub(super) fn claimed(
    literal: &syntax::Literal,
    sizes: &[Size],
    unit: &Unit,
) -> Option<(f64, f64)> {
    let ([written], [size]) = (literal.sizes.as_slice(), sizes) else {
        return None;
    };
    let standard = size.standard.first()? / unit.interval().factor().abs();
    let (Amount::Sum(terms), size) = (&written.amount, standard) else {
        let Amount::Concise(term) = &written.amount else {
            return None;
        };
        return Some((standard, term.place * standard / term.value));
    };
    match terms.as_slice() {
        [only] if only.value != 0.0 => Some((size, only.place * size / only.value)),
        _ => None,
    }
}

/// What an uncertainty that is stated so is divided by.
fn divisor(how: &How) -> f64 {
    let by_shape = match how.distribution {
        Distribution::Normal | Distribution::Poisson => 1.0,
        Distribution::Rectangular => 3_f64.sqrt(),
        Distribution::Triangular => 6_f64.sqrt(),
        Distribution::Arcsine => 2_f64.sqrt(),
        // It is the whole step, whose half is the limit.
        Distribution::Resolution => 12_f64.sqrt(),
    };
    let by_level = how.level.map_or(1.0, |level| {
        let below = 0.5 * (1.0 + level);
        match how.degrees.is_finite() {
            true => quantiles::student_t(below, how.degrees),
            false => quantiles::normal(below),
        }
    });
    by_shape * by_level * how.coverage
}

impl Resolver<'_> {
    /// What the numbers of a literal are uncertain by.
    pub(super) fn sizes(
        &mut self,
        literal: &syntax::Literal,
        (values, shape): (&[f64], Shape),
        unit: &Unit,
    ) -> Found<Vec<Size>> {
        let sizes = literal.sizes.iter();
        sizes
            .map(|size| self.size(size, (values, shape), unit))
            .collect()
    }

    /// What several numbers, or one, with this unit are uncertain by.
    pub(super) fn size(
        &mut self,
        size: &syntax::Size,
        (values, shape): (&[f64], Shape),
        unit: &Unit,
    ) -> Found<Size> {
        let divisor = divisor(&size.how);
        let mut written = SizeWritten {
            span: size.span,
            terms: Vec::new(),
            form: SizeForm::PlusMinus,
            words: words(size),
        };
        let mut share = None;
        let stated: Vec<f64> = match &size.amount {
            Amount::Sum(terms) => {
                let mut sums = vec![0.0; values.len()];
                for term in terms {
                    let (own, of) = self.term(term, unit)?;
                    written.terms.push(of);
                    for (sum, value) in sums.iter_mut().zip(values) {
                        *sum += match own {
                            Term::Fixed(size) => size,
                            Term::Share(share) => share * unit.interval().to_si(*value).abs(),
                        };
                    }
                    if let (Term::Share(own), [_]) = (own, terms.as_slice()) {
                        share = Some(own / divisor);
                    }
                }
                sums
            }
            Amount::Concise(term) | Amount::Resolution(term) => {
                written.form = match size.amount {
                    Amount::Concise(_) => SizeForm::Concise,
                    _ => SizeForm::Resolution,
                };
                let (own, of) = self.term(term, unit)?;
                written.terms.push(of);
                let Term::Fixed(own) = own else { return None };
                vec![own; values.len()]
            }
            Amount::Counts => {
                written.form = SizeForm::Counts;
                self.counts_fit(size.span, values, unit)?;
                values.iter().map(|count| count.sqrt()).collect()
            }
        };
        // What has no meaning of one number has none of all or each.
        self.sharing_fits(size, shape)?;
        Some(Size {
            standard: stated.iter().map(|size| size / divisor).collect(),
            distribution: size.how.distribution,
            degrees: size.how.degrees,
            is_common: size.sharing == Some(Sharing::Common),
            share,
            written,
        })
    }

    /// A term in coherent SI units or as a share of the value, and how it is printed.
    fn term(&mut self, term: &SizeTerm, unit: &Unit) -> Found<(Term, TermWritten)> {
        let printed = |unit: Option<Unit>| TermWritten {
            span: term.span,
            unit,
            of: None,
        };
        let percent = || Unit::from_source("%").unwrap_or_else(|_| Unit::one());
        match &term.share {
            None => {
                let Some(written) = &term.unit else {
                    let size = term.value * unit.interval().factor().abs();
                    return Some((Term::Fixed(size), printed(None)));
                };
                let own = self.unit(written)?;
                self.is_of(written.span, &own, unit)?;
                let size = term.value * own.interval().factor().abs();
                let is_same = own.source() == unit.source();
                Some((Term::Fixed(size), printed((!is_same).then_some(own))))
            }
            Some(Share::Value) => {
                self.refuse_share_of_point(term.span, unit)?;
                Some((Term::Share(term.value), printed(Some(percent()))))
            }
            Some(Share::Of(number, written, _)) => {
                let own = self.unit(written)?;
                self.is_of(written.span, &own, unit)?;
                self.refuse_share_of_point(term.span, &own)?;
                let size = term.value * (number.value * own.interval().factor()).abs();
                let printed = TermWritten {
                    of: Some(Box::new((number.span, own))),
                    ..printed(Some(percent()))
                };
                Some((Term::Fixed(size), printed))
            }
        }
    }

    /// An uncertainty measures the same as its value.
    pub(super) fn is_of(&mut self, place: Span, own: &Unit, unit: &Unit) -> Found<()> {
        if own.dimension() == unit.dimension() {
            return Some(());
        }
        let written = place.of(self.text);
        let of = match unit.text() {
            "" => "a plain number".to_owned(),
            of => format!("in `{of}`"),
        };
        self.diagnostics.push(
            Diagnostic::error(
                Code::D03,
                place,
                format!("the uncertainty is in `{written}`, and its value is {of}"),
            )
            .with_help("a unit that measures the same as that of the value"),
        );
        None
    }

    /// A share of a temperature or a clock reading depends on where its scale begins.
    fn refuse_share_of_point(&mut self, place: Span, unit: &Unit) -> Found<()> {
        let (of, unit) = match unit.mark() {
            Mark::Point => ("temperature", unit.source()),
            Mark::Clock(clock) => (clock.noun(), "s"),
            _ => return Some(()),
        };
        let written = place.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::U12,
                place,
                format!(
                    "`{written}` of a {of} has two readings: its scale begins at an agreed point"
                ),
            )
            .with_help(format!("the uncertainty in its unit: `± 0.5 {unit}`")),
        );
        None
    }

    /// Counts are plain numbers that are not negative.
    fn counts_fit(&mut self, place: Span, values: &[f64], unit: &Unit) -> Found<()> {
        let are_counts = values
            .iter()
            .all(|count| *count >= 0.0 && count.fract() == 0.0);
        if are_counts && unit.dimension().is_none() && unit.factor() == 1.0 {
            return Some(());
        }
        self.diagnostics.push(
            Diagnostic::error(
                Code::Q02,
                place,
                "`(Poisson)` stands after a count, which is a whole number without a unit",
            )
            .with_help("`N = 1243 (Poisson)`, and the rate as `N/t` in `work`"),
        );
        None
    }

    /// Of a limit or a share of several numbers it is said whether they have one error; a single
    /// value has no other.
    fn sharing_fits(&mut self, size: &syntax::Size, shape: Shape) -> Found<()> {
        let written = size.span.of(self.text).trim_end();
        let place = Span::new(
            size.span.start as usize,
            size.span.start as usize + written.len(),
        );
        if shape == Shape::One {
            let Some(_) = size.sharing else {
                return Some(());
            };
            let (before, word) = written.rsplit_once(' ').unwrap_or((written, ""));
            let before = before.trim_end();
            self.diagnostics.push(
                Diagnostic::error(
                    Code::Q02,
                    place,
                    format!("`{word}` is said of several numbers, and this is one"),
                )
                .with_help(format!("`{before}`"))
                .with_fix(place, before),
            );
            return None;
        }
        let has_share = match &size.amount {
            Amount::Sum(terms) => terms.iter().any(|term| term.share.is_some()),
            Amount::Concise(_) | Amount::Resolution(_) | Amount::Counts => false,
        };
        let is_reading = matches!(size.amount, Amount::Resolution(_) | Amount::Counts);
        let is_limit = size.how.is_limit() && !is_reading;
        if size.sharing.is_some() || !(has_share || is_limit) {
            return Some(());
        }
        let ways = ["common", "each"].map(|word| format!("{written} {word}"));
        let [common, each] = &ways;
        let fixes = ways
            .iter()
            .map(|way| Fix::write(Decision::Choose, place, way.clone()));
        self.diagnostics.push(
            Diagnostic::error(
                Code::U15,
                place,
                format!(
                    "`{written}` of several numbers: one error for all of them, or each its own"
                ),
            )
            .with_help(format!("`{common}` (one instrument), `{each}`"))
            .with_fixes(fixes),
        );
        None
    }
}

#[derive(Debug, Clone, Copy)]
enum Term {
    Fixed(f64),
    Share(f64),
}

/// The words behind an uncertainty, as they are printed.
fn words(size: &syntax::Size) -> Vec<String> {
    let how = &size.how;
    let plain = |number: f64| format!("{}", (number * 1e9).round() / 1e9);
    let shape = match how.distribution {
        Distribution::Rectangular => Some("rectangular".to_owned()),
        Distribution::Triangular => Some("triangular".to_owned()),
        Distribution::Arcsine => Some("arcsine".to_owned()),
        Distribution::Normal | Distribution::Resolution | Distribution::Poisson => None,
    };
    let factor = (how.coverage != 1.0).then(|| format!("k = {}", plain(how.coverage)));
    let level = how.level.map(|level| format!("{} %", plain(level * 100.0)));
    let degrees =
        (how.degrees.is_finite()).then(|| format!("{} degrees of freedom", plain(how.degrees)));
    let sharing = size.sharing.map(|sharing| match sharing {
        Sharing::Each => "each".to_owned(),
        Sharing::Common => "common".to_owned(),
    });
    let all = [shape, factor, level, degrees, sharing];
    all.into_iter().flatten().collect()
}
