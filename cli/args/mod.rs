//! The definition of the command line; the comments are the help.

mod aftermath;
mod approach;
mod patches;
mod reckon;
mod rules;
mod talk;
mod words;

pub(crate) use aftermath::AftermathArgs;
pub(crate) use approach::ApproachArgs;
pub(crate) use patches::PatchesArgs;
pub(crate) use reckon::{ReckonCommand, SheetFormat, Units, Where};
pub(crate) use rules::{
    CheckPacks, ComparePacks, DocumentFormat, NewPack, PrintBook, ProveArgs, ReplayAdvice, RulesCommand, SealPacks, ShowThing, TryCases,
    WriteSchemas,
};
pub(crate) use talk::TalkArgs;
pub(crate) use words::WordsArgs;

use clap::{Parser, Subcommand, ValueEnum, ValueHint};
use std::path::PathBuf;

const EXAMPLES: &str = "\
Examples:
  ovolo advise demo-data/quillhaven/terrace.toml
      what suits each surface, what to find out first, and what is ruled out and why
  ovolo check demo-data/quillhaven/terrace.toml --surface \"front door\" --method hot-air --set tool_temperature=\"450 C\"
      one proposal: the verdict, the reasons, the conditions, what would change it, what to do instead
  ovolo advise survey.toml --rules my-firm/rules --format json
      with a firm's own rules on top, as JSON for other programs

Exit codes: 0 done, and for `check` the method suits (with its conditions); 1 `check`: ruled out,
`reckon`: something fails; 3 `check`: on hold, or it can't be told yet, `reckon`: something is open;
2 the command line, the survey or a pack cannot be used.

It never replaces local codes, consents or licensed people.";

/// Decide how old paint comes off, or that it stays, and say why
#[derive(Debug, Parser)]
#[command(name = "ovolo", version, about, after_help = EXAMPLES, max_term_width = 100, arg_required_else_help = true)]
pub(crate) struct Cli {
    /// Add a pack of rules from a folder (can be repeated)
    ///
    /// A house pack adds facts, methods, rules and worked cases, and can move a limit in its stricter direction. What would
    /// weaken another pack is refused. The variable `OVOLO_RULES` holds more folders, separated as in PATH; packs in the
    /// folder ovolo/rules of your configuration folder are used too.
    #[arg(long, global = true, value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    pub(crate) rules: Vec<PathBuf>,

    /// When to use colour; it never carries meaning alone
    #[arg(long, global = true, value_enum, default_value_t = Color::Auto)]
    pub(crate) color: Color,

    /// Wrap text at this many columns; the terminal's width if left out, 100 at most
    #[arg(long, global = true, value_name = "COLUMNS", value_parser = clap::value_parser!(u16).range(40..=200))]
    pub(crate) width: Option<u16>,

    #[command(subcommand)]
    pub(crate) command: Command,
}

