//! What a sketch is put on: strokes in their layers, and labels that keep off them.

use super::Sketch;
use super::beside::{self, Label};
use super::pens::THIN;
use super::way::{self, Way, around};
use crate::drawing::ink::{self, Area, Drawing, Ink, Item, Pen, Point, Words};
use crate::drawing::labels::{Candidate, Obstacles, Placed, Placing, crosses};

/// The width of the text, and how high a figure may be (150 mm).
pub(super) const WIDEST: f64 = 626.0;
pub(super) const HIGHEST: f64 = 150.0 * super::pens::MM;

/// The rim around everything.
const RIM: f64 = 6.0;

/// How near a line may run beside another.
const NEAR: f64 = 7.0;

/// What it costs to cross a line, and to run along one.
const CROSSED: f64 = 4.0;
const ALONG: f64 = 30.0;

/// What it costs to cross a line that is faint.
const CROSSED_FAINT: f64 = 0.5;

/// More labels than this are a crowd.
const MANY: usize = 70;

/// Later ones lie on top.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Layer {
    /// Dimensions, references, hatching.
    Thin,
    Body,
    /// Arrows.
    Top,
}

/// A straight part of what is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stroke {
    pub from: Point,
    pub to: Point,
    /// The number of the thing that it is of.
    pub owner: usize,
    /// Whether an arrow may lie on it.
    pub is_faint: bool,
}

/// A drawing on the way. Its places have no bounds; they are moved into view at the end.
#[derive(Debug, Default)]
pub(super) struct Sheet {
    layers: [Vec<Item>; 3],
    pub strokes: Vec<Stroke>,
    /// Closed lines around what is filled, or flows: nothing that stands beside a figure is in one.
    bodies: Vec<Vec<Point>>,
    labels: Vec<Label>,
    /// What words cover that have their place already.
    fixed: Vec<Area>,
    /// The number of the thing that is drawn now, and whether arrows may lie on it.
    now: usize,
    is_faint: bool,
}

impl Stroke {
    /// Whether it lies on one side of a line, farther off than what is near.
    fn is_far(&self, from: Point, to: Point) -> bool {
        let apart = |own: (f64, f64), other: (f64, f64)| {
            own.0.min(own.1) > other.0.max(other.1) + NEAR
                || own.0.max(own.1) < other.0.min(other.1) - NEAR
        };
        apart((self.from.x, self.to.x), (from.x, to.x))
            || apart((self.from.y, self.to.y), (from.y, to.y))
    }
}

impl Sheet {
    /// Begins a thing of its own: its labels may be near its lines.
    pub fn begin(&mut self) {
        self.now += 1;
        self.is_faint = false;
    }

    /// Begins a thing that an arrow may lie on.
    pub fn begin_faint(&mut self) {
        self.begin();
        self.is_faint = true;
    }

    pub fn put(&mut self, layer: Layer, item: Item) {
        self.layers[layer as usize].push(item);
    }

    /// A line from point to point.
    pub fn line(&mut self, layer: Layer, points: &[Point], pen: Pen) {
        self.lines(layer, vec![points.to_vec()], pen);
    }

    /// Several lines of one pen.
    pub fn lines(&mut self, layer: Layer, lines: Vec<Vec<Point>>, pen: Pen) {
        lines.iter().for_each(|line| self.keep_off(line));
        if !lines.is_empty() {
            self.put(layer, Item::Lines(lines, pen));
        }
    }

    /// A closed outline.
    pub fn outline(&mut self, layer: Layer, points: Vec<Point>, filled: Ink, pen: Option<Pen>) {
        let mut closed = points.clone();
        closed.extend(points.first());
        self.keep_off(&closed);
        if layer == Layer::Body && filled == Ink::Paper {
            self.body(points.clone());
        }
        self.put(layer, Item::Outline(points, filled, pen));
    }

    pub fn circle(&mut self, layer: Layer, at: Point, radius: f64, filled: Ink, pen: Pen) {
        let round = way::arc(at, radius, 0.0, std::f64::consts::TAU);
        self.keep_off(&round);
        if layer == Layer::Body && filled == Ink::Paper {
            self.body(round);
        }
        self.put(layer, Item::Circle(at, radius, filled, pen));
    }

    /// An arrow with a closed head.
    pub fn arrow(&mut self, layer: Layer, (tail, tip): (Point, Point), pen: Pen, head: (f64, f64)) {
        let Some(way) = Way::between(tail, tip) else {
            return;
        };
        // A short one is not all head.
        let long = head.0.min(0.7 * way::distance(tail, tip));
        let base = way.from(tip, -0.8 * long);
        self.keep_off(&[tail, tip]);
        self.put(layer, Item::Lines(vec![vec![tail, base]], pen));
        self.head(layer, tip, way, (long, head.1));
    }

    /// A closed head alone.
    pub fn head(&mut self, layer: Layer, tip: Point, way: Way, size: (f64, f64)) {
        let points = ink::head(tip, (way.x, way.y), size);
        self.outline(layer, points, Ink::Black, None);
    }

