//! The workshop for house rules: looking a pack over, telling what a rule comes to, sealing a rule book.

pub mod exercise;
mod grades;
pub mod look;
mod overlap;
mod presumed;
mod rows;
mod schema;
mod schema_more;
pub mod seal;
mod tell;
mod whereabouts;

pub use look::look_over;
pub use overlap::{Overlap, overlaps};
pub use schema::schemas;
pub use seal::{Changed, Seal, changed_since};
pub use tell::{Table, Tell};
pub use whereabouts::{Thing, alike, find, readers, rules_for};

use crate::judge::in_force::InForce;
use crate::pack::{Rule, RuleBook};
use jiff::civil::Date;

/// A day on which a rule is in force, as near to `date` as can be.
fn day_of(rule: &Rule, date: Date) -> Date {
    let late = rule.period.until.map_or(date, |until| date.min(until));
    rule.period.from.map_or(late, |from| late.max(from))
}

/// Everything a rule, presumption, limit, entry or case of the named packs gives as its source, with where it stands.
fn cited<'b>(book: &'b RuleBook, pack: &str) -> Vec<(&'b str, &'b crate::toml_read::Place)> {
    let mut all = Vec::new();
    all.extend(book.rules.iter().filter(|r| r.pack == pack).map(|r| (r.source.as_str(), &r.script.place)));
    all.extend(book.presumptions.iter().filter(|p| p.pack == pack).map(|p| (p.source.as_str(), &p.declared)));
    let rules = book.rules.iter().filter(|r| r.pack == pack);
    all.extend(rules.flat_map(|r| r.sources.values().map(|s| (s.as_str(), &r.script.place))));
    let presumptions = book.presumptions.iter().filter(|p| p.pack == pack);
    all.extend(presumptions.flat_map(|p| p.sources.values().map(|s| (s.as_str(), &p.declared))));
    let figures = book.base.limits.values().flat_map(|l| &l.values);
    all.extend(figures.filter(|v| v.pack == pack).map(|v| (v.source.as_str(), &v.declared)));
    for kind in crate::catalogue::EntryKind::ALL {
        let entries = book.base.catalogue.entries(kind).values();
        all.extend(entries.filter(|e| e.pack == pack).map(|e| (e.source.as_str(), &e.declared)));
    }
    all.extend(book.afters.iter().filter(|a| a.pack == pack).map(|a| (a.source.as_str(), &a.declared)));
    all.extend(book.causes.iter().filter(|c| c.pack == pack).map(|c| (c.source.as_str(), &c.declared)));
    let cases = book.cases.iter().filter(|c| c.pack == pack);
    all.extend(cases.filter_map(|c| Some((c.source.as_deref()?, &c.place))));
    all
}

/// What is in force at a place and date when nothing is presumed: what could be the case at all.
fn unpresumed<'b>(book: &'b RuleBook, place: Option<&str>, date: Date) -> InForce<'b> {
    let mut force = InForce::new(book, place, date);
    force.presumptions.clear();
    force
}
