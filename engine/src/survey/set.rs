//! What a program states of a fact: a value that checks its own kind and unit.

use super::value::{Wrong, parse, within};
use super::{NOT_SURE, Stated};
use crate::diagnostic::Diagnostic;
use crate::error::{Error, ErrorKind};
use crate::quantity::{Quantity, Unit};
use crate::reach::Reach;
use crate::reckon::span::Span;
use crate::reckon::units::Measure;
use crate::script::Base;
use crate::vocabulary::{About, FactId, FactKind, Known, Vocabulary, flag};
use crate::words;

/// What is stated of a fact. Text is read as in a survey file, so that `"0.5 .. 2 mm"`, `"1886~"` and `"softwood"` are values; measures
/// carry their own unit; a bare number is for years and for facts without a unit.
///
/// ```
/// use ovolo_engine::Value;
/// use ovolo_engine::reckon::units::Length;
///
/// let thick = Value::from(Length::mm(2.0));       // typed: an area would be refused
/// let read = Value::from("0.5 .. 2 mm").by("calliper");
/// let either = Value::one_of(["softwood", "oak"]);
/// let near = Value::from(["drain", "pond"]);       // of a fact that can be several things at once
/// # let _ = (thick, read, either, near);
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Value {
    what: What,
    by: Option<String>,
    sure: bool,
}

#[derive(Debug, Clone, PartialEq)]
enum What {
    Text(String),
    Flag(bool),
    Number(f64),
    Between(Quantity, Quantity),
    OneOf(Vec<What>),
}

impl Value {
    fn of(what: What) -> Self {
        Self { what, by: None, sure: true }
    }

    /// One of several, and nobody knows yet which.
    pub fn one_of<V: Into<Self>>(values: impl IntoIterator<Item = V>) -> Self {
        Self::of(What::OneOf(values.into_iter().map(|v| v.into().what).collect()))
    }

    /// How it is known: `"laboratory"`, `"by eye"`.
    #[must_use]
    pub fn by(mut self, how: &str) -> Self {
        self.by = Some(how.to_owned());
        self
    }

    /// It is only thought. It settles nothing: the fact stays open until somebody has looked.
    #[must_use]
    pub fn not_sure(mut self) -> Self {
        self.sure = false;
        self
    }

    /// As what is stated of a fact.
    pub(super) fn stated(&self, id: FactId, base: &Base) -> Result<Stated, Error> {
        let wrong = |(message, help): Wrong| Error::new(ErrorKind::Unfit, Diagnostic::error(message).maybe_help(help));
        let (mut known, mut written) = (self.what.known(id, base).map_err(wrong)?, self.what.written());
        if !self.sure {
            known = base.vocabulary.get(id).anything(&base.catalogue);
            written.push_str(NOT_SURE);
        }
        Ok(Stated { known, written, by: self.by.clone(), on: None, note: None })
    }
}

impl What {
    fn known(&self, id: FactId, base: &Base) -> Result<Known, Wrong> {
        let fact = base.vocabulary.get(id);
        let mismatch = |is: &str, wanted: &str| Err((format!("`{}` is {is} where {wanted} is wanted", fact.id), None));
        match (self, &fact.kind) {
            (Self::Text(text), _) => parse(text, id, base),
            (Self::Flag(yes), FactKind::YesNo) => Ok(Known::Bits(if *yes { flag::YES } else { flag::NO })),
            (Self::Flag(_), kind) => mismatch("true or false", wanted(kind)),
            (Self::Number(n), FactKind::Year { .. }) => parse(&n.to_string(), id, base),
            (Self::Number(n), FactKind::Number { unit, .. }) if unit.dimension.is_number() => parse(&n.to_string(), id, base),
            (Self::Number(n), FactKind::Number { unit, .. }) => {
                Err((format!("`{}` is the number {n} without a unit", fact.id), Some(format!("write \"{n} {}\"", unit.names[0]))))
            }
            (Self::Number(_), kind) => mismatch("a number", wanted(kind)),
            (Self::Between(low, high), _) if !low.base.is_finite() || !high.base.is_finite() => {
                Err((format!("`{}` is not a number that can be measured", fact.id), None))
            }
            (Self::Between(low, high), FactKind::Number { unit, range, whole }) if low.unit.dimension == unit.dimension => {
                let show = |v: f64| crate::quantity::show_in(v, unit);
                within(&fact.id, Reach::closed(low.base, high.base), range, *whole, &self.written(), show)
            }
            (Self::Between(low, _), kind) => mismatch(low.unit.kind, wanted(kind)),
            (Self::OneOf(values), _) => {
                let mut left = values.iter().map(|v| v.known(id, base));
                let first = left.next().unwrap_or_else(|| Err((format!("`{}` is one of nothing", fact.id), None)))?;
                left.try_fold(first, |all, next| Ok(all.either(next?)))
            }
        }
    }

