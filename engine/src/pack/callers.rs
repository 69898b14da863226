//! Whom to call: the people whose work it is where rules say that it is not for everybody.

use super::{Rule, Taken, Topic, need_source, read_where, take};
use crate::limit::Where;
use crate::toml_read::{Keys, Place, Problems};
use crate::words;

/// Somebody to call.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Caller {
    /// Its id.
    pub id: String,
    /// Where every one of these rules speaks, by id; none where nothing may be done and nobody else is named.
    pub rules: Vec<String>,
    /// Who, as it reads after "call": `a licensed asbestos contractor`.
    pub who: String,
    /// What they do, as it reads after "who": `samples it and plans the work`.
    pub does: String,
    /// Whether they do the work itself, so that it is nobody else's.
    pub works: bool,
    /// Where it comes from.
    pub source: String,
    /// Where it holds; empty everywhere.
    pub place: Where,
    /// The pack it belongs to.
    pub pack: String,
    /// Whether that is a firm's own: such people are named beside the others, never in their place.
    pub house: bool,
    /// Where it is declared.
    pub declared: Place,
}

pub(super) fn read(topics: &[Topic<'_>], rules: &[Rule], taken: &mut Taken, problems: &Problems) -> Vec<Caller> {
    let mut all = Vec::new();
    for topic in topics {
        for keys in topic.keys.tables(problems, "call", "somebody to call") {
            let read = caller(topic, &keys, rules, problems);
            keys.finish(problems);
            let Some(read) = read else { continue };
            if take(taken, problems, "call", &read.id.clone(), topic.pack, &keys.place()) {
                all.push(read);
            }
        }
    }
    all
}

fn caller(topic: &Topic<'_>, keys: &Keys<'_>, rules: &[Rule], problems: &Problems) -> Option<Caller> {
    let id = keys.need_text(problems, "id");
    let named = keys.texts(problems, "rules");
    for (rule, place) in &named {
        if !rules.iter().any(|r| r.id == *rule) {
            let help = words::did_you_mean(rule, rules.iter().map(|r| r.id.as_str()));
            problems.borrow_mut().push(place.error(format!("there is no rule `{rule}`")).maybe_help(help));
        }
    }
    if named.is_empty() && topic.pack.house {
        problems.borrow_mut().push(
            keys.place()
                .error("a house pack names people for rules, and nobody for everything else")
                .help("write rules = [\"…\"], the rules that send people to them"),
        );
    }
    let who = keys.need_text(problems, "who");
    let does = keys.need_text(problems, "does");
    let works = keys.flag(problems, "works").unwrap_or(false);
    let source = need_source(keys, problems);
    let place = read_where(keys, problems);
    Some(Caller {
        id: id?.to_owned(),
        rules: named.iter().map(|(rule, _)| (*rule).to_owned()).collect(),
        who: who?.to_owned(),
        does: does?.to_owned(),
        works,
        source,
        place,
        pack: topic.pack.name.clone(),
        house: topic.pack.house,
        declared: keys.place(),
    })
}
