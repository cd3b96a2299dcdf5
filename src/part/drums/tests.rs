//! What every drum style promises, on many charts, seeds and meters, and what each is.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use proptest::prelude::*;

use super::*;
use crate::arrange::Shape;
use crate::part::BandPlan;
use crate::part::test_timeline::{Case, any_case};
use crate::performance::recordings;
use crate::style::{Kit, Library, Shelf, StyleFile};
use crate::units::Meter;

const INTENSITIES: [Intensity; 3] = [Intensity::Light, Intensity::Medium, Intensity::Full];

/// The built-in styles by name.
static STYLES: LazyLock<BTreeMap<String, DrumStyle>> = LazyLock::new(|| {
    let library = Library::built_in();
    let read = |file: &StyleFile| (file.name.clone(), DrumStyle::read(file).unwrap());
    library.files(Shelf::Drums).map(read).collect()
});

fn notes(case: &Case, style: &str, intensity: Intensity) -> Vec<Note> {
    let timeline = case.timeline();
    let plan = BandPlan::level(&timeline);
    play(PlayContext::new(&timeline, &plan, case.seed), &STYLES[style], intensity).notes
}

/// The times at which a key is struck, from the start of its bar, bar by bar without the
/// count-in.
fn by_bar(case: &Case, style: &str, intensity: Intensity, key: u8) -> Vec<Vec<i64>> {
    let notes = notes(case, style, intensity);
    let timeline = case.timeline();
    let bars = timeline.bars.iter().skip(1);
    bars.map(|bar| {
        let end = bar.start + bar.meter.bar();
        let of_key = notes.iter().filter(|note| note.pitch == key);
        let in_bar = of_key.filter(|note| (bar.start..end).contains(&note.at));
        in_bar.map(|note| (note.at - bar.start).0).collect()
    })
    .collect()
}

fn sixteen_bars(meter: Meter) -> Case {
    Case::plain("Cmaj7 | Am7 | Dm7 | G7", 4).meter(meter)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn the_drummer_rests_with_the_chart(case in any_case()) {
        let timeline = case.timeline();
        for (name, intensity) in STYLES.keys().flat_map(|name| INTENSITIES.map(|i| (name, i))) {
            for note in notes(&case, name, intensity) {
                let bar = timeline.bar(note.at).unwrap();
                prop_assert!(bar.kind != BarKind::CountIn && note.at < timeline.end);
                let slot = bar.slots.iter().rfind(|slot| slot.at <= note.at).unwrap();
                prop_assert!(slot.harmony.is_some(), "{} plays in N.C.", name);
                prop_assert!(note.length > Ticks::ZERO);
            }
        }
    }

    /// No two ride or hi-hat strokes are the same recording twice in a row, nor at a loop's joint.
    #[test]
    fn no_recording_sounds_twice_in_a_row(case in any_case()) {
        for (name, intensity) in STYLES.keys().flat_map(|name| INTENSITIES.map(|i| (name, i))) {
            let program = STYLES[name].kit.program();
            let all = notes(&case, name, intensity);
            for key in [38, 42, 44, 51].into_iter().filter(|key| recordings(program, *key) > 1) {
                let mut strokes: Vec<u8> =
                    all.iter().filter(|note| note.pitch == key).map(|note| note.variant).collect();
                if case.arrangement.shape == Shape::Loop && strokes.len() > 1 {
                    strokes.push(strokes[0]);
                }
                prop_assert!(strokes.windows(2).all(|two| two[0] != two[1]), "{} {:?}", name, strokes);
            }
        }
    }

    #[test]
    fn the_tempo_changes_nothing(case in any_case()) {
        for name in STYLES.keys() {
            let slow = notes(&case.clone().tempo(40.0), name, Intensity::Medium);
            prop_assert_eq!(slow, notes(&case.clone().tempo(300.0), name, Intensity::Medium));
        }
    }

    /// Fuller: at least 1.4 times the hits, and harder.
    #[test]
    fn full_is_fuller_than_light(seed in any::<u64>()) {
        for meter in Meter::ALL {
            let case = sixteen_bars(meter).seed(seed);
            for name in STYLES.keys() {
                let [light, medium, full] = INTENSITIES.map(|i| notes(&case, name, i));
                prop_assert!(full.len() * 10 >= light.len() * 14,
                    "{} {}: {} to {}", name, meter, light.len(), full.len());
                prop_assert!(medium.len() >= light.len() && medium.len() < full.len(),
                    "{} {}: {} {} {}", name, meter, light.len(), medium.len(), full.len());
            }
        }
    }
}

