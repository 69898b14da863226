//! What limits a statement though it was understood: "yes for the railings", "no lead on the roof", "no kids inside", "yes, listed".
//!
//! Words that nothing was made of take the certainty from a statement that would ask for less care. A word that says something else
//! is no better: behind "for" or "on" it says of what the statement is true, and behind a bare yes it may be what was answered.

use super::lex::Piece;
use super::sense::Sense;
use super::tables::Role;
use super::{Said, Statement};
use crate::pack::Meant;
use crate::vocabulary::{About, FactId, FactKind, Known};
use std::ops::Range;

/// Words before what a statement is about.
const OF_WHAT: &[&str] = &["for", "on", "in", "at", "to", "of", "above", "below", "behind", "under", "over", "inside", "outside", "by"];

/// Words of place that stand alone.
const WHERE: &[&str] =
    &["inside", "outside", "indoors", "outdoors", "upstairs", "downstairs", "internally", "externally", "within", "up", "down"];

/// Words between such a word and the thing.
const ARTICLES: &[&str] = &["the", "a", "an", "our", "my", "his", "her", "their", "its", "this", "that", "these", "those", "all"];

/// A verb that ends "but the railings are".
const ENDS: &[&str] = &["is", "are", "isn't", "aren't", "was", "were", "does", "do", "did", "has", "have"];

/// A denial that stands for a whole sentence.
const PLAIN_NO: &[&str] = &["no", "nope", "nah", "naw"];

impl Sense<'_, '_> {
    /// The stretches of its clause that say something else and so limit a statement at `own`.
    pub(super) fn limits(
        &self,
        own: (usize, usize),
        home: Range<usize>,
        stated: &[Range<usize>],
        fact: Option<FactId>,
    ) -> Vec<Range<usize>> {
        let vocabulary = &self.listener.book.base.vocabulary;
        let bare = (own.0..=own.1).all(|k| matches!(self.lexemes[k].piece, Piece::Role(_)));
        let of_site_year =
            fact.map(|f| vocabulary.get(f)).is_some_and(|f| f.about == About::Site && matches!(f.kind, FactKind::Year { .. }));
        let says = |k: usize| stated.iter().any(|s| s.start < self.lexemes[k].at.end && self.lexemes[k].at.start < s.end);
        let denies = ["no", "not", "without", "free"].contains(&self.low(own.0).split_whitespace().next().unwrap_or_default());
        let mut out = Vec::new();
        // "Yes, 2019" where something else was asked: the year may be that of what was answered.
        let asked = self.context.asked == fact;
        let answers = |k: &usize| matches!(self.role(*k), Some(Role::Yes(_) | Role::No(_)));
        if of_site_year && !asked {
            out.extend((0..home.start).filter(answers).map(|k| self.lexemes[k].at.clone()));
        }
        // "Not pregnant but nursing": the same thing called by another of its names, of which nothing was made.
        let called = |k: &usize| matches!(&self.lexemes[*k].piece, Piece::Hit(h) if h.names.iter().any(|f| Some(*f) == fact));
        let elsewhere = (0..self.lexemes.len()).filter(|k| !home.contains(k) && !self.used[*k] && !says(*k));
        out.extend(elsewhere.filter(called).map(|k| self.lexemes[k].at.clone()));
        // "Unoccupied, the flat above".
        let apposed = (home.end..self.next_clause(home.end)).filter(|k| says(*k) && is_elsewhere(&self.low(*k)));
        out.extend(apposed.map(|k| self.lexemes[k].at.clone()));
        // Behind a bare yes or no the next clause may be what was answered: "yes, listed".
        let end = if bare { self.next_clause(home.end) } else { home.end };
        for k in (home.start..end).filter(|k| !(own.0 <= *k && *k <= own.1)) {
            let facts = self.facts_of(k);
            let another = !facts.is_empty() && !facts.iter().any(|f| Some(*f) == fact);
            let last_of_place =
                k + 1 == home.end && own.1 < k && ["above", "below", "upstairs", "downstairs"].contains(&self.low(k).as_str());
            let limits = last_of_place
                || match &self.lexemes[k].piece {
                    Piece::Hit(h) if says(k) && another => {
                        // The age of a part is not that of the building.
                        let of_a_part =
                            of_site_year && facts.iter().all(|f| vocabulary.get(*f).about != About::Site) && h.phrases.is_empty();
                        // "No lead flashing" denies a thing made of it.
                        let made_of = denies && k == own.1 + 1 && facts.iter().all(|f| vocabulary.get(*f).about == About::Surface);
                        bare || of_a_part || made_of || self.of_what(k, home.start) || self.is_subject(k, own.0)
                    }
                    Piece::Coat(_) => bare || of_site_year,
                    Piece::Years(_) | Piece::Measure(_) => bare && says(k),
                    // "Yes 2019": the year may be that of what was answered.
                    Piece::Role(Role::Yes(_) | Role::No(_)) => of_site_year,
                    _ => false,
                };
            if limits {
                out.push(self.lexemes[k].at.clone());
            }
        }
        // "No peeling in places" may mean that there is some elsewhere, or that there is no more than some.
        let text = format!(" {} ", self.line.get(self.at(home.start, home.end - 1)).unwrap_or("").to_lowercase());
        if [" in places ", " in parts ", " in spots ", " here and there "].iter().any(|w| text.contains(w)) {
            out.push(self.lexemes[own.0].at.clone());
        }
        // "Not listed, but the railings are".
        if home.end < self.lexemes.len() && self.role(home.end) == Some(Role::But) {
            let end = self.next_clause(home.end);
            if end > home.end + 1 && self.low(end - 1).split_whitespace().last().is_some_and(|w| ENDS.contains(&w)) {
                out.push(self.lexemes[end - 1].at.clone());
            }
        }
        out
    }

