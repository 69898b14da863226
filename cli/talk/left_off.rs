//! Which surface was talked about last, by survey: kept in the user's state folder, so that a session goes on where the one
//! before stopped. Losing it costs nothing but a `go to`.

use std::fs;
use std::path::{Path, PathBuf};

/// The most surveys remembered.
const MOST: usize = 200;

/// A folder of the user's for what need not be kept.
pub(super) fn state_folder() -> Option<PathBuf> {
    use etcetera::BaseStrategy;
    let base = etcetera::choose_base_strategy().ok()?;
    Some(base.state_dir().unwrap_or_else(|| base.data_dir()).join("ovolo"))
}

fn lines() -> Vec<(String, String)> {
    let text = state_folder().and_then(|f| fs::read_to_string(f.join("left-off")).ok()).unwrap_or_default();
    text.lines().filter_map(|l| l.split_once('\t')).map(|(p, s)| (p.to_owned(), s.to_owned())).collect()
}

fn name(survey: &Path) -> String {
    fs::canonicalize(survey).unwrap_or_else(|_| survey.to_owned()).display().to_string().replace(['\t', '\n'], " ")
}

/// The surface that was talked about last.
pub(super) fn surface(survey: &Path) -> Option<String> {
    let name = name(survey);
    lines().into_iter().find(|(p, _)| *p == name).map(|(_, s)| s)
}

/// Remembers the surface talked about; what goes wrong with it is not worth a word.
pub(super) fn remember(survey: &Path, surface: &str) {
    let Some(folder) = state_folder() else { return };
    let name = name(survey);
    let mut all = lines();
    all.retain(|(p, _)| *p != name);
    all.insert(0, (name, surface.replace(['\t', '\n'], " ")));
    all.truncate(MOST);
    let text: String = all.iter().map(|(p, s)| format!("{p}\t{s}\n")).collect();
    let beside = folder.join(format!(".left-off.{}", std::process::id()));
    if fs::create_dir_all(&folder).is_ok() && fs::write(&beside, text).is_ok() && fs::rename(&beside, folder.join("left-off")).is_err() {
        let _ = fs::remove_file(&beside);
    }
}
