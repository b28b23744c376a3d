//! What is noted of the author's own formulas while they are read.

use rustc_hash::FxHashSet;

use super::node::Id;

/// The order of factors and the differences of the formulas that were read.
#[derive(Debug, Default)]
pub struct Author {
    /// Symbols of which the first stands before the second, also by way of others. Never both
    /// ways: the first product that says so decides.
    pub(super) before: FxHashSet<(Id, Id)>,
    /// Sums with a plus and a minus, as they stand.
    pub(super) differences: FxHashSet<Id>,
}

impl Author {
    pub(super) fn put_before(&mut self, first: Id, second: Id) {
        if first == second || self.before.contains(&(second, first)) {
            return;
        }
        let mut earlier = vec![first];
        let mut later = vec![second];
        for (one, other) in &self.before {
            if *other == first {
                earlier.push(*one);
            }
            if *one == second {
                later.push(*other);
            }
        }
        for one in &earlier {
            self.before.extend(later.iter().map(|other| (*one, *other)));
        }
    }
}
