//! Tests of the whole program and of what must always hold.

#![allow(clippy::print_stdout, reason = "measures are printed for whoever runs the tests")]

mod support;
mod traceability;

mod approach;
mod arrows;
mod commands;
mod comparing;
mod dates;
mod departures;
mod edges;
mod examples;
mod exercise;
mod exhaustive;
mod front_door;
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
mod roles;
mod schemas;
mod second_books;
mod strangers;
mod talking;
#[cfg(unix)]
mod terminal;
mod trade_in_packs;
mod vectors;
mod whom_to_call;
mod wire;
mod workshop;
