//! Reading surveys and packs from disk.

use crate::exit::Exit;
use crate::output::Output;
use crate::problems;
use ovolo_engine::Error;
use ovolo_engine::diagnostic::{Diagnostic, SourceFile};
use ovolo_engine::pack::{LARGEST_PACK, MOST_FILES, PackFiles, PackInfo, RuleBook};
use ovolo_engine::survey::Survey;
use ovolo_engine::toml_read::LARGEST_TEXT;
use std::fs;
use std::io::Read as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The most entries of a pack's folder that are looked at.
const MOST_ENTRIES: usize = 5_000;

/// Reads a text file, with a message that says which file and what is wrong.
pub(crate) fn read_text(path: &Path) -> Result<String, Diagnostic> {
    read_text_up_to(path, LARGEST_TEXT)
}

/// The largest file of the program's own writing that is read back.
const LARGEST_OWN: usize = 256 * 1024 * 1024;

/// Reads a file that the program wrote itself, which can be larger than what people write.
pub(crate) fn read_own(path: &Path) -> Result<String, Diagnostic> {
    read_text_up_to(path, LARGEST_OWN)
}

fn read_text_up_to(path: &Path, largest: usize) -> Result<String, Diagnostic> {
    let name = path.display();
    let fault = |what: String| Diagnostic::error(what);
    let meta = fs::metadata(path).map_err(|e| match e.kind() {
        std::io::ErrorKind::NotFound => fault(format!("`{name}` is not there")).maybe_help(nearest_file(path)),
        _ => fault(format!("`{name}` cannot be read: {e}")),
    })?;
    if meta.is_dir() {
        return Err(fault(format!("`{name}` is a folder where a file is wanted")));
    }
    if meta.len() > largest as u64 {
        let mb = meta.len() / 1024 / 1024;
        return Err(fault(format!("`{name}` is {mb} MB; the largest file that is read is {} MB", largest / 1024 / 1024)));
    }
    // What is no plain file (a pipe, a device) does not know its length: no more than a file could hold is read of it.
    let mut bytes = Vec::new();
    let most = largest as u64 + 1;
    fs::File::open(path)
        .and_then(|file| file.take(most).read_to_end(&mut bytes))
        .map_err(|e| fault(format!("`{name}` cannot be read: {e}")))?;
    if bytes.len() > largest {
        return Err(fault(format!("`{name}` does not end within {} MB", largest / 1024 / 1024)));
    }
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
    ovolo_engine::words::did_you_mean(&wanted, names.iter().map(String::as_str))
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
    let mut paths: Vec<PathBuf> = entries.take(MOST_ENTRIES + 1).filter_map(|e| Some(e.ok()?.path())).collect();
    let wanted = |path: &PathBuf| path.extension().is_some_and(|e| e == "toml" || e == "rhai");
    if paths.len() > MOST_ENTRIES || paths.iter().filter(|p| wanted(p)).count() > MOST_FILES {
        return Err(fault(format!("the pack `{name}` holds more than {MOST_FILES} files"))
            .into_iter()
            .map(|p| p.help("give the folder that holds pack.toml and topic files, and nothing else"))
            .collect());
    }
    paths.retain(wanted);
    paths.sort();
    let mut files = Vec::new();
    let mut problems = Vec::new();
    let mut size = 0;
    for path in paths {
        let file_name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        let shown = path.display();
        let real = path.canonicalize().ok();
        let Some(real) = real.filter(|real| real.starts_with(&root)) else {
            problems.push(Diagnostic::error(format!("`{shown}` leads out of the pack")).help("a pack holds its own files"));
            continue;
        };
        // A pipe or a device would be waited for.
        if fs::metadata(&real).is_ok_and(|meta| !meta.is_file() && !meta.is_dir()) {
            problems.push(Diagnostic::error(format!("`{shown}` is not a plain file")).help("a pack holds text files"));
            continue;
        }
        match read_text(&path) {
            Ok(text) => {
                size += text.len();
                files.push((file_name, text));
            }
            Err(problem) => problems.push(problem),
        }
        if size > LARGEST_PACK {
            problems.push(Diagnostic::error(format!("the pack `{name}` holds more than {} MB of text", LARGEST_PACK / 1024 / 1024)));
            break;
        }
    }
    if problems.is_empty() { Ok(PackFiles { folder: name, files }) } else { Err(problems) }
}

/// The folders of added packs: --rules, `OVOLO_RULES`, and the user's configuration folder. A folder named twice counts once.
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
    let mut seen: Vec<PathBuf> = Vec::new();
    folders.retain(|folder| {
        let real = folder.canonicalize().unwrap_or_else(|_| folder.clone());
        let new = !seen.contains(&real);
        seen.push(real);
        new
    });
    folders
}

/// A rule book, and the names of the packs that a command is about.
pub(crate) struct Loaded {
    pub(crate) book: RuleBook,
    pub(crate) about: Vec<String>,
}

