//! `ovolo rules …`: the workshop for house rules, a file a command.

mod check;
mod compare;
mod new;
mod print;
mod replay;
mod schemas;
mod seal;
mod show;
mod try_cases;

mod prove;

use crate::args::RulesCommand;
use crate::exit::Exit;
use crate::files;
use crate::output::Output;
use crate::problems::harmless;
use std::fmt::Write as _;
use std::path::PathBuf;

pub(crate) fn rules(command: &RulesCommand, given: &[PathBuf], output: &mut Output) -> Exit {
    let done = match command {
        RulesCommand::List => list(given, output),
        RulesCommand::New(args) => new::new(args, output),
        RulesCommand::Check(args) => check::check(args, given, output),
        RulesCommand::Try(args) => try_cases::try_cases(args, given, output),
        RulesCommand::Show(args) => show::show(args, given, output),
        RulesCommand::Print(args) => print::print(args, given, output),
        RulesCommand::Replay(args) => replay::replay(args, given, output),
        RulesCommand::Schemas(args) => schemas::schemas(args, given, output),
        RulesCommand::Compare(args) => compare::compare(args, given, output),
        RulesCommand::Prove(args) => Ok(prove::prove(args, given, output)),
        RulesCommand::Seal(args) => seal::seal(args, given, output),
    };
    done.unwrap_or_else(|exit| exit)
}

fn list(given: &[PathBuf], output: &mut Output) -> Result<Exit, Exit> {
    let book = files::rule_book(given, output)?;
    let mut text = String::new();
    for pack in &book.packs {
        let _ = writeln!(text, "{} {} ({}) {}", harmless(&pack.name), harmless(&pack.version), harmless(&pack.owner), pack.digest);
    }
    output.result(&text);
    Ok(Exit::Suited)
}
