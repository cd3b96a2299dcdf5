//! The instruments that lines are heard on.

use super::gestures::played;
use super::listen::{Preset, VIBRAPHONE, note, seconds};
use super::measure::{Spectrum, momentary, power_decibels};
use super::none;

/// The upper-register instrument.
const FLUTE: Preset = Preset(0, 73);

/// Cents of the first partial above equal temperament (ISO 16:1975), between two
/// times in seconds.
fn cents(preset: Preset, key: i32, from: f64, to: f64) -> f64 {
    let sound = note(preset, key, 80, to).sum();
    let expected = 440.0 * 2_f64.powf(f64::from(key - 69) / 12.0);
    let spectrum = Spectrum::of(&sound[seconds(from)..seconds(to)]);
    1200.0 * (spectrum.peak(0.97 * expected, 1.03 * expected).0 / expected).log2()
}

/// Instruments that play with a piano: 5 cents, as the bass.
#[test]
fn lines_are_in_tune() {
    let mut found = Vec::new();
    for (preset, keys) in [(VIBRAPHONE, 53..=89), (FLUTE, 60..=96)] {
        for key in keys {
            let off = cents(preset, key, 0.05, 0.4);
            if off.abs() > 5.0 {
                found.push(format!("{preset:?} key {key}: {off:+.2} cents"));
            }
        }
    }
    none(&found);
}

/// From key to key as the piano: at most 1.5 dB.
#[test]
fn lines_are_even() {
    let mut found = Vec::new();
    for (preset, keys) in [(VIBRAPHONE, 53..=89), (FLUTE, 60..=96)] {
        let levels: Vec<f64> =
            keys.clone().map(|key| momentary(&note(preset, key, 80, 0.45))).collect();
        for (key, pair) in keys.skip(1).zip(levels.windows(2)) {
            if (pair[1] - pair[0]).abs() > 1.5 {
                found.push(format!("{preset:?} key {key}: {:+.2} dB", pair[1] - pair[0]));
            }
        }
    }
    none(&found);
}

/// SoundFont 2.01 section 8.4.
#[test]
fn lines_follow_velocity() {
    let mut found = Vec::new();
    for (preset, keys) in [(VIBRAPHONE, [55, 67, 79]), (FLUTE, [62, 74, 86])] {
        for key in keys {
            let loudest = momentary(&note(preset, key, 127, 0.45));
            for velocity in [25, 35, 50, 64, 80, 96, 112] {
                let expected = 40.0 * (f64::from(velocity) / 127.0).log10();
                let off = momentary(&note(preset, key, velocity, 0.45)) - loudest - expected;
                if off.abs() > 1.0 {
                    found.push(format!("{preset:?} key {key} velocity {velocity}: {off:+.2} dB"));
                }
            }
        }
    }
    none(&found);
}

/// A soft bar rings on: the synthesiser's threshold must not cut it while it is
/// still heard, 20 dB down.
#[test]
fn soft_bars_ring_on() {
    let mut found = Vec::new();
    for key in (53..=77).step_by(6) {
        let sound = note(VIBRAPHONE, key, 35, 2.6);
        let early = power_decibels(sound.power(0.1, 0.2));
        let late = power_decibels(sound.power(0.9, 1.0));
        if early - late > 20.0 {
            found.push(format!("key {key}: {:.0} dB in 0.8 s", early - late));
        }
    }
    none(&found);
}

/// A flute stays while the breath does, speaks within 60 ms, and stops at once.
#[test]
fn the_flute_sustains() {
    let mut found = Vec::new();
    for key in (60..=96).step_by(6) {
        let sound = played(FLUTE, &[(0.0, key, 80), (2.5, key, 0)], 3.0);
        let level = |from: f64, to: f64| power_decibels(sound.power(from, to));
        let steady = level(0.3, 2.3);
        if (level(2.2, 2.4) - steady).abs() > 1.5 {
            found.push(format!("key {key}: {:+.1} dB after 2.2 s", level(2.2, 2.4) - steady));
        }
        if steady - level(0.05, 0.08) > 3.0 {
            found.push(format!("key {key}: {:.1} dB down at 60 ms", steady - level(0.05, 0.08)));
        }
        if steady - level(2.75, 2.95) < 50.0 {
            found.push(format!("key {key}: sounds on"));
        }
    }
    none(&found);
}
