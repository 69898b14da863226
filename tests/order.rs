//! The order in which the trade would choose: `tests/order.toml`, one situation one test.

use crate::support::{book, root};
use jiff::civil::date;
use libtest_mimic::{Failed, Trial};
use ovolo_engine::advice::{Approach, SurfaceAdvice};
use ovolo_engine::diagnostic::SourceFile;
use ovolo_engine::explain::{Circumstances, advise};
use ovolo_engine::finding::{Clears, Extent};
use ovolo_engine::survey::Survey;
use serde::Deserialize;
use toml::{Table, Value};

#[derive(Deserialize)]
struct File {
    ordinary: Ordinary,
    order: Vec<Order>,
}

/// What stands in every survey unless the situation says otherwise.
#[derive(Deserialize)]
struct Ordinary {
    site: Table,
    surface: Table,
    coat: Table,
}

#[derive(Deserialize, Clone)]
#[serde(deny_unknown_fields)]
struct Order {
    title: String,
    #[serde(default)]
    site: Table,
    surface: Table,
    /// The methods of which one leads.
    #[serde(default)]
    lead: Vec<String>,
    /// The way that leads takes the coats by these, one after the other.
    #[serde(default)]
    lead_by: Vec<String>,
    /// Each of these is in one of the first three ways.
    #[serde(default)]
    among: Vec<String>,
    /// None of these is in any of the first three.
    #[serde(default)]
    never: Vec<String>,
    /// Pairs of methods: the first comes before the second wherever both suit.
    #[serde(default)]
    before: Vec<(String, String)>,
    /// One of the first three takes the coats by these methods, one after the other.
    #[serde(default)]
    then: Vec<String>,
    /// Whether keeping everything comes last.
    #[serde(default)]
    keeping_last: bool,
    why: String,
    source: String,
}

pub(crate) fn trials() -> Vec<Trial> {
    let text = std::fs::read_to_string(root().join("tests/order.toml")).expect("the table");
    let file: File = toml::from_str(&text).unwrap_or_else(|e| panic!("tests/order.toml: {e}"));
    let File { ordinary, order } = file;
    let ordinary = std::sync::Arc::new(ordinary);
    order
        .into_iter()
        .map(|o| {
            let ordinary = std::sync::Arc::clone(&ordinary);
            Trial::test(format!("order::{}", o.title), move || tried(&ordinary, &o))
        })
        .collect()
}

fn with(base: &Table, own: &Table) -> Table {
    let mut all = base.clone();
    all.extend(own.clone());
    all
}

fn survey(ordinary: &Ordinary, order: &Order) -> Result<Survey, Failed> {
    let mut surface = with(&ordinary.surface, &order.surface);
    surface.insert("name".to_owned(), Value::String("it".to_owned()));
    if let Some(Value::Array(coats)) = surface.get_mut("coats") {
        for coat in coats {
            let own = coat.as_table().ok_or("a coat is a table")?;
            *coat = Value::Table(with(&ordinary.coat, own));
        }
    }
    let mut all = Table::new();
    all.insert("site".to_owned(), Value::Table(with(&ordinary.site, &order.site)));
    all.insert("surface".to_owned(), Value::Array(vec![Value::Table(surface)]));
    let text = toml::to_string(&all)?;
    let read = Survey::read(&SourceFile::new("survey.toml", text), book());
    Ok(read.map_err(|p| Failed::from(p.to_string()))?.0)
}

/// The methods that take coats, in order; of a way that takes none, the one that keeps them.
fn takes(way: &Approach) -> Vec<&str> {
    let whole: Vec<&str> = way.steps.iter().filter(|s| s.extent != Extent::Stays).map(|s| s.method.as_str()).collect();
    if whole.is_empty() { way.steps.iter().map(|s| s.method.as_str()).collect() } else { whole }
}

fn tried(ordinary: &Ordinary, order: &Order) -> Result<(), Failed> {
    if order.why.trim().is_empty() || order.source.trim().is_empty() {
        return Err("an order says why, and on whose word".into());
    }
    let asserts = [&order.lead, &order.lead_by, &order.among, &order.never, &order.then].iter().any(|l| !l.is_empty());
    if !asserts && order.before.is_empty() && !order.keeping_last {
        return Err("nothing is asserted".into());
    }
    let survey = survey(ordinary, order)?;
    let surface = advise(&survey, book(), &Circumstances { place: None, date: date(2026, 9, 1) }).expect("its own book").surfaces.remove(0);
    let wrong = wrong(order, &surface);
    if wrong.is_empty() {
        return Ok(());
    }
    let ways: Vec<&str> = surface.approaches.iter().map(|a| a.says.as_str()).collect();
    Err(format!("{}; the ways are: {}", wrong.join("; "), ways.join(" | ")).into())
}

fn wrong(order: &Order, surface: &SurfaceAdvice) -> Vec<String> {
    let mut wrong = Vec::new();
    let first: Vec<Vec<&str>> = surface.approaches.iter().take(3).map(takes).collect();
    let Some(lead) = first.first() else { return vec!["there is no way".to_owned()] };
    if !order.lead.is_empty() && !order.lead.iter().any(|m| lead == &[m.as_str()]) {
        wrong.push(format!("{} leads", lead.join(", then ")));
    }
    if !order.lead_by.is_empty() && *lead != order.lead_by.iter().map(String::as_str).collect::<Vec<_>>() {
        wrong.push(format!("{} leads, and not {}", lead.join(", then "), order.lead_by.join(", then ")));
    }
    let named = |m: &String| first.iter().any(|way| way.contains(&m.as_str()));
    wrong.extend(order.among.iter().filter(|m| !named(m)).map(|m| format!("{m} is not among the first three")));
    wrong.extend(order.never.iter().filter(|m| named(m)).map(|m| format!("{m} is among the first three")));
    if !order.then.is_empty() && !first.iter().any(|way| way == &order.then.iter().map(String::as_str).collect::<Vec<_>>()) {
        wrong.push(format!("no way goes {}", order.then.join(", then ")));
    }
    for (a, b) in &order.before {
        let place = |id: &str| surface.methods.iter().position(|m| m.method == id && m.verdict.suits());
        match (place(a), place(b)) {
            (Some(x), Some(y)) if x < y => {}
            (Some(_), Some(_)) => wrong.push(format!("{b} comes before {a}")),
            // A pair of which one does not suit would say nothing for ever.
            (x, _) => wrong.push(format!("{} does not suit here", if x.is_none() { a } else { b })),
        }
    }
    let last = surface.approaches.last().is_some_and(|a| a.clears == Clears::None || a.clears == Clears::Loose);
    if order.keeping_last && (!last || surface.approaches[0].clears != Clears::All) {
        wrong.push("keeping does not come last".to_owned());
    }
    wrong
}
