//! Tests of the whole program and of what must always hold.

mod support;
mod traceability;

mod commands;
mod departures;
mod edges;
mod exercise;
mod exhaustive;
mod properties;
mod schemas;
mod workshop;
