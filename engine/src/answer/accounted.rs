//! Whether a statement accounts for every word of its clause.
//!
//! What releases, clears or narrows, and any quantity or asked year, is taken for certain only if each word beside it is its own,
//! names its subject, or says nothing. A word that another fact's phrase took is not accounted for by this one: "no children near the
//! drain" says nothing of children elsewhere, "5 sq ft peeling" nothing of the whole. What is left over is asked about.

use super::Statement;
use super::lex::{Hit, Piece};
use super::sense::Sense;
use super::sizes::Shape;
use super::tables::Role;
use crate::pack::Meant;
use crate::vocabulary::{About, Eases, Fact, FactKind, Known, flag};
use std::ops::Range;

/// A yes without colour: what is released by a yes is released by these alone.
#[rustfmt::skip] // one word a line would hide the table
const PLAIN_YES: &[&str] = &[
    "yes", "yep", "yeah", "yup", "aye", "y", "yes there is", "yes there are", "yes it is", "yes they do", "yes it has", "it is", "it does",
    "it has", "there is", "there are", "we do", "we are", "we have", "i have", "they have", "they do", "they are", "true", "correct",
    "that's right", "that is right", "indeed",
];

/// Small words that say nothing, whatever they stand beside.
#[rustfmt::skip] // one word a line would hide the table
const NEUTRAL: &[&str] = &[
    "a", "an", "the", "of", "to", "in", "at", "for", "it", "this", "that", "these", "those", "there", "here", "we", "i", "they", "you",
    "he", "she", "my", "our", "their", "his", "her", "its", "your", "well", "um", "uh", "er", "erm", "em", "hmm", "oh", "ah", "really",
    "very", "actually", "honestly", "you know", "i mean", "let me see", "let's see", "thanks", "thank you", "any", "as", "also", "too", "still",
    "now", "all of it", "whole", "the whole", "made", "made of", "made from", "done", "hi", "hello", "right then", "am", "do", "does",
    "them", "both", "even", "ever", "us too", "it was", "they were", "exactly", "precisely", "simply", "house is", "all over", "mate",
    "love", "guv", "boss", "sir", "pal", "chief", "cheers", "ta", "look", "listen", "all right", "alright", "right so", "and all", "like i say",
    "like i said", "as i say", "as i said", "i tell you", "i can tell you", "in fact", "as it happens", "obviously", "clearly", "it all",
    "at all", "me mate", "my friend", "innit", "eh", "old", "older", "paint", "paint's", "painted", "turned out", "came back", "shows",
    "showed", "came up", "come back", "'", "\"", "…", "else", "will", "so", "one", "thing", "things", "then again", "put", "us",
];

/// Words that beside a bare yes or no say what is answered: "it's not that old".
#[rustfmt::skip] // one word a line would hide the table
const BESIDE_NO_ANSWER: &[&str] = &[
    "old", "older", "that", "this", "these", "those", "made", "made of", "made from", "done", "one", "thing", "things", "so", "put", "paint",
    "paint's", "painted", "will", "do", "does", "to", "of", "in", "at", "for", "whole", "the whole", "else", "even", "ever", "as",
];

/// More of them beside figures.
#[rustfmt::skip] // one word a line would hide the table
const OF_FIGURES: &[&str] = &[
    "up", "down", "off", "out", "from", "long", "wide", "high", "tall", "size", "in size", "sized", "in total", "total", "altogether",
    "approximately", "roughly", "roughly speaking", "or so", "quite", "about it", "something like that", "ish", "say", "let's say", "big",
    "large", "dates", "dated", "goes", "back", "away", "at the moment", "today", "currently", "at present", "ordinary old", "every", "dark", "coming",
];

/// Words by which a figure is tied to where or when it holds.
const HOLDS_IN: &[&str] = &["in", "at", "on", "inside", "outside", "under", "behind", "above", "below", "during", "by", "until", "with"];

/// Words that set somebody or something apart: who gives, where from, what for.
const FROM: &[&str] = &["from", "by", "near", "for", "on", "with", "to", "off", "behind", "beside", "between"];

