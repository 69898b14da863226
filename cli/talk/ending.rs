//! Lines that state no fact: that there is no more to say, and where in the building the surface is.

use super::document::Edit;
use super::session::{Asked, Outcome, Session};
use ovolo_engine::role::FactRole;

/// Words that end a talk.
const ENDS: &[&str] = &[
    "that's all",
    "thats all",
    "that is all",
    "that's it",
    "thats it",
    "that is it",
    "that's the lot",
    "thats the lot",
    "that's everything",
    "thats everything",
    "that's about it",
    "thats about it",
    "that'll do",
    "thatll do",
    "that will do",
    "nothing more",
    "that's me done",
];

/// Words behind them that add nothing.
const TAILS: &[&str] = &[
    "mate",
    "thanks",
    "thank you",
    "cheers",
    "ta",
    "then",
    "for now",
    "for today",
    "now",
    "really",
    "folks",
    "i think",
    "i know",
    "i've got",
    "i have",
    "we've got",
    "we know",
    "from me",
    "to say",
    "please",
];

/// Whether a line says that there is no more to say.
pub(super) fn ends(line: &str) -> bool {
    let lower = line.trim().to_lowercase().replace('’', "'");
    let mut plain = lower.trim_matches(|c: char| !c.is_alphanumeric());
    for lead in ["ok ", "okay ", "right ", "well ", "so ", "and ", "no, ", "no "] {
        plain = plain.strip_prefix(lead).unwrap_or(plain);
    }
    while let Some(rest) = TAILS.iter().find_map(|t| plain.strip_suffix(t).filter(|r| r.ends_with([' ', ',']))) {
        plain = rest.trim_end_matches(|c: char| !c.is_alphanumeric());
    }
    ENDS.contains(&plain)
}

/// Words that tell where in a building something is.
const WHERE: &[&str] = &[
    "upstairs",
    "downstairs",
    "front",
    "back",
    "rear",
    "side",
    "left",
    "right",
    "left-hand",
    "right-hand",
    "north",
    "south",
    "east",
    "west",
    "street",
    "garden",
    "end",
    "gable",
    "middle",
    "upper",
    "lower",
];

/// Storeys, before "floor".
const STOREYS: &[&str] =
    &["ground", "first", "second", "third", "fourth", "top", "upper", "lower", "basement", "1st", "2nd", "3rd", "attic"];

/// Rooms.
const ROOMS: &[&str] = &[
    "bedroom",
    "room",
    "kitchen",
    "hall",
    "hallway",
    "landing",
    "lounge",
    "parlour",
    "attic",
    "loft",
    "basement",
    "box",
    "dining",
    "living",
    "sitting",
    "study",
    "nursery",
    "utility",
    "spare",
    "main",
    "elevation",
];

/// Words between them.
const BETWEEN: &[&str] = &[
    "at", "in", "on", "of", "to", "the", "it's", "its", "it", "is", "up", "round", "around", "by", "hand", "facing", "just", "out",
    "that's", "they're", "and", "floor", "storey", "story", "one",
];

impl Session<'_> {
    /// A line that only tells where the surface is: it is kept as a note, for no rule hangs on it.
    pub(super) fn tells_where(&mut self, line: &str) -> Option<Outcome> {
        let surface = self.survey.surfaces.get(self.surface)?;
        let lower = line.trim_matches(|c: char| c.is_whitespace() || matches!(c, '.' | '!' | ',')).to_lowercase().replace('’', "'");
        let words: Vec<&str> = lower.split([' ', ',']).filter(|w| !w.is_empty()).collect();
        let storey = words.windows(2).any(|w| STOREYS.contains(&w[0]) && matches!(w[1], "floor" | "storey" | "story"));
        let place = |w: &&str| WHERE.contains(w);
        let known = |w: &&str| place(w) || ROOMS.contains(w) || BETWEEN.contains(w) || storey && STOREYS.contains(w);
        let bare_room = words.len() < 2 || !(storey || words.iter().any(place));
        if bare_room || !words.iter().all(known) || self.survey.surfaces.iter().any(|s| s.name.eq_ignore_ascii_case(&lower)) {
            return None;
        }
        let element = self.book.base.vocabulary.with(FactRole::Element);
        let asked = match self.asked {
            Some(Asked::Fact { fact, .. }) => Some(fact),
            _ => None,
        };
        // What answers our question is an answer, and what the rule book takes for something else is that.
        let heard = self.listener.hear(line, &self.context());
        let told = heard.said.iter().any(|s| match s {
            ovolo_engine::answer::Said::Fact(f) => Some(f.fact) != element || !storey,
            _ => true,
        });
        if told || asked == element && element.is_some() {
            return None;
        }
        let echo = format!("a note on {}: {}", surface.name, line.trim());
        let edit = Edit::Note { surface: Some(self.surface), text: line.trim().to_owned() };
        let text = self.state(&[edit], &echo).ok()?;
        Some(Outcome { text, understood: true, ..Outcome::default() })
    }
}

#[cfg(test)]
mod tests {
    use super::ends;

    #[test]
    fn no_more_to_say_is_told_from_what_is_said() {
        for line in
            ["that's all", "That’s all, thanks.", "ok that's it then", "that's the lot mate", "no, that's everything", "that'll do for now"]
        {
            assert!(ends(line), "{line}");
        }
        for line in
            ["that's all I want stripped", "that's it, oak", "that's everything listed", "nothing else", "that's right", "no more lead"]
        {
            assert!(!ends(line), "{line}");
        }
    }
}
