//! Questions that are put to us: may this be done, what would you do.

use super::session::{Outcome, Session};
use super::views::told;
use engine::answer::Said;
use engine::catalogue::EntryKind;
use engine::judge::Verdict;
use engine::survey::Facts;
use engine::words;
use std::ops::Range;

/// Words that begin a question.
const ASKS: &[&str] = &[
    "can", "could", "may", "should", "is", "are", "would", "will", "what", "how", "why", "do", "does", "ok", "okay", "whats", "what's",
    "am", "who", "any", "am i", "shall", "which",
];

/// Ways to ask what is best.
const BEST: &[&str] = &[
    "what would you",
    "what'd you",
    "what do you reckon",
    "what do you suggest",
    "what do you recommend",
    "what do you think",
    "what's best",
    "whats best",
    "what is best",
    "what should i use",
    "what should we use",
    "what should i do",
    "what can i use",
    "what can we use",
    "what do i use",
    "which is best",
    "what's the best",
    "what is the best",
    "best way",
    "any ideas",
    "any suggestions",
    "how would you",
    "how should i",
    "how do i",
    "how do we",
    "what works",
    "what are my options",
    "what have i got",
    "what could i use",
    "what shall i use",
    "what to use",
    "which would you",
    "which should i",
    "your advice",
    "what then",
    "what now then",
    "so what do i do",
    "what do i do",
];

/// Words that are left out when a way of working is looked for in a line.
const SMALL: &[&str] = &["it", "em", "'em", "them", "this", "that", "the", "a", "an", "just", "my", "all", "these", "those"];

/// The most ways that are named.
const MOST_NAMED: usize = 5;

fn words_of(text: &str) -> Vec<(Range<usize>, String)> {
    let mut out = Vec::new();
    let mut start = None;
    for (i, c) in text.char_indices().chain([(text.len(), ' ')]) {
        let inside = c.is_alphanumeric() || c == '\'';
        match (inside, start) {
            (true, None) => start = Some(i),
            (false, Some(from)) => {
                let word = text[from..i].to_lowercase();
                if !SMALL.contains(&word.as_str()) {
                    out.push((from..i, word));
                }
                start = None;
            }
            _ => {}
        }
    }
    out
}

