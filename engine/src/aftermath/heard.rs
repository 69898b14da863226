//! What people say when something has happened: words of the packs, looked for in a line.
//!
//! The phrases are those that mean facts of an incident or a trouble. Between their words `…` stands for whatever is said between,
//! and `a|b` for either word. They are looked for by themselves, before a line is taken as an answer.

use crate::pack::{Meant, Phrase, RuleBook};
use crate::vocabulary::{About, FactId};
use std::ops::Range;

/// One thing that was said to have happened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Heard {
    /// An incident or a trouble.
    pub about: About,
    /// What was said of it: facts with their values as a survey writes them.
    pub facts: Vec<(FactId, String)>,
}

/// The most words between two parts of a phrase.
const MOST_BETWEEN: usize = 9;

/// Words before or within what was said that take it out of what has happened: a plan, a wish, a fear, a denial.
const FRAMES: &[&str] = &[
    "if", "unless", "never", "might", "would", "could", "should", "will", "wont", "ll", "dont", "doesnt", "cant", "cannot", "want",
    "wants", "avoid", "prevent", "case", "risk", "havent", "hasnt", "didnt", "wasnt", "werent", "isnt", "arent", "not", "no", "nobody",
    "without", "worried", "afraid", "before", "whether", "how", "tomorrow", "planning", "plan", "going", "nearly", "almost", "anyone",
    "anybody", "any", "couldve", "kidding", "joking",
];

/// Beginnings of a line that say nothing of whether it has happened.
const LEADS: &[&str] = &["what now", "no idea what", "i dont know what to do", "dont panic"];

/// The words of a text, small, without apostrophes and hyphens.
fn words(text: &str) -> Vec<String> {
    let plain = text.to_lowercase().replace(['\'', '’', '-'], "");
    plain.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).map(str::to_owned).collect()
}

/// A phrase as parts of words, each word with those that do as well.
fn parts(says: &str) -> Vec<Vec<Vec<String>>> {
    let word = |w: &str| -> Vec<String> { w.split('|').flat_map(words).collect() };
    says.split('…').map(|part| part.split_whitespace().map(word).filter(|w| !w.is_empty()).collect()).collect()
}

/// Where a phrase stands in the words of a line: its first and last word, and how many of its own it has.
fn found(said: &[String], says: &str) -> Option<(Range<usize>, usize)> {
    let parts = parts(says);
    let many = parts.iter().map(Vec::len).sum();
    (0..said.len()).find_map(|from| Some((from..stands(said, &parts, from, 0)?, many)))
}

/// The end of the parts where the first of them begins at a place, or up to so many words behind it.
fn stands(said: &[String], parts: &[Vec<Vec<String>>], from: usize, between: usize) -> Option<usize> {
    let Some((part, rest)) = parts.split_first() else { return Some(from) };
    (from..=from + between).find_map(|at| {
        let here = said.get(at..at + part.len())?;
        let fits = here.iter().zip(part).all(|(word, wanted)| wanted.contains(word));
        if fits { stands(said, rest, at + part.len(), MOST_BETWEEN) } else { None }
    })
}

/// Whether something before or between the words of a phrase takes it out of what has happened.
fn framed(said: &[String], at: &Range<usize>, says: &str) -> bool {
    let own: Vec<String> = says.split(['…', '|', ' ']).flat_map(words).collect();
    said[..at.end].iter().any(|w| FRAMES.contains(&w.as_str()) && !own.contains(w))
}

/// What a line says has happened; nothing where it may be a plan, a fear or a denial.
pub fn heard(line: &str, book: &RuleBook) -> Vec<Heard> {
    let mut found_all: Vec<(Range<usize>, usize, &Phrase, usize)> = Vec::new();
    // Sentences are taken one by one: what frames one leaves the next alone.
    let sentences: Vec<&str> = line.split(['.', '!', '?', ';']).collect();
    for (sentence, text) in sentences.iter().enumerate() {
        let mut said = words(text);
        // A question that is answered with no.
        if sentences.get(sentence + 1).is_some_and(|next| words(next).first().is_some_and(|w| matches!(w.as_str(), "no" | "nope"))) {
            continue;
        }
        for lead in LEADS {
            let lead = words(lead);
            if said.starts_with(&lead) {
                said.drain(..lead.len());
            }
        }
        // A firm's pack says nothing of what has happened to others.
        for phrase in book.phrases.iter().filter(|p| !p.house && says_what_happened(p, book)) {
            let best = phrase.says.iter().filter_map(|says| found(&said, says).map(|(at, n)| (at, n, says))).max_by_key(|(_, n, _)| *n);
            if let Some((at, many, says)) = best
                && !framed(&said, &at, says)
            {
                found_all.push((at, many, phrase, sentence));
            }
        }
    }
    // The phrase with the most words first; what lies within another is part of that.
    found_all.sort_by_key(|(_, many, ..)| std::cmp::Reverse(*many));
    let mut taken: Vec<(Range<usize>, usize)> = Vec::new();
    let mut out: Vec<Heard> = Vec::new();
    for (at, _, phrase, sentence) in found_all {
        if taken.iter().any(|(other, s)| *s == sentence && other.start < at.end && at.start < other.end) {
            continue;
        }
        taken.push((at, sentence));
        let facts: Vec<(FactId, String)> = phrase
            .means
            .iter()
            .filter_map(|(fact, meant)| if let Meant::Value { toml, .. } = meant { Some((*fact, toml.clone())) } else { None })
            .collect();
        let Some((first, _)) = facts.first() else { continue };
        let heard = Heard { about: book.base.vocabulary.get(*first).about, facts };
        if !out.iter().any(|o| o.facts.first() == heard.facts.first()) {
            out.push(heard);
        }
    }
    out
}

/// Whether a phrase means something that has happened.
pub(crate) fn says_what_happened(phrase: &Phrase, book: &RuleBook) -> bool {
    phrase.means.iter().any(|(f, _)| book.base.vocabulary.get(*f).about.has_happened())
}
