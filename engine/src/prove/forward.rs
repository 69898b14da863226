//! A way forward: no combination of the catalogue is left with every method ruled out by what a firm adds.

use super::draft::{Draft, Statement, toml_text};
use super::space::{Effort, Sort, Space};
use super::spots::{Spot, Spots, key_of};
use super::trial::Trial;
use super::{Bound, Break, Report, Side};
use crate::judge::in_force::InForce;
use crate::judge::{Subject, Verdict, methods};
use crate::pack::Ruling;
use crate::role::{FactRole, Role};
use crate::survey::{Facts, Stated, Surface, Survey};
use crate::vocabulary::{About, FactId, FactKind, Known};

/// The facts whose combinations are gone through: every entry of a surface or coat, and where the surface is.
fn axes(space: &Space<'_>) -> Vec<usize> {
    let vocabulary = &space.books[1].base.vocabulary;
    let wanted = |id: Option<FactId>| {
        id.is_some_and(|id| {
            let fact = vocabulary.get(id);
            let entry = matches!(fact.kind, FactKind::Entry(_)) && matches!(fact.about, About::Surface | About::Coat);
            entry || fact.role == Some(FactRole::Where)
        })
    };
    (0..space.facts.len()).filter(|f| wanted(space.facts[*f].own[1])).collect()
}

fn stated(known: Known) -> Stated {
    Stated { known, written: "given".to_owned(), by: None, on: None, note: None }
}

/// A survey that states one choice of each axis in the words of one book; `None` where the book lacks one.
fn survey(space: &Space<'_>, side: Side, axes: &[usize], picks: &[usize]) -> Option<Survey> {
    let book = space.books[side as usize];
    let (mut facts, mut coat) = (Facts::new(), Facts::new());
    for (axis, pick) in axes.iter().zip(picks) {
        let joint = &space.facts[*axis];
        let Sort::Named(ids) = &joint.sort else { continue };
        let id = joint.own[side as usize]?;
        let fact = book.base.vocabulary.get(id);
        let own = fact.choice_ids(&book.base.catalogue).iter().position(|c| *c == ids[*pick])?;
        let into = if fact.about == About::Coat { &mut coat } else { &mut facts };
        into.insert(id, stated(Known::Bits(1 << own)));
    }
    let coats = (!coat.is_empty()).then(|| vec![coat]);
    Some(Survey::of(Surface { facts, coats, ..Surface::named("s") }, &book.base))
}

/// Whether every method is ruled out. The method that was left last time is tried first.
fn stuck(force: &InForce<'_>, survey: &Survey, likely: &mut [usize]) -> bool {
    let subject = Subject::new(force, survey, 0, &[]);
    for at in 0..likely.len() {
        let method = likely[at];
        if subject.judge(method, &force.method(method, None, &[])).verdict != Verdict::RuledOut {
            likely[..=at].rotate_right(1);
            return false;
        }
    }
    true
}

/// What can rule a method out at a spot: rules, presumptions and figures.
fn signature(space: &Space<'_>, side: Side, spot: &Spot) -> (Vec<usize>, Vec<usize>, Vec<Option<u64>>) {
    let book = space.books[side as usize];
    let rules = book.rules.iter().enumerate().filter(|(_, r)| r.ruling == Ruling::RuleOut && spot.holds(side, &r.place, r.period));
    let rules: Vec<usize> = rules.map(|(i, _)| i).collect();
    let presumed = book.presumptions.iter().enumerate().filter(|(_, p)| spot.holds(side, &p.place, p.period)).map(|(i, _)| i).collect();
    let mut limits: Vec<usize> = rules.iter().flat_map(|r| book.rules[*r].tree.limits()).collect();
    limits.extend(book.presumptions.iter().flat_map(|p| p.tree.limits()));
    limits.sort_unstable();
    limits.dedup();
    let figures = limits.iter().map(|l| key_of(spot.figures[side as usize][*l])).collect();
    (rules, presumed, figures)
}

