//! What must hold of any line, whatever is typed: no panic, places within the line, readings a survey accepts, bounded work.

use crate::properties::config;
use crate::support::book;
use engine::answer::{Context, Heard, LONGEST_LINE, Listener, Reading, Said, Statement};
use engine::quantity::System;
use engine::survey::{parse_text, read_value};
use engine::toml_read::{Keys, Problems, parse};
use engine::vocabulary::{FactId, Known};
use proptest::prelude::*;
use std::sync::OnceLock;

fn listener() -> &'static Listener<'static> {
    static LISTENER: OnceLock<Listener<'static>> = OnceLock::new();
    LISTENER.get_or_init(|| Listener::new(book()))
}

/// Every word that means something, and what stands between words.
fn words() -> &'static [String] {
    static WORDS: OnceLock<Vec<String>> = OnceLock::new();
    WORDS.get_or_init(|| {
        let base = &book().base;
        let mut words: Vec<String> = Vec::new();
        for (_, fact) in base.vocabulary.iter() {
            words.extend(fact.says.iter().cloned());
            words.extend((0..fact.width(&base.catalogue)).map(|i| fact.choice_id(i, &base.catalogue).replace('-', " ")));
        }
        words.extend(book().phrases.iter().flat_map(|p| p.says.iter().cloned()));
        let between = "no not or and but over under on near with is it's I think maybe about at least up to between from to by of a the half dozen couple twelve 6 3.5 \
                       1890 1890s ' \" mm ft m2 % C years old ago coats layers top bottom all first , ; . : ? - / yes probably dunno nothing just then";
        for word in between.split_whitespace() {
            words.extend(std::iter::repeat_n(word.to_owned(), 40));
        }
        words
    })
}

/// What a survey makes of a TOML value for a fact.
fn from_toml(fact: FactId, toml: &str) -> Option<Known> {
    let file = engine::diagnostic::SourceFile::new("answer.toml", format!("x = {toml}"));
    let problems = Problems::default();
    let table = parse(&file, &problems)?;
    let keys = Keys::new(&file, table.get_ref(), 0..0, "an answer");
    let stated = read_value(keys.get("x")?, fact, &book().base, &problems);
    if problems.borrow().is_empty() { stated.map(|s| s.known) } else { None }
}

fn sound(heard: &Heard, line: &str) -> Result<(), TestCaseError> {
    let within = |at: &std::ops::Range<usize>| line.get(at.clone()).is_some_and(|t| !t.is_empty());
    let statement = |s: &Statement| -> Result<(), TestCaseError> {
        prop_assert!(within(&s.at), "{line:?}: {:?}", s.at);
        prop_assert!(!s.readings.is_empty(), "{line:?}");
        for Reading { known, toml, echo, .. } in &s.readings {
            let read = from_toml(s.fact, toml);
            prop_assert!(read.as_ref() == Some(known), "{line:?}: {toml} is read as {read:?}");
            prop_assert!(!echo.is_empty(), "{line:?}");
        }
        Ok(())
    };
    for said in &heard.said {
        match said {
            Said::Fact(s) => statement(s)?,
            Said::Coats(coats) => {
                for (i, coat) in coats.iter().enumerate() {
                    for s in coat {
                        prop_assert_eq!(s.coat, Some(i));
                        statement(s)?;
                    }
                }
            }
            Said::NotKnown { at, .. } | Said::Remark { at, .. } => prop_assert!(within(at), "{line:?}: {at:?}"),
        }
    }
    let mut last = 0;
    for at in &heard.unheard {
        prop_assert!(within(at) && at.start >= last, "{line:?}: {at:?}");
        last = at.end;
    }
    Ok(())
}

fn contexts() -> impl Strategy<Value = Context> {
    let facts = book().base.vocabulary.iter().count();
    let place = proptest::option::of(proptest::sample::select(vec!["GB", "US-MA", "DE", "AU"]));
    let system = proptest::option::of(proptest::sample::select(vec![System::Metric, System::Us]));
    let asked = proptest::option::of(0..facts);
    (place, system, asked, proptest::option::of(0..5_usize)).prop_map(|(place, system, asked, coats)| Context {
        place: place.map(str::to_owned),
        system,
        asked: asked.map(|f| FactId(u16::try_from(f).expect("few facts"))),
        coats,
        year: Some(2026),
    })
}

