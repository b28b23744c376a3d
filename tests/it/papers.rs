//! Question papers: what they hold, and what they never show.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use proptest::prelude::*;
use setsquare::papers::paper::{self, Chosen};
use setsquare::papers::print::{Job, Kind, Version};
use setsquare::text::{Files, Source, Unread};
use setsquare::worksheet::{self, Worksheet};

/// Files in memory.
#[derive(Debug, Default, Clone)]
struct Shelf(BTreeMap<String, String>);

impl Files for Shelf {
    fn bytes(&self, path: &str, _: usize) -> Result<Vec<u8>, Unread> {
        let text = self.0.get(path).ok_or(Unread::Missing)?;
        Ok(text.clone().into_bytes())
    }

    fn names(&self, folder: &str) -> Result<Vec<String>, Unread> {
        let prefix = match folder {
            "" => String::new(),
            folder => format!("{}/", folder.trim_end_matches('/')),
        };
        let below = self.0.keys().filter_map(|path| path.strip_prefix(&prefix));
        let mut names: Vec<String> = below
            .map(|rest| match rest.split_once('/') {
                Some((folder, _)) => format!("{folder}/"),
                None => rest.to_owned(),
            })
            .collect();
        names.dedup();
        Ok(names)
    }
}

fn folder(name: &str) -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(name);
    let entries = std::fs::read_dir(folder).unwrap().flatten();
    let mut found: Vec<(String, String)> = entries
        .filter(|entry| entry.path().extension().is_some_and(|it| it == "md"))
        .map(|entry| {
            let name = entry.file_name().to_string_lossy().into_owned();
            (name, std::fs::read_to_string(entry.path()).unwrap())
        })
        .collect();
    found.sort();
    found
}

/// The examples of problems, and a paper of some of them.
fn shelf(paper: &str) -> Shelf {
    let mut shelf = Shelf(folder("tests/papers").into_iter().collect());
    shelf.0.insert("paper.md".to_owned(), paper.to_owned());
    shelf
}

fn compiled(text: &str) -> Arc<Worksheet> {
    Arc::new(worksheet::compile(Source::new("paper.md", text.to_owned())))
}

/// The problems of a paper, and the codes of what is wrong with it.
fn problems(shelf: &Shelf) -> (Arc<Worksheet>, Vec<Chosen>, Vec<String>) {
    let paper = compiled(&shelf.0["paper.md"]);
    let files: Arc<dyn Files> = Arc::new(shelf.clone());
    let (chosen, found) = paper::problems(&paper, "paper.md", &files);
    let found = found.iter().map(|it| format!("{} {}", it.code, it.message));
    let found = found.collect();
    (paper, chosen, found)
}

/// The files of a paper by what stands behind its name.
fn printed(paper: &Worksheet, questions: Vec<Chosen>) -> BTreeMap<String, String> {
    let versions = [Version {
        number: 0,
        questions,
        fingerprint: None,
    }];
    let job = Job {
        paper,
        has_front: !paper::blocks(paper).is_empty(),
        versions: &versions,
        is_large: false,
    };
    let files = job.files(&Kind::ALL).into_iter();
    files.map(|file| (file.suffix, file.content)).collect()
}

/// What a page says, without its markup and style sheets.
fn words(html: &str) -> String {
    let body = html.split_once("<body").map_or(html, |(_, body)| body);
    let mut out = String::new();
    let mut is_tag = false;
    for letter in body.chars() {
        match letter {
            '<' => is_tag = true,
            '>' => is_tag = false,
            letter if !is_tag => out.push(letter),
            _ => {}
        }
    }
    out
}

const PAPER: &str = "---\ntitle: Hydraulics and statics, test 3\ncourse: Engineering mechanics\n\
date: 12 March 2027\ntime: 45 minutes\nformulas: energy, about_A\n---\n\n\
# Hydraulics and statics, test 3\n\nAnswer all questions.\n\n\
```problems\nfire-nozzle.md\nlifting-beam.md            -- all about moments\n\
1 from . where topic = \"heat\" and level <= 2\n```\n";

