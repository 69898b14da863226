//! Judging a drafted survey with both books: nothing is reported that was not seen to happen.

use super::draft::Draft;
use super::space::{Space, Var};
use super::{Side, Survey as Shown};
use crate::catalogue::EntryKind;
use crate::diagnostic::SourceFile;
use crate::judge::in_force::{InForce, Ready};
use crate::judge::know::{How, Slots};
use crate::judge::walk::{self as judge, Domain};
use crate::judge::{Subject, Verdict, with_proposal};
use crate::pack::Ruling;
use crate::survey::Survey;
use crate::vocabulary::About;
use jiff::civil::Date;
use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::rc::Rc;

/// The most that is spent in the search for one survey: a look at one rule is 1, a verdict 10.
const MOST_JUDGED: usize = 2_000;

/// The most facts of a draft whose parts are all tried.
const MOST_STATED: usize = 7;

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

/// What a rule that was made ready does, over all coats.
pub(crate) fn doing(subject: &Subject<'_, '_>, ready: &Ready, settings: &Slots) -> Does {
    let each = subject.look(ready, settings, None).into_iter().map(|f| match f.finding {
        f if f.certain() => Does::Applies,
        f if !f.applies.is_empty() => Does::Open,
        f if f.fails.is_some() => Does::Fails,
        _ => Does::Silent,
    });
    each.max().unwrap_or(Does::Silent)
}

/// What a rule does, over all coats.
fn does(subject: &Subject<'_, '_>, rule: usize, method: Option<usize>, settings: &Slots) -> Does {
    let force = subject.force;
    let own: Vec<_> = match method {
        Some(m) => force.by_rule(rule, m).collect(),
        None => force.general.iter().filter(|r| r.rule == rule).collect(),
    };
    own.into_iter().map(|ready| doing(subject, ready, settings)).max().unwrap_or(Does::Silent)
}

/// A draft, and what is left of it without one or two of the facts stated after the first `fixed`: what is stated can
/// keep a presumption from holding.
fn parts(draft: &Draft, fixed: usize) -> Vec<Draft> {
    let less = |gone: &[usize]| {
        let kept = draft.stated.iter().enumerate().filter(|(i, _)| !gone.contains(i)).map(|(_, s)| s.clone());
        Draft { stated: kept.collect(), ..draft.clone() }
    };
    let more = fixed..draft.size();
    let mut out = vec![draft.clone()];
    out.extend(more.clone().map(|i| less(&[i])));
    out.extend(more.clone().flat_map(|i| (i + 1..more.end).map(move |j| [i, j])).map(|gone| less(&gone)));
    out
}

type Key = (Side, Option<String>, Date);

/// What the two books are to each other, for whoever reads a survey.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Sense {
    /// Packs, and the same with others on top.
    Proof,
    /// What was before, and what came after.
    Comparison,
    /// The other way round: what came after, and what was before.
    Backwards,
}

impl Sense {
    fn names(self) -> [&'static str; 2] {
        match self {
            Self::Proof => ["without what is added", "with it"],
            Self::Comparison => ["before", "after"],
            Self::Backwards => ["after", "before"],
        }
    }

    /// The book whose survey is shown first.
    fn shown(self) -> Side {
        if self == Self::Backwards { Side::Old } else { Side::New }
    }
}

/// Both books, made ready for places and dates as they are needed.
pub(crate) struct Trial<'s, 'b> {
    pub(crate) space: &'s Space<'b>,
    sense: Sense,
    ready: RefCell<BTreeMap<Key, Rc<InForce<'b>>>>,
    left: Cell<usize>,
}

