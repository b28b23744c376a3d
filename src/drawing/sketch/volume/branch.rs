//! A branch: one stream that parts into several, or several that join.
//!
//! The main runs away from the section that is alone on its side. What goes on along it leaves
//! from its end, all else leaves its walls.

use std::f64::consts::PI;

use super::super::Volume;
use super::super::pens::OUTLINE;
use super::super::sheet::{Layer, Sheet};
use super::super::way::{Way, middle};
use super::{OUTSIDE, Passage, Vessel, out, turn, way, widths};
use crate::drawing::ink::Point;

/// Within this angle of the main a branch leaves from its end; beyond the other it has no room.
const AHEAD: f64 = 50.0 / 180.0 * PI;
const BACK: f64 = 150.0 / 180.0 * PI;

/// How long the main is before its branches, and a branch from the wall.
const BEFORE: f64 = 68.0;
const LONG: f64 = 62.0;

/// How far branches are apart.
const APART: f64 = 24.0;

/// How long the main becomes wider or narrower at its end.
const TAPER: f64 = 38.0;

/// How far a closed end is behind the last branch.
const CLOSED: f64 = 16.0;

/// A branch of the main.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Arm {
    cut: usize,
    /// The way out, and by how much it is turned from the main.
    out: Way,
    by: f64,
    width: f64,
    /// The middle of its root: how far along the main, or aside of it at the end.
    root: f64,
}

/// The main with its branches.
#[derive(Debug, Clone, PartialEq)]
struct Main {
    cut: usize,
    along: Way,
    width: f64,
    long: f64,
    /// On the left and on the right, in the order along the main.
    sides: [Vec<Arm>; 2],
    /// From the left to the right.
    ends: Vec<Arm>,
}

/// Draws a branch; nothing where no section is alone on its side.
pub(super) fn draw(volume: &Volume, sheet: &mut Sheet) -> Option<Vessel> {
    let main = Main::new(volume)?;
    sheet.begin();
    sheet.lines(Layer::Body, main.outline(0.0), OUTLINE);
    let start = Point::new(0.0, 0.0);
    let mut gates = vec![None; volume.cuts.len()];
    let passage = |cut: usize, at: Point, out: Way, width: f64| Passage {
        at,
        way: if volume.cuts[cut].is_inlet {
            out.back()
        } else {
            out
        },
        out,
        half: width / 2.0,
        reach: width / 2.0 + OUTSIDE,
        inside: LONG,
        is_in_side: false,
    };
    gates[main.cut] = Some(passage(main.cut, start, main.along.back(), main.width));
    for (arm, root) in main.arms() {
        let at = arm.out.from(root, LONG);
        gates[arm.cut] = Some(passage(arm.cut, at, arm.out, arm.width));
    }
    let boundary: Vec<Point> = main.outline(OUTSIDE).into_iter().flatten().collect();
    Some(Vessel {
        gates: gates.into_iter().collect::<Option<Vec<_>>>()?,
        boundary: vec![boundary],
        hearts: [0.7, 0.5, 0.85]
            .map(|part| main.along.from(start, part * main.long))
            .to_vec(),
        ..Vessel::default()
    })
}

impl Main {
    fn new(volume: &Volume) -> Option<Self> {
        let cuts = &volume.cuts;
        let alone = |is_inlet: bool| {
            let mut own = (0..cuts.len()).filter(|it| cuts[*it].is_inlet == is_inlet);
            own.next().filter(|_| own.next().is_none())
        };
        let cut = alone(true).or_else(|| alone(false))?;
        let along = out(&cuts[cut], way(&cuts[cut])?).back();
        let widths = widths(cuts);
        let mut main = Self {
            cut,
            along,
            width: widths[cut],
            long: 0.0,
            sides: [Vec::new(), Vec::new()],
            ends: Vec::new(),
        };
        for other in (0..cuts.len()).filter(|it| *it != cut) {
            let out = out(&cuts[other], way(&cuts[other])?);
            let by = turn(along, out);
            let arm = Arm {
                cut: other,
                out,
                by,
                width: widths[other],
                root: 0.0,
            };
            match by.abs() {
                by if by > BACK => return None,
                by if by <= AHEAD => main.ends.push(arm),
                _ => main.sides[usize::from(arm.by < 0.0)].push(arm),
            }
        }
        main.place();
        Some(main)
    }

