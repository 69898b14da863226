//! What not to do, and what else would do.

use super::plain::{at_work, rounded, upper};
use super::{Detail, Form, Ground, Item, Part, Section};
use crate::render::shared::{holds_of_ways, short_reason, strength, with};
use ovolo_engine::advice::{Approach, Flip, MethodAdvice, Notice};
use ovolo_engine::approach::shape::{Compared, SurfacePlan};
use ovolo_engine::finding::{Clears, Extent, Ruling, Status, Verdict};
use ovolo_engine::words;

/// The most reasons against; methods beyond them are named together.
const MOST_REASONS: usize = 4;

/// The longest that "depends on" is told in full.
const LONGEST: usize = 48;

/// What not to do: methods with one reason stand together.
pub(super) fn not(g: &Ground<'_>) -> Section {
    let mut groups: Vec<(String, usize, Vec<&str>)> = Vec::new();
    let mut packs: Vec<(&str, &str)> = Vec::new();
    // What is out only by what is wanted is forbidden by nothing.
    let forbidden = |m: &&MethodAdvice| {
        let mut out = m.reasons.iter().filter(|n| n.ruling == Ruling::RuleOut && n.status == Status::Applies).peekable();
        out.peek().is_none() || out.any(|n| !g.names.wanted(&n.rule))
    };
    for method in with(g.surface, &[Verdict::RuledOut]).into_iter().filter(forbidden) {
        let (reason, notice) = short_reason(method);
        let reason = reason.split(" (coat").next().unwrap_or(&reason).replace("not known yet, but it may be: ", "perhaps ");
        packs.push((&method.title, notice.map_or("", |n| n.pack.as_str())));
        // What surely speaks against a method is told before what may.
        let ground = notice.map_or(9, |n| strength(n.basis) + if n.status == Status::Open { 10 } else { 0 });
        match groups.iter_mut().find(|(r, ..)| *r == reason) {
            Some((_, best, methods)) => {
                *best = (*best).min(ground);
                methods.push(&method.title);
            }
            None => groups.push((reason, ground, vec![&method.title])),
        }
    }
    groups.sort_by_key(|(_, ground, methods)| (*ground, usize::MAX - methods.len()));
    let most = if g.detail == Detail::Page { MOST_REASONS } else { usize::MAX };
    // One reason more is told rather than hidden.
    let most = if groups.len() == most.saturating_add(1) { most + 1 } else { most };
    let rest: Vec<&str> = groups.iter().skip(most).flat_map(|(.., m)| m).copied().collect();
    groups.truncate(most);
    let mut items: Vec<Item> = groups.into_iter().map(|(reason, _, methods)| Item::new(words::list(&methods, "or"), reason)).collect();
    // The rest stands together by what their packs hold against them.
    let mut families: Vec<(&str, Vec<&str>)> = Vec::new();
    for method in rest {
        let pack = packs.iter().find(|(m, _)| *m == method).map_or("", |(_, p)| p);
        let why = g.names.against(pack);
        match families.iter_mut().find(|(w, _)| *w == why) {
            Some((_, all)) => all.push(method),
            None => families.push((why, vec![method])),
        }
    }
    items.extend(families.into_iter().map(|(why, all)| Item::new(words::list(&all, "or"), why)));
    items.extend(waiting(g));
    Section::new("Do not", Form::Pairs, items).set_off(Part::Not)
}

/// Methods that wait for a release of their own, which no way here needs: not to be used meanwhile.
fn waiting(g: &Ground<'_>) -> Vec<Item> {
    let waits = holds_of_ways(g.surface);
    let mut found: Vec<(&str, Vec<&str>)> = Vec::new();
    for method in with(g.surface, &[Verdict::OnHold]) {
        let own = |n: &&Notice| n.ruling == Ruling::Hold && n.status == Status::Applies && !waits.iter().any(|w| w.rule == n.rule);
        let Some(notice) = method.reasons.iter().find(own) else { continue };
        let why = notice.title.as_deref().unwrap_or("not released");
        match found.iter_mut().find(|(w, _)| *w == why) {
            Some((_, methods)) => methods.push(&method.title),
            None => found.push((why, vec![&method.title])),
        }
    }
    found.into_iter().map(|(why, methods)| Item::new(words::list(&methods, "or"), format!("on hold, {why}"))).collect()
}

