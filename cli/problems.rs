//! Showing diagnostics: the line, a caret, the advice. The only module that knows the renderer.

use crate::output::Output;
use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};
use ovolo_engine::diagnostic::{Diagnostic, Severity};

/// The most that are shown at once.
const MOST: usize = 100;

/// The longest message, in characters.
const LONGEST_MESSAGE: usize = 600;

/// The longest line of a file that is shown, in bytes.
const LONGEST_LINE: usize = 2_000;

/// Shows diagnostics on standard error.
pub(crate) fn show(problems: &[Diagnostic], output: &mut Output) {
    for problem in problems.iter().take(MOST) {
        let text = render(problem, output.styled_messages());
        output.message(&text);
    }
    if problems.len() > MOST {
        output.message(&format!("… and {} more", problems.len() - MOST));
    }
    let errors = problems.iter().filter(|p| p.severity == Severity::Error).count();
    if errors > 1 {
        output.message(&format!("{errors} errors in all"));
    }
}

/// Shows what is wrong with a survey, for the people who write one: which file, which line, what, and what to try.
pub(crate) fn show_plainly(problems: &[Diagnostic], output: &mut Output) {
    for problem in problems.iter().take(MOST) {
        output.message(&plainly(problem));
    }
    if problems.len() > MOST {
        output.message(&format!("… and {} more", problems.len() - MOST));
    }
    let errors = problems.iter().filter(|p| p.severity == Severity::Error).count();
    if errors > 1 {
        output.message(&format!("{errors} things to put right."));
    }
}

/// Says what is wrong with words of the command line, as one says it to the person who typed them: what, and what to try.
pub(crate) fn tell(problem: &Diagnostic, output: &mut Output) {
    // Some messages bring the near word with them.
    let (message, near) = match problem.message.split_once("; did you mean ") {
        Some((message, near)) if problem.help.is_none() => (message, Some(format!("did you mean {near}"))),
        _ => (problem.message.as_str(), None),
    };
    let mut text = sentence(message);
    if let Some(help) = problem.help.as_ref().or(near.as_ref()) {
        let near = help.strip_prefix("did you mean ").map(|h| h.trim_end_matches('?')).or_else(|| help.strip_prefix("write for example "));
        let tip = quoted(&shortened(&harmless(near.unwrap_or(help))));
        text.push_str("\n  Try: ");
        text.push_str(&tip);
        if !tip.ends_with(['.', '?', '!']) {
            text.push('.');
        }
    }
    output.message(&text);
}

/// A message as a sentence: with a capital, and a full stop.
pub(crate) fn sentence(message: &str) -> String {
    let text = quoted(&shortened(&harmless(message)));
    let mut letters = text.chars();
    let mut text: String = letters.next().map(|c| c.to_uppercase().chain(letters).collect()).unwrap_or_default();
    if !text.ends_with(['.', '?', '!']) {
        text.push('.');
    }
    text
}

/// Words in plain quotes: marks of code mean nothing to a reader.
fn quoted(text: &str) -> String {
    let mut open = false;
    let turn = |c: char| match c {
        '`' => {
            open = !open;
            if open { '“' } else { '”' }
        }
        c => c,
    };
    text.chars().map(turn).collect()
}

/// How a message begins that speaks of the notation of the file, not of what stands in it.
const NOT_READABLE: &str = "not TOML";

fn plainly(problem: &Diagnostic) -> String {
    // What somebody wrote stands in plain quotes: marks of code mean nothing to a reader.
    let words = |text: &str| shortened(&harmless(text)).replace('`', "\"");
    let place = match (&problem.file, &problem.span) {
        (Some(file), Some(span)) => {
            let name = std::path::Path::new(&file.name).file_name().map_or_else(|| file.name.clone(), |n| n.to_string_lossy().into_owned());
            format!("{}, line {}: ", harmless(&name), file.line_column(span.start).0)
        }
        (Some(file), None) => format!("{}: ", harmless(&file.name)),
        _ => String::new(),
    };
    let look = if problem.severity == Severity::Warning { "deserves a look: " } else { "" };
    let (message, help) = if problem.message.contains(NOT_READABLE) {
        let shapes = "each line reads name = value; text stands in \"quotes\", several things in [brackets] with commas between";
        ("it cannot be read as a line of a survey".to_owned(), Some(shapes.to_owned()))
    } else {
        (problem.message.clone(), problem.help.clone())
    };
    let mut text = format!("{place}{look}{}", words(&message));
    if !text.ends_with(['.', '?', '!']) {
        text.push('.');
    }
    if let Some(help) = &help {
        let help = words(help);
        let near = help.strip_prefix("did you mean ").map(|h| h.trim_end_matches('?').to_owned());
        let mut tip = near.unwrap_or(help);
        if !tip.ends_with(['.', '?', '!']) {
            tip.push('.');
        }
        text.push_str("\n  Try: ");
        text.push_str(&tip);
    }
    text
}

