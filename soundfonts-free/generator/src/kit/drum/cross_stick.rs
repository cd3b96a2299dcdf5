//! The cross-stick: the stick lies on the skin, its tip under the palm, and its shoulder knocks on the
//! hoop. What sounds is the wood, the steel ring, and the drum that hand and stick keep from ringing.

use crate::dsp::maths::{amplitude, exp, samples};
use crate::dsp::modes::{Mode, ring};
use crate::dsp::noise::Noise;
use crate::dsp::{RATE, filter};
use crate::envelope::{self, mode};
use crate::kit::band_noise::Band;
use crate::kit::drum::snare;
use crate::kit::room::Room;
use crate::kit::stick_wood;

/// Length, s.
const LENGTH: f64 = 0.45;
/// How loud (dB) and how long (T60 in s) each bending mode of the stick is: the lowest moves too
/// little air, and the flesh of the hand takes the high ones soonest (from memory).
const WOOD: [(f64, f64); 6] =
    [(-26.0, 0.13), (-7.0, 0.105), (0.0, 0.080), (-5.0, 0.060), (-6.0, 0.048), (-9.0, 0.038)];
/// The stick is not round all along: each mode is a pair, this share apart.
const WOOD_PAIR: f64 = 0.013;
/// Bending of the steel hoop in its plane: n(n²−1)/√(n²+1) times 100 Hz for a 14-inch hoop, n = 3 to
/// 7 (ring theory; the factor from memory), pulled apart by the lugs: (Hz, dB, T60 in s).
const HOOP: [(f64, f64, f64); 11] = [
    (759.0, -15.0, 0.20),
    (1418.0, -8.0, 0.18),
    (1490.0, -9.0, 0.16),
    (2353.0, -9.0, 0.15),
    (3380.0, 0.0, 0.13),
    (3520.0, -2.0, 0.12),
    (4750.0, 1.0, 0.11),
    (5080.0, -1.0, 0.10),
    (6240.0, 1.0, 0.09),
    (7900.0, 0.0, 0.08),
    (9800.0, -3.0, 0.06),
];
/// What is left of the drum under the hand: (Hz, dB, T60 in s).
const DRUM: [(f64, f64, f64); 4] = [
    (snare::FUNDAMENTAL * 0.98, -20.0, 0.10),
    (snare::FUNDAMENTAL * 1.78, -15.0, 0.12),
    (465.0, -13.0, 0.10),
    (602.0, -13.0, 0.09),
];
/// The wires, which hardly move.
const WIRES: [Band; 4] = [
    Band::new(700.0, -8.0, 0.40, 0.003),
    Band::new(2000.0, -3.0, 0.45, 0.003),
    Band::new(5000.0, 0.0, 0.40, 0.004),
    Band::new(11_000.0, -10.0, 0.12, 0.004),
];
/// Level of the wires against the peak of the rest, dB.
const WIRES_DB: f64 = -23.0;
/// Time constant of the chatter of stick and hoop, s, and its peak against the rest, dB.
const CHATTER: f64 = 0.009;
/// See [`CHATTER`].
const CHATTER_DB: f64 = -11.0;
/// The room.
const ROOM: Room = Room { amount: 0.20, t60: 0.4 };

/// A knock with `velocity` (0 to 1). `place` names the stroke.
#[must_use]
pub fn knock(velocity: f64, place: u64) -> Vec<f64> {
    let length = samples(LENGTH, RATE);
    // Wood on steel stays in touch for some 0.1 ms, less in a hard knock; modes much faster than that
    // are excited less.
    let bandwidth = 4200.0 + 3600.0 * velocity;
    let softened = |mut mode: Mode| {
        let over = mode.frequency / bandwidth;
        mode.amplitude /= 1.0 + over * over;
        mode
    };
    let mut noise = Noise::new(place);
    let stick = stick_wood::bending_modes(stick_wood::RESTING);
    let mut modes = Vec::new();
    for (hertz, (level_db, t60)) in stick.into_iter().zip(WOOD) {
        let here = level_db + noise.gaussian();
        modes.push(softened(mode(hertz, here, t60)));
        modes.push(softened(mode(hertz * (1.0 + WOOD_PAIR), here - 6.0, 0.8 * t60)));
    }
    for (hertz, level_db, t60) in HOOP.into_iter().chain(DRUM) {
        modes.push(softened(mode(hertz, level_db + noise.gaussian(), t60)));
    }
    let mut sound = ring(&modes, length, RATE);

    let mut click = filter::band_pass(&noise.white(length), 1800.0, 9000.0, 1, RATE);
    envelope::shape(&mut click, |time| envelope::burst(time, 1.0e-4, 7.0e-4));
    let loud = envelope::peak(&sound);
    envelope::add(&mut sound, &envelope::to_unit_peak(click), loud * (0.18 + 0.35 * velocity));

    // Stick, hoop and skin chatter until they have come to rest.
    let mut chatter = filter::band_pass(&noise.white(length), 900.0, 8500.0, 1, RATE);
    envelope::shape(&mut chatter, |time| envelope::burst(time, 4.0e-4, CHATTER));
    envelope::add(&mut sound, &envelope::to_unit_peak(chatter), loud * amplitude(CHATTER_DB));

    let wires = envelope::to_unit_peak(snare::rattle(&WIRES, length, place ^ 0x5752));
    envelope::add(&mut sound, &wires, loud * amplitude(WIRES_DB));
    envelope::shape(&mut sound, |time| 1.0 - exp(-time / 6.0e-5));
    ROOM.around(&sound)
}
