//! Ranking methods: what each part of the ranking comes to, with the rows that add to it open to view.
//!
//! Everything is a whole number and less is better. Parts are never added up into one score: they are compared one after the
//! other, so that no amount of speed buys harm.

use super::walk::walk;
use super::{Judged, Subject};
use crate::catalogue::{AttributeValue, EntryKind, Grid};
use crate::pack::{OfCoats, RankBy, Ruling, passed};
use crate::vocabulary::{About, FactKind, Known};

/// What one part of the ranking comes to for a method on a surface.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Contribution {
    /// Which part of the ranking, by its place in the book.
    pub(crate) part: usize,
    /// What it costs each time the method is taken up.
    pub(crate) each: i64,
    /// What it costs by coat, from the top.
    pub(crate) coats: Vec<i64>,
    /// The rows that added to it, by their place in the book.
    pub(crate) rows: Vec<usize>,
}

impl Contribution {
    /// What it comes to where the method takes every coat.
    pub(crate) fn total(&self) -> i64 {
        self.each + self.coats.iter().sum::<i64>()
    }
}

/// What every part of the ranking comes to for a method on a surface.
pub(crate) fn rank(subject: &Subject<'_, '_>, method: usize, judged: &Judged) -> Vec<Contribution> {
    let book = subject.force.book;
    let entry = &book.base.catalogue.entries(EntryKind::Method)[method];
    let coats = subject.known.coats.len();
    let mut parts: Vec<Contribution> = book
        .ranking
        .iter()
        .enumerate()
        .map(|(part, ranking)| {
            let mut own = Contribution { part, each: 0, coats: vec![0; coats], rows: Vec::new() };
            match &ranking.by {
                RankBy::Attribute { attribute, bands } => {
                    if let AttributeValue::Number(n) = entry.attributes[*attribute] {
                        own.each = passed(bands, n);
                    }
                }
                RankBy::Conditions { bands } => own.each = passed(bands, judged.burden),
                RankBy::Preferred => own.each = i64::from(!preferred(subject, method)),
                RankBy::Grid { grid, costs, reasons } => {
                    let grid = &book.base.catalogue.grids[*grid];
                    let cell = |row: usize| costs[grid.cells[row][method].grade] + reasons[grid.cells[row][method].reason];
                    by_grid(subject, grid, &cell, &mut own);
                }
                RankBy::Rows => {}
            }
            let patches = subject.known.patched.iter().filter(|(m, _)| *m == method);
            own.each += patches.map(|(_, result)| *result).min().map_or(0, |best| ranking.patched[best]);
            own
        })
        .collect();
    rows(subject, method, &mut parts);
    parts
}

/// Adds what the rows of the ranking come to. A row that turns on what is not known counts where it speaks against the
/// method, and not where it speaks for it or says itself that it has to be sure.
fn rows(subject: &Subject<'_, '_>, method: usize, parts: &mut [Contribution]) {
    let force = subject.force;
    let settings = force.method(method, None, &[]);
    for ready in &force.grades[method] {
        let grade = &force.book.grades[ready.rule];
        let counts = |coat: usize| {
            let found = walk(&ready.tree, &subject.view(coat, &settings, None), None);
            if grade.cost > 0 && !grade.surely { !found.applies.is_empty() || found.fails.is_some() } else { found.certain() }
        };
        let part = &mut parts[grade.part];
        let mut coats = 0..part.coats.len();
        let once = match grade.coats {
            Some(OfCoats::Each) => {
                let holds: Vec<usize> = coats.filter(|c| counts(*c)).collect();
                for coat in &holds {
                    part.coats[*coat] += grade.cost;
                }
                if !holds.is_empty() {
                    part.rows.push(ready.rule);
                }
                continue;
            }
            Some(OfCoats::Any) => coats.any(counts),
            Some(OfCoats::Every) => !part.coats.is_empty() && coats.all(counts),
            None => counts(0),
        };
        if once {
            part.each += grade.cost;
            part.rows.push(ready.rule);
        }
    }
}

/// Whether some rule prefers the method here.
fn preferred(subject: &Subject<'_, '_>, method: usize) -> bool {
    let force = subject.force;
    let settings = force.method(method, None, &[]);
    let mut prefer = force.by_method[method].iter().filter(|r| force.ruling(r.rule) == Ruling::Prefer);
    prefer.any(|r| subject.look(r, &settings, None).iter().any(|f| f.finding.certain()))
}

/// Costs by a grid whose columns are methods: the most that is possible, once for the surface and once for each coat.
fn by_grid(subject: &Subject<'_, '_>, grid: &Grid, cell: &dyn Fn(usize) -> i64, own: &mut Contribution) {
    let most = |known: &Known| match known {
        Known::Bits(bits) => (0..grid.cells.len()).filter(|r| bits >> r & 1 == 1).map(cell).max().unwrap_or(0),
        _ => 0,
    };
    for (_, fact) in subject.base().vocabulary.iter().filter(|(_, f)| matches!(f.kind, FactKind::Entry(k) if k == grid.rows)) {
        match fact.about {
            About::Surface => own.each += most(&subject.known.surface[fact.slot].known),
            About::Coat => {
                for (cost, coat) in own.coats.iter_mut().zip(&subject.known.coats) {
                    *cost += most(&coat[fact.slot].known);
                }
            }
            _ => {}
        }
    }
}

/// Whether a rule that makes keeping doubtful surely applies to keeping by this method.
pub(crate) fn doubtful(subject: &Subject<'_, '_>, keeper: usize) -> bool {
    let force = subject.force;
    let settings = force.method(keeper, None, &[]);
    force.doubts.iter().any(|rule| {
        let mut ready = force.by_rule(*rule, keeper);
        ready.any(|r| subject.look(r, &settings, None).iter().any(|f| f.finding.certain()))
    })
}
