//! What the screen says was noted is in the file, and what is not in the file was not said to be noted; how long answers are; and
//! what a firm's own phrases may do.

use crate::support::{book, files_in, load, ovolo, pack_in, root};
use cli::talk::{Fixed, Session};
use ovolo_engine::answer::{Context, Listener, Said};
use ovolo_engine::diagnostic::SourceFile;
use ovolo_engine::pack::RuleBook;
use ovolo_engine::survey::{Facts, Survey};
use ovolo_engine::vocabulary::About;
use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;

const START: &str = "[survey]\ntitle = \"job\"\ndate = 2026-09-14\nplace = \"GB-ENG\"\n\n[[surface]]\nname = \"alfa\"\n";

fn session<'b>(book: &'b RuleBook, text: &str) -> Session<'b> {
    let date = "2026-09-14".parse().expect("a date");
    Session::new(book, Some(("job.toml", text)), Fixed::default(), date, 92).expect("it begins")
}

fn read(text: &str, book: &RuleBook) -> Survey {
    match Survey::read_draft(&SourceFile::new("written.toml", text), book) {
        Ok((survey, _)) => survey,
        Err(problems) => panic!("{problems:?}\n{text}"),
    }
}

/// Every fact of a survey by where it stands, as it is written.
fn facts(survey: &Survey) -> BTreeMap<String, (String, String)> {
    let mut all = BTreeMap::new();
    let mut add = |at: String, facts: &Facts| {
        for (f, s) in facts {
            let fact = book().base.vocabulary.get(*f);
            all.insert(format!("{at}.{}", fact.name), (fact.title.clone(), format!("{:?}", (&s.known, &s.written))));
        }
    };
    add("site".to_owned(), &survey.site);
    for s in &survey.surfaces {
        add(s.name.clone(), &s.facts);
        for (c, coat) in s.coats.iter().flatten().enumerate() {
            add(format!("{}.coat {c}", s.name), coat);
        }
    }
    all
}

fn squeezed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A title as it reads behind "of every coat".
fn plainly(title: &str) -> String {
    title.replace(" in the coat of ", " in ").replace(" of the coat of ", " of ")
}

/// Holds what the screen says after one line against the file.
fn noted_is_written(session: &mut Session<'_>, line: &str) -> Result<(), String> {
    let _ = session.question();
    let before = session.text().to_owned();
    let outcome = session.line(line);
    let after = session.text().to_owned();
    let told = squeezed(&outcome.text);
    let wrong = |what: &str| Err(format!("{line:?}: {what}\n{told}\n{after}"));
    let says =
        told.contains("Noted: ") || told.contains("A new surface: ") || told.contains("Taken back: ") || told.contains("Taken out: ");
    if before != after && !says && !told.contains("Kept as a note") {
        return wrong("written and not said");
    }
    let (was, is) = (facts(&read(&before, book())), facts(&read(&after, book())));
    // What is told behind each "Noted:", up to the next sentence of its own: a doubt and what brought it are two.
    let mut within = false;
    let mut behind = |l: &&str| {
        within = l.contains("Noted: ") || within && l.starts_with("    ");
        within
    };
    let noted: String = outcome.text.lines().filter(|l| behind(l)).collect::<Vec<_>>().join(" ");
    let noted = squeezed(&noted);
    let of_stack = ["coats from the top: ", "one kind of coat: ", "no coats: bare"].iter().any(|s| noted.contains(s));
    for (at, (title, value)) in &is {
        let new = was.get(at).is_none_or(|(_, v)| v != value);
        let told_of = noted.contains(title.as_str()) || noted.contains(&plainly(title)) || of_stack && at.contains(".coat ");
        if new && !told_of && !told.contains("Taken back: ") {
            return wrong(&format!("{at} is written and not said"));
        }
    }
    if !noted.is_empty() && before == after && !noted.contains(": ") {
        return wrong("said and not written");
    }
    for (_, fact) in book().base.vocabulary.iter() {
        let title = plainly(&fact.title);
        let claimed = ["Noted: ", "; "]
            .iter()
            .any(|lead| [":", " of coat", " of every coat"].iter().any(|behind| noted.contains(&format!("{lead}{title}{behind}"))));
        let there = is.values().any(|(t, _)| plainly(t) == title) || after.contains(&title);
        if claimed && !there && fact.about != About::Method {
            return wrong(&format!("{} is said to be noted and is not in the file", fact.id));
        }
    }
    // A doubt that is written is said, and one that is said is written.
    let doubts = |text: &str| text.matches("sure = false").count();
    let doubtful = ["not sure", "in doubt", "on the word of"].iter().any(|d| noted.contains(d));
    if doubts(&after) > doubts(&before) && !doubtful {
        return wrong("a doubt is written that is not said");
    }
    if doubtful && doubts(&after) == 0 {
        return wrong("a doubt is said that is not written");
    }
    if noted.contains("a note on ") && !after.contains("note = ") {
        return wrong("a note is said and not written");
    }
    Ok(())
}

