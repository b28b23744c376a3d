//! The panels of a plot: axes, series, labels.

use super::beside::{self, Label};
use super::curves::{self, MOST_POINTS};
use super::scale::{Range, Scale};
use super::ticks::{self, Tick};
use super::{Axis, Drawn, Note, Panel, Plot, Reading, Series, Shape, TYPE, describe, marks, strip};
use crate::drawing::ink::{Anchor, Area, Drawing, Ink, Item, Line, Pen, Point, Words, arrow};
use crate::drawing::labels::{self, Obstacles};
use crate::drawing::letters;
use crate::typeset::Run;

/// How long ticks are, and small ones.
const TICK: f64 = 5.0;
const SMALL_TICK: f64 = 3.0;

/// How far numbers stand off the ticks.
const OFF: f64 = 4.0;

const AXIS: Pen = Pen::new(Ink::Black, 1.0);
const THIN: Pen = Pen::new(Ink::Quiet, 0.5);

/// By how much a plot may grow at its upper end, in lines of labels.
const MOST_GROWN: usize = 3;

/// The part of its height by which it may grow.
const GROWN: f64 = 0.4;

/// How long the arrow to a point beyond the axes is.
const ARROW: f64 = 13.0;

/// How much of a frame's width a label takes.
const WIDEST: f64 = 0.45;

/// How wide the sample of a line in a key is.
const SAMPLE: f64 = 44.0;

/// Draws a plot; nothing where there is nothing to be seen.
pub(super) fn draw(plot: &Plot) -> Option<Drawn> {
    let x_range = x_range(plot)?;
    let panels: Vec<&Panel> = std::iter::once(&plot.panel).chain(&plot.strips).collect();
    let ranges: Option<Vec<Range>> = panels.iter().map(|it| y_range(plot, it)).collect();
    let mut ranges = ranges?;
    let strips = panels.iter().zip(&mut ranges).skip(1);
    for (_, range) in strips.filter(|(strip, _)| !strip.y.is_logarithmic) {
        *range = strip::evened(*range);
    }
    let end_is_free = match plot.panel.y.is_reversed {
        true => plot.panel.y.from.is_none(),
        false => plot.panel.y.to.is_none(),
    };
    let most = if end_is_free { MOST_GROWN } else { 0 };
    let (frames, _) = strip::frames(plot.size, (0.0, 0.0), &plot.strips, 0.0);
    let room = GROWN * (frames[0].bottom - frames[0].top);
    let grown = (0..=most).map(|lines| lines as f64 * beside::LINE);
    for grown in grown.take_while(|grown| *grown <= room) {
        let left = margin(plot, &panels, &ranges, grown);
        let mut sheet = Sheet::new(plot, left, x_range, 0.0);
        let free = sheet.panels(&panels, &ranges, grown);
        if free {
            return Some(sheet.drawn());
        }
    }
    // Where there is no room beside the series, a row above them says what each is.
    let left = margin(plot, &panels, &ranges, 0.0);
    let keys = Keys::new(plot, left);
    let mut sheet = Sheet::new(plot, left, x_range, keys.height);
    sheet.keys = Some(keys);
    sheet.panels(&panels, &ranges, 0.0);
    Some(sheet.drawn())
}

/// All that the panels over the axis of the plot have to show to the right.
fn x_range(plot: &Plot) -> Option<Range> {
    let shared = plot.strips.iter().filter(|strip| strip.x.is_none());
    level_range(&plot.x, std::iter::once(&plot.panel))
        .or_else(|| level_range(&plot.x, shared))
        .or_else(|| stated(&plot.x))
}

/// All that panels have to show to the right; what was left out, where there is nothing else.
fn level_range<'p>(axis: &Axis, panels: impl Iterator<Item = &'p Panel>) -> Option<Range> {
    let series: Vec<&Series> = panels.flat_map(|panel| &panel.series).collect();
    let ends = |is_left_out: bool| {
        let ends = series
            .iter()
            .flat_map(|it| horizontal_ends(it, is_left_out));
        Range::of(ends.filter(|value| axis.has(*value)))
    };
    ends(false).or_else(|| ends(true))
}

