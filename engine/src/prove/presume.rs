//! The layer of presumptions: what is taken as known may differ between the books, and must not open a way.
//!
//! A presumption gives its value when its script is true of everything the survey leaves possible. So a list of presumptions for
//! one fact, strongest first, sends a state of knowledge `S` to the value of the first whose region holds all of `S`. Two
//! lists are compared without going through states: the pair of `i` (of the first book, or nothing) and `j` (of the second) can
//! only come about for a state inside `Z = c_i ∩ d_j`, and not where some earlier region holds all of `Z`.
//!
//! For each pair with different values `V` and `W` two things are shown, for every rule of law or standard: each value in `V` has
//! one in `W` that restricts at least as much on all of `Z`, and each in `W` has one in `V` that restricts at most as much.
//! Then every verdict under `W` is at least as strict (the argument stands in the module above). Where the first book presumes nothing
//! and the second only on ground weaker than law, a rule that forbids stays as open as it was, and nothing has to be shown.

use super::draft::{Draft, state};
use super::ground::{kept_open, stronger};
use super::layout::Layout;
use super::space::{Effort, Space, Var, Way, said, without};
use super::spots::{Spot, Spots, key_of};
use super::trial::Trial;
use super::{Bound, Break, Report, Side, Weakened};
use crate::judge::solve::cells;
use crate::judge::walk::Domain;
use crate::pack::{Presumption, Ruling};
use crate::vocabulary::Known;
use std::collections::{BTreeMap, BTreeSet};

/// The most drafts that are tried for one rule.
const MOST_DRAFTS: usize = 80;

/// The most combinations of differing facts that one list is looked at under.
const MOST_COMBINATIONS: usize = 512;

/// One presumption of a list, at a spot.
#[derive(Debug, Clone)]
pub(super) struct Ranked {
    pub(super) id: String,
    /// Where it is not true.
    not: Vec<Way>,
    value: Known,
    /// The value in the joint space; `None` for several-of facts.
    domain: Option<Domain>,
    unstated: BTreeSet<usize>,
}

/// A difference in what is taken as known of a fact, and where it comes about.
#[derive(Debug, Clone)]
struct Gap {
    /// The values in the first book and in the second.
    values: (Domain, Domain),
    /// What the rest must be for it.
    zone: Vec<Way>,
    /// Facts that must not be stated for it.
    unstated: BTreeSet<usize>,
}

/// By fact: the differences.
type Differing = BTreeMap<usize, Vec<Gap>>;

/// A pair of presumptions that can give different values in the two books.
struct Pair {
    old: Option<usize>,
    new: Option<usize>,
    values: (Domain, Domain),
    zone: Vec<Way>,
    unstated: BTreeSet<usize>,
}

/// What was told already, by fact, presumption and rule.
#[derive(Default)]
struct Told {
    /// The break it was told as, and the spots it was found at.
    breaks: BTreeMap<(String, String, String), (usize, Vec<usize>)>,
    /// How often a survey was sought in vain.
    in_vain: BTreeMap<(String, String, String), usize>,
}

/// How often a survey is sought for the same thing, at different spots.
const MOST_SEARCHES: usize = 3;