/// Words for the whole of what is talked about.
#[rustfmt::skip] // one word a line would hide the table
const WHOLE: &[&str] = &[
    "house", "building", "place", "property", "home", "flat", "premises", "cottage", "site", "household", "family", "dwelling", "terrace",
    "semi", "bungalow", "villa",
];

/// Words that leave room for the rest, wherever they stand behind a statement.
const LEAVES_ROOM: &[&str] = &["anyway", "anyhow", "anyways", "at least", "at any rate", "in any case"];

/// Who speaks of one person, not of everybody there.
const ONE_PERSON: &[&str] = &["i'm", "im", "i am", "she's", "he's", "she is", "he is", "she isn't", "he isn't"];

/// Who is spoken of alone, whatever is said of them.
const ONE_OF_THEM: &[&str] = &["she", "he", "she's", "he's", "she has", "he has", "she is", "he is", "she'll", "he'll"];

/// Words a person is spoken to with, which are somebody else behind an article.
const VOCATIVE: &[&str] = &["mate", "love", "guv", "boss", "sir", "pal", "chief", "my friend"];

/// Verbs with which a reading or a result is told.
const FOUND_SO: &[&str] =
    &["tests", "tested", "measures", "measured", "reads", "reading", "read", "confirmed", "found", "showed", "shown", "says", "said"];

/// Words that begin a clause which tells of what the clause before it was said.
#[rustfmt::skip] // one word a line would hide the table
const TELLS_OF_WHAT: &[&str] = &[
    "that was", "it was", "those were", "they were", "this was", "that's for", "it's for", "it is for", "that is for", "covers", "it covers",
    "that covers", "it only covers", "only covers", "it's about", "that's the", "it's just", "applies to", "it applies to", "was for", "was the",
];

/// Words for less than the whole, or for another than this.
#[rustfmt::skip] // one word a line would hide the table
const PARTIAL: &[&str] = &[
    "half", "corner", "part", "bit", "piece", "other", "different", "another", "next", "rear", "skip", "some", "most", "topcoat", "elsewhere",
];

/// Who does what the next word says, if no other verb stands between.
const DOERS: &[&str] = &["we", "i", "you", "they"];

const POINTS: &[&str] = &["the", "that", "this", "those", "these", "my", "our", "your", "his", "her", "their", "a", "an"];

const TAG_VERBS: &[&str] =
    &["is", "are", "was", "were", "does", "do", "did", "has", "have", "isn't", "aren't", "can", "could", "will", "would", "should"];
const TAG_SUBJECTS: &[&str] = &["it", "they", "there", "he", "she", "we", "you"];

impl Sense<'_, '_> {
    /// Whether a statement has to account for every word though it does not ask for less care: measures, and a year that was asked for.
    pub(super) fn must_account(&self, statement: &Statement) -> bool {
        let fact = self.listener.book.base.vocabulary.get(statement.fact);
        match &fact.kind {
            FactKind::Number { whole, .. } => !whole && matches!(fact.about, About::Site | About::Surface),
            FactKind::Year { .. } => self.context.asked == Some(statement.fact) && fact.about == About::Site,
            // "It lifts off in sheets": a yes that weighs both ways still opens what a no keeps shut.
            FactKind::YesNo => {
                let yes = statement.readings.iter().any(|r| r.known == Known::Bits(flag::YES));
                yes && fact.about == About::Surface && matches!(fact.eases, Eases::Neither(_))
            }
            _ => false,
        }
    }

