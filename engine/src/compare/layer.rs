//! What is presumed, and the figures: what rules are looked at with.

use super::meaning::{self, Telling};
use super::{Comparison, Wanted, spots};
use crate::limit::Basis;
use crate::pack::{Presumption, RuleBook};
use crate::prove::{Effort, Layout, MOST_STEPS, Paths, Sense, Side, Space, Spot, Spots, Way};
use crate::quantity::show_in;

/// A presumption that is not what it was.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct PresumptionChange {
    /// Its id.
    pub id: String,
    /// The fact it gives a value.
    pub fact: String,
    /// How strong its ground is.
    pub basis: Basis,
    /// Its pack.
    pub pack: String,
    /// What is otherwise, and where.
    pub what: Vec<String>,
}

/// A limit whose figure is not what it was.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct LimitChange {
    /// Its id.
    pub id: String,
    /// In sentences.
    pub title: String,
    /// Each change: from what to what, whether that is stricter, where and when.
    pub figures: Vec<FigureChange>,
}

/// One change of a figure.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct FigureChange {
    /// The figure before; `None` where there was none.
    pub before: Option<String>,
    /// The figure after; `None` where there is none any more.
    pub after: Option<String>,
    /// Whether it became stricter, where both are known.
    pub stricter: Option<bool>,
    /// Where and when.
    pub place: String,
}

/// Looks at every presumption of either book.
pub(super) fn presumptions(books: [&RuleBook; 2], wanted: &Wanted, out: &mut Comparison) {
    let Ok(space) = Space::new(books[0], books[1]) else { return };
    let spots = spots(books, wanted, Sense::Comparison);
    let layout = Layout::new(&space, None);
    let effort = Effort::new(wanted.steps.unwrap_or(MOST_STEPS));
    let tells = books.map(|b| Telling::whole(&b.base));
    for old in &books[0].presumptions {
        let new = books[1].presumptions.iter().find(|p| p.id == old.id);
        let mut what = Vec::new();
        match new {
            None => what.push("it is not there any more".to_owned()),
            Some(new) => {
                let (a, b) = (tells[0].value(old), tells[1].value(new));
                if a != b {
                    what.push(format!("it gave {a} and gives {b}"));
                }
                if old.basis != new.basis {
                    what.push(format!("its ground was {} and is {}", old.basis.word(), new.basis.word()));
                }
                let same = wanted.dates.is_none() && tells[0].presumption(old) == tells[1].presumption(new);
                if !same {
                    match holds(&layout, &spots, [old, new], &effort) {
                        Some(more) => what.extend(more),
                        None => out.bound = true,
                    }
                }
                if meaning::sentence(&books[0].base, &old.because) != meaning::sentence(&books[1].base, &new.because) {
                    what.push("its reason is re-worded".to_owned());
                }
            }
        }
        tell(new.unwrap_or(old), books[usize::from(new.is_some())], what, out);
    }
    for new in books[1].presumptions.iter().filter(|p| !books[0].presumptions.iter().any(|o| o.id == p.id)) {
        tell(new, books[1], vec!["it is new".to_owned()], out);
    }
}

fn tell(p: &Presumption, book: &RuleBook, what: Vec<String>, out: &mut Comparison) {
    if !what.is_empty() {
        out.presumptions.push(PresumptionChange {
            id: p.id.clone(),
            fact: book.base.vocabulary.get(p.fact).id.clone(),
            basis: p.basis,
            pack: p.pack.clone(),
            what,
        });
    }
}

/// Where a presumption holds in one book and not in the other; `None` at the bound of the work.
fn holds(layout: &Layout<'_, '_>, spots: &Spots, twins: [&Presumption; 2], effort: &Effort) -> Option<Vec<String>> {
    let sides = [Side::Old, Side::New];
    let [old, new] = twins;
    let in_force = |side: Side, p: &Presumption, spot: &Spot| spot.holds(side, &p.place, p.period);
    let key = |side: Side, p: &Presumption, spot: &Spot| {
        let figures = layout.figures(side, spot);
        in_force(side, p, spot).then(|| p.tree.limits().iter().map(|l| figures[*l].map(f64::to_bits)).collect::<Vec<_>>())
    };
    let (mut fewer, mut more) = (Vec::new(), Vec::new());
    for group in spots.grouped(|s| Some((key(sides[0], old, s), key(sides[1], new, s)))) {
        let spot = &spots.all[group[0]];
        let paths = |side: Side, p: &Presumption| {
            if in_force(side, p, spot) {
                layout.space.paths(side, &p.tree, None, &layout.figures(side, spot))
            } else {
                Paths { silent: vec![Way::new()], ..Paths::default() }
            }
        };
        let (a, b) = (paths(Side::Old, old), paths(Side::New, new));
        effort.spend((a.applies.len() + 1) * (b.applies.len() + 1)).ok()?;
        let meets = |x: &Paths, y: &Paths| {
            x.applies.iter().any(|w| y.not().any(|v| layout.space.meet(w, v).and_then(|m| layout.space.comparable(&m)).is_some()))
        };
        if meets(&a, &b) {
            fewer.extend(group.iter().copied());
        }
        if meets(&b, &a) {
            more.extend(group);
        }
    }
    let mut out = Vec::new();
    for (places, how) in [(&mut fewer, "fewer"), (&mut more, "more")] {
        if !places.is_empty() {
            places.sort_unstable();
            out.push(format!("it holds in {how} situations ({})", spots.words(places)));
        }
    }
    let waits = |side: Side, p: &Presumption| {
        let mut ids: Vec<&str> = p.unstated.iter().map(|f| layout.space.facts[layout.space.joint(side, *f)].id.as_str()).collect();
        ids.sort_unstable();
        ids.join(", ")
    };
    if waits(Side::Old, old) != waits(Side::New, new) {
        out.push("it waits for other facts to be stated".to_owned());
    }
    Some(out)
}

/// Looks at the figure of every limit of either book.
pub(super) fn limits(books: [&RuleBook; 2], wanted: &Wanted, out: &mut Comparison) {
    let spots = spots(books, wanted, Sense::Comparison);
    // A limit that only one of them has is told as a name that came or went.
    let ids = books[0].base.limits.keys().filter(|id| books[1].base.limits.contains_key(*id));
    for id in ids {
        let at = [0, 1].map(|s: usize| books[s].base.limits.get_index_of(id));
        let figure = |s: usize, spot: &Spot| at[s].and_then(|i| spot.figures[s][i]);
        let key = |spot: &Spot| {
            let [a, b] = [figure(0, spot), figure(1, spot)];
            (a != b).then(|| [a.map(f64::to_bits), b.map(f64::to_bits)])
        };
        let Some(limit) = books[1].base.limits.get(id) else { continue };
        let show = |base: f64| show_in(base, limit.unit);
        let figures: Vec<FigureChange> = spots
            .grouped(key)
            .into_iter()
            .map(|group| {
                let [a, b] = [figure(0, &spots.all[group[0]]), figure(1, &spots.all[group[0]])];
                FigureChange {
                    before: a.map(show),
                    after: b.map(show),
                    stricter: a.zip(b).map(|(a, b)| limit.is_stricter(b, a)),
                    place: spots.words(&group),
                }
            })
            .collect();
        if !figures.is_empty() {
            out.limits.push(LimitChange { id: id.clone(), title: limit.title.clone(), figures });
        }
    }
}
