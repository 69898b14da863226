//! `ovolo rules show`.

use crate::args::ShowThing;
use crate::commands::{date_or_today, known_place, refuse};
use crate::exit::Exit;
use crate::files;
use crate::output::Output;
use crate::render::Page;
use jiff::civil::Date;
use ovolo_engine::cases::try_case;
use ovolo_engine::catalogue::EntryKind;
use ovolo_engine::diagnostic::Diagnostic;
use ovolo_engine::limit::{Period, Stricter, Where};
use ovolo_engine::pack::{Case, Presumption, Rule, RuleBook};
use ovolo_engine::quantity::System;
use ovolo_engine::toml_read::Place;
use ovolo_engine::tree::{Tree, Who};
use ovolo_engine::vocabulary::{FactId, FactKind};
use ovolo_engine::words;
use ovolo_engine::workshop::{Overlap, Table, Tell, Thing, alike, find, overlaps, readers, rules_for};
use std::fmt::Write as _;
use std::path::PathBuf;

/// The most worked cases that are listed.
const MOST_CASES: usize = 12;

/// The most other places of a word that are named.
const MOST_ELSEWHERE: usize = 30;

pub(crate) fn show(args: &ShowThing, given: &[PathBuf], output: &mut Output) -> Result<Exit, Exit> {
    let date = date_or_today(args.date.as_deref(), output)?;
    if let Some(place) = &args.place {
        known_place(place, None).map_err(|problem| refuse(problem, output))?;
    }
    let book = files::rule_book(given, output)?;
    let things = find(&book, args.id.trim());
    let page = Page::new(output, false);
    if things.is_empty() {
        return search(&book, &args.id, &page, output);
    }
    let place = args.place.as_deref();
    let system = book.base.customs.system_at(place);
    let mut shown =
        Shown { book: &book, place, date, tell: Tell::new(&book, place, date, system), system, page: &page, out: String::new() };
    for thing in things {
        shown.thing(thing);
    }
    let mut text = shown.out.trim_start_matches('\n').to_owned();
    text.push_str(&elsewhere(&book, &args.id, &page));
    output.result(&text);
    Ok(Exit::Suited)
}

/// Where else the word stands, for whoever meant something else by it.
fn elsewhere(book: &RuleBook, word: &str, page: &Page) -> String {
    let others: Vec<String> =
        alike(book, word).into_iter().filter(|(_, id, _)| id != word && !id.ends_with(&format!(".{word}"))).map(|(_, id, _)| id).collect();
    if others.is_empty() || others.len() > MOST_ELSEWHERE {
        return String::new();
    }
    format!("\n{}", page.paragraph("", "", &format!("The word also stands in {}.", words::list(&others, "and"))))
}

/// What a word could mean, where it is no id.
fn search(book: &RuleBook, word: &str, page: &Page, output: &mut Output) -> Result<Exit, Exit> {
    let found = alike(book, word);
    if found.is_empty() {
        let base = &book.base;
        let facts = base.vocabulary.iter().map(|(_, f)| f.id.as_str());
        let entries = EntryKind::ALL.into_iter().flat_map(|k| base.catalogue.ids(k));
        let ids: Vec<&str> =
            facts.chain(entries).chain(base.limits.keys().map(String::as_str)).chain(book.rules.iter().map(|r| r.id.as_str())).collect();
        let renamed = EntryKind::ALL.into_iter().find_map(|k| base.catalogue.entries(k).values().find(|e| e.was.iter().any(|w| w == word)));
        let near = renamed
            .map(|e| format!("it is called `{}` now", e.id))
            .or_else(|| words::did_you_mean(word, ids))
            .unwrap_or_else(|| "`ovolo rules show WORD` looks for a word, such as: ovolo rules show paste".to_owned());
        return Err(refuse(Diagnostic::error(format!("nothing in the rule book is called `{word}`")).help(near), output));
    }
    let mut text = page.paragraph("", "", &format!("Nothing has the id \"{word}\". The word stands in:"));
    text.push('\n');
    for (what, id, title) in &found {
        let title = if title.is_empty() { String::new() } else { format!(": {title}") };
        text.push_str(&page.paragraph("  ", "      ", &format!("{what} {id}{title}")));
    }
    output.result(&text);
    Ok(Exit::Suited)
}

