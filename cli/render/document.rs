//! A document of headings, paragraphs, lists and tables, written as HTML that prints well or as Markdown. Both escape
//! everything: nothing of a pack is taken as markup.

use crate::problems::harmless;
use std::fmt::Write as _;

/// A piece of a document.
#[derive(Debug, Clone)]
pub(crate) enum Block {
    /// A heading of level 1 to 4, and the name by which it can be pointed at.
    Heading(u8, String, String),
    /// A paragraph.
    Text(String),
    /// A paragraph that stands out: what a rule comes to.
    Stress(String),
    /// A list.
    List(Vec<String>),
    /// A table: headings and rows.
    Table(Vec<String>, Vec<Vec<String>>),
    /// Terms, each with the headings it points at: name and text.
    Index(Vec<(String, Vec<(String, String)>)>),
}

/// A document.
#[derive(Debug, Clone, Default)]
pub(crate) struct Document {
    pub(crate) title: String,
    pub(crate) blocks: Vec<Block>,
}

impl Document {
    pub(crate) fn heading(&mut self, level: u8, name: impl Into<String>, text: impl Into<String>) {
        self.blocks.push(Block::Heading(level, name.into(), text.into()));
    }

    pub(crate) fn text(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Text(text.into()));
    }

    pub(crate) fn stress(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Stress(text.into()));
    }

    /// A list; none where there is nothing in it.
    pub(crate) fn list(&mut self, points: Vec<String>) {
        if !points.is_empty() {
            self.blocks.push(Block::List(points));
        }
    }

    /// A table; none where there is nothing in it.
    pub(crate) fn table(&mut self, columns: &[&str], rows: Vec<Vec<String>>) {
        if !rows.is_empty() {
            self.blocks.push(Block::Table(columns.iter().map(|c| (*c).to_owned()).collect(), rows));
        }
    }

    /// The headings of levels 1 and 2, for the table of contents.
    fn contents(&self) -> impl Iterator<Item = (u8, &str, &str)> {
        self.blocks.iter().filter_map(|b| match b {
            Block::Heading(level @ 1..=2, name, text) => Some((*level, name.as_str(), text.as_str())),
            _ => None,
        })
    }

    /// As one HTML file: no scripts, nothing fetched, and a policy that says so.
    pub(crate) fn html(&self) -> String {
        let title = escaped(&self.title);
        let mut out = format!(
            "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
             <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n\
             <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>{title}</title>\n<style>{STYLE}</style>\n\
             </head>\n<body>\n<h1>{title}</h1>\n<nav aria-label=\"Contents\">\n<h2>Contents</h2>\n<ul>\n"
        );
        for (level, name, text) in self.contents() {
            let class = if level == 2 { " class=\"inner\"" } else { "" };
            let _ = writeln!(out, "<li{class}><a href=\"#{}\">{}</a></li>", anchor(name), escaped(text));
        }
        out.push_str("</ul>\n</nav>\n<main>\n");
        for block in &self.blocks {
            html(&mut out, block);
        }
        out.push_str("</main>\n</body>\n</html>\n");
        out
    }

    /// As Markdown.
    pub(crate) fn markdown(&self) -> String {
        let mut out = format!("# {}\n\n", plain(&self.title));
        for (level, name, text) in self.contents() {
            let _ = writeln!(out, "{}- [{}](#{})", "  ".repeat(usize::from(level) - 1), plain(text), anchor(name));
        }
        out.push('\n');
        for block in &self.blocks {
            markdown(&mut out, block);
        }
        out
    }
}

fn html(out: &mut String, block: &Block) {
    match block {
        Block::Heading(level, name, text) => {
            let level = level + 1;
            let _ = writeln!(out, "<h{level} id=\"{}\">{}</h{level}>", anchor(name), escaped(text));
        }
        Block::Text(text) => {
            let _ = writeln!(out, "<p>{}</p>", escaped(text));
        }
        Block::Stress(text) => {
            let _ = writeln!(out, "<p class=\"stress\">{}</p>", escaped(text));
        }
        Block::List(points) => {
            out.push_str("<ul>\n");
            for point in points {
                let _ = writeln!(out, "<li>{}</li>", escaped(point));
            }
            out.push_str("</ul>\n");
        }
        Block::Table(columns, rows) => {
            out.push_str("<table>\n<thead><tr>");
            for column in columns {
                let _ = write!(out, "<th scope=\"col\">{}</th>", escaped(column));
            }
            out.push_str("</tr></thead>\n<tbody>\n");
            for row in rows {
                out.push_str("<tr>");
                for cell in row {
                    let _ = write!(out, "<td>{}</td>", escaped(cell));
                }
                out.push_str("</tr>\n");
            }
            out.push_str("</tbody>\n</table>\n");
        }
        Block::Index(terms) => {
            out.push_str("<dl class=\"index\">\n");
            for (term, places) in terms {
                let links: Vec<String> =
                    places.iter().map(|(name, text)| format!("<a href=\"#{}\">{}</a>", anchor(name), escaped(text))).collect();
                let _ = writeln!(out, "<dt>{}</dt><dd>{}</dd>", escaped(term), links.join(", "));
            }
            out.push_str("</dl>\n");
        }
    }
}

