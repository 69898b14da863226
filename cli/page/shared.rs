//! What is said once for the job: what holds it, what is settled first, the law, people, waste.

use super::plain::{sentence, upper};
use super::work::{heading, said};
use super::{Detail, Form, Ground, Item, Names, Part, Section, answer, facts};
use crate::render::shared::{holds_of_ways, shared_holds};
use ovolo_engine::advice::{Advice, Notice, Person, Proviso, SurfaceAdvice};
use ovolo_engine::approach::Plan;
use ovolo_engine::approach::shape::{StageTold, StepTold, SurfacePlan};
use ovolo_engine::finding::{Basis, Ruling, StagePart, Status};

/// The most questions about the whole site.
const MOST_QUESTIONS: usize = 3;

/// The most people of whom an answer says what they do.
const MOST_TOLD: usize = 2;

/// What speaks, with the heading of its stage and the surfaces it speaks on.
type Row<'a> = (&'a Notice, &'a str, Vec<&'a str>);

/// What several surfaces have in common.
pub(super) struct Common<'a> {
    /// Holds, with the surfaces that wait for them.
    pub(super) holds: Vec<(&'a Notice, Vec<&'a str>)>,
    /// What speaks, with the heading of its stage and the surfaces it speaks on.
    notices: Vec<(&'a Notice, &'a str, Vec<&'a str>)>,
    /// Steps before, after and against the work, with their part and the surfaces they are for.
    steps: Vec<(&'a StepTold, &'a StageTold, Vec<&'a str>)>,
    /// What is taken for granted on several surfaces.
    provided: Vec<(&'a Proviso, Vec<&'a str>)>,
    /// Whom surfaces wait for, each with those surfaces.
    people: Vec<(&'a Person, Vec<&'a str>)>,
    /// On which surface it is said first what somebody does who is called.
    told: Vec<(&'a str, &'a str)>,
    /// What keeps people safe who cannot see to it themselves, with the surfaces where it speaks.
    guards: Vec<(&'a Notice, Vec<&'a str>)>,
    /// What is missing for figures of several surfaces.
    pub(super) missing: Vec<&'a str>,
    /// Surfaces with a way.
    surfaces: usize,
    /// Surfaces there are.
    shown: usize,
    /// The most coats of a surface.
    coats: usize,
}

/// Whether a notice is one of those that a page tells.
/// What may apply by what was said with doubt stands until that is settled.
pub(super) fn speaks(notice: &Notice) -> bool {
    (notice.status == Status::Applies || notice.thought) && matches!(notice.ruling, Ruling::Caution | Ruling::Note)
}

/// Of how many people an answer says what they do: of all where they are few.
pub(super) fn told_of(people: &[Person]) -> usize {
    if people.len() > MOST_TOLD { 1 } else { MOST_TOLD }
}

/// Whether two ways take the same for granted, with the same words.
fn same(a: &Proviso, b: &Proviso) -> bool {
    (&a.fact, &a.about, &a.is, &a.otherwise) == (&b.fact, &b.about, &b.is, &b.otherwise)
}

/// Whether a notice is told once for the job.
pub(super) fn is_shared(g: &Ground<'_>, notice: &Notice) -> bool {
    g.names.guards(&notice.rule) || g.common.notices.iter().any(|(n, ..)| n.rule == notice.rule)
}

/// What a surface waits for, by name.
pub(super) fn held<'a>(surface: &'a SurfaceAdvice, names: &Names) -> Vec<&'a str> {
    nearest(holds_of_ways(surface), names).into_iter().filter(|n| n.status == Status::Applies).filter_map(|n| n.title.as_deref()).collect()
}

/// Holds, but for those that hold everywhere where one of the place waits for the same word: one letter releases both, and the
/// law of the place says what it is.
pub(super) fn nearest<'a>(holds: Vec<&'a Notice>, names: &Names) -> Vec<&'a Notice> {
    let waits = |n: &Notice| names.released_by(&n.rule).map(str::to_owned);
    let general = |n: &Notice| {
        let of_place = |m: &&Notice| !m.place.is_empty() && m.status == Status::Applies && waits(m) == waits(n);
        n.place.is_empty() && waits(n).is_some() && holds.iter().any(of_place)
    };
    holds.iter().copied().filter(|n| !general(n)).collect()
}

