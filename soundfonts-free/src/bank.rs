//! The finished SoundFont: which instrument answers which preset.

use crate::sf2::{Bank, Layer, Sf2Error};
use crate::{bass, kit, piano};

/// Words of the file's own licence chunk.
const LICENCE: &str = "CC0 1.0: computed, no sample was taken from anywhere";

/// The whole file.
///
/// # Errors
/// [`Sf2Error`] if an instrument asks for something that the format cannot say;
/// a fault of this crate.
pub fn trio() -> Result<Vec<u8>, Sf2Error> {
    let mut bank = Bank::new("Countoff Trio", LICENCE);
    let grand = bank.add(piano::instrument());
    let upright = bank.add(bass::instrument());
    let drums = bank.add(kit::instrument());
    bank.preset("Grand Piano", 0, 0, vec![Layer::new(grand, 21..=108)]);
    bank.preset("Acoustic Bass", 0, 32, vec![Layer::new(upright, 23..=72)]);
    bank.preset("Jazz Kit", 128, 0, vec![Layer::new(drums, 33..=91)]);
    bank.to_bytes()
}
