//! The page of a job, set as text, Markdown and HTML. What is said and in what order is settled in [`crate::page`].

mod html;
mod markdown;
mod text;

pub(crate) use html::html;
pub(crate) use markdown::markdown;
pub(crate) use text::{brief, text};

use crate::page::{Form, Item, Section, Sheet, lower, surfaces};

/// What is read through tells a thing once: what stood on an earlier sheet is named, and where it stood. Steps of which that is
/// true and that follow one another stand together.
struct Told {
    /// What is set off at the beginning.
    head: String,
    text: String,
    under: Vec<String>,
}

fn told(section: &Section) -> Vec<Told> {
    let mut out: Vec<(Told, Option<&String>)> = Vec::new();
    for item in &section.items {
        let Some(on) = item.told.as_ref().filter(|_| !item.text.is_empty()) else {
            out.push((Told { head: item.head.clone(), text: item.text.clone(), under: item.under.clone() }, None));
            continue;
        };
        match out.last_mut() {
            Some((last, Some(earlier))) if *earlier == on => {
                last.head = if last.head.ends_with('?') {
                    format!("{} {}", last.head, item.head)
                } else {
                    format!("{}; {}", last.head, lower(&item.head))
                };
                last.under.extend(item.under.iter().cloned());
            }
            // What has no name of its own is not pointed at.
            _ if item.head.is_empty() => {}
            _ => out.push((Told { head: item.head.clone(), text: String::new(), under: item.under.clone() }, Some(on))),
        }
    }
    out.into_iter()
        .map(|(told, on)| match on {
            Some(on) if section.form == Form::Pairs => Told { text: format!("as on {on}"), ..told },
            Some(on) => Told { head: format!("{} (as on {on})", told.head), ..told },
            None => told,
        })
        .collect()
}

/// The answer as it is read through, and why: what an earlier sheet says is pointed at.
fn answer(sheet: &Sheet) -> (String, &str) {
    let answer = if sheet.same_as.is_empty() {
        sheet.answer.clone()
    } else {
        format!("As on {}: {}", surfaces(&sheet.same_as), lower(&sheet.answer))
    };
    (answer, if sheet.why_told { "" } else { &sheet.why })
}

/// The head of an item with its text: a question keeps its mark, anything else gets a stop.
fn joined(head: &str, text: &str) -> String {
    match (head.is_empty(), text.is_empty()) {
        (true, _) => text.to_owned(),
        (false, true) => head.to_owned(),
        (false, false) if head.ends_with(['.', '?', '!', ':']) => format!("{head} {text}"),
        (false, false) => format!("{head}. {text}"),
    }
}

/// A section of one line: its items one after the other.
fn line(items: &[Item]) -> String {
    let heads: Vec<&str> = items.iter().map(|i| i.head.as_str()).collect();
    let text = heads.join("; ");
    if text.ends_with(['.', '?', '!']) { text } else { text + "." }
}
