//! What is said to put right what was said before: "wait no, it's pine", "scrap that", "only at weekends though".

use super::document::Edit;
use super::session::{Asked, Outcome, Pending, Session, Todo};
use super::withdrawn::{joined, taken_back};
use ovolo_engine::answer::{Heard, Said};

/// Words that begin a correction.
const CORRECTS: &[&str] = &[
    "no hang on",
    "no wait",
    "no sorry",
    "wait no",
    "hang on",
    "hold on",
    "wait a minute",
    "wait",
    "sorry i meant",
    "sorry, i meant",
    "sorry",
    "correction",
    "make that",
    "i meant",
    "i mean",
    "actually no",
    "actually",
    "my mistake",
    "oops",
    "no,",
    "no -",
    "nope,",
    "apologies",
];

/// Words that begin a correction where what follows names a thing: "no it's oak"; "no it's fine" answers what was asked.
const NO_IT_IS: &[&str] = &[
    "no it's",
    "no its",
    "no it is",
    "no they're",
    "no they are",
    "no that's",
    "no this is",
    "nah it's",
    "nah its",
    "nope it's",
    "nope its",
    "no, it's",
    "no, its",
    "no, they're",
    "no, that's",
    "it's not, it's",
    "no it was",
    "not that, it's",
];

/// Words that take the last answer back, whatever follows.
const SCRAPS: &[&str] = &[
    "scrap the last one",
    "scrap the last",
    "scrap that",
    "scrub that",
    "scratch that",
    "strike that",
    "forget that",
    "ignore that",
    "cancel that",
    "take that back",
    "i take that back",
    "scrub the last one",
    "scrub the last",
    "forget the last one",
    "delete that",
];

/// Words within a line by which what comes after them puts right what stands before: "300 square feet - no, 3000".
const WITHIN: &[&str] = &[
    " - no, ",
    " - no ",
    " – no, ",
    " – no ",
    "... no, ",
    "... no ",
    "… no, ",
    "… no ",
    ", no wait, ",
    ", no wait ",
    " no wait, ",
    " no wait ",
    ", wait no, ",
    ", wait, no, ",
    " wait no ",
    ", no sorry, ",
    ", no sorry ",
    " no sorry ",
    ", sorry, ",
    ", sorry ",
    " - sorry - ",
    " - sorry, ",
    " - sorry ",
    ", i mean ",
    " i mean ",
    ", make that ",
    " make that ",
    ", or rather ",
    ", rather ",
    ", no make it ",
    ", correction, ",
    ", no, ",
    ", no ",
];

/// Denials of having or doing, which answer no question of what something is.
const DENIALS: &[&str] = &[
    "we don't",
    "we do not",
    "we haven't",
    "i don't",
    "i haven't",
    "they don't",
    "they haven't",
    "we don't have it",
    "we haven't got it",
    "we don't have that",
    "we haven't got one",
    "we haven't any",
    "we didn't",
    "they didn't",
];

/// A line without words that begin it, if it begins with them.
fn without<'l>(line: &'l str, words: &[&str]) -> Option<&'l str> {
    let lower = line.to_lowercase();
    let found = words.iter().filter(|w| lower.starts_with(**w)).max_by_key(|w| w.len())?;
    let rest = line.get(found.len()..)?;
    let ends = found.ends_with([',', '-']) || rest.chars().next().is_none_or(|c| !c.is_alphanumeric() && c != '\'');
    ends.then(|| rest.trim_start_matches([',', '.', ';', ':', '-', '!', ' ', '…']))
}

