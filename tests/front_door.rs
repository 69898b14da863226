//! A survey made in code: facts by name, each with its kind and unit checked, and what is no fact refused with the nearest that is.

use crate::support::book;
use jiff::civil::date;
use ovolo_engine::diagnostic::SourceFile;
use ovolo_engine::reckon::units::{Area, Length};
use ovolo_engine::reckon::{Span, units::Time};
use ovolo_engine::survey::Survey as Read;
use ovolo_engine::{Circumstances, Error, ErrorKind, Proposal, Settings, Survey, Value};

fn when() -> Circumstances {
    Circumstances::on(date(2026, 9, 1))
}

/// What is set in code is what the same survey says in a file, down to its digest.
#[test]
fn code_and_file_state_the_same() {
    let text = "[survey]\ntitle = \"yard\"\nplace = \"GB-ENG\"\ndate = 2026-09-01\n\
                [site]\nbuilt = \"1880/1890\"\noccupied = true\nheritage = { one-of = [\"none\", \"old-unlisted\"] }\n\
                [[surface]]\nname = \"gate\"\nsubstrate = \"softwood\"\narea = \"3 m2\"\nnear = [\"drain\", \"pond\"]\n\
                coats = [{ kind = \"oil-paint\", lead = { value = \"present\", by = \"laboratory\" }, thickness = \"0.5 .. 2 mm\" }]\n\
                [[surface.proposal]]\nmethod = \"hot-air\"\ntool_temperature = \"450 C\"\n";
    let (read, _) = Read::read(&SourceFile::new("yard.toml", text), book()).unwrap_or_else(|e| panic!("{e}"));
    let made = || -> Result<Survey, Error> {
        let mut survey = Survey::new(book(), "yard").at("GB-ENG")?.on(date(2026, 9, 1));
        survey.set("built", "1880/1890")?.set("occupied", true)?.set("heritage", Value::one_of(["none", "old-unlisted"]))?;
        let mut gate = survey.add("gate")?;
        gate.set("substrate", "softwood")?.set("area", "3 m2")?.set("near", "drain, pond")?;
        gate.coat("oil-paint")?.set("lead", Value::from("present").by("laboratory"))?.set("thickness", "0.5 .. 2 mm")?;
        gate.propose("hot-air")?.set("tool_temperature", "450 C")?;
        Ok(survey)
    };
    let made = made().unwrap_or_else(|e| panic!("{e}"));
    let known = |s: &Survey| {
        let facts = |f: &ovolo_engine::survey::Facts| f.iter().map(|(id, s)| (*id, s.known.clone(), s.by.clone())).collect::<Vec<_>>();
        let surface = &s.surfaces[0];
        let coats: Vec<_> = surface.coats.iter().flatten().map(facts).collect();
        (facts(&s.site), facts(&surface.facts), coats, facts(&surface.proposals[0].settings))
    };
    assert_eq!(known(&made), known(&read));
    let (one, two) = (book().verdicts(&made, "gate", &when()), book().verdicts(&read, "gate", &when()));
    assert_eq!(one.expect("verdicts"), two.expect("verdicts"));
}

/// Measures are checked by their dimension, numbers by whether the fact has a unit.
#[test]
fn values_carry_their_kind() {
    let mut survey = Survey::new(book(), "yard");
    survey.set("built", 1895).expect("a year");
    let mut gate = survey.add("gate").expect("a surface");
    gate.set("area", Area::m2(3.0)).expect("an area");
    gate.coat("oil-paint").expect("a coat").set("thickness", Span::between(Length::mm(0.5), Length::mm(2.0))).expect("a length");
    gate.coat_at(1).expect("the coat").set("layers", 3).expect("a plain number");
    for (refused, says) in [
        (gate.set("area", Length::mm(2.0)).map(drop), "is a length where an area is wanted"),
        (gate.set("area", Time::hours(2.0)).map(drop), "is a time where an area is wanted"),
        (gate.set("area", 3.0).map(drop), "without a unit"),
        (gate.set("area", true).map(drop), "is true or false where an area is wanted"),
        (gate.set("area", "3 mm").map(drop), "is a length where an area is wanted"),
        (gate.set("substrate", 3).map(drop), "is a number where a word is wanted"),
        (gate.set("substrate", "sofwood").map(drop), "did you mean `softwood`?"),
        (gate.set("coat.thickness", Area::m2(1.0)).map(drop), "is an area where a length is wanted"),
        (gate.set("coat.layers", Length::mm(1.0)).map(drop), "is a length where a number is wanted"),
        (gate.set("coat.layers", 2.5).map(drop), "a whole number is wanted"),
        (survey.set("built", 95).map(drop), "is not a year"),
        (survey.set("occupied", "perhaps").map(drop), "yes or no is wanted"),
        (survey.set("occupied", Value::one_of(Vec::<&str>::new())).map(drop), "is one of nothing"),
    ] {
        let refused = refused.expect_err(says);
        assert_eq!(refused.kind(), ErrorKind::Unfit, "{refused}");
        assert!(refused.to_string().contains(says), "{says}: {refused}");
    }
}

