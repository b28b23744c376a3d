use proptest::prelude::*;

use super::super::example;
use super::*;

/// A list with one mark a cell: `marks` of 10 and open marks, by student and part.
fn list(rows: &[(u16, Vec<(u32, u32)>)], of: u32) -> Marked {
    let mut marked = example::marked();
    let (part, answer) = (
        marked.parts[0].clone(),
        marked.students[0].answers[0].clone(),
    );
    let count = rows.first().map_or(0, |(_, cells)| cells.len());
    marked.parts = vec![PartOf { of, ..part }; count];
    let students = rows.iter().enumerate();
    marked.students = students
        .map(|(at, (version, cells))| Student {
            id: format!("s{at}").into(),
            version: *version,
            line: at + 2,
            answers: (cells.iter())
                .map(|(marks, open)| Answer {
                    marks: *marks,
                    open: *open,
                    ..answer.clone()
                })
                .collect(),
        })
        .collect();
    marked
}

#[test]
fn the_example_has_its_table() {
    let found = summary(&example::marked());
    let told: Vec<String> = (found.parts.iter())
        .map(|it| {
            format!(
                "{} {} {} {} {:.2} {:.2} {:.2} {:.2}",
                it.full,
                it.some,
                it.none,
                it.open,
                it.mean.from,
                it.mean.to,
                it.difficulty.from,
                it.difficulty.to
            )
        })
        .collect();
    let expected = [
        "11 2 1 3 1.41 1.65 0.71 0.82",
        "11 2 0 4 3.53 4.53 0.71 0.91",
        "10 3 0 4 2.76 3.47 0.69 0.87",
        "9 4 0 4 2.65 3.47 0.66 0.87",
        "14 1 0 2 1.71 1.88 0.85 0.94",
        "15 0 0 2 1.76 1.94 0.88 0.97",
        "14 0 0 3 2.47 2.88 0.82 0.96",
        "15 0 1 1 0.88 0.94 0.88 0.94",
        "13 2 0 2 2.53 2.82 0.84 0.94",
    ];
    assert_eq!(told, expected);
    assert_eq!((found.median.from, found.median.to), (21.0, 25.0));
    assert_eq!(
        format!("{:.1} {:.1}", found.mean.from, found.mean.to),
        "19.7 23.6"
    );
    assert_eq!((found.students, found.of), (17, 26));
    // Seventeen are too few, and all had one version.
    assert!(found.parts.iter().all(|it| it.discrimination.is_none()));
    assert!(found.versions.is_empty() && found.differ.is_empty());
    let slips = [
        ("factor", 2),
        ("answer", 1),
        ("diameter", 1),
        ("left out", 1),
        ("prefix", 1),
        ("pressure", 1),
        ("sign", 1),
    ];
    assert_eq!(found.slips, slips);
    let given = found.tenths.map(|it| it.given);
    assert_eq!(given, [1, 0, 1, 1, 0, 0, 0, 4, 3, 7]);
    let with_open = found.tenths.map(|it| it.with_open);
    assert_eq!(with_open, [0, 0, 0, 0, 0, 1, 0, 1, 4, 11]);
}

/// Twenty-two pairs of small whole numbers; the coefficient is found from whole sums, which are
/// exact, and so by another way than from deviations:
/// (n Σxy − Σx Σy)/√((n Σx² − (Σx)²)(n Σy² − (Σy)²)).
#[test]
fn discrimination_is_the_correlation_with_the_rest() {
    let rows: Vec<(u16, Vec<(u32, u32)>)> = (0..22_u32)
        .map(|at| (0, vec![(at % 4, 0), ((at * 7 + at % 4) % 10, 0)]))
        .collect();
    let x: Vec<i64> = rows
        .iter()
        .map(|(_, cells)| i64::from(cells[0].0))
        .collect();
    let y: Vec<i64> = rows
        .iter()
        .map(|(_, cells)| i64::from(cells[1].0))
        .collect();
    let n = 22_i64;
    let sum = |of: &dyn Fn(usize) -> i64| (0..22).map(of).sum::<i64>();
    let (sx, sy) = (sum(&|at| x[at]), sum(&|at| y[at]));
    let (sxy, sxx, syy) = (
        sum(&|at| x[at] * y[at]),
        sum(&|at| x[at] * x[at]),
        sum(&|at| y[at] * y[at]),
    );
    let (above, below) = (n * sxy - sx * sy, (n * sxx - sx * sx) * (n * syy - sy * sy));
    let expected = above as f64 / (below as f64).sqrt();
    let found = summary(&list(&rows, 10));
    for part in &found.parts {
        let r = part.discrimination.unwrap();
        assert!((r - expected).abs() < 1e-14, "{r} {expected}");
    }
    // Nineteen are too few.
    let few = summary(&list(&rows[..19], 10));
    assert_eq!(few.parts[0].discrimination, None);
    // Two of twenty-two may be open, three not.
    for (open, is_told) in [(2, true), (3, false)] {
        let mut rows = rows.clone();
        rows.iter_mut().take(open).for_each(|row| row.1[0] = (0, 1));
        let found = summary(&list(&rows, 10));
        assert_eq!(
            found.parts[0].discrimination.is_some(),
            is_told,
            "{open} open"
        );
        assert_eq!(found.parts[0].open, open);
    }
    // Where all have the same, nothing correlates.
    let same = vec![(0, vec![(3, 0), (4, 0)]); 30];
    assert_eq!(summary(&list(&same, 10)).parts[0].discrimination, None);
}

