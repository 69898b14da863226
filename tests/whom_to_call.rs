//! Where the work, or its release, is somebody else's the first line says whom to call and what they do.

use crate::support::{book, files_in, ovolo, root};
use ovolo_engine::diagnostic::SourceFile;
use ovolo_engine::survey::Survey;

/// Holds that nobody is called for, and why.
const NOBODY: [(&str, &str); 3] = [
    ("chlorinated-refinishing-not-set-up-us", "the reader's own programme releases it"),
    ("chlorinated-law-not-held", "no person does: the law has to be read"),
    ("chlorinated-in-northern-ireland", "no person does: the law has to be read"),
];

fn page(survey: &str) -> String {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("survey.toml");
    std::fs::write(&path, survey).expect("written");
    let out = ovolo(&["advise", &path.to_string_lossy(), "--width", "200"]);
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    String::from_utf8(out.stdout).expect("UTF-8")
}

/// The answer about the first surface.
fn answer(page: &str) -> String {
    let lines: Vec<&str> = page.lines().collect();
    let at = (1..lines.len()).filter(|i| lines[*i].starts_with("==")).nth(1).expect("a surface");
    lines[at + 1..].iter().take(2).copied().collect::<Vec<_>>().join(" ")
}

fn survey(place: &str, site: &str, surface: &str) -> String {
    format!(
        "[survey]\ntitle = \"a job\"\nplace = \"{place}\"\ndate = 2026-11-28\n[site]\nheritage = \"none\"\noccupied = true\n{site}\n[[surface]]\nname = \"this\"\n{surface}\n"
    )
}

const BOARD: &str = "substrate = \"insulating-board\"\nelement = \"panelling\"\nwhere = \"inside\"\narea = \"4 m2\"\ncondition = \"sound\"\n\
                     aim = \"AIM\"\ncoats = [{ kind = \"alkyd\", lead = \"absent\" }]";
const CEMENT: &str = "substrate = \"asbestos-cement\"\nelement = \"cladding\"\nwhere = \"outside\"\narea = \"20 m2\"\ncondition = \"flaking\"\n\
                      aim = \"bare\"\ncoats = [{ kind = \"masonry-paint\", lead = \"absent\" }]";
const TEXTURED: &str = "substrate = \"gypsum-plaster\"\nelement = \"ceiling\"\nwhere = \"inside\"\narea = \"12 m2\"\ncondition = \"sound\"\n\
                        aim = \"bare\"\ncoats = [{ kind = \"textured\", asbestos = \"present\" }]";
const UNTESTED: &str = "substrate = \"lime-plaster\"\nelement = \"ceiling\"\nwhere = \"inside\"\narea = \"12 m2\"\ncondition = \"sound\"\n\
                        aim = \"bare\"\ncoats = [{ kind = \"textured\" }]";
const DOOR: &str = "substrate = \"softwood\"\nelement = \"door\"\nwhere = \"inside\"\narea = \"4 m2\"\ncondition = \"sound\"\naim = \"bare\"\n\
                    trial_patch = true\ncoats = [{ kind = \"oil-paint\", lead = \"present\" }]";

#[test]
fn the_first_line_says_whom_to_call_and_what_they_do() {
    let home = "built = 1968\nuse = \"dwelling\"\nwork_for_hire = true";
    let old = "built = 1920\nuse = \"dwelling\"\nwork_for_hire = true\nyoung_child = true";
    let cases: [(&str, &str, String, &str); 15] = [
        (
            "GB-ENG",
            home,
            BOARD.replace("AIM", "bare"),
            "Nothing here is yours to do: call a contractor licensed for asbestos work, who looks at the board",
        ),
        (
            "GB-SCT",
            home,
            BOARD.replace("AIM", "repaint"),
            "Do not start yourself: call a contractor licensed for asbestos work, who looks at the board",
        ),
        (
            "US-OH",
            home,
            BOARD.replace("AIM", "bare"),
            "Nothing here is yours to do: call a competent asbestos contractor, who asks the authority",
        ),
        ("AU-NSW", home, BOARD.replace("AIM", "repaint"), "call a licensed asbestos removalist, who says what may stay"),
        ("NZ", home, CEMENT.to_owned(), "call a licensed asbestos removalist, who counts every piece"),
        ("CA-ON", home, CEMENT.to_owned(), "call a competent person for asbestos work, who names the type of work"),
        ("DE", home, CEMENT.to_owned(), "call a firm with the qualification for asbestos, who"),
        ("JP", home, CEMENT.to_owned(), "call a competent asbestos contractor, who asks the authority"),
        ("GB-ENG", home, TEXTURED.to_owned(), "Do not start yourself: call a competent asbestos contractor, who plans the work"),
        ("US-OH", home, TEXTURED.to_owned(), "call a competent asbestos contractor, who plans the work"),
        ("IE", home, UNTESTED.to_owned(), "Do not start: call somebody trained to take asbestos samples, who wets the coat"),
        (
            "US-OH",
            old,
            DOOR.to_owned(),
            "Do not start yourself: call a firm certified for lead renovation, who puts a certified person in charge",
        ),
        (
            "US-OH",
            "built = 1920\nuse = \"dwelling\"\nwork_for_hire = true\nlead_abatement = true\ncertified_firm = true",
            DOOR.to_owned(),
            "Do not start yourself: call a certified lead abatement firm, who gives the notice",
        ),
        (
            "US-OH",
            "built = 1956\nuse = \"school\"",
            UNTESTED.to_owned(),
            "call the school's designated person for asbestos, who shows the management plan",
        ),
        ("GB-ENG", "built = 1890\nuse = \"dwelling\"\nasbestos_trained = true", DOOR.to_owned(), "Take all the paint off"),
    ];
    for (place, site, surface, wanted) in cases {
        let told = page(&survey(place, site, &surface));
        assert!(answer(&told).contains(wanted), "{place}: {wanted}\n{told}");
    }
}

