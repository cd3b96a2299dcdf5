//! One staff of a system: lines, signs, heads, stems, beams, ties, triplets.

use super::columns::Columns;
use super::directions::{groups, levels};
use super::glyphs::Glyph;
use super::glyphs::outline::Bounds;
use super::music::{Event, What};
use super::rules::STAFF_LINE;
use super::shape::{Kind, NoteId, Shape};
use super::stems::{Stemmed, beamed, single};
use super::system::Frame;
use super::ties::{TiedHead, ties};
use super::tuplets::{Group, tuplet};

/// Where a bar stands.
#[derive(Debug)]
pub(super) struct BarPlace {
    /// Where it begins, behind the bar line before it.
    pub(super) left: f64,
    /// Its columns.
    pub(super) columns: Vec<f64>,
    /// The left edge of its bar line.
    pub(super) line: f64,
    /// How wide that is.
    pub(super) lines_width: f64,
}

impl BarPlace {
    pub(super) fn x(&self, bar: &Columns<'_>, at: i64) -> f64 {
        let index = bar.times.iter().position(|time| *time == at);
        index.and_then(|index| self.columns.get(index)).copied().unwrap_or(self.left)
    }
}

/// All shapes of a staff, its middle line at zero.
pub(super) fn staff_shapes(frame: &Frame<'_>, staff: usize) -> Vec<Shape> {
    let mut shapes = lines(frame);
    shapes.extend(frame.prefix[staff].shapes.iter().cloned());
    let mut heads = Vec::new();
    let mut tuplet_groups = Vec::new();
    let notes_from = shapes.len();
    let mut start = 0;
    for ((bar, place), barlines) in frame.bars.iter().zip(&frame.places).zip(&frame.barlines) {
        shapes.extend(
            barlines[staff].shapes.iter().cloned().map(|shape| shape.moved(place.line, 0.0)),
        );
        for cell in &bar.cells[staff] {
            let x = place.x(bar, cell.at);
            shapes.extend(cell.shapes.iter().cloned().map(|shape| shape.moved(x, 0.0)));
        }
        shapes.extend(measure_rests(bar, place, staff));
        for (voice, events) in bar.bar.staves[staff].iter().enumerate() {
            let voice = Voice { bar, place, staff, voice, events };
            shapes.extend(voice.stems());
            tuplet_groups.extend(voice.tuplets());
            heads.extend(voice.heads(start));
        }
        shapes.extend(staccatos(bar, place, staff));
        start += bar.bar.length;
    }
    let first = frame.places.first().map_or(0.0, |place| place.left);
    let last = frame.places.last().map_or(0.0, |place| place.line);
    shapes.extend(ties(&heads, first, last));
    for group in tuplet_groups {
        let things: Vec<Bounds> = shapes[notes_from..].iter().map(|shape| shape.bounds).collect();
        shapes.extend(tuplet(group, &things));
    }
    shapes
}

fn lines(frame: &Frame<'_>) -> Vec<Shape> {
    let half = STAFF_LINE / 2.0;
    let line = |y: f64| Shape::rectangle(Kind::StaffLine, 0.0, y - half, frame.right, y + half);
    [-2.0, -1.0, 0.0, 1.0, 2.0].map(line).into()
}

/// A rest for a whole bar stands in its middle.
fn measure_rests(bar: &Columns<'_>, place: &BarPlace, staff: usize) -> Option<Shape> {
    let mut events = bar.bar.staves[staff].iter().flatten().filter(|event| event.printed);
    let rest = events.find(|event| matches!(event.what, What::MeasureRest))?;
    let middle = (place.left + place.line) / 2.0;
    let shape =
        Shape::glyph(Kind::Rest, Glyph::RestWhole, middle - Glyph::RestWhole.width() / 2.0, -1.0);
    let id = NoteId { measure: bar.measure, staff, at: rest.at, length: rest.length, pitch: None };
    Some(shape.of(id))
}

