//! What can go wrong for whoever uses the library: one type, which keeps everything that is known of it.

use crate::diagnostic::{Diagnostic, Severity};
use std::fmt;

/// Why something could not be done. It keeps every single thing that is wrong, each at its place where there is one.
///
/// ```
/// use ovolo_engine::{ErrorKind, RuleBook};
/// use ovolo_engine::pack::PackFiles;
///
/// let torn = PackFiles { folder: "ours".into(), files: vec![("pack.toml".into(), "name = \"ours\"".into())] };
/// let error = RuleBook::load(&[torn]).expect_err("a pack says its version and whose it is");
/// assert_eq!(error.kind(), ErrorKind::Unreadable);
/// assert_eq!(error.diagnostics().len(), 2);
/// assert!(error.to_string().contains("version"));
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Error {
    kind: ErrorKind,
    diagnostics: Vec<Diagnostic>,
}

/// What kind of thing went wrong.
///
/// ```
/// # use ovolo_engine::{Circumstances, ErrorKind, RuleBook, Survey};
/// let standard = ovolo_rules::standard();
/// let (book, other) = (RuleBook::load(&standard).expect("sound"), RuleBook::load(&[]).expect("a book of nothing"));
/// let when = Circumstances::on("2026-09-01".parse().expect("a date"));
/// let refused = other.advise(&Survey::new(&book, "back yard"), &when).unwrap_err();
/// assert_eq!(refused.kind(), ErrorKind::OtherBook);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum ErrorKind {
    /// A pack or a survey has mistakes in it.
    Unreadable,
    /// A survey, or something in it, was made with another rule book.
    OtherBook,
    /// There is nothing of that name or number.
    NotThere,
    /// A value is not one that a fact can have, or a fact stands where it does not belong.
    Unfit,
    /// A calculator lacks something, or was given what it cannot work with.
    CannotReckon,
}

impl Error {
    /// One thing that is wrong.
    pub(crate) fn new(kind: ErrorKind, problem: Diagnostic) -> Self {
        Self { kind, diagnostics: vec![problem] }
    }

    /// A value that does not fit.
    pub(crate) fn unfit(message: impl Into<String>) -> Self {
        Self::new(ErrorKind::Unfit, Diagnostic::error(message))
    }

    /// What kind of thing went wrong.
    pub fn kind(&self) -> ErrorKind {
        self.kind
    }

    /// Everything that is wrong, in the order it was met; never empty. Warnings can stand among it.
    pub fn diagnostics(&self) -> &[Diagnostic] {
        &self.diagnostics
    }

    /// Everything that is wrong, to keep.
    pub fn into_diagnostics(self) -> Vec<Diagnostic> {
        self.diagnostics
    }

    /// The first thing that is wrong, with its place and what to do instead.
    pub fn into_diagnostic(mut self) -> Diagnostic {
        let at = self.diagnostics.iter().position(|d| d.severity == Severity::Error).unwrap_or_default();
        self.diagnostics.swap_remove(at)
    }

    /// The first thing that is wrong, without its place.
    pub fn message(&self) -> &str {
        let first = self.diagnostics.iter().find(|d| d.severity == Severity::Error).or_else(|| self.diagnostics.first());
        first.map_or("", |d| d.message.as_str())
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (at, problem) in self.diagnostics.iter().enumerate() {
            if at > 0 {
                writeln!(f)?;
            }
            problem.write(f)?;
        }
        Ok(())
    }
}

impl std::error::Error for Error {}

/// What was found wrong while reading.
impl From<Vec<Diagnostic>> for Error {
    fn from(mut diagnostics: Vec<Diagnostic>) -> Self {
        if diagnostics.is_empty() {
            diagnostics.push(Diagnostic::error("it cannot be read"));
        }
        Self { kind: ErrorKind::Unreadable, diagnostics }
    }
}

/// What a calculator lacks, in words.
impl From<String> for Error {
    fn from(message: String) -> Self {
        Self::new(ErrorKind::CannotReckon, Diagnostic::error(message))
    }
}

impl From<&str> for Error {
    fn from(message: &str) -> Self {
        Self::from(message.to_owned())
    }
}

/// The first thing that is wrong, in words.
impl From<Error> for String {
    fn from(error: Error) -> Self {
        error.message().to_owned()
    }
}
