//! The classic forms, against `tests/facts/voicings.tsv`.

use super::{style, timeline};
use crate::part::comp::{CompSettings, voice};
use crate::style::Start;
use crate::theory::{Key, Mode};

const FACTS: &str = include_str!("../../../../tests/facts/voicings.tsv");

/// Rows of table B in which the assumed root breaks the low interval limits (table D): these go
/// up an octave.
const TOO_LOW: [(&str, &str); 6] =
    [("D", "B"), ("Eb", "B"), ("E", "B"), ("Ab", "A"), ("A", "A"), ("Bb", "A")];

fn pitches(key: &str, chords: &str, style_name: &str, start: Start) -> Vec<Vec<u8>> {
    let settings = CompSettings { start: Some(start), ..CompSettings::default() };
    let voicings = voice(&timeline(key, chords), &style(style_name), &settings).unwrap();
    assert_eq!(voicings.warnings, [], "{key} {chords} {style_name}");
    let slots = voicings.bars.iter().flatten();
    slots.map(|voicing| voicing.as_ref().unwrap().pitches()).collect()
}

fn cadence(key: Key) -> String {
    let above = |semitones: i32| key.transposed(semitones).tonic;
    match key.mode {
        Mode::Major => format!("{}m7 | {}7 | {}maj7", above(2), above(7), key.tonic),
        Mode::Minor => format!("{}m7b5 | {}7 | {}m6", above(2), above(7), key.tonic),
    }
}

#[test]
fn both_rootless_forms_are_those_of_the_table_in_all_twelve_keys() {
    let rows: Vec<Vec<&str>> = FACTS
        .lines()
        .skip_while(|line| !line.starts_with("key\tform"))
        .skip(1)
        .take_while(|line| !line.is_empty())
        .map(|line| line.split('\t').collect())
        .collect();
    assert_eq!(rows.len(), 24);
    for row in rows {
        let (key, form) = (row[0], row[1]);
        let start = if form == "A" { Start::Third } else { Start::Seventh };
        let octave = if TOO_LOW.contains(&(key, form)) { 12 } else { 0 };
        let expected: Vec<Vec<u8>> = row[2..5]
            .iter()
            .map(|chord| chord.split(' ').map(|p| p.parse::<u8>().unwrap() + octave).collect())
            .collect();
        let chords = cadence(key.parse().unwrap());
        assert_eq!(pitches(key, &chords, "rootless", start), expected, "{key} {form}");
    }
}

#[test]
fn without_a_form_asked_for_one_of_the_two_is_taken() {
    for key in Key::circle_of_fourths(Mode::Major) {
        let name = key.to_string();
        let chords = cadence(key);
        let auto = pitches(&name, &chords, "rootless", Start::Auto);
        let third = pitches(&name, &chords, "rootless", Start::Third);
        let seventh = pitches(&name, &chords, "rootless", Start::Seventh);
        assert!(auto == third || auto == seventh, "{key}");
    }
}

/// DESIGN: so Am7b5 D7 Gm sounds Eb and Bb over D7, never E or B natural.
#[test]
fn the_minor_cadence_has_its_own_notes_over_the_dominant() {
    for start in [Start::Third, Start::Seventh] {
        let all = pitches("Gm", "Am7b5 | D7 | Gm6", "rootless", start);
        let classes: Vec<u8> = all[1].iter().map(|pitch| pitch % 12).collect();
        assert!(classes.contains(&3) && classes.contains(&10), "{classes:?}");
        assert!(!classes.contains(&4) && !classes.contains(&11), "{classes:?}");
    }
}

/// The seventh falls to the third, and no voice but a sounded root moves further than a whole
/// step (common practice; DESIGN 4).
#[test]
fn in_cadences_the_seventh_falls_to_the_third_in_small_steps() {
    for (name, first_moving_voice) in [("shells", 1), ("rootless", 0)] {
        for mode in [Mode::Major, Mode::Minor] {
            for key in Key::circle_of_fourths(mode) {
                let chords = cadence(key);
                let line = timeline(&key.to_string(), &chords);
                let voicings = voice(&line, &style(name), &CompSettings::default()).unwrap();
                assert_eq!(voicings.warnings, [], "{key} {name}");
                let all: Vec<_> = voicings.bars.iter().flatten().flatten().collect();
                for pair in all.windows(2) {
                    let voices = pair[0].notes.iter().zip(&pair[1].notes).skip(first_moving_voice);
                    for (from, to) in voices {
                        assert!(from.pitch.abs_diff(to.pitch) <= 2, "{key} {name} {all:#?}");
                        if from.asked == 7 {
                            assert_eq!(to.asked, 3, "{key} {name}");
                            assert!(to.pitch < from.pitch, "{key} {name}");
                        }
                    }
                }
            }
        }
    }
}
