//! `shear and moment of beam as V(x), M(x)`: functions of where a member is cut.
//!
//! `mechanics` says what acts within its length and behind it. What is evaluated asks of each thing
//! that acts whether the cut is behind it, and so holds whatever the order of places comes to; what
//! is printed is written piece by piece, in the order of the data.

use std::sync::Arc;

use super::super::Resolver;
use super::super::algebraic::Algebraic;
use super::super::components::sum_of;
use super::super::setting::{Lines, Taking};
use super::super::tree::{Case, Condition, Expr, ExprKind, Factor, FunctionId, SymbolId, Term};
use super::Kind;
use super::sketch::Sketch;
use crate::algebra::Effort;
use crate::diagnostic::Code;
use crate::mechanics::{self, Acting, Crooked, Id, Inner, Member, Sum, Uncut};
use crate::syntax::{MemberKind, Name, Operator, Relation, ShearAndMoment, SketchKind};
use crate::text::Span;

/// What a straight member of a sketch holds together at a cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// Where it is asked for.
    pub span: Span,
    /// The sketch, whose last quantity is the distance of the cut from the first place.
    pub sketch: Arc<Sketch>,
    /// The member.
    pub member: Member,
    /// What acts on it.
    pub acting: Vec<Acting>,
    /// The places at which a piece begins, in the order in which they are written; the first and
    /// the last place of the member are not among them.
    pub stops: Vec<usize>,
    /// How long the member is.
    pub length: Expr,
    /// Its functions: shear and moment are the last two.
    pub forms: Vec<CutForm>,
}

/// A function of where a member is cut.
#[derive(Debug, Clone, PartialEq)]
pub struct CutForm {
    /// Which.
    pub inner: Inner,
    /// The function.
    pub function: FunctionId,
    /// Piece by piece, as it is printed.
    pub pieces: Expr,
    /// What is evaluated.
    pub body: Expr,
    /// It at the last place.
    pub at_the_end: Expr,
}

impl Cut {
    /// The number of the distance of the cut.
    pub fn distance(&self) -> Id {
        self.sketch.quantities.len().saturating_sub(1)
    }

    /// Whether anything that acts counts in one of its functions.
    pub fn has(&self, inner: Inner) -> bool {
        let of = |it: &Acting| [&it.within, &it.behind].map(|all| !all[inner as usize].is_empty());
        self.acting.iter().any(|it| of(it).contains(&true))
    }

    /// The name of a place.
    pub fn place(&self, at: usize) -> &str {
        self.sketch.places.get(at).map_or("", |it| &it.text)
    }
}

