//! The survey file as text that is edited in place: what a person wrote, its comments and its order stay.

use ovolo_engine::script::Base;
use ovolo_engine::vocabulary::{About, FactId};
use std::str::FromStr;
use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Table, TableLike, Value};

/// Where a fact belongs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum At {
    /// The site.
    Site,
    /// A surface.
    Surface(usize),
    /// One coat of a surface, or all of them.
    Coat(usize, Option<usize>),
}

/// One change to a survey.
#[derive(Debug, Clone, PartialEq)]
pub enum Edit {
    /// A line of `[survey]`: title, place, date, surveyor.
    Head {
        /// Its key.
        key: &'static str,
        /// What it becomes, a TOML value.
        toml: String,
    },
    /// A fact becomes this, a TOML value.
    Fact {
        /// Where.
        at: At,
        /// Which.
        fact: FactId,
        /// What.
        toml: String,
    },
    /// A fact is no longer stated.
    Forget {
        /// Where.
        at: At,
        /// Which.
        fact: FactId,
    },
    /// The coats of a surface, from the top, each with its facts.
    Coats {
        /// Which surface.
        surface: usize,
        /// The coats.
        coats: Vec<Vec<(FactId, String)>>,
    },
    /// A new surface at the end.
    AddSurface {
        /// Its name.
        name: String,
    },
    /// A copy of a surface at the end, without its patches.
    CopySurface {
        /// Which.
        from: usize,
        /// The name of the copy.
        name: String,
    },
    /// A surface gets another name; departures follow.
    Rename {
        /// Which.
        surface: usize,
        /// Its name from now on.
        name: String,
    },
    /// A surface goes.
    Remove {
        /// Which.
        surface: usize,
    },
    /// A remark in free text, added to what is there.
    Note {
        /// The surface; `None` for the survey as a whole.
        surface: Option<usize>,
        /// The remark.
        text: String,
    },
    /// A proposal for a surface: method and settings.
    Proposal {
        /// Which surface.
        surface: usize,
        /// The method's id.
        method: String,
        /// Names and TOML values.
        settings: Vec<(String, String)>,
    },
    /// Something that has happened: with a surface, something that went wrong with it.
    Happened {
        /// Which surface, of a trouble.
        surface: Option<usize>,
        /// Names and TOML values.
        facts: Vec<(String, String)>,
    },
    /// A recorded departure from a rule.
    Departure {
        /// The rule's id.
        rule: String,
        /// Who decided.
        who: String,
        /// Why.
        why: String,
        /// The day it was decided.
        on: String,
        /// The last day it holds, if it is limited.
        until: Option<String>,
        /// The surface it is limited to.
        surface: Option<String>,
    },
}

/// A survey file being edited.
#[derive(Debug, Clone)]
pub struct Document {
    toml: DocumentMut,
}

impl Document {
    /// Reads the text of a survey file.
    ///
    /// # Errors
    /// Where it is not TOML.
    pub fn read(text: &str) -> Result<Self, String> {
        text.parse().map(|toml| Self { toml }).map_err(|e: toml_edit::TomlError| e.message().to_owned())
    }

    /// A survey with nothing in it.
    pub fn blank() -> Self {
        let mut toml = DocumentMut::new();
        toml.insert("survey", Item::Table(Table::new()));
        toml.insert("site", Item::Table(Table::new()));
        Self { toml }
    }

