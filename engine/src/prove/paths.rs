//! Trees laid out as paths: what each step asks in the joint space, and every way through.

use super::space::{Side, Space, Var, Way};
use crate::judge::in_force::{Compiled, Step, compile_with};
use crate::judge::solve_one::straight;
use crate::judge::walk::Domain;
use crate::reach::{Cut, Reach};
use crate::tree::{Expr, Op, Tree, Who};
use crate::vocabulary::FactId;
use std::cell::RefCell;
use std::collections::BTreeMap;

/// The paths of a tree, by where they end.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Paths {
    pub(crate) applies: Vec<Way>,
    pub(crate) silent: Vec<Way>,
    pub(crate) fails: Vec<Way>,
}

impl Paths {
    /// Ways in which it does not apply.
    pub(crate) fn not(&self) -> impl Iterator<Item = &Way> {
        self.silent.iter().chain(&self.fails)
    }
}

struct Walker<'s, 'b, 't> {
    space: &'s Space<'b>,
    side: Side,
    tree: &'t Compiled,
    trail: Way,
    out: Paths,
}

impl Walker<'_, '_, '_> {
    fn now(&self, var: Var) -> Domain {
        let narrowed = self.trail.iter().rev().find(|(v, _)| *v == var).map(|(_, d)| d.clone());
        narrowed.unwrap_or_else(|| self.space.anything(self.side, var))
    }

    fn end(&self) -> Way {
        let mut way: Way = Vec::new();
        for (var, domain) in self.trail.iter().rev() {
            if !way.iter().any(|(v, _)| v == var) {
                way.push((*var, domain.clone()));
            }
        }
        way.sort_by_key(|(v, _)| *v);
        way
    }

    /// Goes on along both answers of a question about one variable.
    fn ask(&mut self, var: Var, yes_when: &Domain, yes: u32, no: u32) {
        let now = self.now(var);
        let (inside, outside) = self.space.split(var, &now, yes_when);
        if outside.is_empty() {
            return self.go(yes);
        }
        if inside.is_empty() {
            return self.go(no);
        }
        for (domain, next) in [(inside, yes), (outside, no)] {
            self.trail.push((var, domain));
            self.go(next);
            self.trail.pop();
        }
    }

    fn go(&mut self, at: u32) {
        let step = match &self.tree.steps[at as usize] {
            Step::Applies => return self.out.applies.push(self.end()),
            Step::Silent => return self.out.silent.push(self.end()),
            Step::Fails(_) => return self.out.fails.push(self.end()),
            step => step,
        };
        let (yes, no) = ends(step);
        for asked in self.space.asked(self.side, step) {
            let Some((var, given)) = asked.given else {
                self.ask(asked.var, &asked.yes_when, yes, no);
                continue;
            };
            let given = self.now(var).and(&given);
            if !given.is_empty() {
                self.trail.push((var, given));
                self.ask(asked.var, &asked.yes_when, yes, no);
                self.trail.pop();
            }
        }
    }
}

/// A question about one variable: whether it is one of some values.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Asked {
    /// Where this is the question at all.
    pub(crate) given: Option<(Var, Domain)>,
    pub(crate) var: Var,
    pub(crate) yes_when: Domain,
}

/// Where a step goes on yes and on no; the ends of a tree go nowhere.
pub(crate) fn ends(step: &Step) -> (u32, u32) {
    match step {
        Step::Applies | Step::Silent | Step::Fails(_) => (0, 0),
        Step::Is { yes, no, .. }
        | Step::Has { yes, no, .. }
        | Step::Number { yes, no, .. }
        | Step::Compare { yes, no, .. }
        | Step::Pair { yes, no, .. } => (*yes, *no),
    }
}

