//! Comparing rule books and dates, as a library and as it is typed.

use crate::support::{book, load, ovolo, pack_in, root};
use jiff::civil::{Date, date};
use ovolo_engine::compare::{Comparison, Pair, RuleChange, Wanted, compare};
use ovolo_engine::diagnostic::SourceFile;
use ovolo_engine::explain::{Circumstances, advise};
use ovolo_engine::pack::{GONE, PackFiles, RuleBook};
use ovolo_engine::survey::Survey;
use std::fs;
use std::path::Path;

/// A rule of law of the standard packs, which some tests take out by giving it another id.
const LAW: &str = "foul-sewer-without-consent-gb";

const FACTS: &str = r#"
[[fact]]
id = "surface.height"
title = "height of the work"
question = "How high is the work?"
help = "Measure it."
kind = "number"
unit = "m"
range = "0 .. 100 m"

[[fact]]
id = "surface.fragile"
title = "fragile surface"
question = "Does it give under a hand?"
help = "Press it."
kind = "yes-no"

[[attribute]]
of = "method"
id = "dusty"
kind = "yes-no"

[[method]]
id = "scraper"
title = "scraper"
source = "common practice"
dusty = true

[[method]]
id = "sponge"
title = "sponge"
source = "common practice"
"#;

const FALLS: &str = r#"
[[limit]]
id = "free-height"
title = "height without a guard"
unit = "m"
stricter = "lower"
[[limit.value]]
value = "2 m"
basis = "statute"
source = "invented"

[[rule]]
id = "falls"
when = 'surface.height >= limit("free-height")'
ruling = "hold"
because = "Above {limit} a guard comes first."
basis = "statute"
source = "invented"
"#;

const DUST: &str = r#"
[[rule]]
id = "dust-on-fragile"
when = 'surface.fragile && method.dusty'
ruling = "rule-out"
because = "What gives under a hand breaks."
basis = "practice"
source = "common practice"
"#;

fn pack(version: &str, parts: &[&str]) -> RuleBook {
    pack_or(version, parts).unwrap_or_else(|p| panic!("{p:?}"))
}

fn pack_or(version: &str, parts: &[&str]) -> Result<RuleBook, ovolo_engine::Error> {
    let manifest = format!("name = \"small\"\nversion = \"{version}\"\nowner = \"nobody\"\n");
    RuleBook::load(&[PackFiles {
        folder: "small".into(),
        files: vec![("pack.toml".into(), manifest), ("rules.toml".into(), parts.join("\n"))],
    }])
}

fn wanted() -> Wanted {
    Wanted { near: Some(date(2026, 9, 1)), ..Wanted::default() }
}

fn change<'c>(found: &'c Comparison, id: &str) -> &'c RuleChange {
    found.rules.iter().find(|r| r.id == id).unwrap_or_else(|| panic!("{id} is as it was: {found:#?}"))
}

#[test]
fn a_rule_book_is_as_it_was_beside_itself() {
    let found = compare(book(), book(), &wanted());
    assert_eq!(found.same, book().rules.len());
    assert!(found.rules.is_empty() && found.presumptions.is_empty() && found.limits.is_empty() && found.names.is_empty());
    assert!(!found.bound && found.unknown.is_empty());
}

#[test]
fn a_looser_figure_of_the_law_waits_for_a_sign_off_and_a_stricter_one_does_not() {
    let before = pack("1", &[FACTS, FALLS, DUST]);
    let looser = FALLS.replace("value = \"2 m\"", "value = \"4 m\"");
    let after = pack("2", &[FACTS, &looser, DUST]);
    let found = compare(&before, &after, &wanted());
    let falls = change(&found, "falls");
    assert!(falls.unsigned() && falls.more.is_empty(), "{falls:#?}");
    assert_eq!(falls.worded, ["the figure it tells"]);
    let survey = falls.less[0].survey.as_ref().expect("a survey shows it");
    assert_eq!(survey.stated, 1, "{}", survey.text);
    assert_eq!(found.limits[0].figures[0].stricter, Some(false));
    // The other way round it is stricter, on the same survey, and nobody has to answer.
    let back = compare(&after, &before, &wanted());
    let falls = change(&back, "falls");
    assert!(falls.less.is_empty() && !falls.needs_sign_off(), "{falls:#?}");
    assert_eq!(falls.more[0].survey.as_ref().expect("a survey").verdicts, [survey.verdicts[1], survey.verdicts[0]]);
}