/// Proves the layer at every spot.
pub(crate) fn prove(
    layout: &Layout<'_, '_>,
    spots: &Spots,
    trial: &Trial<'_, '_>,
    effort: &Effort,
    report: &mut Report,
) -> Result<(), Bound> {
    let space = layout.space;
    // Spots with the same presumptions, rules and figures are one.
    let groups = spots.grouped(|spot| Some(signature(layout, spot)));
    report.situations = groups.len();
    let mut told = Told::default();
    for group in groups {
        let spot = &spots.all[group[0]];
        let lists = [Side::Old, Side::New].map(|side| lists(layout, side, spot));
        let mut differing = Differing::new();
        for (f, joint) in space.facts.iter().enumerate() {
            if joint.own.iter().all(Option::is_some) && joint.choices[0] != joint.choices[1] {
                let values = (Domain::Bits(joint.choices[0]), Domain::Bits(joint.choices[1]));
                differing.insert(f, vec![Gap { values, zone: vec![Way::new()], unstated: BTreeSet::from([f]) }]);
            }
        }
        for fact in order(layout, &lists)? {
            let empty = Vec::new();
            let [old, new] = [0, 1].map(|s: usize| lists[s].get(&fact).unwrap_or(&empty));
            let pairs = pairs(space, fact, old, new, &differing, effort)?;
            let stronger = stronger(layout, old, new);
            if !stronger.is_empty() {
                let title = space_id(layout, fact);
                report.unknown.insert(format!(
                    "{stronger} takes over `{title}` on stronger ground: rules that waited until it is stated may fall silent"
                ));
            }
            if !pairs.is_empty() {
                report.remarks.extend(layout.not_followed(fact, "it may be presumed differently"));
            }
            let mut losses: Vec<(usize, Less)> = Vec::new();
            for (at, pair) in pairs.iter().enumerate() {
                let passed = layout.weakened == Some(Weakened::UnknownIsFine)
                    && (pair.old.is_none() || pair.new.is_none() || many(&pair.values.0) || many(&pair.values.1));
                if !passed {
                    let mut found = weigh(layout, spot, fact, pair, effort)?;
                    found.retain(|less| !kept_open(layout, fact, (pair.old, pair.new), new, less.rule));
                    report.pairs += usize::from(found.is_empty());
                    losses.extend(found.into_iter().map(|less| (at, less)));
                }
            }
            Telling { layout, spots, group: &group, trial, fact, lists: (old, new), pairs: &pairs }.tell(losses, report, &mut told);
            for pair in pairs {
                let values = pair.values;
                let mut unstated = pair.unstated;
                unstated.insert(fact);
                let known = differing.entry(fact).or_default();
                match known.iter_mut().find(|g| g.values == values && g.unstated == unstated) {
                    Some(same) => same.zone.extend(pair.zone.into_iter().filter(|z| !same.zone.contains(z)).collect::<Vec<_>>()),
                    None => known.push(Gap { values, zone: pair.zone, unstated }),
                }
            }
        }
    }
    for (at, mut places) in told.breaks.into_values() {
        places.sort_unstable();
        places.dedup();
        report.breaks[at].place = spots.words(&places);
    }
    Ok(())
}

fn many(domain: &Domain) -> bool {
    match domain {
        Domain::Bits(b) => b.count_ones() > 1,
        Domain::Num(r) => r.single().is_none(),
    }
}

type Signature = [Vec<(usize, Vec<Option<u64>>)>; 3];

/// What is in force at a spot, as far as this layer asks.
fn signature(layout: &Layout<'_, '_>, spot: &Spot) -> Signature {
    let of = |side: Side| {
        let book = layout.space.books[side as usize];
        let figures = layout.figures(side, spot);
        let here = book.presumptions.iter().enumerate().filter(|(_, p)| spot.holds(side, &p.place, p.period));
        here.map(|(i, p)| (i, p.tree.limits().iter().map(|l| key_of(figures[*l])).collect())).collect()
    };
    [of(Side::Old), of(Side::New), layout.rules_at(spot)]
}

/// By fact: the presumptions in force, strongest first.
fn lists(layout: &Layout<'_, '_>, side: Side, spot: &Spot) -> BTreeMap<usize, Vec<Ranked>> {
    let space = layout.space;
    let figures = layout.figures(side, spot);
    let mut out: BTreeMap<usize, Vec<Ranked>> = BTreeMap::new();
    let here = space.books[side as usize].presumptions.iter().filter(|p| spot.holds(side, &p.place, p.period));
    for p in here {
        let fact = space.joint(side, p.fact);
        out.entry(fact).or_default().push(ranked(space, side, p, fact, &figures));
    }
    out
}

