//! The examples of the library, run as they stand.

#[path = "../engine/examples/own_calculator.rs"]
mod own_calculator;
#[path = "../engine/examples/survey_in_code.rs"]
mod survey_in_code;

use crate::support::root;
use ovolo_engine::finding::Status;
use ovolo_engine::reckon::functions::Goes;
use ovolo_engine::reckon::units::{Length, Measure, Volume};
use ovolo_engine::{Calculator, Error, ErrorKind, PackFiles, RuleBook};

#[test]
fn a_survey_in_code_gives_a_verdict_with_reasons() {
    let lines = survey_in_code::reasons().expect("it is judged");
    assert!(lines[0].ends_with(": ruled out"), "{lines:?}");
    assert!(lines.iter().any(|l| l.to_lowercase().contains("lead")), "{lines:?}");
    let text = std::fs::read_to_string(root().join("engine/examples/survey_in_code.rs")).expect("the example");
    assert!(text.lines().count() <= 25, "it is short");
}

/// 20 m2 of a coat of 2 mm are 40 L, of 3 mm 60 L; the skip holds 50 L.
#[test]
fn a_hosts_calculator_decides_like_the_engines_own() {
    let book = own_calculator::book().expect("a sound book");
    let said = |thickness: &str| own_calculator::spoken(&book, thickness).expect("it is judged");
    assert_eq!(said("2 mm"), []);
    assert_eq!(said("3 mm"), [("skip-too-small".to_owned(), Status::Applies)]);
    assert_eq!(said("2 .. 3 mm"), [("skip-too-small".to_owned(), Status::Open)]);
    assert_eq!(said("2.5 mm"), [], "just full is not too full");
    let reckoned = book.reckon("scrapings", &["20 m2", "2 .. 3 mm"]).expect("reckoned");
    assert_eq!(reckoned.to_string(), "what comes off 20 m2 in a coat of 2 .. 3 mm: 40 L to 60 L");
}

/// Both judges call it: where all is known, the tree and the script itself say the same.
#[test]
fn both_judges_call_a_hosts_calculator() {
    let book = own_calculator::book().expect("a sound book");
    let method = book.base.catalogue.find(ovolo_engine::catalogue::EntryKind::Method, "hand-scraping").expect("a method");
    let when = ovolo_engine::Circumstances::on(jiff::civil::date(2026, 9, 1));
    for thickness in ["2 mm", "2.5 mm", "3 mm"] {
        let mut survey = ovolo_engine::Survey::new(&book, "wall");
        survey.set("skip_holds", "50 L").expect("a fact");
        let mut wall = survey.add("wall").expect("a surface");
        wall.set("area", "20 m2").expect("a fact").coat("oil-paint").expect("a coat").set("thickness", thickness).expect("a fact");
        let compared = ovolo_engine::second::compare(&survey, &book, &when, Some(method)).expect("its own book");
        assert!(compared.compared > 0 && compared.differences.is_empty(), "{compared:?}");
    }
}

fn with(calculators: &[Calculator], rule: &str) -> Result<RuleBook, Error> {
    let ours = PackFiles::new("ours").file("pack.toml", "name = \"ours\"\nversion = \"1\"\nowner = \"nobody\"\nhouse = true").file(
        "rules.toml",
        &format!("[[rule]]\nid = \"its-rule\"\nwhen = '{rule}'\nruling = \"caution\"\nbecause = \"So.\"\nsource = \"nowhere\"\n"),
    );
    let packs: Vec<PackFiles> = ovolo_rules::standard().into_iter().chain([ours]).collect();
    RuleBook::load_with(&packs, calculators)
}

fn cubed(name: &'static str, goes: Goes) -> Calculator {
    Calculator::new(name, "geometry", [("side", goes)], |side: Length| Some(Volume::of_base(side.base().powi(3))))
}

#[test]
fn what_a_host_says_of_its_calculator_is_checked() {
    let rule = "cubed(coat.thickness) > quantity(\"1 L\")";
    assert!(with(&[cubed("cubed", Goes::Up)], rule).is_ok());
    for (calculators, rule, says) in [
        (vec![], rule, "no function `cubed`"),
        (vec![cubed("cubed", Goes::Down)], rule, "does not go with `side` as it says"),
        (vec![cubed("cubed", Goes::Turns(1.0))], rule, "does not go with `side` as it says"),
        (vec![cubed("Cubed", Goes::Up)], "true", "no name that a script can call"),
        (vec![cubed("switch", Goes::Up)], "true", "no name that a script can call"),
        (vec![cubed("dew_point", Goes::Up)], "true", "name that is taken"),
        (vec![cubed("surface", Goes::Up)], "true", "name that is taken"),
        (vec![cubed("harm", Goes::Up)], "true", "means something in scripts already"),
        (vec![cubed("cubed", Goes::Up), cubed("cubed", Goes::Up)], rule, "name that is taken"),
        (vec![cubed("cubed", Goes::Up)], "cubed(surface.area) > quantity(\"1 L\")", "takes a length as `side`"),
        (vec![cubed("cubed", Goes::Up)], "cubed(coat.thickness, coat.thickness) > quantity(\"1 L\")", "write cubed(side)"),
        (vec![cubed("cubed", Goes::Up)], "cubed(coat.thickness) > quantity(\"1 m\")", "its-rule"),
    ] {
        let refused = with(&calculators, rule).expect_err(says);
        assert_eq!(refused.kind(), ErrorKind::Unreadable);
        assert!(says == "its-rule" || refused.to_string().contains(says), "{says}: {refused}");
    }
}

/// What a calculator is part of is another book than the same packs without it.
#[test]
fn a_calculator_makes_another_book() {
    let [one, other] = [Goes::Up, Goes::Turns(1e12)].map(|goes| with(&[cubed("cubed", goes)], "true || coat.layers > 2"));
    let (one, other) = (one.expect("a book"), other.expect("a book"));
    let mut survey = ovolo_engine::Survey::new(&one, "wall");
    survey.add("wall").expect("a surface");
    let when = ovolo_engine::Circumstances::on(jiff::civil::date(2026, 9, 1));
    assert!(one.advise(&survey, &when).is_ok());
    assert_eq!(other.advise(&survey, &when).expect_err("another book").kind(), ErrorKind::OtherBook);
}
