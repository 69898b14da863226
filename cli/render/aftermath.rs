//! What to do about what has happened, as text and JSON.

use super::Page;
use super::shared::{Sources, law_of};
use ovolo_engine::aftermath::{Aftermath, CauseTold, Happening, Piece};
use ovolo_engine::pack::{Likely, Section};
use std::fmt::Write as _;
use unicode_width::UnicodeWidthStr;

/// The most questions that are put where not everything is shown.
const MOST_ASKED: usize = 4;

/// As JSON.
pub(crate) fn json(told: &Aftermath) -> String {
    serde_json::to_string_pretty(told).map_or_else(|e| format!("{{\"error\": \"{e}\"}}\n"), |text| text + "\n")
}

/// The heading of a part.
fn heading(section: Section) -> &'static str {
    match section {
        Section::Stop => "Stop or go on",
        Section::KeepOut => "Keep out",
        Section::MakeSafe => "Make it safe now",
        Section::Never => "Do not",
        Section::Extent => "Find out how far it went",
        Section::Clean => "Put it right, in this order",
        Section::Prove => "What shows that it is done",
        Section::Tell => "Tell",
        Section::Record => "Write down and keep",
        Section::Call => "Whom to call",
    }
}

/// How likely a cause is, as it stands behind it.
fn likely(cause: &CauseTold) -> &'static str {
    match cause.likely {
        _ if cause.pointed_to => "what is known points here",
        Likely::First => "the likeliest",
        Likely::Often => "often",
        Likely::Sometimes => "now and then",
    }
}

struct Writer<'p> {
    page: &'p Page,
    sources: Sources,
    out: String,
}

/// For reading.
pub(crate) fn text(told: &Aftermath, page: &Page) -> String {
    let mut writer = Writer { page, sources: Sources::default(), out: page.heading(&told.survey.title).trim_start().to_owned() };
    writer.out.push_str(&page.paragraph("", "", &law_of(&told.survey)));
    if told.happenings.is_empty() {
        let none = "Nothing has happened by this survey. What has goes into [[incident]], and what went wrong with a surface into \
                    [[surface.trouble]].";
        writer.out.push('\n');
        writer.out.push_str(&page.paragraph("", "", none));
    }
    for happening in &told.happenings {
        writer.happening(happening);
    }
    if page.all && !writer.sources.list().is_empty() {
        writer.out.push_str(&page.heading("Sources"));
        for (i, source) in writer.sources.list().to_vec().iter().enumerate() {
            writer.out.push_str(&page.point(&format!("{}: {source}", i + 1)));
        }
    }
    writer.out.push('\n');
    writer.out.push_str(&page.paragraph("", "", &told.defers));
    writer.out
}

/// One thing that has happened, by itself.
pub(crate) fn one(told: &Happening, page: &Page) -> String {
    let page = Page { all: false, ..*page };
    let mut writer = Writer { page: &page, sources: Sources::default(), out: String::new() };
    writer.happening(told);
    writer.out
}

impl Writer<'_> {
    fn point(&mut self, piece: &Piece) {
        let mut text = piece.says.clone();
        if self.page.all {
            let _ = write!(text, " [{}]", self.sources.number(&piece.source));
        }
        self.out.push_str(&self.page.point(&text));
    }

    /// The pieces of a part in order; what depends on the same thing stands together, where it is first told.
    fn pieces(&mut self, pieces: &[Piece]) {
        for (at, piece) in pieces.iter().enumerate() {
            let Some(on) = &piece.depends_on else {
                self.point(piece);
                continue;
            };
            let alike = |p: &&Piece| p.depends_on.as_ref() == Some(on);
            if pieces[..at].iter().any(|p| alike(&p)) {
                continue;
            }
            let together: Vec<&Piece> = pieces[at..].iter().filter(alike).collect();
            if together.len() == 1 {
                self.point(piece);
                continue;
            }
            let head = format!("If {on}:");
            self.out.push_str(&self.page.point(&head));
            for piece in together {
                let own = piece.says.strip_prefix(&head).unwrap_or(&piece.says).trim_start();
                let mut chars = own.chars();
                let mut text: String = chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect());
                if self.page.all {
                    let _ = write!(text, " [{}]", self.sources.number(&piece.source));
                }
                self.out.push_str(&self.page.under(&text));
            }
        }
    }

    /// A heading, over several lines where it is long.
    fn heading(&self, title: &str) -> String {
        if title.width() <= self.page.width {
            return self.page.heading(title);
        }
        format!("\n{}{}\n", self.page.paragraph("", "", title), "=".repeat(self.page.width))
    }

    fn happening(&mut self, told: &Happening) {
        let mut title = told.title.clone();
        if let Some(surface) = &told.surface {
            title = format!("{surface}: {title}");
        }
        if let Some(on) = &told.on {
            let since = if told.about == "trouble" { "since " } else { "" };
            let _ = write!(title, " ({since}{on})");
        }
        let mut chars = title.chars();
        let title = chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect());
        self.out.push_str(&self.heading(&title));
        for piece in told.answer.iter().chain(&told.first) {
            self.point(piece);
        }
        if told.see_above {
            self.out.push_str(&self.page.point("What is said above holds here too."));
        }
        if !told.taken.is_empty() {
            let text = format!("Taken to be so until it is known: {}.", told.taken.join("; "));
            self.out.push_str(&self.page.point(&text));
        }
        self.causes(&told.causes);
        for section in &told.sections {
            self.out.push_str(&self.page.minor(heading(section.part)));
            self.pieces(&section.pieces);
        }
        let most = if self.page.all { told.ask.len() } else { MOST_ASKED };
        if !told.ask.is_empty() {
            self.out.push_str(&self.page.minor("What would change this"));
            for asked in told.ask.iter().take(most) {
                self.out.push_str(&self.page.point(&asked.question));
            }
        }
    }

    fn causes(&mut self, causes: &[CauseTold]) {
        if causes.is_empty() {
            return;
        }
        self.out.push_str(&self.page.minor("What may be behind it"));
        for cause in causes {
            let mut head = format!("{} ({})", cause.title, likely(cause));
            if let Some(on) = &cause.depends_on {
                head = format!("{head}, if {on}");
            }
            if self.page.all {
                head = format!("{head}: {} [{}]", cause.grounds, self.sources.number(&cause.source));
            }
            self.out.push_str(&self.page.point(&head));
            self.out.push_str(&self.page.under(&format!("To tell: {}", cause.test)));
            self.out.push_str(&self.page.under(&format!("Next: {}", cause.next)));
            if let Some(never) = &cause.never {
                self.out.push_str(&self.page.under(&format!("Not: {never}")));
            }
        }
    }
}
