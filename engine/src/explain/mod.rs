//! Explaining: turning judgements into advice.

mod approach;
mod ask;
mod assemble;
mod flips;
mod outlook;
mod show;
mod trace;
mod weigh;

pub(crate) use assemble::tried;
pub use assemble::{Circumstances, advise, check, look};
pub use outlook::{Outlook, Presumed, Question, Spoken, caution_questions, known, presumption_said, questions, said};
pub(crate) use show::Teller;