#[test]
fn a_sign_off_holds_for_one_state_of_a_rule() {
    let before = pack("1", &[FACTS, FALLS]);
    let looser = FALLS.replace("value = \"2 m\"", "value = \"4 m\"");
    let state = change(&compare(&before, &pack("2", &[FACTS, &looser]), &wanted()), "falls").state.clone();
    let signed = format!(
        "[[sign-off]]\nrule = \"falls\"\ndigest = \"{state}\"\nby = \"Odo Mirk, technical manager\"\ndate = 2026-09-01\nwhy = \"guards are in every van now\"\n"
    );
    let after = pack("2", &[FACTS, &looser, &signed]);
    let found = compare(&before, &after, &wanted());
    let falls = change(&found, "falls");
    assert!(falls.needs_sign_off() && !falls.unsigned(), "{falls:#?}");
    assert_eq!(falls.signed.as_ref().map(|s| s.by.as_str()), Some("Odo Mirk, technical manager"));
    // Words do not count for it.
    let reworded = looser.replace("a guard comes first", "guard first");
    assert!(!change(&compare(&before, &pack("2", &[FACTS, &reworded, &signed]), &wanted()), "falls").unsigned());
    // Another figure does, and so does the rule itself.
    for further in [looser.replace("\"4 m\"", "\"6 m\""), looser.replace("surface.height >=", "!surface.fragile && surface.height >=")] {
        let found = compare(&before, &pack("2", &[FACTS, &further, &signed]), &wanted());
        let falls = change(&found, "falls");
        assert!(falls.unsigned(), "{falls:#?}");
        assert_eq!(falls.lapsed.len(), 1);
    }
}

#[test]
fn what_is_presumed_counts_for_the_state_of_a_rule_that_reads_it() {
    let presumed = "[[presumption]]\nid = \"low\"\nfact = \"surface.fragile\"\nvalue = false\nwhen = 'true'\nbecause = \"Most are firm.\"\nbasis = \"statute\"\nsource = \"invented\"\n";
    let dust = DUST.replace("\"practice\"", "\"statute\"");
    let before = pack("1", &[FACTS, &dust]);
    let after = pack("2", &[FACTS, &dust, presumed]);
    let found = compare(&before, &after, &wanted());
    let rule = change(&found, "dust-on-fragile");
    assert!(rule.unsigned(), "{rule:#?}");
    assert!(rule.less[0].what.contains("`low`"), "{rule:#?}");
    assert_eq!(found.presumptions[0].what, ["it is new"]);
    let of = |book: &RuleBook| ovolo_engine::compare::state_of(book, book.rule("dust-on-fragile").expect("it is there"));
    assert_ne!(of(&before), of(&after));
    assert_eq!(of(&before), of(&pack("3", &[FACTS, &dust, FALLS])), "what it does not read does not count");
}

#[test]
fn a_rule_taken_out_is_signed_off_as_gone() {
    let before = pack("1", &[FACTS, FALLS, DUST]);
    let after = pack("2", &[FACTS, DUST]);
    let found = compare(&before, &after, &wanted());
    let falls = change(&found, "falls");
    assert!(falls.unsigned());
    assert_eq!((falls.state.as_str(), falls.less[0].what.as_str()), (GONE, "it is not there any more"));
    let signed = "[[sign-off]]\nrule = \"falls\"\ndigest = \"gone\"\nby = \"Odo Mirk\"\ndate = 2026-09-01\nwhy = \"repealed\"\n";
    let after = pack("2", &[FACTS, DUST, signed]);
    assert!(!change(&compare(&before, &after, &wanted()), "falls").unsigned());
    // A rule of practice needs nobody.
    let found = compare(&before, &pack("2", &[FACTS, FALLS]), &wanted());
    assert!(!change(&found, "dust-on-fragile").needs_sign_off());
    assert_eq!(found.unsigned().count(), 0);
}

#[test]
fn words_ground_and_ruling_are_told_for_what_they_are() {
    let before = pack("1", &[FACTS, FALLS, DUST]);
    let words = DUST.replace("breaks.", "breaks under a tool.");
    let found = compare(&before, &pack("2", &[FACTS, FALLS, &words]), &wanted());
    assert_eq!(change(&found, "dust-on-fragile").worded, ["its reason"]);
    assert_eq!(found.rules.len(), 1);
    // Written otherwise, and the same.
    let script = DUST.replace("surface.fragile && method.dusty", "if method.dusty { surface.fragile } else { false }");
    let found = compare(&before, &pack("2", &[FACTS, FALLS, &script]), &wanted());
    let dust = change(&found, "dust-on-fragile");
    assert!(dust.less.is_empty() && dust.more.is_empty() && dust.worded.len() == 1, "{dust:#?}");
    let weaker =
        FALLS.replace("basis = \"statute\"\nsource = \"invented\"\n\"#", "").replacen("ruling = \"hold\"", "ruling = \"caution\"", 1);
    let found = compare(&before, &pack("2", &[FACTS, &weaker, DUST]), &wanted());
    let falls = change(&found, "falls");
    assert_eq!(falls.less[0].what, "its ruling restricts less");
    assert!(falls.unsigned());
}

