//! Saved surveys under two rule books: what became of each method on each surface.

use super::Comparison;
use crate::catalogue::EntryKind;
use crate::diagnostic::{Diagnostic, SourceFile};
use crate::explain::Outlook;
use crate::judge::{Judge, Verdict};
use crate::pack::RuleBook;
use crate::prove::weight;
use crate::survey::Survey;
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// Two rule books that surveys are looked at with.
pub struct Pair<'b> {
    before: &'b RuleBook,
    after: &'b RuleBook,
    worded: BTreeSet<&'b str>,
    dates: Option<[Date; 2]>,
    today: Date,
}

/// One method on one surface whose verdict is not what it was.
#[derive(Debug, Clone, PartialEq, Eq)]
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
pub struct SurveyChanges {
    /// Verdicts that are not what they were.
    pub verdicts: Vec<SurveyChange>,
    /// By surface: what is said of it now, whatever the method, and was not.
    pub came: Vec<(String, String)>,
    /// By surface: what was said of it, whatever the method, and is no longer.
    pub went: Vec<(String, String)>,
    /// Rules that speak in both and are only worded otherwise.
    pub reworded: BTreeSet<String>,
}

impl SurveyChanges {
    /// Whether nothing at all is otherwise.
    pub fn none(&self) -> bool {
        *self == Self::default()
    }
}

/// What is said of a surface: by method and by rule, whether it is certain.
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
        let read = |book: &RuleBook, name: &'static str| Survey::read(file, book).map(|(s, _)| s).map_err(|p| (name, p));
        let (old, new) = (read(self.before, "before")?, read(self.after, "after")?);
        let day = |survey: &Survey, at: usize| self.dates.map_or_else(|| survey.date.unwrap_or(self.today), |d| d[at]);
        let judges = [(self.before, &old, 0), (self.after, &new, 1)]
            .map(|(book, survey, at)| Judge::new(book, survey.place.as_deref(), day(survey, at)));
        let mut out = SurveyChanges::default();
        for at in 0..old.surfaces.len().min(new.surfaces.len()) {
            let name = &new.surfaces[at].name;
            let (a, b) = (seen(&judges[0], &old, at), seen(&judges[1], &new, at));
            out.came.extend(b.general.difference(&a.general).map(|r| (name.clone(), r.clone())));
            out.went.extend(a.general.difference(&b.general).map(|r| (name.clone(), r.clone())));
            let mut both: BTreeSet<&String> = a.general.intersection(&b.general).collect();
            for (method, (before, spoke)) in &a.methods {
                let Some((after, speak)) = b.methods.get(method) else { continue };
                both.extend(spoke.intersection(speak));
                if before != after {
                    out.verdicts.push(SurveyChange {
                        surface: name.clone(),
                        method: method.clone(),
                        before: *before,
                        after: *after,
                        came: speak.difference(spoke).cloned().collect(),
                        went: spoke.difference(speak).cloned().collect(),
                    });
                }
            }
            let plain = |said: &String| said.split(" (").next().unwrap_or(said).to_owned();
            out.reworded.extend(both.into_iter().map(plain).filter(|r| self.worded.contains(r.as_str())));
        }
        Ok(out)
    }
}

/// What is said of a surface. A rule that is open is another thing than one that applies.
fn seen(judge: &Judge<'_>, survey: &Survey, surface: usize) -> Seen {
    let outlook = Outlook::new(judge, survey, surface);
    let book = judge.force.book;
    let said = |rule: usize, certain: bool| {
        let id = &book.rules[rule].id;
        if certain { id.clone() } else { format!("{id} (open)") }
    };
    let methods = outlook.standings.iter().map(|s| {
        let id = book.base.catalogue.entries(EntryKind::Method)[s.method].id.clone();
        let against = s.judged.against.iter().map(|f| said(f.rule, f.finding.certain())).collect();
        (id, (s.judged.verdict, against))
    });
    Seen { methods: methods.collect(), general: outlook.spoken().iter().map(|s| said(s.rule, s.certain)).collect() }
}
