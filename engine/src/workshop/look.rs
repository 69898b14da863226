//! Looking packs over: what loads without an error and still deserves a look.

use super::{Overlap, cited, day_of, overlaps, unpresumed};
use crate::cases::try_case;
use crate::catalogue::EntryKind;
use crate::compare::state_of;
use crate::diagnostic::Diagnostic;
use crate::judge::in_force::InForce;
use crate::judge::{Subject, methods};
use crate::limit::{LimitValue, Period, Where};
use crate::pack::{Case, GONE, Presumption, Rule, RuleBook, Ruling, case_date};
use crate::quantity::System;
use crate::survey::{Surface, Survey};
use crate::toml_read::Place;
use crate::tree::{Node, Outcome, Tree, Who};
use crate::vocabulary::FactId;
use crate::words;
use jiff::civil::Date;

/// Looks the named packs over as of a day. Everything found is a warning, in the order: rules, presumptions, limits, methods,
/// facts, sources, worked cases.
pub fn look_over(book: &RuleBook, packs: &[&str], date: Date) -> Vec<Diagnostic> {
    let mut look = Look { book, packs, date, found: Vec::new(), stages: Vec::new() };
    for (index, rule) in book.rules.iter().enumerate().filter(|(_, r)| packs.contains(&r.pack.as_str())) {
        look.rule(index, rule);
    }
    for presumption in book.presumptions.iter().filter(|p| packs.contains(&p.pack.as_str())) {
        look.presumption(presumption);
    }
    for limit in book.base.limits.values() {
        for value in limit.values.iter().filter(|v| packs.contains(&v.pack.as_str())) {
            // A figure that has ended and is followed by another is history, which older surveys are judged by.
            let followed = |v: &LimitValue| v.place == value.place && v.pack == value.pack && v.period.until > value.period.until;
            let open_ended = |v: &LimitValue| v.place == value.place && v.pack == value.pack && v.period.until.is_none();
            if value.period.until.is_some() && limit.values.iter().any(|v| followed(v) || open_ended(v)) {
                continue;
            }
            look.period(&value.declared, &format!("a figure of the limit `{}`", limit.id), value.period);
        }
    }
    look.methods();
    look.facts();
    look.sources();
    look.sign_offs();
    for case in book.cases.iter().filter(|c| packs.contains(&c.pack.as_str())) {
        look.case(case);
    }
    look.found
}

/// What is in force at one place and date, made ready once.
struct Stage<'b> {
    place: Option<String>,
    date: Date,
    force: InForce<'b>,
}

struct Look<'b, 'p> {
    book: &'b RuleBook,
    packs: &'p [&'p str],
    date: Date,
    found: Vec<Diagnostic>,
    stages: Vec<Stage<'b>>,
}

/// What a rule can come to when nothing is known.
#[derive(Default)]
struct Reached {
    applies: bool,
    fails: bool,
    /// It applies whatever is found and chosen, for every method.
    always: bool,
}

