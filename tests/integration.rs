//! Tests of the whole program and of what must always hold.

mod support;

mod commands;
mod properties;
