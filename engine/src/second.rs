//! Holding the two judges against each other, for tests and fuzzing.

use crate::error::Error;
use crate::judge::Subject;
use crate::judge::in_force::InForce;
use crate::judge::know::Slots;
use crate::judge::walk::walk;
use crate::pack::RuleBook;
use crate::script::direct::{Direct, Said};
use crate::survey::Survey;
use crate::telling::Circumstances;
use crate::vocabulary::{About, Known};

/// How the two judges compared.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
#[non_exhaustive]
pub struct Comparison {
    /// Scripts that both could judge.
    pub compared: usize,
    /// Where they differ: rule, method, and what each said.
    pub differences: Vec<String>,
}

/// Runs every rule in force on every method (or only one), surface and coat with both judges, wherever all it reads is
/// known.
///
/// # Errors
/// Where the survey was made with another book.
pub fn compare(survey: &Survey, book: &RuleBook, circumstances: &Circumstances, only: Option<usize>) -> Result<Comparison, Error> {
    survey.fits(&book.base)?;
    let place = circumstances.place.as_deref().or(survey.place.as_deref());
    let force = InForce::new(book, place, circumstances.date);
    let limits: Vec<Option<f64>> =
        book.base.limits.values().map(|l| l.in_force(&force.places, force.date).map(|v| v.quantity.base)).collect();
    let direct = Direct::new(&book.base, &limits);
    let mut out = Comparison::default();
    for surface in 0..survey.surfaces.len() {
        let subject = Subject::new(&force, survey, surface, &[]);
        for method in crate::judge::methods(&force).filter(|m| only.is_none_or(|o| o == *m)) {
            let proposal = survey.surfaces[surface].proposals.iter().find(|p| p.method.at() == method);
            let settings = force.method(method, proposal, &[]);
            for ready in force.by_method[method].iter().chain(&force.general) {
                let rule = &book.rules[ready.rule];
                let coats = if rule.scope.coat { subject.known.coats.len() } else { 1 };
                for coat in 0..coats {
                    let finding = walk(&ready.tree, &subject.view(coat, &settings, None), None);
                    let ours = match (finding.applies.is_empty(), finding.silent, &finding.fails) {
                        (false, false, None) => Said::Plain(true),
                        (true, true, None) => Said::Plain(false),
                        (true, false, Some(_)) => Said::Failed,
                        _ => continue,
                    };
                    // A released hold is silent whatever its script says: release is no part of the script.
                    if rule.released_by.is_some() {
                        continue;
                    }
                    let scene = scene(&subject, coat, &settings);
                    let theirs = direct.run(ready.rule, &rule.script.text, &rule.script.functions, method, &scene);
                    // What the unfolded tree settles without a fact, the direct judge may still stumble over.
                    if theirs == Said::Failed && ours != Said::Failed && !all_known(&subject, coat, &settings, ready.rule, book) {
                        continue;
                    }
                    out.compared += 1;
                    if ours != theirs {
                        let method = &book.base.catalogue.entries(crate::catalogue::EntryKind::Method)[method].id;
                        out.differences.push(format!("{} on {method}, coat {}: walked {ours:?}, run {theirs:?}", rule.id, coat + 1));
                    }
                }
            }
        }
    }
    Ok(out)
}

fn scene(subject: &Subject<'_, '_>, coat: usize, settings: &Slots) -> Vec<(About, Vec<Option<Known>>)> {
    let base = subject.base();
    let none = Slots::new();
    About::ALL
        .into_iter()
        .map(|about| {
            let slots: &Slots = match about {
                About::Site => &subject.site,
                About::Surface => &subject.known.surface,
                About::Coat => subject.known.coats.get(coat).unwrap_or(&none),
                About::Method => settings,
                About::Incident | About::Trouble => &none,
            };
            let facts = base.vocabulary.iter().filter(|(_, f)| f.about == about);
            let values = facts.zip(slots).map(|((_, f), s)| s.known.settled(f, &base.catalogue).then(|| s.known.clone())).collect();
            (about, values)
        })
        .collect()
}

/// Whether everything a rule reads on any path is known.
fn all_known(subject: &Subject<'_, '_>, coat: usize, settings: &Slots, rule: usize, book: &RuleBook) -> bool {
    book.rules[rule].tree.reads().into_iter().all(|who| match who {
        crate::tree::Who::Method => true,
        crate::tree::Who::Fact(f) => {
            let fact = book.base.vocabulary.get(f);
            subject.view(coat, settings, None).known(f).settled(fact, &book.base.catalogue)
        }
    })
}

/// The rules in force, run by Rhai itself: what benches compare walking with.
#[non_exhaustive]
pub struct Interpreted<'b> {
    book: &'b RuleBook,
    force: InForce<'b>,
    direct: Direct<'b>,
}

impl<'b> Interpreted<'b> {
    /// Makes the scripts in force at a place and date ready to be run.
    pub fn new(book: &'b RuleBook, circumstances: &Circumstances, place: Option<&str>) -> Self {
        let force = InForce::new(book, place, circumstances.date);
        let limits: Vec<Option<f64>> =
            book.base.limits.values().map(|l| l.in_force(&force.places, force.date).map(|v| v.quantity.base)).collect();
        Self { book, direct: Direct::new(&book.base, &limits), force }
    }

    /// Runs every rule-out and hold that is walked for a verdict, for every method and coat; gives how many said yes.
    ///
    /// # Errors
    /// Where the survey was made with another book, or has no such surface.
    pub fn run_all(&self, survey: &Survey, surface: usize) -> Result<usize, Error> {
        survey.surface_fits(surface, &self.book.base)?;
        let subject = Subject::new(&self.force, survey, surface, &[]);
        let mut yes = 0;
        for method in crate::judge::methods(&self.force) {
            let settings = self.force.method(method, None, &[]);
            for ready in self.force.by_method[method].iter().chain(&self.force.general) {
                let rule = &self.book.rules[ready.rule];
                if !matches!(rule.ruling, crate::pack::Ruling::RuleOut | crate::pack::Ruling::Hold) {
                    continue;
                }
                let coats = if rule.scope.coat { subject.known.coats.len() } else { 1 };
                for coat in 0..coats {
                    let scene = scene(&subject, coat, &settings);
                    let said = self.direct.run(ready.rule, &rule.script.text, &rule.script.functions, method, &scene);
                    yes += usize::from(said == Said::Plain(true));
                }
            }
        }
        Ok(yes)
    }
}
