//! The proof's questions about rules, put to our own search on paths and to decision diagrams, in one run.
//!
//! `cargo run --release` here prints a table for the standard packs with the demo's house pack on top, and then, so that not every
//! answer is yes, for each pack of `tests/loosening` that loads on the standard packs. A disagreement ends the run.

mod diagram;

use diagram::{Coding, Diagram, Encoding};
use ovolo_engine::pack::{PackFiles, RuleBook};
use ovolo_engine::prove::measure::{Book, Questions, with};
use ovolo_engine::prove::{Range, Wanted, Weakened, prove};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// Steps our own search may take for one question of whether a region is covered.
const MOST_STEPS: usize = 2_000_000;
/// How often each thing is done; the fastest counts.
const TIMES: usize = 5;

fn main() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let standard = ovolo_rules::standard();
    let old = RuleBook::load(&standard).expect("the standard packs load");
    let on_top = |folder: &Path| {
        let packs: Vec<PackFiles> = standard.iter().cloned().chain([pack_in(folder)]).collect();
        RuleBook::load(&packs).ok()
    };
    let demo = on_top(&root.join("demo-data/house-rules")).expect("the demo's pack loads");
    println!("standard packs and the demo's house pack");
    let whole = fastest(|| prove(&old, &demo, &Wanted::default()).steps);
    println!("  the whole proof (presumptions, open entries, way forward and departures too): {}", ms(whole.0));
    for without in [Weakened::SkipWayForward, Weakened::SkipPresumptions] {
        let wanted = Wanted { weakened: Some(without), ..Wanted::default() };
        println!("  the same with {without:?}: {}", ms(fastest(|| prove(&old, &demo, &wanted).steps).0));
    }
    for coding in [Coding::Binary, Coding::OneHot] {
        with(&old, &demo, &Range::default(), |q| compare(q, coding, true));
    }
    let mut folders: Vec<PathBuf> =
        std::fs::read_dir(root.join("tests/loosening")).expect("the packs that loosen").map(|e| e.expect("an entry").path()).collect();
    folders.sort();
    for folder in folders.iter().filter(|f| f.join("house").is_dir() && !f.join("standard").is_dir()) {
        let Some(new) = on_top(&folder.join("house")) else { continue };
        println!("standard packs and {}", folder.file_name().expect("a name").to_string_lossy());
        with(&old, &new, &Range::default(), |q| compare(q, Coding::Binary, false));
    }
}

fn pack_in(folder: &Path) -> PackFiles {
    let mut files: Vec<(String, String)> = std::fs::read_dir(folder)
        .expect("the folder is there")
        .map(|e| e.expect("an entry").path())
        .filter(|p| p.extension().is_some_and(|e| e == "toml" || e == "rhai"))
        .map(|p| (p.file_name().expect("a name").to_string_lossy().into_owned(), std::fs::read_to_string(&p).expect("text")))
        .collect();
    files.sort();
    PackFiles { folder: folder.display().to_string(), files }
}

fn ms(time: Duration) -> String {
    format!("{:.1} ms", time.as_secs_f64() * 1e3)
}

fn ratio(a: Duration, b: Duration) -> String {
    format!("{:.2}", a.as_secs_f64() / b.as_secs_f64())
}

/// The shortest time, and what came of it.
fn fastest<T>(mut work: impl FnMut() -> T) -> (Duration, T) {
    let mut run = || {
        let start = Instant::now();
        let made = work();
        (start.elapsed(), made)
    };
    let mut best = run();
    for _ in 1..TIMES {
        let next = run();
        if next.0 < best.0 {
            best = next;
        }
    }
    best
}

