//! Proof, for every possible survey, that packs laid on top of others only tighten them.
//!
//! # What is proved
//!
//! Let *old* be a rule book and *new* the same packs with others on top. For every place any of their rules, presumptions or limits
//! names, for no place and for any other place, on every day, for every survey that can be written in the words of *old*, whatever
//! is stated of the facts that only *new* has, and for every method of *old*:
//!
//! 1. the verdict that the rules of law and of published standards of *old* come to is at least as strict under *new*: ruled out
//!    stays ruled out; on hold and can't tell yet stay one of these or become ruled out; what had conditions does not lose them;
//! 2. every caution of such a rule that was said, or was open, is said or open still: open instead of said only where an entry that
//!    *new* adds may be what is there;
//! 3. every combination of substrate, coat and inside or outside that *old* knows keeps a method that is not ruled out, everything
//!    else being open, or had none before (one that only *new* knows and that is left without any is told as a warning);
//! 4. no departure that a survey can record silences such a rule.
//!
//! Rules of guidance and practice are compared too, rule by rule. Where they say less, that is told as a remark and is no failure,
//! since a survey may depart from them in any case; where a fact they ask about is presumed differently, can be something added or
//! is read another way, a remark says that they were not followed there. If there is no such remark, 1 holds for the whole verdict.
//!
//! # Why rule by rule and presumption by presumption is enough
//!
//! **Rules.** What is known of a survey is, for each fact, the set of values it may still have; the whole is a product `U` of these
//! sets. A rule's tree, walked under `U`, gives exactly the points of `U` (all facts known) at which it applies, as boxes. The verdict
//! is a statement about these points alone: ruled out, "every point lies in a box of a rule-out"; on hold, "every point lies in some
//! box"; can't tell yet, "for some found values every choice lies in a box"; with conditions, "some point lies in a box". Each of
//! these, once true, stays true when boxes grow. So if at each *point* a rule of *new* applies wherever the same rule of *old*
//! does, the verdict is at least as strict for *every* `U`, that is, for every survey, however much it leaves open. Points are compared
//! exactly: a path of the old tree that ends in "applies" and a path of the new one that does not, and whether both can be taken at
//! once (`rules.rs`). A rule about any coat, or about every coat, grows when its finding on one coat does; a hold whose releasing fact
//! is not stated is looked at with that fact "no", which narrows `U` alike in both books.
//! Where a rule gives way, the proof still stands if other rules of law or standard, restricting as much, cover the place: the
//! verdict speaks of all boxes together. A rule about coats covers nothing for one that is about none, for there may be no coats; one
//! about every coat covers nothing. What a hold restricts while its releasing fact is not stated must be covered whatever that fact
//! is, for to the other rules it is open (`layout.rs`).
//!
//! **Presumptions.** They change `U`: fact `f` has values `V` under *old* and `W` under *new*. Write `v ≤ w` if every rule that applies
//! with `f = v` applies, all else being equal, with `f = w`. If each `v` in `V` has a `w ≥ v` in `W`, and each `w` in `W` a `v ≤ w` in
//! `V`, the verdict under `W` is at least as strict: ruled out (all of `V` covered) passes to each `w` through the `v` below it, and
//! so does on hold; hopeless found values pass from `v` to the `w` above it, for the same choices; and so does "some point lies in a
//! box". Which pairs `(V, W)` can come about, for *any* state of knowledge, is bounded from above in `presume.rs`; each is shown harmless
//! or ends in a survey. Several facts may differ at once: they are changed one after the other, and "at least as strict" adds up.
//! Where *old* presumes nothing and *new* does on ground weaker than law, judging keeps every rule that forbids as open as it was
//! (`judge/law`), and so with what is presumed to release a hold; such a pair needs no proof (`ground.rs`). What *new* presumes on
//! ground of law where *old* presumed on weaker ground could end that waiting: then the answer is "not known".
//! A presumption that reads a fact that differs is compared with that fact taken over all of its values in each book.
//!
//! **Open entries.** (With coats and without any.) An added substrate or coat is one more thing an open fact can be, so `V` grows: `entries.rs` shows that no region is
//! restricted for all former entries and free for the new one.
//!
//! **Words.** A proposal names its facts without saying what they are about: `names.rs` shows that every name still means the same.
//!
//! # What it rests on
//!
//! - Each tree is what its script comes to: unfolding sees every combination of answers, and tests hold it against running the scripts.
//! - Verdicts are exact. Where a judgement reaches its own bound it says so and gives the more careful answer, which this proof does
//!   not speak about; so too where several open numbers meet in one comparison.
//! - A comparison in which one number stands is solved for it. A sum of several facts against a figure is taken as a number of its own,
//!   free of the facts in it; where one of these facts is presumed differently or can be something added, what a rule says of
//!   the sum is left out where that makes it restrict more in *old* and less in *new*, and it covers nothing. This can only make
//!   the proof fail to decide, never pass. The same goes for the pairs of presumptions.
//! - Places and days are looked at together only where the same rules are in force in both books, with the same figures.
//! - Nothing is reported broken that was not seen: a survey is written, read by both books, judged by both, and found looser.
//! - Work is bounded. At the bound the answer is "not known", never "proved".

