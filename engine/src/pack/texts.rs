//! What the texts of a pack may hold: nothing that a reader cannot see, nothing beyond a length.

use super::LONGEST_TEXT;
use crate::diagnostic::{Diagnostic, SourceFile};
use crate::toml_read::Problems;
use std::ops::Range;
use std::sync::Arc;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Looks at every text of a file, raw and as read. `None` if the file should not be read further.
pub(super) fn check(file: &Arc<SourceFile>, table: &DeTable<'_>, problems: &Problems) -> Option<()> {
    let mut look = Look { file, problems, sound: true };
    look.raw();
    if look.sound {
        look.table(table);
    }
    look.sound.then_some(())
}

/// Looks at a file of functions.
pub(super) fn check_script(file: &Arc<SourceFile>, problems: &Problems) {
    Look { file, problems, sound: true }.raw();
}

/// A character that shows nothing, or shows other text than is written.
fn unseen(c: char) -> bool {
    c.is_control() && !matches!(c, '\n' | '\r' | '\t') || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

struct Look<'a> {
    file: &'a Arc<SourceFile>,
    problems: &'a Problems,
    sound: bool,
}

impl Look<'_> {
    fn fault(&mut self, message: String, span: Range<usize>, help: &str) {
        // One is enough to refuse a file; it is not searched for more.
        if self.sound {
            self.problems.borrow_mut().push(Diagnostic::error(message).at(self.file, span).help(help));
        }
        self.sound = false;
    }

    fn raw(&mut self) {
        if let Some((at, c)) = self.file.text.char_indices().find(|(_, c)| unseen(*c)) {
            self.unseen(c, at..at + c.len_utf8());
        }
    }

    fn unseen(&mut self, c: char, span: Range<usize>) {
        self.fault(
            format!("the text holds the character U+{:04X}, which a reader cannot see", u32::from(c)),
            span,
            "packs are plain text: leave control characters and changes of writing direction out",
        );
    }

    fn text(&mut self, text: &str, span: Range<usize>) {
        if let Some(c) = text.chars().find(|c| unseen(*c)) {
            self.unseen(c, span);
        } else if text.len() > LONGEST_TEXT {
            let length = text.chars().count();
            let start = span.start..span.start;
            self.fault(
                format!("a text has {length} characters; the longest can have {LONGEST_TEXT}"),
                start,
                "say it shorter, or in parts",
            );
        }
    }

    fn table(&mut self, table: &DeTable<'_>) {
        for (key, value) in table {
            self.text(key.get_ref(), key.span());
            self.value(value);
        }
    }

    fn value(&mut self, value: &Spanned<DeValue<'_>>) {
        match value.get_ref() {
            DeValue::String(text) => self.text(text, value.span()),
            DeValue::Array(items) => items.iter().for_each(|item| self.value(item)),
            DeValue::Table(table) => self.table(table),
            _ => {}
        }
    }
}
