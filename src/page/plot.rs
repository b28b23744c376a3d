//! The figure of a `plot` block: its lines as a plot, and what is said below.

use super::notice::{self, without_result};
use super::tree::{Block, Figure, FigureData, Set, Text, begun, cited};
use super::{Page, prose};
use crate::document::Inline;
use crate::drawing::ink::Drawing;
use crate::drawing::letters;
use crate::drawing::plot::{self, Axis, Curve, Drawn, Panel, Plot, Reading, Series, Shape};
use crate::quantity;
use crate::syntax::Band;
use crate::typeset::{self, Level, Run};
use crate::worksheet::{self, Body, Look, PlotAxis, PlotPoint, Statement, Trials};

/// A full column.
const FULL: (f64, f64) = (664.0, 400.0);

/// A plot that is wider has another form for narrow screens, of this width.
const NARROW: f64 = 332.0;

/// So many points stand in a table below.
const MOST_LISTED: usize = 40;

/// The blocks that a plot becomes.
pub(super) fn blocks(page: &Page, statements: &[Statement]) -> Vec<Block> {
    let figure = figure(page, statements, &lines(statements));
    with_figure(page, statements, figure, |body| {
        matches!(body, Body::Plot(_))
    })
}

/// A figure, or the source of what cannot be drawn, and below it what is said of its lines; which
/// lines are its own, the body tells.
pub(super) fn with_figure(
    page: &Page,
    statements: &[Statement],
    figure: Option<Figure>,
    is_own: impl Fn(&Body) -> bool,
) -> Vec<Block> {
    let below = |statement: &Statement| match is_own(&statement.body) {
        true => notice::list(page, &statement.diagnostics),
        false => without_result(page, statement),
    };
    let below: Vec<Block> = statements.iter().flat_map(below).collect();
    let Some(figure) = figure else {
        return match statements.first() {
            Some(first) if below.is_empty() => vec![notice::source(page, first.span)],
            _ => below,
        };
    };
    std::iter::once(Block::Figure(Box::new(figure)))
        .chain(below)
        .collect()
}

/// The name of a figure: "Figure 1".
pub(super) fn name(page: &Page, statements: &[Statement]) -> String {
    let number = statements.first().and_then(|first| first.label.as_ref());
    let number = number.map_or(0, |(_, number)| page.equation(*number));
    format!("Figure\u{a0}{number}")
}

/// What a plot is called, in plain words.
pub(super) fn title(page: &Page, statements: &[Statement]) -> String {
    let words = caption(page, statements).unwrap_or_default();
    let words = letters::plain(&runs(&words));
    match words.is_empty() {
        true => name(page, statements),
        false => words,
    }
}

fn caption(page: &Page, statements: &[Statement]) -> Option<Text> {
    let first = statements.first()?;
    let is_caption =
        matches!(&first.body, Body::Plot(plot) if matches!(**plot, worksheet::Plot::Caption));
    is_caption.then(|| prose::text(page, &first.description))
}

/// The drawing alone; nothing where nothing can be drawn.
pub(super) fn drawing(page: &Page, statements: &[Statement]) -> Option<Drawing> {
    figure(page, statements, &lines(statements)).map(|figure| figure.wide)
}

/// The lines that could be evaluated.
fn lines(statements: &[Statement]) -> Vec<(&Statement, &worksheet::Plot)> {
    let lines = statements
        .iter()
        .filter_map(|statement| match &statement.body {
            Body::Plot(plot) => Some((statement, &**plot)),
            _ => None,
        });
    lines.collect()
}

