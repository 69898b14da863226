//! Questions that are put to us: may this be done, what would you do.

use super::document::Edit;
use super::effects::sentence;
use super::questions::{How, Put};
use super::session::{Asked, Outcome, READ_HERE, Session};
use super::views::told;
use ovolo_engine::advice::{Condition, Notice};
use ovolo_engine::answer::Said;
use ovolo_engine::catalogue::EntryKind;
use ovolo_engine::finding::{Footing, Ruling, Status};
use ovolo_engine::judge::Verdict;
use ovolo_engine::survey::{Facts, Proposal, Survey};
use ovolo_engine::words;
use std::borrow::Cow;
use std::ops::Range;

/// Words that are left out when a way of working is looked for in a line.
const SMALL: &[&str] = &["it", "em", "'em", "them", "this", "that", "the", "a", "an", "just", "my", "all", "these", "those"];

/// What people call paint where it stands between a verb and its other half: "burn the paint off".
const PAINT: &[&str] =
    &["paint", "paintwork", "gloss", "old", "stuff", "lot", "coats", "layers", "door", "doors", "window", "windows", "wall", "walls"];

/// The most ways that are named.
const MOST_NAMED: usize = 4;
/// A first sentence shorter than this says too little alone: "lead melts at 327 °C".
const TOO_LITTLE: usize = 40;
/// The most conditions told in one answer.
const MOST_NEEDS: usize = 3;

fn words_of(text: &str) -> Vec<(Range<usize>, String)> {
    let mut out = Vec::new();
    let mut start = None;
    for (i, c) in text.char_indices().chain([(text.len(), ' ')]) {
        let inside = c.is_alphanumeric() || c == '\'';
        match (inside, start) {
            (true, None) => start = Some(i),
            (false, Some(from)) => {
                let word = text[from..i].to_lowercase();
                if !SMALL.contains(&word.as_str()) {
                    out.push((from..i, word));
                }
                start = None;
            }
            _ => {}
        }
    }
    out
}

