//! A survey is judged only with the book it was made with, and what is not there is refused: no index panics, nothing is misread.

use crate::support::{book, load};
use jiff::civil::date;
use ovolo_engine::approach::{self, Day, Settings};
use ovolo_engine::catalogue::EntryKind;
use ovolo_engine::diagnostic::SourceFile;
use ovolo_engine::explain::{self, Circumstances, Outlook};
use ovolo_engine::judge::Judge;
use ovolo_engine::pack::{PackFiles, RuleBook};
use ovolo_engine::patches;
use ovolo_engine::quantity::System;
use ovolo_engine::reach::Reach;
use ovolo_engine::reckon::Desk;
use ovolo_engine::reckon::units::{Area, Length};
use ovolo_engine::survey::{Facts, Proposal, Stated, Supposition, Survey, parse_text};
use ovolo_engine::vocabulary::{FactKind, Known};
use ovolo_engine::{Error, ErrorKind, second};
use std::sync::{Arc, OnceLock};

/// The standard packs with one more, which sorts before them and so shifts every fact.
fn other() -> &'static RuleBook {
    static BOOK: OnceLock<RuleBook> = OnceLock::new();
    BOOK.get_or_init(|| {
        let fact = |name: &str| {
            format!(
                "[[fact]]\nid = \"coat.{name}\"\ntitle = \"{name}\"\nquestion = \"Is it {name}?\"\nkind = \"yes-no\"\n\
                 even = \"for the test\"\n"
            )
        };
        load(&[PackFiles {
            folder: "aaa".into(),
            files: vec![
                ("pack.toml".into(), "name = \"aaa\"\nversion = \"1\"\nowner = \"nobody\"\nhouse = false\n".into()),
                ("facts.toml".into(), format!("{}{}", fact("chalky_to_touch"), fact("smells_sweet"))),
            ],
        }])
    })
}

const TEXT: &str = "[survey]\ndate = 2026-09-01\n[site]\nbuilt = 1900\n[[surface]]\nname = \"door\"\nsubstrate = \"softwood\"\n\
                    coats = [{ kind = \"oil-paint\", thickness = \"0.5 .. 2 mm\" }]\n\
                    [[surface.patch]]\nmethod = \"solvent-gel\"\nthickness = \"2 mm\"\ndwell = \"1 h\"\nresult = \"part\"\n";

fn survey(book: &RuleBook) -> Survey {
    Survey::read(&SourceFile::new("survey.toml", TEXT), book).unwrap_or_else(|e| panic!("{e}")).0
}

fn when() -> Circumstances {
    Circumstances { place: None, date: date(2026, 9, 1) }
}

fn settings(surface: Option<usize>) -> Settings {
    Settings { surface, way: 0, people: 1.0, day: Day::default(), week: None, starts: None, system: System::Metric }
}

/// Every public function that brings a survey and a book together, on one surface.
fn asked(survey: &Survey, surface: usize, proposal: &Proposal, book: &RuleBook) -> Vec<(&'static str, Result<(), Error>)> {
    let judge = Judge::new(book, None, date(2026, 9, 1));
    let desk = Desk::new(book, None, date(2026, 9, 1), System::Metric);
    let own = Judge::new(self::book(), None, date(2026, 9, 1));
    // Outlooks that were made where they could be.
    let outlook = Outlook::new(&own, &self::survey(self::book()), 0).expect("its own book");
    let outlooks = [Arc::new(Outlook::new(&own, &self::survey(self::book()), 0).expect("its own book"))];
    let lead = book.base.vocabulary.find("coat.lead").expect("a fact");
    let presumed = outlook.presumed().first().expect("a house of 1900 is presumed to hold something");
    let checks = |survey: &Survey, surface: usize, proposal: &Proposal| explain::check(survey, book, &when(), surface, proposal);
    vec![
        ("verdicts", judge.verdicts(survey, surface).map(drop)),
        ("verdict", judge.verdict(survey, surface, proposal).map(drop)),
        ("outlook", Outlook::new(&judge, survey, surface).map(drop)),
        ("questions", explain::questions(&judge, survey, &outlooks, surface).map(drop)),
        ("caution questions", explain::caution_questions(&judge, survey, surface, &outlook).map(drop)),
        ("said", explain::said(&judge, survey, surface, &|_| true).map(drop)),
        ("presumption said", explain::presumption_said(&judge, survey, surface, presumed).map(drop)),
        ("known", explain::known(&judge, survey, surface, lead, 0).map(drop)),
        ("check", explain::check(survey, book, &when(), surface, proposal).map(drop)),
        ("look", explain::look(survey, book, &when(), surface, proposal).map(drop)),
        ("leads", explain::leads(survey, book, &when(), surface).map(drop)),
        ("plan", approach::plan(survey, book, &when(), &settings(Some(surface))).map(drop)),
        ("steps", approach::steps_for(survey, book, &when(), surface, &["solvent-gel"], &settings(None)).map(drop)),
        ("told", patches::told(survey, surface, None, &checks, &desk).map(drop)),
        ("no dwell", patches::no_dwell(survey, surface, &desk).map(drop)),
        ("patches", patches::plan(survey, surface, &checks, &desk).map(drop)),
        ("second judge", second::Interpreted::new(book, &when(), None).run_all(survey, surface).map(drop)),
    ]
}

