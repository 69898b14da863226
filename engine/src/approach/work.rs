//! One approach on one surface, made ready to be told: what is known at each of its methods.

use crate::advice::{Approach, ApproachStep};
use crate::catalogue::EntryKind;
use crate::finding::Extent;
use crate::judge::in_force::InForce;
use crate::judge::know::Slots;
use crate::judge::walk::{Var, walk};
use crate::judge::{Judged, Subject};
use crate::survey::{Supposition, Survey};
use crate::telling::Teller;
use crate::tree::Tree;
use crate::ways::{self, MayStay};
use crate::words;

/// A method of an approach, with what is known where it is used.
pub(crate) struct Part<'b, 'i, 's> {
    pub(crate) method: usize,
    pub(crate) id: &'b str,
    pub(crate) title: &'b str,
    pub(crate) extent: Extent,
    /// The survey as it is when this method comes: for coats that stay, without those that are off.
    pub(crate) survey: std::borrow::Cow<'s, Survey>,
    pub(crate) subject: Subject<'b, 'i>,
    /// The coats it is about, counted in its own survey from 0.
    pub(crate) coats: Vec<usize>,
    pub(crate) settings: Slots,
    pub(crate) judged: Judged,
}

/// An approach on a surface.
pub(crate) struct Work<'b, 'i, 's> {
    pub(crate) force: &'i InForce<'b>,
    pub(crate) survey: &'s Survey,
    pub(crate) surface: usize,
    pub(crate) subject: Subject<'b, 'i>,
    pub(crate) stay: Option<MayStay<'b>>,
    pub(crate) parts: Vec<Part<'b, 'i, 's>>,
}

/// How a script of a pack stands at a part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Stands {
    /// It does not apply.
    Silent,
    /// It depends on what is not known: on what.
    Open(Vec<String>),
    /// It applies.
    Applies,
}

impl<'b, 'i, 's> Work<'b, 'i, 's> {
    /// An approach of advice, worked out as if what it takes for granted were so.
    pub(crate) fn of(force: &'i InForce<'b>, survey: &'s Survey, surface: usize, approach: &Approach) -> Self {
        Self::new(force, survey, surface, &approach.steps, &crate::lead::granted(approach))
    }

    /// Any sequence of methods, under suppositions.
    pub(crate) fn new(force: &'i InForce<'b>, survey: &'s Survey, surface: usize, steps: &[ApproachStep], granted: &[Supposition]) -> Self {
        let subject = Subject::new(force, survey, surface, granted);
        let stay = ways::may_stay(&subject);
        let book = force.book;
        let mut parts = Vec::new();
        for (at, step) in steps.iter().enumerate() {
            let Some((method, id, entry)) = book.base.catalogue.entries(EntryKind::Method).get_full(&step.method) else { continue };
            let (mut own, mut supposed) = (std::borrow::Cow::Borrowed(survey), granted.to_vec());
            let mut coats: Vec<usize> = step.coats.iter().map(|c| c - 1).collect();
            if step.extent == Extent::Stays && at > 0 {
                // Whatever is above is off, and what is left is taken to be as the pack says.
                let first = coats.first().copied().unwrap_or(0);
                if let Some(all) = own.to_mut().surfaces[surface].coats.as_mut() {
                    all.drain(..first.min(all.len()));
                }
                coats = (0..coats.len()).collect();
                let left = stay.iter().flat_map(|s| &s.rows).flat_map(|r| &r.left);
                supposed.retain(|s| s.coat.is_none_or(|c| c >= first));
                supposed.iter_mut().filter_map(|s| s.coat.as_mut()).for_each(|c| *c -= first);
                supposed.extend(left.map(|(fact, known)| Supposition { fact: *fact, coat: None, known: known.clone() }));
            }
            let own_subject = Subject::new(force, &own, surface, &supposed);
            if coats.is_empty() {
                coats = (0..own_subject.known.coats.len()).collect();
            }
            let settings = force.method(method, None, &[]);
            let judged = own_subject.judge(method, &settings);
            parts.push(Part {
                method,
                id,
                title: &entry.title,
                extent: step.extent,
                survey: own,
                subject: own_subject,
                coats,
                settings,
                judged,
            });
        }
        Self { force, survey, surface, subject, stay, parts }
    }

