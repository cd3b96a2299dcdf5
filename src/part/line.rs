//! A line: notes that somebody wrote over a chart, laid on every chorus in its key.

use super::{Hand, Instrument, Note, Part, PartNotes, Stroke};
use crate::arrange::{BarKind, Timeline, TimelineBar};
use crate::theory::Key;
use crate::units::{Ticks, Velocity};

/// Notes over one chorus of a chart, in the key in which they were written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// The key of the chart that they were written over.
    pub key: Key,
    /// The notes, by start.
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
    /// How hard.
    pub velocity: Velocity,
}

impl Line {
    /// How long before the form the line begins.
    #[must_use]
    pub fn pickup(&self) -> Ticks {
        let first = self.notes.iter().map(|note| note.at).min();
        -first.unwrap_or_default().min(Ticks::ZERO)
    }

    /// The line's notes on a timeline: in every chorus, in the key of each bar, moved by the
    /// nearest way; it rests in bars to answer in. A pickup comes before every chorus whose bar
    /// before is not the student's.
    #[must_use]
    pub fn play(&self, timeline: &Timeline) -> PartNotes {
        let mut notes: Vec<Note> = Vec::new();
        for (index, bar) in timeline.bars.iter().enumerate() {
            if bar.kind != BarKind::Chorus {
                continue;
            }
            let form_start = bar.meter.bar() * i64::from(bar.form_bar);
            let is_free = index == 0 || timeline.bars[index - 1].kind != BarKind::Answer;
            let early = |note: &&LineNote| bar.form_bar == 0 && note.at < Ticks::ZERO && is_free;
            let inside =
                |note: &&LineNote| note.at >= form_start && note.at < form_start + bar.meter.bar();
            let heard = self.notes.iter().filter(|note| early(note) || inside(note));
            notes.extend(heard.filter_map(|note| self.note(note, bar, form_start)));
        }
        notes.retain(|note| note.at >= Ticks::ZERO);
        notes.sort_by_key(|note| (note.at, note.pitch));
        let instrument = Instrument { bank: 0, program: 0 };
        PartNotes { part: Part::Line, instrument, straight: false, notes }
    }

    fn note(&self, note: &LineNote, bar: &TimelineBar, form_start: Ticks) -> Option<Note> {
        let moved = i16::from(note.pitch) + i16::from(self.key.interval_to(bar.key).semitones);
        Some(Note {
            at: bar.start + (note.at - form_start),
            length: note.length,
            pitch: u8::try_from(moved).ok().filter(|pitch| *pitch < 128)?,
            velocity: note.velocity,
            stroke: Stroke::Full,
            hand: Some(Hand::Right),
            degree: None,
            variant: 0,
        })
    }

    /// The lowest note of the line in each bar of a timeline: what the left hand stays below.
    #[must_use]
    pub fn floor(notes: &PartNotes, timeline: &Timeline) -> Vec<Option<u8>> {
        let lowest = |bar: &TimelineBar| {
            let sounds = |note: &&Note| note.at < bar.end() && note.at + note.length > bar.start;
            notes.notes.iter().filter(sounds).map(|note| note.pitch).min()
        };
        timeline.bars.iter().map(lowest).collect()
    }
}
