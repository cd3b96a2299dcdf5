//! A bar before it has its place: what each staff has at each time, and how much room it asks for.

use super::cell::{Cell, Member, cell, y_of};
use super::directions::{directions, levels};
use super::glyphs::Glyph;
use super::glyphs::outline::Bounds;
use super::music::{Bar, What};
use super::pen::Pen;
use super::rules::{COLUMN_GAP, QUARTER_ROOM, SHORTEST_TIE};
use super::shape::Kind;
use super::symbol::symbol;

/// A bar's columns.
#[derive(Debug)]
pub(super) struct Columns<'a> {
    pub(super) bar: &'a Bar,
    /// Index of the bar in the score.
    pub(super) measure: usize,
    /// When they begin, from the start of the bar.
    pub(super) times: Vec<i64>,
    /// Staff by staff, the cells in order of time.
    pub(super) cells: Vec<Vec<Cell>>,
    /// Chord symbols with their times.
    pub(super) symbols: Vec<(i64, Pen)>,
}

impl<'a> Columns<'a> {
    pub(super) fn of(bar: &'a Bar, measure: usize) -> Columns<'a> {
        let ups: Vec<_> = bar.staves.iter().map(|voices| directions(voices)).collect();
        let cells: Vec<Vec<Cell>> = bar
            .staves
            .iter()
            .zip(&ups)
            .enumerate()
            .map(|(staff, (voices, ups))| {
                let mut times: Vec<i64> = voices
                    .iter()
                    .flatten()
                    .filter(|event| event.printed && !matches!(event.what, What::MeasureRest))
                    .map(|event| event.at)
                    .collect();
                times.sort_unstable();
                times.dedup();
                let members = |at: i64| -> Vec<Member<'_>> {
                    let voices = voices.iter().enumerate();
                    let member = |(voice, events): (usize, &'a Vec<super::music::Event>)| {
                        let index =
                            events.iter().position(|event| event.at == at && event.printed)?;
                        let event = &events[index];
                        let up = ups[voice][index];
                        let shares = ups.len() > 1;
                        (!matches!(event.what, What::MeasureRest)).then_some(Member {
                            voice,
                            index,
                            event,
                            up,
                            shares,
                        })
                    };
                    voices.filter_map(member).collect()
                };
                times.into_iter().map(|at| cell(at, measure, staff, &members(at))).collect()
            })
            .collect();
        let last = (bar.length - 1).max(0);
        let symbols: Vec<(i64, Pen)> =
            bar.chords.iter().map(|chord| (chord.at.0.clamp(0, last), symbol(chord))).collect();
        let of_cells = cells.iter().flatten().map(|cell| cell.at);
        // Rests that are not printed still bound the triplets that they belong to.
        let events = bar.staves.iter().flatten().flatten();
        let of_triplets = events.filter(|event| event.triplet.is_some()).map(|event| event.at);
        let mut times: Vec<i64> =
            of_cells.chain(of_triplets).chain(symbols.iter().map(|(at, _)| *at)).collect();
        times.sort_unstable();
        times.dedup();
        Columns { bar, measure, times, cells, symbols }
    }

    /// The room between a column and the next, or the end of the bar, at a force of one.
    pub(super) fn room(&self, index: usize) -> f64 {
        let from = self.times.get(index).copied().unwrap_or(0);
        let to = self.times.get(index + 1).copied().unwrap_or(self.bar.length);
        let events = self.bar.staves.iter().flatten().flatten();
        let sounding = events.filter(|event| event.at <= from && event.end() > from);
        let shortest = sounding.map(|event| event.length).min().unwrap_or(to - from).max(1);
        // A voice that moves within a longer gap has its columns; what is left is the gap's.
        let shortest = shortest.max(60);
        let share = ticks(to - from) / ticks(shortest);
        let optical = if share > 0.99 { self.optical(index) } else { 0.0 };
        QUARTER_ROOM * (ticks(shortest) / 960.0).sqrt() * share + optical
    }