/// Loads the standard packs and those added, and says on standard error which were added.
pub(crate) fn rule_book(given: &[PathBuf], output: &mut Output) -> Result<RuleBook, Exit> {
    workshop_book(given, &[], output).map(|loaded| loaded.book)
}

/// Loads the standard packs, those added, and the folders a command names. The command is about the packs in those folders;
/// where it names none, about the added packs; where none is added either, about the standard packs.
pub(crate) fn workshop_book(given: &[PathBuf], named: &[PathBuf], output: &mut Output) -> Result<Loaded, Exit> {
    let mut packs = ovolo_rules::standard();
    let mut failed = Vec::new();
    let mut about = Vec::new();
    let mut added = Vec::new();
    let folders: Vec<PathBuf> = named.iter().chain(given).cloned().collect();
    for (index, folder) in pack_folders(&folders).iter().enumerate() {
        let pack = match read_pack(folder) {
            Ok(pack) => pack,
            Err(mut problems) => {
                failed.append(&mut problems);
                continue;
            }
        };
        if let Some(info) = pack.info() {
            if !info.house {
                failed.push(
                    Diagnostic::error(format!("the pack `{}` in `{}` does not say that it is a house pack", info.name, pack.folder))
                        .help("write `house = true` in its pack.toml: every added pack keeps to what house rules may do"),
                );
            }
            if named.is_empty() || index < named.len() {
                about.push(info.name.clone());
            }
            added.push(info);
        }
        packs.push(pack);
    }
    if failed.iter().any(|p| p.severity == ovolo_engine::diagnostic::Severity::Error) && named.is_empty() {
        problems::show(&failed, output);
        return Err(Exit::Unusable);
    }
    // A workshop command reports what is wrong in every file that can be read at all.
    match RuleBook::load(&packs) {
        Ok(book) if failed.is_empty() => {
            for info in &added {
                output.message(&introduced(info));
            }
            if about.is_empty() {
                about = book.packs.iter().map(|p| p.name.clone()).collect();
            }
            Ok(Loaded { book, about })
        }
        loaded => {
            failed.extend(loaded.map_err(Error::into_diagnostics).err().unwrap_or_default());
            problems::show(&failed, output);
            Err(Exit::Unusable)
        }
    }
}

/// Loads a rule book to compare with: the packs of a folder, and those added, each on top of the standard packs; or, where the
/// folder holds a rule book of its own, that.
pub(crate) fn other_book(folder: Option<&Path>, given: &[PathBuf], output: &mut Output) -> Result<RuleBook, Exit> {
    let refuse = |problems: &[Diagnostic], output: &mut Output| {
        problems::show(problems, output);
        Exit::Unusable
    };
    let mut own: Vec<(PackFiles, PackInfo)> = Vec::new();
    for path in folder.map(packs_in).transpose().map_err(|p| refuse(&[p], output))?.unwrap_or_default() {
        let pack = read_pack(&path).map_err(|p| refuse(&p, output))?;
        let Some(info) = pack.info() else {
            return Err(refuse(&RuleBook::load(&[pack]).map_err(Error::into_diagnostics).err().unwrap_or_default(), output));
        };
        own.push((pack, info));
    }
    let named = |own: &[(PackFiles, PackInfo)], name: &str| own.iter().any(|(_, info)| info.name == name);
    let whole = own.len() > 1 && own.iter().any(|(_, info)| !info.house);
    let name_of = |pack: &PackFiles| pack.info().map(|info| info.name);
    let mut packs: Vec<PackFiles> = if whole { Vec::new() } else { ovolo_rules::standard() };
    packs.retain(|pack| name_of(pack).is_none_or(|name| !named(&own, &name)));
    let mut added: Vec<PackInfo> = Vec::new();
    for folder in pack_folders(given) {
        let pack = read_pack(&folder).map_err(|p| refuse(&p, output))?;
        if name_of(&pack).is_none_or(|name| !named(&own, &name)) {
            added.extend(pack.info());
            packs.push(pack);
        }
    }
    for (pack, info) in own {
        // A whole rule book is told by its folder; what is laid on top of the standard packs is told pack by pack.
        if info.house || !whole {
            added.push(info);
        }
        packs.push(pack);
    }
    let book = RuleBook::load(&packs).map_err(|p| refuse(p.diagnostics(), output))?;
    for info in &added {
        output.message(&introduced(info));
    }
    Ok(book)
}

/// Whether a folder is a pack or holds some.
pub(crate) fn holds_packs(folder: &Path) -> bool {
    packs_in(folder).is_ok_and(|all| all.iter().all(|p| p.join("pack.toml").is_file()))
}

