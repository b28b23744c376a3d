//! Lines to statements: one file a form, named as in the other rooms.

mod answer;
mod balance;
mod chain;
mod check;
mod comparison;
mod component;
mod correlation;
mod data;
mod dimensions;
mod fit;
mod fitted;
mod function;
mod given;
mod inline;
mod limit;
mod monte_carlo;
mod plot;
mod required;
mod root;
mod scatter;
mod sensitivity;
mod shear;
mod sketch;
mod slips;
mod solve;
mod system;
mod tabulated;
mod taken;
mod therefore;
mod trend;
mod versions;
mod work;

use std::sync::Arc;

use super::statement::{Ask, Literal, Origin, Statement};
use super::{Block, Expr, ExprKind, FunctionId, Resolver, SymbolId};
use crate::quantity::Unit;
use crate::syntax::{self, BlockKind, Line};

pub use answer::Answer;
pub use balance::{Another, BalanceLine, Continuity, Meant};
pub use check::Check;
pub use comparison::Comparison;
pub use component::Component;
pub use data::{Column, Data, Readings, Rows, not_read};
pub use fit::{Fit, Parameter, Weight};
pub use fitted::Fitted;
pub use inline::Inline;
pub use limit::{End, Limit};
pub use monte_carlo::MonteCarlo;
pub use plot::{Look, Plot, Reach, Side as PlotSide};
pub use required::Required;
pub use root::{Root, Start};
pub use scatter::Scatter;
pub use shear::{Cut, CutForm};
pub use sketch::{
    Act, ActOf, ColumnTold, Counted, Flows, Mark, Scale, ScaleOf, SectionSaid, Sketch, Told,
    WaterOn, WrittenTerm,
};
pub use slips::{Misread, Multiplied};
pub use solve::{Asked, Bound, Branch, Solved, Step};
pub use system::System;
pub use taken::{Taken, TakenAs};
pub use trend::{Trend, Way};
pub use versions::{MayChange, Varied};
pub use work::{Formula, Work};

/// What a statement says.
#[derive(Debug, Clone, PartialEq)]
pub enum Kind {
    /// A datum: a literal or a constant expression.
    Given {
        /// The name it defines.
        symbol: SymbolId,
        /// Its value.
        value: Expr,
    },
    /// An unknown.
    Required(Required),
    /// An equation of `derive`.
    Equation {
        /// Two or more sides.
        members: Vec<Expr>,
        /// Which balance of a sketch it is meant to be.
        by: Option<Box<Meant>>,
    },
    /// A step of `derive` that has to follow from what stands above.
    Therefore {
        /// Two or more sides.
        members: Vec<Expr>,
        /// Which balance of a sketch it is meant to be.
        by: Option<Box<Meant>>,
    },
    /// A balance of a sketch, written out by the engine.
    Balance(Box<BalanceLine>),
    /// What a straight member of a sketch holds together at a cut.
    Shear(Box<Cut>),
    /// A sketch, which its first line carries.
    Sketch(Arc<Sketch>),
    /// A sketch as it turned out, which its first line carries.
    Found(Arc<Sketch>),
    /// A step of `derive` that the engine wrote.
    Solved(Box<Solved>),
    /// A component of a vector equation of `derive`, written out by the engine.
    Component(Component),
    /// `show dimensions`: the symbols of the equations above that have no value of their own.
    Dimensions {
        /// In the order in which they first stand.
        symbols: Vec<SymbolId>,
    },
    /// `f = ? from colebrook near 0.02`: a root of an equation.
    Root(Box<Root>),
    /// `solve a, b for x, y near …` in `work`.
    System(Box<System>),
    /// `y rises with x` and its kin.
    Trend(Box<Trend>),
    /// `y -> value as x -> value`.
    Limit(Box<Limit>),
    /// `sensitivity of y`.
    Sensitivity {
        /// What is looked at.
        subject: Expr,
        /// The givens of the problem, in their order.
        givens: Vec<SymbolId>,
    },
    /// `monte carlo of y`.
    MonteCarlo(Box<MonteCarlo>),
    /// `budget of y`.
    Budget {
        /// What is looked at.
        subject: Expr,
        /// Whether all sources have rows of their own.
        in_full: bool,
    },
    /// A result held against a value.
    Comparison(Box<Comparison>),
    /// `correlation(V, J) = -0.36`.
    Correlation {
        /// Two givens.
        names: [SymbolId; 2],
        /// The coefficient.
        coefficient: Expr,
    },
    /// The formula of a `fit`.
    Fit(Box<Fit>),
    /// What belongs to another line of its block, and is shown there.
    OfBlock,
    /// `e_y = scatter of line = ? mV`
    Scatter(Box<Scatter>),
    /// A user function's definition.
    Function {
        /// The function.
        function: FunctionId,
        /// Its body.
        body: Expr,
    },
    /// `rho = rho of "water.md"`
    Taken(Box<Taken>),
    /// A chain of `work`.
    Work(Box<Work>),
    /// A line of `check`.
    Check(Check),
    /// A line of `answer`.
    Answer(Box<Answer>),
    /// A line of `plot`.
    Plot(Box<Plot>),
    /// The table of a `data` block.
    Data(Box<Data>),
    /// What data vary over.
    Varied(Box<Varied>),
    /// What may be other than in the worksheet.
    MayChange(MayChange),
}

