//! From what a person said to changes of the survey.

use super::document::{At, Edit, at, quoted};
use super::effects::counted;
use super::mentioned::Mentioned;
use super::passing::{name_in, overlap, place_of};
use super::session::{Asked, Outcome, Pending, Session, Then, Todo};
use super::settling::{Made, doubted, doubted_by};
use super::withdrawn::joined;
use ovolo_engine::answer::{Context, Heard, Reading, Said, Statement};
use ovolo_engine::judge::Verdict;
use ovolo_engine::role::FactRole;
use ovolo_engine::vocabulary::{About, FactId, FactKind, Known};
use ovolo_engine::words;
use std::ops::Range;

impl Session<'_> {
    pub(super) fn context(&self) -> Context {
        let asked = match self.asked {
            Some(Asked::Fact { fact, .. }) => Some(fact),
            _ => None,
        };
        Context {
            place: self.place().map(str::to_owned),
            system: self.measured().then_some(self.survey.system),
            asked,
            coats: self.survey.surfaces.get(self.surface).and_then(|s| s.coats.as_ref()).map(Vec::len),
            year: Some(i32::from(self.today.year())),
        }
    }

    /// Whether the survey gives any measure, so that the units people speak in here are known.
    fn measured(&self) -> bool {
        let base = &self.book.base;
        let any = |facts: &ovolo_engine::survey::Facts| {
            facts.keys().any(|f| {
                let fact = base.vocabulary.get(*f);
                matches!(fact.kind, FactKind::Number { .. }) && fact.unit().system.is_some()
            })
        };
        let of_surface = |s: &ovolo_engine::survey::Surface| any(&s.facts) || s.coats.iter().flatten().any(any);
        any(&self.survey.site) || self.survey.surfaces.iter().any(of_surface)
    }

    /// A line as an answer.
    pub(super) fn answer(&mut self, line: &str) -> Outcome {
        if let Some(outcome) = self.asked_of_us(line) {
            return outcome;
        }
        match self.asked {
            Some(Asked::Title) => return self.opening(line),
            Some(Asked::Place) => {
                if let Some(outcome) = self.place_said(line) {
                    return outcome;
                }
            }
            _ => {}
        }
        if let Some(outcome) = self.corrects(line) {
            return outcome;
        }
        let heard = self.listener.hear(line, &self.context());
        if let Some(outcome) = self.doubts_the_last(line) {
            return outcome;
        }
        let doubt = self.points_back(line, &heard);
        if let Some(outcome) = self.about_another_surface(line, &heard) {
            return joined(doubt, outcome);
        }
        if let Some(doubt) = doubt {
            return joined(Some(doubt), self.take(line, &heard));
        }
        if let Some(outcome) = self.withdraws(line, &heard) {
            return outcome;
        }
        self.take(line, &heard)
    }

    /// Takes what was heard as being about the surface talked about.
    pub(super) fn take(&mut self, line: &str, heard: &Heard) -> Outcome {
        let made = self.make(line, heard);
        self.settle(made, None)
    }

    /// Whether a line names a surface: goes there, makes it, or asks; `None` where it is about the one talked about.
    fn about_another_surface(&mut self, line: &str, heard: &Heard) -> Option<Outcome> {
        let first = line.split([',', ';', ':']).next().unwrap_or("").trim();
        // An existing surface, named in full: `back door, oak` or `the back door is oak`.
        let called = name_in(first).unwrap_or(first);
        let rest = line.find(called).map_or("", |at| line[at + called.len()..].trim_start_matches([',', ';', ':', ' '])).to_owned();
        if let Some(s) = self.survey.surfaces.iter().position(|s| s.name.eq_ignore_ascii_case(called))
            && (s != self.surface || !rest.is_empty())
        {
            let moved = s != self.surface;
            self.surface = s;
            if moved {
                self.asked = None;
            }
            let name = self.survey.surfaces[s].name.clone();
            if rest.is_empty() {
                return Some(Outcome { text: format!("  On to {name}.\n"), understood: true, ..Outcome::default() });
            }
            let mut outcome = self.answer(&rest);
            if moved {
                outcome.text = format!("  On {name}:\n{}", outcome.text);
            }
            return Some(outcome);
        }
        let element = self.book.base.vocabulary.with(FactRole::Element);
        let starts = line.find(first).unwrap_or(0);
        let segment = starts..starts + first.len();
        let named = heard.said.iter().find_map(|s| match s {
            // "It's raining" is no railing: a word that was mended names no surface.
            Said::Fact(f) if Some(f.fact) == element && segment.contains(&f.at.start) && !is_mended(f) => Some(f),
            _ => None,
        });
        let of_surface = heard.said.iter().any(|s| match s {
            Said::Fact(f) => matches!(self.book.base.vocabulary.get(f.fact).about, About::Surface | About::Coat) && !is_mended(f),
            Said::Coats(_) => true,
            _ => false,
        });
        // "fifteen yards of railing" is called railing.
        let name = name_in(first).map(|n| n.split_once(" of ").filter(|(a, _)| measures(a)).map_or(n, |(_, b)| b).to_owned());
        if self.survey.surfaces.is_empty() {
            // What comes first and is no fact is the name that was asked for.
            let plain = !heard.said.iter().filter_map(place_of).any(|at| inside(&at, &segment));
            // A name holds the word for the part: of "my daughter has been chewing the sill" the sill is the surface.
            let name = match (name, named) {
                (Some(n), Some(f)) if !line.find(&n).is_some_and(|at| (at..at + n.len()).contains(&f.at.start)) => {
                    Some(bare(line.get(f.at.clone()).unwrap_or("")).to_owned())
                }
                (None, Some(f)) if self.asked == Some(Asked::FirstSurface) => Some(bare(line.get(f.at.clone()).unwrap_or("")).to_owned()),
                (name, None) if of_surface && self.asked == Some(Asked::FirstSurface) => {
                    self.named_by_what_it_is(line, heard, false).or(name)
                }
                (name, _) => name,
            };
            let by_what_it_is = named.is_none() && name.is_some() && name == self.named_by_what_it_is(line, heard, false);
            if let Some(name) = &name
                && (named.is_some() || self.asked == Some(Asked::FirstSurface) && (plain && !remarked(name) || by_what_it_is))
            {
                return Some(self.new_surface(name, line, heard));
            }
            if of_surface {
                let ask = "What is this surface called, such as `front door`?".to_owned();
                self.pending.push_back(Pending::Text { ask, then: Then::SurfaceName { line: line.to_owned() } });
                return Some(Outcome { text: String::new(), understood: true, ..Outcome::default() });
            }
            return None;
        }
        // Another part of the building than the one talked about.
        let named = named?;
        let asked_for_it = matches!(self.asked, Some(Asked::Fact { fact, .. }) if Some(fact) == element);
        let stated = element.and_then(|e| self.survey.surfaces[self.surface].facts.get(&e)).map(|s| &s.known);
        let differs = stated.is_some_and(|known| !named.readings.iter().any(|r| overlap(known, &r.known)));
        let here = self.survey.surfaces[self.surface].name.clone();
        let name = name?;
        if asked_for_it || !(differs || stated.is_some() && self.names_another(&name, line, &named.at, heard)) {
            return None;
        }
        let options = vec![
            (format!("a new surface, {name}"), Todo::NewSurface { name: name.clone(), line: line.to_owned() }),
            (format!("about {here}"), Todo::Answer(line.to_owned())),
        ];
        self.pending.push_back(Pending::Choose { ask: format!("Is `{name}` a new surface, or is this about {here}?"), options });
        Some(Outcome { text: String::new(), understood: true, ..Outcome::default() })
    }

    /// Makes a surface and takes what else the line said of it.
    pub(super) fn new_surface(&mut self, name: &str, line: &str, heard: &Heard) -> Outcome {
        if let Err(why) = self.name_is_free(name) {
            return Outcome { text: format!("  {why}\n"), ..Outcome::default() };
        }
        if let Some((one, other)) = two_in(name) {
            return self.two_surfaces(one, other, line, heard);
        }
        let start = self.now;
        self.asked = None;
        let index = self.survey.surfaces.len();
        let what = format!("a new surface, {name}");
        let mut begins = vec![Edit::AddSurface { name: name.to_owned() }];
        // A job nobody gave a name is called after its first surface.
        if index == 0 && !self.has_title() {
            let title = self.town.take().map_or_else(|| name.to_owned(), |town| format!("{name}, {town}"));
            begins.push(Edit::Head { key: "title", toml: quoted(&title) });
        }
        let before = match self.change(&begins, &what) {
            Ok(before) => before,
            Err(why) => return Outcome { text: format!("  {why}\n"), ..Outcome::default() },
        };
        self.surface = index;
        self.snapshots[self.now].surface = index;
        let mut made = self.make(line, heard);
        // The name is no part that was not understood.
        made.unheard.retain(|u| !name.contains(u.as_str()) && !bare(u).eq_ignore_ascii_case(name));
        let nothing_more = made.is_empty();
        let mut outcome = Outcome {
            text: self.page().paragraph("  ", "    ", &format!("A new surface: {name}.")),
            understood: true,
            ..Outcome::default()
        };
        if nothing_more || made.edits.is_empty() {
            self.more = self.effect(&before, &self.outlooks, &self.survey);
            outcome.text.push_str(&self.brief(&before, false));
        }
        if !nothing_more {
            let more = self.settle(made, Some(before));
            outcome.text = self.in_one_paragraph(&format!("A new surface: {name}."), &more.text);
            outcome.understood = more.understood;
        }
        self.one_step_since(start, &what);
        outcome
    }

    /// "Front door and back door": two surfaces, of which the same was said.
    fn two_surfaces(&mut self, one: &str, other: &str, line: &str, heard: &Heard) -> Outcome {
        let (start, index) = (self.now, self.survey.surfaces.len());
        let mut outcome = self.new_surface(one, line, heard);
        if self.survey.surfaces.len() == index {
            return outcome;
        }
        let waiting = std::mem::take(&mut self.pending);
        outcome.text.push_str(&self.copied(index, other, None).text);
        self.pending = waiting;
        self.surface = index;
        self.one_step_since(start, &format!("two new surfaces, {one} and {other}"));
        outcome
    }

    /// Makes everything since a state one step on the way back.
    pub(super) fn one_step_since(&mut self, start: usize, what: &str) {
        if self.now > start + 1 {
            self.snapshots.drain(start + 1..self.now);
            self.now = start + 1;
            what.clone_into(&mut self.snapshots[self.now].what);
        }
    }

    pub(super) fn name_is_free(&self, name: &str) -> Result<(), String> {
        if name.trim().is_empty() {
            return Err("A surface needs a name, such as `front door`.".to_owned());
        }
        if self.survey.surfaces.iter().any(|s| s.name.eq_ignore_ascii_case(name)) {
            return Err(format!("There is already a surface called {name}; `go to {name}` goes there."));
        }
        Ok(())
    }

    fn make(&self, line: &str, heard: &Heard) -> Made {
        let mut made = Made::default();
        let heard = &self.put_aside(line, heard, &mut made);
        let (said, mut unheard) = self.without_a_stray_no(line, heard);
        unheard.extend(heard.unheard.iter().cloned());
        unheard.sort_by_key(|r| r.start);
        made.unheard = unheard.iter().filter_map(|r| line.get(r.clone())).map(|t| t.trim().to_owned()).filter(|t| !t.is_empty()).collect();
        // The stack comes first: what else is said of the coats is said of those.
        for said in &said {
            if let Said::Coats(coats) = said {
                self.coats(coats, &mut made);
                made.stack = made.back.is_empty().then_some(coats.len()).filter(|n| *n > 0);
            }
        }
        let of_the_book = said.iter().any(|s| matches!(s, Said::Remark { says, .. } if self.is_of_the_book(says)));
        for said in said {
            match said {
                Said::Fact(statement) => self.fact(line, statement, &mut made),
                Said::Coats(_) => {}
                Said::NotKnown { fact, .. } => made.not_known.push(*fact),
                // Beside what the rule book has to say, that a way of working was named is not worth a word.
                Said::Remark { says, .. } if of_the_book && !self.is_of_the_book(says) => {}
                Said::Remark { says, at } => {
                    self.keep(line, says, at, &mut made);
                    made.remarks.push(says.clone());
                }
            }
        }
        made
    }

    /// Where a statement belongs; `Err` says why it cannot be told.
    fn belongs(&self, statement: &Statement, stack: Option<usize>) -> Result<At, Pending> {
        let fact = self.book.base.vocabulary.get(statement.fact);
        if fact.about != About::Coat {
            return Ok(at(fact.about, self.surface, None));
        }
        let listed = self.survey.surfaces.get(self.surface).and_then(|s| s.coats.as_ref()).map_or(0, Vec::len);
        let many = stack.unwrap_or(listed);
        if let Some(coat) = statement.coat {
            return Ok(At::Coat(self.surface, Some(coat)));
        }
        if let Some(Asked::Fact { fact: asked, coat: Some(coat), .. }) = &self.asked
            && *asked == statement.fact
        {
            return Ok(At::Coat(self.surface, Some(*coat)));
        }
        if many <= 1 {
            return Ok(At::Coat(self.surface, Some(0)));
        }
        let reading = &statement.readings[0];
        // What is said of the paint as a whole is said of every coat; a kind or a figure belongs to one, and so does what would
        // clear a coat that is careful to be presumed: nobody knows yet that all of them were looked at.
        let clears = fact.careful.as_ref().is_some_and(|careful| *careful != reading.known);
        let whole = matches!(fact.kind, FactKind::YesNo | FactKind::Choice(_));
        if whole && !clears {
            return Ok(At::Coat(self.surface, None));
        }
        let mut options: Vec<(String, Todo)> = (0..many)
            .map(|c| {
                let edits = vec![Self::stating(At::Coat(self.surface, Some(c)), statement.fact, reading)];
                (
                    format!("coat {}{}", c + 1, self.coat_kind(c)),
                    Todo::Edits { edits, echo: format!("{} of coat {}: {}", fact.title, c + 1, reading.echo) },
                )
            })
            .collect();
        if whole {
            let edits = vec![Self::stating(At::Coat(self.surface, None), statement.fact, reading)];
            let echo = format!("{} of every coat: {}", fact.title, reading.echo);
            options.push(("every coat: all of them were looked at".to_owned(), Todo::Edits { edits, echo }));
        }
        if let FactKind::Number { whole: together, .. } = &fact.kind {
            let surface = self.survey.surfaces.get(self.surface).map_or("the surface", |s| s.name.as_str());
            let length = fact.unit().dimension == ovolo_engine::quantity::Dimension::LENGTH;
            // The coats together have a thickness that none of them has.
            let (label, edits, echo) = if *together || length {
                let text = format!("{} of all the coats together: {}", fact.title, reading.echo);
                (
                    "all of the coats together: it is kept as a note, for no one coat is known",
                    vec![Edit::Note { surface: Some(self.surface), text: text.clone() }],
                    format!("a note on {surface}: {text}"),
                )
            } else {
                let echo = format!("{} of every coat: {}", fact.title, reading.echo);
                ("every coat: all of them were measured", vec![Self::stating(At::Coat(self.surface, None), statement.fact, reading)], echo)
            };
            options.push((label.to_owned(), Todo::Edits { edits, echo }));
        }
        options.push(("none of them".to_owned(), Todo::Leave));
        Err(Pending::Choose { ask: format!("Which coat is it: {} {}?", fact.title, reading.echo), options })
    }

    fn coat_kind(&self, coat: usize) -> String {
        let kind = self.book.base.vocabulary.with(FactRole::Kind);
        let stated = kind.and_then(|k| self.survey.surfaces.get(self.surface)?.coats.as_ref()?.get(coat)?.get(&k));
        stated.map_or_else(String::new, |s| format!(" ({})", s.written.replace('-', " ")))
    }

    /// What was said with doubt, and who it comes from where somebody else said so.
    fn said_by(at: At, statement: &Statement, reading: &Reading) -> Edit {
        let toml = if reading.sure { reading.toml.clone() } else { doubted_by(&reading.toml, statement.by.as_deref()) };
        Edit::Fact { at, fact: statement.fact, toml }
    }

    /// What would ask for less care, said beside words that were not understood: it is asked back about.
    fn for_certain(line: &str, place: At, title: &str, statement: &Statement, stands: Option<String>) -> Pending {
        let reading = &statement.readings[0];
        let parts: Vec<String> = statement.unread.iter().filter_map(|r| line.get(r.clone())).map(|t| format!("`{}`", t.trim())).collect();
        let what = format!("{title}: {}", reading.echo);
        let fact = |toml: String| vec![Edit::Fact { at: place, fact: statement.fact, toml }];
        Pending::Choose {
            ask: format!("Is that for certain, and for the whole of it: {what}? {} may say otherwise.", words::list(&parts, "and")),
            options: vec![
                (format!("yes, {what}"), Todo::Edits { edits: fact(reading.toml.clone()), echo: what.clone() }),
                // A doubt takes away nothing that stands for certain.
                match &stands {
                    Some(stands) => (format!("not for certain, or only in part: it stays {stands}"), Todo::Leave),
                    None => (
                        "not for certain, or only in part: keep it as a doubt".to_owned(),
                        Todo::Edits { edits: fact(doubted(&reading.toml)), echo: format!("{what} (in doubt, so it counts as open)") },
                    ),
                },
                (if stands.is_some() { "no".to_owned() } else { "no, leave it open".to_owned() }, Todo::Leave),
            ],
        }
    }

    pub(super) fn stating(at: At, fact: FactId, reading: &Reading) -> Edit {
        Edit::Fact { at, fact, toml: if reading.sure { reading.toml.clone() } else { doubted(&reading.toml) } }
    }

    fn fact(&self, line: &str, statement: &Statement, made: &mut Made) {
        let fact = self.book.base.vocabulary.get(statement.fact);
        let statement = {
            let said = self.only_tested(line, statement);
            // That it was tested is taken up by the question what with.
            if said.unread.len() < statement.unread.len() {
                made.unheard.retain(|u| !statement.unread.iter().any(|r| line.get(r.clone()).is_some_and(|t| t.trim() == u)));
            }
            &said.into_owned()
        };
        let Some(first) = statement.readings.first() else { return };
        if fact.about == About::Method {
            made.refused.push(format!("`{}` belongs to a method: say `check METHOD with …` or `propose METHOD with …`.", fact.title));
            return;
        }
        let place = match self.belongs(statement, made.stack) {
            Ok(place) => place,
            Err(back) => {
                // With the stack just told there is no asking about coats by their number: what is said of them together is
                // kept as a note.
                if let (Some(_), Pending::Choose { options, .. }) = (made.stack, &back)
                    && let Some((_, Todo::Edits { edits, echo })) =
                        options.iter().find(|(_, t)| matches!(t, Todo::Edits { edits, .. } if matches!(edits[..], [Edit::Note { .. }])))
                {
                    made.edits.extend(edits.iter().cloned());
                    made.echo.push(echo.clone());
                    return;
                }
                made.back.push(back);
                return;
            }
        };
        if let At::Coat(s, Some(c)) = place {
            let listed = self.survey.surfaces.get(s).and_then(|s| s.coats.as_ref()).map_or(1, |c| c.len().max(1));
            let many = made.stack.unwrap_or(listed);
            if c >= many {
                made.refused.push(format!(
                    "There is no coat {}: {} listed. Name them from the top, such as `gloss over distemper`.",
                    c + 1,
                    counted(many, "coat is", "coats are")
                ));
                return;
            }
        }
        if let Some(stays) = self.in_passing(line, place, statement).or_else(|| self.only_doubts(place, statement)) {
            made.remarks.push(stays);
            return;
        }
        let listed = self.survey.surfaces.get(self.surface).and_then(|s| s.coats.as_ref()).map_or(0, Vec::len);
        let coats = made.stack.unwrap_or(listed);
        let title = match place {
            At::Coat(_, Some(c)) if coats > 1 => format!("{} of coat {}", fact.title, c + 1),
            At::Coat(_, None) if coats > 1 => format!("{} of every coat", fact.title),
            _ => fact.title.clone(),
        }
        .replace(" in the coat of ", " in ")
        .replace(" of the coat of ", " of ");
        let echo = |r: &Reading| {
            let doubt = match (&statement.by, r.sure) {
                (_, true) => String::new(),
                (Some(by), false) => format!(" (on the word of {}, so it counts as open until somebody has looked)", whom(by)),
                (None, false) => " (not sure, so it counts as open until somebody has looked)".to_owned(),
            };
            let before = self.turned(place, statement, r).map_or_else(String::new, |was| format!(" (until now: {was})"));
            format!("{title}: {}{before}{doubt}", r.echo)
        };
        match self.only_mentioned(line, place, statement, &title) {
            Some(Mentioned::Stays) => return,
            Some(Mentioned::Ask(ask)) => {
                made.back.push(ask);
                return;
            }
            None => {}
        }
        if let Some(passing) = self.part_besides(line, statement) {
            made.remarks.push(passing);
            return;
        }
        if !statement.unread.is_empty() && !self.doubts_what_stands(place, statement) {
            let stands = self.stands_careful(place, statement.fact);
            made.back.push(Self::for_certain(line, place, &title, statement, stands));
            made.unheard.retain(|u| !statement.unread.iter().any(|r| line.get(r.clone()).is_some_and(|t| t.trim() == u)));
            return;
        }
        if let Some(merged) = self.with_what_was_near(place, statement) {
            made.edits.push(Self::stating(place, statement.fact, &merged));
            made.echo.push(format!("{title}: {}", merged.echo));
            return;
        }
        if let Some(stands) = self.turns_round_unasked(line, place, statement) {
            let edits = vec![Self::stating(place, statement.fact, first)];
            let options = vec![
                (format!("yes, {}", first.echo), Todo::Edits { edits, echo: echo(first) }),
                (format!("no, it stays {stands}"), Todo::Leave),
            ];
            let ask = format!("Until now, {title}: {stands}. Does `{}` change it?", line.get(statement.at.clone()).unwrap_or(line));
            made.back.push(Pending::Choose { ask, options });
            return;
        }
        if statement.readings.len() > 1 && self.differ(place, statement) {
            let mut options: Vec<(String, Todo)> = statement
                .readings
                .iter()
                .map(|r| (r.echo.clone(), Todo::Edits { edits: vec![Self::stating(place, statement.fact, r)], echo: echo(r) }))
                .collect();
            options.push(("leave it open".to_owned(), Todo::Leave));
            made.back.push(Pending::Choose { ask: format!("Which is meant, for the {}?", fact.title), options });
            return;
        }
        if !first.sure {
            // It is not asked again at once; `questions` brings it back.
            let coat = match place {
                At::Coat(_, coat) => Some(coat.unwrap_or(0)),
                _ => None,
            };
            let surface = if fact.about == About::Site { 0 } else { self.surface };
            made.doubted.push(Asked::Fact { fact: statement.fact, surface, coat });
        }
        made.edits.push(Self::said_by(place, statement, first));
        made.echo.push(echo(first));
    }

    /// Whether two readings would change anything differently: a verdict, what is said, or a measure that is reckoned with.
    fn differ(&self, place: At, statement: &Statement) -> bool {
        // Of two readings the one that asks for less care is never taken for the other.
        let fact = self.book.base.vocabulary.get(statement.fact);
        let eased = statement.readings.iter().filter(|r| fact.eased_by(&r.known)).count();
        if eased > 0 && eased < statement.readings.len() {
            return true;
        }
        let mut reaches = statement.readings.iter().filter_map(|r| match &r.known {
            Known::Num(reach) => reach.bounds(),
            _ => None,
        });
        if let Some((low, high)) = reaches.next()
            && reaches.any(|(l, h)| l > high || h < low)
        {
            return true;
        }
        let mut seen: Option<(Vec<Verdict>, Vec<usize>)> = None;
        for reading in &statement.readings {
            let Ok((_, survey)) = self.tried(&[Self::stating(place, statement.fact, reading)]) else { continue };
            let outlooks = self.outlooks_of(&survey);
            let Some(outlook) = outlooks.get(self.surface) else { return true };
            let stands =
                (outlook.verdicts().collect::<Vec<_>>(), outlook.spoken().iter().filter(|s| s.certain).map(|s| s.rule).collect::<Vec<_>>());
            match &seen {
                Some(first) if *first != stands => return true,
                Some(_) => {}
                None => seen = Some(stands),
            }
        }
        false
    }

    fn coats(&self, coats: &[Vec<Statement>], made: &mut Made) {
        let listed = self.survey.surfaces.get(self.surface).and_then(|s| s.coats.as_ref());
        let mut echo: Vec<String> = Vec::new();
        let mut doubt = false;
        let list: Vec<Vec<(FactId, String)>> = coats
            .iter()
            .map(|coat| {
                let facts: Vec<&Reading> = coat.iter().filter_map(|s| s.readings.first()).collect();
                let told = words::list(&facts.iter().map(|r| r.echo.as_str()).collect::<Vec<_>>(), "and");
                echo.push(if told.is_empty() { "one of a kind not said".to_owned() } else { told });
                doubt |= facts.iter().any(|r| !r.sure);
                coat.iter()
                    .filter_map(|s| Some((s.fact, s.readings.first()?)))
                    .map(|(f, r)| (f, if r.sure { r.toml.clone() } else { doubted(&r.toml) }))
                    .collect()
            })
            .collect();
        let told = match coats.len() {
            0 => "no coats: bare".to_owned(),
            1 => format!("one kind of coat: {}", echo[0]),
            _ => format!("coats from the top: {}", echo.join(", then ")),
        };
        let told = if doubt { format!("{told} (not sure: what is doubted counts as open)") } else { told };
        // What was known of the paint as a whole is kept.
        let whole = self.of_all_coats().filter(|_| coats.len() > 1);
        let mut list = list;
        for coat in &mut list {
            let more: Vec<_> = whole.iter().flatten().filter(|(f, _)| coat.iter().all(|(g, _)| g != f)).cloned().collect();
            coat.extend(more);
        }
        let edit = Edit::Coats { surface: self.surface, coats: list };
        // What is already known of the coats is not written over without a word.
        let known = whole.is_none() && listed.is_some_and(|l| l.iter().any(|c| !c.is_empty()));
        if known {
            let options = vec![
                ("yes, these instead".to_owned(), Todo::Edits { edits: vec![edit], echo: told.clone() }),
                ("no, leave them".to_owned(), Todo::Leave),
            ];
            made.back.push(Pending::Choose { ask: format!("Coats are listed already. Put {told} in their place?"), options });
        } else {
            made.edits.push(edit);
            made.echo.push(told);
        }
    }
}

