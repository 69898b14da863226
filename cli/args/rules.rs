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

const TRY: &str = "\
Examples:
  ovolo rules try my-rules
  ovolo rules try my-rules --changed-since rules.seal
      only the cases that what has changed since the seal can touch

Exit codes: 0 every case came out as it should; 1 some did not; 2 the packs cannot be used.";

const SHOW: &str = "\
Examples:
  ovolo rules show heat-on-wood --place GB-ENG
  ovolo rules show surface.significance
  ovolo rules show solvent-gel
  ovolo rules show paste
      everything in which the word stands";

const PRINT: &str = "\
Examples:
  ovolo rules print my-rules -o out
      out/rule-book.html: one file, nothing fetched, ready for paper
  ovolo rules print --format markdown --place GB-ENG > rule-book.md
      the standard packs";

const SEAL: &str = "\
Examples:
  ovolo rules seal my-rules -o rules.seal
  ovolo rules seal --rules my-rules";

const REPLAY: &str = "\
Examples:
  ovolo advise survey.toml --rules my-rules --format json > advice.json
  ovolo rules replay advice.json survey.toml --rules my-rules

Exit codes: 0 the same, byte for byte; 1 something differs; 2 a file or a pack cannot be used.";

const SCHEMAS: &str = "\
Examples:
  ovolo rules schemas -o schemas
  ovolo rules schemas -o schemas --rules my-rules
      with the facts, methods and limits of the firm's own pack

How an editor is pointed at them: write as the first line of a survey
  #:schema ./schemas/survey.schema.json
of pack.toml
  #:schema ../schemas/pack.schema.json
and of a topic file
  #:schema ../schemas/topic.schema.json
with the way to the file from where the survey or pack lies. Editors with support for TOML read that line: they offer keys and
choices, show what each means, and mark what is wrong. An editor with support for Rhai reads ovolo.d.rhai where it lies beside
the pack's .rhai files; ovolo itself reads none of these files.";

const COMPARE: &str = "\
Examples:
  ovolo rules compare my-rules-2026.1 my-rules-2026.2
      two versions of a house pack, each on top of the standard packs
  ovolo rules compare packs-of-last-year --surveys our-surveys
      another whole rule book with the one in use, and what becomes of the surveys in a folder
  ovolo rules compare --dates 2026-01-01 2027-01-01 --place GB-ENG
      the rule book in use on two days

Exit codes: 0 no rule of law or standard says less without a sign-off; 1 some do; 3 not everything could be shown;
2 the input is wrong.";

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

    /// Try the worked cases
    ///
    /// For each case that does not come out as it should: what was said, what should have been, and the questions and answers
    /// that led there. Then how well the cases try each rule.
    #[command(after_help = TRY)]
    Try(TryCases),

    /// Show a rule, limit, fact, method, presumption or pack as it is understood
    ///
    /// A rule is told as one sentence and as a table of the cases in which it applies, with the facts it reads, the limits in
    /// force, its source, its worked cases, and the rules that overlap it. A word that is no id is looked for everywhere.
    #[command(after_help = SHOW)]
    Show(ShowThing),

    /// Print the rule book as a document
    ///
    /// Every rule as one sentence with its reason and source, limits, methods, facts, sources, and indexes by fact and by method:
    /// for signing, for the wall, for whoever does not use the program.
    #[command(after_help = PRINT)]
    Print(PrintBook),

    /// Seal the rule book: a digest of each pack and of the whole
    ///
    /// Packs with the same digest are the same to the letter. The seal also keeps what `try --changed-since` needs.
    #[command(after_help = SEAL)]
    Seal(SealPacks),

    /// Give a saved advice again, and say whether it is the same
    ///
    /// Judges the survey for the date and place of the advice, with the rules in use here. The same packs give the same bytes, on
    /// any machine; if they differ, it says which pack is another, and which verdicts are.
    #[command(after_help = REPLAY)]
    Replay(ReplayAdvice),

    /// Write what an editor needs to complete and check surveys and packs
    ///
    /// JSON Schemas for surveys, for pack.toml and for topic files, and definitions of the names that scripts see. They know the
    /// facts, choices, entries and limits of the packs in use; write them anew when those change.
    #[command(after_help = SCHEMAS)]
    Schemas(WriteSchemas),

    /// Compare two rule books, or one on two dates: what became stricter, what looser, what is only re-worded
    ///
    /// Over all situations, rule by rule, with the smallest survey that shows each change; and, with --surveys, over every survey
    /// in a folder. A rule of law or standard that says less needs a [[sign-off]] in its own pack, given for the state shown.
    /// A folder is a pack or holds packs: house packs are laid on top of the standard packs, a single pack called like a standard
    /// one takes its place, and a folder of others is a rule book of its own.
    #[command(after_help = COMPARE)]
    Compare(ComparePacks),

    /// Prove, for every possible survey, that the added packs only tighten the standard rule book
    ///
    /// Not by sampling: every place and every stretch of time is gone through, and every rule of law or standard compared path by
    /// path. What fails comes with the smallest survey that shows it. Exit codes: 0 proved; 1 a survey breaks it; 3 a bound was
    /// reached and it is not known; 2 the input is wrong.
    Prove(ProveArgs),
}

