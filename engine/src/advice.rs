//! Advice: what the engine says of a survey, in the shape that is written as JSON.
//!
//! The shape is published as a JSON Schema in `engine/advice.schema.json`. Text and Markdown are made from the same data.

use crate::finding::{
    Basis, Clears, Dated, DepartureStatus, Extent, First, Footing, Happened, HowKnown, Likelihood, Ruling, Settled, Status, Verdict,
};
use crate::survey::Supposition;
use serde::{Deserialize, Serialize};

/// The line every advice ends with.
pub const DEFERS: &str = "This is advice, not approval: local codes, consents and the enforcing authorities come first, and licensed or \
     certified people do the work that is theirs. Test a small patch before anything else.";

/// The whole advice on a survey.
///
/// ```
/// # use ovolo_engine::{Advice, Circumstances, Error, RuleBook, Survey};
/// # fn main() -> Result<(), Error> {
/// let book = RuleBook::load(&ovolo_rules::standard())?;
/// let mut survey = Survey::new(&book, "back yard").at("GB-ENG")?;
/// survey.add("gate")?;
/// let advice: Advice = book.advise(&survey, &Circumstances::on("2026-09-01".parse().expect("a date")))?;
/// let next = advice.ask_next.first().expect("nothing is known of the gate");
/// println!("{} {}", next.question, advice.defers);
/// # Ok(())
/// # }
/// ```
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct Advice {
    /// The version of this shape.
    pub advice: u32,
    /// The version of the engine that gave it.
    pub engine: String,
    /// The survey it is about.
    pub survey: SurveyHead,
    /// The rule book it rests on.
    pub rule_book: RuleBookHead,
    /// That something has happened, and where to read on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub happened: Option<String>,
    /// The first date on which something it rests on changes.
    pub good_until: Option<String>,
    /// What it rests on that is past the day it was due for re-checking. It stays in force as it stands.
    pub past_review: Vec<PastReview>,
    /// What changed between the day of the survey and the day of the advice.
    pub changed: Vec<Change>,
    /// What is said of the whole site.
    pub site: SiteAdvice,
    /// What is said of each surface.
    pub surfaces: Vec<SurfaceAdvice>,
    /// What to find out next, best first.
    pub ask_next: Vec<Ask>,
    /// Facts no answer to which would change any verdict.
    pub cannot_matter: Vec<Idle>,
    /// Departures and what became of them.
    pub departures: Vec<DepartureAdvice>,
    /// Whose word comes first.
    pub defers: String,
}

/// A rule, presumption or limit that is past the day it was due for re-checking.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq, Eq)]
#[non_exhaustive]
pub struct PastReview {
    /// rule, presumption or limit.
    pub what: Dated,
    /// Its id.
    pub id: String,
    /// As it stands in a sentence.
    pub title: String,
    /// The day it was due.
    pub review: String,
    /// Where it comes from.
    pub source: String,
}

/// A rule, presumption or limit that came, went or fell due between two days.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq, Eq)]
#[non_exhaustive]
pub struct Change {
    /// rule, presumption or limit.
    pub what: Dated,
    /// Its id.
    pub id: String,
    /// As it stands in a sentence; of a limit with its figure.
    pub title: String,
    /// The first day on which it was so.
    pub day: String,
    /// came into force, no longer in force, or due for re-checking.
    #[serde(flatten, with = "crate::wire::happened")]
    pub how: Happened,
    /// Where it comes from.
    pub source: String,
}

/// The survey advice is about.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct SurveyHead {
    /// Its title.
    pub title: String,
    /// The date advice is given for.
    pub date: String,
    /// The place whose law is applied.
    pub place: Option<String>,
    /// Whether any rule or figure of the rule book is about that place.
    pub place_covered: bool,
    /// SHA-256 over what the survey states, however it is laid out.
    pub digest: String,
}

/// The rule book advice rests on.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct RuleBookHead {
    /// SHA-256 over its packs.
    pub digest: String,
    /// Its packs.
    pub packs: Vec<PackHead>,
}

/// A pack of the rule book.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct PackHead {
    /// Its name.
    pub name: String,
    /// Its version.
    pub version: String,
    /// SHA-256 over its files.
    pub digest: String,
}