#[test]
fn a_paper_has_a_front_page_questions_and_nothing_of_their_solutions() {
    let (paper, chosen, found) = problems(&shelf(PAPER));
    assert_eq!(found, [""; 0]);
    let titles: Vec<&str> = chosen.iter().map(|it| it.title.as_str()).collect();
    assert_eq!(
        titles,
        [
            "Force on a fire nozzle",
            "A beam over a pump pit",
            "Topping up a dye bath"
        ]
    );
    let files = printed(&paper, chosen);
    let questions = words(&files["questions.html"]);
    for wanted in [
        "Engineering mechanics · 12 March 2027",
        "Time: 45 minutes · Total: 26 marks",
        "Answer all questions.",
        "For the marker",
        "[11 marks]",
        "(c) force of the bolts on the nozzle",
        "and say whether it points downstream or upstream",
        "A calculation aid",
    ] {
        assert!(questions.contains(wanted), "{wanted}");
    }
    // The words, checks, marks of lines, tolerances and versions of the solutions, and the answers.
    for secret in [
        "Solution",
        "✓",
        "no loss",
        "within",
        "steps of",
        "17.4",
        "151",
        "551",
        "problems",
        "Moments about A",
        "5.14",
        "57.2",
    ] {
        assert!(!questions.contains(secret), "{secret}");
    }
    let guide = words(&files["guide.html"]);
    // Accepted ranges of the design, which were computed by another program.
    for wanted in [
        "17.23 to 17.59 m/s",
        "149.8 to 152.9 kPa",
        "539.7 to 561.9 N upstream",
        "2.725 to 2.781 kN up",
        "5.092 to 5.196 kN up",
        "6.298 to 6.426 kN·m",
        "56.90 to 57.50 °C",
        "10.69 to 10.91 K",
        "10.05 to 10.26 MJ",
    ] {
        assert!(guide.contains(wanted), "{wanted}");
    }
    assert!(words(&files["formulas.html"]).contains("about_A"));
    assert!(words(&files["solutions.html"]).contains("Moments about A"));
    let table = &files["answers.csv"];
    assert!(
        table.contains("0,1,c,R_x,-551,N,upstream,-561.9,-539.7\n"),
        "{table}"
    );
}

#[test]
fn what_is_wrong_with_a_paper_is_said_at_its_line() {
    for (lines, wanted) in [
        (
            "rods.md",
            "P12 the paper names `rods.md`, which is not there",
        ),
        (
            "fire-nozle.md",
            "P12 the paper names `fire-nozle.md`, which is not there",
        ),
        (
            "../fire-nozzle.md",
            "P12 the paper names `../fire-nozzle.md`, which is not there",
        ),
        (
            "fire-nozzle.md: The hose",
            "P12 `fire-nozzle.md` has no problem `The hose`",
        ),
        (
            "fire-nozzle.md\nfire-nozzle.md",
            "P16 `fire-nozzle.md` is in the paper twice, as 1 and 2",
        ),
        ("", "P20 the block `problems` names no problem"),
        ("1 from . where topc = 2", "P13 "),
        ("9 from . where level <= 2", "P14 "),
        ("two from .", "P12 this line names no problem"),
        (
            "bad.md",
            "P15 `bad.md` has 1 error, and cannot be in a paper",
        ),
        (
            "told.md",
            "P15 line 5 of `told.md`: a `work` block stands in the question",
        ),
    ] {
        let mut shelf = shelf(&format!("# P\n\n```problems\n{lines}\n```\n"));
        let bad = "```required\nx = ? m\n```\n\n```work\nx = y = ? m\n```\n";
        shelf.0.insert("bad.md".to_owned(), bad.to_owned());
        let told =
            "```given\na = 1 m\n```\n\n```work\nx = a = ? m\n```\n\n```required\nx = ? m\n```\n";
        shelf.0.insert(
            "told.md".to_owned(),
            told.replace("```\n\n```work\n", "```\n```work\n"),
        );
        let (_, _, found) = problems(&shelf);
        assert!(
            found.len() == 1 && found[0].starts_with(wanted),
            "{lines}: {found:?}"
        );
    }
}

#[test]
fn a_search_takes_the_same_problems_in_a_series_and_others_in_another() {
    let of = |series: &str| {
        let paper =
            format!("---\nseries: {series}\n---\n\n```problems\n2 from . where level >= 1\n```\n");
        let (_, chosen, found) = problems(&shelf(&paper));
        assert_eq!(found, [""; 0]);
        let paths: Vec<String> = chosen.into_iter().map(|it| it.path).collect();
        assert!(paths.is_sorted());
        paths
    };
    assert_eq!(of("spring"), of("spring"));
    let all: std::collections::BTreeSet<Vec<String>> =
        (0..20).map(|at| of(&format!("series {at}"))).collect();
    assert!(all.len() > 5, "{all:?}");
}

