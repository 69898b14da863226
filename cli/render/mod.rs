//! Showing advice as text, Markdown and JSON. All three are made from the same data.

pub(crate) mod aftermath;
pub(crate) mod approach;
pub(crate) mod book;
pub(crate) mod comparison;
pub(crate) mod document;
pub(crate) mod glossary;
pub(crate) mod job;
pub(crate) mod markdown;
mod page;
pub(crate) mod shared;
pub(crate) mod sheet;
pub(crate) mod text;

pub(crate) use page::Page;
pub(crate) use shared::ground;

use ovolo_engine::advice::Advice;
use std::fmt::Write as _;

/// Advice as JSON. Characters that a terminal would obey, or that turn the direction of writing, are written as escapes; they can
/// only stand in texts, where an escape means the same.
pub(crate) fn json(advice: &Advice) -> String {
    let text = serde_json::to_string_pretty(advice).map_or_else(|e| format!("{{\"error\": \"{e}\"}}\n"), |text| text + "\n");
    let unseen = |c: char| c.is_control() && c != '\n' || crate::problems::turns_writing(c);
    if !text.contains(unseen) {
        return text;
    }
    text.chars().fold(String::new(), |mut out, c| {
        if unseen(c) {
            let _ = write!(out, "\\u{:04x}", u32::from(c));
        } else {
            out.push(c);
        }
        out
    })
}