#[derive(Debug, clap::Args)]
pub(crate) struct ProveArgs {
    /// A folder to look at: a pack or several, laid on the standard packs whether or not they call themselves house packs
    #[arg(value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    pub(crate) folder: Option<PathBuf>,

    /// Only for this place (ISO 3166, such as GB-ENG or US-MA); every place if left out
    #[arg(long, value_name = "CODE")]
    pub(crate) place: Option<String>,

    /// Only for this day; every day if left out
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub(crate) date: Option<String>,

    /// Write the surveys that break it into this folder, instead of showing them
    #[arg(short, long, value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    pub(crate) output: Option<PathBuf>,

    /// The most steps to take before giving up
    #[arg(long, value_name = "STEPS", default_value_t = ovolo_engine::prove::MOST_STEPS)]
    pub(crate) most_steps: usize,
}

#[derive(Debug, clap::Args)]
pub(crate) struct ComparePacks {
    /// The folder of the rule book before; left out with --dates
    #[arg(value_name = "BEFORE", value_hint = ValueHint::DirPath, required_unless_present = "dates")]
    pub(crate) before: Option<PathBuf>,

    /// The folder of the rule book after; the rule book in use if left out
    #[arg(value_name = "AFTER", value_hint = ValueHint::DirPath)]
    pub(crate) after: Option<PathBuf>,

    /// Compare the first day with the second
    #[arg(long, value_names = ["YYYY-MM-DD", "YYYY-MM-DD"], num_args = 2)]
    pub(crate) dates: Option<Vec<String>>,

    /// Only for this place (ISO 3166, such as GB-ENG or US-MA); every place if left out
    #[arg(long, value_name = "CODE")]
    pub(crate) place: Option<String>,

    /// Only for this day; every day if left out
    #[arg(long, value_name = "YYYY-MM-DD", conflicts_with = "dates")]
    pub(crate) date: Option<String>,

    /// Look also at every survey in this folder
    #[arg(long, value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    pub(crate) surveys: Option<PathBuf>,

    /// Write the surveys that show what changed into this folder
    #[arg(short, long, value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    pub(crate) output: Option<PathBuf>,

    /// The most steps to take in each direction before giving up
    #[arg(long, value_name = "STEPS", default_value_t = ovolo_engine::prove::MOST_STEPS)]
    pub(crate) most_steps: usize,
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
pub(crate) struct TryCases {
    /// The folders of the packs; if left out, every added pack, or else the standard packs
    #[arg(value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    pub(crate) folders: Vec<PathBuf>,

    /// Try only the cases that a change since this seal touches
    #[arg(long, value_name = "SEAL", value_hint = ValueHint::FilePath)]
    pub(crate) changed_since: Option<PathBuf>,

    /// List also the rules whose cases leave nothing out
    #[arg(long)]
    pub(crate) all: bool,
}

#[derive(Debug, clap::Args)]
pub(crate) struct ShowThing {
    /// Its id, or a word to look for
    #[arg(value_name = "ID")]
    pub(crate) id: String,

    /// Give limits as they stand in this place (ISO 3166, such as GB-ENG or US-MA)
    #[arg(long, value_name = "CODE")]
    pub(crate) place: Option<String>,

    /// Give limits as they stand on this day; today if left out
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub(crate) date: Option<String>,
}

#[derive(Debug, clap::Args)]
pub(crate) struct PrintBook {
    /// The folders of the packs; if left out, every added pack, or else the standard packs
    #[arg(value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    pub(crate) folders: Vec<PathBuf>,

    /// Write rule-book.html or rule-book.md into this folder instead of standard output
    #[arg(short, long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub(crate) out: Option<PathBuf>,

    /// The kind of document
    #[arg(long, value_enum, default_value_t = DocumentFormat::Html)]
    pub(crate) format: DocumentFormat,

    /// Give limits as they stand in this place (ISO 3166, such as GB-ENG or US-MA)
    #[arg(long, value_name = "CODE")]
    pub(crate) place: Option<String>,

    /// Give limits as they stand on this day; today if left out
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub(crate) date: Option<String>,
}

/// The kind of document.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum DocumentFormat {
    /// One file that prints well
    Html,
    /// For other documents
    Markdown,
}

#[derive(Debug, clap::Args)]
pub(crate) struct ReplayAdvice {
    /// The advice, as `ovolo advise --format json` wrote it
    #[arg(value_name = "ADVICE", value_hint = ValueHint::FilePath)]
    pub(crate) advice: PathBuf,

    /// The survey it was given for
    #[arg(value_name = "SURVEY", value_hint = ValueHint::FilePath)]
    pub(crate) survey: PathBuf,
}

#[derive(Debug, clap::Args)]
pub(crate) struct WriteSchemas {
    /// Write them into this folder
    #[arg(short, long, value_name = "DIR", value_hint = ValueHint::DirPath, default_value = "schemas")]
    pub(crate) out: PathBuf,
}

#[derive(Debug, clap::Args)]
pub(crate) struct SealPacks {
    /// The folders of the packs; if left out, every added pack, or else the standard packs
    #[arg(value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    pub(crate) folders: Vec<PathBuf>,

    /// Write the seal to this file instead of standard output
    #[arg(short, long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub(crate) out: Option<PathBuf>,
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
