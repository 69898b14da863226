//! Ranges of measures: the least and the greatest a thing can be, carried through every reckoning.

use super::units::{Measure, Ratio};
use crate::error::Error;
use crate::quantity::{self, System, Unit};
use std::ops::{Add, Div, Mul, Sub};

/// From `low` to `high`, both possible.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span<T> {
    low: T,
    high: T,
}

impl<T: Measure> Span<T> {
    /// Between two figures, whichever is the smaller.
    pub fn between(a: T, b: T) -> Self {
        if a.base() <= b.base() { Self { low: a, high: b } } else { Self { low: b, high: a } }
    }

    /// Exactly one figure.
    pub fn exactly(value: T) -> Self {
        Self { low: value, high: value }
    }

    /// The least.
    pub fn low(self) -> T {
        self.low
    }

    /// The greatest.
    pub fn high(self) -> T {
        self.high
    }

    /// Whether it is one figure.
    pub fn is_exact(self) -> bool {
        self.low.base() == self.high.base()
    }

    /// Through a function that never falls.
    pub fn rising<U: Measure>(self, f: impl Fn(T) -> U) -> Span<U> {
        Span { low: f(self.low), high: f(self.high) }
    }

    /// Through a function that never rises.
    pub fn falling<U: Measure>(self, f: impl Fn(T) -> U) -> Span<U> {
        Span { low: f(self.high), high: f(self.low) }
    }

    /// With another through a function that never falls in either.
    pub fn with<U: Measure, V: Measure>(self, other: Span<U>, f: impl Fn(T, U) -> V) -> Span<V> {
        Span { low: f(self.low, other.low), high: f(self.high, other.high) }
    }

    /// With another through a function that never falls in this one and never rises in the other.
    pub fn against<U: Measure, V: Measure>(self, other: Span<U>, f: impl Fn(T, U) -> V) -> Span<V> {
        Span { low: f(self.low, other.high), high: f(self.high, other.low) }
    }

    /// From the least of either to the greatest of either.
    #[must_use]
    pub fn join(self, other: Self) -> Self {
        let low = if self.low.base() <= other.low.base() { self.low } else { other.low };
        let high = if self.high.base() >= other.high.base() { self.high } else { other.high };
        Self { low, high }
    }

    /// Nothing below or above what is possible at all.
    #[must_use]
    pub fn within(self, low: T, high: T) -> Self {
        let clamp = |v: T| T::of_base(v.base().clamp(low.base(), high.base()));
        Self { low: clamp(self.low), high: clamp(self.high) }
    }

    fn corners<U: Measure, V: Measure>(self, other: Span<U>, f: impl Fn(T, U) -> V) -> Span<V> {
        let all = [f(self.low, other.low), f(self.low, other.high), f(self.high, other.low), f(self.high, other.high)];
        let by = |pick: fn(f64, f64) -> f64| V::of_base(all.iter().map(|v| v.base()).reduce(pick).unwrap_or(f64::NAN));
        Span { low: by(f64::min), high: by(f64::max) }
    }

    /// Reads `3 .. 4 mm` or `3 mm`.
    ///
    /// # Errors
    /// A sentence saying what is wrong: no number, no unit, a unit of another kind, the wrong way round.
    pub fn read(text: &str) -> Result<Self, Error> {
        Given::read(text).map(|g| g.span)
    }

    /// In a unit, with three figures that count.
    pub fn show(self, unit: &Unit) -> String {
        let number = |v: T| quantity::plain(three(unit.of_base(v.base())));
        let (low, high) = (number(self.low), number(self.high));
        let figures = if low == high { low } else { format!("{low} .. {high}") };
        if unit.shown.is_empty() { figures } else { format!("{figures} {}", unit.shown) }
    }
}

/// Rounds to three figures that count; whole numbers above a thousand keep theirs.
pub(crate) fn three(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() || value.abs() >= 1000.0 {
        return if value.is_finite() { value.round() } else { value };
    }
    format!("{value:.2e}").parse().unwrap_or(value)
}

macro_rules! operator {
    ($trait:ident $method:ident) => {
        impl<T: Measure + $trait<U>, U: Measure> $trait<Span<U>> for Span<T>
        where
            T::Output: Measure,
        {
            type Output = Span<T::Output>;

            fn $method(self, other: Span<U>) -> Self::Output {
                self.corners(other, |a, b| a.$method(b))
            }
        }
    };
}

operator!(Mul mul);
operator!(Div div);
operator!(Add add);
operator!(Sub sub);

impl Span<Ratio> {
    /// Each end up to the next whole number.
    #[must_use]
    pub fn up(self) -> Self {
        self.rising(Ratio::up)
    }
}

/// What somebody stated: a range, as it was written.
#[derive(Debug, Clone, PartialEq)]
pub struct Given<T> {
    /// The range.
    pub span: Span<T>,
    /// As it was written.
    pub written: String,
    /// The units it was written in.
    pub system: Option<System>,
}

impl<T: Measure> Given<T> {
    /// Reads `3 .. 4 mm` or `3 mm`.
    ///
    /// # Errors
    /// As [`Span::read`].
    pub fn read(text: &str) -> Result<Self, Error> {
        let (low, high) = quantity::read_range(text, T::unit())?;
        let written = text.split_whitespace().collect::<Vec<_>>().join(" ");
        Ok(Self { span: Span::between(T::of_base(low.base), T::of_base(high.base)), written, system: high.unit.system })
    }
}

impl<T: Measure> std::str::FromStr for Given<T> {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self, Error> {
        Self::read(text)
    }
}

#[cfg(test)]
mod tests {
    use super::super::units::{Area, Length, Volume};
    use super::*;

    #[test]
    fn ends_are_carried_through_products_and_quotients() {
        let area = Span::between(Area::m2(10.0), Area::m2(12.0));
        let thickness = Span::<Length>::read("3 .. 4 mm").unwrap();
        let volume: Span<Volume> = area * thickness;
        assert!((volume.low().in_litres() - 30.0).abs() < 1e-9 && (volume.high().in_litres() - 48.0).abs() < 1e-9);
        let back: Span<Length> = volume / area;
        assert!((back.low().in_mm() - 2.5).abs() < 1e-9 && (back.high().in_mm() - 4.8).abs() < 1e-9);
    }

    #[test]
    fn differences_take_the_worst_of_both() {
        let a = Span::between(Length::mm(3.0), Length::mm(4.0));
        let d = a - Span::between(Length::mm(1.0), Length::mm(2.0));
        assert!((d.low().in_mm() - 1.0).abs() < 1e-12 && (d.high().in_mm() - 3.0).abs() < 1e-12);
    }

    #[test]
    fn ranges_are_read_and_shown() {
        let span = Span::<Length>::read("3..4 mm").unwrap();
        assert_eq!(span.show(Length::unit()), "3 .. 4 mm");
        assert_eq!(Span::exactly(Volume::litres(39.6)).show(Volume::unit()), "39.6 L");
        assert_eq!(Span::exactly(Volume::litres(38_712.4)).show(Volume::unit()), "38,712 L");
        assert!(Span::<Length>::read("3 .. 4").unwrap_err().message().contains("no unit"));
        assert!(Span::<Length>::read("4 .. 3 mm").unwrap_err().message().contains("ends below"));
        assert!(Span::<Length>::read("3 kg").unwrap_err().message().contains("a mass"));
    }
}