    /// The stretches that a statement leaves unaccounted for.
    pub(super) fn left_over(&self, statement: &Statement, clauses: &[Range<usize>], stated: &[Range<usize>]) -> Vec<Range<usize>> {
        // What can be read two ways is asked about as it is.
        if statement.readings.len() > 1 {
            return Vec::new();
        }
        let fact = self.listener.book.base.vocabulary.get(statement.fact);
        let own: Vec<usize> = (0..self.lexemes.len()).filter(|k| meets(&self.lexemes[*k].at, &statement.at)).collect();
        let (Some(first), Some(last)) = (own.first().copied(), own.last().copied()) else { return Vec::new() };
        let home = clauses.iter().filter(|c| c.start <= last && first < c.end);
        let Some(home) = home.cloned().reduce(|a, b| a.start.min(b.start)..a.end.max(b.end)) else { return Vec::new() };
        let part = self.own_part(home.clone(), (first, last), stated);
        let figures = matches!(fact.kind, FactKind::Number { .. } | FactKind::Year { .. });
        let released = matches!(fact.kind, FactKind::YesNo)
            && statement.readings.iter().any(|r| r.known == Known::Bits(flag::YES) && fact.eased_by(&r.known));
        let bare = own.iter().all(|k| matches!(self.lexemes[*k].piece, Piece::Role(_)));
        let mut out: Vec<usize> = Vec::new();
        for k in part.clone().filter(|k| !own.contains(k)) {
            if !self.is_accounted(k, statement, fact, (part.start, first), figures, released) {
                out.push(k);
            }
        }
        // "It lifts off in sheets": of what only opens a way, the word it is tied to.
        let opens = matches!(fact.eases, Eases::Neither(_)) && !figures;
        if opens {
            let behind = (last + 1..part.end).find(|k| self.role(*k) != Some(Role::Filler));
            out.retain(|k| Some(*k) == behind && matches!(self.lexemes[*k].piece, Piece::Unknown));
        }
        let told = |k: &usize| stated.iter().any(|s| meets(s, &self.lexemes[*k].at));
        if figures {
            // "10 sq ft an hour", "a 10 m roll of sheeting".
            let measure = |k: &usize| matches!(self.lexemes[*k].piece, Piece::Measure(_)) && !told(k);
            out.extend(part.clone().filter(measure));
            out.extend(own.iter().copied().filter(|k| matches!(self.lexemes[*k].piece, Piece::Unknown)));
        }
        if bare && (released || matches!(fact.kind, FactKind::Choice(_))) {
            out.extend(own.iter().copied().filter(|k| self.is_soft_answer(*k)));
        }
        // "Vacant look": said to somebody only where it begins the clause. "We empty the house" is a plan, no state.
        let spoken_to = |k: &usize| *k > part.start && ["look", "listen"].contains(&self.low(*k).as_str());
        out.extend(part.clone().filter(|k| !own.contains(k) && spoken_to(k)));
        let doer = first.checked_sub(1).filter(|k| *k >= part.start && DOERS.contains(&self.low(*k).as_str()));
        if !figures && !bare && matches!(&self.lexemes[first].piece, Piece::Hit(_)) && !self.words_at(first).contains(' ') {
            out.extend(doer);
        }
        // "No drain within 10 yards" leaves one beyond.
        if matches!(fact.kind, FactKind::Several(_)) && part.clone().any(|k| matches!(self.role(k), Some(Role::Not | Role::No(_)))) {
            let measured = |k: &usize| match &self.lexemes[*k].piece {
                Piece::Measure(_) => true,
                Piece::Hit(h) => {
                    h.phrases.iter().any(|p| self.listener.book.phrases[*p].means.iter().any(|(_, m)| matches!(m, Meant::Slot)))
                }
                _ => false,
            };
            out.extend(part.clone().filter(measured));
        }
        if bare {
            out.extend(part.clone().filter(|k| !own.contains(k) && BESIDE_NO_ANSWER.contains(&self.low(*k).as_str())));
        }
        if released {
            // A denial releases nothing, nor does the mere name of what was asked for.
            let denies = |k: &usize| matches!(self.role(*k), Some(Role::Not | Role::No(_))) || self.is_soft_answer(*k);
            out.extend(own.iter().copied().filter(denies));
            let so = part.clone().any(|k| matches!(self.role(k), Some(Role::Have | Role::Is | Role::Yes(_))));
            let mere = |k: &usize| matches!(&self.lexemes[*k].piece, Piece::Hit(h) if h.phrases.is_empty() && h.values.is_empty());
            if !so && own.iter().all(mere) {
                out.push(first);
            }
        }
        if figures && self.is_a_mere_word(first, last, fact) {
            out.push(first);
        }
        // "I'm not pregnant" says nothing of the others; "I'm the owner doing it myself" says it all.
        let denied = part.clone().any(|k| matches!(self.role(k), Some(Role::Not | Role::No(_))));
        // And "she has moved out" says nothing of who is still there.
        let alone: &[&str] = if denied { ONE_PERSON } else { ONE_OF_THEM };
        if fact.about == About::Site && !figures && !released {
            out.extend(part.clone().filter(|k| *k < first && alone.contains(&self.low(*k).as_str())));
        }
        if !figures {
            out.extend(self.tagged(home.clone()));
        }
        out.extend(self.left_over_behind(home.clone(), fact, figures, stated));
        if released {
            out.extend(self.beside_a_release(home, bare, clauses));
        }
        out.sort_unstable();
        out.dedup();
        out.into_iter().map(|k| self.lexemes[k].at.clone()).collect()
    }

