//! `ovolo rules …`.

mod prove;

use crate::args::RulesCommand;
use crate::exit::Exit;
use crate::files;
use crate::output::Output;
use std::fmt::Write as _;
use std::path::PathBuf;

pub(crate) fn rules(command: &RulesCommand, given: &[PathBuf], output: &mut Output) -> Exit {
    if let RulesCommand::Prove(args) = command {
        return prove::prove(args, given, output);
    }
    let book = match files::rule_book(given, output) {
        Ok(book) => book,
        Err(exit) => return exit,
    };
    match command {
        RulesCommand::List => {
            let mut text = String::new();
            for pack in &book.packs {
                let _ = writeln!(text, "{} {} ({}) {}", pack.name, pack.version, pack.owner, pack.digest);
            }
            output.result(&text);
            Exit::Suited
        }
        RulesCommand::Prove(_) => Exit::Suited,
    }
}
