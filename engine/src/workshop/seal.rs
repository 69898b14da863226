//! Seals: what a rule book was at a moment, by digests, so that it can be told later whether and where it has changed.

use super::exercise::reaches;
use crate::cases::try_case;
use crate::catalogue::EntryKind;
use crate::error::Error;
use crate::pack::{Case, Rule, RuleBook, Ruling, hex};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// A sealed rule book.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Seal {
    /// The version of this shape.
    pub seal: u32,
    /// SHA-256 over the packs' digests.
    pub rule_book: String,
    /// Facts, entries and grades.
    pub vocabulary: String,
    /// The packs.
    #[serde(default, rename = "pack")]
    pub packs: Vec<SealedPack>,
    /// Rules and presumptions in use, by id.
    #[serde(default)]
    pub rules: BTreeMap<String, String>,
    /// The worked cases of the packs that were sealed.
    #[serde(default, rename = "case")]
    pub cases: Vec<SealedCase>,
}

/// A sealed pack.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct SealedPack {
    /// Its name.
    pub name: String,
    /// Its version.
    pub version: String,
    /// Who keeps it.
    pub owner: String,
    /// SHA-256 over its files.
    pub digest: String,
}

/// A sealed worked case.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct SealedCase {
    /// Its pack.
    pub pack: String,
    /// Its heading.
    pub title: String,
    /// What it states and expects.
    pub digest: String,
    /// Rule-outs and holds that spoke or were open in it, where it expects a verdict or something that speaks for a method:
    /// nothing else that it does not name can change what comes of it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub reached: Vec<String>,
}

impl Seal {
    /// Seals a rule book, with the worked cases of the packs named.
    pub fn of(book: &RuleBook, packs: &[&str]) -> Self {
        let cases = book.cases.iter().filter(|c| packs.contains(&c.pack.as_str()));
        Self {
            seal: 1,
            rule_book: book.digest.clone(),
            vocabulary: vocabulary(book),
            packs: book
                .packs
                .iter()
                .map(|p| SealedPack { name: p.name.clone(), version: p.version.clone(), owner: p.owner.clone(), digest: p.digest.clone() })
                .collect(),
            rules: rules(book),
            cases: cases
                .map(|case| {
                    let tried = try_case(case, book);
                    let mut reached: Vec<String> = tried.spoke.into_iter().chain(tried.open).collect();
                    reached.retain(|id| hangs_on_verdict(case, book) && book.rule(id).is_some_and(decides));
                    reached.sort();
                    reached.dedup();
                    SealedCase { pack: case.pack.clone(), title: case.title.clone(), digest: case_digest(case, book), reached }
                })
                .collect(),
        }
    }

    /// Reads a seal.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn read(text: &str) -> Result<Self, Error> {
        let seal: Self = toml::from_str(text).map_err(|e| Error::unfit(e.message()))?;
        if seal.seal == 1 { Ok(seal) } else { Err(Error::unfit(format!("it is of shape {}, and only shape 1 is known", seal.seal))) }
    }

    /// As a file.
    pub fn text(&self) -> String {
        let body = toml::to_string(self).unwrap_or_default();
        format!("# A sealed rule book: read where what changed since is tried, and by the eye of whoever compares digests.\n\n{body}")
    }
}

/// What has changed since a seal, and the worked cases that this touches.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
#[non_exhaustive]
pub struct Changed {
    /// Rules and presumptions that were added, changed or taken away.
    pub rules: Vec<String>,
    /// Whether facts, entries or grades have changed: then every case is touched.
    pub vocabulary: bool,
    /// The worked cases touched, by their places in the book.
    pub cases: Vec<usize>,
}

/// Whether what comes of a case depends on verdicts: it expects one, or names a rule that is told only while the method suits.
fn hangs_on_verdict(case: &Case, book: &RuleBook) -> bool {
    let prefers = |id: &String| book.rule(id).is_some_and(|r| r.ruling == Ruling::Prefer);
    case.verdict.is_some() || [&case.says, &case.open, &case.silent].iter().any(|list| list.iter().any(prefers))
}

/// Whether a rule has a say in verdicts.
fn decides(rule: &Rule) -> bool {
    matches!(rule.ruling, Ruling::RuleOut | Ruling::Hold)
}

