//! Explaining: turning judgements into advice.

mod ask;
mod assemble;
mod flips;
mod show;
mod trace;

pub use assemble::{Circumstances, advise, check};
pub(crate) use assemble::{heads, notices, prefers, tried};
pub(crate) use show::Teller;
