//! Reading: the same survey text must mean the same under both books.
//!
//! Facts of site, surface and coat are found by what they are about and by name, entries and choices by id; no pack can take an id
//! that is taken. Only what is proposed is written with a bare name, and looked for among the choices of the method, then of
//! the surface, then of the site: there a fact that a firm adds can come first.

use super::draft::{Draft, state};
use super::layout::Layout;
use super::rules::best;
use super::space::{Effort, Way};
use super::spots::Spots;
use super::trial::Trial;
use super::{Bound, Break, Report, Side};
use crate::pack::{RuleBook, Ruling};
use crate::vocabulary::{About, FactId};

/// The fact that a bare name means among what is proposed.
fn meant(book: &RuleBook, name: &str) -> Option<FactId> {
    let vocabulary = &book.base.vocabulary;
    [About::Method, About::Surface, About::Site]
        .into_iter()
        .find_map(|about| vocabulary.find_about(about, name).filter(|f| vocabulary.get(*f).chosen))
}

/// Shows that every proposal is read the same under both books.
pub(crate) fn prove(
    layout: &Layout<'_, '_>,
    spots: &Spots,
    trial: &Trial<'_, '_>,
    effort: &Effort,
    report: &mut Report,
) -> Result<(), Bound> {
    let space = layout.space;
    let [old, new] = space.books;
    let captured: Vec<(usize, String)> = space
        .facts
        .iter()
        .enumerate()
        .filter(|(_, j)| j.chosen && j.own[0].is_some())
        .filter_map(|(f, j)| {
            let before = meant(old, &j.name)?;
            let after = meant(new, &j.name)?;
            let taken = space.joint(Side::Old, before) == f && space.joint(Side::New, after) != f;
            taken.then(|| (f, new.base.vocabulary.get(after).id.clone()))
        })
        .collect();
    for (fact, by) in captured {
        let joint = &space.facts[fact];
        let mut shown = false;
        report.remarks.extend(layout.not_followed(fact, &format!("in a proposal its name now means `{by}`")));
        let mut read_by = 0;
        for twin in &layout.twins {
            let rule = layout.rule(Side::Old, twin.old);
            if !Layout::strong(rule) || !layout.restricts(rule) || rule.ruling == Ruling::Caution {
                continue;
            }
            let groups = spots.grouped(|s| Layout::in_force(Side::Old, rule, s).then(|| layout.figure_key(Side::Old, twin.old, s)));
            for group in &groups {
                let spot = &spots.all[group[0]];
                let mut drafts: Vec<Draft> = Vec::new();
                for (id, places) in layout.methods() {
                    effort.spend(1)?;
                    let paths = layout.paths(Side::Old, twin.old, rule.scope.method.then_some(places[0]), spot);
                    let reads = |w: &&Way| w.iter().any(|(v, _)| space.facts_in(*v).contains(&fact));
                    for way in paths.applies.iter().filter(reads) {
                        read_by += 1;
                        let Some(mut stated) = state(space, way, 0) else { continue };
                        for s in stated.iter_mut().filter(|s| s.fact == fact) {
                            s.proposed = true;
                        }
                        drafts.push(Draft {
                            place: spot.place.clone(),
                            dates: spot.dates,
                            method: Some(id.clone()),
                            stated,
                            departures: Vec::new(),
                            no_coats: false,
                        });
                    }
                }
                drafts.sort_by_key(Draft::size);
                if let Some(draft) = best(trial, drafts.into_iter(), Some(&rule.id)) {
                    let what = format!("is not heard: in a proposal `{}` now means `{by}` instead of `{}`", joint.name, joint.id);
                    report.found(Break::of(rule, draft.method.iter().cloned().collect(), spots.words(group), &what), Some(draft), trial);
                    shown = true;
                }
                if shown {
                    break;
                }
            }
            if shown {
                break;
            }
        }
        if !shown && read_by > 0 {
            report.unknown.insert(format!(
                "in a proposal `{}` now means `{by}` instead of `{}`, which rules of law or standard read; no survey was found that shows it",
                joint.name, joint.id
            ));
        }
    }
    Ok(())
}
