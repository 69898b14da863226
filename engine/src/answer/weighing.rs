//! What would ask for less care is taken for certain only where every word beside it was understood.
//!
//! The direction of a value is the pack's to say (`eases`). A statement on the easy side is held against its clause and the
//! clauses next to it that state nothing of their own: words nothing was made of there may take it back (`yes, but only the
//! front`), so it is kept as a doubt and says which words those were.

use super::lex::{Hit, Piece};
use super::sense::Sense;
use super::tables::Role;
use super::{Said, Statement};
use crate::vocabulary::{About, FactId, FactKind};
use std::ops::Range;

impl Sense<'_, '_> {
    /// Looks over what was said for what would ask for less care.
    pub(super) fn weigh(&mut self, said: &mut Vec<Said>) {
        let clauses = self.clauses();
        let stated: Vec<Range<usize>> = said.iter().flat_map(places).collect();
        let mut dropped: Vec<Range<usize>> = Vec::new();
        // What rests on more than a single word in passing.
        let firm: Vec<Range<usize>> = said
            .iter()
            .filter_map(|s| if let Said::Fact(f) = s { Some(f) } else { None })
            .filter(|f| !self.loose.contains(&(f.fact, f.at.start)))
            .map(|f| f.at.clone())
            .collect();
        let vocabulary = &self.listener.book.base.vocabulary;
        let twice = self.said_twice(said);
        for one in said.iter_mut() {
            match one {
                Said::Fact(statement) => {
                    let fact = vocabulary.get(statement.fact);
                    if self.confirm.contains(&(statement.fact, statement.at.start)) {
                        statement.readings.iter_mut().for_each(|r| r.sure = false);
                        statement.unread = vec![statement.at.clone()];
                        continue;
                    }
                    // What is said of the house next door is not said of this one, whichever way it points.
                    let there = fact.about == About::Site
                        || !fact.chosen && !matches!(fact.kind, FactKind::Several(_)) && !self.is_distance(statement, &stated);
                    let elsewhere = if there { self.elsewhere(&statement.at, &clauses) } else { None };
                    if let Some(there) = elsewhere.filter(|_| statement.readings.iter().any(|r| r.sure)) {
                        statement.readings.iter_mut().for_each(|r| r.sure = false);
                        statement.unread = vec![there];
                        continue;
                    }
                    // A thing named in passing where something else is doubted is no statement of its own.
                    let loose = self.loose.contains(&(statement.fact, statement.at.start));
                    if loose && statement.readings.iter().all(|r| !r.sure) && self.beside_another(&statement.at, &clauses, &firm) {
                        dropped.push(statement.at.clone());
                        continue;
                    }
                    let mended = statement.readings.iter().any(|r| r.echo.contains("(typed as"));
                    if self.is_only_where(statement, &clauses, &firm) {
                        self.loose.push((statement.fact, statement.at.start));
                        dropped.push(statement.at.clone());
                        continue;
                    }
                    let unlike = self.likened(statement).or_else(|| self.other_alternative(statement, &stated));
                    if !statement.readings.iter().any(|r| fact.eased_by(&r.known)) {
                        let sure = statement.readings.iter().any(|r| r.sure);
                        let mut left: Vec<Range<usize>> = unlike.into_iter().collect();
                        if sure && self.must_account(statement) {
                            left.extend(self.left_over(statement, &clauses, &stated));
                        }
                        if sure && !left.is_empty() {
                            statement.readings.iter_mut().for_each(|r| r.sure = false);
                            statement.unread = left;
                            continue;
                        }
                        if self.loose.contains(&(statement.fact, statement.at.start)) && self.heads_another(&statement.at) {
                            dropped.push(statement.at.clone());
                        }
                        continue;
                    }
                    // What is kept as a doubt clears nothing.
                    if statement.readings.iter().all(|r| !r.sure) {
                        continue;
                    }
                    let mut unread = self.unread_beside(&statement.at, &clauses, &stated, (fact.about, Some(statement.fact)));
                    if twice.contains(&statement.fact) {
                        unread.push(statement.at.clone());
                    }
                    unread.extend(self.said_otherwise(statement));
                    unread.extend(unlike);
                    unread.extend(self.left_over(statement, &clauses, &stated));
                    unread.sort_by_key(|r| r.start);
                    unread.dedup();
                    if mended && unread.is_empty() {
                        unread.push(statement.at.clone());
                    }
                    if unread.is_empty() {
                        continue;
                    }
                    // What is true but for a part was said of the rest: it is asked back about.
                    let apart = |at: &Range<usize>| (0..self.lexemes.len()).any(|k| self.lexemes[k].at == *at && self.is_apart(k));
                    if self.loose.contains(&(statement.fact, statement.at.start)) && !unread.iter().any(apart) {
                        dropped.push(statement.at.clone());
                    }
                    for reading in &mut statement.readings {
                        reading.sure = false;
                    }
                    statement.unread = unread;
                }
                Said::Coats(coats) if coats.is_empty() => {}
                Said::Coats(coats) => {
                    for statement in coats.iter_mut().flatten() {
                        let fact = vocabulary.get(statement.fact);
                        let eases = statement.readings.iter().any(|r| fact.eased_by(&r.known));
                        if eases && !self.unread_beside(&statement.at, &clauses, &stated, (fact.about, Some(statement.fact))).is_empty() {
                            for reading in &mut statement.readings {
                                reading.sure = false;
                            }
                        }
                    }
                }
                _ => {}
            }
        }
        // No paint at all lifts more than anything: with words beside it that were not understood it is not taken.
        let bare: Vec<Range<usize>> = self
            .said_bare(said)
            .into_iter()
            .filter(|at| self.doubted(at) || !self.unread_beside(at, &clauses, &stated, (About::Surface, None)).is_empty())
            .collect();
        if !bare.is_empty() {
            said.retain(|s| !matches!(s, Said::Coats(c) if c.is_empty()));
            dropped.extend(bare);
        }
        self.leave_out_where(said, &clauses);
        said.retain(|s| !matches!(s, Said::Fact(f) if dropped.contains(&f.at) && self.loose.contains(&(f.fact, f.at.start))));
        for (k, lexeme) in self.lexemes.iter().enumerate() {
            let told = said.iter().flat_map(places).any(|at| meets(&at, &lexeme.at));
            if !told && dropped.iter().any(|d| meets(d, &lexeme.at)) {
                self.used[k] = false;
            }
        }
    }