/// Sabatella, A Jazz Improvisation Primer: ride on 1, 2 and, 3, 4 and; hi-hat on 2 and 4. Players
/// vary it and keep the beat (from memory): it is the commonest bar, and less than two thirds of all.
/// Kick feathered on all four at a velocity of 15 to 30 (trade article, and from memory).
#[test]
fn ride_is_the_swing_pattern_with_hi_hat_and_feathered_kick() {
    let case = sixteen_bars(Meter::FourFour);
    for intensity in INTENSITIES {
        let time = Case::plain(&["C6"; 7].join(" | "), 60);
        let rides = by_bar(&time, "ride", intensity, 51);
        let mut plain = 0;
        let mut kinds = BTreeMap::new();
        for (index, bar) in rides.iter().enumerate() {
            // Six bars of time and a fill.
            if index % 7 < 6 {
                assert!([0, 960, 1920, 2880].iter().all(|beat| bar.contains(beat)), "{bar:?}");
                plain += usize::from(*bar == [0, 960, 1440, 1920, 2880, 3360]);
                *kinds.entry(bar).or_insert(0) += 1;
            }
        }
        let share = plain * 100 / kinds.values().sum::<usize>();
        assert!((35..60).contains(&share), "{intensity:?}: {share} %");
        assert!(kinds.len() >= 5 && kinds.values().all(|count| *count <= plain));
        for bar in by_bar(&case, "ride", intensity, 44) {
            assert_eq!(bar, [960, 2880]);
        }
        let feathered = |note: &&Note| note.pitch == 36 && (15..=30).contains(&note.velocity.get());
        let kicks = notes(&time, "ride", intensity);
        let kicks = kicks.iter().filter(feathered).count();
        assert!(kicks >= 60 * 6 * 3, "{kicks}");
    }
}

#[test]
fn brushes_swirl_without_a_break_and_tap() {
    assert_eq!(STYLES["brushes"].kit, Kit::Brushes);
    let case = sixteen_bars(Meter::FourFour);
    let notes = notes(&case, "brushes", Intensity::Medium);
    let swirls: Vec<&Note> = notes.iter().filter(|note| note.pitch == 40).collect();
    assert!(swirls.windows(2).all(|two| two[0].at + two[0].length == two[1].at));
    assert!(by_bar(&case, "brushes", Intensity::Light, 38).iter().all(|bar| bar.len() >= 4));
    assert!(by_bar(&case, "brushes", Intensity::Light, 44).iter().all(|bar| *bar == [960, 2880]));
}

#[test]
fn bossa_is_even_with_a_two_bar_pattern_on_the_cross_stick() {
    assert!(STYLES["bossa"].straight);
    for intensity in INTENSITIES {
        let bars = by_bar(&sixteen_bars(Meter::FourFour), "bossa", intensity, 37);
        for two in bars.chunks_exact(2) {
            assert_eq!(two, [vec![0, 1440, 2880], vec![960, 2400]]);
        }
    }
}