    /// Where its branches leave.
    fn place(&mut self) {
        let mut longest: f64 = BEFORE;
        for side in &mut self.sides {
            let mut from = BEFORE;
            for arm in side {
                let root = arm.width / arm.by.sin().abs();
                arm.root = from + root / 2.0;
                from += root + APART;
            }
            longest = longest.max(from - APART);
        }
        self.ends.sort_by(|one, other| other.by.total_cmp(&one.by));
        let root = |arm: &Arm| arm.width / arm.by.cos();
        let all = self.ends.iter().map(root).sum::<f64>();
        let gaps = APART * self.ends.len().saturating_sub(1) as f64;
        let mut from = (all + gaps) / 2.0;
        for arm in &mut self.ends {
            arm.root = from - root(arm) / 2.0;
            from -= root(arm) + APART;
        }
        self.long = longest
            + if self.ends.is_empty() {
                CLOSED
            } else {
                TAPER + 12.0
            };
    }

    /// So far along the main, and to the left of it.
    fn at(&self, along: f64, aside: f64) -> Point {
        self.along
            .left()
            .from(self.along.from(Point::new(0.0, 0.0), along), aside)
    }

    /// All branches with the middles of their roots.
    fn arms(&self) -> Vec<(Arm, Point)> {
        let [left, right] = &self.sides;
        let half = self.width / 2.0;
        let beside = |sign: f64| move |arm: &Arm| (*arm, self.at(arm.root, sign * half));
        let mut all: Vec<(Arm, Point)> = left.iter().map(beside(1.0)).collect();
        all.extend(right.iter().map(beside(-1.0)));
        all.extend(
            self.ends
                .iter()
                .map(|arm| (*arm, self.at(self.long, arm.root))),
        );
        all
    }

    /// The line so far outside of the walls, in pieces from cut to cut: along the left, around the
    /// end, and back along the right.
    fn outline(&self, more: f64) -> Vec<Vec<Point>> {
        let half = self.width / 2.0 + more;
        let mut pieces = vec![vec![self.at(0.0, half)]];
        for arm in &self.sides[0] {
            let (near, far) = self.roots(arm, more);
            let [first, last] = ends(arm, self.at(arm.root, self.width / 2.0), more);
            add(&mut pieces, [self.at(near, half), first]);
            pieces.push(vec![last, self.at(far, half)]);
        }
        self.end(&mut pieces, more);
        for arm in self.sides[1].iter().rev() {
            let (near, far) = self.roots(arm, more);
            let [first, last] = ends(arm, self.at(arm.root, -self.width / 2.0), more);
            add(&mut pieces, [self.at(far, -half), first]);
            pieces.push(vec![last, self.at(near, -half)]);
        }
        add(&mut pieces, [self.at(0.0, -half)]);
        pieces
    }

    /// From where to where a branch takes the line beside the wall.
    fn roots(&self, arm: &Arm, more: f64) -> (f64, f64) {
        let sine = arm.by.sin().abs();
        let middle = arm.root + more * arm.by.cos() / sine;
        let half = (arm.width / 2.0 + more) / sine;
        (middle - half, middle + half)
    }

    fn end(&self, pieces: &mut Vec<Vec<Point>>, more: f64) {
        let half = self.width / 2.0 + more;
        if self.ends.is_empty() {
            let corners = [half, -half].map(|aside| self.at(self.long + more, aside));
            add(pieces, corners);
            return;
        }
        let edge = |arm: &Arm, sign: f64| arm.root + sign * (arm.width / 2.0 + more) / arm.by.cos();
        add(pieces, [self.at(self.long - TAPER, half)]);
        for (number, arm) in self.ends.iter().enumerate() {
            if number == 0 {
                add(pieces, [self.at(self.long, edge(arm, 1.0))]);
            }
            let [first, last] = ends(arm, self.at(self.long, arm.root), more);
            add(pieces, [first]);
            pieces.push(vec![last]);
            let Some(next) = self.ends.get(number + 1) else {
                add(pieces, [self.at(self.long, edge(arm, -1.0))]);
                continue;
            };
            // Between two branches it is a wall, or where their edges meet.
            let face = |arm: &Arm, sign: f64| edge(arm, sign) + more * arm.by.tan();
            let (one, other) = (face(arm, -1.0), face(next, 1.0));
            let corners = [one, other].map(|aside| self.at(self.long + more, aside));
            match one >= other {
                true => add(pieces, corners),
                false => add(pieces, [middle(corners[0], corners[1])]),
            }
        }
        add(pieces, [self.at(self.long - TAPER, -half)]);
    }
}

/// Both ends of the cut of a branch, the left one of its way first.
fn ends(arm: &Arm, root: Point, more: f64) -> [Point; 2] {
    let at = arm.out.from(root, LONG);
    [1.0, -1.0].map(|side| arm.out.left().from(at, side * (arm.width / 2.0 + more)))
}

fn add(pieces: &mut [Vec<Point>], points: impl IntoIterator<Item = Point>) {
    if let Some(last) = pieces.last_mut() {
        last.extend(points);
    }
}
