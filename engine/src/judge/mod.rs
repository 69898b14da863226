//! Judging: verdicts of methods on surfaces under what is known.

pub(crate) mod in_force;
pub(crate) mod know;
pub(crate) mod law;
pub(crate) mod rank;
pub(crate) mod solve;
pub(crate) mod solve_one;
pub(crate) mod walk;

use crate::catalogue::EntryKind;
use crate::error::Error;
use crate::pack::Ruling;
use crate::script::Base;
use crate::survey::{Proposal, Supposition, Survey, place_fits};
use crate::vocabulary::{About, FactId, Known, flag};
use in_force::{InForce, Ready};
use know::{How, Slot, Slots, SurfaceKnown};
use solve::{Boxes, Nature, Region};
use walk::{Domain, Finding, Var, View, Way, walk};

pub(crate) use law::binds;

pub use crate::finding::Verdict;

/// A rule's finding on one coat, or on none.
#[derive(Debug)]
pub(crate) struct Found {
    pub(crate) rule: usize,
    pub(crate) coats: Vec<usize>,
    pub(crate) finding: Finding,
}

/// One case of conditions: for these found values, these choices.
#[derive(Debug, Clone)]
pub(crate) struct CaseOf {
    pub(crate) found: Vec<(Var, Domain)>,
    pub(crate) chosen: Vec<(Var, Domain, Vec<usize>)>,
}

/// A verdict with all it rests on.
#[derive(Debug)]
pub(crate) struct Judged {
    pub(crate) method: usize,
    pub(crate) verdict: Verdict,
    /// Whether a bound of the search was reached, or several open numbers met in one comparison.
    pub(crate) bounded: bool,
    /// Rule-outs and holds that can apply.
    pub(crate) against: Vec<Found>,
    pub(crate) boxes: Boxes,
    /// Conditions; several cases where no single choice serves all.
    pub(crate) cases: Vec<CaseOf>,
    /// For "can't tell yet": found values for which nothing serves, and all values of a way that does.
    pub(crate) bad: Option<Vec<(Var, Domain)>>,
    /// Where only hold points stand against that example: the facts that release them.
    pub(crate) released_by: Vec<FactId>,
    pub(crate) good: Option<Vec<(Var, Domain)>>,
    /// The burden of the conditions.
    pub(crate) burden: f64,
    /// For "on hold": the verdict once every hold is released; conditions and examples are of that verdict. `None` where the bound of
    /// the search was reached.
    pub(crate) released: Option<Verdict>,
    /// For "can't tell yet", where [`Judged::once_released`] was asked: the verdict once every hold is released.
    pub(crate) perhaps: Option<Verdict>,
    /// Found values for which nothing serves even then.
    pub(crate) bad_once_released: Option<Vec<(Var, Domain)>>,
}

/// What is known, for one surface, with the means to judge it.
pub(crate) struct Subject<'b, 'i> {
    pub(crate) force: &'i InForce<'b>,
    pub(crate) site: Slots,
    pub(crate) known: SurfaceKnown,
    /// Rules departed from on this surface.
    pub(crate) departed: Vec<usize>,
    /// What is known of something that has happened, where that is looked at.
    pub(crate) event: Option<(About, Slots)>,
}

impl<'b, 'i> Subject<'b, 'i> {
    pub(crate) fn new(force: &'i InForce<'b>, survey: &Survey, surface: usize, supposed: &[Supposition]) -> Self {
        let mut site = force.site(survey, supposed);
        let known = force.surface(&mut site, &survey.surfaces[surface], supposed);
        let name = &survey.surfaces[surface].name;
        let departed = survey
            .departures
            .iter()
            .filter(|d| d.in_force(force.date) && d.surface.as_ref().is_none_or(|s| s == name))
            .filter_map(|d| force.book.rules.iter().position(|r| r.id == d.rule && r.basis.can_be_departed_from()))
            .collect();
        Self { force, site, known, departed, event: None }
    }

