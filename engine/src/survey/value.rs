//! Reading the value of a fact.

use super::Stated;
use crate::base::Base;
use crate::diagnostic::Diagnostic;
use crate::error::{Error, ErrorKind};
use crate::quantity::{self, System};
use crate::reach::Reach;
use crate::toml_read::{Item, Problems};
use crate::vocabulary::{FactId, FactKind, Known, flag, lowest};
use crate::{words, year};

/// What is wrong with a value, and the nearest right one.
pub(super) type Wrong = (String, Option<String>);

/// Reads a value written as text, as in `--set fact=value` or a string of a survey.
///
/// # Errors
/// What is wrong, and the nearest right thing; also where the fact is another book's.
pub fn parse_text(text: &str, id: FactId, base: &Base) -> Result<Known, Error> {
    if !base.vocabulary.has(id) {
        return Err(Error::new(ErrorKind::OtherBook, Diagnostic::error("the fact is one of another rule book")));
    }
    parse(text, id, base).map_err(|(message, help)| Error::new(ErrorKind::Unfit, Diagnostic::error(message).maybe_help(help)))
}

/// As [`parse_text`], with message and help apart.
pub(super) fn parse(text: &str, id: FactId, base: &Base) -> Result<Known, Wrong> {
    let fact = base.vocabulary.get(id);
    let text = text.trim();
    match &fact.kind {
        FactKind::YesNo => match text {
            "yes" | "true" => Ok(Known::Bits(flag::YES)),
            "no" | "false" => Ok(Known::Bits(flag::NO)),
            _ => Err((format!("`{}` is `{text}` where yes or no is wanted", fact.id), None)),
        },
        FactKind::Number { unit, range, whole } => {
            let (low, high) = quantity::read_range(text, unit).map_err(|e| (format!("`{}`: {e}", fact.id), None))?;
            within(&fact.id, Reach::closed(low.base, high.base), range, *whole, text, |v| quantity::show_in(v, unit))
        }
        FactKind::Year { range } => {
            let years = year::read(text).map_err(|e| (format!("`{}`: {e}", fact.id), None))?;
            within(&fact.id, years, range, true, text, |v| v.to_string())
        }
        FactKind::Choice(_) | FactKind::Entry(_) => one_choice(text, id, base).map(Known::Bits),
        FactKind::Several(_) => {
            let mut yes = 0;
            for part in text.split([',', ' ']).map(str::trim).filter(|p| !p.is_empty() && *p != "none") {
                yes |= one_choice(part, id, base)?;
            }
            Ok(Known::Several { yes, no: lowest(fact.width(&base.catalogue)) & !yes })
        }
    }
}

fn one_choice(text: &str, id: FactId, base: &Base) -> Result<u128, Wrong> {
    let fact = base.vocabulary.get(id);
    let ids = fact.choice_ids(&base.catalogue);
    if let Some(i) = ids.iter().position(|c| *c == text) {
        return Ok(1 << i);
    }
    // What people say for one choice and no other is taken; where it would ask for less care it is only offered.
    let plain = |t: &str| t.to_lowercase().replace(['-', '_'], " ");
    let wanted = plain(text);
    let same = |t: &str| plain(t) == wanted || plain(t).trim_end_matches('s') == wanted.trim_end_matches('s');
    let said: Vec<usize> = (0..ids.len())
        .filter(|i| {
            let says: &[String] = match &fact.kind {
                FactKind::Choice(c) | FactKind::Several(c) => &c[*i].says,
                FactKind::Entry(kind) => &base.catalogue.entries(*kind)[*i].says,
                _ => &[],
            };
            says.iter().any(|s| same(s)) || same(fact.choice_title(*i, &base.catalogue)) || same(ids[*i])
        })
        .collect();
    if let [only] = said[..]
        && !fact.eased_by(&Known::Bits(1 << only))
    {
        return Ok(1 << only);
    }
    let said = said.first().copied();
    let near = || match &fact.kind {
        FactKind::Entry(kind) => base.catalogue.instead(*kind, text),
        _ => words::offer(text, ids.iter().copied()),
    };
    let help = said.map(|i| format!("did you mean `{}`?", ids[i])).or_else(near);
    let what = match fact.kind {
        FactKind::Entry(kind) => format!("`{text}` is not a {} of the catalogue", kind.word()),
        _ => format!("`{}` cannot be `{text}`", fact.id),
    };
    Err((what, help))
}