/// All that a panel has to show upward.
fn y_range(plot: &Plot, panel: &Panel) -> Option<Range> {
    let own = plot.across(panel);
    let everywhere = Axis {
        from: None,
        to: None,
        ..own.clone()
    };
    let ends = |across: &Axis, is_left_out: bool| {
        let ends = panel.series.iter();
        let ends = ends.flat_map(|it| upright_ends(it, across, is_left_out));
        Range::of(ends.filter(|value| panel.y.has(*value)))
    };
    ends(own, false)
        .or_else(|| ends(own, true))
        .or_else(|| stated(&panel.y))
        // Nothing is within the ends of the other axis, which is said below.
        .or_else(|| ends(&everywhere, false))
        .or_else(|| ends(&everywhere, true))
}

/// The range that an axis says itself.
fn stated(axis: &Axis) -> Option<Range> {
    Some(Range {
        least: axis.from?,
        greatest: axis.to?,
    })
}

fn horizontal_ends(series: &Series, is_left_out: bool) -> Vec<f64> {
    match &series.shape {
        Shape::Points(readings) => (readings.iter())
            .filter(|it| it.is_left_out == is_left_out)
            .flat_map(|it| [it.x - it.bar_x, it.x, it.x + it.bar_x])
            .collect(),
        Shape::Curve(curve) => curve.runs.iter().flatten().map(|place| place.0).collect(),
        Shape::Place(it) => vec![it.x - it.bar_x, it.x, it.x + it.bar_x],
        Shape::Horizontal(_) => Vec::new(),
        Shape::Vertical(at) => vec![*at],
    }
}

/// The ends upward of what is within the ends of the other axis.
fn upright_ends(series: &Series, x: &Axis, is_left_out: bool) -> Vec<f64> {
    let is_within = |at: f64| x.from.is_none_or(|it| at >= it) && x.to.is_none_or(|it| at <= it);
    match &series.shape {
        Shape::Points(readings) => (readings.iter())
            .filter(|it| it.is_left_out == is_left_out && is_within(it.x))
            .flat_map(|it| [it.y - it.bar_y, it.y, it.y + it.bar_y])
            .collect(),
        Shape::Curve(curve) => {
            let bands = curve.runs.iter().zip(&curve.band);
            let bands = bands.flat_map(|(run, band)| run.iter().zip(band));
            let bands = bands.filter(|(place, _)| is_within(place.0));
            let places = curve.runs.iter().flatten();
            let places = places
                .filter(|place| is_within(place.0))
                .map(|place| place.1);
            places
                .chain(bands.flat_map(|(_, ends)| [ends.0, ends.1]))
                .collect()
        }
        Shape::Place(it) => vec![it.y - it.bar_y, it.y, it.y + it.bar_y],
        Shape::Horizontal(at) => vec![*at],
        Shape::Vertical(_) => Vec::new(),
    }
}

/// Whether a series has a size of its own at its ends.
fn is_roomy(panel: &Panel) -> bool {
    panel.series.iter().any(|it| match it.shape {
        Shape::Points(_) | Shape::Place(_) => true,
        Shape::Curve(_) | Shape::Horizontal(_) | Shape::Vertical(_) => false,
    })
}

/// The room for the numbers of all upright axes.
fn margin(plot: &Plot, panels: &[&Panel], ranges: &[Range], grown: f64) -> f64 {
    let (frames, _) = strip::frames(plot.size, (0.0, 0.0), &plot.strips, 0.0);
    let panels = panels.iter().zip(ranges).zip(&frames).enumerate();
    let widest = panels
        .flat_map(|(at, ((panel, range), frame))| {
            upright_ticks(&upright_scale(panel, *range, frame, (at, grown)))
        })
        .filter_map(|tick| Some(letters::width(&tick.number?, TYPE)))
        .fold(0.0, f64::max);
    (widest + TICK + OFF + 2.0).max(40.0).ceil()
}

/// The upright scale of a panel; the first is drawn out at its upper end by so much.
fn upright_scale(panel: &Panel, range: Range, frame: &Area, (at, grown): (usize, f64)) -> Scale {
    if at > 0 {
        return strip::scale(&panel.y, range, frame);
    }
    let ends = (frame.bottom, frame.top + grown);
    let scale = Scale::new(&panel.y, range, ends, true);
    if grown > 0.0 {
        scale.drawn_out(frame.top)
    } else {
        scale
    }
}

