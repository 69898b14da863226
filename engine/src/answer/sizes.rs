//! Figures with units: sizes, ranges, bounds.

use super::numbers::{self, count, words_at};
use super::tables::{self, Bound};
use super::token::Token;
use crate::quantity::{Dimension, Unit, find_unit};
use std::sync::OnceLock;

/// One figure with the unit it was given in, if any.
#[derive(Debug, Clone)]
pub(super) struct Side {
    /// The least it may be, in its unit.
    pub(super) low: f64,
    /// The most.
    pub(super) high: f64,
    /// The unit.
    pub(super) unit: Option<&'static Unit>,
    /// Whether degrees of no named scale were said.
    pub(super) degrees: bool,
    /// Whether it was said as a fraction.
    pub(super) fraction: bool,
    /// How it reads back where two units were joined: `6 ft 8 in`.
    pub(super) joined: Option<String>,
}

/// What was said with figures.
#[derive(Debug, Clone)]
pub(super) enum Shape {
    /// One figure, or from one to another.
    Span(Side, Option<Side>),
    /// A length by a width.
    Product(Side, Side),
    /// Many; no number.
    Many,
}

/// Figures with their bound.
#[derive(Debug, Clone)]
pub(super) struct Measure {
    /// The figures.
    pub(super) shape: Shape,
    /// How they are bounded.
    pub(super) bound: Option<Bound>,
    /// The piece behind them.
    pub(super) next: usize,
}

impl Measure {
    /// The figures less a few of what they count; nothing where none is left.
    pub(super) fn less(mut self, few: usize) -> Option<Self> {
        if let Shape::Span(a, b) = &mut self.shape {
            for side in [Some(a), b.as_mut()].into_iter().flatten() {
                side.low -= few as f64;
                side.high -= few as f64;
            }
        }
        let least = if let Shape::Span(a, _) = &self.shape { a.low } else { 1.0 };
        (few == 0 || least >= 1.0).then_some(self)
    }

    /// A number without unit, bounded or not.
    pub(super) fn is_plain(&self) -> bool {
        match &self.shape {
            Shape::Span(a, b) => a.unit.is_none() && !a.degrees && b.as_ref().is_none_or(|b| b.unit.is_none() && !b.degrees),
            Shape::Product(..) => false,
            Shape::Many => true,
        }
    }

    /// What it measures, if a unit says so.
    pub(super) fn dimension(&self) -> Option<Dimension> {
        match &self.shape {
            Shape::Span(a, b) if a.degrees || b.as_ref().is_some_and(|b| b.degrees) => Some(Dimension::TEMPERATURE),
            Shape::Span(a, b) => b.as_ref().and_then(|b| b.unit).or(a.unit).map(|u| u.dimension),
            Shape::Product(..) => find_unit("m2").map(|u| u.dimension),
            Shape::Many => None,
        }
    }
}

/// A unit as people say it, and where it ends.
pub(super) fn unit_at(tokens: &[Token], i: usize) -> Option<(&'static Unit, usize)> {
    static UNITS: OnceLock<Vec<(Vec<&'static str>, &'static Unit)>> = OnceLock::new();
    let units = UNITS.get_or_init(|| tables::units().collect());
    let first = tokens.get(i)?;
    let (length, unit) = numbers::longest(tokens, i, units.iter().map(|(w, u)| (w.as_slice(), *u)))?;
    let next = tokens.get(i + length);
    // "two in the hall" is no inch, and the s of "1890's" makes no foot of the mark before it.
    if first.text == "in"
        && next.is_some_and(|t| {
            let when = t.number().is_some_and(|n| n.fract() == 0.0 && (1500.0..2100.0).contains(&n));
            // "0.3 in 1998": a year says when.
            when || matches!(
                t.text.as_str(),
                "the"
                    | "a"
                    | "each"
                    | "every"
                    | "my"
                    | "our"
                    | "this"
                    | "all"
                    | "one"
                    | "and"
                    | "total"
                    | "places"
                    | "parts"
                    | "spots"
                    | "both"
            )
        })
    {
        return None;
    }
    if first.is('\'') && next.is_some_and(|t| t.glued && t.text == "s") {
        return None;
    }
    // A single letter is a unit only right behind a figure.
    if matches!(first.text.as_str(), "c" | "f" | "m" | "h") && i > 0 && tokens[i - 1].number().is_none() && !tokens[i - 1].is('°') {
        return None;
    }
    Some((unit, i + length))
}

/// One figure with its unit: `6`, `2.4 m`, `6'8"`, `two foot six`, `a metre`.
fn side(tokens: &[Token], i: usize) -> Option<(Side, usize)> {
    let article = tokens.get(i).is_some_and(|t| matches!(t.text.as_str(), "a" | "an"));
    let (number, i) = match count(tokens, i) {
        Some(c) => (c, c.next),
        None if article
            && unit_at(tokens, i + 1).is_some_and(|(u, _)| tokens[i + 1].text.len() > 2 || u.dimension == Dimension::LENGTH) =>
        {
            (numbers::Count { low: 1.0, high: 1.0, next: i + 1, fraction: false }, i + 1)
        }
        None => return None,
    };
    let mut out = Side { low: number.low, high: number.high, unit: None, degrees: false, fraction: number.fraction, joined: None };
    let Some((unit, mut next)) = unit_at(tokens, i) else {
        if tokens.get(i).is_some_and(|t| tables::DEGREES.contains(&t.text.as_str())) {
            out.degrees = true;
            return Some((out, i + 1));
        }
        return Some((out, i));
    };
    out.unit = Some(unit);
    // "two and a half metres" was read; "a metre and a half" and "six foot eight" come now.
    if unit.names[0] == "ft"
        && let Some(inches) =
            count(tokens, next).filter(|c| c.low == c.high && c.low < 12.0 && tokens.get(next).is_some_and(|t| t.text != "a"))
    {
        let spoken = unit_at(tokens, inches.next).filter(|(u, _)| u.names[0] == "in");
        let other_unit = spoken.is_none() && unit_at(tokens, inches.next).is_some();
        let joined = spoken.is_some() || (!other_unit && inches.low.fract() == 0.0 && inches.next == next + 1);
        let a_count = spoken.is_none() && tokens.get(inches.next).is_some_and(|t| matches!(t.text.as_str(), "coats" | "layers" | "doors"));
        if joined && !a_count {
            out.joined = Some(format!("{} ft {} in", super::readings::figure(out.low), super::readings::figure(inches.low)));
            out.low += inches.low / 12.0;
            out.high = out.low;
            next = spoken.map_or(inches.next, |(_, after)| after);
        }
    } else if words_at(tokens, next, &["and", "a", "half"]) {
        out.low += 0.5;
        out.high = out.low;
        next += 3;
    } else if words_at(tokens, next, &["and", "a", "quarter"]) {
        out.low += 0.25;
        out.high = out.low;
        next += 3;
    }
    Some((out, next))
}

