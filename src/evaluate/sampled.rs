//! A function over a range: enough places to draw it.

/// A range of places.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Range {
    /// The first and the last.
    pub ends: (f64, f64),
    /// Whether they are as far apart by their logarithms.
    pub is_logarithmic: bool,
}

/// Into how many parts a range is divided at first.
const PARTS: usize = 240;

/// How often parts are halved in which the function bends.
const ROUNDS: usize = 4;

/// No more places than this.
const MOST: usize = 2000;

/// The share of its whole height by which a function may lie beside the line from place to place.
const TOLERANCE: f64 = 1.0 / 800.0;

/// A place, and what the function has there: a value and its standard uncertainty.
type Sample = (f64, Option<(f64, f64)>);

impl Range {
    /// The place at a part of the way.
    fn at(self, part: f64) -> f64 {
        let (from, to) = self.ends;
        match self.is_logarithmic {
            _ if part == 0.0 => from,
            _ if part == 1.0 => to,
            true => from * (to / from).powf(part),
            false => from + (to - from) * part,
        }
    }
}

/// A function at places over a range, closer where it bends and where it begins or ends to have a
/// value.
pub(super) fn sampled(
    range: Range,
    mut function: impl FnMut(f64) -> Option<(f64, f64)>,
) -> Vec<Sample> {
    let mut take = |part: f64| {
        let at = range.at(part);
        (part, (at, function(at)))
    };
    let mut found: Vec<(f64, Sample)> = (0..=PARTS)
        .map(|part| take(part as f64 / PARTS as f64))
        .collect();
    for _ in 0..ROUNDS {
        let halved = bent(&found);
        let count = halved.iter().filter(|it| **it).count();
        if count == 0 || found.len() + count > MOST {
            break;
        }
        let mut finer = Vec::with_capacity(found.len() + count);
        for (at, own) in found.iter().enumerate() {
            finer.push(*own);
            if let Some(next) = found.get(at + 1).filter(|_| halved[at]) {
                finer.push(take(f64::midpoint(own.0, next.0)));
            }
        }
        found = finer;
    }
    found.into_iter().map(|(_, sample)| sample).collect()
}

/// Whether each part, from one place to the next, is to be halved.
fn bent(found: &[(f64, Sample)]) -> Vec<bool> {
    let value = |at: usize| {
        found
            .get(at)
            .and_then(|(_, (_, value))| Some(value.as_ref()?.0))
    };
    let values = || (0..found.len()).filter_map(value);
    let (low, high) = values().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), it| {
        (low.min(it), high.max(it))
    });
    let most = TOLERANCE * (high - low);
    let mut halved = vec![false; found.len()];
    for at in 0..found.len().saturating_sub(1) {
        halved[at] |= value(at).is_some() != value(at + 1).is_some();
        let (Some(before), Some(own), Some(next)) = (value(at), value(at + 1), value(at + 2))
        else {
            continue;
        };
        let part = (found[at + 1].0 - found[at].0) / (found[at + 2].0 - found[at].0);
        let beside = own - (before + part * (next - before));
        if beside.abs() > most {
            halved[at] = true;
            halved[at + 1] = true;
        }
    }
    halved
}

#[cfg(test)]
mod tests {
    use super::*;

    fn straight(from: f64, to: f64) -> Range {
        Range {
            ends: (from, to),
            is_logarithmic: false,
        }
    }

    #[test]
    fn a_straight_line_takes_no_more_places_than_any() {
        let found = sampled(straight(-1.0, 3.0), |at| Some((2.0 * at, 0.0)));
        assert_eq!(found.len(), PARTS + 1);
        assert_eq!((found[0].0, found[PARTS].0), (-1.0, 3.0));
    }

    #[test]
    fn many_swings_are_drawn_to_their_crests() {
        let found = sampled(straight(0.0, 90.0), |at| Some(((6.0 * at).sin(), 0.0)));
        let between = found.windows(2).map(|pair| {
            let middle = f64::midpoint(pair[0].0, pair[1].0);
            let drawn = pair.iter().filter_map(|(_, value)| Some(value.as_ref()?.0));
            ((6.0 * middle).sin() - drawn.sum::<f64>() / 2.0).abs()
        });
        assert!(between.fold(0.0, f64::max) < 0.02);
    }

    #[test]
    fn the_end_of_what_has_a_value_is_found_closely() {
        let found = sampled(straight(0.0, 10.0), |at| {
            (at >= 3.21).then(|| ((at - 3.21).sqrt(), 0.0))
        });
        let first = found.iter().find(|(_, value)| value.is_some());
        assert!(first.is_some_and(|(at, _)| at - 3.21 < 10.0 / 240.0 / 15.0));
    }

    #[test]
    fn on_a_logarithmic_axis_places_are_as_far_apart_to_be_seen() {
        let range = Range {
            ends: (0.1, 1000.0),
            is_logarithmic: true,
        };
        let found = sampled(range, |at| Some((at.ln(), 0.0)));
        let ratios = found.windows(2).map(|pair| pair[1].0 / pair[0].0);
        let widest = ratios.fold(0.0, f64::max);
        assert!(widest < 1.04, "{widest}");
        assert_eq!(found[found.len() - 1].0, 1000.0);
    }
}