/// Dots beside the heads, on the side away from the stem.
fn staccatos(bar: &Columns<'_>, place: &BarPlace, staff: usize) -> Vec<Shape> {
    let mut shapes = Vec::new();
    for cell in &bar.cells[staff] {
        for chord in &cell.chords {
            let Some(event) =
                bar.bar.staves[staff].get(chord.voice).and_then(|events| events.get(chord.event))
            else {
                continue;
            };
            if !event.staccato {
                continue;
            }
            let (position, side) = if chord.up { (chord.lowest, -1) } else { (chord.highest, 1) };
            let within = (position + 2 * side).abs() <= 4;
            let away = if within && position % 2 == 0 { 3 } else { 2 };
            let y = super::cell::y_of(position + side * away);
            let x = place.x(bar, cell.at) + chord.dx + chord.head.width() / 2.0 - 0.2;
            shapes.push(Shape::glyph(Kind::Articulation, Glyph::Dot, x, y));
        }
    }
    shapes
}

/// One voice of a bar.
struct Voice<'a> {
    bar: &'a Columns<'a>,
    place: &'a BarPlace,
    staff: usize,
    voice: usize,
    events: &'a [Event],
}

impl<'a> Voice<'a> {
    fn chord(&self, event: usize) -> Option<&'a super::cell::Chord> {
        let cells = self.bar.cells[self.staff].iter();
        let mut chords = cells.flat_map(|cell| &cell.chords);
        chords.find(|chord| chord.voice == self.voice && chord.event == event)
    }

    fn shares(&self) -> bool {
        self.bar.bar.staves[self.staff].len() > 1
    }

    fn stemmed(&self, event: usize) -> Option<Stemmed<'a>> {
        let chord = self.chord(event)?;
        let of = self.events.get(event)?;
        if chord.head == Glyph::HeadWhole {
            return None;
        }
        Some(Stemmed {
            x: self.place.x(self.bar, of.at) + chord.stem_x(),
            lowest: chord.lowest,
            highest: chord.highest,
            up: chord.up,
            head: chord.head,
            levels: levels(of),
            beams: &of.beams,
        })
    }

    fn stems(&self) -> Vec<Shape> {
        let mut shapes = Vec::new();
        for group in groups(self.events) {
            let stems: Vec<Stemmed<'_>> = group.filter_map(|event| self.stemmed(event)).collect();
            match stems.as_slice() {
                [] => {}
                [one] => shapes.extend(single(one)),
                several => shapes.extend(beamed(several)),
            }
        }
        shapes
    }

    fn tuplets(&self) -> Vec<Group> {
        let mut groups = Vec::new();
        let mut begin: Option<(f64, bool)> = None;
        let mut ups = Vec::new();
        for (index, event) in self.events.iter().enumerate() {
            let Some(place) = event.triplet else { continue };
            let x = self.place.x(self.bar, event.at);
            let chord = self.chord(index);
            if place.starts {
                begin = Some((x, place.bracket));
                ups.clear();
            }
            ups.extend(chord.map(|chord| chord.up));
            if let (true, Some((from, bracket))) = (place.stops, begin) {
                let to = x + chord.map_or(1.0, |chord| chord.dx + chord.head.width());
                let all_down = !ups.is_empty() && ups.iter().all(|up| !up);
                let above = if self.shares() { self.voice == 0 } else { !all_down };
                groups.push(Group { from, to, above, bracket });
                begin = None;
            }
        }
        groups
    }

    fn heads(&self, start: i64) -> Vec<TiedHead> {
        let mut heads = Vec::new();
        for (index, event) in self.events.iter().enumerate() {
            let Some(chord) = self.chord(index) else { continue };
            let x = self.place.x(self.bar, event.at);
            let count = chord.notes.len();
            for (place, (note, dx)) in chord.notes.iter().enumerate() {
                let above = match (self.shares(), count) {
                    (true, 1) => self.voice == 0,
                    (false, 1) => !chord.up,
                    _ => place * 2 >= count,
                };
                let is_outer = if above { place + 1 == count } else { place == 0 };
                heads.push(TiedHead {
                    voice: self.voice,
                    start: start + event.at,
                    end: start + event.end(),
                    pitch: note.pitch,
                    left: x + dx,
                    right: x + if is_outer && event.dots == 0 {
                        dx + chord.head.width()
                    } else {
                        chord.right
                    },
                    y: super::cell::y_of(note.position),
                    above,
                    is_inner: !is_outer || event.dots > 0,
                    tie_start: note.tie_start,
                    tie_stop: note.tie_stop,
                });
            }
        }
        heads
    }
}
