//! Tests of the whole program and of what must always hold.

#![allow(clippy::print_stdout, reason = "measures are printed for whoever runs the tests")]

mod support;
mod traceability;

mod approach;
mod commands;
mod comparing;
mod dates;
mod departures;
mod edges;
mod exercise;
mod exhaustive;
mod functions;
mod glossary;
mod happened;
mod keeping;
mod leads;
mod listening;
mod noted;
mod pages;
mod presumed;
mod properties;
mod question_order;
mod reckon;
mod reckon_checks;
mod schemas;
mod second_books;
mod talking;
#[cfg(unix)]
mod terminal;
mod vectors;
mod whom_to_call;
mod wire;
mod workshop;
