//! Telling what a judgement rests on: notices and sentences, what would change a verdict, which question comes next, dates.

pub(crate) mod ask;
pub(crate) mod dates;
pub(crate) mod flips;
mod show;
pub(crate) mod trace;
pub(crate) mod weigh;

pub use dates::changed;
pub(crate) use flips::suppose;
pub(crate) use show::Teller;
pub(crate) use trace::lines;
pub(crate) use weigh::{Behind, facts_of_test};

use crate::advice::{PackHead, RuleBookHead, SurveyHead};
use crate::judge::in_force::InForce;
use crate::survey::Survey;
use jiff::civil::Date;

/// Where and when advice is given for.
#[derive(Debug, Clone)]
pub struct Circumstances {
    /// Overrides the survey's place.
    pub place: Option<String>,
    /// The date.
    pub date: Date,
}

/// What advice is about, and what it rests on.
pub(crate) fn heads(survey: &Survey, force: &InForce<'_>, place: Option<&str>) -> (SurveyHead, RuleBookHead) {
    let survey = SurveyHead {
        title: survey.title.clone(),
        date: force.date.to_string(),
        place: place.map(str::to_owned),
        place_covered: force.covered(),
        digest: survey.digest(&force.book.base),
    };
    let book = force.book;
    let packs =
        book.packs.iter().map(|p| PackHead { name: p.name.clone(), version: p.version.clone(), digest: p.digest.clone() }).collect();
    (survey, RuleBookHead { digest: book.digest.clone(), packs })
}
