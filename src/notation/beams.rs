//! Beams: which short notes hang together.

use super::figures::Figure;
use crate::codec::musicxml::score::{Beam, NoteValue};
use crate::units::{Meter, Ticks};

/// Beams a voice's figures by beats; four plain eighths in half a bar of common time go together.
pub(super) fn beam(figures: &mut [Figure], meter: Meter) {
    let groups: Vec<i64> = figures.iter().map(|figure| group(figure, figures, meter)).collect();
    let mut from = 0;
    while from < figures.len() {
        let together = |index: usize| {
            is_beamable(&figures[index])
                && groups[index] == groups[from]
                && figures[index].start == figures[index - 1].end
        };
        let mut to = from + 1;
        if is_beamable(&figures[from]) {
            while to < figures.len() && together(to) {
                to += 1;
            }
        }
        if to - from > 1 {
            beam_group(&mut figures[from..to]);
        }
        from = to;
    }
}

fn is_beamable(figure: &Figure) -> bool {
    !figure.is_rest() && figure.value <= NoteValue::Eighth
}

/// A number for the stretch of the bar that a figure's beam may not leave.
fn group(figure: &Figure, all: &[Figure], meter: Meter) -> i64 {
    let beat = match meter {
        Meter::SixEight => meter.beat().0,
        _ => Ticks::QUARTER.0,
    };
    let index = figure.start.0 / beat;
    let half = index - index % 2;
    let is_common = matches!(meter, Meter::FourFour | Meter::TwoTwo);
    if is_common && is_four_eighths(all, half * beat, beat) { half } else { index }
}

fn is_four_eighths(all: &[Figure], start: i64, beat: i64) -> bool {
    let within = |figure: &&Figure| (start..start + 2 * beat).contains(&figure.start.0);
    let is_plain = |figure: &Figure| {
        is_beamable(figure)
            && (figure.value, figure.dots) == (NoteValue::Eighth, 0)
            && figure.triplet.is_none()
    };
    let mut inside = all.iter().filter(within);
    inside.clone().count() == 4 && inside.all(is_plain)
}

/// Two or more figures under one beam.
fn beam_group(figures: &mut [Figure]) {
    let counts: Vec<usize> = figures.iter().map(|figure| figure.value.beams()).collect();
    for (index, figure) in figures.iter_mut().enumerate() {
        let has = |index: Option<usize>, level: usize| {
            index.and_then(|index| counts.get(index)).is_some_and(|count| *count > level)
        };
        let beams = (0..counts[index]).map(|level| {
            match (has(index.checked_sub(1), level), has(Some(index + 1), level)) {
                (true, true) => Beam::Continue,
                (true, false) => Beam::End,
                (false, true) => Beam::Begin,
                (false, false) if index == 0 => Beam::ForwardHook,
                (false, false) => Beam::BackwardHook,
            }
        });
        figure.beams = beams.collect();
    }
}
