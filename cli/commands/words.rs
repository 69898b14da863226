//! `ovolo words`.

use super::refuse;
use crate::args::{SheetFormat, WordsArgs};
use crate::exit::Exit;
use crate::files;
use crate::output::Output;
use crate::render;
use ovolo_engine::diagnostic::Diagnostic;
use ovolo_engine::pack::Word;
use ovolo_engine::words;
use std::path::PathBuf;

pub(crate) fn words(args: &WordsArgs, rules: &[PathBuf], output: &mut Output) -> Exit {
    let book = match files::rule_book(rules, output) {
        Ok(book) => book,
        Err(exit) => return exit,
    };
    let said = args.word.join(" ");
    let mut told: Vec<&Word> = book.glossary.iter().collect();
    if !said.is_empty() {
        told.retain(|w| w.goes_by(&said));
        if told.is_empty() {
            // A word in the name of several leads to them.
            let holds = |w: &&Word| w.forms().any(|f| f.to_lowercase().split([' ', '-']).any(|p| p == said.to_lowercase()));
            told = book.glossary.iter().filter(holds).collect();
        }
        if told.is_empty() {
            let forms = book.glossary.iter().flat_map(Word::forms);
            let help = words::did_you_mean(&said, forms).unwrap_or_else(|| "`ovolo words` lists all it knows".to_owned());
            return refuse(Diagnostic::error(format!("`{said}` is not among the words explained")).help(help), output);
        }
    }
    let text = if args.json || args.format == SheetFormat::Json {
        render::glossary::json(&told, &book)
    } else {
        render::glossary::text(&told, &book, !said.is_empty(), &render::Page::new(output, true))
    };
    output.result(&text);
    Exit::Suited
}
