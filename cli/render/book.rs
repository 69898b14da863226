//! The rule book as a document.

use super::document::{Block, Document};
use jiff::civil::Date;
use ovolo_engine::catalogue::EntryKind;
use ovolo_engine::limit::{Period, Where};
use ovolo_engine::pack::{PackInfo, Presumption, Rule, RuleBook, Ruling};
use ovolo_engine::quantity::System;
use ovolo_engine::tree::{Tree, Who};
use ovolo_engine::vocabulary::FactKind;
use ovolo_engine::words;
use ovolo_engine::workshop::{Tell, readers, rules_for};

/// The packs named, as a document: rules by pack, limits, methods, facts, sources, and indexes by fact and by method.
pub(crate) fn document(book: &RuleBook, packs: &[&str], place: Option<&str>, date: Date) -> Document {
    let system = book.base.customs.system_at(place);
    let own: Vec<&PackInfo> = book.packs.iter().filter(|p| packs.contains(&p.name.as_str())).collect();
    let title = match own[..] {
        [one] => one.title.clone(),
        _ => "The rule book".to_owned(),
    };
    let tell = Tell::new(book, place, date, system);
    let mut writer = Writer { book, packs, tell, system, place, date, doc: Document { title, blocks: Vec::new() } };
    writer.head(&own);
    for pack in &own {
        writer.pack(pack);
    }
    writer.limits();
    writer.methods();
    writer.facts();
    writer.sources();
    writer.indexes();
    writer.doc
}

struct Writer<'b, 'p> {
    book: &'b RuleBook,
    packs: &'p [&'p str],
    tell: Tell<'b>,
    system: System,
    place: Option<&'p str>,
    date: Date,
    doc: Document,
}

fn holds(at: &Where, period: Period) -> String {
    let mut text = capital(at.words().trim_start_matches("in "));
    if let Some(from) = period.from {
        text = format!("{text}, from {from}");
    }
    if let Some(until) = period.until {
        text = format!("{text}, until {until}");
    }
    if let Some(review) = period.review {
        text = format!("{text}; due for re-checking on {review}");
    }
    text
}

impl Writer<'_, '_> {
    fn own(&self, pack: &str) -> bool {
        self.packs.contains(&pack)
    }

    fn head(&mut self, packs: &[&PackInfo]) {
        let place = match self.place {
            Some(place) => format!("Figures are those in force in {place} on {}.", self.date),
            None => {
                format!("Figures are those in force on {} where no place is given; the chapter on limits gives all of them.", self.date)
            }
        };
        self.doc.text(place);
        let row = |p: &&PackInfo| vec![p.name.clone(), p.version.clone(), p.owner.clone(), p.digest.clone()];
        self.doc.table(&["pack", "version", "kept by", "digest"], packs.iter().map(row).collect());
        self.doc.text(format!("Digest of the whole rule book in use: {}.", self.book.digest));
        self.doc.text(ovolo_engine::advice::DEFERS);
    }

    fn pack(&mut self, pack: &PackInfo) {
        self.doc.heading(1, format!("pack-{}", pack.name), &pack.title);
        self.doc.text(format!("Pack {} {}, kept by {}.", pack.name, pack.version, pack.owner));
        for ruling in Ruling::ALL {
            let rules: Vec<&Rule> = self.book.rules.iter().filter(|r| r.pack == pack.name && r.ruling == ruling).collect();
            if rules.is_empty() {
                continue;
            }
            let heading = match ruling {
                Ruling::RuleOut => "What rules a method out",
                Ruling::Hold => "What holds the work",
                Ruling::Caution => "What to watch",
                Ruling::Prefer => "What speaks for a method",
                Ruling::Note => "What to know",
            };
            self.doc.heading(2, format!("pack-{}-{}", pack.name, ruling.word()), heading);
            for rule in rules {
                self.rule(rule);
            }
        }
        let presumptions: Vec<&Presumption> = self.book.presumptions.iter().filter(|p| p.pack == pack.name).collect();
        if !presumptions.is_empty() {
            self.doc.heading(2, format!("pack-{}-presumptions", pack.name), "What is presumed until it is found");
            for presumption in presumptions {
                self.presumption(presumption);
            }
        }
    }

    fn rule(&mut self, rule: &Rule) {
        let title = rule.title.as_ref().map_or_else(|| rule.id.clone(), |t| format!("{} ({})", capital(t), rule.id));
        self.doc.heading(3, format!("rule-{}", rule.id), title);
        self.doc.text(self.tell.template(&rule.because));
        if let Some(instead) = &rule.instead {
            self.doc.text(format!("Instead: {}", self.tell.template(instead)));
        }
        self.when(self.tell.sentence(rule.ruling, &rule.tree, rule.released_by), &rule.tree);
        let mut points = vec![
            format!("{}: {}", capital(rule.basis.word()), self.book.cite_all(&rule.source, &rule.sources)),
            format!("Holds: {}", holds(&rule.place, rule.period)),
        ];
        if rule.every_coat {
            points.push("Applies only if it does for every coat".to_owned());
        }
        points.push(self.reads(&rule.tree));
        self.doc.list(points);
    }

