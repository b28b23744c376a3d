//! What a list says of the paper: how hard its parts were, how totals are spread, which slips
//! were met.
//!
//! In goes a list that was marked; out come numbers. While marks are open, means go from the
//! marks that were given to those with all open ones given: counted as none they would make hard
//! what nobody has read yet, left out they would make all easy.

use std::collections::BTreeMap;

use super::marked::{Answer, Marked, PartOf, Student, Verdict};
use crate::statistics::spread::{correlation, mean, standard_deviation_of_mean};

/// Smaller groups are not told apart.
pub const LEAST_GROUP: usize = 5;

/// A correlation of fewer students says nothing.
pub const LEAST_CORRELATED: usize = 20;

/// So many shared answers are told.
const MOST_SHARED: usize = 20;

/// Answers that differ by no more than this part are one.
const SAME: f64 = 0.005;

/// What a list says of the paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Summary {
    /// How many students there are.
    pub students: usize,
    /// The marks of the paper.
    pub of: u32,
    /// The mean of the totals.
    pub mean: Ends,
    /// Half of the students have this or less.
    pub median: Ends,
    /// The parts in order.
    pub parts: Vec<PartSummary>,
    /// The versions, where several can be told apart.
    pub versions: Vec<VersionSummary>,
    /// Versions that differ by more than two standard errors, by their places in `versions`; none
    /// while marks are open.
    pub differ: Vec<(usize, usize)>,
    /// How many students have how many tenths of the marks; full marks count to the last.
    pub tenths: [Tenth; 10],
    /// How often each kind of slip was met, the most frequent first.
    pub slips: Vec<(&'static str, usize)>,
    /// Answers of several students that nothing explains, the most frequent first.
    pub shared: Vec<Shared>,
}

/// A number that open marks leave between two ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ends {
    /// With the marks that were given.
    pub from: f64,
    /// With all open ones too.
    pub to: f64,
}

/// A part of the paper.
#[derive(Debug, Clone, PartialEq)]
pub struct PartSummary {
    /// How many students have all marks, some, and none, of those with nothing open.
    pub full: usize,
    /// See `full`.
    pub some: usize,
    /// See `full`.
    pub none: usize,
    /// Those with open marks.
    pub open: usize,
    /// The mean.
    pub mean: Ends,
    /// The mean as a part of the marks; 1 is easy.
    pub difficulty: Ends,
    /// The correlation with the rest of the total; none of few students, where more than a tenth
    /// is open, or where all have the same.
    pub discrimination: Option<f64>,
}

/// Versions that are told together: one, or small ones.
#[derive(Debug, Clone, PartialEq)]
pub struct VersionSummary {
    /// Their numbers.
    pub versions: Vec<u16>,
    /// How many students had them.
    pub students: usize,
    /// The mean of their totals.
    pub mean: Ends,
    /// The standard error of the mean; none while marks are open.
    pub error: Option<f64>,
}

/// How many students are in a tenth of the marks.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Tenth {
    /// By the marks that were given.
    pub given: usize,
    /// With all open ones too.
    pub with_open: usize,
}

/// An answer of several students that nothing explains.
#[derive(Debug, Clone, PartialEq)]
pub struct Shared {
    /// The part, by its place.
    pub part: usize,
    /// The version.
    pub version: u16,
    /// As the first of them wrote it.
    pub written: Box<str>,
    /// How many wrote it.
    pub count: usize,
}

/// What a list says of the paper.
pub fn summary(marked: &Marked) -> Summary {
    let students = &marked.students;
    let all: Vec<&Student> = students.iter().collect();
    let groups = groups(students);
    let versions: Vec<VersionSummary> = groups.iter().map(version).collect();
    Summary {
        students: students.len(),
        of: marked.parts.iter().map(|part| part.of).sum(),
        mean: totals(&all, mean),
        median: totals(&all, median),
        parts: (marked.parts.iter().enumerate())
            .map(|(at, of)| part(students, at, of))
            .collect(),
        differ: differ(&versions),
        versions,
        tenths: tenths(marked),
        slips: slips(students),
        shared: shared(marked),
    }
}

