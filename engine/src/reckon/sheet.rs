//! What a calculation comes to: the results with their ranges, what they were reckoned from, the sources, the cautions.

use super::span::{Given, Span, three};
use super::units::Measure;
use crate::base::Base;
use crate::error::Error;
use crate::figure::{Figure, Remark};
use crate::limit::Limit;
use crate::quantity::{self, System, Unit};
use crate::role::{FigureRole, Key, LimitRole, Occasion, Role, Sentence};
use indexmap::IndexMap;
use jiff::civil::Date;
use serde::Serialize;

/// What a finding says of a thing that has to pass.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Standing {
    /// It passes for every figure of the range.
    Passes,
    /// It fails for every figure of the range.
    Fails,
    /// It passes for some figures of the range and fails for others, or too little is known.
    Open,
    /// Nothing has to pass: a plain statement.
    Plain,
}

impl Standing {
    /// The word on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Passes => "passes",
            Self::Fails => "fails",
            Self::Open => "open",
            Self::Plain => "",
        }
    }

    /// Whether `span` stays at or below `most` (both ends of it), stays above, or both can be.
    pub fn at_most<T: Measure>(span: Span<T>, most: T) -> Self {
        let holds = |v: T| quantity::tidy(v.base()) <= quantity::tidy(most.base());
        match (holds(span.low()), holds(span.high())) {
            (true, true) => Self::Passes,
            (false, false) => Self::Fails,
            _ => Self::Open,
        }
    }

    /// Whether `span` stays at or above `least`, stays below, or both can be.
    pub fn at_least<T: Measure>(span: Span<T>, least: T) -> Self {
        let holds = |v: T| quantity::tidy(v.base()) >= quantity::tidy(least.base());
        match (holds(span.low()), holds(span.high())) {
            (true, true) => Self::Passes,
            (false, false) => Self::Fails,
            _ => Self::Open,
        }
    }
}

/// A named figure.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Line {
    /// What it is.
    pub name: String,
    /// As people read it.
    pub text: String,
    /// The least, in `unit`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub low: Option<f64>,
    /// The greatest, in `unit`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub high: Option<f64>,
    /// The unit of `low` and `high`, as it is written in files; empty for plain numbers.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit: Option<&'static str>,
    /// Where it comes from: `given`, or a source.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
}

/// A sentence about what was found.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Finding {
    /// Whether something passes.
    pub standing: Standing,
    /// The sentence.
    pub says: String,
    /// Where the figure it is held against comes from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
    /// Whether it only says what would make the figures surer: nothing was held against anything.
    #[serde(skip)]
    pub reminder: bool,
}

/// What a calculation comes to: results, what was found with them, what was given, and the formulas; see [`Desk`] and
/// [`crate::RuleBook::patches`].
///
/// ```
/// # use ovolo_engine::{Circumstances, Error, RuleBook, Survey};
/// # fn main() -> Result<(), Error> {
/// let book = RuleBook::load(&ovolo_rules::standard())?;
/// let mut survey = Survey::new(&book, "back yard").at("GB-ENG")?;
/// survey.add("gate")?.set("substrate", "softwood")?.coat("oil-paint")?;
/// let sheets = book.patches(&survey, "gate", &Circumstances::on("2026-09-01".parse().expect("a date")))?;
/// assert!(sheets[0].title.contains("gate"), "no patch is logged, so this says which to make");
/// # Ok(())
/// # }
/// ```
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Sheet {
    /// Which calculator.
    pub reckon: &'static str,
    /// Its heading.
    pub title: String,
    /// What it comes to.
    pub results: Vec<Line>,
    /// What that means.
    pub findings: Vec<Finding>,
    /// What it was reckoned from.
    pub from: Vec<Line>,
    /// The formulas, each with its source.
    pub formulas: Vec<String>,
    /// What to mind, each with its source.
    pub cautions: Vec<Finding>,
    /// The units it is shown in.
    #[serde(skip)]
    pub system: System,
}

impl Sheet {
    /// An empty sheet.
    pub fn new(reckon: &'static str, title: impl Into<String>, system: System) -> Self {
        Self {
            reckon,
            title: title.into(),
            results: Vec::new(),
            findings: Vec::new(),
            from: Vec::new(),
            formulas: Vec::new(),
            cautions: Vec::new(),
            system,
        }
    }

