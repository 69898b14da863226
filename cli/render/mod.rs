//! Showing advice as text, Markdown and JSON. All three are made from the same data.

pub(crate) mod book;
mod document;
pub(crate) mod markdown;
mod page;
mod shared;
pub(crate) mod text;

pub(crate) use page::Page;

use engine::advice::Advice;

/// Advice as JSON.
pub(crate) fn json(advice: &Advice) -> String {
    serde_json::to_string_pretty(advice).map_or_else(|e| format!("{{\"error\": \"{e}\"}}\n"), |text| text + "\n")
}