impl Session<'_> {
    /// The way of working that a line speaks of, by the longest of its names.
    pub(super) fn method_in(&self, line: &str) -> Option<(usize, Range<usize>)> {
        let same = |a: &str, b: &str| a == b || a.trim_end_matches('s') == b.trim_end_matches('s');
        self.method_by(&words_of(line), &same, &[])
    }

    /// The way of working that a question is about, also by another form of its words, with paint between them or written as one:
    /// "could I sand it", "burn the paint off", "a heatgun".
    pub(super) fn method_asked(&self, line: &str) -> Option<(usize, Range<usize>)> {
        let said = words_of(line);
        let same = |a: &str, b: &str| stem(a) == stem(b);
        let bare: Vec<(Range<usize>, String)> = said.iter().filter(|(_, w)| !PAINT.contains(&w.as_str())).cloned().collect();
        self.method_in(line).or_else(|| self.method_by(&said, &same, &[])).or_else(|| self.method_by(&bare, &same, PAINT)).or_else(|| {
            let names = self.book.base.catalogue.entries(EntryKind::Method);
            names.values().enumerate().find_map(|(m, e)| {
                let joined = |n: &String| n.replace(['-', ' '], "");
                let as_one = |w: &str| e.says.iter().any(|n| joined(n).len() > 5 && joined(n) == w.trim_end_matches('s'));
                said.iter().find(|(_, w)| as_one(w)).map(|(at, _)| (m, at.clone()))
            })
        })
    }

    /// The method with the longest name among some words; names that hold a word of `without` do not count.
    fn method_by(
        &self,
        said: &[(Range<usize>, String)],
        same: &dyn Fn(&str, &str) -> bool,
        without: &[&str],
    ) -> Option<(usize, Range<usize>)> {
        let mut best: Option<(usize, usize, Range<usize>)> = None;
        for (m, entry) in self.book.base.catalogue.entries(EntryKind::Method).values().enumerate() {
            for name in [&entry.id, &entry.title].into_iter().chain(&entry.says) {
                let wanted: Vec<String> = words_of(&name.replace('-', " ")).into_iter().map(|(_, w)| w).collect();
                if wanted.is_empty() || wanted.len() > said.len() || wanted.iter().any(|w| without.contains(&w.as_str())) {
                    continue;
                }
                for (at, window) in said.windows(wanted.len()).enumerate() {
                    // "Neutral gel, no caustic": what is denied is not what is proposed.
                    let denied =
                        at.checked_sub(1).is_some_and(|b| ["no", "not", "without", "never", "isn't"].contains(&said[b].1.as_str()));
                    if denied {
                        continue;
                    }
                    if window.iter().zip(&wanted).all(|((_, a), b)| same(a, b)) && best.as_ref().is_none_or(|(n, ..)| wanted.len() > *n) {
                        best = Some((wanted.len(), m, window[0].0.start..window[window.len() - 1].0.end));
                    }
                }
            }
        }
        best.map(|(_, m, at)| (m, at))
    }

    /// Answers a question that was put to us; `None` where the line is none. Nothing is noted for a question.
    pub(super) fn asked_of_us(&mut self, line: &str) -> Option<Outcome> {
        let put = Put::read(line);
        let answered = |text: String| Some(Outcome { text, understood: true, ..Outcome::default() });
        if !put.asks() {
            // "Hot air, 450": a way of working by itself is looked at as well, once there is a surface.
            let (method, at) = if self.survey.surfaces.is_empty() { None } else { self.method_in(line) }?;
            return (!self.says_something(line)).then(|| self.checked_with(method, &line[at.end..]));
        }
        let plain = put.plain.as_str();
        // "Who do I call about bats" is about the bats.
        let about = put.about_what().and_then(|what| self.answer_about(what));
        if about.is_none()
            && let Some(told) = self.asked_afterwards(&put)
        {
            return answered(told);
        }
        let about = about.or_else(|| self.answer_about(plain));
        // "Where it was burnt off it's bare" only begins like a question.
        let method = if put.how == How::Open { None } else { self.method_asked(line) };
        if let Some((method, at)) = method.filter(|_| put.for_leave() || about.is_none()) {
            return Some(self.checked_with(method, &line[at.end..]));
        }
        if let Some(says) = about {
            let says = says.to_owned();
            return answered(self.page().paragraph("  ", "    ", &says));
        }
        if put.for_the_meaning() {
            return answered(self.what_is_meant(plain));
        }
        if put.for_finding_out()
            && let Some(how) = self.how_to_find_out(plain)
        {
            return answered(how);
        }
        if put.for_the_best() {
            return answered(self.what_suits());
        }
        if put.how == How::Plainly
            && let Some(told) = self.whether_safe(&put).or_else(|| self.how_it_stands(&put)).or_else(|| self.ways_meant(&put))
        {
            return answered(told);
        }
        // What answers our question is an answer, however it is put: "could it be pine".
        let ours = match self.asked {
            Some(Asked::Fact { fact, .. }) => {
                let heard = self.listener.hear(line, &self.context());
                heard.said.iter().any(|s| matches!(s, Said::Fact(f) if f.fact == fact) || matches!(s, Said::Coats(_)))
            }
            _ => false,
        };
        (put.how == How::Plainly && !ours).then(|| {
            let text = "Nothing here answers that, and nothing was noted. What is so, say without asking; `help` shows what can be asked.";
            Outcome { text: self.page().paragraph("  ", "    ", text), ..Outcome::default() }
        })
    }

    /// Whether a line states something of the building.
    fn says_something(&self, line: &str) -> bool {
        self.listener.hear(line, &self.context()).said.iter().any(|s| match s {
            Said::Fact(f) => self.book.base.vocabulary.get(f.fact).about != ovolo_engine::vocabulary::About::Method,
            // What the rule book has to say to such words goes before a look at a method: "a headache from the stripper".
            Said::Remark { says, .. } => self.is_of_the_book(says),
            Said::Coats(_) => true,
            Said::NotKnown { .. } => false,
        })
    }

    /// Whether a remark is what a phrase of the rule book has to say.
    pub(super) fn is_of_the_book(&self, says: &str) -> bool {
        self.book.phrases.iter().any(|p| p.remark.as_deref() == Some(says))
    }

    /// What the rule book answers to a question about this, by the longest of the words it names.
    fn answer_about(&self, plain: &str) -> Option<&str> {
        let said = words_of(plain);
        let here = self.place().map(|p| self.book.places_of(p)).unwrap_or_default();
        let mut best: Option<(usize, &str)> = None;
        for phrase in self.book.phrases.iter().filter(|p| p.question) {
            if !phrase.place.is_empty() && !phrase.place.iter().any(|p| here.contains(p)) {
                continue;
            }
            for name in &phrase.says {
                let wanted = words_of(name);
                let stands =
                    |window: &[(Range<usize>, String)]| window.iter().zip(&wanted).all(|((_, a), (_, b))| a == b || stem(a) == stem(b));
                if !wanted.is_empty()
                    && wanted.len() <= said.len()
                    && best.is_none_or(|(n, _)| wanted.len() > n)
                    && said.windows(wanted.len()).any(stands)
                {
                    best = phrase.remark.as_deref().map(|r| (wanted.len(), r));
                }
            }
        }
        best.map(|(_, says)| says)
    }

    /// What our question means, or the fact that is named.
    fn what_is_meant(&self, plain: &str) -> String {
        let page = self.page();
        let fact = self.fact_in(plain).or(match self.asked {
            Some(Asked::Fact { fact, .. }) => Some(fact),
            _ => None,
        });
        match fact {
            Some(fact) => {
                let fact = self.book.base.vocabulary.get(fact);
                page.paragraph("  ", "    ", &format!("It is about this: {}. {} `choices` lists the answers.", fact.title, fact.help))
            }
            None if self.asked == Some(Asked::Place) => {
                page.paragraph("  ", "    ", "The country or state where the work is done: its law is the one that is applied.")
            }
            None => page.paragraph(
                "  ",
                "    ",
                "Say which part of the building it is and what you know of it; `help` shows what else can be said.",
            ),
        }
    }

    /// How the fact that is named, or else the one we asked for, is found out.
    fn how_to_find_out(&self, plain: &str) -> Option<String> {
        let fact = self.fact_in(plain).or(match self.asked {
            Some(Asked::Fact { fact, .. }) => Some(fact),
            _ => None,
        })?;
        let fact = self.book.base.vocabulary.get(fact);
        Some(self.page().paragraph("  ", "    ", &format!("To find out the {}: {}", fact.title, fact.help)))
    }

    /// The fact that some words name, by the longest of its names.
    pub(super) fn fact_in(&self, plain: &str) -> Option<ovolo_engine::vocabulary::FactId> {
        let said = words_of(plain);
        (1..=4).rev().find_map(|n| {
            let mut windows = said.windows(n);
            windows.find_map(|w| {
                let name: Vec<&str> = w.iter().map(|(_, w)| w.as_str()).collect();
                self.fact_named(&name.join(" ")).map(|(fact, _)| fact)
            })
        })
    }

    /// A method looked at with the figure that was said behind it.
    fn checked_with(&mut self, method: usize, rest: &str) -> Outcome {
        let with = self.figure_behind(method, rest);
        let (settings, _) = self.settings(method, &with).unwrap_or_default();
        self.short_verdict(method, settings, &with)
    }

    /// The survey that a question is answered for, with its surface: where none has a name yet, one of which nothing is known.
    fn for_a_question(&self) -> Option<(Cow<'_, Survey>, usize)> {
        if !self.survey.surfaces.is_empty() {
            return Some((Cow::Borrowed(&self.survey), self.surface));
        }
        let (_, survey) = self.tried(&[Edit::AddSurface { name: "any surface".to_owned() }]).ok()?;
        Some((Cow::Owned(survey), 0))
    }

    /// A figure that was said with a way of working, with its unit: the temperature of a hot tool is meant where none is said.
    fn figure_behind(&self, method: usize, rest: &str) -> String {
        let words: Vec<&str> = rest.split(|c: char| c.is_whitespace() || matches!(c, ',' | '?' | '!')).filter(|w| !w.is_empty()).collect();
        let Some(i) = words.iter().position(|w| w.chars().next().is_some_and(|c| c.is_ascii_digit())) else { return String::new() };
        let digits = words[i].find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(words[i].len());
        let (number, glued) = words[i].split_at(digits);
        let unit = if glued.is_empty() { words.get(i + 1).copied().unwrap_or("") } else { glued };
        let unit = unit.trim_start_matches('°').to_lowercase();
        let us = self.book.base.customs.system_at(self.place()) == ovolo_engine::quantity::System::Us;
        let hot = self.book.base.catalogue.entries(EntryKind::Method)[method].settings.keys().next().is_some();
        match unit.as_str() {
            "f" | "fahrenheit" => format!("{number} F"),
            "c" | "celsius" | "centigrade" => format!("{number} C"),
            "bar" | "psi" | "mm" => format!("{number} {unit}"),
            _ if hot => format!("{number} {}", if us { "F" } else { "C" }),
            _ => String::new(),
        }
    }

    /// A verdict in a few lines: what it is, what decides it, what to do instead.
    pub(super) fn short_verdict(&mut self, method: usize, settings: Facts, with: &str) -> Outcome {
        let nameless = self.survey.surfaces.is_empty();
        let advice = self.for_a_question().and_then(|(survey, surface)| {
            let proposal = Proposal { method: self.book.base.method_at(method)?, settings, note: None };
            ovolo_engine::explain::look(&survey, self.book, &self.circumstances(), surface, &proposal).ok()
        });
        let Some(said) = advice.as_ref().and_then(|a| a.surfaces.first()?.proposals.first()) else {
            return Outcome { text: "  Nothing can be said of it.\n".to_owned(), ..Outcome::default() };
        };
        let page = self.page();
        let at = if with.is_empty() { String::new() } else { format!(" at {with}") };
        let verdict = said.verdict;
        let reason = said
            .reasons
            .iter()
            .find(|n| matches!(n.ruling, Ruling::RuleOut | Ruling::Hold) && n.status == Status::Applies)
            .map(|n| n.says.clone());
        let why = match (verdict, reason) {
            (Verdict::SuitedWithCare, _) if !said.conditions.is_empty() => {
                // What keeps the strongest ground away comes first.
                let ground = |id: &String| self.book.rule(id).map(|r| (r.basis, r.ruling));
                let mut needs: Vec<&Condition> = said.conditions.iter().collect();
                needs.sort_by_key(|c| c.because.iter().filter_map(ground).min());
                let told: Vec<&str> = needs.iter().take(MOST_NEEDS).map(|c| c.says.as_str()).collect();
                let more = match needs.len() - told.len() {
                    0 => String::new(),
                    n => format!(" And {n} more: `check {}` tells them.", said.title),
                };
                format!(" Needs: {}.{more}", told.join("; "))
            }
            (Verdict::CantTellYet, _) => {
                let waits: Vec<&str> = said.depends_on.iter().take(3).map(|d| d.title.as_str()).collect();
                if waits.is_empty() { String::new() } else { format!(" It depends on {}.", words::list(&waits, "and")) }
            }
            (_, Some(reason)) => format!(" {reason}"),
            _ => String::new(),
        };
        let on = if nameless { String::new() } else { format!(" on {}", self.survey.surfaces[self.surface].name) };
        let so_far = if nameless && verdict != Verdict::RuledOut { " (nothing is known of the surface)" } else { "" };
        let mut text = page.paragraph("  ", "    ", &format!("{}{at}{on}: {verdict}{so_far}.{why}", said.title));
        if !nameless && verdict != Verdict::RuledOut {
            text.push_str(&self.worst_of(&said.reasons));
        }
        if verdict == Verdict::RuledOut {
            let suited = self.suited();
            if !suited.is_empty() {
                text.push_str(&page.paragraph("  ", "    ", &format!("Instead: {}.", words::list(&suited, "or"))));
            }
        }
        Outcome { text, understood: true, ..Outcome::default() }
    }

    /// The one thing to mind that weighs most with a way of working that is not plainly out: what guards people first, then what
    /// bars it unless it is done in a certain manner, then the other cautions.
    fn worst_of(&self, reasons: &[Notice]) -> String {
        let vocabulary = &self.book.base.vocabulary;
        let chosen = |id: &str| vocabulary.iter().any(|(_, f)| f.id == id && f.chosen);
        // Barred as it stands, and only what is chosen could change that.
        let by_manner = |n: &Notice| {
            n.ruling == Ruling::RuleOut
                && n.status == Status::Open
                && n.facts.iter().all(|f| f.how_known.ground != Footing::Open || chosen(&f.fact))
        };
        let applies = |n: &Notice| n.ruling == Ruling::Caution && n.status == Status::Applies;
        let weight = |n: &&Notice| {
            let rule = self.book.rule(&n.rule);
            // What is in the paint hurts whoever works and lives there; the rest hurts the thing.
            let of_the_paint = n.facts.iter().any(|f| f.about.starts_with("coat"));
            (rule.is_none_or(|r| !r.guards), n.ruling != Ruling::RuleOut, !of_the_paint, rule.map(|r| r.basis))
        };
        let worst = reasons.iter().filter(|n| applies(n) || by_manner(n)).min_by_key(weight);
        worst.map_or_else(String::new, |n| {
            // The rule's own short words; else its first sentence, or all of it where that says too little alone.
            let short = self.book.rule(&n.rule).and_then(|r| r.short.as_deref());
            let first = sentence(&n.says);
            let says = short.unwrap_or(if first.len() < TOO_LITTLE { &n.says } else { first }).trim_end_matches('.');
            self.page().paragraph("  ", "    ", &format!("Watch: {says}."))
        })
    }

    /// The ways that suit here, a few of them.
    fn suited(&self) -> Vec<&str> {
        let Some(outlook) = self.outlooks.get(self.surface) else { return Vec::new() };
        let all = outlook.verdicts().enumerate().filter(|(_, v)| v.suits()).map(|(m, _)| self.method_title(m));
        all.take(MOST_NAMED).collect()
    }

    /// What would be done here: the lead with its provisos, and what suits for certain, or provided one thing is so.
    pub(super) fn what_suits(&self) -> String {
        let page = self.page();
        let Some((survey, surface)) = self.for_a_question() else { return String::new() };
        let advice = ovolo_engine::explain::advise(&survey, self.book, &self.circumstances()).expect(READ_HERE);
        let Some(here) = advice.surfaces.get(surface) else { return String::new() };
        if self.survey.surfaces.is_empty() {
            let first = here.lead.says.split_inclusive(". ").next().unwrap_or("").trim();
            let told = "What suits after that hangs on what it is: say the part, what it is made of, its age and the place.";
            return page.paragraph("  ", "    ", &format!("{first} {told}"));
        }
        let mut text = page.paragraph("  ", "    ", &format!("On {}: {}", here.name, here.lead.says));
        let suited = self.suited();
        if !suited.is_empty() {
            text.push_str(&page.paragraph("  ", "    ", &format!("What suits so far: {}.", words::list(&suited, "or"))));
        } else if let Some((so, suits)) = provided(here) {
            let these = if suits.len() == 1 { "this suits" } else { "these suit" };
            let told = format!("Provided {so}, {these}: {}. Find that out before anything is touched.", words::list(&suits, "or"));
            text.push_str(&page.paragraph("  ", "    ", &told));
        } else if here.methods.iter().any(|m| m.verdict == Verdict::CantTellYet) {
            text.push_str(&page.paragraph("  ", "    ", "No method is sure to suit yet; the next answers decide."));
        } else {
            text.push_str(&page.paragraph("  ", "    ", "No method suits as things stand; `methods` says why."));
        }
        text
    }

    /// A method checked in short, from words a command did not understand.
    pub(super) fn checked_in_short(&mut self, rest: &str) -> super::views::Told {
        match self.method_in(rest) {
            Some((method, at)) => Ok(self.checked_with(method, &rest[at.end..])),
            None => told(String::new()),
        }
    }
}

