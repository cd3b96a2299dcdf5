//! The slow path: a whole note as the synthesiser plays it, with its own velocity, envelope,
//! panning and length, and nothing kept. What the note store gives is measured against it.

use super::reel::Points;
use super::sample::VoiceSample;
use super::{Voice, VoiceError, VoiceRequest, font, synth};
use crate::sound::soundfont::{LoopMode, SoundFont};

/// A note's two sides from the voices that sound in it. All requests are for the same note.
///
/// # Errors
/// When sample data cannot be read, or the synthesiser fails.
pub(in crate::sound) fn render(
    soundfont: &SoundFont,
    requests: &[VoiceRequest<'_>],
) -> Result<[Vec<f32>; 2], VoiceError> {
    let Some(first) = requests.first() else { return Ok([Vec::new(), Vec::new()]) };
    let mut voices = Vec::new();
    for request in requests {
        let read = |samples| soundfont.samples(&request.region.sample, samples);
        if let Some(sample) = VoiceSample::cut(request, read)? {
            voices.push((request, sample));
        }
    }
    // One scale for all, so that it can be undone.
    let scale = voices.iter().map(|(_, sample)| sample.headroom()).fold(1.0, f32::min);
    let mut sides = played(first, &voices, scale)?;
    sides.iter_mut().flatten().for_each(|x| *x /= scale);
    // A SoundFont's 16 bits hold less than our samples do. What they leave out is played too, made
    // louder: the synthesiser's arithmetic is linear.
    for (_, sample) in &mut voices {
        let coarse = sample.rounded(scale);
        let mut fine = sample.points.upsampled().into_owned();
        for (fine, coarse) in fine.iter_mut().zip(&coarse.samples) {
            *fine = (*fine * scale - f32::from(*coarse)) * FINER;
        }
        sample.points = Points::Upsampled(fine);
    }
    let fine = played(first, &voices, 1.0)?;
    for (x, fine) in sides.iter_mut().flatten().zip(fine.iter().flatten()) {
        *x += fine / (FINER * scale);
    }
    Ok(sides)
}

/// By how much the rest of a rounded sample is made louder.
const FINER: f32 = 32_768.0;

fn played(
    first: &VoiceRequest<'_>,
    voices: &[(&VoiceRequest<'_>, VoiceSample)],
    scale: f32,
) -> Result<[Vec<f32>; 2], VoiceError> {
    let voices: Vec<font::FontVoice<'_>> = voices
        .iter()
        .map(|(request, sample)| Voice {
            settings: &request.region.settings,
            sample: sample.rounded(scale),
            until_release: request.region.loop_mode == LoopMode::UntilRelease,
            root_key: request.region.root_key,
        })
        .collect();
    let held = first.release_block.unwrap_or(first.blocks);
    let note =
        synth::Playing { key: first.key, velocity: first.velocity, held, pan: synth::CENTRE };
    let mut sides = synth::play(&font::bytes(&voices), &note, first.blocks, first.rate)?;
    sides.iter_mut().flatten().for_each(|x| *x /= synth::LOUD);
    Ok(sides)
}
