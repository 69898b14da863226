//! Whether a line asks something of us, told by the small words of English that make a question, whatever it is about.

/// How plainly a line asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum How {
    /// It says something.
    Not,
    /// It begins like a question and may still be a statement: "what the client wants is oak".
    Open,
    /// It ends like one: "heat gun at 500 F ok?" asks, "oak?" is an answer in doubt.
    Marked,
    /// It is one: "can I burn it off".
    Plainly,
}

/// A line with what it asks.
#[derive(Debug, Clone)]
pub(super) struct Put {
    /// The words in small letters, without those that only lead up to the question.
    pub(super) plain: String,
    pub(super) how: How,
}

/// Verbs that ask where they stand before their subject.
const VERBS: &[&str] = &[
    "can",
    "could",
    "may",
    "should",
    "is",
    "are",
    "was",
    "would",
    "will",
    "do",
    "does",
    "did",
    "am",
    "shall",
    "must",
    "has",
    "have",
    "need",
    "can't",
    "couldn't",
    "shouldn't",
    "isn't",
    "aren't",
    "won't",
    "wouldn't",
    "don't",
    "doesn't",
    "cant",
    "isnt",
    "wont",
    "dont",
];

/// Subjects that may stand behind such a verb.
const SUBJECTS: &[&str] = &[
    "i", "we", "you", "it", "that", "this", "the", "a", "an", "they", "there", "he", "she", "one", "anyone", "anybody", "somebody",
    "these", "those", "my", "our", "any",
];

/// Verbs that as often say what is, had or needs doing where their subject is left out: "have it in writing", "was a shop". They
/// ask only before whoever is asked about.
const SAYING: &[&str] = &["was", "do", "did", "has", "have", "need", "must", "dont", "don't"];

/// Verbs of what something is, which do not ask before a thing unless the line ends like a question: "is a shop now".
const BEING: &[&str] = &["is", "are", "isn't", "aren't", "isnt", "will", "wont", "won't"];

/// Words that begin a question for something else than yes or no.
const OPEN: &[&str] = &["what", "how", "who", "whom", "which", "why", "when", "where", "what'd", "how'd"];

/// The same with a verb in them.
const OPEN_IS: &[&str] = &["what's", "whats", "who's", "whos", "how's", "hows", "where's", "wheres", "when's", "why's"];

/// Words that ask for leave, at the beginning of a line or behind a way of working.
const LEAVE: &[&str] = &[
    "ok to",
    "okay to",
    "alright to",
    "all right to",
    "safe to",
    "fine to",
    "allowed to",
    "possible to",
    "what about",
    "how about",
    "any chance of",
    "any way to",
    "any way of",
    "any harm in",
];

/// Words that say that something is all right.
const RIGHT: &[&str] = &["ok", "okay", "alright", "right", "allowed", "safe", "fine", "legal"];

/// Words that lead up to a question.
const LEADS: &[&str] = &[
    "so",
    "and",
    "well",
    "ok",
    "okay",
    "right",
    "but",
    "then",
    "er",
    "erm",
    "um",
    "hang on",
    "sorry",
    "just",
    "actually",
    "now",
    "hey",
    "hi",
    "mate",
    "quick question",
    "one question",
    "question",
    "quick one",
    "out of interest",
    "tell me",
    "by the way",
    "go on then",
    "go on",
    "oh",
    "please",
];

/// Requests for help, which begin a job and ask nothing.
const HELP: &[&str] = &["can you help", "could you help", "can you have a look", "can you look", "could you look", "can you do"];

