//! The command line of ovolo: reading files, calling the engine, showing what it says.
//!
//! Results go to standard output, everything else to standard error. Exit codes are listed in `exit.rs` and in the help.

mod args;
mod commands;
mod exit;
mod files;
mod output;
mod page;
mod problems;
mod render;
pub mod talk;

use args::{Cli, Command};
use clap::Parser;
use exit::Exit;
use output::Output;
use std::process::ExitCode;

/// Runs the program on the process's own arguments.
pub fn main() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => {
            // Help and version are answers; anything else is a wrong command line.
            let code = if error.use_stderr() { Exit::Unusable } else { Exit::Suited };
            let _ = error.print();
            return code.into();
        }
    };
    let mut output = Output::new(cli.color, cli.width);
    let exit = match &cli.command {
        Command::Advise(args) => commands::advise(args, &cli.rules, &mut output),
        Command::Check(args) => commands::check(args, &cli.rules, &mut output),
        Command::Approach(args) => commands::approach(args, &cli.rules, &mut output),
        Command::Aftermath(args) => commands::aftermath(args, &cli.rules, &mut output),
        Command::Talk(args) => commands::talk(args, &cli.rules, &mut output),
        Command::Patches(args) => commands::patches(args, &cli.rules, &mut output),
        Command::Reckon(command) => commands::reckon(command, &cli.rules, &mut output),
        Command::Words(args) => commands::words(args, &cli.rules, &mut output),
        Command::Rules(command) => commands::rules(command, &cli.rules, &mut output),
    };
    // A reader that leaves early (`| head`) has seen what it wanted; what was found out stays so.
    if output.lost() && exit == Exit::Suited { Exit::Unusable.into() } else { exit.into() }
}

/// The definition of the command line, for documentation and tests.
pub fn command() -> clap::Command {
    <Cli as clap::CommandFactory>::command()
}