fn figure(
    page: &Page,
    statements: &[Statement],
    lines: &[(&Statement, &worksheet::Plot)],
) -> Option<Figure> {
    let wide = as_data(page, statements, lines)?;
    let drawn = plot::draw(&wide)?;
    let narrow = (wide.size.0 > NARROW + 8.0).then(|| {
        let height = (0.65 * wide.size.1).max(200.0);
        plot::draw(&Plot {
            size: (NARROW, height),
            ..wide.clone()
        })
    });
    let narrow = narrow.flatten();
    let first = statements.first()?;
    let all: Vec<&Drawn> = std::iter::once(&drawn).chain(&narrow).collect();
    let text = self::below(page, statements, lines, &all);
    Some(Figure {
        is_sketch: false,
        id: page.anchor(&first.id),
        caption: text,
        data: data(page, statements, lines, &wide),
        wide: drawn.drawing,
        narrow: narrow.map(|drawn| drawn.drawing),
    })
}

/// "Figure 1. The pump and the plant. Bars of … are smaller than the marks."
fn below(
    page: &Page,
    statements: &[Statement],
    lines: &[(&Statement, &worksheet::Plot)],
    drawings: &[&Drawn],
) -> Text {
    let mut text = Text::default();
    text.strong(&format!("{}.", name(page, statements)));
    let mut said = String::new();
    if let Some(words) = caption(page, statements).filter(|words| !words.is_empty()) {
        said = letters::plain(&runs(&words));
        text.say(" ");
        text.append(words);
        text.say(".");
    }
    let has_gaps = lines
        .iter()
        .any(|(_, line)| matches!(line, worksheet::Plot::Curve { has_gaps: true, .. }));
    let gaps = has_gaps.then_some("a curve is broken off where its formula has no value");
    let has_band = |wanted: Band| {
        let mut lines = lines.iter();
        lines.any(|(_, line)| matches!(line, worksheet::Plot::Fit { band: Some(band), .. } if *band == wanted))
    };
    let bands = match (has_band(Band::Curve), has_band(Band::Reading)) {
        (false, false) => None,
        (true, false) => Some("the band is that of two standard uncertainties of the curve"),
        (false, true) => {
            Some("the band is that of two standard uncertainties of a further reading")
        }
        (true, true) => Some(
            "the bands are those of two standard uncertainties of the curve, and of a further reading",
        ),
    };
    let notes = plot::notes(drawings).into_iter().chain(gaps).chain(bands);
    // What the author says himself is not said again.
    for note in notes.filter(|note| !said.contains(note)) {
        text.say(format!(" {}.", begun(note)));
    }
    text
}

/// How a plot looks as a whole.
struct Whole {
    size: (f64, f64),
    has_grid: bool,
    /// By how many standard uncertainties bars reach to each side.
    factor: f64,
}

impl Whole {
    fn of(lines: &[(&Statement, &worksheet::Plot)]) -> Self {
        let mut whole = Self {
            size: FULL,
            has_grid: false,
            factor: 1.0,
        };
        for (_, line) in lines {
            if let worksheet::Plot::Look(look) = line {
                match look {
                    Look::Size(width, height) => whole.size = (width.min(FULL.0), *height),
                    Look::Grid => whole.has_grid = true,
                    Look::Bars(reach) => whole.factor = *reach,
                    Look::Axis { .. } => {}
                }
            }
        }
        whole
    }
}

/// Which line is a theory against data: the one curve of a formula beside points. A result has
/// what stands out for itself.
fn theory(lines: &[(&Statement, &worksheet::Plot)]) -> Option<usize> {
    let mut curves = Vec::new();
    let (mut has_points, mut has_place) = (false, false);
    for (at, (_, line)) in lines.iter().enumerate() {
        match line {
            worksheet::Plot::Points { .. } => has_points = true,
            worksheet::Plot::Place(_) => has_place = true,
            worksheet::Plot::Curve { .. } => curves.push(at),
            worksheet::Plot::Caption
            | worksheet::Plot::Fit { .. }
            | worksheet::Plot::Residuals { .. }
            | worksheet::Plot::Level { .. }
            | worksheet::Plot::Look(_) => {}
        }
    }
    let is_one = curves.len() == 1 && has_points && !has_place;
    curves.first().copied().filter(|_| is_one)
}