/// When to use colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Color {
    /// On a terminal, unless `NO_COLOR` is set
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Advise on every surface of a survey
    ///
    /// Gives for each surface a page to work from: what to do and why, what has to be settled first, what not to do, the steps in
    /// order, what it takes, what else would do, what to find out next, and what to stop for. What all surfaces have in common
    /// comes once, after them. Facts that are not stated are open, never "no". With --all every method, rule and source.
    Advise(AdviseArgs),

    /// Check one method on one surface
    ///
    /// Gives the verdict, the rules that decide it with their sources, the conditions, the smallest changes that would flip
    /// it, and what to do instead. Whatever is not set with --set is left open, and turns into a condition where it must.
    Check(CheckArgs),

    /// Plan the work: the approach for each surface, its steps and quantities, and the programme
    ///
    /// Gives the best way through the coats and the others beside it, what to do from the first hold point to the first coat
    /// with the cautions that belong to each step, what it takes with ranges and where they come from, and the order of work,
    /// the days, the gates of the weather and the last heat of the day.
    Approach(ApproachArgs),

    /// Say what to do about something that has already happened
    ///
    /// For every incident ([[incident]]) and every trouble ([[surface.trouble]]) of a survey: stop or go on, who keeps out, what to
    /// make safe, what not to try, how far it went, how to put it right, what shows that it is done, whom to tell and to call. What
    /// cannot wait comes first. Exit codes: 0 told; 2 the command line, the survey or a pack cannot be used.
    Aftermath(AftermathArgs),

    /// Talk a survey through at a prompt
    ///
    /// Asks what matters next, understands plain answers, says at once what each changes, and keeps every accepted answer on
    /// disk. Works from a pipe or a file of answers too.
    Talk(TalkArgs),

    /// Plan test patches, or say what a log of them tells
    ///
    /// Without a log: which patches to make, in what thicknesses and dwells, how to protect, when to stop and what to write
    /// down. With a log ([[surface.patch]]): the smallest dwell that clears nine spots of ten, where the log is too thin or
    /// contradicts itself, and the next patch that would tell most. Exit codes: 0 told; 1 a log or a proposal fails; 3 no dwell
    /// can be told yet; 2 the input is wrong.
    Patches(PatchesArgs),

    /// Reckon quantities, times and air on their own
    ///
    /// Each gives what it comes to with its range, what that means, what it was reckoned from and what to mind. Exit codes: 0
    /// nothing fails, or nothing had to pass; 1 something fails; 3 something that has to pass is open; 2 the command line or a pack
    /// cannot be used.
    #[command(subcommand)]
    Reckon(ReckonCommand),

    /// Look up a word of the trade, or all of them
    ///
    /// Every word of the pages that somebody new to it may not know, in a sentence or two. Exit codes: 0 told; 2 no such word.
    Words(WordsArgs),

    /// The workshop for house rules
    #[command(subcommand, after_help = rules::WORKSHOP)]
    Rules(RulesCommand),
}

/// A survey, and where and when advice is wanted for.
#[derive(Debug, clap::Args)]
pub(crate) struct SurveyArgs {
    /// The survey, a TOML file
    #[arg(value_name = "SURVEY", value_hint = ValueHint::FilePath)]
    pub(crate) survey: PathBuf,

    /// Judge for this date instead of the survey's
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub(crate) date: Option<String>,

    /// Apply the law of this place (ISO 3166, such as GB-ENG or US-MA) instead of the survey's
    #[arg(long, value_name = "CODE")]
    pub(crate) place: Option<String>,
}

#[derive(Debug, clap::Args)]
pub(crate) struct AdviseArgs {
    #[command(flatten)]
    pub(crate) survey: SurveyArgs,

    /// How to show it
    #[arg(long, value_enum, default_value_t = PageFormat::Text)]
    pub(crate) format: PageFormat,

    /// One paragraph a surface
    #[arg(long, conflicts_with = "all")]
    pub(crate) brief: bool,

    /// Everything: every method, every rule with its source, also those that depend on something open
    #[arg(long)]
    pub(crate) all: bool,
}

#[derive(Debug, clap::Args)]
pub(crate) struct CheckArgs {
    #[command(flatten)]
    pub(crate) survey: SurveyArgs,

    /// The surface, by its name in the survey; can be left out if there is only one
    #[arg(long, value_name = "NAME")]
    pub(crate) surface: Option<String>,

    /// The method, by its id in the catalogue
    #[arg(long, value_name = "METHOD")]
    pub(crate) method: String,

    /// Set a fact, such as `tool_temperature="450` C", extraction=yes or coat.1.lead=absent (can be repeated)
    ///
    /// A bare name is looked for among the settings of the method, then the surface, then the site.
    #[arg(long = "set", value_name = "FACT=VALUE")]
    pub(crate) set: Vec<String>,

    /// How much explanation: a line, a paragraph, or every rule's tree
    #[arg(long, value_enum, default_value_t = Length::Paragraph)]
    pub(crate) explain: Length,

    /// How to show it
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub(crate) format: Format,
}

/// How to show advice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Format {
    /// For reading
    Text,
    /// For other programs; the schema stands in engine/
    Json,
    /// For documents
    Markdown,
}

/// How to show a page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum PageFormat {
    /// For reading
    Text,
    /// For other programs; the schema stands in engine/
    Json,
    /// For documents
    Markdown,
    /// For printing: a sheet for every surface, and one for the job
    Html,
}

/// How much explanation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Length {
    /// The verdict and its reason
    Line,
    /// Reasons, conditions and what would change it
    Paragraph,
    /// Every rule's questions and answers
    Tree,
}
