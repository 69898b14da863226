//! The page as Markdown.

use super::{answer, coats, joined, rows, through};
use crate::page::{Form, Job, Section, on_paper};
use crate::render::markdown::plain;
use std::fmt::Write as _;

/// The whole job.
pub(crate) fn markdown(job: &Job) -> String {
    let job = &on_paper(job);
    let mut out = format!("# {}\n", plain(&job.title));
    for head in &job.head {
        let _ = writeln!(out, "\n{}", plain(head));
    }
    let mut earlier = Vec::new();
    for sheet in &job.sheets {
        let (says, why) = answer(sheet);
        let _ = writeln!(out, "\n## {}\n\n**{}**", plain(&sheet.name), plain(&says));
        for line in [why, &coats(sheet)].into_iter().filter(|l| !l.is_empty()) {
            let _ = writeln!(out, "\n{}", plain(line));
        }
        sheet.sections.iter().for_each(|s| section(&mut out, s, &sheet.name, &mut earlier));
    }
    if !job.shared.is_empty() {
        out.push_str("\n## Once for the whole job\n");
        job.shared.iter().for_each(|s| section(&mut out, s, "", &mut earlier));
    }
    let _ = writeln!(out, "\n{}\n\n{}", plain(&job.closing), plain(&job.rule_book));
    out
}

fn section(out: &mut String, section: &Section, sheet: &str, earlier: &mut Vec<(String, Vec<String>)>) {
    let rows = rows(section, sheet, earlier);
    if rows.is_empty() {
        return;
    }
    if section.form == Form::Line {
        let _ = writeln!(out, "\n**{}:** {}", plain(&section.heading), plain(&through(section)));
        return;
    }
    let _ = writeln!(out, "\n### {}\n", plain(&section.heading));
    for (number, item) in &rows {
        let text = plain(&joined(&item.head, &item.text));
        let _ = match section.form {
            Form::Ticks => writeln!(out, "- [ ] {text}"),
            Form::Numbered => writeln!(out, "{number}. {text}"),
            Form::Pairs if !item.text.is_empty() => writeln!(out, "- **{}**: {}", plain(&item.head), plain(&item.text)),
            _ => writeln!(out, "- {text}"),
        };
        for under in &item.under {
            let _ = writeln!(out, "  - {}", plain(under));
        }
    }
}
