//! Figures and years: which fact they belong to.

use super::Said;
use super::lex::Piece;
use super::readings::Maker;
use super::sense::{Bearing, Of, Sense};
use super::sizes::{Measure, Shape};
use super::tables::Role;
use super::years::Years;
use crate::pack::Slot;
use crate::vocabulary::{About, FactId, FactKind};
use std::ops::Range;

impl Sense<'_, '_> {
    /// The fact of a clause that figures of a dimension belong to, nearest first.
    fn named_for(&self, k: usize, clause: Range<usize>, fits: impl Fn(FactId) -> bool) -> Option<(FactId, usize)> {
        let mut best: Option<(usize, FactId, usize)> = None;
        for j in clause {
            if let Piece::Hit(hit) = &self.lexemes[j].piece
                && let Some(fact) = hit.names.iter().copied().find(|f| fits(*f))
            {
                // What follows is nearer than what stands as far before.
                let distance = if j > k { (j - k) * 2 } else { (k - j) * 2 + 1 };
                if best.is_none_or(|(d, ..)| distance < d) {
                    best = Some((distance, fact, j));
                }
            }
        }
        best.map(|(_, f, j)| (f, j))
    }

    pub(super) fn measure(&mut self, k: usize, measure: &Measure, bearing: Bearing, clause: Range<usize>) {
        let vocabulary = &self.listener.book.base.vocabulary;
        let dimension = measure.dimension();
        let plain = measure.is_plain();
        let fits = |f: FactId| match &vocabulary.get(f).kind {
            FactKind::Number { unit, .. } => match dimension {
                Some(d) => unit.dimension == d,
                None => !matches!(measure.shape, Shape::Many) || unit.dimension.is_number(),
            },
            _ => false,
        };
        // "six panelled doors": a number counts what follows it; "a pair of oak doors" counts no oak.
        let after = |from: usize| {
            self.next_content(from, clause.end, 2).filter(|_| plain).and_then(|n| match &self.lexemes[n].piece {
                Piece::Hit(h) => Some((n, h.clone())),
                _ => None,
            })
        };
        let behind = after(k + 1);
        let further = behind.as_ref().filter(|(n, _)| *n == k + 1 && clause.contains(&(k + 2))).and_then(|(n, _)| after(n + 1));
        let counted = |(n, h): &(usize, super::lex::Hit)| {
            let of = |f: FactId| vocabulary.iter().find(|(_, c)| c.counts == Some(f)).map(|(id, _)| id);
            let means = h.phrases.iter().flat_map(|p| self.listener.book.phrases[*p].means.iter().map(|(f, _)| *f));
            h.values.iter().map(|(f, _)| *f).chain(means).find_map(of).map(|c| (c, *n))
        };
        let counter = behind.as_ref().and_then(counted);
        let further = if counter.is_none() { further.as_ref().and_then(counted).map(|(c, _)| (c, k)) } else { None };
        let counter = counter.or(further);
        // "two children": some there are.
        let yes_no = |f: &FactId| matches!(vocabulary.get(*f).kind, FactKind::YesNo);
        let there = behind.as_ref().and_then(|(n, h)| {
            let means = h.phrases.iter().flat_map(|p| self.listener.book.phrases[*p].means.iter().map(|(f, _)| *f));
            let fact = means.chain(h.names.iter().copied()).find(yes_no)?;
            h.values.is_empty().then_some((fact, *n, h.phrases.is_empty()))
        });
        let named = self.named_for(k, clause.clone(), fits);
        let asked = self.context.asked.filter(|f| fits(*f));
        let mut likely = false;
        let only_one = dimension.is_some_and(|d| !d.is_number());
        let (fact, upto) = if let Some((c, n)) = counter {
            for j in k..n {
                self.used[j] = true;
            }
            (c, n)
        } else if let (Some((f, n, named_only)), true) = (there, asked.is_none()) {
            let none = matches!(&measure.shape, Shape::Span(a, _) if a.high == 0.0);
            self.used[k] = true;
            // A phrase says it itself, but for "no such".
            if (named_only || none)
                && let Some(reading) = self.yes_no(f, !none, !self.doubt[k])
            {
                self.used[k..=n].fill(true);
                self.state(f, None, vec![reading], self.at(k, n));
            }
            return;
        } else if let Some((f, j)) = named {
            self.used[j] = true;
            (f, j)
        } else if let Some(f) = asked {
            (f, k)
        } else {
            let slot = dimension.and_then(Maker::slot_of);
            match slot.and_then(|s| self.default(s)) {
                Some((f, only_likely)) => {
                    likely = only_likely || self.strange(clause);
                    (f, k)
                }
                None => match only_one.then(|| self.only_one(fits)).flatten() {
                    Some(f) => (f, k),
                    None => return,
                },
            }
        };
        if bearing.denied || (bearing.of == Of::Unplaced && vocabulary.get(fact).about == About::Coat) {
            return;
        }
        let at = self.at(k.min(upto), k.max(upto));
        match self.maker.number(fact, measure, !self.doubt[k] && !likely) {
            Ok(readings) if !readings.is_empty() => {
                self.used[k] = true;
                self.state(fact, bearing.of.place(vocabulary.get(fact).about), readings, at);
            }
            Ok(_) => {}
            // Only where the figure was plainly meant for this fact.
            Err(says) if named.is_some() || asked.is_some() || counter.is_some() => {
                self.used[k] = true;
                self.said.push((at.start, Said::Remark { says, at }));
            }
            Err(_) => {}
        }
    }

