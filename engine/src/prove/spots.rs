//! Every place and stretch of time that rules tell apart.

use crate::limit::{Period, Where};
use crate::pack::RuleBook;
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// One place in one stretch of time, in which the same rules and figures hold from the first day to the last.
#[derive(Debug, Clone)]
pub(crate) struct Spot {
    /// The place; `None` where a survey names none.
    pub(crate) place: Option<String>,
    /// The day it is looked at: the first of the stretch, or the day given where that lies within it.
    pub(crate) date: Date,
    /// The stretch, by its place in time.
    stretch: usize,
    /// By book: the place and all it is part of.
    pub(crate) chains: [Vec<String>; 2],
    /// By book: the figure of each limit.
    pub(crate) figures: [Vec<Option<f64>>; 2],
    /// By book: the day looked at (the same for both when two books are compared).
    pub(crate) dates: [Date; 2],
}

impl Spot {
    /// The place in words.
    pub(crate) fn place_words(&self, elsewhere: &str) -> String {
        match &self.place {
            None => "no place given".to_owned(),
            Some(p) if p == elsewhere => "any other place".to_owned(),
            Some(p) => p.clone(),
        }
    }

    /// Whether something with these places and this period is in force, by book.
    pub(crate) fn holds(&self, side: super::Side, place: &Where, period: Period) -> bool {
        let s = side as usize;
        place.holds(&self.chains[s]) && period.holds(self.dates[s])
    }
}

/// What to look at.
#[derive(Debug, Clone, Default)]
pub struct Range {
    /// Only this place.
    pub place: Option<String>,
    /// Only this day.
    pub date: Option<Date>,
    /// The day that examples should lie near, so that they read as of now; it changes nothing that is proved.
    pub near: Option<Date>,
}

/// The places and dates of two books.
#[derive(Debug)]
pub(crate) struct Spots {
    pub(crate) all: Vec<Spot>,
    pub(crate) places: usize,
    pub(crate) stretches: usize,
    /// The first day of each stretch, in order.
    starts: Vec<Date>,
    /// A code that no rule names: it stands for everywhere else.
    pub(crate) elsewhere: String,
}

/// Every code a book names.
fn places(book: &RuleBook, out: &mut BTreeSet<String>) {
    out.extend(book.rules.iter().flat_map(|r| r.place.codes().cloned()));
    out.extend(book.presumptions.iter().flat_map(|p| p.place.codes().cloned()));
    out.extend(book.base.limits.values().flat_map(|l| l.values.iter().filter_map(|v| v.place.clone())));
    for (group, members) in &book.places {
        out.insert(group.clone());
        out.extend(members.iter().cloned());
    }
}

/// The days on which something in a book begins, or no longer holds.
fn changes(book: &RuleBook, out: &mut BTreeSet<Date>) {
    let periods = book
        .rules
        .iter()
        .map(|r| r.period)
        .chain(book.presumptions.iter().map(|p| p.period))
        .chain(book.base.limits.values().flat_map(|l| l.values.iter().map(|v| v.period)));
    for period in periods {
        out.extend(period.from);
        out.extend(period.until.and_then(|d| d.tomorrow().ok()));
    }
}

fn figures(book: &RuleBook, chain: &[String], date: Date) -> Vec<Option<f64>> {
    book.base.limits.values().map(|l| l.in_force(chain, date).map(|v| v.quantity.base)).collect()
}

/// The codes set aside by ISO 3166 for private use: none of them is ever a country.
fn private_codes() -> impl Iterator<Item = String> {
    ('A'..='Z').map(|c| format!("X{c}"))
}

/// The places to look at, and the code that stands for everywhere else.
fn codes(books: [&RuleBook; 2], place: Option<&str>) -> (Vec<Option<String>>, String) {
    let mut named = BTreeSet::new();
    for book in books {
        places(book, &mut named);
    }
    let elsewhere = private_codes().find(|c| !named.contains(c)).unwrap_or_else(|| "ZZ".to_owned());
    let codes = match place {
        Some(place) => vec![Some(place.to_owned())],
        None => [None].into_iter().chain(named.into_iter().map(Some)).chain([Some(elsewhere.clone())]).collect(),
    };
    (codes, elsewhere)
}