/// What protects people on a surface who cannot protect themselves, and surely applies: of the way that is told, else of the surface alone.
pub(super) fn guarding<'a>(
    advice: &'a Advice,
    surface: &'a SurfaceAdvice,
    plan: Option<&'a SurfacePlan>,
    names: &Names,
) -> Vec<&'a Notice> {
    let at_stages = plan.into_iter().flat_map(|p| &p.stages).flat_map(|s| &s.notices);
    let mut out: Vec<&Notice> = Vec::new();
    for notice in at_stages.chain(&surface.notices).chain(&advice.site.notices).filter(|n| speaks(n) && names.guards(&n.rule)) {
        if !out.iter().any(|n| n.rule == notice.rule) {
            out.push(notice);
        }
    }
    out
}

impl<'a> Common<'a> {
    pub(super) fn of(advice: &'a Advice, plan: &'a Plan, shown: &[&'a SurfaceAdvice], names: &Names) -> Self {
        let mut notices: Vec<(&Notice, &str, Vec<&str>)> = Vec::new();
        let mut steps: Vec<(&StepTold, &StageTold, Vec<&str>)> = Vec::new();
        let one = shown.len() == 1;
        for surface in &plan.surfaces {
            for stage in &surface.stages {
                for notice in stage.notices.iter().filter(|n| {
                    speaks(n) && (!one || n.basis == Basis::Statute || matches!(stage.part, StagePart::First | StagePart::After))
                }) {
                    match notices.iter_mut().find(|(n, ..)| n.rule == notice.rule) {
                        Some((.., names)) if names.contains(&surface.name.as_str()) => {}
                        Some((.., names)) => names.push(&surface.name),
                        None => notices.push((notice, &stage.title, vec![&surface.name])),
                    }
                }
                for step in stage.steps.iter().filter(|_| stage.part != StagePart::Work) {
                    match steps.iter_mut().find(|(s, ..)| s.step == step.step) {
                        Some((.., names)) => names.push(&surface.name),
                        None => steps.push((step, stage, vec![&surface.name])),
                    }
                }
            }
        }
        if !one {
            notices.retain(|(.., names)| names.len() > 1);
            steps.retain(|(.., names)| names.len() > 1);
        }
        // Where there is no way there are no stages either.
        let first_title = plan.surfaces.iter().flat_map(|s| &s.stages).next().map_or("On the site", |s| s.title.as_str());
        for notice in advice.site.notices.iter().filter(|n| speaks(n)) {
            if !notices.iter().any(|(n, ..)| n.rule == notice.rule) {
                notices.push((notice, first_title, shown.iter().map(|s| s.name.as_str()).collect()));
            }
        }
        notices.retain(|(n, ..)| !names.guards(&n.rule));
        let mut guards: Vec<(&Notice, Vec<&str>)> = Vec::new();
        for surface in shown {
            let own = plan.surfaces.iter().find(|p| p.name == surface.name);
            for notice in guarding(advice, surface, own, names) {
                match guards.iter_mut().find(|(n, _)| n.rule == notice.rule) {
                    Some((_, on)) => on.push(&surface.name),
                    None => guards.push((notice, vec![&surface.name])),
                }
            }
        }
        // Where there is no way yet nothing of this stands in question.
        let worked = plan.surfaces.iter().filter(|s| s.told.is_some()).count();
        let told = plan.surfaces.iter().filter_map(|s| Some((s.name.as_str(), s.approaches.get(s.told? - 1)?)));
        let mut provided: Vec<(&Proviso, Vec<&str>)> = Vec::new();
        for (name, p) in told.flat_map(|(name, a)| a.provided.iter().chain(&a.tried).map(move |p| (name, p))) {
            match provided.iter_mut().find(|(q, _)| same(q, p)) {
                Some((_, on)) => on.push(name),
                None => provided.push((p, vec![name])),
            }
        }
        // What is taken of the site is told once wherever several rest on it; of surfaces and coats where all do.
        provided.retain(|(p, on)| on.len() > 1 && (p.about == "site" || on.len() >= worked));
        let mut people: Vec<(&Person, Vec<&str>)> = Vec::new();
        for surface in shown {
            for person in &surface.lead.people {
                match people.iter_mut().find(|(p, _)| p.who == person.who) {
                    Some((_, on)) => on.push(&surface.name),
                    None => people.push((person, vec![&surface.name])),
                }
            }
        }
        let mut told_on: Vec<(&str, &str)> = Vec::new();
        for surface in shown {
            for person in surface.lead.people.iter().take(told_of(&surface.lead.people)) {
                if !told_on.iter().any(|(who, _)| *who == person.who) {
                    told_on.push((&person.who, &surface.name));
                }
            }
        }
        let lacking: Vec<Vec<&str>> = plan.surfaces.iter().map(|s| facts::missing(s, plan)).collect();
        let mut missing: Vec<&str> = Vec::new();
        for m in lacking.iter().flatten() {
            if !missing.contains(m) && lacking.iter().filter(|l| l.contains(m)).count() > 1 {
                missing.push(m);
            }
        }
        Self {
            holds: shared_holds(advice, shown, |s| nearest(holds_of_ways(s), names)),
            notices,
            steps,
            provided,
            people,
            told: told_on,
            guards,
            missing,
            surfaces: worked.max(1),
            shown: shown.len(),
            coats: shown.iter().map(|s| s.coats.len()).max().unwrap_or(0),
        }
    }

    /// Whether every surface of several waits for somebody.
    pub(super) fn calls_all(&self, who: &str) -> bool {
        self.all_call().any(|p| p.who == who)
    }

    /// Whom every surface of several waits for.
    pub(super) fn all_call(&self) -> impl Iterator<Item = &Person> {
        self.people.iter().filter(|(_, on)| self.shown > 1 && on.len() >= self.shown).map(|(p, _)| *p)
    }

    /// The earlier surface that says whom to call, where all of them are told before.
    pub(super) fn called_before(&self, surface: &SurfaceAdvice) -> Option<&str> {
        let mut own = surface.lead.people.iter().filter(|p| !self.calls_all(&p.who)).map(|p| {
            let on = self.told.iter().find(|(who, _)| *who == p.who).map(|(_, on)| *on);
            on.filter(|on| *on != surface.name)
        });
        let first = own.next()??;
        own.all(|on| on.is_some()).then_some(first)
    }

    /// Whether something taken for granted is told once for the job.
    pub(super) fn grants(&self, proviso: &Proviso) -> bool {
        self.provided.iter().any(|(p, _)| same(p, proviso))
    }

    /// Whether a hold of this name is one of the whole job.
    pub(super) fn holds_all(&self, title: &str) -> bool {
        self.all_wait().any(|t| t == title)
    }

    /// What the whole job waits for, by name.
    pub(super) fn all_wait(&self) -> impl Iterator<Item = &str> {
        self.holds.iter().filter(|(_, on)| on.len() >= self.shown).filter_map(|(n, _)| n.title.as_deref())
    }

    pub(super) fn has_step(&self, id: &str) -> bool {
        self.steps.iter().any(|(s, ..)| s.step == id)
    }

    fn steps_of(&self, part: StagePart) -> Vec<Item> {
        let of = self.steps.iter().filter(|(_, stage, _)| stage.part == part);
        of.map(|(step, _, names)| {
            let item = Item::new(format!("{}{}", upper(&step.title), facts::whom(names, self.surfaces)), sentence(&step.says));
            if step.status == Status::Open {
                Item { head: format!("{} (not sure yet that it is needed)", item.head), ..item }
            } else {
                item
            }
        })
        .collect()
    }
}

/// Once for the job, what stops work first.
pub(super) fn sections(
    advice: &Advice,
    plan: &Plan,
    common: &Common<'_>,
    names: &Names,
    detail: Detail,
    later: super::Later,
) -> Vec<Section> {
    let held =
        common.holds.iter().map(|(n, surfaces)| Item::new(format!("{}{}", heading(n), facts::whom(surfaces, common.surfaces)), said(n)));
    let whom = |on: &[&str]| facts::whom(on, common.surfaces);
    let granted = common.provided.iter().map(|(p, on)| {
        let item = answer::proviso(p, common.coats, names);
        Item { head: format!("{}{}", item.head, whom(on)), ..item }
    });
    let guards = common.guards.iter().map(|(n, on)| Item::new(format!("{}{}", heading(n), facts::whom(on, common.shown)), said(n)));
    // What names no surface is about all of them.
    let all = if common.shown > 1 { " (all surfaces, unless some are named)" } else { "" };
    let mut out = vec![
        Section::new(format!("Nothing starts before this is settled{all}"), Form::Ticks, held.collect()),
        Section::new(format!("Provided that{all}"), Form::Ticks, granted.collect()).set_off(Part::Provided),
        Section::new(super::work::PEOPLE, Form::Points, guards.collect()),
        Section::new(format!("Before anybody starts{all}"), Form::Ticks, common.steps_of(StagePart::First)),
    ];
    // On a page duties are named and dangers told; a plan tells both.
    let in_full = |n: &Notice| n.basis == Basis::Statute && (n.ruling == Ruling::Caution || detail == Detail::Plan);
    let rest = common.notices.iter().filter(|(n, ..)| !in_full(n));
    let mut stages: Vec<(&str, Vec<&Row<'_>>)> = Vec::new();
    for row in rest {
        match stages.iter_mut().find(|(s, _)| *s == row.1) {
            Some((_, all)) => all.push(row),
            None => stages.push((row.1, vec![row])),
        }
    }
    // What a way takes for granted is looked at there.
    let granted: Vec<(&str, &str)> = plan
        .surfaces
        .iter()
        .filter_map(|s| s.approaches.get(s.told? - 1))
        .flat_map(|a| a.provided.iter().map(|p| (p.fact.as_str(), p.about.as_str())))
        .collect();
    let asks = advice.ask_next.iter().filter(|a| a.surface.is_none() && detail == Detail::Page);
    let asks =
        asks.filter(|a| !granted.contains(&(a.fact.as_str(), a.about.as_str())) && facts::timely(a, advice, names)).take(MOST_QUESTIONS);
    out.push(Section::new(
        "Find out first, for the whole job",
        Form::Ticks,
        asks.map(|a| facts::ask(a, 0, detail)).chain(later.asks).collect(),
    ));
    let stop = "Stop and ask, wherever you work, if";
    out.push(if detail == Detail::Page {
        Section::new(stop, Form::Line, stops(common))
    } else {
        Section::new(stop, Form::Points, common.steps_of(StagePart::Stop))
    });
    let law: Vec<&(&Notice, &str, Vec<&str>)> = common.notices.iter().filter(|(n, ..)| in_full(n)).collect();
    let full = |(n, _, surfaces): &(&Notice, &str, Vec<&str>)| {
        Item::new(format!("{}{}", heading(n), facts::whom(surfaces, common.surfaces)), said(n))
    };
    out.push(Section::new("What the law wants", Form::Points, law.into_iter().map(full).collect()));
    // What holds stands in the sheets; when it was last looked at is no news for whoever has to begin.
    out.push(Section::new("How far the law was followed", Form::Points, facts::dated(advice).into_iter().map(Item::head).collect()));
    out.push(Section::new("How these steps are done", Form::Points, later.steps));
    out.push(Section::new("With these tools", Form::Pairs, later.tools));
    if detail == Detail::Page {
        let row = |(stage, all): (&str, Vec<&Row<'_>>)| {
            let titles: Vec<&str> = all.iter().filter_map(|(n, ..)| n.title.as_deref()).collect();
            Item::new(stage, titles.join("; "))
        };
        let items = stages.into_iter().map(row).collect();
        out.push(Section::new("To mind throughout (this and all else in full with --all)", Form::Pairs, items));
    } else {
        out.extend(stages.into_iter().map(|(stage, all)| Section::new(stage, Form::Points, all.into_iter().map(full).collect())));
    }
    out.push(Section::new("These might suit too, on more than one surface", Form::Pairs, later.maybe));
    out.push(Section::new("At the end of each day, and of the job", Form::Ticks, common.steps_of(StagePart::After)));
    let missing = common.missing.iter().map(|m| Item::head((*m).to_owned())).collect();
    out.push(Section::new("Not reckoned yet", Form::Line, missing));
    out.push(facts::job_departures(advice, names));
    if detail == Detail::Plan {
        out.extend(programme(plan));
    }
    out.retain(|s| !s.items.is_empty());
    out
}

fn stops(common: &Common<'_>) -> Vec<Item> {
    let of = common.steps.iter().filter(|(_, stage, _)| stage.part == StagePart::Stop);
    of.map(|(step, _, names)| Item::head(format!("{}{}", step.title, facts::whom(names, common.surfaces)))).collect()
}

/// The order of work, the days, and the gates of the weather.
fn programme(plan: &Plan) -> Vec<Section> {
    use super::plain::rounded;
    let p = &plan.programme;
    let people = if p.people == 1.0 { "one person".to_owned() } else { format!("{} people", p.people) };
    let from =
        p.starts.as_ref().map_or_else(|| "from day 1, no date being stated".to_owned(), |d| format!("from {}", super::plain::day(d)));
    let mut order: Vec<Item> = Vec::new();
    let mut whys: Vec<(&str, Vec<&str>)> = Vec::new();
    for turn in &p.turns {
        for because in &turn.because {
            match whys.iter_mut().find(|(w, _)| *w == because.says) {
                Some((_, on)) => on.push(&turn.surface),
                None => whys.push((&because.says, vec![&turn.surface])),
            }
        }
        let figures: Vec<String> =
            turn.figures.iter().filter(|l| l.high != Some(0.0)).map(|l| format!("{} {}", l.name, rounded(&l.text))).collect();
        let held = if turn.on_hold { " (once released)" } else { "" };
        let mut item = Item::head(format!("{}{held}", turn.surface));
        item.under.extend(if figures.is_empty() { None } else { Some(figures.join("; ")) });
        item.under.extend(turn.missing.iter().map(|m| format!("no figure: {m}")));
        order.push(item);
    }
    let mut notes: Vec<Item> = vec![Item::head(format!("Reckoned {from}; {people}; {}; {}", p.week, p.day))];
    notes.extend(whys.into_iter().map(|(why, on)| Item::head(format!("{}{}", upper(why), facts::whom(&on, usize::MAX)))));
    notes.extend(p.not_planned.iter().map(|n| Item::head(format!("Not planned yet: {}", n.says))));
    let whole: Vec<String> = p.whole.iter().map(|l| format!("{} {}", l.name, rounded(&l.text))).collect();
    notes.extend((!whole.is_empty()).then(|| Item::head(format!("In all: {}", whole.join("; ")))));
    notes.extend(p.remarks.iter().map(|r| Item::head(r.clone())));
    let gates = p.gates.iter().map(|g| Item::head(format!("{} ({})", upper(&g.title), g.surfaces.join("; "))));
    let mut out = vec![
        Section::new("Before the first day", Form::Ticks, p.first.iter().map(|f| Item::head(upper(f))).collect()),
        Section::new("Order of the surfaces", Form::Numbered, order),
        Section::new("Days and hours", Form::Points, notes),
        Section::new("Gates of the weather", Form::Points, gates.collect()),
    ];
    let heat: Vec<Item> = p
        .heat
        .iter()
        .filter_map(|q| q.reckoned.as_ref())
        .map(|s| {
            let results: Vec<String> = s.results.iter().map(|l| format!("{} {}", l.name, rounded(&l.text))).collect();
            let mut item = Item::head(results.join("; "));
            item.under = s.findings.iter().map(|f| f.says.clone()).collect();
            item
        })
        .collect();
    out.push(Section::new("The last heat of the day", Form::Points, heat));
    out
}
