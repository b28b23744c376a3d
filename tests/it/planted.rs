//! Slips of every usual kind, planted in each term of each balance of the worksheets; balances under
//! the names of others; and true balances in other words.
//!
//! `SLIPS=all cargo test --test it planted` tries all of them; without it every few.

mod rows;

use setsquare::text::Source;
use setsquare::worksheet::{Agreement, Body, Worksheet};

use super::beside::compile;
use super::sketches::{Drawn, bodies};
use rows::{Row, Slip, Term, equation, rows};

/// What is said of a line.
enum Said {
    Verdict(Agreement),
    /// It was refused before it was compared.
    Refused,
}

/// What is said of each of the lines that are added to a worksheet.
fn said(row: &Row, lines: &[String]) -> Vec<Said> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(folder.join(&row.sheet)).expect("a worksheet");
    let text = row.worksheet(&text, lines);
    let first = text.lines().count() - lines.len();
    let sheet = compile(Source::new("planted.md", text));
    (first..first + lines.len())
        .map(|line| of_line(&sheet, line))
        .collect()
}

fn of_line(sheet: &Worksheet, line: usize) -> Said {
    let found = sheet.statements().find_map(|(_, statement)| {
        if sheet.source.line_of(statement.span.start) != line {
            return None;
        }
        match &statement.body {
            Body::Equation { balance, .. } => balance.as_ref().map(|it| it.agreement.clone()),
            _ => None,
        }
    });
    match found {
        Some(agreement) => Said::Verdict(agreement),
        None => {
            let told = (sheet.diagnostics.iter())
                .any(|it| it.is_error() && sheet.source.line_of(it.span.start) == line);
            let all: Vec<String> = (sheet.diagnostics.iter())
                .map(|it| format!("{} {}", sheet.source.line_of(it.span.start), it.message))
                .collect();
            assert!(told, "{line} {all:#?}\n{}", sheet.source.text());
            Said::Refused
        }
    }
}

/// All worksheets at once; what each finds, in their order.
fn of_each<T: Send>(find: impl Fn(&Row) -> T + Sync) -> Vec<T> {
    let rows = rows();
    let next = std::sync::atomic::AtomicUsize::new(0);
    let found = std::sync::Mutex::new(Vec::new());
    std::thread::scope(|scope| {
        for _ in 0..2 {
            scope.spawn(|| {
                loop {
                    let at = next.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
                    let Some(row) = rows.get(at) else {
                        break;
                    };
                    let own = find(row);
                    found.lock().expect("the list").push((at, own));
                }
            });
        }
    });
    let mut found = found.into_inner().expect("the list");
    found.sort_by_key(|(at, _)| *at);
    found.into_iter().map(|(_, own)| own).collect()
}

/// Of many the few that are tried each time, others in each row.
fn few<T>(all: Vec<T>, row: &Row, each: usize) -> Vec<T> {
    let each = match std::env::var("SLIPS") {
        Ok(_) => 1,
        Err(_) => each,
    };
    let first = row.words.len() % each;
    let few = all.into_iter().enumerate();
    few.filter(|(at, _)| at % each == first)
        .map(|(_, it)| it)
        .collect()
}

/// How slips were told.
#[derive(Default)]
struct Told {
    planted: usize,
    refused: usize,
    named: usize,
    /// That the equation differs, and not where.
    unplaced: usize,
    /// Something was named that was not planted.
    otherwise: Vec<String>,
    /// It was taken for another balance.
    another: Vec<String>,
    /// It was not found.
    missed: Vec<String>,
}

