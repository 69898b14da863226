//! From a log to a dwell and a thickness, the next patch, and what the log cannot tell.

use super::model::Belief;
use super::{Log, Outcome, Tried, Usual, kept};
use crate::quantity::plain;
use crate::reckon::span::Span;
use crate::reckon::units::{Celsius, Length, Measure, Share, Time};

/// The chance of clearing that a dwell is recommended for.
pub(crate) const WANTED: f64 = 0.9;
/// Fewer patches than this tell too little.
pub(crate) const FEWEST: usize = 3;
/// Degrees beyond the temperatures tried that the job may be.
const NEAR: f64 = 2.0;

/// A thickness and dwell, with the chance that a spot clears.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct Advice {
    /// Thickness.
    pub thickness: Length,
    /// Dwell at the temperature of the job.
    pub dwell: Time,
    /// The chance that a spot clears.
    pub chance: Share,
    /// Between what it lies in eight of ten states that the log leaves possible.
    pub between: Span<Share>,
}

/// One thickness that was tried.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct Row {
    /// The thickness.
    pub thickness: Length,
    /// The smallest dwell within what was tried that clears nine times of ten.
    pub dwell: Option<Time>,
    /// The chance at the longest dwell that was tried.
    pub at_longest: Share,
}

/// The next patch that would tell most.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct Next {
    /// Thickness.
    pub thickness: Length,
    /// Dwell.
    pub dwell: Time,
    /// What it is expected to tell, in bits.
    pub worth: f64,
}

/// What a log tells.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Estimate {
    /// What is believed after the log.
    pub belief: Belief,
    /// The temperature of the job it is for.
    pub temperature: Celsius,
    /// The dwells tried, turned to that temperature at twice as fast for 10 degrees.
    pub range: Option<(Time, Time)>,
    /// The thicknesses tried, thinnest first.
    pub thicknesses: Vec<Length>,
    /// Thickness by thickness.
    pub rows: Vec<Row>,
    /// What to do, where it lies within what was tried and nothing below withholds it.
    pub recommended: Option<Advice>,
    /// Where nine of ten are not reached within what was tried: where they are expected beyond it, if anywhere.
    pub beyond: Option<Advice>,
    /// Why the log is too thin.
    pub thin: Vec<String>,
    /// Where it contradicts itself.
    pub contradictions: Vec<String>,
    /// What else is to be said.
    pub notes: Vec<String>,
}

impl Estimate {
    /// The next patch that would tell most, among the thicknesses tried and the usual ones and a ladder of dwells, none longer
    /// than `most`. `None` where nothing is allowed.
    pub fn next(&self, usual: &Usual, most: Option<Time>) -> Option<Next> {
        let mut best: Option<Next> = None;
        for (thickness, dwell) in candidates(usual, &self.thicknesses) {
            if most.is_none_or(|m| dwell > m) {
                continue;
            }
            let worth = self.belief.worth(thickness, dwell, self.temperature);
            // The first of equals: thinner and shorter.
            if best.is_none_or(|b| worth > b.worth + 1e-9) {
                best = Some(Next { thickness, dwell, worth });
            }
        }
        best
    }

    /// The chance of clearing for a proposed thickness and dwell, and whether it lies within what was tried.
    pub fn proposed(&self, thickness: Length, dwell: Time) -> (Advice, bool) {
        let inside = self.range.is_some_and(|(a, b)| a.base() <= dwell.base() * (1.0 + 1e-9) && dwell.base() <= b.base() * (1.0 + 1e-9))
            && self.rows.iter().any(|r| r.thickness.base() <= thickness.base() * (1.0 + 1e-9))
            && self.rows.iter().any(|r| r.thickness.base() * (1.0 + 1e-9) >= thickness.base());
        (advice(&self.belief, thickness, dwell, self.temperature), inside)
    }
}

fn advice(belief: &Belief, thickness: Length, dwell: Time, temperature: Celsius) -> Advice {
    let (low, high) = belief.chance_between(thickness, dwell, temperature);
    let chance = Share::of(belief.chance(thickness, dwell, temperature));
    Advice { thickness, dwell, chance, between: Span::between(Share::of(low), Share::of(high)) }
}

