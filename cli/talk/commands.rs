//! What can be said at the prompt besides answers: one table, from which parsing, help and completion are made.

/// A command as it was said; what follows it is still text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Command {
    pub(crate) what: What,
    pub(crate) rest: String,
}

/// What a command does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum What {
    Help,
    More,
    Choices,
    Why,
    Skip,
    Questions,
    State,
    Methods,
    Change,
    Suppose,
    Compare,
    Check,
    Propose,
    Watch,
    Advice,
    Set,
    Forget,
    Undo,
    Redo,
    Surfaces,
    Go,
    Next,
    Add,
    Copy,
    Rename,
    Remove,
    Note,
    Depart,
    Title,
    Place,
    Date,
    Reload,
    Quit,
}

/// What may follow a command.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Takes {
    Nothing,
    Method,
    Surface,
    Fact,
    Rule,
    Words,
}

/// One line of the table.
pub(crate) struct Entry {
    pub(crate) what: What,
    /// Ways to say it, the first being the one that is shown.
    pub(crate) words: &'static [&'static str],
    pub(crate) takes: Takes,
    /// Whether it means something with nothing behind it.
    pub(crate) alone: bool,
    /// What stands behind it, for help and hints.
    pub(crate) usage: &'static str,
    pub(crate) help: &'static str,
}

const fn entry(what: What, words: &'static [&'static str], takes: Takes, alone: bool, usage: &'static str, help: &'static str) -> Entry {
    Entry { what, words, takes, alone, usage, help }
}

/// Headings of the help and what stands below each.
#[rustfmt::skip] // a table reads better in rows
pub(crate) const TABLE: &[(&str, &[Entry])] = &[
    ("While answering", &[
        entry(What::Choices, &["choices", "answers"], Takes::Nothing, true, "", "what can be answered"),
        entry(What::More, &["more", "tell me more", "the rest"], Takes::Nothing, true, "", "all that the last answer brought"),
        entry(What::Skip, &["skip", "later", "leave it open", "leave that open", "leave it for now", "leave that for now"], Takes::Nothing, true, "", "leave it open and go on"),
        entry(What::Undo, &["undo", "take back"], Takes::Words, true, "[N]", "take back the last answer, or N of them"),
        entry(What::Redo, &["redo"], Takes::Words, true, "[N]", "put them back"),
        entry(What::Set, &["set"], Takes::Fact, false, "FACT VALUE", "change any answer; so does FACT: VALUE"),
        entry(What::Forget, &["forget"], Takes::Fact, false, "FACT", "make it open again"),
        entry(What::Note, &["note"], Takes::Words, false, "TEXT", "keep a remark; note site TEXT for the whole job"),
    ]),
    ("Asking", &[
        entry(What::Why, &["why", "why not", "why are you asking", "why do you ask", "why do you want to know"], Takes::Method, true, "[METHOD]", "why this is asked, or a method stands as it does"),
        entry(What::Change, &["what would change", "change"], Takes::Method, false, "METHOD", "what would turn it"),
        entry(What::Suppose, &["what if", "suppose"], Takes::Words, false, "ANSWER", "try it, keep nothing"),
        entry(What::Compare, &["compare"], Takes::Method, false, "METHOD with METHOD", "side by side"),
        entry(What::Check, &["check"], Takes::Method, false, "METHOD [with SETTINGS]", "check a proposal"),
        entry(What::Propose, &["propose"], Takes::Method, false, "METHOD [with SETTINGS]", "check it and write it down"),
        entry(What::Methods, &["methods"], Takes::Nothing, true, "", "where each stands here"),
        entry(What::Watch, &["watch", "cautions"], Takes::Nothing, true, "", "what to watch here"),
        entry(What::Questions, &["questions", "what is left", "what's left", "what's next", "whats next", "what next", "what is next"], Takes::Nothing, true, "", "what is left to find out here"),
        entry(What::State, &["state", "so far", "summary", "sum up"], Takes::Nothing, true, "", "what has been said"),
        entry(What::Advice, &["advice"], Takes::Words, true, "[all]", "the whole advice"),
    ]),
    ("Surfaces", &[
        entry(What::Surfaces, &["surfaces"], Takes::Nothing, true, "", "all of them"),
        entry(What::Go, &["go to", "go"], Takes::Surface, false, "SURFACE", "go on with another"),
        entry(What::Next, &["next"], Takes::Nothing, true, "", "the next one"),
        entry(What::Add, &["add", "new surface"], Takes::Words, false, "NAME", "a new one"),
        entry(What::Copy, &["same as", "copy"], Takes::Surface, false, "SURFACE [as NAME] [but ANSWER]", "one like another"),
        entry(What::Rename, &["rename"], Takes::Words, false, "NAME", "call this one otherwise"),
        entry(What::Remove, &["remove"], Takes::Surface, true, "[SURFACE]", "take one out"),
    ]),
    ("The job", &[
        entry(What::Title, &["title"], Takes::Words, false, "TEXT", "what it is called"),
        entry(What::Place, &["place"], Takes::Words, false, "PLACE", "whose law is applied"),
        entry(What::Date, &["date"], Takes::Words, false, "YYYY-MM-DD", "the day advice is for"),
        entry(What::Depart, &["depart from"], Takes::Rule, false, "RULE", "record a departure, with who, why and until when"),
        entry(What::Reload, &["reload"], Takes::Nothing, true, "", "read the file again after somebody else wrote to it"),
        entry(What::Help, &["help", "?", "what can you do", "how does this work"], Takes::Words, true, "[WORD]", "this page, or more of one word"),
        entry(What::Quit, &["quit", "bye", "done", "i'm done", "im done", "we're done", "all done", "finished", "that's all for now", "that's it for now"], Takes::Nothing, true, "", "leave; everything is on disk"),
    ]),
];

