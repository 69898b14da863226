//! Putting together what is told of one thing that has happened.

use super::Event;
use super::shape::{Asked, CauseTold, Happening, Piece, SectionTold};
use super::stand::{Scene, Standing};
use crate::finding::Status;
use crate::judge::in_force::InForce;
use crate::judge::know::Slots;
use crate::judge::walk::{Domain, Var};
use crate::pack::{After, Section, Template};
use crate::role::FactRole;
use crate::survey::Survey;
use crate::vocabulary::{About, FactId, Known};
use std::collections::HashSet;

/// What is said where no pack says whether to stop.
const UNCLEAR: &str = "Stop: it is not known here whether work can go on.";

pub(super) fn happening(force: &InForce<'_>, survey: &Survey, event: &Event<'_>) -> Happening {
    let book = force.book;
    let scene = Scene::new(force, survey, event);
    let role = if event.about == About::Incident { FactRole::Happened } else { FactRole::Seen };
    let kind = book.base.vocabulary.with(role);
    let mut taken: Vec<Var> = Vec::new();
    let mut asked: Vec<FactId> = Vec::new();
    let mut pieces: Vec<(&After, Piece)> = Vec::new();
    for after in &book.afters {
        if after.of.is_some_and(|of| of != event.about) || !after.place.holds(&force.places) || !after.period.holds(force.date) {
            continue;
        }
        if let Some(piece) = piece(&scene, after, kind, &mut taken, &mut asked) {
            pieces.push((after, piece));
        }
    }
    let causes = causes(&scene, event, kind, &mut taken, &mut asked);
    let mut told = Happening {
        about: event.about.word().to_owned(),
        title: title(&scene, kind),
        kind: kind.and_then(|k| id(&scene, k)),
        surface: event.surface.map(|s| survey.surfaces[s].name.clone()),
        on: event.on.map(|d| d.to_string()),
        answer: Vec::new(),
        first: Vec::new(),
        taken: taken.into_iter().map(|v| supposed(&scene, v)).collect(),
        sections: Vec::new(),
        causes,
        see_above: false,
        ask: Vec::new(),
    };
    told.taken.sort();
    told.taken.dedup();
    for (after, piece) in pieces {
        if after.section == Section::Stop && !after.emergency {
            told.answer.push(piece);
        } else if after.emergency {
            told.first.push(piece);
        } else if let Some(section) = told.sections.iter_mut().find(|s| s.part == after.section) {
            section.pieces.push(piece);
        } else {
            told.sections.push(SectionTold { part: after.section, pieces: vec![piece] });
        }
    }
    if told.answer.is_empty() && told.first.is_empty() {
        let says = UNCLEAR.to_owned();
        told.answer.push(Piece {
            after: String::new(),
            says,
            status: Status::Applies,
            depends_on: None,
            source: "common practice".to_owned(),
        });
    }
    // What happened is asked before anything else.
    if told.kind.is_none() {
        asked.splice(0..0, kind);
    }
    for fact in asked {
        let fact = book.base.vocabulary.get(fact);
        let asked = Asked { fact: fact.id.clone(), question: fact.question.clone() };
        if !told.ask.contains(&asked) {
            told.ask.push(asked);
        }
    }
    told
}

fn piece(scene: &Scene<'_, '_>, after: &After, kind: Option<FactId>, taken: &mut Vec<Var>, asked: &mut Vec<FactId>) -> Option<Piece> {
    let book = scene.subject.force.book;
    let mut seen = Vec::new();
    let (status, depends_on) = match scene.stands(&after.tree, &mut seen) {
        Standing::Silent => return None,
        Standing::Applies => (Status::Applies, None),
        Standing::Open(says, facts) => {
            // Where it is not known what happened, nearly everything might be; that is asked first.
            if kind.is_some_and(|k| facts.contains(&k) && wholly_open(scene, k)) {
                return None;
            }
            asked.extend(facts);
            (Status::Open, Some(says))
        }
    };
    taken.extend(seen);
    let mut says = fill(scene, &after.says);
    if after.house {
        says.push_str(" (The firm's own rule.)");
    }
    let says = depends_on.as_ref().map_or_else(|| says.clone(), |on| format!("If {on}: {}", small(&says)));
    Some(Piece { after: after.id.clone(), says, status, depends_on, source: book.cite(&after.source) })
}

