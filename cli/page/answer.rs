//! The answer: what to do, in one sentence, and why.

use super::plain::{lower, sentence, upper};
use super::{Form, Ground, Item, Names, Part, Section, shared};
use ovolo_engine::advice::{Approach, ApproachStep, MethodAdvice, Notice, Person, Proviso};
use ovolo_engine::approach::shape::SurfacePlan;
use ovolo_engine::finding::{Clears, Extent, First, Likelihood, Ruling, Status, Verdict};
use ovolo_engine::words;

/// The answer, and why.
pub(super) fn answer(g: &Ground<'_>) -> (String, String) {
    let told = g.plan.and_then(|p| Some((p, p.told?)));
    let Some((plan, told)) = told else { return nothing_yet(g) };
    let approach = &plan.approaches[told - 1];
    let says = with_what_it_asks(says(g, approach), plan);
    // What holds the whole job is named at its head.
    let waits: Vec<&str> = shared::held(g.surface, g.names).into_iter().filter(|t| !g.common.holds_all(t)).collect();
    let people = calling(g);
    let answer = if let Some((call, works)) = people {
        let then = match (approach.on_hold, works) {
            (true, true) => "Their work, once released: ",
            (true, false) => "Once released, ",
            (false, true) => "Their work: ",
            (false, false) => "Then ",
        };
        format!("Do not start{}: {call}. {then}{}", if works { " yourself" } else { "" }, lower(&says))
    } else if approach.on_hold && !waits.is_empty() {
        format!("On hold: {}; once released, {}", waits.join("; "), lower(&says))
    } else if approach.on_hold {
        format!("On hold; once released, {}", lower(&says))
    } else if g.surface.lead.first == First::Look {
        // Where nothing comes off there is nothing to try a patch of.
        let patches = if approach.steps.iter().any(|s| s.extent != Extent::Stays) { " and try patches" } else { "" };
        format!("Look first{patches}; then, most likely, {}", lower(&says))
    } else if !approach.provided.is_empty() || !approach.tried.is_empty() {
        format!("If what is taken for granted holds: {}", lower(&says))
    } else {
        says
    };
    (answer, why(plan.approaches.len(), told, g))
}

/// A way as an instruction.
pub(super) fn says(g: &Ground<'_>, approach: &Approach) -> String {
    let coats = g.surface.coats.len();
    let mut parts: Vec<String> = Vec::new();
    for step in &approach.steps {
        let title = g.surface.methods.iter().find(|m| m.method == step.method).map_or_else(|| g.names.entry(&step.method), |m| &m.title);
        parts.push(part(step, title, coats));
    }
    sentence(&parts.join(", then "))
}

fn part(step: &ApproachStep, title: &str, of: usize) -> String {
    let numbers: Vec<String> = step.coats.iter().map(ToString::to_string).collect();
    match step.extent {
        Extent::Stays => title.to_owned(),
        Extent::Loose => format!("take off only what is loose, by {title}"),
        Extent::Whole if step.coats.len() >= of => format!("take all the paint off, by {title}"),
        Extent::Whole if numbers.len() == 1 => format!("take coat {} off, by {title}", numbers[0]),
        Extent::Whole => format!("take coats {} off, by {title}", words::list(&numbers, "and")),
    }
}

/// A way with what its steps put before it in the answer.
fn with_what_it_asks(says: String, plan: &SurfacePlan) -> String {
    let first: Vec<&str> = plan.stages.iter().flat_map(|s| &s.steps).filter_map(|s| s.answer.as_deref()).collect();
    if first.is_empty() { says } else { sentence(&format!("{} and {}", first.join(", "), lower(&says))) }
}

/// Why this way stands first.
fn why(ways: usize, told: usize, g: &Ground<'_>) -> String {
    let Some(plan) = g.plan else { return String::new() };
    let approach = &plan.approaches[told - 1];
    if told == 1
        && approach.clears != Clears::All
        && let Some(may) = plan.may_stay.first()
    {
        return may.says.clone();
    }
    if ways == 1 {
        return "No other way suits as things stand.".to_owned();
    }
    if told > 1 {
        return format!("This is way {told} of {ways}; the first is to {}", lower(&says(g, &plan.approaches[0])));
    }
    better(g, approach, &plan.approaches[1]).unwrap_or_else(|| format!("It stands first of {ways} ways that come out alike."))
}

