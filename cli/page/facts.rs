//! What is on a surface, what the work takes, what to find out, and until when it holds.

use super::plain::{at_work, day, lower, rounded, sentence, surfaces, upper, waiting};
use super::{Detail, Form, Ground, Item, Names, Part, Section, TELLS};
use crate::render::shared::departed;
use ovolo_engine::advice::{Advice, Ask, CoatAdvice, DepartureAdvice};
use ovolo_engine::approach::Plan;
use ovolo_engine::approach::shape::SurfacePlan;
use ovolo_engine::finding::{Footing, Happened, Status};
use ovolo_engine::role::{ChoiceRole, FactRole};
use ovolo_engine::vocabulary::Fact;
use ovolo_engine::words::list;
use std::fmt::Write as _;

/// The most questions on a sheet.
const MOST_QUESTIONS: usize = 3;

/// What a coat may hold that a page tells of.
const HELD: [(FactRole, &str); 2] = [(FactRole::Lead, "lead"), (FactRole::Asbestos, "asbestos")];

/// Where and when it holds.
pub(super) fn head(advice: &Advice, names: &Names) -> Vec<String> {
    let survey = &advice.survey;
    let mut out = vec![match &survey.place {
        Some(place) if survey.place_covered => {
            let named = names.place(place);
            let parent = place.split_once('-').filter(|_| named == *place).map(|(country, _)| names.place(country));
            let unknown = parent.map_or_else(String::new, |p| {
                format!(" The rule book knows no part {place} of {p}: what holds in all of it is applied. Look whether the code is right.")
            });
            format!("For {named}, as of {}.{unknown}", day(&survey.date))
        }
        Some(place) => format!(
            "For {}, as of {}. The rule book holds nothing about {place} itself: only what holds everywhere is applied. Ask which local \
             law binds the work.",
            names.place(place),
            day(&survey.date)
        ),
        None => format!(
            "As of {}. No place is given, so no local law is applied: give the survey a place, such as GB-ENG or US-MA.",
            day(&survey.date)
        ),
    }];
    if let Some(happened) = &advice.happened {
        out.insert(0, format!("{happened} {TELLS}"));
    }
    if let Some(until) = &advice.good_until {
        out.push(format!("Good until {}: from then on ask again.", day(until)));
    }
    out
}

/// The most changes that are named.
const MOST_CHANGES: usize = 4;

/// What is past the day it was due for re-checking, and what has changed since the survey.
pub(super) fn dated(advice: &Advice) -> Vec<String> {
    let bare = |title: &str| title.trim_end_matches('.').to_owned();
    let mut out = Vec::new();
    let past: Vec<String> = advice.past_review.iter().map(|p| format!("{} (since {})", bare(&p.title), day(&p.review))).collect();
    if !past.is_empty() {
        out.push(format!("Due for re-checking: {}. It counts as it stands; ask whether it has changed.", past.join("; ")));
    }
    let due = |id: &str| advice.past_review.iter().any(|p| p.id == id);
    let changed = advice.changed.iter().filter(|c| c.how != Happened::Due || !due(&c.id));
    let mut days: Vec<(String, Vec<String>)> = Vec::new();
    for change in changed {
        let when = format!("From {} {}", day(&change.day), change.how);
        match days.iter_mut().find(|(w, _)| *w == when) {
            Some((_, all)) => all.push(bare(&change.title)),
            None => days.push((when, vec![bare(&change.title)])),
        }
    }
    for (when, mut all) in days {
        let more = all.len().saturating_sub(MOST_CHANGES);
        all.truncate(MOST_CHANGES);
        let more = if more > 0 { format!("; and {more} more, told with --all") } else { String::new() };
        out.push(format!("{when}: {}{more}.", all.join("; ")));
    }
    out
}

/// The rule book, for the record.
pub(super) fn rule_book(advice: &Advice) -> String {
    let packs: Vec<String> = advice.rule_book.packs.iter().map(|p| format!("{} {}", p.name, p.version)).collect();
    format!("Rule book {} ({}).", advice.rule_book.digest.get(..12).unwrap_or(&advice.rule_book.digest), packs.join(", "))
}

