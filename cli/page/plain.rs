//! Plain words: ids of the rule book replaced by its titles, figures rounded to what anybody can work with.

use super::{Item, Job};
use ovolo_engine::catalogue::EntryKind;
use ovolo_engine::pack::RuleBook;
use ovolo_engine::role::FactRole;
use ovolo_engine::vocabulary::{Fact, FactKind};
use std::collections::{BTreeMap, BTreeSet};

/// What the ids of a rule book are called in a sentence.
#[derive(Debug, Default)]
pub(crate) struct Names {
    titles: BTreeMap<String, String>,
    rules: BTreeMap<String, String>,
    places: BTreeMap<String, String>,
    shorts: BTreeMap<String, String>,
    /// What the rules of a pack hold against a method.
    against: BTreeMap<String, String>,
    /// Packs whose cautions are about what can hurt people.
    dangers: BTreeSet<String>,
    /// How it reads that one is better in a part of the ranking.
    ahead: BTreeMap<String, String>,
    /// What rows of the ranking add, by what they say.
    rows: BTreeMap<String, i64>,
    facts: Vec<(Fact, BTreeMap<String, String>)>,
    /// Rules that protect people who cannot protect themselves.
    guards: BTreeSet<String>,
    /// Rules that rule out only by what is wanted.
    wanted: BTreeSet<String>,
    /// What releases a hold, by its rule.
    releases: BTreeMap<String, String>,
}

impl Names {
    /// The fact that plays a role.
    pub(super) fn with(&self, role: FactRole) -> Option<&Fact> {
        self.facts.iter().map(|(f, _)| f).find(|f| f.role == Some(role))
    }

