//! Random numbers that are a function of who draws, and in which trial.
//!
//! Philox 4x32 with ten rounds (Salmon, Moraes, Dror and Shaw 2011) turns a counter into four
//! words by a key. The key is that of the source, the counter is the number of the trial: so each
//! source has its own numbers, in whatever order, and by however many threads, they are drawn.
//!
//! The counter's first two words are the trial, the third counts the attempts of a draw that may
//! be turned down, the fourth tells the parts of a source that draws several numbers a trial.

use std::f64::consts::TAU;
use std::sync::LazyLock;

const MULTIPLIERS: [u32; 2] = [0xD251_1F53, 0xCD9E_8D57];
const KEY_STEPS: [u32; 2] = [0x9E37_79B9, 0xBB67_AE85];
const ROUNDS: usize = 10;

/// What draws of a second kind add to the part, so that a source that needs both has both.
const SECOND_KIND: u32 = 1 << 31;

/// Four words of a counter.
fn block(key: u64, counter: [u32; 4]) -> [u32; 4] {
    let mut keys = [key as u32, (key >> 32) as u32];
    let mut words = counter;
    for round in 0..ROUNDS {
        if round > 0 {
            keys = [0, 1].map(|i| keys[i].wrapping_add(KEY_STEPS[i]));
        }
        let product = |i: usize| u64::from(MULTIPLIERS[i]) * u64::from(words[2 * i]);
        let (first, second) = (product(0), product(1));
        words = [
            (second >> 32) as u32 ^ words[1] ^ keys[0],
            second as u32,
            (first >> 32) as u32 ^ words[3] ^ keys[1],
            first as u32,
        ];
    }
    words
}

fn counter(trial: u64, attempt: u32, part: u32) -> [u32; 4] {
    [trial as u32, (trial >> 32) as u32, attempt, part]
}

fn halves(words: [u32; 4]) -> [u64; 2] {
    let joined = |low: u32, high: u32| u64::from(low) | u64::from(high) << 32;
    [joined(words[0], words[1]), joined(words[2], words[3])]
}

/// A number between 0 and 1, neither of which it is.
fn unit(bits: u64) -> f64 {
    ((bits >> 11) as f64 + 0.5) * 2_f64.powi(-53)
}

/// Who draws.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Source {
    /// Its key.
    pub key: u64,
}

impl Source {
    /// 64 bits; two trials in a row share the four words of their block.
    fn bits(self, trial: u64, part: u32) -> u64 {
        halves(block(self.key, counter(trial / 2, 0, part)))[(trial % 2) as usize]
    }

    /// Between 0 and 1, neither of which it is.
    pub fn uniform(self, trial: u64, part: u32) -> f64 {
        unit(self.bits(trial, part))
    }

    /// Evenly between −1 and 1.
    pub fn rectangular(self, trial: u64, part: u32) -> f64 {
        2.0 * self.uniform(trial, part) - 1.0
    }

    /// Between −1 and 1, falling evenly from 0 to both ends.
    pub fn triangular(self, trial: u64, part: u32) -> f64 {
        let u = self.rectangular(trial, part);
        u.signum() * (1.0 - (1.0 - u.abs()).sqrt())
    }

    /// Between −1 and 1, as a sine is at a random moment.
    pub fn arcsine(self, trial: u64, part: u32) -> f64 {
        libm::cos(TAU * self.uniform(trial, part))
    }

    /// Normal, with mean 0 and standard deviation 1.
    pub fn normal(self, trial: u64, part: u32) -> f64 {
        self.normal_from(self.bits(trial, part), trial, part)
    }

    /// Normal numbers of trials one after another.
    pub fn normals(self, first: u64, part: u32, into: &mut [f64]) {
        let mut trial = first;
        let mut rest = into;
        while !rest.is_empty() {
            let both = halves(block(self.key, counter(trial / 2, 0, part)));
            let from = (trial % 2) as usize;
            let count = rest.len().min(2 - from);
            let (now, later) = rest.split_at_mut(count);
            for (number, bits) in now.iter_mut().zip(&both[from..]) {
                *number = self.normal_from(*bits, trial, part);
                trial += 1;
            }
            rest = later;
        }
    }

    fn normal_from(self, bits: u64, trial: u64, part: u32) -> f64 {
        let ziggurat = &*ZIGGURAT;
        ziggurat.inside(bits).unwrap_or_else(|| {
            let mut later = Words::later(self, trial, part);
            ziggurat.finish(bits, &mut later)
        })
    }

    /// Student's t with `nu` degrees of freedom.
    pub fn student_t(self, nu: f64, trial: u64, part: u32) -> f64 {
        let square = 2.0 * self.gamma(nu / 2.0, trial, part);
        self.normal(trial, part) / (square / nu).sqrt()
    }

