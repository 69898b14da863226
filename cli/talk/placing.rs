//! Where the work is, said in passing: "a front door in Bath", "sashes, Edinburgh, listed".

use super::document::{Edit, quoted};
use super::session::{Outcome, Pending, Session, Todo};

/// Words before the name of a place where the work is.
const AT: &[&str] = &["in", "at", "near", "outside"];

/// Verbs of what people do in a place that need not be the one of the work, and a denial.
const ELSEWHERE: &[&str] =
    &["live", "lives", "lived", "living", "based", "born", "works", "worked", "moved", "not", "isn't", "made", "bought", "trained"];

/// Words that go on with the sentence behind a place: "in Bath stone" names no place.
const ON: &[&str] = &[
    "that", "that's", "thats", "which", "with", "and", "is", "it's", "its", "where", "needs", "wants", "has", "are", "but", "for", "to",
    "so", "was", "they", "they're", "we", "i", "paint's", "paint", "on", "by", "off", "from", "there's", "now", "please", "built", "about",
    "outside", "inside",
];

/// English words that are places as well: in small letters they are taken for the word.
const WORDS_TOO: &[&str] = &[
    "reading",
    "deal",
    "rye",
    "bath",
    "battle",
    "ware",
    "wells",
    "street",
    "stone",
    "sandwich",
    "cork",
    "mobile",
    "mass",
    "cal",
    "la",
    "deutschland",
];

/// A line with the place it names taken out of it.
pub(super) struct Placed {
    /// What the place can be.
    pub(super) codes: Vec<String>,
    /// As it was said.
    pub(super) said: String,
    /// The line without it.
    pub(super) rest: String,
}

