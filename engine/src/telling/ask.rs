//! What to find out next, and what cannot matter.

use super::Teller;
use super::flips::{Again, fact_of};
use super::weigh::{Answer, Behind, Weighed, narrowed, weigh, whole_fact};
use crate::advice::{Ask, Idle, Notice, Settles, SurfaceAdvice};
use crate::finding::{Footing, Status};
use crate::judge::in_force::InForce;
use crate::judge::know::{How, Slots};
use crate::judge::walk::{Domain, Var};
use crate::judge::{Judged, Subject, Verdict};
use crate::pack::{RuleBook, Ruling};
use crate::survey::Survey;
use crate::vocabulary::{About, Known};

/// One method judged on one surface.
#[derive(Debug)]
pub(crate) struct Standing {
    pub(crate) surface: usize,
    pub(crate) method: usize,
    pub(crate) judged: Judged,
    /// What the verdict rests on.
    pub(crate) seen: Vec<Var>,
}

/// A question: a variable, and the surface it is about (none for the site).
pub(crate) type Question = (Var, Option<usize>);

/// A question, how much it would take from what is open, and how it stands on each surface.
type Weight = (Question, f64, Vec<(usize, Weighed)>);

pub(crate) fn question(force: &InForce<'_>, surface: usize, var: Var) -> Option<Question> {
    let (fact, _) = fact_of(var)?;
    let fact = force.book.base.vocabulary.get(fact);
    if fact.chosen {
        return None;
    }
    Some((whole_fact(var), (fact.about != About::Site).then_some(surface)))
}

fn same_fact(a: Var, b: Var) -> bool {
    fact_of(a) == fact_of(b)
}