struct Shown<'a> {
    book: &'a RuleBook,
    place: Option<&'a str>,
    date: Date,
    tell: Tell<'a>,
    system: System,
    page: &'a Page,
    out: String,
}

impl Shown<'_> {
    fn thing(&mut self, thing: Thing) {
        match thing {
            Thing::Rule(i) => self.rule(&self.book.rules[i]),
            Thing::Presumption(i) => self.presumption(&self.book.presumptions[i]),
            Thing::Limit(i) => self.limit(i),
            Thing::Fact(id) => self.fact(id),
            Thing::Entry(kind, i) => self.entry(kind, i),
            Thing::Pack(i) => self.pack(i),
        }
    }

    fn heading(&mut self, id: &str, title: Option<&str>) {
        let text = title.filter(|t| !t.is_empty()).map_or_else(|| id.to_owned(), |title| format!("{id}: {title}"));
        self.out.push_str(&self.page.heading(&text));
    }

    fn minor(&mut self, text: &str) {
        self.out.push_str(&self.page.minor(text));
    }

    fn line(&mut self, text: &str) {
        self.out.push_str(&self.page.paragraph("", "", text));
    }

    fn point(&mut self, text: &str) {
        self.out.push_str(&self.page.paragraph("  ", "      ", text));
    }

    /// Where it stands: pack, version, file and line.
    fn stands(&mut self, what: &str, pack: &str, place: &Place) {
        let version = self.book.packs.iter().find(|p| p.name == pack).map_or("", |p| p.version.as_str());
        let (line, _) = place.file.line_column(place.span.start);
        self.line(&format!("{what}, pack {pack} {version}, {}:{line}", place.file.name));
    }

    fn holds(&mut self, at: &Where, period: Period) {
        let mut text = format!("Holds {}", at.words());
        if let Some(from) = period.from {
            let _ = write!(text, " from {from}");
        }
        if let Some(until) = period.until {
            let _ = write!(text, " until {until}");
        }
        if let Some(review) = period.review {
            let _ = write!(text, "; due for re-checking on {review}");
        }
        self.line(&format!("{text}."));
    }

    fn rule(&mut self, rule: &Rule) {
        self.heading(&rule.id, rule.title.as_deref());
        self.stands(&format!("A rule: {}", rule.ruling.word()), &rule.pack, &rule.script.place);
        self.out.push('\n');
        let sentence = self.tell.sentence(rule.ruling, &rule.tree, rule.released_by);
        self.line(&sentence);
        self.minor("What it says");
        let says = self.tell.template(&rule.because);
        self.point(&says);
        if let Some(instead) = &rule.instead {
            let instead = self.tell.template(instead);
            self.point(&format!("Instead: {instead}"));
        }
        self.minor("Where it comes from");
        self.point(&format!("{}: {}", rule.basis.word(), self.book.cite_all(&rule.source, &rule.sources)));
        self.holds(&rule.place, rule.period);
        if rule.every_coat {
            self.line("It applies only if it does for every coat.");
        }
        self.tree(&rule.tree);
        self.cases(&rule.id);
        self.beside(rule);
    }

    fn presumption(&mut self, presumption: &Presumption) {
        self.heading(&presumption.id, None);
        self.stands("A presumption", &presumption.pack, &presumption.declared);
        self.out.push('\n');
        let sentence = self.tell.presumed(presumption.fact, &presumption.value, &presumption.tree, &presumption.unstated);
        self.line(&sentence);
        self.line("A stated fact always wins over it.");
        self.minor("What it says");
        let says = self.tell.template(&presumption.because);
        self.point(&says);
        self.minor("Where it comes from");
        self.point(&format!("{}: {}", presumption.basis.word(), self.book.cite_all(&presumption.source, &presumption.sources)));
        self.holds(&presumption.place, presumption.period);
        self.tree(&presumption.tree);
        self.cases(&presumption.id);
    }

    /// The cases in which a tree applies, what it reads, and the limits in force.
    fn tree(&mut self, tree: &Tree) {
        self.minor("When it applies");
        let table = self.tell.table(tree);
        let text = set_table(&table, self.page);
        self.out.push_str(&text);
        for why in &table.fails {
            self.point(&format!("It cannot be worked out on some path, and counts as a caution there: {why}"));
        }
        let facts: Vec<FactId> = tree.reads().into_iter().filter_map(|w| if let Who::Fact(f) = w { Some(f) } else { None }).collect();
        if !facts.is_empty() {
            self.minor("What it reads");
            for id in facts {
                let fact = self.book.base.vocabulary.get(id);
                let how = if fact.chosen { "chosen" } else { "found" };
                self.point(&format!("{} ({how}, {}): {}", fact.id, self.kind(id), fact.question));
            }
        }
        let limits = tree.limits();
        if !limits.is_empty() {
            let whereabouts = self.whereabouts();
            self.minor(&format!("Limits {whereabouts}"));
            for index in limits {
                let (id, limit) = self.book.base.limits.get_index(index).expect("a limit of the book");
                let figure = self.tell.figure(index).unwrap_or_else(|| "no figure in force here: the rule counts as a caution".to_owned());
                self.point(&format!("{id} ({}): {figure}", limit.title));
            }
        }
    }

    fn whereabouts(&self) -> String {
        match self.place {
            Some(place) => format!("for {place} on {}", self.date),
            None => format!("on {}, with no place given", self.date),
        }
    }

    fn kind(&self, id: FactId) -> String {
        let base = &self.book.base;
        let fact = base.vocabulary.get(id);
        match &fact.kind {
            FactKind::YesNo => "yes or no".to_owned(),
            FactKind::Number { .. } => match fact.unit().names[0] {
                "" => "a plain number".to_owned(),
                unit => format!("a quantity such as \"20 {unit}\""),
            },
            FactKind::Year { .. } => "a year".to_owned(),
            FactKind::Choice(_) => format!("one of {}", words::list(&fact.choice_ids(&base.catalogue), "or")),
            FactKind::Several(_) => format!("any of {}", words::list(&fact.choice_ids(&base.catalogue), "and")),
            FactKind::Entry(kind) => format!("a {} of the catalogue", kind.word()),
        }
    }

    fn cases(&mut self, id: &str) {
        let id = id.to_owned();
        let cases: Vec<(&str, &Case)> = self
            .book
            .cases
            .iter()
            .filter_map(|c| {
                let does = if c.says.contains(&id) {
                    "speaks"
                } else if c.silent.contains(&id) {
                    "is silent"
                } else if c.open.contains(&id) {
                    "is open"
                } else if c.about.contains(&id) {
                    "has a say"
                } else {
                    return None;
                };
                Some((does, c))
            })
            .collect();
        self.minor("Worked cases");
        if cases.is_empty() {
            self.point("None: add one in which it speaks and one in which it is silent.");
        }
        for (does, case) in cases.iter().take(MOST_CASES) {
            let (line, _) = case.place.file.line_column(case.place.span.start);
            let sound = if try_case(case, self.book).wrong.is_empty() { "" } else { "; NOT as it should be: see `ovolo rules try`" };
            self.point(&format!("{does}: \"{}\" ({}:{line}){sound}", case.title, case.place.file.name));
        }
        if cases.len() > MOST_CASES {
            self.point(&format!("… and {} more", cases.len() - MOST_CASES));
        }
    }

    fn beside(&mut self, rule: &Rule) {
        let found = overlaps(self.book, rule);
        if found.is_empty() {
            return;
        }
        self.minor("Beside other rules");
        for overlap in &found {
            let text = match overlap {
                Overlap::Same(id) => format!("{id} applies in the same cases, with the same ruling"),
                Overlap::CoveredBy(id) => format!("{id} applies wherever this one does, with the same ruling"),
                Overlap::Covers(id) => format!("this one applies wherever {id} does, with the same ruling"),
                Overlap::Undone(id) => format!("{id} rules the method out wherever this one prefers it"),
                Overlap::CanContradict(id) => format!("{id} can apply at the same time, and says the opposite"),
            };
            self.point(&text);
        }
    }

    fn limit(&mut self, index: usize) {
        let (id, limit) = self.book.base.limits.get_index(index).expect("a limit of the book");
        self.heading(id, Some(&limit.title));
        self.stands("A limit", &limit.pack, &limit.declared);
        let direction = match limit.stricter {
            Stricter::Lower => "lower",
            Stricter::Higher => "higher",
        };
        self.out.push('\n');
        let figure = self.tell.figure(index).map_or_else(|| "no figure is in force".to_owned(), |f| format!("the figure is {f}"));
        self.line(&format!(
            "{}: {figure}. Stricter is {direction}; of several figures in force the strictest counts.",
            capital(&self.whereabouts())
        ));
        self.minor("Figures");
        for v in &limit.values {
            let place = v.place.as_deref().unwrap_or("everywhere");
            let from = v.period.from.map_or_else(String::new, |d| format!(" from {d}"));
            let until = v.period.until.map_or_else(String::new, |d| format!(" until {d}"));
            let pack = if v.pack == limit.pack { String::new() } else { format!(", pack {}", v.pack) };
            self.point(&format!(
                "{} {place}{from}{until}: {}, {}{pack}",
                v.quantity.show_with(self.system),
                v.basis.word(),
                self.book.cite(&v.source)
            ));
        }
        self.readers("Read by", self.book.rules.iter().filter(|r| r.tree.limits().contains(&index)).map(|r| r.id.as_str()).collect());
        self.minor("To make it stricter");
        let id = crate::problems::harmless(id);
        let _ = writeln!(self.out, "      [[tighten]]\n      limit  = \"{id}\"\n      value  = \"…\"\n      source = \"…\"");
    }

    fn readers(&mut self, heading: &str, ids: Vec<&str>) {
        self.minor(heading);
        let text = if ids.is_empty() { "nothing".to_owned() } else { ids.join(", ") };
        self.out.push_str(&self.page.paragraph("  ", "  ", &text));
    }

    fn fact(&mut self, id: FactId) {
        let base = &self.book.base;
        let fact = base.vocabulary.get(id);
        self.heading(&fact.id, Some(&fact.title));
        self.stands(if fact.chosen { "A fact that is chosen" } else { "A fact that is found" }, &fact.pack, &fact.declared);
        self.out.push('\n');
        self.line(&fact.question);
        if !fact.help.is_empty() {
            self.line(&fact.help);
        }
        let kind = self.kind(id);
        self.line(&format!("It is {kind}."));
        if let FactKind::Number { range, .. } | FactKind::Year { range } = &fact.kind
            && let Some((low, high)) = range.bounds()
            && low.is_finite()
        {
            self.line(&format!("It lies between {} and {}.", fact.show_number(low, self.system), fact.show_number(high, self.system)));
        }
        if !fact.says.is_empty() {
            self.line(&format!("People also say: {}.", fact.says.join(", ")));
        }
        if let Some(careful) = &fact.careful {
            let value = fact.show(careful, &self.book.base.catalogue, self.system);
            self.line(&format!("A house pack may presume it to be {value}, which is the careful value."));
        }
        if let Some(condition) = &fact.condition {
            self.line(&format!("As a condition: {condition}."));
        }
        self.minor("In a rule's script");
        for text in self.script(id) {
            self.point(&text);
        }
        self.readers("Read by", readers(self.book, id));
        let presumed: Vec<&str> = self.book.presumptions.iter().filter(|p| p.fact == id).map(|p| p.id.as_str()).collect();
        if !presumed.is_empty() {
            self.readers("Presumed by", presumed);
        }
    }

    /// How a script asks about a fact.
    fn script(&self, id: FactId) -> Vec<String> {
        let base = &self.book.base;
        let fact = base.vocabulary.get(id);
        let first = || fact.choice_ids(&base.catalogue).first().map_or("…", |c| *c).to_owned();
        let figure = |low: f64| {
            fact.unit()
                .names
                .first()
                .filter(|u| !u.is_empty())
                .map_or_else(|| quantity(low), |u| format!("quantity(\"{} {u}\")", quantity(fact.unit().of_base(low))))
        };
        match &fact.kind {
            FactKind::YesNo => vec![fact.id.clone(), format!("!{}", fact.id)],
            FactKind::Choice(_) | FactKind::Entry(_) => {
                vec![format!("{} == \"{}\"", fact.id, first()), format!("{} in [\"{}\", …]", fact.id, first())]
            }
            FactKind::Several(_) => vec![format!("{}.has(\"{}\")", fact.id, first())],
            FactKind::Year { .. } => vec![format!("{} < 1978", fact.id)],
            FactKind::Number { range, .. } => {
                let (low, high) = range.bounds().filter(|(l, h)| l.is_finite() && h.is_finite()).unwrap_or((0.0, 20.0));
                vec![format!("{} > {}", fact.id, figure(low + (high - low) / 10.0))]
            }
        }
    }

    fn entry(&mut self, kind: EntryKind, index: usize) {
        let catalogue = &self.book.base.catalogue;
        let entry = &catalogue.entries(kind)[index];
        self.heading(&entry.id, Some(&entry.title));
        self.stands(&format!("A {} of the catalogue", kind.word()), &entry.pack, &entry.declared);
        self.out.push('\n');
        if let Some(cautions) = &entry.cautions {
            self.line(cautions);
        }
        if !entry.says.is_empty() {
            self.line(&format!("People also say: {}.", entry.says.join(", ")));
        }
        self.line(&format!("Its description comes from: {}.", self.book.cite(&entry.source)));
        let plain = |v: &ovolo_engine::catalogue::AttributeValue| *v == ovolo_engine::catalogue::AttributeValue::Flag(false);
        if !entry.attributes.iter().all(plain) || !entry.settings.is_empty() {
            self.minor("Properties");
        }
        for (attribute, value) in catalogue.attributes(kind).values().zip(&entry.attributes) {
            use ovolo_engine::catalogue::{AttributeKind, AttributeValue};
            let value = match (value, &attribute.kind) {
                (AttributeValue::Flag(false), _) => continue,
                (AttributeValue::Flag(true), _) => "yes".to_owned(),
                (AttributeValue::Choice(c), AttributeKind::Choice(choices)) => choices[*c].clone(),
                (AttributeValue::Number(n), _) => ovolo_engine::quantity::plain(*n),
                (AttributeValue::Choice(_), _) => continue,
            };
            self.point(&format!("{} ({}): {value}", attribute.id, attribute.title));
        }
        for (fact, reach) in &entry.settings {
            let fact = self.book.base.vocabulary.get(*fact);
            if let Some((low, high)) = reach.bounds() {
                self.point(&format!("{}: {} to {}", fact.id, fact.show_number(low, self.system), fact.show_number(high, self.system)));
            }
        }
        for grid in catalogue.grids.values() {
            let cells: Vec<(&str, &ovolo_engine::catalogue::Cell)> = if grid.rows == kind {
                catalogue.ids(grid.columns).zip(&grid.cells[index]).collect()
            } else if grid.columns == kind {
                catalogue.ids(grid.rows).zip(grid.cells.iter().map(|row| &row[index])).collect()
            } else {
                continue;
            };
            self.minor(&format!("{}: {}", grid.id, grid.title));
            for (grade, name) in grid.grades.iter().enumerate() {
                let named: Vec<String> = cells
                    .iter()
                    .filter(|(_, c)| c.grade == grade)
                    .map(|(id, c)| if c.stated { format!("{id} ({})", grid.reasons[c.reason]) } else { format!("{id} (no grade stated)") })
                    .collect();
                if !named.is_empty() {
                    self.point(&format!("{name}: {}", named.join(", ")));
                }
            }
        }
        if kind == EntryKind::Method {
            let rules = rules_for(self.book, index);
            for ruling in ovolo_engine::pack::Ruling::ALL {
                let ids: Vec<&str> = rules.iter().filter(|r| r.ruling == ruling).map(|r| r.id.as_str()).collect();
                if !ids.is_empty() {
                    self.readers(&format!("Rules that can apply to it: {}", ruling.word()), ids);
                }
            }
        }
    }

    fn pack(&mut self, index: usize) {
        let pack = &self.book.packs[index];
        self.heading(&pack.name, Some(&pack.title));
        self.line(&format!("Version {}, kept by {}. Digest {}.", pack.version, pack.owner, pack.digest));
        if !pack.needs.is_empty() {
            self.line(&format!("Builds on {}.", words::list(&pack.needs, "and")));
        }
        for ruling in ovolo_engine::pack::Ruling::ALL {
            let rules = self.book.rules.iter().filter(|r| r.pack == pack.name && r.ruling == ruling);
            let ids: Vec<&str> = rules.map(|r| r.id.as_str()).collect();
            if !ids.is_empty() {
                self.readers(ruling.word(), ids);
            }
        }
        let presumptions: Vec<&str> = self.book.presumptions.iter().filter(|p| p.pack == pack.name).map(|p| p.id.as_str()).collect();
        if !presumptions.is_empty() {
            self.readers("presumptions", presumptions);
        }
        let limits = self.book.base.limits.iter().filter(|(_, l)| l.values.iter().any(|v| v.pack == pack.name));
        let limits: Vec<&str> = limits.map(|(id, _)| id.as_str()).collect();
        if !limits.is_empty() {
            self.readers("figures of limits", limits);
        }
    }
}