    /// The part of a clause that is a statement's own: "no kids and not listed" are two.
    fn own_part(&self, home: Range<usize>, (first, last): (usize, usize), stated: &[Range<usize>]) -> Range<usize> {
        let says = |r: Range<usize>| {
            r.into_iter().any(|k| !matches!(self.lexemes[k].piece, Piece::Role(_)) && stated.iter().any(|s| meets(s, &self.lexemes[k].at)))
        };
        let and = |k: &usize| self.role(*k) == Some(Role::And);
        let start = (home.start..first).rev().find(|k| and(k) && says(home.start..*k)).map_or(home.start, |k| k + 1);
        let end = (last + 1..home.end).find(|k| and(k) && says(*k..home.end)).unwrap_or(home.end);
        start..end
    }

    fn is_accounted(
        &self,
        k: usize,
        statement: &Statement,
        fact: &Fact,
        (from, first): (usize, usize),
        figures: bool,
        released: bool,
    ) -> bool {
        let words = self.low(k);
        let several = matches!(fact.kind, FactKind::Several(_));
        // "A 30 ft run", "pH 9 at the joints": of the surface itself.
        if figures && ["run", "joints", "length"].contains(&words.as_str()) {
            return true;
        }
        match &self.lexemes[k].piece {
            Piece::Break => true,
            Piece::Unknown => figures && ["away", "off", "distant"].contains(&words.as_str()),
            Piece::Coat(_) => fact.about == About::Coat || !figures,
            Piece::Measure(_) => true,
            // When a figure was taken is not now; when a building is of is said of the building.
            Piece::Years(_) => !released && !matches!(fact.kind, FactKind::Number { .. }),
            Piece::Hit(hit) => self.is_accounted_hit(k, hit, statement, fact, (from, first), figures, released),
            Piece::Role(role) => match role {
                // "By XRF": by what it was found.
                Role::Near if k + 1 == first && fact.about == About::Coat && words == "by" => true,
                Role::Near => several || figures && ["around", "round", "by"].contains(&words.as_str()),
                Role::Under | Role::Over => several,
                Role::Beneath | Role::OnTop | Role::First | Role::Then | Role::NotYet | Role::Either => false,
                Role::Not | Role::No(_) => !(released || figures && k > first),
                Role::Filler if VOCATIVE.contains(&words.as_str()) => !(k > from && POINTS.contains(&self.low(k - 1).as_str())),
                // "Tests 2.3 by XRF", "confirmed by XRF": how a coat was found to be so.
                Role::Filler if fact.about == About::Coat && FOUND_SO.contains(&words.as_str()) => true,
                // Of a bare answer nothing is left but the answer.
                Role::Filler => {
                    NEUTRAL.contains(&words.as_str()) && !(released && words == "so") || figures && OF_FIGURES.contains(&words.as_str())
                }
                Role::Aside if k < first && words == "somewhere" => true,
                Role::Aside => figures && OF_FIGURES.contains(&words.as_str()) || several && !figures,
                _ => true,
            },
        }
    }

