//! What editors need to complete and check: JSON Schemas of surveys and packs, and definitions of the names scripts see. All are
//! made from the rule book, so that they know its facts, choices, entries and limits.

use crate::catalogue::{AttributeKind, EntryKind};
use crate::customs::Units;
use crate::limit::Basis;
use crate::pack::{RuleBook, Ruling};
use crate::role::{AttributeRole, ChoiceRole, EntryRole, FactRole, LimitRole, Role};
use crate::vocabulary::{About, Fact, FactKind};
use serde_json::{Map, Value, json};
use std::cell::RefCell;
use std::fmt::Write as _;

const DRAFT: &str = "https://json-schema.org/draft/2020-12/schema";

/// The files: name and text.
pub fn schemas(book: &RuleBook) -> Vec<(&'static str, String)> {
    let text = |schema: &Value| serde_json::to_string_pretty(schema).unwrap_or_default() + "\n";
    vec![
        ("survey.schema.json", text(&survey(book))),
        ("pack.schema.json", text(&manifest(book))),
        ("topic.schema.json", text(&topic(book))),
        ("ovolo.d.rhai", definitions(book)),
    ]
}

/// An object with these keys and no others.
pub(super) fn object(description: &str, properties: Vec<(String, Value)>, required: &[&str]) -> Value {
    let properties: Map<String, Value> = properties.into_iter().collect();
    json!({
        "type": "object", "description": description, "properties": properties, "required": required, "additionalProperties": false
    })
}

/// Parts that are used more than once, by name.
#[derive(Default)]
struct Parts(RefCell<Map<String, Value>>);

impl Parts {
    /// Keeps a part, and gives what points at it.
    fn part(&self, name: &str, schema: impl FnOnce() -> Value) -> Value {
        if !self.0.borrow().contains_key(name) {
            // Kept only when it is made: it may hold parts of its own.
            let made = schema();
            self.0.borrow_mut().insert(name.to_owned(), made);
        }
        json!({ "$ref": format!("#/$defs/{name}") })
    }

    /// One such table, or a list of them.
    fn tables(&self, name: &str, of: Value) -> Value {
        let one = self.part(name, || of);
        json!({ "anyOf": [one, { "type": "array", "items": one }] })
    }

    /// The whole schema, with its parts.
    fn whole(self, title: &str, mut schema: Value) -> Value {
        schema["$schema"] = json!(DRAFT);
        schema["title"] = json!(title);
        let parts = self.0.into_inner();
        if !parts.is_empty() {
            schema["$defs"] = Value::Object(parts);
        }
        schema
    }
}

pub(super) fn key(name: &str, schema: Value) -> (String, Value) {
    (name.to_owned(), schema)
}

pub(super) fn text(description: &str) -> Value {
    json!({ "type": "string", "description": description })
}

pub(super) fn date(description: &str) -> Value {
    json!({ "type": "string", "description": format!("{description}: a date such as 2026-09-01") })
}

pub(super) fn flag(description: &str) -> Value {
    json!({ "type": "boolean", "description": description })
}

pub(super) fn number(description: &str) -> Value {
    json!({ "type": "number", "description": description })
}

pub(super) fn one_of(description: &str, choices: &[&str]) -> Value {
    json!({ "enum": choices, "description": description })
}

/// One text, or a list of them.
pub(super) fn texts(description: &str) -> Value {
    json!({ "description": description, "anyOf": [{ "type": "string" }, { "type": "array", "items": { "type": "string" } }] })
}

fn place() -> Value {
    text("ISO 3166 code of the place, such as GB-ENG or US-MA")
}

/// The values of a fact as they are written in a survey.
fn plain(fact: &Fact, book: &RuleBook) -> Value {
    let ids = fact.choice_ids(&book.base.catalogue);
    match &fact.kind {
        FactKind::YesNo => json!({ "enum": [true, false, "yes", "no", "true", "false"] }),
        FactKind::Number { .. } if fact.unit().dimension.is_number() => json!({ "type": ["number", "string"] }),
        FactKind::Number { .. } => json!({ "type": "string" }),
        FactKind::Year { .. } => json!({ "type": ["integer", "string"] }),
        FactKind::Choice(_) | FactKind::Entry(_) => json!({ "enum": ids }),
        FactKind::Several(_) => json!({ "anyOf": [{ "type": "array", "items": { "enum": ids } }, { "type": "string" }] }),
    }
}

