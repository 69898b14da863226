//! Reading survey files.

use super::set::unknown;
use super::value::read_counting;
use super::{Departure, Facts, PATCH_RESULTS, Patch, Proposal, Stated, Surface, Survey, departure_refused};
use crate::base::Base;
use crate::catalogue::EntryKind;
use crate::diagnostic::{Diagnostic, Severity, SourceFile};
use crate::error::Error;
use crate::pack::{RuleBook, place_code};
use crate::quantity::{self, Quantity, System};
use crate::role::FactRole;
use crate::toml_read::{self, Item, Keys, Place, Problems};
use crate::vocabulary::{About, MethodId};
use crate::words;
use indexmap::IndexMap;
use std::cell::Cell;
use std::sync::Arc;

/// The most surfaces one survey can have.
pub(super) const MOST_SURFACES: usize = 20_000;
/// The most coats one surface can have.
pub(super) const MOST_COATS: usize = 40;

/// What a reader of surveys carries along.
pub(super) struct Reader<'b> {
    base: &'b Arc<Base>,
    pub(super) problems: &'b Problems,
    metric: Cell<usize>,
    us: Cell<usize>,
}

impl Survey {
    /// Reads a survey file against a rule book.
    ///
    /// # Errors
    /// Everything that is wrong with it, each at its place.
    pub fn read(file: &Arc<SourceFile>, book: &RuleBook) -> Result<(Self, Vec<Diagnostic>), Error> {
        Self::read_with(file, book, false)
    }

    /// As [`Survey::read`], for a survey that is still being made: it need not have a surface yet.
    ///
    /// # Errors
    /// As [`Survey::read`].
    pub fn read_draft(file: &Arc<SourceFile>, book: &RuleBook) -> Result<(Self, Vec<Diagnostic>), Error> {
        Self::read_with(file, book, true)
    }

    fn read_with(file: &Arc<SourceFile>, book: &RuleBook, draft: bool) -> Result<(Self, Vec<Diagnostic>), Error> {
        let problems = Problems::default();
        let survey = toml_read::parse(file, &problems).map(|table| {
            let keys = Keys::new(file, table.get_ref(), 0..0, "the survey");
            let reader = Reader { base: &book.base, problems: &problems, metric: Cell::new(0), us: Cell::new(0) };
            let survey = reader.survey(&keys, draft);
            keys.finish(&problems);
            check_departures(&survey, book, &problems);
            survey
        });
        let problems = problems.into_inner();
        match survey {
            Some(survey) if problems.iter().all(|p| p.severity != Severity::Error) => Ok((survey, problems)),
            _ => Err(problems.into()),
        }
    }

    /// Reads the survey of a worked case: one surface, a method and its settings.
    pub(crate) fn read_case(keys: &Keys<'_>, base: &Arc<Base>, method: Option<usize>, problems: &Problems) -> Self {
        let reader = Reader { base, problems, metric: Cell::new(0), us: Cell::new(0) };
        let place = reader.place(keys);
        let date = keys.date(problems, "date");
        let site = keys.tables(problems, "site", "the site").first().map(|k| reader.facts(k, About::Site)).unwrap_or_default();
        let mut surfaces: Vec<Surface> =
            keys.tables(problems, "surface", "a surface").iter().map(|k| reader.surface(k, Some("the surface"))).collect();
        if surfaces.is_empty() {
            surfaces.push(Surface::named("the surface"));
        }
        if let Some(settings) = keys.get("settings").and_then(|i| i.keys("the settings")) {
            let settings = reader.settings(&settings, &[]);
            if let Some(method) = method {
                surfaces[0].proposals.push(Proposal { method: base.method_id(method), settings, note: None });
            }
        }
        let system = reader.system(place.as_deref());
        Self { title: "worked case".to_owned(), date, place, system, site, surfaces, ..Self::empty(base) }
    }
}

