//! From what is judged of every method to the ways through the stack, best first.

pub mod path;

use crate::advice::{Approach, ApproachStep, Weighed};
use crate::catalogue::{EntryKind, Grid};
use crate::finding::{Clears, Extent};
use crate::judge::know::{How, Slot};
use crate::judge::rank::{self, Contribution};
use crate::judge::walk::{Finding, walk};
use crate::judge::{Judged, Subject, Verdict};
use crate::pack::working::Partial;
use crate::pack::{RankBy, passed};
use crate::role::{AttributeRole, FigureRole};
use crate::vocabulary::{About, FactId, FactKind, Known};
use crate::words;
use path::Taker;
use std::collections::BTreeSet;

/// The most ways given.
const MOST: usize = 6;
/// The most values of a fact that are gone through one by one.
const MOST_VALUES: u32 = 4;
/// The most ways that clear everything, and that clear what is loose.
const MOST_OF_A_KIND: usize = 3;

/// A method that could take part.
pub(crate) struct Candidate {
    pub(crate) method: usize,
    pub(crate) verdict: Verdict,
    /// Whether it would suit once its hold points are released.
    pub(crate) after_release: bool,
    pub(crate) parts: Vec<Contribution>,
}

impl Candidate {
    /// `perhaps` lets in what may turn out to be held, and nothing worse.
    pub(crate) fn new(subject: &Subject<'_, '_>, method: usize, judged: &Judged, perhaps: bool) -> Self {
        let after_release = judged.released.or(judged.perhaps.filter(|_| perhaps)).is_some_and(Verdict::suits);
        Self { method, verdict: judged.verdict, after_release, parts: rank::rank(subject, method, judged) }
    }
}

/// What puts a method in its place among the methods of a surface: the verdict, whether it keeps the coats (first, or last where
/// that is doubtful), whether it leads through all of them, then the parts of the ranking. The same parts in the same order put
/// approaches in theirs.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Standing {
    verdict: Verdict,
    keeping: i8,
    short: bool,
    cost: Vec<i64>,
}

pub(crate) fn standing(subject: &Subject<'_, '_>, candidate: &Candidate) -> Standing {
    let keeping = match keeps(subject, candidate.method) {
        true if rank::doubtful(subject, candidate.method) => 1,
        true => -1,
        false => 0,
    };
    let short = keeping == 0 && clears(subject, candidate.method).is_some_and(|c| c.len() < subject.known.coats.len());
    // Verdicts that let the work go on stand together: what its conditions make in trouble is a part of the ranking.
    let verdict = if candidate.verdict == Verdict::SuitedWithCare { Verdict::Suited } else { candidate.verdict };
    Standing { verdict, keeping, short, cost: candidate.parts.iter().map(Contribution::total).collect() }
}

/// The grid that says what clears a coat, and the fact that names a coat's kind.
pub(crate) struct Clearing<'a> {
    pub(crate) grid: &'a Grid,
    /// The fact that names the kind of coat, and its slot.
    pub(crate) fact: FactId,
    slot: usize,
}

pub(crate) fn clearing<'a>(subject: &'a Subject<'_, '_>) -> Option<Clearing<'a>> {
    let base = subject.base();
    let grid = base.catalogue.grids.values().find(|g| !g.clears.is_empty() && g.columns == EntryKind::Method)?;
    let (id, fact) =
        base.vocabulary.iter().find(|(_, f)| f.about == About::Coat && matches!(f.kind, FactKind::Entry(k) if k == grid.rows))?;
    Some(Clearing { grid, fact: id, slot: fact.slot })
}

impl Clearing<'_> {
    /// What a test says of a coat for every kind it may be of: all, some, none.
    pub(crate) fn of(&self, subject: &Subject<'_, '_>, coat: usize, test: impl Fn(usize) -> bool) -> (bool, bool) {
        let Some(Known::Bits(bits)) = subject.known.coats.get(coat).map(|c| &c[self.slot].known) else { return (false, true) };
        let rows: Vec<bool> = (0..self.grid.cells.len()).filter(|r| bits >> r & 1 == 1).map(test).collect();
        (!rows.is_empty() && rows.iter().all(|t| *t), rows.iter().any(|t| *t))
    }

    pub(crate) fn cleared(&self, row: usize, method: usize) -> bool {
        self.grid.clears.contains(&self.grid.cells[row][method].grade)
    }
}

