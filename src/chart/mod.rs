//! Charts: bars of chords in one key, with a meter and a form.

use crate::theory::{ChordSymbol, Key};
use crate::units::{Meter, Ticks};

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

/// How eighth notes are to be played.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FeelName {
    /// By tempo and player, after published measurements.
    Swing,
    /// Even eighths.
    Straight,
    /// A fixed ratio of the first eighth to the second, 1.0 to 4.0.
    Ratio(f64),
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
