//! Lines in ABC notation, and the teacher's own left hand.

use countoff::codec::smf::{self, Note};

use crate::harness::{Desk, SMALL};

/// The first track of the small lesson, in C, with more in it, and lines.
fn lesson(track: &str, lines: &str) -> String {
    SMALL
        .replace(
            "key = \"Gm\"\nA = \"| Am7b5 D7b9 | Gm6 |\"",
            "key = \"C\"\nA = \"| Dm7 G7 | Cmaj7 |\"",
        )
        .replace("[240, 300]", "[240]")
        .replace("comp = \"shells\"", track)
        + lines
}

const ABC: &str = r#"
[[line]]
name = "up"
chart = "cadence"
abc = """
L:1/4
B, | C D (3E/F/G/ _B | c4 |
"""
"#;

const HAND: &str = r#"
[[line]]
name = "my hand"
chart = "cadence"
hand = "left"
abc = """
L:1/2
[F,C] [F,B,] | [E,B,]2 |
"""
"#;

fn part_of(desk: &Desk, path: &str, part: &str) -> Vec<Note> {
    let song = smf::read(&std::fs::read(desk.path(path)).unwrap()).unwrap();
    song.tracks.into_iter().find(|track| track.name == part).unwrap().notes
}

fn pitches(notes: &[Note]) -> Vec<u8> {
    notes.iter().map(|note| note.pitch).collect()
}

const TAKE: &str = "lesson/01-left-hand/01-left-hand";

#[test]
fn a_line_in_abc_sounds_alone_with_the_left_hand_and_without() {
    let mixes = "mixes = [{}, { only = [\"line\"] }, { without = [\"line\"] }]";
    let track = format!(
        "comp = \"shells\"\nline = \"up\"\n{mixes}\npractice = {{ shape = \"answer\", bars = 1 }}"
    );
    let desk = Desk::with_lesson(&lesson(&track, ABC));
    let said = desk.does(&["render", "lesson.toml", "--quiet", "--only", "1"]);
    assert!(!said.stderr.contains("repeats"), "{}", said.stderr);
    for mix in ["", "_without-comp", "_without-line"] {
        let path = format!("{TAKE}_c-major_240{mix}.wav");
        assert!(desk.path(&path).exists(), "{path}: {:?}", desk.files("lesson"));
    }
    let notes = part_of(&desk, &format!("{TAKE}_c-major_240.mid"), "line");
    assert_eq!(pitches(&notes), [59, 60, 62, 64, 65, 67, 70, 72]);
    // The pickup sounds in the count-in; the second bar comes after the bar to answer in.
    let near = |tick: i64, expected: i64| (tick - expected).abs() <= 39;
    assert!(near(notes[0].on.0, 7680 - 960), "{:?}", notes[0]);
    assert!(near(notes[7].on.0, 7680 * 2), "{:?}", notes[7]);
}

#[test]
fn slow_and_at_tempo_are_the_same_notes() {
    let track = "line = \"up\"\ntempos = { at = 240, slower = [75] }";
    let desk = Desk::with_lesson(&lesson(track, ABC));
    desk.does(&["render", "lesson.toml", "--quiet", "--only", "1"]);
    let slow = part_of(&desk, &format!("{TAKE}_c-major_180_slow.mid"), "line");
    let at_tempo = part_of(&desk, &format!("{TAKE}_c-major_240_at-tempo.mid"), "line");
    let forces = |notes: &[Note]| notes.iter().map(|note| note.velocity.get()).collect::<Vec<_>>();
    assert_eq!((pitches(&slow), forces(&slow)), (pitches(&at_tempo), forces(&at_tempo)));
}

#[test]
fn the_teachers_left_hand_stands_in_place_of_a_style() {
    let desk =
        Desk::with_lesson(&lesson("comp = \"my hand\"\nline = \"up\"", &(ABC.to_owned() + HAND)));
    desk.does(&["render", "lesson.toml", "--quiet", "--only", "1", "--keys", "C,Eb"]);
    for (key, up) in [("c", 0), ("e-flat", 3)] {
        let mut comp = part_of(&desk, &format!("{TAKE}_{key}-major_240.mid"), "comp");
        // Notes of a chord fall a little apart, in any order.
        comp.chunks_mut(2).for_each(|chord| chord.sort_by_key(|note| note.pitch));
        let written = [53, 60, 53, 59, 52, 59];
        let moved: Vec<u8> = written.iter().map(|pitch| pitch + up).collect();
        // The ending repeats what the hand played on the last chord.
        assert_eq!(pitches(&comp[..6]), moved, "{key}");
        assert_eq!(pitches(&comp[6..]), moved[4..], "{key}");
    }
}