proptest! {
    // Lines are quick to read: ten for each survey of the other properties.
    #![proptest_config(ProptestConfig { cases: config().cases * 10, ..config() })]

    #[test]
    fn any_text_is_taken(line in "\\PC{0,80}", context in contexts()) {
        sound(&listener().hear(&line, &context), &line)?;
    }

    #[test]
    fn any_bytes_of_text_are_taken(line in any::<String>(), context in contexts()) {
        sound(&listener().hear(&line, &context), &line)?;
    }

    #[test]
    fn words_in_any_order_make_sound_statements(picks in proptest::collection::vec(any::<proptest::sample::Index>(), 1..14), context in contexts()) {
        let line: Vec<&str> = picks.iter().map(|i| i.get(words()).as_str()).collect();
        let line = line.join(" ");
        sound(&listener().hear(&line, &context), &line)?;
    }

    /// What was said of lead after a shop's swab never comes out as "no lead".
    #[test]
    fn a_swab_never_clears_lead(picks in proptest::collection::vec(any::<proptest::sample::Index>(), 0..6), asked: bool) {
        let lead = book().base.vocabulary.find("coat.lead").expect("a fact");
        let absent = parse_text("absent", lead, &book().base).expect("a choice");
        let more: Vec<&str> = picks.iter().map(|i| i.get(words()).as_str()).collect();
        let line = format!("{} the swab said no, no lead", more.join(" "));
        let context = Context { asked: asked.then_some(lead), year: Some(2026), ..Context::default() };
        for said in &listener().hear(&line, &context).said {
            let statements: Vec<&Statement> = match said {
                Said::Fact(s) => vec![s],
                Said::Coats(c) => c.iter().flatten().collect(),
                _ => Vec::new(),
            };
            for s in statements {
                prop_assert!(s.fact != lead || s.readings.iter().all(|r| r.known != absent), "{line}");
            }
        }
    }
}

#[test]
fn a_long_line_is_read_only_so_far() {
    let line = "oak ".repeat(100_000);
    let heard = listener().hear(&line, &Context::default());
    assert_eq!(heard.said.len(), 1);
    assert_eq!(heard.unheard.len(), 1);
    assert_eq!(heard.unheard[0], LONGEST_LINE..line.len());
}

#[test]
fn what_a_bare_answer_says_of_every_choice() {
    // Every id, title and word of every choice answers its own question.
    let (base, mut wrong) = (&book().base, Vec::new());
    for (id, fact) in base.vocabulary.iter() {
        use engine::vocabulary::FactKind;
        let says: Vec<(usize, Vec<String>)> = match &fact.kind {
            FactKind::Choice(c) | FactKind::Several(c) => {
                c.iter().enumerate().map(|(i, c)| (i, vec![c.id.clone(), c.title.clone()])).collect()
            }
            FactKind::Entry(kind) => {
                base.catalogue.entries(*kind).values().enumerate().map(|(i, e)| (i, vec![e.id.clone(), e.title.clone()])).collect()
            }
            _ => continue,
        };
        let context = Context { asked: Some(id), year: Some(2026), ..Context::default() };
        for (i, texts) in says {
            for text in texts {
                let heard = listener().hear(&text, &context);
                let right = heard.said.iter().any(|s| match s {
                    Said::Fact(s) if s.fact == id => match &s.readings[0].known {
                        Known::Bits(bits) => s.readings.len() == 1 && *bits == 1 << i,
                        Known::Several { yes, .. } => *yes == 1 << i,
                        Known::Num(_) => false,
                    },
                    // Not known is a choice of some questions, and an answer to all.
                    Said::NotKnown { fact: Some(f), .. } => *f == id && text.contains("known"),
                    _ => false,
                });
                if !right {
                    wrong.push(format!("{}: {text}: {:?}", fact.id, heard.said));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