pub(crate) fn keeps(subject: &Subject<'_, '_>, method: usize) -> bool {
    subject.base().catalogue.is(EntryKind::Method, method, AttributeRole::Keeps)
}

/// The coats a method clears, from the top, the first being 1; `None` where the coats are not listed, where some kind is not
/// known well enough, or where the method keeps them.
pub(crate) fn clears(subject: &Subject<'_, '_>, method: usize) -> Option<Vec<usize>> {
    let clearing = clearing(subject)?;
    if keeps(subject, method) || !subject.known.listed || subject.known.coats.is_empty() {
        return None;
    }
    let mut cleared = Vec::new();
    for coat in 0..subject.known.coats.len() {
        match clearing.of(subject, coat, |r| clearing.cleared(r, method)) {
            (true, _) => cleared.push(coat + 1),
            (false, true) => return None,
            (false, false) => {}
        }
    }
    Some(cleared)
}

/// What may stay on this surface, as far as it is known.
pub(crate) struct MayStay<'a> {
    pub(crate) rows: Vec<&'a Partial>,
    pub(crate) loose: bool,
    /// Whether that is known, not only possible.
    pub(crate) certain: bool,
    /// Between what the share that is loose lies.
    pub(crate) share: Option<(f64, f64)>,
}

/// Which rows about what may stay apply: those that do for certain; where none does, all that may.
pub(crate) fn may_stay<'b>(subject: &Subject<'b, '_>) -> Option<MayStay<'b>> {
    let book = subject.force.book;
    // Where there is no coat, none can stay, and a script that asks about coats has nothing to look at.
    if subject.known.coats.is_empty() {
        return None;
    }
    let (certain, open) = staying(subject);
    let known = !certain.is_empty() || open.iter().all(|r| r.loose) && whichever(subject);
    let rows = if certain.is_empty() { open } else { certain };
    if rows.is_empty() {
        return None;
    }
    let shares = rows.iter().filter_map(|r| book.figures.get(r.share.as_ref()?)).map(|f| (f.low, f.high));
    let share = shares.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
    Some(MayStay { certain: known, loose: rows.iter().any(|r| r.loose), share, rows })
}

/// The rows that apply for certain, and those that may.
fn staying<'b>(subject: &Subject<'b, '_>) -> (Vec<&'b Partial>, Vec<&'b Partial>) {
    let (mut certain, mut open) = (Vec::new(), Vec::new());
    for partial in &subject.force.book.working.partials {
        let tree = subject.force.compile(&partial.tree, 0);
        let none = Vec::new();
        let coats = subject.known.coats.len();
        let findings: Vec<_> = (0..coats).map(|c| walk(&tree, &subject.view(c, &none, None), None)).collect();
        let holds = |test: &dyn Fn(&Finding) -> bool| if partial.every { findings.iter().all(test) } else { findings.iter().any(test) };
        if holds(&Finding::certain) {
            certain.push(partial);
        } else if holds(&|f| !f.applies.is_empty()) {
            open.push(partial);
        }
    }
    (certain, open)
}

/// Whether one row or another applies for certain, whichever of a few values a fact of the surface has: flaking or detached.
fn whichever(subject: &Subject<'_, '_>) -> bool {
    let few = |slot: &Slot| match slot.known {
        Known::Bits(b) if slot.how != How::Open && (2..=MOST_VALUES).contains(&b.count_ones()) => Some(b),
        _ => None,
    };
    let some = |at: usize, bit: u32| {
        let mut known = subject.known.clone();
        known.surface[at].known = Known::Bits(1 << bit);
        let one = Subject { force: subject.force, site: subject.site.clone(), known, departed: subject.departed.clone(), event: None };
        !staying(&one).0.is_empty()
    };
    let mut slots = subject.known.surface.iter().enumerate().filter_map(|(at, slot)| Some((at, few(slot)?)));
    slots.any(|(at, bits)| (0..u128::BITS).filter(|b| bits >> b & 1 == 1).all(|b| some(at, b)))
}

