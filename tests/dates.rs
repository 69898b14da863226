//! Dates in advice: what is past its re-checking, what changed since the survey; holds and what follows their release.

use crate::support::{book, files_in, ovolo, root};
use ovolo_engine::advice::{Advice, MethodAdvice};
use ovolo_engine::diagnostic::SourceFile;
use ovolo_engine::explain::{Circumstances, advise};
use ovolo_engine::finding::{Clears, Extent, Ruling, Status, Verdict};
use ovolo_engine::survey::Survey;

const DOOR: &str = "substrate = \"softwood\"\nwhere = \"inside\"\naim = \"repaint\"\n";

fn judged(head: &str, surface: &str, date: &str) -> Advice {
    let text = format!("[survey]\ntitle = \"house\"\n{head}\n[[surface]]\nname = \"part\"\n{surface}\n");
    let (survey, _) = Survey::read(&SourceFile::new("survey.toml", text), book()).unwrap_or_else(|e| panic!("{e:?}"));
    advise(&survey, book(), &Circumstances { place: None, date: date.parse().expect("a date") }).expect("its own book")
}

fn method<'a>(advice: &'a Advice, id: &str) -> &'a MethodAdvice {
    advice.surfaces[0].methods.iter().find(|m| m.method == id).unwrap_or_else(|| panic!("{id} is judged"))
}

/// A rule and a figure past their re-checking stay in force with their words, and the advice says that they are.
#[test]
fn past_its_review_a_rule_stays_and_says_so() {
    let head = "place = \"GB-ENG\"\ndate = 2026-09-14\n[site]\nbuilt = 1890\nwork_for_hire = true\nheritage = \"none\"";
    let surface = format!("{DOOR}coats = [{{ kind = \"oil-paint\" }}]");
    let before = judged(head, &surface, "2026-09-30");
    let after = judged(head, &surface, "2026-10-01");
    assert_eq!((before.past_review.len(), before.good_until.as_deref()), (0, Some("2026-10-01")));
    let due: Vec<(&str, &str)> = after.past_review.iter().map(|p| (p.what.word(), p.id.as_str())).collect();
    assert!(due.contains(&("rule", "lead-at-work-gb")) && due.iter().any(|(what, _)| *what == "limit"), "{due:?}");
    assert!(after.past_review.iter().all(|p| p.review == "2026-10-01" && !p.source.is_empty()));
    let says = |a: &Advice| -> Vec<String> {
        let surface = &a.surfaces[0];
        let all = a.site.notices.iter().chain(&surface.notices).chain(surface.methods.iter().flat_map(|m| &m.reasons));
        all.map(|n| n.says.clone()).collect()
    };
    assert_eq!(says(&before), says(&after), "no rule falls silent because it is due");
    // Advice that does not rest on it says nothing of it.
    assert!(judged("place = \"IE\"\ndate = 2026-09-14\n[site]\nbuilt = 1890", &surface, "2026-11-28").past_review.is_empty());
}

/// What came, went or fell due between the survey and the advice is named, and nothing of other places.
#[test]
fn what_changed_since_the_survey_is_named() {
    let changed = |place: &str, made: &str, date: &str| -> Vec<(String, &'static str, String)> {
        let head = format!("place = \"{place}\"\ndate = {made}\n[site]\nbuilt = 1912");
        judged(&head, &format!("{DOOR}coats = [{{ kind = \"oil-paint\" }}]"), date)
            .changed
            .into_iter()
            .map(|c| (c.id, c.how.word(), c.day))
            .collect()
    };
    let solvent = ("chlorinated-commercial-use-us".to_owned(), "came into force", "2026-04-29".to_owned());
    let found = changed("US-MA", "2026-04-01", "2026-05-05");
    assert!(found.iter().any(|(id, how, _)| *id == solvent.0 && *how == solvent.1), "{found:?}");
    assert!(!changed("GB-ENG", "2026-04-01", "2026-05-05").iter().any(|(id, ..)| *id == solvent.0));
    assert!(changed("US-MA", "2026-05-05", "2026-05-05").is_empty(), "the same day: nothing lies between");
    let due = changed("GB-ENG", "2026-09-14", "2026-11-28");
    assert!(due.contains(&("lead-at-work-gb".to_owned(), "due for re-checking", "2026-10-01".to_owned())), "{due:?}");
}