/// A fact: its value alone, with how it is known, or one of several.
fn fact_value(fact: &Fact, book: &RuleBook) -> Value {
    let mut description = format!("{} {}", fact.question, fact.help).trim().to_owned();
    let unit = fact.unit();
    match &fact.kind {
        FactKind::Number { .. } if !unit.names[0].is_empty() => {
            let _ = write!(description, " A quantity with its unit, such as \"20 {0}\" or \"20 .. 30 {0}\".", unit.names[0]);
        }
        FactKind::Number { .. } => description.push_str(" A plain number, or a range such as \"2 .. 5\"."),
        FactKind::Year { .. } => description.push_str(" A year such as 1886, \"1886~\", \"188X\" or \"1880/1890\"."),
        _ => {}
    }
    let plain = plain(fact, book);
    let known = [
        key("by", text("how it is known")),
        key("on", date("since when")),
        key("note", text("a remark")),
        key("sure", flag("false: it is only thought, and counts as not known")),
    ];
    let with = |name: &str, value: Value| {
        let mut properties = vec![key(name, value)];
        properties.extend(known.iter().cloned());
        object("the value, and how it is known", properties, &[name])
    };
    json!({
        "title": fact.title,
        "description": description,
        "anyOf": [
            plain,
            with("value", plain.clone()),
            with("one-of", json!({ "type": "array", "items": plain })),
            with("has", texts("several: what holds; of the rest nothing is said")),
        ]
    })
}

fn facts(parts: &Parts, book: &RuleBook, about: About) -> Vec<(String, Value)> {
    let own = book.base.vocabulary.iter().filter(|(_, f)| f.about == about);
    own.map(|(_, f)| (f.name.clone(), parts.part(&f.id, || fact_value(f, book)))).collect()
}

/// What can be chosen with a method, by bare name.
fn chosen(parts: &Parts, book: &RuleBook) -> Vec<(String, Value)> {
    let mut all: Vec<(String, Value)> = Vec::new();
    for about in [About::Method, About::Surface, About::Site] {
        for (_, f) in book.base.vocabulary.iter().filter(|(_, f)| f.about == about && f.chosen) {
            if !all.iter().any(|(name, _)| *name == f.name) {
                all.push((f.name.clone(), parts.part(&f.id, || fact_value(f, book))));
            }
        }
    }
    all
}

fn ids(book: &RuleBook, kind: EntryKind) -> Vec<&str> {
    book.base.catalogue.ids(kind).collect()
}

fn method(parts: &Parts, book: &RuleBook) -> Value {
    parts.part("a-method", || one_of("a method of the catalogue", &ids(book, EntryKind::Method)))
}

/// One surface; `named` where it must have a name.
fn surface(parts: &Parts, book: &RuleBook, named: bool) -> Value {
    let mut coat = facts(parts, book, About::Coat);
    coat.push(key("note", text("a remark")));
    let coat = json!({ "anyOf": [{ "enum": ids(book, EntryKind::Coat) }, object("one coat", coat, &[])] });
    let patch = object(
        "a test patch",
        vec![
            key("method", method(parts, book)),
            key("thickness", text("thickness applied, such as \"3 mm\"")),
            key("dwell", text("time left on, such as \"20 min\"")),
            key("temperature", text("temperature of the surface, such as \"12 C\"")),
            key("result", one_of("what came of it", &["cleared", "part", "not"])),
            key("on", date("when")),
            key("at", text("where on the surface")),
            key("note", text("a remark")),
        ],
        &[],
    );
    let mut proposal = chosen(parts, book);
    proposal.extend([key("method", method(parts, book)), key("note", text("a remark"))]);
    let mut properties = facts(parts, book, About::Surface);
    properties.extend([
        key("name", text("a name of its own")),
        key("note", text("a remark")),
        key("coats", json!({ "type": "array", "items": coat, "description": "from the top down; [] for none" })),
        key("patch", parts.tables("patch", patch)),
        key("proposal", parts.tables("proposal", object("a method with its settings", proposal, &["method"]))),
        key("trouble", parts.tables("trouble", trouble(parts, book))),
    ]);
    object("one surface", properties, if named { &["name"] } else { &[] })
}

