//! What is talked through equals the survey written directly, whatever the order of answers, changes, undos and redos.

use crate::support::book;
use cli::talk::{Fixed, Session};
use ovolo_engine::diagnostic::SourceFile;
use ovolo_engine::pack::{PackFiles, RuleBook};
use ovolo_engine::survey::Survey;
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
    let known = |facts: &ovolo_engine::survey::Facts| {
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

/// A rule book in which an answer is called like a command.
fn with_a_command_as_an_answer() -> RuleBook {
    let files = vec![
        ("pack.toml".to_owned(), "name = \"tiny\"\nversion = \"1\"\nowner = \"nobody\"".to_owned()),
        (
            "rules.toml".to_owned(),
            r#"
            [[fact]]
            id = "surface.turn"
            title = "turn"
            question = "Whose turn is it?"
            kind = "choice"
            choices = ["next", "last"]

            [[method]]
            id = "scraper"
            title = "scraper"
            source = "common practice"

            [[rule]]
            id = "not-yet"
            when = 'method == "scraper" && surface.turn == "next"'
            ruling = "rule-out"
            because = "Not yet."
            basis = "practice"
            source = "common practice"
            "#
            .to_owned(),
        ),
    ];
    RuleBook::load(&[PackFiles { folder: "tiny".into(), files }]).expect("the pack is sound")
}

#[test]
fn a_command_and_an_answer_never_collide_silently() {
    let book = with_a_command_as_an_answer();
    let date = "2026-09-14".parse().expect("a date");
    let start = "[survey]\ntitle = \"job\"\nplace = \"GB\"\n[[surface]]\nname = \"alfa\"\n[[surface]]\nname = \"bravo\"\n";
    let begin = || Session::new(&book, Some(("job.toml", start)), Fixed::default(), date, 90).expect("it begins");
    let mut session = begin();
    assert!(session.question().contains("Whose turn is it?"));
    // Both the answer and the command: it is asked back, and either can be had.
    session.line("next");
    assert!(session.question().contains("`next` is both"), "{}", session.question());
    session.line("1");
    assert!(session.text().contains("turn = \"next\""), "{}", session.text());
    let mut session = begin();
    let _ = session.question();
    session.line("next");
    session.line("the command");
    assert_eq!(session.here(), Some("bravo"));
    assert!(!session.begun());
    // In quotes it is the answer at once.
    let mut session = begin();
    let _ = session.question();
    session.line("\"next\"");
    assert!(session.text().contains("turn = \"next\""), "{}", session.text());
}

#[test]
fn the_name_of_a_job_or_a_surface_can_be_a_command_too() {
    let mut session = Session::new(book(), None, Fixed::default(), "2026-09-14".parse().expect("a date"), 90).expect("it begins");
    assert!(session.question().contains("What is to be stripped, and where is it?"));
    // A bare command is a command, in quotes it is the name; with more words it may be either.
    assert!(session.line("state").understood);
    assert!(session.question().contains("What is to be stripped, and where is it?"));
    session.line("check house");
    assert!(session.question().contains("`check house` is both"));
    session.line("1");
    assert!(session.text().contains("title = \"check house\""), "{}", session.text());
    session.line("undo");
    let _ = session.question();
    session.line("\"state\"");
    assert!(session.text().contains("title = \"state\""), "{}", session.text());
    let _ = session.question();
    session.line("place England");
    let _ = session.question();
    session.line("add alfa");
    let _ = session.question();
    // A name that is asked for is not taken from a command, and not silently: it is said, and asked again.
    session.line("copy alfa");
    let told = session.line("methods");
    assert!(told.text.contains("`methods` is a command"), "{}", told.text);
    session.line("\"methods\"");
    assert_eq!(session.here(), Some("methods"));
}

#[test]
fn what_nobody_can_see_is_no_more_than_a_doubt_until_it_is_shown() {
    let start = "[survey]\ntitle = \"job\"\nplace = \"GB-ENG\"\n[[surface]]\nname = \"alfa\"\ncoats = [\"oil-paint\"]\n";
    let date = "2026-09-14".parse().expect("a date");
    let begin = || Session::new(book(), Some(("job.toml", start)), Fixed::default(), date, 90).expect("it begins");
    let said = |lines: &[&str]| {
        let mut session = begin();
        for line in lines {
            let _ = session.question();
            session.line(line);
        }
        session.text().to_owned()
    };
    let certain = |text: &str, fact: &str| text.contains(&format!("{fact} = \"absent\""));
    // What shows it makes it certain, said before, beside or behind it.
    for lines in [
        &["no lead", "xrf"][..],
        &["tested, no lead", "laboratory"],
        &["lab says no lead"],
        &["lead test: laboratory", "no lead"],
        &["no lead", "no lead", "laboratory"],
    ] {
        assert!(certain(&said(lines), "lead"), "{lines:?}\n{}", said(lines));
    }
    assert!(certain(&said(&["no asbestos", "yes"]), "asbestos"), "{}", said(&["no asbestos", "yes"]));
    // What does not show it leaves it in doubt, and so does to say nothing of it, to confirm it, or to say it again.
    for lines in [
        &["no lead"][..],
        &["tested, no lead"],
        &["tested, no lead", "yes"],
        &["no lead", "yes", "no lead"],
        &["no lead", "swab"],
        &["no lead", "not tested"],
        &["no lead", "skip"],
        &["no lead", "dunno"],
        &["lead: absent"],
        &["I think there's no lead", "xrf"],
        &["no lead", "lead: present", "laboratory"],
        &["lead test: swab", "no lead"],
        &["no lead", "the client says the lab did it"],
    ] {
        assert!(!certain(&said(lines), "lead"), "{lines:?}\n{}", said(lines));
    }
    for lines in [&["no asbestos"][..], &["asbestos no"], &["asbestos none"], &["no asbestos", "no"], &["no asbestos", "skip"]] {
        assert!(!certain(&said(lines), "asbestos"), "{lines:?}\n{}", said(lines));
    }
    // What a file states stays as it is written.
    let text = start.replace("[\"oil-paint\"]", "[{ kind = \"oil-paint\", lead = \"absent\" }]");
    let mut session = Session::new(book(), Some(("job.toml", &text)), Fixed::default(), date, 90).expect("it begins");
    session.line("inside");
    assert!(certain(session.text(), "lead"), "{}", session.text());
}

#[test]
fn a_yes_is_for_the_choice_that_waits() {
    let start = "[survey]\ntitle = \"job\"\nplace = \"GB-ENG\"\n[[surface]]\nname = \"alfa\"\ncoats = [\"alkyd\", \"oil-paint\"]\n";
    let date = "2026-09-14".parse().expect("a date");
    for word in ["yes", "no", "aye", "nope"] {
        let mut session = Session::new(book(), Some(("job.toml", start)), Fixed::default(), date, 90).expect("it begins");
        // A question for yes or no stands, and then a choice comes up.
        for _ in 0..12 {
            if session.question().contains("Is anyone who lives") {
                break;
            }
            session.line("skip");
        }
        session.line("lead: absent");
        let _ = session.question();
        let before = session.text().to_owned();
        session.line(word);
        assert_eq!(session.text(), before, "{word} was taken for something");
        assert!(session.question().contains("Which coat is it"), "{}", session.question());
    }
}

#[test]
fn what_would_clear_a_coat_is_not_taken_for_all_of_them() {
    let start = "[survey]\ntitle = \"job\"\nplace = \"GB-ENG\"\n[[surface]]\nname = \"alfa\"\ncoats = [\"alkyd\", \"oil-paint\"]\n";
    let date = "2026-09-14".parse().expect("a date");
    let begin = || Session::new(book(), Some(("job.toml", start)), Fixed::default(), date, 90).expect("it begins");
    let mut session = begin();
    session.line("lead: absent");
    assert!(session.question().contains("Which coat is it"), "{}", session.question());
    assert!(!session.begun());
    session.line("coat 1");
    // And of that one it is not taken for certain until it is told how it was found.
    assert_eq!(session.text().matches("lead = \"absent\"").count(), 0, "{}", session.text());
    assert!(session.question().contains("How was it tested for lead?"), "{}", session.question());
    session.line("xrf");
    assert_eq!(session.text().matches("lead = \"absent\"").count(), 1, "{}", session.text());
    // What warns is said of all of them at once.
    let mut session = begin();
    session.line("lead: present");
    assert_eq!(session.text().matches("lead = \"present\"").count(), 2, "{}", session.text());
}

/// The smallest terminal that is usual has 24 lines of 80 columns.
#[test]
fn help_fits_on_one_screen() {
    let mut session = Session::new(book(), None, Fixed::default(), "2026-09-14".parse().expect("a date"), 80).expect("it begins");
    let lines = session.line("help").text.lines().count();
    assert!(lines <= 24, "{lines} lines");
}
