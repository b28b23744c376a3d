//! The symbols and functions of a worksheet.

use rustc_hash::FxHashMap;

use super::{FunctionId, SymbolId};
use crate::text::Span;

/// Every symbol and function of a worksheet. Names are scoped by problem: the same key in two
/// problems is two symbols, unless the shared part defines it.
#[derive(Debug, Default, Clone)]
pub struct Symbols {
    symbols: Vec<Symbol>,
    functions: Vec<UserFunction>,
    by_key: Vec<FxHashMap<Box<str>, SymbolId>>,
    function_by_key: Vec<FxHashMap<Box<str>, FunctionId>>,
    vectors: Vectors,
}

/// How many components each symbol has that is a vector.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Vectors(FxHashMap<SymbolId, u8>);

impl Vectors {
    /// How many components a symbol has; `None` for a scalar.
    pub fn components(&self, id: SymbolId) -> Option<u8> {
        self.0.get(&id).copied()
    }
}

impl FromIterator<(SymbolId, u8)> for Vectors {
    fn from_iter<T: IntoIterator<Item = (SymbolId, u8)>>(vectors: T) -> Self {
        Self(vectors.into_iter().collect())
    }
}

/// A symbol.
#[derive(Debug, Clone, PartialEq)]
pub struct Symbol {
    /// Canonical spelling: `rho_1`.
    pub key: Box<str>,
    /// The problem it belongs to; 0 is shared.
    pub problem: usize,
    /// Whether some line of its problem gives it a value, above or below.
    pub declared: bool,
    /// Where it is defined, once it is.
    pub defined: Option<Span>,
}

/// A user function.
#[derive(Debug, Clone, PartialEq)]
pub struct UserFunction {
    /// Canonical spelling of its name.
    pub key: Box<str>,
    /// Canonical spellings of its parameters.
    pub parameters: Vec<Box<str>>,
    /// Where it is defined.
    pub defined: Span,
}

/// What is known of each symbol: most symbols of a worksheet have it, so that their numbers are
/// its places.
#[derive(Debug, Clone, PartialEq)]
pub struct BySymbol<T>(Vec<Option<T>>);

impl<T> Default for BySymbol<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<T> BySymbol<T> {
    /// What is known of a symbol.
    pub fn get(&self, id: SymbolId) -> Option<&T> {
        self.0.get(id.0 as usize)?.as_ref()
    }

    /// The same, to be changed.
    pub fn get_mut(&mut self, id: SymbolId) -> Option<&mut T> {
        self.0.get_mut(id.0 as usize)?.as_mut()
    }

    /// Notes what is known of a symbol from now on.
    pub fn insert(&mut self, id: SymbolId, known: T) {
        let at = id.0 as usize;
        if at >= self.0.len() {
            self.0.resize_with(at + 1, || None);
        }
        self.0[at] = Some(known);
    }

    /// Whether something is known of a symbol.
    pub fn has(&self, id: SymbolId) -> bool {
        self.get(id).is_some()
    }

    /// Forgets what is known of a symbol.
    pub fn remove(&mut self, id: SymbolId) {
        if let Some(known) = self.0.get_mut(id.0 as usize) {
            *known = None;
        }
    }

    /// All that is known, to be changed.
    pub fn iter_mut(&mut self) -> impl Iterator<Item = &mut T> {
        self.0.iter_mut().flatten()
    }
}

impl Symbols {
    /// The symbol.
    ///
    /// Ids are only made here, so every id has its symbol.
    pub fn symbol(&self, id: SymbolId) -> &Symbol {
        &self.symbols[id.0 as usize]
    }

    /// The function.
    pub fn function(&self, id: FunctionId) -> &UserFunction {
        &self.functions[id.0 as usize]
    }

    /// How many symbols there are; ids run from 0.
    pub fn len(&self) -> usize {
        self.symbols.len()
    }

    /// Whether there is no symbol.
    pub fn is_empty(&self) -> bool {
        self.symbols.is_empty()
    }

    /// How many user functions there are; ids run from 0.
    pub fn function_count(&self) -> usize {
        self.functions.len()
    }

    /// The symbol with this key as seen from `problem`: its own, or a shared one
    /// that has a value.
    pub fn find(&self, problem: usize, key: &str) -> Option<SymbolId> {
        let own = self.by_key.get(problem).and_then(|names| names.get(key));
        let shared = || {
            let id = self.by_key.first()?.get(key)?;
            self.symbol(*id).declared.then_some(id)
        };
        own.or_else(shared).copied()
    }

