//! Whose a statement is: "the piers are limestone" says nothing of the gate between them.
//!
//! Who says of something with a name of its own what it is or has speaks of that thing. Only words for the surface itself, its
//! name, its element, its paint, or a word that points at it take what follows for the surface talked about.

use super::session::{Pending, Session, Todo};
use super::settling::Made;
use ovolo_engine::answer::{Heard, Said, Statement};
use ovolo_engine::role::FactRole;
use ovolo_engine::vocabulary::{About, FactKind, Known};
use std::ops::Range;

/// Verbs behind what is spoken of.
#[rustfmt::skip] // lists read better in rows
const VERBS: &[&str] = &[
    "is", "are", "was", "were", "isn't", "aren't", "has", "have", "had", "looks", "look", "seems", "seem", "feels", "feel", "tested",
    "tests", "read", "reads", "came", "comes", "needs", "contains", "contain", "carries",
];

/// Where the words for what is spoken of begin.
#[rustfmt::skip] // lists read better in rows
const STOPS: &[&str] = &[
    "the", "a", "an", "this", "that", "these", "those", "my", "our", "your", "his", "her", "their", "its", "every", "each", "both", "all",
    "some", "any", "no", "i", "we", "you", "he", "she", "they", "it", "think", "thinks", "say", "says", "said", "reckon", "reckons",
    "believe", "believes", "told", "guess", "know", "knows", "sure", "suppose", "where", "when", "if", "though", "because", "as", "yes",
    "yeah", "well", "so", "actually", "sorry", "wait", "now", "there", "here", "what", "which", "who", "not", "only", "just", "to", "but",
];

/// Words that tie a thing to what comes before it.
#[rustfmt::skip] // lists read better in rows
const LINKS: &[&str] = &[
    "of", "on", "in", "at", "behind", "under", "below", "above", "beneath", "with", "from", "for", "by", "near", "beside", "around",
    "over", "between", "inside", "outside", "underneath", "since", "against", "round",
];

/// Words behind a name that make it another thing of the kind.
const ELSEWHERE: &[&str] = &["behind", "beside", "alongside", "opposite", "adjoining", "above", "below", "round", "around"];

/// Words that say nothing of what is spoken of.
#[rustfmt::skip] // lists read better in rows
const IDLE: &[&str] = &[
    "itself", "themselves", "too", "also", "probably", "still", "really", "definitely", "certainly", "mostly", "mainly", "all", "which",
    "that", "who", "then", "always", "surely", "maybe", "perhaps", "only", "just", "even", "both", "been", "ever", "never", "not",
    "haven't", "hasn't", "hadn't", "don't", "doesn't", "didn't",
];

/// Words for the surface, its paint, what was found out of it, or whoever speaks.
#[rustfmt::skip] // lists read better in rows
const OURS: &[&str] = &[
    "it", "this", "that", "they", "these", "those", "one", "everything", "something", "anything", "nothing", "nobody", "somebody",
    "someone", "most", "rest", "some", "part", "parts", "bit", "bits", "half", "whole", "lot", "majority", "thing", "stuff", "job",
    "work", "surface", "surfaces", "piece", "area", "material", "substrate", "base", "background", "ground", "body", "core", "wood",
    "timber", "stone", "metal", "masonry", "brickwork", "stonework", "woodwork", "joinery", "underneath", "underside", "front", "back",
    "top", "bottom", "side", "sides", "inside", "outside", "interior", "exterior", "left", "right", "upper", "lower", "middle", "end",
    "ends", "face", "faces", "edge", "edges", "corner", "corners", "paint", "paints", "paintwork", "coat", "coats", "coating", "coatings",
    "layer", "layers", "finish", "film", "primer", "undercoat", "topcoat", "varnish", "gloss", "colour", "color", "build-up", "buildup",
    "lead", "asbestos", "test", "tests", "result", "results", "reading", "readings", "lab", "laboratory", "report", "sample", "samples",
    "xrf", "swab", "swabs", "kit", "gun", "meter", "instrument", "chip", "client", "customer", "owner", "boss", "builder", "surveyor",
    "inspector", "architect", "neighbour", "people", "man", "guy", "bloke", "fella", "condition", "state", "age", "aim", "plan", "idea",
    "answer", "problem", "trouble", "question", "point", "detail", "access", "height", "humidity", "moisture", "temperature", "weather",
    "air", "grain", "surface's", "place", "patch", "patches", "spot", "spots", "flakes",
];

