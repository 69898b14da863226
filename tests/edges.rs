//! Writing the edge cases: for each rule, few surveys that between them come to every end of its tree and notice every small
//! change of it.
//!
//! `EDGES=1 cargo test --test integration edges` writes `tests/edges/PACK.toml` anew. What a rule does in them is read off the
//! rule itself, so they hold a rule where it is; whether it is right is for the worked cases beside it and for `tests/values`.

use crate::support::{book, root};
use jiff::civil::{Date, date};
use ovolo_engine::catalogue::EntryKind;
use ovolo_engine::exercise::changes;
use ovolo_engine::pack::{Rule, RuleBook};
use ovolo_engine::tree::{Expr, Node, Outcome, Test, Tree, Who};
use ovolo_engine::vocabulary::{About, FactId, FactKind};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

/// A value of a fact, settled.
#[derive(Debug, Clone, PartialEq)]
enum Value {
    Choice(usize),
    Number(f64),
    Several(u128),
}

/// Everything a rule reads, settled.
#[derive(Debug, Clone, PartialEq)]
struct Scene {
    method: usize,
    facts: BTreeMap<FactId, Value>,
}

/// Where and when a rule is tried.
struct Setting {
    place: Option<String>,
    date: Date,
    limits: Vec<Option<f64>>,
}

/// A small random source: the same numbers every time.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % sides.max(1)
    }
}

fn setting(rule: &Rule, book: &RuleBook) -> Setting {
    let place = rule.place.named.first().cloned().map(|p| if p == "EU" { "FR".to_owned() } else { p });
    let mut day = date(2026, 9, 1);
    if let Some(until) = rule.period.until.filter(|u| *u < day) {
        day = until;
    }
    if let Some(from) = rule.period.from.filter(|f| *f > day) {
        day = from;
    }
    let places = place.as_deref().map(|p| book.places_of(p)).unwrap_or_default();
    let limits = book.base.limits.values().map(|l| l.in_force(&places, day).map(|v| v.quantity.base)).collect();
    Setting { place, date: day, limits }
}

fn number(expr: &Expr, scene: &Scene, setting: &Setting) -> f64 {
    match expr {
        Expr::Const(c) => *c,
        Expr::Limit(l) => setting.limits[*l].unwrap_or(f64::NAN),
        Expr::Fact(f) => match scene.facts.get(f) {
            Some(Value::Number(n)) => *n,
            _ => f64::NAN,
        },
        Expr::Lookup(Who::Method, values) => values[scene.method],
        Expr::Lookup(Who::Fact(f), values) => match scene.facts.get(f) {
            Some(Value::Choice(c)) => values[*c],
            _ => f64::NAN,
        },
        Expr::Call(func, a, b) => ovolo_engine::quantity::tidy(func.apply(number(a, scene, setting), number(b, scene, setting))),
        Expr::Reckon(function, given) => {
            let given: Vec<f64> = given.iter().map(|e| number(e, scene, setting)).collect();
            function.apply(&given).unwrap_or(f64::NAN)
        }
    }
}

fn choice(who: Who, scene: &Scene) -> usize {
    match who {
        Who::Method => scene.method,
        Who::Fact(f) => match scene.facts.get(&f) {
            Some(Value::Choice(c)) => *c,
            _ => 0,
        },
    }
}

/// The end a settled scene comes to.
fn end(tree: &Tree, scene: &Scene, setting: &Setting) -> usize {
    let mut at = 0;
    loop {
        let Node::Ask(test, yes, no) = &tree.nodes[at] else { return at };
        let answer = match test {
            Test::Is(who, set) => set >> choice(*who, scene) & 1 == 1,
            Test::Has(fact, option) => matches!(scene.facts.get(fact), Some(Value::Several(s)) if s >> option & 1 == 1),
            Test::Grid { row, column, cells, .. } => cells[choice(*row, scene)] >> choice(*column, scene) & 1 == 1,
            Test::Compare(a, op, b) => op.holds(number(a, scene, setting), number(b, scene, setting)),
        };
        at = if answer { *yes } else { *no };
    }
}

fn speaks(tree: &Tree, scene: &Scene, setting: &Setting) -> bool {
    tree.nodes[end(tree, scene, setting)] == Node::Leaf(Outcome::Applies)
}

