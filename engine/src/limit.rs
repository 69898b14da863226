//! Limits: named figures with a unit, as dated series per place, and the direction that is stricter.

use crate::quantity::{Quantity, Unit};
use crate::role::{LimitRole, Plays};
use crate::toml_read::Place;
use crate::words;
use jiff::civil::Date;

pub use crate::finding::Basis;

/// Where something holds: in the places named, or everywhere where none is, less the places excepted.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Where {
    /// The places named; empty for everywhere.
    pub named: Vec<String>,
    /// The places left out.
    pub except: Vec<String>,
}

impl Where {
    /// Whether it holds at a place, given as the place and all it is part of; empty where no place is known.
    pub fn holds(&self, places: &[String]) -> bool {
        (self.named.is_empty() || self.names(places)) && !self.except.iter().any(|c| places.contains(c))
    }

    /// Whether it names the place or something that the place is part of.
    pub fn names(&self, places: &[String]) -> bool {
        self.named.iter().any(|c| places.contains(c))
    }

    /// Every code it names, to take in or to leave out.
    pub fn codes(&self) -> impl Iterator<Item = &String> {
        self.named.iter().chain(&self.except)
    }

    /// In words: `everywhere but in GB`, `in US and CA`.
    pub fn words(&self) -> String {
        let mut text = if self.named.is_empty() { "everywhere".to_owned() } else { format!("in {}", words::list(&self.named, "and")) };
        if !self.except.is_empty() {
            text = format!("{text} but not in {}", words::list(&self.except, "or"));
        }
        text
    }
}

/// From when until when something holds; both days included.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[non_exhaustive]
pub struct Period {
    /// First day.
    pub from: Option<Date>,
    /// Last day.
    pub until: Option<Date>,
    /// Day from which it is due for re-checking.
    pub review: Option<Date>,
}

impl Period {
    /// Whether it holds on a day.
    pub fn holds(&self, date: Date) -> bool {
        self.from.is_none_or(|d| d <= date) && self.until.is_none_or(|d| date <= d)
    }

    /// The first day after `date` on which it begins, ends or falls due.
    pub(crate) fn next_change(&self, date: Date) -> Option<Date> {
        let ends = self.until.and_then(|d| d.tomorrow().ok());
        [self.from, ends, self.review].into_iter().flatten().filter(|d| *d > date).min()
    }
}

/// Which direction is stricter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stricter {
    /// A smaller figure is stricter.
    Lower,
    /// A larger figure is stricter.
    Higher,
}

/// One figure of a limit.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct LimitValue {
    /// Where it holds; `None` everywhere.
    pub place: Option<String>,
    /// The figure.
    pub quantity: Quantity,
    /// When it holds.
    pub period: Period,
    /// How strong its ground is.
    pub basis: Basis,
    /// Where it comes from.
    pub source: String,
    /// Whose figure it is, where it is taken over as a guide from somewhere else: `a US figure`. Said with it in every sentence.
    pub borrowed: Option<String>,
    /// The pack that states it.
    pub pack: String,
    /// Where it is stated.
    pub declared: Place,
}

/// A named limit.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Limit {
    /// In files and scripts.
    pub id: String,
    /// In sentences.
    pub title: String,
    /// What it is to the calculators.
    pub plays: Option<Plays<LimitRole>>,
    /// The unit it is thought in.
    pub unit: &'static Unit,
    /// Which direction is stricter.
    pub stricter: Stricter,
    /// Its figures.
    pub values: Vec<LimitValue>,
    /// The pack that declares it.
    pub pack: String,
    /// Where it is declared.
    pub declared: Place,
}

impl Limit {
    /// Whether `a` is stricter than `b`.
    pub(crate) fn is_stricter(&self, a: f64, b: f64) -> bool {
        match self.stricter {
            Stricter::Lower => a < b,
            Stricter::Higher => a > b,
        }
    }

