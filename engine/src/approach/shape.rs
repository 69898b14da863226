//! The shape of a plan of work, as it is written as JSON (schema in `engine/approach.schema.json`).

use crate::advice::{Approach, Notice, RuleBookHead, SurveyHead};
use crate::finding::{ReckonKind, StagePart, Status};
use crate::reckon::{Line, Sheet};
use serde::Serialize;

/// How surfaces are to be worked, and in what order; [`Settings`](super::Settings) shows how one is asked for.
#[derive(Debug, Clone, Serialize, PartialEq)]
#[non_exhaustive]
pub struct Plan {
    /// The version of this shape.
    pub plan: u32,
    /// The survey it is about.
    pub survey: SurveyHead,
    /// The rule book it rests on.
    pub rule_book: RuleBookHead,
    /// Surface by surface.
    pub surfaces: Vec<SurfacePlan>,
    /// The order of work and the days.
    pub programme: Programme,
    /// Whose word comes first.
    pub defers: String,
}

/// How one surface is to be worked.
#[derive(Debug, Clone, Serialize, PartialEq)]
#[non_exhaustive]
pub struct SurfacePlan {
    /// Its name.
    pub name: String,
    /// The approaches, best first.
    pub approaches: Vec<Approach>,
    /// Which of them is told in steps, the first being 1; none where there is no way yet.
    pub told: Option<usize>,
    /// Why there is no way, where there is none.
    pub none_yet: Option<String>,
    /// What lets coats stay, where anything does.
    pub may_stay: Vec<Said>,
    /// The steps in order.
    pub stages: Vec<StageTold>,
    /// The approaches beside each other.
    pub comparison: Vec<Compared>,
}

/// A sentence with its source.
#[derive(Debug, Clone, Serialize, PartialEq, Eq)]
#[non_exhaustive]
pub struct Said {
    /// The sentence.
    pub says: String,
    /// Where it comes from.
    pub source: String,
}

/// A stage of the work.
#[derive(Debug, Clone, Serialize, PartialEq)]
#[non_exhaustive]
pub struct StageTold {
    /// Its id.
    pub stage: String,
    /// Its heading.
    pub title: String,
    /// Which part of a page it stands in: first (before anybody touches the surface), work, after, or stop (what to stop for).
    pub part: StagePart,
    /// The method it belongs to, where it comes with every method.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub method: Option<String>,
    /// The usual caution of the method.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub caution: Option<String>,
    /// What to do.
    pub steps: Vec<StepTold>,
    /// What was chosen so that the method suits.
    pub conditions: Vec<ConditionTold>,
    /// Holds, cautions and notes that belong here.
    pub notices: Vec<Notice>,
}

impl StageTold {
    /// Whether it says nothing.
    pub fn is_empty(&self) -> bool {
        self.steps.is_empty() && self.conditions.is_empty() && self.notices.is_empty() && self.caution.is_none()
    }
}

/// A step.
#[derive(Debug, Clone, Serialize, PartialEq)]
#[non_exhaustive]
pub struct StepTold {
    /// Its id.
    pub step: String,
    /// In a few words.
    pub title: String,
    /// How the title reads here, where the step is open and its pack says so: it then says itself what to look at.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub open: Option<String>,
    /// How the answer begins, where it surely belongs to the work.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub answer: Option<String>,
    /// What to do.
    pub says: String,
    /// Whether it is named where the approach is told in brief.
    pub brief: bool,
    /// applies, or open: it depends on something not known.
    pub status: Status,
    /// What it depends on.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub depends_on: Vec<String>,
    /// Where it comes from.
    pub source: String,
    /// Whether it is a gate of the weather.
    pub gate: bool,
    /// The waiting that follows it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub waits: Option<Line>,
    /// What is reckoned beside it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub quantities: Vec<Quantity>,
}

/// A condition where it belongs.
#[derive(Debug, Clone, Serialize, PartialEq, Eq)]
#[non_exhaustive]
pub struct ConditionTold {
    /// In a sentence.
    pub says: String,
    /// The rules it keeps away.
    pub because: Vec<String>,
    /// Where those rules come from.
    pub sources: Vec<String>,
}

/// A quantity: reckoned, or what is missing for it.
#[derive(Debug, Clone, Serialize, PartialEq)]
#[non_exhaustive]
pub struct Quantity {
    /// What is reckoned.
    pub kind: ReckonKind,
    /// The method it is for.
    pub method: String,
    /// The reckoning, with its ranges and what it comes from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reckoned: Option<Sheet>,
    /// What is missing where there is no number.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub missing: Option<String>,
}

/// An approach beside the others.
#[derive(Debug, Clone, Serialize, PartialEq)]
#[non_exhaustive]
pub struct Compared {
    /// Its place, the first being 1.
    pub approach: usize,
    /// In a sentence.
    pub says: String,
    /// Attended hours, waiting, days and waste, as far as they can be reckoned.
    pub figures: Vec<Line>,
    /// What the figures were reckoned from.
    pub from: Vec<Line>,
    /// The greatest hazard to people of its methods, as points from 0 (least) to 1.
    pub hazard: f64,
    /// Conditions to keep, and the trouble they make.
    pub conditions: usize,
    /// The summed burden of the conditions.
    pub burden: f64,
    /// What is missing for a number.
    pub missing: Vec<String>,
}

/// The order of work and the days.
#[derive(Debug, Clone, Serialize, PartialEq)]
#[non_exhaustive]
pub struct Programme {
    /// The first day of work, if it was stated; without it days are counted and no dates are given.
    pub starts: Option<String>,
    /// The days of the week that are worked, and where that comes from.
    pub week: String,
    /// The hours of the day, and where they come from.
    pub day: String,
    /// People at work.
    pub people: f64,
    /// Before the first day of work.
    pub first: Vec<String>,
    /// Surface by surface, in order.
    pub turns: Vec<Turn>,
    /// Surfaces that cannot be planned yet, and why.
    pub not_planned: Vec<Said>,
    /// The whole, as far as it can be reckoned.
    pub whole: Vec<Line>,
    /// What the days leave out.
    pub remarks: Vec<String>,
    /// Gates of the weather, each once.
    pub gates: Vec<Gate>,
    /// The last heat of the day.
    pub heat: Vec<Quantity>,
}

/// A surface in the order of work.
#[derive(Debug, Clone, Serialize, PartialEq)]
#[non_exhaustive]
pub struct Turn {
    /// The surface.
    pub surface: String,
    /// The approach.
    pub approach: String,
    /// Why it comes here.
    pub because: Vec<Said>,
    /// Whether a hold point has to be released first.
    pub on_hold: bool,
    /// Attended hours, waiting, first and last day, as far as they can be reckoned.
    pub figures: Vec<Line>,
    /// What the figures were reckoned from, the reckonings of the methods first.
    pub from: Vec<Line>,
    /// What is missing.
    pub missing: Vec<String>,
}

/// A gate of the weather.
#[derive(Debug, Clone, Serialize, PartialEq)]
#[non_exhaustive]
pub struct Gate {
    /// What it is.
    pub title: String,
    /// What must hold.
    pub says: String,
    /// Where it comes from.
    pub source: String,
    /// The surfaces it is for.
    pub surfaces: Vec<String>,
    /// applies, or open.
    pub status: Status,
}