    fn presumption(&mut self, p: &Presumption) {
        self.doc.heading(3, format!("rule-{}", p.id), &p.id);
        self.doc.text(self.tell.template(&p.because));
        self.when(self.tell.presumed(p.fact, &p.value, &p.tree, &p.unstated), &p.tree);
        self.doc.list(vec![
            format!("{}: {}", capital(p.basis.word()), self.book.cite_all(&p.source, &p.sources)),
            format!("Holds: {}", holds(&p.place, p.period)),
            self.reads(&p.tree),
        ]);
    }

    /// The sentence, and a table where there are several cases and the table is not too wide for paper.
    fn when(&mut self, sentence: String, tree: &Tree) {
        let table = self.tell.table(tree);
        if table.rows.len() > 2 && (2..=5).contains(&table.columns.len()) {
            let lead = sentence.split(" where ").next().unwrap_or(&sentence);
            self.doc.stress(format!("{lead} in these cases:"));
            let anything = |cell: &String| if cell.is_empty() { "anything".to_owned() } else { cell.clone() };
            let rows = table.rows.iter().map(|r| r.iter().map(anything).collect()).collect();
            self.doc.blocks.push(Block::Table(table.columns, rows));
        } else {
            self.doc.stress(sentence);
        }
    }

    fn reads(&self, tree: &Tree) -> String {
        let names: Vec<&str> = tree
            .reads()
            .into_iter()
            .map(|w| match w {
                Who::Fact(f) => self.book.base.vocabulary.get(f).id.as_str(),
                Who::Method => "method",
            })
            .collect();
        if names.is_empty() { "Reads nothing".to_owned() } else { format!("Reads: {}", names.join(", ")) }
    }

    /// Limits that these packs declare, tighten or read.
    fn limits(&mut self) {
        let read = |index: usize| self.book.rules.iter().any(|r| self.own(&r.pack) && r.tree.limits().contains(&index));
        let base = &self.book.base;
        let wanted: Vec<usize> = (0..base.limits.len())
            .filter(|i| base.limits[*i].values.iter().any(|v| self.own(&v.pack)) || self.own(&base.limits[*i].pack) || read(*i))
            .collect();
        if wanted.is_empty() {
            return;
        }
        self.doc.heading(1, "limits", "Limits");
        self.doc.text("Of several figures in force for a place and date the strictest counts.");
        for index in wanted {
            let (id, limit) = base.limits.get_index(index).expect("a limit of the book");
            self.doc.heading(3, format!("limit-{id}"), format!("{} ({id})", capital(&limit.title)));
            let now = self.tell.figure(index).unwrap_or_else(|| "none".to_owned());
            let stricter = if limit.stricter == ovolo_engine::limit::Stricter::Lower { "lower" } else { "higher" };
            self.doc.text(format!("In force: {now}. Stricter is {stricter}."));
            let rows = limit
                .values
                .iter()
                .map(|v| {
                    let place = Where { named: v.place.iter().cloned().collect(), except: Vec::new() };
                    vec![
                        v.quantity.show_with(self.system),
                        holds(&place, v.period),
                        format!("{}: {}", v.basis.word(), self.book.cite(&v.source)),
                        v.pack.clone(),
                    ]
                })
                .collect();
            self.doc.table(&["figure", "holds", "source", "pack"], rows);
        }
    }

    fn methods(&mut self) {
        let entries = self.book.base.catalogue.entries(EntryKind::Method);
        if !entries.values().any(|m| self.own(&m.pack)) {
            return;
        }
        self.doc.heading(1, "methods", "Methods");
        for method in entries.values().filter(|m| self.packs.contains(&m.pack.as_str())) {
            self.doc.heading(3, format!("method-{}", method.id), format!("{} ({})", capital(&method.title), method.id));
            if let Some(cautions) = &method.cautions {
                self.doc.text(cautions);
            }
            self.doc.text(format!("Described after: {}.", self.book.cite(&method.source)));
            let index = self.book.base.catalogue.find(EntryKind::Method, &method.id).unwrap_or_default();
            for grid in self.book.base.catalogue.grids.values().filter(|g| g.columns == EntryKind::Method) {
                let rows = self
                    .book
                    .base
                    .catalogue
                    .ids(grid.rows)
                    .zip(&grid.cells)
                    .map(|(id, row)| {
                        let cell = &row[index];
                        let source = if cell.stated { self.book.cite(&cell.source) } else { "not stated".to_owned() };
                        vec![id.to_owned(), grid.grades[cell.grade].clone(), grid.reasons[cell.reason].clone(), source]
                    })
                    .collect();
                self.doc.text(format!("{}:", capital(&grid.title)));
                self.doc.table(&[grid.rows.word(), "grade", "reason", "source"], rows);
            }
        }
    }

