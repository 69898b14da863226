//! The order of work on all surfaces, the days, the gates of the weather and the last heat.
//!
//! Surfaces are worked one after the other. At best the waiting of one is used for the next; at worst nothing else can be
//! done while a surface waits. Days are counted on the calendar from the first day of work: work is done on the days of the
//! working week, waiting runs through nights and weekends. Where the first day is not stated, it may be any day of the week.

use super::calendar::{Calendar, Job, MOST_DAYS};
use super::compare::{Sums, sums};
use super::data::Show;
use super::quantities::Reckoner;
use super::said;
use super::shape::{Gate, Programme, Said, SurfacePlan, Turn};
use super::work::{Stands, Work};
use crate::finding::{ReckonKind, Ruling, Status};
use crate::reckon::Span;
use crate::reckon::units::{Ratio, Time};
use crate::role::FigureRole;
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
    let week = Week::of(reckoner);
    let (turns, whole, remarks) = turns(&entries, &week, reckoner);
    Programme {
        starts: settings.starts.map(|day| day.to_string()),
        week: week.words(),
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
        reckoner.desk.span_named::<Time>(data.waits.as_ref()?)
    };
    plan.stages.iter().filter_map(|stage| stage.steps.iter().filter_map(of).reduce(longer)).collect()
}

/// What comes before the first day of work.
fn first(entries: &[Entry<'_, '_, '_, '_>], surfaces: &[SurfacePlan]) -> Vec<String> {
    let mut out = Vec::new();
    let named =
        |wanted: &dyn Fn(&SurfacePlan) -> bool| -> Vec<String> { surfaces.iter().filter(|s| wanted(s)).map(|s| s.name.clone()).collect() };
    let held = named(&|s| s.stages.iter().flat_map(|g| &g.notices).any(|n| n.ruling == Ruling::Hold && n.status == Status::Applies));
    if !held.is_empty() {
        out.push(format!("hold points released: {}", crate::words::list(&held, "and")));
    }
    let maybe = named(&|s| s.stages.iter().flat_map(|g| &g.notices).any(|n| n.ruling == Ruling::Hold && n.status == Status::Open));
    if !maybe.is_empty() {
        out.push(format!("looked into whether a hold point applies: {}", crate::words::list(&maybe, "and")));
    }
    let patches: Vec<String> = entries
        .iter()
        .filter(|e| e.plan.stages.iter().flat_map(|s| &s.steps).flat_map(|s| &s.quantities).any(|q| q.kind == ReckonKind::Patches))
        .map(|e| e.plan.name.clone())
        .collect();
    if !patches.is_empty() {
        out.push(format!("test patches made, dry and agreed: {}", crate::words::list(&patches, "and")));
    }
    out
}

/// The working week, and the days on which the first day of work may fall.
struct Week {
    days: u8,
    source: String,
    calendars: Vec<Calendar>,
    /// How many days later than stated work can begin, where the stated day is none of the week.
    later: i64,
}

const DAYS: [&str; 7] = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"];

impl Week {
    fn of(reckoner: &Reckoner<'_>) -> Self {
        let settings = &reckoner.settings;
        let usual = reckoner.desk.look_up::<Ratio>(FigureRole::Week).ok().map(|w| w.low().value());
        let figure = reckoner.desk.find(FigureRole::Week);
        let (days, source) = match (settings.week, usual, figure) {
            (Some(days), ..) => (days, "as given".to_owned()),
            (None, Some(usual), Some(figure)) => (usual as u8, format!("taken as usual ({})", reckoner.desk.book.cite(&figure.source))),
            // Without the figure every day counts as worked, and says so.
            _ => (7, "the rule book states no working week".to_owned()),
        };
        let days = days.clamp(1, 7);
        let calendar = |first: i64| Calendar { week: i64::from(days), hours: settings.day.hours(), first };
        let (calendars, later) = match settings.starts {
            Some(day) => {
                let stated = i64::from(day.weekday().to_monday_zero_offset());
                let first = if stated < i64::from(days) { stated } else { 0 };
                (vec![calendar(first)], (first - stated).rem_euclid(7))
            }
            None => ((0..i64::from(days)).map(calendar).collect(), 0),
        };
        Self { days, source, calendars, later }
    }