/// The coats, from the top.
pub(super) fn coats(g: &Ground<'_>) -> String {
    let coats = &g.surface.coats;
    if coats.is_empty() {
        // Nobody has listed them: what the paint is taken to hold stands there all the same.
        let facts = || g.surface.methods.iter().flat_map(|m| &m.rests_on);
        let taken = |role: FactRole| {
            let held = g.names.with(role).and_then(|f| Some((f.id.as_str(), f.choice_id_with(ChoiceRole::Present)?)));
            held.is_some_and(|(id, present)| facts().any(|f| f.fact == id && f.value == present))
        };
        let held: Vec<String> = HELD.iter().filter(|(role, _)| taken(*role)).map(|(_, n)| (*n).to_owned()).collect();
        let until = "taken to be in the paint until a test says otherwise";
        return if held.is_empty() { String::new() } else { format!("Coats not listed yet. {}: {until}.", upper(&list(&held, "and"))) };
    }
    // That it may be nearly anything says no more than that nobody knows.
    let kind = |c: &CoatAdvice| {
        let known = value(c, g.names.with(FactRole::Kind)).filter(|(v, _)| !v.starts_with("anything but "));
        known.map_or_else(|| "kind not known".to_owned(), |(v, _)| g.names.value(v))
    };
    let layers = |c: &CoatAdvice| match value(c, g.names.with(FactRole::Layers)) {
        Some((n, false)) if n != "1" => format!(" ({} layers)", n.replace(" .. ", " to ")),
        _ => String::new(),
    };
    let told: Vec<String> = coats.iter().map(|c| format!("{} {}{}", c.coat, kind(c), layers(c))).collect();
    let mut out = format!("Coats from the top: {}.", told.join(", "));
    for (role, name) in HELD {
        let fact = g.names.with(role);
        let mut parts: Vec<String> = Vec::new();
        // That it is presumed to be absent is nothing to work by; with --all it is told with its ground.
        for (is, presumed, words) in
            [(ChoiceRole::Present, false, "in"), (ChoiceRole::Present, true, "presumed in"), (ChoiceRole::Absent, false, "none in")]
        {
            let Some(is) = fact.and_then(|f| f.choice_id_with(is)) else { continue };
            let with = coats.iter().filter(|c| value(c, fact) == Some((is, presumed)));
            let numbers: Vec<String> = with.map(|c| c.coat.to_string()).collect();
            if !numbers.is_empty() {
                let all = numbers.len() == coats.len() && coats.len() > 1;
                parts.push(format!("{words} {}", if all { "all".to_owned() } else { list(&numbers, "and") }));
            }
        }
        if !parts.is_empty() {
            let _ = write!(out, " {}: {}.", upper(name), parts.join("; "));
        }
    }
    out
}

/// A fact of a coat, and whether it is presumed.
fn value<'a>(coat: &'a CoatAdvice, fact: Option<&Fact>) -> Option<(&'a str, bool)> {
    let fact = &fact?.id;
    coat.facts.iter().find(|f| f.fact == *fact).map(|f| (f.value.as_str(), f.how_known.ground == Footing::Presumed))
}

/// What it takes, in few figures.
pub(super) fn reckon(g: &Ground<'_>) -> Section {
    let mut items: Vec<Item> = Vec::new();
    let Some((plan, told)) = g.plan.and_then(|p| Some((p, p.told?))) else { return Section::new("", Form::Line, items) };
    if let Some(row) = plan.comparison.iter().find(|c| c.approach == told) {
        for line in row.figures.iter().filter(|l| l.high != Some(0.0)) {
            let hours = line.low.zip(line.high).filter(|_| line.unit == Some("h"));
            items.push(Item::head(match (line.name.as_str(), hours) {
                ("attended hours", Some((low, high))) => format!("{} of work", at_work(low, high)),
                ("waiting", Some((low, high))) => format!("{} of dwell and drying", waiting(low, high)),
                (name, _) => format!("{} of {name}", rounded(&line.text)),
            }));
        }
    }
    // Not known is said as such, never as nothing.
    let mut own: Vec<&str> = missing(plan, g.whole).into_iter().filter(|m| !g.common.missing.contains(m)).collect();
    let most = if g.detail == Detail::Page { 1 } else { usize::MAX };
    if !own.is_empty() {
        let more = if own.len() > most { ", and more" } else { "" };
        own.truncate(most);
        items.push(Item::head(format!("not reckoned yet: {}{more}", own.join("; "))));
    }
    Section::new("Reckon, for one person, with", Form::Line, items).set_off(super::Part::Figures)
}

