//! The trees of rules as decision diagrams: choices as bits, numbers as the cells between the figures that occur.

use biodivine_lib_bdd::{Bdd, BddVariable, BddVariableSet};
use ovolo_engine::prove::measure::{Node, Values, Variable};
use ovolo_engine::reach::{Cut, Reach};
use std::cell::RefCell;
use std::collections::BTreeMap;

/// How a variable's values become bits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Coding {
    /// The number of the value, in binary.
    Binary,
    /// One bit for each value, exactly one of which is set.
    OneHot,
}

/// A variable as bits.
struct Coded {
    /// The cells of a number; empty for named values.
    cells: Vec<Reach>,
    /// Values that occur in either book, and those both know.
    either: u128,
    both: u128,
    bits: Vec<BddVariable>,
}

/// All variables as bits.
pub(crate) struct Encoding {
    coding: Coding,
    pub(crate) set: BddVariableSet,
    coded: Vec<Coded>,
    seen: RefCell<BTreeMap<(usize, u128), Bdd>>,
}

/// Where a tree applies, where it cannot be worked out, and what it asks about.
pub(crate) struct Diagram {
    pub(crate) applies: Bdd,
    pub(crate) fails: Bdd,
    pub(crate) reads: Vec<usize>,
}

impl Encoding {
    /// Codes every variable so that the trees can be told apart.
    pub(crate) fn new(coding: Coding, variables: &[Variable], trees: &[Vec<Node>]) -> Self {
        let mut cuts: Vec<Vec<Cut>> = vec![Vec::new(); variables.len()];
        let mut cut = |at: usize, values: &Values| {
            if let Values::Numbers(reach) = values {
                cuts[at].extend(reach.stretches().iter().flat_map(|(low, high)| [*low, *high]));
            }
        };
        for node in trees.iter().flatten() {
            let Node::Ask(parts, ..) = node else { continue };
            for part in parts {
                cut(part.variable, &part.yes_when);
                if let Some((at, values)) = &part.given {
                    cut(*at, values);
                }
            }
        }
        for (at, variable) in variables.iter().enumerate() {
            cut(at, &variable.either);
        }
        let cells_of = |at: usize, reach: &Reach| {
            let mut cuts = cuts[at].clone();
            cuts.sort();
            cuts.dedup();
            let cells = cuts.windows(2).map(|w| Reach::between(w[0], w[1]).and(reach));
            let cells = cells.map(|c| if variables[at].whole { c.whole() } else { c });
            cells.filter(|c| !c.is_empty()).collect::<Vec<Reach>>()
        };
        let mut next = 0;
        let mut coded = Vec::new();
        let mut sizes = Vec::new();
        for (at, variable) in variables.iter().enumerate() {
            let cells = if let Values::Numbers(reach) = &variable.either { cells_of(at, reach) } else { Vec::new() };
            let either = within(&cells, &variable.either);
            let count = 128 - either.leading_zeros() as usize;
            let bits = match coding {
                Coding::OneHot => count,
                Coding::Binary => (usize::BITS - count.saturating_sub(1).leading_zeros()) as usize,
            };
            sizes.push(next..next + bits);
            next += bits;
            let both = within(&cells, &variable.both);
            coded.push(Coded { cells, either, both, bits: Vec::new() });
        }
        let set = BddVariableSet::new_anonymous(u16::try_from(next).expect("few enough bits"));
        let bits = set.variables();
        for (coded, range) in coded.iter_mut().zip(sizes) {
            coded.bits = bits[range].to_vec();
        }
        Self { coding, set, coded, seen: RefCell::default() }
    }

    /// That a variable is one of some values.
    fn is(&self, at: usize, values: &Values) -> Bdd {
        self.one_of(at, within(&self.coded[at].cells, values))
    }

    fn one_of(&self, at: usize, values: u128) -> Bdd {
        if let Some(found) = self.seen.borrow().get(&(at, values)) {
            return found.clone();
        }
        let bits = &self.coded[at].bits;
        let made = match self.coding {
            Coding::OneHot => {
                let each = bits.iter().enumerate().filter(|(i, _)| values >> i & 1 == 1);
                each.fold(self.set.mk_false(), |out, (_, bit)| out.or(&self.set.mk_var(*bit)))
            }
            Coding::Binary => self.binary(bits, 0, values),
        };
        self.seen.borrow_mut().insert((at, values), made.clone());
        made
    }

    /// That the bits, from a number on, give one of some values.
    fn binary(&self, bits: &[BddVariable], from: u128, values: u128) -> Bdd {
        let Some((first, rest)) = bits.split_first() else {
            return if values >> from & 1 == 1 { self.set.mk_true() } else { self.set.mk_false() };
        };
        let yes = self.binary(rest, from + (1 << rest.len()), values);
        let no = self.binary(rest, from, values);
        Bdd::if_then_else(&self.set.mk_var(*first), &yes, &no)
    }

    /// That some variables have values that both books know.
    pub(crate) fn known_to_both(&self, variables: &[usize]) -> Bdd {
        self.limited(variables, |c| c.both)
    }

    /// That some variables have any value at all.
    pub(crate) fn possible(&self, variables: &[usize]) -> Bdd {
        self.limited(variables, |c| c.either)
    }

    fn limited(&self, variables: &[usize], values: impl Fn(&Coded) -> u128) -> Bdd {
        // From the last to the first, so that each step works on the top of the diagram.
        variables.iter().rev().fold(self.set.mk_true(), |out, at| {
            let coded = &self.coded[*at];
            let one = match self.coding {
                Coding::OneHot => self.set.mk_sat_exactly_k(1, &coded.bits),
                Coding::Binary => self.set.mk_true(),
            };
            one.and(&self.one_of(*at, values(coded))).and(&out)
        })
    }

    /// A tree as a diagram.
    pub(crate) fn diagram(&self, nodes: &[Node]) -> Diagram {
        let mut reads: Vec<usize> = Vec::new();
        for node in nodes {
            if let Node::Ask(parts, ..) = node {
                reads.extend(parts.iter().flat_map(|p| p.given.iter().map(|g| g.0).chain([p.variable])));
            }
        }
        reads.sort_unstable();
        reads.dedup();
        let applies = self.reaches(nodes, 0, &|n| matches!(n, Node::Applies));
        let fails = if nodes.iter().any(|n| matches!(n, Node::Fails)) {
            self.reaches(nodes, 0, &|n| matches!(n, Node::Fails))
        } else {
            self.set.mk_false()
        };
        Diagram { applies, fails, reads }
    }

    fn reaches(&self, nodes: &[Node], at: usize, end: &dyn Fn(&Node) -> bool) -> Bdd {
        match &nodes[at] {
            Node::Ask(parts, yes, no) => {
                let asked = parts.iter().fold(self.set.mk_false(), |out, part| {
                    let is = self.is(part.variable, &part.yes_when);
                    out.or(&part.given.as_ref().map_or(is.clone(), |(var, values)| self.is(*var, values).and(&is)))
                });
                Bdd::if_then_else(&asked, &self.reaches(nodes, *yes, end), &self.reaches(nodes, *no, end))
            }
            node if end(node) => self.set.mk_true(),
            _ => self.set.mk_false(),
        }
    }
}

/// A set of values as cells.
fn within(cells: &[Reach], values: &Values) -> u128 {
    match values {
        Values::Named(bits) => *bits,
        Values::Numbers(reach) => {
            assert!(cells.len() <= 128, "more cells than can be told apart");
            cells.iter().enumerate().fold(0, |out, (i, cell)| out | u128::from(!cell.and(reach).is_empty()) << i)
        }
    }
}
