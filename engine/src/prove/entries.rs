//! What a firm adds to the catalogue: substrates and coats that a survey may mean without naming them, and methods of its own.

use super::draft::{Draft, state};
use super::layout::Layout;
use super::rules::best;
use super::space::{Effort, Sort, Var, Way, said};
use super::spots::{Spot, Spots};
use super::trial::Trial;
use super::{Bound, Report, Side, Weakened};
use crate::catalogue::{AttributeKind, AttributeValue, EntryKind};
use crate::judge::walk::Domain;
use crate::pack::Ruling;
use crate::vocabulary::FactKind;

/// An added choice is one more thing that an open fact can be: shows that nothing that held of all others fails of it.
///
/// In question are verdicts in which the fact is open. They get looser only if some situation restricts a method whatever the
/// fact is among the choices of the first book, and leaves it free for the added one.
pub(crate) fn open_facts(
    layout: &Layout<'_, '_>,
    spots: &Spots,
    trial: &Trial<'_, '_>,
    effort: &Effort,
    report: &mut Report,
) -> Result<(), Bound> {
    if layout.weakened == Some(Weakened::UnknownIsFine) {
        return Ok(());
    }
    let space = layout.space;
    for (fact, joint) in space.facts.iter().enumerate() {
        let (Sort::Named(ids), [Some(_), Some(_)]) = (&joint.sort, joint.own) else { continue };
        let (known, added) = (joint.choices[0] & joint.choices[1], joint.choices[1] & !joint.choices[0]);
        if added == 0 {
            continue;
        }
        report.remarks.extend(layout.not_followed(fact, "it can now be something that is added"));
        let groups = spots.grouped(|spot| Some(layout.rules_at(spot)));
        for group in groups {
            let spot = &spots.all[group[0]];
            for (method, places) in layout.methods() {
                for (most, coats) in [(Ruling::RuleOut, true), (Ruling::Hold, true), (Ruling::RuleOut, false), (Ruling::Hold, false)] {
                    for choice in (0..ids.len()).filter(|i| added >> i & 1 == 1) {
                        let found = escapes(layout, spot, (fact, known, choice), places, (most, coats), effort)?;
                        let Some(way) = found else { continue };
                        let no_coats = !coats;
                        let draft = state(space, &way, 0).map(|stated| Draft {
                            place: spot.place.clone(),
                            dates: spot.dates,
                            method: Some(method.clone()),
                            stated,
                            departures: Vec::new(),
                            no_coats,
                        });
                        let seen = best(trial, draft.into_iter(), None);
                        let what = format!(
                            "{method} was restricted whatever `{}` is; the added `{}` escapes, so where it is open this is no longer sure",
                            joint.id, ids[choice]
                        );
                        report.found(super::Break::plain(&joint.id, &what, vec![method.clone()], spots.words(&group)), seen, trial);
                        return Ok(());
                    }
                }
            }
        }
    }
    Ok(())
}

/// A region in which every known choice of a fact is restricted and the added one is not: by rulings up to one, with coats or
/// without any.
fn escapes(
    layout: &Layout<'_, '_>,
    spot: &Spot,
    (fact, known, added): (usize, u128, usize),
    methods: [usize; 2],
    (most, coats): (Ruling, bool),
    effort: &Effort,
) -> Result<Option<Way>, Bound> {
    let (space, var) = (layout.space, Var::Named(fact));
    // By choice: the ways in which some rule of law or standard restricts it, without the fact itself, and whether the way is the
    // rule's own: where the fact stands in a sum with others, the way is only what is left of it.
    let ways = |side: Side, choice: usize| -> Vec<(usize, Way, bool)> {
        let mut out = Vec::new();
        for twin in &layout.twins {
            let Some(new) = twin.new else { continue };
            let at = if side == Side::Old { twin.old } else { new };
            let rule = layout.rule(side, at);
            let counts = Layout::strong(rule)
                && layout.restricts(rule)
                && rule.ruling <= most
                && (coats || !rule.scope.coat)
                && Layout::in_force(side, rule, spot);
            if !counts || layout.passed_over(&rule.tree) {
                continue;
            }
            let method = rule.scope.method.then_some(methods[side as usize]);
            let paths = layout.paths(side, at, method, spot);
            let fits = |w: &&Way| !matches!(said(w, var), Some(Domain::Bits(set)) if set >> choice & 1 == 0);
            let each = paths.applies.iter().filter(fits);
            out.extend(each.map(|w| (twin.old, space.freed(w, fact), !space.entangled(w, fact))));
        }
        out
    };
    let of_added = ways(Side::New, added);
    // A rule about every coat restricts the added choice only where it restricted the known one in the same way.
    let alone = |(rule, _, exact): &&(usize, Way, bool)| *exact && !layout.rule(Side::Old, *rule).every_coat;
    let free_of: Vec<Way> = of_added.iter().filter(alone).map(|(_, w, _)| w.clone()).collect();
    let plain = |rule: usize, way: &Way| free_of.contains(way) || of_added.iter().any(|(r, w, exact)| *exact && *r == rule && w == way);
    let mut each: Vec<Vec<Way>> = Vec::new();
    for choice in (0..128).filter(|i| known >> i & 1 == 1) {
        // What restricts the added one as well leaves nothing to escape.
        let own = ways(Side::Old, choice).into_iter().filter(|(rule, way, _)| !plain(*rule, way));
        let own: Vec<Way> = own.map(|(_, way, _)| way).collect();
        if own.is_empty() {
            return Ok(None);
        }
        each.push(own);
    }
    each.sort_by_key(Vec::len);
    each.dedup();
    cover(layout, Way::new(), &each, &free_of, effort)
}