impl<'s, 'b> Trial<'s, 'b> {
    pub(crate) fn new(space: &'s Space<'b>, sense: Sense) -> Self {
        Self { space, sense, ready: RefCell::default(), left: Cell::new(MOST_JUDGED) }
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

    /// Reads a draft with one book and makes it ready to be judged; `None` where the book cannot read it.
    fn judged<T>(&self, side: Side, draft: &Draft, then: impl FnOnce(&Subject<'_, '_>, Option<usize>, &Slots) -> T) -> Option<T> {
        let text = draft.text(self.space, side, "trial");
        let book = self.space.books[side as usize];
        let (survey, _) = Survey::read(&SourceFile::new("trial", text), book).ok()?;
        let force = self.force(side, draft.place.as_deref(), draft.dates[side as usize]);
        let method = match &draft.method {
            Some(id) => Some(book.base.catalogue.find(EntryKind::Method, id)?),
            None => None,
        };
        let (subject, settings) = match (survey.surfaces[0].proposals.first(), method) {
            (Some(p), _) => with_proposal(&force, &survey, 0, p, &[]),
            (None, m) => (Subject::new(&force, &survey, 0, &[]), force.method(m.unwrap_or(0), None, &[])),
        };
        Some(then(&subject, method, &settings))
    }

    /// What a book says of a draft; `None` where the book cannot read it.
    pub(crate) fn said(&self, side: Side, draft: &Draft, rule: Option<&str>) -> Option<Said> {
        Some(Said { verdict: self.verdict(side, draft)?, rule: self.does(side, draft, rule)? })
    }

    /// What a rule does in a draft.
    pub(crate) fn does(&self, side: Side, draft: &Draft, rule: Option<&str>) -> Option<Does> {
        let rule = rule.and_then(|id| self.space.books[side as usize].rules.iter().position(|r| r.id == id));
        self.judged(side, draft, |subject, method, settings| {
            rule.filter(|r| !subject.departed.contains(r)).map_or(Does::Silent, |r| does(subject, r, method, settings))
        })
    }

    /// The verdict on a draft: `Some(None)` where it is about no method.
    #[expect(clippy::option_option, reason = "not judged, and judged about no method, are two things")]
    fn verdict(&self, side: Side, draft: &Draft) -> Option<Option<Verdict>> {
        self.judged(side, draft, |subject, method, settings| method.map(|m| subject.judge(m, settings).verdict))
    }

    /// The presumption that gives a fact its value in a draft, and what it belongs to.
    pub(crate) fn presumed(&self, side: Side, draft: &Draft, fact: usize) -> Option<(String, String)> {
        let book = self.space.books[side as usize];
        let id = self.space.facts[fact].own[side as usize]?;
        self.judged(side, draft, |subject, _, settings| {
            let slot = subject.slot(judge::Var::Fact(id, 0), settings)?;
            match slot.how {
                How::Presumed(p) => Some((book.presumptions[p].id.clone(), book.presumptions[p].pack.clone())),
                _ => None,
            }
        })?
    }

    /// The draft with a departure recorded from every rule of weaker ground that stands in the way: what is left is what law and
    /// standards say.
    fn departed(&self, draft: &Draft) -> Option<Draft> {
        let mut out = draft.clone();
        let book = self.space.books[Side::New as usize];
        let against = self.judged(Side::New, draft, |subject, method, settings| {
            method.map(|m| subject.judge(m, settings).against.iter().map(|f| f.rule).collect::<Vec<usize>>())
        })??;
        for rule in against {
            let rule = &book.rules[rule];
            if rule.basis.can_be_departed_from() && !out.departures.contains(&rule.id) {
                out.departures.push(rule.id.clone());
            }
        }
        (out.departures != draft.departures).then_some(out)
    }

    /// The draft with more stated, so that nothing else is open in the second book: its own example of how the method would suit.
    fn completed(&self, draft: &Draft) -> Option<Draft> {
        let good = self.judged(Side::New, draft, |subject, method, settings| {
            let judged = subject.judge(method?, settings);
            judged.good
        })??;
        let way: super::space::Way = good
            .into_iter()
            .filter_map(|(var, domain)| match var {
                judge::Var::Fact(f, 0) => {
                    let fact = self.space.joint(Side::New, f);
                    match domain {
                        Domain::Bits(b) => Some((Var::Named(fact), Domain::Bits(self.space.lift(Side::New, fact, b)))),
                        number @ Domain::Num(_) => Some((Var::Number(fact), number)),
                    }
                }
                judge::Var::Choice(f, option, 0) => {
                    let fact = self.space.joint(Side::New, f);
                    let option = self.space.lift(Side::New, fact, 1 << option).trailing_zeros() as u8;
                    Some((Var::Choice(fact, option), domain))
                }
                _ => None,
            })
            .collect();
        let mut out = draft.clone();
        for statement in super::draft::state(self.space, &way, 0)? {
            if !out.stated.iter().any(|s| s.fact == statement.fact) {
                out.stated.push(statement);
            }
        }
        (out.stated != draft.stated).then_some(out)
    }

    /// Begins a new search, with as much to spend as any.
    pub(crate) fn begin(&self) {
        self.left.set(MOST_JUDGED);
    }

    fn spend(&self, units: usize) -> Option<()> {
        self.left.set(self.left.get().checked_sub(units)?);
        Some(())
    }

    /// Whether the second book is looser on a draft: as far as the rule goes, and if it is not, or a verdict is wanted, in its
    /// verdict.
    fn looser(&self, draft: &Draft, rule: Option<&str>, wanted: Looser) -> Option<Looser> {
        if wanted == Looser::Rule && rule.is_some() && self.says_less(draft, rule)? {
            return Some(Looser::Rule);
        }
        draft.method.as_ref()?;
        self.spend(10)?;
        let [old, new] = [Side::Old, Side::New].map(|side| self.verdict(side, draft));
        (weight(new??) < weight(old??)).then_some(Looser::Verdict)
    }

    /// Whether a rule says less of a draft in the second book.
    fn says_less(&self, draft: &Draft, rule: Option<&str>) -> Option<bool> {
        self.spend(1)?;
        Some(self.does(Side::New, draft, rule)? < self.does(Side::Old, draft, rule)?)
    }

    /// A draft on which the second book is seen to be looser, with everything taken out that is not needed for it.
    ///
    /// A looser verdict is sought first: with departures recorded from rules of weaker ground, and with what else is open stated.
    /// Failing that, the rule itself is seen to say less.
    pub(crate) fn smallest(&self, draft: Draft, rule: Option<&str>) -> Option<(Draft, Looser)> {
        let draft = if draft.method.is_none() { self.with_a_method(draft, rule) } else { draft };
        let (mut draft, mut level) = self.first_seen(draft, rule)?;
        // A caution leaves the verdict as it is.
        let restricts = rule.is_none_or(|id| self.space.books[0].rule(id).is_none_or(|r| r.ruling <= Ruling::Hold));
        if level == Looser::Rule && restricts && self.looser(&draft, rule, Looser::Verdict).is_some() {
            level = Looser::Verdict;
        }
        if level == Looser::Rule && restricts {
            let stated = draft.size();
            let completed = |d: &Option<Draft>| d.as_ref().and_then(|d| self.completed(d));
            let departed = self.departed(&draft);
            let filled = self.completed(&draft);
            let both = completed(&departed);
            'more: for more in [filled, departed, both].into_iter().flatten() {
                for part in parts(&more, stated) {
                    if self.looser(&part, rule, Looser::Verdict).is_some() {
                        (draft, level) = (part, Looser::Verdict);
                        break 'more;
                    }
                }
            }
        }
        let keeps = |less: &Draft| self.looser(less, rule, level) == Some(level);
        // From the back: what belongs to coats is tried before what lies around them.
        loop {
            let before = draft.size();
            for at in (0..before).rev() {
                let mut less = draft.clone();
                less.stated.remove(at);
                if keeps(&less) {
                    draft = less;
                }
            }
            if draft.size() == before {
                break;
            }
        }
        if draft.no_coats {
            let less = Draft { no_coats: false, ..draft.clone() };
            if keeps(&less) {
                draft = less;
            }
        }
        for at in (0..draft.departures.len()).rev() {
            let mut less = draft.clone();
            less.departures.remove(at);
            if keeps(&less) {
                draft = less;
            }
        }
        Some((draft, level))
    }