fn ranked(space: &Space<'_>, side: Side, p: &Presumption, fact: usize, figures: &[Option<f64>]) -> Ranked {
    let paths = space.paths(side, &p.tree, None, figures);
    Ranked {
        id: p.id.clone(),
        not: paths.not().cloned().collect(),
        value: p.value.clone(),
        domain: space.known(side, fact, &p.value),
        unstated: p.unstated.iter().map(|f| space.joint(side, *f)).collect(),
    }
}

/// The presumed facts, each after those its presumptions read.
fn order(layout: &Layout<'_, '_>, lists: &[BTreeMap<usize, Vec<Ranked>>; 2]) -> Result<Vec<usize>, Bound> {
    let mut left: Vec<usize> = lists.iter().flat_map(|l| l.keys().copied()).collect();
    left.sort_by_key(|f| (layout.space.facts[*f].about, *f));
    left.dedup();
    let reads = |f: usize| -> BTreeSet<usize> {
        let all = lists.iter().filter_map(|l| l.get(&f)).flatten();
        all.flat_map(|r| r.not.iter().flatten().flat_map(|(v, _)| layout.space.facts_in(*v))).collect()
    };
    let mut done = Vec::new();
    while !left.is_empty() {
        let next = left.iter().position(|f| reads(*f).iter().all(|r| !left.contains(r)));
        // In each book there is no circle; in both together there can be one, and then this is not decided.
        done.push(left.remove(next.ok_or(Bound)?));
    }
    Ok(done)
}

/// Where a presumption is not true, whatever a differing fact is within a set of values: the fact is taken out.
fn over(space: &Space<'_>, not: &[Way], fact: usize, values: &Domain) -> Vec<Way> {
    not.iter()
        .filter(|way| {
            let here = way.iter().find(|(v, _)| Space::fact_of(*v) == Some(fact));
            here.is_none_or(|(v, d)| !space.split(*v, d, values).0.is_empty())
        })
        .map(|way| without(way, &[fact]))
        .collect()
}

/// The pairs of presumptions that may give different values.
fn pairs(
    space: &Space<'_>,
    fact: usize,
    old: &[Ranked],
    new: &[Ranked],
    differing: &Differing,
    effort: &Effort,
) -> Result<Vec<Pair>, Bound> {
    let reads: BTreeSet<usize> = old.iter().chain(new).flat_map(|r| r.not.iter().flatten().flat_map(|(v, _)| space.facts_in(*v))).collect();
    let differs: Vec<(&usize, &Vec<Gap>)> = differing.iter().filter(|(f, _)| reads.contains(f)).collect();
    if differs.is_empty() && same(old, new) {
        return Ok(Vec::new());
    }
    let total: usize = differs.iter().map(|(_, p)| p.len() + 1).product();
    // What a presumption reads of a differing fact together with others cannot be taken over all of its values.
    let mut not = old.iter().chain(new).flat_map(|r| &r.not);
    if total > MOST_COMBINATIONS || not.any(|way| differs.iter().any(|(f, _)| space.entangled(way, **f))) {
        return Err(Bound);
    }
    let mut out: Vec<Pair> = Vec::new();
    for n in 0..total {
        let mut rest = n;
        let mut lists = [old.to_vec(), new.to_vec()];
        let mut around = Around { zone: vec![Way::new()], unstated: BTreeSet::new() };
        for (f, choices) in &differs {
            let pick = rest % (choices.len() + 1);
            rest /= choices.len() + 1;
            let Some(gap) = pick.checked_sub(1).map(|p| &choices[p]) else { continue };
            effort.spend(around.zone.len() * gap.zone.len())?;
            around.zone = around.zone.iter().flat_map(|a| gap.zone.iter().filter_map(|z| space.meet(a, z))).collect();
            around.unstated.extend(&gap.unstated);
            for (list, values) in lists.iter_mut().zip([&gap.values.0, &gap.values.1]) {
                for ranked in list {
                    ranked.not = over(space, &ranked.not, **f, values);
                }
            }
        }
        // What is stated is stated in words both books know.
        for ranked in lists.iter_mut().flatten() {
            ranked.not = ranked.not.iter().filter_map(|w| space.comparable(w)).collect();
        }
        if !around.zone.is_empty() {
            one_combination(space, fact, &lists, &around, effort, &mut out)?;
        }
    }
    Ok(out)
}

