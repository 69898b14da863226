//! What stands around a statement and takes it out of the here and now: a question, a wish, what was or will be, the other one,
//! some of them, a denial of a denial, an exception behind it.
//!
//! Each of these is a shape of English, told by the small words in it whatever the matter is. A statement that would ask for less
//! care is not taken for certain inside one.

use super::lex::Piece;
use super::sense::Sense;
use super::tables::Role;
use crate::vocabulary::{About, FactId, FactKind};
use std::ops::Range;

/// Verbs that ask where they stand before their subject.
const ASKING: &[&str] = &[
    "is", "are", "isn't", "isnt", "aren't", "arent", "was", "were", "do", "does", "did", "don't", "doesn't", "has", "have", "hasn't",
    "can", "could", "should", "would", "will", "won't", "am",
];

/// Subjects that may stand behind such a verb.
const SUBJECTS: &[&str] = &[
    "it", "they", "there", "that", "this", "the", "these", "those", "we", "you", "he", "she", "i", "my", "our", "any", "anybody", "anyone",
];

const WAS: &[&str] = &["was", "were", "wasn't", "wasnt", "weren't", "werent", "had", "hadn't", "used", "formerly", "previously"];

const WILL_BE: &[&str] = &[
    "will", "going", "gonna", "gunna", "i'll", "we'll", "they'll", "it'll", "he'll", "she'll", "won't", "i'd", "we'd", "they'd", "he'd",
    "she'd", "it'd", "must", "ought", "needs",
];

/// Words that single out some part behind a denial: "not the windows", "not on the back".
const SINGLED_OUT: &[&str] = &[
    "the",
    "on",
    "in",
    "at",
    "for",
    "where",
    "when",
    "all",
    "every",
    "this",
    "that",
    "these",
    "those",
    "always",
    "everywhere",
    "my",
    "our",
    "his",
    "her",
    "their",
];

/// Words before a time that tell when something holds.
const WHEN: &[&str] = &["before", "after", "since", "till", "until", "in", "by", "during", "from", "up", "back"];

impl Sense<'_, '_> {
    /// The words of a stretch in small letters.
    pub(super) fn low(&self, k: usize) -> String {
        self.words_at(k).to_lowercase().replace('’', "'")
    }

    fn has_word(&self, k: usize, words: &[&str]) -> bool {
        self.low(k).split_whitespace().any(|w| words.contains(&w))
    }

    /// The first word of a stretch.
    fn first_word(&self, k: usize) -> String {
        self.low(k).split_whitespace().next().unwrap_or_default().to_owned()
    }

