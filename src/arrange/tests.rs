//! Practice shapes as timelines.

use std::num::NonZeroU32;

use proptest::prelude::*;

use super::*;
use crate::chart::{Chart, ChartSource, FeelName, FormSource, Within};
use crate::theory::Function;
use crate::units::{Bpm, Meter, Ticks};

fn chart_in(key: &str, meter: Meter, text: &str) -> Chart {
    ChartSource {
        name: "test",
        key: key.parse().unwrap(),
        meter,
        feel: FeelName::Swing,
        form: FormSource::default(),
        sections: &[("A", text)],
    }
    .parse()
    .unwrap()
}

fn cadence() -> Chart {
    chart_in("Gm", Meter::FourFour, "| Am7b5 | D7b9 | Gm6 | % |")
}

fn bpm(tempo: f64) -> Bpm {
    Bpm::new(tempo).unwrap()
}

fn times(number: u32) -> NonZeroU32 {
    NonZeroU32::new(number).unwrap()
}

fn shaped(chart: &Chart, choruses: u32, shape: Shape) -> Timeline {
    let arrangement =
        Arrangement { choruses: times(choruses), shape, ..Arrangement::once(bpm(120.0)) };
    let timeline = arrange(chart, &arrangement).unwrap();
    assert_no_gaps(&timeline);
    timeline
}

/// Bars and chords follow each other without a gap, to the end.
fn assert_no_gaps(timeline: &Timeline) {
    let mut at = Ticks::ZERO;
    for bar in &timeline.bars {
        assert_eq!(bar.start, at);
        let mut in_bar = at;
        for slot in &bar.slots {
            assert_eq!(slot.at, in_bar);
            in_bar = slot.end();
        }
        at = bar.end();
        assert!(in_bar == at || bar.slots.is_empty());
    }
    assert_eq!(timeline.end, at);
}

/// Every bar as a letter: what it is for, and its chords.
fn shown(timeline: &Timeline) -> Vec<String> {
    let bar = |bar: &TimelineBar| {
        let chords = bar.slots.iter().map(|slot| match &slot.harmony {
            Some(harmony) => harmony.symbol.to_string(),
            None => "N.C.".to_owned(),
        });
        format!("{:?} {}", bar.kind, chords.collect::<Vec<_>>().join(" "))
    };
    timeline.bars.iter().map(|of_timeline| bar(of_timeline).trim_end().to_owned()).collect()
}

#[test]
fn straight_through_is_counted_in_and_ends_on_the_tonic() {
    let timeline = shaped(&cadence(), 2, Shape::Straight);
    let chorus = ["Chorus Am7b5", "Chorus D7b9", "Chorus Gm6", "Chorus Gm6"];
    let expected = [&["CountIn", "CountIn"][..], &chorus, &chorus, &["Ending Gm6"]].concat();
    assert_eq!(shown(&timeline), expected);
    assert_eq!(timeline.form_start(), Meter::FourFour.bar() * 2);
    let places: Vec<_> = timeline.bars.iter().map(|bar| (bar.chorus, bar.form_bar)).collect();
    let form = [(0, 0), (0, 1), (0, 2), (0, 3), (1, 0), (1, 1), (1, 2), (1, 3), (1, 4)];
    assert_eq!(places[2..], form);
}

#[test]
fn endings_are_held_short_or_none() {
    let blues = chart_in("F", Meter::FourFour, "| F7 | Bb7 | F7 D7 | Gm7 C7 |");
    let ending = |ending| {
        let arrangement = Arrangement { ending, ..Arrangement::once(bpm(120.0)) };
        let timeline = arrange(&blues, &arrangement).unwrap();
        assert_no_gaps(&timeline);
        shown(&timeline).pop().unwrap()
    };
    assert_eq!(ending(Ending::Held), "Ending F7");
    assert_eq!(ending(Ending::Short), "Ending F7 N.C.");
    assert_eq!(ending(Ending::None), "Chorus Gm7 C7");
}

