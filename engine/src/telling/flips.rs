//! The smallest sets of changes that flip a verdict.

use super::Teller;
use crate::advice::Flip;
use crate::judge::in_force::{InForce, Ready, Step};
use crate::judge::know::{How, Slot, Slots};
use crate::judge::solve::cells;
use crate::judge::walk::{Domain, Var, View, holds_for};
use crate::judge::{Judged, Subject, Verdict, with_proposal};
use crate::survey::{Proposal, Supposition, Survey};
use crate::tree::Who;
use crate::vocabulary::{About, FactId, Known, flag};
use std::cell::RefCell;

/// A change that is tried: a variable and what it would be.
type Change = (Var, Domain);

/// One method on one surface, ready to be judged again and again under suppositions.
///
/// Suppositions about facts that no presumption reads are laid over what is known and taken away again; only the others
/// need everything to be worked out anew.
pub(crate) struct Again<'a, 'b, 'i> {
    force: &'i InForce<'b>,
    survey: &'a Survey,
    surface: usize,
    pub(crate) method: usize,
    pub(crate) proposal: Option<&'a Proposal>,
    known: RefCell<(Subject<'b, 'i>, Slots)>,
}

impl<'a, 'b, 'i> Again<'a, 'b, 'i> {
    pub(crate) fn new(force: &'i InForce<'b>, survey: &'a Survey, surface: usize, method: usize, proposal: Option<&'a Proposal>) -> Self {
        let known = RefCell::new(known(force, survey, surface, method, proposal, &[]));
        Self { force, survey, surface, method, proposal, known }
    }

    /// The verdict if `changes` were so.
    pub(crate) fn verdict(&self, changes: &[Change]) -> Verdict {
        self.under(changes, |subject, settings| subject.judge(self.method, settings).verdict)
    }

    /// Whether the method would suit if `changes` were so.
    fn suits(&self, changes: &[Change]) -> bool {
        self.under(changes, |subject, settings| subject.suits(self.method, settings))
    }

    /// What is asked of the surface if `changes` were so.
    fn under<T>(&self, changes: &[Change], ask: impl Fn(&Subject<'b, 'i>, &Slots) -> T) -> T {
        let supposed = suppose(self.force, self.survey, self.surface, changes);
        if supposed.iter().any(|s| self.force.presumptions_read(s.fact)) {
            let (subject, settings) = known(self.force, self.survey, self.surface, self.method, self.proposal, &supposed);
            return ask(&subject, &settings);
        }
        let mut known = self.known.borrow_mut();
        let (subject, settings) = &mut *known;
        let mut before: Vec<(About, usize, usize, Slot)> = Vec::new();
        for s in &supposed {
            let fact = self.force.book.base.vocabulary.get(s.fact);
            let coats = match (fact.about, s.coat) {
                (About::Coat, Some(c)) => c..c + 1,
                (About::Coat, None) => 0..subject.known.coats.len(),
                _ => 0..1,
            };
            for coat in coats {
                let new = Slot { known: s.known.clone(), how: How::Supposed };
                if let Some(slot) = place(subject, settings, fact.about, coat, fact.slot) {
                    before.push((fact.about, coat, fact.slot, std::mem::replace(slot, new)));
                }
            }
        }
        let answer = ask(subject, settings);
        for (about, coat, slot, old) in before.into_iter().rev() {
            if let Some(place) = place(subject, settings, about, coat, slot) {
                *place = old;
            }
        }
        answer
    }
}

/// Where a fact's slot is kept.
fn place<'s>(subject: &'s mut Subject<'_, '_>, settings: &'s mut Slots, about: About, coat: usize, slot: usize) -> Option<&'s mut Slot> {
    match about {
        About::Site => subject.site.get_mut(slot),
        About::Surface => subject.known.surface.get_mut(slot),
        About::Coat => subject.known.coats.get_mut(coat)?.get_mut(slot),
        About::Method => settings.get_mut(slot),
        About::Incident | About::Trouble => None,
    }
}

/// Everything worked out from the survey under suppositions.
fn known<'b, 'i>(
    force: &'i InForce<'b>,
    survey: &Survey,
    surface: usize,
    method: usize,
    proposal: Option<&Proposal>,
    supposed: &[Supposition],
) -> (Subject<'b, 'i>, Slots) {
    match proposal {
        Some(proposal) => with_proposal(force, survey, surface, proposal, supposed),
        None => (Subject::new(force, survey, surface, supposed), force.method(method, None, supposed)),
    }
}

