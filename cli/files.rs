//! Reading surveys and packs from disk.

use crate::exit::Exit;
use crate::output::Output;
use crate::problems;
use engine::diagnostic::{Diagnostic, SourceFile};
use engine::pack::{PackFiles, RuleBook};
use engine::survey::Survey;
use engine::toml_read::LARGEST_TEXT;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The most files a pack can hold.
const MOST_FILES: usize = 500;

/// Reads a text file, with a message that says which file and what is wrong.
fn read_text(path: &Path) -> Result<String, Diagnostic> {
    let name = path.display();
    let fault = |what: String| Diagnostic::error(what);
    let meta = fs::metadata(path).map_err(|e| match e.kind() {
        std::io::ErrorKind::NotFound => fault(format!("`{name}` is not there")).maybe_help(nearest_file(path)),
        _ => fault(format!("`{name}` cannot be read: {e}")),
    })?;
    if meta.is_dir() {
        return Err(fault(format!("`{name}` is a folder where a file is wanted")));
    }
    if meta.len() > LARGEST_TEXT as u64 {
        let mb = meta.len() / 1024 / 1024;
        return Err(fault(format!("`{name}` is {mb} MB; the largest file that is read is {} MB", LARGEST_TEXT / 1024 / 1024)));
    }
    let bytes = fs::read(path).map_err(|e| fault(format!("`{name}` cannot be read: {e}")))?;
    String::from_utf8(bytes).map_err(|e| {
        let at = e.utf8_error().valid_up_to();
        let line = e.as_bytes()[..at].iter().filter(|b| **b == b'\n').count() + 1;
        fault(format!("`{name}` is not UTF-8 text: line {line} holds a byte that is none")).help("save the file as UTF-8")
    })
}

/// A file beside a missing one with a near name.
fn nearest_file(path: &Path) -> Option<String> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let wanted = path.file_name()?.to_string_lossy().into_owned();
    let mut names: Vec<String> =
        fs::read_dir(folder).ok()?.take(1000).filter_map(|e| Some(e.ok()?.file_name().to_string_lossy().into_owned())).collect();
    names.sort();
    engine::words::did_you_mean(&wanted, names.iter().map(String::as_str))
}

/// Reads the files of a pack folder. Only text files in the folder itself count; links that lead out of it are refused.
fn read_pack(folder: &Path) -> Result<PackFiles, Vec<Diagnostic>> {
    let name = folder.display().to_string();
    let fault = |what: String| vec![Diagnostic::error(what)];
    let root = folder.canonicalize().map_err(|e| match e.kind() {
        std::io::ErrorKind::NotFound => vec![Diagnostic::error(format!("the pack `{name}` is not there")).maybe_help(nearest_file(folder))],
        _ => fault(format!("the pack `{name}` cannot be read: {e}")),
    })?;
    if !root.is_dir() {
        return Err(vec![Diagnostic::error(format!("`{name}` is not a folder")).help("--rules names the folder that holds pack.toml")]);
    }
    let entries = fs::read_dir(&root).map_err(|e| fault(format!("the pack `{name}` cannot be read: {e}")))?;
    let mut paths: Vec<PathBuf> = entries.filter_map(|e| Some(e.ok()?.path())).collect();
    paths.sort();
    let mut files = Vec::new();
    let mut problems = Vec::new();
    for path in paths {
        let wanted = path.extension().is_some_and(|e| e == "toml" || e == "rhai");
        if !wanted || files.len() > MOST_FILES {
            continue;
        }
        let file_name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        if !path.canonicalize().is_ok_and(|real| real.starts_with(&root)) {
            problems.push(Diagnostic::error(format!("`{}` leads out of the pack", path.display())).help("a pack holds its own files"));
            continue;
        }
        match read_text(&path) {
            Ok(text) => files.push((file_name, text)),
            Err(problem) => problems.push(problem),
        }
    }
    if files.len() > MOST_FILES {
        problems.push(Diagnostic::error(format!("the pack `{name}` holds more than {MOST_FILES} files")));
    }
    if problems.is_empty() { Ok(PackFiles { folder: name, files }) } else { Err(problems) }
}

/// The folders of added packs: --rules, `OVOLO_RULES`, and the user's configuration folder.
fn pack_folders(given: &[PathBuf]) -> Vec<PathBuf> {
    let mut folders = given.to_vec();
    if let Some(list) = std::env::var_os("OVOLO_RULES") {
        folders.extend(std::env::split_paths(&list).filter(|p| !p.as_os_str().is_empty()));
    }
    if let Ok(base) = etcetera::choose_base_strategy() {
        use etcetera::BaseStrategy;
        let own = base.config_dir().join("ovolo").join("rules");
        let mut found: Vec<PathBuf> = fs::read_dir(own)
            .map(|entries| entries.filter_map(|e| Some(e.ok()?.path())).filter(|p| p.join("pack.toml").is_file()).collect())
            .unwrap_or_default();
        found.sort();
        folders.extend(found);
    }
    folders
}

/// Loads the standard packs and those added.
pub(crate) fn rule_book(given: &[PathBuf], output: &mut Output) -> Result<RuleBook, Exit> {
    let mut packs = rules::standard();
    let mut failed = Vec::new();
    for folder in pack_folders(given) {
        match read_pack(&folder) {
            Ok(pack) => packs.push(pack),
            Err(mut problems) => failed.append(&mut problems),
        }
    }
    if !failed.is_empty() {
        problems::show(&failed, output);
        return Err(Exit::Unusable);
    }
    RuleBook::load(&packs).map_err(|problems| {
        problems::show(&problems, output);
        Exit::Unusable
    })
}

/// Reads a survey.
pub(crate) fn survey(path: &Path, book: &RuleBook, output: &mut Output) -> Result<Survey, Exit> {
    let text = read_text(path).map_err(|problem| {
        problems::show(&[problem], output);
        Exit::Unusable
    })?;
    let file: Arc<SourceFile> = SourceFile::new(path.display().to_string(), text);
    match Survey::read(&file, book) {
        Ok((survey, warnings)) => {
            problems::show(&warnings, output);
            Ok(survey)
        }
        Err(problems) => {
            problems::show(&problems, output);
            Err(Exit::Unusable)
        }
    }
}
