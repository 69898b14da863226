//! Putting together what a line said.

use super::lex::Piece;
use super::sense::Sense;
use super::tables::Role;
use super::{Heard, Reading, Said, Statement};
use crate::vocabulary::{FactId, FactKind, Known};
use std::ops::Range;

impl Sense<'_, '_> {
    /// Puts together what was said of the same fact, drops what the line cannot settle, and tells what was not heard.
    pub(super) fn finish(mut self) -> Heard {
        self.said.sort_by_key(|(at, _)| *at);
        let mut said: Vec<Said> = Vec::new();
        for (_, one) in std::mem::take(&mut self.said) {
            match one {
                Said::Fact(statement) => self.add(&mut said, statement),
                Said::Remark { says, at } => {
                    if !said.iter().any(|s| matches!(s, Said::Remark { says: other, .. } if *other == says)) {
                        said.push(Said::Remark { says, at });
                    }
                }
                Said::NotKnown { fact, at } => {
                    if !said.iter().any(|s| matches!(s, Said::NotKnown { fact: other, .. } if *other == fact)) {
                        said.push(Said::NotKnown { fact, at });
                    }
                }
                Said::Coats(mut coats) => {
                    for coat in &mut coats {
                        coat.retain(|s| !s.readings.iter().any(|r| self.is_unsettled(s.fact, &r.known)));
                    }
                    said.push(Said::Coats(coats));
                }
            }
        }
        // "Perhaps" alone is no answer.
        let perhaps = |k: usize| {
            matches!(self.role(k), Some(Role::Doubt | Role::Filler | Role::Aside | Role::Is))
                || matches!(self.lexemes[k].piece, Piece::Break)
        };
        if said.is_empty()
            && self.context.asked.is_some()
            && (0..self.lexemes.len()).all(perhaps)
            && let Some(k) = (0..self.lexemes.len()).find(|k| self.role(*k) == Some(Role::Doubt))
        {
            said.push(Said::NotKnown { fact: self.context.asked, at: self.at(k, k) });
        }
        // A fact that was stated is known after all.
        let stated: Vec<FactId> = said.iter().filter_map(|s| if let Said::Fact(s) = s { Some(s.fact) } else { None }).collect();
        said.retain(|s| !matches!(s, Said::NotKnown { fact: Some(f), .. } if stated.contains(f)));
        self.weigh(&mut said);
        let mut unheard: Vec<Range<usize>> = Vec::new();
        let mut last = usize::MAX;
        for (k, lexeme) in self.lexemes.iter().enumerate() {
            let small = matches!(lexeme.piece, Piece::Role(_) | Piece::Break | Piece::Coat(_));
            if self.used[k] || (small && !self.answers_nothing(&lexeme.piece)) {
                continue;
            }
            match unheard.last_mut().filter(|_| last.wrapping_add(1) == k) {
                Some(range) => range.end = lexeme.at.end,
                None => unheard.push(lexeme.at.clone()),
            }
            last = k;
        }
        Heard { said, unheard }
    }

