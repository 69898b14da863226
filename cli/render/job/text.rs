//! The page as text.

use super::{answer, coats, joined, rows, through};
use crate::page::{Form, Job, Part, Room, Section, Sheet};
use crate::render::Page;

/// The whole job.
pub(crate) fn text(job: &Job, page: &Page) -> String {
    let mut out = page.heading(&job.title).trim_start().to_owned();
    for head in &job.head {
        out.push_str(&page.paragraph("", "", head));
    }
    let mut earlier = Vec::new();
    for s in &job.sheets {
        sheet(&mut out, s, page, &mut earlier);
    }
    if !job.shared.is_empty() {
        out.push_str(&page.heading("Once for the whole job"));
        for s in &job.shared {
            section(&mut out, s, page, "", &mut earlier);
        }
    }
    out.push('\n');
    out.push_str(&page.paragraph("", "", &job.closing));
    out
}

/// What a sheet takes on a page of the usual width, after those before it.
pub(crate) fn room(before: &[Sheet], of: &Sheet) -> Room {
    let page = Page { width: 80, styled: false, all: false };
    let mut earlier = Vec::new();
    let mut out = String::new();
    for s in before {
        sheet(&mut out, s, &page, &mut earlier);
    }
    out.clear();
    sheet(&mut out, of, &page, &mut earlier);
    let words = out.split_whitespace().filter(|w| w.contains(char::is_alphanumeric)).count();
    Room { words, lines: out.lines().count() }
}

/// A paragraph for every surface.
pub(crate) fn brief(job: &Job, page: &Page) -> String {
    let mut out = page.heading(&job.title).trim_start().to_owned();
    for head in &job.head {
        out.push_str(&page.paragraph("", "", head));
    }
    for sheet in &job.sheets {
        let (says, why) = answer(sheet);
        let mut parts = vec![format!("{}: {says}", sheet.name), why.to_owned()];
        for s in &sheet.sections {
            if matches!(s.part, Part::Not | Part::Provided | Part::People) {
                let heads: Vec<&str> = s.items.iter().map(|i| i.head.as_str()).collect();
                parts.push(format!("{}: {}.", s.heading, heads.join("; ")));
            }
        }
        parts.retain(|p| !p.is_empty());
        out.push('\n');
        out.push_str(&page.paragraph("", "", &parts.join(" ")));
    }
    // What surfaces take for granted in common.
    for s in job.shared.iter().filter(|s| s.part == Part::Provided) {
        let heads: Vec<&str> = s.items.iter().map(|i| i.head.as_str()).collect();
        out.push('\n');
        out.push_str(&page.paragraph("", "", &format!("{}: {}.", s.heading, heads.join("; "))));
    }
    out.push('\n');
    out.push_str(&page.paragraph("", "", &job.closing));
    out
}

fn sheet(out: &mut String, sheet: &Sheet, page: &Page, earlier: &mut Vec<(String, Vec<String>)>) {
    out.push_str(&page.heading(&sheet.name));
    let (says, why) = answer(sheet);
    out.push_str(&page.paragraph("", "", &says));
    for line in [why, &coats(sheet)].into_iter().filter(|l| !l.is_empty()) {
        out.push_str(&page.paragraph("", "", line));
    }
    for s in &sheet.sections {
        section(out, s, page, &sheet.name, earlier);
    }
}

fn section(out: &mut String, section: &Section, page: &Page, sheet: &str, earlier: &mut Vec<(String, Vec<String>)>) {
    let rows = rows(section, sheet, earlier);
    if rows.is_empty() {
        return;
    }
    if section.form == Form::Line {
        let (on, off) = if page.styled { ("\x1b[1m", "\x1b[0m") } else { ("", "") };
        let set = page.paragraph("", "  ", &format!("{}: {}", section.heading, through(section)));
        // The heading is set off after wrapping, so that what is not seen takes no room.
        match set.strip_prefix(section.heading.as_str()) {
            Some(rest) => out.extend([on, &section.heading, off, rest]),
            None => out.push_str(&set),
        }
        return;
    }
    let mut heading = page.minor(&section.heading);
    // A page has to fit: sections follow each other without a gap.
    heading = heading.trim_start_matches('\n').to_owned();
    out.push_str(&heading);
    for (number, item) in &rows {
        let (mark, text) = match section.form {
            Form::Ticks => ("  [ ] ".to_owned(), joined(&item.head, &item.text)),
            // Steps counted together are a little wider.
            Form::Numbered => (format!(" {number:>2}. "), joined(&item.head, &item.text)),
            Form::Pairs => {
                ("  - ".to_owned(), if item.text.is_empty() { item.head.clone() } else { format!("{}: {}", item.head, item.text) })
            }
            Form::Points | Form::Line => ("  - ".to_owned(), joined(&item.head, &item.text)),
        };
        let rest = " ".repeat(mark.chars().count());
        out.push_str(&page.paragraph(&mark, &rest, &text));
        for under in &item.under {
            out.push_str(&page.paragraph(&rest, &rest, under));
        }
    }
}
