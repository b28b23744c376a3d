//! The verdict on a step that the author wrote.

use rustc_hash::{FxHashMap, FxHashSet};

use super::premises::{Above, Book, Premises};
use super::{Doubt, Ground, Verdict, slips};
use crate::algebra::{Counterexample, Equation, Following, Id, Point, Samples, Sign, Undecided};
use crate::diagnostic::{Code, Diagnostic};
use crate::quantity;
use crate::resolve::algebraic::{self, Algebraic, Opaque};
use crate::resolve::statement::Origin;
use crate::resolve::{Expr, FunctionId, Statement, SymbolId, written};
use crate::syntax::Axis;

/// A step that is judged, with what stands above it.
///
/// Premises are in canonical form once for each set of known signs, and each attempt is made once:
/// a slip is looked for among many changes of a step, all of which stand below the same premises
/// and hold the same symbols.
pub(super) struct Question<'a> {
    pub book: &'a Book<'a>,
    pub bodies: &'a dyn Fn(FunctionId) -> Option<&'a Expr>,
    pub origin: Origin,
    above: Above<'a>,
}

/// What is known of symbols.
type Signs = FxHashMap<SymbolId, Sign>;

/// An algebra that knows some signs, with the premises in it.
pub(super) struct Desk<'a> {
    algebraic: Algebraic<'a>,
    premises: Premises,
    samples: Samples,
    /// Whether some of the signs are not given but taken.
    is_taken: bool,
}

/// More signs than this are not looked at one by one.
const MOST_SIGNS: usize = 12;

impl<'a> Question<'a> {
    /// A step by its sides. `doubtful` are the steps above that were not proved.
    pub fn new(
        book: &'a Book<'a>,
        bodies: &'a dyn Fn(FunctionId) -> Option<&'a Expr>,
        origin: Origin,
        doubtful: &FxHashSet<Origin>,
        members: &[Expr],
    ) -> Self {
        let above = book.above(origin, doubtful, members);
        Self {
            book,
            bodies,
            origin,
            above,
        }
    }

    /// Whether the step follows from what stands above it.
    pub fn verdict(&self, members: &[Expr]) -> Verdict {
        let first = match self.decided(&mut self.desk_of_given(), members) {
            Ok(first) => first,
            Err(opaque) => return Verdict::NotDecided(Doubt::Opaque(opaque)),
        };
        if let Verdict::Follows { .. } = first {
            return self.with_needed_signs(first, members, &[], &self.book.resolved.signs);
        }
        self.with_positive(members)
            .unwrap_or_else(|| slips::named(self, members, first))
    }

