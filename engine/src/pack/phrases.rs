//! Reading phrases: what people's words mean, per place.

use super::{PackInfo, Topic, need_source, place_code};
use crate::quantity::Unit;
use crate::role::FactRole;
use crate::script::Base;
use crate::survey::read_value;
use crate::toml_read::{Item, Keys, Problems};
use crate::vocabulary::{FactId, FactKind, Known};
use crate::words;

/// What a phrase says of a fact.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Meant {
    /// This value, written as in a survey.
    Value {
        /// What it leaves possible.
        known: Known,
        /// As it is written in a survey, a TOML value.
        toml: String,
    },
    /// What was said in the place of the slot.
    Slot,
}

/// A gap in a phrase that figures fill: `{year}`, `{number}`, `{length}` …
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Slot {
    /// A year, decade, century or span of years.
    Year,
    /// A number without a unit.
    Number,
    /// Figures with a unit of this kind of measure, as [`Unit::kind`] without its article.
    Measure(&'static str),
}

impl Slot {
    /// By the word between the braces.
    pub fn find(word: &str) -> Option<Self> {
        match word {
            "year" => Some(Self::Year),
            "number" => Some(Self::Number),
            _ => Self::measures().find(|m| *m == word).map(Self::Measure),
        }
    }

    /// The slot a unit fills.
    pub fn of(unit: &Unit) -> Option<Self> {
        let name = unit.kind.split_once(' ').map_or(unit.kind, |(_, name)| name);
        Self::find(name)
    }

    fn measures() -> impl Iterator<Item = &'static str> {
        ["length", "area", "time", "temperature", "pressure", "speed", "share"].into_iter()
    }

    fn words() -> impl Iterator<Item = &'static str> + Clone {
        ["year", "number", "length", "area", "time", "temperature", "pressure", "speed", "share"].into_iter()
    }
}

/// Words people say, and what they mean.
#[derive(Debug, Clone)]
#[expect(clippy::struct_excessive_bools, reason = "the keys of a phrase")]
#[non_exhaustive]
pub struct Phrase {
    /// The words; any of them.
    pub says: Vec<String>,
    /// Where they mean this, ISO 3166 codes; empty for everywhere.
    pub place: Vec<String>,
    /// The questions they are an answer to; empty where they may be said at any time.
    pub asked: Vec<FactId>,
    /// What they say of facts.
    pub means: Vec<(FactId, Meant)>,
    /// The kinds of coat they list, from the top down; an empty list says that there is no coat.
    pub coats: Option<Vec<(String, Known)>>,
    /// What they mean is likely and no more.
    pub likely: bool,
    /// The words say nothing unless their question was asked or the fact's name stands beside them.
    pub plain: bool,
    /// Whether it names what can be relied on to tell something: an instrument, a laboratory, a paper. What anybody else is
    /// said to have said is hearsay.
    pub witness: bool,
    /// Whether the words name only a part of what their fact is about, so that denying them denies no more than that part.
    pub narrow: bool,
    /// Whether the words are what a question put to the program is about: they say nothing in an answer, and `remark` answers it.
    pub question: bool,
    /// Whether the words name a danger or a worth that no fact takes in: they are kept as a note, so that they are not lost.
    pub kept: bool,
    /// What to say back.
    pub remark: Option<String>,
    /// What is not taken of a fact in the same line: a value that leaves no more than this.
    pub does_not_settle: Vec<(FactId, Known)>,
    /// Where it comes from.
    pub source: String,
    /// The pack that holds it.
    pub pack: String,
    /// Whether that is a firm's own pack.
    pub house: bool,
}

impl Phrase {
    /// Whether it has more to say of its words than that they are narrow or plain.
    pub(crate) fn says_something(&self) -> bool {
        !self.means.is_empty() || self.coats.is_some() || self.remark.is_some() || !self.does_not_settle.is_empty() || self.witness
    }
}

