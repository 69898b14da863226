//! How a surface stands while its survey is being talked through: verdicts, what is said of it, and what to ask next, kept
//! so that the effect of one answer can be shown without working everything out anew.

use super::assemble::general_notices;
use crate::advice::{Ask, Notice};
use crate::diagnostic::Diagnostic;
use crate::error::{Error, ErrorKind};
use crate::finding::HowKnown;
use crate::judge::know::How;
use crate::judge::walk::Var;
use crate::judge::{Judge, Subject, Verdict, methods};
use crate::pack::Ruling;
use crate::survey::{Supposition, Survey};
use crate::telling::Teller;
use crate::telling::ask::{self, Standing};
use crate::telling::flips::fact_of;
use crate::telling::weigh::{Weighed, weigh};
use crate::vocabulary::{About, FactId, Mark};
use std::sync::OnceLock;

/// One surface as it stands.
#[derive(Debug)]
#[non_exhaustive]
pub struct Outlook {
    pub(crate) standings: Vec<Standing>,
    weighed: OnceLock<Vec<Weighed>>,
    spoken: Vec<Spoken>,
    presumed: Vec<Presumed>,
    book: Mark,
}

/// A fact that a presumption gives.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Presumed {
    /// The presumption, by its place in the book.
    pub presumption: usize,
    /// The coats, from the top, the first being 0; none for facts about no coat.
    pub coats: Vec<usize>,
    /// The book whose presumption it is.
    book: Mark,
}

/// A rule that says something of the surface or the site, whatever the method.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Spoken {
    /// The rule, by its place in the book.
    pub rule: usize,
    /// The coats it is about, from the top, the first being 0.
    pub coats: Vec<usize>,
    /// Whether it applies for certain.
    pub certain: bool,
}

impl Outlook {
    /// Judges every method on a surface.
    ///
    /// # Errors
    /// Where the survey was made with another book, or has no such surface.
    pub fn new(judge: &Judge<'_>, survey: &Survey, surface: usize) -> Result<Self, Error> {
        let force = &judge.force;
        judge.fits(survey, surface)?;
        let subject = Subject::new(force, survey, surface, &[]);
        let standings = methods(force)
            .map(|method| {
                let settings = force.method(method, None, &[]);
                let mut seen = Vec::new();
                let judged = subject.judge_seeing(method, &settings, Some(&mut seen));
                Standing { surface, method, judged, seen }
            })
            .collect();
        let none = Vec::new();
        let mut spoken: Vec<Spoken> = Vec::new();
        for ready in &force.general {
            if subject.departed.contains(&ready.rule) {
                continue;
            }
            for found in subject.look(ready, &none, None) {
                let failing = found.finding.applies.is_empty() && found.finding.fails.is_some();
                if found.finding.applies.is_empty() && !failing {
                    continue;
                }
                let certain = found.finding.certain() || failing && !found.finding.silent;
                match spoken.iter_mut().find(|s| s.rule == ready.rule && s.certain == certain) {
                    Some(same) => same.coats.extend(found.coats),
                    None => spoken.push(Spoken { rule: ready.rule, coats: found.coats, certain }),
                }
            }
        }
        let mut presumed: Vec<Presumed> = Vec::new();
        let book = force.book.base.vocabulary.mark();
        let mut take = |how: How, coat: Option<usize>| {
            let How::Presumed(presumption) = how else { return };
            match presumed.iter_mut().find(|p| p.presumption == presumption) {
                Some(same) => same.coats.extend(coat),
                None => presumed.push(Presumed { presumption, coats: coat.into_iter().collect(), book }),
            }
        };
        for slot in subject.site.iter().chain(&subject.known.surface) {
            take(slot.how, None);
        }
        for (c, coat) in subject.known.coats.iter().enumerate() {
            for slot in coat {
                take(slot.how, Some(c));
            }
        }
        Ok(Self { standings, weighed: OnceLock::new(), spoken, presumed, book })
    }

    /// What is presumed until it is found.
    pub fn presumed(&self) -> &[Presumed] {
        &self.presumed
    }

