//! The proof that the demo's house pack only tightens the standard packs: the whole, and the part that is only about rules. Reading
//! both rule books is left out.

use criterion::{Criterion, criterion_group, criterion_main};
use ovolo_engine::pack::{PackFiles, RuleBook};
use ovolo_engine::prove::measure::with;
use ovolo_engine::prove::{Outcome, Range, Wanted, prove};
use std::hint::black_box;
use std::path::Path;

fn loaded(packs: &[PackFiles]) -> RuleBook {
    match RuleBook::load(packs) {
        Ok(book) => book,
        Err(problems) => panic!("the packs are unsound: {problems:?}"),
    }
}

fn house() -> PackFiles {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data/house-rules");
    let files = ["pack.toml", "standards.toml", "steam-cabinet.toml"].map(|name| {
        let text = std::fs::read_to_string(folder.join(name)).expect("the demo's house pack is there");
        (name.to_owned(), text)
    });
    PackFiles { folder: folder.display().to_string(), files: files.into() }
}

fn proof(c: &mut Criterion) {
    let mut packs = ovolo_rules::standard();
    let old = loaded(&packs);
    packs.push(house());
    let new = loaded(&packs);
    c.bench_function("prove the demo's house pack", |b| {
        b.iter(|| {
            let report = prove(black_box(&old), black_box(&new), &Wanted::default());
            assert_eq!(report.outcome(), Outcome::Proved);
            report.steps
        });
    });
    let asked = |then: &dyn Fn(&ovolo_engine::prove::measure::Questions<'_, '_>) -> usize| {
        with(black_box(&old), black_box(&new), &Range::default(), |questions| then(questions)).expect("few enough choices")
    };
    c.bench_function("bring both books together", |b| b.iter(|| asked(&|questions| questions.all().len())));
    c.bench_function("bring both books together, lay out the trees", |b| b.iter(|| asked(&|questions| questions.lay_out())));
    c.bench_function("bring both books together, lay out the trees, ask of every rule", |b| {
        b.iter(|| asked(&|questions| questions.all().iter().filter(|q| questions.still_applies(q)).count()));
    });
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10);
    targets = proof
}
criterion_main!(benches);
