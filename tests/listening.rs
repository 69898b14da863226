//! What must hold of any line, whatever is typed: no panic, places within the line, readings a survey accepts, bounded work.

use crate::properties::config;
use crate::support::book;
use ovolo_engine::answer::{Context, Heard, LONGEST_LINE, Listener, Reading, Said, Statement};
use ovolo_engine::quantity::System;
use ovolo_engine::survey::{parse_text, read_value};
use ovolo_engine::toml_read::{Keys, Problems, parse};
use ovolo_engine::vocabulary::{FactId, Known};
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
    let file = ovolo_engine::diagnostic::SourceFile::new("answer.toml", format!("x = {toml}"));
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
        asked: asked.and_then(|f| book().base.vocabulary.iter().nth(f)).map(|(id, _)| id),
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

/// A dice that falls the same way every time.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 >> 33).expect("small") % n
    }
}

/// Words that say something and that nothing is made of, with some that were never heard.
const STRANGE: &[&str] = &[
    "verbally",
    "letter",
    "wobbly",
    "subject to",
    "councillor",
    "nod",
    "somewhere",
    "front only",
    "only the back",
    "till Friday",
    "mostly",
    "weekends",
    "zorble",
    "the lodge",
    "his brother",
    "unless",
    "if asked",
    "in principle",
    "phone",
    "rumour",
    "pending",
    "partly",
    "the annexe",
    "wibble",
    "last year",
    "next door",
    "except the attic",
    "so far",
    "hopefully",
    "depending",
    "reckons",
    "swears",
    "told me",
    "supposedly",
    "as far as I know",
    "should be",
    "the west wing",
    "some of it",
    "for now",
    "once signed",
    "in draft",
    "agreed on site",
    "unsigned",
    "provisional",
    "bar one",
    "apart from two",
    "sometimes",
    "in theory",
];

/// Every way to say something that asks for less care, with the question it answers.
fn easing() -> &'static [(String, Option<FactId>)] {
    static WAYS: OnceLock<Vec<(String, Option<FactId>)>> = OnceLock::new();
    WAYS.get_or_init(|| {
        let base = &book().base;
        let mut ways: Vec<(String, Option<FactId>)> = Vec::new();
        for (id, fact) in base.vocabulary.iter() {
            for answer in ["yes", "no", "none", "nothing", "yes it is", "no it isn't", "nope", "yeah", "not at all", "nothing else"] {
                ways.push((answer.to_owned(), Some(id)));
            }
            if let ovolo_engine::vocabulary::FactKind::Choice(choices) | ovolo_engine::vocabulary::FactKind::Several(choices) = &fact.kind {
                for choice in choices {
                    for says in [&choice.id.replace('-', " "), &choice.title].into_iter().chain(&choice.says) {
                        ways.push((says.clone(), Some(id)));
                        ways.push((says.clone(), None));
                        ways.push((format!("no {says}"), Some(id)));
                    }
                }
            }
            for name in [&fact.title].into_iter().chain(&fact.says) {
                ways.push((format!("no {name}"), None));
                ways.push((format!("there is no {name}"), Some(id)));
            }
        }
        for phrase in &book().phrases {
            let eases = phrase.means.iter().any(|(f, m)| match m {
                ovolo_engine::pack::Meant::Value { known, .. } => base.vocabulary.get(*f).eased_by(known),
                ovolo_engine::pack::Meant::Slot => false,
            });
            if eases {
                ways.extend(phrase.says.iter().map(|s| (s.clone(), phrase.asked.first().copied())));
            }
        }
        ways.push(("the xrf gave 0.2".to_owned(), None));
        ways.push(("lab came back 0.01 % by weight".to_owned(), None));
        ways.push(("built in 1995".to_owned(), None));
        // Only those that do ease when they are said alone.
        ways.retain(|(line, asked)| {
            let context = Context { asked: *asked, place: Some("GB-ENG".to_owned()), year: Some(2026), ..Context::default() };
            !certain_ease(&listener().hear(line, &context)).is_empty()
        });
        ways
    })
}

/// The facts that a line would write for certain, on the side that asks for less care.
fn certain_ease(heard: &Heard) -> Vec<(FactId, String)> {
    let mut out = Vec::new();
    let mut look = |s: &Statement| {
        let fact = book().base.vocabulary.get(s.fact);
        // Several readings are asked back about.
        for r in s.readings.iter().filter(|r| s.readings.len() == 1 && r.sure && s.unread.is_empty() && fact.eased_by(&r.known)) {
            out.push((s.fact, r.toml.clone()));
        }
    };
    for said in &heard.said {
        match said {
            Said::Fact(s) => look(s),
            Said::Coats(c) => c.iter().flatten().for_each(&mut look),
            _ => {}
        }
    }
    if heard.said.iter().any(|s| matches!(s, Said::Coats(c) if c.is_empty())) {
        out.push((book().base.vocabulary.find("coat.kind").expect("a fact"), "no coats".to_owned()));
    }
    out
}