    fn written(&self) -> String {
        match self {
            Self::Text(text) => text.trim().to_owned(),
            Self::Flag(yes) => yes.to_string(),
            Self::Number(n) => n.to_string(),
            Self::Between(low, high) if low.base == high.base => crate::quantity::show_in(low.base, low.unit),
            Self::Between(low, high) => {
                format!("{} .. {}", crate::quantity::show_in(low.base, low.unit), crate::quantity::show_in(high.base, high.unit))
            }
            Self::OneOf(values) => {
                let all: Vec<String> = values.iter().map(Self::written).collect();
                words::list(&all, "or")
            }
        }
    }
}

/// What a fact of a kind wants.
fn wanted(kind: &FactKind) -> &'static str {
    match kind {
        FactKind::YesNo => "true or false",
        FactKind::Number { unit, .. } if unit.dimension.is_number() => "a number",
        FactKind::Number { unit, .. } => unit.kind,
        FactKind::Year { .. } => "a year",
        FactKind::Choice(_) | FactKind::Entry(_) => "a word",
        FactKind::Several(_) => "a list of words",
    }
}

impl From<&str> for Value {
    fn from(text: &str) -> Self {
        Self::of(What::Text(text.to_owned()))
    }
}

impl From<String> for Value {
    fn from(text: String) -> Self {
        Self::of(What::Text(text))
    }
}

impl From<bool> for Value {
    fn from(yes: bool) -> Self {
        Self::of(What::Flag(yes))
    }
}

impl From<i32> for Value {
    fn from(n: i32) -> Self {
        Self::of(What::Number(f64::from(n)))
    }
}

impl From<f64> for Value {
    fn from(n: f64) -> Self {
        Self::of(What::Number(n))
    }
}

/// What a fact is that can be several things at once; an empty list says that it is none of them.
impl<const N: usize> From<[&str; N]> for Value {
    fn from(all: [&str; N]) -> Self {
        Self::from(&all[..])
    }
}

impl From<&[&str]> for Value {
    fn from(all: &[&str]) -> Self {
        let all = if all.is_empty() { "none".to_owned() } else { all.join(", ") };
        Self::of(What::Text(all))
    }
}

impl<T: Measure> From<T> for Value {
    fn from(measure: T) -> Self {
        Self::from(Span::exactly(measure))
    }
}

impl<T: Measure> From<Span<T>> for Value {
    fn from(span: Span<T>) -> Self {
        let quantity = |v: T| -> Quantity {
            let unit: &'static Unit = T::unit();
            Quantity { base: v.base(), unit }
        };
        Self::of(What::Between(quantity(span.low()), quantity(span.high())))
    }
}

/// What is wrong with a name that no fact about something has, and the nearest that one has; `others` are more names that can stand there.
pub(super) fn unknown(vocabulary: &Vocabulary, name: &str, about: About, others: &[&str]) -> Wrong {
    let elsewhere = About::ALL
        .into_iter()
        .find(|a| *a != about && vocabulary.find_about(*a, name).is_some())
        .map(|a| format!("`{name}` is a fact about the {}", a.word()));
    let said = vocabulary
        .iter()
        .find(|(_, f)| f.about == about && f.says.iter().any(|s| s.eq_ignore_ascii_case(&name.replace('_', " "))))
        .map(|(_, f)| format!("did you mean `{}`?", f.name));
    let help = elsewhere.or(said).or_else(|| words::did_you_mean(name, vocabulary.names(about).chain(others.iter().copied())));
    (format!("`{name}` is not a fact about {}", about.with_article()), help)
}

/// The fact of a name, bare or with what it is about before it.
pub(super) fn named(vocabulary: &Vocabulary, name: &str, about: About) -> Result<FactId, Error> {
    let not_there = |(message, help): Wrong| Error::new(ErrorKind::NotThere, Diagnostic::error(message).maybe_help(help));
    let of = About::ALL.into_iter().find(|a| name.strip_prefix(a.word()).is_some_and(|rest| rest.starts_with('.')));
    let bare = of.map_or(name, |a| &name[a.word().len() + 1..]);
    if let Some(id) = vocabulary.find_about(about, bare).filter(|_| of.is_none_or(|a| a == about)) {
        return Ok(id);
    }
    let (_, help) = unknown(vocabulary, bare, about, &[]);
    Err(not_there((format!("`{name}` is not a fact about {}", about.with_article()), help)))
}
