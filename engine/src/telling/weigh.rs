//! What hangs on a question: how far each answer to it would carry the undecided verdicts.
//!
//! An answer narrows what is open. Behind a presumption that might yet apply, an answer also settles the presumed fact:
//! both are worked out on the boxes of the verdicts, without judging again.

use super::ask::Standing;
use super::flips::{domains_of, fact_of};
use crate::judge::in_force::{InForce, Ready};
use crate::judge::know::{How, Slot, Slots, SurfaceKnown};
use crate::judge::solve::{Boxes, Region, cells, inside};
use crate::judge::walk::{Domain, Var, View, walk};
use crate::judge::{Judged, Subject, Verdict};
use crate::vocabulary::{About, Known, flag};

/// What an answer leaves of some variables.
pub(crate) type Answer = Vec<(Var, Domain)>;

/// A question about one surface with its answers.
#[derive(Debug)]
pub(crate) struct Weighed {
    /// The variable; for a several-of fact, its first choice.
    pub(crate) var: Var,
    /// The answers rules tell apart.
    pub(crate) answers: Vec<Answer>,
    /// How much an answer takes, on average, from what the undecided verdicts of the surface still hang on, for the trouble
    /// it is to find out.
    pub(crate) relief: f64,
    /// The methods whose verdicts hang on it.
    pub(crate) methods: Vec<usize>,
}

/// All choices of a several-of fact are one question.
pub(crate) fn whole_fact(var: Var) -> Var {
    match var {
        Var::Choice(f, _, c) => Var::Choice(f, 0, c),
        other => other,
    }
}

/// The questions open about a surface, in no particular order.
pub(crate) fn weigh(subject: &Subject<'_, '_>, standings: &[&Standing]) -> Vec<Weighed> {
    let force = subject.force;
    let undecided: Vec<&Judged> = standings.iter().map(|s| &s.judged).filter(|j| j.verdict == Verdict::CantTellYet).collect();
    if undecided.is_empty() {
        return Vec::new();
    }
    let vocabulary = &force.book.base.vocabulary;
    let mut vars: Vec<Var> = Vec::new();
    let mut add = |var: Var| {
        let var = whole_fact(var);
        let found = fact_of(var).is_some_and(|(f, _)| !vocabulary.get(f).chosen);
        if found && !vars.contains(&var) {
            vars.push(var);
        }
    };
    for judged in &undecided {
        for v in &judged.boxes.variables {
            match v.var {
                Var::Test(id, coat) => facts_of_test(force, id, coat).into_iter().for_each(&mut add),
                var => add(var),
            }
        }
    }
    let behind = Behind::new(subject);
    behind.vars().into_iter().for_each(&mut add);
    let before: Vec<f64> = undecided.iter().map(|j| load(&j.boxes, &j.boxes.everything())).collect();
    vars.into_iter()
        .map(|var| {
            let answers = answers(subject, &behind, &undecided, var);
            let effort = fact_of(var).map_or(1.0, |(f, _)| vocabulary.get(f).effort);
            let mut methods = Vec::new();
            let mut sum = 0.0;
            for (judged, before) in undecided.iter().zip(&before) {
                let taken: f64 = answers.iter().map(|a| before - load(&judged.boxes, &narrowed(&judged.boxes, a))).sum();
                if taken > 0.0 {
                    methods.push(judged.method);
                }
                sum += taken;
            }
            Weighed { var, relief: sum / answers.len().max(1) as f64 / effort, answers, methods }
        })
        .collect()
}

/// The open facts of a comparison of several numbers.
pub(crate) fn facts_of_test(force: &InForce<'_>, id: usize, coat: u8) -> Vec<Var> {
    let mut who = Vec::new();
    force.comparisons[id].0.facts(&mut who);
    force.comparisons[id].2.facts(&mut who);
    who.into_iter()
        .filter_map(|w| if let crate::tree::Who::Fact(f) = w { Some(f) } else { None })
        .map(|f| Var::Fact(f, if force.book.base.vocabulary.get(f).about == About::Coat { coat } else { 0 }))
        .collect()
}

