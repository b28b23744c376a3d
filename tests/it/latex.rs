//! Worksheets as LaTeX: what was written last time, and whether TeX compiles it.
//!
//! `UPDATE_GOLDEN=1 cargo test --test it latex` writes down what is written now, and a
//! person reads the difference. The files hold what stands behind the packages and commands that
//! all documents begin with.

#![allow(
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "tests say what they skip, and stop at what is not there"
)]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use setsquare::page;
use setsquare::text::Source;
use setsquare::worksheet::compile;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// What TeX might stumble over.
const HOSTILE: &str = "tests/golden/hostile.md";

/// The worked problems.
fn worksheets() -> Vec<PathBuf> {
    let entries = fs::read_dir(root().join("worksheets")).unwrap();
    let mut paths: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    paths.retain(|path| path.extension().is_some_and(|it| it == "md"));
    paths.sort();
    assert!(paths.len() >= 9, "only {} worksheets", paths.len());
    paths
}

fn stem(path: &Path) -> String {
    path.file_stem().unwrap().to_string_lossy().into_owned()
}

fn latex(path: &Path) -> String {
    let text = fs::read_to_string(path).unwrap();
    page::latex(&compile(Source::new(format!("{}.md", stem(path)), text)))
}

#[test]
fn documents_are_as_they_were_last_time() {
    let mut differences = Vec::new();
    for worksheet in worksheets() {
        let latex = latex(&worksheet);
        let (_, own) = latex.split_once("\\begin{document}\n").unwrap();
        let golden = root().join(format!("tests/golden/{}.tex", stem(&worksheet)));
        if std::env::var_os("UPDATE_GOLDEN").is_some() {
            fs::write(&golden, own).unwrap();
        }
        let known = fs::read_to_string(&golden).unwrap_or_default();
        let pair = known.lines().zip(own.lines()).enumerate();
        if let Some((line, (before, now))) = pair.clone().find(|(_, (before, now))| before != now) {
            differences.push(format!(
                "{}:{}:\n- {before}\n+ {now}",
                golden.display(),
                line + 1
            ));
        } else if known != own {
            differences.push(format!("{} has another length", golden.display()));
        }
    }
    assert!(differences.is_empty(), "{}", differences.join("\n"));
}

/// Whether an engine is there with everything that documents use; it is said where it is not.
#[expect(clippy::print_stdout, reason = "a test that is skipped has to say so")]
fn is_installed(engine: &str) -> bool {
    let files = ["booktabs.sty", "lmodern.sty", "luaotfload-main.lua"];
    let needed = if engine == "lualatex" { 3 } else { 2 };
    let found = Command::new("kpsewhich").args(&files[..needed]).output();
    let is_there = found.is_ok_and(|found| found.status.success())
        && Command::new(engine).arg("--version").output().is_ok();
    if !is_there {
        println!("skipped: {engine} is not installed with what documents use");
    }
    is_there
}

/// Compiles a document with an engine; tells what it stumbles over.
fn fault(engine: &str, folder: &Path, name: &str) -> Option<String> {
    let run = Command::new(engine)
        .args(["-interaction=nonstopmode", "-halt-on-error", name])
        .current_dir(folder)
        .stdin(Stdio::null())
        .output()
        .unwrap();
    let log = String::from_utf8_lossy(&run.stdout);
    let complaint = || {
        log.lines()
            .skip_while(|line| !line.starts_with('!'))
            .take(8)
    };
    (!run.status.success()).then(|| complaint().collect::<Vec<&str>>().join("\n"))
}

fn compiles_with(engine: &str, worksheets: &[PathBuf]) {
    if !is_installed(engine) {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    for worksheet in worksheets {
        let name = format!("{}.tex", stem(worksheet));
        fs::write(folder.path().join(&name), latex(worksheet)).unwrap();
        assert_eq!(fault(engine, folder.path(), &name), None, "{engine} {name}");
    }
}

#[test]
fn documents_compile_with_pdflatex() {
    compiles_with("pdflatex", &worksheets());
    compiles_with("pdflatex", &[root().join(HOSTILE)]);
}

/// Its first run makes a list of the system's fonts, which takes long; one document has it all.
#[test]
fn the_hostile_document_compiles_with_lualatex() {
    compiles_with("lualatex", &[root().join(HOSTILE)]);
}

/// The letters that are written as they are stand in the fonts.
#[test]
fn every_letter_compiles_with_pdflatex() {
    if !is_installed("pdflatex") {
        return;
    }
    let letters: String = ('\u{20}'..='\u{2fff}')
        .filter(|it| !it.is_control())
        .collect();
    let lines: Vec<String> = letters
        .chars()
        .collect::<Vec<char>>()
        .chunks(40)
        .map(|line| line.iter().map(|it| format!("\\{it} ")).collect())
        .collect();
    let worksheet = compile(Source::new("letters.md", lines.join("\n\n")));
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("letters.tex"), page::latex(&worksheet)).unwrap();
    assert_eq!(fault("pdflatex", folder.path(), "letters.tex"), None);
}
