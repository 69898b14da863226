//! What is only said in other words, and the names that came and went.

use super::{LimitChange, meaning};
use crate::catalogue::{AttributeValue, Entry, EntryKind};
use crate::pack::{Part, Rule, RuleBook};

/// What became of a name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    /// It is new.
    Added,
    /// It is not there any more.
    Gone,
    /// It is worded otherwise, or has something else.
    Changed,
}

impl What {
    /// In a word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Added => "added",
            Self::Gone => "gone",
            Self::Changed => "changed",
        }
    }
}

/// A fact, entry, limit or source that is not what it was.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
#[non_exhaustive]
pub struct NameChange {
    /// What became of it.
    pub what: What,
    /// What it is: fact, method, source.
    pub kind: &'static str,
    /// Its id.
    pub id: String,
}

/// What is worded otherwise in a rule.
pub(super) fn of_rule(before: &RuleBook, old: &Rule, after: &RuleBook, new: &Rule) -> Vec<&'static str> {
    let mut out = Vec::new();
    let mut unlike = |differs: bool, what: &'static str| {
        if differs {
            out.push(what);
        }
    };
    unlike(old.title != new.title, "its title");
    let said = |book: &RuleBook, rule: &Rule| {
        let instead = rule.instead.as_ref().map(|t| meaning::sentence(&book.base, t));
        (meaning::sentence(&book.base, &rule.because), instead)
    };
    let (a, b) = (said(before, old), said(after, new));
    unlike(a.0 != b.0, "its reason");
    unlike(a.1 != b.1, "what to do instead");
    let cited = |book: &RuleBook, rule: &Rule| -> Vec<String> {
        let of_places: std::collections::BTreeMap<_, _> = rule.sources.iter().collect();
        [book.cite(&rule.source)].into_iter().chain(of_places.into_iter().map(|(p, s)| format!("{p} {}", book.cite(s)))).collect()
    };
    unlike(cited(before, old) != cited(after, new), "its source");
    unlike(old.basis > new.basis, "its ground, which is stronger");
    unlike(old.pack != new.pack, "its pack");
    unlike(old.period.review != new.period.review, "the day it is due for re-checking");
    out
}

/// Whether a rule's words tell a figure that has changed.
pub(super) fn tells(after: &RuleBook, rule: &Rule, changed: &[LimitChange]) -> bool {
    let parts = rule.because.parts.iter().chain(rule.instead.iter().flat_map(|t| &t.parts));
    parts
        .filter_map(|p| if let Part::Limit(l) = p { Some(&after.base.limits[*l].id) } else { None })
        .any(|id| changed.iter().any(|c| c.id == *id))
}

/// Names that came, went, or are worded otherwise.
pub(super) fn names(before: &RuleBook, after: &RuleBook) -> Vec<NameChange> {
    let mut out = Vec::new();
    let facts = |book: &RuleBook| -> Vec<(String, String)> {
        book.base
            .vocabulary
            .iter()
            .map(|(_, f)| (f.id.clone(), format!("{} {} {}", f.title, f.question, f.choice_ids(&book.base.catalogue).join(" "))))
            .collect()
    };
    differing("fact", &facts(before), &facts(after), &mut out);
    for kind in EntryKind::ALL {
        let entries = |book: &RuleBook| -> Vec<(String, String)> {
            let kinds: Vec<&String> = book.base.catalogue.attributes(kind).keys().collect();
            let has = |e: &Entry| -> Vec<String> {
                kinds.iter().zip(&e.attributes).filter(|(_, v)| set(v)).map(|(k, v)| format!("{k} {v:?}")).collect()
            };
            book.base.catalogue.entries(kind).values().map(|e| (e.id.clone(), format!("{} {}", e.title, has(e).join(", ")))).collect()
        };
        differing(kind.word(), &entries(before), &entries(after), &mut out);
    }
    let limits =
        |book: &RuleBook| -> Vec<(String, String)> { book.base.limits.values().map(|l| (l.id.clone(), l.title.clone())).collect() };
    differing("limit", &limits(before), &limits(after), &mut out);
    let sources = |book: &RuleBook| -> Vec<(String, String)> {
        book.sources.iter().map(|(id, s)| (id.clone(), format!("{} {:?} {}", s.title, s.address, s.checked))).collect()
    };
    differing("source", &sources(before), &sources(after), &mut out);
    out.sort();
    out
}

/// Whether an attribute says anything: one that only the other book knows is not set in most entries.
fn set(value: &AttributeValue) -> bool {
    *value != AttributeValue::Flag(false)
}

fn differing(kind: &'static str, before: &[(String, String)], after: &[(String, String)], out: &mut Vec<NameChange>) {
    let mut tell = |what: What, id: &str| out.push(NameChange { what, kind, id: id.to_owned() });
    for (id, words) in before {
        match after.iter().find(|(other, _)| other == id) {
            None => tell(What::Gone, id),
            Some((_, now)) if now != words => tell(What::Changed, id),
            Some(_) => {}
        }
    }
    for (id, _) in after.iter().filter(|(id, _)| !before.iter().any(|(other, _)| other == id)) {
        tell(What::Added, id);
    }
}
