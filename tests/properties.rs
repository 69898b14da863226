//! What must always hold, on generated surveys.
//!
//! A survey is generated from a list of picks: each names a fact and one of its interesting values (for numbers: the
//! figures that some rule compares it with, and what lies just beside them). Picks shrink well.

use crate::support::{book, load};
use jiff::civil::date;
use ovolo_engine::advice::{Advice, FactRead, MethodAdvice};
use ovolo_engine::catalogue::EntryKind;
use ovolo_engine::diagnostic::SourceFile;
use ovolo_engine::explain::{Circumstances, advise, check, look};
use ovolo_engine::finding::Footing;
use ovolo_engine::judge::{Judge, Verdict};
use ovolo_engine::pack::RuleBook;
use ovolo_engine::reach::Reach;
use ovolo_engine::second;
use ovolo_engine::survey::{Facts, Proposal, Stated, Surface, Survey};
use ovolo_engine::tree::{Expr, Test};
use ovolo_engine::vocabulary::{About, Fact, FactId, FactKind, Known, lowest};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// A fact (by number among those that fit) and a value (by number among its interesting ones).
type Pick = (u16, u16);

#[derive(Debug, Clone)]
pub(crate) struct Generated {
    site: Vec<Pick>,
    surface: Vec<Pick>,
    coats: Option<Vec<Vec<Pick>>>,
    method: usize,
    settings: Vec<Pick>,
    place: Option<&'static str>,
}

const PLACES: &[Option<&str>] = &[
    None,
    Some("US"),
    Some("US-MA"),
    Some("GB-ENG"),
    Some("GB-SCT"),
    Some("FR"),
    Some("AU"),
    Some("CA"),
    Some("IE"),
    Some("NZ"),
    Some("JP"),
];

fn picks(most: usize) -> impl Strategy<Value = Vec<Pick>> {
    prop::collection::vec(any::<Pick>(), 0..most)
}

pub(crate) fn generated() -> impl Strategy<Value = Generated> {
    let coats = prop::option::weighted(0.9, prop::collection::vec(picks(6), 0..4));
    let methods = 0..book().base.catalogue.entries(EntryKind::Method).len();
    (picks(14), picks(14), coats, methods, picks(6), prop::sample::select(PLACES))
        .prop_map(|(site, surface, coats, method, settings, place)| Generated { site, surface, coats, method, settings, place })
}

/// The figures that some rule compares a fact with.
fn figures() -> &'static BTreeMap<FactId, Vec<f64>> {
    static FIGURES: OnceLock<BTreeMap<FactId, Vec<f64>>> = OnceLock::new();
    FIGURES.get_or_init(|| {
        let mut out: BTreeMap<FactId, Vec<f64>> = BTreeMap::new();
        let trees = book().rules.iter().map(|r| &r.tree).chain(book().presumptions.iter().map(|p| &p.tree));
        for test in trees.flat_map(ovolo_engine::tree::Tree::tests) {
            if let Test::Compare(a, _, b) = test
                && let Expr::Fact(fact) = **a
            {
                let list = out.entry(fact).or_default();
                match &**b {
                    Expr::Const(c) => list.push(*c),
                    Expr::Limit(l) => list.extend(book().base.limits[*l].values.iter().map(|v| v.quantity.base)),
                    _ => {}
                }
            }
        }
        for list in out.values_mut() {
            list.sort_by(f64::total_cmp);
            list.dedup();
        }
        out
    })
}

/// The interesting values of a fact, by number.
fn value(id: FactId, fact: &Fact, n: u16) -> Known {
    let catalogue = &book().base.catalogue;
    let n = usize::from(n);
    match &fact.kind {
        FactKind::Number { range, .. } | FactKind::Year { range } => {
            let (low, high) = range.bounds().unwrap_or((0.0, 1.0));
            let step = if fact.whole() { 1.0 } else { (high - low).abs().min(1e6) * 1e-6 };
            let mut values = vec![low, high.min(low + 1e6)];
            for figure in figures().get(&id).into_iter().flatten() {
                values.extend([*figure, figure - step, figure + step]);
            }
            let value = values[n % values.len()].clamp(low, high);
            let value = if fact.whole() { value.round() } else { value };
            // Now and then only a range is known.
            if n % 7 == 3 {
                let other = values[(n / 7) % values.len()].clamp(low, high);
                let other = if fact.whole() { other.round() } else { other };
                return Known::Num(Reach::closed(value.min(other), value.max(other)));
            }
            Known::Num(Reach::point(value))
        }
        FactKind::Several(_) => {
            let all = lowest(fact.width(catalogue));
            let yes = (n as u128).wrapping_mul(0x9E37) & all;
            Known::Several { yes, no: all & !yes }
        }
        _ => {
            let width = fact.width(catalogue);
            let first = 1u128 << (n % width);
            // Now and then one of two.
            Known::Bits(if n % 11 == 5 { first | 1 << ((n / 11) % width) } else { first })
        }
    }
}

