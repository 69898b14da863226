//! The order of work on all surfaces, the days, the gates of the weather and the last heat.
//!
//! Surfaces are worked one after the other. At best the waiting of one is used for the next; at worst nothing else can be
//! done while a surface waits. Days are counted from the first day of work, every day a day of work.

use super::compare::{Sums, sums};
use super::data::{Kind, Show};
use super::quantities::Reckoner;
use super::said;
use super::shape::{Gate, Programme, Said, SurfacePlan, Turn};
use super::work::{Stands, Work};
use crate::reckon::Span;
use crate::reckon::units::{Ratio, Time};
use jiff::ToSpan;
use jiff::civil::Date;

/// A surface with what its turn rests on.
struct Entry<'p, 'b, 'i, 's> {
    plan: &'p SurfacePlan,
    work: &'p Work<'b, 'i, 's>,
    sums: Sums,
    /// Waiting after steps, such as drying, stage by stage.
    waits: Vec<Span<Time>>,
    /// By row of the order: whether it applies.
    rows: Vec<bool>,
}

pub(super) fn programme<'b>(surfaces: &[SurfacePlan], works: &[Option<Work<'b, '_, '_>>], reckoner: &Reckoner<'b>) -> Programme {
    let settings = &reckoner.settings;
    let orders = &reckoner.desk.book.working.orders;
    let mut entries: Vec<Entry<'_, 'b, '_, '_>> = Vec::new();
    let mut not_planned = Vec::new();
    for (plan, work) in surfaces.iter().zip(works) {
        match work {
            Some(work) => entries.push(Entry {
                plan,
                work,
                sums: sums(work, reckoner),
                waits: waits(plan, reckoner),
                rows: orders.iter().map(|o| work.stands_anywhere(&o.tree).0 == Stands::Applies).collect(),
            }),
            None => not_planned.push(said(
                &format!("{}: {}", plan.name, plan.none_yet.as_deref().unwrap_or("there is no way yet")),
                "what is judged of its methods".to_owned(),
            )),
        }
    }
    // Earlier rows count first; the sort is stable: what no row parts keeps the order of the survey.
    entries.sort_by(|a, b| b.rows.cmp(&a.rows));
    let day = reckoner.desk.look_up::<Time>("working-day").ok();
    let (turns, whole, remarks) = turns(&entries, day, reckoner);
    Programme {
        starts: settings.starts.to_string(),
        day: format!(
            "{}{}",
            settings.day.words(),
            if settings.day.stated { ", as given" } else { ", taken as usual (common practice): state the hours of the site" }
        ),
        people: settings.people,
        first: first(&entries, surfaces),
        turns,
        not_planned,
        whole,
        remarks,
        gates: gates(surfaces),
        heat: heat(&entries, reckoner),
    }
}

/// The waiting that follows the steps, stage by stage: what waits within one stage waits side by side, so the longest counts.
fn waits(plan: &SurfacePlan, reckoner: &Reckoner<'_>) -> Vec<Span<Time>> {
    let longer = |a: Span<Time>, b: Span<Time>| a.with(b, |x, y| if x > y { x } else { y });
    let of = |step: &super::shape::StepTold| {
        let data = reckoner.desk.book.working.steps.iter().find(|s| s.id == step.step)?;
        reckoner.desk.look_up::<Time>(data.waits.as_ref()?).ok()
    };
    plan.stages.iter().filter_map(|stage| stage.steps.iter().filter_map(of).reduce(longer)).collect()
}

