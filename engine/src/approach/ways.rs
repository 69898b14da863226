//! From what is judged of every method to the ways through the stack, best first.

use super::data::Partial;
use super::path::{self, Taker};
use crate::advice::{Approach, ApproachStep, Weighed};
use crate::catalogue::{AttributeValue, EntryKind, Grid};
use crate::judge::know::{How, Slot};
use crate::judge::rank::{self, Contribution};
use crate::judge::walk::{Finding, walk};
use crate::judge::{Judged, Subject, Verdict};
use crate::pack::RankBy;
use crate::vocabulary::{About, FactKind, Known};
use crate::words;

/// The most ways given.
const MOST: usize = 6;
/// The most ways that clear everything, and that clear what is loose.
const MOST_OF_A_KIND: usize = 3;
/// Costs are whole numbers: millionths of a point.
const FINE: f64 = 1e6;

/// A method that could take part.
pub(crate) struct Candidate {
    pub(crate) method: usize,
    pub(crate) verdict: Verdict,
    /// Whether it would suit once its hold points are released.
    pub(crate) after_release: bool,
    pub(crate) parts: Vec<Contribution>,
}

impl Candidate {
    pub(crate) fn new(method: usize, judged: &Judged, parts: Vec<Contribution>) -> Self {
        Self { method, verdict: judged.verdict, after_release: judged.verdict == Verdict::OnHold && !judged.cases.is_empty(), parts }
    }
}

/// The grid that says what clears a coat, and the fact that names a coat's kind.
struct Clearing<'a> {
    grid: &'a Grid,
    /// The slot of the kind of coat.
    slot: usize,
}

fn clearing<'a>(subject: &'a Subject<'_, '_>) -> Option<Clearing<'a>> {
    let base = subject.base();
    let grid = base.catalogue.grids.values().find(|g| !g.clears.is_empty() && g.columns == EntryKind::Method)?;
    let (_, fact) =
        base.vocabulary.iter().find(|(_, f)| f.about == About::Coat && matches!(f.kind, FactKind::Entry(k) if k == grid.rows))?;
    Some(Clearing { grid, slot: fact.slot })
}

impl Clearing<'_> {
    /// What a test says of a coat for every kind it may be of: all, some, none.
    fn of(&self, subject: &Subject<'_, '_>, coat: usize, test: impl Fn(usize) -> bool) -> (bool, bool) {
        let Some(Known::Bits(bits)) = subject.known.coats.get(coat).map(|c| &c[self.slot].known) else { return (false, true) };
        let rows: Vec<bool> = (0..self.grid.cells.len()).filter(|r| bits >> r & 1 == 1).map(test).collect();
        (!rows.is_empty() && rows.iter().all(|t| *t), rows.iter().any(|t| *t))
    }

    fn cleared(&self, row: usize, method: usize) -> bool {
        self.grid.clears.contains(&self.grid.cells[row][method].grade)
    }
}

fn keeps(subject: &Subject<'_, '_>, method: usize) -> bool {
    subject.base().catalogue.attribute(EntryKind::Method, method, "keeps") == Some(AttributeValue::Flag(true))
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
    let (mut certain, mut open) = (Vec::new(), Vec::new());
    for partial in &book.working.partials {
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
    let rows = if certain.is_empty() { open } else { certain };
    if rows.is_empty() {
        return None;
    }
    let shares = rows.iter().filter_map(|r| book.figures.get(r.share.as_ref()?)).map(|f| (f.low, f.high));
    let share = shares.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
    Some(MayStay { loose: rows.iter().any(|r| r.loose), share, rows })
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
        Subject { force: subject.force, site: subject.site.clone(), known, departed: subject.departed.clone() }
    }

    fn takes_loose(&self, reason: &str) -> bool {
        self.rows.iter().flat_map(|r| &r.reasons).any(|r| r == reason)
    }
}

/// A way with what puts it in its place.
struct Found {
    approach: Approach,
    /// Coming last for a reason of its own: the coats that stay bear a new one badly.
    doubtful: bool,
    cost: Vec<i64>,
}

/// Ways through the stack from the methods that suit; where none leads through, from those that would once their hold
/// points are released.
pub(crate) fn ways(subject: &Subject<'_, '_>, candidates: &[Candidate]) -> Vec<Approach> {
    let suits = Search::new(subject, candidates, false);
    let mut found = suits.all();
    if found.is_empty() && candidates.iter().any(|c| c.after_release) {
        found = Search::new(subject, candidates, true).all();
    }
    found.sort_by(|a, b| a.doubtful.cmp(&b.doubtful).then(a.cost.cmp(&b.cost)));
    found.truncate(MOST);
    found.into_iter().map(|f| f.approach).collect()
}

