//! The values a script handles while it is unfolded, and what operators and functions do with them.

use super::kinds::{Asks, Cell, Handle, Many, Num, Pick, Sign, Sorted, sort};
use super::number::{call, combine, compare_numbers, limit, longer, number, plain, read_quantity, reckon};
use super::{Fault, Raised, SharedBase, bare_engine, raise};
use crate::catalogue::{AttributeKind, AttributeValue, EntryKind};
use crate::quantity::Dimension;
use crate::tree::{Expr, Func, Test, Who};
use crate::vocabulary::{About, FactKind, flag};
use crate::words;
use rhai::{Array, Dynamic, Engine, ImmutableString};
use std::rc::Rc;
use std::sync::Arc;

/// Builds the engine in which scripts are unfolded.
pub(super) fn engine(base: &SharedBase, asks: &Asks) -> Engine {
    let mut engine = bare_engine();
    engine.register_type_with_name::<Handle>("Handle");
    engine.register_type_with_name::<Num>("Num");
    engine.register_type_with_name::<Pick>("Pick");
    engine.register_type_with_name::<Cell>("Cell");
    engine.register_type_with_name::<Many>("Many");

    {
        let (base, asks) = (Arc::clone(base), Rc::clone(asks));
        engine.register_indexer_get(move |handle: &mut Handle, name: ImmutableString| property(&base, &asks, *handle, &name));
    }
    {
        let (base, asks) = (Arc::clone(base), Rc::clone(asks));
        engine.register_indexer_get(move |pick: &mut Pick, name: ImmutableString| attribute(&base, &asks, pick, &name));
    }
    engine.register_indexer_get(|cell: &mut Cell, name: ImmutableString| -> Result<Dynamic, Raised> {
        if name == "reason" && !cell.reason {
            return Ok(Dynamic::from(Cell { reason: true, ..cell.clone() }));
        }
        Err(raise(Fault::new(format!("a grade has no `{name}`")).help(Some("it has `reason`".to_owned()))))
    });
    engine.register_indexer_get(|many: &mut Many, name: ImmutableString| -> Result<Dynamic, Raised> {
        let _ = many;
        Err(raise(Fault::new(format!("a several-of fact has no `{name}`")).help(Some("ask `.has(\"…\")`".to_owned()))))
    });

    for (symbol, sign) in
        [("==", Sign::Equal), ("!=", Sign::Unequal), ("<", Sign::Less), ("<=", Sign::AtMost), (">", Sign::More), (">=", Sign::AtLeast)]
    {
        let (base, asks) = (Arc::clone(base), Rc::clone(asks));
        engine.register_fn(symbol, move |a: Dynamic, b: Dynamic| compare(&base, &asks, sign, &a, &b));
    }

    for (symbol, func) in [("+", Func::Add), ("-", Func::Sub), ("*", Func::Mul), ("/", Func::Div)] {
        engine.register_fn(symbol, move |a: Num, b: Num| combine(func, a, b));
        engine.register_fn(symbol, move |a: Num, b: i64| combine(func, a, plain(b as f64)));
        engine.register_fn(symbol, move |a: Num, b: f64| combine(func, a, plain(b)));
        engine.register_fn(symbol, move |a: i64, b: Num| combine(func, plain(a as f64), b));
        engine.register_fn(symbol, move |a: f64, b: Num| combine(func, plain(a), b));
    }
    for (name, func) in [("min", Func::Min), ("max", Func::Max)] {
        engine.register_fn(name, move |a: Dynamic, b: Dynamic| combine(func, number(&a, name)?, number(&b, name)?));
    }
    engine.register_fn("abs", |a: Dynamic| -> Result<Num, Raised> {
        let a = number(&a, "abs")?;
        let length = longer(a.length, a.length)?;
        Ok(Num { name: format!("abs({})", a.name), expr: call(Func::Abs, &a.expr, &a.expr), dimension: a.dimension, length })
    });
    for function in base.calculators() {
        let base = Arc::clone(base);
        let name = function.name;
        match function.takes.len() {
            1 => engine.register_fn(name, move |a: Dynamic| reckon(&base, &function, &[a])),
            2 => engine.register_fn(name, move |a: Dynamic, b: Dynamic| reckon(&base, &function, &[a, b])),
            _ => engine.register_fn(name, move |a: Dynamic, b: Dynamic, c: Dynamic| reckon(&base, &function, &[a, b, c])),
        };
    }
    {
        let base = Arc::clone(base);
        engine.register_fn("limit", move |id: ImmutableString| limit(&base, &id));
    }
    engine.register_fn("quantity", |text: ImmutableString| read_quantity(&text));
    {
        let (base, asks) = (Arc::clone(base), Rc::clone(asks));
        engine.register_fn("has", move |many: Many, choice: ImmutableString| has(&base, &asks, &many, &choice));
    }
    {
        let (base, asks) = (Arc::clone(base), Rc::clone(asks));
        engine.register_fn("contains", move |many: Many, choice: ImmutableString| has(&base, &asks, &many, &choice));
    }
    {
        let (base, asks) = (Arc::clone(base), Rc::clone(asks));
        engine.register_fn("contains", move |list: Array, value: Dynamic| contains(&base, &asks, &list, &value));
    }
    for (index, grid) in base.catalogue.grids.values().enumerate() {
        let (base, kinds) = (Arc::clone(base), (grid.rows, grid.columns));
        let name = grid.id.clone();
        engine.register_fn(grid.id.as_str(), move |row: Dynamic, column: Dynamic| -> Result<Cell, Raised> {
            Ok(Cell {
                grid: index,
                row: entry_of(&base, &row, kinds.0, &name)?,
                column: entry_of(&base, &column, kinds.1, &name)?,
                reason: false,
            })
        });
    }
    engine
}

