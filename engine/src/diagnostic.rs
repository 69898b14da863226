//! One shape for everything that can be wrong with a survey, a pack or an answer.
//!
//! A [`Diagnostic`] says what is wrong, where, and what the nearest right thing would be. It is data: the program
//! decides how to show it.

use std::fmt;
use std::ops::Range;
use std::sync::Arc;

/// A text that was read, with the name people know it by.
#[derive(PartialEq, Eq)]
#[non_exhaustive]
pub struct SourceFile {
    /// The name to print, usually the path as given.
    pub name: String,
    /// The whole text.
    pub text: String,
}

impl fmt::Debug for SourceFile {
    /// The name alone: the text can be megabytes.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_tuple("SourceFile").field(&self.name).finish()
    }
}

impl SourceFile {
    /// Wraps a text for sharing.
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Arc<Self> {
        Arc::new(Self { name: name.into(), text: text.into() })
    }

    /// The line and column (both from 1, the column in characters) of a byte offset.
    pub fn line_column(&self, offset: usize) -> (usize, usize) {
        let upto = &self.text.as_bytes()[..offset.min(self.text.len())];
        let line_start = upto.iter().rposition(|b| *b == b'\n').map_or(0, |i| i + 1);
        let line = upto.iter().filter(|b| **b == b'\n').count() + 1;
        let column = String::from_utf8_lossy(&upto[line_start..]).chars().count() + 1;
        (line, column)
    }
}

/// How serious a diagnostic is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Severity {
    /// The input cannot be used.
    Error,
    /// The input can be used, but deserves a look.
    Warning,
}

/// One thing that is wrong, at its place.
///
/// ```
/// # use ovolo_engine::{Diagnostic, RuleBook};
/// let book = RuleBook::load(&ovolo_rules::standard()).expect("sound");
/// let refused = book.survey("yard.toml", "[[surface]]\nname = \"gate\"\nsubstrate = \"sofwood\"").unwrap_err();
/// let problem: &Diagnostic = &refused.diagnostics()[0];
/// assert_eq!(problem.to_string(), "error: `sofwood` is not a substrate of the catalogue (yard.toml:3:13); did you mean `softwood`?");
/// ```
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Diagnostic {
    /// How serious.
    pub severity: Severity,
    /// One line, lower case, no full stop; what the user wrote stands in backticks.
    pub message: String,
    /// The text it is about, if it is about one.
    pub file: Option<Arc<SourceFile>>,
    /// Byte range in that text.
    pub span: Option<Range<usize>>,
    /// What to do instead.
    pub help: Option<String>,
}

impl Diagnostic {
    /// An error with no place yet.
    pub fn error(message: impl Into<String>) -> Self {
        Self { severity: Severity::Error, message: message.into(), file: None, span: None, help: None }
    }

    /// A warning with no place yet.
    pub fn warning(message: impl Into<String>) -> Self {
        Self { severity: Severity::Warning, ..Self::error(message) }
    }

    /// Puts it at a place.
    #[must_use]
    pub fn at(mut self, file: &Arc<SourceFile>, span: Range<usize>) -> Self {
        self.file = Some(Arc::clone(file));
        self.span = Some(span);
        self
    }

    /// Adds advice.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// Adds advice where there is some.
    #[must_use]
    pub fn maybe_help(mut self, help: Option<String>) -> Self {
        if help.is_some() {
            self.help = help;
        }
        self
    }
}

impl fmt::Display for Diagnostic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let word = match self.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
        };
        write!(f, "{word}: ")?;
        self.write(f)
    }
}

impl std::error::Error for Diagnostic {}

impl Diagnostic {
    /// The message, with place and help.
    pub(crate) fn write(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.message)?;
        if let (Some(file), Some(span)) = (&self.file, &self.span) {
            let (line, column) = file.line_column(span.start);
            write!(f, " ({}:{line}:{column})", file.name)?;
        } else if let Some(file) = &self.file {
            write!(f, " ({})", file.name)?;
        }
        if let Some(help) = &self.help {
            write!(f, "; {help}")?;
        }
        Ok(())
    }
}
