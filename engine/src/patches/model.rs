//! What is assumed about a remover and a stack of coats, and how results change what is believed.
//!
//! - The depth cleared grows with the square root of the dwell, as things do that get in by diffusion (J. Crank, The
//!   Mathematics of Diffusion, from memory), and is capped by what the thickness of paste can carry. As a share of the
//!   stack: `min(sqrt(dwell/needed), thickness/needed)`.
//! - Warmth speeds it up by a factor for 10 degrees, like a reaction (Arrhenius' rule of thumb, about 2, a range).
//! - From spot to spot the share varies by a factor, lognormal. A patch is `cleared` where the share reaches 1, `not` where
//!   it stays below a threshold that every observer has for himself, `part` between. One record in a hundred may be wrong.
//!
//! What is not known (needed dwell at 20 °C, needed thickness, scatter, the factor of warmth, the threshold) is a grid with a
//! weight on every cell. Spread and bounds of the grid are this model's own choice; how well it then does is tried on
//! simulated walls in the tests.

use super::{Tried, Usual};
use crate::reckon::units::{Celsius, Length, Time};
use std::sync::{Arc, LazyLock};

const DWELLS: usize = 40;
const THICKNESSES: usize = 12;
const SCATTERS: [f64; 4] = [0.06, 0.12, 0.2, 0.32];
const WARMTHS: usize = 3;
const THRESHOLDS: [f64; 2] = [0.3, 0.5];
/// Cells that share a needed dwell and thickness.
const INNER: usize = SCATTERS.len() * WARMTHS * THRESHOLDS.len();
/// Share of records that may be wrong.
const WRONG: f64 = 0.01;
/// Temperatures allowed for where none was written down, °C.
const UNWRITTEN: [f64; 4] = [10.0, 15.0, 20.0, 25.0];

/// One state of what is not known.
#[derive(Debug, Clone, Copy)]
struct Cell {
    /// Logarithm of the needed dwell at 20 °C, hours.
    dwell: f64,
    /// Logarithm of the needed thickness, mm.
    thickness: f64,
    scatter: f64,
    /// Logarithm of the factor for one degree.
    warmth: f64,
    threshold: f64,
}

/// What is believed of a remover on a stack.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Belief {
    cells: Arc<Vec<Cell>>,
    weights: Vec<f64>,
}

/// The normal distribution function, from a table with straight lines between: good to 3e-7.
fn normal(x: f64) -> f64 {
    const REACH: f64 = 6.0;
    const STEPS: usize = 4096;
    static TABLE: LazyLock<Vec<f64>> =
        LazyLock::new(|| (0..=STEPS + 1).map(|i| exact_normal(-REACH + 2.0 * REACH * i as f64 / STEPS as f64)).collect());
    let place = ((x + REACH) * (STEPS as f64 / (2.0 * REACH))).clamp(0.0, STEPS as f64);
    let at = place as usize;
    TABLE[at] + (TABLE[at + 1] - TABLE[at]) * (place - at as f64)
}

/// The normal distribution function. Source: Abramowitz and Stegun, 7.1.26, good to 1.5e-7.
fn exact_normal(x: f64) -> f64 {
    let z = x.abs() / std::f64::consts::SQRT_2;
    let t = 1.0 / (1.0 + 0.327_591_1 * z);
    let poly = t * (0.254_829_592 + t * (-0.284_496_736 + t * (1.421_413_741 + t * (-1.453_152_027 + t * 1.061_405_429))));
    let upper = 0.5 * poly * (-z * z).exp();
    if x >= 0.0 { 1.0 - upper } else { upper }
}

impl Cell {
    /// Logarithm of the share of the stack that is cleared, before scatter.
    fn share(&self, thickness: f64, dwell: f64, temperature: f64) -> f64 {
        let by_time = 0.5 * (dwell + self.warmth * (temperature - 20.0) - self.dwell);
        by_time.min(thickness - self.thickness)
    }

    fn cleared(&self, share: f64) -> f64 {
        normal(share / self.scatter)
    }

    /// Chances of cleared, part and not.
    fn chances(&self, share: f64) -> [f64; 3] {
        let cleared = self.cleared(share);
        let not = normal((self.threshold.ln() - share) / self.scatter);
        [cleared, (1.0 - cleared - not).max(0.0), not]
    }
}

/// Evenly spaced, both ends included.
fn steps(low: f64, high: f64, count: usize) -> impl Iterator<Item = f64> {
    (0..count).map(move |i| low + (high - low) * i as f64 / (count - 1) as f64)
}

impl Belief {
    /// Before any patch: every needed dwell from half the shortest usual to twice the longest is as likely (on a logarithmic
    /// scale), every needed thickness from a quarter of the thinnest usual to the thickest. `warmth` is the factor for 10
    /// degrees, from and to.
    pub fn new(usual: &Usual, warmth: (f64, f64)) -> Self {
        let mut cells = Vec::with_capacity(DWELLS * THICKNESSES * INNER);
        let (shortest, longest) = (usual.dwell.low().in_hours() / 2.0, usual.dwell.high().in_hours() * 2.0);
        let (thinnest, thickest) = (usual.thickness.low().in_mm() / 4.0, usual.thickness.high().in_mm());
        for dwell in steps(shortest.ln(), longest.ln(), DWELLS) {
            for thickness in steps(thinnest.ln(), thickest.ln(), THICKNESSES) {
                for scatter in SCATTERS {
                    for warmth in steps(warmth.0.ln() / 10.0, warmth.1.ln() / 10.0, WARMTHS) {
                        for threshold in THRESHOLDS {
                            cells.push(Cell { dwell, thickness, scatter, warmth, threshold });
                        }
                    }
                }
            }
        }
        let weights = vec![1.0 / cells.len() as f64; cells.len()];
        Self { cells: Arc::new(cells), weights }
    }

