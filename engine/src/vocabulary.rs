//! The vocabulary: which facts there are, what they are about, and what values they can take.

use crate::catalogue::{Catalogue, EntryKind};
use crate::diagnostic::SourceFile;
use crate::quantity::{self, Quantity, Rounding, System, Unit};
use crate::reach::{Cut, Reach};
use crate::role::{ChoiceRole, FactRole};
use crate::toml_read::Place;
use indexmap::IndexMap;

/// The largest number of choices a fact, or of entries a kind of the catalogue, can have.
pub(crate) const MOST_CHOICES: usize = 128;

/// What a fact is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum About {
    /// The whole site.
    Site,
    /// One surface.
    Surface,
    /// One coat of a surface.
    Coat,
    /// A method with its settings, on one surface.
    Method,
    /// Something that has happened.
    Incident,
    /// Something that went wrong with one surface.
    Trouble,
}

impl About {
    /// All of them.
    pub const ALL: [Self; 6] = [Self::Site, Self::Surface, Self::Coat, Self::Method, Self::Incident, Self::Trouble];

    /// The word used in files and scripts.
    pub fn word(self) -> &'static str {
        match self {
            Self::Site => "site",
            Self::Surface => "surface",
            Self::Coat => "coat",
            Self::Method => "method",
            Self::Incident => "incident",
            Self::Trouble => "trouble",
        }
    }

    /// The word as it stands in a sentence.
    pub fn with_article(self) -> String {
        format!("{} {}", if self == Self::Incident { "an" } else { "a" }, self.word())
    }

    /// Whether it is about what has happened, and not about what is to be done: no rule reads it.
    pub fn has_happened(self) -> bool {
        matches!(self, Self::Incident | Self::Trouble)
    }
}

/// A fact of one rule book. It is told from the same fact of another book, so that none is mistaken for another.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[non_exhaustive]
pub struct FactId {
    /// Its place in the vocabulary.
    at: u16,
    /// A part of the mark of the book whose vocabulary it is.
    of: u16,
}

impl FactId {
    /// A fact by its place in a list that is no vocabulary: the facts of two books brought together.
    pub(crate) fn joint(at: usize) -> Self {
        Self { at: at as u16, of: 0 }
    }

    /// Its place in its list.
    pub(crate) fn at(self) -> usize {
        usize::from(self.at)
    }
}

/// A method of one rule book. It is told from a method of another book, as a [`FactId`] is.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct MethodId {
    at: u16,
    of: u16,
}

impl MethodId {
    pub(crate) fn new(at: usize, mark: Mark) -> Self {
        Self { at: at as u16, of: mark.short() }
    }

    /// Its place in the catalogue of its book.
    pub fn at(self) -> usize {
        usize::from(self.at)
    }

    /// Whether it is a method of the book with this mark.
    pub(crate) fn is_of(self, mark: Mark) -> bool {
        self.of == mark.short()
    }
}

/// By its place alone, as of facts.
impl std::fmt::Debug for MethodId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        std::fmt::Debug::fmt(&self.at, f)
    }
}

/// Seals are made of what is told here, and stay what they were: the book is no part of it.
impl std::fmt::Debug for FactId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_tuple("FactId").field(&self.at).finish()
    }
}

/// One of the values of a choice.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Choice {
    /// In files and scripts.
    pub id: String,
    /// In sentences.
    pub title: String,
    /// What people say for it.
    pub says: Vec<String>,
    /// What it is to the engine.
    pub role: Option<ChoiceRole>,
}

/// What kind of value a fact takes.
#[derive(Debug, Clone)]
pub enum FactKind {
    /// True or false.
    YesNo,
    /// A measured or counted number.
    Number {
        /// The unit it is thought in.
        unit: &'static Unit,
        /// What is possible at all, in base units.
        range: Reach,
        /// Only whole numbers.
        whole: bool,
    },
    /// A year.
    Year {
        /// What is possible at all.
        range: Reach,
    },
    /// One of several named values.
    Choice(Vec<Choice>),
    /// Any number of several named values.
    Several(Vec<Choice>),
    /// An entry of the catalogue.
    Entry(EntryKind),
}

/// Which values of a fact ask for less care than the others: what releases a hold, lifts a presumption or leaves a danger out.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Eases {
    /// Nothing is declared.
    #[default]
    Undeclared,
    /// These choices (of a yes-no fact bit 0 no, bit 1 yes).
    Choices(u128),
    /// Of a several-of fact: that something is not there.
    Absence,
    /// These numbers or years.
    Numbers(Reach),
    /// None: it weighs both ways, for this reason.
    Neither(String),
}

