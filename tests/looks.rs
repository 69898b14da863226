//! Packs that load and still deserve a look: what must be said of each, on its first lines. `# says: nothing` means that there is
//! nothing to say. Every message must be asked for: whatever else is said is a fault, but for rules without cases, which most
//! of these have none of.

use crate::support::{files_in, load, root};
use libtest_mimic::{Failed, Trial};
use ovolo_engine::pack::PackFiles;
use ovolo_engine::workshop::look_over;
use std::path::Path;

/// One test for each file.
pub(crate) fn trials() -> Vec<Trial> {
    let files = files_in(&root().join("tests/looks"), ".toml");
    files
        .into_iter()
        .map(|path| {
            let name = path.file_stem().expect("a name").to_string_lossy().into_owned();
            Trial::test(format!("looks::{name}"), move || look(&path))
        })
        .collect()
}

fn look(path: &Path) -> Result<(), Failed> {
    let text = std::fs::read_to_string(path)?;
    let says: Vec<String> = text.lines().filter_map(|l| l.strip_prefix("# says: ")).map(str::to_owned).collect();
    if says.is_empty() {
        return Err("the file does not say what must be said".into());
    }
    let manifest = "name = \"looks\"\nversion = \"1\"\nowner = \"a firm\"\nhouse = true\nneeds = [\"core\"]\n";
    let files = vec![("pack.toml".to_owned(), manifest.to_owned()), ("r.toml".to_owned(), text)];
    let book = load(&[PackFiles { folder: "looks".to_owned(), files }]);
    let found = look_over(&book, &["looks"], "2026-11-25".parse().expect("a date"));
    let shown: Vec<String> = found.iter().map(ToString::to_string).collect();
    if says == ["nothing"] {
        return if shown.is_empty() { Ok(()) } else { Err(format!("something is said: {shown:#?}").into()) };
    }
    for part in &says {
        if !shown.iter().any(|s| s.contains(part.as_str())) {
            return Err(format!("`{part}` is not said: {shown:#?}").into());
        }
    }
    let asked = |message: &String| says.iter().any(|part| message.contains(part.as_str())) || message.contains("worked case");
    match shown.iter().find(|s| !asked(s)) {
        Some(more) => Err(format!("this is said too: {more}").into()),
        None => Ok(()),
    }
}
