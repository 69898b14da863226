//! Putting the whole advice together.

use crate::advice::{
    Advice, Approach, CoatAdvice, Completions, Condition, ConditionCase, DEFERS, DepartureAdvice, Depends, FactRead, Lead, MethodAdvice,
    Notice, RankPart, SiteAdvice, SurfaceAdvice,
};
use crate::approach::work::Work;
use crate::catalogue::EntryKind;
use crate::error::Error;
use crate::finding::{DepartureStatus, First, Footing, HowKnown, Status};
use crate::judge::in_force::InForce;
use crate::judge::know::{How, Slots};
use crate::judge::walk::{Domain, Var};
use crate::judge::{CaseOf, Judged, Subject, Verdict, methods, rank, with_proposal};
use crate::lead::notices::notices;
use crate::lead::{Leads, people};
use crate::pack::{RuleBook, Ruling};
use crate::survey::{Proposal, Survey, place_fits};
use crate::telling::ask::{self, Standing};
use crate::telling::flips::{Again, flips};
use crate::telling::{Circumstances, Teller, dates, heads, trace};
use crate::vocabulary::{About, FactKind};
use crate::ways::{self, Candidate};
use crate::words;

/// What advice on the work says where something has happened.
const HAPPENED: &str = "Something has happened here: what is to be done about that comes first.";

/// How many judgements may be spent on looking for one method's flips.
const FLIP_EFFORT_IN_ADVICE: usize = 300;
const FLIP_EFFORT_IN_CHECK: usize = 6_000;

/// Advises on a survey.
///
/// # Errors
/// Where the survey was made with another book.
pub fn advise(survey: &Survey, book: &RuleBook, circumstances: &Circumstances) -> Result<Advice, Error> {
    place_fits(circumstances.place.as_deref())?;
    survey.fits(&book.base)?;
    let place = circumstances.place.as_deref().or(survey.place.as_deref());
    let force = InForce::new(book, place, circumstances.date);
    Ok(build(survey, &force, place, None, FLIP_EFFORT_IN_ADVICE))
}

/// Checks one proposal. The advice that comes back is about that surface, with the proposal as its only proposal.
///
/// # Errors
/// Where the survey or the proposal was made with another book, or there is no such surface or method.
pub fn check(
    survey: &Survey,
    book: &RuleBook,
    circumstances: &Circumstances,
    surface: usize,
    proposal: &Proposal,
) -> Result<Advice, Error> {
    place_fits(circumstances.place.as_deref())?;
    survey.surface_fits(surface, &book.base)?;
    survey.fits(&book.base)?;
    proposal.fits(&book.base)?;
    let place = circumstances.place.as_deref().or(survey.place.as_deref());
    let force = InForce::new(book, place, circumstances.date);
    Ok(build(survey, &force, place, Some((surface, proposal)), FLIP_EFFORT_IN_CHECK))
}

/// The ways through one surface, the lead first, and what comes first there: as in [`advise`], without the advice on each method.
///
/// # Errors
/// Where the survey was made with another book, or has no such surface.
pub fn leads(survey: &Survey, book: &RuleBook, circumstances: &Circumstances, surface: usize) -> Result<(Vec<Approach>, Lead), Error> {
    place_fits(circumstances.place.as_deref())?;
    survey.surface_fits(surface, &book.base)?;
    let place = circumstances.place.as_deref().or(survey.place.as_deref());
    let force = InForce::new(book, place, circumstances.date);
    let subject = Subject::new(&force, survey, surface, &[]);
    let teller = Teller { subject: &subject, survey, surface: Some(surface), system: survey.system };
    Ok(Leads::new(teller).ways())
}

/// As [`check`], without looking for what would change the verdict, and without the other methods: quick enough for a prompt.
///
/// # Errors
/// As [`check`].
pub fn look(survey: &Survey, book: &RuleBook, circumstances: &Circumstances, surface: usize, proposal: &Proposal) -> Result<Advice, Error> {
    place_fits(circumstances.place.as_deref())?;
    survey.surface_fits(surface, &book.base)?;
    survey.fits(&book.base)?;
    proposal.fits(&book.base)?;
    Ok(tried(survey, book, circumstances, Some((surface, proposal))))
}