/// The questions worth asking, best first: those that take most from what the undecided verdicts hang on.
pub(crate) fn ask_next(
    force: &InForce<'_>,
    survey: &Survey,
    subjects: &[Subject<'_, '_>],
    standings: &[Standing],
    tellers: &[Teller<'_, '_, '_>],
) -> Vec<Ask> {
    let undecided = standings.iter().filter(|s| s.judged.verdict == Verdict::CantTellYet).count();
    let mut questions: Vec<Weight> = Vec::new();
    for (surface, subject) in subjects.iter().enumerate() {
        let own: Vec<&Standing> = standings.iter().filter(|s| s.surface == surface).collect();
        for weighed in weigh(subject, &own) {
            let Some(q) = question(force, surface, weighed.var) else { continue };
            match questions.iter_mut().find(|(known, ..)| *known == q) {
                Some((_, relief, parts)) => {
                    *relief += weighed.relief;
                    parts.push((surface, weighed));
                }
                None => questions.push((q, weighed.relief, vec![(surface, weighed)])),
            }
        }
    }
    let mut asks: Vec<(Settles, f64, Question)> = questions
        .into_iter()
        .filter(|(_, relief, _)| *relief > 0.0)
        .map(|(q, relief, parts)| (settles(standings, undecided, &parts), relief, q))
        .collect();
    asks.sort_by(|(a, x, p), (b, y, q)| y.total_cmp(x).then(b.worst.cmp(&a.worst)).then(p.1.cmp(&q.1)).then(p.0.cmp(&q.0)));
    let mut out: Vec<Ask> = asks
        .into_iter()
        .map(|(settles, _, q)| {
            let why = why(&settles);
            told(tellers, q, settles, why)
        })
        .collect();
    out.extend(releases(force, survey, standings, tellers, undecided).into_iter().map(|(_, ask)| ask));
    out.extend(presumed(force, survey, standings, tellers, undecided).into_iter().map(|(_, ask)| ask));
    out
}

/// A question about one surface, with what an answer settles there.
pub(crate) fn about_surface(
    standings: &[Standing],
    undecided: usize,
    tellers: &[Teller<'_, '_, '_>],
    q: Question,
    weighed: &Weighed,
) -> Ask {
    let surface = standings.first().map_or(0, |s| s.surface);
    let settles = settles_on(standings, undecided, &[(surface, weighed)]);
    let why = why(&settles);
    told(tellers, q, settles, why)
}

/// As [`about_surface`], without working out what an answer settles.
pub(crate) fn told_roughly(undecided: usize, tellers: &[Teller<'_, '_, '_>], q: Question, weighed: &Weighed) -> Ask {
    let settles = Settles { undecided, worst: 0, average: 0.0, changes: weighed.methods.len() };
    told(tellers, q, settles, format!("{} on it", counted(weighed.methods.len(), "verdict hangs", "verdicts hang")))
}

fn why(settles: &Settles) -> String {
    let of = counted(settles.undecided, "undecided verdict", "undecided verdicts");
    match (settles.worst, settles.changes) {
        (0, 0) => format!("with other answers it settles some of {of}"),
        (0, n) => format!("an answer may settle {n} of {of}"),
        (n, _) => format!("any answer settles at least {n} of {of}"),
    }
}

/// How many undecided verdicts the answers to a question settle.
fn settles(standings: &[Standing], undecided: usize, parts: &[(usize, Weighed)]) -> Settles {
    settles_on(standings, undecided, &parts.iter().map(|(s, w)| (*s, w)).collect::<Vec<_>>())
}

fn settles_on(standings: &[Standing], undecided: usize, parts: &[(usize, &Weighed)]) -> Settles {
    let (mut worst, mut average, mut changes) = (0, 0.0, 0);
    for (surface, weighed) in parts {
        let own: Vec<&Standing> = standings.iter().filter(|s| s.surface == *surface && s.judged.verdict == Verdict::CantTellYet).collect();
        let mut touched = vec![false; own.len()];
        let mut least = usize::MAX;
        let mut sum = 0;
        for answer in &weighed.answers {
            let mut settled = 0;
            for (s, touched) in own.iter().zip(&mut touched) {
                let decided = decided_under(&s.judged, answer);
                settled += usize::from(decided);
                *touched |= decided;
            }
            least = least.min(settled);
            sum += settled;
        }
        // What is least on each surface is at least least on all: the answers of surfaces are the same world.
        worst += if weighed.answers.is_empty() { 0 } else { least };
        average += sum as f64 / weighed.answers.len().max(1) as f64;
        changes += touched.iter().filter(|c| **c).count();
    }
    Settles { undecided, worst, average: (average * 100.0).round() / 100.0, changes }
}

fn counted(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

fn told(tellers: &[Teller<'_, '_, '_>], (var, surface): Question, settles: Settles, why: String) -> Ask {
    let teller = &tellers[surface.unwrap_or(0)];
    let (_, about) = teller.name(var);
    let fact = fact_of(var).map(|(f, _)| teller.subject.base().vocabulary.get(f));
    Ask {
        fact: fact.map_or_else(String::new, |f| f.id.clone()),
        about,
        surface: surface.map(|s| teller.survey.surfaces[s].name.clone()),
        question: fact.map_or_else(String::new, |f| f.question.clone()),
        settles,
        how_to_find_out: fact.map_or_else(String::new, |f| f.help.clone()),
        why,
    }
}

/// Whether a verdict is no longer open once some variables are narrowed.
fn decided_under(judged: &Judged, answer: &Answer) -> bool {
    let boxes = &judged.boxes;
    let region = narrowed(boxes, answer);
    if region.contains(&0) {
        return true;
    }
    match boxes.outside(&region, &|_| true) {
        Ok(None) => true,
        Ok(Some(_)) => matches!(boxes.hopeless(&region), Ok(None)),
        Err(()) => false,
    }
}

/// Hold points that wait to be released.
pub(crate) fn releases(
    force: &InForce<'_>,
    survey: &Survey,
    standings: &[Standing],
    tellers: &[Teller<'_, '_, '_>],
    undecided: usize,
) -> Vec<(Question, Ask)> {
    let mut out: Vec<(Question, usize)> = Vec::new();
    for s in standings.iter().filter(|s| s.judged.verdict == Verdict::OnHold) {
        for found in &s.judged.against {
            let rule = &force.book.rules[found.rule];
            let Some(fact) = rule.released_by.filter(|_| rule.ruling == Ruling::Hold) else { continue };
            let coat = found.coats.first().map_or(0, |c| *c as u8);
            let about = force.book.base.vocabulary.get(fact).about;
            let var = Var::Fact(fact, if about == About::Coat { coat } else { 0 });
            let q = (var, (about != About::Site).then_some(s.surface));
            let again = Again::new(force, survey, s.surface, s.method, None);
            let frees = again.verdict(&[(var, Domain::Bits(crate::vocabulary::flag::YES))]) != Verdict::OnHold;
            match out.iter_mut().find(|(known, _)| *known == q) {
                Some((_, n)) => *n += usize::from(frees),
                None => out.push((q, usize::from(frees))),
            }
        }
    }
    out.into_iter()
        .map(|(q, n)| {
            let why = if n == 0 {
                "work is on hold for it, and for something else besides".to_owned()
            } else {
                format!("a yes releases {}", counted(n, "method", "methods"))
            };
            (q, told(tellers, q, Settles { undecided, worst: 0, average: 0.0, changes: n }, why))
        })
        .collect()
}

/// Presumptions that a finding could lift, where that would change a verdict.
pub(crate) fn presumed(
    force: &InForce<'_>,
    survey: &Survey,
    standings: &[Standing],
    tellers: &[Teller<'_, '_, '_>],
    undecided: usize,
) -> Vec<(Question, Ask)> {
    let none: Slots = Vec::new();
    let mut questions: Vec<(Question, Domain, usize)> = Vec::new();
    for s in standings {
        let subject = tellers[s.surface].subject;
        for var in &s.seen {
            let asked = |how: How| matches!(how, How::Presumed(p) if force.book.presumptions[p].asked);
            let presumed = subject.slot(*var, &none).is_some_and(|slot| asked(slot.how));
            let Some(q) = question(force, s.surface, *var).filter(|_| presumed) else { continue };
            let Some(slot) = subject.slot(*var, &none) else { continue };
            let Some((fact, _)) = fact_of(*var) else { continue };
            let other = match (&slot.known, force.book.base.vocabulary.get(fact).anything(&force.book.base.catalogue)) {
                (Known::Bits(b), Known::Bits(all)) => Domain::Bits(all & !b),
                _ => continue,
            };
            let again = Again::new(force, survey, s.surface, s.method, None);
            let changes = again.verdict(&[(*var, other.clone())]) != s.judged.verdict;
            match questions.iter_mut().find(|(known, ..)| *known == q) {
                Some((.., n)) => *n += usize::from(changes),
                None => questions.push((q, other, usize::from(changes))),
            }
        }
    }
    questions.retain(|(.., n)| *n > 0);
    questions.sort_by_key(|q| std::cmp::Reverse(q.2));
    // One question for all coats of a surface: the coat where it would change most stands for them.
    let mut kept: Vec<(Question, Domain, usize)> = Vec::new();
    for (q, domain, n) in questions {
        let same = |k: &Question| k.1 == q.1 && fact_of(k.0).map(|f| f.0) == fact_of(q.0).map(|f| f.0);
        if !kept.iter().any(|(k, ..)| same(k)) {
            kept.push((q, domain, n));
        }
    }
    kept.into_iter()
        .map(|(q, _, n)| {
            let value = tellers[q.1.unwrap_or(0)].known(q.0, &none);
            let why = format!("it is presumed {value}; finding otherwise would change {}", counted(n, "verdict", "verdicts"));
            (q, told(tellers, q, Settles { undecided, worst: 0, average: 0.0, changes: n }, why))
        })
        .collect()
}

/// Open found facts no answer to which would change any verdict.
pub(crate) fn cannot_matter(
    force: &InForce<'_>,
    subjects: &[Subject<'_, '_>],
    standings: &[Standing],
    tellers: &[Teller<'_, '_, '_>],
) -> Vec<Idle> {
    let base = &force.book.base;
    let none: Slots = Vec::new();
    // What can matter: whatever an undecided or lifted verdict still depends on, what releases a hold, and what lies
    // behind a presumption that might yet apply.
    let mut matters: Vec<Question> = Vec::new();
    let mut add = |q: Option<Question>| {
        if let Some(q) = q
            && !matters.iter().any(|m| m.1 == q.1 && same_fact(m.0, q.0))
        {
            matters.push(q);
        }
    };
    for s in standings {
        if s.judged.verdict != Verdict::RuledOut {
            for v in &s.judged.boxes.variables {
                match v.var {
                    Var::Test(id, coat) => {
                        let mut facts = Vec::new();
                        force.comparisons[id].0.facts(&mut facts);
                        force.comparisons[id].2.facts(&mut facts);
                        for who in facts {
                            if let crate::tree::Who::Fact(f) = who {
                                let about_coat = base.vocabulary.get(f).about == About::Coat;
                                add(question(force, s.surface, Var::Fact(f, if about_coat { coat } else { 0 })));
                            }
                        }
                    }
                    var => add(question(force, s.surface, var)),
                }
            }
            for found in &s.judged.against {
                if let Some(fact) = force.book.rules[found.rule].released_by {
                    add(question(force, s.surface, Var::Fact(fact, 0)));
                }
            }
        }
    }
    for (surface, subject) in subjects.iter().enumerate() {
        for var in Behind::new(subject).vars() {
            add(question(force, surface, var));
        }
    }
    let mut out = Vec::new();
    let mut idle = |var: Var, surface: Option<usize>, teller: &Teller<'_, '_, '_>| {
        if !matters.iter().any(|m| m.1 == surface && same_fact(m.0, var)) {
            let (_, about) = teller.name(var);
            let fact = fact_of(var).map_or_else(String::new, |(f, _)| base.vocabulary.get(f).id.clone());
            out.push(Idle { fact, about, surface: surface.map(|s| teller.survey.surfaces[s].name.clone()) });
        }
    };
    for (id, fact) in base.vocabulary.iter().filter(|(_, f)| !f.chosen && f.about != About::Method && !f.about.has_happened()) {
        for (surface, subject) in subjects.iter().enumerate() {
            let coats = if fact.about == About::Coat { subject.known.coats.len() } else { 1 };
            for coat in 0..coats {
                let var = Var::Fact(id, coat as u8);
                let open = subject.slot(var, &none).is_some_and(|s| s.how == How::Open);
                if open && (fact.about != About::Site || surface == 0) {
                    idle(var, (fact.about != About::Site).then_some(surface), &tellers[surface]);
                }
            }
        }
    }
    out
}

/// Questions on which only cautions and notes hang, the most telling first; they change no verdict.
pub(crate) fn behind_cautions(book: &RuleBook, site: &[Notice], surfaces: &[SurfaceAdvice], asked: &[Ask]) -> Vec<Ask> {
    let around = site.iter().map(|n| (n, None)).chain(surfaces.iter().flat_map(|s| {
        let suited = s.methods.iter().filter(|m| m.verdict.suits()).flat_map(|m| &m.reasons);
        s.notices.iter().chain(suited).map(move |n| (n, Some(s.name.as_str())))
    }));
    behind_notices(book, around, asked)
}

/// Open facts behind open cautions and notes.
pub(crate) fn behind_notices<'n>(book: &RuleBook, notices: impl Iterator<Item = (&'n Notice, Option<&'n str>)>, asked: &[Ask]) -> Vec<Ask> {
    let mut found: Vec<(String, String, Option<String>, Vec<&str>)> = Vec::new();
    for (notice, surface) in notices.filter(|(n, _)| n.status == Status::Open && matches!(n.ruling, Ruling::Caution | Ruling::Note)) {
        for fact in notice.facts.iter().filter(|f| f.how_known.ground == Footing::Open) {
            let id = fact.fact.split(' ').next().unwrap_or("").to_owned();
            let surface = if fact.about == "site" { None } else { surface.map(str::to_owned) };
            let known = |f: &str, a: &str, s: &Option<String>| f == id && *s == surface && (a == fact.about || surface.is_none());
            if asked.iter().any(|a| known(&a.fact, &a.about, &a.surface)) {
                continue;
            }
            match found.iter_mut().find(|(f, a, s, _)| known(f, a, s)) {
                Some((.., rules)) => {
                    if !rules.contains(&notice.rule.as_str()) {
                        rules.push(&notice.rule);
                    }
                }
                None => found.push((id, fact.about.clone(), surface, vec![&notice.rule])),
            }
        }
    }
    found.sort_by_key(|(.., rules)| std::cmp::Reverse(rules.len()));
    found
        .into_iter()
        .filter_map(|(id, about, surface, rules)| {
            let fact = book.base.vocabulary.get(book.base.vocabulary.find(&id)?);
            Some(Ask {
                question: fact.question.clone(),
                how_to_find_out: fact.help.clone(),
                why: format!(
                    "{} on it, though no verdict does",
                    counted(rules.len(), "caution or note depends", "cautions and notes depend")
                ),
                settles: Settles { undecided: 0, worst: 0, average: 0.0, changes: 0 },
                fact: id,
                about,
                surface,
            })
        })
        .collect()
}
