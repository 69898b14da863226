//! From stretches of the line to statements: who denies what, what a figure counts, what is in doubt.

use super::lex::{Lexeme, Piece};
use super::readings::Maker;
use super::tables::Role;
use super::which::Which;
use super::{Context, Heard, Listener, Reading, Said, Statement};
use crate::vocabulary::{About, FactId, FactKind, Known};
use std::ops::Range;

/// What is made of one line.
pub(super) struct Sense<'a, 'b> {
    pub(super) listener: &'a Listener<'b>,
    pub(super) context: &'a Context,
    pub(super) line: &'a str,
    pub(super) maker: Maker<'a>,
    pub(super) lexemes: Vec<Lexeme>,
    pub(super) used: Vec<bool>,
    /// Whether the speaker is in doubt there.
    pub(super) doubt: Vec<bool>,
    /// What was said, and where it begins.
    pub(super) said: Vec<(usize, Said)>,
    /// What is not taken from this line.
    unsettled: Vec<(FactId, Known)>,
    /// Statements that rest on a single word nobody asked for, with where they begin.
    pub(super) loose: Vec<(FactId, usize)>,
    /// Statements that the person has to confirm, with where they begin.
    pub(super) confirm: Vec<(FactId, usize)>,
    /// Who is said to have said it, by stretch.
    by: Vec<Option<String>>,
    /// A yes or no that belongs to what stands before it.
    pub(super) belongs: Vec<bool>,
}

/// The coat that is spoken of.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) enum Of {
    /// Every coat, or the surface as a whole.
    #[default]
    All,
    /// The one at this place from the top.
    Nth(usize),
    /// One whose place from the top is not known: nothing can be stated of it.
    Unplaced,
    /// Some coat, nobody knows which.
    Some,
}

impl Of {
    /// Its place from the top, for facts about a coat.
    pub(super) fn place(self, about: About) -> Option<usize> {
        match self {
            Self::Nth(n) if about == About::Coat => Some(n),
            _ => None,
        }
    }
}

