//! Reading which parts things play for the engine: each is claimed once, and a rule book that claims any of the facts fills all.

use super::{PackInfo, Taken};
use crate::catalogue::EntryKind;
use crate::diagnostic::Diagnostic;
use crate::role::{AttributeRole, FactRole, Role};
use crate::script::Base;
use crate::toml_read::{Keys, Problems};
use crate::vocabulary::FactKind;
use crate::words;

/// Reads `role`.
pub(super) fn read<R: Role>(keys: &Keys<'_>, problems: &Problems) -> Option<R> {
    let word = keys.text(problems, "role")?;
    let found = R::find(word);
    if found.is_none() {
        let place = keys.get("role").map_or_else(|| keys.place(), |i| i.place());
        let help = words::offer(word, R::ALL.iter().map(|r| r.word()));
        problems.borrow_mut().push(place.error(format!("`{word}` is not a role")).maybe_help(help));
    }
    found
}

/// Reports a role that a thing cannot play.
pub(super) fn unfit(keys: &Keys<'_>, role: &str, wanted: &str, problems: &Problems) {
    let place = keys.get("role").map_or_else(|| keys.place(), |i| i.place());
    problems.borrow_mut().push(place.error(format!("only {wanted} can play the role `{role}`")));
}

/// Notes who plays a role; reports if something else does already.
pub(super) fn claim<R: Role>(
    role: Option<R>,
    kind: &str,
    id: &str,
    pack: &PackInfo,
    keys: &Keys<'_>,
    taken: &mut Taken,
    problems: &Problems,
) {
    let Some(role) = role else { return };
    let key = (format!("role of a {kind}"), role.word().to_owned());
    let place = keys.get("role").map_or_else(|| keys.place(), |i| i.place());
    match taken.get(&key) {
        Some(other) => {
            let fault = place.error(format!("the role `{}` is played already, by {other}", role.word()));
            problems.borrow_mut().push(fault.help("one thing plays a role in a rule book; take this one out"));
        }
        None => {
            taken.insert(key, format!("the {kind} `{id}` of pack `{}`", pack.name));
        }
    }
}

/// Reports choices that a fact of this role has to have and lacks, or has twice.
pub(super) fn choices_play(keys: &Keys<'_>, role: FactRole, kind: &FactKind, problems: &Problems) {
    let FactKind::Choice(choices) = kind else { return };
    for wanted in role.choices() {
        if choices.iter().filter(|c| c.role == Some(*wanted)).count() != 1 {
            let word = wanted.word();
            let fault = keys.place().error(format!("a fact of the role `{}` has one choice of the role `{word}`", role.word()));
            problems.borrow_mut().push(fault.help(format!("write {{ id = …, role = \"{word}\" }} for it")));
        }
    }
}

/// Reports roles that nothing plays in a rule book where any fact plays one: what asks for them would be left with less than it
/// says, a proof above all.
pub(super) fn are_filled(base: &Base, problems: &Problems) {
    // A small book needs the kind of a coat to read a list of coats, and nothing else.
    if base.vocabulary.iter().all(|(_, f)| f.role.is_none_or(|r| r == FactRole::Kind)) {
        return;
    }
    let fault = |what: &str, role: &str| {
        let message = format!("no {what} of the rule book plays the role `{role}`");
        problems.borrow_mut().push(Diagnostic::error(message).help(format!("write `role = \"{role}\"` in the {what} that does")));
    };
    for role in FactRole::ALL.iter().filter(|r| base.vocabulary.with(**r).is_none()) {
        fault("fact", role.word());
    }
    let filled = |role: AttributeRole| EntryKind::ALL.iter().any(|k| base.catalogue.attribute_with(*k, role).is_some());
    for role in AttributeRole::ALL.iter().filter(|r| !filled(**r)) {
        fault("attribute", role.word());
    }
}
