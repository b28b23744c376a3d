//! Laws that hold for any worksheet, tried on random ones.

use num_bigint::BigInt;
use num_rational::BigRational as Rational;
use num_traits::{One, Signed, Zero};
use proptest::prelude::*;
use setsquare::diagnostic::Code;
use setsquare::functions::{Dimensions, Function};
use setsquare::text::Source;
use setsquare::worksheet::{self, Body};
use setsquare::{page, worksheet::Worksheet};

/// Plain arithmetic with its own brackets: every operator, no unary minus (on which the
/// independent evaluator differs on purpose: it takes `-2^2` as 4).
fn arithmetic() -> impl Strategy<Value = String> {
    let number =
        (1..5000_u32).prop_map(|hundredths| format!("{:.2}", f64::from(hundredths) / 100.0));
    let leaf = number.clone();
    let nested = leaf.prop_recursive(5, 40, 3, move |inner| {
        prop_oneof![
            (inner.clone(), "[+*/-]", inner.clone())
                .prop_map(|(left, sign, right)| format!("({left} {sign} {right})")),
            (inner.clone(), "[+-]", inner.clone(), "[+-]", inner.clone())
                .prop_map(|(a, first, b, second, c)| format!("({a} {first} {b} {second} {c})")),
            (inner, 1..4_u8).prop_map(|(base, exponent)| format!("({base}^{exponent})")),
        ]
    });
    (nested, number).prop_map(|(left, right)| format!("{left} + {right}"))
}

fn compile(text: &str) -> Worksheet {
    worksheet::compile(Source::new("law.md", text))
}

/// The value of the only result.
fn value(worksheet: &Worksheet) -> Option<f64> {
    worksheet
        .statements()
        .find_map(|(_, statement)| match &statement.body {
            Body::Work(work) => work.shown.si.first().copied(),
            _ => None,
        })
}

/// Pieces from which worksheets are put together, right and wrong.
fn pieces() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        Just("```given\n".to_owned()),
        Just("```work\n".to_owned()),
        Just("```derive\n".to_owned()),
        Just("```check\n".to_owned()),
        Just("```answer\n".to_owned()),
        Just("```sketch\nbeam:  body -- *words*\n".to_owned()),
        Just("point  A\npoint B = L   right  from A -- end\n".to_owned()),
        Just("force F  at  30° above   right at B ,opposite to F of beam\n".to_owned()),
        Just("inlet 2' flow up ,area p A , speed  V   # note\n".to_owned()),
        Just("```required\n".to_owned()),
        Just("```\n".to_owned()),
        Just("# Problem\n".to_owned()),
        Just("p = 240 kPa gauge -- *reading*\n".to_owned()),
        Just("T = 20 degC\n".to_owned()),
        Just("L = 50.02 ± 0.04 mm\n".to_owned()),
        Just("x_i = [1, 2, 5] mm\n".to_owned()),
        Just("f(x) = x^2 + 1\n".to_owned()),
        Just("a: F = p A cos(30 deg)\n".to_owned()),
        Just("y = L^2 = ? mm^2 to 3 figures\n".to_owned()),
        Just("z = f(2) = 5.0\n".to_owned()),
        Just("y > 2 mm^2\n".to_owned()),
        Just("  long_name=y*2+ L ^ 2\n".to_owned()),
        Just("  -y=f( 2 )-|y| -- *note*\n".to_owned()),
        Just("\t= ? mm^2 # note  \n".to_owned()),
        Just("k = (1 mm +\n".to_owned()),
        Just("Text `y = ? mm^2` with `? K of T`, $x^2$ and [a].\n\n".to_owned()),
        Just("| a | `y = ?` |\n|---|:-:|\n| <b> | ** |\n\n".to_owned()),
        "[ -~]{0,24}\n",
        "\\PC{0,12}\n",
    ];
    prop::collection::vec(piece, 0..14).prop_map(|pieces| pieces.concat())
}

/// What a worksheet says: its report without columns and without blanks in what it quotes.
fn said(text: &str) -> String {
    page::report(&[compile(text)])
        .lines()
        .filter(|line| !line.contains("column\":"))
        .map(|line| line.split_whitespace().collect::<String>() + "\n")
        .collect()
}

