//! Cutting a line into words, figures and signs, each with its place in the line.

use super::tables;
use std::ops::Range;

/// What a piece of the line is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Kind {
    /// A word.
    Word,
    /// A number in figures.
    Number(f64),
    /// A year written after ISO 8601-2.
    Year,
    /// Any other character.
    Sign(char),
}

/// One piece of the line.
#[derive(Debug, Clone)]
pub(super) struct Token {
    /// In small letters without accents.
    pub(super) text: String,
    /// Without its plural ending, in one spelling.
    pub(super) stem: String,
    /// Where it stands.
    pub(super) at: Range<usize>,
    /// What it is.
    pub(super) kind: Kind,
    /// Whether nothing stands between it and the piece before.
    pub(super) glued: bool,
    /// Whether a hyphen ties it to the piece before.
    pub(super) hyphen: bool,
    /// Whether it was read as another word than the one typed.
    pub(super) slip: bool,
}

impl Token {
    fn word(text: String, at: Range<usize>) -> Self {
        let stem = stem(&text);
        Self { text, stem, at, kind: Kind::Word, glued: false, hyphen: false, slip: false }
    }

    /// Whether it is this sign.
    pub(super) fn is(&self, sign: char) -> bool {
        self.kind == Kind::Sign(sign)
    }

    /// Its number, if it is written in figures.
    pub(super) fn number(&self) -> Option<f64> {
        match self.kind {
            Kind::Number(n) => Some(n),
            _ => None,
        }
    }
}

/// Small letters, no accents, straight apostrophes and quotes.
fn fold(c: char, into: &mut String) {
    let plain = match c {
        '’' | '‘' | 'ʼ' | '′' => '\'',
        '“' | '”' | '″' => '"',
        '²' => '2',
        '³' => '3',
        'à' | 'á' | 'â' | 'ä' | 'À' | 'Â' => 'a',
        'é' | 'è' | 'ê' | 'ë' | 'É' | 'È' => 'e',
        'î' | 'ï' => 'i',
        'ô' | 'ö' | 'Ö' => 'o',
        'ù' | 'û' | 'ü' | 'Ü' => 'u',
        'ç' => 'c',
        'μ' => 'µ',
        other => other,
    };
    into.extend(plain.to_lowercase());
}

/// A word without its plural ending, in British spelling, for comparing.
pub(super) fn stem(word: &str) -> String {
    let mut stem = word.trim_end_matches("'s").trim_end_matches('\'').replace('\'', "");
    if stem.len() > 3 && stem.is_ascii() {
        if stem.ends_with("ies") && stem.len() > 4 {
            stem.truncate(stem.len() - 3);
            stem.push('y');
        } else if ["shes", "ches", "xes", "sses"].iter().any(|e| stem.ends_with(e)) {
            stem.truncate(stem.len() - 2);
        } else if stem.ends_with('s') && !["ss", "us", "is"].iter().any(|e| stem.ends_with(e)) {
            stem.truncate(stem.len() - 1);
        }
    }
    for (other, ours) in tables::SPELLINGS {
        if let Some(i) = stem.find(other).filter(|i| *i == 0 || other.len() > 4) {
            stem.replace_range(i..i + other.len(), ours);
        }
    }
    stem
}

/// Whether a full stop behind this word is part of it.
fn shortened(text: &str) -> bool {
    tables::SHORTENED.contains(&text)
}

/// Cuts a line into pieces.
pub(super) fn tokens(line: &str) -> Vec<Token> {
    let chars: Vec<(usize, char)> = line.char_indices().collect();
    let end_of = |i: usize| chars.get(i).map_or(line.len(), |(at, _)| *at);
    let char_at = |i: usize| chars.get(i).map(|(_, c)| *c);
    let digit = |i: usize| char_at(i).is_some_and(|c| c.is_ascii_digit());
    let letter = |i: usize| char_at(i).is_some_and(char::is_alphabetic);
    let mut out: Vec<Token> = Vec::new();
    let mut hyphen = false;
    let mut i = 0;
    while let Some(c) = char_at(i) {
        if c.is_whitespace() {
            i += 1;
            continue;
        }
        let start = i;
        let begins = i == 0 || char_at(i - 1).is_some_and(|b| !b.is_alphanumeric() && !matches!(b, '-' | '.' | '/'));
        if begins && let Some((token, next)) = year(line, &chars, i) {
            out.push(token);
            i = next;
            continue;
        }
        let mut text = String::new();
        let mut kind = Kind::Word;
        if digit(i) || (c == '.' && digit(i + 1) && begins) {
            i = number_end(&chars, i);
            let written: String = chars[start..i].iter().map(|(_, c)| *c).collect();
            let value = figure(&written);
            text.push_str(&written);
            kind = Kind::Number(value);
        } else if let Some(value) = tables::FRACTION_SIGNS.iter().find(|(s, _)| *s == c).map(|(_, v)| *v) {
            text.push(c);
            kind = Kind::Number(value);
            i += 1;
        } else if c.is_alphabetic() || (c == 'µ' && letter(i + 1)) {
            while let Some(c) = char_at(i) {
                let apostrophe = matches!(c, '\'' | '’' | 'ʼ') && letter(i + 1);
                let power = matches!(c, '2' | '3' | '²' | '³') && !digit(i + 1) && text != "x" && text != "c";
                if !(c.is_alphabetic() || apostrophe || power) {
                    break;
                }
                fold(c, &mut text);
                i += 1;
                if power {
                    break;
                }
            }
            if char_at(i) == Some('.') && shortened(&text) {
                i += 1;
            }
        } else {
            let dash = matches!(c, '-' | '–' | '—' | '−');
            let open_before = i == 0 || char_at(i - 1).is_some_and(char::is_whitespace);
            let open_after = char_at(i + 1).is_none_or(char::is_whitespace);
            if dash && !open_before && !open_after {
                hyphen = true;
                i += 1;
                continue;
            }
            if matches!(c, '-' | '−') && open_before && digit(i + 1) && !after_number(&out) {
                i = number_end(&chars, i + 1);
                let written: String = chars[start + 1..i].iter().map(|(_, c)| *c).collect();
                let value = figure(&written);
                text = format!("-{written}");
                kind = Kind::Number(-value);
            } else {
                fold(c, &mut text);
                kind = Kind::Sign(if dash { '-' } else { text.chars().next().unwrap_or(c) });
                i += 1;
            }
        }
        let mut token = Token::word(text, end_of(start)..end_of(i));
        token.kind = kind;
        token.hyphen = std::mem::take(&mut hyphen);
        token.glued = !token.hyphen && out.last().is_some_and(|t| t.at.end == token.at.start);
        out.push(token);
    }
    out
}