    /// Makes a change.
    ///
    /// # Errors
    /// Where the file is written in a way the change cannot be put into, or a value is no TOML.
    pub fn apply(&mut self, edit: &Edit, base: &Base) -> Result<(), String> {
        match edit {
            Edit::Head { key, toml } => put(section(&mut self.toml, "survey")?, key, value(toml)?),
            Edit::Fact { at, fact, toml } => {
                let name = &base.vocabulary.get(*fact).name;
                for facts in self.facts(*at, true)? {
                    put(facts, name, value(toml)?);
                }
            }
            Edit::Forget { at, fact } => {
                let name = &base.vocabulary.get(*fact).name;
                for facts in self.facts(*at, false)? {
                    facts.remove(name);
                }
            }
            Edit::Coats { surface, coats } => {
                let mut list = Array::new();
                for coat in coats {
                    let mut table = InlineTable::new();
                    for (fact, toml) in coat {
                        table.insert(&base.vocabulary.get(*fact).name, value(toml)?);
                    }
                    list.push_formatted(Value::InlineTable(table).decorated("\n    ", ""));
                }
                if !coats.is_empty() {
                    list.set_trailing("\n");
                    list.set_trailing_comma(true);
                }
                let table = self.surface(*surface)?;
                // A list of tables cannot become a list of values in place.
                if table.get("coats").is_some_and(Item::is_array_of_tables) {
                    table.remove("coats");
                }
                put(table, "coats", Value::Array(list));
            }
            Edit::AddSurface { name } => {
                let mut table = Table::new();
                table.insert("name", text(name));
                self.push_surface(table)?;
            }
            Edit::CopySurface { from, name } => self.copy(*from, name)?,
            Edit::Rename { surface, name } => {
                let table = self.surface(*surface)?;
                let old = table.get("name").and_then(Item::as_str).unwrap_or_default().to_owned();
                put(table, "name", name.as_str().into());
                self.follow(&old, name);
            }
            Edit::Remove { surface } => match self.toml.get_mut("surface") {
                Some(Item::ArrayOfTables(list)) if *surface < list.len() => {
                    list.remove(*surface);
                }
                Some(Item::Value(Value::Array(list))) if *surface < list.len() => {
                    list.remove(*surface);
                }
                _ => return Err("there is no such surface".to_owned()),
            },
            Edit::Note { surface, text } => {
                let table = match surface {
                    Some(s) => self.surface(*s)?,
                    None => section(&mut self.toml, "survey")?,
                };
                let before = table.get("note").and_then(Item::as_str).map(str::to_owned);
                let all = before.map_or_else(|| text.clone(), |b| format!("{b}\n{text}"));
                put(table, "note", all.into());
            }
            Edit::Proposal { surface, method, settings } => {
                let mut table = Table::new();
                table.insert("method", text(method));
                for (name, toml) in settings {
                    table.insert(name, Item::Value(value(toml)?));
                }
                push(self.surface(*surface)?, "proposal", table)?;
            }
            Edit::Happened { surface, facts } => {
                let mut table = Table::new();
                for (name, toml) in facts {
                    table.insert(name, Item::Value(value(toml)?));
                }
                match surface {
                    Some(s) => push(self.surface(*s)?, "trouble", table)?,
                    None => push(self.toml.as_table_mut(), "incident", table)?,
                }
            }
            Edit::Departure { rule, who, why, on, until, surface } => {
                let mut table = Table::new();
                table.insert("rule", text(rule));
                if let Some(surface) = surface {
                    table.insert("surface", text(surface));
                }
                table.insert("who", text(who));
                table.insert("why", text(why));
                table.insert("on", Item::Value(value(on)?));
                if let Some(until) = until {
                    table.insert("until", Item::Value(value(until)?));
                }
                push(self.toml.as_table_mut(), "departure", table)?;
            }
        }
        Ok(())
    }

