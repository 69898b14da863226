//! The prompt at a real pseudo-terminal: editing, completion, history, Ctrl-C, Ctrl-D, paste, resizing, colour.
//!
//! The waiting time below only ends a test that hangs; nothing is measured with it.

use rexpect::session::{Options, PtySession, spawn_with_options};
use rustix::termios::{Winsize, tcsetwinsize};
use std::path::Path;
use std::process::Command;

/// So long is waited for words that do not come.
const HANGING: u64 = 120_000;

const LEFT: &str = "\x1b[D";
const UP: &str = "\x1b[A";

struct Terminal {
    pty: PtySession,
    folder: tempfile::TempDir,
}

fn start(folder: tempfile::TempDir, more: &[&str], set: &[(&str, &str)], strip: bool) -> Terminal {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ovolo"));
    command
        .args(["--width", "80", "talk", "survey.toml", "--date", "2026-09-14"])
        .args(more)
        .current_dir(folder.path())
        .env_clear()
        .env("HOME", folder.path())
        .env("XDG_STATE_HOME", folder.path().join("state"))
        .env("TERM", "xterm")
        .envs(set.iter().copied());
    let options = Options::new().timeout_ms(Some(HANGING)).strip_ansi_escape_codes(strip);
    Terminal { pty: spawn_with_options(command, options).expect("the program starts"), folder }
}

fn fresh() -> Terminal {
    start(tempfile::tempdir().expect("a folder"), &[], &[], true)
}

impl Terminal {
    #[track_caller]
    fn sees(&mut self, words: &str) -> String {
        self.pty.exp_string(words).unwrap_or_else(|e| panic!("`{words}` does not come: {e}"))
    }

    fn types(&mut self, keys: &str) {
        self.pty.send(keys).expect("keys");
        self.pty.flush().expect("keys");
    }

    fn enters(&mut self, line: &str) {
        self.types(&format!("{line}\r"));
    }

    fn file(&self) -> String {
        std::fs::read_to_string(self.folder.path().join("survey.toml")).unwrap_or_default()
    }

    #[track_caller]
    fn ends(mut self) -> tempfile::TempDir {
        self.pty.exp_eof().expect("it ends");
        self.folder
    }

    /// Up to the first question about a surface.
    fn begun(mut self) -> Self {
        self.sees("What is to be stripped, and where is it?");
        self.enters("4 Sorrel Lane");
        self.sees("Where is the work?");
        self.enters("England");
        self.sees("Which surface first?");
        self.enters("front door");
        self.sees("A new surface: front door");
        self.sees("front door> ");
        self
    }
}

#[test]
fn a_line_can_be_edited_before_it_is_entered() {
    let mut t = fresh().begun();
    // `set substrate xak`, the cursor moved back, the x taken out and an o put in.
    t.types("set substrate xak");
    t.types(&format!("{LEFT}{LEFT}\x7fo\r"));
    t.sees("Noted: substrate: oak");
    assert!(t.file().contains("substrate = \"oak\""), "{}", t.file());
    t.sees("front door> ");
    // Ctrl-U takes the whole line out.
    t.types("nonsense nobody means\x15set where outside\r");
    t.sees("Noted: position: outside");
    t.enters("quit");
    t.sees("Everything is kept");
    t.ends();
}

#[test]
fn tab_completes_commands_facts_surfaces_methods_and_answers() {
    let mut t = fresh().begun();
    t.types("set subst\t");
    t.sees("set substrate");
    t.types(" oak\r");
    t.sees("Noted: substrate: oak");
    t.enters("add back door");
    t.sees("back door> ");
    t.types("go to fro\t");
    t.sees("front door");
    t.types("\r");
    t.sees("On to front door");
    t.sees("front door> ");
    // What has to follow a command shows as a hint behind the cursor.
    t.types("compare");
    t.sees("METHOD with METHOD");
    t.types("\x15why open-f\t");
    t.sees("open-flame");
    t.types("\r");
    t.sees("open flame on front door");
    t.sees("front door> ");
    t.types("\x04");
    t.ends();
}

#[test]
fn lines_typed_before_come_back_in_this_session_and_the_next() {
    let mut t = fresh().begun();
    t.enters("note the hinges are brass");
    t.sees("Kept as a note");
    t.sees("front door> ");
    t.enters("quit");
    let folder = t.ends();
    let history = std::fs::read_to_string(folder.path().join("state/ovolo/history")).expect("a history in the state folder");
    assert!(history.contains("note the hinges are brass"), "{history}");
    let mut t = start(folder, &[], &[], true);
    t.sees("front door> ");
    // Twice up: `quit` was the last line.
    t.types(&format!("{UP}{UP}"));
    t.sees("note the hinges are brass");
    t.types(" and old\r");
    t.sees("Kept as a note on front door: the hinges are brass and old");
    t.types("\x04");
    t.ends();
}

#[test]
fn ctrl_c_drops_the_line_and_twice_leaves() {
    let mut t = fresh().begun();
    t.types("set substrate oa\x03");
    t.sees("Line dropped");
    t.sees("front door> ");
    t.enters("set where outside");
    t.sees("Noted: position: outside");
    t.sees("front door> ");
    t.types("\x03");
    t.sees("Line dropped");
    t.sees("front door> ");
    t.types("\x03");
    t.sees("Everything is kept");
    let file = t.file();
    assert!(file.contains("where = \"outside\"") && !file.contains("substrate"), "{file}");
    t.ends();
}

