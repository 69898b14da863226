//! `ovolo advise`.

use super::prepare;
use crate::args::{AdviseArgs, Format};
use crate::exit::Exit;
use crate::output::Output;
use crate::render;
use std::path::PathBuf;

pub(crate) fn advise(args: &AdviseArgs, rules: &[PathBuf], output: &mut Output) -> Exit {
    let (book, survey, circumstances) = match prepare(&args.survey, rules, output) {
        Ok(ready) => ready,
        Err(exit) => return exit,
    };
    let mut advice = engine::explain::advise(&survey, &book, &circumstances);
    advice.changed = super::changed_since(&survey, &book, &args.survey).unwrap_or(advice.changed);
    let text = match args.format {
        Format::Json => render::json(&advice),
        Format::Text => render::text::advice(&advice, &render::Page::new(output, args.all)),
        Format::Markdown => render::markdown::advice(&advice, args.all),
    };
    output.result(&text);
    Exit::Suited
}
