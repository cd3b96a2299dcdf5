//! What holds for every style in every meter.

use std::collections::BTreeMap;

use countoff::arrange::{BarKind, Ending};
use countoff::part::Hand;
use countoff::part::comp::{CompSettings, LineSounding, Voicing};
use countoff::style::{Library, Shelf};
use countoff::units::{Meter, Ticks};

use super::Played;
use super::charts::{progressions, random};

pub(crate) fn names() -> Vec<String> {
    Library::built_in().files(Shelf::Comp).map(|file| file.name.clone()).collect()
}

/// Each hand's width at each of its strokes, in semitones.
fn widths(voicing: &Voicing) -> Vec<u8> {
    let mut ends: BTreeMap<(u8, bool), (u8, u8)> = BTreeMap::new();
    for note in &voicing.notes {
        let hand = (note.group, note.hand == Hand::Right);
        let (low, high) = ends.entry(hand).or_insert((note.pitch, note.pitch));
        (*low, *high) = ((*low).min(note.pitch), (*high).max(note.pitch));
    }
    ends.values().map(|(low, high)| high - low).collect()
}

#[test]
fn the_fifteen_styles_are_there() {
    let expected = [
        "ballad",
        "bossa",
        "charleston",
        "charleston-displaced",
        "four-to-the-bar",
        "fourths",
        "guide-tones",
        "jazz-waltz",
        "pushes",
        "rootless",
        "shells",
        "spread",
        "stride",
        "walking",
        "walking-ghosts",
    ];
    assert_eq!(names(), expected);
}

#[test]
fn common_progressions_are_voiced_by_all_the_rules() {
    for name in names() {
        for chart in progressions() {
            let played = Played::new(&name, &chart);
            assert_eq!(played.voicings.warnings, [], "{name} {}", chart.key);
        }
    }
}

#[test]
fn notes_stay_in_register_and_reach_and_never_meet() {
    for name in names() {
        for chart in random(Meter::FourFour, 30) {
            let played = Played::new(&name, &chart);
            let style = &played.style;
            let strict = played.voicings.warnings.is_empty();
            for voicing in played.voicings.bars.iter().flatten().flatten() {
                assert!(voicing.pitches().is_sorted_by(|low, high| low < high), "{name}");
                assert!(widths(voicing).iter().all(|width| *width <= style.reach), "{name}");
                let last_group = voicing.notes.last().unwrap().group;
                for note in &voicing.notes {
                    let bass = style.bass.filter(|_| note.group < last_group);
                    let register = bass.unwrap_or(style.register);
                    assert!(!strict || register.contains(note.pitch.into()), "{name} {note:?}");
                    assert_eq!(note.spelled().unwrap().midi(), Some(note.pitch), "{name}");
                }
            }
        }
    }
}

#[test]
fn every_chord_is_heard_and_silence_is_silent() {
    for name in names() {
        for meter in Meter::ALL {
            for chart in random(meter, 12) {
                let played = Played::new(&name, &chart);
                for bar in played.timeline.bars.iter().filter(|bar| bar.kind == BarKind::Chorus) {
                    for slot in &bar.slots {
                        let (from, to) = (slot.at - meter.count(), slot.at + slot.length);
                        let classes: Vec<u8> = match &slot.harmony {
                            Some(harmony) => voicing_classes(&played, harmony),
                            None => Vec::new(),
                        };
                        let attacks = played.attacks(slot.at, to);
                        if slot.harmony.is_none() {
                            assert!(attacks.is_empty(), "{name} {meter}: notes in a silence");
                            continue;
                        }
                        let near = played.attacks(from, to);
                        let belongs =
                            |note: &&countoff::part::Note| classes.contains(&(note.pitch % 12));
                        let heard = near.iter().any(|attack| attack.notes.iter().all(belongs));
                        assert!(heard || goes_on(&played, slot.at), "{name} {meter} {chart:?}");
                    }
                }
            }
        }
    }
}

/// The pitch classes of every voicing of a chord in this timeline.
fn voicing_classes(played: &Played, harmony: &countoff::theory::Harmony) -> Vec<u8> {
    let mut classes = Vec::new();
    for (bar, voicings) in played.timeline.bars.iter().zip(&played.voicings.bars) {
        for (slot, voicing) in bar.slots.iter().zip(voicings) {
            if slot.harmony.as_deref() == Some(harmony) {
                classes.extend(voicing.iter().flat_map(|voicing| voicing.pitches()));
            }
        }
    }
    classes.into_iter().map(|pitch| pitch % 12).collect()
}

/// Was the chord there already when this slot began?
fn goes_on(played: &Played, at: Ticks) -> bool {
    let slots: Vec<_> = played.timeline.bars.iter().flat_map(|bar| &bar.slots).collect();
    let index = slots.iter().position(|slot| slot.at == at).unwrap();
    index > 0 && slots[index - 1].harmony == slots[index].harmony
}

#[test]
fn no_key_is_struck_while_it_sounds_and_no_note_is_empty() {
    for name in names() {
        for chart in random(Meter::FourFour, 20) {
            let played = Played::new(&name, &chart);
            let mut free_from: BTreeMap<u8, Ticks> = BTreeMap::new();
            for note in &played.notes {
                assert!(note.length > Ticks::ZERO, "{name}");
                let end = note.at + note.length;
                let before = free_from.insert(note.pitch, end).unwrap_or(Ticks::ZERO);
                assert!(before <= note.at, "{name} {note:?}");
            }
        }
    }
}

#[test]
fn a_small_hand_is_never_asked_for_more_than_it_spans() {
    for name in names() {
        for reach in [7, 10, 12, 14] {
            let settings = CompSettings { reach: Some(reach), ..CompSettings::default() };
            for chart in progressions().iter().step_by(5) {
                let played = Played::with(&name, chart, &settings, Ending::None);
                for voicing in played.voicings.bars.iter().flatten().flatten() {
                    assert!(widths(voicing).iter().all(|width| *width <= reach), "{name} {reach}");
                }
            }
        }
    }
}

#[test]
fn the_hands_stay_below_a_line() {
    for name in names() {
        for chart in progressions().iter().step_by(5) {
            let held = LineSounding { from: Ticks::ZERO, until: Ticks(i64::MAX), pitch: 65 };
            let settings = CompSettings { line: vec![held], ..CompSettings::default() };
            let played = Played::with(&name, chart, &settings, Ending::None);
            assert!(played.notes.iter().all(|note| note.pitch < 65), "{name}");
        }
    }
}
