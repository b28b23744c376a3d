//! The forms of a statement: one file a form, and one table of which block takes which.
//!
//! A form's file has its tree, how it is read, what is said when it cannot be, and its parts.
//! Lines that a word opens or joins are known by their row in [`FORMS`]; the others are what
//! their block is for. What a line may hold in which block stands in `misplaced`.

mod answer;
mod ask;
mod balance;
mod budget;
mod chain;
mod check;
mod comparison;
mod component;
mod data;
mod fit;
mod from;
mod inline;
mod limit;
mod monte_carlo;
mod plot;
mod required;
mod scatter;
mod sensitivity;
mod shear;
mod sketch;
mod solve;
mod tabulated;
mod taken;
mod therefore;
mod trend;
mod versions;

pub use answer::Answer;
pub use ask::{Ask, Precision};
pub use balance::{Balance, BalanceOf, FlowOf, balance_begun};
pub use budget::Budget;
pub use chain::{Chain, Condition, Tail};
pub use component::ComponentOf;
pub use data::{Column, Content, Data, Remark, Rows, Source, no_time};
pub(super) use data::{DataLine, DataRow, data_lines};
pub use fit::{Fit, Parameter, Spread};
pub use from::{From, Start};
pub use inline::Inline;
pub use limit::Limit;
pub use monte_carlo::MonteCarlo;
pub use plot::{Band, Plot, Side};
pub use required::{Required, SignWords};
pub use scatter::Scatter;
pub use shear::ShearAndMoment;
pub use sketch::{
    Act, ActKind, Attribute, Bearing, Column as FluidColumn, ColumnWay, Course, Cut, DeviceKind,
    Direction, GatheredOf, Lies, Load, MediumKind, MemberKind, Position, ReactionWay, Said, Sketch,
    SketchKind, StationLine, Support, SupportKind, TubeEnd, Turned, VolumeShape, Water,
    is_word_of_sketches, sketch_head, sketch_line,
};
pub use solve::Solve;
pub use tabulated::Tabulated;
pub use taken::{Taken, taken_files};
pub use therefore::Therefore;
pub use trend::{Trend, Way};
pub use versions::{Change, Choices, MayChange, Varied};

pub(super) use chain::refuse_chain;
pub(super) use check::range_in_words;
pub(super) use data::data;
pub(super) use from::{misplaced as from_misplaced, unread as from_unread};
pub(super) use inline::{inline, is_ask};
pub(crate) use plot::no_unit;
pub(super) use plot::{caption, unread as plot_unread};
pub(super) use required::component_required;
pub(super) use sketch::sketch_unread;
pub(super) use taken::taken_unread;

use super::diagnose;
use super::grammar::{self, Pairs, Rule, Stopped};
use super::reader::{Read, Reader, error};
use super::tokens::{TokenKind, tokens, word_at};
use super::{
    BlockKind, Check, Comparison, Expr, ExprKind, Literal, Name, UnitExpr, Word, is_reserved,
};
use crate::diagnostic::{self, Code, Decision, Diagnostic, Fix};
use crate::text::Span;

/// One statement of a block, with what stands around it.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// The statement without comment and description.
    pub span: Span,
    /// `label:` in front.
    pub label: Option<Word>,
    /// What it says.
    pub statement: Statement,
    /// The Markdown after ` -- `, without surrounding blanks.
    pub description: Option<Span>,
}

