//! Reading TOML tables with every mistake kept: wrong kinds, missing keys, and keys nobody asked for.

use crate::diagnostic::{Diagnostic, SourceFile};
use crate::words;
use jiff::civil::Date;
use std::cell::RefCell;
use std::ops::Range;
use std::sync::Arc;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A text longer than this is refused before it is read.
pub const LARGEST_TEXT: usize = 4 * 1024 * 1024;

/// A place in a file.
#[derive(Debug, Clone)]
pub struct Place {
    /// The file.
    pub file: Arc<SourceFile>,
    /// Byte range in it.
    pub span: Range<usize>,
}

impl Place {
    /// An error here.
    pub fn error(&self, message: impl Into<String>) -> Diagnostic {
        Diagnostic::error(message).at(&self.file, self.span.clone())
    }

    /// A warning here.
    pub fn warning(&self, message: impl Into<String>) -> Diagnostic {
        Diagnostic::warning(message).at(&self.file, self.span.clone())
    }
}

/// Where problems are collected.
pub type Problems = RefCell<Vec<Diagnostic>>;

/// One value with its place.
#[derive(Debug, Clone, Copy)]
pub struct Item<'a> {
    file: &'a Arc<SourceFile>,
    value: &'a Spanned<DeValue<'a>>,
}

impl<'a> Item<'a> {
    /// Where it stands.
    pub fn place(&self) -> Place {
        Place { file: Arc::clone(self.file), span: self.value.span() }
    }

    /// Its text, if it is a string.
    pub fn text(&self) -> Option<&'a str> {
        self.value.get_ref().as_str()
    }

    /// Its truth, if it is one.
    pub fn flag(&self) -> Option<bool> {
        self.value.get_ref().as_bool()
    }

    /// Its number, if it is one.
    pub fn number(&self) -> Option<f64> {
        match self.value.get_ref() {
            DeValue::Integer(i) => i64::from_str_radix(&i.as_str().replace('_', ""), i.radix()).ok().map(|i| i as f64),
            DeValue::Float(f) => f.as_str().replace('_', "").parse().ok(),
            _ => None,
        }
    }

    /// Its date, if it is one.
    pub fn date(&self) -> Option<Date> {
        let date = self.value.get_ref().as_datetime()?;
        if date.time.is_some() {
            return None;
        }
        let date = date.date?;
        Date::new(date.year as i16, date.month as i8, date.day as i8).ok()
    }

    /// Its members, if it is an array.
    pub fn items(&self) -> Option<Vec<Item<'a>>> {
        let file = self.file;
        Some(self.value.get_ref().as_array()?.iter().map(|value| Item { file, value }).collect())
    }

    /// Its keys, if it is a table; `what` names it in messages.
    pub fn keys(&self, what: impl Into<String>) -> Option<Keys<'a>> {
        let table = self.value.get_ref().as_table()?;
        Some(Keys::new(self.file, table, self.value.span(), what))
    }

    /// What it is, for messages.
    pub fn kind(&self) -> &'static str {
        match self.value.get_ref() {
            DeValue::String(_) => "text",
            DeValue::Integer(_) | DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        }
    }

    /// What was written.
    pub fn written(&self) -> &'a str {
        self.file.text.get(self.value.span()).unwrap_or("")
    }
}

/// A table being read: remembers what was asked for, so that the rest can be reported.
#[derive(Debug)]
pub struct Keys<'a> {
    file: &'a Arc<SourceFile>,
    table: &'a DeTable<'a>,
    span: Range<usize>,
    what: String,
    asked: RefCell<Vec<String>>,
}

impl<'a> Keys<'a> {
    /// Begins to read a table.
    pub fn new(file: &'a Arc<SourceFile>, table: &'a DeTable<'a>, span: Range<usize>, what: impl Into<String>) -> Self {
        Self { file, table, span, what: what.into(), asked: RefCell::default() }
    }

    /// Where the table stands.
    pub fn place(&self) -> Place {
        Place { file: Arc::clone(self.file), span: self.span.clone() }
    }

