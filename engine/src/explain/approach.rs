//! Ways through the whole stack of coats: which methods, in which order, clear them all.

use crate::advice::{Approach, ApproachStep};
use crate::catalogue::{AttributeValue, EntryKind};
use crate::judge::{Subject, Verdict};
use crate::vocabulary::{About, FactKind, Known};
use crate::words;

/// The most approaches given.
const MOST: usize = 3;

/// The best way on from a coat: changes of method, minus the summed rank, and the next method.
type Best = (usize, f64, Option<usize>);

/// A method that could take part, with its rank.
pub(crate) struct Candidate {
    pub(crate) method: usize,
    pub(crate) verdict: Verdict,
    pub(crate) score: f64,
}

/// The coats a method clears, from the top, the first being 1; `None` where the coats are not listed, where some kind is not
/// known well enough, or where the method keeps them.
pub(crate) fn clears(subject: &Subject<'_, '_>, method: usize) -> Option<Vec<usize>> {
    let base = subject.base();
    let keeps = base.catalogue.attribute(EntryKind::Method, method, "keeps") == Some(AttributeValue::Flag(true));
    let grid = base.catalogue.grids.values().find(|g| !g.clears.is_empty() && g.columns == EntryKind::Method)?;
    let (_, fact) =
        base.vocabulary.iter().find(|(_, f)| f.about == About::Coat && matches!(f.kind, FactKind::Entry(k) if k == grid.rows))?;
    if keeps || !subject.known.listed || subject.known.coats.is_empty() {
        return None;
    }
    let mut cleared = Vec::new();
    for (i, coat) in subject.known.coats.iter().enumerate() {
        let Known::Bits(bits) = coat[fact.slot].known else { return None };
        let grades: Vec<bool> =
            (0..grid.cells.len()).filter(|r| bits >> r & 1 == 1).map(|r| grid.clears.contains(&grid.cells[r][method].grade)).collect();
        if grades.iter().all(|c| *c) {
            cleared.push(i + 1);
        } else if grades.iter().any(|c| *c) {
            return None;
        }
    }
    Some(cleared)
}

/// Approaches from the methods that suit, fewest changes of method first, then the better ranked.
pub(crate) fn approaches(subject: &Subject<'_, '_>, candidates: &[Candidate]) -> Vec<Approach> {
    let base = subject.base();
    let methods = base.catalogue.entries(EntryKind::Method);
    let keeps = |m: usize| base.catalogue.attribute(EntryKind::Method, m, "keeps") == Some(AttributeValue::Flag(true));
    let coats = subject.known.coats.len();
    let mut out = Vec::new();
    let grid = base.catalogue.grids.values().find(|g| !g.clears.is_empty() && g.columns == EntryKind::Method);
    let kind = grid.and_then(|g| {
        base.vocabulary
            .iter()
            .find(|(_, f)| f.about == About::Coat && matches!(f.kind, FactKind::Entry(k) if k == g.rows))
            .map(|(_, f)| f.slot)
    });
    if let (Some(grid), Some(slot), true, 1..) = (grid, kind, subject.known.listed, coats) {
        let clears = |c: &Candidate, coat: usize| match subject.known.coats[coat][slot].known {
            Known::Bits(bits) => {
                (0..grid.cells.len()).filter(|r| bits >> r & 1 == 1).all(|r| grid.clears.contains(&grid.cells[r][c.method].grade))
            }
            _ => false,
        };
        let takers: Vec<&Candidate> = candidates.iter().filter(|c| !keeps(c.method)).collect();
        // best[k][m]: the best way to clear coats k.. beginning with method m: changes, minus summed rank, next method.
        let mut best: Vec<Vec<Option<Best>>> = vec![vec![None; takers.len()]; coats];
        for coat in (0..coats).rev() {
            for (m, c) in takers.iter().enumerate() {
                if !clears(c, coat) {
                    continue;
                }
                best[coat][m] = if coat + 1 == coats {
                    Some((0, -c.score, None))
                } else {
                    (0..takers.len())
                        .filter_map(|n| {
                            let (changes, cost, _) = best[coat + 1][n]?;
                            let (step, extra) = if n == m { (0, 0.0) } else { (1, -c.score) };
                            Some((changes + step, cost + extra, Some(n)))
                        })
                        .min_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)))
                };
            }
        }
        let mut starts: Vec<usize> = (0..takers.len()).filter(|m| best[0][*m].is_some()).collect();
        starts.sort_by(|a, b| {
            let (x, y) = (best[0][*a].unwrap_or_default(), best[0][*b].unwrap_or_default());
            x.0.cmp(&y.0).then(x.1.total_cmp(&y.1)).then(a.cmp(b))
        });
        for start in starts.into_iter().take(MOST) {
            let mut steps: Vec<ApproachStep> = Vec::new();
            let mut m = start;
            for (coat, row) in best.iter().enumerate() {
                let taker = takers[m];
                let id = &methods[taker.method].id;
                match steps.last_mut() {
                    Some(last) if last.method == *id => last.coats.push(coat + 1),
                    _ => steps.push(ApproachStep { method: id.clone(), coats: vec![coat + 1], verdict: taker.verdict.words() }),
                }
                if let Some((_, _, Some(next))) = row[m] {
                    m = next;
                }
            }
            out.push(told(steps, coats, |id| methods[id].title.clone()));
        }
    }
    for c in candidates.iter().filter(|c| keeps(c.method)) {
        let entry = &methods[c.method];
        out.push(Approach {
            steps: vec![ApproachStep { method: entry.id.clone(), coats: Vec::new(), verdict: c.verdict.words() }],
            changes: 0,
            says: entry.title.clone(),
        });
    }
    out
}

fn told(steps: Vec<ApproachStep>, coats: usize, title: impl Fn(&str) -> String) -> Approach {
    let says = if let [one] = &steps[..] {
        let what = if coats == 1 { "the coat" } else { "all coats" };
        format!("{} for {what}", title(&one.method))
    } else {
        let parts: Vec<String> = steps
            .iter()
            .map(|s| {
                let numbers: Vec<String> = s.coats.iter().map(ToString::to_string).collect();
                let word = if s.coats.len() == 1 { "coat" } else { "coats" };
                format!("{} for {word} {}", title(&s.method), words::list(&numbers, "and"))
            })
            .collect();
        parts.join(", then ")
    };
    Approach { changes: steps.len() - 1, steps, says }
}
