//! Where expressions are kept: each once, with what is known about the symbols.

use std::collections::BTreeSet;
use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::asked::Asked;
use super::author::Author;
use super::node::{Function, Id, Node, Symbol};
use super::sign::Sign;
use super::{Rational, number};

/// How much one algebra may build: about this many expressions, or as many steps.
pub(super) const MOST_STEPS: u32 = 60_000;

/// How many levels an expression may have: walks over it recurse. Beyond, effort is at its bound.
const MOST_LEVELS: u16 = 2_000;

/// Expressions in canonical form, each kept once.
///
/// What is known about the signs of symbols is fixed when it is made, because it decides what
/// may be simplified: `sqrt(x^2)` is `x` only where `x` is known not to be negative.
#[derive(Debug)]
pub struct Algebra {
    nodes: Vec<Node>,
    index: FxHashMap<Node, Id>,
    /// The symbols of each expression, sorted; parts share what they have in common.
    symbols: Vec<Arc<[Symbol]>>,
    /// The functions in each, likewise.
    functions: Vec<Arc<[Function]>>,
    /// How many levels each expression has.
    levels: Vec<u16>,
    signs: FxHashMap<Symbol, Sign>,
    /// Symbols whose known sign has been used since it was last asked.
    leaned: BTreeSet<Symbol>,
    steps: u32,
    /// How many steps there may be.
    limit: u32,
    /// What was asked before.
    pub(super) asked: Asked,
    /// How the author wrote the formulas that were read.
    pub(super) author: Author,
}

impl Algebra {
    /// An algebra that knows nothing about any symbol.
    pub fn new() -> Self {
        Self::knowing(FxHashMap::default())
    }

    /// An algebra that knows the signs of some symbols.
    pub fn knowing(signs: FxHashMap<Symbol, Sign>) -> Self {
        Self {
            nodes: Vec::new(),
            index: FxHashMap::default(),
            symbols: Vec::new(),
            functions: Vec::new(),
            levels: Vec::new(),
            signs,
            leaned: BTreeSet::new(),
            steps: 0,
            limit: MOST_STEPS,
            asked: Asked::default(),
            author: Author::default(),
        }
    }

    /// What an expression is.
    pub fn node(&self, id: Id) -> &Node {
        &self.nodes[id.0 as usize]
    }

    /// How many expressions there are.
    #[cfg(test)]
    pub(super) fn len(&self) -> usize {
        self.nodes.len()
    }

    /// What is known about the sign of a symbol.
    pub fn sign_of_symbol(&self, symbol: Symbol) -> Sign {
        self.signs.get(&symbol).copied().unwrap_or(Sign::ANY)
    }

    /// Whether the bound on effort is reached. Results from then on are correct but not
    /// simplified, so nothing may be concluded from two of them being different.
    pub fn is_exhausted(&self) -> bool {
        self.steps >= self.limit
    }

    /// Begins to count effort anew.
    pub fn rest(&mut self) {
        self.steps = 0;
    }

    /// Allows no more steps than so many, and no more than one question may take.
    pub fn allow(&mut self, steps: u32) {
        self.limit = steps.min(MOST_STEPS);
    }

    /// Counts a step of work.
    pub(super) fn step(&mut self) {
        self.steps = self.steps.saturating_add(1);
    }

    /// Counts the work on a number.
    pub(super) fn weigh(&mut self, value: &Rational) {
        self.count(number::weight(number::bits(value)));
    }

    /// The symbols whose known sign has been used since this was last asked.
    pub fn take_leaned(&mut self) -> BTreeSet<Symbol> {
        std::mem::take(&mut self.leaned)
    }

    /// Notes that the known signs in an expression are being used.
    pub(super) fn lean(&mut self, id: Id) {
        let symbols = self.symbols[id.0 as usize].iter().copied();
        let known = symbols.filter(|symbol| self.signs.contains_key(symbol));
        self.leaned.extend(known);
    }

    /// Notes that the known signs of these symbols are being used.
    pub(super) fn lean_on(&mut self, symbols: BTreeSet<Symbol>) {
        self.leaned.extend(symbols);
    }

    pub(super) fn intern(&mut self, node: Node) -> Id {
        self.step();
        let known = self.index.get(&node).copied();
        let id = known.unwrap_or_else(|| self.add_node(node));
        if self.levels[id.0 as usize] > MOST_LEVELS {
            self.count(MOST_STEPS);
        }
        id
    }

    fn add_node(&mut self, node: Node) -> Id {
        let id = Id(self.nodes.len() as u32);
        self.symbols.push(self.symbols_of(&node));
        self.functions.push(self.functions_of(&node));
        self.nodes.push(node.clone());
        self.index.insert(node, id);
        let below = self
            .parts(id)
            .into_iter()
            .map(|part| self.levels[part.0 as usize]);
        let below = below.max().unwrap_or(0);
        self.levels.push(below.saturating_add(1));
        id
    }