fn causes(scene: &Scene<'_, '_>, event: &Event<'_>, kind: Option<FactId>, taken: &mut Vec<Var>, asked: &mut Vec<FactId>) -> Vec<CauseTold> {
    let book = scene.subject.force.book;
    let mut told = Vec::new();
    if event.about != crate::vocabulary::About::Trouble {
        return told;
    }
    for cause in &book.causes {
        let mut seen = Vec::new();
        let depends_on = match scene.stands(&cause.tree, &mut seen) {
            Standing::Silent => continue,
            Standing::Applies => None,
            Standing::Open(_, facts) if kind.is_some_and(|k| facts.contains(&k) && wholly_open(scene, k)) => continue,
            Standing::Open(says, facts) => {
                asked.extend(facts);
                Some(says)
            }
        };
        let points = cause.points.as_ref().map(|(_, tree)| scene.stands(tree, &mut seen));
        // What would point to a cause is worth asking.
        if let Some(Standing::Open(_, facts)) = &points {
            asked.extend(facts.iter().filter(|f| Some(**f) != kind));
        }
        taken.extend(seen);
        told.push(CauseTold {
            cause: cause.id.clone(),
            title: cause.title.clone(),
            likely: cause.likely,
            grounds: cause.grounds.clone(),
            pointed_to: points == Some(Standing::Applies),
            depends_on,
            test: fill(scene, &cause.test),
            next: fill(scene, &cause.next),
            never: cause.never.as_ref().map(|t| fill(scene, t)),
            source: book.cite(&cause.source),
        });
    }
    // What is known points before what is usual; what depends on something open comes last.
    told.sort_by_key(|c| (!c.pointed_to, c.depends_on.is_some(), c.likely));
    told
}

fn fill(scene: &Scene<'_, '_>, template: &Template) -> String {
    let coats: Vec<usize> = (0..scene.subject.known.coats.len()).collect();
    scene.teller().fill(template, &coats, None, &Slots::new())
}

/// A sentence as it goes on behind a colon; what begins with a short form stays.
fn small(text: &str) -> String {
    let mut chars = text.chars();
    match (chars.next(), chars.clone().next()) {
        (Some(first), second) if second.is_none_or(|s| !s.is_uppercase()) => first.to_lowercase().chain(chars).collect(),
        _ => text.to_owned(),
    }
}

/// Whether nothing at all is known of a fact.
fn wholly_open(scene: &Scene<'_, '_>, fact: FactId) -> bool {
    let base = scene.subject.base();
    let known = scene.subject.slot(Var::Fact(fact, 0), &Slots::new()).map(|s| s.known.clone());
    known.is_none_or(|k| k == base.vocabulary.get(fact).anything(&base.catalogue))
}

/// The id of the one value that a fact has.
fn id(scene: &Scene<'_, '_>, fact: FactId) -> Option<String> {
    let base = scene.subject.base();
    match scene.subject.slot(Var::Fact(fact, 0), &Slots::new()).map(|s| &s.known) {
        Some(Known::Bits(b)) if b.is_power_of_two() => {
            Some(base.vocabulary.get(fact).choice_id(b.trailing_zeros() as usize, &base.catalogue).to_owned())
        }
        _ => None,
    }
}

/// What happened, as far as it is known.
fn title(scene: &Scene<'_, '_>, kind: Option<FactId>) -> String {
    let base = scene.subject.base();
    let about = scene.subject.event.as_ref().map_or("", |(a, _)| a.word());
    let slots = Slots::new();
    let known = kind.and_then(|k| Some((k, scene.subject.slot(Var::Fact(k, 0), &slots)?)));
    match known {
        Some((k, slot)) if !wholly_open(scene, k) => match &slot.known {
            Known::Bits(b) => {
                let fact = base.vocabulary.get(k);
                let named: Vec<&str> =
                    (0..fact.width(&base.catalogue)).filter(|i| b >> i & 1 == 1).map(|i| fact.choice_title(i, &base.catalogue)).collect();
                crate::words::list(&named, "or")
            }
            _ => format!("an {about}"),
        },
        _ => "something that is not described yet".to_owned(),
    }
}

/// What is taken to be so, in words.
fn supposed(scene: &Scene<'_, '_>, var: Var) -> String {
    let known = scene.subject.slot(var, &Slots::new()).map(|s| s.known.clone());
    let domain = match known {
        Some(Known::Bits(b)) => Domain::Bits(b),
        Some(Known::Num(r)) => Domain::Num(r),
        _ => Domain::Bits(0),
    };
    scene.teller().plain(var, &domain)
}

/// Says nothing twice: a sentence that stands under an earlier thing is left out of the later ones, but for what comes first.
pub(super) fn say_once(all: &mut [Happening]) {
    let mut said: HashSet<String> = HashSet::new();
    for happening in all {
        let mut own: HashSet<String> = HashSet::new();
        let mut above = false;
        let mut new = |piece: &Piece| {
            let before = said.contains(&piece.says);
            above |= before;
            !before && own.insert(piece.says.clone())
        };
        happening.first.retain(&mut new);
        happening.answer.retain(&mut new);
        for section in &mut happening.sections {
            section.pieces.retain(&mut new);
        }
        happening.sections.retain(|s| !s.pieces.is_empty());
        happening.causes.retain(|c| {
            let before = said.contains(&c.cause);
            above |= before;
            !before && own.insert(c.cause.clone())
        });
        happening.see_above = above;
        said.extend(own);
    }
}