#[test]
fn a_chart_without_its_tonic_ends_on_a_sixth_chord() {
    for (key, text, last) in [
        ("Bb", "| Cm7 | F7 |", "Ending Bb6"),
        ("Gm", "| Am7b5 | D7 | G7 |", "Ending Gm6"),
        ("Bb", "| Bb7 | Eb7 | Bbmaj7/D | F7 |", "Ending Bb7"),
        ("Bb", "| Bbmaj7 | Bb7 | Eb6 | Bb7 |", "Ending Bbmaj7"),
    ] {
        let timeline = shaped(&chart_in(key, Meter::FourFour, text), 1, Shape::Straight);
        assert_eq!(shown(&timeline).pop().unwrap(), last, "{text}");
    }
}

#[test]
fn a_loop_has_nothing_before_and_nothing_after() {
    let timeline = shaped(&cadence(), 2, Shape::Loop);
    assert_eq!(timeline.bars.len(), 8);
    assert!(timeline.bars.iter().all(|bar| bar.kind == BarKind::Chorus));
    assert!(timeline.loops && timeline.ending == Ending::None);
}

#[test]
fn an_answer_has_the_harmony_of_its_phrase() {
    let timeline = shaped(&cadence(), 1, Shape::Answer { phrase_bars: times(3) });
    assert_eq!(
        shown(&timeline)[2..],
        [
            "Chorus Am7b5",
            "Chorus D7b9",
            "Chorus Gm6",
            "Answer Am7b5",
            "Answer D7b9",
            "Answer Gm6",
            "Chorus Gm6",
            "Answer Gm6",
            "Ending Gm6",
        ]
    );
    let harmony = |bar: usize| timeline.bars[bar].slots[0].harmony.clone().unwrap();
    assert_eq!(harmony(3), harmony(6));
    assert_eq!(harmony(3).function, Function::DominantToMinor);
    let labels: Vec<_> = timeline.markers().into_iter().map(|marker| marker.label).collect();
    let expected = ["Count-in", "Chorus 1", "A", "Answer", "Phrase", "Answer", "Ending"];
    assert_eq!(labels, expected);
}

#[test]
fn a_ladder_changes_tempo_with_the_chorus() {
    let shape = Shape::Ladder { from: bpm(60.0), to: bpm(70.0), step: 5.0 };
    let timeline = shaped(&cadence(), 2, shape);
    let changes: Vec<_> = timeline.tempo.changes().collect();
    let at = |bar: i64| Meter::FourFour.bar() * bar;
    let of = |tempo: f64| bpm(tempo).tempo(Meter::FourFour);
    // One bar is counted at 60.
    assert_eq!(changes, [(at(0), of(60.0)), (at(9), of(65.0)), (at(17), of(70.0))]);
    let markers = timeline.markers();
    assert!(markers.iter().any(|marker| marker.label == "Chorus 5, 70 bpm"), "{markers:?}");
}

#[test]
fn round_the_keys_announces_each_key_by_its_dominant() {
    let shape = Shape::RoundTheKeys { order: KeyOrder::Fourths, announce: true };
    let timeline = shaped(&cadence(), 1, shape);
    let played: Vec<_> = timeline.bars.iter().filter(|bar| bar.kind.is_played()).collect();
    assert_eq!(played.len(), 12 * 4 + 11 + 1);
    assert_eq!(
        shown(&timeline)[6..11],
        ["Announce G7", "Chorus Dm7b5", "Chorus G7b9", "Chorus Cm6", "Chorus Cm6"]
    );
    assert_eq!(played[4].key.to_string(), "Cm");
    assert_eq!((played[4].chorus, played[4].form_bar), (1, 0));
    assert_eq!(played.last().unwrap().key.to_string(), "Dm");
    assert_eq!(shown(&timeline).pop().unwrap(), "Ending Dm6");
    assert!(timeline.markers().iter().any(|marker| marker.label == "Chorus 2 in Cm"));
    let keys = timeline.bars.iter().map(|bar| bar.key.to_string());
    let keys: std::collections::BTreeSet<_> = keys.collect();
    assert_eq!(keys.len(), 12);
}