/// Goes through every combination at every place and in every stretch of time.
pub(crate) fn prove(space: &Space<'_>, spots: &Spots, trial: &Trial<'_, '_>, effort: &Effort, report: &mut Report) -> Result<(), Bound> {
    for rule in space.books[1].rules.iter().filter(|r| r.ruling == Ruling::RuleOut) {
        if rule.because.parts.is_empty() {
            report.warnings.insert(format!("`{}` rules out without saying why", rule.id));
        }
    }
    let axes = axes(space);
    // A book too small to say where a surface is: what was gone through is told, never taken for more.
    if space.books[1].base.vocabulary.with(FactRole::Where).is_none() {
        let role = FactRole::Where.word();
        report.remarks.insert(format!("no fact plays the role `{role}`: a way forward was looked for by entries alone"));
    }
    let widths: Vec<Vec<usize>> = axes.iter().map(|a| (0..128).filter(|i| space.facts[*a].choices[1] >> i & 1 == 1).collect()).collect();
    let total: usize = widths.iter().map(Vec::len).product();
    for group in spots.grouped(|spot| Some([Side::Old, Side::New].map(|side| signature(space, side, spot)))) {
        let spot = &spots.all[group[0]];
        let force = InForce::new(space.books[1], spot.place.as_deref(), spot.date);
        let mut likely: Vec<usize> = methods(&force).collect();
        // Methods of the standard packs were there before: the firm's own come last.
        let mut before: Option<(InForce<'_>, Vec<usize>)> = None;
        for n in 0..total {
            effort.spend(10)?;
            let mut rest = n;
            let picks: Vec<usize> = widths
                .iter()
                .map(|w| {
                    let pick = w[rest % w.len()];
                    rest /= w.len();
                    pick
                })
                .collect();
            let Some(with) = survey(space, Side::New, &axes, &picks) else { continue };
            report.combinations += 1;
            if !stuck(&force, &with, &mut likely) {
                continue;
            }
            let (old_force, old_likely) = before.get_or_insert_with(|| {
                let force = InForce::new(space.books[0], spot.place.as_deref(), spot.date);
                let all = methods(&force).collect();
                (force, all)
            });
            let first = survey(space, Side::Old, &axes, &picks);
            let was_stuck = first.as_ref().is_some_and(|s| stuck(old_force, s, old_likely));
            let named: Vec<String> = axes
                .iter()
                .zip(&picks)
                .filter_map(|(a, p)| match &space.facts[*a].sort {
                    Sort::Named(ids) => Some(format!("{} = {}", space.facts[*a].id, ids[*p])),
                    _ => None,
                })
                .collect();
            if was_stuck {
                report.remarks.insert(format!("every method is ruled out for {} already without what is added", named.join(", ")));
                continue;
            }
            let draft = Draft {
                place: spot.place.clone(),
                dates: spot.dates,
                method: None,
                stated: axes
                    .iter()
                    .zip(&picks)
                    .filter_map(|(a, p)| match &space.facts[*a].sort {
                        Sort::Named(ids) => Some(Statement { fact: *a, value: toml_text(&ids[*p]), coat: 0, proposed: false }),
                        _ => None,
                    })
                    .collect(),
                departures: Vec::new(),
                no_coats: false,
            };
            let (draft, least) = fewest(space, spot, &force, draft);
            // Of what the first book has no word for, nothing is lost; but it deserves a look.
            if first.is_none() {
                report.warnings.insert(format!("every method is ruled out for {least}, which is added ({})", spots.words(&group)));
                continue;
            }
            let what = format!("every method is ruled out for {least}; without what is added, some are not");
            report.stuck(Break::plain("every method", &what, Vec::new(), spots.words(&group)), &draft, trial);
            return Ok(());
        }
    }
    Ok(())
}

/// Leaves out what is not needed for everything to be ruled out.
fn fewest(space: &Space<'_>, spot: &Spot, force: &InForce<'_>, mut draft: Draft) -> (Draft, String) {
    let mut at = draft.stated.len();
    let file = |d: &Draft| crate::diagnostic::SourceFile::new("trial", d.text(space, Side::New, "trial"));
    let mut all: Vec<usize> = methods(force).collect();
    while at > 0 {
        at -= 1;
        let mut less = draft.clone();
        less.stated.remove(at);
        let read = Survey::read(&file(&less), space.books[1]);
        if read.is_ok_and(|(s, _)| stuck(force, &s, &mut all)) {
            draft = less;
        }
    }
    let words = draft.words(space);
    let _ = spot;
    (draft, words)
}