pub(super) fn within(id: &str, reach: Reach, range: &Reach, whole: bool, text: &str, show: impl Fn(f64) -> String) -> Result<Known, Wrong> {
    let inside = reach.and(range);
    if inside != reach {
        let help = range.bounds().map(|(low, high)| format!("it lies between {} and {}", show(low), show(high)));
        return Err((format!("`{id}` cannot be `{text}`"), help));
    }
    if whole && (inside.whole() != inside || inside.single().is_some_and(|v| v.fract() != 0.0)) {
        return Err((format!("`{id}` is `{text}` where a whole number is wanted"), None));
    }
    Ok(Known::Num(inside))
}

/// Reads the value of a fact from a survey: plain, `{ value = …, by = …, on = … }`, `{ one-of = […] }` or, of a several-of
/// fact of which not all is known, `{ has = […], not = […] }`.
pub fn read_value(item: Item<'_>, id: FactId, base: &Base, problems: &Problems) -> Option<Stated> {
    read_counting(item, id, base, problems, &mut |_| {})
}

/// As [`read_value`]; tells `units` the system of every quantity read.
pub(super) fn read_counting(item: Item<'_>, id: FactId, base: &Base, problems: &Problems, units: &mut dyn FnMut(System)) -> Option<Stated> {
    let fact = base.vocabulary.get(id);
    let plain = |known: Known, item: Item<'_>| Stated {
        written: item.text().map_or_else(|| item.written().to_owned(), str::to_owned),
        known,
        by: None,
        on: None,
        note: None,
    };
    let Some(keys) = item.keys(format!("`{}`", fact.id)) else {
        return one(item, id, base, problems, units).map(|known| plain(known, item));
    };
    let by = keys.text(problems, "by").map(str::to_owned);
    let on = keys.date(problems, "on");
    let note = keys.text(problems, "note").map(str::to_owned);
    let sure = match keys.get("sure") {
        None => true,
        Some(item) => item.flag().unwrap_or_else(|| {
            problems.borrow_mut().push(item.place().error(format!("`sure` is {} where true or false is wanted", item.kind())));
            true
        }),
    };
    let value = keys.get("value");
    let several = keys.get("one-of");
    let named = [keys.get("has"), keys.get("not")];
    keys.finish(problems);
    if named.iter().any(Option::is_some) {
        let mut stated = if value.is_some() || several.is_some() {
            problems.borrow_mut().push(item.place().error(format!("`{}` wants either `value`, `one-of`, or `has` and `not`", fact.id)));
            return None;
        } else {
            partly(named, item, id, base, problems)?
        };
        (stated.by, stated.on, stated.note) = (by, on, note);
        return Some(stated);
    }
    let mut stated = match (value, several) {
        (Some(value), None) => one(value, id, base, problems, units).map(|known| plain(known, value))?,
        (None, Some(list)) => {
            let items = list.items().filter(|i| !i.is_empty());
            let Some(items) = items else {
                problems.borrow_mut().push(list.place().error("`one-of` is not a list of values"));
                return None;
            };
            let mut joined: Option<Known> = None;
            let mut written = Vec::new();
            for item in items {
                let known = one(item, id, base, problems, units)?;
                written.push(item.text().map_or_else(|| item.written().to_owned(), str::to_owned));
                joined = Some(match joined {
                    None => known,
                    Some(before) => before.either(known),
                });
            }
            Stated { known: joined?, written: words::list(&written, "or"), by: None, on: None, note: None }
        }
        _ => {
            problems.borrow_mut().push(item.place().error(format!("`{}` wants either `value` or `one-of`", fact.id)));
            return None;
        }
    };
    if !sure {
        // What is only thought rules nothing out: the fact stays open until somebody has looked.
        stated.known = fact.anything(&base.catalogue);
        stated.written.push_str(super::NOT_SURE);
    }
    stated.by = by;
    stated.on = on;
    stated.note = note;
    Some(stated)
}

