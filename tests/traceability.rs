//! Every fact of the research sheets is carried by something, or is left out for a reason.
//!
//! `tests/traceability/SHEET.ids.txt` lists the ids of a sheet, `SHEET.toml` says of each what carries it.

use crate::support::{book, files_in, load, pack_in, root};
use ovolo_engine::catalogue::EntryKind;
use std::collections::BTreeSet;

/// The names of `ovolo reckon`'s calculators.
fn calculators() -> BTreeSet<String> {
    let command = cli::command();
    let reckon = command.find_subcommand("reckon").expect("the calculators");
    reckon.get_subcommands().map(|c| c.get_name().to_owned()).collect()
}

/// Whether what is said to carry a fact is there.
fn there(target: &str, titles: &BTreeSet<String>) -> bool {
    let Some((kind, name)) = target.split_once(':') else { return false };
    let base = &book().base;
    match kind {
        "rule" => book().rule(name).is_some(),
        "presumption" => book().presumptions.iter().any(|p| p.id == name),
        "limit" => base.limits.contains_key(name),
        "fact" => base.vocabulary.find(name).is_some(),
        "value" => titles.contains(name),
        "calculator" => matches!(name, "dew_point" | "units" | "years") || calculators().contains(name),
        "after" => book().afters.iter().any(|a| a.id == name),
        "cause" => book().causes.iter().any(|c| c.id == name),
        "step" => book().working.steps.iter().any(|s| s.id == name),
        "function" => ovolo_engine::reckon::functions::Function::find(name).is_some(),
        "figure" => book().figures.contains_key(name),
        "remark" => book().remarks.contains_key(name),
        "entry" => name.split_once('/').is_some_and(|(k, id)| EntryKind::find(k).is_some_and(|k| base.catalogue.find(k, id).is_some())),
        "grid" => {
            let mut parts = name.split('/');
            let grid = parts.next().and_then(|g| base.catalogue.grids.get(g));
            let row = parts.next();
            let column = parts.next();
            grid.is_some_and(|g| {
                row.is_none_or(|r| base.catalogue.find(g.rows, r).is_some())
                    && column.is_none_or(|c| base.catalogue.find(g.columns, c).is_some())
            })
        }
        _ => false,
    }
}

#[test]
fn every_fact_is_carried_or_left_out_for_a_reason() {
    let values = load(&[pack_in(&root().join("tests/values"))]);
    let titles: BTreeSet<String> = values.cases.iter().map(|c| c.title.clone()).collect();
    let lists = files_in(&root().join("tests/traceability"), ".ids.txt");
    assert!(lists.len() >= 2, "the lists of ids are there");
    let mut wrong = Vec::new();
    let mut carried = 0;
    let mut left_out = 0;
    for list in lists {
        let text = std::fs::read_to_string(&list).expect("text");
        let wanted: BTreeSet<&str> = text.lines().map(str::trim).filter(|l| !l.is_empty()).collect();
        let table = list.to_string_lossy().replace(".ids.txt", ".toml");
        let table: toml::Table = std::fs::read_to_string(&table).expect("the table").parse().expect("TOML");
        let mut seen = BTreeSet::new();
        for fact in table["fact"].as_array().expect("[[fact]]") {
            let id = fact["id"].as_str().expect("an id");
            if !seen.insert(id) {
                wrong.push(format!("{id} stands twice"));
            }
            if !wanted.contains(id) {
                wrong.push(format!("{id} is no fact of the sheet"));
            }
            let carriers: Vec<&str> = fact
                .get("carried_by")
                .and_then(|c| c.as_array())
                .map(|c| c.iter().filter_map(|t| t.as_str()).collect())
                .unwrap_or_default();
            let reason = fact.get("left_out").and_then(|r| r.as_str()).unwrap_or("");
            match (carriers.is_empty(), reason.is_empty()) {
                (true, true) => wrong.push(format!("{id} is neither carried nor left out")),
                (true, false) => left_out += 1,
                _ => carried += 1,
            }
            for target in carriers {
                if !there(target, &titles) {
                    wrong.push(format!("{id} is said to be carried by {target}, which is not there"));
                }
            }
        }
        wrong.extend(wanted.iter().filter(|w| !seen.contains(*w)).map(|w| format!("{w} is missing")));
    }
    assert!(wrong.is_empty(), "{} of {}: {wrong:#?}", wrong.len(), carried + left_out);
    assert!(carried > left_out, "{carried} carried, {left_out} left out");
}
