//! From pieces of the line to what they are: words of the rule book, figures, years, small words.

use super::Context;
use super::index::{Filled, Found, Index, Meaning};
use super::numbers;
use super::sizes::{self, Measure};
use super::tables::{self, Role};
use super::token::{Kind, Token};
use super::which::{self, Which};
use super::years::{self, Years};
use super::{Listener, Word};
use crate::pack::Meant;
use crate::vocabulary::{About, FactId, FactKind, Known};
use std::ops::Range;

/// Words of the rule book found in the line, with what they may stand for here.
#[derive(Debug, Clone, Default)]
#[expect(clippy::struct_excessive_bools, reason = "each is a way in which words are held back")]
pub(super) struct Hit {
    /// Choices and entries.
    pub(super) values: Vec<(FactId, usize)>,
    /// Facts called by name.
    pub(super) names: Vec<FactId>,
    /// Phrases in force at the place.
    pub(super) phrases: Vec<usize>,
    /// Whether the words name only a part of what their fact is about.
    pub(super) narrow: bool,
    /// Whether the words are too plain to be taken without a question or a name beside them.
    pub(super) plain: bool,
    /// Whether the phrases are those of other places.
    pub(super) elsewhere: bool,
    /// Methods: no facts, but worth a word.
    pub(super) methods: Vec<usize>,
    /// What filled the slot of the phrases.
    pub(super) filled: Option<Filled>,
    /// Whether these are words of a house pack with words of another pack among them.
    pub(super) swallows: bool,
    /// Whether the values are only the beginnings of what may be meant, each a reading of its own.
    pub(super) options: bool,
}

/// What a stretch of the line is.
#[derive(Debug, Clone)]
pub(super) enum Piece {
    /// Words of the rule book.
    Hit(Hit),
    /// Figures.
    Measure(Measure),
    /// Years.
    Years(Years),
    /// Small words.
    Role(Role),
    /// A coat by its place.
    Coat(Which),
    /// A comma or the like.
    Break,
    /// Nothing known.
    Unknown,
}

/// A stretch of the line.
#[derive(Debug, Clone)]
pub(super) struct Lexeme {
    /// What it is.
    pub(super) piece: Piece,
    /// Where it stands in the line.
    pub(super) at: Range<usize>,
    /// Whether a mistyped word was mended to read it.
    pub(super) mended: bool,
}

/// Takes mistyped words for the words of the rule book they are near to.
pub(super) fn mend(tokens: &mut [Token], listener: &Listener<'_>) {
    // Each try walks many words; a line of nonsense is not searched to its end.
    let mut tries = 0;
    for token in tokens.iter_mut().filter(|t| t.kind == Kind::Word && t.text.len() >= 5) {
        if listener.index.knows(&token.stem) || listener.words.contains(token.text.as_str()) || tries >= 12 {
            continue;
        }
        tries += 1;
        if let Some(stem) = listener.index.slip(&token.stem) {
            stem.clone_into(&mut token.stem);
            token.slip = true;
        }
    }
}

/// Facts called by name in each clause: plain words count for them.
fn active(tokens: &[Token], index: &Index, found: &[Vec<Found>]) -> Vec<Vec<FactId>> {
    let mut out = vec![Vec::new(); tokens.len()];
    let mut from = 0;
    let mut i = 0;
    let mut names: Vec<FactId> = Vec::new();
    while i <= tokens.len() {
        let ends = tokens.get(i).is_none_or(|t| matches!(t.kind, Kind::Sign(',' | ';' | '.' | '!')));
        if ends {
            for list in &mut out[from..i.min(tokens.len())] {
                list.clone_from(&names);
            }
            names.clear();
            from = i;
            i += 1;
            continue;
        }
        match found[i].first() {
            Some(found) => {
                for meaning in &index.terms[found.term].meanings {
                    if let Meaning::Name(f) = meaning {
                        names.push(*f);
                    }
                }
                i = found.next.max(i + 1);
            }
            None => i += 1,
        }
    }
    out
}

