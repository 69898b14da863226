//! The glossary: words that pages use and a newcomer may not know, each in a sentence or two.

use super::{PackInfo, Topic, need_source};
use crate::toml_read::{Keys, Place, Problems};

/// A word of the trade, explained.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Word {
    /// The word, as it stands in a sentence.
    pub word: String,
    /// Other forms and names of the same thing.
    pub also: Vec<String>,
    /// What it means, in a sentence or two.
    pub means: String,
    /// Where that comes from.
    pub source: String,
    /// The pack that explains it.
    pub pack: String,
    /// Where it is declared.
    pub declared: Place,
}

impl Word {
    /// The word and its other forms.
    pub fn forms(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.word.as_str()).chain(self.also.iter().map(String::as_str))
    }

    /// Whether it goes by these words, capitals, hyphens and a plural aside.
    pub fn goes_by(&self, said: &str) -> bool {
        let said = plain(said);
        self.forms()
            .map(plain)
            .any(|form| form == said || form.strip_suffix('s').unwrap_or(&form) == said.strip_suffix('s').unwrap_or(&said))
    }
}

/// Words without what does not matter in looking them up.
fn plain(text: &str) -> String {
    text.to_lowercase().replace('-', " ").split_whitespace().collect::<Vec<_>>().join(" ")
}

pub(super) fn read(topics: &[Topic<'_>], problems: &Problems) -> Vec<Word> {
    let mut all: Vec<Word> = Vec::new();
    for topic in topics {
        for keys in topic.keys.tables(problems, "word", "a word of the glossary") {
            let read = word(topic.pack, &keys, problems);
            keys.finish(problems);
            let Some(read) = read else { continue };
            // One word, one meaning: no pack explains the words of another anew.
            if let Some(other) = all.iter().find(|w| read.forms().any(|form| w.goes_by(form))) {
                let message = format!("`{}` is explained in pack `{}` already, under `{}`", read.word, other.pack, other.word);
                problems.borrow_mut().push(read.declared.error(message).help("leave it out, or explain a word of your own"));
                continue;
            }
            all.push(read);
        }
    }
    all.sort_by_cached_key(|w| plain(&w.word));
    all
}

fn word(pack: &PackInfo, keys: &Keys<'_>, problems: &Problems) -> Option<Word> {
    let word = keys.need_text(problems, "word");
    let means = keys.need_text(problems, "means");
    let also = keys.texts(problems, "also").iter().map(|(text, _)| (*text).to_owned()).collect();
    let source = need_source(keys, problems);
    Some(Word { word: word?.to_owned(), also, means: means?.to_owned(), source, pack: pack.name.clone(), declared: keys.place() })
}
