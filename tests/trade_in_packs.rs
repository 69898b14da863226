//! Trade knowledge stands in packs: no Rust outside the tests names an id that a standard pack declares.
//!
//! Where the engine needs to know what part a thing plays it asks for a role. `engine/src/role` lists the roles that there
//! are, and is the only place that is not looked through.
//!
//! `tests/trade_in_packs.toml` lists what is still named, and the words of plain English, of file formats and of commands that
//! some pack happens to use as an id too. Both lists may only shrink: a line whose word is gone has to be taken off.

use crate::support::root;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// Every id that standard packs declare: of tables, of the choices, grades and reasons in them, and the names of facts.
fn declared() -> BTreeSet<String> {
    let mut ids = BTreeSet::new();
    for pack in ovolo_rules::standard() {
        for (path, text) in pack.files.iter().filter(|(path, _)| Path::new(path).extension().is_some_and(|e| e == "toml")) {
            let table: toml::Table = text.parse().unwrap_or_else(|e| panic!("{path}: {e}"));
            // Words of the glossary and phrases are what people say and have no ids.
            for rows in table.values().filter_map(toml::Value::as_array) {
                rows.iter().filter_map(toml::Value::as_table).for_each(|row| ids_of(row, &mut ids));
            }
        }
    }
    ids
}

fn ids_of(row: &toml::Table, ids: &mut BTreeSet<String>) {
    for id in ["id", "code"].iter().filter_map(|key| row.get(*key)?.as_str()) {
        ids.insert(id.to_owned());
        // A fact is asked for by its name alone as well.
        if let Some((_, name)) = id.split_once('.') {
            ids.insert(name.to_owned());
        }
    }
    for list in ["choices", "grades", "reasons"].iter().filter_map(|key| row.get(*key)?.as_array()) {
        for one in list {
            match one {
                toml::Value::String(id) => {
                    ids.insert(id.clone());
                }
                toml::Value::Table(choice) => ids_of(choice, ids),
                _ => {}
            }
        }
    }
}

/// The files of the engine and the program, but for tests.
fn sources() -> Vec<PathBuf> {
    let mut left = vec![root().join("engine/src"), root().join("cli")];
    let mut files = Vec::new();
    while let Some(folder) = left.pop() {
        for path in fs::read_dir(folder).expect("a folder").map(|e| e.expect("an entry").path()) {
            if path.is_dir() {
                left.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") && !path.file_stem().expect("a name").to_string_lossy().ends_with("tests")
            {
                files.push(path);
            }
        }
    }
    files.sort();
    files
}

/// A string literal of a text with what stands before it in its line.
#[derive(Debug, PartialEq)]
struct Literal {
    text: String,
    before: String,
}

/// The string literals of a Rust text, up to its tests; comments are passed over.
fn literals(text: &str) -> Vec<Literal> {
    let text = text.split("#[cfg(test)]").next().unwrap_or_default();
    let bytes = text.as_bytes();
    let mut found = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        let rest = &text[at..];
        if rest.starts_with("//") {
            at += rest.find('\n').unwrap_or(rest.len());
        } else if rest.starts_with("/*") {
            at += rest.find("*/").map_or(rest.len(), |n| n + 2);
        } else if rest.starts_with("'\"'") || rest.starts_with("'\\\"'") {
            at += if rest.starts_with("'\"'") { 3 } else { 4 };
        } else if let Some(raw) = rest.strip_prefix("r#\"") {
            let end = raw.find("\"#").unwrap_or(raw.len());
            found.push(literal(text, at, &raw[..end]));
            at += end + 5;
        } else if rest.starts_with('"') {
            let mut end = 1;
            while end < rest.len() && rest.as_bytes()[end] != b'"' {
                end += if rest.as_bytes()[end] == b'\\' { 2 } else { 1 };
            }
            found.push(literal(text, at, &rest[1..end.min(rest.len())]));
            at += end + 1;
        } else {
            at += rest.chars().next().map_or(1, char::len_utf8);
        }
    }
    found
}

fn literal(text: &str, at: usize, what: &str) -> Literal {
    let line = text[..at].rfind('\n').map_or(0, |n| n + 1);
    Literal { text: what.to_owned(), before: text[line..at].to_owned() }
}

