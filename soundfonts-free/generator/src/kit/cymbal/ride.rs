//! The ride: a 20-inch cymbal played on its bow with the tip of the stick, and on its bell with the
//! shoulder. The ping of the stick stands before a dry, dark wash, and the modes stay so far apart
//! that the ear hears metal, not noise.

use super::plate::Plate;
use super::{Cymbal, Stroke};
use crate::curve::Points;
use crate::dsp::maths::{TURN, pow, samples, sin};
use crate::dsp::modes::{Mode, ring};
use crate::dsp::noise::Noise;
use crate::dsp::{RATE, maths};
use crate::envelope;
use crate::kit::contact::Contact;

/// Area of a 20-inch cymbal: π·(0.254 m)². Thickness of a medium-light one (from memory).
const PLATE: Plate = Plate { area: 0.203, thickness: 1.15e-3, split: 0.0012, seed: 101 };

/// Level of a mode over frequency, dB: falls towards the low end, where a small plate radiates
/// poorly. Fitted by ear and meter together with the decay times below.
const SPECTRUM: Points = &[
    (100.0, -28.4),
    (150.0, -22.4),
    (350.0, -17.8),
    (700.0, -16.0),
    (1400.0, -17.5),
    (2800.0, -13.2),
    (5600.0, -9.0),
    (10_000.0, -7.7),
    (15_000.0, -9.5),
];

/// Decay over frequency, s.
const T60: Points = &[
    (150.0, 3.5),
    (700.0, 3.3),
    (1400.0, 3.1),
    (2800.0, 2.5),
    (5600.0, 2.0),
    (11_000.0, 1.25),
    (16_000.0, 0.8),
];

/// Build-up over frequency, s.
const BUILD_UP: Points = &[(200.0, 1e-4), (2000.0, 0.003), (4000.0, 0.007), (9000.0, 0.005)];

/// The cymbal struck on its bow.
const BOW: Cymbal = Cymbal {
    plate: PLATE,
    spectrum: SPECTRUM,
    t60: T60,
    build_up: BUILD_UP,
    scatter_db: 7.0,
    radiates_above: 100.0,
    wash_db: -15.0,
    wash_tilt: 6.5,
};

/// The bow as it answers a blow on the bell: less of the top.
const BEHIND_THE_BELL: Cymbal = Cymbal {
    spectrum: &[
        (100.0, -30.0),
        (150.0, -24.0),
        (350.0, -15.0),
        (700.0, -15.0),
        (1400.0, -13.0),
        (2800.0, -9.0),
        (5600.0, -11.0),
        (10_000.0, -14.0),
        (15_000.0, -22.0),
    ],
    t60: &[
        (150.0, 3.5),
        (700.0, 3.3),
        (1400.0, 3.1),
        (2800.0, 2.6),
        (5600.0, 1.7),
        (11_000.0, 0.8),
        (16_000.0, 0.5),
    ],
    wash_db: -15.0,
    wash_tilt: 4.0,
    ..BOW
};

/// Modes of the bell, a stiff cup that rings clear of the plate: (Hz, dB against the plate, T60 in s).
const BELL: [(f64, f64, f64); 8] = [
    (612.0, -14.0, 3.0),
    (1187.0, -5.0, 2.8),
    (1730.0, -8.0, 2.6),
    (2510.0, 1.0, 2.6),
    (3365.0, -2.0, 2.0),
    (4480.0, -6.0, 1.5),
    (5210.0, -10.0, 1.2),
    (6890.0, -13.0, 0.9),
];

/// A stroke on the bow with `velocity` (0 to 1), `seconds` long. `place` names the stroke.
#[must_use]
pub fn bow(velocity: f64, place: u64, seconds: f64) -> Vec<f64> {
    BOW.strike(&bow_stroke(velocity, place, true), samples(seconds, RATE))
}

/// The same stroke without the stick's own noise: what is left of it after the first moment.
#[must_use]
pub fn bow_ringing(velocity: f64, place: u64, seconds: f64) -> Vec<f64> {
    BOW.strike(&bow_stroke(velocity, place, false), samples(seconds, RATE))
}

/// How a stroke on the bow depends on its velocity.
fn bow_stroke(velocity: f64, place: u64, with_stick: bool) -> Stroke {
    Stroke {
        // A harder blow is a shorter contact (Hertz: time falls with the fifth root of the speed; the
        // rest is the plate's own nonlinearity).
        bandwidth: 5500.0 + 19_000.0 * pow(velocity, 1.1),
        late_share: 0.55 + 0.25 * velocity,
        wash_db: 2.0 * velocity,
        darker: 0.0,
        contact: with_stick.then_some(Contact {
            level_db: 7.0 + 4.0 * velocity,
            band: (2600.0, 8000.0 + 7500.0 * velocity),
            fall: 2.4e-3,
            knock: &[(1350.0, -3.0, 0.004), (640.0, -3.0, 0.005), (330.0, -5.0, 0.008)],
        }),
        seed: place,
    }
}

/// A stroke on the bell with `velocity` (0 to 1), `seconds` long.
#[must_use]
pub fn bell(velocity: f64, place: u64, seconds: f64) -> Vec<f64> {
    let stroke = Stroke {
        bandwidth: 8000.0 + 9000.0 * velocity,
        late_share: 0.5,
        wash_db: 0.0,
        darker: 0.0,
        contact: Some(Contact {
            level_db: 5.0,
            band: (2200.0, 11_000.0),
            fall: 0.9e-3,
            knock: &[(1350.0, -3.0, 0.003)],
        }),
        seed: place,
    };
    let mut sound = BEHIND_THE_BELL.strike(&stroke, samples(seconds, RATE));
    let reference = envelope::rms(envelope::head(&sound, 0.1));
    let mut noise = Noise::new(place ^ 0x4245);
    let modes: Vec<Mode> = BELL
        .iter()
        // Each mode is a pair, a little more than a tenth of a per cent apart.
        .flat_map(|&partial| [(partial, -0.0006), (partial, 0.0007)])
        .map(|((hertz, level_db, t60), aside)| Mode {
            frequency: hertz * (1.0 + aside),
            amplitude: core::f64::consts::FRAC_1_SQRT_2 * reference * maths::amplitude(level_db),
            decay: maths::decay_for_t60(t60),
            phase: TURN * noise.uniform(),
        })
        .collect();
    let mut cup = ring(&modes, sound.len(), RATE);
    envelope::shape(
        &mut cup,
        |time| if time < RISE { sin(0.25 * TURN * time / RISE) } else { 1.0 },
    );
    envelope::add(&mut sound, &cup, 1.0);
    sound
}

/// The cup is there after this time, s.
const RISE: f64 = 3.0e-4;
