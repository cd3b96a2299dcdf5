//! Note times become times that can be written.
//!
//! Each beat gets the coarsest division that its notes fit: halves, quarters, thirds, and finer
//! ones where a file asks for them. Notes that are on the grid stay where they are; a played line
//! is moved to the nearest place.

use std::collections::BTreeMap;

use super::spelling::SpelledNote;
use crate::part::{Hand, Stroke};
use crate::theory::Pitch;
use crate::units::{Meter, Ticks};

/// A note as it is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct WrittenNote {
    pub(super) start: Ticks,
    pub(super) end: Ticks,
    pub(super) pitch: Pitch,
    pub(super) hand: Hand,
    pub(super) ghost: bool,
    /// It sounds shorter than it is written.
    pub(super) staccato: bool,
}

/// How a beat may be divided: the step in ticks, and what it costs against a coarser one. Errors
/// cost a point a tick where a note ends and four where it begins. The costs are a matter of
/// taste: a start 24 ticks (a sixty-fourth of a bar, 16 ms at 96 bpm) off a coarse division is
/// taken for a slip.
const SIMPLE: [(i64, i64); 5] = [(480, 0), (240, 32), (320, 96), (120, 240), (160, 240)];
/// The same for a beat of three eighths.
const COMPOUND: [(i64, i64); 3] = [(480, 0), (240, 32), (120, 240)];
const START_WEIGHT: i64 = 4;

/// Moves notes to the nearest places that can be written. A short note on an eighth is written as
/// an eighth with a dot above, where the hand is free: players read that more easily than rests
/// of sixteenths.
pub(super) fn written(notes: &[SpelledNote], meter: Meter) -> Vec<WrittenNote> {
    let grid = Grid::of(notes, meter);
    let mut written: Vec<(WrittenNote, Ticks)> = notes
        .iter()
        .map(|SpelledNote { note, pitch }| {
            let start = grid.nearest(note.at);
            let end = grid.nearest(note.at + note.length).max(start + grid.step(start));
            let written = WrittenNote {
                start,
                end,
                pitch: *pitch,
                hand: note.hand.unwrap_or(Hand::Right),
                ghost: note.stroke == Stroke::Ghost,
                staccato: false,
            };
            (written, note.length)
        })
        .collect();
    written.sort_by_key(|(note, _)| (note.start, note.pitch.midi()));
    cut_by_ghosts(&mut written);
    let starts: Vec<(Hand, Ticks)> =
        written.iter().map(|(note, _)| (note.hand, note.start)).collect();
    let lengthened = written.into_iter().map(|(note, played)| {
        let is_free = |until: Ticks| {
            let from = starts.partition_point(|(_, start)| *start <= note.start);
            let mut meanwhile = starts[from..].iter().take_while(|(_, start)| *start < until);
            !meanwhile.any(|(hand, _)| *hand == note.hand)
        };
        lengthened(note, played, is_free)
    });
    lengthened.collect()
}

/// A ghost note that falls into the last eighth of a note of its hand takes that eighth: one voice
/// then says both.
fn cut_by_ghosts(written: &mut [(WrittenNote, Ticks)]) {
    let ghosts: Vec<WrittenNote> =
        written.iter().map(|(note, _)| *note).filter(|note| note.ghost).collect();
    for (note, played) in written.iter_mut().filter(|(note, _)| !note.ghost) {
        let from = ghosts.partition_point(|ghost| ghost.start <= note.start);
        let mut later = ghosts[from..].iter().take_while(|ghost| ghost.start < note.end);
        let takes = |ghost: &&WrittenNote| {
            ghost.hand == note.hand && note.end - ghost.start <= Ticks::EIGHTH
        };
        if let Some(ghost) = later.find(takes) {
            note.end = ghost.start;
            *played = (*played).min(note.end - note.start);
        }
    }
}

/// A short note is written out to the next eighth where its hand is free until then.
fn lengthened(
    note: WrittenNote,
    played: Ticks,
    is_free: impl FnOnce(Ticks) -> bool,
) -> WrittenNote {
    let eighth = Ticks::EIGHTH.0;
    let full = Ticks((note.end.0 + eighth - 1).div_euclid(eighth) * eighth);
    if note.start.0 % eighth != 0 || full == note.end || !is_free(full) {
        return note;
    }
    let length = full - note.start;
    let is_short = length <= Ticks::QUARTER && played.0 * 4 <= length.0 * 3;
    WrittenNote { end: full, staccato: is_short && !note.ghost, ..note }
}

/// The division of every beat in which something begins or ends.
struct Grid {
    beat: i64,
    steps: BTreeMap<i64, i64>,
}

impl Grid {
    fn of(notes: &[SpelledNote], meter: Meter) -> Grid {
        let (beat, divisions): (i64, &[(i64, i64)]) = match meter {
            Meter::SixEight => (meter.beat().0, &COMPOUND),
            _ => (Ticks::QUARTER.0, &SIMPLE),
        };
        let mut edges: BTreeMap<i64, Vec<(i64, i64)>> = BTreeMap::new();
        for SpelledNote { note, .. } in notes {
            for (at, weight) in [(note.at, START_WEIGHT), (note.at + note.length, 1)] {
                let within = (at.0.rem_euclid(beat), weight);
                edges.entry(at.0.div_euclid(beat)).or_default().push(within);
            }
        }
        let best = |edges: &[(i64, i64)]| {
            let error =
                |step: i64, (at, weight): (i64, i64)| (nearest(at, step) - at).abs() * weight;
            let cost = |(step, cost): &(i64, i64)| {
                edges.iter().map(|edge| error(*step, *edge)).sum::<i64>() + cost
            };
            divisions.iter().min_by_key(|division| cost(division)).map_or(480, |(step, _)| *step)
        };
        let steps = edges.into_iter().map(|(index, edges)| (index, best(&edges))).collect();
        Grid { beat, steps }
    }

    /// The division of the beat that a tick lies in.
    fn step(&self, at: Ticks) -> Ticks {
        Ticks(self.steps.get(&at.0.div_euclid(self.beat)).copied().unwrap_or(480))
    }

    fn nearest(&self, at: Ticks) -> Ticks {
        let within = at.0.rem_euclid(self.beat);
        Ticks(at.0 - within + nearest(within, self.step(at).0))
    }
}

fn nearest(at: i64, step: i64) -> i64 {
    (at + step / 2).div_euclid(step) * step
}
