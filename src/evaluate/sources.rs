//! Sources of uncertainty: what there is of each, and what several of them make of a value.
//!
//! A **source** is one error, wherever it is met. It has a number, by which gradients tell the
//! derivatives of a value ([`super::number::Partial`], sorted by it), and a standard uncertainty
//! in coherent SI units. All else is told of a **block** of sources, which have consecutive
//! numbers: where they come from, their distribution, type, degrees of freedom. An uncertain number
//! is a block of one; a column of readings, each with an error of its own, is a block with one a
//! row; the parameters of a fit are a block that counts as one source and whose members correlate.
//!
//! Whoever makes sources calls [`Sources::add`] with an [`About`] and a standard uncertainty each,
//! gets the first number, and gives its values gradients by these numbers:
//!
//! - what each reading has by itself: as many sources as readings, the derivative of each being 1;
//! - what all readings have in common: one source, with the derivative that it moves each by;
//! - a result of scatter: a source with [`About::by_scatter`], and [`Sources::correlate`] with
//!   those results that share its rows, which then count as one source with it;
//! - parameters: as many sources, correlated with each other, [`About::is_one`].
//!
//! Covariances are sums over sources that two gradients share, and over the pairs that correlate.

use std::cmp::Ordering;
use std::ops::Range;
use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::number::{Gradient, Partial};
use crate::functions::Measured;
use crate::resolve::{Quantity, Size, SymbolId};
use crate::syntax::Distribution;
use crate::text::Span;

/// All sources of a problem.
#[derive(Debug, Default)]
pub struct Sources {
    /// The standard uncertainty of each, in coherent SI units.
    sizes: Vec<f64>,
    /// What is told of them, in the order of their numbers.
    blocks: Vec<Block>,
    /// The errors of what stands at a place.
    errors: FxHashMap<Key, Vec<Error>>,
    /// For each source that correlates with others, these and the coefficients.
    correlated: FxHashMap<u32, Vec<Correlated>>,
    /// The first of those that come from another worksheet, by what they are there.
    adopted: FxHashMap<Identity, u32>,
}

/// What keeps sources together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Bond {
    /// A correlation of any kind.
    Correlated,
    /// That they count as one source: scatter of the same readings, the parts of one result.
    AsOne,
    /// Either, so that they are drawn together.
    Drawn,
}

/// Which errors of which worksheet sources are, whichever way they came here.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Identity {
    /// The file of the worksheet.
    pub file: Arc<str>,
    /// Where the number stands in it, or the line that they come from.
    pub place: u32,
    /// Of several blocks there, which.
    pub ordinal: usize,
}

/// What is the same error wherever it is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Key {
    /// The number at this place.
    Literal(Span),
    /// The published constant of this name.
    Constant(&'static str),
}

/// An error of a number, or of the numbers of a list.
#[derive(Debug, Clone, PartialEq)]
pub enum Error {
    /// Each has its own: the first of their sources.
    Each(u32),
    /// All have one: its source, and what it moves each of them by.
    Common(u32, Vec<f64>),
}

/// Consecutive sources of which one thing is told.
#[derive(Debug, Clone, PartialEq)]
pub struct Block {
    /// The number of the first.
    pub first: u32,
    /// How many there are.
    pub count: u32,
    /// What is told of them.
    pub about: About,
}

/// What is told of sources.
#[derive(Debug, Clone, PartialEq)]
pub struct About {
    /// What they are errors of, where it has names.
    pub names: Vec<SymbolId>,
    /// Where the number stands, or the line that they come from.
    pub place: Span,
    /// The published constant that they are of.
    pub constant: Option<&'static str>,
    /// The words beside it.
    pub words: Option<Span>,
    /// How an error is distributed, where its degrees of freedom are infinite.
    pub distribution: Distribution,
    /// Whether they were found by scatter: type A.
    pub by_scatter: bool,
    /// The degrees of freedom of each.
    pub degrees: f64,
    /// Whether all of them count as one source.
    pub is_one: bool,
    /// What the size of an error goes with.
    pub growth: Growth,
    /// What their sizes count.
    pub scale: Scale,
    /// What they are in another worksheet, where they come from one.
    pub from: Option<Identity>,
}

/// What the size of an error goes with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Growth {
    /// With nothing.
    Fixed,
    /// A share of the reading.
    Share(f64),
    /// The root of the count.
    Root,
}