/// Asks everything both ways.
fn compare(q: &Questions<'_, '_>, coding: Coding, in_full: bool) {
    // Our own: the first laying out only, since it is kept.
    let start = Instant::now();
    let paths = q.lay_out();
    let laid_out = start.elapsed();
    let (ours, still) = fastest(|| q.all().iter().map(|question| q.still_applies(question)).collect::<Vec<bool>>());

    let trees: Vec<[Option<usize>; 2]> = q.all().iter().map(|question| [Book::Old, Book::New].map(|book| q.tree(question, book))).collect();
    let others: Vec<Vec<usize>> = q.all().iter().map(|question| q.others(question)).collect();
    let count = trees.iter().flatten().flatten().chain(others.iter().flatten()).max().map_or(0, |m| m + 1);
    let nodes: Vec<_> = (0..count).map(|tree| q.nodes(tree)).collect();
    let own: std::collections::BTreeSet<usize> = trees.iter().flatten().flatten().copied().collect();
    let variables = q.variables();
    let (building, (encoding, diagrams)) = fastest(|| {
        let encoding = Encoding::new(coding, &variables, &nodes);
        let diagrams: Vec<Option<Diagram>> = (0..count).map(|tree| own.contains(&tree).then(|| encoding.diagram(&nodes[tree]))).collect();
        (encoding, diagrams)
    });
    let nothing = Diagram { applies: encoding.set.mk_false(), fails: encoding.set.mk_false(), reads: Vec::new() };
    let of = |tree: Option<usize>| tree.and_then(|t| diagrams[t].as_ref()).unwrap_or(&nothing);
    let (theirs, their_still) = fastest(|| {
        let each = trees.iter().map(|[old, new]| {
            let (old, new) = (of(*old), of(*new));
            let mut lost = old.applies.and_not(&new.applies);
            if !old.fails.is_false() {
                lost = lost.or(&old.fails.and_not(&new.applies).and_not(&new.fails));
            }
            lost.is_false() || lost.and(&encoding.known_to_both(&both(&old.reads, &new.reads))).is_false()
        });
        each.collect::<Vec<bool>>()
    });
    agree(q, &still, &their_still, "still applies");
    let largest = diagrams.iter().flatten().map(|d| d.applies.size()).max().unwrap_or(0);
    let lost = still.iter().filter(|s| !**s).count();
    if !in_full {
        println!("  {} questions, {lost} where the rule gives way; both agree; ours {}, diagrams {}", still.len(), ms(ours), ms(theirs));
        return;
    }
    println!("  {coding:?}: {} variables as {} bits, {} trees", variables.len(), encoding.set.num_vars(), own.len());
    println!("  ours:     {paths} paths laid out in {}; {} questions answered in {}", ms(laid_out), still.len(), ms(ours));
    println!("  diagrams: largest {largest} nodes, built in {}; the same questions in {}", ms(building), ms(theirs));
    println!("  diagrams to ours: getting ready {}, answering {}", ratio(building, laid_out), ratio(theirs, ours));

    // The harder question.
    let (ours, covered) = fastest(|| q.all().iter().map(|question| q.covered(question, MOST_STEPS)).collect::<Vec<Option<bool>>>());
    let (building, all) = fastest(|| {
        (0..count).map(|tree| if own.contains(&tree) { None } else { Some(encoding.diagram(&nodes[tree])) }).collect::<Vec<_>>()
    });
    let of = |tree: usize| diagrams[tree].as_ref().or(all[tree].as_ref()).unwrap_or(&nothing);
    let mut widest = 0;
    let (theirs, their_covered) = fastest(|| {
        let each = trees.iter().zip(&others).map(|([old, _], others)| {
            let Some(old) = old else { return true };
            let region = of(*old);
            let mut left = region.applies.and(&encoding.known_to_both(&region.reads));
            for other in others {
                if left.is_false() {
                    break;
                }
                let other = of(*other);
                left = left.and_not(&other.applies);
                widest = widest.max(left.size());
            }
            left.is_false() || {
                let reads: Vec<usize> = others.iter().flat_map(|o| of(*o).reads.iter().copied()).collect();
                left.and(&encoding.possible(&both(&reads, &[]))).is_false()
            }
        });
        each.collect::<Vec<bool>>()
    });
    let decided: Vec<bool> = covered.iter().zip(&their_covered).map(|(ours, theirs)| ours.unwrap_or(*theirs)).collect();
    agree(q, &decided, &their_covered, "covered by others");
    let somewhere: Vec<bool> = trees.iter().map(|[old, _]| old.is_some_and(|t| !of(t).applies.is_false())).collect();
    println!(
        "  covered by the other rules: {} of the {} questions in which the rule applies anywhere, {} not decided by ours within {MOST_STEPS} steps",
        their_covered.iter().zip(&somewhere).filter(|(c, s)| **c && **s).count(),
        somewhere.iter().filter(|s| **s).count(),
        covered.iter().filter(|c| c.is_none()).count(),
    );
    println!(
        "    ours {}, diagrams {} (and {} to build the other trees; widest {widest} nodes); diagrams to ours {}",
        ms(ours),
        ms(theirs),
        ms(building),
        ratio(theirs, ours),
    );
}

fn both(a: &[usize], b: &[usize]) -> Vec<usize> {
    let mut all = [a, b].concat();
    all.sort_unstable();
    all.dedup();
    all
}

fn agree(q: &Questions<'_, '_>, ours: &[bool], theirs: &[bool], what: &str) {
    for ((question, a), b) in q.all().iter().zip(ours).zip(theirs) {
        assert_eq!(a, b, "{what}: {} for {:?}: ours says {a}, the diagrams {b}", question.rule, question.method);
    }
}
