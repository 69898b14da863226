//! Advice as text: what suits first, then what must be found out or released, then what is ruled out.

use super::Page;
use super::shared::{MOST_CAUTIONS, cautions, coats, ground, holds, law, short_reason, with};
use crate::args::Length;
use engine::advice::{Advice, ConditionCase, Flip, MethodAdvice, Notice, SurfaceAdvice};
use engine::words;
use std::fmt::Write as _;

/// The whole advice.
pub(crate) fn advice(advice: &Advice, page: &Page) -> String {
    let mut out = String::new();
    out.push_str(page.heading(&advice.survey.title).trim_start());
    out.push_str(&page.paragraph("", "", &law(advice)));
    if let Some(until) = &advice.good_until {
        out.push_str(&page.paragraph("", "", &format!("Something this rests on changes on {until}: ask again from then on.")));
    }
    let site: Vec<&Notice> = advice.site.notices.iter().filter(|n| n.status == "applies" || page.all).collect();
    if !site.is_empty() {
        out.push_str(&page.minor("For the whole site"));
        for notice in site {
            out.push_str(&said(notice, 0, page));
        }
    }
    for surface in &advice.surfaces {
        out.push_str(&page.heading(&surface.name));
        out.push_str(&surface_text(surface, page));
    }
    out.push_str(&questions(advice, page));
    if !advice.departures.is_empty() {
        out.push_str(&page.heading("Departures"));
        for d in &advice.departures {
            let until = d.until.as_ref().map_or_else(String::new, |u| format!(" until {u}"));
            out.push_str(&page.point(&format!("{} — {}{until}, by {}: {}", d.rule, d.status, d.who, d.why)));
        }
    }
    out.push('\n');
    out.push_str(&page.paragraph("", "", &advice.defers));
    out
}

fn surface_text(surface: &SurfaceAdvice, page: &Page) -> String {
    let mut out = String::new();
    if !surface.coats.is_empty() {
        let told: Vec<String> = surface.coats.iter().map(coat).collect();
        out.push_str(&page.paragraph("", "  ", &format!("Coats from the top: {}.", told.join("; "))));
    }
    for proposal in &surface.proposals {
        let settings: Vec<String> = proposal.settings.iter().map(|f| format!("{} {}", f.fact, f.value)).collect();
        let with = if settings.is_empty() { String::new() } else { format!(" with {}", words::list(&settings, "and")) };
        out.push_str(&page.paragraph("", "  ", &format!("Proposed: {}{with} — {}: {}", proposal.title, proposal.verdict, proposal.line)));
    }
    let suited = with(surface, &["suited", "suited with care"]);
    out.push_str(&page.minor("What suits"));
    if suited.is_empty() {
        out.push_str(&page.point("nothing yet: see what has to be found out or released below"));
    }
    for method in &suited {
        out.push_str(&suits(method, page));
    }
    if surface.approaches.len() > 1 || surface.approaches.iter().any(|a| a.changes > 0) {
        out.push_str(&page.minor("Ways through all the coats"));
        for approach in &surface.approaches {
            out.push_str(&page.point(&approach.says));
        }
    }
    let holds: Vec<&Notice> = holds(surface).into_iter().filter(|n| n.status == "applies" || page.all).collect();
    let waiting = with(surface, &["on hold"]);
    if !holds.is_empty() || !waiting.is_empty() {
        out.push_str(&page.minor("Has to be released first"));
        for hold in &holds {
            out.push_str(&said(hold, surface.coats.len(), page));
        }
        if !waiting.is_empty() {
            let titles: Vec<&str> = waiting.iter().map(|m| m.title.as_str()).collect();
            out.push_str(&page.point(&format!("on hold until then: {}", words::list(&titles, "and"))));
        }
    }
    let open = with(surface, &["can't tell yet"]);
    if !open.is_empty() {
        out.push_str(&page.minor("Can't tell yet"));
        for method in open {
            out.push_str(&page.point(&format!("{}: {}", method.title, depends(method))));
        }
    }
    let out_of = with(surface, &["ruled out"]);
    if !out_of.is_empty() {
        out.push_str(&page.minor("Ruled out"));
        for method in out_of {
            out.push_str(&page.point(&format!("{}: {}", method.title, short_reason(method))));
        }
    }
    out.push_str(&watch(surface, page));
    out
}

fn coat(coat: &engine::advice::CoatAdvice) -> String {
    let mut parts: Vec<String> = Vec::new();
    let mut kind = "kind not known".to_owned();
    for fact in &coat.facts {
        let name = fact.fact.trim_start_matches("coat.");
        if name == "kind" {
            kind = fact.value.replace('-', " ");
        } else if matches!(name, "lead" | "asbestos") {
            let how = if fact.how_known.starts_with("presumed") { ", presumed" } else { "" };
            parts.push(format!("{name} {}{how}", fact.value));
        }
    }
    if parts.is_empty() { format!("{} {kind}", coat.coat) } else { format!("{} {kind} ({})", coat.coat, parts.join("; ")) }
}

