//! The page of a job, set as text, Markdown and HTML. What is said and in what order is settled in [`crate::page`].

mod html;
mod markdown;
mod text;

pub(crate) use html::html;
pub(crate) use markdown::markdown;
pub(crate) use text::{brief, room, text};

use ovolo_engine::advice::Advice;
use ovolo_engine::approach::{self, Day, Settings};
use ovolo_engine::explain::Circumstances;
use ovolo_engine::pack::RuleBook;
use ovolo_engine::survey::Survey;

use crate::page::{self, Detail, Form, Item, Job, Names, Part, Section, Sheet, lower, surfaces};

/// The pages, from the advice and the plan of the ways it puts first.
pub(crate) fn pages(advice: &Advice, survey: &Survey, book: &RuleBook, circumstances: &Circumstances) -> Job {
    let settings =
        Settings { surface: None, way: 0, people: 1.0, day: Day::default(), week: None, starts: survey.starts, system: survey.system };
    let plan = approach::plan(survey, book, circumstances, &settings).expect("advice was given on this survey with this book");
    page::job(advice, &plan, &Names::of(book, advice.survey.place.as_deref()), Detail::Page, room)
}

/// What is read through tells a thing once: what stood on an earlier sheet is named, and where it stood. Steps of which that is
/// true and that follow one another stand together.
struct Told {
    /// What is set off at the beginning.
    head: String,
    text: String,
    under: Vec<String>,
    /// The steps in it by their titles alone, and whether each is a chief one.
    steps: Vec<(String, bool)>,
}