/// How a fact reads after "if".
#[derive(Debug, Clone, Default, PartialEq, Eq)]
#[non_exhaustive]
pub struct Reads {
    /// That it is so, or what it is: `it can be taken down`, `the building is {}`.
    pub is: Option<String>,
    /// That it is not so.
    pub is_not: Option<String>,
}

/// One fact of the vocabulary.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Fact {
    /// `about.name`.
    pub id: String,
    /// What it is about.
    pub about: About,
    /// The part behind the dot.
    pub name: String,
    /// As it stands in a sentence.
    pub title: String,
    /// The question that asks for it.
    pub question: String,
    /// How to find out.
    pub help: String,
    /// What values it takes.
    pub kind: FactKind,
    /// Whether the practitioner decides it.
    pub chosen: bool,
    /// How much trouble it is to require it.
    pub burden: f64,
    /// How much trouble it is to find out: 1 a look or a question, 3 an instrument, 5 a laboratory.
    pub effort: f64,
    /// What people say for it.
    pub says: Vec<String>,
    /// How it reads as a condition; `{}` stands for what it must be.
    pub condition: Option<String>,
    /// How it reads after "if" that it is so, and that it is not; `{}` stands for the value, `{coat}` for the coat.
    pub reads: Reads,
    /// Of a number: the fact whose things it counts, so that "six doors" is a count of the element.
    pub counts: Option<FactId>,
    /// The fact that tells what this one was found with: of a value that asks for less care there is none for certain without it.
    pub shown_by: Option<FactId>,
    /// Whether law hangs on it: at the prompt, what is said right behind a value that eases and is not understood puts it in doubt.
    pub weighty: bool,
    /// The value that is careful to presume, where there is one: a house pack can presume it wherever it sees fit.
    pub careful: Option<Known>,
    /// Which of its values ask for less care than the others, as the pack declares it.
    pub eases: Eases,
    /// When in a talk its question comes, the first being 1: among questions of about the same worth the earlier is put first.
    pub turn: u8,
    /// What it is to the engine.
    pub role: Option<FactRole>,
    /// The pack that declares it.
    pub pack: String,
    /// Where it is declared.
    pub declared: Place,
    /// Its place among the facts about the same thing.
    pub slot: usize,
}

/// What is known of one fact: the values it may still have.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Known {
    /// Of a yes-no fact (bit 0 no, bit 1 yes), a choice or an entry: the choices left.
    Bits(u128),
    /// Of a number or year: the numbers left.
    Num(Reach),
    /// Of a several-of fact: which choices hold and which do not; the rest is open.
    Several {
        /// Choices that hold.
        yes: u128,
        /// Choices that do not.
        no: u128,
    },
}

/// Bits of a yes-no fact.
pub mod flag {
    /// No.
    pub const NO: u128 = 1;
    /// Yes.
    pub const YES: u128 = 2;
    /// Not known.
    pub(crate) const EITHER: u128 = 3;
}

/// A set with the lowest `n` bits.
pub fn lowest(n: usize) -> u128 {
    if n >= 128 { u128::MAX } else { (1 << n) - 1 }
}

impl Known {
    /// What is left where it is one or the other.
    pub(crate) fn either(self, other: Self) -> Self {
        match (self, other) {
            (Self::Bits(a), Self::Bits(b)) => Self::Bits(a | b),
            (Self::Num(a), Self::Num(b)) => Self::Num(a.or(&b)),
            (Self::Several { yes: a, no: c }, Self::Several { yes: b, no: d }) => Self::Several { yes: a & b, no: c & d },
            (known, _) => known,
        }
    }

    /// Whether exactly one value is left.
    pub fn settled(&self, fact: &Fact, catalogue: &Catalogue) -> bool {
        match self {
            Self::Bits(bits) => bits.is_power_of_two(),
            Self::Num(reach) => reach.single().is_some(),
            Self::Several { yes, no } => (yes | no) == lowest(fact.width(catalogue)),
        }
    }
}

