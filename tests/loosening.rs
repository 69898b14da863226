//! House packs that try to loosen, each in its own way: `tests/loosening/NAME/house`, on top of the standard packs or of the
//! small rule book beside it in `standard`, whose place it takes where it has the same name. `# says:` lines in the pack's first file give what must be said.
//!
//! What does not load is refused there, with reason and place. Of what loads, the proof must give a survey that shows it, and
//! both rule books are run on that survey again here, from its text alone.

use crate::support::{pack_in, root, weight};
use jiff::civil::date;
use libtest_mimic::{Failed, Trial};
use ovolo_engine::catalogue::EntryKind;
use ovolo_engine::diagnostic::SourceFile;
use ovolo_engine::explain::{Circumstances, advise};
use ovolo_engine::judge::{Judge, Verdict};
use ovolo_engine::pack::{PackFiles, RuleBook};
use ovolo_engine::prove::{Break, Outcome, Range, Report, Wanted, Weakened, prove};
use ovolo_engine::survey::Survey;
use std::path::{Path, PathBuf};

/// Packs that are refused when they are loaded: nothing they say can reach a verdict, so there is no survey to show.
const NOT_LOADED: &[&str] = &["a-rule-re-worded", "britain-reaches-over", "flame-is-our-choice", "the-other-way"];

/// What each check of the proof is there for: without it, these slip through. Those that load do not call themselves house
/// packs: the program never adds them for that; `ovolo rules prove FOLDER` looks at them all the same.
const SLIPS: &[(Weakened, &[&str])] = &[
    (Weakened::SkipPresumptions, &["no-public-money", "lead-left-open", "no-asbestos-here"]),
    (Weakened::SkipGrids, &["a-blank-cell-filled", "a-new-substrate-slips-out"]),
    (Weakened::SkipLimits, &["more-sheeting-lets-the-screen-in"]),
    (Weakened::SkipHolds, &["a-hold-let-go"]),
    (Weakened::SkipCautions, &["a-caution-falls-silent"]),
    (Weakened::SkipHouseFacts, &["asks-a-paper-of-ours"]),
    (Weakened::UnknownIsFine, &["no-public-money", "a-new-substrate-slips-out"]),
    (Weakened::SkipNames, &["sheeting-means-something-else"]),
    (Weakened::OnlyTheFirstDay, &["from-next-decade"]),
    (Weakened::OnlyNoPlace, &["more-sheeting-lets-the-screen-in", "no-asbestos-here"]),
    (Weakened::SkipWayForward, &["nothing-is-left"]),
];

fn folders() -> Vec<PathBuf> {
    let mut all: Vec<PathBuf> = std::fs::read_dir(root().join("tests/loosening"))
        .map(|entries| entries.map(|e| e.expect("an entry").path()).filter(|p| p.is_dir()).collect())
        .unwrap_or_default();
    all.sort();
    all
}

/// Packs that would loosen if judging let a presumption release a hold, which it does not: the proof passes them, and no verdict on
/// the survey beside them is looser.
const KEPT_BY_JUDGING: &[&str] = &["certified-until-asked"];

/// One test for each pack that tries, and one for each check of the proof.
pub(crate) fn trials() -> Vec<Trial> {
    let name = |p: &Path| p.file_name().expect("a name").to_string_lossy().into_owned();
    let packs = folders().into_iter().map(|folder| Trial::test(format!("loosening::{}", name(&folder)), move || refused(&folder)));
    let slips =
        SLIPS.iter().map(|(weakened, packs)| Trial::test(format!("loosening::without::{weakened:?}"), move || slip(*weakened, packs)));
    // Each loads and proves a book: they belong to the long suite.
    packs.chain(slips).map(|t| t.with_ignored_flag(true)).collect()
}

fn standard(folder: &Path) -> Vec<PackFiles> {
    let own = folder.join("standard");
    if own.is_dir() { vec![pack_in(&own)] } else { ovolo_rules::standard() }
}

type Books = (RuleBook, Result<RuleBook, ovolo_engine::Error>);

fn books(folder: &Path) -> Books {
    let standard = standard(folder);
    let old = RuleBook::load(&standard).expect("the book below is sound");
    let house = pack_in(&folder.join("house"));
    let name = |pack: &PackFiles| pack.info().map(|info| info.name);
    let with: Vec<PackFiles> = standard.into_iter().filter(|p| name(p) != name(&house)).chain([house.clone()]).collect();
    (old, RuleBook::load(&with))
}

