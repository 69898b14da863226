//! What the tests share: the standard rule book, folders read as packs, and the program in a clean environment.

#![allow(dead_code, reason = "each test binary uses its part of it")]

pub(crate) mod shape;

use ovolo_engine::judge::Verdict;
use ovolo_engine::pack::{PackFiles, RuleBook};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::OnceLock;

/// The root of the project.
pub(crate) fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// The standard rule book, loaded once.
pub(crate) fn book() -> &'static RuleBook {
    static BOOK: OnceLock<RuleBook> = OnceLock::new();
    BOOK.get_or_init(|| load(&[]))
}

/// The standard packs and some more.
pub(crate) fn load(more: &[PackFiles]) -> RuleBook {
    let mut packs = ovolo_rules::standard();
    packs.extend_from_slice(more);
    RuleBook::load(&packs).unwrap_or_else(|problems| panic!("the rule book does not load:\n{problems}"))
}

/// A folder as a pack.
pub(crate) fn pack_in(folder: &Path) -> PackFiles {
    let mut files: Vec<(String, String)> = std::fs::read_dir(folder)
        .expect("the folder is there")
        .map(|e| e.expect("an entry").path())
        .filter(|p| p.extension().is_some_and(|e| e == "toml" || e == "rhai"))
        .map(|p| (p.file_name().expect("a name").to_string_lossy().into_owned(), std::fs::read_to_string(&p).expect("text")))
        .collect();
    files.sort();
    PackFiles { folder: folder.display().to_string(), files }
}

/// How much a verdict forbids: 0 nothing, 1 conditions, 2 not yet, 3 not at all.
pub(crate) fn weight(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::Suited => 0,
        Verdict::SuitedWithCare => 1,
        Verdict::OnHold | Verdict::CantTellYet => 2,
        Verdict::RuledOut => 3,
    }
}

/// Files of a folder with an ending, sorted.
pub(crate) fn files_in(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder)
        .map(|entries| entries.map(|e| e.expect("an entry").path()).filter(|p| p.to_string_lossy().ends_with(ending)).collect())
        .unwrap_or_default();
    files.sort();
    files
}

/// Runs the program from the root of the project, with nothing of the user's environment.
pub(crate) fn ovolo(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_ovolo"))
        .args(args)
        .current_dir(root())
        .env_clear()
        .env("HOME", "/nowhere")
        .env("OVOLO_TODAY", "2026-11-28")
        .output()
        .expect("the program runs")
}

/// A run as one text: what was answered, what was said, how it ended.
pub(crate) fn typed(args: &[&str]) -> String {
    let out = ovolo(args);
    let stdout = String::from_utf8(out.stdout).expect("UTF-8");
    let stderr = String::from_utf8(out.stderr).expect("UTF-8");
    let mut text = stdout;
    if !stderr.is_empty() {
        text.push_str("--- messages\n");
        text.push_str(&stderr);
    }
    text.push_str("--- exit ");
    text.push_str(&out.status.code().map_or("by signal".to_owned(), |c| c.to_string()));
    text.push('\n');
    text
}
