//! The documentation against the program: every example is tried, every list compared.
//!
//! An example is a fence of four backticks: `markdown` compiles without a message, `markdown
//! refused S02` is refused with that code and nothing else. What is `continued` stands below the
//! examples before it that were not refused.

use std::fs;
use std::path::Path;
use std::process::Command;

use setsquare::diagnostic::{Code, Diagnostic};
use setsquare::functions::Function;
use setsquare::quantity;
use setsquare::text::{MAX_BYTES, Source};
use setsquare::worksheet::{MAX_DEPTH, MAX_STATEMENT, RESERVED};

const PAGES: [&str; 4] = [
    "README.md",
    "docs/reference.md",
    "docs/first-hour-teacher.md",
    "docs/first-hour-laboratory.md",
];
const FENCE: &str = "````";

fn read(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(name);
    fs::read_to_string(&path).unwrap_or_else(|error| panic!("{name}: {error}"))
}

fn reference() -> String {
    read("docs/reference.md")
}

/// A worksheet in the documentation.
struct Example {
    place: String,
    /// The code it is refused with.
    refused: Option<String>,
    text: String,
}

fn examples(name: &str) -> Vec<Example> {
    let page = read(name);
    let mut found = Vec::new();
    let mut above = String::new();
    let mut lines = page.lines().enumerate();
    while let Some((number, line)) = lines.next() {
        let Some(info) = line.strip_prefix(FENCE) else {
            continue;
        };
        let text: Vec<&str> = lines
            .by_ref()
            .map(|(_, line)| line)
            .take_while(|line| *line != FENCE)
            .collect();
        let mut text = format!("{}\n", text.join("\n"));
        if info.contains(" continued") {
            text = format!("{above}\n{text}");
        }
        let refused = info
            .split_once(" refused ")
            .map(|it| it.1.trim().to_owned());
        if refused.is_none() {
            above.clone_from(&text);
        }
        found.push(Example {
            place: format!("{name}:{}", number + 1),
            refused,
            text,
        });
    }
    found
}

fn diagnostics(text: &str) -> Vec<Diagnostic> {
    super::beside::compile(Source::new("example.md", text)).diagnostics
}

fn told(diagnostics: &[Diagnostic]) -> Vec<String> {
    diagnostics
        .iter()
        .map(|found| format!("{} {}", found.code, found.message))
        .collect()
}

/// The part of a page under a heading, up to the next heading of the same or a higher level.
fn section<'p>(page: &'p str, heading: &str) -> &'p str {
    let (_, after) = page
        .split_once(&format!("\n{heading}\n"))
        .unwrap_or_else(|| panic!("no heading `{heading}`"));
    let level = heading.chars().take_while(|mark| *mark == '#').count();
    let end = (1..=level)
        .filter_map(|level| after.find(&format!("\n{} ", "#".repeat(level))))
        .min();
    &after[..end.unwrap_or(after.len())]
}

/// The rows of the tables in a text, without headings, as trimmed columns.
fn rows(text: &str) -> Vec<Vec<String>> {
    let mut rows = Vec::new();
    let mut body = false;
    for line in text.lines() {
        let Some(inside) = line.strip_prefix('|').and_then(|it| it.strip_suffix('|')) else {
            body = false;
            continue;
        };
        if inside.trim_start().starts_with("---") {
            body = true;
        } else if body {
            // A bar in a code span is escaped, because it would divide the table.
            let columns = inside.replace("\\|", "\u{0}");
            let columns = columns.split('|');
            rows.push(columns.map(|it| it.trim().replace('\u{0}', "|")).collect());
        }
    }
    rows
}

fn code_spans(text: &str) -> Vec<&str> {
    text.split('`').skip(1).step_by(2).collect()
}

#[test]
fn every_example_does_what_the_documentation_says() {
    let mut tried = 0;
    for example in PAGES.iter().flat_map(|name| examples(name)) {
        let found = diagnostics(&example.text);
        let codes: Vec<&str> = found.iter().map(|it| it.code.as_str()).collect();
        let expected: Vec<&str> = example.refused.as_deref().into_iter().collect();
        assert_eq!(codes, expected, "{}: {:?}", example.place, told(&found));
        tried += 1;
    }
    assert!(tried > 10, "only {tried} examples were found");
}

