//! Wire brushes on a coated snare skin. A brush is some hundred wires: in a tap they land one after
//! another within some milliseconds and bounce; in a slap they land nearly at once and stay; in a
//! swirl they are drawn over the coating and catch on its grain thousands of times a second.

use super::drum::skin::Skin;
use super::drum::snare;
use super::room::Room;
use crate::dsp::fft::convolve;
use crate::dsp::maths::{amplitude, exp, ln, samples};
use crate::dsp::noise::Noise;
use crate::dsp::{RATE, filter};
use crate::envelope;
use crate::kit::band_noise::Band;

/// The skin under a brush: (over the fundamental, dB, T60 in s). The brush's own weight damps it.
const SKIN: [(f64, f64, f64); 7] = [
    (1.0, -6.0, 0.16),
    (1.55, -1.0, 0.15),
    (1.78, -2.0, 0.16),
    (2.10, -6.0, 0.12),
    (2.75, -5.0, 0.11),
    (3.75, -9.0, 0.09),
    (5.10, -11.0, 0.07),
];
/// The drum's own wires, which answer the skin.
const RATTLE: [Band; 5] = [
    Band::new(500.0, -10.0, 0.16, 0.004),
    Band::new(1500.0, -3.0, 0.20, 0.004),
    Band::new(4000.0, 0.0, 0.22, 0.005),
    Band::new(8000.0, -5.0, 0.18, 0.005),
    Band::new(14_000.0, -16.0, 0.14, 0.005),
];
/// The room.
const ROOM: Room = Room { amount: 0.14, t60: 0.35 };
/// Time constant with which a wire that has landed comes to rest, s (from memory).
const SCRATCH_TIME: f64 = 0.0022;
/// Below this a brush moves no air, Hz.
const BRUSH_LOW_CUT: f64 = 130.0;
/// Length of a tap, s.
const TAP_LENGTH: f64 = 0.42;

/// How a brush comes down.
struct Landing {
    /// Wires that touch.
    wires: u32,
    /// Standard deviation of their landing times, s.
    spread: f64,
    /// How much of its force a wire has left when it lands again.
    bounce: f64,
    /// Level over the first 0.1 s, in dB, of the skin, of the scratching wires, and of the drum's own
    /// wires.
    skin: f64,
    scratch: f64,
    rattle: f64,
    /// Share of the skin's decay times that the brush leaves.
    ringing: f64,
    /// How the skin's modes fall, dB for each fundamental: the more of the brush lies flat, the more.
    tilt: f64,
    /// Edges of the wires' own sound, Hz.
    band: (f64, f64),
}

/// A light stroke that comes off at once, with `velocity` (0 to 1). `place` names the stroke.
#[must_use]
pub fn tap(velocity: f64, place: u64) -> Vec<f64> {
    let landing = Landing {
        wires: 90,
        spread: 0.0042 - 0.0016 * velocity,
        bounce: 0.35,
        skin: 0.0,
        scratch: -8.0 + 3.0 * velocity,
        rattle: -8.0,
        ringing: 1.0,
        tilt: 0.0,
        band: (1100.0, 4200.0 + 2600.0 * velocity),
    };
    land(&landing, place)
}

/// A flat stroke that stays on the skin, with `velocity` (0 to 1). `place` names the stroke.
#[must_use]
pub fn slap(velocity: f64, place: u64) -> Vec<f64> {
    let landing = Landing {
        wires: 140,
        spread: 0.0022,
        bounce: 0.2,
        skin: 0.0,
        scratch: -8.0 + 3.0 * velocity,
        rattle: -6.0,
        ringing: 1.5,
        tilt: -4.0,
        band: (900.0, 6200.0),
    };
    land(&landing, place)
}

