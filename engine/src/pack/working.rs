//! What packs say about working through an approach: stages, steps, what may stay, and the order of work.

use crate::pack::{Script, Template};
use crate::tree::Tree;
use crate::vocabulary::{FactId, Known};

/// How often a stage comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Each {
    /// Once for the surface.
    Surface,
    /// With every method of the approach.
    Method,
}

pub use crate::finding::StagePart;

/// A stage of the work, such as protecting or rinsing.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Stage {
    /// Its id.
    pub id: String,
    /// Its heading.
    pub title: String,
    /// Its place among the stages; the smaller comes first.
    pub order: f64,
    /// How often it comes.
    pub each: Each,
    /// Which part of a page it stands in.
    pub part: StagePart,
    /// Hold points stand here.
    pub holds: bool,
    /// The usual caution of a method stands here.
    pub usual: bool,
    /// What is assigned to no other stage stands here.
    pub default: bool,
}

/// Which rules and conditions a stage is for: rules by id before topic before pack.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Belongs {
    /// The stage, by its place in the list.
    pub stage: usize,
    /// Rules, by id.
    pub rules: Vec<String>,
    /// Topic files, as `pack/topic`.
    pub topics: Vec<String>,
    /// Packs, by name.
    pub packs: Vec<String>,
    /// Chosen facts whose conditions stand here.
    pub facts: Vec<FactId>,
}

pub use crate::finding::ReckonKind;

/// A reckoning that a step shows, and what it is reckoned with where that is for the pack to say (the acid of a neutraliser).
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Show {
    /// What is reckoned.
    pub kind: ReckonKind,
    /// With what.
    pub with: Option<String>,
}

/// A step of the work.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Step {
    /// Its id.
    pub id: String,
    /// Its stage, by place in the list.
    pub stage: usize,
    /// Its place within the stage; steps of one place stand in the order of the pack.
    pub order: f64,
    /// In a few words, as an instruction.
    pub title: String,
    /// How that reads where the step depends on what is not known.
    pub open: Option<String>,
    /// How the answer begins, before how the paint comes off, where it surely belongs to the work.
    pub answer: Option<String>,
    /// When it belongs to the work.
    pub script: Script,
    /// What the script comes to.
    pub tree: Tree,
    /// What to do.
    pub says: Template,
    /// What is reckoned beside it.
    pub shows: Vec<Show>,
    /// A figure, a time: the waiting that follows it.
    pub waits: Option<String>,
    /// Whether it is a gate of the weather.
    pub gate: bool,
    /// Whether it is named where the approach is told in brief.
    pub brief: bool,
    /// Where it comes from.
    pub source: String,
    /// The pack it belongs to.
    pub pack: String,
}

/// When coats that hold may stay.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Partial {
    /// Its id.
    pub id: String,
    /// When it applies.
    pub script: Script,
    /// What the script comes to.
    pub tree: Tree,
    /// Whether it has to apply to every coat, not to any one.
    pub every: bool,
    /// Whether loose paint comes off first, in spots.
    pub loose: bool,
    /// A figure, a share: how much of the area is usually loose.
    pub share: Option<String>,
    /// Reasons of the clearing grid with which a method takes what is loose, though not the coat.
    pub reasons: Vec<String>,
    /// What the surface is taken to be, for what stays, once the rest is off.
    pub left: Vec<(FactId, Known)>,
    /// In a sentence.
    pub says: String,
    /// Where it comes from.
    pub source: String,
}

/// What makes a surface come earlier in the order of work.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Order {
    /// Its id.
    pub id: String,
    /// When it applies.
    pub script: Script,
    /// What the script comes to.
    pub tree: Tree,
    /// Why it comes earlier.
    pub says: String,
    /// Where it comes from.
    pub source: String,
}

/// All of it.
#[derive(Debug, Clone, Default)]
#[non_exhaustive]
pub struct Working {
    /// The stages, in order.
    pub stages: Vec<Stage>,
    /// What belongs to which stage.
    pub belongs: Vec<Belongs>,
    /// The steps, in order.
    pub steps: Vec<Step>,
    /// When coats may stay.
    pub partials: Vec<Partial>,
    /// What comes earlier, first things first.
    pub orders: Vec<Order>,
}

impl Working {
    /// The stage of a rule: by its id, else its topic, else its pack, else holds where holds stand, else the default.
    pub(crate) fn stage_of(&self, rule: &str, topic: &str, pack: &str, hold: bool) -> Option<usize> {
        let by = |pick: &dyn Fn(&Belongs) -> bool| self.belongs.iter().find(|b| pick(b)).map(|b| b.stage);
        by(&|b| b.rules.iter().any(|r| r == rule))
            .or_else(|| hold.then(|| self.stages.iter().position(|s| s.holds)).flatten())
            .or_else(|| by(&|b| b.topics.iter().any(|t| t == topic)))
            .or_else(|| by(&|b| b.packs.iter().any(|p| p == pack)))
            .or_else(|| self.default_stage())
    }

    /// The stage of a condition: that of its fact, else the default.
    pub(crate) fn stage_of_fact(&self, fact: FactId) -> Option<usize> {
        self.belongs.iter().find(|b| b.facts.contains(&fact)).map(|b| b.stage).or_else(|| self.default_stage())
    }

    fn default_stage(&self) -> Option<usize> {
        self.stages.iter().position(|s| s.default)
    }
}
