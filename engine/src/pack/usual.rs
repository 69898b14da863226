//! Usual values: what a practitioner takes so until told otherwise. They are no evidence: only leads are built on them.

use super::presumptions::reads_what_lies_around;
use super::scripts::{Script, Scripts};
use super::{Taken, Template, Topic, need_source, read_period, read_where, take};
use crate::limit::{Period, Where};
use crate::survey::read_value;
use crate::toml_read::{Keys, Place, Problems};
use crate::tree::{Tree, Who};
use crate::vocabulary::{FactId, Known};
use crate::words;

/// What a fact usually is.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Usual {
    /// Its id.
    pub id: String,
    /// The fact.
    pub fact: FactId,
    /// What it usually is, or what would be checked first.
    pub value: Known,
    /// Whether a practitioner takes it so until told otherwise; if not, it can be either and somebody has to look.
    pub likely: bool,
    /// Whether work that keeps the paint begins by trying it: then it is a step of the work and not a proviso of it.
    pub tried: bool,
    /// Its script.
    pub script: Script,
    /// What the script comes to.
    pub tree: Tree,
    /// How it reads after "provided".
    pub says: Template,
    /// Why it is taken so.
    pub because: Template,
    /// What follows if it is otherwise; worked out where nothing is given.
    pub otherwise: Option<String>,
    /// Where it comes from.
    pub source: String,
    /// Where it holds; empty everywhere.
    pub place: Where,
    /// When it holds.
    pub period: Period,
    /// The pack it belongs to.
    pub pack: String,
    /// Where it is declared.
    pub declared: Place,
}

/// How sure a usual value is, as packs write it.
pub(crate) const SURE: [&str; 2] = ["likely", "open"];

pub(super) fn read(topics: &[Topic<'_>], scripts: &Scripts<'_>, taken: &mut Taken) -> Vec<Usual> {
    let (base, problems) = (scripts.base, scripts.problems);
    let mut all: Vec<Usual> = Vec::new();
    for topic in topics {
        for keys in topic.keys.tables(problems, "usual", "a usual value") {
            let read = usual(topic, &keys, scripts);
            keys.finish(problems);
            let Some(read) = read else { continue };
            if !take(taken, problems, "usual value", &read.id.clone(), topic.pack, &keys.place()) {
                continue;
            }
            // A firm may expect the worst of what others declare, never the best.
            let fact = base.vocabulary.get(read.fact);
            if topic.pack.house && fact.pack != topic.pack.name && fact.careful.as_ref() != Some(&read.value) {
                problems.borrow_mut().push(
                    keys.place()
                        .error(format!("a house pack cannot say what `{}` usually is: leads would be built on it", fact.id))
                        .help("a house pack says it of its own facts, or names the careful value of a fact that has one"),
                );
                continue;
            }
            all.push(read);
        }
    }
    in_order(all, problems)
}

fn usual(topic: &Topic<'_>, keys: &Keys<'_>, scripts: &Scripts<'_>) -> Option<Usual> {
    let (base, problems) = (scripts.base, scripts.problems);
    let id = keys.need_text(problems, "id").unwrap_or("").to_owned();
    let fact = keys.need_text(problems, "fact").and_then(|id| {
        let found = base.vocabulary.find(id).filter(|f| !base.vocabulary.get(*f).chosen);
        if found.is_none() {
            let ids: Vec<&str> = base.vocabulary.iter().filter(|(_, f)| !f.chosen).map(|(_, f)| f.id.as_str()).collect();
            problems.borrow_mut().push(keys.place().error(format!("`{id}` is not a found fact")).maybe_help(words::did_you_mean(id, ids)));
        }
        found
    });
    let value = keys.get("value");
    if value.is_none() {
        keys.missing(problems, "value");
    }
    let sure = keys.need_text(problems, "sure").unwrap_or(SURE[0]);
    if !SURE.contains(&sure) {
        let place = keys.get("sure").map_or_else(|| keys.place(), |i| i.place());
        problems.borrow_mut().push(place.error(format!("`sure` is `{sure}`")).help("likely, or open where it can be either"));
    }
    let source = need_source(keys, problems);
    let period = read_period(keys, problems);
    let place = read_where(keys, problems);
    let (says, because) = (keys.need_text(problems, "says").unwrap_or(""), keys.need_text(problems, "because").unwrap_or(""));
    let otherwise = keys.text(problems, "otherwise").map(str::to_owned);
    let tried = keys.flag(problems, "tried").unwrap_or(false);
    let (script, tree) = scripts.unfolded(topic, keys)?;
    let (fact, value) = (fact?, value?);
    let value = read_value(value, fact, base, problems)?.known;
    if !reads_what_lies_around(base, fact, &tree, "a usual value", keys, problems) {
        return None;
    }
    Some(Usual {
        id,
        fact,
        value,
        likely: sure == SURE[0],
        tried,
        says: scripts.template(keys, "says", says, &tree),
        because: scripts.template(keys, "because", because, &tree),
        script,
        tree,
        otherwise,
        source,
        place,
        period,
        pack: topic.pack.name.clone(),
        declared: keys.place(),
    })
}

/// Sorts them so that each comes after those of the facts it reads, and otherwise as they stand; a circle is reported.
fn in_order(mut left: Vec<Usual>, problems: &Problems) -> Vec<Usual> {
    let mut done: Vec<Usual> = Vec::new();
    while !left.is_empty() {
        let waiting: Vec<FactId> = left.iter().map(|u| u.fact).collect();
        let ready = |fact: FactId| {
            let own = left.iter().filter(|u| u.fact == fact);
            !own.flat_map(|u| u.tree.reads()).any(|who| matches!(who, Who::Fact(f) if f != fact && waiting.contains(&f)))
        };
        let Some(free) = left.iter().map(|u| u.fact).find(|f| ready(*f)) else {
            let names: Vec<String> = left.iter().map(|u| format!("`{}`", u.id)).collect();
            let place = left[0].declared.clone();
            problems.borrow_mut().push(
                place
                    .error(format!("usual values go round in a circle: {}", words::list(&names, "and")))
                    .help("each depends on a fact that another of them gives; let one of them read other facts"),
            );
            return done;
        };
        let (own, rest): (Vec<Usual>, Vec<Usual>) = left.into_iter().partition(|u| u.fact == free);
        done.extend(own);
        left = rest;
    }
    done
}
