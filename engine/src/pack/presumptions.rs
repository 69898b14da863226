//! Presumptions: what is taken as known until somebody looks.

use super::scripts::{Script, Scripts};
use super::{Taken, Template, Topic, take};
use crate::limit::{Basis, Period, Where};
use crate::script::Base;
use crate::survey::read_value;
use crate::toml_read::{Keys, Place, Problems};
use crate::tree::{Tree, Who};
use crate::vocabulary::{About, FactId, Known};
use crate::words;
use indexmap::IndexMap;

/// A rule that gives a fact a value until it is found.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Presumption {
    /// Its id.
    pub id: String,
    /// The fact it gives a value.
    pub fact: FactId,
    /// The value.
    pub value: Known,
    /// Its script.
    pub script: Script,
    /// What the script comes to.
    pub tree: Tree,
    /// What it says.
    pub because: Template,
    /// How strong its ground is.
    pub basis: Basis,
    /// Facts of the same subject on which it waits: it applies only while none of them is stated.
    pub unstated: Vec<FactId>,
    /// Whether it reads what was measured or tried: its value is then told as found, not as presumed.
    pub finding: bool,
    /// Whether its value itself says that nobody has tested: a rule of law about what was found does not wait for it.
    pub untested: bool,
    /// Whether it is worth a question of its own; what is hardly ever otherwise is told, not asked about.
    pub asked: bool,
    /// Where it comes from.
    pub source: String,
    /// What stands behind it at certain places, by code.
    pub sources: IndexMap<String, String>,
    /// Where it holds.
    pub place: Where,
    /// When it holds.
    pub period: Period,
    /// The pack it belongs to.
    pub pack: String,
    /// Where it is declared.
    pub declared: Place,
}

impl Presumption {}

