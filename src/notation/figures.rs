//! A voice in one bar: notes and rests with their values, triplets and beams.

use super::beams;
use super::values::{pieces, value_of};
use super::voices::{Chord, ChordNote};
use crate::codec::musicxml::score::{Beam, NoteValue, TripletPlace};
use crate::problem::InternalError;
use crate::units::{Meter, Ticks};

/// A chord or rest as printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Figure {
    /// From the start of the bar.
    pub(super) start: Ticks,
    pub(super) end: Ticks,
    pub(super) value: NoteValue,
    pub(super) dots: u8,
    pub(super) triplet: Option<TripletPlace>,
    pub(super) beams: Vec<Beam>,
    /// Empty for a rest.
    pub(super) notes: Vec<ChordNote>,
}

impl Figure {
    pub(super) fn is_rest(&self) -> bool {
        self.notes.is_empty()
    }
}

/// A stretch of a bar with one chord, or silence.
#[derive(Debug, Clone)]
struct Stretch {
    start: Ticks,
    end: Ticks,
    notes: Vec<ChordNote>,
}

/// A stretch of the bar that is counted in threes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Triplet {
    start: Ticks,
    end: Ticks,
}

/// What a voice does from a place in the bar to its end. `chords` count their times from the start
/// of the bar and lie within it.
pub(super) fn figures(
    chords: &[Chord],
    from: Ticks,
    meter: Meter,
) -> Result<Vec<Figure>, InternalError> {
    let stretches = stretches(chords, from, meter.bar());
    let triplets = triplets(&stretches, meter);
    let mut figures = Vec::new();
    for stretch in &stretches {
        for (start, end) in cut_at_triplets(stretch, &triplets) {
            let inside =
                triplets.iter().find(|triplet| triplet.start <= start && end <= triplet.end);
            let is_rest = stretch.notes.is_empty();
            let cut = match inside {
                Some(triplet) if (start, end) != (triplet.start, triplet.end) => {
                    within_triplet(start, end, *triplet)?
                }
                _ => pieces(start, end, meter, is_rest)?
                    .into_iter()
                    .map(|piece| (piece.start, piece.end, piece.value, piece.dots, None))
                    .collect(),
            };
            figures.extend(cut.into_iter().map(|(start, end, value, dots, triplet)| Figure {
                start,
                end,
                value,
                dots,
                triplet,
                beams: Vec::new(),
                notes: held(stretch, start, end),
            }));
        }
    }
    beams::beam(&mut figures, meter);
    bracket_triplets(&mut figures);
    Ok(figures)
}

/// A stretch's notes for a part of it, tied to the parts before and after.
fn held(stretch: &Stretch, start: Ticks, end: Ticks) -> Vec<ChordNote> {
    let tied = |note: &ChordNote| ChordNote {
        tied_from: note.tied_from || start > stretch.start,
        tied_to: note.tied_to || end < stretch.end,
        ..*note
    };
    stretch.notes.iter().map(tied).collect()
}

fn stretches(chords: &[Chord], from: Ticks, bar_end: Ticks) -> Vec<Stretch> {
    let mut stretches = Vec::new();
    let mut at = from;
    let rest = |start, end| Stretch { start, end, notes: Vec::new() };
    for chord in chords {
        if chord.start > at {
            stretches.push(rest(at, chord.start));
        }
        let (start, end) = (chord.start, chord.end);
        stretches.push(Stretch { start, end, notes: chord.notes.clone() });
        at = end;
    }
    if at < bar_end {
        stretches.push(rest(at, bar_end));
    }
    stretches
}

/// Half bars of three quarters in the time of two, and beats of three eighths in the time of two.
fn triplets(stretches: &[Stretch], meter: Meter) -> Vec<Triplet> {
    if meter == Meter::SixEight {
        return Vec::new();
    }
    let edges: Vec<i64> = stretches.iter().flat_map(|part| [part.start.0, part.end.0]).collect();
    let within =
        |start: i64, end: i64| edges.iter().copied().filter(move |at| start < *at && *at < end);
    let beat = Ticks::QUARTER.0;
    let beats = meter.bar().0 / beat;
    let mut triplets = Vec::new();
    let mut index = 0;
    while index < beats {
        let start = index * beat;
        let half_bar = start + 2 * beat;
        let has_thirds = |end: i64, third: i64| {
            let mut inside = within(start, end).peekable();
            inside.peek().is_some() && inside.all(|at| (at - start) % third == 0)
        };
        let is_half_bar = meter != Meter::ThreeFour && index % 2 == 0 && index + 1 < beats;
        if is_half_bar && has_thirds(half_bar, 640) {
            triplets.push(Triplet { start: Ticks(start), end: Ticks(half_bar) });
            index += 2;
            continue;
        }
        if within(start, start + beat).any(|at| (at - start) % 120 != 0) {
            triplets.push(Triplet { start: Ticks(start), end: Ticks(start + beat) });
        }
        index += 1;
    }
    triplets
}

/// The parts of a stretch inside and outside of triplets.
fn cut_at_triplets(stretch: &Stretch, triplets: &[Triplet]) -> Vec<(Ticks, Ticks)> {
    let mut cuts = vec![stretch.start];
    let edges = triplets.iter().flat_map(|triplet| [triplet.start, triplet.end]);
    cuts.extend(edges.filter(|at| stretch.start < *at && *at < stretch.end));
    cuts.push(stretch.end);
    cuts.sort_unstable();
    cuts.dedup();
    cuts.windows(2).map(|pair| (pair[0], pair[1])).collect()
}

type Cut = (Ticks, Ticks, NoteValue, u8, Option<TripletPlace>);

/// Values inside a triplet are written half as long again as they last.
fn within_triplet(start: Ticks, end: Ticks, triplet: Triplet) -> Result<Vec<Cut>, InternalError> {
    let third = (triplet.end - triplet.start).0 / 3;
    let value = |length: Ticks| value_of(Ticks(length.0 * 3 / 2));
    let place = |start: Ticks, end: Ticks| TripletPlace {
        starts: start == triplet.start,
        stops: end == triplet.end,
        bracket: false,
    };
    if let Some((value, dots)) = value(end - start) {
        return Ok(vec![(start, end, value, dots, Some(place(start, end)))]);
    }
    // Cut at the next third, or at the finest step where there is none.
    let next_third = triplet.start.0 + ((start - triplet.start).0 / third + 1) * third;
    let at = Ticks(if next_third < end.0 { next_third } else { start.0 + third / 4 });
    if at >= end || at <= start {
        let (start, end) = (start.0, end.0);
        let what = format!("no note value fills the triplet from tick {start} to {end} of a bar");
        return Err(InternalError::new(what));
    }
    let mut cuts = within_triplet(start, at, triplet)?;
    cuts.extend(within_triplet(at, end, triplet)?);
    Ok(cuts)
}

/// Triplets that no beam holds together get a bracket.
fn bracket_triplets(figures: &mut [Figure]) {
    let mut first = None;
    for index in 0..figures.len() {
        let Some(place) = figures[index].triplet else { continue };
        if place.starts {
            first = Some(index);
        }
        if let (true, Some(first)) = (place.stops, first) {
            let is_beamed = figures[first..=index].iter().all(|figure| !figure.beams.is_empty());
            if let Some(place) = &mut figures[first].triplet {
                place.bracket = !is_beamed;
            }
        }
    }
}
