//! From what was made of a line to the survey: changing it, and saying what was understood and what that changed.

use super::document::{Edit, quoted};
use super::session::{Asked, Outcome, Pending, Session};
use ovolo_engine::explain::Outlook;
use ovolo_engine::vocabulary::{About, Fact, FactId, FactKind};
use ovolo_engine::words;
use std::fmt::Write as _;
use std::sync::Arc;

/// Words for people that say nothing of the job.
const PEOPLE: &[&str] = &[
    "fella", "fellow", "owner", "owners", "bloke", "chap", "guy", "lad", "lads", "mate", "geezer", "lady", "old", "owned", "client",
    "landlord",
];

/// What is made of a line before anything is changed.
#[derive(Debug, Default)]
pub(super) struct Made {
    pub(super) edits: Vec<Edit>,
    /// What was understood, piece by piece.
    pub(super) echo: Vec<String>,
    /// What has to be asked back about.
    pub(super) back: Vec<Pending>,
    pub(super) remarks: Vec<String>,
    /// What cannot be kept, and why.
    pub(super) refused: Vec<String>,
    /// What was said with doubt, and is not asked again at once.
    pub(super) doubted: Vec<Asked>,
    pub(super) not_known: Vec<Option<FactId>>,
    pub(super) unheard: Vec<String>,
    /// How many coats the line listed.
    pub(super) stack: Option<usize>,
}

impl Made {
    /// Whether nothing at all was made of the line.
    pub(super) fn is_empty(&self) -> bool {
        self.edits.is_empty() && self.back.is_empty() && self.remarks.is_empty() && self.refused.is_empty() && self.not_known.is_empty()
    }
}

