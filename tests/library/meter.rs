//! Our meter against the published signals and against the `ebur128` library.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a test that panics fails, and its numbers are small"
)]

use std::f64::consts::TAU;

use countoff::mix::{LoudnessMeter, TruePeakMeter};
use countoff::random::Stream;
use countoff::units::SampleRate;

const RATES: [SampleRate; 2] = [SampleRate::Hz44100, SampleRate::Hz48000];
const STANDARDS: &str = include_str!("../facts/standards.tsv");

/// What the table says of an item of EBU Tech 3341, such as "I=-23.0" or "-6.0 dBTP".
fn expected(item: &str) -> f64 {
    let row = STANDARDS
        .lines()
        .map(|line| line.split('\t').collect::<Vec<_>>())
        .find(|row| row[0] == "EBU 3341" && row[1].starts_with(item))
        .unwrap();
    row[2].trim_start_matches("I=").split(' ').next().unwrap().parse().unwrap()
}

/// A stereo sine of 1 kHz in steps of (dBFS, seconds).
fn steps(rate: SampleRate, hz: f64, steps: &[(f64, f64)]) -> Vec<f32> {
    let mut samples = Vec::new();
    for (level, seconds) in steps {
        let amplitude = 10_f64.powf(level / 20.0);
        let frames = (seconds * f64::from(rate.hz())).round() as usize;
        for _ in 0..frames {
            let turn = samples.len() as f64 * hz * TAU / f64::from(rate.hz());
            samples.push((amplitude * turn.sin()) as f32);
        }
    }
    samples
}

fn meter(rate: SampleRate, left: &[f32], right: &[f32]) -> LoudnessMeter {
    let mut meter = LoudnessMeter::new(rate);
    meter.add(left, right);
    meter
}

fn true_peak(left: &[f32], right: &[f32]) -> f64 {
    let mut meter = TruePeakMeter::new();
    meter.add(left, right);
    20.0 * f64::from(meter.finish()).log10()
}

/// EBU Tech 3341 table 1, cases 1 to 5, tolerance 0.1 LU (`tests/facts/standards.tsv`).
#[test]
fn integrated_loudness_of_the_ebu_signals() {
    let cases: [(&str, &[(f64, f64)]); 5] = [
        ("case 1", &[(-23.0, 20.0)]),
        ("case 2", &[(-33.0, 20.0)]),
        ("case 3", &[(-36.0, 10.0), (-23.0, 60.0), (-36.0, 10.0)]),
        ("case 4", &[(-72.0, 10.0), (-36.0, 10.0), (-23.0, 60.0), (-36.0, 10.0), (-72.0, 10.0)]),
        ("case 5", &[(-26.0, 20.0), (-20.0, 20.1), (-26.0, 20.0)]),
    ];
    for rate in RATES {
        for (case, levels) in cases {
            let signal = steps(rate, 1_000.0, levels);
            let loudness = meter(rate, &signal, &signal).integrated().0;
            let wanted = expected(case);
            assert!((loudness - wanted).abs() < 0.1, "{case} at {rate:?}: {loudness}");
        }
    }
}

/// The calibration of BS.1770: 997 Hz at full scale in one front channel is -3.01 LUFS; at
/// -20 dBFS in both, -20 LUFS.
#[test]
fn a_sine_in_one_channel_and_in_both() {
    for rate in RATES {
        let full = steps(rate, 997.0, &[(0.0, 20.0)]);
        let silence = vec![0.0; full.len()];
        let one = meter(rate, &full, &silence).integrated().0;
        assert!((one + 3.01).abs() < 0.1, "{one}");
        let soft = steps(rate, 997.0, &[(-20.0, 20.0)]);
        let both = meter(rate, &soft, &soft).integrated().0;
        assert!((both + 20.0).abs() < 0.1, "{both}");
    }
}

/// EBU Tech 3341 case 12: momentary loudness stays at -23.0 ±0.1 LUFS after the first second.
#[test]
fn momentary_loudness_of_an_alternating_signal() {
    for rate in RATES {
        let pair = [(-20.0, 0.18), (-30.0, 0.22)];
        let signal = steps(rate, 1_000.0, &pair.repeat(25));
        let hop = rate.hz() as usize / 10;
        let mut meter = LoudnessMeter::new(rate);
        for (index, block) in signal.chunks(hop).enumerate() {
            meter.add(block, block);
            if index >= 10 {
                let moment = meter.momentary().0;
                assert!((moment + 23.0).abs() < 0.1, "{moment} at {rate:?} in hop {index}");
            }
        }
        assert!((meter.loudest_moment().0 + 23.0).abs() < 0.1);
    }
}