#[test]
fn ladder_and_round_the_keys_take_the_line_along() {
    for (shape, choruses, name) in [
        ("{ shape = \"ladder\", from = 200, to = 240, step = 20 }", 3, "200-to-240"),
        ("{ shape = \"round the keys\", order = \"whole steps\", announce = false }", 12, "240"),
        ("{ shape = \"loop\" }", 1, "240"),
    ] {
        let track = format!("comp = \"shells\"\nline = \"up\"\npractice = {shape}");
        let desk = Desk::with_lesson(&lesson(&track, ABC));
        desk.does(&["render", "lesson.toml", "--quiet", "--only", "1"]);
        let midi = desk.files("lesson").into_iter().find(|file| file.ends_with(".mid")).unwrap();
        let notes = part_of(&desk, &format!("lesson/{midi}"), "line");
        assert_eq!(notes.len(), choruses * 8, "{name}: {midi}");
    }
}

#[test]
fn slips_in_abc_are_pointed_at_inside_the_lesson() {
    for (right, wrong, told, pointed) in [
        ("_B |", "_B c |", "bar 1 is 5 quarter notes long", "C D (3E/F/G/ _B c"),
        ("| c4 |", ":| c4 :|", "not clear where this repeat begins", ":|"),
        ("_B |", "#B |", "`#` means nothing in ABC", "#"),
        ("L:1/4", "L:1/4\nM:3/4", "the meter `3/4` is not that of the chart", "3/4"),
    ] {
        let desk = Desk::with_lesson(&lesson("line = \"up\"", &ABC.replace(right, wrong)));
        let said = desk.types(&["check", "lesson.toml"]);
        assert_eq!(said.code, 2, "{wrong}");
        assert!(said.stderr.contains(told), "{told}: {}", said.stderr);
        assert!(said.stderr.contains(pointed), "{pointed}: {}", said.stderr);
    }
}

#[test]
fn what_is_let_pass_or_leaves_the_range_is_told_with_its_bar() {
    let abc = ABC.replace("c4", "{d}c4").replace("B, |", "B,,, |");
    let desk = Desk::with_lesson(&lesson("line = \"up\"", &abc));
    let said = desk.does(&["check", "lesson.toml"]);
    let all = said.stdout + &said.stderr;
    assert!(all.contains("bar 2: grace notes are not played"), "{all}");
    assert!(all.contains("leaves its range, F3 to C7, in C: B1 in the pickup"), "{all}");
}

#[test]
fn a_line_that_is_longer_or_shorter_than_its_chart_is_told_with_the_bar() {
    for (bars, told) in [
        ("c4 | c4 | c4 |", "goes on to bar 3, but cadence has 2"),
        ("c4 |]", "ends in bar 1, and cadence has 2"),
        ("c4 | z4 |", ""),
    ] {
        let abc = ABC.replace("B, | C D (3E/F/G/ _B | c4 |", bars);
        let desk = Desk::with_lesson(&lesson("line = \"up\"", &abc));
        let said = desk.does(&["check", "lesson.toml"]);
        assert!(said.stdout.contains(told), "{bars}: {}", said.stdout);
        assert_eq!(said.stdout.contains("note: the line"), !told.is_empty(), "{}", said.stdout);
    }
}

