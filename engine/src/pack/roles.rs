//! Reading which parts things play for the engine: each is claimed once, and a rule book that claims any of the facts fills all.

use super::{PackInfo, Taken};
use crate::catalogue::{AttributeKind, EntryKind};
use crate::diagnostic::Diagnostic;
use crate::figure::{Figure, Remark};
use crate::role::{AttributeRole, EntryRole, FactRole, FigureRole, Key, LimitRole, Of, Plays, Role, Sentence};
use crate::script::Base;
use crate::toml_read::{Keys, Problems};
use crate::vocabulary::{About, FactKind};
use crate::words;
use indexmap::IndexMap;

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
    claim_for(role.map(|role| Plays { role, of: None }).as_ref(), kind, id, pack, keys, taken, problems);
}

/// The same of a role that may be stated for something.
pub(super) fn claim_for<R: Role>(
    plays: Option<&Plays<R>>,
    kind: &str,
    id: &str,
    pack: &PackInfo,
    keys: &Keys<'_>,
    taken: &mut Taken,
    problems: &Problems,
) {
    let Some(plays) = plays else { return };
    let words = Key { role: plays.role, of: plays.of.as_deref() }.words();
    let key = (format!("role of a {kind}"), words.clone());
    let place = keys.get("role").map_or_else(|| keys.place(), |i| i.place());
    match taken.get(&key) {
        Some(other) => {
            let fault = place.error(format!("the role {words} is played already, by {other}"));
            problems.borrow_mut().push(fault.help("one thing plays a role in a rule book; take this one out"));
        }
        None => {
            taken.insert(key, format!("the {kind} `{id}` of pack `{}`", pack.name));
        }
    }
}

/// Reads `role` and, where the role wants it, `of`.
pub(super) fn read_for<R: Role>(keys: &Keys<'_>, base: &Base, wants: fn(R) -> Of, problems: &Problems) -> Option<Plays<R>> {
    let of = keys.text(problems, "of").map(str::to_owned);
    let role = read::<R>(keys, problems)?;
    let at = |key: &str| keys.get(key).map_or_else(|| keys.place(), |i| i.place());
    let fault = |message: String, help: Option<String>| problems.borrow_mut().push(at("of").error(message).maybe_help(help));
    match (wants(role), of) {
        (Of::Nothing, None) => return Some(Plays { role, of: None }),
        (Of::Nothing, Some(_)) => {
            fault(format!("there is one thing of the role `{}`, so it is not stated `of` anything", role.word()), None);
        }
        (_, None) => {
            fault(format!("the role `{}` wants an `of`: what it is stated for", role.word()), None);
        }
        (Of::Method, Some(of)) if base.catalogue.find(EntryKind::Method, &of).is_none() => {
            fault(format!("`{of}` is not a method of the catalogue"), base.catalogue.instead(EntryKind::Method, &of));
        }
        (Of::Detail, Some(of)) if !details(base).contains(&of.as_str()) => {
            fault(format!("`{of}` is no choice of how much detail there is"), words::offer(&of, details(base)));
        }
        (_, of) => return Some(Plays { role, of }),
    }
    None
}

