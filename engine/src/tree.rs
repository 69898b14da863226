//! Decision trees: what a script comes to once every combination of answers has been seen.

use crate::base::Base;
use crate::quantity::{UNITS, Unit};
use crate::reckon::calculator::Calculator;
use crate::vocabulary::FactId;
use std::sync::Arc;

/// Whom a test of named values asks about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Who {
    /// A fact of the vocabulary.
    Fact(FactId),
    /// The method that is being judged.
    Method,
}

/// What two numbers are put together by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Func {
    /// Sum.
    Add,
    /// Difference.
    Sub,
    /// Product.
    Mul,
    /// Quotient.
    Div,
    /// Magnitude.
    Abs,
    /// The smaller.
    Min,
    /// The larger.
    Max,
}

impl Func {
    /// Applies it.
    pub fn apply(self, a: f64, b: f64) -> f64 {
        match self {
            Self::Add => a + b,
            Self::Sub => a - b,
            Self::Mul => a * b,
            Self::Div => a / b,
            Self::Abs => a.abs(),
            Self::Min => a.min(b),
            Self::Max => a.max(b),
        }
    }

    /// As it stands in a sentence.
    pub fn tell(self, a: &str, b: &str) -> String {
        match self {
            Self::Add => format!("({a} + {b})"),
            Self::Sub => format!("({a} - {b})"),
            Self::Mul => format!("({a} × {b})"),
            Self::Div => format!("({a} / {b})"),
            Self::Abs => format!("the size of {a}"),
            Self::Min => format!("the smaller of {a} and {b}"),
            Self::Max => format!("the larger of {a} and {b}"),
        }
    }
}

/// A number that depends on facts.
#[derive(Debug, Clone, PartialEq)]
pub enum Expr {
    /// A figure, in base units.
    Const(f64),
    /// A fact.
    Fact(FactId),
    /// A limit, by its place in the list; known once place and date are.
    Limit(usize),
    /// A number attribute of an entry.
    Lookup(Who, Arc<[f64]>),
    /// A function of others (the second is ignored by functions of one).
    Call(Func, Arc<Expr>, Arc<Expr>),
    /// A calculator, and what it is given.
    Reckon(Calculator, Arc<[Expr]>),
}

impl Expr {
    /// Every fact it reads.
    pub fn facts(&self, found: &mut Vec<Who>) {
        match self {
            Self::Const(_) | Self::Limit(_) => {}
            Self::Fact(f) => found.push(Who::Fact(*f)),
            Self::Lookup(who, _) => found.push(*who),
            Self::Call(_, a, b) => {
                a.facts(found);
                b.facts(found);
            }
            Self::Reckon(_, given) => given.iter().for_each(|e| e.facts(found)),
        }
    }

    /// As it stands in a sentence, with the names that facts, limits and lookups go by.
    pub fn tell(&self, name: &dyn Fn(&Self) -> String) -> String {
        match self {
            Self::Call(func, a, b) => func.tell(&a.tell(name), &b.tell(name)),
            Self::Reckon(function, given) => {
                let told = given.iter().enumerate().map(|(i, e)| match e {
                    Self::Const(c) => function.figure(i, *c),
                    e => e.tell(name),
                });
                function.tell(&told.collect::<Vec<_>>())
            }
            other => name(other),
        }
    }

    /// The unit it is usually written in, where one fits what it measures.
    pub fn unit(&self, base: &Base) -> Option<&'static Unit> {
        match self {
            Self::Fact(f) => Some(base.vocabulary.get(*f).unit()),
            Self::Limit(l) => Some(base.limits[*l].unit),
            Self::Reckon(function, _) => Some(function.unit()),
            Self::Const(_) | Self::Lookup(..) => None,
            Self::Call(func, a, b) => {
                let (x, y) = (a.unit(base)?, b.unit(base));
                let other = y.map_or(x.dimension, |u| u.dimension);
                let dimension = match func {
                    Func::Add => x.dimension.add(other, false),
                    Func::Sub => x.dimension.add(other, true),
                    // A figure in a product has no unit of its own that could be told from its size.
                    Func::Mul => x.dimension.times(y?.dimension, 1),
                    Func::Div => x.dimension.times(y?.dimension, -1),
                    Func::Abs | Func::Min | Func::Max => Some(x.dimension),
                }?;
                if dimension == x.dimension { Some(x) } else { UNITS.iter().find(|u| u.dimension == dimension) }
            }
        }
    }

    /// Every limit it reads.
    pub fn limits(&self, found: &mut Vec<usize>) {
        match self {
            Self::Limit(l) => found.push(*l),
            Self::Call(_, a, b) => {
                a.limits(found);
                b.limits(found);
            }
            Self::Reckon(_, given) => given.iter().for_each(|e| e.limits(found)),
            _ => {}
        }
    }
}

