//! From stretches of the line to statements: who denies what, what a figure counts, what is in doubt.

use super::index::Filled;
use super::lex::{Hit, Lexeme, Piece, Which};
use super::readings::Maker;
use super::sizes::Measure;
use super::tables::Role;
use super::years::Years;
use super::{Context, Heard, Listener, Reading, Said, Statement};
use crate::pack::{Meant, Slot};
use crate::vocabulary::{About, FactId, FactKind, Known, flag, lowest};
use std::ops::Range;

/// What is made of one line.
pub(super) struct Sense<'a, 'b> {
    pub(super) listener: &'a Listener<'b>,
    pub(super) context: &'a Context,
    line: &'a str,
    pub(super) maker: Maker<'a>,
    pub(super) lexemes: Vec<Lexeme>,
    pub(super) used: Vec<bool>,
    /// Whether the speaker is in doubt there.
    pub(super) doubt: Vec<bool>,
    /// What was said, and where it begins.
    pub(super) said: Vec<(usize, Said)>,
    /// What is not taken from this line.
    unsettled: Vec<(FactId, Known)>,
}

/// What stands before a word and bears on it.
#[derive(Debug, Clone, Copy, Default)]
struct Bearing {
    denied: bool,
    near: bool,
    so: bool,
    coat: Option<usize>,
    /// A coat was named whose place is not known.
    no_coat: bool,
}

impl<'a, 'b> Sense<'a, 'b> {
    pub(super) fn new(listener: &'a Listener<'b>, context: &'a Context, line: &'a str, lexemes: Vec<Lexeme>) -> Self {
        let maker = Maker { base: &listener.book.base, context };
        let n = lexemes.len();
        Self {
            listener,
            context,
            line,
            maker,
            lexemes,
            used: vec![false; n],
            doubt: vec![false; n],
            said: Vec::new(),
            unsettled: Vec::new(),
        }
    }

    /// Makes statements of the whole line.
    pub(super) fn make(mut self) -> Heard {
        let clauses = self.clauses();
        self.find_doubt(&clauses);
        self.coats();
        for clause in clauses {
            self.clause(clause);
        }
        self.finish()
    }

    pub(super) fn role(&self, k: usize) -> Option<Role> {
        match self.lexemes.get(k)?.piece {
            Piece::Role(role) => Some(role),
            _ => None,
        }
    }

    fn is_break(&self, k: usize) -> bool {
        matches!(self.lexemes[k].piece, Piece::Break) || self.role(k) == Some(Role::But)
    }

    fn clauses(&self) -> Vec<Range<usize>> {
        let mut out = Vec::new();
        let mut from = 0;
        for k in 0..=self.lexemes.len() {
            if k == self.lexemes.len() || self.is_break(k) {
                if from < k {
                    out.push(from..k);
                }
                from = k + 1;
            }
        }
        out
    }

    /// Whether something in a clause can be a statement.
    fn content(&self, clause: Range<usize>) -> bool {
        clause.into_iter().any(|k| match &self.lexemes[k].piece {
            Piece::Hit(hit) => !(hit.values.is_empty() && hit.phrases.is_empty()),
            Piece::Measure(_) | Piece::Years(_) => true,
            _ => false,
        })
    }

    /// Doubt reaches over its clause; a clause of nothing but doubt over the one before.
    fn find_doubt(&mut self, clauses: &[Range<usize>]) {
        for (c, clause) in clauses.iter().enumerate() {
            let doubtful = |k: usize| matches!(self.role(k), Some(Role::Doubt | Role::Unknown(_)));
            let doubt = clause.clone().any(doubtful);
            if !doubt {
                continue;
            }
            let alone = clause.clone().all(|k| doubtful(k) || matches!(self.role(k), Some(Role::Filler | Role::Is | Role::Have)));
            if alone && c > 0 && self.content(clauses[c - 1].clone()) {
                self.doubt[clauses[c - 1].clone()].fill(true);
                self.used[clause.clone()].fill(true);
            }
            self.doubt[clause.clone()].fill(true);
        }
    }

    fn at(&self, from: usize, to: usize) -> Range<usize> {
        self.lexemes[from].at.start..self.lexemes[to].at.end
    }

