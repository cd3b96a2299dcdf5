//! The positions that notes can stand on.

use crate::melody::{Form, Material, Piece};
use crate::units::{Meter, Ticks};

/// Where a note can stand, or the line rests.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Position {
    pub(super) at: Ticks,
    pub(super) length: Ticks,
    /// Which piece of the plan.
    pub(super) piece: usize,
    /// Which bar, counted from 0.
    pub(super) bar: i64,
    pub(super) kind: PositionKind,
    /// On a strong beat of the bar.
    pub(super) strong: bool,
    /// On a beat.
    pub(super) beat: bool,
    /// The first position of its piece.
    pub(super) enters: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum PositionKind {
    /// An eighth note, or a part of a group.
    Eighth,
    /// A long note: before a breath, or the last.
    Held,
    /// Nothing.
    Rest,
}

/// The positions of a form. Every bar is full of eighth notes but where the line breathes and where
/// it ends.
pub(super) fn grid(form: &Form, pieces: &[Piece], breathe: u32) -> Vec<Position> {
    let sounds = |piece: &Piece| piece.assignment.material != Material::Silence;
    let last = pieces.iter().rposition(sounds);
    let mut positions = Vec::new();
    for (index, piece) in pieces.iter().enumerate() {
        let mut at = next_eighth(piece.span.at);
        let end = piece.span.end();
        let position = |at: Ticks, length: Ticks, kind: PositionKind, enters: bool| Position {
            at,
            length,
            piece: index,
            bar: form.bar_number(at) - 1,
            kind,
            strong: form.is_strong(at),
            beat: form.is_beat(at),
            enters,
        };
        if !sounds(piece) {
            positions.push(position(piece.span.at, piece.span.length, PositionKind::Rest, true));
            continue;
        }
        // A chord as good as never there.
        if at >= end {
            continue;
        }
        let closing = if Some(index) == last { Some(closing(form, piece, at)) } else { None };
        let first = at;
        while at < end {
            let enters = at == first;
            if closing == Some(at) {
                positions.push(position(at, end - at, PositionKind::Held, enters));
                break;
            }
            if breathes(form, at, breathe) && at + rest_of_bar(form, at) <= end {
                positions.push(position(at, Ticks::QUARTER, PositionKind::Held, enters));
                let rest = rest_of_bar(form, at) - Ticks::QUARTER;
                positions.push(position(at + Ticks::QUARTER, rest, PositionKind::Rest, false));
                at = at + Ticks::QUARTER + rest;
                continue;
            }
            positions.push(position(at, Ticks::EIGHTH.min(end - at), PositionKind::Eighth, enters));
            at += Ticks::EIGHTH;
        }
    }
    positions
}

/// Where the closing note begins: on the bar line where the last chord has sounded before it, else
/// on the last strong beat that the chord has, or where it begins.
fn closing(form: &Form, last: &Piece, first: Ticks) -> Ticks {
    let bar_start = form.meter.bar() * (form.bar_number(last.span.end() - Ticks(1)) - 1);
    if first < bar_start {
        return bar_start;
    }
    let mut strong = form.strong_beats().iter().map(|&beat| bar_start + beat);
    strong.rfind(|&beat| beat >= first && beat < last.span.end()).unwrap_or(first)
}

/// Whether the line breathes here: in the last bar of each phrase, in forms of two phrases and
/// more.
fn breathes(form: &Form, at: Ticks, bars: u32) -> bool {
    let phrase = i64::from(bars);
    let bar = form.bar_number(at);
    let form_bars = form.length().0 / form.meter.bar().0;
    let phrase_ends = phrase > 0 && bar % phrase == 0 && form_bars >= 2 * phrase;
    let from = match form.meter {
        Meter::FourFour | Meter::TwoTwo => Ticks(1920),
        Meter::ThreeFour => Ticks(960),
        Meter::FiveFour => Ticks(2880),
        Meter::SixEight => Ticks(1440),
    };
    phrase_ends && bar < form_bars && Ticks(at.0.rem_euclid(form.meter.bar().0)) == from
}

fn rest_of_bar(form: &Form, at: Ticks) -> Ticks {
    form.meter.bar() * form.bar_number(at) - at
}

fn next_eighth(at: Ticks) -> Ticks {
    Ticks((at.0 + Ticks::EIGHTH.0 - 1).div_euclid(Ticks::EIGHTH.0) * Ticks::EIGHTH.0)
}
