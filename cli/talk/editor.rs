//! Reading lines at a terminal: editing, completion, hints, history.

use super::commands::{self, Takes};
use super::prompt::Typed;
use super::session::{Asked, Session};
use ovolo_engine::catalogue::EntryKind;
use rustyline::completion::{Completer, Pair};
use rustyline::error::ReadlineError;
use rustyline::highlight::Highlighter;
use rustyline::hint::Hinter;
use rustyline::history::DefaultHistory;
use rustyline::{ColorMode, CompletionType, Config, Context, Helper, Validator};
use std::io;
use std::path::PathBuf;

/// The most lines kept from earlier sessions.
const MOST_HISTORY: usize = 1_000;

/// Words that can be completed, by what may follow a command.
#[derive(Debug, Clone, Default)]
pub struct Words {
    pub(super) surfaces: Vec<String>,
    pub(super) methods: Vec<String>,
    pub(super) facts: Vec<String>,
    pub(super) rules: Vec<String>,
    /// What can be answered to what was asked.
    pub(super) answers: Vec<String>,
}

impl Session<'_> {
    /// The words that make sense at this point.
    pub fn words(&self) -> Words {
        let base = &self.book.base;
        let methods = base.catalogue.entries(EntryKind::Method);
        let answers = match &self.asked {
            Some(Asked::Fact { fact, .. }) => {
                let fact = base.vocabulary.get(*fact);
                (0..fact.width(&base.catalogue)).map(|i| fact.choice_id(i, &base.catalogue).to_owned()).collect()
            }
            Some(Asked::Place) => self.book.place_names.iter().map(|p| p.title.clone()).collect(),
            _ => Vec::new(),
        };
        Words {
            surfaces: self.survey.surfaces.iter().map(|s| s.name.clone()).collect(),
            methods: methods.values().map(|m| m.id.clone()).collect(),
            facts: base.vocabulary.iter().filter(|(_, f)| !f.about.has_happened()).map(|(_, f)| f.name.clone()).collect(),
            rules: self.book.rules.iter().map(|r| r.id.clone()).collect(),
            answers,
        }
    }
}

#[derive(Helper, Validator, Default)]
struct Help {
    words: Words,
    styled: bool,
}

impl Help {
    /// Where the word being typed begins, and what it could become.
    fn candidates(&self, line: &str) -> (usize, Vec<String>) {
        let entry = commands::entries()
            .flat_map(|e| e.words.iter().map(move |w| (e, *w)))
            .filter(|(_, w)| line.len() > w.len() && line.to_lowercase().starts_with(w) && line[w.len()..].starts_with(' '))
            .max_by_key(|(_, w)| w.len());
        let (from, pool): (usize, Vec<&String>) = match entry {
            Some((entry, words)) => {
                let from = words.len() + 1;
                // Behind `with`, `and` or `to` another one of the kind may stand.
                let inner = [" with ", " and ", " to "].iter().filter_map(|w| line[from..].rfind(w).map(|i| from + i + w.len())).max();
                match entry.takes {
                    Takes::Method => (inner.unwrap_or(from), self.words.methods.iter().collect()),
                    Takes::Surface => (from, self.words.surfaces.iter().collect()),
                    Takes::Fact => (from, self.words.facts.iter().collect()),
                    Takes::Rule => (from, self.words.rules.iter().collect()),
                    Takes::Nothing | Takes::Words => return (line.len(), Vec::new()),
                }
            }
            None => {
                let start = line.trim_start().to_lowercase();
                let mut found: Vec<String> = self.words.answers.iter().filter(|a| a.to_lowercase().starts_with(&start)).cloned().collect();
                if !start.is_empty() {
                    found.extend(
                        commands::entries().flat_map(|e| e.words.iter()).filter(|w| w.starts_with(&start)).map(|w| (*w).to_owned()),
                    );
                    found.extend(self.words.facts.iter().filter(|f| f.starts_with(&start)).map(|f| format!("{f}: ")));
                    found.extend(self.words.surfaces.iter().filter(|s| s.to_lowercase().starts_with(&start)).cloned());
                }
                return (line.len() - line.trim_start().len(), found);
            }
        };
        let typed = line[from..].to_lowercase();
        (from, pool.into_iter().filter(|p| p.to_lowercase().starts_with(&typed)).cloned().collect())
    }
}