impl Session<'_> {
    /// The way of working that a line speaks of, by the longest of its names.
    pub(super) fn method_in(&self, line: &str) -> Option<(usize, Range<usize>)> {
        let said = words_of(line);
        let same = |a: &str, b: &str| a == b || a.trim_end_matches('s') == b.trim_end_matches('s');
        let mut best: Option<(usize, usize, Range<usize>)> = None;
        for (m, entry) in self.book.base.catalogue.entries(EntryKind::Method).values().enumerate() {
            for name in [&entry.id, &entry.title].into_iter().chain(&entry.says) {
                let wanted: Vec<String> = words_of(&name.replace('-', " ")).into_iter().map(|(_, w)| w).collect();
                if wanted.is_empty() || wanted.len() > said.len() {
                    continue;
                }
                for window in said.windows(wanted.len()) {
                    if window.iter().zip(&wanted).all(|((_, a), b)| same(a, b)) && best.as_ref().is_none_or(|(n, ..)| wanted.len() > *n) {
                        best = Some((wanted.len(), m, window[0].0.start..window[window.len() - 1].0.end));
                    }
                }
            }
        }
        best.map(|(_, m, at)| (m, at))
    }

    /// Answers a question that was put to us; `None` where the line is none.
    pub(super) fn asked_of_us(&mut self, line: &str) -> Option<Outcome> {
        if self.survey.surfaces.is_empty() {
            return None;
        }
        let plain = line.to_lowercase();
        let plain = plain.trim_start_matches("so ").trim_start_matches("and ").trim_start_matches("well ").trim_start_matches("ok so ");
        let first = plain.split(|c: char| c.is_whitespace() || c == ',').next().unwrap_or("");
        let asks = line.trim_end().ends_with('?') || ASKS.contains(&first);
        let method = self.method_in(line);
        if asks && method.is_none() && BEST.iter().any(|b| plain.starts_with(b)) {
            return Some(Outcome { text: self.what_suits(), understood: true, ..Outcome::default() });
        }
        let (method, at) = method?;
        let heard = self.listener.hear(line, &self.context());
        let says = heard.said.iter().any(|s| match s {
            Said::Fact(f) => self.book.base.vocabulary.get(f.fact).about != engine::vocabulary::About::Method,
            Said::Coats(_) => true,
            _ => false,
        });
        if says && !asks {
            return None;
        }
        let with = self.figure_behind(method, &line[at.end..]);
        let (settings, _) = self.settings(method, &with).unwrap_or_default();
        Some(self.short_verdict(method, settings, &with))
    }

    /// A figure that was said with a way of working, with its unit: the temperature of a hot tool is meant where none is said.
    fn figure_behind(&self, method: usize, rest: &str) -> String {
        let words: Vec<&str> = rest.split(|c: char| c.is_whitespace() || matches!(c, ',' | '?' | '!')).filter(|w| !w.is_empty()).collect();
        let Some(i) = words.iter().position(|w| w.chars().next().is_some_and(|c| c.is_ascii_digit())) else { return String::new() };
        let digits = words[i].find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(words[i].len());
        let (number, glued) = words[i].split_at(digits);
        let unit = if glued.is_empty() { words.get(i + 1).copied().unwrap_or("") } else { glued };
        let unit = unit.trim_start_matches('°').to_lowercase();
        let us = self.place().is_some_and(|p| p.starts_with("US"));
        let hot = self.book.base.catalogue.entries(EntryKind::Method)[method].settings.keys().next().is_some();
        match unit.as_str() {
            "f" | "fahrenheit" => format!("{number} F"),
            "c" | "celsius" | "centigrade" => format!("{number} C"),
            "bar" | "psi" | "mm" => format!("{number} {unit}"),
            _ if hot => format!("{number} {}", if us { "F" } else { "C" }),
            _ => String::new(),
        }
    }

    /// A verdict in a few lines: what it is, what decides it, what to do instead.
    pub(super) fn short_verdict(&mut self, method: usize, settings: Facts, with: &str) -> Outcome {
        let advice = self.looked_at(method, settings, false);
        let Some(said) = advice.surfaces.first().and_then(|s| s.proposals.first()) else {
            return Outcome { text: "  Nothing can be said of it.\n".to_owned(), ..Outcome::default() };
        };
        let page = self.page();
        let at = if with.is_empty() { String::new() } else { format!(" at {with}") };
        let verdict = said.verdict;
        let reason = said.reasons.iter().find(|n| matches!(n.ruling, "rule-out" | "hold") && n.status == "applies").map(|n| n.says.clone());
        let why = match (verdict, reason) {
            ("suited with care", _) if !said.conditions.is_empty() => {
                let needs: Vec<&str> = said.conditions.iter().take(3).map(|c| c.says.as_str()).collect();
                format!(" Needs: {}.", needs.join("; "))
            }
            ("can't tell yet", _) => {
                let waits: Vec<&str> = said.depends_on.iter().take(3).map(|d| d.title.as_str()).collect();
                if waits.is_empty() { String::new() } else { format!(" It depends on {}.", words::list(&waits, "and")) }
            }
            (_, Some(reason)) => format!(" {reason}"),
            _ => String::new(),
        };
        let mut text =
            page.paragraph("  ", "    ", &format!("{}{at} on {}: {verdict}.{why}", said.title, self.survey.surfaces[self.surface].name));
        if verdict == "ruled out" {
            let suited = self.suited();
            if !suited.is_empty() {
                text.push_str(&page.paragraph("  ", "    ", &format!("Instead: {}.", words::list(&suited, "or"))));
            }
        }
        Outcome { text, understood: true, ..Outcome::default() }
    }

    /// The ways that suit here, a few of them.
    fn suited(&self) -> Vec<&str> {
        let Some(outlook) = self.outlooks.get(self.surface) else { return Vec::new() };
        let all = outlook.verdicts().enumerate().filter(|(_, v)| v.suits()).map(|(m, _)| self.method_title(m));
        all.take(MOST_NAMED).collect()
    }

    /// What would be done here: the lead with its provisos, and what suits for certain, or provided one thing is so.
    fn what_suits(&self) -> String {
        let page = self.page();
        let name = &self.survey.surfaces[self.surface].name;
        let advice = engine::explain::advise(&self.survey, self.book, &self.circumstances());
        let Some(here) = advice.surfaces.iter().find(|s| s.name == *name) else { return String::new() };
        let mut text = page.paragraph("  ", "    ", &format!("On {name}: {}", here.lead.says));
        let suited = self.suited();
        if !suited.is_empty() {
            text.push_str(&page.paragraph("  ", "    ", &format!("What suits so far: {}.", words::list(&suited, "or"))));
        } else if let Some((so, suits)) = provided(here) {
            let these = if suits.len() == 1 { "this suits" } else { "these suit" };
            let told = format!("Provided {so}, {these}: {}. Find that out before anything is touched.", words::list(&suits, "or"));
            text.push_str(&page.paragraph("  ", "    ", &told));
        } else if here.methods.iter().any(|m| m.verdict == Verdict::CantTellYet.words()) {
            text.push_str(&page.paragraph("  ", "    ", "No method is sure to suit yet; the next answers decide."));
        } else {
            text.push_str(&page.paragraph("  ", "    ", "No method suits as things stand; `methods` says why."));
        }
        text
    }

    /// A method checked in short, from words a command did not understand.
    pub(super) fn checked_in_short(&mut self, rest: &str) -> super::views::Told {
        match self.method_in(rest) {
            Some((method, at)) => {
                let with = self.figure_behind(method, &rest[at.end..]);
                let (settings, _) = self.settings(method, &with).unwrap_or_default();
                Ok(self.short_verdict(method, settings, &with))
            }
            None => told(String::new()),
        }
    }
}

/// What most methods that can't be told yet wait for, said once, and those that would suit then: fewest provisos first.
fn provided(here: &engine::advice::SurfaceAdvice) -> Option<(String, Vec<&str>)> {
    let mut groups: Vec<(usize, String, Vec<&str>)> = Vec::new();
    for method in here.methods.iter().filter(|m| m.verdict == Verdict::CantTellYet.words()) {
        for set in &method.provided {
            let so = words::list(&set.iter().map(|p| p.says.as_str()).collect::<Vec<_>>(), "and");
            match groups.iter_mut().find(|(_, s, _)| *s == so) {
                Some((_, _, suits)) => suits.push(&method.title),
                None => groups.push((set.len(), so, vec![&method.title])),
            }
        }
    }
    groups.sort_by_key(|(many, _, suits)| (*many, std::cmp::Reverse(suits.len())));
    let (_, so, mut suits) = groups.into_iter().next()?;
    suits.truncate(MOST_NAMED);
    Some((so, suits))
}