impl Resolver<'_> {
    pub(super) fn shear(
        &mut self,
        line: Span,
        shear: &ShearAndMoment,
        unknowns: &mut Vec<SymbolId>,
    ) -> Option<Kind> {
        let found = self.cut_of(line, shear);
        let mut free = true;
        for (at, (name, _)) in shear.calls.iter().enumerate() {
            free &= self.may_be_function(name).is_some();
            let before = shear.calls[..at].iter().find(|(it, _)| it.key == name.key);
            if let Some((first, _)) = before {
                self.report_twice(name.span.of(self.text), name.span, first.span);
                free = false;
            }
        }
        let Some(mut cut) = found.filter(|_| free) else {
            // A call of them needs what failed here.
            for (name, _) in &shear.calls {
                let known = self.symbols.find_function(self.problem, &name.key);
                let broken = known.is_none().then(|| self.define_broken(name)).flatten();
                self.broken_functions.extend(broken);
                unknowns.extend(broken);
            }
            return None;
        };
        let skipped = Inner::ALL.len() - shear.calls.len();
        for (inner, (name, parameter)) in Inner::ALL.into_iter().skip(skipped).zip(&shear.calls) {
            let form = self.form_of_cut(&cut, inner, (name, parameter));
            cut.forms.push(form);
        }
        Some(Kind::Shear(Box::new(cut)))
    }

    fn cut_of(&mut self, line: Span, shear: &ShearAndMoment) -> Option<Cut> {
        let sketch = self.sketch_labelled(&shear.label)?;
        if sketch.is_incomplete {
            // What is wrong with the sketch has been told.
            return None;
        }
        let place = shear.label.span;
        if let Some((message, help)) = no_member(&sketch) {
            self.refuse_sketch(Code::G29, place, message, help);
            return None;
        }
        let parts: Vec<[usize; 2]> = sketch.members.iter().map(|(_, ends)| *ends).collect();
        let is_nothing = |sum: &Sum| self.is_nothing(&sketch, sum, line);
        let member = match Member::new(&sketch.body, &parts, &is_nothing) {
            Ok(member) => member,
            Err(crooked) => {
                let (message, help) = not_straight(&sketch, crooked);
                self.refuse_sketch(Code::G29, place, message, help);
                return None;
            }
        };
        let mut own = (*sketch).clone();
        let x = own.quantities.len();
        own.quantities.push(Expr {
            span: line,
            kind: ExprKind::Parameter(0),
        });
        let couple_at = |of: usize| sketch.acts.get(of)?.at;
        let acting = match member.cut(&sketch.body, x, &couple_at) {
            Ok(acting) => acting,
            Err(uncut) => {
                self.refuse_uncut(&sketch, uncut, place);
                return None;
            }
        };
        let mut cut = Cut {
            span: line,
            sketch: Arc::new(own),
            stops: Vec::new(),
            member,
            acting,
            length: Expr {
                span: line,
                kind: ExprKind::Numeral(0.0),
            },
            forms: Vec::new(),
        };
        cut.length = cut.far(cut.member.ends[1]);
        cut.stops = self.stops(&cut);
        // What stands first on the member is written first.
        let mut acting = std::mem::take(&mut cut.acting);
        acting.sort_by_key(|it| cut.rank(it.places[0]));
        cut.acting = acting;
        Some(cut)
    }

    /// The places within the member at which something begins or ends: in the order of the data
    /// where these tell all of them, else in that of the lines.
    fn stops(&self, cut: &Cut) -> Vec<usize> {
        let mut found: Vec<usize> = Vec::new();
        for place in 0..cut.sketch.places.len() {
            let is_met = cut.acting.iter().any(|it| it.places.contains(&place));
            let is_known = found
                .iter()
                .any(|it| cut.member.far(*it) == cut.member.far(place));
            if is_met && !is_known && !cut.is_at_an_end(place) {
                found.push(place);
            }
        }
        let number = |id: Id| {
            let formula = cut.sketch.quantities.get(id);
            formula
                .and_then(|it| self.number_of(it))
                .unwrap_or(f64::NAN)
        };
        let far = |place: &usize| {
            cut.member
                .far(*place)
                .map_or(f64::NAN, |it| it.value(&number))
        };
        let all: Vec<f64> = found.iter().map(far).collect();
        if all.iter().all(|it| it.is_finite()) {
            found.sort_by(|one, other| far(one).total_cmp(&far(other)));
        }
        found
    }

    /// Whether the algebra knows a sum of lengths to be nothing.
    fn is_nothing(&self, sketch: &Sketch, sum: &Sum, line: Span) -> bool {
        if sum.is_zero() {
            return true;
        }
        let formula = sketch.formula(sum, line);
        let lines = Lines {
            text: self.text,
            symbols: &self.symbols,
            problem: self.problem,
            bodies: &|function| self.bodies.get(&function),
            signs: &self.signs,
        };
        let mut taking = Taking::new(lines, std::iter::once(&formula), std::iter::empty());
        let formula = taking.formula(&formula);
        let (setting, _) = taking.setting();
        let mut algebraic = Algebraic::new(&setting, &setting.signs);
        algebraic
            .algebra
            .allow(Effort::SOLVING.of_one(self.asker.share(self.problem), 1));
        let Ok(id) = algebraic.canonical(&formula) else {
            return false;
        };
        algebraic.algebra.is_identically_zero(id) == Some(true)
    }

    fn form_of_cut(
        &mut self,
        cut: &Cut,
        inner: Inner,
        (name, parameter): (&Name, &Name),
    ) -> CutForm {
        let mut pieces = cut.pieces(inner);
        let mut body = cut.body(inner, &|expr| self.number_of(expr).is_some());
        for expr in [&mut pieces, &mut body] {
            expr.change(&mut |part| {
                if matches!(part.kind, ExprKind::Parameter(_)) {
                    part.span = parameter.span;
                }
            });
        }
        let function = self.new_function(name, vec![parameter.key.clone()], &body);
        CutForm {
            inner,
            function,
            pieces,
            body,
            at_the_end: cut.made(ExprKind::Apply {
                function,
                arguments: vec![cut.length.clone()],
            }),
        }
    }

    fn refuse_uncut(&mut self, sketch: &Sketch, uncut: Uncut, place: Span) {
        let act = |of: usize| sketch.acts.get(of);
        let written = |of: usize| act(of).map_or("", |act| act.span.of(self.text));
        let called = |of: usize| act(of).map_or("", |act| act.called);
        let (message, help) = match uncut {
            Uncut::Nowhere(of) => {
                self.refuse_lack(sketch, mechanics::Lack::Place(of), place);
                return;
            }
            Uncut::Off(of, at) => {
                let at = sketch.places.get(at).map_or("", |it| &it.text);
                (
                    format!(
                        "the {} `{}` acts at `{at}`, which is not on the member",
                        called(of),
                        written(of)
                    ),
                    "a sketch of the member alone, with what acts on it where it is cut off"
                        .to_owned(),
                )
            }
            Uncut::Accelerates(_) => (
                "it accelerates, and where the mass of the member lies is not said".to_owned(),
                "the sketch without `accelerates`".to_owned(),
            ),
        };
        self.refuse_sketch(Code::G29, place, message, help);
    }
}

