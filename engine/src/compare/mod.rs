//! Comparing two rule books, or one rule book on two dates: which situations became stricter, which looser, and what is only
//! said in other words.
//!
//! Rules are compared as the proof compares them ([`crate::prove`]): path by path, at every place and in every stretch of time that
//! either book tells apart, in both directions. So "became looser" and "became stricter" are statements about all situations
//! there are, each with the smallest survey that shows it. Saved surveys are looked at one by one on top of that
//! ([`Pair::survey`]).
//!
//! A rule of law or standard that says less needs somebody who answers for it: a [`crate::pack::SignOff`] in the rule's own pack,
//! given for the state the rule is in now. Once the rule, a figure or a presumption it reads changes again, the state is another
//! and the sign-off no longer counts.

mod layer;
mod meaning;
mod surveys;
mod wording;

pub use layer::{FigureChange, LimitChange, PresumptionChange};
pub use meaning::state_of;
pub use surveys::{Pair, SurveyChange, SurveyChanges};
pub use wording::{NameChange, What};

use crate::limit::Basis;
use crate::pack::{GONE, RuleBook, Ruling, SignOff};
use crate::prove::{self, Break, Effort, Extent, Layout, MOST_STEPS, Range, Report, Sense, Space, Spots, Survey, Trial, turned};
use indexmap::IndexMap;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// What to compare, and with how much work.
#[derive(Debug, Clone, Default)]
pub struct Wanted {
    /// Only this place.
    pub place: Option<String>,
    /// Only this day, for both books.
    pub date: Option<Date>,
    /// The first book on one day, and the second on another.
    pub dates: Option<[Date; 2]>,
    /// The day that examples should lie near; it changes nothing that is found.
    pub near: Option<Date>,
    /// Steps each direction may take; [`MOST_STEPS`] if left out.
    pub steps: Option<usize>,
}

/// One way in which a rule says less, or more.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Turn {
    /// What is otherwise.
    pub what: String,
    /// Where and when; empty where it is so everywhere.
    pub place: String,
    /// The methods concerned; empty where it is not about methods.
    pub methods: Vec<String>,
    /// The smallest survey found that shows it.
    pub survey: Option<Survey>,
}

/// A rule that is not what it was.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct RuleChange {
    /// Its id.
    pub id: String,
    /// What it does; in the second book, if it is there.
    pub ruling: Ruling,
    /// How strong its ground is: the stronger of the two.
    pub basis: Basis,
    /// Its pack.
    pub pack: String,
    /// Where it says less.
    pub less: Vec<Turn>,
    /// Where it says more.
    pub more: Vec<Turn>,
    /// What is worded otherwise.
    pub worded: Vec<&'static str>,
    /// Its state in the second book; [`GONE`] if it is not there.
    pub state: String,
    /// Who answers for its saying less.
    pub signed: Option<SignOff>,
    /// Sign-offs that were given for another state of it.
    pub lapsed: Vec<SignOff>,
}

impl RuleChange {
    /// Whether it restricts: rules out, holds, or says what to watch.
    pub fn restricts(&self) -> bool {
        self.ruling <= Ruling::Caution
    }

    /// Whether somebody has to answer for it.
    pub fn needs_sign_off(&self) -> bool {
        self.restricts() && !self.less.is_empty() && !self.basis.can_be_departed_from()
    }

    /// Whether somebody has to answer for it, and nobody does.
    pub fn unsigned(&self) -> bool {
        self.needs_sign_off() && self.signed.is_none()
    }
}

/// How two rule books differ.
#[derive(Debug, Clone, Default)]
#[non_exhaustive]
pub struct Comparison {
    /// Rules that are not what they were: strongest ground first.
    pub rules: Vec<RuleChange>,
    /// Rules that are the same in every respect.
    pub same: usize,
    /// Presumptions that are not what they were.
    pub presumptions: Vec<PresumptionChange>,
    /// Limits whose figures are not what they were.
    pub limits: Vec<LimitChange>,
    /// Facts, entries and sources that were added, taken out or re-worded.
    pub names: Vec<NameChange>,
    /// What could not be shown one way or the other.
    pub unknown: BTreeSet<String>,
    /// What is worth knowing.
    pub remarks: BTreeSet<String>,
    /// Whether a bound was reached: then there may be more than is told.
    pub bound: bool,
    /// Places looked at.
    pub places: usize,
    /// Stretches of time looked at.
    pub stretches: usize,
}

impl Comparison {
    /// Rules of law or standard that say less, for which nobody answers.
    pub fn unsigned(&self) -> impl Iterator<Item = &RuleChange> {
        self.rules.iter().filter(|r| r.unsigned())
    }
}

