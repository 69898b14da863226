//! A surface under any part of what is taken for granted, each judged once, and the smallest parts under which something holds.
//!
//! The search rests on one fact. Where something does not hold under a part, the judgement shows why: a region of what is found
//! in which nothing serves, and the presumptions that wait. Whatever is taken for granted besides, and neither leaves that region
//! nor touches such a presumption, leaves the reason standing. So every larger part under which it does hold has one of the few
//! things that do, and going through these alone, smaller parts first, finds all of the smallest.

use super::usual::{Taken, supposed};
use crate::judge::in_force::InForce;
use crate::judge::know::Slots;
use crate::judge::walk::{Domain, Var};
use crate::judge::{Judged, Subject, Verdict};
use crate::survey::Survey;
use crate::telling::{Behind, facts_of_test};
use crate::vocabulary::About;
use std::cell::{Cell, OnceCell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// A part of what is taken for granted, one bit a thing.
pub(crate) type Part = u128;

/// The most things that can be taken for granted on one surface.
const MOST_TAKEN: usize = 128;
/// The most parts looked at in one search; then one that cannot be made smaller is given.
const MOST_PARTS: usize = 600;
/// The most sets given of one size.
const MOST_SETS: usize = 4;

/// A verdict with what it rests on.
type Seen = (Judged, Vec<Var>);

/// A surface under one part.
pub(crate) struct World<'b, 'i> {
    pub(crate) subject: Subject<'b, 'i>,
    behind: OnceCell<Vec<Var>>,
    judged: RefCell<BTreeMap<usize, Rc<Seen>>>,
}

impl<'b, 'i> World<'b, 'i> {
    fn new(subject: Subject<'b, 'i>) -> Self {
        Self { subject, behind: OnceCell::new(), judged: RefCell::new(BTreeMap::new()) }
    }

    /// A method judged here, with what its verdict rests on.
    pub(crate) fn judge(&self, method: usize) -> Rc<Seen> {
        let known = self.judged.borrow().get(&method).cloned();
        known.unwrap_or_else(|| {
            let judged = Rc::new(judge(&self.subject, method));
            self.judged.borrow_mut().insert(method, Rc::clone(&judged));
            judged
        })
    }

    /// What presumptions wait for.
    pub(crate) fn behind(&self) -> &[Var] {
        self.behind.get_or_init(|| Behind::new(&self.subject).vars())
    }
}

/// A method judged on a surface, with what its verdict rests on.
pub(crate) fn judge(subject: &Subject<'_, '_>, method: usize) -> Seen {
    let settings: Slots = subject.force.method(method, None, &[]);
    let mut seen = Vec::new();
    let mut judged = subject.judge_seeing(method, &settings, Some(&mut seen));
    judged.once_released(subject.force);
    (judged, seen)
}

/// Whether a verdict lets work go ahead, or would once its hold points are released.
pub(crate) fn serves(judged: &Judged, held: bool) -> bool {
    // What is released without conditions has no case of conditions, and suits all the same.
    judged.verdict.suits() || held && judged.released.is_some_and(Verdict::suits)
}

/// All parts of what is taken for granted on one surface.
pub(crate) struct Worlds<'a, 'b, 'i> {
    pub(crate) force: &'i InForce<'b>,
    pub(crate) survey: &'a Survey,
    pub(crate) surface: usize,
    /// What is narrowed where it is known in part.
    partly: Vec<About>,
    /// Whether what may turn out to be held, and nothing worse, serves those who would wait.
    pub(crate) perhaps: Cell<bool>,
    items: RefCell<Vec<Taken>>,
    /// What is usual, without what single methods ask for besides.
    pub(crate) usual: Part,
    worlds: RefCell<BTreeMap<Part, Rc<World<'b, 'i>>>>,
}

impl<'a, 'b, 'i> Worlds<'a, 'b, 'i> {
    pub(crate) fn new(force: &'i InForce<'b>, survey: &'a Survey, surface: usize, partly: &[About]) -> Self {
        let mut items = super::usual::usual(force, survey, surface, partly);
        items.truncate(MOST_TAKEN);
        let usual = crate::vocabulary::lowest(items.len());
        Self {
            force,
            survey,
            surface,
            partly: partly.to_vec(),
            items: RefCell::new(items),
            perhaps: Cell::new(false),
            usual,
            worlds: RefCell::new(BTreeMap::new()),
        }
    }

