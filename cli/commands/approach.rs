//! `ovolo approach`.

use super::{prepare, refuse, surface_named};
use crate::args::{ApproachArgs, PageFormat, Units};
use crate::exit::Exit;
use crate::output::Output;
use crate::page::{self, Detail, Job, Names};
use crate::render;
use jiff::civil::{Date, Time};
use ovolo_engine::approach::{self, Day, Settings};
use ovolo_engine::diagnostic::Diagnostic;
use ovolo_engine::quantity::System;
use std::path::PathBuf;

pub(crate) fn approach(args: &ApproachArgs, rules: &[PathBuf], output: &mut Output) -> Exit {
    let (book, survey, circumstances) = match prepare(&args.survey, rules, output) {
        Ok(ready) => ready,
        Err(exit) => return exit,
    };
    let surface = match args.surface.as_ref().map(|name| surface_named(&survey, name, &args.survey.survey)).transpose() {
        Ok(surface) => surface,
        Err(problem) => return refuse(problem, output),
    };
    let (day, starts) = match (day(args.day.as_deref()), starts(args.start.as_deref(), survey.starts)) {
        (Ok(day), Ok(starts)) => (day, starts),
        (Err(problem), _) | (_, Err(problem)) => return refuse(problem, output),
    };
    let system = match args.units {
        Some(Units::Metric) => System::Metric,
        Some(Units::Us) => System::Us,
        None => survey.system,
    };
    let settings =
        Settings { surface, way: usize::from(args.way) - 1, people: f64::from(args.people), day, week: args.week, starts, system };
    let plan = match approach::plan(&survey, &book, &circumstances, &settings) {
        Ok(plan) => plan,
        Err(problem) => return refuse(problem.into_diagnostic(), output),
    };
    let most = plan.surfaces.iter().map(|s| s.approaches.len()).max().unwrap_or(0);
    if settings.way > 0 && settings.way >= most {
        let problem = Diagnostic::error(format!("there is no approach {}", args.way)).help(match most {
            0 => "there is none yet; ovolo advise says what to find out".to_owned(),
            n => format!("the list goes to {n}"),
        });
        return refuse(problem, output);
    }
    let pages = || -> Job {
        let advice = ovolo_engine::explain::advise(&survey, &book, &circumstances).expect("the survey was read with this book");
        page::job(&advice, &plan, &Names::of(&book, advice.survey.place.as_deref()), Detail::Plan, render::job::room)
    };
    let set = render::Page::new(output, args.all);
    let text = match args.format {
        PageFormat::Json => render::approach::json(&plan),
        PageFormat::Text if args.all => render::approach::text(&plan, &set),
        PageFormat::Markdown if args.all => render::approach::markdown(&plan, true),
        PageFormat::Text => render::job::text(&pages(), &set),
        PageFormat::Markdown => render::job::markdown(&pages()),
        PageFormat::Html => render::job::html(&pages()),
    };
    output.result(&text);
    Exit::Suited
}

/// The hours of the day, such as `08:00..16:30`.
fn day(text: Option<&str>) -> Result<Day, Diagnostic> {
    let Some(text) = text else { return Ok(Day::default()) };
    let wrong = |what: &str| Diagnostic::error(format!("`{text}` {what}")).help("write for example 08:00..16:30");
    let (starts, ends) = text.split_once("..").ok_or_else(|| wrong("is not the hours of a day"))?;
    let read = |t: &str| Time::strptime("%H:%M", t.trim()).map_err(|_| wrong("is not the hours of a day"));
    let (starts, ends) = (read(starts)?, read(ends)?);
    if ends <= starts {
        return Err(wrong("ends before it begins"));
    }
    Ok(Day { starts, ends, stated: true })
}

/// The first day of work as given, else as the survey states it.
fn starts(text: Option<&str>, stated: Option<Date>) -> Result<Option<Date>, Diagnostic> {
    text.map_or(Ok(stated), |text| {
        text.parse().map(Some).map_err(|_| Diagnostic::error(format!("`{text}` is not a date")).help("write for example 2026-09-01"))
    })
}
