//! Words of the rule book: choices, entries and phrases, their alternatives and denials.

use super::index::Filled;
use super::lex::{Hit, Piece};
use super::sense::{Bearing, Of, Sense};
use super::tables::Role;
use super::{Reading, Said};
use crate::pack::Meant;
use crate::vocabulary::{About, FactId, FactKind, Known, lowest};
use std::ops::Range;

impl Sense<'_, '_> {
    /// Words of the rule book; gives the stretch behind what was taken in.
    pub(super) fn hit(&mut self, k: usize, hit: &Hit, bearing: Bearing, clause: Range<usize>) -> usize {
        let sure = !self.doubt[k];
        if hit.options {
            let reading = |(f, v): &(FactId, usize)| {
                if self.is_several(*f) {
                    Some(self.maker.several(*f, 1 << v, 0, self.closes(), sure))
                } else {
                    self.maker.choice(*f, 1 << v, sure)
                }
            };
            let readings = hit.values.iter().filter_map(reading).collect();
            self.used[k] = true;
            let about = self.listener.book.base.vocabulary.get(hit.values[0].0).about;
            self.state(hit.values[0].0, bearing.of.place(about), readings, self.at(k, k));
            return k + 1;
        }
        let asked = self.context.asked;
        let means_asked = |p: &&usize| self.listener.book.phrases[**p].means.iter().any(|(f, _)| Some(*f) == asked);
        let value_of_asked = hit.values.iter().any(|(f, _)| Some(*f) == asked);
        let several = hit.values.iter().any(|(f, _)| self.is_several(*f));
        let by_phrase =
            !hit.phrases.is_empty() && (hit.phrases.iter().any(|p| means_asked(&p)) || !(value_of_asked || (bearing.near && several)));
        if by_phrase {
            return self.phrases(k, hit, bearing, clause);
        }
        if !self.picked(hit, bearing.near).is_empty() {
            return self.values(k, hit, bearing, clause);
        }
        self.names(k, hit, bearing);
        if hit.names.is_empty()
            && let Some(method) = hit.methods.first()
        {
            let title = &self.listener.book.base.catalogue.entries(crate::catalogue::EntryKind::Method)[*method].title;
            let says = format!("That is a way of working ({title}): have it checked as a method for this surface.");
            let at = self.at(k, k);
            self.used[k] = true;
            self.said.push((at.start, Said::Remark { says, at }));
        }
        k + 1
    }

    /// Which values a word has here, by fact.
    pub(super) fn picked(&self, hit: &Hit, near: bool) -> Vec<(FactId, u128)> {
        let asked = self.context.asked;
        // "lead" is a metal that may be near, and the name of a question: without "near" it is not taken for either.
        let only_several = !hit.plain && hit.names.is_empty() && hit.values.iter().all(|(f, _)| self.is_several(*f));
        let asks_several = asked.is_some_and(|a| self.is_several(a) && hit.values.iter().any(|(f, _)| *f == a));
        let mut out: Vec<(FactId, u128)> = Vec::new();
        for (fact, value) in &hit.values {
            let several = self.is_several(*fact);
            let taken = if near || asks_several {
                several || !hit.values.iter().any(|(f, _)| self.is_several(*f))
            } else {
                !several || only_several
            };
            if !taken {
                continue;
            }
            match out.iter_mut().find(|(f, _)| f == fact) {
                Some((_, bits)) => *bits |= 1 << value,
                None => out.push((*fact, 1 << value)),
            }
        }
        if let Some(asked) = asked.filter(|a| out.iter().any(|(f, _)| f == a)) {
            // What was asked is answered; what the word means besides is left alone, but for what it says of the same coat.
            let about = self.listener.book.base.vocabulary.get(asked).about;
            out.retain(|(f, _)| *f == asked || (about == About::Coat && self.listener.book.base.vocabulary.get(*f).about == About::Coat));
        }
        out
    }

