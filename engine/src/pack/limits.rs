//! Reading limits and what house packs make of them.

use super::{PackInfo, Taken, Topic, need_source, place_code, read_basis, read_period, roles, take};
use crate::limit::{Basis, Limit, LimitValue, Stricter};
use crate::quantity::{self, Unit};
use crate::role::LimitRole;
use crate::script::Base;
use crate::toml_read::{Keys, Problems};
use crate::words;
use indexmap::IndexMap;

pub(super) fn read(topics: &[Topic<'_>], base: &mut Base, groups: &IndexMap<String, Vec<String>>, taken: &mut Taken, problems: &Problems) {
    for topic in topics {
        for keys in topic.keys.tables(problems, "limit", "a limit") {
            let limit = limit(topic.pack, &keys, base, problems);
            keys.finish(problems);
            if let Some(limit) = limit
                && take(taken, problems, "limit", &limit.id.clone(), topic.pack, &keys.place())
            {
                roles::claim_for(limit.plays.as_ref(), "limit", &limit.id, topic.pack, &keys, taken, problems);
                base.limits.insert(limit.id.clone(), limit);
            }
        }
    }
    for topic in topics {
        for keys in topic.keys.tables(problems, "tighten", "a tightened limit") {
            tighten(topic.pack, &keys, base, groups, problems);
            keys.finish(problems);
        }
    }
}

fn limit(pack: &PackInfo, keys: &Keys<'_>, base: &Base, problems: &Problems) -> Option<Limit> {
    let id = keys.need_text(problems, "id")?;
    let title = keys.need_text(problems, "title").unwrap_or(id).to_owned();
    let unit_text = keys.text(problems, "unit").unwrap_or("");
    let unit = if unit_text.is_empty() {
        Unit::none()
    } else if let Some(unit) = quantity::find_unit(unit_text) {
        unit
    } else {
        let names = quantity::UNITS.iter().map(|u| u.names[0]);
        problems
            .borrow_mut()
            .push(keys.place().error(format!("`{unit_text}` is not a unit")).maybe_help(words::did_you_mean(unit_text, names)));
        return None;
    };
    let plays = roles::read_for(keys, base, LimitRole::of, problems);
    let stricter = match keys.need_text(problems, "stricter")? {
        "lower" => Stricter::Lower,
        "higher" => Stricter::Higher,
        other => {
            problems.borrow_mut().push(
                keys.place().error(format!("`stricter` is \"{other}\"")).help("which direction is stricter: \"lower\" or \"higher\""),
            );
            return None;
        }
    };
    let mut values = Vec::new();
    for keys in keys.tables(problems, "value", "a limit's value") {
        let basis = read_basis(&keys, pack, problems);
        if let Some(value) = value(pack, &keys, unit, basis, problems) {
            values.push(value);
        }
        keys.finish(problems);
    }
    if values.is_empty() {
        problems.borrow_mut().push(keys.place().error(format!("the limit `{id}` has no [[limit.value]]")));
    }
    Some(Limit { id: id.to_owned(), title, plays, unit, stricter, values, pack: pack.name.clone(), declared: keys.place() })
}

fn value(pack: &PackInfo, keys: &Keys<'_>, unit: &'static Unit, basis: Basis, problems: &Problems) -> Option<LimitValue> {
    let place = keys.text(problems, "place").map(str::to_owned);
    if let Some(code) = &place
        && let Err((message, help)) = place_code(code)
    {
        problems.borrow_mut().push(keys.place().error(message).maybe_help(help));
    }
    let period = read_period(keys, problems);
    let source = need_source(keys, problems);
    let borrowed = keys.text(problems, "borrowed").map(str::to_owned);
    if borrowed.is_some() && basis == Basis::Statute {
        problems.borrow_mut().push(
            keys.place()
                .error("a figure that is `borrowed` from somewhere else is no law here")
                .help("give the place whose law it is a value of its own, and this one another basis"),
        );
    }
    let Some(item) = keys.get("value") else {
        keys.missing(problems, "value");
        return None;
    };
    let read = match (item.text(), item.number()) {
        (Some(text), _) => quantity::read(text, unit),
        (None, Some(n)) => quantity::read(&n.to_string(), unit),
        _ => Err(format!("a value is {} where a quantity is wanted", item.kind()).into()),
    };
    match read {
        Ok(quantity) => {
            Some(LimitValue { place, quantity, period, basis, source, borrowed, pack: pack.name.clone(), declared: keys.place() })
        }
        Err(message) => {
            problems.borrow_mut().push(item.place().error(message));
            None
        }
    }
}

/// A house pack's stricter figure. One that would be looser wherever it holds is refused.
fn tighten(pack: &PackInfo, keys: &Keys<'_>, base: &mut Base, groups: &IndexMap<String, Vec<String>>, problems: &Problems) {
    let Some(id) = keys.need_text(problems, "limit") else { return };
    let known: Vec<String> = base.limits.keys().cloned().collect();
    let Some(limit) = base.limits.get_mut(id) else {
        problems.borrow_mut().push(
            keys.place()
                .error(format!("there is no limit `{id}` to tighten"))
                .maybe_help(words::did_you_mean(id, known.iter().map(String::as_str))),
        );
        return;
    };
    let basis = if keys.get("basis").is_some() { read_basis(keys, pack, problems) } else { Basis::House };
    let Some(value) = value(pack, keys, limit.unit, basis, problems) else { return };
    // Compared with every figure that can hold where and when this one does.
    let rivals: Vec<&LimitValue> = limit
        .values
        .iter()
        .filter(|v| match (&value.place, &v.place) {
            (Some(a), Some(b)) => a == b || a.starts_with(&format!("{b}-")) || groups.contains_key(b),
            _ => true,
        })
        .collect();
    let tightens_somewhere = rivals.is_empty() || rivals.iter().any(|v| !limit.is_stricter(v.quantity.base, value.quantity.base));
    if tightens_somewhere {
        limit.values.push(value);
        return;
    }
    let direction = match limit.stricter {
        Stricter::Lower => "lower",
        Stricter::Higher => "higher",
    };
    let held: Vec<String> = rivals.iter().map(|v| format!("{} ({})", v.quantity, v.place.as_deref().unwrap_or("everywhere"))).collect();
    problems.borrow_mut().push(
        keys.place()
            .error(format!(
                "`{}` would weaken the limit `{id}`: {} is stricter, and it stands at {}",
                value.quantity,
                direction,
                held.join(", ")
            ))
            .help(format!("a house pack can only move it {direction}")),
    );
}