/// The lines to write instead, each with the block that it belongs in: `block`, where the words
/// after it name no other.
fn corrections<'t>(block: &'t str, instead: &'t str) -> Vec<(&'t str, &'t str)> {
    let parts: Vec<&str> = instead.split('`').collect();
    let is_line = |part: &str| part.contains(['=', '<']) || part.starts_with("solve ");
    (parts.iter().enumerate().skip(1).step_by(2))
        .filter(|(_, part)| is_line(part))
        .map(|(at, part)| match (parts.get(at + 1), parts.get(at + 2)) {
            (Some(&" in "), Some(other)) => (*part, *other),
            _ => (*part, block),
        })
        .collect()
}

#[test]
fn every_line_in_the_list_of_refusals_is_refused_and_its_correction_is_not() {
    let page = reference();
    let part = section(&page, "## What is refused");
    let (_, data) = part.split_once("````markdown\n").unwrap();
    let (data, _) = data.split_once(FENCE).unwrap();
    let with = |block: &str, line: &str| diagnostics(&format!("{data}\n```{block}\n{line}\n```\n"));
    let rows = rows(part);
    assert!(rows.len() > 30);
    for row in rows {
        let [block, refused, code, instead] = row.as_slice() else {
            panic!("{row:?}");
        };
        let (block, refused) = (code_spans(block)[0], code_spans(refused)[0]);
        let found = with(block, refused);
        let codes: Vec<&str> = found.iter().map(|it| it.code.as_str()).collect();
        assert_eq!(codes, [code.as_str()], "`{refused}`: {:?}", told(&found));
        for (line, block) in corrections(block, instead) {
            let found = with(block, line);
            assert_eq!(told(&found), [""; 0], "`{line}`");
        }
    }
}

#[test]
fn the_lists_of_words_are_those_of_the_code() {
    let page = reference();
    let words = section(&page, "### Reserved words");
    let list = words.lines().find(|line| line.starts_with('`')).unwrap();
    assert_eq!(code_spans(list), RESERVED);

    let functions = rows(section(&page, "### Functions"));
    let mut names: Vec<String> = functions
        .iter()
        .flat_map(|row| code_spans(&row[0]).into_iter().map(str::to_owned))
        .collect();
    names.sort();
    let known: Vec<&str> = Function::ALL
        .iter()
        .map(|function| function.name())
        .collect();
    assert_eq!(names, known);
}

#[test]
fn functions_that_always_take_brackets_take_them() {
    let page = reference();
    let line = section(&page, "### Functions")
        .lines()
        .find(|line| line.ends_with("always take brackets."))
        .unwrap();
    let data = "```given\nF = (3, 4) kN\na = 0.5\np = 3 kPa abs\np_atm = 100 kPa\n```\n";
    for function in Function::ALL.iter().map(|function| function.name()) {
        let found = ["F", "a", "p"].iter().map(|argument| {
            let line = format!("```work\nu = {function} {argument}\n```\n");
            diagnostics(&format!("{data}\n{line}"))
        });
        let is_read = found.into_iter().any(|found| found.is_empty());
        let says_so = code_spans(line).contains(&function);
        assert_ne!(is_read, says_so, "{function}");
    }
}

#[test]
fn the_list_of_codes_is_that_of_the_code() {
    let page = reference();
    let listed = rows(section(&page, "## Codes"));
    let known: Vec<Vec<String>> = Code::ALL
        .iter()
        .map(|code| vec![code.to_string(), code.title().to_owned()])
        .collect();
    assert_eq!(listed, known);
}

#[test]
fn the_limits_are_those_of_the_code() {
    let page = reference();
    let limits = section(&page, "## Limits");
    assert_eq!(MAX_BYTES, 16 << 20);
    assert!(limits.contains("| a worksheet | 16 MiB"));
    assert_eq!(MAX_STATEMENT, 20_000);
    assert!(limits.contains("| a statement | 20,000 bytes"));
    let depth = format!("| nesting of brackets, signs and powers | {MAX_DEPTH} |");
    assert!(limits.contains(&depth));

    // Bounds that the algebra and the search for roots keep to themselves.
    for (row, file, name) in [
        (
            "a proof, and a solution in symbols",
            "algebra/arena.rs",
            "MOST_STEPS",
        ),
        (
            "the lines above that a proof looks at",
            "algebra/follow.rs",
            "MOST_PREMISES",
        ),
        (
            "branches of solutions that a proof follows",
            "algebra/follow.rs",
            "MOST_BRANCHES",
        ),
        (
            "changes of a step that are tried to name a slip",
            "proofs/slips.rs",
            "MOST_TRIES",
        ),
        (
            "a formula that a solution is written as",
            "algebra/written.rs",
            "MOST_LEAVES",
        ),
        (
            "unknowns of a system",
            "evaluate/roots/mod.rs",
            "MOST_UNKNOWNS",
        ),
        (
            "steps of one search for a root",
            "evaluate/roots/mod.rs",
            "MOST_ITERATIONS",
        ),
        (
            "a root that is sought near a value",
            "evaluate/roots/mod.rs",
            "FARTHEST",
        ),
    ] {
        let rows = rows(limits);
        let limit = rows.iter().find(|columns| columns[0].starts_with(row));
        let stated = limit
            .map(|columns| columns[1].replace(',', ""))
            .unwrap_or_default();
        let number = constant(file, name);
        let numbers: Vec<&str> = stated.split(' ').collect();
        assert!(
            numbers.contains(&number.as_str()),
            "{row}: {stated}, but {name} is {number}"
        );
    }
}

