//! How two unfolded scripts stand to each other: does the one apply wherever the other does, can both apply at once.

use super::SharedBase;
use super::oracle::Oracle;
use crate::tree::{Expr, Node, Outcome, Test, Tree, Who};
use crate::vocabulary::{FactId, Known};

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

/// Whether a tree is shown to apply, with a fact at one value, wherever it applies with the fact at any other: taking the fact to
/// have that value can then only add to what the tree says.
pub(crate) fn strictest_at(base: &SharedBase, tree: &Tree, fact: FactId, value: &Known) -> bool {
    if !tree.reads().contains(&Who::Fact(fact)) || !tree.nodes.contains(&Node::Leaf(Outcome::Applies)) {
        return true;
    }
    let mut forced = Tree { nodes: Vec::new(), asked: Vec::new() };
    force(tree, 0, fact, value, &mut forced).is_some() && applies_within(base, tree, &forced)
}

/// Copies a tree without its questions about a fact; `None` where one of them cannot be answered from the value.
fn force(tree: &Tree, at: usize, fact: FactId, value: &Known, out: &mut Tree) -> Option<usize> {
    let Node::Ask(test, yes, no) = &tree.nodes[at] else {
        out.nodes.push(tree.nodes[at].clone());
        return Some(out.nodes.len() - 1);
    };
    if test.reads().contains(&Who::Fact(fact)) {
        let answer = match (test, value) {
            (Test::Is(Who::Fact(_), set), Known::Bits(b)) if b & set == *b => true,
            (Test::Is(Who::Fact(_), set), Known::Bits(b)) if b & set == 0 => false,
            (Test::Has(_, option), Known::Several { yes, .. }) if yes >> option & 1 == 1 => true,
            (Test::Has(_, option), Known::Several { no, .. }) if no >> option & 1 == 1 => false,
            (Test::Compare(a, op, b), Known::Num(reach)) => match (&**a, &**b, reach.single()) {
                (Expr::Fact(_), Expr::Const(c), Some(v)) => op.holds(v, *c),
                _ => return None,
            },
            _ => return None,
        };
        return force(tree, if answer { *yes } else { *no }, fact, value, out);
    }
    let here = out.nodes.len();
    out.nodes.push(Node::Leaf(Outcome::Silent));
    let yes = force(tree, *yes, fact, value, out)?;
    let no = force(tree, *no, fact, value, out)?;
    out.nodes[here] = Node::Ask(test.clone(), yes, no);
    Some(here)
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
