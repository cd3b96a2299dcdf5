//! What holds for every performance.

use proptest::prelude::*;

use super::*;
use crate::arrange::{Arrangement, CountIn, Timeline, arrange};
use crate::chart::{ChartSource, FeelName, FormSource};
use crate::part::click::{ClickPattern, click};
use crate::part::{Note, PartNotes, Stroke};
use crate::performance::{Instrument, Part};
use crate::units::{Bpm, Meter, SampleRate, Ticks, Velocity};

const SETTINGS: FeelSettings = FeelSettings { seed: 7, deviations: true };
const EXACT: FeelSettings = FeelSettings { seed: 7, deviations: false };

fn timeline(tempo: f64, count_in: CountIn) -> Timeline {
    let chart = ChartSource {
        name: "test",
        key: "C".parse().unwrap(),
        meter: Meter::FourFour,
        feel: FeelName::Swing,
        form: FormSource::default(),
        sections: &[("A", "Dm7 | G7 | C6 | %")],
    };
    let once = Arrangement::once(Bpm::new(tempo).unwrap());
    arrange(&chart.parse().unwrap(), &Arrangement { count_in, ..once }).unwrap()
}

fn note(at: i64, length: i64, pitch: u8) -> Note {
    Note {
        at: Ticks(at),
        length: Ticks(length),
        pitch,
        velocity: Velocity::clamped(80),
        stroke: Stroke::Full,
        hand: None,
        degree: None,
        variant: 0,
    }
}

fn part(part: Part, notes: Vec<Note>) -> PartNotes {
    PartNotes { part, instrument: Instrument { bank: 0, program: 0 }, straight: false, notes }
}

/// The line's onsets without deviations, of these notated ones, in the first bar.
fn onsets(notated: &[i64], with_drums: bool) -> Vec<i64> {
    let timeline = timeline(120.0, CountIn::None);
    let line = notated.iter().map(|&at| note(at, 120, 60)).collect();
    let drums = if with_drums { vec![note(0, 120, 51)] } else { vec![] };
    let parts = [part(Part::Line, line), part(Part::Drums, drums)];
    let performed = perform(&timeline, &parts, EXACT);
    performed.parts[0].notes.iter().map(|note| note.on.0).collect()
}

#[test]
fn written_triplets_stay_triplets_and_dotted_figures_dotted() {
    assert_eq!(onsets(&[0, 320, 640, 960], false), [0, 320, 640, 960]);
    assert_eq!(onsets(&[0, 720, 960], false), [0, 720, 960]);
    // With drums the whole figure is as late as its beat.
    let late = onsets(&[0, 320, 640, 960], true);
    assert!(late[0] > 0);
    assert_eq!([late[1] - late[0], late[2] - late[1], late[3] - late[2]], [320; 3]);
}

#[test]
fn whatever_shares_a_beat_keeps_its_order() {
    let notated: Vec<i64> = (0..24).map(|index| index * 40).collect();
    for with_drums in [false, true] {
        let performed = onsets(&notated, with_drums);
        assert!(performed.is_sorted_by(|note, next| note < next), "{performed:?}");
    }
}

#[test]
fn one_straight_style_makes_the_band_play_straight() {
    let timeline = timeline(120.0, CountIn::None);
    let mut drums = part(Part::Drums, vec![note(0, 120, 51)]);
    drums.straight = true;
    let line = part(Part::Line, vec![note(0, 480, 60), note(480, 480, 62)]);
    let performed = perform(&timeline, &[line, drums], EXACT);
    let onsets: Vec<i64> = performed.parts[0].notes.iter().map(|note| note.on.0).collect();
    assert_eq!(onsets, [0, 480]);
}

/// Eighths in every bar of the form, of changing pitch.
fn eighths(timeline: &Timeline) -> Vec<Note> {
    let start = timeline.form_start().0;
    let pitches = [60, 64, 67, 71, 69, 65, 62, 59].into_iter().cycle();
    (0..32).zip(pitches).map(|(index, pitch)| note(start + index * 480, 480, pitch)).collect()
}

