//! Input that must be refused: exit 2, a message that says what and where, no panic, nothing on standard output.

use crate::support::{files_in, ovolo, root};
use libtest_mimic::{Failed, Trial};
use std::path::{Path, PathBuf};

/// One test for each bad survey and each bad pack.
pub(crate) fn trials() -> Vec<Trial> {
    let surveys = files_in(&root().join("tests/bad/surveys"), ".toml").into_iter().map(|path| {
        let name = path.file_stem().expect("a name").to_string_lossy().into_owned();
        Trial::test(format!("bad::survey::{name}"), move || {
            let shown = path.strip_prefix(root()).unwrap_or(&path).display().to_string();
            refused(&["advise", &shown], &says(&path)?)
        })
    });
    let mut packs: Vec<PathBuf> = std::fs::read_dir(root().join("tests/bad/packs"))
        .map(|entries| entries.map(|e| e.expect("an entry").path()).filter(|p| p.is_dir()).collect())
        .unwrap_or_default();
    packs.sort();
    let packs = packs.into_iter().map(|folder| {
        let name = folder.file_name().expect("a name").to_string_lossy().into_owned();
        Trial::test(format!("bad::pack::{name}"), move || {
            let shown = folder.strip_prefix(root()).unwrap_or(&folder).display().to_string();
            let survey = "tests/bad/good-survey.toml";
            refused(&["advise", survey, "--rules", &shown], &says(&folder.join("expect.txt"))?)
        })
    });
    surveys.chain(packs).collect()
}

/// What the message must hold: the `# says: …` lines of a file.
fn says(path: &Path) -> Result<Vec<String>, Failed> {
    let text = String::from_utf8_lossy(&std::fs::read(path)?).into_owned();
    let lines: Vec<String> = text.lines().filter_map(|l| l.strip_prefix("# says: ")).map(|l| l.trim().to_owned()).collect();
    if lines.is_empty() { Err("the file does not say what must be said".into()) } else { Ok(lines) }
}

fn refused(args: &[&str], says: &[String]) -> Result<(), Failed> {
    let out = ovolo(args);
    let message = String::from_utf8_lossy(&out.stderr).into_owned();
    if out.status.code() != Some(2) {
        return Err(format!("exit {:?}, not 2:\n{message}", out.status.code()).into());
    }
    if !out.stdout.is_empty() {
        return Err("something was answered".into());
    }
    if message.contains("panicked") {
        return Err(format!("it broke off:\n{message}").into());
    }
    for part in says {
        if !message.contains(part.as_str()) {
            return Err(format!("`{part}` is not said in:\n{message}").into());
        }
    }
    Ok(())
}