mod departures;
mod draft;
pub(crate) mod entries;
mod forward;
mod ground;
mod layout;
#[doc(hidden)]
pub mod measure;
pub(crate) mod names;
mod paths;
pub(crate) mod presume;
pub(crate) mod rules;
mod space;
mod spots;
mod trial;

pub(crate) use draft::Draft;
pub(crate) use layout::Layout;
pub(crate) use paths::Paths;
pub(crate) use rules::{Extent, turned};
pub(crate) use space::{Effort, Side, Space, Way};
pub use spots::Range;
pub(crate) use spots::{Spot, Spots};
pub(crate) use trial::{Does, Sense, Trial, doing, weight};

use crate::judge::Verdict;
use crate::limit::Basis;
use crate::pack::{Rule, RuleBook, Ruling};
use std::collections::BTreeSet;

/// Steps the whole proof may take, unless told otherwise.
pub const MOST_STEPS: usize = 40_000_000;

/// A bound was reached.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Bound;

/// The proof with one of its checks taken away, for tests that show each check is needed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weakened {
    /// What is presumed is not compared.
    SkipPresumptions,
    /// Rules that read a grid are passed over.
    SkipGrids,
    /// The second book is looked at with the figures of the first.
    SkipLimits,
    /// Holds are passed over.
    SkipHolds,
    /// Cautions are passed over.
    SkipCautions,
    /// What is open, or has several values left, counts as harmless.
    UnknownIsFine,
    /// Names in proposals are not looked at.
    SkipNames,
    /// Only the first of all stretches of time is looked at.
    OnlyTheFirstDay,
    /// Only surveys that name no place are looked at.
    OnlyNoPlace,
    /// Facts that only the second book has are left out of account.
    SkipHouseFacts,
    /// Whether anything is left to be done is not looked at.
    SkipWayForward,
}

/// What is to be proved, and with how much work.
#[derive(Debug, Clone, Default)]
pub struct Wanted {
    /// One place or date only.
    pub range: Range,
    /// Steps the proof may take; [`MOST_STEPS`] if left out.
    pub steps: Option<usize>,
    /// For tests: a check to leave out.
    pub weakened: Option<Weakened>,
}

/// A survey that shows something, as a file that both books can read.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Survey {
    /// The file.
    pub text: String,
    /// The same without facts that only the second book has, where it states some: for the first book.
    pub without: Option<String>,
    /// The method it is about.
    pub method: Option<String>,
    /// What it states, in a line.
    pub facts: String,
    /// How many facts it states.
    pub stated: usize,
    /// The verdict of each book.
    pub verdicts: [Option<Verdict>; 2],
    /// What the rule does in each book.
    pub rule: [String; 2],
}

/// One way in which the second book is looser.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Break {
    /// The rule, or the fact, it is about.
    pub rule: String,
    /// The ruling, if it is a rule.
    pub ruling: Option<Ruling>,
    /// The ground, if it is a rule.
    pub basis: Option<Basis>,
    /// The pack of the rule.
    pub pack: String,
    /// What is looser.
    pub what: String,
    /// The fact that is presumed otherwise, if that is why.
    pub presumed: Option<String>,
    /// Where and when.
    pub place: String,
    /// The methods concerned; empty where it is not about methods.
    pub methods: Vec<String>,
    /// The smallest survey found that shows it: no fact in it can be left out.
    pub survey: Option<Survey>,
    draft: Option<Box<Draft>>,
}

impl Break {
    fn of(rule: &Rule, methods: Vec<String>, place: String, what: &str) -> Self {
        let mut methods = methods;
        let mut seen = BTreeSet::new();
        methods.retain(|m| seen.insert(m.clone()));
        Self {
            rule: rule.id.clone(),
            ruling: Some(rule.ruling),
            basis: Some(rule.basis),
            pack: rule.pack.clone(),
            what: what.to_owned(),
            presumed: None,
            place,
            methods,
            survey: None,
            draft: None,
        }
    }

    /// A difference that needs no survey to be seen.
    fn structural(rule: &Rule, what: &str) -> Self {
        Self::of(rule, Vec::new(), String::new(), what)
    }

    fn plain(about: &str, what: &str, methods: Vec<String>, place: String) -> Self {
        Self {
            rule: about.to_owned(),
            ruling: None,
            basis: None,
            pack: String::new(),
            what: what.to_owned(),
            presumed: None,
            place,
            methods,
            survey: None,
            draft: None,
        }
    }
}

/// How a proof came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// Everything was shown.
    Proved,
    /// Some survey breaks it.
    Broken,
    /// A bound was reached, or something could be neither shown nor refuted.
    NotKnown,
}

