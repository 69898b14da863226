//! Stacks of coats: "three coats of gloss over emulsion over distemper".

use super::lex::Piece;
use super::sense::Sense;
use super::tables::Role;
use super::which::Which;
use super::{Reading, Said, Statement};
use crate::vocabulary::{About, FactId, Known};
use std::ops::Range;

/// One coat as it was spoken of.
#[derive(Debug, Clone)]
pub(super) struct Spoken {
    /// The words for its kind; several where one or the other was said.
    pub(super) kinds: Vec<usize>,
    /// The figures before it.
    pub(super) measure: Option<usize>,
    first: usize,
    last: usize,
    /// Said to be on top of all.
    pub(super) top: bool,
    /// Said to be at the bottom of all.
    pub(super) bottom: bool,
    /// How many of the coats that the figures count are named by themselves: "six coats, latex on top".
    pub(super) less: usize,
}

impl Spoken {
    /// Of the coats at `first` to `last`, with the words for their kind.
    pub(super) fn at(kinds: Vec<usize>, measure: Option<usize>, last: usize) -> Self {
        let first = measure.or(kinds.first().copied()).unwrap_or(last);
        Self { kinds, measure, first, last, top: false, bottom: false, less: 0 }
    }
}

/// Where a coat lies to the one spoken of before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Place {
    /// Under it, because the words say so.
    Under,
    /// Over it.
    Over,
    /// Only listed after it.
    Listed,
    /// In no relation: other things were said between.
    Apart,
}

impl Sense<'_, '_> {
    /// Whether a stretch names a kind of coat.
    pub(super) fn is_kind(&self, k: usize) -> bool {
        let Some(kind) = self.listener.kind else { return false };
        match &self.lexemes[k].piece {
            Piece::Hit(h) => {
                h.values.iter().any(|(f, _)| *f == kind)
                    || h.phrases.iter().any(|p| self.listener.book.phrases[*p].means.iter().any(|(f, _)| *f == kind))
            }
            _ => false,
        }
    }

    pub(super) fn is_layers(&self, k: usize) -> bool {
        matches!(&self.lexemes[k].piece, Piece::Hit(h) if h.names.iter().any(|f| Some(*f) == self.listener.layers))
    }

    pub(super) fn small(&self, k: usize) -> bool {
        matches!(self.role(k), Some(Role::Filler | Role::Aside | Role::Is | Role::Have | Role::Doubt))
    }

    /// Finds the stack of coats in the line, if one is told.
    pub(super) fn coats(&mut self) {
        let spoken = self.spoken();
        let chain = self.chain(&spoken);
        let chosen: Vec<Spoken> = chain.iter().flatten().map(|i| spoken[*i].clone()).collect();
        let Some(chosen) = self.with_the_rest(chosen.clone(), &spoken).or(chain.map(|_| chosen)) else { return };
        let (first, last) = (chosen.iter().map(|s| s.first).min().unwrap_or(0), chosen.iter().map(|s| s.last).max().unwrap_or(0));
        let in_order = self.told_in_order(first, last, &chosen);
        let mut stack = Vec::new();
        for (i, coat) in chosen.iter().enumerate() {
            let statements = self.coat(coat, i, in_order);
            stack.push(statements);
        }
        self.used[first..=last].fill(true);
        for k in last + 1..self.lexemes.len() {
            let tail = matches!(self.role(k), Some(Role::OnTop | Role::Under | Role::Beneath | Role::First))
                || matches!(self.lexemes[k].piece, Piece::Coat(_));
            if !(tail || self.small(k)) {
                break;
            }
            self.used[k] = true;
        }
        let start = self.lexemes[first].at.start;
        self.said.push((start, Said::Coats(stack)));
    }