/// What a line says.
#[derive(Debug, Clone, PartialEq)]
pub enum Statement {
    /// `a = b = … [= ask or claim] [at conditions]`, in `given`, `derive` and `work`.
    /// A user function's definition `h_f(Q) = …` is a chain whose first member is that call.
    Chain(Chain),
    /// A line of `required`: `R_x = ? kN (+ downstream, - upstream)`.
    Required(Required),
    /// A line of `check`.
    Check(Check),
    /// A line of `answer`.
    Answer(Answer),
    /// A step of `derive` that follows from what stands above: `therefore a = b`.
    Therefore(Therefore),
    /// `solve a, b for x, y`, in `derive` and `work`.
    Solve(Solve),
    /// `component x of joint`, in `derive`.
    Component(ComponentOf),
    /// `balance x of joint`, in `derive`.
    Balance(Balance),
    /// `shear and moment of beam as V(x), M(x)`, in `derive`.
    Shear(Box<ShearAndMoment>),
    /// `show dimensions`, in `derive`.
    ShowDimensions,
    /// `y rises with x` and its kin, in `check`.
    Trend(Trend),
    /// `y -> value as x -> value`, in `check`.
    Limit(Limit),
    /// `sensitivity of y`, in `check`.
    Sensitivity(Expr),
    /// A line of `plot`.
    Plot(Box<Plot>),
    /// A line of `sketch`.
    Sketch(Box<Sketch>),
    /// The table of a `data` block.
    Data(Box<Data>),
    /// `monte carlo of y`, in `check`.
    MonteCarlo(Box<MonteCarlo<Expr>>),
    /// `budget of y`, in `check`.
    Budget(Budget),
    /// `g agrees with 9.81 m/s^2` and its kin, in `check`.
    Comparison(Box<Comparison<Expr>>),
    /// The formula of a `fit`.
    Fit(Fit),
    /// A parameter of a `fit`.
    Parameter(Parameter),
    /// `weighted by w_i`, and without a formula `weighted equally`, in `fit`.
    Weighted(Option<Expr>),
    /// `spread from residuals`, in `fit`.
    Spread(Spread),
    /// `e_y = scatter of line = ? mV`, in `work`.
    Scatter(Scatter),
    /// `rho(T) = rho_i against T_i`, in `derive` and `work`.
    Tabulated(Box<Tabulated>),
    /// `rho = rho of "water.md"`, in `given`.
    Taken(Box<Taken>),
    /// What data vary over, in `versions`.
    Varied(Box<Varied>),
    /// `y may change direction`, in `versions`.
    MayChange(MayChange),
    /// A line that was refused when it was read, with the name it was to define: what depends
    /// on that name is not reported again. `parse_block` leaves such lines out; the worksheet
    /// puts them back in their place.
    Broken(Option<Refused>),
}

/// What a refused line was to define.
#[derive(Debug, Clone, PartialEq)]
pub struct Refused {
    /// The name.
    pub name: Name,
    /// Whether it is that of a function.
    pub is_function: bool,
}

impl Refused {
    /// A quantity.
    pub fn quantity(name: Name) -> Self {
        Self {
            name,
            is_function: false,
        }
    }
}

/// A form that is known by its words.
pub(super) struct Form {
    /// The words that open it; an editor offers the first.
    opens: &'static [&'static str],
    /// The words that join its parts, as an editor offers them.
    joins: &'static [&'static str],
    /// The blocks that take it.
    blocks: &'static [BlockKind],
    /// What such a line is called.
    called: &'static str,
    /// The rule of the grammar.
    rule: Rule,
    /// The right form, as help.
    pattern: fn(BlockKind) -> &'static str,
    /// Where it stands in a line that is not one of the block's, with the word there.
    found: fn(&str) -> Option<(usize, &str)>,
    /// Whether it was meant in a line that its block cannot read.
    is_meant: fn(&str) -> bool,
    read: fn(&mut Reader<'_>, BlockKind, Pairs<'_>) -> Read<Statement>,
    /// What is said of a line with a usual mistake.
    unread: fn(BlockKind, &str, usize) -> Option<Box<Diagnostic>>,
}

