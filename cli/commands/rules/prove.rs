//! `ovolo rules prove`.

use super::super::refuse;
use crate::args::ProveArgs;
use crate::exit::Exit;
use crate::files;
use crate::output::Output;
use crate::render::Page;
use jiff::civil::Date;
use ovolo_engine::Error;
use ovolo_engine::diagnostic::Diagnostic;
use ovolo_engine::pack::{RuleBook, check_place};
use ovolo_engine::prove::{Outcome, Range, Report, Survey, Wanted, prove as proof};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

pub(crate) fn prove(args: &ProveArgs, given: &[PathBuf], output: &mut Output) -> Exit {
    let range = match range(args) {
        Ok(range) => range,
        Err(problem) => return refuse(problem, output),
    };
    let loaded = match &args.folder {
        Some(folder) => files::other_book(Some(folder), given, output),
        None => files::rule_book(given, output),
    };
    let new = match loaded {
        Ok(book) => book,
        Err(exit) => {
            if args.folder.as_deref().is_none_or(files::holds_packs) {
                output.message("a pack that does not load cannot loosen a verdict, so there is no survey to show: the reasons stand above, each at its place");
            }
            return exit;
        }
    };
    let old = match RuleBook::load(&ovolo_rules::standard()) {
        Ok(book) => book,
        Err(problems) => {
            crate::problems::show(problems.diagnostics(), output);
            return Exit::Unusable;
        }
    };
    let report = proof(&old, &new, &Wanted { range, steps: Some(args.most_steps), weakened: None });
    let mut names = Vec::new();
    if let Some(folder) = &args.output
        && !report.breaks.is_empty()
    {
        let surveys: Vec<_> = report.breaks.iter().map(|b| (b.rule.as_str(), b.survey.as_ref())).collect();
        match write(folder, &surveys) {
            Ok(written) => names = written,
            Err(problem) => return refuse(problem, output),
        }
    }
    let added: Vec<&str> = new.packs.iter().filter(|p| !old.packs.iter().any(|o| o.name == p.name)).map(|p| p.name.as_str()).collect();
    let text = show(&report, &added, &names, &Page::new(output, true));
    output.result(&text);
    match report.outcome() {
        Outcome::Proved => Exit::Suited,
        Outcome::Broken => Exit::RuledOut,
        Outcome::NotKnown => Exit::Undecided,
    }
}

fn range(args: &ProveArgs) -> Result<Range, Diagnostic> {
    if let Some(place) = &args.place {
        check_place(place).map_err(Error::into_diagnostic)?;
    }
    let date = args.date.as_deref().map(day).transpose()?;
    let near = date.unwrap_or_else(|| jiff::ZonedDateTime::now().date());
    Ok(Range { place: args.place.clone(), date, near: Some(near) })
}

/// A date as it was typed.
pub(super) fn day(text: &str) -> Result<Date, Diagnostic> {
    text.parse().map_err(|_| Diagnostic::error(format!("`{text}` is not a date")).help("write for example 2026-09-01"))
}

/// Writes the surveys; gives the name of each, or nothing where there is none.
pub(super) fn write(folder: &Path, surveys: &[(&str, Option<&Survey>)]) -> Result<Vec<Option<String>>, Diagnostic> {
    let fault = |path: &Path, e: &std::io::Error| Diagnostic::error(format!("`{}` cannot be written: {e}", path.display()));
    std::fs::create_dir_all(folder).map_err(|e| fault(folder, &e))?;
    let mut names = Vec::new();
    for (i, (rule, survey)) in surveys.iter().enumerate() {
        let Some(survey) = survey else {
            names.push(None);
            continue;
        };
        let stem = format!("{:02}-{}", i + 1, rule.replace(|c: char| !c.is_ascii_alphanumeric(), "-"));
        let path = folder.join(format!("{stem}.toml"));
        std::fs::write(&path, &survey.text).map_err(|e| fault(&path, &e))?;
        if let Some(without) = &survey.without {
            let path = folder.join(format!("{stem}-without.toml"));
            std::fs::write(&path, without).map_err(|e| fault(&path, &e))?;
        }
        names.push(Some(path.display().to_string()));
    }
    Ok(names)
}

fn show(report: &Report, added: &[&str], names: &[Option<String>], page: &Page) -> String {
    let mut out = String::new();
    let with = if added.is_empty() { "nothing is added".to_owned() } else { ovolo_engine::words::list(added, "and") };
    let head = match report.outcome() {
        Outcome::Proved => format!("Proved: no survey is judged more leniently with what is added ({with})."),
        Outcome::Broken => format!("Not so: with what is added ({with}), some surveys are judged more leniently."),
        Outcome::NotKnown => {
            format!("Not known: nothing more lenient was found with what is added ({with}), but not everything could be shown.")
        }
    };
    out.push_str(&page.paragraph("", "", &head));
    let _ = writeln!(out);
    let looked = format!(
        "{} rules of law or standard, {} methods, {} places, {} stretches of time; {} situations that differ in what is in force; {} combinations of the catalogue keep a way forward; {} rules still speak with all {} departures recorded that are accepted.",
        report.rules,
        report.methods,
        report.places,
        report.stretches,
        report.situations,
        report.combinations,
        report.spoken,
        report.departures
    );
    out.push_str(&page.paragraph("", "", &looked));
    if report.bound {
        out.push_str(&page.paragraph(
            "",
            "",
            &format!(
                "The bound of the work was reached after {} steps: what was not looked at is not proved. Raise it with --most-steps.",
                report.steps
            ),
        ));
    }
    for (i, found) in report.breaks.iter().enumerate() {
        let ground = match (found.basis, found.ruling) {
            (Some(basis), Some(ruling)) => format!(" ({}, {}, {})", ruling.word(), basis.word(), found.pack),
            _ => String::new(),
        };
        out.push_str(&page.minor(&format!("{}. {}{ground}", i + 1, found.rule)));
        out.push_str(&page.paragraph("", "", &format!("It {}.", found.what)));
        if !found.place.is_empty() {
            out.push_str(&page.paragraph("Where: ", "  ", &format!("{}.", found.place)));
        }
        if !found.methods.is_empty() {
            out.push_str(&page.paragraph("Methods: ", "  ", &format!("{}.", found.methods.join(", "))));
        }
        if let Some(survey) = &found.survey {
            let verdicts = match &survey.verdicts {
                [Some(old), Some(new)] => format!(" Verdict: {old} without what is added, {new} with it."),
                _ => String::new(),
            };
            let does = if survey.rule[0].is_empty() {
                String::new()
            } else {
                format!(" The rule {} without, and {} with it.", survey.rule[0], survey.rule[1])
            };
            out.push_str(&page.paragraph("Smallest survey: ", "  ", &format!("{}.{verdicts}{does}", survey.facts)));
            match names.get(i) {
                Some(Some(name)) => out.push_str(&page.paragraph("Written to: ", "  ", name)),
                _ => {
                    out.push('\n');
                    for line in survey.text.lines() {
                        let _ = writeln!(out, "    {}", crate::problems::harmless(line));
                    }
                    if survey.without.is_some() {
                        out.push_str(&page.paragraph(
                            "",
                            "",
                            "Facts that only the added packs have are left out for the standard rule book.",
                        ));
                    }
                }
            }
        }
    }
    for (title, list) in [("Not decided", &report.unknown), ("Worth a look", &report.warnings), ("Remarks", &report.remarks)] {
        if !list.is_empty() {
            out.push_str(&page.minor(title));
            for line in list {
                out.push_str(&page.point(&format!("{line}.")));
            }
        }
    }
    out
}
