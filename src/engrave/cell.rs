//! What one staff has in one column of time: heads, accidentals, dots, ledger lines, rests,
//! placed around the left edge of a head that stands in its place.

use super::glyphs::Glyph;
use super::glyphs::outline::Bounds;
use super::music::{Event, Note, What};
use super::rules::{ACCIDENTAL_GAP, DOT_GAP, LEDGER, LEDGER_REACH};
use super::shape::{Kind, NoteId, Shape};
use crate::codec::musicxml::score::{Accidental, NoteValue};

/// Things that begin together in one staff. Its origin is where heads stand, on the middle line.
#[derive(Debug, Default)]
pub(super) struct Cell {
    /// From the start of the bar.
    pub(super) at: i64,
    pub(super) shapes: Vec<Shape>,
    /// The voices' notes in it, for stems, beams and ties.
    pub(super) chords: Vec<Chord>,
}

/// Notes on one stem.
#[derive(Debug, Clone)]
pub(super) struct Chord {
    pub(super) voice: usize,
    /// Index of its event in its voice.
    pub(super) event: usize,
    pub(super) up: bool,
    /// How far its heads stand from the column's own place.
    pub(super) dx: f64,
    pub(super) head: Glyph,
    /// Of its lowest and its highest note.
    pub(super) lowest: i32,
    pub(super) highest: i32,
    /// Its notes, each with the left edge of its head.
    pub(super) notes: Vec<(Note, f64)>,
    /// Where its dots end, or its heads if it has none.
    pub(super) right: f64,
}

impl Chord {
    /// The middle of its stem.
    pub(super) fn stem_x(&self) -> f64 {
        let half = super::rules::STEM / 2.0;
        match (self.head, self.up) {
            (_, true) => self.dx + self.head.width() - half,
            (_, false) => self.dx + half,
        }
    }
}

/// Down the page.
pub(super) fn y_of(position: i32) -> f64 {
    -f64::from(position) / 2.0
}

/// The head of a note.
pub(super) fn head_of(value: NoteValue, ghost: bool) -> Glyph {
    match value {
        _ if ghost => Glyph::HeadCross,
        NoteValue::Whole => Glyph::HeadWhole,
        NoteValue::Half => Glyph::HeadHalf,
        _ => Glyph::HeadBlack,
    }
}

/// An event of a voice in this column.
pub(super) struct Member<'a> {
    pub(super) voice: usize,
    pub(super) index: usize,
    pub(super) event: &'a Event,
    pub(super) up: bool,
    /// Whether another voice shares the staff's bar.
    pub(super) shares: bool,
}