impl MayStay<'_> {
    /// The surface as it is once the upper `depth` coats, or what is loose, are off.
    pub(crate) fn remaining<'b, 'i>(&self, subject: &Subject<'b, 'i>, depth: usize) -> Subject<'b, 'i> {
        let mut known = subject.known.clone();
        known.coats.drain(..depth.min(known.coats.len()));
        for (fact, value) in self.rows.iter().flat_map(|r| &r.left) {
            let slot = subject.base().vocabulary.get(*fact).slot;
            known.surface[slot] = Slot { known: value.clone(), how: How::Supposed };
        }
        Subject { force: subject.force, site: subject.site.clone(), known, departed: subject.departed.clone(), event: None }
    }

    pub(crate) fn takes_loose(&self, reason: &str) -> bool {
        self.rows.iter().flat_map(|r| &r.reasons).any(|r| r == reason)
    }
}

/// What puts a way in its place: whether what stays would bear a new coat, how much comes off, then the parts of the ranking.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Place {
    doubtful: bool,
    clears: Clears,
    cost: Vec<i64>,
    off: usize,
}

/// A way with what puts it in its place.
struct Found {
    approach: Approach,
    place: Place,
}

/// Ways through the stack from the methods that suit; where none of them takes anything off, also from those that would suit once
/// their hold points are released.
pub(crate) fn ways(subject: &Subject<'_, '_>, candidates: &[Candidate], perhaps: bool) -> Vec<Approach> {
    let suits = Search::new(subject, candidates, [false, perhaps]);
    let mut found = suits.all();
    if found.iter().all(|f| f.approach.clears == Clears::None) && (perhaps || candidates.iter().any(|c| c.after_release)) {
        let held = Search::new(subject, candidates, [true, perhaps]).all();
        found.extend(held.into_iter().filter(|f| f.approach.on_hold));
    }
    // What can be done now comes before what waits to be released. The sort is stable: ties keep catalogue order.
    found.sort_by(|a, b| a.approach.on_hold.cmp(&b.approach.on_hold).then(a.place.cmp(&b.place)));
    found.truncate(MOST);
    found.into_iter().map(|f| f.approach).collect()
}

struct Search<'s, 'b, 'i> {
    subject: &'s Subject<'b, 'i>,
    takers: Vec<&'s Candidate>,
    keepers: Vec<usize>,
    /// Whether methods on hold take part.
    held: bool,
    /// Whether those that may turn out to be held do.
    perhaps: bool,
    stay: Option<MayStay<'b>>,
}

impl<'s, 'b, 'i> Search<'s, 'b, 'i> {
    fn new(subject: &'s Subject<'b, 'i>, candidates: &'s [Candidate], [held, perhaps]: [bool; 2]) -> Self {
        let fits = |c: &&Candidate| c.verdict.suits() || held && c.after_release;
        let mut takers: Vec<&Candidate> = candidates.iter().filter(fits).filter(|c| !keeps(subject, c.method)).collect();
        // Ties keep catalogue order, whatever order the candidates come in.
        takers.sort_by_key(|c| c.method);
        let keepers = crate::judge::methods(subject.force).filter(|m| keeps(subject, *m)).collect();
        Self { subject, takers, keepers, held, perhaps, stay: may_stay(subject) }
    }

