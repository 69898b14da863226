//! The command line of `ovolo words`.

use super::SheetFormat;

#[derive(Debug, clap::Args)]
pub(crate) struct WordsArgs {
    /// The word, in any form; left out, all words are told
    #[arg(value_name = "WORD", num_args = 0..)]
    pub(crate) word: Vec<String>,

    /// How to show it
    #[arg(long, value_enum, default_value_t = SheetFormat::Text)]
    pub(crate) format: SheetFormat,

    /// The same as --format json
    #[arg(long, conflicts_with = "format")]
    pub(crate) json: bool,
}
