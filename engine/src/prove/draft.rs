//! Surveys that state just what a path asks for, as text that both books can read.

use super::Side;
use super::space::{Sort, Space, Var, Way, said};
use crate::judge::walk::Domain;
use crate::quantity;
use crate::reach::Reach;
use crate::tree::{Expr, Op, Who};
use crate::vocabulary::{About, FactKind};
use jiff::civil::Date;
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// One stated fact.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Statement {
    pub(crate) fact: usize,
    /// The value, as TOML.
    pub(crate) value: String,
    /// The coat it is about, for facts about coats.
    pub(crate) coat: usize,
    /// Whether it is stated with the proposal rather than where it belongs.
    pub(crate) proposed: bool,
}

/// A small survey: where, when, which method, and what is stated.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Draft {
    pub(crate) place: Option<String>,
    /// By book: the day it is judged for.
    pub(crate) dates: [Date; 2],
    pub(crate) method: Option<String>,
    pub(crate) stated: Vec<Statement>,
    /// Rules departed from.
    pub(crate) departures: Vec<String>,
    /// Whether it says that there are no coats.
    pub(crate) no_coats: bool,
}

/// The most combinations tried to make a sum of several facts come out as wanted.
const MOST_SAMPLES: usize = 20_000;

impl Draft {
    /// How many facts it states.
    pub(crate) fn size(&self) -> usize {
        self.stated.len()
    }

    /// The survey as TOML, without what a book does not know.
    pub(crate) fn text(&self, space: &Space<'_>, side: Side, title: &str) -> String {
        let mut out = String::new();
        let _ = writeln!(out, "[survey]\ntitle = {}", toml_text(title));
        if let Some(place) = &self.place {
            let _ = writeln!(out, "place = {}", toml_text(place));
        }
        let _ = writeln!(out, "date = {}", self.dates[side as usize]);
        let of = |about: About, proposed: bool| {
            self.stated.iter().filter(move |s| {
                let f = &space.facts[s.fact];
                f.own[side as usize].is_some()
                    && if proposed { s.proposed || f.about == About::Method } else { !s.proposed && f.about == about }
            })
        };
        let mut site = of(About::Site, false).peekable();
        if site.peek().is_some() {
            out.push_str("\n[site]\n");
            for s in site {
                let _ = writeln!(out, "{} = {}", space.facts[s.fact].name, s.value);
            }
        }
        out.push_str("\n[[surface]]\nname = \"the surface\"\n");
        for s in of(About::Surface, false) {
            let _ = writeln!(out, "{} = {}", space.facts[s.fact].name, s.value);
        }
        let coats: Vec<&Statement> = of(About::Coat, false).collect();
        if self.no_coats && coats.is_empty() {
            out.push_str("coats = []\n");
        }
        if let Some(last) = coats.iter().map(|s| s.coat).max() {
            let each: Vec<String> = (0..=last)
                .map(|coat| {
                    let said: Vec<String> =
                        coats.iter().filter(|s| s.coat == coat).map(|s| format!("{} = {}", space.facts[s.fact].name, s.value)).collect();
                    if said.is_empty() { "{}".to_owned() } else { format!("{{ {} }}", said.join(", ")) }
                })
                .collect();
            let _ = writeln!(out, "coats = [{}]", each.join(", "));
        }
        let mut settings = of(About::Method, true).peekable();
        if let Some(method) = &self.method
            && settings.peek().is_some()
        {
            let _ = writeln!(out, "\n[[surface.proposal]]\nmethod = {}", toml_text(method));
            for s in settings {
                let _ = writeln!(out, "{} = {}", space.facts[s.fact].name, s.value);
            }
        }
        for rule in self.departures.iter().filter(|r| space.books[side as usize].rule(r).is_some()) {
            let _ = writeln!(out, "\n[[departure]]\nrule = {}\nwho = \"nobody\"\nwhy = \"to see what still speaks\"", toml_text(rule));
        }
        out
    }

    /// What it states, in a line.
    pub(crate) fn words(&self, space: &Space<'_>) -> String {
        let said: Vec<String> = self.stated.iter().map(|s| format!("{} = {}", space.facts[s.fact].id, s.value)).collect();
        let none = self.no_coats.then(|| "no coats".to_owned());
        let said: Vec<String> = said.into_iter().chain(none).collect();
        if said.is_empty() { "nothing stated".to_owned() } else { said.join(", ") }
    }
}

