//! Real situations, restated without names: a survey, and what must and must not be said of it.
//!
//! `NAME.expect.toml` holds `[[scored]]` (and `[[advisory]]`, reported but not failed) entries:
//!
//! ```toml
//! [[scored]]
//! statement = "what must hold, in a sentence"
//! surface = "front door"              # optional: any surface
//! method = "hot-air"                  # optional
//! set = ["extraction=no"]             # optional, with a method: what is chosen
//! verdict = ["ruled out"]             # any of these
//! not_verdict = ["suited"]            # none of these
//! says = ["rule-id"]                  # every one of these rules applies (presumptions count)
//! says_any = ["rule-a", "rule-b"]     # at least one applies
//! speaks = ["rule-id"]                # applies or is open
//! silent = ["rule-id"]                # neither applies nor is open
//! asks = ["coat.lead"]                # asked for: among the questions, open in a notice, or presumed
//! ```

use crate::support::{book, files_in, root};
use libtest_mimic::{Failed, Trial};
use ovolo_engine::advice::{Advice, MethodAdvice, Notice};
use ovolo_engine::diagnostic::SourceFile;
use ovolo_engine::explain::{Circumstances, advise, check};
use ovolo_engine::finding::{Footing, HowKnown};
use ovolo_engine::survey::{Facts, Proposal, Stated, Survey, parse_text};
use ovolo_engine::vocabulary::About;
use serde::Deserialize;
use std::fmt::Write as _;
use std::path::Path;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Expected {
    #[serde(default)]
    scored: Vec<Statement>,
    #[serde(default)]
    advisory: Vec<Statement>,
}

