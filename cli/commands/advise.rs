//! `ovolo advise`.

use super::prepare;
use crate::args::{AdviseArgs, PageFormat};
use crate::exit::Exit;
use crate::output::Output;
use crate::page::{self, Detail, Job, Names};
use crate::render;
use engine::advice::Advice;
use engine::approach::{self, Day, Settings};
use engine::explain::Circumstances;
use engine::pack::RuleBook;
use engine::survey::Survey;
use std::path::PathBuf;

pub(crate) fn advise(args: &AdviseArgs, rules: &[PathBuf], output: &mut Output) -> Exit {
    let (book, survey, circumstances) = match prepare(&args.survey, rules, output) {
        Ok(ready) => ready,
        Err(exit) => return exit,
    };
    let mut advice = engine::explain::advise(&survey, &book, &circumstances);
    advice.changed = super::changed_since(&survey, &book, &args.survey).unwrap_or(advice.changed);
    let set = render::Page::new(output, args.all);
    let text = match args.format {
        PageFormat::Json => render::json(&advice),
        PageFormat::Text if args.all => render::text::advice(&advice, &set),
        PageFormat::Markdown if args.all => render::markdown::advice(&advice, true),
        PageFormat::Text if args.brief => render::job::brief(&pages(&advice, &survey, &book, &circumstances), &set),
        PageFormat::Text => render::job::text(&pages(&advice, &survey, &book, &circumstances), &set),
        PageFormat::Markdown => render::job::markdown(&pages(&advice, &survey, &book, &circumstances)),
        PageFormat::Html => render::job::html(&pages(&advice, &survey, &book, &circumstances)),
    };
    output.result(&text);
    Exit::Suited
}

/// The pages, from the advice and the plan of the ways it puts first.
fn pages(advice: &Advice, survey: &Survey, book: &RuleBook, circumstances: &Circumstances) -> Job {
    let settings =
        Settings { surface: None, way: 0, people: 1.0, day: Day::default(), week: None, starts: survey.starts, system: survey.system };
    let plan = approach::plan(survey, book, circumstances, &settings);
    page::job(advice, &plan, &Names::of(book, advice.survey.place.as_deref()), Detail::Page, render::job::room)
}
