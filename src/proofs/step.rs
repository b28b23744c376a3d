//! The verdict on a step that the author wrote.

use rustc_hash::FxHashSet;

use super::premises::{Book, Premises};
use super::{Ground, Verdict, slips};
use crate::algebra::{Algebra, Equation, Following, Id, Point, Samples, Undecided};
use crate::diagnostic::{Code, Diagnostic};
use crate::quantity;
use crate::resolve::algebraic::{self, Algebraic, Opaque};
use crate::resolve::statement::Origin;
use crate::resolve::{Expr, FunctionId, Statement, SymbolId, written};

/// Where a step stands.
#[derive(Clone, Copy)]
pub(super) struct Place<'a> {
    pub book: &'a Book<'a>,
    pub origin: Origin,
    /// Steps above that were not proved.
    pub doubtful: &'a FxHashSet<Origin>,
}

/// What may be used for a proof: some of the signs, and some of the premises.
#[derive(Clone, Copy, Default)]
struct Means<'a> {
    /// Symbols that are taken to be positive.
    positive: &'a [SymbolId],
    /// The only symbols whose given sign is known; `None` is all of them.
    known: Option<&'a [SymbolId]>,
}

/// More signs than this are not looked at one by one.
const MOST_SIGNS: usize = 12;

/// Whether a step follows from what stands above it.
pub(super) fn verdict(place: Place<'_>, members: &[Expr]) -> Verdict {
    match decided(place, members, Means::default()) {
        Ok(Verdict::Follows {
            by,
            leaned,
            not_zero,
            ..
        }) => Verdict::Follows {
            by,
            leaned: needed(place, members, leaned, &[]),
            taking: Vec::new(),
            not_zero,
        },
        Ok(first) => {
            with_positive(place, members).unwrap_or_else(|| slips::named(place, members, first))
        }
        Err(opaque) => Verdict::NotDecided(format!(
            "it holds {}, which the algebra does not look into",
            opaque.words()
        )),
    }
}

/// Of the symbols whose signs were looked at, those without which there is no proof.
fn needed(
    place: Place<'_>,
    members: &[Expr],
    looked_at: Vec<SymbolId>,
    positive: &[SymbolId],
) -> Vec<SymbolId> {
    let mut kept = looked_at;
    if kept.is_empty() {
        return kept;
    }
    let proves = |known: &[SymbolId]| {
        let positive: Vec<SymbolId> = (positive.iter().copied())
            .filter(|symbol| known.contains(symbol))
            .collect();
        let means = Means {
            positive: &positive,
            known: Some(known),
        };
        matches!(decided(place, members, means), Ok(Verdict::Follows { .. }))
    };
    if proves(&[]) {
        return Vec::new();
    }
    if kept.len() > MOST_SIGNS {
        return kept;
    }
    let mut at = 0;
    while at < kept.len() {
        let mut fewer = kept.clone();
        fewer.remove(at);
        if proves(&fewer) {
            kept = fewer;
        } else {
            at += 1;
        }
    }
    kept
}

/// Whether a step follows, be it with its symbol taken to be positive.
pub(super) fn is_proved(place: Place<'_>, members: &[Expr]) -> bool {
    matches!(
        decided(place, members, Means::default()),
        Ok(Verdict::Follows { .. })
    ) || with_positive(place, members).is_some()
}

/// A step such as `V = sqrt(2 g h)` takes the positive root; whoever writes it so takes `V` to be
/// positive, and the verdict says so. Where that is not enough, all symbols of unknown sign are
/// taken to be.
fn with_positive(place: Place<'_>, members: &[Expr]) -> Option<Verdict> {
    let unknown = |symbol: &SymbolId| !place.book.resolved.signs.contains_key(symbol);
    let lead = members.first().and_then(Expr::as_symbol).filter(unknown);
    let mut all: Vec<SymbolId> = place.book.symbols_above(place, members);
    all.retain(unknown);
    let attempts = [lead.into_iter().collect::<Vec<SymbolId>>(), all];
    attempts
        .into_iter()
        .filter(|taken| !taken.is_empty())
        .find_map(|taken| {
            let means = Means {
                positive: &taken,
                known: None,
            };
            let Ok(Verdict::Follows {
                by,
                leaned,
                not_zero,
                ..
            }) = decided(place, members, means)
            else {
                return None;
            };
            let leaned = needed(place, members, leaned, &taken);
            let (taking, leaned) = (leaned.into_iter()).partition(|symbol| taken.contains(symbol));
            Some(Verdict::Follows {
                by,
                leaned,
                taking,
                not_zero,
            })
        })
}

