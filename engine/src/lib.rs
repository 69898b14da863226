#![doc = include_str!("../README.md")]

pub mod advice;
pub mod aftermath;
pub mod answer;
pub mod approach;
#[doc(hidden)]
pub mod base;
#[doc(hidden)]
pub mod cases;
pub mod catalogue;
pub mod compare;
pub mod customs;
pub mod diagnostic;
mod error;
pub mod explain;
pub mod figure;
pub mod finding;
mod front;
pub mod judge;
mod lead;
pub mod limit;
pub mod pack;
pub mod patches;
pub mod prove;
pub mod quantity;
pub mod reach;
pub mod reckon;
pub mod role;
#[doc(hidden)]
pub mod script;
#[doc(hidden)]
pub mod second;
pub mod survey;
mod telling;
#[doc(hidden)]
pub mod toml_read;
#[doc(hidden)]
pub mod tree;
pub mod vocabulary;
pub mod washing;
mod ways;
mod wire;
mod worded;
#[doc(hidden)]
pub mod words;
pub mod workshop;
mod year;

pub use advice::Advice;
pub use approach::{Plan, Settings};
pub use diagnostic::Diagnostic;
pub use error::{Error, ErrorKind};
pub use explain::Circumstances;
pub use finding::Verdict;
pub use front::{MethodVerdict, Reckoned};
pub use judge::Judge;
pub use pack::{PackFiles, RuleBook};
pub use reckon::calculator::Calculator;
pub use reckon::{Desk, Sheet};
#[doc(hidden)]
pub use workshop::exercise;

pub use survey::{CoatMut, Proposal, ProposalMut, SurfaceMut, Survey, Value};
