//! The forms a line can take, and what is refused, through the public functions.

mod checks;
mod limits;
mod lines;
mod literals;
mod print;
mod properties;
mod refusals;
mod steps;
mod vectors;

use super::*;
use print::print_expr;

/// The spans of a block's lines.
fn spans(text: &str) -> Vec<Span> {
    let mut start = 0;
    text.split('\n')
        .map(|line| {
            let span = Span::new(start, start + line.len());
            start += line.len() + 1;
            span
        })
        .collect()
}

fn block(kind: BlockKind, text: &str) -> (Vec<Line>, Vec<Diagnostic>) {
    parse_block(kind, text, &spans(text))
}

/// The one statement of a line without diagnostics.
fn line(kind: BlockKind, text: &str) -> Statement {
    let (mut lines, diagnostics) = block(kind, text);
    assert_eq!(diagnostics, [], "{text}");
    assert_eq!(lines.len(), 1, "{text}");
    lines.remove(0).statement
}

/// A statement in few words: members joined by `=`, then the tail.
fn sketch(statement: &Statement) -> String {
    match statement {
        Statement::Chain(chain) => {
            let members: Vec<_> = chain.members.iter().map(print_expr).collect();
            let tail = match &chain.tail {
                Tail::None => String::new(),
                Tail::Ask(ask) => format!(" = {}", sketch_ask(ask)),
                Tail::Filled(literal, ask) => {
                    format!(" = filled {} {}", sketch_literal(literal), sketch_ask(ask))
                }
                Tail::Claim(literal) => format!(" = claim {}", sketch_literal(literal)),
            };
            let conditions: String = chain
                .conditions
                .iter()
                .map(|condition| {
                    format!(
                        " at {}={}",
                        condition.name.key,
                        print_expr(&condition.value)
                    )
                })
                .collect();
            let from = chain.from.as_ref().map_or(String::new(), |from| {
                format!(" from {}{}", from.label.text, sketch_start(&from.start))
            });
            format!("{}{tail}{from}{conditions}", members.join(" = "))
        }
        Statement::Required(required) => format!(
            "{} {} +{} -{}",
            required.name.key,
            sketch_ask(&required.ask),
            required
                .words
                .positive
                .as_ref()
                .map_or("", |word| &word.text),
            required
                .words
                .negative
                .as_ref()
                .map_or("", |word| &word.text),
        ),
        Statement::Check(check) => sketch_check(check),
        Statement::Answer(answer) => format!(
            "{} {} {}",
            print_expr(&answer.expr),
            answer.ask.as_ref().map_or(String::new(), sketch_ask),
            answer.filled.as_ref().map_or(String::new(), sketch_literal),
        ),
        Statement::Therefore(therefore) => {
            let members: Vec<_> = therefore.members.iter().map(print_expr).collect();
            format!("therefore {}", members.join(" = "))
        }
        Statement::Solve(solve) => sketch_solve(solve),
        Statement::Component(component) => {
            format!("component {:?} of {}", component.axis, component.label.text)
        }
        Statement::ShowDimensions => "show dimensions".to_owned(),
        Statement::Trend(trend) => sketch_trend(trend),
        Statement::Limit(limit) => format!(
            "{} -> {} as {} -> {}",
            print_expr(&limit.subject),
            print_expr(&limit.value),
            limit.with.key,
            print_expr(&limit.at),
        ),
        // A form of one part is its part.
        other => {
            let mut parts = Vec::new();
            other.for_each_part(&mut |part| parts.push(sketch_part(part)));
            parts.join(", ")
        }
    }
}

fn sketch_part(part: Part<'_>) -> String {
    match part {
        Part::Expr(expr) => print_expr(expr),
        Part::Name(name) | Part::Called(name) | Part::Elsewhere(name) => name.key.to_string(),
        Part::Literal(literal) => sketch_literal(literal),
        Part::Ask(ask) => sketch_ask(ask),
        Part::Unit(unit) => sketch_unit(unit),
        Part::Label(word) | Part::Word(word) => word.text.to_string(),
        Part::Spot(spot) => spot.name.text.to_string(),
    }
}

fn sketch_check(check: &Check) -> String {
    let members: Vec<_> = check.members.iter().map(print_expr).collect();
    let within = check.within.as_ref().map(print_expr);
    format!(
        "{} {:?} {}",
        members.join(" ; "),
        check.relations,
        within.unwrap_or_default()
    )
}

fn sketch_start(start: &Start) -> String {
    match start {
        Start::Anywhere => String::new(),
        Start::Near(value) => format!(" near {}", print_expr(value)),
        Start::Between(lower, upper) => {
            format!(" between {} and {}", print_expr(lower), print_expr(upper))
        }
    }
}