fn facts(picks: &[Pick], wanted: impl Fn(&Fact) -> bool) -> Facts {
    let fitting: Vec<(FactId, &Fact)> = book().base.vocabulary.iter().filter(|(_, f)| wanted(f)).collect();
    let mut out = Facts::new();
    for (which, n) in picks {
        let (id, fact) = fitting[usize::from(*which) % fitting.len()];
        let stated = Stated { known: value(id, fact, *n), written: "generated".to_owned(), by: None, on: None, note: None };
        out.insert(id, stated);
    }
    out
}

impl Generated {
    pub(crate) fn survey(&self) -> Survey {
        // The facts that decide most come up more often.
        let mut surface = facts(&self.surface, |f| f.about == About::Surface);
        if let (Some((_, n)), Some(id)) = (self.surface.first(), book().base.vocabulary.find("surface.substrate")) {
            let known = value(id, book().base.vocabulary.get(id), *n);
            surface.entry(id).or_insert(Stated { known, written: "generated".to_owned(), by: None, on: None, note: None });
        }
        let kind = book().base.vocabulary.find("coat.kind").expect("the core vocabulary");
        let coats = self.coats.as_ref().map(|coats| {
            coats
                .iter()
                .map(|picks| {
                    let mut coat = facts(picks, |f| f.about == About::Coat);
                    if let Some((_, n)) = picks.first() {
                        let known = value(kind, book().base.vocabulary.get(kind), *n);
                        coat.entry(kind).or_insert(Stated { known, written: "generated".to_owned(), by: None, on: None, note: None });
                    }
                    coat
                })
                .collect()
        });
        let mut survey = Survey::of(Surface { facts: surface, coats, ..Surface::named("surface") }, &book().base);
        "generated".clone_into(&mut survey.title);
        survey.date = Some(date(2026, 9, 1));
        survey.place = self.place.map(str::to_owned);
        survey.site = facts(&self.site, |f| f.about == About::Site);
        survey
    }

    fn proposal(&self) -> Proposal {
        Proposal {
            method: book().base.method_at(self.method).expect("a method"),
            settings: facts(&self.settings, |f| f.about == About::Method),
            note: None,
        }
    }

    fn bare(&self) -> Proposal {
        Proposal { method: book().base.method_at(self.method).expect("a method"), settings: Facts::new(), note: None }
    }
}

pub(crate) fn when() -> Circumstances {
    Circumstances { place: None, date: date(2026, 9, 1) }
}

fn checked(survey: &Survey, proposal: &Proposal) -> MethodAdvice {
    check(survey, book(), &when(), 0, proposal).expect("its own book").surfaces.remove(0).proposals.remove(0)
}

/// As checked, where nobody asks what would change the verdict: that is most of the work.
fn looked(survey: &Survey, proposal: &Proposal) -> MethodAdvice {
    look(survey, book(), &when(), 0, proposal).expect("its own book").surfaces.remove(0).proposals.remove(0)
}

fn judged(survey: &Survey, proposal: &Proposal) -> Verdict {
    Judge::new(book(), survey.place.as_deref(), date(2026, 9, 1)).verdict(survey, 0, proposal).expect("its own book")
}

fn words(verdict: Verdict) -> &'static str {
    verdict.word()
}

/// Whether an explanation names a fact.
fn names(advice: &MethodAdvice, fact: &str, coat: Option<usize>) -> bool {
    let about = coat.map(|c| format!("coat {}", c + 1));
    advice
        .rests_on
        .iter()
        .any(|f| f.fact.split(' ').any(|w| w == fact) && about.as_ref().is_none_or(|a| *a == f.about || f.about == "taken together"))
}