    /// The only fact that is measured in such a unit.
    fn only_one(&self, fits: impl Fn(FactId) -> bool) -> Option<FactId> {
        let mut found = self.listener.book.base.vocabulary.iter().filter(|(f, it)| !it.chosen && fits(*f)).map(|(f, _)| f);
        found.next().filter(|_| found.next().is_none())
    }

    /// Whether a clause holds words nothing is known of: what its figures are about is then only likely.
    fn strange(&self, clause: Range<usize>) -> bool {
        clause.into_iter().any(|k| matches!(self.lexemes[k].piece, Piece::Unknown))
    }

    /// What figures alone say, by the phrases of the rule book.
    fn default(&self, slot: Slot) -> Option<(FactId, bool)> {
        let phrases = &self.listener.book.phrases;
        self.listener
            .index
            .defaults
            .iter()
            .find(|(s, _)| *s == slot)
            .and_then(|(_, p)| phrases[*p].means.first().map(|(f, _)| (*f, phrases[*p].likely)))
    }

    pub(super) fn years(&mut self, k: usize, years: &Years, bearing: Bearing, clause: Range<usize>) {
        let is_year = |f: FactId| matches!(self.kind(f), FactKind::Year { .. });
        let named = self.named_for(k, clause.clone(), is_year);
        let fact =
            named.map(|(f, _)| f).or(self.context.asked.filter(|f| is_year(*f))).or_else(|| self.default(Slot::Year).map(|(f, _)| f));
        let Some(fact) = fact.filter(|_| !bearing.denied) else { return };
        // "Been there since 1890" tells when it came at the latest, and nothing of a year that was not asked for.
        let since = self.words_at(k).to_lowercase().starts_with("since");
        let built = clause.clone().any(|j| j < k && self.words_at(j).to_lowercase().starts_with("built"));
        if since && named.is_none() && k > clause.start && !built && self.context.asked != Some(fact) {
            return;
        }
        if named.is_none() && self.context.asked != Some(fact) && self.dates_another(k, clause.clone()) {
            return;
        }
        let plainly = named.is_some() || self.context.asked == Some(fact) || !self.strange(clause);
        let readings = self.maker.years(fact, years, !self.doubt[k] && plainly);
        if !readings.is_empty() {
            self.used[k] = true;
            if let Some((_, j)) = named {
                self.used[j] = true;
            }
            self.state(fact, None, readings, self.at(k, k));
        }
    }

    /// Whether a year that nobody asked for is said of something else: what was removed, listed or bought in it.
    fn dates_another(&self, k: usize, clause: Range<usize>) -> bool {
        // Words that say nothing elsewhere, and before a year say what was done in it.
        const DONE: &[&str] = &["painted", "coated", "done", "put", "paint", "job", "work", "made", "last", "again", "kept", "left"];
        const WHEN: &[&str] = &["in", "back in", "during"];
        const BOUND: &[&str] = &["since", "by", "before", "after", "until", "till", "up to", "around", "about"];
        let done = |j: usize| match &self.lexemes[j].piece {
            Piece::Unknown => true,
            Piece::Role(Role::Filler | Role::Aside) => DONE.contains(&self.words_at(j).to_lowercase().as_str()),
            _ => false,
        };
        let of_a_year = |j: usize| match &self.lexemes[j].piece {
            Piece::Hit(h) => {
                let year = |f: &FactId| matches!(self.kind(*f), FactKind::Year { .. });
                let means = h.phrases.iter().flat_map(|p| self.listener.book.phrases[*p].means.iter().map(|(f, _)| f));
                h.names.iter().chain(h.values.iter().map(|(f, _)| f)).chain(means).any(year)
            }
            _ => false,
        };
        let others = || clause.clone().filter(|j| *j != k && !of_a_year(*j));
        let before = if k > clause.start { self.words_at(k - 1).to_lowercase() } else { String::new() };
        let words = self.words_at(k).to_lowercase();
        let when = |w: &&str| before == *w || before.ends_with(&format!(" {w}")) || words.starts_with(&format!("{w} "));
        if WHEN.iter().any(when) {
            return others().any(|j| done(j) || matches!(self.lexemes[j].piece, Piece::Hit(_)));
        }
        if BOUND.iter().any(|b| words.starts_with(b)) && others().any(|j| j < k && done(j)) {
            return true;
        }
        // "Rewired 1990", "painted 1985".
        k > clause.start && done(k - 1) && (before.ends_with("ed") || !matches!(self.lexemes[k - 1].piece, Piece::Unknown))
    }
}