    /// "No kids in the office": what only tells where a statement holds that is asked back about says nothing of the job by itself.
    fn leave_out_where(&self, said: &mut Vec<Said>, clauses: &[Range<usize>]) {
        let limiting: Vec<Range<usize>> =
            said.iter().filter_map(|s| if let Said::Fact(f) = s { Some(&f.unread) } else { None }).flatten().cloned().collect();
        let vocabulary = &self.listener.book.base.vocabulary;
        let only_where = |f: &Statement| {
            let Some(k) = self.lexemes.iter().position(|l| l.at == f.at) else { return false };
            let from = clauses.iter().find(|c| c.contains(&k)).map_or(k, |c| c.start);
            vocabulary.get(f.fact).about == About::Site
                && self.loose.contains(&(f.fact, f.at.start))
                && limiting.iter().any(|l| meets(l, &f.at))
                && self.of_what(k, from)
        };
        said.retain(|s| !matches!(s, Said::Fact(f) if f.unread.is_empty() && only_where(f)));
    }

    /// Whether a length was said together with what is near: it is how far off that is.
    fn is_distance(&self, statement: &Statement, stated: &[Range<usize>]) -> bool {
        matches!(self.kind(statement.fact), FactKind::Number { .. }) && stated.iter().filter(|s| **s == statement.at).count() > 1
    }