    /// A value of the file as it is written, for facts that carry a doubt.
    pub fn unsure(&self, at: At, name: &str) -> bool {
        let surface = |s: usize| match self.toml.get("surface") {
            Some(Item::ArrayOfTables(list)) => list.get(s).map(|t| t as &dyn TableLike),
            Some(Item::Value(Value::Array(list))) => list.get(s).and_then(Value::as_inline_table).map(|t| t as &dyn TableLike),
            _ => None,
        };
        let doubted = |facts: &dyn TableLike| {
            let fact = facts.get(name).and_then(Item::as_table_like);
            fact.and_then(|t| t.get("sure")).and_then(Item::as_bool) == Some(false)
        };
        match at {
            At::Site => self.toml.get("site").and_then(Item::as_table_like).is_some_and(doubted),
            At::Surface(s) => surface(s).is_some_and(doubted),
            At::Coat(s, c) => match surface(s).and_then(|t| t.get("coats")) {
                Some(Item::Value(Value::Array(list))) => {
                    list.get(c.unwrap_or(0)).and_then(Value::as_inline_table).is_some_and(|t| doubted(t as &dyn TableLike))
                }
                Some(Item::ArrayOfTables(list)) => list.get(c.unwrap_or(0)).is_some_and(|t| doubted(t as &dyn TableLike)),
                _ => false,
            },
        }
    }

    /// The tables a fact belongs into; coats that nobody has listed are begun where `make` says so.
    fn facts(&mut self, at: At, make: bool) -> Result<Vec<&mut dyn TableLike>, String> {
        match at {
            At::Site => Ok(vec![section(&mut self.toml, "site")?]),
            At::Surface(s) => Ok(vec![self.surface(s)?]),
            At::Coat(s, which) => {
                let table = self.surface(s)?;
                if table.get("coats").is_none() {
                    if !make {
                        return Ok(Vec::new());
                    }
                    let mut list = Array::new();
                    list.push_formatted(Value::InlineTable(InlineTable::new()).decorated("\n    ", ""));
                    list.set_trailing("\n");
                    list.set_trailing_comma(true);
                    table.insert("coats", Item::Value(Value::Array(list)));
                }
                coats(table, which)
            }
        }
    }

    fn surface(&mut self, index: usize) -> Result<&mut dyn TableLike, String> {
        let gone = || "there is no such surface".to_owned();
        match self.toml.get_mut("surface") {
            Some(Item::ArrayOfTables(list)) => list.get_mut(index).map(|t| t as &mut dyn TableLike).ok_or_else(gone),
            Some(Item::Value(Value::Array(list))) => {
                list.get_mut(index).and_then(Value::as_inline_table_mut).map(|t| t as &mut dyn TableLike).ok_or_else(gone)
            }
            _ => Err(gone()),
        }
    }

    fn push_surface(&mut self, table: Table) -> Result<(), String> {
        match self.toml.get_mut("surface") {
            Some(Item::Value(Value::Array(list))) => {
                list.push(table.into_inline_table());
                Ok(())
            }
            _ => push(self.toml.as_table_mut(), "surface", table),
        }
    }

    fn copy(&mut self, from: usize, name: &str) -> Result<(), String> {
        let mut table = match self.toml.get("surface") {
            Some(Item::ArrayOfTables(list)) => list.get(from).cloned(),
            Some(Item::Value(Value::Array(list))) => list.get(from).and_then(Value::as_inline_table).cloned().map(InlineTable::into_table),
            _ => None,
        }
        .ok_or("there is no such surface")?;
        // Patches were tried on the other surface, and what was proposed was proposed for it.
        table.remove("patch");
        table.remove("proposal");
        // What went wrong went wrong with the other one.
        table.remove("trouble");
        table.remove("note");
        table.set_position(None);
        put(&mut table, "name", name.into());
        self.push_surface(table)
    }

    /// Departures limited to a surface follow its new name.
    fn follow(&mut self, old: &str, new: &str) {
        if let Some(list) = self.toml.get_mut("departure").and_then(Item::as_array_of_tables_mut) {
            for table in list.iter_mut() {
                if table.get("surface").and_then(Item::as_str) == Some(old) {
                    put(table, "surface", new.into());
                }
            }
        }
    }
}

impl std::fmt::Display for Document {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.toml.fmt(f)
    }
}