    /// Whether words of the rule book beside a statement are its own, or stand for what it is said of.
    #[expect(clippy::too_many_arguments, reason = "what stands around one stretch")]
    fn is_accounted_hit(
        &self,
        k: usize,
        hit: &Hit,
        statement: &Statement,
        fact: &Fact,
        (from, first): (usize, usize),
        figures: bool,
        released: bool,
    ) -> bool {
        let vocabulary = &self.listener.book.base.vocabulary;
        let facts = self.facts_of(k);
        if facts.is_empty() || facts.contains(&statement.fact) || self.is_witness(k) {
            return true;
        }
        let words = self.low(k);
        let whole = words.split_whitespace().last().is_some_and(|w| WHOLE.contains(&w));
        // The word right before it that ties it to the statement.
        let article = |j: &usize| POINTS.contains(&self.low(*j).as_str());
        let tie = (from..k).rev().find(|j| !article(j)).filter(|j| self.role(*j).is_some()).map(|j| self.low(j)).unwrap_or_default();
        let tie = if words.contains(' ') { words.split_whitespace().next().unwrap_or_default().to_owned() } else { tie };
        let tied = |to: &[&str]| to.contains(&tie.split_whitespace().last().unwrap_or_default());
        let all = |wanted: About| facts.iter().any(|f| vocabulary.get(*f).about == wanted);
        let part = facts.iter().any(|f| vocabulary.iter().any(|(_, c)| c.counts == Some(*f)));
        let near = facts.iter().any(|f| self.is_several(*f));
        match fact.kind {
            FactKind::Year { .. } => {
                let when = first > from && ["in", "from", "since", "during"].contains(&self.low(first - 1).as_str())
                    || ["in ", "from ", "since "].iter().any(|w| self.low(first).starts_with(w));
                whole || !(when || words.ends_with("ed") || released || hit.values.is_empty()) || all(About::Surface) && !when
            }
            FactKind::Number { .. } => {
                whole && !tied(HOLDS_IN)
                    || part && !tied(HOLDS_IN)
                    || near && k < first
                    || all(About::Site) && !tied(HOLDS_IN) && !tied(FROM)
            }
            _ if released => false,
            FactKind::Several(_) => true,
            _ if whole => true,
            // "The office ceiling": what a building is tells whose part it is.
            FactKind::Choice(_) if fact.about == About::Site && part && k > from && meets(&self.lexemes[k - 1].at, &statement.at) => {
                !(from..k).any(|j| matches!(self.role(j), Some(Role::Not | Role::No(_))) || self.low(j).starts_with("not "))
            }
            _ if fact.about == About::Site => all(About::Site) && !near && !tied(FROM),
            _ if fact.about == About::Coat => all(About::Coat) || part && k < first || !figures && all(About::Site),
            _ => part && k < first || all(About::Coat) || all(About::Site) && !tied(FROM),
        }
    }

    /// Whether an answer is softer than a plain yes, or is "nothing" where one of several things was asked for.
    fn is_soft_answer(&self, k: usize) -> bool {
        match self.role(k) {
            Some(Role::Yes(_)) => !PLAIN_YES.contains(&self.low(k).as_str()),
            Some(Role::Nothing) => self.low(k).starts_with("nothing"),
            _ => false,
        }
    }

    /// "Two", "half" where a length or an area was asked for: of what, and in which unit, was not said.
    fn is_a_mere_word(&self, first: usize, last: usize, fact: &Fact) -> bool {
        let Piece::Measure(measure) = &self.lexemes[first].piece else { return false };
        let dimensional = matches!(&fact.kind, FactKind::Number { unit, .. } if !unit.dimension.is_number());
        let small = matches!(&measure.shape, Shape::Span(a, None) if a.high <= 12.0);
        first == last && dimensional && small && measure.is_plain() && !self.low(first).contains(|c: char| c.is_ascii_digit())
    }

