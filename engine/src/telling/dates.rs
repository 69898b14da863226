//! Dates: what advice rests on that is past its re-checking, and what changed between two days.

use crate::advice::{Advice, Change, MethodAdvice, PastReview};
use crate::finding::{Dated, Happened};
use crate::judge::Subject;
use crate::judge::in_force::InForce;
use crate::judge::know::{How, Slot};
use crate::limit::{Limit, LimitValue, Period};
use crate::pack::{Part, Rule, RuleBook};
use crate::quantity::System;
use jiff::civil::Date;

/// How a rule or presumption is named where it has no heading: its id reads as words.
fn named(title: Option<&str>, id: &str) -> String {
    title.map_or_else(|| id.replace('-', " "), str::to_owned)
}

/// What the advice rests on that was due for re-checking on its day or before.
pub(crate) fn past_review(force: &InForce<'_>, subjects: &[Subject<'_, '_>], advice: &Advice) -> Vec<PastReview> {
    let book = force.book;
    let due = |period: Period| period.review.filter(|d| *d <= force.date);
    let spoken = spoken(advice);
    let mut found: Vec<PastReview> = Vec::new();
    let mut limits: Vec<usize> = Vec::new();
    let speaking: Vec<&Rule> = book.rules.iter().filter(|r| spoken.contains(&r.id.as_str())).collect();
    for rule in &speaking {
        let printed = rule.because.parts.iter().filter_map(|p| if let Part::Limit(l) = p { Some(*l) } else { None });
        limits.extend(rule.tree.limits().into_iter().chain(printed));
        if let Some(review) = due(rule.period) {
            let title = named(rule.title.as_deref(), &rule.id);
            found.push(PastReview {
                what: Dated::Rule,
                id: rule.id.clone(),
                title,
                review: review.to_string(),
                source: book.cite(&rule.source),
            });
        }
    }
    for (index, presumption) in book.presumptions.iter().enumerate() {
        let used = |slots: &[Slot]| slots.iter().any(|s| s.how == How::Presumed(index));
        let rests = subjects.iter().any(|s| used(&s.site) || used(&s.known.surface) || s.known.coats.iter().any(|c| used(c)));
        if let Some(review) = due(presumption.period).filter(|_| rests) {
            let (id, title) = (presumption.id.clone(), named(None, &presumption.id));
            let source = book.cite(&presumption.source);
            found.push(PastReview { what: Dated::Presumption, id, title, review: review.to_string(), source });
        }
    }
    limits.sort_unstable();
    limits.dedup();
    for limit in limits {
        let limit = &book.base.limits[limit];
        let Some(value) = limit.in_force(&force.places, force.date) else { continue };
        if let Some(review) = due(value.period) {
            let (id, title) = (limit.id.clone(), limit.title.clone());
            found.push(PastReview { what: Dated::Limit, id, title, review: review.to_string(), source: book.cite(&value.source) });
        }
    }
    found
}

/// The ids of the rules that the advice says something of.
fn spoken(advice: &Advice) -> Vec<&str> {
    fn of_method(m: &MethodAdvice) -> impl Iterator<Item = &str> {
        let conditions = m.conditions.iter().chain(m.cases.iter().flat_map(|c| &c.conditions));
        let because = conditions.flat_map(|c| &c.because).map(String::as_str);
        m.reasons.iter().map(|n| n.rule.as_str()).chain(because)
    }
    let site = advice.site.notices.iter().map(|n| n.rule.as_str());
    let surfaces = advice.surfaces.iter().flat_map(|s| {
        let methods = s.methods.iter().chain(&s.proposals).flat_map(of_method);
        s.notices.iter().map(|n| n.rule.as_str()).chain(methods)
    });
    site.chain(surfaces).collect()
}

/// What came into force, ended or fell due after one day and up to another, in the order of the days; only what is about the place.
pub fn changed(book: &RuleBook, place: Option<&str>, after: Date, upto: Date, system: System) -> Vec<Change> {
    let places = place.map(|p| book.places_of(p)).unwrap_or_default();
    let mut found = Vec::new();
    let mut add = |what: Dated, id: &str, title: &str, period: Period, source: &str| {
        for (how, day) in happened(period, after, upto) {
            let (id, title, source) = (id.to_owned(), title.to_owned(), book.cite(source));
            found.push(Change { what, id, title, day: day.to_string(), how, source });
        }
    };
    for rule in book.rules.iter().filter(|r| r.place.holds(&places)) {
        add(Dated::Rule, &rule.id, &named(rule.title.as_deref(), &rule.id), rule.period, &rule.source);
    }
    for presumption in book.presumptions.iter().filter(|p| p.place.holds(&places)) {
        add(Dated::Presumption, &presumption.id, &named(None, &presumption.id), presumption.period, &presumption.source);
    }
    for limit in book.base.limits.values() {
        for value in limit.values.iter().filter(|v| v.place.as_ref().is_none_or(|p| places.contains(p))) {
            let period = if followed(limit, value) { Period { until: None, ..value.period } } else { value.period };
            let title = format!("{}: {}", limit.title, value.quantity.show_with(system));
            add(Dated::Limit, &limit.id, &title, period, &value.source);
        }
    }
    found.sort_by(|a, b| a.day.cmp(&b.day));
    found
}

/// Whether another figure for the same place takes over on the next day: then its beginning says enough.
fn followed(limit: &Limit, value: &LimitValue) -> bool {
    let next = value.period.until.and_then(|d| d.tomorrow().ok());
    next.is_some() && limit.values.iter().any(|v| v.place == value.place && v.period.from == next)
}

fn happened(period: Period, after: Date, upto: Date) -> Vec<(Happened, Date)> {
    let ends = period.until.and_then(|d| d.tomorrow().ok());
    [(Happened::Began, period.from), (Happened::Ended, ends), (Happened::Due, period.review)]
        .into_iter()
        .filter_map(|(how, day)| Some((how, day.filter(|d| *d > after && *d <= upto)?)))
        // What is over by then needs no re-checking any more.
        .filter(|(how, _)| *how != Happened::Due || period.holds(upto))
        .collect()
}
