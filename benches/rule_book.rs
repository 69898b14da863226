//! Loading the rule book: reading, checking and unfolding every standard pack; listening to a line.

use criterion::{Criterion, criterion_group, criterion_main};
use ovolo_engine::answer::{Context, Listener};
use ovolo_engine::pack::RuleBook;
use std::hint::black_box;

fn load(c: &mut Criterion) {
    let packs = ovolo_rules::standard();
    c.bench_function("load the standard rule book", |b| {
        b.iter(|| RuleBook::load(black_box(&packs)).map(|book| book.rules.len()));
    });
}

fn hear(c: &mut Criterion) {
    let book = RuleBook::load(&ovolo_rules::standard()).expect("the standard packs load");
    let listener = Listener::new(&book);
    let context = Context { year: Some(2026), ..Context::default() };
    let line = "front door, oak, about 1890, half a dozen coats of gloss on red lead primer, over a drain, tenants upstairs";
    c.bench_function("take in the words of the rule book", |b| b.iter(|| Listener::new(black_box(&book))));
    c.bench_function("hear one line", |b| b.iter(|| listener.hear(black_box(line), &context).said.len()));
    let slips = "frnot dooor, limstone, galvinised raling, emulsoin, somthing everywere altogther";
    c.bench_function("hear one line of slips", |b| b.iter(|| listener.hear(black_box(slips), &context).said.len()));
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(20);
    targets = load, hear
}
criterion_main!(benches);
