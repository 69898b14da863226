//! Numbers in words and figures.

use super::tables::{self, Bound};
use super::token::Token;

/// A plain number and where it ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Count {
    /// The least it may be.
    pub(super) low: f64,
    /// The most it may be; more than `low` for "a few".
    pub(super) high: f64,
    /// The piece behind it.
    pub(super) next: usize,
    /// Whether it was said as a fraction, which speaks for inches.
    pub(super) fraction: bool,
}

/// Whether these words stand at a place.
pub(super) fn words_at(tokens: &[Token], i: usize, words: &[&str]) -> bool {
    words.iter().enumerate().all(|(k, w)| tokens.get(i + k).is_some_and(|t| t.text == *w))
}

/// The longest of several phrases that stands at a place.
pub(super) fn longest<'a, T: Copy>(tokens: &[Token], i: usize, table: impl IntoIterator<Item = (&'a [&'a str], T)>) -> Option<(usize, T)> {
    table.into_iter().filter(|(words, _)| words_at(tokens, i, words)).max_by_key(|(words, _)| words.len()).map(|(w, t)| (w.len(), t))
}

fn look(table: &[(&str, f64)], token: Option<&Token>) -> Option<f64> {
    let token = token?;
    table.iter().find(|(w, _)| *w == token.text).map(|(_, v)| *v)
}

/// A number below a hundred in words.
fn below_hundred(tokens: &[Token], i: usize) -> Option<(f64, usize)> {
    let first = look(tables::NUMBERS, tokens.get(i))?;
    if first >= 20.0
        && let Some(unit) = look(tables::NUMBERS, tokens.get(i + 1)).filter(|u| (1.0..10.0).contains(u))
    {
        return Some((first + unit, i + 2));
    }
    Some((first, i + 1))
}

/// A part of one: "half", "a quarter", "three eighths".
fn part(tokens: &[Token], i: usize) -> Option<(f64, usize)> {
    let skip_of = |mut j: usize| {
        if words_at(tokens, j, &["of"]) && tokens.get(j + 1).is_some_and(|t| matches!(t.text.as_str(), "a" | "an")) {
            j += 2;
        } else if tokens.get(j).is_some_and(|t| matches!(t.text.as_str(), "a" | "an")) {
            j += 1;
        }
        j
    };
    let (count, j) = if words_at(tokens, i, &["a"]) || words_at(tokens, i, &["an"]) {
        (1.0, i + 1)
    } else if let Some((n, j)) = below_hundred(tokens, i) {
        (n, j)
    } else {
        (1.0, i)
    };
    let of = look(tables::PARTS, tokens.get(j))?;
    // "third" alone is an ordinal.
    if j == i && of != 2.0 && of != 4.0 && of != 16.0 && of != 8.0 {
        return None;
    }
    Some((count / of, skip_of(j + 1)))
}

/// One number, no bounds: `12`, `1 1/2`, `two and a half`, `half a dozen`, `a hundred and twenty`.
pub(super) fn count(tokens: &[Token], i: usize) -> Option<Count> {
    let one = |value: f64, next: usize, fraction: bool| Some(Count { low: value, high: value, next, fraction });
    if let Some((length, (low, high))) = longest(tokens, i, tables::FEW.iter().map(|(w, l, h)| (*w, (*l, *h)))) {
        return Some(Count { low, high, next: i + length, fraction: false });
    }
    if let Some(first) = tokens.get(i)?.number() {
        return figures(tokens, i, first);
    }
    if words_at(tokens, i, &["half", "a", "dozen"]) {
        return one(6.0, i + 3, false);
    }
    let article = words_at(tokens, i, &["a"]) || words_at(tokens, i, &["an"]);
    if article && let Some(scale) = look(tables::SCALES, tokens.get(i + 1)) {
        let (more, next) = rest_of_scale(tokens, i + 2, scale);
        return one(scale + more, next, false);
    }
    if let Some((value, next)) = part(tokens, i) {
        return one(value, next, true);
    }
    let (mut value, mut next) = match below_hundred(tokens, i) {
        Some(found) => found,
        None => (1.0, i).take_if_scale(tokens)?,
    };
    while let Some(scale) = look(tables::SCALES, tokens.get(next)).filter(|_| value > 0.0) {
        let (more, after) = rest_of_scale(tokens, next + 1, scale);
        value = value * scale + more;
        next = after;
    }
    let (more, after) = and_part(tokens, next);
    one(value + more, after, more > 0.0)
}

/// `dozen` and `hundred` alone count as one of them.
trait ScaleAlone {
    fn take_if_scale(self, tokens: &[Token]) -> Option<(f64, usize)>;
}

impl ScaleAlone for (f64, usize) {
    fn take_if_scale(self, tokens: &[Token]) -> Option<(f64, usize)> {
        let alone = tokens.get(self.1).is_some_and(|t| matches!(t.text.as_str(), "dozen" | "hundred" | "thousand"));
        alone.then_some(self)
    }
}