#[test]
fn edits_elsewhere_and_a_count_in_change_no_note() {
    let plain = timeline(120.0, CountIn::None);
    let counted = timeline(120.0, CountIn::Bars(2));
    let edited = {
        let mut notes = eighths(&plain);
        notes.remove(3);
        notes.insert(20, note(20 * 480 + 240, 120, 50));
        notes
    };
    let line = |timeline: &Timeline, notes| {
        let parts = [part(Part::Comp, vec![note(0, 960, 48)]), part(Part::Line, notes)];
        perform(timeline, &parts, SETTINGS).parts.remove(1).notes
    };
    let first = line(&plain, eighths(&plain));
    let in_second_bar = |notes: &[PerformedNote], shift: i64| -> Vec<(i64, u8, Velocity)> {
        let from_start = notes.iter().map(|note| (note.on.0 - shift, note.pitch, note.velocity));
        from_start.filter(|(on, _, _)| (3900..7500).contains(on)).collect()
    };
    let expected = in_second_bar(&first, 0);
    assert_eq!(expected.len(), 7);
    assert_eq!(in_second_bar(&line(&plain, edited), 0), expected);
    assert_eq!(in_second_bar(&line(&counted, eighths(&counted)), 7680), expected);
    // The same line by itself, without the comp.
    let alone = perform(&plain, &[part(Part::Line, eighths(&plain))], SETTINGS);
    assert_eq!(alone.parts[0].notes, first);
}

#[test]
fn another_seed_plays_otherwise_the_same_seed_the_same() {
    let timeline = timeline(120.0, CountIn::None);
    let parts = [part(Part::Line, eighths(&timeline))];
    let once = perform(&timeline, &parts, SETTINGS);
    assert_eq!(perform(&timeline, &parts, SETTINGS), once);
    assert_ne!(perform(&timeline, &parts, FeelSettings { seed: 8, ..SETTINGS }), once);
}

#[test]
fn slow_and_fast_have_the_same_notes() {
    let of = |tempo| {
        let timeline = timeline(tempo, CountIn::Bars(1));
        let parts = [part(Part::Line, eighths(&timeline))];
        let performed = perform(&timeline, &parts, SETTINGS).parts.remove(0).notes;
        performed.into_iter().map(|note| (note.pitch, note.velocity)).collect::<Vec<_>>()
    };
    assert_eq!(of(60.0), of(320.0));
}

/// Each click within half a frame of its time, reckoned here from the tempo alone: beats of
/// 60,000,000 / bpm microseconds, whole ones as MIDI's Set Tempo has them.
#[test]
fn clicks_are_exact_over_ten_minutes() {
    for tempo in [40.0, 72.5, 97.0, 133.333, 208.0, 320.0] {
        let bars = "C6 | % |".repeat(128);
        let chart = ChartSource {
            name: "test",
            key: "C".parse().unwrap(),
            meter: Meter::FourFour,
            feel: FeelName::Swing,
            form: FormSource::default(),
            sections: &[("A", &bars)],
        };
        let choruses = std::num::NonZeroU32::new(4).unwrap();
        let once = Arrangement::once(Bpm::new(tempo).unwrap());
        let timeline = arrange(&chart.parse().unwrap(), &Arrangement { choruses, ..once }).unwrap();
        let clicks = click(&timeline, &ClickPattern::default());
        let drums = part(Part::Drums, vec![note(480, 480, 51)]);
        let performed = perform(&timeline, &[clicks, drums], SETTINGS);
        assert!(performed.end.quarters() * 60.0 / tempo > 600.0);
        for (beat, note) in performed.parts[0].notes.iter().enumerate() {
            let beats = timeline.form_start().quarters() + beat as f64;
            let expected = beats * (60e6 / tempo).round() / 1e6 * 44_100.0;
            let frame = performed.tempo.frame(note.on, SampleRate::Hz44100).0 as f64;
            assert!((frame - expected).abs() <= 0.5 + 1e-6, "beat {beat} at {tempo}");
        }
    }
}

