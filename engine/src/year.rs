//! Years as people know them, written after ISO 8601-2 (EDTF), level 1 with open ends.
//!
//! | written | means |
//! | --- | --- |
//! | `1886` | that year |
//! | `1886~` | about 1886: five years either way |
//! | `1886?`, `1886%` | uncertain: likewise five years either way |
//! | `188X`, `18XX` | some year of the decade, of the century |
//! | `1880/1890` | some year from 1880 to 1890, both included |
//! | `../1959`, `1960/..` | not after 1959, not before 1960 |
//!
//! The five years of `~` are a convention of this project (common practice: a surveyor's "about" is a guess to the
//! nearest decade).

use crate::error::Error;
use crate::reach::Reach;

/// How far `~`, `?` and `%` widen a year, on either side.
pub(crate) const ABOUT_YEARS: f64 = 5.0;

/// The earliest and latest year a survey can speak of.
pub(crate) const YEARS: (f64, f64) = (1000.0, 2100.0);

/// Reads a year expression into the set of years it may be.
///
/// # Errors
/// A sentence saying what is wrong and how years are written.
pub(crate) fn read(text: &str) -> Result<Reach, Error> {
    let text = text.trim();
    let (low, high) = match text.split_once('/') {
        Some((from, to)) => {
            let low = if open(from) { YEARS.0 } else { one(from)?.0 };
            let high = if open(to) { YEARS.1 } else { one(to)?.1 };
            (low, high)
        }
        None => one(text)?,
    };
    if low > high {
        return Err(Error::unfit(format!("`{text}` ends before it begins")));
    }
    if low < YEARS.0 || high > YEARS.1 {
        return Err(Error::unfit(format!("`{text}` is not a year a survey can speak of; years run from {} to {}", YEARS.0, YEARS.1)));
    }
    Ok(Reach::closed(low, high))
}

fn open(part: &str) -> bool {
    matches!(part.trim(), "" | "..")
}

/// One year, decade or century with its doubt, as the first and last year it may be.
fn one(text: &str) -> Result<(f64, f64), Error> {
    let text = text.trim();
    let (digits, about) = match text.strip_suffix(['~', '?', '%']) {
        Some(rest) => (rest, true),
        None => (text, false),
    };
    let unclear = digits.chars().rev().take_while(|c| *c == 'X').count();
    let known = &digits[..digits.len() - unclear];
    if digits.len() != 4 || unclear > 2 || known.is_empty() || !known.chars().all(|c| c.is_ascii_digit()) {
        return Err(Error::unfit(format!(
            "`{text}` is not a year; write 1886, 1886~ (about), 188X (the eighties), 1880/1890, ../1959 or 1960/.."
        )));
    }
    let scale = 10_f64.powi(unclear as i32);
    let start = known.parse::<f64>().map_err(|_| format!("`{text}` is not a year"))? * scale;
    let widen = if about { ABOUT_YEARS } else { 0.0 };
    Ok((start - widen, start + scale - 1.0 + widen))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn years(text: &str) -> Option<(f64, f64)> {
        read(text).ok().and_then(|r| r.bounds())
    }

    #[test]
    fn every_form_is_read() {
        assert_eq!(years("1886"), Some((1886.0, 1886.0)));
        assert_eq!(years("1886~"), Some((1881.0, 1891.0)));
        assert_eq!(years("1886?"), Some((1881.0, 1891.0)));
        assert_eq!(years("188X"), Some((1880.0, 1889.0)));
        assert_eq!(years("18XX"), Some((1800.0, 1899.0)));
        assert_eq!(years("1880/1890"), Some((1880.0, 1890.0)));
        assert_eq!(years("1880~/189X"), Some((1875.0, 1899.0)));
        assert_eq!(years("../1959"), Some((1000.0, 1959.0)));
        assert_eq!(years("1960/.."), Some((1960.0, 2100.0)));
    }

    #[test]
    fn what_is_not_a_year_is_refused() {
        for text in ["86", "18866", "1X86", "XXXX", "1890/1880", "0999", "2200", "next year", ""] {
            assert!(read(text).is_err(), "{text}");
        }
    }
}