fn by(tokens: &[Token], i: usize) -> bool {
    tokens.get(i).is_some_and(|t| matches!(t.text.as_str(), "by" | "x" | "×" | "times"))
}

/// `between 3 and 5 mm`, `from four to six`.
fn from_to(tokens: &[Token], i: usize) -> Option<Measure> {
    if !tokens.get(i).is_some_and(|t| matches!(t.text.as_str(), "between" | "from" | "anything" | "anywhere")) {
        return None;
    }
    let from = if words_at(tokens, i + 1, &["from"]) || words_at(tokens, i + 1, &["between"]) { i + 2 } else { i + 1 };
    let (first, after) = side(tokens, from)?;
    let joint = tokens.get(after)?;
    let after = match joint.text.as_str() {
        "and" | "to" | "-" => after + 1,
        _ if joint.hyphen => after,
        _ => return None,
    };
    let (second, next) = side(tokens, after)?;
    Some(ended(tokens, Shape::Span(first, Some(second)), None, next))
}

/// Figures with what bounds them, at a place in the line.
pub(super) fn measure(tokens: &[Token], i: usize) -> Option<Measure> {
    if let Some(found) = from_to(tokens, i) {
        return Some(found);
    }
    let (mut bound, mut j) = match numbers::before(tokens, i) {
        Some((length, bound)) => (Some(bound), i + length),
        None => (None, i),
    };
    // "at least about five", "over a hundred", "under the sink"
    if let Some((length, second)) = numbers::before(tokens, j).filter(|_| bound.is_some()) {
        bound = if bound == Some(Bound::About) { Some(second) } else { bound };
        j += length;
    }
    let article = tokens.get(j).is_some_and(|t| matches!(t.text.as_str(), "the" | "some"));
    if article && bound.is_some() {
        j += 1;
    }
    if let Some(length) = numbers::many(tokens, j) {
        let plain = bound.is_none();
        return plain.then_some(Measure { shape: Shape::Many, bound: None, next: j + length });
    }
    let (first, next) = side(tokens, j)?;
    if by(tokens, next)
        && let Some((second, after)) = side(tokens, next + 1)
    {
        return Some(ended(tokens, Shape::Product(first, second), bound, after));
    }
    let length = |s: &Side| s.unit.is_some_and(|u| u.dimension == Dimension::LENGTH);
    if words_at(tokens, next, &["of"]) && length(&first) {
        let from = if tokens.get(next + 1).is_some_and(|t| matches!(t.text.as_str(), "a" | "the")) { next + 2 } else { next + 1 };
        if let Some((second, after)) = side(tokens, from).filter(|(s, _)| length(s)) {
            return Some(ended(tokens, Shape::Product(first, second), bound, after));
        }
    }
    // "three metres square" is three by three.
    if length(&first) && words_at(tokens, next, &["square"]) {
        let second = first.clone();
        return Some(ended(tokens, Shape::Product(first, second), bound, next + 1));
    }
    let tied = tokens.get(next).is_some_and(|t| t.hyphen);
    let joint = tokens.get(next).is_some_and(|t| matches!(t.text.as_str(), "to" | "or" | "-" | "till" | "through"));
    if tied || joint {
        let from = if tied { next } else { next + 1 };
        if let Some((second, after)) = side(tokens, from).filter(|(s, _)| s.low > first.low || s.unit.is_some() && first.unit.is_some()) {
            let same = match (first.unit, second.unit) {
                (Some(a), Some(b)) => a.dimension == b.dimension,
                _ => true,
            };
            // "one or two-part" counts nothing, "two or three" does.
            if same && first.low == first.high {
                return Some(ended(tokens, Shape::Span(first, Some(second)), bound, after));
            }
        }
    }
    if words_at(tokens, next, &["odd"]) {
        let mut first = first;
        first.high = numbers::odd(first.low);
        return Some(ended(tokens, Shape::Span(first, None), bound, next + 1));
    }
    Some(ended(tokens, Shape::Span(first, None), bound, next))
}

/// Takes in words behind the figures that bound them.
fn ended(tokens: &[Token], shape: Shape, bound: Option<Bound>, next: usize) -> Measure {
    match numbers::behind(tokens, next) {
        // "6 plus 4 doors", "two and more"
        Some((length, behind)) if bound.is_none() || bound == Some(Bound::About) => {
            Measure { shape, bound: Some(behind), next: next + length }
        }
        Some((length, Bound::About)) => Measure { shape, bound, next: next + length },
        _ => Measure { shape, bound, next },
    }
}