/// A string as TOML.
pub(crate) fn toml_text(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

/// States what a way asks for; `None` where no values can be found.
pub(crate) fn state(space: &Space<'_>, way: &Way, coat: usize) -> Option<Vec<Statement>> {
    let way = solve_sums(space, way)?;
    let mut stated: Vec<Statement> = Vec::new();
    for (var, domain) in &way {
        let fact = match var {
            Var::Named(f) | Var::Number(f) => *f,
            // All that is said of a several-of fact goes into one list.
            Var::Choice(f, _) if stated.iter().any(|s| s.fact == *f) => continue,
            Var::Choice(f, _) => *f,
            Var::Sum(_) | Var::Question(_) => continue,
        };
        let value = match (var, domain, &space.facts[fact].sort) {
            (Var::Named(_), Domain::Bits(set), Sort::Named(ids)) => {
                let first = set & space.facts[fact].choices[Side::Old as usize] & space.facts[fact].choices[Side::New as usize];
                let set = if first == 0 { *set } else { first };
                let id = ids.get(set.trailing_zeros() as usize)?;
                named(space, fact, id)
            }
            (Var::Choice(..), _, Sort::Several(ids)) => {
                let held: Vec<String> = way
                    .iter()
                    .filter_map(|(v, d)| match (v, d) {
                        (Var::Choice(f, option), Domain::Bits(0b10)) if *f == fact => ids.get(usize::from(*option)).map(|id| toml_text(id)),
                        _ => None,
                    })
                    .collect();
                format!("[{}]", held.join(", "))
            }
            (Var::Number(_), Domain::Num(reach), _) => number(space, fact, reach)?,
            _ => return None,
        };
        stated.push(Statement { fact, value, coat: if space.facts[fact].about == About::Coat { coat } else { 0 }, proposed: false });
    }
    Some(stated)
}

fn is_yes_no(space: &Space<'_>, fact: usize) -> bool {
    let [old, new] = space.facts[fact].own;
    let kind = |side: usize, id| &space.books[side].base.vocabulary.get(id).kind;
    old.map(|id| kind(0, id)).or_else(|| new.map(|id| kind(1, id))).is_some_and(|k| matches!(k, FactKind::YesNo))
}

fn named(space: &Space<'_>, fact: usize, id: &str) -> String {
    match (is_yes_no(space, fact), id) {
        (true, "yes") => "true".to_owned(),
        (true, _) => "false".to_owned(),
        _ => toml_text(id),
    }
}

/// Years that read well.
const YEARS: [f64; 12] = [1930.0, 1900.0, 1960.0, 1985.0, 1995.0, 2005.0, 2015.0, 1850.0, 1750.0, 1975.0, 2025.0, 1978.0];

/// A number in a reach as TOML, as round as can be found.
fn number(space: &Space<'_>, fact: usize, reach: &Reach) -> Option<String> {
    let joint = &space.facts[fact];
    let (side, id) = joint.own.iter().enumerate().find_map(|(s, id)| Some((s, (*id)?)))?;
    let declared = space.books[side].base.vocabulary.get(id);
    let unit = declared.unit();
    let bare = matches!(declared.kind, FactKind::Year { .. }) || unit.dimension.is_number();
    let Sort::Number { range, .. } = &joint.sort else { return None };
    let (floor, ceiling) = range.bounds()?;
    let mut candidates: Vec<f64> = Vec::new();
    if matches!(declared.kind, FactKind::Year { .. }) {
        candidates.extend(YEARS);
    }
    for (low, high) in reach.stretches() {
        let one = Reach::between(*low, *high);
        let Some(plain) = one.example(declared.whole()) else { continue };
        let (l, h) = (unit.of_base(low.at), unit.of_base(high.at));
        // Near the end that matters, few digits first; the bare ends of what is possible come last.
        let wanted: Vec<f64> = match (low.at > floor, high.at < ceiling) {
            (true, true) => vec![l + (h - l) / 2.0, l + (h - l) / 4.0, l + (h - l) * 0.9, l + (h - l) * 0.1],
            (true, false) => vec![l * 1.2, l * 1.5, l * 2.0, l + 1.0],
            (false, true) => vec![h * 0.8, h * 0.5, h - 1.0, 0.0],
            (false, false) => vec![l.max(0.0)],
        };
        for digits in [1, 2, 3, 4, 6] {
            candidates.extend(wanted.iter().map(|v| significant(*v, digits)));
        }
        candidates.push(unit.of_base(plain));
        candidates.push(l + (h - l) / 2.0);
    }
    for value in candidates {
        let value = if declared.whole() { value.round() } else { value };
        if !value.is_finite() {
            continue;
        }
        if bare {
            if reach.holds(value) {
                return Some(format!("{value}"));
            }
            continue;
        }
        let text = format!("{value} {}", unit.names[0]);
        if quantity::read(&text, unit).is_ok_and(|q| reach.holds(q.base)) {
            return Some(toml_text(&text));
        }
    }
    None
}

fn significant(value: f64, digits: usize) -> f64 {
    let digits = digits - 1;
    format!("{value:.digits$e}").parse().unwrap_or(value)
}

/// Replaces what a way says of sums and questions by values of the facts they are made of.
fn solve_sums(space: &Space<'_>, way: &Way) -> Option<Way> {
    let wanted: Vec<(Var, Domain)> = way.iter().filter(|(v, _)| matches!(v, Var::Sum(_) | Var::Question(_))).cloned().collect();
    if wanted.is_empty() {
        return Some(way.clone());
    }
    let mut facts: Vec<Who> = Vec::new();
    for (var, _) in &wanted {
        match var {
            Var::Sum(s) => space.sums.borrow()[*s].facts(&mut facts),
            Var::Question(q) => {
                let all = space.questions.borrow();
                all[*q].0.facts(&mut facts);
                all[*q].2.facts(&mut facts);
            }
            _ => {}
        }
    }
    let mut ids: Vec<usize> = facts.iter().filter_map(|w| if let Who::Fact(f) = w { Some(f.at()) } else { None }).collect();
    ids.sort_unstable();
    ids.dedup();
    let choices: Vec<Vec<f64>> = ids.iter().map(|f| samples(space, way, *f)).collect();
    let total = choices.iter().map(Vec::len).product::<usize>().min(MOST_SAMPLES);
    for n in 0..total {
        let mut rest = n;
        let mut values = BTreeMap::new();
        for (id, options) in ids.iter().zip(&choices) {
            values.insert(*id, *options.get(rest % options.len().max(1))?);
            rest /= options.len().max(1);
        }
        let fits = wanted.iter().all(|(var, domain)| match (var, domain) {
            (Var::Sum(s), Domain::Num(reach)) => value_of(&space.sums.borrow()[*s], &values).is_some_and(|v| reach.holds(v)),
            (Var::Question(q), Domain::Bits(bits)) => {
                let all = space.questions.borrow();
                let (a, op, b): &(Expr, Op, Expr) = &all[*q];
                let (Some(a), Some(b)) = (value_of(a, &values), value_of(b, &values)) else { return false };
                *bits == if op.holds(a, b) { 0b10 } else { 0b01 }
            }
            _ => false,
        });
        if fits {
            let mut out: Way = way.iter().filter(|(v, _)| !matches!(v, Var::Sum(_) | Var::Question(_))).cloned().collect();
            for (id, value) in values {
                let (var, domain) = match space.facts[id].sort {
                    Sort::Named(_) => (Var::Named(id), Domain::Bits(1 << value as usize)),
                    _ => (Var::Number(id), Domain::Num(Reach::point(value))),
                };
                out.retain(|(v, _)| *v != var);
                out.push((var, domain));
            }
            out.sort_by_key(|(v, _)| *v);
            return Some(out);
        }
    }
    None
}

/// Values of a fact to try.
fn samples(space: &Space<'_>, way: &Way, fact: usize) -> Vec<f64> {
    match &space.facts[fact].sort {
        Sort::Number { range, whole } => {
            let reach = match said(way, Var::Number(fact)) {
                Some(Domain::Num(r)) => r.clone(),
                _ => range.clone(),
            };
            let Some((low, high)) = reach.bounds() else { return Vec::new() };
            let (low, high) = (low.max(-1e6), high.min(1e6));
            let steps = 9;
            (0..=steps)
                .map(|i| low + (high - low) * f64::from(i) / f64::from(steps))
                .map(|v| if *whole { v.round() } else { quantity::tidy(v) })
                .filter(|v| reach.holds(*v))
                .collect()
        }
        Sort::Named(ids) => (0..ids.len())
            .filter(|i| !matches!(said(way, Var::Named(fact)), Some(Domain::Bits(set)) if set >> i & 1 == 0))
            .map(|i| i as f64)
            .collect(),
        Sort::Several(_) => Vec::new(),
    }
}

fn value_of(expr: &Expr, values: &BTreeMap<usize, f64>) -> Option<f64> {
    let value = match expr {
        Expr::Const(c) => *c,
        Expr::Fact(f) => *values.get(&f.at())?,
        Expr::Lookup(Who::Fact(f), table) => *table.get(*values.get(&f.at())? as usize)?,
        Expr::Call(func, a, b) => func.apply(value_of(a, values)?, value_of(b, values)?),
        Expr::Reckon(function, given) => function.apply(&given.iter().map(|e| value_of(e, values)).collect::<Option<Vec<f64>>>()?)?,
        Expr::Limit(_) | Expr::Lookup(Who::Method, _) => return None,
    };
    (!value.is_nan()).then_some(value)
}
