//! What may take back an answer that asked for less care, though it names no word of it: "it lapsed", "wrong house", "that was
//! the gate".
//!
//! Nobody can list the words by which a release is withdrawn. So whatever is said right after one and is not understood, or states
//! nothing, puts it in doubt until the person has said how it stands; it is asked once.

use super::document::{At, Edit};
use super::session::{Asked, Outcome, Pending, Session, Todo};
use super::settling::doubted;
use ovolo_engine::answer::{Heard, Said};
use ovolo_engine::role::FactRole;
use ovolo_engine::vocabulary::{FactId, FactKind};

/// What is said between answers and says nothing.
#[rustfmt::skip] // one word a line would hide the table
const IDLE: &[&str] = &[
    "ok", "okay", "right", "right then", "thanks", "thank you", "ta", "cheers", "good", "great", "fine", "lovely", "nice one", "sure",
    "hmm", "next", "go on", "done", "got it", "understood", "i see", "hi", "hello", "morning", "good morning", "yes", "yep", "yeah",
];

/// Words of titles that name no fact by themselves.
const COMMON: &[&str] = &[
    "what", "with", "that", "this", "work", "writing", "coat", "paint", "status", "during", "living", "working", "there", "people", "were",
];

/// Words that point back at what was said, or narrow it, where a line begins with them.
const POINTS_BACK: &[&str] = &[
    "that was",
    "that is",
    "that's",
    "thats",
    "it was",
    "it's for",
    "its for",
    "it is for",
    "for",
    "not",
    "only",
    "except",
    "bar",
    "but",
    "i meant",
    "i was talking",
    "this was",
    "this is for",
    "that will be",
    "that would be",
];