    fn words(&self) -> String {
        let last = DAYS[usize::from(self.days) - 1];
        let days = if self.days == 1 { DAYS[0].to_owned() } else { format!("{} to {last}", DAYS[0]) };
        format!("{days}, {}", self.source)
    }
}

/// The work and waiting of a surface, at best and at worst.
fn jobs(entry: &Entry<'_, '_, '_, '_>, drying: Span<Time>, reckoner: &Reckoner<'_>) -> Option<[Job; 2]> {
    let settings = &reckoner.settings;
    let day = reckoner.desk.look_up::<Time>(FigureRole::Day).ok()?;
    let scale = if settings.day.stated { settings.day.against_usual() } else { 1.0 };
    let (hours, dwell, times) = (entry.sums.hours?, entry.sums.waiting?, entry.sums.times?);
    let job = |hours: Time, day: Time, dwell: Time, times: Ratio, drying: Time| Job {
        work: hours.in_hours() / settings.people / (day.in_hours() * scale),
        times: times.value(),
        dwell: dwell.in_hours() / times.value(),
        drying: drying.in_hours(),
    };
    Some([
        job(hours.low(), day.high(), dwell.low(), times.low(), drying.low()),
        job(hours.high(), day.low(), dwell.high(), times.high(), drying.high()),
    ])
}

/// When a surface is begun and done, as numbers of days, over all days on which work may begin.
struct Days {
    begins: Span<Ratio>,
    ends: Span<Ratio>,
}

/// When a surface is begun and dry.
type Moments = (f64, f64);

/// Where work on the next surface can begin on one calendar, at best and at worst.
#[derive(Clone, Copy)]
struct Place {
    calendar: Calendar,
    best: f64,
    worst: f64,
}

impl Place {
    /// Takes a surface up: when it is begun and dry, at best and at worst.
    fn take(&mut self, [best, worst]: [Job; 2]) -> [Moments; 2] {
        let begun = (self.calendar.open(self.best), self.calendar.open(self.worst));
        let dry = (self.calendar.done(self.best, best), self.calendar.done(self.worst, worst));
        // At best its waiting is used for the next surface.
        self.best = self.calendar.worked(self.best, best.work);
        self.worst = dry.1;
        [(begun.0, dry.0), (begun.1, dry.1)]
    }
}

fn take(places: &mut [Place], jobs: [Job; 2]) -> Option<Days> {
    let taken: Vec<[Moments; 2]> = places.iter_mut().map(|p| p.take(jobs)).collect();
    let number = |at: f64| Ratio::of(Calendar::day(at));
    let range = |pick: fn(&[Moments; 2]) -> Moments| {
        let ends: Vec<Moments> = taken.iter().map(pick).collect();
        let low = ends.iter().map(|e| e.0).fold(f64::INFINITY, f64::min);
        let high = ends.iter().map(|e| e.1).fold(0.0, f64::max);
        (high / 24.0 < MOST_DAYS).then(|| Span::between(number(low), number(high)))
    };
    Some(Days { begins: range(|t| (t[0].0, t[1].0))?, ends: range(|t| (t[0].1, t[1].1))? })
}