/// Sabatella: in 3/4 the ride on 1, 2 and, 3; the hi-hat on 2, or on 2 and 3.
#[test]
fn waltz_is_the_pattern_in_three() {
    let case = sixteen_bars(Meter::ThreeFour);
    for intensity in INTENSITIES {
        for bar in by_bar(&case, "waltz", intensity, 51) {
            assert!([0, 960, 1440, 1920].iter().all(|time| bar.contains(time)), "{bar:?}");
        }
        for bar in by_bar(&case, "waltz", intensity, 44) {
            assert!(bar == [960] || bar == [960, 1920], "{bar:?}");
        }
    }
}

#[test]
fn shuffle_is_every_eighth_and_a_back_beat() {
    let case = sixteen_bars(Meter::FourFour);
    for bar in by_bar(&case, "shuffle", Intensity::Medium, 51) {
        assert!(bar.len() >= 7 && bar.iter().all(|time| time % 480 == 0));
    }
    for bar in by_bar(&case, "shuffle", Intensity::Medium, 38) {
        assert!(bar.contains(&960) && bar.contains(&2880));
    }
}

#[test]
fn fills_end_eight_bars_and_the_form() {
    let ride = &STYLES["ride"];
    assert_eq!(ride.fill_every, 8);
    let chart = ["C6"; 12].join(" | ");
    let case = Case::plain(&chart, 2);
    let timeline = case.timeline();
    let hard = notes(&case, "ride", Intensity::Medium);
    let mut fills: Vec<usize> = hard
        .iter()
        .filter(|note| is_of_a_fill(note))
        .map(|note| timeline.bar_index(note.at) - 1)
        .collect();
    fills.dedup();
    assert_eq!(fills, [7, 11, 19, 23]);
}

/// Snare and toms, harder than against the time.
fn is_of_a_fill(note: &Note) -> bool {
    matches!(note.pitch, 38 | 39 | 41 | 43 | 45 | 47 | 48 | 50) && note.velocity.get() >= 57
}

/// At least eight different fills by place, length and intensity, and a kick that is heard or a crash
/// on the first beat after each (both from memory).
#[test]
fn fills_differ_and_something_lands_after_each() {
    let chart = ["C6"; 16].join(" | ");
    for name in STYLES.keys() {
        let meter = if name == "waltz" { Meter::ThreeFour } else { Meter::FourFour };
        let case = Case::plain(&chart, 30).meter(meter);
        let timeline = case.timeline();
        let mut kinds = std::collections::BTreeSet::new();
        for intensity in [Intensity::Medium, Intensity::Full] {
            let notes = notes(&case, name, intensity);
            let every = STYLES[name].fill_every as usize;
            for (index, bar) in timeline.bars.iter().enumerate().skip(1) {
                let of_form = bar.form_bar as usize + 1;
                if !of_form.is_multiple_of(every) && of_form != 16 {
                    continue;
                }
                let in_bar = notes.iter().filter(|note| timeline.bar_index(note.at) == index);
                let fill: Vec<_> = in_bar
                    .filter(|note| ![51, 42, 44, 46].contains(&note.pitch))
                    .map(|note| (note.at - bar.start, note.pitch))
                    .collect();
                kinds.insert(fill);
                let lands = |note: &Note| {
                    note.at == bar.end()
                        && matches!(note.pitch, 36 | 49)
                        && note.velocity.get() >= 45
                };
                let goes_on = timeline.bars.get(index + 1).is_some();
                assert!(!goes_on || notes.iter().any(lands), "{name}: nothing lands in {index}");
            }
        }
        assert!(kinds.len() >= 8, "{name}: {} fills", kinds.len());
    }
}

#[test]
fn the_ending_is_one_stroke() {
    for ending in [Ending::Held, Ending::Short] {
        for name in STYLES.keys() {
            let case = sixteen_bars(Meter::FourFour).ending(ending);
            let last_bar = case.timeline().bars.last().unwrap().start;
            let notes = notes(&case, name, Intensity::Full);
            let last: Vec<_> = notes.iter().filter(|note| note.at >= last_bar).collect();
            assert!(!last.is_empty() && last.iter().all(|note| note.at == last_bar), "{name}");
        }
    }
}