/// The same, of whole surveys.
fn asked_whole(survey: &Survey, book: &RuleBook) -> Vec<(&'static str, Result<(), Error>)> {
    vec![
        ("advise", explain::advise(survey, book, &when()).map(drop)),
        ("plan", approach::plan(survey, book, &when(), &settings(None)).map(drop)),
        ("second", second::compare(survey, book, &when(), None).map(drop)),
    ]
}

fn bare(of: &RuleBook) -> Proposal {
    Proposal::new(of, "solvent-gel").expect("a method")
}

#[test]
fn a_survey_is_judged_with_its_own_book() {
    let survey = survey(book());
    for (what, came) in asked(&survey, 0, &bare(book()), book()).into_iter().chain(asked_whole(&survey, book())) {
        assert!(came.is_ok(), "{what}: {came:?}");
    }
}

#[test]
fn a_survey_is_refused_by_every_other_book() {
    let survey = survey(book());
    for (what, came) in asked(&survey, 0, &bare(book()), other()).into_iter().chain(asked_whole(&survey, other())) {
        let refused = came.expect_err(what);
        assert_eq!(refused.kind(), ErrorKind::OtherBook, "{what}: {refused}");
        assert!(refused.to_string().contains("made with another rule book"), "{what}: {refused}");
    }
}

/// The other way round as well, and a book that has every fact where it was but a rule less.
#[test]
fn a_book_with_one_rule_changed_is_another_book() {
    let survey = survey(other());
    assert!(explain::advise(&survey, book(), &when()).is_err());
    let mut packs = ovolo_rules::standard();
    let file = packs.iter_mut().flat_map(|p| &mut p.files).find(|(_, t)| t.contains("[[rule]]\n")).expect("rules");
    file.1.push_str("\n# one more line\n");
    let changed = RuleBook::load(&packs).expect("a remark changes nothing");
    assert_eq!(explain::advise(&self::survey(book()), &changed, &when()).expect_err("another book").kind(), ErrorKind::OtherBook);
}

#[test]
fn the_same_packs_loaded_again_are_the_same_book() {
    let mut packs = ovolo_rules::standard();
    packs.reverse();
    let again = RuleBook::load(&packs).expect("they load in any order");
    assert!(explain::advise(&survey(book()), &again, &when()).is_ok());
}

#[test]
fn a_surface_that_is_not_there_is_refused() {
    let survey = survey(book());
    for surface in [1, 7, usize::MAX] {
        for (what, came) in asked(&survey, surface, &bare(book()), book()) {
            assert_eq!(came.expect_err(what).kind(), ErrorKind::NotThere, "{what}");
        }
    }
}

