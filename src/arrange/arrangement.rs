//! What may be asked of an arrangement.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use std::num::NonZeroU32;

use super::KeyOrder;
use crate::units::{Bpm, Ticks};

/// How a chart is to be played: how often, how fast, and in which practice shape.
#[derive(Debug, Clone, PartialEq)]
pub struct Arrangement {
    /// The tempo. [`Shape::Ladder`] has tempos of its own instead.
    pub tempo: Bpm,
    /// How often the form is played; in [`Shape::Ladder`] at each tempo, in
    /// [`Shape::RoundTheKeys`] in each key.
    pub choruses: NonZeroU32,
    /// What is played before the first chorus. [`Shape::Loop`] has nothing there.
    pub intro: Intro,
    /// How it ends. [`Shape::Loop`] does not end.
    pub ending: Ending,
    /// How it is counted in. [`Shape::Loop`] is not.
    pub count_in: CountIn,
    /// How long before the form a line begins; not negative. The count-in makes room for it, or
    /// a lead-in where there is none.
    pub pickup: Ticks,
    /// The practice shape.
    pub shape: Shape,
}

impl Arrangement {
    /// Straight through once, counted in by tempo, the last chord held.
    #[must_use]
    pub const fn once(tempo: Bpm) -> Arrangement {
        Arrangement {
            tempo,
            choruses: NonZeroU32::MIN,
            intro: Intro::AsWritten,
            ending: Ending::Held,
            count_in: CountIn::ByTempo,
            pickup: Ticks::ZERO,
            shape: Shape::Straight,
        }
    }
}

/// What is played before the first chorus.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Intro {
    /// The chart's own, where it has one.
    #[default]
    #[serde(rename = "as written")]
    AsWritten,
    /// Nothing.
    None,
    /// Four bars of turnaround: I, VI, ii, V.
    Turnaround,
    /// The last four bars of a chorus.
    #[serde(rename = "last four")]
    LastFour,
    /// Four bars over the dominant, suspended and resolved in turn.
    #[serde(rename = "dominant pedal")]
    DominantPedal,
    /// Four bars of drums alone.
    Drums,
}

/// How a performance ends after its last chorus.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Ending {
    /// The last chord, held for a bar.
    #[default]
    Held,
    /// The last phrase three times, then the last chord, held.
    Tag,
    /// Slower over the last two bars, then the last chord, held.
    Ritardando,
    /// The last chord, struck short on the first beat, then silence.
    Short,
    /// Nothing: the last bar of the form is the last bar.
    None,
}

/// How a performance is counted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum CountIn {
    /// Two bars, or one where a bar is long: see [`CountIn::bars`].
    #[default]
    ByTempo,
    /// This many bars.
    Bars(u8),
    /// Not at all.
    None,
}

/// What a student practises with it.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// All choruses, one after the other.
    Straight,
    /// All choruses, to be played round and round.
    Loop,
    /// Each phrase is followed by the same bars of harmony, in which the line rests.
    Answer {
        /// Bars of a phrase; the last of a form may be shorter.
        phrase_bars: NonZeroU32,
    },
    /// The tempo goes up, or down, in steps.
    Ladder {
        /// The first tempo.
        from: Bpm,
        /// The last tempo; reached even where the steps do not meet it.
        to: Bpm,
        /// Beats per minute from one tempo to the next; above 0.
        step: f64,
    },
    /// The form in one key after the other.
    RoundTheKeys {
        /// The keys, beginning with the chart's own.
        order: KeyOrder,
        /// Whether a bar with the coming key's dominant stands before each new key.
        announce: bool,
    },
    /// Some bars of the form as always, then some of another, in turn.
    Trade {
        /// Bars of a turn.
        bars: NonZeroU32,
        /// Who has the other turn.
        with: TradeWith,
    },
    /// The click sounds for some bars, then rests for some.
    RestingClick {
        /// Bars with click.
        sounding: NonZeroU32,
        /// Bars without.
        silent: NonZeroU32,
    },
}

/// Who has every second turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum TradeWith {
    /// The drummer, alone.
    #[default]
    Drums,
    /// The student, where the line has the first turn: the band goes on, and the line rests.
    Line,
}

/// Why an arrangement cannot be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ArrangeError {
    /// A ladder that does not climb.
    #[error("a ladder's step of {0} beats per minute is not above 0")]
    Step(f64),
    /// No keys to go through.
    #[error("the list of keys is empty")]
    NoKeys,
    /// More bars than a track may have.
    #[error("this makes {bars} bars, more than the {} that one track may have", Self::MOST_BARS)]
    TooLong {
        /// How many there would be.
        bars: u64,
    },
}

impl ArrangeError {
    /// The most bars that a timeline may have: an hour at 320 beats per minute is 4,800.
    pub const MOST_BARS: u64 = 20_000;
}