fn render(problem: &Diagnostic, styled: bool) -> String {
    let level = match problem.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let message = shortened(&harmless(&problem.message));
    let help = problem.help.as_deref().map(|h| shortened(&harmless(h)));
    let mut group = level.primary_title(&message).elements(Vec::<annotate_snippets::Message<'_>>::new());
    // A line is cut out of the file here: the renderer would go through all of a large one.
    let cut = problem.file.as_ref().zip(problem.span.as_ref()).map(|(file, span)| {
        let text = &file.text;
        let start = text[..floor(text, span.start)].rfind('\n').map_or(0, |i| i + 1);
        let end = text[floor(text, span.start)..].find('\n').map_or(text.len(), |i| floor(text, span.start) + i);
        let (line, _) = file.line_column(span.start);
        // Of an endless line only the part around the place.
        let (start, end) = if end - start > LONGEST_LINE {
            let near = floor(text, span.start.saturating_sub(LONGEST_LINE / 4)).max(start);
            (near, floor(text, near + LONGEST_LINE).min(end))
        } else {
            (start, end)
        };
        let from = floor(text, span.start) - start;
        let to = floor(text, span.end.min(end)).max(floor(text, span.start)) - start;
        (harmless(&file.name), harmless(&text[start..end]), line, from..to.max(from))
    });
    let name = problem.file.as_ref().map(|f| harmless(&f.name));
    if let Some((path, source, line, span)) = &cut {
        let span = span.start.min(source.len())..span.end.min(source.len());
        group = group
            .element(Snippet::source(source.as_str()).line_start(*line).path(path.as_str()).annotation(AnnotationKind::Primary.span(span)));
    } else if let Some(name) = &name {
        group = group.element(Level::NOTE.message(format!("in {name}")));
    }
    if let Some(help) = &help {
        group = group.element(Level::HELP.message(help.as_str()));
    }
    let renderer = if styled { Renderer::styled() } else { Renderer::plain() };
    renderer.render(&[group]).clone()
}

/// A message of a length that can be read: what a user wrote can stand in it whole.
fn shortened(text: &str) -> String {
    if text.chars().count() <= LONGEST_MESSAGE {
        return text.to_owned();
    }
    let half = LONGEST_MESSAGE / 2;
    let front: String = text.chars().take(half).collect();
    let back: String = text.chars().skip(text.chars().count() - half).collect();
    format!("{front} … {back}")
}

fn floor(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// Takes the sting out of control characters, and of those that turn the direction of writing, before a terminal or a reader
/// sees them. The length in bytes stays the same.
pub(crate) fn harmless(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\n' => out.push(c),
            '\t' => out.push(' '),
            c if c.is_control() => out.extend(std::iter::repeat_n('?', c.len_utf8())),
            c if turns_writing(c) => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

/// Characters that show text in another order than it is written in: embeddings, overrides and isolates.
pub(crate) fn turns_writing(c: char) -> bool {
    matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// As [`harmless`], for text that is shown and no place is looked up in: what is taken out leaves a space.
pub(crate) fn harmless_lines(text: &str) -> String {
    // The marks of direction are no embeddings, and yet nobody types them into an answer.
    let mark = |c: char| matches!(c, '\u{200e}' | '\u{200f}' | '\u{61c}');
    text.chars().map(|c| if (c.is_control() && c != '\n') || turns_writing(c) || mark(c) { ' ' } else { c }).collect()
}

#[cfg(test)]
mod tests {
    use super::harmless;

    #[test]
    fn what_could_mislead_a_reader_is_replaced_and_lengths_stay() {
        for text in ["a\u{1b}[31mb", "\u{9b}31m", "x\u{202e}y\u{2066}z", "tab\there", "plain"] {
            let safe = harmless(text);
            assert_eq!(safe.len(), text.len());
            assert!(!safe.contains(['\u{1b}', '\u{9b}', '\u{202e}', '\u{2066}', '\t']));
        }
    }
}
