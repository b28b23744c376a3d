//! Versions of a problem: the same worksheet with other data.
//!
//! A version is a text: the worksheet with the literals of some data exchanged, which is compiled
//! as any other. Candidates have numbers from 0; what one takes hangs on the series, the title, the
//! names and its number alone. Version `k` is the first candidate after that of version `k - 1` that
//! is accepted, so that no version depends on how many are asked for.

use std::fmt::Write as _;
use std::sync::Arc;

use rayon::prelude::*;
use rustc_hash::{FxHashMap, FxHashSet};

use crate::diagnostic::{Code, Diagnostic};
use crate::resolve::SymbolId;
use crate::text::{Beside, Hash, Source};
use crate::worksheet::{self, Placed, Statement, Varied, Versions, Worksheet};

/// So many candidates are looked at.
pub const MOST_CANDIDATES: u32 = 2000;

/// So many candidates are compiled side by side, before the next version is chosen from them.
const AT_ONCE: u32 = 32;

/// A problem of a worksheet, as its versions are looked for.
#[derive(Debug)]
pub struct Search<'a> {
    /// The worksheet that the candidates are made from: as it was written, but that numbers of the
    /// engine and claims, which are those of version 0, are asks.
    base: Arc<Worksheet>,
    beside: &'a Beside,
    problem: usize,
    series: &'a str,
}

/// A version that was accepted.
#[derive(Debug)]
pub struct Version {
    /// Its number; 0 is the worksheet as it was written.
    pub number: usize,
    /// The candidate that it is.
    pub candidate: u32,
    /// What the data are that vary, as it is written.
    pub data: Data,
    /// The whole worksheet of the version.
    pub worksheet: Arc<Worksheet>,
}

/// Versions that were found, and why there are no more.
#[derive(Debug)]
pub struct Found {
    /// In order, from version 1.
    pub versions: Vec<Version>,
    /// So many candidates were looked at.
    pub tried: u32,
    /// What stood in the way of the others, most often first.
    pub obstacles: Vec<(Obstacle, usize)>,
}

/// Why a candidate is no version.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Obstacle {
    /// A check or a condition does not hold.
    Broken(String),
    /// It does not compile: the code, and its message.
    Error(String),
    /// An answer has another sign.
    Direction(String),
    /// A formula takes another branch.
    Branch(String),
    /// Rounding on the way moves an answer by more than its tolerance, which it does not in version 0.
    Rounding(String),
    /// A sheet copied from another version has more than half of the marks.
    Copied,
    /// Its data came before.
    Again,
}

/// Data that vary, each as it is written.
pub type Data = Vec<(SymbolId, String)>;

/// What a datum is to be in a candidate: `choice` of so many, counted from 0.
pub fn choice(series: &str, title: &str, name: &str, candidate: u32, count: usize) -> usize {
    let text = format!("{series}\n{title}\n{name}\n{candidate}");
    let count = u64::try_from(count.max(1)).unwrap_or(1);
    usize::try_from(Hash::of(text.as_bytes()).seed() % count).unwrap_or(0)
}

impl<'a> Search<'a> {
    /// Versions of a problem of a worksheet; `None` where it does not say what varies.
    pub fn new(
        worksheet: &Worksheet,
        beside: &'a Beside,
        problem: usize,
        series: &'a str,
    ) -> Option<Self> {
        let placed = worksheet.problems.get(problem)?;
        let versions = placed.problem.versions.as_ref()?;
        if versions.varied.is_empty() {
            return None;
        }
        let claims = (versions.claims.iter())
            .map(|(place, ask)| (placed.span(*place), ask.clone()))
            .collect();
        let text = worksheet::asking(worksheet, claims);
        let source = Source::new(worksheet.source.name(), text);
        Some(Self {
            base: Arc::new(worksheet::compile_beside(source, beside)),
            beside,
            problem,
            series,
        })
    }

    fn placed(&self) -> Option<&Placed> {
        self.base.problems.get(self.problem)
    }

    fn versions(&self) -> Option<(&Placed, &Versions)> {
        let placed = self.placed()?;
        Some((placed, placed.problem.versions.as_ref()?))
    }

    /// What a candidate takes of each line.
    fn choices(&self, placed: &Placed, varied: &[Varied], candidate: u32) -> Vec<usize> {
        let title = placed.problem.title.as_deref();
        let title = title.unwrap_or(self.base.front.title.as_deref().unwrap_or(""));
        let of_line =
            |line: &Varied| choice(self.series, title, &line.name, candidate, line.count());
        varied.iter().map(of_line).collect()
    }