/// What a rule no longer says may be said by another of law: then nothing is looser, and it is told for what it is.
#[test]
fn a_rule_that_gives_way_to_law_is_not_said_to_mean_the_same() {
    let law = DUST.replace("dust-on-fragile", "law-on-dust").replace("\"practice\"", "\"statute\"");
    let before = pack("1", &[FACTS, FALLS, DUST, &law]);
    let narrower = DUST.replace("surface.fragile && method.dusty", "surface.fragile && method.dusty && surface.height > quantity(\"3 m\")");
    let found = compare(&before, &pack("2", &[FACTS, FALLS, &narrower, &law]), &wanted());
    let dust = change(&found, "dust-on-fragile");
    assert!(dust.less.is_empty() && dust.more.is_empty(), "{dust:#?}");
    assert_eq!(dust.worded, ["where it applies: in fewer situations, in which other rules of law or standard restrict as much"]);
    // Without that law it is looser.
    let found = compare(&pack("1", &[FACTS, FALLS, DUST]), &pack("2", &[FACTS, FALLS, &narrower]), &wanted());
    assert_eq!(change(&found, "dust-on-fragile").less.len(), 1);
}

#[test]
fn two_dates_of_one_book_show_what_begins_and_ends() {
    let dated = FALLS.replace("ruling = \"hold\"", "ruling = \"hold\"\nuntil = 2027-12-31");
    let later = DUST.replace("ruling =", "from = 2027-01-01\nruling =");
    let one = pack("1", &[FACTS, &dated, &later]);
    let on = |a: Date, b: Date| compare(&one, &one, &Wanted { dates: Some([a, b]), ..Wanted::default() });
    let found = on(date(2026, 6, 1), date(2027, 6, 1));
    assert_eq!(found.rules.len(), 1);
    let dust = change(&found, "dust-on-fragile");
    assert!(dust.less.is_empty());
    let survey = dust.more[0].survey.as_ref().expect("a survey");
    assert!(survey.text.contains("date = 2027-06-01"), "{}", survey.text);
    assert!(survey.without.as_ref().is_some_and(|t| t.contains("date = 2026-06-01")), "{survey:#?}");
    let found = on(date(2027, 6, 1), date(2028, 6, 1));
    assert!(change(&found, "falls").unsigned(), "a law that ends is looser too");
}

/// Every survey that is given shows what is said of it: both books are run on it, from its text.
#[test]
#[ignore = "long: `cargo long` runs it"]
fn every_survey_given_shows_the_change() {
    let house = load(&[pack_in(&root().join("demo-data/house-rules"))]);
    let found = compare(book(), &house, &wanted());
    let mut shown = 0;
    for rule in &found.rules {
        for (turn, side) in rule.less.iter().map(|t| (t, 0)).chain(rule.more.iter().map(|t| (t, 1))) {
            let Some(survey) = &turn.survey else { continue };
            let says: Vec<u8> = [(book(), survey.without.as_ref().unwrap_or(&survey.text)), (&house, &survey.text)]
                .iter()
                .map(|(with, text)| says(with, text, &rule.id, survey.method.as_deref()))
                .collect();
            assert!(says[side] > says[1 - side], "{}: {says:?}\n{}", rule.id, survey.text);
            shown += 1;
        }
    }
    // The demo pack tightens figures of guidance and adds rules of its own: neither is looser.
    assert!(found.rules.iter().all(|r| !r.restricts() || r.less.is_empty()), "{found:#?}");
    assert!(shown >= 1, "{found:#?}");
}

