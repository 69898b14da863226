//! Tests that are data: one file is one test.
//!
//! - `tests/situations/NAME.toml`, a survey, with `NAME.expect.toml`: what must and must not be said of it
//! - `tests/aftermath/NAME.toml`, a survey of what has happened, with what must and must not be said in its first lines
//! - `tests/values/*.toml`: a pack of worked cases, each checked against something outside, its source beside it
//! - `tests/bad/surveys/*.toml` and `tests/bad/packs/*/`: input that must be refused, with what must be said in a comment
//!   on the first lines (`# says: …`)
//! - `tests/loosening/NAME/house/`: packs that try to loosen the rule book below them, each of which must be refused
//! - `tests/dialogues/*.txt`: surveys talked through, with their screens in `tests/screens/talk`
//! - `tests/phrasings/*.toml`: what people say, and what must be understood of it
//! - `tests/looks/NAME.toml`: packs that load and deserve a look, with what must be said
//! - `tests/hostile/NAME/`: packs from strangers that must be refused without harm
//! - `tests/order.toml`: what comes before what, and why
//! - every worked case of every standard pack

mod aftermath;
mod bad;
mod dialogues;
mod hostile;
mod looks;
mod loosening;
mod order;
mod phrasings;
mod situations;
mod support;
mod values;

use libtest_mimic::{Arguments, Trial};

fn main() {
    let args = Arguments::from_args();
    let mut trials: Vec<Trial> = Vec::new();
    trials.extend(situations::trials());
    trials.extend(aftermath::trials());
    trials.extend(values::trials());
    trials.extend(bad::trials());
    trials.extend(dialogues::trials());
    trials.extend(phrasings::trials());
    trials.extend(hostile::trials());
    trials.extend(looks::trials());
    trials.extend(loosening::trials());
    trials.extend(order::trials());
    libtest_mimic::run(&args, trials).exit();
}