    /// The data of a candidate.
    pub fn data(&self, candidate: u32) -> Data {
        let Some((placed, versions)) = self.versions() else {
            return Vec::new();
        };
        let choices = self.choices(placed, &versions.varied, candidate);
        let lines = versions.varied.iter().zip(choices);
        let data = lines.flat_map(|(line, choice)| {
            line.data.iter().filter_map(move |datum| {
                let text = datum.choices.get(choice)?;
                Some((datum.symbol, text.clone()))
            })
        });
        data.collect()
    }

    /// The data of version 0.
    fn written(&self) -> Data {
        let Some((placed, versions)) = self.versions() else {
            return Vec::new();
        };
        let data = versions.varied.iter().flat_map(|line| &line.data);
        let written = data.map(|datum| {
            let text = datum.place.of(&placed.problem.text);
            (datum.symbol, text.to_owned())
        });
        written.collect()
    }

    /// The text of the worksheet with the data of a candidate.
    pub fn text(&self, candidate: u32) -> String {
        let text = self.base.source.text();
        let Some((placed, versions)) = self.versions() else {
            return text.to_owned();
        };
        let chosen: FxHashMap<SymbolId, String> = self.data(candidate).into_iter().collect();
        let mut edits: Vec<(usize, usize, &str)> = (versions.varied.iter())
            .flat_map(|line| &line.data)
            .filter_map(|datum| {
                let place = placed.span(datum.place);
                let text = chosen.get(&datum.symbol)?;
                Some((place.start as usize, place.end as usize, text.as_str()))
            })
            .collect();
        edits.sort_unstable();
        let mut out = String::with_capacity(text.len() + 32);
        let mut at = 0;
        for (start, end, chosen) in edits {
            out.push_str(text.get(at..start).unwrap_or(""));
            out.push_str(chosen);
            at = end;
        }
        out.push_str(text.get(at..).unwrap_or(""));
        out
    }

    /// Compiles a candidate.
    pub fn compile(&self, candidate: u32) -> Worksheet {
        let source = Source::new(self.base.source.name(), self.text(candidate));
        worksheet::compile_beside(source, self.beside)
    }

    /// Looks for so many versions. `refuse` says what else stands in the way of a candidate beside
    /// those before it, version 0 first.
    pub fn find(
        &self,
        count: usize,
        refuse: impl Fn(&Arc<Worksheet>, &[&Arc<Worksheet>]) -> Option<Obstacle>,
    ) -> Found {
        let mut found = Found {
            versions: Vec::new(),
            tried: 0,
            obstacles: Vec::new(),
        };
        let mut stood: FxHashMap<Obstacle, usize> = FxHashMap::default();
        let mut seen: FxHashSet<Data> = FxHashSet::default();
        seen.insert(self.written());
        while found.versions.len() < count && found.tried < MOST_CANDIDATES {
            let next = found.tried..(found.tried + AT_ONCE).min(MOST_CANDIDATES);
            let mut batch: Vec<(u32, Data, bool)> = Vec::new();
            for candidate in next {
                let data = self.data(candidate);
                let is_new = seen.insert(data.clone());
                batch.push((candidate, data, is_new));
            }
            // What a candidate is hangs on itself alone; what is accepted is decided in order.
            let compiled: Vec<Option<Result<Arc<Worksheet>, Obstacle>>> = (batch.par_iter())
                .map(|(candidate, _, is_new)| is_new.then(|| self.sound(*candidate)))
                .collect();
            for ((candidate, data, _), compiled) in batch.into_iter().zip(compiled) {
                if found.versions.len() == count {
                    break;
                }
                found.tried = candidate + 1;
                let accepted = match compiled {
                    None => Err(Obstacle::Again),
                    Some(sound) => sound.and_then(|worksheet| {
                        let before = found.versions.iter().map(|it| &it.worksheet);
                        let before: Vec<&Arc<Worksheet>> =
                            std::iter::once(&self.base).chain(before).collect();
                        match refuse(&worksheet, &before) {
                            Some(obstacle) => Err(obstacle),
                            None => Ok(worksheet),
                        }
                    }),
                };
                match accepted {
                    Ok(worksheet) => found.versions.push(Version {
                        number: found.versions.len() + 1,
                        candidate,
                        data,
                        worksheet,
                    }),
                    Err(obstacle) => *stood.entry(obstacle).or_default() += 1,
                }
            }
        }
        found.obstacles = stood.into_iter().collect();
        (found.obstacles).sort_by(|(one, a), (other, b)| b.cmp(a).then_with(|| one.cmp(other)));
        found
    }

