//! What shares a waveform.

use super::*;
use crate::performance::Instrument;
use crate::sound::key::NoteKey;
use crate::sound::preset::Preset;
use crate::sound::tests::tiny_font::{TinyFont, Zone, range, sine};

const PIANO: Instrument = Instrument { bank: 0, program: 0 };

fn tiny() -> TinyFont {
    TinyFont::of(sine(440.0, 0.5, 44_100, 1_000), 44_100, 69)
}

fn preset(font: &TinyFont) -> Preset {
    Preset::new(&font.open().regions(PIANO).unwrap(), SampleRate::Hz44100)
}

/// What names the waveforms of a note on key 60, with their gains.
fn waves(preset: &Preset, velocity: u8, release_block: u32) -> Vec<(NoteKey, f32)> {
    let key = preset.key(60).unwrap();
    let strands = &preset.layer(60, velocity).unwrap().strands;
    strands
        .iter()
        .map(|(number, gain)| {
            let strand = (u16::try_from(*number).unwrap(), &key.strands[*number]);
            (NoteKey::new(PIANO, 60, strand, velocity, release_block), *gain)
        })
        .collect()
}

#[test]
fn velocity_and_length_alone_make_no_new_waveform() {
    let preset = preset(&tiny());
    assert_eq!(waves(&preset, 1, 2), waves(&preset, 127, 5_000));
}

#[test]
fn velocity_steps_are_gains_of_the_same_strands() {
    let mut font = tiny();
    font.samples.push(font.samples[0].clone());
    // A soft sample in two places with a fixed balance, a hard one that comes in with velocity.
    let zone = |sample, velocities, pan, offset, attenuation| Zone {
        sample,
        settings: vec![
            (Generator::VelocityRange, velocities),
            (Generator::Pan, pan),
            (Generator::StartOffset, offset),
            (Generator::Attenuation, attenuation),
        ],
    };
    let (soft, hard) = (range(1, 60), range(61, 127));
    font.zones = vec![
        zone(0, soft, -450, 20, 0),
        zone(0, soft, 450, 0, 150),
        zone(0, hard, -450, 20, 100),
        zone(0, hard, 450, 0, 250),
        zone(1, hard, 0, 0, 50),
    ];
    let preset = preset(&font);
    assert_eq!(preset.key(60).unwrap().strands.len(), 2);
    let (soft, hard) = (waves(&preset, 30, 9), waves(&preset, 100, 9));
    assert_eq!(soft[0].0, hard[0].0);
    assert_eq!((soft.len(), hard.len()), (1, 2));
    // 10 dB of attenuation, of which the synthesiser takes 0.4.
    let step = 20.0 * (hard[0].1 / soft[0].1).log10();
    assert!((step + 4.0).abs() < 1.0e-4, "{step}");
}

#[test]
fn another_balance_is_another_strand() {
    let mut font = tiny();
    let zone = |velocities, pan, attenuation| Zone {
        sample: 0,
        settings: vec![
            (Generator::VelocityRange, velocities),
            (Generator::Pan, pan),
            (Generator::Attenuation, attenuation),
        ],
    };
    let (soft, hard) = (range(1, 60), range(61, 127));
    font.zones =
        vec![zone(soft, -500, 0), zone(soft, 500, 0), zone(hard, -500, 0), zone(hard, 500, 10)];
    assert_eq!(preset(&font).key(60).unwrap().strands.len(), 2);
}

#[test]
fn timbre_that_changes_with_the_release_is_kept_by_length() {
    // A filter that closes by an octave and a half while the note fades.
    let filter = |release| {
        let font = TinyFont::of(sine(440.0, 0.5, 44_100, 44_100), 44_100, 69)
            .with(Generator::ModEnvToCutoff, 2_000)
            .with(Generator::ModEnvRelease, release)
            .with(Generator::VolEnvRelease, 0);
        preset(&font)
    };
    let quick = filter(-3_000);
    assert_ne!(waves(&quick, 80, 100), waves(&quick, 80, 200));
    // One that takes a hundred seconds to.
    let slow = filter(8_000);
    assert_eq!(waves(&slow, 80, 100), waves(&slow, 80, 200));
}

#[test]
fn a_slow_modulation_attack_is_kept_by_velocity() {
    let filter = |attack| {
        let font =
            tiny().with(Generator::ModEnvToCutoff, 2_000).with(Generator::ModEnvAttack, attack);
        preset(&font)
    };
    let slow = filter(0);
    assert_ne!(waves(&slow, 40, 100), waves(&slow, 100, 100));
    let quick = filter(-12_000);
    assert_eq!(waves(&quick, 40, 100), waves(&quick, 100, 100));
}
