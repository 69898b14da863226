//! Roles: what a thing is called is its pack's own affair, what it is to the engine is not.

use crate::support::book;
use ovolo_engine::pack::{PackFiles, RuleBook};
use ovolo_engine::prove::{Range, Wanted, prove};
use ovolo_engine::role::{AttributeRole, FactRole, Role};
use ovolo_engine::vocabulary::FactKind;

/// The standard packs with their texts changed.
fn changed(how: impl Fn(&str) -> String) -> Vec<PackFiles> {
    let mut packs = ovolo_rules::standard();
    for (_, text) in packs.iter_mut().flat_map(|p| &mut p.files) {
        *text = how(text);
    }
    packs
}

/// What is said of packs that are refused.
fn refusal(packs: &[PackFiles]) -> String {
    let problems = RuleBook::load(packs).expect_err("refused");
    problems.diagnostics().iter().map(|p| format!("{p}\n{}\n", p.help.as_deref().unwrap_or_default())).collect()
}

/// How many combinations of the catalogue statement 3 of the proof goes through, on one day at one place.
fn combinations(book: &RuleBook) -> usize {
    let range = Range { place: Some("GB-ENG".to_owned()), date: Some("2026-09-01".parse().expect("a date")), near: None };
    prove(book, book, &Wanted { range, ..Wanted::default() }).combinations
}

#[test]
fn a_renamed_fact_that_keeps_its_role_changes_nothing() {
    let renamed = |text: &str| {
        let text = text.replace("surface.where", "surface.stands");
        // Worked cases and phrases give it by its name alone.
        let names = ["{ where =", ", where =", "\nwhere =", "facts = [\"where\""];
        names.iter().fold(text, |text, name| text.replace(name, &name.replace("where", "stands")))
    };
    let packs = changed(renamed);
    let other =
        RuleBook::load(&packs).unwrap_or_else(|p| panic!("{}", p.diagnostics().iter().map(|d| format!("{d}\n")).collect::<String>()));
    let fact = other.base.vocabulary.with(FactRole::Where).expect("the role");
    assert_eq!(other.base.vocabulary.get(fact).id, "surface.stands");
    let (before, after) = (combinations(book()), combinations(&other));
    let entries = book().base.vocabulary.iter().filter(|(_, f)| matches!(f.kind, FactKind::Entry(_)) && !f.about.has_happened());
    let by_entries: usize = entries.map(|(_, f)| f.width(&book().base.catalogue)).product();
    assert_eq!(before, 2 * by_entries, "inside and outside are gone through apart");
    assert_eq!(after, before);
}

#[test]
fn a_role_that_nothing_plays_is_refused() {
    let only = |keep: &dyn Fn(&str) -> bool| {
        let role = |line: &str| line.strip_prefix("role ").and_then(|l| Some(l.split('"').nth(1)?.to_owned()));
        refusal(&changed(|text| text.lines().filter(|l| role(l).is_none_or(|r| keep(&r))).flat_map(|l| [l, "\n"]).collect()))
    };
    let missing = |said: &str, role: &str| said.contains(&format!("of the rule book plays the role `{role}`"));
    let said = only(&|role| role != "where");
    assert!(missing(&said, "where") && said.matches("plays the role").count() == 1, "{said}");
    // Whatever it is, it is missed where any other is there.
    let said = only(&|role| role == "where");
    for role in FactRole::ALL.iter().map(|r| r.word()).chain(AttributeRole::ALL.iter().map(|r| r.word())) {
        assert_eq!(missing(&said, role), role != "where", "{role}: {said}");
    }
}

#[test]
fn a_role_is_not_taken_over() {
    let house = |rest: &str| PackFiles {
        folder: "ours".into(),
        files: vec![
            ("pack.toml".into(), "name = \"ours\"\nversion = \"1\"\nowner = \"nobody\"\nhouse = true".into()),
            ("facts.toml".into(), rest.into()),
        ],
    };
    let fact = |role: &str| {
        format!(
            "[[fact]]\nid = \"surface.shelter\"\ntitle = \"shelter\"\nquestion = \"Is it sheltered?\"\nkind = \"choice\"\n\
             eases = \"in\"\nrole = \"{role}\"\nchoices = [\"in\", {{ id = \"out\", role = \"outside\" }}]\n"
        )
    };
    let with = |more: &str| {
        let mut packs = ovolo_rules::standard();
        packs.push(house(more));
        refusal(&packs)
    };
    let said = with(&fact("where"));
    assert!(said.contains("the role `where` is played already, by the fact `surface.where` of pack `core`"), "{said}");
    let said = with(&fact("wher"));
    assert!(said.contains("`wher` is not a role") && said.contains("where"), "{said}");
    let said = with(&fact("area"));
    assert!(said.contains("only a number fact of the surface can play the role `area`"), "{said}");
    let said = with("[[attribute]]\nof = \"method\"\nid = \"stays\"\nkind = \"yes-no\"\nrole = \"keeps\"\n");
    assert!(said.contains("the role `keeps` is played already"), "{said}");
    let said = with("[[attribute]]\nof = \"coat\"\nid = \"stays\"\nkind = \"yes-no\"\nrole = \"keeps\"\n");
    assert!(said.contains("only a yes-no attribute of a method can play the role `keeps`"), "{said}");
}

