//! A survey being talked through: what is on file, how every surface stands, and the way back.
//!
//! A session knows no terminal and no disk. [`Session::line`] takes a line and gives the words to show; the caller keeps
//! [`Session::text`] on disk before it shows them.

use super::document::{Document, Edit};
use jiff::civil::Date;
use ovolo_engine::Error;
use ovolo_engine::answer::Listener;
use ovolo_engine::diagnostic::{Diagnostic, SourceFile};
use ovolo_engine::explain::{Outlook, Question, questions};
use ovolo_engine::judge::Judge;
use ovolo_engine::pack::RuleBook;
use ovolo_engine::survey::{Facts, Survey};
use ovolo_engine::vocabulary::{About, FactId};
use std::collections::VecDeque;
use std::sync::Arc;

/// Where and when advice is given, where the command line says so.
#[derive(Debug, Clone, Default)]
pub struct Fixed {
    /// Overrides the survey's place.
    pub place: Option<String>,
    /// Overrides the survey's date.
    pub date: Option<Date>,
}

/// Why judging cannot be refused: the survey is read with the session's own book, and only surfaces that it has are asked for.
pub(super) const READ_HERE: &str = "a session judges its own survey with its own book";

/// One state of the survey on the way back and forth.
#[derive(Debug, Clone)]
pub(super) struct Snapshot {
    pub(super) text: Arc<str>,
    /// The surface that was talked about.
    pub(super) surface: usize,
    /// What was said to get here.
    pub(super) what: String,
}

/// A place on the way of a session.
#[derive(Debug, Clone)]
pub struct Mark {
    snapshots: Vec<Snapshot>,
    now: usize,
    surface: usize,
}

/// What was asked last.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Asked {
    Title,
    Place,
    FirstSurface,
    Fact { fact: FactId, surface: usize, coat: Option<usize> },
}

/// Something that waits for the next line.
#[derive(Debug, Clone)]
pub(super) enum Pending {
    /// One of several readings.
    Choose { ask: String, options: Vec<(String, Todo)> },
    /// A piece of text.
    Text { ask: String, then: Then },
}

/// What an option stands for.
#[derive(Debug, Clone)]
pub(super) enum Todo {
    Edits {
        edits: Vec<Edit>,
        echo: String,
    },
    /// The line once more, as a command.
    Command(String),
    /// The line once more, as an answer.
    Answer(String),
    /// The line once more, about a surface that is made for it.
    NewSurface {
        name: String,
        line: String,
    },
    Leave,
}

/// What a text is for.
#[derive(Debug, Clone)]
pub(super) enum Then {
    SurfaceName { line: String },
    CopyName { from: usize, but: Option<String> },
    DepartWho { rule: String, surface: Option<String> },
    DepartWhy { rule: String, surface: Option<String>, who: String },
    DepartUntil { rule: String, surface: Option<String>, who: String, why: String },
}

/// What came of a line.
#[derive(Debug, Clone, Default)]
pub struct Outcome {
    /// The words to show.
    pub text: String,
    /// Whether the whole line was understood.
    pub understood: bool,
    /// Whether the person wants to leave.
    pub leave: bool,
    /// Whether the file is to be read again.
    pub reload: bool,
    /// Whether the whole advice is wanted, with every notice or not.
    pub advice: Option<bool>,
}

