//! Builds again when a style file comes or goes: `include_dir` notices only edits.
fn main() {
    println!("cargo:rerun-if-changed=styles");
}
