//! A plan of work as text, Markdown and JSON.

use super::Page;
use super::markdown::plain;
use super::shared::{Sources, law_of, provided};
use ovolo_engine::advice::Notice;
use ovolo_engine::approach::Plan;
use ovolo_engine::approach::shape::{Compared, Programme, Quantity, StageTold, StepTold, SurfacePlan, Turn};
use ovolo_engine::finding::{Ruling, Status};
use ovolo_engine::reckon::{Line, Sheet};
use ovolo_engine::words;
use std::collections::BTreeSet;
use std::fmt::Write as _;
use unicode_width::UnicodeWidthStr;

/// Reckonings that have a command of their own.
const ON_THEIR_OWN: [&str; 8] = ["remover", "labour", "sheeting", "run-off", "neutraliser", "lead", "fire-watch", "air"];

/// As JSON.
pub(crate) fn json(plan: &Plan) -> String {
    serde_json::to_string_pretty(plan).map_or_else(|e| format!("{{\"error\": \"{e}\"}}\n"), |text| text + "\n")
}

/// What the two ways of showing have in common.
trait Sink {
    fn heading(&mut self, text: &str);
    fn minor(&mut self, text: &str);
    fn line(&mut self, text: &str);
    fn point(&mut self, text: &str);
    fn under(&mut self, text: &str);
    fn table(&mut self, head: &[&str], rows: &[Vec<String>]);
}

struct Text<'p> {
    page: &'p Page,
    out: String,
}

impl Sink for Text<'_> {
    fn heading(&mut self, text: &str) {
        self.out.push_str(&self.page.heading(text));
    }

    fn minor(&mut self, text: &str) {
        self.out.push_str(&self.page.minor(text));
    }

    fn line(&mut self, text: &str) {
        self.out.push_str(&self.page.paragraph("", "", text));
    }

    fn point(&mut self, text: &str) {
        self.out.push_str(&self.page.point(text));
    }

    fn under(&mut self, text: &str) {
        self.out.push_str(&self.page.under(text));
    }

    fn table(&mut self, head: &[&str], rows: &[Vec<String>]) {
        let width = |column: usize| rows.iter().map(|r| r[column].width()).chain([head[column].width()]).max().unwrap_or(0);
        let widths: Vec<usize> = (0..head.len()).map(width).collect();
        if widths.iter().sum::<usize>() + 2 * head.len() + 2 > self.page.width {
            // Too wide for the page: a list says the same.
            for row in rows {
                let cells: Vec<String> = head.iter().zip(row).skip(1).map(|(h, c)| format!("{h} {c}")).collect();
                self.point(&format!("{}: {}", row[0], cells.join("; ")));
            }
            return;
        }
        let mut line = |cells: Vec<&str>| {
            let mut text = "  ".to_owned();
            for (cell, width) in cells.iter().zip(&widths) {
                let _ = write!(text, "{}{}  ", cell, " ".repeat(width - cell.width()));
            }
            let _ = writeln!(self.out, "{}", crate::problems::harmless(text.trim_end()));
        };
        line(head.to_vec());
        for row in rows {
            line(row.iter().map(String::as_str).collect());
        }
    }
}

#[derive(Default)]
struct Mark {
    out: String,
}

impl Sink for Mark {
    fn heading(&mut self, text: &str) {
        let _ = writeln!(self.out, "\n## {}\n", plain(text));
    }

    fn minor(&mut self, text: &str) {
        let _ = writeln!(self.out, "\n### {}\n", plain(text));
    }

    fn line(&mut self, text: &str) {
        let _ = writeln!(self.out, "{}\n", plain(text));
    }

    fn point(&mut self, text: &str) {
        let _ = writeln!(self.out, "- {}", plain(text));
    }

    fn under(&mut self, text: &str) {
        let _ = writeln!(self.out, "  - {}", plain(text));
    }

    fn table(&mut self, head: &[&str], rows: &[Vec<String>]) {
        let _ = writeln!(self.out, "| {} |\n|{}", head.join(" | "), " --- |".repeat(head.len()));
        for row in rows {
            let cells: Vec<String> = row.iter().map(|c| plain(c)).collect();
            let _ = writeln!(self.out, "| {} |", cells.join(" | "));
        }
    }
}

/// For reading.
pub(crate) fn text(plan: &Plan, page: &Page) -> String {
    let mut sink = Text { page, out: page.heading(&plan.survey.title).trim_start().to_owned() };
    Writer { sink: &mut sink, all: page.all, sources: Sources::default(), minded: BTreeSet::new(), shown: BTreeSet::new() }.plan(plan);
    sink.out
}

