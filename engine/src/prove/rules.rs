//! Rule by rule: wherever a rule of the first book applies, it applies in the second.

use super::draft::{Draft, state};
use super::layout::{Layout, Twin};
use super::paths::Paths;
use super::space::{Effort, Way};
use super::spots::{Spot, Spots};
use super::trial::{Looser, Trial};
use super::{Bound, Break, Report, Side, Weakened};
use crate::pack::{Rule, Ruling};
use crate::tree::Who;
use std::cmp::Reverse;
use std::collections::BTreeMap;

/// The most pairs of paths of one difference that are tried for the smallest survey.
const MOST_DRAFTS: usize = 120;
/// How many more are tried once one was found.
const MORE_DRAFTS: usize = 8;

/// Which rules are compared, and told where they say less.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Extent {
    /// Those of law and standard that restrict; others with a remark.
    LawAndStandard,
    /// All of them.
    Every,
}

/// A rule that is not there.
const GONE: &str = "it is not there any more";
/// A rule that is silent where it was not.
const SILENT: &str = "no longer applies where it did";

/// What is said of a rule when the books change places: for each way of saying less, the way of saying more.
const TURNED: [(&str, &str); 7] = [
    (GONE, "it is new"),
    (SILENT, "applies where it did not"),
    (LESS_RULING, "its ruling restricts more"),
    (WEAKER, "its ground is stronger"),
    (EVERY_COAT, "one coat of which it is true is now enough"),
    (ELSE, "it no longer asks about coats, and speaks where there are none"),
    (LET_GO, "it now holds while what releases it is not stated"),
];
const LESS_RULING: &str = "its ruling restricts less";
const WEAKER: &str = "its ground is weaker";
const EVERY_COAT: &str = "it must now be true of every coat";
const ELSE: &str = "it now asks about coats, and is silent where there are none";
const LET_GO: &str = "it no longer holds while what releases it is not stated";

/// The other way round.
pub(crate) fn turned(what: &str) -> Option<&'static str> {
    TURNED.iter().find(|(less, _)| *less == what).map(|(_, more)| *more)
}

/// Where one rule differs between the books, for one method.
pub(crate) struct Difference {
    /// The method and its place in each book; `None` for rules that read none.
    pub(crate) method: Option<(String, [usize; 2])>,
    /// Where it applied and no longer does.
    pub(crate) looser: Vec<Way>,
    /// The figures differ, or one of the books does not have it in force; where: places in the list of spots.
    pub(crate) spots: Vec<usize>,
}

/// How two rules of one id differ in what stands around their scripts.
pub(crate) fn frame(old: &Rule, new: &Rule) -> Option<&'static str> {
    if new.ruling > old.ruling {
        return Some(LESS_RULING);
    }
    if new.basis > old.basis {
        return Some(WEAKER);
    }
    if new.every_coat && !old.every_coat {
        return Some(EVERY_COAT);
    }
    if new.scope.coat && !old.scope.coat {
        return Some(ELSE);
    }
    None
}

/// Whether a hold that stood while its releasing fact was not stated now waits for that fact as for anything open.
fn let_go(layout: &Layout<'_, '_>, old: &Rule, new: &Rule) -> Option<&'static str> {
    let by = |side: Side, rule: &Rule| rule.released_by.map(|f| layout.space.joint(side, f));
    let fact = by(Side::Old, old)?;
    let reads = new.tree.reads().iter().any(|w| matches!(w, Who::Fact(f) if layout.space.joint(Side::New, *f) == fact));
    (by(Side::New, new) != Some(fact) && reads).then_some(LET_GO)
}

/// One question about a rule: does it apply wherever it did, for one method, at spots that look alike to it?
#[derive(Debug, Clone)]
pub(crate) struct Question {
    pub(crate) twin: Twin,
    /// The method and its place in each book; `None` for rules that read none.
    pub(crate) method: Option<(String, [usize; 2])>,
    /// Places in the list of spots.
    pub(crate) spots: Vec<usize>,
    /// Whether it is in force, by book.
    pub(crate) in_force: [bool; 2],
}

impl Question {
    /// The rule in a book, where it is in force there, and the method it is looked at for.
    pub(crate) fn rule(&self, side: Side) -> Option<(usize, Option<usize>)> {
        let rule = match side {
            Side::Old => Some(self.twin.old),
            Side::New => self.twin.new,
        };
        Some((rule.filter(|_| self.in_force[side as usize])?, self.method.as_ref().map(|(_, at)| at[side as usize])))
    }

