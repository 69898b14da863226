//! Judging a drafted survey with both books: nothing is reported that was not seen to happen.

use super::draft::Draft;
use super::space::Space;
use super::{Side, Survey as Shown};
use crate::catalogue::EntryKind;
use crate::diagnostic::SourceFile;
use crate::judge::in_force::InForce;
use crate::judge::{Subject, Verdict, with_proposal};
use crate::survey::Survey;
use jiff::civil::Date;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

/// What a rule does in a survey.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Does {
    /// It says nothing.
    Silent,
    /// It cannot be worked out, and says so.
    Fails,
    /// It depends on something open.
    Open,
    /// It applies.
    Applies,
}

impl Does {
    fn words(self) -> &'static str {
        match self {
            Self::Silent => "is silent",
            Self::Fails => "cannot be worked out",
            Self::Open => "is open",
            Self::Applies => "applies",
        }
    }
}

/// What one book says of a draft.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Said {
    pub(crate) verdict: Option<Verdict>,
    pub(crate) rule: Does,
}

/// How much a verdict forbids: 0 nothing, 1 conditions, 2 not yet, 3 not at all.
pub(crate) fn weight(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::Suited => 0,
        Verdict::SuitedWithCare => 1,
        Verdict::OnHold | Verdict::CantTellYet => 2,
        Verdict::RuledOut => 3,
    }
}

/// How the second book is looser than the first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Looser {
    /// The rule says less.
    Rule,
    /// The verdict forbids less.
    Verdict,
}

fn looser(old: Said, new: Said) -> Option<Looser> {
    match (old.verdict, new.verdict) {
        (Some(a), Some(b)) if weight(b) < weight(a) => Some(Looser::Verdict),
        _ => (new.rule < old.rule).then_some(Looser::Rule),
    }
}

type Key = (Side, Option<String>, Date);

/// Both books, made ready for places and dates as they are needed.
pub(crate) struct Trial<'s, 'b> {
    pub(crate) space: &'s Space<'b>,
    ready: RefCell<BTreeMap<Key, Rc<InForce<'b>>>>,
}

impl<'s, 'b> Trial<'s, 'b> {
    pub(crate) fn new(space: &'s Space<'b>) -> Self {
        Self { space, ready: RefCell::default() }
    }