fn wanted(weakened: Option<Weakened>) -> Wanted {
    Wanted { range: Range { near: Some(date(2026, 9, 1)), ..Range::default() }, weakened, ..Wanted::default() }
}

fn says(folder: &Path) -> Result<Vec<String>, Failed> {
    let text = std::fs::read_to_string(folder.join("house/pack.toml"))?;
    let lines: Vec<String> = text.lines().filter_map(|l| l.strip_prefix("# says: ")).map(|l| l.trim().to_owned()).collect();
    if lines.is_empty() { Err("the pack does not say what must be said".into()) } else { Ok(lines) }
}

fn refused(folder: &Path) -> Result<(), Failed> {
    let name = folder.file_name().expect("a name").to_string_lossy().into_owned();
    let (old, new) = books(folder);
    let new = match (new, NOT_LOADED.contains(&name.as_str())) {
        (Ok(new), false) => new,
        (Err(problems), true) => {
            let text = problems.to_string();
            return held(&says(folder)?, &text);
        }
        (Ok(_), true) => return Err("it loads".into()),
        (Err(problems), false) => return Err(format!("it does not load: {problems:?}").into()),
    };
    let report = prove(&old, &new, &wanted(None));
    if KEPT_BY_JUDGING.contains(&name.as_str()) {
        return if report.outcome() == Outcome::Proved { kept(folder, &old, &new) } else { Err(format!("{report:#?}").into()) };
    }
    if report.outcome() != Outcome::Broken {
        return Err(format!("{:?}: {report:#?}", report.outcome()).into());
    }
    held(&says(folder)?, &told(&report))?;
    let mut looser = 0;
    for found in &report.breaks {
        looser += usize::from(shown(found, &old, &new)?);
    }
    // Where the smallest survey leaves too much open for a verdict to hang on the rule alone, one beside the pack shows it.
    if folder.join("survey.toml").exists() {
        let [before, after] = beside(folder, [&old, &new])?;
        looser += before.iter().zip(&after).filter(|(old, new)| weight(**new) < weight(**old)).count();
    }
    // Cautions leave the verdict as it is; wherever a rule-out or hold goes, some verdict must.
    let restricts = report.breaks.iter().any(|b| b.ruling.is_none_or(|r| r <= ovolo_engine::pack::Ruling::Hold));
    if restricts && looser == 0 {
        return Err(format!("no verdict is looser on any survey given:\n{}", told(&report)).into());
    }
    Ok(())
}

/// The verdicts of two books on the survey beside a pack.
fn beside(folder: &Path, books: [&RuleBook; 2]) -> Result<[Vec<Verdict>; 2], Failed> {
    let text = std::fs::read_to_string(folder.join("survey.toml"))?;
    let judged = |book: &RuleBook| {
        let (survey, _) = Survey::read(&SourceFile::new("survey", text.clone()), book).map_err(|p| Failed::from(format!("{p:?}")))?;
        Ok::<_, Failed>(Judge::new(book, survey.place.as_deref(), survey.date.expect("a date")).verdicts(&survey, 0).expect("its own book"))
    };
    Ok([judged(books[0])?, judged(books[1])?])
}

/// The survey beside such a pack, in which the hold stands, is not judged looser with the pack.
fn kept(folder: &Path, old: &RuleBook, new: &RuleBook) -> Result<(), Failed> {
    let read = beside(folder, [old, new])?;
    let text = std::fs::read_to_string(folder.join("survey.toml"))?;
    // What is released shows that the survey is one in which something hangs on it.
    let released = text.replace("# released: ", "");
    let (survey, _) = Survey::read(&SourceFile::new("survey", released), old).map_err(|p| Failed::from(format!("{p:?}")))?;
    let after = Judge::new(old, survey.place.as_deref(), survey.date.expect("a date")).verdicts(&survey, 0).expect("its own book");
    if read[0].iter().zip(&read[1]).any(|(old, new)| weight(*new) < weight(*old)) {
        return Err(format!("a verdict is looser: {read:?}").into());
    }
    if read[0].iter().zip(&after).any(|(held, released)| weight(*released) < weight(*held)) {
        Ok(())
    } else {
        Err("nothing hangs on the release there".into())
    }
}

