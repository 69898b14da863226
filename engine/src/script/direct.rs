//! The second judge: the same scripts, run directly by Rhai on plain values, for facts that are all known.
//!
//! It shares nothing with unfolding but the bare engine: here numbers are numbers, choices are words, and comparisons
//! are Rhai's own. Tests hold the two judges against each other.

use super::{Base, bare_engine};
use crate::catalogue::{AttributeKind, AttributeValue, EntryKind};
use crate::quantity;
use crate::vocabulary::{About, FactKind, Known};
use rhai::packages::{LogicPackage, Package};
use rhai::{Array, Dynamic, Engine, EvalAltResult, ImmutableString, Scope};
use std::collections::BTreeMap;
use std::rc::Rc;

/// A thing with named values: a subject, or an entry with its attributes.
#[derive(Clone)]
struct Thing {
    id: ImmutableString,
    values: Rc<BTreeMap<String, Dynamic>>,
}

/// What a script says of known facts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Said {
    /// True or false.
    Plain(bool),
    /// It failed.
    Failed,
}

/// The values of the facts about one thing, by slot; `None` where not known.
pub(crate) type Values<'a> = &'a [(About, Vec<Option<Known>>)];

/// The second judge: an engine, and the scripts it has read.
pub(crate) struct Direct<'b> {
    base: &'b Base,
    engine: Engine,
    read: std::cell::RefCell<BTreeMap<usize, Option<rhai::AST>>>,
}

impl<'b> Direct<'b> {
    pub(crate) fn new(base: &'b Base, limits: &[Option<f64>]) -> Self {
        Self { base, engine: engine(base, limits), read: std::cell::RefCell::default() }
    }

    /// Runs a script, known by a number, on known facts.
    pub(crate) fn run(&self, number: usize, script: &str, functions: &str, method: usize, values: Values<'_>) -> Said {
        let base = self.base;
        let mut scope = Scope::new();
        for about in About::ALL {
            let mut named = BTreeMap::new();
            for (_, fact) in base.vocabulary.iter().filter(|(_, f)| f.about == about) {
                let known = values.iter().find(|(a, _)| *a == about).and_then(|(_, v)| v.get(fact.slot)?.as_ref());
                if let Some(value) = known.and_then(|k| plain(base, &fact.kind, k)) {
                    named.insert(fact.name.clone(), value);
                }
            }
            let mut id = ImmutableString::from(about.word());
            if about == About::Method {
                let entry = thing(base, EntryKind::Method, method);
                named.extend(entry.values.iter().map(|(k, v)| (k.clone(), v.clone())));
                id = entry.id;
            }
            scope.push_constant(about.word(), Thing { id, values: Rc::new(named) });
        }
        let mut read = self.read.borrow_mut();
        let ast = read.entry(number).or_insert_with(|| self.engine.compile_with_scope(&scope, format!("{functions}\n{script}")).ok());
        match ast.as_ref().map(|ast| self.engine.eval_ast_with_scope::<bool>(&mut scope, ast)) {
            Some(Ok(answer)) => Said::Plain(answer),
            _ => Said::Failed,
        }
    }
}

fn thing(base: &Base, kind: EntryKind, index: usize) -> Thing {
    let entry = &base.catalogue.entries(kind)[index];
    let values = base
        .catalogue
        .attributes(kind)
        .values()
        .zip(&entry.attributes)
        .map(|(attribute, value)| {
            let value = match (value, &attribute.kind) {
                (AttributeValue::Flag(b), _) => Dynamic::from(*b),
                (AttributeValue::Choice(i), AttributeKind::Choice(c)) => Dynamic::from(c[*i].clone()),
                (AttributeValue::Number(n), _) => Dynamic::from(*n),
                _ => Dynamic::UNIT,
            };
            (attribute.id.clone(), value)
        })
        .collect();
    Thing { id: entry.id.as_str().into(), values: Rc::new(values) }
}

/// A known value as a plain one of Rhai's.
fn plain(base: &Base, kind: &FactKind, known: &Known) -> Option<Dynamic> {
    let one = |bits: u128| bits.is_power_of_two().then(|| bits.trailing_zeros() as usize);
    Some(match (kind, known) {
        (FactKind::YesNo, Known::Bits(b)) => Dynamic::from(one(*b)? == 1),
        (FactKind::Choice(c), Known::Bits(b)) => Dynamic::from(c[one(*b)?].id.clone()),
        (FactKind::Entry(k), Known::Bits(b)) => Dynamic::from(thing(base, *k, one(*b)?)),
        (_, Known::Num(r)) => Dynamic::from(r.single()?),
        (FactKind::Several(c), Known::Several { yes, .. }) => {
            let held: Array = c.iter().enumerate().filter(|(i, _)| yes >> i & 1 == 1).map(|(_, c)| Dynamic::from(c.id.clone())).collect();
            Dynamic::from(held)
        }
        _ => return None,
    })
}

