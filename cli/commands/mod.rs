//! The commands.

mod advise;
mod aftermath;
mod approach;
mod check;
mod patches;
mod reckon;
mod rules;
mod talk;
mod words;

pub(crate) use advise::advise;
pub(crate) use aftermath::aftermath;
pub(crate) use approach::approach;
pub(crate) use check::check;
pub(crate) use patches::patches;
pub(crate) use reckon::reckon;
pub(crate) use rules::rules;
pub(crate) use talk::talk;
pub(crate) use words::words;

use crate::args::SurveyArgs;
use crate::exit::Exit;
use crate::files;
use crate::output::Output;
use crate::problems;
use jiff::civil::Date;
use ovolo_engine::diagnostic::Diagnostic;
use ovolo_engine::explain::Circumstances;
use ovolo_engine::pack::{RuleBook, check_place};
use ovolo_engine::survey::Survey;
use std::path::{Path, PathBuf};

/// Says what is wrong with a word of the command line, and gives the exit code for it. What stands in a pack is shown with its place.
fn refuse(problem: Diagnostic, output: &mut Output) -> Exit {
    if problem.span.is_some() {
        problems::show(&[problem], output);
    } else {
        problems::tell(&problem, output);
    }
    Exit::Unusable
}

/// The surface of a survey that a word of the command line names.
fn surface_named(survey: &Survey, name: &str, file: &Path) -> Result<usize, Diagnostic> {
    survey.position(name).ok_or_else(|| {
        let names: Vec<&str> = survey.surfaces.iter().map(|s| s.name.as_str()).collect();
        let has = match names.len() {
            0 => "It has none yet".to_owned(),
            n if n > MOST_NAMED => format!("It has {n}, such as {}", names[..MOST_NAMED].join("; ")),
            _ => format!("It has: {}", names.join("; ")),
        };
        let near = ovolo_engine::words::nearest(name, names.iter().copied()).or_else(|| names.first().copied());
        let near = near.map(|n| format!("--surface \"{n}\""));
        Diagnostic::error(format!("There is no surface called `{name}` in {}. {has}", called(file))).maybe_help(near)
    })
}

/// The most names that are listed.
const MOST_NAMED: usize = 12;

/// A file as one speaks of it.
fn called(file: &Path) -> String {
    if file.as_os_str() == "-" {
        return "what was piped in".to_owned();
    }
    file.file_name().map_or_else(|| file.display().to_string(), |n| n.to_string_lossy().into_owned())
}

/// Whether a place of the command line is one; a name is answered with its code.
fn known_place(place: &str, book: Option<&RuleBook>) -> Result<(), Diagnostic> {
    let Err(problem) = check_place(place) else { return Ok(()) };
    let code = book.and_then(|b| match &b.places_called(place)[..] {
        [] => b.place_named(place),
        [only] => Some(only.clone()),
        _ => None,
    });
    let tip = match (code, place) {
        (Some(code), _) if code != place => format!("--place {code}"),
        _ => problem.into_diagnostic().help.unwrap_or_default(),
    };
    Err(Diagnostic::error(format!("`{place}` is not the code of a place")).help(tip))
}

/// Reads a date of the command line.
fn date(text: &str, output: &mut Output) -> Result<Date, Exit> {
    text.parse::<Date>()
        .map_err(|_| refuse(Diagnostic::error(format!("`{text}` is not a date")).help("write for example 2026-09-01"), output))
}

/// The date given, or today's.
fn date_or_today(given: Option<&str>, output: &mut Output) -> Result<Date, Exit> {
    given.map_or_else(|| Ok(today()), |text| date(text, output))
}

/// Today; the variable `OVOLO_TODAY` stands for it where a run must not depend on the day.
fn today() -> Date {
    let told = std::env::var("OVOLO_TODAY").ok().and_then(|d| d.parse().ok());
    told.unwrap_or_else(|| jiff::ZonedDateTime::now().date())
}

/// What changed since the survey was made, up to today or the day that was asked for.
fn changed_since(survey: &Survey, book: &RuleBook, args: &SurveyArgs) -> Option<Vec<ovolo_engine::advice::Change>> {
    let upto = args.date.as_deref().map_or_else(|| Some(today()), |d| d.parse().ok())?;
    let place = args.place.as_deref().or(survey.place.as_deref());
    Some(ovolo_engine::explain::changed(book, place, survey.date?, upto, survey.system))
}

/// Loads the rule book and the survey, and settles where and when.
fn prepare(args: &SurveyArgs, rules: &[PathBuf], output: &mut Output) -> Result<(RuleBook, Survey, Circumstances), Exit> {
    let given = args.date.as_deref().map(|text| date(text, output)).transpose()?;
    let book = files::rule_book(rules, output)?;
    if let Some(place) = &args.place {
        known_place(place, Some(&book)).map_err(|problem| refuse(problem, output))?;
    }
    let survey = files::survey(&args.survey, &book, output)?;
    let date = given.or(survey.date).unwrap_or_else(today);
    Ok((book, survey, Circumstances { place: args.place.clone(), date }))
}
