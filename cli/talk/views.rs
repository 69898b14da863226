//! What the commands show: help, choices, what has been said, how things stand.

use super::commands::{self, Command, Entry, TABLE, What};
use super::document::At;
use super::effects::{counted, strength};
use super::session::{Asked, Outcome, READ_HERE, Session};
use crate::render;
use ovolo_engine::explain::Question;
use ovolo_engine::finding::{Ruling, Status};
use ovolo_engine::judge::Verdict;
use ovolo_engine::survey::{Facts, Stated};
use ovolo_engine::vocabulary::{About, FactKind};
use ovolo_engine::words;
use std::fmt::Write as _;
use std::sync::Arc;

/// The most methods that are named of those that hang on a question.
const MOST_HANGING: usize = 3;

/// What came of a command, or why it means nothing here.
pub(super) type Told = Result<Outcome, String>;

pub(super) fn told(text: String) -> Told {
    Ok(Outcome { text, understood: true, ..Outcome::default() })
}

impl Session<'_> {
    pub(super) fn command(&mut self, command: &Command) -> Told {
        let rest = command.rest.as_str();
        match command.what {
            What::Help => self.help(rest),
            What::Choices => told(self.choices()),
            What::More if self.more.is_empty() => told("  There is no more to tell.\n".to_owned()),
            What::More => told(self.more.clone()),
            What::Why if rest.is_empty() => told(self.why_asked()),
            // "Why can't I just pressure wash it": the way of working stands in a sentence.
            What::Why => match (self.why(rest), self.method_asked(rest)) {
                (Err(_), Some((method, _))) => self.why_method(method),
                (Err(_), None) if rest.split_whitespace().count() > 3 => told(self.page().paragraph(
                    "  ",
                    "    ",
                    "Nothing here answers that. `why METHOD` tells why a way of working stands as it does.",
                )),
                (why, _) => why,
            },
            What::Skip => Ok(self.skip()),
            What::Questions => told(self.left_to_ask()),
            What::State => told(self.so_far()),
            What::Methods => self.methods(),
            What::Change => self.what_would_change(rest),
            What::Suppose => self.what_if(rest),
            What::Compare => self.compare(rest),
            What::Check => self.check(rest, false),
            What::Propose => self.check(rest, true),
            What::Watch => self.watch(),
            What::Advice => match rest {
                "" => Ok(Outcome { understood: true, advice: Some(false), ..Outcome::default() }),
                "all" => Ok(Outcome { understood: true, advice: Some(true), ..Outcome::default() }),
                _ => Err("Say `advice` or `advice all`.".to_owned()),
            },
            What::Set => {
                let (fact, value) = self.fact_before(rest)?;
                Ok(self.set(fact, &value))
            }
            What::Forget => self.forget(rest),
            What::Undo => self.undo(rest),
            What::Redo => self.redo(rest),
            What::Surfaces => told(self.surfaces()),
            What::Go => self.go(rest),
            What::Next => self.go_next(),
            What::Add => self.add(rest),
            What::Copy => self.copy(rest),
            What::Rename => self.rename(rest),
            What::Remove => self.remove(rest),
            What::Note => self.note(rest),
            What::Depart => self.depart(rest),
            What::Title => Ok(self.title_said(rest.trim_matches('"'))),
            What::Place if self.fixed.place.is_some() => Err(Self::held("place", self.fixed.place.as_deref().unwrap_or(""))),
            What::Date if self.fixed.date.is_some() => Err(Self::held("date", &self.date().to_string())),
            What::Place => self.place_said(rest).ok_or_else(|| {
                format!("`{rest}` is not a place that is known here. Name a country or state, or a code such as GB-ENG or US-MA.")
            }),
            What::Date => match rest.parse::<jiff::civil::Date>() {
                Ok(day) => Ok(self.head("date", &day.to_string(), &format!("advice is for {day}"))),
                Err(_) => Err(format!("`{rest}` is not a day; say for example 2026-09-01.")),
            },
            What::Reload => Ok(Outcome { understood: true, reload: true, ..Outcome::default() }),
            What::Quit => Ok(Outcome { understood: true, leave: true, ..Outcome::default() }),
        }
    }

    /// What to say where the command line settles it.
    fn held(what: &str, value: &str) -> String {
        format!("This session was begun with `--{what} {value}` and keeps to it: leave, and begin it without.")
    }

    /// All commands on one screen, or one of them.
    fn help(&self, word: &str) -> Told {
        let page = self.page();
        let usage = |e: &Entry, word: &str| format!("{word} {}", e.usage).trim_end().to_owned();
        if !word.is_empty() {
            let wanted = word.trim_matches('`').to_lowercase();
            let found = commands::entries().find(|e| e.words.contains(&wanted.as_str()));
            let Some(e) = found else { return Err(format!("`{word}` is no word for anything here; `help` lists those that are.")) };
            let ways: Vec<String> = e.words.iter().map(|w| format!("`{}`", usage(e, w))).collect();
            return told(page.paragraph("  ", "    ", &format!("{}: {}.", words::list(&ways, "or"), e.help)));
        }
        let lead = "Answer in your own words, several things at once if you like; a word in quotes is always an answer. Besides:";
        let mut text = page.paragraph("", "", lead);
        for (heading, entries) in TABLE {
            let all: Vec<String> = entries.iter().map(|e| format!("`{}` {}", usage(e, e.words[0]), e.help)).collect();
            text.push_str(&page.paragraph("", "  ", &format!("{heading}: {}.", all.join("; "))));
        }
        told(text)
    }

    fn choices(&self) -> String {
        let page = self.page();
        if self.asked == Some(Asked::Place) {
            let can = "A country or state by its name, such as England, Ireland or Massachusetts, or its code, such as GB-ENG; `skip` leaves local law out.";
            return page.paragraph("  ", "  ", can);
        }
        let Some(Asked::Fact { fact, .. }) = &self.asked else { return page.paragraph("  ", "  ", "Any words will do here.") };
        let fact = self.book.base.vocabulary.get(*fact);
        let catalogue = &self.book.base.catalogue;
        match &fact.kind {
            FactKind::YesNo => page.paragraph("  ", "  ", "yes or no"),
            FactKind::Number { unit, range, .. } => {
                let ends = range.bounds().map_or_else(String::new, |(low, high)| {
                    format!(", {} to {}", fact.show_number(low, self.survey.system), fact.show_number(high, self.survey.system))
                });
                let unit = if unit.dimension.is_number() {
                    "a number".to_owned()
                } else {
                    format!("a figure with its unit, such as 20 {}", unit.names[0])
                };
                page.paragraph("  ", "  ", &format!("{unit}{ends}; a range such as `4 to 6` or a doubt such as `about 5, I think` will do"))
            }
            FactKind::Year { .. } => {
                page.paragraph("  ", "  ", "a year, a decade, a time: 1890, about 1930, the thirties, Victorian, before 1978")
            }
            _ => {
                let mut text = String::new();
                for i in 0..fact.width(catalogue) {
                    let (id, title) = (fact.choice_id(i, catalogue), fact.choice_title(i, catalogue));
                    let says = said_for(fact, i, catalogue);
                    let more = if says.is_empty() {
                        String::new()
                    } else {
                        format!(" ({})", says.iter().take(5).cloned().collect::<Vec<_>>().join(", "))
                    };
                    let line = if id.replace('-', " ") == title { format!("{title}{more}") } else { format!("{id}: {title}{more}") };
                    text.push_str(&page.point(&line));
                }
                if matches!(fact.kind, FactKind::Several(_)) {
                    text.push_str(&page.paragraph("  ", "  ", "Several may hold: name them all, or say `none`."));
                }
                text
            }
        }
    }

    fn why_asked(&self) -> String {
        let page = self.page();
        let Some(Asked::Fact { fact, surface, coat }) = &self.asked else {
            let why = match self.asked {
                Some(Asked::Title | Asked::FirstSurface) => {
                    "The part, what it is made of and its age decide what may touch it; the place decides whose law holds."
                }
                Some(Asked::Place) => "The place decides whose law is applied; with none only what holds everywhere is.",
                _ => "Nothing is being asked just now.",
            };
            return page.paragraph("  ", "  ", why);
        };
        let surface = if self.book.base.vocabulary.get(*fact).about == About::Site { self.surface } else { *surface };
        let question = self.questions(surface).into_iter().find(|q| q.fact == *fact && q.coat == *coat);
        let f = self.book.base.vocabulary.get(*fact);
        let mut text = String::new();
        match question {
            Some(q) => {
                let why = q.ask.why.clone();
                text.push_str(&page.paragraph("  ", "  ", &format!("{}{}.", why[..1].to_uppercase(), &why[1..])));
                if !q.methods.is_empty() {
                    let mut titles: Vec<String> = q.methods.iter().map(|m| self.method_title(*m).to_owned()).collect();
                    if titles.len() > MOST_HANGING + 1 {
                        let others = counted(titles.len() - MOST_HANGING, "other", "others");
                        titles.truncate(MOST_HANGING);
                        titles.push(others);
                    }
                    let titles: Vec<&str> = titles.iter().map(String::as_str).collect();
                    text.push_str(&page.paragraph("  ", "  ", &format!("On it hang: {}.", words::list(&titles, "and"))));
                }
            }
            None => text.push_str(&page.paragraph("  ", "  ", "No verdict hangs on it, only what is to be watched.")),
        }
        text.push_str(&page.paragraph("  ", "  ", &format!("To find out: {}", f.help)));
        text
    }

    fn skip(&mut self) -> Outcome {
        match self.asked.take() {
            Some(asked) => {
                self.later.push(asked);
                Outcome { text: "  Left for later.\n".to_owned(), understood: true, ..Outcome::default() }
            }
            None => Outcome { text: "  Nothing is being asked.\n".to_owned(), ..Outcome::default() },
        }
    }

    fn left_to_ask(&mut self) -> String {
        let page = self.page();
        let skipped = self.later.len();
        self.later.clear();
        if self.survey.surfaces.is_empty() {
            return page.paragraph("  ", "  ", "First a surface has to be named.");
        }
        let mut all = self.questions(self.surface);
        let more = self.behind_cautions(self.surface);
        all.extend(more);
        let mut text =
            if skipped > 0 { page.paragraph("  ", "  ", "What was left for later is asked again from now on.") } else { String::new() };
        if all.is_empty() {
            text.push_str(&page.paragraph("  ", "  ", "Nothing is left that would change a verdict or a caution here."));
        }
        for q in all.iter().take(15) {
            text.push_str(&page.point(&format!("{}{} {}", self.whom(q), q.ask.question, q.ask.why)));
        }
        if all.len() > 15 {
            let _ = writeln!(text, "  and {} more", all.len() - 15);
        }
        let unsure = self.unsure();
        if !unsure.is_empty() {
            text.push_str(&page.paragraph("  ", "    ", &format!("Said with doubt, to be looked at: {}.", unsure.join("; "))));
        }
        text
    }

    /// The coat a question is about, where there are several.
    fn whom(&self, question: &Question) -> String {
        let coats = self.survey.surfaces.get(self.surface).and_then(|s| s.coats.as_ref()).map_or(1, Vec::len);
        match (self.book.base.vocabulary.get(question.fact).about, question.coat) {
            (About::Coat, Some(c)) if coats > 1 => format!("Coat {}: ", c + 1),
            _ => String::new(),
        }
    }

    /// Facts said with doubt, which count as open.
    fn unsure(&self) -> Vec<String> {
        let mut out = Vec::new();
        let mut look = |at: At, facts: &Facts, whom: &str| {
            for (id, stated) in facts {
                let fact = self.book.base.vocabulary.get(*id);
                if self.document.unsure(at, &fact.name) {
                    out.push(format!("{}{whom}: {}", fact.title, stated.written));
                }
            }
        };
        look(At::Site, &self.survey.site, "");
        for (s, surface) in self.survey.surfaces.iter().enumerate() {
            look(At::Surface(s), &surface.facts, &format!(" of {}", surface.name));
            for (c, coat) in surface.coats.iter().flatten().enumerate() {
                look(At::Coat(s, Some(c)), coat, &format!(" of {}, coat {}", surface.name, c + 1));
            }
        }
        out
    }

    /// Questions on which only cautions and notes hang.
    pub(super) fn behind_cautions(&self, surface: usize) -> Vec<Question> {
        let mut all =
            ovolo_engine::explain::caution_questions(&self.judge, &self.survey, surface, &self.outlooks[surface]).expect(READ_HERE);
        all.retain(|q| !self.later.contains(&self.asking(q, surface)));
        all
    }

    fn so_far(&self) -> String {
        let page = self.page();
        let mut text = page.paragraph(
            "",
            "  ",
            &format!("{}, as of {}{}.", self.survey.title, self.date(), self.place().map_or_else(String::new, |p| format!(", in {p}"))),
        );
        let facts = |facts: &Facts, at: At| -> Vec<String> {
            facts
                .iter()
                .map(|(id, stated)| {
                    let fact = self.book.base.vocabulary.get(*id);
                    let doubt = if self.document.unsure(at, &fact.name) { "; counts as open" } else { "" };
                    let by = stated.by.as_ref().map_or_else(String::new, |b| format!(" (by {b})"));
                    let value = if doubt.is_empty() { self.value_said(fact, &stated.known) } else { written(stated) };
                    format!("{}: {value}{by}{doubt}", fact.title)
                })
                .collect()
        };
        let site = facts(&self.survey.site, At::Site);
        if !site.is_empty() {
            text.push_str(&page.paragraph("Site: ", "  ", &format!("{}.", site.join("; "))));
        }
        for (s, surface) in self.survey.surfaces.iter().enumerate() {
            let told = facts(&surface.facts, At::Surface(s));
            let told = if told.is_empty() { "nothing said yet".to_owned() } else { told.join("; ") };
            text.push_str(&page.paragraph("", "  ", &format!("{}: {told}.", surface.name)));
            match &surface.coats {
                None => text.push_str(&page.paragraph("  ", "    ", "Nobody has looked at its coats.")),
                Some(coats) if coats.is_empty() => text.push_str(&page.paragraph("  ", "    ", "No coats: bare.")),
                Some(coats) => {
                    for (c, coat) in coats.iter().enumerate() {
                        let told = facts(coat, At::Coat(s, Some(c)));
                        let told = if told.is_empty() { "nothing said yet".to_owned() } else { told.join("; ") };
                        text.push_str(&page.paragraph("  ", "    ", &format!("Coat {}: {told}.", c + 1)));
                    }
                }
            }
            for proposal in &surface.proposals {
                let settings: Vec<String> = proposal
                    .settings
                    .iter()
                    .map(|(id, stated)| {
                        let fact = self.book.base.vocabulary.get(*id);
                        format!("{}: {}", fact.title, self.value_said(fact, &stated.known))
                    })
                    .collect();
                let with = if settings.is_empty() { String::new() } else { format!(", {}", settings.join(", ")) };
                text.push_str(&page.paragraph("  ", "    ", &format!("Proposed: {}{with}.", self.method_title(proposal.method.at()))));
            }
            if let Some(note) = &surface.note {
                text.push_str(&page.paragraph("  ", "    ", &format!("Note: {note}")));
            }
        }
        for d in &self.survey.departures {
            let until = d.until.map_or_else(String::new, |u| format!(" until {u}"));
            text.push_str(&page.paragraph("", "  ", &format!("Departure from {}{until}, by {}: {}", d.rule, d.who, d.why)));
        }
        if let Some(note) = &self.survey.note {
            text.push_str(&page.paragraph("", "  ", &format!("Note: {note}")));
        }
        text
    }

    pub(super) fn outlook(&self) -> Result<&Arc<ovolo_engine::explain::Outlook>, String> {
        self.outlooks.get(self.surface).ok_or_else(|| "There is no surface yet: `add NAME` begins one.".to_owned())
    }

    fn methods(&self) -> Told {
        let outlook = self.outlook()?;
        let page = self.page();
        let mut text = page.paragraph("", "", &format!("On {}:", self.survey.surfaces[self.surface].name));
        for verdict in [Verdict::Suited, Verdict::SuitedWithCare, Verdict::OnHold, Verdict::CantTellYet, Verdict::RuledOut] {
            let titles: Vec<&str> =
                outlook.verdicts().enumerate().filter(|(_, v)| *v == verdict).map(|(m, _)| self.method_title(m)).collect();
            if !titles.is_empty() {
                text.push_str(&page.paragraph("  ", "    ", &format!("{}: {}.", verdict.word(), words::list(&titles, "and"))));
            }
        }
        told(text)
    }

    fn watch(&self) -> Told {
        let outlook = self.outlook()?;
        let certain: Vec<usize> = outlook.spoken().iter().filter(|s| s.certain).map(|s| s.rule).collect();
        let mut notices = ovolo_engine::explain::said(&self.judge, &self.survey, self.surface, &|r| certain.contains(&r)).expect(READ_HERE);
        notices.retain(|n| n.status == Status::Applies);
        notices.sort_by_key(|n| (n.ruling != Ruling::Hold, n.ruling != Ruling::Caution, strength(n.basis)));
        let page = self.page();
        let mut text = String::new();
        if notices.is_empty() {
            text.push_str("  Nothing for certain yet: what is not known may still bring something.\n");
        }
        for n in &notices {
            let instead = n.instead.as_ref().map_or_else(String::new, |i| format!(" {i}"));
            text.push_str(&page.point(&format!("{}: {}{instead} [{}]", n.ruling, n.says, render::ground(n))));
        }
        let open = outlook.spoken().iter().filter(|s| !s.certain).count();
        if open > 0 {
            let _ = writeln!(text, "  and {} on what is not known yet", counted(open, "that depends", "that depend"));
        }
        told(text)
    }

    fn surfaces(&self) -> String {
        let page = self.page();
        let mut text = String::new();
        for (s, (surface, outlook)) in self.survey.surfaces.iter().zip(&self.outlooks).enumerate() {
            let count = |v: &[Verdict]| outlook.verdicts().filter(|x| v.contains(x)).count();
            let here = if s == self.surface { " (here)" } else { "" };
            text.push_str(&page.point(&format!(
                "{}{here}: {} suit, {} on hold, {} open, {} out",
                surface.name,
                count(&[Verdict::Suited, Verdict::SuitedWithCare]),
                count(&[Verdict::OnHold]),
                count(&[Verdict::CantTellYet]),
                count(&[Verdict::RuledOut])
            )));
        }
        if text.is_empty() { "  There is no surface yet: `add NAME` begins one.\n".to_owned() } else { text }
    }
}

fn said_for<'f>(fact: &'f ovolo_engine::vocabulary::Fact, i: usize, catalogue: &'f ovolo_engine::catalogue::Catalogue) -> &'f [String] {
    match &fact.kind {
        FactKind::Choice(c) | FactKind::Several(c) => &c[i].says,
        FactKind::Entry(kind) => &catalogue.entries(*kind)[i].says,
        _ => &[],
    }
}

fn written(stated: &Stated) -> String {
    stated.written.trim_matches('"').to_owned()
}
