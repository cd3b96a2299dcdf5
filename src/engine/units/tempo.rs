//! Tempo, and how ticks become frames.

use schemars::JsonSchema;
use serde::{Deserialize, Deserializer, Serialize};

use super::{Frames, Meter, SampleRate, Ticks};

/// A tempo as people give it, in beats per minute; the beat is the meter's ([`Meter::beat`]).
/// Between 20 and 400, fractions allowed.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, JsonSchema)]
#[schemars(inline)]
pub struct Bpm(#[schemars(range(min = Bpm::MIN, max = Bpm::MAX))] f64);

impl<'de> Deserialize<'de> for Bpm {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Bpm, D::Error> {
        Bpm::new(f64::deserialize(deserializer)?).map_err(serde::de::Error::custom)
    }
}

/// A tempo that nobody can play.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("a tempo of {0} is outside 20 to 400 beats per minute")]
pub struct TempoError(pub f64);

impl Bpm {
    /// The slowest tempo taken.
    pub const MIN: f64 = 20.0;
    /// The fastest tempo taken.
    pub const MAX: f64 = 400.0;
    /// A moderate tempo, for what has to have one but does not depend on it.
    pub const MODERATE: Bpm = Bpm(120.0);

    /// A tempo in beats per minute.
    ///
    /// # Errors
    /// Outside 20 to 400, or not a number.
    pub fn new(bpm: f64) -> Result<Bpm, TempoError> {
        if (Self::MIN..=Self::MAX).contains(&bpm) { Ok(Bpm(bpm)) } else { Err(TempoError(bpm)) }
    }

    /// Beats per minute.
    #[must_use]
    pub const fn get(self) -> f64 {
        self.0
    }

    /// A share of the tempo; one beyond the tempos that are taken is the nearest of them.
    #[must_use]
    pub fn scaled(self, share: f64) -> Bpm {
        let scaled = self.0 * share;
        Bpm(if scaled > Self::MIN { scaled.min(Self::MAX) } else { Self::MIN })
    }

    /// The same tempo as whole microseconds per quarter note, the form that MIDI files carry.
    #[must_use]
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "between 75,000 and 6,000,000 for every legal tempo"
    )]
    pub fn tempo(self, meter: Meter) -> Tempo {
        let beats_per_quarter = Ticks::QUARTER.0 as f64 / meter.beat().0 as f64;
        Tempo((60_000_000.0 / self.0 * beats_per_quarter).round() as u32)
    }
}

impl std::fmt::Display for Bpm {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.0)
    }
}

/// Tempo as the one clock knows it: whole microseconds per quarter note.
///
/// Audio, MIDI, markers and manifest all count with this number, so they agree to the frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Tempo(pub u32);

impl Tempo {
    /// Time in units of 1 / (960 · 1,000,000) seconds: exact for every tick.
    #[must_use]
    pub fn scaled_micros(self, span: Ticks) -> i128 {
        i128::from(span.0) * i128::from(self.0)
    }

    /// Quarter notes per minute; a display value.
    #[must_use]
    pub fn quarters_per_minute(self) -> f64 {
        60_000_000.0 / f64::from(self.0)
    }

    /// The frame nearest to the end of `span` at this tempo, by integer arithmetic, halves up.
    /// Negative spans are zero.
    #[must_use]
    pub fn frames(self, span: Ticks, rate: SampleRate) -> Frames {
        scaled_micros_to_frames(self.scaled_micros(span), rate)
    }
}

/// Converts time from [`Tempo::scaled_micros`] units to the nearest frame, halves up.
#[must_use]
pub fn scaled_micros_to_frames(scaled: i128, rate: SampleRate) -> Frames {
    let denominator = 960_i128 * 1_000_000;
    let nearest = (scaled * i128::from(rate.hz()) * 2 + denominator).div_euclid(2 * denominator);
    Frames(u64::try_from(nearest.max(0)).unwrap_or(u64::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Standard MIDI Files 1.0, meta event Set Tempo: microseconds per quarter, round half up.
    #[test]
    fn tempo_is_whole_microseconds_per_quarter() {
        for (bpm, micros) in
            [(40.0, 1_500_000), (72.0, 833_333), (110.0, 545_455), (208.0, 288_462)]
        {
            let tempo = Bpm::new(bpm).unwrap().tempo(Meter::FourFour);
            assert_eq!(tempo, Tempo(micros));
        }
    }

    #[test]
    fn the_beat_is_the_dotted_quarter_in_six_eight_and_the_half_in_cut_time() {
        let bpm = Bpm::new(60.0).unwrap();
        assert_eq!(bpm.tempo(Meter::SixEight), Tempo(666_667));
        assert_eq!(bpm.tempo(Meter::TwoTwo), Tempo(500_000));
    }

    #[test]
    fn a_second_of_quarters_is_a_second_of_frames() {
        let tempo = Tempo(1_000_000);
        assert_eq!(tempo.frames(Ticks::QUARTER, SampleRate::Hz44100), Frames(44_100));
        assert_eq!(tempo.frames(Ticks(1), SampleRate::Hz48000), Frames(50));
    }

    #[test]
    fn tempos_that_nobody_can_play_are_errors() {
        for bpm in [0.0, 19.9, 10_000.0, f64::NAN, f64::INFINITY, -60.0] {
            assert!(Bpm::new(bpm).is_err(), "{bpm}");
        }
    }
}
