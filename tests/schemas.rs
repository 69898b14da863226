//! The schemas for editors: what ovolo reads fits them, and what it refuses for a word it does not know does not.

use crate::support::shape::{json, misfits};
use crate::support::{book, files_in, load, pack_in, root};
use ovolo_engine::workshop::schemas;
use serde_json::Value;
use std::path::PathBuf;

fn schema(name: &str, of: &ovolo_engine::pack::RuleBook) -> Value {
    let text = schemas(of).into_iter().find(|(n, _)| *n == name).expect("the schema is made").1;
    serde_json::from_str(&text).expect("JSON")
}

fn toml(path: &PathBuf) -> Value {
    json(&std::fs::read_to_string(path).expect("text")).unwrap_or_else(|| panic!("{} is TOML", path.display()))
}

#[test]
fn every_survey_fits() {
    let with_house = load(&[pack_in(&root().join("demo-data/house-rules"))]);
    let schema = schema("survey.schema.json", &with_house);
    let mut surveys = files_in(&root().join("demo-data/quillhaven"), ".toml");
    surveys
        .extend(files_in(&root().join("tests/situations"), ".toml").into_iter().filter(|p| !p.to_string_lossy().ends_with(".expect.toml")));
    assert!(surveys.len() > 50);
    for path in surveys {
        let wrong = misfits(&toml(&path), &schema);
        assert!(wrong.is_empty(), "{}: {wrong:#?}", path.display());
    }
}

#[test]
fn surveys_with_words_nobody_knows_do_not_fit() {
    let schema = schema("survey.schema.json", book());
    let mut refused = Vec::new();
    for path in files_in(&root().join("tests/bad/surveys"), ".toml") {
        let Some(survey) = std::fs::read_to_string(&path).ok().as_deref().and_then(json) else { continue };
        if !misfits(&survey, &schema).is_empty() {
            refused.push(path.file_stem().expect("a name").to_string_lossy().into_owned());
        }
    }
    for name in [
        "unknown-fact",
        "unknown-key-at-top",
        "unknown-key-in-survey",
        "unknown-method",
        "unknown-substrate",
        "said-substrate",
        "fact-of-another-subject",
        "found-fact-in-proposal",
        "departure-from-nothing",
        "departure-from-statute",
        "departure-without-why",
        "surface-without-name",
        "proposal-without-method",
        "number-without-unit",
        "choice-number",
        "coats-not-a-list",
    ] {
        assert!(refused.iter().any(|r| r == name), "{name} fits the schema; refused are {refused:?}");
    }
}

#[test]
fn every_pack_fits_and_unknown_keys_do_not() {
    let (topic, manifest) = (schema("topic.schema.json", book()), schema("pack.schema.json", book()));
    let mut folders: Vec<PathBuf> =
        std::fs::read_dir(root().join("rules/packs")).expect("the packs").map(|e| e.expect("an entry").path()).collect();
    folders.extend([root().join("rules/template"), root().join("demo-data/house-rules"), root().join("tests/values")]);
    for folder in folders {
        // What a house pack brings is known to the schema that is made with it.
        let own = folder.starts_with(root().join("rules/packs"));
        let (topic, manifest) = if own {
            (topic.clone(), manifest.clone())
        } else {
            let mut files = pack_in(&folder);
            for (_, text) in &mut files.files {
                *text = text.replace("NAME", "a-name").replace("OWNER", "a firm");
            }
            let with = load(&[files]);
            (schema("topic.schema.json", &with), schema("pack.schema.json", &with))
        };
        for path in files_in(&folder, ".toml") {
            let schema = if path.ends_with("pack.toml") { &manifest } else { &topic };
            let wrong = misfits(&toml(&path), schema);
            assert!(wrong.is_empty(), "{}: {wrong:#?}", path.display());
        }
    }
    for name in ["unknown-key", "unknown-ruling", "rule-without-source"] {
        let files = files_in(&root().join("tests/bad/packs").join(name), ".toml");
        let fits = files.iter().filter(|p| !p.ends_with("pack.toml")).all(|p| misfits(&toml(p), &topic).is_empty());
        assert!(!fits, "{name} fits the schema");
    }
}

#[test]
fn script_definitions_name_everything_a_script_can_say() {
    let text = schemas(book()).into_iter().find(|(n, _)| *n == "ovolo.d.rhai").expect("it is made").1;
    for (_, fact) in book().base.vocabulary.iter() {
        assert!(text.contains(&format!("`{}`", fact.id)), "{}", fact.id);
    }
    for limit in book().base.limits.keys() {
        assert!(text.contains(&format!("`{limit}`")), "{limit}");
    }
    let calculators: Vec<String> =
        ovolo_engine::reckon::functions::FUNCTIONS.iter().map(ovolo_engine::reckon::functions::Function::usage).collect();
    let reference = std::fs::read_to_string(root().join("rules/README.md")).expect("the reference");
    for usage in &calculators {
        assert!(reference.contains(&format!("`{usage}`")), "{usage} is not in rules/README.md");
    }
    for function in ["limit(", "quantity(", "has(", "harm(", "fit("].into_iter().chain(calculators.iter().map(String::as_str)) {
        assert!(text.contains(&format!("fn {function}")), "{function}");
    }
}
