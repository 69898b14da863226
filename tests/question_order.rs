//! How many questions it takes until every verdict is settled: in the order the engine proposes, in the order of the file, and
//! at random.
//!
//! On each situation half of what is stated about site, surfaces and coats is hidden, and one hidden fact after the other is
//! told again. All three orders draw from the same hidden facts, and stop once no verdict is open that the whole survey would
//! have settled.

use crate::support::{book, files_in, root};
use ovolo_engine::diagnostic::SourceFile;
use ovolo_engine::explain::{Outlook, questions};
use ovolo_engine::judge::{Judge, Verdict};
use ovolo_engine::survey::{Stated, Survey};
use ovolo_engine::vocabulary::FactId;
use std::sync::Arc;

/// A stated fact by where it stands.
#[derive(Debug, Clone, PartialEq)]
struct Told {
    /// `None` for the site.
    surface: Option<usize>,
    coat: Option<usize>,
    fact: FactId,
    stated: Stated,
}

fn told(survey: &Survey) -> Vec<Told> {
    let mut all: Vec<Told> = survey.site.iter().map(|(f, s)| Told { surface: None, coat: None, fact: *f, stated: s.clone() }).collect();
    for (i, surface) in survey.surfaces.iter().enumerate() {
        all.extend(surface.facts.iter().map(|(f, s)| Told { surface: Some(i), coat: None, fact: *f, stated: s.clone() }));
        for (c, coat) in surface.coats.iter().flatten().enumerate() {
            all.extend(coat.iter().map(|(f, s)| Told { surface: Some(i), coat: Some(c), fact: *f, stated: s.clone() }));
        }
    }
    all.retain(|t| !book().base.vocabulary.get(t.fact).chosen);
    all
}

fn put(survey: &mut Survey, t: &Told, there: bool) {
    let facts = match (t.surface, t.coat) {
        (None, _) => &mut survey.site,
        (Some(s), None) => &mut survey.surfaces[s].facts,
        (Some(s), Some(c)) => &mut survey.surfaces[s].coats.as_mut().expect("coats are listed")[c],
    };
    if there {
        facts.insert(t.fact, t.stated.clone());
    } else {
        facts.shift_remove(&t.fact);
    }
}

/// A small generator, so that a run can be repeated.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % n.max(1)
    }

    fn shuffle<T>(&mut self, items: &mut [T]) {
        for i in (1..items.len()).rev() {
            items.swap(i, self.below(i + 1));
        }
    }
}

fn open(judge: &Judge<'_>, survey: &Survey) -> Vec<(usize, usize)> {
    (0..survey.surfaces.len())
        .flat_map(|s| {
            judge
                .verdicts(survey, s)
                .expect("its own book")
                .into_iter()
                .enumerate()
                .filter(|(_, v)| *v == Verdict::CantTellYet)
                .map(move |(m, _)| (s, m))
        })
        .collect()
}

/// How many of the hidden facts are told, in the order `next` picks them, until nothing is open that could be settled.
fn count(judge: &Judge<'_>, whole: &Survey, hidden: &[Told], next: &mut dyn FnMut(&Survey, &[Told]) -> usize) -> usize {
    let lasting = open(judge, whole);
    let mut survey = whole.clone();
    for t in hidden {
        put(&mut survey, t, false);
    }
    let mut left = hidden.to_vec();
    let mut asked = 0;
    while !left.is_empty() && open(judge, &survey).iter().any(|o| !lasting.contains(o)) {
        let t = left.remove(next(&survey, &left));
        put(&mut survey, &t, true);
        asked += 1;
    }
    asked
}

/// The hidden fact the engine would ask for first, on the first surface where something is open.
fn proposed(judge: &Judge<'_>, survey: &Survey, left: &[Told]) -> usize {
    let outlooks: Vec<Arc<Outlook>> =
        (0..survey.surfaces.len()).map(|s| Arc::new(Outlook::new(judge, survey, s).expect("its own book"))).collect();
    for surface in 0..survey.surfaces.len() {
        for ask in questions(judge, survey, &outlooks, surface).expect("its own book") {
            let at = left.iter().position(|t| t.fact == ask.fact && t.coat == ask.coat && t.surface.is_none_or(|s| s == surface));
            if let Some(at) = at {
                return at;
            }
        }
    }
    0
}

#[test]
#[ignore = "long: `cargo long` runs it"]
#[expect(clippy::print_stdout, reason = "the ratio is what the test is for")]
fn the_proposed_order_needs_fewer_questions() {
    let (mut ours, mut in_file, mut at_random) = (0, 0, 0);
    let mut dice = Dice(7);
    let rounds = std::env::var("FRESH").ok().and_then(|n| n.parse().ok()).unwrap_or(2);
    for path in files_in(&root().join("tests/situations"), ".toml") {
        if path.to_string_lossy().ends_with(".expect.toml") {
            continue;
        }
        let text = std::fs::read_to_string(&path).expect("text");
        let (whole, _) = Survey::read(&SourceFile::new("survey", text), book()).expect("a sound survey");
        let date = whole.date.unwrap_or_else(|| "2026-09-01".parse().expect("a date"));
        let judge = Judge::new(book(), whole.place.as_deref(), date);
        for _ in 0..rounds {
            let mut all = told(&whole);
            dice.shuffle(&mut all);
            let mut hidden = all[..all.len() / 2].to_vec();
            ours += count(&judge, &whole, &hidden, &mut |survey, left| proposed(&judge, survey, left));
            at_random += count(&judge, &whole, &hidden, &mut |_, left| dice.below(left.len()));
            let order = told(&whole);
            hidden.sort_by_key(|t| order.iter().position(|o| o == t));
            in_file += count(&judge, &whole, &hidden, &mut |_, _| 0);
        }
    }
    println!(
        "questions until every verdict is settled: proposed order {ours}, file order {in_file} ({:.2} times), random {at_random} ({:.2} times)",
        in_file as f64 / ours as f64,
        at_random as f64 / ours as f64
    );
    assert!(ours < in_file && ours < at_random, "proposed {ours}, file {in_file}, random {at_random}");
}
