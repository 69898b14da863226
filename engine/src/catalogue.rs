//! The catalogue: substrates, coats and methods with their attributes, and the grids that grade pairs of them.

use crate::reach::Reach;
use crate::role::{AttributeRole, EntryRole};
use crate::toml_read::Place;
use crate::vocabulary::FactId;
use crate::words;
use indexmap::IndexMap;

/// Which part of the catalogue.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum EntryKind {
    /// What lies under the paint.
    Substrate,
    /// A kind of paint or finish.
    Coat,
    /// A way of removing or keeping coats.
    Method,
}

impl EntryKind {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Substrate, Self::Coat, Self::Method];

    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Substrate => "substrate",
            Self::Coat => "coat",
            Self::Method => "method",
        }
    }

    /// By the word used in files.
    pub fn find(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|k| k.word() == word)
    }
}

/// What kind of value an attribute has.
#[derive(Debug, Clone)]
pub enum AttributeKind {
    /// True or false; left out means false.
    YesNo,
    /// One of these.
    Choice(Vec<String>),
    /// A plain number.
    Number,
}

/// A property that entries of one kind have.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Attribute {
    /// In files and scripts.
    pub id: String,
    /// In sentences.
    pub title: String,
    /// What values it takes.
    pub kind: AttributeKind,
    /// Whether methods that share its value are of one kind, so that one stands for another among ways to choose from.
    pub alike: bool,
    /// What it is to the engine.
    pub role: Option<AttributeRole>,
}

/// The value of an attribute.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AttributeValue {
    /// Of a yes-no attribute.
    Flag(bool),
    /// Of a choice: its index.
    Choice(usize),
    /// Of a number.
    Number(f64),
}

/// One entry of the catalogue.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Entry {
    /// In files and scripts.
    pub id: String,
    /// In sentences.
    pub title: String,
    /// What people say for it.
    pub says: Vec<String>,
    /// What it is to the engine.
    pub role: Option<EntryRole>,
    /// Ids it had before: a file that still uses one is told the new one.
    pub was: Vec<String>,
    /// Where its attributes come from.
    pub source: String,
    /// The usual caution of a method.
    pub cautions: Option<String>,
    /// Of a method: what its chosen facts can be.
    pub settings: IndexMap<FactId, Reach>,
    /// Values in the order of the attributes of its kind.
    pub attributes: Vec<AttributeValue>,
    /// The pack that holds it.
    pub pack: String,
    /// Where it is declared.
    pub declared: Place,
}

/// A grade of a pair of entries, with its reason.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Cell {
    /// Index of the grade, best first.
    pub grade: usize,
    /// Index of the reason.
    pub reason: usize,
    /// Where it comes from.
    pub source: String,
    /// Whether some pack states it (otherwise it is the grid's `otherwise`).
    pub stated: bool,
}

/// A table of grades for pairs of entries.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Grid {
    /// In files; also the function's name in scripts.
    pub id: String,
    /// In sentences.
    pub title: String,
    /// What the rows are.
    pub rows: EntryKind,
    /// What the columns are.
    pub columns: EntryKind,
    /// Grades, best first.
    pub grades: Vec<String>,
    /// Reasons a cell may name.
    pub reasons: Vec<String>,
    /// Grade and reason where no cell is stated.
    pub otherwise: (usize, usize),
    /// Grades of a coat and method that count as clearing the coat; empty for other grids.
    pub clears: Vec<usize>,
    /// By row, then column.
    pub cells: Vec<Vec<Cell>>,
    /// The pack that holds it.
    pub pack: String,
}

/// All entries, attributes and grids.
#[derive(Debug, Clone, Default)]
#[non_exhaustive]
pub struct Catalogue {
    entries: [IndexMap<String, Entry>; 3],
    attributes: [IndexMap<String, Attribute>; 3],
    /// Grids by id.
    pub grids: IndexMap<String, Grid>,
}

impl Catalogue {
    /// The entries of a kind, in order.
    pub fn entries(&self, kind: EntryKind) -> &IndexMap<String, Entry> {
        &self.entries[kind as usize]
    }