/// The rows of `tests/phrasings`, each with the question it answers, begun on a job with one surface: every third, and all of them
/// with `FRESH` set.
#[test]
#[ignore = "long: `cargo long` runs it"]
fn noted_equals_written_for_every_phrasing() {
    let every = if std::env::var_os("FRESH").is_some() { 1 } else { 3 };
    let mut wrong = Vec::new();
    let mut rows = 0;
    for path in files_in(&root().join("tests/phrasings"), ".toml") {
        let table: toml::Table = fs::read_to_string(&path).expect("text").parse().expect("TOML");
        for row in table["row"].as_array().expect("rows") {
            let said = row["said"].as_str().expect("said");
            let asked = row.get("asked").and_then(|a| a.as_str()).and_then(|id| book().base.vocabulary.find(id));
            let line = match asked {
                Some(f) => format!("{}: {said}", book().base.vocabulary.get(f).name),
                None => said.to_owned(),
            };
            rows += 1;
            if rows % every != 0 {
                continue;
            }
            wrong.extend(noted_is_written(&mut session(book(), START), &line).err());
        }
    }
    assert!(rows > 500, "only {rows} rows");
    assert!(wrong.is_empty(), "{} of {rows}:\n{}", wrong.len(), wrong.iter().take(12).cloned().collect::<Vec<_>>().join("\n\n"));
}

/// Lines put together from the words of the rule book and small words, several in one session.
#[test]
#[ignore = "long: `cargo long` runs it"]
fn noted_equals_written_for_lines_of_any_words() {
    let rounds: usize = std::env::var("FRESH").ok().and_then(|n| n.parse().ok()).unwrap_or(60);
    let base = &book().base;
    let mut words: Vec<String> = base.vocabulary.iter().flat_map(|(_, f)| f.says.iter().cloned()).collect();
    words.extend(
        base.vocabulary.iter().flat_map(|(_, f)| (0..f.width(&base.catalogue)).map(move |i| f.choice_title(i, &base.catalogue).to_owned())),
    );
    words.extend(book().phrases.iter().flat_map(|p| p.says.iter().filter(|s| !s.contains('{')).cloned()));
    let small = [
        "no",
        "not",
        "probably",
        "I think",
        "and",
        "or",
        "over",
        "yes",
        ",",
        "just",
        "the client says",
        "about",
        "1890",
        "6",
        "dunno",
        "3 m",
        "wibble",
    ];
    let mut seed = 0x2545_f491_4f6c_dd1d_u64;
    let mut below = |n: usize| {
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        usize::try_from(seed >> 33).expect("small") % n
    };
    let mut wrong = Vec::new();
    for _ in 0..rounds {
        let mut talk = session(book(), START);
        for _ in 0..5 {
            let parts: Vec<&str> = (0..=below(5))
                .map(|_| if below(2) == 0 { small[below(small.len())] } else { words[below(words.len())].as_str() })
                .collect();
            wrong.extend(noted_is_written(&mut talk, &parts.join(" ")).err());
        }
    }
    assert!(wrong.is_empty(), "{}:\n{}", wrong.len(), wrong.iter().take(12).cloned().collect::<Vec<_>>().join("\n\n"));
}

/// The most lines after one answer, the next question and its choices among them, unless more is asked for.
const MOST_LINES: usize = 13;

/// The most after a plain answer, however wide the page is: what was noted, what it changed, one thing to mind, the next question.
const MOST_AFTER_AN_ANSWER: usize = 4;

/// The scripted dialogues that need no words of the command line: where each stands, what is said, and the survey it begins with.
fn scripts() -> impl Iterator<Item = (PathBuf, String, Option<String>)> {
    files_in(&root().join("tests/dialogues"), ".txt").into_iter().filter_map(|path| {
        let script = fs::read_to_string(&path).expect("text");
        let from = script.lines().find_map(|l| l.strip_prefix("#: survey "));
        let text = from.map(|f| fs::read_to_string(root().join(f)).expect("a survey"));
        (!script.contains("#: args")).then_some((path, script, text))
    })
}

