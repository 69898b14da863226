//! Nothing that was said is lost: the file is whole at every moment, whoever else writes to it, and however the program ends.

use crate::support::{book, root};
use ovolo_engine::diagnostic::SourceFile;
use ovolo_engine::survey::Survey;
use std::io::{BufRead as _, BufReader, Write as _};
use std::path::Path;
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};

fn talk(folder: &Path, more: &[&str]) -> Child {
    Command::new(env!("CARGO_BIN_EXE_ovolo"))
        .args(["talk", "survey.toml", "--date", "2026-09-14"])
        .args(more)
        .current_dir(folder)
        .env_clear()
        .env("HOME", "/dev/null")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program runs")
}

/// Lines that each state one thing, and what the file must hold once the line's effect has been shown.
fn lines() -> Vec<(String, String)> {
    let mut all: Vec<(String, String)> = vec![
        ("4 Sorrel Lane".into(), "title = \"4 Sorrel Lane\"".into()),
        ("England".into(), "place = \"GB-ENG\"".into()),
        ("add front door".into(), "name = \"front door\"".into()),
    ];
    for (fact, values) in [
        ("substrate", ["softwood", "oak", "hardwood"]),
        ("where", ["inside", "outside", "inside"]),
        ("condition", ["sound", "flaking", "detached"]),
        ("ventilation", ["good", "poor", "confined"]),
    ] {
        for value in values {
            all.push((format!("{fact}: {value}"), format!("{fact} = \"{value}\"")));
        }
    }
    for n in 0..20 {
        all.push((format!("note number {n} of the list"), format!("number {n} of the list")));
    }
    all
}

/// A generator of its own, so that the moments differ from run to run only by the machine.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % n
    }
}

/// The process is ended without warning at a random moment, some hundred times. Every answer whose effect was shown is on
/// disk, and the file is a survey.
#[test]
#[ignore = "long: `cargo long` runs it"]
#[expect(clippy::print_stdout, reason = "how much was tried is part of what the test tells")]
fn ended_at_any_moment_every_accepted_answer_is_there() {
    let rounds: u64 = std::env::var("FRESH").ok().and_then(|n| n.parse().ok()).unwrap_or(200);
    let mut dice = Dice(rounds ^ 0x5eed);
    let lines = lines();
    let (mut kept, mut ended_early) = (0, 0_u64);
    for round in 0..rounds {
        let folder = tempfile::tempdir().expect("a folder");
        let mut child = talk(folder.path(), &[]);
        let mut stdin = child.stdin.take().expect("a pipe");
        let typed: String = lines.iter().map(|(l, _)| format!("{l}\n")).collect();
        let writer = std::thread::spawn(move || {
            let _ = stdin.write_all(typed.as_bytes());
            stdin
        });
        // The screen is read until as many answers were taken as the dice say, and then a moment longer.
        let stop = dice.below(lines.len() as u64) as usize;
        let mut reader = BufReader::new(child.stdout.take().expect("a pipe"));
        let mut accepted = 0;
        let mut screen = String::new();
        // What the name of the new surface says (`Noted: element: door`) is no answer of its own.
        let taken = |line: &str| {
            let line = line.trim_start();
            ["Noted:", "A new surface:", "Kept as a note"].iter().any(|w| line.starts_with(w)) && !line.starts_with("Noted: element:")
        };
        while accepted < stop {
            screen.clear();
            if reader.read_line(&mut screen).unwrap_or(0) == 0 {
                break;
            }
            accepted += usize::from(taken(&screen));
        }
        let pause = dice.below(1_500);
        let end = std::time::Instant::now() + std::time::Duration::from_micros(pause);
        while std::time::Instant::now() < end {
            std::hint::spin_loop();
        }
        child.kill().expect("it can be ended");
        let _ = child.wait();
        // What was shown before the end counts too.
        let mut rest = String::new();
        let _ = std::io::Read::read_to_string(&mut reader, &mut rest);
        accepted += rest.split_inclusive('\n').filter(|l| l.ends_with('\n') && taken(l)).count();
        drop(writer.join());
        let path = folder.path().join("survey.toml");
        let text = std::fs::read_to_string(&path).unwrap_or_default();
        if accepted == 0 && text.is_empty() {
            continue;
        }
        // A fact stated again has its last value: the last answer about each is what must be there.
        for (i, (line, holds)) in lines.iter().take(accepted).enumerate() {
            let fact = line.split_once(": ").map(|(f, _)| format!("{f}: "));
            let said_again = fact.is_some_and(|f| lines[i + 1..=accepted.min(lines.len() - 1)].iter().any(|(l, _)| l.starts_with(&f)));
            assert!(said_again || text.contains(holds), "round {round}: after {accepted} answers `{line}` is not on disk:\n{text}");
            kept += 1;
        }
        ended_early += u64::from(accepted < lines.len());
        let read = Survey::read_draft(&SourceFile::new("survey.toml", text.clone()), book());
        assert!(read.is_ok(), "round {round}: the file is no survey any more:\n{text}");
    }
    println!("{rounds} rounds, {ended_early} of them ended before the last line, {kept} answers looked for and found");
    assert!(ended_early > rounds / 4, "the process was hardly ever ended early");
}

