//! The first lines of a new survey: what it is about and where, said as it comes.

use super::answering::bare;
use super::document::{Edit, quoted};
use super::passing::{name_in, place_of};
use super::session::{Outcome, Pending, Session, Todo};
use engine::answer::Said;
use engine::vocabulary::About;

/// What people say before they say anything.
const GREETINGS: &[&str] = &[
    "hello",
    "hi",
    "hiya",
    "hey",
    "morning",
    "good morning",
    "afternoon",
    "good afternoon",
    "evening",
    "good evening",
    "alright",
    "all right",
    "now then",
    "ello",
    "g'day",
    "howdy",
    "ok",
    "okay",
    "right",
    "start",
    "begin",
    "go on",
    "ready",
    "hi there",
    "hello there",
    "test",
];

/// Words that begin a question.
const QUESTIONS: &[&str] =
    &["how", "what", "who", "why", "where", "when", "can", "could", "do", "does", "is", "are", "should", "which", "will", "would"];

impl Session<'_> {
    /// The first answer: a part and what is known of it, a name, a place, or several of them.
    pub(super) fn opening(&mut self, line: &str) -> Outcome {
        let plain = line.to_lowercase();
        let plain = plain.trim_end_matches(['!', '.', '?', ' ', ',']);
        let first = plain.split(|c: char| c.is_whitespace() || c == ',').next().unwrap_or("");
        let greets = GREETINGS.contains(&plain) || GREETINGS.contains(&first) && plain.split_whitespace().count() <= 3;
        if greets || QUESTIONS.contains(&first) {
            let text = "Say which part is to be stripped and where it is, such as: front door, oak, about 1890, Bath. `help` shows what else can be said.";
            return Outcome { text: self.page().paragraph("  ", "    ", text), understood: true, ..Outcome::default() };
        }
        // A place stands for itself between commas.
        let mut place = None;
        let mut rest: Vec<&str> = Vec::new();
        for part in line.split_inclusive([',', ';']) {
            let bare_part = part.trim_matches([',', ';', ' ', '.']);
            let code = if self.place().is_none() && place.is_none() { self.place_alone(bare_part) } else { None };
            match code {
                Some(code) => place = Some(code),
                None => rest.push(part),
            }
        }
        let rest = rest.concat();
        let rest = rest.trim_matches([',', ';', ' ']);
        let mut text = String::new();
        if let Some(code) = place {
            text.push_str(&self.place_taken(&code).text);
            if rest.is_empty() {
                return Outcome { text, understood: true, ..Outcome::default() };
            }
        }
        let heard = self.listener.hear(rest, &self.context());
        let element = self.book.base.vocabulary.find_about(About::Surface, "element");
        let part = heard.said.iter().find_map(|s| match s {
            Said::Fact(f) if Some(f.fact) == element => Some(f.at.clone()),
            _ => None,
        });
        let states = heard.said.iter().any(|s| matches!(s, Said::Fact(_) | Said::Coats(_)));
        let mut outcome = if let Some(at) = part {
            let from = rest[..at.start].rfind([',', ';']).map_or(0, |i| i + 1);
            let to = at.end;
            let named = name_in(rest[from..to].trim()).map_or_else(|| bare(&rest[at.clone()]).to_owned(), str::to_owned);
            // What stands apart and says nothing of the part is what the job is called.
            let mut apart = Vec::new();
            let mut start = 0;
            for segment in rest.split_inclusive([',', ';']) {
                let range = start..start + segment.len();
                start = range.end;
                let says = heard.said.iter().filter_map(place_of).any(|p| p.start < range.end && range.start < p.end);
                let words = segment.trim_matches([',', ';', ' ']);
                if !says && range.end <= at.start && !words.is_empty() {
                    apart.push(words);
                }
            }
            if !apart.is_empty() {
                let _ = self.change(&[Edit::Head { key: "title", toml: quoted(&apart.join(", ")) }], "the name of the job");
            }
            let mut outcome = self.new_surface(&named, rest, &heard);
            for words in apart {
                outcome.text = outcome.text.replace(&format!("`{words}`, "), "").replace(&format!("`{words}`"), "");
            }
            outcome
        } else {
            let titled = self.head("title", &quoted(rest.trim_matches('"')), &format!("the job is called {}", rest.trim_matches('"')));
            let site = heard.said.iter().all(|s| match s {
                Said::Fact(f) => self.book.base.vocabulary.get(f.fact).about == About::Site,
                Said::Coats(_) => false,
                _ => true,
            });
            if states && site && heard.unheard.is_empty() {
                let more = self.take(rest, &heard);
                Outcome { text: format!("{}{}", titled.text, more.text), ..titled }
            } else {
                titled
            }
        };
        outcome.text = format!("{text}{}", outcome.text);
        outcome
    }

    /// The place some words are and nothing else. What may be another word as well ("bath") has to begin with a capital.
    fn place_alone(&self, words: &str) -> Option<String> {
        let stripped = ["in ", "near ", "at "].iter().fold(words, |w, lead| w.strip_prefix(lead).unwrap_or(w));
        let found = self.book.places_in(stripped);
        let [(code, at)] = &found[..] else { return None };
        let whole = at.len() + 1 >= stripped.len() || stripped.split_whitespace().all(|w| w.chars().next().is_some_and(char::is_uppercase));
        let sure = stripped.chars().next().is_some_and(char::is_uppercase)
            || self.book.place_title(code).is_some_and(|t| t.eq_ignore_ascii_case(stripped));
        (whole && sure && !stripped.chars().any(|c| c.is_ascii_digit())).then(|| code.clone())
    }

    /// A place in an answer to the question for it; several are asked back about.
    pub(super) fn place_said(&mut self, line: &str) -> Option<Outcome> {
        let words = line.trim_matches(['"', ' ', '.']);
        let found: Vec<String> = match self.book.places_called(words) {
            found if !found.is_empty() => found,
            _ => self.book.places_in(words).into_iter().map(|(c, _)| c).collect(),
        };
        match &found[..] {
            [] => {
                let code = self.book.place_named(words)?;
                Some(self.place_taken(&code))
            }
            [code] => {
                let code = code.clone();
                Some(self.place_taken(&code))
            }
            several => {
                let mut options: Vec<(String, Todo)> = several
                    .iter()
                    .map(|code| {
                        let title = self.book.place_title(code).map_or_else(|| code.clone(), |t| format!("{t} ({code})"));
                        let edits = vec![Edit::Head { key: "place", toml: quoted(code) }];
                        (title.clone(), Todo::Edits { edits, echo: format!("the place is {title}") })
                    })
                    .collect();
                options.push(("none of them".to_owned(), Todo::Leave));
                self.pending.push_back(Pending::Choose { ask: format!("Which `{words}` is it?"), options });
                Some(Outcome { understood: true, ..Outcome::default() })
            }
        }
    }

    fn place_taken(&mut self, code: &str) -> Outcome {
        let title = self.book.place_title(code).map_or_else(|| code.to_owned(), |t| format!("{t} ({code})"));
        self.head("place", &quoted(code), &format!("the place is {title}"))
    }
}
