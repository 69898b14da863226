//! Places: what they are called, which hold others, and how their codes are written.

use super::{PlaceName, RuleBook};
use crate::diagnostic::Diagnostic;
use crate::error::{Error, ErrorKind};

impl RuleBook {
    /// The code of a place by its name, what people call it, or the code itself.
    pub fn place_named(&self, said: &str) -> Option<String> {
        let plain = |t: &str| t.trim().to_lowercase().replace(['.', ','], "");
        let said = plain(said);
        let wanted =
            ["in ", "it's in ", "it is in ", "the "].iter().fold(said.as_str(), |s, lead| s.strip_prefix(lead).unwrap_or(s)).to_owned();
        let named = self.place_names.iter().find(|p| plain(&p.title) == wanted || p.says.iter().any(|s| plain(s) == wanted));
        if let Some(place) = named {
            return Some(place.code.clone());
        }
        let code = wanted.to_uppercase();
        // A code has to be known here, or to be a part of a place that is: any two letters are not a place.
        let known = |c: &str| self.place_names.iter().any(|p| p.code == c) || self.places.contains_key(c);
        let country = code.split('-').next().unwrap_or(&code);
        (check_place(&code).is_ok() && (known(&code) || code.contains('-') && known(country))).then_some(code)
    }

    /// Every place that goes by these words exactly.
    pub fn places_called(&self, said: &str) -> Vec<String> {
        let plain = |t: &str| t.trim().to_lowercase().replace(['.', ','], "");
        let wanted = plain(said);
        let is = |p: &&PlaceName| plain(&p.title) == wanted || p.says.iter().any(|s| plain(s) == wanted);
        let mut found: Vec<String> = Vec::new();
        for place in self.place_names.iter().filter(is) {
            if !found.contains(&place.code) {
                found.push(place.code.clone());
            }
        }
        found
    }

    /// The places named in some words, with where: the longest names first, the closer place where one is part of another.
    /// More than one where the words leave it open.
    pub fn places_in(&self, said: &str) -> Vec<(String, std::ops::Range<usize>)> {
        let mut spans: Vec<std::ops::Range<usize>> = Vec::new();
        let mut at = 0;
        for word in said.split(|c: char| !(c.is_alphanumeric() || c == '\'' || c == '-')) {
            if !word.is_empty() {
                spans.push(at..at + word.len());
            }
            at += word.len();
            at += said[at..].chars().next().map_or(0, char::len_utf8);
        }
        let mut found: Vec<(Vec<String>, std::ops::Range<usize>)> = Vec::new();
        let mut i = 0;
        while i < spans.len() {
            let named = (1..=4.min(spans.len() - i)).rev().find_map(|n| {
                let range = spans[i].start..spans[i + n - 1].end;
                let mut codes = self.places_called(&said[range.clone()]);
                // "Worcester MA": the short form of a state behind the name of a town.
                let word = &said[range.clone()];
                if codes.is_empty() && n == 1 && i > 0 && word.len() <= 3 && word.chars().all(|c| c.is_ascii_uppercase()) {
                    codes = self.place_names.iter().filter(|p| p.code.ends_with(&format!("-{word}"))).map(|p| p.code.clone()).collect();
                }
                (!codes.is_empty()).then_some((codes, range, n))
            });
            match named {
                Some((codes, range, n)) => {
                    found.push((codes, range));
                    i += n;
                }
                None => i += 1,
            }
        }
        // What one name leaves open another may settle: "Perth, Scotland".
        let part = |a: &str, b: &str| self.places_of(a).iter().any(|p| p == b);
        let mut left: Vec<(String, std::ops::Range<usize>)> = Vec::new();
        for (n, (codes, range)) in found.iter().enumerate() {
            let others: Vec<&String> = found.iter().enumerate().filter(|(m, _)| *m != n).flat_map(|(_, (c, _))| c).collect();
            let agreed: Vec<&String> = codes.iter().filter(|c| others.iter().any(|o| part(c, o) || part(o, c))).collect();
            let agreed = if agreed.is_empty() { codes.iter().collect() } else { agreed };
            left.extend(agreed.into_iter().map(|c| (c.clone(), range.clone())));
        }
        let all = left.clone();
        left.retain(|(c, _)| !all.iter().any(|(o, _)| o != c && part(o, c)));
        let mut out: Vec<(String, std::ops::Range<usize>)> = Vec::new();
        for (code, range) in left {
            match out.iter_mut().find(|(c, _)| *c == code) {
                Some((_, r)) => *r = r.start.min(range.start)..r.end.max(range.end),
                None => out.push((code, range)),
            }
        }
        out
    }

    /// What a place is called.
    pub fn place_title(&self, code: &str) -> Option<&str> {
        self.place_names.iter().find(|p| p.code == code).map(|p| p.title.as_str())
    }

    /// A place and everything it is part of.
    pub fn places_of(&self, place: &str) -> Vec<String> {
        let mut chain = vec![place.to_owned()];
        if let Some((country, _)) = place.split_once('-') {
            chain.push(country.to_owned());
        }
        for (group, members) in &self.places {
            if !chain.contains(group) && members.iter().any(|m| chain.contains(m)) {
                chain.push(group.clone());
            }
        }
        chain
    }
}

/// Checks a place code: ISO 3166-1 alpha-2, with an ISO 3166-2 part where there is one.
///
/// # Errors
/// What is wrong, and what to write instead.
pub fn check_place(code: &str) -> Result<(), Error> {
    place_code(code).map_err(|(message, help)| Error::new(ErrorKind::Unfit, Diagnostic::error(message).maybe_help(help)))
}

/// As [`check_place`], with message and help apart.
pub(crate) fn place_code(code: &str) -> Result<(), (String, Option<String>)> {
    let (country, part) = code.split_once('-').map_or((code, None), |(c, p)| (c, Some(p)));
    let right = country.len() == 2
        && country.chars().all(|c| c.is_ascii_uppercase())
        && part.is_none_or(|p| (1..=3).contains(&p.len()) && p.chars().all(|c| c.is_ascii_uppercase() || c.is_ascii_digit()));
    let help = |text: &str| Some(text.to_owned());
    if country == "UK" {
        return Err((format!("`{code}` is not an ISO 3166 code"), help("the United Kingdom is GB, England GB-ENG")));
    }
    if right {
        return Ok(());
    }
    Err((
        format!("`{code}` is not an ISO 3166 code"),
        help("write for example GB, GB-ENG, US, US-MA, FR; leave it out to apply no local law"),
    ))
}