/// EBU Tech 3341 cases 15 to 19: amplitude, part of the rate, phase in degrees; tolerance +0.2,
/// -0.4 dB (`tests/facts/standards.tsv`).
#[test]
fn true_peak_of_the_ebu_signals() {
    let cases = [
        ("true peak 15", 0.50, 4.0, 0.0),
        ("true peak 16", 0.50, 4.0, 45.0),
        ("true peak 17", 0.50, 6.0, 60.0),
        ("true peak 18", 0.50, 8.0, 67.5),
        ("true peak 19", 1.41, 4.0, 45.0),
    ];
    for (case, amplitude, divisor, phase) in cases {
        let wanted = expected(case);
        let signal: Vec<f32> = (0..48_000)
            .map(|frame| {
                let turn = f64::from(frame) * TAU / divisor + f64::to_radians(phase);
                // Faded, so that the switching on of a tone has no peaks of its own.
                let fade = (f64::from(frame.min(47_999 - frame)) / 4_800.0).min(1.0);
                (fade * amplitude * turn.sin()) as f32
            })
            .collect();
        let peak = true_peak(&signal, &signal);
        assert!(peak < wanted + 0.2 && peak > wanted - 0.4, "{case}: {peak}");
    }
}

/// Something like music: struck, decaying partials, noise, rests, different left and right.
fn music(rate: SampleRate, seconds: f64) -> [Vec<f32>; 2] {
    let mut stream = Stream::named(3, &[&"meter"]);
    let frames = (seconds * f64::from(rate.hz())) as usize;
    let mut channels = [vec![0.0_f32; frames], vec![0.0_f32; frames]];
    for _ in 0..(seconds * 6.0) as usize {
        let start = stream.below(frames);
        let hz = 55.0 * 2_f64.powf(6.0 * stream.unit());
        let (gain, pan) = (0.4 * stream.unit(), stream.unit());
        let noise = if stream.chance(0.3) { 0.5 } else { 0.0 };
        let [left, right] = &mut channels;
        let sounding = left.iter_mut().zip(right).skip(start).take(rate.hz() as usize);
        for (frame, (left, right)) in sounding.enumerate() {
            let age = frame as f64 / f64::from(rate.hz());
            let tone = (age * hz * TAU).sin() + noise * (2.0 * stream.unit() - 1.0);
            let value = gain * (-5.0 * age).exp() * tone;
            *left += (value * (1.0 - pan)) as f32;
            *right += (value * pan) as f32;
        }
    }
    channels
}

/// `ebur128` is a port of libebur128, the reference of the trade: 0.01 LU and 0.05 dB.
#[test]
fn music_measures_as_the_ebur128_library_measures_it() {
    for rate in RATES {
        let [left, right] = music(rate, 20.0);
        let both: Vec<f32> =
            left.iter().zip(&right).flat_map(|(left, right)| [*left, *right]).collect();
        let mode = ebur128::Mode::I | ebur128::Mode::M | ebur128::Mode::TRUE_PEAK;
        let mut library = ebur128::EbuR128::new(2, rate.hz(), mode).unwrap();
        let mut loudest = f64::NEG_INFINITY;
        for hop in both.chunks(2 * rate.hz() as usize / 10) {
            library.add_frames_f32(hop).unwrap();
            loudest = loudest.max(library.loudness_momentary().unwrap());
        }
        let ours = meter(rate, &left, &right);
        assert!((ours.integrated().0 - library.loudness_global().unwrap()).abs() < 0.01);
        assert!((ours.loudest_moment().0 - loudest).abs() < 0.01);
        let peak = library.true_peak(0).unwrap().max(library.true_peak(1).unwrap());
        assert!((true_peak(&left, &right) - 20.0 * peak.log10()).abs() < 0.05);
    }
}

#[test]
fn blocks_of_any_length_measure_as_the_whole() {
    let rate = SampleRate::Hz44100;
    let [left, right] = music(rate, 3.0);
    let whole = (meter(rate, &left, &right).integrated(), true_peak(&left, &right).to_bits());
    for length in [1, 7, 64, 441, 4096] {
        let (mut loudness, mut peak) = (LoudnessMeter::new(rate), TruePeakMeter::new());
        for (left, right) in left.chunks(length).zip(right.chunks(length)) {
            loudness.add(left, right);
            peak.add(left, right);
        }
        let peak = 20.0 * f64::from(peak.finish()).log10();
        assert_eq!((loudness.integrated(), peak.to_bits()), whole, "blocks of {length}");
    }
}

#[test]
fn silence_and_scraps_have_no_loudness() {
    let silence = vec![0.0; 100_000];
    assert!(meter(SampleRate::Hz44100, &silence, &silence).integrated().is_silent());
    let scrap = steps(SampleRate::Hz44100, 1_000.0, &[(-20.0, 0.39)]);
    assert!(meter(SampleRate::Hz44100, &scrap, &scrap).integrated().is_silent());
    assert!(meter(SampleRate::Hz44100, &[], &[]).loudest_moment().is_silent());
}