    /// How the whole of it stands: it fails where something fails, is open where something that has to pass is, passes where
    /// something passes, and is plain where nothing had to pass.
    pub fn stands(&self) -> Standing {
        let has = |standing| self.findings.iter().any(|f| f.standing == standing && !f.reminder);
        [Standing::Fails, Standing::Open, Standing::Passes].into_iter().find(|s| has(*s)).unwrap_or(Standing::Plain)
    }

    fn line<T: Measure>(&self, name: impl Into<String>, span: Span<T>, unit: &str, source: Option<String>) -> Line {
        let unit = quantity::find_unit(unit).filter(|_| !unit.is_empty()).unwrap_or_else(Unit::none).for_system(self.system);
        let figure = |v: T| Some(unit.of_base(v.base())).filter(|v| v.is_finite());
        Line {
            name: name.into(),
            text: span.show(unit),
            low: figure(span.low()),
            high: figure(span.high()),
            unit: Some(unit.names[0]),
            source,
        }
    }

    /// Adds a result, shown in `unit` or its like in the other system.
    pub fn result<T: Measure>(&mut self, name: impl Into<String>, span: Span<T>, unit: &str) {
        let line = self.line(name, span, unit, None);
        self.results.push(line);
    }

    /// Adds a result in words.
    pub fn result_text(&mut self, name: impl Into<String>, text: impl Into<String>) {
        self.results.push(Line { name: name.into(), text: text.into(), low: None, high: None, unit: None, source: None });
    }

    /// Adds a finding.
    pub fn find(&mut self, standing: Standing, says: impl Into<String>, source: Option<String>) {
        self.findings.push(Finding { standing, says: says.into(), source, reminder: false });
    }

    /// Adds what would make the figures surer. It is open, but nothing had to pass.
    pub fn remind(&mut self, says: impl Into<String>, source: Option<String>) {
        self.findings.push(Finding { standing: Standing::Open, says: says.into(), source, reminder: true });
    }

    /// Notes what was given.
    pub fn given<T: Measure>(&mut self, name: impl Into<String>, given: &Given<T>) -> Span<T> {
        let mut line = self.line(name, given.span, T::unit().names[0], Some("given".to_owned()));
        line.text.clone_from(&given.written);
        self.from.push(line);
        given.span
    }

    /// Notes what was given in words.
    pub fn given_text(&mut self, name: impl Into<String>, text: impl Into<String>, source: Option<String>) {
        self.from.push(Line { name: name.into(), text: text.into(), low: None, high: None, unit: None, source });
    }

    /// Names a formula and its source.
    pub fn formula(&mut self, text: &str) {
        self.formulas.push(text.to_owned());
    }

    /// A figure in the units of the sheet, to stand in a sentence.
    pub fn say<T: Measure>(&self, value: T, unit: &str) -> String {
        self.line("", Span::exactly(value), unit, None).text
    }
}

/// What calculators look up: a rule book gives it, and so may a host of its own.
pub trait Shelf: std::fmt::Debug + Sync {
    /// Facts, entries and limits.
    fn base(&self) -> &Base;

    /// Figures by id.
    fn figures(&self) -> &IndexMap<String, Figure>;

    /// Remarks by id.
    fn remarks(&self) -> &IndexMap<String, Remark>;

    /// A source as people read it.
    fn cite(&self, source: &str) -> String;

    /// A place and everything it is part of.
    fn places_of(&self, place: &str) -> Vec<String>;
}

/// Where and when a calculation is made, and the rule book it takes its figures from.
///
/// ```
/// # use ovolo_engine::{Circumstances, Error, RuleBook};
/// use ovolo_engine::quantity::System;
/// use ovolo_engine::reckon::drying;
/// # fn main() -> Result<(), Error> {
/// let book = RuleBook::load(&ovolo_rules::standard())?;
/// let desk = book.desk(&Circumstances::on("2026-09-01".parse().expect("a date")), System::Metric)?;
/// let ask = drying::Ask { what: "plaster".to_owned(), thickness: Some("20 mm".parse()?), wet_on: None, reading: None };
/// let sheet = drying::sheet(&ask, &desk)?;
/// assert!(!sheet.results.is_empty() && !sheet.formulas.is_empty());
/// # Ok(())
/// # }
/// ```
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Desk<'a> {
    /// What it looks up.
    pub shelf: &'a dyn Shelf,
    /// The place and everything it is part of; empty where no place is stated.
    pub places: Vec<String>,
    /// The day.
    pub date: Date,
    /// The units results are shown in.
    pub system: System,
}