impl Fact {
    /// Whether to know this much asks for less care than to know nothing: all that is left possible is on the easy side.
    ///
    /// Of a fact of which nothing is declared, any value but the careful one might: what is not known never reads as all clear.
    pub fn eased_by(&self, known: &Known) -> bool {
        match (&self.eases, known) {
            // What leaves out some of the careful answers and none of the others asks for less care too.
            (Eases::Choices(easy), Known::Bits(bits)) => *bits != 0 && (bits & !easy == 0 || bits & easy == *easy),
            (Eases::Absence, Known::Several { no, .. }) => *no != 0,
            (Eases::Numbers(easy), Known::Num(reach)) => !reach.is_empty() && reach.and(easy) == *reach,
            (Eases::Undeclared, Known::Bits(_)) => self.careful.as_ref() != Some(known),
            (Eases::Undeclared, Known::Several { no, .. }) => *no != 0,
            _ => false,
        }
    }

    /// How many choices it has.
    pub fn width(&self, catalogue: &Catalogue) -> usize {
        match &self.kind {
            FactKind::YesNo => 2,
            FactKind::Choice(c) | FactKind::Several(c) => c.len(),
            FactKind::Entry(kind) => catalogue.entries(*kind).len(),
            FactKind::Number { .. } | FactKind::Year { .. } => 0,
        }
    }

    /// What is possible while nothing is known.
    pub fn anything(&self, catalogue: &Catalogue) -> Known {
        match &self.kind {
            FactKind::Number { range, .. } | FactKind::Year { range } => Known::Num(range.clone()),
            FactKind::Several(_) => Known::Several { yes: 0, no: 0 },
            _ => Known::Bits(lowest(self.width(catalogue))),
        }
    }

    /// Whether only whole numbers make sense.
    pub fn whole(&self) -> bool {
        matches!(self.kind, FactKind::Number { whole: true, .. } | FactKind::Year { .. })
    }

