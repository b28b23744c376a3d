//! The table of lines and the grammar have the same lines.

use std::fs;
use std::path::Path;

use proptest::prelude::*;

use super::super::super::order::{Next, Order, Part};
use super::super::super::{BlockKind, Statement, parse_block};
use super::kinds::{orders, sketch_head, sketch_line};
use crate::text::Span;

/// What stands for a name or a formula in a made line.
fn named(part: Part) -> String {
    match part {
        Part::Formula => "2 (a + h_1)/F^2",
        Part::Amount => "10 mm",
        Part::Place { is_new: true } => "Q'",
        Part::Place { is_new: false } => "A",
        Part::Section { .. } => "2'",
        Part::Label => "other-one",
        Part::Word => "",
    }
    .trim_end_matches('\'')
    .to_owned()
}

fn made(order: &Order, mut draws: Vec<usize>) -> String {
    let mut draw = move |count: usize| draws.pop().unwrap_or(0) % count;
    order.example(&mut draw, &mut named)
}

fn refusals(body: &str) -> Vec<String> {
    let text = format!("x: body\n{body}");
    let lines = [Span::new(0, 7), Span::new(8, text.len())];
    let (_, found) = parse_block(BlockKind::Sketch, &text, &lines);
    let found = found.into_iter();
    found
        .map(|it| format!("{} {}", it.code, it.message))
        .collect()
}

proptest! {
    #[test]
    fn a_line_of_the_table_is_read(row in any::<prop::sample::Index>(), draws in prop::collection::vec(0_usize..1000, 40)) {
        let all = orders();
        let line = made(&all[row.index(all.len())].1, draws);
        prop_assert_eq!(refusals(&line), Vec::<String>::new(), "{}", line);
    }

    #[test]
    fn what_stands_next_in_a_line_is_told(row in any::<prop::sample::Index>(), draws in prop::collection::vec(0_usize..1000, 40)) {
        let all = orders();
        let line = made(&all[row.index(all.len())].1, draws);
        let parts = sketch_line("", &line).parts;
        prop_assert!(sketch_line("", &line).is_whole, "{}", line);
        for part in parts {
            let (before, rest) = line.split_at(part.start);
            let next = sketch_line("", before).next;
            let is_told = match part.what {
                Part::Word if rest.starts_with([',', '=']) => true,
                Part::Word => next.iter().any(|it| matches!(it, Next::Words(words) if rest.starts_with(*words))),
                Part::Formula => next.contains(&Next::Formula),
                Part::Amount => next.contains(&Next::Amount),
                Part::Place { is_new: false } => next.contains(&Next::Place),
                Part::Label => next.contains(&Next::Label),
                Part::Place { is_new: true } | Part::Section { .. } => true,
            };
            prop_assert!(is_told, "{} | {}: {:?}", before, rest, next);
        }
    }
}

/// The sketches of the project's worksheets, examples and cases.
fn sketches() -> Vec<String> {
    let top = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut found = Vec::new();
    for folder in ["worksheets", "docs", "tests/spec", "src/diagnostic/codes"] {
        for entry in fs::read_dir(top.join(folder)).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|it| it == "md") {
                let text = fs::read_to_string(path).unwrap();
                let blocks = text.split("```sketch\n").skip(1);
                found.extend(blocks.filter_map(|it| Some(it.split_once("\n```")?.0.to_owned())));
            }
        }
    }
    found
}

#[test]
fn a_line_that_is_read_is_one_of_the_table() {
    let mut count = 0;
    for text in sketches() {
        let mut start = 0;
        let spans: Vec<Span> = (text.split('\n'))
            .map(|line| {
                let span = Span::new(start, start + line.len());
                start += line.len() + 1;
                span
            })
            .collect();
        let (lines, _) = parse_block(BlockKind::Sketch, &text, &spans);
        let first = spans[0].of(&text);
        for line in lines {
            let Statement::Sketch(sketch) = &line.statement else {
                continue;
            };
            let code = line.span.of(&text);
            let (is_whole, parts) = match (sketch.form(), &line.label) {
                (None, Some(label)) => {
                    let body = code[label.text.len() + 1..].trim_start();
                    let found = sketch_head(body);
                    (found.is_whole, found.parts)
                }
                (None, None) => continue,
                (Some(_), _) => {
                    // Where it stands in a sketch of another kind, all kinds are looked at.
                    let own = sketch_line(first, code);
                    let all = sketch_line("", code);
                    (own.is_whole || all.is_whole, all.parts)
                }
            };
            assert!(is_whole, "{code}: {parts:?}");
            count += 1;
        }
    }
    assert!(count > 300, "{count} lines");
}
