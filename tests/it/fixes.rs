//! Fixes hold: made in the text, each makes its diagnostic go away and breaks nothing.
//!
//! Every worksheet of the specification and every refused example of the explanations is
//! compiled, every fix of every diagnostic is made by itself, and the result is compiled again.
//! `FIXES=S02 cargo test --test it fixes -- --nocapture` lists what is raised with that code.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use setsquare::diagnostic::{self, Code, Decision, Diagnostic, Fix};
use setsquare::text::{Source, Span};

use super::spec::case;

/// The codes that offer a fix somewhere; it shrinks only on purpose.
const FEWEST_CODES: usize = 46;

fn files(folder: &Path, found: &mut Vec<PathBuf>) {
    let entries =
        fs::read_dir(folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
    for entry in entries {
        let path = entry.unwrap_or_else(|error| panic!("{error}")).path();
        if path.is_dir() {
            // What stands beside the worksheets of the cases is no suite.
            if !path.ends_with("files") {
                files(&path, found);
            }
        } else if path.extension().is_some_and(|it| it == "md") && !path.ends_with("README.md") {
            found.push(path);
        }
    }
}

/// All worksheets with what they are called.
fn texts() -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/spec");
    let mut found = Vec::new();
    files(&folder, &mut found);
    found.sort();
    let mut texts = Vec::new();
    for path in found {
        let text = fs::read_to_string(&path).unwrap_or_else(|error| panic!("{error}"));
        let name = path.strip_prefix(&folder).unwrap_or(&path).display();
        let suite = case::read(&name.to_string(), &text).unwrap_or_else(|error| panic!("{error}"));
        for case in suite.cases {
            let name = format!("{}:{}: {}", suite.name, case.line, case.name);
            texts.push((name, case.worksheet));
        }
    }
    for page in diagnostic::explanations() {
        if let Some(refused) = page.refused {
            texts.push((format!("{}.md", page.code), refused.to_owned()));
        }
    }
    texts
}

fn compiled(text: &str) -> Vec<Diagnostic> {
    super::beside::compile(Source::new("w.md", text)).diagnostics
}

/// What is wrong with the edits themselves.
fn ill_formed(text: &str, fix: &Fix) -> Option<String> {
    if fix.title.is_empty() || fix.edits.is_empty() {
        return Some("has no title or no edits".to_owned());
    }
    let mut end = 0;
    for edit in &fix.edits {
        let (from, to) = (edit.span.start as usize, edit.span.end as usize);
        if !(text.is_char_boundary(from) && text.is_char_boundary(to) && end <= from) {
            return Some(format!("an edit at {from}..{to} does not fit"));
        }
        if edit.span.of(text) == edit.text {
            return Some(format!("an edit at {from}..{to} changes nothing"));
        }
        end = to;
    }
    None
}

/// Where what stands at `span` comes to stand; what touches an edit takes in what it puts there.
fn moved(span: Span, fix: &Fix) -> (i64, i64) {
    let shift = |edits: &dyn Fn(Span) -> bool| -> i64 {
        fix.edits
            .iter()
            .filter(|edit| edits(edit.span))
            .map(|edit| edit.text.len() as i64 - edit.span.len() as i64)
            .sum()
    };
    let before = shift(&|edit| edit.end <= span.start && edit.start < span.start);
    let until_end = shift(&|edit| edit.start <= span.end);
    (
        i64::from(span.start) + before,
        i64::from(span.end) + until_end,
    )
}

fn is_syntax(code: Code) -> bool {
    code.to_string().starts_with('S')
}

/// What is wrong with what a fix leads to.
fn fault(text: &str, found: &[Diagnostic], diagnostic: &Diagnostic, fix: &Fix) -> Option<String> {
    if let Some(fault) = ill_formed(text, fix) {
        return Some(fault);
    }
    if fix.decision == Decision::Complete {
        return (!fix.edits.iter().any(|edit| edit.text.contains('…')))
            .then(|| "leaves nothing to fill in".to_owned());
    }
    let fixed = fix.applied(text)?;
    let after = compiled(&fixed);
    let list = |diagnostics: &[Diagnostic]| -> String {
        let line = |one: &Diagnostic| format!("\n        {}: {}", one.code, one.message);
        diagnostics.iter().map(line).collect()
    };
    let (from, to) = moved(diagnostic.span, fix);
    let stays = |one: &&Diagnostic| {
        let at = i64::from(one.span.start);
        one.code == diagnostic.code && from <= at && at <= to
    };
    let count = |all: &[Diagnostic], code: Code| all.iter().filter(|one| one.code == code).count();
    if after.iter().any(|one| stays(&one)) {
        return Some(format!("is still raised in\n{fixed}{}", list(&after)));
    }
    let new: BTreeSet<Code> = after
        .iter()
        .map(|one| one.code)
        .filter(|code| is_syntax(*code))
        .filter(|code| count(&after, *code) > count(found, *code))
        .collect();
    (!new.is_empty()).then(|| format!("leads to {new:?} in\n{fixed}{}", list(&after)))
}