struct Search<'s, 'b, 'i> {
    subject: &'s Subject<'b, 'i>,
    takers: Vec<&'s Candidate>,
    keepers: Vec<usize>,
    /// Whether methods on hold take part.
    held: bool,
    stay: Option<MayStay<'b>>,
}

impl<'s, 'b, 'i> Search<'s, 'b, 'i> {
    fn new(subject: &'s Subject<'b, 'i>, candidates: &'s [Candidate], held: bool) -> Self {
        let fits = |c: &&Candidate| c.verdict.suits() || held && c.after_release;
        let takers = candidates.iter().filter(fits).filter(|c| !keeps(subject, c.method)).collect();
        let keepers = crate::judge::methods(subject.force).filter(|m| keeps(subject, *m)).collect();
        Self { subject, takers, keepers, held, stay: may_stay(subject) }
    }

    /// What a part of the ranking costs, from its points.
    fn weighed(&self, parts: &[Contribution], ground: bool) -> Vec<i64> {
        let weighs = &self.subject.force.book.working.weighs;
        let of = |part: usize| parts.iter().find(|p| p.part == part).map_or(0.0, |p| 1.0 - p.points);
        weighs.iter().map(|w| if w.ground == ground { (of(w.part) * FINE).round() as i64 } else { 0 }).collect()
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
        let judged = subject.judge(keeper, &subject.force.method(keeper, None, &[]));
        let fits = judged.verdict.suits() || self.held && judged.verdict == Verdict::OnHold && !judged.cases.is_empty();
        fits.then_some((judged.verdict, judged))
    }

    /// Everything stays as it is.
    fn leaving(&self) -> Vec<Found> {
        // Where something may be loose it comes off first.
        if self.stay.as_ref().is_some_and(|s| s.loose) && self.subject.known.listed {
            return Vec::new();
        }
        let mut found = Vec::new();
        for keeper in &self.keepers {
            let Some((verdict, _)) = self.keeping(self.subject, *keeper) else { continue };
            let coats: Vec<usize> = if self.subject.known.listed { (1..=self.subject.known.coats.len()).collect() } else { Vec::new() };
            let doubtful = !coats.is_empty() && !self.bears(0, *keeper);
            let cost = vec![0; self.subject.force.book.working.weighs.len() + 2];
            found.push(self.found(vec![self.step(*keeper, coats, "stays", verdict)], cost, "none", doubtful));
        }
        found
    }

    /// Coat by coat from the top, to the substrate or to a coat that may stay.
    fn clearing(&self, clearing: &Clearing<'_>) -> Vec<Found> {
        let coats = self.subject.known.coats.len();
        let takers: Vec<Taker> = self
            .takers
            .iter()
            .map(|c| Taker {
                clears: (0..coats).map(|coat| clearing.of(self.subject, coat, |r| clearing.cleared(r, c.method)).0).collect(),
                each: self.weighed(&c.parts, false),
                ground: self.weighed(&c.parts, true),
            })
            .collect();
        let mut found = Vec::new();
        for depth in 1..=coats {
            let keeper = match &self.stay {
                _ if depth == coats => None,
                None => continue,
                // Where all holds and the top coat bears a new one, taking the upper coats off has no point.
                Some(stay) if !stay.loose && self.keepers.iter().any(|k| self.bears(0, *k)) => continue,
                Some(stay) => {
                    let left = stay.remaining(self.subject, depth);
                    let first = self.keepers.iter().find_map(|k| Some((*k, self.keeping(&left, *k)?.0)).filter(|_| self.bears(depth, *k)));
                    let Some(first) = first else { continue };
                    Some(first)
                }
            };
            let mut ways: Vec<path::Way> = path::best(&takers, coats, depth).into_iter().flatten().collect();
            ways.sort_by(|a, b| a.cost.cmp(&b.cost).then(a.methods.cmp(&b.methods)));
            ways.truncate(if keeper.is_some() { 1 } else { MOST_OF_A_KIND });
            for way in ways {
                let mut steps: Vec<ApproachStep> = Vec::new();
                for (coat, taker) in way.methods.iter().enumerate() {
                    let candidate = self.takers[*taker];
                    let id = self.id(candidate.method);
                    match steps.last_mut() {
                        Some(last) if last.method == id => last.coats.push(coat + 1),
                        _ => steps.push(self.step(candidate.method, vec![coat + 1], "whole", candidate.verdict)),
                    }
                }
                let mut cost = way.cost;
                cost.push(depth as i64);
                if let Some((keeper, verdict)) = keeper {
                    steps.push(self.step(keeper, (depth + 1..=coats).collect(), "stays", verdict));
                }
                found.push(self.found(steps, cost, if keeper.is_some() { "part" } else { "all" }, false));
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
        let doubtful = !self.bears(0, keeper);
        // How much is loose weighs in the middle of what is usual; where nothing is said, as if all of it were.
        let share = stay.share.map_or(1.0, |(low, high)| f64::midpoint(low, high));
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
                let steps = vec![self.step(c.method, numbers.clone(), "loose", c.verdict), self.step(keeper, numbers, "stays", verdict)];
                let own = self.in_spots(c);
                let parts = self.weighed(&own, false).into_iter().zip(self.weighed(&own, true)).map(|(a, b)| a + b);
                let mut cost = vec![0];
                cost.extend(parts.map(|p| (p as f64 * share).round() as i64));
                cost.push(0);
                self.found(steps, cost, "loose", doubtful)
            })
            .collect();
        found.sort_by(|a, b| a.cost.cmp(&b.cost));
        found.truncate(MOST_OF_A_KIND);
        found
    }