pub(super) fn read(topics: &[Topic<'_>], scripts: &Scripts<'_>, taken: &mut Taken) -> Vec<Presumption> {
    let (base, problems) = (scripts.base, scripts.problems);
    let mut all: Vec<Presumption> = Vec::new();
    for topic in topics {
        for keys in topic.keys.tables(problems, "presumption", "a presumption") {
            let read = presumption(topic, &keys, scripts);
            keys.finish(problems);
            let Some(read) = read else { continue };
            if !take(taken, problems, "presumption", &read.id.clone(), topic.pack, &keys.place()) {
                continue;
            }
            // A firm may presume more, never presume a danger away.
            let fact = base.vocabulary.get(read.fact);
            if topic.pack.house && fact.pack != topic.pack.name && fact.careful.as_ref() != Some(&read.value) {
                let careful = fact.careful.as_ref().map(|c| fact.show(c, &base.catalogue, crate::quantity::System::Metric));
                let help = match careful {
                    Some(value) => format!("it can presume {value}, which is the careful value, or facts of its own"),
                    None => "a house pack presumes its own facts, and the careful value of a fact that has one".to_owned(),
                };
                problems.borrow_mut().push(
                    keys.place()
                        .error(format!("a house pack cannot presume `{}` for itself: that could weaken another pack's rules", fact.id))
                        .help(help),
                );
                continue;
            }
            all.push(read);
        }
    }
    all
}

fn presumption(topic: &Topic<'_>, keys: &Keys<'_>, scripts: &Scripts<'_>) -> Option<Presumption> {
    let (base, problems) = (scripts.base, scripts.problems);
    let fact = keys.need_text(problems, "fact").and_then(|id| {
        let found = base.vocabulary.find(id).filter(|f| !base.vocabulary.get(*f).chosen);
        if found.is_none() {
            let ids: Vec<&str> = base.vocabulary.iter().filter(|(_, f)| !f.chosen).map(|(_, f)| f.id.as_str()).collect();
            problems.borrow_mut().push(keys.place().error(format!("`{id}` is not a found fact")).maybe_help(words::did_you_mean(id, ids)));
        }
        found
    });
    let mut unstated = Vec::new();
    for (id, place) in keys.texts(problems, "unstated") {
        if let Some(f) = base.vocabulary.find(id) {
            unstated.push(f);
        } else {
            let ids: Vec<&str> = base.vocabulary.iter().map(|(_, f)| f.id.as_str()).collect();
            problems.borrow_mut().push(place.error(format!("`{id}` is not a fact")).maybe_help(words::did_you_mean(id, ids)));
        }
    }
    let finding = keys.flag(problems, "finding").unwrap_or(false);
    let untested = keys.flag(problems, "untested").unwrap_or(false);
    if untested && topic.pack.house {
        problems
            .borrow_mut()
            .push(keys.place().error("a house pack cannot say `untested`: rules of law would no longer wait for what it presumes"));
    }
    let value = keys.get("value");
    if value.is_none() {
        keys.missing(problems, "value");
    }
    let common = scripts.common("presumption", topic, keys)?;
    let (fact, value) = (fact?, value?);
    let value = read_value(value, fact, base, problems)?.known;
    if !reads_what_lies_around(base, fact, &common.tree, "a presumption", keys, problems) {
        return None;
    }
    Some(Presumption {
        id: common.id,
        fact,
        value,
        script: common.script,
        tree: common.tree,
        because: common.because,
        basis: common.basis,
        unstated,
        finding,
        asked: keys.flag(problems, "asked").unwrap_or(true),
        untested,
        source: common.source,
        sources: common.sources,
        place: common.place,
        period: common.period,
        pack: topic.pack.name.clone(),
        declared: keys.place(),
    })
}

/// Whether a script about a fact reads only what the fact is about and what lies around it; reported if not.
pub(super) fn reads_what_lies_around(base: &Base, fact: FactId, tree: &Tree, kind: &str, keys: &Keys<'_>, problems: &Problems) -> bool {
    let about = base.vocabulary.get(fact).about;
    for who in tree.reads() {
        let reads = match who {
            Who::Method => About::Method,
            Who::Fact(f) => base.vocabulary.get(f).about,
        };
        let fits = match about {
            About::Site => reads == About::Site,
            About::Surface => matches!(reads, About::Site | About::Surface),
            About::Coat => reads != About::Method,
            About::Method | About::Incident | About::Trouble => false,
        };
        if !fits {
            problems.borrow_mut().push(
                keys.place()
                    .error(format!("{kind} about {} cannot read the {}", about.with_article(), reads.word()))
                    .help(format!("{kind} reads what it is about and what lies around it")),
            );
            return false;
        }
    }
    true
}

/// Sorts presumptions so that each comes after those it depends on; a circle is reported.
pub(super) fn in_order(mut left: Vec<Presumption>, problems: &Problems) -> Vec<Presumption> {
    left.sort_by(|a, b| (a.basis, &a.id).cmp(&(b.basis, &b.id)));
    let mut done: Vec<Presumption> = Vec::new();
    while !left.is_empty() {
        // A fact is ready when none of its presumptions reads one that still waits. All presumptions of a fact go together,
        // strongest ground first: which of them gives the value must not depend on what the others read.
        let waiting: Vec<FactId> = left.iter().map(|p| p.fact).collect();
        let ready = |fact: FactId| {
            let own = left.iter().filter(|p| p.fact == fact);
            !own.flat_map(|p| p.tree.reads()).any(|who| matches!(who, Who::Fact(f) if waiting.contains(&f)))
        };
        let free = left.iter().map(|p| p.fact).find(|f| ready(*f));
        let Some(free) = free else {
            let names: Vec<String> = left.iter().map(|p| format!("`{}`", p.id)).collect();
            let place = left[0].declared.clone();
            problems.borrow_mut().push(
                place
                    .error(format!("presumptions go round in a circle: {}", words::list(&names, "and")))
                    .help("each depends on a fact that another of them gives; let one of them read stated facts only"),
            );
            return done;
        };
        let (own, rest): (Vec<Presumption>, Vec<Presumption>) = left.into_iter().partition(|p| p.fact == free);
        done.extend(own);
        left = rest;
    }
    done
}
