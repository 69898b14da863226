//! The engine of ovolo: surveys and rule packs in, defensible advice out.
//!
//! A [`survey::Survey`] states what is known of a site, its surfaces and their coats. A [`pack::RuleBook`] is packs of rules,
//! each an ordinary Rhai script that is unfolded once, at load, into a decision tree. [`explain::advise`] judges every
//! method on every surface and explains itself; [`explain::check`] does so for one proposal; [`judge::Judge`] judges without
//! explaining.
//!
//! ```
//! use ovolo_engine::diagnostic::SourceFile;
//! use ovolo_engine::explain::{Circumstances, advise};
//! use ovolo_engine::finding::Verdict;
//! use ovolo_engine::pack::{PackFiles, RuleBook};
//! use ovolo_engine::survey::Survey;
//!
//! let pack = PackFiles {
//!     folder: "tiny".into(),
//!     files: vec![
//!         ("pack.toml".into(), "name = \"tiny\"\nversion = \"1\"\nowner = \"nobody\"".into()),
//!         ("rules.toml".into(), r#"
//!             [[fact]]
//!             id = "surface.thatch_near"
//!             title = "thatch near"
//!             question = "Is thatch near?"
//!             kind = "yes-no"
//!
//!             [[attribute]]
//!             of = "method"
//!             id = "hot"
//!             kind = "yes-no"
//!
//!             [[method]]
//!             id = "hot-air"
//!             title = "hot-air tool"
//!             source = "common practice"
//!             hot = true
//!
//!             [[rule]]
//!             id = "heat-near-thatch"
//!             when = 'method.hot && surface.thatch_near'
//!             ruling = "rule-out"
//!             because = "Thatch catches fire."
//!             basis = "practice"
//!             source = "common practice"
//!         "#.into()),
//!     ],
//! };
//! let book = RuleBook::load(&[pack]).expect("the pack is sound");
//! let file = SourceFile::new("survey.toml", "[[surface]]\nname = \"eaves\"");
//! let (survey, _) = Survey::read(&file, &book).expect("the survey is sound");
//! let when = Circumstances { place: None, date: "2026-09-01".parse().expect("a date") };
//! let advice = advise(&survey, &book, &when);
//! // Nobody has said whether thatch is near: that is open, never "no".
//! assert_eq!(advice.surfaces[0].methods[0].verdict, Verdict::CantTellYet);
//! assert_eq!(advice.ask_next[0].fact, "surface.thatch_near");
//! ```
//!
//! Nothing here prints, reads the clock, a file or the environment, or knows the terminal: the same survey, rule book and
//! date give the same bytes.

pub mod advice;
pub mod aftermath;
pub mod answer;
pub mod approach;
pub mod cases;
pub mod catalogue;
pub mod compare;
pub mod diagnostic;
pub mod exercise;
pub mod explain;
pub mod figure;
pub mod finding;
pub mod judge;
mod lead;
pub mod limit;
pub mod pack;
pub mod patches;
pub mod prove;
pub mod quantity;
pub mod reach;
pub mod reckon;
pub mod script;
pub mod second;
pub mod survey;
pub mod toml_read;
pub mod tree;
pub mod vocabulary;
mod wire;
pub mod words;
pub mod workshop;
pub mod year;
