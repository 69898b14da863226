//! How much a pack can hold, so that no pack can keep a machine busy or fill its memory.

use super::PackInfo;
use crate::diagnostic::{Diagnostic, SourceFile};
use crate::toml_read::Problems;
use std::sync::Arc;
use toml::Spanned;
use toml::de::DeTable;

/// The most tables of each kind in one pack; every other kind can have `MOST_OTHERS`.
const MOST: [(&str, usize); 9] = [
    ("rule", 2_000),
    ("presumption", 300),
    ("case", 10_000),
    ("fact", 1_000),
    ("grid", 16),
    ("attribute", 100),
    ("ranking", 32),
    ("grade", 500),
    ("place", 300),
];
const MOST_OTHERS: usize = 2_000;

/// Whether every pack holds no more than a pack can; those that hold more are reported.
pub(super) fn within(topics: &[(&PackInfo, &Arc<SourceFile>, Spanned<DeTable<'_>>)], problems: &Problems) -> bool {
    let mut counted: Vec<(&str, String, usize)> = Vec::new();
    for (pack, _, table) in topics {
        for (key, value) in table.get_ref() {
            let Some(items) = value.get_ref().as_array() else { continue };
            match counted.iter_mut().find(|(p, k, _)| p == &pack.name && k == key.get_ref()) {
                Some((.., n)) => *n += items.len(),
                None => counted.push((&pack.name, key.get_ref().to_string(), items.len())),
            }
        }
    }
    let mut within = true;
    for (pack, key, count) in counted {
        let most = MOST.iter().find(|(k, _)| *k == key).map_or(MOST_OTHERS, |(_, most)| *most);
        if count > most {
            within = false;
            problems.borrow_mut().push(
                Diagnostic::error(format!("pack `{pack}` has {count} of [[{key}]]; a pack can have {most}"))
                    .help("divide it into several packs, or say it with fewer"),
            );
        }
    }
    within
}