    /// The draft, or the largest part of it, on which the second book is looser: a presumption may need something to be left open.
    fn first_seen(&self, draft: Draft, rule: Option<&str>) -> Option<(Draft, Looser)> {
        if let Some(level) = self.looser(&draft, rule, Looser::Rule) {
            return Some((draft, level));
        }
        let facts = draft.stated.len();
        if facts == 0 || facts > MOST_STATED {
            return None;
        }
        let mut parts: Vec<u32> = (0..(1_u32 << facts) - 1).collect();
        parts.sort_by_key(|kept| std::cmp::Reverse(kept.count_ones()));
        for kept in parts {
            let stated = draft.stated.iter().enumerate().filter(|(i, _)| kept >> i & 1 == 1).map(|(_, s)| s.clone()).collect();
            let part = Draft { stated, ..draft.clone() };
            let level = match rule {
                Some(_) => self.says_less(&part, rule)?.then_some(Looser::Rule),
                None => self.looser(&part, rule, Looser::Verdict),
            };
            if let Some(level) = level {
                return Some((part, level));
            }
        }
        None
    }

    /// A rule that reads no method is shown on one whose verdict it changes, if there is one.
    fn with_a_method(&self, draft: Draft, rule: Option<&str>) -> Draft {
        let methods = self.space.books[0].base.catalogue.ids(EntryKind::Method);
        for id in methods {
            let with = Draft { method: Some(id.to_owned()), ..draft.clone() };
            if self.looser(&with, rule, Looser::Verdict).is_some() {
                return with;
            }
        }
        draft
    }