/// The packs of a folder: itself, or those in it.
fn packs_in(folder: &Path) -> Result<Vec<PathBuf>, Diagnostic> {
    if !folder.is_dir() || folder.join("pack.toml").is_file() {
        // What is not there is reported when it is read.
        return Ok(vec![folder.to_path_buf()]);
    }
    let entries = fs::read_dir(folder).map_err(|e| Diagnostic::error(format!("`{}` cannot be read: {e}", folder.display())))?;
    let mut found: Vec<PathBuf> =
        entries.take(MOST_ENTRIES).filter_map(|e| Some(e.ok()?.path())).filter(|p| p.join("pack.toml").is_file()).collect();
    found.sort();
    if found.is_empty() {
        let fault = Diagnostic::error(format!("`{}` holds no pack", folder.display()));
        return Err(fault.help("a pack is a folder with a pack.toml; name one, or a folder that holds some"));
    }
    Ok(found)
}

/// What a folder of surveys holds, in the order of names.
#[derive(Default)]
pub(crate) struct Surveys {
    /// Every file that ends in .toml and is meant as a survey.
    pub(crate) files: Vec<Arc<SourceFile>>,
    /// The names of TOML files that are none.
    pub(crate) others: Vec<String>,
    /// What is wrong with those that cannot be read.
    pub(crate) unread: Vec<Diagnostic>,
}

/// Reads a folder of surveys.
pub(crate) fn surveys_in(folder: &Path) -> Result<Surveys, Diagnostic> {
    let fault = |e: std::io::Error| match e.kind() {
        std::io::ErrorKind::NotFound => Diagnostic::error(format!("`{}` is not there", folder.display())).maybe_help(nearest_file(folder)),
        _ => Diagnostic::error(format!("`{}` cannot be read: {e}", folder.display())),
    };
    let entries = fs::read_dir(folder).map_err(fault)?;
    let mut paths: Vec<PathBuf> = entries
        .take(MOST_ENTRIES)
        .filter_map(|e| Some(e.ok()?.path()))
        .filter(|p| p.extension().is_some_and(|e| e == "toml") && p.is_file())
        .collect();
    paths.sort();
    let mut found = Surveys::default();
    for path in paths {
        let text = match read_text(&path) {
            Ok(text) => text,
            Err(problem) => {
                found.unread.push(problem);
                continue;
            }
        };
        let table: Option<toml::Table> = toml::from_str(&text).ok();
        // What is no TOML may well be meant as a survey, and is reported as one.
        let other = table.is_some_and(|t| !["survey", "site", "surface"].iter().any(|key| t.contains_key(*key)));
        let name = path.display().to_string();
        if other {
            found.others.push(name);
        } else {
            found.files.push(SourceFile::new(name, text));
        }
    }
    if found.files.is_empty() && found.unread.is_empty() {
        let problem = Diagnostic::error(format!("`{}` holds no survey", folder.display()));
        return Err(problem.help("a survey is a TOML file with [survey], [site] or [[surface]]"));
    }
    Ok(found)
}

/// The line that says whose rules are added, before they count.
fn introduced(info: &PackInfo) -> String {
    let said = |text: &str| {
        let text = problems::harmless(text).split_whitespace().collect::<Vec<_>>().join(" ");
        if text.chars().count() > 60 { text.chars().take(59).chain(['…']).collect() } else { text }
    };
    let digest = info.digest.get(..12).unwrap_or(&info.digest);
    let kind = if info.house { "house pack" } else { "pack" };
    format!("with {kind} {} {} by {}, digest {digest}", said(&info.name), said(&info.version), said(&info.owner))
}

/// What is piped in, as text.
fn read_piped() -> Result<String, Diagnostic> {
    let mut text = String::new();
    let mut input = std::io::Read::take(std::io::stdin(), LARGEST_TEXT as u64 + 1);
    match std::io::Read::read_to_string(&mut input, &mut text) {
        Ok(n) if n > LARGEST_TEXT => Err(Diagnostic::error("what is piped in is too large to be a survey")),
        Ok(_) => Ok(text),
        Err(error) => Err(Diagnostic::error(format!("standard input cannot be read: {error}"))),
    }
}

/// Reads a survey.
pub(crate) fn survey(path: &Path, book: &RuleBook, output: &mut Output) -> Result<Survey, Exit> {
    // A lone dash stands for what is piped in.
    let piped = path.as_os_str() == "-";
    let text = if piped { read_piped() } else { read_text(path) };
    let text = text.map_err(|problem| {
        problems::tell(&problem, output);
        Exit::Unusable
    })?;
    let name = if piped { "standard input".to_owned() } else { path.display().to_string() };
    let file: Arc<SourceFile> = SourceFile::new(name, text);
    match Survey::read(&file, book) {
        Ok((survey, warnings)) => {
            problems::show_plainly(&warnings, output);
            Ok(survey)
        }
        Err(problems) => {
            problems::show_plainly(problems.diagnostics(), output);
            Err(Exit::Unusable)
        }
    }
}