    pub(crate) fn base(&self) -> &'b Base {
        &self.force.book.base
    }

    /// What is known, seen from a coat.
    pub(crate) fn view<'a>(&'a self, coat: usize, method: &'a Slots, unreleased: Option<FactId>) -> View<'a> {
        static NONE: Slots = Vec::new();
        View {
            base: &self.force.book.base,
            site: &self.site,
            surface: &self.known.surface,
            coat: self.known.coats.get(coat).unwrap_or(&NONE),
            coat_index: coat,
            method,
            event: self.event.as_ref().map(|(about, slots)| (*about, slots)),
            unreleased,
        }
    }

    /// What is known of a variable's fact.
    pub(crate) fn slot<'a>(&'a self, var: Var, method: &'a Slots) -> Option<&'a Slot> {
        let (fact, coat) = match var {
            Var::Fact(f, c) | Var::Choice(f, _, c) => (f, c),
            Var::Test(..) => return None,
        };
        let fact = self.force.book.base.vocabulary.get(fact);
        match fact.about {
            About::Site => self.site.get(fact.slot),
            About::Surface => self.known.surface.get(fact.slot),
            About::Coat => self.known.coats.get(usize::from(coat)).and_then(|c| c.get(fact.slot)),
            About::Method => method.get(fact.slot),
            About::Incident | About::Trouble => self.event.as_ref().filter(|(a, _)| *a == fact.about).and_then(|(_, s)| s.get(fact.slot)),
        }
    }

    /// Walks one rule over whatever coats it is about.
    pub(crate) fn look(&self, ready: &Ready, method: &Slots, mut seen: Option<&mut Vec<Var>>) -> Vec<Found> {
        let rule = &self.force.book.rules[ready.rule];
        let one = |coat: usize, seen: Option<&mut Vec<Var>>| self.walked(ready, coat, method, seen);
        if !rule.scope.coat {
            return vec![Found { rule: ready.rule, coats: Vec::new(), finding: one(0, seen) }];
        }
        let coats = 0..self.known.coats.len();
        let findings: Vec<Finding> = coats.clone().map(|c| one(c, seen.as_deref_mut())).collect();
        if !rule.every_coat {
            return findings.into_iter().zip(coats).map(|(finding, c)| Found { rule: ready.rule, coats: vec![c], finding }).collect();
        }
        let Some(finding) = findings.into_iter().reduce(both) else { return Vec::new() };
        vec![Found { rule: ready.rule, coats: coats.collect(), finding }]
    }

    /// Walks one rule, seen from one coat. What is only presumed unlocks nothing: see [`law`].
    pub(crate) fn walked(&self, ready: &Ready, coat: usize, method: &Slots, seen: Option<&mut Vec<Var>>) -> Finding {
        let rule = &self.force.book.rules[ready.rule];
        let view = self.view(coat, method, rule.released_by);
        if !law::binds(rule) && rule.released_by.is_none() {
            return walk(&ready.tree, &view, seen);
        }
        let mut own = Vec::new();
        let finding = walk(&ready.tree, &view, Some(&mut own));
        let finding = law::unlocked_by_nothing(self, ready, coat, method, &own, finding);
        if let Some(seen) = seen {
            for var in own {
                if !seen.contains(&var) {
                    seen.push(var);
                }
            }
        }
        finding
    }

    /// Judges a method.
    pub(crate) fn judge(&self, method: usize, settings: &Slots) -> Judged {
        self.judge_seeing(method, settings, None)
    }

    /// Judges a method; `seen` collects what the verdict rests on.
    pub(crate) fn judge_seeing(&self, method: usize, settings: &Slots, mut seen: Option<&mut Vec<Var>>) -> Judged {
        let mut against: Vec<Found> = Vec::new();
        for ready in self.against(method) {
            // A hold that reads no method stops work on the coats, not keeping them as they are: it is the rule's own
            // business to read the method if it means only some methods.
            against.extend(self.look(ready, settings, seen.as_deref_mut()).into_iter().filter(|f| !f.finding.applies.is_empty()));
        }
        self.decide(method, against, settings)
    }

    /// Whether a method suits, as [`Self::judge`] would say, without working out more than that takes: what no choice keeps away
    /// leaves nothing to decide.
    pub(crate) fn suits(&self, method: usize, settings: &Slots) -> bool {
        let vocabulary = &self.base().vocabulary;
        let chosen = |var: &Var| matches!(var, Var::Fact(f, _) | Var::Choice(f, ..) if vocabulary.get(*f).chosen);
        let mut against: Vec<Found> = Vec::new();
        for ready in self.against(method) {
            let found = self.look(ready, settings, None);
            if found.iter().flat_map(|f| &f.finding.applies).any(|way| !way.iter().any(|(var, _)| chosen(var))) {
                return false;
            }
            against.extend(found.into_iter().filter(|f| !f.finding.applies.is_empty()));
        }
        against.is_empty() || self.decide(method, against, settings).verdict.suits()
    }

    /// The rule-outs and holds that a method is judged by.
    fn against(&self, method: usize) -> impl Iterator<Item = &'i Ready> {
        let force = self.force;
        let stops =
            |ready: &&Ready| matches!(force.ruling(ready.rule), Ruling::RuleOut | Ruling::Hold) && !self.departed.contains(&ready.rule);
        force.by_method[method].iter().chain(&force.general).filter(stops)
    }

    /// Decides the verdict from the rule-outs and holds that can apply.
    fn decide(&self, method: usize, against: Vec<Found>, settings: &Slots) -> Judged {
        let nature = Natural { subject: self, settings, opened: law::opened(self, settings, &against) };
        let ways = against.iter().enumerate().flat_map(|(i, f)| f.finding.applies.iter().map(move |w| (i, w)));
        let boxes = Boxes::new(ways, &nature);
        let free_standing = boxes.variables.iter().any(|v| matches!(v.var, Var::Test(..)));
        let mut judged = Judged {
            method,
            verdict: Verdict::CantTellYet,
            bounded: boxes.too_fine || free_standing,
            against,
            boxes,
            cases: Vec::new(),
            bad: None,
            released_by: Vec::new(),
            good: None,
            burden: 0.0,
            released: None,
            perhaps: None,
            bad_once_released: None,
        };
        judged.verdict = judged.work_out(self.force).unwrap_or_else(|()| {
            judged.bounded = true;
            Verdict::CantTellYet
        });
        judged
    }
}