/// Advice or a check for trying a worked case: nobody reads its flips.
pub(crate) fn tried(survey: &Survey, book: &RuleBook, circumstances: &Circumstances, only: Option<(usize, &Proposal)>) -> Advice {
    let place = circumstances.place.as_deref().or(survey.place.as_deref());
    let force = InForce::new(book, place, circumstances.date);
    build(survey, &force, place, only, 0)
}

fn build(survey: &Survey, force: &InForce<'_>, place: Option<&str>, only: Option<(usize, &Proposal)>, effort: usize) -> Advice {
    let book = force.book;
    let subjects: Vec<Subject<'_, '_>> = (0..survey.surfaces.len()).map(|s| Subject::new(force, survey, s, &[])).collect();
    let tellers: Vec<Teller<'_, '_, '_>> =
        subjects.iter().enumerate().map(|(s, subject)| Teller { subject, survey, surface: Some(s), system: survey.system }).collect();
    let wanted = |s: usize| only.is_none_or(|(o, _)| o == s);
    let mut standings = Vec::new();
    for (s, subject) in subjects.iter().enumerate().filter(|(s, _)| wanted(*s)) {
        for method in methods(force) {
            let settings = force.method(method, None, &[]);
            let mut seen = Vec::new();
            let judged = subject.judge_seeing(method, &settings, Some(&mut seen));
            standings.push(Standing { surface: s, method, judged, seen });
        }
    }
    let site = SiteAdvice { notices: site_notices(force, survey) };
    let surfaces: Vec<SurfaceAdvice> =
        (0..subjects.len()).filter(|s| wanted(*s)).map(|s| surface(&tellers[s], &standings, only.map(|(_, p)| p), effort)).collect();
    let (ask_next, cannot_matter) = if only.is_some() || effort == 0 {
        (Vec::new(), Vec::new())
    } else {
        (ask::ask_next(force, survey, &subjects, &standings, &tellers), ask::cannot_matter(force, &subjects, &standings, &tellers))
    };
    let mut ask_next = ask_next;
    if only.is_none() && effort > 0 {
        let more = ask::behind_cautions(book, &site.notices, &surfaces, &ask_next);
        ask_next.extend(more);
    }
    let departures = departures(survey, force);
    let changed = survey.date.map(|day| dates::changed(book, place, day, force.date, survey.system)).unwrap_or_default();
    let whole = survey;
    let (survey, rule_book) = heads(survey, force, place);
    let mut advice = Advice {
        advice: 1,
        engine: env!("CARGO_PKG_VERSION").to_owned(),
        survey,
        rule_book,
        happened: whole.has_happened().then(|| HAPPENED.to_owned()),
        good_until: force.good_until.map(|d| d.to_string()),
        past_review: Vec::new(),
        changed,
        site,
        surfaces,
        ask_next,
        cannot_matter,
        departures,
        defers: DEFERS.to_owned(),
    };
    advice.past_review = dates::past_review(force, &subjects, &advice);
    advice
}

/// Notices about the site alone.
fn site_notices(force: &InForce<'_>, survey: &Survey) -> Vec<Notice> {
    let Some(_) = survey.surfaces.first() else { return Vec::new() };
    let mut subject = Subject::new(force, survey, 0, &[]);
    // What is departed from on one surface is not departed from on the site.
    let whole = |rule: &usize| {
        let id = &force.book.rules[*rule].id;
        survey.departures.iter().any(|d| d.rule == *id && d.surface.is_none() && d.in_force(force.date))
    };
    subject.departed.retain(whole);
    let teller = Teller { subject: &subject, survey, surface: None, system: survey.system };
    let rules = force.general.iter().filter(|r| force.book.rules[r.rule].scope.site_only());
    notices(&teller, rules, None, &Vec::new())
}

/// What some of the rules that read no method say.
pub(crate) fn general_notices(teller: &Teller<'_, '_, '_>, wanted: &dyn Fn(usize) -> bool) -> Vec<Notice> {
    let rules = teller.subject.force.general.iter().filter(|r| wanted(r.rule));
    notices(teller, rules, None, &Vec::new())
}