impl Put {
    pub(super) fn read(line: &str) -> Self {
        let lower = line.trim().to_lowercase().replace('’', "'");
        let marked = lower.ends_with('?') || lower.ends_with("?!");
        let mut plain = lower.trim_end_matches(['?', '!', '.', ' ', '…']);
        while !begins_with(plain, LEAVE) {
            let Some(rest) = LEADS.iter().find_map(|l| behind(plain, l)) else { break };
            plain = rest;
        }
        let words: Vec<&str> = plain.split(|c: char| c.is_whitespace() || c == ',').filter(|w| !w.is_empty()).collect();
        let first = words.first().copied().unwrap_or("");
        let inverted = |at: usize| {
            let (Some(verb), Some(subject)) = (words.get(at), words.get(at + 1)) else { return false };
            let whom: &[&str] = match verb {
                _ if marked => SUBJECTS,
                v if SAYING.contains(v) => &["i", "we", "you", "they"],
                v if BEING.contains(v) => &["it", "that", "this", "there", "they", "he", "she", "these", "those"],
                _ => SUBJECTS,
            };
            VERBS.contains(verb) && whom.contains(subject)
        };
        let right = VERBS.contains(&first) && words.len() > 2 && RIGHT.contains(&words[words.len() - 1]);
        let asked_for_leave = inverted(0) || begins_with(plain, LEAVE) || right;
        let open = OPEN.contains(&first) && (marked || (1..=3).any(inverted)) || OPEN_IS.contains(&first) && marked;
        let how = if begins_with(plain, HELP) {
            How::Not
        } else if asked_for_leave || open {
            How::Plainly
        } else if marked {
            How::Marked
        } else if OPEN.contains(&first) || OPEN_IS.contains(&first) || begins_with(plain, &["any ideas", "any suggestions", "any advice"]) {
            How::Open
        } else {
            How::Not
        };
        Self { plain: plain.to_owned(), how }
    }

    /// Whether it asks, or may.
    pub(super) fn asks(&self) -> bool {
        self.how != How::Not
    }

    pub(super) fn words(&self) -> impl Iterator<Item = &str> {
        self.plain.split(|c: char| c.is_whitespace() || matches!(c, ',' | '?' | '!' | ';')).filter(|w| !w.is_empty())
    }

    pub(super) fn first(&self) -> &str {
        self.words().next().unwrap_or("")
    }

    fn has(&self, wanted: &[&str]) -> bool {
        self.words().any(|w| wanted.contains(&w))
    }

    /// Whether it asks for leave to do something, so that the doing is what is asked about.
    pub(super) fn for_leave(&self) -> bool {
        const LEAVES: &[&str] = &["can", "could", "may", "is", "are", "would", "will", "can't", "couldn't", "isn't", "won't", "what if"];
        self.how == How::Marked || LEAVES.contains(&self.first()) || begins_with(&self.plain, LEAVE)
    }

    /// Whether it asks what we would do, or what there is to choose from.
    pub(super) fn for_the_best(&self) -> bool {
        const DOING: &[&str] = &[
            "do",
            "use",
            "suggest",
            "recommend",
            "reckon",
            "think",
            "advise",
            "start",
            "strip",
            "tackle",
            "approach",
            "remove",
            "get",
            "go",
            "try",
            "choose",
            "pick",
        ];
        const CHOICE: &[&str] =
            &["best", "better", "recommend", "options", "works", "work", "suits", "suitable", "ideas", "suggestions", "advice", "way"];
        let who = self.has(&["i", "we", "you", "one", "i'd", "we'd", "you'd"]);
        let open = ["what", "how", "which", "what'd", "how'd", "what's", "whats", "any", "where"].contains(&self.first());
        // The doing is the last verb of "what would you do": "what would you call it" asks something else.
        (open && self.asks())
            && (self.has(CHOICE) || (who && self.words().skip(2).any(|w| DOING.contains(&w))) || self.plain.starts_with("what to "))
            || self.has(&["recommend", "suggest", "options"])
            || ["what then", "what now", "what next"].contains(&self.plain.as_str())
    }

    /// Whether it asks for a yes or a no, and not what could be: "could it be pine" is a guess.
    pub(super) fn for_yes_or_no(&self) -> bool {
        const ASKS: &[&str] = &[
            "is", "are", "isn't", "aren't", "isnt", "arent", "was", "does", "do", "doesn't", "has", "have", "hasn't", "will", "am",
            "should", "any", "can",
        ];
        matches!(self.how, How::Plainly | How::Marked) && ASKS.contains(&self.first())
    }

