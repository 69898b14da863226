//! Checks over the whole catalogue, not by sampling.

use crate::support::book;
use jiff::civil::date;
use ovolo_engine::catalogue::EntryKind;
use ovolo_engine::finding::Status;
use ovolo_engine::judge::{Judge, Verdict};
use ovolo_engine::pack::Ruling;
use ovolo_engine::survey::{Facts, Stated, Surface, Survey};
use ovolo_engine::tree::{Node, Outcome};
use ovolo_engine::vocabulary::Known;

const PLACES: &[Option<&str>] = &[
    None,
    Some("US"),
    Some("US-CA"),
    Some("US-DC"),
    Some("US-VT"),
    Some("GB-ENG"),
    Some("GB-WLS"),
    Some("GB-SCT"),
    Some("IE"),
    Some("FR"),
    Some("DE"),
    Some("AU"),
    Some("CA"),
    Some("NZ"),
];

fn stated(known: Known) -> Stated {
    Stated { known, written: "given".to_owned(), by: None, on: None, note: None }
}

/// For every substrate, coat, inside and outside, and place there is a method that is not ruled out.
///
/// That is 32 × 21 × 2 × 14 surfaces against every method; everything else is open, as on the first day of a survey.
#[test]
#[ignore = "long: `cargo long` runs it"]
fn every_combination_keeps_a_way_forward() {
    let base = &book().base;
    let find = |id: &str| base.vocabulary.find(id).expect("the core vocabulary");
    let (substrate, kind, place_of) = (find("surface.substrate"), find("coat.kind"), find("surface.where"));
    let mut stuck = Vec::new();
    let mut looked = 0;
    for place in PLACES {
        let judge = Judge::new(book(), *place, date(2026, 9, 1));
        for s in 0..base.catalogue.entries(EntryKind::Substrate).len() {
            for c in 0..base.catalogue.entries(EntryKind::Coat).len() {
                for side in 0..2 {
                    let facts = Facts::from_iter([(substrate, stated(Known::Bits(1 << s))), (place_of, stated(Known::Bits(1 << side)))]);
                    let coat = Facts::from_iter([(kind, stated(Known::Bits(1 << c)))]);
                    let survey = Survey::of(Surface { facts, coats: Some(vec![coat]), ..Surface::named("s") }, &book().base);
                    looked += 1;
                    if judge.verdicts(&survey, 0).expect("its own book").iter().all(|v| *v == Verdict::RuledOut) {
                        let name = |k, i: usize| base.catalogue.entries(k)[i].id.clone();
                        stuck.push(format!("{} under {} ({place:?})", name(EntryKind::Substrate, s), name(EntryKind::Coat, c)));
                    }
                }
            }
        }
    }
    assert_eq!(
        looked,
        PLACES.len() * 2 * base.catalogue.entries(EntryKind::Substrate).len() * base.catalogue.entries(EntryKind::Coat).len()
    );
    assert!(stuck.is_empty(), "{} without a way forward: {:#?}", stuck.len(), &stuck[..stuck.len().min(20)]);
}

/// No rule can never apply, and no rule-out applies whatever the facts.
#[test]
fn every_rule_can_apply_and_none_always_does() {
    let mut wrong = Vec::new();
    for rule in &book().rules {
        let can = |wanted: &Outcome| rule.tree.nodes.iter().any(|n| matches!(n, Node::Leaf(o) if o == wanted));
        if !can(&Outcome::Applies) {
            wrong.push(format!("{} can never apply", rule.id));
        }
        if !can(&Outcome::Silent) && rule.ruling == Ruling::RuleOut {
            wrong.push(format!("{} always applies", rule.id));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// No two rules of the same ruling, place and time say the same about exactly the same situations.
#[test]
fn no_two_rules_are_one() {
    let rules = &book().rules;
    let mut same = Vec::new();
    for (i, a) in rules.iter().enumerate() {
        for b in &rules[i + 1..] {
            if a.ruling == b.ruling && a.tree == b.tree && a.place == b.place && a.period == b.period && a.every_coat == b.every_coat {
                same.push(format!("{} and {}", a.id, b.id));
            }
        }
    }
    // Cautions and notes may well speak in the same situation of different things; rule-outs and holds may not.
    same.retain(|pair| {
        let first = pair.split(" and ").next().unwrap_or("");
        matches!(book().rule(first).map(|r| r.ruling), Some(Ruling::RuleOut | Ruling::Hold))
    });
    assert!(same.is_empty(), "{same:#?}");
}

/// Every grade of the grid of substrates and methods is stated, but for the pair that is left out on purpose.
#[test]
fn the_grid_of_harm_is_whole() {
    let grid = &book().base.catalogue.grids["harm"];
    let blank = grid.cells.iter().flatten().filter(|c| !c.stated).count();
    assert!(blank <= 1, "{blank} pairs have no grade");
    assert!(grid.cells.iter().flatten().filter(|c| c.stated).all(|c| !c.source.trim().is_empty()));
}

/// Everything in the rule book names its source.
#[test]
fn everything_names_its_source() {
    let b = book();
    let sources = b
        .rules
        .iter()
        .map(|r| (&r.id, &r.source))
        .chain(b.presumptions.iter().map(|p| (&p.id, &p.source)))
        .chain(b.base.limits.values().flat_map(|l| l.values.iter().map(move |v| (&l.id, &v.source))))
        .chain(EntryKind::ALL.into_iter().flat_map(|k| b.base.catalogue.entries(k).values().map(|e| (&e.id, &e.source))));
    for (id, source) in sources {
        assert!(!source.trim().is_empty(), "{id} names no source");
        // A mistyped id would be printed as it stands: ids have hyphens and no spaces.
        let cited = b.cite(source);
        let first = cited.split([',', ';']).next().unwrap_or("").trim();
        let looks_like_an_id =
            first.contains('-') && !first.contains(' ') && first.chars().all(|c| c.is_ascii_lowercase() || c == '-' || c.is_ascii_digit());
        assert!(!looks_like_an_id, "{id} cites `{first}`, which no pack declares");
    }
}

/// No rule's opposite also holds: on none of the situations is a method preferred by one rule and ruled out by another.
#[test]
#[ignore = "long: `cargo long` runs it"]
fn nothing_is_preferred_and_ruled_out_at_once() {
    let mut both = Vec::new();
    let mut looked = 0;
    for path in crate::support::files_in(&crate::support::root().join("tests/situations"), ".toml") {
        if path.to_string_lossy().ends_with(".expect.toml") {
            continue;
        }
        let text = std::fs::read_to_string(&path).expect("text");
        let file = ovolo_engine::diagnostic::SourceFile::new(path.display().to_string(), text);
        let (survey, _) = Survey::read(&file, book()).expect("a sound survey");
        let when = ovolo_engine::explain::Circumstances { place: None, date: survey.date.expect("a date") };
        for surface in ovolo_engine::explain::advise(&survey, book(), &when).expect("its own book").surfaces {
            for method in &surface.methods {
                looked += 1;
                let applying = |ruling: Ruling| {
                    method.reasons.iter().find(|n| n.ruling == ruling && n.status == Status::Applies).map(|n| n.rule.clone())
                };
                if let (Some(for_it), Some(against)) = (applying(Ruling::Prefer), applying(Ruling::RuleOut)) {
                    both.push(format!("{}: {} by {for_it}, against it {against}", file.name, method.method));
                }
            }
        }
    }
    assert!(looked > 1_000, "{looked}");
    assert!(both.is_empty(), "{both:#?}");
}
