//! The styles that are a rhythm.

use std::collections::BTreeSet;

use countoff::part::comp::play;
use countoff::part::{BandPlan, PlayContext};
use countoff::units::{Meter, Ticks};

use super::charts::{chart, progressions};
use super::{Attack, Played};

const SECONDS: &str = "| Dm7 | G7 | Cmaj7 | A7 | Dm7 | Db7 | C6 | Ebmaj7 |";

fn offsets(bar: Ticks, attacks: &[Attack<'_>]) -> Vec<i64> {
    attacks.iter().map(|attack| (attack.at - bar).0).collect()
}

#[test]
fn four_to_the_bar_is_a_short_chord_on_every_beat() {
    for meter in [Meter::FourFour, Meter::ThreeFour, Meter::FiveFour, Meter::TwoTwo] {
        let played = Played::new("four-to-the-bar", &chart("C", meter, SECONDS));
        for (slot, attacks) in played.plain_bars() {
            let every_count: Vec<i64> = (0..meter.counts()).map(|n| 960 * i64::from(n)).collect();
            assert_eq!(offsets(slot.at, &attacks), every_count);
            let mut notes = attacks.iter().flat_map(|attack| &attack.notes);
            assert!(notes.all(|note| note.length <= Ticks(480)));
        }
    }
}

/// Charleston: hits on 1 and &2, first long, second short (jazzresources.org, "First 5 Comping
/// Patterns").
#[test]
fn the_charleston_is_long_on_one_and_short_on_the_and_of_two() {
    for chart in progressions() {
        for (slot, attacks) in Played::new("charleston", &chart).plain_bars() {
            assert_eq!(offsets(slot.at, &attacks), [0, 1440]);
            assert!(attacks[0].notes.iter().all(|note| note.length == Ticks(1440)));
            assert!(attacks[1].notes.iter().all(|note| note.length == Ticks(480)));
            assert!(attacks[1].notes[0].velocity > attacks[0].notes[0].velocity);
        }
    }
}

/// The second chord of a bar, due on 3, is played on &2 (thejazzchameleon.com).
#[test]
fn a_chord_due_on_three_comes_on_the_and_of_two() {
    let chart = chart("C", Meter::FourFour, "| Dm7 G7 | Em7 A7 |");
    for name in ["charleston", "pushes"] {
        let played = Played::new(name, &chart);
        let bars = played.timeline.bars.iter().zip(&played.voicings.bars);
        for (bar, voicings) in bars.filter(|(bar, _)| bar.slots.len() == 2) {
            let second = voicings[1].as_ref().unwrap();
            let push = played.attacks(bar.start + Ticks(1440), bar.start + Ticks(1441));
            assert_eq!(push[0].pitches(), second.pitches(), "{name}");
        }
    }
}

#[test]
fn displaced_charlestons_keep_their_distance_and_begin_everywhere() {
    let chart = chart("C", Meter::FourFour, &SECONDS.repeat(8).replace("||", "|"));
    let mut begun = BTreeSet::new();
    for (slot, attacks) in Played::new("charleston-displaced", &chart).plain_bars() {
        let eighths: Vec<i64> = offsets(slot.at, &attacks).iter().map(|at| at / 480).collect();
        let [first, second] = eighths[..] else { panic!("{eighths:?}") };
        let start = match second - first {
            3 => first,
            5 => second,
            _ => panic!("{eighths:?}"),
        };
        begun.insert(start);
    }
    assert_eq!(begun, (0..8).collect());
}

/// &2 and &4 in every bar; &4 plays the next bar's chord (jazzresources.org).
#[test]
fn pushes_are_on_the_ands_of_two_and_four_and_the_last_has_the_next_chord() {
    let played = Played::new("pushes", &chart("C", Meter::FourFour, SECONDS));
    let bars: Vec<usize> = (0..played.timeline.bars.len())
        .filter(|bar| !played.timeline.bars[*bar].slots.is_empty())
        .collect();
    for pair in bars.windows(2) {
        let bar = &played.timeline.bars[pair[0]];
        let attacks = played.attacks(bar.start, bar.end());
        assert_eq!(offsets(bar.start, &attacks), [1440, 3360]);
        let next = played.voicings.get(pair[1], 0).unwrap();
        assert_eq!(attacks[1].pitches(), next.pitches());
    }
}

#[test]
fn bossa_is_even_and_goes_in_two_bars_of_three_and_two() {
    let chart = chart("C", Meter::FourFour, SECONDS);
    let played = Played::new("bossa", &chart);
    assert!(played.style.straight);
    let bars = played.plain_bars();
    for two in bars.chunks(2) {
        assert_eq!(offsets(two[0].0.at, &two[0].1), [0, 1440, 2880]);
        let second = offsets(two[1].0.at, &two[1].1);
        assert!(second == [960, 2400] || second == [960, 2400, 3360], "{second:?}");
    }
}

#[test]
fn a_jazz_waltz_has_chords_now_in_three_and_now_in_two() {
    let chart = chart("C", Meter::ThreeFour, SECONDS);
    let played = Played::new("jazz-waltz", &chart);
    let rhythms: BTreeSet<Vec<i64>> =
        played.plain_bars().iter().map(|(slot, attacks)| offsets(slot.at, attacks)).collect();
    assert!(rhythms.contains(&vec![0, 1440]), "in two: {rhythms:?}");
    assert!(rhythms.contains(&vec![960, 1920]), "in three: {rhythms:?}");
    assert!(rhythms.iter().all(|rhythm| (1..=3).contains(&rhythm.len())), "{rhythms:?}");
}

#[test]
fn other_seeds_give_other_rhythms_and_the_same_seed_the_same() {
    let chart = chart("C", Meter::FourFour, SECONDS);
    let played = Played::new("rootless", &chart);
    let again = Played::new("rootless", &chart);
    assert_eq!(played.notes, again.notes);
    let plan = BandPlan::level(&played.timeline);
    let other = play(PlayContext::new(&played.timeline, &plan, 8), &played.style, &played.voicings);
    assert_ne!(played.notes, other.notes);
}
