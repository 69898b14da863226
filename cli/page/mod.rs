//! The page a person works from: one model, made from advice and the plan of work, shown as text, Markdown and HTML.
//!
//! Everything here is pure: no width, no markup, no file. [`job`] picks and words; what shows it only sets it. English that
//! belongs to the page is made here and nowhere else; words of the trade come from the packs.

mod against;
mod answer;
mod facts;
mod fit;
mod plain;
mod shared;
mod work;

/// Where to read on when something has happened.
pub(crate) const TELLS: &str = "`ovolo aftermath` with this survey tells it.";

pub(crate) use fit::Room;
pub(crate) use plain::{Names, lower, on_paper, surfaces};

use ovolo_engine::advice::{Advice, SurfaceAdvice};
use ovolo_engine::approach::Plan;
use ovolo_engine::approach::shape::SurfacePlan;
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
    /// The earlier sheet that says whom to call, and the answer without it.
    pub(crate) called_on: Option<(String, String)>,
    /// Whether an earlier sheet gives the same reason.
    pub(crate) why_told: bool,
    /// The earlier sheet with the same coats.
    pub(crate) coats_as: Option<String>,
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
    /// What stands before the work: holds that the answer names are told once for the job.
    Before,
    /// How people are kept safe who cannot see to it themselves.
    People,
    /// What was departed from, with its reason.
    Departures,
    /// What stops the work.
    Stop,
    /// The steps.
    Do,
    /// What each tool asks for.
    Tools,
    /// What to find out.
    Ask,
    /// What might suit too.
    Maybe,
    /// What is taken for granted.
    Provided,
    /// Other ways.
    Ways,
    /// What to mind, in full.
    Mind,
    /// What to mind, by name.
    Named,
    /// What it takes.
    Figures,
    #[default]
    Other,
}

/// What stands before the matters that a step hangs on.
const LOOK_FIRST: &str = "(look first: ";

/// A section of a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Section {
    pub(crate) part: Part,
    pub(crate) heading: String,
    pub(crate) form: Form,
    pub(crate) items: Vec<Item>,
    /// The earlier sheet that says just the same, of a section of one line.
    pub(crate) same_as: Option<String>,
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
    /// Whether the sentences stand once for the job, after the surfaces.
    pub(crate) later: bool,
    /// Things of one group belong together: the steps of a stage.
    pub(crate) group: usize,
    /// Whether it may be counted instead of named, where there is no room: nothing that can hurt anybody is.
    pub(crate) spared: bool,
    /// Whether what stands below it stands on an earlier sheet too.
    pub(crate) under_told: bool,
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
        Self { part: Part::default(), heading: heading.into(), form, items, same_as: None }
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
///
/// `measure` says what a sheet takes where it is read through, after those that it is given first.
pub(crate) fn job(advice: &Advice, plan: &Plan, names: &Names, detail: Detail, measure: impl Fn(&[Sheet], &Sheet) -> Room) -> Job {
    let shown: Vec<&SurfaceAdvice> =
        advice.surfaces.iter().filter(|s| plan.surfaces.is_empty() || plan.surfaces.iter().any(|p| p.name == s.name)).collect();
    let common = shared::Common::of(advice, plan, &shown, names);
    let mut sheets: Vec<Sheet> = shown
        .iter()
        .map(|surface| {
            let own = plan.surfaces.iter().find(|p| p.name == surface.name);
            sheet(&Ground { advice, surface, plan: own, whole: plan, names, detail, common: &common })
        })
        .collect();
    let later = put_off(&mut sheets, detail);
    let mut seen = Seen::default();
    for at in 0..sheets.len() {
        let (before, rest) = sheets.split_at_mut(at);
        seen.mark(&mut rest[0]);
        if detail == Detail::Page {
            fit::fit(&mut rest[0], |sheet| measure(before, sheet));
        }
        // What was shortened may stand on an earlier sheet in its short form; only what is left can be pointed at.
        seen.mark(&mut rest[0]);
        seen.keep(&rest[0]);
    }
    let mut head = facts::head(advice, names);
    let holds: Vec<&str> = common.all_wait().collect();
    if !holds.is_empty() {
        head.push(format!("Nothing starts before this is settled: {}.", holds.join("; ")));
    }
    let calls: Vec<String> = common.all_call().map(answer::does).collect();
    if !calls.is_empty() {
        head.push(format!("Do not start anywhere: call {}.", calls.join("; and ")));
    }
    let mut job = Job {
        title: advice.survey.title.clone(),
        head,
        sheets,
        shared: once(shared::sections(advice, plan, &common, names, detail, later)),
        closing: advice.defers.clone(),
        rule_book: facts::rule_book(advice),
    };
    plain::tidy(&mut job);
    job
}

fn sheet(g: &Ground<'_>) -> Sheet {
    let (answer, why) = answer::answer(g);
    let mut sections = vec![answer::provided(g), work::before(g), work::people(g), against::not(g), work::steps(g)];
    sections.extend(work::mind(g));
    sections.push(facts::reckon(g));
    sections.extend(against::further(g));
    sections.push(facts::find_out(g));
    sections.push(work::stop(g));
    sections.extend(facts::departures(g));
    sections.retain(|s| !s.items.is_empty());
    Sheet {
        name: g.surface.name.clone(),
        answer,
        why,
        same_as: Vec::new(),
        called_on: answer::called_on(g),
        why_told: false,
        coats_as: None,
        coats: facts::coats(g),
        sections,
    }
}

