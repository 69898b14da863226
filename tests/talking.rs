//! What is talked through equals the survey written directly, whatever the order of answers, changes, undos and redos.

use crate::support::book;
use cli::talk::{Fixed, Session};
use engine::diagnostic::SourceFile;
use engine::survey::Survey;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed, TestRunner};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// Facts with values that read the same at the prompt and in a file.
const FACTS: &[(&str, &[&str])] = &[
    ("site.use", &["dwelling", "school", "workplace"]),
    ("site.occupied", &["yes", "no"]),
    ("site.wind", &["4 m/s", "9 m/s"]),
    ("surface.substrate", &["oak", "softwood", "soft-brick", "steel"]),
    ("surface.where", &["inside", "outside"]),
    ("surface.condition", &["sound", "flaking"]),
    ("surface.area", &["4.2 m2", "45 ft2"]),
    ("surface.thatch_near", &["yes", "no"]),
    ("coat.kind", &["oil-paint", "emulsion"]),
    ("coat.layers", &["3", "12"]),
];

/// Names in which nobody hears a part of a building: that would be a fact.
const NAMES: &[&str] = &["alfa", "bravo", "charlie", "delta, second", "foxtrot"];

#[derive(Debug, Clone)]
enum Act {
    Set(usize, usize),
    Forget(usize),
    Add(usize),
    Go(usize),
    Copy(usize, usize),
    Rename(usize),
    Remove(usize),
    Note(u8),
    Undo(usize),
    Redo(usize),
}

fn acts() -> impl Strategy<Value = Vec<Act>> {
    let act = prop_oneof![
        8 => (0..FACTS.len(), 0..4_usize).prop_map(|(f, v)| Act::Set(f, v)),
        2 => (0..FACTS.len()).prop_map(Act::Forget),
        2 => (0..NAMES.len()).prop_map(Act::Add),
        2 => (0..NAMES.len()).prop_map(Act::Go),
        1 => (0..NAMES.len(), 0..NAMES.len()).prop_map(|(a, b)| Act::Copy(a, b)),
        1 => (0..NAMES.len()).prop_map(Act::Rename),
        1 => (0..NAMES.len()).prop_map(Act::Remove),
        1 => any::<u8>().prop_map(Act::Note),
        3 => (1..4_usize).prop_map(Act::Undo),
        2 => (1..4_usize).prop_map(Act::Redo),
    ];
    proptest::collection::vec(act, 1..30)
}

/// A surface as it would be written by hand.
#[derive(Debug, Clone, Default, PartialEq)]
struct Written {
    name: String,
    facts: BTreeMap<&'static str, String>,
    coat: Option<BTreeMap<&'static str, String>>,
    notes: Vec<String>,
}

#[derive(Debug, Clone, Default, PartialEq)]
struct Model {
    site: BTreeMap<&'static str, String>,
    surfaces: Vec<Written>,
    here: usize,
}

impl Model {
    fn find(&self, name: &str) -> Option<usize> {
        self.surfaces.iter().position(|s| s.name == name)
    }

    /// The survey as somebody would write it.
    fn text(&self) -> String {
        let value = |v: &str| match v {
            "yes" => "true".to_owned(),
            "no" => "false".to_owned(),
            v if v.parse::<u32>().is_ok() => v.to_owned(),
            v => format!("\"{v}\""),
        };
        let mut text = String::from("[survey]\ntitle = \"job\"\ndate = 2026-09-14\nplace = \"GB-ENG\"\n[site]\n");
        for (name, v) in &self.site {
            let _ = writeln!(text, "{name} = {}", value(v));
        }
        for s in &self.surfaces {
            let _ = writeln!(text, "[[surface]]\nname = \"{}\"", s.name);
            for (name, v) in &s.facts {
                let _ = writeln!(text, "{name} = {}", value(v));
            }
            if let Some(coat) = &s.coat {
                let facts: Vec<String> = coat.iter().map(|(n, v)| format!("{n} = {}", value(v))).collect();
                let _ = writeln!(text, "coats = [{{ {} }}]", facts.join(", "));
            }
            if !s.notes.is_empty() {
                let _ = writeln!(text, "note = \"{}\"", s.notes.join("\\n"));
            }
        }
        text
    }