/// Holds what follows plain answers in the scripted dialogues: those that were understood whole, noted at once and ask nothing back.
#[test]
fn four_lines_at_most_follow_a_plain_answer() {
    let mut counts: Vec<(usize, String)> = Vec::new();
    for (path, script, text) in scripts() {
        let file = text.as_deref().map(|t| ("survey.toml", t));
        let date = "2026-09-14".parse().expect("a date");
        // So wide that nothing is wrapped: a line is a sentence or two.
        let Ok(mut talk) = Session::new(book(), file, Fixed::default(), date, 4_000) else { continue };
        let _ = talk.question();
        for line in script.lines().filter(|l| !l.starts_with('#') && !l.trim().is_empty()) {
            let begun = talk.begun();
            let outcome = talk.line(line);
            if outcome.leave {
                break;
            }
            let question = talk.question();
            let noted = outcome.text.starts_with("  Noted: ") || outcome.text.starts_with("  A new surface: ");
            let asks_back = question.contains("\n  1  ") || question.contains("Still waiting:");
            if begun && noted && outcome.understood && !asks_back {
                let shown = format!("{}{question}", outcome.text);
                counts.push((shown.lines().filter(|l| !l.trim().is_empty()).count(), format!("{}: {line}\n{shown}", path.display())));
            }
        }
    }
    counts.sort();
    assert!(counts.len() > 100, "only {} answers", counts.len());
    let over: Vec<&str> = counts.iter().filter(|(n, _)| *n > MOST_AFTER_AN_ANSWER).map(|(_, s)| s.as_str()).collect();
    println!("{} plain answers: median {} lines, worst {}", counts.len(), counts[counts.len() / 2].0, counts[counts.len() - 1].0);
    assert!(over.is_empty(), "{} of {} are longer:\n{}", over.len(), counts.len(), over.join("\n"));
}

/// After an answer come few lines: half of the answers in the scripted dialogues at most four.
#[test]
#[ignore = "long: `cargo long` runs it"]
fn few_lines_follow_an_answer() {
    let mut counts: Vec<(usize, String)> = Vec::new();
    for (path, script, text) in scripts() {
        let date = "2026-09-14".parse().expect("a date");
        let file = text.as_deref().map(|t| ("survey.toml", t));
        let Ok(mut talk) = Session::new(book(), file, Fixed::default(), date, 92) else { continue };
        let _ = talk.question();
        for line in script.lines().filter(|l| !l.starts_with('#') && !l.trim().is_empty() && !l.starts_with("propose ")) {
            let before = talk.text().to_owned();
            let outcome = talk.line(line);
            if outcome.leave {
                break;
            }
            let shown = format!("{}{}", outcome.text, talk.question());
            if before != talk.text() || !outcome.understood {
                counts.push((shown.lines().filter(|l| !l.trim().is_empty()).count(), format!("{}: {line}\n{shown}", path.display())));
            }
        }
    }
    counts.sort();
    assert!(counts.len() > 200, "only {} answers", counts.len());
    let median = counts[counts.len() / 2].0;
    let (worst, which) = counts.last().expect("an answer");
    println!("{} answers: median {median} lines, worst {worst}", counts.len());
    assert!(median <= 4, "half of the answers are longer than {median} lines");
    assert!(*worst <= MOST_LINES, "{worst} lines:\n{which}");
}

/// A house pack with some phrases, in a folder of its own.
fn firm(phrases: &str) -> (tempfile::TempDir, std::path::PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let pack = folder.path().join("yard-words");
    fs::create_dir(&pack).expect("made");
    let manifest = "name = \"yard-words\"\ntitle = \"Yard words\"\nversion = \"1\"\nowner = \"Wimbrel & Dace\"\nhouse = true\nneeds = [\"core\", \"speech\"]\n";
    fs::write(pack.join("pack.toml"), manifest).expect("written");
    fs::write(pack.join("words.toml"), phrases).expect("written");
    (folder, pack)
}

const FIRM: &str = r#"
[[phrase]]
says   = ["the usual", "signed off by the yard"]
means  = { "site.consent" = true, "site.heritage" = "none" }
source = "house standard 1"

[[phrase]]
says   = ["asbestos found and dealt with"]
remark = "The yard deals with it."
source = "house standard 1"

[[phrase]]
says   = ["listed but small"]
means  = { "site.use" = "dwelling" }
source = "house standard 1"