    /// The verdict of every method, in the order of the catalogue.
    pub fn verdicts(&self) -> impl Iterator<Item = Verdict> + '_ {
        self.standings.iter().map(|s| s.judged.verdict)
    }

    /// How many verdicts can't be told yet.
    pub fn undecided(&self) -> usize {
        self.verdicts().filter(|v| *v == Verdict::CantTellYet).count()
    }

    /// What is said of the surface and the site, whatever the method.
    pub fn spoken(&self) -> &[Spoken] {
        &self.spoken
    }

    /// The rule that rules a method out by itself, best grounded first; none where several do so together.
    pub fn ruled_out_by(&self, judge: &Judge<'_>, method: usize) -> Option<usize> {
        if self.book != judge.force.book.base.vocabulary.mark() {
            return None;
        }
        let judged = &self.standings.get(method)?.judged;
        let alone = judged.against.iter().filter(|f| judge.force.ruling(f.rule) == Ruling::RuleOut && f.finding.certain());
        alone.min_by_key(|f| (judge.force.book.rules[f.rule].basis, f.rule)).map(|f| f.rule)
    }

    fn fits(&self, survey: &Survey) -> Result<(), Error> {
        let other = || Error::new(ErrorKind::OtherBook, Diagnostic::error("the outlook is of a survey made with another rule book"));
        if self.book == survey.base.vocabulary.mark() { Ok(()) } else { Err(other()) }
    }

    fn weighed(&self, judge: &Judge<'_>, survey: &Survey, surface: usize) -> &[Weighed] {
        self.weighed.get_or_init(|| {
            let subject = Subject::new(&judge.force, survey, surface, &[]);
            weigh(&subject, &self.standings.iter().collect::<Vec<_>>())
        })
    }
}

/// A question worth asking about a surface, or about the site it is on.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Question {
    /// The fact.
    pub fact: FactId,
    /// The coat, from the top, the first being 0; `None` for facts about no coat.
    pub coat: Option<usize>,
    /// The methods whose verdicts on this surface hang on it.
    pub methods: Vec<usize>,
    /// The question in words, with what an answer settles.
    pub ask: Ask,
}

impl Question {
    fn new(book: &crate::pack::RuleBook, (fact, coat): (FactId, u8), methods: &[usize], ask: Ask) -> Self {
        let coat = (book.base.vocabulary.get(fact).about == About::Coat).then_some(usize::from(coat));
        Self { fact, coat, methods: methods.to_vec(), ask }
    }
}

/// What to ask next about one surface, best first; a question about the site counts for every surface it would help.
///
/// Where every verdict is settled, what remains is what would release a hold or lift a presumption.
///
/// # Errors
/// Where the survey was made with another book, has no such surface, or is not the one that the outlooks are of.
pub fn questions(judge: &Judge<'_>, survey: &Survey, outlooks: &[impl AsRef<Outlook>], surface: usize) -> Result<Vec<Question>, Error> {
    let force = &judge.force;
    judge.fits(survey, surface)?;
    survey.fits(&force.book.base)?;
    // A survey with a surface more or less than was judged is another survey.
    let (Some(own), true) = (outlooks.get(surface).map(AsRef::as_ref), outlooks.len() == survey.surfaces.len()) else {
        return Err(Error::new(ErrorKind::NotThere, Diagnostic::error("there is not one outlook for each surface of the survey")));
    };
    outlooks.iter().try_for_each(|o| o.as_ref().fits(survey))?;
    let subjects: Vec<Subject<'_, '_>> = (0..survey.surfaces.len()).map(|s| Subject::new(force, survey, s, &[])).collect();
    let tellers: Vec<Teller<'_, '_, '_>> =
        subjects.iter().enumerate().map(|(s, subject)| Teller { subject, survey, surface: Some(s), system: survey.system }).collect();
    let mut ranked: Vec<(f64, ask::Question, &Weighed)> = own
        .weighed(judge, survey, surface)
        .iter()
        .filter(|w| w.relief > 0.0)
        .filter_map(|w| Some((w.relief, ask::question(force, surface, w.var)?, w)))
        .collect();
    for (relief, q, _) in &mut ranked {
        if q.1.is_none() {
            for (other, outlook) in outlooks.iter().enumerate().filter(|(o, _)| *o != surface) {
                let there = outlook.as_ref().weighed(judge, survey, other).iter().filter(|w| w.var == q.0);
                *relief += there.map(|w| w.relief).sum::<f64>();
            }
        }
    }
    // Among questions of about the same worth the one comes first that a colleague would ask first.
    let best = ranked.iter().map(|r| r.0).fold(0.0, f64::max);
    let turn = |r: &(f64, ask::Question, &Weighed)| match fact_of(r.1.0) {
        Some((fact, _)) if r.0 * ABOUT_AS_GOOD >= best => force.book.base.vocabulary.get(fact).turn,
        _ => u8::MAX,
    };
    ranked.sort_by(|a, b| turn(a).cmp(&turn(b)).then(b.0.total_cmp(&a.0)).then(a.1.cmp(&b.1)));
    let undecided = own.undecided();
    let told = |ask: Ask, var: Var, methods: &[usize]| Some(Question::new(force.book, fact_of(var)?, methods, ask));
    if ranked.is_empty() {
        let mut rest = ask::releases(force, survey, &own.standings, &tellers, undecided);
        rest.extend(ask::presumed(force, survey, &own.standings, &tellers, undecided));
        return Ok(rest.into_iter().filter_map(|(q, ask)| told(ask, q.0, &[])).collect());
    }
    // Only of the first is it worked out exactly what an answer settles: that is the one asked.
    let exact = |i: usize, q: ask::Question, w: &Weighed| match i {
        0 => ask::about_surface(&own.standings, undecided, &tellers, q, w),
        _ => ask::told_roughly(undecided, &tellers, q, w),
    };
    Ok(ranked.into_iter().enumerate().filter_map(|(i, (_, q, w))| told(exact(i, q, w), q.0, &w.methods)).collect())
}

