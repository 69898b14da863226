//! What the commands show and do.

use super::answering::doubted;
use super::commands::{Command, TABLE, What};
use super::document::{At, Edit};
use super::effects::{counted, strength, title};
use super::session::{Asked, Outcome, Pending, Session, Then};
use crate::args::Length;
use crate::render::{self, Page};
use engine::advice::{Advice, MethodAdvice};
use engine::answer::{Context, Said};
use engine::catalogue::EntryKind;
use engine::explain::{Circumstances, Question};
use engine::judge::Verdict;
use engine::survey::{Facts, Proposal, Stated, departure_refused};
use engine::vocabulary::{About, FactId, FactKind};
use engine::words;
use std::fmt::Write as _;
use std::sync::Arc;

type Told = Result<Outcome, String>;

fn told(text: String) -> Told {
    Ok(Outcome { text, understood: true, ..Outcome::default() })
}

impl Session<'_> {
    pub(super) fn command(&mut self, command: &Command) -> Told {
        let rest = command.rest.as_str();
        match command.what {
            What::Help => told(self.help()),
            What::Choices => told(self.choices()),
            What::Why if rest.is_empty() => told(self.why_asked()),
            What::Why => self.why(rest),
            What::Skip => Ok(self.skip()),
            What::Questions => told(self.left_to_ask()),
            What::State => told(self.so_far()),
            What::Methods => self.methods(),
            What::Change => self.what_would_change(rest),
            What::WhatIf => self.what_if(rest),
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

    fn help(&self) -> String {
        let page = self.page();
        let mut text =
            page.paragraph("", "", "Answer in your own words, several things at once if you like; a word in quotes is always an answer.");
        for (heading, entries) in TABLE {
            let _ = writeln!(text, "{heading}");
            for e in *entries {
                let said = format!("{} {}", e.words[0], e.usage);
                text.push_str(&page.paragraph(&format!("  {:<34} ", said.trim_end()), "                                     ", e.help));
            }
        }
        text
    }

    fn choices(&self) -> String {
        let page = self.page();
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
            return page.paragraph("  ", "  ", "The first things only find the survey again and settle which law is applied.");
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
                    let titles: Vec<&str> = q.methods.iter().map(|m| self.method_title(*m)).collect();
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
            text.push_str(&page.point(&format!("{} {}", q.ask.question, q.ask.why)));
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
        let mut all = engine::explain::caution_questions(&self.judge, &self.survey, surface, &self.outlooks[surface]);
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
                    format!("{}: {}{by}{doubt}", fact.title, written(stated))
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
                text.push_str(&page.paragraph("  ", "    ", &format!("Proposed: {}.", self.method_title(proposal.method))));
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

    fn outlook(&self) -> Result<&Arc<engine::explain::Outlook>, String> {
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
                text.push_str(&page.paragraph("  ", "    ", &format!("{}: {}.", verdict.words(), words::list(&titles, "and"))));
            }
        }
        told(text)
    }

    fn circumstances(&self) -> Circumstances {
        Circumstances { place: self.fixed.place.clone(), date: self.date() }
    }

    /// A method by its id, its title, what people call it, or a beginning no other shares.
    pub(super) fn method_named(&self, words_said: &str) -> Result<usize, String> {
        let entries = self.book.base.catalogue.entries(EntryKind::Method);
        let said = words_said.trim().trim_end_matches(['?', '.']).trim().to_lowercase();
        let said = said.strip_prefix("the ").or_else(|| said.strip_prefix("a ")).unwrap_or(&said);
        let plain = |t: &str| t.to_lowercase().replace('-', " ");
        let said = plain(said);
        let is = |t: &str| plain(t) == said;
        if let Some(m) = entries.values().position(|e| is(&e.id) || is(&e.title) || e.says.iter().any(|s| is(s))) {
            return Ok(m);
        }
        let begins: Vec<usize> = entries
            .values()
            .enumerate()
            .filter(|(_, e)| said.len() > 2 && [&e.id, &e.title].into_iter().chain(&e.says).any(|t| plain(t).starts_with(&said)))
            .map(|(i, _)| i)
            .collect();
        match begins[..] {
            [one] => Ok(one),
            [] => {
                let known: Vec<&str> = entries
                    .values()
                    .flat_map(|e| [e.id.as_str(), e.title.as_str()].into_iter().chain(e.says.iter().map(String::as_str)))
                    .collect();
                match words::nearest(&said, known) {
                    Some(near) => Err(format!("There is no method `{}`; did you mean `{near}`? `methods` lists them.", words_said.trim())),
                    None => Err(format!("There is no method `{}`. `methods` lists them.", words_said.trim())),
                }
            }
            _ => {
                let titles: Vec<&str> = begins.iter().map(|m| self.method_title(*m)).collect();
                Err(format!("Which is meant: {}?", words::list(&titles, "or")))
            }
        }
    }

    fn looked_at(&self, method: usize, settings: Facts, flips: bool) -> Advice {
        let proposal = Proposal { method, settings, note: None };
        if flips {
            engine::explain::check(&self.survey, self.book, &self.circumstances(), self.surface, &proposal)
        } else {
            engine::explain::look(&self.survey, self.book, &self.circumstances(), self.surface, &proposal)
        }
    }

    fn why(&self, rest: &str) -> Told {
        self.outlook()?;
        let method = self.method_named(rest.trim_start_matches("not "))?;
        let advice = self.looked_at(method, Facts::new(), false);
        let Some(said) = advice.surfaces.first().and_then(|s| s.proposals.first()) else {
            return Err("Nothing can be said of it.".to_owned());
        };
        told(self.verdict_told(said))
    }

    /// A verdict with what decides it.
    fn verdict_told(&self, said: &MethodAdvice) -> String {
        let page = self.page();
        let mut text =
            page.paragraph("", "  ", &format!("{} on {}: {}.", said.title, self.survey.surfaces[self.surface].name, said.verdict));
        let mut deciding: Vec<_> =
            said.reasons.iter().filter(|n| matches!(n.ruling, "rule-out" | "hold") && n.status == "applies").collect();
        deciding.sort_by_key(|n| (n.ruling != "rule-out", strength(n.basis)));
        for n in &deciding {
            let instead = n.instead.as_ref().map_or_else(String::new, |i| format!(" {i}"));
            text.push_str(&page.point(&format!("{}{instead} [{}; rule {}]", n.says, render::ground(n), n.rule)));
        }
        match said.verdict {
            "suited with care" if said.cases.is_empty() => {
                for c in &said.conditions {
                    text.push_str(&page.point(&format!("{} (because of {})", c.says, words::list(&c.because, "and"))));
                }
            }
            "suited with care" => {
                for case in &said.cases {
                    let found: Vec<String> = case.found.iter().map(|f| format!("{}: {}", f.title, f.to)).collect();
                    let needs: Vec<&str> = case.conditions.iter().map(|c| c.says.as_str()).collect();
                    let needs = if needs.is_empty() { "nothing further".to_owned() } else { needs.join("; ") };
                    text.push_str(&page.point(&format!("if {}: {needs}", words::list(&found, "and"))));
                }
            }
            "can't tell yet" => {
                for d in &said.depends_on {
                    text.push_str(&page.point(&format!("{}: can suit if {}; not if {}", d.title, d.suits_if, d.not_if)));
                }
                if said.depends_on.is_empty() {
                    text.push_str(&page.point(&said.line));
                }
            }
            "suited" => text.push_str(&page.point("nothing in the rule book speaks against it; test a small patch before anything else")),
            _ => {}
        }
        if let Some(caution) = said.caution.as_ref().filter(|_| said.verdict != "ruled out") {
            text.push_str(&page.point(&format!("caution: {caution}")));
        }
        text
    }

    fn what_would_change(&self, rest: &str) -> Told {
        self.outlook()?;
        let method = self.method_named(rest)?;
        let advice = self.looked_at(method, Facts::new(), true);
        let Some(said) = advice.surfaces.first().and_then(|s| s.proposals.first()) else {
            return Err("Nothing can be said of it.".to_owned());
        };
        let page = self.page();
        let mut text =
            page.paragraph("", "  ", &format!("{} on {}: {}.", said.title, self.survey.surfaces[self.surface].name, said.verdict));
        if said.flips.is_empty() {
            text.push_str(&page.point("no change of one or two things was found that would turn it"));
        }
        let likely: Vec<_> = said.flips.iter().filter(|set| set.iter().all(|f| f.now != "stated")).collect();
        let flips: Vec<_> = if likely.is_empty() { said.flips.iter().collect() } else { likely };
        for set in flips {
            let parts: Vec<String> = set
                .iter()
                .map(|f| format!("{}: {} ({}, now {})", f.title, f.to, if f.kind == "chosen" { "to choose" } else { "to find" }, f.now))
                .collect();
            text.push_str(&page.point(&words::list(&parts, "and")));
        }
        told(text)
    }

    fn what_if(&self, rest: &str) -> Told {
        self.outlook()?;
        let (edits, echo) = self.supposed(rest)?;
        let (_, survey) = self.tried(&edits)?;
        let outlooks = self.outlooks_of(&survey);
        let effect = self.effect(&self.outlooks, &outlooks, &survey);
        let page = self.page();
        let mut text = page.paragraph("", "  ", &format!("If {echo} (nothing is kept):"));
        text.push_str(if effect.is_empty() { "  No verdict and no caution would change.\n" } else { &effect });
        told(text)
    }

    /// What some words would state.
    fn supposed(&self, rest: &str) -> Result<(Vec<Edit>, String), String> {
        let plain = rest.trim().trim_end_matches('?').trim();
        let plain =
            plain.strip_prefix("it is ").or_else(|| plain.strip_prefix("it's ")).or_else(|| plain.strip_prefix("it was ")).unwrap_or(plain);
        let (heard, words_said) = match self.fact_before(plain) {
            Ok((fact, value)) => (self.listener.hear(&value, &Context { asked: Some(fact.0), ..self.context() }), value),
            Err(_) => (self.listener.hear(plain, &self.context()), plain.to_owned()),
        };
        let mut edits = Vec::new();
        let mut echo = Vec::new();
        for said in &heard.said {
            let Said::Fact(statement) = said else { continue };
            let fact = self.book.base.vocabulary.get(statement.fact);
            let Some(reading) = statement.readings.first() else { continue };
            if fact.about == About::Method {
                return Err(format!("The {} is set with a method: say `check METHOD with …`.", fact.title));
            }
            let coat = statement.coat.or(match &self.asked {
                Some(Asked::Fact { fact, coat, .. }) if *fact == statement.fact => *coat,
                _ => None,
            });
            edits.push(Edit::Fact {
                at: super::document::at(fact.about, self.surface, coat),
                fact: statement.fact,
                toml: reading.toml.clone(),
            });
            echo.push(format!("{} {}", fact.title, reading.echo));
        }
        if edits.is_empty() {
            return Err(format!("Nothing in `{words_said}` was understood as a fact."));
        }
        Ok((edits, words::list(&echo, "and")))
    }

    fn compare(&self, rest: &str) -> Told {
        self.outlook()?;
        let parts: Option<(&str, &str)> = [" with ", " and ", " to ", " or ", " against ", ","].iter().find_map(|w| rest.split_once(w));
        let Some((a, b)) = parts else { return Err("Say `compare METHOD with METHOD`.".to_owned()) };
        let (a, b) = (self.method_named(a)?, self.method_named(b)?);
        if a == b {
            return Err("That is one and the same method.".to_owned());
        }
        let advice = [a, b].map(|m| self.looked_at(m, Facts::new(), false));
        let said: Vec<&MethodAdvice> = advice.iter().filter_map(|x| x.surfaces.first()?.proposals.first()).collect();
        let [x, y] = said[..] else { return Err("Nothing can be said of them.".to_owned()) };
        let page = self.page();
        let mut text = page.paragraph("", "  ", &format!("{} and {} on {}:", x.title, y.title, self.survey.surfaces[self.surface].name));
        let mut both = |what: &str, f: &dyn Fn(&MethodAdvice) -> String| {
            text.push_str(&page.point(&format!("{what}: {}: {}; {}: {}", x.title, f(x), y.title, f(y))));
        };
        both("verdict", &|m| m.verdict.to_owned());
        both("why", &|m| m.line.trim_end_matches('.').to_owned());
        both("coats cleared", &|m| match &m.clears {
            None => "not known".to_owned(),
            Some(c) if c.is_empty() => "none".to_owned(),
            Some(c) => words::list(&c.iter().map(ToString::to_string).collect::<Vec<_>>(), "and"),
        });
        both("conditions", &|m| m.conditions.len().to_string());
        let cautions = |m: &MethodAdvice| {
            let titles: Vec<String> = m.reasons.iter().filter(|n| n.ruling == "caution" && n.status == "applies").map(title).collect();
            if titles.is_empty() { "none of its own".to_owned() } else { titles.join(", ") }
        };
        both("to watch", &cautions);
        for (i, part) in x.rank.contributions.iter().enumerate() {
            if let Some(other) = y.rank.contributions.get(i) {
                both(&format!("{} (1 is best)", part.part), &|m| m.rank.contributions[i].points.to_string());
                let _ = other;
            }
        }
        told(text)
    }

    fn check(&mut self, rest: &str, keep: bool) -> Told {
        self.outlook()?;
        let (method, with) = match rest.split_once(" with ").or_else(|| rest.split_once(" at ")).or_else(|| rest.split_once(',')) {
            Some((m, w)) => (m, w),
            None => (rest, ""),
        };
        let method = self.method_named(method)?;
        let (settings, values) = self.settings(method, with)?;
        let advice = self.looked_at(method, settings, true);
        let page = Page { all: false, ..self.page() };
        let mut text = render::text::check(&advice, Length::Paragraph, &page);
        let verdict = advice.surfaces.first().and_then(|s| s.proposals.first()).map_or("", |p| p.verdict);
        if keep {
            let id = self.book.base.catalogue.entries(EntryKind::Method)[method].id.clone();
            let edit = Edit::Proposal { surface: self.surface, method: id, settings: values };
            self.change(&[edit], &format!("{} proposed", self.method_title(method)))?;
            let _ = writeln!(text, "\n  Written into the survey as a proposal: {verdict}.");
        } else {
            let _ = writeln!(text, "\n  Nothing is kept; `propose …` writes it into the survey.");
        }
        told(text)
    }

    /// What is chosen with a method, from words such as `450 C, extraction and a fire watch of 2 h`.
    fn settings(&self, method: usize, with: &str) -> Result<(Facts, Vec<(String, String)>), String> {
        let base = &self.book.base;
        let mut facts = Facts::new();
        let mut values = Vec::new();
        let own: Vec<FactId> = base.catalogue.entries(EntryKind::Method)[method].settings.iter().map(|(f, _)| *f).collect();
        let mut put = |statement: &engine::answer::Statement| -> Result<(), String> {
            let fact = base.vocabulary.get(statement.fact);
            let Some(reading) = statement.readings.first() else { return Ok(()) };
            if !fact.chosen {
                return Err(format!("The {} is found, not chosen: `what if …` tries it.", fact.title));
            }
            facts.insert(
                statement.fact,
                Stated { known: reading.known.clone(), written: reading.echo.clone(), by: None, on: None, note: None },
            );
            values.push((fact.name.clone(), if reading.sure { reading.toml.clone() } else { doubted(&reading.toml) }));
            Ok(())
        };
        for part in with.split([',', ';']).flat_map(|p| p.split(" and ")).map(str::trim).filter(|p| !p.is_empty()) {
            let context = Context { asked: None, ..self.context() };
            let heard = self.listener.hear(part, &context);
            let stated: Vec<_> = heard.said.iter().filter_map(|s| if let Said::Fact(f) = s { Some(f) } else { None }).collect();
            let chosen = stated.iter().any(|f| base.vocabulary.get(f.fact).chosen);
            if chosen {
                for statement in stated.into_iter().filter(|f| base.vocabulary.get(f.fact).chosen) {
                    put(statement)?;
                }
                continue;
            }
            // A bare figure: whatever the method can be set to that has this unit.
            let bare = own.iter().find_map(|f| {
                let heard = self.listener.hear(part, &Context { asked: Some(*f), ..self.context() });
                heard.said.into_iter().find_map(|s| match s {
                    Said::Fact(s) if s.fact == *f => Some(s),
                    _ => None,
                })
            });
            match bare {
                Some(statement) => put(&statement)?,
                None => {
                    return Err(format!(
                        "`{part}` is nothing that is chosen with a method, such as `450 C`, `extraction` or `a fire watch of 2 h`."
                    ));
                }
            }
        }
        Ok((facts, values))
    }

    fn watch(&self) -> Told {
        let outlook = self.outlook()?;
        let certain: Vec<usize> = outlook.spoken().iter().filter(|s| s.certain).map(|s| s.rule).collect();
        let mut notices = engine::explain::said(&self.judge, &self.survey, self.surface, &|r| certain.contains(&r));
        notices.retain(|n| n.status == "applies");
        notices.sort_by_key(|n| (n.ruling != "hold", n.ruling != "caution", strength(n.basis)));
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

    /// The facts a name can mean, with a coat for `coat 2 lead`.
    pub(super) fn fact_named(&self, name: &str) -> Option<(FactId, Option<usize>)> {
        let name = name.trim().to_lowercase();
        let name = name.strip_prefix("the ").unwrap_or(&name);
        let (coat, name) = match name.strip_prefix("coat ").and_then(|r| r.split_once([' ', '.'])) {
            Some((n, rest)) => match n.parse::<usize>() {
                Ok(n) if n > 0 => (Some(n - 1), rest),
                _ => (None, name),
            },
            None => (None, name),
        };
        let plain = |t: &str| t.to_lowercase().replace('_', " ");
        let wanted = plain(name);
        let facts = || self.book.base.vocabulary.iter();
        facts()
            .find(|(_, f)| f.id == name || plain(&f.name) == wanted)
            .or_else(|| facts().find(|(_, f)| plain(&f.title) == wanted))
            .or_else(|| facts().find(|(_, f)| f.says.iter().any(|s| plain(s) == wanted)))
            .map(|(id, _)| (id, coat))
    }

    /// A fact's name at the beginning of some words, and what stands behind it.
    fn fact_before(&self, rest: &str) -> Result<((FactId, Option<usize>), String), String> {
        if let Some((name, value)) = rest.split_once([':', '='])
            && let Some(fact) = self.fact_named(name)
        {
            return Ok((fact, value.trim().to_owned()));
        }
        let spaces: Vec<usize> = rest.char_indices().filter(|(_, c)| *c == ' ').map(|(i, _)| i).collect();
        for at in spaces.into_iter().rev() {
            if let Some(fact) = self.fact_named(&rest[..at]) {
                let value = rest[at..].trim();
                let value = value.strip_prefix("is ").or_else(|| value.strip_prefix("to ")).unwrap_or(value);
                return Ok((fact, value.to_owned()));
            }
        }
        let first = rest.split(' ').next().unwrap_or("");
        let names: Vec<&str> = self.book.base.vocabulary.iter().map(|(_, f)| f.name.as_str()).collect();
        let near = words::did_you_mean(first, names).unwrap_or_default();
        Err(format!("`{rest}` does not begin with the name of a fact. {near}").trim_end().to_owned())
    }

    fn forget(&mut self, rest: &str) -> Told {
        let Some((fact, coat)) = self.fact_named(rest) else {
            return Err(self.fact_before(&format!("{rest} x")).err().unwrap_or_default());
        };
        let about = self.book.base.vocabulary.get(fact).about;
        let at = super::document::at(about, self.surface, coat);
        let title = self.book.base.vocabulary.get(fact).title.clone();
        if self.facts_at(at).is_none_or(|f| !f.contains_key(&fact)) {
            return Err(format!("Nothing is stated about the {title}."));
        }
        let text = self.state(&[Edit::Forget { at, fact }], &format!("{title} is open again"))?;
        told(text)
    }

    fn undo(&mut self, rest: &str) -> Told {
        let many = times(rest, "undo")?;
        if self.now == 0 {
            return Err("There is nothing to take back.".to_owned());
        }
        self.travel_by(self.now.saturating_sub(many), "Taken back")
    }

    fn redo(&mut self, rest: &str) -> Told {
        let many = times(rest, "redo")?;
        if self.now + 1 >= self.snapshots.len() {
            return Err("There is nothing to put back.".to_owned());
        }
        self.travel_by((self.now + many).min(self.snapshots.len() - 1), "Put back")
    }

    fn travel_by(&mut self, to: usize, word: &str) -> Told {
        let what: Vec<String> = if to < self.now {
            self.snapshots[to + 1..=self.now].iter().rev().map(|s| s.what.clone()).collect()
        } else {
            self.snapshots[self.now + 1..=to].iter().map(|s| s.what.clone()).collect()
        };
        let before = self.travel(to)?;
        // What was left for later may be wanted again.
        self.asked = None;
        let mut text = self.page().paragraph("  ", "    ", &format!("{word}: {}.", what.join("; ")));
        text.push_str(&self.effect(&before, &self.outlooks, &self.survey));
        if !self.survey.surfaces.is_empty() {
            text.push_str(&self.left());
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

    /// A surface by its name, or a beginning or part no other shares.
    fn surface_named(&self, name: &str) -> Result<usize, String> {
        let wanted = super::answering::bare(name).to_lowercase();
        let names: Vec<String> = self.survey.surfaces.iter().map(|s| s.name.to_lowercase()).collect();
        if let Some(s) = names.iter().position(|n| *n == wanted) {
            return Ok(s);
        }
        for fits in [&|n: &String| n.starts_with(&wanted), &|n: &String| n.contains(&wanted)] as [&dyn Fn(&String) -> bool; 2] {
            let found: Vec<usize> = names.iter().enumerate().filter(|(_, n)| fits(n)).map(|(i, _)| i).collect();
            if let [one] = found[..] {
                return Ok(one);
            }
        }
        let near = words::offer(name, self.survey.surfaces.iter().map(|s| s.name.as_str()).collect::<Vec<_>>()).unwrap_or_default();
        Err(format!("There is no surface `{name}`. {near}").trim_end().to_owned())
    }

    fn go(&mut self, rest: &str) -> Told {
        self.surface = self.surface_named(rest)?;
        self.asked = None;
        told(format!("  On to {}.\n", self.survey.surfaces[self.surface].name))
    }

    fn go_next(&mut self) -> Told {
        if self.survey.surfaces.len() < 2 {
            return Err("There is no other surface; `add NAME` begins one.".to_owned());
        }
        self.surface = (self.surface + 1) % self.survey.surfaces.len();
        self.asked = None;
        told(format!("  On to {}.\n", self.survey.surfaces[self.surface].name))
    }

    fn add(&mut self, rest: &str) -> Told {
        let name = super::answering::bare(rest.split([',', ';']).next().unwrap_or(rest)).to_owned();
        self.asked = None;
        let heard = self.listener.hear(rest, &Context { coats: None, ..self.context() });
        Ok(self.new_surface(&name, rest, &heard))
    }

    fn copy(&mut self, rest: &str) -> Told {
        let (head, but) = match rest.split_once(" but ") {
            Some((h, b)) => (h, Some(b.trim().to_owned())),
            None => (rest, None),
        };
        let (from, name) = match head.split_once(" as ") {
            Some((f, n)) => (f, Some(n.trim().to_owned())),
            None => (head, None),
        };
        let from = self.surface_named(from.trim_matches([' ', ',']))?;
        match name {
            Some(name) => Ok(self.copied(from, &name, but.as_deref())),
            None => {
                let ask = format!("What is the new surface called, the one like {}?", self.survey.surfaces[from].name);
                self.pending.push_front(Pending::Text { ask, then: Then::CopyName { from, but } });
                told(String::new())
            }
        }
    }

    pub(super) fn copied(&mut self, from: usize, name: &str, but: Option<&str>) -> Outcome {
        let name = super::answering::bare(name).to_owned();
        if let Err(why) = self.name_is_free(&name) {
            return Outcome { text: self.page().paragraph("  ", "    ", &why), ..Outcome::default() };
        }
        let like = self.survey.surfaces[from].name.clone();
        let index = self.survey.surfaces.len();
        let start = self.now;
        if let Err(why) = self.change(&[Edit::CopySurface { from, name: name.clone() }], &format!("{name}, same as {like}")) {
            return Outcome { text: self.page().paragraph("  ", "    ", &format!("That cannot be kept: {why}.")), ..Outcome::default() };
        }
        self.surface = index;
        self.snapshots[self.now].surface = index;
        self.asked = None;
        let mut outcome = Outcome {
            text: self.page().paragraph(
                "  ",
                "    ",
                &format!("A new surface: {name}, same as {like}; its patches, proposals and notes stay behind."),
            ),
            understood: true,
            ..Outcome::default()
        };
        if let Some(but) = but {
            let heard = self.listener.hear(but, &self.context());
            let more = self.take(but, &heard);
            outcome.text.push_str(&more.text);
            outcome.understood = more.understood;
            self.one_step_since(start, &format!("{name}, same as {like}"));
        }
        outcome
    }

    fn rename(&mut self, rest: &str) -> Told {
        self.outlook()?;
        let (surface, name) = match rest.split_once(" to ") {
            Some((from, to)) => (self.surface_named(from)?, to.trim()),
            None => (self.surface, rest.trim_start_matches("to ").trim()),
        };
        self.name_is_free(name)?;
        let was = self.survey.surfaces[surface].name.clone();
        let text = self.state(&[Edit::Rename { surface, name: name.to_owned() }], &format!("{was} is called {name} now"))?;
        told(text)
    }

    fn remove(&mut self, rest: &str) -> Told {
        self.outlook()?;
        let surface = if rest.is_empty() { self.surface } else { self.surface_named(rest)? };
        let name = self.survey.surfaces[surface].name.clone();
        let bound: Vec<&str> =
            self.survey.departures.iter().filter(|d| d.surface.as_deref() == Some(&name)).map(|d| d.rule.as_str()).collect();
        if !bound.is_empty() {
            return Err(format!("A departure from {} is recorded for {name}: take it out of the file first.", words::list(&bound, "and")));
        }
        self.change(&[Edit::Remove { surface }], &format!("{name} taken out"))?;
        self.asked = None;
        told(format!("  Taken out: {name}. `undo` brings it back.\n"))
    }

    fn note(&mut self, rest: &str) -> Told {
        let (surface, text) = match rest.strip_prefix("site ") {
            Some(text) => (None, text),
            None => ((!self.survey.surfaces.is_empty()).then_some(self.surface), rest),
        };
        self.change(&[Edit::Note { surface, text: text.to_owned() }], "a note")?;
        let whom = surface.map_or("the job", |s| self.survey.surfaces[s].name.as_str());
        told(self.page().paragraph("  ", "    ", &format!("Kept as a note on {whom}: {text}")))
    }

    fn depart(&mut self, rest: &str) -> Told {
        let (rule, everywhere) = match rest.strip_suffix(" everywhere") {
            Some(rule) => (rule, true),
            None => (rest, false),
        };
        let wanted = rule.trim().to_lowercase().replace(' ', "-");
        let Some(found) =
            self.book.rules.iter().find(|r| r.id == wanted || r.title.as_deref().is_some_and(|t| t.eq_ignore_ascii_case(rule.trim())))
        else {
            let near = words::did_you_mean(&wanted, self.book.rules.iter().map(|r| r.id.as_str())).unwrap_or_default();
            return Err(format!("There is no rule `{rule}`. {near} `why METHOD` names the rules that speak.").replace("  ", " "));
        };
        if let Some(why) = departure_refused(found.basis) {
            return Err(format!("No departure from {}: {why} ({}).", found.id, self.book.cite(&found.source)));
        }
        let surface = (!everywhere).then(|| self.survey.surfaces.get(self.surface).map(|s| s.name.clone())).flatten();
        let whom = surface.as_ref().map_or_else(|| "every surface".to_owned(), Clone::clone);
        let ask = format!("A departure from {} on {whom}. Who decides it? Name and role.", found.id);
        self.pending.push_front(Pending::Text { ask, then: Then::DepartWho { rule: found.id.clone(), surface } });
        told(String::new())
    }

    /// The whole advice, as the program's own command gives it.
    pub fn advice(&self, all: bool, page: &mut dyn FnMut(&Advice, bool) -> String) -> String {
        if self.survey.surfaces.is_empty() {
            return "  There is no surface yet: `add NAME` begins one.\n".to_owned();
        }
        page(&engine::explain::advise(&self.survey, self.book, &self.circumstances()), all)
    }
}

fn times(rest: &str, word: &str) -> Result<usize, String> {
    if rest.is_empty() {
        return Ok(1);
    }
    rest.parse::<usize>().ok().filter(|n| *n > 0).ok_or_else(|| format!("Say `{word}`, or `{word} 3` for three steps."))
}

fn said_for<'f>(fact: &'f engine::vocabulary::Fact, i: usize, catalogue: &'f engine::catalogue::Catalogue) -> &'f [String] {
    match &fact.kind {
        FactKind::Choice(c) | FactKind::Several(c) => &c[i].says,
        FactKind::Entry(kind) => &catalogue.entries(*kind)[i].says,
        _ => &[],
    }
}

fn written(stated: &Stated) -> String {
    stated.written.trim_matches('"').to_owned()
}
