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

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn no_words_touch_a_line_or_other_words(plot in plot()) {
        let Some(drawn) = draw(&plot) else { return Ok(()) };
        let words = words(&drawn);
        for (at, one) in words.iter().enumerate() {
            let own = one.area().wider(-0.5);
            for other in &words[at + 1..] {
                let shared = own.shared(&other.area());
                prop_assert!(shared == 0.0, "{} and {}", text(one), text(other));
            }
            for (from, to) in strokes(&drawn) {
                prop_assert!(!own.meets(from, to), "{} and {from:?} {to:?}", text(one));
            }
        }
    }

    #[test]
    fn nothing_is_outside_of_the_view(plot in plot()) {
        let Some(drawn) = draw(&plot) else { return Ok(()) };
        let view = Area {
            left: 0.0,
            top: 0.0,
            right: drawn.drawing.width,
            bottom: drawn.drawing.height,
        };
        for words in words(&drawn) {
            prop_assert!(view.holds(&words.area()), "{} {:?}", text(words), words.area());
        }
        for (from, to) in strokes(&drawn) {
            for end in [from, to] {
                let area = Area { left: end.x, top: end.y, right: end.x, bottom: end.y };
                prop_assert!(view.holds(&area), "{end:?}");
            }
        }
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
