//! The paths of every rule, laid out once for each set of figures, and what they say of a region.

use super::paths::Paths;
use super::space::{Effort, Space, Var, Way, said, without};
use super::spots::{Spot, key_of};
use super::{Bound, Side, Weakened};
use crate::catalogue::EntryKind;
use crate::judge::walk::Domain;
use crate::limit::Basis;
use crate::pack::{Rule, Ruling};
use crate::tree::{Test, Tree, Who};
use crate::vocabulary::flag;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

/// Side, rule, method, and the figures of the limits the rule reads.
pub(crate) type Key = (Side, usize, Option<usize>, Vec<Option<u64>>);

/// A rule of the first book and the same rule in the second.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Twin {
    pub(crate) old: usize,
    pub(crate) new: Option<usize>,
}

/// The rules of two books, laid out.
pub(crate) struct Layout<'s, 'b> {
    pub(crate) space: &'s Space<'b>,
    pub(crate) twins: Vec<Twin>,
    pub(crate) weakened: Option<Weakened>,
    limits: [Vec<Vec<usize>>; 2],
    cache: RefCell<BTreeMap<Key, Rc<Paths>>>,
    /// How many trees were laid out.
    pub(crate) laid_out: RefCell<usize>,
}

impl<'s, 'b> Layout<'s, 'b> {
    pub(crate) fn new(space: &'s Space<'b>, weakened: Option<Weakened>) -> Self {
        let [old, new] = space.books;
        let twins = old.rules.iter().enumerate().map(|(i, r)| Twin { old: i, new: new.rules.iter().position(|n| n.id == r.id) }).collect();
        let limits = space.books.map(|b| b.rules.iter().map(|r| r.tree.limits()).collect());
        Self { space, twins, weakened, limits, cache: RefCell::default(), laid_out: RefCell::new(0) }
    }

