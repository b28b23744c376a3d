//! The distribution of a result by trials (JCGM 101).

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::Outcome;
use crate::diagnostic::{Code, Diagnostic};
use crate::evaluate::asked::{Choice, Chosen, Told};
use crate::evaluate::coverage;
use crate::evaluate::definitions::Definition;
use crate::evaluate::drawn::Drawn;
use crate::evaluate::literal::Literal;
use crate::evaluate::model::{Draw, Model, Step};
use crate::evaluate::number::Dual;
use crate::evaluate::program::{Environment, Fault, Lists, Program, Rows};
use crate::evaluate::sources::Bond;
use crate::evaluate::value::{self, Graded, Plain, Value, Values};
use crate::evaluate::walk::{Lack, Walk};
use crate::functions::is_same;
use crate::quantity;
use crate::resolve::statement::MonteCarlo;
use crate::resolve::{Shape, Statement, SymbolId};
use crate::statistics::philox;
use crate::statistics::trials::{self, Trials};
use crate::text::{Hash, Span};

/// Where a number stands of which fewer errors are told than it has: its place and row.
type Kept = (Span, usize);

/// Numbers with their gradients, with those of which fewer errors are told; nothing where two of one
/// place differ.
struct Keeping<'a> {
    graded: Graded<Plain<'a>>,
    found: RefCell<FxHashMap<Kept, Option<Dual<f64>>>>,
}

impl Environment<Dual<f64>> for Keeping<'_> {
    fn load(&self, symbol: SymbolId, row: usize) -> Dual<f64> {
        self.graded.load(symbol, row)
    }

    fn literal(&self, literal: &Literal) -> Dual<f64> {
        self.graded.literal(literal)
    }

    fn input(&self, literal: &Literal, errors: &[(u32, f64)]) -> Dual<f64> {
        self.graded.input(literal, errors)
    }

    fn is_told(&self, place: Span, row: usize, number: &Dual<f64>) {
        let mut found = self.found.borrow_mut();
        let own = found
            .entry((place, row))
            .or_insert_with(|| Some(number.clone()));
        if own.as_ref().is_some_and(|own| own != number) {
            *own = None;
        }
    }
}

impl Lists for Keeping<'_> {
    fn rows(&self, symbol: SymbolId) -> Option<Rows> {
        self.graded.rows(symbol)
    }

    fn is_missing(&self, symbol: SymbolId, row: usize) -> bool {
        self.graded.is_missing(symbol, row)
    }

    fn chosen(&self, choice: &Choice) -> Result<Chosen, Fault> {
        self.graded.chosen(choice)
    }

    fn told(&self, told: &Told) -> Result<Arc<[f64]>, Fault> {
        self.graded.told(told)
    }
}

/// The part of trials that may have no value.
const WITHOUT: f64 = 1e-5;

