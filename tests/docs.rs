//! The documentation against the program: every example is tried, every list compared.
//!
//! An example is a fence of four backticks: `markdown` compiles without a message, `markdown
//! refused S02` is refused with that code and nothing else.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on has failed; the lint knows only the functions marked as tests"
)]

use std::fs;
use std::path::Path;
use std::process::Command;

use setsquare::diagnostic::{Code, Diagnostic};
use setsquare::syntax::{FUNCTIONS, MAX_DEPTH, MAX_STATEMENT, RESERVED};
use setsquare::text::{MAX_BYTES, Source};
use setsquare::{quantity, worksheet};

const PAGES: [&str; 2] = ["README.md", "docs/reference.md"];
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
        found.push(Example {
            place: format!("{name}:{}", number + 1),
            refused: info
                .strip_prefix("markdown refused ")
                .map(|code| code.trim().to_owned()),
            text: format!("{}\n", text.join("\n")),
        });
    }
    found
}

fn diagnostics(text: &str) -> Vec<Diagnostic> {
    worksheet::compile(Source::new("example.md", text)).diagnostics
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
        let lines = code_spans(instead);
        for line in lines.iter().filter(|it| it.contains(['=', '<'])) {
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
    assert_eq!(names, FUNCTIONS);
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
    assert_eq!(rows.len(), 8);
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
    let json = program(&["check", "--json", "worksheets/penstock-bend.md"]);
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

#[test]
fn every_file_the_documentation_points_to_exists() {
    for name in ["README.md", "DEVELOPERS.md", "docs/reference.md"] {
        let page = read(name);
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        let folder = root.join(name);
        let folder = folder.parent().unwrap();
        for link in page.split("](").skip(1) {
            let Some((target, _)) = link.split_once(')') else {
                continue;
            };
            let file = target.split('#').next().unwrap_or("");
            if !file.is_empty() && !file.contains("://") {
                assert!(folder.join(file).exists(), "{name}: {target}");
            }
        }
        for anchor in page
            .split("](#")
            .skip(1)
            .filter_map(|it| it.split_once(')'))
        {
            let slug = anchor.0;
            let found = page
                .lines()
                .filter(|line| line.starts_with('#'))
                .any(|line| {
                    let words = line.trim_start_matches('#').trim().to_lowercase();
                    let words = words.replace(' ', "-");
                    words
                        .chars()
                        .filter(|it| it.is_alphanumeric() || *it == '-')
                        .eq(slug.chars())
                });
            assert!(found, "{name}: #{slug}");
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