/// Both findings at once, for rules about every coat.
fn both(a: Finding, b: Finding) -> Finding {
    let mut applies: Vec<Way> = Vec::new();
    for x in &a.applies {
        for y in &b.applies {
            let mut way = x.clone();
            let mut possible = true;
            for (var, domain) in y {
                match way.iter_mut().find(|(v, _)| v == var) {
                    Some((_, d)) => {
                        *d = d.and(domain);
                        possible &= !d.is_empty();
                    }
                    None => way.push((*var, domain.clone())),
                }
            }
            way.sort_by_key(|(v, _)| *v);
            if possible {
                applies.push(way);
            }
        }
    }
    Finding {
        applies,
        silent: a.silent || b.silent,
        fails: a.fails.or(b.fails),
        failing: a.failing.into_iter().chain(b.failing).collect(),
        end: None,
    }
}

struct Natural<'a, 'b, 'i> {
    subject: &'a Subject<'b, 'i>,
    settings: &'a Slots,
    /// Presumed facts that some rule of law takes as open.
    opened: Vec<Var>,
}

impl Nature for Natural<'_, '_, '_> {
    fn universe(&self, var: Var) -> Domain {
        match (var, self.subject.slot(var, self.settings).map(|s| &s.known)) {
            (Var::Fact(f, _), Some(_)) if self.opened.contains(&var) => {
                match self.subject.base().vocabulary.get(f).anything(&self.subject.base().catalogue) {
                    Known::Num(r) => Domain::Num(r),
                    Known::Bits(b) => Domain::Bits(b),
                    Known::Several { .. } => Domain::Bits(flag::EITHER),
                }
            }
            (Var::Fact(..), Some(Known::Bits(b))) => Domain::Bits(*b),
            (Var::Fact(..), Some(Known::Num(r))) => Domain::Num(r.clone()),
            _ => Domain::Bits(flag::EITHER),
        }
    }

    fn choice(&self, var: Var) -> (bool, f64) {
        match var {
            Var::Fact(f, _) | Var::Choice(f, ..) => {
                let fact = self.subject.base().vocabulary.get(f);
                (fact.chosen, fact.burden)
            }
            Var::Test(..) => (false, 0.0),
        }
    }

    fn whole(&self, var: Var) -> bool {
        match var {
            Var::Fact(f, _) => self.subject.base().vocabulary.get(f).whole(),
            _ => false,
        }
    }
}