/// Whether a word that stands alone in a list of speech is used to find something of the rule book.
fn looks_up(before: &str) -> bool {
    let before = before.trim_end();
    let asks = ["find_about(", "find(", "attribute(", "number(", "choice(", "figure(", "look_up(", "limit(", "get(", "get_index_of("];
    let last_call = before.rfind('(').map(|n| &before[..=n]).unwrap_or_default();
    let compared = [".id ==", ".id !=", ".name ==", ".name !=", ".id.as_str() ==", ".name.as_str() =="];
    asks.iter().any(|a| last_call.ends_with(a)) || compared.iter().any(|c| before.ends_with(c))
}

/// Where people are listened to and answered, a word is plain English first, and English has many of the words of the trade: there
/// it counts only where it finds something. An id of several parts is never English.
fn counts(file: &str, literal: &Literal) -> bool {
    let plain = literal.text.chars().all(|c| c.is_ascii_lowercase());
    let speech = file.starts_with("engine/src/answer/") || file.starts_with("cli/talk/");
    !(plain && speech) || looks_up(&literal.before)
}

/// The ids that each file names.
fn named() -> BTreeMap<String, BTreeSet<String>> {
    let ids = declared();
    assert!(ids.len() > 1_500, "only {} ids", ids.len());
    let files = sources();
    assert!(files.len() > 200, "only {} files", files.len());
    let name = |path: &Path| path.strip_prefix(root()).expect("inside").to_string_lossy().replace('\\', "/");
    let mut all = BTreeMap::new();
    for path in files {
        let file = name(&path);
        if file.starts_with("engine/src/role/") {
            continue;
        }
        let text = fs::read_to_string(&path).expect("a text");
        let here: BTreeSet<String> =
            literals(&text).into_iter().filter(|l| ids.contains(&l.text) && counts(&file, l)).map(|l| l.text).collect();
        if !here.is_empty() {
            all.insert(file, here);
        }
    }
    all
}

#[test]
fn no_rust_names_what_a_standard_pack_declares() {
    let text = fs::read_to_string(root().join("tests/trade_in_packs.toml")).expect("the list");
    let listed: BTreeMap<String, BTreeMap<String, BTreeSet<String>>> = toml::from_str(&text).expect("lists of words by file");
    let named = named();
    let on_a_list = |file: &str, id: &str| listed.values().any(|list| list.get(file).is_some_and(|ids| ids.contains(id)));
    let mut wrong = Vec::new();
    for (file, ids) in &named {
        for id in ids.iter().filter(|id| !on_a_list(file, id)) {
            wrong.push(format!("{file} names \"{id}\", which a standard pack declares: ask for a role"));
        }
    }
    for (list, files) in &listed {
        for (file, ids) in files {
            for id in ids.iter().filter(|id| !named.get(file).is_some_and(|here| here.contains(*id))) {
                wrong.push(format!("{file} no longer names \"{id}\": take it off the list `{list}`"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    let still: usize = listed.get("still").map_or(0, |files| files.values().map(BTreeSet::len).sum());
    println!("{still} ids are still named in Rust");
}

#[test]
fn literals_are_found_and_nothing_else() {
    let text = "let a = find(\"one\"); // \"two\"\nlet b = '\"'; let c = \"th\\\"ree\"; let d = r#\"four\"#;\n#[cfg(test)]\n\"five\"";
    let found: Vec<String> = literals(text).into_iter().map(|l| l.text).collect();
    assert_eq!(found, ["one", "th\\\"ree", "four"]);
    let l = |before: &str, text: &str| Literal { text: text.to_owned(), before: before.to_owned() };
    assert!(counts("cli/talk/a.rs", &l("  vocabulary.find_about(About::Surface, ", "where")));
    assert!(counts("cli/talk/a.rs", &l("  f.name == ", "where")));
    assert!(!counts("cli/talk/a.rs", &l("const A: [&str; 2] = [\"here\", ", "where")));
    assert!(counts("cli/talk/a.rs", &l("[", "fire-watch")), "no English");
    assert!(counts("cli/page/a.rs", &l("[", "where")), "no list of speech");
}
