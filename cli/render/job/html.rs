//! The page as one HTML file: a sheet of paper for every surface and one for the job. Each sheet is carried alone, so that all it
//! needs stands on it, also what stands on another sheet. Nothing is fetched and nothing runs.

use super::{joined, line};
use crate::page::{Form, Item, Job, Part, Section, on_paper};
use crate::render::document::escaped;
use std::fmt::Write as _;

/// The whole job.
pub(crate) fn html(job: &Job) -> String {
    let job = &on_paper(job);
    let title = escaped(&job.title);
    let mut out = format!(
        "<!DOCTYPE html>\n<html lang=\"en-GB\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>{title}</title>\n<style>{STYLE}</style>\n\
         </head>\n<body>\n"
    );
    let head: Vec<String> = job.head.iter().map(|h| escaped(h)).collect();
    let foot = format!("<footer>{} {}</footer>\n", escaped(&job.closing), escaped(&job.rule_book));
    for sheet in &job.sheets {
        let _ = write!(
            out,
            "<article>\n<header><h1>{}</h1><p>{title}<br>{}</p></header>\n<div class=\"answer\"><p class=\"do\">{}</p>",
            escaped(&sheet.name),
            head.join("<br>"),
            escaped(&sheet.answer)
        );
        for line in [&sheet.why, &sheet.coats].into_iter().filter(|l| !l.is_empty()) {
            let _ = write!(out, "<p>{}</p>", escaped(line));
        }
        out.push_str("</div>\n<div class=\"body\">\n");
        sheet.sections.iter().for_each(|s| section(&mut out, s));
        let _ = write!(
            out,
            "</div>\n<p class=\"sign\"><span>Read by</span><span>In charge</span><span>Cleaned and checked on</span></p>\n{foot}</article>\n"
        );
    }
    if !job.shared.is_empty() {
        let head = head.join("<br>");
        let _ = write!(out, "<article>\n<header><h1>Once for the whole job</h1><p>{title}<br>{head}</p></header>\n<div class=\"body\">\n");
        job.shared.iter().for_each(|s| section(&mut out, s));
        let _ = write!(out, "</div>\n{foot}</article>\n");
    }
    out.push_str("</body>\n</html>\n");
    out
}

fn section(out: &mut String, section: &Section) {
    let class = match section.part {
        Part::Not => " class=\"not\"",
        Part::Stop => " class=\"stop\"",
        _ => "",
    };
    let _ = write!(out, "<section{class}>\n<h2>{}</h2>\n", escaped(&section.heading));
    match section.form {
        Form::Line => {
            let _ = writeln!(out, "<p>{}</p>", escaped(&line(&section.items)));
        }
        Form::Pairs if section.part == Part::Not => {
            out.push_str("<table>\n");
            for item in &section.items {
                let _ = writeln!(out, "<tr><th scope=\"row\">{}</th><td>{}</td></tr>", escaped(&item.head), escaped(&item.text));
            }
            out.push_str("</table>\n");
        }
        form => {
            let (open, close) = match form {
                Form::Numbered => ("<ol>", "</ol>"),
                Form::Ticks => ("<ul class=\"tick\">", "</ul>"),
                _ => ("<ul>", "</ul>"),
            };
            let _ = writeln!(out, "{open}");
            section.items.iter().for_each(|i| item(out, i, if form == Form::Pairs { ":" } else { "." }));
            let _ = writeln!(out, "{close}");
        }
    }
    out.push_str("</section>\n");
}

fn item(out: &mut String, item: &Item, parts: &str) {
    out.push_str("<li>");
    if item.head.is_empty() || item.text.is_empty() {
        out.push_str(&escaped(&joined(&item.head, &item.text)));
    } else {
        let stop = if item.head.ends_with(['.', '?', '!', ':']) { "" } else { parts };
        let _ = write!(out, "<b>{}{stop}</b> {}", escaped(&item.head), escaped(&item.text));
    }
    for under in &item.under {
        let _ = write!(out, "<br><small>{}</small>", escaped(under));
    }
    out.push_str("</li>\n");
}

const STYLE: &str = "
body { font: 15px/1.4 'Helvetica Neue', Arial, sans-serif; color: #111; background: #fff; margin: 0; }
article { max-width: 48rem; margin: 1.2rem auto 2.5rem; padding: 0 1rem; }
header { border-top: 6px solid #111; padding-top: .4rem; display: flex; justify-content: space-between; gap: 1rem; flex-wrap: wrap; }
h1 { font-size: 1.5rem; margin: 0; } h1::first-letter { text-transform: uppercase; }
header p { margin: .1rem 0 .5rem; font-size: .85rem; color: #333; }
.answer { border-left: 6px solid #111; background: #f1f1ee; padding: .5rem .8rem; }
.answer p { margin: .15rem 0; } .answer .do { font-weight: bold; font-size: 1.15rem; }
h2 { font-size: .95rem; margin: .9rem 0 .2rem; border-bottom: 1px solid #777; break-after: avoid; }
ol, ul { margin: .1rem 0; padding-left: 1.6rem; } li { margin: .12rem 0; break-inside: avoid; }
.tick { list-style: none; padding-left: 0; } .tick li { padding-left: 1.6rem; text-indent: -1.6rem; }
.tick li::before { content: ''; display: inline-block; width: .75rem; height: .75rem; border: 1.5px solid #111; margin-right: .7rem; }
table { border-collapse: collapse; width: 100%; } th, td { border-bottom: 1px solid #bbb; padding: .1rem .4rem .1rem 0; text-align: left; vertical-align: top; }
th { font-weight: 600; width: 55%; } .not th::before { content: '\\2715  '; } .stop { border: 2px solid #111; padding: 0 .7rem .4rem; margin-top: .9rem; }
.stop h2 { border: 0; margin-top: .3rem; } section p { margin: .1rem 0; overflow-wrap: anywhere; }
.sign { display: flex; gap: 1rem; margin: 1rem 0 .4rem; } .sign span { flex: 1; border-top: 1px solid #111; padding: .1rem 0; font-size: .75rem; margin-top: 1.6rem; }
footer { font-size: .72rem; color: #333; }
@page { margin: 5mm 6mm; }
@media print {
  body { font-size: 9pt; line-height: 1.08; } small { font-size: 9pt; } article { max-width: none; margin: 0; padding: 0; break-after: page; }
  article:last-of-type { break-after: auto; } .body { columns: 2; column-gap: 4mm; } header { padding-top: .05rem; border-top-width: 3px; }
  header p { font-size: 9pt; margin: 0; } h1 { font-size: 12pt; } h2 { margin: .2rem 0 0; font-size: 9pt; } section p { margin: 0; }
  ol, ul { margin: 0; padding-left: 1.1rem; } li { margin: 0; } th, td { padding: 0 .2rem 0 0; }
  .tick li { padding-left: 1rem; text-indent: -1rem; } .tick li::before { width: .5rem; height: .5rem; margin-right: .4rem; border-width: 1px; }
  .answer { padding: .1rem .5rem; border-left-width: 4px; } .answer p { margin: 0; } .answer .do { font-size: 10pt; }
  .stop { margin-top: .3rem; padding: 0 .4rem .1rem; border-width: 1.5px; } .stop h2 { margin: 0; }
  footer { font-size: 9pt; } .sign { margin: .15rem 0 0; } .sign span { margin-top: .7rem; font-size: 9pt; }
  .answer, .stop, tr { break-inside: avoid; }
}
";
