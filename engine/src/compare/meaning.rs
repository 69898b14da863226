//! What rules and presumptions come to, as text in which everything has its id: the same in every rule book that means the same.

use crate::catalogue::EntryKind;
use crate::limit::{Limit, Period};
use crate::pack::{DIGITS, Part, Presumption, Rule, RuleBook, Template, hex};
use crate::script::Base;
use crate::tree::{Expr, Node, Test, Tree, Who};
use crate::vocabulary::{FactId, Known};
use sha2::{Digest, Sha256};
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// The state of a rule: its script's tree, what stands around it, the figures and presumptions it reads. Words do not count.
pub fn state_of(book: &RuleBook, rule: &Rule) -> String {
    let base = &*book.base;
    let mut text = format!(
        "{} {} {} {} {} {}\n",
        rule.ruling.word(),
        rule.basis.word(),
        sorted(&rule.place),
        days(rule.period),
        rule.every_coat,
        rule.released_by.map_or("", |f| name(base, f))
    );
    text.push_str(&tree(base, &rule.tree));
    // What is presumed decides what a rule sees, and presumptions read what others presume.
    let mut facts: BTreeSet<FactId> = read_by(&rule.tree);
    loop {
        let more: BTreeSet<FactId> = book
            .presumptions
            .iter()
            .filter(|p| facts.contains(&p.fact))
            .flat_map(|p| read_by(&p.tree))
            .filter(|f| !facts.contains(f))
            .collect();
        if more.is_empty() {
            break;
        }
        facts.extend(more);
    }
    for p in book.presumptions.iter().filter(|p| facts.contains(&p.fact)) {
        text.push_str(&presumption(base, p));
    }
    let digest = hex(&Sha256::digest(text.as_bytes()));
    digest[..DIGITS].to_owned()
}

fn read_by(tree: &Tree) -> BTreeSet<FactId> {
    tree.reads().into_iter().filter_map(|w| if let Who::Fact(f) = w { Some(f) } else { None }).collect()
}

/// A presumption as text.
pub(super) fn presumption(base: &Base, p: &Presumption) -> String {
    let waits: Vec<&str> = p.unstated.iter().map(|f| name(base, *f)).collect();
    let around = format!("{} {} {} {} {}", p.id, value(base, p), sorted(&p.place), days(p.period), waits.join(","));
    format!("{around}\n{}", tree(base, &p.tree))
}

/// The value a presumption gives, as text.
pub(super) fn value(base: &Base, p: &Presumption) -> String {
    match &p.value {
        Known::Bits(set) => format!("{} = {}", name(base, p.fact), choices(base, p.fact, *set)),
        other => format!("{} = {other:?}", name(base, p.fact)),
    }
}

fn name(base: &Base, fact: FactId) -> &str {
    &base.vocabulary.get(fact).id
}

fn sorted(places: &[String]) -> String {
    let mut all = places.to_vec();
    all.sort();
    all.join(",")
}

fn days(period: Period) -> String {
    let day = |d: Option<jiff::civil::Date>| d.map_or_else(|| "-".to_owned(), |d| d.to_string());
    format!("{} {}", day(period.from), day(period.until))
}

fn choices(base: &Base, fact: FactId, set: u128) -> String {
    let fact = base.vocabulary.get(fact);
    picked(fact.choice_ids(&base.catalogue).into_iter(), set)
}

fn picked<'a>(ids: impl Iterator<Item = &'a str>, set: u128) -> String {
    let mut all: Vec<&str> = ids.enumerate().filter(|(i, _)| set >> i & 1 == 1).map(|(_, id)| id).collect();
    all.sort_unstable();
    all.join("|")
}

/// The ids behind a set of values of whoever is asked.
fn of(base: &Base, who: Who, set: u128) -> String {
    match who {
        Who::Fact(f) => format!("{} in {}", name(base, f), choices(base, f, set)),
        Who::Method => format!("method in {}", picked(base.catalogue.ids(EntryKind::Method), set)),
    }
}

fn ids(base: &Base, who: Who) -> Vec<&str> {
    match who {
        Who::Fact(f) => base.vocabulary.get(f).choice_ids(&base.catalogue),
        Who::Method => base.catalogue.ids(EntryKind::Method).collect(),
    }
}

/// The figures of a limit, each with its place and days.
pub(super) fn figures(limit: &Limit) -> String {
    let mut all: Vec<String> =
        limit.values.iter().map(|v| format!("{} {} {}", v.place.as_deref().unwrap_or("-"), v.quantity.base, days(v.period))).collect();
    all.sort();
    format!("{} {}", limit.id, all.join("; "))
}

fn expr(base: &Base, e: &Expr) -> String {
    match e {
        Expr::Const(figure) => format!("{figure}"),
        Expr::Fact(f) => name(base, *f).to_owned(),
        Expr::Limit(l) => format!("limit[{}]", figures(&base.limits[*l])),
        Expr::Lookup(who, values) => {
            let mut all: Vec<String> = ids(base, *who).iter().zip(values.iter()).map(|(id, v)| format!("{id}:{v}")).collect();
            all.sort();
            format!("lookup[{}]", all.join(","))
        }
        Expr::Call(func, a, b) => format!("{func:?}({}, {})", expr(base, a), expr(base, b)),
    }
}

fn test(base: &Base, t: &Test) -> String {
    match t {
        Test::Is(who, set) => of(base, *who, *set),
        Test::Has(fact, option) => format!("{} has {}", name(base, *fact), choices(base, *fact, 1 << option)),
        Test::Grid { row, column, cells, .. } => {
            let mut rows: Vec<String> =
                ids(base, *row).iter().zip(cells.iter()).map(|(id, set)| format!("{id}: {}", of(base, *column, *set))).collect();
            rows.sort();
            rows.join("; ")
        }
        Test::Compare(a, op, b) => format!("{} {op:?} {}", expr(base, a), expr(base, b)),
    }
}

/// A tree as text, from its root.
pub(super) fn tree(base: &Base, tree: &Tree) -> String {
    let mut out = String::new();
    let mut open = vec![0];
    while let Some(at) = open.pop() {
        match &tree.nodes[at] {
            Node::Leaf(end) => {
                let _ = writeln!(out, "{end:?}");
            }
            Node::Ask(t, yes, no) => {
                let _ = writeln!(out, "{}?", test(base, t));
                open.push(*no);
                open.push(*yes);
            }
        }
    }
    out
}

/// A sentence with its gaps named.
pub(super) fn sentence(base: &Base, template: &Template) -> String {
    template.parts.iter().fold(String::new(), |mut text, part| {
        let _ = match part {
            Part::Text(t) => write!(text, "{t}"),
            Part::Fact(f) => write!(text, "{{{}}}", name(base, *f)),
            Part::Method => write!(text, "{{method}}"),
            Part::Limit(l) => write!(text, "{{limit:{}}}", base.limits[*l].id),
        };
        text
    })
}