#[test]
fn what_is_struck_before_a_loop_comes_at_its_end_and_stops_where_it_begins_again() {
    let straight = timeline(120.0, CountIn::None);
    let looped = Timeline { loops: true, ..straight.clone() };
    let comp = part(Part::Comp, vec![note(-480, 1920, 60), note(960, 960, 60)]);
    let onsets = |timeline: &Timeline| -> Vec<(i64, i64)> {
        let performed = perform(timeline, std::slice::from_ref(&comp), EXACT).parts.remove(0).notes;
        performed.iter().map(|note| (note.on.0, note.off.0)).collect()
    };
    assert_eq!(onsets(&straight)[0].0, 0);
    let end = looped.end.0;
    let [first, early] = onsets(&looped)[..] else { panic!("two notes") };
    assert_eq!(first.0, 960);
    assert!((end - 480..end).contains(&early.0), "{early:?}");
    assert_eq!(early.1, end + 960);
}

#[test]
fn ghost_notes_are_short_and_held_notes_end_before_the_next() {
    let timeline = timeline(60.0, CountIn::None);
    let ghost = Note { stroke: Stroke::Ghost, ..note(480, 480, 40) };
    let bass = part(Part::Bass, vec![note(0, 3840, 38), ghost, note(3840, 960, 38)]);
    let performed = perform(&timeline, &[bass], EXACT).parts.remove(0).notes;
    let ghost_ticks = (performed[1].off - performed[1].on).0;
    // 60 to 90 ms; a tick is 1.04 ms here.
    assert!((58..=87).contains(&ghost_ticks), "{ghost_ticks}");
    assert_eq!((performed[2].on - performed[0].off).0, 29);
}

fn any_note() -> impl Strategy<Value = Note> {
    (0..=150_i64, 1..=20_i64, 40..44_u8, any::<bool>()).prop_map(|(at, length, pitch, ghost)| {
        let stroke = if ghost { Stroke::Ghost } else { Stroke::Full };
        Note { stroke, ..note(at * 80, length * 80, pitch) }
    })
}

proptest! {
    #[test]
    fn notes_are_whole_in_order_and_never_doubled(
        notes in prop::collection::vec(any_note(), 0..60),
        tempo in 20.0..400.0_f64,
        with_drums: bool,
        player in prop::sample::select(vec![Part::Comp, Part::Bass, Part::Line, Part::Drums]),
    ) {
        let timeline = timeline(tempo, CountIn::None);
        let drums = if with_drums { vec![note(0, 120, 51)] } else { vec![] };
        let parts = [part(player, notes.clone()), part(Part::Drums, drums)];
        let performed = perform(&timeline, &parts, SETTINGS).parts.remove(0).notes;
        let exact = perform(&timeline, &parts, EXACT).parts.remove(0).notes;

        let mut distinct: Vec<_> = notes.iter().map(|note| (note.at, note.pitch)).collect();
        distinct.sort_unstable();
        distinct.dedup();
        prop_assert_eq!(performed.len(), distinct.len());
        prop_assert!(performed.is_sorted_by_key(|note| (note.on, note.pitch)));
        for note in &performed {
            prop_assert!(note.on >= Ticks::ZERO && note.off > note.on);
        }
        for pitch in 40..44 {
            let of_pitch = |notes: &[PerformedNote]| -> Vec<PerformedNote> {
                notes.iter().filter(|note| note.pitch == pitch).cloned().collect()
            };
            let (performed, exact) = (of_pitch(&performed), of_pitch(&exact));
            for pair in performed.windows(2) {
                prop_assert!(pair[0].off <= pair[1].on);
            }
            for (note, exact) in performed.iter().zip(&exact) {
                let ms = (note.on - exact.on).quarters() * 60_000.0 / tempo;
                // 10 ms, and the rounding to whole ticks.
                prop_assert!(ms.abs() < 10.0 + 60_000.0 / tempo / 960.0 * 2.0, "{}", ms);
            }
        }
    }
}
