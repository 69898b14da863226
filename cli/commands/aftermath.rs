//! `ovolo aftermath`.

use super::prepare;
use crate::args::{AftermathArgs, SheetFormat};
use crate::exit::Exit;
use crate::output::Output;
use crate::render;
use std::path::PathBuf;

pub(crate) fn aftermath(args: &AftermathArgs, rules: &[PathBuf], output: &mut Output) -> Exit {
    let (book, survey, circumstances) = match prepare(&args.survey, rules, output) {
        Ok(ready) => ready,
        Err(exit) => return exit,
    };
    let told = match ovolo_engine::aftermath::aftermath(&survey, &book, &circumstances) {
        Ok(told) => told,
        Err(error) => return super::refuse(error.into_diagnostic(), output),
    };
    let text = match args.format {
        SheetFormat::Json => render::aftermath::json(&told),
        SheetFormat::Text => render::aftermath::text(&told, &render::Page::new(output, args.all)),
    };
    output.result(&text);
    Exit::Suited
}
