//! Fixes hold: made in the text, each makes its diagnostic go away and breaks nothing.
//!
//! Every worksheet of the specification and every refused example of the explanations is
//! compiled, every fix of every diagnostic is made by itself, and the result is compiled again.
//! `FIXES=S02 cargo test --test fixes -- --nocapture` lists what is raised with that code.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use setsquare::diagnostic::{self, Applicability, Code, Diagnostic, Fix};
use setsquare::text::{Source, Span};
use setsquare::worksheet;

#[path = "spec/harness/case.rs"]
mod case;

/// The codes that offer a fix somewhere; it shrinks only on purpose.
const FEWEST_CODES: usize = 1;

fn files(folder: &Path, found: &mut Vec<PathBuf>) {
    let entries =
        fs::read_dir(folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
    for entry in entries {
        let path = entry.unwrap_or_else(|error| panic!("{error}")).path();
        if path.is_dir() {
            files(&path, found);
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
    worksheet::compile(Source::new("w.md", text)).diagnostics
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
    if after.iter().any(|one| stays(&one))
        || count(&after, diagnostic.code) >= count(found, diagnostic.code)
    {
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

#[test]
fn every_fix_makes_its_diagnostic_go_away() {
    let wanted = std::env::var("FIXES").ok();
    let mut with_fixes: BTreeMap<Code, usize> = BTreeMap::new();
    let mut wrong = String::new();
    for (name, text) in texts() {
        let found = compiled(&text);
        for one in &found {
            if let Some(wanted) = &wanted
                && one.code.to_string().starts_with(wanted)
            {
                println!(
                    "{} [{}] {} | {}",
                    one.code,
                    one.span.of(&text),
                    one.message,
                    one.help.as_deref().unwrap_or("")
                );
                for fix in &one.fixes {
                    println!(
                        "        {:?}: {} -> {}",
                        fix.applicability,
                        fix.title,
                        fix.applied(&text)
                            .unwrap_or_default()
                            .lines()
                            .filter(|line| !text.lines().any(|it| it == *line))
                            .collect::<Vec<_>>()
                            .join(" / ")
                    );
                }
            }
            for fix in &one.fixes {
                *with_fixes.entry(one.code).or_default() += 1;
                if fix.applicability == Applicability::Show {
                    wrong.extend(ill_formed(&text, fix));
                } else if let Some(fault) = fault(&text, &found, one, fix) {
                    wrong.push_str(&format!(
                        "\n{name}: {}: {}: {} {fault}",
                        one.code, one.message, fix.title
                    ));
                }
            }
        }
    }
    let list: Vec<String> = with_fixes
        .iter()
        .map(|(code, count)| format!("{code} {count}"))
        .collect();
    println!("{} codes: {}", with_fixes.len(), list.join(", "));
    assert!(wrong.is_empty(), "{wrong}");
    assert!(
        with_fixes.len() >= FEWEST_CODES,
        "only {} codes",
        with_fixes.len()
    );
}
