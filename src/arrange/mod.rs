//! A chart and a practice shape become a timeline: what happens when.

mod tempo_map;

pub use tempo_map::TempoMap;

use std::sync::Arc;

use crate::chart::FeelName;
use crate::theory::{Harmony, Key};
use crate::units::{Meter, Ticks};

/// What happens when: bars with their chords, key, section and who plays; and the tempo map.
#[derive(Debug, Clone, PartialEq)]
pub struct Timeline {
    /// All bars from the first of the count-in to the last of the ending, without a gap.
    pub bars: Vec<TimelineBar>,
    /// Tempo by tick.
    pub tempo: TempoMap,
    /// How eighth notes are played.
    pub feel: FeelName,
    /// The last tick: where the last bar ends.
    pub end: Ticks,
}

/// One bar of a timeline.
#[derive(Debug, Clone, PartialEq)]
pub struct TimelineBar {
    /// When it begins.
    pub start: Ticks,
    /// Its meter, and so its length.
    pub meter: Meter,
    /// The key that sounds.
    pub key: Key,
    /// What the bar is for.
    pub kind: BarKind,
    /// Which chorus, counted from 0; the count-in belongs to chorus 0.
    pub chorus: u32,
    /// Which bar of the form, counted from 0.
    pub form_bar: u32,
    /// The section that begins here.
    pub section: Option<String>,
    /// The chords, at times from the start of the timeline; empty in a count-in.
    pub slots: Vec<TimelineSlot>,
}

/// What a bar of a timeline is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum BarKind {
    /// Counting in; no chord sounds.
    CountIn,
    /// A bar of the form, played by the band and, where there is one, the line.
    Chorus,
    /// A bar of the form where the line rests, for the student to answer in.
    Answer,
    /// A bar that announces the coming key.
    Announce,
    /// The held or short last chord after the last chorus.
    Ending,
}

/// A chord in its place on the timeline.
#[derive(Debug, Clone, PartialEq)]
pub struct TimelineSlot {
    /// When it begins, from the start of the timeline.
    pub at: Ticks,
    /// How long it lasts within its bar.
    pub length: Ticks,
    /// The chord with its function; `None` is N.C., silence.
    pub harmony: Option<Arc<Harmony>>,
}
