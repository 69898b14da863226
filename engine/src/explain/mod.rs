//! Explaining: turning judgements into advice.

mod approach;
mod ask;
mod assemble;
mod flips;
mod show;
mod trace;

pub(crate) use assemble::tried;
pub use assemble::{Circumstances, advise, check};
pub(crate) use show::Teller;
pub(crate) use trace::lines;
