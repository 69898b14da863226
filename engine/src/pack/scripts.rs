//! Scripts of packs: their functions, unfolding them, and putting what is wrong at its place in the file.

use super::{Template, Topic, need_source, read_basis, read_period, read_sources, read_where};
use crate::diagnostic::{Diagnostic, SourceFile};
use crate::limit::{Basis, Period, Where};
use crate::script::{Base, Fault, Functions, Unfolder};
use crate::toml_read::{Keys, Place, Problems};
use crate::tree::{Tree, Who};
use indexmap::IndexMap;
use std::sync::Arc;

/// A script and where it stands.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Script {
    /// Its text.
    pub text: String,
    /// The functions of its pack, as text.
    pub functions: String,
    /// Where it stands.
    pub place: Place,
}

/// The functions of a pack and their text.
pub(super) struct PackFunctions {
    read: Functions,
    text: String,
    file: Arc<SourceFile>,
}

/// Reads the functions of a pack.
pub(super) fn read_functions(unfolder: &Unfolder, files: &[Arc<SourceFile>], problems: &Problems) -> Option<PackFunctions> {
    let first = files.first()?;
    // Each file is checked alone, so that a mistake is shown in it; then they are read as one.
    for file in files {
        if let Err(fault) = unfolder.functions(&file.text) {
            problems.borrow_mut().push(fault_in_file(file, &fault));
            return None;
        }
    }
    let text = files.iter().map(|f| f.text.as_str()).collect::<Vec<_>>().join("\n");
    match unfolder.functions(&text) {
        Ok(read) => Some(PackFunctions { read, text, file: Arc::clone(first) }),
        Err(fault) => {
            problems.borrow_mut().push(fault_in_file(first, &fault));
            None
        }
    }
}

fn fault_in_file(file: &Arc<SourceFile>, fault: &Fault) -> Diagnostic {
    let start = fault.at.map_or(0, |at| offset_of(&file.text, at));
    let span = start..word_end(&file.text, start);
    Diagnostic::error(fault.message.clone()).at(file, span).maybe_help(fault.help.clone())
}

/// The byte offset of a line and column (in characters), both from 1.
fn offset_of(text: &str, (line, column): (usize, usize)) -> usize {
    let start = text.split_inclusive('\n').take(line.saturating_sub(1)).map(str::len).sum::<usize>();
    let rest = text.get(start..).unwrap_or("");
    start + rest.char_indices().nth(column.saturating_sub(1)).map_or(rest.len(), |(i, _)| i)
}

/// The end of the word that begins at an offset.
fn word_end(text: &str, start: usize) -> usize {
    let rest = text.get(start..).unwrap_or("");
    let word: usize = rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').map(char::len_utf8).sum();
    start + word.max(rest.chars().next().map_or(0, char::len_utf8))
}

/// Puts a fault of a script at its place in the pack file.
fn fault_at(script: &Script, functions: Option<&PackFunctions>, fault: &Fault) -> Diagnostic {
    if let (Some(name), Some(functions)) = (&fault.function, functions) {
        let mut problem = fault_in_file(&functions.file, fault);
        problem.message = format!("{} (in function `{name}`)", problem.message);
        return problem;
    }
    let file = &script.place.file;
    let raw = &file.text[script.place.span.clone()];
    // How the text begins in the file: quotes, and a line break after three of them.
    let quotes = if raw.starts_with("'''") || raw.starts_with("\"\"\"") { 3 } else { 1 };
    let mut skip = quotes;
    if quotes == 3 {
        skip += if raw[3..].starts_with("\r\n") { 2 } else { usize::from(raw[3..].starts_with('\n')) };
    }
    let verbatim = raw.starts_with('\'') || !raw.contains('\\');
    let span = match fault.at.filter(|_| verbatim) {
        Some(at) => {
            let inside = offset_of(&script.text, at);
            let start = script.place.span.start + skip + inside;
            start..start + (word_end(&script.text, inside) - inside)
        }
        None => script.place.span.clone(),
    };
    Diagnostic::error(fault.message.clone()).at(file, span).maybe_help(fault.help.clone())
}

