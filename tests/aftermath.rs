//! What has already happened: `tests/aftermath/NAME.toml` is a survey; lines that begin with `# ` and a word below say what must
//! hold of the answer, and `# source:` where that is from.
//!
//! - `tells IDS`: pieces that surely apply; `if IDS`: pieces that are told as depending on something; `silent IDS`: neither
//! - `first ID`: the first thing that cannot wait; `likeliest ID`: the first cause; `causes IDS`: causes that are named
//! - `says TEXT`, `never TEXT`: what must and must not stand anywhere; `taken TEXT`: what is taken to be so; `asks FACT`

use crate::support::{book, files_in, root};
use libtest_mimic::{Failed, Trial};
use ovolo_engine::aftermath::{Aftermath, Piece, aftermath};
use ovolo_engine::diagnostic::SourceFile;
use ovolo_engine::explain::Circumstances;
use ovolo_engine::finding::Status;
use ovolo_engine::survey::Survey;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

fn files() -> Vec<std::path::PathBuf> {
    files_in(&root().join("tests/aftermath"), ".toml")
}

pub(crate) fn trials() -> Vec<Trial> {
    let mut trials: Vec<Trial> = files()
        .into_iter()
        .map(|path| {
            let name = path.file_stem().expect("a name").to_string_lossy().into_owned();
            Trial::test(format!("aftermath {name}"), move || situation(&path))
        })
        .collect();
    trials.push(Trial::test("aftermath: every piece speaks somewhere and is silent somewhere", both_sides));
    trials
}

/// What is told of a survey.
fn told(path: &Path) -> Result<(String, Aftermath), Failed> {
    let text = std::fs::read_to_string(path)?;
    let file = SourceFile::new(path.display().to_string(), text.clone());
    let (survey, _) = Survey::read(&file, book()).map_err(|p| p.to_string())?;
    let date = survey.date.ok_or("a survey of what has happened has a date")?;
    let told = aftermath(&survey, book(), &Circumstances { place: None, date }).map_err(|p| p.to_string())?;
    Ok((text, told))
}

/// Every piece that is told.
fn pieces(told: &Aftermath) -> Vec<&Piece> {
    told.happenings.iter().flat_map(|h| h.answer.iter().chain(&h.first).chain(h.sections.iter().flat_map(|s| &s.pieces))).collect()
}

/// Every sentence that is told.
fn sentences(told: &Aftermath) -> Vec<String> {
    let mut all: Vec<String> = pieces(told).iter().map(|p| p.says.clone()).collect();
    for cause in told.happenings.iter().flat_map(|h| &h.causes) {
        all.extend([cause.title.clone(), cause.test.clone(), cause.next.clone()]);
        all.extend(cause.never.clone());
    }
    all
}

