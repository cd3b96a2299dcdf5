//! Reads damaged inputs with every reader of Countoff, and says what panics, hangs or contradicts
//! itself.
//!
//! ```text
//! cargo run -p fuzz -- KIND COUNT [FIRST]     KIND is one of the targets, or all in their shares
//! cargo run -p fuzz -- KIND --only INDEX      one input, and what comes of it
//! ```
//!
//! Inputs are made from the project's own valid files by [`mutate`], each from its number alone: a
//! finding is made again by its kind and number. They are built with the development profile,
//! whose arithmetic is checked for overflow. Nothing here follows which lines an input reaches, as
//! libFuzzer would; that needs a second build of everything with other flags and a C++ compiler,
//! while this runs with what `cargo test` has built.

mod hooks;
mod mutate;
mod seeds;
mod targets;

use std::io::Write as _;
use std::process::ExitCode;
use std::sync::Arc;
use std::time::Instant;

use hooks::Current;
use mutate::Mutator;
use targets::{TARGETS, Target};

const USAGE: &str = "fuzz KIND|all COUNT [FIRST]   or   fuzz KIND --only INDEX";

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let (kind, first, count) = match words[..] {
        [kind, "--only", index] => (kind, index.parse().ok(), Some(1)),
        [kind, count] => (kind, Some(0), count.parse().ok()),
        [kind, count, first] => (kind, first.parse().ok(), count.parse().ok()),
        _ => ("", None, None),
    };
    let targets: Vec<&Target> =
        TARGETS.iter().filter(|target| kind == "all" || kind == target.name).collect();
    let (Some(first), Some(count), false) = (first, count, targets.is_empty()) else {
        say(&format!("usage: {USAGE}"));
        say(&format!("kinds: {}", TARGETS.map(|target| target.name).join(", ")));
        return ExitCode::from(2);
    };
    let mut findings = 0;
    for target in targets {
        let share = if kind == "all" { (count * target.share).div_ceil(1000) } else { count };
        findings += run(target, first, share);
    }
    if findings == 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// Gives a target its inputs; says how many findings there were.
fn run(target: &Target, first: u64, count: u64) -> usize {
    let began = Instant::now();
    let seeds = (target.seeds)();
    let mut findings = Vec::new();
    for seed in &seeds {
        let read = hooks::guarded(|| (target.read)(seed));
        if read != Ok(true) {
            let start = String::from_utf8_lossy(&seed[..seed.len().min(60)]).into_owned();
            say(&format!("{}: a seed is not read: {start}: {read:?}", target.name));
            findings.push(format!("{read:?}"));
        }
    }
    let mutator = Mutator::new(target.name, seeds);
    let current = Arc::new(Current::new(target.name));
    hooks::watch(&current);
    let mut accepted = 0_u64;
    for index in first..first + count {
        let input = mutator.input(index);
        current.begin(index);
        match hooks::guarded(|| (target.read)(&input)) {
            Ok(read) => accepted += u64::from(read),
            Err(panic) => {
                // One finding a line of the program.
                let place = panic.lines().next().unwrap_or_default().to_owned();
                if !findings.contains(&place) {
                    say(&format!("{} {index}: {panic}", target.name));
                    hooks::keep(target.name, index, &input);
                    findings.push(place);
                }
            }
        }
    }
    current.end();
    let seconds = began.elapsed().as_secs_f64();
    say(&format!(
        "{:>10}: {count} inputs, {accepted} read, {} findings, {seconds:.1} s",
        target.name,
        findings.len()
    ));
    findings.len()
}

/// A line on standard output; a closed pipe is no reason to stop.
fn say(line: &str) {
    let _ = writeln!(std::io::stdout(), "{line}");
}
