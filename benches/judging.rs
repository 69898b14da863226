//! Judging: one survey cold, a known surface and one with six unknown facts against all methods, a thousand surfaces, and the
//! same scripts interpreted directly, all in one run so that their ratio can be quoted.

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use ovolo_engine::diagnostic::SourceFile;
use ovolo_engine::explain::{Circumstances, advise};
use ovolo_engine::judge::Judge;
use ovolo_engine::pack::RuleBook;
use ovolo_engine::second;
use ovolo_engine::survey::Survey;
use std::fmt::Write as _;
use std::hint::black_box;

/// A surface of which everything that rules commonly read is known.
const KNOWN: &str = r#"
[[surface]]
name = "NAME"
substrate = "softwood"
element = "door"
where = "outside"
area = "3.6 m2"
detail = "moulded"
condition = "flaking"
aim = "repaint"
ventilation = "open"
cavity_behind = false
thatch_near = false
removable = false
near = ["glass"]
drain_distance = "8 m"
drain_kind = "foul"
significance = "some"
moisture = "14 %"
surface_temperature = "16 C"
surface_ph = 7
height = "2 m"
coats = [
    { kind = "alkyd", lead = "present", asbestos = "absent", layers = 3, thickness = "0.2 mm", flake_pigment = false, analysed = true },
    { kind = "oil-paint", lead = "present", asbestos = "absent", layers = 6, thickness = "0.5 mm", flake_pigment = false, analysed = true },
]
"#;

const SITE: &str = r#"
[survey]
title = "bench"
place = "GB-ENG"
date = 2026-09-01

[site]
built = 1886
use = "dwelling"
heritage = "none"
consent = true
occupied = true
young_child = false
pregnancy = false
work_for_hire = true
public_funding = false
sprinklers_off = false
air_temperature = "15 C"
humidity = "60 %"
lowest_forecast = "9 C"
wind = "3 m/s"
rain_expected = false
boundary_distance = "12 m"
certified_firm = true
solvent_certificate = false
bats_signs = false
"#;

fn read(book: &RuleBook, text: String) -> Survey {
    match Survey::read(&SourceFile::new("bench.toml", text), book) {
        Ok((survey, _)) => survey,
        Err(problems) => panic!("the bench's survey is unsound: {problems:?}"),
    }
}

/// The known surface less six facts.
fn six_unknown() -> String {
    let gone = ["substrate", "where", "ventilation", "cavity_behind", "near", "removable"];
    KNOWN.lines().filter(|l| !gone.iter().any(|g| l.starts_with(&format!("{g} =")))).fold(String::new(), |mut s, l| {
        let _ = writeln!(s, "{l}");
        s
    })
}

fn judging(c: &mut Criterion) {
    let book = match RuleBook::load(&ovolo_rules::standard()) {
        Ok(book) => book,
        Err(problems) => panic!("the standard packs are unsound: {problems:?}"),
    };
    let when = Circumstances { place: None, date: jiff::civil::date(2026, 9, 1) };
    let known = read(&book, format!("{SITE}{KNOWN}"));
    let open = read(&book, format!("{SITE}{}", six_unknown()));
    let judge = Judge::new(&book, Some("GB-ENG"), when.date);

    c.bench_function("one survey cold: read, make ready, judge, explain", |b| {
        b.iter_batched(
            || format!("{SITE}{KNOWN}"),
            |text| {
                let survey = read(&book, text);
                advise(&survey, &book, &when).expect("its own book").surfaces.len()
            },
            BatchSize::SmallInput,
        );
    });
    c.bench_function("a known surface, all methods, warm", |b| {
        b.iter(|| judge.verdicts(black_box(&known), 0).expect("its own book").len());
    });
    c.bench_function("six unknown facts, all methods, verdicts", |b| {
        b.iter(|| judge.verdicts(black_box(&open), 0).expect("its own book").len());
    });
    c.bench_function("six unknown facts, all methods, explained", |b| {
        b.iter(|| advise(black_box(&open), &book, &when).expect("its own book").surfaces.len());
    });
    let mut text = SITE.to_owned();
    for i in 0..1_000 {
        text.push_str(&KNOWN.replace("NAME", &format!("surface {i}")));
    }
    let many = read(&book, text);
    c.bench_function("a thousand surfaces, all methods", |b| {
        b.iter(|| (0..many.surfaces.len()).map(|s| judge.verdicts(black_box(&many), s).expect("its own book").len()).sum::<usize>());
    });
    // The same rules on the same surface and all methods, run by Rhai on plain values, scripts compiled once.
    let direct = second::Interpreted::new(&book, &when, Some("GB-ENG"));
    c.bench_function("a known surface, all methods, scripts interpreted", |b| {
        b.iter(|| direct.run_all(black_box(&known), 0).expect("its own book"));
    });
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(20);
    targets = judging
}
criterion_main!(benches);
