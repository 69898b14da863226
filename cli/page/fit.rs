//! Making a sheet fit: what is too long to work from is shortened, the least needed first. Nothing that
//! forbids, holds, warns or stops is.

use super::{Item, Part, Section, Sheet};

/// The most words of a sheet.
const MOST_WORDS: usize = 340;

/// Shortens a sheet until it fits, or nothing is left that may be shortened.
pub(super) fn fit(sheet: &mut Sheet) {
    for shorten in [fewer_questions, one_way, maybe_together, one_question, no_maybe, no_question, no_ways] {
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
        let hidden = i.later && matches!(part, Part::Tools | Part::Ask | Part::Maybe | Part::Before);
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
            let names: Vec<String> = rest.iter().map(|i| super::lower(&i.head).replace(" and ", ", ")).collect();
            section.items.retain(|i| i.later || !rest.contains(i));
            section.items.push(Item::new(super::plain::upper(&names.join(", ")), "not known yet"));
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