/// A question worth at least one part in so many of the best is about as good.
const ABOUT_AS_GOOD: f64 = 2.0;

/// Questions about a surface on which only cautions and notes hang, the most telling first.
///
/// # Errors
/// Where the survey or the outlook was made with another book, or there is no such surface.
pub fn caution_questions(judge: &Judge<'_>, survey: &Survey, surface: usize, outlook: &Outlook) -> Result<Vec<Question>, Error> {
    let book = judge.force.book;
    outlook.fits(survey)?;
    let open: Vec<usize> = outlook.spoken.iter().filter(|s| !s.certain).map(|s| s.rule).collect();
    let notices = said(judge, survey, surface, &|r| open.contains(&r))?;
    let name = survey.surfaces[surface].name.as_str();
    Ok(ask::behind_notices(book, notices.iter().map(|n| (n, Some(name))), &[])
        .into_iter()
        .filter_map(|ask| {
            let fact = book.base.vocabulary.find(&ask.fact)?;
            let coat = ask.about.strip_prefix("coat ").and_then(|n| n.parse::<u8>().ok()).map_or(0, |n| n - 1);
            (!book.base.vocabulary.get(fact).chosen).then(|| Question::new(book, (fact, coat), &[], ask))
        })
        .collect())
}

/// What some rules say of a surface, in words.
///
/// # Errors
/// Where the survey was made with another book, or has no such surface.
pub fn said(judge: &Judge<'_>, survey: &Survey, surface: usize, wanted: &dyn Fn(usize) -> bool) -> Result<Vec<Notice>, Error> {
    judge.fits(survey, surface)?;
    let subject = Subject::new(&judge.force, survey, surface, &[]);
    let teller = Teller { subject: &subject, survey, surface: Some(surface), system: survey.system };
    Ok(general_notices(&teller, wanted))
}

/// What a presumption says of a surface: the fact, what it is presumed to be, and why.
///
/// # Errors
/// Where the survey was made with another book, or there is no such surface or presumption.
pub fn presumption_said(
    judge: &Judge<'_>,
    survey: &Survey,
    surface: usize,
    presumed: &Presumed,
) -> Result<(String, String, String), Error> {
    judge.fits(survey, surface)?;
    let subject = Subject::new(&judge.force, survey, surface, &[]);
    let teller = Teller { subject: &subject, survey, surface: Some(surface), system: survey.system };
    let none = || Error::new(ErrorKind::OtherBook, Diagnostic::error("the presumption is one of another rule book"));
    let found = judge.force.book.presumptions.get(presumed.presumption);
    let presumption = found.filter(|_| presumed.book == judge.force.book.base.vocabulary.mark()).ok_or_else(none)?;
    let base = subject.base();
    let fact = base.vocabulary.get(presumption.fact);
    let value = fact.show(&presumption.value, &base.catalogue, survey.system);
    Ok((fact.title.clone(), value, teller.fill(&presumption.because, &presumed.coats, None, &Vec::new())))
}

/// What is known of a fact, and how: stated, presumed or open; in the words of files. Of a coat that is not there
/// nothing is known.
///
/// # Errors
/// Where the survey or the fact is another book's, or there is no such surface.
pub fn known(judge: &Judge<'_>, survey: &Survey, surface: usize, fact: FactId, coat: usize) -> Result<(String, HowKnown), Error> {
    judge.fits(survey, surface)?;
    let anything = judge.force.book.base.vocabulary.get(fact).anything(&judge.force.book.base.catalogue);
    Supposition { fact, coat: None, known: anything }.fits(&judge.force.book.base)?;
    let subject = Subject::new(&judge.force, survey, surface, &[]);
    let teller = Teller { subject: &subject, survey, surface: Some(surface), system: survey.system };
    let var = Var::Fact(fact, u8::try_from(coat).unwrap_or(u8::MAX));
    let none = Vec::new();
    Ok((teller.known(var, &none), teller.how(var, &none)))
}