/// The lines as a plot; nothing where there is no series.
fn as_data(
    page: &Page,
    statements: &[Statement],
    lines: &[(&Statement, &worksheet::Plot)],
) -> Option<Plot> {
    let series_axes = lines.iter().find_map(|(_, line)| axes(line));
    let Some(axes) = series_axes else {
        return residuals_alone(page, statements, lines);
    };
    let [mut y, mut x] = [axis(page, &axes[0]), axis(page, &axes[1])];
    let whole = Whole::of(lines);
    for (_, line) in lines {
        if let worksheet::Plot::Look(Look::Axis {
            is_upright,
            is_logarithmic,
            is_reversed,
            from,
            to,
        }) = line
        {
            let own = if *is_upright { &mut y } else { &mut x };
            own.is_logarithmic = *is_logarithmic;
            own.is_reversed = *is_reversed;
            (own.from, own.to) = (*from, *to);
        }
    }
    let theory = theory(lines);
    let is_fit =
        |(_, line): &&(&Statement, &worksheet::Plot)| matches!(line, worksheet::Plot::Fit { .. });
    let fits = lines.iter().filter(is_fit).count();
    let series = lines
        .iter()
        .enumerate()
        .filter_map(|(at, (statement, line))| {
            let mut label = runs(&prose::text(page, &statement.description));
            if let worksheet::Plot::Fit { label: name, .. } = line
                && label.is_empty()
            {
                label.push(Run::words(match fits {
                    1 => "fit".to_owned(),
                    _ => format!("fit {name}"),
                }));
            }
            Some(Series {
                shape: shape(line, whole.factor, theory == Some(at))?,
                label,
            })
        });
    let strips = lines.iter().filter_map(|(_, line)| match line {
        worksheet::Plot::Residuals { points, axes } => {
            let own = axes.as_ref().map(|axes| axis(page, &axes[1]));
            Some(residuals(points, whole.factor, &y, own))
        }
        _ => None,
    });
    let mut strips: Vec<Panel> = strips.collect();
    // Those over the axis of the plot stand next to it.
    strips.sort_by_key(|strip| strip.x.is_some());
    Some(Plot {
        title: title(page, statements),
        size: whole.size,
        panel: Panel {
            y,
            x: None,
            series: series.collect(),
        },
        x,
        strips,
        has_grid: whole.has_grid,
    })
}

/// How the values of trials are spread, beside the normal curve of first order.
pub(super) fn density(page: &Page, statement: &Statement, trials: &Trials) -> Option<Block> {
    let unit = trials.shown.unit.text();
    let subject = typeset::runs(&typeset::math(&trials.subject, &page.context));
    let counted = PlotAxis {
        quantity: trials.subject.clone(),
        unit: trials.shown.unit.clone(),
        datum: trials.shown.word,
        times: None,
    };
    let x = axis(page, &counted);
    let of = match unit {
        "" => String::new(),
        unit if unit.contains(['/', '·', ' ', '°']) => format!(" / ({unit})\u{207b}\u{b9}"),
        unit => format!(" / {unit}\u{207b}\u{b9}"),
    };
    let y = Axis {
        title: vec![Run::words(format!("density{of}"))],
        spoken: ("density".to_owned(), String::new()),
        from: Some(0.0),
        ..x.clone()
    };
    let steps = trials
        .density
        .iter()
        .flat_map(|(left, right, height)| [(*left, *height), (*right, *height)]);
    let ends = [trials.density.first()?.0, trials.density.last()?.1];
    let steps: Vec<(f64, f64)> = (std::iter::once((ends[0], 0.0)).chain(steps))
        .chain([(ends[1], 0.0)])
        .collect();
    let band = steps.iter().map(|(_, height)| (0.0, *height)).collect();
    let curve = |run: Vec<(f64, f64)>, band| {
        Shape::Curve(Curve {
            runs: vec![run],
            band,
            stands_out: false,
        })
    };
    let series = |shape, words: &str| Series {
        shape,
        label: vec![Run::words(words)],
    };
    let title = format!("Trials of {}", letters::plain(&subject));
    let wide = Plot {
        title,
        size: (FULL.0, 280.0),
        x,
        panel: Panel {
            y,
            x: None,
            series: vec![
                series(curve(steps, vec![band]), "trials"),
                series(
                    curve(trials.normal.clone(), Vec::new()),
                    "first order, normal",
                ),
            ],
        },
        strips: Vec::new(),
        has_grid: false,
    };
    let narrow = plot::draw(&Plot {
        size: (NARROW, 220.0),
        ..wide.clone()
    });
    let drawn = plot::draw(&wide)?;
    let mut caption = Text::new("How the trials of\u{a0}");
    caption.formula(typeset::math(&trials.subject, &page.context));
    caption.say(" are spread, and the normal curve of first order.");
    Some(Block::Figure(Box::new(Figure {
        is_sketch: false,
        id: format!("{}-density", page.anchor(&statement.id)),
        caption,
        data: None,
        wide: drawn.drawing,
        narrow: narrow.map(|drawn| drawn.drawing),
    })))
}

