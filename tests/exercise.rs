//! How well the worked cases exercise the rules, printed, and held at least where it stands.

use crate::support::{book, load, pack_in, root};

/// Every rule has a case in which it speaks and one in which it is silent.
#[test]
fn every_rule_speaks_in_some_case_and_is_silent_in_another() {
    let lacking: Vec<String> = ovolo_engine::exercise::exercise(book())
        .into_iter()
        .filter(|e| e.speaks == 0 || e.silent == 0)
        .map(|e| format!("{}/{}: {} speaking, {} silent", e.pack, e.rule, e.speaks, e.silent))
        .collect();
    assert!(lacking.is_empty(), "{lacking:#?}");
}

/// Prints branch coverage and the share of small changes that some case notices.
#[test]
#[ignore = "long: `cargo long` runs it"]
#[expect(clippy::print_stderr, reason = "the figures are the point")]
fn coverage_and_changes_are_reported() {
    let with_edges = load(&[pack_in(&root().join("tests/edges"))]);
    let all = ovolo_engine::exercise::exercise(&with_edges);
    let branches: usize = all.iter().map(|e| e.branches).sum();
    let unreached: usize = all.iter().map(|e| e.unreached.len()).sum();
    let changes: usize = all.iter().map(|e| e.changes).sum();
    let unnoticed: usize = all.iter().map(|e| e.unnoticed.len()).sum();
    let share = |part: usize, whole: usize| 100.0 * (whole - part) as f64 / whole.max(1) as f64;
    eprintln!("rules: {}, worked cases: {}", all.len(), with_edges.cases.len());
    eprintln!("branches reached: {} of {branches} ({:.1} %)", branches - unreached, share(unreached, branches));
    eprintln!("changes noticed: {} of {changes} ({:.1} %)", changes - unnoticed, share(unnoticed, changes));
    if std::env::var_os("SURVIVORS").is_some() {
        for e in &all {
            for way in &e.unreached {
                eprintln!("{}: no case comes to {way}", e.rule);
            }
            for change in &e.unnoticed {
                eprintln!("{}: no case notices {change}", e.rule);
            }
        }
    }
    assert!(branches > 1000 && changes > 3000, "the rules are unfolded");
    assert!(share(unnoticed, changes) >= 95.0, "fewer than 95 % of small changes are noticed");
    // What is left has its reason written down.
    let text = std::fs::read_to_string(root().join("tests/unnoticed.toml")).expect("the reasons");
    let reasons: toml::Table = text.parse().expect("TOML");
    let without: Vec<&str> = all
        .iter()
        .filter(|e| (!e.unreached.is_empty() || !e.unnoticed.is_empty()) && !reasons.contains_key(&e.rule))
        .map(|e| e.rule.as_str())
        .collect();
    assert!(without.is_empty(), "no reason is given for {without:?}; see them with SURVIVORS=1, or write edges anew with EDGES=1");
    let stale: Vec<&String> = reasons.keys().filter(|r| all.iter().all(|e| e.rule != **r)).collect();
    assert!(stale.is_empty(), "reasons for rules that are not there: {stale:?}");
}