/// Words that were not understood, put anywhere into an answer that releases, clears or narrows, leave nothing of it for certain
/// that the words alone would not have said.
#[test]
fn strange_words_in_an_answer_never_ease() {
    let rounds = std::env::var("FRESH").ok().and_then(|n| n.parse().ok()).unwrap_or(20_000);
    let ways = easing();
    assert!(ways.len() > 300, "only {} ways to say something easy", ways.len());
    let mut dice = Dice(0x0a11_c1ea_4e55_0001);
    let mut wrong: Vec<String> = Vec::new();
    for _ in 0..rounds {
        let (answer, asked) = &ways[dice.below(ways.len())];
        let strange = STRANGE[dice.below(STRANGE.len())];
        // What a laboratory told is told by one that knows.
        if ["lab", "xrf"].iter().any(|w| answer.to_lowercase().contains(w)) && ["reckons", "swears", "told me"].contains(&strange) {
            continue;
        }
        // A consent letter in writing is that.
        if strange == "letter" && answer.contains("consent in writing") {
            continue;
        }
        // Which front it is answers what the surface is; the rest of the line is then said of that.
        if strange == "front only" && *asked == book().base.vocabulary.find("surface.element") {
            continue;
        }
        let words: Vec<&str> = answer.split(' ').collect();
        let at = dice.below(words.len() + 1);
        let (before, after) = (words[..at].join(" "), words[at..].join(" "));
        let comma = |yes: bool| if yes { ", " } else { " " };
        let (left, right) = (comma(dice.below(3) == 0), comma(dice.below(3) == 0));
        let line = match (before.is_empty(), after.is_empty()) {
            (true, _) => format!("{strange}{right}{after}"),
            (_, true) => format!("{before}{left}{strange}"),
            _ => format!("{before} {strange} {after}"),
        };
        let context = Context { asked: *asked, place: Some("GB-ENG".to_owned()), year: Some(2026), ..Context::default() };
        let alone = certain_ease(&listener().hear(strange, &context));
        for eased in certain_ease(&listener().hear(&line, &context)) {
            if !alone.contains(&eased) {
                wrong.push(format!(
                    "{line:?} (asked {:?}): {} = {}",
                    asked.map(|f| book().base.vocabulary.get(f).id.clone()),
                    book().base.vocabulary.get(eased.0).id,
                    eased.1
                ));
            }
        }
    }
    wrong.sort();
    wrong.dedup();
    assert!(
        wrong.is_empty(),
        "{} lines in {rounds} say too much:\n{}",
        wrong.len(),
        wrong.iter().take(60).cloned().collect::<Vec<_>>().join("\n")
    );
}

/// What may stand around an answer and takes it out of the here and now, as shapes with the answer at `{}`: questions, wishes, conditions,
/// what was or will be, the other one, some of it, other people's words, changes of mind.
const FRAMES: &[&str] = &[
    "{} apart from the back",
    "apart from the back {}",
    "{} except for two",
    "{} bar the front one",
    "{} other than the attic",
    "{} with one exception",
    "{} but not the windows",
    "{}, but not on the back",
    "{}, not the top ones though",
    "used to be {}",
    "it used to be {}",
    "it was going to be {}",
    "{} once",
    "{} before the war",
    "{} when it was built",
    "{} last time",
    "{} in those days",
    "{} back then",
    "formerly {}",
    "no longer {}",
    "was {}",
    "it was {}",
    "there was {}",
    "had been {}",
    "{} previously",
    "{} originally",
    "going to be {}",
    "it will be {}",
    "{} by Friday",
    "{} at the moment",
    "{} for now",
    "{} so far",
    "{} this week",
    "{} in the evenings",
    "{} during the day",
    "not yet {}",
    "{} not yet",
    "on paper {}",
    "{} on paper",
    "in theory {}",
    "if {}",
    "{} if they agree",
    "once {}",
    "when we get it {}",
    "until {}",
    "{} until Friday",
    "as long as {}",
    "so long as {}",
    "assuming {}",
    "{} provided they agree",
    "in case {}",
    "supposing {}",
    "let's say {}",
    "unless {}",
    "{} weather permitting",
    "{} subject to a trial",
    "he says {}",
    "the owner says {}",
    "the agent told us {}",
    "{} according to the agent",
    "{} the agent said",
    "{} or so they say",
    "word is {}",
    "the neighbours reckon {}",
    "my mate reckons {}",
    "she'll be right {}",
    "next door {}",
    "{} next door",
    "next door has {}",
    "next door's {}",
    "the neighbour's {}",
    "the other one {}",
    "the other house {}",
    "{} in the other house",
    "at number 9 {}",
    "{} at number 9",
    "{} on the last job",
    "unlike the porch {}",
    "compared with next door {}",
    "same as next door {}",
    "it's like {}",
    "is it {}?",
    "{} or not?",
    "do you think {}",
    "what if {}",
    "should I say {}",
    "I wonder if {}",
    "I wish {}",
    "hoping {}",
    "it would be nice if {}",
    "ideally {}",
    "they want {}",
    "I wouldn't say {}",
    "it's not true that {}",
    "it isn't the case that {}",
    "nobody said {}",
    "can't say {}",
    "{} I don't think",
    "{} yeah right",
    "{}. Or maybe not.",
    "{}. But that was years ago.",
    "{}. No wait.",
    "{}. Not sure though.",
    "{}, no hang on",
    "half of it {}",
    "nearly {}",
    "almost {}",
    "mostly {}",
    "partly {}",
    "{} in places",
    "{} on one side",
    "{} round the back",
    "{} and some",
    "some {}",
    "two of them {}",
    "one of them {}",
    "the book says {}",
    "the deeds say {}",
    "{} is what I was told",
    "{} was the plan",
    "it can't be {}",
    "never {}",
    "hardly {}",
    "not entirely {}",
    "not exactly {}",
    "not always {}",
    "not necessarily {}",
    "{} touch wood",
    "{} fingers crossed",
    "{} I hope",
    "{} probably",
    "{} awaiting paperwork",
];