/// Ticks whose numbers stand apart, upward.
fn upright_ticks(scale: &Scale) -> Vec<Tick> {
    let length = (scale.end - scale.start).abs();
    // A strip is too low for the usual distance.
    spread(scale, ticks::UPWARD.min(length / 2.5), |_, _| 1.25 * TYPE)
}

/// Ticks whose numbers stand apart, to the right.
fn level_ticks(scale: &Scale) -> Vec<Tick> {
    spread(scale, ticks::ACROSS, |one, other| {
        let width = |runs: &[Run]| letters::width(runs, TYPE);
        (width(one) + width(other)) / 2.0 + 0.6 * TYPE
    })
}

/// How far a number of the level axis reaches beyond the left edge of the drawing.
fn before(scale: &Scale) -> f64 {
    let ends = level_ticks(scale).into_iter().filter_map(|tick| {
        let half = letters::width(&tick.number?, TYPE) / 2.0;
        Some(half + 2.0 - scale.at(tick.value))
    });
    ends.fold(0.0, f64::max)
}

/// How far a number of the level axis reaches beyond the drawing.
fn beyond(scale: &Scale, width: f64) -> f64 {
    let ends = level_ticks(scale).into_iter().filter_map(|tick| {
        let half = letters::width(&tick.number?, TYPE) / 2.0;
        Some(scale.at(tick.value) + half + 2.0 - width)
    });
    ends.fold(0.0, f64::max)
}

/// Ticks as close as their numbers allow.
fn spread(scale: &Scale, apart: f64, room: impl Fn(&[Run], &[Run]) -> f64) -> Vec<Tick> {
    let mut apart = apart;
    let mut found = ticks::ticks(scale, apart);
    for _ in 0..8 {
        let numbers = found
            .iter()
            .filter_map(|tick| Some((tick.value, tick.number.as_ref()?)));
        let numbers: Vec<(f64, &Vec<Run>)> = numbers.collect();
        let is_free = numbers.windows(2).all(|pair| {
            let way = (scale.at(pair[1].0) - scale.at(pair[0].0)).abs();
            way >= room(pair[0].1, pair[1].1)
        });
        if is_free {
            return found;
        }
        apart *= 1.5;
        found = ticks::ticks(scale, apart);
    }
    // The first at least, and the last where it has room beside it.
    let mut numbered = found.iter_mut().filter(|tick| tick.number.is_some());
    let Some(first) = numbered.next() else {
        return found;
    };
    let mut others: Vec<&mut Tick> = numbered.collect();
    let last = others.pop();
    for tick in others {
        tick.number = None;
    }
    if let Some(last) = last
        && let (Some(one), Some(other)) = (&first.number, &last.number)
        && (scale.at(last.value) - scale.at(first.value)).abs() < room(one, other)
    {
        last.number = None;
    }
    found
}

/// A drawing on the way.
struct Sheet<'p> {
    plot: &'p Plot,
    frames: Vec<Area>,
    height: f64,
    /// Those to the right, one a panel.
    scales: Vec<Scale>,
    items: Vec<Item>,
    notes: Vec<Note>,
    keys: Option<Keys>,
}

impl<'p> Sheet<'p> {
    fn new(plot: &'p Plot, left: f64, range: Range, keys: f64) -> Self {
        let panels = || std::iter::once(&plot.panel).chain(&plot.strips);
        let scales = |left: f64, right: f64| -> Vec<Scale> {
            let ends = (left, plot.size.0 - right);
            let of_plot = Scale::new(&plot.x, range, ends, panels().any(is_roomy));
            let own = panels().map(|panel| {
                let axis = panel.x.as_ref()?;
                let range = level_range(axis, std::iter::once(panel)).or_else(|| stated(axis))?;
                Some(Scale::new(axis, range, ends, is_roomy(panel)))
            });
            own.map(|own| own.unwrap_or(of_plot)).collect()
        };
        let beyond = |scale: &Scale| beyond(scale, plot.size.0);
        let (mut left, mut right) = (left, strip::RIGHT);
        // Each end may move the numbers at the other.
        for _ in 0..2 {
            let all = scales(left, right);
            right += all.iter().map(beyond).fold(0.0, f64::max);
            left += all.iter().map(before).fold(0.0, f64::max);
        }
        let (frames, height) = strip::frames(plot.size, (left, right), &plot.strips, keys);
        Self {
            plot,
            scales: scales(left, right),
            frames,
            height,
            items: Vec::new(),
            notes: Vec::new(),
            keys: None,
        }
    }

