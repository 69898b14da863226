//! Telling what a tree comes to: the cases in which it applies as a table, and as one sentence.

use super::grades::grades;
use super::rows::{Key, Left, Row, any_of, both, either, opposite, within};
use crate::catalogue::{AttributeKind, AttributeValue, EntryKind};
use crate::pack::{Part, RuleBook, Ruling, Template};
use crate::quantity::{self, System};
use crate::reach::Reach;
use crate::script::region;
use crate::tree::{Expr, Node, Op, Outcome, Test, Tree, Who};
use crate::vocabulary::{FactId, FactKind, Known, flag, lowest};
use crate::words;
use jiff::civil::Date;
use std::sync::Arc;

/// The most entries of a set that are named one by one.
const MOST_NAMED: usize = 8;

/// The cases in which a tree applies.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Table {
    /// What each column is about.
    pub columns: Vec<String>,
    /// The cases; an empty cell stands for anything. No row: it never applies; a row of empty cells: always.
    pub rows: Vec<Vec<String>>,
    /// Each case as it reads in a sentence.
    pub cases: Vec<String>,
    /// What the script could not work out on some paths.
    pub fails: Vec<String>,
}

/// Words for trees at a place and date: limits are given with the figure in force there.
#[derive(Debug, Clone)]
pub struct Tell<'b> {
    book: &'b RuleBook,
    places: Vec<String>,
    date: Date,
    system: System,
}

impl<'b> Tell<'b> {
    /// Words at a place and date.
    pub fn new(book: &'b RuleBook, place: Option<&str>, date: Date, system: System) -> Self {
        Self { book, places: place.map(|p| book.places_of(p)).unwrap_or_default(), date, system }
    }

    /// The cases in which a tree applies, those that differ in one thing only taken together.
    pub fn table(&self, tree: &Tree) -> Table {
        let (rows, fails) = self.rows(tree);
        let mut keys: Vec<&Key> = Vec::new();
        for (key, _) in rows.iter().flatten() {
            if !keys.contains(&key) {
                keys.push(key);
            }
        }
        let cell = |row: &Row, key: &Key| row.iter().find(|(k, _)| k == key).map_or_else(String::new, |(k, left)| self.value(k, left));
        Table {
            columns: keys.iter().map(|k| self.heading(k)).collect(),
            rows: rows.iter().map(|row| keys.iter().map(|k| cell(row, k)).collect()).collect(),
            cases: rows.iter().map(|row| self.case(row)).collect(),
            fails,
        }
    }

    /// What a rule does and when, in one sentence.
    pub fn sentence(&self, ruling: Ruling, tree: &Tree, released_by: Option<FactId>) -> String {
        let (mut rows, _) = self.rows(tree);
        let does = match ruling {
            Ruling::RuleOut => "Rules the method out",
            Ruling::Hold => "Stops all work",
            Ruling::Caution => "Warns",
            Ruling::Prefer => "Speaks for the method",
            Ruling::Note => "Points something out",
        };
        let mut text = does.to_owned();
        if let Some(fact) = released_by {
            for row in &mut rows {
                row.retain(|(key, _)| *key != Key::Who(Who::Fact(fact)));
            }
            text = format!("{text} until \"{}\" is yes", self.book.base.vocabulary.get(fact).title);
        }
        format!("{text}{}.", self.when(&rows))
    }

    /// What a presumption takes a fact to be and when, in one sentence.
    pub fn presumed(&self, fact: FactId, value: &Known, tree: &Tree, unstated: &[FactId]) -> String {
        let vocabulary = &self.book.base.vocabulary;
        let f = vocabulary.get(fact);
        let (rows, _) = self.rows(tree);
        let mut text = format!("Takes \"{}\" to be {}", f.title, f.show(value, &self.book.base.catalogue, self.system));
        if !unstated.is_empty() {
            let names: Vec<String> = unstated.iter().map(|u| format!("\"{}\"", vocabulary.get(*u).title)).collect();
            text = format!("{text}, while nothing is stated of {}", words::list(&names, "and"));
        }
        format!("{text}{}.", self.when(&rows))
    }

    fn when(&self, rows: &[Row]) -> String {
        if rows.is_empty() {
            return " in no case at all".to_owned();
        }
        if rows.iter().any(Vec::is_empty) {
            return " in every case".to_owned();
        }
        let cases: Vec<String> = rows.iter().map(|row| self.case(row)).collect();
        format!(" where {}", cases.join("; or where "))
    }

