//! The glossary: every word of the trade that a page prints is explained, plainly and once.

use crate::support::{book, ovolo};
use ovolo_engine::catalogue::EntryKind;

fn told(args: &[&str]) -> String {
    let out = ovolo(args);
    assert!(out.status.success(), "{args:?}: {}", String::from_utf8_lossy(&out.stderr));
    String::from_utf8(out.stdout).expect("UTF-8")
}

/// Words of the trade, gathered by reading pages as somebody would who is new to it.
const TRADE: [&str; 73] = [
    "abutment",
    "alkali",
    "alkyd",
    "arris",
    "bare",
    "binder",
    "blister",
    "bund",
    "caustic",
    "chalk",
    "clearance",
    "coat",
    "containment",
    "copings",
    "cornice",
    "cross-cut",
    "cross-section",
    "departures",
    "dew point",
    "distemper",
    "distilled water",
    "dwell",
    "electrics",
    "emulsion",
    "enclosure",
    "extraction",
    "feathered",
    "finials",
    "fire watch",
    "flaking",
    "gates",
    "gauntlets",
    "gilding",
    "graining",
    "gullies",
    "humidity",
    "joinery",
    "joints",
    "keyed",
    "lattice girders",
    "limewash",
    "listed",
    "mist",
    "mouldings",
    "neutralise",
    "newels",
    "on hold",
    "overcoat",
    "pointing",
    "poultice",
    "prime",
    "raking light",
    "rebate",
    "render",
    "residue",
    "run-off",
    "sash windows",
    "sashes",
    "scheme",
    "silica",
    "slurry",
    "soffit",
    "spot-prime",
    "stucco",
    "substrate",
    "tannin",
    "test patches",
    "textured",
    "trusses",
    "veneer",
    "wainscot",
    "wipes",
    "witness strip",
];

/// Short names that are no words of the trade: of places, and codes of waste.
const NAMES: [&str; 6] = ["GB", "US", "EU", "D001", "F001", "F005"];

fn pages() -> String {
    let mut all = String::new();
    for name in ["terrace", "school", "footbridge"] {
        for command in ["advise", "approach"] {
            all += &told(&[command, &format!("demo-data/quillhaven/{name}.toml"), "--width", "200"]);
        }
    }
    all.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Whether a text has these words, as words.
fn has(text: &str, words: &str) -> bool {
    let edge = |c: Option<char>| c.is_none_or(|c| !c.is_alphanumeric());
    text.match_indices(words).any(|(at, m)| edge(text[..at].chars().next_back()) && edge(text[at + m.len()..].chars().next()))
}

fn explained(word: &str) -> bool {
    book().glossary.iter().any(|w| w.goes_by(word))
}

#[test]
fn every_word_of_the_trade_on_the_pages_of_the_demos_is_explained() {
    let pages = pages();
    let small = pages.to_lowercase();
    let mut lacking: Vec<String> = TRADE.iter().filter(|w| has(&small, w) && !explained(w)).map(|w| (*w).to_owned()).collect();
    // What methods and paints are called.
    for kind in [EntryKind::Method, EntryKind::Coat] {
        let titles = book().base.catalogue.entries(kind).values().map(|e| e.title.as_str());
        let plain =
            |t: &str| ["open flame", "warm water and sponge", "leave the paint and coat over it", "aluminium or bronze paint"].contains(&t);
        lacking.extend(titles.filter(|t| has(&small, &t.to_lowercase()) && !plain(t) && !explained(t)).map(str::to_owned));
    }
    // Short names in capitals, which nobody can guess.
    let short = |w: &str| {
        w.len() > 1 && w.chars().all(|c| c.is_ascii_uppercase() || c.is_ascii_digit()) && w.chars().any(|c| c.is_ascii_uppercase())
    };
    let mut names: Vec<&str> = pages.split(|c: char| !c.is_alphanumeric()).filter(|w| short(w) && !NAMES.contains(w)).collect();
    names.sort_unstable();
    names.dedup();
    assert!(names.contains(&"XRF"), "{names:?}");
    lacking.extend(names.into_iter().filter(|w| !explained(w)).map(str::to_owned));
    assert_eq!(lacking, Vec::<String>::new());
    assert!(TRADE.iter().filter(|w| has(&small, w)).count() > 40, "the pages hold words of the trade");
}

#[test]
fn words_are_explained_plainly() {
    for word in &book().glossary {
        let sentences = word.means.matches(". ").count() + 1;
        let count = word.means.split_whitespace().count();
        assert!(sentences <= 3 && count <= 36, "{}: {sentences} sentences, {count} words", word.word);
        assert!(word.means.ends_with('.') && word.means.starts_with(|c: char| !c.is_lowercase()), "{}", word.word);
        assert!(!word.source.is_empty());
    }
}

#[test]
fn words_are_found_in_any_form() {
    assert!(told(&["words", "Dwells"]).starts_with("dwell: How long"));
    assert!(told(&["words", "spot", "prime"]).starts_with("spot-prime: "));
    assert!(told(&["words", "xrf"]).starts_with("XRF: "));
    assert!(told(&["words", "laser"]).contains("[common practice]"));
    let all = told(&["words"]);
    assert!(book().glossary.iter().all(|w| all.lines().any(|l| l.starts_with(&format!("{}: ", w.word)) || l.starts_with(&w.word))));
    let json: serde_json::Value = serde_json::from_str(&told(&["words", "--json"])).expect("JSON");
    assert_eq!(json.as_array().expect("a list").len(), book().glossary.len());
    assert_eq!(told(&["words", "--json"]), told(&["words", "--format", "json"]));
    let one: serde_json::Value = serde_json::from_str(&told(&["words", "gesso", "--json"])).expect("JSON");
    assert_eq!(one[0]["word"], "composition ornament or gesso");
    let unknown = ovolo(&["words", "limewosh"]);
    assert_eq!(unknown.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&unknown.stderr).contains("Try: “limewash”."));
}
