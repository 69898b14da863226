//! The work: what comes before it, its steps in order, what to mind, and what stops it.

use super::answer::first_sentence;
use super::plain::{rounded, sentence, upper};
use super::shared::{guarding, is_shared, nearest, speaks};
use super::{Detail, Form, Ground, Item, Part, Section};
use crate::render::shared::{holds_of_ways, strength};
use ovolo_engine::advice::Notice;
use ovolo_engine::approach::shape::{Quantity, StageTold, StepTold};
use ovolo_engine::finding::{Basis, Ruling, StagePart, Status};
use ovolo_engine::words;

/// Cautions of one surface that are told in a sentence on its page; the others are all named.
const MOST_IN_FULL: usize = 2;

/// The heading of cautions that are only named.
pub(super) const NAMED: &str = "Mind also";

/// The heading of what keeps people safe.
pub(super) const PEOPLE: &str = "People near";

/// The longest caution that is told: a longer one is named.
const MOST_WORDS: usize = 25;

fn stages<'a>(g: &Ground<'a>, part: StagePart) -> Vec<&'a StageTold> {
    g.plan.iter().flat_map(|p| &p.stages).filter(|s| s.part == part).collect()
}

/// Before anybody touches it: what holds the work, then what is settled first.
pub(super) fn before(g: &Ground<'_>) -> Section {
    let mut items: Vec<Item> = nearest(holds_of_ways(g.surface), g.names)
        .into_iter()
        .filter(|n| n.status == Status::Applies && !g.common.holds_all(n.title.as_deref().unwrap_or_default()))
        .map(|n| Item { later: g.common.holds.iter().any(|(h, _)| h.rule == n.rule), ..Item::new(heading(n), said(n)) })
        .collect();
    for step in stages(g, StagePart::First).into_iter().flat_map(|s| &s.steps).filter(|s| !g.common.has_step(&s.step)) {
        items.push(step_item(g, step, &[]));
    }
    Section::new("Before anybody touches it", Form::Ticks, items).set_off(Part::Before)
}

/// How people are kept safe who cannot see to it themselves, in a short sentence each; the whole stands once for the job.
pub(super) fn people(g: &Ground<'_>) -> Section {
    let short = |n: &Notice| {
        let short = super::lower(g.names.short(&n.rule)?.trim_end_matches('.'));
        // What an earlier sheet says is known by its text.
        Some(Item::new(short.clone(), short))
    };
    let items = guarding(g.advice, g.surface, g.plan, g.names).into_iter().filter_map(short).collect();
    Section::new(PEOPLE, Form::Line, items).set_off(Part::People)
}

/// The steps, with the conditions where they belong.
pub(super) fn steps(g: &Ground<'_>) -> Section {
    let mut items: Vec<Item> = Vec::new();
    let mut told: Vec<&str> = Vec::new();
    let mut group = 0;
    let mut with: Option<&String> = None;
    for stage in stages(g, StagePart::Work).into_iter().chain(stages(g, StagePart::After)) {
        // What is done with one method belongs together, and what comes before and after.
        group += usize::from(stage.method.as_ref() != with);
        with = stage.method.as_ref();
        let mut conditions: Vec<&str> = Vec::new();
        for condition in stage.conditions.iter().map(|c| c.says.as_str()) {
            if !conditions.contains(&condition) {
                conditions.push(condition);
            }
        }
        let own: Vec<&StepTold> = stage.steps.iter().filter(|s| !g.common.has_step(&s.step) && !told.contains(&s.step.as_str())).collect();
        told.extend(own.iter().map(|s| s.step.as_str()));
        let bearer = own.iter().rposition(|s| s.brief).or(own.len().checked_sub(1));
        for (at, step) in own.iter().enumerate() {
            let mine: &[&str] = if Some(at) == bearer { &conditions } else { &[] };
            items.push(Item { group, ..step_item(g, step, mine) });
        }
        if bearer.is_none() && !conditions.is_empty() {
            items.push(Item::head(upper(&conditions.join("; "))));
        }
        if g.detail == Detail::Plan {
            let notices = stage.notices.iter().filter(|n| speaks(n) && !is_shared(g, n));
            // What is to be minded stands with the step it is about.
            match items.last_mut().filter(|_| !own.is_empty()) {
                Some(last) => last.under.extend(notices.map(|n| format!("Mind: {}", said(n)))),
                None => items.extend(notices.map(|n| Item::new(heading(n), said(n)))),
            }
        }
    }
    Section::new("Do, in this order", Form::Numbered, items).set_off(Part::Do)
}

/// A step: in full where the pack marks it as one of the chief steps, else by its name; with all it takes in a plan.
fn step_item(g: &Ground<'_>, step: &StepTold, conditions: &[&str]) -> Item {
    let mut head = upper(&step.title);
    if let Some(open) = &step.open {
        head = upper(open);
    } else if step.status == Status::Open && !step.depends_on.is_empty() {
        let mut on: Vec<String> = Vec::new();
        for title in &step.depends_on {
            let open = g.names.open(title);
            if !on.contains(&open) {
                on.push(open);
            }
        }
        let more = if g.detail == Detail::Page && on.len() > 2 { ", and more" } else { "" };
        if !more.is_empty() {
            on.truncate(1);
        }
        head = format!("{head} {}{}{more})", super::LOOK_FIRST, words::list(&on, "and"));
    }
    if !conditions.is_empty() {
        head = format!("{head}: {}", conditions.join("; "));
    }
    let plan = g.detail == Detail::Plan;
    let mut item = Item::new(head, if step.brief || plan { sentence(&step.says) } else { String::new() });
    if plan {
        item.under.extend(step.waits.iter().map(|w| format!("then wait {} ({})", rounded(&w.text), w.name)));
        item.under.extend(step.quantities.iter().filter_map(quantity));
    }
    item
}