fn cover(layout: &Layout<'_, '_>, region: Way, each: &[Vec<Way>], free_of: &[Way], effort: &Effort) -> Result<Option<Way>, Bound> {
    effort.spend(1)?;
    let Some((first, rest)) = each.split_first() else {
        return Ok(layout.space.minus(vec![region], free_of, effort)?.into_iter().next());
    };
    for way in first {
        let Some(next) = layout.space.meet(&region, way) else { continue };
        if let Some(found) = cover(layout, next, rest, free_of, effort)? {
            return Ok(Some(found));
        }
    }
    Ok(None)
}

/// Methods of the firm's own: which rules of law or standard reach them, and which pass them by.
pub(crate) fn own_methods(layout: &Layout<'_, '_>, spots: &Spots, report: &mut Report) {
    let [old, new] = layout.space.books;
    let catalogue = &new.base.catalogue;
    let added = catalogue
        .entries(EntryKind::Method)
        .iter()
        .enumerate()
        .filter(|(_, (id, _))| old.base.catalogue.find(EntryKind::Method, id).is_none());
    let added: Vec<usize> = added.map(|(i, _)| i).collect();
    for method in added {
        let entry = &catalogue.entries(EntryKind::Method)[method];
        let mut reached: Vec<&str> = Vec::new();
        for twin in &layout.twins {
            let Some(at) = twin.new else { continue };
            let rule = layout.rule(Side::New, at);
            if !Layout::strong(rule) || !rule.scope.method || rule.ruling > Ruling::Caution {
                continue;
            }
            let reaches = |m: usize| {
                let groups = spots.grouped(|s| Layout::in_force(Side::New, rule, s).then(|| layout.figure_key(Side::New, at, s)));
                groups.iter().any(|g| !layout.paths(Side::New, at, Some(m), &spots.all[g[0]]).applies.is_empty())
            };
            if reaches(method) {
                reached.push(&rule.id);
                continue;
            }
            // The same attributes, but only the other is named.
            let twin_of = catalogue.entries(EntryKind::Method).iter().enumerate().find(|(i, (_, other))| {
                *i != method
                    && old.base.catalogue.find(EntryKind::Method, &other.id).is_some()
                    && alike(layout, &other.attributes, &entry.attributes)
                    && reaches(*i)
            });
            if let Some((_, (other, _))) = twin_of {
                report.warnings.insert(format!(
                    "`{}` names its methods one by one and passes `{}` by, which has the attributes of `{other}`: see whether it should stand under it",
                    rule.id, entry.id
                ));
            }
        }
        let unset = unset(layout, &entry.attributes);
        if reached.is_empty() {
            report.warnings.insert(format!(
                "no rule of law or standard that asks about the method reaches `{}`: {}",
                entry.id,
                if unset.is_empty() {
                    "none of them asks about its attributes".to_owned()
                } else {
                    format!("its attributes {} are not set", crate::words::list(&unset, "and"))
                }
            ));
        } else {
            report.remarks.insert(format!(
                "`{}` stands under {} rules of law or standard that ask about the method",
                entry.id,
                reached.len()
            ));
        }
    }
}

/// Whether two methods have the same yes-no attributes and choices; figures such as hours may differ.
fn alike(layout: &Layout<'_, '_>, a: &[AttributeValue], b: &[AttributeValue]) -> bool {
    let kinds = layout.space.books[1].base.catalogue.attributes(EntryKind::Method);
    kinds.values().zip(a.iter().zip(b)).all(|(kind, (x, y))| matches!(kind.kind, AttributeKind::Number) || x == y)
}

fn unset(layout: &Layout<'_, '_>, values: &[AttributeValue]) -> Vec<String> {
    let kinds = layout.space.books[1].base.catalogue.attributes(EntryKind::Method);
    kinds.values().zip(values).filter(|(_, v)| **v == AttributeValue::Flag(false)).map(|(k, _)| format!("`{}`", k.id)).collect()
}

/// Substrates and coats of the firm's own that no rule or presumption of law or standard speaks of in particular.
pub(crate) fn own_materials(layout: &Layout<'_, '_>, spots: &Spots, report: &mut Report) {
    let space = layout.space;
    let vocabulary = &space.books[1].base.vocabulary;
    for (fact, joint) in space.facts.iter().enumerate() {
        let (Sort::Named(ids), [Some(_), Some(own)]) = (&joint.sort, joint.own) else { continue };
        if !matches!(vocabulary.get(own).kind, FactKind::Entry(_)) {
            continue;
        }
        for choice in (0..ids.len()).filter(|i| (joint.choices[1] & !joint.choices[0]) >> i & 1 == 1) {
            let spoken_of = layout.twins.iter().any(|twin| {
                let Some(at) = twin.new else { return false };
                let rule = layout.rule(Side::New, at);
                let groups = spots.grouped(|s| Layout::in_force(Side::New, rule, s).then(|| layout.figure_key(Side::New, at, s)));
                let methods: Vec<Option<usize>> =
                    if rule.scope.method { layout.methods().iter().map(|(_, m)| Some(m[1])).collect() } else { vec![None] };
                Layout::strong(rule)
                    && layout.restricts(rule)
                    && groups.iter().any(|g| {
                        methods.iter().any(|m| {
                            let paths = layout.paths(Side::New, at, *m, &spots.all[g[0]]);
                            let all = joint.choices[1];
                            paths
                                .applies
                                .iter()
                                .any(|w| matches!(said(w, Var::Named(fact)), Some(Domain::Bits(s)) if s >> choice & 1 == 1 && *s != all))
                        })
                    })
            });
            if !spoken_of {
                report.warnings.insert(format!(
                    "no rule of law or standard asks for anything that `{}` (`{}`) has: see whether its attributes are all set",
                    ids[choice], joint.id
                ));
            }
        }
    }
}