    /// The strictest figure in force among `places` (a place and all it is part of) on a day; of two that are the same, one's own
    /// before one that is borrowed.
    pub fn in_force(&self, places: &[String], date: Date) -> Option<&LimitValue> {
        self.values.iter().filter(|v| v.period.holds(date) && v.place.as_ref().is_none_or(|p| places.contains(p))).fold(
            None,
            |best: Option<&LimitValue>, v| match best {
                Some(b) if self.is_stricter(b.quantity.base, v.quantity.base) => Some(b),
                Some(b) if !self.is_stricter(v.quantity.base, b.quantity.base) && (b.borrowed.is_none() || v.borrowed.is_some()) => Some(b),
                _ => Some(v),
            },
        )
    }
}

#[cfg(test)]
mod tests {
    use super::{Basis, Limit, LimitValue, Period, Stricter, Where};
    use crate::diagnostic::SourceFile;
    use crate::quantity;
    use crate::toml_read::Place;

    fn codes(list: &[&str]) -> Vec<String> {
        list.iter().map(|c| (*c).to_owned()).collect()
    }

    #[test]
    fn a_place_left_out_is_left_out_with_all_its_parts() {
        let at = Where { named: codes(&["US"]), except: codes(&["US-CA"]) };
        assert!(at.holds(&codes(&["US"])));
        assert!(at.holds(&codes(&["US-MA", "US"])));
        assert!(!at.holds(&codes(&["US-CA", "US"])));
        assert!(!at.holds(&codes(&["GB"])));
        assert!(!at.holds(&[]));
    }

    #[test]
    fn of_two_equal_figures_ones_own_stands_before_a_borrowed_one() {
        let here = || Place { file: SourceFile::new("limits.toml", ""), span: 0..0 };
        let value = |place: Option<&str>, figure: &str, borrowed: Option<&str>| LimitValue {
            place: place.map(str::to_owned),
            quantity: quantity::read(figure, quantity::find_unit("m").expect("a unit")).expect("a length"),
            period: Period::default(),
            basis: Basis::Guidance,
            source: "common practice".to_owned(),
            borrowed: borrowed.map(str::to_owned),
            pack: "core".to_owned(),
            declared: here(),
        };
        let limit = |values: Vec<LimitValue>| Limit {
            id: "far".to_owned(),
            title: "how far".to_owned(),
            plays: None,
            unit: quantity::find_unit("m").expect("a unit"),
            stricter: Stricter::Higher,
            values,
            pack: "core".to_owned(),
            declared: here(),
        };
        let day = jiff::civil::date(2026, 9, 1);
        let said = |limit: &Limit, at: &[&str]| limit.in_force(&codes(at), day).map(|v| v.borrowed.clone());
        for turned in [false, true] {
            let mut values = vec![value(None, "3 m", Some("a US figure")), value(Some("US"), "3 m", None)];
            if turned {
                values.reverse();
            }
            let limit = limit(values);
            assert_eq!(said(&limit, &["US"]), Some(None), "in the place itself it is its own");
            assert_eq!(said(&limit, &["GB"]), Some(Some("a US figure".to_owned())));
        }
        let stricter = limit(vec![value(None, "4 m", Some("a US figure")), value(Some("GB"), "3 m", None)]);
        assert_eq!(said(&stricter, &["GB"]), Some(Some("a US figure".to_owned())), "the strictest stands, whosever it is");
    }

    #[test]
    fn exceptions_alone_mean_everywhere_else_and_no_place_too() {
        let at = Where { named: Vec::new(), except: codes(&["EU"]) };
        assert!(at.holds(&codes(&["GB"])));
        assert!(at.holds(&[]));
        assert!(!at.holds(&codes(&["FR", "EU"])));
        assert!(!at.names(&codes(&["FR", "EU"])), "a place left out is not what it is about");
        assert_eq!(at.words(), "everywhere but not in EU");
    }
}