#[test]
fn the_limits_of_the_live_view_are_those_of_the_code() {
    let page = read("docs/live.md");
    let rows = rows(section(&page, "## Limits"));
    let server = "live/server/mod.rs";
    for (row, file, name, factor) in [
        (
            "an image",
            "live/files.rs",
            "MOST_IMAGE_BYTES",
            " * 1024 * 1024",
        ),
        (
            "worksheets that an index",
            "live/files.rs",
            "MOST_WORKSHEETS",
            "",
        ),
        ("folders that are", "live/files.rs", "MOST_FOLDERS", ""),
        ("connections", server, "MOST_CONNECTIONS", ""),
        ("browsers that follow", server, "MOST_FOLLOWERS", ""),
        (
            "a request",
            "live/server/request.rs",
            "MOST_BYTES",
            " * 1024",
        ),
        ("a request", "live/server/request.rs", "MOST_HEADERS", ""),
        ("the time to send", server, "LONGEST_HEAD", ""),
        ("the time from", server, "LONGEST_REQUEST", ""),
        ("a message", "live/server/follow.rs", "MOST_FRAME_BYTES", ""),
        (
            "messages that wait",
            "live/desk/follower.rs",
            "MOST_WAITING",
            "",
        ),
    ] {
        let limit = rows.iter().find(|columns| columns[0].starts_with(row));
        let stated = &limit.unwrap_or_else(|| panic!("no row {row}"))[1];
        let value = constant(file, name).replace(factor, "");
        let number: String = value.chars().filter(char::is_ascii_digit).collect();
        let mut numbers = stated.split([' ', ';']);
        assert!(
            numbers.any(|it| it == number),
            "{row}: {stated}, but {name} is {value}"
        );
    }
    assert!(page.contains("## Caution"));
}

/// The number that a constant of the source is, without the marks that only part its digits.
fn constant(file: &str, name: &str) -> String {
    let source = read(&format!("src/{file}"));
    let (_, after) = source
        .split_once(&format!("const {name}: "))
        .unwrap_or_else(|| panic!("no constant {name} in {file}"));
    let (_, value) = after.split_once(" = ").unwrap();
    let (value, _) = value.split_once(';').unwrap();
    value.replace('_', "")
}

/// What the chapter on steps says about a step: data, the lines above and the step, and the code
/// that it raises, if any.
const STEPS: &[(&str, &str, &str)] = &[
    // Special values are put in: 0, a whole number, an angle that is a multiple of 30°.
    ("p_2 = 0 kPa", "p_1 + q = p_2\ntherefore q = -p_1", ""),
    ("N = 4", "F = N W\ntherefore F = 4 W", ""),
    ("alpha = 60 deg", "F = W cos(alpha)\ntherefore F = W/2", ""),
    // No other number is.
    ("a = 2.5", "y = a x\ntherefore y = 2.5 x", "A01"),
    (
        "alpha = 53.13 deg",
        "F = W sin(alpha)\ntherefore F = 0.8 W",
        "A01",
    ),
    // Signs of the data may be used.
    ("d = 2.5 m", "therefore sqrt(d^2) = d", ""),
    ("d = -2.5 m", "therefore sqrt(d^2) = d", "A01"),
    // Several lines together, a definition of a function, and steps above.
    (
        "k = 2.5",
        "a = b + c\nb = k c\ntherefore a = (k + 1) c\ntherefore a/c - 1 = k",
        "",
    ),
    (
        "k = 2.5",
        "h(x) = k x^2\ny = h(2 z)\ntherefore y = 4 k z^2",
        "",
    ),
    // Wherever both sides are defined.
    ("k = 2.5", "therefore (x^2 - 1)/(x - 1) = x + 1", ""),
    // The positive root is taken, and no angle of several.
    ("k = 2.5", "g h = V^2/2\ntherefore V = sqrt(2 g h)", ""),
    (
        "k = 2.5",
        "y = sin(theta)\ntherefore theta = asin(y)",
        "A01",
    ),
    // Numbers alone prove nothing.
    (
        "x = 0.5",
        "therefore sqrt((1 - cos(x))/2) = sin(x/2)",
        "A02",
    ),
    // What does not follow is no premise.
    (
        "k = 2.5",
        "y = 3 x\ntherefore y = 2 x\ntherefore 2 y = 4 x",
        "A01 A01",
    ),
    // What the algebra does not look into.
    (
        "x = 3",
        "y = cases(x for x > 2, 2 x otherwise)\ntherefore y = x",
        "A02",
    ),
];

