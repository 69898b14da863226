//! Provisos and leads in words.

use super::usual::{Taken, supposed};
use super::worlds::Worlds;
use crate::advice::{Approach, Lead, Look, Proviso};
use crate::catalogue::EntryKind;
use crate::finding::{First, Likelihood};
use crate::judge::know::Slots;
use crate::judge::walk::{Domain, Var};
use crate::judge::{Judged, Subject, Verdict};
use crate::pack::Ruling;
use crate::telling::{Teller, suppose};
use crate::vocabulary::{About, Fact, FactId, FactKind, Known, flag};
use crate::words;

/// Tells provisos of one surface.
pub(crate) struct Provisos<'t, 'a, 'b, 'i> {
    pub(crate) worlds: &'t Worlds<'a, 'b, 'i>,
    /// The surface as it is known.
    pub(crate) teller: &'t Teller<'a, 'b, 'i>,
}

impl<'b, 'i> Provisos<'_, '_, 'b, 'i> {
    fn fact(&self, var: Var) -> Option<(FactId, &'b Fact)> {
        let (Var::Fact(id, _) | Var::Choice(id, ..)) = var else { return None };
        Some((id, self.worlds.force.book.base.vocabulary.get(id)))
    }

    /// Things taken for granted, in words; `methods` are those that rest on them.
    pub(crate) fn told(&self, taken: &[Taken], methods: &[usize]) -> Vec<Proviso> {
        let taken = &together(taken);
        let mut all: Vec<Proviso> = taken.iter().filter_map(|t| self.one(t, taken, methods)).collect();
        all.sort_by_key(|p| p.usual == Likelihood::Open);
        all
    }

    fn one(&self, taken: &Taken, all: &[Taken], methods: &[usize]) -> Option<Proviso> {
        let (first, domain) = taken.changes.first()?;
        let (id, fact) = self.fact(*first)?;
        let book = self.worlds.force.book;
        let (_, about) = self.teller.name(*first);
        let coats: Vec<u8> = taken.changes.iter().filter_map(|(v, _)| if let Var::Fact(_, c) = v { Some(*c) } else { None }).collect();
        let numbers: Vec<String> = coats.iter().map(|c| (c + 1).to_string()).collect();
        let several = fact.about == About::Coat && coats.len() > 1;
        let about = if several { format!("coats {}", words::list(&numbers, "and")) } else { about };
        let whole = match &fact.kind {
            FactKind::Several(_) => Some(several_of(&taken.changes)),
            _ => None,
        };
        let is =
            whole.as_ref().map_or_else(|| self.teller.value(*first, domain), |k| fact.show(k, &book.base.catalogue, self.teller.system));
        let title = self.teller.title(*first);
        let set = suppose(self.worlds.force, self.worlds.survey, self.worlds.surface, &taken.changes);
        Some(Proviso {
            fact: book.base.vocabulary.get(id).id.clone(),
            about,
            says: self.says(taken, fact, &is),
            is,
            usual: if taken.likely { Likelihood::Likely } else { Likelihood::Open },
            how_to_find_out: fact.help.clone(),
            otherwise: self.otherwise(taken, all, methods),
            title: if several { format!("{} of {}", fact.title, words::list(&numbers, "and")) } else { title },
            set,
        })
    }

    /// How it reads after "provided".
    fn says(&self, taken: &Taken, fact: &Fact, is: &str) -> String {
        let book = self.worlds.force.book;
        let coat = taken.changes.iter().find_map(|(v, _)| if let Var::Fact(_, c) = v { Some(usize::from(*c)) } else { None });
        if let Some(row) = taken.row {
            let so = supposed(self.worlds.force, self.worlds.survey, self.worlds.surface, &[taken]);
            let teller =
                Teller { subject: &so, survey: self.worlds.survey, surface: Some(self.worlds.surface), system: self.teller.system };
            let text = teller.fill(&book.usual[row].says, &coat.into_iter().collect::<Vec<_>>(), None, &Slots::new());
            return small(text.trim_end_matches('.'));
        }
        let coat = coat.filter(|_| self.teller.subject.known.coats.len() > 1).map(|c| format!("coat {}", c + 1));
        let titles = self.titles(taken).filter(|_| !matches!(fact.kind, FactKind::YesNo));
        fact.so(&titles.unwrap_or_else(|| is.to_owned()), None, coat.as_deref())
    }

    /// Values as they stand in a sentence, where they are few.
    fn titles(&self, taken: &Taken) -> Option<String> {
        let (Var::Fact(id, _), Domain::Bits(bits)) = taken.changes.first()? else { return None };
        let fact = self.worlds.force.book.base.vocabulary.get(*id);
        let catalogue = &self.worlds.force.book.base.catalogue;
        let named: Vec<&str> = (0..fact.width(catalogue)).filter(|i| bits >> i & 1 == 1).map(|i| fact.choice_title(i, catalogue)).collect();
        (named.len() <= 3).then(|| words::list(&named, "or"))
    }

    /// What follows if one thing is otherwise while all others are so.
    fn otherwise(&self, taken: &Taken, all: &[Taken], methods: &[usize]) -> String {
        let book = self.worlds.force.book;
        if let Some(given) = taken.row.and_then(|r| book.usual[r].otherwise.clone()) {
            return given;
        }
        let mut others: Vec<Taken> = all.iter().filter(|t| *t != taken).cloned().collect();
        let not: Vec<(Var, Domain)> = taken.changes.iter().filter_map(|(v, d)| Some((*v, self.complement(*v, d)?))).take(1).collect();
        others.push(Taken { changes: not, likely: false, row: None });
        let subject = supposed(self.worlds.force, self.worlds.survey, self.worlds.surface, &others.iter().collect::<Vec<_>>());
        for method in methods {
            let settings = self.worlds.force.method(*method, None, &[]);
            let judged = subject.judge(*method, &settings);
            if !judged.verdict.suits() {
                return self.against(&subject, &judged, taken, &settings);
            }
        }
        "Look at the coats again before going on: another way may be needed.".to_owned()
    }

