//! A survey made in code, the verdict of one method, and the reasons for it.

use ovolo_engine::{Circumstances, Error, Proposal, RuleBook, Survey};

pub(crate) fn reasons() -> Result<Vec<String>, Error> {
    let book = RuleBook::load(&ovolo_rules::standard())?;
    let mut survey = Survey::new(&book, "an invented gate").at("GB-ENG")?;
    let mut gate = survey.add("gate")?;
    gate.set("substrate", "softwood")?.set("area", "3.2 m2")?;
    gate.coat("oil-paint")?.set("lead", "present")?;

    let when = Circumstances::on("2026-09-01".parse().expect("a date"));
    let advice = book.check(&survey, "gate", &Proposal::new(&book, "open-flame")?, &when)?;
    let found = &advice.surfaces[0].proposals[0];
    let verdict = format!("{}: {}", found.title, found.verdict);
    Ok(std::iter::once(verdict).chain(found.reasons.iter().map(|r| format!("- {} ({})", r.says, r.source))).collect())
}

#[allow(clippy::print_stdout, dead_code, reason = "an example shows what it finds")]
fn main() -> Result<(), Error> {
    reasons()?.iter().for_each(|line| println!("{line}"));
    Ok(())
}