    /// A candidate that is one by itself.
    fn sound(&self, candidate: u32) -> Result<Arc<Worksheet>, Obstacle> {
        let worksheet = Arc::new(self.compile(candidate));
        let (Some(base), Some(own)) = (self.placed(), worksheet.problems.get(self.problem)) else {
            return Err(Obstacle::Error("it has no such problem".to_owned()));
        };
        accepts(own, base)?;
        Ok(worksheet)
    }

    /// What is said where not all versions were found (P10).
    pub fn refusal(&self, found: &Found, wanted: usize) -> Option<Diagnostic> {
        if found.versions.len() >= wanted {
            return None;
        }
        let (placed, _) = self.versions()?;
        let lines = placed.problem.statements();
        let mut lines = lines.filter(|line| line.is_of_versions);
        let place = lines.next().map(|line| placed.span(line.span));
        let mut message = format!(
            "{} of {wanted} versions {} found in {} tries",
            found.versions.len(),
            if found.versions.len() == 1 {
                "was"
            } else {
                "were"
            },
            found.tried
        );
        for (at, (obstacle, count)) in found.obstacles.iter().take(MOST_TOLD).enumerate() {
            let before = if at == 0 { ": " } else { ", " };
            let _ = write!(message, "{before}{}", told(obstacle, *count));
        }
        let is_copied = |(it, _): &(Obstacle, usize)| *it == Obstacle::Copied;
        let help = match found.obstacles.iter().any(is_copied) {
            true => "wider ranges; a datum that varies in the formulas with most of the marks",
            false => "wider ranges, or fewer conditions",
        };
        let place = place.unwrap_or_default();
        Some(Diagnostic::error(Code::P10, place, message).with_help(help))
    }
}

/// So many obstacles are told.
const MOST_TOLD: usize = 4;

fn told(obstacle: &Obstacle, count: usize) -> String {
    match obstacle {
        Obstacle::Broken(check) => format!("{count} broke `{check}`"),
        Obstacle::Error(message) => format!("{count} had an error ({message})"),
        Obstacle::Direction(name) => format!("in {count} `{name}` changed direction"),
        Obstacle::Branch(name) => format!("in {count} `{name}` changed branch"),
        Obstacle::Rounding(name) => {
            format!("in {count} rounding on the way moved `{name}` by more than its tolerance")
        }
        Obstacle::Copied => format!("in {count} a copied sheet had more than half of the marks"),
        Obstacle::Again => format!("{count} came again"),
    }
}

/// Whether a candidate is a version by itself, beside the worksheet as it was written: it compiles,
/// its checks and conditions hold, and its answers have the signs and its formulas the branches that
/// they have there, but for those that may change.
pub fn accepts(candidate: &Placed, written: &Placed) -> Result<(), Obstacle> {
    let (own, base) = (&candidate.problem, &written.problem);
    let text = |line: &Statement| line.span.of(&own.text).trim_end().to_owned();
    let broken = own.statements().find(|it| it.body.holds() == Some(false));
    if let Some(line) = broken {
        return Err(Obstacle::Broken(text(line)));
    }
    // A support that has to pull and cannot is a warning in a worksheet.
    let bars = |it: &&Diagnostic| it.is_error() || it.code == Code::B11;
    if let Some(found) = own.diagnostics.iter().find(bars) {
        return Err(Obstacle::Error(format!(
            "{}: {}",
            found.code, found.message
        )));
    }
    let (Some(versions), Some(first)) = (&own.versions, &base.versions) else {
        return Ok(());
    };
    let key = |symbol: SymbolId| own.symbols.symbol(symbol).key.to_string();
    let asked = own.question.iter().flat_map(|question| &question.asked);
    let before = base.question.iter().flat_map(|question| &question.asked);
    for (asked, before) in asked.zip(before) {
        let (Some(found), Some(wanted)) = (own.answered(asked), base.answered(before)) else {
            continue;
        };
        let sign = |value: &f64| (*value > 0.0, *value < 0.0);
        let is_turned = !found.si.iter().map(sign).eq(wanted.si.iter().map(sign));
        if is_turned && !versions.may_turn.contains(&asked.symbol) {
            return Err(Obstacle::Direction(key(asked.symbol)));
        }
    }
    let taken = |versions: &Versions| {
        let all = versions.branches.iter();
        let fixed = all.filter(|(symbol, _)| !versions.may_branch.contains(symbol));
        fixed.cloned().collect::<Vec<_>>()
    };
    let (taken, wanted) = (taken(versions), taken(first));
    if taken != wanted {
        let other = taken.iter().find(|it| !wanted.contains(it));
        let other = other.or_else(|| wanted.iter().find(|it| !taken.contains(it)));
        let symbol = other.map(|(symbol, _)| key(*symbol));
        return Err(Obstacle::Branch(symbol.unwrap_or_default()));
    }
    Ok(())
}
