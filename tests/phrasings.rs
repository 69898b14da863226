//! What people say, and what must be understood of it: `tests/phrasings/*.toml`, one `[[row]]` one test.
//!
//! | key | meaning |
//! | --- | --- |
//! | `said` | the line |
//! | `asked`, `place`, `system` (`"metric"`, `"us"`), `listed` (coats), `year` | what surrounds it; the year is 2026 if left out |
//! | `means` | fact to value, as in a survey: exactly these facts are stated, each with one reading |
//! | `asks-back` | fact to a list of values: the readings, likeliest first |
//! | `unsure` | facts the speaker was not sure of; of all others he was |
//! | `stack` | the coats from the top, each fact to value |
//! | `not-known` | facts nobody knows; `""` where none was named |
//! | `remark` | a part of what is said back |
//! | `echo` | fact to how it reads back |
//! | `unheard` | the parts nothing was made of; nothing if left out, `"any"` where it does not matter |
//! | `not-certain` | facts that may be left out or doubted but not stated for certain; nothing else is looked at in such a row |
//! | `of-coat` | fact to the coat it is about, from the top, the first being 0 |

use crate::support::{book, files_in, root};
use libtest_mimic::{Failed, Trial};
use ovolo_engine::answer::{Context, Heard, Listener, Reading, Said, Statement};
use ovolo_engine::diagnostic::SourceFile;
use ovolo_engine::quantity::System;
use ovolo_engine::survey::Survey;
use ovolo_engine::vocabulary::{About, FactId, Known};
use std::collections::BTreeMap;
use std::sync::OnceLock;
use toml::{Table, Value};

fn listener() -> &'static Listener<'static> {
    static LISTENER: OnceLock<Listener<'static>> = OnceLock::new();
    LISTENER.get_or_init(|| Listener::new(book()))
}

/// One test for each row.
pub(crate) fn trials() -> Vec<Trial> {
    files_in(&root().join("tests/phrasings"), ".toml")
        .into_iter()
        .flat_map(|path| {
            let topic = path.file_stem().expect("a name").to_string_lossy().into_owned();
            let table: Table = std::fs::read_to_string(&path).expect("text").parse().expect("TOML");
            let rows = table["row"].as_array().expect("[[row]]").clone();
            rows.into_iter().map(move |row| {
                let row = row.as_table().expect("a row").clone();
                let about: Vec<&str> = ["asked", "place", "system"].into_iter().filter_map(|k| row.get(k)?.as_str()).collect();
                let name = format!("phrasing::{topic}::{} {}", row["said"].as_str().expect("said"), about.join(" "));
                Trial::test(name.trim_end().to_owned(), move || tried(&row))
            })
        })
        .collect()
}

fn fact(id: &str) -> Result<FactId, Failed> {
    book().base.vocabulary.find(id).ok_or_else(|| format!("the row names no fact: `{id}`").into())
}

fn name(id: FactId) -> String {
    book().base.vocabulary.get(id).id.clone()
}

/// Reads a value of a fact back from a survey that holds nothing else.
fn from_survey(id: FactId, toml: &str) -> Result<Known, String> {
    let fact = book().base.vocabulary.get(id);
    let line = format!("{} = {toml}", fact.name);
    let text = match fact.about {
        _ if fact.about == About::Method => format!("[[surface]]\nname = \"s\"\n[[surface.proposal]]\nmethod = \"hot-air\"\n{line}"),
        About::Site => format!("[site]\n{line}\n[[surface]]\nname = \"s\""),
        About::Surface => format!("[[surface]]\nname = \"s\"\n{line}"),
        About::Incident => format!("[[surface]]\nname = \"s\"\n[[incident]]\n{line}"),
        About::Trouble => format!("[[surface]]\nname = \"s\"\n[[surface.trouble]]\n{line}"),
        _ => format!("[[surface]]\nname = \"s\"\ncoats = [{{ {line} }}]"),
    };
    let file = SourceFile::new("answer.toml", text.clone());
    let (survey, _) = Survey::read(&file, book()).map_err(|p| format!("`{line}` is refused: {}", p.diagnostics()[0]))?;
    let surface = &survey.surfaces[0];
    let facts = match fact.about {
        About::Site => &survey.site,
        About::Surface => &surface.facts,
        About::Coat => &surface.coats.as_ref().ok_or("no coat")?[0],
        About::Method => &surface.proposals[0].settings,
        About::Incident => &survey.incidents[0].facts,
        About::Trouble => &surface.troubles[0].facts,
    };
    facts.get(&id).map(|s| s.known.clone()).ok_or_else(|| format!("`{text}` states nothing"))
}

