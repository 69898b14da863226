//! What waits for the next line: a choice between readings, or a piece of text such as a name.

use super::commands;
use super::document::Edit;
use super::passing::name_in;
use super::session::{Asked, Outcome, Pending, Session, Then, Todo};
use super::settling::doubted;
use ovolo_engine::answer::Said;
use ovolo_engine::role::FactRole;

impl Session<'_> {
    /// A line for what waits; `None` where it is something else.
    pub(super) fn pending_line(&mut self, line: &str) -> Option<Outcome> {
        let pending = self.pending.front()?.clone();
        let done = |text: &str| Outcome { text: text.to_owned(), understood: true, ..Outcome::default() };
        match pending {
            Pending::Choose { options, .. } => {
                // What was not clear about the choice itself: it is shown again.
                let asks_for_it = matches!(commands::parse(line), Some(c) if matches!(c.what, commands::What::Choices | commands::What::Why) && c.rest.is_empty());
                if asks_for_it || super::questions::Put::read(line).for_the_meaning() {
                    self.shown = None;
                    return Some(done("  Pick one by its number or in its words, or say it in another way; `leave it open` lets it go.\n"));
                }
                let (plain, unsure) = without_a_guess(line);
                let Some(picked) = pick(&plain, &options).map(|todo| if unsure { self.only_guessed(todo) } else { todo }) else {
                    // Nobody knows, or it is let go: the question goes, and nothing is changed.
                    if lets_go(line) {
                        self.pending.pop_front();
                        return Some(done("  Left as it was.\n"));
                    }
                    // A bare yes or no is for the choice that is on the screen, and not for a question before it.
                    if is_bare_answer(line) {
                        self.shown = None;
                        let told = "  Pick one by its number or in its words; `leave it open` lets it go.\n";
                        return Some(Outcome { text: told.to_owned(), ..Outcome::default() });
                    }
                    return Some(self.meanwhile(line));
                };
                self.pending.pop_front();
                Some(match picked {
                    Todo::Edits { edits, echo } => match self.state(&edits, &echo) {
                        Ok(text) => done(&text),
                        Err(why) => Outcome {
                            text: self.page().paragraph("  ", "    ", &format!("That cannot be kept: {why}.")),
                            ..Outcome::default()
                        },
                    },
                    Todo::Command(line) => match commands::parse(&line).map(|c| self.command(&c)) {
                        Some(Ok(outcome)) => outcome,
                        Some(Err(why)) => Outcome { text: self.page().paragraph("  ", "    ", &why), ..Outcome::default() },
                        None => Outcome::default(),
                    },
                    Todo::Answer(line) if self.asked == Some(Asked::Title) => self.title_said(&line),
                    Todo::Answer(line) => {
                        let heard = self.listener.hear(&line, &self.context());
                        self.ours = true;
                        let outcome = self.take(&line, &heard);
                        self.ours = false;
                        outcome
                    }
                    Todo::NewSurface { name, line } => {
                        self.asked = None;
                        let heard = self.listener.hear(&line, &self.context());
                        self.new_surface(&name, &line, &heard)
                    }
                    Todo::Leave => done("  Left open.\n"),
                })
            }
            Pending::Text { then, .. } => {
                // Nobody knows a name: that is no name.
                let unnamed = matches!(then, Then::CopyName { .. }) && lets_go(line);
                if unnamed || matches!(line.to_lowercase().as_str(), "never mind" | "skip" | "cancel" | "undo") {
                    self.pending.pop_front();
                    return Some(done("  Left as it was.\n"));
                }
                // A question is no name.
                if super::questions::Put::read(line).asks()
                    && let Some(outcome) = self.asked_of_us(line)
                {
                    return Some(outcome);
                }
                // Neither does a command become a name without a word, nor a name a command.
                if commands::parse(line).is_some_and(|c| c.rest.is_empty()) {
                    let told = format!("`{line}` is a command. In quotes it is taken as the answer; `never mind` lets this go.");
                    return Some(Outcome { text: self.page().paragraph("  ", "    ", &told), ..Outcome::default() });
                }
                self.pending.pop_front();
                Some(self.text_given(super::dialogue::unquoted(line), then))
            }
        }
    }

    /// What was picked, as a guess: what would ask for less care is kept as a doubt.
    fn only_guessed(&self, todo: Todo) -> Todo {
        let Todo::Edits { edits, echo } = todo else { return todo };
        let eases = |e: &Edit| match e {
            Edit::Fact { at, fact, .. } => self.eased_after(e, *at, *fact),
            _ => false,
        };
        if !edits.iter().any(eases) {
            return Todo::Edits { edits, echo };
        }
        let guessed = edits.into_iter().map(|e| match e {
            Edit::Fact { at, fact, toml } if !toml.contains("sure = false") => Edit::Fact { at, fact, toml: doubted(&toml) },
            other => other,
        });
        Todo::Edits { edits: guessed.collect(), echo: format!("{echo} (not for certain)") }
    }

    /// Whether a fact would ask for less care after an edit.
    fn eased_after(&self, edit: &Edit, at: super::document::At, fact: ovolo_engine::vocabulary::FactId) -> bool {
        let Ok((_, survey)) = self.tried(std::slice::from_ref(edit)) else { return true };
        let it = self.book.base.vocabulary.get(fact);
        super::session::facts_of(&survey, at).and_then(|f| f.get(&fact)).is_some_and(|s| it.eased_by(&s.known))
    }

    /// Something else was said while a choice waits: it is taken, and the choice goes on waiting unless it has been overtaken.
    fn meanwhile(&mut self, line: &str) -> Outcome {
        let waiting = std::mem::take(&mut self.pending);
        let before = self.survey.clone();
        let (now, surfaces) = (self.now, self.survey.surfaces.len());
        let within = std::mem::replace(&mut self.meanwhile, true);
        let outcome = self.line(line);
        self.meanwhile = within;
        // What is taken back takes along what was asked back about it, and leaves what was asked for itself.
        let back = self.now < now && self.now < self.put_at;
        let grown = self.survey.surfaces.len() != surfaces;
        let overtaken = |todo: &Todo| match todo {
            Todo::Edits { edits, .. } => edits.iter().any(|e| self.touched(&before, e)),
            Todo::Leave => false,
            Todo::Command(_) | Todo::Answer(_) | Todo::NewSurface { .. } => self.now != now,
        };
        let went_on = self.now > now;
        let kept: Vec<Pending> = waiting
            .into_iter()
            .filter(|p| match p {
                // Put in passing, and not taken up: what stood stands.
                Pending::Choose { options, .. } if went_on && self.is_put_in_passing(options) => false,
                Pending::Choose { options, .. } => !(back || grown || options.iter().any(|(_, t)| overtaken(t))),
                Pending::Text { .. } => true,
            })
            .collect();
        self.pending.extend(kept);
        outcome
    }

    /// Whether a question is only whether something said in passing is another surface, or changes what the surface is made of:
    /// it holds nobody up, and with no answer nothing changes.
    fn is_put_in_passing(&self, options: &[(String, Todo)]) -> bool {
        use super::document::At;
        let other = options.iter().any(|(_, t)| matches!(t, Todo::NewSurface { .. }));
        let turns = |edits: &[Edit]| {
            edits.iter().all(|e| match e {
                Edit::Fact { at: At::Surface(s), fact, .. } => {
                    let entry = matches!(self.book.base.vocabulary.get(*fact).kind, ovolo_engine::vocabulary::FactKind::Entry(_));
                    let several = matches!(self.book.base.vocabulary.get(*fact).kind, ovolo_engine::vocabulary::FactKind::Several(_));
                    several || entry && self.survey.surfaces.get(*s).is_some_and(|s| s.facts.contains_key(fact))
                }
                _ => false,
            })
        };
        let offers = |t: &Todo| matches!(t, Todo::Leave) || matches!(t, Todo::Edits { edits, .. } if turns(edits));
        let of_entry = |t: &Todo| matches!(t, Todo::Edits { edits, .. } if edits.iter().any(|e| matches!(e, Edit::Fact { fact, .. } if matches!(self.book.base.vocabulary.get(*fact).kind, ovolo_engine::vocabulary::FactKind::Entry(_)))));
        other || options.iter().any(|(_, t)| of_entry(t)) && options.iter().all(|(_, t)| offers(t))
    }

    /// Whether what an edit is about has changed since.
    fn touched(&self, before: &ovolo_engine::survey::Survey, edit: &Edit) -> bool {
        use super::document::At;
        match edit {
            Edit::Fact { at: At::Site, fact, .. } => before.site.get(fact) != self.survey.site.get(fact),
            Edit::Fact { at: At::Surface(s), fact, .. } => {
                let of = |survey: &ovolo_engine::survey::Survey| survey.surfaces.get(*s).and_then(|s| s.facts.get(fact).cloned());
                of(before) != of(&self.survey)
            }
            Edit::Fact { at: At::Coat(s, _), .. } | Edit::Coats { surface: s, .. } => {
                let of = |survey: &ovolo_engine::survey::Survey| survey.surfaces.get(*s).and_then(|s| s.coats.clone());
                of(before) != of(&self.survey)
            }
            _ => false,
        }
    }

    /// What was said of a surface that has no name yet is kept under one that says so, before the session ends.
    pub fn wind_up(&mut self) {
        let said = self.pending.iter().find_map(|p| match p {
            Pending::Text { then: Then::SurfaceName { line }, .. } => Some(line.clone()),
            _ => None,
        });
        if let Some(line) = said {
            self.pending.clear();
            let heard = self.listener.hear(&line, &self.context());
            let _ = self.new_surface("surface without a name", &line, &heard);
        }
    }

    fn text_given(&mut self, line: &str, then: Then) -> Outcome {
        let page = self.page();
        let wrong = |text: &str| Outcome { text: page.paragraph("  ", "    ", text), ..Outcome::default() };
        match then {
            Then::SurfaceName { line: said } => {
                let first = line.split([',', ';']).next().unwrap_or(line).trim();
                let rest = line[line.find(first).map_or(0, |at| at + first.len())..].trim_start_matches([',', ';', ' ']);
                match name_in(first) {
                    Some(name) if !self.only_facts(&self.listener.hear(first, &self.context())) => {
                        let said = if rest.is_empty() { said } else { format!("{said}, {rest}") };
                        let heard = self.listener.hear(&said, &self.context());
                        self.new_surface(name, &said, &heard)
                    }
                    _ => {
                        let ask = "That is remembered. What is the surface called, such as `front door`?".to_owned();
                        self.pending.push_front(Pending::Text { ask, then: Then::SurfaceName { line: format!("{said}, {line}") } });
                        Outcome { understood: true, ..Outcome::default() }
                    }
                }
            }
            Then::CopyName { from, but } => self.copied(from, line, but.as_deref()),
            Then::DepartWho { rule, surface } => {
                let ask = "Why? Say what was found or agreed, and where it is recorded.".to_owned();
                self.pending.push_front(Pending::Text { ask, then: Then::DepartWhy { rule, surface, who: line.to_owned() } });
                Outcome { understood: true, ..Outcome::default() }
            }
            Then::DepartWhy { rule, surface, who } => {
                let ask = "Until when? A day such as 2027-05-31, or `no end`.".to_owned();
                self.pending.push_front(Pending::Text { ask, then: Then::DepartUntil { rule, surface, who, why: line.to_owned() } });
                Outcome { understood: true, ..Outcome::default() }
            }
            Then::DepartUntil { rule, surface, who, why } => {
                let until = match line.to_lowercase().as_str() {
                    "no end" | "none" | "no" | "open" => None,
                    _ => match line.parse::<jiff::civil::Date>() {
                        Ok(day) => Some(day.to_string()),
                        Err(_) => {
                            let ask = "Until when? A day such as 2027-05-31, or `no end`.".to_owned();
                            self.pending.push_front(Pending::Text { ask, then: Then::DepartUntil { rule, surface, who, why } });
                            return wrong(&format!("`{line}` is not a day."));
                        }
                    },
                };
                let edit = Edit::Departure { rule: rule.clone(), who: who.clone(), why, on: self.today.to_string(), until, surface };
                match self.state(&[edit], &format!("a departure from {rule}, decided by {who}")) {
                    Ok(text) => Outcome { text, understood: true, ..Outcome::default() },
                    Err(why) => wrong(&format!("That cannot be kept: {why}.")),
                }
            }
        }
    }

    /// Whether a line says what a surface is like and not what part of the building it is.
    fn only_facts(&self, heard: &ovolo_engine::answer::Heard) -> bool {
        let element = self.book.base.vocabulary.with(FactRole::Element);
        let part = heard.said.iter().any(|s| matches!(s, Said::Fact(f) if Some(f.fact) == element));
        !part && heard.said.iter().any(|s| matches!(s, Said::Fact(_) | Said::Coats(_)))
    }
}

