//! What is said with doubt, held against what stands for certain: a guess takes no care away.

use super::document::{At, quoted};
use super::session::{Asked, Session};
use ovolo_engine::answer::Statement;
use ovolo_engine::survey::Facts;
use ovolo_engine::vocabulary::{About, Eases, FactId, FactKind, Known};

impl Session<'_> {
    /// What stands for certain of a fact and asks for no less care than nothing would, in words. Where a question was put about
    /// it, or it was taken up again by its name, the person may well be less sure than before.
    pub(super) fn stands_careful(&self, at: At, fact: FactId) -> Option<String> {
        let it = self.book.base.vocabulary.get(fact);
        let asked = matches!(self.asked, Some(Asked::Fact { fact: f, .. }) if f == fact);
        // Of a year or a measure, and of what the work is to come to, no value is the careful one.
        let directed = it.careful.is_some() || matches!(it.eases, Eases::Choices(easy) if easy != 0);
        if asked || it.chosen || !directed {
            return None;
        }
        let careful = |at: At, facts: &Facts| {
            let stated = facts.get(&fact)?;
            (!self.document.unsure(at, &it.name) && !it.eased_by(&stated.known)).then(|| self.value_said(it, &stated.known))
        };
        match at {
            // Said of every coat: one of which it stands is enough.
            At::Coat(s, None) => {
                let coats = self.survey.surfaces.get(s)?.coats.as_ref()?;
                coats.iter().enumerate().find_map(|(c, facts)| careful(At::Coat(s, Some(c)), facts))
            }
            _ => careful(at, self.facts_at(at)?),
        }
    }

    /// Why a statement that was only a guess leaves alone what stands.
    pub(super) fn only_doubts(&self, at: At, statement: &Statement) -> Option<String> {
        // Where words were left over it is asked back about: that may well be meant for certain.
        if statement.readings.iter().any(|r| r.sure) || !statement.unread.is_empty() {
            return None;
        }
        let stands = self.stands_careful(at, statement.fact)?;
        let fact = self.book.base.vocabulary.get(statement.fact);
        Some(format!("Not sure, so what was certain stays: {}: {stands}. `{}: …` changes it.", fact.title, fact.name))
    }

    /// What was said for certain of the paint before its coats were told, and asks for care: it is said of each of them, unless
    /// something else is.
    pub(super) fn of_all_coats(&self) -> Option<Vec<(FactId, String)>> {
        let [whole] = &self.survey.surfaces.get(self.surface)?.coats.as_ref()?[..] else { return None };
        let vocabulary = &self.book.base.vocabulary;
        let mut out = Vec::new();
        for (id, stated) in whole {
            let fact = vocabulary.get(*id);
            let sure = !self.document.unsure(At::Coat(self.surface, Some(0)), &fact.name);
            let Known::Bits(bits) = stated.known else { return None };
            let choice = matches!(fact.kind, FactKind::Choice(_)) && fact.about == About::Coat && bits.is_power_of_two();
            if !sure || !choice || fact.eased_by(&stated.known) {
                return None;
            }
            out.push((*id, quoted(fact.choice_id(bits.trailing_zeros() as usize, &self.book.base.catalogue))));
        }
        (!out.is_empty()).then_some(out)
    }
}
