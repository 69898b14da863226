//! The commands as a user types them: exit codes, screens, streams.
//!
//! Screens are kept in `tests/screens`; `RENEW=1 cargo test --test integration` writes them anew, and the difference is read.

use crate::support::shape::misfits;
use crate::support::{ovolo, root, typed};
use std::fs;

/// A place to write surveys for one test.
struct Scratch(tempfile::TempDir);

impl Scratch {
    fn new() -> Self {
        Self(tempfile::tempdir().expect("a folder"))
    }

    fn file(&self, name: &str, text: &str) -> String {
        let path = self.0.path().join(name);
        fs::write(&path, text).expect("written");
        path.display().to_string()
    }
}

const SURVEY: &str = "tests/screens/door.toml";

/// Compares a screen with the one kept.
#[track_caller]
pub(crate) fn screen(name: &str, args: &[&str]) {
    same_as_kept(name, &typed(args));
}

/// Compares a text with the screen kept under a name, or keeps it.
#[track_caller]
pub(crate) fn same_as_kept(name: &str, found: &str) {
    let path = root().join("tests/screens").join(format!("{name}.txt"));
    if std::env::var_os("RENEW").is_some() {
        fs::write(&path, found).expect("written");
        return;
    }
    let kept = fs::read_to_string(&path).unwrap_or_default();
    assert!(kept == found, "the screen `{name}` has changed; read the difference, then RENEW=1\n--- kept\n{kept}\n--- found\n{found}");
}

fn exit(args: &[&str]) -> Option<i32> {
    ovolo(args).status.code()
}

#[test]
fn advice_reads_well_at_100_columns() {
    screen("advise-100", &["advise", SURVEY, "--width", "100"]);
}

#[test]
fn advice_reads_well_at_60_columns() {
    screen("advise-60", &["advise", SURVEY, "--width", "60"]);
    let out = ovolo(&["advise", "demo-data/quillhaven/terrace.toml", "--width", "60"]);
    for line in String::from_utf8(out.stdout).expect("UTF-8").lines() {
        assert!(line.chars().count() <= 60, "{line}");
    }
}

#[test]
fn advice_as_markdown() {
    screen("advise-markdown", &["advise", SURVEY, "--format", "markdown"]);
}

#[test]
fn the_three_lengths_of_a_check() {
    for length in ["line", "paragraph", "tree"] {
        screen(
            &format!("check-{length}"),
            &["check", SURVEY, "--method", "hot-air", "--set", "tool_temperature=620 C", "--explain", length],
        );
    }
}

#[test]
fn help_teaches() {
    for (name, args) in [("help", vec!["--help"]), ("help-advise", vec!["advise", "--help"]), ("help-check", vec!["check", "--help"])] {
        screen(name, &args);
    }
}

#[test]
fn exit_codes_tell_the_verdict() {
    // Suited with care, suited.
    assert_eq!(exit(&["check", SURVEY, "--method", "solvent-gel"]), Some(0));
    // Ruled out.
    assert_eq!(exit(&["check", SURVEY, "--method", "open-flame"]), Some(1));
    // Can't tell yet: oak or softwood under caustic.
    assert_eq!(exit(&["check", SURVEY, "--method", "caustic-paste"]), Some(3));
    // On hold, and released.
    let listed = ["check", SURVEY, "--method", "solvent-gel", "--set", "heritage=listed", "--set", "coat.analysed=yes"];
    assert_eq!(exit(&listed), Some(3));
    let released: Vec<&str> = listed.iter().copied().chain(["--set", "consent=yes"]).collect();
    assert_eq!(exit(&released), Some(0));
    // Wrong input.
    assert_eq!(exit(&["check", SURVEY, "--method", "hot-iar"]), Some(2));
    assert_eq!(exit(&["check", SURVEY]), Some(2));
    assert_eq!(exit(&["advise", "nowhere.toml"]), Some(2));
    assert_eq!(exit(&["advise", SURVEY, "--date", "soon"]), Some(2));
    assert_eq!(exit(&["advise", SURVEY, "--place", "UK"]), Some(2));
    assert_eq!(exit(&["advise", SURVEY, "--rules", "no-such-pack"]), Some(2));
    assert_eq!(exit(&["advise", SURVEY]), Some(0));
}