/// People who are there already are not called, and a place calls nobody from another.
#[test]
fn nobody_is_called_for_what_is_arranged() {
    let trained = "built = 1968\nuse = \"dwelling\"\nasbestos_trained = true";
    let told = page(&survey("GB-ENG", trained, &BOARD.replace("AIM", "repaint")));
    assert!(!answer(&told).contains("call a contractor"), "{told}");
    let certified = "built = 1920\nuse = \"dwelling\"\nwork_for_hire = true\nyoung_child = true\ncertified_firm = true";
    assert!(!answer(&page(&survey("US-OH", certified, DOOR))).contains("call"), "a certified firm calls none");
    let abroad = "built = 1920\nuse = \"dwelling\"\nwork_for_hire = true\nlead_abatement = true";
    assert!(!answer(&page(&survey("GB-ENG", abroad, DOOR))).contains("abatement"), "it is a word of American law");
}

/// Every hold of the standard packs has somebody who is called for it, or a reason why there is none.
#[test]
fn every_hold_has_somebody_or_a_reason() {
    let book = book();
    let mut nobody: Vec<&str> = Vec::new();
    for rule in book.rules.iter().filter(|r| r.ruling == ovolo_engine::pack::Ruling::Hold) {
        let called = book.callers.iter().any(|c| c.rules.contains(&rule.id));
        let reason = NOBODY.iter().any(|(id, _)| *id == rule.id);
        assert!(!(called && reason), "{} has both", rule.id);
        if !called && !reason {
            nobody.push(&rule.id);
        }
    }
    assert_eq!(nobody, Vec::<&str>::new());
    for (id, _) in NOBODY {
        assert!(book.rules.iter().any(|r| r.id == id), "{id} is no rule");
    }
}

/// Where no way is given there is always somebody to call, whatever the survey.
#[test]
fn where_there_is_no_way_somebody_is_named() {
    let mut seen = 0;
    for path in files_in(&root().join("tests/situations"), ".toml") {
        if path.to_string_lossy().ends_with(".expect.toml") {
            continue;
        }
        let text = std::fs::read_to_string(&path).expect("a survey");
        let (survey, _) = Survey::read(&SourceFile::new("survey.toml", &text), book()).unwrap_or_else(|e| panic!("{e:?}"));
        let when = ovolo_engine::explain::Circumstances { place: None, date: survey.date.unwrap_or(jiff::civil::date(2026, 11, 28)) };
        for surface in ovolo_engine::explain::advise(&survey, book(), &when).expect("its own book").surfaces {
            let called = !surface.lead.people.is_empty();
            assert!(called || !surface.approaches.is_empty(), "{}: {}", path.display(), surface.name);
            seen += usize::from(called);
        }
    }
    assert!(seen > 10, "{seen}");
}

/// Who gives a consent hangs on the place and on the kind of protection.
#[test]
fn the_consent_is_asked_of_whoever_gives_it_there() {
    for (place, protection, wanted) in [
        ("GB-ENG", "listed", "the local planning authority, who has to give listed building consent"),
        ("GB-ENG", "scheduled", "the body that grants scheduled monument consent"),
        ("GB-SCT", "scheduled", "the body that grants scheduled monument consent"),
        ("GB-NIR", "listed", "the council's planning office"),
        ("IE", "listed", "the planning authority, who says in a section 57 declaration"),
        ("US-MA", "listed", "the landmark or historic preservation commission of the place"),
        ("AU-NSW", "listed", "the planning or heritage authority"),
    ] {
        let site = format!("built = 1790\nuse = \"dwelling\"\nwork_for_hire = false\nheritage = \"{protection}\"");
        // The survey of this test states that nothing is protected, unless it is told otherwise.
        let text = survey(place, &site, DOOR).replacen("heritage = \"none\"\n", "", 1);
        let told = page(&text);
        assert!(answer(&told).contains(wanted), "{place}, {protection}: {wanted}\n{told}");
    }
}
