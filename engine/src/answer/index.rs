//! The words of a rule book, ready to be looked up: what facts, choices, entries and phrases are called.

use super::readings::Maker;
use super::sizes::{self, Measure};
use super::tables;
use super::token::{self, Token};
use super::years::{self, Years};
use crate::catalogue::EntryKind;
use crate::pack::{RuleBook, Slot};
use crate::vocabulary::{FactId, FactKind};
use std::collections::{BTreeMap, BTreeSet};

/// One word of a term.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Part {
    /// As written, and as compared.
    Word(String, String),
    /// Figures.
    Slot(Slot),
}

/// What a term stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Meaning {
    /// A choice or entry of a fact.
    Value(FactId, usize),
    /// The fact itself.
    Name(FactId),
    /// A phrase of the rule book.
    Phrase(usize),
    /// A method.
    Method(usize),
}

/// Words and all they stand for.
#[derive(Debug, Clone)]
pub(super) struct Term {
    parts: Vec<Part>,
    /// What they stand for.
    pub(super) meanings: Vec<Meaning>,
    /// Whether they say nothing unless the fact was asked for or named.
    pub(super) plain: bool,
}

/// What filled the slot of a phrase.
#[derive(Debug, Clone)]
pub(super) enum Filled {
    /// Years.
    Years(Years),
    /// Figures.
    Measure(Measure),
}

/// A term found in a line.
#[derive(Debug, Clone)]
pub(super) struct Found {
    /// Which.
    pub(super) term: usize,
    /// The piece behind it.
    pub(super) next: usize,
    /// What filled its slot.
    pub(super) filled: Option<Filled>,
    /// Whether every word stands as the rule book has it.
    exact: bool,
}

/// All terms.
#[derive(Debug, Default)]
pub(super) struct Index {
    /// The terms.
    pub(super) terms: Vec<Term>,
    /// By the stem of the first word, longest first.
    by_word: BTreeMap<String, Vec<usize>>,
    /// Those that begin with figures, longest first.
    by_slot: Vec<usize>,
    /// Phrases that are figures alone: what figures say where nothing else tells.
    pub(super) defaults: Vec<(Slot, usize)>,
    /// Every stem of every term, for slips: by first letter.
    stems: BTreeMap<char, BTreeSet<String>>,
    /// Choices of a fact that answer to a plain yes and no.
    yes_no: BTreeMap<FactId, (Option<usize>, Option<usize>)>,
}

fn parts(text: &str) -> Vec<Part> {
    let mut out = Vec::new();
    for (i, piece) in text.split(['{', '}']).enumerate() {
        if i % 2 == 1 {
            out.extend(Slot::find(piece).map(Part::Slot));
        } else {
            out.extend(token::tokens(piece).into_iter().map(|t| Part::Word(t.text, t.stem)));
        }
    }
    out
}

