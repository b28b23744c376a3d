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

/// What a line of something else costs that a leader crosses, and the most for all of them: a
/// leader is read across lines, a label is not.
const CROSSED: f64 = 1.5;
const ALL_CROSSED: f64 = 5.0;

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

    /// How many lines of other things a leader crosses.
    fn crossed(&self, (from, to): (Point, Point), owner: Option<usize>) -> usize {
        let around = Area {
            left: from.x.min(to.x) - 1.0,
            top: from.y.min(to.y) - 1.0,
            right: from.x.max(to.x) + 1.0,
            bottom: from.y.max(to.y) + 1.0,
        };
        let mut near: Vec<u32> = (squares(&around))
            .filter_map(|square| self.near.get(&square))
            .flatten()
            .copied()
            .collect();
        near.sort_unstable();
        near.dedup();
        let crossed = near.into_iter().filter(|line| {
            let (start, end, of) = self.lines[*line as usize];
            Some(of) != owner && crosses((from, to), (start, end))
        });
        crossed.count()
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

/// Whether two lines cross.
pub fn crosses(one: (Point, Point), other: (Point, Point)) -> bool {
    let side = |line: (Point, Point), at: Point| {
        (line.1.x - line.0.x) * (at.y - line.0.y) - (line.1.y - line.0.y) * (at.x - line.0.x)
    };
    side(one, other.0) * side(one, other.1) < 0.0 && side(other, one.0) * side(other, one.1) < 0.0
}

/// The squares that an area touches.
fn squares(area: &Area) -> impl Iterator<Item = (i32, i32)> {
    let square = |place: f64| (place / SQUARE).floor() as i32;
    let rows = square(area.top)..=square(area.bottom);
    let (left, right) = (square(area.left), square(area.right));
    rows.flat_map(move |row| (left..=right).map(move |column| (column, row)))
}

/// Labels on their way to their places.
#[derive(Debug)]
pub struct Placing<'o> {
    obstacles: &'o Obstacles,
    /// What each names by its number; what names no line may be near any.
    owners: Vec<Option<usize>>,
    /// Their candidates, one at least, each with what it costs alone and whether it meets a line.
    labels: Vec<Vec<(Candidate, f64, bool)>>,
}

/// Places labels, each of which has one candidate at least and names what has its number.
pub fn place(
    labels: &[Vec<Candidate>],
    owners: &[Option<usize>],
    obstacles: &Obstacles,
) -> Vec<Placed> {
    let mut placing = Placing::new(obstacles);
    for (label, owner) in labels.iter().zip(owners) {
        placing.add(label, *owner);
    }
    placing.place()
}

impl<'o> Placing<'o> {
    pub fn new(obstacles: &'o Obstacles) -> Self {
        Self {
            obstacles,
            owners: Vec::new(),
            labels: Vec::new(),
        }
    }

    /// A label that names what has this number.
    pub fn add(&mut self, candidates: &[Candidate], owner: Option<usize>) {
        self.owners.push(owner);
        self.labels.push(Vec::new());
        self.extend(self.labels.len() - 1, candidates);
    }

    /// Further places for a label.
    pub fn extend(&mut self, label: usize, candidates: &[Candidate]) {
        let owner = self.owners[label];
        let costs = candidates.iter().map(|it| {
            let met = self.obstacles.met(&it.area);
            (*it, self.cost(it, met, owner), met > 0)
        });
        let costs: Vec<(Candidate, f64, bool)> = costs.collect();
        self.labels[label].extend(costs);
    }

    pub fn candidate(&self, label: usize, candidate: usize) -> &Candidate {
        &self.labels[label][candidate].0
    }

    /// What a candidate costs without the other labels.
    fn cost(&self, candidate: &Candidate, met: usize, owner: Option<usize>) -> f64 {
        let is_near = owner.is_some_and(|it| self.obstacles.is_near_others(&candidate.area, it));
        let near = if is_near { NEAR } else { 0.0 };
        let shaded = self.obstacles.is_shaded(&candidate.area);
        let shade = if shaded { SHADE } else { 0.0 };
        let crossed = candidate
            .leader
            .map_or(0, |leader| self.obstacles.crossed(leader, owner));
        let crossed = (CROSSED * crossed as f64).min(ALL_CROSSED);
        candidate.cost + near + shade + crossed + LINE * met as f64
    }

    /// Where each stands.
    pub fn place(&self) -> Vec<Placed> {
        let mut chosen: Vec<usize> = (0..self.labels.len())
            .map(|label| self.cheapest(label, &[]))
            .collect();
        for _ in 0..ROUNDS {
            let before = chosen.clone();
            for label in 0..self.labels.len() {
                chosen[label] = self.cheapest(label, &self.others(&chosen, label));
            }
            if before == chosen {
                break;
            }
        }
        (0..self.labels.len())
            .map(|label| {
                let candidate = chosen[label];
                let (own, _, met) = &self.labels[label][candidate];
                let is_met = |other: &Candidate| own.met(other) > 0.0;
                Placed {
                    candidate,
                    touches: *met || self.others(&chosen, label).iter().any(is_met),
                }
            })
            .collect()
    }

    /// The first of its cheapest candidates with the others as they are.
    fn cheapest(&self, label: usize, others: &[Candidate]) -> usize {
        let mut best = (0, f64::INFINITY);
        for (at, (candidate, cost, _)) in self.labels[label].iter().enumerate() {
            // Others add to a cost and take nothing off it.
            if *cost >= best.1 {
                continue;
            }
            let met = others.iter().map(|other| candidate.met(other));
            let cost = cost + met.sum::<f64>();
            if cost < best.1 {
                best = (at, cost);
            }
        }
        best.0
    }

    /// Where the other labels stand.
    fn others(&self, chosen: &[usize], label: usize) -> Vec<Candidate> {
        let all = self.labels.iter().zip(chosen).enumerate();
        all.filter(|(at, _)| *at != label)
            .map(|(_, (candidates, at))| candidates[*at].0)
            .collect()
    }
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
