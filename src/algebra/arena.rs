//! Where expressions are kept: each once, with what is known about the symbols.

use std::collections::BTreeSet;

use rustc_hash::FxHashMap;

use super::node::{Id, Node, Symbol};
use super::sign::Sign;

/// How much one algebra may build: about this many expressions, or as many steps.
const MOST_STEPS: u32 = 60_000;

/// Expressions in canonical form, each kept once.
///
/// What is known about the signs of symbols is fixed when it is made, because it decides what
/// may be simplified: `sqrt(x^2)` is `x` only where `x` is known not to be negative.
#[derive(Debug)]
pub struct Algebra {
    nodes: Vec<Node>,
    index: FxHashMap<Node, Id>,
    signs: FxHashMap<Symbol, Sign>,
    /// Symbols whose known sign has been used since it was last asked.
    leaned: BTreeSet<Symbol>,
    steps: u32,
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
            signs,
            leaned: BTreeSet::new(),
            steps: 0,
        }
    }

    /// What an expression is.
    pub fn node(&self, id: Id) -> &Node {
        &self.nodes[id.0 as usize]
    }

    /// How many expressions there are.
    pub fn len(&self) -> usize {
        self.nodes.len()
    }

    /// Whether nothing was built yet.
    pub fn is_empty(&self) -> bool {
        self.nodes.is_empty()
    }

    /// What is known about the sign of a symbol.
    pub fn sign_of_symbol(&self, symbol: Symbol) -> Sign {
        self.signs.get(&symbol).copied().unwrap_or(Sign::ANY)
    }

    /// Whether the bound on effort is reached. Results from then on are correct but not
    /// simplified, so nothing may be concluded from two of them being different.
    pub fn is_exhausted(&self) -> bool {
        self.steps >= MOST_STEPS
    }

    /// Begins to count effort anew.
    pub fn rest(&mut self) {
        self.steps = 0;
    }

    /// Counts a step of work.
    pub(super) fn step(&mut self) {
        self.steps = self.steps.saturating_add(1);
    }

    /// The symbols whose known sign has been used since this was last asked.
    pub fn take_leaned(&mut self) -> BTreeSet<Symbol> {
        std::mem::take(&mut self.leaned)
    }

    /// Notes that the known signs in an expression are being used.
    pub(super) fn lean(&mut self, id: Id) {
        let mut symbols = BTreeSet::new();
        self.symbols_into(id, &mut symbols);
        let known = symbols
            .into_iter()
            .filter(|symbol| self.signs.contains_key(symbol));
        self.leaned.extend(known);
    }

    /// Notes that the known signs of these symbols are being used.
    pub(super) fn lean_on(&mut self, symbols: BTreeSet<Symbol>) {
        self.leaned.extend(symbols);
    }

    pub(super) fn intern(&mut self, node: Node) -> Id {
        self.step();
        if let Some(id) = self.index.get(&node) {
            return *id;
        }
        let id = Id(self.nodes.len() as u32);
        self.nodes.push(node.clone());
        self.index.insert(node, id);
        id
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

    /// The symbols of an expression.
    pub fn symbols(&self, id: Id) -> BTreeSet<Symbol> {
        let mut found = BTreeSet::new();
        self.symbols_into(id, &mut found);
        found
    }

    fn symbols_into(&self, id: Id, found: &mut BTreeSet<Symbol>) {
        let mut seen = BTreeSet::new();
        let mut open = vec![id];
        while let Some(id) = open.pop() {
            if !seen.insert(id) {
                continue;
            }
            match self.node(id) {
                Node::Symbol(symbol) => {
                    found.insert(*symbol);
                }
                _ => open.extend(self.parts(id)),
            }
        }
    }

    /// Whether a symbol stands in an expression.
    pub fn contains(&self, id: Id, symbol: Symbol) -> bool {
        self.symbols(id).contains(&symbol)
    }
}

impl Default for Algebra {
    fn default() -> Self {
        Self::new()
    }
}
