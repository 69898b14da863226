//! Saved surveys under two rule books: what became of each method on each surface.

use super::Comparison;
use crate::catalogue::EntryKind;
use crate::diagnostic::{Diagnostic, SourceFile};
use crate::judge::in_force::Ready;
use crate::judge::know::Slots;
use crate::judge::{Judge, Subject, Verdict, methods};
use crate::pack::RuleBook;
use crate::prove::{Does, doing, weight};
use crate::survey::Survey;
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// Two rule books that surveys are looked at with.
#[non_exhaustive]
pub struct Pair<'b> {
    before: &'b RuleBook,
    after: &'b RuleBook,
    worded: BTreeSet<&'b str>,
    dates: Option<[Date; 2]>,
    today: Date,
}

/// One method on one surface whose verdict is not what it was.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct SurveyChange {
    /// The surface.
    pub surface: String,
    /// The method.
    pub method: String,
    /// The verdict before.
    pub before: Verdict,
    /// The verdict after.
    pub after: Verdict,
    /// Rules that speak of it now, or are open, and did and were not.
    pub came: Vec<String>,
    /// Rules that spoke of it, or were open, and do and are no longer.
    pub went: Vec<String>,
}

impl SurveyChange {
    /// Whether it forbids less than it did; `None` where neither verdict forbids more than the other.
    pub fn looser(&self) -> Option<bool> {
        (weight(self.before) != weight(self.after)).then(|| weight(self.after) < weight(self.before))
    }
}

/// What became of one survey.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
#[non_exhaustive]
pub struct SurveyChanges {
    /// Verdicts that are not what they were.
    pub verdicts: Vec<SurveyChange>,
    /// By surface: rules that say something now, of it or of a method whose verdict is what it was, and did not.
    pub came: BTreeSet<(String, String)>,
    /// By surface: rules that said something, of it or of a method whose verdict is what it was, and do no longer.
    pub went: BTreeSet<(String, String)>,
    /// Rules that speak in both and are only worded otherwise.
    pub reworded: BTreeSet<String>,
}

impl SurveyChanges {
    /// Whether nothing at all is otherwise.
    pub fn none(&self) -> bool {
        *self == Self::default()
    }
}

/// What is said of a surface whatever the method, and of each method.
struct Seen {
    methods: BTreeMap<String, (Verdict, BTreeSet<String>)>,
    general: BTreeSet<String>,
}

impl<'b> Pair<'b> {
    /// Two rule books, and how they differ. Surveys that name no date are judged for `today`; `dates` takes the place of both.
    pub fn new(before: &'b RuleBook, after: &'b RuleBook, found: &'b Comparison, dates: Option<[Date; 2]>, today: Date) -> Self {
        let worded = found.rules.iter().filter(|r| !r.worded.is_empty()).map(|r| r.id.as_str()).collect();
        Self { before, after, worded, dates, today }
    }

    /// Looks at one survey under both rule books.
    ///
    /// # Errors
    /// What is wrong with it, and for which of the two books (before, after).
    pub fn survey(&self, file: &std::sync::Arc<SourceFile>) -> Result<SurveyChanges, (&'static str, Vec<Diagnostic>)> {
        let read = |book: &RuleBook, name: &'static str| Survey::read(file, book).map(|(s, _)| s).map_err(|p| (name, p.into_diagnostics()));
        let (old, new) = (read(self.before, "before")?, read(self.after, "after")?);
        let day = |survey: &Survey, at: usize| self.dates.map_or_else(|| survey.date.unwrap_or(self.today), |d| d[at]);
        let judges = [(self.before, &old, 0), (self.after, &new, 1)]
            .map(|(book, survey, at)| Judge::new(book, survey.place.as_deref(), day(survey, at)));
        let mut out = SurveyChanges::default();
        for at in 0..old.surfaces.len().min(new.surfaces.len()) {
            let name = &new.surfaces[at].name;
            let (a, b) = (seen(&judges[0], &old, at), seen(&judges[1], &new, at));
            let mut both: BTreeSet<&String> = a.general.intersection(&b.general).collect();
            let mut tell = |before: &BTreeSet<String>, after: &BTreeSet<String>| {
                out.came.extend(after.difference(before).map(|r| (name.clone(), r.clone())));
                out.went.extend(before.difference(after).map(|r| (name.clone(), r.clone())));
            };
            tell(&a.general, &b.general);
            for (method, (before, spoke)) in &a.methods {
                let Some((after, speak)) = b.methods.get(method) else { continue };
                both.extend(spoke.intersection(speak));
                if before == after {
                    tell(spoke, speak);
                    continue;
                }
                let whole = |own: &BTreeSet<String>, seen: &Seen| own.union(&seen.general).cloned().collect::<BTreeSet<String>>();
                let (spoke, speak) = (whole(spoke, &a), whole(speak, &b));
                out.verdicts.push(SurveyChange {
                    surface: name.clone(),
                    method: method.clone(),
                    before: *before,
                    after: *after,
                    came: speak.difference(&spoke).cloned().collect(),
                    went: spoke.difference(&speak).cloned().collect(),
                });
            }
            let plain = |said: &String| said.split(" (").next().unwrap_or(said).to_owned();
            out.reworded.extend(both.into_iter().map(plain).filter(|r| self.worded.contains(r.as_str())));
        }
        Ok(out)
    }
}

/// What is said of a surface. A rule that is open is another thing than one that applies.
fn seen(judge: &Judge<'_>, survey: &Survey, surface: usize) -> Seen {
    let force = &judge.force;
    let book = force.book;
    let subject = Subject::new(force, survey, surface, &[]);
    let said = |all: &[Ready], settings: &Slots| -> BTreeSet<String> {
        let followed = all.iter().filter(|r| !subject.departed.contains(&r.rule));
        let each = followed.filter_map(|ready| {
            let id = &book.rules[ready.rule].id;
            match doing(&subject, ready, settings) {
                Does::Applies => Some(id.clone()),
                Does::Open | Does::Fails => Some(format!("{id} (open)")),
                Does::Silent => None,
            }
        });
        each.collect()
    };
    let of_method = |method: usize| {
        let settings = force.method(method, None, &[]);
        let id = book.base.catalogue.entries(EntryKind::Method)[method].id.clone();
        (id, (subject.judge(method, &settings).verdict, said(&force.by_method[method], &settings)))
    };
    Seen { methods: methods(force).map(of_method).collect(), general: said(&force.general, &Slots::new()) }
}
