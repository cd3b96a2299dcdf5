//! What is read, and what is an error or a warning.
//!
//! Rules are those of the standard (ABC 2.1, December 2011), from memory; the tunes are ours. The
//! outside check reads more of them with another reader.

use proptest::prelude::*;

use super::{AbcProblem, Defaults, Tune, TuneNote, read};
use crate::units::{Meter, Meters};

const COMMON: Defaults<'static> = Defaults { meters: Meters::constant(Meter::FourFour), fifths: 0 };

fn tune(text: &str) -> Tune {
    read(text, COMMON).unwrap_or_else(|errors| panic!("{text}: {errors:?}"))
}

/// Names with their start and length in ticks.
fn notes(text: &str) -> Vec<(String, i64, i64)> {
    let of = |note: &TuneNote| (note.pitch.to_string(), note.at.0, note.length.0);
    tune(text).notes.iter().map(of).collect()
}

fn names(text: &str) -> String {
    tune(text).notes.iter().map(|note| note.pitch.to_string()).collect::<Vec<_>>().join(" ")
}

fn lengths(text: &str) -> Vec<i64> {
    tune(text).notes.iter().map(|note| note.length.0).collect()
}

/// The first problem, and the text that it points at.
fn problem(text: &str) -> (AbcProblem, &str) {
    let error = read(text, COMMON).unwrap_err().remove(0);
    (error.problem, &text[error.span])
}

#[test]
fn octaves_go_from_commas_to_apostrophes() {
    assert_eq!(names("C,, C, C B c b c' c'' c,"), "C2 C3 C4 B4 C5 B5 C6 C7 C4");
}

#[test]
fn accidentals_hold_to_the_end_of_their_bar() {
    assert_eq!(names("^F F G F | F8"), "F#4 F#4 G4 F#4 F4");
    assert_eq!(
        names("L:1/4\n__B ^^c =d _e | B c d e"),
        "Bb4 C##5 D5 Eb5 B4 C5 D5 E5".replacen("Bb", "Bbb", 1)
    );
    assert_eq!(names("K:Gm\nL:1/4\nB =B B ^F | B F"), "Bb4 B4 B4 F#4 Bb4 F4");
}

#[test]
fn an_accidental_in_another_octave_is_told() {
    let read = tune("L:1/4\n^F f z2");
    assert_eq!(read.notes[1].pitch.to_string(), "F#5");
    assert!(read.warnings[0].starts_with("bar 1: an accidental also holds"), "{:?}", read.warnings);
    assert_eq!(names("%%propagate-accidentals octave\nL:1/4\n^F f z2"), "F#4 F5");
}

#[test]
fn lengths_are_multiples_and_parts_of_the_unit() {
    assert_eq!(
        lengths("L:1/4\nc c2 c/ c/2 c// c/4 c3/2 c3/4"),
        [960, 1920, 480, 480, 240, 240, 1440, 720]
    );
    assert_eq!(lengths("c2"), [960]);
    assert_eq!(lengths("[L:1/16] c2 [L:1/4] c2"), [480, 1920]);
}

#[test]
fn broken_rhythm_takes_from_one_and_gives_to_the_other() {
    assert_eq!(lengths("c>d e<f g>>a b<<c'"), [720, 240, 240, 720, 840, 120, 120, 840]);
    assert_eq!(notes("c>d e")[2], ("E5".to_owned(), 960, 480));
    assert_eq!(lengths("[ce]>z c"), [720, 720, 480]);
    assert_eq!(notes("c{d}>e f")[2].1, 960);
    assert_eq!(problem("c>|d"), (AbcProblem::Broken(">".to_owned()), ">"));
    assert_eq!(problem("c>").1, ">");
}

#[test]
fn groups_fit_into_the_time_of_others() {
    assert_eq!(lengths("(3cde f"), [320, 320, 320, 480]);
    assert_eq!(lengths("L:1/4\n(3:4:2 c d e"), [1280, 1280, 960]);
    assert_eq!(lengths("(3::2 cd e"), [320, 320, 480]);
    assert_eq!(lengths("(5cdefg"), [192; 5]);
    assert_eq!(lengths("(2cd"), [720, 720]);
    assert_eq!(lengths("(3c2ze"), [640, 320]);
    let compound = Defaults { meters: Meters::constant(Meter::SixEight), fifths: 0 };
    assert_eq!(read("(5cdefg", compound).unwrap().notes[0].length.0, 288);
    assert_eq!(problem("(3cd").0, AbcProblem::ShortTuplet { wanted: 3, found: 2 });
    assert_eq!(problem("c (99cd").1, "(99");
}

