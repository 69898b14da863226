//! Tests of the whole program and of what must always hold.

mod support;

mod commands;
mod edges;
mod exercise;
mod properties;