/// A diagnostic with its fixes and the lines that they lead to.
fn listed(text: &str, one: &Diagnostic) -> String {
    let (at, help) = (one.span.of(text), one.help.as_deref().unwrap_or_default());
    let mut out = format!("{} [{at}] {} | {help}", one.code, one.message);
    for fix in &one.fixes {
        let applied = fix.applied(text).unwrap_or_default();
        let changed: Vec<&str> = applied
            .lines()
            .filter(|line| text.lines().all(|other| other != *line))
            .collect();
        let (decision, title) = (fix.decision, &fix.title);
        out.push_str(&format!(
            "\n    {decision:?}: {title} -> {}",
            changed.join(" / ")
        ));
    }
    out
}

#[test]
fn every_fix_makes_its_diagnostic_go_away() {
    let wanted = std::env::var("FIXES").ok();
    let mut offered: BTreeMap<Code, usize> = BTreeMap::new();
    let mut wrong = String::new();
    for (name, text) in texts() {
        let found = compiled(&text);
        for one in &found {
            if let Some(wanted) = &wanted
                && one.code.as_str().starts_with(wanted)
            {
                println!("{}", listed(&text, one));
            }
            for fix in &one.fixes {
                *offered.entry(one.code).or_default() += 1;
                if let Some(fault) = fault(&text, &found, one, fix) {
                    let (code, message, title) = (one.code, &one.message, &fix.title);
                    wrong.push_str(&format!("\n{name}: {code}: {message}: {title} {fault}"));
                }
            }
        }
    }
    let codes: Vec<String> = (offered.iter())
        .map(|(code, count)| format!("{code} {count}"))
        .collect();
    println!("{} codes offer fixes: {}", codes.len(), codes.join(", "));
    assert!(wrong.is_empty(), "{wrong}");
    assert!(codes.len() >= FEWEST_CODES, "only {} codes", codes.len());
}

/// The data of the lines below.
const GIVEN: &str = "```given\na = 2\nb = 3\nc = 4\nd = 5\ne = 6\nL = 2 m\np_1 = 240 kPa gauge\np_2 = 150 kPa abs\np_atm = 101.3 kPa\n```\n";

/// What each fix makes of a line of a block, in order; a fix that does not hold fails.
fn fixed(block: &str, line: &str) -> Vec<String> {
    let text = format!("{GIVEN}\n```{block}\n{line}\n```\n");
    let found = compiled(&text);
    let mut lines = Vec::new();
    for one in &found {
        for fix in &one.fixes {
            if let Some(fault) = fault(&text, &found, one, fix) {
                panic!("`{line}`: {}: {fault}", fix.title);
            }
            let applied = fix.applied(&text).unwrap_or_default();
            let start = GIVEN.len() + block.len() + 5;
            lines.push(applied[start..applied.len() - 5].to_owned());
        }
    }
    lines
}

#[test]
fn a_line_is_written_as_its_help_says() {
    let cases: &[(&str, &str, &[&str])] = &[
        (
            "work",
            "x = a/b c d = ?",
            &["x = a/(b c d) = ?", "x = (a/b) c d = ?"],
        ),
        (
            "work",
            "x = a/b sin c = ?",
            &["x = a/(b sin c) = ?", "x = (a/b) sin c = ?"],
        ),
        (
            "work",
            "x = a/b c + d/e a = ?",
            &["x = a/(b c) + d/e a = ?", "x = (a/b) c + d/e a = ?"],
        ),
        (
            "work",
            "x = b/sin^-1 a = ?",
            &["x = b/asin(a) = ?", "x = b/(1/sin(a)) = ?"],
        ),
        (
            "work",
            "x = sin (a)^2 = ?",
            &["x = sin((a)^2) = ?", "x = (sin (a))^2 = ?"],
        ),
        (
            "work",
            "x = a²^3 = ?",
            &["x = (a²)^3 = ?", "x = a^(2^3) = ?"],
        ),
        (
            "work",
            "x = 4 000 a = ?",
            &["x = 4*000 a = ?", "x = 4000 a = ?"],
        ),
        (
            "work",
            "x = sin 35 = ?",
            &["x = sin(35 deg) = ?", "x = sin(35 rad) = ?"],
        ),
        ("work", "x = (a + b = ?", &["x = (a + b) = ?"]),
        ("work", "x = a + b) = ?", &["x = a + b = ?"]),
        (
            "work",
            "x = log(a) = ?",
            &["x = ln(a) = ?", "x = log10(a) = ?"],
        ),
        (
            "work",
            "x = sqrt(p_1) = ? Pa^(1/2)",
            &["x = sqrt(absolute(p_1)) = ? Pa^(1/2)"],
        ),
        (
            "work",
            "x = p_1 - p_2 = ? kPa",
            &["x = absolute(p_1) - p_2 = ? kPa"],
        ),
        // It converts already, but for the word.
        ("work", "x = p_1 + p_atm = ? kPa", &[]),
        ("check", "a between 1 and 3", &["1 < a < 3"]),
        (
            "check",
            "L varies with a",
            &["L varies as a", "L rises with a", "L falls with a"],
        ),
        ("check", "a = b", &["a = b within 1 %"]),
        (
            "given",
            "m = 20 J/ton",
            &[
                "m = 20 J/tonUS",
                "m = 20 J/tonUK",
                "m = 20 J/t",
                "m = 20 J/tonf",
                "m = 20 J/TR",
            ],
        ),
        (
            "given",
            "m = 2 N/pcf",
            &["m = 2 N/(lb/ft^3)", "m = 2 N/(lbf/ft^3)"],
        ),
        ("given", "m = 5 mm ± 0.1", &["m = 5 mm ± 0.1 mm"]),
        ("given", "-- lonely", &["# lonely"]),
        ("required", "F = 3 kN", &["F = ? kN"]),
        ("derive", "solve x", &["solve for x"]),
        // Nothing is offered where a reading is left open.
        ("work", "x = a/b c/d e = ?", &[]),
        ("work", "x = 2 A_9 = ?", &[]),
    ];
    for (block, line, expected) in cases {
        assert_eq!(fixed(block, line), *expected, "`{line}`");
    }
}