    fn facts(&mut self) {
        let vocabulary = &self.book.base.vocabulary;
        let rows: Vec<Vec<String>> = vocabulary
            .iter()
            .filter(|(_, f)| self.own(&f.pack))
            .map(|(_, f)| {
                let kind = match &f.kind {
                    FactKind::YesNo => "yes or no".to_owned(),
                    FactKind::Number { .. } => format!("quantity {}", f.unit().names[0]).trim_end().to_owned(),
                    FactKind::Year { .. } => "year".to_owned(),
                    FactKind::Choice(_) => words::list(&f.choice_ids(&self.book.base.catalogue), "or"),
                    FactKind::Several(_) => format!("any of {}", words::list(&f.choice_ids(&self.book.base.catalogue), "and")),
                    FactKind::Entry(kind) => format!("{} of the catalogue", kind.word()),
                };
                let how = if f.chosen { "chosen" } else { "found" };
                vec![f.id.clone(), f.question.clone(), format!("{how}; {kind}"), f.help.clone()]
            })
            .collect();
        if !rows.is_empty() {
            self.doc.heading(1, "facts", "Facts");
            self.doc.table(&["fact", "question", "kind", "how it is found out"], rows);
        }
    }

    fn sources(&mut self) {
        let mut used: Vec<String> = Vec::new();
        let mut cite = |text: &str| {
            for part in text.split(';').map(str::trim).filter(|p| !p.is_empty()) {
                let id = part.split([',', ' ']).next().unwrap_or(part);
                let listed = self.book.sources.get(id).map(|s| {
                    let address = s.address.as_ref().map_or_else(String::new, |a| format!(", {a}"));
                    format!("{}{address} ({})", s.title, s.checked)
                });
                let text = listed.unwrap_or_else(|| part.to_owned());
                if !used.contains(&text) {
                    used.push(text);
                }
            }
        };
        let rules = self.book.rules.iter().filter(|r| self.own(&r.pack));
        rules.flat_map(|r| r.sources.values().chain([&r.source])).for_each(|s| cite(s));
        let presumptions = self.book.presumptions.iter().filter(|p| self.own(&p.pack));
        presumptions.flat_map(|p| p.sources.values().chain([&p.source])).for_each(|s| cite(s));
        self.book.base.limits.values().flat_map(|l| &l.values).filter(|v| self.own(&v.pack)).for_each(|v| cite(&v.source));
        for kind in EntryKind::ALL {
            self.book.base.catalogue.entries(kind).values().filter(|e| self.own(&e.pack)).for_each(|e| cite(&e.source));
        }
        used.sort();
        if !used.is_empty() {
            self.doc.heading(1, "sources", "Sources");
            self.doc.list(used);
        }
    }

    fn indexes(&mut self) {
        let link = |id: &str| (format!("rule-{id}"), id.to_owned());
        let own_rule = |id: &str| {
            let rule = self.book.rule(id).map(|r| r.pack.as_str());
            let pack = rule.or_else(|| self.book.presumptions.iter().find(|p| p.id == id).map(|p| p.pack.as_str()));
            pack.is_some_and(|p| self.own(p))
        };
        let mut facts: Vec<(String, Vec<(String, String)>)> = self
            .book
            .base
            .vocabulary
            .iter()
            .map(|(id, f)| {
                let links = readers(self.book, id).into_iter().filter(|r| own_rule(r)).map(link).collect();
                (format!("{} ({})", f.id, f.title), links)
            })
            .filter(|(_, links): &(String, Vec<_>)| !links.is_empty())
            .collect();
        facts.sort();
        let methods: Vec<(String, Vec<(String, String)>)> = self
            .book
            .base
            .catalogue
            .entries(EntryKind::Method)
            .values()
            .enumerate()
            .map(|(i, m)| {
                let links = rules_for(self.book, i).into_iter().filter(|r| self.own(&r.pack)).map(|r| link(&r.id)).collect();
                (format!("{} ({})", m.id, m.title), links)
            })
            .filter(|(_, links): &(String, Vec<_>)| !links.is_empty())
            .collect();
        if !facts.is_empty() {
            self.doc.heading(1, "by-fact", "Rules by the facts they read");
            self.doc.blocks.push(Block::Index(facts));
        }
        if !methods.is_empty() {
            self.doc.heading(1, "by-method", "Rules by the methods they can apply to");
            self.doc.blocks.push(Block::Index(methods));
        }
    }
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}