#[test]
fn ctrl_d_on_an_empty_line_leaves_with_everything_on_disk() {
    let mut t = fresh().begun();
    t.types("\x04");
    t.sees("Everything is kept");
    assert!(t.file().contains("name = \"front door\""));
    let folder = t.ends();
    let left: Vec<_> = std::fs::read_dir(folder.path()).expect("a folder").map(|e| e.expect("an entry").file_name()).collect();
    assert!(!left.iter().any(|n| n.to_string_lossy().ends_with(".talk") || n.to_string_lossy().ends_with(".new")), "{left:?}");
}

#[test]
fn pasted_lines_are_taken_one_after_the_other() {
    let mut t = fresh().begun();
    t.types("\x1b[200~set substrate oak\nset where outside\nset condition flaking\x1b[201~\r");
    t.sees("Noted: substrate: oak");
    t.sees("Noted: position: outside");
    t.sees("Noted: condition of the paint: flaking");
    let file = t.file();
    assert!(file.contains("oak") && file.contains("outside") && file.contains("flaking"), "{file}");
    t.types("\x04");
    t.ends();
}

#[test]
fn a_terminal_that_is_made_narrow_while_a_line_is_typed_loses_nothing() {
    let mut t = fresh().begun();
    t.types("note a long remark that will not fit on one line of ");
    let handle = t.pty.process().get_file_handle().expect("the terminal");
    for columns in [30, 120, 24] {
        tcsetwinsize(&handle, Winsize { ws_row: 20, ws_col: columns, ws_xpixel: 0, ws_ypixel: 0 }).expect("resized");
        t.types("a terminal ");
    }
    t.types("made narrow\r");
    t.sees("Kept as a note");
    let wanted = "a long remark that will not fit on one line of a terminal a terminal a terminal made narrow";
    assert!(t.file().contains(wanted), "{}", t.file());
    t.types("\x04");
    t.ends();
}

/// What comes out of a short session, with every control sequence.
fn raw(more: &[&str], set: &[(&str, &str)]) -> String {
    let mut t = start(tempfile::tempdir().expect("a folder"), more, set, false);
    t.sees("What is to be stripped, and where is it?");
    t.sees("> ");
    t.enters("4 Sorrel Lane");
    let mut seen = t.sees("Where is the work?");
    t.enters("quit");
    seen.push_str(&t.pty.exp_eof().expect("it ends"));
    seen
}

#[test]
fn plain_redraws_nothing_and_colour_is_only_for_terminals_that_want_it() {
    let plain = raw(&["--plain"], &[]);
    assert!(!plain.contains('\x1b'), "{plain:?}");
    let coloured = raw(&[], &[]);
    assert!(coloured.contains("\x1b[1m"), "{coloured:?}");
    let without = raw(&[], &[("NO_COLOR", "1")]);
    assert!(!without.contains("\x1b[1m"), "{without:?}");
    let dumb = raw(&[], &[("TERM", "dumb")]);
    assert!(!dumb.contains('\x1b'), "{dumb:?}");
}

/// The same lines give the same words at a terminal that redraws nothing and from a pipe.
#[test]
fn a_pipe_says_the_same_words_as_a_terminal() {
    let lines = ["4 Sorrel Lane", "England", "front door", "set substrate oak", "methods", "undo", "quit"];
    let mut t = start(tempfile::tempdir().expect("a folder"), &["--plain"], &[], false);
    let mut at_terminal = String::new();
    for line in lines {
        at_terminal.push_str(&t.sees("> "));
        at_terminal.push_str("> ");
        t.types(&format!("{line}\n"));
    }
    at_terminal.push_str(&t.pty.exp_eof().expect("it ends"));
    let piped = piped(t.folder.path(), &lines);
    // The terminal here does not show what is typed, and its bytes beyond ASCII come one by one.
    let mut without_typed = piped;
    for line in lines {
        without_typed = without_typed.replacen(&format!("> {line}\n"), "> ", 1);
    }
    let even =
        |text: &str| -> String { text.replace("\r\n", "\n").replace("other.toml", "survey.toml").chars().filter(char::is_ascii).collect() };
    assert_eq!(even(&at_terminal), even(&without_typed));
}

fn piped(folder: &Path, lines: &[&str]) -> String {
    use std::io::Write as _;
    let mut child = Command::new(env!("CARGO_BIN_EXE_ovolo"))
        .args(["--width", "80", "talk", "other.toml", "--date", "2026-09-14"])
        .current_dir(folder)
        .env_clear()
        .env("HOME", folder)
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::piped())
        .spawn()
        .expect("the program runs");
    let text: String = lines.iter().map(|l| format!("{l}\n")).collect();
    child.stdin.take().expect("a pipe").write_all(text.as_bytes()).expect("lines");
    String::from_utf8(child.wait_with_output().expect("it ends").stdout).expect("UTF-8")
}

#[test]
fn a_session_goes_on_where_the_one_before_stopped() {
    let mut t = fresh().begun();
    t.enters("add back door");
    t.sees("back door> ");
    t.enters("add side gate");
    t.sees("side gate> ");
    t.enters("go to back door");
    t.sees("On to back door");
    t.sees("back door> ");
    t.types("\x04");
    let folder = t.ends();
    let mut t = start(folder, &[], &[], true);
    t.sees("back door> ");
    t.types("\x04");
    t.ends();
}