impl<'a> Desk<'a> {
    /// At a place on a day.
    pub fn new(shelf: &'a dyn Shelf, place: Option<&str>, date: Date, system: System) -> Self {
        Self { shelf, places: place.map(|p| shelf.places_of(p)).unwrap_or_default(), date, system }
    }

    /// A new sheet.
    pub fn sheet(&self, reckon: &'static str, title: impl Into<String>) -> Sheet {
        Sheet::new(reckon, title, self.system)
    }

    /// The figure of the rule book that plays a role.
    pub fn find<'k>(&self, key: impl Into<Key<'k, FigureRole>>) -> Option<&'a Figure> {
        let key = key.into();
        self.shelf.figures().values().find(|f| f.plays.as_ref().is_some_and(|p| p.is(key)))
    }

    /// Whether the rule book states a figure.
    pub fn has_figure<'k>(&self, key: impl Into<Key<'k, FigureRole>>) -> bool {
        self.find(key).is_some()
    }

    /// What the figures of a role are stated for, in the order of the rule book.
    pub fn stated_for(&self, role: FigureRole) -> impl Iterator<Item = &'a str> + Clone {
        let plays = self.shelf.figures().values().filter_map(|f| f.plays.as_ref());
        plays.filter(move |p| p.role == role).filter_map(|p| p.of.as_deref())
    }

    /// Where a figure comes from.
    pub fn cite_figure<'k>(&self, key: impl Into<Key<'k, FigureRole>>) -> Option<String> {
        self.find(key).map(|f| self.shelf.cite(&f.source))
    }

    /// A figure of the rule book, without noting it.
    ///
    /// # Errors
    /// Where the rule book does not state it, or states it in another kind of unit.
    pub fn look_up<'k, T: Measure>(&self, key: impl Into<Key<'k, FigureRole>>) -> Result<Span<T>, Error> {
        let key = key.into();
        let figure = self.find(key).ok_or_else(|| {
            let near = key.of.and_then(|of| crate::words::did_you_mean(of, self.stated_for(key.role)));
            format!("the rule book states no figure {}; state it{}", key.words(), near.map(|n| format!(" ({n})")).unwrap_or_default())
        })?;
        if figure.unit.dimension != T::unit().dimension {
            return Err(format!("the figure {} is {} where {} is wanted", key.words(), figure.unit.kind, T::unit().kind).into());
        }
        Ok(Span::between(T::of_base(figure.low), T::of_base(figure.high)))
    }

    /// A figure of the rule book, noted on the sheet.
    ///
    /// # Errors
    /// As [`Self::look_up`].
    pub fn figure<'k, T: Measure>(&self, sheet: &mut Sheet, key: impl Into<Key<'k, FigureRole>>) -> Result<Span<T>, Error> {
        let key = key.into();
        let span = self.look_up(key)?;
        if let Some(figure) = self.find(key) {
            self.note(sheet, figure, span);
        }
        Ok(span)
    }

    /// Notes a figure on a sheet, once.
    fn note<T: Measure>(&self, sheet: &mut Sheet, figure: &Figure, span: Span<T>) {
        let line = sheet.line(figure.title.clone(), span, figure.unit.names[0], Some(self.shelf.cite(&figure.source)));
        if !sheet.from.contains(&line) {
            sheet.from.push(line);
        }
    }

    /// A figure that a pack names by its id, as a line with its source.
    pub fn figure_named<T: Measure>(&self, id: &str) -> Option<Line> {
        let mut sheet = self.sheet("figure", "");
        self.note(&mut sheet, self.shelf.figures().get(id)?, self.span_named::<T>(id)?);
        sheet.from.pop()
    }

    /// The range of a figure that a pack names by its id.
    pub fn span_named<T: Measure>(&self, id: &str) -> Option<Span<T>> {
        let figure = self.shelf.figures().get(id).filter(|f| f.unit.dimension == T::unit().dimension)?;
        Some(Span::between(T::of_base(figure.low), T::of_base(figure.high)))
    }

    /// What was given, else a figure of the rule book; noted on the sheet either way.
    ///
    /// # Errors
    /// As [`Self::look_up`].
    pub fn given_or<'k, T: Measure>(
        &self,
        sheet: &mut Sheet,
        name: &str,
        given: Option<&Given<T>>,
        key: impl Into<Key<'k, FigureRole>>,
    ) -> Result<Span<T>, Error> {
        match given {
            Some(given) => Ok(sheet.given(name, given)),
            None => self.figure(sheet, key),
        }
    }

    fn find_limit(&self, key: Key<'_, LimitRole>) -> Option<&'a Limit> {
        let base = self.shelf.base();
        base.limit_with(key).map(|at| &base.limits[at])
    }

    /// The figure of a limit in force here and now, with its source.
    pub fn limit<'k, T: Measure>(&self, key: impl Into<Key<'k, LimitRole>>) -> Option<(T, String)> {
        self.in_force(self.find_limit(key.into())?)
    }

    /// The same of a limit at hand.
    pub fn in_force<T: Measure>(&self, limit: &Limit) -> Option<(T, String)> {
        let value = limit.in_force(&self.places, self.date)?;
        Some((T::of_quantity(&value.quantity)?, self.shelf.cite(&value.source)))
    }

    /// The title of a limit.
    pub fn limit_title<'k>(&self, key: impl Into<Key<'k, LimitRole>>) -> String {
        let key = key.into();
        self.find_limit(key).map_or_else(|| key.role.word().to_owned(), |l| l.title.clone())
    }

    /// The words of the packs for a finding, with what its gaps are filled with. A book without them tells it by its role: a finding
    /// is never left out.
    pub fn say(&self, sentence: Sentence, gaps: &[(&str, &str)]) -> String {
        let remark = self.shelf.remarks().values().find(|r| r.role == Some(sentence));
        let Some(remark) = remark else {
            let filled: Vec<String> = gaps.iter().map(|(gap, with)| format!("{gap} {with}")).collect();
            return [sentence.word().to_owned()].into_iter().chain(filled).collect::<Vec<_>>().join(", ");
        };
        gaps.iter().fold(remark.says.clone(), |says, (gap, with)| says.replace(&format!("{{{gap}}}"), with))
    }

    /// Where the words for a finding come from.
    pub fn cite_sentence(&self, sentence: Sentence) -> Option<String> {
        self.shelf.remarks().values().find(|r| r.role == Some(sentence)).map(|r| self.shelf.cite(&r.source))
    }

    /// Adds what the packs remark on an occasion to the cautions of a sheet, in the order of the rule book.
    pub fn remark(&self, sheet: &mut Sheet, occasion: Occasion) {
        for remark in self.shelf.remarks().values().filter(|r| r.on.contains(&occasion)) {
            let finding = Finding {
                standing: Standing::Plain,
                says: remark.says.clone(),
                source: Some(self.shelf.cite(&remark.source)),
                reminder: false,
            };
            if !sheet.cautions.contains(&finding) {
                sheet.cautions.push(finding);
            }
        }
    }

    /// Holds a range against a limit that must not be passed upwards, and says how it stands. Where no figure is in force
    /// the finding is open and says so: a missing figure is no pass.
    pub fn hold_below<T: Measure>(&self, sheet: &mut Sheet, what: &str, span: Span<T>, role: LimitRole, unit: &str) -> Standing {
        self.hold(sheet, what, span, role, unit, false)
    }

    /// Holds a range against a limit that it must reach.
    pub fn hold_above<T: Measure>(&self, sheet: &mut Sheet, what: &str, span: Span<T>, role: LimitRole, unit: &str) -> Standing {
        self.hold(sheet, what, span, role, unit, true)
    }

    fn hold<T: Measure>(&self, sheet: &mut Sheet, what: &str, span: Span<T>, role: LimitRole, unit: &str, least: bool) -> Standing {
        let title = self.limit_title(role);
        let Some((mark, source)) = self.limit::<T>(role) else {
            let here = if self.places.is_empty() { "no place is stated, so no law of a place is applied" } else { "none is in force here" };
            sheet.find(Standing::Open, format!("No figure for \"{title}\": {here}. Ask the authority."), None);
            return Standing::Open;
        };
        let standing = if least { Standing::at_least(span, mark) } else { Standing::at_most(span, mark) };
        let shown = sheet.say(mark, unit);
        let (good, bad) = if least { ("is at least", "below") } else { ("is at most", "above") };
        let says = match standing {
            Standing::Passes => format!("{what} {good} {shown} ({title})."),
            Standing::Fails => format!("{what} is {bad} {shown} ({title})."),
            _ => format!("{what} may be {bad} {shown} ({title}): measure before you rely on it."),
        };
        sheet.find(standing, says, Some(source));
        standing
    }
}

/// A number with three figures that count, to stand in a sentence.
pub(super) fn plainly(value: f64) -> String {
    quantity::plain(three(value))
}