    /// Whether a fact says what the surface itself is: what is near it is something else.
    fn is_thing(&self, fact: FactId) -> bool {
        let vocabulary = &self.listener.book.base.vocabulary;
        let names = matches!(self.kind(fact), FactKind::Entry(_)) || vocabulary.iter().any(|(_, f)| f.counts == Some(fact));
        names && vocabulary.get(fact).about == About::Surface && self.context.asked != Some(fact)
    }

    fn values(&mut self, k: usize, hit: &Hit, bearing: Bearing, clause: Range<usize>) -> usize {
        let mut picked = self.picked(hit, bearing.near);
        // "drains or gardens", and what is not there.
        let near = bearing.near || picked.iter().any(|(f, _)| self.is_several(*f));
        let (mut last, mut next) = (k, k + 1);
        // "oak or pine"
        while let Some(or) = self.next_or(next, clause.end) {
            let Some(n) = self.next_content(or + 1, clause.end, 0) else { break };
            let Piece::Hit(other) = &self.lexemes[n].piece else { break };
            let mut joined = false;
            for (fact, bits) in &mut picked {
                if let Some(more) = self.bits_of(other, *fact, near) {
                    *bits |= more;
                    joined = true;
                }
            }
            if !joined {
                break;
            }
            picked.retain(|(f, _)| self.bits_of(other, *f, near).is_some());
            self.used[or..=n].fill(true);
            (last, next) = (n, n + 1);
        }
        let at = self.at(k, last);
        let sure = !self.doubt[k];
        let vocabulary = &self.listener.book.base.vocabulary;
        let choice_of_surface =
            picked.iter().any(|(f, _)| matches!(self.kind(*f), FactKind::Choice(_)) && vocabulary.get(*f).about == About::Surface);
        self.used[k] = true;
        for (fact, bits) in picked {
            let it = vocabulary.get(fact);
            // What stands next to a window is no window, and what is near marble is not made of it.
            if bearing.near && self.is_thing(fact) {
                let told =
                    k > 0 && matches!(&self.lexemes[k - 1].piece, Piece::Hit(h) if h.values.iter().any(|(f, _)| self.is_several(*f)));
                self.used[k] = told;
                continue;
            }
            let coat = bearing.of.place(it.about);
            if bearing.of == Of::Unplaced && it.about == About::Coat {
                self.used[k] = false;
                continue;
            }
            // "No lead flashing" tells what is not about, and nothing of what the surface is made of.
            let in_passing = matches!(it.kind, FactKind::Entry(_)) && it.about == About::Surface && self.context.asked != Some(fact);
            if bearing.denied && in_passing && k > 0 && self.low(k - 1).ends_with("no") && self.words_at(k).contains(' ') {
                self.used[k] = false;
                continue;
            }
            // "No red lead": of what is named more broadly elsewhere nothing is denied.
            if bearing.denied && hit.narrow && matches!(it.kind, FactKind::Entry(_)) {
                continue;
            }
            if self.is_several(fact) {
                // "No stained glass" leaves other glass: of a kind of the thing only that kind is denied.
                if bearing.denied && self.is_a_kind(k, fact, bits) {
                    self.used[k] = false;
                    continue;
                }
                let direct = self.context.asked == Some(fact);
                let (yes, no) = if bearing.denied { (0, bits) } else { (bits, 0) };
                let closed = direct && !bearing.denied && self.closes();
                let reading = self.maker.several(fact, yes, no, closed, sure);
                self.state(fact, coat, vec![reading], at.clone());
                continue;
            }
            let all = lowest(it.width(&self.listener.book.base.catalogue));
            let bits = if bearing.denied { all & !bits } else { bits };
            // What a part is called says only likely what it is made of.
            let implied = matches!(it.kind, FactKind::Entry(_)) && choice_of_surface && it.about == About::Surface;
            // That one coat of many is free of something says nothing of the others.
            let clears = bearing.of == Of::Some
                && it.about == About::Coat
                && self.listener.index.answer(fact, false).is_some_and(|i| bits >> i & 1 == 1);
            let sure = sure && !implied && !(bearing.of == Of::Some && it.about == About::Coat);
            if clears {
                self.used[k] = false;
            } else if let Some(reading) = self.maker.choice(fact, bits, sure) {
                // A single word for a thing may only be part of the talk: "the office keys".
                let stranger = |j: usize| matches!(self.lexemes[j].piece, Piece::Unknown);
                let amid = clause.contains(&(k + 1)) && stranger(k + 1) && (clause.start..k).any(stranger);
                if !bearing.denied && (self.context.asked != Some(fact) || amid) && !self.words_at(k).contains([' ', '-']) {
                    self.loose.push((fact, at.start));
                }
                self.state(fact, coat, vec![reading], at.clone());
            }
        }
        next
    }