impl Index {
    pub(super) fn new(book: &RuleBook) -> Self {
        let (vocabulary, catalogue) = (&book.base.vocabulary, &book.base.catalogue);
        let mut terms: BTreeMap<Vec<String>, Term> = BTreeMap::new();
        let mut yes_no = BTreeMap::new();
        let mut add = |text: &str, meaning: Option<Meaning>| {
            let parts = parts(text);
            if parts.is_empty() {
                return;
            }
            let key: Vec<String> = parts
                .iter()
                .map(|p| match p {
                    Part::Word(text, _) => text.clone(),
                    Part::Slot(slot) => format!("{{{slot:?}}}"),
                })
                .collect();
            let term = terms.entry(key).or_insert_with(|| Term { parts, meanings: Vec::new(), plain: false });
            match meaning {
                Some(meaning) if !term.meanings.contains(&meaning) => term.meanings.push(meaning),
                Some(_) => {}
                None => term.plain = true,
            }
        };
        // What has happened is heard by itself: see `aftermath::heard`.
        for (id, fact) in vocabulary.iter().filter(|(_, f)| !f.about.has_happened()) {
            let said: Vec<(usize, Vec<&str>)> = match &fact.kind {
                FactKind::Choice(choices) | FactKind::Several(choices) => choices
                    .iter()
                    .enumerate()
                    .map(|(i, c)| (i, [c.id.as_str(), c.title.as_str()].into_iter().chain(c.says.iter().map(String::as_str)).collect()))
                    .collect(),
                FactKind::Entry(kind) => catalogue
                    .entries(*kind)
                    .values()
                    .enumerate()
                    .map(|(i, e)| (i, [e.id.as_str(), e.title.as_str()].into_iter().chain(e.says.iter().map(String::as_str)).collect()))
                    .collect(),
                _ => Vec::new(),
            };
            for (i, texts) in said {
                for text in texts {
                    match text {
                        "yes" => yes_no.entry(id).or_insert((None, None)).0 = Some(i),
                        "no" | "none" => {
                            let found: &mut (Option<usize>, Option<usize>) = yes_no.entry(id).or_insert((None, None));
                            found.1 = found.1.or(Some(i));
                        }
                        _ => add(text, Some(Meaning::Value(id, i))),
                    }
                }
            }
            for text in [fact.title.as_str(), &fact.name.replace('_', " ")].into_iter().chain(fact.says.iter().map(String::as_str)) {
                add(text, Some(Meaning::Name(id)));
            }
        }
        for (i, entry) in catalogue.entries(EntryKind::Method).values().enumerate() {
            for text in [&entry.id, &entry.title].into_iter().chain(&entry.says) {
                add(text, Some(Meaning::Method(i)));
            }
        }
        // What questions are about is looked for in questions alone.
        for (i, phrase) in book.phrases.iter().enumerate().filter(|(_, p)| !p.question && !crate::aftermath::says_what_happened(p, book)) {
            for text in &phrase.says {
                if phrase.plain {
                    add(text, None);
                }
                if phrase.says_something() || phrase.narrow {
                    add(text, Some(Meaning::Phrase(i)));
                }
            }
        }
        let mut index = Self { terms: terms.into_values().collect(), yes_no, ..Self::default() };
        for (i, term) in index.terms.iter().enumerate() {
            match &term.parts[0] {
                Part::Word(_, stem) => index.by_word.entry(stem.clone()).or_default().push(i),
                Part::Slot(slot) if term.parts.len() == 1 => index.defaults.extend(term.meanings.iter().filter_map(|m| match m {
                    Meaning::Phrase(p) => Some((*slot, *p)),
                    _ => None,
                })),
                Part::Slot(_) => index.by_slot.push(i),
            }
            for part in &term.parts {
                if let Part::Word(_, stem) = part
                    && let Some(first) = stem.chars().next()
                {
                    index.stems.entry(first).or_default().insert(stem.clone());
                }
            }
        }
        let length = |i: &usize| std::cmp::Reverse(index.terms[*i].parts.len());
        for list in index.by_word.values_mut() {
            list.sort_by_key(length);
        }
        index.by_slot.sort_by_key(length);
        index
    }

    /// The choice of a fact that a plain yes, or a plain no, stands for.
    pub(super) fn answer(&self, fact: FactId, yes: bool) -> Option<usize> {
        let (on_yes, on_no) = self.yes_no.get(&fact)?;
        if yes { *on_yes } else { *on_no }
    }

    /// Whether a term holds a word of this stem.
    pub(super) fn knows(&self, stem: &str) -> bool {
        stem.chars().next().and_then(|c| self.stems.get(&c)).is_some_and(|s| s.contains(stem))
    }

    /// Every term that stands at a place, longest first; among those as long, the ones whose every word is as written.
    pub(super) fn at(&self, tokens: &[Token], i: usize, now: Option<i32>) -> Vec<Found> {
        let mut out: Vec<Found> = Vec::new();
        if let Some(list) = tokens.get(i).and_then(|t| self.by_word.get(&t.stem)) {
            out.extend(list.iter().filter_map(|term| self.fits(*term, tokens, i, now)));
        }
        // Figures are read once for all the phrases that begin with them.
        if tokens.get(i).is_some_and(tables::may_begin_figures) {
            let years = fill(Slot::Year, tokens, i, now);
            let measure = sizes::measure(tokens, i);
            for term in &self.by_slot {
                let Part::Slot(slot) = self.terms[*term].parts[0] else { continue };
                let filled = match slot {
                    Slot::Year => years.clone(),
                    _ => measure.as_ref().filter(|m| suits(slot, m)).map(|m| (Filled::Measure(m.clone()), m.next)),
                };
                out.extend(filled.and_then(|(what, next)| self.rest_fits(*term, 1, tokens, next, now, Some(what))));
            }
        }
        // A verb is not the other number of a noun: "consent came" names no cames.
        if tokens.get(i).is_some_and(|t| tables::VERB_FORMS.contains(&t.text.as_str())) {
            out.retain(|f| f.exact || f.next > i + 1);
        }
        out.sort_by_key(|f| (std::cmp::Reverse(f.next), !f.exact));
        let exact: Vec<usize> = out.iter().filter(|f| f.exact).map(|f| f.next).collect();
        out.retain(|f| f.exact || !exact.contains(&f.next));
        out
    }

    fn fits(&self, term: usize, tokens: &[Token], i: usize, now: Option<i32>) -> Option<Found> {
        self.rest_fits(term, 0, tokens, i, now, None)
    }

