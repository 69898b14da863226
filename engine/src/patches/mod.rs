//! Test patches.