    /// Whether a verdict lets work go ahead, or would once its hold points are released.
    pub(crate) fn serves(&self, judged: &Judged, held: bool) -> bool {
        serves(judged, held) || held && self.perhaps.get() && judged.perhaps.is_some_and(Verdict::suits)
    }

    /// The surface under a part.
    pub(crate) fn world(&self, part: Part) -> Rc<World<'b, 'i>> {
        let known = self.worlds.borrow().get(&part).cloned();
        known.unwrap_or_else(|| {
            let taken = self.taken(part);
            let subject = supposed(self.force, self.survey, self.surface, &taken.iter().collect::<Vec<_>>());
            let world = Rc::new(World::new(subject));
            self.worlds.borrow_mut().insert(part, Rc::clone(&world));
            world
        })
    }

    /// What a part takes for granted.
    pub(crate) fn taken(&self, part: Part) -> Vec<Taken> {
        self.items.borrow().iter().enumerate().filter(|(i, _)| part >> i & 1 == 1).map(|(_, t)| t.clone()).collect()
    }

    /// The things about some variables.
    pub(crate) fn about(&self, vars: &[Var]) -> Part {
        self.which(|t| vars.iter().any(|v| t.about(*v)))
    }

    fn which(&self, fits: impl Fn(&Taken) -> bool) -> Part {
        self.items.borrow().iter().enumerate().filter(|(_, t)| fits(t)).fold(0, |all, (i, _)| all | 1 << i)
    }

    /// Which things could free a method that does not serve, or would not once its hold points are released; `moved` says how many
    /// coats are off.
    pub(crate) fn reasons(&self, world: &World<'b, 'i>, judged: &Seen, held: bool, moved: usize) -> Part {
        let (judged, seen) = judged;
        let back = |var: Var| self.moved(var, moved);
        let waiting = self.about(world.behind());
        let bad = if held { judged.bad_once_released.as_ref().or(judged.bad.as_ref()) } else { judged.bad.as_ref() };
        let Some(bad) = bad else {
            let seen: Vec<Var> = seen.iter().map(|v| back(*v)).collect();
            return waiting | self.about(&seen) | self.tests(judged, moved);
        };
        let leaves = |t: &Taken| t.changes.iter().any(|(v, d)| bad.iter().any(|(b, region)| back(*b) == *v && d.and(region).is_empty()));
        waiting | self.which(leaves) | self.tests(judged, moved)
    }

    /// What stands in comparisons of several figures.
    fn tests(&self, judged: &Judged, moved: usize) -> Part {
        let tests = judged.boxes.variables.iter().filter_map(|v| if let Var::Test(id, coat) = v.var { Some((id, coat)) } else { None });
        let vars: Vec<Var> = tests.flat_map(|(id, coat)| facts_of_test(self.force, id, coat)).map(|v| self.moved(v, moved)).collect();
        self.about(&vars)
    }

    /// A variable as it is counted while all coats are on.
    fn moved(&self, var: Var, by: usize) -> Var {
        let of_a_coat = |f| self.force.book.base.vocabulary.get(f).about == About::Coat;
        match var {
            Var::Fact(f, coat) if of_a_coat(f) => Var::Fact(f, coat + by as u8),
            Var::Choice(f, option, coat) if of_a_coat(f) => Var::Choice(f, option, coat + by as u8),
            other => other,
        }
    }

    /// Everything under which a method could serve: what is usual and, where that leaves it open, what it asks for besides.
    pub(crate) fn enough_for(&self, method: usize, held: bool) -> Option<Part> {
        let mut part = self.usual;
        for _ in 0..4 {
            let judged = self.world(part).judge(method);
            if serves(&judged.0, held) {
                return Some(part);
            }
            let before = part;
            for (var, domain) in judged.0.good.iter().flatten() {
                part |= self.ask_for(*var, domain);
            }
            if part == before {
                return None;
            }
            part |= self.usual_under(part);
        }
        None
    }