fn totals(students: &[&Student], told: fn(&[f64]) -> f64) -> Ends {
    let given: Vec<f64> = students.iter().map(|it| f64::from(it.marks())).collect();
    let all = students.iter().map(|it| f64::from(it.marks() + it.open()));
    let all: Vec<f64> = all.collect();
    Ends {
        from: told(&given),
        to: told(&all),
    }
}

/// The number in the middle, or half of the sum of both; of nothing, NaN.
fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let at = |at: usize| sorted.get(at).copied().unwrap_or(f64::NAN);
    match sorted.len() {
        count if count % 2 == 1 => at(count / 2),
        count => (at((count / 2).wrapping_sub(1)) + at(count / 2)) / 2.0,
    }
}

fn part(students: &[Student], at: usize, of: &PartOf) -> PartSummary {
    let answers: Vec<(&Student, &Answer)> = (students.iter())
        .filter_map(|student| Some((student, student.answers.get(at)?)))
        .collect();
    let closed: Vec<&(&Student, &Answer)> = answers.iter().filter(|(_, it)| it.open == 0).collect();
    let count = |is: &dyn Fn(u32) -> bool| closed.iter().filter(|(_, it)| is(it.marks)).count();
    let given: Vec<f64> = answers.iter().map(|(_, it)| f64::from(it.marks)).collect();
    let all = answers.iter().map(|(_, it)| f64::from(it.marks + it.open));
    let all: Vec<f64> = all.collect();
    let marks = Ends {
        from: mean(&given),
        to: mean(&all),
    };
    let open = answers.len() - closed.len();
    let is_told = answers.len() >= LEAST_CORRELATED && 10 * open <= answers.len();
    let own: Vec<f64> = closed.iter().map(|(_, it)| f64::from(it.marks)).collect();
    let rest = closed
        .iter()
        .map(|(student, it)| f64::from(student.marks() - it.marks));
    let rest: Vec<f64> = rest.collect();
    PartSummary {
        full: count(&|marks| marks == of.of),
        some: count(&|marks| 0 < marks && marks < of.of),
        none: count(&|marks| marks == 0 && of.of > 0),
        open,
        mean: marks,
        difficulty: Ends {
            from: marks.from / f64::from(of.of),
            to: marks.to / f64::from(of.of),
        },
        discrimination: is_told.then(|| correlation(&own, &rest)).flatten(),
    }
}

/// The students by version. Small groups are told together, with the next larger one where they
/// are still few: a mean of four would nearly be their marks. Nothing where one group is left.
fn groups(students: &[Student]) -> Vec<(Vec<u16>, Vec<&Student>)> {
    let mut by_version: BTreeMap<u16, Vec<&Student>> = BTreeMap::new();
    for student in students {
        by_version.entry(student.version).or_default().push(student);
    }
    let mut by_size: Vec<(Vec<u16>, Vec<&Student>)> = (by_version.into_iter())
        .map(|(version, students)| (vec![version], students))
        .collect();
    by_size.sort_by_key(|(_, students)| students.len());
    let mut few: (Vec<u16>, Vec<&Student>) = Default::default();
    let mut groups = Vec::new();
    for (versions, students) in by_size {
        let is_short = !few.1.is_empty() && few.1.len() < LEAST_GROUP;
        if students.len() < LEAST_GROUP || is_short {
            few.0.extend(versions);
            few.1.extend(students);
        } else {
            groups.push((versions, students));
        }
    }
    if !few.1.is_empty() {
        few.0.sort_unstable();
        groups.push(few);
    }
    if groups.len() < 2 {
        return Vec::new();
    }
    groups.sort_by(|(one, _), (other, _)| one.cmp(other));
    groups
}

fn version((versions, students): &(Vec<u16>, Vec<&Student>)) -> VersionSummary {
    let is_closed = students.iter().all(|it| it.open() == 0);
    let given: Vec<f64> = students.iter().map(|it| f64::from(it.marks())).collect();
    VersionSummary {
        versions: versions.clone(),
        students: students.len(),
        mean: totals(students, mean),
        error: is_closed.then(|| standard_deviation_of_mean(&given)),
    }
}