/// What a step takes; what is missing for a figure stands with the other figures.
fn quantity(q: &Quantity) -> Option<String> {
    let sheet = q.reckoned.as_ref()?;
    let results: Vec<String> =
        sheet.results.iter().filter(|l| l.high != Some(0.0)).map(|l| format!("{} {}", l.name, rounded(&l.text))).collect();
    (!results.is_empty()).then(|| format!("{}: {}", q.kind, results.join("; ")))
}

/// What to mind on this surface alone: on a page the strongest in full, where it is short, and the rest named.
pub(super) fn mind(g: &Ground<'_>) -> Vec<Section> {
    let mut own: Vec<&Notice> = Vec::new();
    let around = g.surface.notices.iter().filter(|n| n.ruling != Ruling::Hold);
    let at_stages =
        g.plan.iter().flat_map(|p| &p.stages).filter(|s| g.detail == Detail::Page || s.part == StagePart::First).flat_map(|s| &s.notices);
    for notice in at_stages.chain(around.filter(|_| g.plan.is_none_or(|p| p.told.is_none()))) {
        if speaks(notice) && !is_shared(g, notice) && !own.iter().any(|n| n.rule == notice.rule) {
            own.push(notice);
        }
    }
    own.sort_by_key(|n| (n.ruling != Ruling::Caution, g.names.short(&n.rule).is_none(), strength(n.basis)));
    if g.detail == Detail::Plan {
        let items = own.iter().map(|n| Item::new(heading(n), said(n))).collect();
        return vec![Section::new("Mind", Form::Points, items).set_off(Part::Mind), tools(g)];
    }
    // Besides the first, what the law or a standard warns of and what its pack has put in a short sentence.
    let law = |n: &Notice| strength(n.basis) <= strength(Basis::Standard);
    let told = |(at, n): &(usize, &&Notice)| *at == 0 || g.names.short(&n.rule).is_some() || law(n) && n.ruling == Ruling::Caution;
    let short = |n: &&Notice| in_short(g, n).split_whitespace().count() <= MOST_WORDS;
    let full: Vec<&Notice> = own.iter().enumerate().filter(told).map(|(_, n)| *n).filter(short).take(MOST_IN_FULL).collect();
    let items = full.iter().map(|n| Item::new(heading(n), in_short(g, n))).collect();
    let mut rest: Vec<&Notice> = own.into_iter().filter(|n| !full.iter().any(|f| f.rule == n.rule)).collect();
    // What can hurt people, and the law, stands first and is never only counted.
    let spared = |n: &&Notice| !(law(n) || g.names.dangers(&n.pack) || g.names.short(&n.rule).is_some());
    rest.sort_by_key(spared);
    let rest: Vec<Item> = rest.iter().map(|n| Item { spared: spared(n), ..Item::head(n.title.clone().unwrap_or_default()) }).collect();
    vec![
        Section::new("Mind", Form::Points, items).set_off(Part::Mind),
        Section::new(NAMED, Form::Line, rest).set_off(Part::Named),
        tools(g),
    ]
}

/// A caution in one sentence: as its pack puts it, else what to do instead, else what it says.
fn in_short(g: &Ground<'_>, notice: &Notice) -> String {
    let short = g.names.short(&notice.rule).map(str::to_owned);
    short.unwrap_or_else(|| first_sentence(notice.instead.as_deref().unwrap_or(&notice.says)))
}

/// What the tools ask for.
fn tools(g: &Ground<'_>) -> Section {
    let stages = g.plan.iter().flat_map(|p| &p.stages);
    let items = stages.filter_map(|s| Some(Item::new(upper(s.method.as_ref()?), s.caution.clone()?)));
    Section::new("With these tools", Form::Pairs, items.collect()).set_off(Part::Tools)
}

/// What stops the work.
pub(super) fn stop(g: &Ground<'_>) -> Section {
    let stages = stages(g, StagePart::Stop);
    let heading = stages.first().map_or_else(String::new, |s| s.title.clone());
    let steps = stages.into_iter().flat_map(|s| &s.steps).filter(|s| !g.common.has_step(&s.step));
    if g.detail == Detail::Plan {
        return Section::new(heading, Form::Points, steps.map(|s| step_item(g, s, &[])).collect()).set_off(Part::Stop);
    }
    Section::new(heading, Form::Line, steps.map(|s| Item::head(s.title.clone())).collect()).set_off(Part::Stop)
}

/// A notice's heading.
pub(super) fn heading(notice: &Notice) -> String {
    let doubt = if notice.thought { " (not sure yet)" } else { "" };
    format!("{}{doubt}", upper(notice.title.as_deref().unwrap_or("")))
}

/// What a notice says, and what to do instead.
pub(super) fn said(notice: &Notice) -> String {
    notice.instead.as_ref().map_or_else(|| notice.says.clone(), |instead| format!("{} {instead}", notice.says))
}