impl Reader<'_> {
    pub(super) fn fault(&self, place: &Place, message: String, help: Option<String>) {
        self.problems.borrow_mut().push(place.error(message).maybe_help(help));
    }

    fn system(&self, place: Option<&str>) -> System {
        match self.metric.get().cmp(&self.us.get()) {
            std::cmp::Ordering::Greater => System::Metric,
            std::cmp::Ordering::Less => System::Us,
            std::cmp::Ordering::Equal => self.base.customs.system_at(place),
        }
    }

    fn place(&self, keys: &Keys<'_>) -> Option<String> {
        let code = keys.text(self.problems, "place")?;
        if let Err((message, help)) = place_code(code) {
            let place = keys.get("place").map_or_else(|| keys.place(), |i| i.place());
            self.fault(&place, message, help);
            return None;
        }
        Some(code.to_owned())
    }

    fn survey(&self, keys: &Keys<'_>, draft: bool) -> Survey {
        let problems = self.problems;
        let head = keys.tables(problems, "survey", "[survey]");
        let head = head.first();
        let title = head.and_then(|h| h.text(problems, "title")).unwrap_or(super::UNTITLED).to_owned();
        let date = head.and_then(|h| h.date(problems, "date"));
        let starts = head.and_then(|h| h.date(problems, "starts"));
        let place = head.and_then(|h| self.place(h));
        let surveyor = head.and_then(|h| h.text(problems, "surveyor")).map(str::to_owned);
        let note = head.and_then(|h| h.text(problems, "note")).map(str::to_owned);
        if let Some(head) = head {
            head.finish(problems);
        }
        let site = keys.tables(problems, "site", "[site]").first().map(|k| self.facts(k, About::Site)).unwrap_or_default();
        let mut surfaces: Vec<Surface> = Vec::new();
        let mut names: IndexMap<String, ()> = IndexMap::new();
        for table in keys.tables(problems, "surface", "a surface") {
            let surface = self.surface(&table, None);
            if names.insert(surface.name.clone(), ()).is_some() {
                let place = table.get("name").map_or_else(|| table.place(), |i| i.place());
                self.fault(
                    &place,
                    format!("two surfaces are named `{}`", surface.name),
                    Some("give each surface a name of its own, such as `front door, outside`".to_owned()),
                );
                continue;
            }
            surfaces.push(surface);
        }
        if !draft && surfaces.is_empty() && keys.get("incident").is_none() && problems.borrow().is_empty() {
            self.fault(
                &keys.place(),
                "the survey has no surface".to_owned(),
                Some("add one: [[surface]] with a name, such as name = \"front door\"".to_owned()),
            );
        }
        if surfaces.len() > MOST_SURFACES {
            self.fault(&keys.place(), format!("a survey can have {MOST_SURFACES} surfaces at most"), None);
        }
        let incidents = self.incidents(keys, &surfaces);
        let departures = keys.tables(problems, "departure", "a departure").iter().filter_map(|k| self.departure(k)).collect();
        let system = self.system(place.as_deref());
        Survey { title, date, place, starts, surveyor, system, site, surfaces, incidents, departures, note, base: Arc::clone(self.base) }
    }

    /// Facts about one thing; what is no fact is reported with the nearest that is.
    fn facts(&self, keys: &Keys<'_>, about: About) -> Facts {
        self.facts_but(keys, about, &[])
    }

    pub(super) fn facts_but(&self, keys: &Keys<'_>, about: About, others: &[&str]) -> Facts {
        let mut facts = Facts::new();
        for (name, place, item) in keys.all() {
            if others.contains(&name) {
                continue;
            }
            let _ = keys.get(name);
            match self.base.vocabulary.find_about(about, name) {
                Some(id) => {
                    if let Some(stated) = self.value(item, id) {
                        facts.insert(id, stated);
                    }
                }
                None => self.unknown_fact(&place, name, about, others),
            }
        }
        facts
    }

    fn value(&self, item: Item<'_>, id: crate::vocabulary::FactId) -> Option<Stated> {
        read_counting(item, id, self.base, self.problems, &mut |system| match system {
            System::Metric => self.metric.set(self.metric.get() + 1),
            System::Us => self.us.set(self.us.get() + 1),
        })
    }

    fn unknown_fact(&self, place: &Place, name: &str, about: About, others: &[&str]) {
        let (message, help) = unknown(&self.base.vocabulary, name, about, others);
        self.fault(place, message, help);
    }

    fn surface(&self, keys: &Keys<'_>, fallback_name: Option<&str>) -> Surface {
        let problems = self.problems;
        let name = if fallback_name.is_some() && keys.get("name").is_none() {
            fallback_name.unwrap_or_default().to_owned()
        } else {
            keys.need_text(problems, "name").unwrap_or("").to_owned()
        };
        let note = keys.text(problems, "note").map(str::to_owned);
        let coats = keys.get("coats").map(|item| self.coats(item));
        let patches = keys.tables(problems, "patch", "a test patch").iter().map(|k| self.patch(k)).collect();
        let proposals = keys.tables(problems, "proposal", "a proposal").iter().filter_map(|k| self.proposal(k)).collect();
        let facts = self.facts_but(keys, About::Surface, &["name", "note", "coats", "patch", "proposal", "trouble"]);
        let troubles = keys.tables(problems, "trouble", "a trouble").iter().map(|k| self.trouble(k)).collect();
        Surface { name, facts, coats, patches, proposals, troubles, note }
    }

    fn coats(&self, item: Item<'_>) -> Vec<Facts> {
        let Some(items) = item.items() else {
            self.fault(
                &item.place(),
                "`coats` is not a list".to_owned(),
                Some("list the coats from the top down, or write [] for none".to_owned()),
            );
            return Vec::new();
        };
        if items.len() > MOST_COATS {
            self.fault(
                &item.place(),
                format!("{} coats are listed; {MOST_COATS} are the most", items.len()),
                Some("list each kind of coat once, and say how many with `layers`".to_owned()),
            );
            return Vec::new();
        }
        let kind = self.base.vocabulary.with(FactRole::Kind);
        items
            .into_iter()
            .map(|item| {
                if let (Some(_), Some(kind)) = (item.text(), kind) {
                    return self.value(item, kind).map(|s| Facts::from_iter([(kind, s)])).unwrap_or_default();
                }
                if let Some(keys) = item.keys("a coat") {
                    let facts = self.facts_but(&keys, About::Coat, &["note"]);
                    let _ = keys.text(self.problems, "note");
                    facts
                } else {
                    self.fault(&item.place(), format!("a coat is {} where a table or a kind of coat is wanted", item.kind()), None);
                    Facts::new()
                }
            })
            .collect()
    }

    fn quantity(&self, keys: &Keys<'_>, key: &str, like: &str) -> Option<Quantity> {
        let item = keys.get(key)?;
        let unit = quantity::find_unit(like)?;
        let read = match (item.text(), item.number()) {
            (Some(text), _) => quantity::read(text, unit),
            (None, Some(n)) => Err(format!("`{key}` is the number {n} without a unit; write \"{n} {like}\"").into()),
            _ => Err(format!("`{key}` is {} where a quantity is wanted", item.kind()).into()),
        };
        match read {
            Ok(q) => Some(q),
            Err(message) => {
                self.fault(&item.place(), message.into(), None);
                None
            }
        }
    }

    fn method(&self, keys: &Keys<'_>) -> Option<MethodId> {
        let id = keys.text(self.problems, "method")?;
        let found = self.base.method(id);
        if found.is_none() {
            let place = keys.get("method").map_or_else(|| keys.place(), |i| i.place());
            let help = self.base.catalogue.instead(EntryKind::Method, id);
            self.fault(&place, format!("`{id}` is not a method of the catalogue"), help);
        }
        found
    }

    fn patch(&self, keys: &Keys<'_>) -> Patch {
        let problems = self.problems;
        let result = keys.text(problems, "result").map(str::to_owned);
        if let Some(word) = result.as_deref().filter(|r| !PATCH_RESULTS.contains(r)) {
            let place = keys.get("result").map_or_else(|| keys.place(), |i| i.place());
            self.fault(&place, format!("`{word}` is not the result of a patch"), Some("one of cleared, part or not".to_owned()));
        }
        let patch = Patch {
            method: self.method(keys),
            thickness: self.quantity(keys, "thickness", "mm"),
            dwell: self.quantity(keys, "dwell", "h"),
            temperature: self.quantity(keys, "temperature", "C"),
            result,
            on: keys.date(problems, "on"),
            at: keys.text(problems, "at").map(str::to_owned),
            note: keys.text(problems, "note").map(str::to_owned),
        };
        keys.finish(problems);
        patch
    }

    fn proposal(&self, keys: &Keys<'_>) -> Option<Proposal> {
        if keys.get("method").is_none() {
            keys.missing(self.problems, "method");
        }
        let method = self.method(keys);
        let note = keys.text(self.problems, "note").map(str::to_owned);
        let settings = self.settings(keys, &["method", "note"]);
        Some(Proposal { method: method?, settings, note })
    }

    /// Chosen facts by bare name, whatever they are about.
    fn settings(&self, keys: &Keys<'_>, others: &[&str]) -> Facts {
        let vocabulary = &self.base.vocabulary;
        let mut facts = Facts::new();
        for (name, place, item) in keys.all() {
            if others.contains(&name) {
                continue;
            }
            let _ = keys.get(name);
            let found = [About::Method, About::Surface, About::Site]
                .into_iter()
                .find_map(|a| vocabulary.find_about(a, name).filter(|f| vocabulary.get(*f).chosen));
            if let Some(id) = found {
                if let Some(stated) = self.value(item, id) {
                    facts.insert(id, stated);
                }
            } else {
                let chosen: Vec<&str> = vocabulary.iter().filter(|(_, f)| f.chosen).map(|(_, f)| f.name.as_str()).collect();
                let help = words::did_you_mean(name, chosen.into_iter().chain(others.iter().copied()));
                self.fault(&place, format!("`{name}` is not something that is chosen with a method"), help);
            }
        }
        facts
    }

    fn departure(&self, keys: &Keys<'_>) -> Option<Departure> {
        let problems = self.problems;
        let rule = keys.need_text(problems, "rule").map(str::to_owned);
        let who = keys.need_text(problems, "who").map(str::to_owned);
        let why = keys.need_text(problems, "why").map(str::to_owned);
        let on = keys.date(problems, "on");
        let until = keys.date(problems, "until");
        let surface = keys.text(problems, "surface").map(str::to_owned);
        keys.finish(problems);
        Some(Departure { rule: rule?, who: who?, why: why?, on, until, surface, place: Some(keys.place()) })
    }
}