    /// A sentence with its gaps named.
    pub fn template(&self, template: &Template) -> String {
        let base = &self.book.base;
        let said = |part: &Part| match part {
            Part::Text(t) => t.clone(),
            Part::Method => "[the method]".to_owned(),
            Part::Fact(f) => format!("[{}]", base.vocabulary.get(*f).title),
            Part::Limit(l) => self.figure(*l).unwrap_or_else(|| format!("[{}]", base.limits.get_index(*l).map_or("", |(_, l)| &l.title))),
        };
        template.parts.iter().map(said).collect()
    }

    /// The figure of a limit in force.
    pub fn figure(&self, limit: usize) -> Option<String> {
        self.book.base.limits.get_index(limit)?.1.in_force(&self.places, self.date).map(|v| v.quantity.show_with(self.system))
    }

    /// A question with the answer it got, as it reads in a list: `oak or veneer`.
    pub fn answer(&self, test: &Test, answer: bool) -> String {
        let (key, left) = self.read(test, answer);
        self.clause(&key, &left)
    }

    /// The cases of a tree, and what could not be worked out.
    fn rows(&self, tree: &Tree) -> (Vec<Row>, Vec<String>) {
        let mut rows: Vec<Row> = Vec::new();
        let mut fails: Vec<String> = Vec::new();
        let mut left: Vec<(usize, Row)> = vec![(0, Vec::new())];
        while let Some((at, row)) = left.pop() {
            match &tree.nodes[at] {
                Node::Leaf(Outcome::Applies) => {
                    if !rows.contains(&row) {
                        rows.push(row);
                    }
                }
                Node::Leaf(Outcome::Fails(why)) => {
                    if !fails.contains(why) {
                        fails.push(why.clone());
                    }
                }
                Node::Leaf(Outcome::Silent) => {}
                Node::Ask(test, yes, no) => {
                    // The last pushed is the first taken: yes before no, as the script reads.
                    for (answer, next) in [(false, *no), (true, *yes)] {
                        if let Some(row) = self.narrowed(&row, test, answer) {
                            left.push((next, row));
                        }
                    }
                }
            }
        }
        (self.taken_together(rows), fails)
    }

    fn narrowed(&self, row: &Row, test: &Test, answer: bool) -> Option<Row> {
        let (key, more) = self.read(test, answer);
        let mut row = row.clone();
        match row.iter_mut().find(|(k, _)| *k == key) {
            Some((_, left)) => *left = both(left, &more),
            None => row.push((key.clone(), more)),
        }
        let left = row.iter().find(|(k, _)| *k == key).map(|(_, l)| l)?;
        (!self.nothing(&key, left)).then_some(row)
    }