/// How two numbers are compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Op {
    /// Less than.
    Less,
    /// At most.
    AtMost,
    /// Equal.
    Equal,
}

impl Op {
    /// Whether it holds.
    pub fn holds(self, a: f64, b: f64) -> bool {
        match self {
            Self::Less => a < b,
            Self::AtMost => a <= b,
            Self::Equal => a == b,
        }
    }
}

/// A question about facts with a yes or no answer.
#[derive(Debug, Clone, PartialEq)]
pub enum Test {
    /// Is the value one of these?
    Is(Who, u128),
    /// Does a several-of fact hold this choice?
    Has(FactId, usize),
    /// Is the pair's cell one of these (by row, the set of columns)?
    Grid {
        /// Which grid.
        grid: usize,
        /// What gives the row.
        row: Who,
        /// What gives the column.
        column: Who,
        /// By row, the set of columns.
        cells: Arc<Vec<u128>>,
    },
    /// Do the numbers stand so?
    Compare(Arc<Expr>, Op, Arc<Expr>),
}

impl Test {
    /// What it reads.
    pub fn reads(&self) -> Vec<Who> {
        match self {
            Self::Is(who, _) => vec![*who],
            Self::Has(fact, _) => vec![Who::Fact(*fact)],
            Self::Grid { row, column, .. } => vec![*row, *column],
            Self::Compare(a, _, b) => {
                let mut found = Vec::new();
                a.facts(&mut found);
                b.facts(&mut found);
                found
            }
        }
    }
}

/// What a script comes to on one path.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// True.
    Applies,
    /// False.
    Silent,
    /// It cannot be worked out; counts as a caution.
    Fails(String),
}

/// A node of a tree.
#[derive(Debug, Clone, PartialEq)]
pub enum Node {
    /// The end of a path.
    Leaf(Outcome),
    /// A question, and where to go on yes and on no.
    Ask(Test, usize, usize),
}

/// A decision tree; node 0 is its root.
#[derive(Debug, Clone, PartialEq)]
pub struct Tree {
    /// Its nodes.
    pub nodes: Vec<Node>,
    /// Everything the script asked about on any path, also where the answer was plain and no branch came of it.
    pub asked: Vec<Who>,
}

impl Tree {
    /// The tree of a hold that a yes-no fact releases: wherever it would apply, it does only while the fact is not yes.
    #[must_use]
    pub(crate) fn until_released(mut self, fact: FactId) -> Self {
        if self.reads().contains(&Who::Fact(fact)) {
            return self;
        }
        for at in 0..self.nodes.len() {
            if self.nodes[at] == Node::Leaf(Outcome::Applies) {
                let next = self.nodes.len();
                self.nodes.push(Node::Leaf(Outcome::Silent));
                self.nodes.push(Node::Leaf(Outcome::Applies));
                self.nodes[at] = Node::Ask(Test::Is(Who::Fact(fact), crate::vocabulary::flag::YES), next, next + 1);
            }
        }
        self
    }

    /// The tests it holds.
    pub fn tests(&self) -> impl Iterator<Item = &Test> {
        self.nodes.iter().filter_map(|n| match n {
            Node::Ask(test, ..) => Some(test),
            Node::Leaf(_) => None,
        })
    }

    /// How many paths lead through it.
    pub fn paths(&self) -> usize {
        self.nodes.iter().filter(|n| matches!(n, Node::Leaf(_))).count()
    }

    /// What it reads, in order, each once.
    pub fn reads(&self) -> Vec<Who> {
        let mut found: Vec<Who> = Vec::new();
        for who in self.tests().flat_map(Test::reads) {
            if !found.contains(&who) {
                found.push(who);
            }
        }
        found
    }

    /// The limits it reads.
    pub fn limits(&self) -> Vec<usize> {
        let mut found = Vec::new();
        for test in self.tests() {
            if let Test::Compare(a, _, b) = test {
                a.limits(&mut found);
                b.limits(&mut found);
            }
        }
        found.sort_unstable();
        found.dedup();
        found
    }
}