#[test]
fn wrong_words_are_answered_with_the_nearest_right_one() {
    for (args, wanted) in [
        (vec!["check", SURVEY, "--method", "hot-iar"], "There is no method called “hot-iar”.\n  Try: “hot-air”."),
        (
            vec!["check", SURVEY, "--method", "hot-air", "--surface", "back door"],
            "There is no surface called “back door” in door.toml. It has: ",
        ),
        (vec!["advise", SURVEY, "--place", "England"], "“England” is not the code of a place.\n  Try: --place GB-ENG."),
        (vec!["advise", SURVEY, "--date", "soon"], "“soon” is not a date.\n  Try: 2026-09-01."),
        (vec!["check", SURVEY, "--method", "hot-air", "--set", "extracton=yes"], "Try: “extraction”."),
        (vec!["check", SURVEY, "--method", "hot-air", "--set", "tool_temperature=450"], "“450” has no unit"),
        (vec!["check", SURVEY, "--method", "hot-air", "--set", "extraction"], "“extraction” sets nothing."),
        (vec!["check", SURVEY, "--method", "hot-air", "--set", "coat.7.lead=absent"], "There is no coat 7."),
        (vec!["advise", "tests/screens/dor.toml"], "Try: “door.toml”."),
        (vec!["advise", "demo-data"], "is a folder where a file is wanted"),
    ] {
        let message = String::from_utf8(ovolo(&args).stderr).expect("UTF-8");
        assert!(message.contains(wanted), "{args:?}: {message}");
        // Spoken to somebody who types a command and not to one who reads compilers.
        assert!(!message.contains(['`', '^', '|']) && !message.contains("error:") && !message.contains("help:"), "{args:?}: {message}");
    }
}

#[test]
fn a_file_of_ten_megabytes_is_refused() {
    let scratch = Scratch::new();
    let big = scratch.file("big.toml", &format!("[survey]\ntitle = \"{}\"\n", "x".repeat(10 * 1024 * 1024)));
    let out = ovolo(&["advise", &big]);
    assert_eq!(out.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&out.stderr).contains("is 10 MB; the largest file that is read is 4 MB"));
}

#[cfg(unix)]
#[test]
fn a_link_out_of_a_pack_is_refused() {
    let scratch = Scratch::new();
    fs::create_dir(scratch.0.path().join("pack")).expect("made");
    let secret = scratch.file("secret.toml", "[[rule]]\n");
    scratch.file("pack/pack.toml", "name = \"p\"\nversion = \"1\"\nowner = \"N\"\nhouse = true\n");
    std::os::unix::fs::symlink(secret, scratch.0.path().join("pack/rules.toml")).expect("linked");
    let out = ovolo(&["advise", SURVEY, "--rules", &scratch.0.path().join("pack").display().to_string()]);
    assert_eq!(out.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&out.stderr).contains("leads out of the pack"));
}