/// A yes or a no and nothing else.
fn is_bare_answer(line: &str) -> bool {
    const WORDS: &[&str] = &["yes", "yeah", "yep", "yup", "aye", "y", "correct", "right", "sure", "ok", "okay", "no", "nope", "nah", "n"];
    let plain = line.trim_matches(|c: char| !c.is_alphanumeric()).to_lowercase();
    WORDS.contains(&plain.as_str())
}

/// What lets a question go.
fn lets_go(line: &str) -> bool {
    const WORDS: &[&str] = &[
        "no idea",
        "not sure",
        "don't know",
        "dont know",
        "i don't know",
        "dunno",
        "no clue",
        "couldn't say",
        "can't say",
        "who knows",
        "skip",
        "skip it",
        "pass",
        "later",
        "never mind",
        "nevermind",
        "forget it",
        "leave it",
        "leave it open",
        "neither",
        "none",
        "unknown",
        "not a clue",
        "haven't a clue",
        "no idea mate",
        "i've no idea",
        "move on",
        "next question",
        "drop it",
        "ignore it",
    ];
    let plain = line.trim_matches(|c: char| !c.is_alphanumeric()).to_lowercase().replace('’', "'");
    WORDS.contains(&plain.as_str())
}

/// Words that say nothing when a choice is made.
const IDLE: &[&str] = &[
    "the", "a", "an", "it", "its", "it's", "is", "that", "one", "i", "said", "say", "please", "mean", "meant", "of", "them", "option",
    "number", "no.", "to", "as", "in", "on", "coat",
];

