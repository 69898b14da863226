//! What scripts and surveys are read against: facts, entries and grids, limits, and what people measure in.

use crate::catalogue::Catalogue;
use crate::customs::Customs;
use crate::limit::Limit;
use crate::role::{Key, LimitRole};
use crate::vocabulary::Vocabulary;
use indexmap::IndexMap;

/// What scripts are checked against.
#[derive(Debug, Clone, Default)]
pub struct Base {
    /// The facts.
    pub vocabulary: Vocabulary,
    /// The entries and grids.
    pub catalogue: Catalogue,
    /// The limits.
    pub limits: IndexMap<String, Limit>,
    /// What people measure in.
    pub customs: Customs,
}

impl Base {
    /// The limit that plays a role.
    pub fn limit_with<'k>(&self, key: impl Into<Key<'k, LimitRole>>) -> Option<usize> {
        let key = key.into();
        self.limits.values().position(|l| l.plays.as_ref().is_some_and(|p| p.is(key)))
    }
}