    /// "Not listed, is it": a question hung behind.
    fn tagged(&self, home: Range<usize>) -> Option<usize> {
        let pair = |from: usize, to: usize| {
            let text: Vec<String> =
                (from..to).flat_map(|k| self.low(k).split_whitespace().map(str::to_owned).collect::<Vec<_>>()).collect();
            let n = text.len();
            (n >= 2 && TAG_VERBS.contains(&text[n - 2].as_str()) && TAG_SUBJECTS.contains(&text[n - 1].as_str())).then_some(n)
        };
        if pair(home.start, home.end).is_some_and(|n| n > 2) {
            return Some(home.end - 1);
        }
        let next = (home.end..self.lexemes.len()).find(|k| !self.is_break(*k))?;
        let end = (next..self.lexemes.len()).find(|k| self.is_break(*k)).unwrap_or(self.lexemes.len());
        (pair(next, end) == Some(2)).then_some(next)
    }

    /// What the clause behind names as what was spoken of ("2 m high, the hedge"), or leaves room with ("not listed, the door anyway").
    fn left_over_behind(&self, home: Range<usize>, fact: &Fact, figures: bool, stated: &[Range<usize>]) -> Vec<usize> {
        let Some(next) = (home.end..self.lexemes.len()).find(|k| !self.is_break(*k)) else { return Vec::new() };
        let end = (next..self.lexemes.len()).find(|k| self.is_break(*k)).unwrap_or(self.lexemes.len());
        let text = self.line.get(self.at(home.start, end - 1)).unwrap_or("").to_lowercase();
        let text = format!(" {} ", text.replace(|c: char| c != '\'' && !c.is_alphanumeric(), " "));
        let mut out: Vec<usize> = Vec::new();
        if LEAVES_ROOM.iter().any(|w| text.contains(&format!(" {w} "))) {
            out.push(end - 1);
        }
        // "Except" parts clauses by itself: "in writing, except her".
        let excepts =
            |k: &usize| self.is_break(*k) && ["except", "excepting", "excluding", "bar", "barring"].contains(&self.low(*k).as_str());
        if !matches!(fact.kind, FactKind::Several(_)) && (home.end..self.lexemes.len()).any(|k| excepts(&k)) {
            out.push(end - 1);
        }
        // Every clause behind it, up to one that states something of its own.
        let (mut from, mut to) = (next, end);
        loop {
            let behind = self.line.get(self.at(from, to - 1)).unwrap_or("").to_lowercase().replace('’', "'");
            if self.limits_behind(&behind, fact, from..to, stated) {
                out.push(to - 1);
                break;
            }
            let states = (from..to).any(|k| stated.iter().any(|s| meets(s, &self.lexemes[k].at)) && self.role(k).is_none());
            let Some(following) = (to..self.lexemes.len()).find(|k| !self.is_break(*k)).filter(|_| !states) else { break };
            (from, to) = (following, (following..self.lexemes.len()).find(|k| self.is_break(*k)).unwrap_or(self.lexemes.len()));
        }
        let named = next + 1 < end && end - next <= 3 && POINTS.contains(&self.low(next).as_str());
        let only_named = (next + 1..end).all(|k| matches!(self.lexemes[k].piece, Piece::Hit(_) | Piece::Unknown));
        let vocabulary = &self.listener.book.base.vocabulary;
        let part = |k: usize| self.facts_of(k).iter().any(|f| vocabulary.iter().any(|(_, c)| c.counts == Some(*f)));
        let whole = |k: usize| self.low(k).split_whitespace().last().is_some_and(|w| WHOLE.contains(&w));
        let ours = whole(end - 1) || (fact.about != About::Site && part(end - 1));
        if named && only_named && !ours && !matches!(fact.kind, FactKind::Several(_)) {
            out.push(end - 1);
        }
        // "Trial patch done, half": what stands before a figure and states nothing may be what it is of.
        if figures {
            let before = (0..home.start).rev().find(|k| !self.is_break(*k));
            let start = before.map_or(0, |b| (0..b).rev().find(|k| self.is_break(*k)).map_or(0, |k| k + 1));
            let clause = start..before.map_or(start, |b| b + 1);
            let says = |k: usize| stated.iter().any(|s| meets(s, &self.lexemes[k].at));
            if !clause.clone().any(says) {
                out.extend(clause.filter(|k| matches!(self.lexemes[*k].piece, Piece::Unknown)));
            }
            // "30 ft run, with spearheads": what it has besides.
            if !(next..end).any(says) && self.low(next) != "with" {
                out.extend((next..end).filter(|k| matches!(self.lexemes[*k].piece, Piece::Unknown)));
            }
        }
        out
    }