    /// The strongest thing that then stands against a method.
    fn against(&self, subject: &Subject<'b, 'i>, judged: &Judged, taken: &Taken, settings: &Slots) -> String {
        let force = self.worlds.force;
        let touches = |found: &&crate::judge::Found| {
            found.finding.certain() || found.finding.applies.iter().any(|way| way.iter().any(|(v, _)| taken.about(*v)))
        };
        // What holds anyway is no consequence of this.
        let now = self.teller.subject.judge(judged.method, settings);
        let anyway = |rule: usize| now.against.iter().any(|f| f.rule == rule && f.finding.certain());
        let touches = |found: &&crate::judge::Found| touches(found) && !anyway(found.rule);
        let strongest = judged.against.iter().filter(touches).min_by_key(|f| {
            let held = force.ruling(f.rule) == Ruling::Hold;
            (!f.finding.certain(), held != (judged.verdict == Verdict::OnHold), force.book.rules[f.rule].basis, f.rule)
        });
        let entry = &force.book.base.catalogue.entries(EntryKind::Method)[judged.method];
        let Some(found) = strongest else { return format!("Then it is open whether {} suits: ask again.", entry.title) };
        let teller = Teller { subject, survey: self.worlds.survey, surface: Some(self.worlds.surface), system: self.teller.system };
        let says = teller.fill(&force.book.rules[found.rule].because, &found.coats, Some(judged.method), settings);
        // What would only be possible then is not told as if it were so.
        if found.finding.certain() { says } else { format!("Perhaps then: {}", small(&says)) }
    }

    /// What a variable could be instead, of what is possible now.
    fn complement(&self, var: Var, domain: &Domain) -> Option<Domain> {
        let none = Slots::new();
        let slot = self.teller.subject.slot(var, &none)?;
        let rest = match (var, &slot.known, domain) {
            (Var::Choice(..), _, Domain::Bits(b)) => Domain::Bits(flag::EITHER & !b),
            (_, Known::Bits(all), Domain::Bits(b)) => Domain::Bits(all & !b),
            (_, Known::Num(all), Domain::Num(r)) => Domain::Num(all.and(&r.not())),
            _ => return None,
        };
        (!rest.is_empty()).then_some(rest)
    }

    /// A fact to look at.
    pub(crate) fn look(&self, var: Var) -> Option<Look> {
        let (_, fact) = self.fact(var)?;
        let (_, about) = self.teller.name(var);
        Some(Look { fact: fact.id.clone(), about, title: fact.title.clone(), how_to_find_out: fact.help.clone() })
    }
}

/// What is taken of one several-of fact is one proviso, whichever of its choices it is about.
fn together(taken: &[Taken]) -> Vec<Taken> {
    let mut all: Vec<Taken> = Vec::new();
    for one in taken {
        let of = |t: &Taken| match t.changes.first() {
            Some((Var::Choice(fact, _, coat), _)) => Some((*fact, *coat)),
            _ => None,
        };
        match all.iter_mut().find(|t| of(t).is_some() && of(t) == of(one)) {
            Some(same) => {
                same.changes.extend(one.changes.iter().cloned());
                same.likely &= one.likely;
            }
            None => all.push(one.clone()),
        }
    }
    all
}

fn several_of(changes: &[(Var, Domain)]) -> Known {
    let (mut yes, mut no) = (0, 0);
    for (var, domain) in changes {
        if let (Var::Choice(_, option, _), Domain::Bits(b)) = (var, domain) {
            if *b == flag::YES { yes |= 1 << option } else { no |= 1 << option }
        }
    }
    Known::Several { yes, no }
}

/// What comes first, in a sentence, from the way that leads.
pub(crate) fn sentence(lead: &Lead, way: Option<&Approach>) -> String {
    let Some(way) = way else { return "Nothing may be done here as things stand: call those whose work it is.".to_owned() };
    let provisos: Vec<&str> = way.provided.iter().map(|p| p.says.as_str()).collect();
    let provided = if provisos.is_empty() { String::new() } else { format!(", provided {}", words::list(&provisos, "and")) };
    let trying: Vec<&str> = way.tried.iter().map(|p| p.says.as_str()).collect();
    let provided =
        if trying.is_empty() { provided } else { format!("{provided}; try first whether {}", words::list(&trying, "and whether")) };
    match lead.first {
        First::Release => {
            let wanted: Vec<&str> = lead.release.iter().map(|l| l.title.as_str()).collect();
            let wanted = if wanted.is_empty() { "the release".to_owned() } else { words::list(&wanted, "and") };
            format!("Wait for this first: {wanted}. Then {}{provided}.", way.says)
        }
        First::Look if !lead.patches.is_empty() => {
            format!("Look at the coats and try patches first. Then most likely {}{provided}.", way.says)
        }
        _ => format!("{}{provided}.", capital(&way.says)),
    }
}

/// A small letter at the beginning; a name of letters alone keeps them: XRF.
fn small(text: &str) -> String {
    if text.chars().nth(1).is_some_and(char::is_uppercase) {
        return text.to_owned();
    }
    let mut letters = text.chars();
    letters.next().map(|c| c.to_lowercase().chain(letters).collect()).unwrap_or_default()
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|c| c.to_uppercase().chain(letters).collect()).unwrap_or_default()
}
