//! The samples themselves, in sixteen bits, with what surrounds them in the file.

use super::chunks::name;
use super::{Sample, Sf2Error};
use crate::dsp::noise::Noise;

/// Zero samples that the specification asks for after each sample (section
/// 7.10).
const SILENCE_AFTER: usize = 46;
/// Samples before and after a loop that continue it, for interpolators that
/// look around (section 7.10 asks for eight).
const GUARD: usize = 8;

/// The bodies of the smpl and shdr chunks.
pub(super) fn chunks<'a>(
    samples: impl Iterator<Item = &'a Sample>,
) -> Result<(Vec<u8>, Vec<u8>), Sf2Error> {
    let (mut data, mut headers) = (Vec::new(), Vec::new());
    let mut dither = Noise::new(0x0000_d17e);
    for sample in samples {
        let first = data.len() / 2;
        let stored = Stored::new(sample, &mut dither)?;
        headers.extend(name(&sample.name));
        for position in [0, stored.pcm.len(), stored.loop_start, stored.loop_end] {
            headers.extend(position_bytes(first + position)?);
        }
        headers.extend(sample.rate.to_le_bytes());
        // Root key, no correction, no link, mono.
        headers.extend([sample.root_key, 0, 0, 0, 1, 0]);
        data.extend(stored.pcm.iter().flat_map(|x| x.to_le_bytes()));
        data.extend([0; 2 * SILENCE_AFTER]);
    }
    headers.extend(name("EOS"));
    headers.extend([0; 26]);
    Ok((data, headers))
}

/// A sample with its guards.
struct Stored {
    pcm: Vec<i16>,
    loop_start: usize,
    loop_end: usize,
}

impl Stored {
    fn new(sample: &Sample, dither: &mut Noise) -> Result<Self, Sf2Error> {
        let mut pcm = quantised(sample, dither)?;
        let Some(range) = &sample.sustain_loop else {
            // Not played; some parsers want it well inside.
            let loop_end = pcm.len().saturating_sub(GUARD);
            return Ok(Self { pcm, loop_start: GUARD, loop_end });
        };
        if range.end != pcm.len() || range.len() < 2 * GUARD {
            return Err(Sf2Error::BadLoop { name: sample.name.clone() });
        }
        // A sample that is all loop begins with the end of it.
        let before = GUARD.saturating_sub(range.start);
        let mut guarded = pcm[range.end - before..].to_vec();
        guarded.append(&mut pcm);
        let (loop_start, loop_end) = (range.start + before, range.end + before);
        guarded.extend_from_within(loop_start..loop_start + GUARD);
        Ok(Self { pcm: guarded, loop_start, loop_end })
    }
}

fn position_bytes(position: usize) -> Result<[u8; 4], Sf2Error> {
    u32::try_from(position)
        .map(u32::to_le_bytes)
        .map_err(|_| Sf2Error::TooMany { what: "samples", count: position })
}

/// 16-bit samples, rounded with triangular dither of one step either way, so
/// that the rounding is noise and not distortion (Lipshitz, Wannamaker &
/// Vanderkooy 1992).
#[expect(clippy::cast_possible_truncation, reason = "clamped to 16 bits")]
fn quantised(sample: &Sample, dither: &mut Noise) -> Result<Vec<i16>, Sf2Error> {
    let peak = sample
        .pcm
        .iter()
        .fold(0.0_f64, |peak, x| if x.is_nan() { f64::INFINITY } else { peak.max(x.abs()) });
    if peak > 1.0 {
        return Err(Sf2Error::OverFullScale { name: sample.name.clone(), peak });
    }
    Ok(sample
        .pcm
        .iter()
        .map(|x| {
            let step = x * 32_767.0 + dither.uniform() - dither.uniform();
            step.round().clamp(-32_768.0, 32_767.0) as i16
        })
        .collect())
}
