//! `ovolo rules schemas`.

use crate::args::WriteSchemas;
use crate::commands::refuse;
use crate::exit::Exit;
use crate::files;
use crate::output::Output;
use ovolo_engine::diagnostic::Diagnostic;
use ovolo_engine::workshop;
use std::fmt::Write as _;
use std::path::PathBuf;

pub(crate) fn schemas(args: &WriteSchemas, given: &[PathBuf], output: &mut Output) -> Result<Exit, Exit> {
    let book = files::rule_book(given, output)?;
    let folder = &args.out;
    let mut text = String::new();
    for (name, content) in workshop::schemas(&book) {
        let path = folder.join(name);
        std::fs::create_dir_all(folder)
            .and_then(|()| std::fs::write(&path, content))
            .map_err(|e| refuse(Diagnostic::error(format!("`{}` cannot be written: {e}", path.display())), output))?;
        let _ = writeln!(text, "{}", path.display());
    }
    output.result(&text);
    Ok(Exit::Suited)
}