    fn drawn(self) -> Drawn {
        Drawn {
            drawing: Drawing {
                width: self.plot.size.0,
                height: self.height,
                title: self.plot.title.clone(),
                description: describe::sentence(self.plot),
                items: self.items,
            },
            notes: self.notes,
        }
    }

    fn note(&mut self, note: Note) {
        if !self.notes.contains(&note) {
            self.notes.push(note);
        }
    }

    /// Draws all panels; whether all labels have a place of their own.
    fn panels(&mut self, panels: &[&Panel], ranges: &[Range], grown: f64) -> bool {
        let mut are_free = true;
        for (at, (panel, range)) in panels.iter().zip(ranges).enumerate() {
            let frame = self.frames[at];
            let scale = upright_scale(panel, *range, &frame, (at, grown));
            // The next one shares the axis, and has its numbers.
            let is_last = panels.get(at + 1).is_none_or(|next| next.x.is_some());
            let across = self.scales[at];
            self.grid(&frame, [&across, &scale]);
            are_free &= self.series(panel, [&across, &scale], &frame, at == 0);
            self.axes(panel, [&across, &scale], &frame, is_last);
        }
        if let Some(keys) = self.keys.take() {
            keys.draw(&mut self.items);
        }
        are_free
    }

    fn grid(&mut self, frame: &Area, [x, y]: [&Scale; 2]) {
        if !self.plot.has_grid {
            return;
        }
        let numbered = |ticks: Vec<Tick>| ticks.into_iter().filter(|tick| tick.number.is_some());
        let across = numbered(upright_ticks(y)).map(|tick| {
            let at = y.at(tick.value);
            vec![Point::new(frame.left, at), Point::new(frame.right, at)]
        });
        let upright = numbered(level_ticks(x)).map(|tick| {
            let at = x.at(tick.value);
            vec![Point::new(at, frame.top), Point::new(at, frame.bottom)]
        });
        let lines: Vec<Vec<Point>> = across.chain(upright).collect();
        self.items.push(Item::Lines(lines, THIN));
    }

    /// The axes with ticks, numbers and titles.
    fn axes(&mut self, panel: &Panel, [x, y]: [&Scale; 2], frame: &Area, is_last: bool) {
        let corner = [
            Point::new(frame.left, frame.top),
            Point::new(frame.left, frame.bottom),
            Point::new(frame.right, frame.bottom),
        ];
        let mut lines = vec![corner.to_vec()];
        for tick in level_ticks(x) {
            let at = x.at(tick.value);
            let length = if tick.number.is_some() {
                TICK
            } else {
                SMALL_TICK
            };
            lines.push(vec![
                Point::new(at, frame.bottom),
                Point::new(at, frame.bottom + length),
            ]);
            if let Some(number) = tick.number.filter(|_| is_last) {
                let at = Point::new(at, frame.bottom + TICK + OFF + 0.72 * TYPE);
                self.words(at, Anchor::Middle, number, Ink::Black);
            }
        }
        for tick in upright_ticks(y) {
            let at = y.at(tick.value);
            let length = if tick.number.is_some() {
                TICK
            } else {
                SMALL_TICK
            };
            lines.push(vec![
                Point::new(frame.left, at),
                Point::new(frame.left - length, at),
            ]);
            if let Some(number) = tick.number {
                let at = Point::new(frame.left - TICK - OFF, at + 0.33 * TYPE);
                self.words(at, Anchor::End, number, Ink::Black);
            }
        }
        self.items.push(Item::Lines(lines, AXIS));
        self.titles(panel, frame, is_last);
    }

    /// What the axes count, level at their ends.
    fn titles(&mut self, panel: &Panel, frame: &Area, is_last: bool) {
        let height = self.keys_above(frame);
        let at = Point::new(2.0, frame.top - 0.9 * TYPE - height);
        self.title(at, Anchor::Start, &panel.y.title);
        if is_last {
            let plot = self.plot;
            let at = Point::new(frame.right, frame.bottom + strip::BELOW - 0.35 * TYPE);
            self.title(at, Anchor::End, &plot.across(panel).title);
        }
    }