    /// The names of a rule book, and of the places a survey and its rules are about.
    pub(crate) fn of(book: &RuleBook, place: Option<&str>) -> Self {
        let mut names = Self::default();
        // Advice on the work names nothing of what has happened.
        for (_, fact) in book.base.vocabulary.iter().filter(|(_, f)| !f.about.has_happened()) {
            let choices = fact.choice_ids(&book.base.catalogue).into_iter().enumerate();
            let titled: BTreeMap<String, String> =
                choices.map(|(i, id)| (id.to_owned(), fact.choice_title(i, &book.base.catalogue).to_owned())).collect();
            if let FactKind::Choice { .. } | FactKind::Several { .. } = fact.kind {
                for (id, title) in &titled {
                    names.add(id, title);
                }
            }
            let titled = if matches!(fact.kind, FactKind::YesNo) { BTreeMap::new() } else { titled };
            names.facts.push((fact.clone(), titled));
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
            names.guards.extend(rule.guards.then(|| rule.id.clone()));
            names.wanted.extend(rule.wanted.then(|| rule.id.clone()));
            if let Some(fact) = rule.released_by {
                names.releases.insert(rule.id.clone(), book.base.vocabulary.get(fact).id.clone());
            }
            if let Some(short) = &rule.short {
                names.shorts.insert(rule.id.clone(), short.clone());
            }
        }
        let against = book.packs.iter().filter_map(|p| Some((p.name.clone(), p.against.clone()?)));
        names.against.extend(against);
        names.dangers.extend(book.packs.iter().filter(|p| p.dangers || p.house).map(|p| p.name.clone()));
        names.ahead.extend(book.ranking.iter().filter_map(|r| Some((r.title.clone(), r.ahead.clone()?))));
        names.rows.extend(book.grades.iter().map(|g| (g.because.clone(), g.cost)));
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

    /// What a rule says where there is no room for the whole, if its pack gives that.
    pub(super) fn short(&self, rule: &str) -> Option<&str> {
        self.shorts.get(rule).map(String::as_str)
    }

    /// Whether a rule protects people who cannot protect themselves.
    pub(super) fn guards(&self, rule: &str) -> bool {
        self.guards.contains(rule)
    }

    /// Whether a rule rules out only by what is wanted: that forbids nothing.
    pub(super) fn wanted(&self, rule: &str) -> bool {
        self.wanted.contains(rule)
    }

    /// The fact that releases a hold.
    pub(super) fn released_by(&self, rule: &str) -> Option<&str> {
        self.releases.get(rule).map(String::as_str)
    }

    /// Whether a pack warns of what can hurt people; a firm's own always counts.
    pub(super) fn dangers(&self, pack: &str) -> bool {
        self.dangers.contains(pack)
    }

    /// What the rules of a pack hold against a method, in a few words.
    pub(super) fn against(&self, pack: &str) -> &str {
        self.against.get(pack).map_or("house rules", String::as_str)
    }

    /// That something is better than others in a part of the ranking.
    pub(super) fn ahead(&self, part: &str, others: &str) -> Option<String> {
        self.ahead.get(part).map(|text| text.replace("{}", others))
    }

    /// Whether a row of the ranking speaks for a method.
    pub(super) fn speaks_for(&self, because: &str) -> bool {
        self.rows.get(because).is_some_and(|cost| *cost < 0)
    }

    /// How it reads after "if" that a fact is a value: `it can be taken down`, `coat 2 is limewash`.
    pub(crate) fn so(&self, fact: &str, title: &str, about: &str, value: &str) -> String {
        let bare = fact.split(" (").next().unwrap_or(fact);
        let Some((known, choices)) = self.facts.iter().find(|(f, _)| f.id == bare) else {
            return format!("{title}: {}", self.value(value));
        };
        let named = |text: &str| -> String {
            let piece = |word: &str| {
                let id = word.trim_matches(|c: char| matches!(c, ',' | ';'));
                choices.get(id).map_or_else(|| word.to_owned(), |t| word.replacen(id, t, 1))
            };
            text.split(' ').map(piece).collect::<Vec<_>>().join(" ")
        };
        // A choice of several stands behind the fact.
        let choice = fact.strip_prefix(bare).map(|c| c.trim_matches(|c| matches!(c, ' ' | '(' | ')'))).filter(|c| !c.is_empty());
        let coat = Some(about).filter(|a| a.starts_with("coat ") || a.starts_with("coats "));
        known.so(&named(value), choice.map(named).as_deref(), coat)
    }

    /// What is to be found out, after "depends on": `whether it can be taken down`, `the kind of coat`.
    pub(super) fn open(&self, title: &str) -> String {
        let (bare, coat) = match title.split_once(" (coat ") {
            Some((bare, number)) => (bare, Some(format!("coat {}", number.trim_end_matches(')')))),
            None => (title, None),
        };
        let (bare, choice) = bare.split_once(": ").map_or((bare, None), |(b, c)| (b, Some(c)));
        match self.facts.iter().find(|(f, _)| f.title == bare) {
            Some((fact, _)) if choice.is_some() || matches!(fact.kind, FactKind::YesNo) && fact.reads.is.is_some() => {
                format!("whether {}", fact.so("yes", choice, coat.as_deref()))
            }
            _ => format!("the {title}"),
        }
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
        ovolo_engine::quantity::plain((number * scale).round() / scale)
    };
    text.replace(" .. ", " to ").split(' ').map(piece).collect::<Vec<_>>().join(" ")
}

/// How long a working day is reckoned here, in hours.
const WORKING: f64 = 8.0;

/// Hours at work as people plan them: hours, and from two working days on days.
pub(super) fn at_work(low: f64, high: f64) -> String {
    stretch(low, high, WORKING)
}

/// Hours that pass by themselves: hours, and from two days on days.
pub(super) fn waiting(low: f64, high: f64) -> String {
    stretch(low, high, 24.0)
}

fn stretch(low: f64, high: f64, day: f64) -> String {
    let told = |hours: f64| -> (String, bool) {
        let days = hours >= 2.0 * day;
        let number = if days { hours / day } else { hours };
        // Below ten half a day counts, above it two places do.
        let number = if number < 10.0 { (number * 2.0).round() / 2.0 } else { number };
        let number = if number == 0.0 && hours > 0.0 { 0.5 } else { number };
        let half = !days && (number - 0.5).abs() < f64::EPSILON;
        (if half { "half an".to_owned() } else { rounded(&ovolo_engine::quantity::plain(number)) }, days)
    };
    let word = |days: bool, number: &str| match (days, number) {
        (true, _) => "days",
        (false, "1" | "half an") => "hour",
        (false, _) => "hours",
    };
    let ((from, from_days), (to, to_days)) = (told(low), told(high));
    if low <= 0.0 {
        format!("up to {to} {}", word(to_days, &to))
    } else if from_days == to_days && from == to {
        format!("{to} {}", word(to_days, &to))
    } else if from_days == to_days && from != "half an" {
        format!("{from} to {to} {}", word(to_days, &to))
    } else {
        format!("{from} {} to {to} {}", word(from_days, &from), word(to_days, &to))
    }
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
        ovolo_engine::words::list(names, "and")
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

/// What a paper says that nobody can ask for more: no option of the program stands on it.
pub(crate) fn on_paper(job: &Job) -> Job {
    let mut job = job.clone();
    let said = |text: &mut String| {
        if text.contains("--all") {
            *text = text
                .replace(" (this and all else in full with --all)", " (the full advice says how)")
                .replace("with --all", "in the full advice");
        }
    };
    job.head.iter_mut().for_each(said);
    for section in job.sheets.iter_mut().flat_map(|s| &mut s.sections).chain(&mut job.shared) {
        said(&mut section.heading);
        for item in &mut section.items {
            [&mut item.head, &mut item.text].into_iter().chain(&mut item.under).for_each(said);
        }
    }
    job
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
        assert_eq!(at_work(2.26, 6.78), "2.5 to 7 hours");
        assert_eq!(at_work(7.0, 210.0), "7 hours to 26 days");
        assert_eq!(waiting(0.5, 72.0), "half an hour to 3 days");
        assert_eq!(waiting(0.5, 4.0), "half an hour to 4 hours");
        assert_eq!(at_work(0.0, 60.0), "up to 7.5 days");
        assert_eq!(waiting(1.0, 168.0), "1 hour to 7 days");
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
