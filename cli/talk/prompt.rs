//! The loop: ask, read a line, keep what it changed, show what came of it.

use super::editor::Editor;
use super::left_off;
use super::session::{Mark, Session};
use super::store::{Fault, Store};
use crate::output::Output;
use crate::render;
use std::io::{self, BufRead, IsTerminal, Read};
use std::path::{Path, PathBuf};

/// Where lines come from.
pub(crate) enum Lines {
    /// A terminal, with editing.
    Terminal(Box<Editor>),
    /// Anything else, line by line; whether each line is shown too: a terminal shows what is typed, a pipe does not.
    Plain(Box<dyn BufRead>, bool),
}

/// What came from where lines come from.
pub(crate) enum Typed {
    Line(String),
    /// The line being typed was given up.
    Dropped,
    /// There are no more.
    End,
}

/// The longest line that is read.
const LONGEST: u64 = 1 << 20;

impl Lines {
    pub(crate) fn new(plain: bool, answers: Option<&Path>, output: &Output) -> io::Result<Self> {
        if let Some(path) = answers {
            let file = std::fs::File::open(path)?;
            return Ok(Self::Plain(Box::new(io::BufReader::new(file)), true));
        }
        let terminal = io::stdin().is_terminal() && io::stdout().is_terminal();
        if terminal && !plain && std::env::var_os("TERM").is_none_or(|t| t != "dumb") {
            return Ok(Self::Terminal(Box::new(Editor::new(output.styled).map_err(io::Error::other)?)));
        }
        Ok(Self::Plain(Box::new(io::BufReader::new(io::stdin())), !io::stdin().is_terminal()))
    }

    fn read(&mut self, prompt: &str, output: &mut Output) -> io::Result<Typed> {
        match self {
            Self::Terminal(editor) => editor.read(prompt),
            Self::Plain(from, shown) => {
                output.result(prompt);
                let mut bytes = Vec::new();
                let mut limited = from.take(LONGEST);
                if limited.read_until(b'\n', &mut bytes)? == 0 {
                    output.result("\n");
                    return Ok(Typed::End);
                }
                let line = String::from_utf8_lossy(&bytes).trim_end_matches(['\n', '\r']).to_owned();
                if *shown {
                    output.result(&format!("{}\n", crate::problems::harmless(&line)));
                }
                Ok(Typed::Line(line))
            }
        }
    }
}

/// Talks until there is nothing more to read or the person leaves; gives whether every line was understood.
pub(crate) fn run(session: &mut Session<'_>, store: &mut Store, lines: &mut Lines, new: bool, output: &mut Output) -> io::Result<bool> {
    let name = store.name().to_owned();
    if let Some(surface) = left_off::surface(store.path()) {
        session.go_on_with(&surface);
    }
    let mut here = session.here().map(str::to_owned);
    output.result(&session.greeting(&name, new));
    let mut all_understood = true;
    let mut dropped = false;
    // A piped run of lines answers one question after the other; pasted lines do too.
    let mut waiting: std::collections::VecDeque<String> = std::collections::VecDeque::new();
    loop {
        if output.reader_left() {
            return Ok(all_understood);
        }
        output.result(&session.question());
        if session.here() != here.as_deref() && (session.begun() || !new) {
            here = session.here().map(str::to_owned);
            left_off::remember(store.path(), here.as_deref().unwrap_or(""));
        }
        let prompt = session.prompt();
        let line = if let Some(line) = waiting.pop_front() {
            output.result(&format!("{prompt}{}\n", crate::problems::harmless(&line)));
            line
        } else {
            if let Lines::Terminal(editor) = lines {
                editor.know(session.words());
            }
            match lines.read(&prompt, output)? {
                Typed::Line(text) => {
                    let mut parts = text.lines().map(str::to_owned);
                    let first = parts.next().unwrap_or_default();
                    waiting.extend(parts.filter(|p| !p.trim().is_empty()));
                    first
                }
                Typed::Dropped if dropped => break,
                Typed::Dropped => {
                    dropped = true;
                    output.result("  Line dropped. Ctrl-C once more, Ctrl-D or `quit` leaves; everything said is on disk.\n");
                    continue;
                }
                Typed::End => break,
            }
        };
        dropped = false;
        let mark = session.mark();
        let outcome = session.line(&line);
        all_understood &= outcome.understood;
        if !keep(session, mark, store, output) {
            all_understood = false;
            continue;
        }
        output.result(&crate::problems::harmless_lines(&outcome.text));
        if let Some(all) = outcome.advice {
            let styled = output.styled;
            let width = output.width;
            let page = render::Page { width, styled, all };
            let told = session.advice(&mut |advice, survey, book, circumstances| {
                if all {
                    render::text::advice(advice, &book.base.vocabulary, &page)
                } else {
                    render::job::text(&render::job::pages(advice, survey, book, circumstances), &page)
                }
            });
            output.result(&told);
        }
        if outcome.reload {
            reload(session, store, output);
        }
        if outcome.leave {
            break;
        }
    }
    let mark = session.mark();
    session.wind_up();
    keep(session, mark, store, output);
    let kept = if session.begun() || !new {
        format!("  Everything is kept in {name}.\n")
    } else {
        "  Nothing was said, so nothing was kept.\n".to_owned()
    };
    output.result(&kept);
    Ok(all_understood)
}

/// Brings the survey to the disk; what cannot be kept is taken back, so that what is shown is what is on file.
fn keep(session: &mut Session<'_>, mark: Mark, store: &mut Store, output: &mut Output) -> bool {
    // A survey of which nothing was ever said makes no file; one that was taken back to its beginning is kept as that.
    if !session.begun() && !store.there() {
        return true;
    }
    match store.save(session.text()) {
        Ok(()) => true,
        Err(fault) => {
            let name = store.name();
            let text = match fault {
                Fault::Changed => format!(
                    "  Not kept: something else has written to {name} meanwhile. `reload` goes on with what is there now; then say it again.\n"
                ),
                Fault::Taken | Fault::Io(_) => format!("  Not kept: {name} cannot be written ({fault}). Mend that, then say it again.\n"),
            };
            session.return_to(mark);
            output.result(&text);
            false
        }
    }
}

fn reload(session: &mut Session<'_>, store: &mut Store, output: &mut Output) {
    let name = store.name().to_owned();
    match store.reload() {
        Ok(Some(text)) => match session.reloaded(&name, &text) {
            Ok(()) => output.result("  Read again; `undo` leads back to what this session had.\n"),
            Err(problems) => {
                crate::problems::show_plainly(&problems, output);
                output.result("  What is in the file now is not a survey; this session goes on with what it had.\n");
            }
        },
        Ok(None) => output.result("  The file is not there any more; the next answer writes it again.\n"),
        Err(fault) => output.result(&format!("  It cannot be read: {fault}.\n")),
    }
}

/// A name for the file of a new survey that is not taken yet.
pub(crate) fn free_name(folder: &Path, date: jiff::civil::Date) -> PathBuf {
    let mut n = 1;
    loop {
        let name = if n == 1 { format!("survey-{date}.toml") } else { format!("survey-{date}-{n}.toml") };
        let path = folder.join(name);
        if !path.exists() {
            return path;
        }
        n += 1;
    }
}