    /// Hatching on the right of the way.
    pub fn hatch(&mut self, from: Point, to: Point) {
        let (apart, deep) = super::pens::HATCH;
        self.lines(Layer::Thin, ink::hatching(from, to, apart, deep), THIN);
    }

    pub fn keep_off(&mut self, line: &[Point]) {
        let (owner, is_faint) = (self.now, self.is_faint);
        self.strokes.extend(line.windows(2).map(|pair| Stroke {
            from: pair[0],
            to: pair[1],
            owner,
            is_faint,
        }));
    }

    pub fn label(&mut self, label: Label) {
        if !label.lines.is_empty() {
            self.labels.push(Label {
                owner: Some(self.now),
                ..label
            });
        }
    }

    /// Words that stay where they are.
    pub fn words(&mut self, words: Words) {
        self.fixed.push(words.area());
        self.put(Layer::Top, Item::Words(words));
    }

    /// A label that may stand near any line.
    pub fn name(&mut self, label: Label) {
        if !label.lines.is_empty() {
            self.labels.push(label);
        }
    }

    /// The area of all strokes.
    pub fn extent(&self) -> Area {
        let ends = self.strokes.iter().flat_map(|it| [it.from, it.to]);
        around(ends).unwrap_or(Area {
            left: 0.0,
            top: 0.0,
            right: 0.0,
            bottom: 0.0,
        })
    }

    /// What a line costs by what it crosses or runs along.
    pub fn clash(&self, from: Point, to: Point) -> f64 {
        let costs = self.strokes.iter().map(|stroke| clash(stroke, from, to));
        costs.sum()
    }

    /// Whether a line lies on what is drawn already.
    pub fn is_on_line(&self, from: Point, to: Point) -> bool {
        let is_under = |it: &Stroke, point: Point| way::off(point, it.from, it.to).0 < 1.5;
        let middle = way::middle(from, to);
        self.strokes
            .iter()
            .any(|it| is_under(it, middle) && is_under(it, way::part(from, to, 0.9)))
    }

    /// A closed line that nothing beside the figure stands in.
    pub fn body(&mut self, points: Vec<Point>) {
        self.bodies.push(points);
    }

    /// Whether a point lies in a body, whose paper covers what is below it.
    pub fn is_in_a_body(&self, at: Point) -> bool {
        self.bodies.iter().any(|it| way::is_inside(at, it))
    }

    /// Whether a label is liked most in an area.
    pub fn is_wanted(&self, area: &Area) -> bool {
        let mut liked = self.labels.iter().filter_map(|it| it.candidates.first());
        liked.any(|it| it.area.shared(area) > 0.0)
    }

    /// Whether nothing comes into an area.
    pub fn is_free(&self, area: &Area) -> bool {
        !self.strokes.iter().any(|it| area.meets(it.from, it.to))
    }

    /// How far down anything reaches near a place to the right, above some height.
    pub fn lowest(&self, x: f64, above: f64) -> f64 {
        let strip = Area {
            left: x - 4.0,
            top: f64::NEG_INFINITY,
            right: x + 4.0,
            bottom: above,
        };
        let ends = self.strokes.iter().filter_map(|it| {
            let (low, high) = (it.from.y.min(it.to.y), it.from.y.max(it.to.y));
            let (left, right) = (it.from.x.min(it.to.x), it.from.x.max(it.to.x));
            if right < strip.left || left > strip.right || low > above {
                return None;
            }
            // Of an oblique one the part within the strip.
            let at = |x: f64| match right - left > 1e-9 {
                true => way::part(it.from, it.to, (x - it.from.x) / (it.to.x - it.from.x)).y,
                false => high,
            };
            let ends = [at(strip.left.max(left)), at(strip.right.min(right))];
            Some(ends[0].max(ends[1]).min(high))
        });
        ends.fold(f64::NEG_INFINITY, f64::max)
    }

    /// How far to the right anything reaches near a height.
    pub fn rightmost(&self, y: f64) -> f64 {
        let turned = Self {
            strokes: (self.strokes.iter())
                .map(|it| Stroke {
                    from: Point::new(it.from.y, it.from.x),
                    to: Point::new(it.to.y, it.to.x),
                    ..*it
                })
                .collect(),
            ..Self::default()
        };
        turned.lowest(y, f64::INFINITY)
    }

    /// How far to the left anything reaches near a height, from a place on.
    pub fn leftmost(&self, y: f64, from: f64) -> f64 {
        let near = self.strokes.iter().filter(|it| {
            let (high, low) = (it.from.y.min(it.to.y), it.from.y.max(it.to.y));
            low > y - 4.0 && high < y + 4.0
        });
        let ends = near.map(|it| it.from.x.min(it.to.x));
        ends.filter(|it| *it > from).fold(f64::INFINITY, f64::min)
    }

    /// Whether its strokes alone fit the page.
    pub fn may_fit(&self) -> bool {
        let area = self.extent().wider(RIM);
        fits(area.right - area.left, area.bottom - area.top)
    }