impl Judged {
    fn ruling(&self, force: &InForce<'_>, from: usize) -> Ruling {
        force.ruling(self.against[from].rule)
    }

    /// The verdict, in the order of precedence of the design.
    fn work_out(&mut self, force: &InForce<'_>) -> Result<Verdict, ()> {
        if self.boxes.boxes.is_empty() {
            return Ok(Verdict::Suited);
        }
        let all = self.boxes.everything();
        let rule_outs = |b: &solve::Boxed| self.ruling(force, b.from) == Ruling::RuleOut;
        if self.boxes.outside(&all, &rule_outs)?.is_none() {
            return Ok(Verdict::RuledOut);
        }
        let Some(good) = self.boxes.outside(&all, &|_| true)? else {
            let released = self.without_holds(force);
            let held = std::mem::replace(&mut self.boxes, released);
            self.released = self.work_out(force).ok();
            self.boxes = held;
            return Ok(Verdict::OnHold);
        };
        if let Some(bad) = self.boxes.hopeless(&all)? {
            let (bad, good) = self.closer(bad, good)?;
            self.released_by = self.releases(force, &bad)?;
            self.bad = Some(self.narrowed(&bad, &all, true));
            self.good = Some(self.narrowed(&good, &all, false));
            return Ok(Verdict::CantTellYet);
        }
        if let Some(region) = self.boxes.conditions(&all)? {
            self.burden = self.boxes.burden(&region, &all);
            self.cases = vec![self.case(&region, &all)];
        } else {
            let mut regions = Vec::new();
            self.cases_for(all.clone(), &mut regions)?;
            self.burden = regions.iter().map(|r| self.boxes.burden(r, &all)).fold(0.0, f64::max);
            self.cases = regions.iter().map(|r| self.case(r, &all)).collect();
        }
        Ok(Verdict::SuitedWithCare)
    }

    /// What "can't tell yet" would come to with every hold released: whatever is found then, the work may have to wait, and no more.
    pub(crate) fn once_released(&mut self, force: &InForce<'_>) {
        if self.verdict != Verdict::CantTellYet
            || self.perhaps.is_some()
            || self.bounded
            || !self.against.iter().any(|f| force.ruling(f.rule) == Ruling::Hold)
        {
            return;
        }
        let kept = (self.bad.take(), self.good.take(), self.burden, std::mem::take(&mut self.cases), std::mem::take(&mut self.released_by));
        let released = self.without_holds(force);
        let held = std::mem::replace(&mut self.boxes, released);
        let then = self.work_out(force).ok();
        self.bad_once_released = self.bad.take();
        self.boxes = held;
        (self.bad, self.good, self.burden, self.cases, self.released_by) = kept;
        self.perhaps = then;
    }

    /// The boxes of the rule-outs alone, with every fact that releases a hold taken as yes.
    fn without_holds(&self, force: &InForce<'_>) -> Boxes {
        let holds = self.against.iter().filter(|f| force.ruling(f.rule) == Ruling::Hold);
        let releasing: Vec<FactId> = holds.filter_map(|f| force.book.rules[f.rule].released_by).collect();
        let releases = |v: usize| matches!(self.boxes.variables[v].var, Var::Fact(f, _) if releasing.contains(&f));
        let yes = |v: usize, set: u128| matches!(self.boxes.domain(v, set), Domain::Bits(b) if b & flag::YES != 0);
        let mut boxes = Vec::new();
        for b in self.boxes.boxes.iter().filter(|b| self.ruling(force, b.from) == Ruling::RuleOut) {
            if b.sides.iter().all(|(v, set)| !releases(*v) || yes(*v, *set)) {
                let sides = b.sides.iter().filter(|(v, _)| !releases(*v)).copied().collect();
                boxes.push(solve::Boxed { from: b.from, sides });
            }
        }
        Boxes { boxes, ..self.boxes.clone() }
    }