/// The forms that are known by their words, and the blocks that take them.
static FORMS: [Form; 21] = [
    Form {
        opens: &[],
        joins: &[],
        blocks: &[BlockKind::Work],
        called: "the scatter of a fit",
        rule: Rule::scatter_line,
        pattern: |_| "`e_y = scatter of line = ? mV`, with the label of a fit",
        found: nowhere,
        is_meant: scatter::is_meant,
        read: |reader, _, pairs| reader.scatter(pairs).map(Statement::Scatter),
        unread: as_others,
    },
    Form {
        opens: &[],
        joins: &[],
        blocks: &[BlockKind::Given],
        called: "a name of another worksheet",
        rule: Rule::taken_line,
        pattern: |_| {
            "`rho = rho of \"water.md\"`, perhaps with `under \"a heading\"` and `at T = 15 degC`; \
             `mu(T) = mu of \"water.md\"` for a function"
        },
        found: taken::joined,
        is_meant: |body| taken::joined(body).is_some(),
        read: |reader, _, pairs| {
            let taken = reader.taken(pairs)?;
            Ok(Statement::Taken(Box::new(taken)))
        },
        unread: taken_unread,
    },
    Form {
        opens: &[],
        joins: &["against"],
        blocks: &[BlockKind::Derive, BlockKind::Work],
        called: "a table as a function",
        rule: Rule::tabulated_line,
        pattern: |_| {
            "`rho(T) = rho_i against T_i`, perhaps with `by cubic` and `where …`: a function of one \
             name, and the names of two lists"
        },
        found: tabulated::joined,
        is_meant: |body| tabulated::joined(body).is_some(),
        read: |reader, _, pairs| {
            let tabulated = reader.tabulated(pairs)?;
            Ok(Statement::Tabulated(Box::new(tabulated)))
        },
        unread: as_others,
    },
    Form {
        opens: &["weighted equally", "weighted by"],
        joins: &[],
        blocks: &[BlockKind::Fit],
        called: "a weighting",
        rule: Rule::weighted_line,
        pattern: |_| "`weighted equally`, or `weighted by 1/u_i^2`",
        found: nowhere,
        is_meant: never,
        read: |reader, _, pairs| reader.weighted(pairs).map(Statement::Weighted),
        unread: as_others,
    },
    Form {
        opens: &["spread from"],
        joins: &[],
        blocks: &[BlockKind::Fit],
        called: "what the spread is taken from",
        rule: Rule::spread_line,
        pattern: |_| "`spread from residuals` or `spread from uncertainty`",
        found: nowhere,
        is_meant: never,
        read: |reader, _, pairs| reader.spread(pairs).map(Statement::Spread),
        unread: as_others,
    },
    Form {
        opens: &["therefore", "∴"],
        joins: &[],
        blocks: &[BlockKind::Derive],
        called: "a `therefore` line",
        rule: Rule::therefore_line,
        pattern: |_| "`therefore R_x = a - b`: the word, and an equation",
        found: nowhere,
        is_meant: never,
        read: |reader, _, pairs| reader.therefore(pairs).map(Statement::Therefore),
        unread: therefore::unread,
    },
    Form {
        opens: &["solve"],
        joins: &[],
        blocks: &[BlockKind::Derive, BlockKind::Work],
        called: "a `solve` line",
        rule: Rule::solve_line,
        pattern: solve::pattern,
        found: nowhere,
        is_meant: never,
        read: |reader, kind, pairs| reader.solve(kind, pairs).map(Statement::Solve),
        unread: solve::unread,
    },
    Form {
        opens: &["component"],
        joins: &[],
        blocks: &[BlockKind::Derive],
        called: "a `component` line",
        rule: Rule::component_line,
        pattern: |_| "`component x of joint`: `x`, `y` or `z`, and the label of an equation",
        found: nowhere,
        is_meant: never,
        read: |reader, _, pairs| reader.component_of(pairs).map(Statement::Component),
        unread: as_others,
    },
    Form {
        opens: &[
            "balance x",
            "balance y",
            "balance moments",
            "balance mass",
            "balance volume",
            "balance content",
            "balance energy",
            "balance pressure",
            "balance heads",
        ],
        joins: &[],
        blocks: &[BlockKind::Derive],
        called: "a `balance` line",
        rule: Rule::balance_line,
        pattern: |_| {
            "`balance x of beam`, `balance y of beam` or `balance moments about A of beam`, with the \
             label of a sketch; of a control volume also `mass`, `volume`, `content` and `energy`"
        },
        found: nowhere,
        is_meant: never,
        read: |reader, _, pairs| reader.balance(pairs).map(Statement::Balance),
        unread: as_others,
    },
    Form {
        opens: &["shear and moment of"],
        joins: &[],
        blocks: &[BlockKind::Derive],
        called: "a `shear and moment` line",
        rule: Rule::shear_line,
        pattern: |_| {
            "`shear and moment of beam as V(x), M(x)`, with the label of a sketch; with the axial force \
             first, `as N(x), V(x), M(x)`"
        },
        found: nowhere,
        is_meant: never,
        read: |reader, _, pairs| {
            let shear = reader.shear(pairs)?;
            Ok(Statement::Shear(Box::new(shear)))
        },
        unread: as_others,
    },
    Form {
        opens: &["show"],
        joins: &[],
        blocks: &[BlockKind::Required],
        called: "an unknown whose value is said",
        rule: Rule::required_line,
        pattern: |_| "`show F = ? kN`: what is to be shown to have its value",
        found: nowhere,
        is_meant: never,
        read: |reader, _, pairs| reader.required(pairs).map(Statement::Required),
        unread: as_others,
    },
    Form {
        opens: &["show dimensions"],
        joins: &[],
        blocks: &[BlockKind::Derive],
        called: "a `show` line",
        rule: Rule::show_line,
        pattern: |_| "`show dimensions`; `in full` stands at the end of a `solve` line",
        found: nowhere,
        is_meant: never,
        read: |_, _, _| Ok(Statement::ShowDimensions),
        unread: as_others,
    },
    Form {
        opens: &[],
        joins: &["agrees with", "differs from", "conforms to"],
        blocks: &[BlockKind::Check, BlockKind::Versions],
        called: "a comparison by uncertainties",
        rule: Rule::comparison_line,
        pattern: |_| {
            "`y agrees with x`, `y differs from x`, `y conforms to a to b`, `y conforms to at least a` \
             or `at most b`, perhaps with `within k = 3`"
        },
        found: comparison::joined,
        is_meant: |body| comparison::joined(body).is_some(),
        read: |reader, _, pairs| {
            let comparison = reader.compared(pairs)?;
            Ok(Statement::Comparison(Box::new(comparison)))
        },
        unread: as_others,
    },
    Form {
        opens: &[],
        joins: &[],
        blocks: &[BlockKind::Check, BlockKind::Versions],
        called: "a limit",
        rule: Rule::limit_line,
        pattern: |_| "`y -> 0 as x -> inf`, where `x` is a name",
        found: limit::arrow,
        is_meant: |body| limit::arrow(body).is_some(),
        read: |reader, _, pairs| reader.limit(pairs).map(Statement::Limit),
        unread: as_others,
    },
    Form {
        opens: &[],
        joins: &[
            "rises with",
            "falls with",
            "does not depend on",
            "varies as",
        ],
        blocks: &[BlockKind::Check, BlockKind::Versions],
        called: "a trend",
        rule: Rule::trend_line,
        pattern: |_| {
            "`y rises with x`, `y falls with x`, `y does not depend on x` or `y varies as x^2`, \
             where `x` is a name"
        },
        found: trend::joined,
        is_meant: trend::is_meant,
        read: |reader, _, pairs| reader.trend(pairs).map(Statement::Trend),
        unread: trend::unread,
    },
    Form {
        opens: &["sensitivity of"],
        joins: &[],
        blocks: &[BlockKind::Check],
        called: "a `sensitivity` line",
        rule: Rule::sensitivity_line,
        pattern: |_| "`sensitivity of y`",
        found: nowhere,
        is_meant: |body| word_at(body, 0) == "sensitivity",
        read: |reader, _, pairs| reader.sensitivity(pairs).map(Statement::Sensitivity),
        unread: as_others,
    },
    Form {
        opens: &["monte carlo"],
        joins: &[],
        blocks: &[BlockKind::Check],
        called: "a `monte carlo` line",
        rule: Rule::monte_carlo_line,
        pattern: |_| "`monte carlo of y`, then `with 1e6 trials`, `with 95 % coverage`, `start 7` if wanted",
        found: nowhere,
        is_meant: |body| word_at(body, 0) == "monte",
        read: |reader, _, pairs| {
            let drawn = reader.monte_carlo(pairs)?;
            Ok(Statement::MonteCarlo(Box::new(drawn)))
        },
        unread: as_others,
    },
    Form {
        opens: &["budget of"],
        joins: &[],
        blocks: &[BlockKind::Check],
        called: "a `budget` line",
        rule: Rule::budget_line,
        pattern: |_| "`budget of y`, `budget of y in full`",
        found: nowhere,
        is_meant: |body| word_at(body, 0) == "budget",
        read: |reader, _, pairs| reader.budget(pairs).map(Statement::Budget),
        unread: as_others,
    },
    Form {
        opens: &[],
        joins: &["from"],
        blocks: &[BlockKind::Versions],
        called: "what a datum varies over",
        rule: Rule::varied_line,
        pattern: |_| {
            "`D from 70 mm to 100 mm in steps of 5 mm`, or `D from [70, 80, 95] mm`: a name of `given`, \
             and numbers"
        },
        found: versions::in_steps,
        is_meant: versions::is_varied,
        read: |reader, _, pairs| {
            let varied = reader.varied(pairs)?;
            Ok(Statement::Varied(Box::new(varied)))
        },
        unread: as_others,
    },
    Form {
        opens: &[],
        joins: &[],
        blocks: &[BlockKind::Versions],
        called: "what data vary over together",
        rule: Rule::together_line,
        pattern: |_| "`(rho, nu) from (998 kg/m^3, 1.00e-6 m^2/s), (1025 kg/m^3, 1.05e-6 m^2/s)`",
        found: nowhere,
        is_meant: versions::is_together,
        read: |reader, _, pairs| {
            let varied = reader.varied_together(pairs)?;
            Ok(Statement::Varied(Box::new(varied)))
        },
        unread: as_others,
    },
    Form {
        opens: &[],
        joins: &["may change direction", "may change branch"],
        blocks: &[BlockKind::Versions],
        called: "what may change",
        rule: Rule::may_change_line,
        pattern: |_| "`R_x may change direction` or `f may change branch`",
        found: versions::may_change,
        is_meant: |body| versions::may_change(body).is_some(),
        read: |reader, _, pairs| reader.may_change(pairs).map(Statement::MayChange),
        unread: as_others,
    },
];

