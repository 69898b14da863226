//! Making a sheet fit: what is too long to work from is shortened, the least needed first. Nothing that
//! forbids, holds, warns or stops is.

use super::{Form, Item, Part, Section, Sheet};

/// The most words of a sheet, and the most lines.
const MOST: Room = Room { words: 350, lines: 45 };

/// What a sheet takes where it is read through.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Room {
    pub(crate) words: usize,
    pub(crate) lines: usize,
}

/// Shortens a sheet until it fits, or nothing is left that may be shortened.
pub(super) fn fit(sheet: &mut Sheet, measure: impl Fn(&Sheet) -> Room) {
    for shorten in [
        fewer_questions,
        one_way,
        maybe_together,
        one_question,
        no_maybe,
        no_question,
        no_ways,
        spare_names,
        first_of_people,
        no_reasons_of_departures,
        one_sentence,
        fold_steps,
        first_look,
        no_why,
        one_figure,
        few_reasons,
        no_matters_to_look_at,
        no_sentence,
    ] {
        let room = measure(sheet);
        if room.words <= MOST.words && room.lines <= MOST.lines {
            return;
        }
        shorten(sheet);
        sheet.sections.retain(|s| !s.items.is_empty());
    }
}

fn of(sheet: &mut Sheet, part: Part) -> impl Iterator<Item = &mut Section> {
    sheet.sections.iter_mut().filter(move |s| s.part == part)
}

fn fewer_questions(sheet: &mut Sheet) {
    of(sheet, Part::Ask).for_each(|s| s.items.truncate(2));
}

fn one_way(sheet: &mut Sheet) {
    of(sheet, Part::Ways).for_each(|s| s.items.truncate(1));
}

/// What might suit is named together, but for the first.
fn maybe_together(sheet: &mut Sheet) {
    for section in of(sheet, Part::Maybe) {
        let rest: Vec<Item> = section.items.iter().skip(1).filter(|i| !i.later).cloned().collect();
        if rest.len() > 1 {
            let names: Vec<String> = rest.iter().map(|i| super::lower(&i.head)).collect();
            section.items.retain(|i| i.later || !rest.contains(i));
            section.items.push(Item::new(super::plain::upper(&names.join("; ")), "not known yet"));
        }
    }
}

fn one_question(sheet: &mut Sheet) {
    of(sheet, Part::Ask).for_each(|s| s.items.truncate(1));
}

/// What might suit once more is known stands with --all.
fn no_maybe(sheet: &mut Sheet) {
    of(sheet, Part::Maybe).for_each(|s| s.items.retain(|i| i.later));
}

fn no_question(sheet: &mut Sheet) {
    of(sheet, Part::Ask).for_each(|s| s.items.retain(|i| i.later));
}

fn no_ways(sheet: &mut Sheet) {
    of(sheet, Part::Ways).for_each(|s| s.items.clear());
}

/// Names of cautions are counted, but for what can hurt people and what the law wants.
fn spare_names(sheet: &mut Sheet) {
    for section in of(sheet, Part::Named) {
        let more = section.items.iter().filter(|i| i.spared).count();
        if more > 1 {
            section.items.retain(|i| !i.spared);
            section.items.push(Item::head(format!("{more} more with --all")));
        }
    }
}

fn no_reasons_of_departures(sheet: &mut Sheet) {
    of(sheet, Part::Departures).flat_map(|s| &mut s.items).for_each(|i| i.text.clear());
}

/// The second caution in a sentence is named instead.
fn one_sentence(sheet: &mut Sheet) {
    name_from(sheet, 1);
}

/// Cautions are named, all of them.
fn no_sentence(sheet: &mut Sheet) {
    name_from(sheet, 0);
}

/// Whom to keep away comes first; the rest for people near stands in full once for the job.
fn first_of_people(sheet: &mut Sheet) {
    of(sheet, Part::People).for_each(|s| s.items.truncate(1));
}

fn name_from(sheet: &mut Sheet, first: usize) {
    let second: Vec<Item> = of(sheet, Part::Mind).flat_map(|s| s.items.drain(first.min(s.items.len())..)).collect();
    let names: Vec<Item> = second.iter().map(|i| Item::head(super::lower(&i.head))).collect();
    if names.is_empty() {
        return;
    }
    if let Some(named) = of(sheet, Part::Named).next() {
        named.items.splice(0..0, names);
    } else if let Some(at) = sheet.sections.iter().position(|s| s.part == Part::Mind) {
        sheet.sections.insert(at + 1, Section::new(super::work::NAMED, Form::Line, names).set_off(Part::Named));
    }
}

fn no_why(sheet: &mut Sheet) {
    sheet.why.clear();
}

/// The work is what a sheet is planned by; drying and waste stand with --all.
fn one_figure(sheet: &mut Sheet) {
    of(sheet, Part::Figures).for_each(|s| s.items.truncate(1));
}

/// Why not stands beside the first three; the rest is named together, with nothing left out.
fn few_reasons(sheet: &mut Sheet) {
    for section in of(sheet, Part::Not).filter(|s| s.items.len() > 4) {
        let rest: Vec<String> = section.items.split_off(3).iter().map(|i| i.head.clone()).collect();
        section.items.push(Item::head(rest.join("; ")));
    }
}

/// Of what is taken for granted the first thing to do, and the first that follows if it is otherwise.
fn first_look(sheet: &mut Sheet) {
    for item in of(sheet, Part::Provided).flat_map(|s| &mut s.items) {
        if let Some((first, _)) = item.text.split_once(". ") {
            item.text = format!("{first}.");
        }
        for under in &mut item.under {
            if let Some((first, _)) = under.split_once(". ") {
                *under = format!("{first}.");
            }
        }
    }
}

/// That a step hangs on a look stays; what to look at stands above and with --all.
fn no_matters_to_look_at(sheet: &mut Sheet) {
    let short = |text: &mut String| {
        while let Some(at) = text.find(super::LOOK_FIRST) {
            let from = at + super::LOOK_FIRST.len();
            // What is looked at may have brackets of its own.
            let mut open = 1;
            let closes = |c: char| {
                open += i32::from(c == '(') - i32::from(c == ')');
                open == 0
            };
            let Some(end) = text[from..].find(closes) else { return };
            text.replace_range(at..=from + end, "(look first)");
        }
    };
    for item in of(sheet, Part::Do).flat_map(|s| &mut s.items) {
        short(&mut item.head);
        short(&mut item.text);
    }
}

/// Steps stand in fuller rows, whatever stage they belong to.
fn fold_steps(sheet: &mut Sheet) {
    of(sheet, Part::Do).flat_map(|s| &mut s.items).for_each(|i| i.group = 0);
}
