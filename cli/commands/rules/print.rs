//! `ovolo rules print`.

use crate::args::{DocumentFormat, PrintBook};
use crate::commands::{date_or_today, known_place, refuse};
use crate::exit::Exit;
use crate::files::{self, Loaded};
use crate::output::Output;
use crate::render::book;
use ovolo_engine::diagnostic::Diagnostic;
use std::path::PathBuf;

pub(crate) fn print(args: &PrintBook, given: &[PathBuf], output: &mut Output) -> Result<Exit, Exit> {
    let date = date_or_today(args.date.as_deref(), output)?;
    if let Some(place) = &args.place {
        known_place(place, None).map_err(|problem| refuse(problem, output))?;
    }
    let Loaded { book, about } = files::workshop_book(given, &args.folders, output)?;
    let packs: Vec<&str> = about.iter().map(String::as_str).collect();
    let document = book::document(&book, &packs, args.place.as_deref(), date);
    let (text, name) = match args.format {
        DocumentFormat::Html => (document.html(), "rule-book.html"),
        DocumentFormat::Markdown => (document.markdown(), "rule-book.md"),
    };
    let Some(folder) = &args.out else {
        output.result(&text);
        return Ok(Exit::Suited);
    };
    let path = folder.join(name);
    std::fs::create_dir_all(folder)
        .and_then(|()| std::fs::write(&path, text))
        .map_err(|e| refuse(Diagnostic::error(format!("`{}` cannot be written: {e}", path.display())), output))?;
    output.result(&format!("{}\n", path.display()));
    Ok(Exit::Suited)
}