/// The rule of the lines that most lines of a block are.
pub(super) fn rule_of(kind: BlockKind) -> Rule {
    match kind {
        BlockKind::Given => Rule::given_line,
        BlockKind::Required => Rule::required_line,
        BlockKind::Derive => Rule::derive_line,
        BlockKind::Work => Rule::work_line,
        BlockKind::Check | BlockKind::Versions => Rule::check_line,
        BlockKind::Plot => Rule::plot_line,
        BlockKind::Sketch => Rule::sketch_line,
        BlockKind::Fit => Rule::fit_line,
        BlockKind::Answer => Rule::answer_line,
        BlockKind::Data => Rule::leave_out_line,
    }
}

/// Reads such a line.
pub(super) fn ordinary(
    kind: BlockKind,
    reader: &mut Reader<'_>,
    pairs: Pairs<'_>,
) -> Read<Statement> {
    match kind {
        BlockKind::Given | BlockKind::Derive | BlockKind::Work => {
            let chain = reader.chain(pairs)?;
            refuse_chain(kind, reader, &chain)?;
            reader.formula_of_two(kind, chain).map(Statement::Chain)
        }
        BlockKind::Required => reader.required(pairs).map(Statement::Required),
        BlockKind::Check | BlockKind::Versions => reader.check(pairs).map(Statement::Check),
        BlockKind::Plot => reader
            .plot(pairs)
            .map(|plot| Statement::Plot(Box::new(plot))),
        BlockKind::Sketch => reader
            .sketch(pairs)
            .map(|line| Statement::Sketch(Box::new(line))),
        BlockKind::Fit => reader.fit_line(pairs),
        BlockKind::Answer => reader.answer(pairs).map(Statement::Answer),
        // All its lines together are one statement, which is read in `data`.
        BlockKind::Data => Err(reader.nothing()),
    }
}

