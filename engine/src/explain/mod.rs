//! Explaining: turning judgements into advice.

mod assemble;
mod outlook;

pub use crate::telling::{Circumstances, changed};
pub(crate) use assemble::tried;
pub use assemble::{advise, check, leads, look};
pub use outlook::{Outlook, Presumed, Question, Spoken, caution_questions, known, presumption_said, questions, said};
