//! Timeline and style become notes on the grid, one player at a time.

mod band_plan;
pub mod bass;
pub mod click;
pub mod comp;
mod context;
pub mod count_in;
pub mod drums;
pub mod line;
mod stops;
mod streams;

#[cfg(test)]
mod test_timeline;

use crate::performance::{Instrument, Part};
pub use band_plan::{BandBar, BandPlan, Energy, EnergyArc, Joint, LineActivity};
pub use context::PlayContext;
pub(crate) use stops::cut_at_stops;
pub(crate) use streams::Choice;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::theory::Degree;
use crate::units::{Ticks, Velocity};

/// What kind of stroke a note is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Stroke {
    /// Played.
    Full,
    /// Soft, short, muted: felt more than heard.
    Ghost,
    /// As hard as it was played: nothing is added to its velocity.
    AsPlayed,
}

/// Which hand plays a note of a keyboard part.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "lowercase")]
#[expect(missing_docs, reason = "nothing to add")]
pub enum Hand {
    Left,
    Right,
}

/// A note on the grid, before feel.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Note {
    /// Notated start, from the start of the timeline. May lie in the bar before its chord's (a
    /// push) or in the count-in (a pickup).
    pub at: Ticks,
    /// Notated length.
    pub length: Ticks,
    /// MIDI note number, 0 to 127; for drums the percussion key.
    pub pitch: u8,
    /// As the style says, before accents and deviations.
    pub velocity: Velocity,
    /// Full or ghost.
    pub stroke: Stroke,
    /// The hand that plays it, in keyboard parts.
    pub hand: Option<Hand>,
    /// What it is in its chord, where the part knows.
    pub degree: Option<Degree>,
    /// Which of the recorded strokes of this key to sound, where the SoundFont has several: 0 is
    /// the key itself. Only the sound stage reads it; MIDI files carry `pitch`.
    pub variant: u8,
}

/// A part's notes, in order of start, then pitch.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartNotes {
    /// Whose they are.
    pub part: Part,
    /// What they are played on.
    pub instrument: Instrument,
    /// Played in even eighths (a bossa over a swing tune). Then the whole band plays them, unless
    /// the chart gives a ratio.
    pub straight: bool,
    /// The notes.
    pub notes: Vec<Note>,
}