impl<'b> Look<'b, '_> {
    fn own(&self, pack: &str) -> bool {
        self.packs.contains(&pack)
    }

    fn warn(&mut self, place: &Place, message: String, help: impl Into<String>) {
        self.found.push(place.warning(message).help(help));
    }

    fn stage(&mut self, place: Option<&str>, date: Date) -> usize {
        let known = self.stages.iter().position(|s| s.place.as_deref() == place && s.date == date);
        known.unwrap_or_else(|| {
            let force = unpresumed(self.book, place, date);
            self.stages.push(Stage { place: place.map(str::to_owned), date, force });
            self.stages.len() - 1
        })
    }

    fn reached(&mut self, index: usize, place: Option<&str>) -> Reached {
        let rule = &self.book.rules[index];
        let stage = self.stage(place, day_of(rule, self.date));
        let force = &self.stages[stage].force;
        let survey = Survey::of(Surface::named("the surface"), &self.book.base);
        let subject = Subject::new(force, &survey, 0, &[]);
        let mut reached = Reached { always: true, ..Reached::default() };
        for method in methods(force) {
            let settings = force.method(method, None, &[]);
            let mut certain = false;
            for ready in force.by_rule(index, method) {
                for found in subject.look(ready, &settings, None) {
                    reached.applies |= !found.finding.applies.is_empty();
                    reached.fails |= found.finding.fails.is_some();
                    certain |= found.finding.certain();
                }
            }
            reached.always &= certain;
        }
        reached
    }

    fn rule(&mut self, index: usize, rule: &'b Rule) {
        let at = &rule.script.place;
        let id = &rule.id;
        self.period(at, &format!("the rule `{id}`"), rule.period);
        let applies_somewhere = can_apply(&rule.tree);
        let places: Vec<Option<&str>> =
            if rule.place.named.is_empty() { vec![None] } else { rule.place.named.iter().map(|p| Some(p.as_str())).collect() };
        let reached: Vec<Reached> = places.iter().map(|p| self.reached(index, *p)).collect();
        let fails = reached.iter().position(|r| r.fails && !r.applies);
        if !applies_somewhere || reached.iter().all(|r| !r.applies && !r.fails) {
            self.warn(
                at,
                format!("the rule `{id}` can never apply"),
                "no answers make its script true: look for two conditions that shut each other out",
            );
        } else if let Some(fails) = fails {
            let whereabouts = places[fails].map_or_else(|| "where no place is given".to_owned(), |p| format!("in {p}"));
            let limits: Vec<String> =
                rule.tree.limits().iter().filter_map(|l| Some(format!("`{}`", self.book.base.limits.get_index(*l)?.0))).collect();
            self.warn(
                at,
                format!("the rule `{id}` cannot be worked out {whereabouts}: it counts as a caution there"),
                format!("give the limit {} a figure there, or the rule the `place` for which there is one", words::list(&limits, "and")),
            );
        }
        if reached.iter().all(|r| r.always) {
            self.warn(
                at,
                format!("the rule `{id}` always applies, for every method and surface"),
                "say when it applies; what always holds is better said once in the advice's own words",
            );
        }
        for overlap in overlaps(self.book, rule) {
            self.overlap(rule, &overlap);
        }
        self.tested(rule);
    }

    fn overlap(&mut self, rule: &Rule, overlap: &Overlap) {
        let at = &rule.script.place;
        let id = &rule.id;
        // Of two rules of one's own that say the same, the later one is told.
        let later = |other: &str| {
            let place = self.book.rule(other).filter(|o| self.own(&o.pack)).map(|o| &o.script.place);
            place.is_none_or(|p| (&p.file.name, p.span.start) < (&at.file.name, at.span.start))
        };
        // What stands on firmer ground than the other adds that ground.
        let weaker = |other: &str| self.book.rule(other).is_some_and(|o| o.basis <= rule.basis);
        match overlap {
            Overlap::Same(other) if later(other) && weaker(other) => {
                let message = format!("the rule `{id}` repeats `{other}`: it applies in the same cases, with the same ruling");
                self.warn(at, message, "leave one of them out, unless they say two different things");
            }
            // Two cautions on one matter say two things; a second rule-out or hold there decides nothing.
            Overlap::CoveredBy(other) if matches!(rule.ruling, Ruling::RuleOut | Ruling::Hold) && weaker(other) => {
                let message = format!("the rule `{id}` adds no case: `{other}` applies wherever it does, with the same ruling");
                self.warn(at, message, format!("leave it out, or say what it adds; look at {other} first"));
            }
            Overlap::Undone(other) => {
                let message = format!("the rule `{id}` contradicts `{other}`, which rules the method out wherever this one prefers it");
                self.warn(at, message, "it never comes to bear: leave it out, or narrow it");
            }
            Overlap::Same(_) | Overlap::CoveredBy(_) | Overlap::Covers(_) | Overlap::CanContradict(_) => {}
        }
    }

    /// Whether worked cases try a rule from both sides.
    fn tested(&mut self, rule: &Rule) {
        let at = &rule.script.place;
        let names = |list: &[String]| list.contains(&rule.id);
        let speaks = self.book.cases.iter().any(|c| names(&c.says));
        let silent = self.book.cases.iter().any(|c| names(&c.silent));
        let lacking = match (speaks, silent) {
            (true, true) => return,
            (false, false) => "no worked case",
            (false, true) => "no worked case in which it speaks",
            (true, false) => "no worked case in which it is silent",
        };
        let key = if speaks { "silent" } else { "says" };
        self.warn(at, format!("the rule `{}` has {lacking}", rule.id), format!("add a [[case]] with {key} = [\"{}\"]", rule.id));
    }

    fn presumption(&mut self, presumption: &Presumption) {
        let at = &presumption.declared;
        let id = &presumption.id;
        self.period(at, &format!("the presumption `{id}`"), presumption.period);
        if !can_apply(&presumption.tree) {
            self.warn(at, format!("the presumption `{id}` can never apply"), "no answers make its script true");
        }
        let named = |c: &Case| [&c.about, &c.says, &c.silent].iter().any(|list| list.contains(id));
        if !self.book.cases.iter().any(named) {
            self.warn(at, format!("the presumption `{id}` has no worked case"), format!("add a [[case]] with says = [\"{id}\"]"));
        }
        for (rule, why) in super::presumed::unlocked(self.book, presumption) {
            let message = format!("the presumption `{id}` would silence `{}`, {why}", rule.id);
            self.warn(
                at,
                message,
                "a presumption unlocks nothing, so the rule stays open there until the fact is stated: let it read a fact that nothing \
                 presumes, or give the presumption a ground of law",
            );
        }
        for other in self.book.presumptions.iter().filter(|p| p.fact == presumption.fact && p.id != presumption.id) {
            let first = (other.basis, &other.id) < (presumption.basis, id);
            let placed = other.place == Where::default() || other.place == presumption.place;
            if first
                && placed
                && other.unstated.is_empty()
                && crate::script::applies_within(&self.book.base, &presumption.tree, &other.tree)
            {
                let message = format!("the presumption `{id}` never gives a value: `{}` comes first wherever it applies", other.id);
                self.warn(at, message, "leave it out, or narrow it");
            }
        }
    }

    fn period(&mut self, at: &Place, what: &str, period: Period) {
        if let Some(until) = period.until.filter(|d| *d < self.date) {
            self.warn(at, format!("{what} ended on {until}"), "it says nothing any more: bring it up to date, or leave it out");
        } else if let Some(review) = period.review.filter(|d| *d <= self.date) {
            self.warn(
                at,
                format!("{what} was due for re-checking on {review}"),
                "look the source up again and set `review` to the next date",
            );
        }
    }

    fn methods(&mut self) {
        let catalogue = &self.book.base.catalogue;
        for (index, method) in catalogue.entries(EntryKind::Method).values().enumerate() {
            if !self.own(&method.pack) {
                continue;
            }
            if method.cautions.is_none() {
                let message = format!("the method `{}` has no usual caution", method.id);
                self.warn(&method.declared, message, "add `cautions = \"…\"`: one sentence, printed with every step that uses it");
            }
            for grid in catalogue.grids.values().filter(|g| g.columns == EntryKind::Method) {
                let rows: Vec<&str> = catalogue.ids(grid.rows).collect();
                let blank: Vec<&str> = rows.iter().enumerate().filter(|(r, _)| !grid.cells[*r][index].stated).map(|(_, id)| *id).collect();
                if blank.is_empty() {
                    continue;
                }
                let otherwise = format!("{} {}", grid.grades[grid.otherwise.0], grid.reasons[grid.otherwise.1]);
                let some =
                    if blank.len() > 6 { format!("{} and {} more", blank[..5].join(", "), blank.len() - 5) } else { blank.join(", ") };
                self.warn(
                    &method.declared,
                    format!("the method `{}` has no grade in `{}` for {some}", method.id, grid.id),
                    format!("they count as \"{otherwise}\"; grade them in [[column]] with grid = \"{}\"", grid.id),
                );
            }
        }
    }

    fn facts(&mut self) {
        let book = self.book;
        let mut read: Vec<FactId> = Vec::new();
        let trees = book.rules.iter().map(|r| &r.tree).chain(book.presumptions.iter().map(|p| &p.tree));
        for who in trees.flat_map(|t| t.asked.iter().copied().chain(t.reads())) {
            if let Who::Fact(fact) = who {
                read.push(fact);
            }
        }
        read.extend(book.rules.iter().filter_map(|r| r.released_by));
        read.extend(book.presumptions.iter().flat_map(|p| p.unstated.iter().copied()));
        // Steps read facts too, and what a method can be set to is read where it is proposed and where its patches are looked at.
        let working = &book.working;
        let trees = working
            .steps
            .iter()
            .map(|s| &s.tree)
            .chain(working.partials.iter().map(|p| &p.tree))
            .chain(book.usual.iter().map(|u| &u.tree))
            .chain(working.orders.iter().map(|o| &o.tree))
            .chain(book.afters.iter().map(|a| &a.tree))
            .chain(book.causes.iter().flat_map(|c| std::iter::once(&c.tree).chain(c.points.iter().map(|(_, tree)| tree))));
        read.extend(trees.flat_map(Tree::reads).filter_map(|w| if let Who::Fact(f) = w { Some(f) } else { None }));
        for kind in EntryKind::ALL {
            read.extend(book.base.catalogue.entries(kind).values().flat_map(|e| e.settings.keys().copied()));
        }
        for (id, fact) in book.base.vocabulary.iter().filter(|(_, f)| self.packs.contains(&f.pack.as_str())) {
            if let Some(careful) = &fact.careful {
                let value = fact.show(careful, &book.base.catalogue, System::Metric);
                for rule in book.rules.iter().filter(|r| matches!(r.ruling, Ruling::RuleOut | Ruling::Hold)) {
                    if !crate::script::strictest_at(&book.base, &rule.tree, id, careful) {
                        let message =
                            format!("`{}` says that {value} is its careful value, but `{}` speaks at others too", fact.id, rule.id);
                        self.warn(
                            &fact.declared,
                            message,
                            "presuming it could silence that rule: see that others stand in, or leave `careful` out",
                        );
                    }
                }
            }
            if !read.contains(&id) {
                self.warn(
                    &fact.declared,
                    format!("no rule reads the fact `{}`", fact.id),
                    "a fact that nothing reads changes no advice; a calculator may still reckon with it",
                );
            } else if fact.help.trim().is_empty() && !fact.chosen && !fact.about.has_happened() {
                self.warn(
                    &fact.declared,
                    format!("nothing says how the fact `{}` is found out", fact.id),
                    "add `help = \"…\"`: who looks where, or which test is made",
                );
            } else if fact.chosen && fact.condition.is_none() {
                self.warn(
                    &fact.declared,
                    format!("the chosen fact `{}` has no wording as a condition", fact.id),
                    "add `condition = \"…\"`: how it reads in \"suits on these conditions: …\"",
                );
            }
        }
    }

    fn sources(&mut self) {
        let book = self.book;
        let ids: Vec<&str> = book.sources.keys().map(String::as_str).collect();
        for pack in self.packs {
            for (text, at) in cited(book, pack) {
                for id in text.split(';').filter_map(unlisted).filter(|id| !book.sources.contains_key(*id)) {
                    let help = words::did_you_mean(id, ids.iter().copied());
                    let help = help.unwrap_or_else(|| format!("add a [[source]] with id = \"{id}\", or write the source out"));
                    self.warn(at, format!("the source `{id}` is not listed"), help);
                }
            }
        }
        // A grade's source is kept with its cell, without the pack it came from: every cell counts.
        let cells = book.base.catalogue.grids.values().flat_map(|g| g.cells.iter().flatten()).map(|c| c.source.as_str());
        let ranking = book.ranking.iter().map(|r| r.source.as_str()).chain(book.grades.iter().map(|g| g.source.as_str()));
        let ranking = ranking.chain(book.doubts.iter().map(|d| d.source.as_str()));
        let working = &book.working;
        let steps = working.steps.iter().map(|s| s.source.as_str()).chain(working.partials.iter().map(|p| p.source.as_str()));
        let beside = book.figures.values().map(|f| f.source.as_str()).chain(book.remarks.values().map(|r| r.source.as_str()));
        let words = book.phrases.iter().map(|p| p.source.as_str()).chain(working.orders.iter().map(|o| o.source.as_str()));
        let rules = book.packs.iter().flat_map(|p| cited(book, &p.name)).map(|(text, _)| text);
        let usual = book.usual.iter().map(|u| u.source.as_str());
        let told = book.callers.iter().map(|c| c.source.as_str()).chain(book.glossary.iter().map(|w| w.source.as_str()));
        let all: Vec<&str> = rules.chain(usual).chain(told).chain(cells).chain(ranking).chain(steps).chain(beside).chain(words).collect();
        for (id, source) in book.sources.iter().filter(|(_, s)| self.packs.contains(&s.pack.as_str())) {
            let cites = |text: &str| text.split(';').any(|part| part.trim().split([',', ' ']).next() == Some(id));
            if !all.iter().any(|text| cites(text)) {
                self.warn(&source.declared, format!("nothing cites the source `{id}`"), "leave it out, or name it as a `source`");
            }
        }
    }

    fn sign_offs(&mut self) {
        for signed in self.book.sign_offs.iter().filter(|s| self.packs.contains(&s.pack.as_str()) && s.digest != GONE) {
            let Some(rule) = self.book.rule(&signed.rule) else { continue };
            let now = state_of(self.book, rule);
            if rule.basis.can_be_departed_from() {
                let message = format!("`{}` is signed off, and needs none: its ground is {}", signed.rule, rule.basis.word());
                self.warn(&signed.declared, message, "only rules of law or standard need a sign-off before they say less");
            } else if now != signed.digest {
                let message = format!("the sign-off of `{}` was given for another state of it; now it is {now}", signed.rule);
                self.warn(
                    &signed.declared,
                    message,
                    "the rule, a figure or a presumption it reads has changed since: have it signed off again, or take the old one out",
                );
            }
        }
    }

    fn case(&mut self, case: &Case) {
        let title = &case.title;
        let place = &case.place;
        if case.says.is_empty() && case.open.is_empty() && case.silent.is_empty() && case.verdict.is_none() {
            self.warn(
                place,
                format!("the worked case \"{title}\" expects nothing"),
                "say what must be said: says = […], silent = […], open = […] or verdict = \"…\"",
            );
            return;
        }
        let date = case.survey.date.unwrap_or_else(case_date);
        let places = case.survey.place.as_deref().map(|p| self.book.places_of(p)).unwrap_or_default();
        let named = |id: &String| [&case.says, &case.open, &case.silent].iter().any(|list| list.contains(id));
        for id in &case.silent {
            let Some(rule) = self.book.rule(id) else { continue };
            let here = rule.place.holds(&places);
            let reached = here && rule.period.holds(date);
            // A case may show that a rule does not hold elsewhere or earlier; it then says so by being about it.
            if !reached && !case.about.contains(id) {
                let message = format!("the worked case \"{title}\" does not reach `{id}`, which is not in force at its place and date");
                self.warn(place, message, "give the case a place and date at which the rule holds, or leave the rule out of `silent`");
            }
        }
        for id in case.about.iter().filter(|id| !named(id)) {
            if case.verdict.is_none() {
                let message = format!("the worked case \"{title}\" is about `{id}` and expects nothing of it");
                self.warn(place, message, format!("name it: says = [\"{id}\"], silent = [\"{id}\"] or open = [\"{id}\"]"));
            } else if try_case(case, self.book).wrong.is_empty() && try_case(case, &without(self.book, id)).wrong.is_empty() {
                let message = format!("the worked case \"{title}\" does not test `{id}`: it would pass without that rule");
                self.warn(place, message, format!("name it: says = [\"{id}\"], silent = [\"{id}\"] or open = [\"{id}\"]"));
            }
        }
    }
}

/// The same book with one rule that never speaks.
fn without(book: &RuleBook, id: &str) -> RuleBook {
    let mut other = book.clone();
    for rule in other.rules.iter_mut().filter(|r| r.id == id) {
        rule.tree.nodes = vec![Node::Leaf(Outcome::Silent)];
    }
    other
}

fn can_apply(tree: &Tree) -> bool {
    tree.nodes.contains(&Node::Leaf(Outcome::Applies))
}

/// The id a source begins with, where it reads like the id of a listed one: kebab-case, alone or before a comma.
fn unlisted(part: &str) -> Option<&str> {
    let id = part.split(',').next().unwrap_or(part).trim();
    let letters = id.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
    (letters && id.contains('-') && id.starts_with(|c: char| c.is_ascii_lowercase())).then_some(id)
}