/// A survey being talked through.
#[expect(clippy::struct_excessive_bools, reason = "each tells how the next line is taken")]
pub struct Session<'b> {
    pub(super) book: &'b RuleBook,
    pub(super) listener: Listener<'b>,
    pub(super) fixed: Fixed,
    pub(super) today: Date,
    pub(super) judge: Judge<'b>,
    pub(super) snapshots: Vec<Snapshot>,
    pub(super) now: usize,
    pub(super) document: Document,
    pub(super) survey: Survey,
    pub(super) outlooks: Vec<Arc<Outlook>>,
    /// The surface that is talked about.
    pub(super) surface: usize,
    /// Questions left open for this session.
    pub(super) later: Vec<Asked>,
    pub(super) asked: Option<Asked>,
    /// The question that was put in full last.
    pub(super) put: Option<Asked>,
    pub(super) pending: VecDeque<Pending>,
    /// All that the last answer brought, for `more`.
    pub(super) more: String,
    /// The question that was answered just now.
    pub(super) just: Option<Asked>,
    /// The town the job was said to be in, until the job has its name.
    pub(super) town: Option<String>,
    /// The choice that was shown in full last: it is not shown again after every line.
    pub(super) shown: Option<String>,
    /// Whether it was said since that it still waits.
    pub(super) reminded: bool,
    /// Whether a line is being taken while a choice waits.
    pub(super) meanwhile: bool,
    /// The state that the line left which put the choice that waits.
    pub(super) put_at: usize,
    /// What was stated last, for corrections.
    pub(super) last: Vec<Edit>,
    /// What was asked about once whether it stands: it is not asked again.
    pub(super) stands: Vec<super::withdrawn::Stands>,
    /// What was said for certain and waits for what shows it.
    pub(super) unshown: Vec<super::shown::Unshown>,
    /// Whether what is said now is said to differ: it is not asked back about.
    pub(super) correcting: bool,
    /// Whether the person has said that the line is about the surface talked about.
    pub(super) ours: bool,
    pub(super) width: usize,
}

impl std::fmt::Debug for Session<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Session").field("survey", &self.survey.title).field("surface", &self.surface).finish_non_exhaustive()
    }
}

impl<'b> Session<'b> {
    /// Begins with the text of a survey file, or with nothing.
    ///
    /// # Errors
    /// Everything that is wrong with the file.
    pub fn new(book: &'b RuleBook, file: Option<(&str, &str)>, fixed: Fixed, today: Date, width: usize) -> Result<Self, Vec<Diagnostic>> {
        let (name, text) = match file {
            Some((name, text)) => (name.to_owned(), text.to_owned()),
            None => {
                let mut blank = Document::blank();
                let date = fixed.date.unwrap_or(today);
                let _ = blank.apply(&Edit::Head { key: "date", toml: date.to_string() }, &book.base);
                (String::new(), blank.to_string())
            }
        };
        let (document, survey) = read(book, &name, &text)?;
        let judge = judge(book, &survey, &fixed, today);
        let mut session = Self {
            book,
            listener: Listener::new(book),
            fixed,
            today,
            judge,
            snapshots: vec![Snapshot { text: text.into(), surface: 0, what: String::new() }],
            now: 0,
            document,
            survey,
            outlooks: Vec::new(),
            surface: 0,
            later: Vec::new(),
            asked: None,
            put: None,
            pending: VecDeque::new(),
            more: String::new(),
            just: None,
            town: None,
            shown: None,
            reminded: false,
            meanwhile: false,
            put_at: 0,
            last: Vec::new(),
            stands: Vec::new(),
            unshown: Vec::new(),
            correcting: false,
            ours: false,
            width,
        };
        session.outlooks = session.all_outlooks();
        Ok(session)
    }

    /// The survey as it is to be on file.
    pub fn text(&self) -> &str {
        &self.snapshots[self.now].text
    }

    /// The survey as it is understood.
    pub fn survey(&self) -> &Survey {
        &self.survey
    }

    /// Whether anything has been said that is not in the file the session began with.
    pub fn begun(&self) -> bool {
        self.now > 0
    }

    /// The surface talked about.
    pub fn here(&self) -> Option<&str> {
        self.survey.surfaces.get(self.surface).map(|s| s.name.as_str())
    }

    /// Goes to a surface, if it is there.
    pub fn go_on_with(&mut self, name: &str) {
        if let Some(s) = self.survey.surfaces.iter().position(|s| s.name == name) {
            self.surface = s;
        }
    }

    /// The day advice is given for.
    pub(super) fn date(&self) -> Date {
        self.fixed.date.or(self.survey.date).unwrap_or(self.today)
    }

    /// The place whose law is applied.
    pub(super) fn place(&self) -> Option<&str> {
        self.fixed.place.as_deref().or(self.survey.place.as_deref())
    }

