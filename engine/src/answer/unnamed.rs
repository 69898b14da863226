//! Coats that are told without their kind: "gloss over green over red lead", "six coats, latex on top".

use super::coats::Spoken;
use super::lex::Piece;
use super::sense::Sense;
use super::tables::Role;
use std::ops::Range;

impl Sense<'_, '_> {
    /// Whether a stretch tells where a coat lies to another.
    fn is_joint(&self, k: usize) -> bool {
        matches!(self.role(k), Some(Role::Over | Role::On | Role::Under | Role::Beneath | Role::Then))
    }

    /// A word for a coat that does not tell its kind: its colour, or only that it is paint.
    pub(super) fn tells_no_kind(&self, k: usize) -> bool {
        match &self.lexemes[k].piece {
            Piece::Hit(h) => {
                let paint = h.values.is_empty() && h.phrases.is_empty() && h.names.iter().any(|f| Some(*f) == self.listener.kind);
                paint || self.only_remarks(h)
            }
            _ => false,
        }
    }

    /// The stretches that stand for coats of which the kind is not told.
    pub(super) fn unnamed(&self) -> Vec<usize> {
        let n = self.lexemes.len();
        let cuts: Vec<usize> = (0..n).filter(|k| self.is_joint(*k)).collect();
        let mut parts: Vec<Range<usize>> = Vec::new();
        let mut from = 0;
        for cut in cuts.iter().copied().chain([n]) {
            parts.push(from..cut);
            from = cut + 1;
        }
        let named: Vec<bool> = parts.iter().map(|p| p.clone().any(|k| self.is_kind(k))).collect();
        // What lies over or under what was told, with nothing but such words between.
        let tight = |cut: usize| matches!(self.role(cut), Some(Role::Over | Role::Under | Role::Beneath));
        let content =
            |p: &Range<usize>| p.clone().filter(|k| !self.small(*k) && !matches!(self.lexemes[*k].piece, Piece::Break)).collect::<Vec<_>>();
        let mut out = Vec::new();
        for (i, part) in parts.iter().enumerate().filter(|(i, _)| !named[*i]) {
            let words = content(part);
            let (before, behind) = (named[..i].iter().any(|n| *n), named[i + 1..].iter().any(|n| *n));
            let coat = if before && behind {
                let all = words.iter().all(|k| {
                    self.tells_no_kind(*k) || matches!(self.lexemes[*k].piece, Piece::Unknown | Piece::Measure(_) | Piece::Coat(_))
                });
                words.last().copied().filter(|k| all && !matches!(self.lexemes[*k].piece, Piece::Measure(_) | Piece::Coat(_)))
            } else if before && tight(cuts[i - 1]) {
                // "Gloss over green": the words right behind it, and nothing else of the clause.
                let end = part.clone().find(|k| self.is_break(*k)).unwrap_or(part.end);
                let words = content(&(part.start..end));
                words
                    .last()
                    .copied()
                    .filter(|_| words.iter().all(|k| self.tells_no_kind(*k) || matches!(self.lexemes[*k].piece, Piece::Measure(_))))
            } else if behind && tight(cuts[i]) {
                words.last().copied()
            } else {
                None
            };
            out.extend(coat.filter(|k| before && behind || self.tells_no_kind(*k)));
        }
        out
    }

    /// "Gloss over six coats": what those are is not said.
    pub(super) fn lies_under_a_coat(&self, k: usize) -> bool {
        let Some(figures) = self.figures_before(k) else { return false };
        let Some(joint) = (0..figures).rev().find(|j| !self.small(*j)).filter(|j| self.is_joint(*j)) else { return false };
        let next = (k + 1..self.lexemes.len()).find(|j| !self.small(*j));
        (0..joint).rev().find(|j| !self.small(*j)).is_some_and(|j| self.is_kind(j)) && !next.is_some_and(|j| self.is_kind(j))
    }

    /// The stack with the coats that were only counted: of "six coats, latex on top" five are not told.
    pub(super) fn with_the_rest(&self, mut stack: Vec<Spoken>, spoken: &[Spoken]) -> Option<Vec<Spoken>> {
        let counted = |k: &usize| {
            let own = self.figures_before(*k).filter(|m| matches!(&self.lexemes[*m].piece, Piece::Measure(m) if m.is_plain()));
            own.filter(|m| self.is_layers(*k) && !spoken.iter().any(|s| s.measure == Some(*m)))
        };
        let (k, measure) = (0..self.lexemes.len()).find_map(|k| Some((k, counted(&k)?)))?;
        if stack.is_empty() {
            let [only] = spoken else { return None };
            stack.push(only.clone());
        }
        let (top, bottom) = (stack.first().is_some_and(|s| s.top), stack.last().is_some_and(|s| s.bottom));
        let alone = stack.len() == 1;
        let at = match (alone, top, bottom) {
            (true, true, false) => 1,
            (true, false, true) => 0,
            (false, true, true) if stack.len() == 2 => 1,
            _ => return None,
        };
        if stack.iter().any(|s| s.kinds.is_empty() || s.measure.is_some()) {
            return None;
        }
        let mut rest = Spoken::at(Vec::new(), Some(measure), k);
        rest.less = stack.len();
        stack.insert(at, rest);
        Some(stack)
    }
}