/// Every entry of the table.
pub(crate) fn entries() -> impl Iterator<Item = &'static Entry> {
    TABLE.iter().flat_map(|(_, entries)| entries.iter())
}

/// The command a line begins with, longest words first; `None` where it begins with none, or lacks or has too much.
pub(crate) fn parse(line: &str) -> Option<Command> {
    let line = line.trim();
    let mut ways: Vec<(&Entry, &str)> = entries().flat_map(|e| e.words.iter().map(move |w| (e, *w))).collect();
    ways.sort_by_key(|(_, w)| std::cmp::Reverse(w.len()));
    for (entry, words) in ways {
        let Some(rest) = after(line, words) else { continue };
        let rest = rest.trim_start_matches([':', ' ']).trim();
        // "why?" is as good as "why".
        let rest = if rest.trim_matches(['?', '!', '.', ' ']).is_empty() { "" } else { rest };
        let fits = if rest.is_empty() { entry.alone } else { entry.takes != Takes::Nothing };
        if fits {
            return Some(Command { what: entry.what, rest: rest.to_owned() });
        }
    }
    None
}

/// What stands behind some words at the beginning of a line.
fn after<'l>(line: &'l str, words: &str) -> Option<&'l str> {
    let mut rest = line;
    for (i, word) in words.split(' ').enumerate() {
        if i > 0 {
            rest = rest.strip_prefix(' ')?.trim_start();
        }
        let head = rest.get(..word.len())?;
        if !head.eq_ignore_ascii_case(word) {
            return None;
        }
        rest = &rest[word.len()..];
    }
    (rest.is_empty() || rest.starts_with([' ', ':']) || rest.trim_matches(['?', '!']).is_empty()).then_some(rest)
}

/// Whether a line begins with a command's words but lacks what has to follow: its usage.
pub(crate) fn unfinished(line: &str) -> Option<&'static Entry> {
    entries().find(|e| !e.alone && e.words.iter().any(|w| after(line.trim(), w).is_some_and(|r| r.trim_matches([' ', ':']).is_empty())))
}

/// The command words nearest to what was typed.
pub(crate) fn near(line: &str) -> Option<&'static str> {
    let first = line.split_whitespace().next()?;
    ovolo_engine::words::nearest(first, entries().flat_map(|e| e.words.iter().copied()).filter(|w| !w.contains(' ') && w.len() > 2))
        .filter(|w| strsim_close(first, w))
}

/// Slips of one letter only: a command is not guessed at from afar.
fn strsim_close(typed: &str, word: &str) -> bool {
    let (a, b): (Vec<char>, Vec<char>) = (typed.to_lowercase().chars().collect(), word.chars().collect());
    if a.len().abs_diff(b.len()) > 1 {
        return false;
    }
    let differing = a.iter().zip(&b).filter(|(x, y)| x != y).count();
    let mut sorted = (a.clone(), b.clone());
    sorted.0.sort_unstable();
    sorted.1.sort_unstable();
    differing <= 1 || sorted.0 == sorted.1 || b.iter().filter(|c| a.contains(c)).count() + 1 >= b.len() && a.first() == b.first()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parsed(line: &str) -> Option<(What, String)> {
        parse(line).map(|c| (c.what, c.rest))
    }

    #[test]
    fn commands_take_what_follows() {
        assert_eq!(parsed("undo"), Some((What::Undo, String::new())));
        assert_eq!(parsed("Undo 3"), Some((What::Undo, "3".into())));
        assert_eq!(parsed("why not hot-air"), Some((What::Why, "hot-air".into())));
        assert_eq!(parsed("why hot-air"), Some((What::Why, "hot-air".into())));
        assert_eq!(parsed("go to front door"), Some((What::Go, "front door".into())));
        assert_eq!(parsed("same as the door but softwood"), Some((What::Copy, "the door but softwood".into())));
        assert_eq!(parsed("what if oak"), Some((What::Suppose, "oak".into())));
        assert_eq!(parsed("note: ring the owner"), Some((What::Note, "ring the owner".into())));
    }

    #[test]
    fn words_that_only_begin_alike_are_no_commands() {
        assert_eq!(parsed("sets of doors"), None);
        assert_eq!(parsed("helpful"), None);
        assert_eq!(parsed("state of the paint is poor"), None);
        assert_eq!(parsed("oak"), None);
        assert_eq!(unfinished("check").map(|e| e.what), Some(What::Check));
    }

    #[test]
    fn no_words_mean_two_commands() {
        let mut all: Vec<&str> = entries().flat_map(|e| e.words.iter().copied()).collect();
        let many = all.len();
        all.sort_unstable();
        all.dedup();
        assert_eq!(all.len(), many);
    }
}
