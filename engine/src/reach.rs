//! Sets of numbers as unions of intervals with open or closed ends.
//!
//! A set is kept as a list of cuts. A [`Cut`] lies just below or just above a number, so that `x < 5`, `x <= 5` and
//! `x == 5` differ only in where they cut, and every operation is one merge over sorted cuts.

use std::cmp::Ordering;

/// A place between numbers: just below (`above == false`) or just above a value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cut {
    /// The number it lies at.
    pub at: f64,
    /// Whether it lies just above rather than just below.
    pub above: bool,
}

impl Eq for Cut {}

impl PartialOrd for Cut {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Cut {
    fn cmp(&self, other: &Self) -> Ordering {
        self.at.total_cmp(&other.at).then(self.above.cmp(&other.above))
    }
}

impl Cut {
    /// Just below `at`.
    pub fn below(at: f64) -> Self {
        Self { at: at + 0.0, above: false }
    }

    /// Just above `at`.
    pub fn above(at: f64) -> Self {
        Self { at: at + 0.0, above: true }
    }
}

/// A set of numbers: sorted, disjoint, non-empty stretches between two cuts.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Reach {
    stretches: Vec<(Cut, Cut)>,
}

impl Reach {
    /// No number at all.
    pub fn empty() -> Self {
        Self::default()
    }

    /// Every number.
    pub fn all() -> Self {
        Self::between(Cut::below(f64::NEG_INFINITY), Cut::above(f64::INFINITY))
    }

    /// What lies between two cuts.
    pub fn between(low: Cut, high: Cut) -> Self {
        if low < high { Self { stretches: vec![(low, high)] } } else { Self::empty() }
    }

    /// From `low` to `high`, both included.
    pub fn closed(low: f64, high: f64) -> Self {
        Self::between(Cut::below(low), Cut::above(high))
    }

    /// Exactly one number.
    pub fn point(value: f64) -> Self {
        Self::closed(value, value)
    }

    /// Everything up to a cut.
    pub(crate) fn up_to(cut: Cut) -> Self {
        Self::between(Cut::below(f64::NEG_INFINITY), cut)
    }

    /// Everything from a cut on.
    pub fn from(cut: Cut) -> Self {
        Self::between(cut, Cut::above(f64::INFINITY))
    }

    /// The stretches, in order.
    pub fn stretches(&self) -> &[(Cut, Cut)] {
        &self.stretches
    }

    /// Whether it holds no number.
    pub fn is_empty(&self) -> bool {
        self.stretches.is_empty()
    }

    /// The one number it holds, if it holds exactly one.
    pub fn single(&self) -> Option<f64> {
        match self.stretches[..] {
            [(low, high)] if low.at == high.at => Some(low.at),
            _ => None,
        }
    }

    /// The least and the greatest number (or bound) it reaches.
    pub fn bounds(&self) -> Option<(f64, f64)> {
        Some((self.stretches.first()?.0.at, self.stretches.last()?.1.at))
    }

    /// Whether it holds `value`.
    pub fn holds(&self, value: f64) -> bool {
        self.stretches.iter().any(|(low, high)| *low <= Cut::below(value) && Cut::above(value) <= *high)
    }

    /// The numbers in both.
    #[must_use]
    pub fn and(&self, other: &Self) -> Self {
        let mut stretches = Vec::new();
        for (a_low, a_high) in &self.stretches {
            for (b_low, b_high) in &other.stretches {
                let (low, high) = (*a_low.max(b_low), *a_high.min(b_high));
                if low < high {
                    stretches.push((low, high));
                }
            }
        }
        Self { stretches }
    }

    /// The numbers in either.
    #[must_use]
    pub fn or(&self, other: &Self) -> Self {
        let mut all: Vec<(Cut, Cut)> = self.stretches.iter().chain(&other.stretches).copied().collect();
        all.sort();
        let mut stretches: Vec<(Cut, Cut)> = Vec::new();
        for (low, high) in all {
            match stretches.last_mut() {
                Some(last) if low <= last.1 => last.1 = last.1.max(high),
                _ => stretches.push((low, high)),
            }
        }
        Self { stretches }
    }

    /// The numbers not in it.
    #[must_use]
    pub fn not(&self) -> Self {
        let mut stretches = Vec::new();
        let mut from = Cut::below(f64::NEG_INFINITY);
        for (low, high) in &self.stretches {
            if from < *low {
                stretches.push((from, *low));
            }
            from = *high;
        }
        let end = Cut::above(f64::INFINITY);
        if from < end {
            stretches.push((from, end));
        }
        Self { stretches }
    }

    /// Keeps only whole numbers' neighbourhoods: drops stretches that hold no whole number.
    #[must_use]
    pub fn whole(&self) -> Self {
        Self { stretches: self.stretches.iter().copied().filter(|(low, high)| first_whole(*low) <= last_whole(*high)).collect() }
    }

    /// A number in it, as plain as can be found: an end that belongs to it, or a round number between.
    pub fn example(&self, whole: bool) -> Option<f64> {
        let (low, high) = *self.stretches.first()?;
        if whole {
            let first = first_whole(low);
            return Some(if first.is_finite() { first } else { last_whole(high) });
        }
        if !low.above && low.at.is_finite() {
            return Some(low.at);
        }
        if high.above && high.at.is_finite() {
            return Some(high.at);
        }
        Some(match (low.at.is_finite(), high.at.is_finite()) {
            (true, true) => low.at + (high.at - low.at) / 2.0,
            (true, false) => low.at + low.at.abs().max(1.0),
            (false, true) => high.at - high.at.abs().max(1.0),
            (false, false) => 0.0,
        })
    }
}

fn first_whole(low: Cut) -> f64 {
    if low.above { low.at.floor() + 1.0 } else { low.at.ceil() }
}

fn last_whole(high: Cut) -> f64 {
    if high.above { high.at.floor() } else { high.at.ceil() - 1.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_are_kept_apart() {
        let below = Reach::up_to(Cut::below(5.0));
        let up_to = Reach::up_to(Cut::above(5.0));
        assert!(!below.holds(5.0) && up_to.holds(5.0));
        assert_eq!(up_to.and(&below.not()).single(), Some(5.0));
        assert_eq!(below.or(&below.not()), Reach::all());
        assert_eq!(Reach::closed(1.0, 2.0).not().not(), Reach::closed(1.0, 2.0));
    }

    #[test]
    fn whole_numbers_leave_no_gap_between_neighbours() {
        let gap = Reach::between(Cut::above(1977.0), Cut::below(1978.0));
        assert!(gap.whole().is_empty());
        assert_eq!(Reach::between(Cut::above(3.0), Cut::below(5.0)).example(true), Some(4.0));
    }
}