    /// The drawing with its labels, in view.
    pub fn finished(mut self, sketch: &Sketch) -> Drawing {
        let mut words = self.labelled();
        let mut items: Vec<Item> = self.layers.into_iter().flatten().collect();
        items.append(&mut words);
        let seen = around(items.iter().flat_map(corners)).unwrap_or(Area {
            left: 0.0,
            top: 0.0,
            right: 1.0,
            bottom: 1.0,
        });
        let seen = seen.wider(RIM);
        let (width, height) = (seen.right - seen.left, seen.bottom - seen.top);
        Drawing {
            width,
            height,
            title: sketch.title.clone(),
            description: sketch.description.clone(),
            items: (items.into_iter())
                .map(|it| it.placed((-seen.left, -seen.top), 1.0))
                .collect(),
        }
    }

    /// Labels at their places.
    fn labelled(&mut self) -> Vec<Item> {
        let mut obstacles = Obstacles::default();
        for stroke in &self.strokes {
            obstacles.line(stroke.owner, stroke.from, stroke.to);
        }
        let mut placing = Placing::new(&obstacles);
        for label in &self.labels {
            placing.add(&label.candidates, label.owner);
        }
        let fixed = self.fixed.iter().map(|area| Candidate {
            area: *area,
            cost: 0.0,
            leader: None,
        });
        fixed.for_each(|it| placing.add(&[it], None));
        let count = self.labels.len();
        let mut placed = placing.place();
        // A crowd is not tried so often.
        let most = if self.labels.len() > MANY {
            2
        } else {
            beside::FARTHER
        };
        for farther in 0..most {
            let touching: Vec<usize> = (0..count).filter(|at| placed[*at].touches).collect();
            if touching.is_empty() {
                break;
            }
            let is_last = farther + 1 == beside::FARTHER;
            for at in touching {
                placing.extend(at, &self.labels[at].led(farther));
                if is_last {
                    placing.extend(at, &self.labels[at].outside(&self.extent()));
                }
            }
            placed = placing.place();
        }
        let chosen = self.labels.iter().zip(placed).enumerate();
        let items = chosen.flat_map(|(at, (label, placed)): (_, (&Label, Placed))| {
            label.items(placing.candidate(at, placed.candidate), placed.touches)
        });
        items.collect()
    }
}

/// Whether a width and a height fit the page.
pub(super) fn fits(width: f64, height: f64) -> bool {
    width <= WIDEST && height <= HIGHEST
}

/// A drawing as large as the page allows.
pub(super) fn shrunk(drawing: Drawing) -> Drawing {
    let times = (WIDEST / drawing.width)
        .min(HIGHEST / drawing.height)
        .min(1.0);
    Drawing {
        width: drawing.width * times,
        height: drawing.height * times,
        items: (drawing.items.into_iter())
            .map(|it| it.placed((0.0, 0.0), times))
            .collect(),
        ..drawing
    }
}

/// What a line costs by another.
fn clash(stroke: &Stroke, from: Point, to: Point) -> f64 {
    if stroke.is_far(from, to) {
        return 0.0;
    }
    let (Some(own), Some(other)) = (Way::between(from, to), Way::between(stroke.from, stroke.to))
    else {
        return 0.0;
    };
    let is_along = own.dot(other).abs() > 0.98;
    if is_along {
        // How much of it runs beside the line.
        let length = way::distance(from, to);
        let along = |point: Point| {
            own.dot(Way {
                x: point.x - from.x,
                y: point.y - from.y,
            })
        };
        let (one, two) = (along(stroke.from), along(stroke.to));
        let shared = one.max(two).min(length) - one.min(two).max(0.0);
        let middle = way::middle(stroke.from, stroke.to);
        let aside = own.left().dot(Way {
            x: middle.x - from.x,
            y: middle.y - from.y,
        });
        let is_near = aside.abs() < NEAR && !stroke.is_faint;
        return if shared > 2.0 && is_near {
            ALONG * (shared / 20.0).min(1.0)
        } else {
            0.0
        };
    }
    match crosses((from, to), (stroke.from, stroke.to)) {
        true if stroke.is_faint => CROSSED_FAINT,
        true => CROSSED,
        false => 0.0,
    }
}

/// Two corners of what an item covers.
fn corners(item: &Item) -> Vec<Point> {
    let area = match item {
        Item::Lines(lines, pen) => {
            around(lines.iter().flatten().copied()).map(|area| area.wider(pen.width / 2.0))
        }
        Item::Outline(points, _, pen) => {
            let half = pen.map_or(0.0, |pen| pen.width / 2.0);
            around(points.iter().copied()).map(|area| area.wider(half))
        }
        Item::Circle(middle, radius, _, pen) => {
            around([*middle]).map(|area| area.wider(radius + pen.width / 2.0))
        }
        Item::Words(words) => Some(words.area()),
    };
    let corners = area.map(|it| [Point::new(it.left, it.top), Point::new(it.right, it.bottom)]);
    corners.into_iter().flatten().collect()
}
