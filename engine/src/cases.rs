//! Trying worked cases: what was said, and what should have been.

use crate::advice::{Advice, MethodAdvice, Notice};
use crate::explain::{Circumstances, tried};
use crate::pack::{Case, RuleBook};
use crate::survey::Proposal;

/// What came of a worked case.
#[derive(Debug, Clone)]
pub struct Tried {
    /// What should have been and was not; empty if all is well.
    pub wrong: Vec<String>,
    /// Rules that spoke.
    pub spoke: Vec<String>,
}

/// Tries a worked case against a rule book.
pub fn try_case(case: &Case, book: &RuleBook) -> Tried {
    let circumstances = Circumstances { place: None, date: case.survey.date.unwrap_or_else(crate::pack::case_date) };
    let method = case.method.map(|m| book.base.catalogue.entries(crate::catalogue::EntryKind::Method)[m].id.clone());
    let proposal = case.survey.surfaces[0].proposals.first();
    let advice = match (case.method, proposal) {
        (Some(_), Some(p)) => tried(&case.survey, book, &circumstances, Some((0, p))),
        (Some(m), None) => {
            let bare = Proposal { method: m, settings: crate::survey::Facts::new(), note: None };
            tried(&case.survey, book, &circumstances, Some((0, &bare)))
        }
        _ => tried(&case.survey, book, &circumstances, None),
    };
    let notices = spoken(&advice, method.is_some());
    let has = |id: &str, status: &str| notices.iter().any(|n| n.rule == id && n.status == status);
    let presumed = |id: &str| {
        let mark = format!("presumed ({id})");
        advice.surfaces.iter().any(|s| {
            s.coats
                .iter()
                .flat_map(|c| &c.facts)
                .chain(s.methods.iter().chain(&s.proposals).flat_map(|m| &m.rests_on))
                .any(|f| f.how_known == mark)
        }) || notices.iter().any(|n| n.facts.iter().any(|f| f.how_known == mark))
    };
    let mut wrong = Vec::new();
    for id in &case.says {
        if !has(id, "applies") && !presumed(id) {
            let but = if has(id, "open") { " (it is open)" } else { "" };
            wrong.push(format!("`{id}` should speak and does not{but}"));
        }
    }
    for id in &case.open {
        if !has(id, "open") {
            let but = if has(id, "applies") { "it applies" } else { "it is silent" };
            wrong.push(format!("`{id}` should be open, but {but}"));
        }
    }
    for id in &case.silent {
        if has(id, "applies") || presumed(id) {
            wrong.push(format!("`{id}` should be silent and speaks"));
        } else if has(id, "open") {
            wrong.push(format!("`{id}` should be silent and is open"));
        }
    }
    if let (Some(expected), Some(found)) = (&case.verdict, advice.surfaces[0].proposals.first())
        && found.verdict != expected
    {
        wrong.push(format!("the verdict should be \"{expected}\" and is \"{}\": {}", found.verdict, found.line));
    }
    let spoke = notices.iter().filter(|n| n.status == "applies").map(|n| n.rule.clone()).collect();
    Tried { wrong, spoke }
}

/// Every notice of an advice; of one method, where one is looked at.
fn spoken(advice: &Advice, one: bool) -> Vec<&Notice> {
    let mut all: Vec<&Notice> = advice.site.notices.iter().collect();
    for surface in &advice.surfaces {
        all.extend(&surface.notices);
        let methods: &[MethodAdvice] = if one { &surface.proposals } else { &surface.methods };
        all.extend(methods.iter().flat_map(|m| &m.reasons));
    }
    all
}