/// What is said of the whole site.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct SiteAdvice {
    /// Notices.
    pub notices: Vec<Notice>,
}

/// One rule speaking.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct Notice {
    /// The rule's id.
    pub rule: String,
    /// Its pack.
    pub pack: String,
    /// Its heading, if it has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
    /// What it does.
    pub ruling: Ruling,
    /// What it says.
    pub says: String,
    /// What to do instead.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instead: Option<String>,
    /// How strong its ground is.
    pub basis: Basis,
    /// Where it comes from.
    pub source: String,
    /// Where it holds; empty everywhere.
    pub place: Vec<String>,
    /// Since when.
    pub from: Option<String>,
    /// Whether it applies or depends on something open.
    pub status: Status,
    /// Whether it is open only for what the survey thinks without being sure, and would apply if that is so.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub thought: bool,
    /// The coats it is about, from the top, the first being 1.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub coats: Vec<usize>,
    /// What it read.
    pub facts: Vec<FactRead>,
}

/// A fact as it was read.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq, Eq)]
pub struct FactRead {
    /// Its id.
    pub fact: String,
    /// What it is about: site, surface, coat 1, method.
    pub about: String,
    /// What it was taken to be.
    pub value: String,
    /// How it is known.
    #[serde(flatten)]
    pub how_known: HowKnown,
    /// As it stands in a sentence.
    #[serde(skip)]
    pub title: String,
}

/// What is said of a surface.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct SurfaceAdvice {
    /// Its name.
    pub name: String,
    /// Its coats, from the top down.
    pub coats: Vec<CoatAdvice>,
    /// Methods in rank order.
    pub methods: Vec<MethodAdvice>,
    /// What comes first, in short.
    pub lead: Lead,
    /// Ways through the whole stack, the lead first; empty only where nothing may be done.
    pub approaches: Vec<Approach>,
    /// What the survey proposes.
    pub proposals: Vec<MethodAdvice>,
    /// Notices that are about no one method.
    pub notices: Vec<Notice>,
}

/// What comes first on a surface: the lead in short. The way itself is the first of the approaches.
#[derive(Debug, Clone, Default, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct Lead {
    /// look (at the coats, then patches), release (what holds the work), work, or call (somebody whose work it is).
    pub first: First,
    /// In a sentence.
    pub says: String,
    /// What to look at before the way is settled, the most telling first.
    pub look: Vec<Look>,
    /// Methods to try in patches, by id, gentlest first, while nobody knows the coats.
    pub patches: Vec<String>,
    /// What has to be released before work starts.
    pub release: Vec<Look>,
    /// Whom to call where nothing may be done; what the rules say.
    pub call: Vec<String>,
    /// People whose work it is, or who release it, the first to be called first.
    pub people: Vec<Person>,
}

/// Somebody whose work something is, or who releases it.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq, Eq)]
#[non_exhaustive]
pub struct Person {
    /// Who, as it reads after "call".
    pub who: String,
    /// What they do, as it reads after "who".
    pub does: String,
    /// Whether they do the work itself, so that it is nobody else's.
    pub works: bool,
    /// The rules that send people to them; none where nothing may be done and nobody else is named.
    pub rules: Vec<String>,
    /// Where it comes from.
    pub source: String,
}

/// A fact to look at, or to have released.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq, Eq)]
#[non_exhaustive]
pub struct Look {
    /// The fact.
    pub fact: String,
    /// What it is about.
    pub about: String,
    /// As it stands in a sentence.
    pub title: String,
    /// How to find out, or how it is released.
    pub how_to_find_out: String,
}

/// A found fact that a way takes for granted until somebody has looked.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq, Eq)]
#[non_exhaustive]
pub struct Proviso {
    /// The fact.
    pub fact: String,
    /// What it is about.
    pub about: String,
    /// What it is taken to be.
    pub is: String,
    /// likely: a practitioner takes it so until told otherwise; open: it can be either, and somebody has to look.
    pub usual: Likelihood,
    /// How to find out.
    pub how_to_find_out: String,
    /// What follows if it turns out otherwise.
    pub otherwise: String,
    /// The name of the fact as it stands in a sentence.
    #[serde(skip)]
    pub title: String,
    /// How it reads after "provided".
    #[serde(skip)]
    pub says: String,
    /// The same, for programs in the house.
    #[serde(skip)]
    pub set: Vec<Supposition>,
}

