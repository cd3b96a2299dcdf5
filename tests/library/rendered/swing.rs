//! The swing that is heard, against `tests/facts/swing.tsv`, section A: computed from the Jazz
//! Trio Database (Cheston, Schlichting, Cross & Harrison 2024, TISMIR, doi 10.5334/tismir.186).

use countoff::arrange::{Arrangement, Ending, Timeline, arrange};
use countoff::chart::{ChartSource, FeelName, FormSource};
use countoff::feel::{FeelSettings, perform};
use countoff::part::{Note, PartNotes, Stroke};
use countoff::performance::{Instrument, Part};
use countoff::units::{Bpm, Meter, SampleRate, Ticks, Velocity};

use super::harness::stem;

const RATE: SampleRate = SampleRate::Hz44100;

/// General MIDI percussion key 51, ride cymbal 1.
const RIDE: u8 = 51;

fn timeline(tempo: f64, feel: FeelName) -> Timeline {
    let bars = "C6 | ".repeat(12);
    let chart = ChartSource {
        name: "even eighths",
        key: "C".parse().unwrap(),
        meter: Meter::FourFour,
        feel,
        form: FormSource::default(),
        sections: &[("A", &bars)],
    };
    let once = Arrangement::once(Bpm::new(tempo).unwrap());
    arrange(&chart.parse().unwrap(), &Arrangement { ending: Ending::None, ..once }).unwrap()
}

/// Every eighth note of the form, short.
fn eighths(timeline: &Timeline, part: Part) -> PartNotes {
    let (bank, pitch) = if part == Part::Drums { (128, RIDE) } else { (0, 72) };
    let count = (timeline.end - timeline.form_start()).0 / Ticks::EIGHTH.0;
    let notes = (0..count).map(|index| Note {
        at: timeline.form_start() + Ticks::EIGHTH * index,
        length: Ticks(240),
        pitch,
        velocity: Velocity::clamped(80),
        stroke: Stroke::Full,
        hand: None,
        degree: None,
        variant: 0,
    });
    let instrument = Instrument { bank, program: 0 };
    PartNotes { part, instrument, straight: false, notes: notes.collect() }
}

/// The frame in `from..to` after which the sound's slope grows most: the energy of the first
/// difference in a millisecond, over that of the ten before.
fn onset(sound: &[f32], from: usize, to: usize) -> f64 {
    let begin = from - 440;
    // The energy of all differences before a frame, from `begin` on: the rest are subtractions.
    let mut before = vec![0.0];
    for pair in sound[begin..to + 44].windows(2) {
        let slope = f64::from(pair[1] - pair[0]);
        before.push(before[before.len() - 1] + slope * slope);
    }
    let energy = |from: usize, to: usize| {
        (before[to - 1 - begin] - before[from - begin]) / (to - from) as f64
    };
    let rise = |at: usize| energy(at, at + 44) / (energy(at - 440, at) + 1e-9);
    let best = (from..to).step_by(11).max_by(|&one, &other| rise(one).total_cmp(&rise(other)));
    best.unwrap() as f64
}

/// The geometric mean ratio of first to second eighths in a part's rendered stem.
fn heard_ratio(timeline: &Timeline, part: Part, with: &[Part]) -> f64 {
    let parts: Vec<PartNotes> = with.iter().map(|&part| eighths(timeline, part)).collect();
    let performance = perform(timeline, &parts, FeelSettings { seed: 7, deviations: true });
    let performed = performance.parts.iter().find(|performed| performed.part == part).unwrap();
    let sound = stem(performed, &performance.tempo);
    let start = timeline.form_start();
    // A beat begins up to an eighth of it early or a quarter late, its second eighth lies
    // between 40 and 82 % of it.
    let search = |beat: i64, from: i64, to: i64| {
        let frame = |percent: i64| {
            let at = start + Ticks::QUARTER * beat + Ticks(960 * percent / 100);
            usize::try_from(performance.tempo.frame(at, RATE).0).unwrap()
        };
        onset(&sound, frame(from), frame(to))
    };
    let logs: Vec<f64> = (0..46)
        .map(|beat| {
            let first = search(beat, -12, 25);
            let second = search(beat, 40, 82);
            let next = search(beat + 1, -12, 25);
            ((second - first) / (next - second)).ln()
        })
        .collect();
    (logs.iter().sum::<f64>() / logs.len() as f64).exp()
}

const BAND: [Part; 3] = [Part::Drums, Part::Comp, Part::Line];

#[test]
fn every_stem_swings_within_the_published_band() {
    let table = include_str!("../../facts/swing.tsv");
    let rows = table.lines().skip(2).take_while(|line| !line.is_empty() && !line.starts_with('#'));
    let mut measured = 0;
    for cells in rows.map(|row| row.split('\t').collect::<Vec<_>>()) {
        let parts: &[Part] = match cells[0] {
            "drums" => &[Part::Drums],
            "piano" => &[Part::Comp, Part::Line],
            _ => continue,
        };
        let [tempo, low, high] = [5, 8, 9].map(|cell| cells[cell].parse::<f64>().unwrap());
        for &part in parts {
            let ratio = heard_ratio(&timeline(tempo, FeelName::Swing), part, &BAND);
            measured += 1;
            assert!((low..=high).contains(&ratio), "{part} at {tempo}: {ratio:.2}, {low}-{high}");
        }
    }
    assert_eq!(measured, 30);
}

/// Section C has medians of 1.95 to 2.0 for slow jazz; 1.7 to 2.1 is the band that is asked for.
#[test]
fn slow_stems_swing_near_the_triplet() {
    for tempo in [60.0, 80.0] {
        for part in BAND {
            let ratio = heard_ratio(&timeline(tempo, FeelName::Swing), part, &BAND);
            assert!((1.7..=2.1).contains(&ratio), "{part} at {tempo}: {ratio:.2}");
        }
    }
}

/// Five per cent is what the deviations of 46 beats and the detector's step leave.
#[test]
fn straight_is_heard_even_and_a_ratio_is_heard_as_asked() {
    for (feel, expected) in [(FeelName::Straight, 1.0), (FeelName::Ratio(1.8), 1.8)] {
        for part in BAND {
            let ratio = heard_ratio(&timeline(140.0, feel), part, &[part]);
            assert!((ratio / expected - 1.0).abs() < 0.05, "{part}, {feel}: {ratio:.3}");
        }
    }
}
