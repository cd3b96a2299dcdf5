//! The positions that notes stand on.

use crate::melody::{Form, Material, Piece, is_landing};
use crate::units::{Meter, Ticks};

use super::Request;
use super::rhythm::{Rhythm, RhythmNote, rhythm};

/// Where a note stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Position {
    pub(super) at: Ticks,
    pub(super) length: Ticks,
    /// Which piece of the plan: that of the chord that it is heard with.
    pub(super) piece: usize,
    /// Which bar, counted from 0.
    pub(super) bar: i64,
    /// Which phrase, counted from 0.
    pub(super) phrase: usize,
    pub(super) kind: PositionKind,
    /// On a strong beat of the bar, or held into one from the eighth note before it.
    pub(super) strong: bool,
    /// On a beat.
    pub(super) beat: bool,
    /// The first position of its piece.
    pub(super) enters: bool,
    /// The earlier position whose note it takes up.
    pub(super) model: Option<usize>,
    /// The line rests before it, or begins with it.
    pub(super) rested: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum PositionKind {
    /// A note, or a part of a group.
    Moving,
    /// A note that the line lands on: a long one, or one before a rest.
    Landing,
}

/// The positions of a line over the pieces of a form.
pub(super) fn grid(form: &Form, pieces: &[Piece], request: &Request) -> Vec<Position> {
    let notes = match request.rhythm {
        Rhythm::PlainEighths => plain_eighths(form, pieces, request.breathe),
        _ => rhythm(form, pieces, request),
    };
    let mut positions: Vec<Position> = Vec::new();
    let nexts = notes.iter().skip(1).map(|next| Some(next.at)).chain([None]);
    for (note, next) in notes.iter().zip(nexts) {
        let RhythmNote { at, length, phrase, answers } = *note;
        let Some(piece) = piece_of(form, pieces, at, length) else { continue };
        let before = positions.last();
        let landing = is_landing(at, length, next);
        let model = answers.and_then(|time| positions.binary_search_by_key(&time, |p| p.at).ok());
        positions.push(Position {
            at,
            length,
            piece,
            bar: form.bar_number(at) - 1,
            phrase,
            kind: if landing { PositionKind::Landing } else { PositionKind::Moving },
            strong: form.is_strong(at)
                || (length > Ticks::EIGHTH && form.is_strong(at + Ticks::EIGHTH)),
            beat: form.is_beat(at),
            enters: before.is_none_or(|before| before.piece != piece),
            model,
            rested: before.is_none_or(|before| before.at + before.length != at),
        });
    }
    positions
}

/// The piece that a note is heard in. One that anticipates a silence is heard before it.
fn piece_of(form: &Form, pieces: &[Piece], at: Ticks, length: Ticks) -> Option<usize> {
    let sounds = |piece: &Piece| piece.assignment.material != Material::Silence;
    let at_time = |time: Ticks| {
        pieces
            .iter()
            .position(|piece| piece.span.at <= time && time < piece.span.end() && sounds(piece))
    };
    at_time(form.heard_at(at, length)).or_else(|| at_time(at))
}

/// Every bar full of eighth notes but where the line breathes and where it ends.
fn plain_eighths(form: &Form, pieces: &[Piece], breathe: u32) -> Vec<RhythmNote> {
    let sounds = |piece: &Piece| piece.assignment.material != Material::Silence;
    let last = pieces.iter().rposition(sounds);
    let mut notes = Vec::new();
    let mut phrase = 0;
    for (index, piece) in pieces.iter().enumerate() {
        let mut at = next_eighth(piece.span.at);
        let end = piece.span.end();
        // A chord as good as never there has no eighth note to itself.
        if !sounds(piece) || at >= end {
            continue;
        }
        let closing = if Some(index) == last { Some(closing(form, piece, at)) } else { None };
        while at < end {
            if closing == Some(at) {
                notes.push(RhythmNote { at, length: end - at, phrase, answers: None });
                break;
            }
            if breathes(form, at, breathe) && at + rest_of_bar(form, at) <= end {
                notes.push(RhythmNote { at, length: Ticks::QUARTER, phrase, answers: None });
                at += rest_of_bar(form, at);
                phrase += 1;
                continue;
            }
            let length = Ticks::EIGHTH.min(end - at);
            notes.push(RhythmNote { at, length, phrase, answers: None });
            at += Ticks::EIGHTH;
        }
    }
    notes
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
        Meter::ThreeFour | Meter::TwoFour => Ticks(960),
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
