//! Octaves, phrasing, and the left hand.

use super::{Force, Line, LineNote};
use crate::arrange::{BarKind, Ending, Shape};
use crate::part::test_timeline::Case;
use crate::part::{Hand, Note, Stroke};
use crate::performance::Part;
use crate::theory::Key;
use crate::units::{Ticks, Velocity};

/// Notes a count apart, each of a count, in a line in C.
fn line(pitches: &[u8]) -> Line {
    let note = |(at, pitch): (i64, &u8)| LineNote {
        at: Ticks::QUARTER * at,
        length: Ticks::QUARTER,
        pitch: *pitch,
        name: None,
        force: Force::Phrased,
    };
    Line::new("test", Key::C, (0..).zip(pitches).map(note).collect())
}

fn key(name: &str) -> Key {
    name.parse().unwrap()
}

#[test]
fn a_line_goes_to_every_key_by_the_nearest_octave_within_its_range() {
    let free = line(&[60, 72]);
    assert_eq!(free.semitones_to(Key::C), 0);
    assert_eq!(free.semitones_to(key("F")), 5);
    assert_eq!(free.semitones_to(key("G")), -5);
    let ranged = Line { range: Some(60..=79), ..free };
    for (name, semitones) in [("C", 0), ("F", 5), ("G", 7), ("Eb", 3)] {
        assert_eq!(ranged.semitones_to(key(name)), semitones, "{name}");
    }
    assert_eq!(Line { range: Some(72..=96), ..line(&[60, 72]) }.semitones_to(Key::C), 12);
}

#[test]
fn what_leaves_the_range_is_told_with_its_bar() {
    let low = line(&[60, 62, 64, 65, 40]);
    let timeline = Case::plain("| C | G7 |", 1).timeline();
    let told = low.warnings(&timeline);
    assert_eq!(told, ["the line test leaves its range, F3 to C7, in C: E2 in bar 2"]);
    assert!(line(&[60, 62]).warnings(&timeline).is_empty());
}

#[test]
fn a_phrase_rises_to_its_top_and_rests_on_a_long_end() {
    let timeline = Case::plain("| C | G7 |", 1).timeline();
    let played = line(&[60, 64, 67, 72, 67]).play(&timeline).notes;
    let force = |index: usize| played[index].velocity.get();
    assert!(force(0) < force(1) && force(1) < force(2) && force(2) < force(3));
    assert!(force(4) < force(2), "the same pitch, at the end of the phrase");
    // An off-beat leans, and one that ends a phrase is accented.
    let mut short = line(&[67, 67, 67, 67]);
    for (note, at) in short.notes.iter_mut().zip([0, 480, 960, 1440]) {
        (note.at, note.length) = (Ticks(at), Ticks::EIGHTH);
    }
    let played = short.play(&timeline).notes;
    assert!(played[1].velocity > played[0].velocity);
    assert!(played[3].velocity > played[1].velocity);
}

#[test]
fn what_was_played_or_marked_stays() {
    let mut given = line(&[60, 72, 60, 60]);
    given.notes[0].force = Force::Played(Velocity::clamped(33));
    given.notes[1].force = Force::Marked(Velocity::clamped(99));
    let unaccented = given.play(&Case::plain("| C |", 1).timeline()).notes[3].velocity;
    given.notes[3].force = Force::Accented;
    let played = given.play(&Case::plain("| C |", 1).timeline()).notes;
    assert_eq!((played[0].velocity.get(), played[0].stroke), (33, Stroke::AsPlayed));
    assert_eq!((played[1].velocity.get(), played[1].stroke), (99, Stroke::Full));
    assert!(played[3].velocity > unaccented);
}

/// A bar of C with its chord, and a bar of G7 with two.
fn left_hand() -> Line {
    let mut hand = line(&[48, 52, 55, 47, 53, 47, 53]);
    for (note, at) in hand.notes.iter_mut().zip([0, 0, 0, 3840, 3840, 5760, 5760]) {
        note.at = Ticks(at);
    }
    Line { hand: Hand::Left, ..hand }
}

#[test]
fn a_left_hand_plays_as_comp_also_where_the_student_answers() {
    let case =
        Case::plain("| C | G7 |", 1).shape(Shape::Answer { phrase_bars: 1.try_into().unwrap() });
    let timeline = case.timeline();
    let part = left_hand().play(&timeline);
    assert_eq!(part.part, Part::Comp);
    for bar in timeline.bars.iter().filter(|bar| bar.kind == BarKind::Answer) {
        let inside = |note: &&Note| note.at >= bar.start && note.at < bar.end();
        assert!(part.notes.iter().filter(inside).count() >= 3, "bar {}", bar.form_bar);
    }
    assert!(part.notes.iter().all(|note| note.hand == Some(Hand::Left)));
}

#[test]
fn a_left_hand_ends_with_what_it_played_on_the_last_chord() {
    let timeline = Case::plain("| C | G7 |", 2).ending(Ending::Held).timeline();
    let ending = timeline.bars.last().unwrap();
    assert_eq!(ending.kind, BarKind::Ending);
    let part = left_hand().play(&timeline);
    let last: Vec<(u8, i64)> = part
        .notes
        .iter()
        .filter(|note| note.at == ending.start)
        .map(|note| (note.pitch, note.length.0))
        .collect();
    assert_eq!(last, [(48, 3840), (52, 3840), (55, 3840)]);
}
