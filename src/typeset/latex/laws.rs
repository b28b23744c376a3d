//! Every formula of the worked problems and of the specification, as LaTeX.

use std::fs;
use std::path::Path;

use super::tests::fault;
use super::write;
use crate::resolve::Expr;
use crate::text::Source;
use crate::typeset::value::unit_part;
use crate::typeset::{
    Context, Names, Node, derivative, function, math, result, side, symbol, value,
};
use crate::worksheet::{Body, Entries, Problem, Statement, Work, compile};

/// The trees of a statement.
fn set(context: &Context, problem: &Problem, statement: &Statement) -> Vec<Node> {
    let all = |members: &[Expr]| members.iter().map(|it| side("=", it, context).0).collect();
    match &statement.body {
        Body::Given {
            symbol,
            formula,
            shown,
            ..
        } => {
            let formula = formula.iter().map(|it| side("=", it, context).0);
            let ends = [self::symbol(*symbol, context), result("=", shown)];
            formula.chain(ends).collect()
        }
        Body::Required { unit, .. } => unit.iter().filter_map(unit_part).collect(),
        Body::Equation { members, .. }
        | Body::Therefore { members, .. }
        | Body::Component { members, .. }
        | Body::Balance { members, .. }
        | Body::NotEvaluated { members, .. } => all(members),
        Body::Solved(solved) => {
            let steps = solved
                .steps
                .iter()
                .flat_map(|step| [&step.left, &step.right]);
            let formulas = solved.branches.iter().flat_map(|branch| &branch.formulas);
            steps.chain(formulas).map(|it| math(it, context)).collect()
        }
        Body::Dimensions(symbols) => {
            let symbols = symbols.iter().map(|(id, _)| symbol(*id, context));
            symbols.collect()
        }
        Body::System(system) => {
            let unknowns = system.unknowns.iter();
            unknowns.map(|(_, shown)| result("=", shown)).collect()
        }
        Body::Trend(trend) => vec![
            side("", &trend.subject, context).0,
            derivative(&trend.subject, trend.with, context),
            result("=", &trend.derivative),
        ],
        Body::Limit(limit) => vec![side("", &limit.subject, context).0, value(&limit.reached)],
        Body::Table(table) => (table.columns.iter())
            .filter_map(|column| match &column.entries {
                Entries::Readings { symbol, .. } => Some(self::symbol(*symbol, context)),
                Entries::Uncertainties { .. } | Entries::Words(_) => None,
            })
            .collect(),
        Body::Sensitivity(sensitivity) => {
            let rows = sensitivity.rows.iter();
            rows.map(|row| value(&row.derivative)).collect()
        }
        Body::Budget(budget) => {
            let rows = budget.rows.iter();
            rows.map(|row| value(&row.contribution)).collect()
        }
        Body::Trials(trials) => {
            let rows = trials.rows.iter();
            rows.map(|row| value(&row.mean)).collect()
        }
        Body::Comparison(comparison) => vec![
            side("", &comparison.subject.0, context).0,
            value(&comparison.difference),
        ],
        Body::Correlation { coefficient, .. } => vec![side("", coefficient, context).0],
        Body::Shear(cut) => {
            let one = |(function, pieces): &(_, Expr)| {
                let parameters = problem.symbols.function(*function).parameters.len();
                let context = context.in_function(*function);
                let (head, _) = self::function(*function, parameters, &context);
                [head, side("=", pieces, &context).0]
            };
            cut.lines.iter().flat_map(one).collect()
        }
        Body::Function { function, body, .. } => {
            let parameters = problem.symbols.function(*function).parameters.len();
            let context = context.in_function(*function);
            let (head, _) = self::function(*function, parameters, &context);
            vec![head, side("=", body, &context).0]
        }
        Body::Work(work) => self::work(context, work),
        Body::Check { members, .. } => members
            .iter()
            .flat_map(|(member, shown)| [math(member, context), value(shown)])
            .collect(),
        Body::Answer { expr, shown, .. } => vec![math(expr, context), result("=", shown)],
        Body::Varied(_)
        | Body::MayChange(_)
        | Body::Refused
        | Body::Plot(_)
        | Body::Sketch(_)
        | Body::Fit(_)
        | Body::OfBlock => Vec::new(),
    }
}

fn work(context: &Context, work: &Work) -> Vec<Node> {
    let numbers = context.with_operands(work.operands());
    let members = work.members.iter();
    let mut nodes = vec![math(&work.lead, context), result("=", &work.shown)];
    nodes.extend(members.flat_map(|it| [side("=", it, context).0, side("=", it, &numbers).0]));
    nodes
}

/// Every formula of a problem.
fn nodes(problem: &Problem) -> Vec<Node> {
    let names = Names::new(&problem.symbols);
    let context = Context::new(&problem.text, &names);
    let statements = problem.blocks().flatten();
    statements
        .flat_map(|statement| set(&context, problem, statement))
        .collect()
}

/// Writes every formula of a worksheet; tells how many there were.
fn check(name: &str, text: &str) -> usize {
    let worksheet = compile(Source::new(name, text));
    let problems = worksheet.problems.iter().map(|placed| &*placed.problem);
    let nodes: Vec<Node> = problems.flat_map(nodes).collect();
    for node in &nodes {
        let mut latex = String::new();
        write(node, &mut latex);
        assert_eq!(fault(&latex), None, "{name}: {latex}");
    }
    nodes.len()
}

fn files(folder: &Path) -> Vec<(String, String)> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files.extend(self::files(&path));
        } else if path.extension().is_some_and(|extension| extension == "md") {
            let text = fs::read_to_string(&path).unwrap();
            files.push((path.display().to_string(), text));
        }
    }
    files
}

#[test]
fn every_formula_of_the_worked_problems_is_sound() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut formulas = 0;
    for (name, text) in files(&root.join("worksheets")) {
        formulas += check(&name, &text);
    }
    assert!(formulas > 500, "only {formulas}");
}

#[test]
fn every_formula_of_the_specification_is_sound() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut formulas = 0;
    for (name, text) in files(&root.join("tests/spec")) {
        let cases = text.split("\n````worksheet").skip(1);
        for case in cases.filter_map(|case| case.split("\n````").next()) {
            formulas += check(&name, case);
        }
    }
    assert!(formulas > 2000, "only {formulas}");
}
