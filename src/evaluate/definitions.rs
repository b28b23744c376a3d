//! How each value of a worksheet came to be, so that it can be had again with other data.

use std::collections::BTreeMap;
use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::asked::{Chosen, Told};
use super::fit::Definite;
use super::program::{self, Fault, Program};
use super::said::{Barred, Disagreement, Way};
use super::solve::{self, Seek, Sides, Unsolved};
use super::told;
use super::value::{self, Value, Values};
use super::walk::{Lack, Results, Walk};
use crate::proofs::Proviso;
use crate::quantity::Exponent;
use crate::resolve::statement::{Condition, Origin};
use crate::resolve::{Expr, SymbolId};
use crate::text::Span;

/// How values came to be.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Definition<'a> {
    /// By formulas.
    Formula {
        /// The symbol.
        symbol: SymbolId,
        /// The lines that say what it is, the nearest first.
        ways: Vec<Way<'a>>,
    },
    /// As the roots of equations: one, or several together.
    Roots {
        /// The symbols.
        symbols: Vec<SymbolId>,
        /// As many equations.
        equations: Vec<Sides>,
        /// Where a root is sought in a row that has none yet.
        seek: Seek,
        /// Where they stand.
        origins: Vec<Origin>,
    },
    /// As the parameters of a fit.
    Fit(Arc<Definite>),
}

impl Definition<'_> {
    /// Whether it is had by formulas alone.
    pub(super) fn is_formula(&self) -> bool {
        match self {
            Self::Formula { .. } => true,
            Self::Roots { .. } | Self::Fit(_) => false,
        }
    }

    fn is_fit(&self) -> bool {
        match self {
            Self::Fit(_) => true,
            Self::Formula { .. } | Self::Roots { .. } => false,
        }
    }

    pub(super) fn symbols(&self) -> &[SymbolId] {
        match self {
            Self::Formula { symbol, .. } => std::slice::from_ref(symbol),
            Self::Roots { symbols, .. } => symbols,
            Self::Fit(fit) => fit.symbols(),
        }
    }

    /// Whether it holds a source of uncertainty itself.
    fn holds(&self, source: u32) -> bool {
        let wanted = |own| own == source;
        match self {
            Self::Formula { ways, .. } => (ways.iter())
                .flat_map(Way::programs)
                .any(|program| program.holds(&wanted)),
            Self::Roots { equations, .. } => {
                let mut programs = equations.iter().flatten();
                programs.any(|program| program.holds(&wanted))
            }
            Self::Fit(fit) => fit.programs().any(|program| program.holds(&wanted)),
        }
    }

    /// The programs of its formulas.
    pub(super) fn programs(&self) -> Vec<&Program> {
        match self {
            Self::Formula { ways, .. } => ways.iter().flat_map(Way::programs).collect(),
            Self::Roots { .. } | Self::Fit(_) => Vec::new(),
        }
    }

    /// What it reads, but for what is taken together to numbers of which fewer errors are told.
    pub(super) fn told(&self) -> Vec<SymbolId> {
        match self {
            Self::Formula { ways, .. } => (ways.iter().flat_map(Way::programs))
                .flat_map(Program::told_symbols)
                .collect(),
            Self::Roots { equations, .. } => (equations.iter().flatten())
                .flat_map(Program::told_symbols)
                .collect(),
            // Its parameters are what they are.
            Self::Fit(_) => Vec::new(),
        }
    }

    /// What it reads.
    pub(super) fn reads(&self) -> Vec<SymbolId> {
        match self {
            Self::Formula { ways, .. } => (ways.iter())
                .flat_map(Way::programs)
                .flat_map(Program::symbols)
                .collect(),
            Self::Roots { equations, .. } => equations
                .iter()
                .flatten()
                .flat_map(Program::symbols)
                .collect(),
            Self::Fit(fit) => fit.reads(),
        }
    }

    /// The lines of `derive` that it takes its equations from.
    fn origins(&self) -> Vec<Origin> {
        match self {
            Self::Formula { ways, .. } => ways.iter().filter_map(|way| way.origin).collect(),
            Self::Roots { origins, .. } => origins.clone(),
            Self::Fit(_) => Vec::new(),
        }
    }
}

