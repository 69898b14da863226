//! Shapes that bear on what stands before them: "a river runs right beside it"; and guesses before figures.

use super::lex::{Hit, Piece};
use super::sense::Sense;
use super::tables::{GUESSES, Role};
use crate::vocabulary::{About, FactKind};
use std::ops::Range;

/// Verbs of where something is.
const STANDS: &[&str] =
    &["runs", "run", "running", "flows", "flowing", "stands", "sits", "lies", "goes", "goes past", "passes", "right", "just"];

impl Sense<'_, '_> {
    /// "Maybe 1 mm", "perhaps 1985": the figure is no more than a guess, though the word tells that it is about so much as well.
    pub(super) fn guessed(&mut self, k: usize) {
        let words = self.low(k);
        if words.split_whitespace().next().is_some_and(|w| GUESSES.contains(&w)) {
            self.doubt[k] = true;
        }
    }

    /// Whether a thing is said to be near behind its name: "a river runs right beside it", "there's a lawn next to the wall".
    pub(super) fn is_said_to_be_near(&mut self, k: usize, hit: &Hit, clause: Range<usize>) -> bool {
        if !hit.values.iter().any(|(f, _)| self.is_several(*f)) {
            return false;
        }
        let between = |s: &Self, j: usize| {
            STANDS.contains(&s.low(j).as_str())
                || matches!(s.lexemes[j].piece, Piece::Role(Role::Filler | Role::Aside | Role::Is | Role::Have | Role::Just))
        };
        let Some(near) = (k + 1..clause.end).find(|j| !between(self, *j)).filter(|j| self.role(*j) == Some(Role::Near)) else {
            return false;
        };
        // What it is beside is this surface: "it", or the part by its name, and nothing else.
        let ours = |s: &Self, j: usize| match &s.lexemes[j].piece {
            Piece::Role(Role::Filler | Role::Aside) => true,
            Piece::Hit(h) => {
                let vocabulary = &s.listener.book.base.vocabulary;
                let element =
                    |f: crate::vocabulary::FactId| vocabulary.get(f).about == About::Surface && matches!(s.kind(f), FactKind::Choice(_));
                let facts = s.facts_of(j);
                !facts.is_empty() && facts.into_iter().all(element) && h.phrases.is_empty()
            }
            _ => false,
        };
        if !(near + 1..clause.end).all(|j| ours(self, j)) {
            return false;
        }
        for j in k + 1..near {
            self.used[j] = true;
        }
        true
    }
}