pub(super) fn ask(asks: &Asks, test: Test) -> Result<bool, Raised> {
    asks.borrow_mut().ask(test).map_err(raise)
}

/// `site.built` and the like.
fn property(base: &SharedBase, asks: &Asks, handle: Handle, name: &str) -> Result<Dynamic, Raised> {
    let about = handle.0;
    if let Some(id) = base.vocabulary.find_about(about, name) {
        let fact = base.vocabulary.get(id);
        return Ok(match &fact.kind {
            FactKind::YesNo => Dynamic::from(ask(asks, Test::Is(Who::Fact(id), flag::YES))?),
            FactKind::Number { unit, .. } => {
                Dynamic::from(Num { expr: Arc::new(Expr::Fact(id)), dimension: unit.dimension, name: fact.id.clone(), length: 1 })
            }
            FactKind::Year { .. } => {
                Dynamic::from(Num { expr: Arc::new(Expr::Fact(id)), dimension: Dimension::NUMBER, name: fact.id.clone(), length: 1 })
            }
            FactKind::Choice(_) | FactKind::Entry(_) => Dynamic::from(Pick { who: Who::Fact(id), attribute: None, name: fact.id.clone() }),
            FactKind::Several(_) => Dynamic::from(Many(id)),
        });
    }
    if about == About::Method {
        let mut method = Pick { who: Who::Method, attribute: None, name: "method".to_owned() };
        let known = base.catalogue.attributes(EntryKind::Method);
        if known.contains_key(name) {
            return attribute(base, asks, &mut method, name);
        }
    }
    let attributes = base.catalogue.attributes(EntryKind::Method).keys().map(String::as_str);
    let names: Vec<&str> = if about == About::Method {
        base.vocabulary.names(about).chain(attributes).collect()
    } else {
        base.vocabulary.names(about).collect()
    };
    let elsewhere =
        About::ALL.into_iter().find(|a| base.vocabulary.find_about(*a, name).is_some()).map(|a| format!("there is `{}.{name}`", a.word()));
    let help = elsewhere.or_else(|| words::did_you_mean(name, names));
    Err(raise(Fault::new(format!("{} has no fact `{name}`", about.word())).help(help)))
}

/// The kind of entry a name stands for.
fn entry_kind(base: &SharedBase, who: Who) -> Option<EntryKind> {
    match who {
        Who::Method => Some(EntryKind::Method),
        Who::Fact(f) => match base.vocabulary.get(f).kind {
            FactKind::Entry(kind) => Some(kind),
            _ => None,
        },
    }
}