    /// What would release the hold points that alone stand against a method in a region; nothing where more than such holds does.
    fn releases(&self, force: &InForce<'_>, region: &Region) -> Result<Vec<FactId>, ()> {
        let release = |b: &solve::Boxed| {
            let rule = &force.book.rules[self.against[b.from].rule];
            rule.released_by.filter(|_| self.ruling(force, b.from) == Ruling::Hold)
        };
        if self.boxes.outside(region, &|b| release(b).is_none())?.is_none() {
            return Ok(Vec::new());
        }
        let mut facts = Vec::new();
        for held in self.boxes.boxes.iter().filter(|b| b.sides.iter().all(|(v, cells)| region[*v] & cells != 0)) {
            if let Some(fact) = release(held)
                && !facts.contains(&fact)
            {
                facts.push(fact);
            }
        }
        Ok(facts)
    }

    /// Moves a hopeless example as near to a good one as it will go, so that what differs is what matters.
    fn closer(&self, mut bad: Region, good: Region) -> Result<(Region, Region), ()> {
        // What plays no part is left open.
        let all = self.boxes.everything();
        for v in 0..bad.len() {
            if bad[v] != all[v] {
                let mut next = bad.clone();
                next[v] = all[v];
                if self.boxes.outside(&next, &|_| true)?.is_none() {
                    bad = next;
                }
            }
        }
        for v in 0..bad.len() {
            if self.boxes.variables[v].chosen || bad[v] == good[v] {
                continue;
            }
            let mut next = bad.clone();
            next[v] = good[v];
            if self.boxes.outside(&next, &|_| true)?.is_none() {
                bad = next;
            }
        }
        // And the good one to the bad one, where it need not differ.
        let mut good = good;
        for v in 0..bad.len() {
            if self.boxes.variables[v].chosen || bad[v] & good[v] == good[v] {
                continue;
            }
            let mut next = good.clone();
            next[v] |= bad[v];
            let free = !self.boxes.boxes.iter().any(|b| b.sides.iter().all(|(w, set)| next[*w] & set != 0));
            if free {
                good = next;
            }
        }
        Ok((bad, good))
    }

    /// What a region says beyond `within`, as values of variables.
    fn narrowed(&self, region: &Region, within: &Region, found_only: bool) -> Vec<(Var, Domain)> {
        (0..region.len())
            .filter(|v| region[*v] != within[*v] && !(found_only && self.boxes.variables[*v].chosen))
            .map(|v| (self.boxes.variables[v].var, self.boxes.domain(v, region[v])))
            .collect()
    }

    fn case(&self, region: &Region, all: &Region) -> CaseOf {
        let mut case = CaseOf { found: Vec::new(), chosen: Vec::new() };
        for v in 0..region.len() {
            if region[v] == all[v] {
                continue;
            }
            let domain = self.boxes.domain(v, region[v]);
            let var = self.boxes.variables[v].var;
            if self.boxes.variables[v].chosen {
                // The rules that this choice keeps away.
                let mut because: Vec<usize> = self
                    .boxes
                    .boxes
                    .iter()
                    .filter(|b| b.sides.iter().any(|(w, set)| *w == v && set & region[v] == 0))
                    .map(|b| self.against[b.from].rule)
                    .collect();
                because.sort_unstable();
                because.dedup();
                case.chosen.push((var, domain, because));
            } else {
                case.found.push((var, domain));
            }
        }
        case
    }

    /// Splits what is found until one choice serves each part.
    fn cases_for(&self, region: Region, out: &mut Vec<Region>) -> Result<(), ()> {
        if let Some(with) = self.boxes.conditions(&region)? {
            out.push(with);
            return Ok(());
        }
        if out.len() > 16 {
            return Err(());
        }
        let side = self
            .boxes
            .boxes
            .iter()
            .filter(|b| b.sides.iter().all(|(v, set)| region[*v] & set != 0))
            .flat_map(|b| b.sides.iter())
            .find(|(v, set)| !self.boxes.variables[*v].chosen && region[*v] & !set != 0);
        let Some((v, set)) = side else { return Err(()) };
        for part in [region[*v] & set, region[*v] & !set] {
            let mut next = region.clone();
            next[*v] = part;
            self.cases_for(next, out)?;
        }
        Ok(())
    }
}

