//! A line from a MIDI file, over a chart.

use countoff::codec::smf::{self, Note, Song, Track};
use countoff::units::{Tempo, Ticks, Velocity};

use crate::harness::{Desk, SMALL};

/// The first of two bars in 4/4, one note a beat from C5 up the scale, after a pickup of a beat.
fn line() -> Vec<u8> {
    let note = |(beat, pitch): (i64, u8)| Note {
        on: Ticks::QUARTER * beat,
        off: Ticks::QUARTER * beat + Ticks(700),
        pitch,
        velocity: Velocity::clamped(80),
    };
    let notes = [(0, 71), (1, 72), (2, 74), (3, 76), (4, 77)].into_iter().map(note).collect();
    let track = Track { name: "line".to_owned(), channel: 0, programs: Vec::new(), notes };
    let tempos = vec![(Ticks::ZERO, Tempo(500_000))];
    let song = Song { tempos, tracks: vec![track], end: Ticks(4800), ..Song::default() };
    smf::write(&song).unwrap()
}

/// The first track, in C, with a line over it.
fn lesson(more: &str) -> String {
    SMALL
        .replace(
            "key = \"Gm\"\nA = \"| Am7b5 D7b9 | Gm6 |\"",
            "key = \"C\"\nA = \"| Dm7 G7 | Cmaj7 |\"",
        )
        .replace("[240, 300]", "[240]")
        .replace(
            "comp = \"shells\"",
            &format!(
                "comp = \"shells\"\nline = \"up\"\nmixes = [{{}}, {{ without = [\"line\"] }}]{more}"
            ),
        )
        + "[[line]]\nname = \"up\"\nchart = \"cadence\"\nmidi = \"up.mid\"\npickup = 1\n"
}

fn line_of(desk: &Desk, path: &str) -> Vec<Note> {
    let song = smf::read(&std::fs::read(desk.path(path)).unwrap()).unwrap();
    song.tracks.into_iter().find(|track| track.name == "line").unwrap().notes
}

#[test]
fn a_pickup_sounds_inside_the_count_in_and_the_line_over_every_chorus() {
    let desk = Desk::with_lesson(&lesson("\nchoruses = 2"));
    desk.write("up.mid", line());
    desk.does(&["render", "lesson.toml", "--quiet", "--only", "1"]);
    assert!(desk.path("lesson/01-left-hand/01-left-hand_c-major_240_without-line.wav").exists());
    let notes = line_of(&desk, "lesson/01-left-hand/01-left-hand_c-major_240.mid");
    let pitches: Vec<u8> = notes.iter().map(|note| note.pitch).collect();
    assert_eq!(pitches, [71, 72, 74, 76, 77, 71, 72, 74, 76, 77]);
    // What somebody has played stays as loud as it was.
    assert!(notes.iter().all(|note| note.velocity.get() == 80), "{notes:?}");
    // Two bars of count-in; alone with the left hand a line is on the beat, but for 10 ms.
    let near = |tick: i64, expected: i64| (tick - expected).abs() <= 39;
    assert!(near(notes[0].on.0, 7680 - 960), "{:?}", notes[0]);
    assert!(near(notes[1].on.0, 7680), "{:?}", notes[1]);
    assert!(near(notes[6].on.0, 7680 * 2), "{:?}", notes[6]);
}

#[test]
fn a_line_goes_with_the_key_and_the_left_hand_stays_below_it() {
    let desk = Desk::with_lesson(&lesson(""));
    desk.write("up.mid", line());
    desk.does(&["render", "lesson.toml", "--quiet", "--only", "1", "--keys", "Eb,A"]);
    for (key, first) in [("e-flat", 74), ("a", 68)] {
        let path = format!("lesson/01-left-hand/01-left-hand_{key}-major_240.mid");
        assert_eq!(line_of(&desk, &path)[0].pitch, first, "{key}");
    }
}

#[test]
fn a_line_that_cannot_be_read_or_goes_with_another_chart_is_told() {
    let desk = Desk::with_lesson(&lesson(""));
    desk.write("up.mid", "no music");
    let said = desk.types(&["check", "lesson.toml"]);
    assert_eq!(said.code, 2);
    assert!(said.stderr.contains("up.mid"), "{}", said.stderr);
    desk.write("up.mid", line());
    desk.write("lesson.toml", lesson("").replace("line = \"up\"", "line = \"pu\""));
    let said = desk.types(&["check", "lesson.toml"]);
    assert!(said.stderr.contains("there is no line named `pu`"), "{}", said.stderr);
}