impl Session<'_> {
    /// A line that points back at an answer that asked for less care, and names another part: "that was the gate".
    pub(super) fn points_back(&mut self, line: &str, heard: &Heard) -> Option<Outcome> {
        let plain = line.to_lowercase().replace('’', "'");
        let points = |w: &str| plain.strip_prefix(w).is_some_and(|r| !r.starts_with(|c: char| c.is_alphanumeric() || c == '\''));
        if self.states_news(heard) || !POINTS_BACK.iter().any(|w| points(w)) || self.says_of_the_last(heard) {
            return None;
        }
        self.in_doubt(&taken_back(line))
    }

    /// A bare doubt, or a bare denial that answers nothing that was asked, right behind an answer that asked for less care.
    pub(super) fn doubts_the_last(&mut self, line: &str) -> Option<Outcome> {
        const DOES_NOT_KNOW: &[&str] =
            &["don't know", "dont know", "i don't know", "dunno", "no idea", "unknown", "skip", "not a clue", "no clue"];
        let plain = line.to_lowercase().replace('’', "'");
        let plain = plain.trim_matches(|c: char| !c.is_alphanumeric());
        if DOES_NOT_KNOW.contains(&plain) {
            return None;
        }
        let (rest, guess) = super::waiting::without_a_guess(plain);
        let only_guessed = guess && rest.trim_matches(|c: char| !c.is_alphanumeric()).split_whitespace().count() <= 1;
        let asks_for_yes_or_no = match self.asked {
            Some(Asked::Fact { fact, .. }) => matches!(self.book.base.vocabulary.get(fact).kind, FactKind::YesNo),
            _ => false,
        };
        // "No it isn't", "yes she is": said of what was spoken of.
        let words: Vec<&str> = plain.split(|c: char| c.is_whitespace() || c == ',').filter(|w| !w.is_empty()).collect();
        let of_it = matches!(words[..], ["no" | "nope" | "nah" | "yes" | "yeah" | "actually", .., "is" | "are" | "isn't" | "aren't" | "does" | "doesn't" | "do" | "don't" | "has" | "hasn't" | "did" | "didn't" | "was" | "wasn't" | "there"] if words.len() <= 4)
            || matches!(
                words[..],
                [
                    "it" | "they" | "she" | "he" | "there" | "we",
                    "isn't" | "aren't" | "doesn't" | "don't" | "hasn't" | "haven't" | "didn't" | "wasn't"
                ]
            );
        let bare_no = matches!(words[..], ["no" | "nope" | "nah"]) && !asks_for_yes_or_no;
        let dated = ["it's from ", "its from ", "it was in ", "it's dated", "dated "].iter().any(|w| plain.starts_with(w));
        if !(only_guessed || of_it || bare_no || dated) {
            return None;
        }
        self.in_doubt(&taken_back(line))
    }

    /// A line that names a fact which stands and asks for less care, and is not understood: "the consent was refused".
    fn names_what_stands(&mut self, line: &str, heard: &Heard) -> Option<Outcome> {
        if heard.said.iter().any(|s| matches!(s, Said::Fact(_) | Said::Coats(_))) && heard.unheard.is_empty() {
            return None;
        }
        let plain = line.to_lowercase();
        let said: Vec<&str> = plain.split(|c: char| !c.is_alphanumeric()).filter(|w| w.len() > 3).collect();
        let mut places = vec![At::Site];
        if let Some(here) = self.survey.surfaces.get(self.surface) {
            places.push(At::Surface(self.surface));
            places.extend((0..here.coats.as_ref().map_or(0, Vec::len)).map(|c| At::Coat(self.surface, Some(c))));
        }
        let mut named = Vec::new();
        for at in places {
            let Some(facts) = self.facts_at(at) else { continue };
            for (fact, stated) in facts {
                let it = self.book.base.vocabulary.get(*fact);
                let own = it.name.split('_').chain(it.title.split(' ')).chain(it.says.iter().flat_map(|s| s.split(' ')));
                let mut own = own.map(str::to_lowercase).filter(|w| w.len() > 3 && !COMMON.contains(&w.as_str()));
                let spoken = own.any(|w| said.iter().any(|s| *s == w || s.strip_suffix('s') == Some(w.as_str())));
                if spoken && it.eased_by(&stated.known) && self.is_grave(*fact) && !self.document.unsure(at, &it.name) {
                    named.push((at, *fact, stated.known.clone()));
                }
            }
        }
        let edits: Vec<Edit> = named
            .iter()
            .filter_map(|(at, fact, known)| Some(Edit::Fact { at: *at, fact: *fact, toml: self.written(*fact, known)? }))
            .collect();
        if edits.is_empty() {
            return None;
        }
        let kept = std::mem::replace(&mut self.last, edits);
        let outcome = self.in_doubt(&taken_back(line));
        if outcome.is_none() {
            self.last = kept;
        }
        outcome
    }

    /// A line that may take back what was noted last, where that asked for less care.
    pub(super) fn withdraws(&mut self, line: &str, heard: &Heard) -> Option<Outcome> {
        self.stands.retain(|(_, fact, _)| !says_of(heard, *fact));
        let plain = line.trim_matches(|c: char| !c.is_alphanumeric()).to_lowercase();
        if IDLE.contains(&plain.as_str()) {
            return None;
        }
        let states = self.states_news(heard);
        let known = heard.unheard.is_empty() && heard.said.iter().any(|s| matches!(s, Said::Remark { .. }));
        let answers = matches!(self.asked, Some(Asked::Fact { fact, .. }) if says_of(heard, fact));
        if known || answers || states && heard.unheard.is_empty() || states && self.says_of_the_last(heard) {
            return None;
        }
        let doubt = match self.in_doubt(&taken_back(line)) {
            Some(doubt) => doubt,
            None => self.names_what_stands(line, heard)?,
        };
        if !states && !heard.said.iter().any(|s| matches!(s, Said::Fact(_))) {
            return Some(doubt);
        }
        let outcome = self.take(line, heard);
        Some(joined(Some(doubt), outcome))
    }

    /// Whether a line states something: a part of the building that is only named is no news ("that was the gate").
    fn states_news(&self, heard: &Heard) -> bool {
        let element = self.book.base.vocabulary.with(FactRole::Element);
        heard.said.iter().any(|s| match s {
            Said::Fact(f) => Some(f.fact) != element,
            Said::Coats(_) | Said::NotKnown { .. } => true,
            Said::Remark { .. } => false,
        })
    }

    /// Whether something is said of a fact that was stated last.
    pub(super) fn says_of_the_last(&self, heard: &Heard) -> bool {
        self.last.iter().any(|e| matches!(e, Edit::Fact { fact, .. } if says_of(heard, *fact)))
    }

    /// Whether a fact releases what law or care holds back, or clears a danger: what is only easier to work is no matter of doubt.
    fn is_grave(&self, fact: FactId) -> bool {
        let it = self.book.base.vocabulary.get(fact);
        it.weighty || it.shown_by.is_some() || it.careful.is_some() || self.book.rules.iter().any(|r| r.released_by == Some(fact))
    }

    /// Puts what was noted last in doubt, where it asked for less care, until the person has said how it stands.
    pub(super) fn in_doubt(&mut self, ask: &str) -> Option<Outcome> {
        let (at, fact, toml, value) = self.last.iter().find_map(|e| match e {
            Edit::Fact { at, fact, toml } if self.is_grave(*fact) && !self.stands.contains(&(*at, *fact, toml.clone())) => {
                let it = self.book.base.vocabulary.get(*fact);
                let known = &self.facts_at(*at)?.get(fact)?.known;
                (it.eased_by(known) && !self.document.unsure(*at, &it.name)).then(|| (*at, *fact, toml.clone(), self.value_said(it, known)))
            }
            _ => None,
        })?;
        let title = self.book.base.vocabulary.get(fact).title.clone();
        let stated = Edit::Fact { at, fact, toml: toml.clone() };
        let doubt = Edit::Fact { at, fact, toml: doubted(&toml) };
        let text = self.state(&[doubt], &format!("{title}: {value}, in doubt until you have said how it stands")).ok()?;
        self.stands.push((at, fact, toml));
        let options = vec![
            ("yes, leave it in doubt".to_owned(), Todo::Leave),
            (format!("no, it stands: {title}: {value}"), Todo::Edits { edits: vec![stated], echo: format!("{title}: {value}") }),
        ];
        self.pending.push_back(Pending::Choose { ask: ask.to_owned(), options });
        Some(Outcome { text, understood: true, ..Outcome::default() })
    }
}

/// What is asked about a line that may take something back.
pub(super) fn taken_back(line: &str) -> String {
    format!("Does `{line}` take back part of what was noted last?")
}

/// What came of a doubt and of the line that brought it.
pub(super) fn joined(doubt: Option<Outcome>, line: Outcome) -> Outcome {
    match doubt {
        Some(doubt) => Outcome { text: format!("{}{}", doubt.text, line.text), ..line },
        None => line,
    }
}

fn says_of(heard: &Heard, wanted: FactId) -> bool {
    heard.said.iter().any(|s| match s {
        Said::Fact(f) => f.fact == wanted,
        Said::NotKnown { fact, .. } => *fact == Some(wanted),
        Said::Coats(coats) => coats.iter().flatten().any(|f| f.fact == wanted),
        Said::Remark { .. } => false,
    })
}

/// A value that was put in doubt once: where, of what, and how it was written.
pub(super) type Stands = (At, FactId, String);