fn surface(teller: &Teller<'_, '_, '_>, standings: &[Standing], proposal: Option<&Proposal>, effort: usize) -> SurfaceAdvice {
    let force = teller.subject.force;
    let index = teller.surface.unwrap_or(0);
    let own: Vec<&Standing> = standings.iter().filter(|s| s.surface == index).collect();
    let mut ranked: Vec<(&Standing, Candidate, ways::Standing)> = own
        .iter()
        .map(|s| {
            let candidate = Candidate::new(teller.subject, s.method, &s.judged, false);
            let place = ways::standing(teller.subject, &candidate);
            (*s, candidate, place)
        })
        .collect();
    // The sort is stable: ties keep catalogue order.
    ranked.sort_by(|a, b| a.2.cmp(&b.2));
    // Beside a proposal the other methods only say what to do instead; a worked case does not ask that.
    let flipping = if proposal.is_some() { 0 } else { effort };
    let told = if proposal.is_some() && effort == 0 { &[][..] } else { &ranked[..] };
    let leads = (proposal.is_none() && effort > 0)
        .then(|| Leads::new(Teller { subject: teller.subject, survey: teller.survey, surface: Some(index), system: teller.system }));
    let methods: Vec<MethodAdvice> = told
        .iter()
        .map(|(s, candidate, _)| {
            let settings = force.method(s.method, None, &[]);
            let again = Again::new(force, teller.survey, index, s.method, None);
            let flipping = (flipping > 0).then_some((&again, flipping));
            let mut advice = method_advice(teller, s.method, &s.judged, &s.seen, &settings, &candidate.parts, flipping);
            if let Some(leads) = leads.as_ref().filter(|_| s.judged.verdict == Verdict::CantTellYet) {
                advice.provided = leads.provided(s.method);
            }
            advice
        })
        .collect();
    let candidates: Vec<Candidate> = ranked.into_iter().map(|(_, candidate, _)| candidate).collect();
    // Nobody reads the leads of a worked case, nor beside a proposal.
    let (mut approaches, mut lead) = match &leads {
        Some(leads) => leads.ways(),
        None => (ways::ways(teller.subject, &candidates, false), Lead { first: First::Work, ..Lead::default() }),
    };
    if let Some(best) = approaches.first_mut().filter(|_| leads.is_some()) {
        best.brief = Work::of(force, teller.survey, index, best).brief();
    }
    let general = force.general.iter().filter(|r| !force.book.rules[r.rule].scope.site_only());
    let around = notices(teller, general, None, &Vec::new());
    if leads.is_some() {
        lead.people = people(force, &methods, &around, &approaches, &lead.release);
    }
    let proposals: Vec<&Proposal> = match proposal {
        Some(p) => vec![p],
        None => teller.survey.surfaces[index].proposals.iter().collect(),
    };
    SurfaceAdvice {
        name: teller.survey.surfaces[index].name.clone(),
        coats: coats(teller),
        methods,
        lead,
        approaches,
        proposals: proposals.into_iter().map(|p| proposed(teller, index, p, proposal.is_some(), effort)).collect(),
        notices: around,
    }
}

fn proposed(teller: &Teller<'_, '_, '_>, surface: usize, proposal: &Proposal, alone: bool, effort: usize) -> MethodAdvice {
    let force = teller.subject.force;
    let (subject, settings) = with_proposal(force, teller.survey, surface, proposal, &[]);
    let inner = Teller { subject: &subject, survey: teller.survey, surface: Some(surface), system: teller.system };
    let mut seen = Vec::new();
    let judged = subject.judge_seeing(proposal.method.at(), &settings, Some(&mut seen));
    let parts = rank::rank(&subject, proposal.method.at(), &judged);
    let again = Again::new(force, teller.survey, surface, proposal.method.at(), Some(proposal));
    let mut advice =
        method_advice(&inner, proposal.method.at(), &judged, &seen, &settings, &parts, (effort > 0).then_some((&again, effort)));
    if alone && effort > 0 {
        advice.trees = trace::trees(&inner, proposal.method.at(), &settings);
    }
    advice.settings = proposal
        .settings
        .iter()
        .map(|(f, stated)| {
            let var = Var::Fact(*f, 0);
            let (fact, about) = inner.name(var);
            FactRead {
                fact,
                about,
                value: stated.written.clone(),
                how_known: HowKnown::plainly(Footing::Proposed),
                title: inner.title(var),
            }
        })
        .collect();
    advice
}