    /// A survey to be shown, with what each book says of it.
    pub(crate) fn shown(&self, draft: &Draft, rule: Option<&str>, why: &str) -> Option<Shown> {
        let sides = [Side::Old, Side::New];
        let said = [self.said(sides[0], draft, rule)?, self.said(sides[1], draft, rule)?];
        let verdicts = said.map(|s| s.verdict);
        let line = |i: usize| {
            let verdict = verdicts[i].map_or_else(String::new, |v| format!("{v}; "));
            let does = rule.map_or_else(String::new, |r| format!("`{r}` {}", said[i].rule.words()));
            format!("# {}: {verdict}{does}", self.sense.names()[i]).trim_end_matches([' ', ';']).to_owned()
        };
        let mut head = format!("# {why}\n");
        if let Some(method) = &draft.method {
            let _ = writeln!(head, "# Method: {method}");
        }
        let proposed = draft.stated.iter().any(|s| s.proposed || self.space.facts[s.fact].about == About::Method);
        let how = match &draft.method {
            Some(method) if !proposed => format!("check {method} on this survey"),
            _ => "ask for advice on this survey".to_owned(),
        };
        let (first, second) = if self.sense == Sense::Backwards { (line(1), line(0)) } else { (line(0), line(1)) };
        let other = if self.sense == Sense::Proof { "without the packs on top and with them" } else { "with either rule book" };
        let _ = write!(head, "{first}\n{second}\n# Try it: {how}, {other}\n\n");
        let body = |side: Side| draft.text(self.space, side, "Smallest survey that shows it");
        let (shown, against) = if self.sense.shown() == Side::New { (Side::New, Side::Old) } else { (Side::Old, Side::New) };
        let lacks = |side: Side| {
            draft.stated.iter().any(|s| self.space.facts[s.fact].own[side as usize].is_none())
                || draft.departures.iter().any(|d| self.space.books[side as usize].rule(d).is_none())
        };
        let unlike = lacks(against) || draft.dates[0] != draft.dates[1];
        Some(Shown {
            text: format!("{head}{}", body(shown)),
            without: unlike.then(|| format!("{head}{}", body(against))),
            method: draft.method.clone(),
            facts: draft.words(self.space),
            stated: draft.size(),
            verdicts,
            rule: said.map(|s| s.rule.words().to_owned()),
        })
    }
}
