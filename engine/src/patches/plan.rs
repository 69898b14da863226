//! Which patches a surface wants.

use super::{Check, Usual, kept, usual};
use crate::advice::MethodAdvice;
use crate::catalogue::EntryKind;
use crate::error::Error;
use crate::finding::{Basis, Ruling, Status, Verdict};
use crate::reach::Reach;
use crate::reckon::Desk;
use crate::reckon::span::Span;
use crate::reckon::units::{Length, Measure, Ratio, Time};
use crate::role::{AttributeRole, FactRole, FigureRole};
use crate::survey::{Facts, Proposal, Stated, Surface, Survey, place_fits};
use crate::vocabulary::{FactKind, Known, flag};

/// The patches of one remover.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct MethodPlan {
    /// The remover.
    pub method: usize,
    /// What the rules say of it on this surface, once it has been tried.
    pub verdict: Verdict,
    /// Thickness and dwell of each patch.
    pub patches: Vec<(Length, Time)>,
    /// Where the rules cut the dwell short.
    pub cut_short: Option<Time>,
}

/// The patches that a stack of coats on a substrate wants.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Plan {
    /// The surface it is for.
    pub surface: String,
    /// Substrate and coats in words.
    pub stack: String,
    /// Other surfaces of the survey with the same substrate and coats, for which the patches speak too.
    pub same: Vec<String>,
    /// Remover by remover.
    pub methods: Vec<MethodPlan>,
    /// Removers that are ruled out here, each with the reason.
    pub left_out: Vec<String>,
    /// Side of a patch.
    pub side: Span<Length>,
    /// Whether the substrate is, or may be, brick, stone, render or concrete: it wants a larger area and a sample panel.
    pub masonry: bool,
    /// What is not known and would change the stack.
    pub open: Vec<String>,
}

impl Plan {
    /// How many patches it comes to, the witness square not counted.
    pub fn number(&self) -> usize {
        self.methods.iter().map(|m| m.patches.len()).sum()
    }
}

fn stated(known: Known) -> Stated {
    Stated { known, written: String::new(), by: None, on: None, note: None }
}

/// What makes two surfaces one for patches: substrate and kinds of coats, as far as they are known.
fn stack_of(surface: &Surface, desk: &Desk<'_>) -> (Option<Known>, Option<Vec<Option<Known>>>) {
    let vocabulary = &desk.shelf.base().vocabulary;
    let substrate = vocabulary.with(FactRole::Substrate).and_then(|f| surface.facts.get(&f)).map(|s| s.known.clone());
    let kind = vocabulary.with(FactRole::Kind);
    let coats = surface.coats.as_ref().map(|coats| coats.iter().map(|c| kind.and_then(|k| c.get(&k)).map(|s| s.known.clone())).collect());
    (substrate, coats)
}

/// Substrate and coats in words, and what of them is not known.
fn in_words(surface: &Surface, desk: &Desk<'_>) -> (String, Vec<String>) {
    let base = desk.shelf.base();
    let mut open = Vec::new();
    let name = |known: &Known, role: FactRole| -> Option<String> {
        let fact = base.vocabulary.get(base.vocabulary.with(role)?);
        let (Known::Bits(bits), FactKind::Entry(_)) = (known, &fact.kind) else { return None };
        let titles: Vec<&str> =
            (0..fact.width(&base.catalogue)).filter(|i| bits >> i & 1 == 1).map(|i| fact.choice_title(i, &base.catalogue)).collect();
        Some(crate::words::list(&titles, "or"))
    };
    let (substrate, coats) = stack_of(surface, desk);
    let under = substrate.as_ref().and_then(|k| name(k, FactRole::Substrate));
    if !matches!(&substrate, Some(Known::Bits(b)) if b.is_power_of_two()) {
        open.push("the substrate is not settled: find it out before the first patch".to_owned());
    }
    let coats = match coats {
        None => {
            open.push("nobody has looked at the coats: count and name them first, from the top down".to_owned());
            "coats not looked at".to_owned()
        }
        Some(coats) if coats.is_empty() => "no coats".to_owned(),
        Some(coats) => {
            let named: Vec<String> = coats
                .iter()
                .map(|c| c.as_ref().and_then(|k| name(k, FactRole::Kind)).unwrap_or_else(|| "a coat not known".to_owned()))
                .collect();
            named.join(", then ")
        }
    };
    (format!("{coats}, on {}", under.unwrap_or_else(|| "a substrate not known".to_owned())), open)
}