fn turns(entries: &[Entry<'_, '_, '_, '_>], week: &Week, reckoner: &Reckoner<'_>) -> (Vec<Turn>, Vec<crate::reckon::Line>, Vec<String>) {
    let settings = &reckoner.settings;
    let mut turns = Vec::new();
    // Unknown once a surface before could not be reckoned.
    let mut places: Option<Vec<Place>> = Some(week.calendars.iter().map(|c| Place { calendar: *c, best: 0.0, worst: 0.0 }).collect());
    let mut done: Option<Span<Ratio>> = None;
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
        let jobs = jobs(entry, drying, reckoner);
        let days = jobs.and_then(|jobs| take(places.as_mut()?, jobs));
        if let Some(days) = &days {
            put_days(&mut sheet, settings.starts.map(|d| (d, week.later)), days);
            let later = |a: Ratio, b: Ratio| if a > b { a } else { b };
            done = Some(done.map_or(days.ends, |d| d.with(days.ends, later)));
        } else {
            complete = false;
            places = None;
        }
        let rows = reckoner.desk.book.working.orders.iter().zip(&entry.rows).filter(|(_, applies)| **applies);
        let because: Vec<Said> = rows.map(|(o, _)| said(&o.says, reckoner.desk.book.cite(&o.source))).collect();
        let told = entry.plan.told.and_then(|t| entry.plan.approaches.get(t - 1));
        turns.push(Turn {
            surface: entry.work.name().to_owned(),
            approach: told.map_or_else(String::new, |a| a.says.clone()),
            because,
            on_hold: told.is_some_and(|a| a.on_hold)
                || entry.plan.stages.iter().flat_map(|g| &g.notices).any(|n| n.ruling == Ruling::Hold && n.status == Status::Applies),
            from: if sheet.results.is_empty() { Vec::new() } else { came_from(entry, reckoner) },
            figures: sheet.results,
            missing: entry.sums.missing.iter().filter(|_| jobs.is_none()).cloned().collect(),
        });
    }
    let mut sheet = reckoner.desk.sheet("whole", "");
    if let Some(total) = total {
        let name = if complete { "attended, hours of one person" } else { "attended, hours of one person, as far as reckoned" };
        sheet.result(name, total, "h");
    }
    if let Some(done) = done.filter(|_| complete) {
        sheet.result("from the first day of work to the last drying", done.rising(|d| Time::days(d.value())), "d");
    }
    if let Ok(span) = reckoner.desk.figure::<Time>(&mut sheet, FigureRole::Day) {
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
        "Days are days of the calendar: work is done in the working week, dwell and drying run through nights and weekends.".to_owned(),
        "Holidays are not known: they, the weather, access, patches and hold points come on top.".to_owned(),
    ];
    if settings.starts.is_none() {
        remarks.push(
            "No first day of work is stated, so there are no dates: day 1 may be any day of the working week, and the range allows for that."
                .to_owned(),
        );
    }
    if week.later > 0 {
        remarks.push("The first day that is stated is none of the working week: work begins on the next one.".to_owned());
    }
    if settings.day.stated {
        remarks.push("The hours at the work in a day are taken longer or shorter as the stated day is than the usual one.".to_owned());
    }
    if !complete {
        remarks.push("From the first surface that cannot be reckoned no days are given: find out what is missing there.".to_owned());
    }
    (turns, sheet.results, remarks)
}

/// What the figures of a turn were reckoned from: the reckonings of its methods, what its steps wait for, and the day.
fn came_from(entry: &Entry<'_, '_, '_, '_>, reckoner: &Reckoner<'_>) -> Vec<crate::reckon::Line> {
    let mut from = entry.sums.from.clone();
    let mut sheet = reckoner.desk.sheet("turn", "");
    let waits = entry.plan.stages.iter().flat_map(|s| &s.steps).filter_map(|s| s.waits.clone());
    // A figure that is not there was found missing before.
    let _ = reckoner.desk.figure::<Time>(&mut sheet, FigureRole::Day);
    for line in waits.chain(sheet.from) {
        if !from.contains(&line) {
            from.push(line);
        }
    }
    from
}

/// The first and last day of a surface, as numbers and, where the first day of work is stated, by the calendar.
fn put_days(sheet: &mut crate::reckon::Sheet, starts: Option<(Date, i64)>, days: &Days) {
    sheet.result("begins on day", days.begins, "");
    sheet.result("done on day", days.ends, "");
    let Some((starts, later)) = starts else { return };
    let date = |day: Ratio| starts.checked_add((day.value() as i64 - 1 + later).days()).ok();
    let ends = days.ends;
    if let (Some(from), Some(until)) = (date(ends.low()), date(ends.high())) {
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
                    if step.status == Status::Applies {
                        gate.status = Status::Applies;
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
        let shown = steps.flat_map(|s| &s.quantities).filter(|q| q.kind == ReckonKind::Watch);
        for quantity in shown {
            let Some(part) = entry.work.parts.iter().find(|p| p.id == quantity.method) else { continue };
            let mut quantity = reckoner.quantity(entry.work, part, &Show { kind: ReckonKind::Watch, with: None });
            quantity.method = format!("{} ({})", part.title, entry.work.name());
            out.push(quantity);
        }
    }
    out
}