/// `[survey]` or `[site]`, made where it is missing.
fn section<'d>(toml: &'d mut DocumentMut, key: &str) -> Result<&'d mut dyn TableLike, String> {
    let item = toml.entry(key).or_insert(Item::Table(Table::new()));
    item.as_table_like_mut().ok_or_else(|| format!("`{key}` is not a table"))
}

/// The tables of the coats a fact is about; a coat written as its kind alone becomes a table.
fn coats(surface: &mut dyn TableLike, which: Option<usize>) -> Result<Vec<&mut dyn TableLike>, String> {
    let wanted = |i: usize| which.is_none_or(|w| w == i);
    match surface.get_mut("coats") {
        Some(Item::Value(Value::Array(list))) => {
            for value in list.iter_mut() {
                if let Some(kind) = value.as_str().map(str::to_owned) {
                    let mut table = InlineTable::new();
                    table.insert("kind", kind.into());
                    let decor = value.decor().clone();
                    *value = Value::InlineTable(table);
                    *value.decor_mut() = decor;
                }
            }
            if list.is_empty() && which.is_none_or(|w| w == 0) {
                list.push(InlineTable::new());
            }
            Ok(list
                .iter_mut()
                .enumerate()
                .filter(|(i, _)| wanted(*i))
                .filter_map(|(_, v)| v.as_inline_table_mut().map(|t| t as &mut dyn TableLike))
                .collect())
        }
        Some(Item::ArrayOfTables(list)) => {
            Ok(list.iter_mut().enumerate().filter(|(i, _)| wanted(*i)).map(|(_, t)| t as &mut dyn TableLike).collect())
        }
        _ => Err("`coats` is not a list".to_owned()),
    }
}

/// Adds a table to a list of tables.
fn push(parent: &mut dyn TableLike, key: &str, table: Table) -> Result<(), String> {
    if let Some(item) = parent.get_mut(key) {
        return match item {
            Item::ArrayOfTables(list) => {
                list.push(table);
                Ok(())
            }
            Item::Value(Value::Array(list)) => {
                list.push(table.into_inline_table());
                Ok(())
            }
            _ => Err(format!("`{key}` is not a list")),
        };
    }
    let mut list = ArrayOfTables::new();
    list.push(table);
    parent.insert(key, Item::ArrayOfTables(list));
    Ok(())
}

/// Sets a key; what was written around it (spaces, a comment behind it) stays.
fn put(table: &mut dyn TableLike, key: &str, mut new: Value) {
    if let Some(Item::Value(old)) = table.get_mut(key) {
        *new.decor_mut() = old.decor().clone();
        *old = new;
        return;
    }
    table.insert(key, Item::Value(new));
    // In a table on one line the space before the closing brace moves behind the new value.
    let mut values: Vec<&mut Value> = table.iter_mut().filter_map(|(_, item)| item.as_value_mut()).collect();
    if let [.., before, last] = &mut values[..]
        && before.decor().suffix().and_then(|s| s.as_str()) == Some(" ")
    {
        before.decor_mut().set_suffix("");
        last.decor_mut().set_suffix(" ");
    }
}

fn text(text: &str) -> Item {
    Item::Value(text.into())
}

fn value(toml: &str) -> Result<Value, String> {
    Value::from_str(toml)
        .map(|mut v| {
            v.decor_mut().clear();
            v
        })
        .map_err(|e| format!("`{toml}` is not a value: {}", e.message()))
}

/// A text as a TOML value.
pub fn quoted(text: &str) -> String {
    Value::from(text).to_string()
}

/// Where a fact about `about` belongs, as seen from a surface and a coat.
pub fn at(about: About, surface: usize, coat: Option<usize>) -> At {
    match about {
        // What has happened is written by itself: see `happened.rs`.
        About::Site | About::Method | About::Incident | About::Trouble => At::Site,
        About::Surface => At::Surface(surface),
        About::Coat => At::Coat(surface, coat),
    }
}