/// The worked worksheets.
fn worked() -> Vec<String> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/worksheets");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "md"))
        .collect();
    paths.sort();
    let read = |path: &std::path::PathBuf| std::fs::read_to_string(path).unwrap();
    paths.iter().map(read).collect()
}

/// The text with its blanks in blocks doubled, taken out or left, by chance.
fn with_other_blanks(text: &str, seed: u64) -> String {
    let mut state = seed | 1;
    let mut inside = false;
    let mut out = String::new();
    for line in text.split_inclusive('\n') {
        if line.starts_with("```") {
            inside = !inside;
            out.push_str(line);
            continue;
        }
        for character in line.chars() {
            state = state
                .wrapping_mul(6364136223846793005)
                .wrapping_add(1442695040888963407);
            match (inside && character == ' ', state >> 60) {
                (true, 0..2) => {}
                (true, 2..4) => out.push_str("  "),
                _ => out.push(character),
            }
        }
    }
    out
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn plain_arithmetic_agrees_with_an_independent_evaluator(formula in arithmetic()) {
        let expected = evalexpr::eval_number(&formula);
        let worksheet = compile(&format!("```work\nx = {formula} = ?\n```\n"));
        match (expected, value(&worksheet)) {
            (Ok(expected), Some(found)) => {
                let size = expected.abs().max(1.0);
                prop_assert!((expected - found).abs() <= 1e-9 * size, "{formula}: {expected} and {found}");
            }
            // What is not finite is refused here, and is infinite or not a number there.
            (Ok(expected), None) => prop_assert!(!expected.is_finite(), "{formula}: {expected}"),
            (Err(_), found) => prop_assert!(found.is_none(), "{formula}: {found:?}"),
        }
    }

    #[test]
    fn any_worksheet_becomes_a_well_formed_page(text in pieces()) {
        let worksheet = compile(&text);
        let html = page::html(&worksheet);
        let body = html.strip_prefix("<!DOCTYPE html>").unwrap_or(&html);
        prop_assert!(roxmltree::Document::parse(body).is_ok(), "{text}");
        for diagnostic in &worksheet.diagnostics {
            let place = diagnostic.span;
            prop_assert!(text.is_char_boundary(place.start as usize), "{text}");
            prop_assert!(text.is_char_boundary(place.end as usize), "{text}");
            prop_assert!(!diagnostic.message.is_empty());
        }
    }

    #[test]
    fn filling_and_emptying_gives_back_the_same_bytes(text in pieces()) {
        let worksheet = compile(&text);
        let filled = worksheet::fill(&worksheet);
        // Only what was open before is opened again.
        if !text.contains(" ?\n") && !text.contains("?`") {
            let emptied = worksheet::unfill(&compile(&filled));
            prop_assert_eq!(emptied, text);
        }
    }

    #[test]
    fn a_tidied_worksheet_says_the_same(text in pieces()) {
        let tidied = worksheet::tidy(&Source::new("law.md", text.clone()));
        let again = worksheet::tidy(&Source::new("law.md", tidied.clone()));
        prop_assert_eq!(&again, &tidied);
        prop_assert_eq!(said(&text), said(&tidied), "{}", tidied);
    }

    #[test]
    fn the_same_text_gives_the_same_page(text in pieces()) {
        prop_assert_eq!(page::html(&compile(&text)), page::html(&compile(&text)));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn a_worked_worksheet_with_other_blanks_is_tidied_to_the_same(
        which in any::<prop::sample::Index>(),
        seed in any::<u64>(),
    ) {
        let texts = worked();
        let text = which.get(&texts);
        let mangled = with_other_blanks(text, seed);
        let tidied = worksheet::tidy(&Source::new("law.md", mangled.clone()));
        let again = worksheet::tidy(&Source::new("law.md", tidied.clone()));
        prop_assert_eq!(&again, &tidied);
        prop_assert_eq!(said(&mangled), said(&tidied), "{}", tidied);
    }
}

#[test]
fn filling_and_emptying_the_worked_worksheets_gives_back_their_bytes() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/worksheets");
    let mut tried = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|extension| extension != "md") {
            continue;
        }
        let text = std::fs::read_to_string(&path).unwrap();
        let filled = worksheet::fill(&compile(&text));
        assert_ne!(filled, text, "{}", path.display());
        let emptied = worksheet::unfill(&compile(&filled));
        assert_eq!(emptied, text, "{}", path.display());
        // A filled worksheet is as good as an open one, and filling it again changes nothing.
        let again = compile(&filled);
        assert!(again.diagnostics.is_empty(), "{:?}", again.diagnostics);
        assert_eq!(worksheet::fill(&again), filled);
        tried += 1;
    }
    assert!(tried >= 5, "only {tried} worksheets");
}

