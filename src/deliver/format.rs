//! The file formats that can be asked for.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::codec::flac::FlacDepth;
use crate::codec::wav::SampleFormat;
use crate::units::{Frames, SampleRate};

/// Bits a second of an MP3 file: 192,000, at which few hear a difference (our choice, between the
/// 128,000 of early phones and the 320,000 that the format allows).
pub const MP3_BITS_A_SECOND: u32 = 192_000;

/// A kind of sound file, as lessons name it.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "lowercase")]
pub enum Container {
    /// WAV: every sample as it is, read by everything.
    Wav,
    /// FLAC: the same samples in about six tenths of the room.
    Flac,
    /// MP3: a tenth of the room, for phones; some of the sound is lost.
    Mp3,
}

impl Container {
    /// All there are, in the order in which they are made.
    pub const ALL: [Container; 3] = [Container::Wav, Container::Flac, Container::Mp3];

    /// Its name in lessons and options, which is also how file names end.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Container::Wav => "wav",
            Container::Flac => "flac",
            Container::Mp3 => "mp3",
        }
    }

    /// Whether this program was built with an encoder for it.
    #[must_use]
    pub const fn is_built(self) -> bool {
        match self {
            Container::Wav | Container::Flac => true,
            Container::Mp3 => cfg!(feature = "mp3"),
        }
    }

    /// With samples of a format. FLAC has no floating point: it takes 24 bits in its place.
    #[must_use]
    pub const fn with(self, samples: SampleFormat) -> FileFormat {
        match (self, samples) {
            (Container::Wav, samples) => FileFormat::Wav(samples),
            (Container::Flac, SampleFormat::Int16) => FileFormat::Flac(FlacDepth::Sixteen),
            (Container::Flac, _) => FileFormat::Flac(FlacDepth::TwentyFour),
            (Container::Mp3, _) => FileFormat::Mp3,
        }
    }
}

/// A file format down to its samples.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FileFormat {
    /// WAV.
    Wav(SampleFormat),
    /// FLAC.
    Flac(FlacDepth),
    /// MP3 at [`MP3_BITS_A_SECOND`].
    Mp3,
}

impl Default for FileFormat {
    fn default() -> FileFormat {
        FileFormat::Wav(SampleFormat::Int16)
    }
}

impl FileFormat {
    /// How file names of this format end.
    #[must_use]
    pub const fn extension(self) -> &'static str {
        match self {
            FileFormat::Wav(_) => Container::Wav.name(),
            FileFormat::Flac(_) => Container::Flac.name(),
            FileFormat::Mp3 => Container::Mp3.name(),
        }
    }

    /// Whether its encoder goes back to complete the head, so that the file is read once more for its
    /// hash.
    #[must_use]
    pub const fn goes_back(self) -> bool {
        match self {
            FileFormat::Wav(_) => false,
            FileFormat::Flac(_) | FileFormat::Mp3 => true,
        }
    }

    /// About how many bytes so many frames take, without tags. FLAC is reckoned at 62 in a hundred
    /// of 16 and 73 of 24 bits: what the demo's band takes, measured.
    #[must_use]
    pub const fn estimated_bytes(self, frames: Frames, rate: SampleRate) -> u64 {
        match self {
            FileFormat::Wav(samples) => frames.0.saturating_mul(samples.frame_bytes() as u64),
            FileFormat::Flac(FlacDepth::Sixteen) => frames.0.saturating_mul(4 * 62) / 100,
            FileFormat::Flac(FlacDepth::TwentyFour) => frames.0.saturating_mul(6 * 73) / 100,
            FileFormat::Mp3 => {
                frames.0.saturating_mul(MP3_BITS_A_SECOND as u64 / 8) / rate.hz() as u64
            }
        }
    }
}