    /// The unit of a number.
    pub fn unit(&self) -> &'static Unit {
        match self.kind {
            FactKind::Number { unit, .. } => unit,
            _ => Unit::none(),
        }
    }

    /// The id of one of its choices; empty where it has no such choice.
    pub fn choice_id<'a>(&'a self, index: usize, catalogue: &'a Catalogue) -> &'a str {
        match &self.kind {
            FactKind::YesNo => ["no", "yes"].get(index).copied().unwrap_or_default(),
            FactKind::Choice(c) | FactKind::Several(c) => c.get(index).map_or("", |c| &c.id),
            FactKind::Entry(kind) => catalogue.entries(*kind).get_index(index).map_or("", |(_, e)| &e.id),
            _ => "",
        }
    }

    /// The title of one of its choices; empty where it has no such choice.
    pub fn choice_title<'a>(&'a self, index: usize, catalogue: &'a Catalogue) -> &'a str {
        match &self.kind {
            FactKind::YesNo => ["no", "yes"].get(index).copied().unwrap_or_default(),
            FactKind::Choice(c) | FactKind::Several(c) => c.get(index).map_or("", |c| &c.title),
            FactKind::Entry(kind) => catalogue.entries(*kind).get_index(index).map_or("", |(_, e)| &e.title),
            _ => "",
        }
    }

    /// The choice that plays a role.
    pub fn choice_with(&self, role: ChoiceRole) -> Option<usize> {
        match &self.kind {
            FactKind::Choice(choices) => choices.iter().position(|c| c.role == Some(role)),
            _ => None,
        }
    }

    /// The id of the choice that plays a role.
    pub fn choice_id_with(&self, role: ChoiceRole) -> Option<&str> {
        match &self.kind {
            FactKind::Choice(choices) => Some(choices[self.choice_with(role)?].id.as_str()),
            _ => None,
        }
    }

    /// The ids of its choices.
    pub fn choice_ids<'a>(&'a self, catalogue: &'a Catalogue) -> Vec<&'a str> {
        (0..self.width(catalogue)).map(|i| self.choice_id(i, catalogue)).collect()
    }

    /// A set of its values in words a script or survey would use.
    pub fn show(&self, known: &Known, catalogue: &Catalogue, system: System) -> String {
        match known {
            Known::Bits(bits) => {
                let all = lowest(self.width(catalogue));
                let named = |set: u128| -> Vec<&str> {
                    (0..self.width(catalogue)).filter(|i| set >> i & 1 == 1).map(|i| self.choice_id(i, catalogue)).collect()
                };
                if *bits == all {
                    return "anything".to_owned();
                }
                let inside = named(*bits);
                let outside = named(all & !bits);
                if inside.len() <= 4 || inside.len() <= outside.len() + 2 {
                    crate::words::list(&inside, "or")
                } else {
                    format!("anything but {}", crate::words::list(&outside, "and"))
                }
            }
            Known::Num(reach) => self.show_reach(reach, system),
            Known::Several { yes, no } => {
                let named = |set: u128| -> Vec<&str> {
                    (0..self.width(catalogue)).filter(|i| set >> i & 1 == 1).map(|i| self.choice_id(i, catalogue)).collect()
                };
                match (*yes, *no) {
                    (0, 0) => "anything".to_owned(),
                    (0, no) if no == lowest(self.width(catalogue)) => "none of them".to_owned(),
                    (0, no) => format!("not {}", crate::words::list(&named(no), "or")),
                    (yes, _) => crate::words::list(&named(yes), "and"),
                }
            }
        }
    }

    /// How it reads after "if" that the fact is a value, which is told as people say it; of a several-of fact with the choice that
    /// holds or does not.
    pub fn so(&self, value: &str, choice: Option<&str>, coat: Option<&str>) -> String {
        let Reads { is, is_not } = &self.reads;
        let told = match (choice, &self.kind) {
            (Some(choice), _) => {
                let named = if value == "no" { is_not } else { is };
                let fallback = if value == "no" { format!("{}: not {choice}", self.title) } else { format!("{}: {choice}", self.title) };
                named.as_ref().map_or(fallback, |text| text.replace("{}", choice))
            }
            (None, FactKind::YesNo) if value == "no" => is_not.clone().unwrap_or_else(|| format!("it is not so: {}", self.title)),
            (None, FactKind::YesNo) => is.clone().unwrap_or_else(|| format!("it is so: {}", self.title)),
            _ => is.as_ref().map_or_else(|| format!("the {} is {value}", self.title), |text| text.replace("{}", value)),
        };
        told.replace("{coat}", coat.unwrap_or("the coat"))
    }

    /// A single number of this fact, in the reader's unit.
    pub fn show_number(&self, base: f64, system: System) -> String {
        match self.kind {
            FactKind::Year { .. } => format!("{base}"),
            _ => quantity::show_in(base, self.unit().for_system(system)),
        }
    }

    fn show_reach(&self, reach: &Reach, system: System) -> String {
        let range = match &self.kind {
            FactKind::Number { range, .. } | FactKind::Year { range } => range.clone(),
            _ => Reach::all(),
        };
        let Some((floor, ceiling)) = range.bounds() else { return "anything".to_owned() };
        let rounded = |v: f64, rounding: Rounding| match self.kind {
            FactKind::Year { .. } => format!("{v}"),
            _ => quantity::show_rounded(v, self.unit().for_system(system), rounding),
        };
        // A figure is never shown on the lenient side of itself.
        let most = |v: f64| rounded(v, Rounding::Down);
        let least = |v: f64| rounded(v, Rounding::Up);
        let year = matches!(self.kind, FactKind::Year { .. });
        let parts: Vec<String> = reach
            .stretches()
            .iter()
            .map(|(low, high)| {
                let open_below = *low <= Cut::below(floor);
                let open_above = *high >= Cut::above(ceiling);
                if low.at == high.at {
                    return rounded(low.at, Rounding::Nearest);
                }
                // Whole numbers are told by their ends: "before 1978" rather than "at most 1977".
                match (open_below, open_above) {
                    (true, true) => "anything".to_owned(),
                    (true, false) if high.above => format!("{} {}", if year { "up to" } else { "at most" }, most(high.at)),
                    (true, false) => format!("{} {}", if year { "before" } else { "below" }, most(high.at)),
                    (false, true) if low.above => format!("{} {}", if year { "after" } else { "above" }, least(low.at)),
                    (false, true) => format!("{} {}", if year { "from" } else { "at least" }, least(low.at)),
                    (false, false) => {
                        let (from, to) = if year {
                            (least(low.at), most(high.at))
                        } else {
                            quantity::show_between(low.at, high.at, self.unit().for_system(system))
                        };
                        let from = if low.above { format!("above {from}") } else { from };
                        let to = if high.above { to } else { format!("below {to}") };
                        format!("{from} to {to}")
                    }
                }
            })
            .collect();
        crate::words::list(&parts, "or")
    }
}