/// A full disk is told and ends non-zero; a reader that leaves early changes nothing of what was found out.
#[cfg(target_os = "linux")]
#[test]
fn a_result_that_does_not_arrive_is_no_success() {
    use std::process::{Command, Stdio};
    let demo = root().join("demo-data/quillhaven/wash-house.toml");
    for command in ["advise", "approach", "aftermath"] {
        let full = std::fs::OpenOptions::new().write(true).open("/dev/full").expect("a full device");
        let out = Command::new(env!("CARGO_BIN_EXE_ovolo")).arg(command).arg(&demo).stdout(full).output().expect("it runs");
        let told = String::from_utf8_lossy(&out.stderr);
        assert_eq!(out.status.code(), Some(2), "{command}: {told}");
        assert_eq!(told.matches("could not be written").count(), 1, "{command}: {told}");
    }
    let mut gone = Command::new(env!("CARGO_BIN_EXE_ovolo"))
        .args(["check", &demo.to_string_lossy(), "--surface", "boarded wall", "--method", "open-flame"])
        .stdout(Stdio::piped())
        .spawn()
        .expect("it runs");
    drop(gone.stdout.take());
    assert_eq!(gone.wait().expect("it ends").code(), Some(1), "ruled out stays ruled out");
}

#[test]
fn control_characters_of_a_survey_are_made_harmless() {
    let scratch = Scratch::new();
    let text =
        "[survey]\ntitle = \"a\\u001b[31mred\\u009b31m\"\nplace = \"GB\"\ndate = 2026-09-01\n[[surface]]\nname = \"door\\u0007\\u202e\"\n";
    let survey = scratch.file("odd.toml", text);
    for format in ["text", "markdown", "json"] {
        let out = ovolo(&["advise", &survey, "--format", format]);
        assert_eq!(out.status.code(), Some(0));
        let text = String::from_utf8(out.stdout).expect("UTF-8");
        assert!(!text.contains(['\u{1b}', '\u{7}', '\u{9b}', '\u{202e}']), "{format}");
        if format == "json" {
            let advice: serde_json::Value = serde_json::from_str(&text).expect("JSON");
            assert_eq!(advice["surfaces"][0]["name"], "door\u{7}\u{202e}");
        }
    }
}

#[test]
fn quantities_come_out_in_the_units_of_the_survey() {
    let args =
        |temperature: &'static str| ["check", SURVEY, "--method", "hot-air", "--place", "US", "--set", temperature].map(str::to_owned);
    let run = |args: &[String]| {
        let args: Vec<&str> = args.iter().map(String::as_str).collect();
        String::from_utf8(ovolo(&args).stdout).expect("UTF-8")
    };
    // The survey is metric; a law written in Fahrenheit shows both.
    assert!(run(&args("tool_temperature=620 C")).contains("1,100 °F (593.3 °C)"));
}

#[test]
fn the_same_bytes_twice() {
    let one = ovolo(&["advise", "demo-data/quillhaven/school.toml", "--format", "json"]).stdout;
    let two = ovolo(&["advise", "demo-data/quillhaven/school.toml", "--format", "json"]).stdout;
    assert!(!one.is_empty() && one == two);
}

#[test]
#[ignore = "long: `cargo long` runs it"]
fn every_advice_defers() {
    for survey in ["terrace", "school", "footbridge"] {
        let path = format!("demo-data/quillhaven/{survey}.toml");
        for format in ["text", "json", "markdown"] {
            let out = String::from_utf8(ovolo(&["advise", &path, "--format", format]).stdout).expect("UTF-8");
            let flat = out.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(flat.contains("local codes, consents and the enforcing authorities come first"), "{survey} {format}");
        }
    }
}

#[test]
fn a_place_nobody_wrote_rules_for_is_not_all_clear() {
    let out = String::from_utf8(ovolo(&["advise", SURVEY, "--place", "JP"]).stdout).expect("UTF-8");
    assert!(out.split_whitespace().collect::<Vec<_>>().join(" ").contains("The rule book holds nothing about JP itself"));
}

#[test]
fn json_has_the_published_shape() {
    let out = ovolo(&["advise", SURVEY, "--format", "json"]).stdout;
    let advice: serde_json::Value = serde_json::from_slice(&out).expect("JSON");
    let text = fs::read_to_string(root().join("engine/advice.schema.json")).expect("the schema");
    let schema: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    let wrong = misfits(&advice, &schema);
    assert!(wrong.is_empty(), "{wrong:#?}");
}
