//! The first lines of a new survey: what it is about and where, said as it comes.

use super::answering::bare;
use super::document::{Edit, quoted};
use super::passing::{name_in, place_of};
use super::session::{Outcome, Session};
use ovolo_engine::answer::{Heard, Said, Statement};
use ovolo_engine::role::FactRole;
use ovolo_engine::vocabulary::{About, FactId, FactKind};

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

/// What people put before the thing they have come about.
const CHAT: &[&str] = &[
    "quick one about",
    "quick one on",
    "quick question about",
    "just a quick one about",
    "a quick one about",
    "it's about",
    "this is about",
    "this is for",
    "it's for",
    "i've got",
    "ive got",
    "i have got",
    "we've got",
    "weve got",
    "we have got",
    "i have",
    "we have",
    "i've",
    "we've",
    "got",
    "there's",
    "there is",
    "there are",
    "need to do",
    "i need to do",
    "we need to do",
    "need to strip",
    "i need to strip",
    "we need to strip",
    "want to strip",
    "i want to strip",
    "we want to strip",
    "looking to strip",
    "looking at",
    "i'm looking at",
    "we're looking at",
    "im looking at",
    "i'm doing",
    "we're doing",
    "im doing",
    "i'm stripping",
    "we're stripping",
    "im stripping",
    "working on",
    "i'm working on",
    "we're working on",
    "got a job on",
    "a job on",
    "job on",
    "asking about",
    "can you help with",
    "can you help me with",
    "could you help with",
    "could you help me with",
    "can you help us with",
    "can you do",
    "can you have a look at",
    "could you look at",
    "can you look at",
    "it's",
    "this is",
    "that's",
    "to do with",
    "about a",
    "about an",
    "about the",
    "about some",
    "about our",
    "about my",
];

/// Greetings that are nothing else, so that no comma has to stand behind them.
const HELLOS: &[&str] = &["hello there", "hi there", "hi all", "hi mate", "hello", "hiya", "hi", "hey", "howdy", "g'day", "ello"];

/// Whether a line tells something of somebody or something, and so is no name: "he was crawling in it yesterday".
fn is_a_sentence(line: &str) -> bool {
    const SUBJECTS: &[&str] = &[
        "he", "he's", "she", "she's", "they", "they're", "they've", "it", "it's", "its", "it'll", "there's", "nobody", "somebody",
        "someone",
    ];
    let plain = line.to_lowercase().replace('’', "'");
    let mut words = plain.split(|c: char| c.is_whitespace() || c == ',');
    words.next().is_some_and(|w| SUBJECTS.contains(&w)) && words.next().is_some()
}