/// Whether two lists come to the same for every state.
fn same(old: &[Ranked], new: &[Ranked]) -> bool {
    let alike = |a: &Ranked, b: &Ranked| {
        a.not == b.not && a.unstated == b.unstated && a.domain == b.domain && (a.domain.is_some() || a.value == b.value)
    };
    old.len() == new.len() && old.iter().zip(new).all(|(a, b)| alike(a, b))
}

/// What the differences that a list reads are bound to.
struct Around {
    zone: Vec<Way>,
    unstated: BTreeSet<usize>,
}

fn one_combination(
    space: &Space<'_>,
    fact: usize,
    lists: &[Vec<Ranked>; 2],
    around: &Around,
    effort: &Effort,
    out: &mut Vec<Pair>,
) -> Result<(), Bound> {
    let [old, new] = lists;
    let open = |side: Side| {
        Some(space.anything(side, Var::Named(fact))).filter(|d| !d.is_empty()).unwrap_or_else(|| space.anything(side, Var::Number(fact)))
    };
    for i in (0..old.len()).map(Some).chain([None]) {
        for j in (0..new.len()).map(Some).chain([None]) {
            if i.is_none() && j.is_none() {
                continue;
            }
            let values = [(Side::Old, i.map(|i| &old[i])), (Side::New, j.map(|j| &new[j]))].map(|(side, ranked)| match ranked {
                Some(r) => r.domain.clone(),
                None => Some(open(side)),
            });
            let [Some(v), Some(w)] = values else {
                // Several-of facts: the same value or not decided.
                let same = i.zip(j).is_some_and(|(i, j)| old[i].value == new[j].value);
                if same || impossible(space, lists, i, j, &zone(space, lists, i, j, around, effort)?, &unstated(lists, i, j, around)) {
                    continue;
                }
                return Err(Bound);
            };
            if v == w {
                continue;
            }
            let unstated = unstated(lists, i, j, around);
            let zone = zone(space, lists, i, j, around, effort)?;
            if zone.is_empty() || impossible(space, lists, i, j, &zone, &unstated) {
                continue;
            }
            out.push(Pair { old: i, new: j, values: (v, w), zone, unstated });
        }
    }
    Ok(())
}

fn unstated(lists: &[Vec<Ranked>; 2], i: Option<usize>, j: Option<usize>, around: &Around) -> BTreeSet<usize> {
    let of = |list: &[Ranked], at: Option<usize>| at.map(|a| list[a].unstated.clone()).unwrap_or_default();
    of(&lists[0], i).into_iter().chain(of(&lists[1], j)).chain(around.unstated.iter().copied()).collect()
}

/// Where both of a pair are true.
fn zone(
    space: &Space<'_>,
    lists: &[Vec<Ranked>; 2],
    i: Option<usize>,
    j: Option<usize>,
    around: &Around,
    effort: &Effort,
) -> Result<Vec<Way>, Bound> {
    let not = i.iter().flat_map(|i| &lists[0][*i].not).chain(j.iter().flat_map(|j| &lists[1][*j].not));
    let zone = space.minus(around.zone.clone(), not, effort)?;
    Ok(zone.iter().filter_map(|z| space.comparable(z)).collect())
}

/// Whether a presumption before one of the pair is true on all of the zone, and so comes first in every state there.
fn impossible(
    space: &Space<'_>,
    lists: &[Vec<Ranked>; 2],
    i: Option<usize>,
    j: Option<usize>,
    zone: &[Way],
    unstated: &BTreeSet<usize>,
) -> bool {
    let before = |list: &[Ranked], at: Option<usize>| -> bool {
        list[..at.unwrap_or(list.len())].iter().any(|earlier| {
            let waits = !earlier.unstated.is_subset(unstated);
            !waits && !zone.iter().any(|z| earlier.not.iter().any(|n| space.meet(z, n).is_some()))
        })
    };
    zone.is_empty() || before(&lists[0], i) || before(&lists[1], j)
}

