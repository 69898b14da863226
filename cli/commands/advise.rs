//! `ovolo advise`.

use super::{prepare, refuse};
use crate::args::{AdviseArgs, PageFormat};
use crate::exit::Exit;
use crate::output::Output;
use crate::render;
use std::path::PathBuf;

pub(crate) fn advise(args: &AdviseArgs, rules: &[PathBuf], output: &mut Output) -> Exit {
    let (book, survey, circumstances) = match prepare(&args.survey, rules, output) {
        Ok(ready) => ready,
        Err(exit) => return exit,
    };
    let mut advice = match ovolo_engine::explain::advise(&survey, &book, &circumstances) {
        Ok(advice) => advice,
        Err(problem) => return refuse(problem.into_diagnostic(), output),
    };
    advice.changed = super::changed_since(&survey, &book, &args.survey).unwrap_or(advice.changed);
    let set = render::Page::new(output, args.all);
    let text = match args.format {
        PageFormat::Json => render::json(&advice),
        PageFormat::Text if args.all => render::text::advice(&advice, &book.base.vocabulary, &set),
        PageFormat::Markdown if args.all => render::markdown::advice(&advice, true),
        PageFormat::Text if args.brief => render::job::brief(&render::job::pages(&advice, &survey, &book, &circumstances), &set),
        PageFormat::Text => render::job::text(&render::job::pages(&advice, &survey, &book, &circumstances), &set),
        PageFormat::Markdown => render::job::markdown(&render::job::pages(&advice, &survey, &book, &circumstances)),
        PageFormat::Html => render::job::html(&render::job::pages(&advice, &survey, &book, &circumstances)),
    };
    output.result(&text);
    Exit::Suited
}