/// Compares two rule books, or one with itself on two dates.
pub fn compare(before: &RuleBook, after: &RuleBook, wanted: &Wanted) -> Comparison {
    let mut out = Comparison::default();
    layer::limits([before, after], wanted, &mut out);
    let mut changes: IndexMap<String, RuleChange> = IndexMap::new();
    let forward = one_way([before, after], wanted, Sense::Comparison, &mut out);
    for found in forward.breaks {
        let what = found.what.clone();
        let turn = turn(&found, what);
        change(&mut changes, before, after, &found.rule, &mut out.unknown, |c| c.less.push(turn));
    }
    let backward = one_way([after, before], wanted, Sense::Backwards, &mut out);
    for found in backward.breaks {
        let what = match (&found.presumed, turned(&found.what)) {
            (Some(fact), _) => format!("says more: `{fact}` is presumed otherwise"),
            (None, Some(what)) => what.to_owned(),
            (None, None) => format!("says more: {}", found.what),
        };
        let mut turn = turn(&found, what);
        if let Some(survey) = &mut turn.survey {
            survey.verdicts.swap(0, 1);
            survey.rule.swap(0, 1);
        }
        change(&mut changes, before, after, &found.rule, &mut out.unknown, |c| c.more.push(turn));
    }
    for rule in &after.rules {
        let Some(old) = before.rule(&rule.id) else { continue };
        let same = |set: &BTreeSet<String>| !set.contains(&rule.id);
        let altered = changes.get(&rule.id).is_some_and(|c| !c.less.is_empty() || !c.more.is_empty());
        let mut worded = wording::of_rule(before, old, after, rule);
        if wording::tells(after, rule, &out.limits) {
            worded.push("the figure it tells");
        }
        if forward.covered.contains(&rule.id) {
            worded.push("where it applies: in fewer situations, in which other rules of law or standard restrict as much");
        }
        if backward.covered.contains(&rule.id) {
            worded.push("where it applies: in more situations, in which other rules of law or standard restricted as much");
        }
        let known = same(&forward.covered) && same(&backward.covered) && same(&forward.unseen) && same(&backward.unseen);
        if !altered && known && old.script.text != rule.script.text {
            worded.push("how its script is written, which means the same");
        }
        if !worded.is_empty() {
            change(&mut changes, before, after, &rule.id, &mut out.unknown, |c| c.worded = worded);
        }
    }
    out.same = after.rules.iter().filter(|r| !changes.contains_key(&r.id)).count();
    out.rules = changes.into_values().collect();
    out.rules.sort_by(|a, b| (a.basis, a.ruling, &a.id).cmp(&(b.basis, b.ruling, &b.id)));
    for rule in &mut out.rules {
        let signed = |s: &&SignOff| s.rule == rule.id && s.pack == rule.pack;
        let (good, other): (Vec<&SignOff>, Vec<&SignOff>) = after.sign_offs.iter().filter(signed).partition(|s| s.digest == rule.state);
        rule.signed = good.first().map(|s| (*s).clone());
        rule.lapsed = other.into_iter().cloned().collect();
    }
    layer::presumptions([before, after], wanted, &mut out);
    out.names = wording::names(before, after);
    out
}

fn turn(found: &Break, what: String) -> Turn {
    Turn { what, place: found.place.clone(), methods: found.methods.clone(), survey: found.survey.clone() }
}

/// Adds to what is told of a rule.
fn change(
    changes: &mut IndexMap<String, RuleChange>,
    before: &RuleBook,
    after: &RuleBook,
    id: &str,
    unknown: &mut BTreeSet<String>,
    add: impl FnOnce(&mut RuleChange),
) {
    let (old, new) = (before.rule(id), after.rule(id));
    let Some(rule) = new.or(old) else {
        // An open choice that was added: it is about a fact, not about one rule.
        unknown.insert(format!("what `{id}` can be has changed, and with it what is sure where it is open"));
        return;
    };
    let basis = old.map_or(rule.basis, |o| o.basis.min(rule.basis));
    add(changes.entry(id.to_owned()).or_insert_with(|| RuleChange {
        id: id.to_owned(),
        ruling: rule.ruling,
        basis,
        pack: rule.pack.clone(),
        less: Vec::new(),
        more: Vec::new(),
        worded: Vec::new(),
        state: new.map_or_else(|| GONE.to_owned(), |r| state_of(after, r)),
        signed: None,
        lapsed: Vec::new(),
    }));
}

/// Where each book is looked at.
fn spots(books: [&RuleBook; 2], wanted: &Wanted, sense: Sense) -> Spots {
    match wanted.dates {
        Some([a, b]) => {
            let dates = if sense == Sense::Backwards { [b, a] } else { [a, b] };
            Spots::between(books, wanted.place.as_deref(), dates)
        }
        None => Spots::new(books, &Range { place: wanted.place.clone(), date: wanted.date, near: wanted.near }),
    }
}

/// Everything in which the second book says less.
fn one_way(books: [&RuleBook; 2], wanted: &Wanted, sense: Sense, out: &mut Comparison) -> Report {
    let mut report = Report::default();
    let effort = Effort::new(wanted.steps.unwrap_or(MOST_STEPS));
    let Ok(space) = Space::new(books[0], books[1]) else {
        out.bound = true;
        return report;
    };
    let spots = spots(books, wanted, sense);
    (out.places, out.stretches) = (spots.places, spots.stretches);
    let layout = Layout::new(&space, None);
    let trial = Trial::new(&space, sense);
    let done = prove::rules::prove(&layout, &spots, &trial, Extent::Every, &effort, &mut report)
        .and_then(|()| prove::names::prove(&layout, &spots, &trial, &effort, &mut report))
        .and_then(|()| prove::entries::open_facts(&layout, &spots, &trial, &effort, &mut report));
    out.bound |= done.is_err();
    if prove::presume::prove(&layout, &spots, &trial, &effort, &mut report).is_err() {
        let what = if sense == Sense::Backwards { "stricter" } else { "looser" };
        out.unknown.insert(format!("whether what is presumed makes rules of law or standard {what} could not be worked out in full"));
    }
    out.unknown.append(&mut report.unknown);
    out.remarks.append(&mut report.remarks);
    report
}