/// Something that went wrong with a surface.
fn trouble(parts: &Parts, book: &RuleBook) -> Value {
    let mut properties = facts(parts, book, About::Trouble);
    properties.extend([key("since", date("since when it is seen")), key("note", text("a remark"))]);
    object("something that went wrong with a surface", properties, &[])
}

/// Something that has happened.
fn incident(parts: &Parts, book: &RuleBook) -> Value {
    let mut properties = facts(parts, book, About::Incident);
    properties.extend([
        key("surface", text("the surface it is about, by name")),
        key("on", date("when it happened")),
        key("note", text("a remark")),
    ]);
    object("something that has happened", properties, &[])
}

fn survey(book: &RuleBook) -> Value {
    let made = Parts::default();
    let parts = &made;
    let head = object(
        "the survey itself",
        vec![
            key("title", text("what is surveyed")),
            key("place", place()),
            key("date", date("when it was surveyed")),
            key("starts", date("the first day of work")),
            key("surveyor", text("who surveyed")),
            key("note", text("a remark")),
        ],
        &[],
    );
    let rules: Vec<&str> = book.rules.iter().filter(|r| r.basis.can_be_departed_from()).map(|r| r.id.as_str()).collect();
    let departure = object(
        "a decision not to follow a rule; from a statute or a standard there is none",
        vec![
            key("rule", one_of("the rule", &rules)),
            key("who", text("who decided")),
            key("why", text("why")),
            key("on", date("since when")),
            key("until", date("until when")),
            key("surface", text("the surface it is limited to")),
        ],
        &["rule", "who", "why"],
    );
    let mut schema = object(
        "A survey for ovolo",
        vec![
            key("survey", head),
            key("site", object("the site", facts(parts, book, About::Site), &[])),
            key("surface", parts.tables("surface", surface(parts, book, true))),
            key("incident", parts.tables("incident", incident(parts, book))),
            key("departure", parts.tables("departure", departure)),
        ],
        &[],
    );
    schema["anyOf"] = json!([{ "required": ["surface"] }, { "required": ["incident"] }]);
    schema["properties"]["$schema"] = text("where this schema is");
    made.whole("ovolo survey", schema)
}

/// The words of all roles of a kind.
pub(super) fn words_of<R: Role>() -> Vec<&'static str> {
    R::ALL.iter().map(|r| r.word()).collect()
}

fn manifest(book: &RuleBook) -> Value {
    let packs: Vec<&str> = book.packs.iter().map(|p| p.name.as_str()).collect();
    let schema = object(
        "pack.toml: whose rules a folder holds",
        vec![
            key("name", text("kebab-case")),
            key("title", text("a heading")),
            key("version", text("changed whenever the rules change")),
            key("owner", text("whose rules they are")),
            key("house", flag("a firm's own pack: every added pack is one")),
            key("dangers", flag("what its cautions warn of can hurt people: a page names every one")),
            key("against", text("in a few words, what its rules hold against a method")),
            key("needs", json!({ "type": "array", "items": { "enum": packs }, "description": "the packs it builds on" })),
        ],
        &["name", "version", "owner"],
    );
    Parts::default().whole("ovolo pack.toml", schema)
}

/// `source`, dates and place, which much of a pack has.
fn grounds(more: Vec<(String, Value)>) -> Vec<(String, Value)> {
    let bases = Basis::ALL.map(Basis::word);
    let mut all = vec![
        key("source", text("the published source with the place in it, the id of a [[source]], \"common practice\" or \"from memory\"")),
        key("basis", one_of("how strong the ground is", &bases)),
        key("from", date("in force from")),
        key("until", date("in force up to and including")),
        key("review", date("due for re-checking on")),
    ];
    all.extend(more);
    all
}

/// Sources by place.
fn sources() -> Value {
    json!({
        "description": "the source at certain places, by ISO 3166 code: the nearest stands in place of `source`",
        "type": "object",
        "additionalProperties": { "type": "string" }
    })
}

