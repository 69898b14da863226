//! The steps of an approach in order, with the conditions and cautions that belong to each stage.

use super::quantities::Reckoner;
use super::shape::{StageTold, StepTold};
use super::work::{Part, Stands, Work};
use crate::advice::Notice;
use crate::finding::Status;
use crate::lead::notices::notices;
use crate::pack::Ruling;
use crate::pack::working::{Each, Step, Working};
use crate::telling::Teller;

/// Goes through the stages in order: those of the surface that come before the first of a method, then for every method its
/// own, then the rest of the surface's. `visit` gets the stage and, for a method's, which method of the approach.
pub(crate) fn in_order(working: &Working, methods: usize, mut visit: impl FnMut(usize, Option<usize>)) {
    let first = working.stages.iter().position(|s| s.each == Each::Method).unwrap_or(working.stages.len());
    let of = |each: Each| move |(_, s): &(usize, &crate::pack::working::Stage)| s.each == each;
    let all = || working.stages.iter().enumerate();
    for (stage, _) in all().filter(of(Each::Surface)).filter(|(i, _)| *i < first) {
        visit(stage, None);
    }
    for method in 0..methods {
        for (stage, _) in all().filter(of(Each::Method)) {
            visit(stage, Some(method));
        }
    }
    for (stage, _) in all().filter(of(Each::Surface)).filter(|(i, _)| *i > first) {
        visit(stage, None);
    }
}

/// What speaks at a stage: the notice, and the stage and method it belongs to.
struct Placed {
    notice: Notice,
    stage: Option<usize>,
    part: usize,
}

/// The stages of an approach with all that belongs to them; what says nothing is left out.
pub(crate) fn told(work: &Work<'_, '_, '_>, reckoner: &Reckoner<'_>) -> Vec<StageTold> {
    let book = work.force.book;
    let working = &book.working;
    let placed = placed(work);
    let mut out: Vec<StageTold> = Vec::new();
    in_order(working, work.parts.len(), |stage, at| {
        let data = &working.stages[stage];
        let part = at.map(|a| &work.parts[a]);
        let mut told = StageTold {
            stage: data.id.clone(),
            title: data.title.clone(),
            part: data.part,
            method: part.map(|p| p.title.to_owned()),
            caution: None,
            steps: Vec::new(),
            conditions: Vec::new(),
            notices: Vec::new(),
        };
        let usual = |p: &Part<'_, '_, '_>| {
            book.base.catalogue.entries(crate::catalogue::EntryKind::Method)[p.method].cautions.clone().filter(|_| data.usual)
        };
        told.caution = part.and_then(usual);
        for step in working.steps.iter().filter(|s| s.stage == stage) {
            let (stands, part) = match part {
                Some(part) => (work.stands(part, &step.tree), Some(part)),
                None => work.stands_anywhere(&step.tree),
            };
            if let (true, Some(part)) = (stands != Stands::Silent, part) {
                told.steps.push(step_told(work, step, stands, part, at.is_none(), reckoner));
            }
        }
        for (index, part) in work.parts.iter().enumerate().filter(|(i, _)| at.is_none_or(|a| a == *i)) {
            for (fact, condition) in work.conditions(part) {
                let here = fact.and_then(|f| working.stage_of_fact(f)) == Some(stage);
                if here && !told.conditions.contains(&condition) {
                    told.conditions.push(condition);
                }
            }
            for p in placed.iter().filter(|p| p.stage == Some(stage) && p.part == index) {
                if !told.notices.iter().any(|n| n.rule == p.notice.rule) {
                    told.notices.push(p.notice.clone());
                }
            }
        }
        told.notices.sort_by_key(|n| (n.ruling != Ruling::Hold, n.status != Status::Applies, n.ruling != Ruling::Caution));
        if !told.is_empty() {
            out.push(told);
        }
    });
    out
}

fn step_told(
    work: &Work<'_, '_, '_>,
    step: &Step,
    stands: Stands,
    part: &Part<'_, '_, '_>,
    whole: bool,
    reckoner: &Reckoner<'_>,
) -> StepTold {
    let teller = work.teller(part);
    let (status, depends_on) = match stands {
        Stands::Open(depends) => (Status::Open, depends),
        _ => (Status::Applies, Vec::new()),
    };
    // A step of the surface shows what every method takes for which it stands.
    let parts = work.parts.iter().filter(|p| if whole { work.stands(p, &step.tree) != Stands::Silent } else { std::ptr::eq(*p, part) });
    let mut quantities = Vec::new();
    for part in parts {
        for show in &step.shows {
            let quantity = reckoner.quantity(work, part, show);
            if !quantities.iter().any(|q: &super::shape::Quantity| q.kind == quantity.kind && (q.reckoned == quantity.reckoned)) {
                quantities.push(quantity);
            }
        }
    }
    let surely = status == Status::Applies;
    StepTold {
        step: step.id.clone(),
        title: step.title.clone(),
        open: step.open.clone().filter(|_| !surely),
        answer: step.answer.clone().filter(|_| surely),
        says: teller.fill(&step.says, &part.coats, Some(part.method), &part.settings),
        brief: step.brief,
        status,
        depends_on,
        source: work.force.book.cite(&step.source),
        gate: step.gate,
        waits: step.waits.as_ref().and_then(|id| reckoner.figure_line(id)),
        quantities,
    }
}

/// Every hold, caution and note that speaks of the approach, once, where it belongs.
fn placed(work: &Work<'_, '_, '_>) -> Vec<Placed> {
    let mut out: Vec<Placed> = Vec::new();
    let force = work.force;
    let mut put = |notices: Vec<Notice>, part: usize| {
        for notice in notices.into_iter().filter(|n| matches!(n.ruling, Ruling::Hold | Ruling::Caution | Ruling::Note)) {
            let Some(rule) = force.book.rule(&notice.rule) else { continue };
            let stage = force.book.working.stage_of(&rule.id, &crate::pack::topic_of(rule), &rule.pack, notice.ruling == Ruling::Hold);
            let each_method = stage.is_some_and(|s| force.book.working.stages[s].each == Each::Method);
            // With every method, or once for the surface.
            if !out.iter().any(|p| p.notice.rule == notice.rule && (p.part == part || !each_method)) {
                out.push(Placed { notice, stage, part });
            }
        }
    };
    let none = Vec::new();
    if !work.parts.is_empty() {
        // What the whole site and the surface hear whatever the method, told with the first.
        let teller = Teller { subject: &work.subject, survey: work.survey, surface: Some(work.surface), system: work.survey.system };
        put(notices(&teller, force.general.iter(), None, &none), 0);
    }
    for (index, part) in work.parts.iter().enumerate() {
        put(notices(&work.teller(part), force.by_method[part.method].iter(), Some(part.method), &part.settings), index);
    }
    out
}