/// A plot of residuals and nothing else: the first are the plot, others stand below.
fn residuals_alone(
    page: &Page,
    statements: &[Statement],
    lines: &[(&Statement, &worksheet::Plot)],
) -> Option<Plot> {
    let whole = Whole::of(lines);
    let all = lines.iter().filter_map(|(_, line)| match line {
        worksheet::Plot::Residuals {
            points,
            axes: Some(axes),
        } => {
            let [y, x] = [&axes[0], &axes[1]].map(|own| axis(page, own));
            Some(residuals(points, whole.factor, &y, Some(x)))
        }
        _ => None,
    });
    let mut all: Vec<Panel> = all.collect();
    if all.is_empty() {
        return None;
    }
    let mut panel = all.remove(0);
    let x = panel.x.take()?;
    Some(Plot {
        title: title(page, statements),
        size: whole.size,
        panel,
        x,
        strips: all,
        has_grid: whole.has_grid,
    })
}

fn axes(line: &worksheet::Plot) -> Option<&[PlotAxis; 2]> {
    match line {
        worksheet::Plot::Points { axes, .. } | worksheet::Plot::Curve { axes, .. } => Some(axes),
        worksheet::Plot::Caption
        | worksheet::Plot::Fit { .. }
        | worksheet::Plot::Residuals { .. }
        | worksheet::Plot::Place(_)
        | worksheet::Plot::Level { .. }
        | worksheet::Plot::Look(_) => None,
    }
}

/// "p / kPa gauge": a quantity over its unit (ISO 80000-1).
fn axis(page: &Page, axis: &PlotAxis) -> Axis {
    let quantity = without_index(typeset::runs(&typeset::math(&axis.quantity, &page.context)));
    let spoken = (letters::plain(&quantity), axis.unit.text().to_owned());
    Axis {
        title: title_runs(quantity, axis),
        spoken,
        is_logarithmic: false,
        is_reversed: false,
        times: axis.times,
        from: None,
        to: None,
    }
}

/// The letters of a formula without the index of its lists.
fn without_index(runs: Vec<Run>) -> Vec<Run> {
    let mut kept: Vec<Run> = Vec::with_capacity(runs.len());
    for run in runs {
        let is_index = run.level == Level::Lowered && run.text == "i";
        match kept.last_mut() {
            Some(last) if is_index && last.level == Level::Lowered && last.text == "," => {
                kept.pop();
            }
            _ if is_index => {}
            _ => kept.push(run),
        }
    }
    kept
}