fn suits(method: &MethodAdvice, page: &Page) -> String {
    let mut out = String::new();
    if method.verdict == "suited" {
        out.push_str(&page.point(&method.title));
    } else if method.cases.is_empty() {
        let says: Vec<&str> = method.conditions.iter().map(|c| c.says.as_str()).collect();
        out.push_str(&page.point(&format!("{}, with care: {}", method.title, says.join("; "))));
    } else {
        out.push_str(&page.point(&format!("{}, with care:", method.title)));
        for case in &method.cases {
            out.push_str(&page.under(&in_case(case)));
        }
    }
    if let Some(caution) = &method.caution {
        out.push_str(&page.under(&format!("Caution: {caution}")));
    }
    out
}

fn in_case(case: &ConditionCase) -> String {
    let found: Vec<String> = case.found.iter().map(flip).collect();
    let needs: Vec<&str> = case.conditions.iter().map(|c| c.says.as_str()).collect();
    let needs = if needs.is_empty() { "nothing further".to_owned() } else { needs.join("; ") };
    format!("if {}: {needs}", words::list(&found, "and"))
}

fn flip(flip: &Flip) -> String {
    let about = if flip.about.starts_with("coat ") { format!(" of {}", flip.about) } else { String::new() };
    format!("{}{about} is {}", flip.fact, flip.to)
}

fn depends(method: &MethodAdvice) -> String {
    if method.depends_on.is_empty() {
        return method.line.clone();
    }
    let parts: Vec<String> = method
        .depends_on
        .iter()
        .map(|d| {
            let about = if d.about.starts_with("coat ") { format!(" of {}", d.about) } else { String::new() };
            format!("{}{about} (can suit if {}; not if {})", d.fact, d.suits_if, d.not_if)
        })
        .collect();
    format!("depends on {}", words::list(&parts, "and"))
}

/// A notice with its ground and what to do instead.
fn said(notice: &Notice, of: usize, page: &Page) -> String {
    let word = match (notice.ruling, notice.status) {
        (ruling, "open") => format!("{ruling}, if it turns out so: "),
        ("hold", _) => "hold: ".to_owned(),
        ("caution", _) => "caution: ".to_owned(),
        ("prefer", _) => "better: ".to_owned(),
        _ => String::new(),
    };
    let mut text = format!("{word}{}{}", notice.says, coats(notice, of));
    if let Some(instead) = &notice.instead {
        let _ = write!(text, " {instead}");
    }
    let _ = write!(text, " [{}]", ground(notice));
    page.point(&text)
}

fn watch(surface: &SurfaceAdvice, page: &Page) -> String {
    let mut out = String::new();
    let applying = cautions(surface, "applies");
    let open = cautions(surface, "open");
    if applying.is_empty() && open.is_empty() {
        return out;
    }
    out.push_str(&page.minor("To watch"));
    let shown = if page.all { applying.len() } else { MOST_CAUTIONS.min(applying.len()) };
    for (notice, methods) in &applying[..shown] {
        let mut text = said(notice, surface.coats.len(), page);
        if let [one] = methods[..] {
            text = page.point(&format!("{one}: {}", said(notice, surface.coats.len(), page).trim_start_matches("  - ")));
        }
        out.push_str(&text);
    }
    let mut more = Vec::new();
    if applying.len() > shown {
        more.push(format!("{} more to watch", applying.len() - shown));
    }
    if page.all {
        for (notice, _) in &open {
            out.push_str(&said(notice, surface.coats.len(), page));
        }
    } else if !open.is_empty() {
        more.push(format!("{} that depend on what is not known yet", open.len()));
    }
    if !more.is_empty() {
        out.push_str(&page.point(&format!("and {}: see them with --all", words::list(&more, "and"))));
    }
    out
}

fn questions(advice: &Advice, page: &Page) -> String {
    let mut out = String::new();
    if advice.ask_next.is_empty() {
        return out;
    }
    out.push_str(&page.heading("Find out next"));
    let shown = if page.all { advice.ask_next.len() } else { advice.ask_next.len().min(6) };
    for (i, ask) in advice.ask_next.iter().take(shown).enumerate() {
        let at = match (&ask.surface, ask.about.as_str()) {
            (Some(surface), about) if about.starts_with("coat") => format!(" ({surface}, {about})"),
            (Some(surface), _) => format!(" ({surface})"),
            _ => String::new(),
        };
        let number = format!("  {}. ", i + 1);
        let rest = " ".repeat(number.len());
        out.push_str(&page.paragraph(&number, &rest, &format!("{}{at}", ask.question)));
        out.push_str(&page.paragraph(&rest, &rest, &format!("Why: {}. {}", ask.why, ask.how_to_find_out)));
    }
    if advice.ask_next.len() > shown {
        out.push_str(&page.point(&format!("and {} more questions: see them with --all", advice.ask_next.len() - shown)));
    }
    out
}

