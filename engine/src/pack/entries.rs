//! Reading catalogue entries, their attributes and the grids.

use super::roles::{Cast, attribute_of, entry_of};
use super::{PackInfo, Taken, Topic, need_source, take};
use crate::catalogue::{Attribute, AttributeKind, AttributeValue, Cell, Entry, EntryKind, Grid};
use crate::quantity;
use crate::reach::Reach;
use crate::role::{AttributeRole, EntryRole, Role};
use crate::script::Base;
use crate::toml_read::{Item, Keys, Problems};
use crate::vocabulary::{About, FactId, FactKind, MOST_CHOICES};
use crate::words;
use indexmap::IndexMap;

pub(super) fn read_attributes(topics: &[Topic<'_>], base: &mut Base, taken: &mut Taken, problems: &Problems) {
    for topic in topics {
        for keys in topic.keys.tables(problems, "attribute", "an attribute") {
            if let Some((kind, attribute)) = attribute(&keys, problems)
                && take(taken, problems, &format!("{} attribute", kind.word()), &attribute.id.clone(), topic.pack, &keys.place())
            {
                super::roles::claim(attribute.role, "attribute", &attribute.id, topic.pack, &keys, taken, problems);
                base.catalogue.attributes_mut(kind).insert(attribute.id.clone(), attribute);
            }
            keys.finish(problems);
        }
    }
}

fn attribute(keys: &Keys<'_>, problems: &Problems) -> Option<(EntryKind, Attribute)> {
    let of = keys.need_text(problems, "of")?;
    let Some(kind) = EntryKind::find(of) else {
        problems.borrow_mut().push(keys.place().error(format!("`{of}` is not a kind of catalogue entry")));
        return None;
    };
    let id = keys.need_text(problems, "id")?.to_owned();
    let title = keys.text(problems, "title").unwrap_or(&id).to_owned();
    let choices: Vec<String> = keys.texts(problems, "choices").iter().map(|(t, _)| (*t).to_owned()).collect();
    let value = match keys.need_text(problems, "kind")? {
        "yes-no" => AttributeKind::YesNo,
        "number" => AttributeKind::Number,
        "choice" => AttributeKind::Choice(choices),
        other => {
            let help = words::offer(other, ["yes-no", "number", "choice"]);
            problems.borrow_mut().push(keys.place().error(format!("`{other}` is not a kind of attribute")).maybe_help(help));
            return None;
        }
    };
    let alike = keys.flag(problems, "alike").unwrap_or(false);
    let role = super::roles::read::<AttributeRole>(keys, problems);
    if let Some(role) = role
        && (kind != attribute_of(role) || !role.fits(&value))
    {
        super::roles::unfit(keys, role.word(), &format!("a {} attribute of a {}", role.kind(), attribute_of(role).word()), problems);
        return None;
    }
    Some((kind, Attribute { id, title, kind: value, alike, role }))
}

pub(super) fn read(topics: &[Topic<'_>], base: &mut Base, taken: &mut Taken, problems: &Problems) {
    for kind in EntryKind::ALL {
        for topic in topics {
            for keys in topic.keys.tables(problems, kind.word(), &format!("a {}", kind.word())) {
                if let Some((id, entry)) = entry(topic, &keys, kind, base, problems)
                    && take(taken, problems, kind.word(), &id, topic.pack, &keys.place())
                {
                    super::roles::claim(entry.role, kind.word(), &id, topic.pack, &keys, taken, problems);
                    base.catalogue.entries_mut(kind).insert(id, entry);
                }
                keys.finish(problems);
            }
        }
        renamed_once(base, kind, problems);
        if base.catalogue.entries(kind).len() > MOST_CHOICES {
            problems.borrow_mut().push(crate::diagnostic::Diagnostic::error(format!(
                "the catalogue has more than {MOST_CHOICES} entries of kind {}",
                kind.word()
            )));
            // Sets of entries are kept in as many bits; what does not fit is out of the way of everything that follows.
            base.catalogue.entries_mut(kind).truncate(MOST_CHOICES);
        }
    }
}

/// An id that an entry had before is nobody's now, and was only one entry's: else it could not be told what to write instead.
fn renamed_once(base: &Base, kind: EntryKind, problems: &Problems) {
    let entries = base.catalogue.entries(kind);
    for (at, entry) in entries.values().enumerate() {
        for was in &entry.was {
            let taken = base.catalogue.find(kind, was).map(|i| &entries[i]);
            let shared = entries.values().skip(at + 1).find(|e| e.was.contains(was));
            if let Some(other) = taken.or(shared) {
                let message = format!("`{}` was `{was}` before, and so is or was `{}`", entry.id, other.id);
                problems.borrow_mut().push(entry.declared.error(message).help("an old id leads to one entry"));
            }
        }
    }
}

fn entry(topic: &Topic<'_>, keys: &Keys<'_>, kind: EntryKind, base: &Base, problems: &Problems) -> Option<(String, Entry)> {
    let id = keys.need_text(problems, "id")?.to_owned();
    if !id.starts_with(|c: char| c.is_ascii_lowercase()) || !id.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-') {
        problems.borrow_mut().push(keys.place().error(format!("`{id}` is not the id of an entry; write it in kebab-case")));
    }
    let title = keys.need_text(problems, "title").unwrap_or(&id).to_owned();
    let says = keys.texts(problems, "says").iter().map(|(t, _)| (*t).to_owned()).collect();
    let was = keys.texts(problems, "was").iter().map(|(t, _)| (*t).to_owned()).collect();
    let source = need_source(keys, problems);
    let cautions = keys.text(problems, "cautions").map(str::to_owned);
    let mut settings = IndexMap::new();
    if let Some(table) = keys.get("settings") {
        match table.keys("the settings of a method") {
            Some(table) => {
                for (name, place, item) in table.all() {
                    let found = base.vocabulary.find_about(About::Method, name).and_then(|f| Some((f, setting(base, f, item, problems)?)));
                    if let Some((fact, reach)) = found {
                        settings.insert(fact, reach);
                    } else {
                        let help = words::did_you_mean(name, base.vocabulary.names(About::Method));
                        problems
                            .borrow_mut()
                            .push(place.error(format!("`{name}` is not a number of `method` that can be set")).maybe_help(help));
                    }
                }
            }
            None => problems.borrow_mut().push(table.place().error("`settings` is not a table")),
        }
    }
    let mut attributes = Vec::new();
    for attribute in base.catalogue.attributes(kind).values() {
        attributes.push(attribute_value(attribute, keys, &id, problems)?);
    }
    let role = super::roles::read::<EntryRole>(keys, problems);
    if role.is_some_and(|r| entry_of(r) != kind) {
        super::roles::unfit(keys, role.map_or("", Role::word), &format!("a {}", role.map_or(kind, entry_of).word()), problems);
        return None;
    }
    let pack = topic.pack.name.clone();
    Some((id.clone(), Entry { id, title, says, role, was, source, cautions, settings, attributes, pack, declared: keys.place() }))
}

fn setting(base: &Base, fact: FactId, item: Item<'_>, problems: &Problems) -> Option<Reach> {
    let FactKind::Number { unit, range, .. } = &base.vocabulary.get(fact).kind else { return None };
    match quantity::read_range(item.text()?, unit) {
        Ok((low, high)) => {
            let reach = Reach::closed(low.base, high.base);
            if reach.and(range).is_empty() {
                problems.borrow_mut().push(item.place().error("the setting lies outside what the fact can be"));
            }
            Some(reach)
        }
        Err(message) => {
            problems.borrow_mut().push(item.place().error(message));
            Some(range.clone())
        }
    }
}

fn attribute_value(attribute: &Attribute, keys: &Keys<'_>, id: &str, problems: &Problems) -> Option<AttributeValue> {
    match &attribute.kind {
        AttributeKind::YesNo => Some(AttributeValue::Flag(keys.flag(problems, &attribute.id).unwrap_or(false))),
        AttributeKind::Number => {
            if keys.get(&attribute.id).is_none() {
                problems.borrow_mut().push(keys.place().error(format!("`{id}` has no `{}`", attribute.id)));
            }
            keys.number(problems, &attribute.id).map(AttributeValue::Number)
        }
        AttributeKind::Choice(choices) => {
            let word = keys.need_text(problems, &attribute.id)?;
            let index = choices.iter().position(|c| c == word);
            if index.is_none() {
                let help = words::offer(word, choices.iter().map(String::as_str));
                problems.borrow_mut().push(keys.place().error(format!("`{}` of `{id}` is \"{word}\"", attribute.id)).maybe_help(help));
            }
            index.map(AttributeValue::Choice)
        }
    }
}

pub(super) fn read_grids(topics: &[Topic<'_>], base: &mut Base, taken: &mut Taken, problems: &Problems) {
    for topic in topics {
        for keys in topic.keys.tables(problems, "grid", "a grid") {
            if let Some(grid) = grid(topic, &keys, base, problems)
                && own_function(&grid.id, base, &keys, problems)
                && take(taken, problems, "grid", &grid.id.clone(), topic.pack, &keys.place())
            {
                base.catalogue.grids.insert(grid.id.clone(), grid);
            }
            keys.finish(problems);
        }
    }
    for topic in topics {
        for (table, across) in [("row", false), ("column", true)] {
            for keys in topic.keys.tables(problems, table, &format!("a {table} of a grid")) {
                read_line(topic.pack, &keys, across, base, problems);
                keys.finish(problems);
            }
        }
    }
}

/// A grid becomes a function of its name in scripts, so it cannot have the name of one.
fn own_function(id: &str, base: &Base, keys: &Keys<'_>, problems: &Problems) -> bool {
    let taken = crate::script::is_taken(id) || base.calculator(id).is_some();
    if taken {
        problems
            .borrow_mut()
            .push(keys.place().error(format!("`{id}` means something in scripts already")).help("take another id for the grid"));
    }
    !taken
}

fn grid(topic: &Topic<'_>, keys: &Keys<'_>, base: &Base, problems: &Problems) -> Option<Grid> {
    let id = keys.need_text(problems, "id")?.to_owned();
    let title = keys.text(problems, "title").unwrap_or(&id).to_owned();
    let kind = |key: &str| {
        let word = keys.need_text(problems, key)?;
        let kind = EntryKind::find(word);
        if kind.is_none() {
            problems.borrow_mut().push(keys.place().error(format!("`{word}` is not a kind of catalogue entry")));
        }
        kind
    };
    let (rows, columns) = (kind("rows")?, kind("columns")?);
    let texts = |key: &str| keys.texts(problems, key).iter().map(|(t, _)| (*t).to_owned()).collect::<Vec<String>>();
    let (grades, reasons) = (texts("grades"), texts("reasons"));
    let otherwise = grade_and_reason(keys.need_text(problems, "otherwise")?, &grades, &reasons).map_err(|(message, help)| {
        problems.borrow_mut().push(keys.place().error(message).maybe_help(help));
    });
    let (grade, reason) = otherwise.ok()?;
    let clears = texts("clears").iter().filter_map(|c| grades.iter().position(|g| g == c)).collect();
    let blank = Cell { grade, reason, source: "no grade stated".to_owned(), stated: false };
    let cells = vec![vec![blank; base.catalogue.entries(columns).len()]; base.catalogue.entries(rows).len()];
    Some(Grid { id, title, rows, columns, grades, reasons, otherwise: (grade, reason), clears, cells, pack: topic.pack.name.clone() })
}

fn grade_and_reason(text: &str, grades: &[String], reasons: &[String]) -> Result<(usize, usize), (String, Option<String>)> {
    let (grade, reason) = text.split_once(' ').unwrap_or((text, ""));
    let Some(g) = grades.iter().position(|x| x == grade) else {
        return Err((format!("`{grade}` is not a grade of this grid"), words::offer(grade, grades.iter().map(String::as_str))));
    };
    let Some(r) = reasons.iter().position(|x| x == reason.trim()) else {
        let help = words::did_you_mean(reason, reasons.iter().map(String::as_str));
        return Err((format!("`{reason}` is not a reason of this grid"), help));
    };
    Ok((g, r))
}

/// A row or column of cells. A cell that is stated already stays as it is: a second word on it is refused.
fn read_line(pack: &PackInfo, keys: &Keys<'_>, across: bool, base: &mut Base, problems: &Problems) {
    let Some(grid_id) = keys.need_text(problems, "grid") else { return };
    let Some(entry) = keys.need_text(problems, "entry") else { return };
    let Some(index) = base.catalogue.grids.get_index_of(grid_id) else {
        let known: Vec<&str> = base.catalogue.grids.keys().map(String::as_str).collect();
        problems.borrow_mut().push(keys.place().error(format!("there is no grid `{grid_id}`")).maybe_help(words::offer(grid_id, known)));
        return;
    };
    let (rows, columns) = (base.catalogue.grids[index].rows, base.catalogue.grids[index].columns);
    let (own, other) = if across { (columns, rows) } else { (rows, columns) };
    let Some(own_index) = base.catalogue.find(own, entry) else {
        let help = base.catalogue.instead(own, entry);
        problems.borrow_mut().push(keys.place().error(format!("there is no {} `{entry}`", own.word())).maybe_help(help));
        return;
    };
    let source = keys.text(problems, "source").map(str::to_owned);
    let sources: IndexMap<&str, String> = keys
        .get("sources")
        .and_then(|i| i.keys("the sources of a row"))
        .map(|k| k.all().into_iter().filter_map(|(n, _, i)| Some((n, i.text()?.to_owned()))).collect())
        .unwrap_or_default();
    let Some(cells) = keys.get("cells").and_then(|i| i.keys("the cells of a row")) else {
        keys.missing(problems, "cells");
        return;
    };
    for (name, place, item) in cells.all() {
        let Some(other_index) = base.catalogue.find(other, name) else {
            let help = base.catalogue.instead(other, name);
            problems.borrow_mut().push(place.error(format!("there is no {} `{name}`", other.word())).maybe_help(help));
            continue;
        };
        // A firm grades what it brings itself; a pair of other packs keeps their `otherwise`, which asks for a trial.
        let of = |kind: EntryKind, i: usize| &base.catalogue.entries(kind)[i].pack;
        if pack.house && *of(own, own_index) != pack.name && *of(other, other_index) != pack.name {
            problems.borrow_mut().push(
                place
                    .error(format!("neither `{entry}` nor `{name}` belongs to this pack, so it cannot grade them"))
                    .help("a house pack grades its own entries; add a rule of your own to be stricter on others"),
            );
            continue;
        }
        let grid = &base.catalogue.grids[index];
        let Some(text) = item.text() else {
            problems.borrow_mut().push(item.place().error("a cell is text: \"grade reason\""));
            continue;
        };
        let (grade, reason) = match grade_and_reason(text, &grid.grades, &grid.reasons) {
            Ok(found) => found,
            Err((message, help)) => {
                problems.borrow_mut().push(item.place().error(message).maybe_help(help));
                continue;
            }
        };
        let Some(source) = sources.get(name).or(source.as_ref()).cloned() else {
            keys.missing(problems, "source");
            return;
        };
        let (row, column) = if across { (other_index, own_index) } else { (own_index, other_index) };
        let cell = &mut base.catalogue.grids[index].cells[row][column];
        if cell.stated {
            problems.borrow_mut().push(
                place
                    .error(format!("the grade of `{entry}` and `{name}` is stated already and cannot be re-graded"))
                    .help("add a rule of your own to be stricter"),
            );
            continue;
        }
        *cell = Cell { grade, reason, source, stated: true };
    }
}
