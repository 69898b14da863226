//! What rules and presumptions come to, as text in which everything has its id: the same in every rule book that means the same.

use crate::catalogue::EntryKind;
use crate::limit::{Limit, Period, Where};
use crate::pack::{DIGITS, Part, Presumption, Rule, RuleBook, Template, hex};
use crate::script::Base;
use crate::tree::{Expr, Node, Test, Tree, Who};
use crate::vocabulary::{FactId, FactKind, Known};
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

/// The state of a rule: its script's tree, what stands around it, the figures and presumptions it reads. Words do not count, and
/// neither does what house packs add to it, unless it is their own.
pub fn state_of(book: &RuleBook, rule: &Rule) -> String {
    let base = &*book.base;
    let passed_over: BTreeSet<&str> = book.packs.iter().filter(|p| p.house && p.name != rule.pack).map(|p| p.name.as_str()).collect();
    let told = Telling { base, passed_over };
    let mut text = format!(
        "{} {} {} {} {} {}\n",
        rule.ruling.word(),
        rule.basis.word(),
        told_where(&rule.place),
        days(rule.period),
        rule.every_coat,
        rule.released_by.map_or("", |f| name(base, f))
    );
    text.push_str(&told.tree(&rule.tree));
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
    for p in book.presumptions.iter().filter(|p| facts.contains(&p.fact) && !told.passed_over.contains(p.pack.as_str())) {
        text.push_str(&told.presumption(p));
    }
    let digest = hex(&Sha256::digest(text.as_bytes()));
    digest[..DIGITS].to_owned()
}

fn read_by(tree: &Tree) -> BTreeSet<FactId> {
    tree.reads().into_iter().filter_map(|w| if let Who::Fact(f) = w { Some(f) } else { None }).collect()
}

/// A rule book whose trees are told, without what some packs add.
pub(super) struct Telling<'b> {
    base: &'b Base,
    passed_over: BTreeSet<&'b str>,
}

impl<'b> Telling<'b> {
    /// Tells everything.
    pub(super) fn whole(base: &'b Base) -> Self {
        Self { base, passed_over: BTreeSet::new() }
    }

    /// A presumption as text.
    pub(super) fn presumption(&self, p: &Presumption) -> String {
        let waits: Vec<&str> = p.unstated.iter().map(|f| name(self.base, *f)).collect();
        let around = format!("{} {} {} {} {}", p.id, self.value(p), told_where(&p.place), days(p.period), waits.join(","));
        format!("{around}\n{}", self.tree(&p.tree))
    }

    /// The value a presumption gives, as text.
    pub(super) fn value(&self, p: &Presumption) -> String {
        let fact = name(self.base, p.fact);
        match &p.value {
            Known::Bits(set) => format!("{fact} = {}", self.picked(Who::Fact(p.fact), *set)),
            other => format!("{fact} = {other:?}"),
        }
    }

    /// The ids that count of whoever is asked, each with its place.
    fn ids(&self, who: Who) -> Vec<(usize, &'b str)> {
        let catalogue = &self.base.catalogue;
        let (ids, kind): (Vec<&str>, _) = match who {
            Who::Method => (catalogue.ids(EntryKind::Method).collect(), Some(EntryKind::Method)),
            Who::Fact(f) => {
                let fact = self.base.vocabulary.get(f);
                let kind = if let FactKind::Entry(kind) = fact.kind { Some(kind) } else { None };
                (fact.choice_ids(catalogue), kind)
            }
        };
        let counts = |id: &str| {
            let entry = kind.and_then(|k| catalogue.entries(k).get(id));
            entry.is_none_or(|e| !self.passed_over.contains(e.pack.as_str()))
        };
        ids.into_iter().enumerate().filter(|(_, id)| counts(id)).collect()
    }

    fn picked(&self, who: Who, set: u128) -> String {
        let mut all: Vec<&str> = self.ids(who).into_iter().filter(|(i, _)| set >> i & 1 == 1).map(|(_, id)| id).collect();
        all.sort_unstable();
        all.join("|")
    }

