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

/// Doubts that answer no question by themselves.
#[rustfmt::skip] // one word a line would hide the table
const ONLY_DOUBTS: &[&str] = &[
    "i think", "i'd think", "as far as i know", "far as i know", "so far as i know", "hopefully", "i hope", "supposedly", "apparently",
    "allegedly", "don't quote me", "don't quote me on that", "i'm not certain", "not certain", "don't know actually",
];

/// Words by which what was spoken of is given a date.
const DATES_IT: &[&str] = &["it's from ", "its from ", "it was in ", "it's dated", "dated "];

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
        let plain = line.to_lowercase().replace('’', "'");
        let plain = plain.trim_matches(|c: char| !c.is_alphanumeric());
        let kind = match self.asked {
            Some(Asked::Fact { fact, .. }) => Some(&self.book.base.vocabulary.get(fact).kind),
            _ => None,
        };
        // Where one of two or of several was asked for, a yes, a no and a "probably" may well be the answer.
        let answerable = matches!(kind, Some(FactKind::YesNo | FactKind::Choice(_)));
        let listed = matches!(kind, Some(FactKind::Several(_)));
        let guessed = if answerable {
            ONLY_DOUBTS.contains(&plain)
        } else {
            let (rest, guess) = super::waiting::without_a_guess(plain);
            guess && rest.trim_matches(|c: char| !c.is_alphanumeric()).split_whitespace().count() <= 1
        };
        // "No it isn't", "yes she is": said of what was spoken of, and of what was asked only where it does not turn that round.
        let of_it = says_again(plain).is_some_and(|yes| !answerable || self.last_said(yes) == Some(false));
        let bare_no = listed && ["no", "nope", "nah"].contains(&plain);
        let dated = DATES_IT.iter().any(|w| plain.starts_with(w));
        if !(guessed || of_it || bare_no || dated) {
            return None;
        }
        self.in_doubt(&taken_back(line))
    }

    /// Whether the yes or no that was noted last is the one given; `None` where none was.
    fn last_said(&self, yes: bool) -> Option<bool> {
        self.last.iter().rev().find_map(|e| match e {
            Edit::Fact { fact, toml, .. } if matches!(self.book.base.vocabulary.get(*fact).kind, FactKind::YesNo) => {
                Some(toml == if yes { "true" } else { "false" })
            }
            _ => None,
        })
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
            for (fact, stated) in self.facts_at(at).into_iter().flatten() {
                let it = self.book.base.vocabulary.get(*fact);
                let own = it.name.split('_').chain(it.title.split(' ')).chain(it.says.iter().flat_map(|s| s.split(' ')));
                let mut own = own.map(str::to_lowercase).filter(|w| w.len() > 3 && !COMMON.contains(&w.as_str()));
                let spoken = own.any(|w| said.iter().any(|s| *s == w || s.strip_suffix('s') == Some(w.as_str())));
                if spoken && let Some(toml) = self.written(*fact, &stated.known) {
                    named.push(Edit::Fact { at, fact: *fact, toml });
                }
            }
        }
        self.put_in_doubt(&named, &taken_back(line))
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
        let last = self.last.clone();
        self.put_in_doubt(&last, ask)
    }

    /// Puts in doubt whatever of some statements stands for certain, asks for less care and is grave.
    fn put_in_doubt(&mut self, stated: &[Edit], ask: &str) -> Option<Outcome> {
        let vocabulary = &self.book.base.vocabulary;
        let (mut stands, mut doubts, mut told) = (Vec::new(), Vec::new(), Vec::new());
        for edit in stated {
            let Edit::Fact { at, fact, toml } = edit else { continue };
            let (it, once) = (vocabulary.get(*fact), (*at, *fact, toml.clone()));
            let Some(known) = self.facts_at(*at).and_then(|f| f.get(fact)).map(|s| &s.known) else { continue };
            if self.is_grave(*fact) && it.eased_by(known) && !self.document.unsure(*at, &it.name) && !self.stands.contains(&once) {
                doubts.push(Edit::Fact { at: *at, fact: *fact, toml: doubted(toml) });
                told.push(format!("{}: {}", it.title, self.value_said(it, known)));
                stands.push(once);
            }
        }
        told.dedup();
        let (all, them) = (told.join("; "), if told.len() > 1 { "they stand" } else { "it stands" });
        if doubts.is_empty() {
            return None;
        }
        let whole = if told.len() > 1 { "all of it " } else { "" };
        let text = self.state(&doubts, &format!("{all}, {whole}in doubt until you have said how it stands")).ok()?;
        let edits = stands.iter().map(|(at, fact, toml)| Edit::Fact { at: *at, fact: *fact, toml: toml.clone() }).collect();
        self.stands.append(&mut stands);
        let options =
            vec![("yes, leave it in doubt".to_owned(), Todo::Leave), (format!("no, {them}: {all}"), Todo::Edits { edits, echo: all })];
        self.pending.push_back(Pending::Choose { ask: ask.to_owned(), options });
        Some(Outcome { text, understood: true, ..Outcome::default() })
    }
}

/// Whether a line only says again that it is so, or that it is not: "no it isn't", "yes she is", "they don't".
fn says_again(plain: &str) -> Option<bool> {
    const SO: &[&str] = &["is", "are", "does", "do", "has", "have", "did", "was", "were"];
    const NOT_SO: &[&str] =
        &["isn't", "aren't", "doesn't", "don't", "hasn't", "haven't", "didn't", "wasn't", "weren't", "isnt", "arent", "doesnt", "dont"];
    const OF: &[&str] = &["it", "they", "she", "he", "there", "we", "that"];
    let words: Vec<&str> = plain.split(|c: char| c.is_whitespace() || c == ',').filter(|w| !w.is_empty()).collect();
    let (leads, rest) = match words.first() {
        Some(&("no" | "nope" | "nah" | "yes" | "yeah" | "actually")) => (true, &words[1..]),
        _ => (false, &words[..]),
    };
    let rest = rest.strip_prefix(&["actually"]).unwrap_or(rest);
    let rest = rest.strip_prefix(&["yes"]).or_else(|| rest.strip_prefix(&["no"])).unwrap_or(rest);
    let [subject, verb] = rest else { return None };
    // "Yes there are" turns its words round.
    let (subject, verb) = if OF.contains(verb) { (verb, subject) } else { (subject, verb) };
    let not = NOT_SO.contains(verb);
    (OF.contains(subject) && (not || leads && SO.contains(verb))).then_some(!not)
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
