//! What is said in passing, held against what stands already: names of surfaces in whole sentences, words that say less than
//! is known, and guesses that would turn something round.

use super::answering::bare;
use super::document::At;
use super::session::Session;
use ovolo_engine::answer::{Heard, Reading, Said, Statement};
use ovolo_engine::role::FactRole;
use ovolo_engine::vocabulary::{Fact, FactKind, Known};
use ovolo_engine::words;
use std::ops::Range;

/// Words that tell a sentence from a name.
const SENTENCE: &[&str] = &[
    "i", "i'm", "i've", "i'd", "we", "we're", "we've", "you", "they", "they're", "he", "she", "it", "it's", "its", "that's", "there's",
    "so", "because", "but", "not", "no", "yes", "nobody", "somebody", "nothing", "built", "could", "can", "might", "will", "would", "did",
    "does", "been", "be", "paint's", "paints", "apart", "except", "sound",
];

/// Verbs that part the name from what is said of it.
const VERBS: &[&str] = &["is", "are", "was", "were", "has", "have", "had", "looks", "seems", "looked"];

/// Words that make no other surface of a name.
const POINTING: &[&str] = &["the", "a", "an", "this", "that", "same", "whole", "old", "big", "small", "painted"];

/// Words that say that what was said before is being put right.
const CORRECTING: &[&str] = &[
    "no",
    "not",
    "actually",
    "sorry",
    "correction",
    "wrong",
    "mistake",
    "instead",
    "rather",
    "it's",
    "its",
    "is",
    "are",
    "was",
    "meant",
    "now",
    "turns",
    "after",
];

/// The most words a name has.
const LONGEST_NAME: usize = 7;

/// The part of some words that can be the name of a surface; `None` where they are a sentence about something.
pub(super) fn name_in(segment: &str) -> Option<&str> {
    let name = bare(segment);
    let verb = words_of(name).find(|(_, w)| VERBS.contains(&w.as_str())).map(|(at, _)| at.start);
    let name = verb.map_or(name, |at| name[..at].trim());
    let mut words = words_of(name).map(|(_, w)| w);
    (!name.is_empty() && words.clone().count() <= LONGEST_NAME && words.all(|w| !SENTENCE.contains(&w.as_str()))).then_some(name)
}

/// The words of a text, in small letters, with where they stand.
fn words_of(text: &str) -> impl Iterator<Item = (Range<usize>, String)> + Clone + '_ {
    text.split_whitespace().map(|w| {
        let at = w.as_ptr() as usize - text.as_ptr() as usize;
        (at..at + w.len(), w.trim_matches(|c: char| !c.is_alphanumeric()).to_lowercase().replace('’', "'"))
    })
}

/// Where in the line something was said.
pub(super) fn place_of(said: &Said) -> Option<Range<usize>> {
    match said {
        Said::Fact(f) => Some(f.at.clone()),
        Said::Coats(coats) => coats.iter().flatten().map(|s| s.at.clone()).reduce(|a, b| a.start.min(b.start)..a.end.max(b.end)),
        Said::NotKnown { at, .. } | Said::Remark { at, .. } => Some(at.clone()),
    }
}