/// What the size of a source counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scale {
    /// The quantity that it is an error of, in coherent units.
    Quantity,
    /// Parts of it, whatever it is.
    Share,
    /// An error that is of another size for each number that has it: how often that.
    Multiple,
}

/// A correlation with another source.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Correlated {
    with: u32,
    coefficient: f64,
    /// Whether the author stated it, of sources that are two.
    is_stated: bool,
}

/// Why degrees of freedom cannot be told: a stated correlation touches a source that has few.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Undefined;

/// What a count of 0 is uncertain by as far as it tells itself: nothing. A source that is not 0 is
/// kept for what is expected there, which a fit and trials know.
const OF_NO_COUNTS: f64 = 1e-150;

/// What sources that belong together contribute to a value.
#[derive(Debug, Clone, PartialEq)]
pub struct Contribution {
    /// The blocks they are of.
    pub blocks: Vec<usize>,
    /// The sensitivity, where it is a single source.
    pub slope: Option<f64>,
    /// The standard uncertainty of the source, likewise; of several of one size, that.
    pub size: Option<f64>,
    /// How many sources there are.
    pub count: usize,
    /// Their part of the square of the uncertainty; of a stated correlation perhaps a negative one.
    pub square: f64,
    /// Their degrees of freedom.
    pub degrees: f64,
    /// Whether it is the part of a stated correlation between two.
    pub is_stated: bool,
}

impl About {
    /// A stated uncertainty of what stands at a place: type B, normal.
    pub fn stated(place: Span) -> Self {
        Self {
            names: Vec::new(),
            place,
            constant: None,
            words: None,
            distribution: Distribution::Normal,
            by_scatter: false,
            degrees: f64::INFINITY,
            is_one: false,
            growth: Growth::Fixed,
            scale: Scale::Quantity,
            from: None,
        }
    }
}

impl Sources {
    /// Adds sources with these standard uncertainties; tells the number of the first.
    pub fn add(&mut self, about: About, sizes: impl IntoIterator<Item = f64>) -> u32 {
        let first = self.sizes.len() as u32;
        self.sizes.extend(sizes);
        let count = self.sizes.len() as u32 - first;
        self.blocks.push(Block {
            first,
            count,
            about,
        });
        first
    }

    /// Adds what the author stated of the numbers of a quantity.
    ///
    /// What they have in common moves them all alike; a share of each by as much of it; a sum by
    /// the size that it is for each.
    pub(super) fn add_stated(&mut self, about: &About, size: &Size, of: &Quantity) -> Error {
        let about = About {
            distribution: size.distribution,
            degrees: size.degrees,
            growth: match (size.share, size.distribution) {
                (Some(share), _) => Growth::Share(share),
                (None, Distribution::Poisson) => Growth::Root,
                (None, _) => Growth::Fixed,
            },
            ..about.clone()
        };
        if !size.is_common {
            let least = match size.distribution {
                Distribution::Poisson => OF_NO_COUNTS,
                _ => 0.0,
            };
            let sizes = size.standard.iter().map(|size| size.max(least));
            return Error::Each(self.add(about, sizes));
        }
        let first = size.standard.first().copied().unwrap_or(0.0);
        if let Some(share) = size.share {
            let unit = of.unit.interval();
            let moves = of.values.iter().map(|value| unit.to_si(*value)).collect();
            let scale = Scale::Share;
            return Error::Common(self.add(About { scale, ..about }, [share]), moves);
        }
        let (scale, size, moves) = match size.standard.iter().all(|size| *size == first) {
            true => (Scale::Quantity, first, vec![1.0; size.standard.len()]),
            false => (Scale::Multiple, 1.0, size.standard.clone()),
        };
        Error::Common(self.add(About { scale, ..about }, [size]), moves)
    }

    /// Notes the errors of what stands at a place; those of a place are added once.
    pub(super) fn know(&mut self, key: Key, errors: impl FnOnce(&mut Self) -> Vec<Error>) {
        if !self.errors.contains_key(&key) {
            let errors = errors(self);
            self.errors.insert(key, errors);
        }
    }

    /// The errors of one of the numbers at a place: their sources and what they move it by.
    pub(super) fn of(&self, key: Key, row: usize) -> Vec<(u32, f64)> {
        let errors = self.errors.get(&key).into_iter().flatten();
        errors
            .map(|error| match error {
                Error::Each(first) => (first + row as u32, 1.0),
                Error::Common(source, slopes) => {
                    let slope = slopes.get(row).or_else(|| slopes.first());
                    (*source, slope.copied().unwrap_or(1.0))
                }
            })
            .collect()
    }

