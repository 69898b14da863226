//! Worked cases: small surveys, with what must and must not be said of them.

use super::{Presumption, Rule, Topic};
use crate::finding::Verdict;
use crate::script::Base;
use crate::survey::Survey;
use crate::toml_read::{Keys, Place, Problems};
use crate::words;
use jiff::civil::Date;
use std::sync::Arc;

/// A worked case: a small survey, and what must and must not be said.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Case {
    /// Its heading.
    pub title: String,
    /// The rules it is about.
    pub about: Vec<String>,
    /// The survey.
    pub survey: Survey,
    /// The method looked at.
    pub method: Option<usize>,
    /// Rules that must apply.
    pub says: Vec<String>,
    /// Rules that must be open.
    pub open: Vec<String>,
    /// Rules that must not apply.
    pub silent: Vec<String>,
    /// The verdict expected.
    pub verdict: Option<Verdict>,
    /// Where the expectation comes from, if it is checked against something outside.
    pub source: Option<String>,
    /// The pack it belongs to.
    pub pack: String,
    /// Where it stands.
    pub place: Place,
}

pub(super) fn read(topics: &[Topic<'_>], base: &Arc<Base>, rules: &[Rule], presumptions: &[Presumption], problems: &Problems) -> Vec<Case> {
    let ids: Vec<&str> = rules.iter().map(|r| r.id.as_str()).chain(presumptions.iter().map(|p| p.id.as_str())).collect();
    let mut cases = Vec::new();
    for topic in topics {
        for keys in topic.keys.tables(problems, "case", "a worked case") {
            let case = case(topic, &keys, base, &ids, problems);
            keys.finish(problems);
            cases.push(case);
        }
    }
    cases
}

fn case(topic: &Topic<'_>, keys: &Keys<'_>, base: &Arc<Base>, ids: &[&str], problems: &Problems) -> Case {
    let title = keys.need_text(problems, "title").unwrap_or("").to_owned();
    let rules_in = |key: &str| {
        let mut out = Vec::new();
        for (id, place) in keys.texts(problems, key) {
            if !ids.contains(&id) {
                let help = words::did_you_mean(id, ids.iter().copied());
                problems.borrow_mut().push(place.error(format!("there is no rule `{id}`")).maybe_help(help));
            }
            out.push(id.to_owned());
        }
        out
    };
    let (about, says, open, silent) = (rules_in("about"), rules_in("says"), rules_in("open"), rules_in("silent"));
    let method = keys.text(problems, "method").and_then(|id| {
        let found = base.catalogue.find(crate::catalogue::EntryKind::Method, id);
        if found.is_none() {
            let help = base.catalogue.instead(crate::catalogue::EntryKind::Method, id);
            problems.borrow_mut().push(keys.place().error(format!("there is no method `{id}`")).maybe_help(help));
        }
        found
    });
    let verdict = keys.text(problems, "verdict").and_then(|word| {
        let found = Verdict::from_word(word);
        if found.is_none() {
            let help = format!("write {}", words::list(&Verdict::ALL.map(|v| format!("\"{v}\"")), "or"));
            problems.borrow_mut().push(keys.place().error(format!("`{word}` is no verdict")).help(help));
        }
        found
    });
    let source = keys.text(problems, "source").map(str::to_owned);
    let survey = Survey::read_case(keys, base, method, problems);
    Case { title, about, survey, method, says, open, silent, verdict, source, pack: topic.pack.name.clone(), place: keys.place() }
}

/// The date a case is judged on, if it gives none.
pub(crate) fn case_date() -> Date {
    jiff::civil::date(2026, 11, 24)
}
