//! How well the worked cases exercise the rules: which ends of each unfolded tree some case comes to, and which small changes
//! of a rule no case would notice.
//!
//! A *branch* is a leaf of the unfolded tree; a case comes to it when nothing on the way is open. A *change* swaps the answers of
//! one question, drops it, turns "less" into "at most" or back, or nudges a figure to either side; it is *noticed* when some case
//! that names the rule no longer gets what it expects.

use super::Tell;
use crate::judge::Subject;
use crate::judge::in_force::{Compiled, InForce};
use crate::judge::walk::walk;
use crate::pack::{Case, Rule, RuleBook};
use crate::quantity::System;
use crate::tree::{Expr, Func, Node, Op, Test, Tree};
use std::collections::BTreeSet;
use std::sync::Arc;

/// How well one rule is exercised.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Exercised {
    /// The rule.
    pub rule: String,
    /// Its pack.
    pub pack: String,
    /// Leaves of its tree.
    pub branches: usize,
    /// Leaves no case comes to, as the answers that lead there.
    pub unreached: Vec<String>,
    /// Small changes tried.
    pub changes: usize,
    /// Those no case notices.
    pub unnoticed: Vec<String>,
    /// Cases in which it speaks, and in which it is silent.
    pub speaks: usize,
    /// Cases that expect it to be silent.
    pub silent: usize,
}

/// What a rule does in a case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Does {
    Speaks,
    Open,
    Silent,
}

/// A case made ready: what is known, and what is in force.
struct Stage<'b> {
    case: &'b Case,
    force: InForce<'b>,
}

/// Exercises every rule with the worked cases that name it.
pub fn exercise(book: &RuleBook) -> Vec<Exercised> {
    exercise_some(book, |_| true)
}

/// Exercises the rules that are wanted with the worked cases that name them.
pub fn exercise_some(book: &RuleBook, wanted: impl Fn(&Rule) -> bool) -> Vec<Exercised> {
    let rules: Vec<&Rule> = book.rules.iter().filter(|r| wanted(r)).collect();
    let ids: Vec<&String> = rules.iter().map(|r| &r.id).collect();
    let stages: Vec<Stage<'_>> = book
        .cases
        .iter()
        .filter(|c| [&c.about, &c.says, &c.open, &c.silent].iter().any(|list| list.iter().any(|id| ids.contains(&id))))
        .map(|case| Stage::new(case, book))
        .collect();
    rules.into_iter().map(|rule| one(rule, book, &stages)).collect()
}

/// Whether a rule speaks or is open in a case.
pub(crate) fn reaches(book: &RuleBook, case: &Case, rule: &Rule) -> bool {
    let stage = Stage::new(case, book);
    in_force(rule, &stage.force) && stage.run(rule, &rule.tree, &mut |_| {}) != Does::Silent
}

fn one(rule: &Rule, book: &RuleBook, stages: &[Stage<'_>]) -> Exercised {
    let own: Vec<&Stage<'_>> = stages
        .iter()
        .filter(|s| [&s.case.about, &s.case.says, &s.case.open, &s.case.silent].iter().any(|list| list.contains(&rule.id)))
        .filter(|s| in_force(rule, &s.force))
        .collect();
    let mut reached = BTreeSet::new();
    for stage in &own {
        stage.run(rule, &rule.tree, &mut |end| {
            reached.extend(end);
        });
    }
    let leaves: Vec<usize> =
        (0..rule.tree.nodes.len()).filter(|n| matches!(rule.tree.nodes[*n], Node::Leaf(_)) && is_used(&rule.tree, *n)).collect();
    let unreached = leaves.iter().filter(|l| !reached.contains(l)).map(|l| way_to(&rule.tree, *l, book)).collect();
    let changed = changes(&rule.tree, book);
    let unnoticed =
        changed.iter().filter(|(_, tree)| !own.iter().any(|stage| !stage.content(rule, tree))).map(|(what, _)| what.clone()).collect();
    Exercised {
        rule: rule.id.clone(),
        pack: rule.pack.clone(),
        branches: leaves.len(),
        unreached,
        changes: changed.len(),
        unnoticed,
        speaks: own.iter().filter(|s| s.case.says.contains(&rule.id)).count(),
        silent: stages.iter().filter(|s| s.case.silent.contains(&rule.id)).count(),
    }
}

fn in_force(rule: &Rule, force: &InForce<'_>) -> bool {
    rule.place.holds(&force.places) && rule.period.holds(force.date)
}

impl<'b> Stage<'b> {
    fn new(case: &'b Case, book: &'b RuleBook) -> Self {
        let date = case.survey.date.unwrap_or_else(crate::pack::case_date);
        Self { case, force: InForce::new(book, case.survey.place.as_deref(), date) }
    }
}

impl Stage<'_> {
    /// Walks a tree on everything the case is about; `ends` is told where each walk ended, if nothing on it was open.
    fn run(&self, rule: &Rule, tree: &Tree, ends: &mut dyn FnMut(Option<usize>)) -> Does {
        let mut does = Does::Silent;
        let surface = 0;
        let methods: Vec<usize> = match (self.case.method, rule.scope.method) {
            (Some(m), _) => vec![m],
            (None, true) => crate::judge::methods(&self.force).collect(),
            (None, false) => vec![0],
        };
        for method in methods {
            let proposal = self.case.survey.surfaces[surface].proposals.first().filter(|p| p.method.at() == method);
            let (subject, settings) = match proposal {
                Some(p) => crate::judge::with_proposal(&self.force, &self.case.survey, surface, p, &[]),
                None => (Subject::new(&self.force, &self.case.survey, surface, &[]), self.force.method(method, None, &[])),
            };
            let compiled: Compiled = self.force.compile(tree, method);
            let coats = if rule.scope.coat { subject.known.coats.len() } else { 1 };
            let mut all: Option<Does> = None;
            for coat in 0..coats {
                let finding = walk(&compiled, &subject.view(coat, &settings, rule.released_by), None);
                ends(finding.end);
                let this = if finding.certain() {
                    Does::Speaks
                } else if finding.applies.is_empty() {
                    Does::Silent
                } else {
                    Does::Open
                };
                all = Some(match (all, rule.every_coat) {
                    (None, _) => this,
                    // About every coat: one silent coat silences it, one open coat leaves it open.
                    (Some(_), true) if this == Does::Silent => Does::Silent,
                    (Some(Does::Silent), true) => Does::Silent,
                    (Some(a), true) => {
                        if a == Does::Speaks {
                            this
                        } else {
                            a
                        }
                    }
                    (Some(a), false) => {
                        if a == Does::Speaks || this == Does::Silent {
                            a
                        } else {
                            this
                        }
                    }
                });
            }
            does = match (does, all) {
                (Does::Speaks, _) | (_, Some(Does::Speaks)) => Does::Speaks,
                (Does::Open, _) | (_, Some(Does::Open)) => Does::Open,
                _ => Does::Silent,
            };
        }
        does
    }

    /// Whether the case still gets what it expects of a rule with this tree.
    fn content(&self, rule: &Rule, tree: &Tree) -> bool {
        let wanted = if self.case.says.contains(&rule.id) {
            Does::Speaks
        } else if self.case.open.contains(&rule.id) {
            Does::Open
        } else if self.case.silent.contains(&rule.id) {
            Does::Silent
        } else {
            return true;
        };
        self.run(rule, tree, &mut |_| {}) == wanted
    }
}

