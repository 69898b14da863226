//! What scripts and surveys are read against: facts, entries and grids, limits, and what people measure in.

use crate::catalogue::{Catalogue, EntryKind};
use crate::customs::Customs;
use crate::limit::Limit;
use crate::reckon::calculator::Calculator;
use crate::role::{Key, LimitRole};
use crate::vocabulary::{MethodId, Vocabulary};
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
    /// Calculators of the host's.
    pub(crate) hosts: Vec<Calculator>,
}

impl Base {
    /// A method by its id.
    pub fn method(&self, id: &str) -> Option<MethodId> {
        self.catalogue.find(EntryKind::Method, id).map(|at| self.method_id(at))
    }

    /// A method by its place in the catalogue.
    pub fn method_at(&self, at: usize) -> Option<MethodId> {
        (at < self.catalogue.entries(EntryKind::Method).len()).then(|| self.method_id(at))
    }

    /// A method of which it is known that it is there.
    pub(crate) fn method_id(&self, at: usize) -> MethodId {
        MethodId::new(at, self.vocabulary.mark())
    }

    /// The calculators that scripts can call.
    pub(crate) fn calculators(&self) -> impl Iterator<Item = Calculator> + '_ {
        Calculator::all_own().chain(self.hosts.iter().cloned())
    }

    /// A calculator by its name.
    pub(crate) fn calculator(&self, name: &str) -> Option<Calculator> {
        Calculator::own(name).or_else(|| self.hosts.iter().find(|c| c.name == name).cloned())
    }

    /// The limit that plays a role.
    pub fn limit_with<'k>(&self, key: impl Into<Key<'k, LimitRole>>) -> Option<usize> {
        let key = key.into();
        self.limits.values().position(|l| l.plays.as_ref().is_some_and(|p| p.is(key)))
    }
}
