//! The shape of what is told, as it is written as JSON (schema in `engine/aftermath.schema.json`).

use crate::advice::{RuleBookHead, SurveyHead};
use crate::finding::Status;
use crate::pack::{Likely, Section};
use serde::Serialize;

/// What to do about what has happened.
#[derive(Debug, Clone, Serialize, PartialEq)]
pub struct Aftermath {
    /// The version of this shape.
    pub aftermath: u32,
    /// The survey it is about.
    pub survey: SurveyHead,
    /// The rule book it rests on.
    pub rule_book: RuleBookHead,
    /// One after the other, those that cannot wait first.
    pub happenings: Vec<Happening>,
    /// Whose word comes first.
    pub defers: String,
}

/// One thing that has happened, and what to do about it.
#[derive(Debug, Clone, Serialize, PartialEq)]
pub struct Happening {
    /// Whether it is an `incident` or a `trouble`.
    pub about: String,
    /// What happened, in words; as far as it is known.
    pub title: String,
    /// The id of what happened, where it is known.
    pub kind: Option<String>,
    /// The surface, by name.
    pub surface: Option<String>,
    /// When it happened, or since when it is seen.
    pub on: Option<String>,
    /// Stop, or go on: the answer.
    pub answer: Vec<Piece>,
    /// What comes before everything else.
    pub first: Vec<Piece>,
    /// What is taken to be so until it is known.
    pub taken: Vec<String>,
    /// The rest, part by part.
    pub sections: Vec<SectionTold>,
    /// What may be behind it, the likeliest first.
    pub causes: Vec<CauseTold>,
    /// Whether something that belongs here stands under an earlier thing and is not said again.
    pub see_above: bool,
    /// What is not known and would matter, as questions.
    pub ask: Vec<Asked>,
}

/// One part of what is told.
#[derive(Debug, Clone, Serialize, PartialEq)]
pub struct SectionTold {
    /// Which.
    pub part: Section,
    /// What it holds, in order.
    pub pieces: Vec<Piece>,
}

/// One piece of guidance.
#[derive(Debug, Clone, Serialize, PartialEq)]
pub struct Piece {
    /// Its id in the rule book.
    pub after: String,
    /// What to do, with what it depends on before it.
    pub says: String,
    /// Whether it surely applies or depends on what is not known.
    pub status: Status,
    /// What it depends on, in words.
    pub depends_on: Option<String>,
    /// Where it comes from.
    pub source: String,
}

/// What may be behind a trouble.
#[derive(Debug, Clone, Serialize, PartialEq)]
pub struct CauseTold {
    /// Its id in the rule book.
    pub cause: String,
    /// The cause.
    pub title: String,
    /// How likely it is.
    pub likely: Likely,
    /// Why it is graded so.
    pub grounds: String,
    /// Whether something that is known points to it.
    pub pointed_to: bool,
    /// What it depends on, in words, where that is not known.
    pub depends_on: Option<String>,
    /// What tells it apart.
    pub test: String,
    /// What to try next.
    pub next: String,
    /// What must not be tried.
    pub never: Option<String>,
    /// Where it comes from.
    pub source: String,
}

/// A question whose answer would matter.
#[derive(Debug, Clone, Serialize, PartialEq)]
pub struct Asked {
    /// The fact.
    pub fact: String,
    /// The question.
    pub question: String,
}
