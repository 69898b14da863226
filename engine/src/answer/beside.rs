//! What is said beside a statement: the parts taken out of it, and how far off what is near is.

use super::index::Filled;
use super::lex::Piece;
use super::sense::Sense;
use super::tables::Role;
use super::{Reading, Said};
use crate::pack::Meant;
use crate::quantity::Dimension;
use crate::vocabulary::{FactId, Known};

/// Words before what is taken out.
const APART: &[&str] = &["apart from", "aside from", "except for", "except", "other than", "save for", "bar", "but for"];

impl Sense<'_, '_> {
    /// "Sound apart from the sills": a part of the building that is taken out names no surface, and tells that not all is meant.
    pub(super) fn take_out_exceptions(&mut self) {
        let vocabulary = &self.listener.book.base.vocabulary;
        let parts: Vec<FactId> = vocabulary.iter().filter_map(|(_, f)| f.counts).collect();
        for k in 1..self.lexemes.len() {
            if !self.is_apart(k) {
                continue;
            }
            for j in k + 1..self.lexemes.len() {
                if matches!(self.lexemes[j].piece, Piece::Break) {
                    break;
                }
                if let Piece::Hit(hit) = &self.lexemes[j].piece
                    && !hit.values.is_empty()
                    && hit.values.iter().all(|(f, _)| parts.contains(f))
                {
                    self.lexemes[j].piece = Piece::Role(Role::Aside);
                }
            }
        }
    }

    /// Whether a stretch takes something out of what stands before it.
    pub(super) fn is_apart(&self, k: usize) -> bool {
        APART.contains(&self.words_at(k).to_lowercase().as_str())
    }

    /// "Pond at the bottom, 20 yards": a length that nothing else was made of is how far off what is near is, where a phrase of the
    /// rule book puts such a thing and its distance together.
    pub(super) fn distances(&mut self) {
        let book = self.listener.book;
        for k in 1..self.lexemes.len() {
            let Piece::Measure(measure) = self.lexemes[k].piece.clone() else { continue };
            if self.used[k] || measure.dimension() != Some(Dimension::LENGTH) {
                continue;
            }
            let start = self.lexemes[k].at.start;
            // The thing near that was named last before it, with nothing but small words between.
            let near = self.said.iter().filter(|(at, _)| *at < start).max_by_key(|(at, _)| *at);
            let Some((_, Said::Fact(near))) = near else { continue };
            let Some(Reading { known: Known::Several { yes, .. }, .. }) = near.readings.first() else { continue };
            let end = near.at.end;
            let between =
                (0..k).filter(|j| self.lexemes[*j].at.start >= end).all(|j| matches!(self.lexemes[j].piece, Piece::Role(_) | Piece::Break));
            let (fact, yes) = (near.fact, *yes);
            let told = book.phrases.iter().find_map(|p| {
                let same = |(f, m): &(FactId, Meant)| {
                    matches!(m, Meant::Value { known: Known::Several { yes: y, .. }, .. } if *f == fact && y & yes != 0)
                };
                let slot = p.means.iter().find(|(_, m)| matches!(m, Meant::Slot)).map(|(f, _)| *f);
                slot.filter(|_| p.means.iter().any(same))
            });
            let Some(distance) = told.filter(|_| between) else { continue };
            let readings = self.filled(distance, Some(&Filled::Measure(measure)), !self.doubt[k]);
            if !readings.is_empty() {
                self.used[k] = true;
                if k + 1 < self.lexemes.len() && ["away", "off", "distant"].contains(&self.words_at(k + 1).to_lowercase().as_str()) {
                    self.used[k + 1] = true;
                }
                let at = self.at(k, k);
                self.state(distance, None, readings, at);
            }
        }
    }
}
