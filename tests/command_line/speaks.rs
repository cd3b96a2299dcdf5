//! How the program speaks: to terminals, to other programs, and where nobody can hear it.

use std::process::Stdio;

use serde_json::Value;

use crate::harness::{Desk, SMALL, Said, ended};

/// Types a command of which one object of JSON on standard error is expected.
fn failed(desk: &Desk, words: &[&str], code: i32) -> Value {
    let said = desk.types(words);
    assert_eq!(said.code, code, "{words:?}: {}", said.stderr);
    assert_eq!(said.stderr.lines().count(), 1, "{words:?}: {}", said.stderr);
    let failed: Value = serde_json::from_str(&said.stderr).unwrap();
    assert_eq!(failed["event"], "failed");
    failed
}

#[test]
fn to_other_programs_errors_are_json_too() {
    let desk = Desk::with_lesson(&SMALL.replace("\"walking\"", "\"wlaking\""));
    for words in [["check", "lesson.toml", "--json"], ["render", "lesson.toml", "--json"]] {
        let failed = failed(&desk, &words, 2);
        assert_eq!((&failed["cause"], &failed["more"]), (&"input".into(), &0.into()));
        let problem = &failed["problems"][0];
        assert!(problem["message"].as_str().unwrap().contains("wlaking"), "{problem}");
        assert!(problem["help"].as_str().unwrap().contains("walking"), "{problem}");
        assert_eq!(problem["file"], "lesson.toml");
        assert_eq!((&problem["line"], &problem["column"]), (&21.into(), &8.into()));
    }
    let usage = failed(&desk, &["render", "--json", "lesson.toml", "--jobs", "none"], 2);
    assert!(usage["problems"][0]["message"].as_str().unwrap().contains("--jobs"), "{usage}");
}

#[test]
fn of_many_errors_twenty_are_shown_and_the_rest_counted() {
    let unknown: String = (0..1_000).map(|key| format!("unknown-{key} = 1\n")).collect();
    let desk = Desk::with_lesson(&SMALL.replace("title =", &format!("{unknown}title =")));
    let said = desk.types(&["check", "lesson.toml"]);
    assert_eq!(said.code, 2);
    assert_eq!(said.stderr.matches("error: ").count(), 20, "{}", said.stderr);
    assert!(said.stderr.ends_with("and 980 more problems\n"), "{}", said.stderr);
    let failed = failed(&desk, &["check", "lesson.toml", "--json"], 2);
    assert_eq!(failed["problems"].as_array().unwrap().len(), 20);
    assert_eq!(failed["more"], 980);
}

/// A full disk that is always at hand.
#[cfg(target_os = "linux")]
#[test]
fn what_could_not_be_printed_is_a_failure() {
    let desk = Desk::with_lesson(SMALL);
    let full = || std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    for words in [
        &["render", "lesson.toml", "--only", "1"][..],
        &["render", "lesson.toml", "--only", "1", "--json"],
        &["render", "lesson.toml", "--plan"],
        &["check", "lesson.toml"],
        &["styles"],
        &["--help"],
    ] {
        let said = Said::from(desk.command(words).stdout(full()).output().unwrap());
        assert_eq!(said.code, 1, "{words:?}: {}", said.stderr);
        assert!(said.stderr.contains("standard output cannot be written"), "{words:?}");
    }
}

/// Escape sequences that would change the title of a terminal, and clear it.
const TITLE: &str = "\u{1b}]0;owned\u{7}";
const CLEAR: &str = "\u{9b}2J";