/// What the rules say of a remover that has been tried, left on for a dwell.
fn verdict(survey: &Survey, surface: usize, method: usize, dwell: Option<Time>, check: Check<'_>, desk: &Desk<'_>) -> Option<MethodAdvice> {
    let vocabulary = &desk.shelf.base().vocabulary;
    let mut settings = Facts::new();
    if let Some(fact) = vocabulary.with(FactRole::Trial) {
        settings.insert(fact, stated(Known::Bits(flag::YES)));
    }
    if let (Some(dwell), Some(fact)) = (dwell, vocabulary.with(FactRole::Dwell)) {
        settings.insert(fact, stated(Known::Num(Reach::point(dwell.base()))));
    }
    let proposal = Proposal { method: desk.shelf.base().method_id(method), settings, note: None };
    let advice = check(survey, surface, &proposal).ok()?;
    advice.surfaces.into_iter().next()?.proposals.into_iter().next()
}

/// Figures between two ends, evenly spread on a logarithmic scale, the higher end included.
fn spread<T: Measure>(between: Span<T>, count: usize) -> Vec<T> {
    let (low, high) = (between.low().base().ln(), between.high().base().ln());
    (1..=count).map(|i| T::of_base((low + (high - low) * i as f64 / count as f64).exp())).collect()
}

/// Thicknesses are put on to half a millimetre.
fn halves(thickness: Length) -> Length {
    Length::mm(((thickness.in_mm() * 2.0).round() / 2.0).max(0.5))
}

/// The longest usual dwell that the rules let a remover stay on a surface; `None` where they let none.
///
/// Tried are the usual dwells in steps, and every limit of the rule book that is a time: the rules change their mind there.
pub(crate) fn longest_allowed(
    survey: &Survey,
    surface: usize,
    method: usize,
    usual: &Usual,
    check: Check<'_>,
    desk: &Desk<'_>,
) -> Option<Time> {
    let mut steps = spread(usual.dwell, 12);
    for limit in desk.shelf.base().limits.values() {
        if limit.unit.dimension == Time::unit().dimension
            && let Some((time, _)) = desk.in_force::<Time>(limit)
            && (usual.dwell.low()..=usual.dwell.high()).contains(&time)
        {
            steps.push(time);
        }
    }
    steps.sort_by(|a, b| b.base().total_cmp(&a.base()));
    steps.into_iter().find(|d| verdict(survey, surface, method, Some(*d), check, desk).is_some_and(|m| m.verdict != Verdict::RuledOut))
}

