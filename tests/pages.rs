//! The pages people work from: how long they are, that the answer comes first, that nothing is said twice, and that they print.

use crate::commands::screen;
use crate::support::{files_in, ovolo, root};
use std::collections::BTreeMap;
use std::process::Command;

/// Words that belong to programs and to the making of the rule book, never to a page.
const NEVER: [&str; 12] =
    ["burden", "stack", "score", "verdict", "undecided", "salience", "one-of", "presumption", "rule-out", "kebab", "null", "not-known"];

const DEMO: [&str; 3] = ["terrace", "school", "footbridge"];

fn told(args: &[&str]) -> String {
    let out = ovolo(args);
    assert_eq!(out.status.code(), Some(0), "{args:?}: {}", String::from_utf8_lossy(&out.stderr));
    String::from_utf8(out.stdout).expect("UTF-8")
}

/// A part of a page with a heading underlined by `=`: its name and its lines, heading and underline included.
fn parts(text: &str) -> Vec<(String, Vec<String>)> {
    let lines: Vec<&str> = text.lines().collect();
    let heads: Vec<usize> =
        (0..lines.len().saturating_sub(1)).filter(|i| lines[i + 1].starts_with("===") && !lines[*i].is_empty()).collect();
    let end = |k: usize| heads.get(k + 1).copied().unwrap_or(lines.len());
    heads.iter().enumerate().map(|(k, h)| (lines[*h].to_owned(), lines[*h..end(k)].iter().map(|l| (*l).to_owned()).collect())).collect()
}

/// The parts about surfaces: all but the title and what is said once for the job.
fn surfaces(text: &str) -> Vec<(String, Vec<String>)> {
    let mut all = parts(text);
    all.remove(0);
    all.retain(|(name, _)| name != "Once for the whole job");
    all
}

fn words(text: &str) -> usize {
    text.split_whitespace().filter(|w| w.contains(char::is_alphanumeric)).count()
}

/// What is said, one piece for each point, tick, step or paragraph, without its mark.
fn pieces(text: &str) -> Vec<String> {
    // Steps that an earlier sheet shows are counted together: 2–5.
    let numbering = |c: char| c.is_ascii_digit() || c == '\u{2013}';
    let mark = |line: &str| {
        let t = line.trim_start();
        let number = t.split_once(". ").is_some_and(|(n, _)| !n.is_empty() && n.chars().all(numbering));
        line.starts_with(' ') && (t.starts_with("- ") || t.starts_with("[ ] ") || number)
    };
    let mut out: Vec<String> = Vec::new();
    let mut fresh = true;
    for line in text.lines() {
        if line.trim().is_empty() || line.starts_with("===") {
            fresh = true;
            continue;
        }
        let starts = mark(line) || !line.starts_with(' ');
        // A paragraph at the margin goes on in the next line at the margin unless it has ended.
        let goes_on = !line.starts_with(' ') && !fresh && out.last().is_some_and(|l| !l.ends_with(['.', ':']) && l.len() > 60);
        if starts && !goes_on {
            let bare = line.trim_start().trim_start_matches("- ").trim_start_matches("[ ] ");
            let bare = bare.split_once(". ").filter(|(n, _)| n.chars().all(numbering)).map_or(bare, |(_, rest)| rest);
            out.push(bare.to_owned());
        } else if let Some(last) = out.last_mut() {
            last.push(' ');
            last.push_str(line.trim());
        }
        fresh = false;
    }
    out
}

/// Sentences: ended by a stop, a question mark or the piece.
fn sentences(text: &str) -> Vec<String> {
    let mut out = Vec::new();
    for piece in pieces(text) {
        let mut rest = piece.as_str();
        while let Some(at) = rest.find(". ").or_else(|| rest.find("? ")) {
            out.push(rest[..=at].to_owned());
            rest = &rest[at + 2..];
        }
        out.push(rest.to_owned());
    }
    out.retain(|s| words(s) >= 3);
    out
}

fn more_than_once<T: Ord + Clone>(items: impl IntoIterator<Item = T>) -> Vec<T> {
    let mut times: BTreeMap<T, usize> = BTreeMap::new();
    items.into_iter().for_each(|i| *times.entry(i).or_default() += 1);
    times.into_iter().filter(|(_, n)| *n > 1).map(|(i, _)| i).collect()
}