/// `{ has = […], not = […] }`: what is not named stays open.
fn partly([has, not]: [Option<Item<'_>>; 2], item: Item<'_>, id: FactId, base: &Base, problems: &Problems) -> Option<Stated> {
    let fact = base.vocabulary.get(id);
    if !matches!(fact.kind, FactKind::Several(_)) {
        let help = "`has` and `not` are for facts that can be several things at once; for one of several write `one-of`";
        problems.borrow_mut().push(item.place().error(format!("`{}` is one thing, not several", fact.id)).help(help));
        return None;
    }
    let set = |list: Option<Item<'_>>| match list.map(|l| one(l, id, base, problems, &mut |_| {})) {
        None => Some(0),
        Some(Some(Known::Several { yes, .. })) => Some(yes),
        Some(_) => None,
    };
    let (yes, no) = (set(has)?, set(not)?);
    if yes & no != 0 {
        let ids: Vec<&str> =
            (0..fact.width(&base.catalogue)).filter(|i| (yes & no) >> i & 1 == 1).map(|i| fact.choice_id(i, &base.catalogue)).collect();
        problems.borrow_mut().push(item.place().error(format!("`{}` has and has not {}", fact.id, words::list(&ids, "and"))));
        return None;
    }
    if yes | no == 0 {
        problems
            .borrow_mut()
            .push(item.place().error(format!("`{}` names nothing", fact.id)).help("write [] for none at all, or leave it out"));
        return None;
    }
    let known = Known::Several { yes, no };
    let written = fact.show(&known, &base.catalogue, System::Metric);
    Some(Stated { known, written, by: None, on: None, note: None })
}

fn one(item: Item<'_>, id: FactId, base: &Base, problems: &Problems, units: &mut dyn FnMut(System)) -> Option<Known> {
    let fact = base.vocabulary.get(id);
    let wrong = |(message, help): Wrong| {
        problems.borrow_mut().push(item.place().error(message).maybe_help(help));
        None
    };
    let mismatch = |wanted: &str| wrong((format!("`{}` is {} where {wanted} is wanted", fact.id, item.kind()), None));
    match &fact.kind {
        FactKind::YesNo => match (item.flag(), item.text()) {
            (Some(true), _) => Some(Known::Bits(flag::YES)),
            (Some(false), _) => Some(Known::Bits(flag::NO)),
            (None, Some(text)) => parse(text, id, base).map_or_else(wrong, Some),
            _ => mismatch("true or false"),
        },
        FactKind::Number { unit, range, whole } => match (item.text(), item.number()) {
            (Some(text), _) => {
                if let Ok((_, high)) = quantity::read_range(text, unit)
                    && let Some(system) = high.unit.system
                {
                    units(system);
                }
                parse(text, id, base).map_or_else(wrong, Some)
            }
            (None, Some(n)) if unit.dimension.is_number() => {
                within(&fact.id, Reach::point(n), range, *whole, item.written(), |v| quantity::show_in(v, unit)).map_or_else(wrong, Some)
            }
            (None, Some(n)) => {
                wrong((format!("`{}` is the number {n} without a unit", fact.id), Some(format!("write \"{n} {}\"", unit.names[0]))))
            }
            _ => mismatch("a quantity such as \"4.2 m2\""),
        },
        FactKind::Year { .. } => match (item.text(), item.number()) {
            (Some(text), _) => parse(text, id, base).map_or_else(wrong, Some),
            (None, Some(n)) => parse(&n.to_string(), id, base).map_or_else(wrong, Some),
            _ => mismatch("a year"),
        },
        FactKind::Choice(_) | FactKind::Entry(_) => match item.text() {
            Some(text) => parse(text, id, base).map_or_else(wrong, Some),
            None => mismatch("a word"),
        },
        FactKind::Several(_) => {
            let Some(items) = item.items() else {
                return match item.text() {
                    Some(text) => parse(text, id, base).map_or_else(wrong, Some),
                    None => mismatch("a list of words"),
                };
            };
            let mut yes = 0;
            for item in items {
                match item.text().map(|t| one_choice(t, id, base)) {
                    Some(Ok(bit)) => yes |= bit,
                    Some(Err((message, help))) => problems.borrow_mut().push(item.place().error(message).maybe_help(help)),
                    None => problems.borrow_mut().push(item.place().error("a word is wanted here")),
                }
            }
            Some(Known::Several { yes, no: lowest(fact.width(&base.catalogue)) & !yes })
        }
    }
}
