//! Scripted dialogues: `tests/dialogues/NAME.txt` holds the lines typed, `tests/screens/talk/NAME.txt` the expected screen with
//! the survey that is on disk at the end. `RENEW=1` writes the screens; the difference is read before it is kept.
//!
//! A line that begins with `#:` says how it is run or what must hold whatever the rest of the screen is:
//!
//! - `#: survey PATH` begins with a copy of that survey and its date (else it is 14 September 2026), `#: args …` adds arguments (`{root}` is the top of the repository),
//!   `#: exit N` expects another exit code
//! - `#: says TEXT` and `#: never TEXT`: what must (there, or behind `more`) and must not stand on the screen, spaces and line ends aside
//! - `#: keeps TEXT`: what must stand in the survey at the end
//!
//! Other lines that begin with `#` are remarks, with the source of what must be said where it is not the project's own.

use crate::support::{files_in, root};
use libtest_mimic::{Failed, Trial};
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Output, Stdio};

pub(crate) fn trials() -> Vec<Trial> {
    files_in(&root().join("tests/dialogues"), ".txt")
        .into_iter()
        .map(|path| {
            let name = path.file_stem().expect("a name").to_string_lossy().into_owned();
            Trial::test(format!("dialogue {name}"), move || dialogue(&path, &name))
        })
        .collect()
}

fn squeezed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Runs the prompt in a folder on lines of input.
fn run(args: &[String], folder: &Path, lines: &str) -> std::io::Result<Output> {
    let mut child = Command::new(env!("CARGO_BIN_EXE_ovolo"))
        .args(args)
        .current_dir(folder)
        .env_clear()
        .env("HOME", "/dev/null") // nothing is remembered from run to run
        .env("TZ", "UTC")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()?;
    child.stdin.take().expect("a pipe").write_all(lines.as_bytes())?;
    child.wait_with_output()
}

fn dialogue(path: &Path, name: &str) -> Result<(), Failed> {
    let script = std::fs::read_to_string(path)?;
    let told = |key: &str| -> Vec<String> {
        script.lines().filter_map(|l| l.strip_prefix("#: ")?.strip_prefix(key)?.strip_prefix(' ')).map(str::to_owned).collect()
    };
    let folder = tempfile::tempdir()?;
    let survey = folder.path().join("survey.toml");
    if let Some(from) = told("survey").first() {
        std::fs::copy(root().join(from), &survey)?;
    }
    let mut args: Vec<String> = vec!["--width".into(), "92".into(), "talk".into(), "survey.toml".into()];
    let more = told("args");
    args.extend(more.iter().flat_map(|a| a.split(' ').map(|w| w.replace("{root}", &root().display().to_string()))));
    if told("survey").is_empty() {
        args.extend(["--date".into(), "2026-09-14".into()]);
    }
    let lines: String = script.lines().filter(|l| !l.starts_with('#')).map(|l| format!("{l}\n")).collect();
    let out = run(&args, folder.path(), &lines)?;
    let mut screen = String::from_utf8(out.stdout)?;
    let kept = std::fs::read_to_string(&survey).unwrap_or_default();
    let stderr = String::from_utf8(out.stderr)?;
    if !stderr.is_empty() {
        screen.push_str("--- messages\n");
        screen.push_str(&stderr);
    }
    let exit = out.status.code().map_or("by signal".to_owned(), |c| c.to_string());
    // Departures carry the day they are recorded on, which is today.
    let today = jiff::ZonedDateTime::now().date().to_string();
    let screen = format!("{screen}--- exit {exit}\n--- survey.toml\n{kept}").replace(&today, "TODAY");
    let (plain, whole) = (squeezed(&screen), squeezed(&kept));
    let wanted = told("exit").first().cloned().unwrap_or_else(|| "0".to_owned());
    if exit != wanted {
        return Err(format!("exit {exit} where {wanted} is expected:\n{screen}").into());
    }
    // An answer is short: what it leaves for later is told to whoever asks for more after every line.
    let asked = tempfile::tempdir()?;
    if let Some(from) = told("survey").first() {
        std::fs::copy(root().join(from), asked.path().join("survey.toml"))?;
    }
    let asking: String = lines.lines().map(|l| format!("{l}\nmore\n")).collect();
    let fuller = squeezed(&String::from_utf8(run(&args, asked.path(), &asking)?.stdout)?);
    for text in told("says") {
        if !plain.contains(&squeezed(&text)) && !fuller.contains(&squeezed(&text)) {
            return Err(format!("the screen does not say `{text}`:\n{screen}").into());
        }
    }
    for text in told("never") {
        if plain.contains(&squeezed(&text)) {
            return Err(format!("the screen says `{text}`:\n{screen}").into());
        }
    }
    for text in told("keeps") {
        if !whole.contains(&squeezed(&text)) {
            return Err(format!("the survey does not keep `{text}`:\n{kept}").into());
        }
    }
    let expected = root().join(format!("tests/screens/talk/{name}.txt"));
    if std::env::var_os("RENEW").is_some() {
        std::fs::create_dir_all(expected.parent().expect("a folder"))?;
        std::fs::write(&expected, &screen)?;
        return Ok(());
    }
    let before = std::fs::read_to_string(&expected).map_err(|_| format!("no screen is kept for {name}; RENEW=1 writes it"))?;
    if before == screen {
        return Ok(());
    }
    let first = before.lines().zip(screen.lines()).enumerate().find(|(_, (a, b))| a != b);
    let at = first.map_or_else(|| "one is longer".to_owned(), |(i, (a, b))| format!("line {}:\n- {a}\n+ {b}", i + 1));
    Err(format!("the screen has changed at {at}\nRENEW=1 cargo test --test data -- dialogue renews it").into())
}
