//! Reading facts, places and sources.

use super::roles::Cast;
use super::{PlaceName, Source, Taken, Topic, roles, take};
use crate::catalogue::EntryKind;
use crate::customs::{Custom, Customs, Units};
use crate::quantity::{self, Unit};
use crate::reach::Reach;
use crate::role::{ChoiceRole, FactRole, Role};
use crate::script::Base;
use crate::toml_read::{Item, Keys, Problems};
use crate::vocabulary::{About, Choice, Eases, Fact, FactId, FactKind, Known, MOST_CHOICES, Reads, flag};
use crate::words;
use indexmap::IndexMap;

pub(super) fn read_places_and_sources(
    topics: &[Topic<'_>],
    places: &mut IndexMap<String, Vec<String>>,
    names: &mut Vec<PlaceName>,
    sources: &mut IndexMap<String, Source>,
    customs: &mut Customs,
    taken: &mut Taken,
    problems: &Problems,
) {
    for topic in topics {
        for keys in topic.keys.tables(problems, "place", "a place") {
            let Some(code) = keys.need_text(problems, "code") else { continue };
            let title = keys.text(problems, "title").unwrap_or(code).to_owned();
            let says = keys.texts(problems, "says").iter().map(|(t, _)| (*t).to_owned()).collect();
            let custom = custom(&keys, problems);
            let members: Vec<String> = keys.texts(problems, "members").iter().map(|(t, _)| (*t).to_owned()).collect();
            keys.finish(problems);
            if take(taken, problems, "place", code, topic.pack, &keys.place()) {
                if let Some(custom) = custom {
                    customs.places.insert(code.to_owned(), custom);
                }
                if members.is_empty() {
                    names.push(PlaceName { code: code.to_owned(), title, says });
                } else {
                    places.insert(code.to_owned(), members);
                }
            }
        }
        for keys in topic.keys.tables(problems, "source", "a source") {
            let Some(id) = keys.need_text(problems, "id") else { continue };
            let title = keys.need_text(problems, "title").unwrap_or(id).to_owned();
            let address = keys.text(problems, "address").map(str::to_owned);
            let checked = keys.text(problems, "checked").unwrap_or("from memory").to_owned();
            if !matches!(checked.as_str(), "verified" | "from memory" | "common practice") {
                problems.borrow_mut().push(
                    keys.place()
                        .error(format!("`checked` is \"{checked}\""))
                        .help("one of \"verified\", \"from memory\" or \"common practice\""),
                );
            }
            keys.finish(problems);
            // The same document may be listed by several packs; the first one's wording stands.
            sources.entry(id.to_owned()).or_insert(Source {
                title,
                address,
                checked,
                pack: topic.pack.name.clone(),
                declared: keys.place(),
            });
        }
    }
}

/// What people measure in there, where a place says so.
fn custom(keys: &Keys<'_>, problems: &Problems) -> Option<Custom> {
    let units = keys.text(problems, "units").map(|word| {
        Units::ALL.into_iter().find(|u| u.word() == word).unwrap_or_else(|| {
            let place = keys.get("units").map_or_else(|| keys.place(), |i| i.place());
            let help = words::offer(word, Units::ALL.map(Units::word));
            problems.borrow_mut().push(place.error(format!("`{word}` are no units that people use")).maybe_help(help));
            Units::default()
        })
    });
    let speed = keys.text(problems, "speed").and_then(|word| {
        let metre_a_second = quantity::find_unit("m/s").map(|u| u.dimension);
        let found = quantity::find_unit(word).filter(|u| Some(u.dimension) == metre_a_second);
        if found.is_none() {
            let place = keys.get("speed").map_or_else(|| keys.place(), |i| i.place());
            problems.borrow_mut().push(place.error(format!("`{word}` is not a unit of speed")));
        }
        found
    });
    (units.is_some() || speed.is_some()).then(|| Custom { units: units.unwrap_or_default(), speed })
}

pub(super) fn read(topics: &[Topic<'_>], base: &mut Base, taken: &mut Taken, problems: &Problems) {
    for topic in topics {
        for keys in topic.keys.tables(problems, "fact", "a fact") {
            if let Some(fact) = fact(topic, &keys, problems)
                && apart_from_attributes(&fact, base, &keys, problems)
                && take(taken, problems, "fact", &fact.id.clone(), topic.pack, &keys.place())
            {
                roles::claim(fact.role, "fact", &fact.id, topic.pack, &keys, taken, problems);
                base.vocabulary.add(fact);
            }
            keys.finish(problems);
        }
    }
    // What a fact says of another can only be checked when all are there.
    for topic in topics {
        for keys in topic.keys.tables(problems, "fact", "a fact") {
            let Some(id) = keys.text(problems, "id") else { continue };
            if let Some(counted) = another(&keys, "counts", base, problems) {
                base.vocabulary.set_counts(id, counted);
            }
            if let Some(by) = another(&keys, "shown_by", base, problems) {
                let about = |f: FactId| base.vocabulary.get(f).about;
                if base.vocabulary.find(id).is_some_and(|f| about(f) != about(by)) {
                    let place = keys.get("shown_by").map_or_else(|| keys.place(), |i| i.place());
                    let fault = place.error(format!("`{id}` cannot be shown by a fact of something else"));
                    problems.borrow_mut().push(fault.help("name a fact of the same site, surface or coat"));
                } else {
                    base.vocabulary.set_shown_by(id, by);
                }
            }
        }
    }
}

/// The fact that a key of another fact names.
fn another(keys: &Keys<'_>, key: &str, base: &Base, problems: &Problems) -> Option<FactId> {
    let named = keys.text(problems, key)?;
    let found = base.vocabulary.find(named);
    if found.is_none() {
        let ids = base.vocabulary.iter().map(|(_, f)| f.id.as_str());
        let place = keys.get(key).map_or_else(|| keys.place(), |i| i.place());
        problems.borrow_mut().push(place.error(format!("`{named}` is not a fact")).maybe_help(words::did_you_mean(named, ids)));
    }
    found
}

/// A fact of the method is asked for like an attribute of its entry, so the two cannot share a name.
fn apart_from_attributes(fact: &Fact, base: &Base, keys: &Keys<'_>, problems: &Problems) -> bool {
    let taken = fact.about == About::Method && base.catalogue.attributes(EntryKind::Method).contains_key(&fact.name);
    if taken {
        problems.borrow_mut().push(
            keys.place()
                .error(format!("`{}` is an attribute of methods already and cannot be a fact too", fact.id))
                .help("take another name"),
        );
    }
    !taken
}

/// Reports facts whose names are words of the script language: no rule could read them.
pub(super) fn can_be_asked_for(base: &Base, problems: &Problems) {
    let can = crate::script::can_be_asked_for();
    for (_, fact) in base.vocabulary.iter().filter(|(_, f)| !can(&f.name)) {
        let error = fact.declared.error(format!("`{}` is a word of the script language, so no rule could read `{}`", fact.name, fact.id));
        problems.borrow_mut().push(error.help(format!("take another name, such as `{}.is_{}`", fact.about.word(), fact.name)));
    }
}

/// The turn of questions that say nothing of it.
const LAST_TURN: u8 = 9;

fn fact(topic: &Topic<'_>, keys: &Keys<'_>, problems: &Problems) -> Option<Fact> {
    let id = keys.need_text(problems, "id")?;
    let parts = id.split_once('.').and_then(|(a, n)| Some((About::ALL.into_iter().find(|x| x.word() == a)?, n)));
    let name_is_right = |n: &str| {
        n.starts_with(|c: char| c.is_ascii_lowercase()) && n.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_')
    };
    let Some((about, name)) = parts.filter(|(_, n)| name_is_right(n)) else {
        problems.borrow_mut().push(
            keys.place()
                .error(format!("`{id}` is not the id of a fact"))
                .help("write site.…, surface.…, coat.…, method.…, incident.… or trouble.… and a name in snake_case"),
        );
        return None;
    };
    let title = keys.need_text(problems, "title").unwrap_or(name).to_owned();
    let question = keys.need_text(problems, "question").unwrap_or("").to_owned();
    let help = keys.text(problems, "help").unwrap_or("").to_owned();
    let chosen = keys.flag(problems, "chosen").unwrap_or(about == About::Method);
    let burden = keys.number(problems, "burden").unwrap_or(1.0).max(0.0);
    let effort = keys.number(problems, "effort").unwrap_or(1.0).clamp(0.1, 100.0);
    let turn = keys.number(problems, "turn").map_or(LAST_TURN, |t| t.clamp(1.0, f64::from(LAST_TURN)) as u8);
    let says = keys.texts(problems, "says").iter().map(|(t, _)| (*t).to_owned()).collect();
    let condition = keys.text(problems, "condition").map(str::to_owned);
    let said = |key: &str| keys.text(problems, key).map(str::to_owned);
    let reads = Reads { is: said("is"), is_not: said("is_not") };
    let _ = (keys.get("counts"), keys.get("shown_by"));
    let kind = kind(keys, problems)?;
    let careful = careful(keys, &kind, problems);
    let eases = eases(keys, &kind, problems);
    let role = roles::read::<FactRole>(keys, problems);
    if let Some(role) = role {
        if about != roles::about(role) || !role.fits(&kind) {
            roles::unfit(keys, role.word(), &format!("a {} fact of the {}", role.kind(), roles::about(role).word()), problems);
            return None;
        }
        roles::choices_play(keys, role, &kind, problems);
    }
    Some(Fact {
        id: id.to_owned(),
        about,
        name: name.to_owned(),
        title,
        question,
        help,
        kind,
        chosen,
        burden,
        effort,
        says,
        condition,
        reads,
        counts: None,
        shown_by: None,
        weighty: keys.flag(problems, "weighty").unwrap_or(false),
        careful,
        eases,
        turn,
        role,
        pack: topic.pack.name.clone(),
        declared: keys.place(),
        slot: 0,
    })
}

/// The value that is careful to presume.
fn careful(keys: &Keys<'_>, kind: &FactKind, problems: &Problems) -> Option<Known> {
    let item = keys.get("careful")?;
    let bit = match kind {
        FactKind::YesNo => item.flag().map(usize::from),
        FactKind::Choice(choices) => item.text().and_then(|t| choices.iter().position(|c| c.id == t)),
        _ => None,
    };
    if bit.is_none() {
        problems
            .borrow_mut()
            .push(item.place().error("`careful` is no value of the fact").help("one of its choices, or true or false for a yes-no fact"));
    }
    bit.map(|bit| Known::Bits(1 << bit))
}

/// Which values ask for less care.
fn eases(keys: &Keys<'_>, kind: &FactKind, problems: &Problems) -> Eases {
    if let Some(why) = keys.text(problems, "even") {
        return Eases::Neither(why.to_owned());
    }
    let Some(item) = keys.get("eases") else { return Eases::Undeclared };
    let found = match kind {
        FactKind::YesNo => item.flag().map(|yes| Eases::Choices(if yes { flag::YES } else { flag::NO })),
        FactKind::Choice(choices) => {
            let bit = |id: &str| choices.iter().position(|c| c.id == id).map(|i| 1_u128 << i);
            let ids: Option<Vec<&str>> = item.items().map_or_else(|| item.text().map(|t| vec![t]), |l| l.iter().map(Item::text).collect());
            let bits: Option<Vec<u128>> = ids.map(|l| l.into_iter().filter_map(bit).collect::<Vec<_>>()).filter(|l| !l.is_empty());
            bits.map(|l| Eases::Choices(l.into_iter().fold(0, |a, b| a | b)))
        }
        FactKind::Several(_) => item.text().filter(|t| *t == "absence").map(|_| Eases::Absence),
        FactKind::Number { unit, .. } => {
            item.text().and_then(|t| quantity::read_range(t, unit).ok()).map(|(a, b)| Eases::Numbers(Reach::closed(a.base, b.base)))
        }
        FactKind::Year { .. } => {
            item.text().and_then(|t| quantity::read_range(t, Unit::none()).ok()).map(|(a, b)| Eases::Numbers(Reach::closed(a.base, b.base)))
        }
        FactKind::Entry(_) => None,
    };
    found.unwrap_or_else(|| {
        problems.borrow_mut().push(
            item.place()
                .error("`eases` names no values of the fact")
                .help("true or false, one or more of its choices, a range of numbers or years, or \"absence\" where several can be there"),
        );
        Eases::Undeclared
    })
}

fn kind(keys: &Keys<'_>, problems: &Problems) -> Option<FactKind> {
    let word = keys.need_text(problems, "kind")?;
    let place = keys.get("kind").map_or_else(|| keys.place(), |i| i.place());
    let fault = |message: String| problems.borrow_mut().push(keys.place().error(message));
    Some(match word {
        "yes-no" => FactKind::YesNo,
        "number" => {
            let text = keys.text(problems, "unit").unwrap_or("");
            let unit = if text.is_empty() {
                Unit::none()
            } else if let Some(unit) = quantity::find_unit(text) {
                unit
            } else {
                fault(format!("`{text}` is not a unit"));
                return None;
            };
            let range = match keys.text(problems, "range") {
                Some(range) => match quantity::read_range(range, unit) {
                    Ok((low, high)) => Reach::closed(low.base, high.base),
                    Err(e) => {
                        fault(e.into());
                        return None;
                    }
                },
                None => Reach::all(),
            };
            FactKind::Number { unit, range, whole: keys.flag(problems, "whole").unwrap_or(false) }
        }
        "year" => {
            let range = match keys.text(problems, "range").map(|r| quantity::read_range(r, Unit::none())) {
                Some(Ok((low, high))) => Reach::closed(low.base, high.base),
                Some(Err(e)) => {
                    fault(e.into());
                    return None;
                }
                None => Reach::closed(crate::year::YEARS.0, crate::year::YEARS.1),
            };
            FactKind::Year { range }
        }
        "choice" | "several" => {
            let choices = choices(keys, problems)?;
            if word == "choice" { FactKind::Choice(choices) } else { FactKind::Several(choices) }
        }
        "entry" => {
            let of = keys.need_text(problems, "entries")?;
            if let Some(kind) = EntryKind::find(of) {
                FactKind::Entry(kind)
            } else {
                fault(format!("`{of}` is not a kind of catalogue entry"));
                return None;
            }
        }
        other => {
            let known = ["yes-no", "number", "year", "choice", "several", "entry"];
            problems.borrow_mut().push(place.error(format!("`{other}` is not a kind of fact")).maybe_help(words::offer(other, known)));
            return None;
        }
    })
}

fn choices(keys: &Keys<'_>, problems: &Problems) -> Option<Vec<Choice>> {
    let Some(items) = keys.get("choices").and_then(|i| i.items()) else {
        keys.missing(problems, "choices");
        return None;
    };
    let mut choices: Vec<Choice> = Vec::new();
    for item in items {
        let choice = if let Some(id) = item.text() {
            Choice { id: id.to_owned(), title: id.replace('-', " "), says: Vec::new(), role: None }
        } else {
            let keys = item.keys("a choice")?;
            let id = keys.need_text(problems, "id")?.to_owned();
            let title = keys.text(problems, "title").map_or_else(|| id.replace('-', " "), str::to_owned);
            let says = keys.texts(problems, "says").iter().map(|(t, _)| (*t).to_owned()).collect();
            let role = roles::read::<ChoiceRole>(&keys, problems);
            keys.finish(problems);
            Choice { id, title, says, role }
        };
        if choices.iter().any(|c| c.id == choice.id) {
            problems.borrow_mut().push(item.place().error(format!("the choice `{}` stands twice", choice.id)));
        } else {
            choices.push(choice);
        }
    }
    if choices.len() > MOST_CHOICES {
        problems.borrow_mut().push(keys.place().error(format!("a fact can have {MOST_CHOICES} choices at most")));
        return None;
    }
    Some(choices)
}