#[test]
fn the_worked_worksheets_say_the_same_when_they_are_tidied() {
    let texts = worked();
    assert!(texts.len() >= 5, "only {} worksheets", texts.len());
    for text in texts {
        let tidied = worksheet::tidy(&Source::new("law.md", text.clone()));
        assert_eq!(
            worksheet::tidy(&Source::new("law.md", tidied.clone())),
            tidied
        );
        assert_eq!(said(&text), said(&tidied));
    }
}

/// A call of a function with arguments that it takes.
fn call(function: Function) -> String {
    let fitting = |at: usize| {
        let domain = function.domain(at);
        let takes = |digits: &&str| {
            let number = digits.parse().unwrap_or(f64::NAN);
            domain.is_none_or(|domain| (domain.holds)(number))
        };
        ["0.5", "2"].into_iter().find(takes).unwrap()
    };
    let argument = |at: usize| match function.dimensions() {
        Dimensions::Plain(_) | Dimensions::Angle => fitting(at),
        // Equal numbers do not scatter.
        Dimensions::Same if function.is_by_scatter() && at > 0 => "M",
        Dimensions::Same | Dimensions::Spread | Dimensions::Compared | Dimensions::Root(_) => "L",
        Dimensions::Pressure if function.name() == "gauge" => "p",
        Dimensions::Pressure => "q",
        Dimensions::Product | Dimensions::Direction => "F",
        Dimensions::Pick if at > 0 => "2",
        Dimensions::Apart if at > 0 && function == Function::CoverageFactor => "0.95",
        Dimensions::Apart => "U",
        Dimensions::Pick | Dimensions::Area | Dimensions::Slope => ["l_i", "t_i"][at],
    };
    let takes_list = |at: usize| at == 0 && (function.joins_rows() || function.takes_lists());
    let own = |at: usize| match takes_list(at) {
        true => "l_i",
        false => argument(at),
    };
    let arguments: Vec<&str> = (0..function.arguments().len()).map(own).collect();
    let call = format!("{}({})", function.name(), arguments.join(", "));
    match function.joins_rows() {
        true => format!("mean({call})"),
        false => call,
    }
}

/// A worksheet with the data that calls read.
fn calling(call: &str) -> String {
    let data = "L = 2.5 m\nM = 2.7 m\nF = (3, 4) kN\np = 300 kPa abs\nq = 240 kPa gauge\np_atm = 100 kPa abs\nU = 2.5 m ± 0.1 m (4 degrees of freedom)\nl_i = [2.5, 2.7, 2.6] m ± 0.1 m\nt_i = [1, 2, 4] s";
    format!("```given\n{data}\n```\n\n```work\ny = {call}\n```\n")
}

#[test]
fn every_function_is_computed_printed_and_read_again() {
    for function in Function::ALL.iter().copied() {
        let call = call(function);
        let text = calling(&call);
        let compiled = compile(&text);
        assert!(
            compiled.diagnostics.is_empty(),
            "{call}: {:?}",
            compiled.diagnostics
        );
        assert!(value(&compiled).is_some_and(f64::is_finite), "{call}");
        let html = page::html(&compiled);
        let body = html.strip_prefix("<!DOCTYPE html>").unwrap_or(&html);
        assert!(roxmltree::Document::parse(body).is_ok(), "{call}");
        let filled = worksheet::fill(&compile(&text.replace(&call, &format!("{call} = ?"))));
        assert_eq!(compile(&filled).diagnostics, [], "{filled}");
    }
}

