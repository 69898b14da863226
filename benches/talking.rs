//! From an answer to its effect on a survey of thirty surfaces: what the person sees, the next question, and the file.

use cli::talk::store::Store;
use cli::talk::{Fixed, Session};
use criterion::{Criterion, criterion_group, criterion_main};
use ovolo_engine::pack::RuleBook;
use std::fmt::Write as _;
use std::hint::black_box;

/// Thirty surfaces, made of the demo terrace's five.
fn thirty() -> String {
    let text = include_str!("../demo-data/quillhaven/terrace.toml");
    let text = text.split("\n[[departure]]").next().unwrap_or(text);
    let (head, surfaces) = text.split_once("\n[[surface]]\n").expect("surfaces");
    let surfaces: Vec<&str> = surfaces.split("\n[[surface]]\n").collect();
    let mut all = head.to_owned();
    for n in 0..30 {
        let surface = surfaces[n % surfaces.len()].replacen("name      = \"", &format!("name      = \"{n} "), 1);
        let _ = write!(all, "\n[[surface]]\n{surface}");
    }
    all
}

fn bench(c: &mut Criterion) {
    let book = RuleBook::load(&ovolo_rules::standard()).expect("the standard packs are sound");
    let date = "2026-09-14".parse().expect("a date");
    let text = thirty();
    let mut group = c.benchmark_group("talk, thirty surfaces");
    // The site's facts touch every surface, a surface's own only itself.
    for (what, answers) in [
        ("a fact of the site", ["set occupied yes", "set occupied no"]),
        ("the year", ["set built 1890", "set built 1985"]),
        ("a fact of one surface", ["set substrate oak", "set substrate softwood"]),
        ("a doubt", ["set substrate oak, I think", "set substrate softwood"]),
    ] {
        let mut session = Session::new(&book, Some(("survey.toml", &text)), Fixed::default(), date, 90).expect("it begins");
        let _ = session.question();
        let mut turn = 0;
        group.bench_function(format!("{what}: to its effect"), |b| {
            b.iter(|| {
                turn += 1;
                black_box(session.line(answers[turn % 2]).text)
            });
        });
        group.bench_function(format!("{what}: to the next question"), |b| {
            b.iter(|| {
                turn += 1;
                let told = session.line(answers[turn % 2]).text;
                black_box((told, session.question()))
            });
        });
    }
    let folder = tempfile::tempdir().expect("a folder");
    let (mut store, _) = Store::open(&folder.path().join("survey.toml"), 1 << 20).expect("a file");
    let mut turn = 0_u64;
    group.bench_function("the file brought to disk", |b| {
        b.iter(|| {
            turn += 1;
            store.save(&format!("# {turn}\n{text}")).expect("saved");
        });
    });
    group.finish();
}

criterion_group!(benches, bench);
criterion_main!(benches);
