//! What has already happened: it is noted, and answered with what comes first, before anything else that a line says.

use super::commands;
use super::document::Edit;
use super::questions::Put;
use super::session::{Outcome, Pending, READ_HERE, Session};
use crate::render;
use ovolo_engine::aftermath::{self, Happening, Heard};
use ovolo_engine::explain::Circumstances;
use ovolo_engine::pack::Section;
use ovolo_engine::role::{ChoiceRole, FactRole};
use ovolo_engine::vocabulary::{About, FactKind};

/// The most things that are told at once; the rest is behind `more`.
const MOST_TOLD: usize = 3;
/// What a surface is called that has no name yet.
const NO_NAME: &str = "what was worked on";

impl Session<'_> {
    /// A line that says that something has happened.
    pub(super) fn happened(&mut self, line: &str) -> Option<Outcome> {
        // Names and remarks are free text, and what is said to be kept is kept.
        if matches!(self.pending.front(), Some(Pending::Text { .. })) || commands::parse(line).is_some() || line.starts_with(['"', '\'']) {
            return None;
        }
        let heard = aftermath::heard(line, self.book);
        if heard.is_empty() {
            return None;
        }
        let mut edits = Vec::new();
        let kinds: Vec<(About, String)> = heard.iter().map(|h| (h.about, kind_of(h))).collect();
        for (heard, (about, kind)) in heard.iter().zip(&kinds) {
            if !self.told(&self.survey).happenings.iter().any(|h| h.about == about.word() && h.kind.as_ref() == Some(kind)) {
                edits.extend(self.noted(heard, kind, &edits));
            }
        }
        if let Err(why) = self.change(&edits, line) {
            return Some(Outcome { text: self.page().paragraph("  ", "    ", &why), ..Outcome::default() });
        }
        let told = self.told(&self.survey);
        let mine = |h: &&Happening| kinds.iter().any(|(about, kind)| h.about == about.word() && h.kind.as_ref() == Some(kind));
        let told: Vec<Happening> = told.happenings.iter().filter(mine).cloned().collect();
        self.more = told.iter().map(|h| render::aftermath::one(h, &self.page())).collect();
        Some(Outcome { text: self.first_steps(&told, true), understood: true, ..Outcome::default() })
    }

    /// What is told of everything that has happened by a survey.
    fn told(&self, survey: &ovolo_engine::survey::Survey) -> aftermath::Aftermath {
        let when = Circumstances { place: self.place().map(str::to_owned), date: self.date() };
        aftermath::aftermath(survey, self.book, &when).expect(READ_HERE)
    }

    /// The changes that note what was heard.
    fn noted(&self, heard: &Heard, kind: &str, before: &[Edit]) -> Vec<Edit> {
        let mut facts: Vec<(String, String)> =
            heard.facts.iter().map(|(fact, toml)| (self.book.base.vocabulary.get(*fact).name.clone(), toml.clone())).collect();
        let mut edits = Vec::new();
        let here = self.survey.surfaces.get(self.surface).map(|s| s.name.clone());
        let surface = match heard.about {
            // A trouble is a surface's: where there is none yet one begins.
            About::Trouble => {
                if here.is_none() && !before.iter().any(|e| matches!(e, Edit::AddSurface { .. })) {
                    edits.push(Edit::AddSurface { name: NO_NAME.to_owned() });
                }
                Some(self.surface)
            }
            _ => {
                if let Some(name) = here.filter(|_| self.is_of_the_surface(kind)) {
                    facts.insert(0, ("surface".to_owned(), super::document::quoted(&name)));
                }
                None
            }
        };
        edits.push(Edit::Happened { surface, facts });
        edits
    }

    /// Whether an incident is about the surface that was worked on.
    fn is_of_the_surface(&self, kind: &str) -> bool {
        let vocabulary = &self.book.base.vocabulary;
        let Some(FactKind::Choice(choices)) = vocabulary.with(FactRole::Happened).map(|f| &vocabulary.get(f).kind) else { return false };
        choices.iter().any(|c| c.id == kind && c.role == Some(ChoiceRole::OfSurface))
    }

    /// What is asked once something has happened is asked about that: what to do now, whom to tell, how it is put right.
    pub(super) fn asked_afterwards(&self, put: &Put) -> Option<String> {
        const WHOM: &[&str] = &["call", "ring", "tell", "report", "inform", "notify", "phone", "contact"];
        const PUT_RIGHT: &[&str] = &["clean", "off", "out", "rid", "fix", "mend", "repair", "right", "save", "undo"];
        if !self.survey.has_happened() {
            return None;
        }
        let told = self.told(&self.survey).happenings;
        let of = |wanted: &[Section]| -> Vec<String> {
            let parts = told.iter().flat_map(|h| &h.sections).filter(|s| wanted.contains(&s.part));
            parts.flat_map(|s| &s.pieces).filter(|p| p.depends_on.is_none()).map(|p| p.says.clone()).take(MOST_TOLD).collect()
        };
        let lines = if put.words().any(|w| WHOM.contains(&w)) && put.words().any(|w| ["who", "whom", "anyone", "anybody"].contains(&w)) {
            of(&[Section::Tell, Section::Call])
        } else if put.first() == "how" && put.words().any(|w| PUT_RIGHT.contains(&w)) {
            of(&[Section::MakeSafe, Section::Clean])
        } else if put.for_the_best() && put.words().any(|w| ["now", "next", "about"].contains(&w)) {
            return Some(self.first_steps(&told, false));
        } else {
            return None;
        };
        let page = self.page();
        (!lines.is_empty()).then(|| lines.iter().map(|l| page.paragraph("  ", "    ", l)).collect())
    }

    /// What comes first, in a few lines.
    fn first_steps(&self, told: &[Happening], new: bool) -> String {
        let page = self.page();
        let titles: Vec<&str> = told.iter().map(|h| h.title.as_str()).collect();
        let urgent: Vec<&aftermath::Piece> = told.iter().flat_map(|h| &h.first).filter(|p| p.depends_on.is_none()).collect();
        // Whether to stop comes first, unless what cannot wait takes all the room there is.
        let full = urgent.len() >= MOST_TOLD;
        let answers = told.iter().flat_map(|h| &h.answer).filter(|_| !full);
        let causes = told.iter().flat_map(|h| &h.causes).map(|c| format!("{}? {}", c.title, c.test));
        let lines = answers.chain(urgent).map(|p| p.says.clone()).chain(causes);
        // With the question that follows that makes four lines.
        let mut lines: Vec<String> = lines.take(MOST_TOLD).collect();
        let noted = format!("Noted: {}. ", titles.join("; and "));
        match lines.first_mut() {
            Some(first) if new => first.insert_str(0, &noted),
            Some(_) => {}
            None => lines.push(noted),
        }
        if let Some(last) = lines.last_mut() {
            last.push_str(" (`more` tells the rest.)");
        }
        lines.iter().map(|line| page.paragraph("  ", "    ", line)).collect()
    }
}

/// The kind of what was heard.
fn kind_of(heard: &Heard) -> String {
    heard.facts.first().map(|(_, toml)| toml.trim_matches('"').to_owned()).unwrap_or_default()
}
