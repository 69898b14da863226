//! `ovolo rules replay`.

use crate::args::ReplayAdvice;
use crate::commands::refuse;
use crate::exit::Exit;
use crate::files;
use crate::output::Output;
use crate::render::{self, Page};
use jiff::civil::Date;
use ovolo_engine::advice::Advice;
use ovolo_engine::diagnostic::Diagnostic;
use ovolo_engine::explain::{Circumstances, advise};
use serde_json::Value;
use std::fmt::Write as _;
use std::path::PathBuf;

/// The most changed verdicts that are listed.
const MOST_CHANGES: usize = 20;

pub(crate) fn replay(args: &ReplayAdvice, given: &[PathBuf], output: &mut Output) -> Result<Exit, Exit> {
    let name = args.advice.display().to_string();
    let text = files::read_own(&args.advice).map_err(|problem| refuse(problem, output))?;
    let (saved, circumstances) = read(&text).map_err(|why| {
        let problem = Diagnostic::error(format!("`{name}` is not an advice that can be given again: {why}"));
        refuse(problem.help("write one with `ovolo advise SURVEY --format json > advice.json`"), output)
    })?;
    let book = files::rule_book(given, output)?;
    let survey = files::survey(&args.survey, &book, output)?;
    let advice = advise(&survey, &book, &circumstances).map_err(|problem| refuse(problem.into_diagnostic(), output))?;
    let page = Page::new(output, false);
    if render::json(&advice) == text {
        output.result(&page.paragraph("", "", &format!("The same, byte for byte: {name}, with rule book {}.", book.digest)));
        return Ok(Exit::Suited);
    }
    let mut out = page.paragraph("", "", &format!("Not the same as {name}."));
    let mut reasons = differences(&saved, &advice);
    if reasons.is_empty() {
        reasons.push(
            "survey, packs and engine are the same, so the file was changed after it was written, or written by `ovolo check`".to_owned(),
        );
    }
    for reason in &reasons {
        out.push_str(&page.point(reason));
    }
    let verdicts = verdicts(&saved, &advice);
    if verdicts.is_empty() {
        out.push_str(&page.paragraph("", "", "Every verdict is the same."));
    } else {
        out.push_str(&page.minor("Verdicts that differ"));
        for change in verdicts.iter().take(MOST_CHANGES) {
            out.push_str(&page.point(change));
        }
        if verdicts.len() > MOST_CHANGES {
            let _ = writeln!(out, "  … and {} more", verdicts.len() - MOST_CHANGES);
        }
    }
    output.result(&out);
    Ok(Exit::NotSo)
}

/// The advice, and where and when it was given for.
fn read(text: &str) -> Result<(Value, Circumstances), String> {
    let saved: Value = serde_json::from_str(text).map_err(|e| format!("it is not JSON ({e})"))?;
    if saved["advice"] != 1 {
        return Err("it has no `advice` of shape 1".to_owned());
    }
    let date = saved["survey"]["date"].as_str().and_then(|d| d.parse::<Date>().ok()).ok_or("it names no date")?;
    let place = saved["survey"]["place"].as_str().map(str::to_owned);
    if let Some(place) = &place
        && let Err(problem) = ovolo_engine::pack::check_place(place)
    {
        return Err(problem.message().to_owned());
    }
    Ok((saved, Circumstances { place, date }))
}

/// What is not the same: the engine, the survey, packs.
fn differences(saved: &Value, now: &Advice) -> Vec<String> {
    let mut found = Vec::new();
    let engine = saved["engine"].as_str().unwrap_or("of no named version");
    if engine != now.engine {
        found.push(format!("the engine is {} here and was {engine}", now.engine));
    }
    if saved["survey"]["digest"] != now.survey.digest.as_str() {
        found.push("the survey states something else than it did".to_owned());
    }
    let none = Vec::new();
    let packs = saved["rule_book"]["packs"].as_array().unwrap_or(&none);
    let text = |pack: &Value, key: &str| pack[key].as_str().unwrap_or("").to_owned();
    for pack in packs {
        let (name, version, digest) = (text(pack, "name"), text(pack, "version"), text(pack, "digest"));
        match now.rule_book.packs.iter().find(|p| p.name == name) {
            None => found.push(format!("pack {name} {version} is not in use here (digest {})", short(&digest))),
            Some(here) if here.digest != digest && here.version == version => found.push(format!(
                "pack {name} {version} is not the same text here, though its version is: digest {} here, {} then",
                short(&here.digest),
                short(&digest)
            )),
            Some(here) if here.digest != digest => {
                found.push(format!("pack {name} is version {} here and was {version}", here.version));
            }
            Some(_) => {}
        }
    }
    for here in &now.rule_book.packs {
        if !packs.iter().any(|p| p["name"] == here.name.as_str()) {
            found.push(format!("pack {} {} is in use here and was not then", here.name, here.version));
        }
    }
    found
}

fn short(digest: &str) -> String {
    digest.chars().take(12).collect()
}

/// Verdicts that are not what they were.
fn verdicts(saved: &Value, now: &Advice) -> Vec<String> {
    let none = Vec::new();
    let mut found = Vec::new();
    for surface in &now.surfaces {
        let then = saved["surfaces"].as_array().unwrap_or(&none).iter().find(|s| s["name"] == surface.name.as_str());
        for method in &surface.methods {
            let was = then.and_then(|s| s["methods"].as_array()).and_then(|all| all.iter().find(|m| m["method"] == method.method.as_str()));
            let was = was.and_then(|m| m["verdict"].as_str()).unwrap_or("not judged");
            if was != method.verdict.word() {
                found.push(format!("{}, {}: {} here, {was} then", surface.name, method.method, method.verdict));
            }
        }
    }
    found
}
