//! `component x of joint`.

use rustc_hash::FxHashMap;

use super::super::components::{self, Components};
use super::super::statement::Origin;
use super::super::{Expr, ExprKind, Resolver, SymbolId};
use super::Kind;
use crate::diagnostic::{Code, Diagnostic};
use crate::syntax::{self, Axis};

/// A component of a vector equation, written out by the engine.
#[derive(Debug, Clone, PartialEq)]
pub struct Component {
    /// Which component.
    pub axis: Axis,
    /// The number of the vector equation.
    pub of: usize,
    /// The vector equation.
    pub origin: Origin,
    /// Its sides.
    pub members: Vec<Expr>,
}

impl Resolver<'_> {
    /// `component x of joint`
    pub(in crate::resolve) fn component(
        &mut self,
        component: &syntax::ComponentOf,
        number: Option<usize>,
        origin: Origin,
    ) -> Option<Kind> {
        let at = self.labelled(&component.label)?;
        let known = self.known[at].clone();
        let definitions = self.vector_definitions(at);
        let writer = Components {
            vectors: self.symbols.vectors(),
            definition: &|symbol| definitions.get(&symbol),
        };
        let is_vector = known
            .members
            .iter()
            .any(|member| components::components(member, self.symbols.vectors()).is_some());
        let members: Option<Vec<Expr>> = known
            .members
            .iter()
            .map(|member| writer.of(member, component.axis))
            .collect();
        let Some(members) = members.filter(|_| is_vector) else {
            self.report_component(component, is_vector);
            return None;
        };
        self.remember(&members, number, origin);
        self.keep(number, origin, &members);
        Some(Kind::Component(Component {
            axis: component.axis,
            of: known.number.unwrap_or(0),
            origin: known.origin,
            members,
        }))
    }

    fn report_component(&mut self, component: &syntax::ComponentOf, is_vector: bool) {
        let label = &component.label;
        let axis = match component.axis {
            syntax::Axis::X => "x",
            syntax::Axis::Y => "y",
            syntax::Axis::Z => "z",
        };
        let (message, help) = if is_vector {
            (
                format!("`{}` has no component {axis} in every term", label.text),
                "an equation of vectors with as many components each".to_owned(),
            )
        } else {
            (
                format!("`{}` is no equation of vectors", label.text),
                "vectors by their components, as in `F = (F_x, F_y)`, in the equations above"
                    .to_owned(),
            )
        };
        self.diagnostics
            .push(Diagnostic::error(Code::V03, label.span, message).with_help(help));
    }

    /// The vectors that equations of the problem define, written by their components with those
    /// above them put in; but for the one whose components are asked.
    fn vector_definitions(&self, but: usize) -> FxHashMap<SymbolId, Expr> {
        let mut found: FxHashMap<SymbolId, Expr> = FxHashMap::default();
        for (at, known) in self.known.iter().enumerate() {
            let own = known.problem == self.problem || known.problem == 0;
            let left_out = at == but || known.is_step;
            let ([lead, formula], true, false) = (known.members.as_slice(), own, left_out) else {
                continue;
            };
            let (Some(symbol), Some(size)) = (
                lead.as_symbol(),
                components::components(formula, self.symbols.vectors()),
            ) else {
                continue;
            };
            let writer = Components {
                vectors: self.symbols.vectors(),
                definition: &|symbol| found.get(&symbol),
            };
            let items: Option<Vec<Expr>> = (components::axes(size).iter())
                .map(|axis| writer.of(formula, *axis))
                .collect();
            if let Some(items) = items
                && !found.contains_key(&symbol)
            {
                let vector = Expr {
                    span: formula.span,
                    kind: ExprKind::Vector(items),
                };
                found.insert(symbol, vector);
            }
        }
        found
    }
}