/// What follows a hundred: `and twenty`, `twenty`.
fn rest_of_scale(tokens: &[Token], i: usize, scale: f64) -> (f64, usize) {
    if scale < 100.0 {
        return (0.0, i);
    }
    let j = if words_at(tokens, i, &["and"]) { i + 1 } else { i };
    // "a hundred and a half" is no number, and "three hundred and 4 doors" two.
    match below_hundred(tokens, j) {
        Some((more, mut next)) => {
            let mut value = more;
            if scale >= 1000.0 && words_at(tokens, next, &["hundred"]) {
                let (rest, after) = rest_of_scale(tokens, next + 1, 100.0);
                value = value * 100.0 + rest;
                next = after;
            }
            (value, next)
        }
        None => (0.0, i),
    }
}

/// `and a half`, `and three quarters`.
fn and_part(tokens: &[Token], i: usize) -> (f64, usize) {
    if words_at(tokens, i, &["and"])
        && let Some((value, next)) = part(tokens, i + 1)
        && value < 1.0
    {
        return (value, next);
    }
    (0.0, i)
}

/// A number that begins with figures.
fn figures(tokens: &[Token], i: usize, first: f64) -> Option<Count> {
    let over = |j: usize| {
        let (above, below) = (tokens.get(j)?.number()?, tokens.get(j + 2)?.number()?);
        (tokens.get(j + 1)?.is('/') && tokens[j + 1].glued && tokens[j + 2].glued && below > 0.0 && above.fract() == 0.0)
            .then_some(above / below)
    };
    let one = |value: f64, next: usize, fraction: bool| Some(Count { low: value, high: value, next, fraction });
    if let Some(value) = over(i) {
        return one(value, i + 3, true);
    }
    let tied = tokens.get(i + 1).is_some_and(|t| !t.hyphen || tokens[i + 1].number().is_some());
    if tied && let Some(value) = over(i + 1).filter(|v| *v < 1.0) {
        return one(first + value, i + 4, true);
    }
    if let Some(more) =
        tokens.get(i + 1).and_then(Token::number).filter(|n| *n < 1.0 && tokens[i + 1].text.chars().all(|c| !c.is_ascii_digit()))
    {
        return one(first + more, i + 2, true);
    }
    if tokens[i].text.chars().all(|c| !c.is_ascii_digit()) {
        // A fraction sign alone: `½ a metre`.
        let next = if tokens.get(i + 1).is_some_and(|t| matches!(t.text.as_str(), "a" | "an")) { i + 2 } else { i + 1 };
        return one(first, next, true);
    }
    if let Some(scale) = look(tables::SCALES, tokens.get(i + 1)) {
        return one(first * scale, i + 2, false);
    }
    let (more, next) = and_part(tokens, i + 1);
    one(first + more, next, more > 0.0)
}

/// Words before a number that bound it.
pub(super) fn before(tokens: &[Token], i: usize) -> Option<(usize, Bound)> {
    longest(tokens, i, tables::BEFORE.iter().map(|(w, b)| (*w, *b)))
}

/// Words behind a number that bound it.
pub(super) fn behind(tokens: &[Token], i: usize) -> Option<(usize, Bound)> {
    longest(tokens, i, tables::BEHIND.iter().map(|(w, b)| (*w, *b)))
}

/// Words for a great many.
pub(super) fn many(tokens: &[Token], i: usize) -> Option<usize> {
    longest(tokens, i, tables::MANY.iter().map(|w| (*w, ()))).map(|(n, ())| n)
}

/// How far "odd" reaches: twenty-odd is 20 to 29, a hundred-odd 100 to 149.
pub(super) fn odd(value: f64) -> f64 {
    match value {
        v if v % 100.0 == 0.0 && v > 0.0 => v + 49.0,
        v if v % 10.0 == 0.0 && v > 0.0 => v + 9.0,
        v => v + 5.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answer::token::tokens;

    fn said(text: &str) -> Option<(f64, usize)> {
        count(&tokens(text), 0).map(|c| (c.low, c.next))
    }

    #[test]
    fn numbers_in_words_and_figures() {
        for (text, value, length) in [
            ("twelve", 12.0, 1),
            ("twenty-one", 21.0, 2),
            ("half a dozen", 6.0, 3),
            ("a dozen", 12.0, 2),
            ("two dozen", 24.0, 2),
            ("a score", 20.0, 2),
            ("a hundred and twenty", 120.0, 4),
            ("three thousand five hundred", 3500.0, 4),
            ("two and a half", 2.5, 4),
            ("a quarter of an inch", 0.25, 4),
            ("three quarters", 0.75, 2),
            ("1/16", 0.0625, 3),
            ("1 1/2", 1.5, 4),
            ("2½", 2.5, 2),
            ("½ a metre", 0.5, 2),
            ("1,100", 1100.0, 1),
            ("half a metre", 0.5, 2),
            ("three sixteenths", 0.1875, 2),
            ("a couple of", 2.0, 3),
        ] {
            assert_eq!(said(text), Some((value, length)), "{text}");
        }
        for text in ["door", "third", "the", "a", "and", ""] {
            assert_eq!(said(text), None, "{text}");
        }
    }
}
