//! The page a person works from: one model, made from advice and the plan of work, shown as text, Markdown and HTML.
//!
//! Everything here is pure: no width, no markup, no file. [`job`] picks and words; what shows it only sets it. English that
//! belongs to the page is made here and nowhere else; words of the trade come from the packs.

mod against;
mod answer;
mod facts;
mod plain;
mod shared;
mod work;

pub(crate) use plain::{Names, lower, surfaces};

use engine::advice::{Advice, SurfaceAdvice};
use engine::approach::Plan;
use engine::approach::shape::SurfacePlan;
use std::collections::{BTreeMap, BTreeSet};

/// How much is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Detail {
    /// What somebody works from.
    Page,
    /// All steps with what they take, the ways beside each other, and the programme.
    Plan,
}

/// A job: a sheet for every surface, and what is said once for all of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Job {
    pub(crate) title: String,
    /// Where and when it holds.
    pub(crate) head: Vec<String>,
    pub(crate) sheets: Vec<Sheet>,
    /// What is said once for the job, what stops work first.
    pub(crate) shared: Vec<Section>,
    /// Whose word comes first.
    pub(crate) closing: String,
    /// The rule book, for the record.
    pub(crate) rule_book: String,
}

/// What is said of one surface.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Sheet {
    pub(crate) name: String,
    /// What to do, in a sentence.
    pub(crate) answer: String,
    /// Why.
    pub(crate) why: String,
    /// Earlier sheets with the same answer.
    pub(crate) same_as: Vec<String>,
    /// Whether an earlier sheet gives the same reason.
    pub(crate) why_told: bool,
    /// What is on it.
    pub(crate) coats: String,
    pub(crate) sections: Vec<Section>,
}

/// How the items of a section stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Form {
    /// In one line after the heading.
    Line,
    /// To be ticked.
    Ticks,
    /// One after the other.
    Numbered,
    /// Two columns.
    Pairs,
    /// Points.
    Points,
}

/// Which sections are set off.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) enum Part {
    /// What not to do.
    Not,
    /// What stops the work.
    Stop,
    #[default]
    Other,
}

/// A section of a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Section {
    pub(crate) part: Part,
    pub(crate) heading: String,
    pub(crate) form: Form,
    pub(crate) items: Vec<Item>,
}

/// A thing said.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Item {
    /// In a few words.
    pub(crate) head: String,
    /// In sentences.
    pub(crate) text: String,
    /// The earlier surface on which the sentences stand already.
    pub(crate) told: Option<String>,
    /// What stands below it.
    pub(crate) under: Vec<String>,
}

impl Item {
    fn new(head: impl Into<String>, text: impl Into<String>) -> Self {
        Self { head: head.into(), text: text.into(), ..Self::default() }
    }

    fn head(head: impl Into<String>) -> Self {
        Self::new(head, "")
    }
}

impl Section {
    fn new(heading: impl Into<String>, form: Form, items: Vec<Item>) -> Self {
        Self { part: Part::default(), heading: heading.into(), form, items }
    }

    fn set_off(self, part: Part) -> Self {
        Self { part, ..self }
    }
}

/// What a sheet is made from.
struct Ground<'a> {
    advice: &'a Advice,
    surface: &'a SurfaceAdvice,
    plan: Option<&'a SurfacePlan>,
    whole: &'a Plan,
    names: &'a Names,
    detail: Detail,
    /// What is said once for the job.
    common: &'a shared::Common<'a>,
}

/// The pages of a job.
pub(crate) fn job(advice: &Advice, plan: &Plan, names: &Names, detail: Detail) -> Job {
    let shown: Vec<&SurfaceAdvice> =
        advice.surfaces.iter().filter(|s| plan.surfaces.is_empty() || plan.surfaces.iter().any(|p| p.name == s.name)).collect();
    let common = shared::Common::of(advice, plan, &shown);
    let mut sheets: Vec<Sheet> = shown
        .iter()
        .map(|surface| {
            let own = plan.surfaces.iter().find(|p| p.name == surface.name);
            sheet(&Ground { advice, surface, plan: own, whole: plan, names, detail, common: &common })
        })
        .collect();
    told_once(&mut sheets);
    let mut job = Job {
        title: advice.survey.title.clone(),
        head: facts::head(advice, names),
        sheets,
        shared: shared::sections(advice, plan, &common, names, detail),
        closing: advice.defers.clone(),
        rule_book: facts::rule_book(advice),
    };
    plain::tidy(&mut job);
    job
}

fn sheet(g: &Ground<'_>) -> Sheet {
    let (answer, why) = answer::answer(g);
    let mut sections = vec![answer::provided(g), work::before(g), against::not(g), work::steps(g)];
    sections.extend(work::mind(g));
    sections.push(facts::reckon(g));
    sections.extend(against::further(g));
    sections.push(facts::find_out(g));
    sections.push(work::stop(g));
    sections.extend(facts::departures(g));
    sections.retain(|s| !s.items.is_empty());
    Sheet { name: g.surface.name.clone(), answer, why, same_as: Vec::new(), why_told: false, coats: facts::coats(g), sections }
}

/// Marks what stands on an earlier sheet already, so that a page that is read through says it once.
fn told_once(sheets: &mut [Sheet]) {
    let mut seen: BTreeMap<String, String> = BTreeMap::new();
    let mut answers: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut whys: BTreeSet<String> = BTreeSet::new();
    for sheet in sheets {
        let name = sheet.name.clone();
        let same = answers.entry(sheet.answer.clone()).or_default();
        sheet.same_as.clone_from(same);
        same.push(name.clone());
        sheet.why_told = !whys.insert(sheet.why.clone());
        for item in sheet.sections.iter_mut().flat_map(|s| &mut s.items).filter(|i| !i.text.is_empty()) {
            let first = seen.entry(item.text.clone()).or_insert_with(|| name.clone());
            item.told = (*first != name).then(|| first.clone());
        }
    }
}
