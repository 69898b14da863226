//! Presumptions that would unlock what law forbids, or release a hold. Judging does not let them (`judge/law`); whoever writes the
//! rule should know that it stays open there.

use crate::judge::binds;
use crate::limit::Where;
use crate::pack::{Presumption, Rule, RuleBook, Ruling};
use crate::vocabulary::{Known, flag};

/// The rules that a presumption would silence at its value, and what they are.
pub(super) fn unlocked<'b>(book: &'b RuleBook, presumption: &Presumption) -> Vec<(&'b Rule, &'static str)> {
    // Whether there is a place where both hold. What one leaves out may still hold in part of it, so only whole places are struck.
    let meets = |a: &Where, b: &Where| {
        let within = |x: &String, y: &String| x == y || book.places_of(x).contains(y) || book.places_of(y).contains(x);
        let left_out = |place: &String, other: &Where| other.except.iter().any(|c| book.places_of(place).contains(c));
        let some = |a: &Where, b: &Where| a.named.is_empty() || a.named.iter().any(|place| !left_out(place, b));
        let together = a.named.is_empty() || b.named.is_empty() || a.named.iter().any(|x| b.named.iter().any(|y| within(x, y)));
        together && some(a, b) && some(b, a)
    };
    // Presumed not to be so, the fact releases nothing.
    let releases = !matches!(presumption.value, Known::Bits(flag::NO));
    let mut found = Vec::new();
    for rule in book.rules.iter().filter(|r| meets(&r.place, &presumption.place)) {
        if rule.ruling == Ruling::Hold && rule.released_by == Some(presumption.fact) && releases {
            found.push((rule, "a hold that only a stated fact releases"));
        } else if binds(rule) && !presumption.untested && presumption.basis.can_be_departed_from() && silences(book, rule, presumption) {
            found.push((rule, "which forbids by law or standard"));
        }
    }
    found
}

/// Whether the rule could be silent at every value that is presumed where it would speak at another.
fn silences(book: &RuleBook, rule: &Rule, presumption: &Presumption) -> bool {
    let strictest = |known: &Known| crate::script::strictest_at(&book.base, &rule.tree, presumption.fact, known);
    match &presumption.value {
        Known::Bits(bits) => !(0..128).filter(|i| bits >> i & 1 == 1).any(|i| strictest(&Known::Bits(1 << i))),
        known => !strictest(known),
    }
}