    /// A desk that knows the given signs.
    pub fn desk_of_given(&self) -> Desk<'a> {
        self.desk(&self.book.resolved.signs, false)
    }

    /// A desk at which some symbols are taken to be positive, too.
    pub fn desk_taking(&self, taken: &[SymbolId]) -> Desk<'a> {
        self.desk(&self.signs_with(taken), true)
    }

    fn desk(&self, signs: &Signs, is_taken: bool) -> Desk<'a> {
        let mut algebraic = (self.book).algebraic(self.origin, self.bodies, signs);
        let premises = self.book.premises(&self.above, &mut algebraic);
        Desk {
            algebraic,
            premises,
            samples: Samples::default(),
            is_taken,
        }
    }

    /// The given signs and those that are taken to be positive beside them, first the least.
    ///
    /// A step such as `V = sqrt(2 g h)` takes the positive root; whoever writes it so takes `V` to
    /// be positive, and the verdict says so. Where that is not enough, all symbols of unknown sign
    /// are taken to be.
    pub fn taken(&self, members: &[Expr]) -> Vec<Vec<SymbolId>> {
        let unknown = |symbol: &SymbolId| !self.book.resolved.signs.contains_key(symbol);
        let lead = members.first().and_then(Expr::as_symbol).filter(unknown);
        let lead: Vec<SymbolId> = lead.into_iter().collect();
        let all = self.above.symbols.iter().copied().filter(unknown).collect();
        let mut attempts = vec![lead, all];
        attempts.dedup();
        attempts.retain(|taken| !taken.is_empty());
        attempts
    }

    /// The given signs with some symbols taken to be positive.
    fn signs_with(&self, taken: &[SymbolId]) -> Signs {
        let mut signs = self.book.resolved.signs.clone();
        signs.extend(taken.iter().map(|symbol| (*symbol, Sign::POSITIVE)));
        signs
    }

    fn with_positive(&self, members: &[Expr]) -> Option<Verdict> {
        self.taken(members).into_iter().find_map(|taken| {
            let signs = self.signs_with(&taken);
            let mut desk = self.desk(&signs, true);
            let (used, not_zero) = self.proof(&mut desk, members)?;
            let found = desk.proved(members, &used, &not_zero);
            Some(self.with_needed_signs(found, members, &taken, &signs))
        })
    }

    /// A proof with only those signs without which there is none.
    fn with_needed_signs(
        &self,
        proof: Verdict,
        members: &[Expr],
        taken: &[SymbolId],
        signs: &Signs,
    ) -> Verdict {
        let Verdict::Follows {
            by,
            leaned,
            not_zero,
            ..
        } = proof
        else {
            return proof;
        };
        let leaned = self.needed(members, leaned, taken, signs);
        let (taking, leaned) = (leaned.into_iter()).partition(|symbol| taken.contains(symbol));
        Verdict::Follows {
            by,
            leaned,
            taking,
            not_zero,
        }
    }

    /// Of the symbols whose signs were looked at, those without which there is no proof.
    fn needed(
        &self,
        members: &[Expr],
        looked_at: Vec<SymbolId>,
        taken: &[SymbolId],
        signs: &Signs,
    ) -> Vec<SymbolId> {
        let mut kept = looked_at;
        if kept.is_empty() {
            return kept;
        }
        let proves = |known: &[SymbolId]| {
            let mut signs = signs.clone();
            signs.retain(|symbol, _| known.contains(symbol));
            let is_taken = taken.iter().any(|symbol| known.contains(symbol));
            self.is_proved(&mut self.desk(&signs, is_taken), members)
        };
        if proves(&[]) {
            return Vec::new();
        }
        // None at all was tried already.
        if kept.len() > MOST_SIGNS || kept.len() == 1 {
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

    /// Whether a step, or a change of it, is proved with what a desk knows.
    pub fn is_proved(&self, desk: &mut Desk<'_>, members: &[Expr]) -> bool {
        self.proof(desk, members).is_some()
    }

    /// The premises that a proof needs, and what it takes not to be zero.
    fn proof(&self, desk: &mut Desk<'_>, members: &[Expr]) -> Option<(Vec<usize>, Vec<Id>)> {
        let claims = desk.claims(self.book, members).ok()?;
        let premises = &desk.premises.equations;
        let proof = (desk.algebraic.algebra).prove_all(&claims, premises)?;
        self.is_about_something(desk, &claims, &proof.1)
            .then_some(proof)
    }

    fn decided(&self, desk: &mut Desk<'_>, members: &[Expr]) -> Result<Verdict, Opaque> {
        let claims = desk.claims(self.book, members)?;
        let premises = &desk.premises.equations;
        let found = (desk.algebraic.algebra).all_follow(&claims, premises, &desk.samples);
        Ok(match found {
            Following::Proved { not_zero, .. }
                if !self.is_about_something(desk, &claims, &not_zero) =>
            {
                Verdict::NotDecided(Doubt::Nothing)
            }
            Following::Proved { used, not_zero } => desk.proved(members, &used, &not_zero),
            Following::Refuted(_) if self.above.refused => Verdict::NotDecided(Doubt::Refused),
            Following::Refuted(point) => match desk.premises.opaque {
                // A line that was not read may say more.
                Some(opaque) => Verdict::NotDecided(Doubt::OpaqueAbove(opaque)),
                None => refuted(point),
            },
            Following::Undecided(why) => Verdict::NotDecided(Doubt::Tried(why)),
        })
    }

    /// Whether a proof that divides, or takes symbols to be positive, is about anything: what
    /// stands above can hold so, and no divisor is zero with the data.
    fn is_about_something(
        &self,
        desk: &mut Desk<'_>,
        claims: &[Equation],
        not_zero: &[Id],
    ) -> bool {
        if not_zero.is_empty() && !desk.is_taken {
            return true;
        }
        let mut data = Point::new(self.book.data().collect());
        let algebra = &mut desk.algebraic.algebra;
        let vanishing =
            (not_zero.iter()).any(|divisor| data.value(algebra, *divisor).abs() < 1e-12);
        let premises = &desk.premises.equations;
        !vanishing
            && (claims.iter())
                .all(|claim| algebra.can_hold(*claim, premises, not_zero, &desk.samples))
    }
}

impl Desk<'_> {
    /// The sides of a step as equations; effort is counted from here.
    fn claims(&mut self, book: &Book<'_>, members: &[Expr]) -> Result<Vec<Equation>, Opaque> {
        let sides: Vec<&Expr> = members.iter().collect();
        let claims = book.pairs(&sides, &mut self.algebraic)?;
        self.samples = book.samples(&self.algebraic);
        self.algebraic.algebra.rest();
        Ok(claims)
    }

    fn proved(&mut self, members: &[Expr], used: &[usize], not_zero: &[Id]) -> Verdict {
        let at = (members.first())
            .map(|member| member.span)
            .unwrap_or_default();
        let written = |id: &Id| written::expr(&mut self.algebraic, *id, at);
        let not_zero = not_zero.iter().filter_map(written).collect();
        Verdict::Follows {
            by: grounds(&self.premises, used),
            not_zero,
            leaned: (self.algebraic.algebra.take_leaned().into_iter())
                .filter_map(|symbol| algebraic::of_symbol(symbol).map(|(symbol, _)| symbol))
                .collect(),
            taking: Vec::new(),
        }
    }

    /// Whether the sides of a step agree at a point, to a part of the larger; also where that
    /// cannot be told.
    pub fn agrees_at(
        &mut self,
        members: &[Expr],
        values: &[(SymbolId, Option<Axis>, f64)],
        part: f64,
    ) -> bool {
        let algebraic = &mut self.algebraic;
        let sides: Result<Vec<_>, _> = (members.iter())
            .map(|member| algebraic.canonical(member))
            .collect();
        let Ok(sides) = sides else {
            return true;
        };
        let at = (values.iter())
            .map(|(symbol, axis, value)| (algebraic::symbol(*symbol, *axis), *value));
        let mut point = Point::new(at.chain(algebraic.fixed()).collect());
        let numbers: Vec<f64> = (sides.iter())
            .map(|side| point.value(&algebraic.algebra, *side))
            .collect();
        numbers.windows(2).all(|pair| {
            let off = (pair[0] - pair[1]).abs();
            off.is_nan() || off <= part * pair[0].abs().max(pair[1].abs())
        })
    }
}

fn refuted(point: Counterexample) -> Verdict {
    Verdict::DoesNotFollow {
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
    }
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
            let code = match why {
                Doubt::Tried(Undecided::Effort(_)) => Code::A05,
                Doubt::Tried(Undecided::Agreeing(_) | Undecided::Nowhere)
                | Doubt::Opaque(_)
                | Doubt::OpaqueAbove(_)
                | Doubt::Refused
                | Doubt::Nothing
                | Doubt::NotLookedAt => Code::A02,
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
