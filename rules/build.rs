//! Rebuilds when a pack changes or a file is added.
fn main() {
    println!("cargo:rerun-if-changed=packs");
    println!("cargo:rerun-if-changed=build.rs");
}