/// Two sessions on one file: the second says so and changes nothing; once the first has ended it can.
#[test]
fn two_sessions_on_one_file_are_noticed() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut first = talk(folder.path(), &[]);
    let mut stdin = first.stdin.take().expect("a pipe");
    stdin.write_all(b"4 Sorrel Lane\n").expect("a line");
    let mut reader = BufReader::new(first.stdout.take().expect("a pipe"));
    let mut line = String::new();
    while !line.contains("Noted") {
        line.clear();
        assert!(reader.read_line(&mut line).expect("text") > 0, "it ended");
    }
    let second = talk(folder.path(), &[]).wait_with_output().expect("it ends");
    assert_eq!(second.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&second.stderr).contains("another session"), "{second:?}");
    drop(stdin);
    assert_eq!(first.wait().expect("it ends").code(), Some(0));
    let third = talk(folder.path(), &[]).wait_with_output().expect("it ends");
    assert_eq!(third.status.code(), Some(0), "{third:?}");
    let left: Vec<_> = std::fs::read_dir(folder.path()).expect("a folder").map(|e| e.expect("an entry").file_name()).collect();
    assert_eq!(left, ["survey.toml"], "nothing else stays behind");
}

/// A session that is talked to line by line.
struct Talked {
    child: Child,
    stdin: ChildStdin,
    reader: BufReader<ChildStdout>,
}

impl Talked {
    fn begin(folder: &Path) -> Self {
        let mut child = talk(folder, &[]);
        let stdin = child.stdin.take().expect("a pipe");
        let reader = BufReader::new(child.stdout.take().expect("a pipe"));
        Self { child, stdin, reader }
    }

    /// Says a line, and reads until something is told.
    fn say(&mut self, line: &str, until: &str) -> String {
        self.stdin.write_all(format!("{line}\n").as_bytes()).expect("a line");
        let mut all = String::new();
        while !all.contains(until) {
            assert!(self.reader.read_line(&mut all).expect("text") > 0, "it ended:\n{all}");
        }
        all
    }

    /// Says no more; gives the exit code.
    fn end(mut self) -> Option<i32> {
        drop(self.stdin);
        self.child.wait().expect("it ends").code()
    }
}

/// Somebody writes to the file meanwhile: it is not written over, and `reload` goes on with what is there.
#[test]
fn what_somebody_else_wrote_is_not_written_over() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("survey.toml");
    let mut talked = Talked::begin(folder.path());
    talked.say("4 Sorrel Lane", "Noted");
    talked.say("England", "Noted");
    let theirs = "# theirs\n[survey]\ntitle = \"another\"\n\n[[surface]]\nname = \"gate\"\n";
    std::fs::write(&path, theirs).expect("written");
    talked.say("add front door", "Not kept");
    assert_eq!(std::fs::read_to_string(&path).expect("text"), theirs);
    talked.say("reload", "Read again");
    talked.say("note seen", "Kept as a note on gate");
    let text = std::fs::read_to_string(&path).expect("text");
    assert!(text.starts_with("# theirs") && text.contains("note = \"seen\""), "{text}");
    assert_eq!(talked.end(), Some(2), "one line could not be kept");
}