    /// Whether the words say which coat lies over which, or only list them.
    fn told_in_order(&self, first: usize, last: usize, coats: &[Spoken]) -> bool {
        coats.len() < 2
            || coats.iter().any(|c| c.top || c.bottom)
            || (first..=last).any(|k| matches!(self.role(k), Some(Role::Over | Role::On | Role::Under | Role::Beneath | Role::Then)))
    }

    /// Every coat spoken of, in the order of the line.
    fn spoken(&self) -> Vec<Spoken> {
        let mut out: Vec<Spoken> = Vec::new();
        let unnamed = self.unnamed();
        for k in 0..self.lexemes.len() {
            let denied = k > 0 && matches!(self.role(k - 1), Some(Role::Not | Role::No(_)));
            if denied {
                continue;
            }
            if self.is_kind(k) {
                // "gloss or eggshell"
                if let Some(before) = out.last_mut() {
                    let between = before.last + 1..k;
                    let or = between.clone().any(|j| self.role(j) == Some(Role::Or));
                    if or && between.into_iter().all(|j| self.role(j) == Some(Role::Or) || self.small(j)) {
                        before.kinds.push(k);
                        before.last = k;
                        continue;
                    }
                }
                let measure = self.figures_before(k);
                out.push(Spoken::at(vec![k], measure, k));
            } else if unnamed.contains(&k)
                || self.is_layers(k) && self.figures_before(k).is_some() && (self.lies_on_a_coat(k) || self.lies_under_a_coat(k))
            {
                // "a dozen coats over milk paint": what they are is not said.
                out.push(Spoken::at(Vec::new(), self.figures_before(k), k));
            }
        }
        for i in 0..out.len() {
            let end = out.get(i + 1).map_or(self.lexemes.len(), |n| n.first);
            self.find_ends(&mut out[i], end);
        }
        out
    }

    /// Figures that count or measure the coat named at `k`: "three coats of …".
    pub(super) fn figures_before(&self, k: usize) -> Option<usize> {
        let j = (0..k).rev().take(4).find(|j| !(self.small(*j) || self.is_layers(*j) || self.tells_no_kind(*j)))?;
        match &self.lexemes[j].piece {
            Piece::Measure(m) if m.is_plain() || m.dimension() == Some(crate::quantity::Dimension::LENGTH) => Some(j),
            _ => None,
        }
    }

    fn lies_on_a_coat(&self, k: usize) -> bool {
        let Some(over) = (k + 1..self.lexemes.len()).find(|j| !self.small(*j)) else { return false };
        let end = self.lexemes.len().min(over + 8);
        matches!(self.role(over), Some(Role::Over | Role::On | Role::Then))
            && (over + 1..end)
                .find(|j| !(self.small(*j) || self.is_layers(*j) || matches!(self.lexemes[*j].piece, Piece::Measure(_) | Piece::Unknown)))
                .is_some_and(|j| self.is_kind(j))
    }

    /// What is said behind a coat of its place: "on top", "at the bottom", "first".
    fn find_ends(&self, coat: &mut Spoken, end: usize) {
        let before = (0..coat.first).rev().find(|k| !self.small(*k));
        if let Some(Piece::Coat(which)) = before.map(|k| &self.lexemes[k].piece) {
            coat.top |= *which == Which::Nth(0);
            coat.bottom |= *which == Which::Bottom;
        }
        for k in coat.last + 1..end {
            match (&self.lexemes[k].piece, self.role(k)) {
                (_, Some(Role::OnTop)) => coat.top = true,
                (Piece::Coat(Which::Nth(0)), _) if self.ends_here(k, end) => coat.top = true,
                (Piece::Coat(Which::Bottom), _) if self.ends_here(k, end) => coat.bottom = true,
                (_, Some(Role::First)) => coat.bottom = true,
                (_, Some(Role::Under | Role::Beneath)) if self.ends_here(k, end) => coat.bottom = true,
                _ if self.small(k) || self.is_layers(k) => continue,
                _ => {}
            }
            break;
        }
    }

