//! One line after the other: what waits for an answer, what is a command, what is an answer, and what to ask next.

use super::commands;
use super::document::quoted;
use super::effects::counted;
use super::session::{Asked, Outcome, Pending, Session, Todo};
use ovolo_engine::answer::Said;
use ovolo_engine::explain::Question;
use ovolo_engine::vocabulary::{About, FactKind};
use ovolo_engine::words;

/// The most choices that are named behind a question.
const MOST_NAMED: usize = 6;

/// What is asked for first, second and last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Round {
    Verdicts,
    Releases,
    Cautions,
}

/// A question ready to be put.
#[derive(Debug, Default)]
pub(super) struct Next {
    pub(super) asked: Option<Asked>,
    /// That another surface comes next.
    pub(super) on_to: String,
    /// The question itself.
    pub(super) short: String,
    /// What can be answered.
    pub(super) among: String,
    /// Why, and how to find out.
    pub(super) more: String,
}

/// The longest line that is looked at.
const LONGEST_LINE: usize = 4_000;

impl Session<'_> {
    /// What to show first.
    pub fn greeting(&self, file: &str, new: bool) -> String {
        let page = self.page();
        let mut text = String::new();
        if new {
            text.push_str(&page.paragraph("", "", &format!("A new survey, kept in {file} after every answer. Say things as they come; `help` shows what else can be said, `quit` leaves.")));
            text.push_str(&page.paragraph("", "", ovolo_engine::advice::DEFERS));
            return text;
        }
        let open: usize = self.outlooks.iter().map(|o| o.undecided()).sum();
        let many = counted(self.survey.surfaces.len(), "surface", "surfaces");
        text.push_str(&page.paragraph(
            "",
            "",
            &format!(
                "{}: {many}, {}, kept in {file} after every answer. `help` shows what can be said, `quit` leaves.",
                self.survey.title,
                counted(open, "method can't be told yet", "methods can't be told yet")
            ),
        ));
        match self.place() {
            Some(place) => text.push_str(&page.paragraph("", "", &format!("The law of {place} is applied, as of {}.", self.date()))),
            None => {
                text.push_str(&page.paragraph("", "", &format!("As of {}. No place is given, so no local law is applied.", self.date())));
            }
        }
        text.push_str(&page.paragraph("", "", ovolo_engine::advice::DEFERS));
        text
    }

    /// The words before the cursor.
    pub fn prompt(&self) -> String {
        if !self.pending.is_empty() {
            return if matches!(self.pending.front(), Some(Pending::Text { .. })) { "> " } else { "which? " }.to_owned();
        }
        match self.survey.surfaces.get(self.surface) {
            Some(surface) => format!("{}> ", crate::problems::harmless(&surface.name)),
            None => "> ".to_owned(),
        }
    }

    /// What to ask now, in words; also decides what a bare answer will be about.
    pub fn question(&mut self) -> String {
        let page = self.page();
        if let Some(pending) = self.pending.front() {
            return match pending {
                // It waits in a line once it has been shown.
                Pending::Choose { ask, .. } if self.shown.as_deref() == Some(ask) => {
                    // It is said once that it waits; after that the prompt alone says so.
                    let again = std::mem::replace(&mut self.reminded, true);
                    if again {
                        String::new()
                    } else {
                        page.paragraph("", "  ", &format!("Still waiting: {ask} `choices` shows the answers."))
                    }
                }
                Pending::Choose { ask, options } => {
                    self.shown = Some(ask.clone());
                    self.reminded = false;
                    let mut text = page.paragraph("", "  ", ask);
                    for (i, (label, _)) in options.iter().enumerate() {
                        text.push_str(&page.paragraph(&format!("  {}  ", i + 1), "     ", label));
                    }
                    text
                }
                Pending::Text { ask, .. } => page.paragraph("", "  ", ask),
            };
        }
        self.shown = None;
        let next = self.next();
        // The same question once more is put in a line.
        let again = next.asked.is_some() && next.asked == self.put;
        self.put.clone_from(&next.asked);
        self.asked = next.asked;
        let mut text = format!(
            "\n{}{}",
            next.on_to,
            self.page().paragraph("", "  ", &format!("{}{}", next.short, if again { "" } else { &next.among }))
        );
        // Why and how are told with the first question; after that `why` tells them.
        let first = !self.begun() || self.asked.is_none();
        self.just = None;
        if first && !again && !next.more.is_empty() {
            text.push_str(&self.page().paragraph("  ", "  ", &next.more));
        }
        text
    }

    fn next(&mut self) -> Next {
        let plain = |asked: Option<Asked>, short: &str, more: &str| Next {
            asked,
            short: short.to_owned(),
            more: more.to_owned(),
            ..Next::default()
        };
        let open = |a: &Asked| !self.later.contains(a);
        if !self.has_title() && self.survey.surfaces.is_empty() && open(&Asked::Title) {
            let how = "Say it as it comes, such as: front door, oak, about 1890, half a dozen coats, over a drain, Bath.";
            return plain(Some(Asked::Title), "What is to be stripped, and where is it?", how);
        }
        if self.place().is_none() && open(&Asked::Place) {
            let why = "Why: it decides which law is applied; with no place only what holds everywhere is. Say it as `England` or `Massachusetts`, or as a code such as GB-ENG.";
            return plain(Some(Asked::Place), "Where is the work?", why);
        }
        if self.survey.surfaces.is_empty() {
            let how = "Name it, and say what you know of it: front door, oak, about 1890, half a dozen coats, over a drain.";
            return plain(Some(Asked::FirstSurface), "Which surface first?", how);
        }
        // What was cleared by word of mouth is asked about while it is talked of.
        if let Some(next) = self.what_shows_it() {
            return next;
        }
        // First whatever settles verdicts, on this surface and then on the others; then what would release or lift; then
        // what only cautions hang on.
        let many = self.survey.surfaces.len();
        // What settles or releases on the surface talked about comes before anything of another: nobody is taken away from
        // what is not finished.
        let rounds: [&[Round]; 2] = [&[Round::Verdicts, Round::Releases], &[Round::Cautions]];
        let order = rounds.iter().flat_map(|rounds| (0..many).flat_map(move |step| rounds.iter().map(move |round| (step, *round))));
        for (step, round) in order {
            let surface = (self.surface + step) % many;
            let undecided = self.outlooks[surface].undecided() > 0;
            let mut questions = match round {
                Round::Verdicts if undecided => self.questions(surface),
                Round::Releases if !undecided => self.questions(surface),
                Round::Cautions => self.behind_cautions(surface),
                _ => continue,
            };
            if round == Round::Releases {
                // What releases a hold that surely applies comes before what would release one that may.
                questions.sort_by_key(|q| !self.releases(q, surface));
            }
            let just = self.just.as_ref();
            let other = questions.iter().position(|q| Some(&self.asking(q, surface)) != just || self.adds_up(q.fact));
            let next = other.unwrap_or(0);
            if next < questions.len() {
                let question = questions.swap_remove(next);
                return self.put_question(&question, surface, round);
            }
        }
        let rest = match self.later.len() {
            0 => String::new(),
            n => format!(" {} left open; ask for them with `questions`.", counted(n, "question is", "questions are")),
        };
        plain(None, &format!("Nothing more to ask.{rest} `advice` shows the whole, `add NAME` begins another surface, `quit` leaves."), "")
    }

    /// Whether several of its values can be, so that asking on is asking for the rest.
    pub(super) fn adds_up(&self, fact: ovolo_engine::vocabulary::FactId) -> bool {
        matches!(self.book.base.vocabulary.get(fact).kind, FactKind::Several(_))
    }

    /// Whether an answer releases a hold that surely applies.
    fn releases(&self, question: &Question, surface: usize) -> bool {
        let mut sure = self.outlooks[surface].spoken().iter().filter(|s| s.certain);
        sure.any(|s| self.book.rules[s.rule].released_by == Some(question.fact))
    }

    pub(super) fn has_title(&self) -> bool {
        self.survey.title != ovolo_engine::survey::UNTITLED
    }

    fn put_question(&mut self, question: &Question, surface: usize, round: Round) -> Next {
        let mut next = Next { asked: Some(self.asking(question, surface)), ..Next::default() };
        if surface != self.surface {
            self.surface = surface;
            next.on_to = self.page().paragraph("", "", &format!("On to {}.", self.survey.surfaces[surface].name));
        }
        let fact = self.book.base.vocabulary.get(question.fact);
        let coats = self.survey.surfaces[surface].coats.as_ref().map_or(1, Vec::len);
        let whom = match (fact.about, question.coat) {
            (About::Coat, Some(c)) if coats > 1 => format!("Coat {} of {}: ", c + 1, self.survey.surfaces[surface].name),
            _ => String::new(),
        };
        next.short = format!("{whom}{}", question.ask.question);
        // Of what can be several, the rest is asked for.
        let stated = self.survey.surfaces[surface].facts.get(&question.fact).map(|s| &s.known);
        if let (FactKind::Several(_), Some(ovolo_engine::vocabulary::Known::Several { yes, .. })) = (&fact.kind, stated)
            && *yes != 0
        {
            let catalogue = &self.book.base.catalogue;
            let there: Vec<&str> =
                (0..fact.width(catalogue)).filter(|i| yes >> i & 1 == 1).map(|i| fact.choice_title(i, catalogue)).collect();
            let mut rest = question.ask.question.clone();
            rest.replace_range(..1, &rest[..1].to_lowercase());
            next.short = format!("Besides {}, {rest} Say `nothing else` if that is all.", words::list(&there, "and"));
        }
        let catalogue = &self.book.base.catalogue;
        if let FactKind::Choice(_) = fact.kind
            && fact.width(catalogue) <= MOST_NAMED
        {
            let titles: Vec<&str> = (0..fact.width(catalogue)).map(|i| fact.choice_title(i, catalogue)).collect();
            next.among = format!(" ({})", titles.join(" / "));
        }
        let why = match (round, question.methods.len()) {
            (Round::Verdicts, n) if n > 0 => {
                let titles: Vec<&str> = question.methods.iter().take(3).map(|m| self.method_title(*m)).collect();
                match n - titles.len() {
                    0 => format!("{} {} on it", words::list(&titles, "and"), if n == 1 { "hangs" } else { "hang" }),
                    more => format!("{} and {more} more hang on it", titles.join(", ")),
                }
            }
            _ => question.ask.why.clone(),
        };
        next.more = format!("Why: {why}. How: {}", fact.help);
        next
    }

    /// Takes one line.
    pub fn line(&mut self, line: &str) -> Outcome {
        let line = line.trim_matches(|c: char| c.is_whitespace() || c == '\u{feff}');
        if line.is_empty() {
            return Outcome { understood: true, ..Outcome::default() };
        }
        if line.len() > LONGEST_LINE {
            return Outcome { text: "  That line is too long to be an answer. Nothing was changed.\n".to_owned(), ..Outcome::default() };
        }
        // Somebody may be hurt: that waits for no question.
        if let Some(outcome) = self.happened(line) {
            return outcome;
        }
        if let Some(outcome) = self.pending_line(line) {
            return outcome;
        }
        // "That's all" closes a list that was asked for; else it ends the talk.
        if super::ending::ends(line) && !matches!(self.asked, Some(Asked::Fact { fact, .. }) if self.adds_up(fact)) {
            return Outcome { understood: true, leave: true, ..Outcome::default() };
        }
        if let Some(outcome) = self.tells_where(line) {
            return outcome;
        }
        // A word in quotes is always an answer.
        if unquoted(line) != line {
            return self.answer(unquoted(line));
        }
        let Some(command) = commands::parse(line) else { return self.answer_or_hint(line) };
        if let Some(collision) = self.collides(line, &command) {
            self.pending.push_front(collision);
            return Outcome { understood: true, ..Outcome::default() };
        }
        match self.command(&command) {
            Ok(outcome) => outcome,
            // What does not work as a command may be an answer that begins like one.
            Err(why) => {
                let heard = self.listener.hear(line, &self.context());
                if heard.unheard.is_empty() && !heard.said.is_empty() {
                    return self.answer(line);
                }
                Outcome { text: self.page().paragraph("  ", "    ", &why), ..Outcome::default() }
            }
        }
    }

    fn answer_or_hint(&mut self, line: &str) -> Outcome {
        if let Some(entry) = commands::unfinished(line) {
            let usage = format!("Say `{} {}`: {}.", entry.words[0], entry.usage, entry.help);
            return Outcome { text: self.page().paragraph("  ", "    ", &usage), ..Outcome::default() };
        }
        if let Some(set) = self.fact_colon(line) {
            return set;
        }
        let free_text = matches!(self.asked, Some(Asked::Title));
        let (now, waiting) = (self.now, self.pending.len());
        let mut outcome = self.answer(line);
        if !outcome.understood
            && !free_text
            && (self.now, self.pending.len()) == (now, waiting)
            && let Some(word) = commands::near(line)
        {
            outcome.text.push_str(&self.page().paragraph("  ", "    ", &format!("Did you mean `{word}`?")));
        }
        outcome
    }

    /// Whether a command is an answer to what was asked as well: then it is asked back.
    fn collides(&self, line: &str, command: &commands::Command) -> Option<Pending> {
        let both = |answer: String| Pending::Choose {
            ask: format!("`{line}` is both: which is meant?"),
            options: vec![(answer, Todo::Answer(line.to_owned())), ("the command".to_owned(), Todo::Command(line.to_owned()))],
        };
        // Any words can be the name of a job. A bare command, or one with a number, is hardly meant as one; `Check House` is.
        if self.asked == Some(Asked::Title) && !matches!(command.what, commands::What::Help | commands::What::Quit | commands::What::Title)
        {
            let bare = command.rest.is_empty() || line.split_whitespace().skip(1).all(|w| w.parse::<u32>().is_ok());
            return (!bare).then(|| both("the name of the job".to_owned()));
        }
        let Some(Asked::Fact { fact, .. }) = self.asked else { return None };
        let heard = self.listener.hear(line, &self.context());
        let answers = heard.unheard.is_empty()
            && heard.said.iter().any(|s| match s {
                Said::Fact(f) => f.fact == fact && f.at.len() + 2 >= line.len(),
                Said::NotKnown { .. } => true,
                _ => false,
            });
        answers.then(|| both(format!("the answer: {}", self.book.base.vocabulary.get(fact).title)))
    }

    /// `FACT: VALUE`, with the fact by its name or title.
    fn fact_colon(&mut self, line: &str) -> Option<Outcome> {
        let (name, value) = line.split_once(':')?;
        let fact = self.fact_named(name)?;
        (!value.trim().is_empty()).then(|| self.set(fact, value.trim()))
    }

    /// States a fact by name, whatever was asked.
    pub(super) fn set(&mut self, (fact, coat): (ovolo_engine::vocabulary::FactId, Option<usize>), value: &str) -> Outcome {
        let about = self.book.base.vocabulary.get(fact).about;
        if self.survey.surfaces.is_empty() && about != About::Site {
            return Outcome { text: "  There is no surface yet: `add NAME` begins one.\n".to_owned(), ..Outcome::default() };
        }
        let surface = if about == About::Site { 0 } else { self.surface };
        let before = self.asked.replace(Asked::Fact { fact, surface, coat });
        let context = self.context();
        let heard = self.listener.hear(value, &context);
        let outcome = self.take(value, &heard);
        self.asked = before;
        outcome
    }

    pub(super) fn title_said(&mut self, words: &str) -> Outcome {
        self.head("title", &quoted(words), &format!("the job is called {words}"))
    }
}

/// A line without the quotes around it, if it stands in quotes.
pub(super) fn unquoted(line: &str) -> &str {
    let inner = line.strip_prefix('"').and_then(|l| l.strip_suffix('"')).filter(|l| !l.is_empty());
    inner.unwrap_or(line)
}
