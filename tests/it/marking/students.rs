//! Invented students, who compute what the worksheets do with slips of their own.

use rustc_hash::FxHashSet;
use setsquare::papers::marking::judge::Judge;
use setsquare::papers::marking::list;
use setsquare::papers::marking::marked::Verdict;
use setsquare::papers::marking::range::accepted;
use setsquare::papers::paper::Chosen;
use setsquare::papers::print::{answer, within};
use setsquare::worksheet::{Instead, Replay, Replays, SlipGround, SlipOf, SymbolId};

use super::versions::{Paper, file};

/// Numbers by chance, the same in each run.
pub struct Chance(pub u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut it = self.0;
        it = (it ^ (it >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        it = (it ^ (it >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        it ^ (it >> 31)
    }

    pub fn below(&mut self, count: usize) -> usize {
        (self.next() % count as u64) as usize
    }

    /// From 0 to 1.
    pub fn part(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// The columns of a version: what is right, what is accepted, and the units.
pub struct Columns {
    pub heads: Vec<String>,
    pub units: Vec<String>,
    pub values: Vec<f64>,
    pub ends: Vec<(f64, f64, f64)>,
}

impl Columns {
    pub fn of(paper: &Paper, version: u16) -> Self {
        let mut found = Self {
            heads: Vec::new(),
            units: Vec::new(),
            values: Vec::new(),
            ends: Vec::new(),
        };
        for (at, chosen) in paper.questions(version).iter().enumerate() {
            let problem = &chosen.worksheet.problems[chosen.problem].problem;
            let question = problem.question.as_ref().unwrap();
            for (part, asked) in question.asked.iter().enumerate() {
                let (shown, _) = answer(problem, asked).unwrap();
                let range = accepted(shown, &within(&paper.paper, asked));
                let letter = question.letter(part).map_or(String::new(), String::from);
                let step = 10.0_f64.powi(shown.digits[0].last_place() - 1);
                found.heads.push(format!("{}{letter}", at + 1));
                found.units.push(shown.unit.source().to_owned());
                found.values.push(shown.values[0]);
                found.ends.push((range.ends[0].0, range.ends[0].1, step));
            }
        }
        found
    }

    pub fn head(&self) -> String {
        format!("id,version,{}\n", self.heads.join(","))
    }
}

/// A question as a student computes it.
struct Work<'w> {
    replay: Replay<'w>,
    chosen: &'w Chosen,
    /// Data that are not the same in all versions.
    varied: FxHashSet<SymbolId>,
}

impl Work<'_> {
    fn parts(&self) -> Vec<SymbolId> {
        let problem = &self.chosen.worksheet.problems[self.chosen.problem].problem;
        let question = problem.question.as_ref().unwrap();
        question.asked.iter().map(|it| it.symbol).collect()
    }

    /// A value to so many figures in the unit that is asked, as it is written, and what it is then.
    fn written(&self, part: usize, si: &[f64], figures: usize) -> (String, Vec<f64>) {
        let problem = &self.chosen.worksheet.problems[self.chosen.problem].problem;
        let asked = &problem.question.as_ref().unwrap().asked[part];
        let (shown, _) = answer(problem, asked).unwrap();
        let is_interval = shown.unit.offset() == 0.0;
        let each: Vec<(String, f64)> = (si.iter())
            .map(|si| {
                let value = match is_interval {
                    true => si / shown.unit.factor(),
                    false => shown.unit.from_si(*si),
                };
                let text = format!("{value:.*e}", figures - 1);
                let read: f64 = text.parse().unwrap();
                let back = match is_interval {
                    true => read * shown.unit.factor(),
                    false => shown.unit.to_si(read),
                };
                (text, back)
            })
            .collect();
        let texts: Vec<&str> = each.iter().map(|(text, _)| text.as_str()).collect();
        let number = match texts.as_slice() {
            [only] => (*only).to_owned(),
            all => format!("({})", all.join(", ")),
        };
        let text = format!("{number} {}", shown.unit.source());
        (text, each.into_iter().map(|(_, back)| back).collect())
    }

    /// All results between rounded to so many figures.
    fn rounded(&self, symbol: SymbolId, instead: &Instead, figures: usize) -> Option<Instead> {
        let mut own = instead.clone();
        for between in self.replay.behind(symbol).ok()? {
            let is_datum = self.replay.datum(between).is_some();
            if between == symbol || is_datum || own.value(between).is_some() {
                continue;
            }
            let value = self.replay.value(between, &own).ok()?;
            let rows: Vec<f64> = (value.rows.iter())
                .map(|it| format!("{it:.*e}", figures - 1).parse().unwrap())
                .collect();
            own = own.with(between, self.replay.numbers(between, &rows)?);
        }
        Some(own)
    }
}

/// A sheet of answers.
pub struct Sheet;

impl Sheet {
    /// Right answers but for one, which is carried on.
    pub fn with_one_wrong(paper: &Paper, version: u16, wrong: usize, factor: f64) -> Vec<String> {
        let (mut found, mut at) = (Vec::new(), 0);
        for chosen in paper.questions(version) {
            let replays = paper.replays(&chosen);
            let replay = replays.problem(chosen.problem).unwrap();
            let work = Work {
                replay,
                chosen: &chosen,
                varied: FxHashSet::default(),
            };
            let mut instead = Instead::default();
            for (part, symbol) in work.parts().into_iter().enumerate() {
                let mut si = work.replay.value(symbol, &instead).unwrap().rows;
                if at == wrong {
                    si.iter_mut().for_each(|it| *it *= factor);
                }
                let (text, back) = work.written(part, &si, 6);
                if at >= wrong {
                    let own = work.replay.numbers(symbol, &back).unwrap();
                    instead = instead.with(symbol, own);
                }
                found.push(text);
                at += 1;
            }
        }
        found
    }
}

/// What a student has done at an answer.
#[derive(Debug, Clone, PartialEq)]
enum Did {
    Right,
    /// From own wrong values.
    Carried,
    Slip(String),
    TwoSlips(String, String),
    Nonsense,
    Outside,
}

/// What was counted.
#[derive(Debug, Default)]
pub struct Counts {
    students: usize,
    honest: usize,
    honest_met: usize,
    wrong: usize,
    named: usize,
    named_falsely: usize,
    single: usize,
    single_named: usize,
    single_falsely: usize,
    nonsense: usize,
    nonsense_named: usize,
    outside: usize,
    outside_named: usize,
    next_to_nothing: usize,
    two: usize,
    two_falsely: usize,
    /// Some that were named falsely.
    examples: Vec<String>,
}

const PAPER: &str = "---\ntitle: All\nseries: spring 2027\n---\n\n# All\n\n```problems\n\
    fire-nozzle.md\nlifting-beam.md\nmixing-tank.md\nmooring-ring.md\nhill-reservoir.md\n\
    winch-drive.md\n```\n";

/// Invents students and has them marked; each answers all questions, with at most one slip in each.
pub fn simulate(count: usize, seed: u64) -> Counts {
    let versions = [0, 1, 2, 3];
    let paper = Paper::of("all.md", PAPER);
    let printed = paper.printed(&versions);
    let judge = Judge::of(&printed);
    let chosen: Vec<Vec<Chosen>> = versions.iter().map(|it| paper.questions(*it)).collect();
    let replays: Vec<Vec<Replays>> = (chosen.iter())
        .map(|all| all.iter().map(|it| paper.replays(it)).collect())
        .collect();
    let mut works: Vec<Vec<Work<'_>>> = (chosen.iter().zip(&replays))
        .map(|(chosen, replays)| {
            let pairs = chosen.iter().zip(replays);
            pairs
                .map(|(chosen, replays)| Work {
                    replay: replays.problem(chosen.problem).unwrap(),
                    chosen,
                    varied: FxHashSet::default(),
                })
                .collect()
        })
        .collect();
    for question in 0..works[0].len() {
        let data = |symbol: SymbolId| {
            works.iter().map(move |all| {
                all[question]
                    .replay
                    .present(symbol)
                    .map(|it| it.rows.clone())
            })
        };
        let names = works[0][question].replay.names();
        let varied: FxHashSet<SymbolId> = (names.into_iter())
            .filter(|it| works[0][question].replay.datum(*it).is_some())
            .filter(|it| data(*it).any(|value| Some(value) != data(*it).next()))
            .collect();
        for all in &mut works {
            all[question].varied.clone_from(&varied);
        }
    }
    let mut chance = Chance(seed);
    let mut counts = Counts::default();
    let mut left = count;
    while left > 0 {
        let many = left.min(1000);
        left -= many;
        let (mut text, mut done) = (String::new(), Vec::new());
        for at in 0..many {
            let version = chance.below(versions.len());
            let (mut row, mut did) = (Vec::new(), Vec::new());
            for work in &works[version] {
                answers(work, &mut chance, &mut row, &mut did);
            }
            if at == 0 {
                let heads: Vec<String> = printed.parts.iter().map(|it| it.column()).collect();
                text = format!("id,version,{}\n", heads.join(","));
            }
            let quoted: Vec<String> = row.iter().map(|it| format!("\"{it}\"")).collect();
            text += &format!("s{at},{version},{}\n", quoted.join(","));
            done.push(did);
        }
        let list = list::read("all.csv", text.as_bytes(), &printed.columns());
        assert!(
            list.diagnostics.is_empty(),
            "{:?}",
            list.diagnostics.first()
        );
        let found = judge.mark(&list);
        for (student, did) in found.students.iter().zip(&done) {
            counts.students += 1;
            let is_honest = did.iter().all(|it| *it != Did::Nonsense);
            let is_met = student
                .answers
                .iter()
                .any(|it| it.verdict == Verdict::OtherVersion);
            counts.honest += usize::from(is_honest);
            counts.honest_met += usize::from(is_honest && is_met);
            for (answer, did) in student.answers.iter().zip(did) {
                let before = counts.named_falsely;
                counts.add(
                    answer.verdict,
                    answer.slip.as_ref().map(|it| it.text.as_str()),
                    did,
                );
                if counts.named_falsely > before && before < 20 {
                    let (written, right) = (&answer.written, &answer.right);
                    let told = format!("{written} for {right}: {did:?}, {:?}", answer.slip);
                    counts.examples.push(told);
                }
            }
        }
    }
    counts
}

impl Counts {
    fn add(&mut self, verdict: Verdict, slip: Option<&str>, did: &Did) {
        let is_wrong = !matches!(
            verdict,
            Verdict::Right | Verdict::Carried | Verdict::Rounded | Verdict::Direction
        );
        if !is_wrong {
            return;
        }
        let is_named = slip.is_some();
        let says = |words: &str| slip.is_some_and(|slip| slip.contains(words));
        let is_true = match did {
            Did::Slip(own) => says(own),
            Did::TwoSlips(one, other) => says(one) && says(other),
            Did::Right | Did::Carried | Did::Nonsense | Did::Outside => false,
        };
        self.wrong += 1;
        self.named += usize::from(is_named);
        self.named_falsely += usize::from(is_named && !is_true);
        match did {
            Did::Slip(_) => {
                self.single += 1;
                self.single_named += usize::from(is_true);
                self.single_falsely += usize::from(is_named && !is_true);
            }
            Did::Nonsense => {
                self.nonsense += 1;
                self.nonsense_named += usize::from(is_named);
            }
            Did::Outside => {
                self.outside += 1;
                self.outside_named += usize::from(is_named);
                self.next_to_nothing += usize::from(says("next to nothing"));
            }
            Did::TwoSlips(..) => {
                self.two += 1;
                self.two_falsely += usize::from(is_named && !is_true);
            }
            Did::Right | Did::Carried => {}
        }
    }
}

/// The answers to a question, one of which may be wrong by itself.
fn answers(work: &Work<'_>, chance: &mut Chance, row: &mut Vec<String>, did: &mut Vec<Did>) {
    let parts = work.parts();
    // Of ten students at a question four have a slip, one two of them, one invents, one errs
    // otherwise.
    let kind = chance.below(10);
    let at = chance.below(parts.len());
    let between = 3 + chance.below(3);
    let figures = 3 + chance.below(2);
    let mut instead = Instead::default();
    let mut is_off = false;
    for (part, symbol) in parts.iter().enumerate() {
        // With a wild number before it a root may not be there.
        let Ok(right) = work.replay.value(*symbol, &instead) else {
            row.push(String::new());
            did.push(Did::Carried);
            continue;
        };
        let right = right.rows;
        let own = work.rounded(*symbol, &instead, between);
        let honest = own.and_then(|own| Some(work.replay.value(*symbol, &own).ok()?.rows));
        let mut si = honest.unwrap_or_else(|| right.clone());
        let mut what = if is_off { Did::Carried } else { Did::Right };
        if part == at && kind < 7 {
            let before = &parts[..part];
            let wrong = wrong(work, (*symbol, before), kind, &instead, between, chance);
            if let Some((value, own)) = wrong {
                (si, what) = (value, own);
                is_off = true;
            }
        }
        let (text, back) = work.written(part, &si, figures);
        if let Some(own) = work.replay.numbers(*symbol, &back) {
            instead = instead.with(*symbol, own);
        }
        row.push(text);
        did.push(what);
    }
}

fn wrong(
    work: &Work<'_>,
    (symbol, before): (SymbolId, &[SymbolId]),
    kind: usize,
    instead: &Instead,
    between: usize,
    chance: &mut Chance,
) -> Option<(Vec<f64>, Did)> {
    let replay = &work.replay;
    let ground = SlipGround {
        given: before.iter().copied().collect(),
        varied: work.varied.clone(),
    };
    let right = replay.value(symbol, instead).ok()?.rows;
    let slips: Vec<SlipOf> = replay.slips(symbol, &ground).found;
    let of = |slip: &SlipOf, chance: &mut Chance| -> Option<Vec<f64>> {
        let exact = replay.slipped(symbol, slip, instead).ok()?.rows;
        // Rounding on the way, as it moves this result by chance.
        let by = replay
            .rounded(symbol, Some(slip), instead, between as i32)
            .ok()?;
        let moved = exact.iter().zip(by);
        Some(
            moved
                .map(|(it, by)| it + by * 2.0 * (chance.part() - 0.5))
                .collect(),
        )
    };
    let is_far = |value: &[f64]| {
        let largest = right.iter().fold(0.0_f64, |a, b| a.max(b.abs()));
        let pairs = value.iter().zip(&right);
        pairs.map(|(a, b)| (a - b).abs()).fold(0.0, f64::max) > 0.01 * largest
    };
    match kind {
        0..=3 => {
            let slip = &slips[chance.below(slips.len())];
            let value = of(slip, chance)?;
            is_far(&value).then(|| (value, Did::Slip(slip.words.clone())))
        }
        4 => {
            let (one, other) = (chance.below(slips.len()), chance.below(slips.len()));
            let (one, other) = (&slips[one], &slips[other]);
            let (a, b) = (of(one, chance)?, of(other, chance)?);
            // Both at once, as far as one scales what the other gives.
            let value = a
                .iter()
                .zip(&b)
                .zip(&right)
                .map(|((a, b), right)| a * b / right);
            let value: Vec<f64> = value.collect();
            let words = Did::TwoSlips(one.words.clone(), other.words.clone());
            (one != other && is_far(&a) && is_far(&b) && is_far(&value)).then_some((value, words))
        }
        5 => {
            let factor = 0.2 * 25.0_f64.powf(chance.part());
            let value: Vec<f64> = right.iter().map(|it| it * factor).collect();
            is_far(&value).then_some((value, Did::Nonsense))
        }
        _ => {
            let behind = replay.behind(symbol).ok()?;
            let names: Vec<SymbolId> = (behind.iter())
                .flat_map(|it| replay.reads(*it))
                .filter(|it| instead.value(*it).is_none())
                .collect();
            let name = *names.get(chance.below(names.len().max(1)))?;
            let factor = [1.5, 3.0, 0.7, 1.2, 5.0, 0.3][chance.below(6)];
            let present = replay.present(name)?.rows.clone();
            let moved: Vec<f64> = present.iter().map(|it| it * factor).collect();
            let other = instead.clone().with(name, replay.numbers(name, &moved)?);
            let value = replay.value(symbol, &other).ok()?.rows;
            is_far(&value).then_some((value, Did::Outside))
        }
    }
}

/// 20,000 students at a question; `STUDENTS` is how many papers of six questions that are.
#[test]
#[ignore = "takes a minute in release"]
#[allow(clippy::print_stdout, reason = "the figures are what it is run for")]
fn slips_are_named_rightly_and_hardly_ever_falsely() {
    let count = std::env::var("STUDENTS").map_or(20_000, |it| it.parse().unwrap());
    let counts = simulate(count, 1);
    let share = |part: usize, of: usize| part as f64 / of.max(1) as f64;
    println!("{counts:#?}");
    println!(
        "named rightly {:.1} %, falsely {:.2} % of wrong and {:.2} % of named, nonsense {:.2} %, \
         outside {:.2} %, honest met {:.3} %",
        100.0 * share(counts.single_named, counts.single),
        100.0 * share(counts.named_falsely, counts.wrong),
        100.0 * share(counts.named_falsely, counts.named),
        100.0 * share(counts.nonsense_named, counts.nonsense),
        100.0 * share(counts.outside_named, counts.outside),
        100.0 * share(counts.honest_met, counts.honest),
    );
    assert!(share(counts.named_falsely, counts.wrong) < 0.01);
    assert!(share(counts.nonsense_named, counts.nonsense) < 0.01);
    assert!(share(counts.single_named, counts.single) >= 0.75);
    assert!(share(counts.honest_met, counts.honest) <= 0.002);
}

/// How long a list takes: 1,000 students at 9 parts.
#[test]
#[ignore = "a measurement"]
#[allow(clippy::print_stdout, reason = "the figures are what it is run for")]
fn a_thousand_students_are_marked() {
    let printed = Paper::test_3().printed(&[0, 1, 2, 3]);
    let text = file("answers.csv");
    let (head, rows) = text.split_once('\n').unwrap();
    let rows: Vec<&str> = rows.lines().collect();
    let list: Vec<String> = (0..1000)
        .map(|at| {
            let (_, behind) = rows[at % rows.len()].split_once(',').unwrap();
            format!("a{at},{behind}")
        })
        .collect();
    let list = format!("{head}\n{}\n", list.join("\n"));
    let start = std::time::Instant::now();
    let read = list::read("answers.csv", list.as_bytes(), &printed.columns());
    let found = setsquare::papers::marking::judge::mark(&read, &printed);
    println!("{} students in {:?}", found.students.len(), start.elapsed());
    assert_eq!(found.students.len(), 1000);
}
