//! Shells, guide tones, walking and stride.

use countoff::arrange::Ending;
use countoff::part::comp::CompSettings;
use countoff::part::{Note, Stroke};
use countoff::theory::Harmony;
use countoff::units::{Meter, Ticks};

use super::charts::{chart, progressions, random};
use super::{Attack, Played};

fn is_root(note: &Note, harmony: &Harmony) -> bool {
    note.pitch % 12 == harmony.symbol.bass_note().pitch_class()
}

#[test]
fn shells_are_root_third_and_seventh_struck_once_and_held() {
    for chart in progressions() {
        for (slot, attacks) in Played::new("shells", &chart).chords() {
            let harmony = slot.harmony.as_ref().unwrap();
            let mut expected: Vec<u8> = [1, 3, 7]
                .map(|number| harmony.pitch_class(harmony.degree(number).unwrap()))
                .to_vec();
            expected.sort_unstable();
            assert_eq!(attacks.len(), 1);
            let attack = &attacks[0];
            let mut classes: Vec<u8> = attack.pitches().iter().map(|pitch| pitch % 12).collect();
            classes.sort_unstable();
            assert_eq!(classes, expected, "{}", harmony.symbol);
            assert!(is_root(attack.notes[0], harmony));
            assert_eq!(attack.at, slot.at);
            assert!(attack.notes.iter().all(|note| note.length == slot.length));
        }
    }
}

#[test]
fn a_hand_that_spans_a_ninth_gets_shells_by_all_the_rules() {
    let settings = CompSettings { reach: Some(14), ..CompSettings::default() };
    for chart in progressions() {
        let played = Played::with("shells", &chart, &settings, Ending::None);
        assert_eq!(played.voicings.warnings, []);
    }
}

#[test]
fn guide_tones_come_after_their_root_and_above_it() {
    for chart in progressions() {
        for (slot, attacks) in Played::new("guide-tones", &chart).chords() {
            let harmony = slot.harmony.as_ref().unwrap();
            assert_eq!(attacks.len(), 2, "{}", harmony.symbol);
            let (root, guides) = (&attacks[0], &attacks[1]);
            assert_eq!((root.at, root.notes.len()), (slot.at, 1));
            assert!(is_root(root.notes[0], harmony));
            assert_eq!(guides.notes.len(), 2);
            let third = harmony.degree(3);
            let seventh = harmony.degree(7);
            for note in &guides.notes {
                assert!(note.degree == third || note.degree == seventh);
                assert!(note.pitch > root.notes[0].pitch);
            }
        }
    }
}

#[test]
fn walking_is_one_note_a_beat_root_or_fifth_and_roots_begin_chords() {
    for meter in [Meter::FourFour, Meter::ThreeFour, Meter::FiveFour, Meter::TwoTwo] {
        for chart in random(meter, 20) {
            let played = Played::new("walking", &chart);
            for (slot, attacks) in played.chords() {
                walks(slot.at, slot.length, slot.harmony.as_ref().unwrap(), &attacks, meter);
            }
        }
    }
}

#[test]
fn ghost_notes_are_soft_short_optional_roots_between_the_beats() {
    let (mut ghosts, mut places) = (0, 0);
    for chart in random(Meter::FourFour, 40) {
        let played = Played::new("walking-ghosts", &chart);
        let softest_beat = played
            .notes
            .iter()
            .filter(|note| note.stroke == Stroke::Full)
            .map(|n| n.velocity)
            .min();
        for (slot, attacks) in played.chords() {
            let harmony = slot.harmony.as_ref().unwrap();
            let (ghost, beats): (Vec<_>, Vec<_>) = attacks.into_iter().partition(Attack::is_ghost);
            walks(slot.at, slot.length, harmony, &beats, Meter::FourFour);
            places += beats.len();
            ghosts += ghost.len();
            for attack in ghost {
                let note = attack.notes[0];
                assert_eq!(attack.notes.len(), 1);
                assert_eq!((attack.at - slot.at).0 % 960, 480);
                assert!(is_root(note, harmony));
                assert!(note.length <= Ticks(240));
                assert!(2 * note.velocity.get() <= softest_beat.unwrap().get());
            }
        }
    }
    assert!(ghosts * 4 > places && ghosts * 4 < places * 3, "{ghosts} of {places}");
}

fn walks(at: Ticks, length: Ticks, harmony: &Harmony, attacks: &[Attack<'_>], meter: Meter) {
    let times: Vec<Ticks> = attacks.iter().map(|attack| attack.at).collect();
    let counts = length.0 / meter.count().0;
    let expected: Vec<Ticks> = (0..counts).map(|count| at + meter.count() * count).collect();
    assert_eq!(times, expected, "{meter} {}", harmony.symbol);
    for attack in attacks {
        assert_eq!(attack.notes.len(), 1);
        let fifth = harmony.symbol.fifth().map(|fifth| harmony.pitch_class(fifth));
        let note = attack.notes[0];
        assert!(
            is_root(note, harmony)
                || Some(note.pitch % 12) == fifth
                || note.pitch % 12 == harmony.symbol.root.pitch_class()
        );
    }
    assert!(is_root(attacks[0].notes[0], harmony));
}

#[test]
fn stride_has_a_low_note_on_one_and_three_and_a_chord_above_on_two_and_four() {
    for chart in progressions().into_iter().chain(random(Meter::FourFour, 30)) {
        let played = Played::new("stride", &chart);
        if !played.voicings.warnings.is_empty() {
            continue; // A written bass far from its chord, and the warning says what gave way.
        }
        for (slot, attacks) in played.plain_bars() {
            let Some(harmony) = &slot.harmony else { continue };
            let times: Vec<i64> = attacks.iter().map(|attack| (attack.at - slot.at).0).collect();
            assert_eq!(times, [0, 960, 1920, 2880], "{}", harmony.symbol);
            assert!(is_root(attacks[0].notes[0], harmony));
            for pair in attacks.chunks(2) {
                // C3 is MIDI 48.
                assert_eq!(pair[0].notes.len(), 1);
                assert!(pair[0].notes[0].pitch < 48);
                assert!(pair[1].notes.len() >= 2, "{}", harmony.symbol);
                assert!(pair[1].pitches().iter().all(|pitch| *pitch >= 48));
            }
        }
    }
    let waltz = chart("C", Meter::ThreeFour, "| Dm7 | G7 | Cmaj7 | A7 |");
    for (_, attacks) in Played::new("stride", &waltz).plain_bars() {
        assert!(attacks[0].notes[0].pitch < 48 && attacks.len() == 3);
        assert!(attacks[1..].iter().all(|attack| attack.notes.len() >= 3));
    }
}
