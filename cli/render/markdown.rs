//! Advice as Markdown, for documents.

use super::shared::{
    cautions, coats, condition, dated, departures, ground, holds, law, once_released, provided, repeated, short_reason, with,
};
use crate::args::Length;
use ovolo_engine::advice::{Advice, Flip, MethodAdvice, Notice, SurfaceAdvice};
use ovolo_engine::finding::{Status, Verdict};
use ovolo_engine::words;
use std::fmt::Write as _;

/// Takes the meaning out of characters that Markdown would read.
pub(super) fn plain(text: &str) -> String {
    let mut out = String::new();
    for c in crate::problems::harmless(text).chars() {
        match c {
            '|' | '*' | '_' | '`' | '<' | '>' | '#' | '[' | ']' | '\\' => {
                out.push('\\');
                out.push(c);
            }
            '\n' => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// The whole advice.
pub(crate) fn advice(advice: &Advice, all: bool) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "# {}\n", plain(&advice.survey.title));
    if let Some(happened) = &advice.happened {
        let _ = writeln!(out, "{happened} {}\n", crate::page::TELLS);
    }
    let _ = writeln!(out, "{}", plain(&law(advice)));
    if let Some(until) = &advice.good_until {
        let _ = writeln!(out, "\nSomething this rests on changes on {until}: ask again from then on.");
    }
    for line in dated(advice) {
        let _ = writeln!(out, "\n{}", plain(&line));
    }
    let site: Vec<&Notice> = advice.site.notices.iter().filter(|n| all || n.status == Status::Applies).collect();
    if !site.is_empty() {
        out.push_str("\n## For the whole site\n\n");
        for notice in site {
            point(&mut out, notice, 0);
        }
    }
    let shared = repeated(advice);
    let common: Vec<&str> = shared.iter().map(|(n, _)| n.rule.as_str()).collect();
    for s in &advice.surfaces {
        let _ = writeln!(out, "\n## {}", plain(&s.name));
        surface(&mut out, s, &common, all);
    }
    if !shared.is_empty() {
        out.push_str("\n## To watch on several surfaces\n\n");
        for (notice, names) in &shared {
            point(&mut out, notice, 0);
            let _ = writeln!(out, "  ({})", plain(&words::list(names, "and")));
        }
    }
    if !advice.ask_next.is_empty() {
        out.push_str("\n## Find out next\n\n");
        for (i, ask) in advice.ask_next.iter().enumerate() {
            let at = ask.surface.as_ref().map_or_else(String::new, |s| format!(" ({s}, {})", ask.about));
            let _ = writeln!(
                out,
                "{}. {}{}  \n   Why: {}. {}",
                i + 1,
                plain(&ask.question),
                plain(&at),
                plain(&ask.why),
                plain(&ask.how_to_find_out)
            );
        }
    }
    if !advice.departures.is_empty() {
        out.push_str("\n## Departures\n\n");
        for line in departures(advice, None) {
            let _ = writeln!(out, "- {}", plain(&line));
        }
    }
    let packs: Vec<String> = advice.rule_book.packs.iter().map(|p| format!("{} {}", p.name, p.version)).collect();
    let _ = writeln!(out, "\nRule book {} ({}).\n\n{}", &advice.rule_book.digest[..12], plain(&packs.join(", ")), plain(&advice.defers));
    out
}

fn point(out: &mut String, notice: &Notice, of: usize) {
    let instead = notice.instead.as_deref().unwrap_or("");
    let status = if notice.status == Status::Open { ", if it turns out so" } else { "" };
    let instead = if instead.is_empty() { String::new() } else { format!(" {}", plain(instead)) };
    let _ = writeln!(
        out,
        "- **{}{status}**: {}{instead}{} ({})",
        notice.ruling,
        plain(&notice.says),
        coats(notice, of),
        plain(&ground(notice))
    );
}

fn surface(out: &mut String, surface: &SurfaceAdvice, common: &[&str], all: bool) {
    for proposal in &surface.proposals {
        let _ = writeln!(out, "\nProposed: {} — **{}**: {}", plain(&proposal.title), proposal.verdict, plain(&proposal.line));
    }
    out.push_str("\n| method | verdict | why, or on what conditions |\n| --- | --- | --- |\n");
    for method in &surface.methods {
        let why = match method.verdict {
            Verdict::CantTellYet => method.line.clone(),
            Verdict::RuledOut | Verdict::OnHold => {
                let (words, notice) = short_reason(method);
                let why = notice.map_or_else(|| words.clone(), |n| format!("{words} ({})", ground(n)));
                if method.verdict == Verdict::OnHold {
                    let says: Vec<String> = method.conditions.iter().map(|c| condition(c, method, &mut ground)).collect();
                    format!("{why}; {}", once_released(method, &says, &super::text::depends(method)))
                } else {
                    why
                }
            }
            _ if !method.conditions.is_empty() => {
                let says: Vec<String> = method.conditions.iter().map(|c| condition(c, method, &mut ground)).collect();
                says.join("; ")
            }
            _ => method.line.clone(),
        };
        let _ = writeln!(out, "| {} | {} | {} |", plain(&method.title), method.verdict, plain(&why));
    }
    if !surface.approaches.is_empty() {
        out.push_str("\nApproaches, best first (`ovolo approach` has the steps, quantities and days):\n\n");
        for (i, approach) in surface.approaches.iter().enumerate() {
            let released = if approach.on_hold { " (once released)" } else { "" };
            let _ = writeln!(out, "{}. {}{released}{}", i + 1, plain(&approach.says), plain(&provided(approach)));
            if !approach.brief.is_empty() {
                let _ = writeln!(out, "   In brief: {}.", plain(&approach.brief.join("; ")));
            }
        }
    }
    let holds: Vec<&Notice> = holds(surface).into_iter().filter(|n| all || n.status == Status::Applies).collect();
    if !holds.is_empty() {
        out.push_str("\nTo be released first:\n\n");
        for notice in holds {
            point(out, notice, surface.coats.len());
        }
    }
    let suited = with(surface, &[Verdict::Suited, Verdict::SuitedWithCare]);
    let usual: Vec<&MethodAdvice> = suited.into_iter().filter(|m| m.caution.is_some()).collect();
    let watching: Vec<(&Notice, Vec<&str>)> =
        cautions(surface, Status::Applies).into_iter().filter(|(n, _)| !common.contains(&n.rule.as_str())).collect();
    if !usual.is_empty() || !watching.is_empty() {
        out.push_str("\nTo watch:\n\n");
        for (notice, _) in &watching {
            point(out, notice, surface.coats.len());
        }
        for method in usual {
            let _ = writeln!(out, "- {}: {}", plain(&method.title), plain(method.caution.as_deref().unwrap_or("")));
        }
    }
    if all {
        for (notice, _) in &cautions(surface, Status::Open) {
            point(out, notice, surface.coats.len());
        }
    }
}

/// One proposal checked.
pub(crate) fn check(advice: &Advice, length: Length) -> String {
    let mut out = String::new();
    let Some(surface) = advice.surfaces.first() else { return out };
    let Some(proposal) = surface.proposals.first() else { return out };
    let _ = writeln!(out, "# {} on {}: {}\n", plain(&proposal.title), plain(&surface.name), proposal.verdict);
    let text = if length == Length::Line { &proposal.line } else { &proposal.paragraph };
    let _ = writeln!(out, "{}", plain(text));
    if length != Length::Line {
        if !proposal.flips.is_empty() {
            out.push_str("\n## What would change it\n\n");
            for set in &proposal.flips {
                let parts: Vec<String> = set.iter().map(flip).collect();
                let _ = writeln!(out, "- {}", plain(&words::list(&parts, "and")));
            }
        }
        out.push_str("\n## What speaks\n\n");
        for notice in proposal.reasons.iter().filter(|n| n.status == Status::Applies) {
            point(&mut out, notice, surface.coats.len());
        }
        if let Some(caution) = &proposal.caution {
            let _ = writeln!(out, "- {}", plain(caution));
        }
    }
    let departed = departures(advice, Some(&surface.name));
    if !departed.is_empty() {
        out.push_str("\n## Departures\n\n");
        for line in &departed {
            let _ = writeln!(out, "- {}", plain(line));
        }
    }
    if length == Length::Tree {
        out.push_str("\n## Question by question\n");
        for tree in &proposal.trees {
            let coat = tree.coat.map_or_else(String::new, |c| format!(", coat {c}"));
            let _ = writeln!(out, "\n{} ({}{coat})\n", plain(&tree.rule), tree.ruling);
            for line in &tree.lines {
                let _ = writeln!(out, "    {}", crate::problems::harmless(line));
            }
        }
    }
    let _ = writeln!(out, "\n{}", plain(&advice.defers));
    out
}

fn flip(flip: &Flip) -> String {
    if flip.reads.is_empty() { format!("{} is {} ({})", flip.title, flip.to, flip.kind) } else { format!("{} ({})", flip.reads, flip.kind) }
}