/// Lines long enough to say something; what points at an earlier surface says nothing of its own.
fn repeated_lines(text: &str) -> Vec<String> {
    let pointing: Vec<String> = pieces(text).into_iter().filter(|p| p.to_lowercase().contains("as on ")).collect();
    let bare = |line: &str| line.trim_start_matches(|c: char| c.is_ascii_digit() || "\u{2013}. -[]".contains(c)).to_owned();
    let points = |line: &str| pointing.iter().any(|p| p.contains(&bare(line)));
    more_than_once(text.lines().map(str::trim).filter(|l| words(l) > 8 && !points(l)).map(str::to_owned))
}

fn forbidden(text: &str) -> Vec<&'static str> {
    let is = |w: &str, never: &str| w.trim_matches(|c: char| !c.is_alphanumeric()).eq_ignore_ascii_case(never);
    NEVER.into_iter().filter(|never| text.split_whitespace().any(|w| is(w, never))).collect()
}

/// Ids of entries, choices and rules that have a hyphen, which nobody says.
fn ids() -> Vec<String> {
    use ovolo_engine::catalogue::EntryKind;
    let book = crate::support::book();
    let mut ids: Vec<(String, String)> = Vec::new();
    for kind in EntryKind::ALL {
        ids.extend(book.base.catalogue.entries(kind).iter().map(|(id, e)| (id.clone(), e.title.clone())));
    }
    for (_, fact) in book.base.vocabulary.iter() {
        for (index, id) in fact.choice_ids(&book.base.catalogue).into_iter().enumerate() {
            ids.push((id.to_owned(), fact.choice_title(index, &book.base.catalogue).to_owned()));
        }
    }
    ids.extend(book.rules.iter().map(|r| (r.id.clone(), String::new())));
    let titles: String = ids.iter().map(|(_, t)| t.as_str()).collect::<Vec<_>>().join(" ");
    // What is a word of the trade as well is none.
    let said: Vec<&str> = titles.split(' ').collect();
    ids.into_iter().map(|(id, _)| id).filter(|id| id.contains('-') && !said.contains(&id.as_str())).collect()
}

fn ids_in(text: &str, ids: &[String]) -> Vec<String> {
    let bare = |w: &str| w.trim_matches(|c: char| !c.is_alphanumeric()).to_owned();
    // A heading of a rule may join two words as anybody would: "soft-media or ice blasting".
    let mut text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for title in crate::support::book().rules.iter().filter_map(|r| r.title.as_deref()).filter(|t| t.contains('-')) {
        text = text.replace(title, "");
    }
    text.split_whitespace().map(bare).filter(|w| w.contains('-') && ids.contains(w)).collect()
}

#[test]
fn the_demo_surveys_give_pages_to_work_from() {
    let ids = ids();
    for name in DEMO {
        let text = told(&["advise", &format!("demo-data/quillhaven/{name}.toml"), "--width", "80"]);
        let sheets = surfaces(&text);
        for (surface, lines) in &sheets {
            let count = words(&lines.join(" "));
            assert!(lines.len() <= 45, "{name}, {surface}: {} lines", lines.len());
            assert!(count <= 350, "{name}, {surface}: {count} words");
            assert!(!lines[2].trim().is_empty() && !lines[2].ends_with(':'), "{name}, {surface}: no answer in the third line");
        }
        assert_eq!(repeated_lines(&text), Vec::<String>::new(), "{name}");
        let twice: Vec<String> =
            more_than_once(sentences(&text).into_iter().filter(|s| words(s) > 9 && !s.to_lowercase().contains("as on ")));
        assert_eq!(twice, Vec::<String>::new(), "{name}");
        let mut lengths: Vec<usize> = sentences(&text).iter().map(|s| words(s)).collect();
        lengths.sort_unstable();
        assert!(lengths[lengths.len() / 2] <= 16, "{name}: {} words in the middle sentence", lengths[lengths.len() / 2]);
        assert_eq!(forbidden(&text), Vec::<&str>::new(), "{name}");
        assert_eq!(ids_in(&text, &ids), Vec::<String>::new(), "{name}");
    }
}

