//! What holds of every plot, tried on random ones.

use proptest::prelude::*;

use super::*;
use crate::drawing::ink::{Area, Ink, Item, Point, Words};
use crate::drawing::{latex, letters, svg};

fn axis(title: &str) -> Axis {
    Axis {
        title: vec![Run::words(title)],
        spoken: (title.to_owned(), "m".to_owned()),
        is_logarithmic: false,
        is_reversed: false,
        times: None,
        from: None,
        to: None,
    }
}

fn reading() -> impl Strategy<Value = Reading> {
    (-1.0..1.0, -1.0..1.0, 0.0..0.2, 0.0..0.2, 0..9).prop_map(|(x, y, bar_x, bar_y, kind)| {
        Reading {
            x,
            y,
            bar_x: if kind < 4 { bar_x } else { 0.0 },
            bar_y,
            is_left_out: kind == 8,
        }
    })
}

/// A curve with some waves.
fn curve() -> impl Strategy<Value = Curve> {
    let waves = proptest::collection::vec((-0.6..0.6, 0.0..7.0, 0.0..6.0), 1..4);
    (waves, any::<bool>(), any::<bool>()).prop_map(|(waves, has_band, stands_out)| {
        let run: Vec<(f64, f64)> = (0..=200)
            .map(|at| {
                let x = f64::from(at) / 100.0 - 1.0;
                let wave =
                    |(size, speed, phase): &(f64, f64, f64)| size * (speed * x + phase).sin();
                (x, waves.iter().map(wave).sum())
            })
            .collect();
        let band = run
            .iter()
            .map(|(x, y)| (y - 0.1 - 0.05 * x, y + 0.1 + 0.05 * x));
        Curve {
            band: if has_band {
                vec![band.collect()]
            } else {
                Vec::new()
            },
            runs: vec![run],
            stands_out,
        }
    })
}

fn shape() -> impl Strategy<Value = Shape> {
    prop_oneof![
        3 => proptest::collection::vec(reading(), 1..40).prop_map(Shape::Points),
        3 => curve().prop_map(Shape::Curve),
        1 => reading().prop_map(|place| Shape::Place(Reading { is_left_out: false, ..place })),
        1 => (-1.0..1.0).prop_map(Shape::Horizontal),
        1 => (-1.0..1.0).prop_map(Shape::Vertical),
    ]
}

/// Series of every kind, their size moved by a power of ten.
fn plot() -> impl Strategy<Value = Plot> {
    let labels = prop_oneof![
        Just("measured"),
        Just("a longer label with several words in it, which is broken"),
        Just("plant, ± 6 %"),
        Just(""),
    ];
    let series = proptest::collection::vec((shape(), labels), 1..6);
    let sizes = prop_oneof![Just((664.0, 400.0)), Just((332.0, 250.0))];
    let flags = (any::<[bool; 5]>(), 0..3_usize);
    (series, sizes, flags, -9..9_i32, 0..3_usize).prop_map(
        |(series, size, (flags, ends), power, strips)| {
            let [grid, log_x, log_y, reversed_x, reversed_y] = flags;
            let series: Vec<Series> = (series.into_iter())
                .map(|(shape, label)| Series {
                    shape: moved(shape, log_x, log_y, power),
                    label: match label {
                        "" => Vec::new(),
                        label => vec![Run::words(label)],
                    },
                })
                .collect();
            let x = Axis {
                is_logarithmic: log_x,
                is_reversed: reversed_x,
                ..axis("length")
            };
            let y = Axis {
                is_logarithmic: log_y,
                is_reversed: reversed_y,
                from: (ends == 1 && !log_y).then(|| -0.5 * 10_f64.powi(power)),
                to: (ends == 2).then(|| 10_f64.powi(power)),
                ..axis("height of all that was seen")
            };
            let points = |series: &&Series| matches!(series.shape, Shape::Points(_));
            let residuals = series.iter().find(points).cloned();
            let strip = residuals.map(|series| Panel {
                y: Axis {
                    from: None,
                    ..y.clone()
                },
                x: None,
                series: vec![Series {
                    label: Vec::new(),
                    ..series
                }],
            });
            // The second has an axis of its own.
            let own = strip.as_ref().map(|strip| Panel {
                x: Some(axis("run")),
                ..strip.clone()
            });
            let strips = strip.into_iter().chain(own).take(strips).collect();
            Plot {
                title: "Random".to_owned(),
                size,
                x,
                panel: Panel { y, x: None, series },
                strips,
                has_grid: grid,
            }
        },
    )
}

