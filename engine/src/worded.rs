//! Words of findings that are written as their code.

/// A closed set of words with a code each.
pub(crate) trait Worded: Copy + 'static {
    /// All of them.
    const EVERY: &'static [Self];
    /// What a program keeps.
    fn kept(self) -> String;
}

/// A word that is written as its code.
pub(crate) mod coded {
    use super::Worded;
    use serde::de::Error as _;
    use serde::{Deserialize, Deserializer, Serializer};

    pub(crate) fn serialize<W: Worded, S: Serializer>(word: &W, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&word.kept())
    }

    pub(crate) fn deserialize<'de, W: Worded, D: Deserializer<'de>>(deserializer: D) -> Result<W, D::Error> {
        let text = String::deserialize(deserializer)?;
        let found = W::EVERY.iter().copied().find(|w| w.kept() == text);
        found.ok_or_else(|| D::Error::custom(format!("no such code: {text}")))
    }
}