fn title_runs(mut runs: Vec<Run>, axis: &PlotAxis) -> Vec<Run> {
    let unit = match axis.times {
        Some(times) => times.text(),
        None => axis.unit.text(),
    };
    let is_long = axis.times.is_none() && unit.contains(['/', '·', ' ']);
    let mut over = match (unit, is_long) {
        ("", _) => String::new(),
        (unit, true) => format!(" / ({unit})"),
        (unit, false) => format!(" / {unit}"),
    };
    if let Some(datum) = axis.datum {
        over.push(' ');
        over.push_str(datum);
    }
    if !over.is_empty() {
        runs.push(Run::words(over));
    }
    runs
}

/// What a line shows; bars reach to `factor` standard uncertainties.
fn shape(line: &worksheet::Plot, factor: f64, stands_out: bool) -> Option<Shape> {
    let reading = |point: &PlotPoint| Reading {
        x: point.x.0,
        y: point.y.0,
        bar_x: factor * point.x.1,
        bar_y: factor * point.y.1,
        is_left_out: point.is_left_out,
    };
    match line {
        worksheet::Plot::Points { points, .. } => {
            let points = points.iter().map(reading);
            Some(Shape::Points(
                points
                    .filter(|it| it.x.is_finite() && it.y.is_finite())
                    .collect(),
            ))
        }
        worksheet::Plot::Curve { runs, .. } => Some(Shape::Curve(Curve {
            runs: runs.clone(),
            band: Vec::new(),
            stands_out,
        })),
        worksheet::Plot::Fit { runs, band, .. } => Some(fitted(runs, band.is_some())),
        worksheet::Plot::Place(point) => Some(Shape::Place(reading(point))),
        worksheet::Plot::Level {
            value,
            is_upright: false,
        } => Some(Shape::Horizontal(*value)),
        worksheet::Plot::Level { value, .. } => Some(Shape::Vertical(*value)),
        worksheet::Plot::Caption | worksheet::Plot::Residuals { .. } | worksheet::Plot::Look(_) => {
            None
        }
    }
}

/// The curve of a fit, with its band of two standard uncertainties to each side.
fn fitted(runs: &[Vec<(f64, f64, f64)>], has_band: bool) -> Shape {
    let curve = |run: &Vec<(f64, f64, f64)>| run.iter().map(|(x, y, _)| (*x, *y)).collect();
    let band = |run: &Vec<(f64, f64, f64)>| {
        let ends = run.iter();
        ends.map(|(_, y, size)| (y - 2.0 * size, y + 2.0 * size))
            .collect()
    };
    Shape::Curve(Curve {
        runs: runs.iter().map(curve).collect(),
        band: if has_band {
            runs.iter().map(band).collect()
        } else {
            Vec::new()
        },
        stands_out: false,
    })
}

/// A strip of what the points are off a curve.
fn residuals(points: &[PlotPoint], factor: f64, y: &Axis, x: Option<Axis>) -> Panel {
    let readings = points.iter().map(|point| Reading {
        x: point.x.0,
        y: point.y.0,
        bar_x: 0.0,
        bar_y: factor * point.y.1,
        is_left_out: point.is_left_out,
    });
    let zero = Series {
        shape: Shape::Horizontal(0.0),
        label: Vec::new(),
    };
    let points = Series {
        shape: Shape::Points(readings.collect()),
        label: Vec::new(),
    };
    let mut title = vec![Run::words("residual of ")];
    title.extend(y.title.iter().cloned());
    Panel {
        y: Axis {
            title,
            spoken: (format!("residuals of {}", y.spoken.0), y.spoken.1.clone()),
            is_logarithmic: false,
            is_reversed: false,
            times: None,
            from: None,
            to: None,
        },
        x,
        series: vec![zero, points],
    }
}