fn decided(place: Place<'_>, members: &[Expr], means: Means<'_>) -> Result<Verdict, Opaque> {
    let book = place.book;
    let bodies = |function: FunctionId| book.body(function);
    let mut algebraic = book.algebraic(place.origin, &bodies, means.positive, means.known);
    let premises = book.premises(place, members, &mut algebraic);
    let sides: Vec<&Expr> = members.iter().collect();
    let claims = book.pairs(&sides, &mut algebraic)?;
    let samples = book.samples(&algebraic);
    algebraic.algebra.rest();
    let found = (algebraic.algebra).all_follow(&claims, &premises.equations, &samples);
    Ok(match found {
        Following::Proved { not_zero, .. }
            if (!not_zero.is_empty() || !means.positive.is_empty())
                && !can_hold(&mut algebraic, &claims, &premises, &not_zero, &samples, book) =>
        {
            Verdict::NotDecided(
                "it holds only where something differs from zero, or is positive, that is not so by what stands above"
                    .to_owned(),
            )
        }
        Following::Proved { used, not_zero } => Verdict::Follows {
            by: grounds(&premises, &used),
            not_zero: {
                let at = members
                    .first()
                    .map(|member| member.span)
                    .unwrap_or_default();
                let written = |id: &Id| written::expr(&mut algebraic, *id, at);
                not_zero.iter().filter_map(written).collect()
            },
            leaned: (algebraic.algebra.take_leaned().into_iter())
                .filter_map(|symbol| algebraic::of_symbol(symbol).map(|(symbol, _)| symbol))
                .collect(),
            taking: Vec::new(),
        },
        Following::Refuted(_) if premises.refused => {
            Verdict::NotDecided("a line above was refused, from which it may follow".to_owned())
        }
        Following::Refuted(point) => match premises.opaque {
            // A line that was not read may say more.
            Some(opaque) => Verdict::NotDecided(format!(
                "a line above holds {}, which the algebra does not look into",
                opaque.words()
            )),
            None => Verdict::DoesNotFollow {
                values: (point.values.into_iter())
                    .filter_map(|(symbol, value)| {
                        let (symbol, axis) = algebraic::of_symbol(symbol)?;
                        Some((symbol, axis, value))
                    })
                    .collect(),
                left: point.left,
                right: point.right,
                slip: None,
                fix: None,
            },
        },
        Following::Undecided(why) => Verdict::NotDecided(tried(why)),
    })
}

/// Whether a proof that divides, or takes symbols to be positive, is about anything: what stands
/// above can hold so, and no divisor is zero with the data.
fn can_hold(
    algebraic: &mut Algebraic<'_>,
    claims: &[Equation],
    premises: &Premises,
    not_zero: &[Id],
    samples: &Samples,
    book: &Book<'_>,
) -> bool {
    let mut data = Point::new(book.data().collect());
    let vanishes = |algebra: &Algebra, data: &mut Point, divisor: &Id| {
        data.value(algebra, *divisor).abs() < 1e-12
    };
    let vanishing =
        (not_zero.iter()).any(|divisor| vanishes(&algebraic.algebra, &mut data, divisor));
    !vanishing
        && (claims.iter()).all(|claim| {
            (algebraic.algebra).can_hold(*claim, &premises.equations, not_zero, samples)
        })
}

/// The grounds of a proof, each once, in the order of the worksheet.
fn grounds(premises: &Premises, used: &[usize]) -> Vec<Ground> {
    let mut found: Vec<Ground> = Vec::new();
    for at in used {
        if let Some(ground) = premises.grounds.get(*at)
            && !found.contains(ground)
        {
            found.push(ground.clone());
        }
    }
    found
}

fn tried(why: Undecided) -> String {
    match why {
        Undecided::Agreeing(points) => {
            format!("it agrees with what stands above at {points} points, but no proof was found")
        }
        Undecided::Nowhere => {
            "what stands above could not be solved, and no numbers were found to try".to_owned()
        }
        Undecided::Effort(points) => format!(
            "the bound on effort was reached; it agrees with what stands above at {points} points"
        ),
    }
}

/// What is said about a step that does not follow, or is not decided.
pub(super) fn diagnostic(
    book: &Book<'_>,
    statement: &Statement,
    verdict: &Verdict,
) -> Option<Diagnostic> {
    match verdict {
        Verdict::Follows { .. } => None,
        Verdict::DoesNotFollow {
            values,
            left,
            right,
            slip,
            fix,
        } => {
            let at: Vec<String> = values
                .iter()
                .map(|(symbol, axis, value)| {
                    let key = &book.resolved.symbols.symbol(*symbol).key;
                    let axis = axis.map_or(String::new(), |axis| format!(".{}", axis.letter()));
                    format!("{key}{axis} = {}", number(*value))
                })
                .collect();
            let place = if at.is_empty() {
                String::new()
            } else {
                format!("for {} ", at.join(", "))
            };
            let message = format!(
                "this does not follow from what stands above: {place}its sides are {} and {}",
                number(*left),
                number(*right)
            );
            let help = slip.clone().unwrap_or_else(|| {
                "the step put right, or the equation that it needs above it".to_owned()
            });
            Some(
                Diagnostic::error(Code::A01, statement.span, message)
                    .with_help(help)
                    .with_fixes(fix.clone()),
            )
        }
        Verdict::NotDecided(why) => {
            let code = if why.starts_with("the bound") {
                Code::A05
            } else {
                Code::A02
            };
            Some(
                Diagnostic::warning(
                    code,
                    statement.span,
                    format!("this step is not decided: {why}"),
                )
                .with_help("a smaller step, or the equation that it needs above it"),
            )
        }
    }
}

/// A number of an example, to four figures without trailing zeros.
fn number(value: f64) -> String {
    let text = quantity::to_figures(value, 4).text();
    if text.contains('.') && !text.contains('×') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}
