//! Yes and no, nothing, and "nobody knows".

use super::Reading;
use super::Said;
use super::lex::{Hit, Piece};
use super::sense::{Bearing, Of, Sense};
use super::tables::Role;
use crate::vocabulary::{About, FactId, FactKind, flag};
use std::ops::Range;

impl Sense<'_, '_> {
    /// A clause that says that something is not known.
    pub(super) fn not_known(&mut self, clause: Range<usize>) -> bool {
        let find = |wanted: Role| clause.clone().find(|k| !self.used[*k] && self.role(*k) == Some(wanted));
        let content = self.content(clause.clone());
        let hard = find(Role::Unknown(true));
        let soft = find(Role::Unknown(false)).or_else(|| find(Role::Either)).filter(|_| !content);
        let Some(k) = hard.or(soft) else { return false };
        let mut facts: Vec<FactId> = Vec::new();
        for k in clause.clone() {
            if let Piece::Hit(hit) = &self.lexemes[k].piece {
                let named = hit.names.iter().copied().chain(hit.values.iter().map(|(f, _)| *f));
                let means = hit.phrases.iter().flat_map(|p| self.listener.book.phrases[*p].means.iter().map(|(f, _)| *f));
                let first = self.context.asked.filter(|a| hit.names.contains(a)).or_else(|| means.chain(named).next());
                facts.extend(first.filter(|f| !facts.contains(f)));
            }
        }
        let at = self.at(k, k);
        // "lead, don't know": the name stands in the clause before.
        if facts.is_empty() && k > 1 && matches!(self.lexemes[clause.start.saturating_sub(1)].piece, Piece::Break) && clause.start >= 2 {
            let b = clause.start - 2;
            if let Piece::Hit(hit) = &self.lexemes[b].piece
                && !self.used[b]
                && self.picked(hit, false).is_empty()
                && let Some(f) = hit.names.first()
            {
                facts.push(*f);
                self.used[b] = true;
            }
        }
        if facts.is_empty() {
            self.said.push((at.start, Said::NotKnown { fact: self.context.asked, at }));
        } else {
            for fact in facts {
                self.said.push((at.start, Said::NotKnown { fact: Some(fact), at: at.clone() }));
            }
        }
        self.used[clause].fill(true);
        true
    }

    /// The yes or no that stands behind a thing and is said of it: "asbestos: no", "lead? yes", "asbestos none"; whether it is yes,
    /// whether it is sure, and where it ends. Without a sign between them it has to end the clause.
    pub(super) fn answered_behind(&self, k: usize, hit: &Hit, clause: Range<usize>) -> Option<(bool, bool, usize)> {
        let asks = k + 2 < clause.end && self.role(k + 1) == Some(Role::Asks);
        let says = !hit.values.is_empty() || !hit.phrases.is_empty();
        // "It's sound yes" says yes to something else, and of more than one thing it is not clear which is meant.
        let alone = says && k + 2 == clause.end && !clause.clone().any(|j| j < k && !self.is_small(j));
        let at = if asks { k + 2 } else { k + 1 };
        match self.role(at).filter(|_| asks || alone)? {
            Role::Yes(sure) => Some((true, sure, at)),
            Role::No(sure) => Some((false, sure, at)),
            Role::Nothing if alone => Some((false, true, at)),
            _ => None,
        }
    }

    /// A word that only joins others.
    fn is_small(&self, k: usize) -> bool {
        matches!(self.role(k), Some(Role::Filler | Role::Is | Role::Have))
    }

    /// A plain yes or no.
    pub(super) fn answer(&mut self, k: usize, yes: bool, sure: bool, first: bool, clause: Range<usize>) {
        // "no bother", "no worries": the no belongs to the word behind it.
        let behind = (k + 1..clause.end).find(|j| !matches!(self.role(*j), Some(Role::Filler | Role::Is | Role::Have)));
        let stranger = |j: usize| matches!(self.lexemes[j].piece, Piece::Unknown) || self.role(j) == Some(Role::Aside);
        if !yes && behind.is_some_and(stranger) {
            return;
        }
        let others = clause.clone().any(|j| match &self.lexemes[j].piece {
            Piece::Hit(h) => {
                let about_asked = self.context.asked.is_some_and(|a| h.names.contains(&a) || h.values.iter().any(|(f, _)| *f == a));
                let says = !h.values.is_empty() || !h.phrases.is_empty() || h.names.iter().any(|f| self.says_yes(*f));
                says && !about_asked
            }
            _ => false,
        });
        let fact = if others && !first {
            // "the kit said no" answers what the kit was asked, not what we asked.
            None
        } else {
            self.context.asked
        };
        let named = clause.clone().find_map(|j| match &self.lexemes[j].piece {
            Piece::Hit(h) if h.values.is_empty() => h.names.iter().copied().find(|f| self.says_yes(*f)).map(|f| (f, j)),
            _ => None,
        });
        let (fact, at) = match (fact, named) {
            (asked, Some((named, j))) if asked.is_none_or(|a| a == named || !first) => {
                // "There is … no …": the no holds.
                if yes && (k.min(j)..k.max(j)).any(|n| matches!(self.role(n), Some(Role::Not | Role::No(_)))) {
                    return;
                }
                self.used[j] = true;
                (named, self.at(k.min(j), k.max(j)))
            }
            (Some(asked), _) => (asked, self.at(k, k)),
            (None, _) => {
                // What the words leave open has been said; the yes or no was heard.
                self.used[k] |= clause.into_iter().any(|j| match &self.lexemes[j].piece {
                    Piece::Hit(h) => h.phrases.iter().any(|p| !self.listener.book.phrases[*p].does_not_settle.is_empty()),
                    _ => false,
                });
                return;
            }
        };
        let sure = sure && !self.doubt[k];
        if let Some(reading) = self.yes_no(fact, yes, sure) {
            self.used[k] = true;
            self.state(fact, None, vec![reading], at);
        }
    }