/// `surface.substrate.tannin` and the like.
fn attribute(base: &SharedBase, asks: &Asks, pick: &mut Pick, name: &str) -> Result<Dynamic, Raised> {
    let Some(kind) = entry_kind(base, pick.who).filter(|_| pick.attribute.is_none()) else {
        return Err(raise(Fault::new(format!("`{}` has no `{name}`: it is a plain choice", pick.name))));
    };
    let attributes = base.catalogue.attributes(kind);
    let Some(index) = attributes.get_index_of(name) else {
        let help = words::did_you_mean(name, attributes.keys().map(String::as_str));
        return Err(raise(Fault::new(format!("a {} has no attribute `{name}`", kind.word())).help(help)));
    };
    let full = format!("{}.{name}", pick.name);
    Ok(match &attributes[index].kind {
        AttributeKind::YesNo => {
            let set = base.catalogue.with(kind, index, |v| v == AttributeValue::Flag(true));
            Dynamic::from(ask(asks, Test::Is(pick.who, set))?)
        }
        AttributeKind::Choice(_) => Dynamic::from(Pick { who: pick.who, attribute: Some(index), name: full }),
        AttributeKind::Number => {
            let values: Arc<[f64]> = base
                .catalogue
                .entries(kind)
                .values()
                .map(|e| match e.attributes[index] {
                    AttributeValue::Number(n) => n,
                    _ => f64::NAN,
                })
                .collect();
            Dynamic::from(Num { expr: Arc::new(Expr::Lookup(pick.who, values)), dimension: Dimension::NUMBER, name: full, length: 1 })
        }
    })
}

/// The values of a pick that carry a word.
fn set_of(base: &SharedBase, pick: &Pick, word: &str) -> Result<u128, Raised> {
    let unknown = |known: Vec<&str>| {
        Err(raise(Fault::new(format!("`{}` is never \"{word}\"", pick.name)).help(words::offer(word, known.iter().copied()))))
    };
    if let Some(attribute) = pick.attribute {
        let kind = entry_kind(base, pick.who).unwrap_or(EntryKind::Method);
        let AttributeKind::Choice(choices) = &base.catalogue.attributes(kind)[attribute].kind else {
            return unknown(Vec::new());
        };
        let Some(index) = choices.iter().position(|c| c == word) else {
            return unknown(choices.iter().map(String::as_str).collect());
        };
        return Ok(base.catalogue.with(kind, attribute, |v| v == AttributeValue::Choice(index)));
    }
    let ids: Vec<&str> = match pick.who {
        Who::Method => base.catalogue.ids(EntryKind::Method).collect(),
        Who::Fact(f) => base.vocabulary.get(f).choice_ids(&base.catalogue),
    };
    match ids.iter().position(|id| *id == word) {
        Some(index) => Ok(1 << index),
        None => match entry_kind(base, pick.who).and_then(|kind| base.catalogue.instead(kind, word)) {
            Some(help) => Err(raise(Fault::new(format!("`{}` is never \"{word}\"", pick.name)).help(Some(help)))),
            None => unknown(ids),
        },
    }
}

/// The cells of a grid that carry a word, by row.
fn cells_of(base: &SharedBase, cell: &Cell, word: &str) -> Result<Vec<u128>, Raised> {
    let grid = &base.catalogue.grids[cell.grid];
    let (known, what) = if cell.reason { (&grid.reasons, "reason") } else { (&grid.grades, "grade") };
    let Some(index) = known.iter().position(|k| k == word) else {
        let help = words::offer(word, known.iter().map(String::as_str));
        return Err(raise(Fault::new(format!("\"{word}\" is not a {what} of `{}`", grid.id)).help(help)));
    };
    Ok(grid
        .cells
        .iter()
        .map(|row| {
            row.iter().enumerate().fold(0, |set, (c, x)| set | u128::from((if cell.reason { x.reason } else { x.grade }) == index) << c)
        })
        .collect())
}

fn method_pick() -> Pick {
    Pick { who: Who::Method, attribute: None, name: "method".to_owned() }
}