/// Changes as suppositions about facts; changes to choices of one several-of fact are put together.
pub(crate) fn suppose(force: &InForce<'_>, survey: &Survey, surface: usize, changes: &[Change]) -> Vec<Supposition> {
    let mut out: Vec<Supposition> = Vec::new();
    for (var, domain) in changes {
        let (fact, coat, known) = match (var, domain) {
            (Var::Fact(f, c), Domain::Bits(b)) => (*f, *c, Known::Bits(*b)),
            (Var::Fact(f, c), Domain::Num(r)) => (*f, *c, Known::Num(r.clone())),
            (Var::Choice(f, option, c), Domain::Bits(b)) => {
                let before = out
                    .iter()
                    .find(|s| s.fact == *f)
                    .map(|s| s.known.clone())
                    .or_else(|| survey.surfaces[surface].facts.get(f).map(|s| s.known.clone()));
                let (mut yes, mut no) = match before {
                    Some(Known::Several { yes, no }) => (yes, no),
                    _ => (0, 0),
                };
                let bit = 1 << option;
                if *b == flag::YES {
                    (yes, no) = (yes | bit, no & !bit);
                } else {
                    (yes, no) = (yes & !bit, no | bit);
                }
                out.retain(|s| s.fact != *f);
                (*f, *c, Known::Several { yes, no })
            }
            _ => continue,
        };
        let coat = (force.book.base.vocabulary.get(fact).about == About::Coat).then_some(usize::from(coat));
        out.push(Supposition { fact, coat, known });
    }
    out
}

/// The sets into which the trees of a method divide each of its variables; comparisons of several figures divide it where `view`
/// knows the others.
pub(crate) fn domains_of(force: &InForce<'_>, trees: &[&Ready], var: Var, method: usize, view: Option<&View<'_>>) -> Vec<Domain> {
    let base = &force.book.base;
    let (fact, _) = match var {
        Var::Choice(..) => return vec![Domain::Bits(flag::NO), Domain::Bits(flag::YES)],
        Var::Test(..) => return Vec::new(),
        Var::Fact(f, c) => (f, c),
    };
    let f = base.vocabulary.get(fact);
    let mut universe = match f.anything(&base.catalogue) {
        Known::Bits(b) => Domain::Bits(b),
        Known::Num(r) => Domain::Num(r),
        Known::Several { .. } => return Vec::new(),
    };
    if f.about == About::Method
        && let Known::Num(reach) = &force.method(method, None, &[])[f.slot].known
    {
        universe = Domain::Num(reach.clone());
    }
    let mut sets: Vec<Domain> = Vec::new();
    for ready in trees {
        for step in &ready.tree.steps {
            match step {
                Step::Is { fact: g, set, .. } if *g == fact => sets.push(Domain::Bits(*set)),
                Step::Number { fact: g, op, figure, .. } if *g == fact => sets.push(Domain::Num(crate::script::region(*op, *figure))),
                Step::Pair { row, column, cells, .. } => {
                    if *row == fact {
                        sets.extend(
                            (0..128)
                                .map(|c| Domain::Bits(cells.iter().enumerate().fold(0, |s, (r, x)| s | (x >> c & 1) << r)))
                                .filter(|d| !d.is_empty()),
                        );
                    }
                    if *column == fact {
                        sets.extend(cells.iter().map(|c| Domain::Bits(*c)));
                    }
                }
                Step::Compare { test, .. } => {
                    let mut facts = Vec::new();
                    test.0.facts(&mut facts);
                    test.2.facts(&mut facts);
                    if facts.contains(&Who::Fact(fact))
                        && let (Some(view), Domain::Num(all)) = (view, &universe)
                        && let Some(ends) = all.bounds()
                    {
                        sets.extend(holds_for(view, test, fact, ends).map(Domain::Num));
                    }
                }
                _ => {}
            }
        }
    }
    cells(&universe, sets.iter(), f.whole())
}

