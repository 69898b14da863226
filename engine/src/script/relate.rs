//! How two unfolded scripts stand to each other: does the one apply wherever the other does, can both apply at once.

use super::SharedBase;
use super::oracle::Oracle;
use crate::tree::{Node, Outcome, Test, Tree, Who};

/// How many nodes are visited before the comparison is given up: the answer is then "not shown".
const MOST_VISITS: usize = 200_000;

/// Whether `outer` is shown to apply wherever `inner` does. Limits are taken as figures of which nothing is known but that
/// they are the same figure in both, so an answer of yes holds at every place and date.
pub(crate) fn applies_within(base: &SharedBase, inner: &Tree, outer: &Tree) -> bool {
    // A question about a fact that `inner` never asks about stays open on its paths: most pairs end here.
    let asked = inner.reads();
    if inner.nodes.is_empty() || outer.reads().iter().any(|who| !asked.contains(who)) {
        return false;
    }
    let mut pair = Pair { oracle: Oracle::new(SharedBase::clone(base)), left: MOST_VISITS };
    let mut some = false;
    let all = pair.each_way(inner, 0, &mut |pair| {
        some = true;
        pair.only_applies(outer, 0)
    });
    some && all
}

/// Whether some answers make both apply, as far as the answers can be told apart.
pub(crate) fn both_apply(base: &SharedBase, one: &Tree, other: &Tree) -> bool {
    let mut pair = Pair { oracle: Oracle::new(SharedBase::clone(base)), left: MOST_VISITS };
    !pair.each_way(one, 0, &mut |pair| pair.each_way(other, 0, &mut |_| false))
}

/// Whether some answers make a tree apply to one method.
pub(crate) fn can_apply_to(base: &SharedBase, tree: &Tree, method: usize) -> bool {
    let mut pair = Pair { oracle: Oracle::new(SharedBase::clone(base)), left: MOST_VISITS };
    pair.oracle.path.push((Test::Is(Who::Method, 1 << method), true));
    !pair.each_way(tree, 0, &mut |_| false)
}

struct Pair {
    oracle: Oracle,
    left: usize,
}

impl Pair {
    /// Goes along every way that can be gone, given the answers so far; `false` as soon as `at_end` says so of a leaf.
    fn walk(&mut self, tree: &Tree, at: usize, at_end: &mut dyn FnMut(&mut Self, &Outcome) -> bool) -> bool {
        self.left = self.left.saturating_sub(1);
        if self.left == 0 {
            return false;
        }
        match &tree.nodes[at] {
            Node::Leaf(outcome) => at_end(self, outcome),
            Node::Ask(test, yes, no) => match self.oracle.decided(test) {
                Some(answer) => self.walk(tree, if answer { *yes } else { *no }, at_end),
                None => self.turn(test, true, tree, *yes, at_end) && self.turn(test, false, tree, *no, at_end),
            },
        }
    }

    fn turn(&mut self, test: &Test, answer: bool, tree: &Tree, next: usize, at_end: &mut dyn FnMut(&mut Self, &Outcome) -> bool) -> bool {
        self.oracle.path.push((test.clone(), answer));
        let on = self.walk(tree, next, at_end);
        self.oracle.path.pop();
        on
    }

    /// Whether `check` holds at the end of every way on which the tree applies.
    fn each_way(&mut self, tree: &Tree, at: usize, check: &mut dyn FnMut(&mut Self) -> bool) -> bool {
        self.walk(tree, at, &mut |pair, outcome| *outcome != Outcome::Applies || check(pair))
    }

    /// Whether every way on ends in the tree applying.
    fn only_applies(&mut self, tree: &Tree, at: usize) -> bool {
        self.walk(tree, at, &mut |_, outcome| *outcome == Outcome::Applies)
    }
}