fn tried(row: &Table) -> Result<(), Failed> {
    let text = |key: &str| row.get(key).and_then(Value::as_str);
    let number = |key: &str| row.get(key).and_then(Value::as_integer);
    let known = [
        "said",
        "asked",
        "place",
        "system",
        "listed",
        "year",
        "means",
        "asks-back",
        "unsure",
        "stack",
        "not-known",
        "remark",
        "echo",
        "unheard",
        "of-coat",
        "not-certain",
    ];
    if let Some(key) = row.keys().find(|k| !known.contains(&k.as_str())) {
        return Err(format!("a row has no key `{key}`").into());
    }
    let said = text("said").ok_or("a row says nothing")?;
    let context = Context {
        place: text("place").map(str::to_owned),
        system: text("system").map(|s| if s == "us" { System::Us } else { System::Metric }),
        asked: text("asked").map(fact).transpose()?,
        coats: number("listed").map(|n| usize::try_from(n).expect("a count")),
        year: Some(number("year").map_or(2026, |y| i32::try_from(y).expect("a year"))),
    };
    let heard = listener().hear(said, &context);
    let wrong = compare(row, said, &heard)?;
    if wrong.is_empty() { Ok(()) } else { Err(format!("{}\nheard: {}", wrong.join("\n"), shown(&heard, said)).into()) }
}

fn compare(row: &Table, said: &str, heard: &Heard) -> Result<Vec<String>, Failed> {
    let mut wrong = Vec::new();
    let table = |key: &str| row.get(key).and_then(Value::as_table).cloned().unwrap_or_default();
    let list = |key: &str| -> Vec<String> {
        let items = row.get(key).and_then(Value::as_array).cloned().unwrap_or_default();
        items.iter().filter_map(Value::as_str).map(str::to_owned).collect()
    };
    if row.contains_key("not-certain") {
        let certain = |s: &Statement| s.unread.is_empty() && s.readings.len() == 1 && s.readings[0].sure;
        for said in &heard.said {
            let statements: Vec<&Statement> = match said {
                Said::Fact(s) => vec![s],
                Said::Coats(c) => c.iter().flatten().collect(),
                _ => Vec::new(),
            };
            for s in statements.into_iter().filter(|s| certain(s)) {
                if list("not-certain").contains(&name(s.fact)) {
                    wrong.push(format!("{} is stated for certain", name(s.fact)));
                }
            }
        }
        for id in list("not-certain") {
            fact(&id)?;
        }
        return Ok(wrong);
    }
    let mut wanted: BTreeMap<String, Vec<Known>> = BTreeMap::new();
    for (id, value) in table("means") {
        wanted.insert(id.clone(), vec![from_survey(fact(&id)?, &value.to_string())?]);
    }
    for (id, values) in table("asks-back") {
        let values = values.as_array().ok_or("`asks-back` holds lists")?;
        let read: Result<Vec<Known>, String> = values.iter().map(|v| from_survey(fact(&id).expect("a fact"), &v.to_string())).collect();
        wanted.insert(id.clone(), read?);
    }
    let (mut found, mut stack, mut remarks, mut not_known) = (BTreeMap::new(), None, Vec::new(), Vec::new());
    for one in &heard.said {
        match one {
            Said::Fact(s) => {
                readable(s, &mut wrong);
                found.insert(name(s.fact), s);
            }
            Said::Coats(coats) => stack = Some(coats),
            Said::NotKnown { fact, .. } => not_known.push(fact.map(name).unwrap_or_default()),
            Said::Remark { says, .. } => remarks.push(says.as_str()),
        }
    }
    let values: BTreeMap<String, Vec<Known>> =
        found.iter().map(|(id, s)| (id.clone(), s.readings.iter().map(|r| r.known.clone()).collect())).collect();
    if values != wanted {
        wrong.push(format!("wanted {:?}", wanted.keys().collect::<Vec<_>>()));
    }
    let mut unsure: Vec<String> = found.iter().filter(|(_, s)| s.readings.iter().any(|r| !r.sure)).map(|(id, _)| id.clone()).collect();
    if let Some(coats) = stack {
        for statement in coats.iter().flatten().filter(|s| s.readings.iter().any(|r| !r.sure)) {
            unsure.push(name(statement.fact));
        }
    }
    unsure.sort();
    unsure.dedup();
    let mut wanted_unsure = list("unsure");
    wanted_unsure.sort();
    if unsure != wanted_unsure {
        wrong.push(format!("unsure of {unsure:?}, not of {wanted_unsure:?}"));
    }
    compare_stack(row, stack, &mut wrong)?;
    if not_known != list("not-known") {
        wrong.push(format!("not known: {not_known:?}"));
    }
    match row.get("remark").and_then(Value::as_str) {
        Some(part) if !remarks.iter().any(|r| r.contains(part)) => wrong.push(format!("`{part}` is not said back")),
        _ => {}
    }
    let unheard: Vec<&str> = heard.unheard.iter().map(|at| &said[at.clone()]).collect();
    if row.get("unheard").and_then(Value::as_str) != Some("any") && unheard != list("unheard") {
        wrong.push(format!("unheard: {unheard:?}"));
    }
    for (id, echo) in table("echo") {
        if found.get(&id).map(|s| s.readings[0].echo.as_str()) != echo.as_str() {
            wrong.push(format!("`{id}` does not read back as {echo}"));
        }
    }
    for (id, coat) in table("of-coat") {
        if found.get(&id).and_then(|s| s.coat) != coat.as_integer().map(|c| usize::try_from(c).expect("a count")) {
            wrong.push(format!("`{id}` is not of coat {coat}"));
        }
    }
    Ok(wrong)
}