/// The sound of a brush that comes down as `landing` says.
fn land(landing: &Landing, place: u64) -> Vec<f64> {
    let length = samples(TAP_LENGTH, RATE);
    let mut noise = Noise::new(place);
    // What the wires do to the skin, and how much of them is scratching the coating at each moment.
    let mut push = vec![0.0; length];
    let mut landed = vec![0.0; length];
    let earliest = 2.2 * landing.spread;
    for _ in 0..landing.wires {
        let mut time = (earliest + landing.spread * noise.gaussian()).max(0.0);
        let mut force = 0.3 + 0.7 * noise.uniform();
        while force > 0.05 {
            let at = samples(time, RATE);
            if let (Some(down), Some(power)) = (push.get_mut(at), landed.get_mut(at)) {
                *down += force;
                *power += force * force;
            }
            time += 0.004 + 0.008 * noise.uniform();
            force *= landing.bounce;
        }
    }
    let modes = SKIN.map(|(ratio, level, t60)| (ratio, level, landing.ringing * t60));
    let skin = Skin {
        fundamental: snare::FUNDAMENTAL,
        modes: &modes,
        stretch: 0.0,
        settling: 0.02,
        tilt: landing.tilt,
    };
    let ringing = convolve(&push, &skin.ring(length, 0.0));
    // A wire that has landed scratches on for a moment; wires scratch independently, so their powers
    // add.
    let keep = exp(-1.0 / (SCRATCH_TIME * RATE));
    let mut power = 0.0;
    let mut scratching = noise.white(length);
    for (sample, landed) in scratching.iter_mut().zip(&landed) {
        power = keep * keep * power + landed;
        *sample *= power.sqrt();
    }
    let (low, high) = landing.band;
    let scratching = filter::band_pass(&scratching, low, high, 2, RATE);
    let mut sound = vec![0.0; length];
    let rattle = snare::rattle(&RATTLE, length, place ^ 0x5241);
    for (part, level_db) in
        [(ringing, landing.skin), (scratching, landing.scratch), (rattle, landing.rattle)]
    {
        let level = envelope::rms(envelope::head(&part, 0.1)).max(1e-12);
        envelope::add(&mut sound, &part, amplitude(level_db) / level);
    }
    let sound = filter::high_pass(&sound, BRUSH_LOW_CUT, 2, RATE);
    ROOM.around(&sound)
}

/// How many grains of the coating the wires catch on in a second at full speed.
const GRAINS_PER_SECOND: f64 = 5200.0;
/// How slowly, in Hz, and how deep, as a share, hand and wires change while they are drawn.
const HAND_RATE: f64 = 7.0;
/// See [`HAND_RATE`].
const HAND_DEPTH: f64 = 0.22;

/// A brush drawn round the skin at an even speed, `seconds` long: the steady part of a swirl, for as
/// long as one likes. The stroke's rise and end are the player's.
#[must_use]
pub fn swirl(seconds: f64, place: u64) -> Vec<f64> {
    let length = samples(seconds, RATE);
    let mut noise = Noise::new(place);
    let mut grains = vec![0.0; length];
    let mut time = 0.0;
    loop {
        // Waiting times between independent events are exponential.
        time -= ln(1.0 - noise.uniform()) / GRAINS_PER_SECOND;
        let Some(grain) = grains.get_mut(samples(time, RATE)) else {
            break;
        };
        // Most grains are small, a few are large.
        *grain += noise.gaussian() * (0.4 - ln(1.0 - noise.uniform()));
    }
    // The wires' snap, and the skin as a soft box behind it.
    let hiss = filter::band_pass(&grains, 1900.0, 5200.0, 2, RATE);
    let body = filter::band_pass(&grains, 330.0, 1500.0, 2, RATE);
    let mut sound = vec![0.0; length];
    envelope::add(&mut sound, &hiss, 1.0 / envelope::rms(&hiss).max(1e-12));
    envelope::add(&mut sound, &body, 0.62 / envelope::rms(&body).max(1e-12));
    let slow = filter::low_pass(&noise.white(length), HAND_RATE, 2, RATE);
    let depth = HAND_DEPTH / envelope::rms(&slow).max(1e-12);
    for (sample, hand) in sound.iter_mut().zip(&slow) {
        *sample *= (1.0 + depth * hand).clamp(0.4, 1.6);
    }
    filter::low_pass(&sound, 12_000.0, 2, RATE)
}
