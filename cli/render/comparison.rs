//! A comparison of rule books as text.

use super::Page;
use ovolo_engine::compare::{Comparison, RuleChange, SurveyChange, SurveyChanges, Turn};
use ovolo_engine::words;
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// The most rules or surveys listed in one line.
const MOST_NAMED: usize = 12;

/// The most ways told of one rule.
const MOST_TURNS: usize = 3;

/// The whole of it, without saved surveys. `written` gives the file of each survey that was written out, by its text.
pub(crate) fn show(found: &Comparison, names: &[String; 2], written: &[(String, String)], page: &Page) -> String {
    let mut out = page.paragraph("", "", &format!("Before: {}. After: {}.", names[0], names[1]));
    let restricting = |r: &&RuleChange| r.restricts();
    let looser: Vec<&RuleChange> = found.rules.iter().filter(restricting).filter(|r| !r.less.is_empty()).collect();
    let stricter: Vec<&RuleChange> = found.rules.iter().filter(restricting).filter(|r| !r.more.is_empty()).collect();
    let advice: Vec<&RuleChange> = found.rules.iter().filter(|r| !r.restricts() && (!r.less.is_empty() || !r.more.is_empty())).collect();
    let worded: Vec<&RuleChange> = found.rules.iter().filter(|r| !r.worded.is_empty()).collect();
    let only: Vec<&&RuleChange> = worded.iter().filter(|r| r.less.is_empty() && r.more.is_empty()).collect();
    let answered = looser.iter().filter(|r| r.needs_sign_off()).count();
    let unsigned = found.unsigned().count();
    out.push_str(&page.paragraph(
        "",
        "",
        &format!(
            "Over all situations ({}, {}): {} looser, {} stricter; {} said in other situations; {} only re-worded; {} as they were.",
            count(found.places, "place"),
            count(found.stretches, "stretch of time"),
            count(looser.len(), "rule"),
            count(stricter.len(), "rule"),
            count(advice.len(), "preference or note"),
            count(only.len(), "rule"),
            found.same
        ),
    ));
    let law = match (answered, unsigned) {
        (0, _) => "No rule of law or standard says less.".to_owned(),
        (n, 0) => format!("{} of law or standard {} less, each with a sign-off.", count(n, "rule"), if n == 1 { "says" } else { "say" }),
        (n, u) => {
            format!("{} of law or standard {} less; {u} without a sign-off.", count(n, "rule"), if n == 1 { "says" } else { "say" })
        }
    };
    out.push_str(&page.paragraph("", "", &law));
    if found.bound {
        out.push_str(&page.paragraph(
            "",
            "",
            "The bound of the work was reached: there may be more than is told here. Raise it with --most-steps.",
        ));
    }
    list(&mut out, "Looser", &looser, |r| &r.less, true, written, page);
    list(&mut out, "Stricter", &stricter, |r| &r.more, false, written, page);
    if !advice.is_empty() {
        out.push_str(&page.minor("Preferences and notes"));
        for rule in advice {
            for (turns, how) in [(&rule.less, "fewer"), (&rule.more, "more")] {
                if let Some(turn) = turns.first() {
                    let whole = turn.survey.is_none() && turn.place.is_empty();
                    let how = if whole { String::new() } else { format!("in {how} situations; ") };
                    out.push_str(&page.point(&format!("{}: {how}{}.", title(rule), told(turn))));
                }
            }
        }
    }
    if !worded.is_empty() {
        out.push_str(&page.minor("Re-worded"));
        for rule in worded {
            out.push_str(&page.point(&format!("{}: {}.", rule.id, words::list(&owned(&rule.worded), "and"))));
        }
    }
    around(&mut out, found, page);
    out
}

fn count(n: usize, one: &str) -> String {
    let many = match one.split_once(" of ") {
        Some((first, rest)) => format!("{} of {rest}", plural(first)),
        None => one.split(" or ").map(plural).collect::<Vec<_>>().join(" or "),
    };
    if n == 1 { format!("1 {one}") } else { format!("{n} {many}") }
}

fn plural(word: &str) -> String {
    if word.ends_with("ch") { format!("{word}es") } else { format!("{word}s") }
}

fn owned(all: &[&str]) -> Vec<String> {
    all.iter().map(|s| (*s).to_owned()).collect()
}

fn title(rule: &RuleChange) -> String {
    format!("{} ({}, {}, {})", rule.id, rule.ruling.word(), rule.basis.word(), rule.pack)
}