/// The pieces of a fact's values that no rule tells apart.
fn pieces(layout: &Layout<'_, '_>, spot: &Spot, fact: usize, values: &(Domain, Domain)) -> Vec<Domain> {
    let space = layout.space;
    match &values.0 {
        Domain::Bits(_) => {
            (0..128).filter(|i| super::space::all_choices(&space.facts[fact].sort) >> i & 1 == 1).map(|i| Domain::Bits(1 << i)).collect()
        }
        Domain::Num(_) => {
            let mut sets: Vec<Domain> = vec![values.0.clone(), values.1.clone()];
            for twin in &layout.twins {
                for (side, rule) in [(Side::Old, Some(twin.old)), (Side::New, twin.new)] {
                    let Some(rule) = rule else { continue };
                    let methods: Vec<Option<usize>> = if layout.rule(side, rule).scope.method {
                        layout.methods().iter().map(|(_, m)| Some(m[side as usize])).collect()
                    } else {
                        vec![None]
                    };
                    for method in methods {
                        let paths = layout.paths(side, rule, method, spot);
                        sets.extend(paths.applies.iter().chain(paths.not()).filter_map(|w| said(w, Var::Number(fact)).cloned()));
                    }
                }
            }
            cells(&space.anything(Side::New, Var::Number(fact)), sets.iter(), false)
        }
    }
}

/// A rule that restricts less with one value than with another, and where.
struct Less {
    rule: usize,
    method: Option<String>,
    ways: Vec<Way>,
}

/// The rules that a pair loosens; none if it is shown harmless.
fn weigh(layout: &Layout<'_, '_>, spot: &Spot, fact: usize, pair: &Pair, effort: &Effort) -> Result<Vec<Less>, Bound> {
    let inside = |set: &Domain, piece: &Domain| !set.and(piece).is_empty();
    let pieces = pieces(layout, spot, fact, &pair.values);
    let of = |set: &Domain| pieces.iter().filter(|p| inside(set, p)).collect::<Vec<_>>();
    let (all_v, all_w) = (of(&pair.values.0), of(&pair.values.1));
    let mut harm: Vec<Less> = Vec::new();
    // Each value there was must have one that restricts at least as much, and each there is now one that restricted no more.
    let mut compare = |of: &mut dyn Iterator<Item = (Vec<&Domain>, Vec<&Domain>)>| -> Result<(), Bound> {
        for (from, to) in of {
            let mut worst: Vec<Less> = Vec::new();
            'one: for v in &from {
                for w in &to {
                    worst = less(layout, spot, fact, v, w, &pair.zone, effort)?;
                    if worst.is_empty() {
                        break 'one;
                    }
                }
            }
            harm.append(&mut worst);
        }
        Ok(())
    };
    compare(&mut all_v.iter().filter(|v| !inside(&pair.values.1, v)).map(|v| (vec![*v], all_w.clone())))?;
    compare(&mut all_w.iter().filter(|w| !inside(&pair.values.0, w)).map(|w| (all_v.clone(), vec![*w])))?;
    Ok(harm)
}

/// What is needed to look for surveys that show what was found of one fact at one group of spots.
struct Telling<'a, 's, 'b, 't, 'c> {
    layout: &'a Layout<'s, 'b>,
    spots: &'a Spots,
    group: &'a [usize],
    trial: &'a Trial<'t, 'c>,
    fact: usize,
    lists: (&'a [Ranked], &'a [Ranked]),
    pairs: &'a [Pair],
}

