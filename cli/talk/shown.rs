//! What nobody can see with the eye has to be shown by something: whoever says that there is no lead is asked how it was tested.
//!
//! Of such a fact (`shown_by` in its pack) a value that asks for less care is kept as a doubt until the fact it names has been
//! told and shows it. Only what was said for certain is made certain then, and only in this session: after that the question
//! what it is comes once more.

use super::dialogue::Next;
use super::document::{At, Edit, quoted};
use super::session::{Asked, Session};
use super::settling::doubted;
use ovolo_engine::answer::Statement;
use ovolo_engine::survey::{Facts, Stated, Survey};
use ovolo_engine::vocabulary::{About, FactId, FactKind, Known};
use std::borrow::Cow;
use std::ops::Range;

/// What was said for certain of one thing and waits for what shows it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Unshown {
    at: At,
    fact: FactId,
    by: FactId,
    /// The value, as a survey writes it.
    toml: String,
}

/// What stands behind a value that is kept as a doubt for it.
const IN_DOUBT: &str = " (in doubt until it is known how that was found, so it counts as open)";

impl Session<'_> {
    /// What some edits would clear with nothing to show it.
    fn unshown_in(&self, after: &Survey) -> Vec<Unshown> {
        let vocabulary = &self.book.base.vocabulary;
        let mut out = Vec::new();
        for (fact, it) in vocabulary.iter() {
            let Some(by) = it.shown_by else { continue };
            for (at, facts) in things(after, it.about) {
                let Some(stated) = facts.get(&fact).filter(|s| self.clears(fact, s)) else { continue };
                let shown = facts.get(&by).is_some_and(|s| self.clears(by, s));
                let stood = self.facts_at(at).and_then(|f| f.get(&fact)).is_some_and(|s| s.known == stated.known);
                if !shown && !stood {
                    out.extend(self.written(fact, &stated.known).map(|toml| Unshown { at, fact, by, toml }));
                }
            }
        }
        out
    }

    /// Whether one value is left, and that one asks for less care.
    fn clears(&self, fact: FactId, stated: &Stated) -> bool {
        let it = self.book.base.vocabulary.get(fact);
        stated.known.settled(it, &self.book.base.catalogue) && it.eased_by(&stated.known)
    }

    /// Whether what was said for certain still stands there, as a doubt.
    fn still_waits(&self, u: &Unshown, facts: &Facts) -> bool {
        facts.get(&u.fact).is_some_and(|s| !self.clears(u.fact, s) && s.written.contains(u.toml.trim_matches('"')))
    }

    /// What was said for certain before and is shown now.
    fn shown_in(&self, after: &Survey) -> Vec<Unshown> {
        let vocabulary = &self.book.base.vocabulary;
        let shown = |u: &&Unshown| {
            things(after, vocabulary.get(u.fact).about).iter().any(|(at, facts)| {
                let by = facts.get(&u.by).is_some_and(|s| self.clears(u.by, s));
                *at == u.at && by && self.still_waits(u, facts)
            })
        };
        self.unshown.iter().filter(shown).cloned().collect()
    }

    /// Edits with what has to be shown as a doubt, and what is shown by them for certain; the words for it go with them.
    pub(super) fn as_far_as_shown(&mut self, edits: &[Edit], echo: &str) -> (Vec<Edit>, String) {
        let (mut edits, mut echo) = (edits.to_vec(), echo.to_owned());
        let Ok((_, after)) = self.tried(&edits) else { return (edits, echo) };
        let base = &self.book.base;
        let shown = self.shown_in(&after);
        for u in &shown {
            edits.push(Edit::Fact { at: u.at, fact: u.fact, toml: u.toml.clone() });
        }
        if let Some(u) = shown.first() {
            let value = self.value_of(u);
            echo = format!("{echo}; {}: {value}", base.vocabulary.get(u.fact).title);
        }
        self.unshown.retain(|u| !shown.contains(u));
        let unshown = self.unshown_in(&after);
        let mut told: Vec<FactId> = Vec::new();
        for u in unshown {
            edits.push(Edit::Fact { at: u.at, fact: u.fact, toml: doubted(&u.toml) });
            if !told.contains(&u.fact) {
                told.push(u.fact);
                let value = format!(": {}", self.value_of(&u));
                let title = base.vocabulary.get(u.fact).title.split(" in ").next().unwrap_or_default().to_owned();
                let of_it = |part: &str| part.starts_with(&title) && part.ends_with(&value);
                let mut parts: Vec<String> = echo.split("; ").map(str::to_owned).collect();
                match parts.iter_mut().find(|p| of_it(p)) {
                    Some(part) => part.push_str(IN_DOUBT),
                    None => parts.push(format!("{title}{value}{IN_DOUBT}")),
                }
                echo = parts.join("; ");
            }
            let coat = if let At::Coat(_, coat) = u.at { coat } else { None };
            // What it is made certain by is asked now, and it itself not again at once.
            self.later.push(Asked::Fact { fact: u.fact, surface: self.surface, coat });
            self.later.retain(|a| !matches!(a, Asked::Fact { fact, coat: c, .. } if *fact == u.by && *c == coat));
            self.unshown.retain(|o| (o.at, o.fact) != (u.at, u.fact));
            self.unshown.push(u);
        }
        (edits, echo)
    }

    fn value_of(&self, u: &Unshown) -> String {
        let it = self.book.base.vocabulary.get(u.fact);
        let catalogue = &self.book.base.catalogue;
        let plain = u.toml.trim_matches('"');
        (0..it.width(catalogue))
            .find(|i| it.choice_id(*i, catalogue) == plain)
            .map_or_else(|| plain.to_owned(), |i| it.choice_title(i, catalogue).to_owned())
    }

    /// The question what it was found with, for what waits for that.
    pub(super) fn what_shows_it(&mut self) -> Option<Next> {
        let waits = self.unshown.iter().find(|u| {
            let open = self.facts_at(u.at).is_some_and(|f| self.still_waits(u, f) && !f.contains_key(&u.by));
            open && matches!(u.at, At::Coat(s, _) | At::Surface(s) if s == self.surface) && !self.later.contains(&Self::asking_for(u))
        })?;
        let asked = Self::asking_for(waits);
        let it = self.book.base.vocabulary.get(waits.by);
        let coats = self.survey.surfaces.get(self.surface).and_then(|s| s.coats.as_ref()).map_or(1, Vec::len);
        let whom = match waits.at {
            At::Coat(s, Some(c)) if coats > 1 => format!("Coat {} of {}: ", c + 1, self.survey.surfaces[s].name),
            _ => String::new(),
        };
        let catalogue = &self.book.base.catalogue;
        let titles: Vec<&str> = (0..it.width(catalogue)).map(|i| it.choice_title(i, catalogue)).collect();
        let among = if titles.len() > 2 { format!(" ({})", titles.join(" / ")) } else { String::new() };
        Some(Next { asked: Some(asked), short: format!("{whom}{}", it.question), among, ..Next::default() })
    }

    fn asking_for(u: &Unshown) -> Asked {
        match u.at {
            At::Site => Asked::Fact { fact: u.by, surface: 0, coat: None },
            At::Surface(surface) => Asked::Fact { fact: u.by, surface, coat: None },
            At::Coat(surface, coat) => Asked::Fact { fact: u.by, surface, coat },
        }
    }

    /// A statement beside which nothing was left over but that it was tested: with what is asked, and nothing else.
    pub(super) fn only_tested<'s>(&self, line: &str, statement: &'s Statement) -> Cow<'s, Statement> {
        let by = self.book.base.vocabulary.get(statement.fact).shown_by;
        let names = |r: &Range<usize>| line.get(r.clone()).and_then(|t| self.fact_named(t)).map(|(f, _)| f) == by;
        if by.is_none() || statement.unread.is_empty() || !statement.unread.iter().all(names) {
            return Cow::Borrowed(statement);
        }
        let mut plain = statement.clone();
        plain.unread.clear();
        plain.readings.iter_mut().for_each(|r| r.sure = true);
        Cow::Owned(plain)
    }

    /// A value as a survey writes it, where it is one.
    pub(super) fn written(&self, fact: FactId, known: &Known) -> Option<String> {
        let it = self.book.base.vocabulary.get(fact);
        let Known::Bits(bits) = known else { return None };
        let only = bits.is_power_of_two().then(|| bits.trailing_zeros() as usize)?;
        Some(match it.kind {
            FactKind::YesNo => (only == 1).to_string(),
            _ => quoted(it.choice_id(only, &self.book.base.catalogue)),
        })
    }
}

/// The things of a survey that facts are about, with what is stated of them.
fn things(survey: &Survey, about: About) -> Vec<(At, &Facts)> {
    let surfaces = || survey.surfaces.iter().enumerate();
    match about {
        About::Site => vec![(At::Site, &survey.site)],
        About::Surface => surfaces().map(|(i, s)| (At::Surface(i), &s.facts)).collect(),
        About::Coat => {
            surfaces().flat_map(|(i, s)| s.coats.iter().flatten().enumerate().map(move |(c, f)| (At::Coat(i, Some(c)), f))).collect()
        }
        About::Method | About::Incident | About::Trouble => Vec::new(),
    }
}
