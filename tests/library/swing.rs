//! Swing as performed, measured and held against published measurements: `facts/swing.tsv`,
//! computed from the Jazz Trio Database (Cheston, Schlichting, Cross & Harrison 2024, TISMIR,
//! doi 10.5334/tismir.186).

use countoff::arrange::{Arrangement, Ending, Timeline, arrange};
use countoff::chart::{ChartSource, FeelName, FormSource};
use countoff::feel::{FeelSettings, perform, swing};
use countoff::part::{Note, PartNotes, Stroke};
use countoff::performance::{Instrument, Part, Performance};
use countoff::units::{Bpm, Meter, Ticks, Velocity};

const BARS: i64 = 32;

fn timeline(tempo: f64, feel: FeelName, meter: Meter) -> Timeline {
    let bars = "C6 | ".repeat(usize::try_from(BARS).unwrap());
    let chart = ChartSource {
        name: "even eighths",
        key: "C".parse().unwrap(),
        meter,
        feel,
        form: FormSource::default(),
        sections: &[("A", &bars)],
    };
    let once = Arrangement::once(Bpm::new(tempo).unwrap());
    arrange(&chart.parse().unwrap(), &Arrangement { ending: Ending::None, ..once }).unwrap()
}

/// A part that plays every eighth note of the form.
fn eighths(timeline: &Timeline, part: Part) -> PartNotes {
    let eighths = (timeline.end - timeline.form_start()).0 / Ticks::EIGHTH.0;
    let note = |index| Note {
        at: timeline.form_start() + Ticks::EIGHTH * index,
        length: Ticks::EIGHTH,
        pitch: 60,
        velocity: Velocity::clamped(80),
        stroke: Stroke::Full,
        hand: None,
        degree: None,
        variant: 0,
    };
    let instrument = Instrument { bank: 0, program: 0 };
    PartNotes { part, instrument, straight: false, notes: (0..eighths).map(note).collect() }
}

fn performance(timeline: &Timeline, parts: &[Part]) -> Performance {
    let parts: Vec<PartNotes> = parts.iter().map(|&part| eighths(timeline, part)).collect();
    perform(timeline, &parts, FeelSettings { seed: 7, deviations: true })
}

/// The geometric mean of the ratios of each beat's first eighth to its second, as the table has
/// it (from the onset of the beat to that of the off-beat, to that of the next beat).
fn ratio(performance: &Performance, part: Part) -> f64 {
    let notes = &performance.parts.iter().find(|played| played.part == part).unwrap().notes;
    let onsets: Vec<f64> = notes.iter().map(|note| note.on.quarters()).collect();
    let beats: Vec<f64> = onsets
        .windows(3)
        .step_by(2)
        .map(|beat| ((beat[1] - beat[0]) / (beat[2] - beat[1])).ln())
        .collect();
    assert!(beats.len() > 60, "{} beats", beats.len());
    (beats.iter().sum::<f64>() / f64::from(u32::try_from(beats.len()).unwrap())).exp()
}

struct Row {
    instrument: String,
    tempo: f64,
    low: f64,
    high: f64,
}

/// Section A: instrument, mean tempo of the row, and the band in which 80 % of measured
/// performances lie.
fn rows() -> Vec<Row> {
    let table = include_str!("../facts/swing.tsv");
    let section = table.lines().skip(2).take_while(|line| !line.is_empty());
    let cells = section.filter(|line| !line.starts_with('#')).map(|line| line.split('\t'));
    cells
        .map(|cells| cells.collect::<Vec<_>>())
        .map(|cells| Row {
            instrument: cells[0].to_owned(),
            tempo: cells[5].parse().unwrap(),
            low: cells[8].parse().unwrap(),
            high: cells[9].parse().unwrap(),
        })
        .collect()
}

#[test]
fn every_player_swings_within_the_published_band_at_every_tempo() {
    let rows = rows();
    assert_eq!(rows.len(), 30);
    for Row { instrument, tempo, low, high } in rows {
        let timeline = timeline(tempo, FeelName::Swing, Meter::FourFour);
        let band = [Part::Drums, Part::Bass, Part::Comp, Part::Line];
        let (measured, with): (Vec<Part>, Vec<&[Part]>) = match instrument.as_str() {
            "drums" => (vec![Part::Drums], vec![&band, &[Part::Drums]]),
            "bass" => (vec![Part::Bass], vec![&band, &[Part::Bass, Part::Comp]]),
            _ => (vec![Part::Comp, Part::Line], vec![&band, &[Part::Comp, Part::Line]]),
        };
        for parts in with {
            let performance = performance(&timeline, parts);
            for &part in &measured {
                let ratio = ratio(&performance, part);
                let name = part.name();
                assert!(
                    (low..=high).contains(&ratio),
                    "{name} at {tempo} among {parts:?}: {ratio:.2} is not in {low} to {high}"
                );
            }
        }
    }
}