    /// Words in the same clause that say that it is about another house.
    fn elsewhere(&self, at: &Range<usize>, clauses: &[Range<usize>]) -> Option<Range<usize>> {
        const ELSEWHERE: &[&str] = &[
            "next door",
            "last job",
            "the last one",
            "previous job",
            "own house",
            "my house",
            "our house",
            "our own",
            "when i bought",
            "when we bought",
            "next-door",
            "the neighbour's",
            "the neighbours",
            "neighbour's",
            "across the road",
            "over the road",
            "across the street",
            "opposite",
            "down the road",
            "up the road",
            "down the street",
        ];
        let k = self.lexemes.iter().position(|l| meets(&l.at, at))?;
        let clause = clauses.iter().find(|c| c.contains(&k))?;
        let low = |at: Range<usize>| self.line.get(at).unwrap_or("").to_lowercase().replace('’', "'");
        let words = |j: &usize| ELSEWHERE.contains(&low(self.lexemes[*j].at.clone()).as_str());
        // Of several stretches: "my own house" is understood for other things.
        let whole = format!(" {} ", low(self.at(clause.start, clause.end - 1)));
        let across = || ELSEWHERE.iter().any(|w| whole.contains(&format!(" {w} "))).then_some(k);
        clause.clone().find(words).or_else(across).map(|j| self.lexemes[j].at.clone())
    }

    /// Whether the speaker was in doubt there.
    fn doubted(&self, at: &Range<usize>) -> bool {
        (0..self.lexemes.len()).any(|k| self.doubt[k] && meets(&self.lexemes[k].at, at))
    }

    /// Where the line said that there is no paint.
    fn said_bare(&self, said: &[Said]) -> Vec<Range<usize>> {
        if !said.iter().any(|s| matches!(s, Said::Coats(c) if c.is_empty())) {
            return Vec::new();
        }
        let says = |k: &usize| match &self.lexemes[*k].piece {
            Piece::Role(Role::Nothing) => self.used[*k],
            Piece::Hit(h) => h.phrases.iter().any(|p| self.listener.book.phrases[*p].coats.as_ref().is_some_and(Vec::is_empty)),
            _ => false,
        };
        (0..self.lexemes.len()).filter(says).map(|k| self.lexemes[k].at.clone()).collect()
    }

    /// Whether a clause holds another statement besides.
    fn beside_another(&self, at: &Range<usize>, clauses: &[Range<usize>], firm: &[Range<usize>]) -> bool {
        let Some(k) = self.lexemes.iter().position(|l| meets(&l.at, at)) else { return false };
        let Some(clause) = clauses.iter().find(|c| c.contains(&k)) else { return false };
        let span = self.at(clause.start, clause.end - 1);
        firm.iter().any(|f| f != at && meets(f, &span))
    }

    /// Whether a word only tells what another, which was not understood, is for: "the pine shop".
    fn heads_another(&self, at: &Range<usize>) -> bool {
        let Some(k) = self.lexemes.iter().position(|l| l.at == *at) else { return false };
        // "A listed townhouse": what was done to the thing is said of it, whatever the thing is.
        if self.words_at(k).to_lowercase().ends_with("ed") {
            return false;
        }
        self.lexemes.get(k + 1).is_some_and(|l| matches!(l.piece, Piece::Unknown) && l.at.start <= at.end + 1)
    }

