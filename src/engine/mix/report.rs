//! What was made of a take, as measured.

use super::limiter::LimiterReport;
use super::meter::Loudness;
use crate::units::{Decibels, Frames};

/// What was made of a take.
#[derive(Debug, Clone, PartialEq)]
pub struct TakeReport {
    /// Every mix, in the order asked for.
    pub mixes: Vec<MixReport>,
}

/// What was made of one mix. All levels are measured on the frames given out, before they were
/// rounded to a file's resolution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MixReport {
    /// How long it is.
    pub frames: Frames,
    /// Integrated loudness of the programme: the players without click and count-in, as they are
    /// in the mix.
    pub programme: Loudness,
    /// Integrated loudness of everything that is heard.
    pub loudness: Loudness,
    /// True peak of everything that is heard, in dBTP.
    pub true_peak: Decibels,
    /// The gain that the players got.
    pub gain: Decibels,
    /// What the limiter did; nothing in a stem.
    pub limiter: LimiterReport,
    /// Whether the mix is quieter than asked for, since its peaks would have had to be limited
    /// by more than [`super::MOST_REDUCTION`], and by how many LU.
    pub short_of_target: Option<Decibels>,
}

impl MixReport {
    /// The share of the mix, 0 to 1, during which the limiter was at work.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "6,000 years of audio are below 2^53 frames")]
    pub fn limiter_share(&self) -> f64 {
        if self.frames == Frames::ZERO {
            return 0.0;
        }
        self.limiter.frames.0 as f64 / self.frames.0 as f64
    }
}