    /// The source here for one of another worksheet: the same wherever it is met. `about` says
    /// what it is called here, `there` where it stands in its file.
    pub(super) fn adopt(
        &mut self,
        theirs: &Sources,
        source: u32,
        about: &About,
        there: &dyn Fn(Span) -> (Arc<str>, u32),
    ) -> u32 {
        let Some(at) = theirs.block_of(source) else {
            return source;
        };
        let block = &theirs.blocks[at];
        let sizes = block.first..block.first + block.count;
        let sizes = sizes.filter_map(|source| theirs.size(source));
        let offset = source - block.first;
        let own = About {
            names: about.names.clone(),
            place: about.place,
            words: about.words,
            ..block.about.clone()
        };
        if let Some(constant) = block.about.constant {
            let key = Key::Constant(constant);
            self.know(key, |sources| vec![Error::Each(sources.add(own, sizes))]);
            return self.of(key, 0).first().map_or(source, |(first, _)| *first) + offset;
        }
        let identity = block.about.from.clone().unwrap_or_else(|| {
            let before = theirs.blocks[..at].iter();
            let same = |it: &&Block| it.about.from.is_none() && it.about.place == block.about.place;
            let (file, place) = there(block.about.place);
            Identity {
                file,
                place,
                ordinal: before.filter(same).count(),
            }
        });
        if let Some(first) = self.adopted.get(&identity) {
            return first + offset;
        }
        let from = Some(identity.clone());
        let first = self.add(About { from, ..own }, sizes);
        self.adopted.insert(identity, first);
        first + offset
    }

    /// Correlates sources here as they are in another worksheet.
    pub(super) fn correlate_as(&mut self, theirs: &Sources, own: &FxHashMap<u32, u32>) {
        let mut pairs: Vec<(u32, u32, f64, bool)> = Vec::new();
        for (one, all) in &theirs.correlated {
            for pair in all.iter().filter(|pair| pair.with > *one) {
                if let (Some(one), Some(other)) = (own.get(one), own.get(&pair.with)) {
                    pairs.push((*one, *other, pair.coefficient, pair.is_stated));
                }
            }
        }
        pairs.sort_by_key(|(one, other, ..)| (*one, *other));
        for (one, other, coefficient, is_stated) in pairs {
            if one != other && self.coefficient(one, other) == 0.0 {
                self.correlate(one, other, coefficient, is_stated);
            }
        }
    }

    /// Whether the numbers at a place have each of its errors in common.
    pub fn are_common(&self, place: Span) -> Vec<bool> {
        let errors = self.errors.get(&Key::Literal(place)).into_iter().flatten();
        errors
            .map(|error| matches!(error, Error::Common(..)))
            .collect()
    }

    /// The standard uncertainty that one of the numbers at a place has in common with the others.
    pub fn common(&self, place: Span, row: usize) -> f64 {
        let errors = self.errors.get(&Key::Literal(place)).into_iter().flatten();
        let squares = errors.map(|error| match error {
            Error::Each(_) => 0.0,
            Error::Common(source, moves) => {
                let size = self.sizes.get(*source as usize).copied().unwrap_or(0.0);
                (moves.get(row).copied().unwrap_or(1.0) * size).powi(2)
            }
        });
        squares.sum::<f64>().sqrt()
    }

    /// The sources that each of several readings has by itself.
    pub fn of_single_readings(&self) -> Arc<[Range<u32>]> {
        let blocks = self.blocks.iter();
        let own = blocks.filter(|block| block.count > 1 && !block.about.is_one);
        own.map(|block| block.first..block.first + block.count)
            .collect()
    }

    /// Correlates two sources that the author states to be, or whose rows are the same: the latter
    /// count as one source.
    pub fn correlate(&mut self, one: u32, other: u32, coefficient: f64, is_stated: bool) {
        for (own, with) in [(one, other), (other, one)] {
            let all = self.correlated.entry(own).or_default();
            all.retain(|it| it.with != with);
            all.push(Correlated {
                with,
                coefficient,
                is_stated,
            });
        }
    }

    /// The coefficient of correlation of two sources.
    pub fn coefficient(&self, one: u32, other: u32) -> f64 {
        if one == other {
            return 1.0;
        }
        let mut all = self.correlated.get(&one).into_iter().flatten();
        let found = all.find(|it| it.with == other);
        found.map_or(0.0, |it| it.coefficient)
    }

