//! Things that are only spoken of: "the glass is stained" says of what a pine door is made no more than that there is glass in it, and
//! "limestone trim round the door too" adds something. Neither changes what the surface is made of without being asked about.

use super::answering::bare;
use super::document::{At, Edit};
use super::passing::overlap;
use super::session::{Asked, Pending, Session, Todo};
use ovolo_engine::answer::{Said, Statement};
use ovolo_engine::role::FactRole;
use ovolo_engine::vocabulary::{About, FactKind, Known};
use std::ops::Range;

/// Verbs that stand right behind what is spoken of.
const VERBS: &[&str] = &[
    "is", "are", "was", "were", "isn't", "aren't", "has", "have", "had", "looks", "look", "seems", "feels", "gets", "got", "needs",
    "wants", "comes", "came", "keeps", "goes", "went", "shows", "sits", "can", "might", "may", "could", "will", "won't", "would", "must",
];

/// Words that say that something is there besides.
const ADDING: &[&str] = &["too", "also", "besides", "as well", "round the", "around the", "round it", "around it"];

/// What is done with a thing that is only spoken of.
pub(super) enum Mentioned {
    /// What stands says as much, or more.
    Stays,
    /// The person is asked what was meant.
    Ask(Pending),
}

/// Whether a line tells of something that is there besides what is talked about.
pub(super) fn adds(line: &str) -> bool {
    let line = format!(" {} ", words(line));
    ADDING.iter().any(|w| line.contains(&format!(" {w} ")))
}

fn words(text: &str) -> String {
    let plain = text.to_lowercase().replace('’', "'");
    let plain: String = plain.chars().map(|c| if c.is_alphanumeric() || c == '\'' { c } else { ' ' }).collect();
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Whether what stands at a place of a line is what the sentence is about, and not what it says.
fn is_subject(line: &str, at: &Range<usize>) -> bool {
    let behind = words(line.get(at.end..).unwrap_or(""));
    let apart = line.get(at.end..).is_some_and(|b| b.starts_with([',', ';', '.']));
    !apart && behind.split(' ').next().is_some_and(|w| VERBS.contains(&w))
}

/// Whether it is something the surface has: "it's got glass", "with brass hinges". What it has is not what it is made of.
fn is_had(line: &str, at: &Range<usize>) -> bool {
    let before = words(line.get(..at.start).unwrap_or(""));
    let mut back = before.split(' ').rev().skip_while(|w| ["a", "an", "the", "some", "old", "new", "its", "that"].contains(w));
    back.next().is_some_and(|w| ["got", "has", "have", "had", "with", "having"].contains(&w))
}

impl Session<'_> {
    /// What to make of a material that is only spoken of where another stands.
    pub(super) fn only_mentioned(&self, line: &str, place: At, statement: &Statement, title: &str) -> Option<Mentioned> {
        let fact = self.book.base.vocabulary.get(statement.fact);
        let asked = matches!(self.asked, Some(Asked::Fact { fact, .. }) if fact == statement.fact);
        if !matches!(fact.kind, FactKind::Entry(_)) || fact.about != About::Surface || asked || self.ours || self.correcting && !adds(line)
        {
            return None;
        }
        let subject = is_subject(line, &statement.at) || is_had(line, &statement.at);
        if !(subject || adds(line)) {
            return None;
        }
        let stated = self.facts_at(place)?.get(&statement.fact)?;
        let catalogue = &self.book.base.catalogue;
        let known = if self.document.unsure(place, &fact.name) {
            // What is only thought is written with its doubt behind it.
            let thought = stated.written.split(',').next().unwrap_or("").trim();
            let index = (0..fact.width(catalogue)).find(|i| fact.choice_id(*i, catalogue) == thought)?;
            Known::Bits(1 << index)
        } else {
            stated.known.clone()
        };
        let first = statement.readings.first()?;
        if statement.readings.iter().any(|r| overlap(&known, &r.known)) {
            return subject.then_some(Mentioned::Stays);
        }
        let spoken = line.get(statement.at.clone()).unwrap_or("").trim();
        let stands = self.value_said(fact, &known);
        let told = format!("{title}: {}", first.echo);
        let mut options = vec![(
            format!("yes, {}", first.echo),
            Todo::Edits { edits: vec![Self::stating(place, statement.fact, first)], echo: format!("{told} (until now: {stands})") },
        )];
        options.extend(self.as_near(spoken));
        options.push((format!("no, it stays {stands}"), Todo::Leave));
        Some(Mentioned::Ask(Pending::Choose { ask: format!("Until now, {title}: {stands}. Does `{spoken}` change it?"), options }))
    }

    /// The same words as something that is near, where they can be that.
    fn as_near(&self, spoken: &str) -> Option<(String, Todo)> {
        let heard = self.listener.hear(&format!("next to {}", bare(spoken)), &self.context());
        let near = heard.said.iter().find_map(|s| match s {
            Said::Fact(f) if matches!(self.book.base.vocabulary.get(f.fact).kind, FactKind::Several(_)) => Some(f),
            _ => None,
        })?;
        let place = super::document::at(About::Surface, self.surface, None);
        let reading = self.with_what_was_near(place, near).or_else(|| near.readings.first().cloned())?;
        let title = &self.book.base.vocabulary.get(near.fact).title;
        let edits: Vec<Edit> = vec![Self::stating(place, near.fact, &reading)];
        Some((format!("it is near: {spoken}"), Todo::Edits { edits, echo: format!("{title}: {}", reading.echo) }))
    }

    /// A part of the building that a line names besides: nothing is made of it by the way.
    pub(super) fn part_besides(&self, line: &str, statement: &Statement) -> Option<String> {
        let fact = self.book.base.vocabulary.get(statement.fact);
        let begun = self.survey.surfaces.get(self.surface).is_some_and(|s| !s.facts.is_empty() || s.coats.is_some());
        let asked = matches!(self.asked, Some(Asked::Fact { fact, .. }) if fact == statement.fact);
        if fact.role != Some(FactRole::Element) || !begun || asked || self.ours || !adds(line) {
            return None;
        }
        let spoken = line.get(statement.at.clone()).unwrap_or("").trim();
        Some(format!("Taken as said in passing: `{spoken}`. `add NAME` begins a surface of its own."))
    }
}

#[cfg(test)]
mod tests {
    use super::{adds, is_had, is_subject};

    #[test]
    fn what_is_spoken_of_is_told_from_what_is_said() {
        let subject = |line: &str, word: &str| {
            let at = line.find(word).expect("it is there");
            is_subject(line, &(at..at + word.len()))
        };
        assert!(subject("the glass is stained", "glass"));
        assert!(subject("the wood is a bit soft", "wood"));
        assert!(!subject("it's glass", "glass"));
        assert!(!subject("the front is brick, is it", "brick"));
        let had = |line: &str, word: &str| {
            let at = line.find(word).expect("it is there");
            is_had(line, &(at..at + word.len()))
        };
        assert!(had("yes it's got glass", "glass") && had("with some brass on it", "brass") && had("it has a steel plate", "steel"));
        assert!(!had("it's brass", "brass"));
        assert!(adds("it's limestone trim round the door too"));
        assert!(adds("some iron as well."));
        assert!(!adds("no, it's oak"));
    }
}
