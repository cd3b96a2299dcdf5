//! Which notes share a waveform.

use super::*;
use crate::sound::tests::tiny_font::{TinyFont, Zone, range, sine};

const PIANO: Instrument = Instrument { bank: 0, program: 0 };

fn regions(font: &TinyFont) -> Vec<Region> {
    font.open().regions(PIANO).unwrap()
}

fn tiny() -> TinyFont {
    TinyFont::of(sine(440.0, 0.5, 44_100, 1_000), 44_100, 69)
}

fn key(regions: &[Region], velocity: u8, release_block: usize) -> NoteKey {
    NoteKey::of(PIANO, regions, 60, velocity, release_block)
}

#[test]
fn velocity_and_length_alone_make_no_new_waveform() {
    let regions = regions(&tiny());
    assert_eq!(key(&regions, 1, 2), key(&regions, 127, 5_000));
}

#[test]
fn a_velocity_layer_is_where_other_samples_sound() {
    let mut font = tiny();
    let zone = |low, high| Zone {
        sample: 0,
        settings: vec![(Generator::VelocityRange, range(low, high))],
    };
    font.zones = vec![zone(0, 60), zone(50, 90), zone(91, 127)];
    let regions = regions(&font);
    let layers = [1, 49, 50, 60, 61, 90, 91, 127].map(|velocity| key(&regions, velocity, 9).layer);
    assert_eq!(layers, [0, 0, 50, 50, 61, 61, 91, 91]);
}

#[test]
fn timbre_that_changes_with_the_release_is_kept_by_length() {
    // A filter that closes by an octave and a half while the note fades.
    let quick = tiny()
        .with(Generator::ModEnvToCutoff, 2_000)
        .with(Generator::ModEnvRelease, -3_000)
        .with(Generator::VolEnvRelease, 0);
    let quick = regions(&quick);
    assert_ne!(key(&quick, 80, 100), key(&quick, 80, 200));
    assert_eq!(key(&quick, 80, 97), key(&quick, 80, 104));
    // One that takes a hundred seconds to.
    let slow = tiny()
        .with(Generator::ModEnvToCutoff, 2_000)
        .with(Generator::ModEnvRelease, 8_000)
        .with(Generator::VolEnvRelease, 0);
    let slow = regions(&slow);
    assert_eq!(key(&slow, 80, 100), key(&slow, 80, 200));
}

#[test]
fn a_slow_modulation_attack_is_kept_by_velocity() {
    let slow = tiny().with(Generator::ModEnvToCutoff, 2_000).with(Generator::ModEnvAttack, 0);
    let slow = regions(&slow);
    assert_ne!(key(&slow, 40, 100), key(&slow, 100, 100));
    let quick = regions(&tiny().with(Generator::ModEnvToCutoff, 2_000));
    assert_eq!(key(&quick, 40, 100), key(&quick, 100, 100));
}
