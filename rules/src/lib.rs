//! The standard packs, embedded. How a pack is written stands in `rules/README.md`.

use ovolo_engine::pack::PackFiles;
use std::collections::BTreeMap;

#[derive(rust_embed::RustEmbed)]
#[folder = "packs"]
struct Files;

/// The standard packs, by name.
pub fn standard() -> Vec<PackFiles> {
    let mut packs: BTreeMap<String, Vec<(String, String)>> = BTreeMap::new();
    for path in Files::iter() {
        let text = path.ends_with(".toml") || path.ends_with(".rhai");
        if let (true, Some((pack, name)), Some(file)) = (text, path.split_once('/'), Files::get(&path)) {
            let text = String::from_utf8_lossy(&file.data).into_owned();
            packs.entry(pack.to_owned()).or_default().push((name.to_owned(), text));
        }
    }
    packs.into_iter().map(|(pack, files)| PackFiles { folder: format!("rules/packs/{pack}"), files }).collect()
}

/// A house pack to start from: file names and texts. `NAME` and `OWNER` stand for what the pack is called and whose it is.
pub const TEMPLATE: [(&str, &str); 9] = [
    ("pack.toml", include_str!("../template/pack.toml")),
    ("README.md", include_str!("../template/README.md")),
    ("1-limits-and-facts.toml", include_str!("../template/1-limits-and-facts.toml")),
    ("2-rules.toml", include_str!("../template/2-rules.toml")),
    ("3-method.toml", include_str!("../template/3-method.toml")),
    ("4-words-and-places.toml", include_str!("../template/4-words-and-places.toml")),
    ("5-materials.toml", include_str!("../template/5-materials.toml")),
    ("6-work.toml", include_str!("../template/6-work.toml")),
    ("shared.rhai", include_str!("../template/shared.rhai")),
];
