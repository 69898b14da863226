//! Packs from strangers: each is refused with a clear message, without harm and within bounded work.
//!
//! Those that can be written down lie in `tests/hostile/NAME`, with what must be said in `expect.txt`. Those that cannot (links,
//! pipes, a million entries) are made here. The tests run the real program; none measures time, but none may hang.

use crate::support::root;
use libtest_mimic::{Failed, Trial};
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

const MANIFEST: &str = "name = \"stranger\"\nversion = \"1\"\nowner = \"nobody\"\nhouse = true\nneeds = [\"core\"]\n";

/// One test for each hostile pack.
pub(crate) fn trials() -> Vec<Trial> {
    let mut folders: Vec<PathBuf> = fs::read_dir(root().join("tests/hostile"))
        .map(|entries| entries.map(|e| e.expect("an entry").path()).filter(|p| p.is_dir()).collect())
        .unwrap_or_default();
    folders.sort();
    let written = folders.into_iter().map(|folder| {
        let name = folder.file_name().expect("a name").to_string_lossy().into_owned();
        Trial::test(format!("hostile::{name}"), move || {
            let text = fs::read_to_string(folder.join("expect.txt"))?;
            let says: Vec<&str> = text.lines().filter_map(|l| l.strip_prefix("# says: ")).collect();
            refused(&folder, &says)
        })
    });
    let made = MADE.iter().map(|(name, make, says)| {
        Trial::test(format!("hostile::made::{name}"), move || {
            let scratch = tempfile::tempdir()?;
            let pack = scratch.path().join("pack");
            fs::create_dir(&pack)?;
            fs::write(pack.join("pack.toml"), MANIFEST)?;
            make(&pack)?;
            refused(&pack, says)
        })
    });
    // They belong to the long suite.
    written.chain(made).map(|t| t.with_ignored_flag(true)).collect()
}

/// The program with nothing of the user's environment and no input.
fn program(args: &[&str]) -> std::io::Result<Output> {
    Command::new(env!("CARGO_BIN_EXE_ovolo"))
        .args(args)
        .current_dir(root())
        .env_clear()
        .env("HOME", "/nowhere")
        .stdin(Stdio::null())
        .output()
}

/// Advice and the workshop refuse a pack: exit 2, nothing answered, a short message that holds what it should and no character
/// that a terminal would obey.
fn refused(pack: &Path, says: &[&str]) -> Result<(), Failed> {
    if says.is_empty() {
        return Err("the pack does not say what must be said".into());
    }
    let shown = pack.display().to_string();
    for args in [vec!["advise", "tests/bad/good-survey.toml", "--rules", &shown], vec!["rules", "check", &shown]] {
        let out = program(&args)?;
        let message = String::from_utf8_lossy(&out.stderr).into_owned();
        if out.status.code() != Some(2) {
            return Err(format!("{args:?}: exit {:?}, not 2:\n{message}", out.status.code()).into());
        }
        if !out.stdout.is_empty() {
            return Err(format!("{args:?}: something was answered").into());
        }
        if message.contains("panicked") || message.contains("broke off") {
            return Err(format!("it broke off:\n{message}").into());
        }
        if message.len() > 200_000 {
            return Err(format!("the message is {} bytes long", message.len()).into());
        }
        if let Some(c) =
            message.chars().find(|c| c.is_control() && *c != '\n' || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}'))
        {
            return Err(format!("the message holds {c:?}").into());
        }
        for part in says {
            if !message.contains(part) {
                return Err(format!("`{part}` is not said in:\n{message}").into());
            }
        }
    }
    Ok(())
}

type Make = fn(&Path) -> std::io::Result<()>;

