//! Tells cargo that the trees are part of the program, so that a changed tree is embedded anew.

#![allow(clippy::print_stdout)] // A build script speaks to cargo by printing.

fn main() {
    println!("cargo::rerun-if-changed=trees");
    println!("cargo::rerun-if-changed=src/build.rs");
}
