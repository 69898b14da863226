//! Making a sheet fit: what is too long to work from is shortened, the least needed first. Nothing that forbids, holds or stops is.

use super::{Form, Item, Part, Section, Sheet};

/// The most words of a sheet.
const MOST_WORDS: usize = 340;

/// What is named before the rest is only counted.
const NAMED: usize = 6;

/// Shortens a sheet until it fits, or nothing is left that may be shortened.
pub(super) fn fit(sheet: &mut Sheet) {
    for shorten in [cautions_by_name, fewer_questions, one_way, fewer_names, maybe_together, no_questions_behind] {
        if words(sheet) <= MOST_WORDS {
            return;
        }
        shorten(sheet);
        sheet.sections.retain(|s| !s.items.is_empty());
    }
}

/// Words as they are read on the sheet.
fn words(sheet: &Sheet) -> usize {
    let count = |text: &str| text.split_whitespace().filter(|w| w.contains(char::is_alphanumeric)).count();
    let item = |part: Part, i: &Item| {
        let hidden = i.later && matches!(part, Part::Tools | Part::Ask | Part::Maybe);
        if hidden {
            return 0;
        }
        let text = if i.later || i.told.is_some() { 0 } else { count(&i.text) };
        count(&i.head) + text + i.under.iter().map(|u| count(u)).sum::<usize>()
    };
    let section = |s: &Section| count(&s.heading) + s.items.iter().map(|i| item(s.part, i)).sum::<usize>();
    count(&sheet.answer) + count(&sheet.why) + count(&sheet.coats) + sheet.sections.iter().map(section).sum::<usize>()
}

fn of(sheet: &mut Sheet, part: Part) -> impl Iterator<Item = &mut Section> {
    sheet.sections.iter_mut().filter(move |s| s.part == part)
}

/// Cautions are named; in full they stand with --all.
fn cautions_by_name(sheet: &mut Sheet) {
    let names: Vec<Item> =
        of(sheet, Part::Mind).flat_map(|s| std::mem::take(&mut s.items)).map(|i| Item::head(super::lower(&i.head))).collect();
    if let Some(named) = of(sheet, Part::Named).next() {
        named.items.splice(0..0, names);
    } else if let Some(at) = sheet.sections.iter().position(|s| s.part == Part::Mind) {
        sheet.sections.insert(at, Section::new(super::work::NAMED, Form::Line, names).set_off(Part::Named));
    }
}

fn fewer_questions(sheet: &mut Sheet) {
    of(sheet, Part::Ask).for_each(|s| s.items.truncate(2));
}

fn one_way(sheet: &mut Sheet) {
    of(sheet, Part::Ways).for_each(|s| s.items.truncate(1));
}

fn fewer_names(sheet: &mut Sheet) {
    for section in of(sheet, Part::Named).filter(|s| s.items.len() > NAMED + 1) {
        let more = section.items.len() - NAMED;
        section.items.truncate(NAMED);
        section.items.push(Item::head(format!("and {more} more")));
    }
}

/// What might suit is named together, but for the first.
fn maybe_together(sheet: &mut Sheet) {
    for section in of(sheet, Part::Maybe) {
        let rest: Vec<Item> = section.items.iter().skip(1).filter(|i| !i.later).cloned().collect();
        if rest.len() > 1 {
            let names: Vec<String> = rest.iter().map(|i| super::lower(&i.head).replace(" and ", ", ")).collect();
            section.items.retain(|i| i.later || !rest.contains(i));
            section.items.push(Item::new(super::plain::upper(&names.join(", ")), "each depends on what is not known yet"));
        }
    }
}

fn no_questions_behind(sheet: &mut Sheet) {
    of(sheet, Part::Ask).for_each(|s| s.items.truncate(1));
}
