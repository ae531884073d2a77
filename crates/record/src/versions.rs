//! Entries that take the place of others: which ones stand.

use crate::Id;
use std::collections::BTreeSet;

/// Those of `all` that no other of `all` replaces, in the order of their ids. Each is (id, what it replaces).
///
/// An entry counts as replacing an earlier one only: ids grow with time, so a ring cannot arise.
pub(crate) fn standing<'a>(all: impl Iterator<Item = (Id, &'a [Id])> + Clone) -> Vec<Id> {
    let replaced: BTreeSet<Id> =
        all.clone().flat_map(|(id, old)| old.iter().copied().filter(move |o| *o < id)).collect();
    let mut left: Vec<Id> = all.map(|(id, _)| id).filter(|id| !replaced.contains(id)).collect();
    left.sort_unstable();
    left.dedup();
    left
}