#[test]
fn a_role_wants_its_choices() {
    let said = refusal(&changed(|text| text.replace("{ id = \"outside\", role = \"outside\", ", "{ id = \"outside\", ")));
    assert!(said.contains("a fact of the role `where` has one choice of the role `outside`"), "{said}");
}

#[test]
fn a_small_book_without_roles_loads_and_its_proof_says_what_it_went_through() {
    let pack = PackFiles {
        folder: "tiny".into(),
        files: vec![
            ("pack.toml".into(), "name = \"tiny\"\nversion = \"1\"\nowner = \"nobody\"".into()),
            (
                "methods.toml".into(),
                "[[fact]]\nid = \"surface.where\"\ntitle = \"where\"\nquestion = \"Where?\"\nkind = \"choice\"\nchoices = [\"here\", \"there\"]\n\
                 [[method]]\nid = \"rubbing\"\ntitle = \"rubbing\"\nsource = \"common practice\"\n"
                    .into(),
            ),
        ],
    };
    let book = RuleBook::load(&[pack]).expect("it loads");
    let report = prove(&book, &book, &Wanted::default());
    assert!(report.remarks.iter().any(|r| r.contains("no fact plays the role `where`")), "{:?}", report.remarks);
}

#[test]
fn figures_limits_and_remarks_keep_their_roles_too() {
    let house = |rest: &str| PackFiles {
        folder: "ours".into(),
        files: vec![
            ("pack.toml".into(), "name = \"ours\"\nversion = \"1\"\nowner = \"nobody\"\nhouse = true".into()),
            ("work.toml".into(), rest.into()),
        ],
    };
    let with = |more: &str| {
        let mut packs = ovolo_rules::standard();
        packs.push(house(more));
        packs
    };
    let figure = |rest: &str| {
        format!("[[figure]]\nid = \"ours\"\ntitle = \"ours\"\nunit = \"m2/h\"\nvalue = \"1 m2/h\"\nsource = \"common practice\"\n{rest}")
    };
    let said = refusal(&with(&figure("role = \"rate\"\nof = \"hot-air\"\n")));
    assert!(said.contains("the role `rate` of `hot-air` is played already, by the figure `rate-hot-air` of pack `reckoning`"), "{said}");
    let said = refusal(&with(&figure("role = \"rate\"\n")));
    assert!(said.contains("the role `rate` wants an `of`"), "{said}");
    let said = refusal(&with(&figure("role = \"rate\"\nof = \"hot-aire\"\n")));
    assert!(said.contains("`hot-aire` is not a method of the catalogue") && said.contains("hot-air"), "{said}");
    let said = refusal(&with(&figure("role = \"warmth\"\nof = \"hot-air\"\n")));
    assert!(said.contains("there is one thing of the role `warmth`"), "{said}");
    // A remark of a finding is the standard packs'; one on an occasion anybody adds, and it is made.
    let remark = |rest: &str| format!("[[remark]]\nid = \"ours\"\nsays = \"Ask Wimbrel first.\"\nsource = \"common practice\"\n{rest}\n");
    let said = refusal(&with(&remark("role = \"lead.below-paint\"")));
    assert!(said.contains("the role `lead.below-paint` is played already"), "{said}");
    let said = refusal(&with(&remark("on = [\"labor\"]")));
    assert!(said.contains("`labor` is no occasion for a remark") && said.contains("labour"), "{said}");
    let book = RuleBook::load(&with(&remark("on = [\"labour\"]"))).expect("it loads");
    let desk = ovolo_engine::reckon::Desk::new(&book, None, "2026-09-01".parse().expect("a date"), ovolo_engine::quantity::System::Metric);
    let mut sheet = desk.sheet("labour", "");
    desk.remark(&mut sheet, ovolo_engine::role::Occasion::Labour);
    let says: Vec<&str> = sheet.cautions.iter().map(|c| c.says.as_str()).collect();
    assert_eq!(says.last(), Some(&"Ask Wimbrel first."), "{says:?}");
    assert!(says.len() > 1, "{says:?}");
    // What a standard figure, limit or sentence was is missed when it is gone.
    let gone = |role: &str| refusal(&changed(|text| text.replace(&format!("= \"{role}\"\n"), "= \"\"\n")));
    for role in ["leached", "bund", "jet.fan", "alkaline-paste"] {
        assert!(gone(role).contains(&format!("of the rule book plays the role `{role}`")), "{role}");
    }
}
