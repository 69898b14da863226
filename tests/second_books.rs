//! The proof held against sampling: small rule books made at random, with a pack on top that adds and now and then loosens.
//!
//! Where the proof says that nothing is loosened, hundreds of surveys are judged by both books, and none may come out more leniently
//! than the head of `engine/src/prove/mod.rs` allows. Where it says that something is, its own survey must show it.

mod packs;
mod surveys;

use crate::support::weight;
use ovolo_engine::catalogue::EntryKind;
use ovolo_engine::diagnostic::SourceFile;
use ovolo_engine::explain::{Circumstances, advise};
use ovolo_engine::finding::Status;
use ovolo_engine::judge::{Judge, Verdict};
use ovolo_engine::limit::Basis;
use ovolo_engine::pack::{RuleBook, Ruling};
use ovolo_engine::prove::{Break, Outcome, Report, Wanted, prove};
use ovolo_engine::survey::Survey;
use packs::{Dice, Pair, pair};
use std::collections::BTreeMap;
use surveys::{Sample, sample};

/// Pairs of books that are made.
const BOOKS: usize = 440;
/// Surveys judged for each pair of books.
const SURVEYS: usize = 150;
/// Of them, those whose cautions are read too.
const READ: usize = 10;
const METHODS: [&str; 3] = ["torch", "gel", "scraper"];

fn read(text: &str, book: &RuleBook) -> Survey {
    match Survey::read(&SourceFile::new("sample", text), book) {
        Ok((survey, _)) => survey,
        Err(problems) => panic!("a sample cannot be read: {problems:?}\n{text}"),
    }
}

/// The verdicts on every method of the first book; a proposal is judged as it is made.
fn verdicts(survey: &Survey, book: &RuleBook) -> Vec<Verdict> {
    let judge = Judge::new(book, survey.place.as_deref(), survey.date.expect("a date"));
    let all = judge.verdicts(survey, 0).expect("its own book");
    let mut out: Vec<Verdict> =
        METHODS.iter().map(|id| all[book.base.catalogue.find(EntryKind::Method, id).expect("a method of the first book")]).collect();
    out.extend(survey.surfaces[0].proposals.iter().map(|p| judge.verdict(survey, 0, p).expect("its own book")));
    out
}

/// What the rules of a book say of a method, or of anything: 2 applies, 1 open, 0 silent.
fn heard(survey: &Survey, book: &RuleBook) -> BTreeMap<(String, String), u8> {
    let advice = advise(survey, book, &Circumstances { place: None, date: survey.date.expect("a date") }).expect("its own book");
    let surface = &advice.surfaces[0];
    let mut out = BTreeMap::new();
    let mut hear = |about: &str, notices: &[ovolo_engine::advice::Notice]| {
        for notice in notices {
            let level = if notice.status == Status::Applies { 2 } else { 1 };
            let said = out.entry((about.to_owned(), notice.rule.clone())).or_insert(0);
            *said = level.max(*said);
        }
    };
    hear("", &advice.site.notices);
    hear("", &surface.notices);
    for method in &surface.methods {
        hear(&method.method, &method.reasons);
    }
    out
}

fn entries(book: &RuleBook) -> [usize; 2] {
    [EntryKind::Substrate, EntryKind::Coat].map(|kind| book.base.catalogue.entries(kind).len())
}

/// What a sample shows: a verdict that is looser, or a caution of law or standard that says less.
fn looser(sample: &Sample, old: &RuleBook, new: &RuleBook, cautions: bool, verdicts_too: bool) -> Option<String> {
    let (first, second) = (read(&sample.first, old), read(&sample.second, new));
    if verdicts_too {
        let (before, after) = (verdicts(&first, old), verdicts(&second, new));
        for (at, (b, a)) in before.iter().zip(&after).enumerate() {
            if weight(*a) < weight(*b) {
                let method = METHODS.get(at).copied().unwrap_or("the proposal");
                return Some(format!("{method}: {} has become {}", b.word(), a.word()));
            }
        }
    }
    if cautions {
        let (before, after) = (heard(&first, old), heard(&second, new));
        for (key, level) in &before {
            let rule = old.rule(&key.1);
            let strong = rule.is_some_and(|r| r.ruling == Ruling::Caution && matches!(r.basis, Basis::Statute | Basis::Standard));
            // An added entry that may be what is there leaves open what was sure.
            let wanted = if entries(old) == entries(new) { *level } else { 1 };
            if strong && after.get(key).copied().unwrap_or(0) < wanted {
                return Some(format!("`{}` says less ({})", key.1, key.0));
            }
        }
    }
    None
}