/// A coat as it is understood.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct CoatAdvice {
    /// From the top, the first being 1.
    pub coat: usize,
    /// What is known of it.
    pub facts: Vec<FactRead>,
}

/// What is said of a method on a surface.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct MethodAdvice {
    /// Its id.
    pub method: String,
    /// Its name in a sentence.
    pub title: String,
    /// suited, suited with care, on hold, can't tell yet, ruled out.
    #[serde(flatten, with = "crate::wire::verdict")]
    pub verdict: Verdict,
    /// The verdict in a line.
    pub line: String,
    /// The verdict in a paragraph.
    pub paragraph: String,
    /// The usual caution of the method.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub caution: Option<String>,
    /// The rules that decide it, and those that have something to say of it.
    pub reasons: Vec<Notice>,
    /// What to choose so that it suits.
    pub conditions: Vec<Condition>,
    /// Conditions by case, where no one choice serves all.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cases: Vec<ConditionCase>,
    /// The coats it clears, from the top, the first being 1; none where that is not known or nothing is to be cleared.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clears: Option<Vec<usize>>,
    /// For "on hold": the verdict once its hold points are released; conditions and what it depends on are of that verdict.
    #[serde(flatten, with = "crate::wire::released")]
    pub once_released: Option<Verdict>,
    /// What it depends on.
    pub depends_on: Vec<Depends>,
    /// For "can't tell yet": one way everything open could turn out so that it suits, and one so that it does not.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub completions: Option<Completions>,
    /// For "can't tell yet": the smallest sets of provisos under which it would suit, fewest first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub provided: Vec<Vec<Proviso>>,
    /// The smallest sets of changes after which it would suit if it does not, or not if it does.
    pub flips: Vec<Vec<Flip>>,
    /// What the verdict rests on.
    pub rests_on: Vec<FactRead>,
    /// Its rank.
    pub rank: Vec<RankPart>,
    /// Whether a bound of the search was reached; the verdict is then the more careful one.
    pub bound_reached: bool,
    /// The rules' trees as they were walked; only where they are asked for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub trees: Vec<RuleTree>,
    /// What a proposal sets.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub settings: Vec<FactRead>,
}

/// A rule's tree as it was walked.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct RuleTree {
    /// The rule.
    pub rule: String,
    /// What it does.
    pub ruling: Ruling,
    /// The coat it was walked for, from the top, the first being 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub coat: Option<usize>,
    /// Its questions and where they lead, indented by depth.
    pub lines: Vec<String>,
}

/// A choice to make.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct Condition {
    /// The fact to choose.
    pub fact: String,
    /// What it is about.
    pub about: String,
    /// What it must be.
    pub need: String,
    /// In a sentence.
    pub says: String,
    /// The rules it keeps away.
    pub because: Vec<String>,
    /// The same, for programs in the house.
    #[serde(skip)]
    pub set: Vec<Supposition>,
}

/// Conditions that hold in one case.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct ConditionCase {
    /// What is found.
    pub found: Vec<Flip>,
    /// What to choose then.
    pub conditions: Vec<Condition>,
}

/// A fact a verdict depends on.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct Depends {
    /// The fact.
    pub fact: String,
    /// What it is about.
    pub about: String,
    /// The method suits if it is this (and the rest as in the example that suits).
    pub suits_if: String,
    /// It does not if it is this.
    pub not_if: String,
    /// What would release the hold points that alone stand against it then: with these, it can suit all the same.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub released_by: Option<String>,
    /// As it stands in a sentence.
    #[serde(skip)]
    pub title: String,
    /// How it reads after "if" that the method suits, and that it does not, in the words of the packs.
    #[serde(skip)]
    pub reads: (String, String),
}

impl Depends {
    /// Which way it goes, without what it hangs on.
    #[must_use]
    pub fn either_way(&self) -> String {
        match &self.released_by {
            None => format!("can suit if {}; not if {}", self.reads.0, self.reads.1),
            Some(release) => format!("can suit if {}; if {}, only with a release ({release})", self.reads.0, self.reads.1),
        }
    }
}

