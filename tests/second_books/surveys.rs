//! Surveys made at random in the words of the first book: every fact stated, partly known or open.

use super::packs::Dice;
use std::fmt::Write as _;

/// A survey as each book reads it.
#[derive(Debug, Clone)]
pub(crate) struct Sample {
    /// For the first book.
    pub(crate) first: String,
    /// For the second: the same, and some of what only it knows.
    pub(crate) second: String,
}

const SITE: &[(&str, &[&str])] = &[
    ("built", &["1900", "1930", "1969", "1970", "2000", "\"1900/1950\"", "\"1960/1980\""]),
    ("lived_in", &["true", "false"]),
    ("consent", &["true", "false"]),
];
const SURFACE: &[(&str, &[&str])] = &[
    ("substrate", &["\"deal\"", "\"slab\"", "\"sheet\"", "{ one-of = [\"deal\", \"sheet\"] }", "{ value = \"deal\", sure = false }"]),
    ("depth", &["\"2 mm\"", "\"5 mm\"", "\"10 mm\"", "\"20 mm\"", "\"50 mm\"", "\"80 mm\"", "\"1 .. 30 mm\"", "\"30 .. 90 mm\""]),
    (
        "near",
        &[
            "[]",
            "[\"drain\"]",
            "[\"thatch\"]",
            "[\"drain\", \"thatch\"]",
            "{ has = [\"drain\"] }",
            "{ not = [\"drain\"] }",
            "{ not = [\"thatch\"] }",
        ],
    ),
    ("sheeting", &["\"1 m\"", "\"3 m\"", "\"5 m\"", "\"8 m\"", "\"10 m\"", "\"19 m\"", "\"1 .. 8 m\""]),
];
const GAP: &[(&str, &[&str])] = &[("gap", &["\"2 mm\"", "\"15 mm\"", "\"60 mm\""])];
const COAT: &[(&str, &[&str])] =
    &[("kind", &["\"gloss\"", "\"lime\""]), ("lead", &["\"absent\"", "\"present\"", "{ value = \"absent\", sure = false }"])];
const SETTINGS: &[(&str, &[&str])] = &[
    ("heat", &["\"100 C\"", "\"200 C\"", "\"300 C\"", "\"450 C\"", "\"100 .. 400 C\""]),
    ("consent", &["true", "false"]),
    ("sheeting", &["\"1 m\"", "\"4 m\"", "\"10 m\""]),
];
const OWN_SITE: &[(&str, &[&str])] = &[("own_word", &["true", "false"])];
const OWN_SURFACE: &[(&str, &[&str])] = &[("own_size", &["\"1 mm\"", "\"5 mm\"", "\"1 .. 5 mm\""]), ("own_choice", &["true", "false"])];

fn some(dice: &mut Dice, facts: &[(&str, &[&str])], percent: usize) -> Vec<String> {
    let mut out = Vec::new();
    for (name, values) in facts {
        if dice.chance(percent) {
            out.push(format!("{name} = {}", dice.of(values)));
        }
    }
    out
}

/// A survey, as densely stated as the dice want it, with a proposal for one method or none.
pub(crate) fn sample(dice: &mut Dice, method: &str) -> Sample {
    let percent = dice.of(&[15, 40, 70, 90]);
    let place = dice.of(&["", "US", "US-MA", "GB", "FR", "JP"]);
    let day = dice.of(&["2014-12-31", "2015-01-01", "2015-01-02", "2020-07-01", "2020-07-02", "2026-01-01", "2026-01-02"]);
    let mut head = "[survey]\ntitle = \"sample\"\n".to_owned();
    if !place.is_empty() {
        let _ = writeln!(head, "place = \"{place}\"");
    }
    let _ = writeln!(head, "date = {day}");
    let site = some(dice, SITE, percent);
    let own_site = some(dice, OWN_SITE, 30);
    let mut surface = some(dice, SURFACE, percent);
    // Where two open numbers meet, judging gives the careful answer, of which the proof does not speak: so one is always known.
    surface.extend(some(dice, GAP, 100));
    let own_surface = some(dice, OWN_SURFACE, 30);
    let coats = dice.chance(80).then(|| {
        let each: Vec<String> = (0..dice.below(3)).map(|_| format!("{{ {} }}", some(dice, COAT, percent).join(", "))).collect();
        format!("coats = [{}]\n", each.join(", "))
    });
    let proposal = dice.chance(50).then(|| {
        let settings = some(dice, SETTINGS, 50);
        format!("\n[[surface.proposal]]\nmethod = \"{method}\"\n{}\n", settings.join("\n"))
    });
    let text = |own: bool| {
        let mut out = head.clone();
        let list = |out: &mut String, facts: &[String], more: &[String]| {
            for fact in facts.iter().chain(more.iter().filter(|_| own)) {
                let _ = writeln!(out, "{fact}");
            }
        };
        out.push_str("\n[site]\n");
        list(&mut out, &site, &own_site);
        out.push_str("\n[[surface]]\nname = \"s\"\n");
        list(&mut out, &surface, &own_surface);
        out.push_str(coats.as_deref().unwrap_or(""));
        out.push_str(proposal.as_deref().unwrap_or(""));
        out
    };
    Sample { first: text(false), second: text(true) }
}
