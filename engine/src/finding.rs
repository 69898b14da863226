//! The words of a finding: what can be said of a method, a rule, a fact or a way. Each is a type of its own, so that nothing in the
//! house compares English; the word of each stands here once, for screens, for packs and for JSON.

use crate::worded::Worded;
use serde::{Deserialize, Serialize};
use std::fmt;

/// Declares a closed set of words: the enum, its word in files and on screen, its code for programs, and the way back from a word.
macro_rules! worded {
    ($(#[$about:meta])* $name:ident { $($(#[$each:meta])* $variant:ident = $word:literal),+ $(,)? }) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        pub enum $name {
            $($(#[$each])* #[serde(rename = $word)] $variant,)+
        }

        impl $name {
            /// All of them, in their order.
            pub const ALL: [Self; [$($word),+].len()] = [$(Self::$variant),+];

            /// The word in files and on screen.
            pub fn word(self) -> &'static str {
                match self {
                    $(Self::$variant => $word,)+
                }
            }

            /// What a program keeps: the word without spaces and marks. It stays as it is when words on screen change.
            pub fn code(self) -> String {
                code(self.word())
            }

            /// What a word means, if it is one of these.
            pub fn from_word(word: &str) -> Option<Self> {
                Self::ALL.into_iter().find(|x| x.word() == word)
            }
        }

        impl Worded for $name {
            const EVERY: &'static [Self] = &Self::ALL;

            fn kept(self) -> String {
                self.code()
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.pad(self.word())
            }
        }
    };
}

/// A word as a program keeps it.
fn code(word: &str) -> String {
    word.chars().filter(|c| *c != '\'').map(|c| if c == ' ' { '-' } else { c }).collect()
}

worded! {
    /// What is said of a method on a surface. The order is from the least to the most that stands against it.
    Verdict {
        /// No rule-out or hold can apply.
        Suited = "suited",
        /// One choice keeps every rule-out and hold away: its conditions are given.
        SuitedWithCare = "suited with care",
        /// A hold point stands in the way.
        OnHold = "on hold",
        /// It depends on what is not known.
        CantTellYet = "can't tell yet",
        /// A rule-out applies whatever is found or chosen.
        RuledOut = "ruled out",
    }
}

impl Verdict {
    /// Whether work could go ahead, with its conditions.
    pub fn suits(self) -> bool {
        matches!(self, Self::Suited | Self::SuitedWithCare)
    }
}

worded! {
    /// What a rule does when it applies; the order is the order of reading.
    Ruling {
        /// The method cannot be used.
        RuleOut = "rule-out",
        /// A hold point: nothing starts until it is released.
        Hold = "hold",
        /// Something to watch.
        Caution = "caution",
        /// Speaks for the method.
        Prefer = "prefer",
        /// Something to know.
        Note = "note",
    }
}

worded! {
    /// How strong the ground of a rule is, the strongest first.
    Basis {
        /// Law.
        Statute = "statute",
        /// A published standard.
        Standard = "standard",
        /// Published guidance.
        Guidance = "guidance",
        /// Common practice.
        Practice = "practice",
        /// A firm's own decision.
        House = "house",
    }
}

impl Basis {
    /// Whether a departure from it can be recorded.
    pub fn can_be_departed_from(self) -> bool {
        !matches!(self, Self::Statute | Self::Standard)
    }
}

worded! {
    /// Whether a rule or a step applies for certain.
    Status {
        /// It applies, whatever is found.
        Applies = "applies",
        /// It depends on something that is not known.
        Open = "open",
    }
}

worded! {
    /// What the value of a fact stands on.
    Footing {
        /// It stands in the survey.
        Stated = "stated",
        /// It follows from what was measured or tried.
        Found = "found",
        /// A presumption gives it until somebody has looked.
        Presumed = "presumed",
        /// A proposal sets it.
        Proposed = "proposed",
        /// It was supposed, to see what would follow.
        Supposed = "supposed",
        /// Nobody has chosen it yet.
        ToChoose = "to be chosen",
        /// Nobody knows.
        Open = "open",
    }
}

worded! {
    /// Who settles a fact.
    Settled {
        /// It is so or not: somebody has to look.
        Found = "found",
        /// Somebody decides it.
        Chosen = "chosen",
    }
}

worded! {
    /// What comes first on a surface.
    First {
        /// Look at the coats, then try patches.
        Look = "look",
        /// Have released what holds the work.
        Release = "release",
        /// Work.
        Work = "work",
        /// Call somebody whose work it is.
        Call = "call",
    }
}

impl Default for StagePart {
    /// Most stages are the work itself.
    fn default() -> Self {
        Self::Work
    }
}

impl Default for First {
    /// Where nothing has to come first, the work does.
    fn default() -> Self {
        Self::Work
    }
}

worded! {
    /// How a proviso is taken.
    Likelihood {
        /// A practitioner takes it so until told otherwise.
        Likely = "likely",
        /// It can be either, and somebody has to look.
        Open = "open",
    }
}

worded! {
    /// How much of the paint comes off in a way, the least first.
    Clears {
        /// Nothing: all of it stays.
        None = "none",
        /// What is loose, in spots.
        Loose = "loose",
        /// The upper coats.
        Part = "part",
        /// All of it.
        All = "all",
    }
}

worded! {
    /// What becomes of the coats of one step of a way.
    Extent {
        /// They come off all over.
        Whole = "whole",
        /// Only what is loose comes off.
        Loose = "loose",
        /// They stay.
        Stays = "stays",
    }
}

worded! {
    /// Which part of a page a stage stands in.
    StagePart {
        /// Before anybody touches the surface.
        First = "first",
        /// The work itself.
        Work = "work",
        /// After the work, day by day and at the end.
        After = "after",
        /// What stops the work, to ask about.
        Stop = "stop",
    }
}

worded! {
    /// What is reckoned beside a step.
    ReckonKind {
        /// Numbers of test patches.
        Patches = "patches",
        /// Sheeting below and around the work.
        Sheeting = "sheeting",
        /// Remover and film.
        Remover = "remover",
        /// Hours, waiting and days of a method.
        Labour = "labour",
        /// How long a remover stays on.
        Dwell = "dwell",
        /// Rinse water, run-off and tank.
        Rinse = "rinse",
        /// Acid that neutralises.
        Neutraliser = "neutraliser",
        /// Waste, by weight.
        Waste = "waste",
        /// Lead on the area and in the waste.
        Lead = "lead",
        /// The watch after the last heat.
        Watch = "watch",
        /// Dew point and the two gates for coating.
        Air = "air",
    }
}

worded! {
    /// What has days on which it begins, ends or falls due.
    Dated {
        /// A rule.
        Rule = "rule",
        /// A presumption.
        Presumption = "presumption",
        /// A limit.
        Limit = "limit",
    }
}

worded! {
    /// What happened to it on a day.
    Happened {
        /// From that day it holds.
        Began = "came into force",
        /// From that day it does not.
        Ended = "no longer in force",
        /// On that day somebody should have checked it again.
        Due = "due for re-checking",
    }
}

worded! {
    /// What became of a departure.
    DepartureStatus {
        /// It sets its rule aside.
        InForce = "in force",
        /// Its time is over.
        Lapsed = "lapsed",
        /// Its time has not come.
        NotYet = "not yet in force",
        /// Its rule would not have stood in the way.
        ChangesNothing = "changes nothing",
    }
}

/// How the value of a fact is known: what it stands on, and that in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct HowKnown {
    /// In words, with by whom and when.
    #[serde(rename = "how_known")]
    pub says: String,
    /// What it stands on.
    #[serde(rename = "how_known_code", with = "crate::worded::coded")]
    pub ground: Footing,
    /// The presumption or finding that gives it, by id.
    #[serde(rename = "how_known_by", default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
}

impl HowKnown {
    /// Known in a way that needs no more words.
    pub(crate) fn plainly(ground: Footing) -> Self {
        Self { says: ground.word().to_owned(), ground, by: None }
    }
}

impl fmt::Display for HowKnown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.says)
    }
}