    /// Whether words name a kind of what their last word names by itself: "storm drain" of "drain".
    fn is_a_kind(&self, k: usize, fact: FactId, bits: u128) -> bool {
        let words = self.words_at(k).to_lowercase();
        let Some((_, last)) = words.rsplit_once(' ') else { return false };
        let FactKind::Several(choices) = self.kind(fact) else { return false };
        let names = |c: usize| choices[c].says.iter().any(|s| s == last) || choices[c].id == last;
        (0..choices.len()).any(|c| bits >> c & 1 == 1 && names(c))
    }

    fn next_or(&self, from: usize, end: usize) -> Option<usize> {
        (from..end)
            .find(|k| !matches!(self.role(*k), Some(Role::Filler | Role::Aside | Role::Doubt)))
            .filter(|k| self.role(*k) == Some(Role::Or))
    }

    /// The choices of one fact that words stand for, by value or by phrase.
    pub(super) fn bits_of(&self, hit: &Hit, fact: FactId, near: bool) -> Option<u128> {
        let by_phrase = hit.phrases.iter().find_map(|p| {
            self.listener.book.phrases[*p].means.iter().find_map(|(f, m)| match m {
                Meant::Value { known: Known::Bits(bits), .. } if *f == fact => Some(*bits),
                _ => None,
            })
        });
        by_phrase.or_else(|| self.picked(hit, near).into_iter().find(|(f, _)| *f == fact).map(|(_, bits)| bits))
    }

    /// Phrases: what they mean, what they have to say, and what they leave open.
    fn phrases(&mut self, k: usize, hit: &Hit, bearing: Bearing, clause: Range<usize>) -> usize {
        let book = self.listener.book;
        let (mut last, mut next) = (k, k + 1);
        self.used[k] = true;
        let at = self.at(k, k);
        let mut stated: Vec<(FactId, Vec<Reading>)> = Vec::new();
        for p in &hit.phrases {
            let phrase = &book.phrases[*p];
            let only_likely = phrase.likely && !bearing.denied;
            let sure = !(self.doubt[k] || only_likely || hit.elsewhere || bearing.of == Of::Some);
            for (fact, meant) in &phrase.means {
                if bearing.near && self.is_thing(*fact) {
                    continue;
                }
                // "Not leaded glass": of a kind of the thing only that kind is denied.
                if let Meant::Value { known: Known::Several { yes, .. }, .. } = meant
                    && bearing.denied
                    && self.is_a_kind(k, *fact, *yes)
                {
                    self.used[k] = false;
                    continue;
                }
                let fact = &self.counted(*fact, meant);
                let readings = match meant {
                    Meant::Slot if self.one_of_many(*fact, hit.filled.as_ref()) => Vec::new(),
                    Meant::Slot => self.filled(*fact, hit.filled.as_ref(), sure),
                    Meant::Value { known, toml } => self.meant(*fact, known, toml, sure, bearing.denied),
                };
                match stated.iter_mut().find(|(f, _)| f == fact) {
                    Some((_, all)) => all.extend(readings),
                    None => stated.push((*fact, readings)),
                }
            }
            if let Some(coats) = phrase.coats.as_ref().filter(|_| !bearing.denied) {
                self.coats_of(coats, sure, &at);
            }
            if let Some(says) = &phrase.remark
                && !bearing.denied
            {
                self.said.push((at.start, Said::Remark { says: says.clone(), at: at.clone() }));
            }
        }
        // "brick or render"
        while let Some(or) = self.next_or(next, clause.end) {
            let Some(n) = self.next_content(or + 1, clause.end, 0) else { break };
            let Piece::Hit(other) = self.lexemes[n].piece.clone() else { break };
            let mut joined = false;
            for (fact, readings) in &mut stated {
                if let (Some(more), [Reading { known: Known::Bits(bits), sure, .. }]) =
                    (self.bits_of(&other, *fact, false), readings.as_slice())
                {
                    let whole = self.maker.choice(*fact, bits | more, *sure);
                    *readings = whole.into_iter().collect();
                    joined = true;
                }
            }
            if !joined {
                break;
            }
            self.used[or..=n].fill(true);
            (last, next) = (n, n + 1);
        }
        let at = self.at(k, last);
        // What a house pack says more gently than it would be, or in words that hold others', is for the person to confirm.
        let house = hit.phrases.iter().any(|p| book.phrases[*p].house);
        for (fact, mut readings) in stated {
            if house && (hit.swallows || readings.iter().any(|r| book.base.vocabulary.get(fact).eased_by(&r.known))) {
                self.confirm.push((fact, at.start));
            }
            readings.dedup_by(|a, b| a.known == b.known);
            let coat = bearing.of.place(book.base.vocabulary.get(fact).about);
            self.state(fact, coat, readings, at.clone());
        }
        next
    }

