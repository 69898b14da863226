//! `ovolo patches`.

use super::{prepare, refuse, surface_named};
use crate::args::{PatchesArgs, SheetFormat, Units};
use crate::exit::Exit;
use crate::output::Output;
use crate::render;
use ovolo_engine::Error;
use ovolo_engine::diagnostic::Diagnostic;
use ovolo_engine::explain::{self, Circumstances};
use ovolo_engine::pack::RuleBook;
use ovolo_engine::patches::{self, draw, sheet};
use ovolo_engine::quantity::System;
use ovolo_engine::reckon::{Desk, Sheet};
use ovolo_engine::survey::{Proposal, Survey};
use std::path::PathBuf;

/// What is shown of one surface: sheets, and the drawing of each log.
#[derive(Default)]
struct Shown {
    sheets: Vec<(Sheet, Option<String>)>,
    drawings: Vec<String>,
    /// What is said beside the results.
    aside: Vec<String>,
}

pub(crate) fn patches(args: &PatchesArgs, rules: &[PathBuf], output: &mut Output) -> Exit {
    let (book, survey, circumstances) = match prepare(&args.survey, rules, output) {
        Ok(ready) => ready,
        Err(exit) => return exit,
    };
    let system = match args.units {
        Some(Units::Metric) => System::Metric,
        Some(Units::Us) => System::Us,
        None => survey.system,
    };
    let place = circumstances.place.as_deref().or(survey.place.as_deref());
    let desk = Desk::new(&book, place, circumstances.date, system);
    let shown = match shown(args, &survey, &book, &desk, output.width) {
        Ok(shown) => shown,
        Err(problem) => return refuse(problem, output),
    };
    if let Some(path) = &args.svg {
        let [drawing] = &shown.drawings[..] else {
            let problem = match shown.drawings.len() {
                0 => Diagnostic::error("there is no log to draw").help("log patches with [[surface.patch]]; --plan tells which"),
                n => Diagnostic::error(format!("there are {n} logs and one file to draw into")).help("name one surface with --surface"),
            };
            return refuse(problem, output);
        };
        if let Err(e) = std::fs::write(path, drawing) {
            return refuse(Diagnostic::error(format!("`{}` cannot be written: {e}", path.display())), output);
        }
        output.message(&format!("drawn into {}", path.display()));
    }
    let text = match args.format {
        SheetFormat::Json => render::sheet::all_json(shown.sheets.iter().map(|(s, _)| s)),
        SheetFormat::Text => {
            let page = render::Page::new(output, true);
            let texts: Vec<String> = shown.sheets.iter().map(|(s, d)| render::sheet::drawn(s, d.as_deref(), &page)).collect();
            texts.join("\n\n")
        }
    };
    output.result(&text);
    for line in &shown.aside {
        output.message(line);
    }
    // A plan is done as it stands; of logs, the one that says worst decides.
    let logs = shown.sheets.iter().filter(|(_, drawing)| drawing.is_some());
    let worst = |exit: &Exit| match exit {
        Exit::NotSo => 2,
        Exit::Undecided => 1,
        _ => 0,
    };
    logs.map(|(sheet, _)| Exit::of_sheet(sheet)).max_by_key(worst).unwrap_or(Exit::Suited)
}

fn shown(args: &PatchesArgs, survey: &Survey, book: &RuleBook, desk: &Desk<'_>, width: usize) -> Result<Shown, Diagnostic> {
    let surfaces: Vec<usize> = match &args.surface {
        None => (0..survey.surfaces.len()).collect(),
        Some(name) => vec![surface_named(survey, name, &args.survey.survey)?],
    };
    let fault = Error::into_diagnostic;
    let circumstances = Circumstances { place: desk.places.first().cloned(), date: desk.date };
    let check = |survey: &Survey, surface: usize, proposal: &Proposal| explain::check(survey, book, &circumstances, surface, proposal);
    let mut shown = Shown::default();
    let mut spoken_for: Vec<String> = Vec::new();
    for index in surfaces {
        let surface = &survey.surfaces[index];
        let temperature = args.temperature.as_ref().map(|g| g.span.low());
        let logs = patches::told(survey, index, temperature, &check, desk).map_err(fault)?;
        for title in patches::no_dwell(survey, index, desk).map_err(fault)? {
            shown.aside.push(format!("{}: the patches of {title} tell no dwell and are left out", surface.name));
        }
        if logs.is_empty() || args.plan {
            // One plan speaks for all surfaces with the same coats on the same substrate.
            if spoken_for.contains(&surface.name) {
                continue;
            }
            let plan = patches::plan(survey, index, &check, desk).map_err(fault)?;
            spoken_for.extend(plan.same.iter().cloned());
            shown.sheets.push((sheet::plan_sheet(&plan, desk).map_err(fault)?, None));
            continue;
        }
        for told in logs {
            let title = format!("{}: {}", surface.name, patches::method_title(told.log.method, &book.base));
            let proposed = args.thickness.as_ref().zip(args.dwell.as_ref());
            let told_sheet = sheet::log_sheet(&surface.name, &told, proposed, desk).map_err(fault)?;
            let drawing = draw::text(&told.log, &told.estimate, width.min(80), desk.system);
            shown.drawings.push(draw::svg(&title, &told.log, &told.estimate, desk.system));
            shown.sheets.push((told_sheet, Some(drawing)));
        }
    }
    Ok(shown)
}