    pub(crate) fn rule(&self, side: Side, rule: usize) -> &'b Rule {
        &self.space.books[side as usize].rules[rule]
    }

    /// Whether a rule's ground is law or a published standard.
    pub(crate) fn strong(rule: &Rule) -> bool {
        matches!(rule.basis, Basis::Statute | Basis::Standard)
    }

    /// Whether a rule restricts: rules out, holds, or says what to watch.
    pub(crate) fn restricts(&self, rule: &Rule) -> bool {
        match rule.ruling {
            Ruling::RuleOut => true,
            Ruling::Hold => self.weakened != Some(Weakened::SkipHolds),
            Ruling::Caution => self.weakened != Some(Weakened::SkipCautions),
            Ruling::Prefer | Ruling::Note => false,
        }
    }

    /// The figures with which a book is looked at.
    pub(crate) fn figures<'a>(&self, side: Side, spot: &'a Spot) -> std::borrow::Cow<'a, [Option<f64>]> {
        if side == Side::New && self.weakened == Some(Weakened::SkipLimits) {
            let [old, new] = self.space.books;
            let figures = new.base.limits.keys().map(|id| old.base.limits.get_index_of(id).and_then(|i| spot.figures[0][i])).collect();
            return std::borrow::Cow::Owned(figures);
        }
        std::borrow::Cow::Borrowed(&spot.figures[side as usize])
    }

    /// The figures a rule reads, as a key.
    pub(crate) fn figure_key(&self, side: Side, rule: usize, spot: &Spot) -> Vec<Option<u64>> {
        let figures = self.figures(side, spot);
        self.limits[side as usize][rule].iter().map(|l| key_of(figures[*l])).collect()
    }

    /// The paths of a rule for a method, by its place in that book's catalogue.
    pub(crate) fn paths(&self, side: Side, rule: usize, method: Option<usize>, spot: &Spot) -> Rc<Paths> {
        let key = (side, rule, method, self.figure_key(side, rule, spot));
        if let Some(found) = self.cache.borrow().get(&key) {
            return Rc::clone(found);
        }
        let tree = &self.rule(side, rule).tree;
        let made = Rc::new(self.space.paths(side, tree, method, &self.figures(side, spot)));
        *self.laid_out.borrow_mut() += 1;
        self.cache.borrow_mut().insert(key, Rc::clone(&made));
        made
    }

    /// The methods both books have: id and place in each.
    pub(crate) fn methods(&self) -> Vec<(String, [usize; 2])> {
        let [old, new] = self.space.books;
        let find = |id: &str| new.base.catalogue.find(EntryKind::Method, id);
        old.base.catalogue.ids(EntryKind::Method).enumerate().filter_map(|(i, id)| Some((id.to_owned(), [i, find(id)?]))).collect()
    }

    /// Whether a tree reads a grid, and grids are not to be looked at.
    pub(crate) fn passed_over(&self, tree: &Tree) -> bool {
        self.weakened == Some(Weakened::SkipGrids) && tree.tests().any(|t| matches!(t, Test::Grid { .. }))
    }

    /// Whether a twin is in force in a book at a spot.
    pub(crate) fn in_force(side: Side, rule: &Rule, spot: &Spot) -> bool {
        spot.holds(side, &rule.place, rule.period)
    }

    /// A remark on a fact that both books see differently, if weaker rules that rule out or hold ask about it: they are not followed
    /// through what is presumed, added or read another way.
    pub(crate) fn not_followed(&self, fact: usize, why: &str) -> Option<String> {
        let asks = |r: &Rule| r.tree.reads().iter().any(|w| matches!(w, Who::Fact(f) if self.space.joint(Side::Old, *f) == fact));
        let weak = self.space.books[0].rules.iter().filter(|r| r.ruling <= Ruling::Hold && !Self::strong(r) && asks(r)).count();
        let id = &self.space.facts[fact].id;
        (weak > 0).then(|| {
            let rules = if weak == 1 { "one rule".to_owned() } else { format!("{weak} rules") };
            format!("{rules} of guidance or practice that ask about `{id}` may say less: {why}; only law and standards were followed there")
        })
    }

    /// Which rules of the first book are in force at a spot in each book, and with what figures.
    pub(crate) fn rules_at(&self, spot: &Spot) -> Vec<(usize, Vec<Option<u64>>)> {
        let of = |side: Side, rule: Option<usize>| {
            rule.filter(|r| Self::in_force(side, self.rule(side, *r), spot)).map(|r| self.figure_key(side, r, spot))
        };
        let each = self.twins.iter().flat_map(|t| {
            let (old, new) = (of(Side::Old, Some(t.old)), of(Side::New, t.new));
            [old.map(|key| (t.old * 2, key)), new.map(|key| (t.old * 2 + 1, key))]
        });
        each.flatten().collect()
    }

    /// The other rules of law or standard that restrict as much as one does at a spot, with the method each is read for.
    ///
    /// A rule about every coat does not count: one coat of which it is true is not enough for it. Nor does one about coats for a rule
    /// that is about none: there may be no coats.
    pub(crate) fn restricting(&self, but: usize, methods: Option<[usize; 2]>, spot: &Spot) -> impl Iterator<Item = (usize, Option<usize>)> {
        let covered = self.rule(Side::Old, but);
        self.twins.iter().filter_map(move |twin| {
            let new = twin.new?;
            let rule = self.rule(Side::New, new);
            let counts = twin.old != but
                && Self::strong(rule)
                && rule.ruling <= covered.ruling
                && covered.ruling <= Ruling::Hold
                && !rule.every_coat;
            let fits = (!rule.scope.coat || covered.scope.coat) && (!rule.scope.method || methods.is_some());
            let there = counts && fits && Self::in_force(Side::New, rule, spot);
            there.then(|| (new, methods.map(|m| m[1]).filter(|_| rule.scope.method)))
        })
    }

    /// What is left of a rule's region once every other rule of law or standard that restricts as much is taken into account.
    ///
    /// A hold whose releasing fact is not stated stands as if it were "no", whatever the fact may still be; the others then ask about
    /// the fact as about anything open. So what such a hold restricts while the fact is "no" must be covered whatever the fact is: by
    /// holds that the same fact releases, which stand as it does, or by rules for which it makes no difference.
    pub(crate) fn uncovered(
        &self,
        regions: Vec<Way>,
        but: usize,
        methods: Option<[usize; 2]>,
        spot: &Spot,
        narrow: &dyn Fn(&Way) -> Option<Way>,
        effort: &Effort,
    ) -> Result<Vec<Way>, Bound> {
        let released = |side: Side, rule: usize| self.rule(side, rule).released_by.map(|f| self.space.joint(side, f));
        let by = released(Side::Old, but);
        // Without the releasing fact, where it may be "no".
        let standing = |way: &Way, fact: usize| -> Option<Way> {
            let may = said(way, Var::Named(fact)).is_none_or(|d| *d != Domain::Bits(flag::YES));
            may.then(|| without(way, &[fact]))
        };
        let (held, mut left): (Vec<Way>, Vec<Way>) = match by {
            Some(fact) => regions.into_iter().partition(|w| standing(w, fact).is_some()),
            None => (Vec::new(), regions),
        };
        let mut held: Vec<Way> = held.iter().filter_map(|w| standing(w, by?)).collect();
        for (rule, method) in self.restricting(but, methods, spot) {
            if left.is_empty() && held.is_empty() {
                break;
            }
            let paths = self.paths(Side::New, rule, method, spot);
            let cut: Vec<Way> = paths.applies.iter().filter_map(narrow).collect();
            left = self.space.minus(left, &cut, effort)?;
            let alike = by.filter(|_| released(Side::New, rule) == by);
            let cut: Vec<Way> = match alike {
                Some(fact) => cut.iter().filter_map(|w| standing(w, fact)).collect(),
                None => cut,
            };
            held = self.space.minus(held, &cut, effort)?;
        }
        // It is where the fact is not stated that they do not cover it.
        left.extend(held.iter().filter_map(|w| Some(without(w, &[by?]))));
        Ok(left)
    }
}
