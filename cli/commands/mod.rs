//! The commands.

mod advise;
mod approach;
mod check;
mod patches;
mod reckon;
mod rules;
mod talk;
mod words;

pub(crate) use advise::advise;
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
use engine::diagnostic::Diagnostic;
use engine::explain::Circumstances;
use engine::pack::{RuleBook, check_place};
use engine::survey::Survey;
use jiff::civil::Date;
use std::path::PathBuf;

/// Shows one error and gives the exit code for it.
fn refuse(problem: Diagnostic, output: &mut Output) -> Exit {
    problems::show(&[problem], output);
    Exit::Unusable
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
fn changed_since(survey: &Survey, book: &RuleBook, args: &SurveyArgs) -> Option<Vec<engine::advice::Change>> {
    let upto = args.date.as_deref().map_or_else(|| Some(today()), |d| d.parse().ok())?;
    let place = args.place.as_deref().or(survey.place.as_deref());
    Some(engine::explain::changed(book, place, survey.date?, upto, survey.system))
}

/// Loads the rule book and the survey, and settles where and when.
fn prepare(args: &SurveyArgs, rules: &[PathBuf], output: &mut Output) -> Result<(RuleBook, Survey, Circumstances), Exit> {
    if let Some(place) = &args.place
        && let Err((message, help)) = check_place(place)
    {
        return Err(refuse(Diagnostic::error(message).maybe_help(help), output));
    }
    let given = args.date.as_deref().map(|text| date(text, output)).transpose()?;
    let book = files::rule_book(rules, output)?;
    let survey = files::survey(&args.survey, &book, output)?;
    let date = given.or(survey.date).unwrap_or_else(today);
    Ok((book, survey, Circumstances { place: args.place.clone(), date }))
}