impl Statement {
    /// Whether there is anything that could fail.
    fn asserts_something(&self) -> bool {
        [&self.verdict, &self.not_verdict, &self.says, &self.says_any, &self.speaks, &self.silent, &self.asks].iter().any(|l| !l.is_empty())
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Statement {
    statement: String,
    surface: Option<String>,
    method: Option<String>,
    #[serde(default)]
    set: Vec<String>,
    #[serde(default)]
    verdict: Vec<String>,
    #[serde(default)]
    not_verdict: Vec<String>,
    #[serde(default)]
    says: Vec<String>,
    #[serde(default)]
    says_any: Vec<String>,
    #[serde(default)]
    speaks: Vec<String>,
    #[serde(default)]
    silent: Vec<String>,
    #[serde(default)]
    asks: Vec<String>,
    /// Why an advisory statement is judged otherwise here.
    judgement: Option<String>,
}

/// One test for each survey that has its expectations beside it, and one for the table of advisory statements.
pub(crate) fn trials() -> Vec<Trial> {
    let mut trials = situations();
    trials.push(Trial::test("situation::advisory-table", advisory_table));
    trials
}

/// `tests/situations/advisory.md`: every advisory statement, whether it holds, and what is said where it is judged otherwise.
/// `RENEW=1` writes it anew.
fn advisory_table() -> Result<(), Failed> {
    let mut table = "# Advisory statements\n\nStatements about the situations that are advice and not asserted; written by `RENEW=1 cargo test --test data advisory`.\n\n\
                     | situation | statement | holds | judgement |\n| --- | --- | --- | --- |\n"
        .to_owned();
    let mut met = 0;
    let mut all = 0;
    for path in files_in(&root().join("tests/situations"), ".expect.toml") {
        let expected: Expected = toml::from_str(&std::fs::read_to_string(&path)?)?;
        let survey_path = path.to_string_lossy().replace(".expect.toml", ".toml");
        let name = path.file_name().map(|n| n.to_string_lossy().replace(".expect.toml", "")).unwrap_or_default();
        let file = SourceFile::new(survey_path.clone(), std::fs::read_to_string(&survey_path)?);
        let Ok((survey, _)) = Survey::read(&file, book()) else { return Err(format!("{name} does not read").into()) };
        let circumstances = Circumstances { place: None, date: survey.date.ok_or("the survey has no date")? };
        let advice = advise(&survey, book(), &circumstances).expect("its own book");
        for statement in &expected.advisory {
            let holds = look(statement, &survey, &advice, &circumstances)?.is_empty() && statement.asserts_something();
            all += 1;
            met += usize::from(holds);
            let word = if holds { "yes" } else { "no" };
            let judgement = statement.judgement.as_deref().unwrap_or("");
            let _ = writeln!(table, "| {name} | {} | {word} | {judgement} |", statement.statement);
        }
    }
    let _ = writeln!(table, "\n{met} of {all} hold.");
    let kept = root().join("tests/situations/advisory.md");
    if std::env::var_os("RENEW").is_some() {
        std::fs::write(kept, table)?;
        return Ok(());
    }
    if std::fs::read_to_string(kept)? == table { Ok(()) } else { Err("the table has changed: RENEW=1, and read the difference".into()) }
}

fn situations() -> Vec<Trial> {
    files_in(&root().join("tests/situations"), ".expect.toml")
        .into_iter()
        .map(|path| {
            let name = path.file_name().expect("a name").to_string_lossy().replace(".expect.toml", "");
            Trial::test(format!("situation::{name}"), move || situation(&path))
        })
        .collect()
}

#[expect(clippy::print_stderr, reason = "advisory statements are reported, not failed")]
fn situation(path: &Path) -> Result<(), Failed> {
    let expected: Expected = toml::from_str(&std::fs::read_to_string(path)?)?;
    if expected.scored.is_empty() && expected.advisory.is_empty() {
        return Err("nothing is expected".into());
    }
    let survey_path = path.to_string_lossy().replace(".expect.toml", ".toml");
    let text = std::fs::read_to_string(&survey_path)?;
    let file = SourceFile::new(survey_path, text);
    let (survey, _) = Survey::read(&file, book()).map_err(|problems| Failed::from(problems.to_string()))?;
    let circumstances = Circumstances { place: None, date: survey.date.ok_or("the survey has no date")? };
    let advice = advise(&survey, book(), &circumstances).expect("its own book");
    let mut wrong = Vec::new();
    for statement in &expected.scored {
        if !statement.asserts_something() {
            wrong.push(format!("{}: nothing is asserted", statement.statement));
        }
        for problem in look(statement, &survey, &advice, &circumstances)? {
            wrong.push(format!("{}: {problem}", statement.statement));
        }
    }
    for statement in &expected.advisory {
        let problems = look(statement, &survey, &advice, &circumstances)?;
        if !problems.is_empty() && statement.judgement.is_none() {
            eprintln!("advisory, not met: {}: {}", statement.statement, problems.join("; "));
        }
    }
    if wrong.is_empty() { Ok(()) } else { Err(wrong.join("\n").into()) }
}

/// What of a statement does not hold.
fn look(statement: &Statement, survey: &Survey, advice: &Advice, circumstances: &Circumstances) -> Result<Vec<String>, Failed> {
    let surfaces: Vec<usize> = match &statement.surface {
        Some(name) => vec![survey.position(name).ok_or_else(|| Failed::from(format!("no surface `{name}`")))?],
        None => (0..survey.surfaces.len()).collect(),
    };
    let mut notices: Vec<Notice> = advice.site.notices.clone();
    let mut methods: Vec<MethodAdvice> = Vec::new();
    for surface in &surfaces {
        notices.extend(advice.surfaces[*surface].notices.iter().cloned());
        if let Some(id) = &statement.method {
            let proposal = proposal(id, &statement.set)?;
            let checked = check(survey, book(), circumstances, *surface, &proposal).map_err(|e| Failed::from(e.to_string()))?;
            methods.extend(checked.surfaces[0].proposals.iter().cloned());
        } else {
            methods.extend(advice.surfaces[*surface].methods.iter().cloned());
        }
    }
    notices.extend(methods.iter().flat_map(|m| m.reasons.iter().cloned()));
    let has = |id: &str, status: &[&str]| notices.iter().any(|n| n.rule == id && status.contains(&n.status.word()));
    let presumed = |id: &str| {
        let told = |how: &HowKnown| how.by.as_deref() == Some(id);
        methods.iter().flat_map(|m| &m.rests_on).chain(notices.iter().flat_map(|n| &n.facts)).any(|f| told(&f.how_known))
            || advice.surfaces.iter().flat_map(|s| &s.coats).flat_map(|c| &c.facts).any(|f| told(&f.how_known))
    };
    let known = |id: &str| book().rule(id).is_some() || book().presumptions.iter().any(|p| p.id == id);
    let mut wrong = Vec::new();
    for id in statement.says.iter().chain(&statement.says_any).chain(&statement.speaks).chain(&statement.silent) {
        if !known(id) {
            wrong.push(format!("there is no rule `{id}`"));
        }
    }
    for method in &methods {
        if statement.method.is_none() && (!statement.verdict.is_empty() || !statement.not_verdict.is_empty()) {
            wrong.push("a verdict is expected, but of no method".to_owned());
            break;
        }
        if !statement.verdict.is_empty() && !statement.verdict.iter().any(|v| v == method.verdict.word()) {
            wrong.push(format!("{} is \"{}\" ({}), not {:?}", method.method, method.verdict, method.line, statement.verdict));
        }
        if statement.not_verdict.iter().any(|v| v == method.verdict.word()) {
            wrong.push(format!("{} is \"{}\"", method.method, method.verdict));
        }
    }
    for id in &statement.says {
        if !has(id, &["applies"]) && !presumed(id) {
            let but = if has(id, &["open"]) { " (it is open)" } else { "" };
            wrong.push(format!("`{id}` does not speak{but}"));
        }
    }
    if !statement.says_any.is_empty() && !statement.says_any.iter().any(|id| has(id, &["applies"]) || presumed(id)) {
        wrong.push(format!("none of {:?} speaks", statement.says_any));
    }
    for id in &statement.speaks {
        if !has(id, &["applies", "open"]) {
            wrong.push(format!("`{id}` neither speaks nor is open"));
        }
    }
    for id in &statement.silent {
        if has(id, &["applies", "open"]) {
            wrong.push(format!("`{id}` speaks or is open"));
        }
    }
    for fact in &statement.asks {
        let asked = advice.ask_next.iter().any(|a| a.fact == *fact)
            || notices
                .iter()
                .flat_map(|n| &n.facts)
                .chain(methods.iter().flat_map(|m| &m.rests_on))
                .any(|f| f.fact.split(' ').next() == Some(fact) && (f.value == "not known" || f.how_known.ground == Footing::Presumed));
        if !asked {
            wrong.push(format!("`{fact}` is not asked for"));
        }
    }
    Ok(wrong)
}

/// A method with what is set.
fn proposal(id: &str, set: &[String]) -> Result<Proposal, Failed> {
    let base = &book().base;
    let method = base.method(id).ok_or_else(|| Failed::from(format!("no method `{id}`")))?;
    let mut settings = Facts::new();
    for text in set {
        let (name, value) = text.split_once('=').ok_or("set wants fact=value")?;
        let fact = [About::Method, About::Surface, About::Site]
            .into_iter()
            .find_map(|a| base.vocabulary.find_about(a, name.trim()))
            .ok_or_else(|| Failed::from(format!("no fact `{name}`")))?;
        let known = parse_text(value, fact, base).map_err(|e| Failed::from(e.message()))?;
        settings.insert(fact, Stated { known, written: value.trim().to_owned(), by: None, on: None, note: None });
    }
    Ok(Proposal { method, settings, note: None })
}