    /// Whether a short clause behind a statement says of what it is true, or of what it is not: "for the church", "except her",
    /// "the house has"; and, behind what releases, anything that is only named.
    fn limits_behind(&self, text: &str, fact: &Fact, clause: Range<usize>, stated: &[Range<usize>]) -> bool {
        const OPENS: &[&str] = &["for", "except", "excepting", "excluding", "bar", "barring", "save"];
        const CLOSES: &[&str] = &[
            "has", "have", "had", "is", "are", "was", "were", "did", "does", "do", "isn't", "aren't", "wasn't", "hasn't", "doesn't",
            "didn't", "only",
        ];
        const SAYS_AGAIN: &[&str] =
            &["it", "they", "there", "that", "this", "we", "i", "yes", "yep", "yeah", "no", "nobody", "none", "nothing"];
        if matches!(fact.kind, FactKind::Several(_)) {
            return false;
        }
        let words: Vec<&str> = text.split_whitespace().collect();
        let (Some(first), Some(last)) = (words.first(), words.last()) else { return false };
        let of_another = (2..=5).contains(&words.len()) && CLOSES.contains(last) && !SAYS_AGAIN.contains(first);
        let releases = matches!(fact.kind, FactKind::YesNo) && fact.eased_by(&Known::Bits(flag::YES));
        let thing = |k: usize| {
            let facts = self.facts_of(k);
            let vocabulary = &self.listener.book.base.vocabulary;
            !facts.is_empty()
                && facts.iter().all(|f| vocabulary.get(*f).about == About::Surface || vocabulary.iter().any(|(_, c)| c.counts == Some(*f)))
        };
        let only_named =
            releases && words.len() <= 3 && clause.clone().any(thing) && clause.clone().all(|k| thing(k) || self.role(k).is_some());
        // "In writing, neighbours' house": a few words, one of which nobody understands, and nothing else said for certain.
        let unread = clause.clone().any(|k| match &self.lexemes[k].piece {
            Piece::Unknown => true,
            Piece::Hit(_) => !stated.iter().any(|s| meets(s, &self.lexemes[k].at)),
            _ => false,
        });
        let cleared = releases || fact.shown_by.is_some();
        let strange = cleared && unread && words.len() <= 4;
        // "But that was the windows at the back", "it covers the roof": what was said is told to be of something, whatever that is.
        let plain: Vec<&str> = words.iter().copied().skip_while(|w| ["but", "though", "and", "well"].contains(w)).collect();
        let begins = |opening: &str| plain.join(" ").starts_with(&format!("{opening} "));
        let of_something = plain.len() > 1 && TELLS_OF_WHAT.iter().any(|o| begins(o));
        // "Half the ceiling", "the ceiling next door".
        let of_a_part = cleared && plain.len() <= 6 && plain.iter().any(|w| PARTIAL.contains(w));
        // "For hire" is a phrase of its own.
        let opens = OPENS.contains(first) && !matches!(self.lexemes[clause.start].piece, Piece::Hit(_));
        opens || of_another || text.trim() == "or so" || only_named || strange || of_something || of_a_part
    }

    /// What beside a release may say that it has run out, or is none: a year, a denial.
    fn beside_a_release(&self, home: Range<usize>, bare: bool, clauses: &[Range<usize>]) -> Vec<usize> {
        let here = clauses.iter().position(|c| c.start <= home.start && home.start < c.end).unwrap_or_default();
        let there = clauses.iter().position(|c| home.end <= c.end).unwrap_or(here);
        let beside = [here.checked_sub(1), Some(there + 1)].into_iter().flatten().filter_map(|c| clauses.get(c));
        let dated = |k: &usize| matches!(self.lexemes[*k].piece, Piece::Years(_));
        let denied = |k: &usize| bare && matches!(self.role(*k), Some(Role::Not | Role::No(_) | Role::NotYet));
        // "Consent in writing, built 1820": that year is the building's.
        let of_a_year =
            |c: &&Range<usize>| (*c).clone().any(|k| self.facts_of(k).iter().any(|f| matches!(self.kind(*f), FactKind::Year { .. })));
        let beside = beside.filter(|c| !of_a_year(c));
        beside.flat_map(Clone::clone).filter(|k| dated(k) || denied(k)).collect()
    }