/// What follows an opening word where it is a name after all, or wants to be one.
const AFTER_A_NAME: [char; 6] = ['=', '<', '>', '≤', '≥', ':'];

/// The words that open a line of this block.
pub fn opening_words(kind: BlockKind) -> impl Iterator<Item = &'static str> {
    taken_by(kind).filter_map(|form| form.opens.first().copied())
}

/// The words that join the parts of a line of this block.
pub fn joining_words(kind: BlockKind) -> impl Iterator<Item = &'static str> {
    taken_by(kind).flat_map(|form| form.joins.iter().copied())
}

fn taken_by(kind: BlockKind) -> impl Iterator<Item = &'static Form> {
    FORMS.iter().filter(move |form| form.blocks.contains(&kind))
}

/// The form of a line that begins with one of the opening words; one that its block takes, where
/// several begin so.
pub(super) fn opening(kind: BlockKind, body: &str) -> Option<&'static Form> {
    let mut line = tokens(body);
    let first = line.next()?;
    let next = line.next().map_or("", |next| next.text);
    if first.kind == TokenKind::Word && next.starts_with(AFTER_A_NAME) {
        return None;
    }
    let opens = |words: &&str| match words.split_once(' ') {
        // Any other word may be a name of the author's, unless the second one follows.
        Some((word, rest)) => {
            let second = rest.split(' ').next();
            word == first.text && (is_reserved(word) || second == Some(next))
        }
        None => *words == first.text,
    };
    let mut own = taken_by(kind).chain(&FORMS);
    own.find(|form| form.opens.iter().any(&opens))
}

