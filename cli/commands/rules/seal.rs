//! `ovolo rules seal`.

use crate::args::SealPacks;
use crate::commands::refuse;
use crate::exit::Exit;
use crate::files::{self, Loaded};
use crate::output::Output;
use ovolo_engine::diagnostic::Diagnostic;
use ovolo_engine::workshop::Seal;
use std::path::PathBuf;

pub(crate) fn seal(args: &SealPacks, given: &[PathBuf], output: &mut Output) -> Result<Exit, Exit> {
    let Loaded { book, about } = files::workshop_book(given, &args.folders, output)?;
    let names: Vec<&str> = about.iter().map(String::as_str).collect();
    let seal = Seal::of(&book, &names);
    match &args.out {
        None => output.result(&seal.text()),
        Some(path) => {
            std::fs::write(path, seal.text())
                .map_err(|e| refuse(Diagnostic::error(format!("`{}` cannot be written: {e}", path.display())), output))?;
            output.result(&format!("{} seals rule book {}\n", path.display(), seal.rule_book));
        }
    }
    Ok(Exit::Suited)
}