fn situation(path: &Path) -> Result<(), Failed> {
    let (text, told) = told(path)?;
    let wanted = |key: &str| -> Vec<String> {
        text.lines().filter_map(|l| l.strip_prefix("# ")?.strip_prefix(key)?.strip_prefix(": ")).map(str::to_owned).collect()
    };
    let ids = |key: &str| -> Vec<String> { wanted(key).iter().flat_map(|l| l.split_whitespace().map(str::to_owned)).collect() };
    let pieces = pieces(&told);
    let status = |id: &str| pieces.iter().find(|p| p.after == id).map(|p| p.status);
    let causes: Vec<&str> = told.happenings.iter().flat_map(|h| &h.causes).map(|c| c.cause.as_str()).collect();
    let known = |id: &str| book().afters.iter().any(|a| a.id == id);
    let mut wrong: Vec<String> = Vec::new();
    let mut checks = 0;
    for (key, right) in [("tells", Some(Status::Applies)), ("if", Some(Status::Open)), ("silent", None)] {
        for id in ids(key) {
            checks += 1;
            if !known(&id) {
                wrong.push(format!("there is no piece `{id}`"));
            } else if status(&id) != right {
                wrong.push(format!("`{id}` should be {key} and is {:?}", status(&id)));
            }
        }
    }
    for id in ids("first") {
        checks += 1;
        let first = told.happenings.first().and_then(|h| h.first.first()).map(|p| p.after.as_str());
        if first != Some(id.as_str()) {
            wrong.push(format!("`{id}` should come first and {first:?} does"));
        }
    }
    for id in ids("likeliest") {
        checks += 1;
        if causes.first() != Some(&id.as_str()) {
            wrong.push(format!("`{id}` should be likeliest: {causes:?}"));
        }
    }
    for id in ids("causes") {
        checks += 1;
        if !causes.contains(&id.as_str()) {
            wrong.push(format!("the cause `{id}` should be named: {causes:?}"));
        }
    }
    let all = sentences(&told);
    let whole = all.join("\n");
    for said in wanted("says") {
        checks += 1;
        if !whole.contains(&said) {
            wrong.push(format!("it should say `{said}`:\n{whole}"));
        }
    }
    for said in wanted("never") {
        checks += 1;
        if whole.contains(&said) {
            wrong.push(format!("it should not say `{said}`"));
        }
    }
    let taken: Vec<&String> = told.happenings.iter().flat_map(|h| &h.taken).collect();
    for said in wanted("taken") {
        checks += 1;
        if !taken.iter().any(|t| t.contains(&said)) {
            wrong.push(format!("`{said}` should be taken to be so: {taken:?}"));
        }
    }
    let asked: Vec<&str> = told.happenings.iter().flat_map(|h| &h.ask).map(|a| a.fact.as_str()).collect();
    for fact in ids("asks") {
        checks += 1;
        if !asked.contains(&fact.as_str()) {
            wrong.push(format!("`{fact}` should be asked: {asked:?}"));
        }
    }
    wrong.extend(house_style(&told, &all));
    if wanted("source").is_empty() {
        wrong.push("it does not say where this is from".to_owned());
    }
    if checks < 3 {
        wrong.push("it checks hardly anything".to_owned());
    }
    if wrong.is_empty() { Ok(()) } else { Err(wrong.join("\n").into()) }
}

/// What holds of every answer: it begins with stop or go on, says nothing twice, and has no ids or gaps in it.
fn house_style(told: &Aftermath, all: &[String]) -> Vec<String> {
    let mut wrong = Vec::new();
    for happening in &told.happenings {
        if happening.answer.is_empty() && happening.first.is_empty() && !happening.see_above {
            wrong.push(format!("{}: no answer", happening.title));
        }
        if happening.first.len() > 6 {
            wrong.push(format!("{}: {} things come first", happening.title, happening.first.len()));
        }
    }
    let mut seen = BTreeSet::new();
    for piece in pieces(told) {
        if !seen.insert(&piece.says) {
            wrong.push(format!("said twice: {}", piece.says));
        }
    }
    for said in all {
        if said.contains(['{', '}', '_']) || said.contains("no figure in force") || said.contains(":  ") {
            wrong.push(format!("not a plain sentence: {said}"));
        }
    }
    wrong
}

/// Every piece and every cause is told in some situation, and left out in another that is about the same sort of thing.
fn both_sides() -> Result<(), Failed> {
    let mut spoke: BTreeMap<String, (bool, bool)> = BTreeMap::new();
    for path in files() {
        let (_, told) = told(&path)?;
        let said: BTreeSet<String> = pieces(&told).iter().map(|p| p.after.clone()).collect();
        let causes: BTreeSet<String> = told.happenings.iter().flat_map(|h| &h.causes).map(|c| c.cause.clone()).collect();
        for id in book().afters.iter().map(|a| &a.id).chain(book().causes.iter().map(|c| &c.id)) {
            let entry = spoke.entry(id.clone()).or_default();
            if said.contains(id) || causes.contains(id) {
                entry.0 = true;
            } else {
                entry.1 = true;
            }
        }
    }
    let never: Vec<&String> = spoke.iter().filter(|(_, s)| !s.0).map(|(id, _)| id).collect();
    let always: Vec<&String> = spoke.iter().filter(|(_, s)| !s.1).map(|(id, _)| id).collect();
    if never.is_empty() && always.is_empty() {
        return Ok(());
    }
    Err(format!("never told: {never:#?}; always told: {always:#?}").into())
}