    /// Whether a stretch is what is spoken of, and not the building as a whole: "the church isn't listed".
    fn is_subject(&self, k: usize, own: usize) -> bool {
        const WHOLE: &[&str] = &["house", "building", "place", "property", "home", "job", "cottage", "flat", "premises"];
        let article = k > 0 && self.low(k - 1).split_whitespace().last().is_some_and(|w| ARTICLES.contains(&w));
        let verb = (k + 1..=own).all(|j| {
            j == own || matches!(self.lexemes[j].piece, Piece::Role(Role::Is | Role::Not | Role::Have | Role::No(_) | Role::Filler))
        });
        article && k < own && verb && !self.low(k).split_whitespace().any(|w| WHOLE.contains(&w))
    }

    /// Words anywhere in the line that say something else of the same thing: "sound at the top, peeling below".
    pub(super) fn said_otherwise(&self, statement: &Statement) -> Option<Range<usize>> {
        let known: Vec<u128> =
            statement.readings.iter().filter_map(|r| if let Known::Bits(b) = r.known { Some(b) } else { None }).collect();
        if known.is_empty() {
            return None;
        }
        let book = self.listener.book;
        let otherwise = |k: &usize| {
            let Piece::Hit(hit) = &self.lexemes[*k].piece else { return false };
            let apart = |bits: u128| known.iter().all(|b| b & bits == 0);
            let denied = *k > 0 && matches!(self.role(*k - 1), Some(Role::Not | Role::No(_)));
            let at = &self.lexemes[*k].at;
            let within = at.start < statement.at.end && statement.at.start < at.end;
            let says = hit.values.iter().any(|(f, option)| *f == statement.fact && apart(1 << option));
            let means = hit.phrases.iter().flat_map(|p| &book.phrases[*p].means);
            let means = means
                .into_iter()
                .any(|(f, m)| matches!(m, Meant::Value { known: Known::Bits(b), .. } if *f == statement.fact && apart(*b)));
            !within && !denied && (says || means)
        };
        (0..self.lexemes.len()).find(otherwise).map(|k| self.lexemes[k].at.clone())
    }

    /// Whether a stretch stands behind a word that tells of what something is true, or is a word of place itself.
    pub(super) fn of_what(&self, k: usize, from: usize) -> bool {
        let words = self.low(k);
        let first = words.split_whitespace().next().unwrap_or_default().to_owned();
        if WHERE.contains(&words.as_str()) || words.contains(' ') && OF_WHAT.contains(&first.as_str()) {
            return true;
        }
        if is_elsewhere(&words) {
            return true;
        }
        let article = |j: usize| self.low(j).split_whitespace().all(|w| ARTICLES.contains(&w));
        let before = (from..k).rev().find(|j| !article(*j));
        before.is_some_and(|j| self.low(j).split_whitespace().any(|w| OF_WHAT.contains(&w)))
    }

    /// Where the clause behind a break ends.
    fn next_clause(&self, end: usize) -> usize {
        let begin = (end..self.lexemes.len()).find(|k| !self.is_break(*k)).unwrap_or(self.lexemes.len());
        (begin..self.lexemes.len()).find(|k| self.is_break(*k)).unwrap_or(self.lexemes.len())
    }

    /// "No it's listed", "no no there's a drain": what comes after says how it is, and is not denied.
    pub(super) fn corrects(&self, k: usize, end: usize) -> bool {
        if !PLAIN_NO.contains(&self.low(k).as_str()) {
            return false;
        }
        let small = |j: &usize| {
            PLAIN_NO.contains(&self.low(*j).as_str()) || ["sorry", "actually", "well", "wait", "hang on"].contains(&self.low(*j).as_str())
        };
        let Some(next) = (k + 1..end).find(|j| !small(j)) else { return false };
        let words = self.low(next);
        let begins = ["it's", "its", "it is", "they're", "they are", "there's", "there is", "there are", "that's", "it"];
        let says = begins.iter().any(|b| words == *b || words.starts_with(&format!("{b} ")));
        let denied = (next..end).any(|j| matches!(self.role(j), Some(Role::Not | Role::No(_) | Role::Nothing | Role::NotYet)));
        says && !denied
    }

    /// Facts of which a line says different things, none of them a correction of the other: "sound at the top, peeling below".
    pub(super) fn said_twice(&self, said: &[Said]) -> Vec<FactId> {
        let facts = said.iter().filter_map(|s| if let Said::Fact(f) = s { Some(f) } else { None });
        let differ =
            |a: &Statement, b: &Statement| a.at != b.at && !a.readings.iter().any(|x| b.readings.iter().any(|y| x.known == y.known));
        let all: Vec<&Statement> = facts.collect();
        let several = |f: FactId| matches!(self.listener.book.base.vocabulary.get(f).kind, FactKind::Several(_));
        let twice = all.iter().filter(|a| !several(a.fact) && all.iter().any(|b| b.fact == a.fact && differ(a, b)));
        twice.map(|a| a.fact).collect()
    }
}

/// Whether words name a thing by where it is: "the flat above".
fn is_elsewhere(words: &str) -> bool {
    let last = words.split_whitespace().last().unwrap_or_default();
    words.contains(' ') && ["above", "below", "upstairs", "downstairs", "behind", "opposite"].contains(&last)
}