impl Spots {
    /// Every place named by either book, nowhere and elsewhere, in every stretch between changes.
    pub(crate) fn new(books: [&RuleBook; 2], range: &Range) -> Self {
        let mut days = BTreeSet::new();
        for book in books {
            changes(book, &mut days);
        }
        let (codes, elsewhere) = codes(books, range.place.as_deref());
        let before = days.first().and_then(|d| d.yesterday().ok());
        let mut starts: Vec<Date> = before.into_iter().chain(days).collect();
        if starts.is_empty() {
            starts.push(jiff::civil::date(2000, 1, 1));
        }
        if let Some(date) = range.date {
            starts = vec![date];
        }
        // The stretch that holds the day given comes first, and is looked at on that day.
        let now = range.near.and_then(|near| starts.iter().rposition(|d| *d <= near).map(|at| (at, near)));
        let mut order: Vec<usize> = (0..starts.len()).collect();
        order.sort_by_key(|i| now.map_or(*i, |(at, _)| i.abs_diff(at) * 2 + usize::from(*i > at)));
        let days = order.into_iter().map(|i| {
            let day = now.filter(|(at, _)| *at == i && range.date.is_none()).map_or(starts[i], |(_, near)| near);
            (i, [day, day])
        });
        let days: Vec<(usize, [Date; 2])> = days.collect();
        Self::at(books, &codes, &days, starts, elsewhere)
    }

    /// Every place named by either book, nowhere and elsewhere, on one day for the first book and another for the second.
    pub(crate) fn between(books: [&RuleBook; 2], place: Option<&str>, dates: [Date; 2]) -> Self {
        let (codes, elsewhere) = codes(books, place);
        Self::at(books, &codes, &[(0, dates)], vec![dates[1]], elsewhere)
    }

    fn at(books: [&RuleBook; 2], codes: &[Option<String>], days: &[(usize, [Date; 2])], starts: Vec<Date>, elsewhere: String) -> Self {
        let mut all = Vec::new();
        for place in codes {
            let chains = books.map(|b| place.as_ref().map(|p| b.places_of(p)).unwrap_or_default());
            for (stretch, dates) in days {
                let figures = [figures(books[0], &chains[0], dates[0]), figures(books[1], &chains[1], dates[1])];
                all.push(Spot { place: place.clone(), date: dates[1], stretch: *stretch, chains: chains.clone(), figures, dates: *dates });
            }
        }
        Self { all, places: codes.len(), stretches: days.len(), starts, elsewhere }
    }

    /// Spots that look alike through a key, each group by its first; in order of first appearance.
    pub(crate) fn grouped<K: Ord>(&self, key: impl Fn(&Spot) -> Option<K>) -> Vec<Vec<usize>> {
        let mut groups: Vec<Vec<usize>> = Vec::new();
        let mut seen: BTreeMap<K, usize> = BTreeMap::new();
        for (i, spot) in self.all.iter().enumerate() {
            let Some(key) = key(spot) else { continue };
            let at = *seen.entry(key).or_insert_with(|| {
                groups.push(Vec::new());
                groups.len() - 1
            });
            groups[at].push(i);
        }
        groups
    }

    /// Where and when a group of spots is, in a few words.
    pub(crate) fn words(&self, group: &[usize]) -> String {
        let mut places: Vec<String> = Vec::new();
        for i in group {
            let words = self.all[*i].place_words(&self.elsewhere);
            if !places.contains(&words) {
                places.push(words);
            }
        }
        let total = places.len();
        let where_ = if total == self.places && total > 1 {
            "everywhere".to_owned()
        } else if total > 6 {
            format!("{} and {} more places", places[..5].join(", "), total - 5)
        } else {
            crate::words::list(&places, "and")
        };
        let stretches: BTreeSet<usize> = group.iter().map(|i| self.all[*i].stretch).collect();
        let (Some(first), Some(last)) = (stretches.first(), stretches.last()) else { return where_ };
        let from = (*first > 0).then(|| format!("from {}", self.starts[*first]));
        let until = self.starts.get(last + 1).and_then(|d| d.yesterday().ok()).map(|d| format!("until {d}"));
        let unbroken = last - first + 1 == stretches.len();
        let when: Vec<String> = from.into_iter().chain(until).collect();
        match (when.is_empty(), unbroken) {
            (true, true) => where_,
            (true, false) => format!("{where_}, at times"),
            (false, true) => format!("{where_}, {}", when.join(" ")),
            (false, false) => format!("{where_}, at times {}", when.join(" ")),
        }
    }
}

/// A figure as a key that sorts.
pub(crate) fn key_of(figure: Option<f64>) -> Option<u64> {
    figure.map(f64::to_bits)
}
