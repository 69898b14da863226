//! Advice as JSON: it has the published shape for every situation, and reads back from its own words.

use crate::support::shape::misfits;
use crate::support::{book, root};
use ovolo_engine::advice::Advice;
use ovolo_engine::diagnostic::SourceFile;
use ovolo_engine::explain::{Circumstances, advise};
use ovolo_engine::finding::{Basis, Footing, Ruling, Verdict};
use ovolo_engine::survey::Survey;
use std::fs;

/// Every survey of the situations and the demo that reads, advised on.
fn advised() -> impl Iterator<Item = (String, Advice)> {
    let folders = ["tests/situations", "demo-data/quillhaven"];
    let paths = folders.into_iter().flat_map(|f| fs::read_dir(root().join(f)).expect("a folder")).map(|e| e.expect("an entry").path());
    let mut surveys: Vec<_> = paths.filter(|p| p.extension().is_some_and(|e| e == "toml")).collect();
    surveys.retain(|p| !p.to_string_lossy().ends_with(".expect.toml"));
    surveys.sort();
    surveys.into_iter().step_by(4).filter_map(|path| {
        let name = path.display().to_string();
        let file = SourceFile::new(name.clone(), fs::read_to_string(&path).ok()?);
        let (survey, _) = Survey::read(&file, book()).ok()?;
        let date = survey.date.unwrap_or_else(|| "2026-09-14".parse().expect("a date"));
        Some((name, advise(&survey, book(), &Circumstances { place: None, date }).expect("its own book")))
    })
}

#[test]
fn advice_reads_back_from_its_own_json() {
    let mut seen = 0;
    for (name, advice) in advised() {
        let written = serde_json::to_string_pretty(&advice).expect("JSON");
        let read: Advice = serde_json::from_str(&written).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert_eq!(serde_json::to_string_pretty(&read).expect("JSON"), written, "{name}");
        seen += 1;
    }
    assert!(seen > 20, "only {seen} surveys");
}

#[test]
fn every_advice_has_the_published_shape() {
    let text = fs::read_to_string(root().join("engine/advice.schema.json")).expect("the schema");
    let schema: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    for (name, advice) in advised() {
        let wrong = misfits(&serde_json::to_value(&advice).expect("JSON"), &schema);
        assert!(wrong.is_empty(), "{name}: {wrong:#?}");
    }
}

#[test]
fn a_word_that_does_not_go_with_its_code_is_refused() {
    let (_, advice) = advised().next().expect("a survey");
    let written = serde_json::to_string(&advice).expect("JSON");
    let code = format!("\"verdict_code\":\"{}\"", advice.surfaces[0].methods[0].verdict.code());
    let other = if code.contains("ruled-out") { "suited" } else { "ruled-out" };
    let changed = written.replacen(&code, &format!("\"verdict_code\":\"{other}\""), 1);
    assert_ne!(changed, written);
    assert!(serde_json::from_str::<Advice>(&changed).is_err());
}

#[test]
fn words_and_codes_lead_back_to_what_they_mean() {
    fn all<W: Copy + PartialEq + std::fmt::Debug, const N: usize>(every: [W; N], word: fn(W) -> &'static str, back: fn(&str) -> Option<W>) {
        for one in every {
            assert_eq!(back(word(one)), Some(one));
        }
        assert_eq!(back("no such word"), None);
    }
    all(Verdict::ALL, Verdict::word, Verdict::from_word);
    all(Ruling::ALL, Ruling::word, Ruling::from_word);
    all(Basis::ALL, Basis::word, Basis::from_word);
    all(Footing::ALL, Footing::word, Footing::from_word);
    assert_eq!(Verdict::ALL.map(Verdict::code), ["suited", "suited-with-care", "on-hold", "cant-tell-yet", "ruled-out"]);
}

/// Words of findings are types: no code compares their English, which stands in one place.
#[test]
fn no_code_compares_the_words_of_findings() {
    let words: Vec<&str> = (Verdict::ALL.map(Verdict::word).into_iter())
        .chain(Ruling::ALL.map(Ruling::word))
        .chain(Basis::ALL.map(Basis::word))
        .chain(["applies", "presumed", "stated", "proposed", "stays", "loose", "whole"])
        .filter(|w| !["house", "note"].contains(w)) // packs have keys of these names
        .collect();
    let mut wrong = Vec::new();
    let mut files = 0;
    let mut left = vec![root().join("engine/src"), root().join("cli")];
    while let Some(folder) = left.pop() {
        for path in fs::read_dir(folder).expect("a folder").map(|e| e.expect("an entry").path()) {
            if path.is_dir() {
                left.push(path);
                continue;
            }
            if path.extension().is_none_or(|e| e != "rs") || path.ends_with("finding.rs") {
                continue;
            }
            files += 1;
            for (number, line) in fs::read_to_string(&path).expect("a text").lines().enumerate() {
                let compares = |w: &&str| {
                    let quoted = format!("\"{w}\"");
                    [format!("== {quoted}"), format!("!= {quoted}"), format!("{quoted} =>"), format!("{quoted} |")]
                        .iter()
                        .any(|p| line.contains(p))
                };
                if let Some(word) = words.iter().find(|w| compares(w)) {
                    wrong.push(format!("{}:{}: {word}", path.display(), number + 1));
                }
            }
        }
    }
    assert!(files > 150, "only {files} files");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