/// Words by which a choice is only guessed.
const GUESSES: &[&str] = &[
    "i think so",
    "i think",
    "i'd think",
    "i would think",
    "i guess",
    "i reckon",
    "i suppose",
    "i believe",
    "i expect",
    "probably",
    "maybe",
    "perhaps",
    "possibly",
    "presumably",
    "most likely",
    "likely",
    "i'm not sure",
    "not sure",
    "i imagine",
    "as far as i know",
    "far as i know",
    "i hope",
    "hopefully",
    "should be",
    "might be",
    "supposedly",
    "don't quote me",
    "i'm not certain",
    "not certain",
    "apparently",
    "allegedly",
    "could be",
];

/// A line without the words by which it is only a guess, and whether there were any.
pub(super) fn without_a_guess(line: &str) -> (String, bool) {
    let lower = format!(" {} ", line.to_lowercase().replace('’', "'").replace([',', '.'], " "));
    match GUESSES.iter().find(|g| lower.contains(&format!(" {g} "))) {
        Some(guess) => (lower.replacen(&format!(" {guess} "), " ", 1).trim().to_owned(), true),
        None => (line.to_owned(), false),
    }
}

/// The option a line means: by number, by its place ("the first"), by yes or no, by its words, or by a beginning no other shares.
fn pick(line: &str, options: &[(String, Todo)]) -> Option<Todo> {
    let line = line.trim().trim_end_matches(['.', ')', '!']).to_lowercase();
    if let Ok(n) = line.parse::<usize>() {
        return options.get(n.checked_sub(1)?).map(|(_, t)| t.clone());
    }
    let only = |found: Vec<usize>| match found[..] {
        [one] => Some(options[one].1.clone()),
        _ => None,
    };
    // "Leave it open", whatever the choice calls that.
    if commands::parse(&line).is_some_and(|c| c.what == commands::What::Skip && c.rest.is_empty()) && line.starts_with("leave") {
        return options.iter().find(|(_, t)| matches!(t, Todo::Leave)).map(|(_, t)| t.clone());
    }
    let labels: Vec<String> = options.iter().map(|(l, _)| l.to_lowercase().replace(['(', ')', ':', ','], " ")).collect();
    let words: Vec<&str> = line.split(|c: char| c.is_whitespace() || c == ',').filter(|w| !w.is_empty()).collect();
    let telling: Vec<&str> = words.iter().copied().filter(|w| !IDLE.contains(w)).collect();
    let first_word = |wanted: &[&str]| {
        only((0..labels.len()).filter(|i| labels[*i].split_whitespace().next().is_some_and(|w| wanted.contains(&w))).collect())
    };
    // "coat 1", as it stands.
    let as_it_stands =
        (0..labels.len()).filter(|i| line.len() > 3 && labels[*i].split_whitespace().take(words.len()).eq(words.iter().copied()));
    if let Some(todo) = only(as_it_stands.collect()) {
        return Some(todo);
    }
    // "First coat" may be the first that was put on, which lies lowest.
    let of_coats = labels.iter().filter(|l| l.starts_with("coat ")).count() > 1;
    if of_coats && words.last().is_some_and(|w| ["coat", "layer"].contains(w)) && words.iter().any(|w| ["first", "1st", "last"].contains(w))
    {
        return None;
    }
    match telling[..] {
        [] if words == ["one"] || words == ["the", "one"] => return options.first().map(|(_, t)| t.clone()),
        [word] => {
            let at = match word {
                "first" | "1st" => Some(0),
                "second" | "2nd" | "two" => Some(1),
                "third" | "3rd" | "three" => Some(2),
                "fourth" | "4th" | "four" => Some(3),
                "fifth" | "5th" | "five" => Some(4),
                "last" => options.len().checked_sub(1),
                _ => None,
            };
            if let Some(at) = at {
                return options.get(at).map(|(_, t)| t.clone());
            }
            match word {
                "yes" | "yeah" | "yep" | "aye" | "correct" | "right" => return first_word(&["yes"]),
                "no" | "nope" | "nah" => return first_word(&["no"]),
                "both" | "all" | "every" | "lot" | "everything" | "together" => return first_word(&["every", "all", "both"]),
                "none" | "neither" => return first_word(&["none", "neither"]),
                // A coat by its place among the coats.
                "top" | "upper" | "outer" | "bottom" | "lowest" | "lower" => {
                    let coats: Vec<usize> = (0..labels.len()).filter(|i| labels[*i].starts_with("coat ")).collect();
                    let at = if matches!(word, "top" | "upper" | "outer") { coats.first() } else { coats.last() };
                    return at.map(|i| options[*i].1.clone());
                }
                _ => {}
            }
        }
        ["all" | "both", ..] if telling.iter().all(|w| matches!(*w, "all" | "both" | "every" | "coats" | "layers")) => {
            return first_word(&["every", "all", "both"]);
        }
        _ => {}
    }
    let told = telling.join(" ");
    if told.chars().count() < 2 {
        return None;
    }
    let begins: Vec<usize> = (0..labels.len()).filter(|i| labels[*i].starts_with(&told) || labels[*i].starts_with(&line)).collect();
    if let [one] = begins[..] {
        return Some(options[one].1.clone());
    }
    let stem = |w: &str| w.trim_end_matches('s').to_owned();
    let holds = |i: &usize| {
        let label: Vec<String> = labels[*i].split_whitespace().map(stem).collect();
        telling.iter().all(|w| label.contains(&stem(w)))
    };
    only((0..labels.len()).filter(holds).collect())
}