/// What to say of a line that begins nearly as one of the forms of its block: `montecarlo of y`.
pub(super) fn nearly(kind: BlockKind, body: &str, start: usize) -> Option<Box<Diagnostic>> {
    let (_, phrase, end) = nearly_opening(kind, body)?;
    let (written, rest) = body.split_at(end);
    let place = Span::new(start, start + end);
    let refusal = Diagnostic::error(
        Code::S01,
        place,
        format!("`{}` is written `{phrase}`", written.trim()),
    );
    let help = format!("`{phrase} {}`", rest.trim());
    let fix = Fix::write(Decision::Choose, place, phrase);
    Some(Box::new(refusal.with_help(help).with_fixes([fix])))
}

/// The form of a block that a line begins nearly as, its words, and where the line's own end.
fn nearly_opening(kind: BlockKind, body: &str) -> Option<(&'static Form, &'static str, usize)> {
    let line: Vec<_> = tokens(body).take(5).collect();
    let is_word = |at: usize| {
        let token = line.get(at);
        token.is_some_and(|it| it.kind == TokenKind::Word)
    };
    let ends = (1..=3usize).filter(|count| is_word(0) && is_word(count - 1) && is_word(*count));
    let ends: Vec<usize> = ends.map(|count| line[count - 1].end()).collect();
    let phrases = || {
        taken_by(kind)
            .flat_map(|form| form.opens.iter().map(move |phrase| (form, *phrase)))
            .filter(|(_, phrase)| phrase.contains(' '))
    };
    let found = |is_meant: &dyn Fn(&str, &str) -> bool| {
        ends.iter().find_map(|end| {
            let written = squeezed(&body[..*end]);
            let mut all = phrases().filter(|_| written.len() > 4);
            let (form, phrase) = all.find(|(_, phrase)| is_meant(&written, &squeezed(phrase)))?;
            Some((form, phrase, *end))
        })
    };
    let is_near = |written: &str, phrase: &str| diagnostic::nearest(written, [phrase]).is_some();
    found(&|written, phrase| written == phrase).or_else(|| found(&is_near))
}

/// Whether a line of `check` asserts nothing and makes a table, as far as its words tell.
pub fn makes_a_table(statement: &Statement, body: &str) -> bool {
    match statement {
        Statement::Sensitivity(_) | Statement::Budget(_) | Statement::MonteCarlo(_) => true,
        Statement::Broken(_) => {
            let nearly = || nearly_opening(BlockKind::Check, body).map(|(form, ..)| form);
            let form = opening(BlockKind::Check, body).or_else(nearly);
            let rules = [
                Rule::sensitivity_line,
                Rule::monte_carlo_line,
                Rule::budget_line,
            ];
            form.is_some_and(|form| rules.contains(&form.rule))
        }
        Statement::Chain(_)
        | Statement::Required(_)
        | Statement::Check(_)
        | Statement::Answer(_)
        | Statement::Therefore(_)
        | Statement::Solve(_)
        | Statement::Component(_)
        | Statement::Balance(_)
        | Statement::Shear(_)
        | Statement::ShowDimensions
        | Statement::Trend(_)
        | Statement::Limit(_)
        | Statement::Plot(_)
        | Statement::Sketch(_)
        | Statement::Data(_)
        | Statement::Comparison(_)
        | Statement::Fit(_)
        | Statement::Parameter(_)
        | Statement::Weighted(_)
        | Statement::Spread(_)
        | Statement::Scatter(_)
        | Statement::Tabulated(_)
        | Statement::Taken(_)
        | Statement::Varied(_)
        | Statement::MayChange(_) => false,
    }
}

