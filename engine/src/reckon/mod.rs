//! Calculators: what a job needs, takes and gives off.
//!
//! Each topic has its formulas as pure functions of typed measures ([`units`]), with the source of each, and a `sheet`
//! that works them out for what somebody states, takes figures of the trade and limits of the place from the rule book,
//! and says what they came from, how sure they are and what to mind. Ranges ([`span`]) are carried through to the end.

pub mod air;
pub mod alkali;
pub mod calculator;
pub mod climate;
pub mod drying;
pub mod fire;
pub mod functions;
pub mod jet;
pub mod labour;
pub mod lead;
pub mod metal;
pub mod ph;
pub mod remover;
pub mod run_off;
pub mod samples;
pub mod sheet;
pub mod sheeting;
pub mod span;
pub mod timber;
pub mod units;
pub mod vapour;

pub use sheet::{Desk, Finding, Line, Sheet, Standing};
pub use span::{Given, Span};
