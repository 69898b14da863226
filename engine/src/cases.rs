//! Trying worked cases: what was said, and what should have been.

use crate::advice::{Advice, MethodAdvice, Notice};
use crate::catalogue::EntryKind;
use crate::explain::tried;
use crate::finding::{HowKnown, Status};
use crate::judge::Subject;
use crate::judge::in_force::{Compiled, InForce};
use crate::judge::know::Slots;
use crate::pack::{Case, RuleBook};
use crate::survey::Proposal;
use crate::telling::{Circumstances, Teller};
use crate::vocabulary::About;

/// What came of a worked case.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Tried {
    /// What should have been and was not; empty if all is well.
    pub wrong: Vec<String>,
    /// The rules and presumptions that did not do as they should.
    pub blamed: Vec<String>,
    /// Rules that spoke.
    pub spoke: Vec<String>,
    /// Rules that were open.
    pub open: Vec<String>,
}

/// Tries a worked case against a rule book.
pub fn try_case(case: &Case, book: &RuleBook) -> Tried {
    if let Err(why) = case.survey.surface_fits(0, &book.base) {
        return Tried { wrong: vec![why.to_string()], blamed: Vec::new(), spoke: Vec::new(), open: Vec::new() };
    }
    let circumstances = Circumstances { place: None, date: case.survey.date.unwrap_or_else(crate::pack::case_date) };
    let method = case.method.map(|m| book.base.catalogue.entries(EntryKind::Method)[m].id.clone());
    let proposal = case.survey.surfaces[0].proposals.first();
    let advice = match (case.method, proposal) {
        (Some(_), Some(p)) => tried(&case.survey, book, &circumstances, Some((0, p))),
        (Some(m), None) => {
            let bare = Proposal { method: book.base.method_id(m), settings: crate::survey::Facts::new(), note: None };
            tried(&case.survey, book, &circumstances, Some((0, &bare)))
        }
        _ => tried(&case.survey, book, &circumstances, None),
    };
    let notices = spoken(&advice, method.is_some());
    let has = |id: &str, status: Status| notices.iter().any(|n| n.rule == id && n.status == status);
    let presumed = |id: &str| {
        let told = |how: &HowKnown| how.by.as_deref() == Some(id);
        advice.surfaces.iter().any(|s| {
            s.coats
                .iter()
                .flat_map(|c| &c.facts)
                .chain(s.methods.iter().chain(&s.proposals).flat_map(|m| &m.rests_on))
                .any(|f| told(&f.how_known))
        }) || notices.iter().any(|n| n.facts.iter().any(|f| told(&f.how_known)))
    };
    let mut wrong = Vec::new();
    let mut blamed: Vec<String> = Vec::new();
    for id in &case.says {
        if !has(id, Status::Applies) && !presumed(id) {
            let but = if has(id, Status::Open) { " (it is open)" } else { "" };
            wrong.push(format!("`{id}` should speak and does not{but}"));
            blamed.push(id.clone());
        }
    }
    for id in &case.open {
        if !has(id, Status::Open) {
            let but = if has(id, Status::Applies) { "it applies" } else { "it is silent" };
            wrong.push(format!("`{id}` should be open, but {but}"));
            blamed.push(id.clone());
        }
    }
    for id in &case.silent {
        if has(id, Status::Applies) || presumed(id) {
            wrong.push(format!("`{id}` should be silent and speaks"));
            blamed.push(id.clone());
        } else if has(id, Status::Open) {
            wrong.push(format!("`{id}` should be silent and is open"));
            blamed.push(id.clone());
        }
    }
    if let (Some(expected), Some(found)) = (&case.verdict, advice.surfaces[0].proposals.first())
        && found.verdict != *expected
    {
        wrong.push(format!("the verdict should be \"{expected}\" and is \"{}\": {}", found.verdict, found.line));
    }
    let ids = |status: Status| {
        let mut ids: Vec<String> = notices.iter().filter(|n| n.status == status).map(|n| n.rule.clone()).collect();
        ids.sort();
        ids.dedup();
        ids
    };
    Tried { wrong, blamed, spoke: ids(Status::Applies), open: ids(Status::Open) }
}

/// Why a rule or presumption does what it does in a case: its questions, the answers, and where they lead, indented by depth.
pub fn why(case: &Case, book: &RuleBook, id: &str) -> Vec<String> {
    if let Err(why) = case.survey.surface_fits(0, &book.base) {
        return vec![why.to_string()];
    }
    let date = case.survey.date.unwrap_or_else(crate::pack::case_date);
    let force = InForce::new(book, case.survey.place.as_deref(), date);
    let proposal = case.survey.surfaces[0].proposals.first();
    let mut lines = Vec::new();
    let mut told = |subject: &Subject<'_, '_>, settings: &Slots, tree: &Compiled, by_coat: bool, method: Option<&str>| {
        let teller = Teller { subject, survey: &case.survey, surface: Some(0), system: case.survey.system };
        let coats = if by_coat { subject.known.coats.len() } else { 1 };
        for coat in 0..coats {
            if let Some(method) = method {
                lines.push(format!("with {method}:"));
            }
            if by_coat && coats > 1 {
                lines.push(format!("coat {}:", coat + 1));
            }
            lines.extend(crate::telling::lines(&teller, tree, coat, settings));
        }
    };
    if let Some(index) = book.rules.iter().position(|r| r.id == id) {
        let rule = &book.rules[index];
        let methods: Vec<usize> = case.method.map_or_else(|| crate::judge::methods(&force).collect(), |m| vec![m]);
        let mut seen: Vec<Compiled> = Vec::new();
        for method in methods {
            let (subject, settings) = match proposal {
                Some(p) => crate::judge::with_proposal(&force, &case.survey, 0, p, &[]),
                None => (Subject::new(&force, &case.survey, 0, &[]), force.method(method, None, &[])),
            };
            for ready in force.by_rule(index, method) {
                if !seen.contains(&ready.tree) {
                    let named = (rule.scope.method && case.method.is_none())
                        .then(|| book.base.catalogue.entries(EntryKind::Method)[method].title.as_str());
                    told(&subject, &settings, &ready.tree, rule.scope.coat, named);
                    seen.push(ready.tree.clone());
                }
            }
        }
        if seen.is_empty() {
            let here = rule.place.holds(&force.places) && rule.period.holds(date);
            lines.push(match (here, case.method) {
                (false, _) => format!(
                    "it is not in force {} on {date}",
                    case.survey.place.as_deref().map_or_else(|| "where no place is given".to_owned(), |p| format!("in {p}"))
                ),
                (true, Some(m)) => format!("it never applies to {}", book.base.catalogue.entries(EntryKind::Method)[m].title),
                (true, None) => "it never applies to any method".to_owned(),
            });
        }
    } else if let Some(index) = book.presumptions.iter().position(|p| p.id == id) {
        let subject = Subject::new(&force, &case.survey, 0, &[]);
        let by_coat = book.base.vocabulary.get(book.presumptions[index].fact).about == About::Coat;
        match force.presumptions.iter().find(|r| r.rule == index) {
            Some(ready) => told(&subject, &Slots::new(), &ready.tree, by_coat, None),
            None => lines.push(format!("it is not in force at the case's place on {date}")),
        }
    }
    lines
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