    /// Whether a fact answers to yes and no.
    pub(super) fn says_yes(&self, fact: FactId) -> bool {
        matches!(self.kind(fact), FactKind::YesNo) || self.listener.index.answer(fact, true).is_some()
    }

    pub(super) fn yes_no(&self, fact: FactId, yes: bool, sure: bool) -> Option<Reading> {
        match self.kind(fact) {
            FactKind::YesNo => self.maker.choice(fact, if yes { flag::YES } else { flag::NO }, sure),
            FactKind::Several(_) if !yes => Some(self.maker.several(fact, 0, 0, true, sure)),
            _ => self.listener.index.answer(fact, yes).and_then(|i| self.maker.choice(fact, 1 << i, sure)),
        }
    }

    /// "Nothing", "none": of what is named beside it, else of what was asked; only where it stands by itself.
    pub(super) fn nothing(&mut self, k: usize, clause: Range<usize>) {
        let named_in = |s: &Self, range: Range<usize>| {
            range.into_iter().find_map(|j| match &s.lexemes[j].piece {
                Piece::Hit(h) if h.values.is_empty() && h.phrases.is_empty() => {
                    h.names.iter().copied().find(|f| s.says_yes(*f)).map(|f| (f, j))
                }
                _ => None,
            })
        };
        let before = self.clauses().into_iter().rev().find(|c| c.end <= clause.start).filter(|c| !self.content(c.clone()));
        let named = named_in(self, clause.clone()).or_else(|| before.and_then(|c| named_in(self, c)));
        if let Some((fact, j)) = named.filter(|(f, _)| Some(*f) != self.context.asked) {
            if let Some(reading) = self.yes_no(fact, false, !self.doubt[k]) {
                self.used[k] = true;
                self.used[j] = true;
                self.state(fact, None, vec![reading], self.at(k.min(j), k.max(j)));
            }
            return;
        }
        let Some(asked) = self.context.asked else { return };
        if !clause.clone().all(|j| j == k || self.says_little(j)) {
            return;
        }
        // "Nothing at all, open field" is no answer to a question for yes or no.
        let more = self.clauses().len() > 1 && matches!(self.kind(asked), FactKind::YesNo);
        if more && self.words_at(k).to_lowercase().starts_with("nothing") {
            return;
        }
        let at = self.at(k, k);
        if Some(asked) == self.listener.kind || Some(asked) == self.listener.layers {
            self.used[k] = true;
            self.said.push((at.start, Said::Coats(Vec::new())));
        } else if let Some(reading) = self.yes_no(asked, false, !self.doubt[k]) {
            self.used[k] = true;
            self.state(asked, None, vec![reading], at);
        }
    }

    /// Whether a stretch beside "nothing" leaves it as it is.
    fn says_little(&self, k: usize) -> bool {
        const LITTLE: &[&str] = &[
            "really",
            "there",
            "here",
            "it",
            "at all",
            "actually",
            "well",
            "oh",
            "er",
            "um",
            "of",
            "the",
            "them",
            "those",
            "these",
            "that",
            "around",
            "about",
            "i'm",
            "mate",
            "in",
            "to",
            "is",
            "are",
            "there's",
            "there is",
            "there are",
            "it's",
            "got",
            "has",
            "have",
            "we",
            "we've",
            "i've",
            "found",
        ];
        match self.role(k) {
            Some(Role::Nothing | Role::No(true) | Role::Near | Role::Doubt | Role::Hearsay | Role::Just) => true,
            Some(_) => LITTLE.contains(&self.words_at(k).to_lowercase().as_str()),
            None => match &self.lexemes[k].piece {
                Piece::Hit(h) => h.names.iter().any(|f| Some(*f) == self.context.asked || Some(*f) == self.listener.layers),
                Piece::Break => true,
                _ => false,
            },
        }
    }

