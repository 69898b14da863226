//! Years, decades, centuries, eras and ages, into years as surveys write them.

use super::numbers::{count, words_at};
use super::tables;
use super::token::{Kind, Token};
use crate::year::{ABOUT_YEARS, YEARS};

/// What was said of a year.
#[derive(Debug, Clone)]
pub(super) struct Years {
    /// As surveys write it and as it reads back, likeliest first.
    pub(super) readings: Vec<(String, String)>,
    /// The piece behind it.
    pub(super) next: usize,
}

/// A stretch of years with a name: a year, a decade, a century, an era.
#[derive(Debug, Clone)]
struct Span {
    low: f64,
    high: f64,
    /// Another way to take it: "the 1900s".
    other: Option<(f64, f64)>,
    next: usize,
}

/// Where a name of an era stands among the pieces: the years it spans and the piece behind it.
pub(super) type Era<'a> = &'a dyn Fn(usize) -> Option<(f64, f64, usize)>;

/// Where a bound lies that was said before or behind a year.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Side {
    About,
    /// Before it begins.
    Before,
    /// Not after it ends.
    Until,
    /// After it ends.
    After,
    /// From its beginning.
    Since,
}

#[rustfmt::skip] // one word a line would hide the table
static BEFORE: &[(&[&str], Side)] = &[
    (&["before"], Side::Before), (&["before", "about"], Side::Before), (&["pre"], Side::Before), (&["prior", "to"], Side::Before),
    (&["earlier", "than"], Side::Before), (&["older", "than"], Side::Before), (&["ante"], Side::Before), (&["not", "after"], Side::Until),
    (&["no", "later", "than"], Side::Until), (&["not", "later", "than"], Side::Until), (&["until"], Side::Until), (&["till"], Side::Until),
    (&["up", "to"], Side::Until), (&["by"], Side::Until), (&["at", "the", "latest"], Side::Until), (&["after"], Side::After), (&["post"],
     Side::After), (&["later", "than"], Side::After), (&["newer", "than"], Side::After), (&["younger", "than"], Side::After), (&["since"],
     Side::Since), (&["not", "before"], Side::Since), (&["no", "earlier", "than"], Side::Since), (&["not", "earlier", "than"],
     Side::Since), (&["about"], Side::About), (&["circa"], Side::About), (&["c"], Side::About), (&["ca"], Side::About), (&["around"],
     Side::About), (&["roughly"], Side::About), (&["~"], Side::About), (&["approximately"], Side::About), (&["approx"], Side::About),
    (&["round", "about"], Side::About), (&["somewhere", "around"], Side::About), (&["probably"], Side::About), (&["maybe"], Side::About),
    (&["perhaps"], Side::About), (&["nearer"], Side::About), (&["closer", "to"], Side::About), (&["nearer", "to"], Side::About), (&["say"], Side::About), (&["near"], Side::About), (&["possibly"], Side::About),
];

#[rustfmt::skip] // one word a line would hide the table
static BEHIND: &[(&[&str], Side)] = &[
    (&["or", "so"], Side::About), (&["or", "thereabouts"], Side::About), (&["ish"], Side::About), (&["approx"], Side::About),
    (&["roughly"], Side::About), (&["give", "or", "take"], Side::About), (&["or", "about"], Side::About), (&["~"], Side::About), (&["or",
     "around", "then"], Side::About), (&["or", "earlier"], Side::Until), (&["or", "before"], Side::Until), (&["or", "older"], Side::Until),
    (&["at", "the", "latest"], Side::Until), (&["or", "even", "earlier"], Side::Until), (&["if", "not", "earlier"], Side::Until), (&["or",
     "later"], Side::Since), (&["or", "after"], Side::Since), (&["onwards"], Side::Since), (&["onward"], Side::Since), (&["at", "the",
     "earliest"], Side::Since), (&["or", "newer"], Side::Since),
];

/// The words a bound of a year can begin with.
pub(super) fn first_words() -> impl Iterator<Item = &'static str> {
    BEFORE.iter().map(|(w, _)| w[0])
}