impl Telling<'_, '_, '_, '_, '_> {
    fn tell(&self, losses: Vec<(usize, Less)>, report: &mut Report, told: &mut Told) {
        let title = space_id(self.layout, self.fact);
        // Each rule once for each presumption that takes over; all the ways in which it loses.
        let mut by_rule: BTreeMap<(String, usize), Vec<(usize, Less)>> = BTreeMap::new();
        for (pair, less) in losses {
            let by = self.pairs[pair].new.map_or_else(|| "nothing".to_owned(), |j| self.lists.1[j].id.clone());
            by_rule.entry((by, less.rule)).or_default().push((pair, less));
        }
        let mut undecided: BTreeMap<String, Vec<String>> = BTreeMap::new();
        let mut shown: BTreeSet<String> = BTreeSet::new();
        for ((by, rule), losses) in by_rule {
            let old = self.layout.rule(Side::Old, rule);
            let key = (title.clone(), by.clone(), old.id.clone());
            if let Some((_, at)) = told.breaks.get_mut(&key) {
                at.extend(self.group);
                shown.insert(by);
                continue;
            }
            let in_vain = told.in_vain.entry(key.clone()).or_default();
            if *in_vain >= MOST_SEARCHES {
                undecided.entry(by).or_default().push(old.id.clone());
                continue;
            }
            *in_vain += 1;
            let spot = &self.spots.all[self.group[0]];
            let mut each: Vec<std::vec::IntoIter<Draft>> = losses
                .iter()
                .map(|(pair, less)| survey(self.layout, spot, self.fact, self.lists, &self.pairs[*pair], less).into_iter())
                .collect();
            // One of each in turn: most pairs cannot come about, and nobody knows beforehand which can.
            let mut drafts: Vec<Draft> = Vec::new();
            loop {
                let before = drafts.len();
                drafts.extend(each.iter_mut().filter_map(Iterator::next));
                if drafts.len() == before || drafts.len() > MOST_DRAFTS {
                    break;
                }
            }
            let mut unlike: Vec<Draft> = Vec::new();
            drafts.retain(|d| {
                let new = !unlike.contains(d);
                if new {
                    unlike.push(d.clone());
                }
                new
            });
            let Some(draft) = super::rules::best(self.trial, drafts.into_iter(), Some(&old.id)) else {
                undecided.entry(by).or_default().push(old.id.clone());
                continue;
            };
            shown.insert(by);
            // Which presumptions really give the value there; the fact may differ because another one does.
            let [before, after] = [Side::Old, Side::New].map(|side| self.trial.presumed(side, &draft, self.fact));
            let where_ = before.map_or_else(|| ", which was open".to_owned(), |(id, _)| format!(" where `{id}` did"));
            let what = match after {
                Some((id, pack)) => format!("says less: `{id}` ({pack}) presumes `{title}`{where_}"),
                None => format!("says less: `{title}` is no longer presumed{where_}"),
            };
            let methods = losses.iter().filter_map(|(_, l)| l.method.clone()).collect();
            told.breaks.insert(key, (report.breaks.len(), self.group.to_vec()));
            let mut found = Break::of(old, methods, self.spots.words(self.group), &what);
            found.presumed = Some(title.clone());
            report.found(found, Some(draft), self.trial);
        }
        for (by, rules) in undecided.into_iter().filter(|(by, _)| !shown.contains(by)) {
            let rules: Vec<String> = rules.iter().map(|r| format!("`{r}`")).collect();
            report.unknown.insert(format!(
                "`{by}` may presume `{title}` where that loosens {}; no survey was found that shows it, and none was ruled out ({})",
                rules.join(", "),
                self.spots.words(self.group)
            ));
        }
    }
}

fn space_id(layout: &Layout<'_, '_>, fact: usize) -> String {
    layout.space.facts[fact].id.clone()
}

