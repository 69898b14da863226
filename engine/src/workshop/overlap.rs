//! Which other rules say the same, more, or the opposite.

use crate::limit::Period;
use crate::pack::{Rule, RuleBook, Ruling};
use crate::script::{applies_within, both_apply};

/// How another rule stands to one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Overlap {
    /// It applies in exactly the same cases, with the same ruling.
    Same(String),
    /// It applies wherever this one does, with the same ruling: this one adds no case.
    CoveredBy(String),
    /// This one applies wherever that one does, with the same ruling.
    Covers(String),
    /// It rules the method out wherever this one prefers it.
    Undone(String),
    /// Both can apply at once; that one rules out what this one prefers, or the other way round.
    CanContradict(String),
}

/// How the other rules of a book stand to one.
pub fn overlaps(book: &RuleBook, rule: &Rule) -> Vec<Overlap> {
    let base = &book.base;
    let mut found = Vec::new();
    for other in book.rules.iter().filter(|r| r.id != rule.id) {
        let id = || other.id.clone();
        if other.ruling == rule.ruling {
            let inside = within(book, rule, other) && applies_within(base, &rule.tree, &other.tree);
            let around = within(book, other, rule) && applies_within(base, &other.tree, &rule.tree);
            match (inside, around) {
                (true, true) => found.push(Overlap::Same(id())),
                (true, false) => found.push(Overlap::CoveredBy(id())),
                (false, true) => found.push(Overlap::Covers(id())),
                (false, false) => {}
            }
        } else if rule.ruling == Ruling::Prefer && other.ruling == Ruling::RuleOut {
            if within(book, rule, other) && applies_within(base, &rule.tree, &other.tree) {
                found.push(Overlap::Undone(id()));
            } else if shares(rule, other) && both_apply(base, &rule.tree, &other.tree) {
                found.push(Overlap::CanContradict(id()));
            }
        } else if rule.ruling == Ruling::RuleOut
            && other.ruling == Ruling::Prefer
            && shares(rule, other)
            && both_apply(base, &rule.tree, &other.tree)
        {
            found.push(Overlap::CanContradict(id()));
        }
    }
    found
}

/// Whether two rules ask about some fact in common, beside the method: otherwise every pair could apply at once, and saying
/// so would say nothing.
fn shares(rule: &Rule, other: &Rule) -> bool {
    use crate::tree::Who;
    let asked = rule.tree.reads();
    other.tree.reads().iter().any(|who| *who != Who::Method && asked.contains(who))
}

/// Whether `outer` is in force and about the same coats wherever `inner` is.
fn within(book: &RuleBook, inner: &Rule, outer: &Rule) -> bool {
    let (at, around) = (&inner.place, &outer.place);
    let named = around.named.is_empty() || !at.named.is_empty() && at.named.iter().all(|p| around.names(&book.places_of(p)));
    // What the outer one leaves out, the inner one has to leave out too, or never reach.
    let kept = around.except.iter().all(|code| {
        let left_out = at.except.iter().any(|e| book.places_of(code).contains(e));
        left_out || !at.named.is_empty() && !at.named.iter().any(|p| reach_each_other(book, p, code))
    });
    let placed = named && kept;
    // What speaks of any coat says more than what speaks only if every coat is so.
    let coats = inner.every_coat == outer.every_coat || inner.every_coat;
    placed && coats && inside(inner.period, outer.period)
}

/// Whether one of two places is part of the other.
fn reach_each_other(book: &RuleBook, a: &String, b: &String) -> bool {
    book.places_of(a).contains(b) || book.places_of(b).contains(a)
}

fn inside(inner: Period, outer: Period) -> bool {
    let begins = outer.from.is_none_or(|o| inner.from.is_some_and(|i| o <= i));
    let ends = outer.until.is_none_or(|o| inner.until.is_some_and(|i| i <= o));
    begins && ends
}
