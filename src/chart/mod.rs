//! Charts: bars of chords in one key, with a meter and a form.
//!
//! Text goes through one file a step: `token` finds bar lines, chords and signs, `bars`
//! gathers them into written bars, `repeat` says in which order these are played, `fill`
//! gives each chord its beats, `form` puts the sections together, and `source` does all of
//! it (`lead_sheet` does the same for MusicXML). Every step keeps the byte spans of the text, so that an error can point at its place.

mod bars;
mod error;
mod feel_name;
mod fill;
mod form;
mod lead_sheet;
mod repeat;
mod source;
mod text;
mod token;
mod transpose;

#[cfg(test)]
mod tests;

pub use error::{ChartError, Place, Problem};
pub use feel_name::{FeelName, FeelNameError};
pub use lead_sheet::{ImportedChart, LeadSheetError, LeadSheetProblem, LeadSheetSource};
pub use source::ChartSource;
pub use text::ChartText;

use crate::theory::{ChordSymbol, Key};
use crate::units::{Meter, Ticks};

/// How often a repeated passage can be played.
const MOST_PASSES: u8 = 9;

/// The most bars that a chorus may have; ten minutes of a fast waltz.
const MOST_BARS: usize = 1024;

/// Bars of chords in one key, with repeats and form written out: one chorus.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// The name that tracks refer to.
    pub name: String,
    /// The key that it is written in.
    pub key: Key,
    /// Its meter.
    pub meter: Meter,
    /// How its eighth notes are played.
    pub feel: FeelName,
    /// One chorus, bar by bar; never empty.
    pub bars: Vec<Bar>,
}

/// One bar of a chorus.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bar {
    /// The section's letter or name, on the first bar of each section.
    pub section: Option<String>,
    /// What sounds when; fills the bar without a gap. A bar that only goes on (a simile sign)
    /// repeats its chords.
    pub slots: Vec<Slot>,
}

/// A chord and the time that it fills.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Slot {
    /// From the start of the bar.
    pub at: Ticks,
    /// How long it lasts within this bar.
    pub length: Ticks,
    /// The chord; `None` is N.C., silence.
    pub chord: Option<ChordSymbol>,
}