/// Words that only measure out what stands behind "of".
const PORTIONS: &[&str] =
    &["most", "rest", "some", "part", "parts", "bit", "bits", "half", "all", "lot", "majority", "bottom", "top", "back", "front"];

/// A word with where it stands, in small letters and without what clings to it.
struct Word {
    at: Range<usize>,
    low: String,
}

impl Session<'_> {
    /// What a line says of other things than the surface talked about: their names, with the part of the line about each.
    pub(super) fn of_others(&self, line: &str, heard: &Heard) -> Vec<(String, Range<usize>)> {
        let mut out: Vec<(String, Range<usize>)> = Vec::new();
        if self.ours || self.survey.surfaces.get(self.surface).is_none() {
            return out;
        }
        let mut carried: Option<String> = None;
        for (part, tied) in parts(line) {
            let words = words_in(line, &part);
            let of_surface: Vec<&Statement> = statements(heard).filter(|s| part.contains(&s.at.start) && self.is_of_surface(s)).collect();
            let other = match self.spoken_of(&words, heard) {
                Spoken::Nobody if tied => carried.take(),
                Spoken::Nobody => of_surface.iter().find_map(|s| self.names_what_it_is_of(line, &part, s, heard)),
                Spoken::Ours => None,
                Spoken::Other(name) => Some(name),
            };
            carried.clone_from(&other);
            if let Some(name) = other
                && (!of_surface.is_empty() || heard.said.iter().any(|s| matches!(s, Said::Coats(c) if c.is_empty())))
            {
                match out.last_mut() {
                    Some((last, at)) if *last == name => at.end = part.end,
                    _ => out.push((name, part)),
                }
            }
        }
        out
    }

    /// Takes out of what was heard what was said of other things, and leaves the question whether they are surfaces of their own.
    pub(super) fn put_aside(&self, line: &str, heard: &Heard, made: &mut Made) -> Heard {
        let others = self.of_others(line, heard);
        let mut kept = heard.clone();
        let here = self.survey.surfaces.get(self.surface).map(|s| s.name.clone()).unwrap_or_default();
        for (name, part) in others {
            let within = |at: &Range<usize>| at.start >= part.start && at.start < part.end;
            kept.said.retain(|s| match s {
                Said::Fact(f) => !(within(&f.at) && self.book.base.vocabulary.get(f.fact).about != About::Site),
                Said::Coats(c) if c.is_empty() => false,
                Said::Coats(c) => !c.iter().flatten().any(|f| within(&f.at)),
                Said::NotKnown { at, .. } => !within(at),
                Said::Remark { .. } => true,
            });
            kept.unheard.retain(|u| !within(u));
            let said = line[part].trim().to_owned();
            let options = vec![
                (format!("a new surface, {name}"), Todo::NewSurface { name: name.clone(), line: said.clone() }),
                (format!("about {here}"), Todo::Answer(said)),
                ("neither: leave it out".to_owned(), Todo::Leave),
            ];
            let taken = self.name_is_free(&name).is_err();
            let ask = format!("A new surface, `{name}`, or is this about {here}? Until that is said it counts for neither.");
            if !taken {
                made.back.push(Pending::Choose { ask, options });
            }
        }
        kept
    }

    /// Whether a statement is of those that would be taken for the surface or its coats. What is near it is told of other things
    /// by its nature, and what is chosen is about the work.
    fn is_of_surface(&self, statement: &Statement) -> bool {
        let fact = self.book.base.vocabulary.get(statement.fact);
        let part = fact.role == Some(FactRole::Element);
        matches!(fact.about, About::Surface | About::Coat) && !fact.chosen && !part && !matches!(fact.kind, FactKind::Several(_))
    }

    /// Who or what a part of the line speaks of.
    fn spoken_of(&self, words: &[Word], heard: &Heard) -> Spoken {
        let Some(verb) = words.iter().skip(1).position(|w| VERBS.contains(&w.low.as_str())).map(|v| v + 1) else { return Spoken::Nobody };
        let idle = |w: &&Word| IDLE.contains(&w.low.as_str());
        let mut end = verb - words[..verb].iter().rev().take_while(idle).count();
        if end == 0 {
            return Spoken::Nobody;
        }
        let mut elsewhere = false;
        if end > 1 && ELSEWHERE.contains(&words[end - 1].low.as_str()) {
            elsewhere = true;
            end -= 1;
        }
        // The group of words before the verb; a place said of it belongs to what stands before that.
        let mut rest = end;
        loop {
            let stop = |w: &Word| STOPS.contains(&w.low.as_str()) || LINKS.contains(&w.low.as_str()) || VERBS.contains(&w.low.as_str());
            let from = words[..rest].iter().rposition(stop).map_or(0, |k| k + 1);
            let group = &words[from..rest];
            let mut before = from;
            while before > 0 && STOPS.contains(&words[before - 1].low.as_str()) && !LINKS.contains(&words[before - 1].low.as_str()) {
                before -= 1;
            }
            let link = before.checked_sub(1).map(|k| words[k].low.as_str()).filter(|w| LINKS.contains(w));
            let Some(head) = group.last() else { return Spoken::Nobody };
            let ours = !elsewhere && self.is_ours(head, group, heard);
            match link {
                // "The paint of the piers" is theirs; "the paint in the hall" may well be ours.
                Some(link) if before > 1 => {
                    let portion = PORTIONS.contains(&words[before - 2].low.as_str());
                    if matches!(link, "of" | "on") || portion {
                        return if ours { Spoken::Ours } else { Spoken::Other(name(group)) };
                    }
                    rest = before - 1;
                }
                Some(_) => return Spoken::Nobody,
                None if ours => return Spoken::Ours,
                None => return Spoken::Other(name(&words[from..if elsewhere { end + 1 } else { rest }])),
            }
        }
    }

    /// Whether a word stands for the surface talked about, or for something that was understood as said of it.
    fn is_ours(&self, head: &Word, group: &[Word], heard: &Heard) -> bool {
        let base = &self.book.base;
        let vocabulary = &base.vocabulary;
        let here = &self.survey.surfaces[self.surface];
        let same = |a: &str, b: &str| stem(a) == stem(b);
        let among = |text: &str| text.split(|c: char| !c.is_alphanumeric() && c != '\'').any(|w| same(w, &head.low));
        let whole = |text: &str| text.to_lowercase().split_whitespace().last().is_some_and(|w| same(w, &head.low));
        if OURS.iter().any(|w| same(w, &head.low)) || among(&here.name.to_lowercase()) || head.low.chars().all(|c| c.is_ascii_digit()) {
            return true;
        }
        let element = vocabulary.with(FactRole::Element);
        if let (Some(element), Some(stated)) = (element, element.and_then(|e| here.facts.get(&e)))
            && statements(heard).any(|f| {
                let same = f.readings.iter().any(|r| matches!((&stated.known, &r.known), (Known::Bits(a), Known::Bits(b)) if a & b != 0));
                f.fact == element && f.at.start <= head.at.start && head.at.end <= f.at.end + 2 && same
            })
        {
            return group.len() < 3;
        }
        // What is known by a title or a name of a fact is that fact: "the condition is poor".
        let named = vocabulary.iter().any(|(_, f)| {
            f.about != About::Site
                && !f.about.has_happened()
                && !matches!(f.role, Some(FactRole::Element | FactRole::Substrate))
                && (whole(&f.title) || whole(&f.name.replace('_', " ")) || f.says.iter().any(|s| whole(s)))
        });
        // What was understood as said of the surface or its coats is no other thing.
        named
            || statements(heard).any(|f| {
                let fact = vocabulary.get(f.fact);
                let part = fact.role == Some(FactRole::Element);
                let meets = f.at.start < head.at.end && head.at.start < f.at.end;
                // What is near is another thing ("the pavement's granite"), and so is a material that is not the surface's own.
                let near = matches!(fact.kind, FactKind::Several(_));
                let stands = here.facts.get(&f.fact).filter(|_| fact.role == Some(FactRole::Substrate));
                let differs = stands.is_some_and(|s| {
                    !f.readings.iter().any(|r| matches!((&s.known, &r.known), (Known::Bits(a), Known::Bits(b)) if a & b != 0))
                });
                meets && fact.about != About::Site && !part && !near && !differs
            })
    }

    /// "They're limestone piers", "it's a brick house": the word behind a substrate that is not the one that stands, where it is
    /// neither the surface's own nor one of those that say how.
    fn names_what_it_is_of(&self, line: &str, part: &Range<usize>, statement: &Statement, heard: &Heard) -> Option<String> {
        let fact = self.book.base.vocabulary.get(statement.fact);
        if fact.role != Some(FactRole::Substrate) {
            return None;
        }
        let stands = self.survey.surfaces.get(self.surface)?.facts.get(&statement.fact)?;
        let differs =
            !statement.readings.iter().any(|r| matches!((&stands.known, &r.known), (Known::Bits(a), Known::Bits(b)) if a & b != 0));
        let words = words_in(line, part);
        let head = words.iter().find(|w| w.at.start >= statement.at.end)?;
        let adjoins = line.get(statement.at.end..head.at.start).is_some_and(|t| t == " ");
        let unheard = heard.unheard.iter().any(|u| u.start <= head.at.start && head.at.end <= u.end);
        let of_site = statements(heard)
            .any(|f| f.at.start <= head.at.start && head.at.end <= f.at.end && self.book.base.vocabulary.get(f.fact).about == About::Site);
        let how = head.low.ends_with("ly") || head.low == "throughout" || STOPS.contains(&head.low.as_str());
        (differs && adjoins && (unheard || of_site) && !how && !self.is_ours(head, std::slice::from_ref(head), heard))
            .then(|| line[statement.at.start..head.at.end].to_owned())
    }
}