/// The smallest sets of changes after which the method would suit if it does not, or not if it does.
pub(crate) fn flips(
    again: &Again<'_, '_, '_>,
    teller: &Teller<'_, '_, '_>,
    judged: &Judged,
    seen: &[Var],
    effort: usize,
) -> Vec<Vec<Flip>> {
    let force = again.force;
    let settings = force.method(again.method, again.proposal, &[]);
    let bare = force.method(again.method, None, &[]);
    let now = judged.verdict.suits();
    let trees: Vec<&Ready> = force.by_method[again.method].iter().chain(&force.general).chain(&force.presumptions).collect();
    let vars = teller.with_grounds(seen, &settings);
    let mut candidates: Vec<(Var, Vec<Domain>)> = Vec::new();
    for var in vars {
        let current = teller.subject.slot(var, &settings);
        let coat = fact_of(var).map_or(0, |(_, coat)| usize::from(coat));
        let parts = domains_of(force, &trees, var, again.method, Some(&teller.subject.view(coat, &settings, None)));
        // What it is already known to be is no change.
        let parts: Vec<Domain> = parts.into_iter().filter(|p| !current.is_some_and(|s| is_already(&s.known, var, p))).collect();
        if !parts.is_empty() {
            candidates.push((var, parts));
        }
    }
    candidates.sort_by_key(|(var, _)| {
        let how = teller.subject.slot(*var, &settings).map(|s| s.how);
        let order = match how {
            _ if teller.chosen(*var) => 0,
            Some(How::Open) => 1,
            Some(How::Presumed(_)) => 2,
            _ => 3,
        };
        (order, *var)
    });

    let mut budget = effort;
    let mut found: Vec<Vec<Change>> = Vec::new();
    let try_change = |changes: &[Change], budget: &mut usize| {
        *budget = budget.saturating_sub(1);
        again.suits(changes) != now
    };
    for (var, parts) in &candidates {
        let mut flipping: Vec<&Domain> = Vec::new();
        for part in parts {
            if budget > 0 && try_change(&[(*var, part.clone())], &mut budget) {
                flipping.push(part);
            }
        }
        found.extend(joined(*var, &flipping, &mut |c| try_change(c, &mut budget)).into_iter().map(|c| vec![c]));
    }
    // Pairs, where no single change would do; each rule-out that applies for certain must lose something it reads.
    if found.is_empty() {
        let singles: Vec<Change> = candidates.iter().flat_map(|(v, parts)| parts.iter().map(move |p| (*v, p.clone()))).collect();
        'pairs: for (i, a) in singles.iter().enumerate() {
            for b in &singles[i + 1..] {
                if a.0 == b.0 {
                    continue;
                }
                if budget == 0 || found.len() >= 6 {
                    break 'pairs;
                }
                let pair = [a.clone(), b.clone()];
                if try_change(&pair, &mut budget) {
                    found.push(pair.to_vec());
                }
            }
        }
    }
    found.truncate(8);
    found.into_iter().map(|set| set.iter().map(|(v, d)| teller.flip_within(*v, d, &settings, &bare)).collect()).collect()
}

/// Whether a fact is already known to lie within a set.
fn is_already(known: &Known, var: Var, part: &Domain) -> bool {
    match (known, part, var) {
        (Known::Bits(b), Domain::Bits(p), _) => b & !p == 0,
        (Known::Num(r), Domain::Num(p), _) => r.and(p) == *r,
        (Known::Several { yes, no }, Domain::Bits(p), Var::Choice(_, option, _)) => {
            if *p == flag::YES {
                yes >> option & 1 == 1
            } else {
                no >> option & 1 == 1
            }
        }
        _ => false,
    }
}

/// Puts the flipping parts of one variable together, as long as the whole still flips.
fn joined(var: Var, parts: &[&Domain], flips: &mut dyn FnMut(&[Change]) -> bool) -> Vec<Change> {
    let Some((first, rest)) = parts.split_first() else { return Vec::new() };
    if rest.is_empty() {
        return vec![(var, (*first).clone())];
    }
    let whole = rest.iter().fold((*first).clone(), |sum, d| match (sum, d) {
        (Domain::Bits(a), Domain::Bits(b)) => Domain::Bits(a | b),
        (Domain::Num(a), Domain::Num(b)) => Domain::Num(a.or(b)),
        (sum, _) => sum,
    });
    if flips(&[(var, whole.clone())]) { vec![(var, whole)] } else { parts.iter().map(|p| (var, (*p).clone())).collect() }
}

/// The fact of a variable.
pub(crate) fn fact_of(var: Var) -> Option<(FactId, u8)> {
    match var {
        Var::Fact(f, c) | Var::Choice(f, _, c) => Some((f, c)),
        Var::Test(..) => None,
    }
}