impl Session<'_> {
    /// Whether a name that stands in the line can be of another part than the surface talked about: it says something more than
    /// that surface's name and than what was understood as a fact.
    pub(super) fn names_another(&self, name: &str, line: &str, element: &Range<usize>, heard: &Heard) -> bool {
        let Some(start) = line.find(name) else { return false };
        let here = self.survey.surfaces[self.surface].name.to_lowercase();
        let known: Vec<&str> = here.split_whitespace().collect();
        let alike = |w: &str| known.iter().any(|k| k.trim_end_matches('s') == w.trim_end_matches('s'));
        words_of(name).any(|(at, word)| {
            let at = at.start + start..at.end + start;
            let within = |r: &Range<usize>| at.start >= r.start && at.end <= r.end;
            let fact = heard.said.iter().filter_map(place_of).any(|r| r != *element && within(&r));
            let bare_element = within(element) && element.len() <= word.len() + 1;
            !alike(&word) && !POINTING.contains(&word.as_str()) && !fact && !bare_element
        })
    }

    /// Why a statement leaves alone what stands: it only says less, or names another part of the building in passing.
    pub(super) fn in_passing(&self, line: &str, at: At, statement: &Statement) -> Option<String> {
        let (known, fact) = self.standing(at, statement)?;
        let spoken = line.get(statement.at.clone()).unwrap_or("");
        let stands = self.value_said(fact, known);
        // One of several readings says what is known already.
        let says_it = |r: &Reading| matches!((known, &r.known), (Known::Bits(old), Known::Bits(new)) if old & new == *old);
        if statement.readings.len() > 1 && !matches!(fact.kind, FactKind::Several(_)) && statement.readings.iter().any(says_it) {
            return Some(format!("The {} stays {stands}. `{}: …` changes it.", fact.title, fact.name));
        }
        let [reading] = &statement.readings[..] else { return None };
        if fact.role == Some(FactRole::Element) && (!overlap(known, &reading.known) || !reading.sure) {
            return Some(format!(
                "Taken as said in passing: `{spoken}`; the {} stays {stands}. `{}: …` changes it.",
                fact.title, fact.name
            ));
        }
        let (Known::Bits(old), Known::Bits(new)) = (known, &reading.known) else { return None };
        let more = |w: &str| spoken.to_lowercase().split_whitespace().any(|x| x == w);
        let weaker = matches!(fact.kind, FactKind::Choice(_) | FactKind::Entry(_)) && old & new == *old && old != new;
        (weaker && !more("or") && !more("either"))
            .then(|| format!("`{spoken}` says less than what stands: the {} stays {stands}. `{}: …` changes it.", fact.title, fact.name))
    }

    /// What stands of the fact a statement is about, where it is sure and was not asked for.
    fn standing(&self, at: At, statement: &Statement) -> Option<(&Known, &Fact)> {
        let fact = self.book.base.vocabulary.get(statement.fact);
        let asked = matches!(self.asked, Some(super::session::Asked::Fact { fact, .. }) if fact == statement.fact);
        let asked = asked && !matches!(fact.kind, FactKind::Several(_));
        if asked || matches!(at, At::Coat(_, None)) || self.document.unsure(at, &fact.name) {
            return None;
        }
        Some((&self.facts_at(at)?.get(&statement.fact)?.known, fact))
    }

    /// What stands where a statement would turn it round though nobody was asked and nothing says that it is a correction:
    /// `glass too` on a limestone wall is no new wall.
    pub(super) fn turns_round_unasked(&self, line: &str, at: At, statement: &Statement) -> Option<String> {
        let [reading] = &statement.readings[..] else { return None };
        let (known, fact) = self.standing(at, statement)?;
        let named = |t: &str| line.to_lowercase().contains(&t.to_lowercase());
        let by_name = named(&fact.name.replace('_', " ")) || named(&fact.title) || fact.says.iter().any(|s| named(s));
        // "No kids in the office" denies the kids; "no, the office" puts something right.
        let parted = |at: &Range<usize>| {
            let before = line.get(..at.start).unwrap_or("").trim_end();
            before.is_empty() || before.ends_with([',', ';', '.']) || line.get(at.clone()).is_some_and(|w| w.ends_with(','))
        };
        let denies = |w: &str| matches!(w, "no" | "not");
        let mut words = words_of(line);
        let puts_right = words.any(|(at, w)| {
            CORRECTING.contains(&w.as_str())
                && (!denies(&w) || at.start > 0 && parted(&at) || at.start == 0 && line.get(at.clone()).is_some_and(|w| w.ends_with(',')))
        });
        // Where something is found is said beside what is found there.
        let before = words_of(line.get(..statement.at.start).unwrap_or(""))
            .map(|(_, w)| w)
            .filter(|w| !matches!(w.as_str(), "the" | "a" | "an" | "our" | "my"));
        let beside = before.last().is_some_and(|w| matches!(w.as_str(), "in" | "on" | "at" | "for" | "inside" | "outside"));
        let corrects = self.correcting || by_name || puts_right && !beside;
        let weighty = matches!(fact.kind, FactKind::Choice(_) | FactKind::Entry(_) | FactKind::Year { .. });
        (weighty && !(corrects && reading.sure) && !overlap(known, &reading.known)).then(|| self.value_said(fact, known))
    }

    /// What was said to be near besides what was said of it before: a drain now and glass then are both there.
    pub(super) fn with_what_was_near(&self, at: At, statement: &Statement) -> Option<Reading> {
        let [reading] = &statement.readings[..] else { return None };
        let (known, fact) = self.standing(at, statement)?;
        let (Known::Several { yes, no }, Known::Several { yes: more, no: less }) = (known, &reading.known) else { return None };
        let catalogue = &self.book.base.catalogue;
        let all = (1_u128 << fact.width(catalogue)) - 1;
        // "Nothing else" closes the list without losing what is on it; "no drain" takes a drain off it.
        let (more, less) = if (more | less) == all { (yes | more, all & !(yes | more)) } else { (*more, *less) };
        if !reading.sure {
            return None;
        }
        let (yes, no) = ((yes | more) & !less, (no | less) & !more);
        let list = |set: u128, title: bool| -> Vec<&str> {
            let named = |i: usize| if title { fact.choice_title(i, catalogue) } else { fact.choice_id(i, catalogue) };
            (0..fact.width(catalogue)).filter(|i| set >> i & 1 == 1).map(named).collect()
        };
        let quoted = |set: u128| list(set, false).iter().map(|id| format!("\"{id}\"")).collect::<Vec<_>>().join(", ");
        let mut parts = Vec::new();
        if yes != 0 {
            parts.push(format!("has = [{}]", quoted(yes)));
        }
        if no != 0 {
            parts.push(format!("not = [{}]", quoted(no)));
        }
        let closed = (yes | no) == all;
        let toml = if closed { format!("[{}]", quoted(yes)) } else { format!("{{ {} }}", parts.join(", ")) };
        let mut echo = Vec::new();
        if yes != 0 {
            echo.push(words::list(&list(yes, true), "and"));
        }
        if no != 0 && !closed {
            echo.push(format!("no {}", words::list(&list(no, true), "and no")));
        }
        let rest = if closed { "nothing else" } else { "of the rest nothing is said" };
        Some(Reading { known: Known::Several { yes, no }, toml, echo: format!("{}; {rest}", echo.join(", ")), sure: true })
    }

    /// What was said without a `no` that answers nothing: one that begins a correction (`no, it's oak`), or that belongs to a
    /// word nothing was made of (`no garden`), which is then given back.
    pub(super) fn without_a_stray_no<'h>(&self, line: &str, heard: &'h Heard) -> (Vec<&'h Said>, Vec<Range<usize>>) {
        let mut stray = Vec::new();
        let keep = |said: &&'h Said| {
            let Said::Fact(f) = said else { return true };
            let is_no = line.get(f.at.clone()).is_some_and(|t| matches!(t.trim().to_lowercase().as_str(), "no" | "nope"));
            if !is_no {
                return true;
            }
            let corrects = f.at.start == 0
                && heard.said.iter().any(|s| match s {
                    Said::Fact(other) if other.at.start > f.at.start && other.fact != f.fact => {
                        let place =
                            super::document::at(self.book.base.vocabulary.get(other.fact).about, self.surface, other.coat.or(Some(0)));
                        other.readings.first().is_some_and(|r| self.turned(place, other, r).is_some())
                    }
                    _ => false,
                });
            let belongs = heard.unheard.iter().any(|u| line.get(f.at.end..u.start).is_some_and(|between| between.trim().is_empty()));
            if belongs {
                stray.push(f.at.clone());
            }
            !(corrects || belongs)
        };
        (heard.said.iter().filter(keep).collect(), stray)
    }

    /// Whether what stands is certain and the statement only doubts it on the same side: nothing new is said.
    pub(super) fn doubts_what_stands(&self, at: At, statement: &Statement) -> bool {
        let Some((known, _)) = self.standing(at, statement) else { return false };
        statement.readings.first().is_some_and(|r| r.known == *known)
    }

    /// What a reading turns round, in words: what stood before where the two cannot both be.
    pub(super) fn turned(&self, at: At, statement: &Statement, reading: &Reading) -> Option<String> {
        let fact = self.book.base.vocabulary.get(statement.fact);
        if matches!(fact.kind, FactKind::Several(_)) || matches!(at, At::Coat(_, None)) {
            return None;
        }
        let known = &self.facts_at(at)?.get(&statement.fact)?.known;
        (!overlap(known, &reading.known)).then(|| self.value_said(fact, known))
    }

    /// A value in the words that stand in a sentence.
    pub(super) fn value_said(&self, fact: &Fact, known: &Known) -> String {
        let catalogue = &self.book.base.catalogue;
        let named = |set: u128| -> Vec<&str> {
            (0..fact.width(catalogue)).filter(|i| set >> i & 1 == 1).map(|i| fact.choice_title(i, catalogue)).collect()
        };
        match (&fact.kind, known) {
            (FactKind::Choice(_) | FactKind::Entry(_), Known::Bits(bits)) => words::list(&named(*bits), "or"),
            (FactKind::Several(_), Known::Several { yes, no }) => {
                let rest = if yes | no == (1_u128 << fact.width(catalogue)) - 1 { "" } else { ", the rest not said" };
                match (*yes, *no) {
                    (0, no) if rest.is_empty() || no == 0 => "nothing of the kind".to_owned(),
                    (0, no) => format!("no {}{rest}", words::list(&named(no), "and no")),
                    (yes, _) => format!("{}{rest}", words::list(&named(yes), "and")),
                }
            }
            _ => fact.show(known, catalogue, self.survey.system),
        }
    }
}

/// Whether two values can both be.
pub(super) fn overlap(a: &Known, b: &Known) -> bool {
    match (a, b) {
        (Known::Bits(a), Known::Bits(b)) => a & b != 0,
        (Known::Num(a), Known::Num(b)) => !a.and(b).is_empty(),
        _ => true,
    }
}

#[cfg(test)]
mod tests {
    use super::name_in;

    #[test]
    fn a_name_is_told_from_a_sentence() {
        assert_eq!(name_in("the front door"), Some("front door"));
        assert_eq!(name_in("the back door is softwood"), Some("back door"));
        assert_eq!(name_in("it's an oak door"), Some("oak door"));
        assert_eq!(name_in("landing window at the back"), Some("landing window at the back"));
        assert_eq!(name_in("so I've sanded the architrave already"), None);
        assert_eq!(name_in("they can come off the wall in summer"), None);
        assert_eq!(name_in("built in the seventies"), None);
        assert_eq!(name_in("is oak"), None);
    }
}