fn topic(book: &RuleBook) -> Value {
    let made = Parts::default();
    let parts = &made;
    let limits: Vec<&str> = book.base.limits.keys().map(String::as_str).collect();
    let kinds = EntryKind::ALL.map(EntryKind::word);
    let rule = object(
        "a rule",
        grounds(vec![
            key("id", text("kebab-case; the finding, not the cure")),
            key("title", text("a short heading")),
            key("when", text("a script that gives true or false; what it sees stands in ovolo.d.rhai")),
            key("ruling", one_of("what it does when it applies", &Ruling::ALL.map(Ruling::word))),
            key("because", text("what happens, and why; {fact}, {method}, {limit} and {limit:ID} are filled in")),
            key("instead", text("what to do instead")),
            key("short", text("a short sentence for a page that has no room for the whole, without gaps")),
            key(
                "guards",
                flag("it protects people who cannot protect themselves: a page says its short sentence wherever it surely applies"),
            ),
            key("wanted", flag("of a rule-out: it turns only on what is wanted and forbids nothing")),
            key("place", texts("where it holds: ISO 3166 codes; left out = everywhere")),
            key("except", texts("where it does not hold, although it would by `place`: ISO 3166 codes")),
            key("sources", sources()),
            key("coats", one_of("whether it must apply to any coat or to every one", &["any", "every"])),
            key("released_by", text("the yes-no fact that releases a hold, such as site.consent")),
        ]),
        &["id", "when", "ruling", "because", "source"],
    );
    let presumption = object(
        "a value that a fact has until it is found",
        grounds(vec![
            key("id", text("kebab-case")),
            key("fact", text("the fact")),
            key("value", json!({ "description": "its value, or { one-of = [...] }" })),
            key("when", text("a script that gives true or false")),
            key("because", text("why it is presumed")),
            key("place", texts("where it holds")),
            key("except", texts("where it does not hold")),
            key("sources", sources()),
            key("unstated", texts("facts that must not be stated")),
            key("finding", flag("it reads what was measured or tried: its value is told as found, not as presumed")),
            key("untested", flag("its value itself says that nobody has tested; not for house packs")),
            key("asked", flag("whether it is worth a question of its own; true if left out")),
        ]),
        &["id", "fact", "value", "when", "because", "source"],
    );
    let figure = |more: Vec<(String, Value)>, required: &[&str]| {
        let mut all = vec![
            key("value", json!({ "type": ["string", "number"], "description": "the figure with its unit, such as \"400 C\"" })),
            key("place", place()),
        ];
        all.extend(more);
        object("a figure", grounds(all), required)
    };
    let limit = object(
        "a limit",
        vec![
            key("id", text("kebab-case")),
            key("title", text("as it stands in a sentence")),
            key("unit", text("the unit; \"\" for a plain number")),
            key("stricter", one_of("which direction is stricter", &["lower", "higher"])),
            key("role", one_of("what it is to the calculators", &words_of::<LimitRole>())),
            key("of", text("what it is stated for, where the role wants that: a substance")),
            key(
                "value",
                parts.tables(
                    "figure",
                    figure(
                        vec![key("borrowed", text("whose figure it is, where it is a guide taken over from elsewhere: \"a US figure\""))],
                        &["value", "source"],
                    ),
                ),
            ),
        ],
        &["id", "title", "stricter", "value"],
    );
    let tighten = figure(vec![key("limit", one_of("the limit that is made stricter", &limits))], &["limit", "value", "source"]);
    let case = object(
        "a worked case: a small survey, a method, and what must be said",
        vec![
            key("title", text("what the case is")),
            key("about", texts("the rules it is about")),
            key("place", place()),
            key("date", date("the date it is judged for")),
            key("site", object("the site", facts(parts, book, About::Site), &[])),
            key("surface", parts.tables("surface-of-a-case", surface(parts, book, false))),
            key("method", method(parts, book)),
            key("settings", object("what is chosen with the method", chosen(parts, book), &[])),
            key("says", texts("rules that must apply")),
            key("open", texts("rules that must be open")),
            key("silent", texts("rules that must not apply")),
            key("verdict", one_of("the verdict", &["suited", "suited with care", "on hold", "can't tell yet", "ruled out"])),
            key("source", text("what the expectation is checked against")),
        ],
        &["title"],
    );
    let fact = object(
        "a fact",
        vec![
            key("id", text("about.name: site, surface, coat, method, incident or trouble, and a name in snake_case")),
            key("title", text("lower case, as it stands in a sentence")),
            key("question", text("the question that asks for it")),
            key("help", text("how to find out")),
            key("kind", one_of("what it can be", &["yes-no", "number", "year", "choice", "several", "entry"])),
            key("unit", text("number: the unit; \"\" for a plain number")),
            key("range", text("number, year: what is possible, such as \"20 .. 2000 C\"")),
            key("whole", flag("number: only whole numbers")),
            key(
                "choices",
                json!({ "type": "array", "description": "choice, several: ids, or tables with id, title and says",
                    "items": { "anyOf": [{ "type": "string" }, object("a choice", vec![key("id", text("its id")), key("title", text("in a sentence")), key("says", texts("words people use")), key("role", one_of("standard packs: what it is to the engine", &words_of::<ChoiceRole>()))], &["id"])] } }),
            ),
            key("entries", one_of("entry: of which kind", &kinds)),
            key("chosen", flag("the practitioner decides")),
            key("burden", number("chosen: how much trouble it is to require it, 0.5 to 10")),
            key("effort", number("found: how much trouble it is to find out: 1 a look, 3 an instrument, 5 a laboratory")),
            key("counts", text("number: the fact whose things it counts")),
            key("shown_by", text("the fact that tells what it was found with")),
            key("weighty", flag("law hangs on it: an answer that eases is put in doubt by what is not understood behind it")),
            key("says", texts("words people use")),
            key("condition", text("chosen: how it reads as a condition; {} is what it must be")),
            key("is", text("how it reads after \"if\" that it is so; {} is the value, {coat} the coat")),
            key("is_not", text("how it reads after \"if\" that it is not so")),
            key("careful", json!({ "description": "the value that a house pack may presume", "type": ["boolean", "string"] })),
            key(
                "eases",
                json!({ "description": "the values that ask for less care: true or false, choices, a range, or \"absence\"", "type": ["boolean", "string", "array"] }),
            ),
            key("turn", json!({ "description": "when in a talk its question comes, 1 being first", "type": "integer" })),
            key("even", text("why no value asks for less care than another")),
            key("role", one_of("standard packs: what it is to the engine", &words_of::<FactRole>())),
        ],
        &["id", "title", "question", "kind"],
    );
    let source = object(
        "a published source",
        vec![
            key("id", text("kebab-case")),
            key("title", text("its title")),
            key("address", text("where it can be read")),
            key("checked", one_of("how far it was checked", &["verified", "from memory", "common practice"])),
        ],
        &["id", "title"],
    );
    let mut properties = vec![
        key("rule", parts.tables("rule", rule)),
        key("presumption", parts.tables("presumption", presumption)),
        key("limit", parts.tables("limit", limit)),
        key("tighten", parts.tables("tighten", tighten)),
        key("case", parts.tables("case", case)),
        key("fact", parts.tables("fact", fact)),
        key("source", parts.tables("source", source)),
    ];
    properties.extend(EntryKind::ALL.map(|kind| key(kind.word(), parts.tables(kind.word(), entry(book, kind)))));
    properties.extend(grid_keys(parts, book));
    properties.extend(super::schema_more::tables(book).map(|(name, table)| key(name, parts.tables(&format!("{name}-table"), table))));
    let schema = object("A topic file of a pack", properties, &[]);
    made.whole("ovolo pack, topic file", schema)
}