/// Who a part of a line speaks of.
enum Spoken {
    Nobody,
    Ours,
    Other(String),
}

/// Every statement that was heard, those of coats with them.
fn statements(heard: &Heard) -> impl Iterator<Item = &Statement> {
    heard.said.iter().flat_map(|s| -> Vec<&Statement> {
        match s {
            Said::Fact(f) => vec![f],
            Said::Coats(coats) => coats.iter().flatten().collect(),
            _ => Vec::new(),
        }
    })
}

/// The name of a thing, from the words for it.
fn name(group: &[Word]) -> String {
    group.iter().map(|w| w.low.as_str()).collect::<Vec<_>>().join(" ")
}

/// A word without the endings of many and of possession.
fn stem(word: &str) -> &str {
    let word = word.strip_suffix("'s").unwrap_or(word).trim_end_matches('\'');
    if word.len() > 3 {
        word.strip_suffix("es").filter(|w| w.ends_with("sh") || w.ends_with("ss")).unwrap_or(word).trim_end_matches('s')
    } else {
        word
    }
}

/// The parts of a line, each with whether it is tied to the one before it by a mere "and".
fn parts(line: &str) -> Vec<(Range<usize>, bool)> {
    let mut out = Vec::new();
    let (mut from, mut tied) = (0, false);
    let mut at = 0;
    while at < line.len() {
        let rest = &line[at..];
        let point = rest.starts_with([',', ';', ':', '?', '!']) || rest.starts_with(". ");
        let word = [" and ", " but ", " because ", " though ", " while ", " so "].into_iter().find(|w| starts(rest, w));
        if point || word.is_some() {
            let step = word.map_or(1, |w| w.len() - 1);
            out.push((from..at, tied));
            tied = word == Some(" and ");
            from = at + step;
            at += step;
        } else {
            at += rest.chars().next().map_or(1, char::len_utf8);
        }
    }
    out.push((from..line.len(), tied));
    out.retain(|(r, _)| !line[r.clone()].trim().is_empty());
    out
}

