//! `ovolo rules …`: the workshop for house rules.

use clap::Subcommand;

#[derive(Debug, Subcommand)]
pub(crate) enum RulesCommand {
    /// List the packs in use, with owner and digest
    List,
}