/// The letters of words alone, small.
fn squeezed(words: &str) -> String {
    let letters = words.chars().filter(|letter| letter.is_alphabetic());
    letters.flat_map(char::to_lowercase).collect()
}

/// Reads a line of this form.
pub(super) fn statement(form: &Form, kind: BlockKind, reader: &mut Reader<'_>) -> Read<Statement> {
    let (body, start) = (reader.text, reader.start);
    if !form.blocks.contains(&kind) {
        return Err(misplaced(form, kind, diagnose::place(body, start, 0)));
    }
    let pairs = grammar::parse(form.rule, body)
        .map_err(|stopped| unread(form, kind, body, start, &stopped))?;
    (form.read)(reader, kind, pairs)
}

/// Reads a line that is no ordinary one of its block, where its words show another form.
pub(super) fn meant(kind: BlockKind, reader: &mut Reader<'_>) -> Option<Read<Statement>> {
    let form = taken_by(kind).find(|form| (form.is_meant)(reader.text))?;
    Some(statement(form, kind, reader))
}

/// What to say about a line whose words belong to another block.
pub(super) fn of_another_block(
    kind: BlockKind,
    body: &str,
    start: usize,
) -> Option<Box<Diagnostic>> {
    FORMS.iter().find_map(|form| {
        let (at, word) = (form.found)(body)?;
        let span = Span::new(start + at, start + at + word.len());
        Some(misplaced(form, kind, span))
    })
}

fn nowhere(_: &str) -> Option<(usize, &str)> {
    None
}

fn never(_: &str) -> bool {
    false
}

fn as_others(_: BlockKind, _: &str, _: usize) -> Option<Box<Diagnostic>> {
    None
}

fn misplaced(form: &Form, kind: BlockKind, span: Span) -> Box<Diagnostic> {
    let home: Vec<String> = form
        .blocks
        .iter()
        .map(|kind| format!("a `{}`", kind.word()))
        .collect();
    error(
        Code::S11,
        span,
        format!("{} does not belong in `{}`", form.called, kind.word()),
        format!("the line in {} block", home.join(" or ")),
    )
}

fn unread(
    form: &Form,
    kind: BlockKind,
    body: &str,
    start: usize,
    stopped: &Stopped,
) -> Box<Diagnostic> {
    diagnose::unclosed_bracket(body, start)
        .or_else(|| diagnose::no_component(body, start, stopped.at))
        .or_else(|| (form.unread)(kind, body, start))
        .unwrap_or_else(|| {
            let at = diagnose::stop(body, stopped);
            error(
                Code::S01,
                diagnose::place(body, start, at),
                diagnose::cannot_stand(body, at),
                (form.pattern)(kind).to_owned(),
            )
        })
}

