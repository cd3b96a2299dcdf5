//! Finished sound files, read back.

use std::fs::File;
use std::path::Path;

use symphonia::core::codecs::audio::AudioDecoderOptions;
use symphonia::core::errors::Error;
use symphonia::core::formats::TrackType;
use symphonia::core::formats::probe::Hint;
use symphonia::core::io::MediaSourceStream;

use crate::units::SampleRate;

/// Reads a WAV or FLAC file of two channels and gives its frames to `hear`, block by block, full
/// scale being 1.
///
/// # Errors
/// A message for people: it cannot be opened, is damaged, or is not of a kind that is made here.
pub(super) fn decode(
    path: &Path,
    mut hear: impl FnMut(SampleRate, &[f32], &[f32]),
) -> Result<(), String> {
    let file = File::open(path).map_err(|error| error.to_string())?;
    let stream = MediaSourceStream::new(Box::new(file), Default::default());
    let mut hint = Hint::new();
    if let Some(extension) = path.extension().and_then(|extension| extension.to_str()) {
        hint.with_extension(extension);
    }
    let said = |error: Error| error.to_string();
    let mut reader = symphonia::default::get_probe()
        .probe(&hint, stream, Default::default(), Default::default())
        .map_err(said)?;
    let track = reader.default_track(TrackType::Audio).ok_or("there is no sound in it")?;
    let parameters = track.codec_params.as_ref().and_then(|parameters| parameters.audio());
    let parameters = parameters.ok_or("its samples are of no known kind")?;
    let rate = parameters.sample_rate.and_then(SampleRate::from_hz);
    let rate = rate.ok_or("it is at neither 44,100 nor 48,000 frames a second")?;
    let track_id = track.id;
    let mut decoder = symphonia::default::get_codecs()
        .make_audio_decoder(parameters, &AudioDecoderOptions::default())
        .map_err(said)?;
    let mut planes: Vec<Vec<f32>> = Vec::new();
    while let Some(packet) = reader.next_packet().map_err(said)? {
        if packet.track_id != track_id {
            continue;
        }
        decoder.decode(&packet).map_err(said)?.copy_to_vecs_planar(&mut planes);
        match planes.as_slice() {
            [left, right] => hear(rate, left, right),
            _ => return Err("it has not two channels".to_owned()),
        }
    }
    Ok(())
}
