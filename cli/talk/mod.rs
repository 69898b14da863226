//! `ovolo talk`: a survey talked through at a prompt.
//!
//! [`Session`] holds the conversation and knows neither terminal nor disk; `prompt` reads lines (from a terminal with
//! editing, or plainly from anywhere), `store` keeps the file whole at every moment.

mod answering;
mod asking;
mod commands;
mod contradicted;
mod correcting;
mod dialogue;
pub mod document;
mod doubting;
mod editor;
mod effects;
mod ending;
mod first_line;
mod happened;
mod judging;
mod left_off;
mod mentioned;
mod moving;
mod opening;
mod passing;
mod placing;
pub(crate) mod prompt;
mod questions;
mod session;
mod settling;
mod shown;
mod standing;
pub mod store;
mod views;
mod waiting;
mod whose;
mod withdrawn;

pub use session::{Fixed, Mark, Outcome, Session};
