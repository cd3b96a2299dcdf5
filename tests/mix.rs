//! The mix against independent meters, and against itself.

mod support;

use countoff::mix::{CEILING, MixSettings, MixSpec, TakeReport, render};
use countoff::part::Part::{Bass, Click, Comp, CountIn, Drums};
use countoff::units::SampleRate;
use support::{Sines, Tape, take};

const TRIO: [countoff::part::Part; 3] = [Comp, Bass, Drums];

fn mixed(bars: i64, mixes: &[MixSpec], settings: &MixSettings) -> (TakeReport, Vec<Tape>) {
    let sines = Sines { rate: settings.rate, amplitude: 0.2, has_room: true };
    let take = take(bars, &[Comp, Bass, Drums, Click, CountIn]);
    render(&take, &sines, mixes, settings, |_, _| Ok(Tape::default())).unwrap()
}

/// Integrated loudness and true peak by the `ebur128` library.
fn measured(tape: &Tape, rate: SampleRate) -> (f64, f64) {
    let mut meter =
        ebur128::EbuR128::new(2, rate.hz(), ebur128::Mode::I | ebur128::Mode::TRUE_PEAK).unwrap();
    meter.add_frames_f32(&tape.interleaved()).unwrap();
    let peak = meter.true_peak(0).unwrap().max(meter.true_peak(1).unwrap());
    (meter.loudness_global().unwrap(), 20.0 * peak.log10())
}

/// AES TD1008 (2021): -16 LUFS, -1 dBTP for music tracks; tolerance 0.2 LU is ours.
#[test]
fn a_trio_is_as_loud_as_it_should_be_and_no_peak_too_high() {
    for rate in [SampleRate::Hz44100, SampleRate::Hz48000] {
        let settings = MixSettings { rate, ..MixSettings::default() };
        let (report, tapes) = mixed(8, &[MixSpec::of(&TRIO)], &settings);
        let (loudness, peak) = measured(&tapes[0], rate);
        assert!((loudness + 16.0).abs() < 0.2, "{loudness} LUFS at {rate:?}, {report:?}");
        assert!(peak <= CEILING.0, "{peak} dBTP");
        assert!((loudness - report.mixes[0].loudness.0).abs() < 0.01);
        assert!((peak - report.mixes[0].true_peak.0).abs() < 0.05);
        assert_eq!(report.mixes[0].frames.0, tapes[0].left.len() as u64);
    }
}