    fn keys_above(&self, frame: &Area) -> f64 {
        let keys = self.keys.as_ref().filter(|_| *frame == self.frames[0]);
        keys.map_or(0.0, |keys| keys.height)
    }

    /// A title, smaller where it would not fit.
    fn title(&mut self, at: Point, anchor: Anchor, runs: &[Run]) {
        let room = self.plot.size.0 - 8.0;
        let width = letters::width(runs, TYPE);
        self.items.push(Item::Words(Words {
            at,
            anchor,
            runs: runs.to_vec(),
            size: TYPE * (room / width).min(1.0),
            ink: Ink::Black,
            has_rim: false,
        }));
    }

    fn words(&mut self, at: Point, anchor: Anchor, runs: Vec<Run>, ink: Ink) {
        self.items.push(Item::Words(Words {
            at,
            anchor,
            runs,
            size: TYPE,
            ink,
            has_rim: false,
        }));
    }

    /// The series of a panel with their labels; whether all of these have a place.
    fn series(&mut self, panel: &Panel, [x, y]: [&Scale; 2], frame: &Area, is_first: bool) -> bool {
        let mut ground = Ground {
            frame: *frame,
            x: *x,
            y: *y,
            is_first,
            has_grid: self.plot.has_grid,
            obstacles: Obstacles::default(),
            labels: Vec::new(),
            now: 0,
            notes: Vec::new(),
            bands: Vec::new(),
            lines: Vec::new(),
            marks: Vec::new(),
        };
        let (mut points, mut curves) = (0, 0);
        let is_theory =
            |series: &Series| matches!(&series.shape, Shape::Curve(curve) if curve.stands_out);
        for (now, series) in panel.series.iter().enumerate() {
            ground.now = now;
            match &series.shape {
                Shape::Points(readings) if readings.len() > MOST_POINTS => {
                    ground.dense(readings, series);
                    self.note(Note::Band);
                    if readings.iter().any(|it| it.is_left_out) {
                        self.note(Note::LeftOutOfBand);
                    }
                }
                Shape::Points(readings) => {
                    let axes = [self.plot.across(panel), &panel.y];
                    ground.points(points, readings, axes, series);
                    points += 1;
                }
                Shape::Curve(curve) => {
                    let (number, ink) = match is_theory(series) {
                        true => (0, Ink::Accent),
                        false => (curves, Ink::Black),
                    };
                    curves += usize::from(!is_theory(series));
                    ground.curve(curve, curves::pen(number, ink), series);
                }
                Shape::Place(place) => ground.place(place, series),
                Shape::Horizontal(at) => ground.across(*at, series),
                Shape::Vertical(at) => ground.upright(*at, series),
            }
        }
        for note in std::mem::take(&mut ground.notes) {
            self.note(note);
        }
        let are_keyed = is_first && self.keys.is_some();
        ground.finish(are_keyed, &mut self.items)
    }
}

/// What is drawn in a frame, and what its labels have to keep off.
struct Ground {
    frame: Area,
    x: Scale,
    y: Scale,
    /// Whether it is no strip below another.
    is_first: bool,
    has_grid: bool,
    obstacles: Obstacles,
    /// With the number of its series, and whether it names that, which a key can do as well.
    labels: Vec<(Label, usize, bool)>,
    /// The number of the series that is drawn now.
    now: usize,
    notes: Vec<Note>,
    bands: Vec<Item>,
    lines: Vec<Item>,
    marks: Vec<Item>,
}

impl Ground {
    fn at(&self, reading: &Reading) -> Point {
        Point::new(self.x.at(reading.x), self.y.at(reading.y))
    }

    fn holds(&self, at: Point) -> bool {
        let slack = 0.01;
        at.x >= self.frame.left - slack
            && at.x <= self.frame.right + slack
            && at.y >= self.frame.top - slack
            && at.y <= self.frame.bottom + slack
    }

    fn label(&mut self, series: &Series, ink: Ink, anchors: Vec<Point>) {
        if series.label.is_empty() || anchors.is_empty() {
            return;
        }
        let widest = WIDEST * (self.frame.right - self.frame.left);
        let label = Label::new(&series.label, ink, anchors, widest);
        self.labels.push((label, self.now, true));
    }

    fn keep_off(&mut self, lines: &[Vec<Point>]) {
        for pair in lines.iter().flat_map(|line| line.windows(2)) {
            self.obstacles.line(self.now, pair[0], pair[1]);
        }
    }