    pub(super) fn all_outlooks(&self) -> Vec<Arc<Outlook>> {
        (0..self.survey.surfaces.len()).map(|s| Arc::new(Outlook::new(&self.judge, &self.survey, s).expect(READ_HERE))).collect()
    }

    /// The survey some edits would give.
    pub(super) fn tried(&self, edits: &[Edit]) -> Result<(Document, Survey), String> {
        let mut document = self.document.clone();
        for edit in edits {
            document.apply(edit, &self.book.base)?;
        }
        match read(self.book, "", &document.to_string()) {
            Ok(ready) => Ok(ready),
            Err(problems) => Err(problems
                .iter()
                .map(|p| match &p.help {
                    Some(help) => format!("{}; {help}", p.message),
                    None => p.message.clone(),
                })
                .collect::<Vec<_>>()
                .join("; ")),
        }
    }

    /// How every surface would stand; those that are not touched are not judged again.
    pub(super) fn outlooks_of(&self, survey: &Survey) -> Vec<Arc<Outlook>> {
        let same_ground = survey.place == self.survey.place
            && survey.date == self.survey.date
            && survey.system == self.survey.system
            && survey.site == self.survey.site
            && departures(survey) == departures(&self.survey);
        let other;
        let judge = if survey.place == self.survey.place && survey.date == self.survey.date {
            &self.judge
        } else {
            other = judge(self.book, survey, &self.fixed, self.today);
            &other
        };
        (0..survey.surfaces.len())
            .map(|s| {
                let same = same_ground
                    && self.survey.surfaces.get(s).is_some_and(|was| {
                        let is = &survey.surfaces[s];
                        was.name == is.name && was.facts == is.facts && was.coats == is.coats
                    });
                if same { Arc::clone(&self.outlooks[s]) } else { Arc::new(Outlook::new(judge, survey, s).expect(READ_HERE)) }
            })
            .collect()
    }

    /// Makes changes; `what` says them for the way back.
    pub(super) fn change(&mut self, edits: &[Edit], what: &str) -> Result<Vec<Arc<Outlook>>, String> {
        let (document, survey) = self.tried(edits)?;
        self.snapshots.truncate(self.now + 1);
        let text: Arc<str> = document.to_string().into();
        self.snapshots.push(Snapshot { text, surface: self.surface, what: what.to_owned() });
        self.now += 1;
        Ok(self.become_of(document, survey))
    }

    /// Takes on another state of the survey; gives how things stood before.
    fn become_of(&mut self, document: Document, survey: Survey) -> Vec<Arc<Outlook>> {
        let outlooks = self.outlooks_of(&survey);
        if survey.place != self.survey.place || survey.date != self.survey.date {
            self.judge = judge(self.book, &survey, &self.fixed, self.today);
        }
        self.document = document;
        self.survey = survey;
        self.surface = self.surface.min(self.survey.surfaces.len().saturating_sub(1));
        std::mem::replace(&mut self.outlooks, outlooks)
    }

    /// Goes back or forth on the way; gives how things stood before and what was undone or redone.
    pub(super) fn travel(&mut self, to: usize) -> Result<Vec<Arc<Outlook>>, String> {
        let snapshot = self.snapshots[to].clone();
        // One goes to where the change was made that is taken back or put back.
        let there = if to < self.now { self.snapshots[to + 1].surface } else { snapshot.surface };
        let (document, survey) =
            read(self.book, "", &snapshot.text).map_err(|p| p.first().map_or_else(String::new, |p| p.message.clone()))?;
        let was = (self.document.clone(), self.survey.clone());
        self.now = to;
        self.surface = if there < survey.surfaces.len() { there } else { snapshot.surface };
        let before = self.become_of(document, survey);
        self.ask_again(&was.0, &was.1);
        Ok(before)
    }