/// A first line without the greeting and the chat before what it is about.
fn to_the_point(line: &str) -> &str {
    let mut rest = line;
    loop {
        let lower = rest.to_lowercase();
        let behind = |words: &str| {
            let after = lower.strip_prefix(words)?;
            // What follows has to be cut off the line itself.
            let at = rest.len().checked_sub(after.len()).filter(|at| rest.is_char_boundary(*at))?;
            Some(&rest[at..])
        };
        let greeting = GREETINGS.iter().find_map(|g| behind(g).filter(|r| r.starts_with([',', '.', '!', '-', ';', ':'])));
        let hello = || HELLOS.iter().find_map(|g| behind(g).filter(|r| r.starts_with([' ', ','])));
        let chat = || {
            CHAT.iter()
                .filter(|c| behind(c).is_some_and(|r| r.starts_with([' ', ',', ':'])))
                .max_by_key(|c| c.len())
                .and_then(|c| behind(c))
        };
        let Some(next) = greeting.or_else(hello).or_else(chat) else { return rest };
        let next = next.trim_start_matches([' ', ',', '.', '!', '-', ';', ':']);
        if next.is_empty() {
            return rest;
        }
        rest = next;
    }
}

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
        let line = to_the_point(line);
        // A place stands for itself between commas, or behind "in".
        let placed = if self.place().is_none() { self.place_within(line) } else { None };
        let mut text = String::new();
        let mut rest = line;
        if let Some(placed) = &placed {
            text.push_str(&self.place_chosen(&placed.codes, &placed.said).text);
            rest = placed.rest.trim_matches([',', ';', ' ', '.']);
            if rest.is_empty() {
                return Outcome { text, understood: true, ..Outcome::default() };
            }
            self.town = Some(placed.said.clone());
        }
        let heard = self.listener.hear(rest, &self.context());
        // What the rule book only has something to say to names no job: "my daughter has been chewing the sill".
        let remark =
            |s: &Said| if let Said::Remark { says, .. } = s { Some(says.clone()).filter(|r| self.is_of_the_book(r)) } else { None };
        let remarks: Option<Vec<String>> = heard.said.iter().map(remark).collect();
        if let Some(remarks) = remarks.filter(|r| !r.is_empty()) {
            text.push_str(&remarks.iter().map(|r| self.page().paragraph("  ", "    ", r)).collect::<String>());
            return Outcome { text, understood: true, ..Outcome::default() };
        }
        let element = self.book.base.vocabulary.with(FactRole::Element);
        let part = heard.said.iter().find_map(|s| match s {
            Said::Fact(f) if Some(f.fact) == element => Some(f.at.clone()),
            _ => None,
        });
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
            // Where that was all that was not understood, everything was.
            let nothing = self.page().paragraph("  ", "    ", "Not understood: . `note …` keeps it as a remark.");
            if outcome.text.contains(&nothing) {
                outcome.text = outcome.text.replace(&nothing, "");
                outcome.understood = true;
            }
            outcome
        } else if let Some(named) = self.named_by_what_it_is(rest, &heard, true) {
            self.new_surface(&named, rest, &heard)
        } else if is_a_sentence(rest) {
            self.take(rest, &heard)
        } else {
            self.names_the_job(rest, &heard)
        };
        outcome.text = format!("{text}{}", outcome.text);
        outcome
    }

    /// The name of a surface that is told by what it is made of or painted with: `painted brick front`, `cedar shingles`.
    pub(super) fn named_by_what_it_is(&self, line: &str, heard: &Heard, opening: bool) -> Option<String> {
        let of_surface = |f: &FactId| matches!(self.book.base.vocabulary.get(*f).about, About::Surface | About::Coat);
        let mut start = 0;
        for segment in line.split_inclusive([',', ';']) {
            let range = start..start + segment.len();
            start = range.end;
            let within: Vec<&Statement> = heard
                .said
                .iter()
                .filter_map(|s| if let Said::Fact(f) = s { Some(f) } else { None })
                .filter(|f| range.contains(&f.at.start))
                .collect();
            let says = within.iter().any(|f| of_surface(&f.fact));
            let words = segment.trim_matches([',', ';', ' ', '.']);
            // A doubt or a value alone is no name: "asbestos maybe".
            let sure = within.iter().all(|f| f.readings.iter().all(|r| r.sure) || f.readings.len() > 1);
            let thing = within.iter().any(|f| {
                let fact = self.book.base.vocabulary.get(f.fact);
                matches!(fact.kind, FactKind::Entry(_)) && fact.about == About::Surface
            });
            let told = within.iter().filter(|f| of_surface(&f.fact)).map(|f| f.at.end).max().unwrap_or(range.end);
            let more = opening || line.get(told..range.end).is_some_and(|behind| behind.contains(char::is_alphabetic));
            // "11 Larch Terrace", "Oak House": an address or a house by its name is made of nothing.
            let site = within.iter().any(|f| self.book.base.vocabulary.get(f.fact).about == About::Site);
            let large = |w: &str| w.starts_with(char::is_uppercase);
            let address = site || words.starts_with(|c: char| c.is_ascii_digit()) || words.split_whitespace().skip(1).any(large);
            if says && sure && thing && more && !address {
                return name_in(words).map(str::to_owned);
            }
        }
        None
    }
}
