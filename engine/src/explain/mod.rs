//! Explaining: turning judgements into advice.

mod ask;
mod assemble;
mod dates;
mod flips;
mod outlook;
mod show;
mod trace;
mod weigh;

pub use assemble::{Circumstances, advise, check, leads, look};
pub(crate) use assemble::{heads, notices, tried};
pub use dates::changed;
pub(crate) use flips::suppose;
pub use outlook::{Outlook, Presumed, Question, Spoken, caution_questions, known, presumption_said, questions, said};
pub(crate) use show::Teller;
pub(crate) use trace::lines;
pub(crate) use weigh::{Behind, facts_of_test};
