//! A process that is killed or interrupted leaves only whole files, and the next run finishes the
//! set.

use std::io::{BufRead, BufReader};
use std::process::{Child, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use crate::harness::Desk;
#[cfg(unix)]
use crate::harness::{ended, send};
#[cfg(unix)]
use rustix::process::Signal;

/// A lesson of ten files that is made in a fraction of a second.
const QUICK: &str = r#"
format = 1
title = "Quick"
tempos = [320, 400]
[[chart]]
name = "cadence"
key = "Gm"
A = "| D7b9 | Gm6 |"
[[track]]
name = "left hand"
chart = "cadence"
comp = "shells"
stems = true
[[track]]
name = "bass"
chart = "cadence"
bass = "two-feel"
"#;

/// How many sound and MIDI files that makes. Two sheets of
/// notes, their pictures, the handout and the page come after them.
const FILES: usize = 10;

/// Moments at which the process is killed: after each number of finished files, at five delays.
const DELAYS: usize = 5;

/// How many of them must fall into the writing.
const MUST_FALL_INTO_WRITING: usize = 30;

/// The files of the set but for the manifest, which knows when they were written.
fn sounds(desk: &Desk) -> Vec<(String, Vec<u8>)> {
    let mut contents = desk.contents("lesson");
    contents.retain(|(file, _)| file != "manifest.json");
    contents
}

/// Begins to make the set, and waits until so many files are told to be made.
fn begun(desk: &Desk, files: usize) -> Child {
    let mut command = desk.command(&["render", "lesson.toml", "--json", "--jobs", "1"]);
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    let mut events = BufReader::new(child.stdout.as_mut().unwrap());
    let mut told = 0;
    while told < files {
        let mut line = String::new();
        assert!(events.read_line(&mut line).unwrap() > 0, "it ended after {told} of {files} files");
        told += usize::from(line.contains("\"made\""));
    }
    if files == 0 {
        // The list of what is about to be made comes before the first file.
        let patience = Instant::now() + Duration::from_secs(60);
        while !desk.path("lesson/manifest.json").exists() && Instant::now() < patience {
            std::thread::sleep(Duration::from_micros(200));
        }
    }
    child
}

/// Checks that every file of a broken run is one of the whole ones, byte for byte. Gives how many
/// there are, and how many unfinished ones beside them.
fn only_whole_files(desk: &Desk, expected: &[(String, Vec<u8>)]) -> (usize, usize) {
    let (unfinished, whole): (Vec<_>, Vec<_>) =
        sounds(desk).into_iter().partition(|(file, _)| file.contains(".unfinished"));
    for (file, bytes) in &whole {
        let (_, right) = expected.iter().find(|(name, _)| name == file).unwrap();
        assert!(bytes == right, "{file} is not whole");
    }
    (whole.len(), unfinished.len())
}

#[test]
fn killed_at_many_moments_the_set_is_whole_in_the_end() {
    let undisturbed = Desk::with_lesson(QUICK);
    let started = Instant::now();
    undisturbed.does(&["render", "lesson.toml", "--quiet", "--jobs", "1"]);
    let whole_run = started.elapsed();
    let expected = sounds(&undisturbed);
    assert_eq!(expected.len(), FILES + 6);

    let while_writing = AtomicUsize::new(0);
    let kill_after = |files: usize| {
        for delay in 0..DELAYS {
            let desk = Desk::with_lesson(QUICK);
            let mut child = begun(&desk, files);
            std::thread::sleep(whole_run * u32::try_from(delay).unwrap() / 40);
            child.kill().unwrap();
            child.wait().unwrap();
            let (whole, unfinished) = only_whole_files(&desk, &expected);
            // Something was being written, or written already and something else not yet begun.
            if unfinished > 0 || (whole > 0 && whole < FILES) {
                while_writing.fetch_add(1, Ordering::Relaxed);
            }
            desk.does(&["render", "lesson.toml", "--quiet"]);
            assert!(sounds(&desk) == expected, "after {files} files: the set differs");
        }
    };
    std::thread::scope(|scope| {
        for files in 0..FILES {
            scope.spawn({
                let kill_after = &kill_after;
                move || kill_after(files)
            });
        }
    });
    let while_writing = while_writing.into_inner();
    assert!(
        while_writing >= MUST_FALL_INTO_WRITING,
        "only {while_writing} of {} kills fell into the writing",
        FILES * DELAYS
    );
}

#[cfg(unix)]
#[test]
fn interrupted_it_leaves_only_whole_files_and_says_so() {
    let undisturbed = Desk::with_lesson(QUICK);
    undisturbed.does(&["render", "lesson.toml", "--quiet"]);
    let expected = sounds(&undisturbed);

    let desk = Desk::with_lesson(QUICK);
    let child = begun(&desk, 2);
    send(&child, Signal::INT);
    let said = ended(child);
    assert_eq!(said.code, 130, "{}", said.stderr);
    let failed: serde_json::Value = serde_json::from_str(&said.stderr).unwrap();
    assert_eq!(failed["cause"], "stopped");
    let message = failed["problems"][0]["message"].as_str().unwrap();
    assert!(message.contains("the files that are whole stay"), "{message}");
    let (whole, unfinished) = only_whole_files(&desk, &expected);
    assert!((2..FILES).contains(&whole), "{whole} files");
    assert_eq!(unfinished, 0, "nothing half-made is left");

    desk.does(&["render", "lesson.toml", "--quiet"]);
    assert!(sounds(&desk) == expected);
}
