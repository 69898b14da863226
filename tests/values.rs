//! Worked cases beside the rules, check values against the outside, and limits by place and date.

use crate::support::{book, files_in, load, pack_in, root};
use jiff::civil::Date;
use libtest_mimic::{Failed, Trial};
use ovolo_engine::cases::try_case;

/// Every case of every standard pack, and of the folders of check values.
pub(crate) fn trials() -> Vec<Trial> {
    let standard = (0..book().cases.len()).map(|i| {
        let case = &book().cases[i];
        Trial::test(format!("case::{}::{}", case.pack, case.title), move || tried(book(), i))
    });
    let values = (0..value_book().cases.len()).filter(|i| value_book().cases[*i].pack == "check-values").map(|i| {
        let case = &value_book().cases[i];
        Trial::test(format!("value::{}", case.title), move || {
            if value_book().cases[i].source.as_ref().is_none_or(|s| s.trim().is_empty()) {
                return Err("a check value names its source".into());
            }
            tried(value_book(), i)
        })
    });
    let house = (0..house_book().cases.len())
        .filter(|i| house_book().packs.iter().any(|p| p.house && p.name == house_book().cases[*i].pack))
        .map(|i| Trial::test(format!("case::house::{}", house_book().cases[i].title), move || tried(house_book(), i)));
    // The edge cases are many and small: one test a pack.
    let edges = files_in(&root().join("tests/edges"), ".toml").into_iter().filter(|p| !p.ends_with("pack.toml")).map(|path| {
        let name = path.file_stem().expect("a name").to_string_lossy().into_owned();
        Trial::test(format!("edges::{name}"), move || {
            let wrong: Vec<String> = (0..edge_book().cases.len())
                .filter(|i| {
                    edge_book().cases[*i].place.file.name.ends_with(&format!("/{name}.toml")) && edge_book().cases[*i].pack == "edge-cases"
                })
                .filter_map(|i| tried(edge_book(), i).err().and_then(|e| e.message().map(str::to_owned)))
                .collect();
            if wrong.is_empty() { Ok(()) } else { Err(wrong.join("\n").into()) }
        })
    });
    standard.chain(edges).chain(values).chain(house).chain(limits()).collect()
}

fn value_book() -> &'static ovolo_engine::pack::RuleBook {
    static BOOK: std::sync::OnceLock<ovolo_engine::pack::RuleBook> = std::sync::OnceLock::new();
    BOOK.get_or_init(|| load(&[pack_in(&root().join("tests/values"))]))
}

fn house_book() -> &'static ovolo_engine::pack::RuleBook {
    static BOOK: std::sync::OnceLock<ovolo_engine::pack::RuleBook> = std::sync::OnceLock::new();
    BOOK.get_or_init(|| load(&[pack_in(&root().join("demo-data/house-rules"))]))
}

fn edge_book() -> &'static ovolo_engine::pack::RuleBook {
    static BOOK: std::sync::OnceLock<ovolo_engine::pack::RuleBook> = std::sync::OnceLock::new();
    BOOK.get_or_init(|| load(&[pack_in(&root().join("tests/edges"))]))
}

fn tried(book: &ovolo_engine::pack::RuleBook, index: usize) -> Result<(), Failed> {
    let case = &book.cases[index];
    let tried = try_case(case, book);
    if tried.wrong.is_empty() { Ok(()) } else { Err(format!("{}: {}", case.place.file.name, tried.wrong.join("; ")).into()) }
}

/// `tests/values/limits/*.toml`: the figure a limit comes to at a place and date, and where that figure is published.
fn limits() -> Vec<Trial> {
    files_in(&root().join("tests/values/limits"), ".toml")
        .into_iter()
        .flat_map(|path| {
            let text = std::fs::read_to_string(&path).expect("text");
            let table: toml::Table = text.parse().expect("TOML");
            let rows = table["figure"].as_array().expect("[[figure]]").clone();
            rows.into_iter().map(move |row| {
                let get = |key: &str| row.get(key).and_then(|v| v.as_str()).map(str::to_owned);
                let (limit, place, date) = (get("limit").expect("limit"), get("place"), get("date").expect("date"));
                let (value, source) = (get("value"), get("source").expect("a figure names its source"));
                let name = format!("limit::{limit}::{}::{date}", place.as_deref().unwrap_or("anywhere"));
                Trial::test(name, move || {
                    assert!(!source.trim().is_empty(), "a figure names its source");
                    let declared = book().base.limits.get(&limit).ok_or_else(|| Failed::from(format!("no limit `{limit}`")))?;
                    let places = place.as_deref().map(|p| book().places_of(p)).unwrap_or_default();
                    let date: Date = date.parse().map_err(|e| Failed::from(format!("{e}")))?;
                    let found = declared.in_force(&places, date).map(|v| v.quantity);
                    let expected = match value.as_deref() {
                        None => None,
                        Some(text) => Some(ovolo_engine::quantity::read(text, declared.unit).map_err(Failed::from)?),
                    };
                    if found.map(|q| q.base) == expected.map(|q| q.base) {
                        Ok(())
                    } else {
                        Err(format!("{limit}: expected {expected:?}, found {found:?}").into())
                    }
                })
            })
        })
        .collect()
}