/// How much detail there can be.
fn details(base: &Base) -> Vec<&str> {
    let fact = base.vocabulary.with(FactRole::Detail).map(|f| base.vocabulary.get(f));
    fact.map(|f| f.choice_ids(&base.catalogue)).unwrap_or_default()
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
pub(super) fn are_filled(base: &Base, figures: &IndexMap<String, Figure>, remarks: &IndexMap<String, Remark>, problems: &Problems) {
    figures_are_filled(base, figures, remarks, problems);
    // A small book needs the kind of a coat to read a list of coats, and nothing else.
    if base.vocabulary.iter().all(|(_, f)| f.role.is_none_or(|r| r == FactRole::Kind)) {
        return;
    }
    let fault = |what: &str, role: &str| not_played(what, role, problems);
    for role in FactRole::ALL.iter().filter(|r| base.vocabulary.with(**r).is_none()) {
        fault("fact", role.word());
    }
    let filled = |role: AttributeRole| EntryKind::ALL.iter().any(|k| base.catalogue.attribute_with(*k, role).is_some());
    for role in AttributeRole::ALL.iter().filter(|r| !filled(**r)) {
        fault("attribute", role.word());
    }
}

/// The same for what calculators ask for, where any figure plays a part that there is one of.
fn figures_are_filled(base: &Base, figures: &IndexMap<String, Figure>, remarks: &IndexMap<String, Remark>, problems: &Problems) {
    let played: Vec<FigureRole> = figures.values().filter_map(|f| f.plays.as_ref()).map(|p| p.role).collect();
    if played.iter().all(|r| r.of() != Of::Nothing) {
        return;
    }
    for role in FigureRole::ALL.iter().filter(|r| !played.contains(r)) {
        not_played("figure", role.word(), problems);
    }
    let played: Vec<LimitRole> = base.limits.values().filter_map(|l| l.plays.as_ref()).map(|p| p.role).collect();
    for role in LimitRole::ALL.iter().filter(|r| !played.contains(r)) {
        not_played("limit", role.word(), problems);
    }
    let told = |s: Sentence| remarks.values().any(|r| r.role == Some(s));
    for sentence in Sentence::ALL.iter().filter(|s| !told(**s)) {
        not_played("remark", sentence.word(), problems);
    }
    for role in EntryRole::ALL.iter().filter(|r| base.catalogue.entry_with(entry_of(**r), **r).is_none()) {
        not_played(entry_of(*role).word(), role.word(), problems);
    }
}

fn not_played(what: &str, role: &str, problems: &Problems) {
    let message = format!("no {what} of the rule book plays the role `{role}`");
    problems.borrow_mut().push(Diagnostic::error(message).help(format!("write `role = \"{role}\"` in the {what} that does")));
}

/// What a thing has to be to play a role.
pub(super) trait Cast: Role {
    /// The kinds that things of this sort have.
    type Kind;

    /// What kind of values it has to take, as it is written in files.
    fn kind(self) -> &'static str;

    /// Whether a kind of values is that one.
    fn fits(self, kind: &Self::Kind) -> bool;
}

impl Cast for FactRole {
    type Kind = FactKind;

    fn kind(self) -> &'static str {
        match self {
            Self::Where | Self::Element | Self::Detail | Self::Lead | Self::Asbestos | Self::Happened | Self::Seen => "choice",
            Self::Substrate | Self::Kind => "entry",
            Self::Trial => "yes-no",
            _ => "number",
        }
    }

    fn fits(self, kind: &FactKind) -> bool {
        match kind {
            FactKind::Choice(_) => self.kind() == "choice",
            FactKind::Entry(_) => self.kind() == "entry",
            FactKind::YesNo => self.kind() == "yes-no",
            FactKind::Number { .. } => self.kind() == "number",
            FactKind::Year { .. } | FactKind::Several(_) => false,
        }
    }
}

/// What a fact of a role has to be about.
pub(super) fn about(role: FactRole) -> About {
    match role {
        FactRole::Happened | FactRole::HappenedAgo => About::Incident,
        FactRole::Seen => About::Trouble,
        FactRole::AirTemperature | FactRole::Humidity | FactRole::Boundary | FactRole::Watch => About::Site,
        FactRole::Kind
        | FactRole::Lead
        | FactRole::LeadLoading
        | FactRole::LeadContent
        | FactRole::Asbestos
        | FactRole::Layers
        | FactRole::Thickness => About::Coat,
        FactRole::Dwell | FactRole::Applied | FactRole::WaterPressure => About::Method,
        _ => About::Surface,
    }
}

impl Cast for AttributeRole {
    type Kind = AttributeKind;

    fn kind(self) -> &'static str {
        match self {
            Self::Family => "choice",
            Self::Hazard => "number",
            _ => "yes-no",
        }
    }

    fn fits(self, kind: &AttributeKind) -> bool {
        match kind {
            AttributeKind::YesNo => self.kind() == "yes-no",
            AttributeKind::Choice(_) => self.kind() == "choice",
            AttributeKind::Number => self.kind() == "number",
        }
    }
}

/// What kind of entry an attribute of a role has to belong to.
pub(super) fn attribute_of(role: AttributeRole) -> EntryKind {
    match role {
        AttributeRole::Keeps | AttributeRole::Family | AttributeRole::Hazard => EntryKind::Method,
        _ => EntryKind::Substrate,
    }
}

/// What kind of entry has to play a role.
pub(super) fn entry_of(role: EntryRole) -> EntryKind {
    match role {
        EntryRole::AlkalinePaste => EntryKind::Method,
    }
}