    /// "8 of them" behind talk of coats counts those.
    fn counted(&self, fact: FactId, meant: &Meant) -> FactId {
        let Some(counts) = self.listener.book.base.vocabulary.get(fact).counts.filter(|_| matches!(meant, Meant::Slot)) else {
            return fact;
        };
        let hits = || self.lexemes.iter().filter_map(|l| if let Piece::Hit(h) = &l.piece { Some(h) } else { None });
        let coats = hits().any(|h| h.names.iter().any(|f| Some(*f) == self.listener.layers));
        let things = hits().any(|h| h.values.iter().any(|(f, _)| *f == counts));
        self.listener.layers.filter(|_| coats && !things).unwrap_or(fact)
    }

    /// "One of them" is no count.
    fn one_of_many(&self, fact: FactId, filled: Option<&Filled>) -> bool {
        let counts = self.listener.book.base.vocabulary.get(fact).counts.is_some();
        let one = matches!(filled, Some(Filled::Measure(m)) if matches!(&m.shape, super::sizes::Shape::Span(a, None) if a.low == 1.0 && a.high == 1.0));
        counts && one
    }

    /// What a phrase means of a fact, or all but that.
    fn meant(&self, fact: FactId, known: &Known, toml: &str, sure: bool, denied: bool) -> Vec<Reading> {
        let book = self.listener.book;
        let it = book.base.vocabulary.get(fact);
        match (known, denied) {
            (Known::Bits(bits), true) => {
                self.maker.choice(fact, lowest(it.width(&book.base.catalogue)) & !bits, sure).into_iter().collect()
            }
            (Known::Bits(bits), false) => self.maker.choice(fact, *bits, sure).into_iter().collect(),
            (Known::Several { yes, no: _ }, true) => vec![self.maker.several(fact, 0, *yes, false, sure)],
            (Known::Several { yes, no }, false) => vec![self.maker.several(fact, *yes, *no, false, sure)],
            (Known::Num(_), true) => Vec::new(),
            (Known::Num(_), false) => {
                let system = self.context.system.unwrap_or(crate::quantity::System::Metric);
                vec![Reading { known: known.clone(), toml: toml.to_owned(), echo: it.show(known, &book.base.catalogue, system), sure }]
            }
        }
    }

    pub(super) fn filled(&self, fact: FactId, filled: Option<&Filled>, sure: bool) -> Vec<Reading> {
        match filled {
            Some(Filled::Years(years)) => self.maker.years(fact, years, sure),
            Some(Filled::Measure(measure)) => self.maker.number(fact, measure, sure).unwrap_or_default(),
            None => Vec::new(),
        }
    }
}
