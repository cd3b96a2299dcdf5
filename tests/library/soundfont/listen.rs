//! Plays notes of the file through rustysynth.

use rustysynth::{SoundFont, Synthesizer, SynthesizerSettings};
use std::sync::{Arc, LazyLock};

/// Sample rate of all renders in hertz.
pub(crate) const RATE: usize = 44_100;

/// Where the file lies.
pub(crate) fn path() -> String {
    std::env::var("SOUNDFONT_UNDER_TEST").unwrap_or_else(|_| {
        concat!(env!("CARGO_MANIFEST_DIR"), "/soundfonts-free/countoff-trio.sf2").to_owned()
    })
}

static FONT: LazyLock<Arc<SoundFont>> = LazyLock::new(|| {
    let bytes = std::fs::read(path()).unwrap();
    Arc::new(SoundFont::new(&mut bytes.as_slice()).unwrap())
});

/// The file under test.
pub(crate) fn font() -> Arc<SoundFont> {
    Arc::clone(&FONT)
}

/// A bank and a program, both counted from 0.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Preset(pub(crate) i32, pub(crate) i32);

pub(crate) const PIANO: Preset = Preset(0, 0);
pub(crate) const ELECTRIC_PIANO: Preset = Preset(0, 4);
pub(crate) const VIBRAPHONE: Preset = Preset(0, 11);
pub(crate) const BASS: Preset = Preset(0, 32);
pub(crate) const KIT: Preset = Preset(128, 0);

/// Both channels of a render.
pub(crate) struct Sound {
    pub(crate) left: Vec<f64>,
    pub(crate) right: Vec<f64>,
}

impl Sound {
    /// The channels added.
    pub(crate) fn sum(&self) -> Vec<f64> {
        self.left.iter().zip(&self.right).map(|(l, r)| l + r).collect()
    }

    /// Power of both channels between two times in seconds.
    pub(crate) fn power(&self, from: f64, to: f64) -> f64 {
        let range = seconds(from)..seconds(to).min(self.left.len());
        let length = range.len().max(1) as f64;
        let of = |side: &[f64]| side[range.clone()].iter().map(|x| x * x).sum::<f64>();
        (of(&self.left) + of(&self.right)) / length
    }
}

/// A time as a number of samples.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "short positive times")]
pub(crate) fn seconds(time: f64) -> usize {
    (time * RATE as f64) as usize
}

/// One note, held, with all the synthesiser's own gains at 1.
pub(crate) fn note(preset: Preset, key: i32, velocity: i32, length: f64) -> Sound {
    chord(preset, &[key], velocity, length, 1.0)
}

/// Notes struck together, held, with a given master volume.
pub(crate) fn chord(
    preset: Preset,
    keys: &[i32],
    velocity: i32,
    length: f64,
    volume: f32,
) -> Sound {
    let mut settings = SynthesizerSettings::new(RATE.try_into().unwrap());
    settings.enable_reverb_and_chorus = false;
    settings.maximum_polyphony = 256;
    let mut synth = Synthesizer::new(&font(), &settings).unwrap();
    synth.set_master_volume(volume);
    let channel = if preset.0 == 128 { 9 } else { 0 };
    synth.process_midi_message(channel, 0xb0, 0, preset.0 % 128);
    synth.process_midi_message(channel, 0xc0, preset.1, 0);
    // Channel volume.
    synth.process_midi_message(channel, 0xb0, 7, 127);
    for &key in keys {
        synth.note_on(channel, key, velocity);
    }
    let mut left = vec![0.0; seconds(length)];
    let mut right = left.clone();
    synth.render(&mut left, &mut right);
    let wide = |side: Vec<f32>| side.into_iter().map(f64::from).collect();
    Sound { left: wide(left), right: wide(right) }
}