/// What the proof found.
#[derive(Debug, Clone, Default)]
#[non_exhaustive]
pub struct Report {
    /// What is looser.
    pub breaks: Vec<Break>,
    /// What could be neither shown nor refuted.
    pub unknown: BTreeSet<String>,
    /// What deserves a look.
    pub warnings: BTreeSet<String>,
    /// What is worth knowing.
    pub remarks: BTreeSet<String>,
    /// Rules of law or standard that were compared.
    pub rules: usize,
    /// Methods.
    pub methods: usize,
    /// Places, with nowhere and elsewhere.
    pub places: usize,
    /// Stretches of time between changes.
    pub stretches: usize,
    /// Places and stretches that differ in what is in force.
    pub situations: usize,
    /// Rules that say less where other rules of law or standard restrict as much.
    pub covered: BTreeSet<String>,
    /// Rules that may say less, with no survey that shows it.
    pub unseen: BTreeSet<String>,
    /// Trees laid out as paths.
    pub trees: usize,
    /// Pairs of presumptions with different values that were shown harmless.
    pub pairs: usize,
    /// Combinations of the catalogue judged for a way forward.
    pub combinations: usize,
    /// Rules tried with every departure recorded.
    pub spoken: usize,
    /// How many departures that was.
    pub departures: usize,
    /// Whether a bound was reached.
    pub bound: bool,
    /// Steps taken.
    pub steps: usize,
}

impl Report {
    /// How it came out.
    pub fn outcome(&self) -> Outcome {
        if !self.breaks.is_empty() {
            Outcome::Broken
        } else if self.bound || !self.unknown.is_empty() {
            Outcome::NotKnown
        } else {
            Outcome::Proved
        }
    }

    /// Notes something looser. What no survey shows is not known to be so, unless it needs none.
    fn found(&mut self, mut found: Break, draft: Option<Draft>, trial: &Trial<'_, '_>) {
        let Some(draft) = draft else {
            if found.place.is_empty() {
                self.breaks.push(found);
            } else {
                self.unseen.insert(found.rule.clone());
                self.unknown.insert(format!("`{}` {} ({}); no survey was found that shows it", found.rule, found.what, found.place));
            }
            return;
        };
        let rule = found.ruling.map(|_| found.rule.as_str());
        let why = format!("`{}` {}", found.rule, found.what);
        found.survey = trial.shown(&draft, rule, &why);
        found.draft = Some(Box::new(draft));
        self.breaks.push(found);
    }

    /// Notes that nothing is left to be done; every method was tried.
    fn stuck(&mut self, mut found: Break, draft: &Draft, trial: &Trial<'_, '_>) {
        found.survey = Some(Survey {
            text: format!("# {}\n\n{}", found.what, draft.text(trial.space, Side::New, "Nothing is left")),
            without: None,
            method: None,
            facts: draft.words(trial.space),
            stated: draft.size(),
            verdicts: [None, Some(Verdict::RuledOut)],
            rule: [String::new(), String::new()],
        });
        self.breaks.push(found);
    }
}

/// Proves that `new` only tightens `old`: what exactly, and why it holds, stands above.
pub fn prove(old: &RuleBook, new: &RuleBook, wanted: &Wanted) -> Report {
    let mut report = Report::default();
    let total = wanted.steps.unwrap_or(MOST_STEPS);
    let effort = Effort::new(total);
    report.bound = work(old, new, wanted, &effort, &mut report).is_err();
    // What restricts most comes first.
    report.breaks.sort_by(|a, b| (a.ruling.is_none(), a.ruling, &a.rule).cmp(&(b.ruling.is_none(), b.ruling, &b.rule)));
    report.steps = total - effort.left();
    report
}

fn work(old: &RuleBook, new: &RuleBook, wanted: &Wanted, effort: &Effort, report: &mut Report) -> Result<(), Bound> {
    let space = Space::new(old, new)?;
    let mut spots = Spots::new([old, new], &wanted.range);
    match wanted.weakened {
        Some(Weakened::OnlyTheFirstDay) => {
            let first = spots.all.first().map(|s| s.date);
            spots.all.retain(|s| Some(s.date) == first);
        }
        Some(Weakened::OnlyNoPlace) => spots.all.retain(|s| s.place.is_none()),
        _ => {}
    }
    let layout = Layout::new(&space, wanted.weakened);
    let trial = Trial::new(&space, Sense::Proof);
    (report.places, report.stretches, report.methods) = (spots.places, spots.stretches, layout.methods().len());
    let without = |w: Weakened| wanted.weakened == Some(w);
    if !without(Weakened::SkipNames) {
        names::prove(&layout, &spots, &trial, effort, report)?;
    }
    rules::prove(&layout, &spots, &trial, Extent::LawAndStandard, effort, report)?;
    if !without(Weakened::SkipPresumptions) {
        presume::prove(&layout, &spots, &trial, effort, report)?;
    }
    entries::open_facts(&layout, &spots, &trial, effort, report)?;
    entries::own_methods(&layout, &spots, report);
    entries::own_materials(&layout, &spots, report);
    departures::prove(&layout, &spots, &trial, report);
    if !without(Weakened::SkipWayForward) {
        forward::prove(&space, &spots, &trial, effort, report)?;
    }
    report.trees = *layout.laid_out.borrow();
    Ok(())
}
