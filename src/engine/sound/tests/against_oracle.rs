//! The note store against the synthesiser: the same notes, placed the same, must be the same.

use super::*;
use crate::sound::voice::{VoiceRequest, oracle};
use crate::units::Decibels;

/// What both ways are asked for.
#[derive(Debug, Clone, Copy)]
struct Asked {
    instrument: Instrument,
    key: u8,
    velocity: u8,
    /// Blocks until the key is let go.
    held: usize,
}

/// The largest difference between the two ways, and the same over the time that the synthesiser's
/// voices sound; full scale is 1.
fn difference(sounds: &Sounds, asked: Asked) -> Decibels {
    let Asked { instrument, key, velocity, held } = asked;
    let shared = &sounds.0;
    let note = StemNote { key, velocity, start: 0, release_block: u32::try_from(held).unwrap() };
    let preset = &shared.presets[&instrument];
    let events = note_events(preset, instrument, note, &mut Choker::default());
    let fast = rendered(StemRenderer::new(sounds.clone(), events.clone()), 4_096);
    let regions = shared.font.regions(instrument).unwrap();
    let requests: Vec<VoiceRequest<'_>> = regions
        .iter()
        .filter(|region| region.keys().contains(&key) && region.velocities().contains(&velocity))
        .map(|region| VoiceRequest {
            region,
            key,
            velocity,
            release_block: Some(held),
            blocks: events.iter().map(|event| event.blocks as usize).max().unwrap(),
            rate: shared.rate,
        })
        .collect();
    let slow = oracle::render(&shared.font, &requests).unwrap();
    // Where the synthesiser cuts a voice off at -60 dB, the store closes in over one block more.
    let ends: Vec<usize> = events.iter().map(|event| event.blocks as usize - 1).collect();
    let mut largest = 0.0_f32;
    for (fast, slow) in fast.iter().zip(&slow) {
        for (frame, fast) in fast.iter().enumerate() {
            let slow = MASTER * slow.get(frame).copied().unwrap_or(0.0);
            if !ends.contains(&(frame / BLOCK)) {
                largest = largest.max((fast - slow).abs());
            }
        }
    }
    Decibels::of(largest.into())
}

#[test]
fn the_embedded_trio_equals_the_synthesiser_below_minus_100_db() {
    let sounds = embedded(&[PIANO, BASS, KIT]);
    for (instrument, keys) in [
        (PIANO, vec![21, 36, 43, 48, 55, 60, 64, 72, 84, 96, 108]),
        (BASS, vec![28, 33, 40, 47, 55]),
        (KIT, vec![36, 37, 38, 42, 44, 46, 51, 76, 77]),
    ] {
        for key in keys {
            for velocity in [20, 64, 100, 127] {
                for held in [2, 40, 345, 1_500] {
                    let asked = Asked { instrument, key, velocity, held };
                    let difference = difference(&sounds, asked);
                    assert!(difference < Decibels(-100.0), "{asked:?}: {difference:?}");
                }
            }
        }
    }
}

/// For SoundFonts on this machine: set `COUNTOFF_TEST_SOUNDFONTS` to their paths, separated by
/// colons, and run with `--ignored --nocapture`.
#[test]
#[ignore = "needs SoundFonts that are not in the repository"]
fn report_other_soundfonts() {
    let Ok(paths) = std::env::var("COUNTOFF_TEST_SOUNDFONTS") else {
        println!("skipped: COUNTOFF_TEST_SOUNDFONTS is not set");
        return;
    };
    for path in paths.split(':') {
        let font = SoundFont::open(std::fs::File::open(path).unwrap()).unwrap();
        let instruments = [PIANO, BASS, KIT];
        let sounds =
            Sounds::new(font, &instruments, SampleRate::Hz44100, StoreBudget::default()).unwrap();
        for instrument in instruments {
            let (mut worst, mut at) = (Decibels(f64::NEG_INFINITY), None);
            for key in (28..88).step_by(3) {
                for velocity in [20, 70, 110] {
                    for held in [20, 87, 211, 300] {
                        let preset = &sounds.0.presets[&instrument];
                        if preset.layer(key, velocity).is_none() {
                            continue;
                        }
                        let asked = Asked { instrument, key, velocity, held };
                        let difference = difference(&sounds, asked);
                        if difference > worst {
                            (worst, at) = (difference, Some(asked));
                        }
                    }
                }
            }
            println!("{path} {instrument:?}: {:.1} dB at {at:?}", worst.0);
        }
    }
}