    /// The points of a method where only what is loose comes off: a figure `loose-ATTRIBUTE-METHOD` stands for the attribute.
    fn in_spots(&self, candidate: &Candidate) -> Vec<Contribution> {
        let book = self.subject.force.book;
        let id = self.id(candidate.method);
        let mut parts = candidate.parts.clone();
        for part in &mut parts {
            let RankBy::Attribute { attribute, best, worst } = book.ranking[part.part].by else { continue };
            let Some((name, _)) = book.base.catalogue.attributes(EntryKind::Method).get_index(attribute) else { continue };
            if let Some(figure) = book.figures.get(&format!("loose-{name}-{id}")) {
                part.points = rank::between(f64::midpoint(figure.low, figure.high), best, worst);
            }
        }
        parts
    }

    fn id(&self, method: usize) -> String {
        self.subject.base().catalogue.entries(EntryKind::Method)[method].id.clone()
    }

    fn step(&self, method: usize, coats: Vec<usize>, extent: &'static str, verdict: Verdict) -> ApproachStep {
        ApproachStep { method: self.id(method), coats, extent, verdict: verdict.words() }
    }

    fn found(&self, steps: Vec<ApproachStep>, cost: Vec<i64>, clears: &'static str, doubtful: bool) -> Found {
        let book = self.subject.force.book;
        let mut weighed = vec![Weighed { part: "changes of method".to_owned(), cost: cost[0] as f64, source: None }];
        for (weigh, cost) in book.working.weighs.iter().zip(&cost[1..]) {
            let part = &book.ranking[weigh.part];
            weighed.push(Weighed { part: part.title.clone(), cost: *cost as f64 / FINE, source: Some(book.cite(&part.source)) });
        }
        if let Some(coats) = cost.last() {
            weighed.push(Weighed { part: "coats taken off all over".to_owned(), cost: *coats as f64, source: None });
        }
        let title = |id: &str| book.base.catalogue.entries(EntryKind::Method).get(id).map_or_else(|| id.to_owned(), |e| e.title.clone());
        let approach = Approach {
            says: told(&steps, self.subject.known.coats.len(), title),
            changes: cost[0] as usize,
            clears,
            on_hold: steps.iter().any(|s| s.verdict == Verdict::OnHold.words()),
            steps,
            weighed,
            brief: Vec::new(),
        };
        Found { approach, doubtful, cost }
    }
}

/// The rank of a method on a surface, for a candidate.
pub(crate) fn candidate(subject: &Subject<'_, '_>, method: usize, judged: &Judged) -> Candidate {
    Candidate::new(method, judged, rank::rank(subject, method, judged))
}

fn told(steps: &[ApproachStep], coats: usize, title: impl Fn(&str) -> String) -> String {
    let numbered = |s: &ApproachStep| {
        let numbers: Vec<String> = s.coats.iter().map(ToString::to_string).collect();
        let word = if s.coats.len() == 1 { "coat" } else { "coats" };
        format!("{word} {}", words::list(&numbers, "and"))
    };
    let parts: Vec<String> = steps
        .iter()
        .map(|s| match s.extent {
            "loose" => format!("{} for what is loose", title(&s.method)),
            "stays" => title(&s.method),
            _ if steps.len() == 1 && coats == 1 => format!("{} for the coat", title(&s.method)),
            _ if steps.len() == 1 => format!("{} for all coats", title(&s.method)),
            _ => format!("{} for {}", title(&s.method), numbered(s)),
        })
        .collect();
    parts.join(", then ")
}
