//! The grammar files are part of the program: a file added to `grammars/` has to lead to a build.

fn main() {
    println!("cargo:rerun-if-changed=grammars");
}
