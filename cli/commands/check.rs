//! `ovolo check`.

use super::{called, prepare, refuse, surface_named};
use crate::args::{CheckArgs, Format};
use crate::exit::Exit;
use crate::output::Output;
use crate::render;
use ovolo_engine::Error;
use ovolo_engine::catalogue::EntryKind;
use ovolo_engine::diagnostic::Diagnostic;
use ovolo_engine::pack::RuleBook;
use ovolo_engine::survey::{Facts, Proposal, Stated, Survey, parse_text};
use ovolo_engine::vocabulary::{About, FactId, MethodId};
use ovolo_engine::words;
use std::path::{Path, PathBuf};

pub(crate) fn check(args: &CheckArgs, rules: &[PathBuf], output: &mut Output) -> Exit {
    let (book, mut survey, circumstances) = match prepare(&args.survey, rules, output) {
        Ok(ready) => ready,
        Err(exit) => return exit,
    };
    let found = surface(&survey, args.surface.as_deref(), &args.survey.survey)
        .and_then(|surface| Ok((surface, method(&book, &args.method)?)))
        .and_then(|(surface, method)| Ok((surface, proposal(args, &book, &mut survey, surface, method)?)));
    let (surface, proposal) = match found {
        Ok(found) => found,
        Err(problem) => return refuse(problem, output),
    };
    let mut advice = match ovolo_engine::explain::check(&survey, &book, &circumstances, surface, &proposal) {
        Ok(advice) => advice,
        Err(problem) => return refuse(problem.into_diagnostic(), output),
    };
    advice.changed = super::changed_since(&survey, &book, &args.survey).unwrap_or(advice.changed);
    let text = match args.format {
        Format::Json => render::json(&advice),
        Format::Text => render::text::check(&advice, args.explain, &render::Page::new(output, true)),
        Format::Markdown => render::markdown::check(&advice, args.explain),
    };
    output.result(&text);
    advice.surfaces.first().and_then(|s| s.proposals.first()).map_or(Exit::Unusable, |p| Exit::of(p.verdict))
}

fn surface(survey: &Survey, name: Option<&str>, file: &Path) -> Result<usize, Diagnostic> {
    let names = || survey.surfaces.iter().map(|s| s.name.as_str());
    match name {
        Some(name) => surface_named(survey, name, file),
        None if survey.surfaces.len() == 1 => Ok(0),
        None => {
            let which = names().next().map(|n| format!("--surface \"{n}\""));
            let all = names().collect::<Vec<_>>().join("; ");
            Err(Diagnostic::error(format!("There are several surfaces in {}: {all}. Which one is meant?", called(file))).maybe_help(which))
        }
    }
}

fn method(book: &RuleBook, id: &str) -> Result<MethodId, Diagnostic> {
    let catalogue = &book.base.catalogue;
    // What people say for one method and no other is taken.
    let plain = |t: &str| t.to_lowercase().replace(['-', '_'], " ");
    let same = |t: &str| plain(t) == plain(id);
    let entries = catalogue.entries(EntryKind::Method).values().enumerate();
    let called: Vec<usize> =
        entries.filter(|(_, e)| same(&e.id) || same(&e.title) || e.says.iter().any(|s| same(s))).map(|(i, _)| i).collect();
    let only = match called[..] {
        [only] => Some(only),
        _ => None,
    };
    book.base.method(id).or_else(|| book.base.method_at(only?)).ok_or_else(|| {
        let said = catalogue
            .entries(EntryKind::Method)
            .values()
            .find(|e| e.title.eq_ignore_ascii_case(id) || e.says.iter().any(|s| s.eq_ignore_ascii_case(id)))
            .map(|e| format!("did you mean `{}`?", e.id));
        let known: Vec<&str> = catalogue.ids(EntryKind::Method).collect();
        let all = format!("one of {}", words::list(&known, "or"));
        let help = said.or_else(|| catalogue.instead(EntryKind::Method, id)).unwrap_or(all);
        Diagnostic::error(format!("There is no method called `{id}`")).help(help)
    })
}

/// What `--set` sets: choices go into the proposal, found facts over what the survey states.
fn proposal(args: &CheckArgs, book: &RuleBook, survey: &mut Survey, surface: usize, method: MethodId) -> Result<Proposal, Diagnostic> {
    let mut settings = Facts::new();
    for text in &args.set {
        let Some((name, value)) = text.split_once('=') else {
            return Err(Diagnostic::error(format!("`{text}` sets nothing")).help("write --set fact=value, such as --set extraction=yes"));
        };
        let (fact, coat) = fact(book, name.trim())?;
        let known = parse_text(value, fact, &book.base).map_err(Error::into_diagnostic)?;
        let stated = Stated { known, written: value.trim().to_owned(), by: None, on: None, note: None };
        let declared = book.base.vocabulary.get(fact);
        match declared.about {
            _ if declared.chosen => {
                settings.insert(fact, stated);
            }
            About::Method => {
                settings.insert(fact, stated);
            }
            About::Site => {
                survey.site.insert(fact, stated);
            }
            About::Surface => {
                survey.surfaces[surface].facts.insert(fact, stated);
            }
            About::Incident | About::Trouble => {
                return Err(Diagnostic::error(format!("`{}` is about what has happened: no verdict turns on it", declared.id)));
            }
            About::Coat => {
                let coats = survey.surfaces[surface].coats.get_or_insert_with(|| vec![Facts::new()]);
                let many = coats.len();
                let range = match coat {
                    Some(n) if n <= many => n - 1..n,
                    Some(n) => {
                        return Err(Diagnostic::error(format!("There is no coat {n}. The surface has {many}, counted from the top")));
                    }
                    None => 0..many,
                };
                for coat in &mut coats[range] {
                    coat.insert(fact, stated.clone());
                }
            }
        }
    }
    Ok(Proposal { method, settings, note: None })
}

/// The fact a name means, and the coat, for `coat.2.lead`.
fn fact(book: &RuleBook, name: &str) -> Result<(FactId, Option<usize>), Diagnostic> {
    let vocabulary = &book.base.vocabulary;
    if let Some(id) = vocabulary.find(name) {
        return Ok((id, None));
    }
    if let Some((number, rest)) = name.strip_prefix("coat.").and_then(|r| r.split_once('.'))
        && let (Ok(number), Some(id)) = (number.parse::<usize>(), vocabulary.find_about(About::Coat, rest))
        && number > 0
    {
        return Ok((id, Some(number)));
    }
    [About::Method, About::Surface, About::Site, About::Coat]
        .into_iter()
        .find_map(|a| vocabulary.find_about(a, name))
        .map(|id| (id, None))
        .ok_or_else(|| {
            let names: Vec<&str> = vocabulary.iter().flat_map(|(_, f)| [f.id.as_str(), f.name.as_str()]).collect();
            Diagnostic::error(format!("There is nothing called `{name}` that can be set")).maybe_help(words::did_you_mean(name, names))
        })
}
