//! The one writer of results, and the one decision about colour and width.

use crate::args::Color;
use std::io::{self, IsTerminal, Write};

/// The widest a text is set, however wide the terminal.
const WIDEST: usize = 100;

/// Where results and messages go.
pub(crate) struct Output {
    /// Columns to wrap at.
    pub(crate) width: usize,
    /// Whether results are styled.
    pub(crate) styled: bool,
    /// Whether messages are styled.
    styled_messages: bool,
    arrived: Arrived,
}

/// Whether what was written arrived.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Arrived {
    All,
    /// The reader has seen enough and gone.
    ReaderLeft,
    /// Somebody was there to read it, and it could not be written.
    Lost,
}

impl Output {
    pub(crate) fn new(color: Color, width: Option<u16>) -> Self {
        let styled = |terminal: bool| match color {
            Color::Always => true,
            Color::Never => false,
            Color::Auto => {
                let set = |name: &str| std::env::var_os(name).is_some_and(|v| !v.is_empty());
                terminal && !set("NO_COLOR") && std::env::var_os("TERM").is_none_or(|t| t != "dumb")
            }
        };
        let terminal = io::stdout().is_terminal();
        let columns = width.map(usize::from).or_else(|| terminal.then(terminal_width).flatten());
        Self {
            width: columns.unwrap_or(WIDEST).min(if width.is_some() { 200 } else { WIDEST }).max(40),
            styled: styled(terminal),
            styled_messages: styled(io::stderr().is_terminal()),
            arrived: Arrived::All,
        }
    }

    /// Writes a result.
    pub(crate) fn result(&mut self, text: &str) {
        let mut out = io::stdout().lock();
        let written = out.write_all(text.as_bytes()).and_then(|()| out.flush());
        match written {
            Err(e) if e.kind() == io::ErrorKind::BrokenPipe => self.arrived = Arrived::ReaderLeft,
            Err(e) if self.arrived != Arrived::Lost => {
                self.arrived = Arrived::Lost;
                self.message(&format!("What was to be shown could not be written: {e}."));
            }
            _ => {}
        }
    }

    /// Writes a message.
    #[expect(clippy::unused_self, reason = "messages go through the one writer, like results")]
    pub(crate) fn message(&mut self, text: &str) {
        let _ = writeln!(io::stderr().lock(), "{}", text.trim_end());
    }

    /// Whether messages are styled.
    pub(crate) fn styled_messages(&self) -> bool {
        self.styled_messages
    }

    /// Whether a result did not arrive though somebody was there to read it: a full disk.
    pub(crate) fn lost(&self) -> bool {
        self.arrived == Arrived::Lost
    }

    /// Whether the reader of results has gone.
    pub(crate) fn reader_left(&self) -> bool {
        self.arrived == Arrived::ReaderLeft
    }
}

/// The width of the terminal: what the shell says, or what the terminal itself does.
fn terminal_width() -> Option<usize> {
    std::env::var("COLUMNS")
        .ok()
        .and_then(|c| c.parse().ok())
        .or_else(|| terminal_size::terminal_size().map(|(terminal_size::Width(w), _)| usize::from(w)))
}