/// The rules that restrict less in the second book with value `w` than in the first with value `v`, on a zone.
fn less(
    layout: &Layout<'_, '_>,
    spot: &Spot,
    fact: usize,
    v: &Domain,
    w: &Domain,
    zone: &[Way],
    effort: &Effort,
) -> Result<Vec<Less>, Bound> {
    let space = layout.space;
    let var = match v {
        Domain::Bits(_) => Var::Named(fact),
        Domain::Num(_) => Var::Number(fact),
    };
    let at = |way: &Way, value: &Domain| {
        let fits = said(way, var).is_none_or(|d| !space.split(var, d, value).0.is_empty());
        // What it says of the fact together with others is left out: then it may well be so.
        fits.then(|| space.freed(way, fact))
    };
    let mut out = Vec::new();
    for twin in &layout.twins {
        let old = layout.rule(Side::Old, twin.old);
        let Some(new) = twin.new else { continue };
        if !Layout::strong(old) || !layout.restricts(old) || !Layout::in_force(Side::Old, old, spot) {
            continue;
        }
        let methods: Vec<Option<(String, [usize; 2])>> =
            if old.scope.method { layout.methods().into_iter().map(Some).collect() } else { vec![None] };
        for method in methods {
            let place = |s: Side| method.as_ref().map(|(_, m)| m[s as usize]);
            let a = layout.paths(Side::Old, twin.old, place(Side::Old), spot);
            if !a.applies.iter().any(|way| said(way, var).is_some() || space.entangled(way, fact)) {
                // It does not ask about the fact; the rules themselves are compared elsewhere.
                continue;
            }
            let b = layout.paths(Side::New, new, place(Side::New), spot);
            let not: Vec<Way> = b.not().filter_map(|way| at(way, w)).collect();
            let mut ways = Vec::new();
            for x in a.applies.iter().filter_map(|way| at(way, v)) {
                effort.spend(not.len() + 1)?;
                for y in &not {
                    let Some(both) = space.meet(&x, y) else { continue };
                    ways.extend(zone.iter().filter_map(|z| space.comparable(&space.meet(&both, z)?)));
                }
            }
            if old.ruling <= Ruling::Hold && !old.every_coat && !ways.is_empty() {
                let places = method.as_ref().map(|(_, m)| *m);
                ways = layout.uncovered(ways, twin.old, places, spot, &|way| at(way, w).filter(|_| !space.entangled(way, fact)), effort)?;
            }
            if !ways.is_empty() {
                out.push(Less { rule: twin.old, method: method.map(|(id, _)| id), ways });
            }
        }
    }
    Ok(out)
}

/// Surveys in which a pair should come about: first with nothing more stated than the paths ask for, then with the earlier
/// presumptions made untrue.
fn survey(layout: &Layout<'_, '_>, spot: &Spot, fact: usize, lists: (&[Ranked], &[Ranked]), pair: &Pair, less: &Less) -> Vec<Draft> {
    let space = layout.space;
    let mut hidden: Vec<usize> = pair.unstated.iter().copied().collect();
    hidden.push(fact);
    let earlier = lists.0[..pair.old.unwrap_or(lists.0.len())].iter().chain(&lists.1[..pair.new.unwrap_or(lists.1.len())]);
    let blocking: Vec<&Ranked> = earlier.filter(|e| e.unstated.is_subset(&pair.unstated) && !e.not.is_empty()).collect();
    let mut out = Vec::new();
    let mut sorted: Vec<&Way> = less.ways.iter().collect();
    sorted.sort_by_key(|w| w.len());
    for way in sorted.into_iter().take(12) {
        let mut full = Some(way.clone());
        for block in &blocking {
            full = full.and_then(|f| block.not.iter().find_map(|n| space.comparable(&space.meet(&f, n)?)));
        }
        for way in [Some(way.clone()), full].into_iter().flatten() {
            let Some(stated) = state(space, &without(&way, &hidden), 0) else { continue };
            out.push(Draft {
                place: spot.place.clone(),
                dates: spot.dates,
                method: less.method.clone(),
                stated,
                departures: Vec::new(),
                no_coats: false,
            });
        }
    }
    out
}
