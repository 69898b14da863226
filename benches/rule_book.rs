//! Loading the rule book: reading, checking and unfolding every standard pack.

use criterion::{Criterion, criterion_group, criterion_main};
use engine::pack::RuleBook;
use std::hint::black_box;

fn load(c: &mut Criterion) {
    let packs = rules::standard();
    c.bench_function("load the standard rule book", |b| {
        b.iter(|| RuleBook::load(black_box(&packs)).map(|book| book.rules.len()));
    });
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(20);
    targets = load
}
criterion_main!(benches);