    /// Whether a clause ends behind this stretch, so that it speaks of what stands before.
    fn ends_here(&self, k: usize, end: usize) -> bool {
        match (k + 1..self.lexemes.len()).find(|j| !self.small(*j)) {
            None => true,
            Some(j) => {
                j < end && matches!(self.lexemes[j].piece, Piece::Break) || matches!(self.role(j), Some(Role::And | Role::Then | Role::But))
            }
        }
    }

    /// How a coat lies to the one spoken of before it.
    fn place(&self, before: &Spoken, after: &Spoken) -> Place {
        let mut place = Place::Listed;
        for k in before.last + 1..after.first {
            match (&self.lexemes[k].piece, self.role(k)) {
                (_, Some(Role::Over | Role::On)) => place = Place::Under,
                (_, Some(Role::Then)) => place = Place::Under,
                (_, Some(Role::Beneath)) if !before.bottom => place = Place::Under,
                (_, Some(Role::Under)) if !before.bottom => place = Place::Over,
                // "White gloss over cream emulsion".
                _ if self.tells_no_kind(k) => {}
                (Piece::Hit(h), _) if !(h.values.is_empty() && h.phrases.is_empty()) => return Place::Apart,
                (Piece::Measure(_) | Piece::Years(_), _) => return Place::Apart,
                (_, Some(Role::Not | Role::No(_) | Role::Or)) => return Place::Apart,
                (Piece::Break, _) if place == Place::Over => place = Place::Listed,
                _ => {}
            }
        }
        place
    }

    /// The coats in order from the top, where a stack was told.
    fn chain(&self, spoken: &[Spoken]) -> Option<Vec<usize>> {
        if let [only] = spoken {
            let near = only.first.saturating_sub(2)..(only.last + 3).min(self.lexemes.len());
            let just = near.into_iter().any(|k| self.role(k) == Some(Role::Just));
            let alone = (0..self.lexemes.len()).all(|k| {
                (only.first..=only.last).contains(&k)
                    || !matches!(&self.lexemes[k].piece, Piece::Hit(h) if h.values.iter().any(|(f, _)| self.about_coat(*f)))
            });
            return (just && alone && !only.kinds.is_empty()).then(|| vec![0]);
        }
        // The longest run of coats that belong together.
        let mut best: Vec<usize> = Vec::new();
        let mut from = 0;
        for i in 1..=spoken.len() {
            if i == spoken.len() || self.place(&spoken[i - 1], &spoken[i]) == Place::Apart {
                if i - from > best.len() {
                    best = (from..i).collect();
                }
                from = i;
            }
        }
        if best.len() < 2 {
            return None;
        }
        let mut order = vec![best[0]];
        let mut at = 0;
        let mut by_time = false;
        let mut last = Place::Listed;
        for pair in best.windows(2) {
            let place = match self.place(&spoken[pair[0]], &spoken[pair[1]]) {
                Place::Listed => last,
                place => place,
            };
            by_time |= (spoken[pair[0]].last + 1..spoken[pair[1]].first).any(|k| self.role(k) == Some(Role::Then));
            at = if place == Place::Over { at } else { at + 1 };
            order.insert(at, pair[1]);
            last = place;
        }
        let top = order.iter().position(|i| spoken[*i].top);
        let bottom = order.iter().position(|i| spoken[*i].bottom);
        let end = order.len() - 1;
        // "distemper first, then emulsion, gloss on top" is told from the bottom.
        if (top == Some(end) && by_time) || (bottom == Some(0) && (by_time || top.is_none())) {
            order.reverse();
        } else {
            if let Some(i) = top {
                let coat = order.remove(i);
                order.insert(0, coat);
            }
            if let Some(i) = order.iter().position(|i| spoken[*i].bottom) {
                let coat = order.remove(i);
                order.push(coat);
            }
        }
        Some(order)
    }

    fn about_coat(&self, fact: FactId) -> bool {
        self.listener.book.base.vocabulary.get(fact).about == About::Coat
    }