    /// The entries of a kind, to change them.
    pub(crate) fn entries_mut(&mut self, kind: EntryKind) -> &mut IndexMap<String, Entry> {
        &mut self.entries[kind as usize]
    }

    /// The attributes of a kind, in order.
    pub fn attributes(&self, kind: EntryKind) -> &IndexMap<String, Attribute> {
        &self.attributes[kind as usize]
    }

    /// The attributes of a kind, to change them.
    pub(crate) fn attributes_mut(&mut self, kind: EntryKind) -> &mut IndexMap<String, Attribute> {
        &mut self.attributes[kind as usize]
    }

    /// The index of an entry.
    pub fn find(&self, kind: EntryKind, id: &str) -> Option<usize> {
        self.entries(kind).get_index_of(id)
    }

    /// What to write instead of an id that no entry has: the new id of one that was renamed, else a near one.
    pub fn instead(&self, kind: EntryKind, id: &str) -> Option<String> {
        let renamed = self.entries(kind).values().find(|e| e.was.iter().any(|w| w == id));
        renamed
            .map(|e| format!("it is called `{}` now", e.id))
            .or_else(|| words::offer(id, self.ids(kind)))
            .or_else(|| self.by_a_word(kind, id))
    }

    /// The entries whose id or names hold the word that comes nearest: "plastr" is near to two plasters.
    fn by_a_word(&self, kind: EntryKind, word: &str) -> Option<String> {
        let entries = self.entries(kind);
        let words_of = |id: &str| -> Vec<String> {
            let says = entries[id].says.iter().map(String::as_str);
            id.split('-').chain(says).map(str::to_owned).collect()
        };
        let all: Vec<(&String, Vec<String>)> = entries.keys().map(|id| (id, words_of(id))).collect();
        let near = words::nearest(word, all.iter().flat_map(|(_, w)| w).map(String::as_str))?;
        let ids: Vec<String> = all.iter().filter(|(_, w)| w.iter().any(|w| w == near)).map(|(id, _)| format!("`{id}`")).collect();
        Some(format!("did you mean {}?", words::list(&ids, "or")))
    }

    /// The ids of a kind.
    pub fn ids(&self, kind: EntryKind) -> impl Iterator<Item = &str> + Clone {
        self.entries(kind).keys().map(String::as_str)
    }

    /// The set of entries whose attribute passes a test.
    pub fn with(&self, kind: EntryKind, attribute: usize, test: impl Fn(AttributeValue) -> bool) -> u128 {
        self.entries(kind)
            .values()
            .enumerate()
            .filter(|(_, e)| e.attributes.get(attribute).is_some_and(|a| test(*a)))
            .fold(0, |set, (i, _)| set | 1 << i)
    }

    /// The entry that plays a role.
    pub fn entry_with(&self, kind: EntryKind, role: EntryRole) -> Option<&Entry> {
        self.entries(kind).values().find(|e| e.role == Some(role))
    }

    /// The attribute that plays a role.
    pub fn attribute_with(&self, kind: EntryKind, role: AttributeRole) -> Option<usize> {
        self.attributes(kind).values().position(|a| a.role == Some(role))
    }

    /// The value of the attribute of one entry that plays a role.
    pub fn value(&self, kind: EntryKind, entry: usize, role: AttributeRole) -> Option<AttributeValue> {
        Some(self.entries(kind)[entry].attributes[self.attribute_with(kind, role)?])
    }

    /// Whether the yes-no attribute that plays a role is true of an entry.
    pub fn is(&self, kind: EntryKind, entry: usize, role: AttributeRole) -> bool {
        self.value(kind, entry, role) == Some(AttributeValue::Flag(true))
    }

    /// The value of an attribute of one entry, by name.
    pub fn attribute(&self, kind: EntryKind, entry: usize, name: &str) -> Option<AttributeValue> {
        let index = self.attributes(kind).get_index_of(name)?;
        self.entries(kind).get_index(entry)?.1.attributes.get(index).copied()
    }
}