/// Whether the survey given with a break shows it: a looser verdict, or the rule saying less.
fn seen(found: &Break, old: &RuleBook, new: &RuleBook) -> Result<(), String> {
    let Some(given) = &found.survey else { return Err("there is no survey".to_owned()) };
    let texts = [given.without.as_ref().unwrap_or(&given.text), &given.text];
    let surveys = [read(texts[0], old), read(texts[1], new)];
    let [before, after] = [(&surveys[0], old), (&surveys[1], new)].map(|(survey, book)| {
        let judge = Judge::new(book, survey.place.as_deref(), survey.date.expect("a date"));
        let verdicts = match (survey.surfaces[0].proposals.first(), &given.method) {
            (Some(proposal), _) => vec![judge.verdict(survey, 0, proposal).expect("its own book")],
            (None, Some(id)) => {
                vec![judge.verdicts(survey, 0).expect("its own book")[book.base.catalogue.find(EntryKind::Method, id).expect("a method")]]
            }
            (None, None) => judge.verdicts(survey, 0).expect("its own book"),
        };
        let advice = advise(survey, book, &Circumstances { place: None, date: survey.date.expect("a date") }).expect("its own book");
        let surface = &advice.surfaces[0];
        let own = surface.methods.iter().find(|m| Some(m.method.as_str()) == given.method.as_deref());
        let reasons = surface.proposals.first().or(own).into_iter().flat_map(|m| &m.reasons);
        let notices = advice.site.notices.iter().chain(&surface.notices).chain(reasons);
        let level = notices.filter(|n| n.rule == found.rule).map(|n| if n.status == Status::Applies { 2 } else { 1 }).max();
        (verdicts, level.unwrap_or(0))
    });
    let out = |all: &[Verdict]| all.iter().all(|v| *v == Verdict::RuledOut);
    let stuck = given.method.is_none() && out(&after.0) && !out(&before.0);
    let verdict = given.method.is_some() && weight(after.0[0]) < weight(before.0[0]);
    if stuck || verdict || after.1 < before.1 { Ok(()) } else { Err(format!("{before:?} against {after:?}")) }
}

#[derive(Debug, Default)]
struct Count {
    refused: usize,
    proved: usize,
    broken: usize,
    not_known: usize,
    /// Of those broken, those that sampling alone finds.
    found: usize,
    /// Of those not known, likewise.
    found_unknown: usize,
    judged: usize,
}

/// Everything about a pair of books, for a message.
fn told(pair: &Pair, report: &Report) -> String {
    let files: Vec<&str> = [&pair.first, &pair.second].iter().flat_map(|p| p.files.iter().map(|f| f.1.as_str())).collect();
    format!("{}\n{report:#?}", files.join("\n# ----\n"))
}

fn one(dice: &mut Dice, count: &mut Count) -> Result<(), String> {
    let pair = pair(dice);
    let both = [pair.first.clone(), pair.second.clone()];
    // Presumptions can go round in a circle, and a figure can be the wrong way: nothing to be proved.
    let (Ok(old), Ok(new)) = (RuleBook::load(&both[..1]), RuleBook::load(&both)) else {
        count.refused += 1;
        return Ok(());
    };
    let report = prove(&old, &new, &Wanted::default());
    let samples: Vec<Sample> = (0..SURVEYS)
        .map(|_| {
            let method = dice.of(&METHODS);
            sample(dice, method)
        })
        .collect();
    // Guidance may say less: then only the rules themselves are held to.
    let whole = pair.only_strong || !report.remarks.iter().any(|r| r.contains("says less") || r.contains("guidance or practice"));
    count.judged += samples.len();
    let shown = samples.iter().enumerate().find_map(|(n, s)| Some((s, looser(s, &old, &new, n < READ, whole)?)));
    match report.outcome() {
        Outcome::Proved => {
            count.proved += 1;
            if let Some((sample, what)) = shown {
                return Err(format!("proved, and {what}:\n{}\n{}", sample.second, told(&pair, &report)));
            }
        }
        Outcome::Broken => {
            count.broken += 1;
            count.found += usize::from(shown.is_some());
            for found in &report.breaks {
                seen(found, &old, &new)
                    .map_err(|why| format!("`{}` {} is not seen: {why}\n{}", found.rule, found.what, told(&pair, &report)))?;
            }
        }
        Outcome::NotKnown => {
            count.not_known += 1;
            count.found_unknown += usize::from(shown.is_some());
        }
    }
    Ok(())
}

/// The same books every time; `FRESH=2000` tries that many new ones.
#[test]
#[ignore = "long: `cargo long` runs it"]
#[expect(clippy::print_stdout, reason = "how many of each kind there were is what makes the test mean something")]
fn what_is_proved_of_a_second_book_holds_and_what_is_broken_is_seen() {
    let fresh: Option<usize> = std::env::var("FRESH").ok().and_then(|n| n.parse().ok());
    let start = if fresh.is_some() {
        std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).map_or(0, |d| d.as_nanos() as u64)
    } else {
        1886
    };
    let mut count = Count::default();
    let mut wrong: Vec<String> = Vec::new();
    for n in 0..fresh.unwrap_or(BOOKS) {
        let seed = start.wrapping_add(n as u64);
        if let Err(what) = one(&mut Dice(seed), &mut count) {
            wrong.push(format!("books of {seed}: {what}"));
        }
    }
    println!("{count:?}, {} wrong", wrong.len());
    assert!(wrong.is_empty(), "{} wrong:\n{}", wrong.len(), wrong.join("\n# ====\n"));
    if fresh.is_none() {
        assert!(count.proved >= 100 && count.broken >= 60, "too few of one kind to say much: {count:?}");
        // Sampling has to be able to see what is loose, or its silence says nothing.
        assert!(count.found * 3 >= count.broken, "sampling sees too little: {count:?}");
    }
}