/// A method has no number that could be made up, and one of another book is refused, wherever it stands.
#[test]
fn a_method_that_is_not_there_is_refused() {
    let judge = Judge::new(book(), None, date(2026, 9, 1));
    let survey = survey(book());
    let many = book().base.catalogue.entries(EntryKind::Method).len();
    let desk = Desk::new(book(), None, date(2026, 9, 1), System::Metric);
    let outlook = Outlook::new(&judge, &survey, 0).expect("its own book");
    for method in [many, usize::MAX] {
        assert_eq!(book().base.method_at(method), None);
        assert!(patches::usual(method, &desk).is_none());
        assert!(!patches::method_title(Some(method), &book().base).is_empty());
        assert_eq!(outlook.ruled_out_by(&judge, method), None);
        assert!(ovolo_engine::workshop::rules_for(book(), method).is_empty());
    }
    for (id, strange) in other().base.catalogue.ids(EntryKind::Method).zip((0..).map_while(|m| other().base.method_at(m))) {
        let of_another = Proposal::new(other(), id).expect("a method");
        assert_eq!(of_another.method, strange);
        let mut logged = survey.clone();
        logged.surfaces[0].patches[0].method = Some(strange);
        let mut proposed = survey.clone();
        proposed.surfaces[0].proposals.push(of_another.clone());
        for refused in [
            judge.verdict(&survey, 0, &of_another).map(drop),
            explain::check(&survey, book(), &when(), 0, &of_another).map(drop),
            explain::look(&survey, book(), &when(), 0, &of_another).map(drop),
            of_another.clone().set(book(), "dwell", "1 h").map(drop),
            judge.verdicts(&logged, 0).map(drop),
            explain::advise(&proposed, book(), &when()).map(drop),
        ] {
            assert_eq!(refused.expect_err(id).kind(), ErrorKind::OtherBook);
        }
    }
}

/// What is no measure, no value and no place is refused before anything is made of it.
#[test]
fn what_cannot_be_is_refused() {
    let judge = Judge::new(book(), None, date(2026, 9, 1));
    let put = |id: &str, known: Known| {
        let mut survey = survey(book());
        let fact = book().base.vocabulary.find(id).expect("a fact");
        survey.surfaces[0].facts.insert(fact, Stated { known, written: "made up".to_owned(), by: None, on: None, note: None });
        judge.verdicts(&survey, 0).map(drop)
    };
    let mut thick = survey(book());
    thick.surfaces[0].patches[0].thickness = thick.surfaces[0].patches[0].dwell;
    let mut many = survey(book());
    many.surfaces[0].coats = Some(vec![Facts::new(); 300]);
    let mut lost = survey(book());
    lost.place = Some("Elsewhere".to_owned());
    let nowhere = Circumstances { place: Some("gb-eng".to_owned()), ..when() };
    let with = |change: &dyn Fn(&mut Settings)| {
        let mut settings = settings(None);
        change(&mut settings);
        approach::plan(&survey(book()), book(), &when(), &settings).map(drop)
    };
    let checks = |survey: &Survey, surface: usize, proposal: &Proposal| explain::check(survey, book(), &when(), surface, proposal);
    for (what, refused) in [
        ("nothing is left of a choice", put("surface.substrate", Known::Bits(0))),
        ("nothing is left of a number", put("surface.area", Known::Num(Reach::empty()))),
        ("no number", put("surface.area", Known::Num(Reach::closed(f64::NAN, f64::NAN)))),
        ("a length for an area", ovolo_engine::Survey::new(book(), "").add("s").and_then(|mut s| s.set("area", Length::mm(1.0)).map(drop))),
        ("no measure", ovolo_engine::Survey::new(book(), "").add("s").and_then(|mut s| s.set("area", Area::m2(f64::NAN)).map(drop))),
        (
            "a dwell for a thickness",
            patches::told(&thick, 0, None, &checks, &Desk::new(book(), None, date(2026, 9, 1), System::Metric)).map(drop),
        ),
        ("more coats than can be told apart", judge.verdicts(&many, 0).map(drop)),
        ("a survey in no place", explain::advise(&lost, book(), &when()).map(drop)),
        ("advice for no place", explain::advise(&survey(book()), book(), &nowhere).map(drop)),
        ("a judge of no place", Judge::new(book(), Some("gb"), date(2026, 9, 1)).verdicts(&survey(book()), 0).map(drop)),
        ("nobody at work", with(&|s| s.people = 0.0)),
        ("no number of people", with(&|s| s.people = f64::NAN)),
        ("no day of the week", with(&|s| s.week = Some(0))),
        ("eight days of the week", with(&|s| s.week = Some(8))),
        ("no hour of the day", with(&|s| s.day.ends = s.day.starts)),
    ] {
        assert_eq!(refused.expect_err(what).kind(), ErrorKind::Unfit, "{what}");
    }
}