/// What a method on hold is said to be once released is what it is judged to be once the consent is stated.
#[test]
fn once_released_is_what_the_release_brings() {
    let mut compared = 0;
    for coats in
        ["[{ kind = \"oil-paint\" }]", "[{ kind = \"limewash\", lead = \"absent\" }]", "[{ kind = \"epoxy\" }, { kind = \"alkyd\" }]"]
    {
        for substrate in ["softwood", "oak", "soft-brick", "lime-plaster", "cast-iron"] {
            let surface = format!(
                "substrate = \"{substrate}\"\nwhere = \"inside\"\naim = \"bare\"\ncondition = \"sound\"\nventilation = \"good\"\ncoats = {coats}"
            );
            let with = |consent: bool| {
                let known = "occupied = true\nyoung_child = false\npregnancy = false\nwork_for_hire = false\nbats_signs = false\nuse = \"dwelling\"";
                let site = format!("built = 1890\nheritage = \"listed\"\n{known}\nconsent = {consent}");
                judged(&format!("place = \"GB-ENG\"\ndate = 2026-09-14\n[site]\n{site}"), &surface, "2026-09-14")
            };
            let (held, free) = (with(false), with(true));
            for m in held.surfaces[0].methods.iter().filter(|m| m.verdict == Verdict::OnHold) {
                let then = method(&free, &m.method);
                // A hold that stands, or may stand, for another reason is still there once the consent has come.
                if then.reasons.iter().any(|n| n.ruling == Ruling::Hold) {
                    continue;
                }
                compared += 1;
                assert_eq!(m.once_released, Some(then.verdict), "{} on {substrate} under {coats}", m.method);
                let needs = |m: &MethodAdvice| m.conditions.iter().map(|c| c.says.clone()).collect::<Vec<_>>();
                assert_eq!(needs(m), needs(then), "{} on {substrate} under {coats}", m.method);
            }
        }
    }
    assert!(compared > 20, "only {compared} were tried");
}

/// A hold or rule-out that only may apply is never told as a fact.
#[test]
fn what_may_apply_is_worded_as_open() {
    let mut met = 0;
    for path in files_in(&root().join("tests/situations"), ".toml").into_iter().filter(|p| !p.to_string_lossy().ends_with(".expect.toml")) {
        let file = SourceFile::new(path.display().to_string(), std::fs::read_to_string(&path).expect("text"));
        // A few are enough: the whole of the situations takes minutes.
        if met >= 3 {
            break;
        }
        let Ok((survey, _)) = Survey::read(&file, book()) else { continue };
        let date = survey.date.unwrap_or_else(|| "2026-09-14".parse().expect("a date"));
        let advice = advise(&survey, book(), &Circumstances { place: None, date }).expect("its own book");
        for m in advice.surfaces.iter().flat_map(|s| &s.methods) {
            let ruling = match m.verdict {
                Verdict::OnHold => Ruling::Hold,
                Verdict::RuledOut => Ruling::RuleOut,
                _ => continue,
            };
            let mut own = m.reasons.iter().filter(|n| n.ruling == ruling).peekable();
            if own.peek().is_some() && own.all(|n| n.status == Status::Open) {
                met += 1;
                assert!(m.line.starts_with("Not known yet, but it may be so: "), "{}: {}", path.display(), m.line);
            }
        }
    }
    assert!(met > 0, "no situation tries it");
}

