//! What is on a surface, what the work takes, what to find out, and until when it holds.

use super::plain::{day, lower, rounded, sentence, surfaces, upper};
use super::{Detail, Form, Ground, Item, Names, Section};
use crate::render::shared::departed;
use engine::advice::{Advice, Ask, CoatAdvice, DepartureAdvice};

/// The most questions on a sheet.
const MOST_QUESTIONS: usize = 3;

/// Where and when it holds.
pub(super) fn head(advice: &Advice, names: &Names) -> Vec<String> {
    let survey = &advice.survey;
    let mut out = vec![match &survey.place {
        Some(place) if survey.place_covered => format!("For {}, as of {}.", names.place(place), day(&survey.date)),
        Some(place) => format!(
            "For {}, as of {}. Nothing is held about the law there: only what holds everywhere is applied. Ask which local law binds the work.",
            names.place(place),
            day(&survey.date)
        ),
        None => format!(
            "As of {}. No place is given, so no local law is applied: give the survey a place, such as GB-ENG or US-MA.",
            day(&survey.date)
        ),
    }];
    if let Some(until) = &advice.good_until {
        out.push(format!("Good until {}: from then on ask again.", day(until)));
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
    let told: Vec<String> = g.surface.coats.iter().map(|c| coat(c, g.names)).collect();
    if told.is_empty() { String::new() } else { format!("Coats from the top: {}.", told.join("; ")) }
}

fn coat(coat: &CoatAdvice, names: &Names) -> String {
    let mut kind = "kind not known".to_owned();
    let mut parts: Vec<String> = Vec::new();
    for fact in &coat.facts {
        let presumed = if fact.how_known.starts_with("presumed") { ", presumed" } else { "" };
        let name = fact.fact.trim_start_matches("coat.");
        match (name, fact.value.as_str()) {
            ("kind", value) => kind = names.value(value),
            ("lead" | "asbestos", "present") => parts.push(format!("{name}{presumed}")),
            ("lead" | "asbestos", "absent") => parts.push(format!("no {name}{presumed}")),
            _ => {}
        }
    }
    if parts.is_empty() { format!("{} {kind}", coat.coat) } else { format!("{} {kind} ({})", coat.coat, parts.join("; ")) }
}

/// What it takes, in few figures.
pub(super) fn reckon(g: &Ground<'_>) -> Section {
    let mut items: Vec<Item> = Vec::new();
    let mut missing: Vec<&str> = Vec::new();
    if let Some((plan, told)) = g.plan.and_then(|p| Some((p, p.told?))) {
        let turn = g.whole.programme.turns.iter().find(|t| t.surface == g.surface.name);
        if let Some(row) = plan.comparison.iter().find(|c| c.approach == told) {
            for line in row.figures.iter().filter(|l| l.high != Some(0.0)) {
                let name = match line.name.as_str() {
                    "attended hours" => "one person at work",
                    "waiting" => "waiting for dwell and drying",
                    "waste" => "waste to carry away",
                    other => other,
                };
                items.push(Item::head(format!("{name} {}", rounded(&line.text))));
            }
            missing.extend(row.missing.iter().map(String::as_str));
        }
        if let Some(done) = turn.and_then(|t| t.figures.iter().find(|l| l.name.starts_with("done on"))) {
            items.push(Item::head(format!("{} {}", done.name, rounded(&done.text))));
        }
        missing.extend(turn.iter().flat_map(|t| &t.missing).map(String::as_str));
        let open = plan.stages.iter().flat_map(|s| &s.steps).flat_map(|s| &s.quantities).filter_map(|q| q.missing.as_deref());
        missing.extend(open);
    }
    let mut once: Vec<&str> = Vec::new();
    for m in missing {
        if !once.contains(&m) {
            once.push(m);
        }
    }
    // Not known is said as such, never as nothing.
    let most = if g.detail == Detail::Page { 2 } else { usize::MAX };
    if !once.is_empty() {
        let more = if once.len() > most { "; and more" } else { "" };
        once.truncate(most);
        items.push(Item::head(format!("for other figures is missing: {}{more}", once.join("; "))));
    }
    Section::new("Reckon with", Form::Line, items)
}

/// What to find out next.
pub(super) fn find_out(g: &Ground<'_>) -> Section {
    let provided: Vec<(&str, &str)> = g
        .plan
        .and_then(|p| p.approaches.get(p.told? - 1))
        .map_or_else(Vec::new, |a| a.provided.iter().map(|p| (p.fact.as_str(), p.about.as_str())).collect());
    let asks = g.advice.ask_next.iter().filter(|a| a.surface.as_deref() == Some(&g.surface.name));
    let asks = asks.filter(|a| !provided.contains(&(a.fact.as_str(), a.about.as_str())));
    Section::new("Find out next", Form::Ticks, asks.take(MOST_QUESTIONS).map(|a| ask(a, g.surface.coats.len())).collect())
}

/// A question, and how to find out.
pub(super) fn ask(ask: &Ask, coats: usize) -> Item {
    let head = if coats > 1 && ask.about.starts_with("coat") {
        format!("{}: {}", upper(&ask.about), lower(&ask.question))
    } else {
        ask.question.clone()
    };
    Item::new(head, sentence(&ask.how_to_find_out))
}

/// Departures for this surface alone.
pub(super) fn departures(g: &Ground<'_>) -> Option<Section> {
    let own: Vec<Item> = g
        .advice
        .departures
        .iter()
        .filter(|d| d.surface.as_deref() == Some(&g.surface.name))
        .map(|d| Item::head(departure(d, g.names)))
        .collect();
    (!own.is_empty()).then(|| Section::new("Departures", Form::Points, own))
}

/// Departures for the whole job.
pub(super) fn job_departures(advice: &Advice, names: &Names) -> Section {
    let all = advice.departures.iter().filter(|d| d.surface.is_none());
    Section::new("Departures", Form::Points, all.map(|d| Item::head(departure(d, names))).collect())
}

/// A departure with the rule by its heading and days as people write them.
fn departure(d: &DepartureAdvice, names: &Names) -> String {
    let day = |iso: &Option<String>| iso.as_deref().map(day);
    let shown = DepartureAdvice { on: day(&d.on), until: day(&d.until), ..d.clone() };
    departed(&shown, &format!("From \u{201c}{}\u{201d}", names.rule(&d.rule)), false)
}

/// Whom it is for, after what is said; nothing where it is everybody.
pub(super) fn whom(names: &[&str], of: usize) -> String {
    if names.len() >= of { String::new() } else { format!(" ({})", surfaces(names)) }
}