    /// The stretches that take a statement at `own`, in the clauses from `home`, out of the here and now.
    pub(super) fn framed(&self, own: (usize, usize), home: Range<usize>, fact: Option<FactId>) -> Vec<Range<usize>> {
        let declared = fact.map(|f| self.listener.book.base.vocabulary.get(f));
        let chosen = declared.is_some_and(|f| f.chosen);
        let of_years = declared.is_some_and(|f| matches!(f.kind, FactKind::Year { .. }));
        let witness = home.clone().any(|k| self.is_witness(k));
        let mut out: Vec<usize> = Vec::new();
        if !self.is_own_answer(own.0) {
            out.extend(self.asks(home.clone()));
        }
        for k in home.clone() {
            let last = k + 1 == home.end;
            let within = own.0 <= k && k <= own.1;
            let small = matches!(self.lexemes[k].piece, Piece::Role(_) | Piece::Unknown);
            // What was is no proof of what is; an instrument's finding, a year and a habit of the work are told so.
            if small && ((!witness && !of_years && self.has_word(k, WAS)) || (!chosen && self.has_word(k, WILL_BE))) {
                out.push(k);
            }
            // "I'd like it sound", "like next door": a wish or a likeness, but for "like I say".
            if small
                && self.low(k) == "like"
                && !(chosen && k > home.start && ["i'd", "we'd", "i", "we", "would"].contains(&self.low(k - 1).as_str()))
                && k + 1 < home.end
                && !["i", "that", "this"].contains(&self.first_word(k + 1).as_str())
            {
                out.push(k);
            }
            // "It has to be sound": what ought to be.
            if k + 1 < home.end && ["has", "have", "got"].contains(&self.low(k).as_str()) && self.first_word(k + 1) == "to" {
                out.push(k);
            }
            // "As long as nobody is there".
            if self.low(k) == "long" && k + 1 < home.end && self.first_word(k + 1) == "as" {
                out.push(k);
            }
            // "No kids, and …": something was to follow.
            if last && matches!(self.role(k), Some(Role::And | Role::Or)) {
                out.push(k);
            }
            // "Two of them no kids".
            if matches!(self.lexemes[k].piece, Piece::Measure(_) | Piece::Hit(_)) && self.of_them(k) {
                out.push(k);
            }
            if self.has_word(k, &["other", "others", "another"]) && !within {
                out.push(k);
            }
            // "No bats before the war": a time tells when it holds, except of a building.
            if self.is_of_years(k) && !of_years {
                let before = k > home.start && WHEN.contains(&self.low(k - 1).as_str());
                let built = home.clone().any(|j| self.has_word(j, &["built", "build", "dates"]));
                if !built && (before || WHEN.contains(&self.first_word(k).as_str())) {
                    out.push(k);
                }
            }
            // "The windows were open last year".
            if self.is_of_years(k) && !of_years && !witness && self.has_word(k, &["last", "ago"]) {
                out.push(k);
            }
            // "It's not true that …".
            if matches!(self.role(k), Some(Role::Not | Role::No(_))) && k + 1 < home.end && matches!(self.role(k + 1), Some(Role::Yes(_))) {
                out.push(k);
            }
            // "No kids in the evenings".
            if !within && self.tells_when(k, fact) {
                out.push(k);
            }
        }
        out.extend(self.denied_twice(home.clone()));
        out.extend(self.taken_back(home.end));
        out.extend((own.0 + 1..self.lexemes.len()).filter(|k| self.is_break(k - 1) && self.is_second_thought(*k)));
        if self.is_narrower_denial(own, fact) {
            out.push(own.0);
        }
        out.into_iter().map(|k| self.lexemes[k].at.clone()).collect()
    }

    fn is_own_answer(&self, k: usize) -> bool {
        matches!(self.role(k), Some(Role::Yes(_) | Role::No(_)))
    }

    pub(super) fn is_witness(&self, k: usize) -> bool {
        let book = self.listener.book;
        matches!(&self.lexemes[k].piece, Piece::Hit(h) if h.phrases.iter().any(|p| book.phrases[*p].witness))
    }

    /// "Is it listed": a verb before its subject, at the beginning of a clause.
    fn asks(&self, home: Range<usize>) -> Option<usize> {
        let text: Vec<String> =
            home.clone().take(3).flat_map(|k| self.low(k).split_whitespace().map(str::to_owned).collect::<Vec<_>>()).collect();
        let asks = text.len() > 2 && ASKING.contains(&text[0].as_str()) && SUBJECTS.contains(&text[1].as_str());
        asks.then_some(home.start)
    }

    /// Whether a count is one out of more: "two of them".
    fn of_them(&self, k: usize) -> bool {
        const REST: &[&str] = &["of them", "of those", "of these", "of the", "of it"];
        let text = self.low(k);
        let behind: Vec<String> = (k + 1..self.lexemes.len()).take(2).map(|j| self.low(j)).collect();
        REST.iter().any(|r| text.ends_with(r) || behind.join(" ").starts_with(r))
    }

    /// Whether words of the rule book begin as a time or a place does and say something else.
    fn tells_when(&self, k: usize, fact: Option<FactId>) -> bool {
        let Piece::Hit(hit) = &self.lexemes[k].piece else { return false };
        let vocabulary = &self.listener.book.base.vocabulary;
        let facts = self.facts_of(k);
        let more = self.low(k).contains(' ');
        let other = !hit.phrases.is_empty()
            && !facts.is_empty()
            && facts.iter().all(|f| Some(*f) != fact && vocabulary.get(*f).about == About::Site);
        more && other && ["in", "at", "during", "on", "until", "by"].contains(&self.first_word(k).as_str())
    }