/// A dwell turned from one temperature to another, at twice as fast for 10 degrees.
pub(super) fn turned(dwell: Time, from: Celsius, to: Celsius) -> Time {
    Time::of_base(dwell.base() * 2_f64.powf((from.value() - to.value()) / 10.0))
}

fn shown(tried: &Tried) -> String {
    let at = tried.temperature.map(|t| format!(" at {} °C", plain(t.value()))).unwrap_or_default();
    let figure = |v: f64| plain(crate::reckon::span::three(v));
    format!("{} mm, {} h{at}: {}", figure(tried.thickness.in_mm()), figure(tried.dwell.in_hours()), tried.outcome.word())
}

/// Pairs in which the thicker and longer patch did worse.
fn contradictions(tried: &[Tried], temperature: Celsius) -> Vec<String> {
    let mut found = Vec::new();
    let at = |t: &Tried| turned(t.dwell, t.temperature.unwrap_or(temperature), temperature).base();
    for less in tried {
        for more in tried {
            let worse = (more.outcome as usize) > (less.outcome as usize);
            let at_least = more.thickness.base() >= less.thickness.base() * (1.0 - 1e-9) && at(more) >= at(less) * (1.0 - 1e-9);
            if worse && at_least && found.len() < 5 {
                found.push(format!("({}) did worse than ({}), though it was at least as thick and as long", shown(more), shown(less)));
            }
        }
    }
    found
}

fn thinness(tried: &[Tried]) -> Vec<String> {
    let mut thin = Vec::new();
    if tried.len() < FEWEST {
        thin.push(format!(
            "{} too little: at least {FEWEST} patches with thickness, dwell and result are wanted",
            match tried.len() {
                0 => "no patches tell".to_owned(),
                1 => "one patch tells".to_owned(),
                n => format!("{n} patches tell"),
            }
        ));
    }
    if !tried.is_empty() && tried.iter().all(|t| t.outcome != Outcome::Cleared) {
        thin.push("no patch cleared the stack: nothing shows yet that this remover clears it at all".to_owned());
    }
    let dwells = |t: &Tried| (t.dwell.base() / 60.0).round() as i64;
    if tried.len() >= FEWEST && tried.iter().all(|t| dwells(t) == dwells(&tried[0])) {
        thin.push("all patches had the same dwell: try a shorter and a longer one".to_owned());
    }
    thin
}

/// What a log tells of a remover on a stack.
///
/// `temperature` is that of the surface when the job is done; where it is not stated the mean of the patches is taken.
/// `warmth` is the factor by which 10 degrees speed things up, from and to.
pub fn estimate(log: &Log, usual: &Usual, warmth: (f64, f64), temperature: Option<Celsius>) -> Estimate {
    let tried = &log.tried;
    let written: Vec<f64> = tried.iter().filter_map(|t| t.temperature).map(Celsius::value).collect();
    let mean = if written.is_empty() { 15.0 } else { written.iter().sum::<f64>() / written.len() as f64 };
    let job = temperature.unwrap_or(Celsius::of(mean));
    let mut belief = Belief::new(usual, warmth);
    for t in tried {
        belief.learn(t);
    }
    let mut thin = thinness(tried);
    let contradictions = contradictions(tried, job);
    let mut notes = log.set_aside.clone();
    if tried.iter().all(|t| t.outcome == Outcome::Cleared) && tried.len() >= FEWEST {
        notes.push("every patch cleared: how short and how thin it can be is not known; a shorter patch would tell".to_owned());
    }
    if let (Some(low), Some(high)) = (written.iter().copied().reduce(f64::min), written.iter().copied().reduce(f64::max))
        && (job.value() < low - NEAR || job.value() > high + NEAR)
    {
        thin.push(format!(
            "the job at {} °C lies beyond the temperatures tried ({} to {} °C): try a patch in the weather of the job",
            plain(job.value()),
            plain(low),
            plain(high)
        ));
    }
    let dwells: Vec<f64> = tried.iter().map(|t| turned(t.dwell, t.temperature.unwrap_or(job), job).base()).collect();
    let range = dwells
        .iter()
        .copied()
        .reduce(f64::min)
        .zip(dwells.iter().copied().reduce(f64::max))
        .map(|(a, b)| (Time::of_base(a), Time::of_base(b)));
    let mut thicknesses: Vec<Length> = tried.iter().map(|t| t.thickness).collect();
    thicknesses.sort_by(|a, b| a.base().total_cmp(&b.base()));
    thicknesses.dedup_by(|a, b| (a.base() - b.base()).abs() < 1e-6);
    let rows: Vec<Row> = range
        .map(|range| {
            thicknesses
                .iter()
                .map(|h| Row {
                    thickness: *h,
                    dwell: belief.dwell_for(WANTED, *h, job, range),
                    at_longest: Share::of(belief.chance(*h, range.1, job)),
                })
                .collect()
        })
        .unwrap_or_default();
    let recommended = if thin.is_empty() { recommend(&belief, &rows, range, job) } else { None };
    let beyond = if recommended.is_none() && thin.is_empty() { look_beyond(&belief, &thicknesses, usual, range, job) } else { None };
    Estimate { belief, temperature: job, range, thicknesses, rows, recommended, beyond, thin, contradictions, notes }
}