fn after_number(out: &[Token]) -> bool {
    out.last().is_some_and(|t| t.number().is_some())
}

/// The end of a number in figures: thousands set apart by commas, decimals after a point or comma.
fn number_end(chars: &[(usize, char)], start: usize) -> usize {
    let digits = |from: usize| chars[from.min(chars.len())..].iter().take_while(|(_, c)| c.is_ascii_digit()).count();
    let is = |i: usize, c: char| chars.get(i).is_some_and(|(_, x)| *x == c);
    let mut i = start + digits(start);
    if i - start <= 3 {
        while is(i, ',') && digits(i + 1) == 3 {
            i += 4;
        }
    }
    if (is(i, '.') && digits(i + 1) > 0) || (is(i, ',') && (1..=2).contains(&digits(i + 1)) && !is(i + 1 + digits(i + 1), ',')) {
        i += 1 + digits(i + 1);
    }
    // 1e9
    if (is(i, 'e') || is(i, 'E')) && digits(i + 1) > 0 {
        i += 1 + digits(i + 1);
    }
    i
}

/// The value of a number in figures.
fn figure(written: &str) -> f64 {
    let plain = match written.rsplit_once(',') {
        Some((whole, rest)) if !rest.contains('.') && rest.len() != 3 => format!("{}.{rest}", whole.replace(',', "")),
        _ => written.replace(',', ""),
    };
    // So many digits that the number has no end are no number of the trade.
    plain.parse().ok().filter(|v: &f64| v.is_finite()).unwrap_or(f64::MAX)
}

/// A year written after ISO 8601-2 with its own signs, such as `1886~` or `../1959`.
fn year(line: &str, chars: &[(usize, char)], i: usize) -> Option<(Token, usize)> {
    if !chars[i].1.is_ascii_digit() && chars[i].1 != '.' {
        return None;
    }
    let length = chars[i..].iter().take(24).take_while(|(_, c)| !c.is_whitespace() && !matches!(c, ',' | ';' | ')' | '(')).count();
    let mut end = i + length;
    while end > i && matches!(chars[end - 1].1, '!') {
        end -= 1;
    }
    let at = chars[i].0..chars.get(end).map_or(line.len(), |(at, _)| *at);
    let written = &line[at.clone()];
    let signs = written.contains(['/', '~', 'X', '%', '?']);
    if !signs || !written.contains(|c: char| c.is_ascii_digit()) || crate::year::read(written).is_err() {
        return None;
    }
    let mut token = Token::word(written.to_owned(), at);
    token.kind = Kind::Year;
    Some((token, end))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(line: &str) -> Vec<String> {
        tokens(line).into_iter().map(|t| t.text).collect()
    }

    #[test]
    fn lines_are_cut_where_people_would() {
        assert_eq!(texts("Front door, oak"), ["front", "door", ",", "oak"]);
        assert_eq!(texts("3x2.4m"), ["3", "x", "2.4", "m"]);
        assert_eq!(texts("10 m2, 6'8\""), ["10", "m2", ",", "6", "'", "8", "\""]);
        assert_eq!(texts("1890s isn't c.1914"), ["1890", "s", "isn't", "c", "1914"]);
        assert_eq!(texts("../1959 or 1886~"), ["../1959", "or", "1886~"]);
        assert_eq!(texts("four-inch sq. ft. papier-mâché"), ["four", "inch", "sq", "ft", "papier", "mache"]);
        assert_eq!(tokens("2½")[1].kind, Kind::Number(0.5));
        assert_eq!(tokens("1,100 F")[0].kind, Kind::Number(1100.0));
        assert_eq!(tokens("2,4 m")[0].kind, Kind::Number(2.4));
        assert_eq!(tokens("-5 C")[0].kind, Kind::Number(-5.0));
        assert!(tokens("3-5")[1].hyphen);
    }

    #[test]
    fn plural_and_spelling_do_not_matter() {
        for (a, b) in [("sashes", "sash"), ("balconies", "balcony"), ("treads", "tread"), ("aluminum", "aluminium"), ("color", "colour")] {
            assert_eq!(stem(a), stem(b), "{a} {b}");
        }
        assert_ne!(stem("glass"), stem("glas"));
    }
}
