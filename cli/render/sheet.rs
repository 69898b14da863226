//! A reckoning as text and JSON.

use super::Page;
use ovolo_engine::advice::DEFERS;
use ovolo_engine::reckon::{Finding, Line, Sheet};
use serde::Serialize;
use unicode_width::UnicodeWidthStr;

/// The sheet and the line every answer ends with.
#[derive(Serialize)]
struct Answer<'s> {
    #[serde(flatten)]
    sheet: &'s Sheet,
    defers: &'static str,
}

/// As JSON.
pub(crate) fn json(sheet: &Sheet) -> String {
    serde_json::to_string_pretty(&Answer { sheet, defers: DEFERS }).map_or_else(|e| format!("{{\"error\": \"{e}\"}}\n"), |text| text + "\n")
}

/// Several as JSON.
pub(crate) fn all_json<'s>(sheets: impl Iterator<Item = &'s Sheet>) -> String {
    let answers: Vec<Answer<'s>> = sheets.map(|sheet| Answer { sheet, defers: DEFERS }).collect();
    serde_json::to_string_pretty(&answers).map_or_else(|e| format!("{{\"error\": \"{e}\"}}\n"), |text| text + "\n")
}

/// For reading.
pub(crate) fn text(sheet: &Sheet, page: &Page) -> String {
    drawn(sheet, None, page)
}

/// For reading, with a drawing of so many lines.
pub(crate) fn drawn(sheet: &Sheet, drawing: Option<&str>, page: &Page) -> String {
    let mut out = page.heading(&sheet.title).trim_start().to_owned();
    if !sheet.results.is_empty() {
        out.push('\n');
        lines(&sheet.results, false, page, &mut out);
    }
    if let Some(drawing) = drawing.filter(|d| !d.is_empty()) {
        out.push('\n');
        out.push_str(drawing);
    }
    if !sheet.findings.is_empty() {
        out.push_str(&page.minor("What it means"));
        for finding in &sheet.findings {
            out.push_str(&page.point(&said(finding)));
        }
    }
    out.push_str(&page.minor("Reckoned from"));
    lines(&sheet.from, true, page, &mut out);
    if !sheet.formulas.is_empty() {
        out.push_str(&page.minor("How"));
        for formula in &sheet.formulas {
            out.push_str(&page.point(formula));
        }
    }
    if !sheet.cautions.is_empty() {
        out.push_str(&page.minor("Mind"));
        for caution in &sheet.cautions {
            out.push_str(&page.point(&said(caution)));
        }
    }
    out.push('\n');
    out.push_str(&page.paragraph("", "", DEFERS));
    out
}

fn said(finding: &Finding) -> String {
    let word = finding.standing.word();
    let mut text = if word.is_empty() { finding.says.clone() } else { format!("{word}: {}", finding.says) };
    if let Some(source) = &finding.source {
        text.push_str(" [");
        text.push_str(source);
        text.push(']');
    }
    text
}

/// Names in one column, figures in the next; long names take a line of their own.
fn lines(lines: &[Line], sources: bool, page: &Page, out: &mut String) {
    let widest = lines.iter().map(|l| l.name.width()).max().unwrap_or(0).min(page.width / 2);
    for line in lines {
        let mut value = line.text.clone();
        if let Some(source) = line.source.as_ref().filter(|_| sources) {
            value = format!("{value} [{source}]");
        }
        let rest = " ".repeat(widest + 4);
        if line.name.width() <= widest {
            let gap = " ".repeat(widest - line.name.width());
            out.push_str(&page.paragraph(&format!("  {}{gap}  ", line.name), &rest, &value));
        } else {
            out.push_str(&page.paragraph("  ", "  ", &line.name));
            out.push_str(&page.paragraph(&rest, &rest, &value));
        }
    }
}