    /// For each of some sources, in their order, the number of its group: those that belong together
    /// among them, directly or through others of them.
    fn groups_of(&self, sources: &[u32], bond: Bond) -> Vec<usize> {
        fn top(above: &[usize], mut at: usize) -> usize {
            while above[at] != at {
                at = above[at];
            }
            at
        }
        let mut above: Vec<usize> = (0..sources.len()).collect();
        let mut join = |one: usize, other: usize| {
            let (one, other) = (top(&above, one), top(&above, other));
            above[one.max(other)] = one.min(other);
        };
        for (at, source) in sources.iter().enumerate() {
            let pairs = self.correlated.get(source).into_iter().flatten();
            let counts = |pair: &&Correlated| match bond {
                Bond::Correlated | Bond::Drawn => true,
                Bond::AsOne => !pair.is_stated,
            };
            for pair in pairs.filter(counts) {
                if let Ok(with) = sources.binary_search(&pair.with) {
                    join(at, with);
                }
            }
            let block = self.block_of(*source).map(|at| &self.blocks[at]);
            let block = block.filter(|block| block.about.is_one);
            if let (Some(block), Bond::AsOne | Bond::Drawn) = (block, bond) {
                join(at, sources.partition_point(|other| *other < block.first));
            }
        }
        let mut numbers: Vec<usize> = Vec::with_capacity(sources.len());
        let mut count = 0;
        for at in 0..sources.len() {
            // The first of a group is its top.
            let own = match top(&above, at) {
                first if first < at => numbers[first],
                _ => {
                    count += 1;
                    count - 1
                }
            };
            numbers.push(own);
        }
        numbers
    }

    /// Sources, in their order, in groups of those that belong together.
    pub(super) fn groups(&self, sources: &[u32], bond: Bond) -> Vec<Vec<u32>> {
        let mut groups: Vec<Vec<u32>> = Vec::new();
        for (source, group) in sources.iter().zip(self.groups_of(sources, bond)) {
            if group == groups.len() {
                groups.push(Vec::new());
            }
            groups[group].push(*source);
        }
        groups
    }

    /// The standard uncertainty of a source; nothing for what is none.
    pub fn size(&self, source: u32) -> Option<f64> {
        self.sizes.get(source as usize).copied()
    }

    /// Every block.
    pub fn blocks(&self) -> &[Block] {
        &self.blocks
    }

    /// The block that a source is of.
    pub fn block_of(&self, source: u32) -> Option<usize> {
        let after = self.blocks.partition_point(|block| block.first <= source);
        let at = after.checked_sub(1)?;
        let block = self.blocks.get(at)?;
        (source < block.first + block.count).then_some(at)
    }

    fn part(&self, partial: &Partial) -> f64 {
        partial.slope * self.size(partial.source).unwrap_or(0.0)
    }

    /// The pairs of a gradient that correlate with parts of another, with twice their product
    /// where both are one.
    fn crossed(&self, one: &[Partial], other: &[Partial]) -> f64 {
        if self.correlated.is_empty() {
            return 0.0;
        }
        let mut sum = 0.0;
        for partial in one {
            for pair in self.correlated.get(&partial.source).into_iter().flatten() {
                if let Some(with) = Partial::among(other, pair.with) {
                    sum += pair.coefficient * self.part(partial) * self.part(with);
                }
            }
        }
        sum
    }

    /// The covariance of two values, in the square of SI units.
    pub fn covariance(&self, one: &[Partial], other: &[Partial]) -> f64 {
        let mut sum = 0.0;
        let (mut left, mut right) = (one.iter().peekable(), other.iter().peekable());
        while let (Some(a), Some(b)) = (left.peek(), right.peek()) {
            match a.source.cmp(&b.source) {
                Ordering::Less => {
                    left.next();
                }
                Ordering::Greater => {
                    right.next();
                }
                Ordering::Equal => {
                    sum += self.part(a) * self.part(b);
                    left.next();
                    right.next();
                }
            }
        }
        sum + self.crossed(one, other)
    }