fn told(report: &Report) -> String {
    let lines = report.breaks.iter().map(|b| {
        let survey = b.survey.as_ref().map_or("", |s| s.text.as_str());
        format!("{}: {} ({})\n{survey}", b.rule, b.what, b.place)
    });
    lines.collect::<Vec<_>>().join("\n")
}

fn held(parts: &[String], text: &str) -> Result<(), Failed> {
    parts
        .iter()
        .try_for_each(|part| if text.contains(part.as_str()) { Ok(()) } else { Err(format!("`{part}` is not said in:\n{text}").into()) })
}

/// Runs both books on the survey of a break, from its text; gives whether the verdict is looser. Where it is not, the rule must
/// be seen to say less.
fn shown(found: &Break, old: &RuleBook, new: &RuleBook) -> Result<bool, Failed> {
    let survey = found.survey.as_ref().ok_or_else(|| Failed::from(format!("no survey for {}", found.rule)))?;
    let texts = [survey.without.as_ref().unwrap_or(&survey.text), &survey.text];
    let mut read = Vec::new();
    for (book, text) in [old, new].into_iter().zip(texts) {
        let (survey, _) = Survey::read(&SourceFile::new("survey", text.clone()), book)
            .map_err(|p| Failed::from(format!("the survey of {} cannot be read: {p:?}\n{text}", found.rule)))?;
        read.push((book, survey));
    }
    let verdicts: Vec<Vec<Verdict>> = read
        .iter()
        .map(|(book, read)| {
            let judge = Judge::new(book, read.place.as_deref(), read.date.expect("a date"));
            match (&survey.method, read.surfaces[0].proposals.first()) {
                (_, Some(proposal)) => vec![judge.verdict(read, 0, proposal).expect("its own book")],
                (Some(id), None) => {
                    vec![judge.verdicts(read, 0).expect("its own book")[book.base.catalogue.find(EntryKind::Method, id).expect("a method")]]
                }
                (None, None) => judge.verdicts(read, 0).expect("its own book"),
            }
        })
        .collect();
    if found.ruling.is_none() && survey.method.is_none() {
        // Nothing is left: every method is ruled out, and some were not.
        let out = |all: &[Verdict]| all.iter().all(|v| *v == Verdict::RuledOut);
        return if out(&verdicts[1]) && !out(&verdicts[0]) { Ok(true) } else { Err(format!("something is left: {verdicts:?}").into()) };
    }
    if survey.method.is_some() && weight(verdicts[1][0]) < weight(verdicts[0][0]) {
        return Ok(true);
    }
    let says: Vec<u8> = read.iter().map(|(book, read)| heard(found, survey.method.as_deref(), book, read)).collect();
    if says[1] < says[0] {
        return Ok(false);
    }
    Err(format!("{} is not seen to be looser: {verdicts:?}, {says:?}\n{}", found.rule, survey.text).into())
}

/// Whether the rule of a break applies (2), is open (1) or silent (0) in the advice on a survey.
fn heard(found: &Break, method: Option<&str>, book: &RuleBook, read: &Survey) -> u8 {
    let advice = advise(read, book, &Circumstances { place: None, date: read.date.expect("a date") }).expect("its own book");
    let surface = &advice.surfaces[0];
    let notices = advice.site.notices.iter().chain(&surface.notices);
    // With a proposal it is the proposal that is looked at, not the method left open.
    let own = surface.methods.iter().find(|m| Some(m.method.as_str()) == method);
    let of_method = surface.proposals.first().or(own).into_iter().flat_map(|m| &m.reasons);
    let status: Vec<&str> = notices.chain(of_method).filter(|n| n.rule == found.rule).map(|n| n.status.word()).collect();
    if status.contains(&"applies") { 2 } else { u8::from(!status.is_empty()) }
}

/// With one check taken away, what that check is there for is no longer found.
fn slip(weakened: Weakened, packs: &[&str]) -> Result<(), Failed> {
    for name in packs {
        let folder = root().join("tests/loosening").join(name);
        let (old, new) = books(&folder);
        let report = prove(&old, &new.expect("it loads"), &wanted(Some(weakened)));
        if report.outcome() != Outcome::Proved {
            return Err(format!("{name} is found all the same, {:?}: {}{:?}", report.outcome(), told(&report), report.unknown).into());
        }
    }
    Ok(())
}
