//! `ovolo rules …`: the workshop for house rules.

use clap::{Subcommand, ValueHint};
use std::path::PathBuf;

pub(crate) const WORKSHOP: &str = "\
From nothing to rules that can be relied on:
  ovolo rules new my-rules
      a folder with one example of each thing, explained; it loads and its cases pass as it stands
  ovolo rules check my-rules
      what is wrong and what deserves a look, each at its line, with what to write instead
  ovolo rules try my-rules
      the worked cases: what was said, what should have been, and why
  ovolo advise survey.toml --rules my-rules
      advice with the firm's rules on top

A pack is plain text. It can add and it can tighten; what would weaken another pack is refused.";

const NEW: &str = "\
Examples:
  ovolo rules new my-rules
  ovolo rules new wimbrel-dace --owner \"Wimbrel & Dace\"";

const CHECK: &str = "\
Examples:
  ovolo rules check my-rules
  ovolo rules check my-rules --date 2027-01-01
      also what will have ended or be due for re-checking by then

Exit codes: 0 the packs can be used, with or without things that deserve a look; 2 they cannot.";

#[derive(Debug, Subcommand)]
pub(crate) enum RulesCommand {
    /// List the packs in use, with owner and digest
    List,

    /// Start a house pack from an example of each thing
    ///
    /// Writes a folder that loads and passes its worked cases as it stands, with explanations beside everything and a README.
    /// Nothing that is there already is written over.
    #[command(after_help = NEW)]
    New(NewPack),

    /// Look packs over: errors, and what deserves a look
    ///
    /// All errors are shown at once, each at its place with the nearest right thing. If there are none, what deserves a look:
    /// rules that can never apply, always apply, repeat or contradict others; worked cases that test nothing; sources that are
    /// not listed; dates that have passed.
    #[command(after_help = CHECK)]
    Check(CheckPacks),
}

#[derive(Debug, clap::Args)]
pub(crate) struct NewPack {
    /// The folder to make; its name becomes the name of the pack
    #[arg(value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    pub(crate) folder: PathBuf,

    /// Whose rules they are
    #[arg(long, value_name = "NAME")]
    pub(crate) owner: Option<String>,
}

#[derive(Debug, clap::Args)]
pub(crate) struct CheckPacks {
    /// The folders of the packs; if left out, every added pack, or else the standard packs
    #[arg(value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    pub(crate) folders: Vec<PathBuf>,

    /// The day to hold dates against; today if left out
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub(crate) date: Option<String>,
}
