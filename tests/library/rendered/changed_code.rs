//! A program that sounds otherwise makes sound files again, and one that sounds the same makes none,
//! whatever their versions.

use std::sync::Mutex;

use countoff::deliver::Quota;
use countoff::plan::Code;
use countoff::render::{Made, Progress};
use tempfile::TempDir;

use super::harness::Prepared;

const LESSON: &str = r#"
    format = 1
    title = "Changed code"
    tempos = [300, 400]
    [files]
    formats = ["wav", "flac"]
    [[chart]]
    name = "one chord"
    key = "C"
    A = "| C6 |"
    [[track]]
    name = "left hand"
    chart = "one chord"
    comp = "shells"
    choruses = 1
    ending = "short"
"#;

/// How many files are made, tagged and kept.
#[derive(Default)]
struct Counted(Mutex<[usize; 4]>);

impl Counted {
    fn count(&self, what: usize) {
        self.0.lock().unwrap()[what] += 1;
    }
}

impl Progress for Counted {
    fn made(&self, _: &Made) {
        self.count(0);
    }
    fn tagged(&self, _: &str) {
        self.count(1);
    }
    fn kept(&self, _: &str) {
        self.count(2);
    }
    fn left_alone(&self, _: &str) {
        self.count(3);
    }
}

#[test]
fn changed_code_makes_what_it_changed() {
    let prepared = Prepared::of(LESSON);
    let home = TempDir::new().unwrap();
    let made = |code| {
        let counted = Counted::default();
        prepared.make_by(code, home.path(), Quota::default(), &counted).unwrap();
        counted.0.into_inner().unwrap()
    };
    // Two tempos in two formats; MIDI files, the page, and what is made of the notes.
    let sounds = 4;
    let first = made(Code::THIS);
    let others = first[0] - sounds;
    assert!(others >= 3, "{first:?}");
    assert_eq!(first[1..], [0, 0, 0]);
    assert_eq!(made(Code::THIS), [0, 0, sounds + others, 0]);
    let other_samples = Code { samples: "other", ..Code::THIS };
    assert_eq!(made(other_samples), [sounds, 0, others, 0]);
    assert_eq!(made(other_samples), [0, 0, sounds + others, 0]);
    let other_tags = Code { tags: "other", ..other_samples };
    assert_eq!(made(other_tags), [0, sounds, others, 0]);
    assert_eq!(made(other_tags), [0, 0, sounds + others, 0]);
}
