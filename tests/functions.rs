//! Rules that call calculators: `tests/functions` holds one for each, with worked cases; both judges run them here.

use crate::support::{load, pack_in, root};
use jiff::civil::date;
use ovolo_engine::cases::try_case;
use ovolo_engine::catalogue::EntryKind;
use ovolo_engine::diagnostic::SourceFile;
use ovolo_engine::explain::{Circumstances, check};
use ovolo_engine::finding::Status;
use ovolo_engine::pack::RuleBook;
use ovolo_engine::reckon::functions::FUNCTIONS;
use ovolo_engine::second;
use ovolo_engine::survey::{Proposal, Survey};
use ovolo_engine::tree::{Expr, Test};
use std::collections::BTreeSet;
use std::sync::OnceLock;

fn book() -> &'static RuleBook {
    static BOOK: OnceLock<RuleBook> = OnceLock::new();
    BOOK.get_or_init(|| load(&[pack_in(&root().join("tests/functions"))]))
}

fn when() -> Circumstances {
    Circumstances { date: date(2026, 9, 1), place: None }
}

fn survey(text: &str) -> Survey {
    Survey::read(&SourceFile::new("survey.toml", text), book()).unwrap_or_else(|p| panic!("{text}: {p:?}")).0
}

fn called(expr: &Expr, found: &mut BTreeSet<&'static str>) {
    match expr {
        Expr::Call(_, a, b) => {
            called(a, found);
            called(b, found);
        }
        Expr::Reckon(function, given) => {
            found.insert(function.name);
            given.iter().for_each(|e| called(e, found));
        }
        _ => {}
    }
}

/// The pack calls every function there is, and its cases, each beside a published or worked-out value, come out.
#[test]
fn every_function_has_a_rule_and_its_cases_come_out() {
    let mut found = BTreeSet::new();
    let mut tried = 0;
    for rule in book().rules.iter().filter(|r| r.pack == "reckoned-rules") {
        for test in rule.tree.tests() {
            if let Test::Compare(a, _, b) = test {
                called(a, &mut found);
                called(b, &mut found);
            }
        }
        let cases: Vec<_> = book().cases.iter().filter(|c| c.pack == "reckoned-rules" && c.about.contains(&rule.id)).collect();
        assert!(cases.iter().any(|c| !c.says.is_empty()) && cases.iter().any(|c| !c.silent.is_empty()), "{}", rule.id);
        for case in cases {
            let outcome = try_case(case, book());
            assert!(outcome.wrong.is_empty(), "{}: {:?}", case.title, outcome.wrong);
            tried += 1;
        }
    }
    assert_eq!(found, FUNCTIONS.iter().map(|f| f.name).collect(), "called by some rule, and known");
    assert!(tried >= 2 * FUNCTIONS.len(), "{tried}");
}

/// Walking the tree and running the script agree over a grid of weather, walls and coats.
#[test]
fn the_two_judges_agree_about_what_is_reckoned() {
    let method = book().base.catalogue.find(EntryKind::Method, "high-pressure-water").expect("a method");
    let (mut compared, mut spoke) = (0, 0);
    for air in [-12, 0, 7, 18, 33] {
        for humidity in [0, 35, 62, 88, 100] {
            for wall in [-8, 3, 15, 22] {
                for (thickness, content, loading, pressure) in
                    [("0.08 mm", "0.4 %", "0.6 mg/cm2", 60), ("1.2 mm", "0.6 %", "2 mg/cm2", 200)]
                {
                    let text = format!(
                        "[site]\nair_temperature = \"{air} C\"\nhumidity = \"{humidity} %\"\n[[surface]]\nname = \"wall\"\n\
                         surface_temperature = \"{wall} C\"\nmoisture = \"14 %\"\nnozzle_distance = \"{} mm\"\n\
                         coats = [{{ kind = \"oil-paint\", thickness = \"{thickness}\", lead_content = \"{content}\", lead_loading = \"{loading}\" }}]\n\
                         [[surface.proposal]]\nmethod = \"high-pressure-water\"\nwater_pressure = \"{pressure} bar\"\n",
                        280 + wall * 2
                    );
                    let survey = survey(&text);
                    let found = second::compare(&survey, book(), &when(), Some(method)).expect("its own book");
                    assert!(found.differences.is_empty(), "{text}: {:#?}", found.differences);
                    compared += found.compared;
                    spoke += usize::from(air == 33 && humidity == 100);
                }
            }
        }
    }
    assert!(compared > 200 * FUNCTIONS.len() && spoke > 0, "{compared}");
}

fn proposal(survey: &Survey) -> &Proposal {
    &survey.surfaces[0].proposals[0]
}

/// A rule-out that reckons with a setting turns into a condition: 38 N at 15 L/min is 152 m/s, that is 115.52 bar.
#[test]
fn a_reckoned_rule_out_becomes_a_condition() {
    let survey = survey(
        "[site]\nheritage = \"none\"\nlowest_forecast = \"8 C\"\nbats_signs = false\n[[surface]]\nname = \"wall\"\nelement = \"wall\"\n\
         where = \"outside\"\ncondition = \"sound\"\nsubstrate = \"hard-brick\"\ncoats = [\"masonry-paint\"]\n[[surface.proposal]]\nmethod = \"high-pressure-water\"\n",
    );
    let advice = check(&survey, book(), &when(), 0, proposal(&survey)).expect("its own book");
    let conditions = &advice.surfaces[0].proposals[0].conditions;
    let pressure = conditions.iter().find(|c| c.fact == "method.water_pressure").expect("a condition");
    assert!(pressure.because.contains(&"jet-too-hard".to_owned()), "{pressure:?}");
    assert!(pressure.says.contains("110 bar"), "{pressure:?}");
    let flips = &advice.surfaces[0].proposals[0].flips;
    let higher = flips.iter().flatten().find(|f| f.fact == "method.water_pressure").expect("a flip");
    assert!(higher.to.contains("120 bar"), "the nearest figure that changes the verdict: {higher:?}");
}

/// A reading that is open is told with the very figure at which the rule turns: at 20 °C a wall of 17.4 °C bears 70.08 %.
#[test]
fn an_open_figure_is_cut_where_the_rule_turns() {
    let at = |humidity: &str| {
        let survey = survey(&format!(
            "[site]\nair_temperature = \"20 C\"\nhumidity = \"{humidity}\"\n[[surface]]\nname = \"wall\"\nsubstrate = \"steel\"\n\
             surface_temperature = \"17.4 C\"\n[[surface.proposal]]\nmethod = \"hand-scraping\"\n"
        ));
        let advice = check(&survey, book(), &when(), 0, proposal(&survey)).expect("its own book");
        advice.surfaces[0].notices.iter().find(|n| n.rule == "dew-near").map(|n| n.status)
    };
    assert_eq!(at("69 .. 70 %"), None);
    assert_eq!(at("70.2 .. 72 %"), Some(Status::Applies));
    assert_eq!(at("69 .. 71 %"), Some(Status::Open));
}
