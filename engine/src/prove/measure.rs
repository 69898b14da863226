//! The proof's questions about rules, one at a time, so that they can be timed and put to something else.
//!
//! Each question is about one rule of law or of a published standard, one method, and places and days that look alike to the rule.
//! Two things can be asked: whether the rule applies wherever it did ([`Questions::still_applies`]), and whether the place where it
//! applied is covered by the other rules that restrict as much ([`Questions::covered`]). The trees the answers come from are given
//! over variables that both books share, so that another way of answering can be tried on the very same questions.

use super::layout::{Key, Layout};
use super::paths::ends;
use super::rules::{Question as Inner, looser, questions};
use super::space::{Effort, Side, Space, Var};
use super::spots::{Range, Spots};
use crate::judge::in_force::{Step, compile_with};
use crate::judge::walk::Domain;
use crate::pack::RuleBook;
use crate::reach::Reach;
use indexmap::IndexMap;
use std::cell::RefCell;

/// A set of values of a variable.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Values {
    /// Named values, by their places as bits; of a yes-no question, no is bit 0 and yes bit 1.
    Named(u128),
    /// Numbers in base units.
    Numbers(Reach),
}

impl Values {
    fn of(domain: Domain) -> Self {
        match domain {
            Domain::Bits(b) => Self::Named(b),
            Domain::Num(r) => Self::Numbers(r),
        }
    }
}

/// What trees ask about: a fact, one choice of a several-of fact, or a comparison of several facts.
#[derive(Debug, Clone)]
pub struct Variable {
    /// What it can be in one book or the other.
    pub either: Values,
    /// What it can be that both books know: only there are they compared.
    pub both: Values,
    /// Whether it takes whole numbers only.
    pub whole: bool,
}

/// A part of a question: whether a variable is one of some values.
#[derive(Debug, Clone)]
pub struct Part {
    /// Another variable and its values, where only there this is what is asked.
    pub given: Option<(usize, Values)>,
    /// The variable, by its place in [`Questions::variables`].
    pub variable: usize,
    /// The values for which the answer is yes.
    pub yes_when: Values,
}

/// A step of a tree.
#[derive(Debug, Clone)]
pub enum Node {
    /// The rule applies.
    Applies,
    /// It is silent.
    Silent,
    /// It cannot be worked out.
    Fails,
    /// A question: yes, where one of its parts is true; then the next steps on yes and on no, by their places.
    Ask(Vec<Part>, usize, usize),
}

/// Which of the two books.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Book {
    /// The first.
    Old,
    /// The second.
    New,
}

impl Book {
    fn side(self) -> Side {
        match self {
            Self::Old => Side::Old,
            Self::New => Side::New,
        }
    }
}

/// One question: a rule, a method, and where.
#[derive(Debug, Clone)]
pub struct Question {
    /// The rule.
    pub rule: String,
    /// The method; `None` where the rule reads none.
    pub method: Option<String>,
    inner: Inner,
}

/// All questions about the rules of two books.
pub struct Questions<'s, 'b> {
    layout: Layout<'s, 'b>,
    spots: Spots,
    all: Vec<Question>,
    variables: RefCell<Vec<Var>>,
    /// The trees handed out so far, and a spot at which each stands.
    trees: RefCell<IndexMap<Key, usize>>,
}

/// Brings two books together and hands over the questions about their rules of law and standards; `None` where a fact has more
/// choices than can be told apart. Rules that stand in the first book only are left out: nothing is to be asked about them.
pub fn with<T>(old: &RuleBook, new: &RuleBook, range: &Range, then: impl FnOnce(&Questions<'_, '_>) -> T) -> Option<T> {
    let space = Space::new(old, new).ok()?;
    let spots = Spots::new([old, new], range);
    let layout = Layout::new(&space, None);
    let mut all = Vec::new();
    for twin in layout.twins.iter().filter(|t| t.new.is_some()) {
        let rule = layout.rule(Side::Old, twin.old);
        if layout.restricts(rule) && Layout::strong(rule) {
            let each = questions(&layout, &spots, *twin).into_iter();
            all.extend(each.map(|inner| Question { rule: rule.id.clone(), method: inner.method.as_ref().map(|(m, _)| m.clone()), inner }));
        }
    }
    Some(then(&Questions { layout, spots, all, variables: RefCell::default(), trees: RefCell::default() }))
}

impl Questions<'_, '_> {
    /// The questions.
    pub fn all(&self) -> &[Question] {
        &self.all
    }

