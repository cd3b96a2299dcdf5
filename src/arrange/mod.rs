//! A chart and a practice shape become a timeline: what happens when.

mod tempo_map;

pub use tempo_map::TempoMap;

use std::sync::Arc;

use crate::chart::FeelName;
use crate::theory::{Harmony, Key};
use crate::units::{Bpm, Meter, Ticks};

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
    /// How it ends.
    pub ending: Ending,
    /// True where the end leads back to the start without a gap, to be played round and round.
    pub loops: bool,
}

/// How a performance ends after its last chorus.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Ending {
    /// The last chord, held for a bar.
    #[default]
    Held,
    /// The last chord, struck short on the first beat, then silence.
    Short,
    /// Nothing: the last bar of the form is the last bar.
    None,
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
    /// Its tempo in beats per minute, as asked for; the exact one is in the tempo map.
    pub tempo: Bpm,
    /// What the bar is for.
    pub kind: BarKind,
    /// Which chorus, counted from 0; the count-in belongs to chorus 0.
    pub chorus: u32,
    /// Which bar of the form, counted from 0.
    pub form_bar: u32,
    /// The section that begins here.
    pub section: Option<String>,
    /// False where the click rests (see the resting click of the practice shapes).
    pub click: bool,
    /// The chords, at times from the start of the timeline; empty in a count-in or lead-in.
    pub slots: Vec<TimelineSlot>,
}

/// What a bar of a timeline is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum BarKind {
    /// A bar before the form that is not counted: room for a line's pickup, no chord sounds.
    LeadIn,
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