impl Session<'_> {
    /// Makes the changes, shows what came of them, and leaves the rest to be asked back about.
    /// Where something was changed already for this line, `before` is how things stood then.
    pub(super) fn settle(&mut self, mut made: Made, before: Option<Vec<Arc<Outlook>>>) -> Outcome {
        let mut text = String::new();
        let page = self.page();
        if made.is_empty() {
            return Outcome { text: self.not_understood(), ..Outcome::default() };
        }
        let mut understood = made.unheard.is_empty() && made.refused.is_empty();
        self.later.extend(made.doubted);
        for not_known in made.not_known {
            text.push_str(&self.left_open(not_known));
        }
        if !made.edits.is_empty() {
            let echo = made.echo.join("; ");
            match self.state_from(&made.edits, &echo, before, !made.remarks.is_empty()) {
                Ok(told) => {
                    text.push_str(&told);
                    // One remark of the rule book is enough at a time.
                    for remark in made.remarks.drain(made.remarks.len().min(1)..) {
                        self.more.push_str(&page.paragraph("  ", "    ", &remark));
                    }
                }
                Err(why) => {
                    understood = false;
                    text.push_str(&page.paragraph("  ", "    ", &format!("That cannot be kept: {why}.")));
                }
            }
        }
        for remark in made.remarks {
            text.push_str(&page.paragraph("  ", "    ", &remark));
        }
        for refused in made.refused {
            text.push_str(&page.paragraph("  ", "    ", &refused));
        }
        // Who people are is nothing to be kept, where the rest was understood.
        let people =
            |u: &String| u.split_whitespace().all(|w| PEOPLE.contains(&w.to_lowercase().trim_matches(|c: char| !c.is_alphanumeric())));
        if !(text.is_empty() || made.unheard.is_empty()) && made.unheard.iter().all(people) {
            made.unheard.clear();
        }
        if !made.unheard.is_empty() {
            let parts: Vec<String> = made.unheard.iter().map(|u| format!("`{u}`")).collect();
            text.push_str(&page.paragraph("  ", "    ", &format!("Not understood: {}. `note …` keeps it as a remark.", parts.join(", "))));
        }
        if !made.back.is_empty() {
            // Where the same line changed something, what is asked back goes when that is taken back.
            self.put_at = if made.edits.is_empty() { 0 } else { self.now };
        }
        self.pending.extend(made.back);
        Outcome { text, understood, ..Outcome::default() }
    }

    /// Keeps words as a note where the rule book says so: a danger that no fact takes in is not lost.
    pub(super) fn keep(&self, line: &str, says: &str, at: &std::ops::Range<usize>, made: &mut Made) {
        if !self.book.phrases.iter().any(|p| p.kept && p.remark.as_deref() == Some(says)) {
            return;
        }
        let from = line[..at.start].rfind([',', ';']).map_or(0, |i| i + 1);
        let to = line[at.end..].find([',', ';']).map_or(line.len(), |i| at.end + i);
        let text = line[from..to].trim().to_owned();
        made.unheard.retain(|u| !text.contains(u.as_str()));
        let here = self.survey.surfaces.get(self.surface);
        let stands = here.map_or(self.survey.note.as_deref(), |s| s.note.as_deref());
        let told = made.edits.iter().any(|e| matches!(e, Edit::Note { text: other, .. } if *other == text));
        if told || stands.is_some_and(|n| n.lines().any(|l| l == text)) {
            return;
        }
        made.echo.push(format!("a note, “{text}”"));
        made.edits.push(Edit::Note { surface: here.map(|_| self.surface), text });
    }

    /// Changes the survey and says what was understood and what it changed.
    pub(super) fn state(&mut self, edits: &[Edit], echo: &str) -> Result<String, String> {
        self.state_from(edits, echo, None, false)
    }

    /// What was noted and what is said of it first, set as one paragraph.
    pub(super) fn in_one_paragraph(&self, lead: &str, text: &str) -> String {
        let page = self.page();
        let noted: Vec<&str> = text
            .lines()
            .enumerate()
            .take_while(|(i, l)| if *i == 0 { l.starts_with("  Noted: ") } else { l.starts_with("    ") })
            .map(|(_, l)| l)
            .collect();
        if noted.is_empty() {
            return format!("{}{text}", page.paragraph("  ", "    ", lead));
        }
        let rest: String = text.lines().skip(noted.len()).flat_map(|l| [l, "\n"]).collect();
        let whole = noted.iter().map(|l| l.trim()).collect::<Vec<_>>().join(" ");
        format!("{}{rest}", page.paragraph("  ", "    ", &format!("{lead} {whole}")))
    }

    fn state_from(&mut self, edits: &[Edit], echo: &str, earlier: Option<Vec<Arc<Outlook>>>, remarked: bool) -> Result<String, String> {
        let (edits, echo) = self.as_far_as_shown(edits, echo);
        let (mut edits, mut echo) = (edits, echo);
        let (doubts, titles) = self.against_a_finding(&edits);
        if !doubts.is_empty() {
            edits.extend(doubts);
            let _ = write!(echo, ". A reading on record says otherwise, so this is kept as a doubt: {}", words::list(&titles, "and"));
        }
        let (edits, echo) = (edits.as_slice(), echo.as_str());
        let last = self.change(edits, echo)?;
        self.last = edits.to_vec();
        let before = earlier.unwrap_or(last);
        let mut text = self.page().paragraph("  ", "    ", &format!("Noted: {echo}."));
        let mut more = self.if_so(edits);
        more.push_str(&self.effect(&before, &self.outlooks, &self.survey));
        if !self.survey.surfaces.is_empty() {
            more.push_str(&self.left());
            text.push_str(&self.brief(&before, remarked));
        }
        self.more = more;
        // The same question is not put again at once where something was answered.
        self.just = self.put.clone().filter(|a| match a {
            Asked::Fact { fact, .. } => edits.iter().any(|e| matches!(e, Edit::Fact { fact: f, .. } if f == fact)),
            _ => false,
        });
        Ok(text)
    }

    /// What would follow from what was said with doubt.
    fn if_so(&self, edits: &[Edit]) -> String {
        let sure: Vec<Edit> = edits
            .iter()
            .filter_map(|e| match e {
                Edit::Fact { at, fact, toml } => {
                    let plain = undoubted(toml)?;
                    Some(Edit::Fact { at: *at, fact: *fact, toml: plain })
                }
                _ => None,
            })
            .collect();
        if sure.is_empty() {
            return String::new();
        }
        let Ok((_, survey)) = self.tried(&sure) else { return String::new() };
        let effect = self.effect(&self.outlooks, &self.outlooks_of(&survey), &survey);
        if effect.is_empty() { String::new() } else { format!("  If it is so, then:\n{}", indented(&effect)) }
    }

    /// A question is left open: nobody knows.
    fn left_open(&mut self, fact: Option<FactId>) -> String {
        let asked = self.asked.clone();
        let (title, help) = match (fact, &asked) {
            (Some(f), _) => {
                let f = self.book.base.vocabulary.get(f);
                (f.title.clone(), f.help.clone())
            }
            (None, Some(Asked::Fact { fact, .. })) => {
                let f = self.book.base.vocabulary.get(*fact);
                (f.title.clone(), f.help.clone())
            }
            _ => ("that".to_owned(), String::new()),
        };
        match (fact, asked) {
            (Some(f), Some(Asked::Fact { fact, .. })) if f != fact => {
                let coat = (self.book.base.vocabulary.get(f).about == About::Coat).then_some(0);
                let surface = if self.book.base.vocabulary.get(f).about == About::Site { 0 } else { self.surface };
                self.later.push(Asked::Fact { fact: f, surface, coat });
            }
            (_, Some(asked)) => self.later.push(asked),
            _ => {}
        }
        let how = if help.is_empty() { String::new() } else { format!(" To find out: {help}") };
        self.page().paragraph("  ", "    ", &format!("Left open: {title}. It stays a question until somebody has looked.{how}"))
    }

    /// What to say when nothing of a line was understood.
    pub(super) fn not_understood(&self) -> String {
        let can = match &self.asked {
            // What waits is another question than the one whose answers would be named here.
            _ if self.meanwhile => "Not understood. `choices` shows the answers to what waits; `note …` keeps a remark.".to_owned(),
            Some(Asked::Fact { fact, .. }) => {
                let fact = self.book.base.vocabulary.get(*fact);
                format!("Not understood. {} `choices` lists them, `skip` goes on, `help` shows what else can be said.", self.answerable(fact))
            }
            Some(Asked::Place) => {
                "Not understood as a place. Name a country or state, such as England or Massachusetts, or its code, such as GB-ENG; `skip` goes on."
                    .to_owned()
            }
            _ => "Not understood. `help` shows what can be said; `note …` keeps a remark.".to_owned(),
        };
        self.page().paragraph("  ", "    ", &can)
    }

    fn answerable(&self, fact: &Fact) -> String {
        let catalogue = &self.book.base.catalogue;
        match &fact.kind {
            FactKind::YesNo => "Answer yes or no.".to_owned(),
            FactKind::Number { unit, .. } if unit.dimension.is_number() => "Answer with a number, or a range such as 4 to 6.".to_owned(),
            FactKind::Number { unit, .. } => format!("Answer with a figure and its unit, such as 20 {}.", unit.names[0]),
            FactKind::Year { .. } => "Answer with a year or a time, such as 1890, about 1930 or Victorian.".to_owned(),
            FactKind::Choice(_) | FactKind::Several(_) | FactKind::Entry(_) => {
                let titles: Vec<&str> = (0..fact.width(catalogue).min(4)).map(|i| fact.choice_title(i, catalogue)).collect();
                format!("Answers are such as {}.", words::list(&titles, "or"))
            }
        }
    }

    /// Changes a line of `[survey]`.
    pub(super) fn head(&mut self, key: &'static str, toml: &str, echo: &str) -> Outcome {
        match self.state(&[Edit::Head { key, toml: toml.to_owned() }], echo) {
            Ok(text) => Outcome { text, understood: true, ..Outcome::default() },
            Err(why) => {
                Outcome { text: self.page().paragraph("  ", "    ", &format!("That cannot be kept: {why}.")), ..Outcome::default() }
            }
        }
    }
}