impl Session<'_> {
    /// A line that puts right what was said before; `None` where it is an answer like any other.
    pub(super) fn corrects(&mut self, line: &str) -> Option<Outcome> {
        if self.correcting {
            return None;
        }
        if let Some(outcome) = self.denied_after_all(line) {
            return Some(outcome);
        }
        if let Some(outcome) = self.put_right_within(line) {
            return Some(outcome);
        }
        if let Some(outcome) = self.figure_not(line) {
            return Some(outcome);
        }
        if let Some(outcome) = self.not_but(line) {
            return Some(outcome);
        }
        if let Some(rest) = without(line, SCRAPS) {
            if rest.is_empty() && self.now > 0 {
                let undone = self.undo("").unwrap_or_else(|why| Outcome { text: format!("  {why}\n"), ..Outcome::default() });
                return Some(undone);
            }
            return Some(self.corrected(rest).unwrap_or_else(|| self.take_back()));
        }
        if let Some(rest) = without(line, NO_IT_IS)
            && self.names_a_thing(rest)
            && let Some(outcome) = self.corrected(rest)
        {
            return Some(outcome);
        }
        let mut rest = without(line, CORRECTS)?;
        while let Some(more) = without(rest, CORRECTS) {
            rest = more;
        }
        if rest.is_empty() {
            return Some(self.take_back());
        }
        // "no, it isn't" is an answer; "no, cast" puts something right.
        let heard = self.listener.hear(line, &self.context());
        let answers = heard.unheard.is_empty()
            && matches!(self.asked, Some(Asked::Fact { fact, .. }) if heard.said.iter().any(|s| matches!(s, Said::Fact(f) if f.fact == fact)));
        if answers {
            return None;
        }
        let strong = line.to_lowercase().starts_with("no hang on");
        self.corrected(rest).or_else(|| (self.now > 0 && (heard.said.is_empty() || strong)).then(|| self.take_back()))
    }

    /// "We have consent", and then "no we don't": what was said last is not so after all.
    fn denied_after_all(&mut self, line: &str) -> Option<Outcome> {
        let plain = line.to_lowercase().replace('’', "'");
        let plain = plain.trim_matches(|c: char| !c.is_alphanumeric());
        let plain = ["actually no", "wait no", "actually", "sorry", "no", "nope", "nah"]
            .iter()
            .find_map(|w| plain.strip_prefix(w))
            .unwrap_or(plain);
        if !DENIALS.contains(&plain.trim_matches([' ', ','])) {
            return None;
        }
        let yes_no = |fact| matches!(self.book.base.vocabulary.get(fact).kind, ovolo_engine::vocabulary::FactKind::YesNo);
        let said = self.last.iter().rev().find_map(|e| match e {
            Edit::Fact { at, fact, toml } if yes_no(*fact) && toml == "true" => Some((*at, *fact)),
            _ => None,
        });
        if let Some((at, fact)) = said {
            let title = self.book.base.vocabulary.get(fact).title.clone();
            let edit = Edit::Fact { at, fact, toml: "false".to_owned() };
            let text = self.state(&[edit], &format!("{title}: no (until now: yes)")).ok()?;
            return Some(Outcome { text, understood: true, ..Outcome::default() });
        }
        let answers = matches!(self.asked, Some(Asked::Fact { fact, .. }) if yes_no(fact));
        (!answers && self.now > 0).then(|| self.take_back())
    }

    /// Whether some words name what a thing is, one among many, and nothing that would ask for less care.
    fn names_a_thing(&self, rest: &str) -> bool {
        let heard = self.listener.hear(rest, &self.context());
        let vocabulary = &self.book.base.vocabulary;
        let named = |f: &ovolo_engine::answer::Statement| {
            let fact = vocabulary.get(f.fact);
            matches!(fact.kind, ovolo_engine::vocabulary::FactKind::Entry(_)) && !f.readings.iter().any(|r| fact.eased_by(&r.known))
        };
        let eases = heard.said.iter().any(|s| match s {
            Said::Fact(f) => f.readings.iter().any(|r| vocabulary.get(f.fact).eased_by(&r.known)),
            Said::Coats(coats) => coats.is_empty(),
            _ => false,
        });
        heard.unheard.is_empty() && !eases && heard.said.iter().any(|s| matches!(s, Said::Fact(f) if named(f)))
    }

    /// "Not softwood, hard": what comes after is about what is denied, where that stands.
    fn not_but(&mut self, line: &str) -> Option<Outcome> {
        let (head, tail) = line.split_once([',', ';'])?;
        let denied = head.get(..4).filter(|h| h.eq_ignore_ascii_case("not ")).and_then(|_| head.get(4..))?;
        let heard = self.listener.hear(denied, &self.context());
        let [Said::Fact(was)] = &heard.said[..] else { return None };
        let about = self.book.base.vocabulary.get(was.fact).about;
        let coat = was.coat.or_else(|| (about == ovolo_engine::vocabulary::About::Coat).then_some(0));
        let place = super::document::at(about, self.surface, coat);
        let stands = &self.facts_at(place)?.get(&was.fact)?.known;
        if !was.readings.iter().any(|r| r.known == *stands) {
            return None;
        }
        let surface = if about == ovolo_engine::vocabulary::About::Site { 0 } else { self.surface };
        let kept = self.asked.replace(Asked::Fact { fact: was.fact, surface, coat });
        let tail = tail.trim();
        let instead = self.listener.hear(tail, &self.context());
        let states = instead.said.iter().any(|s| matches!(s, Said::Fact(f) if f.fact == was.fact));
        let outcome = states.then(|| {
            self.correcting = true;
            let outcome = self.take(tail, &instead);
            self.correcting = false;
            outcome
        });
        self.asked = kept;
        outcome
    }

    /// "30 foot, not 3": the figure said last, put right.
    fn figure_not(&mut self, line: &str) -> Option<Outcome> {
        let (head, tail) = line.split_once(", not ").or_else(|| line.split_once(" not "))?;
        let figures = |t: &str| t.contains(|c: char| c.is_ascii_digit());
        let number = self.last.iter().any(|e| match e {
            Edit::Fact { fact, .. } => {
                let kind = &self.book.base.vocabulary.get(*fact).kind;
                matches!(kind, ovolo_engine::vocabulary::FactKind::Number { .. } | ovolo_engine::vocabulary::FactKind::Year { .. })
            }
            _ => false,
        });
        if !(figures(head) && figures(tail) && number) {
            return None;
        }
        self.corrected(head)
    }

    /// "300 square feet - no, 3000": the line is taken as if what was put right had been said so at once.
    fn put_right_within(&mut self, line: &str) -> Option<Outcome> {
        let lower = line.to_lowercase();
        if lower.len() != line.len() {
            return None;
        }
        let (at, word) =
            WITHIN.iter().filter_map(|w| lower.find(w).map(|at| (at, *w))).min_by_key(|(at, w)| (*at, usize::MAX - w.len()))?;
        let (head, tail) = (line[..at].trim(), line[at + word.len()..].trim());
        // "10 ft, no 12 ft" puts a figure right; "oak, no paint" says something else.
        if word == ", no " && !tail.starts_with(|c: char| c.is_ascii_digit()) {
            return None;
        }
        let first = self.listener.hear(head, &self.context());
        let [.., Said::Fact(was)] = &first.said[..] else { return None };
        // The last thing said before it, and all that was said before that.
        let before = head.get(..was.at.start)?.trim_end_matches([' ', ',']);
        let coat = was.coat;
        let about = Asked::Fact { fact: was.fact, surface: self.surface, coat };
        let kept = self.asked.replace(about.clone());
        let tail_says = |text: &str, session: &Self| {
            let heard = session.listener.hear(text, &session.context());
            let says = |s: &Said| matches!(s, Said::Fact(f) if f.fact == was.fact && f.readings.iter().map(|r| &r.toml).ne(was.readings.iter().map(|r| &r.toml)));
            heard.unheard.is_empty() && heard.said.iter().any(says)
        };
        // "3000" of 300 square feet are square feet.
        let unit: String = head.get(was.at.clone()).unwrap_or("").trim_start_matches(|c: char| !c.is_alphabetic()).to_owned();
        let bare = tail.chars().all(|c| c.is_ascii_digit() || c == '.' || c == ',');
        let tail = if bare && !unit.is_empty() { format!("{} {unit}", tail.trim_end_matches(['.', ','])) } else { tail.to_owned() };
        let outcome = tail_says(&tail, self).then(|| {
            self.correcting = true;
            let outcome = if before.is_empty() { None } else { Some(self.answer(before)) };
            self.asked = Some(about);
            let heard = self.listener.hear(&tail, &self.context());
            let right = self.take(&tail, &heard);
            self.correcting = false;
            joined(outcome, right)
        });
        if outcome.is_none() {
            self.asked = kept;
        }
        outcome
    }

    /// The rest of a correction as an answer to what was stated last, or else to what it names.
    fn corrected(&mut self, rest: &str) -> Option<Outcome> {
        // A figure puts a figure right.
        let kind = |f: ovolo_engine::vocabulary::FactId| &self.book.base.vocabulary.get(f).kind;
        let numeric =
            |f| matches!(kind(f), ovolo_engine::vocabulary::FactKind::Number { .. } | ovolo_engine::vocabulary::FactKind::Year { .. });
        let figure = rest.starts_with(|c: char| c.is_ascii_digit());
        let facts = || self.last.iter().rev().filter_map(|e| if let Edit::Fact { at, fact, .. } = e { Some((*at, *fact)) } else { None });
        let last = facts().find(|(_, f)| !figure || numeric(*f)).or_else(|| facts().next());
        let states = |heard: &Heard| heard.said.iter().any(|s| matches!(s, Said::Fact(_) | Said::Coats(_)));
        let mut asked = self.asked.clone();
        if let Some((place, fact)) = last {
            use super::document::At;
            let (surface, coat) = match place {
                At::Site => (0, None),
                At::Surface(s) => (s, None),
                At::Coat(s, c) => (s, c),
            };
            let about = Some(Asked::Fact { fact, surface, coat });
            let before = std::mem::replace(&mut self.asked, about.clone());
            let heard = self.listener.hear(rest, &self.context());
            self.asked = before;
            if heard.said.iter().any(|s| matches!(s, Said::Fact(f) if f.fact == fact)) {
                asked = about;
            }
        }
        let kept = std::mem::replace(&mut self.asked, asked);
        let heard = self.listener.hear(rest, &self.context());
        let outcome = states(&heard).then(|| {
            // "Sorry, church" behind a release: what is put right is not what was said, so that may be wrong too.
            let doubted = if self.says_of_the_last(&heard) { None } else { self.in_doubt(&taken_back(rest)) };
            self.correcting = true;
            let outcome = self.take(rest, &heard);
            self.correcting = false;
            joined(doubted, outcome)
        });
        self.asked = kept;
        outcome
    }

    /// Whether the last answer is to be taken back.
    fn take_back(&mut self) -> Outcome {
        let what = self.snapshots[self.now].what.clone();
        if let Some(outcome) = self.in_doubt(&format!("Is what was noted last to be taken back ({what})?")) {
            return outcome;
        }
        let ask = format!("Is what was noted last to be taken back ({what})?");
        let options = vec![("yes, take it back".to_owned(), Todo::Command("undo".to_owned())), ("no, it stands".to_owned(), Todo::Leave)];
        self.pending.push_back(Pending::Choose { ask, options });
        Outcome { understood: true, ..Outcome::default() }
    }
}