/// What the value of a name is found from.
#[derive(Debug, Default)]
pub struct FoundFrom {
    /// The names that it reads.
    pub reads: Vec<SymbolId>,
    /// The lines of `derive` that its formulas were taken from.
    pub origins: Vec<Origin>,
}

impl Results<'_> {
    /// What some names are found from, and all that these are found from.
    pub fn found_from(&self, names: &[SymbolId]) -> FxHashMap<SymbolId, FoundFrom> {
        let mut found = FxHashMap::default();
        let mut open = names.to_vec();
        while let Some(symbol) = open.pop() {
            if found.contains_key(&symbol) {
                continue;
            }
            let definition = self.definitions.get(symbol);
            let from = definition.map_or_else(FoundFrom::default, |it| FoundFrom {
                reads: it.reads(),
                origins: it.origins(),
            });
            open.extend(&from.reads);
            found.insert(symbol, from);
        }
        found
    }
}

impl Results<'_> {
    /// Which branches the formulas take in which names have their values, of those that have
    /// branches: of `cases`, `max`, `min`, `abs` and bars.
    pub fn branches(&self, symbols: impl Iterator<Item = SymbolId>) -> Vec<(SymbolId, Branches)> {
        let of_one = |symbol: SymbolId| {
            let programs: Vec<&Program> = match &**self.definitions.get(symbol)? {
                Definition::Roots { equations, .. } => equations.iter().flatten().collect(),
                definition => definition.programs(),
            };
            let taken = program::branches(|| {
                programs
                    .iter()
                    .for_each(|program| drop(value::run(program, self)));
            });
            (!taken.is_empty()).then_some((symbol, taken))
        };
        symbols.filter_map(of_one).collect()
    }
}

/// The branches that are taken in the formulas of a name, at each place that has some.
pub type Branches = Vec<Vec<usize>>;

/// Values with some of them replaced.
#[derive(Clone)]
pub(super) struct Replaced<'a> {
    /// The values that replace others: what was chosen, and what depends on it.
    pub by: FxHashMap<SymbolId, Value>,
    /// What was chosen.
    pub chosen: Vec<SymbolId>,
    /// Sources of uncertainty, and how far each is moved.
    pub moved: Vec<(u32, f64)>,
    /// Whether numbers alone are wanted, without what they are uncertain by.
    pub in_doubles: bool,
    pub beneath: &'a Results<'a>,
}

impl Values for Replaced<'_> {
    fn value(&self, symbol: SymbolId) -> Option<&Value> {
        self.by.get(&symbol).or_else(|| self.beneath.value(symbol))
    }

    fn shift(&self, source: u32) -> f64 {
        let moved = self.moved.iter().filter(|(moved, _)| *moved == source);
        moved.map(|(_, by)| by).sum()
    }

    fn told(&self, told: &Told, on: &dyn Values) -> Result<Arc<[f64]>, Fault> {
        // An error does not make another uncertainty.
        match self.chosen.is_empty() {
            true => self.beneath.told(told, self.beneath),
            false => told::tell(told, &self.beneath.sources, &|program| {
                value::run(program, on)
            }),
        }
    }

    fn decided(&self, place: Span) -> Option<&Chosen> {
        let is_as_given = self.chosen.is_empty();
        is_as_given.then(|| self.beneath.decided(place)).flatten()
    }
}

impl<'a> Replaced<'a> {
    /// The values as they are.
    pub fn nothing(beneath: &'a Results<'a>) -> Self {
        Self {
            by: FxHashMap::default(),
            chosen: Vec::new(),
            moved: Vec::new(),
            in_doubles: false,
            beneath,
        }
    }

    /// Runs a program on them.
    pub fn run(&self, program: &Program) -> Result<Value, Fault> {
        match self.in_doubles {
            true => value::in_doubles(program, self),
            false => value::run(program, self),
        }
    }

    /// How large what an input stands for is: an uncertainty, or a value that changes.
    pub fn size(&self, input: u32) -> f64 {
        let uncertain = self.beneath.sources.size(input);
        let changing = || {
            let chosen = self.chosen.iter().filter_map(|symbol| self.by.get(symbol));
            let mut own =
                chosen.filter(|value| (value.gradient(0).iter()).any(|it| it.source == input));
            own.next().map(|value| value.at(0).abs())
        };
        uncertain.or_else(changing).unwrap_or(0.0)
    }
}