    /// The gamma distribution with this shape and scale 1 (Marsaglia and Tsang 2000).
    pub fn gamma(self, shape: f64, trial: u64, part: u32) -> f64 {
        let mut words = Words::later(self, trial, part | SECOND_KIND);
        if shape < 1.0 {
            let power = libm::pow(unit(words.next()), 1.0 / shape);
            return power * gamma(shape + 1.0, &mut words);
        }
        gamma(shape, &mut words)
    }
}

fn gamma(shape: f64, words: &mut Words) -> f64 {
    let d = shape - 1.0 / 3.0;
    let c = 1.0 / (9.0 * d).sqrt();
    loop {
        let x = ZIGGURAT.draw(words);
        let v = (1.0 + c * x).powi(3);
        let u = unit(words.next());
        if v > 0.0 && libm::log(u) < x * x / 2.0 + d - d * v + d * libm::log(v) {
            return d * v;
        }
    }
}

/// The words of the attempts of one draw, one after another.
struct Words {
    source: Source,
    trial: u64,
    part: u32,
    attempt: u32,
    /// What is left of the present block.
    left: Option<u64>,
}

impl Words {
    /// Those after the first attempt.
    fn later(source: Source, trial: u64, part: u32) -> Self {
        Self {
            source,
            trial,
            part,
            attempt: 1,
            left: None,
        }
    }

    fn next(&mut self) -> u64 {
        self.left.take().unwrap_or_else(|| {
            let counter = counter(self.trial, self.attempt, self.part);
            self.attempt += 1;
            let [first, second] = halves(block(self.source.key, counter));
            self.left = Some(second);
            first
        })
    }
}

/// The normal curve covered by layers of one area (Marsaglia and Tsang 2000, with the whole number
/// for the place and that for the layer apart, Doornik 2005).
struct Ziggurat {
    /// Where each layer ends; the lowest would end at its first number if it had no tail.
    ends: [f64; LAYERS + 1],
    /// How high the curve is there.
    heights: [f64; LAYERS + 1],
}

const LAYERS: usize = 256;

/// Where the tail begins, and the area of a layer, for 256 layers.
const TAIL: f64 = 3.654_152_885_361_008_8;
const AREA: f64 = 0.004_928_673_233_974_655;

static ZIGGURAT: LazyLock<Ziggurat> = LazyLock::new(Ziggurat::new);

fn bell(x: f64) -> f64 {
    libm::exp(-x * x / 2.0)
}

impl Ziggurat {
    fn new() -> Self {
        let mut ends = [0.0; LAYERS + 1];
        ends[0] = AREA / bell(TAIL);
        ends[1] = TAIL;
        for layer in 2..LAYERS {
            let below = ends[layer - 1];
            ends[layer] = (-2.0 * libm::log(AREA / below + bell(below))).sqrt();
        }
        Self {
            heights: ends.map(bell),
            ends,
        }
    }

    /// The place in its layer that these bits mean.
    fn place(&self, bits: u64) -> (usize, f64) {
        let layer = (bits % LAYERS as u64) as usize;
        (layer, (2.0 * unit(bits) - 1.0) * self.ends[layer])
    }

    /// The number that these bits mean if it lies where the curve covers its whole layer.
    fn inside(&self, bits: u64) -> Option<f64> {
        let (layer, x) = self.place(bits);
        (x.abs() < self.ends[layer + 1]).then_some(x)
    }

    fn draw(&self, words: &mut Words) -> f64 {
        let bits = words.next();
        self.inside(bits)
            .unwrap_or_else(|| self.finish(bits, words))
    }

    /// What comes of bits that lie at the edge of their layer.
    fn finish(&self, bits: u64, words: &mut Words) -> f64 {
        let (layer, x) = self.place(bits);
        if layer == 0 {
            return self.tail(words).copysign(x);
        }
        let (low, high) = (self.heights[layer], self.heights[layer + 1]);
        match low + (high - low) * unit(words.next()) < bell(x) {
            true => x,
            false => self.draw(words),
        }
    }

