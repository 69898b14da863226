//! `ovolo rules check`.

use crate::args::CheckPacks;
use crate::commands::date_or_today;
use crate::exit::Exit;
use crate::files::{self, Loaded};
use crate::output::Output;
use crate::problems;
use engine::pack::RuleBook;
use engine::workshop::look_over;
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
    let entries = engine::catalogue::EntryKind::ALL.into_iter().flat_map(|k| base.catalogue.entries(k).values());
    let figures = base.limits.values().flat_map(|l| &l.values);
    let counts = [
        (book.rules.iter().filter(|r| own(&r.pack)).count(), "rule", "rules"),
        (book.presumptions.iter().filter(|p| own(&p.pack)).count(), "presumption", "presumptions"),
        (base.vocabulary.iter().filter(|(_, f)| own(&f.pack)).count(), "fact", "facts"),
        (entries.filter(|e| own(&e.pack)).count(), "catalogue entry", "catalogue entries"),
        (figures.filter(|v| own(&v.pack)).count(), "figure", "figures"),
        (book.cases.iter().filter(|c| own(&c.pack)).count(), "worked case", "worked cases"),
    ];
    let said: Vec<String> =
        counts.iter().filter(|(n, ..)| *n > 0).map(|(n, one, many)| format!("{n} {}", if *n == 1 { one } else { many })).collect();
    let said = if said.is_empty() { "nothing yet".to_owned() } else { engine::words::list(&said, "and") };
    problems::harmless(&format!("{name} {version}: {said}."))
}