/// The points in a table, where they are not too many.
fn data(
    page: &Page,
    statements: &[Statement],
    lines: &[(&Statement, &worksheet::Plot)],
    plot: &Plot,
) -> Option<FigureData> {
    let all = lines.iter().filter_map(|(statement, line)| match line {
        worksheet::Plot::Points { points, .. } => Some((*statement, points)),
        _ => None,
    });
    let all: Vec<(&Statement, &Vec<PlotPoint>)> = all.collect();
    let count: usize = all.iter().map(|(_, points)| points.len()).sum();
    if count == 0 || count > MOST_LISTED {
        return None;
    }
    let has_names = all.len() > 1;
    let heading = |runs: &[Run]| as_text(runs);
    let mut headings: Vec<Text> = has_names.then(|| Text::new("series")).into_iter().collect();
    headings.extend([heading(&plot.x.title), heading(&plot.panel.y.title)]);
    let mut rows = Vec::new();
    for (statement, points) in all {
        for point in points {
            let name = has_names.then(|| prose::text(page, &statement.description));
            let mut row: Vec<Text> = name.into_iter().collect();
            let axes = [(point.x, &plot.x), (point.y, &plot.panel.y)];
            row.extend(axes.map(|(number, axis)| match axis.times {
                Some(times) if number.0.is_finite() => Text::new(plot::time(times, number.0)),
                // What took no part has no uncertainty of its own.
                _ if point.is_left_out => said((number.0, 0.0)),
                _ => said(number),
            }));
            if point.is_left_out
                && let Some(last) = row.last_mut()
            {
                last.say(", left out");
            }
            rows.push(row);
        }
    }
    Some(FigureData {
        name: format!("Data of {}", name(page, statements)),
        headings,
        rows,
    })
}

/// "1.204 ± 0.012"
fn said((value, uncertainty): (f64, f64)) -> Text {
    if !value.is_finite() {
        return Text::new("–");
    }
    if uncertainty > 0.0 {
        let printed = quantity::estimate(value, uncertainty, quantity::Extent::Uncertainty(2));
        let both = quantity::estimate_beside(&printed.value, &printed.uncertainty);
        return Text::new(both);
    }
    Text::new(quantity::to_figures(value, 5).text())
}

/// Letters of a drawing as words of the page.
fn as_text(runs: &[Run]) -> Text {
    let words = runs.iter().map(|run| run.text.as_str());
    Text::new(words.collect::<String>())
}

/// Words of the page as letters of a drawing.
pub(super) fn runs(text: &Text) -> Vec<Run> {
    let mut found = Vec::new();
    text.0.iter().for_each(|inline| put(inline, &mut found));
    found
}

fn put(inline: &Inline<Set>, found: &mut Vec<Run>) {
    let all = |inlines: &[Inline<Set>], found: &mut Vec<Run>| {
        inlines.iter().for_each(|inline| put(inline, found));
    };
    match inline {
        Inline::Text(words) | Inline::Code(words) => {
            found.push(Run::words(words.replace('\n', " ")))
        }
        Inline::LineBreak => found.push(Run::words(" ")),
        Inline::Styled(_, content) => all(content, found),
        Inline::Link(link) => all(&link.content, found),
        Inline::Tex(tex) => found.push(Run::words(tex.tex.clone())),
        Inline::Image(image) => found.push(Run::words(image.words.clone())),
        Inline::Note { .. } => {}
        Inline::Other(set) => match &**set {
            // A name and its value stay on one line.
            Set::Formula(node) => found.extend(typeset::runs(node).into_iter().map(|run| Run {
                text: run.text.replace(' ', "\u{a0}"),
                ..run
            })),
            Set::Words(text) | Set::Span(_, text) | Set::OwnLine(_, text) | Set::To(_, text) => {
                all(&text.0, found);
            }
            Set::Cited { words, number, .. } => found.push(Run::words(cited(words, *number))),
            Set::MayBreak | Set::Room { .. } | Set::Picture(_) => {}
            Set::List { rows, .. } => {
                let entries = rows.last().map_or(&[][..], |row| &row.entries);
                for (at, entry) in entries.iter().enumerate() {
                    found.push(Run::words(if at > 0 { ", " } else { "" }));
                    all(&entry.0, found);
                }
            }
        },
    }
}
