//! No departure silences a rule of law or standard.
//!
//! Two checks for every such rule, on a survey in which it applies: a departure from it is refused when the survey is read; and with
//! every departure recorded that the reader does accept, the rule still speaks as before.

use super::draft::{Draft, state};
use super::layout::Layout;
use super::spots::Spots;
use super::trial::{Does, Trial};
use super::{Break, Report, Side};
use crate::diagnostic::SourceFile;
use crate::pack::Ruling;
use crate::survey::{Survey, departure_refused};

/// The most paths of one rule that are tried for a survey in which it applies.
const MOST_PATHS: usize = 40;

pub(crate) fn prove(layout: &Layout<'_, '_>, spots: &Spots, trial: &Trial<'_, '_>, report: &mut Report) {
    let space = layout.space;
    let book = space.books[1];
    let accepted: Vec<String> = book.rules.iter().filter(|r| departure_refused(r.basis).is_none()).map(|r| r.id.clone()).collect();
    for (at, rule) in book.rules.iter().enumerate() {
        if !Layout::strong(rule) || rule.ruling > Ruling::Caution {
            continue;
        }
        let spoken = speaking(layout, spots, trial, at);
        let Some(draft) = spoken else {
            report.warnings.insert(format!("no survey was found in which `{}` applies, so departures were not tried on it", rule.id));
            continue;
        };
        let mut named = draft.clone();
        named.departures = vec![rule.id.clone()];
        let file = SourceFile::new("trial", named.text(space, Side::New, "trial"));
        if Survey::read(&file, book).is_ok() {
            report.found(Break::of(rule, Vec::new(), String::new(), "can be departed from"), None, trial);
            continue;
        }
        let mut all = draft.clone();
        all.departures.clone_from(&accepted);
        let before = trial.said(Side::New, &draft, Some(&rule.id));
        let after = trial.said(Side::New, &all, Some(&rule.id));
        if before.map(|s| s.rule) == after.map(|s| s.rule) && after.is_some() {
            report.spoken += 1;
        } else {
            report.found(Break::of(rule, Vec::new(), String::new(), "is silenced by departures from other rules"), None, trial);
        }
    }
    report.departures = accepted.len();
}

/// A survey in which a rule applies for certain.
fn speaking(layout: &Layout<'_, '_>, spots: &Spots, trial: &Trial<'_, '_>, at: usize) -> Option<Draft> {
    let rule = layout.rule(Side::New, at);
    let catalogue = &layout.space.books[1].base.catalogue;
    let methods: Vec<Option<usize>> =
        if rule.scope.method { (0..catalogue.entries(crate::catalogue::EntryKind::Method).len()).map(Some).collect() } else { vec![None] };
    let groups = spots.grouped(|s| Layout::in_force(Side::New, rule, s).then(|| layout.figure_key(Side::New, at, s)));
    for group in groups {
        let spot = &spots.all[group[0]];
        for method in &methods {
            let paths = layout.paths(Side::New, at, *method, spot);
            for way in paths.applies.iter().take(MOST_PATHS) {
                let Some(stated) = state(layout.space, way, 0) else { continue };
                let method =
                    method.and_then(|m| catalogue.entries(crate::catalogue::EntryKind::Method).get_index(m)).map(|(id, _)| id.clone());
                let draft = Draft { place: spot.place.clone(), dates: spot.dates, method, stated, departures: Vec::new(), no_coats: false };
                if trial.said(Side::New, &draft, Some(&rule.id)).is_some_and(|s| s.rule == Does::Applies) {
                    return Some(draft);
                }
            }
        }
    }
    None
}