    /// The standard uncertainty of a value by its gradient, to first order; 0 where nothing but
    /// rounding is left of it.
    pub fn uncertainty(&self, gradient: &[Partial]) -> f64 {
        /// Far above rounding, far below what anyone measures.
        const CANCELLED: f64 = 1e-9;
        let square = self.covariance(gradient, gradient);
        if !square.is_finite() {
            // Where the slope is infinite, as of a root at 0, nothing of first order holds.
            return f64::INFINITY;
        }
        let size = square.max(0.0).sqrt();
        let parts: f64 = (gradient.iter())
            .map(|it| it.parts * self.size(it.source).unwrap_or(0.0))
            .sum();
        match size <= CANCELLED * parts || size <= OF_NO_COUNTS.sqrt() {
            true => 0.0,
            false => size,
        }
    }

    /// The effective degrees of freedom of a value (Welch-Satterthwaite, JCGM 100, G.4.1).
    pub fn degrees_of_freedom(&self, gradient: &[Partial]) -> Result<f64, Undefined> {
        let few = |source: u32| {
            let block = self.block_of(source).map(|at| &self.blocks[at]);
            block.is_some_and(|block| block.about.degrees.is_finite())
        };
        let matters = |partial: &&Partial| !partial.vanishes() && self.part(partial) != 0.0;
        let is_touched = gradient.iter().filter(matters).any(|partial| {
            let pairs = self.correlated.get(&partial.source).into_iter().flatten();
            pairs.filter(|pair| pair.is_stated).any(|pair| {
                let with = Partial::among(gradient, pair.with).filter(matters);
                with.is_some() && (few(partial.source) || few(pair.with))
            })
        });
        if is_touched {
            return Err(Undefined);
        }
        let whole = self.covariance(gradient, gradient);
        let parts: f64 = (self.contributions(gradient).iter())
            .filter(|it| !it.is_stated && it.degrees.is_finite())
            .map(|it| it.square * it.square / it.degrees)
            .sum();
        Ok(match parts > 0.0 && whole > 0.0 {
            true => whole * whole / parts,
            false => f64::INFINITY,
        })
    }

    /// What each source contributes to a value, where those that count as one are one, and a
    /// stated correlation has a part for its pair. In the order of their first sources.
    fn contributions(&self, gradient: &[Partial]) -> Vec<Contribution> {
        let mut found: Vec<Contribution> = Vec::new();
        let mut pairs: Vec<Contribution> = Vec::new();
        let present = gradient.iter().filter(|it| !it.vanishes());
        let present: Vec<(&Partial, usize)> = present
            .filter_map(|it| Some((it, self.block_of(it.source)?)))
            .collect();
        let sources: Vec<u32> = present.iter().map(|(it, _)| it.source).collect();
        let groups = self.groups_of(&sources, Bond::AsOne);
        for ((partial, block), index) in present.into_iter().zip(groups) {
            let degrees = self.blocks[block].about.degrees;
            let part = self.part(partial);
            if index == found.len() {
                found.push(Contribution {
                    blocks: Vec::new(),
                    slope: None,
                    size: None,
                    count: 0,
                    square: 0.0,
                    degrees,
                    is_stated: false,
                });
            }
            let own = &mut found[index];
            own.count += 1;
            if !own.blocks.contains(&block) {
                own.blocks.push(block);
            }
            own.square += part * part;
            own.degrees = own.degrees.min(degrees);
            let is_single = own.count == 1;
            own.slope = is_single.then_some(partial.slope);
            own.size = self.size(partial.source).filter(|_| is_single);
            for pair in self.correlated.get(&partial.source).into_iter().flatten() {
                let Some(with) = Partial::among(gradient, pair.with).filter(|it| !it.vanishes())
                else {
                    continue;
                };
                let product = pair.coefficient * part * self.part(with);
                if !pair.is_stated {
                    found[index].square += product;
                } else if pair.with > partial.source {
                    let both = [Some(block), self.block_of(pair.with)];
                    pairs.push(Contribution {
                        blocks: both.into_iter().flatten().collect(),
                        slope: None,
                        size: None,
                        count: 2,
                        square: 2.0 * product,
                        degrees: f64::INFINITY,
                        is_stated: true,
                    });
                }
            }
        }
        found.extend(pairs);
        found
    }

