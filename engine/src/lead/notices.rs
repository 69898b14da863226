//! What a set of rules says of a surface, with what the surveyor thinks of it.

use super::usual;
use crate::advice::Notice;
use crate::finding::Status;
use crate::judge::Subject;
use crate::judge::in_force::Ready;
use crate::judge::know::Slots;
use crate::judge::walk::Var;
use crate::pack::Ruling;
use crate::telling::Teller;
use crate::vocabulary::About;

/// What a set of rules says.
pub(crate) fn notices<'r>(
    teller: &Teller<'_, '_, '_>,
    rules: impl Iterator<Item = &'r Ready>,
    method: Option<usize>,
    settings: &Slots,
) -> Vec<Notice> {
    let mut out: Vec<Notice> = Vec::new();
    // Made only where something is open.
    let mut thought: Option<Option<Subject<'_, '_>>> = None;
    for ready in rules {
        if teller.subject.departed.contains(&ready.rule) {
            continue;
        }
        let mut seen_by: Vec<Vec<Var>> = Vec::new();
        let found = {
            let mut seen = Vec::new();
            let found = teller.subject.look(ready, settings, Some(&mut seen));
            for f in &found {
                // What was read of other coats belongs to other notices.
                let own = |v: &Var| match v {
                    Var::Fact(f_id, c) | Var::Choice(f_id, _, c) => {
                        teller.subject.base().vocabulary.get(*f_id).about != About::Coat || f.coats.contains(&usize::from(*c))
                    }
                    Var::Test(..) => true,
                };
                seen_by.push(seen.iter().copied().filter(own).collect());
            }
            found
        };
        for (f, seen) in found.iter().zip(&seen_by) {
            if f.finding.applies.is_empty() && f.finding.fails.is_none() {
                continue;
            }
            let mut notice = teller.notice(f, method, settings, seen);
            if notice.status == Status::Open && matches!(notice.ruling, Ruling::Caution | Ruling::Note) {
                let so = thought.get_or_insert_with(|| usual::as_thought(teller.subject.force, teller.survey, teller.surface.unwrap_or(0)));
                notice.thought = so.as_ref().is_some_and(|so| {
                    so.look(ready, settings, None)
                        .iter()
                        .any(|g| g.coats == f.coats && g.finding.certain() && !g.finding.applies.is_empty())
                });
            }
            // The same thing said of several coats is said once.
            match out
                .iter_mut()
                .find(|n| n.rule == notice.rule && n.says == notice.says && n.status == notice.status && n.thought == notice.thought)
            {
                Some(same) => {
                    same.coats.extend(&notice.coats);
                    for fact in notice.facts {
                        if !same.facts.contains(&fact) {
                            same.facts.push(fact);
                        }
                    }
                }
                None => out.push(notice),
            }
        }
    }
    let order = |n: &Notice| (n.ruling, n.status);
    out.sort_by_key(order);
    out
}