impl Told {
    fn take(&mut self, row: &Row, slip: &Slip, said: &Said) {
        self.planted += 1;
        let line = || format!("{}: {} by {}", row.sheet, slip.equation, row.words);
        match said {
            Said::Refused => self.refused += 1,
            Said::Verdict(Agreement::Differs(found)) => {
                let codes: Vec<&str> = slip.code.split(' ').collect();
                let is_named = match codes.len() {
                    1 => slip
                        .names
                        .iter()
                        .any(|name| found.message.contains(name.as_str())),
                    _ => slip
                        .names
                        .iter()
                        .all(|name| found.message.contains(name.as_str())),
                };
                match is_named && codes.contains(&found.code.as_str()) {
                    true => self.named += 1,
                    false if found.code.as_str() == "B08" => self.unplaced += 1,
                    false => self.otherwise.push(format!(
                        "{}\n  {} {:?}, and told {} {}",
                        line(),
                        slip.code,
                        slip.names,
                        found.code.as_str(),
                        found.message
                    )),
                }
            }
            Said::Verdict(Agreement::Another(words)) => {
                self.another.push(format!("{}\n  {words}", line()));
            }
            Said::Verdict(other) => self.missed.push(format!("{}\n  {other:?}", line())),
        }
    }

    fn of(all: Vec<Self>) -> Self {
        let mut found = Self::default();
        for one in all {
            found.planted += one.planted;
            found.refused += one.refused;
            found.named += one.named;
            found.unplaced += one.unplaced;
            found.otherwise.extend(one.otherwise);
            found.another.extend(one.another);
            found.missed.extend(one.missed);
        }
        found
    }

    /// How many there were of each, and what was told otherwise.
    fn words(&self) -> String {
        let counts = format!(
            "{} planted, {} refused before; of {}: {} named as planted, {} told to differ, {} told otherwise, {} taken for another balance, {} missed",
            self.planted,
            self.refused,
            self.planted - self.refused,
            self.named,
            self.unplaced,
            self.otherwise.len(),
            self.another.len(),
            self.missed.len()
        );
        [&[counts], &self.otherwise[..], &self.another]
            .concat()
            .join("\n")
    }
}

fn told(row: &Row, slips: &[Slip]) -> Told {
    let lines: Vec<String> = slips.iter().map(|it| it.equation.clone()).collect();
    let mut told = Told::default();
    for (slip, said) in slips.iter().zip(said(row, &lines)) {
        told.take(row, slip, &said);
    }
    told
}

#[test]
fn every_planted_slip_is_found_and_nearly_all_are_named() {
    let told = Told::of(of_each(|row| told(row, &few(row.slips(), row, 4))));
    println!("{}", told.words());
    assert!(told.planted > 200, "{}", told.planted);
    assert!(told.missed.is_empty(), "{}", told.missed.join("\n"));
    let otherwise = [&told.otherwise[..], &told.another].concat();
    assert!(otherwise.is_empty(), "{}", otherwise.join("\n"));
    let compared = told.planted - told.refused;
    assert!(
        10 * told.named >= 9 * compared,
        "{} of {compared}",
        told.named
    );
}

/// A name that stands in a term, and is no function.
fn name_in(text: &str, drawn: &mut Drawn) -> Option<String> {
    let names: Vec<&str> = text
        .split(|c: char| !(c.is_alphanumeric() || c == '_' || c == '.'))
        .filter(|it| it.starts_with(char::is_alphabetic) && !it.contains('.'))
        .filter(|it| !["sin", "cos", "sqrt", "pi"].contains(it))
        .collect();
    (!names.is_empty()).then(|| names[drawn.below(names.len())].to_owned())
}