    /// An alternative that was named and not understood: "hard brick or soft".
    pub(super) fn other_alternative(&self, statement: &Statement, stated: &[Range<usize>]) -> Option<Range<usize>> {
        if !matches!(self.kind(statement.fact), FactKind::Entry(_) | FactKind::Choice(_)) {
            return None;
        }
        let last = (0..self.lexemes.len()).rev().find(|k| meets(&self.lexemes[*k].at, &statement.at))?;
        let small = |k: &usize| matches!(self.role(*k), Some(Role::Filler));
        let or = (last + 1..self.lexemes.len()).find(|k| !small(k)).filter(|k| self.role(*k) == Some(Role::Or))?;
        let next = (or + 1..self.lexemes.len()).find(|k| !small(k))?;
        let strange = matches!(self.lexemes[next].piece, Piece::Unknown) && !stated.iter().any(|s| meets(s, &self.lexemes[next].at));
        strange.then(|| self.lexemes[next].at.clone())
    }

    /// A word that makes a thing only like another: "imitation granite", "hard as granite".
    pub(super) fn likened(&self, statement: &Statement) -> Option<Range<usize>> {
        const BEFORE: &[&str] = &["like", "imitation", "mock", "faux", "fake", "pretend", "as", "resembling", "sham"];
        const BEHIND: &[&str] = &["effect", "look", "lookalike", "style", "coloured", "colored", "imitation"];
        let fact = self.listener.book.base.vocabulary.get(statement.fact);
        if !matches!(fact.kind, FactKind::Entry(_)) || fact.about != About::Surface {
            return None;
        }
        let own: Vec<usize> = (0..self.lexemes.len()).filter(|k| meets(&self.lexemes[*k].at, &statement.at)).collect();
        let (first, last) = (*own.first()?, *own.last()?);
        let before = (0..first).rev().find(|k| !POINTS.contains(&self.low(*k).as_str()));
        let before = before.filter(|k| BEFORE.contains(&self.low(*k).as_str()));
        let behind = Some(last + 1).filter(|k| *k < self.lexemes.len() && BEHIND.contains(&self.low(*k).as_str()));
        before.or(behind).map(|k| self.lexemes[k].at.clone())
    }

    /// A word of place that only closes what something else was said of: "no kids indoors", "15 degrees indoors".
    pub(super) fn is_only_where(&self, statement: &Statement, clauses: &[Range<usize>], firm: &[Range<usize>]) -> bool {
        const PLACES: &[&str] = &["inside", "outside", "indoors", "outdoors"];
        let fact = self.listener.book.base.vocabulary.get(statement.fact);
        if fact.about != About::Surface || self.context.asked == Some(statement.fact) {
            return false;
        }
        let Some(k) = self.lexemes.iter().position(|l| l.at == statement.at) else { return false };
        let Some(home) = clauses.iter().find(|c| c.contains(&k)) else { return false };
        let denied = home.clone().any(|j| matches!(self.role(j), Some(Role::Not | Role::No(_))));
        let figure = home.clone().any(|j| matches!(self.lexemes[j].piece, Piece::Measure(_)));
        let span = self.at(home.start, home.end - 1);
        let another = firm.iter().any(|f| *f != statement.at && meets(f, &span));
        PLACES.contains(&self.low(k).as_str()) && k + 1 == home.end && another && (denied || figure)
    }
}

fn meets(a: &Range<usize>, b: &Range<usize>) -> bool {
    a.start < b.end && b.start < a.end
}