    pub(crate) fn force(&self, side: Side, place: Option<&str>, date: Date) -> Rc<InForce<'b>> {
        let key = (side, place.map(str::to_owned), date);
        if let Some(found) = self.ready.borrow().get(&key) {
            return Rc::clone(found);
        }
        let made = Rc::new(InForce::new(self.space.books[side as usize], place, date));
        let mut ready = self.ready.borrow_mut();
        // Each holds every tree of a place and date: a few hundred are enough.
        if ready.len() > 200 {
            ready.clear();
        }
        ready.insert(key, Rc::clone(&made));
        made
    }

    /// Reads and judges a draft with one book; `None` where the book cannot read it.
    pub(crate) fn said(&self, side: Side, draft: &Draft, date: Date, rule: Option<&str>) -> Option<Said> {
        let text = draft.text(self.space, side, "trial");
        let book = self.space.books[side as usize];
        let (survey, _) = Survey::read(&SourceFile::new("trial", text), book).ok()?;
        let force = self.force(side, draft.place.as_deref(), date);
        let method = match &draft.method {
            Some(id) => Some(book.base.catalogue.find(EntryKind::Method, id)?),
            None => None,
        };
        let proposal = survey.surfaces[0].proposals.first();
        let (subject, settings) = match (proposal, method) {
            (Some(p), _) => with_proposal(&force, &survey, 0, p, &[]),
            (None, m) => (Subject::new(&force, &survey, 0, &[]), force.method(m.unwrap_or(0), None, &[])),
        };
        let verdict = method.map(|m| subject.judge(m, &settings).verdict);
        let mut does = Does::Silent;
        if let Some(rule) = rule.and_then(|id| book.rules.iter().position(|r| r.id == id)) {
            let own: Vec<_> = match method {
                Some(m) => force.by_rule(rule, m).collect(),
                None => force.general.iter().filter(|r| r.rule == rule).collect(),
            };
            if !subject.departed.contains(&rule) {
                for ready in own {
                    for found in subject.look(ready, &settings, None) {
                        does = does.max(if found.finding.certain() {
                            Does::Applies
                        } else if !found.finding.applies.is_empty() {
                            Does::Open
                        } else if found.finding.fails.is_some() {
                            Does::Fails
                        } else {
                            Does::Silent
                        });
                    }
                }
            }
        }
        Some(Said { verdict, rule: does })
    }

    /// Whether the second book is looser on a draft, and what both say.
    pub(crate) fn compare(&self, draft: &Draft, dates: [Date; 2], rule: Option<&str>) -> Option<(Looser, Said, Said)> {
        let old = self.said(Side::Old, draft, dates[0], rule)?;
        let new = self.said(Side::New, draft, dates[1], rule)?;
        Some((looser(old, new)?, old, new))
    }

    /// The smallest of some drafts on which the second book is seen to be looser, with everything taken out that is not
    /// needed for it.
    pub(crate) fn smallest(&self, drafts: impl Iterator<Item = Draft>, dates: [Date; 2], rule: Option<&str>) -> Option<(Draft, Looser)> {
        let mut best: Option<(Looser, Draft)> = None;
        for mut draft in drafts {
            if draft.method.is_none() {
                draft = self.with_a_method(draft, dates, rule);
            }
            let Some((mut level, ..)) = self.compare(&draft, dates, rule) else { continue };
            // From the back: choices and coats are tried before what lies around them.
            let mut at = draft.stated.len();
            while at > 0 {
                at -= 1;
                let mut less = draft.clone();
                less.stated.remove(at);
                if let Some((next, ..)) = self.compare(&less, dates, rule)
                    && next >= level
                {
                    (draft, level) = (less, next);
                    at = draft.stated.len();
                }
            }
            let better = best.as_ref().is_none_or(|(l, b)| (level, std::cmp::Reverse(draft.size())) > (*l, std::cmp::Reverse(b.size())));
            if better {
                best = Some((level, draft));
            }
            if best.as_ref().is_some_and(|(l, b)| *l == Looser::Verdict && b.size() <= 1) {
                break;
            }
        }
        best.map(|(level, draft)| (draft, level))
    }

    /// A rule that reads no method is shown on one whose verdict it changes, if there is one.
    fn with_a_method(&self, draft: Draft, dates: [Date; 2], rule: Option<&str>) -> Draft {
        let methods = self.space.books[0].base.catalogue.ids(EntryKind::Method);
        for id in methods {
            let with = Draft { method: Some(id.to_owned()), ..draft.clone() };
            if matches!(self.compare(&with, dates, rule), Some((Looser::Verdict, ..))) {
                return with;
            }
        }
        draft
    }

    /// A survey to be shown, with what each book says of it.
    pub(crate) fn shown(&self, draft: &Draft, dates: [Date; 2], rule: Option<&str>, names: [&str; 2], why: &str) -> Option<Shown> {
        let sides = [Side::Old, Side::New];
        let said = [self.said(sides[0], draft, dates[0], rule)?, self.said(sides[1], draft, dates[1], rule)?];
        let verdicts = said.map(|s| s.verdict.map(Verdict::words).map(str::to_owned));
        let line = |i: usize| {
            let verdict = verdicts[i].as_deref().map_or_else(String::new, |v| format!("{v}; "));
            let does = rule.map_or_else(String::new, |r| format!("`{r}` {}", said[i].rule.words()));
            format!("# {}: {verdict}{does}", names[i]).trim_end_matches([' ', ';']).to_owned()
        };
        let mut head = format!("# {why}\n");
        if let Some(method) = &draft.method {
            head.push_str(&format!("# Method: {method}\n"));
        }
        head.push_str(&format!("{}\n{}\n\n", line(0), line(1)));
        let body = |side: Side| draft.text(self.space, side, "Smallest survey that shows it");
        let own = draft.stated.iter().any(|s| self.space.facts[s.fact].own[0].is_none());
        Some(Shown {
            text: format!("{head}{}", body(Side::New)),
            without: own.then(|| format!("{head}{}", body(Side::Old))),
            method: draft.method.clone(),
            facts: draft.words(self.space),
            stated: draft.size(),
            verdicts,
            rule: said.map(|s| s.rule.words().to_owned()),
        })
    }
}
