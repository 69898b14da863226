//! Commands that judge: why, what would change it, what if, compare, check and propose.

use super::document::Edit;
use super::effects::{strength, title};
use super::session::{Asked, READ_HERE, Session};
use super::settling::doubted;
use super::views::{Told, told};
use crate::render;
use ovolo_engine::advice::{Advice, MethodAdvice};
use ovolo_engine::answer::{Context, Reading, Said, Statement};
use ovolo_engine::catalogue::EntryKind;
use ovolo_engine::explain::Circumstances;
use ovolo_engine::finding::{Footing, Ruling, Settled, Status, Verdict};
use ovolo_engine::pack::RuleBook;
use ovolo_engine::survey::{Facts, Proposal, Stated, Survey};
use ovolo_engine::vocabulary::{About, FactId, FactKind, Known, flag};
use ovolo_engine::words;
use std::fmt::Write as _;

/// The most cautions and changes told of a proposal.
const MOST_WATCHED: usize = 4;

impl Session<'_> {
    pub(super) fn circumstances(&self) -> Circumstances {
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
            [] if self.method_in(words_said).is_some() => Ok(self.method_in(words_said).map_or(0, |(m, _)| m)),
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

    pub(super) fn looked_at(&self, method: usize, settings: Facts, flips: bool) -> Advice {
        let method = self.book.base.method_at(method).expect(READ_HERE);
        let proposal = Proposal { method, settings, note: None };
        if flips {
            ovolo_engine::explain::check(&self.survey, self.book, &self.circumstances(), self.surface, &proposal)
        } else {
            ovolo_engine::explain::look(&self.survey, self.book, &self.circumstances(), self.surface, &proposal)
        }
        .expect(READ_HERE)
    }

    pub(super) fn why(&self, rest: &str) -> Told {
        self.outlook()?;
        let method = self.method_named(rest.trim_start_matches("not "))?;
        self.why_method(method)
    }

    pub(super) fn why_method(&self, method: usize) -> Told {
        self.outlook()?;
        let advice = self.looked_at(method, Facts::new(), false);
        let Some(said) = advice.surfaces.first().and_then(|s| s.proposals.first()) else {
            return Err("Nothing can be said of it.".to_owned());
        };
        told(self.verdict_told(said))
    }

    /// A verdict with what decides it.
    pub(super) fn verdict_told(&self, said: &MethodAdvice) -> String {
        let page = self.page();
        let mut text =
            page.paragraph("", "  ", &format!("{} on {}: {}.", said.title, self.survey.surfaces[self.surface].name, said.verdict));
        let mut deciding: Vec<_> =
            said.reasons.iter().filter(|n| matches!(n.ruling, Ruling::RuleOut | Ruling::Hold) && n.status == Status::Applies).collect();
        deciding.sort_by_key(|n| (n.ruling != Ruling::RuleOut, strength(n.basis)));
        for n in &deciding {
            let instead = n.instead.as_ref().map_or_else(String::new, |i| format!(" {i}"));
            text.push_str(&page.point(&format!("{}{instead} [{}; rule {}]", n.says, render::ground(n), n.rule)));
        }
        let between = render::shared::between_them(said);
        if !between.is_empty() {
            text.push_str(&page.paragraph("  ", "  ", "Whatever is found, one of these stands against it:"));
        }
        for n in between {
            text.push_str(&page.point(&format!("{} [{}; rule {}]", n.says, render::ground(n), n.rule)));
        }
        match said.verdict {
            Verdict::SuitedWithCare if said.cases.is_empty() => {
                for c in &said.conditions {
                    text.push_str(&page.point(&format!("{} (because of {})", c.says, words::list(&c.because, "and"))));
                }
            }
            Verdict::SuitedWithCare => {
                for case in &said.cases {
                    let found: Vec<String> = case.found.iter().map(|f| format!("{}: {}", f.title, f.to)).collect();
                    let needs: Vec<&str> = case.conditions.iter().map(|c| c.says.as_str()).collect();
                    let needs = if needs.is_empty() { "nothing further".to_owned() } else { needs.join("; ") };
                    text.push_str(&page.point(&format!("if {}: {needs}", words::list(&found, "and"))));
                }
            }
            Verdict::CantTellYet => {
                for d in &said.depends_on {
                    text.push_str(&page.point(&format!("{}: {}", d.title, d.either_way())));
                }
                if said.depends_on.is_empty() {
                    text.push_str(&page.point(&said.line));
                }
            }
            Verdict::Suited => {
                text.push_str(&page.point("nothing in the rule book speaks against it; test a small patch before anything else"));
            }
            _ => {}
        }
        if let Some(caution) = said.caution.as_ref().filter(|_| said.verdict != Verdict::RuledOut) {
            text.push_str(&page.point(&format!("caution: {caution}")));
        }
        text
    }

    pub(super) fn what_would_change(&self, rest: &str) -> Told {
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
        let likely: Vec<_> = said.flips.iter().filter(|set| set.iter().all(|f| f.now != Footing::Stated)).collect();
        let flips: Vec<_> = if likely.is_empty() { said.flips.iter().collect() } else { likely };
        for set in flips {
            let parts: Vec<String> = set
                .iter()
                .map(|f| {
                    format!("{}: {} ({}, now {})", f.title, f.to, if f.kind == Settled::Chosen { "to choose" } else { "to find" }, f.now)
                })
                .collect();
            text.push_str(&page.point(&words::list(&parts, "and")));
        }
        told(text)
    }

    pub(super) fn what_if(&self, rest: &str) -> Told {
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
    pub(super) fn supposed(&self, rest: &str) -> Result<(Vec<Edit>, String), String> {
        let plain = rest.trim().trim_end_matches('?').trim();
        let plain =
            plain.strip_prefix("it is ").or_else(|| plain.strip_prefix("it's ")).or_else(|| plain.strip_prefix("it was ")).unwrap_or(plain);
        let whole = || (self.listener.hear(plain, &self.context()), plain.to_owned());
        let (heard, words_said) = match self.fact_before(plain) {
            Ok((fact, value)) => {
                let heard = self.listener.hear(&value, &Context { asked: Some(fact.0), ..self.context() });
                if heard.said.is_empty() { whole() } else { (heard, value) }
            }
            Err(_) => whole(),
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
            echo.push(format!("{}: {}", fact.title, reading.echo));
        }
        if let (true, Some(says)) = (edits.is_empty(), self.remark_on(plain)) {
            return Err(says);
        }
        if edits.is_empty() {
            return Err(format!("Nothing in `{words_said}` was understood as a fact."));
        }
        Ok((edits, words::list(&echo, "and")))
    }

    /// What the rule book has to say to some words that are no fact.
    fn remark_on(&self, words: &str) -> Option<String> {
        self.listener
            .hear(words, &self.context())
            .said
            .iter()
            .find_map(|s| if let Said::Remark { says, .. } = s { Some(says.clone()) } else { None })
    }

    pub(super) fn compare(&self, rest: &str) -> Told {
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
        both("verdict", &|m| m.verdict.to_string());
        both("why", &|m| m.line.trim_end_matches('.').to_owned());
        both("coats cleared", &|m| match &m.clears {
            None => "not known".to_owned(),
            Some(c) if c.is_empty() => "none".to_owned(),
            Some(c) => words::list(&c.iter().map(ToString::to_string).collect::<Vec<_>>(), "and"),
        });
        both("conditions", &|m| match m.verdict {
            Verdict::Suited => "none".to_owned(),
            Verdict::SuitedWithCare if m.cases.is_empty() => m.conditions.len().to_string(),
            Verdict::SuitedWithCare => "they depend on what is found".to_owned(),
            Verdict::RuledOut => "none would do".to_owned(),
            _ => "not known yet".to_owned(),
        });
        let cautions = |m: &MethodAdvice| {
            let titles: Vec<String> =
                m.reasons.iter().filter(|n| n.ruling == Ruling::Caution && n.status == Status::Applies).map(title).collect();
            if titles.is_empty() { "none of its own".to_owned() } else { titles.join(", ") }
        };
        both("to watch", &cautions);
        for (i, part) in x.rank.iter().enumerate() {
            if y.rank.len() > i {
                both(&format!("{} (0 is best)", part.part), &|m| m.rank[i].cost.to_string());
            }
        }
        told(text)
    }

    pub(super) fn check(&mut self, rest: &str, keep: bool) -> Told {
        self.outlook()?;
        // Whatever comes first parts the method from its settings.
        let parted = [" with ", " at ", " for ", ",", ":"].iter().filter_map(|w| rest.find(w).map(|i| (i, w.len()))).min();
        let (method, with) = parted.map_or((rest, ""), |(i, n)| (&rest[..i], &rest[i + n..]));
        // "check hot air 700"
        if parted.is_none() && rest.contains(|c: char| c.is_ascii_digit()) && self.method_in(rest).is_some() {
            return self.checked_in_short(rest);
        }
        let method = self.method_named(method)?;
        let (settings, values) = self.settings(method, with)?;
        let advice = self.looked_at(method, settings, true);
        let Some(said) = advice.surfaces.first().and_then(|s| s.proposals.first()) else {
            return Err("Nothing can be said of it.".to_owned());
        };
        let page = self.page();
        let mut text = self.verdict_told(said);
        let watch: Vec<_> = said.reasons.iter().filter(|n| n.ruling == Ruling::Caution && n.status == Status::Applies).collect();
        for n in watch.iter().take(MOST_WATCHED) {
            text.push_str(&page.point(&format!("watch: {} [{}]", n.says, render::ground(n))));
        }
        if watch.len() > MOST_WATCHED {
            let titles: Vec<String> = watch[MOST_WATCHED..].iter().map(|n| title(n)).collect();
            text.push_str(&page.point(&format!("also to watch: {}", titles.join("; "))));
        }
        let likely: Vec<_> = said.flips.iter().filter(|set| set.iter().all(|f| f.now != Footing::Stated)).collect();
        let flips: Vec<String> = likely
            .iter()
            .take(MOST_WATCHED)
            .map(|set| words::list(&set.iter().map(|f| format!("{}: {}", f.title, f.to)).collect::<Vec<_>>(), "and"))
            .collect();
        if !flips.is_empty() {
            let what = if said.verdict.suits() { "what would spoil it" } else { "what would change it" };
            text.push_str(&page.point(&format!("{what}: {}", flips.join("; or "))));
        }
        if !said.verdict.suits() {
            let outlook = self.outlook()?;
            let suited: Vec<&str> = outlook.verdicts().enumerate().filter(|(_, v)| v.suits()).map(|(m, _)| self.method_title(m)).collect();
            let instead = if suited.is_empty() { "nothing suits yet".to_owned() } else { words::list(&suited, "or") };
            text.push_str(&page.point(&format!("instead: {instead}")));
        }
        let verdict = said.verdict;
        if keep {
            let id = self.book.base.catalogue.entries(EntryKind::Method)[method].id.clone();
            let edit = Edit::Proposal { surface: self.surface, method: id, settings: values };
            self.change(&[edit], &format!("{} proposed", self.method_title(method)))?;
            let _ = writeln!(text, "  Written into the survey as a proposal: {verdict}.");
        } else {
            let _ = writeln!(text, "  Nothing is kept; `propose …` writes it into the survey.");
        }
        told(text)
    }

    /// What is chosen with a method, from words such as `450 C, extraction and a fire watch of 2 h`.
    pub(super) fn settings(&self, method: usize, with: &str) -> Result<(Facts, Vec<(String, String)>), String> {
        let base = &self.book.base;
        let mut facts = Facts::new();
        let mut values = Vec::new();
        let own: Vec<FactId> = base.catalogue.entries(EntryKind::Method)[method].settings.iter().map(|(f, _)| *f).collect();
        let mut put = |statement: &Statement| -> Result<(), String> {
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
        let parts = with.split([',', ';']).flat_map(|p| p.split(" and ")).flat_map(|p| p.split(" with ")).map(str::trim);
        for part in parts.filter(|p| !p.is_empty()) {
            let part = ["a ", "an ", "the "].iter().find_map(|a| part.strip_prefix(a)).unwrap_or(part);
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
            if let Some(statement) = bare {
                put(&statement)?;
                continue;
            }
            // A control by its name: it will be used, or it will not.
            let (name, yes) = match part.strip_prefix("no ").or_else(|| part.strip_prefix("without ")) {
                Some(name) => (name, false),
                None => (part, true),
            };
            let named = self.fact_named(name).map(|(f, _)| f).filter(|f| {
                let fact = base.vocabulary.get(*f);
                fact.chosen && matches!(fact.kind, FactKind::YesNo)
            });
            let Some(fact) = named else {
                return Err(format!(
                    "`{part}` is nothing that is chosen with a method, such as `450 C`, `extraction` or `a fire watch of 2 h`."
                ));
            };
            let known = Known::Bits(if yes { flag::YES } else { flag::NO });
            let echo = if yes { "yes" } else { "no" }.to_owned();
            let reading = Reading { known, toml: yes.to_string(), echo, sure: true };
            put(&Statement { fact, coat: None, readings: vec![reading], at: 0..part.len(), unread: Vec::new(), by: None })?;
        }
        Ok((facts, values))
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
        // What has happened is asked and said by itself.
        let facts = || self.book.base.vocabulary.iter().filter(|(_, f)| !f.about.has_happened());
        facts()
            .find(|(_, f)| f.id == name || plain(&f.name) == wanted)
            .or_else(|| facts().find(|(_, f)| plain(&f.title) == wanted))
            .or_else(|| facts().find(|(_, f)| f.says.iter().any(|s| plain(s) == wanted)))
            .map(|(id, _)| (id, coat))
    }

    /// A fact's name at the beginning of some words, and what stands behind it.
    pub(super) fn fact_before(&self, rest: &str) -> Result<((FactId, Option<usize>), String), String> {
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
        let names: Vec<&str> =
            self.book.base.vocabulary.iter().filter(|(_, f)| !f.about.has_happened()).map(|(_, f)| f.name.as_str()).collect();
        let near = words::did_you_mean(first, names).unwrap_or_default();
        Err(format!("`{rest}` does not begin with the name of a fact. {near}").trim_end().to_owned())
    }

    /// The whole advice, as the program's own command gives it: the pages of the job, or all there is.
    pub fn advice(&self, page: &mut dyn FnMut(&Advice, &Survey, &RuleBook, &Circumstances) -> String) -> String {
        if self.survey.surfaces.is_empty() {
            return "  There is no surface yet: `add NAME` begins one.\n".to_owned();
        }
        let circumstances = self.circumstances();
        let advice = ovolo_engine::explain::advise(&self.survey, self.book, &circumstances).expect(READ_HERE);
        page(&advice, &self.survey, self.book, &circumstances)
    }
}
