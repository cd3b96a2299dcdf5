//! The styles for two hands.

use countoff::part::Hand;
use countoff::part::comp::Voicing;
use countoff::theory::{ChordSymbol, Quality};
use countoff::units::{Meter, Ticks};

use super::Played;
use super::charts::{progressions, random};

/// Every voicing of a style on many charts, with its chord.
fn voicings(style: &str) -> Vec<(ChordSymbol, Voicing)> {
    let mut found = Vec::new();
    for chart in progressions().into_iter().chain(random(Meter::FourFour, 30)) {
        let played = Played::new(style, &chart);
        if !played.voicings.warnings.is_empty() {
            continue;
        }
        for (bar, voicings) in played.timeline.bars.iter().zip(&played.voicings.bars) {
            for (slot, voicing) in bar.slots.iter().zip(voicings) {
                if let (Some(harmony), Some(voicing)) = (&slot.harmony, voicing) {
                    found.push((harmony.symbol.clone(), (**voicing).clone()));
                }
            }
        }
    }
    assert!(found.len() > 500, "{style}: {}", found.len());
    found
}

/// Drop 2: the second voice from the top of a close four-note chord goes down an octave
/// (common practice).
#[test]
fn a_spread_chord_is_close_once_its_lowest_note_goes_up_an_octave() {
    for (symbol, voicing) in voicings("spread") {
        let mut pitches = voicing.pitches();
        if pitches.len() != 4 || symbol.bass.is_some() {
            continue; // A bare fifth has fewer notes; a written bass lies where it is written.
        }
        let dropped = pitches.remove(0) + 12;
        assert!(pitches[1] < dropped && dropped < pitches[2], "{symbol} {voicing:?}");
        assert!(pitches[2] - pitches[0] < 12, "{symbol} {voicing:?}");
        let hands: Vec<Hand> = voicing.notes.iter().map(|note| note.hand).collect();
        assert_eq!(hands, [Hand::Left, Hand::Left, Hand::Right, Hand::Right]);
    }
}

/// Fourth chords: perfect, augmented and, where the scale has one, diminished fourths; a third
/// on top (common practice).
#[test]
fn fourths_are_fourths_but_for_a_third_on_top() {
    let mut stacks = 0;
    for (symbol, voicing) in voicings("fourths") {
        // Two tritones make a diminished chord, the raised fifth of an augmented one is its
        // thirteenth already; triads and written basses have what they have.
        let is_seventh_chord = symbol.bass.is_none() && symbol.degree(7).is_some();
        let is_other = matches!(symbol.quality(), Quality::Diminished | Quality::Augmented);
        if !is_seventh_chord || is_other {
            continue;
        }
        let steps: Vec<i8> = voicing
            .notes
            .windows(2)
            .map(|pair| (pair[1].name.letter.index() - pair[0].name.letter.index()).rem_euclid(7))
            .collect();
        let Some((top, lower)) = steps.split_last() else { continue };
        assert!(lower.iter().all(|step| *step == 3), "{symbol} {voicing:?}");
        assert!([2, 3].contains(top), "{symbol} {voicing:?}");
        stacks += 1;
    }
    assert!(stacks > 500, "{stacks}");
}

#[test]
fn a_ballad_lays_down_each_chord_with_both_hands_and_lets_it_ring() {
    for chart in progressions() {
        for (slot, attacks) in Played::new("ballad", &chart).chords() {
            assert_eq!(attacks.len(), 1);
            let attack = &attacks[0];
            assert_eq!(attack.at, slot.at);
            assert!(attack.notes.iter().all(|note| note.length == slot.length));
            for hand in [Hand::Left, Hand::Right] {
                assert!(attack.notes.iter().any(|note| note.hand == Some(hand)));
            }
            let lowest = attack.notes[0];
            let root = slot.harmony.as_ref().unwrap().symbol.bass_note().pitch_class();
            assert_eq!(lowest.pitch % 12, root);
            assert!(lowest.length >= Ticks(960));
        }
    }
}