/// A figure for an example: round, and without thousands set apart, as a script writes it.
fn quantity(value: f64) -> String {
    let scale = 10_f64.powf(value.abs().max(1.0).log10().floor());
    format!("{}", (value / scale).round() * scale)
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

/// A table where it fits the page, else a list of the cases.
fn set_table(table: &Table, page: &Page) -> String {
    use unicode_width::UnicodeWidthStr;
    if table.rows.is_empty() {
        return page.paragraph("  ", "  ", "never");
    }
    if table.columns.is_empty() {
        return page.paragraph("  ", "  ", "always");
    }
    let widths: Vec<usize> = table
        .columns
        .iter()
        .enumerate()
        .map(|(c, heading)| table.rows.iter().map(|r| r[c].width()).max().unwrap_or(0).max(heading.width()))
        .collect();
    if table.rows.len() < 2 || widths.iter().sum::<usize>() + 3 * widths.len() + 2 > page.width {
        return table.cases.iter().map(|case| page.paragraph("  - ", "    ", case)).collect();
    }
    let line = |cells: &[String]| {
        let cells: Vec<String> = cells.iter().zip(&widths).map(|(c, w)| format!("{c}{}", " ".repeat(w - c.width()))).collect();
        format!("  {}\n", crate::problems::harmless(cells.join(" | ").trim_end()))
    };
    let rule: Vec<String> = widths.iter().map(|w| "-".repeat(*w)).collect();
    let dash = |c: &String| if c.is_empty() { "anything".to_owned() } else { c.clone() };
    let rows: String = table.rows.iter().map(|r| line(&r.iter().map(dash).collect::<Vec<_>>())).collect();
    format!("{}{}{rows}", line(&table.columns), line(&rule))
}