/// Whether a node is still part of the tree (a released hold leaves none behind, a change may).
fn is_used(tree: &Tree, wanted: usize) -> bool {
    let mut left = vec![0];
    while let Some(at) = left.pop() {
        if at == wanted {
            return true;
        }
        if let Node::Ask(_, yes, no) = &tree.nodes[at] {
            left.extend([*yes, *no]);
        }
    }
    false
}

/// The small changes of a tree, each with what it does.
pub fn changes(tree: &Tree, book: &RuleBook) -> Vec<(String, Tree)> {
    let mut out = Vec::new();
    for at in (0..tree.nodes.len()).filter(|n| is_used(tree, *n)) {
        let Node::Ask(test, yes, no) = &tree.nodes[at] else { continue };
        let name = told(test, book);
        let with = |node: Node| {
            let mut changed = tree.clone();
            changed.nodes[at] = node;
            changed
        };
        out.push((format!("the answers to {name} swapped"), with(Node::Ask(test.clone(), *no, *yes))));
        out.push((format!("{name} taken as yes"), with(tree.nodes[*yes].clone())));
        out.push((format!("{name} taken as no"), with(tree.nodes[*no].clone())));
        if let Test::Compare(a, op, b) = test {
            let other = match op {
                Op::Less => Op::AtMost,
                Op::AtMost | Op::Equal => Op::Less,
            };
            out.push((format!("the edge of {name}"), with(Node::Ask(Test::Compare(Arc::clone(a), other, Arc::clone(b)), *yes, *no))));
            for (word, by) in [("raised", 1.01), ("lowered", 0.99)] {
                if let Some(nudged) = nudge(b, by) {
                    let test = Test::Compare(Arc::clone(a), *op, Arc::new(nudged));
                    out.push((format!("the figure of {name} {word}"), with(Node::Ask(test, *yes, *no))));
                }
            }
        }
    }
    out
}

/// A figure moved a little.
fn nudge(expr: &Expr, by: f64) -> Option<Expr> {
    let times = |e: Expr| Expr::Call(Func::Mul, Arc::new(e), Arc::new(Expr::Const(by)));
    match expr {
        // Years and counts move by one.
        Expr::Const(c) if c.fract() == 0.0 && c.abs() >= 2.0 => Some(Expr::Const(if by > 1.0 { c + 1.0 } else { c - 1.0 })),
        Expr::Const(c) if *c != 0.0 => Some(Expr::Const(c * by)),
        Expr::Limit(_) => Some(times(expr.clone())),
        _ => None,
    }
}

/// A question in a few words: the answer that is a yes.
fn told(test: &Test, book: &RuleBook) -> String {
    format!("`{}`", words_of(book).answer(test, true))
}

fn words_of(book: &RuleBook) -> Tell<'_> {
    Tell::new(book, None, crate::pack::case_date(), System::Metric)
}

/// The answers that lead to a leaf.
fn way_to(tree: &Tree, leaf: usize, book: &RuleBook) -> String {
    fn seek(tree: &Tree, at: usize, leaf: usize, words: &Tell<'_>, way: &mut Vec<String>) -> bool {
        if at == leaf {
            return true;
        }
        let Node::Ask(test, yes, no) = &tree.nodes[at] else { return false };
        for (next, answer) in [(*yes, true), (*no, false)] {
            way.push(words.answer(test, answer));
            if seek(tree, next, leaf, words, way) {
                return true;
            }
            way.pop();
        }
        false
    }
    let mut way = Vec::new();
    seek(tree, 0, leaf, &words_of(book), &mut way);
    way.join("; ")
}