/// Why a sketch has no member to be cut, and what to write.
fn no_member(sketch: &Sketch) -> Option<(String, String)> {
    if sketch.kind != SketchKind::Body {
        return Some((
            format!("a {} has no member that could be cut", sketch.kind.word()),
            format!(
                "a sketch `{}: body` with a line `beam A to B`",
                sketch.label
            ),
        ));
    }
    let more = [
        (!sketch.outlines.is_empty(), "an `outline`"),
        (!sketch.wheels.is_empty(), "a `wheel`"),
        (sketch.block.is_some(), "a `block`"),
    ];
    if let Some((_, what)) = more.iter().find(|(has, _)| *has) {
        return Some((
            format!("{what} is no straight member"),
            "a sketch of the member alone, with what acts on it where it is cut off".to_owned(),
        ));
    }
    let is_rope = |kind: &MemberKind| *kind == MemberKind::Rope;
    if sketch.members.iter().any(|(kind, _)| is_rope(kind)) {
        return Some((
            "a `rope` holds no shear and no moment".to_owned(),
            "`beam`, or the rope as `cable S … at B`".to_owned(),
        ));
    }
    None
}

fn not_straight(sketch: &Sketch, crooked: Crooked) -> (String, String) {
    let alone = "a sketch for each straight member, with what acts on it where it is cut off";
    match crooked {
        Crooked::None => (
            format!("the sketch `{}` has no member", sketch.label),
            "`beam A to B` in the sketch".to_owned(),
        ),
        Crooked::Parted => (
            "the members of this sketch are not in one line".to_owned(),
            alone.to_owned(),
        ),
        Crooked::Bent(at) => {
            let at = sketch.places.get(at).map_or("", |it| &it.text);
            (
                format!("the members of this sketch are not in one line: `{at}` lies beside it"),
                alone.to_owned(),
            )
        }
    }
}

impl Cut {
    fn made(&self, kind: ExprKind) -> Expr {
        Expr {
            span: self.span,
            kind,
        }
    }

    fn number(&self, value: f64) -> Expr {
        self.made(ExprKind::Numeral(value))
    }

    /// How far a place is from the first, as a formula.
    fn far(&self, place: usize) -> Expr {
        let far = self.member.far(place).cloned().unwrap_or_default();
        // A sum needs no brackets beside a relation.
        self.sketch.formula(&far, self.span).inside().clone()
    }

    fn is_at_the_beginning(&self, place: usize) -> bool {
        self.member.far(place).is_some_and(Sum::is_zero)
    }

    fn is_at_the_last(&self, place: usize) -> bool {
        self.member.far(place) == self.member.far(self.member.ends[1])
    }

    fn is_at_an_end(&self, place: usize) -> bool {
        self.is_at_the_beginning(place) || self.is_at_the_last(place)
    }

    /// `0 <= x < a`; at the last place the cut is just before it.
    fn between(&self, from: Option<usize>, to: Option<usize>) -> Condition {
        let from = from.map_or_else(|| self.number(0.0), |place| self.far(place));
        let (until, to) = match to {
            Some(place) => (Relation::Less, self.far(place)),
            None => (Relation::LessOrEqual, self.length.clone()),
        };
        Condition {
            members: vec![from, self.made(ExprKind::Parameter(0)), to],
            relations: vec![Relation::LessOrEqual, until],
        }
    }

    /// `x < a`
    fn before(&self, place: usize) -> Condition {
        Condition {
            members: vec![self.made(ExprKind::Parameter(0)), self.far(place)],
            relations: vec![Relation::Less],
        }
    }

    fn written(&self, terms: &[mechanics::Term]) -> Vec<Term> {
        let written = terms
            .iter()
            .map(|term| self.sketch.written_term(term, self.span));
        let term = |term: super::sketch::WrittenTerm| Term {
            negative: term.is_negative,
            expr: term.formula,
        };
        written.map(term).collect()
    }