fn find(tokens: &[Token], i: usize, table: &'static [(&'static [&'static str], Side)]) -> Option<(usize, Side)> {
    super::numbers::longest(tokens, i, table.iter().map(|(w, s)| (*w, *s)))
}

/// What is said of a year at a place in the line. `now` is the present year, for ages; `bare` takes "100 years" for an age.
pub(super) fn years(tokens: &[Token], i: usize, now: Option<i32>, bare: bool, era: Era<'_>) -> Option<Years> {
    if let Some(aged) = super::ages::age(tokens, i, now, bare) {
        return Some(aged);
    }
    if tokens.get(i)?.kind == Kind::Year {
        return written(tokens, i);
    }
    let (mut bound, mut j) = find(tokens, i, BEFORE).map_or((None, i), |(n, b)| (Some(b), i + n));
    if let Some((length, second)) = find(tokens, j, BEFORE).filter(|_| bound.is_some()) {
        bound = if bound == Some(Side::About) { Some(second) } else { bound };
        j += length;
    }
    if bound.is_none()
        && (words_at(tokens, i, &["between"]) || words_at(tokens, i, &["from"]))
        && let Some((first, second)) = pair(tokens, i + 1, era)
    {
        return Some(shown(first.low, second.high, false, second.next));
    }
    let from = words_at(tokens, i, &["from"]);
    if from {
        j = i + 1;
    }
    if (bound.is_none() || bound == Some(Side::About))
        && let Some((first, second)) = pair(tokens, j, era)
        && !words_at(tokens, first.next, &["and"])
    {
        return Some(shown(first.low, second.high, bound == Some(Side::About), second.next));
    }
    let first = span(tokens, j, bound.is_some(), era)?;
    let mut next = first.next;
    if bound.is_none()
        && let Some((length, behind)) = find(tokens, next, BEHIND)
    {
        bound = Some(behind);
        next += length;
    }
    if from {
        // "from 1890" alone tells when it is from; "from 1890 on" is a bound.
        if words_at(tokens, next, &["on"]) || words_at(tokens, next, &["onwards"]) {
            bound = Some(Side::Since);
            next += 1;
        }
    }
    let (low, high) = (first.low, first.high);
    let open = |edtf: String, echo: String| Some(Years { readings: vec![(edtf, echo)], next });
    match bound {
        Some(Side::Before) => open(format!("../{}", low - 1.0), format!("before {low}")),
        Some(Side::Until) => open(format!("../{high}"), format!("{high} or earlier")),
        Some(Side::After) => open(format!("{}/..", high + 1.0), format!("after {high}")),
        Some(Side::Since) => open(format!("{low}/.."), format!("{low} or later")),
        about => {
            let mut years = shown(low, high, about.is_some(), next);
            if let Some((low, high)) = first.other {
                years.readings.extend(shown(low, high, about.is_some(), next).readings);
            }
            Some(years)
        }
    }
}

/// A day or month of a year, as letters bear them: "12 May 2026", "May 12th, 2026", "12th of May 2026", "May 2026"; gives the piece
/// behind it.
pub(super) fn day(tokens: &[Token], i: usize) -> Option<usize> {
    let text = |k: usize| tokens.get(k).map_or("", |t| t.text.as_str());
    let month = |k: usize| tables::MONTHS.contains(&text(k));
    let number = |k: usize| {
        let digits = text(k).trim_end_matches(|c: char| c.is_alphabetic());
        (1..=2).contains(&digits.len()) && digits.chars().all(|c| c.is_ascii_digit())
    };
    // "12th" may be two pieces.
    let numbered = |k: usize| {
        let ending = matches!(text(k + 1), "st" | "nd" | "rd" | "th");
        number(k).then(|| if ending { k + 2 } else { k + 1 })
    };
    let year =
        |k: usize| text(k).len() == 4 && text(k).chars().all(|c| c.is_ascii_digit()) || tokens.get(k).is_some_and(|t| t.kind == Kind::Year);
    let comma = |k: usize| if tokens.get(k).is_some_and(|t| t.is(',')) { k + 1 } else { k };
    let of = |k: usize| if text(k) == "of" { k + 1 } else { k };
    let at = if month(i) {
        let behind = numbered(i + 1).unwrap_or(i + 1);
        comma(behind)
    } else {
        let behind = of(numbered(i)?);
        month(behind).then(|| comma(behind + 1))?
    };
    year(at).then_some(at + 1)
}

/// Two years with a joint between them.
fn pair(tokens: &[Token], i: usize, era: Era<'_>) -> Option<(Span, Span)> {
    let first = span(tokens, i, true, era)?;
    let joint = tokens.get(first.next)?;
    let from = match joint.text.as_str() {
        "and" | "to" | "or" | "-" | "till" | "until" => first.next + 1,
        _ if joint.hyphen => first.next,
        _ => return None,
    };
    // "1880-90"
    if let Some(short) =
        tokens.get(from).filter(|t| t.text.len() == 2 && joint.text != "and").and_then(Token::number).filter(|_| first.low == first.high)
    {
        let high = (first.low / 100.0).floor() * 100.0 + short;
        return (high > first.low).then_some((first.clone(), Span { low: high, high, other: None, next: from + 1 }));
    }
    let second = span(tokens, from, true, era)?;
    (second.high > first.low).then_some((first, second))
}

/// A stretch as surveys write it.
fn shown(low: f64, high: f64, about: bool, next: usize) -> Years {
    let (edtf, echo) = if low == high && about {
        (format!("{low}~"), format!("about {low} ({} to {})", low - ABOUT_YEARS, low + ABOUT_YEARS))
    } else if low == high {
        (format!("{low}"), format!("{low}"))
    } else {
        let (low, high) = if about { (low - ABOUT_YEARS, high + ABOUT_YEARS) } else { (low, high) };
        let edtf = match (low % 100.0 == 0.0, low % 10.0 == 0.0, high - low) {
            (true, _, 99.0) => format!("{}XX", low / 100.0),
            (_, true, 9.0) => format!("{}X", low / 10.0),
            _ => format!("{low}/{high}"),
        };
        (edtf, format!("{low} to {high}"))
    };
    Years { readings: vec![(edtf, echo)], next }
}

/// A year in its own signs.
fn written(tokens: &[Token], i: usize) -> Option<Years> {
    let text = &tokens[i].text;
    let (low, high) = crate::year::read(text).ok()?.bounds()?;
    let echo = match (low <= YEARS.0, high >= YEARS.1) {
        (true, true) => return None,
        (true, false) => format!("{high} or earlier"),
        (false, true) => format!("{low} or later"),
        (false, false) if low == high => format!("{low}"),
        (false, false) => format!("{low} to {high}"),
    };
    Some(Years { readings: vec![(text.clone(), echo)], next: i + 1 })
}

/// A stretch with a name (an era's only where it is bounded), perhaps only its beginning, middle or end.
fn span(tokens: &[Token], i: usize, bounded: bool, era: Era<'_>) -> Option<Span> {
    let third = match tokens.get(i)?.text.as_str() {
        "early" => Some(0),
        "mid" | "middle" => Some(1),
        "late" => Some(2),
        _ => None,
    };
    let mut j = if third.is_some() { i + 1 } else { i };
    if third.is_some() && words_at(tokens, j, &["to"]) {
        return None;
    }
    while tokens.get(j).is_some_and(|t| matches!(t.text.as_str(), "the" | "in" | "year" | "of")) && j < i + 4 {
        j += 1;
    }
    // The name of an era alone is left to its phrase, which may have more to say.
    let no_era: Era<'_> = &|_| None;
    let found = named(tokens, j, if bounded || third.is_some() { era } else { no_era })?;
    let Some(third) = third else { return Some(found) };
    // Of a decade 0 to 3, 4 to 6, 7 to 9; of a century its thirds (common practice).
    let (low, years) = (found.low, found.high - found.low + 1.0);
    if years < 4.0 {
        return None;
    }
    let cut = |k: f64| (years * k / 3.0).round();
    let (from, to) = match (third, years == 10.0) {
        (0, true) => (0.0, 3.0),
        (1, true) => (4.0, 6.0),
        (_, true) => (7.0, 9.0),
        (0, false) => (0.0, cut(1.0)),
        (1, false) => (cut(1.0), cut(2.0)),
        (_, false) => (cut(2.0), years - 1.0),
    };
    // "the early 1900s" are those of the century.
    if let Some((low, high)) = found.other {
        let years = high - low + 1.0;
        let (from, to) = [(0.0, 33.0), (34.0, 66.0), (67.0, years - 1.0)][third];
        return Some(Span { low: low + from, high: low + to, other: None, next: found.next });
    }
    Some(Span { low: low + from, high: low + to, other: None, next: found.next })
}

/// A year, decade, century or era.
fn named(tokens: &[Token], i: usize, era: Era<'_>) -> Option<Span> {
    let token = tokens.get(i)?;
    let one = |low: f64, high: f64, next: usize| Some(Span { low, high, other: None, next });
    // The mark in "'30s".
    if token.is('\'') && tokens.get(i + 1).is_some_and(|t| t.glued && t.text.len() == 2 && t.number().is_some()) {
        let low = 1900.0 + tokens[i + 1].number()?;
        return match plural(tokens, i + 2) {
            Some(next) => one(low, low + 9.0, next),
            None => one(low, low, i + 2),
        };
    }
    if let Some(number) = token.number() {
        let digits = token.text.len();
        if let Some(next) = plural(tokens, i + 1) {
            return match digits {
                2 if number % 10.0 == 0.0 => one(1900.0 + number, 1909.0 + number, next),
                4 if number % 100.0 == 0.0 && number >= 1900.0 => {
                    Some(Span { low: number, high: number + 9.0, other: Some((number, number + 99.0)), next })
                }
                4 if number % 100.0 == 0.0 => one(number, number + 99.0, next),
                4 if number % 10.0 == 0.0 => one(number, number + 9.0, next),
                _ => None,
            };
        }
        if digits <= 2 && tokens.get(i + 1).is_some_and(|t| matches!(t.text.as_str(), "th" | "st" | "nd" | "rd")) {
            return century(tokens, i + 2, number);
        }
        let unit = super::sizes::unit_at(tokens, i + 1).is_some()
            || tokens.get(i + 1).is_some_and(|t| matches!(t.text.as_str(), "°" | "x" | "by"));
        let year = digits == 4 && (YEARS.0..=YEARS.1).contains(&number) && !token.hyphen | (i > 0 && !tokens[i - 1].text.is_empty());
        return if year && !unit { one(number, number, i + 1) } else { None };
    }
    if token.text == "c" && tokens.get(i + 1).is_some_and(|t| t.glued && t.text.len() == 2) {
        return century(tokens, i + 2, tokens[i + 1].number()?).or_else(|| centuries(tokens[i + 1].number()?, i + 2));
    }
    if let Some((_, n)) = tables::ORDINALS.iter().find(|(w, _)| *w == token.text) {
        return century(tokens, i + 1, *n as f64);
    }
    if let Some(decade) = decade_word(tokens, i) {
        return one(1900.0 + decade, 1909.0 + decade, i + 1)
            .filter(|_| decade >= 20.0)
            .or_else(|| one(2000.0, 2009.0, i + 1).filter(|_| decade == 0.0));
    }
    if let Some(found) = spoken(tokens, i) {
        return Some(found);
    }
    era(i).and_then(|(low, high, next)| one(low, high, next))
}

/// The s of "1890s" and "1890's".
fn plural(tokens: &[Token], i: usize) -> Option<usize> {
    let glued = |k: usize, text: &str| tokens.get(k).is_some_and(|t| t.glued && t.text == text);
    if glued(i, "s") {
        return Some(i + 1);
    }
    (glued(i, "'") && glued(i + 1, "s")).then_some(i + 2)
}

fn decade_word(tokens: &[Token], i: usize) -> Option<f64> {
    let token = tokens.get(i)?;
    tables::DECADES.iter().find(|(w, _)| *w == token.text).map(|(_, d)| *d)
}

fn century(tokens: &[Token], i: usize, number: f64) -> Option<Span> {
    let word = tokens.get(i).filter(|t| matches!(t.text.as_str(), "century" | "c" | "cent" | "centuries"))?;
    let _ = word;
    centuries(number, i + 1)
}

fn centuries(number: f64, next: usize) -> Option<Span> {
    (11.0..=21.0).contains(&number).then(|| {
        let low = (number - 1.0) * 100.0;
        Span { low, high: low + 99.0, other: None, next }
    })
}

/// A year in words: `nineteen thirty`, `eighteen-nineties`, `nineteen oh five`, `two thousand and five`.
fn spoken(tokens: &[Token], i: usize) -> Option<Span> {
    let small = |k: usize| tokens.get(k).and_then(|t| tables::NUMBERS.iter().find(|(w, _)| *w == t.text)).map(|(_, v)| *v);
    let one = |low: f64, high: f64, next: usize| Some(Span { low, high, other: None, next });
    let first = small(i)?;
    if first == 2.0 && words_at(tokens, i + 1, &["thousand"]) {
        let more = count(tokens, i).filter(|c| (2000.0..2100.0).contains(&c.low))?;
        return one(more.low, more.low, more.next);
    }
    if !(13.0..=20.0).contains(&first) {
        return None;
    }
    let low = first * 100.0;
    if let Some(decade) = decade_word(tokens, i + 1) {
        return if decade < 0.0 { one(low, low + 99.0, i + 2) } else { one(low + decade, low + decade + 9.0, i + 2) };
    }
    if words_at(tokens, i + 1, &["hundred"]) {
        return one(low, low, i + 2);
    }
    if tokens.get(i + 1).is_some_and(|t| matches!(t.text.as_str(), "oh" | "o" | "nought" | "zero")) {
        return small(i + 2).filter(|n| (1.0..10.0).contains(n)).and_then(|n| one(low + n, low + n, i + 3));
    }
    let tens = small(i + 1).filter(|n| (10.0..100.0).contains(n))?;
    match small(i + 2).filter(|n| tens >= 20.0 && (1.0..10.0).contains(n)) {
        Some(unit) => one(low + tens + unit, low + tens + unit, i + 3),
        None => one(low + tens, low + tens, i + 2),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answer::token::tokens;

    fn said(text: &str) -> Vec<String> {
        years(&tokens(text), 0, Some(2026), false, &|_| None).map(|y| y.readings.into_iter().map(|r| r.0).collect()).unwrap_or_default()
    }

    #[test]
    fn years_are_heard_in_many_forms() {
        for (text, edtf) in [
            ("1890", "1890"),
            ("about 1930", "1930~"),
            ("1890 or so", "1890~"),
            ("circa 1914", "1914~"),
            ("c.1914", "1914~"),
            ("the thirties", "193X"),
            ("1890s", "189X"),
            ("1890's", "189X"),
            ("the '30s", "193X"),
            ("eighteen-nineties", "189X"),
            ("nineteen thirty", "1930"),
            ("nineteen oh five", "1905"),
            ("nineteen thirty-four", "1934"),
            ("before 1978", "../1977"),
            ("pre-1945", "../1944"),
            ("since 1980", "1980/.."),
            ("after 1980", "1981/.."),
            ("19th century", "18XX"),
            ("nineteenth century", "18XX"),
            ("early nineties", "1990/1993"),
            ("late 19th century", "1867/1899"),
            ("between 1880 and 1900", "1880/1900"),
            ("1880-90", "1880/1890"),
            ("1880 to 1890", "1880/1890"),
            ("two hundred years old", "1816/1836"),
            ("over a hundred years old", "../1925"),
            ("at least 50 years old", "../1976"),
            ("eighty-plus years old", "../1946"),
            ("../1959", "../1959"),
            ("1886~", "1886~"),
            ("1960 or later", "1960/.."),
            ("not after 1960", "../1960"),
            ("thirties or forties", "1930/1949"),
            ("the 1800s", "18XX"),
            ("around 1690", "1690~"),
            ("34 years old", "1991/1992"),
            ("a century old", "1916/1936"),
            ("two thousand and five", "2005"),
        ] {
            assert_eq!(said(text), [edtf], "{text}");
        }
        assert_eq!(said("the 1900s"), ["190X", "19XX"]);
        for text in ["3000 sq ft", "12", "30 doors", "1930 mm", "fifty years of paint", "ten years ago", "nineteen", ""] {
            assert!(said(text).is_empty(), "{text}");
        }
    }
}