/// Whether a rule applies (2), is open (1) or silent (0) in the advice on a survey.
fn says(book: &RuleBook, text: &str, rule: &str, method: Option<&str>) -> u8 {
    let (survey, _) = Survey::read(&SourceFile::new("survey", text), book).unwrap_or_else(|p| panic!("{p:?}\n{text}"));
    let advice = advise(&survey, book, &Circumstances { place: None, date: survey.date.expect("a date") }).expect("its own book");
    let surface = &advice.surfaces[0];
    let notices = advice.site.notices.iter().chain(&surface.notices);
    let own = surface.methods.iter().find(|m| Some(m.method.as_str()) == method);
    let of_method = surface.proposals.first().or(own).into_iter().flat_map(|m| &m.reasons);
    let status: Vec<&str> = notices.chain(of_method).filter(|n| n.rule == rule).map(|n| n.status.word()).collect();
    if status.contains(&"applies") { 2 } else { u8::from(!status.is_empty()) }
}

/// On every real situation, a verdict that changes does so by rules that are told to have changed.
#[test]
fn nothing_changes_in_a_survey_that_the_comparison_does_not_tell() {
    let standard = ovolo_rules::standard();
    // The same packs with a few things altered: a rule under another id, and another figure in a rule.
    let altered: Vec<PackFiles> = standard
        .iter()
        .map(|p| {
            let mut p = p.clone();
            for (_, text) in &mut p.files {
                *text = text.replace(LAW, "another-id").replace("limit(\"historic-heat\")", "limit(\"lead-softening-heat\")");
            }
            p
        })
        .collect();
    let after = RuleBook::load(&altered).unwrap_or_else(|p| panic!("{p:?}"));
    let found = compare(book(), &after, &wanted());
    assert!(found.rules.iter().any(|r| r.state == GONE), "something is taken out");
    let told: Vec<&str> = found.rules.iter().map(|r| r.id.as_str()).collect();
    let pair = Pair::new(book(), &after, &found, None, date(2026, 9, 1));
    let mut changed = 0;
    for path in crate::support::files_in(&root().join("tests/situations"), ".toml") {
        if path.to_string_lossy().ends_with(".expect.toml") {
            continue;
        }
        let text = fs::read_to_string(&path).expect("text");
        let Ok(changes) = pair.survey(&SourceFile::new(path.display().to_string(), text)) else { continue };
        let rules = changes.verdicts.iter().flat_map(|v| v.came.iter().chain(&v.went));
        let rules = rules.chain(changes.came.iter().chain(&changes.went).map(|(_, r)| r));
        for rule in rules {
            let id = rule.trim_end_matches(" (open)");
            assert!(told.contains(&id), "{}: {rule} changed and is not told", path.display());
        }
        changed += usize::from(!changes.none());
    }
    assert!(changed > 0, "no situation is touched: this tests nothing");
}

/// A caution about a method leaves its verdict as it is; that it came or went is told all the same.
#[test]
fn a_caution_about_a_method_that_goes_is_told_of_a_survey() {
    let caution = "[[rule]]\nid = \"wear-a-mask\"\nwhen = 'method.dusty'\nruling = \"caution\"\nbecause = \"Dust.\"\nbasis = \"practice\"\nsource = \"common practice\"\n";
    let (before, after) = (pack("1", &[FACTS, FALLS, caution]), pack("2", &[FACTS, FALLS]));
    let found = compare(&before, &after, &wanted());
    let pair = Pair::new(&before, &after, &found, None, date(2026, 9, 1));
    let changes = pair.survey(&SourceFile::new("survey", "[[surface]]\nname = \"wall\"\n")).expect("it can be read");
    assert!(changes.verdicts.is_empty() && changes.came.is_empty(), "{changes:#?}");
    assert_eq!(changes.went.into_iter().collect::<Vec<_>>(), [("wall".to_owned(), "wear-a-mask".to_owned())]);
}

fn write(folder: &Path, name: &str, parts: &[&str]) -> String {
    let at = folder.join(name);
    fs::create_dir_all(&at).expect("a folder");
    fs::write(at.join("pack.toml"), "name = \"a-firm\"\nversion = \"1\"\nowner = \"Wimbrel & Dace\"\nhouse = true\n").expect("written");
    fs::write(at.join("rules.toml"), parts.join("\n")).expect("written");
    at.display().to_string()
}

const SQUARE: &str = "[[rule]]\nid = \"our-square\"\nwhen = 'method.abrasive && surface.detail == \"moulded\"'\nruling = \"rule-out\"\nbecause = \"Not on mouldings.\"\nsource = \"our handbook\"\n";

