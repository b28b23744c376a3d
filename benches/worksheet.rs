//! What a worksheet costs: each floor, and the whole way from text to page.
//!
//! `cargo bench` prints medians for 1, 10, 100 and 1000 sections; a section has eight data, six
//! formulas of everyday kinds, and prose.

use setsquare::text::Source;
use setsquare::{document, page, quantity, worksheet};

mod sheets;

use sheets::{SECTIONS, worksheet_text};

fn main() {
    divan::main();
}

fn source(sections: usize) -> Source {
    Source::new("plant.md", worksheet_text(sections))
}

#[divan::bench(args = SECTIONS)]
fn markdown(bencher: divan::Bencher, sections: usize) {
    let source = source(sections);
    bencher.bench(|| document::parse(&source));
}

#[divan::bench(args = SECTIONS)]
fn compile(bencher: divan::Bencher, sections: usize) {
    bencher
        .with_inputs(|| source(sections))
        .bench_values(worksheet::compile);
}

#[divan::bench(args = SECTIONS)]
fn page_of_compiled(bencher: divan::Bencher, sections: usize) {
    let compiled = worksheet::compile(source(sections));
    assert!(compiled.diagnostics.is_empty());
    bencher.bench(|| page::html(&compiled));
}

#[divan::bench(args = SECTIONS)]
fn text_to_page(bencher: divan::Bencher, sections: usize) {
    bencher
        .with_inputs(|| source(sections))
        .bench_values(|source| page::html(&worksheet::compile(source)));
}

#[divan::bench]
fn unit_look_up() -> bool {
    quantity::Unit::from_source(divan::black_box("kJ/(kg K)")).is_ok()
}