/// What comes before the first day of work.
fn first(entries: &[Entry<'_, '_, '_, '_>], surfaces: &[SurfacePlan]) -> Vec<String> {
    let mut out = Vec::new();
    let named =
        |wanted: &dyn Fn(&SurfacePlan) -> bool| -> Vec<String> { surfaces.iter().filter(|s| wanted(s)).map(|s| s.name.clone()).collect() };
    let held = named(&|s| s.stages.iter().flat_map(|g| &g.notices).any(|n| n.ruling == "hold" && n.status == "applies"));
    if !held.is_empty() {
        out.push(format!("hold points released: {}", crate::words::list(&held, "and")));
    }
    let maybe = named(&|s| s.stages.iter().flat_map(|g| &g.notices).any(|n| n.ruling == "hold" && n.status == "open"));
    if !maybe.is_empty() {
        out.push(format!("looked into whether a hold point applies: {}", crate::words::list(&maybe, "and")));
    }
    let patches: Vec<String> = entries
        .iter()
        .filter(|e| e.plan.stages.iter().flat_map(|s| &s.steps).flat_map(|s| &s.quantities).any(|q| q.kind == Kind::Patches.word()))
        .map(|e| e.plan.name.clone())
        .collect();
    if !patches.is_empty() {
        out.push(format!("test patches made, dry and agreed: {}", crate::words::list(&patches, "and")));
    }
    out
}

/// When a surface is begun and done, in days from the first, at best or at worst.
#[derive(Clone, Copy)]
struct Days {
    begins: f64,
    ends: f64,
}

fn turns(
    entries: &[Entry<'_, '_, '_, '_>],
    day: Option<Span<Time>>,
    reckoner: &Reckoner<'_>,
) -> (Vec<Turn>, Vec<crate::reckon::Line>, Vec<String>) {
    let settings = &reckoner.settings;
    let people = settings.people;
    let mut turns = Vec::new();
    // Where work on the next surface can begin, at best and at worst; unknown once a surface before it could not be reckoned.
    let mut begun = Some((0.0, 0.0));
    let (mut done_best, mut done_worst) = (0.0_f64, 0.0_f64);
    let mut total: Option<Span<Time>> = None;
    let mut complete = true;
    for entry in entries {
        let mut sheet = reckoner.desk.sheet("turn", "");
        let drying = entry.waits.iter().fold(Span::exactly(Time::hours(0.0)), |sum, w| sum + *w);
        let waiting = entry.sums.waiting.map(|w| w + drying);
        if let Some(hours) = entry.sums.hours {
            sheet.result("attended, hours of one person", hours, "h");
            total = Some(total.map_or(hours, |t| t + hours));
        }
        if let Some(waiting) = waiting {
            let unit = if waiting.high().in_days() < 3.0 { "h" } else { "d" };
            sheet.result("waiting for dwell and drying", waiting, unit);
        }
        let days = match (entry.sums.hours, waiting, day) {
            (Some(hours), Some(waiting), Some(day)) => {
                let work =
                    (hours.low().in_hours() / people / day.high().in_hours(), hours.high().in_hours() / people / day.low().in_hours());
                Some((work, (waiting.low().in_days(), waiting.high().in_days())))
            }
            _ => None,
        };
        if let (Some((work, wait)), Some((b, w))) = (days, begun) {
            let at_best = Days { begins: b, ends: b + work.0 + wait.0 };
            let at_worst = Days { begins: w, ends: w + work.1 + wait.1 };
            put_days(&mut sheet, settings.starts, at_best, at_worst);
            begun = Some((b + work.0, at_worst.ends));
            done_best = done_best.max(at_best.ends);
            done_worst = done_worst.max(at_worst.ends);
        } else {
            complete = false;
            begun = None;
        }
        let rows = reckoner.desk.book.working.orders.iter().zip(&entry.rows).filter(|(_, applies)| **applies);
        let because: Vec<Said> = rows.map(|(o, _)| said(&o.says, reckoner.desk.book.cite(&o.source))).collect();
        let told = entry.plan.told.and_then(|t| entry.plan.approaches.get(t - 1));
        turns.push(Turn {
            surface: entry.work.name().to_owned(),
            approach: told.map_or_else(String::new, |a| a.says.clone()),
            because,
            on_hold: told.is_some_and(|a| a.on_hold)
                || entry.plan.stages.iter().flat_map(|g| &g.notices).any(|n| n.ruling == "hold" && n.status == "applies"),
            figures: sheet.results,
            missing: entry.sums.missing.iter().filter(|_| days.is_none()).cloned().collect(),
        });
    }
    let mut sheet = reckoner.desk.sheet("whole", "");
    if let Some(total) = total {
        let name = if complete { "attended, hours of one person" } else { "attended, hours of one person, as far as reckoned" };
        sheet.result(name, total, "h");
    }
    if complete && !entries.is_empty() {
        sheet.result("from the first day of work to the last drying", days_begun(done_best, done_worst), "d");
    }
    if let Ok(span) = reckoner.desk.figure::<Time>(&mut sheet, "working-day") {
        let line = sheet.from.pop();
        let source = line.and_then(|l| l.source);
        sheet.result("hours at the work in a day", span, "h");
        if let (Some(last), Some(source)) = (sheet.results.last_mut(), source) {
            last.source = Some(source);
        }
    }
    let mut remarks = vec![
        "Surfaces are worked one after the other; at best the waiting of one is used for the next, at worst all of it comes on top."
            .to_owned(),
        "Every day is counted as a day of work: weekends, weather, access, patches and hold points come on top.".to_owned(),
    ];
    if !complete {
        remarks.push("From the first surface that cannot be reckoned no days are given: find out what is missing there.".to_owned());
    }
    (turns, sheet.results, remarks)
}