#[test]
fn the_click_rests_by_turns() {
    let shape = Shape::RestingClick { sounding: times(2), silent: times(1) };
    let timeline = shaped(&cadence(), 2, shape);
    let clicks: Vec<bool> = timeline.bars.iter().map(|bar| bar.click).collect();
    let expected = [1, 1, /* the form */ 1, 1, 0, 1, 1, 0, 1, 1, 0].map(|sounds| sounds == 1);
    assert_eq!(clicks, expected);
}

#[test]
fn a_pickup_finds_room_before_the_form() {
    for (count_in, pickup, kinds) in [
        (CountIn::Bars(1), 480, "CountIn"),
        (CountIn::Bars(1), 3841, "LeadIn CountIn"),
        (CountIn::None, 480, "LeadIn"),
        (CountIn::None, 0, ""),
        (CountIn::None, -480, ""),
        (CountIn::ByTempo, 480, "CountIn CountIn"),
    ] {
        let pickup = Ticks(pickup);
        let arrangement = Arrangement { count_in, pickup, ..Arrangement::once(bpm(120.0)) };
        let timeline = arrange(&cadence(), &arrangement).unwrap();
        let before = timeline.bars.iter().map(|bar| bar.kind).filter(|kind| !kind.is_played());
        let shown: Vec<_> = before.map(|kind| format!("{kind:?}")).collect();
        assert_eq!(shown.join(" "), kinds);
        assert!(timeline.form_start() >= pickup);
    }
}

/// The last chord of the form looks on to what comes next: the next chorus, or the ending.
#[test]
fn functions_look_around_the_corner() {
    let chart = chart_in("Bb", Meter::FourFour, "| Cm7 | % | F7 | Bbmaj7 G7 |");
    let functions = |shape, choruses| -> Vec<Function> {
        let timeline = shaped(&chart, choruses, shape);
        timeline.slots().filter_map(|slot| Some(slot.harmony.as_ref()?.function)).collect()
    };
    use Function::{DominantToMajor, DominantToMinor, Predominant, StaticDominant, Tonic};
    let once_more = [Predominant, Predominant, DominantToMajor, Tonic, DominantToMinor];
    let last = [Predominant, Predominant, DominantToMajor, Tonic, StaticDominant, Tonic];
    assert_eq!(functions(Shape::Loop, 1), once_more);
    assert_eq!(functions(Shape::Straight, 2), [&once_more[..], &last].concat());
}

#[test]
fn what_nobody_plays_is_an_error() {
    let too_often = Arrangement { choruses: NonZeroU32::MAX, ..Arrangement::once(bpm(120.0)) };
    assert!(matches!(arrange(&cadence(), &too_often), Err(ArrangeError::TooLong { .. })));
    let too_early = Arrangement { pickup: Ticks(i64::MAX), ..Arrangement::once(bpm(120.0)) };
    assert!(matches!(arrange(&cadence(), &too_early), Err(ArrangeError::TooLong { .. })));
    let flat = Shape::Ladder { from: bpm(60.0), to: bpm(70.0), step: 0.0 };
    let flat = Arrangement { shape: flat, ..Arrangement::once(bpm(60.0)) };
    assert_eq!(arrange(&cadence(), &flat), Err(ArrangeError::Step(0.0)));
    let nowhere = Shape::RoundTheKeys { order: KeyOrder::List(vec![]), announce: true };
    let nowhere = Arrangement { shape: nowhere, ..Arrangement::once(bpm(60.0)) };
    assert_eq!(arrange(&cadence(), &nowhere), Err(ArrangeError::NoKeys));
}