/// The values worth trying of each fact a rule reads.
fn values(rule: &Rule, book: &RuleBook, setting: &Setting) -> BTreeMap<FactId, Vec<Value>> {
    let mut out: BTreeMap<FactId, Vec<Value>> = BTreeMap::new();
    for who in rule.tree.reads() {
        let Who::Fact(id) = who else { continue };
        let fact = book.base.vocabulary.get(id);
        let list = match &fact.kind {
            FactKind::Number { range, whole, .. } => numbers(rule, id, range.bounds().unwrap_or((0.0, 1.0)), *whole, setting),
            FactKind::Year { range } => numbers(rule, id, range.bounds().unwrap_or((1000.0, 2100.0)), true, setting),
            FactKind::Several(_) => {
                let width = fact.width(&book.base.catalogue);
                (0..width).map(|i| Value::Several(1 << i)).chain([Value::Several(0)]).collect()
            }
            _ => (0..fact.width(&book.base.catalogue)).map(Value::Choice).collect(),
        };
        out.insert(id, list);
    }
    out
}

fn numbers(rule: &Rule, id: FactId, (low, high): (f64, f64), whole: bool, setting: &Setting) -> Vec<Value> {
    let mut figures = Vec::new();
    for test in rule.tree.tests() {
        if let Test::Compare(a, _, b) = test {
            let mut read = Vec::new();
            a.facts(&mut read);
            b.facts(&mut read);
            if read.contains(&Who::Fact(id)) {
                for side in [a, b] {
                    match &**side {
                        Expr::Const(c) => figures.push(*c),
                        Expr::Limit(l) => figures.extend(setting.limits[*l]),
                        _ => {}
                    }
                }
            }
        }
    }
    let mut out = vec![low, f64::midpoint(low, high.min(low + 1e6))];
    for f in figures {
        if whole {
            out.extend([f, f - 1.0, f + 1.0]);
        } else {
            let step = f.abs() * 0.004;
            out.extend([f, f - step, f + step]);
        }
    }
    out.iter()
        .map(|v| ovolo_engine::quantity::tidy(if whole { v.round() } else { *v }))
        .filter(|v| (low..=high).contains(v))
        .map(Value::Number)
        .collect()
}

/// Few scenes that between them come to every end and notice every change that any scene found would notice.
fn scenes(rule: &Rule, book: &RuleBook, setting: &Setting) -> Vec<Scene> {
    let values = values(rule, book, setting);
    let methods = book.base.catalogue.entries(EntryKind::Method).len();
    let mut dice = Dice(rule.id.bytes().fold(7, |h, b| h.wrapping_mul(31).wrapping_add(u64::from(b))));
    let changed: Vec<Tree> = changes(&rule.tree, book).into_iter().map(|(_, t)| t).collect();
    let mut alive: BTreeSet<usize> = (0..changed.len()).collect();
    let mut unreached: BTreeSet<usize> = (0..rule.tree.nodes.len()).filter(|n| matches!(rule.tree.nodes[*n], Node::Leaf(_))).collect();
    let mut kept: Vec<Scene> = Vec::new();
    let mut seeds: Vec<Scene> = Vec::new();
    for round in 0..60_000 {
        if alive.is_empty() && unreached.is_empty() {
            break;
        }
        // A fresh scene, or a known one with a fact or two changed.
        let mut scene = if round % 3 == 0 || seeds.is_empty() {
            Scene { method: dice.roll(methods), facts: values.iter().map(|(f, list)| (*f, list[dice.roll(list.len())].clone())).collect() }
        } else {
            let from = dice.roll(seeds.len());
            seeds[from].clone()
        };
        if round % 3 != 0 {
            for _ in 0..=dice.roll(2) {
                let which = dice.roll(values.len() + 1);
                match values.iter().nth(which) {
                    Some((f, list)) => {
                        scene.facts.insert(*f, list[dice.roll(list.len())].clone());
                    }
                    None => scene.method = dice.roll(methods),
                }
            }
        }
        // Figures that cannot be worked out (the dew point of air without moisture) are no edge.
        if rule
            .tree
            .tests()
            .any(|t| matches!(t, Test::Compare(a, _, b) if number(a, &scene, setting).is_nan() || number(b, &scene, setting).is_nan()))
        {
            continue;
        }
        let at = end(&rule.tree, &scene, setting);
        let says = rule.tree.nodes[at] == Node::Leaf(Outcome::Applies);
        let noticed: Vec<usize> = alive.iter().copied().filter(|c| speaks(&changed[*c], &scene, setting) != says).collect();
        if unreached.remove(&at) || !noticed.is_empty() {
            for n in noticed {
                alive.remove(&n);
            }
            kept.push(scene.clone());
        }
        if seeds.len() < 400 && !seeds.contains(&scene) {
            seeds.push(scene);
        }
    }
    kept
}