    /// The words beside a statement that nothing was made of.
    fn unread_beside(
        &self,
        at: &Range<usize>,
        clauses: &[Range<usize>],
        stated: &[Range<usize>],
        of: (About, Option<FactId>),
    ) -> Vec<Range<usize>> {
        let own: Vec<usize> = (0..self.lexemes.len()).filter(|k| meets(&self.lexemes[*k].at, at)).collect();
        let (Some(first), Some(last)) = (own.first(), own.last()) else { return Vec::new() };
        let bare = own.iter().all(|k| matches!(self.lexemes[*k].piece, Piece::Role(_)));
        let home: Vec<usize> = (0..clauses.len()).filter(|c| clauses[*c].start <= *last && *first < clauses[*c].end).collect();
        let (Some(from), Some(to)) = (home.first(), home.last()) else { return Vec::new() };
        let mut parts: Vec<Range<usize>> = Vec::new();
        parts.push(clauses[*from].start..clauses[*to].end);
        let speaks = |c: &Range<usize>| {
            c.clone().any(|k| {
                !self.lexemes[k].mended
                    && !matches!(self.lexemes[k].piece, Piece::Role(_))
                    && stated.iter().any(|s| meets(s, &self.lexemes[k].at))
            })
        };
        // The clauses next to it, as far as they state nothing themselves.
        for clause in &clauses[to + 1..] {
            if speaks(clause) {
                break;
            }
            parts.push(clause.clone());
        }
        for clause in clauses[..*from].iter().rev() {
            if speaks(clause) {
                break;
            }
            parts.push(clause.clone());
        }
        let mut out: Vec<Range<usize>> = Vec::new();
        // A bare yes or no may be taken back by what stands right beside it, whatever else that says: "yes, but not the windows".
        if bare {
            let beside = [from.checked_sub(1), Some(to + 1)].into_iter().flatten().filter_map(|c| clauses.get(c));
            let strange = |k: &usize| {
                matches!(
                    self.lexemes[*k].piece,
                    Piece::Unknown | Piece::Role(Role::Aside | Role::Doubt | Role::Yes(false) | Role::No(false))
                )
            };
            out.extend(beside.flat_map(Clone::clone).filter(strange).map(|k| self.lexemes[k].at.clone()));
            out.extend((0..self.lexemes.len()).filter(|k| self.role(*k) == Some(Role::But)).map(|k| self.lexemes[k].at.clone()));
        }
        // "No lead, except the attic": what is taken out of it is told behind it, whatever else that says.
        let behind = clauses[*to].end;
        if behind < self.lexemes.len() && self.words_at(behind).eq_ignore_ascii_case("except") {
            out.push(self.lexemes[behind].at.clone());
        }
        let home = clauses[*from].start..clauses[*to].end;
        out.extend(self.framed((*first, *last), home.clone(), of.1));
        out.extend(self.limits((*first, *last), home, stated, of.1));
        for k in parts.into_iter().flatten() {
            let lexeme = &self.lexemes[k];
            if own.contains(&k) {
                if self.is_stranger_inside(k, (*first, *last), of.1) {
                    out.push(lexeme.at.clone());
                }
                continue;
            }
            if self.unread(k, stated, of, bare) {
                out.push(lexeme.at.clone());
            }
        }
        out.sort_by_key(|r| r.start);
        out.dedup();
        out
    }

    /// Whether a word inside the words of a statement is none of them: "no lead *last year* abatement".
    fn is_stranger_inside(&self, k: usize, (first, last): (usize, usize), fact: Option<FactId>) -> bool {
        let kind = fact.map(|f| self.kind(f));
        let figures = matches!(kind, Some(FactKind::Number { .. } | FactKind::Year { .. }));
        let inside = first < k && k < last;
        match &self.lexemes[k].piece {
            Piece::Unknown | Piece::Role(Role::Aside | Role::Doubt | Role::NotYet | Role::Either) => true,
            Piece::Role(Role::Just) => inside && !figures && self.narrows(k, fact),
            Piece::Coat(_) => inside && !figures && !fact.is_some_and(|f| self.is_several(f)),
            // "Yes … is not true".
            Piece::Role(Role::Not) => inside && matches!(self.role(first), Some(Role::Yes(_))),
            // What an instrument read is what it says.
            Piece::Measure(_) if self.is_witness(first) => false,
            Piece::Years(_) | Piece::Measure(_) => !figures && !fact.is_some_and(|f| self.is_counted(k, f)),
            Piece::Hit(h) => {
                let (says, same) = (!h.values.is_empty() || !h.phrases.is_empty(), fact.is_some_and(|f| self.facts_of(k).contains(&f)));
                inside && !figures && says && !same
            }
            _ => false,
        }
    }

    /// Whether figures belong to the words of a phrase that states this fact: "two under five".
    fn is_counted(&self, k: usize, fact: FactId) -> bool {
        let beside = [k.checked_sub(1), Some(k + 1)].into_iter().flatten().filter(|j| *j < self.lexemes.len());
        matches!(self.lexemes[k].piece, Piece::Measure(_)) && beside.into_iter().any(|j| self.facts_of(j).contains(&fact))
    }

