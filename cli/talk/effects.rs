//! What an answer changed, in words: which methods fell out or came in, what is new to watch, what is left to find out.

use super::session::{READ_HERE, Session};
use crate::render::Page;
use ovolo_engine::advice::Notice;
use ovolo_engine::catalogue::EntryKind;
use ovolo_engine::explain::{Outlook, presumption_said, said};
use ovolo_engine::finding::{Basis, Ruling, Status};
use ovolo_engine::judge::Verdict;
use ovolo_engine::survey::Survey;
use ovolo_engine::words;
use std::fmt::Write as _;
use std::sync::Arc;

/// The most new cautions told in full after one answer; the rest is named.
const MOST_IN_FULL: usize = 3;

impl Session<'_> {
    pub(super) fn page(&self) -> Page {
        Page { width: self.width, styled: false, all: true }
    }

    pub(super) fn method_title(&self, method: usize) -> &str {
        &self.book.base.catalogue.entries(EntryKind::Method)[method].title
    }

    /// What changed between two states, on the surface talked about and in a word on the others.
    pub(super) fn effect(&self, before: &[Arc<Outlook>], after: &[Arc<Outlook>], survey: &Survey) -> String {
        let mut text = String::new();
        let here = self.surface;
        if let Some(is) = after.get(here) {
            let was = before.get(here).filter(|_| before.len() == after.len());
            text.push_str(&self.newly_presumed(was, is, here, survey));
            text.push_str(&self.moved(was, is));
            text.push_str(&self.new_to_watch(was, is, here, survey));
        }
        for (s, is) in after.iter().enumerate().filter(|(s, _)| *s != here) {
            let Some(was) = before.get(s).filter(|_| before.len() == after.len()) else { continue };
            if Arc::ptr_eq(was, is) {
                continue;
            }
            let counted = Self::counted_moves(was, is);
            if !counted.is_empty() {
                text.push_str(&self.page().paragraph("  ", "    ", &format!("On {}: {counted}.", survey.surfaces[s].name)));
            }
        }
        text
    }

    /// What an answer changed in two lines at most: where the methods stand, and the one caution that matters now. The rest
    /// is behind `more`.
    /// Where the rule book has a remark of its own beside it, only what holds the work up is told as well.
    pub(super) fn brief(&self, before: &[Arc<Outlook>], remarked: bool) -> String {
        let here = self.surface;
        let Some(is) = self.outlooks.get(here) else { return String::new() };
        let was = before.get(here).filter(|_| before.len() == self.outlooks.len());
        let old: Vec<Option<Verdict>> = was.map_or_else(|| is.verdicts().map(|_| None).collect(), |w| w.verdicts().map(Some).collect());
        let mut parts: Vec<String> = Vec::new();
        for (verdict, heading) in [
            (Verdict::RuledOut, "out"),
            (Verdict::OnHold, "on hold"),
            (Verdict::Suited, "suits"),
            (Verdict::SuitedWithCare, "suits with care"),
            (Verdict::CantTellYet, "open again"),
        ] {
            if verdict == Verdict::CantTellYet && was.is_none() {
                continue;
            }
            let moved: Vec<&str> = is
                .verdicts()
                .enumerate()
                .filter(|(m, v)| *v == verdict && old[*m] != Some(verdict))
                .map(|(m, _)| self.method_title(m))
                .collect();
            match moved[..] {
                [] => {}
                [one] => parts.push(format!("{heading}: {one}")),
                [first, ref more @ ..] => parts.push(format!("{heading}: {first} and {}", counted(more.len(), "other", "others"))),
            }
        }
        let open = is.undecided();
        let stands = if open == 0 { "Every method has its verdict".to_owned() } else { format!("{open} still open") };
        let mut text = String::new();
        let told = if parts.is_empty() { stands } else { format!("{}; {}", capital(&parts.join("; ")), lower(&stands)) };
        text.push_str(&self.page().paragraph("  ", "    ", &format!("{told}.")));
        let caution = self.one_caution(was, is, here);
        if !remarked || caution.trim_start().starts_with("Hold: ") {
            text.push_str(&caution);
        }
        text
    }

    /// The gravest thing said now that was not said before, in a sentence.
    fn one_caution(&self, was: Option<&Arc<Outlook>>, is: &Outlook, surface: usize) -> String {
        let known = |rule: usize| was.is_some_and(|w| w.spoken().iter().any(|s| s.certain && s.rule == rule));
        let new: Vec<usize> = is.spoken().iter().filter(|s| s.certain && !known(s.rule)).map(|s| s.rule).collect();
        let mut notices: Vec<Notice> = if new.is_empty() {
            Vec::new()
        } else {
            said(&self.judge, &self.survey, surface, &|r| new.contains(&r))
                .expect(READ_HERE)
                .into_iter()
                .filter(|n| n.status == Status::Applies && matches!(n.ruling, Ruling::Hold | Ruling::Caution))
                .collect()
        };
        notices.sort_by_key(|n| (n.ruling != Ruling::Hold, strength(n.basis)));
        let presumed_before = |p: usize| was.is_some_and(|w| w.presumed().iter().any(|x| x.presumption == p));
        let careful = is.presumed().iter().filter(|p| !presumed_before(p.presumption)).find(|p| {
            let presumption = &self.book.presumptions[p.presumption];
            self.book.base.vocabulary.get(presumption.fact).careful.as_ref() == Some(&presumption.value)
        });
        let hold = notices.first().filter(|n| n.ruling == Ruling::Hold);
        let told = match (hold, careful) {
            (Some(hold), _) => format!("Hold: {}", sentence(&hold.says)),
            (None, Some(presumed)) => {
                let (fact, value, _) = presumption_said(&self.judge, &self.survey, surface, presumed).expect(READ_HERE);
                format!("Taken until somebody looks: {fact}: {value}.")
            }
            (None, None) => match notices.first() {
                Some(n) => format!("Watch: {}", sentence(&n.says)),
                None => return String::new(),
            },
        };
        let more = notices.len() > 1;
        self.page().paragraph("  ", "    ", &if more { format!("{told} (`more` tells the rest.)") } else { told })
    }

    /// What is presumed now that was not, and why.
    fn newly_presumed(&self, was: Option<&Arc<Outlook>>, is: &Outlook, surface: usize, survey: &Survey) -> String {
        let known = |p: usize| was.is_some_and(|w| w.presumed().iter().any(|x| x.presumption == p));
        let mut text = String::new();
        for presumed in is.presumed().iter().filter(|p| !known(p.presumption)) {
            let (fact, value, why) = presumption_said(&self.judge, survey, surface, presumed).expect(READ_HERE);
            let told = match value.as_str() {
                "anything" => format!("Nothing is presumed of the {fact}. {why}"),
                _ => format!("Presumed until somebody looks: {fact}: {value}. {why}"),
            };
            text.push_str(&self.page().paragraph("  ", "    ", &told));
        }
        text
    }

    /// The methods whose verdict moved, by where they stand now.
    fn moved(&self, was: Option<&Arc<Outlook>>, is: &Outlook) -> String {
        let page = self.page();
        let old: Vec<Option<Verdict>> = match was {
            Some(was) => was.verdicts().map(Some).collect(),
            None => is.verdicts().map(|_| None).collect(),
        };
        // Before anything is known everything is open: that is no news.
        let fresh = was.is_none();
        let moved = |now: Verdict| -> Vec<usize> {
            is.verdicts().enumerate().filter(|(m, v)| *v == now && old[*m] != Some(now)).map(|(m, _)| m).collect()
        };
        let mut text = String::new();
        let out = moved(Verdict::RuledOut);
        if !out.is_empty() {
            // Methods that are out for the same reason are told together.
            let mut reasons: Vec<(String, Vec<&str>)> = Vec::new();
            for m in &out {
                let reason = is.ruled_out_by(&self.judge, *m).map_or_else(
                    || "whatever is found or chosen".to_owned(),
                    |rule| {
                        let rule = &self.book.rules[rule];
                        rule.title.clone().unwrap_or_else(|| rule.id.replace('-', " "))
                    },
                );
                match reasons.iter_mut().find(|(r, _)| *r == reason) {
                    Some((_, methods)) => methods.push(self.method_title(*m)),
                    None => reasons.push((reason, vec![self.method_title(*m)])),
                }
            }
            let parts: Vec<String> = reasons.iter().map(|(r, m)| format!("{} ({r})", words::list(m, "and"))).collect();
            text.push_str(&page.paragraph("  ", "    ", &format!("Out: {}.", parts.join("; "))));
        }
        for (verdict, heading) in [(Verdict::Suited, "Suits"), (Verdict::SuitedWithCare, "Suits with care"), (Verdict::OnHold, "On hold")] {
            let titles: Vec<&str> = moved(verdict).into_iter().map(|m| self.method_title(m)).collect();
            if !titles.is_empty() {
                text.push_str(&page.paragraph("  ", "    ", &format!("{heading}: {}.", words::list(&titles, "and"))));
            }
        }
        let open = moved(Verdict::CantTellYet);
        if !open.is_empty() && !fresh {
            let titles: Vec<&str> = open.into_iter().map(|m| self.method_title(m)).collect();
            text.push_str(&page.paragraph("  ", "    ", &format!("Open again: {}.", words::list(&titles, "and"))));
        }
        text
    }

    /// What is said now that was not said before, the gravest in full.
    fn new_to_watch(&self, was: Option<&Arc<Outlook>>, is: &Outlook, surface: usize, survey: &Survey) -> String {
        let known = |rule: usize| was.is_some_and(|w| w.spoken().iter().any(|s| s.certain && s.rule == rule));
        let new: Vec<usize> = is.spoken().iter().filter(|s| s.certain && !known(s.rule)).map(|s| s.rule).collect();
        let mut text = String::new();
        if !new.is_empty() {
            let mut notices: Vec<Notice> = said(&self.judge, survey, surface, &|r| new.contains(&r))
                .expect(READ_HERE)
                .into_iter()
                .filter(|n| n.status == Status::Applies && matches!(n.ruling, Ruling::Hold | Ruling::Caution))
                .collect();
            notices.sort_by_key(|n| (n.ruling != Ruling::Hold, strength(n.basis)));
            let page = self.page();
            for n in notices.iter().take(MOST_IN_FULL) {
                let word = if n.ruling == Ruling::Hold { "Hold" } else { "Watch" };
                text.push_str(&page.paragraph("  ", "    ", &format!("{word}: {} [{}]", n.says, crate::render::ground(n))));
            }
            if notices.len() > MOST_IN_FULL {
                let mut titles: Vec<String> = Vec::new();
                for title in notices[MOST_IN_FULL..].iter().map(title) {
                    if !titles.contains(&title) {
                        titles.push(title);
                    }
                }
                text.push_str(&page.paragraph("  ", "    ", &format!("Also to watch: {} (`watch` tells all).", titles.join("; "))));
            }
        }
        if let Some(was) = was {
            let gone = was.spoken().iter().filter(|s| s.certain && !is.spoken().iter().any(|n| n.certain && n.rule == s.rule));
            let holds: Vec<String> = gone
                .clone()
                .filter(|s| self.book.rules[s.rule].ruling == ovolo_engine::pack::Ruling::Hold)
                .map(|s| self.book.rules[s.rule].title.clone().unwrap_or_else(|| self.book.rules[s.rule].id.replace('-', " ")))
                .collect();
            let cautions = gone.count() - holds.len();
            if !holds.is_empty() {
                text.push_str(&self.page().paragraph("  ", "    ", &format!("Released: {}.", holds.join("; "))));
            }
            if cautions > 0 {
                let _ = writeln!(text, "  No longer to watch: {}.", counted(cautions, "caution or note", "cautions and notes"));
            }
        }
        text
    }

    /// How many methods moved where, for a surface that is not talked about.
    fn counted_moves(was: &Outlook, is: &Outlook) -> String {
        let moved = |now: &[Verdict]| is.verdicts().zip(was.verdicts()).filter(|(a, b)| a != b && now.contains(a)).count();
        let mut parts = Vec::new();
        for (verdicts, words) in [
            (&[Verdict::RuledOut][..], "out"),
            (&[Verdict::Suited, Verdict::SuitedWithCare][..], "suited now"),
            (&[Verdict::OnHold][..], "on hold now"),
            (&[Verdict::CantTellYet][..], "open again"),
        ] {
            let n = moved(verdicts);
            if n > 0 {
                parts.push(format!("{n} {words}"));
            }
        }
        let fresh = is.spoken().iter().filter(|s| s.certain && !was.spoken().iter().any(|w| w.certain && w.rule == s.rule)).count();
        if fresh > 0 {
            parts.push(counted(fresh, "new thing to watch", "new things to watch"));
        }
        parts.join(", ")
    }

    /// What is left to find out on the surface talked about.
    pub(super) fn left(&self) -> String {
        let Some(outlook) = self.outlooks.get(self.surface) else { return String::new() };
        match outlook.undecided() {
            0 => "  Every method has its verdict here.\n".to_owned(),
            n => format!("  Open: {}.\n", counted(n, "method can't be told yet", "methods can't be told yet")),
        }
    }
}

/// A notice's heading.
pub(super) fn title(notice: &Notice) -> String {
    notice.title.clone().unwrap_or_else(|| notice.rule.replace('-', " "))
}

/// The first sentence of some words.
pub(super) fn sentence(says: &str) -> &str {
    let ends = says.match_indices(['.', ';']).map(|(i, _)| i).find(|i| says[i + 1..].starts_with(' '));
    ends.map_or(says, |i| &says[..=i]).trim_end_matches(';')
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

fn lower(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_lowercase().chain(chars).collect())
}

pub(super) fn counted(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

pub(super) fn strength(basis: Basis) -> usize {
    basis as usize
}
