//! Sentences with gaps: `{coat.kind}`, `{method}`, `{limit}`.

use crate::script::Base;
use crate::vocabulary::FactId;
use crate::words;

/// A piece of a sentence.
#[derive(Debug, Clone, PartialEq)]
pub enum Part {
    /// As it stands.
    Text(String),
    /// The value of a fact.
    Fact(FactId),
    /// The method.
    Method,
    /// The limit in force.
    Limit(usize),
}

/// A sentence with gaps.
#[derive(Debug, Clone, PartialEq, Default)]
#[non_exhaustive]
pub struct Template {
    /// Its pieces.
    pub parts: Vec<Part>,
}

impl Template {
    /// Reads a sentence; `limits` are those the rule reads.
    pub(super) fn read(text: &str, base: &Base, limits: &[usize]) -> Result<Self, (String, Option<String>)> {
        let mut parts = Vec::new();
        let mut rest = text;
        while let Some(open) = rest.find('{') {
            let Some(close) = rest[open..].find('}').map(|i| open + i) else {
                return Err(("a gap is opened with `{` and not closed".to_owned(), None));
            };
            if open > 0 {
                parts.push(Part::Text(rest[..open].to_owned()));
            }
            let name = rest[open + 1..close].trim();
            parts.push(gap(name, base, limits)?);
            rest = &rest[close + 1..];
        }
        if !rest.is_empty() {
            parts.push(Part::Text(rest.to_owned()));
        }
        Ok(Self { parts })
    }
}

fn gap(name: &str, base: &Base, limits: &[usize]) -> Result<Part, (String, Option<String>)> {
    if name == "method" {
        return Ok(Part::Method);
    }
    if name == "limit" {
        return match limits {
            [one] => Ok(Part::Limit(*one)),
            [] => {
                Err(("`{limit}` stands in the sentence, but the script reads no limit".to_owned(), Some("name it: {limit:ID}".to_owned())))
            }
            _ => Err(("`{limit}` is not clear: the script reads several limits".to_owned(), Some("write {limit:ID}".to_owned()))),
        };
    }
    if let Some(id) = name.strip_prefix("limit:") {
        return base.limits.get_index_of(id.trim()).map(Part::Limit).ok_or_else(|| {
            let help = words::did_you_mean(id, base.limits.keys().map(String::as_str));
            (format!("there is no limit `{id}`"), help)
        });
    }
    base.vocabulary.find(name).map(Part::Fact).ok_or_else(|| {
        let ids: Vec<&str> = base.vocabulary.iter().map(|(_, f)| f.id.as_str()).collect();
        (format!("`{{{name}}}` is not a fact, `method` or `limit`"), words::did_you_mean(name, ids))
    })
}