    /// What was typed where a slip was mended, for reading back.
    fn typed(&self, at: &Range<usize>) -> Option<&'a str> {
        let slip = self.lexemes.iter().any(|l| l.mended && at.start <= l.at.start && l.at.end <= at.end);
        self.line.get(at.clone()).filter(|_| slip)
    }

    pub(super) fn state(&mut self, fact: FactId, coat: Option<usize>, mut readings: Vec<Reading>, at: Range<usize>) {
        if let Some(typed) = self.typed(&at) {
            for reading in &mut readings {
                reading.echo = format!("{} (typed as “{typed}”)", reading.echo);
            }
        }
        if !readings.is_empty() {
            self.said.push((at.start, Said::Fact(Statement { fact, coat, readings, at })));
        }
    }

    fn kind(&self, fact: FactId) -> &'a FactKind {
        &self.listener.book.base.vocabulary.get(fact).kind
    }

    fn is_several(&self, fact: FactId) -> bool {
        matches!(self.kind(fact), FactKind::Several(_))
    }

    /// The next stretch of a clause that is more than a small word.
    fn next_content(&self, from: usize, end: usize, strangers: usize) -> Option<usize> {
        let mut left = strangers;
        for k in from..end {
            match &self.lexemes[k].piece {
                Piece::Role(Role::Filler | Role::Is | Role::Have | Role::Doubt | Role::Near) => {}
                Piece::Unknown if left > 0 => left -= 1,
                Piece::Hit(_) | Piece::Measure(_) | Piece::Years(_) | Piece::Coat(_) => return Some(k),
                _ => return None,
            }
        }
        None
    }

    fn clause(&mut self, clause: Range<usize>) {
        if self.not_known(clause.clone()) {
            return;
        }
        let mut bearing = Bearing::default();
        let mut k = clause.start;
        let begin = clause.clone().find(|k| !matches!(self.role(*k), Some(Role::Filler | Role::Doubt | Role::Is)));
        while k < clause.end {
            if self.used[k] {
                k += 1;
                continue;
            }
            let mut next = k + 1;
            match self.lexemes[k].piece.clone() {
                Piece::Role(role) => match role {
                    Role::Not | Role::No(_) if self.next_content(k + 1, clause.end, 1).is_some() => {
                        bearing.denied = true;
                        self.used[k] = true;
                        // "no, …" has its comma; "no tenants there" denies tenants and answers nothing.
                    }
                    Role::Yes(sure) => self.answer(k, true, sure, begin == Some(k), clause.clone()),
                    Role::No(sure) => self.answer(k, false, sure, begin == Some(k), clause.clone()),
                    Role::Not => self.answer(k, false, true, begin == Some(k), clause.clone()),
                    Role::Nothing => self.nothing(k, clause.clone()),
                    Role::Near => {
                        bearing.near = true;
                        self.used[k] = true;
                    }
                    Role::Over | Role::On | Role::Under | Role::Beneath => {
                        if let Some(n) = self.next_content(k + 1, clause.end, 0)
                            && let Piece::Hit(hit) = &self.lexemes[n].piece
                            && hit.values.iter().any(|(f, _)| self.is_several(*f))
                            && role != Role::On
                        {
                            bearing.near = true;
                        }
                        self.used[k] = true;
                    }
                    Role::Have | Role::Is => {
                        bearing.so = true;
                        self.used[k] = true;
                    }
                    Role::And => {
                        bearing.denied = false;
                        self.used[k] = true;
                    }
                    Role::Filler => self.used[k] = true,
                    _ => self.used[k] = true,
                },
                Piece::Hit(hit) => {
                    next = self.hit(k, &hit, bearing, clause.clone());
                    bearing.so = false;
                    let more = self.role(next).filter(|r| matches!(r, Role::Or)).is_some();
                    bearing.denied &= more;
                    let near = hit.values.iter().any(|(f, _)| self.is_several(*f));
                    bearing.near &= near;
                }
                Piece::Measure(measure) => {
                    self.measure(k, &measure, bearing, clause.clone());
                    bearing.so = false;
                }
                Piece::Years(years) => {
                    self.years(k, &years, bearing, clause.clone());
                    bearing.so = false;
                }
                Piece::Coat(which) => {
                    self.used[k] = true;
                    bearing.no_coat = false;
                    bearing.coat = match which {
                        Which::All => None,
                        Which::Nth(n) => Some(n),
                        Which::Bottom => {
                            bearing.no_coat = self.context.coats.is_none_or(|n| n == 0);
                            self.context.coats.filter(|n| *n > 0).map(|n| n - 1)
                        }
                    };
                }
                Piece::Unknown => {
                    bearing.so = false;
                }
                Piece::Break => self.used[k] = true,
            }
            k = next.max(k + 1);
        }
        self.name_only(clause);
    }

    /// Names of facts that something was said about in their clause have done their work.
    fn name_only(&mut self, clause: Range<usize>) {
        let bytes = self.at(clause.start, clause.end - 1);
        let stated: Vec<FactId> = self
            .said
            .iter()
            .filter_map(|(_, s)| match s {
                Said::Fact(s) if s.at.start < bytes.end && bytes.start < s.at.end => Some(s.fact),
                _ => None,
            })
            .collect();
        for k in clause {
            if let Piece::Hit(hit) = &self.lexemes[k].piece
                && hit.values.is_empty()
                && hit.phrases.is_empty()
                && (hit.names.iter().any(|f| stated.contains(f) || Some(*f) == self.context.asked || Some(*f) == self.listener.kind))
            {
                self.used[k] = true;
            }
        }
    }

    /// A clause that says that something is not known.
    fn not_known(&mut self, clause: Range<usize>) -> bool {
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
                && hit.values.is_empty()
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

    /// A plain yes or no.
    fn answer(&mut self, k: usize, yes: bool, sure: bool, first: bool, clause: Range<usize>) {
        let others = clause.clone().any(|j| match &self.lexemes[j].piece {
            Piece::Hit(h) => {
                let about_asked = self.context.asked.is_some_and(|a| h.names.contains(&a) || h.values.iter().any(|(f, _)| *f == a));
                !about_asked && !(h.values.is_empty() && h.phrases.is_empty() && h.names.iter().all(|f| !self.says_yes(*f)))
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
                self.used[j] = true;
                (named, self.at(k.min(j), k.max(j)))
            }
            (Some(asked), _) => (asked, self.at(k, k)),
            (None, _) => return,
        };
        let sure = sure && !self.doubt[k];
        if let Some(reading) = self.yes_no(fact, yes, sure) {
            self.used[k] = true;
            self.state(fact, None, vec![reading], at);
        }
    }

    /// Whether a fact answers to yes and no.
    fn says_yes(&self, fact: FactId) -> bool {
        matches!(self.kind(fact), FactKind::YesNo) || self.listener.index.answer(fact, true).is_some()
    }

    fn yes_no(&self, fact: FactId, yes: bool, sure: bool) -> Option<Reading> {
        match self.kind(fact) {
            FactKind::YesNo => self.maker.choice(fact, if yes { flag::YES } else { flag::NO }, sure),
            FactKind::Several(_) if !yes => Some(self.maker.several(fact, 0, 0, true, sure)),
            _ => self.listener.index.answer(fact, yes).and_then(|i| self.maker.choice(fact, 1 << i, sure)),
        }
    }

    /// "Nothing", "none": of what was asked.
    fn nothing(&mut self, k: usize, clause: Range<usize>) {
        let Some(asked) = self.context.asked else { return };
        if clause.clone().any(|j| matches!(self.lexemes[j].piece, Piece::Unknown)) {
            return;
        }
        let at = self.at(k, k);
        if Some(asked) == self.listener.kind {
            self.used[k] = true;
            self.said.push((at.start, Said::Coats(Vec::new())));
        } else if let Some(reading) = self.yes_no(asked, false, !self.doubt[k]) {
            self.used[k] = true;
            self.state(asked, None, vec![reading], at);
        }
    }

    /// Words of the rule book; gives the stretch behind what was taken in.
    fn hit(&mut self, k: usize, hit: &Hit, bearing: Bearing, clause: Range<usize>) -> usize {
        let sure = !self.doubt[k];
        if hit.options {
            let readings = hit.values.iter().filter_map(|(f, v)| self.maker.choice(*f, 1 << v, sure)).collect();
            self.used[k] = true;
            self.state(hit.values[0].0, bearing.coat, readings, self.at(k, k));
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
        if !hit.values.is_empty() {
            return self.values(k, hit, bearing, clause);
        }
        self.names(k, hit, bearing);
        k + 1
    }

    /// Which values a word has here, by fact.
    fn picked(&self, hit: &Hit, near: bool) -> Vec<(FactId, u128)> {
        let asked = self.context.asked;
        let only_several = hit.values.iter().all(|(f, _)| self.is_several(*f));
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

    fn values(&mut self, k: usize, hit: &Hit, bearing: Bearing, clause: Range<usize>) -> usize {
        let mut picked = self.picked(hit, bearing.near);
        let (mut last, mut next) = (k, k + 1);
        // "oak or pine"
        loop {
            let Some(or) = self.next_or(next, clause.end) else { break };
            let Some(n) = self.next_content(or + 1, clause.end, 0) else { break };
            let Piece::Hit(other) = &self.lexemes[n].piece else { break };
            let mut joined = false;
            for (fact, bits) in &mut picked {
                if let Some(more) = self.bits_of(other, *fact, bearing.near) {
                    *bits |= more;
                    joined = true;
                }
            }
            if !joined {
                break;
            }
            picked.retain(|(f, _)| self.bits_of(other, *f, bearing.near).is_some());
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
            let coat = bearing.coat.filter(|_| it.about == About::Coat);
            if bearing.no_coat && it.about == About::Coat {
                self.used[k] = false;
                continue;
            }
            if self.is_several(fact) {
                let direct = self.context.asked == Some(fact);
                let (yes, no) = if bearing.denied { (0, bits) } else { (bits, 0) };
                let reading = self.maker.several(fact, yes, no, direct && !bearing.denied, sure);
                self.state(fact, coat, vec![reading], at.clone());
                continue;
            }
            let all = lowest(it.width(&self.listener.book.base.catalogue));
            let bits = if bearing.denied { all & !bits } else { bits };
            // What a part is called says only likely what it is made of.
            let implied = matches!(it.kind, FactKind::Entry(_)) && choice_of_surface && it.about == About::Surface;
            if let Some(reading) = self.maker.choice(fact, bits, sure && !implied) {
                self.state(fact, coat, vec![reading], at.clone());
            }
        }
        next
    }

    fn next_or(&self, from: usize, end: usize) -> Option<usize> {
        (from..end).find(|k| !matches!(self.role(*k), Some(Role::Filler | Role::Doubt))).filter(|k| self.role(*k) == Some(Role::Or))
    }

    /// The choices of one fact that words stand for, by value or by phrase.
    fn bits_of(&self, hit: &Hit, fact: FactId, near: bool) -> Option<u128> {
        if let Some((_, bits)) = self.picked(hit, near).into_iter().find(|(f, _)| *f == fact) {
            return Some(bits);
        }
        hit.phrases.iter().find_map(|p| {
            self.listener.book.phrases[*p].means.iter().find_map(|(f, m)| match m {
                Meant::Value { known: Known::Bits(bits), .. } if *f == fact => Some(*bits),
                _ => None,
            })
        })
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
            let sure = !self.doubt[k] && !phrase.likely;
            for (fact, meant) in &phrase.means {
                let readings = match meant {
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
            if !bearing.denied {
                self.unsettled.extend(phrase.does_not_settle.iter().cloned());
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
        for (fact, mut readings) in stated {
            readings.dedup_by(|a, b| a.known == b.known);
            let coat = bearing.coat.filter(|_| book.base.vocabulary.get(fact).about == About::Coat);
            self.state(fact, coat, readings, at.clone());
        }
        next
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

    fn filled(&self, fact: FactId, filled: Option<&Filled>, sure: bool) -> Vec<Reading> {
        match filled {
            Some(Filled::Years(years)) => self.maker.years(fact, years, sure),
            Some(Filled::Measure(measure)) => self.maker.number(fact, measure, sure).unwrap_or_default(),
            None => Vec::new(),
        }
    }

    /// The name of a fact: there is one, or there is none.
    fn names(&mut self, k: usize, hit: &Hit, bearing: Bearing) {
        let asked = self.context.asked.filter(|a| hit.names.contains(a));
        let fact = asked.or_else(|| hit.names.iter().copied().find(|f| self.says_yes(*f)));
        let Some(fact) = fact.filter(|f| self.says_yes(*f)) else { return };
        // The bare name says nothing unless it was asked for: to speak of consent is not to have it.
        let yes = if bearing.denied {
            false
        } else if bearing.so || asked.is_some() {
            true
        } else {
            return;
        };
        let about_coat = self.listener.book.base.vocabulary.get(fact).about == About::Coat;
        if about_coat && bearing.no_coat {
            return;
        }
        if let Some(reading) = self.yes_no(fact, yes, !self.doubt[k]) {
            self.used[k] = true;
            self.state(fact, bearing.coat.filter(|_| about_coat), vec![reading], self.at(k, k));
        }
    }

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

    fn measure(&mut self, k: usize, measure: &Measure, bearing: Bearing, clause: Range<usize>) {
        let vocabulary = &self.listener.book.base.vocabulary;
        let dimension = measure.dimension();
        let plain = measure.is_plain();
        let fits = |f: FactId| match &vocabulary.get(f).kind {
            FactKind::Number { unit, .. } => match dimension {
                Some(d) => unit.dimension == d,
                None => !matches!(measure.shape, super::sizes::Shape::Many) || unit.dimension.is_number(),
            },
            _ => false,
        };
        // "six panelled doors": a number counts what follows it.
        let counted = self.next_content(k + 1, clause.end, 2).filter(|_| plain).and_then(|n| match &self.lexemes[n].piece {
            Piece::Hit(h) => Some((n, h.clone())),
            _ => None,
        });
        let counter = counted.as_ref().and_then(|(n, h)| {
            let of = |f: FactId| vocabulary.iter().find(|(_, c)| c.counts == Some(f)).map(|(id, _)| id);
            h.values.iter().find_map(|(f, _)| of(*f)).map(|c| (c, *n))
        });
        // "two children": some there are.
        let there = counted.as_ref().and_then(|(n, h)| {
            let fact = h.names.iter().copied().find(|f| matches!(vocabulary.get(*f).kind, FactKind::YesNo))?;
            h.values.is_empty().then_some((fact, *n))
        });
        let named = self.named_for(k, clause.clone(), fits);
        let asked = self.context.asked.filter(|f| fits(*f));
        let (fact, upto) = if let Some((c, n)) = counter {
            for j in k..n {
                self.used[j] = true;
            }
            (c, n)
        } else if let (Some((f, n)), true) = (there, named.is_none() && asked.is_none()) {
            let none = matches!(&measure.shape, super::sizes::Shape::Span(a, _) if a.high == 0.0);
            if let Some(reading) = self.yes_no(f, !none, !self.doubt[k]) {
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
            let default = slot.and_then(|s| self.default(s));
            match default {
                Some(f) => (f, k),
                None => return,
            }
        };
        if bearing.denied || (bearing.no_coat && vocabulary.get(fact).about == About::Coat) {
            return;
        }
        let at = self.at(k.min(upto), k.max(upto));
        match self.maker.number(fact, measure, !self.doubt[k]) {
            Ok(readings) if !readings.is_empty() => {
                self.used[k] = true;
                self.state(fact, bearing.coat.filter(|_| vocabulary.get(fact).about == About::Coat), readings, at);
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

    /// What figures alone say, by the phrases of the rule book.
    fn default(&self, slot: Slot) -> Option<FactId> {
        let phrases = &self.listener.book.phrases;
        self.listener.index.defaults.iter().find(|(s, _)| *s == slot).and_then(|(_, p)| phrases[*p].means.first()).map(|(f, _)| *f)
    }

    fn years(&mut self, k: usize, years: &Years, bearing: Bearing, clause: Range<usize>) {
        let is_year = |f: FactId| matches!(self.kind(f), FactKind::Year { .. });
        let named = self.named_for(k, clause, is_year);
        let fact = named.map(|(f, _)| f).or(self.context.asked.filter(|f| is_year(*f))).or_else(|| self.default(Slot::Year));
        let Some(fact) = fact.filter(|_| !bearing.denied) else { return };
        let readings = self.maker.years(fact, years, !self.doubt[k]);
        if !readings.is_empty() {
            self.used[k] = true;
            if let Some((_, j)) = named {
                self.used[j] = true;
            }
            self.state(fact, None, readings, self.at(k, k));
        }
    }

    /// Puts together what was said of the same fact, drops what the line cannot settle, and tells what was not heard.
    fn finish(mut self) -> Heard {
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
                coats @ Said::Coats(_) => said.push(coats),
            }
        }
        // A fact that was stated is known after all.
        let stated: Vec<FactId> = said.iter().filter_map(|s| if let Said::Fact(s) = s { Some(s.fact) } else { None }).collect();
        said.retain(|s| !matches!(s, Said::NotKnown { fact: Some(f), .. } if stated.contains(f)));
        let mut unheard: Vec<Range<usize>> = Vec::new();
        let mut last = usize::MAX;
        for (k, lexeme) in self.lexemes.iter().enumerate() {
            let small = matches!(lexeme.piece, Piece::Role(_) | Piece::Break | Piece::Coat(_));
            if self.used[k] || (small && !matches!(lexeme.piece, Piece::Role(Role::Yes(_) | Role::No(_)))) {
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
        new.readings.retain(|r| !self.unsettled.iter().any(|(f, k)| *f == new.fact && within(&r.known, k)));
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
            // An answer to the question is a whole list; what was said beside it adds to it.
            let closed = self.context.asked == Some(new.fact) && (a | b).count_ones() > 1;
            let (yes, no) = (a | c, (b | d) & !(a | c));
            old.readings = vec![self.maker.several(new.fact, yes, if closed { 0 } else { no }, closed, *s && *t)];
            return;
        }
        let narrower: Vec<Reading> =
            new.readings.iter().filter(|n| old.readings.iter().any(|o| within(&n.known, &o.known))).cloned().collect();
        if old.readings.iter().all(|o| new.readings.iter().any(|n| within(&o.known, &n.known))) {
            return;
        }
        if narrower.is_empty() {
            // Said twice and differently: which of them is asked back.
            old.readings.extend(new.readings);
        } else {
            old.readings = narrower;
        }
    }
}
