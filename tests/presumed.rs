//! What is presumed unlocks nothing that law forbids, and releases no hold.

use crate::support::{book, ovolo};
use ovolo_engine::advice::Advice;
use ovolo_engine::diagnostic::SourceFile;
use ovolo_engine::explain::{Circumstances, advise};
use ovolo_engine::survey::Survey;
use std::fs;

/// A works of 1930 in the United States, in chlorinated rubber of 1940. Guidance places PCB in coats of 1950 to 1979, so the coat is
/// presumed free of it; the law binds paint with 50 ppm whatever its year.
fn judged(pcb: &str) -> Advice {
    let text = format!(
        "[survey]\ntitle = \"works\"\nplace = \"US-OH\"\ndate = 2026-11-28\n[site]\nbuilt = 1930\nuse = \"industrial\"\nheritage = \"none\"\n\
         occupied = false\nwork_for_hire = true\n[[surface]]\nname = \"tank\"\nsubstrate = \"steel\"\nelement = \"frame\"\nwhere = \"outside\"\n\
         area = \"40 m2\"\ncondition = \"sound\"\naim = \"bare\"\ncoats = [{{ kind = \"chlorinated-rubber\", put_on = 1940, lead = \"absent\"{pcb} }}]\n"
    );
    let (survey, _) = Survey::read(&SourceFile::new("survey.toml", text), book()).unwrap_or_else(|e| panic!("{e:?}"));
    advise(&survey, book(), &Circumstances { place: None, date: "2026-11-28".parse().expect("a date") }).expect("its own book")
}

/// The verdict on keeping the paint, how the federal hold on PCB and the caution of practice about it stand, and what it hangs on.
fn keeping(pcb: &str) -> (&'static str, Option<&'static str>, Option<&'static str>, Vec<String>) {
    let advice = judged(pcb);
    let surface = &advice.surfaces[0];
    let method = surface.methods.iter().find(|m| m.method == "solvent-gel").expect("judged").clone();
    let status = |rule: &str| {
        let site = &advice.site.notices;
        method.reasons.iter().chain(&surface.notices).chain(site).find(|n| n.rule == rule).map(|n| n.status.word())
    };
    let depends = method.depends_on.iter().map(|d| d.fact.clone()).collect();
    (method.verdict.word(), status("pcb-found-in-paint-us"), status("pcb-in-industrial-paint"), depends)
}

/// A rule of law does not fall silent because a fact is presumed: it stays open on that fact until the fact is stated. Doubt is not
/// stating it.
#[test]
fn a_presumption_or_a_doubt_silences_no_rule_of_law() {
    for only_thought in ["", ", pcb = { value = \"pcb-free\", sure = false }", ", pcb = { value = \"pcb-suspected\", sure = false }"] {
        let (verdict, status, _, depends) = keeping(only_thought);
        assert_eq!((verdict, status), ("can't tell yet", Some("open")), "{only_thought}");
        assert!(depends.iter().any(|f| f == "coat.pcb"), "{only_thought}: {depends:?}");
    }
    let (verdict, status, _, _) = keeping(", pcb = \"pcb-regulated\"");
    assert_eq!((verdict, status), ("on hold", Some("applies")));
    let (verdict, status, _, depends) = keeping(", pcb = \"pcb-free\"");
    assert!(verdict.starts_with("suited") && status.is_none(), "stated, it may go on: {verdict} {status:?} {depends:?}");
}

/// The same presumption still makes a rule of guidance or practice silent, where a doubt does not; and a presumption still makes
/// rules speak.
#[test]
fn what_is_presumed_still_counts_for_the_rest() {
    let (_, law, guidance, _) = keeping("");
    assert_eq!((law, guidance), (Some("open"), None), "of the two only the rule of law takes it as open");
    let (_, _, guidance, _) = keeping(", pcb = \"pcb-suspected\"");
    assert_eq!(guidance, Some("applies"), "stated otherwise, the rule of guidance speaks");
}

/// Where everything waits to be released, leaving the paint where it is comes first: not to know leads to no more being done.
#[test]
fn where_all_waits_keeping_the_paint_leads() {
    let ceiling = |aim: &str| {
        let text = format!(
            "[survey]\ntitle = \"school\"\nplace = \"US-OH\"\ndate = 2026-11-28\n[site]\nbuilt = 1956\nuse = \"school\"\nheritage = \"none\"\n\
             [[surface]]\nname = \"ceiling\"\nsubstrate = \"gypsum-plaster\"\nelement = \"ceiling\"\nwhere = \"inside\"\narea = \"900 ft2\"\n\
             condition = \"flaking\"\naim = \"{aim}\"\ncoats = [{{ kind = \"emulsion\" }}, {{ kind = \"textured\" }}]\n"
        );
        let (survey, _) = Survey::read(&SourceFile::new("survey.toml", text), book()).unwrap_or_else(|e| panic!("{e:?}"));
        let advice =
            advise(&survey, book(), &Circumstances { place: None, date: "2026-11-28".parse().expect("a date") }).expect("its own book");
        let first = advice.surfaces[0].approaches.first().expect("a way").clone();
        (first.clears.word(), first.on_hold)
    };
    assert_eq!(ceiling("repaint"), ("none", true));
    assert_eq!(ceiling("bare"), ("all", true), "what has to be bare is not left");
}