fn sketch_solve(solve: &Solve) -> String {
    let labels: Vec<_> = solve.labels.iter().map(|label| &*label.text).collect();
    let unknowns: Vec<_> = solve
        .unknowns
        .iter()
        .map(|unknown| format!("{}{}", unknown.name.key, sketch_start(&unknown.start)))
        .collect();
    let conditions: String = solve
        .conditions
        .iter()
        .map(|condition| format!(" with {}", sketch_check(condition).trim()))
        .collect();
    format!(
        "solve [{}] for {}{conditions}{}",
        labels.join(" "),
        unknowns.join(", "),
        if solve.in_full { " in full" } else { "" }
    )
}

fn sketch_trend(trend: &Trend) -> String {
    let way = match &trend.way {
        Way::Power(Some(exponent)) => format!("varies ^ {}", print_expr(exponent)),
        Way::Power(None) => "varies".to_owned(),
        way => format!("{way:?}"),
    };
    let within = trend.within.as_ref().map(print_expr);
    format!(
        "{} {way} {} {}",
        print_expr(&trend.subject),
        trend.with.key,
        within.unwrap_or_default()
    )
}

fn sketch_ask(ask: &Ask) -> String {
    let mut parts = vec!["?".to_owned()];
    parts.extend(ask.unit.as_ref().map(sketch_unit));
    parts.extend(ask.datum.map(|datum| format!("{datum:?}")));
    parts.extend(ask.precision.map(|precision| format!("{precision:?}")));
    parts.join(" ")
}

fn sketch_unit(unit: &UnitExpr) -> String {
    let factors: Vec<_> = unit
        .factors
        .iter()
        .map(|factor| match (factor.power, factor.root) {
            (1, 1) => factor.symbol.to_string(),
            (power, 1) => format!("{}^{power}", factor.symbol),
            (power, root) => format!("{}^{power}/{root}", factor.symbol),
        })
        .collect();
    factors.join(".")
}

fn sketch_literal(literal: &Literal) -> String {
    let number = match &literal.magnitude {
        Magnitude::One(number) => number.value.to_string(),
        Magnitude::Fraction(above, below) => format!("{}/{}", above.value, below.value),
        Magnitude::Mixed(whole, above, below) => {
            format!("{} {}/{}", whole.value, above.value, below.value)
        }
        Magnitude::List(numbers) => format!("[{}]", sketch_numbers(numbers)),
        Magnitude::Vector(numbers) => format!("({})", sketch_numbers(numbers)),
    };
    let mut parts = vec![number];
    parts.extend(literal.unit.as_ref().map(sketch_unit));
    parts.extend(literal.datum.map(|datum| format!("{datum:?}")));
    parts.extend(literal.sizes.iter().map(sketch_size));
    parts.join(" ")
}

fn sketch_size(size: &Size) -> String {
    let term = |term: &SizeTerm| {
        let unit = term.unit.as_ref().map(sketch_unit);
        let share = match &term.share {
            None => String::new(),
            Some(Share::Value) => "relative ".to_owned(),
            Some(Share::Of(of, unit, _)) => format!("of {} {} ", of.value, sketch_unit(unit)),
        };
        format!("{share}{}{}", term.value, unit.unwrap_or_default())
    };
    let amount = match &size.amount {
        Amount::Sum(terms) => {
            let terms: Vec<String> = terms.iter().map(term).collect();
            format!("±{}", terms.join("+"))
        }
        Amount::Concise(own) => format!("±{}", term(own)),
        Amount::Resolution(own) => format!("resolution {}", term(own)),
        Amount::Counts => "Poisson".to_owned(),
    };
    let how = &size.how;
    let mut parts = vec![amount];
    parts.push(format!("k={}", how.coverage));
    if how.distribution != Distribution::Normal {
        parts.push(format!("{:?}", how.distribution));
    }
    parts.extend(how.level.map(|level| format!("p={level}")));
    if how.degrees.is_finite() {
        parts.push(format!("nu={}", how.degrees));
    }
    parts.extend(size.sharing.map(|sharing| format!("{sharing:?}")));
    parts.join(" ")
}

fn sketch_numbers(numbers: &[Number]) -> String {
    let numbers: Vec<_> = numbers
        .iter()
        .map(|number| number.value.to_string())
        .collect();
    numbers.join(",")
}

fn reads(kind: BlockKind, cases: &[(&str, &str)]) {
    for (text, expected) in cases {
        assert_eq!(sketch(&line(kind, text)).trim(), *expected, "{text}");
    }
}

/// Each line is refused with this code at this text, and the help holds the last part.
fn refuses(kind: BlockKind, cases: &[(&str, Code, &str, &str)]) {
    for (text, code, place, help) in cases {
        let (_, diagnostics) = block(kind, text);
        let [found] = diagnostics.as_slice() else {
            panic!("{text}: {diagnostics:#?}");
        };
        assert_eq!(found.code, *code, "{text}: {found:?}");
        assert_eq!(found.span.of(text), *place, "{text}: {}", found.message);
        let way_out = found.help.as_deref().unwrap_or("");
        assert!(way_out.contains(help), "{text}: {way_out}");
    }
}