pub(super) fn read(topics: &[Topic<'_>], base: &Base, problems: &Problems) -> Vec<Phrase> {
    let mut phrases = Vec::new();
    for topic in topics {
        for keys in topic.keys.tables(problems, "phrase", "a phrase") {
            phrases.push(phrase(&keys, topic.pack, base, problems));
            keys.finish(problems);
        }
    }
    phrases
}

fn phrase(keys: &Keys<'_>, pack: &PackInfo, base: &Base, problems: &Problems) -> Phrase {
    let fault = |message: String, help: Option<String>| problems.borrow_mut().push(keys.place().error(message).maybe_help(help));
    let says: Vec<String> = keys.texts(problems, "says").iter().map(|(t, _)| (*t).to_owned()).collect();
    if says.iter().all(|s| s.trim().is_empty()) {
        fault("a phrase has no `says`".to_owned(), Some("give the words people use, such as says = [\"edwardian\"]".to_owned()));
    }
    let mut place = Vec::new();
    for (code, at) in keys.texts(problems, "place") {
        if let Err((message, help)) = place_code(code) {
            problems.borrow_mut().push(at.error(message).maybe_help(help));
        }
        place.push(code.to_owned());
    }
    let asked = keys.texts(problems, "asked").into_iter().filter_map(|(id, at)| find(id, base, &at, problems)).collect();
    let slot = slot(keys, problems);
    let mut means = Vec::new();
    let mut coats = None;
    if let Some(table) = keys.get("means").and_then(|i| i.keys("`means`")) {
        for (id, at, item) in table.all() {
            if id == "coats" {
                coats = read_coats(item, base, problems);
                continue;
            }
            let Some(fact) = find(id, base, &at, problems) else { continue };
            if item.text() == Some("{}") {
                check_slot(slot, fact, base, item, problems);
                means.push((fact, Meant::Slot));
            } else if let Some(stated) = read_value(item, fact, base, problems) {
                means.push((fact, Meant::Value { known: stated.known, toml: item.written().to_owned() }));
            }
        }
    }
    let mut does_not_settle = Vec::new();
    if let Some(table) = keys.get("does_not_settle").and_then(|i| i.keys("`does_not_settle`")) {
        for (id, at, item) in table.all() {
            if let Some(fact) = find(id, base, &at, problems)
                && let Some(stated) = read_value(item, fact, base, problems)
            {
                does_not_settle.push((fact, stated.known));
            }
        }
    }
    let likely = keys.flag(problems, "likely").unwrap_or(false);
    let plain = keys.flag(problems, "plain").unwrap_or(false);
    let witness = keys.flag(problems, "witness").unwrap_or(false);
    let narrow = keys.flag(problems, "narrow").unwrap_or(false);
    let question = keys.flag(problems, "question").unwrap_or(false);
    let kept = keys.flag(problems, "kept").unwrap_or(false);
    let remark = keys.text(problems, "remark").map(str::to_owned);
    let source = need_source(keys, problems);
    let phrase = Phrase {
        says,
        place,
        asked,
        means,
        coats,
        likely,
        plain,
        witness,
        narrow,
        question,
        kept,
        remark,
        does_not_settle,
        source,
        pack: pack.name.clone(),
        house: pack.house,
    };
    if !phrase.says_something() && !phrase.plain && !phrase.narrow {
        fault("a phrase says nothing".to_owned(), Some("give `means`, `remark` or `plain = true`".to_owned()));
    }
    if phrase.question && (phrase.remark.is_none() || !phrase.means.is_empty() || phrase.coats.is_some()) {
        fault("a question has its answer and means nothing".to_owned(), Some("give `remark`, and no `means`".to_owned()));
    }
    if phrase.kept && (phrase.question || phrase.remark.is_none()) {
        fault("words that are kept as a note have no remark".to_owned(), Some("give `remark`, which is said back".to_owned()));
    }
    if let Some((message, help)) = pack.house.then(|| beyond_a_house(&phrase, base)).flatten() {
        fault(message.to_owned(), Some(help.to_owned()));
    }
    phrase
}

/// What a phrase of a firm's own pack would take from what people say without anybody being asked back; what it *means* on the
/// easy side is asked back about at the prompt.
fn beyond_a_house(phrase: &Phrase, base: &Base) -> Option<(&'static str, &'static str)> {
    let keeps = |(fact, known): &(FactId, Known)| !base.vocabulary.get(*fact).eased_by(known);
    if phrase.witness {
        Some(("a house pack names no witness", "whose word counts is for the standard packs; leave `witness` out"))
    } else if phrase.narrow {
        Some(("a house pack narrows no words", "they may be all that is said of a matter; leave `narrow` out"))
    } else if phrase.plain {
        Some(("a house pack makes no words plain", "they may say something that has to be heard; leave `plain` out"))
    } else if phrase.coats.as_ref().is_some_and(Vec::is_empty) {
        Some(("a house pack has no words for bare", "no paint lifts more than anything; the standard packs have words for it"))
    } else if phrase.does_not_settle.iter().any(keeps) {
        Some(("a house pack takes nothing back that asks for more care", "`does_not_settle` may hold only values that ask for less"))
    } else if phrase.says.iter().any(|s| s.trim().starts_with('{') && s.trim().ends_with('}')) {
        Some(("a house pack says nothing of figures alone", "put words beside the gap, such as says = [\"{length} on the gauge\"]"))
    } else {
        None
    }
}

fn find(id: &str, base: &Base, at: &crate::toml_read::Place, problems: &Problems) -> Option<FactId> {
    let found = base.vocabulary.find(id);
    if found.is_none() {
        let ids = base.vocabulary.iter().map(|(_, f)| f.id.as_str());
        problems.borrow_mut().push(at.error(format!("`{id}` is not a fact")).maybe_help(words::did_you_mean(id, ids)));
    }
    found
}

fn read_coats(item: Item<'_>, base: &Base, problems: &Problems) -> Option<Vec<(String, Known)>> {
    let kind = base.vocabulary.with(FactRole::Kind)?;
    let Some(items) = item.items() else {
        problems.borrow_mut().push(item.place().error("`coats` is not a list").help("list the kinds from the top down, [] for none"));
        return None;
    };
    Some(items.into_iter().filter_map(|i| read_value(i, kind, base, problems).map(|s| (i.written().to_owned(), s.known))).collect())
}

/// The slot the words hold; all of them hold the same one, or none does.
fn slot(keys: &Keys<'_>, problems: &Problems) -> Option<Slot> {
    let mut found: Option<Slot> = None;
    for (i, (text, at)) in keys.texts(problems, "says").into_iter().enumerate() {
        let names: Vec<&str> = text.split('{').skip(1).filter_map(|p| p.split_once('}').map(|(n, _)| n)).collect();
        let fault = |message: String, help: Option<String>| problems.borrow_mut().push(at.error(message).maybe_help(help));
        if names.len() > 1 {
            fault(format!("`{text}` has more than one gap for figures"), None);
            continue;
        }
        let slot = match names.first() {
            None => None,
            Some(name) => {
                let slot = Slot::find(name);
                if slot.is_none() {
                    fault(format!("`{{{name}}}` is not a kind of figures"), words::offer(name, Slot::words()));
                    continue;
                }
                slot
            }
        };
        if i > 0 && slot != found {
            fault("the words of one phrase hold different gaps for figures".to_owned(), Some("write a phrase for each".to_owned()));
        }
        found = slot;
    }
    found
}

fn check_slot(slot: Option<Slot>, fact: FactId, base: &Base, item: Item<'_>, problems: &Problems) {
    let fact = base.vocabulary.get(fact);
    let fits = match (slot, &fact.kind) {
        (Some(Slot::Year), FactKind::Year { .. }) => true,
        // A bare number of a measured fact is taken in the unit it is thought in, as its instrument gives it.
        (Some(Slot::Number), FactKind::Number { .. }) => true,
        (Some(slot @ Slot::Measure(_)), FactKind::Number { unit, .. }) => Slot::of(unit) == Some(slot),
        _ => false,
    };
    if !fits {
        let help = match slot {
            None => "put a gap such as {number} or {length} into every one of `says`".to_owned(),
            Some(_) => format!("`{}` takes figures of another kind", fact.id),
        };
        problems.borrow_mut().push(item.place().error("nothing that fits stands for {} in the words").help(help));
    }
}
