//! Names of small worksheets: each is written as `name:meaning`, a definition with a star.

use super::Role;
use super::Target;
use crate::language_server::fixture;
use crate::resolve::Expr;
use crate::worksheet::Body;

/// The names of a worksheet but for its headings.
fn shown(text: &str) -> Vec<String> {
    let document = fixture::document(text);
    let names = document.names().all();
    names
        .iter()
        .map(|name| {
            let star = if name.role == Role::Definition {
                "*"
            } else {
                ""
            };
            let written = document.worksheet().source.slice(name.span);
            format!("{written}{star}:{}", meaning(&name.target))
        })
        .collect()
}

fn meaning(target: &Target) -> String {
    match target {
        Target::Symbol { problem, key } => format!("{key}@{problem}"),
        Target::Function { key, .. } => format!("function {key}"),
        Target::BuiltIn(function) => format!("built-in {}", function.name()),
        Target::Parameter { index, .. } => format!("parameter {index}"),
        Target::Spot {
            is_section, text, ..
        } => {
            let what = if *is_section { "section" } else { "place" };
            format!("{what} {text}")
        }
        Target::Label { problem, text } => format!("label {text}@{problem}"),
        Target::Unit => "unit".to_owned(),
        Target::Constant => "constant".to_owned(),
        Target::Undefined(key) => format!("undefined {key}"),
    }
}

fn check(text: &str, expected: &[&str]) {
    assert_eq!(shown(text).join(", "), expected.join(", "), "{text}");
}

#[test]
fn spellings_of_one_name_are_one_symbol() {
    check(
        "```given\nD1 = 2 mm\nρ = 3 kg/m^3\n```\n```work\nx = D_1 rho = ? kg/m^2\n```\n",
        &[
            "D1*:D_1@0",
            "mm:unit",
            "ρ*:rho@0",
            "kg:unit",
            "m:unit",
            "x*:x@0",
            "D_1:D_1@0",
            "rho:rho@0",
            "kg:unit",
            "m:unit",
        ],
    );
}

#[test]
fn a_name_after_a_number_is_a_unit_unless_it_is_defined() {
    check(
        "```given\nm = 3 kg\n```\n```work\nx = 2 m = ? kg\ny = 2 s (3 m/kg) = ?\n```\n",
        &[
            "m*:m@0",
            "kg:unit",
            "x*:x@0",
            "m:m@0",
            "kg:unit",
            "y*:y@0",
            "s:unit",
            "m:m@0",
            "kg:undefined kg",
        ],
    );
}

#[test]
fn single_letters_in_derive_are_quantities() {
    check(
        "```derive\nx = 2 m sin(30 deg)\n```\n",
        &["x*:x@0", "m:m@0", "sin:built-in sin", "deg:unit"],
    );
}

#[test]
fn problems_have_their_own_names_and_share_those_above_them() {
    check(
        "```given\ng = 9.81 m/s^2\n```\n# A\n```given\nx = 1 m\n```\n# B\n```given\nx = 2 m\n```\n`? m/s of sqrt(g x)`\n",
        &[
            "g*:g@0",
            "m:unit",
            "s:unit",
            "x*:x@1",
            "m:unit",
            "x*:x@2",
            "m:unit",
            "m:unit",
            "s:unit",
            "sqrt:built-in sqrt",
            "g:g@0",
            "x:x@2",
        ],
    );
}

#[test]
fn labels_are_found_in_lines_and_in_prose() {
    check(
        "```derive\nbalance: a = 2 b\nsolve balance for b\n```\nBy [balance] and [the rest](x), `a` is.\n",
        &[
            "balance*:label balance@0",
            "a*:a@0",
            "b:b@0",
            "balance:label balance@0",
            "b*:b@0",
            "balance:label balance@0",
            "a:a@0",
        ],
    );
}

#[test]
fn functions_have_parameters() {
    check(
        "```given\nh_f(Q) = (3 s/m^2) Q\nQ = 4 m^2\n```\n```work\ny = h_f(Q) = ?\n```\n",
        &[
            "h_f*:function h_f",
            "Q*:parameter 0",
            "s:unit",
            "m:unit",
            "Q:parameter 0",
            "Q*:Q@0",
            "m:unit",
            "y*:y@0",
            "h_f:function h_f",
            "Q:Q@0",
        ],
    );
}

