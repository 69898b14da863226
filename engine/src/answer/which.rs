//! Coats spoken of by their place: "the top coat", "one of the layers".

use super::tables::ORDINALS;
use super::token::Token;

/// Which coat was spoken of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Which {
    /// The one at this place from the top, the first being 0.
    Nth(usize),
    /// The lowest.
    Bottom,
    /// Every one.
    All,
    /// One of them, nobody knows which.
    Some,
}

/// "the top coat", "coat 2", "the bottom layer", "all coats".
pub(super) fn which_coat(tokens: &[Token], i: usize) -> Option<(Which, usize)> {
    let coat = |k: usize| tokens.get(k).is_some_and(|t| matches!(t.stem.as_str(), "coat" | "layer"));
    let first = tokens.get(i)?;
    // "one lower layer", "one of the coats", "some layer": one of them, and not how many there are.
    if matches!(first.text.as_str(), "one" | "some" | "a") {
        let between = |k: usize| {
            tokens
                .get(k)
                .is_some_and(|t| matches!(t.text.as_str(), "of" | "the" | "lower" | "deeper" | "older" | "early" | "earlier" | "inner"))
        };
        let k = (i + 1..i + 4).find(|k| !between(*k))?;
        let is = tokens.get(k + 1).is_some_and(|t| matches!(t.text.as_str(), "is" | "was" | "has" | "may" | "might" | "could"));
        return (coat(k) && (k > i + 1 || first.text == "some" || is)).then_some((Which::Some, k + 1));
    }
    let which = match first.text.as_str() {
        "topcoat" => return Some((Which::Nth(0), i + 1)),
        "top" | "uppermost" | "outer" | "upper" | "last" => Which::Nth(0),
        "bottom" | "lowest" | "undermost" | "deepest" => Which::Bottom,
        "all" | "every" | "each" => Which::All,
        word => {
            if coat(i)
                && let Some(n) = tokens.get(i + 1).and_then(Token::number).filter(|n| n.fract() == 0.0 && (1.0..=40.0).contains(n))
                && first.text == first.stem
            {
                return Some((Which::Nth(n as usize - 1), i + 2));
            }
            Which::Nth(ORDINALS.iter().find(|(w, _)| *w == word)?.1 - 1)
        }
    };
    let k = if tokens.get(i + 1).is_some_and(|t| t.text == "the") { i + 2 } else { i + 1 };
    // "The bottom one" counts nothing.
    let placed = matches!(first.text.as_str(), "top" | "uppermost" | "bottom" | "lowest" | "undermost" | "deepest");
    let one = placed && tokens.get(k).is_some_and(|t| matches!(t.text.as_str(), "one" | "ones"));
    (coat(k) || one).then_some((which, k + 1))
}