/// A part of a statement.
#[derive(Debug, Clone, Copy)]
pub enum Part<'a> {
    /// A formula.
    Expr(&'a Expr),
    /// A name that stands by itself.
    Name(&'a Name),
    /// A name that belongs to another worksheet.
    Elsewhere(&'a Name),
    /// The name of a function before the bracket of its parameters.
    Called(&'a Name),
    /// A number with its unit.
    Literal(&'a Literal),
    /// An ask.
    Ask(&'a Ask),
    /// A label of an equation.
    Label(&'a Word),
    /// What a sign means.
    Word(&'a Word),
    /// A unit that stands by itself.
    Unit(&'a UnitExpr),
    /// The name of a place or a section of a sketch.
    Spot(Spot<'a>),
}

/// The name of a place or a section of a sketch.
#[derive(Debug, Clone, Copy)]
pub struct Spot<'a> {
    /// The name.
    pub name: &'a Word,
    /// Whether it is a section, and not a place.
    pub is_section: bool,
    /// Whether it is given its meaning here.
    pub is_new: bool,
    /// The label of the sketch, where that is another one than the line stands in.
    pub of: Option<&'a Word>,
}

impl<'a> Spot<'a> {
    /// A place that is named in a line of its sketch.
    fn place(name: &'a Word) -> Part<'a> {
        Part::Spot(Self {
            name,
            is_section: false,
            is_new: false,
            of: None,
        })
    }

    /// A place or a section that a line of its sketch gives its meaning.
    fn named(name: &'a Word, is_section: bool) -> Part<'a> {
        Part::Spot(Self {
            name,
            is_section,
            is_new: true,
            of: None,
        })
    }
}

/// What is asked of a statement whatever its form: a form names what it has.
#[derive(Debug, Default, Clone, Copy)]
pub struct Facts<'a> {
    /// The sides of an equation or a chain.
    pub sides: &'a [Expr],
    /// Whether it refers to equations above it, also without a label.
    pub refers: bool,
    /// Whether its equals sign goes under those of its neighbours: a definition, an ask or an
    /// answer, not an equation.
    pub(super) defines: bool,
}

impl Statement {
    /// What it has of what is asked of every statement.
    pub fn facts(&self) -> Facts<'_> {
        let none = Facts::default();
        let refers = Facts {
            refers: true,
            ..none
        };
        let defines = Facts {
            defines: true,
            ..none
        };
        match self {
            Self::Chain(chain) => Facts {
                sides: &chain.members,
                refers: chain.from.is_some(),
                defines: chain.members.first().is_some_and(|first| {
                    matches!(
                        first.kind,
                        ExprKind::Name(_) | ExprKind::Call { .. } | ExprKind::Component(..)
                    )
                }),
            },
            Self::Therefore(step) => Facts {
                sides: &step.members,
                ..none
            },
            Self::Required(_)
            | Self::Answer(_)
            | Self::Parameter(_)
            | Self::Scatter(_)
            | Self::Tabulated(_)
            | Self::Taken(_) => defines,
            Self::Solve(_)
            | Self::Component(_)
            | Self::Balance(_)
            | Self::Shear(_)
            | Self::ShowDimensions => refers,
            Self::Plot(plot) if plot.shows_a_fit() => refers,
            Self::Check(_)
            | Self::Trend(_)
            | Self::Limit(_)
            | Self::Sensitivity(_)
            | Self::Plot(_)
            | Self::Sketch(_)
            | Self::Data(_)
            | Self::Budget(_)
            | Self::MonteCarlo(_)
            | Self::Comparison(_)
            | Self::Fit(_)
            | Self::Weighted(_)
            | Self::Spread(_)
            | Self::Varied(_)
            | Self::MayChange(_)
            | Self::Broken(_) => none,
        }
    }

    /// The Markdown within it.
    pub fn words(&self) -> impl Iterator<Item = Span> + '_ {
        let data = match self {
            Self::Data(data) => Some(data),
            _ => None,
        };
        data.into_iter().flat_map(|data| data.words())
    }

    /// Hands on each part, whatever the form.
    pub fn for_each_part<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        match self {
            Self::Chain(chain) => chain.parts(take),
            Self::Required(required) => required.parts(take),
            Self::Check(check) => check.parts(take),
            Self::Answer(answer) => answer.parts(take),
            Self::Therefore(step) => step.parts(take),
            Self::Solve(solve) => solve.parts(take),
            Self::Component(component) => component.parts(take),
            Self::Balance(balance) => balance.parts(take),
            Self::Shear(shear) => shear.parts(take),
            Self::Trend(trend) => trend.parts(take),
            Self::Limit(limit) => limit.parts(take),
            Self::Sensitivity(subject) => take(Part::Expr(subject)),
            Self::Plot(plot) => plot.parts(take),
            Self::Sketch(line) => line.parts(take),
            Self::Budget(budget) => take(Part::Expr(&budget.subject)),
            Self::MonteCarlo(drawn) => take(Part::Expr(&drawn.subject)),
            Self::Comparison(comparison) => comparison.parts(take),
            Self::Fit(fit) => fit.parts(take),
            Self::Parameter(parameter) => parameter.parts(take),
            Self::Weighted(weight) => weight.iter().for_each(|it| take(Part::Expr(it))),
            Self::Spread(_) => {}
            Self::Scatter(scatter) => scatter.parts(take),
            Self::Tabulated(tabulated) => tabulated.parts(take),
            Self::Taken(taken) => taken.parts(take),
            Self::Varied(varied) => varied.parts(take),
            Self::MayChange(change) => take(Part::Name(&change.name)),
            Self::ShowDimensions => {}
            Self::Data(data) => data.parts(take),
            Self::Broken(name) => {
                let name = name.iter().map(|refused| &refused.name);
                name.for_each(|name| take(Part::Name(name)));
            }
        }
    }
}
