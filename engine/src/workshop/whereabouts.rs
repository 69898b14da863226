//! Finding things of a rule book by the names people give them.

use crate::catalogue::EntryKind;
use crate::pack::{Rule, RuleBook};
use crate::vocabulary::{About, FactId, FactKind};

/// Something of a rule book.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Thing {
    /// A rule, by its place in the book.
    Rule(usize),
    /// A presumption, likewise.
    Presumption(usize),
    /// A limit, likewise.
    Limit(usize),
    /// A fact.
    Fact(FactId),
    /// An entry of the catalogue.
    Entry(EntryKind, usize),
    /// A pack, by its place in the book.
    Pack(usize),
}

/// What is named so, exactly: an id, or the bare name of a fact. Several things can share a name.
pub fn find(book: &RuleBook, name: &str) -> Vec<Thing> {
    let base = &book.base;
    let mut found = Vec::new();
    found.extend(book.rules.iter().position(|r| r.id == name).map(Thing::Rule));
    found.extend(book.presumptions.iter().position(|p| p.id == name).map(Thing::Presumption));
    found.extend(base.limits.get_index_of(name).map(Thing::Limit));
    for kind in EntryKind::ALL {
        found.extend(base.catalogue.find(kind, name).map(|i| Thing::Entry(kind, i)));
    }
    found.extend(base.vocabulary.find(name).map(Thing::Fact));
    if found.is_empty() {
        found.extend(About::ALL.into_iter().filter_map(|a| base.vocabulary.find_about(a, name)).map(Thing::Fact));
    }
    found.extend(book.packs.iter().position(|p| p.name == name).map(Thing::Pack));
    found
}

/// Everything whose id, title or synonyms hold a word: what it is, its id, and its title.
pub fn alike(book: &RuleBook, word: &str) -> Vec<(&'static str, String, String)> {
    let word = word.trim().to_lowercase();
    let base = &book.base;
    let mut found = Vec::new();
    if word.chars().count() < 3 {
        return found;
    }
    let holds = |texts: &[&str]| texts.iter().any(|t| t.to_lowercase().contains(&word));
    let mut add = |what: &'static str, id: &str, title: &str, says: &[String]| {
        if holds(&[id, &id.replace(['-', '_'], " "), title]) || says.iter().any(|s| s.to_lowercase().contains(&word)) {
            found.push((what, id.to_owned(), title.to_owned()));
        }
    };
    for (_, f) in base.vocabulary.iter() {
        let mut says = f.says.clone();
        if let FactKind::Choice(choices) | FactKind::Several(choices) = &f.kind {
            for choice in choices {
                says.extend([choice.id.clone(), choice.title.clone()]);
                says.extend(choice.says.iter().cloned());
            }
        }
        add("fact", &f.id, &f.title, &says);
    }
    for kind in EntryKind::ALL {
        for e in base.catalogue.entries(kind).values() {
            add(kind.word(), &e.id, &e.title, &e.says);
        }
    }
    for l in base.limits.values() {
        add("limit", &l.id, &l.title, &[]);
    }
    for r in &book.rules {
        add("rule", &r.id, r.title.as_deref().unwrap_or(""), &[]);
    }
    for p in &book.presumptions {
        add("presumption", &p.id, "", &[]);
    }
    found
}

/// The rules that read the method and can apply to this one, at some place and date, whatever is found and chosen.
pub fn rules_for(book: &RuleBook, method: usize) -> Vec<&Rule> {
    let there = book.base.method_at(method).is_some();
    book.rules.iter().filter(|r| there && r.scope.method && crate::script::can_apply_to(&book.base, &r.tree, method)).collect()
}

/// The rules and presumptions, by id, that read a fact.
pub fn readers(book: &RuleBook, fact: FactId) -> Vec<&str> {
    let reads = |tree: &crate::tree::Tree| tree.reads().contains(&crate::tree::Who::Fact(fact));
    let rules = book.rules.iter().filter(|r| reads(&r.tree) || r.released_by == Some(fact)).map(|r| r.id.as_str());
    rules.chain(book.presumptions.iter().filter(|p| reads(&p.tree)).map(|p| p.id.as_str())).collect()
}