    fn book(&self) -> &'b crate::pack::RuleBook {
        self.subject.force.book
    }

    /// What the parts of the ranking make of a method.
    fn taker(&self, candidate: &Candidate, clears: Vec<bool>) -> Taker {
        let (mut each, mut ground) = (Vec::new(), Vec::new());
        for (part, ranking) in candidate.parts.iter().zip(&self.book().ranking) {
            each.push(if ranking.ground { 0 } else { part.each });
            ground.push(if ranking.ground { part.each } else { 0 });
        }
        let coats = (0..clears.len()).map(|coat| candidate.parts.iter().map(|p| p.coats[coat]).collect()).collect();
        Taker { clears, each, coats, ground }
    }

    /// What the methods of a way are by the attributes that make methods alike; the same, if it is one of them throughout.
    fn kind(&self, methods: &[usize]) -> BTreeSet<Vec<String>> {
        let catalogue = &self.book().base.catalogue;
        let alike: Vec<usize> =
            catalogue.attributes(EntryKind::Method).values().enumerate().filter(|(_, a)| a.alike).map(|(i, _)| i).collect();
        let of = |taker: &usize| {
            let method = self.takers[*taker].method;
            if alike.is_empty() {
                return vec![method.to_string()];
            }
            alike.iter().map(|a| format!("{:?}", catalogue.entries(EntryKind::Method)[method].attributes[*a])).collect()
        };
        methods.iter().map(of).collect()
    }

    /// Whether a way is so much less ready than the first that it is no alternative to it.
    fn far_behind(&self, first: &[i64], cost: &[i64]) -> bool {
        let parts = self.book().ranking.iter().zip(first.iter().zip(cost));
        parts.into_iter().any(|(part, (first, cost))| part.beyond.is_some_and(|most| cost - first > most))
    }

    /// The first of each kind, and of those that change the method only the best where others go without.
    fn of_a_kind(&self, ways: Vec<path::Way>) -> Vec<path::Way> {
        let mixed = |way: &path::Way| way.methods.iter().any(|m| *m != way.methods[0]);
        let without = ways.iter().any(|w| !mixed(w));
        let mut kinds = Vec::new();
        let mut changing = false;
        let mut chosen: Vec<path::Way> = Vec::new();
        for way in ways {
            let kind = self.kind(&way.methods);
            let behind = chosen.first().is_some_and(|first| self.far_behind(&first.cost, &way.cost));
            if behind || chosen.len() == MOST_OF_A_KIND || kinds.contains(&kind) || without && changing && mixed(&way) {
                continue;
            }
            changing |= mixed(&way);
            kinds.push(kind);
            chosen.push(way);
        }
        chosen
    }

    fn all(&self) -> Vec<Found> {
        let mut found = self.leaving();
        if let (Some(clearing), true, 1..) = (clearing(self.subject), self.subject.known.listed, self.subject.known.coats.len()) {
            found.extend(self.clearing(&clearing));
            found.extend(self.spots(&clearing));
        }
        found
    }

    /// Whether the coat that would lie on top bears a new one: surely, and whether that is known at all.
    fn bears(&self, coat: usize, keeper: usize) -> bool {
        clearing(self.subject).is_none_or(|c| c.of(self.subject, coat, |r| c.cleared(r, keeper)).0)
    }

    /// A verdict on keeping what is left of a surface.
    fn keeping(&self, subject: &Subject<'_, '_>, keeper: usize) -> Option<(Verdict, Judged)> {
        let mut judged = subject.judge(keeper, &subject.force.method(keeper, None, &[]));
        if self.held && self.perhaps {
            judged.once_released(subject.force);
        }
        let fits = judged.verdict.suits() || self.held && judged.released.or(judged.perhaps).is_some_and(Verdict::suits);
        fits.then_some((judged.verdict, judged))
    }

    /// Everything stays as it is.
    fn leaving(&self) -> Vec<Found> {
        // Where something is loose it comes off first; where it only may be, leaving all of it stays a way.
        if self.stay.as_ref().is_some_and(|s| s.loose && s.certain) && self.subject.known.listed && !self.takers.is_empty() {
            return Vec::new();
        }
        let mut found = Vec::new();
        for keeper in &self.keepers {
            let Some((verdict, _)) = self.keeping(self.subject, *keeper) else { continue };
            let coats: Vec<usize> = if self.subject.known.listed { (1..=self.subject.known.coats.len()).collect() } else { Vec::new() };
            let doubtful = !coats.is_empty() && !self.bears(0, *keeper) || rank::doubtful(self.subject, *keeper);
            let place = Place { doubtful, clears: Clears::None, cost: vec![0; self.book().ranking.len()], off: 0 };
            found.push(self.found(vec![self.step(*keeper, coats, Extent::Stays, verdict)], place));
        }
        found
    }

    /// Coat by coat from the top, to the substrate or to a coat that may stay.
    fn clearing(&self, clearing: &Clearing<'_>) -> Vec<Found> {
        let coats = self.subject.known.coats.len();
        let clears = |m: usize| (0..coats).map(|coat| clearing.of(self.subject, coat, |r| clearing.cleared(r, m)).0).collect();
        let takers: Vec<Taker> = self.takers.iter().map(|c| self.taker(c, clears(c.method))).collect();
        let change: Vec<i64> = self.book().ranking.iter().map(|r| r.change).collect();
        let mut found = Vec::new();
        for depth in 1..=coats {
            let keeper = match &self.stay {
                _ if depth == coats => None,
                None => continue,
                // Where all holds and the top coat bears a new one, taking the upper coats off alone has no point.
                Some(stay) if !stay.loose && self.keepers.iter().any(|k| self.bears(0, *k)) => continue,
                Some(stay) => {
                    let left = stay.remaining(self.subject, depth);
                    let first = self.keepers.iter().find_map(|k| Some((*k, self.keeping(&left, *k)?.0)).filter(|_| self.bears(depth, *k)));
                    let Some(first) = first else { continue };
                    Some((first.0, first.1, rank::doubtful(&left, first.0)))
                }
            };
            let mut ways = self.of_a_kind(path::ways(&takers, coats, depth, &change));
            ways.truncate(if keeper.is_some() { 1 } else { MOST_OF_A_KIND });
            for way in ways {
                let mut steps: Vec<ApproachStep> = Vec::new();
                for (coat, taker) in way.methods.iter().enumerate() {
                    let candidate = self.takers[*taker];
                    let id = self.id(candidate.method);
                    match steps.last_mut() {
                        Some(last) if last.method == id => last.coats.push(coat + 1),
                        _ => steps.push(self.step(candidate.method, vec![coat + 1], Extent::Whole, candidate.verdict)),
                    }
                }
                let (mut doubtful, mut clears) = (false, Clears::All);
                if let Some((keeper, verdict, doubt)) = keeper {
                    steps.push(self.step(keeper, (depth + 1..=coats).collect(), Extent::Stays, verdict));
                    (doubtful, clears) = (doubt, Clears::Part);
                }
                found.push(self.found(steps, Place { doubtful, clears, cost: way.cost, off: depth }));
            }
        }
        found
    }

    /// What is loose comes off in spots, the rest stays.
    fn spots(&self, clearing: &Clearing<'_>) -> Vec<Found> {
        let Some(stay) = self.stay.as_ref().filter(|s| s.loose) else { return Vec::new() };
        let left = stay.remaining(self.subject, 0);
        let Some((keeper, verdict)) = self.keepers.iter().find_map(|k| Some((*k, self.keeping(&left, *k)?.0))) else { return Vec::new() };
        let coats = self.subject.known.coats.len();
        let doubtful = !self.bears(0, keeper) || rank::doubtful(&left, keeper);
        let mut found: Vec<Found> = self
            .takers
            .iter()
            .filter(|c| {
                let takes = |row: usize| {
                    let cell = &clearing.grid.cells[row][c.method];
                    clearing.cleared(row, c.method) || stay.takes_loose(&clearing.grid.reasons[cell.reason])
                };
                (0..coats).all(|coat| clearing.of(self.subject, coat, takes).0)
            })
            .map(|c| {
                let numbers: Vec<usize> = (1..=coats).collect();
                let steps = vec![
                    self.step(c.method, numbers.clone(), Extent::Loose, c.verdict),
                    self.step(keeper, numbers, Extent::Stays, verdict),
                ];
                self.found(steps, Place { doubtful, clears: Clears::Loose, cost: self.in_spots(c), off: 0 })
            })
            .collect();
        found.sort_by(|a, b| a.place.cmp(&b.place));
        if let Some(first) = found.first().map(|f| f.place.cost.clone()) {
            found.retain(|f| !self.far_behind(&first, &f.place.cost));
        }
        found.truncate(MOST_OF_A_KIND);
        found
    }

    /// What a method costs where only what is loose comes off: whatever takes what is loose takes it as surely as another, and
    /// a figure `loose-ATTRIBUTE-METHOD` stands for the attribute.
    fn in_spots(&self, candidate: &Candidate) -> Vec<i64> {
        let book = self.book();
        let id = self.id(candidate.method);
        let cost = |part: &Contribution| {
            if let RankBy::Grid { grid, .. } = &book.ranking[part.part].by
                && !book.base.catalogue.grids[*grid].clears.is_empty()
            {
                return 0;
            }
            if let RankBy::Attribute { attribute, bands } = &book.ranking[part.part].by
                && let Some((name, _)) = book.base.catalogue.attributes(EntryKind::Method).get_index(*attribute)
                && let Some(figure) = book.figure_with((FigureRole::LooseInstead, format!("{name}-{id}").as_str()))
            {
                return passed(bands, f64::midpoint(figure.low, figure.high));
            }
            part.each
        };
        candidate.parts.iter().map(cost).collect()
    }

    fn id(&self, method: usize) -> String {
        self.subject.base().catalogue.entries(EntryKind::Method)[method].id.clone()
    }

    fn step(&self, method: usize, coats: Vec<usize>, extent: Extent, verdict: Verdict) -> ApproachStep {
        // What may turn out to be held waits as what is.
        let verdict = if verdict == Verdict::CantTellYet { Verdict::OnHold } else { verdict };
        ApproachStep { method: self.id(method), coats, extent, verdict }
    }

    fn found(&self, steps: Vec<ApproachStep>, place: Place) -> Found {
        let book = self.book();
        let counted = |part: &str, cost: f64| Weighed { part: part.to_owned(), cost, source: None };
        let mut weighed = vec![
            counted("doubt about what stays", f64::from(u8::from(place.doubtful))),
            counted("how much comes off", f64::from(place.clears as u8)),
        ];
        for (part, cost) in book.ranking.iter().zip(&place.cost) {
            weighed.push(Weighed { part: part.title.clone(), cost: *cost as f64, source: Some(book.cite(&part.source)) });
        }
        weighed.push(counted("coats taken off all over", place.off as f64));
        let title = |id: &str| book.base.catalogue.entries(EntryKind::Method).get(id).map_or_else(|| id.to_owned(), |e| e.title.clone());
        let approach = Approach {
            says: told(&steps, self.subject.known.coats.len(), title),
            changes: steps.iter().filter(|s| s.extent == Extent::Whole).count().saturating_sub(1),
            clears: place.clears,
            on_hold: steps.iter().any(|s| s.verdict == Verdict::OnHold),
            steps,
            provided: Vec::new(),
            tried: Vec::new(),
            weighed,
            brief: Vec::new(),
        };
        Found { approach, place }
    }
}

pub(crate) fn told(steps: &[ApproachStep], coats: usize, title: impl Fn(&str) -> String) -> String {
    let numbered = |s: &ApproachStep| {
        let numbers: Vec<String> = s.coats.iter().map(ToString::to_string).collect();
        let word = if s.coats.len() == 1 { "coat" } else { "coats" };
        format!("{word} {}", words::list(&numbers, "and"))
    };
    let parts: Vec<String> = steps
        .iter()
        .map(|s| match s.extent {
            Extent::Loose => format!("{} for what is loose", title(&s.method)),
            Extent::Stays => title(&s.method),
            Extent::Whole if steps.len() == 1 && coats == 1 => format!("{} for the coat", title(&s.method)),
            Extent::Whole if steps.len() == 1 => format!("{} for all coats", title(&s.method)),
            Extent::Whole => format!("{} for {}", title(&s.method), numbered(s)),
        })
        .collect();
    parts.join(", then ")
}

/// How much comes off, the least first.
pub(crate) fn extent(way: &Approach) -> usize {
    way.clears as usize
}
