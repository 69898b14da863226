//! A first line that names no surface: what the job is called, and every fact that it holds.

use super::document::quoted;
use super::passing::{name_in, place_of};
use super::session::{Outcome, Pending, Session, Then};
use ovolo_engine::answer::{Heard, Said, Statement};
use ovolo_engine::vocabulary::{About, FactKind};
use std::ops::Range;

/// The most words of a part of the line that is taken for a name and no sentence.
const NAME: usize = 4;

impl Session<'_> {
    /// Names the job after the line, or after the part of it that is a name, and takes what the line says besides.
    pub(super) fn names_the_job(&mut self, line: &str, heard: &Heard) -> Outcome {
        let parts = parts(line);
        let said_in = |part: &Range<usize>| heard.said.iter().filter_map(place_of).any(|at| at.start < part.end && part.start < at.end);
        // The name stands first; what follows belongs to it as long as it is a name and says nothing.
        let names = parts.iter().skip(1).take_while(|p| {
            let words = &line[(*p).clone()];
            (!said_in(p) || is_number_of_a_door(words)) && name_in(words).is_some() && words.split_whitespace().count() <= NAME
        });
        let title = parts.first().map_or(0..line.len(), |first| first.start..names.last().unwrap_or(first).end);
        let within = |at: &Range<usize>| title.start <= at.start && at.end <= title.end;
        let name = line[title.clone()].trim_matches(|c: char| c.is_whitespace() || matches!(c, '"' | ',' | ';' | '.'));
        let titled = self.head("title", &quoted(name), &format!("the job is called {name}"));
        let plain = !heard.unheard.iter().any(within);
        // A house can be called Oak House: of its name only what is said of the site is taken, and all of that only where every
        // word of it was understood.
        let vocabulary = &self.book.base.vocabulary;
        let of_site = |f: &Statement| {
            let fact = vocabulary.get(f.fact);
            let eases = f.readings.iter().any(|r| fact.eased_by(&r.known));
            // A name is full of words that are nobody's slip.
            if f.readings.iter().any(|r| r.echo.contains("(typed as")) {
                return false;
            }
            fact.about == About::Site && (plain || !eases && !matches!(fact.kind, FactKind::Number { .. }))
        };
        let mut rest = Heard { said: heard.said.clone(), unheard: heard.unheard.iter().filter(|u| !within(u)).cloned().collect() };
        let mut of_surface = false;
        rest.said.retain(|s| match s {
            Said::Fact(f) if within(&f.at) => of_site(f),
            Said::Fact(f) if vocabulary.get(f.fact).about == About::Site => true,
            Said::Fact(_) => {
                of_surface = true;
                false
            }
            Said::Coats(coats) => {
                of_surface |= place_of(s).is_none_or(|at| !within(&at)) || coats.is_empty();
                false
            }
            Said::Remark { at, .. } | Said::NotKnown { at, .. } => !within(at),
        });
        // A job can hardly be called "flaking".
        of_surface |= plain
            && heard.said.iter().any(|s| match s {
                Said::Fact(f) => {
                    let fact = vocabulary.get(f.fact);
                    fact.about == About::Coat || fact.about == About::Surface && matches!(fact.kind, FactKind::Choice(_))
                }
                _ => false,
            });
        let mut outcome = titled;
        if of_surface {
            // What is said of a surface waits for its name; the words are heard again then.
            rest.unheard.clear();
            let ask = "What is this surface called, such as `front door`?".to_owned();
            self.pending.push_back(Pending::Text { ask, then: Then::SurfaceName { line: line.to_owned() } });
        }
        let states = rest.said.iter().any(|s| matches!(s, Said::Fact(_)));
        if states {
            let more = self.take(line, &rest);
            outcome.text.push_str(&more.text);
            outcome.understood &= more.understood;
        } else if !rest.unheard.is_empty() {
            let parts: Vec<String> = rest.unheard.iter().map(|u| format!("`{}`", line[u.clone()].trim())).collect();
            let told = format!("Not understood: {}. `note …` keeps it as a remark.", parts.join(", "));
            outcome.text.push_str(&self.page().paragraph("  ", "    ", &told));
            outcome.understood = false;
        }
        outcome
    }
}

/// "Apartment 3C", "flat 2": part of an address.
fn is_number_of_a_door(words: &str) -> bool {
    let mut words = words.split_whitespace();
    let (first, last) = (words.next().unwrap_or(""), words.next_back().unwrap_or(""));
    let digits = last.chars().filter(char::is_ascii_digit).count();
    first.chars().all(char::is_alphabetic) && (1..=3).contains(&digits) && last.len() <= 4
}

/// The parts of a line between commas, without the spaces round them.
fn parts(line: &str) -> Vec<Range<usize>> {
    let mut out = Vec::new();
    let mut start = 0;
    for piece in line.split_inclusive([',', ';']) {
        let words = piece.trim_end_matches([',', ';']);
        let from = start + (words.len() - words.trim_start().len());
        let to = start + words.trim_end().len();
        start += piece.len();
        if from < to {
            out.push(from..to);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::{is_number_of_a_door, parts};

    #[test]
    fn a_line_falls_into_parts_at_its_commas() {
        let line = " terrace house , built about 1885;  family";
        let texts: Vec<&str> = parts(line).into_iter().map(|r| &line[r]).collect();
        assert_eq!(texts, ["terrace house", "built about 1885", "family"]);
    }

    #[test]
    fn an_address_is_told_from_a_year() {
        assert!(is_number_of_a_door("apartment 3C"));
        assert!(!is_number_of_a_door("about 1885"));
        assert!(!is_number_of_a_door("three flats"));
    }
}