/// The shortest dwell among the thicknesses that reach nine of ten; of two alike (within a tenth) the thinner.
fn recommend(belief: &Belief, rows: &[Row], range: Option<(Time, Time)>, job: Celsius) -> Option<Advice> {
    let longest = range?.1;
    let shortest = rows.iter().filter_map(|r| r.dwell).map(Time::base).reduce(f64::min)?;
    let row = rows.iter().find(|r| r.dwell.is_some_and(|d| d.base() <= shortest * 1.1))?;
    let dwell = row.dwell?;
    let rounded = kept(dwell);
    let dwell = if rounded.base() <= longest.base() { rounded } else { longest };
    Some(advice(belief, row.thickness, dwell, job))
}

/// Where nine of ten would be reached beyond what was tried: up to twice the longest usual dwell and the thickest usual
/// thickness. It is where the larger confirming patch goes, never a recommendation.
fn look_beyond(belief: &Belief, tried: &[Length], usual: &Usual, range: Option<(Time, Time)>, job: Celsius) -> Option<Advice> {
    let from = range?.0;
    let longest = Time::of_base((usual.dwell.high().base() * 2.0).max(range?.1.base() * 2.0));
    let thickest = usual.thickness.high();
    let mut best: Option<(Length, Time)> = None;
    for h in tried.iter().copied().chain([thickest]) {
        if let Some(dwell) = belief.dwell_for(WANTED, h, job, (from, longest))
            && best.is_none_or(|(_, d)| dwell.base() < d.base() * 0.9)
        {
            best = Some((h, dwell));
        }
    }
    best.map(|(h, d)| advice(belief, h, kept(d), job))
}

/// Thicknesses and dwells that could be tried next: those tried and the usual ones, in steps of a ladder.
fn candidates(usual: &Usual, tried: &[Length]) -> Vec<(Length, Time)> {
    let mut thicknesses = tried.to_vec();
    let (thin, thick) = (usual.thickness.low().base(), usual.thickness.high().base());
    thicknesses.extend([Length::of_base(thin), Length::of_base((thin * thick).sqrt()), Length::of_base(thick)]);
    thicknesses.sort_by(|a, b| a.base().total_cmp(&b.base()));
    thicknesses.dedup_by(|a, b| (a.base() - b.base()).abs() < 0.2e-3);
    let (short, long) = (usual.dwell.low().base().ln(), usual.dwell.high().base().ln());
    let ladder = 10;
    thicknesses
        .iter()
        .flat_map(|h| {
            (0..ladder).map(move |i| (*h, kept(Time::of_base((short + (long - short) * f64::from(i) / f64::from(ladder - 1)).exp()))))
        })
        .collect()
}

/// All that could be tried next, for comparison.
pub fn choices(usual: &Usual, tried: &[Length]) -> Vec<(Length, Time)> {
    candidates(usual, tried)
}
