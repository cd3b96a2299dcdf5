//! A line as a listener hears it: each note with its chord. What a chord's tones and scales are is
//! said here once more, from the symbols and from the table of scales, apart from the composer.

use crate::compose::{Composed, ComposedNote};
use crate::melody::{Form, Piece, Technique, is_landing};
use crate::theory::{Harmony, NoteName, Quality, Scale};
use crate::units::Ticks;

/// The published scales.
const SCALES: &str = include_str!("../../../tests/facts/scales.tsv");

pub(super) struct Observed<'a> {
    pub(super) form: &'a Form,
    pub(super) line: &'a Composed,
    pub(super) notes: Vec<Note<'a>>,
}

/// A note with the piece that it lies in.
#[derive(Clone, Copy)]
pub(super) struct Note<'a> {
    pub(super) note: &'a ComposedNote,
    pub(super) piece: &'a Piece,
    pub(super) harmony: &'a Harmony,
    /// The first note of its piece.
    pub(super) enters: bool,
    pub(super) strong: bool,
    pub(super) beat: bool,
    /// Long, or before a rest.
    pub(super) lands: bool,
    /// After a rest, or the first of all.
    pub(super) rested: bool,
}

impl<'a> Observed<'a> {
    pub(super) fn of(form: &'a Form, line: &'a Composed) -> Observed<'a> {
        let mut before = None;
        let mut ends = None;
        let mut notes = Vec::new();
        for (number, note) in line.notes.iter().enumerate() {
            let heard = form.heard_at(note.at, note.length);
            let index = line.pieces.iter().rposition(|piece| piece.span.at <= heard).unwrap();
            let next = line.notes.get(number + 1).map(|next| next.at);
            let piece = &line.pieces[index];
            notes.push(Note {
                note,
                piece,
                harmony: piece.span.harmony.as_deref().expect("no note over N.C."),
                enters: before != Some(index),
                strong: form.is_strong(note.at),
                beat: form.is_beat(note.at),
                lands: is_landing(note.at, note.length, next),
                rested: ends != Some(note.at),
            });
            before = Some(index);
            ends = Some(note.at + note.length);
        }
        Observed { form, line, notes }
    }

    /// The notes of the pieces that show a technique, piece by piece.
    pub(super) fn pieces(&self, technique: Technique) -> Vec<&[Note<'a>]> {
        let same = |one: &Note, other: &Note| one.piece.span.at == other.piece.span.at;
        let pieces = self.notes.chunk_by(same);
        pieces.filter(|piece| piece[0].technique() == technique).collect()
    }

    /// The note before a note.
    pub(super) fn before(&self, note: &Note) -> Option<&Note<'a>> {
        self.notes.iter().rfind(|other| other.note.at < note.note.at)
    }

    /// The note that follows where a note ends.
    pub(super) fn next(&self, note: &Note) -> Option<&Note<'a>> {
        self.notes.iter().find(|other| other.note.at == note.note.at + note.note.length)
    }
}

impl Note<'_> {
    pub(super) fn technique(&self) -> Technique {
        self.piece.assignment.technique
    }

    pub(super) fn pitch(&self) -> u8 {
        self.note.pitch
    }

    /// Root, third or suspension, fifth, sixth or seventh, as the symbol writes them.
    pub(super) fn is_chord_tone(&self) -> bool {
        is_chord_tone(self.harmony, self.pitch())
    }

    /// A sixth on a major chord.
    pub(super) fn is_major_sixth(&self) -> bool {
        self.harmony.symbol.quality() == Quality::Major
            && (self.pitch() + 12 - self.harmony.symbol.root.pitch_class()) % 12 == 9
    }

    /// Whether the note belongs to the scale that is named for its piece.
    pub(super) fn is_in_scale(&self) -> bool {
        let Some((root, scale)) = self.piece.assignment.material.scale() else { return false };
        published(scale.name, root).contains(&(self.pitch() % 12))
    }

    /// Too short a chord for anything but its own tones.
    pub(super) fn is_short(&self, form: &Form) -> bool {
        self.piece.span.length < form.shortest_technique()
    }

    pub(super) fn at(&self) -> Ticks {
        self.note.at
    }
}

pub(super) fn is_chord_tone(harmony: &Harmony, pitch: u8) -> bool {
    let symbol = &harmony.symbol;
    let eleventh_chord = symbol.is_suspended() && symbol.degree(4).is_none();
    let own = symbol.degrees.iter().filter(|degree| {
        let displaced = degree.number == 3 && eleventh_chord && symbol.degree(2).is_none();
        (degree.number <= 7 && !displaced) || (degree.number == 11 && eleventh_chord)
    });
    own.into_iter().any(|degree| harmony.pitch_class(*degree) == pitch % 12)
}

/// The pitch classes of a published scale on a root.
pub(super) fn published(name: &str, root: NoteName) -> Vec<u8> {
    // The table is in the order of our list (`tests/library/scales.rs` sees to that).
    let index = Scale::ALL.iter().position(|scale| scale.name == name).unwrap();
    let row: Vec<&str> = SCALES.lines().nth(index + 1).unwrap().split('\t').collect();
    let above = row[2].split(' ').map(|number| number.parse::<u8>().unwrap());
    above.map(|above| (above + root.pitch_class()) % 12).collect()
}