fn days_begun(low: f64, high: f64) -> Span<Time> {
    let up = |d: f64| Time::days((d - 1e-9).ceil().max(1.0));
    Span::between(up(low), up(high))
}

/// The first and last day of a surface, as numbers and by the calendar.
fn put_days(sheet: &mut crate::reckon::Sheet, starts: Date, best: Days, worst: Days) {
    let number = |d: f64| (d + 1e-9).floor() + 1.0;
    let last = |d: &Days| ((d.ends - 1e-9).ceil()).max(number(d.begins));
    let begins = Span::between(Ratio::of(number(best.begins)), Ratio::of(number(worst.begins)));
    let ends = Span::between(Ratio::of(last(&best)), Ratio::of(last(&worst)));
    sheet.result("begins on day", begins, "");
    sheet.result("done on day", ends, "");
    let date = |day: f64| (day < 36_525.0).then(|| starts.checked_add(((day - 1.0) as i64).days()).ok()).flatten();
    if let (Some(from), Some(until)) = (date(ends.low().value()), date(ends.high().value())) {
        let text = if from == until { format!("{from}") } else { format!("{from} .. {until}") };
        sheet.result_text("that is", text);
    }
}

/// Every gate of the weather once, with the surfaces it is for.
fn gates(surfaces: &[SurfacePlan]) -> Vec<Gate> {
    let mut out: Vec<Gate> = Vec::new();
    for surface in surfaces {
        for step in surface.stages.iter().flat_map(|s| &s.steps).filter(|s| s.gate) {
            match out.iter_mut().find(|g| g.title == step.title && g.says == step.says) {
                Some(gate) => {
                    if !gate.surfaces.contains(&surface.name) {
                        gate.surfaces.push(surface.name.clone());
                    }
                    if step.status == "applies" {
                        gate.status = "applies";
                    }
                }
                None => out.push(Gate {
                    title: step.title.clone(),
                    says: step.says.clone(),
                    source: step.source.clone(),
                    surfaces: vec![surface.name.clone()],
                    status: step.status,
                }),
            }
        }
    }
    out
}

/// The watch and the last heat of each surface that is heated.
fn heat<'b>(entries: &[Entry<'_, 'b, '_, '_>], reckoner: &Reckoner<'b>) -> Vec<super::shape::Quantity> {
    let mut out = Vec::new();
    for entry in entries {
        let steps = entry.plan.stages.iter().flat_map(|s| &s.steps);
        let shown = steps.flat_map(|s| &s.quantities).filter(|q| q.kind == Kind::Watch.word());
        for quantity in shown {
            let Some(part) = entry.work.parts.iter().find(|p| p.id == quantity.method) else { continue };
            let mut quantity = reckoner.quantity(entry.work, part, &Show { kind: Kind::Watch, with: None });
            quantity.method = format!("{} ({})", part.title, entry.work.name());
            out.push(quantity);
        }
    }
    out
}