/// Places all that begins at one time in one staff.
pub(super) fn cell(at: i64, measure: usize, staff: usize, members: &[Member<'_>]) -> Cell {
    let mut cell = Cell { at, ..Cell::default() };
    for member in members {
        if let What::Notes(notes) = &member.event.what {
            cell.chords.push(chord(member, notes));
        }
    }
    part_voices(&mut cell.chords, members);
    let id =
        |event: &Event, pitch| NoteId { measure, staff, at: event.at, length: event.length, pitch };
    for chord in &cell.chords {
        let Some(member) = members.iter().find(|member| member.voice == chord.voice) else {
            continue;
        };
        for (note, x) in &chord.notes {
            let glyph = head_of(member.event.value, note.ghost);
            let head = Shape::glyph(Kind::Head, glyph, *x, y_of(note.position));
            cell.shapes.push(head.of(id(member.event, Some(note.pitch))));
        }
    }
    ledgers(&mut cell);
    accidentals(&mut cell);
    dots(&mut cell, members);
    for member in members {
        match member.event.what {
            What::Rest if member.event.printed => {
                let shapes = rest(member, members);
                cell.shapes.extend(shapes.into_iter().map(|shape| match shape.kind {
                    Kind::Rest => shape.of(id(member.event, None)),
                    _ => shape,
                }));
            }
            What::Slash => {
                let glyph = if member.event.value >= NoteValue::Half {
                    Glyph::HeadOpenSlash
                } else {
                    Glyph::HeadSlash
                };
                let slash = Shape::glyph(Kind::Head, glyph, 0.0, 0.0);
                let right = slash.bounds.x1;
                cell.shapes.push(slash.of(id(member.event, None)));
                for dot in 0..member.event.dots {
                    let x = right + DOT_GAP + 0.6 * f64::from(dot);
                    cell.shapes.push(Shape::glyph(Kind::Dot, Glyph::Dot, x, -0.5));
                }
            }
            _ => {}
        }
    }
    cell
}

/// Heads on the two sides of a stem: of two a second apart, one is turned.
fn chord(member: &Member<'_>, notes: &[Note]) -> Chord {
    let ghost = notes.iter().all(|note| note.ghost);
    let head = head_of(member.event.value, ghost);
    let turned =
        head.width() - if member.event.value < NoteValue::Whole { super::rules::STEM } else { 0.0 };
    let mut placed: Vec<(Note, f64)> = Vec::with_capacity(notes.len());
    let mut before: Option<(i32, bool)> = None;
    let order: Vec<&Note> =
        if member.up { notes.iter().collect() } else { notes.iter().rev().collect() };
    for note in order {
        let is_turned = before
            .is_some_and(|(position, turned)| (note.position - position).abs() <= 1 && !turned);
        before = Some((note.position, is_turned));
        let side = if member.up { turned } else { -turned };
        placed.push((*note, if is_turned { side } else { 0.0 }));
    }
    placed.sort_by_key(|(note, _)| note.position);
    let positions = || notes.iter().map(|note| note.position);
    Chord {
        voice: member.voice,
        event: member.index,
        up: member.up,
        dx: 0.0,
        head,
        lowest: positions().min().unwrap_or(0),
        highest: positions().max().unwrap_or(0),
        notes: placed,
        right: head.width(),
    }
}

/// Moves the lower voice's heads aside where they would lie on the upper's.
fn part_voices(chords: &mut [Chord], members: &[Member<'_>]) {
    let [upper, lower, ..] = chords else { return };
    let event = |chord: &Chord| {
        members.iter().find(|member| member.voice == chord.voice).map(|member| member.event)
    };
    let (Some(of_upper), Some(of_lower)) = (event(upper), event(lower)) else { return };
    let distance = upper.lowest - lower.highest;
    let same_heads = upper.head == lower.head && of_upper.dots == of_lower.dots;
    let is_simple = upper.notes.iter().chain(&lower.notes).all(|(_, x)| *x == 0.0);
    let shift = match distance {
        2.. => 0.0,
        // One head serves both stems.
        0 if same_heads && is_simple && of_upper.value < NoteValue::Whole => 0.0,
        1 => lower.head.width().max(upper.head.width()) - 0.04,
        _ => {
            upper.notes.iter().map(|(_, x)| x + upper.head.width()).fold(0.0, f64::max)
                - lower.notes.iter().map(|(_, x)| *x).fold(0.0, f64::min)
                + 0.22
        }
    };
    // Turned heads of the lower voice reach to the left, under the upper's.
    let turned = lower.notes.iter().any(|(_, x)| *x < 0.0) && distance < 3 && shift == 0.0;
    let shift = if turned { upper.head.width() } else { shift };
    lower.dx = shift;
    for (_, x) in &mut lower.notes {
        *x += shift;
    }
}

/// Short lines through and under heads outside of the staff.
fn ledgers(cell: &mut Cell) {
    let mut lines: Vec<(i32, f64, f64)> = Vec::new();
    for chord in &cell.chords {
        for (note, x) in &chord.notes {
            let (x0, x1) = (x - LEDGER_REACH, x + chord.head.width() + LEDGER_REACH);
            let outside = note.position.abs();
            for step in (6..=outside).filter(|step| step % 2 == 0) {
                let position = step * note.position.signum();
                match lines.iter_mut().find(|line| line.0 == position) {
                    Some(line) => (line.1, line.2) = (line.1.min(x0), line.2.max(x1)),
                    None => lines.push((position, x0, x1)),
                }
            }
        }
    }
    for (position, x0, x1) in lines {
        let y = y_of(position);
        cell.shapes.push(Shape::rectangle(
            Kind::Ledger,
            x0,
            y - LEDGER / 2.0,
            x1,
            y + LEDGER / 2.0,
        ));
    }
}

fn glyph_of(accidental: Accidental) -> Glyph {
    match accidental {
        Accidental::DoubleFlat => Glyph::DoubleFlat,
        Accidental::Flat => Glyph::Flat,
        Accidental::Natural => Glyph::Natural,
        Accidental::Sharp => Glyph::Sharp,
        Accidental::DoubleSharp => Glyph::DoubleSharp,
    }
}

/// The parts of an accidental that keep others away: from the left, from below, to the right, up.
pub(super) fn silhouette(glyph: Glyph) -> &'static [(f64, f64, f64, f64)] {
    match glyph {
        Glyph::Flat => &[(0.0, -0.70, 0.13, 1.76), (0.0, -0.70, 0.92, 0.70)],
        Glyph::DoubleFlat => &[(0.0, -0.70, 0.86, 1.76), (0.0, -0.70, 1.60, 0.70)],
        Glyph::Natural => {
            &[(0.0, -0.78, 0.10, 1.38), (0.0, -0.78, 0.68, 0.72), (0.58, -1.38, 0.68, 0.72)]
        }
        Glyph::Sharp => &[(0.0, -0.82, 1.0, 0.82), (0.2, -1.40, 0.8, 1.40)],
        _ => &[(0.0, -0.52, 1.0, 0.52)],
    }
}

/// Accidentals before their heads, in as few columns as they need: from the outside inwards,
/// each as near to the heads as the others let it.
fn accidentals(cell: &mut Cell) {
    let mut wanted: Vec<(i32, Glyph)> = Vec::new();
    let mut taken: Vec<Bounds> = Vec::new();
    for chord in &cell.chords {
        for (note, x) in &chord.notes {
            taken.push(Bounds::new(
                *x,
                y_of(note.position) - 0.48,
                x + chord.head.width(),
                y_of(note.position) + 0.48,
            ));
            if let Some(accidental) = note.accidental {
                wanted.push((note.position, glyph_of(accidental)));
            }
        }
    }
    taken.extend(
        cell.shapes.iter().filter(|shape| shape.kind == Kind::Ledger).map(|shape| shape.bounds),
    );
    wanted.sort_by_key(|(position, _)| -position);
    wanted.dedup();
    let mut order = Vec::new();
    let mut rest = wanted.as_slice();
    while let [first, others @ ..] = rest {
        order.push(*first);
        rest = others;
        if let [others @ .., last] = rest {
            order.push(*last);
            rest = others;
        }
    }
    for (position, glyph) in order {
        let y = y_of(position);
        let parts = silhouette(glyph)
            .iter()
            .map(|(x0, low, x1, high)| Bounds::new(*x0, y - high, *x1, y - low));
        let parts: Vec<Bounds> = parts.collect();
        let mut x = -glyph.width() - ACCIDENTAL_GAP;
        // What is in the way moves it on; every round passes at least one thing.
        loop {
            let blocked = parts.iter().flat_map(|part| {
                let gap = ACCIDENTAL_GAP - 0.01;
                taken.iter().filter_map(move |other| {
                    let meets = part.y0 < other.y1 + 0.06 && other.y0 < part.y1 + 0.06;
                    let overlaps = x + part.x0 < other.x1 + gap && other.x0 < x + part.x1 + gap;
                    (meets && overlaps).then_some(other.x0 - part.x1 - ACCIDENTAL_GAP)
                })
            });
            match blocked.reduce(f64::min) {
                Some(free) if free < x => x = free,
                _ => break,
            }
        }
        taken.extend(
            parts.iter().map(|part| Bounds::new(part.x0 + x, part.y0, part.x1 + x, part.y1)),
        );
        cell.shapes.push(Shape::glyph(Kind::Accidental, glyph, x, y));
    }
}

/// Dots stand in spaces, in one column behind all heads of a voice.
fn dots(cell: &mut Cell, members: &[Member<'_>]) {
    let right = cell
        .chords
        .iter()
        .flat_map(|chord| chord.notes.iter().map(|(_, x)| x + chord.head.width()));
    let right = right.fold(0.0, f64::max);
    let mut taken: Vec<i32> = Vec::new();
    for chord in &mut cell.chords {
        let Some(member) = members.iter().find(|member| member.voice == chord.voice) else {
            continue;
        };
        chord.right = chord.notes.iter().map(|(_, x)| x + chord.head.width()).fold(0.0, f64::max);
        if member.event.dots == 0 {
            continue;
        }
        let down = member.shares && !member.up;
        for (note, _) in chord.notes.iter().rev() {
            let on_line = note.position % 2 == 0;
            let first = match (on_line, down) {
                (false, _) => note.position,
                (true, false) => note.position + 1,
                (true, true) => note.position - 1,
            };
            let choices = [first, note.position - 1, note.position + 1, first - 2, first + 2];
            let free = choices.into_iter().find(|place| place % 2 != 0 && !taken.contains(place));
            let Some(place) = free else { continue };
            taken.push(place);
            for dot in 0..member.event.dots {
                let x = right + DOT_GAP + 0.6 * f64::from(dot);
                let shape = Shape::glyph(Kind::Dot, Glyph::Dot, x, y_of(place));
                chord.right = chord.right.max(shape.bounds.x1);
                cell.shapes.push(shape);
            }
        }
    }
}

/// A rest with its dots. In two voices it makes room for the other.
fn rest(member: &Member<'_>, all: &[Member<'_>]) -> Vec<Shape> {
    let (glyph, base) = match member.event.value {
        NoteValue::Whole => (Glyph::RestWhole, 2),
        NoteValue::Half => (Glyph::RestHalf, 0),
        NoteValue::Quarter => (Glyph::RestQuarter, 0),
        NoteValue::Eighth => (Glyph::RestEighth, 0),
        NoteValue::Sixteenth => (Glyph::RestSixteenth, 0),
        NoteValue::ThirtySecond => (Glyph::RestThirtySecond, 0),
    };
    let others = || {
        all.iter().filter(|other| other.voice != member.voice).flat_map(|other| other.event.notes())
    };
    let position = match (member.shares, member.voice) {
        (false, _) => base,
        (true, 0) => {
            let above = others().map(|note| note.position + 5).max().unwrap_or(0).max(base + 4);
            above + above.rem_euclid(2)
        }
        (true, _) => {
            let below = others().map(|note| note.position - 5).min().unwrap_or(0).min(base - 4);
            below - below.rem_euclid(2)
        }
    };
    let rest = Shape::glyph(Kind::Rest, glyph, 0.0, y_of(position));
    let right = rest.bounds.x1;
    let mut shapes = vec![rest];
    for dot in 0..member.event.dots {
        let x = right + DOT_GAP + 0.6 * f64::from(dot);
        shapes.push(Shape::glyph(Kind::Dot, Glyph::Dot, x, y_of(position + 1)));
    }
    shapes
}