fn compare_stack(row: &Table, found: Option<&Vec<Vec<Statement>>>, wrong: &mut Vec<String>) -> Result<(), Failed> {
    let Some(wanted) = row.get("stack") else {
        if found.is_some() {
            wrong.push("a stack of coats was heard".to_owned());
        }
        return Ok(());
    };
    let wanted = wanted.as_array().ok_or("`stack` is a list")?;
    let Some(found) = found.filter(|f| f.len() == wanted.len()) else {
        wrong.push(format!("not {} coats", wanted.len()));
        return Ok(());
    };
    for (i, (coat, wanted)) in found.iter().zip(wanted).enumerate() {
        let wanted = wanted.as_table().ok_or("a coat is a table")?;
        for statement in coat {
            readable(statement, wrong);
            if statement.coat != Some(i) {
                wrong.push(format!("coat {i} says it is {:?}", statement.coat));
            }
        }
        let values: BTreeMap<String, Known> = coat.iter().map(|s| (name(s.fact), s.readings[0].known.clone())).collect();
        let mut right: BTreeMap<String, Known> = BTreeMap::new();
        for (id, value) in wanted {
            right.insert(format!("coat.{id}"), from_survey(fact(&format!("coat.{id}"))?, &value.to_string())?);
        }
        if values != right {
            wrong.push(format!("coat {i} is another"));
        }
    }
    Ok(())
}

/// Every reading must be what a survey would make of it.
fn readable(statement: &Statement, wrong: &mut Vec<String>) {
    for Reading { known, toml, echo, .. } in &statement.readings {
        match from_survey(statement.fact, toml) {
            Err(e) => wrong.push(e),
            Ok(read) if read != *known => wrong.push(format!("`{toml}` reads back as {read:?}")),
            Ok(_) => {}
        }
        if echo.trim().is_empty() {
            wrong.push(format!("`{toml}` has no echo"));
        }
    }
}

fn shown(heard: &Heard, said: &str) -> String {
    let one = |s: &Statement| {
        let readings: Vec<String> =
            s.readings.iter().map(|r| format!("{} [{}]{}", r.toml, r.echo, if r.sure { "" } else { " unsure" })).collect();
        format!("{}{} = {}", name(s.fact), s.coat.map(|c| format!("@{c}")).unwrap_or_default(), readings.join(" | "))
    };
    let mut parts: Vec<String> = heard
        .said
        .iter()
        .map(|s| match s {
            Said::Fact(s) => one(s),
            Said::Coats(c) => format!("coats {:?}", c.iter().map(|c| c.iter().map(&one).collect::<Vec<_>>()).collect::<Vec<_>>()),
            Said::NotKnown { fact, .. } => format!("not known: {}", fact.map(name).unwrap_or_default()),
            Said::Remark { says, .. } => format!("remark: {says}"),
        })
        .collect();
    parts.push(format!("unheard {:?}", heard.unheard.iter().map(|at| &said[at.clone()]).collect::<Vec<_>>()));
    parts.join("\n       ")
}