    /// The symbol of `problem` that a symbol of the shared part is there: its own of the same
    /// name, when it has one and the shared part gives it no value.
    pub fn seen_from(&self, problem: usize, id: SymbolId) -> SymbolId {
        let symbol = self.symbol(id);
        if symbol.problem != 0 || symbol.declared {
            return id;
        }
        self.find(problem, &symbol.key).unwrap_or(id)
    }

    /// [`Self::intern`] for a symbol that a line of `problem` gives a value.
    pub fn intern_declared(&mut self, problem: usize, key: &str) -> SymbolId {
        let id = self.intern(problem, key);
        self.symbols[id.0 as usize].declared = true;
        id
    }

    /// The symbol with this key as [`Self::find`] sees it, made in `problem` when there is none.
    pub fn intern(&mut self, problem: usize, key: &str) -> SymbolId {
        if let Some(id) = self.find(problem, key) {
            return id;
        }
        self.symbols.push(Symbol {
            key: key.into(),
            problem,
            declared: false,
            defined: None,
        });
        let id = SymbolId(self.symbols.len() as u32 - 1);
        scope(&mut self.by_key, problem).insert(key.into(), id);
        id
    }

    /// A symbol that no name leads to: a name that one line has for itself.
    pub fn add_unseen(&mut self, problem: usize, key: &str) -> SymbolId {
        self.symbols.push(Symbol {
            key: key.into(),
            problem,
            declared: false,
            defined: None,
        });
        SymbolId(self.symbols.len() as u32 - 1)
    }

    /// Marks a symbol as defined.
    pub fn define(&mut self, id: SymbolId, span: Span) {
        self.symbols[id.0 as usize].defined = Some(span);
    }

    /// Marks a symbol as a vector; tells whether that was news.
    pub fn make_vector(&mut self, id: SymbolId, components: u8) -> bool {
        let known = self.vectors.components(id);
        let news = known.is_none_or(|before| before < components);
        if news {
            self.vectors.0.insert(id, components);
        }
        news
    }

    /// How many components a symbol has; `None` for a scalar.
    pub fn components(&self, id: SymbolId) -> Option<u8> {
        self.vectors.components(id)
    }

    /// The symbols that are vectors.
    pub fn vectors(&self) -> &Vectors {
        &self.vectors
    }

    /// The function with this key as seen from `problem`.
    pub fn find_function(&self, problem: usize, key: &str) -> Option<FunctionId> {
        [problem, 0]
            .iter()
            .find_map(|scope| self.function_by_key.get(*scope)?.get(key))
            .copied()
    }

    /// The keys of the functions that can be seen from `problem`, sorted.
    pub fn function_keys(&self, problem: usize) -> Vec<&str> {
        let own = self.function_by_key.get(problem);
        let shared = self.function_by_key.first().filter(|_| problem != 0);
        let all = own.into_iter().chain(shared).flat_map(FxHashMap::keys);
        let mut keys: Vec<&str> = all.map(|key| &**key).collect();
        keys.sort_unstable();
        keys
    }

    /// Adds a function to `problem`.
    pub fn add_function(&mut self, problem: usize, function: UserFunction) -> FunctionId {
        let id = FunctionId(self.functions.len() as u32);
        scope(&mut self.function_by_key, problem).insert(function.key.clone(), id);
        self.functions.push(function);
        id
    }

    /// Adds a function that no name leads to.
    pub fn add_unseen_function(&mut self, function: UserFunction) -> FunctionId {
        self.functions.push(function);
        FunctionId(self.functions.len() as u32 - 1)
    }

    /// Every key that can be seen from `problem` and is defined above a place, or anywhere, sorted,
    /// for suggestions.
    pub fn keys(&self, problem: usize, above: Option<u32>) -> Vec<&str> {
        let mut keys: Vec<&str> = self
            .symbols
            .iter()
            .filter(|symbol| {
                let is_above = |span: Span| above.is_none_or(|above| span.start < above);
                symbol.defined.is_some_and(is_above)
                    && (symbol.problem == problem || symbol.problem == 0)
            })
            .map(|symbol| &*symbol.key)
            .collect();
        keys.sort_unstable();
        keys
    }
}

/// The names of one problem; problems are numbered as they come.
fn scope<T>(
    scopes: &mut Vec<FxHashMap<Box<str>, T>>,
    problem: usize,
) -> &mut FxHashMap<Box<str>, T> {
    if scopes.len() <= problem {
        scopes.resize_with(problem + 1, FxHashMap::default);
    }
    &mut scopes[problem]
}