/// Why a way comes before the next: what a rule or the trade says for it, else what speaks against the next, else in what it is better.
fn better(g: &Ground<'_>, way: &Approach, next: &Approach) -> Option<String> {
    let methods = |a: &Approach| -> Vec<&MethodAdvice> {
        let takes = a.steps.iter().filter(|s| s.extent != Extent::Stays);
        takes.filter_map(|s| g.surface.methods.iter().find(|m| m.method == s.method)).collect()
    };
    let (own, others) = (methods(way), methods(next));
    let against = only_in(&others, &own);
    let named = if against.is_empty() { others.iter().map(|m| m.title.as_str()).collect() } else { against };
    let named = words::list(&named, "and");
    let (ahead, _) = way.weighed.iter().zip(&next.weighed).find(|(a, b)| a.cost < b.cost)?;
    let rows = |of: &[&MethodAdvice]| -> Vec<String> {
        of.iter().flat_map(|m| &m.rank).filter(|r| r.part == ahead.part).flat_map(|r| r.because.clone()).collect()
    };
    let (mine, theirs) = (rows(&own), rows(&others));
    if let Some(because) = mine.iter().find(|b| g.names.speaks_for(b) && !theirs.contains(b)) {
        return Some(sentence(because));
    }
    let speaks = theirs.iter().find(|b| !g.names.speaks_for(b) && !mine.contains(b));
    if let Some(because) = speaks {
        return Some(format!("{} comes second: {}", upper(&named), lower(&first_sentence(because))));
    }
    let preferred = own.iter().flat_map(|m| &m.reasons).find(|n| n.ruling == Ruling::Prefer && n.status == Status::Applies);
    if let Some(notice) = preferred {
        return Some(first_sentence(&notice.says));
    }
    g.names.ahead(&ahead.part, &named).or_else(|| match ahead.part.as_str() {
        "how much comes off" | "coats taken off all over" => Some(format!("It takes less of the paint off than {named}.")),
        _ => None,
    })
}

/// The methods of one way that the other does without.
fn only_in<'a>(a: &[&'a MethodAdvice], b: &[&MethodAdvice]) -> Vec<&'a str> {
    a.iter().filter(|m| !b.iter().any(|o| o.method == m.method)).map(|m| m.title.as_str()).collect()
}

/// The first sentence of what is said, without what is joined to it.
pub(super) fn first_sentence(text: &str) -> String {
    let first = text.split(". ").next().unwrap_or(text);
    sentence(first.split("; ").next().unwrap_or(first))
}

/// Whom to call, as it reads after "do not start", and whether the work is theirs: those whom the whole job waits for stand at its head.
fn calling(g: &Ground<'_>) -> Option<(String, bool)> {
    let people = &g.surface.lead.people;
    let told = |(at, p): (usize, &Person)| if at < shared::told_of(people) { does(p) } else { p.who.clone() };
    let own: Vec<String> = people.iter().enumerate().filter(|(_, p)| !g.common.calls_all(&p.who)).map(told).collect();
    let (last, before) = own.split_last()?;
    let joined = if before.is_empty() { last.clone() } else { format!("{}; and {last}", before.join("; ")) };
    Some((format!("call {joined}"), people.iter().any(|p| p.works)))
}

/// Who it is and what they do.
pub(super) fn does(person: &Person) -> String {
    format!("{}, who {}", person.who, person.does)
}

/// Where an earlier sheet says whom to call, the sheet that does, and the answer without it.
pub(super) fn called_on(g: &Ground<'_>) -> Option<(String, String)> {
    let on = g.common.called_before(g.surface)?;
    let plan = g.plan?;
    let way = lower(&with_what_it_asks(says(g, &plan.approaches[plan.told? - 1]), plan));
    Some((on.to_owned(), if plan.approaches[plan.told? - 1].on_hold { format!("once released, {way}") } else { way }))
}

