//! `ovolo reckon …`.

use super::refuse;
use crate::args::ReckonCommand;
use crate::exit::Exit;
use crate::output::Output;
use engine::diagnostic::Diagnostic;
use engine::quantity;

pub(crate) fn reckon(command: &ReckonCommand, output: &mut Output) -> Exit {
    let read = |text: &str, like: &str| quantity::find_unit(like).ok_or_else(String::new).and_then(|u| quantity::read(text, u));
    match command {
        ReckonCommand::DewPoint { air, humidity } => {
            let reckoned = read(air, "C").and_then(|air| Ok(engine::reckon::dew_point(air.base, read(humidity, "%")?.base)));
            match reckoned {
                Ok(dew) => {
                    output.result(&format!("{dew:.1} °C\n"));
                    Exit::Suited
                }
                Err(message) => refuse(Diagnostic::error(message), output),
            }
        }
    }
}
