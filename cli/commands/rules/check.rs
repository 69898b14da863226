//! `ovolo rules check`.

use crate::args::CheckPacks;
use crate::commands::date_or_today;
use crate::exit::Exit;
use crate::files::{self, Loaded};
use crate::output::Output;
use crate::problems;
use ovolo_engine::pack::{Meant, RuleBook};
use ovolo_engine::quantity::System;
use ovolo_engine::workshop::look_over;
use std::fmt::Write as _;
use std::path::PathBuf;

pub(crate) fn check(args: &CheckPacks, given: &[PathBuf], output: &mut Output) -> Result<Exit, Exit> {
    let date = date_or_today(args.date.as_deref(), output)?;
    let Loaded { book, about } = files::workshop_book(given, &args.folders, output)?;
    let names: Vec<&str> = about.iter().map(String::as_str).collect();
    let found = look_over(&book, &names, date);
    problems::show(&found, output);
    let mut text = String::new();
    for name in &names {
        let _ = writeln!(text, "{}", holds(&book, name));
        text.push_str(&heard(&book, name));
    }
    match found.len() {
        0 => text.push_str("No errors, and nothing that deserves a look.\n"),
        1 => text.push_str("No errors; 1 thing deserves a look. The packs can be used as they are.\n"),
        n => {
            let _ = writeln!(text, "No errors; {n} things deserve a look. The packs can be used as they are.");
        }
    }
    if book.cases.iter().any(|c| names.contains(&c.pack.as_str())) {
        text.push_str("Whether the worked cases come out as they should: ovolo rules try\n");
    }
    output.result(&text);
    Ok(Exit::Suited)
}

/// What a pack holds, in a line.
fn holds(book: &RuleBook, name: &str) -> String {
    let own = |pack: &str| pack == name;
    let version = book.packs.iter().find(|p| p.name == name).map_or("", |p| p.version.as_str());
    let base = &book.base;
    let entries = ovolo_engine::catalogue::EntryKind::ALL.into_iter().flat_map(|k| base.catalogue.entries(k).values());
    let figures = base.limits.values().flat_map(|l| &l.values);
    let counts = [
        (book.rules.iter().filter(|r| own(&r.pack)).count(), "rule", "rules"),
        (book.presumptions.iter().filter(|p| own(&p.pack)).count(), "presumption", "presumptions"),
        (base.vocabulary.iter().filter(|(_, f)| own(&f.pack)).count(), "fact", "facts"),
        (entries.filter(|e| own(&e.pack)).count(), "catalogue entry", "catalogue entries"),
        (figures.filter(|v| own(&v.pack)).count(), "figure", "figures"),
        (book.phrases.iter().filter(|p| own(&p.pack)).count(), "phrase", "phrases"),
        (book.cases.iter().filter(|c| own(&c.pack)).count(), "worked case", "worked cases"),
    ];
    let said: Vec<String> =
        counts.iter().filter(|(n, ..)| *n > 0).map(|(n, one, many)| format!("{n} {}", if *n == 1 { one } else { many })).collect();
    let said = if said.is_empty() { "nothing yet".to_owned() } else { ovolo_engine::words::list(&said, "and") };
    problems::harmless(&format!("{name} {version}: {said}."))
}

/// The phrases of a firm's own pack, each with what is heard in it at the prompt.
fn heard(book: &RuleBook, name: &str) -> String {
    let mut text = String::new();
    for phrase in book.phrases.iter().filter(|p| p.house && p.pack == name) {
        let said: Vec<String> = phrase.says.iter().map(|s| format!("`{s}`")).collect();
        let vocabulary = &book.base.vocabulary;
        let mut means: Vec<String> = Vec::new();
        let mut asks = false;
        for (fact, meant) in &phrase.means {
            let fact = vocabulary.get(*fact);
            match meant {
                Meant::Value { known, .. } => {
                    asks |= fact.eased_by(known);
                    means.push(format!("{}: {}", fact.title, fact.show(known, &book.base.catalogue, System::Metric)));
                }
                Meant::Slot => means.push(format!("{}: the figure", fact.title)),
            }
        }
        if let Some(coats) = &phrase.coats {
            let kinds: Vec<&str> = coats.iter().map(|(kind, _)| kind.trim_matches('"')).collect();
            means.push(format!("coats from the top: {}", kinds.join(", ")));
        }
        let told = match (&phrase.remark, means.is_empty()) {
            (Some(says), true) => format!("is answered: {says}"),
            _ => format!("is heard as {}", ovolo_engine::words::list(&means, "and")),
        };
        let asks = if asks { "; it asks for less care, so the person is asked back" } else { "" };
        let line = format!("  {} {told}{asks}.", ovolo_engine::words::list(&said, "or"));
        let _ = writeln!(text, "{}", problems::harmless(line.trim_end_matches("..")).trim_end_matches('.').to_owned() + ".");
    }
    text
}
