//! A page of text: wrapping, indents, headings.

use crate::output::Output;
use unicode_width::UnicodeWidthStr;

/// How a page is set.
pub(crate) struct Page {
    /// Columns to wrap at.
    pub(crate) width: usize,
    /// Whether headings are styled.
    pub(crate) styled: bool,
    /// Whether open notices are shown too.
    pub(crate) all: bool,
}

impl Page {
    pub(crate) fn new(output: &Output, all: bool) -> Self {
        Self { width: output.width, styled: output.styled, all }
    }

    /// A main heading.
    pub(crate) fn heading(&self, text: &str) -> String {
        let text = crate::problems::harmless(text);
        let line = "=".repeat(text.width().min(self.width));
        if self.styled { format!("\n\x1b[1m{text}\x1b[0m\n{line}\n") } else { format!("\n{text}\n{line}\n") }
    }

    /// A heading inside a surface.
    pub(crate) fn minor(&self, text: &str) -> String {
        if self.styled { format!("\n\x1b[1m{text}\x1b[0m\n") } else { format!("\n{text}\n") }
    }

    /// A paragraph with a first and a following indent.
    pub(crate) fn paragraph(&self, first: &str, rest: &str, text: &str) -> String {
        let text = crate::problems::harmless(text);
        let mut out = String::new();
        let mut line = first.to_owned();
        let mut empty = true;
        for word in text.split_whitespace() {
            if !empty && line.width() + 1 + word.width() > self.width {
                out.push_str(line.trim_end());
                out.push('\n');
                rest.clone_into(&mut line);
                empty = true;
            }
            if !empty {
                line.push(' ');
            }
            line.push_str(word);
            empty = false;
        }
        out.push_str(line.trim_end());
        out.push('\n');
        out
    }

    /// A point of a list.
    pub(crate) fn point(&self, text: &str) -> String {
        self.paragraph("  - ", "    ", text)
    }

    /// A remark below a point.
    pub(crate) fn under(&self, text: &str) -> String {
        self.paragraph("      ", "      ", text)
    }
}
