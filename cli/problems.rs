//! Showing diagnostics: the line, a caret, the advice. The only module that knows the renderer.

use crate::output::Output;
use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};
use engine::diagnostic::{Diagnostic, Severity};

/// The most that are shown at once.
const MOST: usize = 40;

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

fn render(problem: &Diagnostic, styled: bool) -> String {
    let level = match problem.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let message = harmless(&problem.message);
    let help = problem.help.as_deref().map(harmless);
    let mut group = level.primary_title(&message).elements(Vec::<annotate_snippets::Message<'_>>::new());
    // A line is cut out of the file here: the renderer would go through all of a large one.
    let cut = problem.file.as_ref().zip(problem.span.as_ref()).map(|(file, span)| {
        let text = &file.text;
        let start = text[..floor(text, span.start)].rfind('\n').map_or(0, |i| i + 1);
        let end = text[floor(text, span.start)..].find('\n').map_or(text.len(), |i| floor(text, span.start) + i);
        let (line, _) = file.line_column(span.start);
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

fn floor(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// Takes the sting out of control characters before a terminal sees them; lengths stay the same for ASCII.
pub(crate) fn harmless(text: &str) -> String {
    let sting = |c: char| (c.is_control() && c != '\n') || turns_text(c);
    text.chars()
        .map(|c| {
            if c == '\t' {
                ' '
            } else if sting(c) {
                '?'
            } else {
                c
            }
        })
        .collect()
}

/// Signs that are not seen and turn the direction of what follows, so that a screen would not show what a file says.
fn turns_text(c: char) -> bool {
    matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{200e}' | '\u{200f}' | '\u{061c}')
}

/// As [`harmless`], for text of several lines.
pub(crate) fn harmless_lines(text: &str) -> String {
    text.chars().map(|c| if (c.is_control() && c != '\n') || turns_text(c) { ' ' } else { c }).collect()
}