    /// What each block contributes to a value, the largest first: a column is one, and so are
    /// sources that count as one.
    pub fn budget(&self, gradient: &[Partial]) -> Vec<Contribution> {
        let mut rows: Vec<Contribution> = Vec::new();
        for own in self.contributions(gradient) {
            let same = rows
                .iter_mut()
                .find(|row| row.blocks == own.blocks && row.is_stated == own.is_stated);
            match same {
                Some(row) => {
                    row.slope = None;
                    row.size = row.size.filter(|size| Some(*size) == own.size);
                    row.count += own.count;
                    row.square += own.square;
                }
                None => rows.push(own),
            }
        }
        rows.retain(|row| row.square != 0.0);
        rows.sort_by(|a, b| b.square.abs().total_cmp(&a.square.abs()));
        rows
    }

    /// Whether coefficients that were stated can hold together: no value may have a negative
    /// square of its uncertainty.
    pub(super) fn hold_together(&self) -> bool {
        let mut all: Vec<u32> = self.correlated.keys().copied().collect();
        all.sort_unstable();
        let groups = self.groups(&all, Bond::Correlated);
        groups.iter().all(|group| self.root(group).is_some())
    }

    /// The root of the matrix of the coefficients (Cholesky, with room for rounding).
    fn root(&self, group: &[u32]) -> Option<Vec<f64>> {
        const ROOM: f64 = 1e-9;
        let count = group.len();
        let mut root = vec![0.0; count * count];
        for row in 0..count {
            for column in 0..=row {
                let own = self.coefficient(group[row], group[column]);
                let dot: f64 = (0..column)
                    .map(|at| root[row * count + at] * root[column * count + at])
                    .sum();
                let (left, above) = (own - dot, root[column * count + column]);
                root[row * count + column] = match row == column {
                    true if left < -ROOM => return None,
                    true => left.max(0.0).sqrt(),
                    false if above > ROOM.sqrt() => left / above,
                    false if left.abs() > ROOM.sqrt() => return None,
                    false => 0.0,
                };
            }
        }
        Some(root)
    }

    /// The root of the matrix of the correlations of these; none where they have none.
    pub(super) fn root_of(&self, group: &[u32]) -> Vec<f64> {
        let correlates = group.iter().any(|it| self.correlated.contains_key(it));
        let root = correlates.then(|| self.root(group)).flatten();
        root.unwrap_or_default()
    }
}