    /// What an act does to it: the line to type, and whether anything changes.
    fn act(&mut self, act: &Act) -> Option<(String, bool)> {
        match *act {
            Act::Set(f, v) => {
                let (id, values) = FACTS[f];
                let v = values[v % values.len()];
                let (about, name) = id.split_once('.').expect("about.name");
                if about != "site" && self.surfaces.is_empty() {
                    return None;
                }
                let here = self.here;
                match about {
                    "site" => self.site.insert(name, v.to_owned()),
                    "surface" => self.surfaces[here].facts.insert(name, v.to_owned()),
                    _ => self.surfaces[here].coat.get_or_insert_default().insert(name, v.to_owned()),
                };
                Some((format!("set {name} {v}"), true))
            }
            Act::Forget(f) => {
                let (about, name) = FACTS[f].0.split_once('.').expect("about.name");
                if about != "site" && self.surfaces.is_empty() {
                    return None;
                }
                let here = self.here;
                let gone = match about {
                    "site" => self.site.remove(name),
                    "surface" => self.surfaces[here].facts.remove(name),
                    _ => self.surfaces[here].coat.as_mut().and_then(|c| c.remove(name)),
                };
                Some((format!("forget {name}"), gone.is_some()))
            }
            Act::Add(n) => {
                // The name of the surface is typed in full, with whatever stands in it.
                let name = NAMES[n].split(',').next().unwrap_or_default();
                let new = self.find(name).is_none();
                if new {
                    self.surfaces.push(Written { name: name.to_owned(), ..Written::default() });
                    self.here = self.surfaces.len() - 1;
                }
                Some((format!("add {name}"), new))
            }
            Act::Go(n) => {
                self.here = self.find(NAMES[n])?;
                Some((format!("go to {}", NAMES[n]), false))
            }
            Act::Copy(a, b) => {
                let from = self.find(NAMES[a])?;
                let new = self.find(NAMES[b]).is_none();
                if new {
                    let copy = Written { name: NAMES[b].to_owned(), notes: Vec::new(), ..self.surfaces[from].clone() };
                    self.surfaces.push(copy);
                    self.here = self.surfaces.len() - 1;
                }
                Some((format!("copy {} as {}", NAMES[a], NAMES[b]), new))
            }
            Act::Rename(n) => {
                let new = self.find(NAMES[n]).is_none();
                let here = self.here;
                if new {
                    NAMES[n].clone_into(&mut self.surfaces.get_mut(here)?.name);
                } else {
                    self.surfaces.get(here)?;
                }
                Some((format!("rename {}", NAMES[n]), new))
            }
            Act::Remove(n) => {
                let at = self.find(NAMES[n])?;
                self.surfaces.remove(at);
                self.here = self.here.min(self.surfaces.len().saturating_sub(1));
                Some((format!("remove {}", NAMES[n]), true))
            }
            Act::Note(n) => {
                let here = self.here;
                self.surfaces.get_mut(here)?.notes.push(format!("remark {n}"));
                Some((format!("note remark {n}"), true))
            }
            Act::Undo(_) | Act::Redo(_) => None,
        }
    }
}

fn read(text: &str) -> Survey {
    match Survey::read_draft(&SourceFile::new("written.toml", text), book()) {
        Ok((survey, _)) => survey,
        Err(problems) => panic!("{problems:?}\n{text}"),
    }
}

/// What matters of a survey.
fn essence(survey: &Survey) -> String {
    let known = |facts: &engine::survey::Facts| {
        let all: BTreeMap<String, String> =
            facts.iter().map(|(f, s)| (book().base.vocabulary.get(*f).id.clone(), format!("{:?}", s.known))).collect();
        format!("{all:?}")
    };
    let mut text = format!("{} {:?} {:?} {}\n", survey.title, survey.date, survey.place, known(&survey.site));
    for s in &survey.surfaces {
        let coats: Vec<String> = s.coats.iter().flatten().map(&known).collect();
        let _ = writeln!(text, "{} {} {coats:?} {:?}", s.name, known(&s.facts), s.note);
    }
    text
}

fn talked(acts: &[Act]) -> Result<(), TestCaseError> {
    let date = "2026-09-14".parse().expect("a date");
    let start = "[survey]\ntitle = \"job\"\ndate = 2026-09-14\nplace = \"GB-ENG\"\n\n[site]\n";
    let mut session = Session::new(book(), Some(("job.toml", start)), Fixed::default(), date, 90).expect("it begins");
    let mut states = vec![Model::default()];
    let mut now: usize = 0;
    for act in acts {
        let _ = session.question();
        match act {
            Act::Undo(n) | Act::Redo(n) => {
                let back = matches!(act, Act::Undo(_));
                session.line(&format!("{} {n}", if back { "undo" } else { "redo" }));
                let there = if back { now.saturating_sub(*n) } else { (now + n).min(states.len() - 1) };
                if there != now {
                    // Where one stands goes back with the state.
                    now = there;
                }
            }
            other => {
                let mut next = states[now].clone();
                let Some((line, changes)) = next.act(other) else { continue };
                let outcome = session.line(&line);
                if changes {
                    prop_assert!(outcome.understood, "`{}` was not understood: {}", line, outcome.text);
                    states.truncate(now + 1);
                    states.push(next);
                    now += 1;
                } else {
                    states[now].here = next.here;
                }
            }
        }
        // On the way back one stands where one stood then.
        let here = session.prompt();
        if let Some(s) = states[now].surfaces.iter().position(|s| here == format!("{}> ", s.name)) {
            states[now].here = s;
        }
        let written = read(&states[now].text());
        prop_assert_eq!(essence(session.survey()), essence(&written));
        // What is on file says the same.
        prop_assert_eq!(essence(&read(session.text())), essence(&written));
    }
    Ok(())
}

#[test]
fn talking_and_writing_come_to_the_same() {
    // The same every time; `FRESH=1000` tries that many new ones.
    let fresh = std::env::var("FRESH").ok().and_then(|n| n.parse().ok());
    let mut runner = TestRunner::new(Config {
        cases: fresh.unwrap_or(60),
        rng_seed: if fresh.is_some() { RngSeed::Random } else { RngSeed::Fixed(1886) },
        failure_persistence: None,
        ..Config::default()
    });
    if let Err(e) = runner.run(&acts(), |acts| talked(&acts)) {
        panic!("{e}");
    }
}
