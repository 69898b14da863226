//! Whether a way stands under a part of what is taken for granted and, where it does not, what could mend it.

use super::worlds::{Part, World, Worlds, judge};
use crate::advice::Approach;
use crate::catalogue::EntryKind;
use crate::finding::{Clears, Extent};
use crate::judge::know::Slots;
use crate::judge::walk::{Var, walk};
use crate::ways::{self, clearing};

/// What could mend a way that does not stand in a world; nothing where it stands.
pub(crate) fn lacks<'b, 'i>(worlds: &Worlds<'_, 'b, 'i>, world: &World<'b, 'i>, way: &Approach) -> Option<Part> {
    let subject = &world.subject;
    let book = subject.force.book;
    let stay = ways::may_stay(subject);
    let (stays, takes) = (way.steps.iter().any(|s| s.extent == Extent::Stays), way.steps.iter().any(|s| s.extent != Extent::Stays));
    // Where something may be loose it comes off before the rest is kept.
    let loose = stay.as_ref().is_some_and(|s| s.loose);
    let wrong = match way.clears {
        Clears::Loose => !loose,
        Clears::Part => stay.is_none(),
        Clears::None => loose && subject.known.listed,
        Clears::All => false,
    };
    if wrong {
        return Some(staying(worlds, world));
    }
    let mut off = 0;
    for step in &way.steps {
        let Some(method) = book.base.catalogue.entries(EntryKind::Method).get_index_of(&step.method) else { continue };
        if step.extent == Extent::Stays {
            let judged = match &stay {
                Some(stay) if takes => judge(&stay.remaining(subject, off), method),
                _ => judge(subject, method),
            };
            if !worlds.serves(&judged.0, way.on_hold) {
                return Some(worlds.reasons(world, &judged, way.on_hold, if takes { off } else { 0 }) | staying(worlds, world));
            }
            continue;
        }
        let judged = world.judge(method);
        if !worlds.serves(&judged.0, way.on_hold) {
            return Some(worlds.reasons(world, &judged, way.on_hold, 0));
        }
        let clearing = clearing(subject)?;
        let loosens = |reason: &str| step.extent == Extent::Loose && stay.as_ref().is_some_and(|s| s.takes_loose(reason));
        let takes = |row: usize| clearing.cleared(row, method) || loosens(&clearing.grid.reasons[clearing.grid.cells[row][method].reason]);
        for coat in step.coats.iter().map(|c| c - 1) {
            if !subject.known.listed || !clearing.of(subject, coat, takes).0 {
                return Some(worlds.about(&[Var::Fact(clearing.fact, coat as u8)]) | worlds.about(world.behind()));
            }
        }
        off += if step.extent == Extent::Whole { step.coats.len() } else { 0 };
    }
    // What stays has to bear a new coat.
    if stays && way.clears == Clears::Part {
        let keeper = way.steps.last().and_then(|s| book.base.catalogue.entries(EntryKind::Method).get_index_of(&s.method))?;
        let clearing = clearing(subject)?;
        if !clearing.of(subject, off, |r| clearing.cleared(r, keeper)).0 {
            return Some(worlds.about(&[Var::Fact(clearing.fact, off as u8)]) | worlds.about(world.behind()));
        }
    }
    None
}

/// Everything that what may stay hangs on.
fn staying<'b, 'i>(worlds: &Worlds<'_, 'b, 'i>, world: &World<'b, 'i>) -> Part {
    let subject = &world.subject;
    let mut seen: Vec<Var> = Vec::new();
    for partial in &subject.force.book.working.partials {
        let tree = subject.force.compile(&partial.tree, 0);
        // Without coats there is nothing that may stay.
        for coat in 0..subject.known.coats.len() {
            walk(&tree, &subject.view(coat, &Slots::new(), None), Some(&mut seen));
        }
    }
    let coats = if subject.known.listed { 0 } else { clearing(subject).map_or(0, |c| worlds.about(&[Var::Fact(c.fact, 0)])) };
    worlds.about(&seen) | worlds.about(world.behind()) | coats
}