    /// Adds a statement, joining it with what was said of the same fact and coat.
    fn add(&self, said: &mut Vec<Said>, mut new: Statement) {
        let within = |inner: &Known, outer: &Known| match (inner, outer) {
            (Known::Bits(a), Known::Bits(b)) => a & !b == 0,
            (Known::Num(a), Known::Num(b)) => a.and(b) == *a,
            _ => false,
        };
        new.readings.retain(|r| !self.is_unsettled(new.fact, &r.known));
        if new.readings.is_empty() {
            return;
        }
        let old = said.iter_mut().find_map(|s| match s {
            Said::Fact(old) if old.fact == new.fact && old.coat == new.coat => Some(old),
            _ => None,
        });
        let Some(old) = old else {
            said.push(Said::Fact(new));
            return;
        };
        old.at = old.at.start.min(new.at.start)..old.at.end.max(new.at.end);
        if let (
            [Reading { known: Known::Several { yes: a, no: b }, sure: s, .. }],
            [Reading { known: Known::Several { yes: c, no: d }, sure: t, .. }],
        ) = (old.readings.as_slice(), new.readings.as_slice())
        {
            // Nothing else is there only where that was said.
            let closed = self.context.asked == Some(new.fact) && self.closes();
            let (yes, no) = (a | c, (b | d) & !(a | c));
            let sure = *s && *t;
            old.readings = vec![self.maker.several(new.fact, yes, if closed { 0 } else { no }, closed, sure)];
            return;
        }
        // "neither oak nor pine": what both leave.
        if let ([Reading { known: Known::Bits(a), sure: s, .. }], [Reading { known: Known::Bits(b), sure: t, .. }]) =
            (old.readings.as_slice(), new.readings.as_slice())
            && a & b != 0
        {
            // "Two kids under six": of two words for the same the surer one tells, where it asks for the most care.
            let both = a & b;
            let tells = (*s && both == *a) || (*t && both == *b);
            let careful = self.listener.book.base.vocabulary.get(new.fact).careful == Some(Known::Bits(both));
            let sure = (*s && *t) || (tells && careful);
            old.readings = self.maker.choice(new.fact, both, sure).into_iter().collect();
            return;
        }
        // "Could be lime, could be gypsum": one or the other, and nobody knows which.
        if let ([Reading { known: Known::Bits(a), sure: false, .. }], [Reading { known: Known::Bits(b), sure: false, .. }]) =
            (old.readings.as_slice(), new.readings.as_slice())
            && matches!(self.kind(new.fact), FactKind::Choice(_) | FactKind::Entry(_))
            && let Some(either) = self.maker.choice(new.fact, a | b, false)
        {
            old.readings = vec![either];
            return;
        }
        let narrower: Vec<Reading> =
            new.readings.iter().filter(|n| old.readings.iter().any(|o| within(&n.known, &o.known))).cloned().collect();
        if old.readings.iter().all(|o| new.readings.iter().any(|n| within(&o.known, &n.known))) {
            return;
        }
        let fact = self.listener.book.base.vocabulary.get(new.fact);
        let eases = |r: &Reading| fact.eased_by(&r.known);
        if narrower.is_empty() && self.tells_apart() && old.readings.iter().all(eases) != new.readings.iter().all(eases) {
            // "Sound here, flaking there", "not pregnant but breastfeeding": what asks for more care holds for the whole.
            old.readings.extend(new.readings);
            old.readings.retain(|r| !eases(r));
        } else if narrower.is_empty() {
            // Said twice and differently: which of them is asked back.
            old.readings.extend(new.readings);
        } else if narrower.iter().all(eases) && !old.readings.iter().all(eases) {
            // "Sometimes, no no": to say the easier of two once more settles nothing.
        } else {
            old.readings = narrower;
        }
    }

    /// Whether a line speaks of one place and another, or sets one thing against the other.
    fn tells_apart(&self) -> bool {
        const PLACES: &[&str] = &[
            "here",
            "there",
            "places",
            "parts",
            "spots",
            "patches",
            "bits",
            "others",
            "elsewhere",
            "rest",
            "top",
            "bottom",
            "below",
            "above",
            "back",
            "front",
            "side",
            "end",
            "mostly",
            "mainly",
            "one",
            "other",
        ];
        let word = |k: usize| self.low(k).split_whitespace().any(|w| PLACES.contains(&w));
        (0..self.lexemes.len()).any(|k| self.role(k) == Some(Role::But) || word(k))
    }

    /// Whether a yes or no was said that answers no question.
    fn answers_nothing(&self, piece: &Piece) -> bool {
        let asked = self.context.asked;
        match piece {
            Piece::Role(Role::Yes(_) | Role::No(_)) => asked.is_some_and(|a| self.says_yes(a)),
            Piece::Role(Role::Nothing | Role::Not | Role::NotYet) => asked.is_some(),
            _ => false,
        }
    }
}