/// The question papers of the problems of a worksheet; nothing where they cannot be.
fn questions(text: &str) -> Option<String> {
    let worksheet = compiled(text);
    let files: Arc<dyn Files> = Arc::new(Shelf::default());
    let (chosen, found) = paper::problems(&worksheet, "paper.md", &files);
    (found.is_empty() && !chosen.is_empty())
        .then(|| printed(&worksheet, chosen).remove("questions.html"))?
}

/// The lines of a worksheet that compute something, as indices.
fn formulas(text: &str) -> Vec<usize> {
    let mut is_work = false;
    let mut found = Vec::new();
    for (at, line) in text.lines().enumerate() {
        match line {
            "```work" => is_work = true,
            line if line.starts_with("```") => is_work = false,
            line if is_work && line.matches('=').count() == 2 && line.contains("= ?") => {
                found.push(at);
            }
            _ => {}
        }
    }
    found
}

/// The text with the formula of a line multiplied.
fn changed(text: &str, line: usize, factor: u32) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let own = lines[line].clone();
    let (name, rest) = own.split_once('=').unwrap();
    let (formula, ask) = rest.split_once("= ?").unwrap();
    lines[line] = format!("{name}= {factor} ({}) = ?{ask}", formula.trim());
    lines.join("\n") + "\n"
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    /// A question paper is the same bytes whatever the solution computes.
    #[test]
    fn a_question_does_not_hang_on_its_solution(
        at in any::<prop::sample::Index>(),
        which in any::<prop::sample::Index>(),
        factor in 2u32..9,
    ) {
        let mut all = folder("tests/papers");
        all.extend(folder("worksheets"));
        let (name, text) = &all[at.index(all.len())];
        let lines = formulas(text);
        prop_assume!(!lines.is_empty());
        let Some(before) = questions(text) else { return Ok(()) };
        let other = changed(text, lines[which.index(lines.len())], factor);
        // What is refused is no question paper.
        if let Some(after) = questions(&other) {
            prop_assert!(before == after, "{name}, line {}", lines[which.index(lines.len())] + 1);
        }
    }
}

#[test]
fn most_worksheets_are_question_papers() {
    let mut all = folder("tests/papers");
    all.extend(folder("worksheets"));
    let with = all.iter().filter(|(_, text)| questions(text).is_some());
    assert!(with.count() > 15);
}

/// What a question asks is looked at as far as there are letters, so that a long list costs what its
/// lines cost.
#[test]
fn parts_beyond_the_letters_are_refused_once() {
    let lines: String = (0..40_000).map(|at| format!("x_{at} = ? m\n")).collect();
    let text = format!("```required\n{lines}```\n\n## Solution\n");
    let worksheet = compiled(&text);
    let beyond = worksheet
        .diagnostics
        .iter()
        .filter(|it| it.code.as_str() == "P26");
    let places: Vec<usize> = beyond
        .map(|it| worksheet.source.line_of(it.span.start))
        .collect();
    assert_eq!(places, [28]);
    let question = worksheet
        .problems
        .iter()
        .find_map(|it| it.problem.question.as_ref());
    assert_eq!(question.unwrap().asked.len(), worksheet::MOST_PARTS + 1);
}

/// What is no text is no worksheet of a paper, and is told.
#[test]
fn a_worksheet_that_is_no_text_is_told() {
    #[derive(Debug)]
    struct Bytes(Shelf);

    impl Files for Bytes {
        fn bytes(&self, path: &str, most: usize) -> Result<Vec<u8>, Unread> {
            match path {
                "bad.md" => Ok(b"```required\nx = ? m -- \xff\n```\n".to_vec()),
                path => self.0.bytes(path, most),
            }
        }

        fn names(&self, folder: &str) -> Result<Vec<String>, Unread> {
            self.0.names(folder)
        }
    }

    let mut shelf = shelf("# P\n\n```problems\nbad.md\n```\n");
    shelf.0.insert("bad.md".to_owned(), String::new());
    let paper = compiled(&shelf.0["paper.md"]);
    let files: Arc<dyn Files> = Arc::new(Bytes(shelf));
    let (_, found) = paper::problems(&paper, "paper.md", &files);
    let told: Vec<&str> = found.iter().map(|it| it.message.as_str()).collect();
    assert_eq!(
        told,
        ["`bad.md` cannot be in a paper: the byte 0xFF is not UTF-8 text"]
    );
    let listed = setsquare::papers::bank::problems(&files, "").unwrap();
    let bad = listed.iter().find(|it| it.worksheet == "bad.md").unwrap();
    assert_eq!(bad.diagnostics, ["the byte 0xFF is not UTF-8 text"]);
}
