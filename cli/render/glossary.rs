//! Words of the trade as text and JSON.

use super::Page;
use ovolo_engine::pack::{RuleBook, Word};
use serde::Serialize;

#[derive(Serialize)]
struct Told<'w> {
    word: &'w str,
    also: &'w [String],
    means: &'w str,
    source: String,
}

/// As JSON.
pub(crate) fn json(words: &[&Word], book: &RuleBook) -> String {
    let told: Vec<Told<'_>> =
        words.iter().map(|w| Told { word: &w.word, also: &w.also, means: &w.means, source: book.cite(&w.source) }).collect();
    serde_json::to_string_pretty(&told).map_or_else(|e| format!("{{\"error\": \"{e}\"}}\n"), |text| text + "\n")
}

/// For reading; with other forms and the source where one was asked for.
pub(crate) fn text(words: &[&Word], book: &RuleBook, asked: bool, page: &Page) -> String {
    let mut out = String::new();
    for word in words {
        let mut said = format!("{}: {}", word.word, word.means);
        if asked && !word.also.is_empty() {
            said = format!("{said} Also: {}.", word.also.join(", "));
        }
        if asked {
            said = format!("{said} [{}]", book.cite(&word.source));
        }
        out.push_str(&page.paragraph("", "  ", &said));
    }
    out
}