    /// What was said of one coat of a stack.
    fn coat(&mut self, coat: &Spoken, place: usize, sure: bool) -> Vec<Statement> {
        let at = self.lexemes[coat.first].at.start..self.lexemes[coat.last].at.end;
        let mut found: Vec<(FactId, u128, bool)> = Vec::new();
        for (n, k) in coat.kinds.iter().enumerate() {
            let sure = sure && !self.doubt[*k];
            let here = self.coat_facts(*k);
            if n == 0 {
                found = here.into_iter().map(|(f, b)| (f, b, sure)).collect();
            } else {
                found.retain(|(f, ..)| here.iter().any(|(g, _)| g == f));
                for (fact, bits, certain) in &mut found {
                    *bits |= here.iter().filter(|(g, _)| g == fact).fold(0, |all, (_, b)| all | b);
                    *certain &= sure;
                }
            }
        }
        let mut out: Vec<Statement> = Vec::new();
        for (fact, bits, sure) in found {
            if let Some(reading) = self.maker.choice(fact, bits, sure) {
                out.push(Statement { fact, coat: Some(place), readings: vec![reading], at: at.clone(), unread: Vec::new(), by: None });
            }
        }
        if let Some(k) = coat.measure
            && let Piece::Measure(measure) = self.lexemes[k].piece.clone()
            && let Some(measure) = measure.less(coat.less)
        {
            let fact = if measure.is_plain() { self.listener.layers } else { self.listener.thickness(&measure) };
            if let Some(fact) = fact {
                match self.maker.number(fact, &measure, !self.doubt[k]) {
                    Ok(readings) if !readings.is_empty() => {
                        out.push(Statement { fact, coat: Some(place), readings, at, unread: Vec::new(), by: None });
                    }
                    Err(says) => self.said.push((at.start, Said::Remark { says, at })),
                    Ok(_) => {}
                }
            }
        }
        out
    }

    /// What a word says of a coat: its kind, and what the kind's name says besides ("red lead").
    fn coat_facts(&self, k: usize) -> Vec<(FactId, u128)> {
        let Piece::Hit(hit) = &self.lexemes[k].piece else { return Vec::new() };
        let mut out: Vec<(FactId, u128)> = Vec::new();
        let mut add = |fact: FactId, bits: u128| match out.iter_mut().find(|(f, _)| *f == fact) {
            Some((_, all)) => *all |= bits,
            None => out.push((fact, bits)),
        };
        let by_phrase: Vec<(FactId, u128)> = hit
            .phrases
            .iter()
            .flat_map(|p| &self.listener.book.phrases[*p].means)
            .filter_map(|(f, m)| match m {
                crate::pack::Meant::Value { known: Known::Bits(bits), .. } if self.about_coat(*f) => Some((*f, *bits)),
                _ => None,
            })
            .collect();
        for (fact, bits) in &by_phrase {
            add(*fact, *bits);
        }
        for (fact, value) in hit.values.iter().filter(|(f, _)| self.about_coat(*f)) {
            if !by_phrase.iter().any(|(f, _)| f == fact) {
                add(*fact, 1 << value);
            }
        }
        out
    }

    /// A stack as a phrase lists it.
    pub(super) fn coats_of(&mut self, kinds: &[(String, Known)], sure: bool, at: &Range<usize>) {
        let Some(kind) = self.listener.kind else { return };
        let stack = kinds
            .iter()
            .enumerate()
            .map(|(i, (_, known))| {
                let Known::Bits(bits) = known else { return Vec::new() };
                let readings: Vec<Reading> = self.maker.choice(kind, *bits, sure).into_iter().collect();
                vec![Statement { fact: kind, coat: Some(i), readings, at: at.clone(), unread: Vec::new(), by: None }]
            })
            .collect();
        self.said.push((at.start, Said::Coats(stack)));
    }
}
