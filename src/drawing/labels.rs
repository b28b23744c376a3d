//! Where labels go: each brings the places where it may stand, and what it likes less of each.
//!
//! A place costs what its label dislikes of it, and more for every line and label that it meets.
//! Each label takes its cheapest place, in their order; then each takes what is cheapest with the
//! others as they are, until nothing moves. Of equal places the first is taken, so that the same
//! drawing has the same labels.

use rustc_hash::FxHashMap;

use super::ink::{Area, Point};

/// What a line costs that a label meets.
const LINE: f64 = 14.0;

/// What another label costs that it meets, beside the area that they share.
const LABEL: f64 = 20.0;

/// How often labels are placed anew.
const ROUNDS: usize = 8;

/// How wide the squares are by which lines are found.
const SQUARE: f64 = 32.0;

/// A place where a label may stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Candidate {
    pub area: Area,
    /// What the label dislikes of it.
    pub cost: f64,
}

/// What labels must not touch.
#[derive(Debug, Default)]
pub struct Obstacles {
    lines: Vec<(Point, Point)>,
    /// The lines that come near a square.
    near: FxHashMap<(i32, i32), Vec<u32>>,
}

/// Where a label stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placed {
    /// Which of its candidates.
    pub candidate: usize,
    /// Whether it touches a line or another label there.
    pub touches: bool,
}

impl Obstacles {
    /// A line from point to point.
    pub fn line(&mut self, from: Point, to: Point) {
        let number = self.lines.len() as u32;
        self.lines.push((from, to));
        let around = Area {
            left: from.x.min(to.x),
            top: from.y.min(to.y),
            right: from.x.max(to.x),
            bottom: from.y.max(to.y),
        };
        for square in squares(&around) {
            self.near.entry(square).or_default().push(number);
        }
    }

    /// Everything in an area.
    pub fn area(&mut self, area: &Area) {
        let corners = [
            Point::new(area.left, area.top),
            Point::new(area.right, area.bottom),
            Point::new(area.left, area.bottom),
            Point::new(area.right, area.top),
        ];
        self.line(corners[0], corners[1]);
        self.line(corners[2], corners[3]);
        self.line(corners[0], corners[2]);
        self.line(corners[1], corners[3]);
    }

    /// How many lines come into an area.
    fn met(&self, area: &Area) -> usize {
        let near = squares(area).filter_map(|square| self.near.get(&square));
        let mut found: Vec<u32> = (near.flatten().copied())
            .filter(|line| {
                let (from, to) = self.lines[*line as usize];
                area.meets(from, to)
            })
            .collect();
        found.sort_unstable();
        found.dedup();
        found.len()
    }
}

/// The squares that an area touches.
fn squares(area: &Area) -> impl Iterator<Item = (i32, i32)> {
    let square = |place: f64| (place / SQUARE).floor() as i32;
    let rows = square(area.top)..=square(area.bottom);
    let (left, right) = (square(area.left), square(area.right));
    rows.flat_map(move |row| (left..=right).map(move |column| (column, row)))
}

/// Places labels, each of which has one candidate at least.
pub fn place(labels: &[Vec<Candidate>], obstacles: &Obstacles) -> Vec<Placed> {
    let met: Vec<Vec<usize>> = (labels.iter())
        .map(|label| label.iter().map(|it| obstacles.met(&it.area)).collect())
        .collect();
    let own = |label: usize, at: usize| labels[label][at].cost + LINE * met[label][at] as f64;
    let mut chosen: Vec<usize> = (0..labels.len())
        .map(|label| cheapest(labels[label].len(), |at| own(label, at)))
        .collect();
    for _ in 0..ROUNDS {
        let before = chosen.clone();
        for label in 0..labels.len() {
            let others: Vec<Area> = others(labels, &chosen, label);
            chosen[label] = cheapest(labels[label].len(), |at| {
                let area = &labels[label][at].area;
                let shared = others.iter().map(|other| area.shared(other));
                let shared = shared.filter(|shared| *shared > 0.0);
                own(label, at) + shared.map(|shared| LABEL + shared).sum::<f64>()
            });
        }
        if before == chosen {
            break;
        }
    }
    (0..labels.len())
        .map(|label| {
            let candidate = chosen[label];
            let area = &labels[label][candidate].area;
            let is_beside = |other: &Area| area.shared(other) > 0.0;
            Placed {
                candidate,
                touches: met[label][candidate] > 0
                    || others(labels, &chosen, label).iter().any(is_beside),
            }
        })
        .collect()
}

/// Where the other labels stand.
fn others(labels: &[Vec<Candidate>], chosen: &[usize], label: usize) -> Vec<Area> {
    let all = labels.iter().zip(chosen).enumerate();
    all.filter(|(at, _)| *at != label)
        .map(|(_, (candidates, at))| candidates[*at].area)
        .collect()
}

/// The first of the cheapest.
fn cheapest(count: usize, cost: impl Fn(usize) -> f64) -> usize {
    let mut best = (0, f64::INFINITY);
    for at in 0..count {
        let cost = cost(at);
        if cost < best.1 {
            best = (at, cost);
        }
    }
    best.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn candidate(left: f64, cost: f64) -> Candidate {
        let area = Area {
            left,
            top: 0.0,
            right: left + 10.0,
            bottom: 10.0,
        };
        Candidate { area, cost }
    }

    #[test]
    fn a_label_keeps_off_lines() {
        let mut obstacles = Obstacles::default();
        obstacles.line(Point::new(-5.0, -5.0), Point::new(8.0, 8.0));
        let labels = [vec![candidate(0.0, 0.0), candidate(20.0, 3.0)]];
        let placed = place(&labels, &obstacles);
        assert_eq!((placed[0].candidate, placed[0].touches), (1, false));
    }

    #[test]
    fn two_labels_keep_off_each_other() {
        let both = vec![
            candidate(0.0, 0.0),
            candidate(5.0, 1.0),
            candidate(30.0, 2.0),
        ];
        let placed = place(&[both.clone(), both], &Obstacles::default());
        assert_eq!((placed[0].candidate, placed[1].candidate), (2, 0));
        assert!(placed.iter().all(|placed| !placed.touches));
    }

    #[test]
    fn what_cannot_be_helped_is_told() {
        let mut obstacles = Obstacles::default();
        obstacles.line(Point::new(5.0, -50.0), Point::new(5.0, 50.0));
        let placed = place(&[vec![candidate(0.0, 0.0)]], &obstacles);
        assert!(placed[0].touches);
    }
}