/// A shape of numbers between −1 and 1 as one for these axes.
fn moved(shape: Shape, log_x: bool, log_y: bool, power: i32) -> Shape {
    let x = move |value: f64| if log_x { 10_f64.powf(value) } else { value };
    let y = move |value: f64| {
        let value = if log_y {
            10_f64.powf(2.0 * value)
        } else {
            value
        };
        value * 10_f64.powi(power)
    };
    let reading = move |it: Reading| Reading {
        x: x(it.x),
        y: y(it.y),
        bar_y: it.bar_y * 10_f64.powi(power),
        ..it
    };
    match shape {
        Shape::Points(readings) => Shape::Points(readings.into_iter().map(reading).collect()),
        Shape::Curve(curve) => {
            let place = move |it: &(f64, f64)| (x(it.0), y(it.1));
            let ends = move |it: &(f64, f64)| (y(it.0), y(it.1));
            Shape::Curve(Curve {
                runs: curve
                    .runs
                    .iter()
                    .map(|run| run.iter().map(place).collect())
                    .collect(),
                band: curve
                    .band
                    .iter()
                    .map(|run| run.iter().map(ends).collect())
                    .collect(),
                ..curve
            })
        }
        Shape::Place(place) => Shape::Place(reading(place)),
        Shape::Horizontal(at) => Shape::Horizontal(y(at)),
        Shape::Vertical(at) => Shape::Vertical(x(at)),
    }
}

fn words(drawn: &Drawn) -> Vec<&Words> {
    let words = drawn.drawing.items.iter().filter_map(|item| match item {
        Item::Words(words) => Some(words),
        Item::Lines(..) | Item::Outline(..) | Item::Circle(..) => None,
    });
    words.collect()
}

/// Every line that is drawn, but for the grid.
fn strokes(drawn: &Drawn) -> Vec<(Point, Point)> {
    let mut found = Vec::new();
    for item in &drawn.drawing.items {
        match item {
            Item::Lines(_, pen) if pen.ink == Ink::Quiet && pen.width == 0.5 => {}
            Item::Lines(lines, _) => {
                let pairs = lines.iter().flat_map(|line| line.windows(2));
                found.extend(pairs.map(|pair| (pair[0], pair[1])));
            }
            Item::Outline(points, ..) => {
                found.extend(points.windows(2).map(|pair| (pair[0], pair[1])));
            }
            Item::Circle(at, radius, ..) => {
                let side = Point::new(radius * 0.7, radius * 0.7);
                found.push((
                    Point::new(at.x - side.x, at.y - side.y),
                    Point::new(at.x + side.x, at.y + side.y),
                ));
            }
            Item::Words(_) => {}
        }
    }
    found
}

fn text(words: &Words) -> String {
    letters::plain(&words.runs)
}

/// No words touch a line or other words.
fn apart(drawn: &Drawn) -> Result<(), TestCaseError> {
    let words = words(drawn);
    let strokes = strokes(drawn);
    for (at, one) in words.iter().enumerate() {
        let own = one.area().wider(-0.5);
        for other in &words[at + 1..] {
            let shared = own.shared(&other.area());
            prop_assert!(shared == 0.0, "{} and {}", text(one), text(other));
        }
        for (from, to) in &strokes {
            prop_assert!(!own.meets(*from, *to), "{} and {from:?} {to:?}", text(one));
        }
    }
    Ok(())
}