#[test]
fn as_it_is_typed() {
    let scratch = tempfile::tempdir().expect("a folder");
    let first = write(scratch.path(), "first", &[SQUARE]);
    let second = write(scratch.path(), "second", &[&SQUARE.replace("method.abrasive && ", "method.abrasive && !surface.removable && ")]);
    let out = scratch.path().join("out");
    let (text, error, code) =
        run(&["rules", "compare", &first, &second, "-o", &out.display().to_string(), "--surveys", "demo-data/quillhaven"]);
    assert_eq!(code, Some(0), "a firm's own rule may be loosened by the firm\n{text}{error}");
    for part in ["1 rule looser, 0 rules stricter", "our-square (rule-out, house, a-firm)", "Written to:", "4 surveys looked at"] {
        assert!(text.contains(part), "`{part}` is not said in\n{text}");
    }
    let written: Vec<_> = crate::support::files_in(&out, ".toml");
    assert_eq!(written.len(), 1);
    // The survey shows it in the real program too.
    let file = written[0].display().to_string();
    let method =
        text.lines().find_map(|l| l.strip_prefix("Smallest survey: ")).and_then(|l| l.split(',').next()).expect("a method").to_owned();
    let checked = |rules: &str| run(&["check", &file, "--method", &method, "--rules", rules]);
    let (before, after) = (checked(&first), checked(&second));
    assert!(before.0.contains("our-square") && before.2 == Some(1), "{}", before.0);
    assert_ne!(after.2, Some(1), "{}", after.0);
}

fn run(args: &[&str]) -> (String, String, Option<i32>) {
    let out = ovolo(args);
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("UTF-8");
    (text(out.stdout), text(out.stderr), out.status.code())
}

#[test]
fn a_rule_book_without_a_law_is_refused_by_its_exit_code() {
    let scratch = tempfile::tempdir().expect("a folder");
    for pack in fs::read_dir(root().join("rules/packs")).expect("packs") {
        let pack = pack.expect("a pack").path();
        let to = scratch.path().join(pack.file_name().expect("a name"));
        fs::create_dir_all(&to).expect("a folder");
        for file in fs::read_dir(&pack).expect("files") {
            let file = file.expect("a file").path();
            let text = fs::read_to_string(&file).expect("text").replace(LAW, "another-id");
            fs::write(to.join(file.file_name().expect("a name")), text).expect("written");
        }
    }
    let folder = scratch.path().display().to_string();
    let (text, error, code) = run(&["rules", "compare", "rules/packs", &folder]);
    assert_eq!(code, Some(1), "{text}{error}");
    assert!(text.contains("It is not there any more.") && text.contains("digest = \"gone\""), "{text}");
    let (text, error, code) = run(&["rules", "compare", &folder, "rules/packs"]);
    // The other way round it is the other id that goes.
    assert_eq!(code, Some(1), "{text}{error}");
    assert!(text.contains("It is new.") && text.contains("rule = \"another-id\""), "{text}");
}

/// What the proof finds of a pack that the program would not add, as it is typed; the survey is then judged by the program too.
#[test]
fn a_pack_that_loosens_is_refused_with_a_survey_as_it_is_typed() {
    let scratch = tempfile::tempdir().expect("a folder");
    let out = scratch.path().display().to_string();
    let args = ["rules", "prove", "tests/loosening/no-asbestos-here/house", "--place", "GB-ENG", "--date", "2026-09-01", "-o", &out];
    let (text, error, code) = run(&args);
    assert_eq!(code, Some(1), "{text}{error}");
    assert!(text.contains("Smallest survey:"), "{text}");
    let files = crate::support::files_in(scratch.path(), ".toml");
    assert!(!files.is_empty(), "{text}");
    for file in files {
        let (text, error, code) = run(&["advise", &file.display().to_string()]);
        assert_eq!(code, Some(0), "{text}{error}");
    }
}

/// A file that cannot be read is told, and the others are looked at all the same.
#[test]
fn one_survey_that_cannot_be_read_does_not_lose_the_others() {
    let scratch = tempfile::tempdir().expect("a folder");
    fs::copy(root().join("demo-data/quillhaven/school.toml"), scratch.path().join("a-school.toml")).expect("copied");
    fs::write(scratch.path().join("b-no-text.toml"), [0x66, 0xff, 0xfe]).expect("written");
    fs::write(scratch.path().join("c-wrong.toml"), "[[surface]]\nname = \"wall\"\nsubstrat = \"oak\"\n").expect("written");
    fs::write(scratch.path().join("d-other.toml"), "[package]\nname = \"other\"\n").expect("written");
    let folder = scratch.path().display().to_string();
    let (text, error, code) =
        run(&["rules", "compare", "demo-data/house-rules", "--date", "2026-09-01", "--surveys", &folder, "--width", "200"]);
    assert_eq!(code, Some(2), "{text}{error}");
    for part in ["1 survey looked at", "2 could not be read", "a-school.toml"] {
        assert!(text.contains(part), "`{part}` is not said in\n{text}");
    }
    for part in ["b-no-text.toml` is not UTF-8", "`substrat` is not a fact", "d-other.toml` is no survey", "with house pack wimbrel-dace"] {
        assert!(error.contains(part), "`{part}` is not said in\n{error}");
    }
}