/// An equation with a definition between: of a sum of its terms, or of a quantity of one that is
/// the sum of two. The first line is the definition.
fn behind_a_definition(terms: &[Term], drawn: &mut Drawn) -> Option<[String; 2]> {
    let mut terms = terms.to_vec();
    let first = terms.get(drawn.below(terms.len().max(1)))?.clone();
    if drawn.below(2) == 0 {
        let name = name_in(&first.text, drawn)?;
        let sum = "(X_q + X_r)".to_owned();
        for term in terms.iter_mut().filter(|it| it.text == first.text) {
            term.text = put_in(&term.text, &(name.clone(), sum.clone()));
        }
        return Some([format!("{name} = X_q + X_r"), equation(&terms)]);
    }
    let is_like = |it: &Term| it.is_right == first.is_right;
    let count = 1 + drawn.below(2);
    let named: Vec<Term> = terms
        .iter()
        .filter(|it| is_like(it))
        .take(count)
        .cloned()
        .collect();
    let mut left = count;
    terms.retain(|it| {
        let is_named = is_like(it) && left > 0;
        left -= usize::from(is_named);
        !is_named
    });
    let signed = named.iter().map(|it| Term {
        is_right: true,
        ..it.clone()
    });
    let whole = equation(&signed.collect::<Vec<_>>()).replacen("0 = ", "X_q = ", 1);
    terms.push(Term {
        is_negative: false,
        text: "X_q".to_owned(),
        ..first
    });
    Some([whole, equation(&terms)])
}

/// What is said of each of a few slips below a definition that its equation is written with.
fn told_behind_definitions(row: &Row, slips: &[Slip]) -> Told {
    let mut drawn = Drawn(row.words.len() as u64 * 104_729 + slips.len() as u64);
    let mut told = Told::default();
    for slip in slips {
        let Some([definition, equation]) = behind_a_definition(&slip.terms, &mut drawn) else {
            continue;
        };
        let below = Row {
            defined: Some(definition.clone()),
            ..row.clone()
        };
        let slip = Slip {
            equation: equation.clone(),
            terms: slip.terms.clone(),
            code: slip.code.clone(),
            names: slip.names.clone(),
        };
        let said = said(&below, std::slice::from_ref(&equation));
        let shown = Slip {
            equation: format!("{definition}; {equation}"),
            ..slip
        };
        for said in &said {
            told.take(row, &shown, said);
        }
    }
    told
}

/// A definition between changes nothing.
#[test]
fn slips_are_found_behind_definitions() {
    let told = Told::of(of_each(|row| {
        told_behind_definitions(row, &few(row.slips(), row, 9))
    }));
    println!("{}", told.words());
    assert!(told.planted > 80, "{}", told.planted);
    assert!(told.missed.is_empty(), "{}", told.missed.join("\n"));
    let compared = told.planted - told.refused;
    assert!(
        10 * told.named >= 9 * compared,
        "{} of {compared}",
        told.named
    );
}

/// A term that nothing in the sketch makes, among the others and alone on a side.
#[test]
fn foreign_terms_are_told_wherever_they_stand() {
    let told = Told::of(of_each(|row| {
        let mut foreign = row.terms[0].clone();
        foreign.text = "X_q".to_owned();
        foreign.name = "`X_q`".to_owned();
        let with = |is_alone: bool| {
            let own = row.terms.iter().map(|it| match is_alone && it.is_right {
                true => Term {
                    is_right: false,
                    is_negative: !it.is_negative,
                    ..it.clone()
                },
                false => it.clone(),
            });
            let foreign = Term {
                is_right: is_alone,
                ..foreign.clone()
            };
            let terms: Vec<Term> = own.chain([foreign]).collect();
            Slip {
                equation: equation(&terms),
                terms,
                code: "B05".to_owned(),
                names: vec!["`X_q`".to_owned()],
            }
        };
        told(row, &[with(false), with(true)])
    }));
    println!("{}", told.words());
    assert!(told.planted > 100, "{}", told.planted);
    assert_eq!(told.named, told.planted - told.refused, "{}", told.words());
}

#[test]
fn two_slips_at_once_are_found() {
    let told = Told::of(of_each(|row| told(row, &few(row.double_slips(), row, 97))));
    println!("{}", told.words());
    assert!(told.planted > 50, "{}", told.planted);
    assert!(told.missed.is_empty(), "{}", told.missed.join("\n"));
}

