//! `ovolo rules try`.

use crate::args::TryCases;
use crate::commands::refuse;
use crate::exit::Exit;
use crate::files::{self, Loaded};
use crate::output::Output;
use crate::problems::harmless;
use crate::render::Page;
use ovolo_engine::cases::{Tried, try_case, why};
use ovolo_engine::diagnostic::Diagnostic;
use ovolo_engine::exercise::{Exercised, exercise_some};
use ovolo_engine::pack::{Case, RuleBook};
use ovolo_engine::words;
use ovolo_engine::workshop::{Seal, changed_since};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// The most lines of a walked tree that are shown for one rule in one case.
const MOST_LINES: usize = 40;

pub(crate) fn try_cases(args: &TryCases, given: &[PathBuf], output: &mut Output) -> Result<Exit, Exit> {
    let Loaded { book, about } = files::workshop_book(given, &args.folders, output)?;
    let packs: Vec<&str> = about.iter().map(String::as_str).collect();
    let own = |pack: &String| packs.contains(&pack.as_str());
    let page = Page::new(output, false);
    let mut text = String::new();
    let all: Vec<usize> = (0..book.cases.len()).filter(|i| own(&book.cases[*i].pack)).collect();
    let chosen = match &args.changed_since {
        Some(path) => {
            let seal = sealed(path, output)?;
            let changed = changed_since(&seal, &book, &packs);
            text.push_str(&page.paragraph("", "", &since(&changed)));
            changed.cases
        }
        None => all.clone(),
    };
    let mut wrong = 0;
    for index in &chosen {
        let case = &book.cases[*index];
        let tried = try_case(case, &book);
        if !tried.wrong.is_empty() {
            wrong += 1;
            failure(&mut text, case, &tried, &book, &page);
        }
    }
    if wrong > 0 {
        text.push('\n');
    }
    text.push_str(&page.paragraph("", "", &told(all.len(), chosen.len(), wrong)));
    if args.changed_since.is_none() && !all.is_empty() {
        let exercised = exercise_some(&book, |rule| own(&rule.pack));
        coverage(&mut text, &exercised, &page, args.all);
    }
    output.result(&text);
    Ok(if wrong == 0 { Exit::Suited } else { Exit::NotSo })
}

fn sealed(path: &Path, output: &mut Output) -> Result<Seal, Exit> {
    let text = files::read_text(path).map_err(|problem| refuse(problem, output))?;
    Seal::read(&text).map_err(|why| {
        let problem = Diagnostic::error(format!("`{}` is not a seal: {why}", path.display()));
        refuse(problem.help("make one with `ovolo rules seal FOLDER -o rules.seal`"), output)
    })
}

/// What has changed, in a sentence.
fn since(changed: &ovolo_engine::workshop::Changed) -> String {
    if changed.vocabulary {
        return "Facts, entries or grades have changed since the seal, so every case is tried.".to_owned();
    }
    match changed.rules.len() {
        0 => "No rule has changed since the seal; only cases that are new or re-worded are tried.".to_owned(),
        n if n > 8 => format!("{n} rules have changed since the seal."),
        _ => {
            let names: Vec<String> = changed.rules.iter().map(|id| format!("`{id}`")).collect();
            format!("Changed since the seal: {}.", words::list(&names, "and"))
        }
    }
}

fn told(all: usize, tried: usize, wrong: usize) -> String {
    let cases = |n: usize| if n == 1 { "1 worked case".to_owned() } else { format!("{n} worked cases") };
    let of = if tried == all { cases(all) } else { format!("{tried} of {}", cases(all)) };
    match (all, wrong) {
        (0, _) => "There are no worked cases. Add a [[case]] beside each rule: ovolo rules new FOLDER shows how.".to_owned(),
        (_, 0) => format!("{of} tried, all as they should be."),
        (_, 1) => format!("{of} tried; 1 is not as it should be."),
        (_, n) => format!("{of} tried; {n} are not as they should be."),
    }
}

/// A case that did not come out as it should: where it stands, what is wrong, and how it came to that.
fn failure(text: &mut String, case: &Case, tried: &Tried, book: &RuleBook, page: &Page) {
    let (line, _) = case.place.file.line_column(case.place.span.start);
    let _ = writeln!(text, "\n{}:{line}", harmless(&case.place.file.name));
    text.push_str(&page.paragraph("  ", "  ", &format!("\"{}\"", case.title)));
    for wrong in &tried.wrong {
        text.push_str(&page.paragraph("  - ", "    ", wrong));
    }
    for id in &tried.blamed {
        text.push_str(&page.paragraph("    ", "    ", &format!("how `{id}` came to that:")));
        let lines = why(case, book, id);
        for line in lines.iter().take(MOST_LINES) {
            let depth = line.len() - line.trim_start().len() + 6;
            text.push_str(&page.paragraph(&" ".repeat(depth), &" ".repeat(depth + 2), line));
        }
        if lines.len() > MOST_LINES {
            let _ = writeln!(text, "      … and {} more lines", lines.len() - MOST_LINES);
        }
    }
    if !tried.spoke.is_empty() && tried.spoke.len() <= 12 {
        text.push_str(&page.paragraph("    ", "    ", &format!("what spoke: {}", tried.spoke.join(", "))));
    }
}

/// How well the cases exercise each rule: the ends of its tree that some case comes to, and the small changes some case notices.
fn coverage(text: &mut String, exercised: &[Exercised], page: &Page, all: bool) {
    if exercised.is_empty() {
        return;
    }
    let sum = |of: fn(&Exercised) -> usize| exercised.iter().map(of).sum::<usize>();
    let (branches, unreached) = (sum(|e| e.branches), sum(|e| e.unreached.len()));
    let (changes, unnoticed) = (sum(|e| e.changes), sum(|e| e.unnoticed.len()));
    let _ = writeln!(text, "\nHow well the cases try the rules");
    text.push_str(&page.paragraph(
        "  ",
        "  ",
        &format!(
            "{} of {branches} branches are reached by some case. Of {changes} small changes to the rules (a question dropped, an answer turned \
             round, a figure moved a little), {} would be noticed.",
            branches - unreached,
            changes - unnoticed
        ),
    ));
    let width = exercised.iter().map(|e| e.rule.chars().count()).max().unwrap_or(4).min(40);
    let lacking: Vec<&Exercised> = exercised.iter().filter(|e| all || !e.unreached.is_empty() || !e.unnoticed.is_empty()).collect();
    if lacking.is_empty() {
        return;
    }
    let _ = writeln!(text, "\n  {:width$}  branches   changes noticed", "rule");
    for e in lacking {
        let reached = format!("{} of {}", e.branches - e.unreached.len(), e.branches);
        let _ = writeln!(text, "  {:width$}  {reached:9}  {} of {}", harmless(&e.rule), e.changes - e.unnoticed.len(), e.changes);
        if e.speaks == 0 && e.silent == 0 {
            text.push_str(&page.paragraph("      ", "        ", "no case says what is expected of it"));
            continue;
        }
        for way in &e.unreached {
            text.push_str(&page.paragraph("      ", "        ", &format!("no case comes to: {way}")));
        }
        for change in &e.unnoticed {
            text.push_str(&page.paragraph("      ", "        ", &format!("no case notices: {change}")));
        }
    }
}
