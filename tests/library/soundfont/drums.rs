//! The kit: takes, brushes, clicks, the hi-hat's pedal.

use super::gestures::played;
use super::listen::{KIT, Preset, note, seconds};
use super::measure::{Spectrum, momentary, power_decibels};
use super::none;

const BRUSHES: Preset = Preset(128, 40);

/// The takes of each stroke that has several.
const TAKES: [(Preset, [i32; 3]); 4] =
    [(KIT, [51, 84, 85]), (KIT, [44, 86, 87]), (KIT, [42, 88, 89]), (BRUSHES, [38, 90, 91])];

/// Power in decibels between two frequencies over the first 0.3 s, against all.
fn share(sound: &[f64], from: f64, to: f64) -> f64 {
    let spectrum = Spectrum::of(&sound[..seconds(0.3)]);
    let within: f64 = spectrum.power[spectrum.bin(from)..spectrum.bin(to)].iter().sum();
    power_decibels(within / spectrum.power.iter().sum::<f64>())
}

/// Another take is another stroke of the same cymbal: as loud within 1 dB and as
/// bright within a sixth.
#[test]
fn takes_are_of_one_instrument() {
    let mut found = Vec::new();
    for (preset, keys) in TAKES {
        for velocity in [40, 80, 115] {
            let sounds = keys.map(|key| note(preset, key, velocity, 0.45));
            let loudness = sounds.each_ref().map(momentary);
            let brightness =
                sounds.each_ref().map(|s| Spectrum::of(&s.sum()[..seconds(0.3)]).centroid());
            for take in 1..3 {
                let louder = loudness[take] - loudness[0];
                let brighter = brightness[take] / brightness[0];
                if louder.abs() > 1.0 || !(6.0 / 7.0..=7.0 / 6.0).contains(&brighter) {
                    found.push(format!(
                        "{preset:?} key {} velocity {velocity}: {louder:+.2} dB, {brighter:.2}",
                        keys[take]
                    ));
                }
            }
        }
    }
    none(&found);
}

/// Brush taps differ from take to take, as the sticks' strokes do.
#[test]
fn brush_takes_are_not_copies() {
    let sounds = [38, 90, 91].map(|key| note(BRUSHES, key, 90, 0.3).sum());
    let dot = |x: &[f64], y: &[f64]| x.iter().zip(y).map(|(p, q)| p * q).sum::<f64>();
    for (a, b) in [(0, 1), (1, 2), (0, 2)] {
        let energy = dot(&sounds[a], &sounds[a]) * dot(&sounds[b], &sounds[b]);
        let likeness = dot(&sounds[a], &sounds[b]) / energy.sqrt();
        assert!(likeness < 0.9, "takes {a} and {b}: {likeness:.2}");
    }
}

/// SoundFont 2.01 section 8.4: layers change the timbre, not the level.
#[test]
fn drums_follow_velocity() {
    let mut found = Vec::new();
    let strokes = [36, 37, 38, 41, 42, 44, 50, 51].map(|key| (KIT, key));
    for (preset, key) in strokes.into_iter().chain([(BRUSHES, 38), (BRUSHES, 39)]) {
        let loudest = momentary(&note(preset, key, 127, 0.45));
        for velocity in [30, 50, 60, 61, 76, 77, 96, 97, 115] {
            let expected = 40.0 * (f64::from(velocity) / 127.0).log10();
            let off = momentary(&note(preset, key, velocity, 0.45)) - loudest - expected;
            if off.abs() > 1.0 {
                found.push(format!("{preset:?} key {key} velocity {velocity}: {off:+.2} dB"));
            }
        }
    }
    none(&found);
}

/// A feathered bass drum is felt, not heard: less of the beater's knock.
#[test]
fn a_feathered_kick_has_no_knock() {
    let knock = |velocity: i32| share(&note(KIT, 36, velocity, 0.35).sum(), 800.0, 5000.0);
    let (feathered, full) = (knock(25), knock(110));
    assert!(feathered < full - 6.0, "{feathered:.1} dB against {full:.1} dB");
}

/// A swirl lasts as long as its key and ends softly with it.
#[test]
fn a_swirl_lasts_as_long_as_its_key() {
    for held in [0.4, 1.2, 3.0] {
        let sound = played(BRUSHES, &[(0.0, 40, 80), (held, 40, 0)], held + 1.0);
        let level = |from: f64, to: f64| power_decibels(sound.power(from, to));
        let middle = level(0.25, held);
        assert!((level(held - 0.15, held) - middle).abs() < 4.0, "held {held} s: it fades before");
        assert!(middle - level(0.0, 0.02) > 12.0, "held {held} s: it begins with a bump");
        assert!(middle - level(held + 0.8, held + 1.0) > 60.0, "held {held} s: it goes on");
    }
}

/// The foot ends an open hi-hat; the ride rings on through everything.
#[test]
fn the_foot_closes_the_hats() {
    let open = played(KIT, &[(0.0, 46, 90)], 1.5);
    let closed = played(KIT, &[(0.0, 46, 90), (0.5, 44, 60)], 1.5);
    let (ringing, choked) = (open.power(1.0, 1.2), closed.power(1.0, 1.2));
    assert!(choked < 0.01 * ringing, "{:.0} dB", power_decibels(choked / ringing));
    let ride = played(KIT, &[(0.0, 51, 90), (0.1, 51, 0)], 1.5);
    let held = played(KIT, &[(0.0, 51, 90)], 1.5);
    let lost = power_decibels(held.power(1.0, 1.2) / ride.power(1.0, 1.2));
    assert!(lost < 6.0, "a ride let go loses {lost:.1} dB");
}

/// The soft clicks spare the ear between 2 and 5 kHz, where it is most sensitive
/// (ISO 226), by at least 6 dB against the wood blocks; accents lie higher.
#[test]
fn soft_clicks_are_soft() {
    let click = |key: i32| note(KIT, key, 100, 0.35).sum();
    for (soft, hard) in [(33, 77), (34, 76)] {
        let (soft, hard) =
            (share(&click(soft), 2000.0, 5000.0), share(&click(hard), 2000.0, 5000.0));
        assert!(soft < hard - 6.0, "{soft:.1} dB against {hard:.1} dB");
    }
    let pitch = |key: i32| Spectrum::of(&click(key)).peak(300.0, 3000.0).0;
    assert!(pitch(34) > 1.2 * pitch(33) && pitch(76) > 1.2 * pitch(77));
}

/// A click is over before the next one at 300 to the minute.
#[test]
fn clicks_are_short() {
    for key in [31, 33, 34, 37, 76, 77] {
        let sound = note(KIT, key, 100, 0.45);
        let (early, late) = (sound.power(0.0, 0.02), sound.power(0.2, 0.22));
        assert!(power_decibels(early / late.max(1e-20)) > 30.0, "key {key} rings on");
    }
}