impl Completer for Help {
    type Candidate = Pair;

    fn complete(&self, line: &str, at: usize, _: &Context<'_>) -> rustyline::Result<(usize, Vec<Pair>)> {
        let (from, found) = self.candidates(&line[..at]);
        Ok((from, found.into_iter().map(|w| Pair { display: w.trim_end().to_owned(), replacement: w }).collect()))
    }
}

impl Hinter for Help {
    type Hint = String;

    fn hint(&self, line: &str, at: usize, _: &Context<'_>) -> Option<String> {
        if at < line.len() || line.is_empty() {
            return None;
        }
        // What has to follow a command.
        if let Some(entry) = commands::entries().find(|e| !e.usage.is_empty() && e.words.iter().any(|w| line.eq_ignore_ascii_case(w))) {
            return Some(format!(" {}", entry.usage));
        }
        let (from, found) = self.candidates(line);
        match &found[..] {
            [one] if line.len() > from => one.get(line.len() - from..).map(str::to_owned).filter(|h| !h.trim().is_empty()),
            _ => None,
        }
    }
}

impl Highlighter for Help {
    fn highlight_prompt<'b, 's: 'b, 'p: 'b>(&'s self, prompt: &'p str, _: bool) -> std::borrow::Cow<'b, str> {
        if self.styled { format!("\x1b[1m{prompt}\x1b[0m").into() } else { prompt.into() }
    }

    fn highlight_hint<'h>(&self, hint: &'h str) -> std::borrow::Cow<'h, str> {
        if self.styled { format!("\x1b[2m{hint}\x1b[0m").into() } else { hint.into() }
    }
}

/// A terminal with editing.
pub(crate) struct Editor {
    inner: rustyline::Editor<Help, DefaultHistory>,
    history: Option<PathBuf>,
}

impl Editor {
    pub(crate) fn new(styled: bool) -> rustyline::Result<Self> {
        let config = Config::builder()
            .max_history_size(MOST_HISTORY)?
            .history_ignore_space(true)
            .history_ignore_dups(true)?
            .completion_type(CompletionType::List)
            .bracketed_paste(true)
            .color_mode(if styled { ColorMode::Enabled } else { ColorMode::Disabled })
            .build();
        let mut inner = rustyline::Editor::with_config(config)?;
        inner.set_helper(Some(Help { words: Words::default(), styled }));
        let history = history_file();
        if let Some(file) = &history {
            let _ = inner.load_history(file);
        }
        Ok(Self { inner, history })
    }

    /// The words to complete from now on.
    pub(crate) fn know(&mut self, words: Words) {
        if let Some(help) = self.inner.helper_mut() {
            help.words = words;
        }
    }

    pub(crate) fn read(&mut self, prompt: &str) -> io::Result<Typed> {
        match self.inner.readline(prompt) {
            Ok(line) => {
                let _ = self.inner.add_history_entry(&line);
                if let Some(file) = &self.history {
                    if let Some(folder) = file.parent() {
                        let _ = std::fs::create_dir_all(folder);
                    }
                    // Appended at once: a session that is cut off keeps its history.
                    let _ = self.inner.append_history(file);
                }
                Ok(Typed::Line(line))
            }
            Err(ReadlineError::Interrupted) => Ok(Typed::Dropped),
            Err(ReadlineError::Eof) => Ok(Typed::End),
            Err(ReadlineError::Io(e)) => Err(e),
            Err(e) => Err(io::Error::other(e)),
        }
    }
}

/// The file in the user's state folder that keeps lines typed before.
fn history_file() -> Option<PathBuf> {
    super::left_off::state_folder().map(|f| f.join("history"))
}