/// The same, looser, on every situation there is.
#[test]
#[ignore = "long: `cargo long` runs it"]
fn every_situation_gives_a_page() {
    let ids = ids();
    let mut wrong: Vec<String> = Vec::new();
    for path in files_in(&root().join("tests/situations"), ".toml") {
        if path.to_string_lossy().ends_with(".expect.toml") {
            continue;
        }
        let name = path.file_stem().expect("a name").to_string_lossy().into_owned();
        let text = told(&["advise", &path.to_string_lossy(), "--width", "80"]);
        for (surface, lines) in surfaces(&text) {
            if lines.len() < 3 || lines[2].trim().is_empty() || lines[2].ends_with(':') {
                wrong.push(format!("{name}, {surface}: no answer in the third line"));
            }
            let count = words(&lines.join(" "));
            if count > 470 || lines.len() > 52 {
                wrong.push(format!("{name}, {surface}: {count} words, {} lines", lines.len()));
            }
        }
        wrong.extend(repeated_lines(&text).into_iter().map(|l| format!("{name}: twice: {l}")));
        wrong.extend(forbidden(&text).into_iter().map(|w| format!("{name}: {w}")));
        wrong.extend(ids_in(&text, &ids).into_iter().map(|w| format!("{name}: the id {w}")));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// What a page leaves to the rest of the job stands there, and nothing that holds or forbids is left out.
#[test]
fn what_holds_and_what_is_ruled_out_stands_on_the_page() {
    for name in DEMO {
        let path = format!("demo-data/quillhaven/{name}.toml");
        let advice: serde_json::Value = serde_json::from_str(&told(&["advise", &path, "--format", "json"])).expect("JSON");
        let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
        let text = told(&["advise", &path, "--width", "80"]);
        let whole = flat(&text);
        let sheets = surfaces(&text);
        // What is out only by what is wanted is no ban; and one letter releases the general hold and that of the place, which is told.
        let book = crate::support::book();
        let rule = |n: &serde_json::Value| book.rules.iter().find(|r| Some(r.id.as_str()) == n["rule"].as_str()).expect("a rule");
        let applies = |n: &&serde_json::Value| n["status"] == "applies";
        for (surface, (_, lines)) in advice["surfaces"].as_array().expect("surfaces").iter().zip(&sheets) {
            let sheet = flat(&lines.join(" "));
            for method in surface["methods"].as_array().expect("methods") {
                let reasons = method["reasons"].as_array().expect("reasons");
                let out: Vec<_> = reasons.iter().filter(|n| n["ruling"] == "rule-out").filter(applies).collect();
                let only_wanted = !out.is_empty() && out.iter().all(|n| rule(n).wanted);
                if method["verdict"] == "ruled out" && !only_wanted {
                    let title = method["title"].as_str().expect("a title").to_lowercase();
                    assert!(sheet.contains(&title), "{name}: {title} is not told as ruled out");
                }
                for notice in reasons {
                    let of_place = |m: &serde_json::Value| {
                        m["ruling"] == "hold"
                            && m["status"] == "applies"
                            && !m["place"].as_array().expect("places").is_empty()
                            && rule(m).released_by == rule(notice).released_by
                    };
                    let general = notice["place"].as_array().is_some_and(Vec::is_empty) && reasons.iter().any(of_place);
                    if notice["ruling"] == "hold" && notice["status"] == "applies" && !general {
                        assert!(whole.contains(&flat(notice["says"].as_str().expect("words"))), "{name}: {}", notice["rule"]);
                    }
                }
            }
        }
    }
}

/// What can hurt people, and what the law or a standard wants, is at least named on the page: nothing of it is only counted.
#[test]
#[ignore = "long: `cargo long` runs it"]
fn every_caution_about_people_or_law_is_named() {
    let book = crate::support::book();
    let dangers = |pack: &str| book.packs.iter().any(|p| p.name == pack && p.dangers);
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    let mut seen = 0;
    let mut lost: Vec<String> = Vec::new();
    let demo = DEMO.iter().map(|name| root().join(format!("demo-data/quillhaven/{name}.toml")));
    let situations =
        files_in(&root().join("tests/situations"), ".toml").into_iter().filter(|p| !p.to_string_lossy().ends_with(".expect.toml"));
    for path in demo.chain(situations.step_by(7)) {
        let path = path.to_string_lossy().into_owned();
        let plan: serde_json::Value = serde_json::from_str(&told(&["approach", &path, "--format", "json"])).expect("JSON");
        let whole = flat(&told(&["advise", &path, "--width", "80"]));
        for surface in plan["surfaces"].as_array().expect("surfaces") {
            for notice in surface["stages"].as_array().into_iter().flatten().flat_map(|s| s["notices"].as_array().expect("notices")) {
                let speaks = notice["status"] == "applies" && (notice["ruling"] == "caution" || notice["ruling"] == "note");
                let held_to =
                    notice["basis"] == "statute" || notice["basis"] == "standard" || dangers(notice["pack"].as_str().expect("a pack"));
                if let Some(title) = notice["title"].as_str().filter(|_| speaks && held_to) {
                    seen += 1;
                    if !whole.contains(&flat(title)) {
                        lost.push(format!("{path}, {}: {title}", surface["name"]));
                    }
                }
            }
        }
    }
    assert!(lost.is_empty(), "{}", lost.join("\n"));
    assert!(seen > 300, "{seen}");
}

#[test]
fn pages_read_well() {
    const SURVEY: &str = "demo-data/quillhaven/terrace.toml";
    for width in ["60", "80", "100"] {
        screen(&format!("page-{width}"), &["advise", SURVEY, "--date", "2026-09-14", "--width", width]);
        for line in told(&["advise", SURVEY, "--date", "2026-09-14", "--width", width]).lines() {
            assert!(line.chars().count() <= width.parse().expect("a number"), "{line}");
        }
    }
    screen("page-markdown", &["advise", SURVEY, "--date", "2026-09-14", "--format", "markdown"]);
    screen("page-html", &["advise", SURVEY, "--date", "2026-09-14", "--format", "html"]);
    screen("page-brief", &["advise", SURVEY, "--date", "2026-09-14", "--brief", "--width", "80"]);
    screen("plan-80", &["approach", SURVEY, "--width", "80"]);
    screen("page-on-hold", &["advise", "demo-data/quillhaven/footbridge.toml", "--date", "2026-08-03", "--width", "80"]);
}

#[test]
fn all_tells_every_rule_that_speaks() {
    let path = "demo-data/quillhaven/terrace.toml";
    let (page, all) = (told(&["advise", path]), told(&["advise", path, "--all"]));
    assert!(words(&all) > 2 * words(&page), "--all tells more");
    assert!(all.contains("Sources\n=====") && !page.contains("Sources\n====="));
}

/// Elements that have no end.
const EMPTY: [&str; 3] = ["meta", "br", "!DOCTYPE"];

#[test]
fn the_sheets_are_well_formed_and_fetch_nothing() {
    for name in DEMO {
        for command in ["advise", "approach"] {
            let path = format!("demo-data/quillhaven/{name}.toml");
            let html = told(&[command, &path, "--format", "html"]);
            assert_eq!(html, told(&[command, &path, "--format", "html"]), "the same bytes twice");
            let mut open: Vec<String> = Vec::new();
            // What stands between is text: a sign of its own is written out.
            for piece in html.split('<').skip(1) {
                let (tag, text) = piece.split_once('>').unwrap_or_else(|| panic!("{name}: <{piece}"));
                assert!(open.last().is_some_and(|t| t == "style") || !text.contains('>'), "{name}: {text}");
                let word = tag.split_whitespace().next().expect("a name");
                if let Some(closed) = word.strip_prefix('/') {
                    assert_eq!(open.pop().as_deref(), Some(closed), "{name}");
                } else if !EMPTY.contains(&word) {
                    open.push(word.to_owned());
                }
            }
            assert_eq!(open, Vec::<String>::new(), "{name}");
            for never in ["<script", "src=", "href=", "url(", "@import", "http"] {
                assert!(!html.replace("http-equiv", "").contains(never), "{name}: {never}");
            }
            let sheets = html.matches("<article>").count();
            assert_eq!(sheets, surfaces(&told(&[command, &path])).len() + 1, "a sheet for every surface and one for the job");
        }
    }
}

/// A browser, where one is installed.
fn browser() -> Option<&'static str> {
    ["chromium", "chromium-browser", "google-chrome"]
        .into_iter()
        .find(|b| Command::new(b).arg("--version").output().is_ok_and(|o| o.status.success()))
}

/// What is carried about a site is read at arm's length: nothing on paper is set smaller than 9 points.
#[test]
fn nothing_on_paper_is_set_too_small() {
    let html = told(&["advise", "demo-data/quillhaven/terrace.toml", "--format", "html"]);
    let print = html.split_once("@media print").expect("a style for paper").1.split_once("</style>").expect("its end").0;
    let sizes: Vec<f64> = print
        .split("font-size: ")
        .skip(1)
        .map(|s| s.split_once("pt").expect("sizes on paper are in points").0.parse().expect("a size in points"))
        .collect();
    assert!(sizes.len() > 3 && sizes.iter().all(|s| *s >= 9.0), "{sizes:?}");
    // What has a size of its own on the screen has one on paper too.
    for own in ["small", "footer", "header p", ".sign span"] {
        assert!(print.contains(&format!("{own} {{")), "{own}");
    }
}

/// Where a browser is installed each surface of the demo prints on one sheet.
#[test]
#[ignore = "long: `cargo long` runs it"]
fn a_browser_prints_a_surface_on_one_sheet() {
    let Some(browser) = browser() else {
        println!("skipped: no browser is installed here");
        return;
    };
    let scratch = tempfile::tempdir().expect("a folder");
    for name in DEMO {
        let html = told(&["advise", &format!("demo-data/quillhaven/{name}.toml"), "--format", "html"]);
        // The sheets of surfaces alone: what is said once for the job may take more paper.
        let last = html.rfind("<article>").expect("the job");
        let alone = format!("{}</body></html>", &html[..last]);
        let sheets = alone.matches("<article>").count();
        for paper in ["A4", "letter"] {
            let page = scratch.path().join(format!("{name}.html"));
            std::fs::write(&page, alone.replace("@page { margin", &format!("@page {{ size: {paper}; margin"))).expect("written");
            let pdf = scratch.path().join(format!("{name}-{paper}.pdf"));
            let out = Command::new(browser)
                .args(["--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer"])
                .arg(format!("--user-data-dir={}", scratch.path().join("profile").display()))
                .arg(format!("--print-to-pdf={}", pdf.display()))
                .arg(&page)
                .output()
                .expect("the browser runs");
            let Ok(bytes) = std::fs::read(&pdf) else {
                println!("skipped: the browser cannot print here: {}", String::from_utf8_lossy(&out.stderr));
                return;
            };
            let text = String::from_utf8_lossy(&bytes);
            let pages = text.match_indices("/Type /Page").filter(|(at, m)| !text[at + m.len()..].starts_with('s')).count();
            assert_eq!(pages, sheets, "{name} on {paper}");
        }
    }
}
/// What holds one method that no way takes is said of that method; the whole job does not wait for it. Plants are no matter of a room.
#[test]
fn a_hold_of_a_method_nobody_needs_stops_no_job() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("survey.toml").display().to_string();
    let told = |place: &str, substrate: &str, inside: &str| {
        let text = format!(
            "[survey]\ntitle = \"porch house\"\nplace = \"{place}\"\ndate = 2026-11-28\n[site]\nbuilt = 1925\nuse = \"dwelling\"\nheritage = \"none\"\n\
             occupied = true\n[[surface]]\nname = \"boards\"\nsubstrate = \"{substrate}\"\nelement = \"cladding\"\nwhere = \"{inside}\"\narea = \"12 m2\"\n\
             detail = \"plain\"\ncondition = \"flaking\"\naim = \"repaint\"\nventilation = \"good\"\nremovable = false\ncoats = [{{ kind = \"alkyd\", layers = 3 }}]\n"
        );
        std::fs::write(&path, text).expect("written");
        String::from_utf8(ovolo(&["advise", &path]).stdout).expect("UTF-8")
    };
    for place in ["CA-ON", "AU", "NZ"] {
        let page = told(place, "softwood", "inside");
        assert!(!page.contains("Nothing starts before"), "{place}: {page}");
        assert!(page.contains("chlorinated solvent: on hold"), "{place}: {page}");
        assert!(!page.contains("rotect plants"), "{place}: {page}");
        assert!(told(place, "softwood", "outside").contains("rotect plants"), "{place}, outside it may be");
        // A hold that every way waits for still stands before the work.
        assert!(told(place, "asbestos-cement", "outside").contains("Nothing starts before"), "{place}");
    }
}
