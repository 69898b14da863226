//! `ovolo talk`.

use super::{known_place, refuse};
use crate::args::TalkArgs;
use crate::exit::Exit;
use crate::files;
use crate::output::Output;
use crate::problems;
use crate::talk::prompt::{self, Lines};
use crate::talk::store::{Fault, Store};
use crate::talk::{Fixed, Session};
use jiff::civil::Date;
use ovolo_engine::diagnostic::Diagnostic;
use ovolo_engine::toml_read::LARGEST_TEXT;
use std::path::{Path, PathBuf};

pub(crate) fn talk(args: &TalkArgs, rules: &[PathBuf], output: &mut Output) -> Exit {
    let date = match args.date.as_deref().map(str::parse::<Date>) {
        None => None,
        Some(Ok(date)) => Some(date),
        Some(Err(_)) => return refuse(Diagnostic::error("`--date` is not a date").help("write for example 2026-09-01"), output),
    };
    let book = match files::rule_book(rules, output) {
        Ok(book) => book,
        Err(exit) => return exit,
    };
    if let Some(Err(problem)) = args.place.as_deref().map(|place| known_place(place, Some(&book))) {
        return refuse(problem, output);
    }
    let today = jiff::ZonedDateTime::now().date();
    let path = args.survey.clone().unwrap_or_else(|| prompt::free_name(Path::new(""), date.unwrap_or(today)));
    if path.is_dir() {
        return refuse(Diagnostic::error(format!("`{}` is a folder where a survey file is wanted", path.display())), output);
    }
    if let Some(folder) = path.parent().filter(|p| !p.as_os_str().is_empty() && !p.is_dir()) {
        return refuse(Diagnostic::error(format!("the folder `{}` is not there", folder.display())), output);
    }
    let (mut store, text) = match Store::open(&path, LARGEST_TEXT) {
        Ok(open) => open,
        Err(fault) => {
            let help = match fault {
                Fault::Taken => "end the other one first; nothing was changed",
                _ => "nothing was changed",
            };
            return refuse(Diagnostic::error(format!("`{}`: {fault}", path.display())).help(help), output);
        }
    };
    let name = path.display().to_string();
    let fixed = Fixed { place: args.place.clone(), date };
    let file = text.as_deref().filter(|t| !t.trim().is_empty()).map(|t| (name.as_str(), t));
    let mut session = match Session::new(&book, file, fixed, today, output.width) {
        Ok(session) => session,
        Err(problems) => {
            problems::show_plainly(&problems, output);
            return Exit::Unusable;
        }
    };
    let mut lines = match Lines::new(args.plain, args.answers.as_deref(), output) {
        Ok(lines) => lines,
        Err(e) => {
            let from = args.answers.as_ref().map_or_else(|| "the terminal".to_owned(), |p| format!("`{}`", p.display()));
            return refuse(Diagnostic::error(format!("{from} cannot be read: {e}")), output);
        }
    };
    let typed_by_a_person =
        matches!(lines, Lines::Terminal(_)) || args.answers.is_none() && std::io::IsTerminal::is_terminal(&std::io::stdin());
    match prompt::run(&mut session, &mut store, &mut lines, file.is_none(), output) {
        // A person has seen what was not understood; a script is told by the exit code.
        Ok(understood) if understood || typed_by_a_person => Exit::Suited,
        Ok(_) => Exit::Unusable,
        Err(e) => refuse(Diagnostic::error(format!("no more lines can be read: {e}")).help("everything said so far is on disk"), output),
    }
}