impl<'a> Walk<'a> {
    pub(super) fn monte_carlo(
        &mut self,
        statement: &Statement,
        line: &'a MonteCarlo,
    ) -> Result<Outcome<'a>, Lack> {
        let subject = &line.subject;
        let value = self.expr(subject, &[])?;
        if value.shape != Shape::One || value.gradients.iter().all(Vec::is_empty) {
            return Err(self.refuse_certain(subject));
        }
        let program = self.compile(subject);
        let model = self.model(&program, line.start)?;
        self.refuse_few(statement.span, &model)?;
        let level = line.level.unwrap_or(coverage::USUAL);
        let most = self.trials;
        if most == 0 {
            return Err(self.refuse_more(statement.span));
        }
        let found = match line.trials {
            Some((count, place)) => {
                if !(2.0..=trials::MOST as f64).contains(&count) || count.fract() != 0.0 {
                    return Err(self.refuse_count(place));
                }
                trials::run(count as u64, level, most, |range, most| {
                    model.run(range, most)
                })
            }
            None => trials::run_until_settled(level, most, |range, most| model.run(range, most)),
        };
        let Some(found) = found else {
            return Err(self.refuse_without(statement.span, &model, 0));
        };
        self.trials = most.saturating_sub(found.work);
        if found.without as f64 > WITHOUT * found.count as f64 {
            let first = found.first_without.unwrap_or(0);
            return Err(self.refuse_without(statement.span, &model, first));
        }
        self.warn_of_few(statement.span, line, &found);
        let sources = &self.results.sources;
        let first = value.uncertainty(0, sources).map_or(0.0, |it| it.size);
        let degrees = value
            .degrees_of_freedom(0, sources)
            .unwrap_or(f64::INFINITY);
        let half = coverage::factor(level, degrees) * first;
        let drawn = Drawn::new(&found, level, (value.at(0), first, half));
        Ok(Outcome::Trials(line, Arc::new(value), Box::new(drawn)))
    }

    /// A result as a function of its errors.
    fn model(&self, program: &Program, start: u64) -> Result<Model, Lack> {
        let mut needed = program.told_symbols();
        let mut behind = self.definitions_behind([program]);
        behind.reverse();
        // What is only taken together to numbers that are kept is none of the model.
        behind.retain(|definition| {
            let is_needed = definition.symbols().iter().any(|it| needed.contains(it));
            if is_needed {
                needed.extend(definition.told());
            }
            is_needed
        });
        behind.reverse();
        let mut steps = Vec::new();
        let mut fixed: FxHashMap<SymbolId, Value> = FxHashMap::default();
        let mut wanted: BTreeSet<u32> = BTreeSet::new();
        let mut reads: Vec<SymbolId> = program.symbols().collect();
        wanted.extend(program.inputs());
        let at = |symbol: SymbolId| self.results.value(symbol).map_or(f64::NAN, |it| it.at(0));
        for definition in &behind {
            reads.extend(definition.reads());
            match &**definition {
                Definition::Formula { symbol, ways } => {
                    let mut programs = ways.iter().flat_map(|way| way.programs());
                    let first = ways.first().and_then(|way| way.programs().next());
                    let own = programs.find(|own| self.gives_value(own, *symbol));
                    let own = own.or(first).ok_or(Lack::Refused)?;
                    wanted.extend(own.inputs());
                    steps.push(Step::Formula(*symbol, own.clone()));
                }
                // Its parameters are drawn by their covariance, and moved to first order by what
                // they share with others.
                Definition::Fit(_) => {}
                Definition::Roots {
                    symbols, equations, ..
                } => {
                    wanted.extend(equations.iter().flatten().flat_map(Program::inputs));
                    steps.push(match (symbols.as_slice(), equations.as_slice()) {
                        ([symbol], [sides]) => {
                            let start = self.results.value(*symbol).cloned();
                            Step::Root(*symbol, sides.clone(), start.unwrap_or_default())
                        }
                        _ => Step::System(
                            symbols.clone(),
                            equations.clone(),
                            symbols.iter().map(|symbol| Some(at(*symbol))).collect(),
                        ),
                    });
                }
            }
        }
        let defined: Vec<SymbolId> = steps.iter().flat_map(Step::defines).collect();
        let mut still: FxHashMap<SymbolId, Value> = FxHashMap::default();
        for symbol in reads.into_iter().filter(|symbol| !defined.contains(symbol)) {
            let Some(value) = self.results.value(symbol) else {
                continue;
            };
            if needed.contains(&symbol) {
                let sources = value.gradients.iter().flatten().map(|it| it.source);
                wanted.extend(sources);
                fixed.insert(symbol, value.clone());
            } else {
                still.insert(symbol, value.clone());
            }
        }
        let kept = self.kept(steps.iter().flat_map(Step::programs).chain([program]));
        let of_kept = kept.values().flat_map(|number| &number.gradient);
        wanted.extend(of_kept.map(|partial| partial.source));
        let sources = &self.results.sources;
        wanted.retain(|source| sources.size(*source).is_some());
        Ok(Model {
            steps,
            subject: program.clone(),
            fixed,
            still,
            kept,
            decided: self.results.decided.clone(),
            told: self.results.told.clone(),
            sources: wanted.last().map_or(0, |last| *last as usize + 1),
            draws: self.draws(&wanted, start),
        })
    }

    /// The numbers of which programs tell fewer errors than they have, with those that are told; not
    /// one that stands at the place of another, as in a function that is called twice.
    fn kept<'p>(&self, programs: impl Iterator<Item = &'p Program>) -> FxHashMap<Kept, Dual<f64>> {
        let here = Keeping {
            graded: Graded(Plain(&self.results)),
            found: RefCell::default(),
        };
        for program in programs {
            let Ok(over) = program.over(&here) else {
                continue;
            };
            for row in 0..over.rows.as_ref().map_or(1, |rows| rows.count) {
                if !program.lacks(row, &over, &here) {
                    // Where it has no value, that was said.
                    let _ = program.run(row, &here);
                }
            }
        }
        let found = here.found.into_inner().into_iter();
        found
            .filter_map(|(place, number)| Some((place, number?)))
            .collect()
    }

    /// Whether a formula gives the value that its name has.
    fn gives_value(&self, program: &Program, symbol: SymbolId) -> bool {
        let known = self.results.value(symbol);
        let over = value::over(program, &self.results).ok();
        let found = over.and_then(|over| value::plain(program, &over, &self.results).ok());
        let Some((known, found)) = known.zip(found) else {
            return false;
        };
        let mut first = known.present().take(1);
        first.all(|(row, number)| found.get(row).is_some_and(|own| is_same(number, *own)))
    }

    /// The errors of sources, those together that correlate or count as one.
    fn draws(&self, wanted: &BTreeSet<u32>, start: u64) -> Vec<Draw> {
        let wanted: Vec<u32> = wanted.iter().copied().collect();
        let groups = self.results.sources.groups(&wanted, Bond::Drawn);
        let groups = groups.into_iter();
        groups.map(|group| self.draw(group, start)).collect()
    }

    fn draw(&self, group: Vec<u32>, start: u64) -> Draw {
        let sources = &self.results.sources;
        let first = group.first().copied().unwrap_or(0);
        let about = sources
            .block_of(first)
            .map(|at| &sources.blocks()[at].about);
        let degrees = (group.iter())
            .filter_map(|it| sources.block_of(*it))
            .map(|at| sources.blocks()[at].about.degrees)
            .fold(f64::INFINITY, f64::min);
        Draw {
            from: group.iter().map(|it| self.drawer(*it, start, "")).collect(),
            sizes: group
                .iter()
                .map(|it| sources.size(*it).unwrap_or(0.0))
                .collect(),
            distribution: about.map_or(crate::syntax::Distribution::Normal, |it| it.distribution),
            degrees,
            common: self.drawer(first, start, " in common").0,
            root: sources.root_of(&group),
            sources: group,
        }
    }

    /// Who draws for a source: by its name, so that other sources leave its numbers alone.
    fn drawer(&self, source: u32, start: u64, what: &str) -> (philox::Source, u32) {
        let sources = &self.results.sources;
        let blocks = sources.blocks();
        let Some(at) = sources.block_of(source) else {
            return (philox::Source { key: start }, source);
        };
        let name = |at: usize| self.name_of(at);
        let own = name(at);
        let before = (0..at).filter(|other| name(*other) == own).count();
        let text = format!("{own}#{before}{what} {start}");
        let key = Hash::of(text.as_bytes()).seed();
        (philox::Source { key }, source - blocks[at].first)
    }

    /// The name of a block of sources.
    fn name_of(&self, block: usize) -> String {
        let about = &self.results.sources.blocks()[block].about;
        let names = about.names.iter();
        let names: Vec<&str> = names
            .map(|name| &*self.resolved.symbols.symbol(*name).key)
            .collect();
        match (about.constant, names.is_empty()) {
            (Some(constant), _) => constant.to_owned(),
            (None, false) => names.join(", "),
            (None, true) => about.place.of(self.text).to_owned(),
        }
    }

    /// So few degrees of freedom have no standard deviation of their own.
    fn refuse_few(&mut self, place: Span, model: &Model) -> Result<(), Lack> {
        let few = model.draws.iter().find(|draw| draw.degrees <= 2.0);
        let Some(draw) = few else { return Ok(()) };
        let block = self.results.sources.block_of(draw.sources[0]).unwrap_or(0);
        let (name, degrees) = (self.name_of(block), draw.degrees);
        self.diagnostics.push(
            Diagnostic::error(
                Code::U07,
                place,
                format!(
                    "`{name}` has {degrees} degrees of freedom, and the t distribution of so few has no standard deviation"
                ),
            )
            .with_help("more readings"),
        );
        Err(Lack::Refused)
    }

    fn refuse_count(&mut self, place: Span) -> Lack {
        let written = place.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::U14,
                place,
                format!("`{written}`: there are 2 to 10 000 000 trials"),
            )
            .with_help("`with 1e6 trials`, or the line without a number"),
        );
        Lack::Refused
    }

    fn refuse_more(&mut self, line: Span) -> Lack {
        self.diagnostics.push(
            Diagnostic::error(
                Code::U08,
                line,
                "trials above took all that they may take".to_owned(),
            )
            .with_help("fewer lines of trials, or a number of trials in each"),
        );
        Lack::Refused
    }

    /// Says where trials leave figures open, and where more were asked for than may be run.
    fn warn_of_few(&mut self, line: Span, asked: &MonteCarlo, found: &Trials) {
        let run = found.count;
        let (place, what, help) = match asked.trials {
            Some((count, place)) if (found.count as f64) < count => (
                place,
                format!("{run} trials are run, and no more: all else is beyond what may be taken"),
                "fewer trials, or a shorter formula".to_owned(),
            ),
            _ if found.is_settled() => return,
            Some((_, place)) => {
                let wanted = format!("{:e}", found.wanted().min(trials::MOST as f64));
                let written = place.of(self.text);
                (
                    place,
                    format!("`{written}` leaves the second figure of the uncertainty open"),
                    format!("`with {wanted} trials`, or the line without a number"),
                )
            }
            None => (
                line,
                format!(
                    "{run} trials, as many as may be, leave the second figure of the uncertainty open"
                ),
                "a shorter formula, or fewer lines of trials".to_owned(),
            ),
        };
        let warning = Diagnostic::warning(Code::U08, place, what).with_help(help);
        self.diagnostics.push(warning);
    }

    fn refuse_without(&mut self, place: Span, model: &Model, trial: u64) -> Lack {
        let drawn = model.farthest(trial).and_then(|(source, by)| {
            let block = self.results.sources.block_of(source)?;
            let by = quantity::to_figures(by, 2).text();
            Some(format!(
                ", as where `{}` is {by} standard uncertainties off",
                self.name_of(block)
            ))
        });
        let drawn = drawn.unwrap_or_default();
        self.diagnostics.push(
            Diagnostic::error(
                Code::U09,
                place,
                format!("more than one trial in 100 000 has no value{drawn}"),
            )
            .with_help("a distribution with limits, or a formula that has a value there"),
        );
        Lack::Refused
    }
}

impl Step {
    /// The formulas that it evaluates.
    fn programs(&self) -> Vec<&Program> {
        match self {
            Self::Formula(_, program) => vec![program],
            Self::Root(_, sides, _) => sides.iter().collect(),
            Self::System(_, equations, _) => equations.iter().flatten().collect(),
        }
    }

    fn defines(&self) -> Vec<SymbolId> {
        match self {
            Self::Formula(symbol, _) | Self::Root(symbol, ..) => vec![*symbol],
            Self::System(symbols, ..) => symbols.clone(),
        }
    }
}
