//! `ovolo rules compare`.

use super::prove::{day, write};
use crate::args::ComparePacks;
use crate::commands::refuse;
use crate::exit::Exit;
use crate::files;
use crate::output::Output;
use crate::problems;
use crate::render::{Page, comparison};
use jiff::civil::Date;
use ovolo_engine::Error;
use ovolo_engine::compare::{Comparison, Pair, RuleChange, SurveyChanges, Turn, Wanted, compare as comparing};
use ovolo_engine::diagnostic::Diagnostic;
use ovolo_engine::pack::{RuleBook, check_place};
use std::path::{Path, PathBuf};

pub(crate) fn compare(args: &ComparePacks, given: &[PathBuf], output: &mut Output) -> Result<Exit, Exit> {
    let today = jiff::ZonedDateTime::now().date();
    let wanted = wanted(args, today).map_err(|p| refuse(p, output))?;
    // What is wrong with the folder is told before anything is worked out.
    let saved = args.surveys.as_deref().map(files::surveys_in).transpose().map_err(|p| refuse(p, output))?;
    let before = files::other_book(args.before.as_deref(), given, output)?;
    let after = files::other_book(args.after.as_deref(), given, output)?;
    let found = comparing(&before, &after, &wanted);
    let written = match &args.output {
        Some(folder) => surveys_out(folder, &found).map_err(|p| refuse(p, output))?,
        None => Vec::new(),
    };
    let page = Page::new(output, true);
    let mut text = comparison::show(&found, &names(args, &wanted, &before, &after), &written, &page);
    let mut readable = true;
    if let Some(saved) = saved {
        let pair = Pair::new(&before, &after, &found, wanted.dates, today);
        let (told, unread) = surveys(&saved, &pair, output);
        readable = unread == 0;
        text.push_str(&comparison::surveys(&told, unread, &found, &page));
    }
    output.result(&text);
    Ok(if !readable {
        Exit::Unusable
    } else if found.unsigned().next().is_some() {
        Exit::NotSo
    } else if found.bound || !found.unknown.is_empty() {
        Exit::Undecided
    } else {
        Exit::Suited
    })
}

fn wanted(args: &ComparePacks, today: Date) -> Result<Wanted, Diagnostic> {
    if let Some(place) = &args.place {
        check_place(place).map_err(Error::into_diagnostic)?;
    }
    let dates = match args.dates.as_deref() {
        Some([from, to]) => Some([day(from)?, day(to)?]),
        _ => None,
    };
    let date = args.date.as_deref().map(day).transpose()?;
    Ok(Wanted { place: args.place.clone(), date, dates, near: Some(date.unwrap_or(today)), steps: Some(args.most_steps) })
}

/// What the two sides are called.
fn names(args: &ComparePacks, wanted: &Wanted, before: &RuleBook, after: &RuleBook) -> [String; 2] {
    let digest = |book: &RuleBook| book.digest.get(..12).unwrap_or("").to_owned();
    let name = |folder: Option<&PathBuf>, book: &RuleBook, at: usize| {
        let which = folder.map_or_else(|| "the rule book in use".to_owned(), |f| problems::harmless(&f.display().to_string()));
        let when = wanted.dates.map_or_else(String::new, |d| format!(" on {}", d[at]));
        format!("{which}{when} (digest {})", digest(book))
    };
    [name(args.before.as_ref(), before, 0), name(args.after.as_ref(), after, 1)]
}

/// Writes every survey that shows a change; gives rule, direction and file.
fn surveys_out(folder: &Path, found: &Comparison) -> Result<Vec<(String, String)>, Diagnostic> {
    let turns = |rule: &'_ RuleChange| -> Vec<Turn> { rule.less.iter().chain(&rule.more).cloned().collect() };
    let all: Vec<(String, Turn)> = found.rules.iter().flat_map(|r| turns(r).into_iter().map(|t| (r.id.clone(), t))).collect();
    let surveys: Vec<_> = all.iter().filter(|(_, t)| t.survey.is_some()).map(|(id, t)| (id.as_str(), t.survey.as_ref())).collect();
    if surveys.is_empty() {
        return Ok(Vec::new());
    }
    let names = write(folder, &surveys)?;
    Ok(surveys.iter().zip(names).filter_map(|((_, s), name)| Some(((*s)?.text.clone(), name?))).collect())
}

/// Looks at every survey of a folder; gives what became of each, and how many could not be read.
fn surveys(saved: &files::Surveys, pair: &Pair<'_>, output: &mut Output) -> (Vec<(String, SurveyChanges)>, usize) {
    let mut all: Vec<(String, SurveyChanges)> = Vec::new();
    let mut unread = saved.unread.len();
    problems::show(&saved.unread, output);
    for file in &saved.files {
        match pair.survey(file) {
            Ok(changes) => all.push((file.name.clone(), changes)),
            Err((which, list)) => {
                unread += 1;
                output.message(&format!("`{}` cannot be read with the rule book {which}:", problems::harmless(&file.name)));
                problems::show(&list, output);
            }
        }
    }
    for other in &saved.others {
        output.message(&format!("`{}` is no survey, and is passed over", problems::harmless(other)));
    }
    (all, unread)
}