#[test]
fn tied_notes_are_one() {
    assert_eq!(
        notes("L:1/4\nz3 c- | c3 c"),
        [("C5".to_owned(), 2880, 3840), ("C5".to_owned(), 6720, 960),]
    );
    // A tie carries its accidental over the bar line, where it ends.
    assert_eq!(names("L:1/4\nz3 ^c- | c3 c"), "C#5 C5");
    assert_eq!(lengths("L:1/4\n[CE]-[CE] [C-E][CG]"), [1920, 1920, 1920, 960, 960]);
    for text in ["L:1/4\nc-d", "L:1/4\n[c-e] d", "L:1/4\nc4- |"] {
        assert_eq!(tune(text).warnings, ["bar 1: a tie leads to no note of its pitch"], "{text}");
    }
    assert_eq!(problem("-c").1, "-");
}

#[test]
fn notes_in_brackets_are_struck_together() {
    assert_eq!(
        notes("L:1/4\n[CEG]2 c"),
        [
            ("C4".to_owned(), 0, 1920),
            ("E4".to_owned(), 0, 1920),
            ("G4".to_owned(), 0, 1920),
            ("C5".to_owned(), 1920, 960),
        ]
    );
    assert_eq!(lengths("L:1/4\n[C2E4]/ c"), [960, 1920, 960]);
    assert_eq!(problem("c [CE").0, AbcProblem::NotClosed('['));
}

#[test]
fn a_first_bar_that_is_short_is_a_pickup() {
    let read = tune("L:1/4\nG | c4 | d2");
    assert_eq!(
        (read.pickup.0, read.bars, read.notes[0].at.0, read.notes[1].at.0),
        (960, 2, -960, 0)
    );
    assert_eq!(tune("L:1/4\nc d e |").pickup.0, 0);
    assert_eq!(problem("L:1/4\n| G | c4").1, "G");
}

#[test]
fn bars_must_add_up() {
    let (found, at) = problem("L:1/4\nc4 | c d e | f4 |");
    let length = |found: &str| (found.to_owned(), "4".to_owned());
    let (found_length, wanted) = length("3");
    assert_eq!(found, AbcProblem::BarLength { bar: 2, found: found_length, wanted });
    assert_eq!(at, "c d e");
    let (found, at) = problem("L:1/4\nc4 | c d e f g/ |");
    let (found_length, wanted) = length("4 1/2");
    assert_eq!(found, AbcProblem::BarLength { bar: 2, found: found_length, wanted });
    assert_eq!(at, "c d e f g/");
    assert_eq!(tune("c d e f g a b c' c d e f g a b c'").bars, 2);
}

#[test]
fn rests_of_bars_and_the_signs_between_bars() {
    assert_eq!(notes("Z2 | c8 |]")[0].1, 7680);
    assert_eq!(notes("L:1/4\n[| c4 || z x2 c .| c2 y2 c2 |]").last().unwrap().1, 9600);
}

#[test]
fn fields_stand_on_lines_or_in_brackets() {
    let text = "X:1\nT:A title\nC:nobody\n  M:4/4\n  L:1/4\n  K:D\n  c d e f % four\n\n [K:C] c4\n";
    assert_eq!(names(text), "C#5 D5 E5 F#5 C5");
    assert_eq!(problem("M:3/4\nc").1, "3/4");
    assert_eq!(problem("K:H\nc").1, "H");
    assert_eq!(problem("V:1\nc8|\nV:2\nc8|").0, AbcProblem::Voices);
    assert_eq!(problem("X:1\nK:C\nc8|\nX:2\nK:C\nc8|").0, AbcProblem::Tunes);
    assert_eq!(problem("c8 & C8").1, "&");
}

#[test]
fn what_is_let_pass_is_told_with_its_bar() {
    let text = "L:1/4\n\"Dm7\" d {ef}g !1!a !trill!b | \"^slow\" c4 | {g}c4\nw: one two\n";
    let mut warnings = tune(text).warnings;
    warnings.sort();
    assert_eq!(
        warnings,
        [
            "bar 1: chord symbols are not read; the chart has the chords",
            "bar 1: fingering is not read",
            "bar 1: ornaments and playing signs are not played",
            "bar 2: text over the notes is not read",
            "bar 3: words under the notes are not read",
            "bars 1 and 3: grace notes are not played",
        ]
    );
}