    fn who(&self, who: Who) -> &'b str {
        match who {
            Who::Fact(f) => name(self.base, f),
            Who::Method => "method",
        }
    }

    /// The figures of a limit, each with its place and days.
    fn figures(&self, limit: &Limit) -> String {
        let counted = limit.values.iter().filter(|v| !self.passed_over.contains(v.pack.as_str()));
        let mut all: Vec<String> =
            counted.map(|v| format!("{} {} {}", v.place.as_deref().unwrap_or("-"), v.quantity.base, days(v.period))).collect();
        all.sort();
        format!("{} {}", limit.id, all.join("; "))
    }

    fn expr(&self, e: &Expr, method: Option<usize>) -> String {
        match e {
            Expr::Const(figure) => format!("{figure}"),
            Expr::Fact(f) => name(self.base, *f).to_owned(),
            Expr::Limit(l) => format!("limit[{}]", self.figures(&self.base.limits[*l])),
            Expr::Lookup(Who::Method, values) if method.is_some() => format!("{}", values[method.unwrap_or(0)]),
            Expr::Lookup(who, values) => {
                let mut all: Vec<String> = self.ids(*who).into_iter().map(|(i, id)| format!("{id}:{}", values[i])).collect();
                all.sort();
                format!("lookup[{}]", all.join(","))
            }
            Expr::Call(func, a, b) => format!("{func:?}({}, {})", self.expr(a, method), self.expr(b, method)),
            Expr::Reckon(function, given) => {
                let given: Vec<String> = given.iter().map(|e| self.expr(e, method)).collect();
                format!("{}({})", function.name, given.join(", "))
            }
        }
    }

    /// A tree as text: for each method that it tells apart what is asked then, without questions that have one answer only.
    fn tree(&self, tree: &Tree) -> String {
        if !tree.reads().contains(&Who::Method) {
            return self.walked(tree, None);
        }
        let mut same: BTreeMap<String, Vec<&str>> = BTreeMap::new();
        for (at, id) in self.ids(Who::Method) {
            same.entry(self.walked(tree, Some(at))).or_default().push(id);
        }
        same.into_iter().fold(String::new(), |mut out, (text, methods)| {
            let _ = writeln!(out, "{}:\n{text}", methods.join("|"));
            out
        })
    }

    fn walked(&self, tree: &Tree, method: Option<usize>) -> String {
        let mut walk = Walk { telling: self, tree, method, now: BTreeMap::new(), out: String::new() };
        walk.go(0);
        walk.out
    }
}

/// A way through a tree for one method, with what is left of each fact.
struct Walk<'t, 'b> {
    telling: &'t Telling<'b>,
    tree: &'t Tree,
    method: Option<usize>,
    now: BTreeMap<FactId, u128>,
    out: String,
}

impl Walk<'_, '_> {
    /// What whoever is asked can still be.
    fn left(&self, who: Who) -> u128 {
        let all = |who| self.telling.ids(who).into_iter().fold(0, |set, (i, _)| set | 1 << i);
        match who {
            Who::Method => self.method.map_or_else(|| all(who), |m| 1 << m),
            Who::Fact(f) => self.now.get(&f).copied().unwrap_or_else(|| all(who)),
        }
    }

    fn go(&mut self, at: usize) {
        let (test, yes, no) = match &self.tree.nodes[at] {
            Node::Leaf(end) => {
                let _ = writeln!(self.out, "{end:?}");
                return;
            }
            Node::Ask(test, yes, no) => (test, *yes, *no),
        };
        match test {
            Test::Is(who, set) => {
                let left = self.left(*who);
                let (inside, outside) = (left & set, left & !set);
                if inside == 0 || outside == 0 {
                    return self.go(if inside == 0 { no } else { yes });
                }
                let _ = writeln!(self.out, "{} in {}?", self.telling.who(*who), self.telling.picked(*who, inside));
                let Who::Fact(fact) = who else { return };
                let before = self.now.get(fact).copied();
                for (set, next) in [(inside, yes), (outside, no)] {
                    self.now.insert(*fact, set);
                    self.go(next);
                }
                match before {
                    Some(set) => self.now.insert(*fact, set),
                    None => self.now.remove(fact),
                };
            }
            Test::Grid { row, column, cells, .. } => {
                let (rows, columns) = (self.left(*row), self.left(*column));
                let here: Vec<(usize, u128)> = (0..cells.len()).filter(|r| rows >> r & 1 == 1).map(|r| (r, cells[r] & columns)).collect();
                if here.iter().all(|(_, set)| *set == 0) {
                    return self.go(no);
                }
                if here.iter().all(|(_, set)| *set == columns) {
                    return self.go(yes);
                }
                let mut told: Vec<String> = here
                    .iter()
                    .map(|(r, set)| format!("{}: {}", self.telling.picked(*row, 1 << r), self.telling.picked(*column, *set)))
                    .collect();
                told.sort();
                let _ = writeln!(self.out, "{} by {}: {}?", self.telling.who(*row), self.telling.who(*column), told.join("; "));
                self.go(yes);
                self.go(no);
            }
            Test::Has(fact, option) => {
                let _ =
                    writeln!(self.out, "{} has {}?", name(self.telling.base, *fact), self.telling.picked(Who::Fact(*fact), 1 << option));
                self.go(yes);
                self.go(no);
            }
            Test::Compare(a, op, b) => {
                let method = self.method;
                let _ = writeln!(self.out, "{} {op:?} {}?", self.telling.expr(a, method), self.telling.expr(b, method));
                self.go(yes);
                self.go(no);
            }
        }
    }
}

fn name(base: &Base, fact: FactId) -> &str {
    &base.vocabulary.get(fact).id
}

/// Where something holds, as text; what is left out stands behind a slash.
fn told_where(at: &Where) -> String {
    let sorted = |places: &[String]| {
        let mut all = places.to_vec();
        all.sort();
        all.join(",")
    };
    if at.except.is_empty() { sorted(&at.named) } else { format!("{}/{}", sorted(&at.named), sorted(&at.except)) }
}

fn days(period: Period) -> String {
    let day = |d: Option<jiff::civil::Date>| d.map_or_else(|| "-".to_owned(), |d| d.to_string());
    format!("{} {}", day(period.from), day(period.until))
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