fn markdown(out: &mut String, block: &Block) {
    match block {
        Block::Heading(level, name, text) => {
            let _ = writeln!(out, "\n<a id=\"{}\"></a>\n\n{} {}\n", anchor(name), "#".repeat(usize::from(*level) + 1), plain(text));
        }
        Block::Text(text) => {
            let _ = writeln!(out, "{}\n", plain(text));
        }
        Block::Stress(text) => {
            let _ = writeln!(out, "**{}**\n", plain(text));
        }
        Block::List(points) => {
            for point in points {
                let _ = writeln!(out, "- {}", plain(point));
            }
            out.push('\n');
        }
        Block::Table(columns, rows) => {
            let line = |cells: &[String]| format!("| {} |\n", cells.iter().map(|c| plain(c)).collect::<Vec<_>>().join(" | "));
            let _ = writeln!(out, "{}|{}", line(columns), " --- |".repeat(columns.len()));
            for row in rows {
                out.push_str(&line(row));
            }
            out.push('\n');
        }
        Block::Index(terms) => {
            for (term, places) in terms {
                let links: Vec<String> = places.iter().map(|(name, text)| format!("[{}](#{})", plain(text), anchor(name))).collect();
                let _ = writeln!(out, "- {}: {}", plain(term), links.join(", "));
            }
            out.push('\n');
        }
    }
}

/// A name that can stand in an address and an attribute as it is.
fn anchor(name: &str) -> String {
    name.chars().map(|c| if c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.') { c } else { '-' }).collect()
}

/// Text that HTML takes as text.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in harmless(text).chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c => out.push(c),
        }
    }
    out
}

/// Text that Markdown takes as text.
fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in harmless(text).chars() {
        match c {
            '|' | '*' | '_' | '`' | '<' | '>' | '#' | '[' | ']' | '\\' | '~' | '!' | '&' => {
                out.push('\\');
                out.push(c);
            }
            '\n' => out.push(' '),
            c => out.push(c),
        }
    }
    // What begins a line must not begin a list, a quotation or a rule.
    match out.chars().next() {
        Some('-' | '+' | '=') => format!("\\{out}"),
        _ => out,
    }
}

const STYLE: &str = "
body { font: 16px/1.45 Georgia, 'Times New Roman', serif; color: #1b1b1b; background: #fff; max-width: 50rem; margin: 2rem auto; padding: 0 1rem; }
h1, h2, h3, h4, h5 { font-family: 'Helvetica Neue', Arial, sans-serif; line-height: 1.2; margin: 1.6em 0 .4em; break-after: avoid; }
h2 { border-bottom: 2px solid #555; padding-bottom: .15em; }
h3 { border-bottom: 1px solid #aaa; }
h4 { margin-top: 1.8em; }
p, li, dd { overflow-wrap: anywhere; }
.stress { border-left: 4px solid #555; padding-left: .8em; }
nav li { list-style: none; } nav ul { padding-left: 0; } nav .inner { padding-left: 1.5em; }
a { color: #123a6b; }
table { border-collapse: collapse; width: 100%; margin: .6em 0; font-size: .9em; }
th, td { border: 1px solid #999; padding: .25em .5em; text-align: left; vertical-align: top; overflow-wrap: anywhere; }
th { background: #eee; }
.index dt { font-weight: bold; break-after: avoid; } .index dd { margin: 0 0 .4em 1.2em; }
@page { margin: 18mm; }
@media print {
  body { font-size: 10.5pt; max-width: none; margin: 0; }
  a { color: inherit; text-decoration: none; }
  h2 { break-before: page; } nav h2 { break-before: auto; }
  tr, li, .stress { break-inside: avoid; }
  thead { display: table-header-group; }
}
";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_taken_as_markup() {
        let mut document = Document { title: "<script>alert(1)</script>".to_owned(), blocks: Vec::new() };
        document.heading(1, "x\" onclick=\"y", "a & b <b>");
        document.table(&["<i>"], vec![vec!["' \" </td>".to_owned()]]);
        document.text("- [x](javascript:y) ![z](w) **q** \u{202e}r \u{1b}[31m");
        let html = document.html();
        assert!(!html.contains("<script") && !html.contains("<b>") && !html.contains("<i>") && !html.contains("onclick=\"y"), "{html}");
        assert!(html.contains("&lt;script&gt;") && html.contains("&#39; &quot; &lt;/td&gt;"));
        let markdown = document.markdown();
        assert!(markdown.contains("\\<script\\>") && markdown.contains("\\- \\[x\\](javascript:y) \\!\\[z\\](w)"), "{markdown}");
        assert!(![html, markdown].concat().contains(['\u{202e}', '\u{1b}']));
    }
}