impl Session<'_> {
    /// The place that a line names beside other things; `None` where it names none, or several.
    pub(super) fn place_within(&self, line: &str) -> Option<Placed> {
        let mut found: Vec<Placed> = Vec::new();
        let mut start = 0;
        for part in line.split_inclusive([',', ';']) {
            let segment = part.trim_end_matches([',', ';']);
            let from = start;
            start += part.len();
            if let Some((codes, said)) = self.place_alone(segment.trim_matches([' ', '.', '!'])) {
                let rest = format!("{}{}", &line[..from], &line[start..]);
                found.push(Placed { codes, said, rest: rest.trim_matches([',', ';', ' ']).to_owned() });
                continue;
            }
            if let Some((codes, at, cut)) = self.place_inside(segment) {
                let rest = format!("{}{}", line[..from + cut].trim_end(), &line[from + at.end..]);
                found.push(Placed { codes, said: segment[at].to_owned(), rest: rest.trim_matches([',', ';', ' ']).to_owned() });
            }
        }
        // "Bath, England" is one place said in two parts.
        match found.len() {
            1 => found.pop(),
            2 => {
                let whole = self.book.places_in(&format!("{}, {}", found[0].said, found[1].said));
                let mut codes: Vec<String> = whole.into_iter().map(|(c, _)| c).collect();
                codes.dedup();
                let rest = self.place_within_first(line, &found[0].rest);
                (codes.len() == 1).then(|| Placed { codes, said: found[0].said.clone(), rest })
            }
            _ => None,
        }
    }

    /// A line without its second place, the first being out already.
    fn place_within_first(&self, line: &str, rest: &str) -> String {
        if rest == line { rest.to_owned() } else { self.place_within(rest).map_or_else(|| rest.to_owned(), |p| p.rest) }
    }

    /// The places some words are and nothing else. What may be another word as well ("bath") has to begin with a capital.
    fn place_alone(&self, words: &str) -> Option<(Vec<String>, String)> {
        let stripped = AT.iter().fold(words, |w, lead| w.strip_prefix(lead).and_then(|r| r.strip_prefix(' ')).unwrap_or(w));
        let found = self.book.places_in(stripped);
        let (_, at) = found.first()?;
        let one = found.iter().all(|(_, r)| r == at);
        let whole = at.len() + 1 >= stripped.len() || stripped.split_whitespace().all(|w| w.chars().next().is_some_and(char::is_uppercase));
        let sure = one && whole && self.is_place(stripped, &found) && !stripped.chars().any(|c| c.is_ascii_digit());
        sure.then(|| (found.into_iter().map(|(c, _)| c).collect(), stripped.to_owned()))
    }

    /// A place behind "in" at the end of some words, or where the sentence goes on; with where it stands and where "in" does.
    fn place_inside(&self, segment: &str) -> Option<(Vec<String>, std::ops::Range<usize>, usize)> {
        let found = self.book.places_in(segment);
        let (_, at) = found.first()?.clone();
        if !found.iter().all(|(_, r)| *r == at) {
            return None;
        }
        let before = segment[..at.start].trim_end();
        let lead = before.rsplit(' ').next().unwrap_or("");
        let cut = before.len() - lead.len();
        let earlier = before[..cut].trim_end().rsplit(' ').next().unwrap_or("").to_lowercase();
        let behind = segment[at.end..].trim_start_matches([' ', '.', '-']).split(' ').next().unwrap_or("").to_lowercase();
        let stands = AT.contains(&lead.to_lowercase().as_str())
            && !ELSEWHERE.contains(&earlier.as_str())
            && (behind.is_empty() || ON.contains(&behind.as_str()))
            && self.is_place(&segment[at.clone()], &found);
        stands.then(|| (found.into_iter().map(|(c, _)| c).collect(), at, cut))
    }

    /// Whether words that are the name of a place are meant as that: by their capital, or because they are no other word.
    fn is_place(&self, words: &str, found: &[(String, std::ops::Range<usize>)]) -> bool {
        let lower = words.to_lowercase();
        words.chars().next().is_some_and(char::is_uppercase)
            || found.iter().any(|(code, _)| self.book.place_title(code).is_some_and(|t| t.eq_ignore_ascii_case(words)))
            || !WORDS_TOO.contains(&lower.as_str()) && self.listener.hear(&lower, &self.context()).said.is_empty()
    }

    /// Takes a place, or asks which of several is meant.
    pub(super) fn place_chosen(&mut self, codes: &[String], words: &str) -> Outcome {
        if let [code] = codes {
            return self.place_taken(&code.clone());
        }
        let mut options: Vec<(String, Todo)> = codes
            .iter()
            .map(|code| {
                let title = self.book.place_title(code).map_or_else(|| code.clone(), |t| format!("{t} ({code})"));
                let edits = vec![Edit::Head { key: "place", toml: quoted(code) }];
                (title.clone(), Todo::Edits { edits, echo: format!("the place is {title}") })
            })
            .collect();
        options.push(("none of them".to_owned(), Todo::Leave));
        self.pending.push_back(Pending::Choose { ask: format!("Which `{words}` is it?"), options });
        Outcome { understood: true, ..Outcome::default() }
    }

    /// An answer to the question where the work is; `None` where it names no place. What is said beside the place is taken too.
    pub(super) fn place_said(&mut self, line: &str) -> Option<Outcome> {
        let words = line.trim_matches(['"', ' ', '.']);
        if let Some(placed) = self.place_within(words) {
            let mut outcome = self.place_chosen(&placed.codes, &placed.said);
            let heard = self.listener.hear(&placed.rest, &self.context());
            if !placed.rest.is_empty() && !heard.said.is_empty() {
                self.asked = None;
                let more = self.answer(&placed.rest);
                outcome.text.push_str(&more.text);
                outcome.understood &= more.understood;
            }
            return Some(outcome);
        }
        let found: Vec<String> = match self.book.places_called(words) {
            found if !found.is_empty() => found,
            _ => self.book.places_in(words).into_iter().map(|(c, _)| c).collect(),
        };
        if found.is_empty() {
            let code = self.book.place_named(words)?;
            return Some(self.place_taken(&code));
        }
        Some(self.place_chosen(&found, words))
    }

    fn place_taken(&mut self, code: &str) -> Outcome {
        let title = self.book.place_title(code).map_or_else(|| code.to_owned(), |t| format!("{t} ({code})"));
        self.head("place", &quoted(code), &format!("the place is {title}"))
    }
}