/// The gradient of a number by its own errors.
pub(super) fn gradient(errors: &[(u32, f64)]) -> Gradient {
    let mut all: Gradient = (errors.iter())
        .map(|(source, slope)| Partial::by(*source, Measured::exact(*slope)))
        .collect();
    all.sort_by_key(|partial| partial.source);
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(sources: &mut Sources, size: f64, degrees: f64) -> u32 {
        let about = About {
            degrees,
            ..About::stated(Span::default())
        };
        sources.add(about, [size])
    }

    fn gradient_of(parts: &[(u32, f64)]) -> Gradient {
        gradient(parts)
    }

    /// JCGM 100, G.4.1, its own example: relative uncertainties of 0.25 %, 0.57 % and 0.82 % with
    /// 9, 4 and 14 degrees of freedom give 1.03 % and 19.
    #[test]
    fn effective_degrees_of_freedom_are_those_of_welch_and_satterthwaite() {
        let mut sources = Sources::default();
        let numbers = [(0.25, 9.0), (0.57, 4.0), (0.82, 14.0)];
        let parts = numbers.map(|(size, degrees)| (one(&mut sources, size, degrees), 1.0));
        let gradient = gradient_of(&parts);
        assert!((sources.uncertainty(&gradient) - 1.03).abs() < 0.005);
        let found = sources.degrees_of_freedom(&gradient).unwrap();
        assert_eq!(found.round(), 19.0);
    }

    #[test]
    fn results_that_correlate_each_with_each_count_as_one() {
        let mut sources = Sources::default();
        let all: Vec<u32> = (0..4).map(|_| one(&mut sources, 1.0, 4.0)).collect();
        for (at, own) in all.iter().enumerate() {
            for other in &all[..at] {
                sources.correlate(*own, *other, 0.5, false);
            }
        }
        let gradient = gradient_of(&all.iter().map(|own| (*own, 1.0)).collect::<Vec<_>>());
        assert_eq!(sources.degrees_of_freedom(&gradient), Ok(4.0));
    }

    #[test]
    fn a_stated_correlation_adds_and_cancels() {
        let mut sources = Sources::default();
        let (a, b) = (
            one(&mut sources, 3.0, f64::INFINITY),
            one(&mut sources, 4.0, f64::INFINITY),
        );
        sources.correlate(a, b, 1.0, true);
        assert_eq!(
            sources.uncertainty(&gradient_of(&[(a, 1.0), (b, 1.0)])),
            7.0
        );
        assert_eq!(
            sources.uncertainty(&gradient_of(&[(a, 4.0), (b, -3.0)])),
            0.0
        );
        assert_eq!(
            sources.covariance(&gradient_of(&[(a, 1.0)]), &gradient_of(&[(b, 2.0)])),
            24.0
        );
        let budget = sources.budget(&gradient_of(&[(a, 1.0), (b, -1.0)]));
        let squares: Vec<f64> = budget.iter().map(|row| row.square).collect();
        assert_eq!(squares, [-24.0, 16.0, 9.0]);
    }

    #[test]
    fn a_stated_correlation_with_few_degrees_of_freedom_leaves_them_undefined() {
        let mut sources = Sources::default();
        let (a, b) = (
            one(&mut sources, 1.0, 5.0),
            one(&mut sources, 1.0, f64::INFINITY),
        );
        sources.correlate(a, b, 0.5, true);
        let both = gradient_of(&[(a, 1.0), (b, 1.0)]);
        assert_eq!(sources.degrees_of_freedom(&both), Err(Undefined));
        assert_eq!(sources.degrees_of_freedom(&both[..1]), Ok(5.0));
    }

    #[test]
    fn results_of_the_same_rows_count_as_one_source() {
        let mut sources = Sources::default();
        let (a, b) = (one(&mut sources, 3.0, 4.0), one(&mut sources, 4.0, 9.0));
        sources.correlate(a, b, 0.5, false);
        let both = gradient_of(&[(a, 1.0), (b, 1.0)]);
        assert!((sources.degrees_of_freedom(&both).unwrap() - 4.0).abs() < 1e-12);
        let budget = sources.budget(&both);
        assert_eq!(
            (budget.len(), budget[0].square, budget[0].blocks.len()),
            (1, 37.0, 2)
        );
    }

    #[test]
    fn a_column_is_one_row_of_a_budget_and_each_of_its_readings_a_source() {
        let mut sources = Sources::default();
        let about = About {
            degrees: 10.0,
            ..About::stated(Span::default())
        };
        let first = sources.add(about, [1.0; 100]);
        let mean: Vec<(u32, f64)> = (0..100).map(|at| (first + at, 0.01)).collect();
        let mean = gradient_of(&mean);
        assert!((sources.uncertainty(&mean) - 0.1).abs() < 1e-12);
        assert!((sources.degrees_of_freedom(&mean).unwrap() - 1000.0).abs() < 1e-6);
        let budget = sources.budget(&mean);
        assert_eq!(
            (budget.len(), budget[0].count, budget[0].size),
            (1, 100, Some(1.0))
        );
    }

    #[test]
    fn coefficients_that_no_errors_have_are_told() {
        let mut sources = Sources::default();
        let [a, b, c] = [1.0; 3].map(|size| one(&mut sources, size, f64::INFINITY));
        sources.correlate(a, b, 0.9, true);
        sources.correlate(b, c, 0.9, true);
        assert!(!sources.hold_together());
        sources.correlate(a, c, 0.7, true);
        assert!(sources.hold_together());
        sources.correlate(a, c, -0.7, true);
        assert!(!sources.hold_together());
    }

    /// Two results that correlate with a third one are not one for that, where it takes no part.
    #[test]
    fn what_counts_as_one_is_told_among_the_sources_of_a_value() {
        let mut sources = Sources::default();
        let [a, b, c] = [4.0, 5.0, 4.0].map(|degrees| one(&mut sources, 1.0, degrees));
        sources.correlate(a, b, 0.5, false);
        sources.correlate(b, c, -0.5, false);
        let degrees = |parts: &[(u32, f64)]| {
            let found = sources.degrees_of_freedom(&gradient_of(parts));
            found.expect("degrees of freedom")
        };
        // G.4.1: 2²/(1/4 + 1/4).
        assert!((degrees(&[(a, 1.0), (c, -1.0)]) - 8.0).abs() < 1e-12);
        assert!((degrees(&[(a, 1.0), (b, 1.0), (c, 1.0)]) - 4.0).abs() < 1e-12);
        assert_eq!(sources.groups(&[a, c], Bond::Drawn), [[a], [c]]);
        assert_eq!(sources.groups(&[a, b, c], Bond::Drawn), [[a, b, c]]);
    }
}
