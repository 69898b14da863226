//! Near words, for "did you mean", and small helpers for sentences.

/// The longest word that is compared with others, in bytes.
const LONGEST_WORD: usize = 100;

/// The word nearest to `given` among `known`, if it is near enough to be worth offering.
///
/// A word that begins with the other, or holds it whole, counts as near; otherwise a third of the letters may differ.
pub fn nearest<'a>(given: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // Whatever is this long is no slip of the finger.
    if given.len() > LONGEST_WORD {
        return None;
    }
    let given = given.to_lowercase();
    let mut best: Option<(usize, &str)> = None;
    for word in known {
        let lower = word.to_lowercase();
        let mut distance = strsim::osa_distance(&given, &lower) * 2;
        if given.len() >= 3 && (lower.contains(&given) || given.contains(&lower) && lower.len() >= 3) {
            distance = distance.min(3);
        }
        if distance <= (given.chars().count().max(3) * 2 / 3).max(2) && best.is_none_or(|(d, _)| distance < d) {
            best = Some((distance, word));
        }
    }
    best.map(|(_, word)| word)
}

/// `did you mean …?` where a near word exists.
pub fn did_you_mean<'a>(given: &str, known: impl IntoIterator<Item = &'a str>) -> Option<String> {
    nearest(given, known).map(|word| format!("did you mean `{word}`?"))
}

/// A near word, or else the whole choice when it is short enough to read.
pub fn offer<'a>(given: &str, known: impl IntoIterator<Item = &'a str> + Clone) -> Option<String> {
    did_you_mean(given, known.clone()).or_else(|| {
        let all: Vec<&str> = known.into_iter().collect();
        (all.len() <= 16).then(|| format!("one of {}", list(&all, "or")))
    })
}

/// `a, b and c`.
pub fn list<T: AsRef<str>>(items: &[T], and: &str) -> String {
    match items {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [front @ .., last] => {
            let front: Vec<&str> = front.iter().map(AsRef::as_ref).collect();
            format!("{} {and} {}", front.join(", "), last.as_ref())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn near_words_are_offered_and_far_ones_are_not() {
        let known = ["substrate", "ventilation", "thatch_near", "oak"];
        assert_eq!(nearest("substrat", known), Some("substrate"));
        assert_eq!(nearest("Ventilaton", known), Some("ventilation"));
        assert_eq!(nearest("thatch", known), Some("thatch_near"));
        assert_eq!(nearest("oka", known), Some("oak"));
        assert_eq!(nearest("zebra", known), None);
    }

    #[test]
    fn lists_read_as_speech() {
        assert_eq!(list(&["a", "b", "c"], "and"), "a, b and c");
        assert_eq!(list(&["a"], "or"), "a");
    }
}