impl Listener<'_> {
    /// The phrases in force at the place, and whether they are only in force elsewhere. One without a place is in force
    /// everywhere, unless another for the same words is closer.
    fn phrases_here(&self, phrases: &[usize], context: &Context) -> (Vec<usize>, bool) {
        let chain = context.place.as_deref().map(|p| self.book.places_of(p)).unwrap_or_default();
        // Some are answers to one question only.
        let answers = |p: &&usize| {
            let asked = &self.book.phrases[**p].asked;
            asked.is_empty() || context.asked.is_some_and(|a| asked.contains(&a))
        };
        // Where a count was asked for, a bare number is that count and not another.
        let counts = |f: FactId| matches!(&self.book.base.vocabulary.get(f).kind, FactKind::Number { whole: true, .. });
        let another = |p: &&usize| {
            let phrase = &self.book.phrases[**p];
            context.asked.is_some_and(|a| counts(a) && !phrase.means.iter().any(|(f, _)| *f == a))
                && phrase.means.iter().any(|(f, m)| counts(*f) && matches!(m, Meant::Slot))
        };
        let phrases: Vec<usize> = phrases.iter().filter(answers).filter(|p| !another(p)).copied().collect();
        let placed = |p: &usize| !self.book.phrases[*p].place.is_empty();
        let here: Vec<usize> =
            phrases.iter().copied().filter(|p| placed(p) && self.book.phrases[*p].place.iter().any(|c| chain.contains(c))).collect();
        let everywhere: Vec<usize> = phrases.iter().copied().filter(|p| !placed(p)).collect();
        // Of a place that no phrase is for: what the words mean anywhere, or each thing they mean somewhere.
        let elsewhere = here.is_empty() && everywhere.is_empty() && context.place.is_some();
        // A firm's words for a place stand beside those for everywhere, not in their stead.
        let firms = !here.is_empty() && here.iter().all(|p| self.book.phrases[*p].house);
        let here = if firms { here.into_iter().chain(everywhere.iter().copied()).collect() } else { here };
        ([here, everywhere, phrases.clone()].into_iter().find(|l| !l.is_empty()).unwrap_or_default(), elsewhere)
    }

    /// The longest words of the rule book here that say something.
    fn hit(&self, found: &[Found], context: &Context, active: &[FactId], alone: &dyn Fn(usize) -> bool) -> Option<(Hit, usize)> {
        for found in found {
            let term = &self.index.terms[found.term];
            let mut hit = Hit { plain: term.plain, filled: found.filled.clone(), ..Hit::default() };
            let mut phrases = Vec::new();
            for meaning in &term.meanings {
                match *meaning {
                    Meaning::Value(f, v) => {
                        let wanted = context.asked == Some(f) || active.contains(&f);
                        // Of what may be near, the words that tell so are waited for.
                        let several = matches!(self.book.base.vocabulary.get(f).kind, FactKind::Several(_));
                        // A material by itself between commas is what it is made of: "front door, fir, 1890".
                        let fact = self.book.base.vocabulary.get(f);
                        let material = matches!(fact.kind, FactKind::Entry(_)) && fact.about == About::Surface;
                        if !term.plain || wanted || several || material && alone(found.next) {
                            hit.values.push((f, v));
                        }
                    }
                    Meaning::Name(f) => hit.names.push(f),
                    Meaning::Phrase(p) => {
                        hit.narrow |= self.book.phrases[p].narrow;
                        if self.book.phrases[p].says_something() {
                            phrases.push(p);
                        }
                    }
                    Meaning::Method(m) => hit.methods.push(m),
                }
            }
            (hit.phrases, hit.elsewhere) = self.phrases_here(&phrases, context);
            if !(hit.values.is_empty() && hit.names.is_empty() && hit.phrases.is_empty() && (hit.methods.is_empty() || term.plain)) {
                return Some((hit, found.next));
            }
        }
        None
    }

    /// Whether words that deny something end in the middle of a longer name: of "no lead flashing" it is the flashing that is denied,
    /// and not the lead.
    fn cuts_into(&self, tokens: &[Token], at: Range<usize>, hit: &Hit, context: &Context, found: &[Vec<Found>]) -> bool {
        const PARTING: &[&str] = &["on", "in", "at", "of", "the", "by", "to", "for", "under", "over"];
        let of = |h: &Hit| -> Vec<FactId> {
            let means = h.phrases.iter().flat_map(|p| self.book.phrases[*p].means.iter().map(|(f, _)| *f));
            h.names.iter().copied().chain(h.values.iter().map(|(f, _)| *f)).chain(means).collect()
        };
        let denied = of(hit);
        let longer = |j: usize| {
            let here = found[j].iter().position(|f| f.next <= at.end).unwrap_or(found[j].len());
            self.hit(&found[j][..here], context, &[], &|_| false).is_some_and(|(h, next)| {
                let whole = tokens[j..next.min(tokens.len())].iter().all(|t| !PARTING.contains(&t.text.as_str()));
                whole && !(h.values.is_empty() && h.phrases.is_empty()) && !of(&h).iter().any(|f| denied.contains(f))
            })
        };
        matches!(tokens[at.start].text.as_str(), "no" | "not" | "without" | "never") && (at.start + 1..at.end).any(longer)
    }

    /// Whether a phrase of a house pack takes in words that mean something in another pack.
    fn swallows(&self, hit: &Hit, found: &[Vec<Found>], i: usize, next: usize) -> bool {
        let house = !hit.phrases.is_empty() && hit.phrases.iter().all(|p| self.book.phrases[*p].house);
        let of_others = |f: &Found| {
            self.index.terms[f.term].meanings.iter().any(|m| match m {
                Meaning::Phrase(p) => !self.book.phrases[*p].house,
                _ => true,
            })
        };
        house && found[i..next.min(found.len())].iter().flatten().any(of_others)
    }

    /// The years an era's name stands for here.
    fn era(&self, found: &[Found], context: &Context) -> Option<(f64, f64, usize)> {
        for found in found {
            let phrases: Vec<usize> = self.index.terms[found.term]
                .meanings
                .iter()
                .filter_map(|m| if let Meaning::Phrase(p) = m { Some(*p) } else { None })
                .collect();
            for phrase in self.phrases_here(&phrases, context).0 {
                for (fact, meant) in &self.book.phrases[phrase].means {
                    if let (FactKind::Year { .. }, Meant::Value { known: Known::Num(reach), .. }) =
                        (&self.book.base.vocabulary.get(*fact).kind, meant)
                        && let Some((low, high)) = reach.bounds()
                        && low > crate::year::YEARS.0
                        && high < crate::year::YEARS.1
                    {
                        return Some((low, high, found.next));
                    }
                }
            }
        }
        None
    }

    /// Small words at a place.
    fn role(&self, tokens: &[Token], i: usize) -> Option<(Role, usize)> {
        let list = self.roles.get(tokens.get(i)?.text.as_str())?;
        list.iter().find(|(words, _)| numbers::words_at(tokens, i, words)).map(|(words, role)| (*role, i + words.len()))
    }

    /// Choices of the fact asked for that begin like what was typed.
    fn beginning(&self, tokens: &[Token], i: usize, context: &Context) -> Option<(Hit, usize)> {
        let asked = context.asked?;
        if !matches!(self.book.base.vocabulary.get(asked).kind, FactKind::Choice(_) | FactKind::Several(_) | FactKind::Entry(_)) {
            return None;
        }
        let end = (i..tokens.len()).find(|k| tokens[*k].kind != Kind::Word).unwrap_or(tokens.len()).min(i + 6);
        for next in (i + 1..=end).rev() {
            let words: Vec<&str> = tokens[i..next].iter().map(|t| t.text.as_str()).collect();
            let words = words.join(" ");
            if words.chars().count() < 2 {
                continue;
            }
            let found = self.index.beginning(asked, &words);
            if (1..=4).contains(&found.len()) {
                let options = found.len() > 1;
                let values = found.into_iter().map(|v| (asked, v)).collect();
                return Some((Hit { values, options, ..Hit::default() }, next));
            }
        }
        None
    }

    /// Reads pieces into stretches.
    pub(super) fn lex(&self, tokens: &[Token], context: &Context) -> Vec<Lexeme> {
        let found: Vec<Vec<Found>> = (0..tokens.len()).map(|i| self.index.at(tokens, i, context.year)).collect();
        let mut active = active(tokens, &self.index, &found);
        self.stacked(tokens, &found, &mut active);
        let asked = context.asked.map(|f| &self.book.base.vocabulary.get(f).kind);
        let asks_number = matches!(asked, Some(FactKind::Number { .. }));
        let asks_year = matches!(asked, Some(FactKind::Year { .. }));
        let mut out: Vec<Lexeme> = Vec::new();
        let mut i = 0;
        while i < tokens.len() {
            let (piece, next) = self.one(tokens, i, context, &found, &active[i], asks_number, asks_year, &mut out);
            let next = next.clamp(i + 1, tokens.len());
            let mended = tokens[i..next].iter().any(|t| t.slip);
            out.push(Lexeme { piece, at: tokens[i].at.start..tokens[next - 1].at.end, mended });
            i = next;
        }
        out
    }

    /// "Acrylic over old oil paint": where one kind of coat lies over another, words too plain for a coat by themselves are one.
    fn stacked(&self, tokens: &[Token], found: &[Vec<Found>], active: &mut [Vec<FactId>]) {
        const LIES: &[&str] = &["over", "on", "under", "underneath", "beneath", "below", "above"];
        let Some(kind) = self.kind else { return };
        let coat = |k: &usize| {
            found[*k].iter().any(|f| self.index.terms[f.term].meanings.iter().any(|m| matches!(m, Meaning::Value(f, _) if *f == kind)))
        };
        for i in (0..tokens.len()).filter(|i| LIES.contains(&tokens[*i].text.as_str())) {
            let upper = (i.saturating_sub(3)..i).rev().find(coat);
            let lower = (i + 1..tokens.len().min(i + 5)).find(coat);
            if let (Some(upper), Some(lower)) = (upper, lower) {
                active[upper].push(kind);
                active[lower].push(kind);
            }
        }
    }

    #[expect(clippy::too_many_arguments, reason = "what stands around one piece")]
    fn one(
        &self,
        tokens: &[Token],
        i: usize,
        context: &Context,
        found: &[Vec<Found>],
        active: &[FactId],
        asks_number: bool,
        asks_year: bool,
        before: &mut [Lexeme],
    ) -> (Piece, usize) {
        // The day of a letter is no year of building; what it is said of has to be asked back about. "Built 12 May 1890" tells the year.
        let of_building = asks_year || tokens[..i].iter().any(|t| matches!(t.text.as_str(), "built" | "dates"));
        if let Some(next) = years::day(tokens, i) {
            let year = next - 1;
            return if of_building { (Piece::Role(Role::Filler), year.max(i + 1)) } else { (Piece::Unknown, next) };
        }
        let parts = |t: &Token| matches!(t.kind, Kind::Sign(',' | ';'));
        let listed = tokens.iter().any(parts);
        let alone = |next: usize| listed && (i == 0 || parts(&tokens[i - 1])) && tokens.get(next).is_none_or(parts);
        let hit = (0..found[i].len()).find_map(|from| {
            let (mut hit, next) = self.hit(&found[i][from..], context, active, &alone)?;
            if self.cuts_into(tokens, i..next, &hit, context, found) {
                return None;
            }
            hit.swallows = self.swallows(&hit, found, i, next);
            // A firm's remark does not stand in for what the words in it say.
            let says = hit.phrases.iter().any(|p| !self.book.phrases[*p].means.is_empty());
            (!hit.swallows || says).then_some((hit, next))
        });
        let role = self.role(tokens, i);
        let figures = tables::may_begin_figures(&tokens[i]);
        let era = |k: usize| found.get(k).and_then(|f| self.era(f, context));
        let years = if figures || era(i).is_some() { years::years(tokens, i, context.year, asks_year, &era) } else { None };
        let measure = if !figures || self.over_a_coat(tokens, i, before) { None } else { sizes::measure(tokens, i) };
        // A four-figure number is a year unless a number was asked for.
        let years = years.filter(|y| !(asks_number && measure.as_ref().is_some_and(|m| m.next >= y.next)));
        let coat = which::which_coat(tokens, i);
        let says = |h: &Hit| !(h.values.is_empty() && h.phrases.is_empty());
        let mut best: Option<(usize, u8, Piece)> = None;
        let mut offer = |next: usize, rank: u8, piece: Piece| {
            if best.as_ref().is_none_or(|(n, r, _)| (next, rank) > (*n, *r)) {
                best = Some((next, rank, piece));
            }
        };
        if tokens.len() == 1
            && !matches!(role, Some((Role::Yes(_) | Role::No(_) | Role::Unknown(_), _)))
            && hit.as_ref().is_none_or(|(h, _)| !says(h))
            && let Some((hit, next)) = self.beginning(tokens, i, context)
        {
            offer(next, 9, Piece::Hit(hit));
        }
        if let Some((hit, next)) = hit {
            let rank = if says(&hit) { 8 } else { 3 };
            offer(next, rank, Piece::Hit(hit));
        }
        if let Some(years) = years {
            // "built 50 years ago" is no talk of the paint.
            let built = i > 0 && tokens[i - 1].text == "built";
            offer(years.next, if built { 9 } else { 7 }, Piece::Years(years));
        }
        if let Some(measure) = measure {
            offer(measure.next, 6, Piece::Measure(measure));
        }
        if let Some((which, next)) = coat {
            offer(next, 5, Piece::Coat(which));
        }
        if let Some((role, next)) = role {
            offer(next, if role == Role::Filler { 2 } else { 4 }, Piece::Role(role));
        }
        // "Tests 2.3", "reads 17 %": the verb of an instrument before its figure says no more than the figure.
        if MEASURES.contains(&tokens[i].text.as_str()) && sizes::measure(tokens, i + 1).is_some() {
            offer(i + 1, 4, Piece::Role(Role::Filler));
        }
        // "eight layers at least", "six coats or more": the bound stands behind what is counted.
        if let Some((length, bound)) = numbers::behind(tokens, i)
            && best.as_ref().is_none_or(|(next, ..)| i + length >= *next)
            && numbers::count(tokens, i + length).is_none()
            && let Some(measure) =
                before.iter_mut().rev().take(3).find_map(|l| if let Piece::Measure(m) = &mut l.piece { Some(m) } else { None })
            && measure.bound.is_none()
        {
            measure.bound = Some(bound);
            return (Piece::Role(Role::Filler), i + length);
        }
        if let Some((next, _, piece)) = best {
            return (piece, next);
        }
        if let Kind::Sign(sign) = tokens[i].kind {
            return match sign {
                ':' | '?' if i > 0 && i + 1 < tokens.len() => (Piece::Role(Role::Asks), i + 1),
                ',' | ';' | '.' | '!' | '-' | '(' | ')' | ':' => (Piece::Break, i + 1),
                '?' => (Piece::Role(Role::Doubt), i + 1),
                '/' => (Piece::Role(Role::Or), i + 1),
                '\'' | '"' | '…' => (Piece::Role(Role::Filler), i + 1),
                _ => (Piece::Unknown, i + 1),
            };
        }
        // The beginning of a choice stands for it only where it stands by itself: "car" in a sentence is no carpet.
        let parts = |t: &Token| matches!(t.kind, Kind::Sign(',' | ';' | '.' | '!' | '?' | ':' | '(' | ')'));
        let starts = i == 0;
        match self.beginning(tokens, i, context).filter(|(_, next)| starts && tokens.get(*next).is_none_or(parts)) {
            Some((hit, next)) => (Piece::Hit(hit), next),
            None => (Piece::Unknown, i + 1),
        }
    }

    /// Whether "over", "under" and the like stand behind a coat: they tell where it lies, not how many coats there are.
    fn over_a_coat(&self, tokens: &[Token], i: usize, before: &[Lexeme]) -> bool {
        let place = matches!(tokens[i].text.as_str(), "over" | "under" | "above" | "below");
        place
            && before.last().is_some_and(
                |l| matches!(&l.piece, Piece::Hit(h) if h.values.iter().any(|(f, _)| Some(*f) == self.kind) || h.names.iter().any(|f| Some(*f) == self.layers)),
            )
    }
}