    /// "Consent not granted": no, where that asks for more care than to know nothing.
    pub(super) fn not_had(&mut self, k: usize, clause: Range<usize>) {
        let named = clause.clone().find_map(|j| match &self.lexemes[j].piece {
            Piece::Hit(h) if h.values.is_empty() && h.phrases.is_empty() => {
                h.names.iter().copied().find(|f| self.says_yes(*f)).map(|f| (f, j))
            }
            _ => None,
        });
        let Some((fact, j)) = named else { return };
        let eases = |r: &Reading| self.listener.book.base.vocabulary.get(fact).eased_by(&r.known);
        if let Some(reading) = self.yes_no(fact, false, !self.doubt[k]).filter(|r| !eases(r)) {
            self.used[clause].fill(true);
            self.state(fact, None, vec![reading], self.at(k.min(j), k.max(j)));
        }
    }

    /// "Not yet": no, where that asks for more care; else nothing, for it may come.
    pub(super) fn not_yet(&mut self, k: usize) {
        let Some(asked) = self.context.asked else { return };
        let fact = self.listener.book.base.vocabulary.get(asked);
        if matches!(fact.kind, FactKind::YesNo)
            && let Some(reading) = self.yes_no(asked, false, !self.doubt[k]).filter(|r| !fact.eased_by(&r.known))
        {
            self.used[k] = true;
            self.state(asked, None, vec![reading], self.at(k, k));
        }
    }

    /// Whether the line says that there is nothing else.
    pub(super) fn closes(&self) -> bool {
        const CLOSING: &[&str] =
            &["just", "only", "nothing but", "just the", "only the", "nothing else", "that's all", "that is all", "just a"];
        // "No storm drain, just a gully" puts one thing in the place of another.
        let instead = |k: usize| {
            (0..k).any(|j| {
                let end = (j..k).find(|i| self.is_break(*i)).unwrap_or(k);
                matches!(self.role(j), Some(Role::Not | Role::No(_))) && self.next_content(j + 1, end, 2).is_some()
            })
        };
        let closing = |k: usize| CLOSING.contains(&self.words_at(k).to_lowercase().as_str());
        let replaces = |k: usize| self.words_at(k).to_lowercase().starts_with("just") && instead(k);
        (0..self.lexemes.len()).any(|k| self.role(k) == Some(Role::Just) && closing(k) && !replaces(k))
    }

    /// "Nothing else" by itself closes the list that was asked for.
    pub(super) fn nothing_else(&mut self) {
        let Some(asked) = self.context.asked.filter(|a| self.is_several(*a)) else { return };
        let told = self.said.iter().any(|(_, s)| matches!(s, Said::Fact(f) if f.fact == asked));
        let closing = ["nothing else", "that's all", "that is all"];
        let Some(k) = (0..self.lexemes.len())
            .find(|k| self.role(*k) == Some(Role::Just) && closing.contains(&self.words_at(*k).to_lowercase().as_str()))
        else {
            return;
        };
        if !told {
            let reading = self.maker.several(asked, 0, 0, true, !self.doubt[k]);
            self.used[k] = true;
            self.state(asked, None, vec![reading], self.at(k, k));
        }
    }

    /// "Not pregnant but breastfeeding": behind a denial a bare name says that there is one, where that asks for more care.
    fn is_set_against(&self, k: usize, fact: FactId) -> bool {
        let Some(turn) = (0..k).rev().find(|j| !self.is_small(*j)).filter(|j| self.role(*j) == Some(Role::But)) else { return false };
        let denied = (0..turn).any(|j| matches!(self.role(j), Some(Role::Not | Role::No(_) | Role::Nothing)));
        let careful = |r: Reading| !self.listener.book.base.vocabulary.get(fact).eased_by(&r.known);
        denied && self.yes_no(fact, true, true).is_some_and(careful)
    }

    /// The name of a fact: there is one, or there is none.
    pub(super) fn names(&mut self, k: usize, hit: &Hit, bearing: Bearing) {
        let asked = self.context.asked.filter(|a| hit.names.contains(a));
        let fact = asked.or_else(|| hit.names.iter().copied().find(|f| self.says_yes(*f)));
        let Some(fact) = fact.filter(|f| self.says_yes(*f)) else { return };
        // The bare name says nothing unless it was asked for: to speak of consent is not to have it.
        let yes = if bearing.denied {
            false
        } else if bearing.so || asked.is_some() || self.is_set_against(k, fact) {
            true
        } else {
            return;
        };
        let about = self.listener.book.base.vocabulary.get(fact).about;
        let about_coat = about == About::Coat;
        if about_coat && (bearing.of == Of::Unplaced || (bearing.of == Of::Some && !yes)) {
            return;
        }
        if let Some(reading) = self.yes_no(fact, yes, !(self.doubt[k] || (about_coat && bearing.of == Of::Some))) {
            self.used[k] = true;
            self.state(fact, bearing.of.place(about), vec![reading], self.at(k, k));
        }
    }
}