/// Put by hand where it does not belong, or from another book, a fact is refused and not passed over.
#[test]
fn a_fact_in_the_wrong_place_is_refused() {
    let judge = Judge::new(book(), None, date(2026, 9, 1));
    let stated = |id: &str, text: &str, of: &RuleBook| {
        let fact = of.base.vocabulary.find(id).expect("a fact");
        let known = parse_text(text, fact, &of.base).expect("a value");
        (fact, Stated { known, written: text.to_owned(), by: None, on: None, note: None })
    };
    let mut strayed = survey(book());
    let (consent, yes) = stated("site.consent", "yes", book());
    strayed.surfaces[0].facts.insert(consent, yes);
    let refused = judge.verdicts(&strayed, 0).expect_err("a fact about the site");
    assert_eq!(refused.kind(), ErrorKind::Unfit);
    assert!(refused.to_string().contains("`site.consent` is a fact about the site"), "{refused}");

    let mut foreign = survey(book());
    let (lead, absent) = stated("coat.lead", "absent", other());
    foreign.surfaces[0].coats.as_mut().expect("coats")[0].insert(lead, absent);
    assert_eq!(judge.verdicts(&foreign, 0).expect_err("a fact of another book").kind(), ErrorKind::OtherBook);
    assert_eq!(explain::known(&judge, &survey(book()), 0, lead, 0).expect_err("a fact of another book").kind(), ErrorKind::OtherBook);
    assert_eq!(parse_text("absent", lead, &book().base).expect_err("a fact of another book").kind(), ErrorKind::OtherBook);

    let mut torn = survey(book());
    let (lead, mut absent) = stated("coat.lead", "absent", book());
    for known in [Known::Bits(1 << 100), Known::Several { yes: 1, no: 0 }] {
        absent.known = known;
        torn.surfaces[0].coats.as_mut().expect("coats")[0].insert(lead, absent.clone());
        assert_eq!(judge.verdicts(&torn, 0).expect_err("no value of lead").kind(), ErrorKind::Unfit);
    }
}

/// A surface of a survey made with another book does not become one of this book by being carried over.
#[test]
fn surfaces_do_not_change_books() {
    let mut survey = survey(book());
    survey.surfaces.extend(self::survey(other()).surfaces);
    assert_eq!(explain::advise(&survey, book(), &when()).expect_err("a surface of another book").kind(), ErrorKind::OtherBook);
}

/// Ids and positions of another book are told to be such, or give nothing; they never panic.
#[test]
fn ids_of_another_book_name_nothing() {
    for (id, fact) in other().base.vocabulary.iter() {
        assert!(!book().base.vocabulary.has(id));
        let found = book().base.vocabulary.get(id);
        assert_eq!((found.id.as_str(), found.width(&book().base.catalogue)), ("", 0), "{}", fact.id);
        for index in [0, 500, usize::MAX] {
            assert_eq!(found.choice_id(index, &book().base.catalogue), "");
            if index > 400 && !matches!(fact.kind, FactKind::Number { .. } | FactKind::Year { .. }) {
                assert_eq!(fact.choice_title(index, &other().base.catalogue), "");
            }
        }
    }
    let mut survey = survey(book());
    let lead = book().base.vocabulary.find("coat.lead").expect("a fact");
    let supposed = Supposition { fact: lead, coat: None, known: Known::Bits(1) };
    survey.take_as_found(9, &[supposed], &mut Facts::new(), &book().base);
    assert_eq!(format!("{survey:?}"), format!("{:?}", self::survey(book())));
}