fn entry(book: &RuleBook, kind: EntryKind) -> Value {
    let mut properties = vec![
        key("id", text("kebab-case")),
        key("title", text("lower case, as it stands in a sentence")),
        key("says", texts("words people use")),
        key("role", one_of("standard packs: what it is to the engine", &words_of::<EntryRole>())),
        key("was", texts("ids it had before: files that still use one are told the new one")),
        key("source", text("where its description comes from")),
    ];
    let mut required = vec!["id", "title", "source"];
    for (id, attribute) in book.base.catalogue.attributes(kind) {
        properties.push((
            id.clone(),
            match &attribute.kind {
                AttributeKind::YesNo => flag(&attribute.title),
                AttributeKind::Number => number(&attribute.title),
                AttributeKind::Choice(choices) => one_of(&attribute.title, &choices.iter().map(String::as_str).collect::<Vec<_>>()),
            },
        ));
        if !matches!(attribute.kind, AttributeKind::YesNo) {
            required.push(id);
        }
    }
    if kind == EntryKind::Method {
        properties.push(key("cautions", text("the usual caution, one sentence")));
        let settable = book.base.vocabulary.iter().filter(|(_, f)| f.about == About::Method && matches!(f.kind, FactKind::Number { .. }));
        let settings = settable.map(|(_, f)| (f.name.clone(), text(&format!("{}: a range such as \"50 .. 650 C\"", f.title)))).collect();
        properties.push(key("settings", object("what can be set", settings, &[])));
    }
    object(&format!("a {} of the catalogue", kind.word()), properties, &required)
}

