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
mod hits;
mod lead_sheet;
mod repeat;
mod setting;
mod source;
mod text;
mod token;
mod transpose;

#[cfg(test)]
mod tests;

pub use error::{ChartError, Place, Problem};
pub use feel_name::{FeelName, FeelNameError};
pub use form::FormSource;
pub use hits::{BandHit, BandHits};
pub use lead_sheet::{
    CodaIn, ImportedChart, LeadSheetError, LeadSheetProblem, LeadSheetSource, UnknownChords,
    one_chorus,
};
pub use setting::{Pace, PaceError, Setting, Within};
pub use source::ChartSource;
pub use text::ChartText;

use crate::theory::{ChordSymbol, Key};
use crate::units::{Meter, Ticks};

/// How often a repeated passage can be played.
const MOST_PASSES: u8 = 9;

/// The most bars that a chorus may have; ten minutes of a fast waltz.
const MOST_BARS: usize = 1024;

/// A tune: one chorus with repeats and form written out, and what is played besides choruses.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// The name that tracks refer to.
    pub name: String,
    /// The key that it is written in.
    pub key: Key,
    /// The meter that it is counted in, and that its tempo is of.
    pub meter: Meter,
    /// How its eighth notes are played.
    pub feel: FeelName,
    /// One chorus, bar by bar; never empty.
    pub bars: Vec<Bar>,
    /// What is played before, between and after the choruses.
    pub roadmap: Roadmap,
}

impl Chart {
    /// The meters of the bars of a chorus.
    #[must_use]
    pub fn meters(&self) -> Vec<Meter> {
        self.bars.iter().map(|bar| bar.setting.meter).collect()
    }
}

/// What a tune has besides its choruses.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Roadmap {
    /// Played once, before the first chorus.
    pub intro: Vec<Bar>,
    /// Played between two choruses.
    pub interlude: Vec<Bar>,
    /// The last chorus, where it differs from the others: with a tag, or a way to a coda. Never
    /// empty.
    pub last: Option<Vec<Bar>>,
    /// Played once, after the last chorus.
    pub outro: Vec<Bar>,
}

impl Roadmap {
    /// Whether the chart is choruses and nothing else.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Roadmap::default()
    }
}

/// One bar.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    /// The section's letter or name, on the first bar of each section.
    pub section: Option<String>,
    /// Which bar of the form it is, counted from 0: where a line has its notes for it. Bars that
    /// only the last chorus has count on from the form's last; those of intro, interlude and outro
    /// count by themselves.
    pub form_bar: u32,
    /// Its key, meter, feel and pace.
    pub setting: Setting,
    /// What the whole band plays together in it.
    pub hits: Option<BandHits>,
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