#[test]
fn small_versions_are_told_together_and_differences_once_nothing_is_open() {
    let group = |version: u16, marks: [u32; 2], count: usize| {
        (0..count).map(move |at| (version, vec![(marks[at % 2], 0)]))
    };
    let rows = |last: usize| -> Vec<_> {
        (group(0, [8, 9], 10).chain(group(1, [3, 4], 10)))
            .chain(group(2, [8, 9], last))
            .collect()
    };
    let found = summary(&list(&rows(10), 10));
    let versions: Vec<(&[u16], usize)> = (found.versions.iter())
        .map(|it| (it.versions.as_slice(), it.students))
        .collect();
    assert_eq!(versions, [(&[0][..], 10), (&[1], 10), (&[2], 10)]);
    assert_eq!(found.differ, [(0, 1), (1, 2)]);
    // Four of a version are told with the next larger one.
    let found = summary(&list(&rows(4), 10));
    let told: Vec<&[u16]> = found
        .versions
        .iter()
        .map(|it| it.versions.as_slice())
        .collect();
    assert_eq!(told, [&[0, 2][..], &[1]]);
    assert_eq!(found.versions[0].students, 14);
    let found = summary(&list(&rows(5), 10));
    assert_eq!(found.versions.len(), 3);
    // An open mark keeps back what would be said of differences.
    let mut open = rows(10);
    open[0].1[0] = (8, 1);
    assert!(summary(&list(&open, 10)).differ.is_empty());
    // Two versions, of which one is small, are one group.
    let two: Vec<_> = group(0, [8, 9], 10).chain(group(1, [3, 4], 4)).collect();
    assert!(summary(&list(&two, 10)).versions.is_empty());
}

#[test]
fn wrong_answers_of_several_are_told_with_how_often() {
    let mut marked = example::marked();
    let mut write = |row: usize, text: &str, si: &[f64], verdict: Verdict| {
        let answer = &mut marked.students[row].answers[0];
        (answer.written, answer.verdict) = (text.into(), verdict);
        answer.si = si.to_vec();
    };
    write(0, "31.7 m/s", &[31.7], Verdict::Wrong);
    write(1, "31.71", &[31.71], Verdict::Wrong);
    write(2, "32.5 m/s", &[32.5], Verdict::Wrong);
    write(3, "31.7 m/s", &[31.7], Verdict::Slip);
    write(4, "-31.7 m/s", &[-31.7], Verdict::Wrong);
    write(5, "(31.7, 2)", &[31.7, 2.0], Verdict::Wrong);
    write(6, "(31.7, 9)", &[31.7, 9.0], Verdict::Wrong);
    let found = summary(&marked).shared;
    let expected = Shared {
        part: 0,
        version: 0,
        written: "31.7 m/s".into(),
        count: 2,
    };
    assert_eq!(found, [expected]);
    // In another version it is another answer.
    marked.students[1].version = 1;
    assert!(summary(&marked).shared.is_empty());
}

#[test]
fn a_list_without_students_has_a_summary() {
    let mut marked = example::marked();
    marked.students.clear();
    let found = summary(&marked);
    assert!(found.mean.from.is_nan() && found.median.to.is_nan());
    assert_eq!(found.parts[0].full + found.parts[0].open, 0);
}

proptest! {
    /// Counts add up, ends are in order, and the order of the list changes nothing.
    #[test]
    fn numbers_agree_with_plain_counting(
        rows in prop::collection::vec(
            (0_u16..4, prop::collection::vec((0_u32..=10, 0_u32..3), 3)),
            1..60,
        ),
        turned in any::<prop::sample::Index>(),
    ) {
        let rows: Vec<(u16, Vec<(u32, u32)>)> = rows
            .into_iter()
            .map(|(version, cells)| {
                let cell = |(marks, open): (u32, u32)| (marks, open.min(10 - marks));
                (version, cells.into_iter().map(cell).collect())
            })
            .collect();
        let found = summary(&list(&rows, 10));
        let count = rows.len();
        for (at, part) in found.parts.iter().enumerate() {
            prop_assert_eq!(part.full + part.some + part.none + part.open, count);
            let sum: u32 = rows.iter().map(|(_, cells)| cells[at].0).sum();
            let open: u32 = rows.iter().map(|(_, cells)| cells[at].1).sum();
            prop_assert!((part.mean.from * count as f64 - f64::from(sum)).abs() < 1e-9);
            prop_assert!((part.mean.to * count as f64 - f64::from(sum + open)).abs() < 1e-9);
            prop_assert!((part.difficulty.to * 10.0 - part.mean.to).abs() < 1e-12);
        }
        let given: usize = found.tenths.iter().map(|it| it.given).sum();
        let with_open: usize = found.tenths.iter().map(|it| it.with_open).sum();
        prop_assert_eq!((given, with_open), (count, count));
        prop_assert!(found.median.from <= found.median.to && found.mean.to <= 30.0);
        // No group is small, and all are in one or none is told.
        let told: usize = found.versions.iter().map(|it| it.students).sum();
        prop_assert!(told == count || told == 0);
        prop_assert!(found.versions.iter().all(|it| it.students >= LEAST_GROUP));
        let mut other = rows.clone();
        other.rotate_left(turned.index(count));
        let mut again = summary(&list(&other, 10));
        // Shared answers quote the first student who wrote them; the others hang on nothing.
        again.shared.clone_from(&found.shared);
        let near = |a: Option<f64>, b: Option<f64>| match (a, b) {
            (Some(a), Some(b)) => (a - b).abs() < 1e-12,
            (a, b) => a.is_none() && b.is_none(),
        };
        for (one, other) in found.parts.iter().zip(&again.parts) {
            prop_assert!(near(one.discrimination, other.discrimination));
            prop_assert_eq!((one.full, one.some, one.mean), (other.full, other.some, other.mean));
        }
        prop_assert_eq!(found.median, again.median);
        prop_assert_eq!(found.tenths, again.tenths);
        prop_assert_eq!(found.differ, again.differ);
    }
}