/// Compares a rule book with a seal. A case is touched if its own words have changed, or if a rule has that it names; where its
/// outcome hangs on verdicts, also if a rule-out or hold has that it reached when it was sealed, or reaches now.
pub fn changed_since(seal: &Seal, book: &RuleBook, packs: &[&str]) -> Changed {
    let now = rules(book);
    let mut ids: Vec<String> = now.keys().chain(seal.rules.keys()).filter(|id| now.get(*id) != seal.rules.get(*id)).cloned().collect();
    ids.sort();
    ids.dedup();
    let presumed = book.presumptions.iter().any(|p| ids.contains(&p.id));
    let mut changed = Changed { vocabulary: vocabulary(book) != seal.vocabulary, rules: ids, cases: Vec::new() };
    for (index, case) in book.cases.iter().enumerate().filter(|(_, c)| packs.contains(&c.pack.as_str())) {
        let digest = case_digest(case, book);
        let sealed = seal.cases.iter().find(|s| s.pack == case.pack && s.title == case.title && s.digest == digest);
        let named = |id: &String| [&case.about, &case.says, &case.open, &case.silent].iter().any(|list| list.contains(id));
        // A presumption can change what any rule sees, so all cases are looked at again.
        let touched = changed.vocabulary
            || presumed
            || sealed.is_none_or(|s| s.reached.iter().any(|id| changed.rules.contains(id)))
            || changed.rules.iter().any(|id| {
                named(id) || hangs_on_verdict(case, book) && book.rule(id).is_some_and(|rule| decides(rule) && reaches(book, case, rule))
            });
        if touched {
            changed.cases.push(index);
        }
    }
    changed
}

/// SHA-256 over pieces of text, each with its length, shortened to what tells a few thousand apart.
fn short<'a>(pieces: impl IntoIterator<Item = &'a str>) -> String {
    let mut hash = Sha256::new();
    for piece in pieces {
        hash.update((piece.len() as u64).to_be_bytes());
        hash.update(piece.as_bytes());
    }
    hex(&hash.finalize()[..12])
}

/// Every rule and presumption: what it says, when, and the figures it reads.
fn rules(book: &RuleBook) -> BTreeMap<String, String> {
    let figures = |limits: &[usize]| {
        limits.iter().fold(String::new(), |mut text, l| {
            for v in &book.base.limits[*l].values {
                let _ = writeln!(text, "{:?} {} {:?}", v.place, v.quantity.base, v.period);
            }
            text
        })
    };
    let rules = book.rules.iter().map(|r| {
        let told = format!("{:?} {:?} {:?} {:?} {:?} {:?}", r.ruling, r.basis, r.place, r.period, r.every_coat, r.released_by);
        let said = format!("{:?} {:?}", r.because, r.instead);
        let digest = short([told.as_str(), &said, &format!("{:?}", r.tree), &figures(&r.tree.limits())]);
        (r.id.clone(), digest)
    });
    let presumptions = book.presumptions.iter().map(|p| {
        let told = format!("{:?} {:?} {:?} {:?} {:?} {:?}", p.fact, p.value, p.basis, p.place, p.period, p.unstated);
        (p.id.clone(), short([told.as_str(), &format!("{:?}", p.tree), &figures(&p.tree.limits())]))
    });
    rules.chain(presumptions).collect()
}

/// Facts, entries and grades, without the words around them.
fn vocabulary(book: &RuleBook) -> String {
    let base = &book.base;
    let mut text = String::new();
    for (_, f) in base.vocabulary.iter() {
        let _ = writeln!(text, "{} {:?} {} {}", f.id, f.kind, f.chosen, f.burden);
    }
    for kind in EntryKind::ALL {
        for e in base.catalogue.entries(kind).values() {
            let _ = writeln!(text, "{} {:?} {:?}", e.id, e.attributes, e.settings);
        }
    }
    for grid in base.catalogue.grids.values() {
        for cell in grid.cells.iter().flatten() {
            let _ = write!(text, "{} {} ", cell.grade, cell.reason);
        }
    }
    short([text.as_str()])
}

/// What a case states and expects.
fn case_digest(case: &Case, book: &RuleBook) -> String {
    let expects = format!("{:?} {:?} {:?} {:?} {:?}", case.about, case.says, case.open, case.silent, case.verdict);
    let method = case.method.map_or("", |m| book.base.catalogue.entries(EntryKind::Method)[m].id.as_str());
    short([case.title.as_str(), method, &expects, &format!("{:?}", case.survey)])
}
