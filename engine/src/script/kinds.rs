//! What a script handles while it is unfolded, sorted by kind.

use super::oracle::Oracle;
use crate::quantity::Dimension;
use crate::tree::{Expr, Who};
use crate::vocabulary::About;
use rhai::{Dynamic, ImmutableString};
use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;

/// `site`, `surface`, `coat` or `method`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Handle(pub(super) About);

/// A number that depends on facts, with its dimension.
#[derive(Debug, Clone)]
pub(super) struct Num {
    pub(super) expr: Arc<Expr>,
    pub(super) dimension: Dimension,
    /// How it was written, for messages.
    pub(super) name: String,
    /// How many operations it is made of. A number made of itself is kept once and walked many times, so its length is
    /// counted as it is walked.
    pub(super) length: usize,
}

/// A choice or entry, or an attribute of an entry.
#[derive(Debug, Clone)]
pub(super) struct Pick {
    pub(super) who: Who,
    pub(super) attribute: Option<usize>,
    pub(super) name: String,
}

/// A cell of a grid, or its reason.
#[derive(Debug, Clone)]
pub(super) struct Cell {
    pub(super) grid: usize,
    pub(super) row: Who,
    pub(super) column: Who,
    pub(super) reason: bool,
}

/// A several-of fact.
#[derive(Debug, Clone)]
pub(super) struct Many(pub(super) crate::vocabulary::FactId);

pub(super) type Asks = Rc<RefCell<Oracle>>;

/// A value sorted by kind.
pub(super) enum Sorted {
    Plain(f64),
    Truth(bool),
    Text(ImmutableString),
    Num(Num),
    Pick(Pick),
    Cell(Cell),
    Method,
    Other(&'static str),
}

pub(super) fn sort(value: &Dynamic) -> Sorted {
    if let Ok(i) = value.as_int() {
        return Sorted::Plain(i as f64);
    }
    if let Ok(f) = value.as_float() {
        return Sorted::Plain(f);
    }
    if let Ok(b) = value.as_bool() {
        return Sorted::Truth(b);
    }
    if value.is_string() {
        return value.clone().into_immutable_string().map_or(Sorted::Other("text"), Sorted::Text);
    }
    if let Some(num) = value.clone().try_cast::<Num>() {
        return Sorted::Num(num);
    }
    if let Some(pick) = value.clone().try_cast::<Pick>() {
        return Sorted::Pick(pick);
    }
    if let Some(cell) = value.clone().try_cast::<Cell>() {
        return Sorted::Cell(cell);
    }
    if let Some(Handle(about)) = value.clone().try_cast::<Handle>() {
        return if about == About::Method { Sorted::Method } else { Sorted::Other("a subject") };
    }
    if value.is::<Many>() {
        return Sorted::Other("a several-of fact");
    }
    if value.is_array() {
        return Sorted::Other("a list");
    }
    Sorted::Other(if value.is_unit() { "nothing" } else { "a value of another kind" })
}

impl Sorted {
    pub(super) fn describe(&self) -> String {
        match self {
            Self::Plain(n) => format!("the number {n}"),
            Self::Truth(b) => format!("{b}"),
            Self::Text(t) => format!("the word \"{t}\""),
            Self::Num(n) => format!("`{}` (a number)", n.name),
            Self::Pick(p) => format!("`{}` (a choice)", p.name),
            Self::Cell(_) => "a grade".to_owned(),
            Self::Method => "`method`".to_owned(),
            Self::Other(what) => (*what).to_owned(),
        }
    }

    pub(super) fn number(self) -> Result<Num, Self> {
        match self {
            Self::Plain(n) => Ok(Num { expr: Arc::new(Expr::Const(n)), dimension: Dimension::NUMBER, name: n.to_string(), length: 1 }),
            Self::Num(n) => Ok(n),
            other => Err(other),
        }
    }
}

/// How a script compares.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Sign {
    Equal,
    Unequal,
    Less,
    AtMost,
    More,
    AtLeast,
}
