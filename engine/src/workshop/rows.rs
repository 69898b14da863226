//! Cases in which a tree applies, as rows of what must be so; and joining them.

use crate::reach::Reach;
use crate::tree::{Expr, Who};
use crate::vocabulary::FactId;
use std::sync::Arc;

/// Whatever one column of the table is about.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Key {
    Who(Who),
    Has(FactId, usize),
    /// Some one of these choices holds.
    Any(FactId, u128),
    Grid(usize, Who, Who),
    Compare(Arc<Expr>, Arc<Expr>),
}

/// What it is in one case.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Left {
    Bits(u128),
    Numbers(Reach),
    Truth(bool),
    Cells(Vec<u128>),
    /// Less (1), equal (2), greater (4).
    Order(u8),
}

/// One case: what each key must be.
pub(super) type Row = Vec<(Key, Left)>;

/// Yes and no.
pub(super) fn opposite(a: &Left, b: &Left) -> bool {
    matches!((a, b), (Left::Truth(a), Left::Truth(b)) if a != b)
}

/// Whether one case lies within another, whatever `but` is.
pub(super) fn within(inner: &Row, outer: &Row, but: Option<&Key>) -> bool {
    outer.iter().filter(|(key, _)| Some(key) != but).all(|(key, left)| inner.iter().any(|(k, l)| k == key && both(l, left) == *l))
}

/// Joins cases that differ only in which choice of a several-of fact holds.
pub(super) fn any_of(mut rows: Vec<Row>) -> Vec<Row> {
    let held = |row: &Row| -> Vec<(usize, FactId, u128)> {
        let set = |(at, (key, left)): (usize, &(Key, Left))| match (key, left) {
            (Key::Has(f, option), Left::Truth(true)) => Some((at, *f, 1 << option)),
            (Key::Any(f, set), _) => Some((at, *f, *set)),
            _ => None,
        };
        row.iter().enumerate().filter_map(set).collect()
    };
    let rest = |row: &Row, at: usize| row.iter().enumerate().filter(|(i, _)| *i != at).map(|(_, c)| c.clone()).collect::<Row>();
    'again: loop {
        for a in 0..rows.len() {
            for b in a + 1..rows.len() {
                for (at_a, fact, set_a) in held(&rows[a]) {
                    for (at_b, other, set_b) in held(&rows[b]) {
                        if fact == other && rest(&rows[a], at_a) == rest(&rows[b], at_b) {
                            rows[a][at_a] = (Key::Any(fact, set_a | set_b), Left::Truth(true));
                            rows.remove(b);
                            continue 'again;
                        }
                    }
                }
            }
        }
        return rows;
    }
}

pub(super) fn both(a: &Left, b: &Left) -> Left {
    match (a, b) {
        (Left::Bits(a), Left::Bits(b)) => Left::Bits(a & b),
        (Left::Numbers(a), Left::Numbers(b)) => Left::Numbers(a.and(b)),
        (Left::Cells(a), Left::Cells(b)) => Left::Cells(a.iter().zip(b).map(|(a, b)| a & b).collect()),
        (Left::Order(a), Left::Order(b)) => Left::Order(a & b),
        _ => b.clone(),
    }
}

pub(super) fn either(a: &Left, b: &Left) -> Left {
    match (a, b) {
        (Left::Bits(a), Left::Bits(b)) => Left::Bits(a | b),
        (Left::Numbers(a), Left::Numbers(b)) => Left::Numbers(a.or(b)),
        (Left::Cells(a), Left::Cells(b)) => Left::Cells(a.iter().zip(b).map(|(a, b)| a | b).collect()),
        (Left::Order(a), Left::Order(b)) => Left::Order(a | b),
        _ => a.clone(),
    }
}