    /// Keeps labels off a band: its outline, and lines across it.
    fn keep_off_inside(&mut self, outline: &[Point]) {
        let mut closed = outline.to_vec();
        closed.extend(outline.first());
        self.keep_off(&[closed]);
        let across = outline.iter().zip(outline.iter().rev());
        let across = across
            .take(outline.len() / 2)
            .map(|(one, other)| vec![*one, *other]);
        self.keep_off(&across.collect::<Vec<Vec<Point>>>());
    }

    /// Points one by one.
    fn points(&mut self, number: usize, readings: &[Reading], axes: [&Axis; 2], series: &Series) {
        let (mut anchors, mut left_out) = (Vec::new(), Vec::new());
        let mut bars = Vec::new();
        for reading in readings {
            let at = self.at(reading);
            if !reading.is_seen(axes[0], axes[1]) {
                self.notes.push(Note::PointOutside);
                continue;
            }
            if !self.holds(at) {
                if !(reading.is_left_out && self.off_the_axes(reading, at)) {
                    self.notes.push(Note::PointOutside);
                }
                continue;
            }
            self.obstacles.area(self.now, &marks::area(at));
            if reading.is_left_out {
                marks::left_out(at, &mut self.marks);
                left_out.push(at);
                continue;
            }
            let own = marks::bars(reading, &self.x, &self.y, &self.frame);
            let halves = [reading.bar_x, reading.bar_y];
            let wanted = halves.into_iter().filter(|half| *half > 0.0).count();
            if own.count < wanted {
                self.notes.push(Note::HiddenBar);
            }
            if own.count > 0 {
                self.notes.push(Note::SeenBar);
            }
            bars.extend(own.lines);
            marks::mark(number, at, Ink::Black, &mut self.marks);
            anchors.push(at);
        }
        self.keep_off(&bars);
        if !bars.is_empty() {
            self.lines
                .push(Item::Lines(bars, marks::bar_pen(Ink::Black)));
        }
        anchors.sort_by(|one, other| one.x.total_cmp(&other.x));
        self.label(series, Ink::Black, anchors);
        self.name_left_out(left_out);
    }

    fn name_left_out(&mut self, anchors: Vec<Point>) {
        if anchors.is_empty() {
            return;
        }
        let label = Label::new(&[Run::words("left out")], Ink::Quiet, anchors, 100.0);
        self.labels.push((label, self.now, false));
    }

    /// An arrow at the edge, and the value, for a point beyond it; whether there is one.
    fn off_the_axes(&mut self, reading: &Reading, at: Point) -> bool {
        if !at.is_finite() {
            return false;
        }
        let frame = self.frame.wider(-1.0);
        let tip = Point::new(
            at.x.clamp(frame.left, frame.right),
            at.y.clamp(frame.top, frame.bottom),
        );
        let (across, down) = (tip.x - at.x, tip.y - at.y);
        // A point beyond a corner is told by both its numbers.
        let (is_across, is_down) = (across.abs() > 1.5, down.abs() > 1.5);
        let mut value = match (is_across, is_down) {
            (true, true) => {
                let mut both = number(reading.x, &self.x);
                both.push(Run::words("; "));
                both.extend(number(reading.y, &self.y));
                both
            }
            (true, false) => number(reading.x, &self.x),
            (false, _) => number(reading.y, &self.y),
        };
        let lines = arrow(
            tip,
            match is_down {
                true => (0.0, ARROW * down.signum()),
                false => (ARROW * across.signum(), 0.0),
            },
        );
        self.keep_off(&lines);
        let middle = Point::new((lines[0][0].x + tip.x) / 2.0, (lines[0][0].y + tip.y) / 2.0);
        self.lines
            .push(Item::Lines(lines, Pen::new(Ink::Quiet, 0.9)));
        if self.is_first {
            value.push(Run::words(", left out"));
        }
        self.labels.push((
            Label {
                lines: vec![value],
                size: TYPE,
                ink: Ink::Quiet,
                anchors: vec![middle],
            },
            self.now,
            false,
        ));
        true
    }

