//! Whom to call on a surface: where rules that speak there leave the work, or a release, to somebody.

use crate::advice::{Approach, Look, MethodAdvice, Notice, Person};
use crate::finding::{Ruling, Status};
use crate::judge::in_force::InForce;
use crate::pack::Caller;

/// The people to call, the first named first. What counts is what surely applies to the way that leads, and holds that it waits
/// for; where there is no way, what applies to any method.
pub(crate) fn people(
    force: &InForce<'_>,
    methods: &[MethodAdvice],
    notices: &[Notice],
    ways: &[Approach],
    release: &[Look],
) -> Vec<Person> {
    let taken = |m: &&MethodAdvice| ways.first().is_none_or(|way| way.steps.iter().any(|s| s.method == m.method));
    let of_methods = methods.iter().filter(taken).flat_map(|m| &m.reasons);
    // A hold that applies only where what is usual is so is one that the lead waits for.
    let awaited = |n: &&Notice| {
        let by = force.book.rule(&n.rule).and_then(|r| r.released_by).map(|f| &force.book.base.vocabulary.get(f).id);
        n.ruling == Ruling::Hold && n.status == Status::Open && release.iter().any(|l| Some(&l.fact) == by)
    };
    let speaks = of_methods.chain(notices).filter(|n| n.status == Status::Applies || awaited(n));
    let speaks: Vec<&str> = speaks.map(|n| n.rule.as_str()).collect();
    let wanted = |c: &&Caller| c.place.holds(&force.places) && !c.rules.is_empty() && c.rules.iter().all(|r| speaks.contains(&r.as_str()));
    let mut named: Vec<&Caller> = Vec::new();
    for caller in force.book.callers.iter().filter(wanted) {
        // Who stands earlier in the packs is called for a rule; whom a firm names stands beside.
        let spoken_for = |rule: &String| named.iter().any(|n| n.rules.contains(rule));
        if caller.house || !caller.rules.iter().all(spoken_for) {
            named.push(caller);
        }
    }
    if named.is_empty() && ways.is_empty() {
        named.extend(force.book.callers.iter().find(|c| c.rules.is_empty() && c.place.holds(&force.places)));
    }
    let told = |c: &Caller| Person {
        who: c.who.clone(),
        does: c.does.clone(),
        works: c.works,
        rules: c.rules.clone(),
        source: force.book.cite(&c.source),
    };
    let mut all: Vec<Person> = Vec::new();
    for person in named.into_iter().map(told) {
        match all.iter_mut().find(|p| p.who == person.who) {
            Some(same) => same.rules.extend(person.rules),
            None => all.push(person),
        }
    }
    all
}