    /// Lays the trees of every question out as paths, once; gives how many paths there are.
    pub fn lay_out(&self) -> usize {
        let each = self.all.iter().flat_map(|q| [Side::Old, Side::New].map(|side| q.inner.paths(&self.layout, &self.spots, side)));
        each.map(|p| p.applies.len() + p.silent.len() + p.fails.len()).sum()
    }

    /// Whether the rule applies wherever it did, path against path, as the proof asks it.
    pub fn still_applies(&self, question: &Question) -> bool {
        let [old, new] = [Side::Old, Side::New].map(|side| question.inner.paths(&self.layout, &self.spots, side));
        looser(&self.layout, &old, &new, &Effort::new(usize::MAX)).is_ok_and(|ways| ways.is_empty())
    }

    /// Whether the place where the rule applied is covered by the other rules of the second book that restrict as much, each taken as
    /// it stands; `None` if that takes more than `steps`. (Where the proof asks this of a hold, it also minds what releases it.)
    pub fn covered(&self, question: &Question, steps: usize) -> Option<bool> {
        let inner = &question.inner;
        let old = inner.paths(&self.layout, &self.spots, Side::Old);
        let mut left = old.applies.iter().filter_map(|way| self.layout.space.comparable(way)).collect::<Vec<_>>();
        let (spot, places) = (&self.spots.all[inner.spots[0]], inner.method.as_ref().map(|(_, at)| *at));
        let effort = Effort::new(steps);
        for (rule, method) in self.layout.restricting(inner.twin.old, places, spot) {
            if left.is_empty() {
                break;
            }
            let paths = self.layout.paths(Side::New, rule, method, spot);
            left = self.layout.space.minus(left, &paths.applies, &effort).ok()?;
        }
        Some(left.is_empty())
    }

    /// The tree of the question's rule in a book, by its place among all trees; `None` where the rule is not in force there.
    pub fn tree(&self, question: &Question, book: Book) -> Option<usize> {
        let (rule, method) = question.inner.rule(book.side())?;
        Some(self.tree_at(book.side(), rule, method, question))
    }

    /// The trees of the other rules of the second book that restrict as much as the question's does.
    pub fn others(&self, question: &Question) -> Vec<usize> {
        let inner = &question.inner;
        let (spot, places) = (&self.spots.all[inner.spots[0]], inner.method.as_ref().map(|(_, at)| *at));
        let each = self.layout.restricting(inner.twin.old, places, spot);
        each.map(|(rule, method)| self.tree_at(Side::New, rule, method, question)).collect()
    }

    /// Trees that differ in nothing are one.
    fn tree_at(&self, side: Side, rule: usize, method: Option<usize>, question: &Question) -> usize {
        let spot = question.inner.spots[0];
        let key = (side, rule, method, self.layout.figure_key(side, rule, &self.spots.all[spot]));
        let mut trees = self.trees.borrow_mut();
        if let Some(at) = trees.get_index_of(&key) {
            return at;
        }
        trees.insert_full(key, spot).0
    }

    /// The steps of a tree, the first one first.
    pub fn nodes(&self, tree: usize) -> Vec<Node> {
        let trees = self.trees.borrow();
        let Some(((side, rule, method, _), spot)) = trees.get_index(tree) else { return vec![Node::Silent] };
        let space = self.layout.space;
        let figures = self.layout.figures(*side, &self.spots.all[*spot]);
        let compiled = compile_with(space.books[*side as usize], &figures, &self.layout.rule(*side, *rule).tree, *method);
        let each = compiled.steps.iter().map(|step| match step {
            Step::Applies => Node::Applies,
            Step::Silent => Node::Silent,
            Step::Fails(_) => Node::Fails,
            step => {
                let (yes, no) = ends(step);
                let parts = space.asked(*side, step).into_iter().map(|asked| Part {
                    given: asked.given.map(|(var, values)| (self.place_of(var), Values::of(values))),
                    variable: self.place_of(asked.var),
                    yes_when: Values::of(asked.yes_when),
                });
                Node::Ask(parts.collect(), yes as usize, no as usize)
            }
        });
        each.collect()
    }

    fn place_of(&self, var: Var) -> usize {
        super::paths::place_of(&self.variables, var)
    }

    /// The variables of the trees handed out so far.
    pub fn variables(&self) -> Vec<Variable> {
        let space = self.layout.space;
        let of = |var: &Var| Variable {
            either: Values::of(space.whole_of(*var)),
            both: Values::of(space.common(*var)),
            whole: space.whole(*var),
        };
        self.variables.borrow().iter().map(of).collect()
    }
}