impl Space<'_> {
    /// The paths of a tree of one book, with given figures, for a method of that book or for none.
    pub(crate) fn paths(&self, side: Side, tree: &Tree, method: Option<usize>, figures: &[Option<f64>]) -> Paths {
        let compiled = compile_with(self.books[side as usize], figures, tree, method);
        let mut walker = Walker { space: self, side, tree: &compiled, trail: Vec::new(), out: Paths::default() };
        walker.go(0);
        walker.out
    }

    /// An expression with joint facts, and lookups by joint entry.
    fn lift_expr(&self, side: Side, expr: &Expr) -> Expr {
        match expr {
            Expr::Fact(f) => Expr::Fact(FactId::joint(self.joint(side, *f))),
            Expr::Lookup(Who::Fact(f), values) => {
                let fact = self.joint(side, *f);
                let map = &self.facts[fact].map[side as usize];
                let mut joint = vec![f64::NAN; map.iter().max().map_or(0, |m| m + 1)];
                for (own, value) in values.iter().enumerate() {
                    joint[map[own]] = *value;
                }
                Expr::Lookup(Who::Fact(FactId::joint(fact)), joint.into())
            }
            Expr::Call(func, a, b) => Expr::Call(*func, self.lift_expr(side, a).into(), self.lift_expr(side, b).into()),
            Expr::Reckon(function, given) => Expr::Reckon(function.clone(), given.iter().map(|e| self.lift_expr(side, e)).collect()),
            other => other.clone(),
        }
    }

    /// What a step asks: one question, or several, of which exactly one is given at each point. Ends ask nothing.
    pub(crate) fn asked(&self, side: Side, step: &Step) -> Vec<Asked> {
        let one = |var: Var, yes_when: Domain| vec![Asked { given: None, var, yes_when }];
        match step {
            Step::Applies | Step::Silent | Step::Fails(_) => Vec::new(),
            Step::Is { fact, set, .. } => {
                let fact = self.joint(side, *fact);
                one(Var::Named(fact), Domain::Bits(self.lift(side, fact, *set)))
            }
            Step::Has { fact, option, .. } => {
                let fact = self.joint(side, *fact);
                let option = self.lift(side, fact, 1 << option).trailing_zeros() as u8;
                one(Var::Choice(fact, option), Domain::Bits(0b10))
            }
            Step::Number { fact, op, figure, .. } => {
                one(Var::Number(self.joint(side, *fact)), Domain::Num(crate::script::region(*op, *figure)))
            }
            Step::Compare { test, .. } => {
                let (var, yes_when) = self.compared(side, test);
                one(var, yes_when)
            }
            Step::Pair { row, column, cells, .. } => {
                let (row, column) = (self.joint(side, *row), self.joint(side, *column));
                // Rows with the same columns go together.
                let mut groups: BTreeMap<u128, u128> = BTreeMap::new();
                for (r, columns) in cells.iter().enumerate() {
                    let r = self.facts[row].map[side as usize][r];
                    *groups.entry(self.lift(side, column, *columns)).or_default() |= 1 << r;
                }
                let each = groups.into_iter().map(|(columns, rows)| Asked {
                    given: Some((Var::Named(row), Domain::Bits(rows))),
                    var: Var::Named(column),
                    yes_when: Domain::Bits(columns),
                });
                each.collect()
            }
        }
    }

    /// A comparison of more than a fact and a figure.
    fn compared(&self, side: Side, test: &(Expr, Op, Expr)) -> (Var, Domain) {
        let (a, op, b) = test;
        let lifted = (self.lift_expr(side, a), *op, self.lift_expr(side, b));
        if let Some((fact, region)) = of_one(&lifted) {
            return (Var::Number(fact), Domain::Num(region));
        }
        let (a, _, b) = lifted;
        let (expr, region) = match (&a, &b) {
            (expr, Expr::Const(figure)) => (expr.clone(), crate::script::region(*op, *figure)),
            (Expr::Const(figure), expr) => (
                expr.clone(),
                match op {
                    Op::Less => Reach::from(Cut::above(*figure)),
                    Op::AtMost => Reach::from(Cut::below(*figure)),
                    Op::Equal => Reach::point(*figure),
                },
            ),
            _ => return (Var::Question(place_of(&self.questions, (a, *op, b))), Domain::Bits(0b10)),
        };
        match &expr {
            Expr::Fact(f) => (Var::Number(f.at()), Domain::Num(region)),
            Expr::Lookup(Who::Fact(f), values) => {
                let set = values.iter().enumerate().fold(0, |set, (i, v)| set | u128::from(region.holds(*v)) << i);
                (Var::Named(f.at()), Domain::Bits(set))
            }
            _ => (Var::Sum(place_of(&self.sums, expr)), Domain::Num(region)),
        }
    }
}

/// A comparison in which one number stands, as the numbers for which it holds; `None` if it is not a straight line in it. What goes
/// through a calculator is taken as a number of its own.
fn of_one(test: &(Expr, Op, Expr)) -> Option<(usize, Reach)> {
    let mut read = Vec::new();
    test.0.facts(&mut read);
    test.2.facts(&mut read);
    let Some(Who::Fact(fact)) = read.first().copied() else { return None };
    if read.iter().any(|w| *w != Who::Fact(fact)) {
        return None;
    }
    let constant = |e: &Expr| if let Expr::Const(c) = e { Some(*c) } else { None };
    Some((fact.at(), straight(test, fact, &constant)?))
}

/// The place of something in a list, which takes it in if it is new.
pub(crate) fn place_of<T: PartialEq>(list: &RefCell<Vec<T>>, wanted: T) -> usize {
    let mut list = list.borrow_mut();
    list.iter().position(|item| *item == wanted).unwrap_or_else(|| {
        list.push(wanted);
        list.len() - 1
    })
}