#[test]
fn functions_of_plain_numbers_take_no_lengths() {
    for function in Function::ALL.iter().copied() {
        let lengths = vec!["L"; function.arguments().len()];
        let call = format!("{}({})", function.name(), lengths.join(", "));
        let found = compile(&calling(&call)).diagnostics;
        let is_refused = found.iter().any(|it| it.code == Code::D04);
        let is_plain = function == Function::CoverageFactor
            || matches!(
                function.dimensions(),
                Dimensions::Plain(_) | Dimensions::Angle | Dimensions::Pressure | Dimensions::Pick
            );
        assert_eq!(is_refused, is_plain, "{call}: {found:?}");
    }
}

/// A formula around a place, nested as deep as brackets may be.
fn around(inner: &str, (before, after): (&str, &str), depth: usize) -> String {
    format!("{}{inner}{}", before.repeat(depth), after.repeat(depth))
}

/// Functions, each of which nests a formula around the one before.
fn tower(levels: usize, depth: usize, nesting: (&str, &str)) -> String {
    let first = around("x", nesting, depth);
    let mut text = format!("f_0(x) = {first}\n");
    for level in 1..levels {
        let call = format!("f_{}(x)", level - 1);
        let body = around(&call, nesting, depth);
        text.push_str(&format!("f_{level}(x) = {body}\n"));
    }
    text
}

/// Ways to nest, as deep as the bound on brackets allows.
const NESTINGS: [(&str, &str); 9] = [
    ("1/(1 + ", ")"),
    ("(1 + 2*", ")"),
    ("sqrt(1 + ", ")"),
    ("exp(-", "/9)"),
    ("|1 - (", ")|"),
    ("(2 + ", ")^2"),
    ("min(3, ", ")"),
    ("cases(2 for x < 1, ", " otherwise)"),
    ("atan2(1, 1 + ", ")"),
];

/// Written out, the last function has 2³² times the argument: a walk over all of them does not end.
#[test]
fn what_stands_in_a_formula_many_times_is_looked_at_once() {
    let mut text = "```derive\nf_0(x) = x^2 - 0.3 x + 1\n".to_owned();
    for level in 1..=5 {
        let below = level - 1;
        text.push_str(&format!("f_{level}(x) = f_{below}(f_{below}(x))\n"));
    }
    text.push_str("e: y = f_5(z)\ntherefore y = f_5(z) + 0*z\n```\n");
    assert_eq!(compile(&text).diagnostics, []);
}