/// On a ceiling that is presumed to hold asbestos, sound or flaking, leaving it suits: it is the first way, and nothing that its
/// verdict bars is among the ways that need no release.
#[test]
fn ways_agree_with_verdicts() {
    let head = "place = \"GB-ENG\"\ndate = 2026-09-14\n[site]\nbuilt = 1975\nheritage = \"none\"\nuse = \"dwelling\"";
    let surface = "substrate = \"gypsum-plaster\"\nwhere = \"inside\"\naim = \"repaint\"\ncondition = { one-of = [\"sound\", \"flaking\"] }\ncoats = [{ kind = \"emulsion\" }, { kind = \"textured\" }]";
    let advice = judged(head, surface, "2026-09-14");
    let part = &advice.surfaces[0];
    assert!(method(&advice, "leave-and-overcoat").verdict.suits());
    assert_eq!(part.approaches[0].clears, Clears::None, "{:#?}", part.approaches.iter().map(|a| &a.says).collect::<Vec<_>>());
    for approach in &part.approaches {
        for step in approach.steps.iter().filter(|s| s.extent != Extent::Stays) {
            let verdict = method(&advice, &step.method).verdict;
            assert!(verdict.suits() || approach.on_hold && verdict == Verdict::OnHold, "{}: {verdict}", approach.says);
        }
    }
}

/// What an instrument read is told as found, by what, and never as presumed.
#[test]
fn a_reading_is_no_presumption() {
    for (place, how) in [("US-MA", "1.6 mg/cm2"), ("GB-ENG", "1.6 mg/cm2"), ("FR", "1.6 mg/cm2")] {
        let surface = format!("{DOOR}coats = [{{ kind = \"oil-paint\", lead_loading = {{ value = \"{how}\", by = \"XRF\" }} }}]");
        let advice = judged(&format!("place = \"{place}\"\ndate = 2026-09-14\n[site]\nbuilt = 1930"), &surface, "2026-09-14");
        let lead = advice.surfaces[0].coats[0].facts.iter().find(|f| f.fact == "coat.lead").expect("told");
        assert_eq!(lead.value, "present");
        assert!(
            lead.how_known.says.starts_with("found (lead-by-") && lead.how_known.says.contains("by XRF"),
            "{place}: {}",
            lead.how_known
        );
    }
}

/// An id from an earlier book is answered with the one it has now, in a survey and on the command line.
#[test]
fn an_old_id_is_told_the_new_one() {
    let folder = tempfile::tempdir().expect("a folder");
    let survey = folder.path().join("door.toml").display().to_string();
    let write = |more: &str| {
        let text = format!("[survey]\ntitle = \"door\"\n[[surface]]\nname = \"door\"\nsubstrate = \"softwood\"\n{more}\n");
        std::fs::write(&survey, text).expect("written");
    };
    for (old, new) in [("caustic-poultice", "caustic-paste"), ("sponge-abrasive", "soft-media")] {
        write("");
        let message = String::from_utf8(ovolo(&["check", &survey, "--method", old]).stderr).expect("UTF-8");
        assert!(message.contains(&format!("it is called “{new}” now")), "{message}");
        let message = String::from_utf8(ovolo(&["reckon", "labour", old, "--area", "3 m2"]).stderr).expect("UTF-8");
        assert!(message.contains(&format!("it is called “{new}” now")), "{message}");
        write(&format!("[[surface.proposal]]\nmethod = \"{old}\""));
        let out = ovolo(&["advise", &survey]);
        let message = String::from_utf8(out.stderr).expect("UTF-8");
        assert_eq!(out.status.code(), Some(2));
        assert!(message.contains("door.toml, line 7: ") && message.contains(&format!("it is called \"{new}\" now")), "{message}");
    }
}

/// What is wrong with a survey is told to who wrote it: which line, what, what to try; no carets, no marks of code.
#[test]
fn survey_errors_read_as_sentences() {
    let out = ovolo(&["advise", "tests/bad/surveys/several-errors.toml"]);
    let message = String::from_utf8(out.stderr).expect("UTF-8");
    assert!(
        message.contains("several-errors.toml, line 15: \"substrat\" is not a fact about a surface.\n  Try: \"substrate\"."),
        "{message}"
    );
    assert!(!message.contains(['^', '`', '|']) && !message.contains("error:"), "{message}");
    // A pack keeps its carets.
    let out = ovolo(&["rules", "check", "tests/house-from-help/first-draft"]);
    assert!(String::from_utf8(out.stderr).expect("UTF-8").contains("^^^"));
}