/// What is told once for the job.
#[derive(Debug, Default)]
struct Later {
    /// How steps are done.
    steps: Vec<Item>,
    /// What tools ask for.
    tools: Vec<Item>,
    /// What to find out on several surfaces.
    asks: Vec<Item>,
    /// What might suit on several surfaces.
    maybe: Vec<Item>,
}

impl Later {
    fn list(&mut self, part: Part) -> Option<&mut Vec<Item>> {
        match part {
            Part::Do => Some(&mut self.steps),
            Part::Tools => Some(&mut self.tools),
            Part::Ask => Some(&mut self.asks),
            Part::Maybe => Some(&mut self.maybe),
            _ => None,
        }
    }
}

/// Puts off, to be told once for the job, what several surfaces share, and how steps are done and tools used, which would make a
/// sheet too long to work from.
fn put_off(sheets: &mut [Sheet], detail: Detail) -> Later {
    let mut on: BTreeMap<(u8, String, String), Vec<String>> = BTreeMap::new();
    // Questions are the same where they are asked the same; steps where they are done the same.
    let key = |part: Part, item: &Item| {
        let head = if matches!(part, Part::Ask | Part::Maybe) { item.head.clone() } else { String::new() };
        (part as u8, head, item.text.clone())
    };
    for sheet in sheets.iter() {
        for (part, item) in sheet.sections.iter().flat_map(|s| s.items.iter().map(|i| (s.part, i))) {
            let names = on.entry(key(part, item)).or_default();
            if names.last() != Some(&sheet.name) {
                names.push(sheet.name.clone());
            }
        }
    }
    let mut later = Later::default();
    for sheet in sheets {
        for section in &mut sheet.sections {
            let Some(list) = later.list(section.part) else { continue };
            let names = |i: &Item| on.get(&key(section.part, i)).map_or(&[][..], |n| &n[..]);
            let long = detail == Detail::Page && matches!(section.part, Part::Do | Part::Tools);
            for item in section.items.iter_mut().filter(|i| !i.text.is_empty()) {
                let on = names(item).to_vec();
                item.later = long || on.len() > 1;
                let new =
                    !list.iter().any(|l| l.text.trim_end() == item.text && (section.part == Part::Do || l.head.starts_with(&item.head)));
                if item.later && new {
                    list.push(match section.part {
                        // The conditions of one surface stay with it.
                        Part::Do => Item::new(item.head.split([':', '(']).next().unwrap_or(&item.head).trim_end(), item.text.clone()),
                        Part::Ask | Part::Maybe => Item::new(format!("{} ({})", item.head, surfaces(&on)), item.text.clone()),
                        _ => Item::new(item.head.clone(), item.text.clone()),
                    });
                }
            }
        }
    }
    later
}

/// What is said for the job is said once there too: two questions may be found out in one way.
fn once(mut sections: Vec<Section>) -> Vec<Section> {
    let mut seen: BTreeSet<String> = BTreeSet::new();
    for item in sections.iter_mut().flat_map(|s| &mut s.items).filter(|i| !i.text.is_empty()) {
        if !seen.insert(item.text.clone()) {
            item.text.clear();
        }
    }
    sections
}

/// What earlier sheets say, so that a page that is read through says it once.
#[derive(Debug, Default)]
struct Seen {
    /// Which sheet says it first.
    said: BTreeMap<String, String>,
    answers: BTreeMap<String, Vec<String>>,
    whys: BTreeSet<String>,
}

/// A section of one line as one text.
fn in_one(section: &Section) -> String {
    let all: Vec<&str> = section.items.iter().map(|i| i.head.as_str()).collect();
    format!("{}: {}", section.heading, all.join("; "))
}

impl Seen {
    /// Marks what stands on an earlier sheet already.
    fn mark(&self, sheet: &mut Sheet) {
        sheet.same_as = self.answers.get(&sheet.answer).cloned().unwrap_or_default();
        sheet.why_told = self.whys.contains(&sheet.why);
        sheet.coats_as = self.said.get(&sheet.coats).filter(|_| !sheet.coats.is_empty()).cloned();
        for section in &mut sheet.sections {
            if section.form == Form::Line {
                section.same_as = self.said.get(&in_one(section)).cloned();
            }
            for item in &mut section.items {
                item.under_told = item.under.iter().all(|u| self.said.contains_key(u));
                let said = if section.part == Part::Ways { &item.head } else { &item.text };
                if !said.is_empty() && !item.later {
                    item.told = self.said.get(said).cloned();
                }
            }
        }
    }

    /// Keeps what a sheet says.
    fn keep(&mut self, sheet: &Sheet) {
        let Self { said, answers, whys } = self;
        answers.entry(sheet.answer.clone()).or_default().push(sheet.name.clone());
        whys.insert(sheet.why.clone());
        let mut say = |text: &str| {
            if !text.is_empty() {
                said.entry(text.to_owned()).or_insert_with(|| sheet.name.clone());
            }
        };
        say(&sheet.coats);
        for section in &sheet.sections {
            if section.form == Form::Line {
                say(&in_one(section));
            }
            for item in section.items.iter().filter(|i| !i.later) {
                item.under.iter().for_each(|u| say(u));
                say(if section.part == Part::Ways { &item.head } else { &item.text });
            }
        }
    }
}