#[test]
fn a_tower_of_functions_costs_the_lines_that_need_its_top() {
    let tower = tower(20, 97, NESTINGS[0]);
    let text = format!("```work\n{tower}y = f_19(2) = ?\nz = f_0(2) = ? to 4 figures\n```\n");
    let worksheet = compile(&text);
    let codes: Vec<&str> = (worksheet.diagnostics.iter())
        .map(|found| found.code.as_str())
        .collect();
    assert!(
        !codes.is_empty() && codes.iter().all(|code| *code == "S10"),
        "{codes:?}"
    );
    assert_eq!(
        value(&worksheet).map(|value| (value * 1e4).round()),
        Some(6180.0)
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// However deep functions nest what they call, the text is compiled and its page is made.
    #[test]
    fn no_tower_is_too_deep(
        levels in 1..24_usize,
        depth in 1..98_usize,
        nesting in 0..NESTINGS.len(),
        use_of_it in 0..6_usize,
    ) {
        let tower = tower(levels, depth, NESTINGS[nesting]);
        let top = levels - 1;
        let uses = [
            format!("```work\n{tower}y = f_{top}(2) = ?\n```\n"),
            format!("```work\n{tower}y = f_{top}(f_{top}(f_{top}(2))) = ?\n```\n"),
            format!("```derive\n{tower}a: y = f_{top}(w)\nsolve a for w\n```\n"),
            format!("```derive\n{tower}a: y = f_{top}(w)\ntherefore y^2 = f_{top}(w)^2\n```\n"),
            format!(
                "```given\nw = 2\n```\n\n```work\n{tower}y = f_{top}(w)\ny = ?\n```\n\n\
                 ```check\ny -> 1 as w -> 0\ny rises with w\n```\n"
            ),
            format!("```given\nw = 2\n```\n\n```work\n{tower}y = f_{top}(w) - 1\n\
                     v = ? from f_{top}(v) = w near 1\n```\n"),
        ];
        let worksheet = compile(&uses[use_of_it]);
        prop_assert!(page::html(&worksheet).contains("</html>"));
    }
}

/// The functions of one argument that go without brackets.
fn without_brackets() -> impl Iterator<Item = Function> {
    let functions = Function::ALL.iter().copied();
    functions.filter(|function| function.goes_without_brackets() && function.is_reserved())
}

fn codes(formula: &str) -> Vec<Code> {
    let given = "```given\nk = 0.5\nq = 0.25\n```\n";
    let worksheet = compile(&format!("{given}\n```work\ny = {formula} = ?\n```\n"));
    let found = worksheet.diagnostics.iter();
    found.map(|found| found.code).collect()
}

#[test]
fn a_function_without_brackets_lets_nothing_follow_that_it_could_take() {
    let belonging = [
        " q", "*q", "/q", " · q", "/2", " 2", " (q)", " (q + 1)", "*(q + 1)", " |q|", " exp(q)",
        "/exp(q)", " q^2", " pi",
    ];
    let others = ["", " + q", " - q", " + 2 q", " - cos(q)"];
    for name in without_brackets().map(Function::name) {
        for argument in ["k", "0.5", "0.5 rad", "pi"] {
            for after in belonging {
                let formula = format!("2 {name} {argument}{after}");
                assert!(codes(&formula).contains(&Code::S03), "{formula}");
            }
            for after in others {
                let (open, closed) = (
                    format!("2 {name} {argument}{after}"),
                    format!("2 {name}({argument}){after}"),
                );
                assert_eq!(codes(&open), codes(&closed), "{open}");
                let given = "```given\nk = 0.5\nq = 0.25\n```\n";
                let [open, closed] = [open, closed].map(|formula| {
                    value(&compile(&format!(
                        "{given}\n```work\ny = {formula} = ?\n```\n"
                    )))
                });
                assert_eq!(open, closed, "{name} {argument}{after}");
            }
        }
    }
}

/// Arithmetic with its exact value: short decimals, tiny ones, and differences that cancel.
fn exact_arithmetic() -> impl Strategy<Value = (String, Rational)> {
    let decimal = |digits: i64, power: i32| {
        let scale = num_traits::pow(BigInt::from(10), power.unsigned_abs() as usize);
        let value = match power < 0 {
            true => Rational::new(digits.into(), scale),
            false => Rational::from_integer(BigInt::from(digits) * scale),
        };
        (format!("{digits}e{power}"), value)
    };
    let leaf = (1..5000_i64, -14..3_i32).prop_map(move |(digits, power)| decimal(digits, power));
    leaf.prop_recursive(4, 20, 2, |inner| {
        let pair = (inner.clone(), inner);
        (pair, 0..6_u8).prop_map(|(((one, a), (other, b)), which)| match which {
            0 => (format!("({one} + {other})"), a + b),
            1 => (format!("({one} - {other})"), a - b),
            2 => (format!("{one}*{other}"), a * b),
            3 if !b.is_zero() => (format!("{one}/({other})"), a / b),
            4 => (format!("({one} + {other} - {one})"), b),
            _ => (format!("({one})^2"), &a * &a),
        })
    })
}

/// The nearest whole number of units of a place, halves to the even, with the power of ten.
fn nearest(value: &Rational, figures: u32) -> (BigInt, i32) {
    let ten = || Rational::from_integer(10.into());
    let (least, most) = (
        num_traits::pow(BigInt::from(10), figures as usize - 1),
        num_traits::pow(BigInt::from(10), figures as usize),
    );
    let (mut scaled, mut last) = (value.abs(), 0);
    while scaled < Rational::from_integer(least.clone()) {
        scaled *= ten();
        last -= 1;
    }
    while scaled >= Rational::from_integer(most.clone()) {
        scaled /= ten();
        last += 1;
    }
    let floor = scaled.floor().to_integer();
    let twice = (scaled - Rational::from_integer(floor.clone())) * BigInt::from(2);
    let is_odd = &floor % 2 != BigInt::zero();
    let is_up = twice > Rational::one() || (twice == Rational::one() && is_odd);
    let mut units = floor + i32::from(is_up);
    if units == most {
        units = least;
        last += 1;
    }
    (units * value.numer().signum(), last)
}

proptest! {
    #[test]
    fn a_quantity_in_several_units_is_the_sum_of_its_parts(
        chain in prop::sample::select(vec![
            vec!["mi", "yd", "ft", "in"],
            vec!["km", "m", "cm", "mm"],
            vec!["d", "h", "min", "s"],
            vec!["lb", "oz"],
        ]),
        from in 0..3_usize,
        numbers in prop::collection::vec(1..60_u32, 4),
        tenths in 0..10_u32,
        is_negative in any::<bool>(),
        is_formula in any::<bool>(),
    ) {
        let units = &chain[from.min(chain.len() - 2)..];
        let last = units.len() - 1;
        let part = |at: usize| match at == last {
            true => format!("{}.{tenths} {}", numbers[at], units[at]),
            false => format!("{} {}", numbers[at], units[at]),
        };
        let parts: Vec<String> = (0..units.len()).map(part).collect();
        let sign = if is_negative { "-" } else { "" };
        let literal = format!("{sign}{}", parts.join(" "));
        let sum = format!("{sign}({})", parts.join(" + "));
        let text = match is_formula {
            true => format!("```work\ny = {literal} = ?\nz = {sum} = ?\n```\n"),
            false => format!("```given\nx = {literal}\n```\n\n```work\ny = x = ?\nz = {sum} = ?\n```\n"),
        };
        let worksheet = compile(&text);
        prop_assert!(worksheet.diagnostics.is_empty(), "{text}");
        let values: Vec<f64> = worksheet
            .statements()
            .filter_map(|(_, statement)| match &statement.body {
                Body::Work(work) => work.shown.si.first().copied(),
                _ => None,
            })
            .collect();
        let [one, other] = values.as_slice() else {
            return Err(TestCaseError::fail(text));
        };
        prop_assert!((one - other).abs() <= 1e-13 * other.abs(), "{text}");
    }
}

proptest! {
    #[test]
    fn printed_figures_are_those_of_exact_arithmetic(
        (formula, exact) in exact_arithmetic(), figures in 1..=15_u32,
    ) {
        let text = format!("```work\ny = {formula} = ? to {figures} figures\n```\n");
        let sheet = compile(&text);
        let shown = sheet.statements().find_map(|(_, line)| match &line.body {
            Body::Work(work) => Some(work.shown.digits[0].ascii()),
            _ => None,
        });
        // What a double cannot hold on the way is refused.
        let Some(printed) = shown else { return Ok(()) };
        if exact.is_zero() {
            prop_assert_eq!(printed, "0");
            return Ok(());
        }
        let (units, last) = nearest(&exact, figures);
        let printed: f64 = printed.parse().expect("a number");
        let expected: f64 = format!("{units}e{last}").parse().expect("a number");
        prop_assert_eq!(printed, expected, "{}", text);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Whatever the sizes of a value and its uncertainty: what `fill` writes is read again without
    /// a word, says the same, and is taken out again.
    #[test]
    fn a_filled_uncertain_number_reads_back(
        digits in 1000..9999_u32, is_negative: bool, scale in -12..9_i32,
        own in 10..99_u32, below in -4..8_i32, has_unit: bool,
    ) {
        let sign = if is_negative { "-" } else { "" };
        let unit = if has_unit { " m" } else { "" };
        let (first, rest) = (digits / 1000, digits % 1000);
        let value = format!("{sign}{first}.{rest:03}e{scale}");
        let uncertainty = format!("{}.{}e{}", own / 10, own % 10, scale - below);
        let text = format!(
            "```given\na = {value} ± {uncertainty}{unit}\n```\n\n\
             ```work\nx = 2 a = ?{unit}\ny = a/3 = ?{unit} to 1 figure of uncertainty\n```\n"
        );
        let worksheet = compile(&text);
        prop_assert!(worksheet.diagnostics.is_empty(), "{text}");
        let filled = worksheet::fill(&worksheet);
        prop_assert!(filled.contains(" ± ") && filled != text, "{filled}");
        let again = compile(&filled);
        prop_assert!(again.diagnostics.is_empty(), "{filled}");
        prop_assert_eq!(worksheet::fill(&again), filled.clone());
        prop_assert_eq!(worksheet::unfill(&compile(&filled)), text);
        // A claim of what was filled holds too.
        let claimed = filled.replace(&format!("{unit} ?\n"), &format!("{unit}\n"));
        prop_assert!(compile(&claimed.replace(")?\n", ")\n")).diagnostics.is_empty(), "{claimed}");
    }
}

/// Moments in a problem that is full of energies: each in newton metres.
fn moment() -> impl Strategy<Value = String> {
    let leaf = prop_oneof![
        Just("F d"),
        Just("P/omega"),
        Just("P/(2 pi N)"),
        Just("P (1/omega)"),
        Just("P/k"),
        Just("(P/v) d"),
        Just("G I_p/d*phi"),
        Just("q d^2/8"),
        Just("sigma S"),
        Just("U I/omega"),
    ];
    (leaf, "[1-9]", prop::bool::ANY).prop_map(|(leaf, times, by_ratio)| {
        let ratio = if by_ratio { "*(E/(300 J))" } else { "" };
        format!("{times} ({leaf}){ratio}")
    })
}

proptest! {
    #[test]
    fn a_moment_is_never_in_joules_and_a_power_times_a_time_always(
        moments in prop::collection::vec(moment(), 1..3),
        power in -6..6_i32,
    ) {
        let given = format!(
            "```given\nP = 5e{power} kW\nE = 400 J\nomega = 30 rad/s\nN = 900 rpm\nk = 7 1/s\n\
             v = 4 m/s\nF = 3e{power} N\nd = 2 m\nG = 80 GPa\nI_p = 300 cm^4\nphi = 2 deg\n\
             q = 2 kN/m\nsigma = 160 MPa\nS = 200 cm^3\nU = 230 V\nI = 12 A\nt = 3 s\n```\n"
        );
        let unit = |formula: &str| {
            let text = format!("{given}\n```work\nM = {formula}\n```\n");
            let worksheet = compile(&text);
            let found = worksheet.statements().find_map(|(_, statement)| match &statement.body {
                Body::Work(work) => Some(work.shown.unit.text().to_owned()),
                _ => None,
            });
            found.unwrap_or_default()
        };
        let sum = moments.join(" + ");
        let of_moments = unit(&sum);
        prop_assert!(of_moments.ends_with("N·m"), "{sum} in {of_moments}");
        let of_work = unit("P t + F d");
        prop_assert!(of_work.ends_with('J'), "P t + F d in {of_work}");
    }
}

proptest! {
    #[test]
    fn what_needs_no_search_lies_between_its_bounds_or_is_refused(
        value in -50..50_i32,
        low in prop_oneof![1 => Just(0), 3 => -50..50_i32],
        high in prop_oneof![1 => Just(0), 3 => -50..50_i32],
        turned in any::<bool>(),
        is_bare in any::<bool>(),
        unit in proptest::sample::select(&["mm", "K difference", "rpm", "rad/s", "deg"][..]),
    ) {
        let law = if turned { "2 b = x" } else { "x = 2 b" };
        // Zero needs no unit.
        let bound = |value: i32| match value == 0 && is_bare {
            true => "0".to_owned(),
            false => format!("{value} {unit}"),
        };
        let (from, to) = (bound(low), bound(high));
        let text = format!(
            "```given\nb = {value} {unit}\n```\n\n```derive\nlaw: {law}\n```\n\n\
             ```work\nx = ? {unit} from law between {from} and {to}\n```\n"
        );
        let is_outside = 2 * value < low.min(high) || 2 * value > low.max(high);
        let found: Vec<Code> = (compile(&text).diagnostics.iter()).map(|it| it.code).collect();
        prop_assert_eq!(found, if is_outside { vec![Code::E11] } else { Vec::new() });
    }
}

/// A day of the years from 1970 on, and a second of it, in a pattern of a heading.
fn moment_in(pattern: &str, date: &str, second: u32) -> String {
    let [hours, minutes, seconds] = [second / 3600, second / 60 % 60, second % 60];
    let part = |range: std::ops::Range<usize>| date.get(range).unwrap_or("");
    pattern
        .replace("YYYY", part(0..4))
        .replace("MM", part(5..7))
        .replace("DD", part(8..10))
        .replace("hh", &format!("{hours:02}"))
        .replace("mm", &format!("{minutes:02}"))
        .replace("ss", &format!("{seconds:02}"))
}

proptest! {
    #[test]
    fn a_sum_of_points_of_time_is_a_point_an_interval_or_nothing(
        days in [0..40_000_i64, 0..40_000_i64],
        seconds in [0..86_400_u32, 0..86_400_u32],
        numbers in [-2..3_i64, -2..3_i64, -2..3_i64],
        pattern in proptest::sample::select(&[
            "hh:mm:ss", "YYYY-MM-DD hh:mm:ss", "YYYY/MM/DD hh:mm:ss", "DD.MM.YYYY hh:mm:ss",
            "DD/MM/YYYY hh:mm:ss", "MM/DD/YYYY hh:mm:ss", "YYYY-MM-DDThh:mm:ss",
        ][..]),
    ) {
        let has_date = pattern.contains('Y');
        let mut at = [0, 1].map(|row| {
            let days = if has_date { days[row] } else { 0 };
            (days * 86_400 + i64::from(seconds[row]), days, seconds[row])
        });
        // A clock without a date does not go back.
        if !has_date {
            at.sort_unstable();
        }
        let row = |(_, days, second): (i64, i64, u32)| {
            let date = setsquare::text::Date::of_days(days).unwrap().to_string();
            moment_in(pattern, &date, second)
        };
        let [first, last, interval] = numbers;
        let text = format!(
            "```data marks\nt_i / {pattern}\n{}\n{}\n```\n\n```given\ntau = 90 s\n```\n\n\
             ```work\nx = {first}*first(t_i) + {last}*last(t_i) + {interval}*tau\n```\n",
            row(at[0]), row(at[1]),
        );
        let worksheet = compile(&text);
        let seconds = first * at[0].0 + last * at[1].0 + 90 * interval;
        let codes: Vec<Code> = worksheet.diagnostics.iter().map(|it| it.code).collect();
        let shown = worksheet.statements().find_map(|(_, statement)| match &statement.body {
            Body::Work(work) => Some(&work.shown),
            _ => None,
        });
        match first + last {
            0 => {
                prop_assert!(codes.is_empty(), "{text}");
                prop_assert_eq!(shown.unwrap().si[0], seconds as f64, "{}", text);
            }
            1 => {
                prop_assert!(codes.is_empty(), "{text}");
                prop_assert_eq!(shown.unwrap().si[0], seconds as f64, "{}", text);
                let printed = shown.unwrap().written.clone().unwrap_or_default();
                let of_day = seconds.rem_euclid(86_400) as u32;
                if has_date && seconds >= 0 {
                    let date = setsquare::text::Date::of_days(seconds.div_euclid(86_400)).unwrap();
                    let expected = moment_in("YYYY-MM-DDThh:mm:ss", &date.to_string(), of_day);
                    prop_assert_eq!(printed, expected, "{}", text);
                } else if (0..86_400).contains(&seconds) {
                    prop_assert_eq!(printed, moment_in("hh:mm:ss", "", of_day), "{}", text);
                }
            }
            _ => prop_assert_eq!(codes, vec![Code::R03], "{}", text),
        }
    }
}