/// Section C: jazz of up to 100 quarters a minute has median ratios of 1.95 to 2.0. No one has
/// measured the trio so slow; 1.7 to 2.1 is the band that is asked for.
#[test]
fn slow_swing_is_near_the_triplet() {
    for tempo in [60.0, 80.0] {
        let timeline = timeline(tempo, FeelName::Swing, Meter::FourFour);
        for parts in
            [&[Part::Drums, Part::Bass, Part::Comp, Part::Line][..], &[Part::Comp, Part::Line]]
        {
            let performance = performance(&timeline, parts);
            for &part in parts {
                let ratio = ratio(&performance, part);
                let name = part.name();
                assert!((1.7..=2.1).contains(&ratio), "{name} at {tempo}: {ratio:.2}");
            }
        }
    }
}

#[test]
fn straight_is_even_and_a_ratio_is_kept() {
    for (feel, expected) in
        [(FeelName::Straight, 1.0), (FeelName::Ratio(1.8), 1.8), (FeelName::Ratio(3.0), 3.0)]
    {
        for tempo in [60.0, 140.0, 280.0] {
            let timeline = timeline(tempo, feel, Meter::FourFour);
            let parts = [Part::Drums, Part::Bass, Part::Comp, Part::Line];
            let performance = performance(&timeline, &parts);
            for part in parts {
                let ratio = ratio(&performance, part);
                assert!((ratio / expected - 1.0).abs() < 0.05, "{feel} at {tempo}: {ratio:.3}");
            }
        }
    }
}

#[test]
fn the_eighths_of_six_eight_are_even() {
    let timeline = timeline(60.0, FeelName::Swing, Meter::SixEight);
    let ratio = ratio(&performance(&timeline, &[Part::Drums, Part::Line]), Part::Line);
    assert!((ratio - 1.0).abs() < 0.05, "{ratio:.3}");
}

/// The off-beats of the whole band fall together and the soloists' downbeats are late: Friberg &
/// Sundström 2002; how late is section E of the table, here with 10 ms of grace for deviations.
#[test]
fn soloists_lay_back_on_the_beat_and_meet_the_ride_off_it() {
    let timeline = timeline(130.0, FeelName::Swing, Meter::FourFour);
    let performance = performance(&timeline, &[Part::Drums, Part::Line]);
    let milliseconds = |ticks: Ticks| ticks.quarters() * 60_000.0 / 130.0;
    let [drums, line] = &performance.parts[..] else { panic!("two parts") };
    let behind = |off_beat: usize| {
        let pairs = drums.notes.iter().zip(&line.notes).skip(off_beat).step_by(2);
        let behind: Vec<f64> = pairs.map(|(ride, line)| milliseconds(line.on - ride.on)).collect();
        behind.iter().sum::<f64>() / f64::from(u32::try_from(behind.len()).unwrap())
    };
    assert!((behind(0) - 27.0).abs() < 2.0, "{}", behind(0));
    assert!(behind(1).abs() < 2.0, "{}", behind(1));
}

/// Alone, or with the click, the beat is the click's.
#[test]
fn without_a_rhythm_section_soloists_are_on_the_beat() {
    let timeline = timeline(130.0, FeelName::Swing, Meter::FourFour);
    let performance = performance(&timeline, &[Part::Comp, Part::Click]);
    let late: Vec<f64> = performance.parts[0]
        .notes
        .iter()
        .step_by(2)
        .map(|note| note.on.0.rem_euclid(960))
        .map(|late| if late > 480 { late - 960 } else { late })
        .map(|late| f64::from(i32::try_from(late).unwrap()))
        .collect();
    let mean = late.iter().sum::<f64>() / f64::from(u32::try_from(late.len()).unwrap());
    assert!(mean.abs() < 3.0, "{mean} ticks");
}

/// Section E, the figures that performances are made from.
#[test]
fn the_function_goes_through_the_table() {
    let table = include_str!("../facts/swing.tsv");
    let section = table.lines().skip_while(|line| !line.starts_with("# E.")).skip(2);
    let mut rows = 0;
    for line in section.take_while(|line| !line.is_empty()) {
        let cells: Vec<f64> = line.split('\t').map(|cell| cell.parse().unwrap()).collect();
        let tempo = cells[0];
        let figures = [
            swing::rhythm_section_ratio(tempo),
            swing::soloist_ratio(tempo),
            swing::soloist_delay_ms(tempo),
        ];
        for (figure, published) in figures.into_iter().zip([cells[1], cells[2], cells[5]]) {
            assert!((figure - published).abs() < 1e-9, "{figure} and {published} at {tempo}");
        }
        rows += 1;
    }
    assert_eq!(rows, 10);
}