fn any_shape() -> impl Strategy<Value = Shape> {
    let bars = || (1..6_u32).prop_map(times);
    let orders = prop::sample::select(vec![
        KeyOrder::Fourths,
        KeyOrder::Semitones,
        KeyOrder::WholeSteps,
        KeyOrder::List(vec!["Em".parse().unwrap()]),
    ]);
    prop_oneof![
        Just(Shape::Straight),
        Just(Shape::Loop),
        bars().prop_map(|phrase_bars| Shape::Answer { phrase_bars }),
        (20.0..400.0, 20.0..400.0, 5.0..200.0).prop_map(|(from, to, step)| Shape::Ladder {
            from: bpm(from),
            to: bpm(to),
            step
        }),
        (orders, any::<bool>())
            .prop_map(|(order, announce)| Shape::RoundTheKeys { order, announce }),
        (bars(), bars()).prop_map(|(sounding, silent)| Shape::RestingClick { sounding, silent }),
    ]
}

proptest! {
    #[test]
    fn every_timeline_is_whole(
        shape in any_shape(),
        choruses in 1..4_u32,
        tempo in 20.0..400.0_f64,
        pickup in -10_000..10_000_i64,
        meter in prop::sample::select(Meter::ALL.to_vec()),
        count_in in prop_oneof![
            Just(CountIn::ByTempo), Just(CountIn::None), (0..5_u8).prop_map(CountIn::Bars)
        ],
        ending in prop::sample::select(vec![Ending::Held, Ending::Short, Ending::None]),
    ) {
        let chart = chart_in("Gm", meter, "| Am7b5 | N.C. | % | D7b9 | Gm6 |");
        let arrangement = Arrangement {
            tempo: bpm(tempo), choruses: times(choruses), intro: Intro::AsWritten, ending, count_in,
            pickup: Ticks(pickup), shape,
        };
        let timeline = arrange(&chart, &arrangement).unwrap();
        assert_no_gaps(&timeline);
        for bar in &timeline.bars {
            prop_assert_eq!(timeline.tempo.at(bar.start), bar.tempo.tempo(meter));
            prop_assert_eq!(bar.kind.is_played(), !bar.slots.is_empty());
            for harmony in bar.slots.iter().filter_map(|slot| slot.harmony.as_ref()) {
                prop_assert_eq!(harmony.key, bar.key);
            }
        }
        prop_assert!(timeline.loops || timeline.form_start().0 >= pickup);
        let markers = timeline.markers();
        prop_assert!(markers.is_sorted_by_key(|marker| marker.at));
        prop_assert!(markers.iter().all(|marker| marker.at < timeline.end));
        let distinct: std::collections::BTreeSet<_> = timeline
            .bars
            .iter()
            .filter(|bar| bar.kind.is_played())
            .map(|bar| (bar.chorus, bar.kind, bar.form_bar))
            .collect();
        let played = timeline.bars.iter().filter(|bar| bar.kind.is_played()).count();
        prop_assert_eq!(distinct.len(), played);
    }
}

/// A tune with all that a roadmap may have.
fn tune() -> Chart {
    let within = [
        (
            "B",
            Within {
                key: Some("G".parse().unwrap()),
                meter: Some(Meter::ThreeFour),
                ..Within::default()
            },
        ),
        ("outro", Within { pace: Some("100% to 50%".parse().unwrap()), ..Within::default() }),
    ];
    ChartSource {
        name: "test",
        key: "Eb".parse().unwrap(),
        meter: Meter::FourFour,
        feel: FeelName::Swing,
        form: FormSource { last: Some("A B A tag"), within: &within, ..FormSource::of("A A B A") },
        sections: &[
            ("A", "| Ebmaj7 | Bb7 |"),
            ("B", "| Am7 D7 / |"),
            ("interlude", "| Bb7sus4 |"),
            ("intro", "| Fm7 | Bb7 |"),
            ("outro", "| Abm6 | Ebmaj7 |"),
            ("tag", "| Gm7 C7 |"),
        ],
    }
    .parse()
    .unwrap()
}

/// Kind and bar of the form of all bars, the count-in left out.
fn way(timeline: &Timeline) -> String {
    let bars = timeline.bars.iter().filter(|bar| bar.kind.is_played());
    let place = |bar: &TimelineBar| match bar.kind {
        BarKind::Chorus => bar.form_bar.to_string(),
        kind => format!("{}{}", kind.name(), bar.form_bar),
    };
    bars.map(place).collect::<Vec<_>>().join(" ")
}