/// A balance under the name of each other one of its worksheet.
#[test]
fn no_balance_agrees_under_the_name_of_another() {
    let all = rows();
    let mut count = 0;
    let mut faults = Vec::new();
    for row in &all {
        let others: Vec<&Row> = (all.iter())
            .filter(|it| it.sheet == row.sheet && it.words != row.words)
            .collect();
        let lines: Vec<String> = others.iter().map(|it| equation(&it.terms)).collect();
        if lines.is_empty() {
            continue;
        }
        for (line, said) in lines.iter().zip(said(row, &lines)) {
            count += 1;
            if matches!(said, Said::Verdict(Agreement::Agrees { .. })) {
                faults.push(format!("{}: {line} by {}", row.sheet, row.words));
            }
        }
    }
    println!("{count} balances under other names");
    assert!(count > 50, "{count}");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// A name in a formula by what it is made of.
fn put_in(text: &str, (name, made): &(String, String)) -> String {
    let mut found = String::new();
    let is_of_name = |c: char| c.is_alphanumeric() || c == '_';
    let mut rest = text;
    while let Some(at) = rest.find(name.as_str()) {
        let after = &rest[at + name.len()..];
        let is_whole = !rest[..at].ends_with(is_of_name) && !after.starts_with(is_of_name);
        found += &rest[..at];
        found += if is_whole { made } else { name };
        rest = after;
    }
    found + rest
}

/// A true balance in other words.
fn rewritten(row: &Row, drawn: &mut Drawn) -> String {
    let mut terms: Vec<Term> = row.terms.clone();
    let by = drawn.below(terms.len());
    terms.rotate_left(by);
    for term in &mut terms {
        if drawn.below(3) == 0 {
            term.is_right = !term.is_right;
            term.is_negative = !term.is_negative;
        }
        for put in &row.put {
            if drawn.below(3) == 0 {
                term.text = put_in(&term.text, put);
            }
        }
    }
    let written = equation(&terms);
    let (left, right) = written.split_once(" = ").expect("two sides");
    // A name that stands alone in a term, once in all.
    let is_name = |text: &str| text.chars().all(|c| c.is_alphanumeric() || c == '_');
    let alone = terms.iter().position(|it| is_name(&it.text));
    match drawn.below(5) {
        0 if left != "0" && right != "0" => format!("3 ({left}) = 3 ({right})"),
        1 if left != "0" && right != "0" => format!("-({right})/2 = -({left})/2"),
        2 => format!("({left}) - ({right}) = 0"),
        3 if alone.is_some() => {
            let name = terms.remove(alone.unwrap_or_default());
            for term in &mut terms {
                if term.is_right == name.is_right {
                    term.is_negative = !term.is_negative;
                }
                // What stood beside it changes sides, and all signs where it counts minus.
                term.is_negative ^= name.is_negative;
                term.is_right = true;
            }
            let (_, right) = equation(&terms)
                .split_once(" = ")
                .map(|(left, right)| (left.to_owned(), right.to_owned()))
                .expect("two sides");
            format!("{} = {right}", name.text)
        }
        _ => written,
    }
}

#[test]
fn true_balances_agree_in_other_words() {
    let count = bodies(3);
    let all = of_each(|row| {
        let mut drawn = Drawn(row.words.len() as u64 * 7919 + row.terms[0].text.len() as u64);
        let lines: Vec<String> = (0..count).map(|_| rewritten(row, &mut drawn)).collect();
        let mut faults = Vec::new();
        for (line, said) in lines.iter().zip(said(row, &lines)) {
            match said {
                Said::Verdict(Agreement::Agrees { .. }) => {}
                Said::Verdict(other) => {
                    faults.push(format!(
                        "{}: {line} by {}\n  {other:?}",
                        row.sheet, row.words
                    ));
                }
                Said::Refused => faults.push(format!("{}: {line} was refused", row.sheet)),
            }
        }
        faults
    });
    println!("{} rewrites", all.len() * count);
    let faults: Vec<String> = all.into_iter().flatten().collect();
    assert!(faults.is_empty(), "{}: {}", faults.len(), faults.join("\n"));
}