/// A value with its doubt, as a survey writes it.
pub(super) fn doubted(toml: &str) -> String {
    match toml.trim().strip_prefix('{').and_then(|t| t.strip_suffix('}')) {
        Some(inside) => format!("{{ {}, sure = false }}", inside.trim().trim_end_matches(',')),
        None => format!("{{ value = {toml}, sure = false }}"),
    }
}

/// A value with its doubt, and who it comes from.
pub(super) fn doubted_by(toml: &str, by: Option<&str>) -> String {
    let doubted = doubted(toml);
    match (by, doubted.strip_suffix("sure = false }")) {
        (Some(by), Some(before)) => format!("{before}by = {}, sure = false }}", quoted(by)),
        _ => doubted,
    }
}

/// A doubted value without its doubt.
fn undoubted(toml: &str) -> Option<String> {
    let inside = toml.trim().strip_prefix('{')?.strip_suffix('}')?.trim().strip_suffix("sure = false")?.trim().trim_end_matches(',').trim();
    let inside = inside.rfind(", by = ").map_or(inside, |at| &inside[..at]);
    match inside.strip_prefix("value = ") {
        Some(plain) => Some(plain.to_owned()),
        None => Some(format!("{{ {inside} }}")),
    }
}

/// Text pushed in by two columns.
pub(super) fn indented(text: &str) -> String {
    let mut out = String::new();
    for line in text.lines() {
        let _ = writeln!(out, "  {line}");
    }
    out
}
