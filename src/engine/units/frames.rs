//! Sample time.

use std::ops::{Add, Sub};

/// Sample time, or a span of it, in frames (one sample of every channel).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Frames(pub u64);

impl Frames {
    /// The first frame.
    pub const ZERO: Frames = Frames(0);

    /// How long these frames last, in seconds.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "6,000 years of audio are below 2^53 frames")]
    pub fn seconds(self, rate: SampleRate) -> f64 {
        self.0 as f64 / f64::from(rate.hz())
    }
}

impl Add for Frames {
    type Output = Frames;
    fn add(self, other: Frames) -> Frames {
        Frames(self.0 + other.0)
    }
}

impl Sub for Frames {
    type Output = Frames;
    /// The span between two moments; zero where `other` is the later one.
    fn sub(self, other: Frames) -> Frames {
        Frames(self.0.saturating_sub(other.0))
    }
}

/// How far into a buffer so many frames reach. What lies beyond the address space lies beyond any
/// buffer too, so more than that is the same as that.
#[inline(always)]
pub(crate) fn offset(frames: u64) -> usize {
    usize::try_from(frames).unwrap_or(usize::MAX)
}

/// Frames per second: 44,100 (the default) or 48,000.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum SampleRate {
    /// 44,100 frames a second, as on a compact disc.
    #[default]
    Hz44100,
    /// 48,000 frames a second, as in video.
    Hz48000,
}

impl SampleRate {
    /// Frames per second.
    #[must_use]
    pub const fn hz(self) -> u32 {
        match self {
            SampleRate::Hz44100 => 44_100,
            SampleRate::Hz48000 => 48_000,
        }
    }

    /// The frames of whole seconds.
    #[must_use]
    pub const fn seconds(self, seconds: u64) -> Frames {
        Frames(seconds.saturating_mul(self.hz() as u64))
    }

    /// The rate of this many frames a second, where it is one that we make.
    #[must_use]
    pub const fn from_hz(hz: u32) -> Option<SampleRate> {
        match hz {
            44_100 => Some(SampleRate::Hz44100),
            48_000 => Some(SampleRate::Hz48000),
            _ => None,
        }
    }
}