/// What is asked of a statement whatever its form: a form names what it has, and nothing is the rest.
#[derive(Debug, Default)]
pub struct Facts<'a> {
    /// Where the equations stand that it takes its formula from.
    pub origins: &'a [Origin],
    /// How its value is asked, and the engine's own number from before.
    pub ask: Option<(&'a Ask, Option<&'a Literal>)>,
    /// The unit that the author wrote: of a datum, an ask or a claim.
    pub unit: Option<&'a Unit>,
    /// The first formula that is left to show where it could not be evaluated.
    pub lead: Option<&'a Expr>,
    /// Those after it.
    pub members: &'a [Expr],
    /// How a name is asked, before anything is checked.
    pub required: Option<(SymbolId, &'a Ask)>,
    /// The functions that it defines, with their bodies.
    pub functions: Vec<(FunctionId, &'a Expr)>,
    /// What later lines may follow from.
    pub stated: Stated<'a>,
    /// What is to be proved or worked out in symbols.
    pub task: Task<'a>,
    /// The sides that are compared with a balance of a sketch, and which that is.
    pub meant: Option<(&'a [Expr], &'a Meant)>,
    /// The columns of a table.
    pub columns: &'a [Column],
    /// The unknowns that are found by numbers, and the sides that they make equal.
    pub roots: Option<(Vec<SymbolId>, Vec<&'a Expr>)>,
}

impl<'a> Facts<'a> {
    /// What is left to show of it where it could not be evaluated.
    pub fn left_to_show(&self) -> Vec<Expr> {
        self.lead.into_iter().chain(self.members).cloned().collect()
    }

    /// The datum that it is: its name and value.
    pub fn datum(&self) -> Option<(SymbolId, &'a Expr)> {
        match self.stated {
            Stated::Datum(symbol, value) => Some((symbol, value)),
            Stated::Nothing | Stated::Sides(_) | Stated::Solved(_) | Stated::Work(_) => None,
        }
    }
}

/// What a statement is to the steps below it.
#[derive(Debug, Default, Clone, Copy)]
pub enum Stated<'a> {
    /// Nothing follows from it.
    #[default]
    Nothing,
    /// Sides that are equal.
    Sides(&'a [Expr]),
    /// A solution.
    Solved(&'a Solved),
    /// A chain that may define a name.
    Work(&'a Work),
    /// A datum.
    Datum(SymbolId, &'a Expr),
}

/// What the algebra has to do for a statement.
#[derive(Debug, Default, Clone, Copy)]
pub enum Task<'a> {
    /// Nothing.
    #[default]
    Nothing,
    /// A step with these sides is judged.
    Step(&'a [Expr]),
    /// The derivative behind a trend is found.
    Trend(&'a Trend),
}

impl Kind {
    /// What it has of what is asked of every statement.
    pub fn facts(&self) -> Facts<'_> {
        let none = Facts::default();
        match self {
            Self::Given { symbol, value } => Facts {
                unit: match &value.kind {
                    ExprKind::Quantity(quantity) => Some(&quantity.unit),
                    _ => None,
                },
                lead: Some(value),
                stated: Stated::Datum(*symbol, value),
                ..none
            },
            Self::Required(required) => Facts {
                unit: required.ask.unit.as_ref(),
                required: Some((required.symbol, &required.ask)),
                ..none
            },
            Self::Equation { members, by } => Facts {
                members,
                stated: Stated::Sides(members),
                meant: by.as_deref().map(|by| (&members[..], by)),
                ..none
            },
            Self::Balance(balance) => Facts {
                members: &balance.members,
                stated: Stated::Sides(&balance.members),
                ..none
            },
            Self::Sketch(_) | Self::Found(_) => none,
            Self::Shear(cut) => Facts {
                functions: (cut.forms.iter())
                    .map(|form| (form.function, &form.body))
                    .collect(),
                ..none
            },
            Self::Therefore { members, by } => Facts {
                members,
                meant: by.as_deref().map(|by| (&members[..], by)),
                stated: Stated::Sides(members),
                task: Task::Step(members),
                ..none
            },
            Self::Solved(solved) => Facts {
                origins: &solved.origins,
                stated: Stated::Solved(solved),
                ..none
            },
            Self::Component(component) => Facts {
                origins: std::slice::from_ref(&component.origin),
                members: &component.members,
                stated: Stated::Sides(&component.members),
                ..none
            },
            Self::Dimensions { .. } => none,
            Self::Root(root) => Facts {
                origins: &root.origins,
                ask: root.tail.ask(),
                lead: Some(&root.lead),
                roots: Some((vec![root.symbol], root.sides.iter().collect())),
                ..none
            },
            Self::System(system) => Facts {
                origins: &system.origins,
                roots: Some((
                    system.unknowns.iter().map(|(symbol, ..)| *symbol).collect(),
                    system.equations.iter().flatten().collect(),
                )),
                ..none
            },
            Self::Trend(trend) => Facts {
                lead: Some(&trend.subject),
                task: Task::Trend(trend),
                ..none
            },
            Self::Limit(limit) => Facts {
                lead: Some(&limit.subject),
                ..none
            },
            Self::Sensitivity { subject, .. } => Facts {
                lead: Some(subject),
                ..none
            },
            Self::Budget { subject, .. } => Facts {
                lead: Some(subject),
                ..none
            },
            Self::MonteCarlo(drawn) => Facts {
                lead: Some(&drawn.subject),
                ..none
            },
            Self::Comparison(comparison) => Facts {
                lead: Some(&comparison.subject),
                ..none
            },
            Self::Correlation { .. } => none,
            Self::Fit(fit) => Facts {
                members: &fit.sides,
                ..none
            },
            Self::OfBlock => none,
            Self::Scatter(scatter) => Facts {
                ask: scatter.work.tail.ask(),
                unit: scatter.work.tail.unit(),
                lead: Some(&scatter.work.lead),
                ..none
            },
            Self::Function { function, body } => Facts {
                functions: vec![(*function, body)],
                ..none
            },
            Self::Taken(taken) => match &taken.what {
                TakenAs::Quantity(symbol, value) => Facts {
                    lead: Some(value),
                    stated: Stated::Datum(*symbol, value),
                    ..none
                },
                TakenAs::Function(function, body) => Facts {
                    functions: vec![(*function, body)],
                    ..none
                },
            },
            Self::Work(work) => Facts {
                origins: work.origin.as_slice(),
                ask: work.tail.ask(),
                unit: work.tail.unit(),
                lead: Some(&work.lead),
                members: &work.members,
                stated: Stated::Work(work),
                ..none
            },
            Self::Check(check) => Facts {
                members: &check.members,
                ..none
            },
            Self::Answer(answer) => Facts {
                ask: Some((&answer.ask, answer.filled.as_ref())),
                lead: Some(&answer.expr),
                ..none
            },
            Self::Plot(_) | Self::Varied(_) | Self::MayChange(_) => none,
            Self::Data(data) => Facts {
                columns: &data.columns,
                ..none
            },
        }
    }
}

impl<'a> Resolver<'a> {
    pub(in crate::resolve) fn block(&mut self, index: usize, block: Block<'a>) -> Vec<Statement> {
        self.problem = block.problem;
        self.symbolic = block.kind == BlockKind::Derive;
        if block.kind == BlockKind::Sketch {
            self.symbolic = true;
            let statements = self.sketch_block(index, block);
            self.symbolic = false;
            return statements;
        }
        let mut statements = Vec::with_capacity(block.lines.len());
        if block.kind == BlockKind::Plot {
            self.plot_axes = self.axes_of(block.lines);
        }
        for line in block.lines {
            let origin = Origin {
                block: index,
                statement: statements.len(),
            };
            statements.push(self.line(block, line, origin));
        }
        self.symbolic = false;
        statements
    }

    fn line(&mut self, of: Block<'a>, line: &'a Line, origin: Origin) -> Statement {
        let block = of.kind;
        self.above = Some(line.span.start);
        let label = match block {
            BlockKind::Plot if origin.statement == 0 => self.numbered(line, origin),
            // It may become a figure.
            BlockKind::Derive if matches!(line.statement, syntax::Statement::Shear(_)) => {
                self.numbered(line, origin)
            }
            BlockKind::Given
            | BlockKind::Data
            | BlockKind::Required
            | BlockKind::Derive
            | BlockKind::Work
            | BlockKind::Check
            | BlockKind::Fit
            | BlockKind::Plot
            | BlockKind::Sketch
            | BlockKind::Answer
            | BlockKind::Versions => self.label(line, origin),
        };
        let number = label.as_ref().map(|(_, number)| *number);
        let mut statement = Statement {
            span: line.span,
            label,
            description: line.description,
            defines: None,
            unknowns: Vec::new(),
            makes_a_table: syntax::makes_a_table(&line.statement, line.span.of(self.text)),
            is_of_versions: block == BlockKind::Versions,
            needs: None,
            kind: None,
        };
        self.needs = None;
        statement.kind = match &line.statement {
            syntax::Statement::Chain(chain) => {
                self.chain(block, chain, number, origin, &mut statement.defines)
            }
            syntax::Statement::Required(required) => self.required(required),
            syntax::Statement::Check(check) => self.check(line, check),
            syntax::Statement::Answer(answer) => self.answer(answer),
            syntax::Statement::Therefore(step) => self.therefore(step, number, origin),
            syntax::Statement::Solve(solve) if block == BlockKind::Work => {
                let kind = self.system(line.span, solve, &mut statement.unknowns);
                self.ready.extend(&statement.unknowns);
                kind
            }
            syntax::Statement::Solve(solve) => self.solve(line.span, solve, number, origin),
            syntax::Statement::Component(component) => self.component(component, number, origin),
            syntax::Statement::Balance(balance) => self.balance_line(balance, number, origin),
            syntax::Statement::Shear(shear) => {
                self.shear(line.span, shear, &mut statement.unknowns)
            }
            // The lines of a sketch are read together.
            syntax::Statement::Sketch(_) => None,
            syntax::Statement::ShowDimensions => Some(self.dimensions()),
            syntax::Statement::Trend(trend) => self.trend(line.span, trend),
            syntax::Statement::Limit(limit) => self.limit(limit),
            syntax::Statement::Sensitivity(subject) => self.sensitivity(subject),
            syntax::Statement::Plot(plot) => self.plot(line.span, plot),
            syntax::Statement::Data(data) => self.data(line, data, &mut statement.unknowns),
            syntax::Statement::Budget(budget) => {
                let subject = self.expr(&budget.subject);
                let in_full = budget.in_full;
                subject.map(|subject| Kind::Budget { subject, in_full })
            }
            syntax::Statement::MonteCarlo(drawn) => self.monte_carlo(drawn),
            syntax::Statement::Comparison(comparison) => self.comparison(comparison),
            syntax::Statement::Fit(fit) => self.fit(fit, of.lines, &mut statement.unknowns),
            syntax::Statement::Taken(taken) => {
                let before = self.functions_elsewhere.len();
                let kind = self.taken(taken, &mut statement.defines);
                let new = self.functions_elsewhere[before..].iter();
                self.copied_functions
                    .extend(new.map(|(function, body)| (origin, *function, body.clone())));
                kind
            }
            syntax::Statement::Tabulated(tabulated) => {
                self.tabulated(tabulated, &mut statement.defines)
            }
            syntax::Statement::Scatter(scatter) => self.scatter(scatter, &mut statement.defines),
            syntax::Statement::Parameter(parameter) => {
                let is_formula = |line: &Line| matches!(line.statement, syntax::Statement::Fit(_));
                match of.lines.iter().any(is_formula) {
                    true => self.of_parameter(parameter),
                    false => {
                        statement.defines = self.without_formula(parameter, of.lines);
                        None
                    }
                }
            }
            syntax::Statement::Weighted(_) | syntax::Statement::Spread(_) => Some(Kind::OfBlock),
            syntax::Statement::Varied(varied) => self.varied(line.span, varied),
            syntax::Statement::MayChange(change) => self.may_change(change),
            syntax::Statement::Broken(name) => {
                self.refuse(block, name.as_ref(), origin, &mut statement.defines);
                None
            }
        };
        statement.needs = self.needs.take();
        if let Some(Kind::Fit(fit)) = &statement.kind {
            self.fits.insert(origin.block, (**fit).clone());
        }
        if let Some(Kind::Given { symbol, value }) = &statement.kind {
            self.keep_number(*symbol, value);
        }
        if let Some(kind) = &statement.kind {
            self.keep_made(statement.defines, kind);
        }
        if statement.kind.is_none() {
            self.refused.insert(origin);
        }
        if let Some(symbol) = statement.defines {
            self.ready.insert(symbol);
        }
        statement
    }
}