    pub(crate) fn teller<'t>(&'t self, part: &'t Part<'b, 'i, 's>) -> Teller<'t, 'b, 'i> {
        Teller { subject: &part.subject, survey: &part.survey, surface: Some(self.surface), system: self.survey.system }
    }

    /// How a script stands at a part.
    pub(crate) fn stands(&self, part: &Part<'b, 'i, 's>, tree: &Tree) -> Stands {
        let compiled = self.force.compile(tree, part.method);
        let teller = self.teller(part);
        let mut depends: Vec<String> = Vec::new();
        let mut open = false;
        // Most scripts read no coat; then one look is enough.
        let reads_coat = tree.asked.iter().copied().chain(tree.reads()).any(
            |w| matches!(w, crate::tree::Who::Fact(f) if part.subject.base().vocabulary.get(f).about == crate::vocabulary::About::Coat),
        );
        let coats = if reads_coat { &part.coats[..] } else { &[0][..] };
        for coat in coats {
            let found = walk(&compiled, &part.subject.view(*coat, &part.settings, None), None);
            if found.certain() {
                return Stands::Applies;
            }
            open |= found.fails.is_some();
            for way in &found.applies {
                let unknown: Vec<Var> = way.iter().map(|(v, _)| *v).filter(|v| !teller.chosen(*v)).collect();
                if unknown.is_empty() {
                    // What is chosen is chosen so that the work is safe; the step belongs to it.
                    return Stands::Applies;
                }
                open = true;
                for var in unknown {
                    // A comparison of several figures has a number of its own in every compilation.
                    let title = if matches!(var, Var::Test(..)) { "figures that are not known".to_owned() } else { teller.title(var) };
                    if !depends.contains(&title) {
                        depends.push(title);
                    }
                }
            }
        }
        if open { Stands::Open(depends) } else { Stands::Silent }
    }

    /// How a script stands at any of the parts: the first at which it applies, else the first at which it may.
    pub(crate) fn stands_anywhere(&self, tree: &Tree) -> (Stands, Option<&Part<'b, 'i, 's>>) {
        let mut best = (Stands::Silent, None);
        for part in &self.parts {
            match self.stands(part, tree) {
                Stands::Applies => return (Stands::Applies, Some(part)),
                open @ Stands::Open(_) if best.1.is_none() => best = (open, Some(part)),
                _ => {}
            }
        }
        best
    }

    /// The steps in brief: the titles of those that the pack marks for it, in order.
    pub(crate) fn brief(&self) -> Vec<String> {
        let working = &self.force.book.working;
        let mut out: Vec<String> = Vec::new();
        super::steps::in_order(working, self.parts.len(), |stage, at| {
            for step in working.steps.iter().filter(|s| s.stage == stage && s.brief) {
                let stands = match at {
                    Some(part) => self.stands(&self.parts[part], &step.tree),
                    None => self.stands_anywhere(&step.tree).0,
                };
                if stands != Stands::Silent && !out.contains(&step.title) {
                    out.push(step.title.clone());
                }
            }
        });
        out
    }

    /// The surface's name.
    pub(crate) fn name(&self) -> &'s str {
        &self.survey.surfaces[self.surface].name
    }

    /// Why a way that takes only a part may do so.
    pub(crate) fn may_stay(&self) -> Vec<super::shape::Said> {
        let book = self.force.book;
        let rows = self.stay.iter().flat_map(|s| &s.rows);
        rows.map(|r| super::shape::Said { says: r.says.clone(), source: book.cite(&r.source) }).collect()
    }

    /// The conditions of a part in words, with the facts they are about.
    pub(crate) fn conditions(&self, part: &Part<'b, 'i, 's>) -> Vec<(Option<crate::vocabulary::FactId>, super::shape::ConditionTold)> {
        let teller = self.teller(part);
        let several = part.judged.cases.len() > 1;
        let mut out = Vec::new();
        for case in &part.judged.cases {
            let found: Vec<String> =
                case.found.iter().map(|(v, d)| teller.flip(*v, d, &part.settings)).map(|f| format!("{} is {}", f.title, f.to)).collect();
            for (var, domain, because) in &case.chosen {
                let condition = teller.condition(*var, domain, because, &part.settings);
                let says = if several && !found.is_empty() {
                    format!("if {}: {}", words::list(&found, "and"), condition.says)
                } else {
                    condition.says
                };
                let fact = match var {
                    Var::Fact(f, _) | Var::Choice(f, ..) => Some(*f),
                    Var::Test(..) => None,
                };
                let mut sources: Vec<String> = Vec::new();
                for rule in condition.because.iter().filter_map(|id| self.force.book.rule(id)) {
                    let source = self.force.book.cite(rule.source_at(&self.force.places));
                    if !sources.contains(&source) {
                        sources.push(source);
                    }
                }
                out.push((fact, super::shape::ConditionTold { says, because: condition.because, sources }));
            }
        }
        out
    }
}