    /// Every way through the rule's tree in a book.
    pub(crate) fn paths(&self, layout: &Layout<'_, '_>, spots: &Spots, side: Side) -> std::rc::Rc<Paths> {
        match self.rule(side) {
            Some((rule, method)) => layout.paths(side, rule, method, &spots.all[self.spots[0]]),
            None => std::rc::Rc::new(Paths { silent: vec![Way::new()], ..Paths::default() }),
        }
    }
}

/// The questions about a rule, over all methods and spots.
pub(crate) fn questions(layout: &Layout<'_, '_>, spots: &Spots, twin: Twin) -> Vec<Question> {
    let old = layout.rule(Side::Old, twin.old);
    let new = twin.new.map(|n| layout.rule(Side::New, n));
    let in_force = |spot: &Spot| [Layout::in_force(Side::Old, old, spot), new.is_some_and(|n| Layout::in_force(Side::New, n, spot))];
    let groups = spots.grouped(|spot| {
        let there = in_force(spot);
        there.contains(&true).then(|| {
            let new_key = twin.new.map(|n| layout.figure_key(Side::New, n, spot));
            (there, layout.figure_key(Side::Old, twin.old, spot), new_key)
        })
    });
    let reads_method = old.scope.method || new.is_some_and(|n| n.scope.method);
    let methods: Vec<Option<(String, [usize; 2])>> =
        if reads_method { layout.methods().into_iter().map(Some).collect() } else { vec![None] };
    let each = groups.into_iter().flat_map(|group| {
        let there = in_force(&spots.all[group[0]]);
        methods.iter().map(move |method| Question { twin, method: method.clone(), spots: group.clone(), in_force: there })
    });
    each.collect()
}

/// Where a rule applied and no longer does.
pub(crate) fn looser(layout: &Layout<'_, '_>, old: &Paths, new: &Paths, effort: &Effort) -> Result<Vec<Way>, Bound> {
    let mut looser = against(layout, &old.applies, new, effort)?;
    // What could not be worked out said so; now it is silent.
    looser.extend(crossed(layout, &old.fails, &new.silent, effort)?);
    Ok(looser)
}

/// Compares a rule with its twin everywhere.
pub(crate) fn differences(layout: &Layout<'_, '_>, spots: &Spots, twin: Twin, effort: &Effort) -> Result<Vec<Difference>, Bound> {
    let mut out: Vec<Difference> = Vec::new();
    for question in questions(layout, spots, twin) {
        let [a, b] = [Side::Old, Side::New].map(|side| question.paths(layout, spots, side));
        let looser = looser(layout, &a, &b, effort)?;
        if !looser.is_empty() {
            out.push(Difference { method: question.method, looser, spots: question.spots });
        }
    }
    Ok(out)
}

/// Where some ways meet what does not apply on the other side.
fn against(layout: &Layout<'_, '_>, ways: &[Way], other: &Paths, effort: &Effort) -> Result<Vec<Way>, Bound> {
    let not: Vec<Way> = other.not().cloned().collect();
    crossed(layout, ways, &not, effort)
}

fn crossed(layout: &Layout<'_, '_>, ways: &[Way], others: &[Way], effort: &Effort) -> Result<Vec<Way>, Bound> {
    effort.spend(ways.len() * others.len())?;
    let space = layout.space;
    Ok(ways.iter().flat_map(|a| others.iter().filter_map(move |b| space.comparable(&space.meet(a, b)?))).collect())
}

/// Drafts of surveys for a region, at a spot.
pub(crate) fn drafts<'a>(
    layout: &'a Layout<'_, '_>,
    ways: &'a [Way],
    spot: &'a Spot,
    method: Option<&'a str>,
    about_coats: bool,
) -> impl Iterator<Item = Draft> + 'a {
    let mut sorted: Vec<&Way> = ways.iter().collect();
    sorted.sort_by_key(|w| w.len());
    let each = sorted.into_iter().take(MOST_DRAFTS).filter_map(move |way| {
        Some(Draft {
            place: spot.place.clone(),
            dates: spot.dates,
            method: method.map(str::to_owned),
            stated: state(layout.space, way, 0)?,
            departures: Vec::new(),
            no_coats: false,
        })
    });
    // Other rules may cover it as long as there are coats.
    each.flat_map(move |draft| {
        let bare = (!about_coats).then(|| Draft { no_coats: true, ..draft.clone() });
        [Some(draft), bare].into_iter().flatten()
    })
}