#[test]
fn lines_that_cannot_be_read_still_have_names() {
    check(
        "```given\nF = 2 kN\n```\n```work\nA = F/( = ? mm^2 -- F\nB = F A 2 kN\n```\n",
        &[
            "F*:F@0", "kN:unit", "A*:A@0", "F:F@0", "mm:unit", "B*:B@0", "F:F@0", "A:A@0",
            "kN:unit",
        ],
    );
}

#[test]
fn each_line_of_a_refused_statement_has_names() {
    check(
        "```given\nq_1 = 2 kN\n```\n```work\nB = q_1 *\n  (q_1 + = q_1\n```\n",
        &[
            "q_1*:q_1@0",
            "kN:unit",
            "B*:undefined B",
            "q_1:q_1@0",
            "q_1:q_1@0",
            "q_1:q_1@0",
        ],
    );
}

#[test]
fn what_all_share_is_defined_there() {
    check(
        "```given\ng = 2 m\n```\n```derive\nfall: a = 2 g\nf(x) = 2 x\n```\n# A\nBy [fall].\n```work\ny = f(g) = ? m\n```\n",
        &[
            "g*:g@0",
            "m:unit",
            "fall*:label fall@0",
            "a*:a@0",
            "g:g@0",
            "f*:function f",
            "x*:parameter 0",
            "x:parameter 0",
            "fall:label fall@0",
            "y*:y@1",
            "f:function f",
            "g:g@0",
            "m:unit",
        ],
    );
}

#[test]
fn asks_in_prose_and_descriptions_use_names() {
    check(
        "```given\np_1 = 2 bar -- as `p_1 = ? kPa` says\n```\n`p_1 = 2.000 bar ?` at `? kPa of p_1 at p_1 = 3 bar`\n",
        &[
            "p_1*:p_1@0",
            "bar:unit",
            "p_1:p_1@0",
            "kPa:unit",
            "p_1:p_1@0",
            "bar:unit",
            "kPa:unit",
            "p_1:p_1@0",
            "p_1:p_1@0",
            "bar:unit",
        ],
    );
}

#[test]
fn places_behind_characters_of_two_units_are_right() {
    check(
        "# P\n```derive\nvol: V = 2 a\n```\nThe 😀 of `? m of a` in `a = ? min`, by [vol].\n",
        &[
            "vol*:label vol@1",
            "V*:V@1",
            "a:a@1",
            "m:unit",
            "a:a@1",
            "a:a@1",
            "min:unit",
            "vol:label vol@1",
        ],
    );
}

/// The worksheets of the project, and those of the specification.
fn worksheets() -> Vec<String> {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut found = Vec::new();
    let mut folders = vec![root.join("worksheets"), root.join("tests/spec")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|extension| extension == "md") {
                let text = std::fs::read_to_string(&path).unwrap();
                // Cases stand between fences of four backticks.
                let cases = text.split("\n````").skip(1).step_by(2);
                found.extend(cases.filter_map(|case| Some(case.split_once('\n')?.1.to_owned())));
                found.push(text);
            }
        }
    }
    found
}

/// The expressions of a line that the author wrote there.
fn written(body: &Body) -> Vec<&Expr> {
    match body {
        Body::Equation { members, .. } | Body::Therefore { members, .. } => {
            members.iter().collect()
        }
        Body::Work(work) if work.from.is_none() => {
            std::iter::once(&work.lead).chain(&work.members).collect()
        }
        Body::Check { members, .. } => members.iter().map(|(member, _)| member).collect(),
        Body::Answer { expr, .. } => vec![expr],
        Body::Function { body, .. } => vec![body],
        Body::Given { formula, .. } => formula.iter().collect(),
        _ => Vec::new(),
    }
}

