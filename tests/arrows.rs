//! Arrows one way: no module of the engine needs another that needs it back, however far round.
//!
//! Read from the paths that start with `crate::`, tests left out. What still points back is listed and may only shrink.

use crate::support::root;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

/// Arrows that still point back: from, to. Without them there is no circle.
const STILL_BACK: [(&str, &str); 3] = [("base", "reckon"), ("catalogue", "vocabulary"), ("survey", "pack")];

/// Which module needs which, with a file that shows it.
type Arrows = BTreeMap<String, BTreeMap<String, String>>;

/// The modules named by the `crate::` paths of a text, up to its tests.
fn needs(text: &str) -> BTreeSet<String> {
    let code: String = (text.split("#[cfg(test)]").next().unwrap_or_default().lines())
        .filter(|l| !l.trim_start().starts_with("//"))
        .flat_map(|l| [l, "\n"])
        .collect();
    let word = |t: &str| t.trim().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect::<String>();
    let mut found = BTreeSet::new();
    for path in code.split("crate::").skip(1) {
        match path.strip_prefix('{') {
            // Of `crate::{a::{b, c}, d}` only the outermost names are modules.
            Some(group) => {
                let mut depth = 0;
                let mut part = String::new();
                for c in group.chars() {
                    match c {
                        '{' => depth += 1,
                        '}' if depth == 0 => break,
                        '}' => depth -= 1,
                        ',' if depth == 0 => part.push('\n'),
                        _ if depth == 0 => part.push(c),
                        _ => {}
                    }
                }
                found.extend(part.split('\n').map(word));
            }
            None => {
                found.insert(word(path));
            }
        }
    }
    found
}

fn read(folder: &Path, arrows: &mut Arrows, module: Option<&str>) {
    for path in fs::read_dir(folder).expect("a folder").map(|e| e.expect("an entry").path()) {
        let stem = path.file_stem().expect("a name").to_string_lossy().into_owned();
        let module = module.unwrap_or(&stem).to_owned();
        if path.is_dir() {
            read(&path, arrows, Some(&module));
        } else if path.extension().is_some_and(|e| e == "rs") && stem != "lib" && !stem.ends_with("tests") {
            let text = fs::read_to_string(&path).expect("a text");
            let to = arrows.entry(module).or_default();
            for name in needs(&text) {
                to.entry(name).or_insert_with(|| path.display().to_string());
            }
        }
    }
}

fn arrows() -> Arrows {
    let mut all = Arrows::new();
    read(&root().join("engine/src"), &mut all, None);
    let modules: BTreeSet<String> = all.keys().cloned().collect();
    for (from, to) in &mut all {
        to.retain(|name, _| name != from && modules.contains(name));
    }
    all
}

/// Follows arrows to a module, noting the way.
fn walk<'a>(arrows: &'a Arrows, at: &'a str, goal: &str, seen: &mut BTreeSet<&'a str>, way: &mut Vec<String>) -> bool {
    for (to, file) in arrows.get(at).into_iter().flatten() {
        way.push(format!("{at} -> {to} ({file})"));
        if to == goal || seen.insert(to) && walk(arrows, to, goal, seen, way) {
            return true;
        }
        way.pop();
    }
    false
}

/// A way from one module back to itself, if there is one.
fn circle(arrows: &Arrows, from: &str) -> Option<Vec<String>> {
    let mut way = Vec::new();
    walk(arrows, from, from, &mut BTreeSet::new(), &mut way).then_some(way)
}

/// Whether one module needs another, however far round.
fn leads(arrows: &Arrows, from: &str, to: &str) -> bool {
    walk(arrows, from, to, &mut BTreeSet::new(), &mut Vec::new())
}

#[test]
fn arrows_of_the_engine_go_one_way() {
    let mut all = arrows();
    assert!(all.len() > 20, "only {} modules", all.len());
    for (from, to) in STILL_BACK {
        let gone = all.get_mut(from).and_then(|t| t.remove(to)).is_none();
        assert!(!gone, "{from} no longer needs {to}: take it off the list");
    }
    for module in all.keys() {
        if let Some(way) = circle(&all, module) {
            panic!("{module} needs itself:\n{}", way.join("\n"));
        }
    }
    // What is listed and closes no circle is no arrow back.
    for (from, to) in STILL_BACK {
        assert!(leads(&arrows(), to, from), "{from} -> {to} closes no circle: take it off the list");
    }
}

#[test]
fn a_circle_is_seen() {
    let needed =
        needs("use crate::a::{b, c};\n// crate::no\nuse crate::{d::{e, f}, g};\nfn x() { crate::h::y() }\n#[cfg(test)]\nuse crate::z;");
    assert_eq!(needed.into_iter().collect::<Vec<_>>(), ["a", "d", "g", "h"]);
    let arrow = |to: &str| BTreeMap::from([(to.to_owned(), String::new())]);
    let mut all = Arrows::from([("a".to_owned(), arrow("b")), ("b".to_owned(), arrow("c")), ("c".to_owned(), arrow("d"))]);
    assert!(circle(&all, "a").is_none() && leads(&all, "a", "d") && !leads(&all, "d", "a"));
    all.insert("d".to_owned(), arrow("b"));
    assert!(circle(&all, "b").is_some() && circle(&all, "a").is_none());
}
