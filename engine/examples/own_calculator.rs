//! A program brings a fact, a calculator and a rule that uses both, and judges with them as with the engine's own.

use ovolo_engine::finding::Status;
use ovolo_engine::reckon::functions::Goes;
use ovolo_engine::reckon::units::{Area, Length, Measure};
use ovolo_engine::{Calculator, Circumstances, Error, PackFiles, Proposal, RuleBook, Survey};

const RULES: &str = r#"
    [[fact]]
    id       = "site.skip_holds"
    title    = "volume that the skip holds"
    question = "How much does the skip hold?"
    kind     = "number"
    unit     = "L"
    range    = "1 .. 40000 L"
    even     = "how large a skip is asks for no less care and no more"

    [[rule]]
    id      = "skip-too-small"
    when    = 'method == "hand-scraping" && scrapings(surface.area, coat.thickness) > site.skip_holds'
    ruling  = "rule-out"
    because = "What comes off would not go into the skip, which holds {site.skip_holds}."
    source  = "an invented house rule"
"#;

/// The standard packs with ours, whose rule calls the calculator: the more area and the thicker, the more comes off.
pub(crate) fn book() -> Result<RuleBook, Error> {
    let volume = |area: Area, thickness: Length| (area.base() >= 0.0 && thickness.base() >= 0.0).then(|| area * thickness);
    let scrapings = Calculator::new("scrapings", "geometry", [("area", Goes::Up), ("thickness", Goes::Up)], volume)
        .told("what comes off {0} in a coat of {1}");
    let ours = PackFiles::new("ours")
        .file("pack.toml", "name = \"ours\"\nversion = \"1\"\nowner = \"an invented firm\"\nhouse = true\nneeds = [\"core\"]")
        .file("rules.toml", RULES);
    let packs: Vec<PackFiles> = ovolo_rules::standard().into_iter().chain([ours]).collect();
    RuleBook::load_with(&packs, &[scrapings])
}

/// The ids of the house rules that speak, for certain or perhaps, where so thick a coat is scraped off by hand.
pub(crate) fn spoken(book: &RuleBook, thickness: &str) -> Result<Vec<(String, Status)>, Error> {
    let mut survey = Survey::new(book, "an invented wall");
    survey.set("skip_holds", "50 L")?;
    survey.add("wall")?.set("area", "20 m2")?.coat("oil-paint")?.set("thickness", thickness)?;
    let when = Circumstances::on("2026-09-01".parse().expect("a date"));
    let advice = book.check(&survey, "wall", &Proposal::new(book, "hand-scraping")?, &when)?;
    let reasons = &advice.surfaces[0].proposals[0].reasons;
    Ok(reasons.iter().filter(|r| r.pack == "ours").map(|r| (r.rule.clone(), r.status)).collect())
}

#[allow(clippy::print_stdout, dead_code, reason = "an example shows what it finds")]
fn main() -> Result<(), Error> {
    let book = book()?;
    for thickness in ["2 mm", "2 .. 3 mm", "3 mm"] {
        println!("{thickness}: {:?}", spoken(&book, thickness)?);
    }
    println!("{}", book.reckon("scrapings", &["20 m2", "2 .. 3 mm"])?);
    Ok(())
}