pub(super) type AllFunctions = IndexMap<String, PackFunctions>;

/// What scripts are read with.
pub(super) struct Scripts<'a> {
    pub(super) base: &'a Base,
    pub(super) unfolder: &'a Unfolder,
    pub(super) functions: &'a AllFunctions,
    pub(super) problems: &'a Problems,
}

/// What rules and presumptions have in common.
pub(super) struct Common {
    pub(super) id: String,
    pub(super) script: Script,
    pub(super) tree: Tree,
    pub(super) because: Template,
    pub(super) basis: Basis,
    pub(super) source: String,
    pub(super) sources: IndexMap<String, String>,
    pub(super) place: Where,
    pub(super) period: Period,
}

impl Scripts<'_> {
    /// Reads what rules and presumptions have in common.
    pub(super) fn common(&self, kind: &str, topic: &Topic<'_>, keys: &Keys<'_>) -> Option<Common> {
        let problems = self.problems;
        let id = keys.need_text(problems, "id").unwrap_or("").to_owned();
        super::check_id(problems, kind, &id, &keys.get("id").map_or_else(|| keys.place(), |i| i.place()));
        let basis = read_basis(keys, topic.pack, problems);
        let source = need_source(keys, problems);
        let period = read_period(keys, problems);
        let place = read_where(keys, problems);
        let sources = read_sources(keys, problems);
        let because = keys.need_text(problems, "because").unwrap_or("");
        let (script, tree) = self.unfolded(topic, keys)?;
        let because = self.template(keys, "because", because, &tree);
        Some(Common { id, script, tree, because, basis, source, sources, place, period })
    }

    /// Reads `when` and unfolds it; every fault is reported at its place in the file.
    pub(super) fn unfolded(&self, topic: &Topic<'_>, keys: &Keys<'_>) -> Option<(Script, Tree)> {
        let (script, tree) = self.unfolded_at(topic, keys, "when")?;
        // What is to be done is judged by what is there, and never by what went wrong before: that has tables of its own.
        let past = |who: &Who| matches!(who, Who::Fact(f) if self.base.vocabulary.get(*f).about.has_happened());
        if tree.asked.iter().chain(tree.reads().iter()).any(past) {
            let fault = script.place.error("only [[after]] and [[cause]] read what has happened");
            self.problems.borrow_mut().push(fault.help("write it there, or ask about the site, the surface or its coats"));
            return None;
        }
        Some((script, tree))
    }

    /// As [`Self::unfolded`], of any key and whatever it reads.
    pub(super) fn unfolded_at(&self, topic: &Topic<'_>, keys: &Keys<'_>, key: &str) -> Option<(Script, Tree)> {
        let when = keys.need_text(self.problems, key)?;
        let at = keys.get(key).map_or_else(|| keys.place(), |i| i.place());
        let functions = self.functions.get(&topic.pack.name);
        let script = Script { text: when.to_owned(), functions: functions.map(|f| f.text.clone()).unwrap_or_default(), place: at };
        self.unfolder.begin_pack(&topic.pack.name);
        match self.unfolder.unfold(when, functions.map(|f| &f.read)) {
            Ok(tree) => Some((script, tree)),
            Err(faults) => {
                for fault in faults {
                    self.problems.borrow_mut().push(fault_at(&script, functions, &fault));
                }
                None
            }
        }
    }

    /// Reads a sentence with gaps.
    pub(super) fn template(&self, keys: &Keys<'_>, key: &str, text: &str, tree: &Tree) -> Template {
        match Template::read(text, self.base, &tree.limits()) {
            Ok(template) => template,
            Err((message, help)) => {
                let place = keys.get(key).map_or_else(|| keys.place(), |i| i.place());
                self.problems.borrow_mut().push(place.error(message).maybe_help(help));
                Template::default()
            }
        }
    }
}
