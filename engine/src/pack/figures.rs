//! Reading the figures and remarks that calculators use.

use super::{Taken, Topic, need_source, roles, take};
use crate::figure::{Figure, Remark};
use crate::quantity::{self, Unit};
use crate::role::{FigureRole, Occasion, Role, Sentence};
use crate::script::Base;
use crate::toml_read::{Keys, Problems};
use crate::words;
use indexmap::IndexMap;

pub(super) fn read(
    topics: &[Topic<'_>],
    base: &Base,
    taken: &mut Taken,
    problems: &Problems,
) -> (IndexMap<String, Figure>, IndexMap<String, Remark>) {
    let (mut figures, mut remarks) = (IndexMap::new(), IndexMap::new());
    for topic in topics {
        for keys in topic.keys.tables(problems, "figure", "a figure") {
            let figure = figure(&topic.pack.name, &keys, base, problems);
            keys.finish(problems);
            if let Some(figure) = figure
                && take(taken, problems, "figure", &figure.id, topic.pack, &keys.place())
            {
                roles::claim_for(figure.plays.as_ref(), "figure", &figure.id, topic.pack, &keys, taken, problems);
                figures.insert(figure.id.clone(), figure);
            }
        }
        for keys in topic.keys.tables(problems, "remark", "a remark") {
            let id = keys.need_text(problems, "id");
            let says = keys.need_text(problems, "says");
            let source = need_source(&keys, problems);
            let role = roles::read::<Sentence>(&keys, problems);
            let on = occasions(&keys, role.is_some(), problems);
            keys.finish(problems);
            if let (Some(id), Some(says)) = (id, says)
                && take(taken, problems, "remark", id, topic.pack, &keys.place())
            {
                let remark = Remark { id: id.to_owned(), role, on, says: says.trim().to_owned(), source, pack: topic.pack.name.clone() };
                roles::claim(remark.role, "remark", &remark.id, topic.pack, &keys, taken, problems);
                remarks.insert(remark.id.clone(), remark);
            }
        }
    }
    (figures, remarks)
}

/// On which occasions a remark is made.
fn occasions(keys: &Keys<'_>, told: bool, problems: &Problems) -> Vec<Occasion> {
    let words = keys.texts(problems, "on");
    if words.is_empty() && !told {
        keys.missing(problems, "on");
    }
    let mut found = Vec::new();
    for (word, at) in words {
        match Occasion::find(word) {
            Some(occasion) => found.push(occasion),
            None => {
                let help = words::offer(word, Occasion::ALL.iter().map(|o| o.word()));
                problems.borrow_mut().push(at.error(format!("`{word}` is no occasion for a remark")).maybe_help(help));
            }
        }
    }
    found
}

/// `value = "3 .. 4 mm"`, `value = "3 mm"`, or a number where the unit is none.
fn figure(pack: &str, keys: &Keys<'_>, base: &Base, problems: &Problems) -> Option<Figure> {
    let id = keys.need_text(problems, "id")?;
    let title = keys.need_text(problems, "title").unwrap_or(id).to_owned();
    let unit_text = keys.text(problems, "unit").unwrap_or("");
    let source = need_source(keys, problems);
    let plays = roles::read_for(keys, base, FigureRole::of, problems);
    let unit = if unit_text.is_empty() {
        Unit::none()
    } else if let Some(unit) = quantity::find_unit(unit_text) {
        unit
    } else {
        let help = words::did_you_mean(unit_text, quantity::UNITS.iter().map(|u| u.names[0]));
        problems.borrow_mut().push(keys.place().error(format!("`{unit_text}` is not a unit")).maybe_help(help));
        return None;
    };
    let Some(item) = keys.get("value") else {
        keys.missing(problems, "value");
        return None;
    };
    let read = match (item.text(), item.number()) {
        (Some(text), _) => quantity::read_range(text, unit),
        (None, Some(n)) => quantity::read_range(&n.to_string(), unit),
        _ => Err(format!("a value is {} where a quantity or a range is wanted", item.kind()).into()),
    };
    match read {
        Ok((low, high)) => {
            Some(Figure { id: id.to_owned(), title, plays, unit, low: low.base, high: high.base, source, pack: pack.to_owned() })
        }
        Err(message) => {
            problems.borrow_mut().push(item.place().error(message));
            None
        }
    }
}