type Failed = Box<EvalAltResult>;

fn engine(base: &Base, limits: &[Option<f64>]) -> Engine {
    let mut engine = bare_engine();
    engine.set_fast_operators(true);
    LogicPackage::new().register_into_engine(&mut engine);
    engine.register_indexer_get(|thing: &mut Thing, name: ImmutableString| -> Result<Dynamic, Failed> {
        thing.values.get(name.as_str()).cloned().ok_or_else(|| format!("{name} is not known").into())
    });
    engine.register_fn("==", |a: Thing, b: ImmutableString| a.id == b);
    engine.register_fn("!=", |a: Thing, b: ImmutableString| a.id != b);
    engine.register_fn("contains", |list: Array, value: Thing| {
        list.into_iter().any(|v| v.into_immutable_string().is_ok_and(|v| v == value.id))
    });
    engine.register_fn("contains", |list: Array, value: ImmutableString| {
        list.into_iter().any(|v| v.into_immutable_string().is_ok_and(|v| v == value))
    });
    engine.register_fn("has", |list: Array, value: ImmutableString| {
        list.into_iter().any(|v| v.into_immutable_string().is_ok_and(|v| v == value))
    });
    for (name, f) in [("min", f64::min as fn(f64, f64) -> f64), ("max", f64::max)] {
        engine.register_fn(name, move |a: f64, b: f64| f(a, b));
        engine.register_fn(name, move |a: i64, b: f64| f(a as f64, b));
        engine.register_fn(name, move |a: f64, b: i64| f(a, b as f64));
    }
    engine.register_fn("abs", f64::abs);
    for function in base.calculators() {
        let (name, many) = (function.name, function.takes.len());
        let run = move |given: &[Dynamic]| -> Result<f64, Failed> {
            let plain = |v: &Dynamic| v.as_float().or_else(|_| v.as_int().map(|i| i as f64));
            let given = given.iter().map(plain).collect::<Result<Vec<f64>, _>>()?;
            function.apply(&given).ok_or_else(|| "it cannot be worked out".into())
        };
        match many {
            1 => engine.register_fn(name, move |a: Dynamic| run(&[a])),
            2 => engine.register_fn(name, move |a: Dynamic, b: Dynamic| run(&[a, b])),
            _ => engine.register_fn(name, move |a: Dynamic, b: Dynamic, c: Dynamic| run(&[a, b, c])),
        };
    }
    engine.register_fn("quantity", |text: ImmutableString| -> Result<f64, Failed> {
        let unit = text.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+')).trim();
        let unit = quantity::find_unit(unit).ok_or("no such unit")?;
        quantity::read(&text, unit).map(|q| q.base).map_err(|e| e.message().into())
    });
    let figures: BTreeMap<String, Option<f64>> = base.limits.keys().cloned().zip(limits.iter().copied()).collect();
    engine.register_fn("limit", move |id: ImmutableString| -> Result<f64, Failed> {
        figures.get(id.as_str()).copied().flatten().ok_or_else(|| "no figure in force".into())
    });
    for grid in base.catalogue.grids.values() {
        let rows: Vec<String> = base.catalogue.ids(grid.rows).map(str::to_owned).collect();
        let columns: Vec<String> = base.catalogue.ids(grid.columns).map(str::to_owned).collect();
        let grid_owned = grid.clone();
        engine.register_fn(grid.id.as_str(), move |row: Thing, column: Thing| -> Result<Thing, Failed> {
            let r = rows.iter().position(|x| *x == row.id.as_str()).ok_or("no such row")?;
            let c = columns.iter().position(|x| *x == column.id.as_str()).ok_or("no such column")?;
            let cell = &grid_owned.cells[r][c];
            let reason = Thing { id: grid_owned.reasons[cell.reason].as_str().into(), values: Rc::new(BTreeMap::new()) };
            let values = BTreeMap::from([("reason".to_owned(), Dynamic::from(reason))]);
            Ok(Thing { id: grid_owned.grades[cell.grade].as_str().into(), values: Rc::new(values) })
        });
    }
    engine
}