/// One proposal checked.
pub(crate) fn check(advice: &Advice, length: Length, page: &Page) -> String {
    let (Some(surface), mut out) = (advice.surfaces.first(), String::new()) else { return String::new() };
    let Some(proposal) = surface.proposals.first() else { return out };
    out.push_str(page.heading(&format!("{} on {}: {}", proposal.title, surface.name, proposal.verdict)).trim_start());
    if length == Length::Line {
        out.push_str(&page.paragraph("", "", &proposal.line));
        out.push_str(&page.paragraph("", "", &advice.defers));
        return out;
    }
    out.push_str(&page.paragraph("", "", &law(advice)));
    if !proposal.settings.is_empty() {
        let settings: Vec<String> = proposal.settings.iter().map(|f| format!("{} {}", f.fact, f.value)).collect();
        out.push_str(&page.paragraph("", "", &format!("Set: {}.", settings.join(", "))));
    }
    let deciding: Vec<&Notice> =
        proposal.reasons.iter().filter(|n| matches!(n.ruling, "rule-out" | "hold") && n.status == "applies").collect();
    if !deciding.is_empty() {
        out.push_str(&page.minor("Why"));
        for notice in &deciding {
            out.push_str(&said(notice, surface.coats.len(), page));
            out.push_str(&facts(notice, page));
        }
    }
    if proposal.verdict == "suited with care" {
        out.push_str(&page.minor("On these conditions"));
        for condition in &proposal.conditions {
            out.push_str(&page.point(&format!("{} (because of {})", condition.says, words::list(&condition.because, "and"))));
        }
        for case in &proposal.cases {
            out.push_str(&page.point(&in_case(case)));
        }
    }
    if proposal.verdict == "can't tell yet" {
        out.push_str(&page.minor("It depends on"));
        out.push_str(&page.point(&depends(proposal)));
        if let Some(c) = &proposal.completions {
            let told = |flips: &[Flip]| if flips.is_empty() { "nothing more need be known".to_owned() } else { words::list(&flips.iter().map(flip).collect::<Vec<_>>(), "and") };
            out.push_str(&page.point(&format!("it would suit if {}", told(&c.suits))));
            out.push_str(&page.point(&format!("it would not if {}", told(&c.not))));
        }
    }
    if !proposal.flips.is_empty() {
        out.push_str(&page.minor("What would change it"));
        for set in &proposal.flips {
            let parts: Vec<String> = set.iter().map(|f| format!("{} ({})", flip(f), f.kind)).collect();
            out.push_str(&page.point(&words::list(&parts, "and")));
        }
    }
    let rest: Vec<&Notice> = proposal.reasons.iter().filter(|n| !matches!(n.ruling, "rule-out" | "hold") && n.status == "applies").collect();
    if !rest.is_empty() {
        out.push_str(&page.minor("To watch"));
        for notice in rest {
            out.push_str(&said(notice, surface.coats.len(), page));
        }
    }
    if let Some(caution) = &proposal.caution {
        out.push_str(&page.point(&format!("Caution: {caution}")));
    }
    if !proposal.verdict.starts_with("suited") {
        let better: Vec<&MethodAdvice> = with(surface, &["suited", "suited with care"]).into_iter().take(3).collect();
        out.push_str(&page.minor("Instead"));
        if better.is_empty() {
            out.push_str(&page.point("nothing suits yet; `ovolo advise` says what has to be found out or released"));
        }
        for method in better {
            out.push_str(&page.point(&format!("{} ({}): {}", method.title, method.verdict, method.line)));
        }
    }
    if length == Length::Tree {
        out.push_str(&page.minor("Every rule-out and hold, question by question"));
        for tree in &proposal.trees {
            let coat = tree.coat.map_or_else(String::new, |c| format!(", coat {c}"));
            let _ = writeln!(out, "  {} ({}{coat})", tree.rule, tree.ruling);
            for line in &tree.lines {
                let _ = writeln!(out, "    {}", crate::problems::harmless(line));
            }
        }
        out.push_str(&page.minor("What the verdict rests on"));
        for fact in &proposal.rests_on {
            out.push_str(&page.point(&format!("{} ({}): {} — {}", fact.fact, fact.about, fact.value, fact.how_known)));
        }
        out.push_str(&page.minor("Rank"));
        for part in &proposal.rank.contributions {
            out.push_str(&page.point(&format!("{}: {} of 1, counted {} times", part.part, part.points, part.weight)));
        }
    }
    out.push('\n');
    out.push_str(&page.paragraph("", "", &advice.defers));
    out
}

fn facts(notice: &Notice, page: &Page) -> String {
    let told: Vec<String> = notice
        .facts
        .iter()
        .filter(|f| f.value != "not known")
        .map(|f| format!("{} {} ({})", f.fact, f.value, f.how_known))
        .collect();
    let place = if notice.place.is_empty() { String::new() } else { format!(" Holds in {}.", words::list(&notice.place, "and")) };
    let from = notice.from.as_ref().map_or_else(String::new, |d| format!(" In force since {d}."));
    if told.is_empty() { String::new() } else { page.under(&format!("It read {}.{place}{from}", told.join(", "))) }
}