/// Grids, their rows and columns, attributes, places and the ranking.
fn grid_keys(parts: &Parts, book: &RuleBook) -> Vec<(String, Value)> {
    let kinds = EntryKind::ALL.map(EntryKind::word);
    let grids: Vec<&str> = book.base.catalogue.grids.keys().map(String::as_str).collect();
    let open = |description: &str| json!({ "type": "object", "description": description, "additionalProperties": { "type": "string" } });
    let line = object(
        "grades of one entry",
        vec![
            key("grid", one_of("which grid", &grids)),
            key("entry", text("the entry that is graded")),
            key("source", text("where the grades come from")),
            key("cells", open("\"grade reason\" for each entry of the other kind")),
            key("sources", open("sources of single cells")),
        ],
        &["grid", "entry", "cells"],
    );
    let grid = object(
        "a grid of grades",
        vec![
            key("id", text("snake_case; becomes a function in scripts")),
            key("title", text("in a sentence")),
            key("rows", one_of("what the rows are", &kinds)),
            key("columns", one_of("what the columns are", &kinds)),
            key("grades", texts("best first")),
            key("reasons", texts("what a cell may name as its reason")),
            key("otherwise", text("\"grade reason\" of a pair with no cell")),
            key("clears", texts("the grades that count as clearing a coat")),
        ],
        &["id", "rows", "columns", "grades", "reasons", "otherwise"],
    );
    let attribute = object(
        "a property that entries of one kind have",
        vec![
            key("of", one_of("of which kind of entry", &kinds)),
            key("id", text("snake_case")),
            key("title", text("in a sentence")),
            key("alike", flag("methods that share its value are of one kind")),
            key("kind", one_of("what it can be", &["yes-no", "choice", "number"])),
            key("choices", texts("choice: what it can be")),
            key("role", one_of("standard packs: what it is to the engine", &words_of::<AttributeRole>())),
        ],
        &["of", "id", "kind"],
    );
    let place = object(
        "a group of places, or what a place is called",
        vec![
            key("code", text("its code")),
            key("title", text("its name")),
            key("members", texts("codes of its members")),
            key("says", texts("what else people call it")),
            key("units", one_of("what people measure in there", &Units::ALL.map(Units::word))),
            key("speed", text("the unit of wind, where it goes its own way")),
        ],
        &["code"],
    );
    let ranking = object(
        "a part of the ranking",
        vec![
            key("id", text("its id")),
            key("title", text("in a sentence")),
            key("order", number("its place: the smaller counts first")),
            key("source", text("where it comes from")),
            key("ground", flag("counts only for the method that reaches the substrate")),
            key("change", number("what every change of method costs")),
            key("ahead", text("how it reads that one is better in this than others; {} stands for those")),
            key("beyond", number("how much more than the first a way may cost and still be named beside it")),
            key("grid", one_of("read from this grid", &grids)),
            key("costs", json!({ "type": "object", "description": "cost by grade", "additionalProperties": { "type": "integer" } })),
            key("reasons", json!({ "type": "object", "description": "what reasons add", "additionalProperties": { "type": "integer" } })),
            key("attribute", text("read from this number attribute of the method")),
            key("conditions", flag("read from the burden of the conditions")),
            key("bands", json!({ "type": "array", "description": "where bands end, from below", "items": { "type": "number" } })),
            key(
                "patched",
                json!({ "type": "object", "description": "what the best of its test patches adds: cleared, part, not", "additionalProperties": { "type": "integer" } }),
            ),
            key("prefers", flag("nothing where a rule prefers the method, one where none does")),
        ],
        &["id", "order", "source"],
    );
    vec![
        key("row", parts.tables("line", line.clone())),
        key("column", parts.tables("line", line)),
        key("grid", parts.tables("grid", grid)),
        key("attribute", parts.tables("attribute", attribute)),
        key("place", parts.tables("place", place)),
        key("ranking", parts.tables("ranking", ranking)),
    ]
}