    /// Stems that turn their backs on each other look nearer than they are, those that face each
    /// other farther.
    fn optical(&self, index: usize) -> f64 {
        let (Some(from), Some(to)) = (self.times.get(index), self.times.get(index + 1)) else {
            return 0.0;
        };
        let mut sum = 0.0;
        for cells in &self.cells {
            let at = |time: i64| {
                cells.iter().find(|cell| cell.at == time).filter(|cell| cell.chords.len() == 1)
            };
            if let (Some(one), Some(next)) = (at(*from), at(*to)) {
                sum += match (one.chords[0].up, next.chords[0].up) {
                    (true, false) => 0.22,
                    (false, true) => -0.16,
                    _ => 0.0,
                };
            }
        }
        sum / f64::from(u32::try_from(self.cells.len().max(1)).unwrap_or(1))
    }
}

#[expect(clippy::cast_precision_loss, reason = "a bar has few ticks")]
fn ticks(ticks: i64) -> f64 {
    ticks as f64
}

impl Cell {
    /// The boxes that keep neighbours away, stems and flags among them.
    pub(super) fn boxes(&self, columns: &Columns<'_>, staff: usize) -> Vec<(Kind, Bounds)> {
        let mut boxes: Vec<(Kind, Bounds)> =
            self.shapes.iter().map(|shape| (shape.kind, shape.bounds)).collect();
        for chord in &self.chords {
            let Some(event) = columns.bar.staves[staff]
                .get(chord.voice)
                .and_then(|events| events.get(chord.event))
            else {
                continue;
            };
            if chord.head == Glyph::HeadWhole {
                continue;
            }
            let (low, high) = (y_of(chord.lowest), y_of(chord.highest));
            // How long the stem of a beam gets is not known yet.
            let reach = match (event.beams.is_empty(), levels(event)) {
                (true, 0..2) => 3.5,
                (true, _) => 4.4,
                (false, _) => 12.0,
            };
            let (top, bottom) = if chord.up {
                ((high - reach).min(0.0), low)
            } else {
                (high, (low + reach).max(0.0))
            };
            let x = chord.stem_x();
            boxes.push((Kind::Stem, Bounds::new(x - 0.06, top, x + 0.06, bottom)));
            if levels(event) > 0 && event.beams.is_empty() {
                let (top, bottom) =
                    if chord.up { (top, top + 3.1) } else { (bottom - 3.1, bottom) };
                boxes.push((Kind::Flag, Bounds::new(x, top, x + 1.0, bottom)));
            }
        }
        boxes
    }

    /// How far it reaches to the left of its place.
    pub(super) fn left(&self) -> f64 {
        self.shapes.iter().map(|shape| -shape.bounds.x0).fold(0.0, f64::max)
    }

    /// How far it reaches to the right, flags apart.
    pub(super) fn right(&self) -> f64 {
        self.shapes.iter().map(|shape| shape.bounds.x1).fold(0.0, f64::max)
    }

    /// How far the next cell of the staff is at least, whatever their heights.
    pub(super) fn step(&self) -> f64 {
        let tied =
            self.chords.iter().any(|chord| chord.notes.iter().any(|(note, _)| note.tie_start));
        self.right() + if tied { SHORTEST_TIE + 0.2 } else { COLUMN_GAP }
    }

    /// The left edge of its leftmost head.
    pub(super) fn first_head(&self) -> f64 {
        let heads = self.chords.iter().flat_map(|chord| chord.notes.iter().map(|(_, x)| *x));
        heads.fold(0.0, f64::min)
    }
}

/// How far later boxes are from earlier ones at least, where they are at one height.
pub(super) fn distance(boxes: &[(Kind, Bounds)], next: &[(Kind, Bounds)]) -> f64 {
    let mut distance: f64 = 0.0;
    for (kind, one) in boxes {
        for (next_kind, other) in next {
            if one.y0 < other.y1 + 0.25 && other.y0 < one.y1 + 0.25 {
                let gap = match (kind, next_kind) {
                    (Kind::Ledger, Kind::Ledger) => 0.25,
                    (Kind::Ledger, _) | (_, Kind::Ledger) => 0.12,
                    (Kind::Flag, _) => 0.2,
                    (_, Kind::Accidental) => 0.3,
                    _ => COLUMN_GAP,
                };
                distance = distance.max(one.x1 - other.x0 + gap);
            }
        }
    }
    distance
}