    /// "Only the windows": less than all of it. Of a list, "just glass" closes it.
    fn narrows(&self, k: usize, fact: Option<FactId>) -> bool {
        let only = ["only", "just", "only the", "just the", "just a"].contains(&self.words_at(k).to_lowercase().as_str());
        let denied =
            self.clauses().into_iter().filter(|c| c.contains(&k)).flatten().any(|j| matches!(self.role(j), Some(Role::Not | Role::No(_))));
        only && (denied || !fact.is_some_and(|f| self.is_several(f)))
    }

    /// Words that a pack only has a remark about.
    pub(super) fn only_remarks(&self, hit: &Hit) -> bool {
        let plain = |p: &usize| {
            let phrase = &self.listener.book.phrases[*p];
            phrase.means.is_empty() && phrase.coats.is_none() && phrase.does_not_settle.is_empty() && !phrase.witness
        };
        hit.values.is_empty() && hit.names.is_empty() && !hit.phrases.is_empty() && hit.phrases.iter().all(plain)
    }

    /// Whether a denial goes with what was stated right behind it.
    fn denies_what_follows(&self, k: usize) -> bool {
        self.used[k]
            && self
                .next_content(k + 1, self.lexemes.len(), 0)
                .is_some_and(|n| !matches!(self.lexemes[n].piece, Piece::Measure(_) | Piece::Years(_)) && !self.is_witness(n))
    }

    /// Whether nothing was made of a stretch though it says something.
    fn unread(&self, k: usize, stated: &[Range<usize>], (about, fact): (About, Option<FactId>), bare: bool) -> bool {
        let lexeme = &self.lexemes[k];
        let told = stated.iter().any(|s| meets(s, &lexeme.at));
        match &lexeme.piece {
            Piece::Unknown => true,
            _ if self.belongs[k] => false,
            // What was mended may have been another word.
            Piece::Hit(_) if lexeme.mended => true,
            Piece::Break => false,
            Piece::Coat(_) => about != About::Coat,
            Piece::Role(role) => match role {
                Role::Aside | Role::First | Role::OnTop | Role::Beneath | Role::Then | Role::NotYet | Role::Either => true,
                Role::Just => about == About::Site || bare || (about == About::Surface && self.narrows(k, fact)),
                // A denial that stands in nothing that was stated denies something else, or the statement as a whole.
                Role::Not | Role::No(_)
                    if !told && self.used[k] && !bare && fact.is_some_and(|f| matches!(self.kind(f), FactKind::Year { .. })) =>
                {
                    true
                }
                Role::Not if !told => bare || !self.denies_what_follows(k),
                Role::No(_) if !told && self.used[k] && !bare && (k == 0 || self.role(k - 1) != Some(Role::Asks)) => {
                    !self.denies_what_follows(k)
                }
                Role::Or | Role::Not | Role::Nothing | Role::Yes(_) | Role::No(_) => !told && !self.used[k],
                _ => false,
            },
            // Beside a bare yes or no anything else makes it unclear what was answered.
            // A remark in the middle of a list is none of the things listed.
            Piece::Hit(h) if self.only_remarks(h) => true,
            Piece::Hit(h) => {
                let of_coats = about == About::Coat
                    && h.values.is_empty()
                    && h.phrases.is_empty()
                    && h.names.iter().any(|f| {
                        Some(*f) == self.listener.kind
                            || (self.listener.book.base.vocabulary.get(*f).about == About::Coat
                                && matches!(self.kind(*f), FactKind::Number { .. }))
                    });
                let witness = h.phrases.iter().any(|p| self.listener.book.phrases[*p].witness);
                let asked = h.values.is_empty() && h.names.iter().any(|f| Some(*f) == fact);
                !(told || of_coats || asked || witness)
            }
            Piece::Measure(_) | Piece::Years(_) => !told,
        }
    }
}

/// Where something was stated.
fn places(said: &Said) -> Vec<Range<usize>> {
    let of = |s: &Statement| s.at.clone();
    match said {
        Said::Fact(f) => vec![of(f)],
        Said::Coats(c) => c.iter().flatten().map(of).collect(),
        Said::NotKnown { at, .. } => vec![at.clone()],
        Said::Remark { .. } => Vec::new(),
    }
}

fn meets(a: &Range<usize>, b: &Range<usize>) -> bool {
    a.start < b.end && b.start < a.end
}
