//! A line: notes that were written over a chart, played in every chorus in its key.
//!
//! [`mod@range`] chooses the octave for each key, `phrasing` says how hard each note is struck
//! where its source does not, and `lay` puts the notes on a timeline.

mod lay;
mod phrasing;
pub mod range;
#[cfg(test)]
mod tests;

use std::ops::RangeInclusive;

use super::{Hand, Instrument, PartNotes};
use crate::arrange::Timeline;
use crate::theory::{Key, NoteName};
use crate::units::{Ticks, Velocity};
use phrasing::accented;

/// Notes over one chorus of a chart, in the key in which they were written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// The name that tracks refer to.
    pub name: String,
    /// The key of the chart that they were written over.
    pub key: Key,
    /// The hand that plays it: the right plays a line, the left plays in place of a comp style.
    pub hand: Hand,
    /// What it is played on.
    pub instrument: Instrument,
    /// The notes between which it stays, as MIDI numbers, in whichever octave does best; `None`
    /// leaves it where it was written, and moves it to other keys by the smallest interval that stays
    /// within the hand's usual range.
    pub range: Option<RangeInclusive<u8>>,
    /// The notes, by start, then pitch.
    pub notes: Vec<LineNote>,
}

/// One note of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LineNote {
    /// From the first bar line of the form; negative in a pickup.
    pub at: Ticks,
    /// How long it is written.
    pub length: Ticks,
    /// MIDI note number, in the key as written.
    pub pitch: u8,
    /// What it is called there, where its source says.
    pub name: Option<NoteName>,
    /// How hard its source says; phrasing decides where it says nothing.
    pub force: Force,
}

/// How hard a note is struck.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Force {
    /// By its place in the phrase.
    Phrased,
    /// By its place in the phrase, and it stands out.
    Accented,
    /// As loud as is written, with no phrasing.
    Marked(Velocity),
    /// Exactly as it was played.
    Played(Velocity),
}

impl Force {
    /// What notation says: a loudness, an accent, both or neither.
    #[must_use]
    pub fn written(loudness: Option<Velocity>, accent: bool) -> Force {
        match loudness {
            Some(loudness) => Force::Marked(if accent { accented(loudness) } else { loudness }),
            None if accent => Force::Accented,
            None => Force::Phrased,
        }
    }
}

impl Line {
    /// A right-hand line for the piano, in the octave in which it was written.
    #[must_use]
    pub fn new(name: impl Into<String>, key: Key, notes: Vec<LineNote>) -> Line {
        Line {
            name: name.into(),
            key,
            hand: Hand::Right,
            instrument: Instrument::PIANO,
            range: None,
            notes,
        }
    }

    /// How long before the form the line begins.
    #[must_use]
    pub fn pickup(&self) -> Ticks {
        let first = self.notes.iter().map(|note| note.at).min();
        -first.unwrap_or_default().min(Ticks::ZERO)
    }

    /// The line's notes on a timeline: in every chorus, in the key of each bar. A right-hand line
    /// rests in bars to answer in; a left hand plays on in them, and ends as it played the last
    /// chord before. A pickup comes before every chorus whose bar before is not the student's.
    #[must_use]
    pub fn play(&self, timeline: &Timeline) -> PartNotes {
        lay::lay(self, timeline, |_| true)
    }

    /// The notes of [`Line::play`] in bars of its own, by index, with the pickups to these.
    #[must_use]
    pub fn play_in(&self, timeline: &Timeline, own: impl Fn(usize) -> bool) -> PartNotes {
        lay::lay(self, timeline, own)
    }
}