/// What stands before a word and bears on it.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Bearing {
    /// It is denied.
    pub(super) denied: bool,
    /// It is near, not the thing itself.
    pub(super) near: bool,
    /// It is said to be so.
    pub(super) so: bool,
    /// The coat it is about.
    pub(super) of: Of,
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
            loose: Vec::new(),
            confirm: Vec::new(),
            by: vec![None; n],
            belongs: vec![false; n],
        }
    }

    /// Makes statements of the whole line.
    pub(super) fn make(mut self) -> Heard {
        let clauses = self.clauses();
        self.part_names(&clauses);
        self.find_doubt(&clauses);
        self.find_unsettled();
        self.take_out_exceptions();
        self.coats();
        for clause in clauses {
            self.clause(clause);
        }
        self.distances();
        self.nothing_else();
        self.finish()
    }

    pub(super) fn role(&self, k: usize) -> Option<Role> {
        match self.lexemes.get(k)?.piece {
            Piece::Role(role) => Some(role),
            _ => None,
        }
    }

    pub(super) fn is_break(&self, k: usize) -> bool {
        matches!(self.lexemes[k].piece, Piece::Break) || self.role(k) == Some(Role::But)
    }

    pub(super) fn clauses(&self) -> Vec<Range<usize>> {
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
    pub(super) fn content(&self, clause: Range<usize>) -> bool {
        clause.into_iter().any(|k| match &self.lexemes[k].piece {
            Piece::Hit(hit) => !(self.picked(hit, false).is_empty() && hit.phrases.is_empty()),
            Piece::Measure(_) | Piece::Years(_) => true,
            _ => false,
        })
    }

    /// What the line cannot settle, wherever in it the words stand.
    fn find_unsettled(&mut self) {
        let book = self.listener.book;
        for lexeme in &self.lexemes {
            if let Piece::Hit(hit) = &lexeme.piece {
                self.unsettled.extend(hit.phrases.iter().flat_map(|p| book.phrases[*p].does_not_settle.iter().cloned()));
            }
        }
    }

    /// Whether a reading is one that the line cannot settle.
    pub(super) fn is_unsettled(&self, fact: FactId, known: &Known) -> bool {
        self.unsettled.iter().any(|(f, k)| {
            *f == fact
                && match (known, k) {
                    (Known::Bits(a), Known::Bits(b)) => a & !b == 0,
                    (Known::Num(a), Known::Num(b)) => a.and(b) == *a,
                    _ => false,
                }
        })
    }

    /// Doubt reaches over its clause; a clause of nothing but doubt over the one before.
    fn find_doubt(&mut self, clauses: &[Range<usize>]) {
        for (c, clause) in clauses.iter().enumerate() {
            // "probably" answers where nothing else does.
            let content = self.content(clause.clone());
            let doubtful = |k: usize| match self.role(k) {
                Some(Role::Doubt | Role::Unknown(_)) => true,
                Some(Role::Hearsay) => !self.witnessed(clause.clone(), k),
                // "Probably" answers where nothing else does.
                Some(Role::Yes(false) | Role::No(false)) => {
                    content || clause.clone().any(|j| j != k && (self.is_answer(j) || self.role(j) == Some(Role::Not)))
                }
                _ => false,
            };
            let doubt = clause.clone().any(doubtful);
            if !doubt {
                continue;
            }
            let who = clause.clone().find(|k| self.role(*k) == Some(Role::Hearsay) && doubtful(*k)).map(|k| self.speaker(clause, k));
            // "Pine, I thought" is the speaker's own word.
            let who = who.filter(|w| !w.to_lowercase().split(' ').any(|w| w == "i" || w == "we"));
            let small = |k: usize| matches!(self.role(k), Some(Role::Filler | Role::Aside | Role::Is | Role::Have));
            let alone = clause.clone().all(|k| doubtful(k) || small(k));
            let answered = |range: Range<usize>| range.into_iter().any(|k| self.is_answer(k));
            // "Nothing else" closes a list, and is doubted like any answer.
            let closes = |mut range: Range<usize>| range.any(|k| self.role(k) == Some(Role::Just));
            // Doubt with nothing of its own is about what was said before it, or else about what comes next.
            let forward = clause.clone().any(|k| matches!(self.role(k), Some(Role::Doubt | Role::Hearsay))).then_some(c + 1);
            let names = |c: Range<usize>| c.into_iter().any(|k| matches!(&self.lexemes[k].piece, Piece::Hit(h) if !h.names.is_empty()));
            let says = |c: usize| {
                self.content(clauses[c].clone())
                    || answered(clauses[c].clone())
                    || closes(clauses[c].clone())
                    || names(clauses[c].clone())
                        && (forward.is_some() || clauses[c].clone().any(|k| matches!(self.role(k), Some(Role::Not | Role::Have))))
            };
            let own = content || answered(clause.clone()) && !alone;
            // "Victorian, unknown coats": the doubt has a thing of its own, of which the clause beside it says nothing.
            let unknown = clause.clone().any(|k| matches!(self.role(k), Some(Role::Unknown(_))));
            let told: Vec<FactId> = clause.clone().flat_map(|k| self.facts_of(k)).collect();
            let of_another = |c: usize| {
                let there = clauses[c].clone();
                let same = there.clone().any(|k| self.facts_of(k).iter().any(|f| told.contains(f)));
                unknown && !told.is_empty() && self.content(there.clone()) && !answered(there) && !same
            };
            let beside = [c.checked_sub(1), forward].into_iter().flatten();
            let reaches = if own { None } else { beside.into_iter().find(|c| *c < clauses.len() && says(*c) && !of_another(*c)) };
            if let Some(other) = reaches {
                let other = clauses[other].clone();
                self.doubt[other.clone()].fill(true);
                if who.is_some() {
                    self.by[other].fill(who.clone());
                }
                if alone {
                    self.used[clause.clone()].fill(true);
                }
            }
            self.doubt[clause.clone()].fill(true);
            if who.is_some() {
                self.by[clause.clone()].fill(who);
            }
        }
    }

    /// The facts that a stretch names or says something of.
    pub(super) fn facts_of(&self, k: usize) -> Vec<FactId> {
        let Piece::Hit(hit) = &self.lexemes[k].piece else { return Vec::new() };
        let means = hit.phrases.iter().flat_map(|p| self.listener.book.phrases[*p].means.iter().map(|(f, _)| *f));
        hit.names.iter().copied().chain(hit.values.iter().map(|(f, _)| *f)).chain(means).collect()
    }

    /// A plain yes, no or nothing.
    fn is_answer(&self, k: usize) -> bool {
        matches!(self.role(k), Some(Role::Yes(_) | Role::No(_) | Role::Nothing | Role::NotYet))
    }

    /// Whether what is told here is told by something that can be relied on: the speaker, an instrument, a paper.
    fn witnessed(&self, clause: Range<usize>, k: usize) -> bool {
        let own = k > clause.start && matches!(self.words_at(k - 1).to_lowercase().as_str(), "i" | "we" | "it");
        let own = own && matches!(self.words_at(k).to_lowercase().as_str(), "said" | "say" | "says" | "mentioned");
        // The instrument is what says it only where it stands before the verb: of "he says the lab found none" he is.
        let somebody =
            k > clause.start && matches!(self.words_at(k - 1).to_lowercase().as_str(), "i" | "we" | "he" | "she" | "they" | "they're");
        let somebody = somebody || self.words_at(k).to_lowercase().starts_with("i ");
        let behind = self.words_at(k).eq_ignore_ascii_case("according to");
        own || (!somebody && (clause.start..k).any(|j| self.is_witness(j))) || (behind && (k..clause.end).any(|j| self.is_witness(j)))
    }

    /// Who said it: the words before it, or behind "according to".
    fn speaker(&self, clause: &Range<usize>, k: usize) -> String {
        const PERSON: &[&str] = &["the", "a", "my", "our", "his", "her", "their", "your"];
        // What states or denies something is nobody's name.
        let name = |j: &usize| match &self.lexemes[*j].piece {
            // "The neighbour" is somebody, whatever else the word may stand for.
            Piece::Hit(_) => {
                self.facts_of(*j).is_empty() || (*j > clause.start && PERSON.contains(&self.words_at(*j - 1).to_lowercase().as_str()))
            }
            Piece::Unknown => true,
            piece => matches!(piece, Piece::Role(Role::Filler | Role::Aside)),
        };
        let behind = self.words_at(k).eq_ignore_ascii_case("according to");
        let start = (clause.start..k).rev().take_while(name).last().unwrap_or(k);
        // "No one's ever said": nobody did.
        let nobody = start > clause.start && matches!(self.role(start - 1), Some(Role::No(_) | Role::Not));
        let range = if behind { k + 1..clause.end } else { start..k };
        let words =
            if range.is_empty() || nobody && !behind { "" } else { self.line.get(self.at(range.start, range.end - 1)).unwrap_or("") };
        let words: Vec<&str> = words.split_whitespace().collect();
        let some = if behind { &words[..words.len().min(3)] } else { &words[words.len().saturating_sub(3)..] };
        let who: Vec<&str> = some.iter().copied().filter(|w| w.chars().all(|c| c.is_alphanumeric() || "'’-".contains(c))).collect();
        if who.is_empty() { "somebody else".to_owned() } else { who.join(" ") }
    }

    /// The words of a stretch as they were typed.
    pub(super) fn words_at(&self, k: usize) -> &'a str {
        self.line.get(self.lexemes[k].at.clone()).unwrap_or("")
    }

    /// A word that is both the name of a question and a thing that may be near ("lead") is the thing only in a list of such
    /// things, or where it is said to be near.
    fn part_names(&mut self, clauses: &[Range<usize>]) {
        let mut strip = Vec::new();
        let mut only_things = clauses.len() > 1;
        for clause in clauses {
            let things = |k: usize| match &self.lexemes[k].piece {
                Piece::Hit(h) => h.phrases.is_empty() && h.values.iter().any(|(f, _)| self.is_several(*f)),
                Piece::Role(r) => {
                    matches!(r, Role::Filler | Role::And | Role::Or | Role::Have | Role::Is | Role::Just | Role::Near | Role::Aside)
                }
                _ => false,
            };
            if clause.clone().all(things) {
                continue;
            }
            only_things = false;
            for k in clause.clone() {
                let before = (clause.start..k).rev().find(|j| self.role(*j) != Some(Role::Filler)).and_then(|j| self.role(j));
                let near = matches!(before, Some(Role::Near | Role::Over | Role::Under | Role::Beneath));
                if let Piece::Hit(h) = &self.lexemes[k].piece
                    && !h.names.is_empty()
                    && !near
                {
                    strip.push(k);
                }
            }
        }
        // "Glass, and there's a gully": a list of what is near, of which one is plainly that, unless the other was asked for.
        let near_only = |l: &Lexeme| matches!(&l.piece, Piece::Hit(h) if h.values.iter().all(|(f, _)| self.is_several(*f)));
        let asked_for = |l: &Lexeme| matches!(&l.piece, Piece::Hit(h) if h.values.iter().any(|(f, _)| Some(*f) == self.context.asked && !self.is_several(*f)));
        let told = self.lexemes.iter().any(|l| matches!(l.piece, Piece::Role(Role::Have | Role::Near)));
        if only_things && told && self.lexemes.iter().any(near_only) && !self.lexemes.iter().any(asked_for) {
            for k in 0..self.lexemes.len() {
                if let Piece::Hit(mut h) = self.lexemes[k].piece.clone() {
                    h.values.retain(|(f, _)| self.is_several(*f));
                    self.lexemes[k].piece = Piece::Hit(h);
                }
            }
        }
        for k in strip {
            if let Piece::Hit(mut h) = self.lexemes[k].piece.clone() {
                h.values.retain(|(f, _)| !self.is_several(*f));
                self.lexemes[k].piece = Piece::Hit(h);
            }
        }
    }

    pub(super) fn at(&self, from: usize, to: usize) -> Range<usize> {
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
        // "A half door" is one door.
        if matches!(self.kind(fact), FactKind::Number { whole: true, .. }) {
            readings.retain(|r| !matches!(&r.known, Known::Num(n) if n.bounds().is_some_and(|(_, high)| high < 1.0 && high > 0.0)));
        }
        if !readings.is_empty() {
            let by = self.lexemes.iter().position(|l| l.at.start >= at.start).and_then(|k| self.by[k].clone());
            let statement = Statement { fact, coat, readings, at, unread: Vec::new(), by };
            self.said.push((statement.at.start, Said::Fact(statement)));
        }
    }

    pub(super) fn kind(&self, fact: FactId) -> &'a FactKind {
        &self.listener.book.base.vocabulary.get(fact).kind
    }

    pub(super) fn is_several(&self, fact: FactId) -> bool {
        matches!(self.kind(fact), FactKind::Several(_))
    }

    /// The next stretch of a clause that is more than a small word.
    pub(super) fn next_content(&self, from: usize, end: usize, strangers: usize) -> Option<usize> {
        let mut left = strangers;
        for k in from..end {
            match &self.lexemes[k].piece {
                Piece::Role(Role::Filler | Role::Aside | Role::Is | Role::Have | Role::Doubt | Role::Hearsay | Role::Near) => {}
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
        let begin = clause.clone().find(|k| !matches!(self.role(*k), Some(Role::Filler | Role::Aside | Role::Doubt | Role::Is)));
        while k < clause.end {
            if self.used[k] {
                k += 1;
                continue;
            }
            let mut next = k + 1;
            match self.lexemes[k].piece.clone() {
                Piece::Role(role) => match role {
                    Role::No(_) if self.corrects(k, clause.end) => self.used[k] = true,
                    Role::Not | Role::No(_) | Role::NotYet if self.next_content(k + 1, clause.end, 1).is_some() => {
                        bearing.denied = true;
                        self.used[k] = true;
                        if role == Role::No(false) {
                            self.doubt[clause.clone()].fill(true);
                        }
                        // "no, …" has its comma; "no tenants there" denies tenants and answers nothing.
                    }
                    Role::Yes(false) if self.content(clause.clone()) => self.used[k] = true,
                    Role::Yes(sure) => self.answer(k, true, sure, begin == Some(k), clause.clone()),
                    Role::No(sure) => self.answer(k, false, sure, begin == Some(k), clause.clone()),
                    // A bare "not …" denies something that was not understood: it answers nothing.
                    Role::Not => self.not_had(k, clause.clone()),
                    Role::NotYet => self.not_yet(k),
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
                    // "might be lead" says so, in doubt.
                    // "We have", and no more.
                    Role::Have if clause.len() == 1 && ["we have", "i have", "they have"].contains(&self.low(k).as_str()) => {
                        self.answer(k, true, true, true, clause.clone());
                    }
                    Role::Have | Role::Is | Role::Doubt | Role::Hearsay => {
                        bearing.so = true;
                        self.used[k] = true;
                    }
                    Role::And | Role::Asks => {
                        bearing.denied = false;
                        self.used[k] = true;
                    }
                    Role::Filler | Role::Aside => self.used[k] = true,
                    _ => self.used[k] = true,
                },
                Piece::Hit(hit) => {
                    if let Some((yes, sure, last)) = self.answered_behind(k, &hit, clause.clone()) {
                        bearing.denied |= !yes;
                        bearing.so = true;
                        self.doubt[k] |= !sure;
                        self.used[k + 1..=last].fill(true);
                        self.belongs[last] = true;
                    } else if k + 1 < clause.end && self.words_at(k + 1) == "?" {
                        // "Asbestos? They'd have said": what is only asked about is in doubt.
                        self.doubt[k] = true;
                    }
                    bearing.near |= bearing.denied && hit.plain || self.is_said_to_be_near(k, &hit, clause.clone());
                    next = self.hit(k, &hit, bearing, clause.clone());
                    bearing.so = false;
                    let more = self.role(next) == Some(Role::Or);
                    bearing.denied &= more;
                    let near = hit.values.iter().any(|(f, _)| self.is_several(*f));
                    bearing.near &= near;
                }
                Piece::Measure(measure) => {
                    self.guessed(k);
                    self.measure(k, &measure, bearing, clause.clone());
                    bearing.so = false;
                }
                Piece::Years(years) => {
                    self.guessed(k);
                    self.years(k, &years, bearing, clause.clone());
                    bearing.so = false;
                }
                Piece::Coat(which) => {
                    self.used[k] = true;
                    bearing.of = match which {
                        Which::All => Of::All,
                        Which::Some => Of::Some,
                        Which::Nth(n) => Of::Nth(n),
                        Which::Bottom => self.context.coats.filter(|n| *n > 0).map_or(Of::Unplaced, |n| Of::Nth(n - 1)),
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
}