    /// "It's never not listed": two denials with nothing between that they could each deny. "No, there isn't" is one said twice.
    fn denied_twice(&self, home: Range<usize>) -> Option<usize> {
        let mut before: Option<usize> = None;
        for k in home {
            match self.role(k) {
                Some(Role::Not | Role::No(_) | Role::NotYet | Role::Nothing) => {
                    if before.is_some_and(|b| !["no", "nope", "nah", "n", "naw"].contains(&self.low(b).as_str())) {
                        return Some(k);
                    }
                    before = Some(k);
                }
                Some(Role::Filler | Role::Is | Role::Have | Role::Aside | Role::Yes(_)) => {}
                // "Not listed" is one word of the rule book, and a denial.
                None if before.is_some() && ["not", "no", "none", "never", "without"].contains(&self.first_word(k).as_str()) => {
                    return Some(k);
                }
                _ => before = None,
            }
        }
        None
    }

    /// An exception or a change of mind right behind: ", but not the windows", ", only at the back", ". Actually no".
    fn taken_back(&self, end: usize) -> Option<usize> {
        let mut k = end;
        let mut but = false;
        while k < self.lexemes.len() && self.is_break(k) {
            but |= self.role(k) == Some(Role::But);
            k += 1;
        }
        if k >= self.lexemes.len() {
            return None;
        }
        let next = if k + 1 < self.lexemes.len() { self.first_word(k + 1) } else { String::new() };
        let single = SINGLED_OUT.contains(&next.as_str());
        let exception = match self.role(k) {
            Some(Role::Not | Role::No(_)) => single,
            Some(Role::Just) => {
                let words = self.low(k);
                // "Just the gates": the article is part of the word.
                (but || single || matches!(words.as_str(), "just the" | "only the"))
                    && ["only", "just"].contains(&self.first_word(k).as_str())
            }
            _ => false,
        };
        exception.then_some(k)
    }

    /// "Actually no", behind what was said.
    fn is_second_thought(&self, k: usize) -> bool {
        let next = if k + 1 < self.lexemes.len() { self.role(k + 1) } else { None };
        ["actually", "hold", "hang", "wait"].contains(&self.first_word(k).as_str())
            && matches!(next, Some(Role::No(_) | Role::Not | Role::Yes(_)))
    }

    /// Years, or an era by its name.
    fn is_of_years(&self, k: usize) -> bool {
        let facts = self.facts_of(k);
        let era = |f: &FactId| matches!(self.kind(*f), FactKind::Year { .. });
        matches!(self.lexemes[k].piece, Piece::Years(_)) || (!facts.is_empty() && facts.iter().all(era))
    }

    /// Words of the rule book that are a time: "in the evenings".
    fn tells_of_a_time(&self, k: usize) -> bool {
        matches!(&self.lexemes[k].piece, Piece::Hit(h) if !h.phrases.is_empty())
            && ["in the", "at the", "at night", "during"].iter().any(|w| self.low(k).starts_with(w))
    }

    /// Whether what is denied is only a part of what the fact is about: no kids *next door* says nothing of kids here.
    fn is_narrower_denial(&self, own: (usize, usize), fact: Option<FactId>) -> bool {
        let denied = (self.lexemes.len().min(own.1 + 1) > own.0)
            && (own.0.saturating_sub(2)..=own.1).any(|k| matches!(self.role(k), Some(Role::Not | Role::No(_))));
        denied
            && (own.0..=own.1).any(|k| (self.is_narrow(k) || self.tells_of_a_time(k)) && self.facts_of(k).iter().any(|f| Some(*f) == fact))
    }

    fn is_narrow(&self, k: usize) -> bool {
        matches!(&self.lexemes[k].piece, Piece::Hit(h) if h.narrow)
    }
}