    /// Points that are too many: a band from the least to the greatest of each column.
    fn dense(&mut self, readings: &[Reading], series: &Series) {
        let kept: Vec<Reading> = readings
            .iter()
            .filter(|it| !it.is_left_out)
            .copied()
            .collect();
        let is_outside = |it: &Reading| !self.holds(self.at(it));
        if kept.iter().any(is_outside) {
            self.notes.push(Note::PointOutside);
        }
        let [upper, lower] = curves::columns(&kept, &self.x, &self.y, &self.frame);
        let mut outline = upper.clone();
        outline.extend(lower.iter().rev());
        self.bands
            .push(Item::Outline(outline.clone(), Ink::Band, None));
        let edges = vec![upper, lower];
        self.keep_off_inside(&outline);
        self.label(series, Ink::Black, beside::along(&edges));
        self.lines
            .push(Item::Lines(edges, Pen::new(Ink::Black, 0.5)));
    }

    fn curve(&mut self, curve: &super::Curve, pen: Pen, series: &Series) {
        let band = curves::band(curve, &self.x, &self.y, &self.frame);
        for band in band {
            let mut edge = band.outline.clone();
            edge.extend(band.outline.first());
            self.keep_off(&[edge]);
            for (high, low) in band.across {
                self.obstacles.shade(high, low);
            }
            self.bands
                .push(Item::Outline(band.outline, Ink::Band, None));
        }
        let lines = curves::lines(curve, &self.x, &self.y, &self.frame);
        self.keep_off(&lines);
        self.label(series, pen.ink, beside::along(&lines));
        self.lines.push(Item::Lines(lines, pen));
    }

    /// A result, with thin dashed lines to the axes.
    fn place(&mut self, place: &Reading, series: &Series) {
        let at = self.at(place);
        if !self.holds(at) {
            self.notes.push(Note::PointOutside);
            return;
        }
        let lines = vec![
            vec![Point::new(self.frame.left, at.y), at],
            vec![at, Point::new(at.x, self.frame.bottom)],
        ];
        self.keep_off(&lines);
        let pen = Pen {
            line: Line::Dashed,
            ..Pen::new(Ink::Accent, 0.7)
        };
        self.lines.push(Item::Lines(lines, pen));
        let bars = marks::bars(place, &self.x, &self.y, &self.frame).lines;
        self.keep_off(&bars);
        if !bars.is_empty() {
            self.lines
                .push(Item::Lines(bars, marks::bar_pen(Ink::Accent)));
        }
        self.obstacles.area(self.now, &marks::area(at));
        marks::mark(1, at, Ink::Accent, &mut self.marks);
        self.label(series, Ink::Accent, vec![at]);
    }

    fn across(&mut self, value: f64, series: &Series) {
        let at = self.y.at(value);
        let ends = [
            Point::new(self.frame.left, at),
            Point::new(self.frame.right, at),
        ];
        self.straight(ends, series);
    }

    fn upright(&mut self, value: f64, series: &Series) {
        let at = self.x.at(value);
        let ends = [
            Point::new(at, self.frame.bottom),
            Point::new(at, self.frame.top),
        ];
        self.straight(ends, series);
    }

    fn straight(&mut self, ends: [Point; 2], series: &Series) {
        if !ends.iter().all(|end| self.holds(*end)) {
            self.notes.push(Note::LineOutside);
            return;
        }
        let lines = vec![ends.to_vec()];
        self.keep_off(&lines);
        self.label(series, Ink::Black, beside::along(&lines));
        self.lines
            .push(Item::Lines(lines, Pen::new(Ink::Black, 0.7)));
    }

    /// Hands all on in its order; whether every label has a place of its own.
    fn finish(mut self, are_keyed: bool, items: &mut Vec<Item>) -> bool {
        if are_keyed {
            self.labels.retain(|(.., is_series)| !is_series);
        }
        let inside = self.frame.wider(-2.0);
        let mut are_free = true;
        let (mut labels, mut owners, mut candidates) = (Vec::new(), Vec::new(), Vec::new());
        for (label, owner, _) in self.labels {
            let places = label.candidates(&inside);
            are_free &= !places.is_empty();
            if !places.is_empty() {
                labels.push(label);
                owners.push(Some(owner));
                candidates.push(places);
            }
        }
        let placed = labels::place(&candidates, &owners, &self.obstacles);
        items.append(&mut self.bands);
        items.append(&mut self.lines);
        items.append(&mut self.marks);
        for ((label, candidates), placed) in labels.iter().zip(&candidates).zip(placed) {
            are_free &= !placed.touches;
            // What has no place is said by a key, or below; a label across a line is not read.
            if !placed.touches {
                items.extend(label.items(&candidates[placed.candidate].area, self.has_grid));
            }
        }
        are_free
    }
}