#[test]
fn bad_input_is_told_and_nothing_is_compared() {
    for (args, says) in [
        (&["rules", "compare"][..], "required"),
        (&["rules", "compare", "no-such-folder"], "is not there"),
        (&["rules", "compare", "cli"], "holds no pack"),
        (&["rules", "compare", "demo-data/house-rules", "--place", "UK"], "the United Kingdom is GB"),
        (&["rules", "compare", "--dates", "2026-01-01", "tomorrow"], "is not a date"),
        (&["rules", "compare", "demo-data/house-rules", "--surveys", "benches"], "holds no survey"),
        (&["rules", "compare", "demo-data/house-rules", "--surveys", "demo-data/quillhavn"], "Try: “quillhaven”."),
        (&["rules", "prove", "demo-data/quillhaven"], "holds no pack"),
    ] {
        let (text, error, code) = run(args);
        assert_eq!(code, Some(2), "{args:?}\n{text}{error}");
        assert!(error.contains(says), "{args:?}\n{error}");
        assert!(text.is_empty(), "{text}");
    }
}

#[test]
fn a_sign_off_that_cannot_count_is_refused() {
    let base = "[[sign-off]]\nrule = \"falls\"\ndigest = \"0123456789ab\"\nby = \"Odo Mirk\"\ndate = 2026-09-01\nwhy = \"so\"\n";
    assert!(pack_or("1", &[FACTS, FALLS, base]).is_ok());
    for (from, to, says) in [
        ("\"0123456789ab\"", "\"0123\"", "is not the state of a rule"),
        ("\"0123456789ab\"", "\"gone\"", "so it is not `gone`"),
        ("\"falls\"", "\"fals\"", "there is no rule `fals`"),
        ("\"Odo Mirk\"", "\" \"", "given by somebody"),
        ("date = 2026-09-01\n", "", "date"),
    ] {
        let problems = pack_or("1", &[FACTS, FALLS, &base.replace(from, to)]).expect_err(says);
        let text: Vec<String> = problems.diagnostics().iter().map(ToString::to_string).collect();
        assert!(text.join("\n").contains(says), "{says}: {text:?}");
    }
    let twice = pack_or("1", &[FACTS, FALLS, base, base]).expect_err("twice");
    assert!(twice.to_string().contains("signed off twice"), "{twice:?}");
}

/// A house pack adds methods, presumptions and figures: for a sign-off, the standard rules are in the state they were in without it.
#[test]
fn house_packs_leave_the_state_of_standard_rules_as_it_is() {
    let house = load(&[pack_in(&root().join("demo-data/house-rules"))]);
    let state = |book: &RuleBook, id: &str| ovolo_engine::compare::state_of(book, book.rule(id).expect("it is there"));
    for rule in &book().rules {
        assert_eq!(state(book(), &rule.id), state(&house, &rule.id), "{}", rule.id);
    }
    let states: std::collections::BTreeSet<String> = book().rules.iter().map(|r| state(book(), &r.id)).collect();
    assert!(states.len() > book().rules.len() * 3 / 4, "rules that differ have states that do: {}", states.len());
}

/// What is read, as it is shown; digests change with every rule and are left out.
#[test]
fn screens_of_comparisons() {
    for (name, args) in [
        ("compare-dates", &["rules", "compare", "--dates", "2026-01-01", "2028-01-01", "--width", "80"][..]),
        (
            "compare-house",
            &["rules", "compare", "demo-data/house-rules", "--date", "2026-09-01", "--surveys", "demo-data/quillhaven", "--width", "80"][..],
        ),
    ] {
        let text = crate::support::typed(args);
        let mut out = String::new();
        let mut rest = text.as_str();
        while let Some(at) = rest.find("(digest") {
            out.push_str(&rest[..at]);
            out.push_str("(digest …)");
            rest = &rest[at + rest[at..].find(')').expect("it closes") + 1..];
        }
        out.push_str(rest);
        crate::commands::same_as_kept(name, &out);
    }
}
