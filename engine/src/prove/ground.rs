//! The ground a presumption stands on, as far as it decides what the presumption can make silent.

use super::Side;
use super::layout::Layout;
use super::presume::Ranked;
use crate::judge::law::binds;

/// A presumption of the second book alone that binds, where one of the first did not.
pub(super) fn stronger(layout: &Layout<'_, '_>, old: &[Ranked], new: &[Ranked]) -> String {
    let weak = |side: Side, id: &str| {
        let all = &layout.space.books[side as usize].presumptions;
        all.iter().find(|p| p.id == id).is_some_and(|p| p.basis.can_be_departed_from() && !p.finding && !p.untested)
    };
    let added = |r: &&Ranked| !old.iter().any(|o| o.id == r.id);
    let waits = old.iter().any(|o| weak(Side::Old, &o.id));
    let over = new.iter().filter(added).find(|r| waits && !weak(Side::New, &r.id));
    over.map_or_else(String::new, |r| format!("`{}`", r.id))
}

/// Whether judging itself keeps a rule open: what law or a standard forbids is not made silent by a presumption that is weaker, nor a
/// hold released by any, so that where nothing was presumed before, the rule says what it said (`judge/law`).
pub(super) fn kept_open(
    layout: &Layout<'_, '_>,
    fact: usize,
    (before, now): (Option<usize>, Option<usize>),
    new: &[Ranked],
    rule: usize,
) -> bool {
    let (None, Some(at)) = (before, now) else { return false };
    let book = layout.space.books[Side::New as usize];
    let Some(by) = book.presumptions.iter().find(|p| p.id == new[at].id) else { return false };
    let rule = layout.rule(Side::Old, rule);
    let releases = rule.released_by.is_some_and(|f| layout.space.joint(Side::Old, f) == fact);
    !by.finding && !by.untested && binds(rule) && (releases || by.basis.can_be_departed_from())
}