/// The versions whose means differ by more than two standard errors of the difference.
fn differ(versions: &[VersionSummary]) -> Vec<(usize, usize)> {
    let Some(errors) = versions
        .iter()
        .map(|it| it.error)
        .collect::<Option<Vec<f64>>>()
    else {
        return Vec::new();
    };
    let mut found = Vec::new();
    for (one, (a, error)) in versions.iter().zip(&errors).enumerate() {
        for (other, (b, beside)) in versions.iter().zip(&errors).enumerate().skip(one + 1) {
            if (a.mean.from - b.mean.from).abs() > 2.0 * error.hypot(*beside) {
                found.push((one, other));
            }
        }
    }
    found
}

fn tenths(marked: &Marked) -> [Tenth; 10] {
    let of: u32 = marked.parts.iter().map(|part| part.of).sum();
    let mut found = [Tenth::default(); 10];
    let place = |marks: u32| (10 * marks / of.max(1)).min(9) as usize;
    for student in &marked.students {
        found[place(student.marks())].given += 1;
        found[place(student.marks() + student.open())].with_open += 1;
    }
    found
}

fn slips(students: &[Student]) -> Vec<(&'static str, usize)> {
    let mut counts: BTreeMap<&'static str, usize> = BTreeMap::new();
    for answer in students.iter().flat_map(|student| &student.answers) {
        // A slip that is met again in the same problem is one.
        if let (Verdict::Slip, Some(slip)) = (answer.verdict, &answer.slip) {
            *counts.entry(slip.class).or_default() += 1;
        }
    }
    let mut counts: Vec<(&'static str, usize)> = counts.into_iter().collect();
    counts.sort_by(|(one, a), (other, b)| b.cmp(a).then_with(|| one.cmp(other)));
    counts
}

/// Wrong answers that are the same within half a per cent: a slip that nobody looks for, or a
/// mistake in the worksheet.
fn shared(marked: &Marked) -> Vec<Shared> {
    let mut by_part: BTreeMap<(usize, u16), Vec<&Answer>> = BTreeMap::new();
    for student in &marked.students {
        for (part, answer) in student.answers.iter().enumerate() {
            if answer.verdict == Verdict::Wrong && !answer.si.is_empty() {
                by_part
                    .entry((part, student.version))
                    .or_default()
                    .push(answer);
            }
        }
    }
    let mut found = Vec::new();
    for ((part, version), mut answers) in by_part {
        answers.sort_by(|a, b| first(a).total_cmp(&first(b)));
        let mut taken = vec![false; answers.len()];
        for (at, one) in answers.iter().enumerate() {
            if taken.get(at) == Some(&true) {
                continue;
            }
            let mut count = 1;
            for (other, taken) in answers.iter().zip(&mut taken).skip(at + 1) {
                if first(other) - first(one) > SAME * largest(one).max(largest(other)) {
                    break;
                }
                if !*taken && is_same(one, other) {
                    *taken = true;
                    count += 1;
                }
            }
            if count > 1 {
                found.push(Shared {
                    part,
                    version,
                    written: one.written.clone(),
                    count,
                });
            }
        }
    }
    found.sort_by_key(|it| std::cmp::Reverse(it.count));
    found.truncate(MOST_SHARED);
    found
}

fn first(answer: &Answer) -> f64 {
    answer.si.first().copied().unwrap_or(0.0)
}

fn largest(answer: &Answer) -> f64 {
    answer
        .si
        .iter()
        .fold(0.0, |most, value| most.max(value.abs()))
}

fn is_same(one: &Answer, other: &Answer) -> bool {
    let room = SAME * largest(one).max(largest(other));
    let mut pairs = one.si.iter().zip(&other.si);
    one.si.len() == other.si.len() && pairs.all(|(a, b)| (a - b).abs() <= room)
}

#[cfg(test)]
mod tests;
