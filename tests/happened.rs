//! `ovolo aftermath` as it is typed, its JSON, and surveys of what has happened that cannot be read.

use crate::commands::screen;
use crate::support::shape::misfits;
use crate::support::{book, files_in, ovolo, root};
use ovolo_engine::diagnostic::SourceFile;
use ovolo_engine::survey::Survey;

const SURVEY: &str = "demo-data/quillhaven/wash-house.toml";

#[test]
fn the_screens_are_kept() {
    screen("aftermath", &["aftermath", SURVEY, "--width", "80"]);
    screen("aftermath-all", &["aftermath", SURVEY, "--all", "--width", "100"]);
    screen("aftermath-in-the-states", &["aftermath", SURVEY, "--place", "US-MA", "--width", "80"]);
    screen("help-aftermath", &["aftermath", "--help"]);
    let out = ovolo(&["aftermath", SURVEY, "--all", "--width", "60"]);
    for line in String::from_utf8(out.stdout).expect("UTF-8").lines() {
        assert!(line.chars().count() <= 60, "{line}");
    }
}

#[test]
fn the_json_has_the_published_shape() {
    let schema = std::fs::read_to_string(root().join("engine/aftermath.schema.json")).expect("the schema");
    let schema: serde_json::Value = serde_json::from_str(&schema).expect("JSON");
    let mut surveys: Vec<String> =
        files_in(&root().join("tests/aftermath"), ".toml").iter().take(12).map(|p| p.display().to_string()).collect();
    surveys.push(SURVEY.to_owned());
    for survey in surveys {
        let out = ovolo(&["aftermath", &survey, "--format", "json"]);
        assert_eq!(out.status.code(), Some(0), "{survey}");
        let told: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
        let wrong = misfits(&told, &schema);
        assert!(wrong.is_empty(), "{survey}: {wrong:#?}");
    }
    // The check sees a shape that is wrong.
    let out = ovolo(&["aftermath", SURVEY, "--format", "json"]).stdout;
    let mut told: serde_json::Value = serde_json::from_slice(&out).expect("JSON");
    told["happenings"][0]["answer"][0]["status"] = serde_json::json!("perhaps");
    assert!(!misfits(&told, &schema).is_empty());
}

#[test]
fn advice_says_in_one_line_that_something_has_happened() {
    for format in ["text", "markdown", "html", "json"] {
        let out = ovolo(&["advise", SURVEY, "--format", format]).stdout;
        let text = String::from_utf8(out).expect("UTF-8");
        assert!(text.contains("Something has happened here"), "{format}");
        let out = ovolo(&["advise", "demo-data/quillhaven/terrace.toml", "--format", format]).stdout;
        assert!(!String::from_utf8(out).expect("UTF-8").contains("Something has happened"), "{format}");
    }
}

#[test]
fn where_nothing_has_happened_it_says_so() {
    let out = ovolo(&["aftermath", "demo-data/quillhaven/terrace.toml"]);
    assert_eq!(out.status.code(), Some(0));
    assert!(String::from_utf8(out.stdout).expect("UTF-8").contains("Nothing has happened by this survey"));
}

#[test]
fn a_survey_of_what_has_happened_needs_no_surface() {
    let read = |text: &str| Survey::read(&SourceFile::new("survey.toml", text), book()).map(|(s, _)| s);
    let survey = read("[[incident]]\nkind = \"eye-splash\"").expect("it is read");
    assert_eq!((survey.surfaces.len(), survey.incidents.len()), (0, 1));
    assert!(read("").is_err());
    // What is stated of what happened is part of what the survey states.
    let other = read("[[incident]]\nkind = \"skin-burn\"").expect("it is read");
    assert_ne!(survey.digest(&book().base), other.digest(&book().base));
}

#[test]
fn what_has_happened_is_heard_and_plans_and_fears_are_not() {
    let rows: toml::Table = std::fs::read_to_string(root().join("tests/heard.toml")).expect("the rows").parse().expect("TOML");
    let rows = rows["row"].as_array().expect("rows");
    let mut wrong = Vec::new();
    for row in rows {
        let says = row["says"].as_str().expect("words");
        let mut wanted: Vec<&str> = row["kinds"].as_array().expect("kinds").iter().filter_map(toml::Value::as_str).collect();
        let heard = ovolo_engine::aftermath::heard(says, book());
        let mut kinds: Vec<&str> = heard.iter().map(|h| h.facts[0].1.trim_matches('"')).collect();
        wanted.sort_unstable();
        kinds.sort_unstable();
        if wanted != kinds {
            wrong.push(format!("`{says}`: {wanted:?} is meant and {kinds:?} heard"));
        }
    }
    assert!(rows.len() > 70);
    assert!(wrong.is_empty(), "{} of {}: {wrong:#?}", wrong.len(), rows.len());
}