/// The names that scripts see, as Rhai definitions.
fn definitions(book: &RuleBook) -> String {
    let mut out = String::from(
        "module static;\n\n// What the scripts of ovolo's packs see. A fact that is not known is never no: a rule that asks for it is open.\n",
    );
    let base = &book.base;
    for about in About::ALL {
        let _ = writeln!(out, "\n/// What can be asked of the {}:", about.word());
        for (_, f) in base.vocabulary.iter().filter(|(_, f)| f.about == about) {
            let kind = match &f.kind {
                FactKind::YesNo => "yes or no".to_owned(),
                FactKind::Number { .. } => match f.unit().names[0] {
                    "" => "a plain number".to_owned(),
                    unit => format!("compares with quantity(\"… {unit}\")"),
                },
                FactKind::Year { .. } => "a year".to_owned(),
                FactKind::Choice(_) => f.choice_ids(&base.catalogue).join(", "),
                FactKind::Several(_) => format!(".has(\"…\") of {}", f.choice_ids(&base.catalogue).join(", ")),
                FactKind::Entry(kind) => format!("a {} of the catalogue, with its attributes", kind.word()),
            };
            let _ = writeln!(out, "/// - `{}`: {} ({kind})", f.id, f.title);
        }
        if about == About::Method {
            for a in base.catalogue.attributes(EntryKind::Method).values() {
                let _ = writeln!(out, "/// - `method.{}`: {}", a.id, a.title);
            }
        }
        let _ = writeln!(out, "let {};", about.word());
    }
    out.push_str("\n/// The figure of a limit that is in force. Limits:\n");
    for (id, limit) in &base.limits {
        let _ = writeln!(out, "/// - `{id}`: {}", limit.title);
    }
    out.push_str(
        "fn limit(id: String) -> ?;\n\n/// A figure with its unit, such as quantity(\"60 min\").\nfn quantity(text: String) -> ?;\n\n\
         /// Whether a several-of fact holds a choice.\nfn has(fact, choice: String) -> bool;\n\n\
         /// The size of a number.\nfn abs(number) -> ?;\n\n/// The smaller of two numbers.\nfn min(a, b) -> ?;\n\n\
         /// The larger of two numbers.\nfn max(a, b) -> ?;\n",
    );
    for function in base.calculators() {
        let _ = writeln!(out, "\n///{}", function.means);
        for argument in function.takes.iter() {
            let kind = argument.unit().kind;
            let unit = if argument.unit.is_empty() { String::new() } else { format!(", such as quantity(\"… {}\")", argument.unit) };
            let _ = writeln!(out, "/// - `{}`: {kind}{unit}", argument.name);
        }
        let _ =
            writeln!(out, "///\n/// Gives {}. Source: {}.\nfn {} -> ?;", function.dimension().name(), function.source, function.usage());
    }
    for grid in base.catalogue.grids.values() {
        let _ = writeln!(
            out,
            "\n/// The grade of a pair: {}. Grades, best first: {}; `.reason` is one of {}.\nfn {}({}, {}) -> ?;",
            grid.title,
            grid.grades.join(", "),
            grid.reasons.join(", "),
            grid.id,
            grid.rows.word(),
            grid.columns.word()
        );
    }
    out
}