/// A change in a line.
fn told(turn: &Turn) -> String {
    let place = if turn.place.is_empty() { String::new() } else { format!(" ({})", turn.place) };
    format!("{}{place}", turn.what)
}

fn list<'r>(
    out: &mut String,
    heading: &str,
    all: &[&'r RuleChange],
    turns: impl Fn(&'r RuleChange) -> &'r Vec<Turn>,
    answered: bool,
    written: &[(String, String)],
    page: &Page,
) {
    if all.is_empty() {
        return;
    }
    out.push_str(&page.heading(heading));
    for (i, rule) in all.iter().enumerate() {
        out.push_str(&page.minor(&format!("{}. {}", i + 1, crate::problems::harmless(&title(rule)))));
        for turn in turns(rule).iter().take(MOST_TURNS) {
            one(out, turn, written, page);
        }
        if let Some(more @ 1..) = turns(rule).len().checked_sub(MOST_TURNS) {
            out.push_str(&page.paragraph("", "", &format!("And in {} more; -o writes a survey for each.", count(more, "way"))));
        }
        if answered && rule.needs_sign_off() {
            sign_off(out, rule, page);
        }
    }
}

fn one(out: &mut String, turn: &Turn, written: &[(String, String)], page: &Page) {
    let what = if turn.what.starts_with("it ") || turn.what.starts_with("its ") { turn.what.clone() } else { format!("it {}", turn.what) };
    let mut letters = what.chars();
    let what: String = letters.next().into_iter().flat_map(char::to_uppercase).chain(letters).collect();
    out.push_str(&page.paragraph("", "", &format!("{what}.")));
    if !turn.place.is_empty() {
        out.push_str(&page.paragraph("Where: ", "  ", &format!("{}.", turn.place)));
    }
    if !turn.methods.is_empty() {
        out.push_str(&page.paragraph("Methods: ", "  ", &format!("{}.", turn.methods.join(", "))));
    }
    let Some(survey) = &turn.survey else { return };
    let verdicts = match &survey.verdicts {
        [Some(a), Some(b)] => format!(" Verdict: {a} before, {b} after."),
        _ => String::new(),
    };
    let method = survey.method.as_ref().map_or_else(String::new, |m| format!("{m}, "));
    let does = if survey.rule[0].is_empty() {
        String::new()
    } else {
        format!(" The rule {} before, and {} after.", survey.rule[0], survey.rule[1])
    };
    out.push_str(&page.paragraph("Smallest survey: ", "  ", &format!("{method}{}.{verdicts}{does}", survey.facts)));
    if let Some((_, name)) = written.iter().find(|(text, _)| *text == survey.text) {
        out.push_str(&page.paragraph("Written to: ", "  ", name));
    }
}

fn sign_off(out: &mut String, rule: &RuleChange, page: &Page) {
    if let Some(s) = &rule.signed {
        let date = s.date.map_or_else(String::new, |d| format!(" on {d}"));
        out.push_str(&page.paragraph("Signed off: ", "  ", &format!("by {}{date}: {}", s.by, s.why)));
        return;
    }
    let wants = format!(
        "[[sign-off]] rule = \"{}\", digest = \"{}\", with by, date and why, in pack {}, once somebody answers for it.",
        rule.id, rule.state, rule.pack
    );
    out.push_str(&page.paragraph("Not signed off. ", "  ", &wants));
    for s in &rule.lapsed {
        out.push_str(&page.paragraph("  ", "  ", &format!("The sign-off by {} was given for another state of it ({}).", s.by, s.digest)));
    }
}

/// Presumptions, figures, names, and what is not known.
fn around(out: &mut String, found: &Comparison, page: &Page) {
    if !found.presumptions.is_empty() {
        out.push_str(&page.minor("What is presumed"));
        for p in &found.presumptions {
            out.push_str(&page.point(&format!("{} ({}, {}, {}): {}.", p.id, p.fact, p.basis.word(), p.pack, p.what.join("; "))));
        }
        out.push_str(&page.paragraph(
            "  ",
            "  ",
            "What this makes looser or stricter is worked out above for rules of law and standard; for the others, saved surveys show it.",
        ));
    }
    if !found.limits.is_empty() {
        out.push_str(&page.minor("Figures"));
        for limit in &found.limits {
            for f in &limit.figures {
                let figure = |f: &Option<String>| f.clone().unwrap_or_else(|| "none".to_owned());
                let how = match f.stricter {
                    Some(true) => ", stricter",
                    Some(false) => ", looser",
                    None => "",
                };
                out.push_str(&page.point(&format!(
                    "{} ({}): from {} to {}{how} ({}).",
                    limit.title,
                    limit.id,
                    figure(&f.before),
                    figure(&f.after),
                    f.place
                )));
            }
        }
    }
    if !found.names.is_empty() {
        out.push_str(&page.minor("Facts, entries, limits and sources"));
        let groups: BTreeSet<_> = found.names.iter().map(|n| (n.what, n.kind)).collect();
        for (what, kind) in groups {
            let ids: Vec<String> = found.names.iter().filter(|n| n.what == what && n.kind == kind).map(|n| n.id.clone()).collect();
            out.push_str(&page.point(&format!("{kind} {}: {}.", what.word(), few(&ids))));
        }
    }
    for (title, list) in [("Not known", &found.unknown), ("Remarks", &found.remarks)] {
        if !list.is_empty() {
            out.push_str(&page.minor(title));
            for line in list {
                out.push_str(&page.point(&format!("{line}.")));
            }
        }
    }
}

fn few(all: &[String]) -> String {
    if all.len() <= MOST_NAMED {
        return words::list(all, "and");
    }
    format!("{} and {} more", all[..MOST_NAMED].join(", "), all.len() - MOST_NAMED)
}

/// What became of saved surveys.
pub(crate) fn surveys(all: &[(String, SurveyChanges)], unread: usize, found: &Comparison, page: &Page) -> String {
    let mut out = page.heading("Saved surveys");
    let looser = |c: &SurveyChanges| c.verdicts.iter().any(|v| v.looser() == Some(true));
    let stricter = |c: &SurveyChanges| c.verdicts.iter().any(|v| v.looser() == Some(false));
    let number = |test: &dyn Fn(&SurveyChanges) -> bool| all.iter().filter(|(_, c)| test(c)).count();
    let otherwise = |c: &SurveyChanges| !c.came.is_empty() || !c.went.is_empty();
    let only = |c: &SurveyChanges| !c.reworded.is_empty() && c.verdicts.is_empty() && c.came.is_empty() && c.went.is_empty();
    out.push_str(&page.paragraph(
        "",
        "",
        &format!(
            "{} looked at: some verdict is looser in {}, stricter in {}; something else is said in {}; {} only re-worded; {} the same.{}",
            count(all.len(), "survey"),
            number(&looser),
            number(&stricter),
            number(&otherwise),
            number(&only),
            number(&SurveyChanges::none),
            if unread == 0 { String::new() } else { format!(" {unread} could not be read.") }
        ),
    ));
    for (name, changes) in all.iter().filter(|(_, c)| !c.none()) {
        out.push_str(&page.minor(&crate::problems::harmless(name)));
        for change in &changes.verdicts {
            out.push_str(&page.point(&verdict(change, found)));
        }
        for (list, how) in [(&changes.came, "said now"), (&changes.went, "no longer said")] {
            let surfaces: BTreeSet<&String> = list.iter().map(|(surface, _)| surface).collect();
            for surface in surfaces {
                let rules: Vec<String> = list.iter().filter(|(s, _)| s == surface).map(|(_, r)| r.clone()).collect();
                out.push_str(&page.point(&format!("{surface}: {how}: {}.", few(&rules))));
            }
        }
        if !changes.reworded.is_empty() {
            let rules: Vec<String> = changes.reworded.iter().cloned().collect();
            out.push_str(&page.point(&format!("re-worded: {}.", few(&rules))));
        }
    }
    out
}

fn verdict(change: &SurveyChange, found: &Comparison) -> String {
    let how = match change.looser() {
        Some(true) => "looser",
        Some(false) => "stricter",
        None => "otherwise",
    };
    let mut text = format!("{how}: {} on {}: {}, was {}", change.method, change.surface, change.after.word(), change.before.word());
    if !change.went.is_empty() {
        let _ = write!(text, "; no longer: {}", few(&change.went));
    }
    if !change.came.is_empty() {
        let _ = write!(text, "; now: {}", few(&change.came));
    }
    let open: Vec<String> = found.unsigned().filter(|r| change.went.contains(&r.id)).map(|r| r.id.clone()).collect();
    if !open.is_empty() {
        let _ = write!(text, "; not signed off: {}", few(&open));
    }
    text + "."
}