    /// What a question to whom one turns is about: the bats of "who do I call about bats".
    pub(super) fn about_what(&self) -> Option<&str> {
        let whom = ["who", "whom", "who's", "whos", "what"].contains(&self.first()) || self.has(&["call", "ring", "ask", "tell"]);
        let at = [" about ", " for ", " with "].iter().filter_map(|w| self.plain.find(w)).min()?;
        whom.then(|| self.plain[at..].trim())
    }

    /// Whether it asks what something means.
    pub(super) fn for_the_meaning(&self) -> bool {
        const LOST: &[&str] = &[
            "what",
            "eh",
            "huh",
            "pardon",
            "come again",
            "say again",
            "what's that",
            "whats that",
            "what is that",
            "what's this",
            "explain",
            "what do you mean",
            "i don't understand",
            "don't understand",
            "i don't follow",
            "don't follow",
            "not with you",
            "how do you mean",
        ];
        LOST.contains(&self.plain.as_str()) || self.asks() && self.has(&["mean", "means", "meaning", "meant"])
    }

    /// Whether it asks how something is found out.
    pub(super) fn for_finding_out(&self) -> bool {
        const FINDING: &[&str] = &["know", "tell", "find", "test", "check", "measure", "see", "look", "tested", "identify", "recognise"];
        ["how", "where", "who", "what"].contains(&self.first()) && self.asks() && self.words().skip(1).any(|w| FINDING.contains(&w))
    }
}

fn begins_with(text: &str, any: &[&str]) -> bool {
    any.iter().any(|w| text == *w || behind(text, w).is_some())
}

/// What stands behind some words, where it is more than their ending.
fn behind<'t>(text: &'t str, words: &str) -> Option<&'t str> {
    let rest = text.strip_prefix(words)?;
    let parted = rest.starts_with([' ', ',', '-', ':', ';', '.', '!', '?']);
    let rest = rest.trim_start_matches([' ', ',', '-', ':', ';', '.', '!', '?']);
    (parted && !rest.is_empty()).then_some(rest)
}

#[cfg(test)]
mod tests {
    use super::{How, Put};

    #[test]
    fn a_question_is_told_from_an_answer() {
        for line in [
            "can I burn it off?",
            "so can I just sand it",
            "is a heat gun all right",
            "ok to sand it",
            "how long will it take",
            "who do I call",
            "do I need a mask",
            "what about a torch",
            "how hot can I have the gun",
            "is sanding ok",
            "why?",
        ] {
            assert_eq!(Put::read(line).how, How::Plainly, "{line}");
        }
        for line in ["oak?", "hot air at 1000 F ok?", "asbestos, maybe?"] {
            assert_eq!(Put::read(line).how, How::Marked, "{line}");
        }
        for line in [
            "have it in writing",
            "was a shop, now flats",
            "did a swab, no lead",
            "need it sound to repaint",
            "do it by hand",
            "is a nursery",
            "can be taken down",
            "could be lime",
            "is oak",
            "may be listed",
            "ok",
            "right",
            "asbestos? shouldn't be",
            "front door",
        ] {
            assert_eq!(Put::read(line).how, How::Not, "{line}");
        }
        for line in ["what the client wants is oak", "who knows", "when it was built nobody knows", "where it flakes it is bare"] {
            assert_eq!(Put::read(line).how, How::Open, "{line}");
        }
    }

    #[test]
    fn what_is_asked_for() {
        for line in
            ["what would you do?", "so what can I use?", "what's best here?", "how do i strip it", "which would you go for", "any ideas"]
        {
            assert!(Put::read(line).for_the_best(), "{line}");
        }
        for line in ["who do I call?", "why are you asking?", "can I burn it off", "what do you mean"] {
            assert!(!Put::read(line).for_the_best(), "{line}");
        }
        assert!(Put::read("what's that mean?").for_the_meaning());
        assert!(Put::read("how do I test for lead").for_finding_out());
        assert!(Put::read("could I sand it").for_leave());
        assert!(!Put::read("do I need a mask to sand it").for_leave());
    }
}
