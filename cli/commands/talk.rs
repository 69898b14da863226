//! `ovolo talk`.

use crate::args::TalkArgs;
use crate::exit::Exit;
use crate::files;
use crate::output::Output;
use std::path::PathBuf;

pub(crate) fn talk(args: &TalkArgs, rules: &[PathBuf], output: &mut Output) -> Exit {
    let _ = (args.survey.as_ref(), args.plain, args.answers.as_ref());
    match files::rule_book(rules, output) {
        Ok(_) => Exit::Unusable,
        Err(exit) => exit,
    }
}