/// Only the stated facts that an explanation cites.
fn only_cited(survey: &Survey, proposal: &Proposal, cited: &[FactRead]) -> (Survey, Proposal) {
    let base = &book().base;
    let keep = |id: &FactId, about: &str| {
        let fact = &base.vocabulary.get(*id).id;
        cited.iter().any(|c| c.about == about && c.fact.split(' ').next() == Some(fact))
    };
    let mut survey = survey.clone();
    let mut proposal = proposal.clone();
    survey.site.retain(|id, _| keep(id, "site"));
    survey.surfaces[0].facts.retain(|id, _| keep(id, "surface"));
    if let Some(coats) = &mut survey.surfaces[0].coats {
        for (i, coat) in coats.iter_mut().enumerate() {
            coat.retain(|id, _| keep(id, &format!("coat {}", i + 1)));
        }
    }
    proposal.settings.retain(|id, _| keep(id, base.vocabulary.get(*id).about.word()));
    (survey, proposal)
}

/// A rule book whose packs, files and rules come in the opposite order.
fn turned_book() -> &'static RuleBook {
    static BOOK: OnceLock<RuleBook> = OnceLock::new();
    BOOK.get_or_init(|| {
        let mut packs = ovolo_rules::standard();
        packs.reverse();
        for pack in &mut packs {
            pack.files.reverse();
        }
        let mut book = RuleBook::load(&packs).expect("the standard packs load in any order");
        book.rules.reverse();
        book
    })
}

fn conditions(advice: &MethodAdvice) -> Vec<(String, String)> {
    let mut out: Vec<(String, String)> = advice.conditions.iter().map(|c| (c.fact.clone(), c.need.clone())).collect();
    out.sort();
    out
}

