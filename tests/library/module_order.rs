//! The order of the modules in `src/lib.rs` and in `src/engine/lib.rs` is law: a module may use those above
//! it only.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// The sources of this crate and of the engine.
fn source_folders() -> [PathBuf; 2] {
    ["src", "src/engine"].map(|folder| Path::new(env!("CARGO_MANIFEST_DIR")).join(folder))
}

/// The modules in the order in which `lib.rs` declares them.
fn modules(folder: &Path) -> Vec<String> {
    let text = fs::read_to_string(folder.join("lib.rs")).unwrap();
    let declared = text.lines().filter_map(|line| {
        line.trim_start_matches("pub ").strip_prefix("mod ")?.strip_suffix(';').map(str::to_owned)
    });
    declared.collect()
}

/// All Rust files in a folder and its folders.
fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            let is_crate = path.join("Cargo.toml").exists();
            found.extend(if is_crate { Vec::new() } else { sources(&path) });
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(path);
        }
    }
    found
}

/// The top-level modules that a source names after `crate::`, alone or in braces.
fn named_modules(source: &str) -> BTreeSet<String> {
    let code = source.lines().map(|line| line.split("//").next().unwrap_or_default());
    let code: String = code.flat_map(|line| line.chars().chain(['\n'])).collect();
    let mut named = BTreeSet::new();
    for (at, path) in code.match_indices("crate::") {
        // `$crate`, `other_crate::` and the like are no paths of ours.
        if code[..at].ends_with(|before: char| before.is_alphanumeric() || "_$".contains(before)) {
            continue;
        }
        let rest = &code[at + path.len()..];
        match rest.strip_prefix('{') {
            Some(group) => named.extend(first_names(group)),
            None => named.extend(leading_name(rest)),
        }
    }
    named
}

fn leading_name(text: &str) -> Option<String> {
    let end = text.find(|letter: char| !letter.is_alphanumeric() && letter != '_');
    let name = &text[..end.unwrap_or(text.len())];
    (!name.is_empty()).then(|| name.to_owned())
}

/// The first name of each path of a group whose brace was opened already.
fn first_names(group: &str) -> Vec<String> {
    let mut depth = 0;
    let mut names = Vec::new();
    let mut is_first = true;
    for (at, letter) in group.char_indices() {
        match letter {
            '{' => depth += 1,
            '}' if depth == 0 => break,
            '}' => depth -= 1,
            ',' if depth == 0 => is_first = true,
            letter if is_first && !letter.is_whitespace() => {
                names.extend(leading_name(&group[at..]));
                is_first = false;
            }
            _ => {}
        }
    }
    names
}

#[test]
fn no_module_uses_one_below_it() {
    source_folders().iter().for_each(|folder| assert_order(folder));
}

fn assert_order(folder: &Path) {
    let modules = modules(folder);
    let rank = |name: &str| modules.iter().position(|module| module == name);
    let mut read = BTreeSet::new();
    let mut backwards = Vec::new();
    for path in sources(folder) {
        let relative = path.strip_prefix(folder).unwrap();
        let first = relative.iter().next().unwrap().to_str().unwrap();
        let Some(here) = rank(first.trim_end_matches(".rs")) else {
            assert!(["lib.rs", "main.rs"].contains(&first), "{first} is in no module of lib.rs");
            continue;
        };
        read.insert(here);
        for name in named_modules(&fs::read_to_string(&path).unwrap()) {
            if rank(&name).is_some_and(|used| used > here) {
                backwards.push(format!("{} uses {name}", path.display()));
            }
        }
    }
    assert_eq!(read.len(), modules.len(), "every module was read");
    assert!(
        backwards.is_empty(),
        "against the order of the modules in {}/lib.rs:\n{}",
        folder.display(),
        backwards.join("\n")
    );
}

#[test]
fn modules_are_found_in_every_kind_of_path() {
    let source = "use crate::units::Ticks; // crate::cli\nuse crate::{\n    chart::{Bar, crate_},\n \
                  plan,\n};\nfn f(x: crate::theory::Key) -> pub_crate::mix { $crate::sound::x() }";
    let named: Vec<String> = named_modules(source).into_iter().collect();
    assert_eq!(named, ["chart", "plan", "theory", "units"]);
}
