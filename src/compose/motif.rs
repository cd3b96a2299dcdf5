//! Phrases that answer an earlier one take up its notes: at the same pitch, moved with the chord, or
//! moved by a step or a third. The search weighs them against the technique's rules, so that an
//! answer is varied where those ask for it, and ends in its own way.

use std::ops::RangeInclusive;

use crate::melody::{Piece, Technique};

use super::grid::Position;
use super::streams::Choice;
use super::{ComposedNote, Request};

/// How a phrase takes up another.
#[derive(Debug, Clone, Copy)]
enum Move {
    /// At the same pitch.
    Same,
    /// As far as the root has moved.
    WithTheRoot,
    /// By so many semitones; the technique's scale has the last word.
    By(i16),
}

/// How often (our own judgement).
const MOVES: [(Move, f64); 5] = [
    (Move::Same, 3.0),
    (Move::WithTheRoot, 4.0),
    (Move::By(-2), 2.0),
    (Move::By(2), 1.5),
    (Move::By(-3), 1.0),
];

/// The pitches that positions are to have in a line whose first draft is known: those that answer,
/// and those that are answered, so that they stay as they are. `None` for all others.
pub(super) fn wanted(
    grid: &[Position],
    draft: &[ComposedNote],
    pieces: &[Piece],
    request: &Request,
    techniques: &str,
    range: &RangeInclusive<u8>,
) -> Vec<Option<u8>> {
    let mut wanted: Vec<Option<u8>> = vec![None; grid.len()];
    for phrase in phrases(grid) {
        let answers: Vec<(usize, usize)> =
            phrase.filter_map(|index| Some((index, grid.get(index)?.model?))).collect();
        let Some(&(first, model)) = answers.first() else { continue };
        for &(_, model) in &answers {
            if wanted[model].is_none() {
                wanted[model] = draft.get(model).map(|note| note.pitch);
            }
        }
        let by = moved_by(grid, first, model, pieces, request, techniques);
        let moved = |by: i16| -> Option<Vec<(usize, u8)>> {
            let pitch_of = |&(index, model): &(usize, usize)| {
                let pitch = u8::try_from(i16::from(wanted[model]?) + by).ok()?;
                range.contains(&pitch).then_some((index, pitch))
            };
            answers.iter().map(pitch_of).collect()
        };
        for (index, pitch) in moved(by).or_else(|| moved(0)).into_iter().flatten() {
            wanted[index] = Some(pitch);
        }
    }
    wanted
}

/// The positions of each phrase.
fn phrases(grid: &[Position]) -> impl Iterator<Item = std::ops::Range<usize>> {
    let mut from = 0;
    grid.chunk_by(|position, next| position.phrase == next.phrase).map(move |phrase| {
        from += phrase.len();
        from - phrase.len()..from
    })
}

/// How far a phrase is moved, in semitones. In the blues a call comes again as it was.
fn moved_by(
    grid: &[Position],
    first: usize,
    model: usize,
    pieces: &[Piece],
    request: &Request,
    techniques: &str,
) -> i16 {
    let (Some(position), Some(model)) = (grid.get(first), grid.get(model)) else { return 0 };
    let piece = |position: &Position| pieces.get(position.piece);
    if piece(position).is_some_and(|piece| piece.assignment.technique == Technique::Blues) {
        return 0;
    }
    let root = |position: &Position| {
        let harmony = piece(position)?.span.harmony.as_ref()?;
        Some(i16::from(harmony.symbol.root.pitch_class()))
    };
    let choice = Choice::Motif { techniques, phrase: position.phrase };
    let mut stream = choice.stream(request.seed);
    let chosen = stream.weighted(&MOVES.map(|(_, weight)| weight));
    match chosen.and_then(|index| MOVES.get(index)).map_or(Move::Same, |(how, _)| *how) {
        Move::Same => 0,
        Move::By(semitones) => semitones,
        Move::WithTheRoot => {
            let up =
                root(position).zip(root(model)).map_or(0, |(to, from)| (to - from).rem_euclid(12));
            if up > 6 { up - 12 } else { up }
        }
    }
}