/// How closely lines that say the same are looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Care {
    /// All that hold have to agree.
    All,
    /// The nearest that holds is enough: on the way to a limit there is more rounding than sense.
    Nearest,
    /// The nearest is computed as it is written, in plain numbers, whatever it holds by: the values
    /// may be somebody else's, which fulfil no equation of the worksheet.
    AsWritten,
}

/// What is other than it is in the worksheet.
#[derive(Debug, Clone, Default)]
pub(super) struct Changed {
    /// Values that somebody chose.
    pub by: FxHashMap<SymbolId, Value>,
    /// Values of what has no formula, moved with the sources.
    pub fixed: FxHashMap<SymbolId, Value>,
    /// Sources of uncertainty, and how far each is moved.
    pub moved: Vec<(u32, f64)>,
    /// Names that are had by another formula.
    pub formulas: FxHashMap<SymbolId, Program>,
    /// Other equations, by the first of the names that are their roots.
    pub equations: FxHashMap<SymbolId, Vec<Sides>>,
}

impl Changed {
    /// Nothing but values that somebody chose.
    pub fn to(by: FxHashMap<SymbolId, Value>) -> Self {
        Self {
            by,
            ..Self::default()
        }
    }

    /// Whether a definition says something else now.
    fn rewrites(&self, definition: &Definition<'_>) -> bool {
        // Most often nothing is rewritten at all.
        !(self.formulas.is_empty() && self.equations.is_empty())
            && definition.symbols().iter().any(|symbol| {
                self.formulas.contains_key(symbol) || self.equations.contains_key(symbol)
            })
    }
}

/// Why a value cannot be had with other data.
pub(super) enum Stop {
    /// A program stopped.
    Fault(Fault),
    /// An equation has no root.
    Unsolved(Unsolved, Vec<SymbolId>),
    /// Formulas do not agree.
    Disagree(Box<Disagreement>),
    /// The only formula holds with the data alone.
    Barred(Box<Barred>),
    /// A formula that was solved for gives no solution.
    NoSolution(SymbolId, &'static str),
}

impl Stop {
    /// The fault of the program.
    pub fn fault(self) -> Option<Fault> {
        match self {
            Self::Fault(fault) => Some(fault),
            Self::Unsolved(..) | Self::Disagree(_) | Self::Barred(_) | Self::NoSolution(..) => None,
        }
    }
}

impl<'a> Walk<'a> {
    /// Remembers values and how they came to be.
    pub(super) fn know(&mut self, definition: Definition<'a>, values: &[Arc<Value>]) {
        let definition = Arc::new(definition);
        for (symbol, value) in definition.symbols().iter().zip(values) {
            let definitions = &mut self.results.definitions;
            definitions.insert(*symbol, Arc::clone(&definition));
            self.results.values.insert(*symbol, Arc::clone(value));
        }
    }