fn method_advice(
    teller: &Teller<'_, '_, '_>,
    method: usize,
    judged: &Judged,
    seen: &[Var],
    settings: &Slots,
    parts: &[rank::Contribution],
    flipping: Option<(&Again<'_, '_, '_>, usize)>,
) -> MethodAdvice {
    let force = teller.subject.force;
    let book = force.book;
    let entry = &book.base.catalogue.entries(EntryKind::Method)[method];
    let mut reasons = notices(teller, force.by_method[method].iter(), Some(method), settings);
    // Holds that read no method stop this one too.
    let general_holds = force.general.iter().filter(|r| force.ruling(r.rule) == Ruling::Hold);
    reasons.extend(notices(teller, general_holds, Some(method), settings));
    // What speaks for a method has nothing to say where the method is out.
    if judged.verdict == Verdict::RuledOut {
        reasons.retain(|n| n.ruling != Ruling::Prefer);
    }
    reasons.sort_by_key(|n| (n.ruling != Ruling::RuleOut, n.ruling != Ruling::Hold, n.ruling != Ruling::Caution));
    let cases: Vec<ConditionCase> = judged.cases.iter().map(|c| case(teller, c, settings)).collect();
    let conditions: Vec<Condition> = if cases.len() == 1 { cases[0].conditions.clone() } else { Vec::new() };
    let cases = if cases.len() > 1 { cases } else { Vec::new() };
    let depends_on = depends(teller, judged, settings);
    let completions = judged.bad.as_ref().zip(judged.good.as_ref()).map(|(bad, good)| Completions {
        suits: good.iter().map(|(v, d)| teller.flip(*v, d, settings)).collect(),
        not: bad.iter().map(|(v, d)| teller.flip(*v, d, settings)).collect(),
    });
    let rests: Vec<FactRead> =
        teller.with_grounds(&cited(teller, judged, seen, settings), settings).into_iter().map(|v| teller.read(v, settings)).collect();
    let mut advice = MethodAdvice {
        method: entry.id.clone(),
        title: entry.title.clone(),
        verdict: judged.verdict,
        line: String::new(),
        paragraph: String::new(),
        caution: entry.cautions.clone(),
        reasons,
        conditions,
        cases,
        clears: ways::clears(teller.subject, method),
        once_released: judged.released,
        depends_on,
        completions,
        provided: Vec::new(),
        flips: flipping.map(|(again, effort)| flips(again, teller, judged, seen, effort)).unwrap_or_default(),
        rests_on: rests,
        rank: parts
            .iter()
            .map(|p| RankPart {
                part: book.ranking[p.part].title.clone(),
                cost: p.total(),
                because: p.rows.iter().map(|row| book.grades[*row].because.clone()).collect(),
                source: book.cite(&book.ranking[p.part].source),
            })
            .collect(),
        bound_reached: judged.bounded,
        trees: Vec::new(),
        settings: Vec::new(),
    };
    advice.line = line(&advice, judged.verdict);
    advice.paragraph = paragraph(&advice, judged.verdict);
    advice
}

/// What a verdict needs to have read: for a plain rule-out what that rule read, otherwise everything asked about.
fn cited(teller: &Teller<'_, '_, '_>, judged: &Judged, seen: &[Var], settings: &Slots) -> Vec<Var> {
    if judged.verdict != Verdict::RuledOut {
        return seen.to_vec();
    }
    let force = teller.subject.force;
    let plain = judged
        .against
        .iter()
        .filter(|f| force.ruling(f.rule) == Ruling::RuleOut && f.finding.certain())
        .min_by_key(|f| (force.book.rules[f.rule].basis, f.rule));
    let Some(found) = plain else { return seen.to_vec() };
    let mut read = Vec::new();
    for ready in force.by_rule(found.rule, judged.method) {
        teller.subject.look(ready, settings, Some(&mut read));
    }
    if read.is_empty() { seen.to_vec() } else { read }
}

fn case(teller: &Teller<'_, '_, '_>, case: &CaseOf, settings: &Slots) -> ConditionCase {
    ConditionCase {
        found: case.found.iter().map(|(v, d)| teller.flip(*v, d, settings)).collect(),
        conditions: case.chosen.iter().map(|(v, d, because)| teller.condition(*v, d, because, settings)).collect(),
    }
}

fn depends(teller: &Teller<'_, '_, '_>, judged: &Judged, settings: &Slots) -> Vec<Depends> {
    let (Some(bad), Some(good)) = (&judged.bad, &judged.good) else { return Vec::new() };
    let releases: Vec<&str> = judged.released_by.iter().map(|f| teller.subject.base().vocabulary.get(*f).title.as_str()).collect();
    let released_by = (!releases.is_empty()).then(|| releases.join(", "));
    let mut out = Vec::new();
    for (var, not) in bad {
        let suits = good.iter().find(|(v, _)| v == var).map(|(_, d)| d.clone());
        let suits = suits.unwrap_or_else(|| complement(judged, *var, not));
        if !suits.is_empty() && suits.and(not).is_empty() {
            let (fact, about) = teller.name(*var);
            let said = |d: &Domain| teller.value(*var, &teller.beyond(*var, d, settings));
            let plain = |d: &Domain| teller.plain(*var, &teller.beyond(*var, d, settings));
            let reads = (plain(&suits), plain(not));
            let (suits_if, not_if) = (said(&suits), said(not));
            out.push(Depends { fact, about, suits_if, not_if, released_by: released_by.clone(), title: teller.title(*var), reads });
        }
    }
    out
}

/// Everything else a variable can be.
fn complement(judged: &Judged, var: Var, not: &Domain) -> Domain {
    let Some(v) = judged.boxes.variables.iter().position(|x| x.var == var) else { return Domain::Bits(0) };
    let outside =
        judged.boxes.variables[v].cells.iter().enumerate().filter(|(_, c)| c.and(not).is_empty()).fold(0, |set, (i, _)| set | 1 << i);
    if outside == 0 { Domain::Bits(0) } else { judged.boxes.domain(v, outside) }
}

/// The verdict in a line.
fn line(advice: &MethodAdvice, verdict: Verdict) -> String {
    let first = |ruling: Ruling| advice.reasons.iter().filter(|n| n.ruling == ruling).min_by_key(|n| n.status != Status::Applies);
    match verdict {
        Verdict::Suited => "nothing in the rule book speaks against it".to_owned(),
        Verdict::SuitedWithCare if advice.conditions.is_empty() => "suits, but the conditions depend on what is found".to_owned(),
        Verdict::SuitedWithCare => advice.conditions.iter().map(|c| c.says.clone()).collect::<Vec<_>>().join("; "),
        Verdict::OnHold => first(Ruling::Hold).map_or_else(|| "a hold point is not released".to_owned(), as_far_as_known),
        Verdict::CantTellYet if advice.depends_on.is_empty() => "the search for an answer reached its bound".to_owned(),
        Verdict::CantTellYet => {
            let parts: Vec<String> = advice.depends_on.iter().map(|d| format!("{} ({})", d.title, d.either_way())).collect();
            format!("depends on {}", parts.join("; "))
        }
        Verdict::RuledOut => first(Ruling::RuleOut).map_or_else(|| "some rule-out applies whatever is found".to_owned(), as_far_as_known),
    }
}

/// What a notice says; where it is not known whether it applies, that stands before it.
fn as_far_as_known(notice: &Notice) -> String {
    if notice.status == Status::Applies { notice.says.clone() } else { format!("Not known yet, but it may be so: {}", notice.says) }
}

/// What an "on hold" turns into once it is released, in a sentence; nothing for other verdicts.
fn once_released(advice: &MethodAdvice) -> Option<String> {
    let word = advice.once_released?;
    Some(match word {
        Verdict::Suited => "Once released it would suit".to_owned(),
        Verdict::SuitedWithCare if advice.cases.is_empty() => return None,
        Verdict::SuitedWithCare => "Once released it would suit, on conditions that depend on what is found".to_owned(),
        Verdict::RuledOut => "Once released it would still not suit".to_owned(),
        _ => "Once released it could suit or not".to_owned(),
    })
}

/// The verdict in a paragraph.
fn paragraph(advice: &MethodAdvice, verdict: Verdict) -> String {
    let mut text = format!("{}: {}.", advice.title, verdict.word());
    let mut add = |sentence: String| {
        text.push(' ');
        text.push_str(sentence.trim());
        if !sentence.trim_end().ends_with(['.', '!', '?']) {
            text.push('.');
        }
    };
    let deciding: Vec<&Notice> =
        advice.reasons.iter().filter(|n| matches!(n.ruling, Ruling::RuleOut | Ruling::Hold) && n.status == Status::Applies).collect();
    for notice in deciding.iter().take(3) {
        add(format!("{} ({}: {})", notice.says.trim_end_matches('.'), notice.basis, notice.source));
        if let Some(instead) = &notice.instead {
            add(instead.clone());
        }
    }
    if let Some(then) = once_released(advice) {
        add(then);
    }
    if !advice.conditions.is_empty() {
        let says: Vec<&str> = advice.conditions.iter().map(|c| c.says.as_str()).collect();
        let then = if advice.once_released.is_some() { "Once released it would suit" } else { "It suits" };
        add(format!("{then} on these conditions: {}", words::list(&says, "and")));
    }
    for case in &advice.cases {
        let found: Vec<String> = case.found.iter().map(|f| format!("{} is {}", f.fact, f.to)).collect();
        let needs: Vec<&str> = case.conditions.iter().map(|c| c.says.as_str()).collect();
        let needs = if needs.is_empty() { "nothing further is asked".to_owned() } else { words::list(&needs, "and") };
        add(format!("If {}: {needs}", words::list(&found, "and")));
    }
    for d in &advice.depends_on {
        add(format!("It depends on {} ({}): it {}", d.fact, d.about, d.either_way()));
    }
    let presumed: Vec<String> = advice
        .rests_on
        .iter()
        .filter(|f| f.how_known.ground == Footing::Presumed)
        .map(|f| format!("{} ({}) is taken as {}, {}", f.fact, f.about, f.value, f.how_known))
        .collect();
    if !presumed.is_empty() {
        add(words::list(&presumed, "and"));
    }
    if advice.bound_reached {
        add("A bound of the search was reached, or several open figures meet in one rule; the more careful answer is given".to_owned());
    }
    text
}

fn coats(teller: &Teller<'_, '_, '_>) -> Vec<CoatAdvice> {
    if !teller.subject.known.listed {
        return Vec::new();
    }
    let none = Vec::new();
    let base = teller.subject.base();
    teller
        .subject
        .known
        .coats
        .iter()
        .enumerate()
        .map(|(i, slots)| {
            let facts = base
                .vocabulary
                .iter()
                .filter(|(_, f)| f.about == About::Coat)
                .filter(|(_, f)| slots[f.slot].how != How::Open && !matches!(f.kind, FactKind::Several(_)))
                .map(|(id, _)| teller.read(Var::Fact(id, i as u8), &none))
                .collect();
            CoatAdvice { coat: i + 1, facts }
        })
        .collect()
}

fn departures(survey: &Survey, force: &InForce<'_>) -> Vec<DepartureAdvice> {
    survey
        .departures
        .iter()
        .map(|d| {
            let rule = force.book.rules.iter().position(|r| r.id == d.rule);
            let status = if d.on.is_some_and(|on| force.date < on) {
                DepartureStatus::NotYet
            } else if !d.in_force(force.date) {
                DepartureStatus::Lapsed
            } else if rule.is_some_and(|r| bites(survey, force, d, r)) {
                DepartureStatus::InForce
            } else {
                DepartureStatus::ChangesNothing
            };
            DepartureAdvice {
                rule: d.rule.clone(),
                who: d.who.clone(),
                why: d.why.clone(),
                on: d.on.map(|x| x.to_string()),
                until: d.until.map(|x| x.to_string()),
                surface: d.surface.clone(),
                status,
            }
        })
        .collect()
}

/// Whether the rule departed from would say something without the departure.
fn bites(survey: &Survey, force: &InForce<'_>, departure: &crate::survey::Departure, rule: usize) -> bool {
    (0..survey.surfaces.len()).filter(|s| departure.surface.as_ref().is_none_or(|n| *n == survey.surfaces[*s].name)).any(|s| {
        let subject = Subject::new(force, survey, s, &[]);
        methods(force).any(|m| {
            let settings = force.method(m, None, &[]);
            force.by_rule(rule, m).any(|ready| subject.look(ready, &settings, None).iter().any(|f| !f.finding.applies.is_empty()))
        })
    })
}
