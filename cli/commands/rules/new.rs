//! `ovolo rules new`.

use crate::args::NewPack;
use crate::commands::refuse;
use crate::exit::Exit;
use crate::output::Output;
use ovolo_engine::diagnostic::Diagnostic;
use std::fs;
use std::io::Write as _;
use std::path::Path;

pub(crate) fn new(args: &NewPack, output: &mut Output) -> Result<Exit, Exit> {
    let folder = &args.folder;
    write(folder, args.owner.as_deref()).map_err(|problem| refuse(problem, output))?;
    let shown = folder.display();
    output.result(&format!(
        "{shown} is a house pack with one example of each thing. Next:\n  \
         read {shown}/README.md\n  \
         ovolo rules check {shown}\n  \
         ovolo rules try {shown}\n"
    ));
    Ok(Exit::Suited)
}

fn write(folder: &Path, owner: Option<&str>) -> Result<(), Diagnostic> {
    let shown = folder.display();
    let fault = |what: &str, e: &std::io::Error| Diagnostic::error(format!("`{what}` cannot be written: {e}"));
    let taken = folder.is_file() || fs::read_dir(folder).is_ok_and(|mut entries| entries.next().is_some());
    if taken {
        return Err(Diagnostic::error(format!("`{shown}` is there already, and nothing is written over"))
            .help("name a folder that is not there yet, or an empty one"));
    }
    let name = name_of(folder);
    let owner = owner.unwrap_or("the firm").trim();
    if owner.is_empty() || owner.chars().any(|c| c.is_control() || matches!(c, '"' | '\\')) {
        return Err(Diagnostic::error("the owner is a name on one line, without quotation marks").help("write --owner \"Wimbrel & Dace\""));
    }
    fs::create_dir_all(folder).map_err(|e| fault(&shown.to_string(), &e))?;
    for (file, text) in ovolo_rules::TEMPLATE {
        let path = folder.join(file);
        let text = text.replace("NAME", &name).replace("OWNER", owner).replace("FOLDER", &shown.to_string());
        let written = fs::OpenOptions::new().write(true).create_new(true).open(&path).and_then(|mut f| f.write_all(text.as_bytes()));
        written.map_err(|e| fault(&path.display().to_string(), &e))?;
    }
    Ok(())
}

/// The folder's name as the name of a pack: small letters, figures and hyphens.
fn name_of(folder: &Path) -> String {
    let last = folder.file_name().map(|n| n.to_string_lossy().to_lowercase()).unwrap_or_default();
    let words: Vec<&str> = last.split(|c: char| !c.is_ascii_alphanumeric()).filter(|w| !w.is_empty()).collect();
    let name = words.join("-");
    // A standard pack's name, or none at all, would be refused on loading.
    let taken = ovolo_rules::standard().iter().any(|p| p.folder.ends_with(&format!("/{name}")));
    if name.is_empty() {
        "house-rules".to_owned()
    } else if taken {
        format!("our-{name}")
    } else {
        name
    }
}
