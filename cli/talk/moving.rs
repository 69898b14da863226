//! Commands that move: back and forth, between surfaces, and what is kept beside the answers.

use super::document::Edit;
use super::session::{Outcome, Pending, Session, Then};
use super::views::{Told, told};
use ovolo_engine::answer::{Context, Said};
use ovolo_engine::role::FactRole;
use ovolo_engine::survey::departure_refused;
use ovolo_engine::vocabulary::About;
use ovolo_engine::words;

impl Session<'_> {
    pub(super) fn forget(&mut self, rest: &str) -> Told {
        let Some((fact, coat)) = self.fact_named(rest) else {
            return Err(self.fact_before(&format!("{rest} x")).err().unwrap_or_default());
        };
        let about = self.book.base.vocabulary.get(fact).about;
        let at = super::document::at(about, self.surface, coat);
        let title = self.book.base.vocabulary.get(fact).title.clone();
        if self.facts_at(at).is_none_or(|f| !f.contains_key(&fact)) {
            return Err(format!("Nothing is stated about the {title}."));
        }
        let text = self.state(&[Edit::Forget { at, fact }], &format!("{title} is open again"))?;
        told(text)
    }

    pub(super) fn undo(&mut self, rest: &str) -> Told {
        let many = times(rest, "undo")?;
        if self.now == 0 {
            return Err("There is nothing to take back.".to_owned());
        }
        self.travel_by(self.now.saturating_sub(many), "Taken back")
    }

    pub(super) fn redo(&mut self, rest: &str) -> Told {
        let many = times(rest, "redo")?;
        if self.now + 1 >= self.snapshots.len() {
            return Err("There is nothing to put back.".to_owned());
        }
        self.travel_by((self.now + many).min(self.snapshots.len() - 1), "Put back")
    }

    pub(super) fn travel_by(&mut self, to: usize, word: &str) -> Told {
        let what: Vec<String> = if to < self.now {
            self.snapshots[to + 1..=self.now].iter().rev().map(|s| s.what.clone()).collect()
        } else {
            self.snapshots[self.now + 1..=to].iter().map(|s| s.what.clone()).collect()
        };
        let before = self.travel(to)?;
        // What was left for later may be wanted again.
        self.asked = None;
        let mut text = self.page().paragraph("  ", "    ", &format!("{word}: {}.", what.join("; ")));
        let mut more = self.effect(&before, &self.outlooks, &self.survey);
        if !self.survey.surfaces.is_empty() {
            more.push_str(&self.left());
            text.push_str(&self.brief(&before, false));
        }
        self.more = more;
        told(text)
    }

    /// A surface by its name, or a beginning or part no other shares.
    pub(super) fn surface_named(&self, name: &str) -> Result<usize, String> {
        let wanted = super::answering::bare(name).to_lowercase();
        let names: Vec<String> = self.survey.surfaces.iter().map(|s| s.name.to_lowercase()).collect();
        if let Some(s) = names.iter().position(|n| *n == wanted) {
            return Ok(s);
        }
        for fits in [&|n: &String| n.starts_with(&wanted), &|n: &String| n.contains(&wanted)] as [&dyn Fn(&String) -> bool; 2] {
            let found: Vec<usize> = names.iter().enumerate().filter(|(_, n)| fits(n)).map(|(i, _)| i).collect();
            if let [one] = found[..] {
                return Ok(one);
            }
        }
        let all: Vec<&str> = self.survey.surfaces.iter().map(|s| s.name.as_str()).collect();
        let near = words::did_you_mean(name, all.clone())
            .unwrap_or_else(|| format!("here {} {}.", if all.len() == 1 { "is" } else { "are" }, words::list(&all, "and")));
        Err(format!("There is no surface `{name}`; {near}"))
    }

    pub(super) fn go(&mut self, rest: &str) -> Told {
        self.surface = self.surface_named(rest)?;
        self.asked = None;
        told(format!("  On to {}.\n", self.survey.surfaces[self.surface].name))
    }

    pub(super) fn go_next(&mut self) -> Told {
        if self.survey.surfaces.len() < 2 {
            return Err("There is no other surface; `add NAME` begins one.".to_owned());
        }
        self.surface = (self.surface + 1) % self.survey.surfaces.len();
        self.asked = None;
        told(format!("  On to {}.\n", self.survey.surfaces[self.surface].name))
    }

    pub(super) fn add(&mut self, rest: &str) -> Told {
        let name = super::answering::bare(rest.split([',', ';']).next().unwrap_or(rest)).to_owned();
        self.asked = None;
        let heard = self.listener.hear(rest, &Context { coats: None, ..self.context() });
        Ok(self.new_surface(&name, rest, &heard))
    }

    pub(super) fn copy(&mut self, rest: &str) -> Told {
        let (head, but) = match rest.split_once(" but ") {
            Some((h, b)) => (h, Some(b.trim().to_owned())),
            None => (rest, None),
        };
        let (from, name) = match head.split_once(" as ") {
            Some((f, n)) => (f, Some(n.trim().to_owned())),
            None => (head, None),
        };
        let from = self.surface_named(from.trim_matches([' ', ',']))?;
        // "But the tower, stucco": what comes first is what the other is called, where it says nothing of what it is like.
        let name = name.or_else(|| self.called_in(but.as_deref()?));
        match name {
            Some(name) => Ok(self.copied(from, &name, but.as_deref())),
            None => {
                let ask = format!("What is the new surface called, the one like {}?", self.survey.surfaces[from].name);
                self.pending.push_front(Pending::Text { ask, then: Then::CopyName { from, but } });
                told(String::new())
            }
        }
    }

    /// The name of the other surface that stands in what differs.
    fn called_in(&self, but: &str) -> Option<String> {
        let first = but.split([',', ';']).next().unwrap_or("").trim();
        let article = ["the ", "a ", "an ", "for the "].iter().find_map(|a| first.strip_prefix(a));
        let heard = self.listener.hear(first, &Context { asked: None, ..self.context() });
        let element = self.book.base.vocabulary.with(FactRole::Element);
        let like = heard.said.iter().any(|s| match s {
            Said::Fact(f) => Some(f.fact) != element && self.book.base.vocabulary.get(f.fact).about != About::Site,
            Said::Coats(_) => true,
            _ => false,
        });
        let name = super::passing::name_in(article?)?;
        (!like && but.len() > first.len()).then(|| name.to_owned())
    }

    pub(super) fn copied(&mut self, from: usize, name: &str, but: Option<&str>) -> Outcome {
        let name = super::answering::bare(name).to_owned();
        if let Err(why) = self.name_is_free(&name) {
            return Outcome { text: self.page().paragraph("  ", "    ", &why), ..Outcome::default() };
        }
        let like = self.survey.surfaces[from].name.clone();
        let index = self.survey.surfaces.len();
        let start = self.now;
        if let Err(why) = self.change(&[Edit::CopySurface { from, name: name.clone() }], &format!("{name}, same as {like}")) {
            return Outcome { text: self.page().paragraph("  ", "    ", &format!("That cannot be kept: {why}.")), ..Outcome::default() };
        }
        self.surface = index;
        self.snapshots[self.now].surface = index;
        self.asked = None;
        let lead = format!("A new surface: {name}, same as {like}; its patches, proposals and notes stay behind.");
        let mut outcome = Outcome { text: self.page().paragraph("  ", "    ", &lead), understood: true, ..Outcome::default() };
        if let Some(but) = but {
            let mut heard = self.listener.hear(but, &self.context());
            // What differs between two surfaces is not what the whole job is: "the tower" is a part here.
            let of_site = |s: &Said| matches!(s, Said::Fact(f) if self.book.base.vocabulary.get(f.fact).about == About::Site);
            let left: Vec<_> = heard.said.iter().filter(|s| of_site(s)).filter_map(super::passing::place_of).collect();
            heard.said.retain(|s| !of_site(s));
            heard.unheard.extend(left.into_iter().filter(|at| !but.get(at.clone()).is_some_and(|w| name.contains(w))));
            self.correcting = true;
            let more = self.take(but, &heard);
            self.correcting = false;
            outcome.text = self.in_one_paragraph(&lead, &more.text);
            outcome.understood = more.understood;
            self.one_step_since(start, &format!("{name}, same as {like}"));
        }
        outcome
    }

    pub(super) fn rename(&mut self, rest: &str) -> Told {
        self.outlook()?;
        let (surface, name) = match rest.split_once(" to ") {
            Some((from, to)) => (self.surface_named(from)?, to.trim()),
            None => (self.surface, rest.trim_start_matches("to ").trim()),
        };
        self.name_is_free(name)?;
        let was = self.survey.surfaces[surface].name.clone();
        let text = self.state(&[Edit::Rename { surface, name: name.to_owned() }], &format!("{was} is called {name} now"))?;
        told(text)
    }

    pub(super) fn remove(&mut self, rest: &str) -> Told {
        self.outlook()?;
        let surface = if rest.is_empty() { self.surface } else { self.surface_named(rest)? };
        let name = self.survey.surfaces[surface].name.clone();
        let bound: Vec<&str> =
            self.survey.departures.iter().filter(|d| d.surface.as_deref() == Some(&name)).map(|d| d.rule.as_str()).collect();
        if !bound.is_empty() {
            return Err(format!("A departure from {} is recorded for {name}: take it out of the file first.", words::list(&bound, "and")));
        }
        self.change(&[Edit::Remove { surface }], &format!("{name} taken out"))?;
        self.asked = None;
        told(format!("  Taken out: {name}. `undo` brings it back.\n"))
    }

    pub(super) fn note(&mut self, rest: &str) -> Told {
        let (surface, text) = match rest.strip_prefix("site ") {
            Some(text) => (None, text),
            None => ((!self.survey.surfaces.is_empty()).then_some(self.surface), rest),
        };
        self.change(&[Edit::Note { surface, text: text.to_owned() }], "a note")?;
        let whom = surface.map_or("the job", |s| self.survey.surfaces[s].name.as_str());
        told(self.page().paragraph("  ", "    ", &format!("Kept as a note on {whom}: {text}")))
    }

    pub(super) fn depart(&mut self, rest: &str) -> Told {
        let (rule, everywhere) = match rest.strip_suffix(" everywhere") {
            Some(rule) => (rule, true),
            None => (rest, false),
        };
        let wanted = rule.trim().to_lowercase().replace(' ', "-");
        let Some(found) =
            self.book.rules.iter().find(|r| r.id == wanted || r.title.as_deref().is_some_and(|t| t.eq_ignore_ascii_case(rule.trim())))
        else {
            let near = words::did_you_mean(&wanted, self.book.rules.iter().map(|r| r.id.as_str())).unwrap_or_default();
            return Err(format!("There is no rule `{rule}`. {near} `why METHOD` names the rules that speak.").replace("  ", " "));
        };
        if let Some(why) = departure_refused(found.basis) {
            return Err(format!("No departure from {}: {why} ({}).", found.id, self.book.cite(&found.source)));
        }
        let surface = (!everywhere).then(|| self.survey.surfaces.get(self.surface).map(|s| s.name.clone())).flatten();
        let whom = surface.as_ref().map_or_else(|| "every surface".to_owned(), Clone::clone);
        let ask = format!("A departure from {} on {whom}. Who decides it? Name and role.", found.id);
        self.pending.push_front(Pending::Text { ask, then: Then::DepartWho { rule: found.id.clone(), surface } });
        told(String::new())
    }
}

fn times(rest: &str, word: &str) -> Result<usize, String> {
    if rest.is_empty() {
        return Ok(1);
    }
    rest.parse::<usize>().ok().filter(|n| *n > 0).ok_or_else(|| format!("Say `{word}`, or `{word} 3` for three steps."))
}