    /// Everything a method asks for, whatever is usual; what is usual counts as such where it is among what is asked.
    pub(crate) fn asked_for(&self, method: usize) -> Option<Part> {
        let mut part = 0;
        for _ in 0..6 {
            let judged = self.world(part).judge(method);
            if serves(&judged.0, false) {
                return Some(part);
            }
            let before = part;
            for (var, domain) in judged.0.good.iter().flatten() {
                let within = |t: &Taken| t.changes.len() == 1 && t.changes[0].0 == *var && t.changes[0].1.and(domain) == t.changes[0].1;
                let usual = self.which(within) & self.usual;
                part |= if self.about(&[*var]) & part != 0 {
                    0
                } else if usual != 0 {
                    usual
                } else {
                    self.more(*var, domain)
                };
            }
            if part == before {
                return None;
            }
        }
        None
    }

    /// What is usual once a part is so, and was not without.
    pub(crate) fn usual_under(&self, part: Part) -> Part {
        let taken = self.taken(part);
        let known = taken.len();
        let all = super::usual::grown(self.force, self.survey, self.surface, &self.partly, taken);
        all.into_iter().skip(known).fold(0, |sum, t| sum | self.place(t))
    }

    /// One thing more to be taken for granted; nothing where it is chosen, or where something is usual.
    fn ask_for(&self, var: Var, domain: &Domain) -> Part {
        if self.about(&[var]) & self.usual != 0 { 0 } else { self.more(var, domain) }
    }

    fn more(&self, var: Var, domain: &Domain) -> Part {
        let (Var::Fact(fact, _) | Var::Choice(fact, ..)) = var else { return 0 };
        if self.force.book.base.vocabulary.get(fact).chosen {
            return 0;
        }
        self.place(Taken { changes: vec![(var, domain.clone())], likely: false, row: None })
    }

    /// The place of a thing among all, a new one where there is none; nothing where there is no more room.
    fn place(&self, taken: Taken) -> Part {
        let mut items = self.items.borrow_mut();
        let at = items.iter().position(|t| *t == taken).unwrap_or_else(|| {
            items.push(taken);
            items.len() - 1
        });
        if at < MOST_TAKEN { 1 << at } else { 0 }
    }

    /// The smallest parts of `whole` under which nothing is lacking, the most usual first. `lacks` gives what could mend what is
    /// lacking, and nothing where nothing is.
    pub(crate) fn smallest(&self, whole: Part, lacks: &dyn Fn(Part) -> Option<Part>) -> Vec<Part> {
        if lacks(whole).is_some() {
            return Vec::new();
        }
        let mut level = BTreeSet::from([0]);
        let mut looked = 0;
        while !level.is_empty() {
            let mut found = Vec::new();
            let mut next = BTreeSet::new();
            for part in level {
                looked += 1;
                match lacks(part) {
                    None => found.push(part),
                    Some(mends) => {
                        let mends = mends & whole & !part;
                        next.extend((0..MOST_TAKEN).filter(|i| mends >> i & 1 == 1).map(|i| part | 1 << i));
                    }
                }
                if looked > MOST_PARTS {
                    return vec![reduced(whole, lacks)];
                }
            }
            if !found.is_empty() {
                let items = self.items.borrow();
                let open = |part: &Part| items.iter().enumerate().filter(|(i, t)| part >> i & 1 == 1 && !t.likely).count();
                found.sort_by_key(|part| (open(part), *part));
                found.truncate(MOST_SETS);
                return found;
            }
            level = next;
        }
        vec![reduced(whole, lacks)]
    }

    /// A part with every coat left out that it can do without: each thing about several coats as things about one.
    pub(crate) fn coat_by_coat(&self, part: Part, holds: &dyn Fn(&World<'b, 'i>) -> bool) -> Vec<Taken> {
        let mut taken = self.taken(part);
        for at in 0..taken.len() {
            let mut change = 0;
            while taken[at].changes.len() > 1 && change < taken[at].changes.len() {
                let mut fewer = taken.clone();
                fewer[at].changes.remove(change);
                let subject = supposed(self.force, self.survey, self.surface, &fewer.iter().collect::<Vec<_>>());
                if holds(&World::new(subject)) {
                    taken = fewer;
                } else {
                    change += 1;
                }
            }
        }
        taken
    }
}

/// A part that can do without nothing it still has.
fn reduced(whole: Part, lacks: &dyn Fn(Part) -> Option<Part>) -> Part {
    (0..MOST_TAKEN)
        .filter(|i| whole >> i & 1 == 1)
        .fold(whole, |part, i| if lacks(part & !(1 << i)).is_none() { part & !(1 << i) } else { part })
}