    /// Beyond the end of the lowest layer (Marsaglia 1964).
    fn tail(&self, words: &mut Words) -> f64 {
        loop {
            let x = -libm::log(unit(words.next())) / TAIL;
            let y = -libm::log(unit(words.next()));
            if 2.0 * y > x * x {
                return TAIL + x;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use statrs::function::beta::beta_reg;
    use statrs::function::erf::erf;
    use statrs::function::gamma::gamma_lr;

    use super::*;

    const DRAWS: u64 = 200_000;
    const SOURCE: Source = Source {
        key: 0x0123_4567_89ab_cdef,
    };

    /// The known answers that the authors of the generator publish.
    #[test]
    fn words_are_the_published_ones() {
        let all = u32::MAX;
        assert_eq!(
            block(0, [0; 4]),
            [0x6627_e8d5, 0xe169_c58d, 0xbc57_ac4c, 0x9b00_dbd8]
        );
        assert_eq!(
            block(u64::MAX, [all; 4]),
            [0x408f_276d, 0x41c8_3b0e, 0xa20b_c7c6, 0x6d54_51fd]
        );
    }

    #[test]
    fn layers_have_one_area() {
        let ziggurat = Ziggurat::new();
        for layer in 1..LAYERS {
            let height = ziggurat.heights[layer + 1] - ziggurat.heights[layer];
            let area = ziggurat.ends[layer] * height;
            assert!((area / AREA - 1.0).abs() < 1e-11, "{layer}: {area}");
        }
    }

    /// The largest distance of the distribution of some draws from that which they should have
    /// (Kolmogorov), times the root of their number.
    fn distance(mut draws: Vec<f64>, distribution: impl Fn(f64) -> f64) -> f64 {
        draws.sort_unstable_by(f64::total_cmp);
        let count = draws.len() as f64;
        let apart = draws.iter().enumerate().map(|(i, &x)| {
            let at = distribution(x);
            (at - i as f64 / count).max((i as f64 + 1.0) / count - at)
        });
        apart.fold(0.0, f64::max) * count.sqrt()
    }

    fn draws(draw: impl Fn(u64) -> f64) -> Vec<f64> {
        (0..DRAWS).map(draw).collect()
    }

    /// 1.95 is exceeded by one set of draws in a thousand.
    #[test]
    fn draws_have_their_distributions() {
        let normal = |x: f64| (1.0 + erf(x / 2_f64.sqrt())) / 2.0;
        let close = |draws, distribution: &dyn Fn(f64) -> f64| {
            let distance = distance(draws, distribution);
            assert!(distance < 1.95, "{distance}");
        };
        close(draws(|trial| SOURCE.uniform(trial, 0)), &|x| x);
        close(draws(|trial| SOURCE.normal(trial, 0)), &normal);
        close(draws(|trial| SOURCE.normal(trial, 7)), &normal);
        close(draws(|trial| SOURCE.triangular(trial, 0)), &|x| {
            (1.0 + x.signum() * (1.0 - (1.0 - x.abs()).powi(2))) / 2.0
        });
        close(draws(|trial| SOURCE.arcsine(trial, 0)), &|x| {
            0.5 + x.asin() / std::f64::consts::PI
        });
        for shape in [0.5, 1.0, 2.5, 40.0] {
            close(draws(|trial| SOURCE.gamma(shape, trial, 0)), &|x| {
                gamma_lr(shape, x)
            });
        }
        for nu in [2.0, 5.0, 18.5] {
            close(draws(|trial| SOURCE.student_t(nu, trial, 0)), &|t| {
                let tail = 0.5 * beta_reg(nu / 2.0, 0.5, nu / (nu + t * t));
                if t < 0.0 { tail } else { 1.0 - tail }
            });
        }
    }

    /// The tail beyond the lowest layer is too rare for the distance to see it.
    #[test]
    fn draws_reach_into_the_tail() {
        let draws: Vec<f64> = (0..1_000_000).map(|t| SOURCE.normal(t, 0)).collect();
        for (bound, expected) in [(TAIL, 257.9), (4.0, 63.34)] {
            let count = draws.iter().filter(|x| x.abs() > bound).count() as f64;
            assert!(
                (count - expected).abs() < 4.0 * f64::sqrt(expected),
                "{count}"
            );
        }
    }

    #[test]
    fn trials_in_a_row_are_the_trials_one_by_one() {
        for first in [0, 1, 6, (1 << 33) + 5] {
            let mut row = [0.0; 2001];
            SOURCE.normals(first, 3, &mut row);
            for (trial, number) in (first..).zip(row) {
                assert_eq!(number, SOURCE.normal(trial, 3));
            }
        }
    }

    #[test]
    fn sources_parts_and_kinds_have_numbers_of_their_own() {
        let other = Source {
            key: SOURCE.key + 1,
        };
        let pairs: [(Vec<f64>, Vec<f64>); 3] = [
            (
                draws(|t| SOURCE.normal(t, 0)),
                draws(|t| other.normal(t, 0)),
            ),
            (
                draws(|t| SOURCE.normal(t, 0)),
                draws(|t| SOURCE.normal(t, 1)),
            ),
            (
                draws(|t| SOURCE.normal(t, 0)),
                draws(|t| SOURCE.gamma(3.0, t, 0)),
            ),
        ];
        for (left, right) in pairs {
            let r = crate::statistics::spread::correlation(&left, &right).unwrap();
            assert!(r.abs() < 4.0 / (DRAWS as f64).sqrt(), "{r}");
        }
    }
}
