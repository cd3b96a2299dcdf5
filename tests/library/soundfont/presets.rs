//! General MIDI's places, and the spare keys of the kit.

use super::listen::{BASS, ELECTRIC_PIANO, KIT, PIANO, Preset, VIBRAPHONE, font, note};
use super::none;

/// Upper-register line instrument.
const FLUTE: Preset = Preset(0, 73);
const BRUSHES: Preset = Preset(128, 40);

#[test]
fn presets_are_in_their_places() {
    let font = font();
    let has = |preset: Preset| {
        font.get_presets()
            .iter()
            .any(|p| p.get_bank_number() == preset.0 && p.get_patch_number() == preset.1)
    };
    let missing: Vec<String> = [PIANO, ELECTRIC_PIANO, VIBRAPHONE, BASS, FLUTE, KIT, BRUSHES]
        .into_iter()
        .filter(|&preset| !has(preset))
        .map(|preset| format!("{preset:?} is missing"))
        .collect();
    none(&missing);
}

/// Keys of General MIDI level 1's percussion that jazz uses, the clicks, and the
/// spare keys with further takes of ride, hats and brush.
#[test]
fn kit_keys_sound() {
    let used = [33, 34, 35, 36, 37, 38, 42, 44, 46, 49, 51, 53, 59, 76, 77, 84, 85, 86, 87, 88, 89];
    let silent: Vec<String> = used
        .into_iter()
        .filter(|&key| note(KIT, key, 90, 0.1).power(0.0, 0.1) < 1e-9)
        .map(|key| format!("kit key {key} is silent"))
        .collect();
    none(&silent);
    for key in [38, 39, 40, 90, 91, 51] {
        assert!(note(BRUSHES, key, 90, 0.1).power(0.0, 0.1) > 1e-9, "brush key {key} is silent");
    }
}

/// Takes of one stroke differ, so that no two in a row need be the same.
#[test]
fn takes_are_not_copies() {
    for takes in [[51, 84, 85], [44, 86, 87], [42, 88, 89]] {
        let sounds = takes.map(|key| note(KIT, key, 90, 0.3).sum());
        for (a, b) in [(0, 1), (1, 2), (0, 2)] {
            let dot = |x: &[f64], y: &[f64]| x.iter().zip(y).map(|(p, q)| p * q).sum::<f64>();
            let likeness = dot(&sounds[a], &sounds[b])
                / (dot(&sounds[a], &sounds[a]) * dot(&sounds[b], &sounds[b])).sqrt();
            assert!(likeness < 0.9, "keys {} and {}: {likeness:.2}", takes[a], takes[b]);
        }
    }
}