/// What is taken back is taken back on disk too, to the very beginning, and so is what is put back.
#[test]
fn taking_everything_back_reaches_the_disk() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("survey.toml");
    let before = std::fs::read_to_string(root().join("demo-data/quillhaven/school.toml")).expect("text");
    let ran = |script: &str| {
        let mut child = talk(folder.path(), &[]);
        child.stdin.take().expect("a pipe").write_all(script.as_bytes()).expect("lines");
        let out = child.wait_with_output().expect("it ends");
        assert_eq!(out.status.code(), Some(0), "{}", String::from_utf8_lossy(&out.stdout));
        std::fs::read_to_string(&path).expect("text")
    };
    std::fs::write(&path, &before).expect("written");
    assert_eq!(ran("set built 1911\nnote seen\nundo 2\nquit\n"), before);
    assert!(ran("set built 1911\nundo\nredo\nquit\n").contains("built"));
    // A new survey too: the file was made by the first answer.
    std::fs::remove_file(&path).expect("removed");
    let blank = ran("4 Sorrel Lane\nundo\nquit\n");
    assert!(!blank.contains("Sorrel"), "{blank}");
}

/// Where an undo cannot be kept, the session stands where it stood, with what could be put back.
#[test]
fn an_undo_that_cannot_be_kept_leaves_everything_as_it_was() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("survey.toml");
    let mut talked = Talked::begin(folder.path());
    talked.say("4 Sorrel Lane", "Noted");
    talked.say("England", "Noted");
    let ours = std::fs::read_to_string(&path).expect("text");
    std::fs::write(&path, "# theirs\n").expect("written");
    talked.say("undo", "Not kept");
    talked.say("state", "GB-ENG");
    std::fs::write(&path, &ours).expect("written");
    talked.say("undo", "Taken back: the place is England");
    talked.say("redo", "Put back: the place is England");
    assert_eq!(std::fs::read_to_string(&path).expect("text"), ours);
    assert_eq!(talked.end(), Some(2), "one line could not be kept");
}

/// A file with comments and an order of its own keeps both, whatever is said.
#[test]
fn comments_and_order_stay() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("survey.toml");
    let before = std::fs::read_to_string(root().join("demo-data/quillhaven/terrace.toml")).expect("text");
    std::fs::write(&path, &before).expect("written");
    let mut child = talk(folder.path(), &[]);
    let script = "go to brick front\nset moisture 6 %\nnote scaffold from Monday\nset built 1884\ngo to front door\nset substrate oak\nundo 4\nredo 4\nquit\n";
    child.stdin.take().expect("a pipe").write_all(script.as_bytes()).expect("lines");
    let out = child.wait_with_output().expect("it ends");
    assert_eq!(out.status.code(), Some(0), "{}", String::from_utf8_lossy(&out.stdout));
    let after = std::fs::read_to_string(&path).expect("text");
    let changed: Vec<(&str, &str)> = diff(&before, &after);
    let expected = [
        ("built           = \"188X\"                        # brick bond", "built           = 1884                        # brick bond"),
        ("substrate = { one-of = [\"softwood\", \"oak\"]", "substrate = \"oak\""),
        ("note      = \"Under-fired red brick", "note"),
        ("moisture  = \"4 .. 9 %\"", "moisture  = \"6 %\""),
    ];
    for (line, becomes) in expected {
        assert!(
            changed.iter().any(|(a, b)| a.starts_with(line) && b.starts_with(becomes)),
            "`{line}` should have become `{becomes}`; changed: {changed:#?}"
        );
    }
}

/// Lines that differ, in pairs, by a plain walk from the top that falls back in step at the next line both have.
fn diff<'t>(a: &'t str, b: &'t str) -> Vec<(&'t str, &'t str)> {
    let (a, b): (Vec<&str>, Vec<&str>) = (a.lines().collect(), b.lines().collect());
    let (mut i, mut j) = (0, 0);
    let mut out = Vec::new();
    while i < a.len() && j < b.len() {
        if a[i] == b[j] {
            (i, j) = (i + 1, j + 1);
            continue;
        }
        out.push((a[i], b[j]));
        let next = (0..20)
            .flat_map(|s| (0..=s).map(move |x| (x, s - x)))
            .find(|(x, y)| (*x, *y) != (0, 0) && a.get(i + x).zip(b.get(j + y)).is_some_and(|(p, q)| p == q && !p.is_empty()));
        let Some((x, y)) = next else { break };
        (i, j) = (i + x, j + y);
    }
    out
}
