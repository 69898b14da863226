//! What a set of a grid's cells stands for, in words.

use crate::catalogue::{Cell, Grid};
use crate::words;

/// Which grades, or which reasons, a set of cells stands for.
pub(super) fn grades(grid: &Grid, cells: &[u128]) -> String {
    let has = |r: usize, c: usize| cells[r] >> c & 1 == 1;
    let whole = |of: &dyn Fn(usize, usize) -> usize, names: &[String]| -> Option<String> {
        let mut inside = vec![false; names.len()];
        let mut outside = vec![false; names.len()];
        for (r, row) in grid.cells.iter().enumerate() {
            for c in 0..row.len() {
                if has(r, c) {
                    inside[of(r, c)] = true;
                } else {
                    outside[of(r, c)] = true;
                }
            }
        }
        let named: Vec<&str> = names.iter().enumerate().filter(|(i, _)| inside[*i]).map(|(_, n)| n.as_str()).collect();
        let others: Vec<&str> = names.iter().enumerate().filter(|(i, _)| outside[*i]).map(|(_, n)| n.as_str()).collect();
        if inside.iter().zip(&outside).any(|(i, o)| *i && *o) {
            return None;
        }
        Some(if named.len() > others.len() + 2 {
            format!("anything but {}", words::list(&others, "or"))
        } else {
            words::list(&named, "or")
        })
    };
    whole(&|r, c| grid.cells[r][c].grade, &grid.grades)
        .or_else(|| whole(&|r, c| grid.cells[r][c].reason, &grid.reasons).map(|text| format!("so for the reason {text}")))
        .or_else(|| grade_and_reason(grid, cells))
        .or_else(|| grade_or_reason(grid, cells))
        .unwrap_or_else(|| {
            let pairs: u32 = cells.iter().map(|c| c.count_ones()).sum();
            format!("as in {pairs} pairs of the grid")
        })
}

/// A set of cells that some grades and some reasons make between them.
fn grade_and_reason(grid: &Grid, cells: &[u128]) -> Option<String> {
    let all = || grid.cells.iter().enumerate().flat_map(|(r, row)| row.iter().enumerate().map(move |(c, cell)| (r, c, cell)));
    let has = |r: usize, c: usize| cells[r] >> c & 1 == 1;
    let mut grades: Vec<usize> = all().filter(|(r, c, _)| has(*r, *c)).map(|(.., cell)| cell.grade).collect();
    let mut reasons: Vec<usize> = all().filter(|(r, c, _)| has(*r, *c)).map(|(.., cell)| cell.reason).collect();
    grades.sort_unstable();
    grades.dedup();
    reasons.sort_unstable();
    reasons.dedup();
    if all().any(|(r, c, cell)| has(r, c) != (grades.contains(&cell.grade) && reasons.contains(&cell.reason))) {
        return None;
    }
    let named = |of: &[usize], names: &[String]| words::list(&of.iter().map(|i| names[*i].as_str()).collect::<Vec<_>>(), "or");
    Some(format!("{} for the reason {}", named(&grades, &grid.grades), named(&reasons, &grid.reasons)))
}

/// A set of cells that is all of some grades, and all of some reasons beside them.
fn grade_or_reason(grid: &Grid, cells: &[u128]) -> Option<String> {
    let all = || grid.cells.iter().enumerate().flat_map(|(r, row)| row.iter().enumerate().map(move |(c, cell)| (r, c, cell)));
    let has = |r: usize, c: usize| cells[r] >> c & 1 == 1;
    let whole = |of: &dyn Fn(&Cell) -> usize, count: usize| -> Vec<usize> {
        let found = |i: usize| all().any(|(.., cell)| of(cell) == i) && all().all(|(r, c, cell)| of(cell) != i || has(r, c));
        (0..count).filter(|i| found(*i)).collect()
    };
    let grades = whole(&|cell| cell.grade, grid.grades.len());
    // A reason that only those grades have says nothing more.
    let more = |i: usize| all().any(|(.., cell)| cell.reason == i && !grades.contains(&cell.grade));
    let reasons: Vec<usize> = whole(&|cell| cell.reason, grid.reasons.len()).into_iter().filter(|i| more(*i)).collect();
    if grades.is_empty() || all().any(|(r, c, cell)| has(r, c) && !grades.contains(&cell.grade) && !reasons.contains(&cell.reason)) {
        return None;
    }
    let named = |of: &[usize], names: &[String]| words::list(&of.iter().map(|i| names[*i].as_str()).collect::<Vec<_>>(), "or");
    Some(format!("{}, or graded so for the reason {}", named(&grades, &grid.grades), named(&reasons, &grid.reasons)))
}
