//! `ovolo reckon …`.

use super::refuse;
use crate::args::{ReckonCommand, SheetFormat, Units, Where};
use crate::exit::Exit;
use crate::files;
use crate::output::Output;
use crate::render;
use jiff::civil::{Date, Time};
use ovolo_engine::Error;
use ovolo_engine::diagnostic::Diagnostic;
use ovolo_engine::pack::{RuleBook, check_place};
use ovolo_engine::quantity::System;
use ovolo_engine::reckon::{
    Desk, Given, Sheet, alkali, climate, drying, fire, jet, labour, lead, metal, ph, remover, run_off, samples, sheeting, vapour,
};
use ovolo_engine::washing;
use std::path::PathBuf;

/// Asks a sheet of a desk.
type Reckoning<'c> = Box<dyn Fn(&RuleBook, &Desk<'_>) -> Result<Sheet, Error> + 'c>;

/// What a command asks: where and when, the units it was asked in, and how to reckon it.
struct Asked<'c> {
    at: &'c Where,
    systems: Vec<Option<System>>,
    reckoning: Reckoning<'c>,
}

pub(crate) fn reckon(command: &ReckonCommand, rules: &[PathBuf], output: &mut Output) -> Exit {
    let asked = match asked(command) {
        Ok(asked) => asked,
        Err(problem) => return refuse(problem, output),
    };
    let (place, date) = match where_and_when(asked.at) {
        Ok(settled) => settled,
        Err(problem) => return refuse(problem, output),
    };
    let book = match files::rule_book(rules, output) {
        Ok(book) => book,
        Err(exit) => return exit,
    };
    let desk = desk(&book, &asked, place, date);
    match (asked.reckoning)(&book, &desk) {
        Ok(sheet) => {
            let text = match asked.at.format {
                SheetFormat::Text => render::sheet::text(&sheet, &render::Page::new(output, true)),
                SheetFormat::Json => render::sheet::json(&sheet),
            };
            output.result(&text);
            Exit::of_sheet(&sheet)
        }
        Err(message) => refuse(Diagnostic::error(message), output),
    }
}

fn where_and_when(at: &Where) -> Result<(Option<&str>, Date), Diagnostic> {
    if let Some(place) = &at.place {
        check_place(place).map_err(Error::into_diagnostic)?;
    }
    let date = match &at.date {
        Some(text) => date(text)?,
        None => jiff::ZonedDateTime::now().date(),
    };
    Ok((at.place.as_deref(), date))
}

fn date(text: &str) -> Result<Date, Diagnostic> {
    text.parse().map_err(|_| Diagnostic::error(format!("`{text}` is not a date")).help("write for example 2026-09-01"))
}

fn time(text: Option<&String>) -> Result<Option<Time>, Diagnostic> {
    text.map(|text| {
        Time::strptime("%H:%M", text)
            .map_err(|_| Diagnostic::error(format!("`{text}` is not a time of day")).help("write for example 15:30"))
    })
    .transpose()
}

/// Results are shown in the units asked for, else in those most of the question was put in, else in those of the place.
fn desk<'b>(book: &'b RuleBook, asked: &Asked<'_>, place: Option<&str>, date: Date) -> Desk<'b> {
    let count = |system: System| asked.systems.iter().filter(|s| **s == Some(system)).count();
    let (metric, us) = (count(System::Metric), count(System::Us));
    let american = book.base.customs.system_at(place) == System::Us;
    let system = match asked.at.units {
        Some(Units::Metric) => System::Metric,
        Some(Units::Us) => System::Us,
        None if us > metric || (us == metric && american) => System::Us,
        None => System::Metric,
    };
    Desk::new(book, place, date, system)
}

fn system<T>(given: Option<&Given<T>>) -> Option<System> {
    given.and_then(|g| g.system)
}

/// The systems of what was given.
macro_rules! systems {
    ($($given:expr),* $(,)?) => { vec![$(system($given)),*] };
}

