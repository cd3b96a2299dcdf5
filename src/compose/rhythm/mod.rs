//! The rhythm of a line: phrases first, then what each of them is filled with. Pitches come after
//! it, and never change it.

mod cells;
mod fill;
mod phrases;
#[cfg(test)]
mod tests;

use std::ops::Range;

use crate::melody::{Form, Material, Piece, Technique, layout};
use crate::units::Ticks;

use super::Request;

/// How hard a line's rhythm is, apart from what its notes show: each grade has what the one before
/// has, and one thing more.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Rhythm {
    /// Eighth notes from the first beat on, with a breath at the end of a phrase: for drills.
    PlainEighths,
    /// Phrases that begin off the beat or with a pickup, with quarter notes among the eighths.
    OffBeats,
    /// Off-beat notes that are held over a beat, also over the bar line.
    Ties,
    /// Triplets of a beat; in six eighths duplets.
    Triplets,
    /// Sixteenth notes, for slow tempos.
    Sixteenths,
}

impl Rhythm {
    /// All of them, the easiest first.
    pub const ALL: [Rhythm; 5] = [
        Rhythm::PlainEighths,
        Rhythm::OffBeats,
        Rhythm::Ties,
        Rhythm::Triplets,
        Rhythm::Sixteenths,
    ];

    /// The rhythm of a grade, 1 to 5.
    #[must_use]
    pub fn of_grade(grade: u8) -> Option<Rhythm> {
        Rhythm::ALL.into_iter().find(|rhythm| rhythm.grade() == grade)
    }

    /// Its grade, 1 to 5.
    #[must_use]
    pub const fn grade(self) -> u8 {
        match self {
            Rhythm::PlainEighths => 1,
            Rhythm::OffBeats => 2,
            Rhythm::Ties => 3,
            Rhythm::Triplets => 4,
            Rhythm::Sixteenths => 5,
        }
    }

    /// What a technique is shown in where nothing else is asked for: by its grade, but with phrases
    /// even in the first, and with sixteenths only where they are asked for, since not every tempo
    /// bears them.
    #[must_use]
    pub fn of(technique: Technique) -> Rhythm {
        match technique.grade() {
            ..=2 => Rhythm::OffBeats,
            3 => Rhythm::Ties,
            4.. => Rhythm::Triplets,
        }
    }
}

/// A note without its pitch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct RhythmNote {
    pub(super) at: Ticks,
    pub(super) length: Ticks,
    /// Which phrase it belongs to, counted from 0.
    pub(super) phrase: usize,
    /// When the note of an earlier phrase begins that it takes up.
    pub(super) answers: Option<Ticks>,
}

/// The rhythm of a line over the pieces of a form, from [`Rhythm::OffBeats`] up.
pub(super) fn rhythm(form: &Form, pieces: &[Piece], request: &Request) -> Vec<RhythmNote> {
    let regions = sounding(pieces);
    let mut phrases = Vec::new();
    for (index, region) in regions.iter().enumerate() {
        let closing = (index + 1 == regions.len()).then_some(region.last_piece);
        phrases::add_phrases(form, &region.eighths, closing, request, &mut phrases);
    }
    let in_groups = |at: Ticks| {
        let piece = pieces.iter().find(|piece| piece.span.at <= at && at < piece.span.end());
        piece.is_some_and(|piece| layout(piece.assignment.technique, 8).is_some())
    };
    fill::filled(form, &phrases, request, in_groups)
}

/// A stretch of the form in which the line sounds.
struct Region {
    /// From its first eighth note to after its last, counted from the start of the form.
    eighths: Range<i64>,
    /// Where its last chord begins, in eighth notes.
    last_piece: i64,
}

/// The stretches without silence. A chord shorter than an eighth note between two of them counts
/// as none.
fn sounding(pieces: &[Piece]) -> Vec<Region> {
    let mut regions: Vec<Region> = Vec::new();
    let sounds = |piece: &&Piece| piece.assignment.material != Material::Silence;
    for piece in pieces.iter().filter(sounds) {
        let from = eighths_up(piece.span.at);
        let to = piece.span.end().0.div_euclid(Ticks::EIGHTH.0);
        if to <= from {
            continue;
        }
        match regions.last_mut().filter(|region| region.eighths.end == from) {
            Some(region) => {
                region.eighths.end = to;
                region.last_piece = from;
            }
            None => regions.push(Region { eighths: from..to, last_piece: from }),
        }
    }
    regions
}

fn eighths_up(at: Ticks) -> i64 {
    (at.0 + Ticks::EIGHTH.0 - 1).div_euclid(Ticks::EIGHTH.0)
}