/// A name that is no fact of the thing is refused; nothing is taken without a word.
#[test]
fn names_are_facts_of_the_thing() {
    let mut survey = Survey::new(book(), "yard");
    survey.add("gate").expect("a surface");
    let mut gate = survey.surface("gate").expect("the surface");
    for (refused, says) in [
        (gate.set("site.consent", true).map(drop), "`consent` is a fact about the site"),
        (gate.set("consent", true).map(drop), "`consent` is a fact about the site"),
        (gate.set("substrat", "softwood").map(drop), "did you mean `substrate`?"),
        (gate.set("surface.substrat", "softwood").map(drop), "did you mean `substrate`?"),
        (gate.set("coat.led", "present").map(drop), "did you mean `lead`?"),
        (gate.set("coat.lead", "present").map(drop), "none is listed"),
        (gate.coat("oil-pant").map(drop), "did you mean `oil-paint`?"),
        (gate.coat_at(0).map(drop), "there is no coat 0"),
        (gate.coat_at(1).map(drop), "there is no coat 1"),
        (gate.propose("hot-ear").map(drop), "did you mean `hot-air`?"),
        (gate.propose("hot-air").and_then(|mut p| p.set("tool_temperatur", "450 C").map(drop)), "did you mean `tool_temperature`?"),
        (gate.propose("hot-air").and_then(|mut p| p.set("substrate", "oak").map(drop)), "is not something that is chosen"),
        (survey.set("coat.lead", "present").map(drop), "`lead` is a fact about the coat"),
        (survey.set("substrate", "softwood").map(drop), "`substrate` is a fact about the surface"),
        (survey.surface("gat").map(drop), "did you mean `gate`?"),
        (survey.add("gate").map(drop), "two surfaces are named `gate`"),
        (survey.add(" ").map(drop), "a surface has a name"),
        (Survey::new(book(), "yard").at("England").map(drop), "is not an ISO 3166 code"),
        (book().verdicts(&survey, "door", &when()).map(drop), "no surface `door`"),
        (book().reckon("dew_pint", &[]).map(drop), "did you mean `dew_point`?"),
        (book().reckon("dew_point", &["20 C"]).map(drop), "takes 2 figures"),
        (book().reckon("dew_point", &["20 C", "20 C"]).map(drop), "humidity"),
    ] {
        let refused = refused.expect_err(says);
        assert!(refused.to_string().contains(says), "{says}: {refused}");
    }
    let gate = &survey.surfaces[0];
    assert!(survey.site.is_empty() && gate.facts.is_empty() && gate.coats.is_none(), "what was refused is not stated: {survey:?}");
}

/// What is only thought settles nothing: the verdicts are those of a survey that does not say it.
#[test]
fn what_is_not_sure_stays_open() {
    let verdicts = |substrate: Option<Value>| {
        let mut survey = Survey::new(book(), "yard");
        let mut gate = survey.add("gate").expect("a surface");
        if let Some(substrate) = substrate {
            gate.set("substrate", substrate).expect("a fact");
        }
        gate.coat("oil-paint").expect("a coat");
        book().verdicts(&survey, "gate", &when()).expect("verdicts")
    };
    assert_ne!(verdicts(Some("softwood".into())), verdicts(None), "a fact that matters");
    assert_eq!(verdicts(Some(Value::from("softwood").not_sure())), verdicts(None));
}

/// One door for everything: advice, checks, leads, plans, patches, reckoning.
#[test]
fn everything_is_asked_of_the_book() {
    let mut survey = Survey::new(book(), "yard").at("GB-ENG").expect("a place");
    let mut gate = survey.add("gate").expect("a surface");
    gate.set("substrate", "softwood").expect("a fact").set("area", "3 m2").expect("a fact");
    gate.coat("oil-paint").expect("a coat").set("lead", "absent").expect("a fact");
    let advice = book().advise(&survey, &when()).expect("advice");
    assert_eq!(advice.survey.place.as_deref(), Some("GB-ENG"));
    let verdicts = book().verdicts(&survey, "gate", &when()).expect("verdicts");
    let told = |id: &str| advice.surfaces[0].methods.iter().find(|m| m.method == id).map(|m| m.verdict);
    assert!(!verdicts.is_empty() && verdicts.iter().all(|m| told(&m.method) == Some(m.verdict)), "the place of the survey counts");
    let gel = Proposal::new(book(), "solvent-gel").expect("a method");
    assert_eq!(book().check(&survey, "gate", &gel, &when()).expect("a check").surfaces[0].proposals.len(), 1);
    let (ways, _) = book().leads(&survey, "gate", &when()).expect("leads");
    let plan = book().approach(&survey, &when(), &Settings::of(&survey)).expect("a plan");
    assert_eq!(plan.surfaces[0].approaches.len(), ways.len());
    assert_eq!(book().patches(&survey, "gate", &when()).expect("patches").len(), 1);
    let dew = book().reckon("dew_point", &["20 C", "60 %"]).expect("reckoned");
    assert!(dew.to_string().contains("12 °C"), "{dew}");
}