/// Verbs of an instrument before its figure.
const MEASURES: &[&str] = &["tests", "tested", "measures", "measured", "reads", "reading"];

/// The small words by their first word, longest first.
pub(super) fn roles() -> std::collections::BTreeMap<&'static str, Vec<(Vec<&'static str>, Role)>> {
    let mut out: std::collections::BTreeMap<&'static str, Vec<(Vec<&'static str>, Role)>> = std::collections::BTreeMap::new();
    for (role, says) in super::tables::ROLES {
        for text in *says {
            let words: Vec<&str> = text.split(' ').collect();
            out.entry(words[0]).or_default().push((words, *role));
        }
    }
    for list in out.values_mut() {
        list.sort_by_key(|(words, _)| std::cmp::Reverse(words.len()));
    }
    out
}

/// Every small word, so that none is taken for a mistyped word of the trade.
pub(super) fn words() -> std::collections::BTreeSet<Word> {
    let mut out = std::collections::BTreeSet::new();
    for (_, says) in super::tables::ROLES {
        out.extend(says.iter().flat_map(|s| s.split(' ')));
    }
    out.extend(super::tables::NUMBERS.iter().map(|(w, _)| *w));
    out.extend(super::tables::SCALES.iter().map(|(w, _)| *w));
    out.extend(super::tables::PARTS.iter().map(|(w, _)| *w));
    out.extend(super::tables::DECADES.iter().map(|(w, _)| *w));
    out.extend(super::tables::ORDINALS.iter().map(|(w, _)| *w));
    out.extend(super::tables::units().flat_map(|(w, _)| w));
    out
}