    /// What was taken back or put back is no question left for later any more: what was said with doubt and then taken back is asked
    /// again.
    fn ask_again(&mut self, document: &Document, survey: &Survey) {
        let mut later = std::mem::take(&mut self.later);
        later.retain(|asked| {
            let Asked::Fact { fact, surface, coat } = asked else { return true };
            let it = self.book.base.vocabulary.get(*fact);
            let at = super::document::at(it.about, *surface, *coat);
            let now = self.facts_at(at).and_then(|f| f.get(fact)).map(|s| s.written.clone());
            let was = facts_of(survey, at).and_then(|f| f.get(fact)).map(|s| s.written.clone());
            now == was && self.document.unsure(at, &it.name) == document.unsure(at, &it.name)
        });
        self.later = later;
    }

    /// Goes on with what somebody else wrote to the file; `undo` leads back.
    ///
    /// # Errors
    /// Everything that is wrong with it; the session goes on with what it had.
    pub fn reloaded(&mut self, name: &str, text: &str) -> Result<(), Vec<Diagnostic>> {
        let (document, survey) = read(self.book, name, text)?;
        self.snapshots.truncate(self.now + 1);
        self.snapshots.push(Snapshot { text: text.into(), surface: self.surface, what: "the file read again".to_owned() });
        self.now += 1;
        self.become_of(document, survey);
        Ok(())
    }

    /// Where the session stands on its way, to come back to.
    pub fn mark(&self) -> Mark {
        Mark { snapshots: self.snapshots.clone(), now: self.now, surface: self.surface }
    }

    /// Comes back without a word: what was done since could not be kept.
    pub fn return_to(&mut self, mark: Mark) {
        let text = &mark.snapshots[mark.now].text;
        // It has been read before.
        if *text != self.snapshots[self.now].text
            && let Ok((document, survey)) = read(self.book, "", text)
        {
            self.become_of(document, survey);
        }
        (self.snapshots, self.now, self.surface) = (mark.snapshots, mark.now, mark.surface);
        self.pending.clear();
    }

    /// The questions about a surface that are not left for later, best first.
    pub(super) fn questions(&self, surface: usize) -> Vec<Question> {
        // Where there is no surface yet there is nothing to ask of it.
        let mut all = questions(&self.judge, &self.survey, &self.outlooks, surface).unwrap_or_default();
        all.retain(|q| !self.later.contains(&self.asking(q, surface)));
        all
    }

    pub(super) fn asking(&self, question: &Question, surface: usize) -> Asked {
        // What is about the site is asked once for all surfaces.
        let site = self.book.base.vocabulary.get(question.fact).about == About::Site;
        Asked::Fact { fact: question.fact, surface: if site { 0 } else { surface }, coat: question.coat }
    }

    /// The facts of one thing.
    pub(super) fn facts_at(&self, at: super::document::At) -> Option<&Facts> {
        facts_of(&self.survey, at)
    }
}

/// The facts of one thing in a survey.
pub(super) fn facts_of(survey: &Survey, at: super::document::At) -> Option<&Facts> {
    use super::document::At;
    match at {
        At::Site => Some(&survey.site),
        At::Surface(s) => survey.surfaces.get(s).map(|s| &s.facts),
        At::Coat(s, c) => survey.surfaces.get(s)?.coats.as_ref()?.get(c.unwrap_or(0)),
    }
}

/// What of the departures makes a difference to a judgement.
fn departures(survey: &Survey) -> Vec<[Option<String>; 4]> {
    let day = |d: Option<Date>| d.map(|d| d.to_string());
    survey.departures.iter().map(|d| [Some(d.rule.clone()), day(d.on), day(d.until), d.surface.clone()]).collect()
}

fn judge<'b>(book: &'b RuleBook, survey: &Survey, fixed: &Fixed, today: Date) -> Judge<'b> {
    let place = fixed.place.as_deref().or(survey.place.as_deref());
    Judge::new(book, place, fixed.date.or(survey.date).unwrap_or(today))
}

fn read(book: &RuleBook, name: &str, text: &str) -> Result<(Document, Survey), Vec<Diagnostic>> {
    let (survey, _) = Survey::read_draft(&SourceFile::new(name, text), book).map_err(Error::into_diagnostics)?;
    let document = Document::read(text).map_err(|message| vec![Diagnostic::error(message)])?;
    Ok((document, survey))
}