    /// Joins cases that differ in one thing only, until no two do.
    fn taken_together(&self, mut rows: Vec<Row>) -> Vec<Row> {
        for row in &mut rows {
            row.retain(|(key, left)| !self.anything(key, left));
        }
        'again: loop {
            for a in 0..rows.len() {
                for b in (0..rows.len()).filter(|b| *b != a) {
                    if within(&rows[b], &rows[a], None) {
                        rows.remove(b);
                        continue 'again;
                    }
                    if let Some(wider) = self.widened(&rows[b], &rows[a]) {
                        rows[b] = wider;
                        continue 'again;
                    }
                }
            }
            return any_of(rows);
        }
    }

    /// The second of two cases, less what need not be said of it because the first case covers the rest.
    fn widened(&self, row: &Row, beside: &Row) -> Option<Row> {
        for (at, (key, left)) in row.iter().enumerate() {
            let Some((_, other)) = beside.iter().find(|(k, _)| k == key) else { continue };
            let more = either(left, other);
            if (more == *left && !opposite(left, other)) || !within(row, beside, Some(key)) {
                continue;
            }
            let mut wider = row.clone();
            if opposite(left, other) || self.anything(key, &more) {
                wider.remove(at);
            } else {
                wider[at].1 = more;
            }
            return Some(wider);
        }
        None
    }

    fn read(&self, test: &Test, answer: bool) -> (Key, Left) {
        match test {
            Test::Is(who, set) => (Key::Who(*who), Left::Bits(if answer { *set } else { self.all(*who) & !set })),
            Test::Has(fact, option) => (Key::Has(*fact, *option), Left::Truth(answer)),
            Test::Grid { grid, row, column, cells } => {
                let columns = lowest(self.book.base.catalogue.entries(self.book.base.catalogue.grids[*grid].columns).len());
                let cells = cells.iter().map(|c| if answer { *c } else { columns & !c }).collect();
                (Key::Grid(*grid, *row, *column), Left::Cells(cells))
            }
            Test::Compare(a, op, b) => {
                if let (Expr::Fact(f), Expr::Const(c)) = (&**a, &**b) {
                    let reach = region(*op, *c);
                    return (Key::Who(Who::Fact(*f)), Left::Numbers(self.possible(*f).and(&if answer { reach } else { reach.not() })));
                }
                let order = match op {
                    Op::Less => 0b001,
                    Op::AtMost => 0b011,
                    Op::Equal => 0b010,
                };
                (Key::Compare(Arc::clone(a), Arc::clone(b)), Left::Order(if answer { order } else { 0b111 & !order }))
            }
        }
    }

    fn all(&self, who: Who) -> u128 {
        let base = &self.book.base;
        lowest(match who {
            Who::Method => base.catalogue.entries(EntryKind::Method).len(),
            Who::Fact(f) => base.vocabulary.get(f).width(&base.catalogue),
        })
    }

    fn possible(&self, fact: FactId) -> Reach {
        match self.book.base.vocabulary.get(fact).anything(&self.book.base.catalogue) {
            Known::Num(reach) => reach,
            _ => Reach::all(),
        }
    }

    fn nothing(&self, key: &Key, left: &Left) -> bool {
        match left {
            Left::Bits(b) => *b == 0,
            Left::Numbers(r) if matches!(key, Key::Who(Who::Fact(f)) if self.book.base.vocabulary.get(*f).whole()) => r.whole().is_empty(),
            Left::Numbers(r) => r.is_empty(),
            Left::Truth(_) => false,
            Left::Cells(cells) => cells.iter().all(|c| *c == 0),
            Left::Order(o) => *o == 0,
        }
    }

    fn anything(&self, key: &Key, left: &Left) -> bool {
        match (key, left) {
            (Key::Who(who), Left::Bits(b)) => *b == self.all(*who),
            (Key::Who(Who::Fact(f)), Left::Numbers(r)) => *r == self.possible(*f),
            (Key::Grid(grid, ..), Left::Cells(cells)) => {
                let columns = lowest(self.book.base.catalogue.entries(self.book.base.catalogue.grids[*grid].columns).len());
                cells.iter().all(|c| *c == columns)
            }
            (_, Left::Order(o)) => *o == 0b111,
            _ => false,
        }
    }

    fn case(&self, row: &Row) -> String {
        let clauses: Vec<String> = row.iter().map(|(key, left)| self.clause(key, left)).collect();
        if clauses.is_empty() { "anything is the case".to_owned() } else { words::list(&clauses, "and") }
    }

    /// One thing of one case, as it stands in a sentence.
    fn clause(&self, key: &Key, left: &Left) -> String {
        let value = self.value(key, left);
        match key {
            Key::Who(Who::Fact(f)) if matches!(self.book.base.vocabulary.get(*f).kind, FactKind::YesNo) => {
                format!("{} ({value})", self.heading(key))
            }
            Key::Has(f, option) => {
                let fact = self.book.base.vocabulary.get(*f);
                let does = if *left == Left::Truth(true) { "includes" } else { "does not include" };
                format!("{} {does} {}", fact.title, fact.choice_title(*option, &self.book.base.catalogue))
            }
            Key::Any(..) => format!("{} includes {value}", self.heading(key)),
            Key::Grid(..) => format!("{} is graded {value}", self.heading(key)),
            _ => format!("{} is {value}", self.heading(key)),
        }
    }

    fn heading(&self, key: &Key) -> String {
        let base = &self.book.base;
        match key {
            Key::Who(who) => self.name(*who),
            Key::Has(f, option) => {
                let fact = base.vocabulary.get(*f);
                format!("{}: {}", fact.title, fact.choice_title(*option, &base.catalogue))
            }
            Key::Any(f, _) => base.vocabulary.get(*f).title.clone(),
            Key::Grid(grid, ..) => base.catalogue.grids[*grid].title.clone(),
            Key::Compare(a, _) => self.expr(a),
        }
    }

    fn name(&self, who: Who) -> String {
        match who {
            Who::Method => "the method".to_owned(),
            Who::Fact(f) => self.book.base.vocabulary.get(f).title.clone(),
        }
    }

    fn value(&self, key: &Key, left: &Left) -> String {
        let base = &self.book.base;
        match (key, left) {
            (Key::Who(Who::Method), Left::Bits(set)) => self.entries(EntryKind::Method, *set),
            (Key::Who(Who::Fact(f)), Left::Bits(set)) => match base.vocabulary.get(*f).kind {
                FactKind::Entry(kind) => self.entries(kind, *set),
                FactKind::YesNo => if *set == flag::YES { "yes" } else { "no" }.to_owned(),
                _ => base.vocabulary.get(*f).show(&Known::Bits(*set), &base.catalogue, self.system),
            },
            (Key::Who(Who::Fact(f)), Left::Numbers(reach)) => {
                base.vocabulary.get(*f).show(&Known::Num(reach.clone()), &base.catalogue, self.system)
            }
            (Key::Any(f, set), _) => {
                let fact = base.vocabulary.get(*f);
                let named: Vec<&str> =
                    (0..fact.width(&base.catalogue)).filter(|i| set >> i & 1 == 1).map(|i| fact.choice_title(i, &base.catalogue)).collect();
                words::list(&named, "or")
            }
            (_, Left::Truth(yes)) => if *yes { "yes" } else { "no" }.to_owned(),
            (Key::Grid(grid, ..), Left::Cells(cells)) => grades(&base.catalogue.grids[*grid], cells),
            (Key::Compare(a, b), Left::Order(order)) => format!("{} {}", order_word(*order), self.against(a, b)),
            _ => String::new(),
        }
    }

    /// A set of entries: by an attribute they share where there is one, else by name.
    fn entries(&self, kind: EntryKind, set: u128) -> String {
        let catalogue = &self.book.base.catalogue;
        let all = lowest(catalogue.entries(kind).len());
        let ids =
            |set: u128| -> Vec<&str> { catalogue.ids(kind).enumerate().filter(|(i, _)| set >> i & 1 == 1).map(|(_, id)| id).collect() };
        let inside = ids(set);
        if inside.len() <= 2 {
            return words::list(&inside, "or");
        }
        let flags: Vec<(String, u128)> = catalogue
            .attributes(kind)
            .values()
            .enumerate()
            .filter(|(_, a)| matches!(a.kind, AttributeKind::YesNo))
            .map(|(i, a)| (a.title.clone(), catalogue.with(kind, i, |v| v == AttributeValue::Flag(true))))
            .collect();
        for (title, with) in &flags {
            if *with == set {
                return format!("\"{title}\"");
            }
            if all & !with == set {
                return format!("not \"{title}\"");
            }
        }
        for (index, attribute) in catalogue.attributes(kind).values().enumerate() {
            let AttributeKind::Choice(choices) = &attribute.kind else { continue };
            let of = |c: usize| catalogue.with(kind, index, |v| v == AttributeValue::Choice(c));
            let taken: Vec<usize> = (0..choices.len()).filter(|c| of(*c) != 0 && of(*c) & set == of(*c)).collect();
            if taken.len() <= 4 && taken.iter().fold(0, |s, c| s | of(*c)) == set {
                let names: Vec<&str> = taken.iter().map(|c| choices[*c].as_str()).collect();
                return format!("of {} {}", attribute.title, words::list(&names, "or"));
            }
        }
        for (a, with_a) in &flags {
            for (b, with_b) in &flags {
                if with_a & with_b == set && a < b {
                    return format!("\"{a}\" and \"{b}\"");
                }
                if with_a & !with_b == set {
                    return format!("\"{a}\" and not \"{b}\"");
                }
            }
        }
        let outside = ids(all & !set);
        if inside.len() > MOST_NAMED.min(outside.len()) && outside.len() <= MOST_NAMED {
            return format!("anything but {}", words::list(&outside, "and"));
        }
        words::list(&inside, "or")
    }

    /// What an expression is compared with; a figure in the unit of that expression.
    fn against(&self, expr: &Expr, other: &Expr) -> String {
        match (other, expr.unit(&self.book.base)) {
            (Expr::Const(figure), Some(unit)) => quantity::show_in(*figure, unit.for_system(self.system)),
            _ => self.expr(other),
        }
    }

    fn expr(&self, expr: &Expr) -> String {
        let base = &self.book.base;
        expr.tell(&|expr| match expr {
            Expr::Const(c) => quantity::plain(*c),
            Expr::Fact(f) => base.vocabulary.get(*f).title.clone(),
            Expr::Limit(l) => match self.figure(*l) {
                Some(figure) => format!("{figure} ({})", base.limits[*l].title),
                None => format!("the {}", base.limits[*l].title),
            },
            Expr::Lookup(who, _) => format!("a figure of {}", self.name(*who)),
            Expr::Call(..) | Expr::Reckon(..) => String::new(),
        })
    }
}

fn order_word(order: u8) -> &'static str {
    match order {
        0b001 => "below",
        0b011 => "at most",
        0b010 => "exactly",
        0b100 => "above",
        0b110 => "at least",
        0b101 => "other than",
        _ => "beside",
    }
}
