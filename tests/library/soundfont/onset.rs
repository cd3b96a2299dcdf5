//! A note begins when it is asked to.

use super::listen::{BASS, PIANO, Preset, RATE, note};
use super::none;
use std::ops::RangeInclusive;

/// Keys whose sound takes longer than `limit` milliseconds to reach 3 % of its
/// peak.
fn late(preset: Preset, keys: RangeInclusive<i32>, velocities: &[i32], limit: f64) -> Vec<String> {
    let mut found = Vec::new();
    for key in keys {
        for &velocity in velocities {
            let sound = note(preset, key, velocity, 0.5).sum();
            let peak = sound.iter().fold(0.0_f64, |m, x| m.max(x.abs()));
            let first = sound.iter().position(|x| x.abs() >= 0.03 * peak).unwrap();
            let time = 1000.0 * first as f64 / RATE as f64;
            if time > limit {
                found.push(format!("key {key} velocity {velocity}: {time:.2} ms"));
            }
        }
    }
    found
}

#[test]
fn piano_speaks_at_once() {
    none(&late(PIANO, 21..=108, &[40, 80, 120], 2.5));
}

#[test]
fn bass_speaks_at_once() {
    none(&late(BASS, 28..=60, &[50, 80, 120], 3.0));
}