/// What is missing for figures, each once.
pub(super) fn missing<'a>(surface: &'a SurfacePlan, plan: &'a Plan) -> Vec<&'a str> {
    let told = surface.comparison.iter().filter(|c| Some(c.approach) == surface.told).flat_map(|c| &c.missing);
    let turn = plan.programme.turns.iter().filter(|t| t.surface == surface.name).flat_map(|t| &t.missing);
    let steps = surface.stages.iter().flat_map(|s| &s.steps).flat_map(|s| &s.quantities).filter_map(|q| q.missing.as_ref());
    let mut once: Vec<&str> = Vec::new();
    for m in told.chain(turn).chain(steps) {
        if !once.contains(&m.as_str()) {
            once.push(m);
        }
    }
    once
}

/// What to find out next.
pub(super) fn find_out(g: &Ground<'_>) -> Section {
    let provided: Vec<(&str, &str)> = g
        .plan
        .and_then(|p| p.approaches.get(p.told? - 1))
        .map_or_else(Vec::new, |a| a.provided.iter().chain(&a.tried).map(|p| (p.fact.as_str(), p.about.as_str())).collect());
    let asks = g.advice.ask_next.iter().filter(|a| a.surface.as_deref() == Some(&g.surface.name));
    // One proviso may stand for all coats.
    let granted = |a: &Ask| provided.iter().any(|(fact, about)| *fact == a.fact && (*about == a.about || about.contains("coat")));
    let asks = asks.filter(|a| !granted(a) && timely(a, g.advice, g.names));
    Section::new("Find out next", Form::Ticks, asks.take(MOST_QUESTIONS).map(|a| ask(a, g.surface.coats.len(), g.detail)).collect())
        .set_off(Part::Ask)
}

/// Whether it is time for a question: what releases a hold is asked for once the hold surely applies.
pub(super) fn timely(ask: &Ask, advice: &Advice, names: &Names) -> bool {
    let all = advice.surfaces.iter().flat_map(|s| s.methods.iter().flat_map(|m| &m.reasons).chain(&s.notices)).chain(&advice.site.notices);
    let mut holds = all.filter(|n| names.released_by(&n.rule) == Some(ask.fact.as_str())).peekable();
    holds.peek().is_none() || holds.any(|n| n.status == Status::Applies)
}

/// A question, and how to find out.
pub(super) fn ask(ask: &Ask, coats: usize, detail: Detail) -> Item {
    let head = if coats > 1 && ask.about.starts_with("coat") {
        format!("{}: {}", upper(&ask.about), lower(&ask.question))
    } else {
        ask.question.clone()
    };
    let how = ask.how_to_find_out.as_str();
    // On a page the first thing to do; the rest is told with --all.
    let how = if detail == Detail::Page { how.split(". ").next().unwrap_or(how) } else { how };
    Item::new(head, sentence(how))
}

/// Departures for this surface alone.
pub(super) fn departures(g: &Ground<'_>) -> Option<Section> {
    let own: Vec<Item> = g
        .advice
        .departures
        .iter()
        .filter(|d| d.surface.as_deref() == Some(&g.surface.name))
        .map(|d| Item::new(departure(&unexplained(d), g.names).trim_end_matches([' ', '.']), d.why.clone()))
        .collect();
    (!own.is_empty()).then(|| Section::new("Departures", Form::Points, own).set_off(Part::Departures))
}

/// A departure without its reason, which is told apart.
fn unexplained(d: &DepartureAdvice) -> DepartureAdvice {
    let mut short = d.clone();
    short.why.clear();
    short
}

/// Departures for the whole job.
pub(super) fn job_departures(advice: &Advice, names: &Names) -> Section {
    let all = advice.departures.iter().filter(|d| d.surface.is_none());
    Section::new("Departures", Form::Points, all.map(|d| Item::head(departure(d, names))).collect())
}

/// A departure with the rule by its heading and days as people write them.
fn departure(d: &DepartureAdvice, names: &Names) -> String {
    let day = |iso: &Option<String>| iso.as_deref().map(day);
    let mut shown = d.clone();
    (shown.on, shown.until) = (day(&d.on), day(&d.until));
    departed(&shown, &format!("From \u{201c}{}\u{201d}", names.rule(&d.rule)), false)
}

/// Whom it is for, after what is said; nothing where it is everybody.
pub(super) fn whom(names: &[&str], of: usize) -> String {
    if names.len() >= of { String::new() } else { format!(" ({})", surfaces(names)) }
}