/// All of it is in view, and has a place.
fn inside(drawn: &Drawn) -> Result<(), TestCaseError> {
    let view = Area {
        left: 0.0,
        top: 0.0,
        right: drawn.drawing.width,
        bottom: drawn.drawing.height,
    };
    for words in words(drawn) {
        prop_assert!(
            view.holds(&words.area()),
            "{} {:?}",
            text(words),
            words.area()
        );
    }
    for (from, to) in strokes(drawn) {
        for end in [from, to] {
            let area = Area {
                left: end.x,
                top: end.y,
                right: end.x,
                bottom: end.y,
            };
            prop_assert!(view.holds(&area), "{end:?}");
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn no_words_touch_a_line_or_other_words(plot in plot()) {
        let Some(drawn) = draw(&plot) else { return Ok(()) };
        apart(&drawn)?;
    }

    #[test]
    fn nothing_is_outside_of_the_view(plot in plot()) {
        let Some(drawn) = draw(&plot) else { return Ok(()) };
        inside(&drawn)?;
    }

    #[test]
    fn every_series_with_a_name_is_named(plot in plot()) {
        let Some(drawn) = draw(&plot) else { return Ok(()) };
        let said: Vec<String> = words(&drawn).into_iter().map(text).collect();
        for series in &plot.panel.series {
            let is_seen = match &series.shape {
                Shape::Points(readings) => readings.iter().any(|it| {
                    let (from, to) = (plot.panel.y.from, plot.panel.y.to);
                    !it.is_left_out
                        && from.is_none_or(|from| it.y > from)
                        && to.is_none_or(|to| it.y < to)
                }),
                Shape::Curve(_) | Shape::Place(_) | Shape::Horizontal(_) | Shape::Vertical(_) => {
                    plot.panel.y.from.is_none() && plot.panel.y.to.is_none()
                }
            };
            let label = letters::plain(&series.label);
            let first = label.split(' ').next().unwrap_or_default();
            let is_said = said.iter().any(|words| words.starts_with(first));
            prop_assert!(!is_seen || is_said, "{label} in {said:?}");
        }
    }

    #[test]
    fn it_is_the_same_twice_and_well_formed(plot in plot()) {
        let written = || draw(&plot).map(|drawn| {
            let (mut page, mut paper) = (String::new(), String::new());
            svg::write(&drawn.drawing, "wide", &mut page);
            latex::write(&drawn.drawing, &mut paper);
            (page, paper)
        });
        let Some((page, paper)) = written() else { return Ok(()) };
        prop_assert_eq!(written(), Some((page.clone(), paper.clone())));
        let tree = roxmltree::Document::parse(&page);
        prop_assert!(tree.is_ok(), "{:?}", tree.err());
        for text in [&page, &paper] {
            prop_assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
        }
        let tree = roxmltree::Document::parse(&page).unwrap();
        let attributes = tree.descendants().flat_map(|node| node.attributes());
        for attribute in attributes {
            let numbers = attribute.value().split(|it: char| !it.is_ascii_digit() && it != '.');
            for (_, decimals) in numbers.filter_map(|number| number.split_once('.')) {
                prop_assert!(decimals.len() <= 2, "{}", attribute.value());
            }
        }
    }
}

/// Numbers as laboratories have them: far from 0 and close together, all alike, one, none, many.
fn numbers(most: usize) -> impl Strategy<Value = Vec<f64>> {
    let offset = prop_oneof![
        Just(0.0),
        Just(1e5),
        Just(-1e5),
        Just(273.15),
        Just(3e-7),
        Just(4.2e12),
    ];
    let width = prop_oneof![Just(1e-3), Just(1.0), Just(25.0), Just(8e6), Just(0.0)];
    let parts = proptest::collection::vec(-1.0..1.0_f64, 0..most);
    (offset, width, parts).prop_map(|(offset, width, parts): (f64, f64, Vec<f64>)| {
        parts
            .into_iter()
            .map(|part| offset + width * part)
            .collect()
    })
}

fn wild_series() -> impl Strategy<Value = Series> {
    let labels = prop_oneof![
        Just(String::new()),
        Just("measured".to_owned()),
        Just("ends of all bars that were read on the second of the two days, by hand".to_owned()),
        Just("withoutanyblank".repeat(5)),
    ];
    let count = prop_oneof![20 => Just(2_usize), 20 => Just(40), 1 => Just(6000)];
    let shape = count.prop_flat_map(|count| (numbers(count), numbers(count), 0..4_u8, 0.0..2.0));
    (shape, labels).prop_map(|((xs, ys, kind, bar), label)| {
        let places: Vec<(f64, f64)> = xs.into_iter().zip(ys).collect();
        let reading = |(at, (x, y)): (usize, &(f64, f64))| Reading {
            x: *x,
            y: *y,
            bar_x: 0.0,
            bar_y: if at % 3 == 0 { bar } else { 0.0 },
            is_left_out: at % 11 == 10,
        };
        let shape = match kind {
            0 | 1 => Shape::Points(places.iter().enumerate().map(reading).collect()),
            2 => Shape::Curve(Curve {
                runs: vec![places.iter().copied().take(200).collect()],
                band: Vec::new(),
                stands_out: false,
            }),
            _ => match places.first() {
                Some(first) => Shape::Horizontal(first.1),
                None => Shape::Points(Vec::new()),
            },
        };
        Series {
            shape,
            label: if label.is_empty() {
                Vec::new()
            } else {
                vec![Run::words(label)]
            },
        }
    })
}

/// Plots that nobody would have drawn by hand.
fn wild() -> impl Strategy<Value = Plot> {
    let ends = || prop_oneof![3 => Just(None), 1 => (-2e5..2e5_f64).prop_map(Some)];
    let sizes = prop_oneof![
        Just((664.0, 400.0)),
        Just((332.0, 260.0)),
        Just((250.0, 200.0)),
        Just((664.0, 120.0)),
    ];
    let series = proptest::collection::vec(wild_series(), 1..12);
    (series, sizes, any::<[bool; 5]>(), ends(), ends()).prop_map(
        |(series, size, [log_x, log_y, reversed_x, reversed_y, has_strip], from, to)| {
            let (from, to) = match (from, to) {
                (Some(from), Some(to)) if from >= to => (None, Some(to)),
                ends => ends,
            };
            let stated = |end: Option<f64>, is_log: bool| end.filter(|end| !is_log || *end > 0.0);
            let x = Axis {
                is_logarithmic: log_x,
                is_reversed: reversed_x,
                from: stated(from, log_x),
                ..axis("length")
            };
            let y = Axis {
                is_logarithmic: log_y,
                is_reversed: reversed_y,
                to: stated(to, log_y),
                ..axis("height")
            };
            let zero = Series {
                shape: Shape::Horizontal(0.0),
                label: Vec::new(),
            };
            let strip = Panel {
                y: axis("residual of height"),
                x: None,
                series: std::iter::once(zero)
                    .chain(series.iter().take(1).cloned().map(|series| Series {
                        label: Vec::new(),
                        ..series
                    }))
                    .collect(),
            };
            Plot {
                title: "Wild".to_owned(),
                size,
                x,
                panel: Panel { y, x: None, series },
                strips: has_strip.then_some(strip).into_iter().collect(),
                has_grid: false,
            }
        },
    )
}

/// The number that the words of a tick say.
fn said(number: &[Run]) -> Option<f64> {
    let mut text = letters::plain(number).replace('−', "-").replace('^', "");
    if let Some((mantissa, power)) = text.clone().split_once(" × 10") {
        text = format!("{mantissa}e{}", if power.is_empty() { "1" } else { power });
    } else if number.len() == 2 {
        text = format!("1e{}", text.strip_prefix("10")?);
    }
    text.parse().ok()
}

/// Each number of an axis is that of its place, and they stand at 1, 2 and 5 times powers of ten.
fn counted(axis: &Axis, range: scale::Range, length: f64) -> Result<(), TestCaseError> {
    let scale = scale::Scale::new(axis, range, (0.0, length), true);
    let found = ticks::ticks(&scale, ticks::ACROSS);
    let numbered: Vec<(f64, f64)> = (found.iter())
        .filter_map(|tick| Some((tick.value, said(tick.number.as_ref()?)?)))
        .collect();
    let all = found.iter().filter(|tick| tick.number.is_some()).count();
    prop_assert_eq!(numbered.len(), all);
    prop_assert!(numbered.len() >= 2, "{numbered:?} of {scale:?}");
    let apart = numbered.windows(2).map(|pair| pair[1].0 - pair[0].0);
    let step = apart.fold(f64::INFINITY, f64::min);
    for (value, said) in &numbered {
        let slack = 1e-3 * step + 1e-15 * value.abs();
        prop_assert!(
            (value - said).abs() <= slack,
            "{said} at {value} of {scale:?}"
        );
    }
    // Even steps have one digit.
    if !scale.is_logarithmic {
        let digit = step / 10_f64.powf(step.log10().floor() + 1e-12);
        let is_round = [1.0, 2.0, 5.0, 10.0]
            .iter()
            .any(|it| (digit / it - 1.0).abs() < 1e-2);
        prop_assert!(
            is_round || step < 1e-11 * scale.to.abs(),
            "{step} of {scale:?}"
        );
    }
    Ok(())
}

/// So many are tried; `WILD=2000 cargo test --lib wild` tries more.
fn tried() -> u32 {
    let wished = std::env::var("WILD");
    let wished = wished.ok().and_then(|count| count.parse().ok());
    wished.unwrap_or(80)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(tried()))]

    /// Every point that is given is drawn, or is told to lie outside.
    #[test]
    fn a_wild_plot_is_whole(plot in wild()) {
        let Some(drawn) = draw(&plot) else {
            let axes = [&plot.x, &plot.panel.y];
            let is_seen = |series: &Series| match &series.shape {
                Shape::Points(readings) => readings.iter().any(|it| it.is_seen(axes[0], axes[1])),
                Shape::Curve(_) | Shape::Place(_) | Shape::Horizontal(_) | Shape::Vertical(_) => false,
            };
            prop_assert!(!plot.panel.series.iter().any(is_seen), "{plot:?}");
            return Ok(());
        };
        inside(&drawn)?;
        apart(&drawn)?;
        let mut page = String::new();
        svg::write(&drawn.drawing, "wide", &mut page);
        prop_assert!(!page.contains("NaN") && !page.contains("inf"), "{page}");
        let panels = std::iter::once(&plot.panel).chain(&plot.strips);
        let series = panels.flat_map(|panel| &panel.series);
        let mut given = 0;
        for series in series {
            if let Shape::Points(readings) = &series.shape && readings.len() <= curves::MOST_POINTS {
                given += readings.len();
            }
        }
        let marks = drawn.drawing.items.iter().filter(|item| match item {
            Item::Circle(_, _, _, pen) | Item::Outline(_, _, Some(pen)) => pen.width == marks::OUTLINE,
            Item::Outline(_, _, None) | Item::Lines(..) | Item::Words(_) => false,
        });
        let arrows = drawn.drawing.items.iter().filter(|item| {
            matches!(item, Item::Lines(lines, pen)
                if pen.ink == Ink::Quiet && lines.len() == 2 && lines[1].len() == 3)
        });
        let seen = marks.count() + arrows.count();
        let is_told = drawn.notes.contains(&Note::PointOutside);
        prop_assert!(seen >= given || is_told, "{seen} of {given}");
    }

    #[test]
    fn the_numbers_of_an_axis_are_those_of_its_places(
        offset in prop_oneof![Just(0.0), Just(1e5), Just(-1e5), Just(3e-7), Just(273.15), -1e9..1e9],
        power in -9.0..9.0_f64,
        length in 60.0..700.0_f64,
        is_logarithmic in any::<bool>(),
    ) {
        let width = 10_f64.powf(power).max(1e-11 * f64::abs(offset));
        let (least, greatest) = match is_logarithmic {
            true => (width, width * 10_f64.powf(power.abs())),
            false => (offset, offset + width),
        };
        let own = Axis { is_logarithmic, ..axis("length") };
        counted(&own, scale::Range { least, greatest }, length)?;
    }
}
