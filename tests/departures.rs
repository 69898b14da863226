//! Departures: who, why and until when are told in every advice, and what cannot be departed from is refused.

use crate::support::{book, ovolo};
use ovolo_engine::advice::Advice;
use ovolo_engine::diagnostic::SourceFile;
use ovolo_engine::explain::{Circumstances, advise};
use ovolo_engine::finding::DepartureStatus;
use ovolo_engine::survey::Survey;

const SURVEY: &str = r#"
[survey]
title = "marble step"
place = "GB-ENG"
date  = 2026-09-01

[site]
young_child = true

[[surface]]
name      = "step"
substrate = "marble"
where     = "inside"
coats     = [{ kind = "limewash", lead = "absent", asbestos = "absent" }]

[[surface]]
name      = "hearth"
substrate = "marble"
where     = "inside"
coats     = [{ kind = "limewash", lead = "absent", asbestos = "absent" }]
"#;

/// A departure from the rule that acid eats marble.
fn departure(more: &str) -> String {
    format!("[[departure]]\nrule = \"acid-eats-the-surface\"\nwho = \"Odo Fenn, mason\"\nwhy = \"Trial square of May stands.\"\n{more}\n")
}

fn judged(departure: &str) -> (Advice, Vec<String>) {
    let file = SourceFile::new("survey.toml", format!("{SURVEY}\n{departure}"));
    let (survey, warnings) = Survey::read(&file, book()).unwrap_or_else(|e| panic!("{e:?}"));
    let when = Circumstances { place: None, date: survey.date.expect("a date") };
    (advise(&survey, book(), &when).expect("its own book"), warnings.iter().map(ToString::to_string).collect())
}

/// Whether acid is ruled out by that rule on the step and on the hearth.
fn bites(advice: &Advice) -> [bool; 2] {
    [0, 1].map(|s| {
        let acid = advice.surfaces[s].methods.iter().find(|m| m.method == "acid-wash").expect("acid");
        acid.reasons.iter().any(|n| n.rule == "acid-eats-the-surface")
    })
}

#[test]
fn one_in_force_lifts_its_rule_where_it_is_meant() {
    assert_eq!(bites(&judged("").0), [true, true]);
    let (advice, warnings) = judged(&departure("until = 2027-01-31"));
    assert_eq!((bites(&advice), advice.departures[0].status.word()), ([false, false], "in force"));
    assert!(warnings.is_empty(), "{warnings:?}");
    let (advice, _) = judged(&departure("until = 2027-01-31\nsurface = \"step\""));
    assert_eq!((bites(&advice), advice.departures[0].status.word()), ([false, true], "in force"));
}

#[test]
fn one_that_is_over_or_not_begun_changes_nothing() {
    // The last day counts, the day after does not.
    for (dates, wanted, status) in [
        ("until = 2026-09-01", [false, false], "in force"),
        ("until = 2026-08-31", [true, true], "lapsed"),
        ("on = 2026-09-01\nuntil = 2027-01-31", [false, false], "in force"),
        ("on = 2026-09-02\nuntil = 2027-01-31", [true, true], "not yet in force"),
    ] {
        let (advice, _) = judged(&departure(dates));
        assert_eq!((bites(&advice), advice.departures[0].status.word()), (wanted, status), "{dates}");
    }
}

#[test]
fn one_whose_rule_says_nothing_here_is_told_so() {
    let text = "[[departure]]\nrule = \"heat-scorches\"\nwho = \"Odo Fenn\"\nwhy = \"No wood here.\"\nuntil = 2027-01-31\n";
    assert_eq!(judged(text).0.departures[0].status, DepartureStatus::ChangesNothing);
}

#[test]
fn one_without_an_end_is_warned_of() {
    let (_, warnings) = judged(&departure(""));
    assert!(warnings.iter().any(|w| w.contains("has no end") && w.contains("until = 2027-12-31")), "{warnings:?}");
}

#[test]
fn one_on_a_surface_leaves_the_site_alone() {
    let rule = book().rules.iter().find(|r| r.id == "children-where-paint-comes-off").expect("the rule");
    assert!(rule.scope.site_only() && rule.basis.can_be_departed_from(), "the rule still fits this test");
    let said = |advice: &Advice| advice.site.notices.iter().any(|n| n.rule == rule.id);
    let text = |surface: &str| format!("[[departure]]\nrule = \"{}\"\nwho = \"A\"\nwhy = \"B.\"\nuntil = 2027-01-31\n{surface}", rule.id);
    assert!(said(&judged("").0));
    assert!(said(&judged(&text("surface = \"step\"")).0));
    assert!(!said(&judged(&text("")).0));
}

#[test]
fn statute_and_standard_are_not_departed_from() {
    let scratch = tempfile::tempdir().expect("a folder");
    let mut tried = 0;
    for basis in [ovolo_engine::limit::Basis::Statute, ovolo_engine::limit::Basis::Standard] {
        let rule = book().rules.iter().find(|r| r.basis == basis).expect("a rule");
        let text = format!("{SURVEY}\n[[departure]]\nrule = \"{}\"\nwho = \"A\"\nwhy = \"B.\"\nuntil = 2027-01-31\n", rule.id);
        let path = scratch.path().join("s.toml");
        std::fs::write(&path, text).expect("written");
        let out = ovolo(&["advise", &path.display().to_string()]);
        let message = String::from_utf8_lossy(&out.stderr).into_owned();
        assert_eq!(out.status.code(), Some(2), "{message}");
        assert!(message.contains(&format!("no departure from \"{}\": the rule rests on a {}", rule.id, basis.word())), "{message}");
        tried += 1;
    }
    assert_eq!(tried, 2);
}

#[test]
fn every_form_of_advice_tells_who_why_and_until_when() {
    let scratch = tempfile::tempdir().expect("a folder");
    let path = scratch.path().join("s.toml");
    std::fs::write(&path, format!("{SURVEY}\n{}", departure("on = 2026-05-12\nuntil = 2027-01-31\nsurface = \"step\""))).expect("written");
    let path = path.display().to_string();
    let flat = |args: &[&str]| {
        let out = String::from_utf8(ovolo(args).stdout).expect("UTF-8");
        out.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let check = |more: &[&str]| {
        let mut args = vec!["check", path.as_str(), "--surface", "step", "--method", "acid-wash"];
        args.extend(more);
        flat(&args)
    };
    // A page names the rule by its heading and writes days as people do.
    for text in [flat(&["advise", &path]), flat(&["advise", &path, "--format", "markdown"]), flat(&["advise", &path, "--format", "html"])] {
        for part in
            ["acid dissolves the surface", "Odo Fenn, mason", "Trial square of May stands.", "12 May 2026", "31 January 2027", "in force"]
        {
            assert!(text.contains(part), "`{part}` is not in {text}");
        }
        assert!(!text.contains("acid-eats-the-surface"), "{text}");
    }
    for text in [
        flat(&["advise", &path, "--all"]),
        flat(&["advise", &path, "--all", "--format", "markdown"]),
        flat(&["advise", &path, "--format", "json"]),
        check(&[]),
        check(&["--explain", "line"]),
        check(&["--explain", "tree"]),
        check(&["--format", "markdown"]),
    ] {
        for part in ["acid-eats-the-surface", "Odo Fenn, mason", "Trial square of May stands.", "2026-05-12", "2027-01-31", "in force"] {
            assert!(text.contains(part), "`{part}` is not in {text}");
        }
    }
    // It is about the step alone.
    let hearth = flat(&["check", &path, "--surface", "hearth", "--method", "acid-wash"]);
    assert!(!hearth.contains("Odo Fenn"), "{hearth}");
}