/// Any comparison.
fn compare(base: &SharedBase, asks: &Asks, sign: Sign, a: &Dynamic, b: &Dynamic) -> Result<bool, Raised> {
    let (a, b) = (sort(a), sort(b));
    let equality = matches!(sign, Sign::Equal | Sign::Unequal);
    let flip = |yes: bool| yes == (sign == Sign::Equal);
    match (a, b) {
        (Sorted::Truth(x), Sorted::Truth(y)) if equality => Ok(flip(x == y)),
        (Sorted::Text(x), Sorted::Text(y)) if equality => Ok(flip(x == y)),
        (Sorted::Pick(p), Sorted::Text(t)) | (Sorted::Text(t), Sorted::Pick(p)) if equality => {
            let set = set_of(base, &p, &t)?;
            ask(asks, Test::Is(p.who, set)).map(flip)
        }
        (Sorted::Method, Sorted::Text(t)) | (Sorted::Text(t), Sorted::Method) if equality => {
            let set = set_of(base, &method_pick(), &t)?;
            ask(asks, Test::Is(Who::Method, set)).map(flip)
        }
        (Sorted::Cell(c), Sorted::Text(t)) | (Sorted::Text(t), Sorted::Cell(c)) if equality => {
            let cells = Arc::new(cells_of(base, &c, &t)?);
            ask(asks, Test::Grid { grid: c.grid, row: c.row, column: c.column, cells }).map(flip)
        }
        (a @ (Sorted::Plain(_) | Sorted::Num(_)), b @ (Sorted::Plain(_) | Sorted::Num(_))) => {
            let (Ok(a), Ok(b)) = (a.number(), b.number()) else { return Ok(false) };
            compare_numbers(asks, sign, &a, &b)
        }
        (a, b) => {
            let help = match (&a, &b) {
                (Sorted::Pick(_) | Sorted::Cell(_) | Sorted::Method, Sorted::Text(_)) => {
                    Some("choices and grades compare with `==`, `!=` and `in [ … ]`".to_owned())
                }
                (Sorted::Num(_), Sorted::Text(text)) | (Sorted::Text(text), Sorted::Num(_)) if read_quantity(text).is_ok() => {
                    Some(format!("write quantity(\"{text}\")"))
                }
                (Sorted::Other("a several-of fact"), Sorted::Text(text)) | (Sorted::Text(text), Sorted::Other("a several-of fact")) => {
                    Some(format!("ask .has(\"{text}\")"))
                }
                _ => None,
            };
            Err(raise(Fault::new(format!("{} cannot be compared with {}", a.describe(), b.describe())).help(help)))
        }
    }
}

fn contains(base: &SharedBase, asks: &Asks, list: &Array, value: &Dynamic) -> Result<bool, Raised> {
    let words = || -> Option<Vec<ImmutableString>> { list.iter().map(|v| v.clone().into_immutable_string().ok()).collect() };
    // One question for the whole list, where the list is all words.
    match (sort(value), words()) {
        (Sorted::Pick(pick), Some(words)) => {
            let mut set = 0;
            for word in words {
                set |= set_of(base, &pick, &word)?;
            }
            ask(asks, Test::Is(pick.who, set))
        }
        (Sorted::Method, Some(words)) => {
            let mut set = 0;
            for word in words {
                set |= set_of(base, &method_pick(), &word)?;
            }
            ask(asks, Test::Is(Who::Method, set))
        }
        (Sorted::Cell(cell), Some(words)) => {
            let grid = &base.catalogue.grids[cell.grid];
            let mut cells = vec![0; grid.cells.len()];
            for word in words {
                for (row, more) in cells.iter_mut().zip(cells_of(base, &cell, &word)?) {
                    *row |= more;
                }
            }
            ask(asks, Test::Grid { grid: cell.grid, row: cell.row, column: cell.column, cells: Arc::new(cells) })
        }
        _ => {
            for member in list {
                if compare(base, asks, Sign::Equal, value, member)? {
                    return Ok(true);
                }
            }
            Ok(false)
        }
    }
}

fn has(base: &SharedBase, asks: &Asks, many: &Many, choice: &str) -> Result<bool, Raised> {
    let fact = base.vocabulary.get(many.0);
    let ids = fact.choice_ids(&base.catalogue);
    match ids.iter().position(|id| *id == choice) {
        Some(option) => ask(asks, Test::Has(many.0, option)),
        None => Err(raise(Fault::new(format!("`{}` never has \"{choice}\"", fact.id)).help(words::offer(choice, ids.iter().copied())))),
    }
}

fn entry_of(base: &SharedBase, value: &Dynamic, kind: EntryKind, grid: &str) -> Result<Who, Raised> {
    let found = match sort(value) {
        Sorted::Method => Some(Who::Method),
        Sorted::Pick(p) if p.attribute.is_none() => Some(p.who),
        _ => None,
    };
    found
        .filter(|who| entry_kind(base, *who) == Some(kind))
        .ok_or_else(|| raise(Fault::new(format!("{grid} wants a {} here, not {}", kind.word(), sort(value).describe()))))
}
