//! Understanding how people answer: a line of speech in, statements about facts out.
//!
//! What words mean is data: facts, choices and entries carry synonyms (`says`), and packs add `[[phrase]]`s. This module
//! knows the shapes of speech only: numbers in words, sizes, ranges, doubt, yes and no, years and eras, lists, typing slips.

use crate::quantity::System;
use crate::vocabulary::{FactId, Known};
use std::ops::Range;

/// What surrounds a line.
#[derive(Debug, Clone, Default)]
pub struct Context {
    /// The place whose words count first, an ISO 3166 code.
    pub place: Option<String>,
    /// The units people are taken to speak in where they name none that settles it.
    pub system: Option<System>,
    /// The fact that was just asked for; a bare answer is about it.
    pub asked: Option<FactId>,
    /// How many coats are listed, if any are.
    pub coats: Option<usize>,
}

/// What a line was understood to say.
#[derive(Debug, Clone, Default)]
pub struct Heard {
    /// What was said, in the order of the line.
    pub said: Vec<Said>,
    /// Parts of the line nothing was made of, as they were typed.
    pub unheard: Vec<Range<usize>>,
}

/// One thing that was said.
#[derive(Debug, Clone)]
pub enum Said {
    /// A fact has a value.
    Fact(Statement),
    /// The whole stack of coats, from the top down, each with what was said of it.
    Coats(Vec<Vec<Statement>>),
    /// Nobody knows it.
    NotKnown {
        /// The fact, where one was asked for or named.
        fact: Option<FactId>,
        /// The part of the line.
        at: Range<usize>,
    },
    /// Something worth repeating that is no fact: what a pack has to say to these words.
    Remark {
        /// The remark.
        says: String,
        /// The part of the line.
        at: Range<usize>,
    },
}

/// A fact and what it was said to be.
#[derive(Debug, Clone)]
pub struct Statement {
    /// The fact.
    pub fact: FactId,
    /// The coat it is about, from the top, the first being 0; `None` for every coat, and for facts about no coat.
    pub coat: Option<usize>,
    /// Ways to read it, likeliest first; more than one where the words leave it open.
    pub readings: Vec<Reading>,
    /// The part of the line.
    pub at: Range<usize>,
}

/// One way to read what was said.
#[derive(Debug, Clone)]
pub struct Reading {
    /// What it leaves possible.
    pub known: Known,
    /// How it is written in a survey, a TOML value: `"oak"`, `"4 .. 6"`, `true`, `["glass", "drain"]`, `{ one-of = ["oak", "softwood"] }`.
    pub toml: String,
    /// How it reads back: `12 ft × 4 in = 4 sq ft`.
    pub echo: String,
    /// Whether the speaker was sure of it.
    pub sure: bool,
}

/// tmp
#[derive(Debug)]
pub struct Listener<'b> {
    book: &'b crate::pack::RuleBook,
}
impl<'b> Listener<'b> {
    /// tmp
    pub fn new(book: &'b crate::pack::RuleBook) -> Self {
        Self { book }
    }
    /// tmp
    pub fn hear(&self, line: &str, context: &Context) -> Heard {
        let mut heard = Heard::default();
        let base = &self.book.base;
        for (id, f) in base.vocabulary.iter() {
            if context.asked.is_some_and(|a| a != id) {
                continue;
            }
            if let Ok(known) = crate::survey::parse_text(line, id, base) {
                if context.asked.is_none()
                    && !matches!(f.kind, crate::vocabulary::FactKind::Entry(_) | crate::vocabulary::FactKind::Choice(_))
                {
                    continue;
                }
                let toml =
                    if matches!(f.kind, crate::vocabulary::FactKind::YesNo) { (line == "yes").to_string() } else { format!("\"{line}\"") };
                heard.said.push(Said::Fact(Statement {
                    fact: id,
                    coat: None,
                    readings: vec![Reading { known, toml, echo: line.to_owned(), sure: true }],
                    at: 0..line.len(),
                }));
                return heard;
            }
        }
        heard.unheard.push(0..line.len());
        heard
    }
}