    /// The definitions that programs depend on, in the order of the worksheet.
    pub(super) fn definitions_behind<'p>(
        &self,
        programs: impl IntoIterator<Item = &'p Program>,
    ) -> Vec<Arc<Definition<'a>>> {
        let symbols = &self.resolved.symbols;
        let mut found: BTreeMap<(Option<u32>, SymbolId), Arc<Definition<'a>>> = BTreeMap::new();
        let mut open: Vec<SymbolId> = programs.into_iter().flat_map(Program::symbols).collect();
        while let Some(symbol) = open.pop() {
            let Some(definition) = self.results.definitions.get(symbol) else {
                continue;
            };
            // Those that are solved together stand where the first of them does.
            let first = definition.symbols().first().copied().unwrap_or(symbol);
            let place = symbols.symbol(first).defined.map(|span| span.start);
            // A weighted mean is had before the line that it stands in.
            let place = self.results.mean_places.get(&first).copied().or(place);
            let known = found.insert((place, first), Arc::clone(definition));
            if known.is_none() {
                open.extend(definition.reads());
                open.extend(self.held_by(&definition.origins(), place));
            }
        }
        found.into_values().collect()
    }

    /// The symbols above a place on which provisos of lines depend.
    fn held_by(&self, origins: &[Origin], place: Option<u32>) -> Vec<SymbolId> {
        let provisos = origins
            .iter()
            .filter_map(|origin| self.provisos.get(origin));
        let mut found = Vec::new();
        // A solution is held against the equations that were solved.
        let solved = origins.iter().flat_map(|origin| self.solved_in(*origin));
        for side in solved.flat_map(|origin| self.sides_of(*origin)) {
            side.for_each_symbol(&mut |symbol, _| found.push(symbol));
        }
        for provided in provisos.flatten() {
            match &provided.proviso {
                Proviso::Value(symbol) | Proviso::Definition(symbol) | Proviso::Sign(symbol, _) => {
                    found.push(*symbol);
                }
                Proviso::NotZero(divisor) => divisor.for_each_symbol(&mut |it, _| found.push(it)),
                Proviso::Undecided => {}
                Proviso::Equation(origin) => {
                    for side in self.sides_of(*origin) {
                        side.for_each_symbol(&mut |symbol, _| found.push(symbol));
                    }
                }
            }
        }
        found.retain(|symbol| self.is_above(*symbol, place));
        found
    }

    /// Whether one of these lines, or what it follows from, was not decided.
    fn has_undecided(&self, origins: &[Origin]) -> bool {
        let provisos = origins.iter().filter_map(|it| self.provisos.get(it));
        (provisos.flatten()).any(|provided| provided.proviso == Proviso::Undecided)
    }

    /// The values when some are replaced: every definition between is evaluated again. Roots stay
    /// on the branch they are on.
    pub(super) fn replay(
        &self,
        behind: &[Arc<Definition<'a>>],
        by: FxHashMap<SymbolId, Value>,
        care: Care,
    ) -> Result<Replaced<'_>, Stop> {
        self.replay_changed(behind, &Changed::to(by), care)
    }

    /// The same with whatever is changed.
    pub(super) fn replay_changed(
        &self,
        behind: &[Arc<Definition<'a>>],
        changed: &Changed,
        care: Care,
    ) -> Result<Replaced<'_>, Stop> {
        let mut by = changed.by.clone();
        by.extend(changed.fixed.iter().map(|(at, value)| (*at, value.clone())));
        let rewritten = changed.formulas.keys().chain(changed.equations.keys());
        let mut replaced = Replaced {
            chosen: changed.by.keys().chain(rewritten).copied().collect(),
            by,
            moved: changed.moved.clone(),
            // A fit weighs its rows by their errors.
            in_doubles: care == Care::AsWritten && behind.iter().all(|own| !own.is_fit()),
            beneath: &self.results,
        };
        for definition in behind {
            let symbols = definition.symbols();
            let is_replaced = |symbol: &SymbolId| replaced.by.contains_key(symbol);
            // Somebody may have one of several names otherwise, and find the rest with the readings.
            let is_done = match care {
                Care::All | Care::Nearest => symbols.iter().any(is_replaced),
                Care::AsWritten => symbols.iter().all(is_replaced),
            };
            if is_done || !self.is_touched(definition, &replaced, changed, care) {
                continue;
            }
            let values = self.again(definition, &replaced, changed, care)?;
            for (symbol, value) in symbols.iter().zip(values) {
                replaced.by.entry(*symbol).or_insert(value);
            }
        }
        Ok(replaced)
    }

    /// Whether a definition has to be evaluated again.
    fn is_touched(
        &self,
        definition: &Definition<'a>,
        replaced: &Replaced<'_>,
        changed: &Changed,
        care: Care,
    ) -> bool {
        if changed.rewrites(definition) {
            return true;
        }
        let mut reads = definition.reads();
        if care == Care::AsWritten {
            return reads.iter().any(|symbol| replaced.by.contains_key(symbol));
        }
        let origins = definition.origins();
        // A step may have left out what it was simplified by.
        let place = definition
            .symbols()
            .first()
            .and_then(|it| self.start_of(*it));
        reads.extend(self.held_by(&origins, place));
        reads.iter().any(|symbol| replaced.by.contains_key(symbol))
            || !replaced.by.is_empty() && self.has_undecided(&origins)
            || (changed.moved.iter()).any(|(source, _)| definition.holds(*source))
    }

    /// Evaluates a definition again, on other values.
    fn again(
        &self,
        definition: &Definition<'a>,
        values: &Replaced<'_>,
        changed: &Changed,
        care: Care,
    ) -> Result<Vec<Value>, Stop> {
        if let [symbol] = definition.symbols()
            && let Some(formula) = changed.formulas.get(symbol)
        {
            let value = values.run(formula).map_err(Stop::Fault)?;
            return Ok(vec![value]);
        }
        match definition {
            Definition::Fit(fit) => {
                let found = fit.again(values, &self.results.sources);
                let first = fit.symbols().first().copied().unwrap_or(SymbolId(0));
                found.ok_or(Stop::NoSolution(
                    first,
                    "the readings fix no parameters then",
                ))
            }
            Definition::Formula { symbol, ways } => {
                let value = self.by_ways(Some(*symbol), ways, values, care)?;
                Ok(vec![value])
            }
            Definition::Roots {
                symbols,
                equations,
                seek,
                origins,
            } => {
                let first = symbols.first().copied();
                let bar = || {
                    let mut origins = origins.iter();
                    origins.find_map(|origin| self.bar(*origin, first, values))
                };
                if care != Care::AsWritten
                    && let Some(barred) = bar()
                {
                    return Err(Stop::Barred(Box::new(barred)));
                }
                let others = first.and_then(|first| changed.equations.get(&first));
                let equations = others.unwrap_or(equations);
                let starts: Vec<Option<f64>> = symbols
                    .iter()
                    .map(|symbol| self.results.value(*symbol).map(|value| value.at(0)))
                    .collect();
                let unsolved = |found| Stop::Unsolved(found, symbols.clone());
                match (equations.as_slice(), symbols.as_slice()) {
                    ([only], [symbol]) => {
                        let present = self.results.value(*symbol);
                        let nearest = present
                            .filter(|_| values.in_doubles)
                            .and_then(|present| solve::nearest(only, *symbol, present, values));
                        if let Some(value) = nearest {
                            return Ok(vec![value]);
                        }
                        let near = |row: usize| {
                            let own = present.filter(|value| value.has(row));
                            own.map_or(*seek, |value| Seek::Near(value.at(row)))
                        };
                        let found = solve::root(only, *symbol, &near, values);
                        let found = match (found, care, seek) {
                            // What was changed may have moved it out of reach.
                            (Err(_), Care::AsWritten, Seek::Near(_) | Seek::Between(..)) => {
                                solve::root(only, *symbol, &|_| *seek, values)
                            }
                            (found, ..) => found,
                        };
                        Ok(vec![found.map_err(unsolved)?.0])
                    }
                    _ => {
                        let (values, _) =
                            solve::system(equations, symbols, &starts, values).map_err(unsolved)?;
                        Ok(values)
                    }
                }
            }
        }
    }

    /// Evaluates the chain of definitions that leads to formulas, which have to agree, with some
    /// givens replaced.
    pub(super) fn what_if(
        &mut self,
        formulas: &[(&Expr, Exponent)],
        conditions: &[Condition],
    ) -> Result<Value, Lack> {
        let mut by = FxHashMap::default();
        for condition in conditions {
            let own = self.compile_compared(&condition.value);
            by.insert(condition.symbol, self.run(&own)?);
        }
        let way = self.way(formulas.iter().copied(), None);
        let behind = self.definitions_behind(way.programs());
        let found = (self.replay(&behind, by.clone(), Care::All)).and_then(|replaced| {
            self.by_ways(None, std::slice::from_ref(&way), &replaced, Care::All)
        });
        match (found, way.programs().next()) {
            (Ok(value), Some(first)) => Ok(self.with_second_order(first, &by, value)),
            (Ok(value), None) => Ok(value),
            (Err(stop), _) => {
                let place = conditions.first().map(|condition| condition.span);
                self.report_stop(stop, place.unwrap_or_default());
                Err(Lack::Refused)
            }
        }
    }

    /// Whether a symbol is defined above a place.
    pub(super) fn is_above(&self, symbol: SymbolId, place: Option<u32>) -> bool {
        let defined = self.resolved.symbols.symbol(symbol).defined;
        match (defined, place) {
            (Some(span), Some(place)) => span.start < place,
            (_, None) => true,
            (None, _) => false,
        }
    }

    /// The place where a symbol is defined.
    pub(super) fn start_of(&self, symbol: SymbolId) -> Option<u32> {
        let defined = self.resolved.symbols.symbol(symbol).defined;
        defined.map(|span: Span| span.start)
    }
}