    /// Keeps an expression of another algebra as it stands there, for its values.
    pub fn keep(&mut self, other: &Algebra, id: Id) -> Id {
        let mut own: FxHashMap<Id, Id> = FxHashMap::default();
        for id in other.within(id) {
            let kept = self.intern(other.node(id).with_parts(&|part| own[&part]));
            own.insert(id, kept);
        }
        own[&id]
    }

    /// The direct parts of an expression.
    pub fn parts(&self, id: Id) -> Vec<Id> {
        match self.node(id) {
            Node::Undefined | Node::Number(_) | Node::Pi | Node::Symbol(_) => Vec::new(),
            Node::Sum(sum) => sum.terms.iter().map(|(term, _)| *term).collect(),
            Node::Product(factors) => factors.iter().map(|(base, _)| *base).collect(),
            Node::Power(base, exponent) => vec![*base, *exponent],
            Node::Call(_, arguments) => arguments.clone(),
        }
    }

    /// All that an expression is made of, itself included, parts before what they stand in. Each is
    /// there once: written out, parts that are shared can be more than could ever be looked at.
    pub fn within(&self, id: Id) -> BTreeSet<Id> {
        let mut reached = BTreeSet::new();
        let mut open = vec![id];
        while let Some(id) = open.pop() {
            if reached.insert(id) {
                open.extend(self.parts(id));
            }
        }
        reached
    }

    /// The symbols of an expression, sorted.
    pub fn symbols(&self, id: Id) -> &[Symbol] {
        &self.symbols[id.0 as usize]
    }

    /// Whether a symbol stands in an expression.
    pub fn contains(&self, id: Id, symbol: Symbol) -> bool {
        self.symbols(id).binary_search(&symbol).is_ok()
    }

    fn symbols_of(&self, node: &Node) -> Arc<[Symbol]> {
        match node {
            Node::Symbol(symbol) => Arc::new([*symbol]),
            _ => joined(&of_parts(node, &self.symbols)),
        }
    }

    fn functions_of(&self, node: &Node) -> Arc<[Function]> {
        let own: Arc<[Function]> = match node {
            Node::Call(function, _) => Arc::new([*function]),
            Node::Undefined
            | Node::Number(_)
            | Node::Pi
            | Node::Symbol(_)
            | Node::Sum(_)
            | Node::Product(_)
            | Node::Power(..) => Arc::default(),
        };
        let mut all = of_parts(node, &self.functions);
        all.push(&own);
        joined(&all)
    }

    /// Whether one of these functions stands in an expression.
    pub(super) fn has_call(&self, id: Id, functions: &[Function]) -> bool {
        let own = &self.functions[id.0 as usize];
        functions.iter().any(|function| own.contains(function))
    }

    /// How many steps were taken.
    pub fn steps(&self) -> u32 {
        self.steps
    }

    /// Whether so many more steps are within the bound.
    pub(super) fn has_room_for(&self, steps: u32) -> bool {
        self.steps.saturating_add(steps) < self.limit
    }

    /// Counts steps of work that was done before.
    pub(super) fn count(&mut self, steps: u32) {
        self.steps = self.steps.saturating_add(steps);
    }
}

/// What is known of the direct parts of a node.
fn of_parts<'a, T>(node: &Node, known: &'a [Arc<[T]>]) -> Vec<&'a Arc<[T]>> {
    let of = |part: &Id| &known[part.0 as usize];
    match node {
        Node::Undefined | Node::Number(_) | Node::Pi | Node::Symbol(_) => Vec::new(),
        Node::Sum(sum) => sum.terms.iter().map(|(term, _)| of(term)).collect(),
        Node::Product(factors) => factors.iter().map(|(base, _)| of(base)).collect(),
        Node::Power(base, exponent) => vec![of(base), of(exponent)],
        Node::Call(_, arguments) => arguments.iter().map(of).collect(),
    }
}

/// All that stands in some sorted lists, sorted; one of them where it holds the others.
fn joined<T: Ord + Copy>(parts: &[&Arc<[T]>]) -> Arc<[T]> {
    let Some(longest) = parts.iter().max_by_key(|part| part.len()) else {
        return Arc::default();
    };
    let is_inside = |part: &&Arc<[T]>| {
        Arc::ptr_eq(part, longest) || part.iter().all(|it| longest.binary_search(it).is_ok())
    };
    if parts.iter().all(is_inside) {
        return Arc::clone(longest);
    }
    let all: BTreeSet<T> = parts.iter().flat_map(|part| part.iter().copied()).collect();
    all.into_iter().collect()
}

impl Default for Algebra {
    fn default() -> Self {
        Self::new()
    }
}