    /// The value of a key, if it is there.
    pub fn get(&self, key: &str) -> Option<Item<'a>> {
        self.asked.borrow_mut().push(key.to_owned());
        self.peek(key)
    }

    fn peek(&self, key: &str) -> Option<Item<'a>> {
        self.table.iter().find(|(k, _)| k.get_ref().as_ref() == key).map(|(_, value)| Item { file: self.file, value })
    }

    /// Every key with its place and value, in the order written.
    pub fn all(&self) -> Vec<(&'a str, Place, Item<'a>)> {
        self.table
            .iter()
            .map(|(k, value)| {
                let place = Place { file: Arc::clone(self.file), span: k.span() };
                (k.get_ref().as_ref(), place, Item { file: self.file, value })
            })
            .collect()
    }

    fn wrong(&self, problems: &Problems, key: &str, item: Item<'_>, wanted: &str) {
        problems.borrow_mut().push(item.place().error(format!("`{key}` of {} is {} where {wanted} is wanted", self.what, item.kind())));
    }

    /// The text of a key; a wrong kind is reported.
    pub fn text(&self, problems: &Problems, key: &str) -> Option<&'a str> {
        let item = self.get(key)?;
        let text = item.text();
        if text.is_none() {
            self.wrong(problems, key, item, "text");
        }
        text
    }

    /// The text of a key that must be there.
    pub(crate) fn need_text(&self, problems: &Problems, key: &str) -> Option<&'a str> {
        if self.peek(key).is_none() {
            self.asked.borrow_mut().push(key.to_owned());
            self.missing(problems, key);
            return None;
        }
        let text = self.text(problems, key)?;
        if text.trim().is_empty() {
            let place = self.peek(key).map_or_else(|| self.place(), |i| i.place());
            problems.borrow_mut().push(place.error(format!("`{key}` of {} is empty", self.what)));
            return None;
        }
        Some(text)
    }

    /// Reports that a key is not there.
    pub fn missing(&self, problems: &Problems, key: &str) {
        let help = example(key).map(str::to_owned);
        problems.borrow_mut().push(self.place().error(format!("{} has no `{key}`", self.what)).maybe_help(help));
    }

    /// The truth of a key.
    pub fn flag(&self, problems: &Problems, key: &str) -> Option<bool> {
        let item = self.get(key)?;
        let flag = item.flag();
        if flag.is_none() {
            self.wrong(problems, key, item, "true or false");
        }
        flag
    }

    /// The number of a key.
    pub fn number(&self, problems: &Problems, key: &str) -> Option<f64> {
        let item = self.get(key)?;
        let number = item.number().filter(|n| n.is_finite());
        if number.is_none() && item.kind() == "a number" {
            problems.borrow_mut().push(item.place().error(format!("`{key}` of {} is no number that can be reckoned with", self.what)));
        } else if number.is_none() {
            self.wrong(problems, key, item, "a number");
        }
        number
    }

    /// The date of a key.
    pub fn date(&self, problems: &Problems, key: &str) -> Option<Date> {
        let item = self.get(key)?;
        let date = item.date();
        if date.is_none() {
            self.wrong(problems, key, item, "a date such as 2026-09-01");
        }
        date
    }

    /// The texts of a list; one text alone counts as a list of one.
    pub fn texts(&self, problems: &Problems, key: &str) -> Vec<(&'a str, Place)> {
        let Some(item) = self.get(key) else { return Vec::new() };
        if let Some(text) = item.text() {
            return vec![(text, item.place())];
        }
        let Some(items) = item.items() else {
            self.wrong(problems, key, item, "a list of texts");
            return Vec::new();
        };
        let mut texts = Vec::new();
        if items.len() > MOST_KEYS {
            problems.borrow_mut().push(item.place().error(format!(
                "`{key}` of {} has {} members; the most is {MOST_KEYS}",
                self.what,
                items.len()
            )));
            return texts;
        }
        for item in items {
            match item.text() {
                Some(text) => texts.push((text, item.place())),
                None => self.wrong(problems, key, item, "text"),
            }
        }
        texts
    }

    /// The tables of a key: `[[key]]`, or one table alone.
    pub fn tables(&self, problems: &Problems, key: &str, what: &str) -> Vec<Keys<'a>> {
        let Some(item) = self.get(key) else { return Vec::new() };
        if let Some(keys) = item.keys(what) {
            return vec![keys];
        }
        let Some(items) = item.items() else {
            self.wrong(problems, key, item, "a table");
            return Vec::new();
        };
        let mut tables = Vec::new();
        for item in items {
            match item.keys(what) {
                Some(keys) => tables.push(keys),
                None => self.wrong(problems, key, item, "a table"),
            }
        }
        tables
    }

    /// Reports every key that nobody asked for, with the nearest one that somebody did.
    pub fn finish(&self, problems: &Problems) {
        let asked = self.asked.borrow();
        for (key, _) in self.table {
            let name = key.get_ref().as_ref();
            if !asked.iter().any(|a| a == name) {
                let help = words::did_you_mean(name, asked.iter().map(String::as_str));
                problems
                    .borrow_mut()
                    .push(Diagnostic::error(format!("{} has no key `{name}`", self.what)).at(self.file, key.span()).maybe_help(help));
            }
        }
    }
}