/// The two surfaces that a name holds: "front door and back door".
fn two_in(name: &str) -> Option<(&str, &str)> {
    let (one, other) = name.split_once(" and ")?;
    let (one, other) = (bare(one), bare(other));
    let last = |n: &str| n.split_whitespace().last().map(str::to_lowercase);
    let many = |n: &str| n.split_whitespace().count() > 1;
    (many(one) && many(other) && last(one) == last(other) && !one.eq_ignore_ascii_case(other)).then_some((one, other))
}

/// A name without the words people put before it.
pub(super) fn bare(name: &str) -> &str {
    let name = name.trim().trim_matches('"').trim();
    let lower = name.to_lowercase();
    for lead in ["new surface: ", "it's ", "its ", "it is ", "this is ", "there's ", "there is ", "there are ", "then there's "] {
        if lower.starts_with(lead) {
            return bare(&name[lead.len()..]);
        }
    }
    for lead in ["the ", "a ", "an ", "some "] {
        if lower.starts_with(lead) {
            return name[lead.len()..].trim();
        }
    }
    name
}

/// Whether a word was taken for another that it was nearly.
fn is_mended(statement: &Statement) -> bool {
    statement.readings.iter().any(|r| r.echo.contains("(typed as"))
}

/// Whether some words are a figure with its unit.
fn measures(words: &str) -> bool {
    let last = words.split_whitespace().last().unwrap_or("").to_lowercase();
    ["yard", "metre", "meter", "foot", "feet", "ft", "m", "inch", "run", "length"].iter().any(|u| last.trim_end_matches('s') == *u)
}

/// Whether some words are a remark about people or doubt and no name of a part.
fn remarked(name: &str) -> bool {
    const WORDS: &[&str] = &[
        "maybe", "perhaps", "probably", "possibly", "might", "think", "daughter", "son", "wife", "husband", "kid", "kids", "child",
        "children", "baby", "toddler", "pregnant", "dog", "cat", "tenant", "tenants", "owner", "client", "daycare", "nursery",
    ];
    name.split_whitespace().any(|w| WORDS.contains(&w.to_lowercase().as_str()))
}

/// A speaker as the words stand behind "of".
fn whom(by: &str) -> &str {
    match by.to_lowercase().as_str() {
        "he" => "him",
        "she" => "her",
        "they" => "them",
        _ => by,
    }
}

fn inside(inner: &Range<usize>, outer: &Range<usize>) -> bool {
    inner.start >= outer.start && inner.end <= outer.end
}
