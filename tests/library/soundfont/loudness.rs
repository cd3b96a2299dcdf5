//! Even from key to key, and following velocity as the format says.

use super::listen::{BASS, ELECTRIC_PIANO, PIANO, Preset, note};
use super::measure::{line, momentary};
use super::none;
use std::ops::RangeInclusive;

/// Loudness of every key at velocity 80.
fn by_key(preset: Preset, keys: RangeInclusive<i32>) -> Vec<(f64, f64)> {
    keys.map(|key| (f64::from(key), momentary(&note(preset, key, 80, 0.45)))).collect()
}

/// Keys that lie off the line through their neighbours (six on each side), and
/// steps between neighbours that are too large.
fn uneven(levels: &[(f64, f64)], off_line: f64, step: f64) -> Vec<String> {
    let mut found = Vec::new();
    for (i, &(key, level)) in levels.iter().enumerate() {
        let around = &levels[i.saturating_sub(6)..(i + 7).min(levels.len())];
        let (slope, height) = line(around);
        let off = level - (slope * key + height);
        if off.abs() > off_line {
            found.push(format!("key {key}: {off:+.2} dB off the local line"));
        }
        if i > 0 && (level - levels[i - 1].1).abs() > step {
            found.push(format!("key {key}: {:+.2} dB from the key below", level - levels[i - 1].1));
        }
    }
    found
}

#[test]
fn piano_keys_are_even() {
    none(&uneven(&by_key(PIANO, 21..=108), 1.0, 1.5));
}

#[test]
fn electric_piano_keys_are_even() {
    none(&uneven(&by_key(ELECTRIC_PIANO, 28..=100), 1.0, 1.5));
}

#[test]
fn bass_keys_are_even() {
    none(&uneven(&by_key(BASS, 28..=60), 0.8, 0.8));
}

/// SoundFont 2.01 section 8.4: velocity to attenuation is 40·log10(v / 127).
#[test]
fn level_follows_velocity() {
    let mut found = Vec::new();
    for key in (28..=100).step_by(12) {
        let loudest = momentary(&note(PIANO, key, 127, 0.45));
        for velocity in [20, 35, 50, 64, 80, 96, 112] {
            let expected = 40.0 * (f64::from(velocity) / 127.0).log10();
            let off = momentary(&note(PIANO, key, velocity, 0.45)) - loudest - expected;
            if off.abs() > 1.0 {
                found.push(format!("key {key} velocity {velocity}: {off:+.2} dB"));
            }
        }
    }
    none(&found);
}
