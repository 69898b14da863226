//! Plain words: ids of the rule book replaced by its titles, figures rounded to what anybody can work with.

use super::{Item, Job};
use engine::catalogue::EntryKind;
use engine::pack::RuleBook;
use engine::vocabulary::FactKind;
use std::collections::BTreeMap;

/// What the ids of a rule book are called in a sentence.
#[derive(Debug, Default)]
pub(crate) struct Names {
    titles: BTreeMap<String, String>,
    rules: BTreeMap<String, String>,
    places: BTreeMap<String, String>,
}

impl Names {
    /// The names of a rule book, and of the places a survey and its rules are about.
    pub(crate) fn of(book: &RuleBook, place: Option<&str>) -> Self {
        let mut names = Self::default();
        for (_, fact) in book.base.vocabulary.iter() {
            if let FactKind::Choice { .. } | FactKind::Several { .. } = fact.kind {
                for (index, id) in fact.choice_ids(&book.base.catalogue).into_iter().enumerate() {
                    names.add(id, fact.choice_title(index, &book.base.catalogue));
                }
            }
        }
        for kind in EntryKind::ALL {
            for (id, entry) in book.base.catalogue.entries(kind) {
                names.titles.insert(id.clone(), entry.title.clone());
            }
        }
        for rule in &book.rules {
            if let Some(title) = &rule.title {
                names.rules.insert(rule.id.clone(), title.clone());
            }
        }
        for code in place.into_iter().flat_map(|p| book.places_of(p)) {
            if let Some(title) = book.place_title(&code) {
                names.places.insert(code.clone(), title.to_owned());
            }
        }
        names
    }

    fn add(&mut self, id: &str, title: &str) {
        self.titles.entry(id.to_owned()).or_insert_with(|| title.to_owned());
    }

    /// A method or another entry by its id.
    pub(crate) fn entry<'a>(&'a self, id: &'a str) -> &'a str {
        self.titles.get(id).map_or(id, String::as_str)
    }

    /// A rule by its heading.
    pub(crate) fn rule<'a>(&'a self, id: &'a str) -> &'a str {
        self.rules.get(id).map_or(id, String::as_str)
    }

    /// A place by its name.
    pub(crate) fn place<'a>(&'a self, code: &'a str) -> &'a str {
        self.places.get(code).map_or(code, String::as_str)
    }

    /// A value with the ids in it named: words with a hyphen are the ones nobody says.
    pub(crate) fn value(&self, text: &str) -> String {
        let piece = |word: &str| -> String {
            let bare = word.trim_matches(|c: char| matches!(c, ',' | ';' | '.' | ':' | '(' | ')'));
            match self.titles.get(bare).filter(|_| bare.contains('-')) {
                Some(title) => word.replacen(bare, title, 1),
                None => word.to_owned(),
            }
        };
        text.split(' ').map(piece).collect::<Vec<_>>().join(" ")
    }
}

/// A capital at the beginning.
pub(super) fn upper(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

/// A small letter at the beginning, unless an abbreviation stands there.
pub(crate) fn lower(text: &str) -> String {
    let mut chars = text.chars();
    if text.chars().nth(1).is_some_and(char::is_uppercase) {
        return text.to_owned();
    }
    chars.next().map_or_else(String::new, |c| c.to_lowercase().chain(chars).collect())
}

/// A sentence: a capital at the beginning, a stop at the end.
pub(super) fn sentence(text: &str) -> String {
    let text = upper(text.trim());
    if text.is_empty() || text.ends_with(['.', '?', '!']) { text } else { text + "." }
}

/// A figure with its range, to two places: `1.26 .. 8.78 h` is told as `1.3 to 8.8 h`.
pub(super) fn rounded(text: &str) -> String {
    let piece = |word: &str| -> String {
        let Ok(number) = word.replace(',', "").parse::<f64>() else { return word.to_owned() };
        if number == 0.0 || number.fract() == 0.0 && number.abs() < 100.0 {
            return word.to_owned();
        }
        #[expect(clippy::cast_possible_truncation, reason = "the size of a number of hours or kilograms")]
        let places = 1 - number.abs().log10().floor() as i32;
        let scale = 10_f64.powi(places);
        engine::quantity::plain((number * scale).round() / scale)
    };
    text.replace(" .. ", " to ").split(' ').map(piece).collect::<Vec<_>>().join(" ")
}

/// A date as people write it: `2026-10-01` is 1 October 2026.
pub(super) fn day(iso: &str) -> String {
    let months = ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"];
    let told = || {
        let mut parts = iso.split('-');
        let (year, month, day) = (parts.next()?, parts.next()?.parse::<usize>().ok()?, parts.next()?.parse::<usize>().ok()?);
        Some(format!("{day} {} {year}", months.get(month.checked_sub(1)?)?))
    };
    told().unwrap_or_else(|| iso.to_owned())
}

/// Names of surfaces in a row: some hold commas themselves.
pub(crate) fn surfaces<T: AsRef<str>>(names: &[T]) -> String {
    if names.iter().any(|n| n.as_ref().contains(',')) {
        names.iter().map(AsRef::as_ref).collect::<Vec<_>>().join("; ")
    } else {
        engine::words::list(names, "and")
    }
}

/// Ranges are told with "to" everywhere.
pub(super) fn tidy(job: &mut Job) {
    let item = |item: &mut Item| {
        for text in [&mut item.head, &mut item.text].into_iter().chain(&mut item.under) {
            *text = text.replace(" .. ", " to ");
        }
    };
    for sheet in &mut job.sheets {
        sheet.answer = sheet.answer.replace(" .. ", " to ");
        sheet.sections.iter_mut().flat_map(|s| &mut s.items).for_each(item);
    }
    job.shared.iter_mut().flat_map(|s| &mut s.items).for_each(item);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_rounded_and_days_are_named() {
        assert_eq!(rounded("1.26 .. 8.78 h"), "1.3 to 8.8 h");
        assert_eq!(rounded("0.632 .. 8.19 kg"), "0.63 to 8.2 kg");
        assert_eq!(rounded("10,971 .. 35,556 ppm"), "11,000 to 36,000 ppm");
        assert_eq!(rounded("0 h"), "0 h");
        assert_eq!(rounded("1 .. 168 h"), "1 to 170 h");
        assert_eq!(rounded("not known"), "not known");
        assert_eq!(day("2026-10-01"), "1 October 2026");
        assert_eq!(day("soon"), "soon");
        assert_eq!(sentence("stop"), "Stop.");
    }

    #[test]
    fn only_ids_with_a_hyphen_are_replaced() {
        let mut names = Names::default();
        names.add("soft-distemper", "soft distemper");
        names.add("listed", "listed or individually protected");
        assert_eq!(names.value("limewash, soft-distemper, or listed"), "limewash, soft distemper, or listed");
        assert_eq!(names.value("lead-free"), "lead-free");
    }
}