#[test]
fn settings_that_mean_nothing_are_told() {
    for (setting, told) in [
        ("hand = \"lef\"", "`lef` means nothing here"),
        ("instrument = \"vibrafone\"", "did you mean \"Vibraphone\"?"),
        ("range = \"C4\"", "`C4` is no range"),
        ("range = \"C4 F4\"", "is too small"),
        ("range = \"C4 H6\"", "`H6` is no pitch"),
        ("pickup = 1", "`pickup` belongs to MIDI files"),
        ("midi = \"up.mid\"", "has its notes twice"),
    ] {
        let desk = Desk::with_lesson(&lesson("line = \"up\"", &(ABC.to_owned() + setting + "\n")));
        let said = desk.types(&["check", "lesson.toml"]);
        assert_eq!(said.code, 2, "{setting}");
        assert!(said.stderr.contains(told), "{setting}: {}", said.stderr);
    }
    let desk = Desk::with_lesson(&lesson("line = \"my hand\"", HAND));
    let said = desk.types(&["check", "lesson.toml"]);
    assert!(said.stderr.contains("write comp = \"my hand\""), "{}", said.stderr);
    let marimba = ABC.to_owned() + "instrument = \"marimba\"\n";
    let desk = Desk::with_lesson(&lesson("line = \"up\"", &marimba));
    let said = desk.types(&["render", "lesson.toml", "--quiet", "--only", "1"]);
    assert_eq!(said.code, 2, "{}", said.stderr);
    assert!(said.stderr.contains("Marimba"), "{}", said.stderr);
    assert!(said.stderr.contains("Vibraphone"), "{}", said.stderr);
}

/// A bar of a whole note, and one of two halves.
const SCORE: &str = r#"<score-partwise version="4.0"><part id="P1">
  <measure number="1"><attributes><divisions>1</divisions></attributes>
    <note><pitch><step>B</step><octave>4</octave></pitch><duration>4</duration></note></measure>
  <measure number="2">
    <note><pitch><step>E</step><octave>4</octave></pitch><duration>2</duration></note>
    <note><pitch><step>G</step><octave>4</octave></pitch><duration>2</duration></note></measure>
</part></score-partwise>"#;

#[test]
fn a_line_from_musicxml_goes_to_its_range() {
    let line = "[[line]]\nname = \"up\"\nchart = \"cadence\"\nmusicxml = \"up.musicxml\"\n\
                range = \"C5 C7\"\ninstrument = \"vibraphone\"\n";
    let desk = Desk::with_lesson(&lesson("line = \"up\"", line));
    desk.write("up.musicxml", SCORE);
    desk.does(&["render", "lesson.toml", "--quiet", "--only", "1", "--keys", "C,F"]);
    for (key, expected) in [("c", [83, 76, 79]), ("f", [88, 81, 84])] {
        let notes = part_of(&desk, &format!("{TAKE}_{key}-major_240.mid"), "line");
        assert_eq!(pitches(&notes), expected, "{key}");
    }
    desk.write("up.musicxml", SCORE.replace("<duration>4<", "<duration>5<"));
    let said = desk.types(&["check", "lesson.toml"]);
    assert_eq!(said.code, 2);
    assert!(said.stderr.contains("measure 1"), "{}", said.stderr);
}

#[test]
fn a_left_hand_of_ones_own_is_drawn_by_check() {
    let desk = Desk::with_lesson(&lesson("comp = \"my hand\"", HAND));
    let said = desk.does(&["check", "lesson.toml", "--only", "1"]);
    for row in ["Dm7    F3 C4", "G7     F3 B3", "Cmaj7  E3 B3"] {
        assert!(said.stdout.contains(row), "{row}: {}", said.stdout);
    }
    let json = desk.does(&["check", "lesson.toml", "--only", "1", "--json"]);
    let checked: serde_json::Value = serde_json::from_str(&json.stdout).unwrap();
    assert_eq!(checked["tracks"][0]["bars"][0][0]["notes"], serde_json::json!(["F3", "C4"]));
}

#[test]
fn an_instrument_that_the_soundfont_lacks_is_told_before_anything_is_made() {
    let track = "line = \"up\"";
    let sitar = ABC.replace("chart =", "instrument = \"Sitar\"\nchart =");
    let said = Desk::with_lesson(&lesson(track, &sitar)).types(&["check", "lesson.toml"]);
    assert_eq!(said.code, 2);
    for told in ["the SoundFont has no Sitar", "\"Sitar\"", "Vibraphone"] {
        assert!(said.stderr.contains(told), "{told}: {}", said.stderr);
    }
    let flute = ABC.replace("chart =", "instrument = \"flute\"\nchart =");
    Desk::with_lesson(&lesson(track, &flute)).does(&["check", "lesson.toml"]);
}