/// Two ways everything open could turn out.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct Completions {
    /// The method suits.
    pub suits: Vec<Flip>,
    /// It does not, whatever is chosen.
    pub not: Vec<Flip>,
}

/// A fact and what it would be.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct Flip {
    /// The fact.
    pub fact: String,
    /// What it is about.
    pub about: String,
    /// What it would be.
    pub to: String,
    /// found or chosen.
    pub kind: Settled,
    /// What is known of it now: open, presumed, proposed, stated.
    pub now: Footing,
    /// As it stands in a sentence.
    #[serde(skip)]
    pub title: String,
    /// Of what is found, how it reads after "if", in the words of the packs.
    #[serde(skip)]
    pub reads: String,
    /// The same, for programs in the house.
    #[serde(skip)]
    pub set: Vec<Supposition>,
}

/// What one part of the ranking comes to for a method that would take every coat.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct RankPart {
    /// What it is.
    pub part: String,
    /// What it comes to; less is better.
    pub cost: i64,
    /// What added to it or took from it here, in sentences.
    pub because: Vec<String>,
    /// Where the part comes from.
    pub source: String,
}

/// A way through the stack of coats.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct Approach {
    /// Methods in order, each with the coats it takes.
    pub steps: Vec<ApproachStep>,
    /// The found facts it takes for granted until somebody has looked.
    pub provided: Vec<Proviso>,
    /// What it takes for granted as well, and begins by trying: a way that keeps the paint tries whether it holds.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tried: Vec<Proviso>,
    /// How often the method changes; keeping what stays is no change.
    pub changes: usize,
    /// What comes off: all, part (the upper coats), loose (what is loose, in spots), none.
    pub clears: Clears,
    /// Whether a hold point has to be released first.
    pub on_hold: bool,
    /// In a sentence.
    pub says: String,
    /// What puts it in its place among the others, in the order in which it counts.
    pub weighed: Vec<Weighed>,
    /// Its steps in brief; of the best approach only.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub brief: Vec<String>,
}

/// One thing that approaches are compared by.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct Weighed {
    /// What it is.
    pub part: String,
    /// What it comes to; less is better.
    pub cost: f64,
    /// Where its points come from.
    pub source: Option<String>,
}

/// A step of an approach.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct ApproachStep {
    /// The method.
    pub method: String,
    /// The coats it takes or, where they stay, keeps, from the top, the first being 1.
    pub coats: Vec<usize>,
    /// whole: the coats come off all over; loose: only what is loose; stays: they stay.
    pub extent: Extent,
    /// suited, suited with care, or on hold.
    #[serde(flatten, with = "crate::wire::verdict")]
    pub verdict: Verdict,
}

/// A question worth asking.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct Ask {
    /// The fact.
    pub fact: String,
    /// What it is about.
    pub about: String,
    /// The surface, if it is about one.
    pub surface: Option<String>,
    /// The question.
    pub question: String,
    /// What an answer settles.
    pub settles: Settles,
    /// How to find out.
    pub how_to_find_out: String,
    /// Why it is asked.
    pub why: String,
}

/// How many undecided verdicts an answer settles.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct Settles {
    /// Undecided verdicts now.
    pub undecided: usize,
    /// Settled by the least telling answer.
    pub worst: usize,
    /// Settled on average over the answers.
    pub average: f64,
    /// Verdicts that some answer changes.
    pub changes: usize,
}

/// A fact that cannot matter.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct Idle {
    /// The fact.
    pub fact: String,
    /// What it is about.
    pub about: String,
    /// The surface, if it is about one.
    pub surface: Option<String>,
}

/// A departure and what became of it.
#[derive(Debug, Clone, Serialize, Deserialize, PartialEq)]
#[non_exhaustive]
pub struct DepartureAdvice {
    /// The rule.
    pub rule: String,
    /// Who decided.
    pub who: String,
    /// Why.
    pub why: String,
    /// Since when.
    pub on: Option<String>,
    /// Until when.
    pub until: Option<String>,
    /// The surface it is limited to.
    pub surface: Option<String>,
    /// What became of it.
    #[serde(flatten, with = "crate::wire::departure")]
    pub status: DepartureStatus,
}