/// The methods of a book, by place in the catalogue.
pub(crate) fn methods(force: &InForce<'_>) -> std::ops::Range<usize> {
    0..force.book.base.catalogue.entries(EntryKind::Method).len()
}

/// Judges a proposal: its site and surface choices are laid over what the survey states.
pub(crate) fn with_proposal<'b, 'i>(
    force: &'i InForce<'b>,
    survey: &Survey,
    surface: usize,
    proposal: &Proposal,
    supposed: &[Supposition],
) -> (Subject<'b, 'i>, Slots) {
    let mut subject = Subject::new(force, survey, surface, supposed);
    let Subject { site, known, .. } = &mut subject;
    force.propose(site, known, proposal);
    // A supposition outdoes a proposal.
    for s in supposed {
        let fact = force.book.base.vocabulary.get(s.fact);
        let slot = Slot { known: s.known.clone(), how: How::Supposed };
        match fact.about {
            About::Site => site[fact.slot] = slot,
            About::Surface => known.surface[fact.slot] = slot,
            _ => {}
        }
    }
    let settings = force.method(proposal.method.at(), Some(proposal), supposed);
    (subject, settings)
}

/// The rule book made ready for one place and date; judges surveys without explaining. The place is the one given here: that of a
/// survey does not count.
///
/// ```
/// # use ovolo_engine::{Error, Judge, RuleBook, Survey, Verdict};
/// # fn main() -> Result<(), Error> {
/// let book = RuleBook::load(&ovolo_rules::standard())?;
/// let judge = Judge::new(&book, Some("GB-ENG"), "2026-09-01".parse().expect("a date"));
/// let mut survey = Survey::new(&book, "back yard");
/// survey.add("gate")?;
/// let verdicts = judge.verdicts(&survey, 0)?;
/// assert!(verdicts.contains(&Verdict::CantTellYet), "nothing is known of the gate");
/// assert!(judge.verdicts(&survey, 7).is_err(), "there is one surface");
/// # Ok(())
/// # }
/// ```
#[derive(Debug)]
pub struct Judge<'b> {
    pub(crate) force: InForce<'b>,
}

impl<'b> Judge<'b> {
    /// Makes a rule book ready for a place and date.
    pub fn new(book: &'b crate::pack::RuleBook, place: Option<&str>, date: jiff::civil::Date) -> Self {
        Self { force: InForce::new(book, place, date) }
    }

    /// Whether it can judge a surface of a survey.
    pub(crate) fn fits(&self, survey: &Survey, surface: usize) -> Result<(), Error> {
        place_fits(self.force.places.first().map(String::as_str))?;
        survey.surface_fits(surface, &self.force.book.base).map(|_| ())
    }

    /// The verdict of every method on a surface, in the order of the catalogue.
    ///
    /// # Errors
    /// Where the survey was made with another book, or has no such surface.
    pub fn verdicts(&self, survey: &Survey, surface: usize) -> Result<Vec<Verdict>, Error> {
        self.fits(survey, surface)?;
        let subject = Subject::new(&self.force, survey, surface, &[]);
        Ok(methods(&self.force).map(|m| subject.judge(m, &self.force.method(m, None, &[])).verdict).collect())
    }

    /// The verdict of a proposal on a surface.
    ///
    /// # Errors
    /// Where the survey or the proposal was made with another book, or there is no such surface or method.
    pub fn verdict(&self, survey: &Survey, surface: usize, proposal: &Proposal) -> Result<Verdict, Error> {
        self.fits(survey, surface)?;
        proposal.fits(&self.force.book.base)?;
        let (subject, settings) = with_proposal(&self.force, survey, surface, proposal, &[]);
        Ok(subject.judge(proposal.method.at(), &settings).verdict)
    }
}