/// Proves every rule of the first book against the second.
pub(crate) fn prove(
    layout: &Layout<'_, '_>,
    spots: &Spots,
    trial: &Trial<'_, '_>,
    extent: Extent,
    effort: &Effort,
    report: &mut Report,
) -> Result<(), Bound> {
    for twin in layout.twins.clone() {
        let old = layout.rule(Side::Old, twin.old);
        let strong = Layout::strong(old);
        let told = strong || extent == Extent::Every;
        if !layout.restricts(old) && extent != Extent::Every {
            continue;
        }
        report.rules += usize::from(strong);
        let Some(new) = twin.new.map(|n| layout.rule(Side::New, n)) else {
            report.breaks.push(Break::structural(old, GONE));
            continue;
        };
        if layout.passed_over(&new.tree) {
            continue;
        }
        if let Some(what) = frame(old, new).or_else(|| let_go(layout, old, new)) {
            // A rule that could never speak loses nothing; a grid that is added to can make it read more than before.
            let speaks = |q: &Question| {
                let paths = q.paths(layout, spots, Side::Old);
                !(paths.applies.is_empty() && paths.fails.is_empty())
            };
            if !questions(layout, spots, twin).iter().any(speaks) {
                continue;
            }
            if told {
                report.breaks.push(Break::structural(old, what));
            } else {
                report.remarks.insert(format!("`{}` ({}, {}) says less than before: {what}", old.id, old.ruling.word(), old.basis.word()));
            }
            continue;
        }
        let mut lost: Vec<Difference> = Vec::new();
        let mut gives_way = false;
        for mut difference in differences(layout, spots, twin, effort)? {
            if layout.weakened == Some(Weakened::SkipHouseFacts) {
                let own =
                    |w: &Way| w.iter().any(|(v, _)| super::Space::fact_of(*v).is_some_and(|f| layout.space.facts[f].own[0].is_none()));
                difference.looser.retain(|w| !own(w));
            }
            let places = difference.method.as_ref().map(|(_, m)| *m);
            let looser = std::mem::take(&mut difference.looser);
            let found = !looser.is_empty();
            gives_way |= found;
            if !found || old.ruling > Ruling::Hold || old.every_coat {
                difference.looser = looser;
                lost.extend(found.then_some(difference));
                continue;
            }
            // What covers it differs from spot to spot.
            let mut alike: BTreeMap<_, Vec<usize>> = BTreeMap::new();
            for at in &difference.spots {
                alike.entry(layout.rules_at(&spots.all[*at])).or_default().push(*at);
            }
            for group in alike.into_values() {
                let spot = &spots.all[group[0]];
                let looser = layout.uncovered(looser.clone(), twin.old, places, spot, &|w| Some(w.clone()), effort)?;
                if !looser.is_empty() {
                    lost.push(Difference { method: difference.method.clone(), looser, spots: group });
                }
            }
        }
        if lost.is_empty() {
            if gives_way {
                report.covered.insert(old.id.clone());
            }
            if gives_way && strong {
                report.remarks.insert(format!("`{}` gives way to other rules of law or standard that restrict as much", old.id));
            }
            continue;
        }
        let mut places: Vec<usize> = lost.iter().flat_map(|d| d.spots.iter().copied()).collect();
        places.sort_unstable();
        places.dedup();
        let methods: Vec<String> = lost.iter().filter_map(|d| Some(d.method.as_ref()?.0.clone())).collect();
        if !told {
            report.remarks.insert(format!(
                "`{}` ({}, {}) says less than before ({}); its ground is one from which a departure can be recorded",
                old.id,
                old.ruling.word(),
                old.basis.word(),
                spots.words(&places)
            ));
            continue;
        }
        let all = lost.iter().flat_map(|d| {
            let spot = &spots.all[d.spots[0]];
            drafts(layout, &d.looser, spot, d.method.as_ref().map(|(m, _)| m.as_str()), old.scope.coat)
        });
        let seen = best(trial, all, Some(&old.id));
        report.found(Break::of(old, methods, spots.words(&places), SILENT), seen, trial);
    }
    Ok(())
}

/// The smallest draft seen to be looser.
pub(crate) fn best(trial: &Trial<'_, '_>, drafts: impl Iterator<Item = Draft>, rule: Option<&str>) -> Option<Draft> {
    let mut best: Option<(Looser, Draft)> = None;
    let mut more = MORE_DRAFTS;
    trial.begin();
    for draft in drafts.take(MOST_DRAFTS) {
        if let Some((found, level)) = trial.smallest(draft, rule)
            && best.as_ref().is_none_or(|(l, b)| (level, Reverse(found.size())) > (*l, Reverse(b.size())))
        {
            best = Some((level, found));
        }
        // Once a verdict is seen to be looser, or a rule to say less, a few more are tried for a smaller one.
        if best.is_some() {
            more -= 1;
        }
        if more == 0 || best.as_ref().is_some_and(|(l, b)| *l == Looser::Verdict && b.size() <= 1) {
            break;
        }
    }
    best.map(|(_, draft)| draft)
}