#[test]
fn edits_fit_lines_that_go_on_and_blocks_in_other_forms() {
    let quoted =
        "> ```given\n> a = 2\n> ```\n>\n> ```work\n> x = a/a (a # note\n>   + 1) = ?\n> ```\n";
    let returns = "```given\r\na = 2\r\n```\r\n\r\n```work\r\nx = sin²(a) = ?\r\n```\r\n";
    let unclosed = "```given\na = 2\n\n```work\nx = a = ?\n```\n";
    let front = "---\r\ntitle: Rod\r\n\r\n# Rod\r\n";
    for text in [quoted, returns, unclosed, front] {
        let found = compiled(text);
        let fixes = found
            .iter()
            .flat_map(|one| one.fixes.iter().map(move |fix| (one, fix)));
        let mut count = 0;
        for (one, fix) in fixes {
            count += 1;
            if let Some(fault) = fault(text, &found, one, fix) {
                panic!("{}: {}: {fault}", one.code, fix.title);
            }
            if let Some(applied) = fix.applied(text) {
                assert_eq!(compiled(&applied), [], "{applied}");
            }
        }
        assert!(count > 0, "{text}: {found:?}");
    }
}

/// The text with one character taken out, doubled or replaced by one that means something.
fn mistyped(text: &str, random: &mut impl FnMut(usize) -> usize) -> String {
    const TYPED: [&str; 16] = [
        "(", ")", "/", "^", " ", "?", "=", "|", "2", "²", ".", "-", "sin ", "α", "\r", "kN",
    ];
    let places: Vec<(usize, char)> = text.char_indices().collect();
    let (at, character) = places[random(places.len())];
    let (before, after) = text.split_at(at);
    let rest = &after[character.len_utf8()..];
    match random(3) {
        0 => format!("{before}{rest}"),
        1 => format!("{before}{character}{after}"),
        _ => format!("{before}{}{after}", TYPED[random(TYPED.len())]),
    }
}

/// What is wrong with a fix of a worksheet in which anything may be wrong: a line that cannot be
/// read can be read after it, and what is wrong besides is not looked at.
fn misfit(text: &str, found: &[Diagnostic], one: &Diagnostic, fix: &Fix) -> Option<String> {
    let fault = fault(text, found, one, fix)?;
    let fits = ill_formed(text, fix).is_none();
    let is_read = !is_syntax(one.code) || !fault.contains("still raised");
    (!fits || !is_read).then_some(fault)
}

#[test]
fn fixes_of_mistyped_worksheets_fit_the_text() {
    let rounds = std::env::var("ROUNDS").ok();
    let rounds = rounds.and_then(|rounds| rounds.parse().ok()).unwrap_or(2);
    let mut state = 20_260_101_u64;
    let mut random = |below: usize| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        (state >> 33) as usize % below
    };
    let (mut count, mut wrong) = (0, String::new());
    let texts = texts();
    let short = texts
        .iter()
        .filter(|(_, text)| (1..2000).contains(&text.len()));
    for (name, text) in short.flat_map(|it| std::iter::repeat_n(it, rounds)) {
        let text = mistyped(text, &mut random);
        let found = compiled(&text);
        for one in &found {
            for fix in &one.fixes {
                count += 1;
                if let Some(fault) = misfit(&text, &found, one, fix) {
                    wrong.push_str(&format!("\n{name}: {}: {fault}\nfrom\n{text}", fix.title));
                }
            }
        }
    }
    println!("{count} fixes of mistyped worksheets");
    assert!(wrong.is_empty(), "{wrong}");
    assert!(count > 500, "only {count} fixes");
}
