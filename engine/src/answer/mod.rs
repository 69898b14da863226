//! Understanding how people answer: a line of speech in, statements about facts out.
//!
//! What words mean is data: facts, choices and entries carry synonyms (`says`), and packs add `[[phrase]]`s. This module
//! knows the shapes of speech only: numbers in words, sizes, ranges, doubt, yes and no, years and eras, lists, typing slips.

mod accounted;
mod ages;
mod answers;
mod beside;
mod coats;
mod figures;
mod finish;
mod framing;
mod index;
mod lex;
mod limits;
mod nearby;
mod numbers;
mod readings;
mod sense;
mod sizes;
mod tables;
mod token;
mod unnamed;
mod values;
mod weighing;
mod which;
mod years;

use crate::pack::{RuleBook, Slot};
use crate::quantity::System;
use crate::role::FactRole;
use crate::vocabulary::{About, FactId, Known};
use index::Index;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use tables::Role;

/// How much of a line is read; what stands behind counts as unheard.
pub const LONGEST_LINE: usize = 2_000;

/// A small word of general English.
type Word = &'static str;

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
    /// The present year, for ages: "two hundred years old".
    pub year: Option<i32>,
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
    /// The whole stack of coats, from the top down, each with what was said of it; empty where there is no paint.
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
    /// Words beside it that nothing was made of, where it would ask for less care: it is not taken for certain with them.
    pub unread: Vec<Range<usize>>,
    /// Who said it, where it comes from somebody who is not here.
    pub by: Option<String>,
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

/// Listens to people: built once for a rule book, asked line by line.
#[derive(Debug)]
pub struct Listener<'b> {
    book: &'b RuleBook,
    index: Index,
    roles: BTreeMap<Word, Vec<(Vec<Word>, Role)>>,
    words: BTreeSet<Word>,
    /// The fact that names the kind of a coat.
    kind: Option<FactId>,
    /// The fact that counts coats.
    layers: Option<FactId>,
}

impl<'b> Listener<'b> {
    /// Takes in what facts, choices, entries and phrases of a rule book are called.
    pub fn new(book: &'b RuleBook) -> Self {
        let vocabulary = &book.base.vocabulary;
        let kind = vocabulary.with(FactRole::Kind);
        let layers = kind.and_then(|k| vocabulary.iter().find(|(_, f)| f.counts == Some(k)).map(|(id, _)| id));
        Self { book, index: Index::new(book), roles: lex::roles(), words: lex::words(), kind, layers }
    }

    /// What a line says. Takes any text; what cannot be understood comes back as unheard.
    pub fn hear(&self, line: &str, context: &Context) -> Heard {
        let end = line.char_indices().nth(LONGEST_LINE).map_or(line.len(), |(at, _)| at);
        let (read, rest) = line.split_at(end);
        let mut tokens = token::tokens(read);
        lex::mend(&mut tokens, self);
        let lexemes = self.lex(&tokens, context);
        let mut heard = sense::Sense::new(self, context, read, lexemes).make();
        if !rest.trim().is_empty() {
            heard.unheard.push(end..line.len());
        }
        heard
    }

    /// The fact that a length said of a coat is about: what the rule book takes a bare length for.
    fn thickness(&self, measure: &sizes::Measure) -> Option<FactId> {
        let slot = measure.dimension().and_then(readings::Maker::slot_of)?;
        let find = |wanted: Slot| self.index.defaults.iter().find(|(s, _)| *s == wanted).map(|(_, p)| *p);
        let phrase = &self.book.phrases[find(slot)?];
        phrase.means.first().map(|(f, _)| *f).filter(|f| self.book.base.vocabulary.get(*f).about == About::Coat)
    }
}