[[phrase]]
says   = ["occupied"]
place  = ["GB"]
means  = { "site.use" = "workplace" }
source = "house standard 1"

[[phrase]]
says   = ["our second grade"]
means  = { "surface.substrate" = "softwood" }
source = "house standard 1"
"#;

/// What a firm's phrases mean on the easy side, and what they mean in words that hold others', is asked back about; no phrase of
/// a firm takes the place of what the standard packs hear.
#[test]
fn a_firms_phrases_ease_and_swallow_nothing_unasked() {
    let (_folder, pack) = firm(FIRM);
    let book = load(&[pack_in(&pack)]);
    let listener = Listener::new(&book);
    let context = Context { place: Some("GB-ENG".to_owned()), year: Some(2026), ..Context::default() };
    for phrase in book.phrases.iter().filter(|p| p.house) {
        for says in &phrase.says {
            for line in [says.clone(), format!("{says}, oak"), format!("front door, {says}")] {
                for said in &listener.hear(&line, &context).said {
                    let Said::Fact(s) = said else { continue };
                    let fact = book.base.vocabulary.get(s.fact);
                    let eases = s.readings.iter().any(|r| fact.eased_by(&r.known));
                    assert!(!eases || s.readings.len() > 1 || !s.unread.is_empty(), "{line}: {} for certain", fact.id);
                }
            }
        }
    }
    // At the prompt: asked back, and nothing written until then.
    let mut talk = session(&book, START);
    let _ = talk.question();
    talk.line("the usual");
    assert!(!talk.text().contains("consent") && !talk.text().contains("heritage"), "{}", talk.text());
    assert!(talk.question().contains("for certain"), "{}", talk.question());
    let mut talk = session(&book, START);
    let _ = talk.question();
    talk.line("listed but small");
    assert!(!talk.text().contains("dwelling"), "{}", talk.text());
    // The words inside are still heard, and so are words that the firm gives a second meaning.
    let heard = |line: &str, id: &str| {
        let fact = book.base.vocabulary.find(id).expect("a fact");
        listener.hear(line, &context).said.iter().any(|s| match s {
            Said::Fact(f) => f.fact == fact,
            Said::NotKnown { .. } | Said::Remark { .. } => false,
            Said::Coats(c) => c.iter().flatten().any(|f| f.fact == fact),
        })
    };
    assert!(heard("there are tenants, occupied", "site.occupied"));
    assert!(
        heard("asbestos found and dealt with", "coat.asbestos")
            || !listener.hear("asbestos found and dealt with", &context).unheard.is_empty()
    );
    // What asks for no less care is simply taken.
    let mut talk = session(&book, START);
    let _ = talk.question();
    talk.line("our second grade");
    assert!(talk.text().contains("softwood"), "{}", talk.text());
}

/// What would take something from what people say without a question is refused when the pack is read.
#[test]
fn a_firm_names_no_witness_and_takes_nothing_back() {
    for (phrase, told) in [
        ("says = [\"the foreman\"]\nwitness = true", "a house pack names no witness"),
        ("says = [\"listed\"]\nplain = true", "a house pack makes no words plain"),
        ("says = [\"ready for us\"]\nmeans = { coats = [] }", "a house pack has no words for bare"),
        ("says = [\"the\"]\ndoes_not_settle = { \"coat.lead\" = \"present\" }", "a house pack takes nothing back"),
        ("says = [\"{year}\"]\nmeans = { \"site.built\" = \"{}\" }", "a house pack says nothing of figures alone"),
    ] {
        let (_folder, pack) = firm(&format!("[[phrase]]\n{phrase}\nsource = \"house standard 1\"\n"));
        let out = ovolo(&["rules", "check", &pack.display().to_string()]);
        let text = format!("{}{}", String::from_utf8_lossy(&out.stdout), String::from_utf8_lossy(&out.stderr));
        assert!(!out.status.success() && text.contains(told), "{phrase}:\n{text}");
    }
}

/// Whoever brings a pack in reads what its words do.
#[test]
fn a_firms_phrases_are_shown_where_the_pack_is_introduced() {
    let (_folder, pack) = firm(FIRM);
    let out = ovolo(&["rules", "check", &pack.display().to_string(), "--width", "200"]);
    let text = squeezed(&String::from_utf8_lossy(&out.stdout));
    for part in [
        "5 phrases",
        "`the usual` or `signed off by the yard` is heard as",
        "asked back",
        "`asbestos found and dealt with` is answered: The yard deals with it.",
    ] {
        assert!(text.contains(part), "{part}\n{text}");
    }
}