fn told(section: &Section) -> Vec<Told> {
    let mut out: Vec<(Told, Shown<'_>)> = Vec::new();
    for item in &section.items {
        let shown = match &item.told {
            _ if item.text.is_empty() || item.later => Shown::Named(item.group),
            Some(on) => Shown::On(on),
            None => Shown::InFull,
        };
        // What has no name of its own is not pointed at, nor what is told for several surfaces.
        let put_off = item.later && matches!(section.part, Part::Tools | Part::Ask | Part::Maybe | Part::Before);
        if put_off || shown != Shown::InFull && item.head.is_empty() {
            continue;
        }
        let step = (lower(item.head.split([':', '(']).next().unwrap_or("").trim_end()), !item.text.is_empty());
        let joins = section.form != Form::Points && shown != Shown::InFull && item.under.is_empty();
        match out.last_mut() {
            Some((last, before)) if joins && last.under.is_empty() && *before == shown && fits(section, last, item, shown) => {
                last.head = if last.head.ends_with('?') {
                    format!("{} {}", last.head, item.head)
                } else {
                    format!("{}; {}", last.head, lower(&item.head))
                };
                last.steps.push(step);
            }
            _ => {
                let under = if item.under_told && section.part == Part::Provided { Vec::new() } else { item.under.clone() };
                let text = if shown == Shown::InFull { item.text.clone() } else { String::new() };
                out.push((Told { head: item.head.clone(), text, under, steps: vec![step] }, shown));
            }
        }
    }
    let pointed = |(told, shown): (Told, Shown<'_>)| match shown {
        Shown::On(on) if section.form == Form::Pairs => Told { text: format!("as on {on}"), ..told },
        Shown::On(on) => Told { head: format!("{} (as on {on})", told.head), ..told },
        Shown::InFull | Shown::Named(_) => told,
    };
    out.into_iter().map(pointed).collect()
}

/// The longest row of steps that are only named: it stands in one line of a page of the usual width.
const LONGEST: usize = 70;

fn fits(section: &Section, last: &Told, item: &Item, shown: Shown<'_>) -> bool {
    match shown {
        Shown::Named(_) => section.form != Form::Ticks && last.head.chars().count() + item.head.chars().count() < LONGEST,
        _ => true,
    }
}

/// A run of steps at least this long that an earlier sheet has too is pointed at.
const RUN: usize = 2;

/// A single step longer than this is pointed at too.
const LONG: usize = 35;

/// The rows of a section with their numbers; a run of steps that an earlier sheet has too is pointed at there.
fn rows(section: &Section, sheet: &str, earlier: &mut Vec<(String, Vec<String>)>) -> Vec<(String, Told)> {
    let all = told(section);
    if section.part != Part::Do {
        return all.into_iter().enumerate().map(|(at, t)| ((at + 1).to_string(), t)).collect();
    }
    let row = |t: &Told| if t.text.is_empty() && t.under.is_empty() { t.head.clone() } else { String::new() };
    let names: Vec<String> = all.iter().map(row).collect();
    let (mut out, mut shown) = (Vec::new(), Vec::new());
    let mut at = 0;
    let mut all = all.into_iter();
    while at < names.len() {
        let mut best = (0, "");
        for (name, steps) in earlier.iter() {
            for from in 0..steps.len() {
                let same = names[at..].iter().zip(&steps[from..]).take_while(|(a, b)| a == b && !a.is_empty()).count();
                if same > best.0 {
                    best = (same, name);
                }
            }
        }
        let (same, name) = best;
        if same >= RUN || same == 1 && names[at].chars().count() > LONG {
            let steps: Vec<(String, bool)> = all.by_ref().take(same).flat_map(|t| t.steps).collect();
            let number = if same == 1 { (at + 1).to_string() } else { format!("{}\u{2013}{}", at + 1, at + same) };
            out.push((number, Told { head: pointer(name, &steps), text: String::new(), under: Vec::new(), steps: Vec::new() }));
            // A pointer leads to where the steps stand, not to another pointer.
            shown.extend(std::iter::repeat_n(String::new(), same));
            at += same;
        } else {
            out.extend(all.next().map(|t| ((at + 1).to_string(), t)));
            shown.push(names[at].clone());
            at += 1;
        }
    }
    earlier.push((sheet.to_owned(), shown));
    out
}

/// Steps that stand on an earlier sheet, by the titles of the chief ones: of all where none is.
fn pointer(sheet: &str, steps: &[(String, bool)]) -> String {
    let chief: Vec<&str> = steps.iter().filter(|(_, chief)| *chief).map(|(t, _)| t.as_str()).collect();
    let titles: Vec<&str> = if chief.is_empty() { steps.iter().map(|(t, _)| t.as_str()).collect() } else { chief };
    format!("As on {sheet}: {}", titles.join(", "))
}

/// How much of an item is shown.
#[derive(Clone, Copy, PartialEq)]
enum Shown<'a> {
    InFull,
    /// By name, among the others of its group.
    Named(usize),
    /// By name, with the surface on which it stands in full.
    On(&'a str),
}

/// The answer as it is read through, and why: what an earlier sheet says is pointed at.
fn answer(sheet: &Sheet) -> (String, &str) {
    let answer = match &sheet.called_on {
        Some((_, then)) if !sheet.same_as.is_empty() => format!("As on {}: {then}", surfaces(&sheet.same_as)),
        Some((on, then)) => format!("Do not start, as on {on}: {then}"),
        None if sheet.same_as.is_empty() => sheet.answer.clone(),
        None => format!("As on {}: {}", surfaces(&sheet.same_as), lower(&sheet.answer)),
    };
    (answer, if sheet.why_told { "" } else { &sheet.why })
}

/// The head of an item with its text: a question keeps its mark, anything else gets a stop.
fn joined(head: &str, text: &str) -> String {
    match (head.is_empty(), text.is_empty()) {
        (true, _) => text.to_owned(),
        (false, true) => head.to_owned(),
        (false, false) if head.ends_with(['.', '?', '!', ':']) => format!("{head} {text}"),
        (false, false) => format!("{head}. {text}"),
    }
}

/// The coats as they are read through.
fn coats(sheet: &Sheet) -> String {
    sheet.coats_as.as_ref().map_or_else(|| sheet.coats.clone(), |on| format!("Coats as on {on}."))
}

/// A section of one line as it is read through.
fn through(section: &Section) -> String {
    if let Some(on) = &section.same_as {
        return format!("as on {on}.");
    }
    if section.part == Part::People {
        let mut on: Vec<&str> = section.items.iter().filter_map(|i| i.told.as_deref()).collect();
        on.dedup();
        let pointed = (!on.is_empty()).then(|| Item { head: format!("as on {}", surfaces(&on)), ..Item::default() });
        let own = section.items.iter().filter(|i| i.told.is_none()).cloned();
        return line(&pointed.into_iter().chain(own).collect::<Vec<_>>());
    }
    // A way that an earlier sheet names with the same figures is pointed at.
    let named = |item: &Item| match &item.told {
        Some(on) => {
            Item { head: format!("{} as on {on}", item.head.split([' ', ':']).take(2).collect::<Vec<_>>().join(" ")), ..item.clone() }
        }
        None => item.clone(),
    };
    line(&section.items.iter().map(named).collect::<Vec<_>>())
}

/// A section of one line: its items one after the other.
fn line(items: &[Item]) -> String {
    let heads: Vec<&str> = items.iter().map(|i| i.head.as_str()).collect();
    let text = heads.join("; ");
    if text.ends_with(['.', '?', '!']) { text } else { text + "." }
}