/// What else would do: other ways, and methods that would suit if something turned out so.
pub(super) fn further(g: &Ground<'_>) -> Vec<Section> {
    let mut out = Vec::new();
    if let Some((plan, told)) = g.plan.and_then(|p| Some((p, p.told?))) {
        let best = &plan.approaches[told - 1];
        let others = plan.approaches.iter().enumerate().filter(|(i, _)| i + 1 != told);
        let mut picked: Vec<usize> = Vec::new();
        let other_tool = others.clone().find(|(_, a)| a.steps.first().map(|s| &s.method) != best.steps.first().map(|s| &s.method));
        let further = others.clone().find(|(_, a)| a.clears == Clears::All && best.clears != Clears::All);
        for (at, _) in [other_tool, further].into_iter().flatten().chain(others) {
            if picked.len() < 2 && !picked.contains(&at) {
                picked.push(at);
            }
        }
        picked.sort_unstable();
        let takes = |way: usize| {
            let row = plan.comparison.iter().find(|c| c.approach == way)?;
            let hours = row.figures.iter().find(|l| l.name == "attended hours")?;
            Some(format!(" ({} of work)", at_work(hours.low?, hours.high?)))
        };
        if g.detail == Detail::Plan {
            return vec![ways(plan), maybe(g)];
        }
        let item = |i: &usize| format!("way {}{}: {}", i + 1, takes(i + 1).unwrap_or_default(), short(g, &plan.approaches[*i]));
        let items = picked.iter().map(|i| Item::head(item(i))).collect();
        out.push(Section::new("If that does not do", Form::Line, items).set_off(Part::Ways));
    }
    out.push(maybe(g));
    // Where there is a way at all, the others are named with it.
    if g.plan.is_none_or(|p| p.told.is_none()) {
        let held: Vec<Item> = with(g.surface, &[Verdict::OnHold]).into_iter().map(|m| Item::head(m.title.clone())).collect();
        out.push(Section::new("Once released, these could be weighed", Form::Line, held));
    }
    out
}

/// A way in a few words: its methods, and how far they go.
fn short(g: &Ground<'_>, way: &Approach) -> String {
    let takes = way.steps.iter().filter(|s| s.extent != Extent::Stays);
    let parts: Vec<String> = takes
        .map(|s| {
            let title = g.names.entry(&s.method);
            match s.extent {
                Extent::Loose => format!("{title}, only what is loose"),
                _ if s.coats.len() >= g.surface.coats.len() => format!("{title}, all the paint"),
                _ => {
                    let numbers: Vec<String> = s.coats.iter().map(ToString::to_string).collect();
                    format!("{title}, coat {}", words::list(&numbers, "and"))
                }
            }
        })
        .collect();
    if parts.is_empty() { way.says.clone() } else { parts.join(", then ") }
}

/// Methods that would suit if something turned out so.
fn maybe(g: &Ground<'_>) -> Section {
    let mut waiting: Vec<(String, Vec<&str>)> = Vec::new();
    // What stands in a way is told there.
    let ways: Vec<&str> = g.plan.iter().flat_map(|p| &p.approaches).flat_map(|a| &a.steps).map(|s| s.method.as_str()).collect();
    for method in with(g.surface, &[Verdict::CantTellYet]).into_iter().filter(|m| !ways.contains(&m.method.as_str())) {
        let on = waits_for(g, method);
        match waiting.iter_mut().find(|(w, _)| *w == on) {
            Some((_, methods)) => methods.push(&method.title),
            None => waiting.push((on, vec![&method.title])),
        }
    }
    let items = waiting.into_iter().map(|(on, methods)| Item::new(upper(&words::list(&methods, "and")), on)).collect();
    Section::new("These might suit too", Form::Pairs, items).set_off(Part::Maybe)
}

/// All the ways beside each other, with what they take.
fn ways(plan: &SurfacePlan) -> Section {
    let told = |row: &Compared| {
        let figures: Vec<String> =
            row.figures.iter().filter(|l| l.high != Some(0.0)).map(|l| format!("{} {}", l.name, rounded(&l.text))).collect();
        let figures = if figures.is_empty() { "no figures".to_owned() } else { figures.join("; ") };
        Item::head(format!("way {} ({figures}): {}", row.approach, row.says))
    };
    Section::new("The ways beside each other", Form::Points, plan.comparison.iter().map(told).collect())
}

/// What a method waits for, short enough to be read.
fn waits_for(g: &Ground<'_>, method: &MethodAdvice) -> String {
    if let Some(set) = method.provided.iter().min_by_key(|s| s.len()) {
        let parts: Vec<String> = set.iter().map(|p| g.names.so(&p.fact, &p.title, coat(g, &p.about), &p.is)).collect();
        let told = words::list(&parts, "and");
        return if told.len() <= LONGEST { format!("if {told}") } else { unknown(g, set.iter().map(|p| p.title.as_str())) };
    }
    let parts: Vec<String> = method.depends_on.iter().map(|d| g.names.so(&d.fact, &d.title, coat(g, &d.about), &d.suits_if)).collect();
    let told = words::list(&parts, "and");
    if !told.is_empty() && told.len() <= LONGEST {
        return format!("if {told}");
    }
    let open: Vec<&Flip> = method.completions.iter().flat_map(|c| &c.suits).collect();
    if method.depends_on.is_empty() && !open.is_empty() {
        return unknown(g, open.iter().map(|f| f.title.as_str()));
    }
    unknown(g, method.depends_on.iter().map(|d| d.title.as_str()))
}

/// Which coat, where there is more than one.
fn coat<'a>(g: &Ground<'_>, about: &'a str) -> &'a str {
    if g.surface.coats.len() > 1 { about } else { "" }
}

fn unknown<'a>(g: &Ground<'_>, titles: impl Iterator<Item = &'a str>) -> String {
    let mut all: Vec<String> = Vec::new();
    for title in titles {
        let open = g.names.open(title);
        if !all.contains(&open) {
            all.push(open);
        }
    }
    match all.len() {
        0 => "not known yet".to_owned(),
        1 | 2 => format!("depends on {}", words::list(&all, "and")),
        _ => format!("depends on {}, and more", all[0]),
    }
}