/// What a verdict's boxes become once an answer is known.
pub(crate) fn narrowed(boxes: &Boxes, answer: &Answer) -> Region {
    let mut region = boxes.everything();
    for (i, v) in boxes.variables.iter().enumerate() {
        for (_, domain) in answer.iter().filter(|(var, _)| *var == v.var) {
            region[i] &= inside(&v.cells, domain);
        }
    }
    region
}

/// How much a verdict still hangs on within a region: the found variables of the boxes that can still apply.
///
/// Nothing where no box can apply, or where one applies whatever is found or chosen.
fn load(boxes: &Boxes, region: &Region) -> f64 {
    if region.contains(&0) {
        return 0.0;
    }
    let mut open: u128 = 0;
    let mut many = 0.0;
    for b in &boxes.boxes {
        if b.sides.iter().any(|(v, set)| region[*v] & set == 0) {
            continue;
        }
        let mut sides = 0;
        for (v, set) in &b.sides {
            if region[*v] & !set != 0 {
                sides += 1;
                if !boxes.variables[*v].chosen && *v < 128 {
                    open |= 1 << v;
                }
            }
        }
        if sides == 0 {
            return 0.0;
        }
        many += 1.0;
    }
    if open == 0 { 0.0 } else { 1.0 + f64::from(open.count_ones()) + f64::min(many, 64.0) / 64.0 }
}

/// The answers to a question that rules tell apart.
fn answers(subject: &Subject<'_, '_>, behind: &Behind, undecided: &[&Judged], var: Var) -> Vec<Answer> {
    let variables = || undecided.iter().flat_map(|j| &j.boxes.variables);
    if let Var::Choice(..) = var {
        // Each choice on its own, and none of them.
        let mut seen: Vec<Var> = variables().map(|v| v.var).filter(|v| fact_of(*v) == fact_of(var)).collect();
        seen.sort_unstable();
        seen.dedup();
        let one = |yes: Option<Var>| -> Answer {
            seen.iter().map(|v| (*v, Domain::Bits(if Some(*v) == yes { flag::YES } else { flag::NO }))).collect()
        };
        return seen.iter().map(|v| one(Some(*v))).chain([one(None)]).collect();
    }
    let mut sets: Vec<Domain> = variables().filter(|v| v.var == var).flat_map(|v| v.cells.iter().cloned()).collect();
    let trees = behind.trees_reading(subject, var);
    sets.extend(domains_of(subject.force, &trees, var, 0, None));
    let Some(first) = sets.first().cloned() else { return Vec::new() };
    let universe = sets.iter().fold(first, |sum, d| match (sum, d) {
        (Domain::Bits(a), Domain::Bits(b)) => Domain::Bits(a | b),
        (Domain::Num(a), Domain::Num(b)) => Domain::Num(a.or(b)),
        (sum, _) => sum,
    });
    let none: Slots = Vec::new();
    let universe = match (subject.slot(var, &none).map(|s| &s.known), &universe) {
        (Some(Known::Bits(b)), Domain::Bits(_)) => universe.and(&Domain::Bits(*b)),
        (Some(Known::Num(r)), Domain::Num(_)) => universe.and(&Domain::Num(r.clone())),
        _ => universe,
    };
    let whole = fact_of(var).is_some_and(|(f, _)| subject.base().vocabulary.get(f).whole());
    cells(&universe, sets.iter(), whole)
        .into_iter()
        .map(|cell| {
            let mut answer = behind.given(subject, var, &cell);
            answer.push((var, cell));
            answer
        })
        .collect()
}

/// Presumptions that might yet apply to a surface, with the open facts they wait for.
pub(crate) struct Behind {
    /// Which presumption (by place among those in force), for which coat, waiting for what.
    waiting: Vec<(usize, usize, Vec<Var>)>,
}

