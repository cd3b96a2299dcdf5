//! The upright bass: dead notes, touch, slides.

use super::gestures::played;
use super::listen::{BASS, Preset, Sound, note, seconds};
use super::measure::{Spectrum, momentary, power_decibels};
use super::none;

/// Highest velocity of the dead note.
const LAST_DEAD: i32 = 36;

/// Seconds until the sound has fallen by `decibels` below its loudest 20 ms, and
/// stays there.
fn fall_time(sound: &Sound, decibels: f64) -> f64 {
    let frames = (0..).map(|i| 0.01 * f64::from(i));
    let length = sound.left.len() as f64 / 44_100.0;
    let levels: Vec<(f64, f64)> = frames
        .take_while(|start| start + 0.02 <= length)
        .map(|start| (start, power_decibels(sound.power(start, start + 0.02))))
        .collect();
    let top = levels.iter().map(|&(_, level)| level).fold(f64::MIN, f64::max);
    levels.iter().rev().find(|&&(_, level)| level > top - decibels).map_or(0.0, |&(time, _)| time)
}

/// A muted string gives a thud: 20 dB down within a quarter of a second, while
/// the open note still rings, and hardly anything above 1 kHz. 60 to 90 ms is
/// what players leave it (common practice), so it must be 10 dB down by 0.1 s.
#[test]
fn dead_notes_are_short_and_dull() {
    let mut found = Vec::new();
    for key in (28..=60).step_by(4) {
        let dead = note(BASS, key, 30, 0.8);
        let ringing = note(BASS, key, 80, 0.8);
        let (ten, twenty) = (fall_time(&dead, 10.0), fall_time(&dead, 20.0));
        if ten > 0.1 || twenty > 0.25 {
            found.push(format!("key {key}: 10 dB in {ten:.2} s, 20 dB in {twenty:.2} s"));
        }
        if fall_time(&ringing, 20.0) < 2.0 * twenty {
            found.push(format!("key {key}: the ringing note is as short"));
        }
        let spectrum = Spectrum::of(&dead.sum()[..seconds(0.3)]);
        let split = spectrum.bin(1000.0);
        let above: f64 = spectrum.power[split..].iter().sum();
        let all: f64 = spectrum.power.iter().sum();
        if power_decibels(above / all) > -20.0 {
            found.push(format!("key {key}: {:.1} dB above 1 kHz", power_decibels(above / all)));
        }
    }
    none(&found);
}

/// A dead note lies under the notes around it, but is heard: 6 to 24 dB.
#[test]
fn dead_notes_lie_under_the_line() {
    let mut found = Vec::new();
    let peak = |sound: Sound| sound.sum().iter().fold(0.0_f64, |m, x| m.max(x.abs()));
    for key in (28..=60).step_by(4) {
        let under =
            20.0 * (peak(note(BASS, key, 80, 0.5)) / peak(note(BASS, key, 30, 0.5))).log10();
        if !(6.0..=24.0).contains(&under) {
            found.push(format!("key {key}: {under:.1} dB"));
        }
    }
    none(&found);
}

/// SoundFont 2.01 section 8.4, above the dead notes.
#[test]
fn bass_level_follows_velocity() {
    let mut found = Vec::new();
    for key in (28..=60).step_by(4) {
        let loudest = momentary(&note(BASS, key, 127, 0.45));
        for velocity in (LAST_DEAD + 1..=127).step_by(6) {
            let expected = 40.0 * (f64::from(velocity) / 127.0).log10();
            let off = momentary(&note(BASS, key, velocity, 0.45)) - loudest - expected;
            if off.abs() > 1.0 {
                found.push(format!("key {key} velocity {velocity}: {off:+.2} dB"));
            }
        }
    }
    none(&found);
}

/// The piano's rule for the bass: never duller when plucked harder, at least 1.3
/// times as bright from end to end, steps of at most a quarter.
#[test]
fn bass_brightens_with_velocity() {
    let centroid =
        |key: i32, velocity: i32| Spectrum::of(&note(BASS, key, velocity, 0.5).sum()).centroid();
    let mut found = Vec::new();
    for key in (28..=60).step_by(4) {
        let velocities: Vec<i32> = (LAST_DEAD + 1..=127).step_by(5).collect();
        let centroids: Vec<f64> = velocities.iter().map(|&v| centroid(key, v)).collect();
        for (pair, velocity) in centroids.windows(2).zip(&velocities[1..]) {
            if pair[1] < 0.995 * pair[0] || pair[1] > 1.25 * pair[0] {
                found.push(format!("key {key}: {:.0} to {:.0} Hz at {velocity}", pair[0], pair[1]));
            }
        }
        let ratio = centroids[centroids.len() - 1] / centroids[0];
        if ratio < 1.3 {
            found.push(format!("key {key}: centroid ratio {ratio:.2}"));
        }
    }
    none(&found);
}

/// The variation in bank 1 begins about a whole step low and ends on the note.
#[test]
fn slides_arrive_on_the_note() {
    let sliding = Preset(1, 32);
    let mut found = Vec::new();
    for key in (33..=57).step_by(6) {
        let sound = note(sliding, key, 90, 1.6).sum();
        let expected = 440.0 * 2_f64.powf(f64::from(key - 69) / 12.0);
        let arrived = Spectrum::of(&sound[seconds(0.3)..seconds(1.5)]);
        let cents = 1200.0 * (arrived.peak(0.97 * expected, 1.03 * expected).0 / expected).log2();
        if cents.abs() > 5.0 {
            found.push(format!("key {key}: arrives {cents:+.1} cents off"));
        }
        let plain = note(BASS, key, 90, 1.6).sum();
        let early = |sound: &[f64]| {
            let spectrum = Spectrum::of(&sound[..seconds(0.12)]);
            spectrum.peak(0.7 * expected, 1.4 * expected).0
        };
        if early(&sound) > 0.97 * early(&plain) {
            found.push(format!("key {key}: does not begin low"));
        }
    }
    none(&found);
}

/// A released note is damped, not cut: 40 dB within 0.3 s.
#[test]
fn released_notes_are_damped() {
    for key in [28, 40, 52] {
        let sound = played(BASS, &[(0.0, key, 90), (0.6, key, 0)], 1.2);
        let before = power_decibels(sound.power(0.5, 0.6));
        let after = power_decibels(sound.power(0.9, 1.0));
        assert!(before - after > 40.0, "key {key}: {:.0} dB", before - after);
        let soon = power_decibels(sound.power(0.61, 0.63));
        assert!(before - soon < 20.0, "key {key} is cut: {:.0} dB", before - soon);
    }
}