#[test]
fn loudness_and_accents_are_read() {
    let read = tune("L:1/4\nc !f!d !>!e .f | !p![CE]4");
    let loudness: Vec<Option<u8>> =
        read.notes.iter().map(|note| note.loudness.map(|velocity| velocity.get())).collect();
    assert_eq!(loudness, [None, Some(96), Some(96), Some(96), Some(52), Some(52)]);
    assert!(read.notes[2].accent && !read.notes[3].accent && read.notes[3].staccato);
    assert!(read.warnings.is_empty(), "{:?}", read.warnings);
}

#[test]
fn slips_are_pointed_at() {
    assert_eq!(problem("c #f"), (AbcProblem::UnknownSign('#'), "#"));
    assert_eq!(problem("c ^ d").1, "^");
    assert_eq!(problem("c0"), (AbcProblem::Length("0".to_owned()), "c0"));
    assert_eq!(problem("c {de f").1, "{");
    assert_eq!(problem("c C,,,,,,,").0, AbcProblem::PitchOutOfRange);
    assert_eq!(problem("z4 |").0, AbcProblem::Empty);
    assert_eq!(problem("").0, AbcProblem::Empty);
}

proptest! {
    #[test]
    fn no_text_stops_the_reader(text in "\\PC*") {
        check_any(&text);
    }

    #[test]
    fn no_text_of_its_signs_stops_the_reader(
        signs in prop::collection::vec(
            prop::sample::select(vec![
                "c", "C,", "^f'", "_B2", "=e/", "z", "Z3", "|", "||", ":|", "[", "]", "[CE", "(3", "(5:4",
                ")", "-", ">", "<<", "{g}", "\"G7\"", "!f!", "!", "\n", "K:Gm\n", "[L:1/4]", "%x\n",
                " ", "&", "99999999999999999999", "/", "///////", ".", "L", "Z999999", "[M:4/4]", "é",
            ]),
            0..60,
        ),
    ) {
        check_any(&signs.concat());
    }
}

/// Whatever the text is: spans lie in it, notes are ordered and have a length.
fn check_any(text: &str) {
    match read(text, COMMON) {
        Ok(tune) => {
            assert!(!tune.notes.is_empty());
            assert!(tune.notes.is_sorted_by_key(|note| note.at));
            for note in tune.notes {
                assert!(note.length.0 > 0 && text.get(note.span).is_some());
            }
        }
        Err(errors) => {
            assert!(!errors.is_empty());
            for error in errors {
                assert!(text.get(error.span.clone()).is_some(), "{error:?}");
                assert!(!error.problem.help().is_empty());
            }
        }
    }
}

/// Another reader hears the same notes: music21 10.5.1, whose answers are in the table.
#[test]
fn another_reader_hears_the_same() {
    let table = include_str!("../../../tests/facts/abc.tsv");
    let mut rows = 0;
    for row in table.lines().filter(|line| !line.starts_with('#')).skip(1) {
        let (text, expected) = row.split_once('\t').expect(row);
        let text = text.replace("; ", "\n");
        let says = |meter: &Meter| text.contains(&format!("M:{meter}\n"));
        let meter = Meter::ALL.into_iter().find(says);
        let defaults =
            Defaults { meters: Meters::constant(meter.unwrap_or(Meter::FourFour)), fifths: 0 };
        let found = read(&text, defaults).unwrap_or_else(|errors| panic!("{text}: {errors:?}"));
        let heard: Vec<(String, i64, i64)> = expected.split(' ').map(other).collect();
        let ours: Vec<(String, i64, i64)> = found
            .notes
            .iter()
            .map(|note| (note.pitch.to_string(), note.at.0, note.length.0))
            .collect();
        assert_eq!(ours, heard, "{text}");
        rows += 1;
    }
    assert!(rows >= 30);
}

/// `C4:1/3:2/3`: a pitch, and quarter notes as fractions, in ticks.
fn other(cell: &str) -> (String, i64, i64) {
    let parts: Vec<&str> = cell.split(':').collect();
    let ticks = |text: &str| {
        let (above, below) = text.split_once('/').unwrap_or((text, "1"));
        (above.parse::<i64>().unwrap() * 960).div_euclid(below.parse().unwrap())
    };
    (parts[0].to_owned(), ticks(parts[1]), ticks(parts[2]))
}
