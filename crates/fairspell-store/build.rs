//! The migrations are part of the program: a new one makes a new program.

fn main() {
    println!("cargo:rerun-if-changed=migrations");
}