/// All facts, in the order declared.
#[derive(Debug, Clone, Default)]
#[non_exhaustive]
pub struct Vocabulary {
    facts: IndexMap<String, Fact>,
    mark: Mark,
}

/// What tells a rule book from others: equal only where the same packs lie in the same layers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub(crate) struct Mark(u128);

impl Mark {
    /// The mark of a book with a digest in hexadecimal figures, of which the first half is plenty.
    pub(crate) fn of(digest: &str) -> Self {
        Self(digest.get(..32).and_then(|d| u128::from_str_radix(d, 16).ok()).unwrap_or_default())
    }

    /// As much of it as an id carries.
    fn short(self) -> u16 {
        self.0 as u16
    }
}

/// What is found in the place of a fact that another book's id was asked for: it has no name and no value, so that nothing is known of it.
static NO_FACT: std::sync::LazyLock<Fact> = std::sync::LazyLock::new(|| Fact {
    id: String::new(),
    about: About::Site,
    name: String::new(),
    title: "a fact of another rule book".to_owned(),
    question: String::new(),
    help: String::new(),
    kind: FactKind::Choice(Vec::new()),
    chosen: false,
    burden: 1.0,
    effort: 1.0,
    says: Vec::new(),
    condition: None,
    reads: Reads::default(),
    counts: None,
    role: None,
    shown_by: None,
    weighty: false,
    careful: None,
    eases: Eases::Undeclared,
    turn: u8::MAX,
    pack: String::new(),
    declared: Place { file: SourceFile::new("", ""), span: 0..0 },
    slot: usize::MAX,
});

impl Vocabulary {
    /// An empty one, for the book with this mark.
    pub(crate) fn marked(mark: Mark) -> Self {
        Self { facts: IndexMap::new(), mark }
    }

    /// The mark of the book.
    pub(crate) fn mark(&self) -> Mark {
        self.mark
    }

    fn id(&self, at: usize) -> FactId {
        FactId { at: at as u16, of: self.mark.short() }
    }

    /// Whether a fact is one of these.
    pub fn has(&self, id: FactId) -> bool {
        id.of == self.mark.short() && id.at() < self.facts.len()
    }

    /// Adds a fact; `false` if its id is taken.
    pub(crate) fn add(&mut self, mut fact: Fact) -> bool {
        if self.facts.contains_key(&fact.id) {
            return false;
        }
        fact.slot = self.facts.values().filter(|f| f.about == fact.about).count();
        self.facts.insert(fact.id.clone(), fact);
        true
    }

    /// States which fact's things a number counts.
    pub(crate) fn set_counts(&mut self, id: &str, counted: FactId) {
        if let Some(fact) = self.facts.get_mut(id) {
            fact.counts = Some(counted);
        }
    }

    /// States which fact tells what another was found with.
    pub(crate) fn set_shown_by(&mut self, id: &str, by: FactId) {
        if let Some(fact) = self.facts.get_mut(id) {
            fact.shown_by = Some(by);
        }
    }

    /// A fact by `about.name`.
    pub fn find(&self, id: &str) -> Option<FactId> {
        self.facts.get_index_of(id).map(|i| self.id(i))
    }

    /// A fact by what it is about and its name.
    pub fn find_about(&self, about: About, name: &str) -> Option<FactId> {
        self.find(&format!("{}.{name}", about.word()))
    }

    /// The fact that plays a role.
    pub fn with(&self, role: FactRole) -> Option<FactId> {
        self.facts.values().position(|f| f.role == Some(role)).map(|i| self.id(i))
    }

    /// The fact itself. An id of another book's gives a fact without a name, of which nothing can be known.
    pub fn get(&self, id: FactId) -> &Fact {
        match self.facts.get_index(id.at()) {
            Some((_, fact)) if id.of == self.mark.short() => fact,
            _ => &NO_FACT,
        }
    }

    /// Every fact with its id.
    pub fn iter(&self) -> impl Iterator<Item = (FactId, &Fact)> + Clone {
        self.facts.values().enumerate().map(|(i, f)| (self.id(i), f))
    }

    /// The names of the facts about something.
    pub fn names(&self, about: About) -> impl Iterator<Item = &str> + Clone {
        self.facts.values().filter(move |f| f.about == about).map(|f| f.name.as_str())
    }

    /// How a quantity reads for a fact.
    pub fn quantity(&self, id: FactId, base: f64) -> Quantity {
        Quantity { base, unit: self.get(id).unit() }
    }
}