    /// Whether the words of a term from the `from`th on stand at a place; `filled` is what stood for a slot before them.
    fn rest_fits(
        &self,
        term: usize,
        from: usize,
        tokens: &[Token],
        mut next: usize,
        now: Option<i32>,
        mut filled: Option<Filled>,
    ) -> Option<Found> {
        let mut exact = true;
        for part in &self.terms[term].parts[from..] {
            match part {
                Part::Word(text, stem) => {
                    let token = tokens.get(next)?;
                    if token.stem != *stem {
                        return None;
                    }
                    exact &= token.text == *text;
                    next += 1;
                }
                Part::Slot(slot) => {
                    let (what, after) = fill(*slot, tokens, next, now)?;
                    filled = Some(what);
                    next = after;
                }
            }
        }
        Some(Found { term, next, filled, exact })
    }

    /// The word of the rule book that a mistyped word is taken for, if there is exactly one near enough.
    ///
    /// Short words are never changed. In words of five and six letters one letter may be missing, doubled or swapped with
    /// its neighbour; in longer ones one may also be wrong, and two in words of nine and more.
    pub(super) fn slip(&self, word: &str) -> Option<&str> {
        let length = word.chars().count();
        if !(5..=24).contains(&length) || tables::GOOD_WORDS.contains(&word) {
            return None;
        }
        let first = word.chars().next()?;
        let second = word.chars().nth(1)?;
        let mut best: Option<(usize, &str)> = None;
        let mut tied = false;
        for letter in [first, second] {
            for stem in self.stems.get(&letter).into_iter().flatten() {
                let other = stem.chars().count();
                // A longer word that begins like it is another word: "officer" is no office.
                if other < 5 || other.abs_diff(length) > 2 || unlike(word, stem) || (length > other && word.starts_with(stem.as_str())) {
                    continue;
                }
                let distance = strsim::osa_distance(word, stem);
                let most = if length >= 9 { 2 } else { 1 };
                let swapped = other == length && sorted(word) == sorted(stem);
                let right = distance <= most && distance > 0 && (length >= 7 || other != length || swapped);
                if right && best.is_none_or(|(d, b)| distance < d || b == stem) {
                    tied = false;
                    best = Some((distance, stem));
                } else if right && best.is_some_and(|(d, b)| distance == d && b != stem) {
                    tied = true;
                }
            }
        }
        best.filter(|_| !tied).map(|(_, stem)| stem)
    }

    /// The choices of a fact that one of their names begins with these words.
    pub(super) fn beginning(&self, fact: FactId, words: &str) -> Vec<usize> {
        let mut found: Vec<usize> = Vec::new();
        for term in &self.terms {
            let begins = || {
                let text: Vec<&str> = term.parts.iter().map(|p| if let Part::Word(t, _) = p { t.as_str() } else { "" }).collect();
                text.join(" ").starts_with(words)
            };
            for meaning in &term.meanings {
                if let Meaning::Value(f, i) = meaning
                    && *f == fact
                    && !found.contains(i)
                    && begins()
                {
                    found.push(*i);
                }
            }
        }
        found.sort_unstable();
        found
    }
}

/// Whether the letters of two words differ too much for one to be a slip for the other; much quicker than to compare them.
fn unlike(a: &str, b: &str) -> bool {
    let mut counts = [0_i8; 32];
    for byte in a.bytes() {
        counts[usize::from(byte & 31)] = counts[usize::from(byte & 31)].saturating_add(1);
    }
    for byte in b.bytes() {
        counts[usize::from(byte & 31)] = counts[usize::from(byte & 31)].saturating_sub(1);
    }
    counts.iter().map(|c| u32::from(c.unsigned_abs())).sum::<u32>() > 4
}

fn sorted(word: &str) -> Vec<char> {
    let mut letters: Vec<char> = word.chars().collect();
    letters.sort_unstable();
    letters
}

/// Figures of a kind at a place.
fn fill(slot: Slot, tokens: &[Token], i: usize, now: Option<i32>) -> Option<(Filled, usize)> {
    match slot {
        Slot::Year => {
            let years = years::years(tokens, i, now, false, &|_| None)?;
            let next = years.next;
            Some((Filled::Years(years), next))
        }
        Slot::Number | Slot::Measure(_) => {
            let measure = sizes::measure(tokens, i).filter(|m| suits(slot, m))?;
            let next = measure.next;
            Some((Filled::Measure(measure), next))
        }
    }
}

/// Whether figures are of the kind a slot takes.
fn suits(slot: Slot, measure: &Measure) -> bool {
    match slot {
        Slot::Number => measure.is_plain(),
        _ => measure.dimension().is_some_and(|d| Maker::slot_of(d) == Some(slot)),
    }
}

impl Maker<'_> {
    /// The slot that figures of a dimension fill.
    pub(super) fn slot_of(dimension: crate::quantity::Dimension) -> Option<Slot> {
        crate::quantity::UNITS.iter().find(|u| u.dimension == dimension).and_then(Slot::of)
    }
}
