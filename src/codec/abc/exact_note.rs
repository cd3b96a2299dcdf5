//! A note before its time is rounded to ticks.

use std::ops::Range;

use super::TuneNote;
use super::fraction::Fraction;
use crate::theory::Pitch;
use crate::units::{MidiPitch, Ticks, Velocity};

/// A note whose time is still exact.
pub(super) struct ExactNote {
    pub(super) at: Fraction,
    pub(super) length: Fraction,
    pub(super) pitch: Pitch,
    pub(super) midi: MidiPitch,
    pub(super) loudness: Option<Velocity>,
    pub(super) accent: bool,
    pub(super) staccato: bool,
    pub(super) span: Range<usize>,
}

impl ExactNote {
    /// In ticks, counted from the first bar line.
    pub(super) fn placed(self, pickup: Fraction) -> TuneNote {
        let start = self.at - pickup;
        let at = start.ticks();
        let length = (start + self.length).ticks() - at;
        TuneNote {
            at,
            length: length.max(Ticks(1)),
            pitch: self.pitch,
            midi: self.midi,
            loudness: self.loudness,
            accent: self.accent,
            staccato: self.staccato,
            span: self.span,
        }
    }
}
