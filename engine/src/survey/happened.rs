//! What has happened: reading incidents and troubles.

use super::read::Reader;
use super::{Facts, Surface};
use crate::toml_read::Keys;
use crate::vocabulary::About;
use crate::words;
use jiff::civil::Date;

/// Something that has happened.
#[derive(Debug, Clone)]
pub struct Incident {
    /// What is known of it.
    pub facts: Facts,
    /// The surface it is about, by name, where it is about one.
    pub surface: Option<String>,
    /// When it happened.
    pub on: Option<Date>,
    /// A remark.
    pub note: Option<String>,
}

/// Something that went wrong with a surface.
#[derive(Debug, Clone)]
pub struct Trouble {
    /// What is known of it.
    pub facts: Facts,
    /// Since when it is seen.
    pub since: Option<Date>,
    /// A remark.
    pub note: Option<String>,
}

impl Reader<'_> {
    pub(super) fn trouble(&self, keys: &Keys<'_>) -> Trouble {
        let since = keys.date(self.problems, "since");
        let note = keys.text(self.problems, "note").map(str::to_owned);
        let facts = self.facts_but(keys, About::Trouble, &["since", "note"]);
        Trouble { facts, since, note }
    }

    pub(super) fn incidents(&self, keys: &Keys<'_>, surfaces: &[Surface]) -> Vec<Incident> {
        keys.tables(self.problems, "incident", "an incident").iter().map(|k| self.incident(k, surfaces)).collect()
    }

    fn incident(&self, keys: &Keys<'_>, surfaces: &[Surface]) -> Incident {
        let surface = keys.text(self.problems, "surface").map(str::to_owned);
        if let Some(name) = surface.as_ref().filter(|n| surfaces.iter().all(|s| s.name != **n)) {
            let place = keys.get("surface").map_or_else(|| keys.place(), |i| i.place());
            let help = words::did_you_mean(name, surfaces.iter().map(|s| s.name.as_str()));
            self.fault(&place, format!("an incident names the surface `{name}`, which is not there"), help);
        }
        let on = keys.date(self.problems, "on");
        let note = keys.text(self.problems, "note").map(str::to_owned);
        let facts = self.facts_but(keys, About::Incident, &["surface", "on", "note"]);
        Incident { facts, surface, on, note }
    }
}
