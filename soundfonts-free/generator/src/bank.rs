//! The finished SoundFont: which instrument answers which preset.

use crate::sf2::{Bank, Layer, Sf2Error};
use crate::{bass, electric_piano, flute, kit, piano, vibraphone};

/// Words of the file's own licence chunk.
const LICENCE: &str = "CC0 1.0: computed, no sample was taken from anywhere";

/// The whole file.
///
/// # Errors
/// [`Sf2Error`] if an instrument asks for something that the format cannot say;
/// a fault of this crate.
pub fn trio() -> Result<Vec<u8>, Sf2Error> {
    let mut bank = Bank::new("Countoff Trio", LICENCE);
    let grand = piano::add_to(&mut bank);
    let tines = bank.add(electric_piano::instrument());
    let upright = bank.add(bass::instrument());
    let noises = bank.add(bass::finger_noises());
    let vibes = bank.add(vibraphone::tones_with_fan());
    let vibes_at_rest = bank.add(vibraphone::tones_without_fan());
    let mallets = bank.add(vibraphone::blows());
    let flutes = bank.add(flute::instrument());
    let drums = bank.add(kit::instrument());
    let brushes = bank.add(kit::brushes());
    bank.preset("Grand Piano", 0, 0, grand);
    bank.preset("Electric Piano", 0, 4, vec![Layer::new(tines, electric_piano::KEYS)]);
    bank.preset("Acoustic Bass", 0, 32, vec![Layer::new(upright, 23..=72)]);
    // A variation in bank 1: synthesisers that do not know it play the plain bass of bank 0.
    bank.preset("Bass Slide", 1, 32, bass::slide_layers(upright, noises));
    let vibraphone = |tones| {
        vec![tones, mallets].into_iter().map(|part| Layer::new(part, vibraphone::KEYS)).collect()
    };
    bank.preset("Vibraphone", 0, 11, vibraphone(vibes));
    bank.preset("Vibraphone, no fan", 1, 11, vibraphone(vibes_at_rest));
    bank.preset("Flute", 0, 73, vec![Layer::new(flutes, flute::KEYS)]);
    // General MIDI's guitar fret noise: here of a hand on a bass.
    bank.preset("Finger Noise", 0, 120, vec![Layer::new(noises, 0..=127)]);
    bank.preset("Jazz Kit", 128, 0, vec![Layer::new(drums, 0..=127)]);
    // The brush kit is the standard kit with the keys of the snare (38 to 40) and the second and third
    // takes of the brush tap (90, 91) played with brushes.
    let brush_kit = vec![
        Layer::new(drums, 0..=37),
        Layer::new(brushes, 38..=40),
        Layer::new(drums, 41..=89),
        Layer::new(brushes, 90..=91),
    ];
    bank.preset("Brush Kit", 128, 40, brush_kit);
    bank.to_bytes()
}
