//! What text and Markdown have in common: which notices to show where, and in what words.

use engine::advice::{Advice, MethodAdvice, Notice, SurfaceAdvice};

/// The most cautions shown below one heading before the rest is only counted.
pub(crate) const MOST_CAUTIONS: usize = 6;

/// A notice's ground: `statute: 40 CFR …`.
pub(crate) fn ground(notice: &Notice) -> String {
    match notice.source.as_str() {
        "common practice" | "from memory" => format!("{}; {}", notice.basis, notice.source),
        source => format!("{}: {source}", notice.basis),
    }
}

/// Which coats a notice is about, in words; nothing for notices about no coat, or about every coat.
pub(crate) fn coats(notice: &Notice, of: usize) -> String {
    match &notice.coats[..] {
        [] => String::new(),
        all if all.len() == of => String::new(),
        [one] => format!(" (coat {one})"),
        several => {
            let numbers: Vec<String> = several.iter().map(ToString::to_string).collect();
            format!(" (coats {})", engine::words::list(&numbers, "and"))
        }
    }
}

/// The methods with a verdict.
pub(crate) fn with<'a>(surface: &'a SurfaceAdvice, verdicts: &[&str]) -> Vec<&'a MethodAdvice> {
    surface.methods.iter().filter(|m| verdicts.contains(&m.verdict)).collect()
}

/// The notice that decides against a method, best grounded first.
pub(crate) fn decider(method: &MethodAdvice) -> Option<&Notice> {
    let wanted = if method.verdict == "on hold" { "hold" } else { "rule-out" };
    method.reasons.iter().filter(|n| n.ruling == wanted).min_by_key(|n| (n.status != "applies", strength(n.basis)))
}

fn strength(basis: &str) -> usize {
    ["statute", "standard", "guidance", "practice", "house"].iter().position(|b| *b == basis).unwrap_or(9)
}

/// Cautions of a surface, each once, strongest ground first: first those about the surface, then those about the methods
/// that suit, with the methods they are about.
pub(crate) fn cautions<'a>(surface: &'a SurfaceAdvice, status: &str) -> Vec<(&'a Notice, Vec<&'a str>)> {
    let mut found: Vec<(&Notice, Vec<&str>)> =
        surface.notices.iter().filter(|n| n.status == status && n.ruling != "hold").map(|n| (n, Vec::new())).collect();
    let suited = surface.methods.iter().filter(|m| m.verdict.starts_with("suited"));
    for method in suited {
        for notice in method.reasons.iter().filter(|n| n.status == status && matches!(n.ruling, "caution" | "note" | "prefer")) {
            match found.iter_mut().find(|(n, _)| n.rule == notice.rule) {
                Some((_, methods)) => methods.push(&method.title),
                None => found.push((notice, vec![&method.title])),
            }
        }
    }
    let rank = |n: &Notice| (n.ruling != "caution", strength(n.basis));
    found.sort_by_key(|(n, _)| rank(n));
    found
}

/// Holds that are not released, each once, with how many methods wait for it.
pub(crate) fn holds(surface: &SurfaceAdvice) -> Vec<&Notice> {
    let mut out: Vec<&Notice> = Vec::new();
    let all = surface.methods.iter().flat_map(|m| &m.reasons).chain(&surface.notices);
    for notice in all.filter(|n| n.ruling == "hold") {
        if !out.iter().any(|n| n.rule == notice.rule) {
            out.push(notice);
        }
    }
    out.sort_by_key(|n| n.status != "applies");
    out
}

/// The line that says which law is applied.
pub(crate) fn law(advice: &Advice) -> String {
    match &advice.survey.place {
        Some(place) => format!("For {}, as of {}.", place, advice.survey.date),
        None => format!(
            "As of {}. No place is given, so no local law is applied: give the survey a place, such as GB-ENG or US-MA.",
            advice.survey.date
        ),
    }
}

/// A method's verdict against it, short: the heading of the rule that decides, or what it says.
pub(crate) fn short_reason(method: &MethodAdvice) -> String {
    match decider(method) {
        Some(notice) => {
            let words = notice.title.clone().unwrap_or_else(|| notice.says.trim_end_matches('.').to_owned());
            format!("{words}{} [{}]", coats(notice, 0), ground(notice))
        }
        None => method.line.clone(),
    }
}
