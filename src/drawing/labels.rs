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

/// What a line of something else costs that comes near.
const NEAR: f64 = 5.0;

/// How near that is.
const NEARNESS: f64 = 9.0;

/// What another label costs that it meets, beside the area that they share.
const LABEL: f64 = 20.0;

/// What a band costs that a label stands on.
const SHADE: f64 = 25.0;

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
    /// The thin line from there to what it names, where it stands off that.
    pub leader: Option<(Point, Point)>,
}

/// What labels must not touch.
#[derive(Debug, Default)]
pub struct Obstacles {
    /// Each with the number of what it belongs to.
    lines: Vec<(Point, Point, usize)>,
    /// The lines that come near a square.
    near: FxHashMap<(i32, i32), Vec<u32>>,
    /// Lines across bands, on which words can be read.
    shades: Vec<(Point, Point)>,
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
    /// A line from point to point, of what has this number.
    pub fn line(&mut self, owner: usize, from: Point, to: Point) {
        let number = self.lines.len() as u32;
        self.lines.push((from, to, owner));
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

    /// Everything in an area, of what has this number.
    pub fn area(&mut self, owner: usize, area: &Area) {
        let corners = [
            Point::new(area.left, area.top),
            Point::new(area.right, area.bottom),
            Point::new(area.left, area.bottom),
            Point::new(area.right, area.top),
        ];
        for (from, to) in [(0, 1), (2, 3), (0, 2), (1, 3)] {
            self.line(owner, corners[from], corners[to]);
        }
    }

    /// A line across a band.
    pub fn shade(&mut self, from: Point, to: Point) {
        self.shades.push((from, to));
    }

    /// Whether an area is on a band.
    fn is_shaded(&self, area: &Area) -> bool {
        self.shades.iter().any(|(from, to)| area.meets(*from, *to))
    }

    /// How many lines come into an area.
    fn met(&self, area: &Area) -> usize {
        let mut found = self.within(area);
        found.sort_unstable();
        found.dedup();
        found.len()
    }

    /// Whether something else than what has this number comes near an area.
    fn is_near_others(&self, area: &Area, owner: usize) -> bool {
        let near = self.within(&area.wider(NEARNESS));
        near.into_iter()
            .any(|line| self.lines[line as usize].2 != owner)
    }

    fn within(&self, area: &Area) -> Vec<u32> {
        let near = squares(area).filter_map(|square| self.near.get(&square));
        let lines = near.flatten().copied().filter(|line| {
            let (from, to, _) = self.lines[*line as usize];
            area.meets(from, to)
        });
        lines.collect()
    }
}

/// The squares that an area touches.
fn squares(area: &Area) -> impl Iterator<Item = (i32, i32)> {
    let square = |place: f64| (place / SQUARE).floor() as i32;
    let rows = square(area.top)..=square(area.bottom);
    let (left, right) = (square(area.left), square(area.right));
    rows.flat_map(move |row| (left..=right).map(move |column| (column, row)))
}

/// Places labels, each of which has one candidate at least and names what has its number; what
/// names no line may be near any.
pub fn place(
    labels: &[Vec<Candidate>],
    owners: &[Option<usize>],
    obstacles: &Obstacles,
) -> Vec<Placed> {
    let near: Vec<Vec<bool>> = (labels.iter().zip(owners))
        .map(|(label, owner)| {
            let near = |it: &Candidate| {
                owner.is_some_and(|owner| obstacles.is_near_others(&it.area, owner))
            };
            label.iter().map(near).collect()
        })
        .collect();
    let met: Vec<Vec<usize>> = (labels.iter())
        .map(|label| label.iter().map(|it| obstacles.met(&it.area)).collect())
        .collect();
    let shaded: Vec<Vec<bool>> = (labels.iter())
        .map(|label| {
            label
                .iter()
                .map(|it| obstacles.is_shaded(&it.area))
                .collect()
        })
        .collect();
    let own = |label: usize, at: usize| {
        let near = if near[label][at] { NEAR } else { 0.0 };
        let shade = if shaded[label][at] { SHADE } else { 0.0 };
        labels[label][at].cost + near + shade + LINE * met[label][at] as f64
    };
    let mut chosen: Vec<usize> = (0..labels.len())
        .map(|label| cheapest(labels[label].len(), |at| own(label, at)))
        .collect();
    for _ in 0..ROUNDS {
        let before = chosen.clone();
        for label in 0..labels.len() {
            let others = others(labels, &chosen, label);
            chosen[label] = cheapest(labels[label].len(), |at| {
                let candidate = &labels[label][at];
                let met = others.iter().map(|other| candidate.met(other));
                own(label, at) + met.sum::<f64>()
            });
        }
        if before == chosen {
            break;
        }
    }
    (0..labels.len())
        .map(|label| {
            let candidate = chosen[label];
            let own = &labels[label][candidate];
            let is_met = |other: &Candidate| own.met(other) > 0.0;
            Placed {
                candidate,
                touches: met[label][candidate] > 0
                    || others(labels, &chosen, label).iter().any(is_met),
            }
        })
        .collect()
}

impl Candidate {
    /// What another label costs that stands there: each meets the other, or its leader.
    fn met(&self, other: &Self) -> f64 {
        let shared = self.area.shared(&other.area);
        let shared = if shared > 0.0 { LABEL + shared } else { 0.0 };
        let is_led_through = |area: &Area, leader: Option<(Point, Point)>| {
            leader.is_some_and(|(from, to)| area.meets(from, to))
        };
        let through = usize::from(is_led_through(&self.area, other.leader))
            + usize::from(is_led_through(&other.area, self.leader));
        shared + LABEL * through as f64
    }
}

/// Where the other labels stand.
fn others(labels: &[Vec<Candidate>], chosen: &[usize], label: usize) -> Vec<Candidate> {
    let all = labels.iter().zip(chosen).enumerate();
    all.filter(|(at, _)| *at != label)
        .map(|(_, (candidates, at))| candidates[*at])
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
        Candidate {
            area,
            cost,
            leader: None,
        }
    }

