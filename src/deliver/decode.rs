//! Finished sound files, read back: WAV by `hound`, compressed formats by `symphonia`.

use std::fs::File;
use std::io::BufReader;

use hound::{SampleFormat, WavReader};
use symphonia::core::codecs::audio::AudioDecoderOptions;
use symphonia::core::errors::Error;
use symphonia::core::formats::TrackType;
use symphonia::core::formats::probe::Hint;
use symphonia::core::io::MediaSourceStream;

use super::format::Container;
use crate::units::SampleRate;

/// Frames of a WAV file that are read at a time.
const BLOCK: usize = 4_096;

/// Reads a file of two channels and gives its frames to `hear`, block by block, full scale being 1.
///
/// # Errors
/// A message for people: it is damaged, or is not of a kind that is made here.
pub(super) fn decode(
    file: File,
    container: Container,
    hear: impl FnMut(SampleRate, &[f32], &[f32]),
) -> Result<(), String> {
    match container {
        Container::Wav => wav(file, hear),
        Container::Flac | Container::Mp3 => compressed(file, container, hear),
    }
}

fn wav(file: File, hear: impl FnMut(SampleRate, &[f32], &[f32])) -> Result<(), String> {
    let reader = WavReader::new(BufReader::new(file)).map_err(|error| error.to_string())?;
    let spec = reader.spec();
    let rate = known_rate(Some(spec.sample_rate))?;
    if spec.channels != 2 {
        return Err(NOT_TWO.to_owned());
    }
    match (spec.sample_format, spec.bits_per_sample) {
        (SampleFormat::Float, _) => blocks(rate, reader.into_samples::<f32>(), |s| s, hear),
        (SampleFormat::Int, bits @ 1..=24) => {
            let full = 2_f32.powi(i32::from(bits) - 1);
            // Up to 24 bits are whole numbers of single precision.
            #[expect(clippy::cast_precision_loss, reason = "none, see above")]
            let scaled = |sample: i32| sample as f32 / full;
            blocks(rate, reader.into_samples::<i32>(), scaled, hear)
        }
        (SampleFormat::Int, bits) => Err(format!("its samples have {bits} bits")),
    }
}

/// Gives samples, left and right in turn, to `hear`.
fn blocks<S>(
    rate: SampleRate,
    mut samples: impl Iterator<Item = hound::Result<S>>,
    scaled: impl Fn(S) -> f32,
    mut hear: impl FnMut(SampleRate, &[f32], &[f32]),
) -> Result<(), String> {
    let mut next = || samples.next().transpose().map_err(|error| error.to_string());
    let [mut left, mut right] = [(); 2].map(|()| Vec::with_capacity(BLOCK));
    while let Some(sample) = next()? {
        left.push(scaled(sample));
        right.push(scaled(next()?.ok_or("its last frame is cut short")?));
        if left.len() == BLOCK {
            hear(rate, &left, &right);
            left.clear();
            right.clear();
        }
    }
    hear(rate, &left, &right);
    Ok(())
}

fn compressed(
    file: File,
    container: Container,
    mut hear: impl FnMut(SampleRate, &[f32], &[f32]),
) -> Result<(), String> {
    let stream = MediaSourceStream::new(Box::new(file), Default::default());
    let mut hint = Hint::new();
    hint.with_extension(container.name());
    let said = |error: Error| error.to_string();
    let mut reader = symphonia::default::get_probe()
        .probe(&hint, stream, Default::default(), Default::default())
        .map_err(said)?;
    let track = reader.default_track(TrackType::Audio).ok_or("there is no sound in it")?;
    let parameters = track.codec_params.as_ref().and_then(|parameters| parameters.audio());
    let parameters = parameters.ok_or("its samples are of no known kind")?;
    let rate = known_rate(parameters.sample_rate)?;
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
            _ => return Err(NOT_TWO.to_owned()),
        }
    }
    Ok(())
}

const NOT_TWO: &str = "it has not two channels";

fn known_rate(hz: Option<u32>) -> Result<SampleRate, String> {
    let rate = hz.and_then(SampleRate::from_hz);
    rate.ok_or_else(|| "it is at neither 44,100 nor 48,000 frames a second".to_owned())
}
