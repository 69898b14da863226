//! Shapes of the tables that are not about deciding: what people say, figures of the trade, and the steps of the work.

use super::schema::{date, flag, key, number, object, one_of, text, texts, words_of};
use crate::finding::StagePart;
use crate::pack::RuleBook;
use crate::role::{FigureRole, Sentence};
use serde_json::{Value, json};

/// Each table with its name.
pub(super) fn tables(book: &RuleBook) -> [(&'static str, Value); 16] {
    let any = |description: &str| json!({ "type": "object", "description": description });
    let source = || key("source", text("the published source, \"common practice\" or \"from memory\""));
    let when = || key("when", text("a script that gives true or false"));
    let says = || key("says", text("as it is said; facts in braces are filled in"));
    let id = || key("id", text("kebab-case"));
    let stages: Vec<&str> = book.working.stages.iter().map(|s| s.id.as_str()).collect();
    let stage = || key("stage", one_of("the stage of the work", &stages));
    let phrase = vec![
        key("says", texts("the words; a gap such as {length} stands for a figure")),
        key("place", texts("where they mean this: ISO 3166 codes")),
        key("means", any("facts to values, as in a survey")),
        key("does_not_settle", any("facts to values that a line with these words never states")),
        key("asked", texts("only in answer to these questions")),
        key("likely", flag("likely and no more: the speaker is asked")),
        key("plain", flag("words too plain to be taken for a choice by themselves")),
        key("narrow", flag("the words name only a part of what their fact is about: denying them denies no more")),
        key("witness", flag("the words name an instrument, a laboratory or a paper that can be relied on")),
        key("question", flag("the words are what a question to the program is about: `remark` answers it")),
        key("kept", flag("the words are kept as a note in the survey, because no fact takes them in")),
        key("remark", text("what is said back")),
        source(),
    ];
    let on = key("on", texts("when it is made: `run-off`, `lead.wiped` …"));
    let figure = vec![
        id(),
        key("role", one_of("what it is to the calculators", &words_of::<FigureRole>())),
        key("of", text("what it is stated for, where the role wants that: a method, or a name")),
        key("title", text("in a sentence")),
        key("unit", text("the unit; \"\" for a plain number")),
        key("value", json!({ "type": ["string", "number"], "description": "the figure or its range, such as \"5 .. 15 %\"" })),
        source(),
    ];
    let new_stage = vec![
        id(),
        key("title", text("a heading")),
        key("order", number("its place in the order")),
        key("each", text("what it is told once for")),
        key("part", one_of("where it stands on a page", &StagePart::ALL.map(StagePart::word))),
        key("holds", flag("hold points stand here")),
        key("usual", flag("the usual caution of a method stands here")),
        key("default", flag("what belongs nowhere else stands here")),
    ];
    let belongs = vec![
        stage(),
        key("rules", texts("ids of rules")),
        key("packs", texts("names of packs")),
        key("topics", texts("topic files, as pack/topic")),
        key("facts", texts("chosen facts whose conditions stand here")),
    ];
    let step = vec![
        id(),
        stage(),
        key("order", number("its place in the stage")),
        key("title", text("a heading")),
        key("open", text("how the heading reads where the step depends on what is not known")),
        key("answer", text("how the answer begins where it surely belongs to the work; standard packs only")),
        when(),
        says(),
        key("brief", flag("told where there is little room")),
        key("gate", flag("weather or drying decides when it can be done")),
        key("waits", text("the figure that says how long is waited")),
        key("shows", texts("the reckonings that belong to it")),
        source(),
    ];
    let partial = vec![
        id(),
        when(),
        says(),
        key("coats", one_of("whether it must apply to any coat or to every one", &["any", "every"])),
        key("loose", flag("only what is loose comes off")),
        key("share", text("the figure that says how much that is")),
        key("reasons", texts("grades of fit that may stay")),
        key("left", any("what is taken of what stays")),
        source(),
    ];
    let usual = vec![
        id(),
        key("fact", text("the found fact")),
        key("value", json!({ "description": "what it usually is, or { one-of = [...] }" })),
        when(),
        key("sure", one_of("likely, or open where it can be either and somebody has to look", &crate::pack::SURE)),
        key("says", text("how it reads after \"provided\"; facts in braces are filled in")),
        key("because", text("why it is taken so")),
        key("otherwise", text("what follows if it is otherwise; worked out where nothing is given")),
        key("tried", flag("work that keeps the paint begins by trying it: a step of the work there, not a proviso")),
        key("place", texts("where it is so: ISO 3166 codes; left out = everywhere")),
        key("from", any("since when, such as 2026-01-01")),
        key("until", any("up to which day")),
        key("review", any("when it is looked at again")),
        source(),
    ];
    let grade = vec![
        id(),
        key("ranking", text("a part of the ranking")),
        key("cost", number("what it adds, a whole number; less than nothing speaks for the method")),
        when(),
        key("coats", text("where it reads a coat: each, or once if it holds of any or of every coat")),
        key("surely", flag("it speaks against a method only where it surely applies")),
        key("because", text("why, in a sentence")),
        source(),
    ];
    let sign_off = vec![
        key("rule", text("the rule")),
        key("digest", text("its state, as a comparison of rule books shows it; `gone` for a rule that was taken out")),
        key("by", text("who answers for it")),
        key("date", any("when it was given, such as 2026-11-25")),
        key("why", text("why it may say less")),
    ];
    let word = vec![
        key("word", text("the word, as it stands in a sentence")),
        key("also", texts("other forms and names of the same thing")),
        key("means", text("what it means, in a sentence or two")),
        source(),
    ];
    let call = vec![
        id(),
        key("rules", texts("where every one of these rules speaks; left out, where nothing may be done and nobody else is named")),
        key("who", text("who, as it reads after \"call\"")),
        key("does", text("what they do, as it reads after \"who\"")),
        key("works", flag("they do the work itself, and nobody else does")),
        key("place", texts("where it is so: ISO 3166 codes; left out = everywhere")),
        key("except", texts("places left out")),
        source(),
    ];
    let after = vec![
        id(),
        key("part", one_of("which part of the answer it belongs to", &crate::pack::Section::ALL.map(crate::pack::Section::word))),
        key("emergency", flag("it comes before everything else; standard packs only")),
        key("order", number("its place within the part; the smaller comes first")),
        when(),
        key("says", text("what to do, in a short sentence; facts and limits in braces are filled in")),
        key("place", texts("where it is so: ISO 3166 codes; left out = everywhere")),
        key("except", texts("places left out")),
        key("from", date("since when")),
        key("until", date("up to which day")),
        key("review", date("when it is looked at again")),
        source(),
    ];
    let cause = vec![
        id(),
        key("title", text("the cause, as it stands by itself")),
        key("likely", one_of("how likely it is", &crate::pack::Likely::ALL.map(crate::pack::Likely::word))),
        key("grounds", text("why it is graded so")),
        when(),
        key("points", text("a script: where it is true, what is known points to this cause")),
        key("test", text("what tells it apart")),
        key("next", text("what to try next")),
        key("never", text("what must not be tried")),
        source(),
    ];
    [
        ("after", object("what to do once something has happened", after, &["id", "part", "when", "says", "source"])),
        ("cause", object("what may be behind a trouble", cause, &["id", "title", "likely", "grounds", "when", "test", "next", "source"])),
        ("word", object("a word that a newcomer may not know", word, &["word", "means", "source"])),
        ("call", object("whom to call where rules leave something to somebody", call, &["id", "who", "does", "source"])),
        (
            "sign-off",
            object("who answers for a rule of law or standard that says less", sign_off, &["rule", "digest", "by", "date", "why"]),
        ),
        (
            "usual",
            object(
                "what a fact usually is; only leads are built on it",
                usual,
                &["id", "fact", "value", "when", "sure", "says", "because", "source"],
            ),
        ),
        ("phrase", object("what people's words mean", phrase, &["says", "source"])),
        ("figure", object("a figure of the trade that calculators start from", figure, &["id", "title", "value", "source"])),
        (
            "remark",
            object(
                "a remark that belongs to a reckoning",
                vec![
                    id(),
                    on,
                    key("role", one_of("standard packs: the finding that it tells, in place of `on`", &words_of::<Sentence>())),
                    says(),
                    source(),
                ],
                &["id", "says", "source"],
            ),
        ),
        ("stage", object("a stage of the work", new_stage, &["id", "order", "each"])),
        ("belongs", object("what belongs to a stage", belongs, &["stage"])),
        ("step", object("a step of the work", step, &["id", "stage", "title", "when", "says", "source"])),
        ("partial", object("coats that may stay", partial, &["id", "when", "says", "source"])),
        ("order", object("a row of the order of work", vec![id(), when(), says(), source()], &["id", "when", "says", "source"])),
        ("grade", object("a row that adds to a part of the ranking", grade, &["id", "ranking", "cost", "when", "because", "source"])),
        (
            "doubt",
            object(
                "rules that put keeping the paint behind taking it off",
                vec![key("rules", texts("rules, by id")), source()],
                &["rules", "source"],
            ),
        ),
    ]
}
