//! Ranking methods, with every contribution open to view.

use super::{Judged, Subject};
use crate::catalogue::{AttributeValue, EntryKind};
use crate::pack::RankBy;
use crate::vocabulary::{About, FactKind, Known};

/// One contribution to a rank.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Contribution {
    /// Which part of the ranking, by its place in the book.
    pub(crate) part: usize,
    /// From 0 (worst) to 1 (best).
    pub(crate) points: f64,
    /// Points times weight.
    pub(crate) score: f64,
}

/// The contributions to a method's rank on a surface.
pub(crate) fn rank(subject: &Subject<'_, '_>, method: usize, judged: &Judged) -> Vec<Contribution> {
    let book = subject.force.book;
    let entry = &book.base.catalogue.entries(EntryKind::Method)[method];
    book.ranking
        .iter()
        .enumerate()
        .map(|(part, ranking)| {
            let points = match &ranking.by {
                RankBy::Attribute { attribute, best, worst } => match entry.attributes[*attribute] {
                    AttributeValue::Number(n) => between(n, *best, *worst),
                    _ => 0.0,
                },
                RankBy::Conditions { best, worst } => between(judged.burden, *best, *worst),
                RankBy::Grid { grid, points } => grid_points(subject, method, *grid, points),
            };
            Contribution { part, points, score: points * ranking.weight }
        })
        .collect()
}

pub(crate) fn between(value: f64, best: f64, worst: f64) -> f64 {
    if best == worst { 1.0 } else { ((value - worst) / (best - worst)).clamp(0.0, 1.0) }
}

/// Points of a grid whose columns are methods: the worst that is possible of the surface, the mean over coats.
fn grid_points(subject: &Subject<'_, '_>, method: usize, grid: usize, points: &[f64]) -> f64 {
    let base = subject.base();
    let grid = &base.catalogue.grids[grid];
    let worst = |known: &Known| match known {
        Known::Bits(bits) => {
            (0..grid.cells.len()).filter(|r| bits >> r & 1 == 1).map(|r| points[grid.cells[r][method].grade]).fold(1.0, f64::min)
        }
        _ => 1.0,
    };
    let facts = base.vocabulary.iter().filter(|(_, f)| matches!(f.kind, FactKind::Entry(k) if k == grid.rows));
    let mut all = Vec::new();
    for (_, fact) in facts {
        match fact.about {
            About::Surface => all.push(worst(&subject.known.surface[fact.slot].known)),
            About::Coat => all.extend(subject.known.coats.iter().map(|c| worst(&c[fact.slot].known))),
            _ => {}
        }
    }
    if all.is_empty() { 1.0 } else { all.iter().sum::<f64>() / all.len() as f64 }
}