/// A number of an axis in words beside it.
fn number(value: f64, scale: &Scale) -> Vec<Run> {
    match scale.times {
        Some(times) => vec![Run::words(super::times::text(times, value))],
        None => describe::number(value),
    }
}

/// Rows above the frame that say what each series is.
struct Keys {
    items: Vec<Item>,
    height: f64,
}

impl Keys {
    fn new(plot: &Plot, left: f64) -> Self {
        let mut keys = Self {
            items: Vec::new(),
            height: 0.0,
        };
        let right = plot.size.0 - 4.0;
        let mut at = Point::new(left, strip::ABOVE + 0.4 * TYPE);
        let (mut points, mut curves) = (0, 0);
        for series in &plot.panel.series {
            let number = match &series.shape {
                Shape::Points(_) => {
                    points += 1;
                    points - 1
                }
                Shape::Curve(curve) if !curve.stands_out => {
                    curves += 1;
                    curves - 1
                }
                Shape::Curve(_) | Shape::Place(_) | Shape::Horizontal(_) | Shape::Vertical(_) => 0,
            };
            if series.label.is_empty() {
                continue;
            }
            let lines = letters::wrapped(&series.label, TYPE, right - left - SAMPLE - 6.0);
            let widths = lines.iter().map(|line| letters::width(line, TYPE));
            let width = SAMPLE + 6.0 + widths.fold(0.0, f64::max);
            if at.x + width > right && at.x > left {
                at = Point::new(left, at.y + 1.2 * TYPE);
            }
            keys.sample(series, number, Point::new(at.x, at.y - 0.3 * TYPE));
            for (row, runs) in lines.into_iter().enumerate() {
                at.y += if row > 0 { 1.2 * TYPE } else { 0.0 };
                let size = (right - at.x - SAMPLE - 6.0) / letters::width(&runs, TYPE);
                keys.items.push(Item::Words(Words {
                    at: Point::new(at.x + SAMPLE + 6.0, at.y),
                    anchor: Anchor::Start,
                    size: TYPE * size.min(1.0),
                    runs,
                    ink: Ink::Black,
                    has_rim: false,
                }));
            }
            at.x += width + 1.5 * TYPE;
        }
        keys.height = at.y - strip::ABOVE + TYPE;
        keys
    }

    /// What a series looks like.
    fn sample(&mut self, series: &Series, number: usize, left: Point) {
        let right = Point::new(left.x + SAMPLE, left.y);
        let middle = Point::new(left.x + SAMPLE / 2.0, left.y);
        let line = vec![vec![left, right]];
        match &series.shape {
            Shape::Points(readings) if readings.len() > MOST_POINTS => {
                let area = [(0.0, -4.0), (SAMPLE, -4.0), (SAMPLE, 4.0), (0.0, 4.0)];
                let outline = area
                    .map(|(x, y)| Point::new(left.x + x, left.y + y))
                    .to_vec();
                let pen = Pen::new(Ink::Black, 0.5);
                self.items
                    .push(Item::Outline(outline, Ink::Band, Some(pen)));
            }
            Shape::Points(_) => marks::mark(number, middle, Ink::Black, &mut self.items),
            Shape::Curve(curve) => {
                let ink = if curve.stands_out {
                    Ink::Accent
                } else {
                    Ink::Black
                };
                self.items.push(Item::Lines(line, curves::pen(number, ink)));
            }
            Shape::Place(_) => marks::mark(1, middle, Ink::Accent, &mut self.items),
            Shape::Horizontal(_) => {
                self.items
                    .push(Item::Lines(line, Pen::new(Ink::Black, 0.7)));
            }
            Shape::Vertical(_) => {
                let upright = vec![vec![
                    Point::new(middle.x, left.y - 6.0),
                    Point::new(middle.x, left.y + 6.0),
                ]];
                self.items
                    .push(Item::Lines(upright, Pen::new(Ink::Black, 0.7)));
            }
        }
    }

    fn draw(self, items: &mut Vec<Item>) {
        items.extend(self.items);
    }
}