/// The same surveys every time, so that a run can be repeated; `FRESH=1000` tries that many new ones.
pub(crate) fn config() -> ProptestConfig {
    let fresh = std::env::var("FRESH").ok().and_then(|n| n.parse().ok());
    ProptestConfig {
        cases: fresh.unwrap_or(96),
        rng_seed: if fresh.is_some() { RngSeed::Random } else { RngSeed::Fixed(1886) },
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

proptest! {
    #![proptest_config(config())]

    /// The trees and the scripts themselves say the same.
    #[test]
    fn the_two_judges_agree(g in generated()) {
        let mut survey = g.survey();
        survey.surfaces[0].proposals.push(g.proposal());
        let comparison = second::compare(&survey, book(), &when(), Some(g.method)).expect("its own book");
        prop_assert!(comparison.differences.is_empty(), "{:#?}", comparison.differences);
    }

    /// The order of packs, files, rules and facts does not matter.
    #[test]
    fn order_does_not_matter(g in generated()) {
        let survey = g.survey();
        let mut turned = survey.clone();
        turned.site.reverse();
        turned.surfaces[0].facts.reverse();
        let ours = looked(&survey, &g.proposal());
        let theirs = look(&turned, turned_book(), &when(), 0, &g.proposal()).expect("the same book").surfaces.remove(0).proposals.remove(0);
        prop_assert_eq!(ours.verdict, theirs.verdict);
        let burden = |a: &MethodAdvice| a.conditions.iter().map(|c| c.set.iter().map(|s| book().base.vocabulary.get(s.fact).burden).sum::<f64>()).sum::<f64>();
        prop_assert!((burden(&ours) - burden(&theirs)).abs() < 1e-9, "{:?} against {:?}", conditions(&ours), conditions(&theirs));
    }

    /// An answer never clears a method unless the explanation named the fact.
    #[test]
    fn nothing_unnamed_clears_a_method(g in generated(), which in any::<u16>(), n in any::<u16>()) {
        let survey = g.survey();
        let before = looked(&survey, &g.bare());
        if matches!(before.verdict, Verdict::Suited | Verdict::SuitedWithCare) {
            return Ok(());
        }
        let base = &book().base;
        let open: Vec<(FactId, Option<usize>)> = base
            .vocabulary
            .iter()
            .filter(|(_, f)| !f.chosen)
            .flat_map(|(id, f)| match f.about {
                About::Site if !survey.site.contains_key(&id) => vec![(id, None)],
                About::Surface if !survey.surfaces[0].facts.contains_key(&id) => vec![(id, None)],
                About::Coat => survey.surfaces[0].coats.iter().flatten().enumerate().filter(|(_, c)| !c.contains_key(&id)).map(|(i, _)| (id, Some(i))).collect(),
                _ => Vec::new(),
            })
            .collect();
        if open.is_empty() {
            return Ok(());
        }
        let (fact, coat) = open[usize::from(which) % open.len()];
        let known = value(fact, base.vocabulary.get(fact), n);
        let mut filled = survey.clone();
        let mut settings = Facts::new();
        filled.take_as_found(0, &[ovolo_engine::survey::Supposition { fact, coat, known }], &mut settings, base);
        let after = judged(&filled, &g.bare());
        if after.suits() {
            let id = &base.vocabulary.get(fact).id;
            prop_assert!(names(&before, id, coat), "{id} cleared {} ({}) and is not named", before.method, before.verdict.word());
        }
    }

    /// Each reported flip flips, and no proper part of it does.
    #[test]
    #[ignore = "long: `cargo long` runs it"]
    fn flips_flip_and_are_smallest(g in generated()) {
        let survey = g.survey();
        let proposal = g.proposal();
        let before = checked(&survey, &proposal);
        let suits = matches!(before.verdict, Verdict::Suited | Verdict::SuitedWithCare);
        let with = |parts: &[&ovolo_engine::advice::Flip]| {
            let mut survey = survey.clone();
            let mut proposal = proposal.clone();
            for part in parts {
                survey.take_as_found(0, &part.set, &mut proposal.settings, &book().base);
            }
            judged(&survey, &proposal)
        };
        for flip in &before.flips {
            let whole: Vec<&ovolo_engine::advice::Flip> = flip.iter().collect();
            prop_assert_ne!(with(&whole).suits(), suits, "{:?} does not flip {} ({})", flip, before.method, before.verdict.word());
            for left_out in 0..whole.len() {
                let part: Vec<&ovolo_engine::advice::Flip> = whole.iter().enumerate().filter(|(i, _)| *i != left_out).map(|(_, f)| *f).collect();
                prop_assert_eq!(with(&part).suits(), suits, "{:?} is not smallest", flip);
            }
        }
    }

    /// The facts an explanation cites are enough for its verdict.
    #[test]
    fn cited_facts_are_enough(g in generated()) {
        let survey = g.survey();
        let proposal = g.proposal();
        let before = looked(&survey, &proposal);
        let (less, proposal) = only_cited(&survey, &proposal, &before.rests_on);
        prop_assert_eq!(words(judged(&less, &proposal)), before.verdict.word());
    }

    /// A condition, once met, is enough.
    #[test]
    fn conditions_are_enough(g in generated()) {
        let survey = g.survey();
        let before = looked(&survey, &g.bare());
        if before.verdict != Verdict::SuitedWithCare || before.conditions.is_empty() {
            return Ok(());
        }
        let mut met = survey.clone();
        let mut proposal = g.bare();
        for condition in &before.conditions {
            met.take_as_found(0, &condition.set, &mut proposal.settings, &book().base);
        }
        prop_assert_eq!(words(judged(&met, &proposal)), "suited");
    }

    /// "Can't tell yet" has one completion each way, and both are what they claim.
    #[test]
    #[ignore = "long: `cargo long` runs it"]
    fn undecided_verdicts_can_go_either_way(g in generated()) {
        let survey = g.survey();
        let before = checked(&survey, &g.bare());
        if before.verdict != Verdict::CantTellYet || before.bound_reached {
            return Ok(());
        }
        // A presumed fact counts as known, and a completion holds it where it is: it is stated here, or stating the completion
        // could make another presumption speak.
        let base = &book().base;
        let held: Vec<ovolo_engine::survey::Supposition> = before
            .rests_on
            .iter()
            .filter(|f| f.how_known.ground == Footing::Presumed)
            .filter_map(|f| {
                let fact = base.vocabulary.find(&f.fact)?;
                let coat = f.about.strip_prefix("coat ").and_then(|c| c.parse::<usize>().ok()).map(|c| c - 1);
                let known = ovolo_engine::survey::parse_text(&f.value, fact, base).ok()?;
                Some(ovolo_engine::survey::Supposition { fact, coat, known })
            })
            .collect();
        let completions = before.completions.as_ref().expect("an undecided verdict has completions");
        let with = |flips: &[ovolo_engine::advice::Flip]| {
            let mut survey = survey.clone();
            let mut proposal = g.bare();
            survey.take_as_found(0, &held, &mut proposal.settings, base);
            for flip in flips {
                survey.take_as_found(0, &flip.set, &mut proposal.settings, &book().base);
            }
            judged(&survey, &proposal)
        };
        prop_assert!(with(&completions.suits).suits(), "{:?} should suit, is {}", completions.suits, with(&completions.suits).word());
        prop_assert!(!with(&completions.not).suits(), "{:?} should not suit", completions.not);
    }

    /// Facts that cannot matter cannot.
    #[test]
    #[ignore = "long: `cargo long` runs it"]
    fn what_cannot_matter_does_not(g in generated(), which in any::<u16>(), n in any::<u16>()) {
        let survey = g.survey();
        let advice: Advice = advise(&survey, book(), &when()).expect("its own book");
        if advice.cannot_matter.is_empty() {
            return Ok(());
        }
        let idle = &advice.cannot_matter[usize::from(which) % advice.cannot_matter.len()];
        let base = &book().base;
        let fact = base.vocabulary.find(&idle.fact).expect("a fact of the vocabulary");
        let coat = idle.about.strip_prefix("coat ").map(|c| c.parse::<usize>().expect("a number") - 1);
        let known = value(fact, base.vocabulary.get(fact), n);
        let mut filled = survey.clone();
        filled.take_as_found(0, &[ovolo_engine::survey::Supposition { fact, coat, known }], &mut Facts::new(), base);
        let judge = Judge::new(book(), survey.place.as_deref(), date(2026, 9, 1));
        prop_assert_eq!(judge.verdicts(&survey, 0).expect("its own book"), judge.verdicts(&filled, 0).expect("its own book"), "{} of {}", &idle.fact, &idle.about);
    }

    /// The same survey and rule book give the same bytes.
    #[test]
    #[ignore = "long: `cargo long` runs it"]
    fn the_same_in_gives_the_same_out(g in generated()) {
        let survey = g.survey();
        let one = serde_json::to_string(&check(&survey, book(), &when(), 0, &g.proposal()).expect("its own book")).expect("JSON");
        let two = serde_json::to_string(&check(&survey, book(), &when(), 0, &g.proposal()).expect("its own book")).expect("JSON");
        prop_assert_eq!(one, two);
    }

    /// No text, however odd, breaks the reader.
    #[test]
    fn no_text_breaks_the_reader(text in "\\PC{0,200}|(\\[\\[?(survey|site|surface|coats)\\]?\\]\n|[a-z_]{1,9} = [\"'a-z0-9.{}\\[\\]~/-]{0,12}\n){0,12}") {
        let file = SourceFile::new("odd.toml", text);
        let _ = Survey::read(&file, book());
    }
}

/// Loading twice gives the same digest, and another pack another.
#[test]
fn the_digest_follows_the_packs() {
    assert_eq!(book().digest, load(&[]).digest);
    assert_eq!(book().digest, turned_book().digest);
    let mut packs = ovolo_rules::standard();
    let file = packs[0].files.iter_mut().find(|(name, _)| name == "pack.toml").expect("every pack has one");
    file.1.push_str("\n# a remark\n");
    assert_ne!(book().digest, RuleBook::load(&packs).expect("it loads").digest);
}

/// The two judges are held against each other on every worked case, and that is no small number of scripts.
#[test]
#[ignore = "long: `cargo long` runs it"]
fn the_two_judges_agree_on_every_worked_case() {
    let mut compared = 0;
    for case in &book().cases {
        let circumstances = Circumstances { place: None, date: case.survey.date.unwrap_or(date(2026, 11, 24)) };
        let comparison = second::compare(&case.survey, book(), &circumstances, case.method).expect("its own book");
        assert!(comparison.differences.is_empty(), "{}: {:#?}", case.title, comparison.differences);
        compared += comparison.compared;
    }
    assert!(compared > 10 * book().cases.len(), "{compared} comparisons");
}