/// What is said where there is no way.
fn nothing_yet(g: &Ground<'_>) -> (String, String) {
    let lead = &g.surface.lead;
    if let Some((call, works)) = calling(g) {
        // What sends people to somebody is said by naming them.
        let sent = |n: &&Notice| lead.people.iter().any(|p| p.rules.contains(&n.rule));
        let said: Vec<&str> = g.surface.methods.iter().flat_map(|m| &m.reasons).filter(sent).filter_map(|n| n.instead.as_deref()).collect();
        let why = lead.call.iter().filter(|c| !said.contains(&c.as_str())).cloned().collect::<Vec<_>>().join(" ");
        let start = if works { "Nothing here is yours to do" } else { "Nothing may be done here as things stand" };
        return (format!("{start}: {call}."), why);
    }
    if !lead.says.is_empty() {
        return (sentence(&lead.says), lead.call.join(" "));
    }
    let count = |verdicts: &[Verdict]| g.surface.methods.iter().filter(|m| verdicts.contains(&m.verdict)).count();
    let (suits, open, held) =
        (count(&[Verdict::Suited, Verdict::SuitedWithCare]), count(&[Verdict::CantTellYet]), count(&[Verdict::OnHold]));
    let waits = shared::held(g.surface, g.names);
    if held > 0 && !waits.is_empty() {
        return (
            format!("Nothing may be done yet, for it is held: {}.", waits.join("; ")),
            "Nothing starts before a hold is released in writing.".to_owned(),
        );
    }
    if g.surface.coats.is_empty() && suits + open > 0 {
        return ("Look first: count and name the coats, from the top down.".to_owned(), "Nobody has looked at them.".to_owned());
    }
    if suits > 0 {
        let why = "What suits takes only some of the coats.".to_owned();
        return ("Look first: nothing that suits yet leads through all the coats.".to_owned(), why);
    }
    if open > 0 {
        return ("Look first: it depends on what nobody has found out.".to_owned(), upper(&format!("{open} methods wait for it.")));
    }
    ("Leave it as it is and ask: every method is ruled out.".to_owned(), String::new())
}

/// What the way takes for granted.
pub(super) fn provided(g: &Ground<'_>) -> Section {
    let told = g.plan.and_then(|p| p.approaches.get(p.told? - 1));
    let (provided, tried): (&[Proviso], &[Proviso]) = told.map_or((&[], &[]), |a| (&a.provided, &a.tried));
    let mut items: Vec<Item> = Vec::new();
    let own = provided.iter().chain(tried).filter(|p| !g.common.grants(p));
    for item in own.map(|p| proviso(p, g.surface.coats.len(), g.names)) {
        // What is looked at in the same way and means the same if it is otherwise stands together.
        match items.iter_mut().find(|i| i.text == item.text && i.under == item.under) {
            Some(first) => first.head = format!("{}; {}", first.head, lower(&item.head)),
            None => items.push(item),
        }
    }
    Section::new("Provided that", Form::Ticks, items).set_off(Part::Provided)
}

/// A proviso: what is taken for granted, how to look, and what follows if it is otherwise.
pub(super) fn proviso(p: &Proviso, coats: usize, names: &Names) -> Item {
    let about = if coats > 1 { p.about.as_str() } else { "" };
    let taken = if p.usual == Likelihood::Likely { ", as is usual" } else { "" };
    // Packs say how it reads; of coats it has to be told which.
    let told = if p.about.starts_with("coats ") {
        names.so(&p.fact, &p.title, &p.about, &p.is).replacen(" is ", " are ", 1)
    } else if p.about.starts_with("coat ") {
        names.so(&p.fact, &p.title, about, &p.is)
    } else {
        p.says.clone()
    };
    let mut item = Item::new(format!("{}{taken}", upper(&told)), sentence(&p.how_to_find_out));
    item.under.extend((!p.otherwise.is_empty()).then(|| sentence(&p.otherwise)));
    item
}
