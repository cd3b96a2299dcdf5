//! Grand piano, computed from its physics.
//!
//! ```text
//! design ──> hammer ──> strings ──────────> soundboard ──> stroke ──> layers ──> zones
//! the key    the blow   unison, tuner       what sings     as heard   stored     played
//!                       longitudinal, noises ──┘
//! ```

mod arrivals;
mod case;
pub mod design;
pub mod hammer;
pub mod layers;
mod longitudinal;
mod noises;
pub mod soundboard;
pub mod strings;
pub mod stroke;
pub mod tuner;
pub mod tuning;
pub mod unison;
pub mod zones;

use crate::headroom::spent_in_samples;
use crate::sf2::{Bank, Layer};
use layers::{Format, Layers};
use rayon::prelude::*;
use soundboard::Soundboard;

/// Keys that are computed; the others are played from the nearest of them.
const ROOTS: [u8; 25] = [
    22, 26, 30, 34, 38, 42, 45, 48, 51, 54, 57, 60, 63, 66, 69, 72, 75, 78, 81, 84, 87, 91, 95,
    100, 105,
];
/// The soft timbre has nothing above 10 kHz; its tail is what one hears of a
/// held chord, so it is long.
const BASE: Format = Format {
    rate: 22_050,
    body: &[
        (21.0, 2.8),
        (40.0, 3.4),
        (60.0, 3.6),
        (76.0, 2.8),
        (84.0, 1.7),
        (96.0, 0.8),
        (108.0, 0.5),
    ],
    sustain: &[(21.0, 0.5), (60.0, 0.45), (84.0, 0.2), (108.0, 0.1)],
    crossfade: 0.12,
};
/// The brightness of the attack, which is soon over.
const RESIDUAL: Format = Format {
    rate: 32_000,
    body: &[(21.0, 1.0), (60.0, 0.85), (84.0, 0.5), (108.0, 0.3)],
    sustain: &[(21.0, 0.3), (60.0, 0.25), (84.0, 0.15), (108.0, 0.1)],
    crossfade: 0.08,
};
/// Which soundboard.
const BOARD_SEED: u64 = 11;

/// Puts the piano into the bank and gives the layers of its preset.
pub fn add_to(bank: &mut Bank) -> Vec<Layer> {
    let board = Soundboard::new(BOARD_SEED);
    let roots: Vec<Layers> =
        ROOTS.par_iter().map(|&key| Layers::new(key, &board, &BASE, &RESIDUAL)).collect();
    let instrument = bank.add(spent_in_samples(zones::instrument(&roots)));
    zones::preset_layers(instrument)
}
