//! What a presumption may not do: unlock what law forbids.
//!
//! A presumption is what holds until somebody has looked. It can make a rule-out or a hold speak. It cannot make one of law or
//! standard fall silent, unless its own ground is as strong: where the rule would speak if the fact were open, the rule stays open
//! on that fact until it is stated. A hold, of whatever ground, is never released by a presumed fact. What is stated with doubt
//! counts as open already.
//!
//! Two kinds are not guesses. A *finding* that rests on stated facts alone only says in other words what the survey states. A value
//! that says itself that nobody has *tested* leaves a rule about what a test has found where it is: nothing was found.

use super::in_force::Ready;
use super::know::{How, Slots};
use super::walk::{Domain, Finding, Var, View, Way, walk};
use super::{Found, Subject};
use crate::pack::{Rule, Ruling};
use crate::tree::Who;
use crate::vocabulary::{About, Known};

/// Whether a rule forbids, and its ground is law or standard.
pub(crate) fn binds(rule: &Rule) -> bool {
    matches!(rule.ruling, Ruling::RuleOut | Ruling::Hold) && !rule.basis.can_be_departed_from()
}

/// Whether a variable is only presumed, on ground that unlocks nothing: weaker than law and standard, or resting on such.
fn weak(subject: &Subject<'_, '_>, var: Var, method: &Slots) -> bool {
    let Some(How::Presumed(at)) = subject.slot(var, method).map(|s| s.how) else { return false };
    if subject.force.book.presumptions[at].untested || stated_in_other_words(subject, var, method) {
        return false;
    }
    if subject.force.book.presumptions[at].basis.can_be_departed_from() {
        return true;
    }
    let Some(ready) = subject.force.presumptions.iter().find(|r| r.rule == at) else { return true };
    let coat = if let Var::Fact(_, c) | Var::Choice(_, _, c) = var { usize::from(c) } else { 0 };
    let mut seen = Vec::new();
    walk(&ready.tree, &subject.view(coat, method, None), Some(&mut seen));
    // Presumptions do not go in a circle.
    seen.into_iter().any(|v| weak(subject, v, method))
}

/// Whether a presumed fact is a finding that rests on stated facts alone.
fn stated_in_other_words(subject: &Subject<'_, '_>, var: Var, method: &Slots) -> bool {
    let Some(How::Presumed(at)) = subject.slot(var, method).map(|s| s.how) else { return false };
    if !subject.force.book.presumptions[at].finding {
        return false;
    }
    let Some(ready) = subject.force.presumptions.iter().find(|r| r.rule == at) else { return false };
    let coat = if let Var::Fact(_, c) | Var::Choice(_, _, c) = var { usize::from(c) } else { 0 };
    let mut seen = Vec::new();
    walk(&ready.tree, &subject.view(coat, method, None), Some(&mut seen));
    // Presumptions do not go in a circle.
    !seen.is_empty()
        && seen.into_iter().all(|v| match subject.slot(v, method).map(|s| s.how) {
            Some(How::Stated | How::Proposed | How::Supposed) => true,
            Some(How::Presumed(_)) => stated_in_other_words(subject, v, method),
            _ => false,
        })
}

/// A finding of a rule that binds, with the ways added in which it would apply were what is weakly presumed otherwise.
pub(super) fn unlocked_by_nothing(
    subject: &Subject<'_, '_>,
    ready: &Ready,
    coat: usize,
    method: &Slots,
    seen: &[Var],
    mut finding: Finding,
) -> Finding {
    if finding.certain() {
        return finding;
    }
    let rule = &subject.force.book.rules[ready.rule];
    let releases = |v: Var| matches!(v, Var::Fact(f, _) if Some(f) == rule.released_by);
    let presumed =
        |v: Var| matches!(subject.slot(v, method).map(|s| s.how), Some(How::Presumed(_))) && !stated_in_other_words(subject, v, method);
    let opens = |v: &Var| if releases(*v) { presumed(*v) } else { binds(rule) && weak(subject, *v, method) };
    let facts: Vec<Var> = seen.iter().copied().filter(opens).collect();
    if facts.is_empty() {
        return finding;
    }
    let base = subject.base();
    let (mut site, mut surface) = (subject.site.clone(), subject.known.surface.clone());
    let mut slots = subject.known.coats.get(coat).cloned().unwrap_or_default();
    for var in &facts {
        let (Var::Fact(f, _) | Var::Choice(f, ..)) = var else { continue };
        let fact = base.vocabulary.get(*f);
        let about = match fact.about {
            About::Site => &mut site,
            About::Surface => &mut surface,
            About::Coat => &mut slots,
            About::Method | About::Incident | About::Trouble => continue,
        };
        about[fact.slot].known = fact.anything(&base.catalogue);
    }
    let view =
        View { base, site: &site, surface: &surface, coat: &slots, coat_index: coat, method, event: None, unreleased: rule.released_by };
    let open = walk(&ready.tree, &view, None);
    let released = facts.iter().any(|v| releases(*v));
    // What is presumed to release a hold counts as not stated: nothing is left of the release.
    if released && open.certain() {
        return open;
    }
    let outside = |way: &Way| way.iter().any(|(var, domain)| beyond(subject, *var, domain, method, &facts));
    let ways: Vec<Way> = open.applies.into_iter().filter(|w| released || outside(w)).collect();
    finding.silent |= !ways.is_empty();
    finding.end = if ways.is_empty() { finding.end } else { None };
    for way in ways {
        if !finding.applies.contains(&way) {
            finding.applies.push(way);
        }
    }
    finding
}

/// Whether a way asks for what is presumed not to be; a question of several numbers at once is taken to.
fn beyond(subject: &Subject<'_, '_>, var: Var, domain: &Domain, method: &Slots, opened: &[Var]) -> bool {
    if let Var::Test(id, _) = var {
        let test = &subject.force.comparisons[id];
        let mut facts = Vec::new();
        test.0.facts(&mut facts);
        test.2.facts(&mut facts);
        return facts.iter().any(|w| matches!(w, Who::Fact(f) if opened.iter().any(|o| matches!(o, Var::Fact(g, _) if f == g))));
    }
    if !opened.contains(&var) {
        return false;
    }
    match (var, subject.slot(var, method).map(|s| &s.known)) {
        (Var::Choice(_, option, _), Some(Known::Several { yes, no })) => {
            let presumed = if yes >> option & 1 == 1 {
                2
            } else if no >> option & 1 == 1 {
                1
            } else {
                3
            };
            matches!(domain, Domain::Bits(b) if b & presumed == 0)
        }
        (_, Some(Known::Bits(b))) => domain.and(&Domain::Bits(*b)).is_empty(),
        (_, Some(Known::Num(r))) => domain.and(&Domain::Num(r.clone())).is_empty(),
        _ => false,
    }
}

/// Presumed facts that some of the findings ask to be otherwise.
pub(super) fn opened(subject: &Subject<'_, '_>, method: &Slots, against: &[Found]) -> Vec<Var> {
    let mut found: Vec<Var> = Vec::new();
    for (var, domain) in against.iter().flat_map(|f| &f.finding.applies).flatten() {
        let presumed = matches!(subject.slot(*var, method).map(|s| s.how), Some(How::Presumed(_)));
        if presumed && !found.contains(var) && beyond(subject, *var, domain, method, &[*var]) {
            found.push(*var);
        }
    }
    found
}