fn check_departures(survey: &Survey, book: &RuleBook, problems: &Problems) {
    for departure in &survey.departures {
        let Some(place) = &departure.place else { continue };
        match book.rule(&departure.rule) {
            None => {
                let help = words::did_you_mean(&departure.rule, book.rules.iter().map(|r| r.id.as_str()));
                problems
                    .borrow_mut()
                    .push(place.error(format!("a departure names the rule `{}`, which is not there", departure.rule)).maybe_help(help));
            }
            Some(rule) => {
                if departure.until.is_none() && rule.basis.can_be_departed_from() {
                    problems.borrow_mut().push(
                        place
                            .warning(format!("the departure from `{}` has no end", rule.id))
                            .help("write for example until = 2027-12-31: whoever reads it then decides anew"),
                    );
                }
                if let Some(why) = departure_refused(rule.basis) {
                    problems.borrow_mut().push(
                        place
                            .error(format!("no departure from `{}`: {why}", rule.id))
                            .help(format!("it rests on {}", book.cite(&rule.source))),
                    );
                }
            }
        }
        if let Some(name) = &departure.surface
            && survey.position(name).is_none()
        {
            let help = words::did_you_mean(name, survey.surfaces.iter().map(|s| s.name.as_str()));
            problems.borrow_mut().push(place.error(format!("a departure names the surface `{name}`, which is not there")).maybe_help(help));
        }
    }
}