fn asked(command: &ReckonCommand) -> Result<Asked<'_>, Diagnostic> {
    Ok(match command {
        ReckonCommand::Remover(a) => {
            let ask = remover::Ask {
                area: Some(a.area.clone()),
                thickness: a.thickness.clone(),
                method: a.method.clone(),
                detail: a.detail.word(),
                applications: a.applications.clone(),
                density: a.density.clone(),
                waste: a.waste.clone(),
                container: a.container.clone(),
                film: a.film.clone(),
            };
            let systems = systems![Some(&a.area), a.thickness.as_ref(), a.container.as_ref(), a.film.as_ref()];
            Asked { at: &a.at, systems, reckoning: Box::new(move |_, desk| remover::sheet(&ask, desk)) }
        }
        ReckonCommand::Alkali(a) => {
            let ask = alkali::DemandAsk {
                paint: Some(a.paint.clone()),
                paste: a.paste.clone(),
                naoh: a.caustic.clone(),
                density: a.density.clone(),
            };
            let systems = systems![Some(&a.paint), a.paste.as_ref()];
            Asked { at: &a.at, systems, reckoning: Box::new(move |_, desk| alkali::demand_sheet(&ask, desk)) }
        }
        ReckonCommand::Neutraliser(a) => {
            let ask = alkali::NeutraliserAsk {
                area: Some(a.area.clone()),
                thickness: a.thickness.clone(),
                residue: a.residue.clone(),
                naoh: a.caustic.clone(),
                density: a.density.clone(),
                acid: a.acid.clone(),
                strength: a.strength.clone(),
                substrate: a.substrate.clone(),
            };
            let systems = systems![Some(&a.area), a.thickness.as_ref()];
            Asked { at: &a.at, systems, reckoning: Box::new(move |_, desk| alkali::neutraliser_sheet(&ask, desk)) }
        }
        ReckonCommand::Ph(a) => {
            let ask = ph::Ask {
                surface: Some(a.surface.clone()),
                rinse_water: a.rinse_water.clone(),
                resolution: a.resolution.clone(),
                read_again: a.read_again,
            };
            Asked { at: &a.at, systems: Vec::new(), reckoning: Box::new(move |_, desk| ph::sheet(&ask, desk)) }
        }
        ReckonCommand::RunOff(a) => {
            let ask = run_off::Ask {
                area: Some(a.area.clone()),
                water: a.water.clone(),
                times: a.rinses.clone(),
                catch: a.catch.clone(),
                rain: a.rain.clone(),
                container: a.container.clone(),
                ph: a.ph.clone(),
            };
            let systems = systems![Some(&a.area), a.catch.as_ref(), a.rain.as_ref(), a.container.as_ref()];
            Asked { at: &a.at, systems, reckoning: Box::new(move |_, desk| run_off::sheet(&ask, desk)) }
        }
        ReckonCommand::Jet(a) => {
            let ask = jet::Ask {
                pressure: Some(a.pressure.clone()),
                flow: a.flow.clone(),
                angle: a.angle.clone(),
                distance: a.distance.clone(),
                strip: a.strip.clone(),
                substrate: a.substrate.clone(),
            };
            let systems = systems![Some(&a.pressure), a.flow.as_ref(), a.distance.as_ref()];
            Asked { at: &a.at, systems, reckoning: Box::new(move |book, desk| washing::sheet(&ask, book, desk)) }
        }
        ReckonCommand::Air(a) | ReckonCommand::Timber(a) => {
            let ask = climate::Ask {
                air: Some(a.air.clone()),
                humidity: a.humidity.clone(),
                wet_bulb: a.wet_bulb.clone(),
                altitude: a.altitude.clone(),
                surface: a.surface.clone(),
            };
            let systems = systems![Some(&a.air), a.wet_bulb.as_ref(), a.surface.as_ref()];
            let timber = matches!(command, ReckonCommand::Timber(_));
            let reckoning: Reckoning<'_> =
                Box::new(move |_, desk| if timber { climate::timber_sheet(&ask, desk) } else { climate::sheet(&ask, desk) });
            Asked { at: &a.at, systems, reckoning }
        }
        ReckonCommand::Drying(a) => {
            let wet_on = a.wet_on.as_deref().map(date).transpose()?;
            let ask = drying::Ask { what: a.what.word(), thickness: Some(a.thickness.clone()), wet_on, reading: a.reading.clone() };
            let systems = systems![Some(&a.thickness)];
            Asked { at: &a.at, systems, reckoning: Box::new(move |_, desk| drying::sheet(&ask, desk)) }
        }
        ReckonCommand::Vapour(a) => {
            let ask = vapour::Ask {
                solvent: a.solvent.clone(),
                rate: a.rate.clone(),
                remover: a.remover.clone(),
                content: a.content.clone(),
                over: a.over.clone(),
                evaporates: a.evaporates.clone(),
                room: a.room.clone(),
                mixing: a.mixing.word(),
                air: a.air.clone(),
                most: a.most.clone(),
            };
            let systems = systems![a.remover.as_ref(), a.room.as_ref(), a.air.as_ref()];
            Asked { at: &a.at, systems, reckoning: Box::new(move |_, desk| vapour::sheet(&ask, desk)) }
        }
        ReckonCommand::Lead(a) => {
            let ask = lead::Ask {
                paint: a.paint.clone(),
                content: a.content.clone(),
                loading: a.loading.clone(),
                area: a.area.clone(),
                other_waste: a.other_waste.clone(),
                floor: a.floor.clone(),
                sill: a.sill.clone(),
                trough: a.trough.clone(),
            };
            let systems = systems![a.paint.as_ref(), a.area.as_ref(), a.floor.as_ref(), a.sill.as_ref(), a.trough.as_ref()];
            Asked { at: &a.at, systems, reckoning: Box::new(move |_, desk| lead::sheet(&ask, desk)) }
        }
        ReckonCommand::Sheeting(a) => {
            let ask = sheeting::Ask {
                length: Some(a.length.clone()),
                width: a.width.clone(),
                height: a.height.clone(),
                outside: a.outside,
                beyond: a.beyond.clone(),
                boundary: a.boundary.clone(),
                film: a.film.clone(),
            };
            let systems = systems![Some(&a.length), a.beyond.as_ref(), a.boundary.as_ref()];
            Asked { at: &a.at, systems, reckoning: Box::new(move |_, desk| sheeting::sheet(&ask, desk)) }
        }
        ReckonCommand::FireWatch(a) => {
            let ask = fire::Ask {
                heat_off: time(a.heat_off.as_ref())?,
                closes: time(a.closes.as_ref())?,
                historic: a.historic,
                watch: a.watch.clone(),
            };
            Asked { at: &a.at, systems: Vec::new(), reckoning: Box::new(move |_, desk| fire::sheet(&ask, desk)) }
        }
        ReckonCommand::Steel(a) => {
            let ask = metal::Ask {
                before: a.before.clone(),
                after: a.after.clone(),
                water: a.water.clone(),
                cell: a.cell.clone(),
                profile: a.profile.clone(),
                abrasive: a.abrasive.word(),
            };
            let systems = systems![a.profile.as_ref()];
            Asked { at: &a.at, systems, reckoning: Box::new(move |_, desk| metal::sheet(&ask, desk)) }
        }
        ReckonCommand::Hydrogen(a) => {
            let ask = metal::HydrogenAsk {
                metal: a.metal.clone(),
                mass: a.mass.clone(),
                coat: a.coat.clone(),
                area: a.area.clone(),
                room: a.room.clone(),
            };
            let systems = systems![a.mass.as_ref(), a.area.as_ref(), a.room.as_ref()];
            Asked { at: &a.at, systems, reckoning: Box::new(move |_, desk| metal::hydrogen_sheet(&ask, desk)) }
        }
        ReckonCommand::Labour(a) => {
            let ask = labour::Ask {
                area: Some(a.area.clone()),
                method: a.method.clone(),
                detail: a.detail.word(),
                rate: a.rate.clone(),
                people: a.people.clone(),
                applications: a.applications.clone(),
                dwell: a.dwell.clone(),
                drying: a.drying.clone(),
            };
            let systems = systems![Some(&a.area), a.rate.as_ref()];
            Asked { at: &a.at, systems, reckoning: Box::new(move |_, desk| labour::sheet(&ask, desk)) }
        }
        ReckonCommand::Samples(a) => {
            let ask = samples::Ask {
                floor: a.floor.clone(),
                sills: a.sills.clone(),
                wall: a.wall.clone(),
                stacks: a.stacks.clone(),
                share: a.share.clone(),
                confidence: a.confidence.clone(),
                spread: a.spread.clone(),
                margin: a.margin.clone(),
            };
            let systems = systems![a.floor.as_ref(), a.wall.as_ref()];
            Asked { at: &a.at, systems, reckoning: Box::new(move |_, desk| samples::sheet(&ask, desk)) }
        }
    })
}