/// An answer inside such a frame says nothing for certain that asks for less care.
#[test]
fn what_frames_an_answer_never_eases() {
    // A plain yes or no in a frame is no sentence; what an instrument found is found whoever passes it on, but for hearsay.
    let plain = |line: &str| {
        ["yes", "no", "none", "nothing", "yes it is", "no it isn't", "nope", "yeah", "not at all", "nothing else"].contains(&line)
    };
    let past = ["was {}", "it was {}", "there was {}", "had been {}"];
    let ways: Vec<_> = easing().iter().filter(|(line, _)| !plain(line)).collect();
    let mut wrong: Vec<String> = Vec::new();
    let mut tried = 0;
    for (answer, asked) in ways {
        let context = Context { asked: *asked, place: Some("GB-ENG".to_owned()), year: Some(2026), ..Context::default() };
        let said = certain_ease(&listener().hear(answer, &context));
        for frame in FRAMES {
            // What the practitioner chooses is told as what will be.
            let chosen = said.iter().all(|s| book().base.vocabulary.get(s.0).chosen);
            if chosen && ["going to be {}", "it will be {}"].contains(frame) {
                continue;
            }
            // A finding and the building of a house lie in the past; not to be alone is to have somebody.
            let found = ["lab", "xrf", "x ray", "built"].iter().any(|w| answer.to_lowercase().contains(w));
            let alone = ["alone", "on my own", "by myself"].iter().any(|w| answer.contains(w));
            if (found && past.contains(frame)) || (alone && ["no longer {}", "never {}"].contains(frame)) {
                continue;
            }
            tried += 1;
            let line = frame.replace("{}", answer);
            let eased = certain_ease(&listener().hear(&line, &context));
            if eased.iter().any(|e| said.iter().any(|s| s.0 == e.0)) {
                wrong.push(format!(
                    "{line:?} (asked {:?}): {:?}",
                    asked.map(|f| book().base.vocabulary.get(f).id.clone()),
                    eased.first().map(|e| &e.1)
                ));
            }
        }
    }
    assert!(tried > 100_000, "only {tried} lines");
    assert!(
        wrong.is_empty(),
        "{} of {tried} lines say too much:\n{}",
        wrong.len(),
        wrong.iter().step_by((wrong.len() / 60).max(1)).cloned().collect::<Vec<_>>().join("\n")
    );
}

/// Which way every found fact points is declared in the packs, or it is said why it points neither way.
#[test]
fn every_found_fact_says_which_values_ask_for_less_care() {
    use ovolo_engine::vocabulary::Eases;
    let missing: Vec<&str> =
        book().base.vocabulary.iter().filter(|(_, f)| !f.chosen && f.eases == Eases::Undeclared).map(|(_, f)| f.id.as_str()).collect();
    assert!(missing.is_empty(), "`eases` or `even` is missing of {missing:?}");
    let wrong: Vec<&str> = book()
        .base
        .vocabulary
        .iter()
        .filter(|(_, f)| f.careful.as_ref().is_some_and(|c| f.eased_by(c)))
        .map(|(_, f)| f.id.as_str())
        .collect();
    assert!(wrong.is_empty(), "the careful value asks for less care: {wrong:?}");
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
    // What has happened is no question of a talk about the work: `tests/happened.rs` tries how it is heard.
    for (id, fact) in base.vocabulary.iter().filter(|(_, f)| !f.about.has_happened()) {
        use ovolo_engine::vocabulary::FactKind;
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