    /// Learns from a patch.
    pub fn learn(&mut self, tried: &Tried) {
        let (thickness, dwell) = (tried.thickness.in_mm().ln(), tried.dwell.in_hours().ln());
        let which = tried.outcome as usize;
        let own = tried.temperature.map(|t| [t.value()]);
        let temperatures: &[f64] = own.as_ref().map_or(&UNWRITTEN, |t| t);
        let mut sum = 0.0;
        for (cell, weight) in self.cells.iter().zip(&mut self.weights) {
            let mut chance = 0.0;
            for t in temperatures {
                chance += cell.chances(cell.share(thickness, dwell, *t))[which];
            }
            *weight *= (1.0 - WRONG) * chance / temperatures.len() as f64 + WRONG / 3.0;
            sum += *weight;
        }
        for weight in &mut self.weights {
            *weight /= sum;
        }
    }

    /// The chance that a spot clears, over everything that is believed.
    pub fn chance(&self, thickness: Length, dwell: Time, temperature: Celsius) -> f64 {
        let (h, t, c) = (thickness.in_mm().ln(), dwell.in_hours().ln(), temperature.value());
        // Neighbouring cells differ in the threshold alone, which has no say in what clears.
        let each = THRESHOLDS.len();
        self.cells
            .chunks(each)
            .zip(self.weights.chunks(each))
            .map(|(cells, weights)| (cells[0], weights.iter().sum::<f64>()))
            .filter(|(_, w)| *w > 1e-7)
            .map(|(cell, w)| w * cell.cleared(cell.share(h, t, c)))
            .sum()
    }

    /// Between what the chance lies in eight of ten states, by weight.
    pub fn chance_between(&self, thickness: Length, dwell: Time, temperature: Celsius) -> (f64, f64) {
        let (h, t, c) = (thickness.in_mm().ln(), dwell.in_hours().ln(), temperature.value());
        let mut all: Vec<(f64, f64)> = self
            .cells
            .iter()
            .zip(&self.weights)
            .filter(|(_, w)| **w > 1e-12)
            .map(|(cell, w)| (cell.cleared(cell.share(h, t, c)), *w))
            .collect();
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        let at = |part: f64| {
            let mut sum = 0.0;
            all.iter().find(|(_, w)| {
                sum += w;
                sum >= part
            })
        };
        (at(0.1).map_or(0.0, |a| a.0), at(0.9).map_or(1.0, |a| a.0))
    }

    /// The smallest dwell, between two, that clears with a chance; `None` where even the longest does not.
    pub fn dwell_for(&self, chance: f64, thickness: Length, temperature: Celsius, between: (Time, Time)) -> Option<Time> {
        let (mut low, mut high) = (between.0.in_hours().ln(), between.1.in_hours().ln());
        if self.chance(thickness, between.1, temperature) < chance {
            return None;
        }
        if self.chance(thickness, between.0, temperature) >= chance {
            return Some(between.0);
        }
        for _ in 0..10 {
            let middle = f64::midpoint(low, high);
            if self.chance(thickness, Time::hours(middle.exp()), temperature) < chance {
                low = middle;
            } else {
                high = middle;
            }
        }
        Some(Time::hours(high.exp()))
    }

    /// How much a patch is expected to tell of the needed dwell and thickness, in bits: the mutual information of its result
    /// and those two.
    pub fn worth(&self, thickness: Length, dwell: Time, temperature: Celsius) -> f64 {
        let (h, t, c) = (thickness.in_mm().ln(), dwell.in_hours().ln(), temperature.value());
        let entropy = |p: [f64; 3]| -> f64 { p.iter().filter(|p| **p > 1e-12).map(|p| -p * p.log2()).sum() };
        let mut all = [0.0; 3];
        let mut within = 0.0;
        for (cells, weights) in self.cells.chunks(INNER).zip(self.weights.chunks(INNER)) {
            let weight: f64 = weights.iter().sum();
            if weight < 1e-9 {
                continue;
            }
            let mut here = [0.0; 3];
            for (cell, w) in cells.iter().zip(weights) {
                let p = cell.chances(cell.share(h, t, c));
                for i in 0..3 {
                    here[i] += w * ((1.0 - WRONG) * p[i] + WRONG / 3.0);
                }
            }
            for i in 0..3 {
                all[i] += here[i];
                here[i] /= weight;
            }
            within += weight * entropy(here);
        }
        entropy(all) - within
    }

    /// How uncertain the needed dwell and thickness still are, in bits.
    pub fn uncertainty(&self) -> f64 {
        self.weights.chunks(INNER).map(|w| w.iter().sum::<f64>()).filter(|p| *p > 1e-12).map(|p| -p * p.log2()).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::normal;

    /// Tables of the normal law: 0.5, 0.8413447, 0.9750021, 0.0227501, 0.9986501.
    #[test]
    fn the_normal_law_is_met() {
        for (x, p) in [(0.0, 0.5), (1.0, 0.841_344_7), (1.96, 0.975_002_1), (-2.0, 0.022_750_1), (3.0, 0.998_650_1)] {
            assert!((normal(x) - p).abs() < 1e-6, "{x}: {}", normal(x));
        }
        assert!(normal(-50.0) < 1e-8 && normal(50.0) > 1.0 - 1e-8);
    }
}