/// A word without the ending that makes another form of it: sand, sanding, sander; scrape, scraping.
fn stem(word: &str) -> &str {
    let word = word.trim_end_matches("'s");
    let cut = ["ing", "ers", "er", "ed", "es", "s", "e"].iter().find_map(|end| word.strip_suffix(end).filter(|w| w.len() > 2));
    cut.unwrap_or(word)
}

/// What most methods that can't be told yet wait for, said once, and those that would suit then: fewest provisos first.
fn provided(here: &ovolo_engine::advice::SurfaceAdvice) -> Option<(String, Vec<&str>)> {
    let mut groups: Vec<(usize, String, Vec<&str>)> = Vec::new();
    for method in here.methods.iter().filter(|m| m.verdict == Verdict::CantTellYet) {
        for set in &method.provided {
            let so = words::list(&set.iter().map(|p| p.says.as_str()).collect::<Vec<_>>(), "and");
            match groups.iter_mut().find(|(_, s, _)| *s == so) {
                Some((_, _, suits)) => suits.push(&method.title),
                None => groups.push((set.len(), so, vec![&method.title])),
            }
        }
    }
    groups.sort_by_key(|(many, _, suits)| (*many, std::cmp::Reverse(suits.len())));
    let (_, so, mut suits) = groups.into_iter().next()?;
    suits.truncate(MOST_NAMED);
    Some((so, suits))
}