/// For documents.
pub(crate) fn markdown(plan: &Plan, all: bool) -> String {
    let mut sink = Mark { out: format!("# {}\n\n", plain(&plan.survey.title)) };
    Writer { sink: &mut sink, all, sources: Sources::default(), minded: BTreeSet::new(), shown: BTreeSet::new() }.plan(plan);
    sink.out
}

struct Writer<'s, S: Sink> {
    sink: &'s mut S,
    all: bool,
    sources: Sources,
    /// What was said to be minded on this surface, with the calculator that said it.
    minded: BTreeSet<(&'static str, String)>,
    /// What was said beside the steps that numbers were reckoned from.
    shown: BTreeSet<String>,
}

impl<S: Sink> Writer<'_, S> {
    fn plan(mut self, plan: &Plan) {
        self.sink.line(&law_of(&plan.survey));
        for surface in &plan.surfaces {
            self.surface(surface);
        }
        self.programme(&plan.programme);
        if !self.sources.list().is_empty() {
            self.sink.heading("Sources");
            for (i, source) in self.sources.list().to_vec().iter().enumerate() {
                self.sink.point(&format!("{}: {source}", i + 1));
            }
            self.sink.line("");
        }
        self.sink.line(&plan.defers);
    }

    fn surface(&mut self, surface: &SurfacePlan) {
        self.sink.heading(&surface.name);
        self.minded.clear();
        if let Some(why) = &surface.none_yet {
            self.sink.line(&format!("No approach: {why}."));
            return;
        }
        let Some(told) = surface.told else { return };
        let approach = &surface.approaches[told - 1];
        let hold = if approach.on_hold { " Only once its hold points are released." } else { "" };
        self.sink.line(&format!("Approach {told} of {}: {}{}.{hold}", surface.approaches.len(), approach.says, provided(approach)));
        let mut costs: Vec<String> = Vec::new();
        for w in &approach.weighed {
            let source = w.source.as_ref().map_or_else(String::new, |s| format!(" [{}]", self.sources.number(s)));
            costs.push(format!("{} {}{source}", w.part, ovolo_engine::quantity::plain((w.cost * 100.0).round() / 100.0)));
        }
        self.sink.line(&format!("Weighed in this order, less being better: {}.", costs.join("; ")));
        for may in &surface.may_stay {
            let number = self.sources.number(&may.source);
            self.sink.line(&format!("{} [{number}]", may.says));
        }
        if surface.comparison.len() > 1 {
            self.comparison(&surface.comparison);
        }
        for stage in &surface.stages {
            self.stage(stage);
        }
    }

    fn comparison(&mut self, rows: &[Compared]) {
        self.sink.minor("Approaches compared");
        let figure =
            |c: &Compared, name: &str| c.figures.iter().find(|l| l.name == name).map_or_else(|| "not known".to_owned(), |l| l.text.clone());
        let table: Vec<Vec<String>> = rows
            .iter()
            .map(|c| {
                vec![
                    c.approach.to_string(),
                    figure(c, "attended hours"),
                    figure(c, "waiting"),
                    ovolo_engine::quantity::plain((c.hazard * 100.0).round() / 100.0),
                    format!("{} ({})", c.conditions, ovolo_engine::quantity::plain((c.burden * 10.0).round() / 10.0)),
                    figure(c, "waste"),
                ]
            })
            .collect();
        self.sink.table(&["", "attended", "waiting", "hazard, 0 to 1", "conditions (trouble)", "waste"], &table);
        for c in rows {
            self.sink.point(&format!("{}: {}", c.approach, c.says));
        }
        // What the steps below do not show: the figures of the other approaches.
        let mut from: Vec<String> = Vec::new();
        for line in rows.iter().flat_map(|c| &c.from) {
            let told = self.given(line);
            if !from.contains(&told) {
                from.push(told);
            }
        }
        if !from.is_empty() {
            self.sink.point(&format!("reckoned from {}", from.join("; ")));
        }
        let mut missing: Vec<&str> = rows.iter().flat_map(|c| &c.missing).map(String::as_str).collect();
        missing.sort_unstable();
        missing.dedup();
        if !missing.is_empty() {
            self.sink.point(&format!("for the rest is missing: {}", missing.join("; ")));
        }
    }

    fn stage(&mut self, stage: &StageTold) {
        let shown: Vec<&StepTold> = stage.steps.iter().collect();
        let notices: Vec<&Notice> =
            stage.notices.iter().filter(|n| n.status == Status::Applies || self.all || n.ruling == Ruling::Hold).collect();
        if shown.is_empty() && notices.is_empty() && stage.conditions.is_empty() && stage.caution.is_none() {
            return;
        }
        match &stage.method {
            Some(method) => self.sink.minor(&format!("{} ({method})", stage.title)),
            None => self.sink.minor(&stage.title),
        }
        for step in shown {
            self.step(step);
        }
        if !stage.conditions.is_empty() {
            let mut says: Vec<String> = Vec::new();
            for c in &stage.conditions {
                let grounds: Vec<String> = if c.says.contains(|c: char| c.is_ascii_digit()) {
                    c.sources.iter().map(|s| self.sources.number(s)).collect()
                } else {
                    Vec::new()
                };
                says.push(if grounds.is_empty() { c.says.clone() } else { format!("{} [{}]", c.says, grounds.join("; ")) });
            }
            self.sink.point(&format!("on condition: {}", says.join("; ")));
        }
        if let Some(caution) = &stage.caution {
            self.sink.point(&format!("caution: {caution}"));
        }
        for notice in notices {
            let word = match (notice.ruling, notice.status) {
                (ruling, Status::Open) => format!("{ruling}, if it turns out so: "),
                (Ruling::Note, _) => String::new(),
                (ruling, _) => format!("{ruling}: "),
            };
            let instead = notice.instead.as_ref().map_or_else(String::new, |i| format!(" {i}"));
            let ground = self.sources.ground(notice);
            self.sink.point(&format!("{word}{}{instead} [{ground}]", notice.says));
        }
        let open = stage.notices.iter().filter(|n| n.status == Status::Open && n.ruling != Ruling::Hold).count();
        if open > 0 && !self.all {
            self.sink.point(&format!("and {open} that depend on what is not known yet: see them with --all"));
        }
    }

    fn step(&mut self, step: &StepTold) {
        let number = self.sources.number(&step.source);
        let open = if step.status == Status::Open && !step.depends_on.is_empty() {
            format!(" (if it turns out so: depends on {})", words::list(&step.depends_on, "and"))
        } else {
            String::new()
        };
        let title = upper(&step.title);
        self.sink.point(&format!("{title}{open}. {} [{number}]", step.says));
        if let Some(waits) = &step.waits {
            let number = self.sources.number(waits.source.as_deref().unwrap_or("common practice"));
            self.sink.under(&format!("waiting: {} ({}) [{number}]", waits.text, waits.name));
        }
        for quantity in &step.quantities {
            self.quantity(quantity);
        }
    }

    fn quantity(&mut self, quantity: &Quantity) {
        let Some(sheet) = &quantity.reckoned else {
            let missing = quantity.missing.as_deref().unwrap_or("something");
            self.sink.under(&format!("{}: not reckoned: {missing}", quantity.kind));
            return;
        };
        let results: Vec<String> = sheet.results.iter().map(|l| format!("{} {}", l.name, l.text)).collect();
        let from: Vec<String> = sheet.from.iter().map(|line| self.given(line)).collect();
        self.shown.extend(from.iter().cloned());
        self.sink.under(&format!("{}: {}", quantity.kind, results.join("; ")));
        if !from.is_empty() {
            let on_its_own = if ON_THEIR_OWN.contains(&sheet.reckon) { format!(" (ovolo reckon {})", sheet.reckon) } else { String::new() };
            self.sink.under(&format!("reckoned from {}{on_its_own}", from.join("; ")));
        }
        for finding in &sheet.findings {
            let ground = finding.source.as_ref().map_or_else(String::new, |s| format!(" [{}]", self.sources.number(s)));
            self.sink.under(&format!("{}{ground}", finding.says));
        }
        self.mind(sheet);
    }

    /// What a number was reckoned from, and where that comes from.
    fn given(&mut self, line: &Line) -> String {
        let source = match line.source.as_deref() {
            None | Some("given") => "given".to_owned(),
            // What was itself reckoned says how, where it stands.
            Some(source) if source.starts_with("reckoned") => source.to_owned(),
            Some(source) => self.sources.number(source),
        };
        format!("{} {} [{source}]", line.name, line.text)
    }

    /// What a reckoning says is to be minded, each thing where it first belongs on a surface.
    fn mind(&mut self, sheet: &Sheet) {
        for caution in &sheet.cautions {
            if self.minded.insert((sheet.reckon, caution.says.clone())) {
                let ground = caution.source.as_ref().map_or_else(String::new, |s| format!(" [{}]", self.sources.number(s)));
                self.sink.under(&format!("mind: {}{ground}", caution.says));
            }
        }
    }

    fn programme(&mut self, programme: &Programme) {
        self.sink.heading("Programme");
        self.minded.clear();
        let people = if programme.people == 1.0 { "one person".to_owned() } else { format!("{} people", programme.people) };
        let from = match &programme.starts {
            Some(day) => format!("From {day}"),
            None => "From day 1, no date being stated".to_owned(),
        };
        self.sink.line(&format!("{from}; {people}; {}; {}.", programme.week, programme.day));
        if !programme.first.is_empty() {
            self.sink.minor("Before the first day");
            for first in &programme.first {
                self.sink.point(first);
            }
        }
        self.sink.minor("Order of work");
        if programme.turns.is_empty() {
            self.sink.point("nothing can be planned yet");
        }
        for (i, turn) in programme.turns.iter().enumerate() {
            self.turn(i + 1, turn);
        }
        for not in &programme.not_planned {
            self.sink.point(&format!("not planned yet: {}", not.says));
        }
        if !programme.whole.is_empty() {
            let whole: Vec<String> = programme.whole.iter().map(|l| self.cited(l)).collect();
            self.sink.point(&format!("in all: {}", whole.join("; ")));
        }
        for remark in &programme.remarks {
            self.sink.point(remark);
        }
        if !programme.gates.is_empty() {
            self.sink.minor("Gates of the weather");
            for gate in &programme.gates {
                let number = self.sources.number(&gate.source);
                let open = if gate.status == Status::Open { ", if it turns out so" } else { "" };
                self.sink.point(&format!(
                    "{} ({}{open}): {} [{number}]",
                    upper(&gate.title),
                    words::list(&gate.surfaces, "and"),
                    gate.says
                ));
            }
        }
        if !programme.heat.is_empty() {
            self.sink.minor("Last heat of the day");
            for heat in &programme.heat {
                match &heat.reckoned {
                    Some(sheet) => {
                        let told: Vec<String> = sheet.results.iter().map(|l| format!("{} {}", l.name, l.text)).collect();
                        self.sink.point(&format!("{}: {}", heat.method, told.join("; ")));
                        let from: Vec<String> = sheet.from.iter().map(|l| self.given(l)).collect();
                        self.sink.under(&format!("reckoned from {}", from.join("; ")));
                        for finding in &sheet.findings {
                            self.sink.under(&finding.says);
                        }
                        self.mind(sheet);
                    }
                    None => self.sink.point(&format!("{}: not reckoned: {}", heat.method, heat.missing.as_deref().unwrap_or(""))),
                }
            }
        }
    }

    fn cited(&mut self, line: &Line) -> String {
        let source = line.source.as_ref().map_or_else(String::new, |s| format!(" [{}]", self.sources.number(s)));
        format!("{} {}{source}", line.name, line.text)
    }

    fn turn(&mut self, number: usize, turn: &Turn) {
        let hold = if turn.on_hold { ", once released" } else { "" };
        self.sink.point(&format!("{number}: {}{hold}: {}", turn.surface, turn.approach));
        if !turn.because.is_empty() {
            let because: Vec<String> = turn.because.iter().map(|b| format!("{} [{}]", b.says, self.sources.number(&b.source))).collect();
            self.sink.under(&because.join("; "));
        }
        let mut told: Vec<String> = turn.figures.iter().map(|l| self.cited(l)).collect();
        let more: Vec<String> = turn.from.iter().map(|l| self.given(l)).collect();
        told.extend(turn.missing.iter().map(|m| format!("not reckoned: {m}")));
        if !told.is_empty() {
            self.sink.under(&told.join("; "));
        }
        // What stands beside the steps is not said again.
        let beside = more.iter().any(|m| self.shown.contains(m));
        let mut parts: Vec<String> = if beside { vec!["what stands beside its steps".to_owned()] } else { Vec::new() };
        parts.extend(more.into_iter().filter(|m| !self.shown.contains(m)));
        if !parts.is_empty() {
            self.sink.under(&format!("reckoned from {}", parts.join("; ")));
        }
    }
}

fn upper(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}