fn starts(text: &str, word: &str) -> bool {
    text.get(..word.len()).is_some_and(|t| t.eq_ignore_ascii_case(word))
}

/// The words of a part of a line; "lock's brass" is "lock is brass".
fn words_in(line: &str, part: &Range<usize>) -> Vec<Word> {
    let mut out = Vec::new();
    for word in line[part.clone()].split_whitespace() {
        let from = word.as_ptr() as usize - line.as_ptr() as usize;
        let low = word.trim_matches(|c: char| !c.is_alphanumeric()).to_lowercase().replace('’', "'");
        let head = low.strip_suffix("'s").or_else(|| low.strip_suffix("'re")).map(str::to_owned);
        let at = from..from + word.len();
        match head {
            Some(head) if !head.is_empty() => {
                let end = from + head.len().min(word.len());
                out.push(Word { at: from..end, low: head });
                out.push(Word { at: end..at.end, low: "is".to_owned() });
            }
            _ if !low.is_empty() => out.push(Word { at, low }),
            _ => {}
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::{parts, stem, words_in};

    #[test]
    fn a_line_falls_into_its_parts() {
        let line = "the frame is softwood and flaking, but it's 0.3 mm thick";
        let texts: Vec<(&str, bool)> = parts(line).into_iter().map(|(r, tied)| (line[r].trim(), tied)).collect();
        assert_eq!(texts, [("the frame is softwood", false), ("flaking", true), ("it's 0.3 mm thick", false)]);
    }

    #[test]
    fn a_short_verb_is_a_verb() {
        let line = "the lock's brass";
        let words: Vec<String> = words_in(line, &(0..line.len())).into_iter().map(|w| w.low).collect();
        assert_eq!(words, ["the", "lock", "is", "brass"]);
        assert_eq!(stem("piers"), "pier");
        assert_eq!(stem("sashes"), "sash");
    }
}