/// The patches for a surface: for each remover that the rules leave possible, two thicknesses and three dwells (or what the
/// rule book says), spread over what is usual and never longer than the rules let it stay on.
///
/// # Errors
/// Where the rule book lacks a figure, the survey was made with another book, or it has no such surface.
pub fn plan(survey: &Survey, surface: usize, check: Check<'_>, desk: &Desk<'_>) -> Result<Plan, Error> {
    place_fits(desk.places.first().map(String::as_str))?;
    let this = survey.surface_fits(surface, desk.shelf.base())?;
    survey.fits(desk.shelf.base())?;
    let count = |role: FigureRole| desk.look_up::<Ratio>(role).map(|n| (n.low().value().round().max(1.0)) as usize);
    let (dwells, thicknesses) = (count(FigureRole::PatchDwells)?, count(FigureRole::PatchThicknesses)?);
    let (stack, open) = in_words(this, desk);
    let own = stack_of(this, desk);
    let known = own.0.is_some() && own.1.is_some();
    let same = survey
        .surfaces
        .iter()
        .enumerate()
        .filter(|(i, s)| *i != surface && known && stack_of(s, desk) == own)
        .map(|(_, s)| s.name.clone())
        .collect();
    let (mut methods, mut left_out) = (Vec::new(), Vec::new());
    // Of each method planned, the rules that bar it until something is known or released, and in which words.
    let mut waits: Vec<Vec<(String, String)>> = Vec::new();
    for (method, entry) in desk.shelf.base().catalogue.entries(EntryKind::Method).values().enumerate() {
        let Some(usual) = usual(method, desk) else { continue };
        let Some(found) = verdict(survey, surface, method, None, check, desk) else { continue };
        let word = found.verdict;
        if word == Verdict::RuledOut {
            left_out.push(format!("{}: {}", entry.title, found.line));
            continue;
        }
        let Some(longest) = longest_allowed(survey, surface, method, &usual, check, desk) else {
            left_out.push(format!("{}: the rules let no usual dwell stay on", entry.title));
            continue;
        };
        let cut_short = (longest.base() < usual.dwell.high().base() * (1.0 - 1e-9)).then_some(longest);
        let between = Span::between(Time::of_base(usual.dwell.low().base().min(longest.base())), longest);
        let mut patches = Vec::new();
        for thickness in spread(
            Span::between(
                usual.thickness.low(),
                Length::of_base((usual.thickness.low().base() * usual.thickness.high().base().powi(2)).cbrt()),
            ),
            thicknesses,
        ) {
            for dwell in spread(between, dwells) {
                // Rounded down at the end that the rules set.
                let step = kept(dwell);
                let dwell = if step.base() > longest.base() {
                    Time::of_base((longest.base() / 900.0 + 1e-9).floor().max(1.0) * 900.0)
                } else {
                    step
                };
                patches.push((halves(thickness), dwell));
            }
        }
        patches.dedup();
        // A patch is work with the remover: what holds it, and what the law may forbid here, is not tried to find out.
        let bars = found.reasons.into_iter().filter_map(|n| {
            let title = n.title.unwrap_or(n.says);
            match (n.ruling, n.status) {
                (Ruling::Hold, Status::Applies) => Some((n.rule, format!("on hold, {title}"))),
                (Ruling::RuleOut, Status::Open) if word == Verdict::CantTellYet && n.basis == Basis::Statute => {
                    Some((n.rule, format!("the law may forbid it here ({title})")))
                }
                _ => None,
            }
        });
        waits.push(bars.collect());
        methods.push(MethodPlan { method, verdict: word, patches, cut_short });
    }
    // What bars one remover and not another leaves that one out; what bars all of them, the patches wait for.
    let entries = desk.shelf.base().catalogue.entries(EntryKind::Method);
    let alone = |at: usize| waits[at].iter().find(|(rule, _)| waits.iter().any(|w| !w.iter().any(|(r, _)| r == rule)));
    let keeps: Vec<bool> = (0..methods.len()).map(|at| alone(at).is_none()).collect();
    if keeps.contains(&true) {
        for (at, m) in methods.iter().enumerate().filter(|(at, _)| !keeps[*at]) {
            let why = alone(at).map_or("", |(_, why)| why.as_str());
            left_out.push(format!("{}: {why}", entries[m.method].title));
        }
        let mut keeps = keeps.into_iter();
        methods.retain(|_| keeps.next() == Some(true));
    }
    let side = desk.look_up(FigureRole::PatchSide)?;
    let catalogue = &desk.shelf.base().catalogue;
    let masonry = match &own.0 {
        Some(Known::Bits(bits)) => (0..catalogue.entries(EntryKind::Substrate).len())
            .any(|i| bits >> i & 1 == 1 && catalogue.is(EntryKind::Substrate, i, AttributeRole::Masonry)),
        _ => true,
    };
    Ok(Plan { surface: this.name.clone(), stack, same, methods, left_out, side, masonry, open })
}
