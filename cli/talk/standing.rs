//! Questions about what is known: "is there lead in it?", "is it safe?", "what about a poultice?".

use super::questions::Put;
use super::session::{Asked, READ_HERE, Session};
use ovolo_engine::answer::{Context, Said};
use ovolo_engine::catalogue::EntryKind;
use ovolo_engine::explain::{known, presumption_said};
use ovolo_engine::finding::Footing;
use ovolo_engine::pack::Presumption;
use ovolo_engine::vocabulary::About;
use ovolo_engine::words;

/// Words by which people ask whether harm can come of it.
const HARM: &[&str] = &[
    "safe",
    "dangerous",
    "danger",
    "harmful",
    "harm",
    "risky",
    "risk",
    "toxic",
    "poisonous",
    "hazardous",
    "unsafe",
    "hurt",
    "worry",
    "worried",
];

/// The most ways that a word may stand for.
const MOST_MEANT: usize = 4;

impl Session<'_> {
    /// What is known of the fact that a question for yes or no names, how, and how it is found out.
    pub(super) fn how_it_stands(&self, put: &Put) -> Option<String> {
        if !put.for_yes_or_no() || self.survey.surfaces.is_empty() {
            return None;
        }
        let behind = put.plain.split_once(' ').map_or("", |(_, rest)| rest);
        // "Is it listed": one of its answers names it as well, unless that may be an answer to what was asked.
        let asked = match self.asked {
            Some(Asked::Fact { fact, .. }) => Some(fact),
            _ => None,
        };
        let by_value = || {
            let heard = self.listener.hear(behind, &Context { asked: None, ..self.context() });
            heard.said.iter().find_map(|s| if let Said::Fact(f) = s { Some(f.fact) } else { None }).filter(|f| Some(*f) != asked)
        };
        let fact = self.fact_in(behind).or_else(by_value)?;
        let page = self.page();
        let it = self.book.base.vocabulary.get(fact);
        if let Some(told) = self.presumed_of(|p| p.fact == fact) {
            return Some(page.paragraph("  ", "    ", &format!("{told} To find out: {}", it.help)));
        }
        let stated = match it.about {
            About::Site => self.survey.site.contains_key(&fact),
            About::Coat => self.survey.surfaces[self.surface].coats.iter().flatten().any(|c| c.contains_key(&fact)),
            _ => self.survey.surfaces[self.surface].facts.contains_key(&fact),
        };
        // Of coats each by itself: what is so of the first says nothing of the last.
        let coats = self.survey.surfaces[self.surface].coats.as_ref().map_or(1, Vec::len).max(1);
        let each: Vec<_> = (0..if it.about == About::Coat { coats } else { 1 })
            .map(|coat| known(&self.judge, &self.survey, self.surface, fact, coat).expect(READ_HERE))
            .collect();
        let told = if stated && each.iter().any(|(_, how)| how.ground == Footing::Stated) {
            let of = |i: usize| if each.len() > 1 { format!("coat {}: ", i + 1) } else { String::new() };
            let values: Vec<String> = each.iter().enumerate().map(|(i, (value, _))| format!("{}{value}", of(i))).collect();
            format!("On file: {}: {}.", it.title, values.join("; "))
        } else {
            format!("Not known yet: {}. To find out: {}", it.title, it.help)
        };
        Some(page.paragraph("  ", "    ", &told))
    }

    /// What is presumed here of a fact, and why.
    fn presumed_of(&self, wanted: impl Fn(&Presumption) -> bool) -> Option<String> {
        let outlook = self.outlooks.get(self.surface)?;
        let presumed = outlook.presumed().iter().find(|p| wanted(&self.book.presumptions[p.presumption]))?;
        let (fact, value, why) = presumption_said(&self.judge, &self.survey, self.surface, presumed).expect(READ_HERE);
        (value != "anything").then(|| format!("Taken until somebody looks: {fact}: {value}. {why}"))
    }

    /// Whether it is safe: what is presumed for care, and the lead.
    pub(super) fn whether_safe(&self, put: &Put) -> Option<String> {
        let asks = put.words().any(|w| HARM.contains(&w));
        if !asks || !put.for_yes_or_no() {
            return None;
        }
        let careful = |p: &Presumption| self.book.base.vocabulary.get(p.fact).careful.as_ref() == Some(&p.value);
        let presumed = self.presumed_of(careful).map_or_else(String::new, |told| self.page().paragraph("  ", "    ", &told));
        Some(format!("{presumed}{}", self.what_suits()))
    }

    /// The ways of working that a word in "what about …" may stand for.
    pub(super) fn ways_meant(&self, put: &Put) -> Option<String> {
        let rest = ["what about ", "how about ", "what if i use ", "can i use ", "could i use ", "why not "];
        let rest = rest.into_iter().find_map(|lead| put.plain.strip_prefix(lead))?;
        let rest = rest.strip_prefix("a ").or_else(|| rest.strip_prefix("the ")).or_else(|| rest.strip_prefix("some ")).unwrap_or(rest);
        let same = |w: &str, r: &str| w.len() > 3 && w.trim_end_matches('s') == r.trim_end_matches('s');
        let holds = |name: &str| name.to_lowercase().split(|c: char| !c.is_alphanumeric()).any(|w| same(w, rest));
        let entries = self.book.base.catalogue.entries(EntryKind::Method);
        let meant: Vec<&str> = entries
            .values()
            .filter(|e| [&e.id, &e.title].into_iter().chain(&e.says).any(|n| holds(n)))
            .map(|e| e.title.as_str())
            .take(MOST_MEANT)
            .collect();
        let told = match meant[..] {
            [] => return None,
            [one] => format!("That can be {one}: `check {one}` says whether it may be used here."),
            _ => format!("That can be {}: `check` with one of them says whether it may be used here.", words::list(&meant, "or")),
        };
        Some(self.page().paragraph("  ", "    ", &told))
    }
}
