//! Names the code that makes sound files, and builds again when a style file comes or goes:
//! `include_dir` notices only edits.
//!
//! A finished file is made again when the code that made it has changed, whatever the version says.
//! So that code has an identity: a hash of its sources without comments, documentation and tests,
//! and of the versions of the libraries that it plays and encodes with.

use std::fs;
use std::path::{Path, PathBuf};

use proc_macro2::{Delimiter, TokenStream, TokenTree};

/// What plays and mixes: a crate of its own.
pub(crate) const ENGINE: &str = "src/engine";
/// What plays, mixes and encodes: files, and folders with all that is in them.
pub(crate) const SAMPLES: &[&str] = &[
    ENGINE,
    "src/codec/flac",
    "src/deliver/encoder.rs",
    "src/deliver/flac.rs",
    "src/deliver/mp3.rs",
    "src/deliver/samples.rs",
    "src/deliver/wav.rs",
    "src/render/common.rs",
    "src/render/files.rs",
    "src/render/sink_thread.rs",
    "src/render/studio.rs",
];
/// The libraries that it does this with.
pub(crate) const SAMPLES_LIBRARIES: &[&str] = &[
    "flacenc",
    "mp3lame-encoder",
    "mp3lame-sys",
    "pulp",
    "rand",
    "rand_core",
    "rand_pcg",
    "rustysynth",
];

/// What writes tags, markers and the heads of files.
pub(crate) const TAGS: &[&str] =
    &["src/codec/wav", "src/deliver/comments.rs", "src/deliver/retag.rs", "src/deliver/tags.rs"];
/// The libraries that it does this with.
pub(crate) const TAGS_LIBRARIES: &[&str] = &["id3"];

fn main() {
    println!("cargo:rerun-if-changed=styles");
    println!("cargo:rerun-if-changed=build.rs");
    let root = PathBuf::from(std::env::var("CARGO_MANIFEST_DIR").unwrap_or_default());
    for (name, sources, libraries) in [
        ("COUNTOFF_SAMPLES_CODE", SAMPLES, SAMPLES_LIBRARIES),
        ("COUNTOFF_TAGS_CODE", TAGS, TAGS_LIBRARIES),
    ] {
        for source in sources.iter().filter(|source| root.join(source).exists()) {
            println!("cargo:rerun-if-changed={source}");
        }
        println!("cargo:rustc-env={name}={}", identity(&root, sources, libraries));
    }
    if root.join("Cargo.lock").exists() {
        println!("cargo:rerun-if-changed=Cargo.lock");
    }
}

/// The identity of some sources below a folder and of some libraries: BLAKE3 in hexadecimal digits.
pub(crate) fn identity(root: &Path, sources: &[&str], libraries: &[&str]) -> String {
    let mut hasher = blake3::Hasher::new();
    let mut add = |text: &str| {
        hasher.update(&(text.len() as u64).to_le_bytes()).update(text.as_bytes());
    };
    // A package of this crate is without the engine: then its version says which it is.
    let is_packaged = !root.join(ENGINE).exists();
    let is_missing = |source: &str| is_packaged && source == ENGINE;
    let engine = sources.iter().any(|source| is_missing(source)).then_some("countoff-engine");
    for source in sources.iter().filter(|source| !is_missing(source)) {
        for file in files(&root.join(source)) {
            let name = file.strip_prefix(root).unwrap_or(&file);
            // The same on every system.
            let name: Vec<_> = name.iter().map(|part| part.to_string_lossy()).collect();
            let text = read(&file);
            let tokens: TokenStream =
                text.parse().unwrap_or_else(|error| panic!("{}: {error}", file.display()));
            add(&name.join("/"));
            add(&code(tokens).to_string());
        }
    }
    // A library in somebody else's workspace has no lock file of its own.
    let lock = fs::read_to_string(root.join("Cargo.lock")).unwrap_or_default();
    for library in libraries.iter().copied().chain(engine) {
        let head = format!("name = \"{library}\"\nversion = ");
        let found = lock.replace('\r', "");
        let versions = found.split(&head).skip(1).filter_map(|rest| rest.lines().next());
        versions.for_each(|version| add(&format!("{library} {version}")));
    }
    hasher.finalize().to_hex().to_string()
}

/// A file, or all Rust files in a folder, in order; none of tests.
pub(crate) fn files(path: &Path) -> Vec<PathBuf> {
    if path.is_file() {
        return vec![path.to_owned()];
    }
    let entries = fs::read_dir(path).unwrap_or_else(|error| {
        panic!("{}: {error}; if it was moved, adapt the list in build.rs", path.display())
    });
    let mut entries: Vec<PathBuf> = entries.flatten().map(|entry| entry.path()).collect();
    entries.sort();
    let is_code = |path: &PathBuf| {
        let is_test = path.file_stem().is_some_and(|name| name == "tests");
        !is_test && (path.is_dir() || path.extension().is_some_and(|ending| ending == "rs"))
    };
    entries.into_iter().filter(is_code).flat_map(|path| files(&path)).collect()
}

fn read(file: &Path) -> String {
    fs::read_to_string(file).unwrap_or_else(|error| panic!("{}: {error}", file.display()))
}

/// The tokens of a source without its documentation and its test modules. Comments are no tokens.
fn code(tokens: TokenStream) -> TokenStream {
    let tokens: Vec<TokenTree> = tokens.into_iter().collect();
    let mut kept = TokenStream::new();
    let mut at = 0;
    while at < tokens.len() {
        let skipped = documentation(&tokens[at..]).or_else(|| test_module(&tokens[at..]));
        if let Some(skipped) = skipped {
            at += skipped;
            continue;
        }
        match &tokens[at] {
            TokenTree::Group(group) => {
                let inner = code(group.stream());
                kept.extend([TokenTree::Group(proc_macro2::Group::new(group.delimiter(), inner))]);
            }
            other => kept.extend([other.clone()]),
        }
        at += 1;
    }
    kept
}

/// The length of a doc comment at the beginning: `#[doc = "..."]` or `#![doc = "..."]`.
fn documentation(tokens: &[TokenTree]) -> Option<usize> {
    let (length, content) = attribute(tokens)?;
    content.starts_with("doc =").then_some(length)
}

/// The length of a test module at the beginning, with its attributes.
fn test_module(tokens: &[TokenTree]) -> Option<usize> {
    let (mut length, content) = attribute(tokens)?;
    if content != "cfg (test)" && content != "cfg(test)" {
        return None;
    }
    while let Some((more, _)) = attribute(&tokens[length..]) {
        length += more;
    }
    let [TokenTree::Ident(keyword), TokenTree::Ident(_), body, ..] = &tokens[length..] else {
        return None;
    };
    let is_body = match body {
        TokenTree::Group(group) => group.delimiter() == Delimiter::Brace,
        TokenTree::Punct(sign) => sign.as_char() == ';',
        _ => false,
    };
    (keyword == "mod" && is_body).then_some(length + 3)
}

/// The length and the content of an attribute at the beginning.
fn attribute(tokens: &[TokenTree]) -> Option<(usize, String)> {
    let is = |token: &TokenTree, sign| matches!(token, TokenTree::Punct(punct) if punct.as_char() == sign);
    let length = match tokens {
        [hash, TokenTree::Group(_), ..] if is(hash, '#') => 2,
        [hash, not, TokenTree::Group(_), ..] if is(hash, '#') && is(not, '!') => 3,
        _ => return None,
    };
    match &tokens[length - 1] {
        TokenTree::Group(group) if group.delimiter() == Delimiter::Bracket => {
            Some((length, group.stream().to_string()))
        }
        _ => None,
    }
}