#[test]
fn a_tune_is_played_as_its_roadmap_says() {
    let tune = tune();
    assert_eq!(
        way(&shaped(&tune, 3, Shape::Straight)),
        "intro0 intro1 0 1 2 3 4 5 6 interlude0 0 1 2 3 4 5 6 interlude0 0 1 4 5 6 7 outro0 ending1"
    );
    assert_eq!(way(&shaped(&tune, 1, Shape::Straight)), "intro0 intro1 0 1 4 5 6 7 outro0 ending1");
    // What goes round and round has neither beginning nor end.
    assert_eq!(way(&shaped(&tune, 2, Shape::Loop)), "0 1 2 3 4 5 6 0 1 2 3 4 5 6");
    let keys = KeyOrder::List(vec!["Eb".parse().unwrap(), "C".parse().unwrap()]);
    let round = Shape::RoundTheKeys { order: keys, announce: true };
    assert_eq!(
        way(&shaped(&tune, 1, round)),
        "intro0 intro1 0 1 2 3 4 5 6 announce0 interlude0 0 1 4 5 6 7 outro0 ending1"
    );
    let labels: Vec<String> = shaped(&tune, 2, Shape::Straight)
        .markers()
        .into_iter()
        .filter(|marker| marker.kind != MarkerKind::Section)
        .map(|marker| marker.label)
        .collect();
    assert_eq!(
        labels,
        ["Count-in", "Intro", "Chorus 1", "Interlude", "Chorus 2", "Outro", "Ending"]
    );
}

#[test]
fn sections_in_other_keys_and_meters_move_with_the_tune() {
    let timeline = shaped(&tune().transpose("F".parse().unwrap()), 1, Shape::Straight);
    let bridge = timeline.bars.iter().find(|bar| bar.form_bar == 4).unwrap();
    assert_eq!((bridge.key.to_string(), bridge.home.to_string()), ("A".into(), "F".into()));
    assert_eq!((bridge.meter, bridge.in_form), (Meter::ThreeFour, Meter::FourFour.bar() * 4));
    let functions: Vec<Function> =
        bridge.slots.iter().map(|slot| slot.harmony.as_ref().unwrap().function).collect();
    // ii and V of A major.
    assert_eq!(bridge.slots[0].harmony.as_ref().unwrap().symbol.to_string(), "Bm7");
    assert!(functions[1].is_dominant(), "{functions:?}");
    // A chart in a far key: the section takes the key that people write, and its chords follow.
    let far = tune().transpose("A".parse().unwrap());
    assert_eq!(far.bars[4].setting.key.to_string(), "Db");
    assert_eq!(far.bars[4].slots[0].chord.as_ref().unwrap().to_string(), "Ebm7");
}

/// From 120 to 60 over two bars of four beats, each beat with the tempo of its middle.
#[test]
fn a_ritardando_goes_beat_by_beat() {
    let timeline = shaped(&tune(), 1, Shape::Straight);
    let outro = timeline.bars.iter().find(|bar| bar.kind == BarKind::Outro).unwrap();
    let tempos: Vec<f64> = timeline
        .tempo
        .changes()
        .skip_while(|(at, _)| *at < outro.start)
        .map(|(_, tempo)| (tempo.quarters_per_minute() * 100.0).round() / 100.0)
        .collect();
    assert_eq!(tempos, [116.25, 108.75, 101.25, 93.75, 86.25, 78.75, 71.25, 63.75]);
    assert!(
        timeline.bars.iter().all(|bar| bar.tempo == bpm(120.0)),
        "the tempo that was asked for"
    );
}

#[test]
fn a_pickup_has_its_room_in_the_intro() {
    let arrangement = Arrangement {
        pickup: Ticks::QUARTER,
        count_in: CountIn::None,
        ..Arrangement::once(bpm(120.0))
    };
    let timeline = arrange(&tune(), &arrangement).unwrap();
    assert_eq!(timeline.bars[0].kind, BarKind::Intro);
}