/// Packs that cannot be written down.
const MADE: &[(&str, Make, &[&str])] = &[
    #[cfg(unix)]
    ("link-to-a-file", |pack| std::os::unix::fs::symlink("/etc/hostname", pack.join("r.toml")), &["leads out of the pack"]),
    #[cfg(unix)]
    ("link-to-a-folder", |pack| std::os::unix::fs::symlink("/etc", pack.join("etc.toml")), &["leads out of the pack"]),
    #[cfg(unix)]
    ("link-to-nothing", |pack| std::os::unix::fs::symlink("/nowhere/at/all", pack.join("r.toml")), &["leads out of the pack"]),
    #[cfg(unix)]
    ("link-to-an-endless-device", |pack| std::os::unix::fs::symlink("/dev/zero", pack.join("r.toml")), &["leads out of the pack"]),
    #[cfg(unix)]
    (
        "link-upwards-and-back",
        |pack| std::os::unix::fs::symlink("../pack/../../pack.toml", pack.join("r.toml")),
        &["leads out of the pack"],
    ),
    #[cfg(unix)]
    ("pipe-that-nobody-fills", |pack| Command::new("mkfifo").arg(pack.join("r.toml")).status().map(|_| ()), &["is not a plain file"]),
    ("folder-for-a-file", |pack| fs::create_dir(pack.join("r.toml")), &["is a folder where a file is wanted"]),
    ("huge-file", |pack| fs::write(pack.join("r.toml"), vec![b'#'; 9 * 1024 * 1024]), &["is 9 MB; the largest file that is read is 4 MB"]),
    (
        "large-files-together",
        |pack| (0..9).try_for_each(|i| fs::write(pack.join(format!("{i}.toml")), vec![b'#'; 2 * 1024 * 1024])),
        &["holds more than 16 MB of text"],
    ),
    ("too-many-files", |pack| (0..600).try_for_each(|i| fs::write(pack.join(format!("{i}.toml")), "")), &["holds more than 500 files"]),
    ("nothing-but-nul", |pack| fs::write(pack.join("r.toml"), [0; 100]), &["r.toml"]),
    ("nul-in-functions", |pack| fs::write(pack.join("f.rhai"), b"fn a() { true }\0"), &["U+0000, which a reader cannot see"]),
    ("not-utf8", |pack| fs::write(pack.join("r.toml"), b"# fine\n\xff\xfe\n"), &["is not UTF-8 text: line 2"]),
    ("deep-arrays", |pack| fs::write(pack.join("r.toml"), format!("a = {}1{}", "[".repeat(100_000), "]".repeat(100_000))), &["not TOML"]),
    ("deep-tables", |pack| fs::write(pack.join("r.toml"), format!("a = {}1{}", "{b=".repeat(100_000), "}".repeat(100_000))), &["not TOML"]),
    ("deep-dotted-key", |pack| fs::write(pack.join("r.toml"), format!("{}z = 1", "a.".repeat(500_000))), &["r.toml"]),
    ("deep-dotted-header", |pack| fs::write(pack.join("r.toml"), format!("[{}z]", "a.".repeat(500_000))), &["r.toml"]),
    (
        "a-million-keys",
        |pack| {
            fs::write(
                pack.join("r.toml"),
                (0..400_000).fold(String::new(), |mut t, i| {
                    let _ = writeln!(t, "k{i}=1");
                    t
                }),
            )
        },
        &["a table has 400000 keys; the most that is read is 2000"],
    ),
    (
        "a-million-rules",
        |pack| fs::write(pack.join("r.toml"), "[[rule]]\n".repeat(400_000)),
        &["has 400000 of [[rule]]; a pack can have 2000"],
    ),
    ("a-million-cases", |pack| fs::write(pack.join("r.toml"), "[[case]]\n".repeat(400_000)), &["of [[case]]; a pack can have 10000"]),
    ("a-million-odd-tables", |pack| fs::write(pack.join("r.toml"), "[[q]]\n".repeat(600_000)), &["of [[q]]"]),
    (
        "a-million-members",
        |pack| fs::write(pack.join("r.toml"), format!("[[case]]\ntitle=\"x\"\nsays=[{}]\n", "\"a\",".repeat(800_000))),
        &["has 800000 members"],
    ),
    (
        "a-text-of-megabytes",
        |pack| fs::write(pack.join("r.toml"), format!("[[rule]]\nid=\"{}\"\n", "heat-on-wood".repeat(300_000))),
        &["the longest can have 16000"],
    ),
    (
        "ids-that-are-nearly-right",
        |pack| fs::write(pack.join("r.toml"), format!("[[case]]\ntitle=\"x\"\nsays=[\"{}\"]\n", "heat-on-wood".repeat(1_300))),
        &["there is no rule"],
    ),
    (
        "two-hundred-coats",
        |pack| {
            let coat = |i: usize| format!("[[coat]]\nid=\"c{i}\"\ntitle=\"c\"\nsource=\"common practice\"\nbinder=\"oil\"\n");
            fs::write(pack.join("r.toml"), (0..200).map(coat).collect::<String>())
        },
        &["more than 128 entries of kind coat"],
    ),
    (
        "a-thousand-slow-rules",
        |pack| {
            let when =
                "let n = 0; while n < 900 { n += 1; } if surface.near.has(\"glass\") {} if surface.near.has(\"drain\") {} method.hot";
            let rule = |i: usize| {
                format!("[[rule]]\nid=\"r{i}\"\nruling=\"rule-out\"\nbecause=\"x.\"\nsource=\"common practice\"\nwhen='{when}'\n")
            };
            fs::write(pack.join("r.toml"), (0..1_900).map(rule).collect::<String>())
        },
        &["the scripts of this pack take too long between them"],
    ),
    (
        "many-bad-rules",
        |pack| {
            let rule = |i: usize| format!("[[rule]]\nid=\"r{i}\"\nrulinh=\"x\"\nwhen='site.bult && sruface.area'\n");
            fs::write(pack.join("r.toml"), (0..1_900).map(rule).collect::<String>())
        },
        &["and ", " more", "errors in all"],
    ),
];