/// What a key that must be there can look like.
fn example(key: &str) -> Option<&'static str> {
    Some(match key {
        "source" => "name the published source, or write \"common practice\" or \"from memory\"",
        "id" => "for example: id = \"paste-left-overnight\"",
        "title" => "for example: title = \"paste left on overnight\"",
        "name" => "for example: name = \"our-house\"",
        "version" => "for example: version = \"1\"",
        "owner" => "for example: owner = \"the name of the firm\"",
        "when" => "for example: when = 'method.hot && surface.thatch_near'",
        "ruling" => "one of rule-out, hold, caution, prefer or note; for example: ruling = \"caution\"",
        "because" => "one plain sentence; for example: because = \"Thatch catches fire from a spark.\"",
        "basis" => "one of statute, standard, guidance, practice or house; for example: basis = \"practice\"",
        "question" => "for example: question = \"Is thatch near?\"",
        "kind" => "one of yes-no, number, year, choice, several or entry; for example: kind = \"yes-no\"",
        "choices" => "for example: choices = [\"open\", \"good\", \"poor\"]",
        "value" => "for example: value = \"400 C\"",
        "limit" => "the id of the limit; for example: limit = \"heat-on-wood\"",
        "stricter" => "which direction is stricter: \"lower\" or \"higher\"",
        "fact" => "the fact that gets a value; for example: fact = \"coat.lead\"",
        "method" => "for example: method = \"hot-air\"",
        "grid" => "for example: grid = \"harm\"",
        "entry" => "the id of the entry that is graded; for example: entry = \"steam-cabinet\"",
        "cells" => "for example: cells = { oak = \"care swelling\" }",
        "who" => "for example: who = \"the firm's technical manager\"",
        "why" => "one sentence that stands up when it is read in a year",
        _ => return None,
    })
}

/// The most keys one table can have: no table of a survey or pack comes near it.
const MOST_KEYS: usize = 2_000;

/// A table, unless some table in it has more keys than can be gone through again and again.
fn well_shaped<'a>(file: &'a Arc<SourceFile>, table: Spanned<DeTable<'a>>, problems: &Problems) -> Option<Spanned<DeTable<'a>>> {
    fn widest(value: &DeValue<'_>) -> usize {
        match value {
            DeValue::Table(table) => table.iter().map(|(_, v)| widest(v.get_ref())).max().unwrap_or(0).max(table.len()),
            DeValue::Array(items) => items.iter().map(|v| widest(v.get_ref())).max().unwrap_or(0),
            _ => 0,
        }
    }
    let keys = table.get_ref().iter().map(|(_, v)| widest(v.get_ref())).max().unwrap_or(0).max(table.get_ref().len());
    if keys > MOST_KEYS {
        let mut problem = Diagnostic::error(format!("a table has {keys} keys; the most that is read is {MOST_KEYS}"));
        problem.file = Some(Arc::clone(file));
        problems.borrow_mut().push(problem);
        return None;
    }
    Some(table)
}

/// Parses a text, reporting every syntax error.
pub fn parse<'a>(file: &'a Arc<SourceFile>, problems: &Problems) -> Option<Spanned<DeTable<'a>>> {
    if file.text.len() > LARGEST_TEXT {
        let mut problem = Diagnostic::error(format!(
            "the file is {} MB; the largest that is read is {} MB",
            file.text.len() / 1024 / 1024,
            LARGEST_TEXT / 1024 / 1024
        ));
        problem.file = Some(Arc::clone(file));
        problems.borrow_mut().push(problem);
        return None;
    }
    let (table, errors) = DeTable::parse_recoverable(&file.text);
    if errors.is_empty() {
        return well_shaped(file, table, problems);
    }
    // One slip can make many errors behind it; the first few are what a person can use.
    for error in errors.iter().take(5) {
        let span = error.span().unwrap_or(0..0);
        let problem = slip(&file.text, span.start).unwrap_or_else(|| {
            let message = error.message().lines().next().unwrap_or("not TOML").to_owned();
            Diagnostic::error(format!("not TOML: {message}"))
        });
        // One slip can be met twice in its line.
        let line = |at: usize| file.line_column(at).0;
        let same = |p: &Diagnostic| p.message == problem.message && p.span.as_ref().is_some_and(|s| line(s.start) == line(span.start));
        let again = problems.borrow().iter().any(same);
        if !again {
            problems.borrow_mut().push(problem.at(file, span));
        }
    }
    None
}

/// The slips that people make most in a line `name = value`: a day that no calendar has, and words without quotes.
fn slip(text: &str, at: usize) -> Option<Diagnostic> {
    let start = text.get(..at)?.rfind('\n').map_or(0, |n| n + 1);
    let line = text[start..].lines().next()?;
    let (name, value) = line.split_once('=')?;
    let (name, value) = (name.trim(), value.split('#').next().unwrap_or_default().trim());
    let plain = |c: char| c.is_alphanumeric() || " -.'%°".contains(c);
    if name.is_empty() || value.is_empty() || !value.chars().all(plain) {
        return None;
    }
    let parts: Vec<&str> = value.split('-').collect();
    let digits = |p: &&str, many: usize| p.len() <= many && !p.is_empty() && p.chars().all(|c| c.is_ascii_digit());
    if let [year, month, day] = &parts[..]
        && digits(year, 4)
        && digits(month, 2)
        && digits(day, 2)
    {
        return Some(Diagnostic::error(format!("`{value}` is no day of the calendar")).help("write year-month-day, as in 2026-09-14"));
    }
    Some(Diagnostic::error(format!("`{value}` needs quotes round it")).help(format!("{name} = \"{value}\"")))
}