impl Behind {
    pub(crate) fn new(subject: &Subject<'_, '_>) -> Self {
        let none: Slots = Vec::new();
        let force = subject.force;
        let mut waiting = Vec::new();
        for (i, ready) in force.presumptions.iter().enumerate() {
            let fact = force.book.presumptions[ready.rule].fact;
            let about = force.book.base.vocabulary.get(fact).about;
            for coat in 0..if about == About::Coat { subject.known.coats.len() } else { 1 } {
                let var = Var::Fact(fact, if about == About::Coat { coat as u8 } else { 0 });
                if subject.slot(var, &none).is_some_and(|s| matches!(s.how, How::Stated | How::Supposed | How::Proposed)) {
                    continue;
                }
                let mut seen = Vec::new();
                let finding = walk(&ready.tree, &subject.view(coat, &none, None), Some(&mut seen));
                if !finding.certain() && !finding.applies.is_empty() {
                    seen.retain(|v| open(subject, *v));
                    waiting.push((i, coat, seen));
                }
            }
        }
        Self { waiting }
    }

    /// Everything they wait for.
    pub(crate) fn vars(&self) -> Vec<Var> {
        let mut vars: Vec<Var> = self.waiting.iter().flat_map(|(.., vars)| vars.iter().copied()).collect();
        vars.sort_unstable();
        vars.dedup();
        vars
    }

    fn trees_reading<'f>(&self, subject: &Subject<'_, 'f>, var: Var) -> Vec<&'f Ready> {
        self.waiting.iter().filter(|(.., vars)| vars.contains(&var)).map(|(i, ..)| &subject.force.presumptions[*i]).collect()
    }

    /// What would be presumed if `var` lay within `cell`.
    fn given(&self, subject: &Subject<'_, '_>, var: Var, cell: &Domain) -> Answer {
        let mut out: Answer = Vec::new();
        let reading: Vec<_> = self.waiting.iter().filter(|(.., vars)| vars.contains(&var)).collect();
        if reading.is_empty() {
            return out;
        }
        let force = subject.force;
        let mut site = subject.site.clone();
        let mut known = subject.known.clone();
        suppose(&mut site, &mut known, var, cell, subject);
        let none: Slots = Vec::new();
        for (i, coat, _) in reading {
            let presumption = &force.book.presumptions[force.presumptions[*i].rule];
            let about = force.book.base.vocabulary.get(presumption.fact).about;
            let what = Var::Fact(presumption.fact, if about == About::Coat { *coat as u8 } else { 0 });
            let view = View {
                base: subject.base(),
                site: &site,
                surface: &known.surface,
                coat: known.coats.get(*coat).unwrap_or(&none),
                coat_index: *coat,
                method: &none,
                event: None,
                unreleased: None,
            };
            // The strongest that surely applies gives the value.
            if out.iter().all(|(v, _)| *v != what) && walk(&force.presumptions[*i].tree, &view, None).certain() {
                match &presumption.value {
                    Known::Bits(b) => out.push((what, Domain::Bits(*b))),
                    Known::Num(r) => out.push((what, Domain::Num(r.clone()))),
                    Known::Several { .. } => {}
                }
            }
        }
        out
    }
}

fn suppose(site: &mut Slots, known: &mut SurfaceKnown, var: Var, cell: &Domain, subject: &Subject<'_, '_>) {
    let Var::Fact(fact, coat) = var else { return };
    let fact = subject.base().vocabulary.get(fact);
    let slot = match fact.about {
        About::Site => site.get_mut(fact.slot),
        About::Surface => known.surface.get_mut(fact.slot),
        About::Coat => known.coats.get_mut(usize::from(coat)).and_then(|c| c.get_mut(fact.slot)),
        About::Method | About::Incident | About::Trouble => None,
    };
    if let Some(slot) = slot {
        let value = match cell {
            Domain::Bits(b) => Known::Bits(*b),
            Domain::Num(r) => Known::Num(r.clone()),
        };
        *slot = Slot { known: value, how: How::Supposed };
    }
}

/// Whether a variable is not settled.
pub(crate) fn open(subject: &Subject<'_, '_>, var: Var) -> bool {
    let none: Slots = Vec::new();
    let Some(slot) = subject.slot(var, &none) else { return false };
    let Some((fact, _)) = fact_of(var) else { return false };
    let base = subject.base();
    match (var, &slot.known) {
        (Var::Choice(_, option, _), Known::Several { yes, no }) => (yes | no) >> option & 1 == 0,
        (_, known) => !known.settled(base.vocabulary.get(fact), &base.catalogue),
    }
}
