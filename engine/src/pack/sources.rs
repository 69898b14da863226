//! A house pack lists sources of its own; it cannot change what the sources of other packs are called.

use super::RuleBook;
use crate::catalogue::EntryKind;
use crate::toml_read::Problems;

/// Reports every listed source of a house pack that would be read into a text of another pack.
pub(super) fn keep_their_words(book: &RuleBook, problems: &Problems) {
    let house = |pack: &str| book.packs.iter().any(|p| p.house && p.name == pack);
    if !book.sources.values().any(|s| house(&s.pack)) {
        return;
    }
    let mut others: Vec<(&str, &str)> = Vec::new();
    others.extend(book.rules.iter().map(|r| (r.pack.as_str(), r.source.as_str())));
    others.extend(book.presumptions.iter().map(|p| (p.pack.as_str(), p.source.as_str())));
    others.extend(book.rules.iter().flat_map(|r| r.sources.values().map(|s| (r.pack.as_str(), s.as_str()))));
    others.extend(book.presumptions.iter().flat_map(|p| p.sources.values().map(|s| (p.pack.as_str(), s.as_str()))));
    others.extend(book.base.limits.values().flat_map(|l| &l.values).map(|v| (v.pack.as_str(), v.source.as_str())));
    for kind in EntryKind::ALL {
        others.extend(book.base.catalogue.entries(kind).values().map(|e| (e.pack.as_str(), e.source.as_str())));
    }
    for grid in book.base.catalogue.grids.values() {
        for (row, cells) in grid.cells.iter().enumerate() {
            for (column, cell) in cells.iter().enumerate() {
                // A grade belongs to whoever brought the row or the column; house packs grade only what they bring.
                let of = |kind: EntryKind, i: usize| book.base.catalogue.entries(kind)[i].pack.as_str();
                let (r, c) = (of(grid.rows, row), of(grid.columns, column));
                others.push((if house(r) { r } else { c }, cell.source.as_str()));
            }
        }
    }
    others.extend(book.ranking.iter().map(|r| ("", r.source.as_str())));
    others.extend(book.grades.iter().map(|g| ("", g.source.as_str())));
    others.extend(book.doubts.iter().map(|d| ("", d.source.as_str())));
    others.extend(book.callers.iter().map(|c| (c.pack.as_str(), c.source.as_str())));
    others.extend(book.glossary.iter().map(|w| (w.pack.as_str(), w.source.as_str())));
    for (id, source) in book.sources.iter().filter(|(_, s)| house(&s.pack)) {
        let read = |text: &str| text.split(';').any(|part| part.trim().split([',', ' ']).next() == Some(id.as_str()));
        let taken = id == "common" || id == "from" || others.iter().any(|(pack, text)| *pack != source.pack && read(text));
        if taken {
            problems.borrow_mut().push(
                source
                    .declared
                    .error(format!("the source `{id}` would be read into sources of other packs"))
                    .help("take an id of your own, such as the firm's name and `-handbook`"),
            );
        }
    }
}