/// A hold is released by what somebody stated, never by what a pack presumes.
#[test]
fn no_presumption_releases_a_hold() {
    let folder = tempfile::tempdir().expect("a folder");
    let pack = folder.path().join("yard-rules");
    fs::create_dir(&pack).expect("made");
    let manifest =
        "name = \"yard-rules\"\ntitle = \"Yard rules\"\nversion = \"1\"\nowner = \"Wimbrel & Dace\"\nhouse = true\nneeds = [\"core\"]\n";
    fs::write(pack.join("pack.toml"), manifest).expect("written");
    let rules = r#"
[[fact]]
id       = "site.yard_says_so"
title    = "word from the yard"
question = "Has the yard said so?"
help     = "Ask the yard."
kind     = "yes-no"

[[presumption]]
id      = "the-yard-usually-agrees"
fact    = "site.yard_says_so"
value   = true
when    = 'site.built < 2000'
because = "The yard usually agrees."
basis   = "house"
source  = "house standard 1"

[[rule]]
id          = "nothing-before-the-yard-agrees"
when        = 'surface.where == "inside"'
ruling      = "hold"
because     = "Nothing starts before the yard agrees."
basis       = "house"
source      = "house standard 2"
released_by = "site.yard_says_so"
"#;
    fs::write(pack.join("rules.toml"), rules).expect("written");
    let pack = pack.display().to_string();
    let survey = folder.path().join("survey.toml").display().to_string();
    let told = |more: &str| {
        let text = format!(
            "[survey]\ntitle = \"shed\"\ndate = 2026-11-28\n[site]\nbuilt = 1990\nheritage = \"none\"\noccupied = false\n{more}\n[[surface]]\nname = \"door\"\n\
             substrate = \"softwood\"\nwhere = \"inside\"\ncoats = [{{ kind = \"emulsion\", lead = \"absent\", asbestos = \"absent\" }}]\n"
        );
        fs::write(&survey, text).expect("written");
        let out = ovolo(&["check", &survey, "--method", "warm-water", "--rules", &pack]);
        String::from_utf8(out.stdout).expect("UTF-8").lines().next().unwrap_or_default().to_owned()
    };
    assert!(told("").ends_with("on hold"), "{}", told(""));
    assert!(!told("yard_says_so = true").ends_with("on hold"), "{}", told("yard_says_so = true"));
    // And whoever writes such a pack is told.
    let looked = ovolo(&["rules", "check", &pack]);
    let text = format!("{}{}", String::from_utf8_lossy(&looked.stdout), String::from_utf8_lossy(&looked.stderr));
    assert!(text.contains("would silence `nothing-before-the-yard-agrees`, a hold that only a stated fact releases"), "{text}");
}

#[derive(serde::Deserialize)]
struct Row {
    presumption: String,
    rule: String,
    why: String,
}

#[derive(serde::Deserialize)]
struct File {
    row: Vec<Row>,
}

/// Every presumption of the standard packs that would silence a rule of law or release a hold stands in `presumed.toml` with the
/// reason why that is no permission. A new one fails, and so does one that is there no longer.
#[test]
fn presumptions_against_law_are_known() {
    let packs: Vec<&str> = book().packs.iter().map(|p| p.name.as_str()).collect();
    let mut found: Vec<String> = ovolo_engine::workshop::look_over(book(), &packs, "2026-11-25".parse().expect("a date"))
        .iter()
        .filter_map(|d| d.message.split_once(" would silence ").map(|(p, r)| format!("{p}: {}", r.split(',').next().unwrap_or(r))))
        .collect();
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/presumed.toml");
    let file: File = toml::from_str(&fs::read_to_string(path).expect("there")).unwrap_or_else(|e| panic!("{e}"));
    let mut known: Vec<String> = file.row.iter().map(|r| format!("the presumption `{}`: `{}`", r.presumption, r.rule)).collect();
    found.sort();
    known.sort();
    assert_eq!(found, known);
    for row in &file.row {
        assert!(row.why.split_whitespace().count() >= 12, "{}: a reason, not a word", row.presumption);
    }
}
