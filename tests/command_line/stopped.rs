//! Whatever the program does, it stops when it is asked to, and says by its exit code why.

use std::io::{BufRead, BufReader};
use std::process::{Child, Stdio};

use rustix::process::Signal;

use crate::harness::{Desk, ended, send};

/// A band that plays for an hour.
const HOUR: &str = r#"
format = 1
title = "An hour"
tempos = [60]
[[chart]]
name = "cadence"
key = "Gm"
A = "| Am7b5 | D7b9 | Gm6 | % |"
[[track]]
name = "band"
chart = "cadence"
comp = "rootless"
bass = "walking"
drums = "ride"
choruses = 225
"#;

fn begun(desk: &Desk, words: &[&str]) -> Child {
    desk.command(words).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
}

/// The files of a set that are not whole.
fn unfinished(desk: &Desk) -> Vec<String> {
    let mut files = desk.files("lesson");
    files.retain(|file| file.contains(".unfinished") || file.ends_with(".wav"));
    files
}

#[test]
fn an_hour_that_is_being_mixed_stops_and_leaves_nothing_half_made() {
    for (signal, code) in [(Signal::INT, 130), (Signal::TERM, 143)] {
        for words in [
            &["render", "lesson.toml", "--json"][..],
            &["render", "lesson.toml", "--json", "--jobs", "1"],
            &["render", "lesson.toml", "--json", "--watch"],
        ] {
            let desk = Desk::with_lesson(HOUR);
            let mut child = begun(&desk, words);
            // The MIDI file comes before the sound.
            let mut line = String::new();
            let mut events = BufReader::new(child.stdout.as_mut().unwrap());
            while !line.contains(".mid") {
                line.clear();
                assert!(events.read_line(&mut line).unwrap() > 0, "{words:?}");
            }
            send(&child, signal);
            let said = ended(child);
            assert_eq!(said.code, code, "{words:?}: {}", said.stderr);
            assert!(said.stderr.contains("the files that are whole stay"), "{}", said.stderr);
            assert_eq!(unfinished(&desk), Vec::<String>::new(), "{words:?}");
        }
    }
}

/// Some minutes of composing.
#[cfg(target_os = "linux")]
fn exercise_books() -> String {
    let lines: String = (0..10)
        .map(|line| {
            format!(
                "[[line]]\nname = \"l{line}\"\nchart = \"c\"\ntechnique = \"enclosures\"\n\
                 count = 99\n[[track]]\nname = \"t{line}\"\nchart = \"c\"\nline = \"l{line}\"\n"
            )
        })
        .collect();
    format!(
        "format = 1\ntitle = \"Books\"\ntempos = [60]\n[[chart]]\nname = \"c\"\nkey = \"Gm\"\n\
         A = \"| Am7b5 | D7b9 | Gm6 | % | Cm7 | F7 | Bbmaj7 | Ebmaj7 |\"\n\
         form = \"A A A A A A A A A A A A A A A A\"\n{lines}"
    )
}

/// Waits until a command takes signals: a thread of its own waits for them.
#[cfg(target_os = "linux")]
fn takes_signals(child: &Child) {
    let threads = format!("/proc/{}/task", child.id());
    let waits = |thread: std::io::Result<std::fs::DirEntry>| {
        let name = std::fs::read_to_string(thread.unwrap().path().join("comm"));
        name.is_ok_and(|name| name.trim() == "signals")
    };
    while !std::fs::read_dir(&threads).unwrap().any(waits) {
        std::thread::sleep(std::time::Duration::from_millis(2));
    }
}

#[cfg(target_os = "linux")]
#[test]
fn lines_that_are_being_composed_stop() {
    for (signal, code) in [(Signal::INT, 130), (Signal::TERM, 143)] {
        for words in [&["check", "lesson.toml"][..], &["render", "lesson.toml"]] {
            let desk = Desk::with_lesson(&exercise_books());
            let child = begun(&desk, words);
            takes_signals(&child);
            std::thread::sleep(std::time::Duration::from_millis(300));
            send(&child, signal);
            let said = ended(child);
            assert_eq!(said.code, code, "{words:?}: {}", said.stderr);
            assert_eq!(desk.files("."), ["lesson.toml"]);
        }
    }
}