    #[test]
    fn a_label_keeps_off_lines() {
        let mut obstacles = Obstacles::default();
        obstacles.line(0, Point::new(-5.0, -5.0), Point::new(8.0, 8.0));
        let labels = [vec![candidate(0.0, 0.0), candidate(20.0, 3.0)]];
        let placed = place(&labels, &[Some(0)], &obstacles);
        assert_eq!((placed[0].candidate, placed[0].touches), (1, false));
    }

    #[test]
    fn two_labels_keep_off_each_other() {
        let both = vec![
            candidate(0.0, 0.0),
            candidate(5.0, 1.0),
            candidate(30.0, 2.0),
        ];
        let placed = place(
            &[both.clone(), both],
            &[Some(0), Some(1)],
            &Obstacles::default(),
        );
        assert_eq!((placed[0].candidate, placed[1].candidate), (2, 0));
        assert!(placed.iter().all(|placed| !placed.touches));
    }

    #[test]
    fn a_label_keeps_away_from_what_it_does_not_name() {
        let mut obstacles = Obstacles::default();
        obstacles.line(0, Point::new(0.0, 14.0), Point::new(10.0, 14.0));
        obstacles.line(1, Point::new(40.0, 14.0), Point::new(50.0, 14.0));
        let both = vec![candidate(0.0, 0.0), candidate(40.0, 0.0)];
        let placed = place(&[both.clone(), both], &[Some(1), Some(0)], &obstacles);
        assert_eq!((placed[0].candidate, placed[1].candidate), (1, 0));
    }

    #[test]
    fn a_label_keeps_off_the_leader_of_another() {
        let led = Candidate {
            leader: Some((Point::new(5.0, 20.0), Point::new(5.0, -20.0))),
            ..candidate(60.0, 0.0)
        };
        let both = [vec![led], vec![candidate(0.0, 0.0), candidate(20.0, 9.0)]];
        let placed = place(&both, &[Some(0), Some(1)], &Obstacles::default());
        assert_eq!((placed[1].candidate, placed[1].touches), (1, false));
    }

    #[test]
    fn what_cannot_be_helped_is_told() {
        let mut obstacles = Obstacles::default();
        obstacles.line(0, Point::new(5.0, -50.0), Point::new(5.0, 50.0));
        let placed = place(&[vec![candidate(0.0, 0.0)]], &[None], &obstacles);
        assert!(placed[0].touches);
    }
}