#[test]
fn names_mean_what_they_are_resolved_to() {
    let mut count = 0;
    for text in worksheets() {
        let document = fixture::document(&text);
        let names = document.names();
        for (placed, statement) in document.worksheet().statements() {
            for expr in written(&statement.body) {
                expr.for_each_symbol(&mut |symbol, span| {
                    // What the engine wrote itself stands elsewhere, or nowhere.
                    let is_here =
                        statement.span.start <= span.start && span.end <= statement.span.end;
                    let slice = span.of(&placed.problem.text);
                    if !is_here || slice.contains(['=', ' ', '(']) {
                        return;
                    }
                    let name = names.at(placed.place(span.start));
                    let target = name.map(|name| name.target.clone());
                    assert_eq!(
                        target,
                        Some(Target::Symbol {
                            problem: placed.home(symbol),
                            key: placed.problem.symbols.symbol(symbol).key.clone(),
                        }),
                        "`{slice}` at {span:?} in\n{text}"
                    );
                    count += 1;
                });
            }
        }
    }
    assert!(count > 2000, "{count} names were compared");
}

proptest::proptest! {
    #[test]
    fn names_of_any_text_are_written_where_they_are_found(pieces in proptest::collection::vec(
        proptest::sample::select(vec![
            "```given\n", "```work\n", "```derive\n", "```\n", "# H\n", "\n", "\r\n", "> ", "- ",
            "a", "ρ_1", "D1", "μ", "Δp", "mdot", "f(x)", " = ", " ?", "2", "3.5 kN", " m", "/", "^2",
            "(", ")", " -- ", " # ", "`", "[eq]", "eq: ", "😀", "e\u{301}", " at ", "solve ", " for ",
            "therefore ", "constant(speed of light in vacuum)", ".x", "\t", "°C", "%",
        ]),
        0..40,
    )) {
        let text = pieces.concat();
        let document = fixture::document(&text);
        let worksheet = document.worksheet();
        for name in document.names().all() {
            let written = worksheet.source.slice(name.span);
            proptest::prop_assert!(!written.is_empty(), "{:?} in {:?}", name, text);
            if let Target::Symbol { key, .. } = &name.target {
                proptest::prop_assert_eq!(&crate::syntax::canonical(written), key);
            }
            let range = document.places().range(name.span);
            proptest::prop_assert_eq!(document.places().span(range), name.span);
        }
    }
}

#[test]
fn places_and_sections_of_a_sketch_are_names_of_their_own() {
    check(
        "```sketch\nbeam: body\npoint A\npoint B = A right from A\nforce F up at B\nforce G toward A at B, opposite to F of other\n```\n```derive\nbalance moments about A of beam\n```\n",
        &[
            "beam*:label beam@0",
            "A*:place A",
            "B*:place B",
            "A:A@0",
            "A:place A",
            "F:F@0",
            "B:place B",
            "G:G@0",
            "A:place A",
            "B:place B",
            "F:F@0",
            "other:label other@0",
            "A:place A",
            "beam:label beam@0",
        ],
    );
    check(
        "```sketch\nway: control volume\nsurface 1 level z\nsection 2' level y, speed V, pressure p\nloss h\n```\n```derive\nz = y by balance heads from 1 to 2' of way\n```\n",
        &[
            "way*:label way@0",
            "1*:section 1",
            "z:z@0",
            "2'*:section 2'",
            "y:y@0",
            "V:V@0",
            "p:p@0",
            "h:h@0",
            "z*:z@0",
            "y:y@0",
            "1:section 1",
            "2':section 2'",
            "way:label way@0",
        ],
    );
}

#[test]
fn a_line_of_a_sketch_that_cannot_be_read_has_names_as_far_as_it_goes() {
    check(
        "```sketch\nbeam: body\npoint A\npoint B = L right from A\nforce F upp at B\npin at A with X right, Y\n```\n",
        &[
            "beam*:label beam@0",
            "A*:place A",
            "B*:place B",
            "L:L@0",
            "A:place A",
            "F:undefined F",
            "upp:undefined upp",
            "B:undefined B",
            "A:place A",
            "X:undefined X",
            "Y:undefined Y",
        ],
    );
}