#[test]
fn a_terminal_is_sent_no_sequence_that_a_file_or_a_name_holds() {
    let desk = Desk::new();
    let in_toml = "\\u001B]0;owned\\u0007\\u009B2J";
    let file = format!("lesson{CLEAR}.toml");
    let lessons = [
        SMALL.replace("title = \"Small\"", &format!("title = \"Small{in_toml}\"")),
        SMALL.replace("name = \"band\"", &format!("name = \"band{in_toml}\"")),
        SMALL.replace("| Am7b5 D7b9", &format!("| {in_toml} D7b9")),
        SMALL.replace("\"walking\"", &format!("\"{in_toml}\"")),
        SMALL.replace("title", &format!("title = \"x\" # {TITLE}{CLEAR}\nt")),
        SMALL.replace("format = 1", &format!("format = 1\n\"{in_toml}\" = 1")),
    ];
    for lesson in lessons {
        desk.write(&file, &lesson);
        for words in [
            &["check", &file][..],
            &["check", &file, "--json"],
            &["render", &file, "--plan"],
            &["render", &file, "--plan", "--only", TITLE],
            &["styles", TITLE],
            &["styles", "--styles", CLEAR],
            &["verify", TITLE],
            &["soundfonts", TITLE],
            &["techniques", TITLE],
            &["explain", &file, TITLE],
            &[TITLE],
        ] {
            let said = desk.types(words);
            let obeyed = |character: char| character.is_control() && !"\n\t".contains(character);
            for text in [&said.stdout, &said.stderr] {
                assert!(!text.contains(obeyed), "{words:?}: {text:?}\n{lesson}");
            }
        }
    }
}

#[cfg(unix)]
#[test]
fn only_regular_files_are_read() {
    let desk = Desk::new();
    for name in ["pipe.toml", "pipe.musicxml", "pipe.sf2"] {
        let mode = rustix::fs::Mode::RWXU;
        let pipe = desk.path(name);
        rustix::fs::mknodat(rustix::fs::CWD, &pipe, rustix::fs::FileType::Fifo, mode, 0).unwrap();
    }
    let chart = "key = \"Gm\"\nA = \"| Am7b5 D7b9 | Gm6 |\"";
    desk.write("lesson.toml", SMALL);
    desk.write("chart.toml", SMALL.replace(chart, "musicxml = \"pipe.musicxml\""));
    for words in [
        &["check", "pipe.toml"][..],
        &["render", "/dev/zero"],
        &["check", "chart.toml"],
        &["render", "lesson.toml", "--soundfont", "pipe.sf2"],
        &["soundfonts", "/dev/zero"],
    ] {
        let child = desk.command(words).stderr(Stdio::piped()).stdout(Stdio::piped()).spawn();
        let said = ended(child.unwrap());
        assert_eq!(said.code, 2, "{words:?}: {}", said.stderr);
        assert!(said.stderr.contains("not a regular file"), "{words:?}: {}", said.stderr);
    }
}

#[test]
fn every_kind_of_file_has_a_size_that_is_told_when_it_is_larger() {
    let desk = Desk::new();
    let large = |name: &str, megabytes: u64| {
        desk.write(name, "");
        let file = std::fs::OpenOptions::new().write(true).open(desk.path(name)).unwrap();
        file.set_len((megabytes << 20) + 1).unwrap();
    };
    large("large.toml", 1);
    large("large.musicxml", 16);
    large("large.sf2", 4096);
    large("mine/bass/large.toml", 1);
    let chart = "key = \"Gm\"\nA = \"| Am7b5 D7b9 | Gm6 |\"";
    desk.write("lesson.toml", SMALL);
    desk.write("chart.toml", SMALL.replace(chart, "musicxml = \"large.musicxml\""));
    for (words, expected) in [
        (&["check", "large.toml"][..], "larger than 1 MB"),
        (&["check", "chart.toml"], "larger than 16 MB"),
        (&["render", "lesson.toml", "--soundfont", "large.sf2"], "larger than 4 GB"),
        (&["styles", "--styles", "mine"], "larger than 1 MB"),
    ] {
        let said = desk.types(words);
        assert_eq!(said.code, 2, "{words:?}: {}", said.stderr);
        assert!(said.stderr.contains(expected), "{words:?}: {}", said.stderr);
    }
}