    /// Piece by piece, in the order of the places.
    fn pieces(&self, inner: Inner) -> Expr {
        let stops = || self.stops.iter().copied().map(Some);
        let from = std::iter::once(None).chain(stops());
        let to = stops().chain(std::iter::once(None));
        let mut cases: Vec<Case> = Vec::new();
        for (from, to) in from.zip(to) {
            let piece = from.and_then(|from| self.stops.iter().position(|it| *it == from));
            let piece = piece.map_or(0, |at| at + 1);
            let mut terms = Vec::new();
            for acting in &self.acting {
                terms.extend(match acting.places.map(|at| self.rank(at)) {
                    [_, end] if end <= piece => self.written(&acting.behind[inner as usize]),
                    [begin, _] if begin <= piece => self.written(&acting.within[inner as usize]),
                    _ => Vec::new(),
                });
            }
            let value = sum_of(self.span, terms);
            let condition = Some(self.between(from, to));
            // Where nothing changes, the piece goes on.
            match cases.last_mut() {
                Some(last) if last.value == value => {
                    if let (Some(own), Some(more)) = (&mut last.condition, condition) {
                        own.members[2] = more.members[2].clone();
                        own.relations[1] = more.relations[1];
                    }
                }
                _ => cases.push(Case { value, condition }),
            }
        }
        self.made(ExprKind::Cases(cases))
    }

    /// The number of the piece that begins at a place.
    fn rank(&self, place: usize) -> usize {
        if self.is_at_the_beginning(place) {
            return 0;
        }
        let is_it = |stop: &usize| self.member.far(*stop) == self.member.far(place);
        let found = self.stops.iter().position(is_it);
        found.map_or(usize::MAX, |at| at + 1)
    }

    /// Nothing of what it would be: a force, or a force times a length. What is known by data tells
    /// it before what has to be found.
    fn nothing(&self, inner: Inner, is_known: &dyn Fn(&Expr) -> bool) -> Option<Term> {
        let written = |of: Inner| {
            let terms = self
                .acting
                .iter()
                .flat_map(move |it| &it.behind[of as usize]);
            terms.flat_map(|term| self.written(std::slice::from_ref(term)))
        };
        let first = |all: Vec<Term>| {
            let known = all.iter().position(|term| is_known(&term.expr));
            all.into_iter().nth(known.unwrap_or(0))
        };
        let forces = written(Inner::Axial).chain(written(Inner::Shear));
        let is_moment = inner == Inner::Moment;
        let (of, by) = match first(forces.collect()) {
            Some(force) => (force, is_moment.then_some(Operator::Juxtapose)),
            // A couple over a length is a force.
            None => {
                let couple = first(written(Inner::Moment).collect())?;
                (couple, (!is_moment).then_some(Operator::Divide))
            }
        };
        let group = |expr: Expr| self.made(ExprKind::Group(Box::new(expr)));
        let factor = |operator, expr| Factor { operator, expr };
        let mut factors = vec![
            factor(Operator::Juxtapose, self.number(0.0)),
            factor(Operator::Juxtapose, group(of.expr)),
        ];
        factors.extend(by.map(|operator| factor(operator, group(self.length.clone()))));
        Some(Term {
            negative: false,
            expr: self.made(ExprKind::Product(factors.into())),
        })
    }

    /// Everything that acts, each by where it stands; nothing beyond the ends.
    fn body(&self, inner: Inner, is_known: &dyn Fn(&Expr) -> bool) -> Expr {
        let mut terms = Vec::new();
        for acting in &self.acting {
            let [within, behind] = [&acting.within, &acting.behind];
            let [within, behind] = [within, behind].map(|it| self.written(&it[inner as usize]));
            let [begin, end] = acting.places;
            let is_spread = begin != end;
            if self.is_at_the_last(begin) || (within.is_empty() && behind.is_empty()) {
                continue;
            }
            let mut cases = Vec::new();
            if !self.is_at_the_beginning(begin) {
                cases.push(Case {
                    value: self.number(0.0),
                    condition: Some(self.before(begin)),
                });
            }
            if is_spread {
                let is_whole = self.is_at_the_last(end);
                cases.push(Case {
                    value: sum_of(self.span, within),
                    condition: (!is_whole).then(|| self.before(end)),
                });
            }
            if !is_spread || !self.is_at_the_last(end) {
                cases.push(Case {
                    value: sum_of(self.span, behind),
                    condition: None,
                });
            }
            let expr = match cases.as_mut_slice() {
                [only] if only.condition.is_none() => {
                    let value = std::mem::replace(&mut only.value, self.number(0.0));
                    match value.kind {
                        ExprKind::Sum(_) | ExprKind::Negative(_) => {
                            self.made(ExprKind::Group(Box::new(value)))
                        }
                        _ => value,
                    }
                }
                _ => self.made(ExprKind::Cases(cases)),
            };
            terms.push(Term {
                negative: false,
                expr,
            });
        }
        if terms.is_empty() {
            terms.extend(self.nothing(inner, is_known));
        }
        self.made(ExprKind::Cases(vec![Case {
            value: sum_of(self.span, terms),
            condition: Some(self.between(None, None)),
        }]))
    }
}
