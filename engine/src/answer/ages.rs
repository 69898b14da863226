//! Ages of buildings, into years.

use super::numbers::{count, words_at};
use super::tables::Bound;
use super::token::Token;
use super::years::Years;
use crate::year::{ABOUT_YEARS, YEARS};

/// `two hundred years old`, `over a century old`, `built 50 years ago`.
pub(super) fn age(tokens: &[Token], i: usize, now: Option<i32>, bare: bool) -> Option<Years> {
    let now = f64::from(now?);
    let (mut bound, j) = super::numbers::before(tokens, i).map_or((None, i), |(n, b)| (Some(b), i + n));
    let article = tokens.get(j).is_some_and(|t| matches!(t.text.as_str(), "a" | "an"));
    let century = |k: usize| tokens.get(k).is_some_and(|t| t.stem == "century");
    let (low, mut high, mut next, scale) = match count(tokens, j) {
        Some(c) => (c.low, c.high, c.next, 1.0),
        None if article && century(j + 1) => (1.0, 1.0, j + 1, 1.0),
        None => return None,
    };
    if words_at(tokens, next, &["odd"]) {
        high = super::numbers::odd(low);
        next += 1;
    } else if (words_at(tokens, next, &["to"]) || words_at(tokens, next, &["or"]))
        && let Some(second) = count(tokens, next + 1).filter(|c| c.low > low)
    {
        (high, next) = (second.high, second.next);
    }
    let mut behind = |next: &mut usize| {
        if let Some((n, b)) = super::numbers::behind(tokens, *next) {
            bound = bound.filter(|b| *b != Bound::About).or(Some(b));
            *next += n;
        }
    };
    behind(&mut next);
    let unit = tokens.get(next)?;
    let scale = match unit.stem.as_str() {
        "year" | "yr" => scale,
        "century" => 100.0,
        _ => return None,
    };
    next += 1;
    behind(&mut next);
    let built = tokens[..i].iter().rev().take(3).any(|t| t.text == "built");
    if words_at(tokens, next, &["old"]) {
        next += 1;
    } else if words_at(tokens, next, &["of", "age"]) {
        next += 2;
    } else if words_at(tokens, next, &["ago"]) && built {
        next += 1;
    } else if !(bare && tokens.get(next).is_none_or(|t| !matches!(t.text.as_str(), "ago" | "of"))) {
        return None;
    }
    behind(&mut next);
    let (low, high) = (low * scale, high * scale);
    // A child is that old, not a building.
    if !(bare || built || low >= 10.0) {
        return None;
    }
    let open = |edtf: String, echo: String| Some(Years { readings: vec![(edtf, echo)], next });
    let (newest, oldest) = (now - low, now - high);
    if oldest < YEARS.0 {
        return None;
    }
    match bound {
        Some(Bound::AtLeast) => open(format!("../{newest}"), format!("{newest} or earlier")),
        Some(Bound::Above) => open(format!("../{}", newest - 1.0), format!("before {newest}")),
        Some(Bound::AtMost) => open(format!("{}/..", oldest - 1.0), format!("{} or later", oldest - 1.0)),
        Some(Bound::Below) => open(format!("{oldest}/.."), format!("{oldest} or later")),
        // A round age is a guess: ten years either way for hundreds, five for tens (common practice).
        about if low == high => {
            let wide = match low {
                n if n % 100.0 == 0.0 => 10.0,
                n if n % 10.0 == 0.0 || about.is_some() => ABOUT_YEARS,
                _ => 0.0,
            };
            let (from, to) = if wide == 0.0 { (oldest - 1.0, newest) } else { (oldest - wide, (newest + wide).min(now)) };
            open(format!("{from}/{to}"), format!("{from} to {to}"))
        }
        _ => open(format!("{}/{newest}", oldest - 1.0), format!("{} to {newest}", oldest - 1.0)),
    }
}