#[test]
fn steps_follow_from_what_the_reference_says_and_from_nothing_else() {
    let mut wrong = Vec::new();
    for (data, lines, code) in STEPS {
        let text = format!("```given\n{data}\n```\n\n```derive\n{lines}\n```\n");
        let found = diagnostics(&text);
        let codes: Vec<&str> = found.iter().map(|it| it.code.as_str()).collect();
        if codes.join(" ") != *code {
            wrong.push(format!("{text}should be `{code}`: {:?}", told(&found)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

#[test]
fn a_step_may_follow_from_what_all_problems_share() {
    let text = "```derive\na: y = x^2 + 3\n```\n\n# One\n\n```derive\ntherefore x^2 = y - 3\n```\n";
    assert_eq!(told(&diagnostics(text)), [""; 0]);
}

/// Slips that are named, by the step and words of the message's help.
const SLIPS: &[(&str, &str)] = &[
    ("y = a + b\ntherefore y = a - b", "sign"),
    ("y = a b/2\ntherefore y = a b", "factor 1/2"),
    ("y = a b^2\ntherefore y = a b", "square"),
    (
        "y = a cos(b)\ntherefore y = a sin(b)",
        "`cos` instead of `sin`",
    ),
    ("y = c a/b\ntherefore y = c (b/a)", "inverted"),
];

#[test]
fn the_slips_that_are_listed_are_named() {
    for (lines, word) in SLIPS {
        let found = diagnostics(&format!("```derive\n{lines}\n```\n"));
        let help = found
            .first()
            .and_then(|first| first.help.clone())
            .unwrap_or_default();
        assert!(help.contains(word), "{lines}: {help}");
    }
}

/// What the chapter on solving by numbers says, as lines of `work` below some equations, with the
/// code that is raised, if any.
const ROOTS: &[(&str, &str)] = &[
    ("y = ? from line", ""),
    ("x = ? from cubic near 2.9", ""),
    ("x = ? to 3 figures from cubic between 2.5 and 4", ""),
    ("x = ? from cubic", "E15"),
    ("x = ? from cubic between 0 and 4", "E12"),
    ("x = ? from cubic between 4 and 5", "E11"),
    // A change of sign at a pole, and one at a jump.
    ("x = ? from pole between 1 and 3", "E11"),
    ("x = ? from jump between 1.5 and 2.5", "E11"),
    ("x = ? from cubic near 3 kg", "D03"),
    ("solve sum, apart for u, v", ""),
    ("solve for u, v", ""),
    ("solve sum, double for u, v", "E14"),
    ("solve sum, contrary for u, v", "E14"),
];

#[test]
fn roots_are_found_and_missed_as_the_reference_says() {
    let equations = "line: 3 y = y + k\ncubic: (x - 1)(x - 2)(x - 3) = 0\npole: 1/(x - 2) = 0\n\
                     jump: sign(x - 2) = k/5\ndouble: 2 u + 2 v = 2 k\ncontrary: u + v = 2 k\n\
                     sum: u + v = k\napart: u - v = 1\n";
    let mut wrong = Vec::new();
    for (line, code) in ROOTS {
        let text = format!(
            "```given\nk = 2.5\n```\n\n```derive\n{equations}```\n\n```work\n{line}\n```\n"
        );
        let found = diagnostics(&text);
        let codes: Vec<&str> = found.iter().map(|it| it.code.as_str()).collect();
        if codes.join(" ") != *code {
            wrong.push(format!("`{line}` should be `{code}`: {:?}", told(&found)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_spellings_of_units_that_are_called_refused_are_refused() {
    let page = reference();
    let line = section(&page, "## Units")
        .lines()
        .find(|line| line.contains("several readings"))
        .unwrap();
    for symbol in code_spans(line) {
        assert!(!quantity::is_unit(symbol), "{symbol}");
    }
}

#[test]
fn the_code_spans_about_units_are_units() {
    let page = reference();
    let line = section(&page, "## Units")
        .lines()
        .find(|line| line.starts_with("Units multiply"))
        .unwrap();
    let (_, shown) = line.split_once("fractions:").unwrap();
    for unit in code_spans(shown) {
        let text = format!("```given\nu = 5 {unit}\n```\n");
        assert_eq!(told(&diagnostics(&text)), [""; 0], "{unit}");
    }
}

#[test]
fn every_key_of_the_front_matter_is_understood() {
    let page = reference();
    let rows = rows(section(&page, "### Front matter"));
    assert_eq!(rows.len(), 20);
    for row in rows {
        let key = code_spans(&row[0])[0];
        let value = match key {
            "figures" => "5",
            _ => code_spans(&row[1]).first().copied().unwrap_or("words"),
        };
        let text = format!("---\n{key}: {value}\n---\n");
        assert_eq!(told(&diagnostics(&text)), [""; 0], "{text}");
    }
}

/// What the program prints.
fn program(arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_setsquare"))
        .args(arguments)
        .output()
        .unwrap();
    assert!(output.status.success(), "{arguments:?}");
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn every_command_and_option_is_in_the_reference() {
    let page = reference();
    let part = section(&page, "## Commands");
    let help = program(&["--help"]);
    let (_, commands) = help.split_once("Commands:\n").unwrap();
    let commands: Vec<&str> = commands
        .lines()
        .take_while(|line| !line.is_empty())
        .filter_map(|line| line.strip_prefix("  "))
        .filter(|line| !line.starts_with(' '))
        .filter_map(|line| line.split_whitespace().next())
        .collect();
    assert!(commands.len() > 4, "{help}");
    let listed: Vec<String> = rows(part)
        .iter()
        .filter_map(|row| {
            let command = code_spans(&row[0]).first()?.strip_prefix("setsquare ")?;
            command.split_whitespace().next().map(str::to_owned)
        })
        .collect();
    assert_eq!(listed, commands);
    for command in commands {
        for word in program(&[command, "--help"]).split([' ', '\n', ',']) {
            if word.starts_with("--") && !["--help", "--version"].contains(&word) {
                let option = format!("`{word}");
                assert!(part.contains(&option), "{command} {word}");
            }
        }
    }
}

#[test]
fn the_report_has_the_keys_that_are_listed() {
    let json = program(&[
        "check",
        "--json",
        "--recalculate",
        "worksheets/penstock-bend.md",
    ]);
    let report: serde_json::Value = serde_json::from_str(&json).unwrap();
    let page = reference();
    let listed = rows(section(&page, "## The report"));
    let keys: Vec<&String> = report[0].as_object().unwrap().keys().collect();
    let mut names: Vec<&str> = listed.iter().map(|row| code_spans(&row[0])[0]).collect();
    names.sort_unstable();
    let mut sorted = keys.clone();
    sorted.sort_unstable();
    assert_eq!(sorted, names);
    for row in listed {
        let Some(entry) = report[0][code_spans(&row[0])[0]].get(0) else {
            continue;
        };
        let Some(entry) = entry.as_object() else {
            continue;
        };
        for key in entry.keys() {
            assert!(row[1].contains(&format!("`{key}`")), "{key} in {row:?}");
        }
    }
}

#[test]
fn the_refused_step_in_the_readme_is_refused_in_these_words() {
    let page = read("README.md");
    let right = (examples("README.md").into_iter())
        .find(|example| example.text.contains("therefore"))
        .unwrap();
    let (_, after) = page.split_once(&right.text).unwrap();
    let (_, shown) = after.split_once("\n```\n").unwrap();
    let (shown, _) = shown.split_once("```").unwrap();
    // The message quotes the line as it was changed; it stands where the right one does.
    let wrong = shown.lines().nth(1).unwrap().trim();
    let number = shown.split(':').nth(1).unwrap().parse::<usize>().unwrap();
    let mut lines: Vec<&str> = right.text.lines().collect();
    assert!(lines[number - 1].starts_with("therefore"));
    lines[number - 1] = wrong;
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("refused");
    fs::create_dir_all(&folder).unwrap();
    fs::write(folder.join("rope.md"), lines.join("\n")).unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_setsquare"))
        .args(["check", "rope.md"])
        .current_dir(&folder)
        .output()
        .unwrap();
    let told = String::from_utf8(output.stderr).unwrap();
    assert!(told.starts_with(shown), "{told}");
}

#[test]
fn the_readme_names_the_commands_that_are_tried_on_a_clean_clone() {
    let readme = read("README.md");
    let page = "cargo run --release -- page worksheets/penstock-bend.md --open";
    assert!(readme.lines().any(|line| line == page));
    assert!(readme.lines().any(|line| line == "cargo test"));
    assert!(
        Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("worksheets/penstock-bend.md")
            .exists()
    );
    let steps = read(".ci/run");
    assert!(steps.lines().any(|line| line.ends_with(" cargo test")));
}

/// The files of a folder with this ending, without it.
fn stems(folder: &str, ending: &str) -> Vec<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut stems: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .filter_map(|file| file.unwrap().file_name().into_string().ok())
        .filter_map(|name| name.strip_suffix(ending).map(str::to_owned))
        .collect();
    stems.sort();
    stems
}

#[test]
fn the_book_has_every_page_of_its_folder_once() {
    let summary = read("docs/SUMMARY.md");
    let mut pages: Vec<&str> = (summary.split("](").skip(1))
        .map(|link| link.split_once(".md)").unwrap().0)
        .chain(["SUMMARY"])
        .collect();
    pages.sort_unstable();
    assert_eq!(pages, stems("docs", ".md"));
}

#[test]
fn the_readme_shows_every_worksheet() {
    let readme = read("README.md");
    let worksheets = stems("worksheets", ".md");
    assert_eq!(worksheets, stems("docs/images/worksheets", ".png"));
    for name in worksheets {
        let shown = format!("](docs/images/worksheets/{name}.png)](worksheets/{name}.md)");
        assert!(readme.contains(&shown), "{shown}");
    }
}

#[test]
fn the_map_of_the_algebra_names_files_that_exist() {
    let page = read("DEVELOPERS.md");
    let rows = rows(section(&page, "## Algebra, and where it is used"));
    assert!(rows.len() > 5);
    for name in rows.iter().flat_map(|row| code_spans(&row[0])) {
        let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("src/algebra/{name}.rs"));
        assert!(file.exists(), "{name}");
    }
}

/// What a heading is called in a link.
fn slug(heading: &str) -> String {
    let words = heading.trim_start_matches('#').trim().to_lowercase();
    let words = words.replace(' ', "-");
    words
        .chars()
        .filter(|it| it.is_alphanumeric() || *it == '-')
        .collect()
}

/// A page without its fences and code spans, which may show links.
fn without_code(page: &str) -> String {
    let mut fence: Option<usize> = None;
    let mut kept = String::new();
    for line in page.lines() {
        let ticks = line.len() - line.trim_start_matches('`').len();
        match fence {
            Some(open) if ticks >= open => fence = None,
            None if ticks >= 3 => fence = Some(ticks),
            None => kept.extend(line.split('`').step_by(2)),
            Some(_) => {}
        }
        kept.push('\n');
    }
    kept
}

#[test]
fn every_file_and_heading_the_documentation_points_to_exists() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let others = ["DEVELOPERS.md", "docs/live.md", "docs/editors.md"];
    for name in PAGES.into_iter().chain(others) {
        let page = root.join(name);
        for link in without_code(&read(name)).split("](").skip(1) {
            let Some((target, _)) = link.split_once(')') else {
                continue;
            };
            if target.contains("://") {
                continue;
            }
            let (file, anchor) = target.split_once('#').unwrap_or((target, ""));
            let file = match file {
                "" => page.clone(),
                file => page.with_file_name(file),
            };
            assert!(file.exists(), "{name}: {target}");
            if !anchor.is_empty() {
                let there = fs::read_to_string(&file).unwrap();
                let mut headings = there.lines().filter(|line| line.starts_with('#'));
                assert!(
                    headings.any(|heading| slug(heading) == anchor),
                    "{name}: {target}"
                );
            }
        }
    }
}

#[test]
fn the_stated_compiler_version_is_that_of_the_manifest() {
    let manifest = read("Cargo.toml");
    let (_, version) = manifest.split_once("rust-version = \"").unwrap();
    let (version, _) = version.split_once('"').unwrap();
    assert!(read("README.md").contains(&format!("Rust {version}")));
}