fn shown(id: FactId, value: &Value, book: &RuleBook) -> String {
    let fact = book.base.vocabulary.get(id);
    match (&fact.kind, value) {
        (FactKind::YesNo, Value::Choice(c)) => (*c == 1).to_string(),
        (FactKind::Year { .. }, Value::Number(n)) => format!("{n}"),
        (FactKind::Number { unit, .. }, Value::Number(n)) if unit.names[0].is_empty() => format!("{n}"),
        (FactKind::Number { unit, .. }, Value::Number(n)) => format!("\"{} {}\"", unit.of_base(*n), unit.names[0]),
        (_, Value::Several(set)) => {
            let held: Vec<String> = (0..fact.width(&book.base.catalogue))
                .filter(|i| set >> i & 1 == 1)
                .map(|i| format!("\"{}\"", fact.choice_id(i, &book.base.catalogue)))
                .collect();
            format!("[{}]", held.join(", "))
        }
        (_, Value::Choice(c)) => format!("\"{}\"", fact.choice_id(*c, &book.base.catalogue)),
        _ => "?".to_owned(),
    }
}

fn written(rule: &Rule, scene: &Scene, n: usize, setting: &Setting, book: &RuleBook) -> String {
    let about = |wanted: About| {
        scene
            .facts
            .iter()
            .filter(|(f, _)| {
                let fact = book.base.vocabulary.get(**f);
                fact.about == wanted
            })
            .map(|(f, v)| format!("{} = {}", book.base.vocabulary.get(*f).name, shown(*f, v, book)))
            .collect::<Vec<_>>()
            .join(", ")
    };
    let (site, surface, coat, settings) = (about(About::Site), about(About::Surface), about(About::Coat), about(About::Method));
    let mut text = format!("[[case]]\ntitle = \"{} {n}\"\nabout = [\"{}\"]\n", rule.id, rule.id);
    if let Some(place) = &setting.place {
        let _ = writeln!(text, "place = \"{place}\"");
    }
    let _ = writeln!(text, "date = {}", setting.date);
    if !site.is_empty() {
        let _ = writeln!(text, "site = {{ {site} }}");
    }
    let coats = if coat.is_empty() { String::new() } else { format!("coats = [{{ {coat} }}]") };
    let parts: Vec<String> = [surface, coats].into_iter().filter(|p| !p.is_empty()).collect();
    let _ = writeln!(text, "surface = {{ {} }}", parts.join(", "));
    if rule.scope.method {
        let _ = writeln!(text, "method = \"{}\"", book.base.catalogue.entries(EntryKind::Method)[scene.method].id);
        if !settings.is_empty() {
            let _ = writeln!(text, "settings = {{ {settings} }}");
        }
    }
    let key = if speaks(&rule.tree, scene, setting) { "says" } else { "silent" };
    let _ = writeln!(text, "{key} = [\"{}\"]\n", rule.id);
    text
}

/// Writes the edge cases anew, when asked to.
#[test]
fn edges_are_written_when_asked() {
    if std::env::var_os("EDGES").is_none() {
        return;
    }
    let book = book();
    let folder = root().join("tests/edges");
    std::fs::create_dir_all(&folder).expect("the folder");
    let mut packs: BTreeMap<&str, String> = BTreeMap::new();
    for rule in &book.rules {
        let setting = setting(rule, book);
        let text = packs.entry(&rule.pack).or_insert_with(|| {
            "# Edge cases, written by `EDGES=1 cargo test --test integration edges`: they hold each rule where it is.\n\n".to_owned()
        });
        for (n, scene) in scenes(rule, book, &setting).iter().enumerate() {
            text.push_str(&written(rule, scene, n + 1, &setting, book));
        }
    }
    for (pack, text) in packs {
        std::fs::write(folder.join(format!("{pack}.toml")), text).expect("written");
    }
}
